//! Structured mesh of the half tyre: a tongue (bundle, filler, middle of the casing) with a band folded round it.
//!
//! The band runs from the crown down the inner side, round the bundle and up the outer side to the crown, as the plies do, so that a
//! ply is a line of constant height in the band. Through the thickness the tongue has `4 n` elements and the band `2 n`: `n` for the
//! plies, next to the tongue, and `n` for what covers them (liner, chafer, sidewall, tread).
//!
//! ```text
//!        crown  | inner band | tongue | outer band |
//!               |            | filler |            |
//!        bead   |            | bundle |            |
//!               `------------ band ---------------'
//! ```

use crate::case::{Case, TurnUp};
use crate::geometry::{GeometryError, meridian::Meridian, outline::Outline, outline::bundle_centre};
use crate::result::Region;
use hoopwright_fem::contact::profile::Profile;
use hoopwright_fem::contribution::ply::PlySegment;
use hoopwright_fem::mesh::Mesh;
use std::collections::HashMap;

/// Share of the sidewall's half thickness taken by the tongue and, from there, up to the outside of the ply layer.
const TONGUE_SHARE: f64 = 0.16;
const PLY_SHARE: f64 = 0.75;

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

/// Numbers of elements.
#[derive(Clone, Copy)]
struct Counts {
    /// Across the tongue, and up the bundle.
    tongue: usize,
    /// Across the band.
    band: usize,
    /// Up the strip above the bundle.
    strip: usize,
}

/// Everything that places a node.
struct Shape<'a> {
    case: &'a Case,
    meridian: Meridian,
    outline: Outline,
    counts: Counts,
    /// Meridian lengths of the rows of nodes above the bundle's top.
    rows: Vec<f64>,
}

/// Draws and meshes the tyre of a case on its rim.
///
/// # Errors
/// [`GeometryError`] naming what does not fit.
pub fn mesh(case: &Case, rim: &Profile) -> Result<TyreMesh, GeometryError> {
    let start = bundle_centre(&case.rim, &case.bead);
    let crest = case.rim.crest_radius_from_axis() - start[0];
    let bend = case.bead.width;
    let mut straight = 0.5 * case.bead.bundle_size + 0.1;
    loop {
        let meridian = Meridian::new(start, 0.5 * case.casing.bead_to_bead, straight, bend)?;
        let shape = Shape::new(case, meridian)?;
        let tyre = shape.build()?;
        match overlap(&tyre, rim) {
            None => return Ok(tyre),
            // Bending later lets the casing clear the crest.
            Some(_) if straight < crest + 2.0 => straight += 0.1,
            Some((depth, [r, z])) => return Err(GeometryError::Overlap { depth, r, z }),
        }
    }
}

/// Deepest cut of the outer face into the rim, if over a thousandth of a millimetre.
fn overlap(tyre: &TyreMesh, rim: &Profile) -> Option<(f64, [f64; 2])> {
    let points = tyre.outer_edges.iter().flat_map(|e| e.map(|n| tyre.mesh.nodes[n]));
    let deepest = points.map(|x| (-rim.foot(x).gap, x)).fold((0.0, [0.0; 2]), |a, b| if b.0 > a.0 { b } else { a });
    (deepest.0 > 1e-3).then_some(deepest)
}

impl<'a> Shape<'a> {
    fn new(case: &'a Case, meridian: Meridian) -> Result<Self, GeometryError> {
        let n = case.refinement;
        let outline = Outline::new(&case.rim, &case.bead)?;
        let top = 0.5 * case.bead.bundle_size;
        let filler = case.bead.filler_height.min(0.4 * meridian.length());
        let rest = meridian.length() - top - filler;
        let (lower, upper) = (10 * n, ((rest / 2.2).round() as usize).clamp(8, 40) * n);
        let mut rows: Vec<f64> = (0..2 * lower).map(|k| top + filler * k as f64 / (2 * lower) as f64).collect();
        rows.extend(
            (0..=2 * upper)
                .map(|k| top + filler + rest * graded(k as f64 / (2 * upper) as f64, filler / lower as f64, rest / upper as f64)),
        );
        let counts = Counts { tongue: 4 * n, band: 2 * n, strip: lower + upper };
        Ok(Self { case, meridian, outline, counts, rows })
    }

    /// Half widths (tongue, outside of the ply layer, whole inner side, whole outer side) at meridian length s, mm.
    fn widths(&self, s: f64) -> [f64; 4] {
        let (bead, casing) = (&self.case.bead, &self.case.casing);
        let blend = smooth((s - 0.5 * bead.bundle_size) / bead.filler_height);
        let mix = |a: f64, b: f64| a + (b - a) * blend;
        let half = 0.5 * casing.sidewall_thickness;
        let tongue = mix(0.5 * bead.bundle_size, TONGUE_SHARE * half);
        let side = mix(0.5 * bead.width, half);
        let share = (PLY_SHARE - TONGUE_SHARE) / (1.0 - TONGUE_SHARE);
        [tongue, tongue + share * (side - tongue), side, side + self.tread(s)]
    }

