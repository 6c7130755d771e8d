//! What a page asks, and what it gets.

#![allow(clippy::unwrap_used)]

use super::*;
use crate::form::EXAMPLE;
use hoopwright_report::json;
use hoopwright_solver::assess::{Paths, assess};

fn ask(desk: &mut Desk, request: &Value) -> Value {
    serde_json::from_str(&desk.answer(&request.to_string(), &mut |_| ())).unwrap()
}

fn read(text: &str) -> Value {
    ask(&mut Desk::default(), &json!({ "ask": "read", "text": text, "unit": "bar", "width": 640 }))
}

#[test]
fn the_form_has_every_input_with_its_source() {
    let form = ask(&mut Desk::default(), &json!({ "ask": "form" }));
    let inputs: Vec<&Value> = form["tables"].as_array().unwrap().iter().flat_map(|t| t["inputs"].as_array().unwrap()).collect();
    assert_eq!(inputs.len(), INPUTS.len());
    assert!(inputs.iter().all(|input| !input["source"].as_str().unwrap().is_empty()));
    let of = |path: &str| *inputs.iter().find(|input| input["path"] == path).unwrap();
    assert_eq!(of("contact.friction")["stands"], "0.3");
    assert!(of("rubber.bead")["units"].as_array().unwrap().iter().any(|unit| unit == "Shore A"));
    assert_eq!(of("limits.without_friction")["words"], json!(["true", "false"]));
    assert_eq!(form["cautions"].as_array().unwrap().len(), 4);
}

#[test]
fn a_case_is_read_with_its_closed_form() {
    let answer = read(EXAMPLE);
    assert_eq!((answer["faults"].as_array().unwrap().len(), &answer["readable"]), (0, &json!(true)), "{answer}");
    let case = hoopwright_case::read(EXAMPLE).unwrap().0;
    let closed = hoopwright_solver::estimate::estimate(&case).unwrap();
    // Through a text both, as reading one may round.
    let told: Value = serde_json::from_str(&json::of_estimate(&closed).unwrap().to_string()).unwrap();
    assert_eq!(answer["case"]["estimate"], told);
    assert_eq!(answer["given"]["bead.diameter"], "620.4 mm");
    let friction = &answer["case"]["values"]["contact.friction"];
    assert_eq!(
        (&friction["shown"], &friction["number"], &friction["from"]["kind"]),
        (&json!("0.3"), &json!(0.3), &json!("default"))
    );
    assert!(answer["case"]["scale"].as_str().unwrap().contains("gauge pressure, bar"));
}

#[test]
fn every_fault_has_its_input_and_its_place() {
    // A letter outside the basic plane counts two in JavaScript.
    let text = EXAMPLE
        .replace("invented\"", "\u{1d4d0}\"")
        .replace("\"621.95 mm\"", "\"621.95 mn\"")
        .replace("rated = \"5 bar\"", "rated = 5");
    let answer = read(&text);
    let faults = answer["faults"].as_array().unwrap();
    let keys: Vec<&str> = faults.iter().map(|fault| fault["key"].as_str().unwrap()).collect();
    assert_eq!(keys, ["rim.seat_diameter", "pressure.rated"]);
    let units: Vec<u16> = text.encode_utf16().collect();
    let [start, end] = ["start", "end"].map(|key| usize::try_from(faults[0][key].as_u64().unwrap()).unwrap());
    assert_eq!(String::from_utf16(&units[start..end]).unwrap(), "\"621.95 mn\"");
    assert!(answer["case"].is_null() && faults[1]["remedy"].as_str().unwrap().contains("bar"));
    let broken = read("[rim");
    assert_eq!((&broken["readable"], broken["faults"].as_array().unwrap().len()), (&json!(false), 1));
}

#[test]
fn what_is_typed_changes_the_text() {
    let put =
        |key: &str, typed: &str| ask(&mut Desk::default(), &json!({ "ask": "put", "text": EXAMPLE, "key": key, "typed": typed }));
    assert_eq!(put("spokes.count", "32")["text"], EXAMPLE.replace("count = 28", "count = 32"));
    assert!(put("rim.colour", "red")["error"].as_str().unwrap().contains("rim.colour"));
}

