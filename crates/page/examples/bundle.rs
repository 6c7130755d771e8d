//! Writes the live page: `bundle MODULE PAGE`. `build.sh` compiles the module and runs this.

use hoopwright_page::bundle::page;
use std::io::{Error, ErrorKind, Result};

fn main() -> Result<()> {
    let [_, module, to] = &std::env::args().collect::<Vec<_>>()[..] else {
        return Err(Error::new(ErrorKind::InvalidInput, "give the module and the page to write"));
    };
    std::fs::write(to, page(&std::fs::read(module)?)?)
}
