//! Runs one of the targets under libFuzzer. `FUZZED` names the target; where `SEEDS` names a folder, its seeds are written there first.
#![no_main]

mod targets;

use std::sync::OnceLock;

use targets::{TARGETS, Target};

static TARGET: OnceLock<&Target> = OnceLock::new();

/// The target that the environment names.
fn named() -> &'static Target {
    let name = std::env::var("FUZZED").unwrap_or_default();
    let known = || TARGETS.iter().map(|target| target.name).collect::<Vec<_>>().join(", ");
    TARGETS.iter().find(|target| target.name == name).unwrap_or_else(|| panic!("FUZZED names none of {}", known()))
}

fn begin() {
    let target = TARGET.get_or_init(named);
    let Some(folder) = std::env::var_os("SEEDS") else { return };
    for (i, seed) in (target.seeds)().into_iter().enumerate() {
        std::fs::write(std::path::Path::new(&folder).join(format!("seed_{i:03}")), seed)
            .expect("the folder of seeds can be written");
    }
}

libfuzzer_sys::fuzz_target!(init: begin(), |bytes: &[u8]| {
    (TARGET.get_or_init(named).run)(bytes);
});
