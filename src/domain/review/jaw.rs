//! The bite record.

use super::criteria::lacks;
use super::input::{Input, no, words, yes};
use super::not_listed::not_listed;
use super::reasons::RECORD_NOT_IN_BOX;
use super::rule::{Hit, Rule, at, caution, is_reason, when};
use super::sources::{AXIS, OWN_RULE, PRACTICE, RECORDS};
use super::stages::is_mounted_by;
use crate::domain::form::{YesNo, moments};
use crate::domain::prescription::{JawPosition, Opposing, Piece, RecordMaterial, VerticalOrder};
use crate::domain::trade::material::{Freshness, jaw_record};
use crate::domain::values::measure::Mm;
use crate::domain::values::words::counted;

/// A record between teeth that meet is no thicker. Common practice, no source.
const IN_CONTACT: Mm = Mm::from_hundredths(100);

/// A record of another position at the final height, between teeth or rims that nearly meet, is no thicker. Common
/// practice, no source.
const NEAR_CONTACT: Mm = Mm::from_hundredths(300);

/// The rules about the bite record, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-16-jaw-record",
        record,
        "Without a record the lab mounts by eye, and every contact is a guess.",
        PRACTICE,
    ),
    caution(
        "vertical-after-record",
        after_record,
        "A record closed or opened about the wrong axis shifts the bite: without a facebow record the axis is a guess.",
        AXIS,
    ),
    caution(
        "vertical-changed-though-final",
        final_record,
        "A record taken at the final height and an order to change it cannot both be meant.",
        PRACTICE,
    ),
    caution(
        "height-changed-after-the-record",
        of_another_height,
        "A record is of the height at which it was taken: changed on paper, it no longer fits.",
        OWN_RULE,
    ),
    caution(
        "record-off-the-kept-height",
        off_height,
        "Somebody has to close the record to the kept height, and its thickness comes into the bite.",
        AXIS,
    ),
    caution(
        "record-height-unsaid",
        height_unsaid,
        "The lab must know whether it may mount without moving the pin.",
        PRACTICE,
    ),
    caution(
        "record-thickness-unsaid",
        thickness,
        "How far the pin has to close follows from the thickness.",
        AXIS,
    ),
    caution(
        "thick-record-of-a-closed-bite",
        thick,
        "Teeth that meet leave no room for a record: it was taken open, or at another height.",
        OWN_RULE,
    ),
    caution(
        "record-not-keyed",
        keyed,
        "A record without keys seats in more than one place.",
        PRACTICE,
    ),
    caution(
        "grooves-unsaid",
        grooves,
        "The technician looks for the keys where they are said to be.",
        PRACTICE,
    ),
    caution(
        "grooves-on-the-chewing-surface",
        chewing,
        "Grooves in the chewing surface destroy the contacts that the pattern has worn in.",
        PRACTICE,
    ),
    caution(
        "seating-unsaid",
        seating,
        "Seated in another order or pressed, the record does not close.",
        PRACTICE,
    ),
    caution(
        "wax-record-old",
        wax_old,
        "Wax changes measurably within the hour.",
        RECORDS,
    ),
    caution(
        "wax-record-undated",
        wax_undated,
        "Wax changes measurably within the hour; without day and time nobody knows how old it is.",
        RECORDS,
    ),
    caution(
        "record-before-last-correction",
        corrected,
        "The pattern was changed after the bite was taken, so the two no longer fit.",
        PRACTICE,
    ),
    caution("record-not-enclosed", enclosed, RECORD_NOT_IN_BOX, PRACTICE),
    caution(
        "record-other-without-note",
        other,
        "“Other material” has to be said in words: it decides how the record is kept.",
        PRACTICE,
    ),
];

fn record(input: &Input<'_>) -> Option<Hit> {
    let sentence = if input.rx.jaw.position.is_none() {
        "Which jaw position was recorded is not given."
    } else {
        "A jaw position is named, and no record of it."
    };
    when(lacks(input, 16), "jaw.position", sentence)
}

fn is_change(input: &Input<'_>) -> bool {
    matches!(
        input.rx.vertical.order,
        Some(VerticalOrder::Open | VerticalOrder::Close)
    )
}

