//! Under which kind and keys a leaf is found, as its own bytes say.
//!
//! Beside the bytes that are hashed stand the kind, the key of what they are about, and the case or row they are of, so
//! that a leaf can be looked up. Nothing hashes those, and all of them follow from what a leaf keeps open.

use super::entry::LeafKind;
use serde::Deserialize;
use std::borrow::Cow;

/// What a leaf is found by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FiledUnder {
    pub kind: LeafKind,
    /// The key of the row that it is about.
    pub about: String,
    /// The number of the case that it is of, or the key of a row of reference data.
    pub owner: String,
}

/// A leaf's kind, and what is open of what stands under it.
#[derive(Deserialize)]
struct Whole<'a> {
    #[serde(borrow)]
    kind: Cow<'a, str>,
    #[serde(borrow)]
    case: Option<Open<'a>>,
    #[serde(borrow)]
    item: Option<Open<'a>>,
    #[serde(borrow)]
    event: Option<Open<'a>>,
    #[serde(borrow)]
    revision: Option<Open<'a>>,
    #[serde(borrow)]
    acknowledgement: Option<Open<'a>>,
    #[serde(borrow)]
    party: Option<Open<'a>>,
    #[serde(borrow)]
    account: Option<Open<'a>>,
    #[serde(borrow)]
    patient: Option<Open<'a>>,
    #[serde(borrow)]
    list: Option<Open<'a>>,
    #[serde(borrow)]
    usual_set: Option<Open<'a>>,
    #[serde(borrow, rename = "settlement")]
    clearance: Option<Open<'a>>,
    #[serde(borrow)]
    resumption: Option<Open<'a>>,
    #[serde(borrow)]
    admission: Option<Open<'a>>,
}

/// The keys among it.
#[derive(Deserialize, Default)]
struct Open<'a> {
    #[serde(borrow)]
    id: Option<Cow<'a, str>>,
    #[serde(borrow)]
    number: Option<Word<'a>>,
    #[serde(borrow)]
    case: Option<Cow<'a, str>>,
    #[serde(borrow)]
    tag: Option<Cow<'a, str>>,
    #[serde(borrow)]
    code: Option<Cow<'a, str>>,
    #[serde(borrow)]
    alarm: Option<Cow<'a, str>>,
    version: Option<i64>,
    revision: Option<i64>,
}

/// The number of a case is a word, that of a revision a number.
#[derive(Deserialize)]
#[serde(untagged)]
enum Word<'a> {
    Number(i64),
    #[serde(borrow)]
    Text(Cow<'a, str>),
}

/// Reads it from the bytes of a leaf; none where they are no leaf of this form.
pub fn filed_under(body: &str) -> Option<FiledUnder> {
    let whole: Whole<'_> = serde_json::from_str(body).ok()?;
    let kind = LeafKind::from_word(&whole.kind)?;
    let open = match kind {
        LeafKind::Case => whole.case,
        LeafKind::Item => whole.item,
        LeafKind::Event => whole.event,
        LeafKind::Revision => whole.revision,
        LeafKind::Acknowledgement => whole.acknowledgement,
        LeafKind::Party => whole.party,
        LeafKind::Account => whole.account,
        LeafKind::Patient => whole.patient,
        LeafKind::List => whole.list,
        LeafKind::UsualSet => whole.usual_set,
        LeafKind::Clearance => whole.clearance,
        LeafKind::Resumption => whole.resumption,
        LeafKind::Admission => whole.admission,
    }?;
    let (about, owner) = match kind {
        LeafKind::Case => match open.number? {
            Word::Text(number) => (number.clone(), number),
            Word::Number(_) => return None,
        },
        LeafKind::Item => (open.tag?, open.case?),
        LeafKind::Event => (open.id?, open.case?),
        LeafKind::Revision => match open.number? {
            Word::Number(number) => versioned(open.case?, number),
            Word::Text(_) => return None,
        },
        LeafKind::Acknowledgement => versioned(open.case?, open.revision?),
        LeafKind::Party | LeafKind::Account | LeafKind::List | LeafKind::UsualSet => {
            versioned(open.id?, open.version?)
        }
        LeafKind::Patient => versioned(open.code?, open.version?),
        LeafKind::Clearance => versioned(open.alarm?, 1),
        LeafKind::Resumption | LeafKind::Admission => versioned(open.id?, 1),
    };
    Some(FiledUnder {
        kind,
        about: about.into_owned(),
        owner: owner.into_owned(),
    })
}

fn versioned(key: Cow<'_, str>, version: i64) -> (Cow<'_, str>, Cow<'_, str>) {
    (Cow::Owned(format!("{key}/{version}")), key)
}
