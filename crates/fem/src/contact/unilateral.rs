//! Unilateral contact with Coulomb friction at points of a boundary, by the augmented Lagrangian method.
//!
//! Integration points are the four Gauss points of each quadratic edge: twice as many as the edge has nodes of its own, so that the
//! force passes smoothly from edge to edge when the body rolls over a sharp part of the profile. Multipliers live at the nodes, straight
//! in between, one for each node, so that they do not ask for more than the edge can do. With gap g, multiplier l, penalty e and the gas
//! pressure p of a wetted point (0 elsewhere) the normal pressure on the body is T = max(p, l - e g), of which the contact transmits
//! t = T - p; the tangential traction is the trial s = s0 - e_t (arc - arc0), returned to |s| <= mu t. The multipliers are unknowns of
//! the system, by the equations that l be T on the average round each node: where the body touches, the averaged gap vanishes. Newton's
//! method on these equations, with the kinks of max and return taken one-sidedly, finds forces and active points together; it is the
//! primal-dual active set strategy (Hintermueller, Ito and Kunisch, SIAM J. Optim. 13 (2003) 865; Alart and Curnier, Comput. Methods
//! Appl. Mech. Eng. 92 (1991) 353; both from memory). The penalty has no part in the solution where the body touches; it sets how
//! readily points come and go. A multiplier is kept as l / e, mm.
//! Pressure and traction act on the deformed surface of the body: t along its own normal, s along its own tangent. In equilibrium the
//! body's normal is the profile's; taking the body's keeps the force smooth where the profile's curvature jumps, and makes contact
//! pressure and gas pressure the same operator.
//! Gas wets the points before the seal, where the total normal pressure is at least p, as an open interface demands, and the profile up
//! to the foot of the seal.
//! The profile is carried by the modes of a [`ReducedBasis`]: a point at x meets the profile at rest at the foot of x - u(s), with s the foot
//! itself, found in one correction from the foot of the last accepted step. Modes take the opposite of what the contact transmits, and
//! the gas on the profile itself: by way of the feet of an open joint its force would jump where a foot does.
//! Sources: Simo and Laursen, Comput. Struct. 42 (1992) 97; Wriggers, Computational Contact Mechanics, chapter 6 (from memory).

use super::reduced_basis::ReducedBasis;
use super::residual::Traction;
use crate::mesh::{Mesh, line_point};
use crate::quadrature::GAUSS_4;
use crate::state::{ContactPoint, State};
use hoopwright_profile::{ClosestPoint, Profile};
use std::f64::consts::PI;

/// Contact points of an edge.
pub const POINTS: usize = GAUSS_4.len();

/// A boundary that may touch a profile.
#[derive(Clone, Debug)]
pub struct Contact {
    pub(crate) edges: Vec<[usize; 3]>,
    reference: Vec<[[f64; 2]; 3]>,
    pub(super) profile: Profile,
    pub(crate) parameters: Parameters,
    pub(crate) basis: ReducedBasis,
    /// Share of each point in the averages round its edge's nodes (first, mid, last) at rest, mm^2 of the circumference.
    pub(crate) weights: Vec<[f64; 3]>,
    first_multiplier: usize,
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
    /// The closest point on the profile.
    pub foot: ClosestPoint,
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
    pub fn new(mesh: &Mesh, edges: &[[usize; 3]], profile: Profile, parameters: Parameters, basis: ReducedBasis) -> Self {
        let reference: Vec<[[f64; 2]; 3]> = edges.iter().map(|e| e.map(|n| mesh.nodes[n])).collect();
        let weights: Vec<[f64; 3]> = reference.iter().flat_map(node_weights).collect();
        let first_multiplier = basis.dofs().end.max(2 * mesh.nodes.len());
        Self { edges: edges.to_vec(), reference, profile, parameters, basis, weights, first_multiplier }
    }

    /// The unknowns of the multipliers, at the nodes of the edges in order: after the displacements and the basis's modes.
    pub fn unknowns(&self) -> std::ops::Range<usize> {
        self.first_multiplier..self.first_multiplier + 2 * self.edges.len() + 1
    }

