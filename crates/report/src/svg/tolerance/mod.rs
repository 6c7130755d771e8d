//! Pictures of a study of tolerances: the margins against their limits, what matters, and the probability over the width of a spread.

use crate::tolerance::Reported;

/// File name and picture of all there is to show.
pub fn pictures(_r: &Reported<'_>) -> Vec<(String, String)> {
    Vec::new()
}
