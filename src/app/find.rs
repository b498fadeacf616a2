//! The scan box: a case number, a patient code, a tag or the address of a handoff leads to its page; any other text
//! is looked for in numbers, houses, seals, tracking numbers and what is ordered, the code of a mould of a list in force as a
//! whole. In a lab a pan, a tag and a case number lead to the bench.

use super::case_work::CaseWork;
use super::recorded::reference::{held_houses, own_card};
use super::scan::not_known;
use super::see_lists::{ListedMould, moulds_called};
use super::standing_in::standing_in;
use super::whose_case::{keep_own, own_case};
use super::{App, AppError, Person, agenda, passed_to_us, receive};
use crate::domain::custody::agenda::{WhoseTurn, as_searched, mould_key};
use crate::domain::custody::bench::ScanWord;
use crate::domain::custody::case::Case;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::values::ids::{
    CaseNumber, Code, CodeError, CodeKind, HandoffId, PartyId, PatientCode, Tag, revision_in,
};
use crate::store::agenda::{self as lists, Part, Sought};
use crate::store::{Connection, custody};
use std::collections::BTreeSet;

/// Where the code leads.
#[derive(Debug, Clone)]
pub enum Destination {
    /// Nothing that has this code: cases in which the words occur.
    Cases(FoundCases),
    Case(CaseNumber),
    /// A sheet that is superseded: the page of its revision says so.
    Sheet(CaseNumber, i64),
    /// A sheet of before its code named the revision, where another than the first is in force: nobody knows which it is.
    SheetUnknown(CaseNumber),
    /// Of that case work is passed on to this laboratory, and nothing else is told of it.
    PassedOn(CaseNumber),
    Patient(PatientCode),
    Item(Tag),
    /// The bench of an open case of this lab, with the item that was scanned.
    Bench(CaseNumber, Option<Tag>),
    /// Its identifier, as its page's address has it.
    Handoff(HandoffId),
}

/// Cases in which words occur.
#[derive(Debug, Clone, Default)]
pub struct FoundCases {
    /// What is looked for, where lists in force have a mould of that code.
    pub moulds: Vec<ListedMould>,
    /// Whether the cases are those that order it by the revision in force, and no others.
    pub order_it: bool,
    /// The open ones first.
    pub cases: Vec<Case>,
    /// Whether there are more than are shown.
    pub more: bool,
    /// What is said of those that cannot be read; empty for most.
    pub unreadable: String,
}

impl FoundCases {
    fn is_empty(&self) -> bool {
        self.cases.is_empty() && self.unreadable.is_empty() && self.moulds.is_empty()
    }
}

/// Under this key comes what is typed or scanned to be looked up.
pub const LOOKED_UP: &str = "q";

fn no(sentence: impl Into<String>) -> AppError {
    AppError::field(LOOKED_UP, sentence.into())
}

fn wrong(error: CodeError) -> AppError {
    no(error.to_string())
}

/// Looks a typed or scanned code up. A mistyped code says so; one that is not one's own is not known here.
pub async fn find(app: &App, person: &Person, typed: &str) -> Result<Destination, AppError> {
    if let Some(id) = handoff_in(typed).map(HandoffId::new) {
        return match receive::see(app, person, &id).await {
            Ok(_) => Ok(Destination::Handoff(id)),
            Err(AppError::NotFound) => Err(no("This handoff is not known here.")),
            Err(other) => Err(other),
        };
    }
    if ScanWord::parse(typed).is_some() {
        return Err(no(
            "Scan the pan or the sheet first: this is a word for a step at the bench.",
        ));
    }
    let code = match Code::parse_any(typed) {
        Ok(code) => code,
        Err(why) => {
            if let Some(case) = in_pan(app, person, typed).await? {
                return Ok(Destination::Bench(case, None));
            }
            let found = search(app, person, typed).await?;
            return match found.is_empty() {
                true => Err(no(in_vain(typed, why))),
                false => Ok(Destination::Cases(found)),
            };
        }
    };
    let sheet = match revision_in(typed) {
        Some(revision) => SheetScanned::Revision(revision),
        None if is_of_a_sheet(typed) => SheetScanned::Unknown,
        None => SheetScanned::No,
    };
    match lookup(app, person, &code, sheet).await {
        Err(AppError::NotFound) => Err(no(not_known(&code))),
        found => found,
    }
}

/// The open case of this lab that stands in a pan of this name.
async fn in_pan(app: &App, person: &Person, typed: &str) -> Result<Option<CaseNumber>, AppError> {
    if !person.may(Permission::WorkAtBench) {
        return Ok(None);
    }
    let typed = typed.trim();
    let pan = typed
        .get(..4)
        .filter(|word| word.eq_ignore_ascii_case("pan "));
    let pan = pan
        .and_then(|word| typed.get(word.len()..))
        .unwrap_or(typed);
    let mut conn = app.store.read_at_once().await?;
    standing_in(app, &mut conn, person, pan).await
}

