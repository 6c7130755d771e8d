//! cli
fn main(){}
