//! Each case's rows against their leaves, its events against the rules, and what is listed against both.

use super::Examined;
use super::acting::Accounts;
use super::compare::compare_row;
use super::papers;
use super::together::{self, OfCase, Parties};
use super::worked::worked_to;
use crate::app::case_work::{CaseWork, clock_words};
use crate::app::recorded::{OF_A_CASE, entries_of_kind, entry_about, erased_places};
use crate::app::teeth_elsewhere::{cases_elsewhere, dentures_elsewhere};
use crate::app::{App, AppError};
use crate::domain::custody::agenda::{AskedFirst, OnAgenda, OrderedWork};
use crate::domain::custody::case::{Case, DRAWN, Place, unsigned_summary};
use crate::domain::custody::erasing::erased;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::StaysAtLab;
use crate::domain::custody::{
    CaseState, ClockWord, Context, Event, allow_entered_in, answers_too_early, stays_by,
};
use crate::domain::people::party::Side;
use crate::domain::prescription::revision::{Acknowledgement, Document, Revision};
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId};
use crate::domain::values::moment::show_date;
use crate::record::entry::{Entry, LeafKind};
use crate::store::casts_kept::{self, CastsKept};
use crate::store::counted::of_other_patients;
use crate::store::custody::{self as stored, HandoffRow, LEAVES_AT_ONCE, StoredEvent, StoredItem};
use crate::store::passed::{self, PassedRow};
use crate::store::record::{LeafRow, leaves_from, leaves_of};
use crate::store::strays::strays as stray_rows;
use crate::store::{Connection, StoreError, cases, revisions};
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Cases that are read at once.
const CASES_AT_ONCE: i64 = 200;

/// What has been gone through.
pub struct GoneThrough {
    /// Leaves of a case, or of a row of reference data.
    pub leaves: u64,
    /// Whose leaves: numbers of cases, and keys of rows beside them.
    pub known: BTreeSet<String>,
}

/// Every case that can be read, and every row of reference data.
pub async fn examine(app: &App, examined: &mut Examined, conn: &mut Connection) -> GoneThrough {
    let (mut known, mut of_cases) = (BTreeSet::new(), 0);
    let (mut after, mut parties) = (String::new(), Parties::new());
    let accounts = Accounts::read(app, examined, conn).await;
    let accounts = examined.read("The accounts in the record", accounts);
    let accounts = accounts.unwrap_or_default();
    loop {
        let numbers = cases::numbers_after(conn, &after, CASES_AT_ONCE).await;
        let numbers = examined.read("The list of cases", numbers.map_err(AppError::from));
        let Some(numbers) = numbers else { break };
        let Some(last) = numbers.last() else { break };
        for number in &numbers {
            if CaseNumber::parse(number).is_ok_and(|read| read.as_str() != number) {
                examined.fault(
                    None,
                    format!("Case {number} is not stored as its number is written."),
                );
            }
        }
        of_cases += match together::read(conn, (&after, last), &mut parties).await {
            Ok(cases) => read_together(app, examined, conn, cases, &accounts, &mut known).await,
            Err(_) => one_by_one(app, examined, conn, &numbers, &accounts, &mut known).await,
        };
        after.clone_from(last);
    }
    let strays = stray_rows(conn).await;
    for sentence in examined
        .read("Rows of nothing", strays.map_err(AppError::from))
        .unwrap_or_default()
    {
        examined.fault(None, sentence);
    }
    let listed = passed_on(examined, conn).await;
    examined.read("Work passed on", listed);
    let kept = casts(examined, conn).await;
    examined.read("Until when casts are kept", kept);
    let others = of_other_patients(conn).await;
    for (number, patient) in examined
        .read("The patients of cases", others.map_err(AppError::from))
        .unwrap_or_default()
    {
        let sentence =
            format!("Case {number} is for the patient {patient}, whose card is of another office.");
        examined.fault(None, sentence);
    }
    let pans = cases::pans_astray(conn).await;
    for (number, key, pan) in examined
        .read("The pans of cases", pans.map_err(AppError::from))
        .unwrap_or_default()
    {
        let sentence =
            format!("Case {number} stands in the pan “{pan}”, and is looked for as “{key}”.");
        examined.fault(None, sentence);
    }
    let beside = super::reference::examine(examined, conn, &accounts, &mut known).await;
    GoneThrough {
        leaves: of_cases + beside,
        known,
    }
}

