//! A map as VTK image data: one array for each field over the points, values as written in their units.
//!
//! Axes: x the map's first axis, y its second, both in their units. A number that is not there is NaN, which viewers leave blank.
//! `state`: 0 every limit kept, 1, 2, ... the limit that fails first in the order of the summary, -1 no answer. `solved`: 1 solved by
//! finite elements, 0 interpolated.

use hoopwright_study::map::{Finished, Origin, Point, State};
use vtkio::model::{Attribute, Attributes, ByteOrder, DataArray, DataSet, Extent, ImageDataPiece, Piece, Version, Vtk};
use vtkio::xml::Compressor;

use crate::vtk::VtkError;

/// The file (`.vti`, zlib-compressed).
///
/// # Errors
/// [`VtkError`] when the library refuses.
pub fn image(map: &Finished, title: &str) -> Result<Vec<u8>, VtkError> {
    let grid = &map.grid;
    let last = |values: &[f64]| values.len().saturating_sub(1) as i32;
    let extent = || Extent::Ranges([0..=last(&grid.x), 0..=last(&grid.y), 0..=0]);
    let mut arrays = vec![
        array(map, "state", |point| match point.state() {
            State::Holds => 0.0,
            State::Fails(k) => (k + 1) as f64,
            State::NoAnswer => -1.0,
        }),
        array(map, "solved", |point| f64::from(u8::from(point.origin == Origin::Solved))),
    ];
    for (k, field) in map.fields.iter().enumerate() {
        let unit = field.column.unit.to_lowercase().replace('/', "_per_").replace('%', "percent");
        let name = format!("{}_{unit}", field.column.name);
        arrays.push(array(map, &name, |point| point.numbers[k].map_or(f64::NAN, |number| number.value())));
        arrays.push(array(map, &format!("{name}_error"), |point| match point.origin {
            Origin::Solved => 0.0,
            Origin::Interpolated => point.errors[k].unwrap_or(f64::NAN),
        }));
    }
    let piece = ImageDataPiece { extent: extent(), data: Attributes { point: arrays, cell: Vec::new() } };
    let step = |values: &[f64]| (values.last().copied().unwrap_or(1.0) - values[0]) / (values.len().max(2) - 1) as f64;
    let vtk = Vtk {
        version: Version::new_xml(1, 0),
        byte_order: ByteOrder::LittleEndian,
        title: title.to_owned(),
        file_path: None,
        data: DataSet::ImageData {
            extent: extent(),
            origin: [grid.x[0] as f32, grid.y[0] as f32, 0.0],
            spacing: [step(&grid.x) as f32, step(&grid.y) as f32, 1.0],
            meta: None,
            pieces: vec![Piece::Inline(Box::new(piece))],
        },
    };
    let library = |e: &dyn std::fmt::Display| VtkError::Library(e.to_string());
    let mut bytes = Vec::new();
    vtk.try_into_xml_format(Compressor::ZLib, 2).map_err(|e| library(&e))?.write(&mut bytes).map_err(|e| library(&e))?;
    Ok(bytes)
}

/// One value a point; VTK has the first axis fastest.
fn array(map: &Finished, name: &str, of: impl Fn(&Point) -> f64) -> Attribute {
    let grid = &map.grid;
    let rows = 0..grid.y.len();
    let values: Vec<f64> =
        rows.flat_map(|j| (0..grid.x.len()).map(move |i| (i, j))).map(|(i, j)| of(&map.points[grid.number(i, j)])).collect();
    Attribute::DataArray(DataArray::scalars(name, 1).with_data(values))
}
