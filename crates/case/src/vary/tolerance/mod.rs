//! What is known of inputs that scatter, from the table `[tolerance]`: a spread for each, how they go together, and what is asked.

mod scattering;
mod settings;
mod spread;
#[cfg(test)]
mod tests;

pub use spread::Spread;

use std::ops::Range;

use self::settings::{Known, Settings};
use super::values::tidy;
use super::{NamedFile, Variant, sound, stand_in};
use crate::case::Case;
use crate::check::case_of;
use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::Attached;
use crate::file::{CaseFile, Entry, Named, TOLERANCE, Typed};
use crate::inputs::Input;
use crate::service::{Condition, InService, service_of};
use crate::text::Text;
use crate::units::ONE;

/// Most inputs that scatter: learning the model's answer asks for a number of solves that grows with their square.
pub const MOST_UNCERTAIN: usize = 20;
/// So many deviations from its mean a normal input must still make a case: further out lies one of 10^9.
const REACH: f64 = 6.0;

/// An input that scatters.
#[derive(Clone, Debug)]
pub struct Uncertain {
    /// The input; it is a number and no count.
    pub input: &'static Input,
    /// How it scatters, in [`Input::unit`].
    pub spread: Spread,
    /// Bytes of the spread in the text.
    span: Range<usize>,
    /// Bytes of the name of its file of measured values, if it names one.
    file: Option<Range<usize>>,
}

/// What is known of inputs that scatter.
#[derive(Clone, Debug)]
pub struct Tolerance {
    /// The inputs in the order of the file; never empty.
    pub inputs: Vec<Uncertain>,
    /// Pairs of inputs by their numbers, with the correlation of their values; as a matrix it is positive definite.
    pub correlation: Vec<(usize, usize, f64)>,
    /// Allowed probability.
    pub target: Option<f64>,
    /// Seed of the sampling.
    pub seed: u32,
    /// Half the width that the 95 % interval of the probability may have, as a share of it.
    pub interval: f64,
    /// Most cases to be solved.
    pub most_solves: usize,
    /// The input whose spread is to be sized so that the target is met.
    pub chosen: Option<usize>,
    /// The case as typed.
    pub case: Case,
    /// The condition in service that is judged, with the service as typed; none where that is the case as typed.
    pub in_service: Option<InService>,
    /// Whole sentences on inputs of the case outside common practice.
    pub notes: Vec<String>,
    text: String,
    attached: Attached,
}

/// Reads what scatters from a case's text; none if the file has no table `[tolerance]`. `attached` are the files that the case names,
/// but for measured values.
///
/// # Errors
/// Every fault found in the case and in the table; where there is none, every spread that reaches values which make no case.
pub fn tolerance(text: &str, attached: Attached) -> Result<Option<Tolerance>, CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    let (case, mut errors) = match case_of(&file, structural) {
        Ok(case) => (Some(case), Vec::new()),
        Err(errors) => (None, errors.0),
    };
    let Some((header, entries)) = &file.tolerance else { return sound(errors).map(|()| None) };
    let mut at = |key: &str, (span, problem): Fault| {
        errors.push(CaseError::at(
            &file.text,
            if key.is_empty() { TOLERANCE.to_owned() } else { format!("{TOLERANCE}.{key}") },
            span,
            problem,
        ));
    };
    let condition = settings::condition(entries, &mut at);
    let inputs = inputs_of(&file, (condition, case.as_ref().map(|(case, _)| case)), (header, entries), &mut at);
    let spreads = entries.iter().filter(|named| !settings::is_setting(&named.name)).count();
    let known = Known { inputs: &inputs, all: inputs.len() == spreads };
    let settings = Settings::read(entries, &known, &mut at);
    let judged = condition != Condition::New;
    let service = if judged { service_of(&file, errors).map(Some)? } else { sound(errors).map(|()| None)? };
    let Some((case, notes)) = case else { return Ok(None) };
    let Settings { target, seed, interval, most_solves, chosen, correlation } = settings;
    let attached = (*file.attached).clone();
    let tolerance = Tolerance {
        inputs,
        correlation,
        target,
        seed,
        interval,
        most_solves,
        chosen,
        case,
        in_service: service.map(|service| InService { condition, service }),
        notes,
        text: text.to_owned(),
        attached,
    };
    tolerance.check_reach()?;
    Ok(Some(tolerance))
}

/// A problem and the bytes of the text that it is about.
type Fault = (Range<usize>, Problem);

/// The inputs with their spreads; faults are reported by key.
fn inputs_of(
    file: &CaseFile<'_>,
    (condition, case): (Condition, Option<&Case>),
    (header, entries): (&Range<usize>, &[Named]),
    report: &mut impl FnMut(&str, Fault),
) -> Vec<Uncertain> {
    let mut inputs: Vec<Uncertain> = Vec::new();
    let mut faults = 0;
    for named in entries.iter().filter(|named| !settings::is_setting(&named.name)) {
        let read =
            scattering::input_of(named, condition).map_err(|problem| vec![(named.key.clone(), problem)]).and_then(|input| {
                let own = own_value(file, case, input);
                let (span, file) = (named.entry.span.clone(), spread::place_of_file(&named.entry));
                spread::read(input, own, &named.entry).map(|spread| Uncertain { input, spread, span, file })
            });
        match read {
            Ok(uncertain) => inputs.push(uncertain),
            Err(found) => {
                faults += found.len();
                found.into_iter().for_each(|fault| report(&named.name, fault));
            }
        }
    }
    let fault = |sentence: String, remedy: &str| (header.clone(), Problem::Vary { sentence, remedy: remedy.to_owned() });
    if inputs.is_empty() && faults == 0 {
        let remedy = "add one, as in \"bead.stiffness\" = { deviation = \"12 kN\" }, or drop the table";
        report("", fault(format!("[{TOLERANCE}] names no input"), remedy));
    }
    if inputs.len() > MOST_UNCERTAIN {
        let sentence = format!("[{TOLERANCE}] names {} inputs, at most {MOST_UNCERTAIN} may scatter", inputs.len());
        report("", fault(sentence, "leave out those that matter least"));
    }
    if let Err(problem) = scattering::check(file, condition, &inputs) {
        report("contact.friction", (header.clone(), problem));
    }
    if let Err(problem) = stand_in::check(&inputs.iter().map(|u| u.input).collect::<Vec<_>>()) {
        report("", (header.clone(), problem));
    }
    inputs
}