/// Cases whose rows have been read with those of many others; answers with the number of their leaves.
async fn read_together(
    app: &App,
    examined: &mut Examined,
    conn: &mut Connection,
    cases: Vec<OfCase>,
    accounts: &Accounts,
    known: &mut BTreeSet<String>,
) -> u64 {
    let mut leaves = 0;
    // What cannot be read here, those read on their own will say.
    let clock = clock_words(conn).await.unwrap_or_default();
    for one in cases {
        known.insert(one.case.number.as_str().to_owned());
        leaves += match one.opened(&clock) {
            Some((mut work, entries)) => {
                examined.cases += 1;
                let own = (work.items.as_slice(), &work.state);
                let elsewhere = dentures_elsewhere(app, conn, &work.case, own).await;
                work.elsewhere = elsewhere.unwrap_or_default();
                let said = (&work.state, &work.ordered);
                let others = cases_elsewhere(app, conn, &work.case, said).await;
                work.ordered.others = others.unwrap_or_default();
                of_case(examined, &one, &work, entries, accounts)
            }
            // What does not read is named by whoever reads it on its own.
            None => one_case(app, examined, conn, &one.case, accounts).await,
        };
    }
    leaves
}

/// Everything about a case of which all can be read.
fn of_case(
    examined: &mut Examined,
    one: &OfCase,
    work: &CaseWork,
    entries: Vec<(String, Entry)>,
    accounts: &Accounts,
) -> u64 {
    let rows = entries.into_iter().map(|(about, entry)| {
        let key = (entry.kind.word().to_owned(), about);
        (key, Ok(entry))
    });
    against_leaves(examined, &one.case, &one.leaves, rows.collect(), accounts);
    order(examined, &one.leaves, &one.kept.items, &one.kept.events);
    worked_to(examined, &one.leaves);
    rules(examined, work);
    listed(examined, work, one.handoffs.clone());
    answered(
        examined,
        &one.case,
        &one.kept.revisions,
        &one.kept.words,
        &work.clock,
    );
    papers::said(examined, work);
    let signed = signed(examined, &one.case, &one.kept.revisions, &one.kept.words);
    examined.read(&format!("Case {}", one.case.number), signed);
    one.leaves.len() as u64
}

/// Cases of which something could not be read, each on its own.
async fn one_by_one(
    app: &App,
    examined: &mut Examined,
    conn: &mut Connection,
    numbers: &[String],
    accounts: &Accounts,
    known: &mut BTreeSet<String>,
) -> u64 {
    let mut leaves = 0;
    for number in numbers {
        let case = match CaseNumber::parse(number) {
            Ok(parsed) => cases::find_case(conn, &parsed).await,
            Err(why) => Err(StoreError::row("case_file", number, why)),
        };
        match case {
            Ok(Some(case)) => {
                known.insert(number.clone());
                leaves += one_case(app, examined, conn, &case, accounts).await;
            }
            Ok(None) => examined.fault(None, format!("Case {number} is listed and not stored.")),
            Err(why) => examined.fault(None, format!("A case cannot be read: {why}.")),
        }
    }
    leaves
}

/// Leaves of cases, and of rows beside them, that are not stored or cannot be read.
pub async fn strays(
    examined: &mut Examined,
    conn: &mut Connection,
    known: &BTreeSet<String>,
) -> Result<(), AppError> {
    let (mut from, mut count, mut first) = (0, 0_u64, None);
    loop {
        let leaves = leaves_from(conn, from, LEAVES_AT_ONCE).await?;
        let Some(last) = leaves.last() else { break };
        from = from.max(last.number) + 1;
        for leaf in leaves {
            if !known.contains(&leaf.case) {
                count += 1;
                first.get_or_insert(leaf);
            }
        }
    }
    if let Some(leaf) = first {
        examined.fault(
            Some(leaf.number),
            format!(
                "{count} leaves are of nothing that can be read; the first is leaf {}, {} {}.",
                leaf.number, leaf.kind, leaf.about
            ),
        );
    }
    Ok(())
}