    /// The multipliers' unknowns of an edge.
    pub(super) fn unknowns_of(&self, edge: usize) -> std::ops::Range<usize> {
        self.first_multiplier + 2 * edge..self.first_multiplier + 2 * edge + 3
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
    pub fn basis(&self) -> &ReducedBasis {
        &self.basis
    }

    /// Gives a state the history of a contact that has touched nothing, feet taken where its points are.
    pub fn begin(&self, state: &mut State) {
        let at_rest = |i: usize| self.profile.closest_point(self.position(i, state)).arc;
        state.contact = (0..self.n_points()).map(|i| ContactPoint { arc: at_rest(i), ..ContactPoint::default() }).collect();
    }

    /// Current position of a point (r, z), mm.
    pub fn position(&self, point: usize, state: &State) -> [f64; 2] {
        line_point(&self.edge_positions(point / POINTS, state), GAUSS_4[point % POINTS].0).0
    }

    /// Status of a point under the gas pressure `gas`, MPa.
    pub fn status(&self, point: usize, state: &State, gas: f64) -> Status {
        self.status_at(self.closest_point(point, state), point, state, gas)
    }

    pub(crate) fn status_at(&self, foot: ClosestPoint, point: usize, state: &State, gas: f64) -> Status {
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

    /// The multiplier at a point, MPa.
    pub(crate) fn multiplier(&self, point: usize, state: &State) -> f64 {
        let held = &state.u[self.unknowns_of(point / POINTS)];
        let over_penalty: f64 = hats(GAUSS_4[point % POINTS].0).iter().zip(held).map(|(h, l)| h * l).sum();
        self.parameters.penalty * over_penalty
    }

    /// The history of an accepted step: tractions and feet of now; wetting unchanged.
    pub fn accept(&self, state: &mut State, gas: f64) {
        let points = (0..self.n_points()).map(|i| {
            let s = self.status(i, state, gas);
            ContactPoint { tangential: s.tangential, arc: s.foot.arc, wetted: state.contact[i].wetted }
        });
        state.contact = points.collect();
    }

    /// Largest penetration, averaged round the nodes, mm.
    pub fn penetration(&self, state: &State) -> f64 {
        self.gaps(state).into_iter().fold(0.0, |worst, gap| worst.max(-gap))
    }

    /// Gap averaged round each node, mm.
    fn gaps(&self, state: &State) -> Vec<f64> {
        let mut sums = vec![(0.0, 0.0); self.unknowns().len()];
        for (point, shares) in self.weights.iter().enumerate() {
            let gap = self.closest_point(point, state).gap;
            for (sum, share) in sums[2 * (point / POINTS)..].iter_mut().zip(shares) {
                sum.0 += share * gap;
                sum.1 += share;
            }
        }
        sums.into_iter().map(|(gap, measure)| gap / measure).collect()
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

    /// What the body does to the profile at every point: arc length, mm, and force (r, z), N over the circumference.
    pub fn loads(&self, state: &State, gas: f64) -> Vec<(f64, [f64; 2])> {
        let load = |(x, q, s): ([[f64; 2]; 3], usize, Status)| {
            (s.foot.arc, Traction::new(&x, q, s.normal, s.tangential).force.map(|f| -f))
        };
        self.tractions(state, gas).map(load).collect()
    }

    /// Edge and place in it where the gas ends: behind the last point that it wets, by the points' weights.
    pub(super) fn gas_end(&self, state: &State) -> (usize, f64) {
        let wetted = state.contact.iter().take_while(|point| point.wetted).count();
        let edge = (wetted / POINTS).min(self.edges.len() - 1);
        (edge, GAUSS_4[..wetted - POINTS * edge].iter().map(|(_, weight)| weight).sum::<f64>() - 1.0)
    }

    /// The point of the profile where the gas ends: the gas presses on the profile from its start to there.
    pub fn seal(&self, state: &State) -> ClosestPoint {
        let (edge, xi) = self.gas_end(state);
        self.gas_place(&self.edge_positions(edge, state), edge, xi, state).foot
    }

    pub(super) fn gas_place(&self, x: &[[f64; 2]; 3], edge: usize, xi: f64, state: &State) -> Place {
        self.closest_point_near(line_point(x, xi).0, self.arc_near(edge, xi, state), state)
    }

    /// Arc length of the last accepted foot of the point nearest to a place in an edge, mm.
    pub(super) fn arc_near(&self, edge: usize, xi: f64, state: &State) -> f64 {
        let distance = |q: &usize| (GAUSS_4[*q].0 - xi).abs();
        let nearest = (0..POINTS).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0);
        state.contact[POINTS * edge + nearest].arc
    }

    /// Positions of its edge's nodes, place in the edge and status of every point.
    fn tractions(&self, state: &State, gas: f64) -> impl Iterator<Item = ([[f64; 2]; 3], usize, Status)> {
        (0..self.n_points())
            .map(move |point| (self.edge_positions(point / POINTS, state), point % POINTS, self.status(point, state, gas)))
    }

    pub(crate) fn edge_positions(&self, edge: usize, state: &State) -> [[f64; 2]; 3] {
        let u = state.gather(&self.edges[edge]);
        std::array::from_fn(|a| std::array::from_fn(|i| self.reference[edge][a][i] + u[a][i]))
    }

    /// The closest point to a contact point on the carried profile, told by its place on the profile at rest.
    pub fn closest_point(&self, point: usize, state: &State) -> ClosestPoint {
        self.place(point, state).foot
    }

    pub(crate) fn place(&self, point: usize, state: &State) -> Place {
        self.closest_point_near(self.position(point, state), state.contact[point].arc, state)
    }

    /// The closest point to a position, mm, on the carried profile; `near` is an arc length not far from it.
    pub fn closest_point_near(&self, x: [f64; 2], near: f64, state: &State) -> Place {
        let (shift, _) = self.basis.displacement(near, &state.u);
        let mut foot = self.profile.closest_point_near([x[0] - shift[0], x[1] - shift[1]], near);
        if self.basis.is_uniform() {
            return Place { foot, lean: 0.0 };
        }
        let (own, slope) = self.basis.displacement(foot.arc, &state.u);
        let (n, t) = (foot.normal, foot.tangent());
        let rest = [own[0] - shift[0], own[1] - shift[1]];
        foot.gap -= dot(n, rest);
        Place { foot, lean: foot.turn * dot(t, rest) + foot.stretch * dot(n, slope) }
    }
}

/// A point against the carried profile.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// The closest point on the profile.
    pub foot: ClosestPoint,
    /// The gap falls by this much for each mm along the profile: the carried profile leans against the profile at rest.
    pub(super) lean: f64,
}

pub(super) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Hat functions of an edge's nodes (first, mid, last), straight between them.
pub(crate) fn hats(xi: f64) -> [f64; 3] {
    [(-xi).max(0.0), 1.0 - xi.abs(), xi.max(0.0)]
}

/// Weight of each point of an edge in the averages round the edge's nodes, mm^2 of the circumference.
fn node_weights(x: &[[f64; 2]; 3]) -> [[f64; 3]; POINTS] {
    GAUSS_4.map(|(xi, w)| {
        let (position, along) = line_point(x, xi);
        hats(xi).map(|h| 2.0 * PI * position[0] * h * w * along[0].hypot(along[1]))
    })
}

#[cfg(test)]
pub(crate) mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::contribution::tests::{check_tangent, local};
    use crate::state::Load;
    use approx::assert_relative_eq;
    use hoopwright_profile::Corner;