/// The case's own value of an input, in its unit; none where it follows from others or the case has faults.
fn own_value(file: &CaseFile<'_>, case: Option<&Case>, input: &'static Input) -> Option<f64> {
    let typed = file.get(input).and_then(|entry| super::values::number(input, &entry.value).ok());
    typed.or_else(|| stand_in::in_case(input, case?).map(tidy)).or_else(|| match input.need {
        crate::inputs::Need::Default { value } => super::values::number(input, &Typed::Text(value.to_owned())).ok(),
        _ => None,
    })
}

impl Tolerance {
    /// The case with the inputs at some values, in the order of [`Tolerance::inputs`] and in their units, to twelve digits.
    ///
    /// # Errors
    /// Every rule that the case then breaks, at the place of the spread.
    pub fn variant(&self, values: &[f64]) -> Result<Variant, CaseErrors> {
        let values: Vec<f64> = values.iter().map(|value| tidy(*value)).collect();
        self.with(values.clone(), &self.inputs.iter().zip(values).collect::<Vec<_>>())
    }

    /// Whether an input alone may have a value.
    ///
    /// # Errors
    /// Every rule that the case then breaks, at the place of the spread.
    pub fn admits(&self, input: &Uncertain, value: f64) -> Result<(), CaseErrors> {
        self.with(Vec::new(), &[(input, value)]).map(|_| ())
    }

    /// The case as typed under the condition that is judged, but for the growth of a crept bead.
    pub fn judged(&self) -> Case {
        self.in_service.as_ref().map_or_else(|| self.case.clone(), |service| service.of(&self.case, 0.0))
    }

    fn with(&self, values: Vec<f64>, placed: &[(&Uncertain, f64)]) -> Result<Variant, CaseErrors> {
        let (file, structural) = CaseFile::parse(&self.text)?;
        let file = file.with_attached(self.attached.clone());
        let typed: Vec<Entry> = placed.iter().map(|(u, value)| u.typed(*value)).collect();
        let placed: Vec<(&'static Input, f64, &Entry)> =
            placed.iter().zip(&typed).map(|((u, value), entry)| (u.input, *value, entry)).collect();
        let file = file.with(stand_in::entries(&placed, &self.case));
        let (case, notes) = case_of(&file, structural)?;
        let under = |service: &InService| {
            let read = service_of(&file, Vec::new())?;
            Ok::<_, CaseErrors>(InService { condition: service.condition, service: read })
        };
        let in_service = self.in_service.as_ref().map(under).transpose()?;
        Ok(Variant { values, case, notes, in_service })
    }

    /// Every spread must reach values only that make a case, the other inputs being as the case gives them.
    fn check_reach(&self) -> Result<(), CaseErrors> {
        let mut errors: Vec<CaseError> = Vec::new();
        for uncertain in &self.inputs {
            for end in uncertain.spread.reach(REACH).into_iter().flatten() {
                let Err(faults) = self.admits(uncertain, end) else { continue };
                let first = faults.0.into_iter().next();
                errors.extend(first.map(|fault| uncertain.beyond(&self.text, end, &fault)));
            }
        }
        sound(errors)
    }
}

impl Uncertain {
    /// The file of measured values that it names; none where its spread is told otherwise.
    pub fn measured(&self) -> Option<NamedFile> {
        let (Spread::Measured { file, .. }, Some(span)) = (&self.spread, self.file.clone()) else { return None };
        Some(NamedFile { name: file.clone(), key: format!("{TOLERANCE}.{}", self.input.path()), span })
    }

    /// A value as if it had been typed.
    fn typed(&self, value: f64) -> Entry {
        let unit = self.input.unit().unwrap_or(ONE);
        Entry { value: Typed::Text(format!("{value} {}", unit.symbol)), span: self.span.clone() }
    }

    /// A value of the spread that makes no case.
    fn beyond(&self, text: &str, value: f64, fault: &CaseError) -> CaseError {
        let (path, unit) = (self.input.path(), self.input.unit().unwrap_or(ONE));
        let sentence = format!("the spread reaches {path} = {}: {}", unit.show(value), fault.message());
        let remedy = match self.spread {
            Spread::Normal { within: None, .. } => format!("cut it off, as in within = [\"...\", \"...\"]; {}", fault.remedy()),
            _ => fault.remedy(),
        };
        CaseError::at(&Text::new(text), format!("{TOLERANCE}.{path}"), self.span.clone(), Problem::Vary { sentence, remedy })
    }
}
