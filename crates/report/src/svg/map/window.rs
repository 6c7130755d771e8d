//! The main picture: where every limit is kept, which one fails first elsewhere, lines of equal release and of equal spoke loss.

use hoopwright_case::units::number;
use hoopwright_solver::result::Finding;
use hoopwright_study::map::Origin;
use hoopwright_study::map::standing::Standing;
use hoopwright_study::map::tyres::Placed;

use super::facets::{Corner, clip};
use super::label::{Form, Labels};
use super::{NOTHING, Part, Sheet};
use crate::map::{NEAR, limit_words};
use crate::svg::{Canvas, INK, ticks};
use crate::words;

/// Beyond so many points solved ones have no mark.
const MOST_MARKS: usize = 2500;
/// Pieces of an area: convex polygons.
type Area = Vec<Vec<Corner>>;

const WINDOW: &str = "#f6f4ea";

/// How the area where a limit fails first looks: pattern, ground, ink, and the pattern's strokes.
struct Look {
    name: &'static str,
    ground: &'static str,
    ink: &'static str,
    strokes: &'static str,
}

/// Grounds differ in lightness, patterns in direction.
fn look(finding: Finding) -> Look {
    match finding {
        Finding::OverloadsRim => Look { name: "rim", ground: "#a9c1dc", ink: "#5d7fa6", strokes: "M0 5H10" },
        Finding::HardToMount => Look { name: "mount", ground: "#c3d3bf", ink: "#7d9877", strokes: "M5 0V10" },
        _ => Look { name: "release", ground: "#edc9a4", ink: "#c98f55", strokes: "M0 10L10 0M-2 2L2 -2M8 12L12 8" },
    }
}

pub(super) fn picture(sheet: &Sheet<'_>, tyres: &[Placed]) -> String {
    let map = sheet.map;
    let mut canvas = sheet.begin(
        "Window in which every stated limit is kept, whatever the numerical error, and which limit fails first outside it",
    );
    patterns(&mut canvas, sheet);
    let (fail, hold): (Vec<_>, _) = ((0..map.limits.len()).map(|k| failing(sheet, k)).collect(), holding(sheet));
    for (area, limit) in fail.iter().zip(&map.limits) {
        let Look { name, ground, .. } = look(limit.finding);
        sheet.areas(&mut canvas, area, &format!("url(#{name})"), ground);
    }
    sheet.areas(&mut canvas, &hold, WINDOW, WINDOW);
    let marks: Vec<(&Placed, [f64; 2])> = marks(sheet, tyres).collect();
    let mut labels = Labels::within(sheet.frame.x, sheet.frame.y, marks.iter().map(|(_, at)| *at).collect());
    let lines: Vec<Vec<Part>> = (0..map.limits.len()).map(|k| sheet.limit_parts(k)).collect();
    let bounds: Vec<Vec<[f64; 2]>> = lines.iter().map(|parts| parts.iter().map(|part| middle(part)).collect()).collect();
    regions(sheet, &mut labels, &bounds.concat(), (&hold, &fail));
    iso_lines(&mut canvas, sheet, &mut labels, map.deciding(), "stroke-width=\"1.2\"");
    if let Some(spokes) = map.field("spoke_tension_loss_share") {
        iso_lines(&mut canvas, sheet, &mut labels, spokes, "stroke-width=\"1.2\" stroke-dasharray=\"6 4\"");
    }
    for (k, limit) in map.limits.iter().enumerate() {
        Sheet::limit_line(&mut canvas, &lines[k], "stroke-width=\"3.2\"");
        labels.put(&bounds[k], 12.0, &[&format!("limit: {}", words::finding(limit.finding))]);
    }
    labels.draw(&mut canvas);
    solved_marks(&mut canvas, sheet);
    for (tyre, at) in &marks {
        if matches!(tyre.standing, Some(Standing::Near(_))) {
            near_mark(&mut canvas, *at);
        }
        tyre_mark(&mut canvas, *at, reached(sheet, tyre));
    }
    sheet.axes(&mut canvas);
    legend(&mut canvas, sheet, tyres);
    let description = format!("Map over {} and {} with the window in which every limit is kept.", sheet.axes[0], sheet.axes[1]);
    canvas.finish(&format!("Window: {}", sheet.title), &description)
}