    /// How the profile of [`contact`] is carried.
    #[derive(Clone, Copy, PartialEq)]
    pub(crate) enum Held {
        Fixed,
        Radially,
        Bending,
    }

    /// An edge that bends round the corner fillet between a floor and a wall, pressed into it.
    pub(crate) fn contact(friction: f64, held: Held) -> (Contact, State) {
        let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 1 };
        let corners = [corner(300.0, 0.0, 0.0), corner(300.0, 10.0, 1.0), corner(306.0, 10.0, 0.8), corner(306.0, 12.0, 0.0)];
        let s = 0.5_f64.sqrt();
        let mesh = Mesh { nodes: vec![[300.0, 8.6], [301.4, 10.0], [301.0 - s, 9.0 + s]], quads: vec![] };
        let parameters = Parameters { penalty: 500.0, tangential_penalty: 80.0, friction };
        let profile = Profile::new(&corners).unwrap();
        let basis = match held {
            Held::Fixed => ReducedBasis::fixed(),
            Held::Radially => ReducedBasis::rigid(&profile, 6),
            Held::Bending => bending(&profile),
        };
        let contact = Contact::new(&mesh, &[[0, 1, 2]], profile, parameters, basis);
        let mut state = State { u: vec![0.0; contact.unknowns().end], ..State::default() };
        contact.begin(&mut state);
        let unknowns = [-0.02, 0.011, 0.012, 0.03, -0.02, 0.025, 0.004, 0.01];
        let first = contact.unknowns().start;
        state.u[..first].copy_from_slice(&unknowns[..first]);
        state.u[contact.unknowns()].copy_from_slice(&[12.0 / 500.0, 15.0 / 500.0, 13.0 / 500.0]);
        state.contact[0].wetted = true;
        state.contact[1].wetted = true;
        (contact, state)
    }

    /// A floor at r = 300 mm from z = 0 to 10 mm, and a long wall from its end.
    pub(crate) fn floor_and_wall() -> Profile {
        let corner = |r: f64, z: f64| Corner { position: [r, z], radius: 0.5, label: 0, fillet_label: 0 };
        Profile::new(&[corner(300.0, 0.0), corner(300.0, 10.0), corner(320.0, 10.0)]).unwrap()
    }

    /// A radial mode and one that bends strongly along the profile.
    fn bending(profile: &Profile) -> ReducedBasis {
        ReducedBasis::new(profile, 6, &[&|_| [1.0, 0.0], &|s| [0.3 * (0.7 * s).sin(), 0.2 * s]])
    }

    #[test]
    fn tangent_agrees_with_differences_in_stick_and_slip() {
        let load = Load { pressure: 0.6, ..Load::default() };
        let (radially, bending) = (Held::Radially, Held::Bending);
        for (friction, slipping, held) in
            [(0.0, 4, radially), (0.02, 2, radially), (0.9, 0, radially), (0.0, 4, bending), (0.9, 0, bending)]
        {
            let (contact, state) = contact(friction, held);
            let status: Vec<_> = (0..POINTS).map(|i| contact.status(i, &state, load.pressure)).collect();
            assert!(status.iter().all(|s| s.normal > 0.0));
            assert_eq!(status.iter().filter(|s| s.slips).count(), slipping);
            check_tangent(&contact, &state, &load);
        }
    }

    #[test]
    fn gas_presses_on_the_body_where_it_wets_it_and_on_the_profile_up_to_the_foot_of_the_seal() {
        let load = Load { pressure: 0.6, ..Load::default() };
        for wetted in 0..=POINTS {
            let (contact, mut state) = contact(0.3, Held::Bending);
            state.u = vec![0.3, -0.3, 0.3, -0.3, 0.3, -0.3, 0.0, 0.01, 0.0, 0.0, 0.0];
            state.contact.iter_mut().enumerate().for_each(|(i, p)| p.wetted = i < wetted);
            assert!((0..POINTS).all(|i| contact.status(i, &state, load.pressure).normal == 0.0));
            check_tangent(&contact, &state, &load);
            let gas = contact.gas_force(&state, load.pressure);
            assert_eq!(gas[0].hypot(gas[1]) > 100.0, wetted > 0);
            let out = local(&contact, 0, &state, &[], &load);
            let up_to_the_seal = 0.6 * 2.0 * PI * contact.profile().moment(contact.seal(&state).arc);
            assert_relative_eq!(out.residual[6], up_to_the_seal, max_relative = 1e-9);
        }
    }

    #[test]
    fn an_edge_of_which_one_end_touches_is_not_far() {
        let profile = floor_and_wall();
        let parameters = Parameters { penalty: 500.0, tangential_penalty: 80.0, friction: 0.3 };
        // Tilted about its middle, which is clear of the floor by half of what its first end dips in.
        for (height, touches) in [(0.05, true), (0.2, false)] {
            let mesh = Mesh {
                nodes: vec![[300.0 + height - 0.15, 2.0], [300.0 + height + 0.15, 4.0], [300.0 + height, 3.0]],
                quads: vec![],
            };
            let contact = Contact::new(&mesh, &[[0, 1, 2]], profile.clone(), parameters, ReducedBasis::rigid(&profile, 6));
            let mut state = State { u: vec![0.0; contact.unknowns().end], ..State::default() };
            contact.begin(&mut state);
            let out = local(&contact, 0, &state, &[], &Load::default());
            assert_eq!(out.residual[0].abs() > 100.0, touches, "{} N", out.residual[0]);
            assert!(contact.closest_point(POINTS / 2, &state).gap > 0.0);
        }
    }

    #[test]
    fn the_multipliers_of_an_open_joint_are_the_gas_pressure() {
        let load = Load { pressure: 0.6, ..Load::default() };
        let (contact, mut state) = contact(0.3, Held::Bending);
        state.u = vec![0.3, -0.3, 0.3, -0.3, 0.3, -0.3, 0.0, 0.01, 0.0, 0.0, 0.0];
        state.contact.iter_mut().for_each(|p| p.wetted = true);
        state.u[contact.unknowns()].fill(load.pressure / contact.parameters.penalty);
        let out = local(&contact, 0, &state, &[], &load);
        for (k, residual) in out.residual[8..11].iter().enumerate() {
            let pressed: f64 = contact.weights.iter().map(|w| w[k] * load.pressure).sum();
            assert!(residual.abs() < 1e-12 * pressed, "{residual} of {pressed}");
        }
    }

    #[test]
    fn the_gap_to_a_turned_wall_is_that_of_the_turned_line() {
        // A long wall along r that turns by a small angle about its foot: u = angle x arm, normal to the wall.
        let profile = floor_and_wall();
        let start = profile.closest_point([301.0, 9.9]).arc;
        let basis = ReducedBasis::new(&profile, 6, &[&|s| [0.0, (s - start).max(0.0)]]);
        let mesh = Mesh { nodes: vec![[310.0, 9.0], [312.0, 9.0], [311.0, 9.0]], quads: vec![] };
        let contact = Contact::new(
            &mesh,
            &[[0, 1, 2]],
            profile,
            Parameters { penalty: 1.0, tangential_penalty: 1.0, friction: 0.0 },
            basis,
        );
        let mut state = State { u: vec![0.0; contact.unknowns().end], ..State::default() };
        contact.begin(&mut state);
        let angle = 0.01;
        state.u[6] = angle;
        let x = contact.position(1, &state);
        // The wall's point at height x_r has moved to 10 + angle (x_r - 301): the gap along the wall's normal at rest.
        assert_relative_eq!(contact.closest_point(1, &state).gap, 10.0 + angle * (x[0] - 301.0) - x[1], epsilon = 1e-4);
    }

    #[test]
    fn an_edge_pressed_evenly_into_the_floor_penetrates_by_as_much_as_it_is_pressed() {
        let profile = floor_and_wall();
        let mesh = Mesh { nodes: vec![[300.0, 3.0], [300.0, 5.0], [300.0, 4.0]], quads: vec![] };
        let parameters = Parameters { penalty: 500.0, tangential_penalty: 80.0, friction: 0.0 };
        let basis = ReducedBasis::rigid(&profile, 6);
        let contact = Contact::new(&mesh, &[[0, 1, 2]], profile, parameters, basis);
        let penetration = |by: f64| {
            let mut state = State { u: vec![0.0; contact.unknowns().end], ..State::default() };
            contact.begin(&mut state);
            state.u[..6].copy_from_slice(&[-by, 0.0, -by, 0.0, -by, 0.0]);
            contact.penetration(&state)
        };
        assert_relative_eq!(penetration(0.02), 0.02, max_relative = 1e-9);
        assert!(penetration(-0.02) == 0.0);
    }
}
