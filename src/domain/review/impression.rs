//! Tissue surface, cast and tray.

use super::input::{BOTH, Input, TISSUE_MADE, no, yes};
use super::reasons::OTHER_MATERIAL;
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{ALGINATE, DEVICES, EXTENDED, FUNCTIONAL, OWN_RULE, PRACTICE};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::form::moments;
use crate::domain::people::party::Side;
use crate::domain::prescription::{Enclosed, Stage, SurfaceMaterial, SurfaceSource};
use crate::domain::trade::material::{
    ALGINATE_TESTED_HOURS, Freshness, Verdict, functional_wear, minutes_between,
};
use crate::domain::values::arch::Arch;
use crate::domain::values::moment::whole_day;
use crate::domain::values::words::counted;

/// Stages in which the border roll of the surface is to be on the cast.
const TO_KEEP: &[Stage] = &[Stage::Rims, Stage::Process, Stage::Reline, Stage::Rebase];

/// The rules about tissue surface, cast and tray, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "tissue-surface-unsaid",
        unsaid,
        "The lab pours the cast from something, and must know from what.",
        PRACTICE,
    ),
    caution(
        "surface-material-unsaid",
        material,
        "How it is disinfected, kept and poured follows from the material.",
        PRACTICE,
    ),
    caution(
        "functional-surface-unprotected",
        protect,
        "What the lab relieves or trims in this surface is lost for good.",
        PRACTICE,
    ),
    caution(
        "functional-surface-undated",
        undated,
        "The surface shrinks and hardens from the hour it leaves the mouth.",
        FUNCTIONAL,
    ),
    caution(
        "functional-surface-old",
        old,
        "The surface shrinks and hardens from the hour it leaves the mouth; it is poured at once.",
        FUNCTIONAL,
    ),
    caution(
        "functional-surface-worn-briefly",
        brief,
        "The material still flows, and the surface is not the one of a day’s use.",
        FUNCTIONAL,
    ),
    caution(
        "functional-surface-worn-long",
        long_worn,
        "The material has shrunk and hardened by then; a fresh layer records better.",
        FUNCTIONAL,
    ),
    caution(
        "surface-out-before-it-was-in",
        reversed,
        "What has left the mouth was in it before: a digit has slipped.",
        PRACTICE,
    ),
    caution(
        "surface-removed-while-worn",
        removed_while_worn,
        "A surface that goes on being worn loses its form: either the day is wrong, or it is another surface.",
        PRACTICE,
    ),
    caution(
        "surface-older-than-stated",
        past_stated,
        "Beyond the time on its maker’s sheet nobody answers for the surface.",
        "the maker’s sheet, as written here",
    ),
    caution(
        "alginate-kept-unproven",
        unproven,
        "A cast of an alginate that has waited longer than was tested does not fit.",
        EXTENDED,
    ),
    caution(
        "alginate-waiting",
        alginate,
        "Alginate dries while it travels.",
        ALGINATE,
    ),
    caution(
        "functional-surface-in-alginate",
        functional_alginate,
        "Alginate sets within minutes and is not worn: the material or the kind of surface is wrong.",
        PRACTICE,
    ),
    caution(
        "scan-of-no-file",
        no_file,
        "The lab waits for a file that nobody named.",
        PRACTICE,
    ),
    caution(
        "cast-not-enclosed",
        no_cast,
        "The lab waits for a cast that is not in the box.",
        PRACTICE,
    ),
    stop(
        "impression-of-this-jaw-not-enclosed",
        not_enclosed,
        "The cast is poured from the thing itself, jaw by jaw.",
        DEVICES,
    ),
    caution(
        "pour-unsaid",
        pour,
        "Poured late or in the wrong plaster, the surface is another one.",
        PRACTICE,
    ),
    caution(
        "surface-of-no-pattern",
        pattern,
        "The functional surface lies in the pattern; without one there is none.",
        PRACTICE,
    ),
    caution(
        "other-surface-without-note",
        other,
        OTHER_MATERIAL,
        PRACTICE,
    ),
    caution(
        "surface-to-keep-and-beading-refused",
        boxing,
        "Without bead and box the border roll is not on the cast.",
        PRACTICE,
    ),
    caution(
        "tray-undescribed",
        tray,
        "A tray without its border and spacer is made to the depth of the vestibule.",
        PRACTICE,
    ),
    caution(
        "tray-spacer-said-twice",
        spacer,
        "The spacer decides how thick the impression is: of two sizes one is wrong.",
        OWN_RULE,
    ),
    remark(
        "cast-not-recorded",
        cast,
        "A cast broken in deflasking is lost when no picture of it was taken.",
        PRACTICE,
    ),
];

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.reaches(TISSUE_MADE) && input.rx.impression.source.is_none();
    when(
        wrong,
        "impression.source",
        "It is not said what the tissue surface is: functional surface, impression, cast or scan.",
    )
}

