//! Texts compared with their numbers read: words exactly, numbers within a tolerance.

/// A word or a number of a text.
#[derive(Debug, PartialEq)]
enum Token {
    Space,
    Other(char),
    Number(f64),
}

/// Splits a text; white space of any length counts as one.
fn tokens(text: &str) -> Vec<Token> {
    let characters: Vec<char> = text.trim().chars().collect();
    let (mut found, mut i) = (Vec::new(), 0);
    while let Some(c) = characters.get(i) {
        let digit = |k: usize| characters.get(k).is_some_and(char::is_ascii_digit);
        let start = i;
        if c.is_ascii_digit() {
            while digit(i) || (characters.get(i) == Some(&'.') && digit(i + 1)) {
                i += 1;
            }
            let number: String = characters[start..i].iter().collect();
            // What has two points is a version, no number.
            match number.parse() {
                Ok(number) => found.push(Token::Number(number)),
                Err(_) => found.extend(number.chars().map(Token::Other)),
            }
            continue;
        }
        i += 1;
        match c {
            c if !c.is_whitespace() => found.push(Token::Other(*c)),
            _ if found.last() == Some(&Token::Space) => {}
            _ => found.push(Token::Space),
        }
    }
    found
}

/// Whether two texts are the same, numbers within a relative and an absolute tolerance.
pub(crate) fn same(stated: &str, found: &str, relative: f64, absolute: f64) -> bool {
    let (stated, found) = (tokens(stated), tokens(found));
    stated.len() == found.len()
        && stated.iter().zip(&found).all(|pair| match pair {
            (Token::Number(a), Token::Number(b)) => (a - b).abs() <= (relative * a.abs()).max(absolute),
            (a, b) => a == b,
        })
}

/// Relative deviation of a picture's numbers that is let pass, and the absolute ones of positions, px, and of what is written, in its last
/// digit: solvers differ a little between machines.
const PICTURE: (f64, f64, f64) = (0.02, 2.0, 0.011);

/// Whether a stored picture is nearly the one drawn, every label for itself.
pub(crate) fn same_picture(stored: &str, drawn: &str) -> bool {
    let labels = |svg: &str| -> Vec<String> {
        let texts = svg.split("<text").skip(1).filter_map(|rest| rest.split_once('>')?.1.split_once("</text>"));
        texts.map(|(label, _)| label.to_owned()).collect()
    };
    let (relative, position, digit) = PICTURE;
    let (a, b) = (labels(stored), labels(drawn));
    same(stored, drawn, relative, position) && a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| same(a, b, relative, digit))
}

/// Holds stated lines against a printed text; `...` stands for lines left out. The first line that is not there, if any.
pub(crate) fn lines_differ(stated: &[String], printed: &str, relative: f64) -> Option<String> {
    let mut rest = printed.lines();
    let mut skips = false;
    for line in stated {
        if line == "..." {
            skips = true;
            continue;
        }
        let is = |found: &str| same(line, found, relative, 0.0);
        let found = if skips { rest.any(is) } else { rest.next().is_some_and(is) };
        if !found {
            return Some(format!("not printed: {line}"));
        }
        skips = false;
    }
    let left = rest.next().filter(|_| !skips);
    left.map(|line| format!("printed beyond that: {line}"))
}

#[test]
fn numbers_may_be_off_and_words_may_not() {
    assert!(same("holds at  7.50 bar", "holds at 7.6 bar", 0.02, 0.0));
    for (a, b) in
        [("holds at 7.5 bar", "holds at 7.8 bar"), ("7.5 bar", "7.5 psi"), ("a", "a 1"), ("-1.45", "1.45"), ("1.2.3", "1.2.4")]
    {
        assert!(!same(a, b, 0.02, 0.0), "{a} {b}");
    }
}

#[test]
fn lines_stand_in_order_and_gaps_are_marked() {
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    let printed = "one 1\ntwo 2\nthree 3\n";
    for (stated, fits) in [
        ("one 1\ntwo 2\nthree 3", true),
        ("one 1\n...\nthree 3", true),
        ("...\ntwo 2\n...", true),
        ("one 1\nthree 3", false),
        ("two 2\n...", false),
        ("one 1", false),
        ("...\nthree 3\ntwo 2", false),
        ("...\ntwo 3\n...", false),
    ] {
        assert_eq!(lines_differ(&lines(stated), printed, 0.02).is_none(), fits, "{stated}");
    }
}

#[test]
fn a_picture_may_move_by_pixels_and_not_in_what_it_says() {
    let picture = |x: f64, bar: f64| format!("<svg><text x=\"{x}\" y=\"20\">release {bar} bar</text></svg>");
    assert!(same_picture(&picture(10.0, 7.5), &picture(11.5, 7.51)));
    assert!(!same_picture(&picture(10.0, 7.5), &picture(13.0, 7.5)));
    assert!(!same_picture(&picture(10.0, 7.5), &picture(10.0, 8.5)));
}
