//! Case files with all their tables, and fixture files.

use std::sync::LazyLock;

use hoopwright_bench::fixture;
use hoopwright_case::{self as case, Attached, CaseErrors};
use hoopwright_report::text;
use hoopwright_solver::estimate::estimate;

use super::{sound, stored};

/// Files of cases.
const CASES: [&str; 10] = [
    "01_road_holds",
    "03_rim_overload",
    "04_inch_units",
    "05_seat_sizing",
    "06_elastic_rim",
    "07_bead_map",
    "08_drawn_rim",
    "12_tolerance",
    "13_sizes",
    "14_service",
];

static DXF: LazyLock<Vec<u8>> = LazyLock::new(|| stored("meshes/box_half.dxf"));
static MSH: LazyLock<Vec<u8>> = LazyLock::new(|| stored("meshes/box.msh"));

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let examples = CASES.iter().map(|name| stored(&format!("examples/{name}.toml")));
    let wide = "[vary]\n\"bead.diameter\" = { from = \"620 mm\", to = \"621 mm\", count = 3 }\ncombine = \"list\"\n[map]\n[sizes]\n[service]\n";
    examples.chain([case::starter().into_bytes(), format!("{}{wide}", case::starter()).into_bytes()]).collect()
}

pub(super) fn fixture_seeds() -> Vec<Vec<u8>> {
    let examples = ["half_discs", "expander"].map(|kind| stored(&format!("examples/09_fixture_{kind}.toml")));
    examples.into_iter().chain([fixture::starter().into_bytes()]).collect()
}

/// Faults have a place in the text, a sentence and a remedy.
fn placed(errors: &CaseErrors) {
    assert!(!errors.0.is_empty());
    for error in &errors.0 {
        assert!(error.line > 0 && error.column > 0, "{error:?}");
        assert!(!error.message().is_empty() && !error.remedy().is_empty(), "{error:?}");
    }
}

/// The drawing that a case asks for: one of the stored ones, whatever its name.
fn attached(text: &str) -> Attached {
    let drawing = |name: &str| if name.to_lowercase().ends_with(".msh") { MSH.clone() } else { DXF.clone() };
    case::drawing_named(text).map(|name| (name.clone(), Ok(drawing(&name)))).into_iter().collect()
}

pub(super) fn run(bytes: &[u8]) -> bool {
    let text = match case::decode(bytes) {
        Ok(text) => text,
        Err(errors) => {
            placed(&errors);
            return false;
        }
    };
    let files = attached(text);
    let case = match case::read_with(text, files.clone()) {
        Ok((case, _)) => case,
        Err(errors) => {
            placed(&errors);
            return false;
        }
    };
    for (_, key, value) in case::resolved(&case) {
        // A title and a file's name are as typed.
        assert!(["title", "drawing"].contains(&key) || !value.contains("NaN"), "{key} {value}");
    }
    if let Ok(estimate) = estimate(&case) {
        text::estimate(&estimate);
    }
    let mut all = true;
    let mut take = |read: Result<Option<String>, CaseErrors>| match read {
        Ok(line) => sound(&line.unwrap_or_default()),
        Err(errors) => {
            placed(&errors);
            all = false;
        }
    };
    take(case::variants(text, files.clone()).map(|read| read.map(|vary| text::variants(&vary))));
    take(case::map(text, files.clone()).map(|read| read.map(|map| text::map(&map))));
    take(case::stated_sizes(text, files.clone()).map(|read| read.map(|sizes| text::sizes(&sizes))));
    take(case::tolerance(text, files.clone()).map(|read| read.map(|tolerance| text::tolerance(&tolerance))));
    take(case::service(text, files).map(|_| None));
    all
}

pub(super) fn run_fixture(bytes: &[u8]) -> bool {
    let read = case::decode(bytes).and_then(fixture::read);
    read.inspect_err(placed).is_ok()
}