fn is_functional(input: &Input<'_>) -> bool {
    input.rx.impression.source == Some(SurfaceSource::Functional)
}

fn is_perishable(input: &Input<'_>) -> bool {
    is_functional(input) || input.rx.impression.source == Some(SurfaceSource::Impression)
}

fn material(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_perishable(input) && input.rx.impression.material.is_none();
    when(
        wrong,
        "impression.material",
        "The material of the tissue surface is not named.",
    )
}

fn protect(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_functional(input) && !yes(input.rx.impression.keep_surface);
    when(
        wrong,
        "impression.keep_surface",
        "A functional surface is sent, and it is not said that it is to stay untouched.",
    )
}

/// Whether the material goes on flowing and shrinking: what sets is judged by its maker's sheet alone.
fn is_flowing(input: &Input<'_>) -> bool {
    matches!(
        input.rx.impression.material,
        None | Some(SurfaceMaterial::Conditioner | SurfaceMaterial::Wax | SurfaceMaterial::Other)
    )
}

fn undated(input: &Input<'_>) -> Option<Hit> {
    let impression = &input.rx.impression;
    let wrong = is_functional(input)
        && is_flowing(input)
        && (impression.removed_on.is_none() || impression.removed_at.is_none());
    when(
        wrong,
        "impression.removed_on",
        "Day or time at which the functional surface left the mouth is not given.",
    )
}

fn old(input: &Input<'_>) -> Option<Hit> {
    let days = input.days_until_sent(input.rx.impression.removed_on?);
    let wrong = is_functional(input) && is_flowing(input) && !input.surface_has_left() && days > 1;
    wrong.then(|| {
        at(
            "impression.removed_on",
            format!("The functional surface left the mouth {days} days before it is sent."),
        )
    })?
}

/// How long the functional surface formed in the mouth; `None` where it is not said.
fn worn(input: &Input<'_>) -> Option<Verdict> {
    let impression = &input.rx.impression;
    let placed = (impression.placed_on?.date(), impression.placed_at);
    let removed = (impression.removed_on?.date(), impression.removed_at);
    let (from, to) =
        moments(placed, removed).filter(|_| is_functional(input) && is_flowing(input))?;
    functional_wear(from, to).ok()
}

fn worn_as(input: &Input<'_>, freshness: Freshness) -> Option<Hit> {
    let verdict = worn(input).filter(|verdict| verdict.freshness == freshness)?;
    at(
        "impression.placed_on",
        format!(
            "The functional surface was worn for {}; about 24 are best.",
            counted(verdict.minutes / 60, "hour")
        ),
    )
}

fn brief(input: &Input<'_>) -> Option<Hit> {
    worn_as(input, Freshness::Hurry)
}

fn long_worn(input: &Input<'_>) -> Option<Hit> {
    worn_as(input, Freshness::Late)
}

fn reversed(input: &Input<'_>) -> Option<Hit> {
    let impression = &input.rx.impression;
    let (placed, removed) = (impression.placed_on?, impression.removed_on?);
    let clocks = impression.placed_at.zip(impression.removed_at);
    let wrong = placed > removed
        || (placed == removed && clocks.is_some_and(|(placed, removed)| placed > removed));
    when(
        wrong,
        "impression.placed_on",
        "The tissue surface is said to have left the mouth before it was put in.",
    )
}

/// What has no hour of its day is at most this much older or younger than a whole number of days, in hours.
const HALF_A_DAY: i64 = 12;

/// How old the surface is when it is sent, or when it comes to the lab, where that is more than its maker lets it wait:
/// the hours, and when that is.
fn too_old(input: &Input<'_>, stated: i64) -> Option<(i64, String)> {
    let impression = &input.rx.impression;
    let removed = (impression.removed_on?.date(), impression.removed_at);
    let hours = |until| {
        let (from, to) = moments(removed, until)?;
        Some(minutes_between(from, to).ok()? / 60)
    };
    let sent = hours(input.sent()).filter(|hours| *hours > stated);
    if let Some(hours) = sent {
        return Some((hours, "when it is sent".to_owned()));
    }
    let arrives = input.arrives()?;
    let hours = hours((arrives, None)).filter(|hours| hours - HALF_A_DAY > stated)?;
    let arrives = whole_day(arrives);
    Some((hours, format!("when it comes to the lab on {arrives}")))
}

