//! The nearest known word to a mistyped one.

/// The candidate with the smallest edit distance, case ignored; none if no candidate is near enough to be meant.
///
/// Near enough: at most a third of the longer word's letters differ, or two, whichever is more, but never all of them.
pub(crate) fn nearest<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let word: Vec<char> = word.to_lowercase().chars().take(64).collect();
    candidates
        .filter(|candidate| !candidate.is_empty())
        .map(|candidate| {
            let letters: Vec<char> = candidate.to_lowercase().chars().collect();
            (distance(&word, &letters), letters.len(), candidate)
        })
        .filter(|&(d, length, _)| {
            let longer = length.max(word.len());
            d <= (longer / 3).max(2) && d < length
        })
        .min_by_key(|&(d, _, _)| d)
        .map(|(_, _, candidate)| candidate)
}

/// Edit distance after Damerau: insertions, deletions, substitutions and swaps of neighbours count one each.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut rows: Vec<Vec<usize>> = vec![(0..=b.len()).collect()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let substituted = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
            let best = substituted.min(rows[i - 1][j] + 1).min(row[j - 1] + 1);
            row.push(if swapped { best.min(rows[i - 2][j - 2] + 1) } else { best });
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_meant_word_or_none() {
        let words = ["seat_diameter", "seat_width", "inner_width"];
        for (typed, meant) in [
            ("seat_diamter", Some("seat_diameter")),
            ("Seat_Width", Some("seat_width")),
            ("innerwidth", Some("inner_width")),
            ("colour", None),
            ("", None),
        ] {
            assert_eq!(nearest(typed, words.into_iter()), meant, "{typed}");
        }
    }

    #[test]
    fn textbook_distance() {
        let letters = |s: &str| s.chars().collect::<Vec<_>>();
        assert_eq!(distance(&letters("kitten"), &letters("sitting")), 3);
        assert_eq!(distance(&letters(""), &letters("abc")), 3);
        assert_eq!(distance(&letters("bra"), &letters("bar")), 1);
    }
}
