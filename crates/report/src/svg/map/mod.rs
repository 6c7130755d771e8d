//! Pictures of a map: the window in which every limit is kept, each field, and tests of measured tyres against the map.

mod facets;
mod field;
mod label;
pub(super) mod palette;
mod tests_of_tyres;
mod window;

use std::fmt::Write;

use hoopwright_case::Vary;
use hoopwright_case::units::BAR;
use hoopwright_study::column::Number;
use hoopwright_study::map::Finished;
use hoopwright_study::map::tyres::Placed;

use self::facets::{Corner, Facets};
use super::family::series::axis;
use super::frame::Frame;
use super::{Canvas, INK, MUTED, ticks};

const WIDTH: f64 = 960.0;
const HEIGHT: f64 = 620.0;
/// Pattern of places without an answer or a number.
const NOTHING: &str = "nothing";

/// File name and picture of the window, of every field that has numbers, and of the tests if there are any.
pub fn pictures(vary: &Vary, map: &Finished, tyres: &[Placed]) -> Vec<(String, String)> {
    let sheet = Sheet::new(vary, map);
    let mut all = vec![("map.svg".to_owned(), window::picture(&sheet, tyres))];
    for field in 0..map.fields.len() {
        let picture = field::picture(&sheet, field);
        all.extend(picture.map(|picture| (format!("map_{}.svg", map.fields[field].column.name), picture)));
    }
    all.extend(tests_of_tyres::picture(map, &sheet.title, tyres).map(|picture| ("map_tests.svg".to_owned(), picture)));
    all
}

/// A part of a line, from one end to the other on the canvas.
type Part = [[f64; 2]; 2];

/// What the pictures of one map share.
struct Sheet<'a> {
    map: &'a Finished,
    title: String,
    axes: [String; 2],
    frame: Frame,
    facets: Facets,
    /// Margin of each limit on the nodes of the facets.
    margins: Vec<Vec<Option<f64>>>,
    /// Pressure that a test must reach at the map's first point, bar.
    required: f64,
}

impl<'a> Sheet<'a> {
    fn new(vary: &Vary, map: &'a Finished) -> Self {
        let ends = |values: &[f64]| [values.first().copied().unwrap_or(0.0), values.last().copied().unwrap_or(1.0)];
        let frame = Frame { x: [84.0, 660.0], y: [550.0, 92.0], x_range: ends(&map.grid.x), y_range: ends(&map.grid.y) };
        let facets = Facets::over(&map.grid);
        let margin = |k: usize| map.points.iter().map(|point| point.margins[k].filter(|_| point.answered)).collect::<Vec<_>>();
        let margins = (0..map.limits.len()).map(|k| facets.nodal(&margin(k))).collect();
        let axes = [0, 1].map(|i| vary.inputs.get(i).map_or(String::new(), axis));
        let title = vary.variants.first().map_or(String::new(), |variant| variant.case.title.clone());
        let required = vary.variants.first().map_or(0.0, |variant| BAR.value_of(variant.case.required_pressure()));
        Self { map, title, axes, frame, facets, margins, required }
    }

    /// A field at the grid's points; bounds are left out.
    fn values(&self, field: usize) -> Vec<Option<f64>> {
        let found = |number| if let Some(Number::Found(value)) = number { Some(value) } else { None };
        self.map.points.iter().map(|point| found(point.numbers[field])).collect()
    }

    /// Canvas with title, patterns, and the frame filled as places without an answer.
    fn begin(&self, subtitle: &str) -> Canvas {
        let mut canvas = Canvas::new(WIDTH, HEIGHT);
        canvas.text([20.0, 26.0], "start", 16.0, &self.title);
        canvas.text([20.0, 48.0], "start", 13.0, subtitle);
        canvas.raw(format_args!(
            "<defs><pattern id=\"{NOTHING}\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><rect width=\"8\" height=\"8\" \
             fill=\"#ffffff\"/><path d=\"M0 0L8 8M8 0L0 8\" stroke=\"{MUTED}\" stroke-width=\"0.7\"/></pattern></defs>"
        ));
        let [x, y] = [self.frame.x, self.frame.y];
        let (w, h) = (x[1] - x[0], y[0] - y[1]);
        canvas.raw(format_args!("<rect x=\"{}\" y=\"{}\" width=\"{w}\" height=\"{h}\" fill=\"url(#{NOTHING})\"/>", x[0], y[1]));
        canvas
    }

    fn axes(&self, canvas: &mut Canvas) {
        let along = |range: [f64; 2]| ticks(range[0], range[1], 6.0);
        let both = [along(self.frame.x_range), along(self.frame.y_range)];
        self.frame.axes(canvas, [&both[0], &both[1]], [&self.axes[0], &self.axes[1]], false);
        let [x, y] = [self.frame.x, self.frame.y];
        canvas.polyline(&[[x[0], y[1]], [x[1], y[1]], [x[1], y[0]]], &format!("stroke=\"{INK}\""));
    }

    /// Many areas as one shape: no seams between them.
    fn areas(&self, canvas: &mut Canvas, polygons: &[Vec<Corner>], fill: &str, seam: &str) {
        let mut path = String::new();
        for polygon in polygons.iter().filter(|polygon| polygon.len() > 2) {
            for (i, (place, _)) in polygon.iter().enumerate() {
                let [x, y] = self.frame.at(place[0], place[1]);
                // Writing to a String cannot fail.
                let _ = write!(path, "{}{x:.2} {y:.2}", if i == 0 { 'M' } else { 'L' });
            }
            path.push('Z');
        }
        if !path.is_empty() {
            canvas.raw(format_args!("<path d=\"{path}\" fill=\"{fill}\" stroke=\"{seam}\" stroke-width=\"0.6\"/>"));
        }
    }

    /// Draws the parts of a limit's line as one path.
    fn limit_line(canvas: &mut Canvas, parts: &[Part], style: &str) {
        let mut path = String::new();
        for [a, b] in parts {
            // Writing to a String cannot fail.
            let _ = write!(path, "M{:.2} {:.2}L{:.2} {:.2}", a[0], a[1], b[0], b[1]);
        }
        canvas.raw(format_args!("<path d=\"{path}\" fill=\"none\" stroke=\"{INK}\" stroke-linecap=\"round\" {style}/>"));
    }

    /// The parts of a limit's line that bound the window.
    fn limit_parts(&self, limit: usize) -> Vec<Part> {
        let known = self.known(limit);
        let part = |triangle: Vec<Corner>| {
            let line = facets::zero_line(&triangle, |v| v[0]);
            let line = (1..triangle[0].1.len()).fold(line, |line, other| facets::clip(&line, |v| v[other]));
            let [a, b] = &line[..] else { return None };
            Some([a.0, b.0].map(|place| self.frame.at(place[0], place[1])))
        };
        self.facets.with(&known).filter_map(part).collect()
    }

    /// Margins of a limit first, then those of the others that have numbers anywhere.
    fn known(&self, first: usize) -> Vec<Vec<Option<f64>>> {
        let others = (0..self.margins.len()).filter(|k| *k != first);
        // A limit without a number somewhere (no rated pressure reached) does not bound the window there.
        let open =
            |k: usize| self.margins[k].iter().zip(&self.margins[first]).map(|(m, f)| f.map(|_| m.unwrap_or(1.0))).collect();
        [self.margins[first].clone()].into_iter().chain(others.map(open)).collect()
    }
}
