//! Later stages and dentures that come back: try-ins, relines, repairs, remounts.

use super::input::{BOTH, Input, no, rows_named, rows_where, words, yes};
use super::reasons::{ANY_TOOTH, TOOTH_TWICE};
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{OWN_RULE, PIN, PRACTICE, REPAIRS, RIMS};
use crate::domain::custody::Holder;
use crate::domain::custody::fit::{FitValue, FitVerdict};
use crate::domain::custody::item::ItemKind;
use crate::domain::form::{Day, Text};
use crate::domain::prescription::{
    Approval, ApprovedBy, BorderOrder, BreakCause, Broken, CastsAt, Course, Enclosed, JawPosition,
    MakerOfSpare, PatternSource, Piece, Prescription, RelineBorder, RepairPlace, Scheme,
    ShadeSource, SpareArch, SparedCusps, Stage, Strengthening, SurfaceSource, VerticalOrder,
};
use crate::domain::trade::agreement;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::tenths;
use crate::domain::values::moment::whole_day;

/// The rules, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "try-in-not-approved",
        not_approved,
        "Teeth that stand in resin are not moved any more.",
        PRACTICE,
    ),
    stop(
        "approved-is-another-try-in",
        approved_other,
        "What was approved in the mouth is not what is finished.",
        PRACTICE,
    ),
    caution(
        "approval-before-the-try-in",
        before_it_came,
        "What came after that day was made or reset since: nobody has looked at it in the mouth as it stands now.",
        PRACTICE,
    ),
    caution(
        "approval-old",
        approval_old,
        "Wax moves as it stands, and the ridge changes: what was right then is tried again.",
        PRACTICE,
    ),
    caution(
        "changed-after-approval",
        changed_after,
        "What is changed after the try-in has been seen by nobody in the mouth.",
        PRACTICE,
    ),
    caution(
        "teeth-of-another-try-in",
        other_teeth,
        "What was approved stands in the wax: other teeth are set and looked at once more, or the text names the wrong ones.",
        PRACTICE,
    ),
    caution(
        "shade-of-another-try-in",
        other_shade,
        "What was approved stands in the wax: teeth of another shade are set and looked at once more.",
        PRACTICE,
    ),
    caution(
        "height-of-another-try-in",
        other_height,
        "What was approved stands at the height of the wax: at another one it is mounted and looked at once more.",
        PRACTICE,
    ),
    caution(
        "approved-against-the-check",
        against_check,
        "What is finished in resin at the wrong height or in the wrong place is made once more.",
        PRACTICE,
    ),
    caution(
        "approved-without-the-patient",
        approved_alone,
        "Who is to wear the teeth has not seen them, and after the finish they cannot be moved.",
        PRACTICE,
    ),
    caution(
        "reset-height-unsaid",
        height_unsaid,
        "The lab mounts the casts once more only where the answer is no: otherwise it resets at a height that may be wrong.",
        PRACTICE,
    ),
    caution(
        "reset-of-an-approved-try-in",
        reset_approved,
        "What is right need not be reset: an answer or the order is wrong.",
        PRACTICE,
    ),
    stop(
        "record-of-before-the-reset",
        old_record,
        "A height that was refused has no bite record: the lower is mounted again.",
        PRACTICE,
    ),
    caution(
        "height-of-before-the-reset",
        old_height,
        "A new record at the same height is right where the bite alone was wrong; otherwise the lab mounts once more to the height that was refused.",
        PRACTICE,
    ),
    caution(
        "heights-of-before-the-reset",
        old_heights,
        "The readings are those of the height that was refused.",
        OWN_RULE,
    ),
    caution(
        "reline-height-unsecured",
        unsecured,
        "A layer that nothing holds at its thickness raises the bite.",
        PRACTICE,
    ),
    caution(
        "repair-pieces-do-not-fit",
        gap,
        "Pieces that do not go together are joined at the wrong place.",
        PRACTICE,
    ),
    caution(
        "broke-again-unstrengthened",
        broke_again,
        "What broke twice at one place breaks a third time.",
        PRACTICE,
    ),
    caution(
        "repair-of-an-unnamed-tooth",
        unnamed_tooth,
        ANY_TOOTH,
        PRACTICE,
    ),
    caution(
        "repair-tooth-of-another-jaw",
        other_jaw,
        "Of the jaw and the tooth one is wrong.",
        PRACTICE,
    ),
    caution("repair-tooth-twice", tooth_twice, TOOTH_TWICE, PRACTICE),
    caution(
        "repair-tooth-without-shade",
        new_tooth,
        "A tooth that is lost is replaced by one of its shade: the lab sees the gap, and not the color in the mouth.",
        PRACTICE,
    ),
    caution(
        "reline-border-against-borders",
        border_twice,
        "One of the two orders cuts off what the other keeps.",
        PRACTICE,
    ),
    caution(
        "reline-from-a-cast",
        relined_from_cast,
        "The new layer is pressed between the denture and what was recorded in it.",
        PRACTICE,
    ),
    stop(
        "worked-on-denture-unnamed",
        no_denture,
        "What comes back to be worked on is a thing: of a jaw whose denture is not sent nothing is made.",
        PRACTICE,
    ),
    stop(
        "repair-of-a-jaw-unsaid",
        jaw_without_place,
        "The lab mends what is listed: a denture of which nothing is listed goes back as it came.",
        PRACTICE,
    ),
    stop(
        "repair-places-unsaid",
        nothing_to_repair,
        "The lab mends what it sees broken: a crack or a loose tooth that nobody names stays.",
        PRACTICE,
    ),
    caution(
        "repair-without-its-cause",
        cause_left,
        "What is mended and still fits or meets badly breaks again beside the repair.",
        REPAIRS,
    ),
    caution(
        "broken-and-enclosed-in-one-piece",
        one_piece,
        "A piece that is not in the box is made new, and fits nothing that broke.",
        PRACTICE,
    ),
    remark(
        "repair-cause-unsaid",
        cause_unsaid,
        "A repair lasts as long as its cause is away.",
        PRACTICE,
    ),
    caution(
        "remount-against-the-height",
        remount_height,
        "Grinding in lowers the bite, and by no more than the pin may sink.",
        PIN,
    ),
    stop(
        "remount-casts-gone",
        casts_gone,
        "Without its cast and its mounting a denture stands at no known place in the articulator.",
        PRACTICE,
    ),
    caution(
        "remount-in-the-habitual-bite",
        habitual,
        "The bite that the dentures force is the fault that is to be ground away.",
        PRACTICE,
    ),
    caution(
        "remount-record-old",
        remount_record_old,
        "The dentures have settled since: they are ground in to a bite that is gone.",
        PRACTICE,
    ),
    caution(
        "remount-casts-not-listed",
        remount_casts_unlisted,
        "Casts that nobody listed are missed by nobody.",
        PRACTICE,
    ),
    caution(
        "lingualized-spared-below",
        spared_below,
        "A lingualized bite stands on the upper palatal cusps alone: ground, they lose the height.",
        PRACTICE,
    ),
    caution(
        "rim-height-unusual",
        rims,
        "A rim of another height puts lip, plane and bite in the wrong place: a digit or a jaw was exchanged.",
        RIMS,
    ),
    caution(
        "spare-by-the-lab-not-ordered",
        spare_not_ordered,
        "What the lab makes is a piece of work with its arch, stage and materials.",
        OWN_RULE,
    ),
];

