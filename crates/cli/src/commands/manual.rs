//! `manual`: the pages for `man`, one a command.

use std::io;
use std::path::PathBuf;

use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files;
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright manual | man -l -                 read the page of the program
  hoopwright manual ~/.local/share/man/man1    every page to where man looks: man hoopwright-assess";

/// Write the manual pages, one a command, into a folder; without a folder print the page of the program.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct ManualArgs {
    /// Folder for hoopwright.1 and a page of every command; made if it does not exist, pages of an earlier run are overwritten.
    #[arg(value_name = "DIR")]
    folder: Option<PathBuf>,
}

/// A page for `man`.
struct Page {
    /// File name, as in `hoopwright-assess.1`.
    name: String,
    /// Its text in roff.
    roff: Vec<u8>,
}

/// Prints the program's page, or writes all.
pub(crate) fn run(args: &ManualArgs, program: clap::Command, talk: &Talk) -> Result<Exit, Failure> {
    let pages = pages(program).map_err(Failure::Output)?;
    let Some(folder) = &args.folder else {
        let first: &[u8] = pages.first().map_or(&[], |page| &page.roff);
        output::print(&String::from_utf8_lossy(first))?;
        return Ok(Exit::Done);
    };
    files::make_folder(folder)?;
    for page in &pages {
        files::write_whole(&folder.join(&page.name), &page.roff, true)?;
    }
    talk.say(&format!("{} pages written to {}", pages.len(), folder.display()));
    Ok(Exit::Done)
}

/// The page of the program, and one of each command. The same program gives the same bytes: no date.
fn pages(program: clap::Command) -> io::Result<Vec<Page>> {
    let mut program = program.disable_help_subcommand(true);
    program.build();
    let mut pages = Vec::new();
    add(&mut pages, &program, None)?;
    Ok(pages)
}

/// Adds the page of a command and those of its own commands; `above` is the file name of the page that it stands below.
fn add(pages: &mut Vec<Page>, command: &clap::Command, above: Option<&str>) -> io::Result<()> {
    // The help of `help` needs no page.
    let commands: Vec<&clap::Command> = command.get_subcommands().filter(|command| command.get_name() != "help").collect();
    let below = commands.iter().map(|command| Man::new((*command).clone()).get_filename());
    let name = Man::new(command.clone()).get_filename();
    let others: Vec<String> = above.map(str::to_owned).into_iter().chain(below).collect();
    pages.push(page(command, &others, above.is_some())?);
    commands.into_iter().try_for_each(|command| add(pages, command, Some(&name)))
}

/// One page; `others` are the file names of those to see also; exit codes are added where the help does not tell them.
fn page(command: &clap::Command, others: &[String], exit_codes: bool) -> io::Result<Page> {
    let man = Man::new(command.clone()).source(concat!("hoopwright ", env!("CARGO_PKG_VERSION")));
    let mut roff = Vec::new();
    man.render_title(&mut roff)?;
    man.render_name_section(&mut roff)?;
    man.render_synopsis_section(&mut roff)?;
    man.render_description_section(&mut roff)?;
    man.render_options_section(&mut roff)?;
    if command.has_subcommands() {
        man.render_subcommands_section(&mut roff)?;
    }
    let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
    after_help(&help).to_writer(&mut roff)?;
    if exit_codes {
        after_help(&crate::exit::help()).to_writer(&mut roff)?;
    }
    see_also(others).to_writer(&mut roff)?;
    Ok(Page { name: man.get_filename(), roff })
}

/// The text behind the options, line by line: what ends in a colon at the margin heads a section, what is indented is kept as it is.
fn after_help(text: &str) -> Roff {
    let mut roff = Roff::new();
    let (mut kept, mut paragraph) = (false, false);
    for line in text.lines() {
        let indented = line.starts_with(' ');
        if indented != kept {
            roff.control(if indented { "nf" } else { "fi" }, []);
            kept = indented;
        }
        let heading = line.strip_suffix(':').filter(|_| !indented);
        if let Some(heading) = heading {
            roff.control("SH", [heading.to_uppercase().as_str()]);
        } else if indented {
            roff.text([roman(line.strip_prefix("  ").unwrap_or(line))]);
        } else if !line.is_empty() {
            if !paragraph {
                roff.control("PP", []);
            }
            roff.text([roman(line)]);
        }
        paragraph = !indented && heading.is_none() && !line.is_empty();
    }
    if kept {
        roff.control("fi", []);
    }
    roff
}

fn see_also(others: &[String]) -> Roff {
    let mut roff = Roff::new();
    roff.control("SH", ["SEE ALSO"]);
    for (i, name) in others.iter().enumerate() {
        let end = if i + 1 < others.len() { "(1), " } else { "(1)" };
        roff.text([bold(name.trim_end_matches(".1")), roman(end)]);
    }
    roff
}