    /// Tread thickness at meridian length s, mm.
    fn tread(&self, s: f64) -> f64 {
        let from_crown = self.meridian.length() - s;
        let half = 0.5 * self.case.casing.tread_width;
        self.case.casing.tread_thickness * (1.0 - smooth((from_crown - 0.5 * half) / (0.5 * half)))
    }

    /// Meridian length of a row of half steps counted from the bundle's bottom.
    fn row(&self, i: usize) -> f64 {
        let (m, size) = (2 * self.counts.tongue, self.case.bead.bundle_size);
        if i <= m { size * (i as f64 / m as f64 - 0.5) } else { self.rows[i - m] }
    }

    /// Node of the tongue in row i, column j (half steps, 0 outer to 2 x tongue inner).
    fn tongue(&self, i: usize, j: usize) -> [f64; 2] {
        let s = self.row(i);
        let half = if i <= 2 * self.counts.tongue { 0.5 * self.case.bead.bundle_size } else { self.widths(s)[0] };
        self.offset(s, half * (1.0 - j as f64 / self.counts.tongue as f64))
    }

    fn offset(&self, s: f64, distance: f64) -> [f64; 2] {
        let (x, n) = self.meridian.at(s);
        [x[0] + distance * n[0], x[1] + distance * n[1]]
    }

    /// Tongue row and column under the band at place p (half steps from the inner crown round to the outer crown).
    fn under(&self, p: usize) -> (usize, usize) {
        let (m, r) = (2 * self.counts.tongue, 2 * self.counts.strip);
        if p <= r + m {
            (m + r - p, m)
        } else if p <= r + 2 * m {
            (0, r + 2 * m - p)
        } else {
            (p - r - 2 * m, 0)
        }
    }

    /// Node of the band at place p, layer l (half steps, 0 on the tongue to 2 x band outside).
    fn band(&self, p: usize, l: usize) -> [f64; 2] {
        let (m, r, k) = (2 * self.counts.tongue, 2 * self.counts.strip, self.counts.band);
        let (i, j) = self.under(p);
        let share = l as f64 / k as f64;
        if p <= r || p >= r + 3 * m {
            let s = self.row(i);
            let [tongue, ply, inner, outer] = self.widths(s);
            let (side, outside) = if p <= r { (-1.0, inner) } else { (1.0, outer) };
            let distance = if share <= 1.0 { tongue + share * (ply - tongue) } else { ply + (share - 1.0) * (outside - ply) };
            return self.offset(s, side * distance);
        }
        let along = |from: usize| (p - from) as f64 / m as f64;
        let outside = if p <= r + m {
            self.outline.inner(along(r))
        } else if p <= r + 2 * m {
            self.outline.base(along(r + m))
        } else {
            self.outline.outer(along(r + 2 * m))
        };
        let core = self.tongue(i, j);
        let ply = (PLY_SHARE - TONGUE_SHARE) / (1.0 - TONGUE_SHARE);
        let t = if share <= 1.0 { share * ply } else { ply + (share - 1.0) * (1.0 - ply) };
        [core[0] + t * (outside[0] - core[0]), core[1] + t * (outside[1] - core[1])]
    }

    fn build(&self) -> Result<TyreMesh, GeometryError> {
        let mut builder = Builder { shape: self, nodes: Vec::new(), numbers: HashMap::new() };
        let Counts { tongue, band, strip } = self.counts;
        let (m, r) = (2 * tongue, 2 * strip);
        let places = strip + 3 * tongue + strip;
        let (mut quads, mut regions) = (Vec::new(), Vec::new());
        for ei in 0..tongue + strip {
            for ej in 0..tongue {
                // xi up the meridian, eta outward (columns count inward).
                quads.push(quad(|a, b| builder.number(Key::Tongue(2 * ei + a, 2 * ej + 2 - b))));
                regions.push(self.tongue_region(ei));
            }
        }
        let first_band = quads.len();
        for ep in 0..places {
            for el in 0..band {
                quads.push(quad(|a, b| builder.number(Key::Band(2 * ep + a, 2 * el + b))));
                regions.push(self.band_region(ep, el));
            }
        }
        let mut edge = |ep: usize| [2 * ep, 2 * ep + 2, 2 * ep + 1].map(|p| builder.number(Key::Band(p, 2 * band)));
        let inner_edges: Vec<_> = (0..strip).map(&mut edge).collect();
        let outer_edges: Vec<_> = (strip..places).map(&mut edge).collect();
        let crown = [
            (0..=m).map(|j| Key::Tongue(m + r, j)).collect::<Vec<_>>(),
            (0..=2 * band).map(|l| Key::Band(0, l)).collect(),
            (0..=2 * band).map(|l| Key::Band(2 * places, l)).collect(),
        ];
        let mut mirror_nodes: Vec<usize> = crown.concat().into_iter().map(|key| builder.number(key)).collect();
        mirror_nodes.sort_unstable();
        mirror_nodes.dedup();
        let bundle_corners = [(0, 0), (0, m), (m, m), (m, 0)].map(|(i, j)| builder.number(Key::Tongue(i, j)));
        let mut mesh = Mesh { nodes: builder.nodes, quads };
        for &node in &mirror_nodes {
            mesh.nodes[node][1] = 0.0;
        }
        check(&mesh)?;
        Ok(TyreMesh {
            regions,
            inner_edges,
            n_contact_edges: 3 * tongue + self.contact_rows(),
            outer_edges,
            mirror_nodes,
            bundle_corners,
            plies: self.plies(first_band),
            crown_radius: self.meridian.at(self.meridian.length()).0[0],
            mesh,
        })
    }

