//! Why a command could not do its work.

use std::io;
use std::path::PathBuf;

use hoopwright_bench::log::LogError;
use hoopwright_bench::plausible::of_circumference;
use hoopwright_case::units::MM;
use hoopwright_case::{CaseErrors, Problem};
use hoopwright_report::compare::SideError;
use hoopwright_report::data::DataError;
use hoopwright_report::json::JsonError;
use hoopwright_report::pairs::register::RegisterError;
use hoopwright_report::vtk::VtkError;
use hoopwright_solver::model::ModelError;
use hoopwright_study::map::tyres::TyreError;
use hoopwright_study::pairs::fault::Fault;
use hoopwright_study::rows::RowsError;
use hoopwright_study::tolerance::measured::MeasuredError;
use hoopwright_validation::ValidationError;

use crate::exit::Exit;

/// Who names a file of measured tyres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum TyresNamed {
    /// The case, for its map.
    InCase,
    /// An argument.
    ByArgument,
}

/// A failure of a command.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// A file cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    Read { path: PathBuf, source: io::Error },
    /// A file of an earlier run cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    ReadOutput { path: PathBuf, source: io::Error },
    /// A file cannot be written.
    #[error("cannot write {}: {source}", path.display())]
    Write { path: PathBuf, source: io::Error },
    /// A folder cannot be made.
    #[error("cannot make the folder {}: {source}", path.display())]
    MakeFolder { path: PathBuf, source: io::Error },
    /// A folder where a file is to be written.
    #[error("{} is a folder", path.display())]
    IsFolder { path: PathBuf },
    /// A file that would be overwritten.
    #[error("{} exists already", path.display())]
    Exists { path: PathBuf },
    /// A folder that holds the results of another question.
    #[error("{} holds the results of {what}", path.display())]
    OtherResults { path: PathBuf, what: String },
    /// A file that is no result of the program as far as its folder's list tells.
    #[error("{} exists, and contents.json does not list it there", path.display())]
    Unlisted { path: PathBuf },
    /// The case has faults; `text` is empty where the file is no text.
    #[error("{} cannot be used: {errors}", path.display())]
    Case { path: PathBuf, text: String, errors: CaseErrors },
    /// The case names no values to run it over.
    #[error("{} names no values to run the case over", path.display())]
    NoVariants { path: PathBuf },
    /// No input of a case holds the word.
    #[error("no input of a case holds \"{word}\" in its table and key")]
    NoInput { word: String },
    /// The case names no axes of a map.
    #[error("{} names no axes of a map", path.display())]
    NoMap { path: PathBuf },
    /// A table of tyres or rims cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    ReadTable { path: PathBuf, source: io::Error },
    /// Tables of tyres and rims have faults.
    #[error("the tables cannot be used: {} faults", faults.len())]
    Tables { faults: Vec<Fault> },
    /// The file of measured tyres cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    ReadTyres { path: PathBuf, source: io::Error, named: TyresNamed },
    /// The file of measured tyres has a fault.
    #[error("{} cannot be used: {source}", path.display())]
    Tyres { path: PathBuf, source: TyreError, named: TyresNamed },
    /// A log of a bench cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    ReadLog { path: PathBuf, source: io::Error },
    /// A fixture file cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    ReadFixture { path: PathBuf, source: io::Error },
    /// A log has a fault.
    #[error("{} cannot be used: {source}", path.display())]
    Log { path: PathBuf, source: LogError },
    /// A log tells nothing.
    #[error("{} gives no answer: {reason}", path.display())]
    NoReading { path: PathBuf, reason: String },
    /// A log whose head is wrong, as what it holds cannot be.
    #[error("{} cannot be used: {reason}", path.display())]
    Head { path: PathBuf, reason: String },
    /// A time to extrapolate to that is none.
    #[error("--until cannot be answered from {}: {reason}", path.display())]
    Until { path: PathBuf, reason: String },
    /// A folder without logs.
    #[error("{} holds no log: {}", path.display(), if path.is_dir() { "no file whose name ends in .csv" } else { "no file has such a name" })]
    NoLogs { path: PathBuf },
    /// A pattern of names that is none, or leads into a folder that cannot be read.
    #[error("{} names no files: {reason}", path.display())]
    Pattern { path: PathBuf, reason: String },
    /// A block asked of many logs.
    #[error("a block is made of one log, and several are given")]
    BlockOfMany,
    /// A block of growth without the diameter that grows.
    #[error("growth alone gives no diameter of a bead without tension, which a block needs")]
    NoUnstretched,
    /// A diameter without tension that does not go with those under tension in a log.
    #[error("--unstretched {} does not go with {}, whose smallest diameter is {} under tension{}", MM.format(*unstretched), path.display(), MM.format(*smallest), circumference(*unstretched))]
    Unstretched { path: PathBuf, unstretched: f64, smallest: f64 },
    /// The case does not say how its inputs scatter.
    #[error("{} does not say how the case's inputs scatter", path.display())]
    NoTolerance { path: PathBuf },
    /// A file of measured values cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    ReadMeasured { path: PathBuf, source: io::Error },
    /// A file of measured values has a fault.
    #[error("{} cannot be used: {source}", path.display())]
    Measured { path: PathBuf, source: MeasuredError },
    /// A measured value that makes no case.
    #[error("{} has {value}, which makes no case: {reason}", path.display())]
    MeasuredValue { path: PathBuf, value: String, reason: String },
    /// The inputs cannot scatter together as asked.
    #[error("{}: {sentence}", path.display())]
    Joint { path: PathBuf, sentence: String },
    /// Tested tyres tell nothing.
    #[error("{} gives no answer: {reason}", path.display())]
    NoCalibration { path: PathBuf, reason: String },
    /// The case's friction lies beyond what a calibration solves.
    #[error("{}: a friction of {friction} lies beyond {most}, up to which tyres are solved: the test factor would be too small for it", path.display())]
    FrictionBeyond { path: PathBuf, friction: f64, most: f64 },
    /// An argument that is a quantity of a case has a fault; the sentence and the remedy are those of a case file.
    #[error("{name}: {sentence}")]
    Argument { name: &'static str, sentence: String, remedy: String },
    /// A range that ends where it begins, or before.
    #[error("the range holds no value")]
    EmptyRange,
    /// A value within a range that makes no case.
    #[error("{value} makes no case: {reason}")]
    NoSuchCase { value: String, reason: String },
    /// A result of an assessment cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    ReadResult { path: PathBuf, source: io::Error },
    /// A file that is no result of an assessment.
    #[error("{} cannot be compared: {source}", path.display())]
    NoResult { path: PathBuf, source: SideError },
    /// The output folder holds the file of another study.
    #[error("{} is not the file of this study: {source}", path.display())]
    OtherStudy { path: PathBuf, source: RowsError },
    /// The output folder holds no register of this program under its name.
    #[error("{} is no register of pairs: {source}", path.display())]
    NoRegister { path: PathBuf, source: RegisterError },
    /// The case's geometry does not fit together.
    #[error("{}: {source}", path.display())]
    Model { path: PathBuf, source: ModelError },
    /// A result cannot be put into its format.
    #[error("{0}")]
    Json(#[from] JsonError),
    /// A result cannot be put into its format.
    #[error("{0}")]
    Vtk(#[from] VtkError),
    /// A table cannot be put into its format.
    #[error("{0}")]
    Data(#[from] DataError),
    /// The checks cannot be made.
    #[error("{0}")]
    Validation(#[from] ValidationError),
    /// Standard output cannot be written.
    #[error("cannot write the output: {0}")]
    Output(io::Error),
}

impl Failure {
    /// Of an argument that is a quantity of a case.
    pub(crate) fn argument(name: &'static str, problem: &Problem) -> Self {
        Self::Argument { name, sentence: problem.to_string(), remedy: problem.remedy() }
    }

    /// What to do about it; the faults of a case have their own remedies.
    pub(crate) fn remedy(&self) -> &str {
        match self {
            Self::Argument { remedy, .. } => remedy,
            Self::EmptyRange => "give --to a larger value than --from, and --within a width above zero",
            Self::ReadResult { .. } => "give a case file, or a result.json that `hoopwright assess CASE --out DIR` wrote",
            Self::NoResult { .. } => "give a result.json that `hoopwright assess CASE --out DIR` wrote, or the case file itself",
            Self::NoSuchCase { .. } => "give a range by --from and --to in which every value makes a case",
            Self::Read { .. } => "give the name of a case file; `hoopwright draft FILE` writes one",
            Self::ReadOutput { .. } => "give another folder by --out, or make that file readable",
            Self::Write { source, .. } | Self::MakeFolder { source, .. } if full(source) => {
                "make room, then run the same command again: what a study has solved so far is kept"
            }
            Self::Write { .. } => "give a file name in a folder that exists and can be written",
            Self::MakeFolder { .. } => "give a folder, not a file: one that exists, or a new one where files can be written",
            Self::IsFolder { .. } => "give the name of a file, in that folder or another",
            Self::Exists { .. } => "give another name, or --force to overwrite it",
            Self::OtherResults { .. } => "they are not overwritten: give another folder by --out, or --force to replace them",
            Self::Unlisted { .. } => "it is not overwritten: give another folder by --out, or --force to replace it",
            Self::Case { .. } => "correct the faults above",
            Self::NoVariants { .. } => "add a table [vary], as in \"rim.seat_diameter\" = [\"621.5 mm\", \"622.4 mm\"]",
            Self::NoInput { .. } => "give another word; `hoopwright inputs` lists them all",
            Self::NoMap { .. } => {
                "add a table [map]; without keys it maps the bead stiffness and the mismatch about the case's own"
            }
            Self::ReadTable { .. } => "give the name of a table (CSV, XLSX or Parquet); of rims also a folder of cases or a case",
            Self::Tables { .. } => "correct the faults above",
            Self::ReadTyres { named: TyresNamed::ByArgument, .. } => "give the name of a file of tested tyres",
            Self::Tyres { named: TyresNamed::ByArgument, .. } => {
                "correct that file; its head is id,diameter [mm],stiffness [kN],tested release pressure [bar]"
            }
            Self::ReadTyres { .. } => "name it in the table [map] relative to the case file, or drop the key `tyres`",
            Self::Tyres { .. } => "correct that file, or drop the key `tyres` in the table [map]",
            Self::ReadLog { .. } => "give the name of a log: CSV with units in its head, as in time [s],force [N],travel [mm]",
            Self::ReadFixture { .. } => "give the name of a fixture file; `hoopwright rig fixture FILE` writes one",
            Self::Log { .. } | Self::Head { .. } => "correct that file, or export the log again",
            Self::FrictionBeyond { .. } => {
                "leave out --block, or lower `friction` in the table [contact] and use the block with that friction only"
            }
            Self::NoCalibration { .. } => "give more tested tyres",
            Self::NoReading { .. } => "look at the log; a log that tells nothing is no result",
            Self::Until { .. } => "give a later time by --until, or leave it out for ten times the log's",
            Self::NoLogs { .. } | Self::Pattern { .. } => {
                "give a folder with logs, or a pattern of their names in quotes, as in \"logs/*.csv\""
            }
            Self::BlockOfMany => "name one log, or leave --block out",
            Self::NoUnstretched => "add --unstretched, as in --unstretched \"620.4 mm\", from `hoopwright rig stretch`",
            Self::Unstretched { .. } => {
                "give the same bead's diameter without tension, from `hoopwright rig stretch`: less, by 3 % at most (common practice, no source)"
            }
            Self::NoTolerance { .. } => "add a table [tolerance], as in \"bead.stiffness\" = { deviation = \"12 kN\" }",
            Self::ReadMeasured { .. } => "name it in the table [tolerance] relative to the case file",
            Self::Measured { .. } => "correct that file, or name another file or column in the table [tolerance]",
            Self::MeasuredValue { .. } => "correct or remove that value",
            Self::Joint { .. } => "bring the correlations in the table [tolerance] closer to zero",
            Self::OtherStudy { .. } | Self::NoRegister { .. } => {
                "give another folder by --out, or --force to replace that file: it is not overwritten"
            }
            Self::Model { source, .. } if source.is_fault() => "this is a fault of the program: report it with the case file",
            Self::Model { .. } => "change the lengths named above so that tyre and rim fit together",
            Self::Json(_) | Self::Vtk(_) | Self::Data(_) | Self::Validation(_) => {
                "this is a fault of the program: report it with the case file"
            }
            Self::Output(_) => "check the disk or the program that reads the output",
        }
    }

    /// The exit code.
    pub(crate) fn exit(&self) -> Exit {
        match self {
            Self::Read { .. }
            | Self::ReadOutput { .. }
            | Self::Write { .. }
            | Self::MakeFolder { .. }
            | Self::IsFolder { .. }
            | Self::Exists { .. }
            | Self::OtherResults { .. }
            | Self::Unlisted { .. }
            | Self::Case { .. }
            | Self::NoVariants { .. }
            | Self::NoInput { .. }
            | Self::NoMap { .. }
            | Self::ReadTable { .. }
            | Self::Tables { .. }
            | Self::ReadTyres { .. }
            | Self::Tyres { .. }
            | Self::ReadLog { .. }
            | Self::ReadFixture { .. }
            | Self::Log { .. }
            | Self::Head { .. }
            | Self::Until { .. }
            | Self::NoLogs { .. }
            | Self::Pattern { .. }
            | Self::BlockOfMany
            | Self::NoUnstretched
            | Self::Unstretched { .. }
            | Self::NoTolerance { .. }
            | Self::ReadMeasured { .. }
            | Self::Measured { .. }
            | Self::MeasuredValue { .. }
            | Self::Joint { .. }
            | Self::FrictionBeyond { .. }
            | Self::OtherStudy { .. }
            | Self::NoRegister { .. }
            | Self::Argument { .. }
            | Self::ReadResult { .. }
            | Self::NoResult { .. }
            | Self::EmptyRange
            | Self::NoSuchCase { .. }
            | Self::Model { .. }
            | Self::Output(_) => Exit::WrongInput,
            Self::NoReading { .. } | Self::NoCalibration { .. } => Exit::NoEquilibrium,
            // A result that is not a number is no answer.
            Self::Json(_) | Self::Vtk(_) | Self::Data(_) | Self::Validation(_) => Exit::NoEquilibrium,
        }
    }
}

/// A word on a diameter, mm, that is a circumference.
fn circumference(length: f64) -> String {
    let diameter = of_circumference(length).map(|diameter| MM.format(diameter));
    diameter
        .map_or(String::new(), |diameter| format!("; likely it is a circumference, of a diameter of {diameter}: divide it by pi"))
}

/// Whether a disk, a quota or a limit on the size of files is what stopped a write.
fn full(error: &io::Error) -> bool {
    use io::ErrorKind::{FileTooLarge, QuotaExceeded, StorageFull};
    matches!(error.kind(), StorageFull | QuotaExceeded | FileTooLarge)
}
