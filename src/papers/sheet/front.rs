//! The front: what is ordered, what is done first, what is changed, the heights.

use super::content::{ChangeEntry, Due, DueDay, Entry, List, OnDay};
use super::fields::SheetFields;
use super::moved;
use super::tables::{EXTRACTION, FIRST, FRONT_VIEW, HEIGHTS, ORDER, REPAIR};
use super::words::{FIRM, Run, Words, day, day_of_year};
use crate::domain::prescription::Stage;
use crate::domain::prescription::sentences::pattern_is_files;
use crate::domain::prescription::sentences::say::{after, answer, value};
use crate::domain::prescription::sentences::short;
use crate::domain::prescription::{PatternRule, PatternSource, Prescription};
use crate::domain::trade::changes;
use crate::domain::trade::moved::by_fields;
use crate::domain::trade::sketch::{
    NumberPlaces, Picture, Sketches, arches_side_by_side, small_face,
};
use crate::domain::values::measure::Mm;
use crate::domain::values::words::capitalised;
use time::Date;

/// What is said of a day, and the day.
type Dated = (Words, Option<Date>);

/// The day in the dentist's hands, with what hangs on it.
pub fn due(fields: &mut SheetFields, prescription: &Prescription, signed: Option<Date>) -> Due {
    let dates = &prescription.dates;
    let wanted = fields.take("dates.wanted", None);
    let time = fields.say(&[after("at ", "dates.wanted_time").strong()], None);
    let insertion = fields.say(&[after("insertion ", "dates.insertion")], None);
    let check = fields.say(&[after("check ", "dates.first_check")], None);
    let mut more = time.clone();
    more.join("; ", insertion.clone());
    more.join(", ", check.clone());
    let mut planned: Vec<Dated> = vec![
        (insertion, dates.insertion.map(|day| day.date())),
        (check, dates.first_check.map(|day| day.date())),
    ];
    for row in 0..fields.rows("stage_dates") {
        let stage = [
            value("stage_dates.#.stage"),
            value("stage_dates.#.arch").then(),
            after("by ", "stage_dates.#.date").then().strong(),
            value("stage_dates.#.note").comma(),
        ];
        let stage = fields.say(&stage, Some(row));
        more.join("; ", stage.clone());
        let date = dates.stage_dates.get(row).and_then(|one| one.date);
        planned.push((stage, date.map(|day| day.date())));
    }
    let date = dates.wanted.map(|wanted| wanted.date());
    if let Some(date) = date {
        more.without_year(date.year());
    }
    let days = date.filter(|_| fields.is_sixth());
    Due {
        label: "In the dentist’s hands by",
        changed: wanted.is_some_and(|run| run.changed),
        day: date.map(|date| (day_of_year(date), date.year().to_string())),
        days: days.map_or_else(Vec::new, |date| days_of((time, date), planned, signed)),
        more,
    }
}

/// All days by their dates, with what is said beside the one wanted; none where there is but one of them, or something is
/// said without its day.
fn days_of(
    (time, wanted): (Words, Date),
    planned: Vec<Dated>,
    signed: Option<Date>,
) -> Vec<DueDay> {
    let mut days = Vec::new();
    if let Some(date) = signed {
        days.push(DueDay {
            date,
            is: OnDay::Signature,
            words: Words::plain(format!("signed {}", day(date))),
        });
    }
    days.push(DueDay {
        date: wanted,
        is: OnDay::Wanted,
        words: time,
    });
    for (words, date) in planned.into_iter().filter(|(words, _)| !words.is_empty()) {
        let Some(date) = date else { return Vec::new() };
        days.push(DueDay {
            date,
            is: OnDay::Planned,
            words,
        });
    }
    for day in &mut days {
        day.words.without_year(wanted.year());
    }
    days.sort_by_key(|day| day.date);
    let is_one = days.iter().all(|day| day.date == wanted);
    if is_one { Vec::new() } else { days }
}

