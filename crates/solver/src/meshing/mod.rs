//! Structured mesh of the half tyre: a tongue (bundle, filler, middle of the casing) with a band folded round it.
//!
//! The band runs from the crown down the inner side, round the bundle and up the outer side to the crown, as the plies do, so that a
//! ply is a line of constant height in the band. In the bead the tongue has `6 n` elements across; a row above the bundle leads to a third
//! of them. The band has `2 n` for the plies, next to the tongue, and `2 n` for what covers them (liner, chafer).
//!
//! ```text
//!        crown  | inner band | tongue | outer band |
//!               |            | filler |            |
//!        bead   |            | bundle |            |
//!               `------------ band ---------------'
//! ```

mod builder;
mod region;
mod remedy;
mod shape;

pub use region::Region;

use crate::geometry::{GeometryError, meridian::Meridian};
use builder::{Builder, Inside, Key};
use hoopwright_case::geometry::bundle_centre;
use hoopwright_case::{Case, TurnUp};
use hoopwright_fem::contribution::ply::PlySegment;
use hoopwright_fem::mesh::Mesh;
use hoopwright_profile::Profile;
use shape::Shape;

/// The meshed half tyre.
#[derive(Clone, Debug)]
pub struct TyreMesh {
    /// Nodes and elements.
    pub mesh: Mesh,
    /// Region of each element.
    pub regions: Vec<Region>,
    /// Edges (first, last, mid) of the inner face from the crown down to the bead's inner face.
    pub inner_edges: Vec<[usize; 3]>,
    /// Edges of the outer face from the bead's inner face round the bead and up the sidewall to the crown.
    pub outer_edges: Vec<[usize; 3]>,
    /// Number of `outer_edges` that may touch the rim.
    pub n_contact_edges: usize,
    /// Nodes on the mid-plane.
    pub mirror_nodes: Vec<usize>,
    /// Corners of the bundle: outer bottom, inner bottom, inner top, outer top.
    pub bundle_corners: [usize; 4],
    /// Lines of the plies through the band.
    pub plies: Vec<Vec<PlySegment>>,
    /// Radius of the meridian at the crown as drawn, mm.
    pub crown_radius: f64,
}

/// Draws and meshes the tyre of a case on its rim.
///
/// # Errors
/// [`GeometryError`] naming what does not fit, and what to change where no mesh is found.
pub fn mesh(case: &Case, rim: &Profile) -> Result<TyreMesh, GeometryError> {
    first_mesh(case, rim).map_err(|fault| remedy::with_remedy(case, rim, fault))
}

/// The mesh of a casing that bends outward as early as the rim lets it.
fn first_mesh(case: &Case, rim: &Profile) -> Result<TyreMesh, GeometryError> {
    let start = bundle_centre(&case.rim, &case.bead);
    let crest = case.rim.crest_radius_from_axis() - start[0];
    let bend = case.bead.width;
    let mut straight = 0.5 * case.bead.bundle_size + 0.1;
    let mut meridian = Meridian::new(start, 0.5 * case.casing.bead_to_bead, straight, bend)?;
    loop {
        let fault = match first_good(case, meridian) {
            Ok(tyre) => match overlap(&tyre, rim) {
                None => return Ok(tyre),
                Some((depth, [r, z])) => GeometryError::Overlap { depth, r, z },
            },
            Err(fault) => fault,
        };
        straight += 0.1;
        // Bending later lets the casing clear the crest, as long as it can span the rim.
        let later = Meridian::new(start, 0.5 * case.casing.bead_to_bead, straight, bend);
        match later {
            Ok(later) if straight < crest + 2.1 => meridian = later,
            _ => return Err(fault),
        }
    }
}

/// The usual mesh, or where one of its elements is inverted the first of these that is good: nodes off the grid's lines where a thin wall
/// that bends would put them; rows half and a quarter as long, where a thick tread begins on a thin wall or a short wall bends much.
fn first_good(case: &Case, meridian: Meridian) -> Result<TyreMesh, GeometryError> {
    let mut tyre = build(&Shape::new(case, meridian, 1)?, Inside::Straight);
    for shorter in [1, 2, 4] {
        if matches!(tyre, Err(GeometryError::Inverted { .. })) {
            tyre = build(&Shape::new(case, meridian, shorter)?, Inside::Bent);
        }
    }
    tyre
}

