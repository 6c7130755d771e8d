//! A list in a terminal's width: the headline, a line a rim, what to look at first.

use hoopwright_study::pairs::count::Count;
use hoopwright_study::pairs::judge::Finding;
use hoopwright_study::pairs::list::{Entry, List};

use super::words;
use crate::lines::paragraph;

/// Pairs that are named under each heading; the files name all.
const MOST_NAMED: usize = 10;
/// Widest name of a rim.
const NAME: usize = 20;

/// How many tyres fit, in a sentence.
pub fn headline(list: &List<'_>) -> String {
    let (fit, tyres, rims) = (list.fit_all(), list.tyres.len(), list.rims.len());
    let noun = if tyres == 1 { "tyre" } else { "tyres" };
    let verb = if fit == 1 || tyres == 1 { "fits" } else { "fit" };
    match rims {
        1 => format!("{fit} of {tyres} {noun} {verb} rim {}.", list.rims[0].id),
        2 => format!("{fit} of {tyres} {noun} {verb} both rims."),
        rims => format!("{fit} of {tyres} {noun} {verb} all {rims} rims."),
    }
}

/// The text.
pub fn text(list: &List<'_>) -> String {
    let mut out = headline(list) + "\n\n";
    counts(list, &mut out);
    let all = list.of_all();
    named(list, "Test first", &mut out, &|entry| entry.finding() == Some(Finding::TestFirst), &words::near);
    named(list, "No answer", &mut out, &|entry| entry.finding() == Some(Finding::NoAnswer), &words::reason);
    let apart: Vec<(usize, usize)> = list.disagreeing().map(|entry| (entry.pair.tyre, entry.pair.rim)).collect();
    let disagrees = |entry: &Entry| apart.contains(&(entry.pair.tyre, entry.pair.rim));
    named(list, "Test and calculation disagree", &mut out, &disagrees, &tests);
    out.push('\n');
    paragraph("", &terms(list, all), &mut out);
    paragraph("", words::CAUTION, &mut out);
    out
}

/// What the words of the list mean.
pub(crate) fn terms(list: &List<'_>, all: Count) -> String {
    let error = 100.0 * list.terms.model_error;
    let fits = "Each pair is listed for the lowest of its maximum pressures and its rated pressure, where these are stated.";
    let test = format!(
        "Test first: retention or spokes lie within {error} % of their limit, the error that the model is taken to have."
    );
    let up_to = "Fits up to: a limit is just kept at that pressure as calculated; the error of the model is not taken off it.";
    let none = format!("Does not fit: no pressure of {} bar or more keeps every limit.", words::bar_down(list.terms.least));
    let sizes = if all.apart > 0 { " Other size: the sizes do not go together; nothing is solved." } else { "" };
    format!("{fits} {up_to} {test} {none}{sizes}")
}

fn counts(list: &List<'_>, out: &mut String) {
    let heads = ["fits", "fits up to", "test first", "does not fit", "no answer", words::APART];
    let shown: Vec<usize> = (0..heads.len()).filter(|k| numbers(list.of_all())[*k] > 0 || *k < 4).collect();
    let line = |name: &str, cells: Vec<String>| {
        let cells: String =
            shown.iter().zip(cells).map(|(k, cell)| format!(" {cell:>width$}", width = heads[*k].len())).collect();
        format!("{name:<NAME$}{cells}").trim_end().to_owned() + "\n"
    };
    out.push_str(&line("", shown.iter().map(|k| heads[*k].to_owned()).collect()));
    for (i, rim) in list.rims.iter().enumerate() {
        let count = numbers(list.of_rim(i));
        out.push_str(&line(&short(&rim.id, NAME), shown.iter().map(|k| count[*k].to_string()).collect()));
    }
}

fn numbers(count: Count) -> [usize; 6] {
    [count.fits, count.fits_up_to, count.test_first, count.does_not_fit, count.no_answer, count.apart]
}

/// A name that fits into so many characters.
fn short(name: &str, most: usize) -> String {
    if name.chars().count() <= most { name.to_owned() } else { name.chars().take(most - 3).collect::<String>() + "..." }
}

/// The pairs of a kind under a heading, each with what is told of it.
fn named(list: &List<'_>, heading: &str, out: &mut String, kind: &dyn Fn(&Entry) -> bool, told: &dyn Fn(&Entry) -> String) {
    let found: Vec<&Entry> = list.entries.iter().filter(|entry| kind(entry)).collect();
    if found.is_empty() {
        return;
    }
    out.push_str(&format!("\n{heading}:\n"));
    for entry in found.iter().take(MOST_NAMED) {
        let (tyre, rim) = (&list.tyres[entry.pair.tyre].id, &list.rims[entry.pair.rim].id);
        paragraph(&format!("  {} on {}: ", short(tyre, NAME), short(rim, NAME)), &told(entry), out);
    }
    if found.len() > MOST_NAMED {
        out.push_str(&format!("  and {} more, in the files\n", found.len() - MOST_NAMED));
    }
}

fn tests(entry: &Entry) -> String {
    let all = entry.answer.iter().flat_map(|answer| &answer.judged.tests);
    all.map(words::tested).collect::<Vec<_>>().join("; ")
}