/// Where a case of one's own leads: in the lab, while it is open, to its bench.
fn to_case(person: &Person, case: &Case, item: Option<Tag>) -> Destination {
    match (person.may(Permission::WorkAtBench) && !case.closed, item) {
        (true, item) => Destination::Bench(case.number.clone(), item),
        (false, Some(tag)) => Destination::Item(tag),
        (false, None) => Destination::Case(case.number.clone()),
    }
}

/// Cases shown of a search.
const CASES_MOST: usize = 50;
/// Shorter texts occur everywhere.
const SHORTEST: usize = 2;
/// Houses of which a search lists the cases.
const HOUSES_MOST: usize = 3;

/// Labs whose lists are asked for a mould.
const LABS_MOST: usize = 8;

/// The houses that one's own works with, by name.
type HousesByName = [(PartyId, String)];

/// The moulds that are called so: in the lab's own list, or in those of the labs that an office has cases with.
async fn moulds(
    app: &App,
    (person, houses): (&Person, &HousesByName),
    typed: &str,
) -> Result<Vec<ListedMould>, AppError> {
    let labs = match agenda::side(person)? {
        Side::Lab => vec![(person.party_id().clone(), None)],
        Side::Office => {
            let labs = houses.iter().take(LABS_MOST).cloned();
            labs.map(|(lab, name)| (lab, Some(name))).collect()
        }
    };
    let mut conn = app.store.read_at_once().await?;
    moulds_called(app, &mut conn, labs, typed).await
}

/// The cases that order the mould that is called so; where there is none, those in which the words occur.
async fn search(app: &App, person: &Person, typed: &str) -> Result<FoundCases, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let own = (agenda::side(person)?, person.party_id());
    let houses = held_houses(app, &mut conn, own).await?;
    drop(conn);
    let of = (person, houses.as_slice());
    let moulds = moulds(app, of, typed).await?;
    let ordered = match moulds.first() {
        Some(mould) => with_words(app, of, vec![mould_key(&mould.code)]).await?,
        None => FoundCases::default(),
    };
    let order_it = !ordered.cases.is_empty();
    let words = typed.split_whitespace().map(as_searched);
    let words = words.filter(|word| word.chars().count() >= SHORTEST);
    let found = match order_it {
        true => ordered,
        false => with_words(app, of, words.collect()).await?,
    };
    Ok(FoundCases {
        moulds,
        order_it,
        ..found
    })
}

/// Cases in which every one of the words occurs, and those of a house that is called so.
async fn with_words(
    app: &App,
    (person, houses): (&Person, &HousesByName),
    words: Vec<String>,
) -> Result<FoundCases, AppError> {
    let (side, party) = (agenda::side(person)?, person.party_id());
    if words.is_empty() {
        return Ok(FoundCases::default());
    }
    // One more than is shown tells that there are more.
    let most = i64::try_from(CASES_MOST + 1).unwrap_or(i64::MAX);
    let mut conn = app.store.read_at_once().await?;
    let mut found = lists::found(&mut conn, (side, party, false), &words, most).await?;
    let called_so = houses.iter().filter(|(_, name)| {
        let name = as_searched(name);
        words.iter().all(|word| name.contains(word))
    });
    for (house, _) in called_so.take(HOUSES_MOST) {
        for &turn in WhoseTurn::ALL {
            let asked = Sought {
                house: Some(house),
                ..Sought::open(side, party, turn)
            };
            let part = Part {
                limit: most,
                offset: 0,
            };
            found.append(lists::listed(&mut conn, asked, part).await?);
        }
    }
    let closed = lists::found(&mut conn, (side, party, true), &words, most);
    found.append(closed.await?);
    let (mut cases, mut seen) = (found.cases, BTreeSet::new());
    cases.retain(|case| seen.insert(case.number.clone()));
    drop(conn);
    let more = cases.len() > CASES_MOST;
    cases.truncate(CASES_MOST);
    keep_own(app, party, &mut cases).await?;
    // What waits for somebody first, by its day.
    cases.sort_by_key(|case| {
        let day = case.agenda.of(side).day;
        (case.closed, day.is_none(), day, case.number.clone())
    });
    Ok(FoundCases {
        cases,
        more,
        unreadable: agenda::unreadable_words(&found.unreadable),
        ..FoundCases::default()
    })
}

/// What is said where nothing is found: what is wrong with a code, or that the words are nowhere.
fn in_vain(typed: &str, why: CodeError) -> String {
    let letters = typed.chars().filter(|sign| sign.is_alphanumeric()).count();
    let is_one_word = typed.split_whitespace().count() <= 1;
    if is_one_word && (letters == 0 || letters >= CODE_LENGTH) {
        return why.to_string();
    }
    let nowhere = format!(
        "No case here has “{}” in its number, seals, tracking numbers or order, and no office or lab is called so.",
        typed.trim()
    );
    let has_digit = typed.chars().any(|sign| sign.is_ascii_digit());
    match is_one_word && has_digit {
        true => format!("{nowhere} {why}"),
        false => nowhere,
    }
}