/// Deepest cut of the outer face into the rim, if over a thousandth of a millimetre.
fn overlap(tyre: &TyreMesh, rim: &Profile) -> Option<(f64, [f64; 2])> {
    let points = tyre.outer_edges.iter().flat_map(|e| e.map(|n| tyre.mesh.nodes[n]));
    let deepest = points.map(|x| (-rim.closest_point(x).gap, x)).fold((0.0, [0.0; 2]), |a, b| if b.0 > a.0 { b } else { a });
    (deepest.0 > 1e-3).then_some(deepest)
}

fn build(shape: &Shape<'_>, inside: Inside) -> Result<TyreMesh, GeometryError> {
    let counts = shape.counts;
    let mut builder = Builder::new(shape, inside);
    let mut regions = tongue(shape, &mut builder);
    let ply_quads = band(shape, &mut builder, &mut regions);
    let outside = 2 * (counts.ply + counts.cover);
    let mut edge = |ep: usize| [2 * ep, 2 * ep + 2, 2 * ep + 1].map(|p| builder.number(Key::Band(p, outside)));
    let inner_edges: Vec<_> = (0..counts.strip).map(&mut edge).collect();
    let outer_edges: Vec<_> = (counts.strip..counts.places()).map(&mut edge).collect();
    let mirror_nodes = mirror_nodes(shape, &mut builder);
    let (b, c) = (2 * counts.bundle, 2 * counts.columns);
    let bundle_corners = [(0, 0), (0, c), (b, c), (b, 0)].map(|(i, j)| builder.number(Key::Tongue(i, j)));
    let mut mesh = Mesh { nodes: builder.nodes, quads: builder.quads };
    for &node in &mirror_nodes {
        mesh.nodes[node][1] = 0.0;
    }
    check(&mesh)?;
    Ok(TyreMesh {
        regions,
        inner_edges,
        n_contact_edges: 2 * counts.bundle + counts.columns + contact_rows(shape),
        outer_edges,
        mirror_nodes,
        bundle_corners,
        plies: plies(shape, &ply_quads),
        crown_radius: shape.meridian.at(shape.meridian.length()).0[0],
        mesh,
    })
}

/// Elements of the tongue, row by row; their regions.
fn tongue(shape: &Shape<'_>, builder: &mut Builder<'_>) -> Vec<Region> {
    let counts = shape.counts;
    let last = 2 * counts.columns;
    let mut regions = Vec::new();
    for row in 0..counts.bundle + counts.strip {
        // Columns count inward; along the meridian and outward is the positive sense.
        let key = |a: usize, outward: usize| Key::Tongue(2 * row + a, last - outward);
        let strip = row.checked_sub(counts.bundle);
        match strip {
            Some(s) if s == counts.fine_tongue => {
                (0..counts.columns / 3).for_each(|c| builder.three_to_one(|a, b| key(a, 6 * c + b)));
            }
            Some(s) if s > counts.fine_tongue => {
                (0..counts.columns / 3).for_each(|c| builder.plain(|a, b| key(a, 6 * c + 3 * b)));
            }
            _ => (0..counts.columns).for_each(|c| builder.plain(|a, b| key(a, 2 * c + b))),
        }
        let region = match strip {
            None => Region::Bundle,
            Some(s) if in_bead(shape, s) => Region::Bead,
            Some(_) => Region::Casing,
        };
        regions.resize(builder.quads.len(), region);
    }
    regions
}

