//! Reads the outputs off an equilibrium.

use crate::model::{Model, force_worth_resolving};
use crate::path::{Balance, Fields, PathPoint, RimLoad, RimLoads, Stage};
use crate::result::SectionMesh;
use crate::rim::Mode;
use hoopwright_case::Case;
use hoopwright_case::geometry::rim::label;
use hoopwright_fem::contact::sealing;
use hoopwright_fem::contact::unilateral::POINTS;
use hoopwright_fem::continuation::Equilibrium;
use hoopwright_fem::mesh::line_point;
use hoopwright_fem::quadrature::GAUSS_3;
use hoopwright_fem::recovery::nodal_stress;
use hoopwright_fem::state::State;
use std::f64::consts::PI;

/// Outputs of an equilibrium. Must be called while the system still holds its residual (the reactions). `origin` is the lift at the
/// end of the fit, mm.
pub fn observe(case: &Case, model: &Model, at: &Equilibrium, stage: Stage, origin: f64) -> PathPoint {
    let (state, gas) = (&at.state, at.load.pressure);
    let (bead_tension, bead_strain) = model.hoop.tension(state, &at.load);
    let contact = contact_loads(case, model, state, gas);
    let seal = sealing::seal(&model.contact, state, gas);
    let rim = model.amplitudes(state);
    let sum = |of: fn(&Mode) -> f64| model.rim.sum(rim, of);
    PathPoint {
        stage,
        pressure: gas,
        lift: at.functional - origin,
        bead_tension,
        bead_strain,
        bundle_rotation: bundle_rotation(model, state),
        seat_load: contact.seat,
        flange_load: contact.flange,
        pressing: contact.pressing,
        radial_reaction: contact.radial,
        rim_hoop_force: 2.0 * sum(|m| m.hoop),
        rim_displacement: sum(|m| m.seat),
        flange_spread: 2.0 * sum(|m| m.wall),
        spoke_loss: case.spokes.loss(sum(|m| m.spoke_bed)),
        seal_margin: (gas > 0.0).then(|| seal.peak / gas),
        leaks: seal.leaks,
        width: 2.0 * half_width(model, state),
        crown_radius: outer_positions(model, state).last().map_or(0.0, |x| x[0]),
        cord_force: model.plies.iter().flat_map(|p| (0..p.n_segments()).map(|i| p.cord_force(i, state))).fold(0.0, f64::max),
        balance: balance(case, model, at, bead_tension),
        fields: None,
    }
}

/// The mesh as results show it.
pub(crate) fn section(model: &Model) -> SectionMesh {
    let tyre = &model.tyre;
    let chain =
        |edges: &[[usize; 3]]| edges.iter().flat_map(|e| [e[0], e[2]]).chain(edges.last().map(|e| e[1])).collect::<Vec<_>>();
    SectionMesh {
        nodes: tyre.mesh.nodes.clone(),
        quads: tyre.mesh.quads.clone(),
        regions: tyre.regions.clone(),
        outer_face: chain(&tyre.outer_edges),
        inner_face: chain(&tyre.inner_edges),
    }
}

/// Contact loads per seat circumference, N/mm.
pub(crate) struct ContactLoads {
    /// Radial, on the seat.
    pub(crate) seat: f64,
    /// Axial, on the wall.
    pub(crate) flange: f64,
    radial: f64,
    /// Sum of the normal forces, wherever they press.
    pub(crate) pressing: f64,
}

pub(crate) fn contact_loads(case: &Case, model: &Model, state: &State, gas: f64) -> ContactLoads {
    let circumference = PI * case.rim.seat_diameter;
    let mut loads = ContactLoads { seat: 0.0, flange: 0.0, radial: 0.0, pressing: 0.0 };
    for (point, [r, z]) in model.contact.forces(state, gas).into_iter().enumerate() {
        loads.radial += r / circumference;
        let foot = model.contact.status(point, state, gas).foot;
        loads.pressing += (r * foot.normal[0] + z * foot.normal[1]) / circumference;
        let on_seat = foot.label <= label::SEAT || (foot.label == label::CORNER && foot.normal[0] > -foot.normal[1]);
        if on_seat {
            loads.seat += r / circumference;
        } else {
            loads.flange -= z / circumference;
        }
    }
    loads
}

