//! `hoopwright sizes`: the example's answer, files, threads, wrong input.

use std::fs;

use crate::common::{Folder, project};
use serde_json::Value;

fn example() -> String {
    fs::read_to_string(project().join("examples/13_sizes.toml")).unwrap()
}

/// What the head of the example says.
#[test]
fn the_example_has_its_sizes() {
    let folder = Folder::new("sizes_example");
    folder.write("case.toml", example());
    let (out, _) = folder.expect(1, &["sizes", "case.toml", "--json", "-q"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    let rows = json["rows"].as_array().unwrap();
    assert_eq!((rows.len(), &json["schema"]), (16, &Value::from("hoopwright/sizes/1.0")));
    let number = |row: usize, key: &str| rows[row][key].as_f64().unwrap();
    for (row, key, expected) in [
        (0, "width", 31.4),
        (15, "width", 35.4),
        (0, "height", 34.6),
        (15, "height", 36.6),
        (0, "width_by_rule", 31.0),
        (15, "width_by_rule", 33.4),
        (0, "outer_diameter", 691.2),
    ] {
        assert!((number(row, key) - expected).abs() < 0.051, "{key} of row {row}: {}", number(row, key));
    }
    // On the rims of 19, 21, 23 and 25 mm at 2, 3, 4 and 5 bar: 4 mm of room up to 34 mm of width.
    let clears: Vec<bool> = rows.iter().map(|row| row["clears"].as_bool().unwrap()).collect();
    let expected = [[true; 4], [true; 4], [true, true, false, false], [true, false, false, false]].concat();
    assert_eq!(clears, expected, "{rows:?}");
    for row in 0..16 {
        let (width, beside) = (number(row, "width"), number(row, "room_beside"));
        assert!((beside - 0.5 * (42.0 - width)).abs() < 1e-9 && (beside >= 4.0) == clears[row]);
        assert!((number(row, "height") - 0.5 * (number(row, "outer_diameter") - 621.95)).abs() < 1e-9);
    }
}

#[test]
fn files_are_whole_and_the_same_for_any_number_of_threads() {
    let folder = Folder::new("sizes_files");
    folder.write("case.toml", example().replace("\"19 mm\", \"21 mm\", \"23 mm\", \"25 mm\"", "\"19 mm\", \"23 mm\""));
    for threads in ["1", "2"] {
        let (table, _) = folder.expect(1, &["sizes", "case.toml", "--out", threads, "--threads", threads]);
        assert!(table.contains("too little room") && table.contains("By rule") && table.contains("bar"), "{table}");
    }
    let mut names: Vec<String> =
        fs::read_dir(folder.0.join("1")).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    let report = fs::read_to_string(folder.0.join("1/report.html")).unwrap();
    crate::common::page::check(&report, 5);
    crate::common::page::hash(&report, "case file", &fs::read(folder.0.join("case.toml")).unwrap());
    for words in
        ["too little room for 2 of 8 pairs", "<td>width between stays or fork blades</td><td>42 mm</td>", "By rule: labelled"]
    {
        assert!(report.contains(words), "{words}");
    }
    assert_eq!(
        names,
        [
            "contents.json",
            "report.html",
            "sizes.csv",
            "sizes.parquet",
            "sizes_height.svg",
            "sizes_outer_diameter.svg",
            "sizes_room_beside.svg",
            "sizes_room_over.svg",
            "sizes_width.svg"
        ]
    );
    for name in names {
        let of = |threads: &str| fs::read(folder.0.join(threads).join(&name)).unwrap();
        assert_eq!(of("1"), of("2"), "{name}");
        if name == "sizes.parquet" {
            assert!(of("1").starts_with(b"PAR1"));
            continue;
        }
        let text = String::from_utf8(of("1")).unwrap();
        assert!(
            name == "contents.json"
                || text.ends_with("</html>")
                || text.ends_with("</svg>\n")
                || text.starts_with("rim.inner_width [mm],pressure [bar],width [mm],"),
            "{name}"
        );
    }
}

/// A title, a comment and another spelling of a unit ask nothing else; another rim does.
#[test]
fn what_changes_no_number_is_the_same_question() {
    let folder = Folder::new("sizes_question");
    let few = example().replace("\"19 mm\", \"21 mm\", \"23 mm\", \"25 mm\"", "\"23 mm\"");
    let command = ["sizes", "case.toml", "--out", "out", "-q"];
    let title = few.lines().find(|line| line.starts_with("title = ")).unwrap();
    let renamed = few.replacen(title, "title = \"Another name\" # and a note", 1);
    let spelt = renamed.replacen("\"42 mm\"", "\"4.2 cm\"", 1);
    assert!(few != renamed && renamed != spelt);
    for (text, code) in [(&few, 1), (&renamed, 1), (&spelt, 1), (&few.replace("\"23 mm\"", "\"22 mm\""), 2)] {
        folder.write("case.toml", text);
        let (_, err) = folder.expect(code, &command);
        assert_eq!(err.contains("out holds the results of `sizes` of case.toml"), code == 2, "{err}");
    }
}

/// Without the table: three rims, four pressures about the case's own, and no room to keep.
#[test]
fn a_case_without_the_table_has_sizes_too() {
    let folder = Folder::new("sizes_default");
    let text = example();
    let (start, end) = (text.find("[sizes]").unwrap(), text.find("[rim]").unwrap());
    folder.write("case.toml", text[..start].to_owned() + &text[end..]);
    let (table, _) = folder.expect(0, &["sizes", "case.toml", "-q"]);
    assert_eq!(table.lines().filter(|line| line.trim_start().starts_with(char::is_numeric)).count(), 12, "{table}");
    assert!(!table.contains("beside"), "{table}");
}

/// `review` counts the pairs and tells the table's faults.
#[test]
fn check_reads_the_table() {
    let folder = Folder::new("sizes_check");
    folder.write("case.toml", example());
    let (out, _) = folder.expect(0, &["review", "case.toml"]);
    assert!(out.contains("Sizes for `hoopwright sizes`: 16, 4 of rim.inner_width by 4 of pressure.rated"), "{out}");
    folder.write("case.toml", example().replacen("\"2 bar\"", "\"2 mm\"", 1));
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("case.toml, line 10, "), "{err}");
}

#[test]
fn wrong_input_has_its_place() {
    let folder = Folder::new("sizes_wrong");
    for (from, to, words) in [
        ("\"2 bar\"", "\"2 mm\"", ["case.toml, line 10, ", "bar"]),
        ("clear_width = \"42 mm\"", "clear_with = \"42 mm\"", ["case.toml, line 11, ", "clear_width"]),
        ("\"19 mm\"", "\"5 mm\"", ["case.toml, line 9, ", "10 mm"]),
    ] {
        let text = example();
        let start = text.lines().position(|line| line.starts_with("[sizes]")).unwrap();
        assert_eq!(start, 7, "the lines named below");
        folder.write("case.toml", text.replacen(from, to, 1));
        let (_, err) = folder.expect(2, &["sizes", "case.toml"]);
        assert!(words.iter().all(|word| err.contains(word)), "{err}");
    }
}
