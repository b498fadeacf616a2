//! What the record says of a prescription: items, who wears them, entries. A tag names a thing; what it is called
//! stands with the tag and is not written once more.

use super::chairside;
use super::known::{OnRecord, one};
use super::layers::Layers;
use super::things::{followed, goes_along};
use crate::domain::custody::events::{Made, Registered};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::mouth::Worn;
use crate::domain::custody::{Event, Holder, ScanOf, State, What};
use crate::domain::form::{Kind, MOST_ROWS};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::Origin;
use crate::domain::prescription::{Course, ScanShows, StaysWith, field_spec};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::{Moment, show_date};

const CORRECTED: &str = "pattern.last_corrected";
const KEEP: &str = "pattern.keep";

/// Everything that items and entries say.
pub fn offer(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let patterns = offer_patterns(layers, known, course);
    if matches!(course, Course::Copy | Course::DigitalCopy | Course::Single) {
        offer_log(layers, known, &patterns);
    }
    if matches!(course, Course::Copy | Course::Single) {
        offer_surface(layers, known, &patterns);
    }
    if matches!(course, Course::Copy | Course::Single | Course::Everything) {
        offer_duplicates(layers, known);
    }
    offer_records(layers, known, course);
    offer_returned(layers, known, course);
    offer_spare(layers, known, course);
    offer_boxed(layers, known, course);
    offer_files(layers, known, course, &patterns);
}

fn say(layers: &mut Layers<'_>, key: &str, text: &str) {
    layers.offer(Origin::Record, key, text);
}

/// `upper_item` for the upper arch.
fn of_arch(section: &str, arch: Arch, field: &str) -> String {
    format!("{section}.{}_{field}", arch.word())
}

/// What is followed, jaw by jaw: in the mouth still, or at the office. Where there are two of them nobody but the
/// writer knows which one is meant.
fn offer_patterns(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) -> Vec<Tag> {
    let mut patterns = Vec::new();
    for arch in known.arches.treated() {
        let is_it = |(item, state): &(&Item, &State)| {
            let is_here = matches!(state.holder, Holder::Office | Holder::Patient);
            let is_kept = state.withheld.is_some() || state.spare || state.given_back;
            followed(course) == Some(item.kind) && item.arch == Some(*arch) && is_here && !is_kept
        };
        let key = of_arch("pattern", *arch, "item");
        // A try-in is finished or reset where a piece of its jaw is ordered.
        let is_answered = matches!(course, Course::Reset | Course::Finish);
        if is_answered && !layers.orders(*arch) {
            continue;
        }
        if let Some((item, _)) = one(known.things().filter(is_it)) {
            say(layers, &key, &item.tag.to_string());
        }
        let named = layers.says(&key).map(Tag::parse);
        patterns.extend(named.and_then(Result::ok));
    }
    patterns
}

/// What months of wearing and correcting have left in the record.
fn offer_log(layers: &mut Layers<'_>, known: &OnRecord<'_>, patterns: &[Tag]) {
    if let Some(since) = worn_since(known, patterns) {
        say(layers, "pattern.worn_since", &show_date(since.date()));
    }
    offer_corrected(layers, known, patterns);
    let mut rows = chairside::still_to_be_done(known, patterns);
    rows.truncate(MOST_ROWS);
    layers.offer_rows(Origin::Record, "changes", &rows);
}

/// When the pattern was corrected last, and what of that is to be kept.
fn offer_corrected(layers: &mut Layers<'_>, known: &OnRecord<'_>, patterns: &[Tag]) {
    if let Some(day) = chairside::last_corrected(known, patterns) {
        say(layers, CORRECTED, &show_date(day));
    }
    let kept = chairside::to_be_kept(known, patterns, most(KEEP));
    say(layers, KEEP, &kept);
}

/// What is read of a text that was signed already: it knows nothing of what was done to its pattern since.
pub fn offer_since(layers: &mut Layers<'_>, known: &OnRecord<'_>) {
    if chairside::is_overtaken(known) {
        offer_corrected(layers, known, &known.ordered.patterns);
    }
}

