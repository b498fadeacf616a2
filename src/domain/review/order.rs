//! The order and its pieces.

use super::courses::takes;
use super::criteria::is_named;
use super::exclusions::names_metal;
use super::input::{BOTH, Input, WITH_TEETH, no, rows_named, rows_where, words, yes};
use super::parts_named::metal_part;
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{LAW, OWN_RULE, PRACTICE};
use crate::domain::custody::Holder;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::people::party::Side;
use crate::domain::prescription::{
    Course, MakerOfSpare, Opposing, OrderKind, PatternSource, Piece, Prescription, ScanShows,
    SpareArch, Stage, Strengthening,
};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::CaseNumber;

/// The rules about the order and its pieces, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "criterion-9-pieces",
        pieces,
        "The lab makes what is listed, for the arch and to the stage that is listed.",
        LAW,
    ),
    stop(
        "piece-without-materials",
        materials,
        "State texts ask for the materials of each piece; the lab may not choose them in silence.",
        LAW,
    ),
    caution(
        "piece-without-description",
        description,
        "Arch and stage alone leave open how many teeth and what kind of denture it is.",
        LAW,
    ),
    stop(
        "piece-outside-the-case",
        outside,
        "A piece for a jaw that is not treated is made for nobody.",
        PRACTICE,
    ),
    caution(
        "treated-arch-without-piece",
        forgotten,
        "The other jaw is waited for, or was forgotten; the lab cannot tell which.",
        PRACTICE,
    ),
    caution(
        "piece-twice",
        twice,
        "Two rows for the same jaw and stage make two dentures, or one twice billed.",
        PRACTICE,
    ),
    caution(
        "opposing-unsaid",
        opposing_unsaid,
        "Contacts, scheme and strength depend on what the denture bites against.",
        PRACTICE,
    ),
    caution(
        "opposing-made-but-not-ordered",
        opposing_made,
        "The opposing piece is said to be made together with this one, and is not in the list.",
        PRACTICE,
    ),
    caution(
        "opposing-teeth-and-a-denture-there",
        opposing_ordered,
        "A jaw that gets a complete denture has no teeth to bite on.",
        PRACTICE,
    ),
    caution(
        "opposing-not-enclosed",
        opposing_enclosed,
        "Without the opposing jaw in plaster or as a denture the lab has nothing to set against.",
        PRACTICE,
    ),
    caution(
        "opposing-off-the-card",
        off_card,
        "A denture against teeth is set, strengthened and ground in otherwise than one against a denture.",
        PRACTICE,
    ),
    remark(
        "grinding-place-unsaid",
        grinding_unsaid,
        "A tooth is ground once: where, the dentist says before the lab sets against it.",
        PRACTICE,
    ),
    caution(
        "grinding-in-the-ordered-jaw",
        grinding_in_own_jaw,
        "Opposing teeth stand in the other jaw: of the tooth and the arch one is wrong.",
        PRACTICE,
    ),
    caution(
        "grinding-place-though-refused",
        grinding_refused,
        "The lab would set the denture to teeth that are never ground.",
        PRACTICE,
    ),
    caution(
        "piece-told-for-another-jaw",
        stated_for_another,
        "Of the arch and the words one is wrong, and the lab makes one of them.",
        PRACTICE,
    ),
    caution(
        "piece-told-otherwise",
        stated_otherwise,
        "The lab reads the words of a piece first, and makes what they say.",
        OWN_RULE,
    ),
    caution(
        "single-denture-unstrengthened",
        single_strength,
        "A single denture against natural teeth breaks along the midline more often than any other.",
        PRACTICE,
    ),
    caution(
        "agreed-remake-ordered-otherwise",
        remake_otherwise,
        "What was agreed on for one jaw is made once more for both, or charged as new work.",
        PRACTICE,
    ),
    caution(
        "remake-without-reason",
        remake_reason,
        "What was wrong once is made wrong again when nobody says what it was.",
        PRACTICE,
    ),
    caution(
        "remake-without-earlier-case",
        earlier_case,
        "The lab looks up casts, index and lots by the earlier number.",
        PRACTICE,
    ),
    caution(
        "earlier-case-of-another-patient",
        earlier_of_another,
        "By that number the lab looks up casts and index of another mouth.",
        OWN_RULE,
    ),
    caution(
        "correction-without-its-denture",
        correction,
        "What is corrected is the denture itself: without it the lab has nothing to correct.",
        PRACTICE,
    ),
    caution(
        "try-in-skip-unsaid",
        try_in,
        "Set up from records and finished unseen, teeth cannot be moved any more; that is the dentist’s risk to take.",
        PRACTICE,
    ),
    caution(
        "course-of-another-stage",
        course,
        "What is asked follows from the kind of work: of another one the wrong things are asked.",
        PRACTICE,
    ),
    caution(
        "jaws-at-two-stages",
        two_stages,
        "The teeth of both jaws are set and tried against each other; what is finished first cannot be moved any more.",
        PRACTICE,
    ),
    caution(
        "try-in-back-and-still-set-up",
        set_up_again,
        "A try-in that is back is finished, or reset and tried in again: the lab would set it up once more.",
        PRACTICE,
    ),
    remark(
        "order-kind-unsaid",
        kind,
        "New work, a next stage and a remake are planned and billed differently.",
        PRACTICE,
    ),
];

