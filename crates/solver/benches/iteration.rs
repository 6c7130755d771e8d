//! One Newton iteration of the first example in its parts: best of many, as a shared machine is noisy upwards only.
//!
//! `cargo bench -p hoopwright-solver`
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use hoopwright_case as case;
use hoopwright_fem::continuation::Target;
use hoopwright_solver::model::Model;
use hoopwright_solver::rim::RimModel;
use std::time::{Duration, Instant};

const REPEATS: usize = 400;

fn best(mut work: impl FnMut()) -> Duration {
    let once = |work: &mut dyn FnMut()| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..REPEATS).map(|_| once(&mut work)).min().unwrap()
}

fn main() {
    let path = format!("{}/../../examples/01_road_holds.toml", env!("CARGO_MANIFEST_DIR"));
    let (case, _) = case::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    let rim = std::sync::Arc::new(RimModel::new(&case).unwrap());
    let mut model = Model::new(&case, &rim, case.friction).unwrap();
    let mut at = model.path.rest();
    at.load.support = 1.0;
    for share in [0.0, 0.34, 0.68, 1.0] {
        at = model.path.step(None, &at, Target::Eigenstrain(share), &mut |_, _, _| {}).unwrap();
    }
    let system = &mut model.path.system;
    let assembly = best(|| system.assemble(&at.state, &at.load).unwrap());
    let residual = best(|| system.assemble_residual(&at.state, &at.load).unwrap());
    let one = best(|| drop(system.solve(false, None).unwrap()));
    let two = best(|| drop(system.solve(true, None).unwrap()));
    let kept = best(|| drop(system.solve(true, Some(0.1)).unwrap()));
    println!("{} unknowns, best of {REPEATS}", system.n_equations());
    println!("assembly                        {:8.3} ms", 1e3 * assembly.as_secs_f64());
    println!("residual alone                  {:8.3} ms", 1e3 * residual.as_secs_f64());
    println!("factorise and solve             {:8.3} ms", 1e3 * one.as_secs_f64());
    println!("the same with the load as well  {:8.3} ms", 1e3 * two.as_secs_f64());
    println!("the same with kept factors      {:8.3} ms", 1e3 * kept.as_secs_f64());
}
