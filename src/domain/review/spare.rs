//! The spare denture.

use super::input::{BOTH, Input, no, words};
use super::reasons::{COPIED_AGAIN, DRIES_OUT};
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{DRY, PRACTICE, SETS, SPOILS};
use crate::domain::custody::item::ItemKind;
use crate::domain::form::{LongText, Text};
use crate::domain::prescription::{SpareArch, SpareTeeth};
use crate::domain::trade::disinfection::agents;
use crate::domain::trade::substances::MaterialKind;
use crate::domain::values::arch::Arch;

/// The rules about the spare, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "spare-of-an-untreated-jaw",
        untreated,
        "There is no denture of this jaw from which a spare could be made.",
        PRACTICE,
    ),
    caution(
        "spare-teeth-without-mould",
        mould,
        "A second set of denture teeth is bought by mould and shade, not by eye.",
        PRACTICE,
    ),
    caution(
        "spare-teeth-unsaid",
        teeth,
        "Resin poured into a mould and a second set of teeth are two different works.",
        PRACTICE,
    ),
    caution(
        "spare-resin-without-shade",
        shade,
        "Tooth-coloured resin has a shade of its own.",
        PRACTICE,
    ),
    caution(
        "spare-source-unsaid",
        source,
        "Whether the spare copies the provisional or the final decides its height and its fit.",
        PRACTICE,
    ),
    caution("spare-of-a-duplicate", copy_of_copy, COPIED_AGAIN, PRACTICE),
    caution(
        "spare-without-date-mark",
        mark,
        "Two sets that look alike are mixed up within a week.",
        SETS,
    ),
    caution(
        "spare-storage-unsaid",
        stored,
        "A spare that nobody can find is no spare.",
        PRACTICE,
    ),
    caution("spare-stored-dry", dry, DRIES_OUT, DRY),
    caution(
        "spare-kept-in-what-spoils-it",
        spoiled,
        "Alcohol crazes acrylic; hypochlorite whitens and weakens a base that lies in it; phenols and aldehydes stay in it.",
        SPOILS,
    ),
    caution(
        "spare-keeper-unsaid",
        keeper,
        "Somebody renews the water and knows where it is.",
        PRACTICE,
    ),
    remark(
        "spare-unsaid",
        unsaid,
        "Whether a spare is wanted is cheaper to say now than later.",
        PRACTICE,
    ),
];

fn wants(input: &Input<'_>, arch: Arch) -> bool {
    match input.rx.spare.arch {
        Some(SpareArch::Both) => true,
        Some(SpareArch::Upper) => arch == Arch::Upper,
        Some(SpareArch::Lower) => arch == Arch::Lower,
        Some(SpareArch::None) | None => false,
    }
}

fn is_wanted(input: &Input<'_>) -> bool {
    BOTH.into_iter().any(|arch| wants(input, arch))
}

fn untreated(input: &Input<'_>) -> Option<Hit> {
    let arch = BOTH
        .into_iter()
        .find(|arch| wants(input, *arch) && !input.setting.treats(*arch))?;
    at(
        "spare.arch",
        format!(
            "A spare is wanted for the {} jaw, which this case does not treat.",
            arch.shown()
        ),
    )
}

fn mould(input: &Input<'_>) -> Option<Hit> {
    let (front, back) = (&input.rx.anterior, &input.rx.posterior);
    let moulds = [
        &front.upper_mould,
        &front.lower_mould,
        &back.upper_mould,
        &back.lower_mould,
    ];
    let named = moulds.iter().any(|mould| mould.is_some());
    let wrong =
        is_wanted(input) && input.rx.spare.teeth == Some(SpareTeeth::DentureTeeth) && !named;
    when(
        wrong,
        "spare.teeth",
        "A second set of denture teeth is ordered for the spare, and no mould is named.",
    )
}

