//! Results to bytes: the only crate that knows output formats. It writes no file.

pub mod html;
pub mod json;
mod json_rim;
pub mod map;
mod rim;
pub mod schema;
pub mod study;
pub mod svg;
pub mod text;
pub mod vtk;
mod words;
