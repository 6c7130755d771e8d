//! Solves the corded half torus of `validation/half_torus` on one thread and prints, as JSON, the problem for an outside library,
//! the displacements, and what it took: once as the program follows a path, once with each step from the last state.
//!
//! `cargo run --release -p hoopwright-validation --example half_torus`

use cpu_time::ThreadTime;
use hoopwright_validation::HalfTorus;
use serde_json::json;
use std::io::Write;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let torus = HalfTorus::of_default_size();
    let mut out = torus.json();
    for (name, predict) in [("plain", false), ("predicted", true)] {
        let start = ThreadTime::now();
        let mut path = torus.path()?;
        let set_up = start.elapsed().as_secs_f64();
        let start = ThreadTime::now();
        let state = torus.inflate(&mut path, predict)?;
        let iterations = path.effort.cost.iterations;
        out[name] = json!({ "set_up": set_up, "path": start.elapsed().as_secs_f64(), "iterations": iterations });
        out["displacements"] = json!(state.u);
    }
    Ok(std::io::stdout().write_all(out.to_string().as_bytes())?)
}
