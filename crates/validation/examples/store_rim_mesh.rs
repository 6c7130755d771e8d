//! Writes `validation/rim_body/mesh.json`: the box rim's mesh, loaded sides and spoke bed, which the outside library reads as well.

use std::io::Write;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    Ok(std::io::stdout().write_all(hoopwright_validation::box_rim_json()?.as_bytes())?)
}
