//! Sizes of an inflated tyre over rim inner widths and pressures.

use std::sync::Arc;

use hoopwright_case::{Case, Sizes};
use hoopwright_solver::model::ModelError;
use hoopwright_solver::result::{End, PathPoint};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::inflate;

use crate::workers::all;

/// Size of the tyre on one rim at one pressure, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Rim inner width.
    pub inner_width: f64,
    /// Gauge pressure, MPa.
    pub pressure: f64,
    /// Largest width of the tyre.
    pub width: f64,
    /// From the seat to the crown: half of the outer diameter less the seat diameter (section height of ISO 5775).
    pub height: f64,
    /// Outer diameter at the crown.
    pub outer_diameter: f64,
    /// Width by the published rule from the labelled size; none without a label.
    pub width_by_rule: Option<f64>,
    /// Room on each side of the tyre, as far as the case states a clear width; negative where it rubs.
    pub room_beside: Option<f64>,
    /// Room over the crown, as far as the case states a clear radius; negative where it rubs.
    pub room_over: Option<f64>,
}

impl Size {
    fn of(sizes: &Sizes, case: &Case, point: &PathPoint) -> Self {
        let (width, radius) = (point.width, point.crown_radius);
        Self {
            inner_width: case.rim.inner_width,
            pressure: point.pressure,
            width,
            height: radius - 0.5 * case.rim.seat_diameter,
            outer_diameter: 2.0 * radius,
            width_by_rule: sizes.width_by_rule(case.rim.inner_width),
            room_beside: sizes.clear_width.map(|clear| 0.5 * (clear - width)),
            room_over: sizes.clear_radius.map(|clear| clear - radius),
        }
    }

    /// Whether the room stated is there.
    pub fn clears(&self, sizes: &Sizes) -> bool {
        [self.room_beside, self.room_over].into_iter().flatten().all(|room| room >= sizes.clearance)
    }
}

/// What was found of one pair of inner width and pressure: its size, or why there is none.
pub type Found = Result<Size, String>;

/// Inflates the tyre on each rim once, up through the pressures, several rims at a time; one entry for each variant of the grid, in its
/// order. `finished` hears of each rim, on the calling thread.
pub fn solve(sizes: &Sizes, threads: usize, finished: &mut dyn FnMut()) -> Vec<Found> {
    let variants = &sizes.grid.variants;
    let pressures = sizes.grid.inputs.last().map_or(1, |input| input.values.len()).max(1);
    let rim = |number: usize| on_rim(sizes, number * pressures..(number + 1) * pressures);
    all(variants.len() / pressures, threads, &rim, finished).concat()
}

/// The variants of one rim.
fn on_rim(sizes: &Sizes, range: std::ops::Range<usize>) -> Vec<Found> {
    let variants = &sizes.grid.variants[range];
    let pressure = |i: &usize| variants[*i].case.pressure.rated;
    let mut order: Vec<usize> = (0..variants.len()).collect();
    order.sort_by(|a, b| pressure(a).total_cmp(&pressure(b)));
    let Some(highest) = order.last() else { return Vec::new() };
    let rising: Vec<f64> = order.iter().map(pressure).collect();
    let case = &variants[*highest].case;
    let inflated =
        RimModel::new(case).map_err(ModelError::from).and_then(|rim| inflate(case, &Arc::new(rim), &rising, &mut |_| ()));
    let mut found = vec![Err(String::new()); variants.len()];
    match inflated {
        Err(reason) => found.fill(Err(reason.to_string())),
        Ok(inflation) => {
            let reason = inflation.end.as_ref().map_or(String::new(), ended);
            found.fill(Err(reason));
            for (i, point) in order.iter().zip(&inflation.points) {
                found[*i] = Ok(Size::of(sizes, &variants[*i].case, point));
            }
        }
    }
    found
}

