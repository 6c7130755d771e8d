//! The variants of a case: values of some inputs to run it over, from the table `[vary]`.
//!
//! A variant is the same file with other entries in place of the typed ones ([`CaseFile::with`]), read by the same reader under the same
//! rules. So whatever a case may not be, no variant may be either, and the fault points at the value that makes it so.

mod map;
mod named_file;
mod one_input;
mod sizes;
mod stand_in;
#[cfg(test)]
mod tests;
mod tolerance;
mod values;

pub use map::{Map, map};
pub use named_file::NamedFile;
pub use one_input::{OneInput, OneInputError, one_input};
pub(crate) use sizes::room_of;
pub use sizes::{Room, SIZE_SETTINGS, Sizes, WIDTH_RULE, sizes, stated_sizes};
pub use stand_in::{BEAD_CIRCUMFERENCE, GAUGE_ERROR, MISMATCH, SEAT_CIRCUMFERENCE, STAND_INS};
pub use tolerance::{MOST_UNCERTAIN, Spread, Tolerance, Uncertain, tolerance};

use std::ops::Range;
use std::sync::LazyLock;

use self::values::{Value, values_of};
use crate::case::Case;
use crate::check::case_of;
use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::Attached;
use crate::file::{CaseFile, Entry, Named, Typed, VARY};
use crate::inputs::{INPUTS, Input};
use crate::nearest::nearest;
use crate::service::InService;
use crate::text::Text;

/// Most variants of one case.
pub const MOST_VARIANTS: usize = 10_000;
/// Key that tells how the values of several inputs go together.
const COMBINE: &str = "combine";
/// Most faults of variants that are gathered before the rest is left unread.
const MOST_FAULTS: usize = 100;

/// How the values of several inputs go together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Combine {
    /// Every value of each input with every value of the others; those of the last input change fastest.
    Grid,
    /// The first values together, then the second ones, and so on.
    List,
}

impl Combine {
    /// Words for it in a case file, in the order of the enum.
    pub const WORDS: [&'static str; 2] = ["grid", "list"];

    /// The word for it in a case file.
    pub fn name(self) -> &'static str {
        Self::WORDS[self as usize]
    }
}

/// An input with the values that it takes.
#[derive(Clone, Debug)]
pub struct Varied {
    /// The input; it has a unit.
    pub input: &'static Input,
    /// Its values in [`Input::unit`], to twelve digits, in the order of the file; never empty.
    pub values: Vec<f64>,
}

/// One variant of a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    /// Value of each varied input, in the order of [`Vary::inputs`] and in their units.
    pub values: Vec<f64>,
    /// The checked case.
    pub case: Case,
    /// Whole sentences on inputs outside common practice.
    pub notes: Vec<String>,
    /// The condition in service under which it is judged; none as it is.
    pub in_service: Option<InService>,
}

impl Variant {
    /// The case that is judged, but for the growth of a crept bead, which is known only when the new one is solved.
    pub fn judged(&self) -> Case {
        self.in_service.as_ref().map_or_else(|| self.case.clone(), |service| service.of(&self.case, 0.0))
    }
}

/// What a case is run over.
#[derive(Clone, Debug)]
pub struct Vary {
    /// How the values go together.
    pub combine: Combine,
    /// The varied inputs in the order of the file; never empty.
    pub inputs: Vec<Varied>,
    /// Every variant; never empty.
    pub variants: Vec<Variant>,
}

/// Reads the variants of a case from its text; none if the file has no table `[vary]`.
///
/// # Errors
/// Every fault found in the case and in the table; where there is none, every fault of the variants, a fault that many variants share
/// once.
pub fn variants(text: &str, attached: Attached) -> Result<Option<Vary>, CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    let mut errors = case_of(&file, structural).err().map_or_else(Vec::new, |errors| errors.0);
    let block = file.vary.as_ref().map(|(header, entries)| Block::read(&file.text, (VARY, header.clone()), entries, &mut errors));
    sound(errors)?;
    block.map(|block| block.build(&file)).transpose()
}

fn sound(mut errors: Vec<CaseError>) -> Result<(), CaseErrors> {
    errors.sort_by_key(|error| error.span.start);
    if errors.is_empty() { Ok(()) } else { Err(CaseErrors(errors)) }
}

