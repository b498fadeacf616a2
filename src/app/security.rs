//! What whoever watches over an installation has to hear of: who came in and who was turned away, and who changed
//! who may come in. It has a place of its own in the log, which no filter takes out, and says from which address.
//! What was typed as a name is written only where there is such an account: many type a password there.

use super::Person;
use super::visit::Visit;
use crate::domain::people::account::Account;
use crate::domain::values::words_of;

/// Where these lines stand in the log.
pub const SECURITY: &str = "vestibule::security";

words_of! {
    /// What happened, in the order of OWASP ASVS 5.0.0, V16.3: signing in, what was refused, what was changed.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Happened {
        SignedIn = "signed in",
        WrongPassword = "wrong password",
        ShutName = "tried while too many passwords were wrong",
        SignedOut = "signed out",
        SignedOutEverywhere = "signed out everywhere",
        SessionEnded = "ended a session",
        RefusedByRole = "asked for what is not for the role",
        RefusedByCode = "asked by a code for what a code is not enough for",
        RefusedObject = "asked for what is not there, or not theirs",
        RefusedOrigin = "sent from another site",
        RefusedHost = "asked under another name",
        Invited = "made a one-time link",
        LinkRevoked = "made a one-time link void",
        NewPasswordLink = "made a link for a new password",
        Joined = "came in by a one-time link",
        PasswordChanged = "changed the password",
        ShutOut = "shut somebody out",
        LetInAgain = "let somebody in again",
        CameByCode = "came in by a code",
        WrongCode = "wrong code",
        CodeSet = "set a code",
        CodeDropped = "took the code away",
        DeviceAllowed = "allowed a device at the bench",
        DeviceTakenBack = "took a device at the bench back",
        FeedMade = "made an address for a calendar",
        FeedEnded = "ended the address for a calendar",
        WrongFeed = "asked for a calendar by an address that opens none",
        ForeignNote = "sent a checkpoint of this record's name that its key has not signed",
    }
}

/// Whether it is what an attack looks like.
fn is_refusal(what: Happened) -> bool {
    matches!(
        what,
        Happened::WrongPassword
            | Happened::ShutName
            | Happened::WrongCode
            | Happened::RefusedByCode
            | Happened::RefusedByRole
            | Happened::RefusedObject
            | Happened::RefusedOrigin
            | Happened::RefusedHost
            | Happened::WrongFeed
            | Happened::ForeignNote
    )
}

/// Writes it down: by whom, as far as there is such an account; from where; and what it is about, in words of ours.
pub fn happened(what: Happened, by: Option<&Account>, from: &Visit, about: &str) {
    let (login, account) = by.map_or(("", ""), |by| (by.login.as_str(), by.id.as_str()));
    let (words, address) = (what.shown(), from.address_text());
    let address = address.as_str();
    match is_refusal(what) {
        true => tracing::warn!(target: SECURITY, address, login, account, about, "{words}"),
        false => tracing::info!(target: SECURITY, address, login, account, about, "{words}"),
    }
}

impl Person {
    /// The same of somebody who is signed in.
    pub(super) fn note(&self, what: Happened, about: &str) {
        happened(what, Some(&self.account), &self.visit, about);
    }
}