fn pieces(input: &Input<'_>) -> Option<Hit> {
    if input.pieces().is_empty() {
        return at("pieces.0.stage", "No piece of work is listed.");
    }
    let rows = rows_where(input.pieces(), |piece| !is_named(piece));
    let row = rows.first()?;
    at(
        format!("pieces.{row}.stage"),
        format!("{}: arch or stage is missing.", rows_named("Piece", &rows)),
    )
}

fn materials(input: &Input<'_>) -> Option<Hit> {
    let rows = rows_where(input.pieces(), |piece| piece.materials.is_none());
    let row = rows.first()?;
    at(
        format!("pieces.{row}.materials"),
        format!("{}: no material is named.", rows_named("Piece", &rows)),
    )
}

fn description(input: &Input<'_>) -> Option<Hit> {
    let rows = rows_where(input.pieces(), |piece| piece.description.is_none());
    let row = rows.first()?;
    at(
        format!("pieces.{row}.description"),
        format!("{}: a description is missing.", rows_named("Piece", &rows)),
    )
}

fn outside(input: &Input<'_>) -> Option<Hit> {
    let is_outside = |piece: &Piece| piece.arch.is_some_and(|arch| !input.setting.treats(arch));
    let rows = rows_where(input.pieces(), is_outside);
    let row = rows.first()?;
    let treated = input.setting.arches.shown();
    at(
        format!("pieces.{row}.arch"),
        format!(
            "{}: this case does not treat that jaw, but {treated}.",
            rows_named("Piece", &rows)
        ),
    )
}

fn forgotten(input: &Input<'_>) -> Option<Hit> {
    let is_forgotten = |arch: &Arch| input.setting.treats(*arch) && !input.orders(*arch);
    let arch = BOTH.into_iter().find(is_forgotten)?;
    at(
        "pieces.0.arch",
        format!(
            "The case treats the {} jaw too, and no piece for it is listed.",
            arch.shown()
        ),
    )
}

fn twice(input: &Input<'_>) -> Option<Hit> {
    let same = |row: usize, piece: &Piece| {
        input.pieces().iter().take(row).any(|before| {
            is_named(piece)
                && (before.arch, before.stage, &before.description)
                    == (piece.arch, piece.stage, &piece.description)
        })
    };
    let (row, _) = input
        .pieces()
        .iter()
        .enumerate()
        .find(|(row, piece)| same(*row, piece))?;
    at(
        format!("pieces.{row}.stage"),
        format!("Piece {} repeats an earlier one.", row + 1),
    )
}

