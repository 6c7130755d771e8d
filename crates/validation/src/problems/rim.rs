//! The rim as an elastic body of revolution: rings with closed forms, and a box section against an outside library.

use super::value;
use crate::error::{ValidationError, Value};
use hoopwright_case::{self as case, Case};
use hoopwright_drawing::meshing::{BoundaryEdge, Triangles, triangulate};
use hoopwright_drawing::section::{Loop, Piece, Section};
use hoopwright_fem::contribution::elastic::{Moduli, von_mises};
use hoopwright_fem::mesh::line_point;
use hoopwright_fem::quadrature::GAUSS_3;
use hoopwright_profile::{Corner, Profile};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::rim::body::{Body, Make, ProfileLoad};
use std::f64::consts::PI;

const METAL: Moduli = Moduli { section: 70e3, hoop: 70e3, section_poisson: 0.33, hoop_poisson: 0.33 };
const LAMINATE: Moduli = Moduli { section: 30e3, hoop: 60e3, section_poisson: 0.3, hoop_poisson: 0.3 };

/// Half of a ring of rectangular section between radii `inner` and `outer`, mm, `half` wide, under pressure outside.
fn ring(inner: f64, outer: f64, half: f64, size: f64, moduli: Moduli, spokes: f64) -> Result<Body, ValidationError> {
    let corners = [[inner, 0.0], [outer, 0.0], [outer, half], [inner, half]];
    let outline = Loop { pieces: corners.map(|start| Piece { start, bulge: 0.0 }).to_vec() };
    let mesh = triangulate(&Section { outer: outline, cavities: Vec::new() }, size).map_err(|_| ValidationError::Mesh)?;
    let corner = |z: f64| Corner { position: [outer, z], radius: 0.0, label: 0, fillet_label: 0 };
    let profile = Profile::new(&[corner(0.0), corner(half)]).map_err(|_| ValidationError::Mesh)?;
    let make = Make { moduli, spoke_stiffness: spokes, spoke_bed: half + 1.0, most_modes: 2, left_out: 0.0 };
    Ok(Body::new(mesh, &profile, &make).map_err(|_| ValidationError::Mesh)?.0)
}

/// A thin ring on spokes, of metal and of a laminate, and a thick ring after Lame, both under pressure from outside.
pub(super) fn elastic_rings() -> Result<Vec<Value>, ValidationError> {
    let mut values = Vec::new();
    for (title, moduli) in [("metal", METAL), ("laminate", LAMINATE)] {
        // 1.43 N/mm^2 of spokes for each mm of the whole rim's circumference: half of it holds half the ring.
        let spokes = 0.5 * 1.43 * 2.0 * PI * 300.0;
        let body = ring(299.0, 301.0, 1.0, 0.4, moduli, spokes)?;
        let u = &body.respond(&[(&[], 1.0, 1.0)])?[0];
        values.push(value(format!("thin ring of {title} on spokes, inward displacement"), -body.spoke_bed(u)));
        values.push(value(format!("thin ring of {title} on spokes, hoop force"), 2.0 * body.hoop_force(u)));
    }
    let body = ring(200.0, 300.0, 5.0, 4.0, METAL, 0.0)?;
    let u = &body.respond(&[(&[], 10.0, 5.0)])?[0];
    let stress = body.nodal_stress(u);
    for (title, r) in [("inside", 200.0), ("outside", 300.0)] {
        let node = nearest(&body.mesh, [r, 0.0]);
        values.push(value(format!("thick ring, radial displacement {title}"), u[2 * node]));
        values.push(value(format!("thick ring, hoop stress {title}"), stress[node][2]));
    }
    Ok(values)
}

