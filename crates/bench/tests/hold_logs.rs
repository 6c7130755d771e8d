//! Forty logs of inflation tests whose truth is known (`validation/rig_logs/hold_logs.csv`), written here as `hold_logs.py` beside the table
//! writes them, with a generator that shares no formula with the program; all verdicts must be those of the table. With
//! `HOLD_LOGS=FOLDER` the logs are left there.

#![allow(clippy::unwrap_used, clippy::panic)]

use hoopwright_bench::hold::{Question, Verdict, analyse, series};

const TABLE: &str = include_str!("../../../validation/rig_logs/hold_logs.csv");
/// s, bar.
const FINE: f64 = 0.05;
const ATMOSPHERE: f64 = 1.013;

/// A word of a story, its numbers, and its time, s.
type Piece = (String, Vec<f64>, f64);

/// A line of the table.
struct Row {
    name: String,
    verdict: String,
    rated: f64,
    unit: String,
    step: f64,
    noise: f64,
    decimals: usize,
    story: Vec<Piece>,
}

fn table() -> Vec<Row> {
    let row = |line: &str| {
        // One verdict has a comma and stands in quotes.
        let line = line.replace("\"held, but burped\"", "held but burped");
        let cells: Vec<&str> = line.split(',').collect();
        let [name, verdict, rated, unit, step, noise, decimals, story] = cells[..] else { panic!("{line}") };
        Row {
            name: name.to_owned(),
            verdict: verdict.to_owned(),
            rated: rated.parse().unwrap(),
            unit: unit.to_owned(),
            step: step.parse().unwrap(),
            noise: noise.parse().unwrap(),
            decimals: decimals.parse().unwrap(),
            story: story.split(' ').map(piece).collect(),
        }
    };
    TABLE.lines().skip(1).map(row).collect()
}

fn piece(text: &str) -> Piece {
    let (body, time) = text.split_once('@').unwrap_or((text, "0"));
    let (word, numbers) = body.split_once('=').unwrap_or((body, ""));
    let numbers = numbers.split(':').filter(|n| !n.is_empty()).map(|n| n.parse().unwrap()).collect();
    (word.to_owned(), numbers, time.parse().unwrap())
}

/// Knuth's 64-bit linear congruential generator, high bits.
struct Random(u64);

impl Random {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / f64::from(1_u32 << 31)
    }

    fn normal(&mut self) -> f64 {
        let mut sum = 0.0;
        (0..12).for_each(|_| sum += self.uniform());
        sum - 6.0
    }
}

/// What a piece lets out, bar/s, so long after its begin.
fn outflow((word, n, _): &Piece, since: f64, pressure: f64) -> f64 {
    let inflated = if pressure > 0.0 { 1.0 } else { 0.0 };
    match word.as_str() {
        "leak" => n[0] / 60.0 * pressure / 6.6 * inflated,
        "burp" if since < 2.0 => n[0] * (-since / 0.15).exp() * (1.0 - (-FINE / 0.15).exp()) / FINE,
        "release" => pressure.max(0.0) * (1.0 - (-FINE / 0.2).exp()) / FINE,
        "valve" => n[0] * (pressure + ATMOSPHERE) * inflated,
        _ => 0.0,
    }
}

/// Pressures in bar every [`FINE`] seconds.
fn simulate(story: &[Piece]) -> Vec<f64> {
    let until = story.iter().find(|p| p.0 == "until").unwrap().1[0];
    let (mut pressure, mut cooled, mut target, mut rate) = (0.0_f64, 0.0, 0.0, 0.0);
    let (mut full, mut pressures) = (None::<f64>, Vec::new());
    for k in 0..=(until / FINE) as usize {
        let time = k as f64 * FINE;
        if let Some((_, n, _)) = story.iter().find(|p| p.0 == "pump" && (time - p.2).abs() < 0.5 * FINE) {
            (rate, target) = (n[0], n[1]);
        }
        let active = || story.iter().filter(|p| time >= p.2);
        let flow: f64 = active().map(|p| outflow(p, time - p.2, pressure)).sum();
        if let (Some((_, n, _)), Some(full)) = (active().find(|p| p.0 == "cools"), full) {
            cooled = n[0] * (1.0 - (-(time - full) / n[1]).exp());
        }
        let gone = active().any(|p| p.0 == "release");
        if rate > 0.0 && !gone {
            pressure += rate * FINE;
            if pressure >= target {
                (pressure, rate, full) = (target, 0.0, Some(time));
            }
        }
        pressure = (pressure - flow * FINE).max(0.0);
        pressures.push((pressure - cooled).max(0.0));
    }
    pressures
}

