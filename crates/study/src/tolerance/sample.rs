//! Solved samples, and what they were solved for.

/// What a sample was solved for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Every input at its centre.
    Centre,
    /// One input aside: differences tell which corners matter.
    Gradient,
    /// A corner of the tolerances.
    Corner,
    /// To learn how the margins depend on the inputs.
    Learning,
    /// Where the stand-in has a design point.
    DesignPoint,
    /// To check the stand-in, which has not seen it: what the probability is corrected by.
    Check,
    /// As a check, with the chosen spread sized to meet the target.
    SizedCheck,
}

impl Purpose {
    /// A word for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Centre => "centre",
            Self::Gradient => "gradient",
            Self::Corner => "corner",
            Self::Learning => "learning",
            Self::DesignPoint => "design point",
            Self::Check => "check",
            Self::SizedCheck => "sized check",
        }
    }
}

/// What is known of a solved sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// Margin to each limit, in the limit's unit, above zero where it is kept; none where it was not found or is a bound only.
    pub margins: Vec<Option<f64>>,
    /// Whether each limit is not kept; none where the solve gave no answer to that.
    pub fails: Vec<Option<bool>>,
    /// Further numbers whose extremes are asked for.
    pub loads: Vec<Option<f64>>,
}

impl Sample {
    /// Of known margins.
    pub fn of(margins: Vec<f64>) -> Self {
        Self {
            fails: margins.iter().map(|m| Some(*m < 0.0)).collect(),
            margins: margins.into_iter().map(Some).collect(),
            loads: Vec::new(),
        }
    }

    /// Whether a limit (or, beyond the last, any of them) is not kept. None where that is not known: any is known to fail as soon as one
    /// is.
    pub fn event(&self, event: usize) -> Option<bool> {
        if let Some(fails) = self.fails.get(event) {
            return *fails;
        }
        let unknown = self.fails.iter().any(Option::is_none);
        match self.fails.contains(&Some(true)) {
            true => Some(true),
            false if unknown => None,
            false => Some(false),
        }
    }

    /// Whether the solve left a limit open.
    pub fn unanswered(&self) -> bool {
        self.fails.iter().any(Option::is_none)
    }
}

/// A sample at its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// Values of the inputs, in their units.
    pub x: Vec<f64>,
    /// What it was solved for first.
    pub purpose: Purpose,
    /// What came out.
    pub sample: Sample,
}

/// Solves samples: purpose and places in, samples in the same order out.
pub type Ask<'a, E> = &'a mut dyn FnMut(Purpose, &[Vec<f64>]) -> Result<Vec<Sample>, E>;

/// All samples of a study, in the order in which they were asked for; each place once.
#[derive(Clone, Debug, Default)]
pub struct Record {
    /// The samples.
    pub solved: Vec<Solved>,
}

impl Record {
    /// Solves the places that are not known yet, and gives the samples of all of them.
    ///
    /// # Errors
    /// What `ask` fails with.
    pub fn solve<E>(&mut self, purpose: Purpose, places: &[Vec<f64>], ask: Ask<'_, E>) -> Result<Vec<Sample>, E> {
        let mut new: Vec<Vec<f64>> = Vec::new();
        for place in places {
            if self.find(place).is_none() && !new.iter().any(|other| same(other, place)) {
                new.push(place.clone());
            }
        }
        let samples = ask(purpose, &new)?;
        self.solved.extend(new.into_iter().zip(samples).map(|(x, sample)| Solved { x, purpose, sample }));
        Ok(places.iter().filter_map(|place| self.find(place)).map(|solved| solved.sample.clone()).collect())
    }

    fn find(&self, place: &[f64]) -> Option<&Solved> {
        self.solved.iter().find(|solved| same(&solved.x, place))
    }
}

/// Whether two places are one to eleven digits.
fn same(a: &[f64], b: &[f64]) -> bool {
    a.iter().zip(b).all(|(x, y)| (x - y).abs() <= 1e-11 * x.abs())
}