/// The try-in named for an arch.
fn named(approval: &Approval, arch: Arch) -> bool {
    match arch {
        Arch::Upper => approval.item_upper.is_some(),
        Arch::Lower => approval.item_lower.is_some(),
    }
}

fn finishes_a_try_in(input: &Input<'_>) -> bool {
    input.rx.pattern.source == Some(PatternSource::TryIn) && input.has_stage(Stage::Process)
}

fn not_approved(input: &Input<'_>) -> Option<Hit> {
    if !finishes_a_try_in(input) {
        return None;
    }
    let approval = &input.rx.approval;
    let answers = [
        (
            "approval.arrangement",
            approval.arrangement,
            "the teeth are as wanted",
        ),
        (
            "approval.height",
            approval.height,
            "height, bite and speech are right",
        ),
    ];
    for (key, answer, what) in answers {
        if !yes(answer) {
            let said = match no(answer) {
                true => format!("the answer to “{what}” is no"),
                false => format!("it is not said that {what}"),
            };
            return at(key, format!("The try-in is to be finished, but {said}."));
        }
    }
    let is_finished = |arch: &Arch| {
        let mut pieces = input.pieces().iter();
        pieces.any(|piece| piece.arch == Some(*arch) && piece.stage == Some(Stage::Process))
    };
    let arch = BOTH
        .into_iter()
        .filter(is_finished)
        .find(|arch| !named(approval, *arch))?;
    at(
        format!("approval.item_{}", arch.word()),
        format!(
            "The {} try-in that was approved is not named, and its denture is to be finished.",
            arch.shown()
        ),
    )
}

fn approved_other(input: &Input<'_>) -> Option<Hit> {
    if !finishes_a_try_in(input) {
        return None;
    }
    let approval = &input.rx.approval;
    let of = |arch: Arch| match arch {
        Arch::Upper => approval.item_upper.as_ref(),
        Arch::Lower => approval.item_lower.as_ref(),
    };
    BOTH.into_iter().find_map(|arch| {
        let (approved, finished) = (of(arch)?, input.pattern_of(arch)?);
        (input.orders(arch) && approved != finished).then(|| {
            at(
                format!("approval.item_{}", arch.word()),
                format!(
                    "{approved} is the {} try-in that was approved, and {finished} is to be finished.",
                    arch.shown()
                ),
            )
        })?
    })
}

/// A try-in that came from the lab only after the day on which it is said to have been looked at.
fn before_it_came(input: &Input<'_>) -> Option<Hit> {
    let approval = &input.rx.approval;
    let on = approval.on?.date();
    let is_answered = finishes_a_try_in(input) || input.has_stage(Stage::Reset);
    let is_pattern = input.rx.pattern.source == Some(PatternSource::TryIn);
    let patterns = BOTH.into_iter().filter_map(|arch| input.pattern_of(arch));
    let named = [&approval.item_upper, &approval.item_lower].into_iter();
    let mut came = named
        .flatten()
        .chain(patterns.filter(|_| is_pattern))
        .filter_map(|tag| Some((tag, *input.setting.came_in.get(tag)?)));
    let (tag, came) = came.find(|(_, came)| is_answered && on < *came)?;
    at(
        "approval.on",
        format!(
            "The try-in is said to have been looked at on {}, and {tag} came from the lab on {}.",
            whole_day(on),
            whole_day(came)
        ),
    )
}