/// What is to be made, in one sentence: how the pattern is followed, or how far the pieces go. Nobody copies a
/// try-in: it is finished or reset, since the seventh sheet; since the eighth all that is changed is counted.
pub fn what(
    prescription: &Prescription,
    before: Option<&Prescription>,
    fields: &SheetFields,
) -> String {
    let names_try_ins = fields.is_seventh();
    let count = changed(prescription, fields);
    let mut stages: Vec<&str> = Vec::new();
    for stage in prescription
        .order
        .pieces
        .iter()
        .filter_map(|piece| piece.stage)
    {
        if !stages.contains(&stage.shown()) {
            stages.push(stage.shown());
        }
    }
    let try_in = done_to_try_in(prescription).filter(|_| names_try_ins);
    if try_in == Some("reset") && prescription.approval.refuses_height() {
        return to_new_height(prescription, before, count);
    }
    let sentence = match (prescription.pattern.rule, count) {
        (Some(PatternRule::Exactly), _) if try_in == Some("finish") => {
            "finish the approved try-in exactly as it is".to_owned()
        }
        (Some(PatternRule::Exactly), _) => "copy the pattern exactly".to_owned(),
        (Some(PatternRule::WithChanges), count) => {
            let done = match try_in {
                Some(verb) => format!("{verb} the try-in"),
                None => "copy the pattern".to_owned(),
            };
            match count {
                0 if names_try_ins => format!("{done}: no change is listed"),
                1 => format!("{done} with the 1 change listed, nothing else"),
                count => format!("{done} with the {count} changes listed, nothing else"),
            }
        }
        (Some(PatternRule::Guide), _) => guide(fields.is_ninth()).to_owned(),
        (None, _) if stages.is_empty() => "see the pieces listed".to_owned(),
        (None, _) => stages.join(", "),
    };
    capitalised(&sentence)
}

fn guide(is_ninth: bool) -> &'static str {
    match is_ninth {
        true => "use the pattern as a guide and individualize",
        false => "use the pattern as a guide and individualise",
    }
}

/// How many changes are listed, as `change_list` lists them.
fn changed(prescription: &Prescription, fields: &SheetFields) -> usize {
    let moved = match fields.is_eighth() {
        true => by_fields(prescription).len(),
        false => 0,
    };
    prescription.pattern.changes.len() + moved
}

/// A try-in whose height was refused is mounted again: by which record, to which height, and with how many changes.
fn to_new_height(
    prescription: &Prescription,
    before: Option<&Prescription>,
    count: usize,
) -> String {
    use crate::domain::prescription::VerticalOrder;
    let (vertical, jaw) = (&prescription.vertical, &prescription.jaw);
    let set_up = before.filter(|before| !before.approval.refuses_height());
    let refused = set_up.and_then(|before| before.vertical.occlusal_mm);
    let height = match (vertical.order, vertical.change_mm, vertical.occlusal_mm) {
        (Some(VerticalOrder::Open), Some(mm), _) => format!("bite opened by {mm} mm"),
        (Some(VerticalOrder::Close), Some(mm), _) => format!("bite closed by {mm} mm"),
        (_, _, Some(mm)) if refused != Some(mm) => format!("new height {mm} mm"),
        _ => "new height".to_owned(),
    };
    let record = match &jaw.item {
        Some(tag) => format!(", new bite record {tag}"),
        None if jaw.taken_on.is_some() => ", new bite record".to_owned(),
        None => String::new(),
    };
    let changes = match count {
        0 => String::new(),
        1 => ", 1 change listed".to_owned(),
        count => format!(", {count} changes listed"),
    };
    format!("Reset: {height}{record}{changes}")
}

/// What is done to a try-in that is the pattern, where the same is done to all pieces of it.
fn done_to_try_in(prescription: &Prescription) -> Option<&'static str> {
    // A spare is copied from what was made of the try-in.
    let pieces = prescription.order.pieces.iter();
    let pieces = pieces.filter(|piece| piece.stage != Some(Stage::Duplicate));
    let is_all = |stage: Stage| pieces.clone().all(|piece| piece.stage == Some(stage));
    let is_none = pieces.clone().next().is_none();
    if prescription.pattern.source != Some(PatternSource::TryIn) || is_none {
        return None;
    }
    let verbs = [(Stage::Process, "finish"), (Stage::Reset, "reset")];
    let found = verbs.into_iter().find(|(stage, _)| is_all(*stage));
    found.map(|(_, verb)| verb)
}

/// The pieces of work.
pub fn pieces(fields: &mut SheetFields) -> List {
    let mut entries = Vec::new();
    for row in 0..fields.rows("pieces") {
        let arch = fields.say(&[value("pieces.#.arch").strong()], Some(row));
        let stage = fields.say(&[value("pieces.#.stage").strong()], Some(row));
        let piece = fields.say(
            &[
                value("pieces.#.description"),
                after("opposing: ", "pieces.#.opposing"),
                after("pieces: ", "pieces.#.count"),
            ],
            Some(row),
        );
        let materials = fields.say(&[value("pieces.#.materials")], Some(row));
        entries.push(Entry::Piece([arch, stage, piece, materials]));
    }
    List::new("Pieces", entries)
}

