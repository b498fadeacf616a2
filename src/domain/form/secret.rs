//! A password as it was typed: it is compared and hashed, and shown nowhere.

use std::fmt;

/// A typed password.
#[derive(Clone, PartialEq, Eq, Default)]
pub struct Secret(String);

impl Secret {
    pub fn new(typed: impl Into<String>) -> Secret {
        Secret(typed.into())
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A log that shows a command shows no password.
impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret")
    }
}
