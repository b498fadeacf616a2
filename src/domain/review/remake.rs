//! A remake: what was wrong with the first making, and of which jaw it was, by the check after the fit.

use super::input::{BOTH, Input};
use super::rule::{Hit, Rule, at, caution};
use super::sources::PRACTICE;
use super::stages::was_with;
use crate::domain::custody::follow_up::WorkCause;
use crate::domain::custody::item::ItemKind;
use crate::domain::form::Text;
use crate::domain::prescription::{OrderKind, Prescription};
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::whole_day;

/// The rules about a remake that came of a check, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "remake-of-what-was-wrong",
        named_again,
        "What was wrong once is made wrong again: the part that was the cause is taken or chosen again.",
        PRACTICE,
    ),
    caution(
        "remake-of-more-jaws",
        more_jaws,
        "A denture that was right is made once more, and fits the other one no better.",
        PRACTICE,
    ),
];

/// What the text takes over of the first making, each with the key of its field.
type Again = Vec<(String, String)>;

fn is_remake(input: &Input<'_>) -> bool {
    input.rx.order.kind == Some(OrderKind::Remake)
}

fn named_again(input: &Input<'_>) -> Option<Hit> {
    let before = input.setting.previous.as_ref();
    let before = before.filter(|_| is_remake(input))?;
    input.setting.remakes.iter().find_map(|(arches, cause)| {
        let cause = (*cause)?;
        let again = match cause {
            WorkCause::JawRecord => record(input, before),
            WorkCause::Surface => surface(input, before, *arches),
            WorkCause::Teeth => teeth(input, before, *arches),
            _ => Vec::new(),
        };
        let (key, _) = again.first()?.clone();
        let named: Vec<String> = again.into_iter().map(|(_, what)| what).collect();
        at(
            key,
            format!(
                "The cause of the remake is “{}”, and this of the first making is named again: {}.",
                cause.shown(),
                named.join("; ")
            ),
        )
    })
}

/// Whether a thing served the first making: its text names it, or it came back from the lab.
fn is_of_before(input: &Input<'_>, before: &Prescription, tag: &Tag) -> bool {
    was_with(before, tag) || input.setting.came_in.contains_key(tag)
}

fn record(input: &Input<'_>, before: &Prescription) -> Again {
    let (rx, then) = (input.rx, &before.vertical);
    let mut again = Again::new();
    match (&rx.jaw.item, rx.jaw.taken_on) {
        (Some(tag), _) if is_of_before(input, before, tag) => {
            again.push(("jaw.item".to_owned(), format!("bite record {tag}")));
        }
        (None, Some(day)) if before.jaw.taken_on == Some(day) => {
            let words = format!("the bite record of {}", whole_day(day.date()));
            again.push(("jaw.taken_on".to_owned(), words));
        }
        _ => {}
    }
    let readings = &rx.vertical.readings;
    if !readings.is_empty() && *readings == then.readings {
        let words = "the readings of the vertical dimension".to_owned();
        again.push(("readings.0.rest_mm".to_owned(), words));
    }
    // A new record at the same height is right where the bite alone was wrong.
    let height = rx.vertical.occlusal_mm;
    if let Some(height) = height.filter(|_| !again.is_empty() && height == then.occlusal_mm) {
        let words = format!("the height of {height} mm");
        again.push(("vertical.occlusal_mm".to_owned(), words));
    }
    again
}

fn surface(input: &Input<'_>, before: &Prescription, arches: Arches) -> Again {
    let is_of_jaw = |arch: Option<Arch>| arch.is_none_or(|arch| arches.treated().contains(&arch));
    let impressions = input.enclosed_items().filter(|(_, item)| {
        let is_it = item.kind == ItemKind::Impression && is_of_jaw(item.arch);
        is_it && is_of_before(input, before, &item.tag)
    });
    let mut again: Again = impressions
        .map(|(row, item)| {
            let key = format!("enclosed.{row}.tag");
            (key, format!("impression {}", item.tag))
        })
        .collect();
    let removed = input.rx.impression.removed_on;
    let removed = removed.filter(|_| removed == before.impression.removed_on);
    if let Some(day) = removed.filter(|_| again.is_empty()) {
        let words = format!(
            "the surface that left the mouth on {}",
            whole_day(day.date())
        );
        again.push(("impression.removed_on".to_owned(), words));
    }
    again
}

/// Key, name and jaw of a field of the teeth, what it says, and what it said for the first making.
type TeethField<'a> = (
    &'a str,
    &'a str,
    Option<Arch>,
    &'a Option<Text>,
    &'a Option<Text>,
);

/// Shade and moulds, where none of them is another one and no change of the teeth is listed.
fn teeth(input: &Input<'_>, before: &Prescription, arches: Arches) -> Again {
    let (rx, jaws) = (input.rx, arches.treated());
    if rx.pattern.changes != before.pattern.changes {
        return Again::new();
    }
    let (front, back) = (&rx.anterior, &rx.posterior);
    let (front_then, back_then) = (&before.anterior, &before.posterior);
    let (shade, shade_then) = (&rx.shade, &before.shade);
    let (upper, lower) = (Some(Arch::Upper), Some(Arch::Lower));
    let fields: [TeethField<'_>; 6] = [
        ("shade.tab", "shade", None, &shade.tab, &shade_then.tab),
        (
            "shade.posterior_tab",
            "shade of the posterior teeth",
            None,
            &shade.posterior_tab,
            &shade_then.posterior_tab,
        ),
        (
            "anterior.upper_mould",
            "upper anterior mould",
            upper,
            &front.upper_mould,
            &front_then.upper_mould,
        ),
        (
            "anterior.lower_mould",
            "lower anterior mould",
            lower,
            &front.lower_mould,
            &front_then.lower_mould,
        ),
        (
            "posterior.upper_mould",
            "upper posterior mould",
            upper,
            &back.upper_mould,
            &back_then.upper_mould,
        ),
        (
            "posterior.lower_mould",
            "lower posterior mould",
            lower,
            &back.lower_mould,
            &back_then.lower_mould,
        ),
    ];
    let is_of_jaw =
        |(_, _, arch, ..): &TeethField<'_>| arch.is_none_or(|arch| jaws.contains(&arch));
    let of_jaw: Vec<TeethField<'_>> = fields.into_iter().filter(is_of_jaw).collect();
    if of_jaw.iter().any(|(.., now, then)| now != then) {
        return Again::new();
    }
    let named = of_jaw.into_iter().filter_map(|(key, what, _, now, _)| {
        let now = now.as_ref()?;
        Some((key.to_owned(), format!("{what} {}", now.as_str())))
    });
    named.collect()
}

/// A remake of one jaw that is ordered for the other one too. Where it is agreed on, that is asked about by itself.
fn more_jaws(input: &Input<'_>) -> Option<Hit> {
    let remakes = &input.setting.remakes;
    let is_silent = !is_remake(input) || remakes.is_empty() || input.setting.remake.is_some();
    let is_of = |arch: Arch| {
        let mut remakes = remakes.iter();
        remakes.any(|(arches, _)| arches.treated().contains(&arch))
    };
    let mut more = BOTH.into_iter().filter(|_| !is_silent);
    let more = more.find(|arch| !is_of(*arch) && input.orders(*arch))?;
    at(
        "pieces.0.arch",
        format!(
            "By the check after the fit the remake is of the {}, and the {} is ordered too.",
            more.other().shown(),
            more.shown()
        ),
    )
}
