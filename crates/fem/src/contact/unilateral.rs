//! Unilateral contact with Coulomb friction at points of a boundary, by the augmented Lagrangian method.
//!
//! Integration points are the four Gauss points of each quadratic edge: twice as many as the edge has nodes of its own, so that the
//! force passes smoothly from edge to edge when the body rolls over a sharp part of the profile. Multipliers live at the nodes, straight
//! in between, one for each node, so that they do not ask for more than the edge can do. With gap g, multiplier l, penalty e and the gas
//! pressure p of a wetted point (0 elsewhere) the normal pressure that the contact transmits is t = max(0, l - e g - p); the tangential
//! traction is the trial s = s0 - e_t (arc - arc0), returned to |s| <= mu t. Augmentation `l <- max(0, l - e <g>)`, with the gap
//! averaged round each node, drives the penetration under any bound.
//! Pressure and traction act on the deformed surface of the body: t along its own normal, s along its own tangent. In equilibrium the
//! body's normal is the profile's; taking the body's keeps the force smooth where the profile's curvature jumps, and makes contact
//! pressure and gas pressure the same operator.
//! Where gas wets a point it presses on body and profile alike, so the total normal pressure there is at least p, as an open interface
//! demands.
//! The profile is carried by the modes of a [`Carrier`]: a point at x meets the profile at rest at the foot of x - u(s), with s the foot
//! itself, found in one correction from the foot of the last accepted step. Modes take the opposite of the force on the body.
//! Sources: Simo and Laursen, Comput. Struct. 42 (1992) 97; Wriggers, Computational Contact Mechanics, chapter 6 (from memory).

use super::aitken;
use super::carrier::{Carrier, MAX_MODES, PerMode};
use super::profile::{Foot, Profile};
use crate::contribution::{Contribution, LocalSystem, MAX_DOFS};
use crate::element::line3;
use crate::error::SolveError;
use crate::mesh::{Mesh, line_point};
use crate::quadrature::GAUSS_4;
use crate::state::{ContactPoint, Load, State};
use std::f64::consts::PI;

/// Contact points of an edge.
pub const POINTS: usize = GAUSS_4.len();

/// A boundary that may touch a profile.
#[derive(Clone, Debug)]
pub struct Contact {
    edges: Vec<[usize; 3]>,
    reference: Vec<[[f64; 2]; 3]>,
    profile: Profile,
    parameters: Parameters,
    carrier: Carrier,
    /// Share of each point in the gap round its edge's nodes (first, mid, last), before division by `measure`.
    weights: Vec<[f64; 3]>,
    /// Sum of the weights of each node.
    measure: Vec<f64>,
}

/// Contact parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parameters {
    /// Normal penalty, MPa/mm.
    pub penalty: f64,
    /// Tangential penalty, MPa/mm.
    pub tangential_penalty: f64,
    /// Coulomb friction coefficient.
    pub friction: f64,
}

/// What happens at one contact point.
#[derive(Clone, Copy, Debug)]
pub struct Status {
    /// Foot on the profile.
    pub foot: Foot,
    /// Normal pressure of the contact (beyond the gas where wetted), MPa.
    pub normal: f64,
    /// Normal pressure of contact and gas together, MPa.
    pub total: f64,
    /// Tangential traction on the body along the profile, MPa.
    pub tangential: f64,
    /// Whether the point slips.
    pub slips: bool,
}

impl Contact {
    /// Contact of the quadratic `edges` (first, last, mid node), given in order along the boundary, with `profile`.
    ///
    /// The edges run in the profile's direction with the body to their right, so that the two surfaces face each other.
    /// Points are numbered along the boundary: edge i has the points i [`POINTS`] and the following.
    pub fn new(mesh: &Mesh, edges: &[[usize; 3]], profile: Profile, parameters: Parameters, carrier: Carrier) -> Self {
        let reference: Vec<[[f64; 2]; 3]> = edges.iter().map(|e| e.map(|n| mesh.nodes[n])).collect();
        let weights: Vec<[f64; 3]> = reference.iter().flat_map(node_weights).collect();
        let mut measure = vec![0.0; 2 * edges.len() + 1];
        for (point, shares) in weights.iter().enumerate() {
            for (k, share) in shares.iter().enumerate() {
                measure[2 * (point / POINTS) + k] += share;
            }
        }
        Self { edges: edges.to_vec(), reference, profile, parameters, carrier, weights, measure }
    }

