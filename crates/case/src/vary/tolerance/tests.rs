//! Tests of the table of inputs that scatter.

#![allow(clippy::unwrap_used, clippy::float_cmp)]

use super::{Spread, Tolerance, tolerance};
use crate::service::Condition;
use crate::starter::starter;

fn with(block: &str) -> Result<Option<Tolerance>, crate::error::CaseErrors> {
    tolerance(&format!("{}\n[tolerance]\n{block}\n", starter()), Default::default())
}

#[test]
fn every_form_of_a_spread_is_read_in_the_unit_of_its_input() {
    let block = r#"
target = 1e-5
seed = 7
"bead.stiffness" = { deviation = "12000 N" }
"bead.diameter" = { deviation = "0.1 mm", within = ["620.1 mm", "620.7 mm"] }
"rim.seat_diameter" = { between = ["621.45 mm", "622.45 mm"] }
"rim.flange_height" = { between = ["5 mm", "6 mm"], mode = "5.5 mm" }
"contact.friction" = { values = "friction.csv", column = "friction" }
"rubber.bead" = { mean = "60 Shore A", deviation = "0.2 MPa" }
gauge_error = { deviation = "1 psi" }
correlation = [["bead.diameter", "bead.stiffness", 0.3]]
"#;
    let found = with(block).unwrap().unwrap();
    assert_eq!((found.target, found.seed, found.interval, found.chosen), (Some(1e-5), 7, 0.2, None));
    assert_eq!(found.correlation, [(1, 0, 0.3)]);
    let spreads: Vec<&Spread> = found.inputs.iter().map(|u| &u.spread).collect();
    assert_eq!(*spreads[0], Spread::Normal { mean: 320.0, deviation: 12.0, within: None });
    assert_eq!(*spreads[1], Spread::Normal { mean: 620.4, deviation: 0.1, within: Some([620.1, 620.7]) });
    assert_eq!(*spreads[2], Spread::Uniform([621.45, 622.45]));
    assert_eq!(*spreads[3], Spread::Triangular { ends: [5.0, 6.0], mode: 5.5 });
    assert_eq!(*spreads[4], Spread::Measured { file: "friction.csv".into(), column: "friction".into() });
    assert!(matches!(spreads[5], Spread::Normal { mean, deviation, .. } if *mean > 1.0 && *deviation == 0.2));
    assert!(matches!(spreads[6], Spread::Normal { mean, deviation, .. } if *mean == 0.0 && (deviation - 0.0689476).abs() < 1e-6));
}

#[test]
fn a_variant_is_the_case_with_these_values() {
    let block = "\"bead.circumference\" = { deviation = \"0.3 mm\" }\nmismatch = { deviation = \"0.1 mm\" }";
    assert!(with(block).unwrap_err().to_string().contains("cannot both be varied"));
    let block = "\"bead.circumference\" = { deviation = \"0.3 mm\" }\n\"rim.seat_circumference\" = { deviation = \"0.3 mm\" }\ngauge_error = { deviation = \"0.1 bar\" }";
    let found = with(block).unwrap().unwrap();
    let mean = |i: usize| found.inputs[i].spread.middle().unwrap();
    assert!((mean(0) - std::f64::consts::PI * found.case.bead.diameter).abs() < 1e-6);
    let at = found.variant(&[mean(0) + std::f64::consts::PI, mean(1), 0.2]).unwrap();
    assert!((at.case.bead.diameter - found.case.bead.diameter - 1.0).abs() < 1e-6, "a tape that is longer by pi");
    assert!((at.case.rim.seat_diameter - found.case.rim.seat_diameter).abs() < 1e-6);
    assert!((at.case.pressure.rated - 0.52).abs() < 1e-12 && (at.case.required_pressure() - 0.78).abs() < 1e-12);
}

/// Starter with a table of service and one of tolerances.
fn in_service(service: &str, block: &str) -> Result<Option<Tolerance>, crate::error::CaseErrors> {
    tolerance(&format!("{}\n[service]\n{service}\n[tolerance]\n{block}\n", starter()), Default::default())
}

