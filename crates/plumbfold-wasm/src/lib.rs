//! What the worker of the page in one file calls. A question is the path, a line's end and the body;
//! an answer the status, a blank, the media type, a line's end and the body. The worker asks for
//! [`room`], writes the question there, calls [`ask`] for the answer's length and reads as much from
//! [`answer`]. Who stops waiting ends the worker.

#![allow(
    unsafe_code,
    reason = "the names the browser calls must stand unmangled; nothing here is done unsafely"
)]

use std::cell::RefCell;

thread_local! {
    static QUESTION: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
    static ANSWER: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
}

/// Room for a question of so many bytes.
#[unsafe(no_mangle)]
pub extern "C" fn room(bytes: usize) -> *mut u8 {
    QUESTION.with_borrow_mut(|question| {
        question.clear();
        question.resize(bytes, 0);
        question.as_mut_ptr()
    })
}

/// Answers the question in the room; gives the length of the answer.
#[unsafe(no_mangle)]
pub extern "C" fn ask() -> usize {
    let question = QUESTION.take();
    let mut parts = question.splitn(2, |&b| b == b'\n');
    let path = String::from_utf8_lossy(parts.next().unwrap_or_default());
    let body = parts.next().unwrap_or_default();
    let answered = plumbfold_page::answer(&path, body, &|| true)
        .unwrap_or_else(|| plumbfold_page::Answer::message(404, "there is nothing here"));
    let mut whole = format!("{} {}\n", answered.status, answered.mime).into_bytes();
    whole.extend(answered.body);
    ANSWER.replace(whole);
    ANSWER.with_borrow(Vec::len)
}

/// Where the answer stands until the next question.
#[unsafe(no_mangle)]
pub extern "C" fn answer() -> *const u8 {
    ANSWER.with_borrow(|answer| answer.as_ptr())
}