/// Elements of the band from the inner crown round the bundle to the outer crown; for each place those of the plies, inside first.
fn band(shape: &Shape<'_>, builder: &mut Builder<'_>, regions: &mut Vec<Region>) -> Vec<Vec<usize>> {
    let counts = shape.counts;
    let mut ply_quads = Vec::new();
    for place in 0..counts.places() {
        let first = builder.quads.len();
        for layer in 0..counts.ply {
            builder.plain(|a, b| Key::Band(2 * place + a, 2 * layer + b));
        }
        ply_quads.push((first..builder.quads.len()).collect());
        let (outer, row) = side(shape, place);
        regions.resize(builder.quads.len(), band_region(shape, outer, row, false));
        for layer in counts.ply..counts.ply + counts.cover {
            builder.plain(|a, b| Key::Band(2 * place + a, 2 * layer + b));
        }
        regions.resize(builder.quads.len(), band_region(shape, outer, row, true));
    }
    ply_quads
}

/// Whether a place of the band is past the bundle, and its row in the strip if it has one.
fn side(shape: &Shape<'_>, place: usize) -> (bool, Option<usize>) {
    let counts = shape.counts;
    match place.checked_sub(counts.strip + 2 * counts.bundle + counts.columns) {
        Some(row) => (true, Some(row)),
        None => (false, (counts.strip - 1).checked_sub(place)),
    }
}

fn band_region(shape: &Shape<'_>, outer: bool, row: Option<usize>, cover: bool) -> Region {
    let Some(row) = row else { return Region::Bead };
    if in_bead(shape, row) {
        Region::Bead
    } else if outer && cover && shape.tread(shape.strip_row(2 * row + 1)) > 0.1 * shape.case.casing.tread_thickness {
        Region::Tread
    } else {
        Region::Casing
    }
}

/// Whether a row of the strip belongs to the bead (bundle top to the end of the filler).
fn in_bead(shape: &Shape<'_>, row: usize) -> bool {
    let bead = &shape.case.bead;
    shape.strip_row(2 * row + 1) < 0.5 * bead.bundle_size + 0.8 * bead.filler_height
}

/// Number of rows of the strip whose outer face may touch the rim: up to the middle of the sidewall.
fn contact_rows(shape: &Shape<'_>) -> usize {
    (0..shape.counts.strip).take_while(|e| shape.strip_row(2 * e) < 0.55 * shape.meridian.length()).count()
}

/// Nodes at the crown, where the tongue is coarse.
fn mirror_nodes(shape: &Shape<'_>, builder: &mut Builder<'_>) -> Vec<usize> {
    let counts = shape.counts;
    let top = 2 * (counts.bundle + counts.strip);
    let tongue = (0..=2 * counts.columns).step_by(3).map(|j| Key::Tongue(top, j));
    let layers = 2 * (counts.ply + counts.cover);
    let bands = [0, 2 * counts.places()].into_iter().flat_map(|p| (0..=layers).map(move |l| Key::Band(p, l)));
    let mut nodes: Vec<usize> = tongue.chain(bands).map(|key| builder.number(key)).collect();
    nodes.sort_unstable();
    nodes.dedup();
    nodes
}

/// Lines of the plies: through the inner band, round the bundle and up the outer band to the end of the turn-up.
fn plies(shape: &Shape<'_>, quads: &[Vec<usize>]) -> Vec<Vec<PlySegment>> {
    let counts = shape.counts;
    let turn_up = match shape.case.casing.turn_up {
        TurnUp::Overlap => counts.strip,
        TurnUp::Height(height) => (0..counts.strip).take_while(|e| shape.strip_row(2 * e + 1) < height).count(),
    };
    let plies = shape.case.casing.plies;
    let line = |ply: usize| {
        let depth = (ply as f64 + 0.5) / plies as f64 * counts.ply as f64;
        let layer = (depth as usize).min(counts.ply - 1);
        let eta = 2.0 * (depth - layer as f64) - 1.0;
        quads[..counts.places() - counts.strip + turn_up].iter().map(|q| PlySegment { quad: q[layer], eta }).collect()
    };
    (0..plies).map(line).collect()
}

fn check(mesh: &Mesh) -> Result<(), GeometryError> {
    for quad in 0..mesh.quads.len() {
        if mesh.quad_points(quad).is_none() {
            let [r, z] = mesh.nodes[mesh.quads[quad][8]];
            return Err(GeometryError::Inverted { r, z, remedy: None });
        }
    }
    Ok(())
}
