//! The password under what one signs or vouches for.

use super::command::command;
use super::secret::Secret;
use super::spec::PASSWORD;

command! {
    /// Whether it is wanted hangs on what it stands under, and on when it was last typed.
    Proof;
    password: Secret = PASSWORD, "Your password again", "";
}
