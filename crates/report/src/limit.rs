//! Where one input just keeps every limit: text, JSON and pictures.
//!
//! JSON: schema `hoopwright/limit/1.0`.
//!
//! | key | holds |
//! |---|---|
//! | `input`, `unit`, `from`, `to`, `within` | the input, the range searched and the width to which an edge is closed in on |
//! | `kept` | stretches of values that keep every limit, each with `from` and `to`; empty where no value does |
//! | `edges` | `kept` and `beyond`: the last value that keeps every limit and the one beyond it that does not; `error` between them; `kept_side` of the edge; `decides`, the number whose limit is passed, and `verdict` (both null without an equilibrium) |
//! | `values` | every value solved: `value`, `verdict`, `least_margin` (share of the limit; null where not known), `allowed_pressure_bar` |

use hoopwright_case::Vary;
use hoopwright_case::inputs::Input;
use hoopwright_study::column::Number;
use hoopwright_study::limit::{Edge, Found, Search, Standing, Tried};
use hoopwright_study::map::field::{Field, Limit};
use hoopwright_study::rows::Row;
use serde_json::{Value, json};

use crate::lines::paragraph;
use crate::study::shown;
use crate::{svg, words};

/// Column of the allowed pressure.
const ALLOWED: &str = "allowed_pressure";

/// A finished search.
pub struct Answer<'a> {
    /// The values solved as variants of the case, rising.
    pub vary: &'a Vary,
    /// The row of each value.
    pub rows: &'a [Row],
    /// The fields that the limits are about.
    pub fields: &'a [Field],
    /// The limits.
    pub limits: &'a [Limit],
    /// What was searched.
    pub search: &'a Search,
    /// What was found.
    pub found: &'a Found,
}

