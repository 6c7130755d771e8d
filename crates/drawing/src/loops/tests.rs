#![allow(clippy::unwrap_used)]