fn opposing_unsaid(input: &Input<'_>) -> Option<Hit> {
    let arch = input.single_arch()?;
    let row = input
        .pieces()
        .iter()
        .position(|piece| piece.arch == Some(arch) && piece.opposing.is_none())?;
    at(
        format!("pieces.{row}.opposing"),
        format!(
            "Only the {} is ordered, and what it bites against is not given.",
            arch.shown()
        ),
    )
}

fn opposing_made(input: &Input<'_>) -> Option<Hit> {
    input.single_arch()?;
    let row = input
        .pieces()
        .iter()
        .position(|piece| piece.opposing == Some(Opposing::Made))?;
    at(
        format!("pieces.{row}.opposing"),
        format!(
            "Piece {} says the opposing jaw is made together with it, and no such piece is listed.",
            row + 1
        ),
    )
}

/// A piece that bites on teeth of a jaw for which a complete denture is made.
fn opposing_ordered(input: &Input<'_>) -> Option<Hit> {
    let is_made = |arch: Arch| {
        let mut pieces = input.pieces().iter();
        pieces.any(|piece| piece.arch == Some(arch) && piece.stage == Some(Stage::Process))
    };
    let mut pieces = input.pieces().iter().enumerate();
    pieces.find_map(|(row, piece)| {
        let (arch, opposing) = (piece.arch?, piece.opposing?);
        let other = match arch {
            Arch::Upper => Arch::Lower,
            Arch::Lower => Arch::Upper,
        };
        (opposing == Opposing::Natural && is_made(other)).then(|| {
            at(
                format!("pieces.{row}.opposing"),
                format!(
                    "Piece {} bites against {}, and a denture for the {} jaw is ordered.",
                    row + 1,
                    opposing.shown(),
                    other.shown()
                ),
            )
        })?
    })
}

/// The arch against which a single piece is made, and what stands there.
fn against(input: &Input<'_>) -> Option<(usize, Arch, Opposing)> {
    let other = match input.single_arch()? {
        Arch::Upper => Arch::Lower,
        Arch::Lower => Arch::Upper,
    };
    let opposing = |piece: &Piece| {
        piece
            .opposing
            .filter(|opposing| *opposing != Opposing::Made)
    };
    let mut pieces = input.pieces().iter().enumerate();
    pieces.find_map(|(row, piece)| Some((row, other, opposing(piece)?)))
}

fn opposing_enclosed(input: &Input<'_>) -> Option<Hit> {
    let (row, other, opposing) = against(input)?;
    let stands_for = |kind: ItemKind| {
        kind.is_denture()
            || matches!(
                kind,
                ItemKind::Cast | ItemKind::RemountCast | ItemKind::Impression
            )
    };
    let mut all = input.setting.items.iter();
    let is_there = all.any(|item| {
        item.arch == Some(other) && stands_for(item.kind) && input.reaches_lab(&item.tag)
    });
    // A copy from files has no list of what is enclosed: the other jaw, or the bite of both, is a file too.
    let by_files = input.courses.contains(&Course::DigitalCopy);
    let mut files = input.rx.scan_set.scans.iter();
    let shows_it = files.any(|scan| {
        let shows = [ScanShows::Opposing, ScanShows::InOcclusion];
        scan.shows.is_some_and(|shown| shows.contains(&shown))
    });
    let is_scanned = by_files && (shows_it || input.is_scanned(other));
    let wrong = (input.lists_enclosures() || by_files) && !is_there && !is_scanned;
    let what = match by_files {
        true => "no scan, cast, impression or denture of that jaw is there",
        false => "no cast, impression or denture of that jaw is enclosed or at the lab",
    };
    wrong.then(|| {
        at(
            format!("pieces.{row}.opposing"),
            format!(
                "The denture bites against the {} jaw ({}), and {what}.",
                other.shown(),
                opposing.shown()
            ),
        )
    })?
}

