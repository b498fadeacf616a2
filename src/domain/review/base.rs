//! Base material, polished surface and finish.

use super::criteria::lacks;
use super::exclusions::{excludes_metal, excludes_methacrylate, names_metal};
use super::input::{Input, TISSUE_MADE, no, yes};
use super::parts_named::{metal_part, names_alloy};
use super::reasons::{DRIES_OUT, OTHER_MATERIAL};
use super::rule::{Hit, Rule, at, caution, when};
use super::sources::{COMPLAINTS, DRY, OWN_RULE, PRACTICE};
use crate::domain::form::Text;
use crate::domain::prescription::{
    Alloy, BaseMaterial, PatternSource, Piece, PolishedSurface, Process, Stage, Strengthening,
};
use crate::domain::trade::agreement;
use crate::domain::values::measure::Mm;

/// Common practice, no source.
const THIN: Mm = Mm::from_hundredths(150);
const THICK: Mm = Mm::from_hundredths(400);

/// The rules about base material, polished surface and finish, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-20-base",
        unsaid,
        "Process and material decide fit, strength and residual monomer.",
        PRACTICE,
    ),
    caution(
        "process-of-another-material",
        process,
        "The material cannot be worked in this way.",
        PRACTICE,
    ),
    caution(
        "piece-of-another-base",
        off_base,
        "The materials of a piece are what the patient gets and what the law reads: they say the same as the base.",
        OWN_RULE,
    ),
    caution(
        "piece-of-another-strengthening",
        off_strengthening,
        "Of fiber and metal the lab puts in one.",
        OWN_RULE,
    ),
    caution(
        "alloy-of-the-metal-unsaid",
        alloy_unsaid,
        "Weight, strength and what the patient is exposed to follow from the alloy; “as the lab judges” is an answer too.",
        PRACTICE,
    ),
    caution(
        "cold-cured-final",
        cold,
        "A final base of cold-cured resin is weaker and keeps more monomer.",
        PRACTICE,
    ),
    caution("other-base-without-note", other, OTHER_MATERIAL, PRACTICE),
    caution(
        "palate-thin",
        thin,
        "A thin palate breaks along the midline.",
        PRACTICE,
    ),
    caution(
        "palate-thick",
        thick,
        "A thick palate blurs T, D and K and makes the patient gag.",
        COMPLAINTS,
    ),
    caution(
        "soft-liner-refused-and-described",
        liner_refused,
        "One of the two was meant: a liner changes what the base is made of.",
        PRACTICE,
    ),
    caution(
        "alloy-of-no-metal-part",
        alloy_of_nothing,
        "The lab asks which part is to be of metal.",
        PRACTICE,
    ),
    caution(
        "soft-liner-undescribed",
        liner,
        "A soft liner is cut in at some place and some thickness.",
        PRACTICE,
    ),
    caution(
        "neutral-zone-without-record",
        neutral,
        "The neutral zone is in a record or nowhere.",
        PRACTICE,
    ),
    caution(
        "polished-as-on-no-pattern",
        polished,
        "There is no pattern whose polished surface could be copied.",
        PRACTICE,
    ),
    caution("dry-return", dry, DRIES_OUT, DRY),
    caution(
        "remount-without-index",
        remount,
        "A remount at insertion needs the mounting that the lab is told not to keep.",
        PRACTICE,
    ),
];

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    if !lacks(input, 20) {
        return None;
    }
    match (input.rx.base.material, input.rx.base.process) {
        (Some(_), None) => at(
            "base.process",
            "The process of the base is not named; “as the lab judges” is an answer too.",
        ),
        (None, Some(_)) => at("base.material", "The base material is not named."),
        _ => at(
            "base.material",
            "Neither material nor process of the base is named.",
        ),
    }
}

fn process(input: &Input<'_>) -> Option<Hit> {
    let (material, process) = (input.rx.base.material?, input.rx.base.process?);
    let own: &[Process] = match material {
        BaseMaterial::HeatCured | BaseMaterial::HighImpact => {
            &[Process::Compression, Process::Injection]
        }
        BaseMaterial::ColdCured => &[Process::Pour, Process::Injection, Process::Compression],
        BaseMaterial::Milled => &[Process::Milling],
        BaseMaterial::Printed => &[Process::Printing],
        BaseMaterial::Polyamide => &[Process::Injection],
        BaseMaterial::MetalBase | BaseMaterial::Other => return None,
    };
    let wrong = process != Process::LabChoice && !own.contains(&process);
    wrong.then(|| {
        at(
            "base.process",
            format!(
                "The base is to be of {}, and its process is {}.",
                material.shown(),
                process.shown()
            ),
        )
    })?
}

