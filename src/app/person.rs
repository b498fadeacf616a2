//! Who is asking, and the key of what is posted.

use crate::domain::access::{Deed, may};
use crate::domain::moment::Moment;
use crate::domain::party::{Actor, Numbering, Paper, Party};
use crate::domain::people::Account;

/// A signed-in person.
#[derive(Debug, Clone)]
pub struct Person {
    pub account: Account,
    /// `None` for an administrator.
    pub party: Option<Party>,
    /// Hash of the session's secret.
    pub session: String,
    /// The party's change counter at the time of the request.
    pub changes: i64,
}

impl Person {
    pub fn may(&self, deed: Deed) -> bool {
        may(self.account.role, deed)
    }

    pub fn actor(&self) -> Actor {
        self.account.actor(self.party.as_ref())
    }

    /// The party's id; empty for an administrator, which no case has.
    pub fn party_id(&self) -> &str {
        self.account.party.as_deref().unwrap_or_default()
    }

    pub fn zone(&self) -> &str {
        self.party.as_ref().map_or("UTC", |party| &party.zone)
    }

    pub fn numbering(&self) -> Numbering {
        self.party
            .as_ref()
            .map_or(Numbering::Iso3950, |party| party.numbering)
    }

    pub fn paper(&self) -> Paper {
        self.party.as_ref().map_or(Paper::A4, |party| party.paper)
    }

    /// `unix_ms` by the clock on this person's wall.
    pub fn moment(&self, unix_ms: i64) -> Moment {
        crate::clock::moment_in(unix_ms, self.zone())
    }
}

/// The key that a form carries: the same key is the same post, however often it arrives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PostKey(String);

impl PostKey {
    /// Any text of 8 to 100 visible characters: a token, and which of the page's forms it is.
    pub fn parse(text: &str) -> Option<PostKey> {
        let fits = (8..=100).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_graphic());
        fits.then(|| PostKey(text.to_owned()))
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}