/// By hand: 5 bar at 20 degC and 1.013 bar outside make 6.013 x 343.15 / 293.15 - 1.013 = 6.0256 bar at 70 degC; a gauge that reads 0.1 bar
/// less adds 0.1 x 1.170561 = 0.1171 bar to that.
#[test]
fn what_service_says_may_scatter_under_a_condition_it_plays_a_part_in() {
    let block = "condition = \"hot\"\n\"service.hot_air\" = { mean = \"60 degC\", deviation = \"5 K\", within = [\"40 degC\", \"90 degC\"] }\n\"service.softening\" = { deviation = \"0.0001 /K\" }\ngauge_error = { deviation = \"0.1 bar\" }";
    let found = in_service("hot_rim = \"90 degC\"", block).unwrap().unwrap();
    assert_eq!(found.in_service.as_ref().unwrap().condition, Condition::HotNew);
    assert_eq!(found.inputs[0].spread, Spread::Normal { mean: 60.0, deviation: 5.0, within: Some([40.0, 90.0]) });
    assert_eq!(found.inputs[1].spread.middle(), Some(0.0012), "the default");
    let at = |gauge: f64| found.variant(&[70.0, 0.0015, gauge]).unwrap();
    let case = at(0.0).judged();
    assert!((10.0 * case.pressure.rated - 6.0256).abs() < 5e-5, "{}", case.pressure.rated);
    assert!((case.required_pressure() - 1.5 * case.pressure.rated).abs() < 1e-12);
    assert!((10.0 * (at(0.1).judged().pressure.rated - case.pressure.rated) - 0.11706).abs() < 1e-5);
    // 70 K over the filling: 0.0015 x 70 = 10.5 % softer; the case itself is as typed.
    let left = case.bead.law.initial_stiffness() / found.case.bead.law.initial_stiffness();
    assert!((left - 0.895).abs() < 1e-12 && at(0.0).case == found.case, "{left}");
    // Without a condition the case is judged as typed.
    let cold = in_service("hot_rim = \"90 degC\"", "\"bead.stiffness\" = { deviation = \"12 kN\" }").unwrap().unwrap();
    assert!(cold.in_service.is_none() && cold.judged() == cold.case);
    let aged = in_service("life = \"100 d\"", "condition = \"aged\"\n\"service.life\" = { between = [\"50 d\", \"200 d\"] }")
        .unwrap()
        .unwrap();
    assert!((aged.variant(&[150.0]).unwrap().in_service.unwrap().service.life - 150.0 * 86_400.0).abs() < 1e-6);
}

#[test]
fn a_spread_that_changes_nothing_or_no_service_is_refused() {
    for (service, block, sentence, remedy) in [
        ("", "\"service.hot_air\" = { deviation = \"5 K\" }", "plays no part in the condition \"new\"", "condition = \"hot\""),
        (
            "",
            "condition = \"hot\"\n\"service.life\" = { deviation = \"50 d\" }",
            "plays no part in the condition \"hot\"",
            "\"aged\"",
        ),
        ("", "condition = \"warm\"\n\"bead.stiffness\" = { deviation = \"12 kN\" }", "warm", "\"aged and hot\""),
        (
            "",
            "condition = \"hot\"\n\"service.hot_are\" = { deviation = \"5 K\" }",
            "`service.hot_are` is no input",
            "service.hot_air",
        ),
        ("", "condition = \"hot\"\n\"service.hot_air\" = { deviation = \"5 degC\" }", "needs the unit K", "write"),
        (
            "",
            "condition = \"hot\"\n\"service.hot_air\" = { deviation = \"5 K\" }",
            "the spread reaches service.hot_air = 5 degC",
            "cut it off",
        ),
        (
            "hot_friction = 0.2",
            "condition = \"hot\"\n\"contact.friction\" = { between = [\"0.2\", \"0.3\"] }",
            "contact.friction plays no part when hot",
            "service.hot_friction",
        ),
    ] {
        let errors = in_service(service, block).unwrap_err();
        let found = errors.0.iter().find(|e| e.message().contains(sentence));
        let found = found.unwrap_or_else(|| unreachable!("{block}: {errors}"));
        assert!(found.remedy().contains(remedy), "{block}: {}", found.remedy());
    }
}