/// Days from a try-in to its finish, from a record of finished dentures to its use. Common practice, no source.
const FRESH_DAYS: i64 = 28;

fn approval_old(input: &Input<'_>) -> Option<Hit> {
    let days = input.days_until_sent(input.rx.approval.on?);
    (finishes_a_try_in(input) && days > FRESH_DAYS).then(|| {
        at(
            "approval.on",
            format!("The try-in to be finished was looked at {days} days before it is sent."),
        )
    })?
}

/// Whether the try-in that is to be finished was approved with its height.
pub fn height_is_approved(input: &Input<'_>) -> bool {
    finishes_a_try_in(input) && yes(input.rx.approval.height)
}

fn changed_after(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    let order = vertical.order.filter(|order| *order != VerticalOrder::Keep);
    if let Some(order) = order.filter(|_| height_is_approved(input)) {
        let by = vertical.change_mm.map(|mm| format!(" by {mm} mm"));
        let way = if order == VerticalOrder::Open {
            "opened"
        } else {
            "closed"
        };
        return at(
            "vertical.order",
            format!(
                "The height of the try-in is approved, and the bite is to be {way}{}.",
                by.unwrap_or_default()
            ),
        );
    }
    let is_approved = yes(input.rx.approval.arrangement);
    let wrong = finishes_a_try_in(input) && is_approved && !input.rx.pattern.changes.is_empty();
    when(
        wrong,
        "changes.0.what",
        "The try-in is approved as it stands, and changes are listed for the finish.",
    )
}

/// The revision by which the try-in was made that is looked at now.
fn tried_in<'a>(input: &Input<'a>) -> Option<&'a Prescription> {
    let before = input.setting.previous.as_ref()?;
    let is_wax = |piece: &Piece| {
        matches!(
            piece.stage,
            Some(Stage::SetUp | Stage::TryIn | Stage::Reset)
        )
    };
    before.order.pieces.iter().any(is_wax).then_some(before)
}

/// Teeth that are named otherwise in the order to finish than in the one by which they were set.
fn other_teeth(input: &Input<'_>) -> Option<Hit> {
    let before = tried_in(input).filter(|_| finishes_a_try_in(input))?;
    let (front, back) = (&input.rx.anterior, &input.rx.posterior);
    let (front_then, back_then) = (&before.anterior, &before.posterior);
    let moulds = [
        (
            "anterior.upper_mould",
            "upper anterior mould",
            &front.upper_mould,
            &front_then.upper_mould,
        ),
        (
            "anterior.lower_mould",
            "lower anterior mould",
            &front.lower_mould,
            &front_then.lower_mould,
        ),
        (
            "posterior.upper_mould",
            "upper posterior mould",
            &back.upper_mould,
            &back_then.upper_mould,
        ),
        (
            "posterior.lower_mould",
            "lower posterior mould",
            &back.lower_mould,
            &back_then.lower_mould,
        ),
    ];
    moulds.into_iter().find_map(|(key, name, now, then)| {
        let (now, then) = (now.as_ref()?, then.as_ref()?);
        is_named_otherwise(now, then).then(|| {
            let (now, then) = (now.as_str(), then.as_str());
            at(
                key,
                format!(
                    "The try-in was ordered with {then} as its {name}, and the finish names {now}."
                ),
            )
        })?
    })
}

/// A shade that is named otherwise in the order to finish than in the one by which the teeth were set.
pub fn other_shade(input: &Input<'_>) -> Option<Hit> {
    let before = tried_in(input).filter(|_| finishes_a_try_in(input))?;
    let (shade, then) = (&input.rx.shade, &before.shade);
    let tabs = [
        ("shade.tab", &shade.tab, &then.tab),
        (
            "shade.posterior_tab",
            &shade.posterior_tab,
            &then.posterior_tab,
        ),
    ];
    tabs.into_iter().find_map(|(key, now, then)| {
        let (now, then) = (now.as_ref()?, then.as_ref()?);
        is_named_otherwise(now, then).then(|| {
            let (now, then) = (now.as_str(), then.as_str());
            at(
                key,
                format!("The try-in was ordered in {then}, and the finish names {now}."),
            )
        })?
    })
}

/// What the height of a try-in may be off what was ordered by a change of the bite, which is rounded at its place, in mm.
/// Common practice, no source.
const CHANGE_ROUNDED: f64 = 0.5;

/// A height that is approved, and named otherwise than in the order by which the try-in was set up.
fn other_height(input: &Input<'_>) -> Option<Hit> {
    let is_finished = finishes_a_try_in(input);
    let goes_on = is_finished || input.has_stage(Stage::Reset);
    let before = tried_in(input).filter(|_| goes_on && yes(input.rx.approval.height))?;
    let (now, then) = (&input.rx.vertical, before.vertical.occlusal_mm?);
    // Where it is to be opened or closed, that is asked about by itself.
    if matches!(now.order, Some(VerticalOrder::Open | VerticalOrder::Close)) {
        return None;
    }
    let now = now.occlusal_mm?;
    let came_to = agreement::ordered_mm(before).map(|change| then.to_f64() + change);
    let is_that = |height: f64| (now.to_f64() - height).abs() <= CHANGE_ROUNDED;
    let work = if is_finished { "finish" } else { "reset" };
    (now != then && !came_to.is_some_and(is_that)).then(|| {
        at(
            "vertical.occlusal_mm",
            format!(
                "The height of the try-in is approved, which was set up to {then} mm, and the {work} names {now} mm."
            ),
        )
    })?
}

