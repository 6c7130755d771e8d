//! The folder of `--out`: holds the results of one command on one question, listed in `contents.json`.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use hoopwright_report::contents::{CONTENTS, Contents};
use hoopwright_study::workers::each;

use crate::failure::Failure;
use crate::files;
use crate::output::Talk;

/// Largest list that is looked at, bytes.
const LARGEST: usize = 1 << 24;
/// Files written at once: each waits for the disk, which takes several together in hardly more time than one.
const AT_ONCE: usize = 8;

/// An output folder that may be written to.
pub(crate) struct OutFolder {
    path: PathBuf,
    /// What an earlier run left.
    before: Option<Contents>,
    /// What this run is to leave.
    contents: Contents,
}

/// What a folder's results are results of.
pub(crate) struct Asked<'a> {
    /// The command.
    pub(crate) command: &'static str,
    /// The file that it was given.
    pub(crate) of: &'a Path,
    /// Hash of the question; none where a study's own file tells.
    pub(crate) question: Option<String>,
    /// Files that it surely writes.
    pub(crate) main: &'static [&'static str],
    /// Whether results of another question may be replaced.
    pub(crate) force: bool,
}

impl OutFolder {
    /// Makes the folder, and refuses one that holds other results, or files of one's own under the names of results; nothing is removed yet.
    ///
    /// # Errors
    /// The folder cannot be made, or holds what may not be overwritten.
    pub(crate) fn open(path: &Path, asked: &Asked<'_>) -> Result<Self, Failure> {
        files::make_folder(path)?;
        let contents = Contents::new(asked.command, &files::name(asked.of), asked.question.clone());
        let before = earlier(&path.join(CONTENTS), asked.force)?;
        if let Some(before) = before.as_ref().filter(|before| !asked.force && before.differs(&contents)) {
            let what = format!("`{}` of {}", before.command, before.of);
            return Err(Failure::OtherResults { path: path.to_owned(), what });
        }
        let listed = |name: &str| before.as_ref().is_some_and(|before| before.has(name));
        let own = asked.main.iter().find(|name| !asked.force && !listed(name) && path.join(name).symlink_metadata().is_ok());
        match own {
            Some(name) => Err(Failure::Unlisted { path: path.join(name) }),
            None => Ok(Self { path: path.to_owned(), before, contents }),
        }
    }

    /// Replaces what an earlier run left by these files, named within the folder, and lists them. The last one stands for all: it is gone
    /// while others are replaced.
    ///
    /// # Errors
    /// A file cannot be written; what was written until then stays, and the list says that it is not complete.
    pub(crate) fn write(&mut self, list: &[(String, Vec<u8>)], talk: &Talk) -> Result<(), Failure> {
        // Two writers of one name would share its temporary file.
        debug_assert!(list.iter().map(|(name, _)| name).collect::<BTreeSet<_>>().len() == list.len(), "a name stands twice");
        list.iter().for_each(|(name, bytes)| self.contents.add(name, bytes));
        let mut under_way = self.contents.clone();
        let stale = self.before.iter().flat_map(Contents::names).filter(|name| !self.contents.has(name));
        let stale: Vec<String> = stale.map(str::to_owned).collect();
        stale.iter().for_each(|name| under_way.add(name, b""));
        self.list(&under_way)?;
        self.clear(&under_way);
        let last = list.last().map(|(name, _)| name);
        for name in stale.iter().chain(last) {
            files::remove(&self.path.join(name))?;
        }
        if let Some((last, others)) = list.split_last() {
            let numbers: Vec<usize> = (0..others.len()).collect();
            each(&numbers, AT_ONCE, &|i| self.write_one(&others[i]), &mut |_, written| written)?;
            self.write_one(last)?;
        }
        self.contents.complete = true;
        self.list(&self.contents)?;
        talk.say(&format!("results written to {}", self.path.display()));
        Ok(())
    }

    /// Removes what a killed run had begun to write of the files listed. What cannot be removed does no harm: no reader looks for it.
    fn clear(&self, listed: &Contents) {
        let folders: BTreeSet<&Path> = listed.names().filter_map(|name| Path::new(name).parent()).collect();
        for folder in folders {
            for entry in fs::read_dir(self.path.join(folder)).into_iter().flatten().flatten() {
                let name = entry.file_name();
                let meant = name.to_str().and_then(files::meant_by).map(|meant| folder.join(meant));
                if meant.and_then(|meant| meant.to_str().map(|name| listed.has(name))) == Some(true) {
                    let _ignored = fs::remove_file(entry.path());
                }
            }
        }
    }

    fn write_one(&self, (name, bytes): &(String, Vec<u8>)) -> Result<(), Failure> {
        let path = self.path.join(name);
        path.parent().map_or(Ok(()), files::make_folder)?;
        files::write_whole(&path, bytes, true)
    }

    fn list(&self, contents: &Contents) -> Result<(), Failure> {
        files::write_whole(&self.path.join(CONTENTS), &contents.bytes()?, true)
    }
}

/// The list of an earlier run. One that cannot be read is nobody's, and is refused unless it may be overwritten.
fn earlier(path: &Path, force: bool) -> Result<Option<Contents>, Failure> {
    let Some(bytes) = files::left(path, LARGEST)? else { return Ok(None) };
    match Contents::read(&bytes) {
        None if !force => Err(Failure::Unlisted { path: path.to_owned() }),
        read => Ok(read),
    }
}