/// Takes out of the fields of a signed text what the chair has overtaken since, so that the record fills it again: the day
/// of the last correction where the record knows a later one, and what is to be kept where it says what the record had
/// said. A day and words of the writer's own stay.
pub fn without_overtaken(fields: &mut Fields, known: &OnRecord<'_>) {
    let signed = known.ordered.since.map(|since| since.unix_ms);
    let Some(signed) = signed.filter(|_| chairside::is_overtaken(known)) else {
        return;
    };
    let last = chairside::last_corrected(known, &known.ordered.patterns);
    let named = known.ordered.corrected;
    if last.is_some_and(|last| named.is_none_or(|named| last > named)) {
        fields.remove(CORRECTED);
    }
    let before = known.events.iter();
    let before = before.filter(|event| event.entered_at.unix_ms <= signed);
    let before: Vec<Event> = before.cloned().collect();
    let then = OnRecord {
        events: &before,
        ..*known
    };
    let kept = chairside::to_be_kept(&then, &known.ordered.patterns, most(KEEP));
    if fields.get(KEEP) == Some(&kept) {
        fields.remove(KEEP);
    }
}

/// Since when both are worn in this form: since the later one went in. What was in the mouth when it was registered
/// has been there for nobody knows how long, but for no shorter time than what was fitted after it.
fn worn_since(known: &OnRecord<'_>, patterns: &[Tag]) -> Option<Moment> {
    let line = known.state.worn(known.items);
    let first = |tag: &Tag| line.iter().find(|worn| worn.tag == *tag);
    let is_fitting = |worn: &Worn| {
        known.standing().any(|event| {
            let tag = match &event.what {
                What::Fitted(one) => &one.tag,
                _ => return false,
            };
            *tag == worn.tag && event.at == worn.from
        })
    };
    let last = patterns.iter().filter_map(first);
    let last = last.max_by_key(|worn| worn.from.unix_ms)?;
    is_fitting(last).then_some(last.from)
}

/// How many characters a field takes.
fn most(key: &str) -> usize {
    match field_spec(key).map(|spec| spec.kind) {
        Some(Kind::Text { max } | Kind::LongText { max }) => max,
        _ => 0,
    }
}

/// When the surface that formed in the mouth was put in and taken out; said only where both jaws say the same day.
fn offer_surface(layers: &mut Layers<'_>, known: &OnRecord<'_>, patterns: &[Tag]) {
    let placed: Vec<_> = patterns
        .iter()
        .filter_map(|tag| chairside::surface_renewed(known, tag))
        .collect();
    let Some((day, at)) = placed.first() else {
        return;
    };
    if placed.len() != patterns.len() || placed.iter().any(|(other, _)| other != day) {
        return;
    }
    say(layers, "impression.placed_on", &show_date(*day));
    say(
        layers,
        "impression.placed_at",
        at.as_deref().unwrap_or_default(),
    );
    let line = known.state.worn(known.items);
    let out = |tag: &Tag| {
        let last = line.iter().rev().find(|worn| worn.tag == *tag)?;
        last.to.filter(|to| to.date() >= *day)
    };
    let taken: Vec<Moment> = patterns.iter().filter_map(out).collect();
    let Some(last) = taken.iter().max_by_key(|at| at.unix_ms) else {
        return;
    };
    if taken.len() == patterns.len() && taken.iter().all(|at| at.date() == last.date()) {
        say(layers, "impression.removed_on", &show_date(last.date()));
        say(layers, "impression.removed_at", &last.clock());
    }
}

/// The entry by which a thing began.
fn beginning<'a>(known: &OnRecord<'a>, tag: &Tag) -> Option<(&'a Event, &'a Registered)> {
    known.events.iter().find_map(|event| match &event.what {
        What::Registered(one) if one.tag == *tag => Some((event, one)),
        _ => None,
    })
}

/// What the patient wears while the pattern is away, and how it was made.
fn offer_duplicates(layers: &mut Layers<'_>, known: &OnRecord<'_>) {
    for arch in known.arches.treated() {
        let is_it = |(item, state): &(&Item, &State)| {
            let is_here = matches!(state.holder, Holder::Office | Holder::Patient);
            item.kind == ItemKind::Duplicate
                && item.arch == Some(*arch)
                && is_here
                && !state.spare
                && state.withheld.is_none()
        };
        let worn = one(known.things().filter(is_it).filter(|(_, state)| state.worn));
        let Some((item, _)) = worn.or_else(|| one(known.things().filter(is_it))) else {
            continue;
        };
        say(
            layers,
            &of_arch("duplicate", *arch, "item"),
            &item.tag.to_string(),
        );
        let began = beginning(known, &item.tag);
        let Some((event, made)) = began.and_then(|(event, one)| Some((event, one.made.as_ref()?)))
        else {
            continue;
        };
        offer_making(layers, known, *arch, event, made);
    }
}