fn off_card(input: &Input<'_>) -> Option<Hit> {
    let (row, other, opposing) = against(input)?;
    let (has_teeth, worn) = (
        input.setting.has_natural_teeth(other),
        match other {
            Arch::Upper => input.setting.worn_upper.as_ref(),
            Arch::Lower => input.setting.worn_lower.as_ref(),
        },
    );
    let by_record = match opposing {
        Opposing::Denture if has_teeth => "natural teeth stand in the",
        Opposing::Natural if !has_teeth && worn.is_some() => "a denture is worn in the",
        _ => return None,
    };
    at(
        format!("pieces.{row}.opposing"),
        format!(
            "Piece {} bites against “{}”, and by the record {by_record} {} jaw.",
            row + 1,
            opposing.shown(),
            other.shown()
        ),
    )
}

fn grinding_unsaid(input: &Input<'_>) -> Option<Hit> {
    let opposing = &input.rx.opposing;
    when(
        yes(opposing.may_grind) && opposing.grind_where.is_none(),
        "opposing.grind_where",
        "Opposing teeth may be ground, and where is not given.",
    )
}

/// The jaw of a tooth by its number, where the quadrant and the running system agree on it: 11 to 16 and 31 to 48.
fn jaw_of(number: &str) -> Option<Arch> {
    match number.parse::<u8>().ok()? {
        11..=16 => Some(Arch::Upper),
        31..=38 | 41..=48 => Some(Arch::Lower),
        _ => None,
    }
}

fn grinding_in_own_jaw(input: &Input<'_>) -> Option<Hit> {
    let arch = input.single_arch()?;
    let place = words(&input.rx.opposing.grind_where);
    let numbers = place.split(|sign: char| !sign.is_alphanumeric());
    let jaws: Vec<Arch> = numbers.filter_map(jaw_of).collect();
    let wrong = !jaws.is_empty() && jaws.iter().all(|jaw| *jaw == arch);
    wrong.then(|| {
        at(
            "opposing.grind_where",
            format!(
                "Opposing teeth may be ground at “{place}”, which is in the {} jaw, and its denture is ordered.",
                arch.shown()
            ),
        )
    })?
}

fn grinding_refused(input: &Input<'_>) -> Option<Hit> {
    let opposing = &input.rx.opposing;
    when(
        no(opposing.may_grind) && opposing.grind_where.is_some(),
        "opposing.grind_where",
        "Opposing teeth may not be ground, and a place for it is named.",
    )
}

/// Words that may stand between a jaw and its denture.
const BETWEEN: &[&str] = &[
    "complete",
    "full",
    "partial",
    "single",
    "immediate",
    "final",
    "new",
    "acrylic",
    "and",
    "or",
    "upper",
    "lower",
];
/// Words behind which a jaw is the one that is bitten against.
const AGAINST: &[&str] = &[
    "against", "opposing", "opposite", "opposed", "to", "with", "over",
];

/// Whether a text tells of a denture of this jaw: "lower partial denture", and not one that is bitten against.
fn mentions_denture(text: &str, names: [&str; 2]) -> bool {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let is_it = |(place, word): (usize, &&str)| {
        let mut behind = words.iter().skip(place + 1);
        let noun = behind.find(|word| !BETWEEN.contains(word));
        let is_denture = noun.is_some_and(|noun| matches!(*noun, "denture" | "base"));
        let mut before = words.iter().take(place).rev();
        let is_passed = |word: &str| {
            BETWEEN.contains(&word) || matches!(word, "the" | "a" | "an" | "existing" | "old")
        };
        let before = before.find(|word| !is_passed(word));
        let is_against = before.is_some_and(|word| AGAINST.contains(word));
        names.contains(word) && is_denture && !is_against
    };
    words.iter().enumerate().any(is_it)
}

