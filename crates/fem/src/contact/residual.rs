//! Residual and tangent of a contact: force and its derivatives at every point, on the body's nodes and on the profile's modes, and the
//! equations of the multipliers.

use super::reduced_basis::{MAX_MODES, PerMode};
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
        out.extend(self.basis.dofs());
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
            let turning = self.turning(point, &status, state);
            if status.normal > 0.0 {
                let by = self.derivatives(point, &place, &status, state);
                self.add_transmitted(&x, point, &status, &by, turning, out);
            } else if turning > 0.0 {
                self.add_transmitted(&x, point, &status, &Derivatives::default(), turning, out);
            }
            if state.contact[point].wetted {
                self.add_gas(&x, point, load, out);
            }
        }
        self.add_gas_on_profile(item, &x, state, load, out);
        Ok(())
    }
}

/// How the pressure and traction that a point transmits follow what they depend on: its position and the modes' amplitudes.
#[derive(Default)]
pub(crate) struct Derivatives {
    normal: [f64; 2],
    pub(crate) tangential: [f64; 2],
    normal_by_mode: [f64; MAX_MODES],
    pub(crate) tangential_by_mode: [f64; MAX_MODES],
    /// By the multiplier over the penalty at the point.
    normal_by_multiplier: f64,
    pub(crate) tangential_by_multiplier: f64,
    /// By the gas pressure.
    normal_by_gas: f64,
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
    pub(crate) fn is_far(&self, edge: usize, x: &[[f64; 2]; 3], state: &State) -> bool {
        let points = &state.contact[edge * POINTS..(edge + 1) * POINTS];
        if points.iter().any(|p| p.wetted) || state.u[self.unknowns_of(edge)].iter().any(|l| *l > 0.0) {
            return false;
        }
        let square = |k: usize| (x[k][0] - x[2][0]).powi(2) + (x[k][1] - x[2][1]).powi(2);
        self.closest_point_near(x[2], points[POINTS / 2].arc, state).foot.gap > 1.5 * (square(0).sqrt() + square(1).sqrt())
    }

    /// The normal pressure that turns with the body's surface in the tangent. In equilibrium it is the transmitted one. Far from it that is
    /// a penalty times what gap an extrapolation left, or none, while the rubber below still holds the pressure of the last step: the
    /// tangent of soft rubber under so unbalanced a pressure is nearly singular. The multiplier is what the last tangent foresaw. It is
    /// the idea of the mixed integration points (Magisano, Leonetti and Garcea, Comput. Methods Appl. Mech. Eng. 313 (2017) 986, from
    /// memory) for a contact.
    fn turning(&self, point: usize, s: &Status, state: &State) -> f64 {
        if state.unbalanced { (self.multiplier(point, state) - (s.total - s.normal)).max(0.0) } else { s.normal }
    }

    /// The transmitted pressure falls by the penalty with the gap, and at a wetted point by what the gas rises; the tangential traction
    /// with it while the point slips, and with the arc length while it sticks.
    pub(crate) fn derivatives(&self, point: usize, place: &Place, s: &Status, state: &State) -> Derivatives {
        let (p, history) = (&self.parameters, &state.contact[point]);
        let (n, t) = (s.foot.normal, s.foot.tangent());
        let slip = if s.slips { p.friction * s.tangential.signum() } else { 0.0 };
        let stick = if s.slips { 0.0 } else { -p.tangential_penalty };
        let gap: [f64; 2] = std::array::from_fn(|j| n[j] - place.lean * t[j]);
        let arc: [f64; 2] = std::array::from_fn(|j| s.foot.stretch * t[j]);
        let by_gas = if history.wetted { -1.0 } else { 0.0 };
        let mut by = Derivatives {
            normal: gap.map(|g| -p.penalty * g),
            tangential: std::array::from_fn(|j| stick * arc[j] - slip * p.penalty * gap[j]),
            normal_by_mode: [0.0; MAX_MODES],
            tangential_by_mode: [0.0; MAX_MODES],
            normal_by_multiplier: p.penalty,
            tangential_by_multiplier: slip * p.penalty,
            normal_by_gas: by_gas,
            tangential_by_gas: slip * by_gas,
            modes: PerMode::default(),
            modes_by_arc: PerMode::default(),
            arc,
            arc_by_mode: [0.0; MAX_MODES],
        };
        (by.modes, by.modes_by_arc) = self.basis.modes(s.foot.arc);
        let near = self.modes_near(history.arc, &by.modes);
        for k in 0..self.basis.n_modes() {
            let gap = place.lean * dot(t, near[k]) - dot(n, by.modes[k]);
            by.arc_by_mode[k] = -dot(arc, near[k]);
            by.normal_by_mode[k] = -p.penalty * gap;
            by.tangential_by_mode[k] = stick * by.arc_by_mode[k] - slip * p.penalty * gap;
        }
        by
    }

