//! The entries of the record: which facts become leaves, in what form, and what of them stays open.
//!
//! What is not named as open is committed: a field that is added later is closed until somebody opens it here.

use super::leaf::{LeafError, Mismatch, Salt, Salts, Sealed, matches, seal};
use crate::domain::custody::Event;
use crate::domain::custody::case::Case;
use crate::domain::custody::events::KINDS;
use crate::domain::custody::item::Item;
use crate::domain::prescription::revision::{Acknowledgement, Revision};
use crate::domain::values::ids::{CaseNumber, PartyId};
use serde_json::{Value, json};
use strum::{EnumString, IntoStaticStr};

/// The form of leaf that is written now.
pub const LEAF_FORM: u32 = 1;

/// What a leaf is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, EnumString, IntoStaticStr)]
#[strum(serialize_all = "snake_case", const_into_str)]
pub enum LeafKind {
    /// A case was opened: whose, and between whom.
    Case,
    /// A thing has a tag from now on.
    Item,
    /// A fact of custody.
    Event,
    /// A signed prescription.
    Revision,
    /// The lab's word that it works to a revision.
    Acknowledgement,
    /// An office or a laboratory, one version of it.
    Party,
    /// Somebody's account, one version of it.
    Account,
    /// A patient's card, one version of it.
    Patient,
    /// A list that a party has loaded, one version of it.
    List,
    /// Usual values of a house, one version of a set.
    UsualSet,
    /// An alarm, and the sentence that clears it.
    #[strum(serialize = "settlement")]
    Clearance,
    /// The record goes on by somebody's word, although something was missing.
    Resumption,
    /// Somebody was let in, or was made a way in for.
    Admission,
}

impl LeafKind {
    /// The word in the leaf.
    pub const fn word(self) -> &'static str {
        self.into_str()
    }

    /// Reads the word in a leaf.
    pub fn from_word(word: &str) -> Option<LeafKind> {
        word.parse().ok()
    }

    /// The places whose words and codes stay readable; `*` is any place in a list.
    fn open_places(self) -> &'static [&'static str] {
        match self {
            LeafKind::Case => &["number", "office", "lab", "patient", "arches"],
            LeafKind::Item => &["tag", "case", "kind", "arch"],
            LeafKind::Event => &[],
            LeafKind::Revision => &["case", "signer", "office", "lab"],
            LeafKind::Acknowledgement => &["case", "account", "party"],
            LeafKind::Party => &["id", "side", "paper", "numbering", "profile"],
            LeafKind::Account => &["id", "party", "role", "admission"],
            LeafKind::Patient => &["code", "office"],
            LeafKind::List => &["id", "party", "list", "account"],
            LeafKind::UsualSet => &["id", "party", "account"],
            LeafKind::Clearance => &["alarm", "why", "party", "raised_by", "account"],
            LeafKind::Resumption => &["id", "why", "account"],
            LeafKind::Admission => &["id", "what", "party", "role", "account", "link", "by"],
        }
    }

    /// `kind` is the word of an event's kind.
    fn is_open(self, kind: &str, path: &str) -> bool {
        let below = |path: &str| {
            let places = self.open_places();
            match self {
                LeafKind::Event => is_open_in_event(kind, path),
                _ => places.iter().any(|place| is_at(path, place)),
            }
        };
        path == "/kind"
            || path
                .strip_prefix('/')
                .and_then(|path| path.strip_prefix(self.word())?.strip_prefix('/'))
                .is_some_and(below)
    }
}

/// What stays readable of an event of any kind; what of each kind, stands with the kind.
const EVENT_OPEN: &[&str] = &[
    "id",
    "case",
    "by/account",
    "by/role",
    "by/party",
    "by_code/device",
    "what/kind",
];

/// Whether a place below an event of this kind stays readable.
fn is_open_in_event(kind: &str, path: &str) -> bool {
    let kinds = KINDS.iter().filter(|(word, _, _)| *word == kind);
    let mut places = kinds.flat_map(|(_, open, _)| *open);
    let below = path.strip_prefix("what/");
    EVENT_OPEN.iter().any(|place| is_at(path, place))
        || below.is_some_and(|path| places.any(|place| is_at(path, place)))
}

fn is_at(path: &str, place: &str) -> bool {
    let (mut steps, mut wanted) = (path.split('/'), place.split('/'));
    loop {
        match (steps.next(), wanted.next()) {
            (None, None) => return true,
            (Some(step), Some("*")) if step.bytes().all(|byte| byte.is_ascii_digit()) => {}
            (Some(step), Some(wanted)) if step == wanted => {}
            _ => return false,
        }
    }
}

/// The key by which the leaf of a revision is found, and that of its acknowledgement.
pub fn about_revision(case: &CaseNumber, number: i64) -> String {
    format!("{}/{number}", case.as_str())
}

/// A fact with all its texts, in the form in which it is sealed and later compared with its leaf.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub kind: LeafKind,
    pub value: Value,
}

impl Entry {
    /// An entry of a kind; the body is what stands under the kind's word. What is kept as JSON is compared as
    /// it is kept: its type may have grown since.
    pub fn new(kind: LeafKind, body: Value) -> Entry {
        let value = json!({ "v": LEAF_FORM, "kind": kind.word(), kind.word(): body });
        Entry { kind, value }
    }

    /// What of a case never changes.
    pub fn case(case: &Case) -> Entry {
        let body = json!({
            "number": case.number.as_str(),
            "office": case.office,
            "lab": case.lab,
            "patient": case.patient.as_str(),
            "arches": case.arches.word(),
            "opened_ms": case.opened_ms,
        });
        Entry::new(LeafKind::Case, body)
    }

    pub fn item(item: &Item) -> Result<Entry, LeafError> {
        Ok(Entry::new(LeafKind::Item, serde_json::to_value(item)?))
    }

    pub fn event(event: &Event) -> Result<Entry, LeafError> {
        Ok(Entry::new(LeafKind::Event, serde_json::to_value(event)?))
    }

    /// The whole document is one text under one commitment: it stays or goes as a whole. Name and licence of
    /// the signer are texts of their own, since they are kept beside it.
    pub fn revision(revision: &Revision, office: &PartyId, lab: &PartyId) -> Entry {
        let signature = &revision.signature;
        let body = json!({
            "case": revision.case.as_str(),
            "number": revision.number,
            "office": office,
            "lab": lab,
            "signer": signature.account,
            "name": signature.name,
            "licence": signature.licence,
            "meaning": signature.meaning,
            "at": signature.at,
            "document": revision.document,
        });
        Entry::new(LeafKind::Revision, body)
    }

    pub fn acknowledgement(case: &CaseNumber, party: &PartyId, word: &Acknowledgement) -> Entry {
        let body = json!({
            "case": case.as_str(),
            "revision": word.revision,
            "party": party,
            "account": word.account,
            "name": word.name,
            "at": word.at,
        });
        Entry::new(LeafKind::Acknowledgement, body)
    }

    pub fn seal(&self, salts: &mut dyn Iterator<Item = Salt>) -> Result<Sealed, LeafError> {
        let kind = self.value.pointer("/event/what/kind");
        let kind = kind.and_then(Value::as_str).unwrap_or_default();
        let is_open = |path: &str| self.kind.is_open(kind, path);
        seal(self.value.clone(), &is_open, salts)
    }

    /// See [`matches`].
    pub fn matches(&self, bytes: &[u8], salts: &Salts) -> Result<Vec<String>, Mismatch> {
        matches(bytes, &self.value, salts)
    }
}
