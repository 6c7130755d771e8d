//! Key states of a case straight from those of a solved case beside it, each in a few iterations and without the path that leads there.
//!
//! It shows at once where a small change leads. Friction makes a state a matter of its history, and of that a jump has only the history of
//! the other case: no answer and no verdict rests on it.

use crate::model::{Model, ModelError};
use crate::observe::{fields, observe, section};
use crate::path::{PathPoint, Release, Stage};
use crate::result::{Moment, SectionMesh};
use crate::retention::{clearance, clearance_of};
use crate::rim::RimModel;
use crate::stages::Ran;
use hoopwright_case::Case;
use hoopwright_fem::continuation::{Equilibrium, Target};
use hoopwright_fem::error::SolveError;
use hoopwright_fem::state::State;
use std::sync::Arc;

/// States of a path from which others are reached.
#[derive(Clone, Debug)]
pub struct KeyStates {
    fitted: Equilibrium,
    rated: Option<Equilibrium>,
    /// Where the off-centre release is read, with its lift since the fit, mm.
    released: Option<(Equilibrium, f64)>,
    /// At the highest pressure, with its lift since the fit, mm.
    highest: Option<(Equilibrium, f64)>,
    /// Lift since the fit that brings the bundle level with the crest, mm.
    clearance: f64,
}

/// What was reached.
#[derive(Clone, Debug)]
pub struct Beside {
    /// The end of the fit.
    pub fitted: PathPoint,
    /// The rated state with its fields.
    pub rated: Option<PathPoint>,
    /// Pressure at the lift of the off-centre release, MPa.
    pub off_centre_release: Option<f64>,
    /// Pressure at the lift of the highest one, MPa.
    pub uniform_blow_off: Option<f64>,
    /// Mesh of the tyre.
    pub mesh: SectionMesh,
    /// The rim's profile as a polyline (r, z), mm, unloaded.
    pub rim_outline: Vec<[f64; 2]>,
}

/// Why a case cannot be reached.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotBeside {
    /// It has no model.
    #[error(transparent)]
    Model(#[from] ModelError),
    /// Its mesh is not laid out as the other one's.
    #[error("its mesh has other elements")]
    OtherMesh,
    /// No equilibrium was found from the other one.
    #[error("no equilibrium was found from that of the case beside it: {0}")]
    Solve(#[from] SolveError),
}

impl KeyStates {
    /// Of a path; none where the fit was not reached.
    pub(crate) fn of(case: &Case, ran: &Ran) -> Option<Self> {
        let (run, states) = (&ran.run, &ran.states);
        let fitted = states.get(run.index(Moment::Fitted)?)?.clone();
        let rated = run.rated.and_then(|i| states.get(i)).cloned();
        let highest = run.index(Moment::Highest).and_then(|i| Some((states.get(i)?.clone(), run.path[i].lift)));
        let released = match run.retention.off_centre_release {
            Release::At(pressure) => {
                crossing(&run.path, run.fit, pressure).and_then(|(i, lift)| Some((states.get(i)?.clone(), lift)))
            }
            Release::Above(_) => None,
        };
        Some(Self { fitted, rated, released, highest, clearance: clearance(case, &run.path) })
    }
}

/// The first point that reaches a pressure after the fit, and the lift at that pressure, straight between points, mm.
fn crossing(path: &[PathPoint], fit: usize, pressure: f64) -> Option<(usize, f64)> {
    let i = (fit + 1..path.len()).find(|i| path[*i].pressure >= pressure)?;
    let (a, b) = (&path[i - 1], &path[i]);
    let share = (pressure - a.pressure) / (b.pressure - a.pressure);
    Some((i, a.lift + share * (b.lift - a.lift)))
}

/// Reaches the key states of a case from those of another one.
///
/// # Errors
/// [`NotBeside`] where not even the fit is reached; a further state that is not reached is none.
pub fn beside(case: &Case, from: &KeyStates) -> Result<Beside, NotBeside> {
    let rim = Arc::new(RimModel::new(case).map_err(ModelError::from)?);
    let mut model = Model::new(case, &rim, case.friction)?;
    // Where plain iterations do not lead, the other case is too far away: relaxing takes seconds.
    model.path.settings.newton.anchor = 0.0;
    let (rest, other) = (model.path.rest().state, &from.fitted.state);
    let sizes = |state: &State| [state.u.len(), state.internal.len(), state.contact.len()];
    if sizes(&rest) != sizes(other) {
        return Err(NotBeside::OtherMesh);
    }
    let (mesh, rim_outline) = (section(&model), model.contact.profile().polyline());
    let mut jumper = Jumper { case, model, origin: 0.0 };
    let fitted = jumper.to(&from.fitted, Target::Eigenstrain(1.0))?;
    jumper.origin = fitted.functional;
    let fitted = jumper.observed(&fitted, Stage::Fit);
    let rated = from.rated.as_ref().and_then(|rated| jumper.to(rated, Target::Pressure(case.pressure.rated)).ok());
    let rated = rated.map(|at| jumper.observed(&at, Stage::Inflate));
    // The lift at which a shift clears the crest goes up by half of what the crest does.
    let raised = 0.5 * (clearance_of(case, -jumper.origin) - from.clearance);
    let off_centre_release = jumper.pressure_at(from.released.as_ref(), raised);
    let uniform_blow_off = jumper.pressure_at(from.highest.as_ref(), 0.0);
    Ok(Beside { fitted, rated, off_centre_release, uniform_blow_off, mesh, rim_outline })
}

struct Jumper<'a> {
    case: &'a Case,
    model: Model,
    /// Value of the model's lift at the end of the fit, mm.
    origin: f64,
}

impl Jumper<'_> {
    fn to(&mut self, from: &Equilibrium, target: Target) -> Result<Equilibrium, SolveError> {
        self.model.path.step(None, from, target, &mut |_, _, _| ())
    }

    fn observed(&self, at: &Equilibrium, stage: Stage) -> PathPoint {
        let mut point = observe(self.case, &self.model, at, stage, self.origin);
        point.fields = Some(Box::new(fields(&self.model, at)));
        point
    }

    /// The pressure at another case's lift since the fit, mm, and some more.
    fn pressure_at(&mut self, known: Option<&(Equilibrium, f64)>, raised: f64) -> Option<f64> {
        let (from, lift) = known?;
        self.to(from, Target::Functional(self.origin + lift + raised)).ok().map(|at| at.load.pressure)
    }
}
