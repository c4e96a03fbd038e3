//! Calls into readers of other people's making that panic on damaged files: the panic is caught, and says nothing on
//! the terminal, since the caller says it in a sentence. An abort cannot be caught; what could cause one is refused
//! before.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Once;

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}

/// What `read` gives; `None` when it panics.
pub(super) fn unwound<T>(read: impl FnOnce() -> T) -> Option<T> {
    static HOOKED: Once = Once::new();
    HOOKED.call_once(|| {
        let usual = take_hook();
        set_hook(Box::new(move |panic| {
            // Threads of the table reader belong to nobody else.
            let thread = std::thread::current();
            let foreign = thread.name().is_some_and(|name| name.starts_with("polars"));
            if !foreign && !QUIET.with(Cell::get) {
                usual(panic);
            }
        }));
    });
    let before = QUIET.with(|quiet| quiet.replace(true));
    let result = catch_unwind(AssertUnwindSafe(read));
    QUIET.with(|quiet| quiet.set(before));
    result.ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_nothing_and_a_value_is_itself() {
        assert_eq!(unwound(|| 7), Some(7));
        assert_eq!(unwound(|| Vec::<u8>::new().remove(3)), None);
    }
}
