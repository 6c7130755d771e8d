//! The live page: the program's case reader, closed form and finite elements in a browser, without a server and without a network.
//!
//! A [`desk::Desk`] answers requests in JSON. [`boundary`] lends one to JavaScript by plain functions; `build.sh` compiles both for
//! WebAssembly and [`bundle`] puts the module and the sources in `static/` into one HTML file. That opens two desks: one beside the form,
//! which reads the case and has the closed form at once, and one in a worker, which runs the finite elements and may be stopped.
//!
//! ```
//! use hoopwright_page::desk::Desk;
//!
//! let text = hoopwright_page::EXAMPLE.replace("rated = \"5 bar\"", "rated = \"5\"");
//! let request = serde_json::json!({ "ask": "read", "text": text, "unit": "bar", "width": 600 });
//! let answer: serde_json::Value = serde_json::from_str(&Desk::default().answer(&request.to_string(), &mut |_| ()))?;
//! assert_eq!(answer["faults"][0]["key"], "pressure.rated", "{answer}");
//! # Ok::<(), serde_json::Error>(())
//! ```

mod assessed;
pub mod boundary;
pub mod bundle;
pub mod desk;
mod form;
mod read;
mod request;

pub use form::EXAMPLE;
pub use request::Listener;
