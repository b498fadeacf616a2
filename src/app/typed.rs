//! A form as it was typed, right or wrong.

use std::collections::BTreeMap;

/// What stands in a form: key to text.
pub type Typed = BTreeMap<String, String>;
