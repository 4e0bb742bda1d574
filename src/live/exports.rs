//! What a page calls: plain functions, with the texts between both in memory that belongs to this side.
#![expect(
    unsafe_code,
    reason = "a name that a page can call must not be mangled, and two functions of one name would be unsound; these \
              names are in one place, begin alike, and no line here is unsafe besides"
)]

use std::cell::RefCell;

use super::Session;

/// What one page has: a page calls from one thread.
#[derive(Default)]
struct Page {
    session: Session,
    request: Vec<u8>,
    answer: String,
}

thread_local! {
    static PAGE: RefCell<Page> = RefCell::default();
}

/// Makes room for a request of so many bytes, and says where it is to be written.
#[unsafe(no_mangle)]
extern "C" fn coolwright_room(bytes: usize) -> *mut u8 {
    PAGE.with_borrow_mut(|page| {
        page.request.clear();
        page.request.resize(bytes, 0);
        page.request.as_mut_ptr()
    })
}

/// Answers the request that was written; gives the length of the answer in bytes, UTF-8.
#[unsafe(no_mangle)]
extern "C" fn coolwright_ask() -> usize {
    PAGE.with_borrow_mut(|page| {
        page.answer = page.session.ask(&String::from_utf8_lossy(&page.request));
        page.answer.len()
    })
}

/// Where the last answer stands.
#[unsafe(no_mangle)]
extern "C" fn coolwright_answer() -> *const u8 {
    PAGE.with_borrow(|page| page.answer.as_ptr())
}

/// How many numbers the last cycle left.
#[unsafe(no_mangle)]
extern "C" fn coolwright_count() -> usize {
    PAGE.with_borrow(|page| page.session.numbers().len())
}

/// Where they stand.
#[unsafe(no_mangle)]
extern "C" fn coolwright_numbers() -> *const f64 {
    PAGE.with_borrow(|page| page.session.numbers().as_ptr())
}