/// The pieces that the base of the order is about: the denture that is finished, or what comes back or is copied.
fn of_the_base<'a>(input: &Input<'a>) -> impl Iterator<Item = (usize, &'a Piece)> {
    let has_final = input.has_stage(Stage::Process);
    let is_it = move |piece: &Piece| match piece.stage {
        Some(Stage::Process) => true,
        Some(Stage::Duplicate | Stage::Reline | Stage::Rebase | Stage::Repair) => !has_final,
        _ => false,
    };
    let pieces = input.pieces().iter().enumerate();
    pieces.filter(move |(_, piece)| is_it(piece))
}

fn off_base(input: &Input<'_>) -> Option<Hit> {
    off_rims(input).or_else(|| off_own_base(input))
}

/// The base of the rims by its field, and another by the materials of a piece.
fn off_rims(input: &Input<'_>) -> Option<Hit> {
    let base = input.rx.rims.base?;
    let pieces = input.pieces().iter().enumerate();
    let mut rims = pieces.filter(|(_, piece)| piece.stage == Some(Stage::Rims));
    rims.find_map(|(row, piece)| {
        let other = agreement::other_rim_base(base, piece.materials.as_ref()?.as_str())?;
        at(
            format!("pieces.{row}.materials"),
            format!(
                "The base of the rims is to be of {}, and the materials of piece {} name {}.",
                base.shown(),
                row + 1,
                other.shown()
            ),
        )
    })
}

fn off_own_base(input: &Input<'_>) -> Option<Hit> {
    let base = input.rx.base.material?;
    of_the_base(input).find_map(|(row, piece)| {
        let text = piece.materials.as_ref()?.as_str();
        let other = agreement::other_base(base, text)?;
        at(
            format!("pieces.{row}.materials"),
            format!(
                "The base is to be of {}, and the materials of piece {} name {}.",
                base.shown(),
                row + 1,
                other.shown()
            ),
        )
    })
}

fn off_strengthening(input: &Input<'_>) -> Option<Hit> {
    let strengthening = input.rx.base.strengthening?;
    of_the_base(input).find_map(|(row, piece)| {
        let text = piece.materials.as_ref()?.as_str();
        let other = agreement::other_strengthening(strengthening, text)?;
        at(
            format!("pieces.{row}.materials"),
            format!(
                "The strengthening is to be “{}”, and the materials of piece {} name {other}.",
                strengthening.shown(),
                row + 1
            ),
        )
    })
}

fn alloy_unsaid(input: &Input<'_>) -> Option<Hit> {
    let what = metal_part(input)?;
    // Where a metal is to be avoided, its alloy is asked for there.
    let is_open = input.rx.base.alloy.is_none() && !excludes_metal(input) && !names_alloy(input);
    is_open.then(|| {
        at(
            "base.alloy",
            format!("Ordered is {what}, and its alloy is not given."),
        )
    })?
}

fn cold(input: &Input<'_>) -> Option<Hit> {
    let finished = input
        .pieces()
        .iter()
        .any(|piece| piece.stage == Some(Stage::Process));
    // An excluded monomer has its own stop.
    let wrong = finished
        && input.rx.base.material == Some(BaseMaterial::ColdCured)
        && !excludes_methacrylate(input);
    when(
        wrong,
        "base.material",
        "The final denture is to have a cold-cured base.",
    )
}

fn other(input: &Input<'_>) -> Option<Hit> {
    let base = &input.rx.base;
    let wrong =
        base.material == Some(BaseMaterial::Other) && base.note.is_none() && base.product.is_none();
    when(
        wrong,
        "base.note",
        "The base is of another material, and neither product nor note says which.",
    )
}

/// No strengthening makes up for a palate of resin that is thinner. Common practice, no source.
const TOO_THIN: Mm = Mm::from_hundredths(100);