/// Whether two names are of two things, whatever letters and gaps they are written with.
fn is_named_otherwise(now: &Text, then: &Text) -> bool {
    let plain = |text: &Text| {
        let words = text.as_str().split_whitespace().collect::<String>();
        words.to_lowercase()
    };
    plain(now) != plain(then)
}

/// What is read of the height of a try-in.
const OF_THE_HEIGHT: &[FitValue] = &[FitValue::Ovd, FitValue::Freeway, FitValue::Speaking];
/// What is seen of how its teeth stand.
const OF_THE_TEETH: &[FitValue] = &[
    FitValue::Midline,
    FitValue::IncisalShow,
    FitValue::IncisalChange,
    FitValue::Arrangement,
    FitValue::SmileLine,
    FitValue::LipSupport,
    FitValue::Shade,
    FitValue::PosteriorShade,
];

/// An answer that all is right, beside the office's own check of the try-in that says otherwise.
fn against_check(input: &Input<'_>) -> Option<Hit> {
    tried_in(input).filter(|_| finishes_a_try_in(input))?;
    let approval = &input.rx.approval;
    let answers = [
        (
            "approval.height",
            approval.height,
            "the height is right",
            OF_THE_HEIGHT,
        ),
        (
            "approval.arrangement",
            approval.arrangement,
            "the teeth are as wanted",
            OF_THE_TEETH,
        ),
    ];
    answers.into_iter().find_map(|(key, answer, said, values)| {
        let mut found = input.setting.found_on_fit.iter();
        let found = found
            .find(|one| one.verdict == FitVerdict::NotAsAsked && values.contains(&one.value))?;
        yes(answer).then(|| {
            at(
                key,
                format!(
                    "It is said that {said}, and the office’s check of the try-in says: {}.",
                    found.words()
                ),
            )
        })?
    })
}

fn height_unsaid(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.has_stage(Stage::Reset) && input.rx.approval.height.is_none();
    when(
        wrong,
        "approval.height",
        "A reset is ordered, and it is not said whether height, bite and speech were right.",
    )
}

/// Whether the height of a try-in was refused, and when.
fn refused(input: &Input<'_>) -> Option<Option<Day>> {
    let approval = &input.rx.approval;
    (input.has_stage(Stage::Reset) && approval.refuses_height()).then_some(approval.on)
}

/// Whether this is what the casts were mounted by for the try-in, which goes on as they stand.
pub fn is_mounted_by(input: &Input<'_>, tag: &Tag) -> bool {
    let goes_on = finishes_a_try_in(input) || input.has_stage(Stage::Reset);
    let is_named = |rx: &Prescription| {
        rx.facebow.item.as_ref() == Some(tag) || rx.jaw.item.as_ref() == Some(tag)
    };
    let before = input.setting.previous.as_ref();
    goes_on && refused(input).is_none() && before.is_some_and(is_named)
}

fn old_record(input: &Input<'_>) -> Option<Hit> {
    const KEY: &str = "jaw.taken_on";
    let refused_on = refused(input)?;
    let jaw = &input.rx.jaw;
    let is_old = |tag: &&Tag| {
        let is_other =
            |rx: &Prescription| !rx.approval.refuses_height() || input.setting.is_next_round;
        tried_in(input).is_some_and(|rx| was_with(rx, tag) && is_other(rx))
    };
    if let Some(tag) = jaw.item.as_ref().filter(is_old) {
        return at(
            "jaw.item",
            format!(
                "The height of the try-in was refused, and {tag} is the bite record that it was set up by."
            ),
        );
    }
    let mut items = input.setting.items.iter();
    let has_tags = items.any(|item| {
        let state = input.state(&item.tag);
        let is_here = state.is_some_and(|one| one.is_there() && one.holder == Holder::Office);
        item.kind == ItemKind::BiteRecord && is_here
    });
    if jaw.taken_on.is_some() && jaw.item.is_none() && has_tags {
        return at(
            "jaw.item",
            "The height of the try-in was refused, and which bite record is the new one is not given by its tag.",
        );
    }
    match (jaw.taken_on, refused_on) {
        (None, _) => at(
            KEY,
            "The height of the try-in was refused, and no new bite record is named with its day.",
        ),
        (Some(taken), Some(on)) if taken < on => at(
            KEY,
            format!(
                "The height was refused on {}, and the bite record is of {}.",
                String::from(on),
                String::from(taken)
            ),
        ),
        _ => None,
    }
}