    /// Number of points.
    pub fn n_points(&self) -> usize {
        POINTS * self.edges.len()
    }

    /// The profile in its place of rest.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// How the profile is carried.
    pub fn carrier(&self) -> &Carrier {
        &self.carrier
    }

    /// Gives a state the history of a contact that has touched nothing, feet taken where its points are.
    pub fn begin(&self, state: &mut State) {
        let at_rest = |i: usize| self.profile.foot(self.position(i, state)).arc;
        state.contact = (0..self.n_points()).map(|i| ContactPoint { arc: at_rest(i), ..ContactPoint::default() }).collect();
        state.multipliers = vec![0.0; self.measure.len()];
    }

    /// Current position of a point (r, z), mm.
    pub fn position(&self, point: usize, state: &State) -> [f64; 2] {
        line_point(&self.edge_positions(point / POINTS, state), GAUSS_4[point % POINTS].0).0
    }

    /// Status of a point under the gas pressure `gas`, MPa.
    pub fn status(&self, point: usize, state: &State, gas: f64) -> Status {
        self.status_at(self.foot(point, state), point, state, gas)
    }

    fn status_at(&self, foot: Foot, point: usize, state: &State, gas: f64) -> Status {
        let history = &state.contact[point];
        let p = &self.parameters;
        let multiplier = self.multiplier(point, state);
        let floor = if history.wetted { gas } else { 0.0 };
        let normal = (multiplier - p.penalty * foot.gap - floor).max(0.0);
        let trial = history.tangential - p.tangential_penalty * (foot.arc - history.arc);
        let bound = p.friction * normal;
        let slips = trial.abs() > bound;
        let tangential = if slips { bound.copysign(trial) } else { trial };
        Status { foot, normal, total: normal + floor, tangential, slips }
    }

    fn multiplier(&self, point: usize, state: &State) -> f64 {
        let first = 2 * (point / POINTS);
        hats(GAUSS_4[point % POINTS].0).iter().enumerate().map(|(k, h)| h * state.multipliers[first + k]).sum()
    }

    /// The history of an accepted step: tractions and feet of now, multipliers augmented; wetting unchanged.
    pub fn accept(&self, state: &mut State, gas: f64) {
        let points = (0..self.n_points()).map(|i| {
            let s = self.status(i, state, gas);
            ContactPoint { tangential: s.tangential, arc: s.foot.arc, wetted: state.contact[i].wetted }
        });
        state.contact = points.collect();
        self.augment(state, aitken::FIRST);
    }

    /// Multipliers corrected by `relaxation` x penalty x the gap averaged round each node; tractions and feet unchanged.
    pub fn augment(&self, state: &mut State, relaxation: f64) {
        let gaps = self.gaps(state);
        for (l, gap) in state.multipliers.iter_mut().zip(gaps) {
            *l = (*l - relaxation * self.parameters.penalty * gap).max(0.0);
        }
    }

    /// How far each node is from what the multipliers aim at, mm: penetration, or gap across which a multiplier still presses. It is
    /// the natural residual min(gap, multiplier / penalty) of the complementarity conditions.
    pub fn misfits(&self, state: &State) -> Vec<f64> {
        self.gaps(state).into_iter().zip(&state.multipliers).map(|(gap, l)| gap.min(l / self.parameters.penalty)).collect()
    }

    /// Largest size of [`Self::misfits`], mm.
    pub fn misfit(&self, state: &State) -> f64 {
        self.misfits(state).into_iter().fold(0.0, |worst, m| worst.max(m.abs()))
    }