pub fn order(fields: &mut SheetFields, prescription: &Prescription) -> List {
    let spare = spare_by_the_lab(fields);
    let mut entries = fields.lines(ORDER);
    if fields.is_sixth() && pattern_is_files(prescription) {
        // A pattern that stays where it is, while its files go, is not enclosed.
        reword(
            &mut entries,
            "pattern.source",
            (" enclosed", " as in its files"),
        );
    }
    if fields.is_seventh() && done_to_try_in(prescription) == Some("reset") {
        // What is set once more was not approved as it stands.
        reword(&mut entries, "pattern.source", (" approved", ""));
        let is_of_height = prescription.approval.refuses_height();
        let is_bare = changed(prescription, fields) == 0;
        let whole = PatternRule::WithChanges.shown();
        let words = match (is_of_height, is_bare) {
            (true, true) => (whole, "teeth as they stand, to the new height"),
            (true, false) => (whole, "reset to the new height, with the changes listed"),
            (false, _) => ("copy with", "reset with"),
        };
        reword(&mut entries, "pattern.rule", words);
    }
    if fields.is_seventh() {
        say_of_what(&mut entries, prescription);
    }
    if let Some((label, words)) = spare.filter(|(_, words)| !words.is_empty()) {
        entries.insert(0, Entry::fact(label, words));
    }
    if fields.is_third() {
        rename(&mut entries);
    }
    entries.extend(fields.each("extractions", "Extract", EXTRACTION));
    entries.extend(fields.each("repairs", "Place", REPAIR));
    List::new("", entries)
}

/// Names what is not to be ground where nothing before it does; an order of work on a denture that is there is no
/// new work.
fn say_of_what(entries: &mut [Entry], prescription: &Prescription) {
    if prescription.opposing.surface.is_none() {
        let opposing = "the opposing teeth are not to be ground";
        reword(
            entries,
            "opposing.may_grind",
            ("is not to be ground", opposing),
        );
        let opposing = "the opposing teeth may be ground by the dentist";
        let alone = "may be ground by the dentist";
        reword(entries, "opposing.may_grind", (alone, opposing));
    }
    let is_there = |stage: Stage| matches!(stage, Stage::Reline | Stage::Rebase | Stage::Repair);
    let mut stages = prescription.order.pieces.iter().map(|piece| piece.stage);
    let is_any = stages.len() > 0;
    if is_any && stages.all(|stage| stage.is_some_and(is_there)) {
        reword(entries, "order.kind", ("new work", "new order"));
    }
}

/// The words of one field, wherever they stand.
pub(super) fn runs_of<'a>(
    entries: &'a mut [Entry],
    about: &'a str,
) -> impl Iterator<Item = &'a mut Run> {
    entries.iter_mut().filter_map(move |entry| match entry {
        Entry::Fact { words, .. } => words.runs.iter_mut().find(|run| run.about == about),
        _ => None,
    })
}

/// Says one field's words otherwise.
pub(super) fn reword(entries: &mut [Entry], about: &str, (from, to): (&str, &str)) {
    for run in runs_of(entries, about) {
        run.text = run.text.replace(from, to);
    }
}

/// The dentures that the lab copies, where the copy is the order itself; beside other work, since the seventh sheet,
/// the spare with what it is made of.
fn spare_by_the_lab(fields: &mut SheetFields) -> Option<(&'static str, Words)> {
    if !fields.is_third() || !spare_is_ordered(fields) {
        return None;
    }
    let says = [
        after("upper ", "spare.copied_upper").strong(),
        after("lower ", "spare.copied_lower").comma().strong(),
    ];
    let copied = fields.say(&says, None);
    let is_of = |stage: &str| {
        let mut rows = 0..fields.rows("pieces");
        rows.any(|row| fields.raw_in("pieces.#.stage", row) == Some(stage))
    };
    let rows = 0..fields.rows("pieces");
    let mut stages = rows.filter_map(|row| fields.raw_in("pieces.#.stage", row));
    if !fields.is_seventh() || stages.all(|stage| stage == Stage::Duplicate.word()) {
        return Some(("Copy of", copied));
    }
    let mut words = match copied.is_empty() {
        true if is_of(Stage::Process.word()) => Words::plain("a copy of the final".to_owned()),
        true => copied,
        false => {
            let mut of = Words::plain("a copy of ".to_owned());
            of.runs.extend(copied.runs);
            of
        }
    };
    let made_of = [
        after("base: ", "spare.base").strong(),
        value("spare.teeth").strong(),
        after("shade ", "spare.tooth_shade").comma().strong(),
        value("spare.characterisation"),
        answer("spare.date_mark", "date mark", "no date mark").strong(),
    ];
    words.join("; ", fields.say(&made_of, None));
    Some(("Spare", words))
}

