//! The points of a loading path and what is read off it: data, which every room may name. Units in the names' comments: N, mm, MPa, radians; gauge pressures.

mod effort;
mod end;
mod fields;
mod point;
mod release;

pub use effort::Effort;
pub use end::End;
pub use fields::{Fields, RimLoad, RimLoads};
#[cfg(test)]
pub(crate) use point::point;
pub use point::{Balance, PathPoint, Stage};
#[cfg(test)]
pub(crate) use release::alike;
pub use release::{Release, Retention};