impl Answer<'_> {
    fn input(&self) -> &'static Input {
        self.vary.inputs[0].input
    }

    /// Unit of the input with a space before it; nothing for a pure number.
    fn unit(&self) -> String {
        let symbol = self.input().unit().map_or("", |unit| unit.symbol);
        if symbol.is_empty() { String::new() } else { format!(" {symbol}") }
    }

    /// Whether some value keeps every limit.
    pub fn keeps(&self) -> bool {
        !self.found.windows().is_empty()
    }

    /// Whether no value has an answer.
    pub fn is_unanswered(&self) -> bool {
        self.found.tried.iter().all(|tried| tried.standing == Standing::NoAnswer)
    }

    /// The answer in sentences, the first one on what keeps every limit.
    pub(crate) fn sentences(&self) -> Vec<String> {
        let ([from, to], unit, path) = (self.search.range, self.unit(), self.input().path());
        let windows = self.found.windows();
        let between: Vec<String> = windows.iter().map(|[a, b]| format!("from {a} to {b}{unit}")).collect();
        let mut all = vec![match (windows.as_slice(), self.found.edges.is_empty()) {
            ([], _) => format!("No value of {path} that was solved from {from} to {to}{unit} keeps every limit"),
            (_, true) => {
                format!("Every limit is kept at every value of {path} solved from {from} to {to}{unit}: the range holds no edge")
            }
            _ => format!("Every limit is kept with {path} {}", between.join(", and ")),
        }];
        all.extend(self.found.edges.iter().map(|edge| self.edge(edge)));
        if self.found.edges.is_empty() {
            all.extend(self.found.tried.first().into_iter().chain(self.found.tried.last()).map(|end| self.end(end)));
        }
        if self.found.edges.len() > 1 {
            all.push(format!(
                "The limits are passed {} times over the range: more of the input is not always better or worse",
                self.found.edges.len()
            ));
        }
        all
    }

    fn edge(&self, edge: &Edge) -> String {
        let unit = self.unit();
        let side = side(edge);
        format!(
            "At {}{unit} all is kept, at {}{unit} not: kept {side} the edge, which is known within {}{unit}; {}",
            edge.kept,
            edge.beyond,
            short(edge.error()),
            self.decides(edge.standing)
        )
    }

    fn decides(&self, standing: Standing) -> String {
        match standing {
            Standing::NotKept(k) => {
                let limit = &self.limits[k];
                format!("the {} decides ({})", self.fields[limit.field].column.meaning, words::finding(limit.finding))
            }
            _ => "beyond it no equilibrium was found, which is no release and no hold".to_owned(),
        }
    }

    fn end(&self, end: &Tried) -> String {
        let unit = self.unit();
        match (end.standing, end.margin) {
            (Standing::Kept, Some(m)) => format!("At {}{unit} the nearest limit is kept by {}", end.value, percent(m)),
            (Standing::Kept, None) => format!("At {}{unit} every limit is kept", end.value),
            (Standing::NotKept(_), Some(m)) => {
                format!("At {}{unit} a limit is passed by {}; {}", end.value, percent(-m), self.decides(end.standing))
            }
            (Standing::NotKept(_), None) => format!("At {}{unit} a limit is passed; {}", end.value, self.decides(end.standing)),
            (Standing::NoAnswer, _) => format!("At {}{unit} no equilibrium was found", end.value),
        }
    }

    /// Heads of the table of values.
    pub(crate) fn heads(&self) -> [String; 4] {
        let unit = self.unit();
        let value = if unit.is_empty() { "value".to_owned() } else { format!("value,{unit}") };
        [value, "allowed, bar".to_owned(), "least margin".to_owned(), "verdict".to_owned()]
    }

    /// Value, allowed pressure, least margin and verdict of every value solved.
    pub(crate) fn rows(&self) -> Vec<[String; 4]> {
        let cells = |(tried, row): (&Tried, &Row)| {
            let margin = tried.margin.map_or("-".to_owned(), percent);
            [tried.value.to_string(), shown(row.number(ALLOWED)), margin, words::findings(&row.findings)]
        };
        self.found.tried.iter().zip(self.rows).map(cells).collect()
    }

    /// Pictures of the numbers that have a limit, and of the allowed pressure, over the input.
    pub fn pictures(&self) -> Vec<(String, String)> {
        let limited: Vec<&str> = self.limits.iter().map(|limit| self.fields[limit.field].column.name).collect();
        let wanted = |name: &str| name == ALLOWED || limited.contains(&name);
        svg::family::of("limit", self.vary, self.rows, &wanted)
    }

    /// The answer for a terminal.
    pub fn text(&self) -> String {
        let mut out = String::new();
        for sentence in self.sentences() {
            paragraph("", &format!("{sentence}."), &mut out);
        }
        out.push('\n');
        let rows: Vec<[String; 4]> = std::iter::once(self.heads()).chain(self.rows()).collect();
        let width = |i: usize| rows.iter().map(|row| row[i].chars().count()).max().unwrap_or(0);
        let widths = [width(0), width(1), width(2)];
        for row in &rows {
            let numbers: String = row.iter().zip(widths).map(|(cell, width)| format!("{cell:>width$}  ")).collect();
            out.push_str(format!("{numbers}{}", row[3]).trim_end());
            out.push('\n');
        }
        out.push('\n');
        for caution in words::cautions() {
            paragraph("Caution: ", caution, &mut out);
        }
        out
    }

    /// The answer as JSON.
    pub fn document(&self) -> String {
        let symbol = self.input().unit().map_or("", |unit| unit.symbol);
        let decided = |standing: Standing| match standing {
            Standing::NotKept(k) => {
                (json!(self.fields[self.limits[k].field].column.name), json!(words::finding(self.limits[k].finding)))
            }
            _ => (Value::Null, Value::Null),
        };
        let edge = |edge: &Edge| {
            let (decides, verdict) = decided(edge.standing);
            json!({
                "kept": edge.kept, "beyond": edge.beyond, "error": edge.error(), "kept_side": side(edge),
                "decides": decides, "verdict": verdict,
            })
        };
        let value = |(tried, row): (&Tried, &Row)| {
            json!({
                "value": tried.value,
                "verdict": row.findings.iter().map(|finding| words::finding(*finding)).collect::<Vec<_>>(),
                "least_margin": tried.margin,
                "allowed_pressure_bar": row.number(ALLOWED).map(Number::value),
            })
        };
        let document = json!({
            "schema": "hoopwright/limit/1.0",
            "program": "hoopwright",
            "version": env!("CARGO_PKG_VERSION"),
            "input": self.input().path(),
            "unit": if symbol.is_empty() { "-" } else { symbol },
            "from": self.search.range[0],
            "to": self.search.range[1],
            "within": self.search.within,
            "kept": self.found.windows().iter().map(|[a, b]| json!({ "from": a, "to": b })).collect::<Vec<_>>(),
            "edges": self.found.edges.iter().map(edge).collect::<Vec<_>>(),
            "values": self.found.tried.iter().zip(self.rows).map(value).collect::<Vec<_>>(),
            "cautions": words::cautions(),
        });
        format!("{document:#}\n")
    }
}

/// The side of an edge on which every limit is kept.
fn side(edge: &Edge) -> &'static str {
    if edge.kept < edge.beyond { "below" } else { "above" }
}

fn percent(share: f64) -> String {
    format!("{:.2} %", 100.0 * share)
}

/// A difference to three digits: more are rounding.
fn short(x: f64) -> f64 {
    format!("{x:.2e}").parse().unwrap_or(x)
}
