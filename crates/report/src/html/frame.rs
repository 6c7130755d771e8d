//! What every page shares: head, verdict, cautions, tables, pictures, inputs, record with lines to sign.

use crate::source::Source;
use crate::words;
use hoopwright_case::{self as case, Case, CaseFile};
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("style.css");

/// The case that a page is about.
#[derive(Clone, Debug)]
pub struct Given {
    /// As read, without what a study varies.
    pub case: Case,
    /// What the reader noted.
    pub notes: Vec<String>,
    /// The file's text.
    pub text: String,
    /// Files that it names and that the answer rests on.
    pub others: Vec<Source>,
}

impl Given {
    /// The case file and the others.
    pub fn sources(&self) -> Vec<Source> {
        let case = Source::new("case file", self.text.as_bytes());
        std::iter::once(case).chain(self.others.iter().cloned()).collect()
    }
}

/// A whole page, with what every printed sheet has at its foot: title, file and hash, number.
pub(super) fn page(title: &str, sources: &[Source], body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(foot(title, sources))) }
            }
            body { (body) }
        }
    }
    .into_string()
}

/// Style of a printed sheet's foot, after the CSS Paged Media Module Level 3, 4.2. A reader who does not know it prints no foot.
fn foot(title: &str, sources: &[Source]) -> String {
    let hash = sources.first().map_or(String::new(), |first| {
        let further = match sources.len() - 1 {
            0 => String::new(),
            1 => " and one further file".to_owned(),
            n => format!(" and {n} further files"),
        };
        format!("{} SHA-256 {}{further}", first.what, &first.hash[..12])
    });
    let short: String = title.chars().take(60).collect();
    format!(
        "@page {{ @bottom-left {{ content: \"{}\"; }} @bottom-center {{ content: \"{}\"; }} }}",
        quoted(&short),
        quoted(&hash)
    )
}

/// A text within a string of a style sheet within a page: what could end either is written by its number.
pub(super) fn quoted(text: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || " .,:;+-_()/=*".contains(c);
    text.chars().map(|c| if plain(c) { c.to_string() } else { format!("\\{:x} ", u32::from(c)) }).collect()
}

/// Title and verdict, marked where not all is `well`; sentences; the cautions that nobody may miss.
pub(super) fn headline(title: &str, well: bool, verdict: &str, sentences: &[String]) -> Markup {
    html! {
        h1 { (title) }
        p.verdict.not[!well] { (verdict) }
        @for sentence in sentences { p { (sentence) } }
        div.caution { @for caution in words::cautions().iter().take(2) { p { (caution) } } }
    }
}

/// A table that scrolls by itself where it is too wide. `kinds` has a letter for each column, `t` for text and `n` for numbers; the last
/// one counts for all further columns.
pub(super) fn table<H: AsRef<str>, R: AsRef<[String]>>(name: &str, kinds: &str, heads: &[H], rows: &[R]) -> Markup {
    let number = |i: usize| kinds.as_bytes().get(i).or(kinds.as_bytes().last()) == Some(&b'n');
    let table = html! {
        table class=[(rows.len() > 15).then_some("long")] {
            thead { tr { @for (i, head) in heads.iter().enumerate() { th class=[number(i).then_some("n")] scope="col" { (broken(head.as_ref())) } } } }
            tbody { @for row in rows { tr { @for (i, cell) in row.as_ref().iter().enumerate() { td class=[number(i).then_some("n")] { (cell) } } } } }
        }
    };
    scrolled(name, &table)
}

/// A head that may be broken behind the dots of an input's path.
fn broken(head: &str) -> Markup {
    let parts: Vec<&str> = head.split_inclusive('.').collect();
    let name = |part: Option<&&str>| part.is_some_and(|part| part.starts_with(|c: char| c.is_ascii_lowercase()));
    html! { @for (i, part) in parts.iter().enumerate() { (part) @if name(parts.get(i + 1)) { wbr; } } }
}

/// A row of a table: what it is about, and cells.
pub(super) fn row(name: impl Into<String>, cells: impl IntoIterator<Item = String>) -> Vec<String> {
    std::iter::once(name.into()).chain(cells).collect()
}

/// What may be wider than the page, in a box that scrolls, by keys too.
pub(super) fn scrolled(name: &str, inside: &Markup) -> Markup {
    html! { div.scroll tabindex="0" role="group" aria-label=(name) { (inside) } }
}

/// A picture under a name that no other picture of the page has: what it refers to within itself goes by that name.
pub(super) fn picture(name: &str, svg: &str, caption: &str) -> Markup {
    html! {
        figure class=(name) {
            (scrolled(caption, &PreEscaped(embedded(name, svg))))
            figcaption { (caption) }
        }
    }
}