fn past_stated(input: &Input<'_>) -> Option<Hit> {
    let stated = input.rx.impression.keeps_hours?.get();
    if !is_perishable(input) || input.surface_has_left() {
        return None;
    }
    let (hours, then) = too_old(input, stated)?;
    at(
        "impression.keeps_hours",
        format!(
            "The tissue surface may wait {}, and is {} old {then}.",
            counted(stated, "hour"),
            counted(hours, "hour")
        ),
    )
}

fn is_alginate(input: &Input<'_>) -> bool {
    is_perishable(input) && input.rx.impression.material == Some(SurfaceMaterial::Alginate)
}

fn unproven(input: &Input<'_>) -> Option<Hit> {
    let hours = input.rx.impression.keeps_hours?.get();
    (is_alginate(input) && hours > ALGINATE_TESTED_HOURS).then(|| {
        at(
            "impression.keeps_hours",
            format!("The alginate is said to keep for {hours} hours; {ALGINATE_TESTED_HOURS} are the most that was tested."),
        )
    })?
}

fn alginate(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_alginate(input) && input.rx.impression.keeps_hours.is_none();
    when(
        wrong,
        "impression.material",
        "An alginate surface is to travel before it is poured, and how long its maker lets it wait is not given.",
    )
}

/// Whether something of this jaw that a cast is poured from or was poured to is on its way or there.
fn has_surface_of(input: &Input<'_>, arch: Arch) -> bool {
    let holds = |item: &Item| {
        let kind =
            item.kind.is_denture() || matches!(item.kind, ItemKind::Impression | ItemKind::Cast);
        kind && item.arch == Some(arch) && input.reaches_lab(&item.tag)
    };
    input.setting.items.iter().any(holds)
}

fn not_enclosed(input: &Input<'_>) -> Option<Hit> {
    let sent = input.rx.impression.source == Some(SurfaceSource::Impression);
    // What is named by words alone may be it.
    let is_worded = |row: &Enclosed| row.tag.is_none() && row.what.is_some();
    let tagged = !input.enclosed().iter().any(is_worded);
    if !sent || !tagged || !input.lists_enclosures() {
        return None;
    }
    let arch = BOTH
        .into_iter()
        .find(|arch| input.orders(*arch) && !has_surface_of(input, *arch))?;
    at(
        "impression.source",
        format!(
            "The {} jaw is made from an impression, and none of it is in the list of what is enclosed or at the lab.",
            arch.shown()
        ),
    )
}

/// A denture that is relined, and that the record has in the mouth after the day on which its impression left it.
fn removed_while_worn(input: &Input<'_>) -> Option<Hit> {
    let removed = input.rx.impression.removed_on?.date();
    let is_relined = input.has_stage(Stage::Reline) || input.has_stage(Stage::Rebase);
    // An impression of its own is not in the denture.
    let mut sent = input.enclosed_items();
    if !is_relined || sent.any(|(_, item)| item.kind == ItemKind::Impression) {
        return None;
    }
    let reline = &input.rx.reline;
    let mut named = [&reline.item, &reline.other_item].into_iter().flatten();
    named.find_map(|tag| {
        let mut arches = BOTH.into_iter();
        let is_worn = arches.any(|arch| input.setting.worn(arch) == Some(tag));
        let by_record = match input.setting.out_on.get(tag) {
            _ if is_worn && removed < input.setting.today => format!("the patient wears {tag}"),
            Some(out) if !is_worn && removed < *out => {
                format!("{tag} was in the mouth until {}", whole_day(*out))
            }
            _ => return None,
        };
        at(
            "impression.removed_on",
            format!(
                "The tissue surface is said to have left the mouth on {}, and by the record {by_record}.",
                whole_day(removed)
            ),
        )
    })
}

fn functional_alginate(input: &Input<'_>) -> Option<Hit> {
    let surface = &input.rx.impression;
    let wrong = surface.source == Some(SurfaceSource::Functional)
        && surface.material == Some(SurfaceMaterial::Alginate);
    when(
        wrong,
        "impression.material",
        "The tissue surface is a functional one that was worn, and its material is alginate.",
    )
}

fn no_file(input: &Input<'_>) -> Option<Hit> {
    let of_scan = input.rx.impression.source == Some(SurfaceSource::Scan);
    when(
        of_scan && input.rx.scan_set.scans.is_empty(),
        "scans.0.file",
        "The tissue surface is said to be a scan, and no file is listed.",
    )
}