/// The node nearest to a place.
fn nearest(mesh: &Triangles, [r, z]: [f64; 2]) -> usize {
    let distance = |n: &usize| (mesh.nodes[*n][0] - r).hypot(mesh.nodes[*n][1] - z);
    (0..mesh.nodes.len()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
}

/// The starter case with a box for its rim.
fn box_rim() -> Result<Case, ValidationError> {
    let text = case::starter().replace("\n#shape =", "\nshape =").replace("\nhoop_stiffness", "\n#hoop_stiffness");
    Ok(case::read(&text).map_err(|e| ValidationError::Case(e.to_string()))?.0)
}

/// Pressures, MPa, of the load case by the place of a side on the profile: air on the bed, a bead on seat and wall.
fn pressure(case: &Case, [r, z]: [f64; 2]) -> f64 {
    let (rim, seat) = (&case.rim, case.rim.seat_radius(case.rim.wall()));
    if z < rim.wall() - rim.seat_width - 1.5 {
        0.5
    } else if r > seat + 1.2 && r < seat + 3.6 && z < rim.wall() + 0.1 {
        4.0
    } else if r < seat + 0.1 && z > rim.wall() - 3.0 && z < rim.wall() - 1.0 {
        2.0
    } else {
        0.0
    }
}

/// The box rim's mesh, loaded sides and spoke bed as JSON, for the outside library.
///
/// # Errors
/// [`ValidationError`] when the rim cannot be made.
pub fn box_rim_json() -> Result<String, ValidationError> {
    let case = box_rim()?;
    let rim = RimModel::new(&case).map_err(|_| ValidationError::Mesh)?;
    let body = rim.body.as_ref().ok_or(ValidationError::Mesh)?;
    let loaded: Vec<(&[usize; 3], f64)> = body
        .mesh
        .boundary
        .iter()
        .filter(|e| rim.profile.closest_point(body.mesh.nodes[e.nodes[2]]).gap.abs() < 1e-6)
        .map(|e| (&e.nodes, pressure(&case, body.mesh.nodes[e.nodes[2]])))
        .filter(|(_, p)| *p > 0.0)
        .collect();
    let boundary: Vec<&[usize; 3]> = body.mesh.boundary.iter().map(|e| &e.nodes).collect();
    let document = serde_json::json!({
        "nodes": body.mesh.nodes, "triangles": body.mesh.triangles, "boundary": boundary, "loaded": loaded,
        "spoke_bed": body.spoke_edges(), "spoke_stiffness": 0.5 * case.spokes.radial_stiffness(),
    });
    Ok(document.to_string() + "\n")
}

/// A stored mesh.
struct Stored {
    mesh: Triangles,
    loaded: Vec<([usize; 3], f64)>,
    spoke_stiffness: f64,
}

fn stored() -> Option<Stored> {
    let document: serde_json::Value = serde_json::from_str(include_str!("../../../../validation/rim_body/mesh.json")).ok()?;
    let number = |v: &serde_json::Value| v.as_u64().and_then(|n| usize::try_from(n).ok());
    let list = |v: &serde_json::Value| v.as_array()?.iter().map(number).collect::<Option<Vec<usize>>>();
    let sides = |v: &serde_json::Value| list(v)?.try_into().ok();
    let triangles =
        document["triangles"].as_array()?.iter().map(|t| list(t)?.try_into().ok()).collect::<Option<Vec<[usize; 6]>>>()?;
    let place = |v: &serde_json::Value| Some([v[0].as_f64()?, v[1].as_f64()?]);
    let nodes = document["nodes"].as_array()?.iter().map(place).collect::<Option<Vec<_>>>()?;
    let edge = |v: &serde_json::Value| Some(BoundaryEdge { nodes: sides(v)?, piece: (0, 0) });
    let boundary = document["boundary"].as_array()?.iter().map(edge).collect::<Option<Vec<_>>>()?;
    let load = |v: &serde_json::Value| Some((sides(&v[0])?, v[1].as_f64()?));
    let loaded = document["loaded"].as_array()?.iter().map(load).collect::<Option<Vec<_>>>()?;
    Some(Stored {
        mesh: Triangles { nodes, triangles, boundary },
        loaded,
        spoke_stiffness: document["spoke_stiffness"].as_f64()?,
    })
}

/// Displacements and stresses of the stored box rim under air and a bead.
pub(super) fn rim_body() -> Result<Vec<Value>, ValidationError> {
    let case = box_rim()?;
    let rim = RimModel::new(&case).map_err(|_| ValidationError::Mesh)?;
    let Stored { mesh, loaded, spoke_stiffness } = stored().ok_or(ValidationError::Mesh)?;
    let loads = forces(&mesh, &rim.profile, &loaded);
    let moduli = Moduli { section: 69e3, hoop: 69e3, section_poisson: 0.33, hoop_poisson: 0.33 };
    let make = Make { moduli, spoke_stiffness, spoke_bed: 4.0, most_modes: 1, left_out: 0.0 };
    let body = Body::new(mesh, &rim.profile, &make).map_err(|_| ValidationError::Mesh)?.0;
    let u = &body.respond(&[(&loads, 0.0, 0.0)])?[0];
    let stress = body.nodal_stress(u);
    let (wall, seat) = (case.rim.wall(), case.rim.seat_radius(case.rim.wall()));
    let at = |place: [f64; 2]| nearest(&body.mesh, place);
    let (bed, tip) = (at([seat - 3.1, 0.0]), at([seat + 4.4, wall]));
    let (side, foot) = (at([seat - 9.0, 9.0]), at([seat + 1.0, wall + 2.0]));
    Ok(vec![
        value("radial displacement of the bed at the mirror", u[2 * bed]),
        value("axial displacement of the wall's upper end", u[2 * tip + 1]),
        value("radial displacement of the wall's upper end", u[2 * tip]),
        value("mean radial displacement of the spoke bed", body.spoke_bed(u)),
        value("hoop force of the half section", body.hoop_force(u)),
        value("hoop stress of the bed at the mirror", stress[bed][2]),
        value("axial stress of the bed at the mirror", stress[bed][1]),
        value("stress after von Mises in the side", von_mises(stress[side])),
        value("radial stress on the wall's outer side", stress[foot][0]),
    ])
}

/// Pressure on sides as forces at their integration points.
fn forces(mesh: &Triangles, profile: &Profile, loaded: &[([usize; 3], f64)]) -> Vec<ProfileLoad> {
    let of = |(nodes, pressure): &([usize; 3], f64)| {
        let x = nodes.map(|n| mesh.nodes[n]);
        let (from, to) = (profile.closest_point(x[0]).arc, profile.closest_point(x[1]).arc);
        GAUSS_3.map(|(xi, weight)| {
            let (position, [dr, dz]) = line_point(&x, xi);
            let w = pressure * 2.0 * PI * position[0] * weight;
            ProfileLoad { arc: from + 0.5 * (1.0 + xi) * (to - from), force: [-w * dz, w * dr] }
        })
    };
    loaded.iter().flat_map(of).collect()
}