/// Signs of a whole code.
const CODE_LENGTH: usize = 9;

/// What of a sheet was scanned with the code of a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum SheetScanned {
    /// The revision that stood behind the code.
    Revision(i64),
    /// The address of a sheet, without its revision.
    Unknown,
    /// The code alone.
    No,
}

/// Whether it is the address that a sheet's code holds.
fn is_of_a_sheet(typed: &str) -> bool {
    let mut parts = typed.trim().trim_end_matches('/').rsplit('/');
    parts
        .nth(1)
        .is_some_and(|room| room.eq_ignore_ascii_case("c"))
}

/// Where the number of another's case leads.
async fn passed_on(
    app: &App,
    conn: &mut Connection,
    person: &Person,
    number: CaseNumber,
) -> Result<Destination, AppError> {
    let own = passed_to_us::of_case_on(app, conn, person, &number).await?;
    match own.is_empty() {
        true => Err(AppError::NotFound),
        false => Ok(Destination::PassedOn(number)),
    }
}

async fn lookup(
    app: &App,
    person: &Person,
    code: &Code,
    sheet: SheetScanned,
) -> Result<Destination, AppError> {
    let mut conn = app.store.read_at_once().await?;
    match code.kind() {
        CodeKind::Case => {
            let number = CaseNumber::parse(code.as_str()).map_err(wrong)?;
            let case = match own_case(app, &mut conn, person, &number).await {
                Err(AppError::NotFound) => return passed_on(app, &mut conn, person, number).await,
                found => found?,
            };
            Ok(match sheet {
                SheetScanned::Revision(sheet) if (1..case.revision).contains(&sheet) => {
                    Destination::Sheet(number, sheet)
                }
                SheetScanned::Unknown if case.revision > 1 => Destination::SheetUnknown(number),
                _ => to_case(person, &case, None),
            })
        }
        CodeKind::Patient => {
            let patient = PatientCode::parse(code.as_str()).map_err(wrong)?;
            if !person.may(Permission::KeepPatients) {
                return Err(AppError::NotFound);
            }
            own_card(app, &mut conn, person.party_id(), &patient).await?;
            Ok(Destination::Patient(patient))
        }
        CodeKind::Item => {
            let tag = Tag::parse(code.as_str()).map_err(wrong)?;
            let item = custody::find_item(&mut conn, &tag)
                .await?
                .ok_or(AppError::NotFound)?;
            let work = CaseWork::load(app, &mut conn, person, &item.case).await?;
            // What is there no more is nothing to be worked on, and its own page says what became of it.
            let is_there = work.state.item(&tag).is_some_and(|one| one.is_there());
            Ok(match is_there {
                true => to_case(person, &work.case, Some(tag)),
                false => Destination::Item(tag),
            })
        }
    }
}

/// The identifier in a handoff's address, whatever stands before it, or alone.
fn handoff_in(typed: &str) -> Option<String> {
    let path = typed.trim().split(['?', '#']).next()?;
    if is_identifier(path) {
        return Some(path.to_lowercase());
    }
    let mut parts = path.trim_end_matches('/').rsplit('/');
    let (id, room) = (parts.next()?, parts.next()?);
    let is_room = room.eq_ignore_ascii_case("handoffs") || room.eq_ignore_ascii_case("h");
    (is_room && !id.is_empty()).then(|| id.to_lowercase())
}

/// Whether it is written as the identifiers are that this program draws.
fn is_identifier(typed: &str) -> bool {
    let parts = typed.split('-').map(str::len);
    parts.eq([8, 4, 4, 4, 12])
        && typed
            .chars()
            .all(|sign| sign == '-' || sign.is_ascii_hexdigit())
}

#[cfg(test)]
mod tests {
    use super::handoff_in;

    #[test]
    fn a_handoffs_address_is_told_from_a_code() {
        for (typed, id) in [
            ("HTTPS://HOST.EXAMPLE/HANDOFFS/0B1C-2D", Some("0b1c-2d")),
            (" /handoffs/0b1c-2d/?done=released ", Some("0b1c-2d")),
            (
                "5D0C4A52-0F0E-4A57-9A51-0C9D1F1B7E21",
                Some("5d0c4a52-0f0e-4a57-9a51-0c9d1f1b7e21"),
            ),
            ("5d0c4a52-0f0e-4a57-9a51", None),
            ("https://host.example/I/T4K7M92XQ", None),
            ("handoffs", None),
            ("/handoffs/", None),
            ("T4K-7M9-2XQ", None),
        ] {
            assert_eq!(handoff_in(typed).as_deref(), id, "{typed}");
        }
    }
}