/// Block, sentence, remedy.
const FAULTS: &[(&str, &str, &str)] = &[
    ("", "[tolerance] names no input", "add one"),
    ("\"bead.stifness\" = { deviation = \"1 kN\" }", "`bead.stifness` is no input", "did you mean \"bead.stiffness\"?"),
    ("bead.stiffness = { deviation = \"1 kN\" }", "`bead` is no input", "write \"bead.stiffness\" in quotes"),
    ("service.hot_air = { deviation = \"1 K\" }", "`service` is no input", "write \"service.hot_air\" in quotes"),
    ("\"spokes.count\" = { between = [24, 32] }", "is a count", "[vary]"),
    ("\"bead.stiffness\" = \"12 kN\"", "a text where a table that tells how it scatters is needed", "deviation"),
    ("\"bead.stiffness\" = { deviation = \"12 mm\" }", "is the unit of a length", "use one of"),
    ("\"bead.stiffness\" = { deviation = \"0 kN\" }", "the deviation is not above zero", "write"),
    ("\"bead.stiffness\" = { spread = \"1 kN\" }", "a spread has no key `spread`", "write"),
    ("\"bead.stiffness\" = { mean = \"300 kN\" }", "neither `deviation`, `between` nor `values`", "write"),
    ("\"bead.stiffness\" = { deviation = \"9 kN\", mode = \"300 kN\" }", "`mode` says nothing beside `deviation`", "write"),
    ("\"bead.stiffness\" = { between = [\"400 kN\", \"300 kN\"] }", "the ends do not rise", "write"),
    ("\"bead.stiffness\" = { between = [\"400 kN\"] }", "1 values where two ends are needed", "write"),
    ("\"bead.stiffness\" = { between = [\"300 kN\", \"400 kN\"], mode = \"500 kN\" }", "the mode does not lie between", "write"),
    (
        "\"bead.stiffness\" = { deviation = \"9 kN\", within = [\"100 kN\", \"200 kN\"] }",
        "the mean, 320 kN, does not lie within",
        "write",
    ),
    ("\"rim.centroid_diameter\" = { deviation = \"1 mm\" }", "`mean` is missing", "write"),
    ("\"contact.friction\" = { deviation = \"0.1\" }", "the spread reaches contact.friction = -0.3", "cut it off"),
    ("\"contact.friction\" = { values = 3 }", "a whole number where the name of a file", "write"),
    ("target = 2\n\"bead.stiffness\" = { deviation = \"12 kN\" }", "2 is out of range", "give 1e-12 to 0.5"),
    ("seed = -1\n\"bead.stiffness\" = { deviation = \"12 kN\" }", "-1 is out of range", "give 0"),
    (
        "choose = \"bead.diameter\"\ntarget = 1e-5\n\"bead.stiffness\" = { deviation = \"12 kN\" }",
        "has no spread in this table",
        "write one of",
    ),
    ("choose = \"bead.stiffness\"\n\"bead.stiffness\" = { deviation = \"12 kN\" }", "no target is given", "add target"),
];

#[test]
fn faults_have_their_place_and_remedy() {
    for (block, sentence, remedy) in FAULTS {
        let errors = with(block).unwrap_err();
        let found = errors.0.iter().find(|e| e.message().contains(sentence));
        let found = found.unwrap_or_else(|| unreachable!("{block}: {errors}"));
        assert!(found.remedy().contains(remedy), "{block}: {}", found.remedy());
        assert!(found.line > starter().lines().count(), "{block}: line {}", found.line);
    }
}

/// A spread that was refused is told of once, whatever names it, beside the faults that are none of its own.
#[test]
fn what_follows_from_a_refused_spread_is_not_told() {
    let keys = |block: &str| {
        let errors = with(block).unwrap_err();
        errors.0.into_iter().map(|error| error.key).collect::<Vec<_>>()
    };
    let asked = "target = 2\nchoose = \"bead.stiffness\"\ncorrelation = [[\"bead.stiffness\", \"bead.diameter\", 0.3]]\n\"bead.diameter\" = { deviation = \"0.1 mm\" }\n";
    for spread in ["\"bead.stifness\" = { deviation = \"9 kN\" }", "\"bead.stiffness\" = { deviaton = \"9 kN\" }"] {
        let name = spread.split('"').nth(1).unwrap();
        let faults = ["tolerance.target".to_owned(), format!("tolerance.{name}")];
        assert_eq!(keys(&format!("{asked}{spread}")), faults, "{spread}");
    }
}

#[test]
fn correlations_must_be_possible() {
    let inputs = "\"bead.stiffness\" = { deviation = \"12 kN\" }\n\"bead.diameter\" = { deviation = \"0.1 mm\" }\n\"rim.seat_diameter\" = { deviation = \"0.1 mm\" }\n";
    let fault = |list: &str| with(&format!("{inputs}correlation = {list}")).unwrap_err().to_string();
    for (list, sentence) in [
        ("0.3", "a number where a list of triples is needed"),
        ("[[\"bead.stiffness\", 0.3]]", "two inputs and their correlation are needed"),
        ("[[\"bead.stiffness\", \"bead.stiffness\", 0.3]]", "correlated with itself"),
        ("[[\"bead.stiffness\", \"bead.diameter\", 1.0]]", "does not lie between -1 and 1"),
        ("[[\"bead.stiffness\", \"bead.width\", 0.2]]", "has no spread in this table"),
        ("[[\"bead.stiffness\", \"bead.diameter\", 0.2], [\"bead.diameter\", \"bead.stiffness\", 0.2]]", "named twice"),
        (
            "[[\"bead.stiffness\", \"bead.diameter\", 0.9], [\"bead.diameter\", \"rim.seat_diameter\", 0.9], [\"bead.stiffness\", \"rim.seat_diameter\", -0.9]]",
            "cannot all hold at once",
        ),
    ] {
        assert!(fault(list).contains(sentence), "{list}: {}", fault(list));
    }
    assert!(with(&format!("{inputs}correlation = [[\"bead.stiffness\", \"bead.diameter\", -0.9]]")).is_ok());
}