/// Whether the spare is what the lab is to make.
pub fn spare_is_ordered(fields: &SheetFields) -> bool {
    let mut rows = 0..fields.rows("pieces");
    fields.raw("spare.made_by") == Some("lab")
        && rows.any(|row| fields.raw_in("pieces.#.stage", row) == Some("duplicate"))
}

/// Labels that are wider than their column, by shorter ones.
fn rename(entries: &mut [Entry]) {
    for entry in entries {
        let Entry::Fact { label, words } = entry else {
            continue;
        };
        let mut said = words.runs.iter().filter(|run| !run.about.is_empty());
        let section = said.next().and_then(|run| run.about.split('.').next());
        if let Some(short) = section.and_then(short::label) {
            short.clone_into(label);
        }
    }
}

/// What has a clock on it.
pub fn first(fields: &mut SheetFields) -> List {
    let mut entries = fields.lines(FIRST);
    if let Some(source) = impression_source(fields) {
        for run in runs_of(&mut entries, "impression.source") {
            source.clone_into(&mut run.text);
        }
    }
    let is_what_it_is =
        |run: &Run| ["impression.source", "impression.material"].contains(&run.about);
    let mut runs = entries.iter().flat_map(|entry| match entry {
        Entry::Fact { words, .. } => words.runs.as_slice(),
        _ => &[],
    });
    // What the surface is has no clock on it.
    let waits = runs.all(|run| run.about.is_empty() || is_what_it_is(run));
    let is_lasting = matches!(fields.raw("impression.source"), Some("cast" | "scan"));
    if waits && is_lasting && fields.is_sixth() {
        let entries = entries.into_iter().map(|entry| match entry {
            Entry::Fact { words, .. } => Entry::text(words),
            other => other,
        });
        // The cast of a try-in is where its teeth were set up.
        let title = match fields.raw("pattern.source") {
            Some("try_in") if fields.is_seventh() => "Tissue surface",
            _ => "The tissue surface is sent as",
        };
        return List::new(title, entries.collect());
    }
    List::new("First, on arrival", entries)
}

/// What the impression was taken in, where it is no custom tray: a denture that is relined or rebased is its tray, and an
/// immediate denture begins with whatever went over the teeth.
fn impression_source(fields: &SheetFields) -> Option<&'static str> {
    if !fields.is_third() || fields.raw("impression.source") != Some("impression") {
        return None;
    }
    let stages = (0..fields.rows("pieces")).filter_map(|row| fields.raw_in("pieces.#.stage", row));
    let mut stages = stages.peekable();
    let is_own_tray =
        stages.peek().is_some() && stages.all(|one| matches!(one, "reline" | "rebase"));
    let is_immediate = fields.rows("extractions") > 0 || fields.raw("cast_trim.by").is_some();
    short::impression(is_own_tray, is_immediate)
}

/// What the lab must not decide alone.
pub fn ask(fields: &mut SheetFields, telephone: &str) -> List {
    let before = fields.say(&[value("remarks.call_before").strong()], None);
    let title = match before.is_empty() && fields.is_sixth() {
        true => "Ask before proceeding",
        false => "Ask before proceeding if",
    };
    let by = fields.say(&[after("by ", "remarks.ask_by")], None);
    let entries = [before, by].into_iter().filter(|words| !words.is_empty());
    let mut entries: Vec<Entry> = entries.map(Entry::text).collect();
    let is_short = telephone.chars().count() <= 20;
    if !telephone.is_empty() && !is_short && !entries.is_empty() {
        entries.push(Entry::text(Words::plain(format!("tel {telephone}"))));
    }
    let note = match telephone {
        telephone if is_short && !telephone.is_empty() => format!("tel {telephone}"),
        _ => String::new(),
    };
    List::new(title, entries).note(note)
}