#[test]
fn a_drawing_is_read_from_what_the_page_was_given() {
    let mut desk = Desk::default();
    let drawn = ask(&mut desk, &json!({ "ask": "draw", "text": EXAMPLE, "name": "box_full.dxf" }));
    let request = json!({ "ask": "read", "text": drawn["text"], "unit": "psi", "width": 320 });
    let before = ask(&mut desk, &request);
    assert_eq!(before["wanted"], json!(["box_full.dxf"]));
    assert!(before["faults"].as_array().unwrap().iter().any(|fault| fault["key"] == "section.drawing"), "{before}");
    let bytes = std::fs::read(format!("{}/../../meshes/box_full.dxf", env!("CARGO_MANIFEST_DIR"))).unwrap();
    desk.attach("box_full.dxf".to_owned(), bytes);
    let after = ask(&mut desk, &request);
    assert_eq!(after["faults"], json!([]));
    assert_eq!(after["case"]["values"]["rim.seat_diameter"]["from"]["kind"], "drawn");
    assert!(after["case"]["scale"].as_str().unwrap().contains("gauge pressure, psi"));
}

#[test]
fn the_numbers_of_an_assessment_are_those_of_the_command() {
    let text = EXAMPLE.to_owned() + "\n[contact]\nfriction = 0\n\n[limits]\ncriterion = \"off-centre release\"\n";
    let mut desk = Desk::default();
    assert!(ask(&mut desk, &json!({ "ask": "report" }))["error"].as_str().is_some(), "nothing is computed yet");
    let mut news = Vec::new();
    let request = json!({ "ask": "assess", "text": text }).to_string();
    let answer: Value = serde_json::from_str(&desk.answer(&request, &mut |line| news.push(line.to_owned()))).unwrap();
    let (case, notes) = hoopwright_case::read(&text).unwrap();
    let direct = assess(&case, notes, Paths::SideBySide, &mut |_| ()).unwrap();
    assert_eq!(answer["result"].as_str().unwrap().as_bytes(), json::assessment(&direct).unwrap());
    assert!(news.len() > 20 && news.iter().all(|line| line.contains("\"path\":1")), "{news:?}");
    let rated = answer["moments"]["rated"].as_u64().unwrap();
    let section = ask(&mut desk, &json!({ "ask": "section", "point": rated }));
    assert!(section["picture"].as_str().unwrap().contains("5.00 bar"));
    assert!(ask(&mut desk, &json!({ "ask": "section", "point": 100_000 }))["picture"].is_null());
    assert!(
        ask(&mut desk, &json!({ "ask": "scale", "unit": "bar", "width": 640 }))["picture"]
            .as_str()
            .unwrap()
            .contains("elements, 0")
    );
    let beside = ask(&mut desk, &json!({ "ask": "beside", "text": text.replace("620.4 mm", "620.45 mm") }));
    let tension = |of: &Value| of["fit"]["bead"]["tension_n"].as_f64().unwrap();
    let own: Value = serde_json::from_str(answer["result"].as_str().unwrap()).unwrap();
    let share = tension(&beside) / tension(&own);
    assert!((0.94..0.99).contains(&share), "a bead that is looser by 0.05 of 1.55 mm: {share}");
    assert!(beside["section"].as_str().unwrap().contains("5.00 bar"));
    assert!(ask(&mut desk, &json!({ "ask": "report" }))["html"].as_str().unwrap().starts_with("<!DOCTYPE html>"));
    // A case that cannot be assessed leaves no earlier answer behind.
    assert!(ask(&mut desk, &json!({ "ask": "assess", "text": "" }))["error"].as_str().is_some());
    assert!(ask(&mut desk, &json!({ "ask": "report" }))["error"].as_str().is_some());
}

#[test]
fn what_no_page_asks_is_told() {
    for request in ["", "{}", "{\"ask\":\"dance\"}", "{\"ask\":\"read\"}", "[1]"] {
        let answer: Value = serde_json::from_str(&Desk::default().answer(request, &mut |_| ())).unwrap();
        assert!(answer["error"].as_str().unwrap().starts_with("the page asked"), "{request}: {answer}");
    }
}