fn teeth(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_wanted(input) && input.rx.spare.teeth.is_none();
    when(
        wrong,
        "spare.teeth",
        "A spare is wanted, and of what its teeth are is not said.",
    )
}

fn shade(input: &Input<'_>) -> Option<Hit> {
    let spare = &input.rx.spare;
    let wrong =
        is_wanted(input) && spare.teeth == Some(SpareTeeth::Resin) && spare.tooth_shade.is_none();
    when(
        wrong,
        "spare.tooth_shade",
        "The spare’s teeth are of tooth-coloured resin, and its shade is not given.",
    )
}

fn source(input: &Input<'_>) -> Option<Hit> {
    let spare = &input.rx.spare;
    if wants(input, Arch::Upper) && spare.copied_upper.is_none() {
        return at(
            "spare.copied_upper",
            "A spare is wanted for the upper jaw, and from what it is copied is not said.",
        );
    }
    let wrong = wants(input, Arch::Lower) && spare.copied_lower.is_none();
    when(
        wrong,
        "spare.copied_lower",
        "A spare is wanted for the lower jaw, and from what it is copied is not said.",
    )
}

fn copy_of_copy(input: &Input<'_>) -> Option<Hit> {
    let spare = &input.rx.spare;
    let copied = [
        ("spare.copied_upper", &spare.copied_upper, Arch::Upper),
        ("spare.copied_lower", &spare.copied_lower, Arch::Lower),
    ];
    let (key, tag) = copied.into_iter().find_map(|(key, tag, arch)| {
        let tag = tag.as_ref().filter(|_| wants(input, arch))?;
        (input.kind(tag) == Some(ItemKind::Duplicate)).then_some((key, tag))
    })?;
    at(
        key,
        format!("The spare is to be copied from {tag}, which is a duplicate itself."),
    )
}

fn mark(input: &Input<'_>) -> Option<Hit> {
    let answer = input.rx.spare.date_mark;
    let wrong = is_wanted(input) && (answer.is_none() || no(answer));
    when(
        wrong,
        "spare.date_mark",
        "The spare is not to be marked with its date.",
    )
}

fn stored(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_wanted(input) && input.rx.spare.stored.is_none();
    when(
        wrong,
        "spare.stored",
        "Where and in what the spare is kept is not said.",
    )
}

fn dry(input: &Input<'_>) -> Option<Hit> {
    let place = words(&input.rx.spare.stored);
    let is_dry = place
        .split(|c: char| !c.is_alphanumeric())
        .any(|word| word == "dry");
    let wrong =
        is_wanted(input) && is_dry && !place.contains("not dry") && !place.contains("never dry");
    when(wrong, "spare.stored", "The spare is to be kept dry.")
}

/// A day's or a night's bath in it is none that a base bears.
fn spoiled(input: &Input<'_>) -> Option<Hit> {
    let spare = &input.rx.spare;
    let texts = [
        ("spare.stored", spare.stored.as_ref().map(Text::as_str)),
        ("spare.note", spare.note.as_ref().map(LongText::as_str)),
    ];
    let spoils = [
        MaterialKind::AlcoholAgent,
        MaterialKind::Hypochlorite,
        MaterialKind::Phenolic,
        MaterialKind::GlutaraldehydeBath,
    ];
    let (key, agent) = texts.into_iter().find_map(|(key, text)| {
        let named = agents(text?);
        let found = named.into_iter().find(|agent| spoils.contains(agent))?;
        Some((key, found))
    })?;
    is_wanted(input).then(|| at(key, format!("The spare is to lie in {}.", agent.shown())))?
}

fn keeper(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_wanted(input) && input.rx.spare.keeper.is_none();
    when(wrong, "spare.keeper", "Who keeps the spare is not said.")
}

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    use crate::domain::prescription::Stage;
    let wrong = input.rx.spare.arch.is_none() && input.reaches(&[Stage::Process]);
    when(
        wrong,
        "spare.arch",
        "Whether a spare is wanted is not said.",
    )
}
