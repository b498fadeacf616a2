//! The spare denture.

use super::input::{BOTH, Input, no, words};
use super::reasons::{COPIED_AGAIN, DRIES_OUT, FROM_THE_THING};
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{DEVICES, DRY, HARMFUL_BATHS, OWN_RULE, PRACTICE, SETS};
use crate::domain::custody::item::ItemKind;
use crate::domain::form::{LongText, Text};
use crate::domain::prescription::{PatternSource, SpareArch, SpareTeeth, Stage};
use crate::domain::trade::agreement;
use crate::domain::trade::disinfection::{WARM_CELSIUS, agents, hottest};
use crate::domain::trade::substances::MaterialKind;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// The rules about the spare, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "spare-of-an-untreated-jaw",
        untreated,
        "There is no denture of this jaw from which a spare could be made.",
        PRACTICE,
    ),
    stop(
        "copied-denture-not-enclosed",
        not_enclosed,
        FROM_THE_THING,
        DEVICES,
    ),
    caution(
        "spare-for-one-jaw-and-copied-in-another",
        other_jaw,
        "Of the jaw and the tag one is wrong, and a denture more or less is made.",
        PRACTICE,
    ),
    caution(
        "spare-of-another-shade",
        other_shade,
        "The copy is the spare: it has one shade and one base.",
        OWN_RULE,
    ),
    caution(
        "spare-maker-unsaid",
        maker,
        "A spare that each house leaves to the other is not made.",
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
        "Tooth-colored resin has a shade of its own.",
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
        harmful_bath,
        "Alcohol crazes acrylic; hypochlorite whitens and weakens a base that lies in it; phenols and aldehydes stay in it; hot water bends it.",
        HARMFUL_BATHS,
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

/// Whether all that is ordered are copies of dentures as they are.
fn is_the_copy(input: &Input<'_>) -> bool {
    let mut pieces = input.pieces().iter().peekable();
    pieces.peek().is_some() && pieces.all(|piece| piece.stage == Some(Stage::Duplicate))
}

/// What a spare of this arch is copied from.
fn copied_from<'a>(input: &Input<'a>, arch: Arch) -> (&'static str, Option<&'a Tag>) {
    let spare = &input.rx.spare;
    match arch {
        Arch::Upper => ("spare.copied_upper", spare.copied_upper.as_ref()),
        Arch::Lower => ("spare.copied_lower", spare.copied_lower.as_ref()),
    }
}

/// A jaw that is duplicated, and whose denture is neither in the box nor at the lab.
fn not_enclosed(input: &Input<'_>) -> Option<Hit> {
    let from_files = !input.rx.scan_set.scans.is_empty();
    if from_files || !input.lists_enclosures() {
        return None;
    }
    let is_copied = |arch: Arch| {
        let mut pieces = input.pieces().iter();
        pieces.any(|piece| piece.arch == Some(arch) && piece.stage == Some(Stage::Duplicate))
    };
    let is_there = |arch: Arch| match copied_from(input, arch).1 {
        Some(tag) => input.reaches_lab(tag),
        // A copy beside other work may be made of what the lab makes first.
        None if !is_the_copy(input) => true,
        None => input.setting.items.iter().any(|item| {
            item.kind.is_denture() && item.arch == Some(arch) && input.reaches_lab(&item.tag)
        }),
    };
    let arch = BOTH
        .into_iter()
        .find(|arch| is_copied(*arch) && !is_there(*arch))?;
    at(
        copied_from(input, arch).0,
        format!(
            "The {} denture is to be copied, and it is neither in the list of what is enclosed nor at the lab.",
            arch.shown()
        ),
    )
}

fn other_jaw(input: &Input<'_>) -> Option<Hit> {
    let is_named = |arch: &Arch| copied_from(input, *arch).1.is_some() && !wants(input, *arch);
    let arch = BOTH
        .into_iter()
        .filter(|_| is_wanted(input))
        .find(is_named)?;
    let (key, tag) = copied_from(input, arch);
    let (tag, wanted) = (tag?, input.rx.spare.arch?);
    at(
        key,
        format!(
            "The spare is wanted for the {} jaw, and {tag} is to be copied for the {} one.",
            wanted.shown(),
            arch.shown()
        ),
    )
}