fn patterns(canvas: &mut Canvas, sheet: &Sheet<'_>) {
    for limit in &sheet.map.limits {
        let Look { name, ground, ink, strokes } = look(limit.finding);
        canvas.raw(format_args!(
            "<defs><pattern id=\"{name}\" width=\"10\" height=\"10\" patternUnits=\"userSpaceOnUse\"><rect width=\"10\" height=\"10\" \
             fill=\"{ground}\"/><path d=\"{strokes}\" stroke=\"{ink}\" stroke-width=\"1\"/></pattern></defs>"
        ));
    }
}

/// Where every limit is kept.
fn holding(sheet: &Sheet<'_>) -> Vec<Vec<Corner>> {
    if sheet.margins.is_empty() {
        return Vec::new();
    }
    let kept = |triangle: Vec<Corner>| {
        let all = triangle[0].1.len();
        (0..all).fold(triangle, |polygon, k| clip(&polygon, |v| v[k]))
    };
    sheet.facets.with(&sheet.known(0)).map(kept).collect()
}

/// Where limit `k` fails and has the smallest margin.
fn failing(sheet: &Sheet<'_>, k: usize) -> Vec<Vec<Corner>> {
    let first = |triangle: Vec<Corner>| {
        let all = triangle[0].1.len();
        let failing = clip(&triangle, |v| -v[0]);
        (1..all).fold(failing, |polygon, other| clip(&polygon, |v| v[other] - v[0]))
    };
    sheet.facets.with(&sheet.known(k)).map(first).collect()
}

/// A label in each area, clear of the bounds of the window and of other areas; the legend tells what has no room.
fn regions(sheet: &Sheet<'_>, labels: &mut Labels, bounds: &[[f64; 2]], (hold, fail): (&Area, &[Area])) {
    let map = sheet.map;
    let hold = middles(sheet, hold);
    let fail: Vec<Vec<[f64; 2]>> = fail.iter().map(|area| middles(sheet, area)).collect();
    let nothing = without_answer(sheet);
    let failing = fail.concat();
    labels.put_in(
        &hold,
        &[bounds, &failing, &nothing].concat(),
        &[(15.0, &["holds", "every limit kept"]), (15.0, &["holds"]), (11.0, &["holds"])],
    );
    labels.put_in(&nothing, &[bounds, &failing, &hold].concat(), &[(12.0, &["no answer"])]);
    for (k, (limit, inside)) in map.limits.iter().zip(&fail).enumerate() {
        let others: Vec<[f64; 2]> =
            fail.iter().enumerate().filter(|(other, _)| *other != k).flat_map(|(_, f)| f.clone()).collect();
        let column = map.fields[limit.field].column;
        let name = format!("({})", column.limit.map_or(column.meaning, |limit| limit.of));
        let finding = words::finding(limit.finding);
        let forms: [Form<'_>; 3] = [(14.0, &[finding, &name]), (14.0, &[finding]), (11.0, &[finding])];
        labels.put_in(inside, &[bounds, &others, &hold, &nothing].concat(), &forms);
    }
}

/// The middle of each piece of an area, on the canvas.
fn middles(sheet: &Sheet<'_>, area: &Area) -> Vec<[f64; 2]> {
    let on_canvas = |piece: &Vec<Corner>| piece.iter().map(|(place, _)| sheet.frame.at(place[0], place[1])).collect::<Vec<_>>();
    area.iter().filter(|piece| piece.len() > 2).map(|piece| middle(&on_canvas(piece))).collect()
}

/// The mean of some places.
fn middle(places: &[[f64; 2]]) -> [f64; 2] {
    let sum = places.iter().fold([0.0; 2], |sum, place| [sum[0] + place[0], sum[1] + place[1]]);
    sum.map(|sum| sum / places.len() as f64)
}

/// The points without an answer, on the canvas.
fn without_answer(sheet: &Sheet<'_>) -> Vec<[f64; 2]> {
    let grid = &sheet.map.grid;
    let all = sheet.map.points.iter().enumerate().filter(|(_, point)| !point.answered);
    all.map(|(n, _)| sheet.frame.at(grid.x[n / grid.y.len()], grid.y[n % grid.y.len()])).collect()
}

fn iso_lines(canvas: &mut Canvas, sheet: &Sheet<'_>, labels: &mut Labels, field: usize, style: &str) {
    let values = sheet.values(field);
    let known = values.iter().flatten().copied();
    let [low, high] = known.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], v| [l.min(v), h.max(v)]);
    if low >= high {
        return;
    }
    let function = sheet.facets.nodal(&values);
    let levels = ticks(low, high, 8.0);
    for level in levels {
        for line in sheet.facets.lines(&function, level) {
            let places: Vec<[f64; 2]> = line.iter().map(|p| sheet.frame.at(p[0], p[1])).collect();
            canvas.polyline(&places, &format!("stroke=\"{INK}\" {style}"));
            if places.len() > 2 {
                let text = format!("{} {}", number(level), sheet.map.fields[field].column.unit);
                labels.put(&places, 11.0, &[&text]);
            }
        }
    }
}

