//! `hoopwright vary`: many variants of one case.
