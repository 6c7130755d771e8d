//! Pictures of bench logs.

mod growth;
mod hold;
mod stretch;

pub use growth::picture as growth;
pub use hold::picture as hold;
pub use stretch::picture as stretch;

use super::frame::Frame;
use super::{Canvas, ticks};

/// Most marks of a kind in a picture; of more every so-manieth is drawn.
const MOST_MARKS: usize = 700;

/// Every so-manieth of some things, so that no more than [`MOST_MARKS`] are left.
fn thinned<T: Copy>(all: &[T]) -> Vec<T> {
    all.iter().step_by(all.len().div_ceil(MOST_MARKS).max(1)).copied().collect()
}

/// Grid and axes with round numbers.
fn axes(canvas: &mut Canvas, frame: &Frame, titles: [&str; 2]) {
    let columns = ticks(frame.x_range[0], frame.x_range[1], 6.0);
    let rows = ticks(frame.y_range[0], frame.y_range[1], 5.0);
    frame.axes(canvas, [&columns, &rows], titles, true);
}

/// A small circle.
fn dot(canvas: &mut Canvas, at: [f64; 2], colour: &str) {
    canvas.raw(format_args!(
        "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"2.2\" fill=\"{colour}\" fill-opacity=\"0.35\" stroke=\"{colour}\" stroke-width=\"0.5\"/>",
        at[0], at[1]
    ));
}

/// A small upright cross.
fn cross(canvas: &mut Canvas, [x, y]: [f64; 2], colour: &str) {
    canvas.raw(format_args!(
        "<path d=\"M{:.2} {y:.2}h5M{x:.2} {:.2}v5\" stroke=\"{colour}\" stroke-width=\"0.9\" fill=\"none\"/>",
        x - 2.5,
        y - 2.5
    ));
}
