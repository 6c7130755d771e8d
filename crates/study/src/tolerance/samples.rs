//! The rows of a study of tolerances: what each sample was solved for, and of which study it is.

use hoopwright_case::{Spread, Tolerance};

use super::sample::Purpose;
use crate::rows::Scope;
use crate::rows::{Key, KeyMaker, Layout, Row};

/// Words before each row: what the sample was solved for first, and the key of the study ([`key`]).
const LABELS: [&str; 2] = ["purpose", "study_hash"];
/// Purpose of rows of an earlier run that this one did not ask for.
const EARLIER: &str = "earlier";

/// The layout of the samples' file.
pub fn layout(tolerance: &Tolerance) -> Layout {
    Layout::new("sample", tolerance.inputs.iter().map(|u| u.input), Scope::Deciding).labelled(&LABELS)
}

/// A row of a study, under a purpose; none for a row that is not asked for.
#[must_use]
pub fn labelled(row: Row, purpose: Option<Purpose>, study: Key) -> Row {
    row.labelled(vec![purpose.map_or(EARLIER, Purpose::name).to_owned(), study.to_string()])
}

/// Whether a row is of a study.
pub fn belongs(row: &Row, study: Key) -> bool {
    row.labels[1].parse() == Ok(study)
}

/// The key of the study: the case, its service, how its inputs scatter and go together, and the seed. `measured` are the measured values
/// of each input, empty where there are none.
pub fn key(tolerance: &Tolerance, measured: &[Vec<f64>]) -> Key {
    let maker = tolerance.in_service.iter().fold(KeyMaker::default().case(&tolerance.case), KeyMaker::in_service);
    let scattering = tolerance.inputs.iter().zip(measured);
    let maker = scattering.fold(maker, |maker, (u, values)| spread(maker.input(u.input), &u.spread, values));
    let pairs = tolerance.correlation.iter();
    let maker = pairs.fold(maker.word("correlation"), |maker, (i, j, rho)| maker.whole(*i).whole(*j).number(*rho));
    maker.word("seed").whole(tolerance.seed as usize).key()
}

fn spread(maker: KeyMaker, spread: &Spread, measured: &[f64]) -> KeyMaker {
    let numbers = |maker: KeyMaker, numbers: &[f64]| maker.numbers(numbers.iter().copied());
    match spread {
        Spread::Normal { mean, deviation, within } => {
            let maker = maker.word("normal").number(*mean).number(*deviation);
            numbers(maker, within.as_ref().map_or(&[], |ends| ends.as_slice()))
        }
        Spread::Uniform(ends) => numbers(maker.word("uniform"), ends),
        Spread::Triangular { ends, mode } => numbers(maker.word("triangular"), ends).number(*mode),
        Spread::Measured { .. } => numbers(maker.word("measured"), measured),
    }
}
