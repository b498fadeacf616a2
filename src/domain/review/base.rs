//! Base material, exclusions, polished surface and finish.

use super::criteria::lacks;
use super::input::{Input, no, yes};
use super::rule::{Hit, Rule, at, caution, stop, when};
use super::sources::{COMPLAINTS, DRY, PRACTICE};
use crate::domain::prescription::{
    BaseMaterial, PatternSource, PolishedSurface, Process, RecordMaterial, Stage, Strengthening,
    SurfaceMaterial,
};
use crate::domain::values::measure::Mm;

/// Common practice, no source.
const THIN: Mm = Mm::from_hundredths(150);
const THICK: Mm = Mm::from_hundredths(400);
/// Shorter words of an exclusion would match half of every text.
const WORD_LETTERS: usize = 4;

/// The rules about base material, exclusions, polished surface and finish, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-20-base",
        unsaid,
        "Process and material decide fit, strength and residual monomer.",
        PRACTICE,
    ),
    stop(
        "methacrylate-excluded-and-cold-cured",
        cold_methacrylate,
        "Cold-cured and poured resin keep most residual monomer.",
        PRACTICE,
    ),
    caution(
        "methacrylate-excluded-and-resin",
        methacrylate,
        "Every acrylic base holds some monomer; curing, product and soaking have to be agreed.",
        PRACTICE,
    ),
    stop(
        "metal-excluded-and-ordered",
        metal,
        "The patient is said not to bear this metal, and would wear it day and night.",
        PRACTICE,
    ),
    stop(
        "eugenol-excluded-and-used",
        eugenol,
        "Zinc oxide and eugenol touch the mucosa in the mouth.",
        PRACTICE,
    ),
    stop(
        "dyes-excluded-and-ordered",
        dyes,
        "Fibres and stains are what is to be avoided.",
        PRACTICE,
    ),
    caution(
        "peroxide-excluded-and-cured",
        peroxide,
        "Heat- and cold-cured resins are started with benzoyl peroxide.",
        PRACTICE,
    ),
    stop(
        "excluded-substance-named",
        named,
        "A substance to be avoided stands among the materials ordered.",
        PRACTICE,
    ),
    caution(
        "process-of-another-material",
        process,
        "The material cannot be worked in this way.",
        PRACTICE,
    ),
    caution(
        "cold-cured-final",
        cold,
        "A final base of cold-cured resin is weaker and keeps more monomer.",
        PRACTICE,
    ),
    caution(
        "other-base-without-note",
        other,
        "“Other material” has to be said in words.",
        PRACTICE,
    ),
    caution(
        "palate-thin",
        thin,
        "A thin palate without strengthening breaks along the midline.",
        PRACTICE,
    ),
    caution(
        "palate-thick",
        thick,
        "A thick palate blurs T, D and K and makes the patient gag.",
        COMPLAINTS,
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
    caution(
        "dry-return",
        dry,
        "A base that dries out deforms measurably within two weeks.",
        DRY,
    ),
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

fn is_cold(input: &Input<'_>) -> bool {
    input.rx.base.material == Some(BaseMaterial::ColdCured)
        || input.rx.base.process == Some(Process::Pour)
}

fn excludes_methacrylate(input: &Input<'_>) -> bool {
    input
        .patient()
        .is_some_and(|patient| yes(patient.no_methacrylate))
}

fn cold_methacrylate(input: &Input<'_>) -> Option<Hit> {
    let wrong = excludes_methacrylate(input) && is_cold(input);
    when(
        wrong,
        "base.material",
        "The patient’s card excludes residual methacrylate, and a cold-cured base is ordered.",
    )
}

fn methacrylate(input: &Input<'_>) -> Option<Hit> {
    let material = input.rx.base.material?;
    let acrylic = matches!(
        material,
        BaseMaterial::HeatCured
            | BaseMaterial::HighImpact
            | BaseMaterial::Milled
            | BaseMaterial::Printed
    );
    let wrong = excludes_methacrylate(input) && acrylic && !is_cold(input);
    wrong.then(|| {
        at(
            "base.material",
            format!(
                "The patient’s card excludes residual methacrylate, and the base is of {}.",
                material.shown()
            ),
        )
    })?
}

/// The part of the work that is of metal, with its key.
fn metal_part(input: &Input<'_>) -> Option<(&'static str, &'static str)> {
    let base = &input.rx.base;
    if base.material == Some(BaseMaterial::MetalBase) {
        return Some(("base.material", "a metal base"));
    }
    if yes(base.metal_palate) {
        return Some(("base.metal_palate", "a metal palate"));
    }
    match base.strengthening {
        Some(Strengthening::MetalMesh) => Some(("base.strengthening", "a metal mesh")),
        Some(Strengthening::Bar) => Some(("base.strengthening", "a bar")),
        _ => None,
    }
}

fn metal(input: &Input<'_>) -> Option<Hit> {
    let patient = input.patient()?;
    let metals = [
        (patient.no_nickel, "nickel"),
        (patient.no_cobalt_chromium, "cobalt and chromium"),
    ];
    let excluded: Vec<&str> = metals
        .into_iter()
        .filter(|(answer, _)| yes(*answer))
        .map(|(_, words)| words)
        .collect();
    let (key, part) = metal_part(input)?;
    (!excluded.is_empty()).then(|| {
        at(
            key,
            format!(
                "The patient’s card excludes {}, and {part} is ordered.",
                excluded.join(" and ")
            ),
        )
    })?
}

fn eugenol(input: &Input<'_>) -> Option<Hit> {
    let excluded = input
        .patient()
        .is_some_and(|patient| yes(patient.no_eugenol));
    let in_surface = input.rx.impression.material == Some(SurfaceMaterial::Zoe);
    let in_record = input.rx.jaw.material == Some(RecordMaterial::Zoe);
    let key = if in_surface {
        "impression.material"
    } else {
        "jaw.material"
    };
    when(
        excluded && (in_surface || in_record),
        key,
        "The patient’s card excludes eugenol, and zinc oxide and eugenol is used.",
    )
}

fn dyes(input: &Input<'_>) -> Option<Hit> {
    let excluded = input.patient().is_some_and(|patient| yes(patient.no_dyes));
    let shade = &input.rx.base_shade;
    let key = if yes(shade.fibres) {
        "base_shade.fibres"
    } else {
        "base_shade.characterisation"
    };
    let ordered = yes(shade.fibres) || shade.characterisation.is_some();
    when(
        excluded && ordered,
        key,
        "The patient’s card excludes added dyes and fibres, and the base is to be characterised.",
    )
}

fn peroxide(input: &Input<'_>) -> Option<Hit> {
    let material = input.rx.base.material?;
    let excluded = input
        .patient()
        .is_some_and(|patient| yes(patient.no_peroxide));
    let cured = matches!(
        material,
        BaseMaterial::HeatCured | BaseMaterial::HighImpact | BaseMaterial::ColdCured
    );
    (excluded && cured).then(|| {
        at(
            "base.material",
            format!(
                "The patient’s card excludes benzoyl peroxide, and the base is of {}.",
                material.shown()
            ),
        )
    })?
}

/// Words of the substances to be avoided, in small letters.
fn excluded_words(input: &Input<'_>) -> Vec<String> {
    let typed = [
        input
            .patient()
            .and_then(|patient| patient.no_other.as_ref()),
        input.rx.base.without.as_ref(),
    ];
    let patient = input.patient();
    let ticked = [
        (patient.and_then(|patient| patient.no_nickel), "nickel"),
        (
            patient.and_then(|patient| patient.no_cobalt_chromium),
            "cobalt",
        ),
        (
            patient.and_then(|patient| patient.no_cobalt_chromium),
            "chromium",
        ),
        (patient.and_then(|patient| patient.no_eugenol), "eugenol"),
        (patient.and_then(|patient| patient.no_latex), "latex"),
    ];
    let ticked = ticked
        .into_iter()
        .filter(|(answer, _)| yes(*answer))
        .map(|(_, word)| word.to_owned());
    let mut words: Vec<String> = ticked.collect();
    for text in typed.into_iter().flatten() {
        words.extend(split_words(text.as_str()));
    }
    words
}

/// Words long enough to mean a substance. What goes with every exclusion is left out.
fn split_words(text: &str) -> Vec<String> {
    const COMMON: [&str; 12] = [
        "nothing",
        "with",
        "containing",
        "without",
        "resin",
        "material",
        "materials",
        "from",
        "that",
        "this",
        "base",
        "teeth",
    ];
    let words = text
        .split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase);
    words
        .filter(|word| word.chars().count() >= WORD_LETTERS && !COMMON.contains(&word.as_str()))
        .collect()
}