/// A point on every solved place.
fn solved_marks(canvas: &mut Canvas, sheet: &Sheet<'_>) {
    let map = sheet.map;
    if map.points.len() > MOST_MARKS || map.points.iter().all(|point| point.origin == Origin::Solved) {
        return;
    }
    for (n, point) in map.points.iter().enumerate().filter(|(_, point)| point.origin == Origin::Solved) {
        let (i, j) = (n / map.grid.y.len(), n % map.grid.y.len());
        let [x, y] = sheet.frame.at(map.grid.x[i], map.grid.y[j]);
        let fill = if point.answered { INK } else { "#ffffff" };
        canvas.raw(format_args!(
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"1.5\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"0.6\"/>"
        ));
    }
}

/// The measured tyres on the map and their places on the canvas.
fn marks<'a>(sheet: &Sheet<'_>, tyres: &'a [Placed]) -> impl Iterator<Item = (&'a Placed, [f64; 2])> {
    tyres.iter().filter(|tyre| tyre.standing.is_some()).map(|tyre| (tyre, sheet.frame.at(tyre.place[0], tyre.place[1])))
}

/// Whether its test reached the required pressure; none without a test.
fn reached(sheet: &Sheet<'_>, tyre: &Placed) -> Option<bool> {
    tyre.tested.map(|tested| tested >= sheet.required)
}

/// Hollow where not tested, filled where the test reached the required pressure, a cross where it did not.
fn tyre_mark(canvas: &mut Canvas, [x, y]: [f64; 2], reached: Option<bool>) {
    match reached {
        Some(false) => {
            canvas.raw(format_args!(
                "<path d=\"M{:.2} {:.2}l7 7m0 -7l-7 7\" stroke=\"#8a2c0d\" stroke-width=\"1.8\" fill=\"none\"/>",
                x - 3.5,
                y - 3.5
            ));
        }
        other => {
            let fill = if other.is_some() { "#23426b" } else { "#ffffff" };
            canvas.raw(format_args!(
                "<path d=\"M{x:.2} {:.2}l4 4l-4 4l-4 -4Z\" fill=\"{fill}\" fill-opacity=\"0.85\" stroke=\"#23426b\"/>",
                y - 4.0
            ));
        }
    }
}

/// A ring round a tyre of which the map cannot tell whether a limit is kept.
fn near_mark(canvas: &mut Canvas, [x, y]: [f64; 2]) {
    canvas.raw(format_args!(
        "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"7.5\" fill=\"none\" stroke=\"#23426b\" stroke-width=\"1.6\"/>"
    ));
}

