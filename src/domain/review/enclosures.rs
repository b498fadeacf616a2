//! What is enclosed, how it was disinfected, and what is to come back.

use super::criteria::{lacks, lacks_disinfection, names_no_disinfectant};
use super::input::{Input, names_a_thing, no, rows_named, rows_where, yes};
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{ASEPSIS, CDC, DRY, PRACTICE, TWO_AUDITS};
use crate::domain::custody::Holder;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::form::moments;
use crate::domain::prescription::Enclosed;
use crate::domain::trade::material::{Freshness, dry_storage};
use crate::domain::values::ids::Tag;
use crate::domain::values::words::counted;

/// Longer baths harm more materials than they clean; the label decides. Common practice, no source.
const LONG_BATH_MINUTES: i64 = 60;
/// Labels begin at about this time. Common practice, no source.
const SHORT_BATH_MINUTES: i64 = 3;

/// The rules about what is enclosed, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-21-enclosed",
        unsaid,
        "What is not in the list is not in the box, and nobody misses it.",
        PRACTICE,
    ),
    caution(
        "criterion-22-disinfection",
        disinfection,
        "The method goes with the case, so that nothing is disinfected twice or not at all.",
        TWO_AUDITS,
    ),
    caution(
        "disinfection-off-its-entry",
        off_its_entry,
        "The slip and the record name two ways of one disinfection: the lab goes by the slip.",
        CDC,
    ),
    caution(
        "not-rinsed",
        rinsed,
        "What is left of the disinfectant harms hands, plaster and mucosa.",
        CDC,
    ),
    caution(
        "disinfectant-without-dilution",
        dilution,
        "Sources and labels differ tenfold; only the dilution used says what was done.",
        CDC,
    ),
    caution(
        "contact-time-unusual",
        time,
        "Too short does not disinfect, too long swells, softens or bleaches.",
        ASEPSIS,
    ),
    stop(
        "enclosed-twice",
        twice,
        "One thing in two rows is missed once on receipt.",
        PRACTICE,
    ),
    caution(
        "enclosed-without-tag",
        untagged,
        "An untagged thing cannot be received by its tag, and belongs to nobody.",
        PRACTICE,
    ),
    caution(
        "packed-dry",
        moist,
        "A functional surface and a base lose their form as they dry.",
        DRY,
    ),
    remark(
        "denture-dry-for-days",
        dry_for_days,
        "A base kept dry deforms measurably within two weeks; in water it does not.",
        DRY,
    ),
    caution(
        "denture-dry-for-weeks",
        dry_for_weeks,
        "After two weeks dry the base has measurably deformed: what is copied from it is another fit.",
        DRY,
    ),
    caution(
        "packed-soft",
        hard_box,
        "In a soft bag something presses on the tissue side.",
        PRACTICE,
    ),
    remark(
        "boxes-unsaid",
        boxes,
        "“Box 1 of 2” is missed when it does not come; a box without a number is not.",
        PRACTICE,
    ),
    caution(
        "pattern-return-unsaid",
        pattern_back,
        "The patient’s provisional is the way back if the final fails.",
        PRACTICE,
    ),
    caution(
        "borrowed-not-listed",
        borrowed,
        "A borrowed tab or fork that is not on the list of returns stays away.",
        PRACTICE,
    ),
    caution(
        "return-of-what-is-not-sent",
        return_unsent,
        "What the lab never had it cannot send back.",
        PRACTICE,
    ),
    caution(
        "old-denture-to-the-patient",
        old_to_patient,
        "Worn again, the old denture presses the healed tissue down: it goes back to the office, which keeps or destroys it.",
        PRACTICE,
    ),
    remark(
        "return-without-date",
        return_date,
        "Borrowed things come back when somebody waits for them.",
        PRACTICE,
    ),
];

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    if !lacks(input, 21) {
        return None;
    }
    let rows = rows_where(input.enclosed(), |row| !names_a_thing(row));
    match rows.first() {
        None => at("enclosed.0.tag", "Nothing is listed as enclosed."),
        Some(row) => at(
            format!("enclosed.{row}.what"),
            format!(
                "{}: neither a tag nor what it is stands there.",
                rows_named("Enclosed item", &rows)
            ),
        ),
    }
}

/// A hit at the first row for which `wrong` holds; the sentence names all of them.
fn in_rows(
    input: &Input<'_>,
    field: &str,
    wrong: impl Fn(&Enclosed) -> bool,
    said: &str,
) -> Option<Hit> {
    let rows = rows_where(input.enclosed(), wrong);
    let row = rows.first()?;
    at(
        format!("enclosed.{row}.{field}"),
        format!("{}: {said}", rows_named("Enclosed item", &rows)),
    )
}

