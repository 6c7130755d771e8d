//! Requests in JSON to answers in JSON. Nothing here panics on what a page sends: an answer `{"error": ...}` says what is wrong.
//!
//! | `ask` | with | answers |
//! |---|---|---|
//! | `form` | - | every input with how it is typed, by tables; cautions; the text to open with |
//! | `read` | `text`, `unit`, `width` | faults with their places, values with where they come from, closed form, its scale |
//! | `put` | `text`, `key`, `typed` | the text with that input changed |
//! | `draw` | `text`, `name` | the text with that drawing as the rim's section |
//! | `assess` | `text` | `result.json` of the finite elements, and what pictures there are |
//! | `beside` | `text` | key states of another case, reached from those of the assessed one |
//! | `section` | `point` | the section at a point of the assessed path |
//! | `scale` | `unit`, `width` | the scale of the assessed case, the closed form beside it |
//! | `report` | - | the report of the assessed case |

use crate::assessed::Assessed;
use crate::request::{DeskError, Listener, Request};
use crate::{form, read};
use hoopwright_case::Attached;
use hoopwright_case::edit::{put, put_drawing};
use hoopwright_case::inputs::{INPUTS, Input};
use serde_json::{Value, json};

/// What answers, with the files that cases may name and the last assessment.
#[derive(Default)]
pub struct Desk {
    files: Attached,
    assessed: Option<Assessed>,
}

impl Desk {
    /// Keeps a file that a case may name.
    pub fn attach(&mut self, name: String, bytes: Vec<u8>) {
        self.files.insert(name, Ok(bytes));
    }

    /// Answers a request in JSON; the listener hears how far it is.
    pub fn answer(&mut self, request: &str, listener: Listener<'_>) -> String {
        let answer = self.asked(request, listener).unwrap_or_else(|error| json!({ "error": error.to_string() }));
        answer.to_string()
    }

    fn asked(&mut self, request: &str, listener: Listener<'_>) -> Result<Value, DeskError> {
        match serde_json::from_str(request)? {
            Request::Form => Ok(form::form()),
            Request::Read { text, unit, width } => read::read(&text, &self.files, unit, width),
            Request::Put { text, key, typed } => Ok(json!({ "text": put(&text, input(&key)?, &typed)? })),
            Request::Draw { text, name } => Ok(json!({ "text": put_drawing(&text, &name)? })),
            Request::Assess { text } => {
                // What an earlier case left is never taken for this one's.
                self.assessed = None;
                let assessed = Assessed::new(text, &self.files, listener)?;
                let answer = assessed.answer()?;
                self.assessed = Some(assessed);
                Ok(answer)
            }
            Request::Beside { text } => self.assessed()?.beside(&text, &self.files),
            Request::Section { point } => Ok(self.assessed()?.section(point)),
            Request::Scale { unit, width } => Ok(self.assessed()?.scale(unit, width)),
            Request::Report => Ok(self.assessed()?.report()),
        }
    }

    fn assessed(&self) -> Result<&Assessed, DeskError> {
        self.assessed.as_ref().ok_or(DeskError::Nothing)
    }
}

fn input(key: &str) -> Result<&'static Input, DeskError> {
    INPUTS.iter().copied().find(|input| input.path() == key).ok_or_else(|| DeskError::Input(key.to_owned()))
}

#[cfg(test)]
#[path = "desk_tests.rs"]
mod tests;