    /// Gap averaged round each node, mm.
    fn gaps(&self, state: &State) -> Vec<f64> {
        let mut gaps = vec![0.0; self.measure.len()];
        for (point, shares) in self.weights.iter().enumerate() {
            let gap = self.foot(point, state).gap;
            for (k, share) in shares.iter().enumerate() {
                gaps[2 * (point / POINTS) + k] += share * gap;
            }
        }
        gaps.iter().zip(&self.measure).map(|(gap, measure)| gap / measure).collect()
    }

    /// Force of the profile on the body at every point (r, z), N over the circumference; that of the gas between them is not in it.
    pub fn forces(&self, state: &State, gas: f64) -> Vec<[f64; 2]> {
        self.tractions(state, gas).map(|(x, q, s)| Traction::new(&x, q, s.normal, s.tangential).force).collect()
    }

    /// Force of the gas between body and profile on the body (r, z), N over the circumference.
    pub fn gas_force(&self, state: &State, gas: f64) -> [f64; 2] {
        let forces = self.tractions(state, gas).map(|(x, q, s)| Traction::new(&x, q, s.total - s.normal, 0.0).force);
        forces.fold([0.0; 2], |sum, f| [sum[0] + f[0], sum[1] + f[1]])
    }

    /// What presses on the profile at every point: arc length, mm, force of the body and force of the gas (r, z), N over the
    /// circumference.
    pub fn loads(&self, state: &State, gas: f64) -> Vec<(f64, [f64; 2], [f64; 2])> {
        let load = |(x, q, s): ([[f64; 2]; 3], usize, Status)| {
            let force = |normal: f64, tangential: f64| Traction::new(&x, q, normal, tangential).force.map(|f| -f);
            (s.foot.arc, force(s.normal, s.tangential), force(s.total - s.normal, 0.0))
        };
        self.tractions(state, gas).map(load).collect()
    }

    /// Positions of its edge's nodes, place in the edge and status of every point.
    fn tractions(&self, state: &State, gas: f64) -> impl Iterator<Item = ([[f64; 2]; 3], usize, Status)> {
        (0..self.n_points())
            .map(move |point| (self.edge_positions(point / POINTS, state), point % POINTS, self.status(point, state, gas)))
    }

    fn edge_positions(&self, edge: usize, state: &State) -> [[f64; 2]; 3] {
        let u = state.gather(&self.edges[edge]);
        std::array::from_fn(|a| std::array::from_fn(|i| self.reference[edge][a][i] + u[a][i]))
    }

    /// Foot of a point on the carried profile, told by its place on the profile at rest.
    pub fn foot(&self, point: usize, state: &State) -> Foot {
        self.place(point, state).foot
    }

    fn place(&self, point: usize, state: &State) -> Place {
        self.foot_near(self.position(point, state), state.contact[point].arc, state)
    }

    /// Foot of a position, mm, on the carried profile; `near` is an arc length not far from it.
    pub fn foot_near(&self, x: [f64; 2], near: f64, state: &State) -> Place {
        let (shift, _) = self.carrier.displacement(near, &state.u);
        let mut foot = self.profile.foot([x[0] - shift[0], x[1] - shift[1]]);
        if self.carrier.is_uniform() {
            return Place { foot, lean: 0.0 };
        }
        let (own, slope) = self.carrier.displacement(foot.arc, &state.u);
        let (n, t) = (foot.normal, foot.tangent());
        let rest = [own[0] - shift[0], own[1] - shift[1]];
        foot.gap -= dot(n, rest);
        Place { foot, lean: foot.turn * dot(t, rest) + foot.stretch * dot(n, slope) }
    }
}

/// A point against the carried profile.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Foot on the profile.
    pub foot: Foot,
    /// The gap falls by this much for each mm along the profile: the carried profile leans against the profile at rest.
    lean: f64,
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Hat functions of an edge's nodes (first, mid, last), straight between them.
fn hats(xi: f64) -> [f64; 3] {
    [(-xi).max(0.0), 1.0 - xi.abs(), xi.max(0.0)]
}

/// Weight of each point of an edge in the averages round the edge's nodes.
fn node_weights(x: &[[f64; 2]; 3]) -> [[f64; 3]; POINTS] {
    GAUSS_4.map(|(xi, w)| {
        let (_, along) = line_point(x, xi);
        hats(xi).map(|h| h * w * along[0].hypot(along[1]))
    })
}

