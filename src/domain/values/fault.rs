//! What is wrong with one field, in words for the person who typed it.

/// A message beside a form field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The form key, such as `vertical.rest_mm`.
    pub key: String,
    pub message: String,
}

impl Fault {
    pub fn new(key: impl Into<String>, message: impl Into<String>) -> Fault {
        Fault {
            key: key.into(),
            message: message.into(),
        }
    }
}