/// Whether `text` names the word as something that is in the work; "nickel-free" does not.
fn names(text: &str, word: &str) -> bool {
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .collect();
    let mut before = "";
    for (place, found) in words.iter().enumerate() {
        let next = words.get(place + 1).map(String::as_str).unwrap_or_default();
        let negated = next == "free" || matches!(before, "no" | "not" | "without");
        if found == word && !negated {
            return true;
        }
        before = found;
    }
    false
}

fn named(input: &Input<'_>) -> Option<Hit> {
    let mut texts: Vec<(String, &str)> = Vec::new();
    for (row, piece) in input.pieces().iter().enumerate() {
        texts.extend(
            piece
                .materials
                .as_ref()
                .map(|text| (format!("pieces.{row}.materials"), text.as_str())),
        );
    }
    let base = &input.rx.base;
    texts.extend(
        base.product
            .as_ref()
            .map(|text| ("base.product".to_owned(), text.as_str())),
    );
    texts.extend(
        base.soft_liner_note
            .as_ref()
            .map(|text| ("base.soft_liner_note".to_owned(), text.as_str())),
    );
    let words = excluded_words(input);
    texts.into_iter().find_map(|(key, text)| {
        let word = words.iter().find(|word| names(text, word))?;
        at(
            key,
            format!("“{word}” is to be avoided, and it stands among the materials."),
        )
    })
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
                "The base is of {}, and the process {}.",
                material.shown(),
                process.shown()
            ),
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

fn thin(input: &Input<'_>) -> Option<Hit> {
    let palate = input.rx.base.palate_mm?;
    let weak = matches!(
        input.rx.base.strengthening,
        None | Some(Strengthening::None)
    ) && !yes(input.rx.base.metal_palate)
        && input.rx.base.material != Some(BaseMaterial::MetalBase);
    (palate < THIN && weak).then(|| {
        at(
            "base.palate_mm",
            format!(
                "The palate is to be {palate} mm thick without strengthening; about 2 mm are usual."
            ),
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
        "A soft liner is ordered, and where and how thick is not said.",
    )
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
        && input.rx.pattern.source == Some(PatternSource::None);
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
