//! The checks as one SVG page: value over reference for each check, with its tolerance, a group at a time.

use crate::check::Check;
use std::fmt::Write;

const WIDTH: f64 = 1080.0;
const ROW: f64 = 16.0;
const LEFT: f64 = 400.0;
const SCALE: f64 = 110.0;

/// Each check's difference over its tolerance on a line from -1 to 1: a mark beyond the band is a check that falls short.
pub fn picture(checks: &[Check]) -> String {
    let mut body = String::new();
    let mut y = 60.0;
    let middle = LEFT + 1.5 * SCALE;
    let mut group = "";
    for check in checks {
        if check.group != group {
            group = &check.group;
            y += 1.5 * ROW;
            let _ = writeln!(body, "<text x=\"10\" y=\"{y:.0}\" font-weight=\"bold\">{}</text>", escape(group));
            y += ROW;
        }
        let share = (check.difference() / check.tolerance).clamp(-1.5, 1.5);
        let (name, line) = (escape(&check.name), y - 4.0);
        let numbers =
            format!("{} against {} {}", crate::check::short(check.value), crate::check::short(check.reference), check.unit);
        let _ = writeln!(body, "<text x=\"20\" y=\"{y:.0}\">{name}</text>");
        let _ = writeln!(
            body,
            "<line x1=\"{:.1}\" x2=\"{:.1}\" y1=\"{line:.1}\" y2=\"{line:.1}\" stroke=\"#c9ced4\" stroke-width=\"8\"/>",
            middle - SCALE,
            middle + SCALE
        );
        let mark = if check.passes() { "#23426b" } else { "#b5541c" };
        let _ = writeln!(body, "<circle cx=\"{:.1}\" cy=\"{line:.1}\" r=\"4\" fill=\"{mark}\"/>", middle + share * SCALE);
        let _ = writeln!(body, "<text x=\"{:.0}\" y=\"{y:.0}\">{}</text>", LEFT + 3.0 * SCALE + 5.0, escape(&numbers));
        y += ROW;
    }
    let _ = writeln!(
        body,
        "<line x1=\"{middle:.1}\" x2=\"{middle:.1}\" y1=\"50\" y2=\"{:.1}\" stroke=\"#1f2a36\" stroke-width=\"0.7\"/>",
        y - ROW
    );
    page(&body, y + 10.0)
}

fn page(body: &str, height: f64) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH:.0} {height:.0}\" width=\"{WIDTH:.0}\" height=\"{height:.0}\" \
         role=\"img\" font-family=\"system-ui, sans-serif\" font-size=\"11\" fill=\"#1f2a36\">\n<title>Validation checks</title>\n\
         <rect width=\"{WIDTH:.0}\" height=\"{height:.0}\" fill=\"#ffffff\"/>\n\
         <text x=\"10\" y=\"24\" font-size=\"16\">Value against reference</text>\n\
         <text x=\"10\" y=\"42\">The mark is the difference, the grey band the tolerance to either side of the reference.</text>\n{body}</svg>\n"
    )
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