/// Rotation of the bundle: axial displacement of its top against its bottom over its height.
fn bundle_rotation(model: &Model, state: &State) -> f64 {
    let [bottom_outer, bottom_inner, top_inner, top_outer] = model.tyre.bundle_corners;
    let position = |n: usize| {
        let x = model.tyre.mesh.nodes[n];
        [x[0] + state.u[2 * n], x[1] + state.u[2 * n + 1]]
    };
    let mid = |a: usize, b: usize| {
        let (a, b) = (position(a), position(b));
        [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]
    };
    let (bottom, top) = (mid(bottom_outer, bottom_inner), mid(top_inner, top_outer));
    (top[1] - bottom[1]).atan2(top[0] - bottom[0])
}

fn outer_positions<'a>(model: &'a Model, state: &'a State) -> impl Iterator<Item = [f64; 2]> + 'a {
    model.tyre.outer_edges.iter().flat_map(|e| [e[0], e[2], e[1]]).map(move |n| {
        let x = model.tyre.mesh.nodes[n];
        [x[0] + state.u[2 * n], x[1] + state.u[2 * n + 1]]
    })
}

/// Largest z of the outer face, mm, between nodes too.
fn half_width(model: &Model, state: &State) -> f64 {
    let z = |n: usize| model.tyre.mesh.nodes[n][1] + state.u[2 * n + 1];
    let highest = |e: &[usize; 3]| {
        let [first, last, mid] = e.map(z);
        // z = mid + b xi + c xi^2 along the edge.
        let (b, c) = (0.5 * (last - first), 0.5 * (first + last) - mid);
        let inside = if c < 0.0 && b.abs() < -2.0 * c { mid - 0.25 * b * b / c } else { mid };
        inside.max(first).max(last)
    };
    model.tyre.outer_edges.iter().map(highest).fold(0.0, f64::max)
}

/// The two global balances, from stresses and closed-form pressure areas rather than from the assembled equations.
fn balance(case: &Case, model: &Model, at: &Equilibrium, bead_tension: f64) -> Balance {
    let state = &at.state;
    let rim = model.amplitudes(state);
    let solid: f64 = model
        .solids
        .iter()
        .flat_map(|(solid, offset)| {
            (0..solid.len()).map(move |i| solid.hoop_force(i, state, &state.internal[offset + 3 * i..offset + 3 * i + 3]))
        })
        .sum();
    let plies: f64 = model.plies.iter().flat_map(|p| (0..p.n_segments()).map(|i| p.hoop_force(i, state))).sum();
    let half_rim = model.rim.sum(rim, |m| m.hoop);
    let spokes = 0.5 * case.spokes.radial_stiffness() * model.rim.sum(rim, |m| m.spoke_bed) / (2.0 * PI);
    let under_rim = model.rim.profile.moment(model.contact.seal(state).arc);
    let joint = model.contact.gas_force(state, at.load.pressure);
    let pressure = at.load.pressure * (under_inner_face(model, state) - under_rim) + joint[0] / (2.0 * PI);
    let worth = force_worth_resolving(case);
    // A resultant of N on the circumference is N / (2 pi) in the cut.
    let size = pressure.abs().max(bead_tension.abs()).max(plies.abs()).max(half_rim.abs()).max(worth / (2.0 * PI));
    let axle_cut = (solid + plies + bead_tension + half_rim + spokes - pressure) / size;

    let support: f64 = model.fixed.iter().map(|dof| model.path.system.residual()[*dof]).sum();
    let gas = model.gas.resultant(state, &at.load)[1] + joint[1];
    let contact: f64 = model.contact.forces(state, at.load.pressure).iter().map(|f| f[1]).sum();
    let guide: f64 = model.guides.iter().map(|g| g.force(state, &at.load)).sum();
    let axial = (support + gas + contact + guide) / support.abs().max(gas.abs()).max(contact.abs()).max(worth);
    Balance { axle_cut, axial }
}

/// int r dz along the deformed inner face from the mid-plane to the bead, mm^2.
fn under_inner_face(model: &Model, state: &State) -> f64 {
    let edge = |nodes: &[usize; 3]| {
        let x = nodes.map(|n| {
            let x = model.tyre.mesh.nodes[n];
            [x[0] + state.u[2 * n], x[1] + state.u[2 * n + 1]]
        });
        GAUSS_3
            .into_iter()
            .map(|(xi, weight)| {
                let (position, tangent) = line_point(&x, xi);
                weight * position[0] * tangent[1]
            })
            .sum::<f64>()
    };
    model.tyre.inner_edges.iter().map(edge).sum()
}

