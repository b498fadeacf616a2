//! The things of the case: what is enclosed, what the patient wears, where the old denture is.

use super::input::{BOTH, Input};
use super::order::lacks_the_corrected;
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{LAW, PRACTICE};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{Condition, Gone, Holder};
use crate::domain::prescription::{Course, Prescription, ScanShows, SpareArch, Stage, StaysWith};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;

/// The rules about the items of the case, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "tag-of-no-item",
        unknown,
        "A tag that belongs to nothing of this case sends the lab looking for another patient’s things.",
        LAW,
    ),
    stop(
        "tag-of-another-kind",
        kind,
        "The lab would mount, copy or match with the wrong thing.",
        PRACTICE,
    ),
    stop(
        "tag-of-another-jaw",
        jaw,
        "Upper and lower would be exchanged.",
        PRACTICE,
    ),
    caution(
        "worked-on-not-enclosed",
        not_sent,
        "The lab mends what is in the box: another denture, or none.",
        PRACTICE,
    ),
    caution(
        "provisional-without-duplicate",
        toothless,
        "When the provisional leaves, the patient has nothing to wear in that jaw.",
        PRACTICE,
    ),
    caution(
        "arch-without-a-denture",
        bare,
        "A jaw that is treated wears something meanwhile, or is to do without: that is known before the work begins.",
        PRACTICE,
    ),
    caution(
        "worn-denture-leaves",
        leaves,
        "While it is at the lab, the patient has nothing to wear in that jaw: a duplicate is registered and fitted before this one leaves.",
        PRACTICE,
    ),
    caution(
        "duplicate-sent-while-worn",
        worn,
        "What the patient wears cannot be in the box.",
        PRACTICE,
    ),
    caution(
        "worn-and-kept-elsewhere",
        kept_elsewhere,
        "What is in the mouth stays with the patient, and nobody else can be asked for it.",
        PRACTICE,
    ),
    caution(
        "enclosed-and-kept",
        enclosed_and_kept,
        "One thing cannot be in the box and stay where it is.",
        PRACTICE,
    ),
    caution(
        "old-denture-with-the-patient",
        old_with_patient,
        "Worn again at night, the old denture presses the healed tissue down and the cast no longer fits.",
        PRACTICE,
    ),
    caution(
        "old-denture-place-unknown",
        old_unknown,
        "A denture that nobody has put away finds its way back to the mouth.",
        PRACTICE,
    ),
    remark(
        "old-denture-not-registered",
        old_unregistered,
        "Whether there is an old denture, and where, is not in the record.",
        PRACTICE,
    ),
    stop(
        "enclosed-and-gone",
        gone,
        "What is used up or destroyed cannot be sent.",
        PRACTICE,
    ),
    caution(
        "enclosed-and-damaged",
        damaged,
        "The lab works from what is broken, or waits.",
        PRACTICE,
    ),
    caution(
        "enclosed-and-elsewhere",
        elsewhere,
        "The record says that the item is not at the office.",
        PRACTICE,
    ),
    remark(
        "revision-without-change",
        unchanged,
        "A new revision that says the same has to be read and acknowledged all the same.",
        PRACTICE,
    ),
];

/// A tag that the document names: where, the kinds it may be of (none: any), the jaw it must be of.
struct Named<'a> {
    key: String,
    tag: &'a Tag,
    kinds: &'static [ItemKind],
    arch: Option<Arch>,
}

const PATTERN: &[ItemKind] = &[
    ItemKind::Provisional,
    ItemKind::Duplicate,
    ItemKind::TryIn,
    ItemKind::OldDenture,
    ItemKind::FinalDenture,
    ItemKind::Rims,
];
const COPIED: &[ItemKind] = &[
    ItemKind::Provisional,
    ItemKind::Duplicate,
    ItemKind::FinalDenture,
    ItemKind::TryIn,
];

/// What is laid into the flask for the denture that the patient wears meanwhile.
const LAID_IN: &[ItemKind] = &[
    ItemKind::Provisional,
    ItemKind::Duplicate,
    ItemKind::OldDenture,
    ItemKind::FinalDenture,
];

/// The key of a field that names an item, and as in [`Named`] what stands in it.
type NamedField<'a> = (
    &'static str,
    &'a Option<Tag>,
    &'static [ItemKind],
    Option<Arch>,
);

const UPPER: Option<Arch> = Some(Arch::Upper);
const LOWER: Option<Arch> = Some(Arch::Lower);

