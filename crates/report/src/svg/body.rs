//! The rim under a tyre: a meshed section as it is, cavities and spoke bed too; of a ring, of which the tyre side alone is known, a block.

use super::{Canvas, INK, METAL, View};
use hoopwright_solver::result::{Assessment, Fields, RimSection};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Radial depth of a ring drawn below its bed, mm.
const BLOCK: f64 = 5.0;

/// How far a point must lie beside a line to be seen, mm.
const SEEN: f64 = 0.003;
/// Points closer to the mid-plane than this lie on it, mm.
const ON_PLANE: f64 = 1e-9;

/// Smallest radius drawn, mm.
pub(super) fn lowest(a: &Assessment) -> f64 {
    let least = |points: &[[f64; 2]]| points.iter().map(|x| x[0]).fold(f64::INFINITY, f64::min);
    match &a.rim_section {
        Some(section) => least(&section.mesh.nodes),
        None => least(&a.rim_outline) - BLOCK,
    }
}

/// Draws one half of the rim as the tyre has moved it.
pub(super) fn rim(a: &Assessment, fields: &Fields, view: &View, canvas: &mut Canvas) {
    match &a.rim_section {
        Some(section) => meshed(a, section, fields, view, canvas),
        None => block(fields, view, canvas),
    }
}

fn block(fields: &Fields, view: &View, canvas: &mut Canvas) {
    let mut outline: Vec<[f64; 2]> = fields.rim_outline.iter().map(|x| view.at(x[0], x[1])).collect();
    let low = fields.rim_outline.iter().map(|x| x[0]).fold(f64::INFINITY, f64::min) - BLOCK;
    let outer = fields.rim_outline.last().map_or(0.0, |x| x[1]);
    canvas.polyline(&outline, &format!("stroke=\"{INK}\" stroke-width=\"1.2\""));
    outline.push(view.at(low + 1.5, outer));
    outline.push(view.at(low, outer - 3.0));
    outline.push(view.at(low, 0.0));
    canvas.polygon(&outline, &format!("fill=\"{METAL}\""));
}

fn meshed(a: &Assessment, section: &RimSection, fields: &Fields, view: &View, canvas: &mut Canvas) {
    let (mut area, mut line) = (String::new(), String::new());
    let on_plane = |x: [f64; 2]| x[1].abs() < ON_PLANE;
    for outline in loops(section) {
        let nodes = outline.iter().flat_map(|side| [side[0], side[2]]).map(|n| section.mesh.nodes[n]);
        let corners = corners(&nodes.collect::<Vec<_>>());
        let mut last = None;
        for x in corners.iter().chain(corners.first()).copied() {
            let u = moved(&a.rim_outline, &fields.rim_outline, x);
            let [h, v] = view.at(x[0] + u[0], x[1] + u[1]);
            // The cut at the mid-plane is no edge.
            let lifted = last.is_none_or(|last| on_plane(last) && on_plane(x));
            // Writing to a String cannot fail.
            let _ = write!(area, "{}{h:.1} {v:.1}", if last.is_none() { "M" } else { "L" });
            let _ = write!(line, "{}{h:.1} {v:.1}", if lifted { "M" } else { "L" });
            last = Some(x);
        }
    }
    canvas.raw(format_args!("<path d=\"{area}\" fill=\"{METAL}\" fill-rule=\"evenodd\"/>"));
    canvas.raw(format_args!("<path d=\"{line}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.2\"/>"));
}

/// The points of a closed chain at which it turns.
fn corners(chain: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut kept: Vec<[f64; 2]> = Vec::new();
    for (i, x) in chain.iter().enumerate() {
        let (a, b) = (kept.last().unwrap_or(&chain[chain.len() - 1]), chain[(i + 1) % chain.len()]);
        let aside = (b[0] - a[0]) * (x[1] - a[1]) - (b[1] - a[1]) * (x[0] - a[0]);
        if aside.abs() > SEEN * (b[0] - a[0]).hypot(b[1] - a[1]) {
            kept.push(*x);
        }
    }
    kept
}

/// The boundary's sides (first, last, mid node) as closed loops: the outline and the cavities.
fn loops(section: &RimSection) -> Vec<Vec<[usize; 3]>> {
    let mut after: BTreeMap<usize, [usize; 3]> = section.mesh.boundary.iter().map(|side| (side.nodes[0], side.nodes)).collect();
    let mut loops = Vec::new();
    while let Some((_, first)) = after.pop_first() {
        let mut outline = vec![first];
        while let Some(next) = outline.last().and_then(|side| after.remove(&side[1])) {
            outline.push(next);
        }
        loops.push(outline);
    }
    loops
}

/// How far the tyre side has moved at the place of it that is nearest to a point, mm.
fn moved(rest: &[[f64; 2]], carried: &[[f64; 2]], x: [f64; 2]) -> [f64; 2] {
    let mut best = (f64::INFINITY, [0.0; 2]);
    for (a, b) in rest.windows(2).zip(carried.windows(2)) {
        let along = [a[1][0] - a[0][0], a[1][1] - a[0][1]];
        let square = (along[0] * along[0] + along[1] * along[1]).max(1e-12);
        let share = (((x[0] - a[0][0]) * along[0] + (x[1] - a[0][1]) * along[1]) / square).clamp(0.0, 1.0);
        let distance = (x[0] - a[0][0] - share * along[0]).hypot(x[1] - a[0][1] - share * along[1]);
        if distance < best.0 {
            let of = |i: usize| b[0][i] - a[0][i] + share * (b[1][i] - a[1][i] - b[0][i] + a[0][i]);
            best = (distance, [of(0), of(1)]);
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_on_a_line_are_left_out() {
        let square = [[0.0, 0.0], [2.0, 0.0], [4.0, 0.0], [4.0, 1.0], [4.0, 4.0], [0.0, 4.0], [0.0, 0.5]];
        assert_eq!(corners(&square), [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]);
    }

    #[test]
    fn a_point_moves_with_the_nearest_place_of_the_tyre_side() {
        let rest = [[300.0, 0.0], [300.0, 10.0], [306.0, 10.0]];
        let carried = [[299.9, 0.0], [299.8, 10.0], [305.8, 10.1]];
        let near = |x: [f64; 2], u: [f64; 2]| {
            let found = moved(&rest, &carried, x);
            assert!((found[0] - u[0]).hypot(found[1] - u[1]) < 1e-9, "{x:?}: {found:?}");
        };
        near([295.0, 5.0], [-0.15, 0.0]);
        near([303.0, 12.0], [-0.2, 0.05]);
        near([290.0, -1.0], [-0.1, 0.0]);
    }
}