/// Everything about a case, each part read on its own, so that one that cannot be read hides no other. Answers
/// with the number of the case's leaves.
async fn one_case(
    app: &App,
    examined: &mut Examined,
    conn: &mut Connection,
    case: &Case,
    accounts: &Accounts,
) -> u64 {
    examined.cases += 1;
    let leaves = leaves_of(conn, &case.number).await;
    let what = format!("The record of case {}", case.number);
    let mut count = 0;
    if let Some(leaves) = examined.read(&what, leaves.map_err(AppError::from)) {
        count = leaves.len() as u64;
        let mut rows = Rows::new();
        for kind in OF_A_CASE {
            for (about, row) in rows_of_kind(examined, conn, case, kind, &leaves).await {
                rows.insert((kind.word().to_owned(), about), row);
            }
        }
        against_leaves(examined, case, &leaves, rows, accounts);
        worked_to(examined, &leaves);
        let kept = kept_in_order(conn, case).await;
        if let Some((items, events)) = examined.read(&what, kept) {
            order(examined, &leaves, &items, &events);
        }
    }
    let what = format!("Case {}", case.number);
    let work = CaseWork::of(app, conn, case.clone(), Side::Office).await;
    if let Some(work) = examined.read(&what, work) {
        // What stands in its row is what is looked at here.
        let work = CaseWork {
            case: case.clone(),
            ..work
        };
        rules(examined, &work);
        let handoffs = stored::handoffs_of(conn, &case.number).await;
        if let Some(handoffs) = examined.read(&what, handoffs.map_err(AppError::from)) {
            listed(examined, &work, handoffs);
        }
        papers::said(examined, &work);
    }
    let revisions = revisions::of_case(conn, &case.number).await;
    let words = revisions::acknowledgements(conn, &case.number).await;
    let signed = match (revisions, words) {
        (Ok(revisions), Ok(words)) => {
            let clock = clock_words(conn).await.unwrap_or_default();
            answered(examined, case, &revisions, &words, &clock);
            signed(examined, case, &revisions, &words)
        }
        (Err(why), _) | (_, Err(why)) => Err(why.into()),
    };
    examined.read(&what, signed);
    count
}

async fn kept_in_order(
    conn: &mut Connection,
    case: &Case,
) -> Result<(Vec<StoredItem>, Vec<StoredEvent>), AppError> {
    let items = stored::stored_items_of(conn, &case.number).await?;
    Ok((items, stored::stored_events_of(conn, &case.number).await?))
}

/// A row, or why it cannot be read.
type Row = Result<Entry, String>;

/// By the kind of the leaf that stands for the row, and its key.
type Rows = BTreeMap<(String, String), Row>;

fn against_leaves(
    examined: &mut Examined,
    case: &Case,
    leaves: &[LeafRow],
    mut rows: Rows,
    accounts: &Accounts,
) {
    let (erased, none) = (said_to_be_erased(&rows), BTreeSet::new());
    for leaf in leaves {
        let (number, kind, about) = (leaf.number, &leaf.kind, &leaf.about);
        match rows.remove(&(kind.clone(), about.clone())) {
            Some(Ok(entry)) => {
                let erased = erased.get(&(entry.kind, about.clone()));
                compare_row(examined, leaf, &entry, erased.unwrap_or(&none), accounts);
            }
            Some(Err(why)) => examined.fault(
                Some(number),
                format!("Leaf {number} stands for {kind} {about}, and that cannot be read: {why}."),
            ),
            None => examined.fault(
                Some(number),
                format!(
                    "Leaf {number} stands for {kind} {about}, and that is not stored any more."
                ),
            ),
        }
    }
    for (kind, about) in rows.keys() {
        examined.fault(
            None,
            format!("{kind} {about} of case {} is in no leaf.", case.number),
        );
    }
}

/// The places of each leaf whose text an entry of the case says was erased.
fn said_to_be_erased(rows: &Rows) -> BTreeMap<(LeafKind, String), BTreeSet<String>> {
    let events = || {
        rows.values()
            .flatten()
            .filter_map(|entry| entry.value.get("event"))
    };
    let says = |event: &Value| event.pointer("/what/kind") == Some(&Value::from("erased"));
    if !events().any(says) {
        return BTreeMap::new();
    }
    let events: Vec<Event> = events()
        .filter_map(|event| Event::deserialize(event).ok())
        .collect();
    erased_places(&events, erased(&events))
}