/// Force of one point's traction and what its derivatives need.
struct Traction {
    force: [f64; 2],
    /// Force per normal pressure and per tangential traction, mm^2.
    by_normal: [f64; 2],
    by_tangential: [f64; 2],
    /// 2 pi w r, mm, and r, mm.
    weight: f64,
    radius: f64,
}

impl Traction {
    /// Normal pressure along the normal (z', -r') and tangential traction along (r', z') at point `q` of an edge.
    fn new(x: &[[f64; 2]; 3], q: usize, normal: f64, tangential: f64) -> Self {
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
        if self.is_far(item, &x, state) {
            return Ok(());
        }
        for q in 0..POINTS {
            let point = item * POINTS + q;
            let place = self.place(point, state);
            let status = self.status_at(place.foot, point, state, load.pressure);
            if status.total > 0.0 {
                let by = self.derivatives(point, &place, &status, state);
                self.add_point(&x, q, &status, &by, out);
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
        if points.iter().any(|p| p.wetted) || state.multipliers[2 * edge..2 * edge + 3].iter().any(|l| *l > 0.0) {
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

    /// Subtracts the force of point `q` of an edge from the body's residual and adds it to the modes', with the tangent.
    fn add_point(&self, x: &[[f64; 2]; 3], q: usize, s: &Status, by: &Derivatives, out: &mut LocalSystem) {
        let pull = Traction::new(x, q, s.total, s.tangential);
        let (shape, slope) = (line3::shape(GAUSS_4[q].0), line3::derivative(GAUSS_4[q].0));
        let m = self.carrier.n_modes();
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
            let by_gas = mix(by.total_by_gas, by.tangential_by_gas);
            for a in 0..3 {
                add_row(out, 2 * a + i, -shape[a], pull.force[i], &force_by[..6 + m], by_gas);
            }
            for k in 0..m {
                add_row(out, 6 + k, by.modes[k][i], pull.force[i], &force_by[..6 + m], by_gas);
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

/// Adds a share of a force, its derivatives by all unknowns and by the gas pressure to a row.
fn add_row(out: &mut LocalSystem, row: usize, share: f64, force: f64, by: &[f64], by_gas: f64) {
    out.residual[row] += share * force;
    out.by_pressure[row] += share * by_gas;
    for (value, by) in out.tangent[row * MAX_DOFS..].iter_mut().zip(by) {
        *value += share * by;
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::contact::profile::Corner;
    use approx::assert_relative_eq;

    /// An edge that bends round the corner fillet between a seat and a wall, pressed into it.
    fn contact(friction: f64, modes: bool) -> (Contact, State) {
        let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 1 };
        let corners = [corner(300.0, 0.0, 0.0), corner(300.0, 10.0, 1.0), corner(306.0, 10.0, 0.8), corner(306.0, 12.0, 0.0)];
        let s = 0.5_f64.sqrt();
        let mesh = Mesh { nodes: vec![[300.0, 8.6], [301.4, 10.0], [301.0 - s, 9.0 + s]], quads: vec![] };
        let parameters = Parameters { penalty: 500.0, tangential_penalty: 80.0, friction };
        let profile = Profile::new(&corners).unwrap();
        let carrier = if modes { bending(&profile) } else { Carrier::rigid(&profile, 6) };
        let contact = Contact::new(&mesh, &[[0, 1, 2]], profile, parameters, carrier);
        let mut state = State { u: vec![0.0; 8], ..State::default() };
        contact.begin(&mut state);
        state.multipliers = vec![12.0, 15.0, 13.0];
        state.u = vec![-0.02, 0.011, 0.012, 0.03, -0.02, 0.025, 0.004, 0.01];
        state.contact[1].wetted = true;
        (contact, state)
    }

    /// A radial mode and one that bends strongly along the profile.
    fn bending(profile: &Profile) -> Carrier {
        Carrier::new(profile, 6, &[&|_| [1.0, 0.0], &|s| [0.3 * (0.7 * s).sin(), 0.2 * s]])
    }

    #[test]
    fn tangent_agrees_with_differences_in_stick_and_slip() {
        let load = Load { pressure: 0.6, ..Load::default() };
        for (friction, slipping, modes) in [(0.0, 4, false), (0.02, 2, false), (0.9, 0, false), (0.0, 4, true), (0.9, 0, true)] {
            let (contact, state) = contact(friction, modes);
            let status: Vec<_> = (0..POINTS).map(|i| contact.status(i, &state, load.pressure)).collect();
            assert!(status.iter().all(|s| s.normal > 0.0));
            assert_eq!(status.iter().filter(|s| s.slips).count(), slipping);
            crate::contribution::tests::check_tangent(&contact, &state, &load);
        }
    }

    #[test]
    fn gas_alone_presses_on_body_and_profile_alike() {
        let load = Load { pressure: 0.6, ..Load::default() };
        let (contact, mut state) = contact(0.3, true);
        state.u = vec![0.3, -0.3, 0.3, -0.3, 0.3, -0.3, 0.0, 0.01];
        state.multipliers = vec![0.0; 3];
        state.contact.iter_mut().for_each(|p| p.wetted = true);
        assert!((0..POINTS).all(|i| contact.status(i, &state, load.pressure).normal == 0.0));
        crate::contribution::tests::check_tangent(&contact, &state, &load);
        let sum = contact.loads(&state, load.pressure).iter().fold([0.0; 2], |s, (_, _, f)| [s[0] + f[0], s[1] + f[1]]);
        let gas = contact.gas_force(&state, load.pressure);
        assert!(gas[0].hypot(gas[1]) > 100.0);
        assert_relative_eq!(sum[0], -gas[0], max_relative = 1e-12);
        assert_relative_eq!(sum[1], -gas[1], max_relative = 1e-12);
    }

    #[test]
    fn the_gap_to_a_turned_wall_is_that_of_the_turned_line() {
        // A long wall along r that turns by a small angle about its foot: u = angle x arm, normal to the wall.
        let corner = |r: f64, z: f64| Corner { position: [r, z], radius: 0.5, label: 0, fillet_label: 0 };
        let profile = Profile::new(&[corner(300.0, 0.0), corner(300.0, 10.0), corner(320.0, 10.0)]).unwrap();
        let start = profile.foot([301.0, 9.9]).arc;
        let carrier = Carrier::new(&profile, 6, &[&|s| [0.0, (s - start).max(0.0)]]);
        let mesh = Mesh { nodes: vec![[310.0, 9.0], [312.0, 9.0], [311.0, 9.0]], quads: vec![] };
        let contact = Contact::new(
            &mesh,
            &[[0, 1, 2]],
            profile,
            Parameters { penalty: 1.0, tangential_penalty: 1.0, friction: 0.0 },
            carrier,
        );
        let mut state = State { u: vec![0.0; 7], ..State::default() };
        contact.begin(&mut state);
        let angle = 0.01;
        state.u[6] = angle;
        let x = contact.position(1, &state);
        // The wall's point at height x_r has moved to 10 + angle (x_r - 301): the gap along the wall's normal at rest.
        assert_relative_eq!(contact.foot(1, &state).gap, 10.0 + angle * (x[0] - 301.0) - x[1], epsilon = 1e-4);
    }

    #[test]
    fn augmentation_raises_the_multiplier_where_the_bodies_overlap_and_drops_it_where_they_part() {
        let (contact, mut state) = contact(0.0, false);
        let gaps = contact.gaps(&state);
        assert!(gaps.iter().all(|g| *g < 0.0));
        assert_relative_eq!(contact.misfit(&state), -gaps.iter().copied().fold(0.0, f64::min), max_relative = 1e-12);
        contact.augment(&mut state, aitken::FIRST);
        assert_relative_eq!(state.multipliers[1], 15.0 - 1.7 * 500.0 * gaps[1], max_relative = 1e-12);
        state.u[6] = -1.0;
        contact.augment(&mut state, aitken::FIRST);
        assert!(state.multipliers[0] == 0.0);
    }
}
