//! A line of a list whose subject has a page of its own.

use std::ops::Deref;

/// What `app` says of something, with the address of its page.
pub struct Linked<T> {
    pub path: String,
    line: T,
}

impl<T> Linked<T> {
    /// A line that leads to `path`.
    pub fn new(path: String, line: T) -> Linked<T> {
        Linked { path, line }
    }
}

impl<T> Deref for Linked<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.line
    }
}
