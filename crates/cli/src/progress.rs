//! How far a study is, on standard error: a bar where that is a terminal, else a line from time to time.

use std::cell::RefCell;
use std::io::{self, IsTerminal};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

use crate::output::Talk;

/// Shortest time between two lines.
const EVERY: Duration = Duration::from_secs(30);

/// Progress of some pieces of work; silent where silence or a log of the solves is wanted.
pub(crate) struct Bar<'a> {
    talk: &'a Talk,
    bar: ProgressBar,
    under_way: String,
    lines: Option<RefCell<Lines>>,
}

impl<'a> Bar<'a> {
    /// For some pieces of work of which some are known.
    pub(crate) fn new(talk: &'a Talk, noun: &str, all: usize, known: usize) -> Self {
        let before = format!("{{bar:30}} {{pos}} of {{len}} {noun}s, {{elapsed}} gone");
        // Nothing tells how long one takes until the first of this run is finished.
        let under_way = format!("{before}, {{eta}} left");
        if talk.is_quiet() || talk.is_verbose() {
            return Self { talk, bar: ProgressBar::hidden(), under_way, lines: None };
        }
        if !io::stderr().is_terminal() {
            let lines = Lines::new(&format!("{noun}s"), all, known, Instant::now());
            return Self { talk, bar: ProgressBar::hidden(), under_way, lines: Some(RefCell::new(lines)) };
        }
        let bar = Self { talk, bar: ProgressBar::new(all as u64).with_position(known as u64), under_way, lines: None };
        bar.show(&before);
        // Lines taken over say nothing of the time that the others take.
        bar.bar.reset_eta();
        bar.bar.enable_steady_tick(Duration::from_millis(500));
        bar
    }

    fn show(&self, template: &str) {
        if let Ok(style) = ProgressStyle::with_template(template) {
            self.bar.set_style(style);
        }
    }

    /// One more is done.
    pub(crate) fn advance(&self) {
        self.bar.inc(1);
        if let Some(lines) = &self.lines {
            if let Some(line) = lines.borrow_mut().advance(Instant::now()) {
                self.talk.say(&line);
            }
            return;
        }
        self.show(&self.under_way);
    }

    /// Takes the bar away.
    pub(crate) fn clear(&self) {
        self.bar.finish_and_clear();
    }
}

/// Lines for a file or a pipe.
struct Lines {
    nouns: String,
    all: usize,
    known: usize,
    done: usize,
    began: Instant,
    last: Instant,
}

impl Lines {
    fn new(nouns: &str, all: usize, known: usize, now: Instant) -> Self {
        Self { nouns: nouns.to_owned(), all, known, done: known, began: now, last: now }
    }

    /// One more is done; a line if the last one was long enough ago.
    fn advance(&mut self, now: Instant) -> Option<String> {
        self.done += 1;
        if now.duration_since(self.last) < EVERY {
            return None;
        }
        self.last = now;
        let gone = now.duration_since(self.began);
        // At least one piece of this run is done.
        let left = gone.mul_f64(self.all.saturating_sub(self.done) as f64 / (self.done - self.known) as f64);
        Some(format!("{} of {} {}, {} gone, about {} left", self.done, self.all, self.nouns, told(gone), told(left)))
    }
}

/// A time in its largest units.
fn told(time: Duration) -> String {
    let s = time.as_secs();
    match (s / 3600, s / 60 % 60, s % 60) {
        (0, 0, s) => format!("{s} s"),
        (0, min, s) => format!("{min} min {s} s"),
        (h, min, _) => format!("{h} h {min} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_every_half_minute_with_the_time_left_of_this_run() {
        let began = Instant::now();
        let at = |s| began + Duration::from_secs(s);
        // 10 of 100 were known before.
        let mut lines = Lines::new("variants", 100, 10, began);
        let told: Vec<_> = (1..=90).filter_map(|k| lines.advance(at(7 * k))).collect();
        assert_eq!(told.first().map(String::as_str), Some("15 of 100 variants, 35 s gone, about 9 min 55 s left"));
        assert_eq!(told.last().map(String::as_str), Some("100 of 100 variants, 10 min 30 s gone, about 0 s left"));
        assert_eq!(told.len(), 18);
    }

    #[test]
    fn times_are_told_in_their_largest_units() {
        let of = |s| told(Duration::from_secs(s));
        assert_eq!([of(7), of(3599), of(3600), of(100_000)], ["7 s", "59 min 59 s", "1 h 0 min", "27 h 46 min"]);
    }
}