fn after_record(input: &Input<'_>) -> Option<Hit> {
    // Where the facebow record is not spoken of at all, that is asked first.
    let wrong = is_change(input) && no(input.rx.facebow.made);
    wrong.then(|| {
        let amount = input.rx.vertical.change_mm.map(|mm| format!(" by {mm} mm")).unwrap_or_default();
        at("facebow.made", format!("The vertical dimension is changed{amount} after the bite record, and there is no facebow record."))
    })?
}

fn final_record(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_change(input) && yes(input.rx.jaw.at_final_vertical);
    when(
        wrong,
        "jaw.at_final_vertical",
        "The record was taken at the final vertical dimension, and a change of it is ordered.",
    )
}

/// Two heights that are still one reading, in hundredths of a millimetre. Common practice, no source.
const SAME_HEIGHT: i64 = 50;

/// A height that differs from that of the revision before, with the record of before, said to be at the final height.
fn of_another_height(input: &Input<'_>) -> Option<Hit> {
    let (rx, before) = (input.rx, input.setting.previous.as_ref()?);
    let (now, then) = (rx.vertical.occlusal_mm?, before.vertical.occlusal_mm?);
    let is_same = (rx.jaw.item == before.jaw.item) && (rx.jaw.taken_on == before.jaw.taken_on);
    let is_other = (now.hundredths() - then.hundredths()).abs() > SAME_HEIGHT;
    let wrong = is_other && is_same && yes(rx.jaw.at_final_vertical) && !is_change(input);
    (wrong && input.has_bite_record()).then(|| {
        at(
            "jaw.at_final_vertical",
            format!("The occlusal vertical dimension was {then} mm and is {now} mm in this revision; the bite record is that of before, and is said to be at the final one."),
        )
    })?
}

fn off_height(input: &Input<'_>) -> Option<Hit> {
    let kept = input.rx.vertical.order == Some(VerticalOrder::Keep);
    let wrong = kept && no(input.rx.jaw.at_final_vertical) && no(input.rx.facebow.made);
    when(
        wrong,
        "jaw.at_final_vertical",
        "The record was not taken at the final vertical dimension, and there is no facebow record to close it by.",
    )
}

fn height_unsaid(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.has_bite_record() && input.rx.jaw.at_final_vertical.is_none();
    when(
        wrong,
        "jaw.at_final_vertical",
        "It is not said whether the record was taken at the final vertical dimension.",
    )
}

fn thickness(input: &Input<'_>) -> Option<Hit> {
    let wrong = no(input.rx.jaw.at_final_vertical) && input.rx.jaw.thickness_mm.is_none();
    when(
        wrong,
        "jaw.thickness_mm",
        "The record must be closed to the final vertical dimension, and its thickness is not given.",
    )
}

fn thick(input: &Input<'_>) -> Option<Hit> {
    let jaw = &input.rx.jaw;
    let thickness = jaw.thickness_mm.filter(|mm| *mm > IN_CONTACT)?;
    let is_closed = jaw.position == Some(JawPosition::Intercuspation);
    let of_what = match is_closed {
        true => "of the habitual bite ",
        false => "",
    };
    let wrong = yes(jaw.at_final_vertical) && (is_closed || thickness > NEAR_CONTACT);
    wrong.then(|| {
        at(
            "jaw.thickness_mm",
            format!("The record is {of_what}at the final vertical dimension, and {thickness} mm thick between the teeth."),
        )
    })?
}

/// Whether the record only shows where each piece meets natural teeth, which key it themselves. Common practice, no
/// source.
fn is_bite_of_teeth(input: &Input<'_>) -> bool {
    let natural =
        |piece: &Piece| matches!(piece.opposing, Some(Opposing::Natural | Opposing::Partial));
    let pieces = input.pieces();
    input.rx.jaw.position == Some(JawPosition::Intercuspation)
        && !pieces.is_empty()
        && pieces.iter().all(natural)
}

fn keyed(input: &Input<'_>) -> Option<Hit> {
    let jaw = &input.rx.jaw;
    let (said_no, is_of_teeth) = (jaw.keyed == Some(YesNo::No), is_bite_of_teeth(input));
    // That no key is needed is somebody's word, and has its reason: an empty field is a forgotten one.
    let is_meant = said_no
        && is_of_teeth
        && jaw
            .note
            .as_ref()
            .is_some_and(|note| is_reason(note.as_str()));
    let wrong = input.has_bite_record() && !yes(jaw.keyed) && !is_meant;
    let (key, sentence) = if said_no && is_of_teeth {
        (
            "jaw.note",
            "The bite record is not keyed, and the note does not say why the natural teeth need no key.",
        )
    } else {
        ("jaw.keyed", "The bite record is not said to be keyed.")
    };
    when(wrong, key, sentence)
}

