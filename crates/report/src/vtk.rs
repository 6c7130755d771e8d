//! VTK files of path points: unstructured grids of nine-node quadrilaterals (cell type 28), and series over pressure and over lift.
//!
//! Axes: x = axial z, y = radial r, so that the section stands upright; points are at their DEFORMED positions, and `displacement_mm`
//! leads back to the reference shape (warp by -1). Units are suffixes of the array names.

pub mod ring;

use hoopwright_solver::meshing::Region;
use hoopwright_solver::result::{Assessment, Fields, Moment, PathPoint, RimSection, Run};
use hoopwright_solver::rim::stress::RimState;
use std::fmt::Write;
use vtkio::model::{
    Attribute, Attributes, ByteOrder, CellType, Cells, DataArray, DataSet, UnstructuredGridPiece, Version, VertexNumbers, Vtk,
};
use vtkio::xml::Compressor;

/// Why a file cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum VtkError {
    /// The library refused.
    #[error("the VTK file cannot be made: {0}")]
    Library(String),
}

/// A path point with fields as `.vtu`, zlib-compressed.
///
/// # Errors
/// [`VtkError`] when the library refuses.
pub fn section(a: &Assessment, fields: &Fields, at: &Station) -> Result<Vec<u8>, VtkError> {
    let mesh = &a.mesh;
    let u = &fields.displacement;
    let points = mesh.nodes.iter().zip(u).flat_map(|(x, u)| [x[1] + u[1], x[0] + u[0], 0.0]).collect::<Vec<f64>>();
    // Swapping the axes turns the elements over; exchanging corners 2 and 4 (and their sides) turns them back.
    let connectivity = mesh.quads.iter().flat_map(|q| [q[0], q[3], q[2], q[1], q[7], q[6], q[5], q[4], q[8]]).map(|n| n as u64);
    let piece = UnstructuredGridPiece {
        points: points.into(),
        cells: cells(connectivity.collect(), mesh.quads.len(), 9, CellType::BiquadraticQuad),
        data: Attributes {
            point: point_data(a, fields),
            cell: vec![scalar("region", mesh.regions.iter().map(|r| f64::from(region(*r))).collect())],
        },
    };
    write(piece, &a.case.title, at)
}

/// The rim's profile, both halves, as poly-lines in a `.vtu`.
///
/// # Errors
/// [`VtkError`] when the library refuses.
pub fn rim(a: &Assessment, fields: &Fields, at: &Station) -> Result<Vec<u8>, VtkError> {
    let half = &fields.rim_outline;
    let points = half.iter().rev().map(|x| [-x[1], x[0]]).chain(half.iter().skip(1).map(|x| [x[1], x[0]]));
    let points: Vec<f64> = points.flat_map(|[z, r]| [z, r, 0.0]).collect();
    let n = points.len() / 3;
    let connectivity = (0..n as u64 - 1).flat_map(|i| [i, i + 1]).collect();
    let piece = UnstructuredGridPiece {
        points: points.into(),
        cells: cells(connectivity, n - 1, 2, CellType::Line),
        data: Attributes { point: Vec::new(), cell: Vec::new() },
    };
    write(piece, &a.case.title, at)
}

