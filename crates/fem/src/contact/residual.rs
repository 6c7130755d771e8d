//! Residual and tangent of a contact: force and its derivatives at every point, on the body's nodes and on the profile's modes, and the
//! equations of the multipliers.

use super::carrier::{MAX_MODES, PerMode};
use super::unilateral::{Contact, POINTS, Place, Status, dot, hats};
use crate::contribution::{Contribution, LocalSystem, MAX_DOFS};
use crate::element::line3;
use crate::error::SolveError;
use crate::mesh::{Mesh, line_point};
use crate::quadrature::GAUSS_4;
use crate::state::{Load, State};
use std::f64::consts::PI;

/// Force of one point's traction and what its derivatives need.
pub(super) struct Traction {
    pub(super) force: [f64; 2],
    /// Force per normal pressure and per tangential traction, mm^2.
    by_normal: [f64; 2],
    by_tangential: [f64; 2],
    /// 2 pi w r, mm, and r, mm.
    weight: f64,
    radius: f64,
}

impl Traction {
    /// Normal pressure along the normal (z', -r') and tangential traction along (r', z') at point `q` of an edge.
    pub(super) fn new(x: &[[f64; 2]; 3], q: usize, normal: f64, tangential: f64) -> Self {
        let (xi, w) = GAUSS_4[q];
        let (position, along) = line_point(x, xi);
        let (weight, radius) = (2.0 * PI * w * position[0], position[0]);
        let by_normal = [weight * along[1], -weight * along[0]];
        let by_tangential = [weight * along[0], weight * along[1]];
        let force = std::array::from_fn(|i| normal * by_normal[i] + tangential * by_tangential[i]);
        Self { force, by_normal, by_tangential, weight, radius }
    }
}

impl Contribution for Contact {
    fn name(&self) -> &'static str {
        "contact"
    }

    fn n_items(&self) -> usize {
        self.edges.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.edges[item]));
        out.extend(self.carrier.dofs());
        out.extend(self.unknowns_of(item));
    }

    fn multipliers(&self, out: &mut Vec<(usize, usize)>) {
        for (item, [first, last, mid]) in self.edges.iter().enumerate() {
            let unknowns = self.unknowns_of(item).zip([first, mid, last]);
            // An edge's first node is the last one of the edge before.
            out.extend(unknowns.skip(usize::from(item > 0)).map(|(multiplier, node)| (multiplier, 2 * node)));
        }
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let x = self.edge_positions(item, state);
        let far = self.is_far(item, &x, state);
        for q in 0..POINTS {
            let point = item * POINTS + q;
            self.add_multipliers(point, state, out);
            if far {
                continue;
            }
            let place = self.place(point, state);
            let status = self.status_at(place.foot, point, state, load.pressure);
            if status.total > 0.0 {
                let by = self.derivatives(point, &place, &status, state);
                self.add_point(&x, point, &status, &by, out);
            }
        }
        Ok(())
    }
}

/// How pressure and traction at a point follow what it depends on: its position and the modes' amplitudes.
struct Derivatives {
    total: [f64; 2],
    tangential: [f64; 2],
    total_by_mode: [f64; MAX_MODES],
    tangential_by_mode: [f64; MAX_MODES],
    /// By the multiplier over the penalty at the point.
    total_by_multiplier: f64,
    tangential_by_multiplier: f64,
    /// By the gas pressure.
    total_by_gas: f64,
    tangential_by_gas: f64,
    /// The modes at the foot, and how they change with the position and with the amplitudes.
    modes: PerMode,
    modes_by_arc: PerMode,
    arc: [f64; 2],
    arc_by_mode: [f64; MAX_MODES],
}

impl Contact {
    /// Whether no point of an edge can touch: none presses, none is wetted, and the middle is further from the profile than any point
    /// from the middle.
    fn is_far(&self, edge: usize, x: &[[f64; 2]; 3], state: &State) -> bool {
        let points = &state.contact[edge * POINTS..(edge + 1) * POINTS];
        if points.iter().any(|p| p.wetted) || state.u[self.unknowns_of(edge)].iter().any(|l| *l > 0.0) {
            return false;
        }
        let square = |k: usize| (x[k][0] - x[2][0]).powi(2) + (x[k][1] - x[2][1]).powi(2);
        self.foot_near(x[2], points[POINTS / 2].arc, state).foot.gap > 1.5 * (square(0).sqrt() + square(1).sqrt())
    }

