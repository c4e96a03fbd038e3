//! Calls into readers of other people's making that panic on damaged files: the caller says it in a sentence.

use crate::hush::caught_in_silence;

/// What `read` gives; `None` when it panics.
pub(super) fn unwound<T>(read: impl FnOnce() -> T) -> Option<T> {
    caught_in_silence(read).ok()
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
