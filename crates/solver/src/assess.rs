//! The main job: fit, inflate and blow off one tyre on one rim, at the given friction and without.

use crate::case::Case;
use crate::model::{Model, ModelError};
use crate::result::{Assessment, SectionMesh};
use crate::stages::{self, Keep, Listener};
use crate::verdict::verdict;

/// Assesses a case. `notes` are passed on to the result.
///
/// # Errors
/// [`ModelError`] when the case's geometry does not fit together.
pub fn assess(case: &Case, mut notes: Vec<String>, listener: Listener<'_>) -> Result<Assessment, ModelError> {
    let (given, model) = stages::run(case, case.friction, Keep::Fields, listener)?;
    let frictionless =
        if case.friction == 0.0 { given.clone() } else { stages::run(case, 0.0, Keep::Numbers, listener)?.0 };
    let verdict = verdict(case, &given, &frictionless, None);
    if given.path.get(given.fit).is_some_and(|p| p.seat_load <= 0.0) {
        notes.push("The unstretched bead is larger than the seat: it does not press on it, and first lift is at no pressure.".into());
    }
    Ok(Assessment {
        case: case.clone(),
        mesh: section(&model),
        rim_outline: model.contact.profile().polyline(),
        given,
        frictionless,
        verdict,
        notes,
    })
}

fn section(model: &Model) -> SectionMesh {
    let tyre = &model.tyre;
    let chain = |edges: &[[usize; 3]]| {
        edges.iter().flat_map(|e| [e[0], e[2]]).chain(edges.last().map(|e| e[1])).collect::<Vec<_>>()
    };
    SectionMesh {
        nodes: tyre.mesh.nodes.clone(),
        quads: tyre.mesh.quads.clone(),
        regions: tyre.regions.clone(),
        outer_face: chain(&tyre.outer_edges),
        inner_face: chain(&tyre.inner_edges),
    }
}