fn stated_for_another(input: &Input<'_>) -> Option<Hit> {
    const UPPER: [&str; 2] = ["upper", "maxillary"];
    const LOWER: [&str; 2] = ["lower", "mandibular"];
    let mut pieces = input.pieces().iter().enumerate();
    pieces.find_map(|(row, piece)| {
        let arch = piece.arch?;
        let (own, other) = match arch {
            Arch::Upper => (UPPER, LOWER),
            Arch::Lower => (LOWER, UPPER),
        };
        let texts = [
            ("description", &piece.description),
            ("materials", &piece.materials),
        ];
        texts.into_iter().find_map(|(field, text)| {
            let text = text.as_ref()?.as_str();
            let wrong = mentions_denture(text, other) && !mentions_denture(text, own);
            wrong.then(|| {
                at(
                    format!("pieces.{row}.{field}"),
                    format!(
                        "Piece {} is {}, and its text says “{text}”.",
                        row + 1,
                        arch.shown()
                    ),
                )
            })?
        })
    })
}

/// Words for a part of a denture that is of metal where its text names one.
const METAL_PARTS: &[&str] = &["palate", "base", "plate", "framework"];

/// What the description of a denture that is made says, and no field orders.
fn stated_otherwise(input: &Input<'_>) -> Option<Hit> {
    let is_immediate = input.rx.order.course == Some(Course::Immediate)
        || !input.rx.cast_trim.extractions.is_empty();
    let mut pieces = input.pieces().iter().enumerate();
    pieces.find_map(|(row, piece)| {
        let is_made = piece.stage.is_some_and(|stage| WITH_TEETH.contains(&stage));
        let is_new = is_made && piece.stage != Some(Stage::Duplicate);
        let text = words(&piece.description);
        let names_any = |names: &[&str]| {
            let mut words = text.split(|sign: char| !sign.is_alphanumeric());
            words.any(|word| names.contains(&word))
        };
        let metal = names_metal(&text) && names_any(METAL_PARTS) && metal_part(input).is_none();
        // Where teeth stand, the list of those that are extracted is asked for.
        let stands = piece
            .arch
            .is_some_and(|arch| input.setting.has_natural_teeth(arch));
        let is_partial =
            names_any(&["partial"]) && !names_any(AGAINST) && stated_for_another(input).is_none();
        let said = if is_partial {
            "is a partial denture, and a complete one is asked for"
        } else if names_any(&["immediate"]) && !is_immediate && !stands {
            "is called immediate, and no tooth is listed that is extracted"
        } else if metal {
            "is to have a part of metal, and none is ordered"
        } else {
            return None;
        };
        is_new.then(|| {
            at(
                format!("pieces.{row}.description"),
                format!("By its description piece {} {said}.", row + 1),
            )
        })?
    })
}

/// Whether delivered work is to be corrected and no delivered denture is sent or at the lab.
pub fn lacks_the_corrected(input: &Input<'_>) -> bool {
    let mut dentures = input.setting.items.iter();
    let has_final = dentures.any(|item| item.kind == ItemKind::FinalDenture);
    // What was delivered elsewhere is a denture of another kind here.
    let is_it = |kind: ItemKind| match has_final {
        true => kind == ItemKind::FinalDenture,
        false => kind.is_denture(),
    };
    let mut items = input.setting.items.iter();
    let is_there = items.any(|item| is_it(item.kind) && input.reaches_lab(&item.tag));
    let is_correction = input.rx.order.kind == Some(OrderKind::Correction);
    is_correction && input.lists_enclosures() && !is_there
}

fn correction(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks_the_corrected(input),
        "order.kind",
        "Delivered work is to be corrected, and no delivered denture is enclosed or at the lab.",
    )
}