    /// The modes at the foot of the last accepted step; `at_foot` are those at the present one.
    fn modes_near(&self, arc: f64, at_foot: &PerMode) -> PerMode {
        if self.basis.is_uniform() { *at_foot } else { self.basis.modes(arc).0 }
    }

    /// Adds a point's share of minus the multipliers to their equations, that they be the pressure on the average.
    pub(crate) fn add_multipliers(&self, point: usize, state: &State, out: &mut LocalSystem) {
        let first = 6 + self.basis.n_modes();
        let (hats, multiplier) = (hats(GAUSS_4[point % POINTS].0), self.multiplier(point, state));
        for (k, weight) in self.weights[point].iter().enumerate() {
            out.residual[first + k] -= weight * multiplier;
            for (l, hat) in hats.iter().enumerate() {
                out.add(first + k, first + l, -weight * self.parameters.penalty * hat);
            }
        }
    }

    /// Subtracts the force that a point transmits from the body's residual and adds it to the modes' and its pressure to the
    /// multipliers', with the tangent; `turning` is the pressure that turns in it.
    pub(crate) fn add_transmitted(
        &self,
        x: &[[f64; 2]; 3],
        point: usize,
        s: &Status,
        by: &Derivatives,
        turning: f64,
        out: &mut LocalSystem,
    ) {
        let (q, m) = (point % POINTS, self.basis.n_modes());
        let pull = Traction::new(x, q, s.normal, s.tangential);
        let (shape, slope, hats) = (line3::shape(GAUSS_4[q].0), line3::derivative(GAUSS_4[q].0), hats(GAUSS_4[q].0));
        self.add_pressure(point, s, by, out);
        for i in 0..2 {
            let mix = |normal: f64, tangential: f64| pull.by_normal[i] * normal + pull.by_tangential[i] * tangential;
            let turn = turn(turning, s.tangential)[i];
            let mut force_by = [0.0; MAX_DOFS];
            for b in 0..3 {
                for j in 0..2 {
                    force_by[2 * b + j] = shape[b] * mix(by.normal[j], by.tangential[j]) + pull.weight * slope[b] * turn[j];
                }
                force_by[2 * b] += shape[b] * pull.force[i] / pull.radius;
            }
            for k in 0..m {
                force_by[6 + k] = mix(by.normal_by_mode[k], by.tangential_by_mode[k]);
            }
            let by_multiplier = mix(by.normal_by_multiplier, by.tangential_by_multiplier);
            for (value, hat) in force_by[6 + m..].iter_mut().zip(hats) {
                *value = hat * by_multiplier;
            }
            let by_gas = mix(by.normal_by_gas, by.tangential_by_gas);
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

    /// Adds the pressure that a point transmits to the multipliers' equations, with the tangent.
    fn add_pressure(&self, point: usize, s: &Status, by: &Derivatives, out: &mut LocalSystem) {
        let (m, xi) = (self.basis.n_modes(), GAUSS_4[point % POINTS].0);
        let shape = line3::shape(xi);
        let mut normal_by = [0.0; MAX_DOFS];
        for b in 0..6 {
            normal_by[b] = shape[b / 2] * by.normal[b % 2];
        }
        normal_by[6..6 + m].copy_from_slice(&by.normal_by_mode[..m]);
        for (value, hat) in normal_by[6 + m..].iter_mut().zip(hats(xi)) {
            *value = hat * by.normal_by_multiplier;
        }
        for (k, weight) in self.weights[point].iter().enumerate() {
            add_row(out, 6 + m + k, *weight, s.normal, &normal_by[..9 + m], by.normal_by_gas);
        }
    }

    /// Subtracts the gas on a wetted point from the body's residual and adds its pressure to the multipliers', with the tangent.
    pub(crate) fn add_gas(&self, x: &[[f64; 2]; 3], point: usize, load: &Load, out: &mut LocalSystem) {
        let (q, first) = (point % POINTS, 6 + self.basis.n_modes());
        let pull = Traction::new(x, q, load.pressure, 0.0);
        let (shape, slope) = (line3::shape(GAUSS_4[q].0), line3::derivative(GAUSS_4[q].0));
        for i in 0..2 {
            let turn = turn(load.pressure, 0.0)[i];
            let mut force_by = [0.0; 6];
            for b in 0..3 {
                for j in 0..2 {
                    force_by[2 * b + j] = pull.weight * slope[b] * turn[j];
                }
                force_by[2 * b] += shape[b] * pull.force[i] / pull.radius;
            }
            for a in 0..3 {
                add_row(out, 2 * a + i, -shape[a], pull.force[i], &force_by, pull.by_normal[i]);
            }
        }
        for (k, weight) in self.weights[point].iter().enumerate() {
            add_row(out, first + k, *weight, load.pressure, &[], 1.0);
        }
    }

    /// Adds the gas on the profile to the modes' residual where it ends in an edge. It acts on the profile at rest: its force on the mode
    /// phi_k is -p int phi_k . n 2 pi r ds, n towards the gas, up to the foot of the seal.
    pub(crate) fn add_gas_on_profile(&self, edge: usize, x: &[[f64; 2]; 3], state: &State, load: &Load, out: &mut LocalSystem) {
        let (last, xi) = self.gas_end(state);
        let m = self.basis.n_modes();
        if edge != last || m == 0 {
            return;
        }
        let place = self.gas_place(x, edge, xi, state);
        let (lifted, by_arc) = self.basis.lifted(&self.profile, place.foot.arc);
        let inside = (0.0..self.profile.length()).contains(&place.foot.arc);
        let near = self.modes_near(self.arc_near(edge, xi, state), &self.basis.modes(place.foot.arc).0);
        let (shape, t) = (line3::shape(xi), place.foot.tangent().map(|t| place.foot.stretch * t));
        let mut arc_by = [0.0; MAX_DOFS];
        for b in 0..6 {
            arc_by[b] = shape[b / 2] * t[b % 2];
        }
        for k in 0..m {
            arc_by[6 + k] = -dot(t, near[k]);
        }
        for k in 0..m {
            let change = if inside { load.pressure * by_arc[k] } else { 0.0 };
            let force_by = arc_by.map(|by| change * by);
            add_row(out, 6 + k, 1.0, load.pressure * lifted[k], &force_by[..6 + m], lifted[k]);
        }
    }
}

/// Derivatives of a force by its edge's tangent, N/mm^2 for each (r, z): of d(z', -r') and d(r', z').
fn turn(normal: f64, tangential: f64) -> [[f64; 2]; 2] {
    [[tangential, normal], [-normal, tangential]]
}

/// Adds a share of a force, its derivatives by all unknowns and by the gas pressure to a row.
fn add_row(out: &mut LocalSystem, row: usize, share: f64, force: f64, by: &[f64], by_gas: f64) {
    out.residual[row] += share * force;
    out.by_pressure[row] += share * by_gas;
    for (value, by) in out.tangent[row * MAX_DOFS..].iter_mut().zip(by) {
        *value += share * by;
    }
}