/// Every tag in the document.
fn named<'a>(input: &Input<'a>) -> Vec<Named<'a>> {
    let rx = input.rx;
    let fields = of_the_copy(rx).into_iter();
    let fields = fields.chain(of_records(rx)).chain(of_what_was_worn(rx));
    let fields = fields.chain(that_come_back(input));
    let filled = fields.filter_map(|(key, tag, kinds, arch)| {
        let (key, tag) = (key.to_owned(), tag.as_ref()?);
        Some(Named {
            key,
            tag,
            kinds,
            arch,
        })
    });
    let mut all: Vec<Named<'a>> = filled.collect();
    all.extend(of_lists(input));
    all
}

/// What the work is copied from, and what is copied for the patient meanwhile.
fn of_the_copy(rx: &Prescription) -> [NamedField<'_>; 6] {
    let (pattern, copy) = (&rx.pattern, &rx.duplicate);
    let worn: &'static [ItemKind] = &[ItemKind::Duplicate];
    [
        ("pattern.upper_item", &pattern.upper_item, PATTERN, UPPER),
        ("pattern.lower_item", &pattern.lower_item, PATTERN, LOWER),
        ("duplicate.upper_item", &copy.upper_item, worn, UPPER),
        ("duplicate.lower_item", &copy.lower_item, worn, LOWER),
        ("duplicate.upper_from", &copy.upper_from, LAID_IN, UPPER),
        ("duplicate.lower_from", &copy.lower_from, LAID_IN, LOWER),
    ]
}

/// Records and what is enclosed to be looked at.
fn of_records(rx: &Prescription) -> [NamedField<'_>; 5] {
    let neutral_zone = &rx.finish.neutral_zone_item;
    [
        ("jaw.item", &rx.jaw.item, &[ItemKind::BiteRecord], None),
        (
            "facebow.item",
            &rx.facebow.item,
            &[ItemKind::FacebowRecord],
            None,
        ),
        (
            "guidance.item",
            &rx.guidance.item,
            &[ItemKind::ProtrusiveRecord],
            None,
        ),
        (
            "shade.tab_item",
            &rx.shade.tab_item,
            &[ItemKind::ShadeTab],
            None,
        ),
        ("finish.neutral_zone_item", neutral_zone, &[], None),
    ]
}

/// What a spare is copied from, and what was tried in.
fn of_what_was_worn(rx: &Prescription) -> [NamedField<'_>; 4] {
    let (spare, approval) = (&rx.spare, &rx.approval);
    let tried: &'static [ItemKind] = &[ItemKind::TryIn, ItemKind::Rims];
    [
        ("spare.copied_upper", &spare.copied_upper, COPIED, UPPER),
        ("spare.copied_lower", &spare.copied_lower, COPIED, LOWER),
        ("approval.item_upper", &approval.item_upper, tried, UPPER),
        ("approval.item_lower", &approval.item_lower, tried, LOWER),
    ]
}

/// A denture that comes back may have been made elsewhere, and be an old one.
const COMES_BACK: &[ItemKind] = &[
    ItemKind::FinalDenture,
    ItemKind::Provisional,
    ItemKind::Duplicate,
    ItemKind::OldDenture,
];

/// Dentures that come back to be worked on.
fn that_come_back<'a>(input: &Input<'a>) -> [NamedField<'a>; 6] {
    let rx = input.rx;
    let relined = arch_of_pieces(input, &[Stage::Reline, Stage::Rebase]);
    let repaired = arch_of_pieces(input, &[Stage::Repair]);
    // The other one is of the jaw that the first is not of.
    let not_relined = other_jaw_than(input, &rx.reline.item);
    let not_repaired = other_jaw_than(input, &rx.repair.item);
    let (reline, repair, remount) = (&rx.reline, &rx.repair, &rx.remount);
    [
        ("reline.item", &reline.item, COMES_BACK, relined),
        ("repair.item", &repair.item, COMES_BACK, repaired),
        (
            "reline.other_item",
            &reline.other_item,
            COMES_BACK,
            not_relined,
        ),
        (
            "repair.other_item",
            &repair.other_item,
            COMES_BACK,
            not_repaired,
        ),
        ("remount.upper_item", &remount.upper_item, COMES_BACK, UPPER),
        ("remount.lower_item", &remount.lower_item, COMES_BACK, LOWER),
    ]
}

