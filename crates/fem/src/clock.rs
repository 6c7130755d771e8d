//! A stop watch for what a solve costs. No answer rests on it.

use std::time::Duration;

/// A running stop watch.
#[derive(Clone, Copy, Debug)]
pub struct Watch {
    #[cfg(not(target_family = "wasm"))]
    start: std::time::Instant,
}

impl Watch {
    /// Starts one.
    pub fn start() -> Self {
        Self {
            #[cfg(not(target_family = "wasm"))]
            start: std::time::Instant::now(),
        }
    }

    /// Time since the start; none within a browser, where the standard library has no clock and reading one is a panic.
    pub fn elapsed(&self) -> Duration {
        #[cfg(not(target_family = "wasm"))]
        return self.start.elapsed();
        #[cfg(target_family = "wasm")]
        Duration::ZERO
    }
}