/// The table as read: inputs, and values as entries and as numbers.
struct Block {
    combine: Combine,
    inputs: Vec<(&'static Input, Vec<Value>)>,
}

impl Block {
    fn read(text: &Text<'_>, (table, header): (&str, Range<usize>), entries: &[Named], errors: &mut Vec<CaseError>) -> Self {
        let mut block = Self { combine: Combine::Grid, inputs: Vec::new() };
        let before = errors.len();
        for named in entries {
            let mut report = |(span, problem)| {
                errors.push(CaseError::at(text, format!("{table}.{}", named.name), span, problem));
            };
            if named.name == COMBINE && table == VARY {
                match combine_of(&named.entry) {
                    Ok(combine) => block.combine = combine,
                    Err(problem) => report((named.entry.span.clone(), problem)),
                }
                continue;
            }
            match unquoted(named, INPUTS).map_or_else(|| input_of(&named.name), Err) {
                Ok(input) => block.inputs.push((input, values_of(input, &named.entry, &mut report))),
                Err(problem) => report((named.key.clone(), problem)),
            }
        }
        // How many variants there are can be told only of a table that was read in full.
        if errors.len() == before
            && let Err(problem) = block.check_number(table)
        {
            errors.push(CaseError::at(text, table.to_owned(), header, problem));
        }
        block
    }

    /// Variants in all; beyond counting where it overflows.
    fn number(&self) -> usize {
        let lengths = self.inputs.iter().map(|(_, values)| values.len());
        match self.combine {
            Combine::Grid => lengths.fold(1, usize::saturating_mul),
            Combine::List => lengths.max().unwrap_or(0),
        }
    }

    fn check_number(&self, table: &str) -> Result<(), Problem> {
        let fault = |sentence: String, remedy: &str| Err(Problem::Vary { sentence, remedy: remedy.to_owned() });
        let Some((first, rest)) = self.inputs.split_first() else {
            let remedy = "add one, as in \"rim.seat_diameter\" = [\"621.5 mm\", \"622.4 mm\"], or drop the table";
            return fault(format!("[{table}] names no input"), remedy);
        };
        let other = rest.iter().find(|(_, values)| values.len() != first.1.len());
        if let (Combine::List, Some(other)) = (self.combine, other) {
            let (a, b) = (first.0.path(), other.0.path());
            let sentence =
                format!("{a} has {} values and {b} has {}: a list goes through them together", first.1.len(), other.1.len());
            return fault(sentence, "give every input the same number of values, or write combine = \"grid\"");
        }
        stand_in::check(&self.inputs.iter().map(|(input, _)| *input).collect::<Vec<_>>())?;
        if self.number() > MOST_VARIANTS {
            let sentence = format!("[{table}] makes more than {MOST_VARIANTS} variants");
            return fault(sentence, "give fewer values, or divide them between several case files");
        }
        Ok(())
    }

    /// The value of each input in variant `i`.
    fn of(&self, i: usize) -> Vec<&Value> {
        let mut rest = i;
        let mut values: Vec<&Value> = Vec::new();
        for (_, list) in self.inputs.iter().rev() {
            match self.combine {
                Combine::Grid => {
                    values.push(&list[rest % list.len()]);
                    rest /= list.len();
                }
                Combine::List => values.push(&list[i]),
            }
        }
        values.reverse();
        values
    }