fn disinfection(input: &Input<'_>) -> Option<Hit> {
    if !lacks(input, 22) {
        return None;
    }
    let rows = rows_where(input.enclosed(), |row| lacks_disinfection(input, row));
    let row = rows.first()?;
    let field = if input
        .enclosed()
        .get(*row)
        .is_some_and(|row| row.agent.is_none())
    {
        "agent"
    } else {
        "minutes"
    };
    at(
        format!("enclosed.{row}.{field}"),
        format!(
            "{}: disinfectant or contact time is missing.",
            rows_named("Enclosed item", &rows)
        ),
    )
}

/// The same words, whatever their case and spacing.
fn plain(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

/// Whether an entry of a disinfection is of the way that is before this thing: none that is here again, or has been in the
/// mouth since, is.
fn is_of_this_way(input: &Input<'_>, tag: &Tag) -> bool {
    input.state(tag).is_none_or(|state| {
        let is_here = matches!(state.holder, Holder::Office | Holder::Patient);
        state.disinfected || !is_here
    })
}

/// What a row says of a disinfection against the entry of the office.
fn off_its_entry(input: &Input<'_>) -> Option<Hit> {
    let mut rows = input.enclosed().iter().enumerate();
    let (row, field, said, done) = rows.find_map(|(row, enclosed)| {
        let tag = enclosed.tag.as_ref();
        let tag = tag.filter(|tag| is_of_this_way(input, tag))?;
        let mut entries = input.setting.disinfected.iter();
        let done = entries.find(|done| done.tag == *tag)?;
        let agent = enclosed.agent.as_ref()?.as_str();
        let minutes = enclosed.minutes.map(|minutes| minutes.get());
        let is_other = plain(agent) != plain(&done.agent);
        let is_longer = minutes.is_some_and(|minutes| minutes != i64::from(done.minutes));
        let field = is_other
            .then_some("agent")
            .or(is_longer.then_some("minutes"))?;
        Some((row, field, (agent, minutes), done))
    })?;
    let (agent, minutes) = said;
    let minutes = minutes.map_or_else(String::new, |minutes| format!(", {minutes} min"));
    at(
        format!("enclosed.{row}.{field}"),
        format!(
            "Enclosed item {}: “{agent}”{minutes} stands here, and the entry of its disinfection says “{}”, {} min.",
            row + 1,
            done.agent,
            done.minutes
        ),
    )
}

fn rinsed(input: &Input<'_>) -> Option<Hit> {
    let is_disinfected = |row: &Enclosed| row.agent.is_some() && !names_no_disinfectant(row);
    let not_rinsed = in_rows(
        input,
        "rinsed",
        |row| is_disinfected(row) && no(row.rinsed),
        "it was not rinsed after disinfection.",
    );
    not_rinsed.or_else(|| {
        in_rows(
            input,
            "rinsed",
            |row| is_disinfected(row) && row.rinsed.is_none(),
            "it is not said to be rinsed after disinfection.",
        )
    })
}

fn dilution(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "dilution",
        |row| row.agent.is_some() && row.dilution.is_none() && !names_no_disinfectant(row),
        "the disinfectant is named without its dilution.",
    )
}

fn time(input: &Input<'_>) -> Option<Hit> {
    let rows = rows_where(input.enclosed(), |row| {
        row.minutes.is_some_and(|minutes| {
            !(SHORT_BATH_MINUTES..=LONG_BATH_MINUTES).contains(&minutes.get())
        })
    });
    let row = rows.first()?;
    let minutes = input.enclosed().get(*row)?.minutes?.get();
    at(
        format!("enclosed.{row}.minutes"),
        format!(
            "{}: {minutes} min of contact; about 10 min are usual.",
            rows_named("Enclosed item", &rows)
        ),
    )
}

fn twice(input: &Input<'_>) -> Option<Hit> {
    let rows = input.enclosed();
    let repeats = |row: usize, tag: &Tag| {
        rows.iter()
            .take(row)
            .any(|before| before.tag.as_ref() == Some(tag))
    };
    let (row, tag) = rows.iter().enumerate().find_map(|(row, enclosed)| {
        let tag = enclosed.tag.as_ref()?;
        repeats(row, tag).then_some((row, tag))
    })?;
    at(
        format!("enclosed.{row}.tag"),
        format!("{tag} stands twice in the list of what is enclosed."),
    )
}

fn untagged(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "tag",
        |row| row.tag.is_none() && row.what.is_some(),
        "it has no tag.",
    )
}

fn sends_dentures(input: &Input<'_>) -> bool {
    input
        .enclosed_items()
        .any(|(_, item)| item.kind.is_denture())
}

fn moist(input: &Input<'_>) -> Option<Hit> {
    let wrong = sends_dentures(input) && !yes(input.rx.enclosures.moist);
    when(
        wrong,
        "enclosures.moist",
        "Dentures are enclosed, and it is not said that they are packed moist and sealed.",
    )
}

