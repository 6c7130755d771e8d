//! Where a Newton iteration on the corded half torus spends its time, and how time and memory grow with the number of unknowns.
//!
//! `cargo bench -p hoopwright-validation --bench half_torus`
//!
//! Times are those of the processor, not of the clock on the wall: other work on the machine then counts only by what it takes of
//! caches and memory. Each is the best of several. Each size runs in a process of its own, for its memory.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use cpu_time::ThreadTime;
use hoopwright_fem::continuation::Target;
use hoopwright_fem::contribution::{Contribution, LocalSystem};
use hoopwright_fem::state::{Load, State};
use hoopwright_validation::HalfTorus;
use std::fs::read_to_string;
use std::process::Command;

/// Elements through the wall and round it, of equal shape.
const SIZES: [(usize, usize); 8] = [(7, 40), (9, 52), (11, 64), (15, 88), (21, 122), (31, 180), (39, 227), (47, 273)];
/// What is measured of a size, in the order of a row.
const COLUMNS: [&str; 6] =
    ["unknowns", "set-up ms", "assembly ms", "factorise and solve ms", "solve with kept factors ms", "peak MB"];

/// Milliseconds of the fastest of so many runs.
fn best(repeats: usize, mut work: impl FnMut()) -> f64 {
    let mut once = || {
        let start = ThreadTime::now();
        work();
        1e3 * start.elapsed().as_secs_f64()
    };
    (0..repeats).map(|_| once()).fold(f64::INFINITY, f64::min)
}

/// Largest memory that this process has had, MB.
fn peak() -> f64 {
    let status = read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.trim().trim_end_matches(" kB").parse::<f64>().ok()).map_or(f64::NAN, |kb| kb / 1024.0)
}

/// Time of a contribution's items at a state, ms.
fn items(contribution: &dyn Contribution, internal: &[f64], state: &State, load: &Load) -> f64 {
    let (m, mut local, mut dofs) = (contribution.n_internal(), LocalSystem::default(), Vec::new());
    contribution.dofs(0, &mut dofs);
    best(200, || {
        for item in 0..contribution.n_items() {
            local.reset(dofs.len());
            contribution.evaluate(item, state, &internal[m * item..m * (item + 1)], load, &mut local).unwrap();
        }
    })
}

/// The row of a size; with `parts` where the time of its assembly goes is printed.
fn measure(through: usize, round: usize, parts: bool) -> [f64; 6] {
    let torus = HalfTorus::new(through, round);
    let start = ThreadTime::now();
    let mut path = torus.path().unwrap();
    let set_up = 1e3 * start.elapsed().as_secs_f64();
    let at = path.step(None, &path.rest(), Target::Pressure(0.025), &mut |_, _, _| {}).unwrap();
    let repeats = 1 + 400_000 / path.system.n_equations();
    let system = &mut path.system;
    let assembly = best(repeats, || system.assemble(&at.state, &at.load).unwrap());
    let solve = best(repeats, || drop(system.solve(false, None).unwrap()));
    let kept = best(repeats, || drop(system.solve(false, Some(1e-6)).unwrap()));
    if parts {
        let (rubber, cords) = (torus.rubber().unwrap(), torus.cords());
        let split = 3 * torus.n_elements();
        let rubber = items(&rubber, &at.state.internal[..split], &at.state, &at.load);
        let cords = items(&cords, &at.state.internal[split..], &at.state, &at.load);
        println!("{} elements, {} unknowns, ms:", torus.n_elements(), system.n_equations());
        println!(
            "rubber                            {rubber:8.3}  ({:.2} us an element)",
            1e3 * rubber / torus.n_elements() as f64
        );
        println!("cords                             {cords:8.3}");
        println!("gas, condensing, scattering       {:8.3}", assembly - rubber - cords);
        println!("factorise, solve, check           {solve:8.3}");
        println!("solve with kept factors, check    {kept:8.3}\n");
    }
    [system.n_equations() as f64, set_up, assembly, solve, kept, peak()]
}

/// Exponent of a power law through points (x, y), by least squares of the logarithms.
fn exponent(points: &[(f64, f64)]) -> f64 {
    let logs: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let n = logs.len() as f64;
    let mean = |f: &dyn Fn(&(f64, f64)) -> f64| logs.iter().map(f).sum::<f64>() / n;
    let (mx, my) = (mean(&|p| p.0), mean(&|p| p.1));
    logs.iter().map(|(x, y)| (x - mx) * (y - my)).sum::<f64>() / logs.iter().map(|(x, _)| (x - mx).powi(2)).sum::<f64>()
}

fn main() {
    // The benchmark runner adds an argument of its own.
    let numbers: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    if let [through, round] = numbers[..] {
        let row = measure(through, round, false);
        println!("{}", row.map(|v| v.to_string()).join(" "));
        return;
    }
    measure(SIZES[2].0, SIZES[2].1, true);
    let mut rows: Vec<Vec<f64>> = Vec::new();
    println!("{}", COLUMNS.map(|c| format!("{c:>28}")).concat());
    for (through, round) in SIZES {
        let me = std::env::current_exe().unwrap();
        let out = Command::new(me).args([through.to_string(), round.to_string()]).output().unwrap();
        let row: Vec<f64> = String::from_utf8(out.stdout).unwrap().split_whitespace().map(|v| v.parse().unwrap()).collect();
        println!("{}", row.iter().map(|v| format!("{v:28.2}")).collect::<String>());
        rows.push(row);
    }
    let fit = |k: usize| exponent(&rows.iter().map(|row| (row[0], row[k])).collect::<Vec<_>>());
    println!("{:>28}{}", "exponent", (1..COLUMNS.len()).map(|k| format!("{:28.2}", fit(k))).collect::<String>());
}
