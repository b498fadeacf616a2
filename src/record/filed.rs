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
    /// The houses that have one row more by it, and the patient.
    pub rows_of: Vec<RowOf>,
}

/// That a house has a row, or a patient.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum RowOf {
    /// A case, as its office.
    CaseOfOffice(String),
    /// A case, as its lab.
    CaseOfLab(String),
    /// A patient's card.
    Card(String),
    /// A list, and of which kind.
    List(String, String),
    /// A set of usual values.
    UsualSet(String),
    /// A case, as the patient's for whom it is.
    CaseOfPatient(String),
}

/// A leaf's kind, and what is open of what stands under it.
#[derive(Deserialize)]
struct Whole<'a> {
    #[serde(borrow)]
    kind: Cow<'a, str>,
    #[serde(borrow)]
    case: Option<OfHouse<'a>>,
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
    patient: Option<OfHouse<'a>>,
    #[serde(borrow)]
    list: Option<OfHouse<'a>>,
    #[serde(borrow)]
    usual_set: Option<OfHouse<'a>>,
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
    number: Option<i64>,
    #[serde(borrow)]
    case: Option<Cow<'a, str>>,
    #[serde(borrow)]
    tag: Option<Cow<'a, str>>,
    #[serde(borrow)]
    alarm: Option<Cow<'a, str>>,
    version: Option<i64>,
    revision: Option<i64>,
}

/// The same of what a house has, with the house.
#[derive(Deserialize)]
struct OfHouse<'a> {
    #[serde(borrow)]
    id: Option<Cow<'a, str>>,
    #[serde(borrow)]
    number: Option<Cow<'a, str>>,
    #[serde(borrow)]
    code: Option<Cow<'a, str>>,
    #[serde(borrow)]
    office: Option<Cow<'a, str>>,
    #[serde(borrow)]
    lab: Option<Cow<'a, str>>,
    #[serde(borrow)]
    party: Option<Cow<'a, str>>,
    #[serde(borrow)]
    patient: Option<Cow<'a, str>>,
    #[serde(borrow)]
    list: Option<Cow<'a, str>>,
    version: Option<i64>,
}

impl OfHouse<'_> {
    /// A case has one leaf. Of a card, a list and a set the first version makes the row; one of before there was a record begins
    /// with a later one, and is counted for nobody.
    fn rows_of(&self, kind: LeafKind) -> Vec<RowOf> {
        let text = |word: &Option<Cow<'_, str>>| word.as_deref().map(str::to_owned);
        let is_first = self.version == Some(1);
        let rows = match kind {
            LeafKind::Case => [
                text(&self.office).map(RowOf::CaseOfOffice),
                text(&self.lab).map(RowOf::CaseOfLab),
                text(&self.patient).map(RowOf::CaseOfPatient),
            ],
            LeafKind::Patient if is_first => [text(&self.office).map(RowOf::Card), None, None],
            LeafKind::UsualSet if is_first => [text(&self.party).map(RowOf::UsualSet), None, None],
            LeafKind::List if is_first => {
                let list = text(&self.party).zip(text(&self.list));
                [
                    list.map(|(house, kind)| RowOf::List(house, kind)),
                    None,
                    None,
                ]
            }
            _ => [None, None, None],
        };
        rows.into_iter().flatten().collect()
    }
}

/// Reads it from the bytes of a leaf; none where they are no leaf of this form.
pub fn filed_under(body: &str) -> Option<FiledUnder> {
    let whole: Whole<'_> = serde_json::from_str(body).ok()?;
    let kind = LeafKind::from_word(&whole.kind)?;
    let (about, owner, rows_of) = match kind {
        LeafKind::Case | LeafKind::Patient | LeafKind::List | LeafKind::UsualSet => {
            let own = match kind {
                LeafKind::Case => whole.case,
                LeafKind::Patient => whole.patient,
                LeafKind::UsualSet => whole.usual_set,
                _ => whole.list,
            }?;
            let rows_of = own.rows_of(kind);
            let (about, owner) = match kind {
                LeafKind::Case => (own.number.clone()?, own.number?),
                LeafKind::Patient => versioned(own.code?, own.version?),
                _ => versioned(own.id?, own.version?),
            };
            (about, owner, rows_of)
        }
        _ => {
            let (about, owner) = keys(kind, whole)?;
            (about, owner, Vec::new())
        }
    };
    Some(FiledUnder {
        kind,
        about: about.into_owned(),
        owner: owner.into_owned(),
        rows_of,
    })
}