fn offer_making(
    layers: &mut Layers<'_>,
    known: &OnRecord<'_>,
    arch: Arch,
    event: &Event,
    made: &Made,
) {
    let is_pattern = |tag: &&Tag| {
        known
            .item(tag)
            .is_some_and(|item| item.kind == ItemKind::Provisional)
    };
    if let Some(from) = made.from.iter().find(is_pattern) {
        say(
            layers,
            &of_arch("duplicate", arch, "from"),
            &from.to_string(),
        );
    }
    if let Some(minutes) = made.pot_minutes {
        let key = of_arch("duplicate", arch, "minutes");
        say(layers, &key, &minutes.to_string());
    }
    if made.material.chars().count() <= most("duplicate.resin") {
        say(layers, "duplicate.resin", made.material.trim());
    }
    let by = match made.maker.trim() {
        "" => event.by.role.shown(),
        maker => maker,
    };
    if by.chars().count() <= most("duplicate.made_by") {
        say(layers, "duplicate.made_by", by);
    }
    say(layers, "duplicate.made_on", &show_date(event.at.date()));
}

/// Bite, facebow and protrusive record, shade tab: the one of its kind that goes along.
fn offer_records(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let only = |kind: ItemKind| {
        let found = known.only(kind, None);
        let item = found
            .or_else(|| not_sent_yet(known, kind).filter(|_| course == Course::Reset))
            .filter(|_| goes_along(course, kind))?;
        Some((item, item.tag.to_string()))
    };
    if let Some((item, tag)) = only(ItemKind::BiteRecord) {
        say(layers, "jaw.item", &tag);
        // Where it was made here, the entry is of that moment; what only came in says nothing of the day.
        let is_named = layers.is("jaw.item", &tag);
        let made = beginning(known, &item.tag).filter(|(_, one)| is_named && one.made.is_some());
        if let Some((event, _)) = made {
            say(layers, "jaw.taken_on", &show_date(event.at.date()));
        }
    }
    if let Some((_, tag)) = only(ItemKind::FacebowRecord) {
        say(layers, "facebow.made", "yes");
        say(layers, "facebow.item", &tag);
    }
    if let Some((_, tag)) = only(ItemKind::ProtrusiveRecord) {
        say(layers, "guidance.source", "record");
        say(layers, "guidance.item", &tag);
    }
    if let Some((_, tag)) = only(ItemKind::ShadeTab) {
        say(layers, "shade.tab_enclosed", "yes");
        say(layers, "shade.tab_item", &tag);
    }
    if course == Course::Tray {
        let has = |kind| known.at_the_office().any(|(item, _)| item.kind == kind);
        match (has(ItemKind::Cast), has(ItemKind::Impression)) {
            (true, false) => say(layers, "impression.source", "cast"),
            (false, true) => say(layers, "impression.source", "impression"),
            _ => {}
        }
    }
}

/// Of several of a kind at the office the one that has never been sent: beside the record of a set-up, the new one.
fn not_sent_yet<'a>(known: &OnRecord<'a>, kind: ItemKind) -> Option<&'a Item> {
    let was_sent = |tag: &Tag| {
        let mut handoffs = known.state.handoffs.iter();
        handoffs.any(|one| one.voided.is_none() && one.carries(tag))
    };
    let here = known.at_the_office().map(|(item, _)| item);
    one(here.filter(|item| item.kind == kind && !was_sent(&item.tag)))
}

/// The dentures that are named as relined or repaired.
fn named_to_mend(layers: &Layers<'_>, course: Course) -> Vec<Tag> {
    let keys: &[&str] = match course {
        Course::Reline => &["reline.item", "reline.other_item"],
        Course::Repair => &["repair.item", "repair.other_item"],
        _ => &[],
    };
    let named = keys.iter().filter_map(|key| layers.says(key));
    named.filter_map(|tag| Tag::parse(tag).ok()).collect()
}

