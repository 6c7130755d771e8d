//! Failures as a report: what, where in which file, and the remedy.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet, normalize_untrusted_str};
use hoopwright_solver::case::CaseError;

use crate::failure::Failure;

/// Most faults of one case that are shown.
const MOST_SHOWN: usize = 50;
/// Longest line of which a snippet is shown, bytes.
const LONGEST_LINE: usize = 500;

/// The report, without a line break at its end.
pub(crate) fn render(failure: &Failure, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let groups = match failure {
        Failure::Case { path, text, errors } => {
            let path = normalize_untrusted_str(&path.display().to_string());
            let mut groups: Vec<Group<'_>> = errors.0.iter().take(MOST_SHOWN).map(|error| fault(&path, text, error)).collect();
            if errors.0.len() > MOST_SHOWN {
                let rest = format!("{} more faults are not shown", errors.0.len() - MOST_SHOWN);
                groups.push(Group::with_title(Level::NOTE.primary_title(rest)));
            }
            groups
        }
        other => {
            let title = normalize_untrusted_str(&other.to_string());
            vec![Level::ERROR.primary_title(title).element(Level::HELP.message(other.remedy()))]
        }
    };
    // Rendered one by one: groups of one report are joined as if each explained the one before.
    let reports: Vec<String> = groups.into_iter().map(|group| renderer.render(&[group])).collect();
    reports.join("\n\n")
}

fn fault<'a>(path: &str, text: &str, error: &CaseError) -> Group<'a> {
    let title = Level::ERROR.primary_title(normalize_untrusted_str(&error.message()));
    let group = match line_at(text, &error.span) {
        Some((line, span)) => title.element(
            Snippet::source(line).line_start(error.line).path(path.to_owned()).annotation(AnnotationKind::Primary.span(span)),
        ),
        None => title.element(Origin::path(path.to_owned()).line(error.line).char_column(error.column)),
    };
    group.element(Level::HELP.message(normalize_untrusted_str(&error.remedy())))
}

/// The line where a span begins, and the part of the span that lies on it. None where there is no text or too much of it.
fn line_at(text: &str, span: &Range<usize>) -> Option<(String, Range<usize>)> {
    let start = text.get(..span.start)?.rfind('\n').map_or(0, |i| i + 1);
    let end = text.get(span.start..)?.find('\n').map_or(text.len(), |i| span.start + i);
    let line = text.get(start..end)?.trim_end_matches('\r');
    let end = (start + line.len()).max(span.start);
    let within = span.start - start..span.end.clamp(span.start, end) - start;
    (!line.is_empty() && line.len() <= LONGEST_LINE).then(|| (line.to_owned(), within))
}