/// The rim's meshed half section at one state as `.vtu` of six-node triangles (cell type 22); axes, positions and units as in
/// [`section`].
///
/// # Errors
/// [`VtkError`] when the library refuses.
pub fn rim_section(a: &Assessment, rim: &RimSection, state: &RimState, at: &Station) -> Result<Vec<u8>, VtkError> {
    let placed = rim.mesh.nodes.iter().zip(&state.displacement);
    let points: Vec<f64> = placed.flat_map(|(x, u)| [x[1] + u[1], x[0] + u[0], 0.0]).collect();
    // Swapping the axes turns the elements over; exchanging corners 2 and 3 (and their sides) turns them back.
    let connectivity = rim.mesh.triangles.iter().flat_map(|t| [t[0], t[2], t[1], t[5], t[4], t[3]]).map(|n| n as u64);
    let component = |i: usize| state.stress.iter().map(|s| s[i]).collect();
    let displacement: Vec<f64> = state.displacement.iter().flat_map(|u| [u[1], u[0], 0.0]).collect();
    let piece = UnstructuredGridPiece {
        points: points.into(),
        cells: cells(connectivity.collect(), rim.mesh.triangles.len(), 6, CellType::QuadraticTriangle),
        data: Attributes {
            point: vec![
                Attribute::DataArray(DataArray::vectors("displacement_mm").with_data(displacement)),
                scalar("cauchy_rr_mpa", component(0)),
                scalar("cauchy_zz_mpa", component(1)),
                scalar("cauchy_tt_mpa", component(2)),
                scalar("cauchy_rz_mpa", component(3)),
                scalar("von_mises_mpa", (0..state.stress.len()).map(|n| state.von_mises(n)).collect()),
            ],
            cell: Vec::new(),
        },
    };
    write(piece, &a.case.title, at)
}

/// Where on a path a file's state lies; written into the file as its field data.
#[derive(Clone, Copy, Debug)]
pub struct Station {
    /// Gauge pressure, MPa.
    pub pressure: f64,
    /// Lift of the bundle since the fit, mm.
    pub lift: f64,
    /// Coefficient of friction of the path.
    pub friction: f64,
}

impl Station {
    /// Of a point of the path at the given friction.
    pub fn of(a: &Assessment, point: &PathPoint) -> Self {
        Self { pressure: point.pressure, lift: point.lift, friction: a.case.friction }
    }

    /// As an element of the XML format, with a tuple an array.
    fn field_data(&self) -> String {
        let array = |name: &str, value: f64| {
            format!("<DataArray type=\"Float64\" Name=\"{name}\" NumberOfTuples=\"1\" format=\"ascii\">{value}</DataArray>")
        };
        let arrays = [("pressure_mpa", self.pressure), ("lift_mm", self.lift), ("friction", self.friction)];
        format!("<FieldData>{}</FieldData>", arrays.map(|(name, value)| array(name, value)).concat())
    }
}

/// A file of a series: its name, the time at which it is shown, the block it stands for.
#[derive(Clone, Debug)]
pub struct Entry {
    /// File name.
    pub file: String,
    /// Pressure or lift, in the unit of the series.
    pub time: f64,
    /// Number of the block and its name.
    pub block: (usize, &'static str),
}

/// A `.pvd` series of files in the order of time.
pub fn series(entries: &[Entry]) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\"?>\n<VTKFile type=\"Collection\" version=\"0.1\" byte_order=\"LittleEndian\">\n  <Collection>\n",
    );
    for Entry { file, time, block: (part, name) } in entries {
        // Writing to a String cannot fail.
        let _ = writeln!(out, "    <DataSet timestep=\"{time}\" part=\"{part}\" name=\"{name}\" file=\"{file}\"/>");
    }
    out.push_str("  </Collection>\n</VTKFile>\n");
    out
}

/// Those of some path points, in their order, at which a number exceeds all before: a series over it has one state a time.
pub fn rising(points: &[usize], number: impl Fn(usize) -> f64) -> Vec<(usize, f64)> {
    let mut highest = f64::NEG_INFINITY;
    let pairs = points.iter().map(|&i| (i, number(i)));
    let rises = |(_, value): &(usize, f64)| {
        let higher = *value > highest;
        highest = highest.max(*value);
        higher
    };
    pairs.filter(rises).collect()
}