    /// Every variant as a case.
    fn build(self, file: &CaseFile<'_>) -> Result<Vary, CaseErrors> {
        let (base, _) = case_of(file, Vec::new())?;
        let (mut variants, mut faults) = (Vec::new(), Faults::default());
        for i in 0..self.number() {
            let values = self.of(i);
            let placed: Vec<(&'static Input, f64, &Entry)> =
                self.inputs.iter().zip(&values).map(|((input, _), value)| (*input, value.number, &value.entry)).collect();
            match case_of(&file.with(stand_in::entries(&placed, &base)), Vec::new()) {
                Ok((case, notes)) => {
                    variants.push(Variant { values: values.iter().map(|v| v.number).collect(), case, notes, in_service: None });
                }
                Err(errors) => errors.0.into_iter().for_each(|error| faults.add(error, || self.shown(&values))),
            }
            if faults.0.len() >= MOST_FAULTS {
                break;
            }
        }
        faults.none()?;
        let inputs = self.inputs.iter().map(|(input, list)| Varied { input, values: list.iter().map(|v| v.number).collect() });
        Ok(Vary { combine: self.combine, inputs: inputs.collect(), variants })
    }

    /// The values of a variant with their inputs, for a sentence.
    fn shown(&self, values: &[&Value]) -> String {
        let each = |((input, _), value): (&(&'static Input, Vec<Value>), &&Value)| {
            let unit = input.unit().unwrap_or(crate::units::ONE);
            format!("{} = {}", input.path(), unit.show(value.number))
        };
        let list: Vec<String> = self.inputs.iter().zip(values).map(each).collect();
        list.join(", ")
    }
}

/// Faults of variants, each once.
#[derive(Default)]
struct Faults(Vec<CaseError>);

impl Faults {
    fn add(&mut self, mut error: CaseError, values: impl Fn() -> String) {
        let same = |known: &CaseError| match &known.problem {
            Problem::Variant { problem, .. } => known.span == error.span && **problem == error.problem,
            _ => false,
        };
        if !self.0.iter().any(same) {
            error.problem = Problem::Variant { values: values(), problem: Box::new(error.problem) };
            self.0.push(error);
        }
    }

    fn none(mut self) -> Result<(), CaseErrors> {
        self.0.sort_by_key(|error| error.span.start);
        if self.0.is_empty() { Ok(()) } else { Err(CaseErrors(self.0)) }
    }
}

fn combine_of(entry: &Entry) -> Result<Combine, Problem> {
    let Typed::Text(given) = &entry.value else {
        let line = format!("{COMBINE} = \"{}\"", Combine::Grid.name());
        return Err(Problem::WrongType { found: entry.value.type_name(), wanted: "a text in quotes", line });
    };
    [Combine::Grid, Combine::List].into_iter().find(|combine| combine.name() == given).ok_or_else(|| Problem::NotAChoice {
        given: given.clone(),
        range: Combine::WORDS.map(|word| format!("\"{word}\"")).join(" or "),
        nearest: nearest(given, Combine::WORDS.into_iter()),
    })
}

/// The fault of a key that is the name of a table of some inputs: a path typed without quotes is a table within the table.
fn unquoted(named: &Named, inputs: &[&'static Input]) -> Option<Problem> {
    let of_table: Vec<String> =
        inputs.iter().chain(&STAND_INS).filter(|i| i.section == named.name && i.unit().is_some()).map(|i| i.path()).collect();
    let first = of_table.first().filter(|_| !named.name.is_empty())?;
    let keys = if let Typed::Table(keys) = &named.entry.value { &keys[..] } else { &[] };
    let meant = |key: &Named| nearest(&format!("{}.{}", named.name, key.name), of_table.iter().map(String::as_str));
    let mut paths: Vec<String> = Vec::new();
    for path in keys.iter().filter_map(meant) {
        if !paths.iter().any(|known| known == path) {
            paths.push(path.to_owned());
        }
    }
    if paths.is_empty() {
        paths.push(first.clone());
    }
    Some(Problem::Unquoted { table: named.name.clone(), paths })
}

/// Paths of all inputs that are numbers and of what stands for them.
static PATHS: LazyLock<Vec<String>> =
    LazyLock::new(|| INPUTS.iter().copied().chain(STAND_INS).filter(|i| i.unit().is_some()).map(|i| i.path()).collect());

/// The input of a path, if it is a number.
fn input_of(path: &str) -> Result<&'static Input, Problem> {
    let (section, key) = path.rsplit_once('.').unwrap_or(("", path));
    let named = |input: &&'static Input| input.section == section && input.key == key;
    let Some(input) = INPUTS.iter().copied().chain(STAND_INS).find(named) else {
        // A key's name alone is a path without its table.
        let of_key = INPUTS.iter().find(|input| input.key == path).map(|input| input.path());
        let near = || nearest(path, PATHS.iter().map(String::as_str)).map(str::to_owned);
        return Err(Problem::UnknownPath { path: path.to_owned(), nearest: of_key.or_else(near) });
    };
    if input.unit().is_some() {
        return Ok(input);
    }
    let sentence = format!("`{path}` is no number and cannot be varied");
    Err(Problem::Vary { sentence, remedy: "vary a quantity, a modulus or a count".to_owned() })
}
