//! The plain functions by which JavaScript lends bytes and takes them: no bindings are generated.
//!
//! JavaScript asks for [`hoopwright_room`], writes there, then calls [`hoopwright_ask`] or [`hoopwright_attach`]; an answer lies at
//! [`hoopwright_answer`] until the next call. Both hold places in the module's memory only, so that no foreign pointer is followed here.

#![allow(unsafe_code, reason = "`no_mangle`: JavaScript finds these functions by their names, which begin as no others do")]

use crate::desk::Desk;
use std::cell::RefCell;

#[derive(Default)]
struct Border {
    desk: Desk,
    request: Vec<u8>,
    answer: Vec<u8>,
}

thread_local! {
    static BORDER: RefCell<Border> = RefCell::default();
}

#[cfg(target_family = "wasm")]
#[link(wasm_import_module = "page")]
unsafe extern "C" {
    /// Hears a line of JSON while a request is worked on.
    safe fn hear(start: *const u8, length: usize);
}

/// Outside a browser nobody listens.
#[cfg(not(target_family = "wasm"))]
fn hear(_start: *const u8, _length: usize) {}

fn told(line: &str) {
    hear(line.as_ptr(), line.len());
}

/// Makes room for a request of so many bytes; where it begins.
#[unsafe(no_mangle)]
pub extern "C" fn hoopwright_room(length: usize) -> *mut u8 {
    BORDER.with_borrow_mut(|border| {
        border.request = vec![0; length];
        border.request.as_mut_ptr()
    })
}

/// Answers the request that lies in the room; the length of the answer, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn hoopwright_ask() -> usize {
    #[cfg(target_family = "wasm")]
    std::panic::set_hook(Box::new(|info| told(&serde_json::json!({ "fault": info.to_string() }).to_string())));
    BORDER.with_borrow_mut(|border| {
        let request = std::mem::take(&mut border.request);
        border.answer = border.desk.answer(&String::from_utf8_lossy(&request), &mut |line| told(line)).into_bytes();
        border.answer.len()
    })
}

/// Keeps a file that a case may name: so many bytes of its name lie in the room, then its own.
#[unsafe(no_mangle)]
pub extern "C" fn hoopwright_attach(name_length: usize) {
    BORDER.with_borrow_mut(|border| {
        let mut request = std::mem::take(&mut border.request);
        let bytes = request.split_off(name_length.min(request.len()));
        border.desk.attach(String::from_utf8_lossy(&request).into_owned(), bytes);
    });
}

/// Where the answer begins.
#[unsafe(no_mangle)]
pub extern "C" fn hoopwright_answer() -> *const u8 {
    BORDER.with_borrow(|border| border.answer.as_ptr())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_empty_room_gets_an_answer() {
        assert!(!hoopwright_room(0).is_null());
        hoopwright_attach(7);
        assert!(hoopwright_ask() > 0 && !hoopwright_answer().is_null());
    }
}