fn grooves(input: &Input<'_>) -> Option<Hit> {
    let wrong = yes(input.rx.jaw.keyed) && input.rx.jaw.grooves.is_none();
    when(
        wrong,
        "jaw.grooves",
        "The record is keyed, and where the grooves lie is not given.",
    )
}

/// Whether the text puts the grooves into the chewing surface, and does not say that they keep away
/// from it.
fn names_chewing_surface(text: &str) -> bool {
    const AWAY: [&str; 8] = [
        "not ", "away", "off ", "outside", "never", "without", "below", "beside",
    ];
    let words: Vec<&str> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    // The occlusal edge, border or third of a block is its side, near the surface and not in it.
    let is_surface = |pair: &[&str]| match pair {
        ["occlusal" | "chewing" | "biting", next] => {
            matches!(
                *next,
                "surface" | "surfaces" | "face" | "faces" | "table" | "fissure" | "fissures"
            )
        }
        _ => false,
    };
    words.windows(2).any(is_surface) && !AWAY.iter().any(|word| text.contains(word))
}

fn chewing(input: &Input<'_>) -> Option<Hit> {
    let wrong = names_chewing_surface(&words(&input.rx.jaw.grooves));
    when(
        wrong,
        "jaw.grooves",
        "The grooves are said to lie on the chewing surface.",
    )
}

fn seating(input: &Input<'_>) -> Option<Hit> {
    let wrong = yes(input.rx.jaw.keyed) && input.rx.jaw.seating.is_none();
    when(
        wrong,
        "jaw.seating",
        "In which order the record is seated is not given.",
    )
}

fn is_wax(input: &Input<'_>) -> bool {
    input.rx.jaw.material == Some(RecordMaterial::Wax)
}

fn wax_old(input: &Input<'_>) -> Option<Hit> {
    let jaw = &input.rx.jaw;
    let has_left = jaw.item.as_ref().is_some_and(|tag| input.has_left(tag));
    let taken = jaw.taken_on.filter(|_| is_wax(input) && !has_left)?;
    let days = input.days_until_sent(taken);
    let age = if days > 0 {
        counted(days, "day")
    } else {
        let (from, to) = moments((taken.date(), jaw.taken_at), input.sent())?;
        let verdict = jaw_record(RecordMaterial::Wax, from, to).ok()?;
        (verdict.freshness == Freshness::Late).then(|| counted(verdict.minutes, "minute"))?
    };
    at(
        "jaw.material",
        format!("The record is of wax and {age} old when it is sent."),
    )
}

fn wax_undated(input: &Input<'_>) -> Option<Hit> {
    let jaw = &input.rx.jaw;
    let wrong = is_wax(input) && (jaw.taken_on.is_none() || jaw.taken_at.is_none());
    when(
        wrong,
        "jaw.taken_on",
        "The record is of wax, and day or time of taking is not given.",
    )
}

fn corrected(input: &Input<'_>) -> Option<Hit> {
    let (taken, corrected) = (input.rx.jaw.taken_on?, input.rx.pattern.last_corrected?);
    when(
        taken < corrected,
        "jaw.taken_on",
        "The bite was recorded before the last correction of the pattern.",
    )
}

fn enclosed(input: &Input<'_>) -> Option<Hit> {
    let tag = input.rx.jaw.item.as_ref()?;
    let is_missing = !input.reaches_lab(tag) && !is_mounted_by(input, tag);
    let wrong = input.lists_enclosures() && is_missing;
    wrong.then(|| not_listed(input, "jaw.item", "bite record", tag))?
}

fn other(input: &Input<'_>) -> Option<Hit> {
    let jaw = &input.rx.jaw;
    let wrong = jaw.material == Some(RecordMaterial::Other) && jaw.note.is_none();
    when(
        wrong,
        "jaw.note",
        "The record is of another material, and the note does not say which.",
    )
}
