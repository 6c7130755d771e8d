//! How often a case will not hold where its inputs scatter.

pub mod design_point;
pub mod joint;
pub mod kriging;
pub mod marginal;
pub mod normal;
pub mod sequence;
mod simplex;