/// Whether a copy is what the patient wears meanwhile: where the denture that it was copied from is here to be mended, or is
/// named and comes out of the mouth for it, that goes, and the copy stays.
fn stays_meanwhile(known: &OnRecord<'_>, (course, named): (Course, &[Tag]), item: &Item) -> bool {
    let is_mended = matches!(course, Course::Reline | Course::Repair);
    let is_original = |one: &Item| {
        let is_kind = matches!(one.kind, ItemKind::FinalDenture | ItemKind::Provisional);
        is_kind && one.arch == item.arch
    };
    let mut here = known.at_the_office();
    let mut comes_out = known.things().filter(|(one, _)| named.contains(&one.tag));
    let is_here =
        here.any(|(one, _)| is_original(one)) || comes_out.any(|(one, _)| is_original(one));
    is_mended && item.kind == ItemKind::Duplicate && is_here
}

/// The try-ins that are answered, and dentures that come back to be relined, repaired or ground in.
fn offer_returned(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let named = named_to_mend(layers, course);
    let sent = |arch: Arch| {
        let is_it = |item: &&Item| {
            let goes =
                goes_along(course, item.kind) && !stays_meanwhile(known, (course, &named), item);
            item.kind.is_wearable() && item.arch == Some(arch) && goes
        };
        let item = one(known.at_the_office().map(|(item, _)| item).filter(is_it));
        item.map_or_else(String::new, |item| item.tag.to_string())
    };
    let jaws = known.arches.treated();
    let in_turn = |layers: &mut Layers<'_>, keys: [&str; 2]| {
        for (key, arch) in keys.into_iter().zip(jaws) {
            say(layers, key, &sent(*arch));
        }
    };
    match course {
        Course::Reset | Course::Finish => {
            for arch in known.arches.treated() {
                let tag = layers.says(&of_arch("pattern", *arch, "item"));
                let tag = tag.unwrap_or_default().to_owned();
                say(layers, &format!("approval.item_{}", arch.word()), &tag);
            }
        }
        Course::Reline => in_turn(layers, ["reline.item", "reline.other_item"]),
        Course::Repair => in_turn(layers, ["repair.item", "repair.other_item"]),
        Course::Remount => {
            for arch in jaws {
                say(layers, &of_arch("remount", *arch, "item"), &sent(*arch));
            }
        }
        _ => {}
    }
}

/// What a spare is copied from: the pattern, or the denture that is sent to be copied. What is finished from a wax try-in
/// is copied when it is finished, and has no tag yet.
fn offer_spare(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    for arch in known.arches.treated() {
        let is_wanted = layers.is("spare.arch", "both") || layers.is("spare.arch", arch.word());
        if !is_wanted {
            continue;
        }
        let is_sent = |item: &&Item| {
            item.kind.is_wearable() && item.arch == Some(*arch) && goes_along(course, item.kind)
        };
        let sent = known.at_the_office().map(|(item, _)| item);
        let from = match course {
            Course::Duplicate => one(sent.filter(is_sent)).map(|item| item.tag.to_string()),
            _ => {
                let tag = layers.says(&of_arch("pattern", *arch, "item"));
                let tag = tag.and_then(|tag| Tag::parse(tag).ok());
                let is_wax = |tag: &Tag| {
                    let item = known.item(tag);
                    item.is_some_and(|item| item.kind == ItemKind::TryIn)
                };
                tag.filter(|tag| !is_wax(tag)).map(|tag| tag.to_string())
            }
        };
        let key = format!("spare.copied_{}", arch.word());
        say(layers, &key, &from.unwrap_or_default());
    }
}

