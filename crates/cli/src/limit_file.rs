//! The values of a search that are solved: each is in the file as soon as it is, and those of an earlier run are taken over.

use std::path::Path;

use hoopwright_case::{Case, CaseError, Combine, OneInput, Variant, Varied, Vary};
use hoopwright_report::study::verdict;
use hoopwright_study::limit::{Found, Tried};
use hoopwright_study::map::field::{Field, Limit, fields, limits};
use hoopwright_study::rows::Scope;
use hoopwright_study::rows::{Key, Layout, Row};
use hoopwright_study::vary::solve;

use crate::failure::Failure;
use crate::output::Talk;
use crate::row_file::RowFile;

/// Name of the file in the output folder.
const FILE: &str = "limit.csv";

/// What is solved.
pub(crate) struct Solved<'a> {
    one: &'a OneInput,
    /// Fields that the limits are about.
    pub(crate) fields: Vec<Field>,
    /// The limits.
    pub(crate) limits: Vec<Limit>,
    file: RowFile,
}

impl<'a> Solved<'a> {
    /// Takes over what an earlier run of the same search left in the folder, finished or not; with `force` another's file is as good as none.
    ///
    /// # Errors
    /// A file that cannot be read or written, or is another search's.
    pub(crate) fn open(one: &'a OneInput, case: &Case, folder: Option<&Path>, force: bool) -> Result<Self, Failure> {
        let fields = fields(case);
        let limits = limits(case, &fields);
        // A row of the search is that of the value that it names.
        let belongs = |row: &Row| one.at(row.inputs[0]).is_ok_and(|variant| Key::of_variant(&variant) == row.key);
        let layout = Layout::new("variant", [one.input], Scope::Deciding);
        let mut file = RowFile::open(layout, (folder.map(|folder| folder.join(FILE)), &[]), &belongs, force)?;
        let known: Vec<Row> = file.store.all().into_iter().cloned().collect();
        file.begin(known.iter().enumerate())?;
        Ok(Self { one, fields, limits, file })
    }

    /// What stands in which cell of the file.
    pub(crate) fn layout(&self) -> &Layout {
        self.file.store.layout()
    }

    /// Solves the values of a round that are not solved yet; how each of them stands.
    ///
    /// # Errors
    /// A value that makes no case, or a file that cannot be written.
    pub(crate) fn round(&mut self, values: &[f64], threads: usize, talk: &Talk) -> Result<Vec<Tried>, Failure> {
        let variants = values.iter().map(|value| self.variant(*value)).collect::<Result<Vec<_>, _>>()?;
        let keys: Vec<Key> = variants.iter().map(Key::of_variant).collect();
        let open: Vec<usize> = (0..values.len()).filter(|i| self.file.store.get(keys[*i]).is_none()).collect();
        let (path, unit) = (self.one.input.path(), self.one.input.unit().map_or("", |unit| unit.symbol));
        solve((&variants, Scope::Deciding), &open, threads, &mut |i, row| {
            let verdict = verdict(&row);
            self.file.add(self.file.store.len(), row)?;
            talk.say(&format!("{path} = {} {unit}: {verdict} ({} solved)", values[i], self.file.store.len()));
            Ok::<(), Failure>(())
        })?;
        let limits = (self.fields.as_slice(), self.limits.as_slice());
        let stand = |i: usize| Some(Tried::of(values[i], &variants[i].case, self.file.store.get(keys[i])?, limits));
        Ok((0..values.len()).filter_map(stand).collect())
    }

    fn variant(&self, value: f64) -> Result<Variant, Failure> {
        let unit = self.one.input.unit().map_or("", |unit| unit.symbol);
        self.one.at(value).map_err(|errors| Failure::NoSuchCase {
            value: format!("{} = {value} {unit}", self.one.input.path()).trim_end().to_owned(),
            reason: errors.0.iter().map(CaseError::message).collect::<Vec<_>>().join("; "),
        })
    }

    /// Every value found as a variant with its row, in the order of the values.
    ///
    /// # Errors
    /// As for [`Self::round`].
    pub(crate) fn finished(&self, found: &Found) -> Result<(Vary, Vec<Row>), Failure> {
        let variants = found.tried.iter().map(|tried| self.variant(tried.value)).collect::<Result<Vec<_>, _>>()?;
        let rows = variants.iter().filter_map(|variant| self.file.store.get(Key::of_variant(variant)).cloned()).collect();
        Ok((over(self.one, variants), rows))
    }

    /// Removes the file of the search under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn remove_unfinished(&self) -> Result<(), Failure> {
        self.file.finish()
    }
}

/// The variants of one input.
fn over(one: &OneInput, variants: Vec<Variant>) -> Vary {
    let values = variants.iter().flat_map(|variant| variant.values.clone()).collect();
    Vary { combine: Combine::List, inputs: vec![Varied { input: one.input, values }], variants }
}