/// The log's text.
fn log(row: &Row, seed: u64) -> String {
    let (mut random, pressures) = (Random(seed), simulate(&row.story));
    let one = |word: &str| row.story.iter().find(|p| p.0 == word).map(|p| p.1.as_slice());
    let unit = match row.unit.as_str() {
        "bar" => 1.0,
        "kPa" => 100.0,
        _ => 14.503_773_773_020_923,
    };
    let mut text = format!("time [s],pressure [{}]\n", row.unit);
    let mut frozen = None;
    for k in 0..=(one("until").unwrap()[0] / row.step + 1e-9) as usize {
        let time = k as f64 * row.step;
        let scatter = row.noise * random.normal();
        let at = (time / FINE).round() as usize;
        let zero = one("zero").map_or(0.0, |n| n[0]) + one("drift").map_or(0.0, |n| n[0]) * time / 60.0;
        let mut value = (pressures[at.min(pressures.len() - 1)] + zero + scatter).min(one("end").map_or(f64::INFINITY, |n| n[0]));
        if let Some([spike, every]) = one("spikes")
            && k % *every as usize == 7
        {
            value = *spike;
        }
        let is_wrong =
            |p: &&Piece| ["gap", "lost", "frozen"].contains(&p.0.as_str()) && (p.2..p.2 + p.1[p.1.len() - 1]).contains(&time);
        match row.story.iter().find(is_wrong) {
            Some((word, _, _)) if word == "gap" => continue,
            Some((word, n, _)) if word == "lost" => value = n[0] + scatter,
            Some(_) => value = *frozen.get_or_insert(value),
            None => {}
        }
        text += &format!("{time:.2},{:.*}\n", row.decimals, value * unit);
    }
    text
}

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Held => "held",
        Verdict::HeldBurped => "held but burped",
        Verdict::NotReached => "not reached",
        Verdict::Leaked => "leaked",
        Verdict::Burped => "burped",
        Verdict::Released => "released",
        Verdict::LetDown => "let down",
        Verdict::SignalLost => "signal lost",
        Verdict::NotShown => "not shown",
        Verdict::Ended => "ended",
    }
}

#[test]
fn forty_of_forty_verdicts_are_true() {
    let (rows, mut wrong) = (table(), Vec::new());
    for (k, row) in rows.iter().enumerate() {
        let text = log(row, k as u64 + 1);
        if let Ok(folder) = std::env::var("HOLD_LOGS") {
            std::fs::write(std::path::Path::new(&folder).join(format!("{}.csv", row.name)), &text).unwrap();
        }
        let question = Question { rated: 0.1 * row.rated, factor: 1.5, hold: 300.0, allowance: 0.02, gauge_error: 0.0 };
        let told = series::read(text.as_bytes()).map_err(|error| error.to_string());
        let told = told.and_then(|series| analyse(series, &question).map_err(|fault| fault.to_string()));
        let told = told.map_or_else(|reason| reason, |hold| word(hold.verdict).to_owned());
        wrong.extend((told != row.verdict).then(|| format!("{}: {told}, not {}", row.name, row.verdict)));
    }
    assert_eq!(rows.len(), 40);
    assert!(wrong.is_empty(), "{} of 40 right\n{}", 40 - wrong.len(), wrong.join("\n"));
}
