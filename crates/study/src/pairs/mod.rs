//! The list: which measured tyre may go on which rim, up to which pressure, and why not.
//!
//! Two tables, or a table and case files, become pairs; each pair that the sizes allow is a case, solved like any other and judged.
//! A list approves nothing: the very pair must be tested.

pub mod basis;
mod columns;
pub mod count;
pub mod fault;
pub mod join;
pub mod judge;
pub mod list;
pub mod pairing;
pub mod probability;
pub mod rims;
mod row;
pub mod solve;
pub mod tyres;
