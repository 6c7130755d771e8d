//! What plausible changes of a case do to its local release.

use crate::path::Release;
use hoopwright_case::Neighbour;

/// The local release beside that of a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// Path of the input that is changed.
    pub input: String,
    /// Symbol of its unit.
    pub unit: &'static str,
    /// Its value in the case and beside it.
    pub values: [f64; 2],
    /// What was changed with it to make room, as `input = value`.
    pub room: Option<String>,
    /// Local release at the case's friction and without; why there is none otherwise.
    pub release: Result<[Release; 2], String>,
}

impl Beside {
    /// Of a case beside another.
    pub fn new(neighbour: &Neighbour, release: Result<[Release; 2], String>) -> Self {
        let Neighbour { input, values, room, .. } = neighbour;
        let unit = input.unit().map_or("", |unit| unit.symbol);
        Self { input: input.path(), unit, values: *values, room: room.clone(), release }
    }

    /// The local release at the case's friction (0) or without (1), MPa, as far as it was reached.
    pub fn pressure(&self, path: usize) -> Option<f64> {
        self.release.as_ref().ok().and_then(|releases| at(releases[path]))
    }
}

/// Between which pressures the local release lies, MPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Lowest and highest with one input changed at a time, the case itself among them.
    pub one: [f64; 2],
    /// With the larger change of every input down, or up, added: all on the bad side at once, or all on the good one.
    pub all: [f64; 2],
}

/// The local release of a case among those beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// What was solved, two for each input.
    pub beside: Vec<Beside>,
}

impl Band {
    /// The span round the local release of a case, for its friction (0) or without (1); none where that was not reached or where nothing
    /// beside it was. An input with an answer on one side only is taken to do the opposite on the other.
    pub fn span(&self, path: usize, own: Release) -> Option<Span> {
        let own = at(own)?;
        let mut found: Vec<(&str, f64)> =
            self.beside.iter().filter_map(|b| Some((b.input.as_str(), b.pressure(path)?))).collect();
        let alone = |input: &str| found.iter().filter(|(other, _)| *other == input).count() == 1;
        let opposite: Vec<(&str, f64)> =
            found.iter().filter(|(input, _)| alone(input)).map(|(i, p)| (*i, 2.0 * own - p)).collect();
        found.extend(opposite);
        found.sort_by_key(|(input, _)| *input);
        if found.is_empty() {
            return None;
        }
        let mut inputs: Vec<&str> = found.iter().map(|(input, _)| *input).collect();
        inputs.dedup();
        let worst = |input: &&str, sign: f64| {
            let changes = found.iter().filter(|(other, _)| other == input).map(|(_, p)| sign * (p - own));
            changes.fold(0.0, f64::max)
        };
        let added = |sign: f64| sign * inputs.iter().map(|input| worst(input, sign)).sum::<f64>();
        let pressures = || found.iter().map(|(_, p)| *p);
        Some(Span {
            one: [pressures().fold(own, f64::min).max(0.0), pressures().fold(own, f64::max)],
            all: [(own + added(-1.0)).max(0.0), own + added(1.0)],
        })
    }

    /// How many have no answer, or were not reached.
    pub fn unanswered(&self, path: usize) -> usize {
        self.beside.iter().filter(|b| b.pressure(path).is_none()).count()
    }
}

/// The pressure of a release that was reached.
fn at(release: Release) -> Option<f64> {
    match release.known() {
        Some((pressure, false)) => Some(pressure),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    fn beside(input: &str, pressure: Option<f64>) -> Beside {
        let release = pressure.map(|p| [Release::At(p), Release::Above(p)]).ok_or_else(|| "no equilibrium".to_owned());
        Beside { input: input.to_owned(), unit: "mm", values: [1.0, 1.2], room: None, release }
    }

    #[test]
    fn a_band_spans_what_was_found_and_adds_the_worst_of_every_input() {
        let list = [("a", Some(0.70)), ("a", Some(0.85)), ("b", Some(0.75)), ("b", Some(0.78)), ("c", Some(0.9)), ("c", None)];
        let band = Band { beside: list.map(|(input, p)| beside(input, p)).to_vec() };
        let span = band.span(0, Release::At(0.80)).unwrap();
        // c has one side: it would lower the release as much on the other.
        assert_relative_eq!(span.one[0], 0.70, max_relative = 1e-12);
        assert_relative_eq!(span.one[1], 0.90, max_relative = 1e-12);
        assert_relative_eq!(span.all[0], 0.80 - 0.10 - 0.05 - 0.10, max_relative = 1e-12);
        assert_relative_eq!(span.all[1], 0.80 + 0.05 + 0.10, max_relative = 1e-12);
        assert_eq!([band.unanswered(0), band.unanswered(1)], [1, 6]);
        assert_eq!(band.span(1, Release::At(0.8)), None, "bounds are no answers");
        assert_eq!(band.span(0, Release::Above(0.8)), None);
    }
}