/// The height of the try-in that was refused, as it was signed for it.
fn old_height(input: &Input<'_>) -> Option<Hit> {
    refused(input)?;
    let before = tried_in(input)
        .filter(|rx| !rx.approval.refuses_height() || input.setting.is_next_round)?;
    let (now, then) = (&input.rx.vertical, &before.vertical);
    // Where it is opened or closed, the number is what it is changed from.
    let is_changed = matches!(now.order, Some(VerticalOrder::Open | VerticalOrder::Close));
    let (new, old) = (now.occlusal_mm?, then.occlusal_mm?);
    (new == old && !is_changed).then(|| {
        at(
            "vertical.occlusal_mm",
            format!(
                "Height, bite or speech was not right, and {new} mm is the height that it was set up to."
            ),
        )
    })?
}

/// Whether a text named this thing as its bite record, or sent it.
pub fn was_with(rx: &Prescription, tag: &Tag) -> bool {
    let mut enclosed = rx.enclosures.enclosed.iter();
    rx.jaw.item.as_ref() == Some(tag) || enclosed.any(|row| row.tag.as_ref() == Some(tag))
}

fn old_heights(input: &Input<'_>) -> Option<Hit> {
    let on = refused(input)??;
    let readings = &input.rx.vertical.readings;
    let rows = rows_where(readings, |row| row.date.is_some_and(|date| date < on));
    let row = rows.first()?;
    at(
        format!("readings.{row}.date"),
        format!(
            "{}: taken before the height was refused on {}.",
            rows_named("Reading", &rows),
            String::from(on)
        ),
    )
}

fn unsecured(input: &Input<'_>) -> Option<Hit> {
    when(
        is_relined(input) && input.rx.reline.held_by.is_none(),
        "reline.held_by",
        "How the height is held while the new layer is packed is not given: jig, flask or articulator.",
    )
}

fn gap(input: &Input<'_>) -> Option<Hit> {
    let repair = &input.rx.repair;
    let has_impression = input
        .enclosed_items()
        .any(|(_, item)| item.kind == ItemKind::Impression);
    when(
        input.has_stage(Stage::Repair) && no(repair.fit_together) && !has_impression,
        "repair.fit_together",
        "The pieces do not go together, and no impression over them is enclosed.",
    )
}

fn broke_again(input: &Input<'_>) -> Option<Hit> {
    let is_plain = matches!(
        input.rx.base.strengthening,
        None | Some(Strengthening::None)
    );
    when(
        input.has_stage(Stage::Repair) && yes(input.rx.repair.broke_before) && is_plain,
        "base.strengthening",
        "It broke there before, and nothing strengthens it.",
    )
}

fn unnamed_tooth(input: &Input<'_>) -> Option<Hit> {
    let is_unnamed = |row: &RepairPlace| {
        let of_tooth = matches!(
            row.what,
            Some(Broken::ToothOut | Broken::ToothBroken | Broken::ToothAdded)
        );
        of_tooth && row.tooth.is_none()
    };
    let rows = rows_where(&input.rx.repair.repairs, is_unnamed);
    let row = rows.first()?;
    at(
        format!("repairs.{row}.tooth"),
        format!("{}: which tooth is not given.", rows_named("Repair", &rows)),
    )
}

/// Rows of the repair for which `wrong` holds, as a hit at the first.
fn in_repairs(
    input: &Input<'_>,
    field: &str,
    wrong: impl Fn(&RepairPlace) -> bool,
    said: &str,
) -> Option<Hit> {
    let rows = rows_where(&input.rx.repair.repairs, wrong);
    let row = rows.first()?;
    at(
        format!("repairs.{row}.{field}"),
        format!("{}: {said}", rows_named("Repair", &rows)),
    )
}

fn other_jaw(input: &Input<'_>) -> Option<Hit> {
    let of_tooth = in_repairs(
        input,
        "tooth",
        |row| row.tooth.is_some_and(|tooth| !input.orders(tooth.arch())),
        "the tooth is of a jaw for which nothing is ordered.",
    );
    let (own, other) = match input.single_arch() {
        Some(Arch::Upper) => (UPPER, LOWER),
        Some(Arch::Lower) => (LOWER, UPPER),
        None => return of_tooth,
    };
    let is_other = |row: &RepairPlace| {
        let place = words(&row.place);
        let names = |jaw: [&str; 2]| jaw.iter().any(|word| place.contains(word));
        names(other) && !names(own)
    };
    of_tooth.or_else(|| {
        in_repairs(
            input,
            "place",
            is_other,
            "the place is in a jaw for which nothing is ordered.",
        )
    })
}

/// Words for a jaw.
const UPPER: [&str; 2] = ["upper", "maxillary"];
const LOWER: [&str; 2] = ["lower", "mandibular"];

fn nothing_to_repair(input: &Input<'_>) -> Option<Hit> {
    let is_named =
        |row: &RepairPlace| row.what.is_some() || row.place.is_some() || row.tooth.is_some();
    when(
        input.has_stage(Stage::Repair) && !input.rx.repair.repairs.iter().any(is_named),
        "repairs.0.what",
        "A repair is ordered, and what is to be repaired is not given.",
    )
}

/// Jaws of which a piece goes to one of these stages.
fn jaws_at(input: &Input<'_>, stages: &[Stage]) -> Vec<Arch> {
    let is_at = |arch: &Arch| {
        let mut pieces = input.pieces().iter();
        pieces.any(|piece| {
            piece.arch == Some(*arch) && piece.stage.is_some_and(|stage| stages.contains(&stage))
        })
    };
    BOTH.into_iter().filter(is_at).collect()
}