/// Every row of the change list under the number that it has in the picture, and since the eighth sheet what fields move.
pub fn change_list(fields: &mut SheetFields, prescription: &Prescription) -> List {
    let net = changes::net(&prescription.pattern.changes);
    let mut entries = Vec::new();
    for (place, part) in net.parts.iter().enumerate() {
        for (at, row) in part.rows.iter().enumerate() {
            let number = Some(place + 1).filter(|_| at == 0);
            entries.push(change(fields, *row, number));
        }
        if part.rows.len() > 1 {
            let sum = match part.is_nothing() {
                true => "no movement: the rows undo each other".to_owned(),
                false => part.words().join(", "),
            };
            let words = Words::plain(format!("{} together: ", place + 1)).and_strong(sum);
            let words = words.about("changes.#.what", part.rows.first().copied());
            entries.push(Entry::text(words));
        }
    }
    for (row, why) in &net.unclear {
        entries.push(change(fields, *row, None));
        let words = Words::plain(why.clone()).about("changes.#.what", Some(*row));
        entries.push(Entry::text(words));
    }
    if fields.is_eighth() {
        entries.extend(moved::rows(fields, prescription));
    }
    let is_try_in = prescription.pattern.source == Some(PatternSource::TryIn);
    let title = match is_try_in && fields.is_seventh() {
        true => "Changes from the try-in",
        false => "Changes from the pattern",
    };
    List::new(title, entries).note("chewing side, not to scale")
}

fn change(fields: &mut SheetFields, row: usize, number: Option<usize>) -> Entry {
    let words = fields.say(
        &[
            value("changes.#.what").strong(),
            value("changes.#.tooth").comma(),
            value("changes.#.direction").colon(),
            value("changes.#.note"),
            after("seen ", "changes.#.date"),
        ],
        Some(row),
    );
    let amount = [
        value("changes.#.mm").strong(),
        value("changes.#.degrees").comma().strong(),
    ];
    Entry::Change(ChangeEntry {
        number,
        words,
        amount: fields.say(&amount, Some(row)),
    })
}

/// Heights, midline and lip, beside the face.
pub fn heights(fields: &mut SheetFields, prescription: &Prescription) -> List {
    let mut entries = fields.lines(HEIGHTS);
    let vertical = &prescription.vertical;
    if let (Some(rest), Some(occlusal)) = (vertical.rest_mm, vertical.occlusal_mm) {
        let between = rest.hundredths().saturating_sub(occlusal.hundredths());
        let freeway = format!("freeway{FIRM}{} mm", Mm::from_hundredths(between));
        for entry in &mut entries {
            if let Entry::Fact { words, .. } = entry
                && words.runs.iter().any(|run| run.about == "vertical.rest_mm")
            {
                words.join("; ", Words::plain(freeway.clone()));
            }
        }
    }
    let readings: Vec<Entry> = (0..fields.rows("readings"))
        .map(|row| {
            if fields.raw_in("readings.#.method", row) == fields.raw("vertical.method") {
                // Said once for all of them.
                fields.take("readings.#.method", Some(row));
            }
            let reading = [
                after("RVD ", "readings.#.rest_mm"),
                after("OVD ", "readings.#.occlusal_mm").comma(),
                value("readings.#.method"),
                value("readings.#.date").comma(),
                value("readings.#.note"),
            ];
            let label = if row == 0 { "Readings" } else { " " };
            Entry::fact(label, fields.say(&reading, Some(row)))
        })
        .collect();
    let at = entries.len().min(2);
    entries.splice(at..at, readings);
    let mut front = fields.lines(FRONT_VIEW);
    if fields.is_eighth() {
        // As the list of what changed names it.
        let words = ("below lip at rest", "incisal show at rest");
        reword(&mut front, "anterior.incisal_show_mm", words);
    }
    entries.extend(front);
    List::new("Heights, plane, lip", entries).note("from the front, not to scale")
}

/// The pictures: the arches large and at 85 %, and the face.
pub fn pictures(prescription: &Prescription, sheet: u32) -> Pictures {
    let places = match sheet {
        ..3 => NumberPlaces::Anywhere,
        _ => NumberPlaces::OwnSide,
    };
    let sketches = Sketches::of(prescription);
    let pair = |scale| arches_side_by_side(prescription, scale, places);
    Pictures {
        arches: (!sketches.arches.rows.is_empty()).then(|| (pair(0.88), pair(0.75))),
        face: (sketches.face.is_written).then(|| small_face(prescription, sheet >= 8)),
    }
}

/// What is drawn on the front.
pub struct Pictures {
    pub arches: Option<(Picture, Picture)>,
    pub face: Option<Picture>,
}
