//! `hoopwright assess --band`: what plausible changes of the inputs do to the local release.

use std::fs;

use crate::common::Folder;
use serde_json::Value;

/// The number at a path such as `bead.tension_n`.
fn number(json: &Value, path: &str) -> f64 {
    let value = path.split('.').fold(json, |at, key| &at[key]);
    value.as_f64().unwrap_or_else(|| panic!("{path} is {value}"))
}

/// What `--band` solves beside the case is what those cases answer by themselves; the worst of it makes the band.
#[test]
fn plausible_changes_are_told_with_their_band() {
    let folder = Folder::new("assess_band");
    folder.expect(0, &["draft", "case.toml"]);
    let text = fs::read_to_string(folder.0.join("case.toml")).unwrap();
    let text = text
        .replace("#friction = 0.3", "friction = 0")
        .replace("#crest_radius_change = \"0.2 mm\"", "crest_radius_change = \"0.3 mm\"");
    folder.write("case.toml", &text);
    folder.write("thick.toml", text.replace("#filler_height = \"5 mm\"", "filler_height = \"6 mm\""));
    let (plain, _) = folder.expect(1, &["assess", "thick.toml", "-q", "--json"]);
    let (table, _) = folder.expect(1, &["assess", "case.toml", "-q", "--band", "--out", "out"]);
    let json: Value = serde_json::from_slice(&fs::read(folder.0.join("out/result.json")).unwrap()).unwrap();
    let plain: Value = serde_json::from_str(&plain).unwrap();
    assert!(plain["local_release_band"].is_null() && number(&plain, "retention.local_release_mpa") > 0.1);
    let beside = json["local_release_band"]["beside"].as_array().unwrap();
    let of = |input: &str, up: bool| {
        let found = beside.iter().find(|b| b["input"] == input && (number(b, "to") > number(b, "from")) == up);
        found.unwrap_or_else(|| panic!("{input} {up}: {beside:?}"))
    };
    let release = |input: &str, up: bool| number(of(input, up), "local_release_mpa");
    assert_eq!(beside.len(), 8);
    assert!((number(of("rim.crest_radius", true), "to") - 1.3).abs() < 1e-9, "as the case says");
    assert_eq!(of("rim.crest_radius", true)["made_room_by"], "rim.wall_thickness = 2.6 mm");
    let thick = number(&plain, "retention.local_release_mpa");
    assert!((release("bead.filler_height", true) - thick).abs() < 1e-12, "as the case by itself");
    let own = number(&json, "retention.local_release_mpa");
    assert!(
        release("rim.crest_radius", true) < own && own < release("rim.crest_radius", false),
        "a rounder crest lets go earlier"
    );
    let span = &json["local_release_band"]["with_friction"];
    let ends = |key: &str| [0, 1].map(|i| span[key][i].as_f64().unwrap());
    let [one, all] = [ends("one_change_mpa"), ends("all_changes_added_mpa")];
    let lowest = beside.iter().map(|b| number(b, "local_release_mpa")).fold(own, f64::min);
    assert!((one[0] - lowest).abs() < 1e-12 && all[0] < one[0] && one[1] < all[1], "{one:?} {all:?}");
    let page = fs::read_to_string(folder.0.join("out/report.html")).unwrap();
    for words in
        ["changed input", "one change at a time", "To make room for rim.crest_radius = 1.3 mm", "below the required pressure"]
    {
        assert!(page.contains(words) && table.replace("\n  ", " ").contains(words), "{words}\n{table}");
    }
    assert!(table.lines().all(|line| line.chars().count() <= 80), "{table}");
    assert!(!table.contains("assess --band"), "{table}");
}