/// A jaw whose denture is to be worked on, and of which none is named, in the box or at the lab.
fn no_denture(input: &Input<'_>) -> Option<Hit> {
    let (reline, repair, remount) = (&input.rx.reline, &input.rx.repair, &input.rx.remount);
    // A set-up is remounted as the wax that it is.
    let remounted: &[Stage] = if remounts(input) {
        &[Stage::Remount]
    } else {
        &[]
    };
    let works = [
        (
            &[Stage::Reline, Stage::Rebase][..],
            [&reline.item, &reline.other_item],
            ["reline.item"; 2],
            "relined",
        ),
        (
            &[Stage::Repair],
            [&repair.item, &repair.other_item],
            ["repair.item"; 2],
            "repaired",
        ),
        (
            remounted,
            [&remount.upper_item, &remount.lower_item],
            ["remount.upper_item", "remount.lower_item"],
            "remounted",
        ),
    ];
    // A thing without a tag is asked about by itself.
    let is_named = |row: &Enclosed| row.tag.is_none() && words(&row.what).contains("denture");
    let is_named = input.enclosed().iter().any(is_named);
    works.into_iter().find_map(|(stages, named, [upper, lower], work)| {
        let is_there = |arch: Arch| {
            let mut items = input.setting.items.iter();
            items.any(|item| {
                let is_named = named.iter().any(|tag| tag.as_ref() == Some(&item.tag));
                let is_of_it = item.kind.is_denture() && item.arch.is_none_or(|own| own == arch);
                is_of_it && (is_named || input.reaches_lab(&item.tag))
            })
        };
        let mut jaws = jaws_at(input, stages).into_iter();
        let arch = jaws.find(|arch| !is_named && !is_there(*arch))?;
        let worn = input.setting.worn(arch);
        let worn = worn.map(|tag| format!("; by the record the patient wears {tag}"));
        at(
            if arch == Arch::Upper { upper } else { lower },
            format!(
                "Which {} denture is to be {work} is not given, and none is enclosed or at the lab{}.",
                arch.shown(),
                worn.unwrap_or_default()
            ),
        )
    })
}

/// The jaw that a row of the repair is of, by its tooth or its words.
fn jaw_of(row: &RepairPlace) -> Option<Arch> {
    let place = words(&row.place);
    let names = |jaw: [&str; 2]| jaw.iter().any(|word| place.contains(word));
    let by_words = match (names(UPPER), names(LOWER)) {
        (true, false) => Some(Arch::Upper),
        (false, true) => Some(Arch::Lower),
        _ => None,
    };
    row.tooth.map(|tooth| tooth.arch()).or(by_words)
}

/// Both dentures are to be repaired, and what is listed is not of both.
fn jaw_without_place(input: &Input<'_>) -> Option<Hit> {
    let jaws = jaws_at(input, &[Stage::Repair]);
    let rows = &input.rx.repair.repairs;
    if jaws.len() < BOTH.len() || nothing_to_repair(input).is_some() {
        return None;
    }
    let is_named = |arch: &Arch| rows.iter().any(|row| jaw_of(row) == Some(*arch));
    let open = rows_where(rows, |row| jaw_of(row).is_none());
    let mut missing = jaws.iter().filter(|arch| !is_named(arch));
    match (missing.next(), missing.next(), open.as_slice()) {
        (Some(arch), None, []) => at(
            "repairs.0.place",
            format!(
                "Both dentures are to be repaired, and nothing is listed for the {} one: list it, or name the {} denture alone.",
                arch.shown(),
                arch.other().shown()
            ),
        ),
        (Some(_), Some(_), [row]) => at(
            format!("repairs.{row}.place"),
            "Both dentures are to be repaired, and one place alone is listed, without its jaw.",
        ),
        _ => None,
    }
}

fn cause_left(input: &Input<'_>) -> Option<Hit> {
    let repair = &input.rx.repair;
    let is_plain = matches!(
        input.rx.base.strengthening,
        None | Some(Strengthening::None)
    );
    // A second break at one place is asked about by itself.
    let is_asked = yes(repair.broke_before);
    let sentence = match repair.cause? {
        BreakCause::PoorFit if !is_relined(input) && !input.has_stage(Stage::Remount) => {
            "It broke because it fits badly, and neither a reline nor a remount is ordered."
        }
        BreakCause::Thin if is_plain && !is_asked => {
            "It broke because it is too thin, and nothing strengthens it."
        }
        _ => return None,
    };
    when(input.has_stage(Stage::Repair), "repair.cause", sentence)
}

