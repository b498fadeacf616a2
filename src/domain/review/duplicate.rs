//! The duplicate that the patient wears while the pattern is away, and how it was made.

use super::input::{BOTH, Input};
use super::reasons::{COPIED_AGAIN, WATER_OFF};
use super::rule::{Hit, Rule, at, caution, remark, when};
use super::sources::{COMPLAINTS, POT, PRACTICE};
use crate::domain::custody::item::ItemKind;
use crate::domain::form::Whole;
use crate::domain::prescription::{Duplicate, Flask, FlaskFilling};
use crate::domain::trade::material::{Freshness, is_long_in_pot, pot_water, pressure_pot};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// The rules about the duplicate, in the order of their findings.
pub const RULES: &[Rule] = &[
    remark(
        "duplicate-undescribed",
        undescribed,
        "If the duplicate breaks, another is made in the same way only when the way is written down.",
        PRACTICE,
    ),
    caution(
        "duplicate-without-pattern",
        pattern,
        "What it was made from decides its height, its teeth and the day that its fit is of.",
        PRACTICE,
    ),
    caution(
        "duplicate-of-a-duplicate",
        copy_of_copy,
        COPIED_AGAIN,
        COMPLAINTS,
    ),
    caution(
        "duplicate-of-the-old-denture",
        copy_of_old,
        "The old denture has the teeth, the height and the fit that the provisional was made to replace.",
        PRACTICE,
    ),
    caution(
        "duplicate-flask-unsaid",
        flask,
        "A flask that was not closed gives a denture that is too high.",
        PRACTICE,
    ),
    caution(
        "duplicate-in-an-open-flask",
        open,
        "An open flask gives a porous denture that is too high: check the bite before it is worn.",
        COMPLAINTS,
    ),
    caution(
        "filling-other-without-note",
        filling,
        "“Other filling” has to be said in words.",
        PRACTICE,
    ),
    remark(
        "pot-time-unsaid",
        time_unsaid,
        "Porosity and residual monomer follow from the time under pressure.",
        POT,
    ),
    caution(
        "pot-time-short",
        short,
        "Taken out early, the resin is porous and gives off more monomer, which burns the mucosa.",
        POT,
    ),
    remark(
        "pot-time-long",
        long,
        "Longer does the resin no known harm, but a digit may have slipped.",
        POT,
    ),
    remark(
        "pot-sheet-unsaid",
        sheet,
        "The maker’s sheet goes before what is common.",
        POT,
    ),
    caution(
        "pot-water-off-the-sheet",
        water_off,
        WATER_OFF,
        "the maker’s sheet, as written here",
    ),
    remark("pot-water-unusual", water_unusual, WATER_OFF, POT),
    caution(
        "duplicate-before-last-correction",
        before_correction,
        "The pattern was changed after it was copied: the duplicate has the old bite.",
        PRACTICE,
    ),
    remark(
        "duplicate-maker-unsaid",
        maker,
        "Who made it, and when, is asked for when a batch of resin is called back.",
        PRACTICE,
    ),
];

fn is_written(input: &Input<'_>) -> bool {
    input.rx.duplicate != Duplicate::default()
}

/// What is written about the duplicate of one arch.
struct Copy<'a> {
    item: Option<&'a Tag>,
    from: Option<&'a Tag>,
    minutes: Option<Whole>,
    from_key: &'static str,
    minutes_key: &'static str,
}

fn copy<'a>(input: &Input<'a>, arch: Arch) -> Copy<'a> {
    let made = &input.rx.duplicate;
    match arch {
        Arch::Upper => Copy {
            item: made.upper_item.as_ref(),
            from: made.upper_from.as_ref(),
            minutes: made.upper_minutes,
            from_key: "duplicate.upper_from",
            minutes_key: "duplicate.upper_minutes",
        },
        Arch::Lower => Copy {
            item: made.lower_item.as_ref(),
            from: made.lower_from.as_ref(),
            minutes: made.lower_minutes,
            from_key: "duplicate.lower_from",
            minutes_key: "duplicate.lower_minutes",
        },
    }
}

fn copy_of_old(input: &Input<'_>) -> Option<Hit> {
    let arch = BOTH.into_iter().find(|arch| {
        let from = copy(input, *arch).from;
        from.and_then(|tag| input.kind(tag)) == Some(ItemKind::OldDenture)
    })?;
    at(
        copy(input, arch).from_key,
        format!(
            "The {} duplicate was made from the old denture.",
            arch.shown()
        ),
    )
}

fn wears_duplicate(input: &Input<'_>, arch: Arch) -> bool {
    let worn = input.setting.worn(arch).and_then(|tag| input.kind(tag));
    worn == Some(ItemKind::Duplicate)
}

fn undescribed(input: &Input<'_>) -> Option<Hit> {
    let wrong = !is_written(input) && BOTH.into_iter().any(|arch| wears_duplicate(input, arch));
    when(
        wrong,
        "duplicate.flask",
        "The patient wears a duplicate, and how it was made is not given.",
    )
}

fn pattern(input: &Input<'_>) -> Option<Hit> {
    let arch = BOTH
        .into_iter()
        .filter(|_| is_written(input))
        .find(|arch| {
            let copy = copy(input, *arch);
            let is_there = copy.item.is_some() || copy.minutes.is_some();
            copy.from.is_none() && (is_there || wears_duplicate(input, *arch))
        })?;
    at(
        copy(input, arch).from_key,
        format!(
            "What the {} duplicate was made from is not given.",
            arch.shown()
        ),
    )
}

