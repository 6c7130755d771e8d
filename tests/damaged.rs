//! Files damaged at random, in seconds: what `crates/fuzz` does for hours. Nothing panics, takes long, or gives a number that is none.
//!
//! Files that once broke the program lie in `tests/broken/TARGET/` and are run first.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, clippy::expect_used)]

#[path = "../crates/fuzz/src/targets/mod.rs"]
mod targets;

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use targets::{TARGETS, Target};

/// Time that each target is run for.
const TIME: Duration = Duration::from_millis(1500);
/// Most files of a target.
const MOST: usize = 3000;
/// Longest time of one file on a busy machine.
const LONGEST: Duration = Duration::from_secs(10);
/// What a parser has to think about.
const WORDS: [&str; 30] = [
    "",
    "0",
    "-1",
    "1e308",
    "-1e-308",
    "nan",
    "inf",
    "9223372036854775807",
    "\"",
    "'",
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    ";",
    "\n",
    "\t",
    "#",
    "\u{feff}",
    "\0",
    "1 mm",
    "5 bar",
    "from",
    "count",
    "ENDSEC",
    "$EndNodes",
    "70",
    "_",
];

/// A linear congruential generator (Knuth, The Art of Computer Programming 2, section 3.3.4, MMIX constants), high bits.
struct Seeded(u64);

impl Seeded {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % bound.max(1)
    }
}

/// One to four damages: bytes, words, lines and stretches changed, put in, taken out, doubled, or taken from another file.
fn damaged(seeds: &[Vec<u8>], random: &mut Seeded) -> Vec<u8> {
    let mut bytes = seeds[random.below(seeds.len())].clone();
    for _ in 0..=random.below(4) {
        let at = random.below(bytes.len());
        let ends = |stop: &[u8]| bytes[at..].iter().position(|b| stop.contains(b)).map_or(bytes.len(), |n| at + n);
        let word = WORDS[random.below(WORDS.len())].bytes();
        match random.below(8) {
            0 => drop(bytes.splice(at..(at + 1).min(bytes.len()), [random.below(256) as u8])),
            1 => drop(bytes.splice(at..at, word)),
            2 => drop(bytes.splice(at..ends(b" ,;\n\"=]"), word)),
            3 => drop(bytes.drain(at..ends(b"\n"))),
            4 => bytes.truncate(at),
            5 => {
                let end = (at + random.below(400)).min(bytes.len());
                drop(bytes.drain(at..end));
            }
            6 => {
                let piece = bytes[at..(at + random.below(400)).min(bytes.len())].to_vec();
                let to = random.below(bytes.len());
                drop(bytes.splice(to..to, piece));
            }
            _ => {
                let other = &seeds[random.below(seeds.len())];
                let from = random.below(other.len());
                let piece = other[from..(from + random.below(400)).min(other.len())].to_vec();
                drop(bytes.splice(at..at, piece));
            }
        }
        if bytes.is_empty() {
            bytes.push(b'x');
        }
    }
    bytes
}

/// Runs a file, which is told by its number or name where it takes long.
fn timed(target: &Target, what: &str, bytes: &[u8]) -> bool {
    let start = Instant::now();
    let taken = (target.run)(bytes);
    assert!(start.elapsed() < LONGEST, "{} {what}: {:?}", target.name, start.elapsed());
    taken
}

/// Runs the good files of a target, those that once broke it, and damaged ones.
fn run(name: &str) {
    let target = TARGETS.iter().find(|target| target.name == name).unwrap();
    let seeds = (target.seeds)();
    let good = seeds.iter().filter(|seed| timed(target, "seed", seed)).count();
    assert!(good > 0, "{name}: no seed is taken");
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/broken").join(name)).into_iter().flatten() {
        let path = entry.unwrap().path();
        timed(target, &path.display().to_string(), &fs::read(&path).unwrap());
    }
    let (mut random, start) = (Seeded(0x5eed), Instant::now());
    let (mut files, mut taken) = (0, 0);
    while files < MOST && start.elapsed() < TIME {
        files += 1;
        taken += usize::from(timed(target, &files.to_string(), &damaged(&seeds, &mut random)));
    }
    println!("{name}: {files} damaged files, {taken} of them still taken");
    assert!(files < 50 || (taken > 0 && taken < files), "{name}: {taken} of {files} are still taken");
}

macro_rules! every {
    ($($name:ident)*) => {
        $(#[test]
        fn $name() {
            run(stringify!($name));
        })*

        #[test]
        fn no_target_is_left_out() {
            assert_eq!(TARGETS.map(|target| target.name), [$(stringify!($name)),*]);
        }
    };
}

every!(case fixture dxf msh stretch growth hold tyres measured study samples);
