//! The program run in a folder of its own: what the whole-program tests share.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

pub(crate) mod page;
mod schema;
pub(crate) mod table;

/// A folder of its own for one test, removed at its end.
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    pub(crate) fn new(test: &str) -> Self {
        // All subjects share one process: two tests may choose the same name.
        static FOLDERS: AtomicUsize = AtomicUsize::new(0);
        let number = FOLDERS.fetch_add(1, Ordering::Relaxed);
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{test}-{}-{number}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.0.join(name), bytes).unwrap();
    }

    pub(crate) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_hoopwright"));
        command.current_dir(&self.0).args(args).stdin(Stdio::null());
        command
    }

    pub(crate) fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().unwrap()
    }

    /// Runs and asserts the exit code; returns standard output, and standard error with its sentences on one line each.
    pub(crate) fn expect(&self, code: i32, args: &[&str]) -> (String, String) {
        let output = self.run(args);
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        let (out, err) = (text(&output.stdout), text(&output.stderr));
        assert_eq!(output.status.code(), Some(code), "{args:?}\n{out}\n{err}");
        schema::check(&out);
        (out, err.replace("\n        ", " "))
    }

    /// As [`Folder::expect`], with the processor time that the program took: a busy machine stretches the time by the clock, not this one.
    pub(crate) fn timed(&self, code: i32, args: &[&str]) -> (String, String, Duration) {
        let mut shell = Command::new("bash");
        shell.current_dir(&self.0).stdin(Stdio::null()).args(["-c", "TIMEFORMAT='%3U %3S'; time \"$@\"", "timed"]);
        let output = shell.arg(env!("CARGO_BIN_EXE_hoopwright")).args(args).output().unwrap();
        let (out, err) = (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
        assert_eq!(output.status.code(), Some(code), "{args:?}\n{out}\n{err}");
        let (told, times) = err.trim_end().rsplit_once('\n').unwrap_or(("", err.trim_end()));
        let seconds = times.split(' ').map(|t| t.parse::<f64>().unwrap()).sum();
        (out, told.to_owned(), Duration::from_secs_f64(seconds))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ignored = fs::remove_dir_all(&self.0);
    }
}

/// The project's folder.
pub(crate) fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The first example judged by its off-centre release, for tests that solve many variants: the local release takes four times as long.
pub(crate) fn off_centre_road() -> String {
    let text = fs::read_to_string(project().join("examples/01_road_holds.toml")).unwrap();
    text + "\n[limits]\ncriterion = \"off-centre release\"\n"
}