    /// Number of element rows above the bundle whose outer face may touch the rim: up to the middle of the sidewall.
    fn contact_rows(&self) -> usize {
        (0..self.counts.strip).take_while(|e| self.rows[2 * e] < 0.55 * self.meridian.length()).count()
    }

    fn tongue_region(&self, row: usize) -> Region {
        match row.checked_sub(self.counts.tongue) {
            None => Region::Bundle,
            Some(e) if self.in_bead(e) => Region::Bead,
            Some(_) => Region::Casing,
        }
    }

    fn band_region(&self, place: usize, layer: usize) -> Region {
        let Counts { tongue, band, strip } = self.counts;
        let (outer, row) = if place < strip {
            (false, strip - 1 - place)
        } else if place < strip + 3 * tongue {
            return Region::Bead;
        } else {
            (true, place - strip - 3 * tongue)
        };
        let cover = layer >= band / 2;
        if self.in_bead(row) {
            Region::Bead
        } else if outer && cover && self.tread(self.rows[2 * row + 1]) > 0.1 * self.case.casing.tread_thickness {
            Region::Tread
        } else {
            Region::Casing
        }
    }

    /// Whether an element row above the bundle belongs to the bead (bundle top to the end of the filler).
    fn in_bead(&self, row: usize) -> bool {
        self.rows[2 * row + 1] < 0.5 * self.case.bead.bundle_size + 0.8 * self.case.bead.filler_height
    }

    /// Lines of the plies: through the inner band, round the bundle and up the outer band to the end of the turn-up.
    fn plies(&self, first_band: usize) -> Vec<Vec<PlySegment>> {
        let Counts { tongue, band, strip } = self.counts;
        let turn_up = match self.case.casing.turn_up {
            TurnUp::Overlap => strip,
            TurnUp::Height(height) => (0..strip).take_while(|e| self.rows[2 * e + 1] < height).count(),
        };
        let (layers, count) = (band / 2, self.case.casing.plies);
        (0..count)
            .map(|ply| {
                let depth = (ply as f64 + 0.5) / count as f64 * layers as f64;
                let layer = (depth as usize).min(layers - 1);
                let eta = 2.0 * (depth - layer as f64) - 1.0;
                (0..strip + 3 * tongue + turn_up).map(|ep| PlySegment { quad: first_band + ep * band + layer, eta }).collect()
            })
            .collect()
    }
}

/// Name of a node before it has a number.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Key {
    Tongue(usize, usize),
    Band(usize, usize),
}

struct Builder<'a> {
    shape: &'a Shape<'a>,
    nodes: Vec<[f64; 2]>,
    numbers: HashMap<Key, usize>,
}

impl Builder<'_> {
    /// Number of a node, placed when first asked for. The band's innermost layer is the tongue's edge.
    fn number(&mut self, key: Key) -> usize {
        let key = match key {
            Key::Band(p, 0) => {
                let (i, j) = self.shape.under(p);
                Key::Tongue(i, j)
            }
            key => key,
        };
        *self.numbers.entry(key).or_insert_with(|| {
            self.nodes.push(match key {
                Key::Tongue(i, j) => self.shape.tongue(i, j),
                Key::Band(p, l) => self.shape.band(p, l),
            });
            self.nodes.len() - 1
        })
    }
}

/// Nine nodes of an element from the numbers at half steps (a along xi, b along eta).
fn quad(mut node: impl FnMut(usize, usize) -> usize) -> [usize; 9] {
    [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)].map(|(a, b)| node(a, b))
}

fn check(mesh: &Mesh) -> Result<(), GeometryError> {
    for quad in 0..mesh.quads.len() {
        if mesh.quad_points(quad).is_none() {
            let [r, z] = mesh.nodes[mesh.quads[quad][8]];
            return Err(GeometryError::Inverted { r, z });
        }
    }
    Ok(())
}

/// Cubic step from 0 to 1.
fn smooth(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// Maps [0, 1] on itself so that element lengths grow from `first` towards a mean `mean` (quadratic map).
fn graded(x: f64, first: f64, mean: f64) -> f64 {
    let slope = (first / mean).clamp(0.3, 1.0);
    x * (slope + (1.0 - slope) * x)
}
