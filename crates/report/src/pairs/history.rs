//! What changed from list to list, and why: a line for every pair whose finding or pressure became another one, or that came or went.
//!
//! | column | holds |
//! |---|---|
//! | `list` | number of the list from 1; the first one is no change |
//! | `date` | as it was given, or nothing |
//! | `tyre`, `rim` | the pair |
//! | `before`, `after` | the findings with their pressures; nothing where the pair was not, or is no more, on the list |
//! | `why` | what the pair rests on and is another one |

use std::collections::BTreeMap;

use hoopwright_study::pairs::basis::Basis;
use hoopwright_study::pairs::list::{Entry, List};

use super::words;
use hoopwright_study::rows::record;

/// The first line.
const HEAD: [&str; 7] = ["list", "date", "tyre", "rim", "before", "after", "why"];
/// Columns of an earlier list that are looked at.
const LOOKED_AT: [&str; 4] = ["tyre", "rim", "in_words", "rests_on"];

/// What a pair rests on, each part by its name and key, and the program's version.
pub(crate) fn rests_on(list: &List<'_>, entry: &Entry) -> String {
    let parts = Basis::of(list, entry).parts().map(|(name, key)| format!("{name}:{key} "));
    format!("{}version:{}", parts.concat(), env!("CARGO_PKG_VERSION"))
}

/// A pair of an earlier list.
struct Earlier {
    finding: String,
    rests_on: String,
}

/// The pairs of an earlier list; none where there is no such list.
fn earlier(list: &[u8]) -> Option<BTreeMap<(String, String), Earlier>> {
    let mut reader = csv::Reader::from_reader(list);
    let heads = reader.headers().ok()?.clone();
    let places: Option<Vec<usize>> = LOOKED_AT.iter().map(|name| heads.iter().position(|head| head == *name)).collect();
    let places = places?;
    let mut found = BTreeMap::new();
    for record in reader.records() {
        let record = record.ok()?;
        let [tyre, rim, finding, rests_on] = [0, 1, 2, 3].map(|k| record.get(places[k]).unwrap_or("").to_owned());
        found.insert((tyre, rim), Earlier { finding, rests_on });
    }
    Some(found)
}

/// The history with what this list changes, from the files that the last one left. `date` is as given.
pub fn history(list: &List<'_>, last: Option<&[u8]>, history: Option<&[u8]>, date: Option<&str>) -> Vec<u8> {
    let kept = history.filter(|history| history.starts_with(&record(&HEAD.map(str::to_owned))));
    let mut bytes = kept.map_or_else(|| record(&HEAD.map(str::to_owned)), <[u8]>::to_vec);
    let Some(mut before) = last.and_then(earlier) else { return bytes };
    let number = number_after(&bytes);
    let mut add = |tyre: &str, rim: &str, before: &str, after: &str, why: &str| {
        let cells = [&number.to_string(), date.unwrap_or(""), tyre, rim, before, after, why].map(str::to_owned);
        bytes.extend(record(&cells));
    };
    for entry in &list.entries {
        let (tyre, rim) = (&list.tyres[entry.pair.tyre].id, &list.rims[entry.pair.rim].id);
        let after = words::finding(entry.finding());
        match before.remove(&(tyre.clone(), rim.clone())) {
            None => add(tyre, rim, "", &after, "new on the list"),
            Some(old) if old.finding != after => {
                add(tyre, rim, &old.finding, &after, &why(&old.rests_on, &rests_on(list, entry)));
            }
            Some(_) => {}
        }
    }
    for ((tyre, rim), old) in before {
        add(&tyre, &rim, &old.finding, "", "no more in the tables");
    }
    bytes
}

/// The number of the list that follows those of a history.
fn number_after(history: &[u8]) -> usize {
    let mut reader = csv::Reader::from_reader(history);
    let numbers = reader.records().flatten().filter_map(|record| record.get(0)?.parse::<usize>().ok());
    numbers.max().unwrap_or(1) + 1
}

/// What is another one, in words.
fn why(before: &str, after: &str) -> String {
    let parts = |text: &str| -> BTreeMap<String, String> {
        text.split(' ').filter_map(|part| part.split_once(':')).map(|(name, hash)| (name.to_owned(), hash.to_owned())).collect()
    };
    let (before, after) = (parts(before), parts(after));
    let names = [
        ("tyre", "the tyre's values"),
        ("rim", "the rim's values, or the pair's pressures or limits"),
        ("tests", "tests"),
        ("terms", "the terms of the list"),
        ("version", "the program's version"),
    ];
    let other: Vec<&str> =
        names.iter().filter(|(name, _)| before.get(*name) != after.get(*name)).map(|(_, words)| *words).collect();
    if other.is_empty() { "not known".to_owned() } else { other.join(", ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_are_what_differs() {
        assert_eq!(
            why("tyre:1 rim:2 tests:3", "tyre:1 rim:4 tests:5"),
            "the rim's values, or the pair's pressures or limits, tests"
        );
        assert_eq!(why("tyre:1", "tyre:1"), "not known");
    }

    #[test]
    fn lists_are_numbered_on() {
        assert_eq!(number_after(b"list,date\n"), 2);
        assert_eq!(number_after(b"list,date\n2,\n3,\n3,\n"), 4);
    }
}
