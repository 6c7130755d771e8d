//! The ring of the local release: as it lies on the wheel, with its lift exaggerated, and unrolled with tension and friction below.

use super::frame::{Frame, range};
use super::{Canvas, DEEP, GRID, INK, MUTED, WARM, ticks};
use crate::ring::states;
use hoopwright_case::Stands;
use hoopwright_case::geometry::bundle_radius;
use hoopwright_case::units::BAR;
use hoopwright_solver::result::{Assessment, Local};
use hoopwright_solver::ring::RingProfile;
use std::f64::consts::PI;

const WIDTH: f64 = 760.0;
/// Centre of the wheel on the canvas, and the radius there of a bead without a lift.
const CENTRE: [f64; 2] = [380.0, 300.0];
const SEAT: f64 = 120.0;
/// Length on the canvas of a lift up to the crest.
const ROOM: f64 = 70.0;
/// Places of the panels along the angle: top and foot.
const PANELS: [[f64; 2]; 3] = [[580.0, 780.0], [870.0, 980.0], [1070.0, 1160.0]];

/// Lines of the two states: where it stays, on its way off.
const STYLES: [(&str, &str); 2] = [(DEEP, ""), (WARM, "7 4")];

/// The picture at the case's friction; none where no ring was found.
pub fn picture(a: &Assessment) -> Option<String> {
    let local = a.given.local.as_ref()?;
    let first = states(local).into_iter().flatten().next()?;
    let panels = if a.given.friction > 0.0 { 3 } else { 2 };
    let mut canvas = Canvas::new(WIDTH, PANELS[panels - 1][1] + 56.0);
    canvas.text([20.0, 26.0], "start", 16.0, &a.case.title);
    legend(local, a.given.friction, &mut canvas);
    wheel(local, first, bundle_radius(&a.case), &mut canvas);
    let angle = angle(a);
    unrolled(local, first, angle, &mut canvas);
    panel(local, (1, angle, "bead tension, N"), |p| &p.tension, 1.0, &mut canvas);
    if panels == 3 {
        panel(local, (2, angle, "friction used, % of the largest"), |p| &p.friction, 100.0, &mut canvas);
    }
    let description = "Lift of the bead round the wheel where it stays last and on its way off, once round the wheel with the lift exaggerated and \
                       once unrolled, with the seat and the crest; below, tension of the bead and use of friction.";
    Some(canvas.finish(&format!("Ring of the local release: {}", a.case.title), description))
}

fn style(state: usize) -> String {
    let (colour, dashes) = STYLES[state];
    format!("stroke=\"{colour}\" stroke-width=\"2.2\" stroke-dasharray=\"{dashes}\"")
}

fn dotted() -> String {
    format!("stroke=\"{INK}\" stroke-width=\"1.3\" stroke-dasharray=\"1.5 3\"")
}

fn legend(local: &Local, friction: f64, canvas: &mut Canvas) {
    let words = ["stays", "leaves"];
    let mut y = 48.0;
    for (k, profile) in states(local).into_iter().enumerate() {
        let Some(profile) = profile else { continue };
        canvas.line([20.0, y], [54.0, y], &style(k));
        canvas.text(
            [62.0, y + 4.0],
            "start",
            12.0,
            &format!("{} at {:.2} bar, friction {friction}", words[k], BAR.value_of(profile.pressure)),
        );
        y += 18.0;
    }
    canvas.line([20.0, y], [54.0, y], &dotted());
    canvas.text([62.0, y + 4.0], "start", 12.0, "as let go");
}

/// The ring on the wheel, angle 0 at the top.
fn wheel(local: &Local, first: &RingProfile, radius: f64, canvas: &mut Canvas) {
    let crest = first.crest.iter().copied().fold(f64::INFINITY, f64::min).max(1e-3);
    let scale = ROOM / crest;
    let place = |angle: f64, lift: f64| {
        let r = SEAT + scale * lift;
        [CENTRE[0] + r * angle.sin(), CENTRE[1] - r * angle.cos()]
    };
    let closed = |profile: &RingProfile, lifts: &[f64]| -> Vec<[f64; 2]> {
        profile.angles.iter().zip(lifts).map(|(t, w)| place(*t, *w)).collect()
    };
    for k in 0..4 {
        let angle = 0.5 * PI * f64::from(k);
        canvas.line(place(angle, 0.0), place(angle, crest * 1.1), &format!("stroke=\"{GRID}\""));
        let at = place(angle, crest * 1.1);
        let (side, down) = [("middle", -6.0), ("start", 4.0), ("middle", 27.0), ("end", 4.0)][k as usize];
        let aside = [0.0, 6.0, 0.0, -6.0][k as usize];
        canvas.text([at[0] + aside, at[1] + down], side, 12.0, &format!("{} deg", [0, 90, 180, -90][k as usize]));
    }
    canvas.raw(format_args!(
        "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{SEAT:.2}\" fill=\"none\" stroke=\"{MUTED}\" stroke-width=\"1.5\"/>",
        CENTRE[0], CENTRE[1]
    ));
    for (r, name) in [(SEAT - 18.0, "seat (as fitted)"), (SEAT + ROOM + 15.0, "level with the crest")] {
        canvas.text_over([CENTRE[0], CENTRE[1] + r], "middle", 12.0, name);
    }
    canvas.polygon(
        &closed(first, &first.crest),
        &format!("fill=\"none\" stroke=\"{MUTED}\" stroke-width=\"1.5\" stroke-dasharray=\"2 4\""),
    );
    canvas.polygon(&closed(first, &first.before), &format!("fill=\"none\" {}", dotted()));
    for (k, profile) in states(local).into_iter().enumerate() {
        let Some(profile) = profile else { continue };
        canvas.polygon(&closed(profile, &profile.lift), &format!("fill=\"none\" {}", style(k)));
    }
    let times = scale * radius / SEAT;
    canvas.text([CENTRE[0], CENTRE[1] - 6.0], "middle", 13.0, "lift drawn");
    canvas.text([CENTRE[0], CENTRE[1] + 12.0], "middle", 13.0, &format!("{times:.0} times too large"));
}