/// The tags in the rows of lists.
fn of_lists<'a>(input: &Input<'a>) -> Vec<Named<'a>> {
    let rx = input.rx;
    let mut all = Vec::new();
    let mut add = |(list, row): (&str, usize), tag: &'a Option<Tag>, kinds, arch| {
        let key = format!("{list}.{row}.tag");
        all.extend(tag.as_ref().map(|tag| Named {
            key,
            tag,
            kinds,
            arch,
        }));
    };
    for (row, scan) in rx.scan_set.scans.iter().enumerate() {
        let shown = match scan.shows {
            Some(ScanShows::UpperWhole | ScanShows::UpperFitting) => UPPER,
            Some(ScanShows::LowerWhole | ScanShows::LowerFitting) => LOWER,
            _ => None,
        };
        add(("scans", row), &scan.tag, &[ItemKind::Scan], shown);
    }
    for (row, kept) in rx.scan_set.kept.iter().enumerate() {
        add(("kept", row), &kept.tag, &[], None);
    }
    for (row, enclosed) in input.enclosed().iter().enumerate() {
        add(("enclosed", row), &enclosed.tag, &[], None);
    }
    for (row, back) in rx.back.returns.iter().enumerate() {
        add(("returns", row), &back.tag, &[], None);
    }
    all
}

/// The jaw in which a thing that is named does not belong.
fn other_jaw_than(input: &Input<'_>, tag: &Option<Tag>) -> Option<Arch> {
    let item = input.item(tag.as_ref()?)?;
    item.arch.map(Arch::other)
}

/// The one jaw in which pieces go to these stages, where it is one and each piece says its jaw.
fn arch_of_pieces(input: &Input<'_>, stages: &[Stage]) -> Option<Arch> {
    let pieces = input.pieces().iter();
    let mut of_stage = pieces.filter(|piece| piece.stage.is_some_and(|one| stages.contains(&one)));
    let arch = of_stage.next()?.arch?;
    of_stage
        .all(|piece| piece.arch == Some(arch))
        .then_some(arch)
}

/// The dentures that are to be worked on, and that are neither in the list of what is enclosed nor at the lab.
fn not_sent(input: &Input<'_>) -> Option<Hit> {
    let rx = input.rx;
    let is_relined = input.has_stage(Stage::Reline) || input.has_stage(Stage::Rebase);
    let (repair, remount) = (Stage::Repair, input.has_stage(Stage::Remount));
    let named = [
        ("reline.item", &rx.reline.item, is_relined, "relined"),
        (
            "reline.other_item",
            &rx.reline.other_item,
            is_relined,
            "relined",
        ),
        (
            "repair.item",
            &rx.repair.item,
            input.has_stage(repair),
            "repaired",
        ),
        (
            "repair.other_item",
            &rx.repair.other_item,
            input.has_stage(repair),
            "repaired",
        ),
        (
            "remount.upper_item",
            &rx.remount.upper_item,
            remount,
            "remounted",
        ),
        (
            "remount.lower_item",
            &rx.remount.lower_item,
            remount,
            "remounted",
        ),
    ];
    // Where no denture at all is sent for a correction, that is asked.
    let is_asked = !input.lists_enclosures() || lacks_the_corrected(input);
    // A denture of the other jaw is a stop already.
    let of_another_jaw = jaw(input).map(|hit| hit.key);
    let mut named = named
        .into_iter()
        .filter(|(key, ..)| of_another_jaw.as_deref() != Some(*key));
    let (key, tag, work) = named.find_map(|(key, tag, is_ordered, work)| {
        let tag = tag
            .as_ref()
            .filter(|tag| is_ordered && !input.reaches_lab(tag))?;
        Some((key, tag, work))
    })?;
    (!is_asked).then(|| {
        at(
            key,
            format!("{tag} is to be {work}, and it is neither in the list of what is enclosed nor at the lab."),
        )
        .map(|hit| hit.answered_by(input, tag))
    })?
}

fn unknown(input: &Input<'_>) -> Option<Hit> {
    let named = named(input)
        .into_iter()
        .find(|named| input.item(named.tag).is_none())?;
    at(named.key, format!("{} is no item of this case.", named.tag))
}

fn kind(input: &Input<'_>) -> Option<Hit> {
    named(input).into_iter().find_map(|named| {
        let item = input.item(named.tag)?;
        let wrong = !named.kinds.is_empty() && !named.kinds.contains(&item.kind);
        wrong.then(|| {
            at(
                named.key,
                format!("{} is another thing: {}.", item.tag, item.title()),
            )
        })?
    })
}