/// The rows of one kind. Where one of them stops the others from being read, they are read one by one, each
/// by the leaf that stands for it.
async fn rows_of_kind(
    examined: &mut Examined,
    conn: &mut Connection,
    case: &Case,
    kind: LeafKind,
    leaves: &[LeafRow],
) -> Vec<(String, Row)> {
    let together = match entries_of_kind(conn, case, kind).await {
        Ok(entries) => {
            return entries
                .into_iter()
                .map(|(about, entry)| (about, Ok(entry)))
                .collect();
        }
        Err(why) => why,
    };
    let mut rows = Vec::new();
    for leaf in leaves.iter().filter(|leaf| leaf.kind == kind.word()) {
        match entry_about(conn, case, kind, &leaf.about).await {
            Ok(Some(entry)) => rows.push((leaf.about.clone(), Ok(entry))),
            Ok(None) => {}
            Err(why) => rows.push((leaf.about.clone(), Err(why.to_string()))),
        }
    }
    if rows.iter().all(|(_, row)| row.is_ok()) {
        examined.fault(
            None,
            format!(
                "What is stored as {} of case {} cannot be read: {together}.",
                kind.word(),
                case.number
            ),
        );
    }
    rows
}

/// Items and events stand in the order in which they came into the record.
fn order(
    examined: &mut Examined,
    leaves: &[LeafRow],
    items: &[StoredItem],
    events: &[StoredEvent],
) {
    let items: Vec<_> = items
        .iter()
        .map(|item| (item.position, item.tag.as_str()))
        .collect();
    let events: Vec<_> = events
        .iter()
        .map(|event| (event.position, event.id.as_str()))
        .collect();
    for (kind, rows) in [(LeafKind::Item, items), (LeafKind::Event, events)] {
        let recorded = leaves.iter().filter(|leaf| leaf.kind == kind.word());
        let places = (0_i64..).zip(rows.iter().zip(recorded));
        for (place, ((position, about), leaf)) in places {
            if place != *position || *about != leaf.about {
                examined.fault(
                    Some(leaf.number),
                    format!(
                        "Leaf {} stands for {} {}, and in its place is {about} at {position}.",
                        leaf.number, leaf.kind, leaf.about
                    ),
                );
                break;
            }
        }
    }
}

/// Every event must have been allowed where it stands.
fn rules(examined: &mut Examined, work: &CaseWork) {
    // A close rests on the text that was in force then; which one was is not asked, so that no right close is doubted.
    let signed = work.signed.by_moment();
    let stays = signed.iter().map(|(document, _)| stays_by(document));
    let stays = stays.fold(StaysAtLab::default(), StaysAtLab::or);
    let mut before = CaseState::default();
    for (place, event) in work.events.iter().enumerate() {
        examined.events += 1;
        let context = Context {
            events: work.events.get(..place).unwrap_or_default(),
            stays,
            ..work.context()
        };
        let times = (event.at, event.entered_at);
        for refusal in allow_entered_in(&context, &before, &event.what, &event.by, times) {
            examined.fault(
                None,
                format!(
                    "Event {} of case {} breaks rule {:?}: {}",
                    event.id, work.case.number, refusal.rule, refusal.sentence
                ),
            );
        }
        before.add(event, context.events);
    }
}

/// What is drawn from the events for lists must be what the events say.
fn listed(examined: &mut Examined, work: &CaseWork, handoffs: Vec<HandoffRow>) {
    let mut again = work.clone();
    again.draw();
    let (is, should) = (&work.case, &again.case);
    // All that was drawn is the same, so that `should` differs in nothing else.
    // What an earlier version drew is drawn again at a start.
    if is.drawn > should.drawn {
        examined.fault(
            None,
            format!(
                "Case {} says that a newer version has drawn its lists ({}), and this one draws {}. The next start draws \
                 them again.",
                is.number, is.drawn, should.drawn
            ),
        );
    }
    if is.drawn != should.drawn && is.closed != should.closed {
        let (is, should) = (ended(is), ended(should));
        let number = &work.case.number;
        let sentence = format!("Case {number} is listed as {is}, and its events say {should}.");
        examined.fault(None, sentence);
    }
    if is.drawn == should.drawn && is != should {
        examined.fault(
            None,
            format!(
                "Case {} is listed as {}, and its events say {}. Not the same: {}.",
                is.number,
                listed_words(is),
                listed_words(should),
                unlike(is, should).join(", ")
            ),
        );
    }
    let is_drawn = is.drawn == should.drawn;
    let passed = work.passed_rows().into_iter();
    examined.passed.extend(passed.map(|row| (row, is_drawn)));
    examined.casts.extend(work.casts_row());
    let rows = handoffs.into_iter().map(|row| (row.id.clone(), row));
    let mut rows: BTreeMap<HandoffId, HandoffRow> = rows.collect();
    for one in again.state.handoffs {
        let row = rows.remove(&one.id);
        if row.is_none_or(|row| !is_listed_right(&row, &one, work)) {
            examined.fault(
                None,
                format!(
                    "Handoff {} of case {} is not listed as its events say.",
                    one.id, is.number
                ),
            );
        }
    }
    for id in rows.keys() {
        examined.fault(
            None,
            format!("Handoff {id} of case {} is in no event.", is.number),
        );
    }
}