fn one_piece(input: &Input<'_>) -> Option<Hit> {
    let is_broken =
        |row: &RepairPlace| matches!(row.what, Some(Broken::BaseBroken | Broken::FlangeBroken));
    let repair = &input.rx.repair;
    let named: Vec<&Tag> = [&repair.item, &repair.other_item]
        .into_iter()
        .flatten()
        .collect();
    // A single denture is what is broken, whatever jaw is written; of two, a place whose jaw is not said may be of either.
    let is_of = |row: &RepairPlace, tag: &Tag| match jaw_of(row) {
        _ if named.len() == 1 => true,
        Some(jaw) => input
            .item(tag)
            .is_none_or(|item| item.arch.is_none_or(|own| own == jaw)),
        None => false,
    };
    let mut rows = input.enclosed().iter().enumerate();
    let (place, _) = rows.find(|(_, row)| {
        let is_one = row.pieces.is_some_and(|pieces| pieces.get() == 1);
        let tag = row.tag.as_ref().filter(|tag| named.contains(tag));
        let mut places = repair.repairs.iter();
        is_one && tag.is_some_and(|tag| places.any(|one| is_broken(one) && is_of(one, tag)))
    })?;
    input.has_stage(Stage::Repair).then(|| {
        at(
            format!("enclosed.{place}.pieces"),
            "The denture is broken through, and 1 piece of it is enclosed.",
        )
    })?
}

fn tooth_twice(input: &Input<'_>) -> Option<Hit> {
    let rows = &input.rx.repair.repairs;
    let (place, tooth) = rows.iter().enumerate().find_map(|(place, row)| {
        let tooth = row.tooth?;
        let mut before = rows.iter().take(place);
        let is_before = before.any(|before| before.tooth == Some(tooth));
        is_before.then_some((place, tooth))
    })?;
    at(
        format!("repairs.{place}.tooth"),
        format!(
            "The {} stands twice in the list of what is to be repaired.",
            tooth.words()
        ),
    )
}

fn new_tooth(input: &Input<'_>) -> Option<Hit> {
    let shade = &input.rx.shade;
    let is_shade_said = shade.source == Some(ShadeSource::Pattern)
        || shade.tab.is_some()
        || shade.tab_item.is_some()
        || shade.lightness.is_some();
    let is_new = |row: &RepairPlace| match row.what {
        Some(Broken::ToothAdded) => true,
        Some(Broken::ToothOut | Broken::ToothBroken) => !yes(row.tooth_enclosed),
        _ => false,
    };
    in_repairs(
        input,
        "tooth_enclosed",
        |row| !is_shade_said && is_new(row),
        "a new tooth is needed, or the old one is not said to be enclosed, and no shade is given.",
    )
}

fn is_relined(input: &Input<'_>) -> bool {
    input.has_stage(Stage::Reline) || input.has_stage(Stage::Rebase)
}

fn border_twice(input: &Input<'_>) -> Option<Hit> {
    let (reline, borders) = (input.rx.reline.border?, input.rx.borders.order?);
    let is_kept = reline == RelineBorder::Keep;
    (is_relined(input) && is_kept != (borders == BorderOrder::Keep)).then(|| {
        at(
            "reline.border",
            format!(
                "Of the relined denture it is said “{}”, and of the borders “{}”.",
                reline.shown(),
                borders.shown()
            ),
        )
    })?
}

fn relined_from_cast(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_relined(input) && input.rx.impression.source == Some(SurfaceSource::Cast);
    when(
        wrong,
        "impression.source",
        "A denture is to be relined, and its tissue surface is said to be a cast.",
    )
}

fn cause_unsaid(input: &Input<'_>) -> Option<Hit> {
    when(
        input.has_stage(Stage::Repair) && input.rx.repair.cause.is_none(),
        "repair.cause",
        "How it broke is not given.",
    )
}

/// Whether finished dentures are remounted; a set-up that is remounted for a reset stands on its own casts.
fn remounts(input: &Input<'_>) -> bool {
    input.has_stage(Stage::Remount) && input.courses.contains(&Course::Remount)
}

fn remount_height(input: &Input<'_>) -> Option<Hit> {
    let vertical = &input.rx.vertical;
    match vertical.order.filter(|_| remounts(input))? {
        VerticalOrder::Keep => None,
        VerticalOrder::Open => at(
            "vertical.order",
            "The dentures are to be ground in on their remount casts, and the bite is to be opened.",
        ),
        VerticalOrder::Close => {
            let (by, most) = (vertical.change_mm?, input.rx.remount.pin_drop_max_mm?);
            let pin = agreement::at_the_pin(by, vertical.change_at?)?;
            (pin > most.to_f64() + PIN_ROUNDED).then(|| {
                at(
                    "remount.pin_drop_max_mm",
                    format!(
                        "The bite is to be closed by {by} mm, which is {} mm at the pin, and the pin may sink by {most} mm.",
                        tenths(pin)
                    ),
                )
            })?
        }
    }
}

/// What a pin is read to, in mm. Common practice, no source.
const PIN_ROUNDED: f64 = 0.25;

fn approved_alone(input: &Input<'_>) -> Option<Hit> {
    when(
        finishes_a_try_in(input) && input.rx.approval.by == Some(ApprovedBy::DentistAlone),
        "approval.by",
        "The try-in is to be finished, and the dentist alone has looked at it.",
    )
}

fn reset_approved(input: &Input<'_>) -> Option<Hit> {
    let approval = &input.rx.approval;
    if !input.has_stage(Stage::Reset) {
        return None;
    }
    let order = input.rx.vertical.order;
    let is_changed = matches!(order, Some(VerticalOrder::Open | VerticalOrder::Close));
    if yes(approval.height) && is_changed {
        return at(
            "approval.height",
            "Height, bite and speech are right, and the bite is to be opened or closed.",
        );
    }
    if !yes(approval.arrangement) {
        return None;
    }
    let sentence = match (yes(approval.height), input.rx.pattern.changes.len()) {
        (true, _) => {
            "The teeth are as wanted and the height is right, and the try-in is to be reset."
        }
        (false, 0) => return None,
        (false, _) => "The teeth are as wanted, and changes of them are listed.",
    };
    at("approval.arrangement", sentence)
}

