//! A study divided among several runs: which of its cases a part solves, and what the file of its rows is called.
//!
//! A part takes every n-th case, so that cases beside each other, which are alike dear, are spread over the parts. Its rows stand in a file
//! of its own beside that of the whole study, whose name tells the part: `points_1_of_4.csv` beside `points.csv`.

use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

/// The `k`-th of `n` parts, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Part {
    k: usize,
    n: usize,
}

impl Part {
    /// Whether a case with a number (from 0) is one of the part's.
    pub fn takes(self, number: usize) -> bool {
        number % self.n == self.k - 1
    }

    /// Name of the part's file, where that of the whole study has a name.
    pub fn file(self, whole: &str) -> String {
        let (stem, ending) = parted(whole);
        format!("{stem}_{}_of_{}{ending}", self.k, self.n)
    }

    /// The part whose file has a name, where that of the whole study has another; none if it is no part's.
    pub fn of_file(whole: &str, name: &str) -> Option<Self> {
        let (stem, ending) = parted(whole);
        let (k, n) = name.strip_prefix(stem)?.strip_prefix('_')?.strip_suffix(ending)?.split_once("_of_")?;
        // Only a name as it is made here: no sign, no zero before.
        Self::new(k.parse().ok()?, n.parse().ok()?).filter(|part| part.file(whole) == name)
    }

    /// The parts that are not among some of the same division, for each division.
    pub fn missing(found: &[Self]) -> Vec<Self> {
        let mut divisions: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        found.iter().for_each(|part| divisions.entry(part.n).or_default().push(part.k));
        let of = |(n, there): (usize, Vec<usize>)| (1..=n).filter(move |k| !there.contains(k)).map(move |k| Self { k, n });
        divisions.into_iter().flat_map(of).collect()
    }

    fn new(k: usize, n: usize) -> Option<Self> {
        (1..=n).contains(&k).then_some(Self { k, n })
    }
}

/// A name before its ending, and the ending.
fn parted(name: &str) -> (&str, &str) {
    name.rfind('.').map_or((name, ""), |dot| name.split_at(dot))
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.k, self.n)
    }
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers = text.split_once('/').and_then(|(k, n)| Self::new(k.parse().ok()?, n.parse().ok()?));
        numbers.ok_or_else(|| "give K/N with K from 1 to N, as in 1/4".to_owned())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn part(text: &str) -> Part {
        text.parse().unwrap()
    }

    #[test]
    fn every_case_is_of_one_part() {
        let parts = ["1/3", "2/3", "3/3"].map(part);
        for number in 0..10 {
            assert_eq!(parts.iter().filter(|part| part.takes(number)).count(), 1, "{number}");
        }
        assert!(part("2/3").takes(4));
        for wrong in ["0/3", "4/3", "1", "1/0", "a/b"] {
            assert!(wrong.parse::<Part>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_file_tells_its_part() {
        assert_eq!(part("2/12").file("points.csv"), "points_2_of_12.csv");
        assert_eq!(Part::of_file("points.csv", "points_2_of_12.csv"), Some(part("2/12")));
        for other in ["points.csv", "points_2_of_1.csv", "points_02_of_12.csv", "vary_1_of_2.csv", "points_1_of_2.parquet"] {
            assert_eq!(Part::of_file("points.csv", other), None, "{other}");
        }
    }

    #[test]
    fn parts_that_are_not_there_are_told() {
        assert_eq!(Part::missing(&["1/4", "3/4", "1/1"].map(part)), ["2/4", "4/4"].map(part));
        assert_eq!(Part::missing(&[]), []);
    }
}