fn legend(canvas: &mut Canvas, sheet: &Sheet<'_>, tyres: &[Placed]) {
    let map = sheet.map;
    let left = sheet.frame.x[1] + 24.0;
    let mut y = sheet.frame.y[1] + 8.0;
    let swatch = |canvas: &mut Canvas, y: f64, fill: &str, edge: f64| {
        canvas.raw(format_args!(
            "<rect x=\"{left}\" y=\"{:.1}\" width=\"26\" height=\"16\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"{edge}\"/>",
            y - 8.0
        ));
    };
    let mut say = |canvas: &mut Canvas, draw: &dyn Fn(&mut Canvas, f64), lines: &[String]| {
        draw(canvas, y);
        for (i, line) in lines.iter().enumerate() {
            canvas.text([left + 36.0, y + 4.0 + 15.0 * i as f64], "start", 12.0, line);
        }
        y += 15.0 * lines.len() as f64 + 12.0;
    };
    say(canvas, &|c, y| swatch(c, y, WINDOW, 2.4), &["every stated limit is kept".to_owned()]);
    for (k, limit) in map.limits.iter().enumerate() {
        let column = map.fields[limit.field].column;
        let sense = if limit.at_least { "under" } else { "over" };
        let range = limit_words(map, k).map_or(String::new(), |words| format!("{sense} {words}"));
        let nowhere = map.points.iter().all(|point| point.margins[k].is_none_or(|margin| margin >= 0.0));
        let mut lines = vec![format!("{}{}:", words::finding(limit.finding), if nowhere { " (nowhere here)" } else { " first" })];
        lines.extend(super::field::wrapped(&format!("{} {range}", column.meaning), 32));
        say(canvas, &|c, y| swatch(c, y, &format!("url(#{})", look(limit.finding).name), 0.6), &lines);
    }
    if map.points.iter().any(|point| !point.answered) {
        say(canvas, &|c, y| swatch(c, y, &format!("url(#{NOTHING})"), 0.6), &["no answer".to_owned()]);
    }
    let stroke =
        |canvas: &mut Canvas, y: f64, style: &str| canvas.line([left, y], [left + 26.0, y], &format!("stroke=\"{INK}\" {style}"));
    let deciding = map.fields[map.deciding()].column;
    let lines = super::field::wrapped(&format!("{}, {}", deciding.meaning, deciding.unit), 32);
    say(canvas, &|c, y| stroke(c, y, "stroke-width=\"1.2\""), &lines);
    if map.field("spoke_tension_loss_share").is_some_and(|spokes| sheet.values(spokes).iter().any(Option::is_some)) {
        let lines = ["mean spoke tension loss at".to_owned(), "rated pressure, % of pretension".to_owned()];
        say(canvas, &|c, y| stroke(c, y, "stroke-width=\"1.2\" stroke-dasharray=\"6 4\""), &lines);
    }
    let solved = map.points.iter().filter(|point| point.origin == Origin::Solved).count();
    let lines = [format!("{solved} of {} points solved;", map.points.len()), "between them interpolated".to_owned()];
    if solved < map.points.len() {
        say(
            canvas,
            &|c, y| c.raw(format_args!("<circle cx=\"{}\" cy=\"{y:.1}\" r=\"1.8\" fill=\"{INK}\"/>", left + 13.0)),
            &lines,
        );
    }
    for (kind, words) in [
        (None, "measured tyre, not tested"),
        (Some(true), "tested, required pressure reached"),
        (Some(false), "tested, came off below it"),
    ] {
        if tyres.iter().any(|tyre| tyre.standing.is_some() && reached(sheet, tyre) == kind) {
            say(canvas, &|c, y| tyre_mark(c, [left + 13.0, y], kind), &[words.to_owned()]);
        }
    }
    if tyres.iter().any(|tyre| matches!(tyre.standing, Some(Standing::Near(_)))) {
        say(canvas, &|c, y| near_mark(c, [left + 13.0, y]), &[NEAR.to_owned()]);
    }
    let outside = tyres.iter().filter(|tyre| tyre.standing.is_none()).count();
    if outside > 0 {
        say(canvas, &|_, _| (), &[format!("measured tyres outside the map: {outside}")]);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_case as case;
    use hoopwright_study::column::Number;
    use hoopwright_study::map::field::{fields, limits};
    use hoopwright_study::map::refine::Scheme;
    use hoopwright_study::map::standing::Place;
    use hoopwright_study::map::{Grid, Solved, State};

    /// Whether a place lies in a convex polygon.
    fn holds(polygon: &[Corner], [x, y]: [f64; 2]) -> bool {
        let sides = (0..polygon.len()).map(|k| {
            let (a, b) = (polygon[k].0, polygon[(k + 1) % polygon.len()].0);
            (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])
        });
        let sides: Vec<f64> = sides.collect();
        polygon.len() > 2 && (sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0))
    }

    /// A map of two limits whose lines cross, with a point without an answer and one without the second number.
    #[test]
    fn a_tyre_is_found_to_be_what_the_area_says_in_which_it_lies() {
        let text = case::starter() + "\n[map]\n\"bead.stiffness\" = [\"1 kN\", \"2 kN\"]\nmismatch = [\"1 mm\", \"2 mm\"]\n";
        let vary = case::map(&text.replace("\"1 kN\"", "\"250 kN\"").replace("\"2 kN\"", "\"300 kN\""), case::Attached::new());
        let vary = vary.unwrap().unwrap().grid;
        let fields = fields(&vary.variants[0].case);
        let limits = limits(&vary.variants[0].case, &fields);
        let n = 6;
        let grid = Grid { x: (0..n).map(|i| i as f64).collect(), y: (0..n).map(|j| 10.0 * j as f64).collect() };
        let solved: Vec<Option<Solved>> = (0..n * n)
            .map(|k| {
                let (x, y) = ((k / n) as f64, (k % n) as f64);
                let numbers = |field: usize| match limits.iter().position(|limit| limit.field == field) {
                    Some(0) => Some(Number::Found(7.5 + 0.8 * (x - 2.2) + 0.3 * x * (y - 2.0))),
                    Some(_) if k == 20 => None,
                    Some(_) => Some(Number::Found(25.0 + 3.0 * (y - 2.6) - 0.5 * x * x)),
                    None => None,
                };
                Some(Solved { numbers: (0..fields.len()).map(numbers).collect(), answered: k != 9 })
            })
            .collect();
        let values = vec![limits.iter().map(|limit| Some(if limit.at_least { 7.5 } else { 25.0 })).collect(); n * n];
        let estimates = vec![vec![None; fields.len()]; n * n];
        let map = Scheme::new(grid.clone(), (fields.clone(), limits.clone()), values, estimates).finish(&solved);
        let sheet = Sheet::new(&vary, &map);
        let (hold, fail) = (holding(&sheet), (0..limits.len()).map(|k| failing(&sheet, k)).collect::<Vec<_>>());
        let mut met = std::collections::BTreeSet::new();
        for k in 0..3000_u32 {
            let share = |factor: f64| (f64::from(k) * factor).fract();
            let place = [5.0 * share(0.618_033_988_7), 50.0 * share(0.754_877_666_2)];
            let within = |area: &Area| area.iter().any(|polygon| holds(polygon, place));
            let drawn = match fail.iter().position(within) {
                Some(limit) => State::Fails(limit),
                None if within(&hold) => State::Holds,
                None => State::NoAnswer,
            };
            assert_eq!(map.area(&Place::of(&grid, place).unwrap()), drawn, "{place:?}");
            met.insert(format!("{drawn:?}"));
        }
        assert_eq!(met.len(), 2 + 2, "{met:?}");
    }
}
