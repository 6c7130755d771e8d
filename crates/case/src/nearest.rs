//! The nearest known word to a mistyped one.

/// Letters of a word that are looked at: a longer one is no mistyped input.
const LONGEST: usize = 64;
/// Classes that letters are counted in.
const CLASSES: usize = 32;

/// The candidate with the smallest edit distance, case ignored; none if no candidate is near enough to be meant.
///
/// Near enough: at most a third of the longer word's letters differ, or two, whichever is more, but never all of them.
pub fn nearest<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let word = Letters::of(word);
    let mut found: Option<(usize, &str)> = None;
    for candidate in candidates {
        let length = candidate.chars().count();
        if length.abs_diff(word.count) > (length.max(word.count) / 3).max(2) {
            continue;
        }
        let letters = Letters::of(candidate);
        let enough = (letters.count.max(word.count) / 3).max(2);
        // A later candidate must be nearer than the one found.
        let most = found.map_or(enough, |(d, _)| enough.min(d.saturating_sub(1))).min(letters.count.saturating_sub(1));
        if letters.count > 0 && found.is_none_or(|(d, _)| d > 0) && word.apart(&letters) <= most {
            let d = distance(word.list(), letters.list());
            if d <= most {
                found = Some((d, candidate));
            }
        }
    }
    found.map(|(_, candidate)| candidate)
}

/// The letters of a word in lower case, and how many there are of each class.
struct Letters {
    all: [char; LONGEST],
    count: usize,
    classes: [u8; CLASSES],
}

impl Letters {
    fn of(word: &str) -> Self {
        let mut letters = Self { all: ['\0'; LONGEST], count: 0, classes: [0; CLASSES] };
        for letter in word.chars().flat_map(char::to_lowercase).take(LONGEST) {
            letters.all[letters.count] = letter;
            letters.count += 1;
            letters.classes[letter as usize % CLASSES] += 1;
        }
        letters
    }

    fn list(&self) -> &[char] {
        &self.all[..self.count]
    }

    /// A distance that the edit distance is never below: letters of one word that the other has not, whatever their order. It spares most
    /// candidates the comparison letter by letter.
    fn apart(&self, other: &Self) -> usize {
        let both = self.classes.iter().zip(&other.classes);
        let [more, less] = both.fold([0, 0], |[more, less], (a, b)| {
            [more + usize::from(a.saturating_sub(*b)), less + usize::from(b.saturating_sub(*a))]
        });
        more.max(less)
    }
}

/// Edit distance after Damerau: insertions, deletions, substitutions and swaps of neighbours count one each.
fn distance(a: &[char], b: &[char]) -> usize {
    // The last two rows and the one at hand, each reaching over all of `b`.
    let mut rows = [[0; LONGEST + 1]; 3];
    (0..=b.len()).for_each(|j| rows[1][j] = j);
    for i in 1..=a.len() {
        rows[2][0] = i;
        for j in 1..=b.len() {
            let substituted = rows[1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
            let best = substituted.min(rows[1][j] + 1).min(rows[2][j - 1] + 1);
            rows[2][j] = if swapped { best.min(rows[0][j - 2] + 1) } else { best };
        }
        rows.rotate_left(1);
    }
    rows[1][b.len()]
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

    /// Of equally near words the first one counts; longer words than are looked at are near nothing short.
    #[test]
    fn the_first_of_equals_is_taken() {
        assert_eq!(nearest("cat", ["bat", "hat"].into_iter()), Some("bat"));
        assert_eq!(nearest("hat", ["bat", "hat"].into_iter()), Some("hat"));
        assert_eq!(nearest(&"x".repeat(1000), ["xx", "hat"].into_iter()), None);
    }

    /// What spares comparisons never hides a near word.
    #[test]
    fn counted_letters_are_a_lower_bound() {
        for (a, b) in [("kitten", "sitting"), ("bra", "bar"), ("", "abc"), ("seat_width", "wall_thickness"), ("éa", "ae")] {
            let (a, b) = (Letters::of(a), Letters::of(b));
            assert!(a.apart(&b) <= distance(a.list(), b.list()));
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