/// What is listed for second laboratories must be what the entries say.
async fn passed_on(examined: &mut Examined, conn: &mut Connection) -> Result<(), AppError> {
    let said = std::mem::take(&mut examined.passed).into_iter();
    let said = said.map(|(row, is_drawn)| (row.event.clone(), (row, is_drawn)));
    let mut said: BTreeMap<EventId, (PassedRow, bool)> = said.collect();
    let mut last = EventId::default();
    loop {
        let rows = passed::after(conn, &last, CASES_AT_ONCE).await?;
        let Some(end) = rows.last() else { break };
        last = end.event.clone();
        for row in rows {
            // What was answered is drawn; of what an earlier version drew nothing is asked.
            let fits = said.remove(&row.event).is_some_and(|(should, is_drawn)| {
                let new_answers = match is_drawn {
                    true => should.new_answers,
                    false => row.new_answers,
                };
                row == PassedRow {
                    new_answers,
                    ..should
                }
            });
            if !fits {
                let sentence = format!(
                    "Work of case {} passed on by entry {} is not listed as its entries say.",
                    row.case, row.event
                );
                examined.fault(None, sentence);
            }
        }
    }
    for (row, _) in said.values() {
        let sentence = format!(
            "Work of case {} passed on by entry {} is not listed.",
            row.case, row.event
        );
        examined.fault(None, sentence);
    }
    Ok(())
}

/// Until when matrix and casts are kept must be listed as the entries say.
async fn casts(examined: &mut Examined, conn: &mut Connection) -> Result<(), AppError> {
    let said = std::mem::take(&mut examined.casts).into_iter();
    let said = said.map(|row| (row.case.as_str().to_owned(), row));
    let mut said: BTreeMap<String, CastsKept> = said.collect();
    let mut last = String::new();
    loop {
        let rows = casts_kept::after(conn, &last, CASES_AT_ONCE).await?;
        let Some(end) = rows.last() else { break };
        end.case.as_str().clone_into(&mut last);
        for row in rows {
            let should = said.remove(row.case.as_str());
            if should.as_ref() != Some(&row) {
                let until = should.map(|one| format!("until {}", show_date(one.until)));
                let sentence = format!(
                    "The casts of case {} are listed as kept until {}, and its entries say {}.",
                    row.case,
                    show_date(row.until),
                    until.as_deref().unwrap_or("nothing of it")
                );
                examined.fault(None, sentence);
            }
        }
    }
    for row in said.values() {
        let sentence = format!(
            "The casts of case {} are kept until {}, and are not listed.",
            row.case,
            show_date(row.until)
        );
        examined.fault(None, sentence);
    }
    Ok(())
}

fn ended(case: &Case) -> &'static str {
    if case.closed { "closed" } else { "open" }
}

fn listed_words(case: &Case) -> String {
    let mut words = format!("“{}”, {}", case.place.shown(), ended(case));
    if let Some(place) = case.also {
        words += &format!(", also “{}”", place.shown());
    }
    words += &match &case.held {
        Some(held) => format!(", on hold ({held})"),
        None => ", not on hold".to_owned(),
    };
    for task in &case.waiting_for {
        words += &format!(", {task}");
    }
    if let Some(day) = case.lent_due {
        words += &format!(", lent until {}", show_date(day));
    }
    let agenda = &case.agenda;
    for (whose, on) in [("office", agenda.office), ("lab", agenda.lab)] {
        words += &format!(", for the {whose} “{}”", on.turn.shown());
        if let Some(day) = on.day {
            words += &format!(" by {}", show_date(day));
        }
        let talk = on.talk_word();
        if !talk.is_empty() {
            words += &format!(", asked ({talk})");
        }
    }
    words + &format!(", {} items", agenda.items)
}