/// Angle from -180 deg on and value of each station, equally apart; the far side stands at both ends.
fn centred(profile: &RingProfile, values: &[f64]) -> Vec<[f64; 2]> {
    let n = profile.angles.len();
    let first = profile.angles.first().map_or(0.0, |angle| angle.to_degrees());
    let station = |k: usize| {
        let i = (k + n / 2) % n;
        [first + 360.0 * (k as f64 - (n / 2) as f64) / n as f64, values[i]]
    };
    (0..=n).map(station).collect()
}

fn frame(panel: usize, y_range: [f64; 2]) -> Frame {
    let [top, foot] = PANELS[panel];
    Frame { x: [80.0, 640.0], y: [foot, top], x_range: [-180.0, 180.0], y_range }
}

const ANGLES: [f64; 9] = [-180.0, -135.0, -90.0, -45.0, 0.0, 45.0, 90.0, 135.0, 180.0];
/// Where angles are counted from.
fn angle(a: &Assessment) -> &'static str {
    match a.case.local.stands {
        Stands::Arc { .. } => "angle from the middle of the uneven arc, deg",
        Stands::Measured(_) => "angle as the measured stations, deg",
    }
}

/// Lift over the angle, with the seat and the crest.
fn unrolled(local: &Local, first: &RingProfile, angle: &str, canvas: &mut Canvas) {
    let lifts = states(local).into_iter().flatten().flat_map(|p| p.lift.iter().chain(&p.before).chain(&p.crest));
    let frame = frame(0, range(lifts.copied().chain([0.0]), 0.06));
    let rows = ticks(frame.y_range[0], frame.y_range[1], 5.0);
    frame.axes(canvas, [&ANGLES, &rows], [angle, "lift since the fit, mm"], true);
    let line = |values: Vec<[f64; 2]>| values.into_iter().map(|[x, y]| frame.at(x, y)).collect::<Vec<_>>();
    canvas.polyline(
        &line(centred(first, &first.crest)),
        &format!("stroke=\"{MUTED}\" stroke-width=\"1.5\" stroke-dasharray=\"2 4\""),
    );
    canvas.line(frame.at(-180.0, 0.0), frame.at(180.0, 0.0), &format!("stroke=\"{MUTED}\" stroke-width=\"1.5\""));
    let end = first.crest[first.crest.len() / 2];
    for (at, name) in [(end, "crest"), (0.0, "as fitted")] {
        let [x, y] = frame.at(180.0, at);
        canvas.text([x + 8.0, y + 4.0], "start", 12.0, name);
    }
    canvas.polyline(&line(centred(first, &first.before)), &dotted());
    for (k, profile) in states(local).into_iter().enumerate() {
        let Some(profile) = profile else { continue };
        canvas.polyline(&line(centred(profile, &profile.lift)), &style(k));
    }
}

/// A number over the angle: which panel, where angles are counted from, its title.
fn panel(
    local: &Local,
    (place, angle, title): (usize, &str, &str),
    of: fn(&RingProfile) -> &[f64],
    scale: f64,
    canvas: &mut Canvas,
) {
    let all = states(local).into_iter().flatten().flat_map(|p| of(p).iter().map(|v| scale * v));
    // Shares have their whole range, so that two pictures compare.
    let frame = frame(place, if scale > 1.0 { [0.0, 100.0] } else { range(all, 0.15) });
    let rows = ticks(frame.y_range[0], frame.y_range[1], 3.0);
    frame.axes(canvas, [&ANGLES, &rows], [angle, title], true);
    for (k, profile) in states(local).into_iter().enumerate() {
        let Some(profile) = profile else { continue };
        let points = centred(profile, of(profile)).into_iter().map(|[x, y]| frame.at(x, scale * y)).collect::<Vec<_>>();
        canvas.polyline(&points, &style(k));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_round_is_unrolled_from_its_far_side() {
        let angles: Vec<f64> = (0..8).map(|k| PI * f64::from(k) / 4.0).collect();
        let values: Vec<f64> = (0..8).map(f64::from).collect();
        let profile = RingProfile { angles, ..RingProfile::default() };
        let found = centred(&profile, &values);
        let expected = [(-180, 4), (-135, 5), (-90, 6), (-45, 7), (0, 0), (45, 1), (90, 2), (135, 3), (180, 4)];
        assert_eq!(found.len(), expected.len());
        for ([angle, value], (a, v)) in found.into_iter().zip(expected) {
            assert!((angle - f64::from(a)).abs() < 1e-9 && (value - f64::from(v)).abs() < 1e-12, "{angle} {value}: {a} {v}");
        }
    }
}