/// Fields of an equilibrium for pictures.
pub fn fields(model: &Model, at: &Equilibrium) -> Fields {
    let state = &at.state;
    let mesh = &model.tyre.mesh;
    let solids: Vec<_> = model.solids.iter().map(|(solid, offset)| (solid.as_ref(), *offset)).collect();
    let stress = nodal_stress(mesh, &solids, state);
    let mut cord_force = vec![0.0_f64; mesh.nodes.len()];
    for ply in &model.plies {
        for item in 0..ply.n_segments() {
            let force = ply.cord_force(item, state);
            for node in ply.nodes(item) {
                cord_force[*node] = cord_force[*node].max(force);
            }
        }
    }
    let n_outer = 2 * model.tyre.outer_edges.len() + 1;
    let total = sealing::contact_pressure(&model.contact, state, at.load.pressure);
    let touching =
        (0..total.len()).map(|i| if model.contact.status(i, state, at.load.pressure).normal > 0.0 { total[i] } else { 0.0 });
    let mut contact_pressure = at_nodes(&touching.collect::<Vec<_>>());
    contact_pressure.resize(n_outer, 0.0);
    let wetted = at_nodes(&state.contact.iter().map(|c| f64::from(u8::from(c.wetted))).collect::<Vec<_>>());
    let wetted = (0..n_outer).map(|i| wetted.get(i).is_some_and(|w| *w > 0.5)).collect();
    let feet = outer_nodes(model).map(|node| {
        let x = mesh.nodes[node];
        let now = [x[0] + state.u[2 * node], x[1] + state.u[2 * node + 1]];
        model.contact.closest_point_near(now, model.rim.profile.closest_point(now).arc, state).foot
    });
    let (gap, foot) = feet.map(|f| (f.gap, f.arc)).unzip();
    Fields {
        displacement: (0..mesh.nodes.len()).map(|i| [state.u[2 * i], state.u[2 * i + 1]]).collect(),
        cauchy: stress.cauchy,
        rubber_pressure: stress.pressure,
        hoop_stretch: stress.hoop_stretch,
        cord_force,
        contact_pressure,
        gap,
        wetted,
        foot,
        rim_outline: rim_outline(model, state),
        rim_loads: rim_loads(model, state, at.load.pressure),
    }
}

fn rim_outline(model: &Model, state: &State) -> Vec<[f64; 2]> {
    let profile = &model.rim.profile;
    let displaced = |x: [f64; 2]| {
        let (u, _) = model.contact.basis().displacement(profile.closest_point(x).arc, &state.u);
        [x[0] + u[0], x[1] + u[1]]
    };
    profile.polyline().into_iter().map(displaced).collect()
}

fn rim_loads(model: &Model, state: &State, gas: f64) -> RimLoads {
    let points = model.contact.loads(state, gas).into_iter().map(|(arc, force)| RimLoad { arc, force });
    RimLoads {
        points: points.filter(|l| l.force.iter().any(|f| f.abs() > 0.0)).collect(),
        gas_end: model.contact.seal(state).arc,
        amplitudes: model.amplitudes(state).to_vec(),
    }
}

/// Values at contact points taken to the nodes of the outer face: a mid-side node gets the mean of the two points next to it, an end
/// node the mean of the nearest points of its edges.
fn at_nodes(points: &[f64]) -> Vec<f64> {
    let edges: Vec<&[f64]> = points.chunks(POINTS).collect();
    let mut nodes = Vec::with_capacity(2 * edges.len() + 1);
    for (i, edge) in edges.iter().enumerate() {
        let before = if i > 0 { edges[i - 1][POINTS - 1] } else { edge[0] };
        nodes.extend([0.5 * (before + edge[0]), 0.5 * (edge[POINTS / 2 - 1] + edge[POINTS / 2])]);
    }
    nodes.extend(edges.last().map(|e| e[POINTS - 1]));
    nodes
}

/// Nodes of the outer face in order.
pub fn outer_nodes(model: &Model) -> impl Iterator<Item = usize> + '_ {
    let edges = &model.tyre.outer_edges;
    edges.iter().flat_map(|e| [e[0], e[2]]).chain(edges.last().map(|e| e[1]))
}