fn jaw(input: &Input<'_>) -> Option<Hit> {
    named(input).into_iter().find_map(|named| {
        let (wanted, item) = (named.arch?, input.item(named.tag)?);
        let wrong = item.arch.is_some_and(|arch| arch != wanted);
        wrong.then(|| {
            at(
                named.key,
                format!(
                    "{} stands as {}, and it is: {}.",
                    item.tag,
                    wanted.shown(),
                    item.title()
                ),
            )
        })?
    })
}

fn worn_kind(input: &Input<'_>, arch: Arch) -> Option<ItemKind> {
    input.setting.worn(arch).and_then(|tag| input.kind(tag))
}

fn sent_provisional<'a>(input: &Input<'a>, arch: Arch) -> Option<(usize, &'a Item)> {
    let mut sent = input.enclosed_items();
    sent.find(|(_, item)| item.kind == ItemKind::Provisional && item.arch == Some(arch))
}

fn toothless(input: &Input<'_>) -> Option<Hit> {
    let sent = |arch: Arch| {
        let (row, item) = sent_provisional(input, arch)?;
        let at_lab = input
            .state(&item.tag)
            .is_some_and(|state| state.holder.is_with_lab());
        let dressed = matches!(
            worn_kind(input, arch),
            Some(ItemKind::Duplicate | ItemKind::FinalDenture)
        );
        (!dressed && !at_lab).then_some((row, arch.shown()))
    };
    let sent: Vec<(usize, &str)> = BOTH.into_iter().filter_map(sent).collect();
    let (row, first) = *sent.first()?;
    let (subject, what) = match sent.get(1) {
        None => (format!("The {first} provisional is"), "that jaw"),
        Some((_, other)) => (
            format!("The {first} and {other} provisionals are"),
            "these jaws",
        ),
    };
    at(
        format!("enclosed.{row}.tag"),
        format!("{subject} enclosed, and the patient wears no duplicate in {what}."),
    )
}

fn bare(input: &Input<'_>) -> Option<Hit> {
    let is_bare = |arch: &Arch| {
        input.setting.treats(*arch)
            && input.setting.worn(*arch).is_none()
            && !input.setting.has_natural_teeth(*arch)
            && sent_provisional(input, *arch).is_none()
            && !leaving(input).contains(arch)
    };
    let is_taken_out = |arch: &Arch| input.setting.taken_out.contains(arch);
    let bare = BOTH.into_iter().filter(is_bare);
    let (taken_out, mut unrecorded): (Vec<Arch>, Vec<Arch>) = bare.partition(is_taken_out);
    unrecorded.retain(|_| turns_on_what_is_worn(input));
    let named = |jaws: &[Arch]| match jaws {
        [one] => format!("the {} jaw", one.shown()),
        _ => "the upper and the lower jaw".to_owned(),
    };
    let mut said = Vec::new();
    if !taken_out.is_empty() {
        said.push(format!(
            "By the record the patient wears nothing in {}.",
            named(&taken_out)
        ));
    }
    if !unrecorded.is_empty() {
        said.push(format!(
            "What the patient wears in {} is not recorded.",
            named(&unrecorded)
        ));
    }
    when(!said.is_empty(), "case.items", &said.join(" "))
}

/// Whether the order turns on what the patient wears: it is copied, mended or relined, a spare is made beside it, or the
/// old denture is kept back from the patient. Otherwise a note of it helps nobody. Common practice, no source.
fn turns_on_what_is_worn(input: &Input<'_>) -> bool {
    use Course as C;
    let is_of_worn = |course: &Course| {
        !matches!(
            course,
            C::Tray | C::Rims | C::SetUp | C::Reset | C::Finish | C::Immediate
        )
    };
    let is_spared = input
        .rx
        .spare
        .arch
        .is_some_and(|arch| arch != SpareArch::None);
    let is_kept_back = |item: &Item| {
        let state = input.state(&item.tag);
        state.is_some_and(|state| state.withheld.is_some())
    };
    input.courses.iter().any(is_of_worn) || is_spared || old_dentures(input).any(is_kept_back)
}

