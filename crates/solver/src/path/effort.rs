//! What a path took.

/// Solver effort of one path.
#[derive(Clone, Copy, Debug, Default)]
pub struct Effort {
    /// Unknowns.
    pub dofs: usize,
    /// Converged steps.
    pub steps: usize,
    /// Newton iterations, failed steps included.
    pub iterations: usize,
    /// Those of them that took a tangent of their own.
    pub tangents: usize,
    /// Steps that had to be cut.
    pub cuts: usize,
    /// Seconds in assembly.
    pub assembly_s: f64,
    /// Seconds in factorisation and solve.
    pub solve_s: f64,
    /// Seconds in all.
    pub total_s: f64,
}
