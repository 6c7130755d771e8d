//! All tests of the program in one binary: a folder with one file a subject. One binary is linked once and packs its tests onto all cores.

#![allow(clippy::unwrap_used, clippy::panic)]

mod common;
mod nearly;

mod allowed;
mod assess;
mod band;
mod calibrate;
mod compare;
mod damaged;
mod files;
mod front_page;
mod house_rules;
mod licences;
mod limit;
mod manual;
mod map;
mod odd_cases;
mod pairs;
mod program;
mod ridden;
mod rig;
mod rig_many;
mod rim;
mod rooms;
mod same_bytes;
mod scripts;
mod service;
mod sizes;
mod tolerance;
mod tolerance_example;
mod tutorials;
mod vary;