/// The jaws of which a denture is sent that was worn, with nothing else to wear: by the record the jaw wears
/// nothing, or just what is sent. A provisional has a rule of its own.
fn leaving(input: &Input<'_>) -> Vec<Arch> {
    let is_sent = |arch: Arch| {
        input.enclosed_items().any(|(_, item)| {
            matches!(item.kind, ItemKind::FinalDenture | ItemKind::OldDenture)
                && item.arch == Some(arch)
        })
    };
    let is_bare = |arch: Arch| match input.setting.worn(arch) {
        None => true,
        Some(worn) => input.enclosed_items().any(|(_, item)| item.tag == *worn),
    };
    BOTH.into_iter()
        .filter(|arch| is_sent(*arch) && is_bare(*arch))
        .collect()
}

fn leaves(input: &Input<'_>) -> Option<Hit> {
    let jaws = leaving(input);
    let names: Vec<&str> = jaws.iter().map(|arch| arch.shown()).collect();
    let (subject, what) = match names.as_slice() {
        [] => return None,
        [one] => (format!("The {one} denture is"), "that jaw"),
        [_, ..] => (
            format!("The {} dentures are", names.join(" and ")),
            "these jaws",
        ),
    };
    // A duplicate that is registered and here only has to be fitted.
    let is_ready = |item: &&Item| {
        let state = input.state(&item.tag);
        item.kind == ItemKind::Duplicate
            && item.arch.is_some_and(|arch| jaws.contains(&arch))
            && state.is_some_and(|state| state.is_there() && state.holder == Holder::Office)
    };
    let sent = |item: &Item| input.enclosed_items().any(|(_, one)| one.tag == item.tag);
    let ready = input.setting.items.iter().filter(is_ready);
    let sentence = match all_named(ready.filter(|item| !sent(item))) {
        None => format!(
            "{subject} sent, and by the record the patient has nothing else to wear in {what}."
        ),
        Some((names, is_one)) => format!(
            "{subject} sent, and by the record the patient wears nothing else in {what}: {names} {} at the office and not fitted.",
            if is_one { "is" } else { "are" }
        ),
    };
    at("case.items", sentence)
}

fn worn(input: &Input<'_>) -> Option<Hit> {
    let is_worn = |item: &Item| {
        BOTH.into_iter()
            .any(|arch| input.setting.worn(arch) == Some(&item.tag))
    };
    let (row, item) = input
        .enclosed_items()
        .find(|(_, item)| item.kind == ItemKind::Duplicate && is_worn(item))?;
    at(
        format!("enclosed.{row}.tag"),
        format!(
            "{} {} is listed as enclosed, and the patient wears it.",
            item.title(),
            item.tag
        ),
    )
}

fn kept_elsewhere(input: &Input<'_>) -> Option<Hit> {
    let kept = input.rx.scan_set.kept.iter().enumerate();
    kept.filter_map(|(row, kept)| Some((row, kept.tag.as_ref()?, kept.by?)))
        .filter(|(_, tag, _)| input.state(tag).is_some_and(|state| state.worn))
        .find(|(.., by)| *by != StaysWith::Patient)
        .and_then(|(row, tag, by)| {
            let whose = by.shown();
            at(
                format!("kept.{row}.by"),
                format!("{tag} is said to stay with the {whose}, and by the record the patient wears it."),
            )
        })
}

fn enclosed_and_kept(input: &Input<'_>) -> Option<Hit> {
    let is_enclosed = |tag: &Tag| {
        let mut rows = input.enclosed().iter();
        rows.any(|row| row.tag.as_ref() == Some(tag))
    };
    let mut kept = input.rx.scan_set.kept.iter().enumerate();
    let (row, tag) = kept.find_map(|(row, kept)| {
        let tag = kept.tag.as_ref().filter(|tag| is_enclosed(tag))?;
        Some((row, tag))
    })?;
    at(
        format!("kept.{row}.tag"),
        format!("{tag} is listed as enclosed, and among what is not sent."),
    )
}

fn old_dentures<'a>(input: &Input<'a>) -> impl Iterator<Item = &'a Item> {
    let items = &input.setting.items;
    items
        .iter()
        .filter(|item| item.kind == ItemKind::OldDenture)
}

/// Things by their titles and tags, and whether it is one; none where there is none.
fn all_named<'a>(items: impl Iterator<Item = &'a Item>) -> Option<(String, bool)> {
    let names: Vec<String> = items
        .map(|item| format!("{} {}", item.title(), item.tag))
        .collect();
    let is_one = names.len() == 1;
    (!names.is_empty()).then(|| (names.join(" and "), is_one))
}

