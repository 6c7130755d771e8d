//! Whole-program tests of what tells about the program: help, manual pages, the table of inputs.

use std::fs;

use crate::common::{Folder, project};
use serde_json::Value;

/// Names of the commands, from the help text: the lines of its list.
fn commands(folder: &Folder) -> Vec<String> {
    let (help, _) = folder.expect(0, &["--help"]);
    let list = help.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    let starts = list.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: Vec<String> = starts.map(|line| line.split_whitespace().next().unwrap().to_owned()).collect();
    assert!(names.len() >= 10 && names.contains(&"help".to_owned()), "{names:?}");
    names.into_iter().filter(|name| name != "help").collect()
}

/// Each example is a line that begins with the command itself, behind what it is piped through or with what follows.
#[test]
fn every_command_has_examples_that_name_it() {
    let folder = Folder::new("manual_examples");
    for command in commands(&folder) {
        let (help, _) = folder.expect(0, &[&command, "--help"]);
        let examples: Vec<&str> = help.lines().skip_while(|line| *line != "Examples:").skip(1).collect();
        let wanted = format!("  hoopwright {command}");
        assert!(examples.iter().filter(|line| line.starts_with(&wanted)).count() >= 1, "{command}\n{help}");
        for line in examples.iter().filter(|line| line.starts_with("  hoopwright ")) {
            let named = line.split_whitespace().nth(1).unwrap();
            assert!(commands(&folder).iter().any(|name| name == named), "{line}");
        }
    }
}

#[test]
fn every_command_has_a_page() {
    let folder = Folder::new("manual_pages");
    let (out, talk) = folder.expect(0, &["manual", "man/man1"]);
    let commands = commands(&folder);
    let below = ["fixture", "growth", "hold", "stretch"];
    let count = commands.len() + below.len() + 1;
    assert!(out.is_empty() && talk.contains(&format!("{count} pages written to man/man1")), "{talk}");
    let mut names: Vec<String> =
        fs::read_dir(folder.0.join("man/man1")).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    let mut wanted: Vec<String> = commands.iter().map(|command| format!("hoopwright-{command}.1")).collect();
    wanted.push("hoopwright.1".to_owned());
    wanted.extend(below.map(|command| format!("hoopwright-rig-{command}.1")));
    wanted.sort();
    assert_eq!(names, wanted);
    for name in &names {
        let page = fs::read_to_string(folder.0.join("man/man1").join(name)).unwrap();
        for section in ["NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS", "EXAMPLES", "\"EXIT CODES\"", "\"SEE ALSO\""] {
            assert_eq!(page.lines().filter(|line| *line == format!(".SH {section}")).count(), 1, "{name}: {section}");
        }
        assert_eq!(page.matches("\n.nf\n").count(), page.matches("\n.fi\n").count(), "{name}");
        assert!(page.contains(".TH hoopwright") && page.contains("\"hoopwright 0.") && !page.contains("EXTRA"), "{name}");
        for trace in ["/work", "/home", "/root", "/tmp", "/usr"] {
            assert!(!page.contains(trace), "{name}: {trace}");
        }
    }
    let assess = fs::read_to_string(folder.0.join("man/man1/hoopwright-assess.1")).unwrap();
    assert!(assess.contains("\n.nf\nhoopwright assess tyre.toml "), "examples are kept line by line\n{assess}");
}

#[test]
fn without_a_folder_the_page_of_the_program_is_printed() {
    let folder = Folder::new("manual_print");
    let (out, talk) = folder.expect(0, &["manual"]);
    folder.expect(0, &["manual", "--quiet", "man"]);
    assert_eq!((out, talk), (fs::read_to_string(folder.0.join("man/hoopwright.1")).unwrap(), String::new()));
    folder.write("file", "mine");
    let (_, talk) = folder.expect(2, &["manual", "file"]);
    assert!(talk.contains("cannot make the folder file: ") && talk.contains("Remedy  give a folder, not a file"), "{talk}");
}

/// The stored table of inputs is that of the program.
#[test]
fn the_stored_table_of_inputs_is_fresh() {
    let folder = Folder::new("manual_inputs");
    let (table, talk) = folder.expect(0, &["inputs", "--markdown"]);
    assert!(talk.is_empty(), "{talk}");
    let stored = fs::read_to_string(project().join("crates/case/INPUTS.md")).unwrap_or_default();
    assert!(stored == table, "crates/case/INPUTS.md is stale: hoopwright inputs --markdown > crates/case/INPUTS.md");
}

/// What the table says of ranges and defaults is what the reader does.
#[test]
fn inputs_say_what_the_reader_does() {
    let folder = Folder::new("manual_reader");
    let (out, _) = folder.expect(0, &["inputs", "--json"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    let object = json["inputs"].as_array().unwrap().iter().find(|i| i["key"] == "flange_height").unwrap();
    assert_eq!(
        (object["unit"].as_str(), object["need"].as_str(), object["varied"].as_bool()),
        (Some("mm"), Some("required"), Some(true))
    );
    folder.expect(0, &["draft", "case.toml"]);
    let text = fs::read_to_string(folder.0.join("case.toml")).unwrap();
    folder.write("case.toml", text.replace("flange_height = \"5.5 mm\"", "flange_height = \"99 mm\""));
    let (_, talk) = folder.expect(2, &["review", "case.toml"]);
    assert!(talk.contains(&format!("give {}", object["range"].as_str().unwrap())), "{talk}");
    let (out, _) = folder.expect(0, &["inputs", "rim.seat_angle"]);
    assert!(
        out.contains("unit deg; range: 0 deg to 10 deg") && out.contains("default: 2 deg") && out.contains("source: "),
        "{out}"
    );
    let (out, talk) = folder.expect(2, &["inputs", "no_such_key"]);
    assert!(
        out.is_empty() && talk.contains("no input of a case holds \"no_such_key\"") && talk.contains("Remedy  give another word"),
        "{talk}"
    );
}