/// What the fields of the spare say of its shade or base, where the spare is what is ordered and they say something else
/// than the order.
fn other_shade(input: &Input<'_>) -> Option<Hit> {
    if !is_the_copy(input) || !is_wanted(input) {
        return None;
    }
    let (shade, spare) = (&input.rx.shade, &input.rx.spare);
    let written = (words(&shade.tab), words(&spare.tooth_shade));
    let is_one = |text: &str| text.split_whitespace().collect::<String>();
    let is_both = shade.tab.is_some() && spare.tooth_shade.is_some();
    if is_both && is_one(&written.0) != is_one(&written.1) {
        return at(
            "spare.tooth_shade",
            format!(
                "The copy is to have the shade “{}”, and the spare “{}”.",
                written.0, written.1
            ),
        );
    }
    let base = spare.base?;
    let mut pieces = input.pieces().iter().enumerate();
    pieces.find_map(|(row, piece)| {
        let other = agreement::other_base(base, piece.materials.as_ref()?.as_str())?;
        at(
            "spare.base",
            format!(
                "The base of the spare is to be of {}, and the materials of piece {} name {}.",
                base.shown(),
                row + 1,
                other.shown()
            ),
        )
    })
}

/// A copy that is ordered as it is is made by whoever it is ordered from.
fn maker(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_wanted(input) && !is_the_copy(input) && input.rx.spare.made_by.is_none();
    when(
        wrong,
        "spare.made_by",
        "A spare is wanted, and who makes it is not given.",
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
        "A spare is wanted, and the kind of its teeth is not given.",
    )
}

fn shade(input: &Input<'_>) -> Option<Hit> {
    let spare = &input.rx.spare;
    let wrong =
        is_wanted(input) && spare.teeth == Some(SpareTeeth::Resin) && spare.tooth_shade.is_none();
    when(
        wrong,
        "spare.tooth_shade",
        "The spare’s teeth are of tooth-colored resin, and its shade is not given.",
    )
}

/// Whether nothing but the denture that is made can be copied: it is finished from wax, or from no denture at all.
fn copies_what_is_made(input: &Input<'_>, arch: Arch) -> bool {
    let mut pieces = input.pieces().iter();
    let is_made =
        pieces.any(|piece| piece.arch == Some(arch) && piece.stage == Some(Stage::Process));
    let source = input.rx.pattern.source;
    is_made && matches!(source, Some(PatternSource::TryIn | PatternSource::None))
}

fn source(input: &Input<'_>) -> Option<Hit> {
    let spare = &input.rx.spare;
    let wants = |arch: Arch| wants(input, arch) && !copies_what_is_made(input, arch);
    if wants(Arch::Upper) && spare.copied_upper.is_none() {
        return at(
            "spare.copied_upper",
            "A spare is wanted for the upper jaw, and from what it is copied is not given.",
        );
    }
    let wrong = wants(Arch::Lower) && spare.copied_lower.is_none();
    when(
        wrong,
        "spare.copied_lower",
        "A spare is wanted for the lower jaw, and from what it is copied is not given.",
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
    let sentence = match answer {
        None => "Whether the spare is to be marked with its date is not given.",
        Some(_) => "The spare is not to be marked with its date.",
    };
    let wrong = is_wanted(input) && (answer.is_none() || no(answer));
    when(wrong, "spare.date_mark", sentence)
}

fn stored(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_wanted(input) && input.rx.spare.stored.is_none();
    when(
        wrong,
        "spare.stored",
        "Where and in what the spare is kept is not given.",
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

/// How hot the spare is kept, where that is hotter than a base bears.
fn stored_hot(input: &Input<'_>) -> Option<i64> {
    let text = input
        .rx
        .spare
        .stored
        .as_ref()
        .filter(|_| is_wanted(input))?;
    hottest(text.as_str()).filter(|celsius| *celsius > WARM_CELSIUS)
}

/// A day's or a night's bath in it is none that a base bears.
fn harmful_bath(input: &Input<'_>) -> Option<Hit> {
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
    if let Some(celsius) = stored_hot(input) {
        return at(
            "spare.stored",
            format!(
                "The spare is to lie at about {celsius} °C; more than {WARM_CELSIUS} °C changes it."
            ),
        );
    }
    let (key, agent) = texts.into_iter().find_map(|(key, text)| {
        let named = agents(text?);
        let found = named.into_iter().find(|agent| spoils.contains(agent))?;
        Some((key, found))
    })?;
    is_wanted(input).then(|| at(key, format!("The spare is to lie in {}.", agent.shown())))?
}

fn keeper(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_wanted(input) && input.rx.spare.keeper.is_none();
    when(wrong, "spare.keeper", "Who keeps the spare is not given.")
}

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.spare.arch.is_none() && input.reaches(&[Stage::Process]);
    when(
        wrong,
        "spare.arch",
        "Whether a spare is wanted is not given.",
    )
}
