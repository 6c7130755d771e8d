//! What a pair rests on, by keys: what differs between two lists is then told part by part.

use hoopwright_case::inputs::Input;
use hoopwright_case::{InService, settled};

use super::list::{Entry, List};
use super::pairing::tests_on;
use super::solve::CONDITIONS;
use super::tyres::{Outcome, Test};
use crate::rows::{Key, KeyMaker};

/// The parts of what a pair rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Basis {
    /// The tyre: its bead, casing and rubber, and the errors of their measurement.
    pub tyre: Key,
    /// The rim, its spokes, pressures, limits, room and service.
    pub rim: Key,
    /// The tests of the very pair.
    pub tests: Key,
    /// What the list goes by.
    pub terms: Key,
}

impl Basis {
    /// Of a pair of a list.
    pub fn of(list: &List<'_>, entry: &Entry) -> Self {
        let (tyre, rim) = (&list.tyres[entry.pair.tyre], &list.rims[entry.pair.rim]);
        let maker = KeyMaker::default;
        let terms = maker().number(list.terms.model_error).number(list.terms.least).key();
        let tests = tests_on(tyre, rim).into_iter().fold(maker(), test).key();
        let Ok(made) = &entry.pair.made else {
            let of_tyre = maker().number(tyre.diameter).word(tyre.label.as_deref().unwrap_or("")).key();
            let of_rim = maker().number(rim.seat_diameter).number(rim.inner_width).key();
            return Self { tyre: of_tyre, rim: of_rim, tests, terms };
        };
        let errors = tyre.errors.iter().fold(maker(), |maker, error| maker.stated(*error));
        let all = settled(&made.case);
        let of_tyre = all.iter().filter(|(input, _)| is_of_tyre(input)).fold(errors, |maker, input| maker.settled(input));
        let room = [rim.room.clear_width, rim.room.clear_radius, Some(rim.room.clearance)];
        let of_room = room.into_iter().fold(maker(), KeyMaker::stated);
        let service =
            made.service.iter().flat_map(|service| CONDITIONS.map(|condition| InService { condition, service: service.clone() }));
        let of_service = service.fold(of_room, |maker, judged| maker.in_service(&judged));
        let of_rim = all.iter().filter(|(input, _)| !is_of_tyre(input) && input.key != "title");
        Self { tyre: of_tyre.key(), rim: of_rim.fold(of_service, |maker, input| maker.settled(input)).key(), tests, terms }
    }

    /// Its parts with their names.
    pub fn parts(&self) -> [(&'static str, Key); 4] {
        [("tyre", self.tyre), ("rim", self.rim), ("tests", self.tests), ("terms", self.terms)]
    }

    /// All of it in one key, with the program's version.
    pub fn whole(&self) -> Key {
        let version = KeyMaker::default().word(env!("CARGO_PKG_VERSION"));
        self.parts().into_iter().fold(version, |maker, (name, key)| maker.word(name).word(&key.to_string())).key()
    }
}

fn is_of_tyre(input: &Input) -> bool {
    ["bead", "casing", "rubber"].contains(&input.section)
}

fn test(maker: KeyMaker, test: &Test) -> KeyMaker {
    let (word, pressure) = match test.outcome {
        Outcome::Released(pressure) => ("released", pressure),
        Outcome::Held(pressure) => ("held", pressure),
    };
    maker.word(word).number(pressure).word(&test.from)
}
