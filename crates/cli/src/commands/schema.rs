//! `schema`: the case file described for editors.

use hoopwright_report::schema;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::output;

const EXAMPLES: &str = "\
Examples:
  hoopwright schema > case.schema.json
  and in the first line of a case, for editors that read it:  #:schema ./case.schema.json";

/// Print the JSON Schema of the case file, by which editors complete and check it.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct SchemaArgs {}

/// Prints the schema.
pub(crate) fn run() -> Result<Exit, Failure> {
    output::print(&schema::case())?;
    Ok(Exit::Done)
}
