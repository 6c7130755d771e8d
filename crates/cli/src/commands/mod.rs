//! One file a command: its arguments and what it does.

pub(crate) mod assess;
pub(crate) mod calibrate;
pub(crate) mod compare;
pub(crate) mod completions;
pub(crate) mod draft;
pub(crate) mod inputs;
pub(crate) mod limit;
pub(crate) mod manual;
pub(crate) mod map;
pub(crate) mod pairs;
pub(crate) mod review;
pub(crate) mod rig;
pub(crate) mod schema;
pub(crate) mod service;
pub(crate) mod sizes;
pub(crate) mod tolerance;
pub(crate) mod validate;
pub(crate) mod vary;