fn old_with_patient(input: &Input<'_>) -> Option<Hit> {
    // What is worn in its place makes it a danger; while it is what the patient wears, it is not.
    let is_replaced = |item: &Item| {
        let arches = BOTH
            .into_iter()
            .filter(|arch| item.arch.is_none_or(|of| of == *arch));
        let worn = arches.filter_map(|arch| input.setting.worn(arch));
        worn.filter(|tag| **tag != item.tag).count() > 0
    };
    let is_there = |item: &&Item| {
        let with_patient = input
            .state(&item.tag)
            .is_some_and(|state| state.gone.is_none() && state.holder == Holder::Patient);
        with_patient && is_replaced(item)
    };
    let (names, is_one) = all_named(old_dentures(input).filter(is_there))?;
    let verb = if is_one { "is" } else { "are" };
    at("case.items", format!("{names} {verb} with the patient."))
}

fn old_unknown(input: &Input<'_>) -> Option<Hit> {
    let is_lost = |item: &&Item| match input.state(&item.tag) {
        None => true,
        Some(state) => {
            state.missing
                || (state.holder == Holder::Office
                    && state.gone.is_none()
                    && state.withheld.is_none())
        }
    };
    let (names, is_one) = all_named(old_dentures(input).filter(is_lost))?;
    let said = match is_one {
        true => "is kept, or that it was destroyed",
        false => "are kept, or that they were destroyed",
    };
    at(
        "case.items",
        format!("Where {names} {said}, is not in the record."),
    )
}

fn old_unregistered(input: &Input<'_>) -> Option<Hit> {
    // Where natural teeth stand there was none.
    let treated = |arch: &Arch| input.setting.treats(*arch);
    let toothless = |arch: Arch| !input.setting.has_natural_teeth(arch);
    let wrong =
        old_dentures(input).next().is_none() && BOTH.into_iter().filter(treated).any(toothless);
    when(
        wrong,
        "case.items",
        "No old denture is registered in this case.",
    )
}

fn gone(input: &Input<'_>) -> Option<Hit> {
    let gone = |item: &Item| input.state(&item.tag).and_then(|state| state.gone);
    let mut enclosed = input.enclosed_items();
    let (row, item, gone) = enclosed.find_map(|(row, item)| Some((row, item, gone(item)?)))?;
    let how = match gone {
        Gone::UsedUp => "used up",
        Gone::Destroyed => "destroyed",
        Gone::WrittenOff => "written off as lost",
        Gone::Mistaken => "registered by mistake",
    };
    at(
        format!("enclosed.{row}.tag"),
        format!(
            "{} {} is listed as enclosed, and it is {how}.",
            item.title(),
            item.tag
        ),
    )
}

/// Whether a thing is sent because it is to be mended.
fn is_to_be_mended(input: &Input<'_>, kind: ItemKind) -> bool {
    input.courses.contains(&Course::Repair) && kind.is_denture()
}

fn damaged(input: &Input<'_>) -> Option<Hit> {
    let is_damaged = |item: &Item| {
        !is_to_be_mended(input, item.kind)
            && input
                .state(&item.tag)
                .is_some_and(|state| state.condition == Condition::Damaged)
    };
    let (row, item) = input.enclosed_items().find(|(_, item)| is_damaged(item))?;
    at(
        format!("enclosed.{row}.tag"),
        format!(
            "{} {} is listed as enclosed, and it was found damaged.",
            item.title(),
            item.tag
        ),
    )
}

fn elsewhere(input: &Input<'_>) -> Option<Hit> {
    // What is on the way to the lab belongs to an earlier parcel; a first prescription sends from the office. What was
    // missed in its parcel is asked about in each revision.
    let first = input.setting.previous.is_none();
    let where_it_is = |item: &Item| {
        let state = input.state(&item.tag).filter(|state| state.is_there())?;
        match state.holder {
            _ if state.missing => Some("was missing from its parcel"),
            Holder::Carrier { .. } if first => Some("is on the way"),
            _ => None,
        }
    };
    let mut enclosed = input.enclosed_items();
    let (row, item, how) =
        enclosed.find_map(|(row, item)| Some((row, item, where_it_is(item)?)))?;
    at(
        format!("enclosed.{row}.tag"),
        format!(
            "{} {} is listed as enclosed, and by the record it {how}.",
            item.title(),
            item.tag
        ),
    )
}

fn unchanged(input: &Input<'_>) -> Option<Hit> {
    let is_same = input.setting.previous.as_ref() == Some(input.rx);
    let wrong = is_same && !input.setting.card_changed;
    when(
        wrong,
        "order.kind",
        "This revision says the same as the one in force.",
    )
}