fn single_strength(input: &Input<'_>) -> Option<Hit> {
    let (_, _, opposing) = against(input)?;
    let is_hard = matches!(
        opposing,
        Opposing::Natural | Opposing::Implants | Opposing::Partial
    );
    let is_weak = matches!(
        input.rx.base.strengthening,
        None | Some(Strengthening::None)
    );
    let wrong = is_hard && is_weak && input.reaches(&[Stage::Process]);
    wrong.then(|| {
        at(
            "base.strengthening",
            format!(
                "The denture bites against {}, and no strengthening is ordered.",
                opposing.shown()
            ),
        )
    })?
}

/// A remake that both houses agreed on, and a text that orders something else.
fn remake_otherwise(input: &Input<'_>) -> Option<Hit> {
    let agreed = input.setting.remake?;
    let is_more = |arch: &Arch| !agreed.treated().contains(arch) && input.orders(*arch);
    let jaws = agreed.shown();
    let more = BOTH.into_iter().find(is_more);
    let (key, said) = match (input.rx.order.kind, more) {
        (Some(OrderKind::Remake), None) => return None,
        (Some(OrderKind::Remake), Some(other)) => (
            "pieces.0.arch",
            format!("the {} is ordered too", other.shown()),
        ),
        (_, None) => ("order.kind", "the kind of order is another".to_owned()),
        (_, Some(other)) => (
            "order.kind",
            format!(
                "the kind of order is another, and the {} is ordered too",
                other.shown()
            ),
        ),
    };
    at(key, format!("A remake ({jaws}) is agreed on, and {said}."))
}

fn remake_reason(input: &Input<'_>) -> Option<Hit> {
    let order = &input.rx.order;
    let wrong = order.kind == Some(OrderKind::Remake) && order.remake_reason.is_none();
    when(
        wrong,
        "order.remake_reason",
        "A remake is ordered, and what was wrong is not given.",
    )
}

/// Whether the lab has made a denture in this case, or makes one again: its own number is the earlier one.
fn was_made_here(input: &Input<'_>) -> bool {
    if input.setting.remake.is_some() {
        return true;
    }
    let mut items = input.setting.items.iter();
    items.any(|item| {
        let state = input.state(&item.tag);
        item.kind.is_wearable() && state.is_some_and(|state| state.home == Side::Lab)
    })
}

fn earlier_case(input: &Input<'_>) -> Option<Hit> {
    let order = &input.rx.order;
    let continues = matches!(order.kind, Some(OrderKind::Remake | OrderKind::Correction));
    when(
        continues && order.earlier_case.is_none() && !was_made_here(input),
        "order.earlier_case",
        "A remake or correction is ordered without the number of the earlier case.",
    )
}

fn earlier_of_another(input: &Input<'_>) -> Option<Hit> {
    let named = input.rx.order.earlier_case.as_ref()?;
    let number = CaseNumber::parse(named.as_str()).ok()?;
    input.setting.named_of_others.contains(&number).then(|| {
        at(
            "order.earlier_case",
            format!("Case {number}, which is named as the earlier one, is of another patient."),
        )
    })?
}

fn try_in(input: &Input<'_>) -> Option<Hit> {
    let order = &input.rx.order;
    let is_new = order.kind == Some(OrderKind::New);
    let is_finished = input
        .pieces()
        .iter()
        .any(|piece| piece.stage == Some(Stage::Process));
    let is_unseen = input.rx.pattern.source == Some(PatternSource::None);
    let wrong = is_new && is_finished && is_unseen && !yes(order.try_in_skipped);
    when(
        wrong,
        "order.try_in_skipped",
        "New work is set up from records and finished at once; that it goes without a try-in is not said.",
    )
}

