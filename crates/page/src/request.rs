//! What a page may ask, and why it gets no answer.

use hoopwright_case::CaseErrors;
use hoopwright_case::edit::EditError;
use hoopwright_case::units::{BAR, UNITS, Unit};
use hoopwright_report::json::JsonError;
use hoopwright_solver::beside::NotBeside;
use hoopwright_solver::model::ModelError;
use serde::Deserialize;

/// Receiver of lines of JSON that tell how far a request is.
pub type Listener<'a> = &'a mut dyn FnMut(&str);

/// Why a request has no answer.
#[derive(Debug, thiserror::Error)]
pub(crate) enum DeskError {
    #[error("the page asked for something unknown: {0}")]
    Request(#[from] serde_json::Error),
    #[error("no input is called {0}")]
    Input(String),
    #[error(transparent)]
    Edit(#[from] EditError),
    #[error("{0}")]
    Case(#[from] CaseErrors),
    #[error(transparent)]
    Model(#[from] ModelError),
    #[error(transparent)]
    Json(#[from] JsonError),
    #[error("nothing has been computed yet")]
    Nothing,
    #[error(transparent)]
    Beside(#[from] NotBeside),
}

/// Unit of pressures on the page.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Shown {
    Bar,
    Psi,
}

impl Shown {
    pub(crate) fn unit(self) -> &'static Unit {
        let symbol = match self {
            Self::Bar => BAR.symbol,
            Self::Psi => "psi",
        };
        UNITS.iter().find(|unit| unit.symbol == symbol).unwrap_or(&BAR)
    }
}

/// A request.
#[derive(Deserialize)]
#[serde(tag = "ask", rename_all = "lowercase")]
pub(crate) enum Request {
    Form,
    Read { text: String, unit: Shown, width: f64 },
    Put { text: String, key: String, typed: String },
    Draw { text: String, name: String },
    Assess { text: String },
    Beside { text: String },
    Section { point: usize },
    Scale { unit: Shown, width: f64 },
    Report,
}
