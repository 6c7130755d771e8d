//! Heads of CSV tables: names with the unit in square brackets, as in `diameter [mm]`.

use hoopwright_solver::units::{Dimension, parse};

/// The name of a column without its unit, in lower case, words parted by blanks.
pub(crate) fn name_of(head: &str) -> String {
    let name = head.trim_start_matches('\u{feff}').split('[').next().unwrap_or("");
    name.trim().to_lowercase().replace('_', " ")
}

/// Inner units in one of the unit of a head.
///
/// # Errors
/// What is wrong with the unit, as a phrase.
pub(crate) fn factor_of(head: &str, dimension: Dimension) -> Result<f64, String> {
    let unit = head.split_once('[').and_then(|(_, rest)| rest.trim_end().strip_suffix(']'));
    let unit = unit.ok_or_else(|| "there is none in square brackets".to_owned())?;
    parse(&format!("1 {unit}"), dimension).map_err(|error| error.to_string())
}
