//! VTK files of path points: unstructured grids of nine-node quadrilaterals (cell type 28), and a time series.
//!
//! Axes: x = axial z, y = radial r, so that the section stands upright; points are at their DEFORMED positions, and `displacement_mm`
//! leads back to the reference shape (warp by -1). Units are suffixes of the array names.

use hoopwright_solver::result::{Assessment, Fields, Moment, Region, RimSection, Run};
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
pub fn section(a: &Assessment, fields: &Fields) -> Result<Vec<u8>, VtkError> {
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
    write(piece, &a.case.title)
}

/// The rim's profile, both halves, as poly-lines in a `.vtu`.
///
/// # Errors
/// [`VtkError`] when the library refuses.
pub fn rim(a: &Assessment, fields: &Fields) -> Result<Vec<u8>, VtkError> {
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
    write(piece, &a.case.title)
}

/// The rim's meshed half section at one state as `.vtu` of six-node triangles (cell type 22); axes, positions and units as in
/// [`section`].
///
/// # Errors
/// [`VtkError`] when the library refuses.
pub fn rim_section(a: &Assessment, rim: &RimSection, state: &RimState) -> Result<Vec<u8>, VtkError> {
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
    write(piece, &a.case.title)
}

/// A `.pvd` series: (file name, time, part) in order. Time is the number of the path point, as pressure rises and falls.
pub fn series(files: &[(String, f64, usize)]) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\"?>\n<VTKFile type=\"Collection\" version=\"0.1\" byte_order=\"LittleEndian\">\n  <Collection>\n",
    );
    for (file, time, part) in files {
        // Writing to a String cannot fail.
        let _ = writeln!(out, "    <DataSet timestep=\"{time}\" part=\"{part}\" file=\"{file}\"/>");
    }
    out.push_str("  </Collection>\n</VTKFile>\n");
    out
}

/// Which path points go into the series: at most about thirty, the fit, the rated one, the maximum and the last among them.
pub fn stored(run: &Run) -> Vec<usize> {
    let path = &run.path;
    let marks = Moment::ALL.map(|moment| run.index(moment));
    let stride = path.len().div_ceil(26).max(1);
    (0..path.len())
        .filter(|i| {
            let marked = marks.contains(&Some(*i)) || *i + 1 == path.len();
            path[*i].fields.is_some() && (marked || i % stride == 0)
        })
        .collect()
}

fn write(piece: UnstructuredGridPiece, title: &str) -> Result<Vec<u8>, VtkError> {
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