/// The picture's text as it may stand in a page.
pub(super) fn embedded(name: &str, svg: &str) -> String {
    let plain = svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1);
    plain.replace(" id=\"", &format!(" id=\"{name}-")).replace("url(#", &format!("url(#{name}-"))
}

/// Notes, if there are any.
pub(super) fn notes(notes: &[String]) -> Markup {
    html! { @if !notes.is_empty() { h2 { "Notes" } ul { @for note in notes { li { (note) } } } } }
}

/// What the model of tyre and rim leaves out, with `more` of a study's own, and who may not rely on it.
pub(super) fn validity(case: &Case, more: &[&str]) -> Markup {
    let rim = if case.section.is_some() {
        "The rim is a linear elastic body of revolution without joint, spoke holes or residual stress, on spokes spread round the circumference."
    } else {
        "The rim's section is rigid on an elastic ring with spokes."
    };
    let model = format!(
        "Static, at the temperature and age that the inputs stand for. {rim} Casing: cords in rubber with a pantograph lay. Friction after Coulomb with one coefficient."
    );
    let all: Vec<&str> = words::cautions_of(case).into_iter().chain([model.as_str()]).chain(more.iter().copied()).collect();
    limits("Limits of the model, cautions", &all)
}

/// Cautions under a heading, and who may not rely on the page.
pub(super) fn limits(heading: &str, cautions: &[&str]) -> Markup {
    html! {
        h2 { (heading) }
        ul {
            @for caution in cautions { li { (caution) } }
            li { "Nobody may take this report for leave to ride, sell or test: not riders, not workshops, not makers without their own tests." }
        }
    }
}

/// The case file, and every input as it was resolved; `remark` on what a study does to it.
pub(super) fn inputs(given: &Given, remark: &str) -> Markup {
    let file = CaseFile::parse(&given.text).ok();
    let cells = |((table, key, value), (input, _)): (case::Row, case::Settled<'_>)| {
        let from = file.as_ref().map_or(String::new(), |(file, _)| words::origin(case::origin(file, input)));
        [table.to_owned(), key.to_owned(), value, from]
    };
    let rows: Vec<_> = case::resolved(&given.case).into_iter().zip(case::settled(&given.case)).map(cells).collect();
    html! {
        h2 { "Inputs" }
        h3 { "As given" }
        (text(&given.text))
        h3 { "As resolved" }
        @if !remark.is_empty() { p { (remark) } }
        (table("Inputs as resolved", "t", &["table", "key", "value", "where from"], &rows))
    }
}

/// A file's text.
pub(super) fn text(text: &str) -> Markup {
    html! { pre tabindex="0" { (text) } }
}

/// Program, hashes of the files, what else is for the record (name, value), lines to sign. `remark` explains a number.
pub(super) fn record(sources: &[Source], more: &[(&str, String)], remark: &str) -> Markup {
    let table = html! {
        table {
            tbody {
                tr { td { "program" } td { "hoopwright " (env!("CARGO_PKG_VERSION")) } }
                @for source in sources { tr { td { (source.label()) } td.hash { (source.hash) } } }
                @for (name, value) in more { tr { td { (name) } td { (value) } } }
            }
        }
    };
    let lines = html! {
        table.sign {
            thead { tr { th { "calculated by" } th { "date" } th { "checked by" } th { "date" } } }
            tbody { tr { td {} td {} td {} td {} } }
        }
    };
    html! {
        div.keep {
            h2 { "Record" }
            (scrolled("Record", &table))
            @if !remark.is_empty() { p { (remark) } }
            (scrolled("Lines to sign", &lines))
        }
    }
}

/// As [`record`], of a case.
pub(super) fn record_of_case(given: &Given, more: &[(&str, String)], remark: &str) -> Markup {
    record(&given.sources(), more, remark)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_break_behind_the_dots_of_paths_alone() {
        let of = |head| broken(head).into_string();
        assert_eq!(of("rim.seat_diameter, mm"), "rim.<wbr>seat_diameter, mm");
        assert_eq!([of("at friction 0.3"), of("least")], ["at friction 0.3", "least"]);
    }

    #[test]
    fn no_title_ends_the_style_of_the_foot() {
        let style = foot("</style>\"}\\", &[Source::new("case file", b"abc"), Source::new("drawing", b"")]);
        assert!(!style.contains("</") && style.matches('"').count() == 4, "{style}");
        assert!(style.contains("case file SHA-256 ba7816bf8f01 and one further file"), "{style}");
    }

    #[test]
    fn pictures_refer_to_themselves_alone() {
        let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1\"><pattern id=\"a\"/><rect fill=\"url(#a)\"/></svg>";
        assert_eq!(embedded("map", svg), "<svg width=\"1\"><pattern id=\"map-a\"/><rect fill=\"url(#map-a)\"/></svg>");
    }
}