/// The keys of what is no row of a house that is counted.
fn keys(kind: LeafKind, whole: Whole<'_>) -> Option<(Cow<'_, str>, Cow<'_, str>)> {
    let open = match kind {
        LeafKind::Item => whole.item,
        LeafKind::Event => whole.event,
        LeafKind::Revision => whole.revision,
        LeafKind::Acknowledgement => whole.acknowledgement,
        LeafKind::Party => whole.party,
        LeafKind::Account => whole.account,
        LeafKind::Clearance => whole.clearance,
        LeafKind::Resumption => whole.resumption,
        LeafKind::Admission => whole.admission,
        LeafKind::Case | LeafKind::Patient | LeafKind::List | LeafKind::UsualSet => None,
    }?;
    Some(match kind {
        LeafKind::Item => (open.tag?, open.case?),
        LeafKind::Event => (open.id?, open.case?),
        LeafKind::Revision => versioned(open.case?, open.number?),
        LeafKind::Acknowledgement => versioned(open.case?, open.revision?),
        LeafKind::Clearance => versioned(open.alarm?, 1),
        LeafKind::Resumption | LeafKind::Admission => versioned(open.id?, 1),
        _ => versioned(open.id?, open.version?),
    })
}

fn versioned(key: Cow<'_, str>, version: i64) -> (Cow<'_, str>, Cow<'_, str>) {
    (Cow::Owned(format!("{key}/{version}")), key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_house_has_a_row_more_by_a_case_and_by_the_first_version_of_a_card_or_a_list() {
        let (office, lab) = ("o".to_owned(), "l".to_owned());
        for (body, about, rows) in [
            (
                r#"{"case":{"lab":"l","number":"C1","office":"o","patient":"P1"},"kind":"case","v":1}"#,
                "C1",
                vec![
                    RowOf::CaseOfOffice(office.clone()),
                    RowOf::CaseOfLab(lab.clone()),
                    RowOf::CaseOfPatient("P1".to_owned()),
                ],
            ),
            (
                r#"{"kind":"patient","patient":{"code":"P1","facts":{"committed":"00"},"office":"o","version":1},"v":1}"#,
                "P1/1",
                vec![RowOf::Card(office)],
            ),
            (
                r#"{"kind":"patient","patient":{"code":"P1","facts":{"committed":"00"},"office":"o","version":2},"v":1}"#,
                "P1/2",
                vec![],
            ),
            (
                r#"{"kind":"list","list":{"id":"a","list":"moulds","party":"l","version":1},"v":1}"#,
                "a/1",
                vec![RowOf::List(lab, "moulds".to_owned())],
            ),
            (
                r#"{"kind":"usual_set","usual_set":{"id":"a","party":"o","version":1},"v":1}"#,
                "a/1",
                vec![RowOf::UsualSet("o".to_owned())],
            ),
            (
                r#"{"kind":"usual_set","usual_set":{"id":"a","party":"o","version":2},"v":1}"#,
                "a/2",
                vec![],
            ),
            (
                r#"{"kind":"revision","revision":{"case":"C1","lab":"l","number":3,"office":"o"},"v":1}"#,
                "C1/3",
                vec![],
            ),
        ] {
            let filed = filed_under(body).unwrap();
            assert_eq!(
                (filed.about.as_str(), filed.rows_of),
                (about, rows),
                "{body}"
            );
        }
        assert_eq!(
            filed_under(r#"{"case":{"lab":"l","office":"o"},"kind":"case","v":1}"#),
            None
        );
    }
}