fn course(input: &Input<'_>) -> Option<Hit> {
    let course = input.rx.order.course?;
    // A spare that the lab makes beside the work is a piece of its own.
    let spare = &input.rx.spare;
    let makes_spare = spare.made_by == Some(MakerOfSpare::Lab)
        && !matches!(spare.arch, None | Some(SpareArch::None));
    let is_spare = |stage: Stage| stage == Stage::Duplicate && makes_spare;
    let other = |piece: &Piece| {
        piece
            .stage
            .is_some_and(|stage| !takes(course, stage) && !is_spare(stage))
    };
    let row = input.pieces().iter().position(other)?;
    let stage = input.pieces().get(row)?.stage?;
    at(
        format!("pieces.{row}.stage"),
        format!(
            "The kind of work is “{}”, and the stage of piece {} is “{}”.",
            course.shown(),
            row + 1,
            stage.shown()
        ),
    )
}

/// How far a stage brings new work: tray, rims, teeth in wax, finish. What is done to a denture that is there is none.
fn far(stage: Stage) -> Option<u8> {
    Some(match stage {
        Stage::Tray => 0,
        Stage::Rims => 1,
        Stage::Mount | Stage::SetUp | Stage::TryIn | Stage::Reset => 2,
        Stage::Process => 3,
        Stage::Duplicate | Stage::Reline | Stage::Rebase | Stage::Repair | Stage::Remount => {
            return None;
        }
    })
}

/// Teeth of one jaw set with no rim in the other, or finished while those of the other are not. An upper wax-up against a
/// lower rim is ordinary, and so is a denture that bites against what stays in the other jaw.
fn two_stages(input: &Input<'_>) -> Option<Hit> {
    if course(input).is_some() {
        return None;
    }
    let furthest = |arch: Arch| {
        let pieces = input.pieces().iter().enumerate();
        let pieces = pieces.filter(|(_, piece)| piece.arch == Some(arch));
        let stages = pieces.filter_map(|(row, piece)| Some((far(piece.stage?)?, row, piece)));
        stages.max_by_key(|(far, ..)| *far)
    };
    let (upper, lower) = (furthest(Arch::Upper)?, furthest(Arch::Lower)?);
    let (ahead, behind) = if upper.0 > lower.0 {
        (upper, lower)
    } else {
        (lower, upper)
    };
    let stays = ahead.2.opposing.is_some_and(|one| one != Opposing::Made);
    let wrong = match (ahead.0, behind.0) {
        (3, 0..=2) | (2, 0) => !stays,
        _ => false,
    };
    let (row, of) = (behind.1, behind.2.stage?);
    wrong.then(|| {
        at(
            format!("pieces.{row}.stage"),
            format!(
                "The stage of piece {} is “{}”, and that of piece {} for the other jaw only “{}”. Bring both jaws to one stage, or say what piece {} bites against.",
                ahead.1 + 1,
                ahead.2.stage?.shown(),
                row + 1,
                of.shown(),
                ahead.1 + 1,
            ),
        )
    })?
}

/// A new revision of a set-up whose try-in has come from the lab.
fn set_up_again(input: &Input<'_>) -> Option<Hit> {
    let is_set_up = |rx: &Prescription| rx.order.course == Some(Course::SetUp);
    let is_again = is_set_up(input.rx) && input.setting.previous.as_ref().is_some_and(is_set_up);
    let is_back = |item: &&Item| {
        let state = input.state(&item.tag);
        item.kind == ItemKind::TryIn
            && state.is_some_and(|state| {
                state.is_there() && matches!(state.holder, Holder::Office | Holder::Patient)
            })
    };
    let item = input
        .setting
        .items
        .iter()
        .filter(|_| is_again)
        .find(is_back)?;
    at(
        "order.course",
        format!(
            "{} {} is back from the lab, and the kind of work is still “{}”: finish, or reset and try in again?",
            item.title(),
            item.tag,
            Course::SetUp.shown()
        ),
    )
}

fn kind(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.order.kind.is_none() && input.reaches(WITH_TEETH);
    when(
        wrong,
        "order.kind",
        "It is not said whether this is new work, a next stage or a remake.",
    )
}