fn no_cast(input: &Input<'_>) -> Option<Hit> {
    let of_cast = input.rx.impression.source == Some(SurfaceSource::Cast);
    // A denture that is relined holds its own surface, which is asked about there.
    let is_relined = input.has_stage(Stage::Reline) || input.has_stage(Stage::Rebase);
    if !of_cast || is_relined || !input.lists_enclosures() {
        return None;
    }
    let is_cast = |item: &&Item| {
        matches!(item.kind, ItemKind::Cast | ItemKind::RemountCast) && input.reaches_lab(&item.tag)
    };
    let casts = || input.setting.items.iter().filter(is_cast);
    // The lab that has set up the teeth has the cast that they stand on.
    let is_set_up_there = |arch: Arch| {
        input.setting.items.iter().any(|item| {
            let is_of_it = item.kind == ItemKind::TryIn && item.arch == Some(arch);
            let state = input.state(&item.tag).filter(|_| is_of_it);
            state.is_some_and(|state| state.home == Side::Lab)
        })
    };
    let mut ordered = BOTH.into_iter().filter(|arch| input.orders(*arch));
    if casts().next().is_none() && !ordered.all(is_set_up_there) {
        return at(
            "impression.source",
            "The tissue surface is said to be a cast, and no cast is enclosed or at the lab.",
        );
    }
    let tagged = input.enclosed().iter().all(|row| row.tag.is_some());
    let is_there = |arch: Arch| {
        casts().any(|item| item.arch.is_none_or(|of| of == arch))
            || has_surface_of(input, arch)
            || is_set_up_there(arch)
    };
    let arch = BOTH
        .into_iter()
        .find(|arch| tagged && input.orders(*arch) && !is_there(*arch))?;
    at(
        "impression.source",
        format!(
            "The tissue surface is said to be a cast, and none of the {} jaw is enclosed or at the lab.",
            arch.shown()
        ),
    )
}

fn pour(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_perishable(input) && input.rx.impression.pour_by.is_none();
    when(
        wrong,
        "impression.pour_by",
        "When and in what the surface is to be poured is not given.",
    )
}

fn pattern(input: &Input<'_>) -> Option<Hit> {
    use crate::domain::prescription::PatternSource;
    let wrong = is_functional(input) && input.rx.pattern.source == Some(PatternSource::None);
    when(
        wrong,
        "impression.source",
        "A functional surface in the pattern is named, and there is no pattern.",
    )
}

fn other(input: &Input<'_>) -> Option<Hit> {
    let impression = &input.rx.impression;
    let wrong = impression.material == Some(SurfaceMaterial::Other) && impression.note.is_none();
    when(
        wrong,
        "impression.note",
        "The tissue surface is of another material, and the note does not say which.",
    )
}

fn boxing(input: &Input<'_>) -> Option<Hit> {
    let wrong =
        is_perishable(input) && input.reaches(TO_KEEP) && no(input.rx.impression.bead_and_box);
    when(
        wrong,
        "impression.bead_and_box",
        "The surface is to be poured without bead and box.",
    )
}

fn tray(input: &Input<'_>) -> Option<Hit> {
    let wanted = input
        .pieces()
        .iter()
        .any(|piece| piece.stage == Some(Stage::Tray));
    let impression = &input.rx.impression;
    let wrong = wanted && impression.tray.is_none() && impression.tray_short_mm.is_none();
    when(
        wrong,
        "impression.tray_short_mm",
        "A custom tray is ordered, and neither its border nor its design is given.",
    )
}

/// The millimetres of a spacer that a text names: "2 mm wax spacer", and nothing for "no spacer".
fn spacer_stated(text: &str) -> Option<f64> {
    let lower = text.to_lowercase().replace("mm", " mm ");
    let words: Vec<&str> = lower.split_whitespace().collect();
    let place = words.iter().position(|word| word.starts_with("spacer"))?;
    let before = words
        .get(place.saturating_sub(4)..place)
        .unwrap_or_default();
    if before
        .last()
        .is_some_and(|word| matches!(*word, "no" | "without"))
    {
        return Some(0.0);
    }
    let mut sizes = before.windows(2).filter_map(|pair| match pair {
        [number, "mm"] => number.replace(',', ".").parse::<f64>().ok(),
        _ => None,
    });
    sizes.next()
}

fn spacer(input: &Input<'_>) -> Option<Hit> {
    const SAME: f64 = 0.01;
    let impression = &input.rx.impression;
    let (text, ordered) = (impression.tray.as_ref()?, impression.tray_spacer_mm?);
    let stated_mm = spacer_stated(text.as_str())?;
    ((stated_mm - ordered.to_f64()).abs() > SAME).then(|| {
        at(
            "impression.tray_spacer_mm",
            format!(
                "The spacer is to be {ordered} mm, and of the tray it is said “{}”.",
                text.as_str()
            ),
        )
    })?
}

fn cast(input: &Input<'_>) -> Option<Hit> {
    when(
        no(input.rx.impression.cast_keep),
        "impression.cast_keep",
        "The cast is not to be photographed or scanned before flasking.",
    )
}