/// A denture in the box that has dried as far as this.
fn dry_as(input: &Input<'_>, freshness: Freshness) -> Option<Hit> {
    let since = input.rx.enclosures.dry_since?;
    let (from, to) = moments((since.date(), None), (input.sent().0, None))?;
    let left = |(_, item): (usize, &Item)| item.kind.is_denture() && input.has_left(&item.tag);
    let verdict = dry_storage(from, to)
        .ok()
        .filter(|_| !input.enclosed_items().any(left))?;
    (verdict.freshness == freshness).then(|| {
        at(
            "enclosures.dry_since",
            format!(
                "A denture in the box has been dry for {}.",
                counted(input.days_until_sent(since), "day")
            ),
        )
    })?
}

fn dry_for_days(input: &Input<'_>) -> Option<Hit> {
    dry_as(input, Freshness::Hurry)
}

fn dry_for_weeks(input: &Input<'_>) -> Option<Hit> {
    dry_as(input, Freshness::Late)
}

fn hard_box(input: &Input<'_>) -> Option<Hit> {
    let wrong = sends_dentures(input) && !yes(input.rx.enclosures.hard_box);
    when(
        wrong,
        "enclosures.hard_box",
        "Dentures are enclosed, and it is not said that they are in a hard box.",
    )
}

fn boxes(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.lists_enclosures() && input.rx.enclosures.boxes.is_none();
    when(
        wrong,
        "enclosures.boxes",
        "In how many boxes the items travel is not given.",
    )
}

fn pattern_back(input: &Input<'_>) -> Option<Hit> {
    let mut sent = input.enclosed_items();
    let is_sent = sent.any(|(_, item)| item.kind == ItemKind::Provisional);
    let answer = input.rx.back.pattern;
    let wrong = is_sent && (answer.is_none() || no(answer));
    when(
        wrong,
        "back.pattern",
        "A provisional denture is enclosed, and it is not said that it comes back.",
    )
}

fn borrowed(input: &Input<'_>) -> Option<Hit> {
    let returns = &input.rx.back.returns;
    let is_listed = |tag: &Tag| returns.iter().any(|row| row.tag.as_ref() == Some(tag));
    let mut sent = input.enclosed_items();
    let (_, item) = sent.find(|(_, item)| item.borrowed && !is_listed(&item.tag))?;
    at(
        "returns.0.tag",
        format!(
            "{} {} is borrowed, and it is not in the list of what is to come back.",
            item.title(),
            item.tag
        ),
    )
}

fn return_date(input: &Input<'_>) -> Option<Hit> {
    let rows = rows_where(&input.rx.back.returns, |row| {
        yes(row.borrowed) && row.due.is_none()
    });
    let row = rows.first()?;
    at(
        format!("returns.{row}.due"),
        format!(
            "{}: borrowed, and by when it is wanted back is not given.",
            rows_named("Return", &rows)
        ),
    )
}

fn return_unsent(input: &Input<'_>) -> Option<Hit> {
    let returns = input.rx.back.returns.iter().enumerate();
    let mut named = returns.filter_map(|(row, one)| Some((row, input.item(one.tag.as_ref()?)?)));
    let (row, item) =
        named.find(|(_, item)| !input.has_left(&item.tag) && !input.reaches_lab(&item.tag))?;
    let is_listed = input.lists_enclosures();
    is_listed.then(|| {
        at(
            format!("returns.{row}.tag"),
            format!(
                "{} {} is to come back, and it is neither in the list of what is enclosed nor at the lab.",
                item.title(),
                item.tag
            ),
        )
        .map(|hit| hit.answered_by(input, &item.tag))
    })?
}

/// Words of a phrase that hands something over.
const HANDS_OVER: &[&str] = &[
    "send", "sent", "give", "given", "return", "returned", "mail", "post", "hand", "goes", "back",
];

/// Whether a phrase gives an old denture to the patient.
fn gives_the_old(phrase: &str) -> bool {
    let words: Vec<&str> = phrase
        .split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let has = |names: &[&str]| words.iter().any(|word| names.contains(word));
    let is_old = words
        .windows(2)
        .any(|pair| matches!(pair, ["old", "denture" | "dentures"]));
    let to_patient = words
        .windows(2)
        .any(|pair| matches!(pair, ["to", "patient"]))
        || words
            .windows(3)
            .any(|three| matches!(three, ["to", "the", "patient"]));
    is_old && to_patient && has(HANDS_OVER) && !has(&["not", "never", "no"])
}

fn old_to_patient(input: &Input<'_>) -> Option<Hit> {
    let gives = |text: &str| {
        let lower = text.to_lowercase();
        lower.split(['.', ';', '\n']).any(gives_the_old)
    };
    let found = input.texts().iter().find(|text| gives(&text.text))?;
    at(
        found.key.clone(),
        "The old denture is to go to the patient.",
    )
}
