//! Panics within libraries of other people's making, caught and kept off the terminal: the caller says in a sentence
//! what went wrong. The one panic hook of the program is set here, once a process. Any room may use it; it knows none.
//!
//! An abort cannot be caught; what could cause one is refused before.

use std::any::Any;
use std::cell::Cell;
use std::panic::{AssertUnwindSafe, PanicHookInfo, catch_unwind, set_hook, take_hook};
use std::sync::Once;

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}

/// What `work` gives, or the cause of its panic. Panics of the workbook library say nothing, on whatever thread; every
/// other one is told as usual.
pub(crate) fn caught<T>(work: impl FnOnce() -> T) -> Result<T, Box<dyn Any + Send>> {
    hook();
    catch_unwind(AssertUnwindSafe(work))
}

/// The same, where no panic on this thread says anything.
pub(crate) fn caught_in_silence<T>(work: impl FnOnce() -> T) -> Result<T, Box<dyn Any + Send>> {
    let before = QUIET.with(|quiet| quiet.replace(true));
    let result = caught(work);
    QUIET.with(|quiet| quiet.set(before));
    result
}

fn hook() {
    static HOOKED: Once = Once::new();
    HOOKED.call_once(|| {
        let usual = take_hook();
        set_hook(Box::new(move |panic| {
            if !QUIET.with(Cell::get) && !is_of_a_library(panic) {
                usual(panic);
            }
        }));
    });
}

/// Whether a library panics whose panics come back as sentences: the workbook library by its files, the table reader by
/// its threads, which belong to nobody else.
fn is_of_a_library(panic: &PanicHookInfo<'_>) -> bool {
    let thread = std::thread::current();
    thread.name().is_some_and(|name| name.starts_with("polars"))
        || panic.location().is_some_and(|place| place.file().contains("rust_xlsxwriter"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_its_cause_and_a_value_is_itself() {
        assert!(matches!(caught_in_silence(|| 7), Ok(7)));
        assert!(caught_in_silence(|| Vec::<u8>::new().remove(3)).is_err());
        assert!(!QUIET.with(Cell::get), "the thread stays silent");
        let cause = caught_in_silence(|| caught(|| panic!("no space"))).expect("caught within").expect_err("a panic");
        assert_eq!(cause.downcast_ref::<&str>(), Some(&"no space"));
    }
}