/// Why an inflation went no further, as a phrase.
fn ended(end: &End) -> String {
    match end {
        End::Failed(reason) => reason.clone(),
        End::LimitPoint | End::CoreClearsCrest => "the bead comes off below this pressure".to_owned(),
        End::BundleBreaks => "the bead breaks below this pressure".to_owned(),
        End::CordBreaks => "the cords break below this pressure".to_owned(),
        End::Cap => "the pressure lies above the cap".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_case::{Attached, sizes, starter};

    fn of(block: &str, edits: &[[&str; 2]]) -> (Sizes, Vec<Found>) {
        let text = starter().replacen("[rim]", &format!("[sizes]\n{block}\n[rim]"), 1);
        let text = edits.iter().fold(text, |text, [from, to]| {
            assert!(text.contains(from), "{from}");
            text.replacen(from, to, 1)
        });
        let asked = sizes(&text, Attached::new()).unwrap();
        let found = solve(&asked, 2, &mut || ());
        (asked, found)
    }

    /// A membrane of circular section and given length from bead to bead widens by `dW/dw = 1 / (sin psi + (pi - psi) cos psi)`,
    /// `sin psi = w / W`, when its anchors move apart (from `L = W (pi - psi)`). The sidewall leans on the wall, so the free arc begins at
    /// the crests and w is the inner width less one thickness of it: 0.43 mm per mm here, where the published rule says 0.4. Turning
    /// cords make the section no circle: within a tenth.
    #[test]
    fn a_wider_rim_widens_the_tyre_as_a_membrane_does() {
        let (asked, found) = of("\"rim.inner_width\" = [\"20 mm\", \"22 mm\"]\n\"pressure.rated\" = [\"3 bar\"]", &[]);
        let [a, b] = [found[0].clone().unwrap(), found[1].clone().unwrap()];
        let thickness = asked.grid.variants[0].case.casing.sidewall_thickness;
        let middle = |x: f64, y: f64| 0.5 * (x + y) - thickness;
        let psi = (middle(a.inner_width, b.inner_width) / middle(a.width, b.width)).asin();
        let membrane = 1.0 / (psi.sin() + (std::f64::consts::PI - psi) * psi.cos());
        let slope = (b.width - a.width) / (b.inner_width - a.inner_width);
        assert!((slope / membrane - 1.0).abs() < 0.1, "{slope} for {membrane}");
    }

    /// Pressures out of order come out in the order asked for, and one path goes through all.
    #[test]
    fn pressures_keep_their_order_and_more_pressure_is_more_tyre() {
        let (_, found) = of("\"rim.inner_width\" = [\"21 mm\"]\n\"pressure.rated\" = [\"5 bar\", \"1 bar\", \"3 bar\"]", &[]);
        let sizes: Vec<Size> = found.into_iter().map(Result::unwrap).collect();
        assert_eq!(sizes.iter().map(|s| (100.0 * s.pressure).round()).collect::<Vec<_>>(), [50.0, 10.0, 30.0]);
        assert!(sizes[1].width < sizes[2].width && sizes[2].width < sizes[0].width, "{sizes:?}");
    }

    /// A soft bead without friction comes off below the second pressure: the first has its size, the second says why not.
    #[test]
    fn a_tyre_that_comes_off_has_no_size() {
        let (_, found) = of(
            "\"rim.inner_width\" = [\"21 mm\"]\n\"pressure.rated\" = [\"1 bar\", \"5 bar\"]",
            &[["\nstiffness = \"320 kN\"", "\nstiffness = \"60 kN\""], ["#friction = 0.3", "friction = 0"]],
        );
        assert!(found[0].is_ok(), "{:?}", found[0]);
        assert!(found[1].is_err(), "{:?}", found[1]);
    }

    #[test]
    fn room_is_what_the_frame_leaves() {
        let (asked, found) = of(
            "\"rim.inner_width\" = [\"21 mm\"]\n\"pressure.rated\" = [\"3 bar\"]\nclear_width = \"36 mm\"\nclear_radius = \"349 mm\"\nclearance = \"4 mm\"",
            &[],
        );
        let size = found[0].clone().unwrap();
        assert!((size.room_beside.unwrap() - 0.5 * (36.0 - size.width)).abs() < 1e-12);
        assert!((size.room_over.unwrap() - (349.0 - 0.5 * size.outer_diameter)).abs() < 1e-12);
        assert_eq!(size.clears(&asked), size.room_beside.unwrap() >= 4.0 && size.room_over.unwrap() >= 4.0);
    }
}