fn thin(input: &Input<'_>) -> Option<Hit> {
    let palate = input.rx.base.palate_mm?;
    let is_bare = matches!(
        input.rx.base.strengthening,
        None | Some(Strengthening::None)
    );
    let is_resin =
        !yes(input.rx.base.metal_palate) && input.rx.base.material != Some(BaseMaterial::MetalBase);
    let wrong = is_resin && (is_bare && palate < THIN || palate < TOO_THIN);
    let bare = if is_bare {
        " without strengthening"
    } else {
        ""
    };
    wrong.then(|| {
        at(
            "base.palate_mm",
            format!("The palate is to be {palate} mm thick{bare}; about 2 mm are usual."),
        )
    })?
}

fn thick(input: &Input<'_>) -> Option<Hit> {
    let palate = input.rx.base.palate_mm?;
    (palate > THICK).then(|| {
        at(
            "base.palate_mm",
            format!("The palate is to be {palate} mm thick; about 2 mm are usual."),
        )
    })?
}

fn liner(input: &Input<'_>) -> Option<Hit> {
    let wrong = yes(input.rx.base.soft_liner) && input.rx.base.soft_liner_note.is_none();
    when(
        wrong,
        "base.soft_liner_note",
        "A soft liner is ordered, and where and how thick is not given.",
    )
}

fn liner_refused(input: &Input<'_>) -> Option<Hit> {
    let note = input.rx.base.soft_liner_note.as_ref().map(Text::as_str);
    // "None", "no liner": the same as the answer.
    let first = note.and_then(|note| note.split_whitespace().next());
    let first = first.unwrap_or_default().to_lowercase();
    let first = first.trim_matches(|sign: char| !sign.is_alphanumeric());
    let is_none = matches!(first, "" | "no" | "none" | "not" | "without" | "never");
    if no(input.rx.base.soft_liner) && !is_none {
        return at(
            "base.soft_liner_note",
            "No soft liner is ordered, and one is described.",
        );
    }
    liner_named(input)
}

/// A soft liner among the materials of a piece, where none is ordered.
fn liner_named(input: &Input<'_>) -> Option<Hit> {
    let is_ordered = yes(input.rx.base.soft_liner);
    let mut pieces = of_the_base(input).filter(|_| !is_ordered);
    pieces.find_map(|(row, piece)| {
        let texts = [
            ("materials", &piece.materials),
            ("description", &piece.description),
        ];
        let (field, _) = texts.into_iter().find(|(_, text)| {
            text.as_ref()
                .is_some_and(|text| agreement::names_liner(text.as_str()))
        })?;
        at(
            format!("pieces.{row}.{field}"),
            format!("Piece {} names a soft liner, and none is ordered.", row + 1),
        )
    })
}

fn alloy_of_nothing(input: &Input<'_>) -> Option<Hit> {
    let alloy = input.rx.base.alloy?;
    let is_named = !matches!(alloy, Alloy::NoneNamed | Alloy::Other);
    let is_stated = input.texts().iter().any(|text| names_metal(&text.text));
    (is_named && metal_part(input).is_none() && !is_stated).then(|| {
        at(
            "base.alloy",
            format!(
                "An alloy is named, {}, and no part of metal is ordered.",
                alloy.shown()
            ),
        )
    })?
}

fn neutral(input: &Input<'_>) -> Option<Hit> {
    let finish = &input.rx.finish;
    let wrong =
        finish.polished == Some(PolishedSurface::NeutralZone) && finish.neutral_zone_item.is_none();
    when(
        wrong,
        "finish.neutral_zone_item",
        "The polished surface is to follow a neutral-zone record, and none is named.",
    )
}

fn polished(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.finish.polished == Some(PolishedSurface::Pattern)
        && input.rx.pattern.source == Some(PatternSource::None)
        && input.reaches(TISSUE_MADE);
    when(
        wrong,
        "finish.polished",
        "The polished surface is to copy the pattern, and there is none.",
    )
}

fn dry(input: &Input<'_>) -> Option<Hit> {
    when(
        no(input.rx.finish.wet_packing),
        "finish.wet_packing",
        "The work is not to be sent back moist and sealed.",
    )
}

fn remount(input: &Input<'_>) -> Option<Hit> {
    let finish = &input.rx.finish;
    let wrong = yes(finish.remount_casts) && no(finish.keep_index);
    when(
        wrong,
        "finish.keep_index",
        "The work is to come back on remount casts, and mounting and index are not to be kept.",
    )
}
