//! The ring of the local release as a surface in space: the section swept round the wheel.
//!
//! No three-dimensional field is solved. At each angle stands the section of the even bead at the lift that the ring has there, in between
//! the points of the axisymmetric path whose lifts are nearest; that path has another pressure at that lift than the ring, which the array
//! `pressure_of_section_mpa` tells beside the ring's own in the field data, with its mean lift.

use super::{Station, VtkError, cells, scalar, write};
use hoopwright_solver::result::{Assessment, Fields, PathPoint};
use hoopwright_solver::ring::RingProfile;
use vtkio::model::{Attribute, Attributes, CellType, DataArray, UnstructuredGridPiece};

/// What is said at the head of the file.
const HEAD: &str = "<!-- Interpolated, not solved in three dimensions: at each angle stands the section of the even bead at the lift that the ring has there, \
                    in between the nearest points of the axisymmetric path, whose pressure is pressure_of_section_mpa. Half of the tyre (z >= 0); the ring \
                    is at the highest pressure at which it stays, at the case's friction. Axes: x axial, y and z radial, angles, from the middle of the uneven arc or as the measured stations, from the y axis. -->\n";

/// The outer and inner face of the half tyre round the wheel, where the ring stays last at the case's friction, as `.vtu` of quadrilaterals
/// (cell type 9); none where there is no such ring or no path with fields.
///
/// # Errors
/// [`VtkError`] when the library refuses.
pub fn surface(a: &Assessment) -> Result<Option<Vec<u8>>, VtkError> {
    let Some(profile) = a.given.local.as_ref().and_then(|local| local.last.as_ref()) else { return Ok(None) };
    let sections = Sections::new(&a.given.path, a.given.fit);
    if sections.0.len() < 2 {
        return Ok(None);
    }
    // The faces end on each other's first node: one closed line.
    let mut line: Vec<usize> = a.mesh.outer_face.iter().chain(&a.mesh.inner_face).copied().collect();
    line.dedup();
    if line.first() == line.last() {
        line.pop();
    }
    let piece = swept(a, profile, &sections, &line);
    let mean = profile.lift.iter().sum::<f64>() / profile.lift.len().max(1) as f64;
    let at = Station { pressure: profile.pressure, lift: mean, friction: a.given.friction };
    let file = write(piece, &a.case.title, &at)?;
    // Readers of XML skip comments; one may stand behind the declaration.
    let text = file.windows(2).position(|pair| pair == b"?>").map_or(0, |at| at + 2);
    Ok(Some([&file[..text], b"\n", HEAD.as_bytes(), &file[text..]].concat()))
}

/// The path's points with fields, by rising lift from the fit on.
struct Sections<'a>(Vec<(f64, f64, &'a Fields)>);

impl<'a> Sections<'a> {
    fn new(path: &'a [PathPoint], fit: usize) -> Self {
        let mut list: Vec<(f64, f64, &Fields)> = Vec::new();
        for point in path.get(fit..).unwrap_or_default() {
            let Some(fields) = &point.fields else { continue };
            if list.last().is_none_or(|last| point.lift > last.0 + 1e-6) {
                list.push((point.lift, point.pressure, fields));
            }
        }
        Self(list)
    }

    /// The two points next to a lift and the share of the second; the nearest at the ends.
    fn around(&self, lift: f64) -> (usize, f64) {
        let last = self.0.len() - 2;
        let i = self.0.partition_point(|section| section.0 <= lift).saturating_sub(1).min(last);
        let (from, to) = (self.0[i].0, self.0[i + 1].0);
        (i, ((lift - from) / (to - from)).clamp(0.0, 1.0))
    }
}

fn swept(a: &Assessment, profile: &RingProfile, sections: &Sections<'_>, line: &[usize]) -> UnstructuredGridPiece {
    let (n, stations) = (line.len(), profile.angles.len());
    let mut points = Vec::with_capacity(3 * n * stations);
    let mut displacement = Vec::with_capacity(3 * n * stations);
    let mut pressures = Vec::with_capacity(n * stations);
    for (angle, lift) in profile.angles.iter().zip(&profile.lift) {
        let (i, share) = sections.around(*lift);
        let ((_, p, before), (_, q, after)) = (sections.0[i], sections.0[i + 1]);
        let (sin, cos) = angle.sin_cos();
        for node in line {
            let u: [f64; 2] = std::array::from_fn(|c| {
                before.displacement[*node][c] + share * (after.displacement[*node][c] - before.displacement[*node][c])
            });
            let x = a.mesh.nodes[*node];
            points.extend([x[1] + u[1], (x[0] + u[0]) * cos, (x[0] + u[0]) * sin]);
            displacement.extend([u[1], u[0] * cos, u[0] * sin]);
            pressures.push(p + share * (q - p));
        }
    }
    let each = |values: &[f64]| values.iter().flat_map(|v| std::iter::repeat_n(*v, n)).collect::<Vec<f64>>();
    let next = |k: usize, of: usize| (k + 1) % of;
    let quad =
        |s: usize, k: usize| [s * n + k, s * n + next(k, n), next(s, stations) * n + next(k, n), next(s, stations) * n + k];
    let quads = (0..stations).flat_map(|s| (0..n).flat_map(move |k| quad(s, k))).map(|node| node as u64).collect();
    UnstructuredGridPiece {
        points: points.into(),
        cells: cells(quads, n * stations, 4, CellType::Quad),
        data: Attributes {
            point: vec![
                Attribute::DataArray(DataArray::vectors("displacement_mm").with_data(displacement)),
                scalar("bead_lift_mm", each(&profile.lift)),
                scalar("bead_lift_level_with_crest_mm", each(&profile.crest)),
                scalar("bead_tension_n", each(&profile.tension)),
                scalar("friction_used_share", each(&profile.friction)),
                scalar("pressure_of_section_mpa", pressures),
            ],
            cell: Vec::new(),
        },
    }
}