/// What stands at the office and goes along, and of it what is lent and wanted back.
fn offer_boxed(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let named = layers.says("jaw.item").and_then(|tag| Tag::parse(tag).ok());
    let named = named.filter(|tag| known.item(tag).is_some());
    // Of several records the lab mounts by the one that is named.
    let is_other_record = |item: &Item| {
        let is_record = course == Course::Reset && item.kind == ItemKind::BiteRecord;
        is_record && named.as_ref().is_some_and(|tag| *tag != item.tag)
    };
    let mended = named_to_mend(layers, course);
    let is_boxed = |item: &Item| {
        // The other jaw goes along as what the new one is set against.
        let is_opposing = matches!(
            item.kind,
            ItemKind::Cast | ItemKind::Impression | ItemKind::RemountCast
        );
        let is_of_it = item.arch.is_none_or(|arch| known.treats(arch)) || is_opposing;
        let goes =
            goes_along(course, item.kind) && !stays_meanwhile(known, (course, &mended), item);
        goes && is_of_it && !is_other_record(item)
    };
    let boxed: Vec<(&Item, &State)> = known
        .at_the_office()
        .filter(|(item, _)| is_boxed(item))
        .take(MOST_ROWS)
        .collect();
    let row = |(item, state): &(&Item, &State)| {
        let pieces = state.pieces.unwrap_or(item.pieces);
        let pieces = (pieces > 1).then(|| pieces.to_string());
        vec![
            ("tag", item.tag.to_string()),
            ("pieces", pieces.unwrap_or_default()),
        ]
    };
    let rows: Vec<_> = boxed.iter().map(row).collect();
    layers.offer_rows(Origin::Record, "enclosed", &rows);
    let lent = lent(layers, known);
    let back = |tag: &Tag| vec![("tag", tag.to_string()), ("borrowed", "yes".to_owned())];
    let rows: Vec<_> = lent.iter().map(back).collect();
    layers.offer_rows(Origin::Record, "returns", &rows);
}

/// What is listed as enclosed and wanted back: what is lent, and a shade tab, of which each guide has one (common practice,
/// no source).
fn lent(layers: &Layers<'_>, known: &OnRecord<'_>) -> Vec<Tag> {
    let rows = layers.rows("enclosed").into_iter();
    let tags = rows.filter_map(|row| {
        let tag = layers.says(&format!("enclosed.{row}.tag"))?;
        Tag::parse(tag).ok()
    });
    let is_lent = |item: &Item| item.borrowed || item.kind == ItemKind::ShadeTab;
    tags.filter(|tag| known.item(tag).is_some_and(is_lent))
        .collect()
}

/// Files in place of things, and where what they show stays.
fn offer_files(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course, patterns: &[Tag]) {
    if course != Course::DigitalCopy {
        return;
    }
    let files = known
        .at_the_office()
        .filter(|(item, _)| item.kind == ItemKind::Scan)
        .take(MOST_ROWS);
    let row = |(item, state): (&Item, &State)| {
        let facts = state.file.clone().unwrap_or_default();
        let word = |word: Option<&'static str>| word.unwrap_or_default().to_owned();
        let hash = facts.sha256.as_ref().map(|hash| hash.as_str().to_owned());
        let name = facts.name.trim();
        let fits = name.chars().count() <= most("scans.0.file");
        let mut filed = known.state.scans.iter();
        let filed = filed.find(|one| one.item.as_ref() == Some(&item.tag) && !one.is_erased());
        let shows = filed.and_then(|one| shown_by(one.shows, known));
        vec![
            ("tag", item.tag.to_string()),
            ("shows", word(shows.map(ScanShows::word))),
            ("file", if fits { name.to_owned() } else { String::new() }),
            ("format", word(facts.format.map(|format| format.word()))),
            ("units", word(facts.units.map(|units| units.word()))),
            ("sha256", hash.unwrap_or_default()),
        ]
    };
    let rows: Vec<_> = files.map(row).collect();
    layers.offer_rows(Origin::Record, "scans", &rows);
    let stays = |tag: &Tag| {
        let holder = known.state.item(tag).map(|state| state.holder);
        let with = match holder {
            Some(Holder::Patient) => StaysWith::Patient.word(),
            Some(Holder::Office) => StaysWith::Office.word(),
            _ => "",
        };
        vec![("tag", tag.to_string()), ("by", with.to_owned())]
    };
    let rows: Vec<_> = patterns.iter().map(stays).collect();
    layers.offer_rows(Origin::Record, "kept", &rows);
}

/// What a file shows, by the word of whoever added it; nothing where that word does not say which surface.
fn shown_by(shows: ScanOf, known: &OnRecord<'_>) -> Option<ScanShows> {
    match shows {
        ScanOf::UpperPattern => Some(ScanShows::UpperWhole),
        ScanOf::LowerPattern => Some(ScanShows::LowerWhole),
        ScanOf::BothTogether => Some(ScanShows::InOcclusion),
        ScanOf::UpperJaw | ScanOf::LowerJaw => {
            let is_other = shows.arch().is_some_and(|arch| !known.treats(arch));
            is_other.then_some(ScanShows::Opposing)
        }
        ScanOf::Model | ScanOf::Other => None,
    }
}
