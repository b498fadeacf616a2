//! Who is asking, and the key of what is posted.

use super::error::AppError;
use super::visit::Visit;
use crate::domain::form::Raw;
use crate::domain::people::access::{Permission, by_code, is_of_no_case, may};
use crate::domain::people::account::Account;
use crate::domain::people::bench_code::AtDevice;
use crate::domain::people::party::{Actor, Paper, Party};
use crate::domain::values::digest::hex;
use crate::domain::values::ids::PartyId;
use crate::domain::values::moment::Moment;
use crate::domain::values::tooth::Numbering;
use crate::store::StoreError;
use sha2::{Digest, Sha256};

/// Why nothing of a case is shown to somebody who is signed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoCases {
    /// The newest checkpoint is not signed by the record's key.
    AnotherKey,
    /// The record does not prove whose account it is.
    Account,
}

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
    /// When the password was last typed in this session; 0 is never.
    pub proved_ms: i64,
    /// The record's newest checkpoint at the time of the request, a signed note; empty before the first leaf.
    pub checkpoint: String,
    /// How many alarms about the record are open.
    pub alarms: i64,
    /// How many were let in of whom this person has not read yet.
    pub unread: i64,
    /// Where the request comes from.
    pub visit: Visit,
    /// The device, where this person came in by a code: for entries at the bench, and nothing that signs.
    pub by_code: Option<AtDevice>,
    /// Why nothing of a case is shown now; none for most.
    pub no_cases: Option<NoCases>,
}

impl Person {
    /// Somebody who has not signed in, for what the program or a test does in this name.
    pub fn without_session(account: Account, party: Option<Party>) -> Person {
        Person {
            account,
            party,
            session: String::new(),
            changes: 0,
            proved_ms: 0,
            checkpoint: String::new(),
            alarms: 0,
            unread: 0,
            visit: Visit::default(),
            by_code: None,
            no_cases: None,
        }
    }

    pub fn may(&self, permission: Permission) -> bool {
        may(self.account.role, permission)
    }

    /// Whether nothing more is asked for it: whoever came in by a code may less until the password is typed.
    pub fn may_now(&self, permission: Permission) -> bool {
        self.may(permission) && (self.by_code.is_none() || by_code(permission))
    }

    /// Whether this person works at a device at the bench.
    pub fn is_at_device(&self) -> bool {
        self.visit.device.is_some() && self.may(Permission::WorkAtBench)
    }

    /// Refuses what nobody is to see or do while nothing can be proved. To sign in and out, to look at the record, and, for
    /// an administrator, to look after people, is open all the same.
    ///
    /// # Errors
    /// That the record is another one.
    pub fn refuse_if_no_cases(&self, permission: Permission) -> Result<(), AppError> {
        match self.no_cases {
            Some(NoCases::AnotherKey) if !is_of_no_case(permission) => Err(AppError::AnotherKey),
            Some(NoCases::Account)
                if !is_of_no_case(permission) || permission == Permission::ManageInstallation =>
            {
                let why = "the record does not prove whose account this is".to_owned();
                Err(StoreError::Forked(why).into())
            }
            _ => Ok(()),
        }
    }

    pub fn actor(&self) -> Actor {
        self.account.actor(self.party.as_ref())
    }

    /// Name and licence as a prescription would be signed by this person; whoever may not sign prescribes
    /// nothing, and a draft printed by one says so.
    pub fn prescriber(&self) -> (String, String) {
        if self.may(Permission::Sign) {
            (self.account.name.clone(), self.account.licence.clone())
        } else {
            ("not signed".to_owned(), String::new())
        }
    }

    /// The party's id; empty for an administrator, which no case has.
    pub fn party_id(&self) -> &PartyId {
        self.account.party.as_ref().unwrap_or(PartyId::none())
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

/// The key that a form carries: the same key with the same content is the same post, however often it
/// arrives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PostKey(String);

impl PostKey {
    /// What a form calls it.
    pub const FIELD: &str = "post_key";

    /// Any text of 8 to 100 visible characters: a token, and which of the page's forms it is.
    pub fn parse(text: &str) -> Option<PostKey> {
        let fits = (8..=100).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_graphic());
        fits.then(|| PostKey(text.to_owned()))
    }

    /// The key of this very post: bound to where it goes and what it says. Whoever goes back in the
    /// browser, changes the form and sends it again carries the old key with other content, and that is
    /// a new post. Passwords and codes stay out, for a fast hash of one could be guessed.
    pub fn bound_to(&self, path: &str, typed: &Raw, is_secret: fn(&str) -> bool) -> PostKey {
        let mut hash = Sha256::new();
        let mut take = |text: &str| {
            hash.update((text.len() as u64).to_be_bytes());
            hash.update(text.as_bytes());
        };
        take(path);
        let said = |key: &str| key != PostKey::FIELD && !is_secret(key);
        for (key, text) in typed.iter().filter(|(key, _)| said(key)) {
            take(key);
            take(text);
        }
        PostKey(format!("{} {}", self.0, hex(&hash.finalize())))
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bound(path: &str, fields: &[(&str, &str)]) -> PostKey {
        let typed = fields
            .iter()
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect();
        let key = PostKey::parse("key-00001").unwrap();
        key.bound_to(path, &typed, |key| key.ends_with("password"))
    }

    #[test]
    fn a_post_is_the_same_by_key_place_and_content_and_its_password_is_no_part_of_it() {
        let first = bound("/a", &[("note", "x"), ("post_key", "1"), ("password", "p")]);
        assert_eq!(first, bound("/a", &[("note", "x"), ("new_password", "q")]));
        assert!(first.as_str().starts_with("key-00001 "));
        for other in [
            bound("/b", &[("note", "x")]),
            bound("/a", &[("note", "y")]),
            bound("/a", &[("notex", "")]),
            bound("/a", &[("note", "x"), ("more", "")]),
        ] {
            assert_ne!(first, other);
        }
    }
}