/// What is drawn of a case otherwise than it is listed, each as it is and as it should be.
fn unlike(is: &Case, should: &Case) -> Vec<String> {
    let drawn = |case: &Case| {
        let agenda = &case.agenda;
        let bench = &agenda.bench;
        let day = |day: Option<time::Date>| day.map(show_date).unwrap_or_default();
        let turn = |on: OnAgenda| on.turn.shown().to_owned();
        let asked = |on: OnAgenda| on.asked.map(AskedFirst::word).unwrap_or_default();
        let place = |place: Option<Place>| place.map(Place::shown).unwrap_or_default().to_owned();
        let held = case.held.as_ref().map(ToString::to_string);
        let tasks: Vec<String> = case.waiting_for.iter().map(ToString::to_string).collect();
        let technician = bench.technician.as_ref().map(ToString::to_string);
        [
            ("closed", case.closed.to_string()),
            ("place", place(Some(case.place))),
            ("second place", place(case.also)),
            ("hold", held.unwrap_or_default()),
            ("next steps", tasks.join("; ")),
            ("day of a loan", day(case.lent_due)),
            ("order in short", case.summary.clone()),
            ("the office’s turn", turn(agenda.office)),
            ("the office’s day", day(agenda.office.day)),
            ("the office’s question", asked(agenda.office)),
            ("the office’s check after the fit", day(agenda.office.check)),
            ("the lab’s turn", turn(agenda.lab)),
            ("the lab’s day", day(agenda.lab.day)),
            ("the lab’s question", asked(agenda.lab)),
            ("the lab’s check after the fit", day(agenda.lab.check)),
            ("items", agenda.items.to_string()),
            ("work", OrderedWork::word(&agenda.work)),
            ("seals", agenda.seals.clone()),
            ("words to be found by", agenda.words.clone()),
            ("pan", bench.pan.clone()),
            ("technician", technician.unwrap_or_default()),
            ("open steps", bench.open.to_string()),
            ("next step", bench.next_word()),
        ]
    };
    let both = drawn(is).into_iter().zip(drawn(should));
    let differs = both.filter(|((_, is), (_, should))| is != should);
    differs
        .map(|((what, is), (_, should))| format!("{what} (“{is}” instead of “{should}”)"))
        .collect()
}

fn is_listed_right(row: &HandoffRow, handoff: &Handoff, work: &CaseWork) -> bool {
    row.state == handoff.state()
        && row.from == work.party(handoff.from).id
        && row.to == work.party(handoff.to).id
}

/// Nobody acknowledges what has not been signed yet.
fn answered(
    examined: &mut Examined,
    case: &Case,
    revisions: &[Revision],
    words: &[Acknowledgement],
    clock: &[ClockWord],
) {
    for word in words {
        let revision = revisions.iter().find(|one| one.number == word.revision);
        let number = format!("{} of case {}", word.revision, case.number);
        match revision {
            None => examined.fault(
                None,
                format!("Revision {number} is acknowledged, and is not there."),
            ),
            Some(revision) if answers_too_early(word.at, revision.signature.at, clock) => examined
                .fault(
                    None,
                    format!(
                        "Revision {number} was signed on {}, and is acknowledged on {}, before that.",
                        revision.signature.at, word.at
                    ),
                ),
            Some(_) => {}
        }
    }
}

/// What is drawn from the revision in force and its acknowledgement.
fn signed(
    examined: &mut Examined,
    case: &Case,
    revisions: &[Revision],
    words: &[Acknowledgement],
) -> Result<(), AppError> {
    let newest = revisions.last().map_or(0, |revision| revision.number);
    let acknowledged = words.last().map_or(0, |word| word.revision);
    let mut is_right = (case.revision, case.acknowledged) == (newest, acknowledged);
    is_right &= match revisions.last() {
        Some(revision) => {
            let document = Document::from_canonical(&revision.document)?;
            case.due == document.due() && case.summary == document.prescription.summary()
        }
        // Nothing is due before it is ordered.
        None => {
            let is_drawn_earlier = case.drawn != DRAWN;
            let is_said = is_drawn_earlier || case.summary == unsigned_summary(case.arches);
            case.due.is_none() && is_said
        }
    };
    if !is_right {
        examined.fault(
            None,
            format!(
                "Case {} is not listed as its newest revision and acknowledgement say.",
                case.number
            ),
        );
    }
    Ok(())
}