/// Which path points go into the series: at most about thirty from the fitted one on, the rated one, the maximum and the last among them.
pub fn stored(run: &Run) -> Vec<usize> {
    let path = &run.path;
    let marks = Moment::ALL.map(|moment| run.index(moment));
    let stride = path.len().div_ceil(26).max(1);
    (run.fit..path.len())
        .filter(|i| {
            let marked = marks.contains(&Some(*i)) || *i + 1 == path.len();
            path[*i].fields.is_some() && (marked || i % stride == 0)
        })
        .collect()
}

fn write(piece: UnstructuredGridPiece, title: &str, at: &Station) -> Result<Vec<u8>, VtkError> {
    let vtk = Vtk {
        version: Version::new_xml(1, 0),
        byte_order: ByteOrder::LittleEndian,
        title: title.to_owned(),
        file_path: None,
        data: DataSet::inline(piece),
    };
    let library = |e: &dyn std::fmt::Display| VtkError::Library(e.to_string());
    let mut bytes = Vec::new();
    vtk.try_into_xml_format(Compressor::ZLib, 2).map_err(|e| library(&e))?.write(&mut bytes).map_err(|e| library(&e))?;
    with_field_data(bytes, at)
}

/// Puts the field data first in the grid, for which the library has no place. Offsets of arrays count from the appended data, so what
/// stands before may move.
fn with_field_data(mut bytes: Vec<u8>, at: &Station) -> Result<Vec<u8>, VtkError> {
    const GRID: &[u8] = b"<UnstructuredGrid>";
    let grid = bytes.windows(GRID.len()).position(|window| window == GRID);
    let place = grid.ok_or_else(|| VtkError::Library("no grid in its file".to_owned()))? + GRID.len();
    bytes.splice(place..place, at.field_data().into_bytes());
    Ok(bytes)
}

fn cells(connectivity: Vec<u64>, n: usize, nodes: usize, kind: CellType) -> Cells {
    let offsets = (1..=n).map(|i| (i * nodes) as u64).collect();
    Cells { cell_verts: VertexNumbers::XML { connectivity, offsets }, types: vec![kind; n] }
}

fn scalar(name: &str, values: Vec<f64>) -> Attribute {
    Attribute::DataArray(DataArray::scalars(name, 1).with_data(values))
}

fn point_data(a: &Assessment, f: &Fields) -> Vec<Attribute> {
    let n = a.mesh.nodes.len();
    let on_surface = |values: &mut dyn Iterator<Item = f64>| {
        let mut all = vec![0.0; n];
        for (node, value) in a.mesh.outer_face.iter().zip(values) {
            all[*node] = value;
        }
        all
    };
    let displacement: Vec<f64> = f.displacement.iter().flat_map(|u| [u[1], u[0], 0.0]).collect();
    let component = |i: usize| f.cauchy.iter().map(|s| s[i]).collect();
    vec![
        Attribute::DataArray(DataArray::vectors("displacement_mm").with_data(displacement)),
        scalar("rubber_pressure_mpa", f.rubber_pressure.clone()),
        scalar("cauchy_rr_mpa", component(0)),
        scalar("cauchy_zz_mpa", component(1)),
        scalar("cauchy_tt_mpa", component(2)),
        scalar("cauchy_rz_mpa", component(3)),
        scalar("hoop_stretch", f.hoop_stretch.clone()),
        scalar("cord_force_n", f.cord_force.clone()),
        scalar("on_outer_face", on_surface(&mut a.mesh.outer_face.iter().map(|_| 1.0))),
        scalar("contact_pressure_mpa", on_surface(&mut f.contact_pressure.iter().copied())),
        scalar("gap_mm", on_surface(&mut f.gap.iter().copied())),
        scalar("wetted_by_gas", on_surface(&mut f.wetted.iter().map(|w| f64::from(u8::from(*w))))),
    ]
}

/// Number of a region in the cell array: 1 bundle, 2 bead, 3 casing, 4 tread.
fn region(region: Region) -> u8 {
    match region {
        Region::Bundle => 1,
        Region::Bead => 2,
        Region::Casing => 3,
        Region::Tread => 4,
    }
}