    /// The contact's pressure falls by the penalty with the gap; the tangential traction with it while the point slips, and with the arc
    /// length while it sticks. At a wetted point that does not press the gas alone acts, and one that does transmits less by what the
    /// gas rises.
    fn derivatives(&self, point: usize, place: &Place, s: &Status, state: &State) -> Derivatives {
        let (p, history) = (&self.parameters, &state.contact[point]);
        let (n, t) = (s.foot.normal, s.foot.tangent());
        let stiffness = if s.normal > 0.0 { -p.penalty } else { 0.0 };
        let slip = if s.slips && s.normal > 0.0 { p.friction * s.tangential.signum() } else { 0.0 };
        let stick = if s.slips || s.normal == 0.0 { 0.0 } else { -p.tangential_penalty };
        let gap: [f64; 2] = std::array::from_fn(|j| n[j] - place.lean * t[j]);
        let arc: [f64; 2] = std::array::from_fn(|j| s.foot.stretch * t[j]);
        let gap_alone = history.wetted && s.normal == 0.0;
        let presses_wet = history.wetted && s.normal > 0.0;
        let mut by = Derivatives {
            total: gap.map(|g| stiffness * g),
            tangential: std::array::from_fn(|j| slip * stiffness * gap[j] + stick * arc[j]),
            total_by_mode: [0.0; MAX_MODES],
            tangential_by_mode: [0.0; MAX_MODES],
            total_by_multiplier: -stiffness,
            tangential_by_multiplier: -slip * stiffness,
            total_by_gas: f64::from(u8::from(gap_alone)),
            tangential_by_gas: if presses_wet { -slip } else { 0.0 },
            modes: PerMode::default(),
            modes_by_arc: PerMode::default(),
            arc,
            arc_by_mode: [0.0; MAX_MODES],
        };
        (by.modes, by.modes_by_arc) = self.carrier.modes(s.foot.arc);
        let (near, _) = if self.carrier.is_uniform() { (by.modes, by.modes) } else { self.carrier.modes(history.arc) };
        for k in 0..self.carrier.n_modes() {
            let gap = place.lean * dot(t, near[k]) - dot(n, by.modes[k]);
            by.arc_by_mode[k] = -dot(arc, near[k]);
            by.total_by_mode[k] = stiffness * gap;
            by.tangential_by_mode[k] = slip * stiffness * gap + stick * by.arc_by_mode[k];
        }
        by
    }

    /// Adds a point's share of minus the multipliers to their equations, that they be the pressure on the average.
    fn add_multipliers(&self, point: usize, state: &State, out: &mut LocalSystem) {
        let first = 6 + self.carrier.n_modes();
        let (hats, multiplier) = (hats(GAUSS_4[point % POINTS].0), self.multiplier(point, state));
        for (k, weight) in self.weights[point].iter().enumerate() {
            out.residual[first + k] -= weight * multiplier;
            for (l, hat) in hats.iter().enumerate() {
                out.add(first + k, first + l, -weight * self.parameters.penalty * hat);
            }
        }
    }

    /// Subtracts the force of a point of an edge from the body's residual and adds it to the modes' and its pressure to the
    /// multipliers', with the tangent.
    fn add_point(&self, x: &[[f64; 2]; 3], point: usize, s: &Status, by: &Derivatives, out: &mut LocalSystem) {
        let q = point % POINTS;
        let pull = Traction::new(x, q, s.total, s.tangential);
        let (shape, slope) = (line3::shape(GAUSS_4[q].0), line3::derivative(GAUSS_4[q].0));
        let m = self.carrier.n_modes();
        self.add_pressure(point, s, by, out);
        for i in 0..2 {
            let mix = |total: f64, tangential: f64| pull.by_normal[i] * total + pull.by_tangential[i] * tangential;
            // d(z', -r') and d(r', z') by the edge's tangent, and the growth of the circumference.
            let turn = [[s.tangential, s.total], [-s.total, s.tangential]][i];
            let mut force_by = [0.0; MAX_DOFS];
            for b in 0..3 {
                for j in 0..2 {
                    force_by[2 * b + j] = shape[b] * mix(by.total[j], by.tangential[j]) + pull.weight * slope[b] * turn[j];
                }
                force_by[2 * b] += shape[b] * pull.force[i] / pull.radius;
            }
            for k in 0..m {
                force_by[6 + k] = mix(by.total_by_mode[k], by.tangential_by_mode[k]);
            }
            let by_multiplier = mix(by.total_by_multiplier, by.tangential_by_multiplier);
            for (value, hat) in force_by[6 + m..].iter_mut().zip(hats(GAUSS_4[q].0)) {
                *value = hat * by_multiplier;
            }
            let by_gas = mix(by.total_by_gas, by.tangential_by_gas);
            for a in 0..3 {
                add_row(out, 2 * a + i, -shape[a], pull.force[i], &force_by[..9 + m], by_gas);
            }
            for k in 0..m {
                add_row(out, 6 + k, by.modes[k][i], pull.force[i], &force_by[..9 + m], by_gas);
                let work = pull.force[i] * by.modes_by_arc[k][i];
                for b in 0..6 {
                    out.add(6 + k, b, work * shape[b / 2] * by.arc[b % 2]);
                }
                for l in 0..m {
                    out.add(6 + k, 6 + l, work * by.arc_by_mode[l]);
                }
            }
        }
    }
}

impl Contact {
    /// Adds the pressure on a point to the multipliers' equations, with the tangent.
    fn add_pressure(&self, point: usize, s: &Status, by: &Derivatives, out: &mut LocalSystem) {
        let (m, xi) = (self.carrier.n_modes(), GAUSS_4[point % POINTS].0);
        let shape = line3::shape(xi);
        let mut total_by = [0.0; MAX_DOFS];
        for b in 0..6 {
            total_by[b] = shape[b / 2] * by.total[b % 2];
        }
        total_by[6..6 + m].copy_from_slice(&by.total_by_mode[..m]);
        for (value, hat) in total_by[6 + m..].iter_mut().zip(hats(xi)) {
            *value = hat * by.total_by_multiplier;
        }
        for (k, weight) in self.weights[point].iter().enumerate() {
            add_row(out, 6 + m + k, *weight, s.total, &total_by[..9 + m], by.total_by_gas);
        }
    }
}

/// Adds a share of a force, its derivatives by all unknowns and by the gas pressure to a row.
fn add_row(out: &mut LocalSystem, row: usize, share: f64, force: f64, by: &[f64], by_gas: f64) {
    out.residual[row] += share * force;
    out.by_pressure[row] += share * by_gas;
    for (value, by) in out.tangent[row * MAX_DOFS..].iter_mut().zip(by) {
        *value += share * by;
    }
}
