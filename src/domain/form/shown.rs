//! Which version of a thing a page has shown: whoever saves an older one is told so.

use super::command::command;
use super::spec::Kind;

command! {
    /// What such a form carries along, besides its fields.
    ShownVersion;
    version: i64 = Kind::Hidden, "", "";
}