fn casts_gone(input: &Input<'_>) -> Option<Hit> {
    let casts = input.rx.remount.casts_at;
    let are_there = matches!(casts, Some(CastsAt::Lab | CastsAt::Enclosed));
    let wrong = remounts(input) && !are_there && !yes(input.rx.facebow.made);
    let sentence = match casts {
        Some(_) => "The remount casts are no longer there, and no new facebow record is made.",
        None => "Where the remount casts are is not given, and no new facebow record is made.",
    };
    when(wrong, "remount.casts_at", sentence)
}

fn habitual(input: &Input<'_>) -> Option<Hit> {
    when(
        remounts(input) && input.rx.jaw.position == Some(JawPosition::Intercuspation),
        "jaw.position",
        "The record is of the habitual bite.",
    )
}

fn remount_record_old(input: &Input<'_>) -> Option<Hit> {
    let days = input.days_until_sent(input.rx.jaw.taken_on?);
    (remounts(input) && days > FRESH_DAYS).then(|| {
        at(
            "jaw.taken_on",
            format!("The bite record for the remount is {days} days old."),
        )
    })?
}

fn remount_casts_unlisted(input: &Input<'_>) -> Option<Hit> {
    let is_listed = input
        .enclosed_items()
        .any(|(_, item)| matches!(item.kind, ItemKind::RemountCast | ItemKind::Cast));
    let is_said = input.rx.remount.casts_at == Some(CastsAt::Enclosed);
    when(
        remounts(input) && is_said && input.lists_enclosures() && !is_listed,
        "remount.casts_at",
        "The remount casts are said to be enclosed, and no cast is in the list.",
    )
}

fn spared_below(input: &Input<'_>) -> Option<Hit> {
    let is_lower = input.rx.remount.spare_cusps == Some(SparedCusps::LowerBuccal);
    let is_lingualized = input.rx.occlusion.scheme == Some(Scheme::Lingualized);
    when(
        remounts(input) && is_lower && is_lingualized,
        "remount.spare_cusps",
        "The scheme is lingualized, and the lower buccal cusps are said to hold the height.",
    )
}

/// Heights of rims in front that are no slip, in mm: 22 above and 18 below are taught.
const RIM_HEIGHT: std::ops::RangeInclusive<i64> = 1_500..=2_600;
/// Width of a rim behind, in mm. Common practice, no source.
const RIM_WIDTH: std::ops::RangeInclusive<i64> = 600..=1_400;

fn rims(input: &Input<'_>) -> Option<Hit> {
    let rims = &input.rx.rims;
    let heights = [
        ("rims.upper_front_mm", rims.upper_front_mm, "upper", 22),
        ("rims.lower_front_mm", rims.lower_front_mm, "lower", 18),
    ];
    for (key, mm, jaw, taught) in heights {
        if let Some(mm) = mm.filter(|mm| !RIM_HEIGHT.contains(&mm.hundredths())) {
            return at(
                key,
                format!("The {jaw} rim is to be {mm} mm high in front; {taught} mm are taught."),
            );
        }
    }
    if let (Some(upper), Some(lower)) = (rims.upper_front_mm, rims.lower_front_mm)
        && lower > upper
    {
        return at(
            "rims.lower_front_mm",
            format!(
                "In front the lower rim is to be {lower} mm high, and the upper {upper} mm; 22 mm above and 18 mm below are taught."
            ),
        );
    }
    let width = rims.back_width_mm;
    let width = width.filter(|mm| !RIM_WIDTH.contains(&mm.hundredths()))?;
    at(
        "rims.back_width_mm",
        format!("The rims are to be {width} mm wide behind; about 10 mm are usual."),
    )
}

fn spare_not_ordered(input: &Input<'_>) -> Option<Hit> {
    let spare = &input.rx.spare;
    let wanted: &[Arch] = match spare.arch {
        Some(SpareArch::None) => return None,
        Some(SpareArch::Upper) => &[Arch::Upper],
        Some(SpareArch::Lower) => &[Arch::Lower],
        Some(SpareArch::Both) => &BOTH,
        None => &[],
    };
    let copies = |arch: Option<Arch>| {
        let mut pieces = input.pieces().iter();
        pieces.any(|piece| {
            let is_it = arch.is_none() || piece.arch.is_none() || piece.arch == arch;
            piece.stage == Some(Stage::Duplicate) && is_it
        })
    };
    let missing = wanted.iter().find(|arch| !copies(Some(**arch)));
    let wrong = spare.made_by == Some(MakerOfSpare::Lab)
        && !input.pieces().is_empty()
        && (missing.is_some() || !copies(None));
    let of = match missing.filter(|_| copies(None)) {
        Some(arch) => format!(" of the {} jaw", arch.shown()),
        None => String::new(),
    };
    when(
        wrong,
        "spare.made_by",
        &format!("The lab is to make the spare, and no piece orders a duplicate{of}."),
    )
}