fn copy_of_copy(input: &Input<'_>) -> Option<Hit> {
    let arch = BOTH.into_iter().find(|arch| {
        let from = copy(input, *arch).from;
        from.and_then(|tag| input.kind(tag)) == Some(ItemKind::Duplicate)
    })?;
    at(
        copy(input, arch).from_key,
        format!(
            "The {} duplicate was made from another duplicate.",
            arch.shown()
        ),
    )
}

fn flask(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_written(input) && input.rx.duplicate.flask.is_none();
    when(
        wrong,
        "duplicate.flask",
        "Whether the duplicate was made in a closed flask is not given.",
    )
}

fn open(input: &Input<'_>) -> Option<Hit> {
    when(
        input.rx.duplicate.flask == Some(Flask::Open),
        "duplicate.flask",
        "The duplicate was made in an open flask.",
    )
}

fn filling(input: &Input<'_>) -> Option<Hit> {
    let made = &input.rx.duplicate;
    let wrong = made.filling == Some(FlaskFilling::Other) && made.note.is_none();
    when(
        wrong,
        "duplicate.note",
        "The flask was filled with another material, and the note does not say which.",
    )
}

/// Whether the resin was cured in a flask; milled and printed dentures never see the pot.
fn is_cured(input: &Input<'_>) -> bool {
    matches!(input.rx.duplicate.flask, Some(Flask::Closed | Flask::Open))
}

fn time_unsaid(input: &Input<'_>) -> Option<Hit> {
    let arch = BOTH.into_iter().filter(|_| is_cured(input)).find(|arch| {
        let copy = copy(input, *arch);
        copy.minutes.is_none() && (copy.item.is_some() || copy.from.is_some())
    })?;
    at(
        copy(input, arch).minutes_key,
        format!(
            "How long the {} duplicate was in the pressure pot is not given.",
            arch.shown()
        ),
    )
}

fn sheet_minutes(input: &Input<'_>) -> Option<i64> {
    input.rx.duplicate.sheet_minutes.map(Whole::get)
}

/// "by the maker’s sheet 10", "5 to 7 are common".
fn asked(input: &Input<'_>) -> String {
    match sheet_minutes(input) {
        Some(minutes) => format!("the maker’s sheet says {minutes}"),
        None => "five to seven are common".to_owned(),
    }
}

/// The first arch whose minutes are found wrong.
fn timed(input: &Input<'_>, wrong: impl Fn(i64) -> bool) -> Option<Hit> {
    BOTH.into_iter().find_map(|arch| {
        let copy = copy(input, arch);
        let minutes = copy.minutes?.get();
        wrong(minutes).then(|| {
            at(
                copy.minutes_key,
                format!(
                    "The {} duplicate was in the pressure pot for {minutes} min; {}.",
                    arch.shown(),
                    asked(input)
                ),
            )
        })?
    })
}

fn short(input: &Input<'_>) -> Option<Hit> {
    let sheet = sheet_minutes(input).map(|minutes| minutes as f64);
    timed(input, |minutes| {
        let verdict = pressure_pot(minutes as f64, sheet);
        verdict.is_ok_and(|verdict| verdict.freshness == Freshness::Late)
    })
}

fn long(input: &Input<'_>) -> Option<Hit> {
    timed(input, |minutes| {
        is_long_in_pot(minutes, sheet_minutes(input))
    })
}

fn sheet(input: &Input<'_>) -> Option<Hit> {
    let made = &input.rx.duplicate;
    let timed = made.upper_minutes.is_some() || made.lower_minutes.is_some();
    when(
        timed && made.sheet_minutes.is_none(),
        "duplicate.sheet_minutes",
        "The time in the pressure pot is written, and what the maker’s sheet says is not.",
    )
}

fn water_off(input: &Input<'_>) -> Option<Hit> {
    let made = &input.rx.duplicate;
    let (water, sheet) = (made.water?.get(), made.sheet_water?.get());
    let said = pot_water(water, Some(sheet))?;
    at(
        "duplicate.water",
        format!(
            "The water in the pot had {water} °C, and the maker’s sheet says {sheet} °C. {}",
            said.sentence
        ),
    )
}

fn water_unusual(input: &Input<'_>) -> Option<Hit> {
    let made = &input.rx.duplicate;
    let water = made.water.filter(|_| made.sheet_water.is_none())?.get();
    let said = pot_water(water, None)?;
    at(
        "duplicate.water",
        format!("The water in the pot had {water} °C. {}", said.sentence),
    )
}

fn before_correction(input: &Input<'_>) -> Option<Hit> {
    let (made, corrected) = (
        input.rx.duplicate.made_on?,
        input.rx.pattern.last_corrected?,
    );
    when(
        made < corrected,
        "duplicate.made_on",
        "The duplicate was made before the last correction of the pattern.",
    )
}

fn maker(input: &Input<'_>) -> Option<Hit> {
    let made = &input.rx.duplicate;
    let (key, sentence) = if made.made_by.is_none() {
        ("duplicate.made_by", "Who made the duplicate is not given.")
    } else {
        (
            "duplicate.made_on",
            "On which day the duplicate was made is not given.",
        )
    };
    let wrong = made.made_by.is_none() || made.made_on.is_none();
    when(wrong && is_written(input), key, sentence)
}
