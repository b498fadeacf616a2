//! The pattern and the list of what is to differ from it.

use super::input::{BOTH, Input, WITH_TEETH, rows_named, rows_where, yes};
use super::reasons::FROM_THE_THING;
use super::rule::{Hit, Rule, at, caution, remark, stop, when};
use super::sources::{COMPLAINTS, DEVICES, PRACTICE};
use crate::domain::custody::ChangedAtChair;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::form::YesNo;
use crate::domain::prescription::{
    BorderOrder, Change, ChangedPart, Direction, PatternRule, PatternSource, Piece, Stage,
};
use crate::domain::trade::changes::net;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::Mm;
use crate::domain::values::moment::whole_day;
use crate::domain::values::tooth::{PatientSide, Tooth};
use crate::domain::values::words;

/// A change in one step that is worth a second input.
const LARGE_CHANGE: Mm = Mm::from_hundredths(500);
/// No tooth or border is moved that far: number or unit is wrong. Common practice, no source.
const NO_CHANGE: Mm = Mm::from_hundredths(1000);
/// A palate is seldom made thicker. Common practice, no source.
const THICK_PALATE: Mm = Mm::from_hundredths(450);
/// No palate of resin is that thin. Common practice, no source.
const THIN_PALATE: Mm = Mm::from_hundredths(50);
/// A pattern worn for less has taught little.
const DAYS_WORN: i64 = 7;

/// The rules about the pattern and its changes, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "pattern-unsaid",
        source,
        "Copying a denture and setting up from records are different work from the first day.",
        PRACTICE,
    ),
    caution(
        "pattern-rule-unsaid",
        rule,
        "A pattern may be copied to the tenth of a millimeter or only looked at.",
        PRACTICE,
    ),
    stop(
        "copy-without-pattern",
        not_enclosed,
        "A copy is made from the thing itself; the enclosed pattern is part of the prescription.",
        DEVICES,
    ),
    stop(
        "pattern-of-this-jaw-not-enclosed",
        jaw_not_enclosed,
        FROM_THE_THING,
        DEVICES,
    ),
    stop(
        "copy-exactly-with-changes",
        contradiction,
        "The lab cannot follow both orders.",
        PRACTICE,
    ),
    caution(
        "changes-announced-and-missing",
        none_listed,
        "“With the changes listed” and an empty list reads as if a page were lost.",
        PRACTICE,
    ),
    caution(
        "changes-without-rule",
        changes_without_pattern,
        "A change is measured from a pattern; from nothing it has no meaning.",
        PRACTICE,
    ),
    caution(
        "change-without-part",
        part,
        "A number without a tooth or block moves nothing.",
        PRACTICE,
    ),
    caution(
        "change-without-direction",
        direction,
        "A millimeter has to go somewhere; directions are the patient’s.",
        PRACTICE,
    ),
    caution(
        "change-without-amount",
        amount,
        "“A little” is another number on every bench.",
        PRACTICE,
    ),
    caution(
        "change-by-zero",
        zero,
        "A change by zero is either a mistake or an order to keep.",
        PRACTICE,
    ),
    caution(
        "turn-in-millimetres",
        turn,
        "A turn or tilt is set by its angle; in millimeters it depends on where one measures.",
        PRACTICE,
    ),
    caution(
        "movement-in-degrees",
        moved_by_angle,
        "A movement is set in millimeters; an angle turns or tilts.",
        PRACTICE,
    ),
    caution(
        "block-up-or-down",
        block_height,
        "Up opens the bite by a lower block and closes it by an upper one: longer or shorter at the chewing edge says which.",
        PRACTICE,
    ),
    caution(
        "removed-and-changed",
        removed,
        "What is taken away cannot be moved or turned as well.",
        PRACTICE,
    ),
    caution(
        "change-of-a-third-molar",
        third_molar,
        "Fourteen teeth end with the second molar: the number is of another tooth.",
        PRACTICE,
    ),
    caution(
        "palate-thinned-away",
        thinned,
        "No pattern has such a palate: one of the two numbers is wrong.",
        PRACTICE,
    ),
    caution(
        "change-of-an-unnamed-tooth",
        tooth,
        "One tooth of twenty-eight is meant.",
        PRACTICE,
    ),
    caution(
        "change-other-without-note",
        other,
        "“Other” has to be said in words.",
        PRACTICE,
    ),
    caution(
        "changes-opposed",
        opposed,
        "Two rows move the same part both ways; only one can be the last word.",
        PRACTICE,
    ),
    caution(
        "borders-kept-and-flange-changed",
        flange,
        "A flange that becomes longer or shorter has another border.",
        PRACTICE,
    ),
    caution(
        "change-in-another-jaw",
        jaw,
        "The change is listed for a jaw of which no piece is ordered.",
        PRACTICE,
    ),
    caution(
        "lower-back-teeth-inward",
        inward,
        "Lower back teeth set towards the tongue cramp it: the tongue is bitten and lifts the denture.",
        COMPLAINTS,
    ),
    caution(
        "change-without-meaning",
        meaningless,
        "Nobody can do that with this part: of part and direction one is wrong.",
        PRACTICE,
    ),
    remark(
        "change-seen-before-the-pattern",
        seen_before,
        "What was seen in an earlier form may have been corrected since.",
        PRACTICE,
    ),
    caution(
        "change-twice",
        change_twice,
        "The lab does it once or twice, and one of the two is wrong.",
        PRACTICE,
    ),
    caution(
        "turn-is-large",
        large_turn,
        "A tooth turned that far shows another side, and a plane tilted that far is no plane: a digit has slipped.",
        PRACTICE,
    ),
    caution(
        "change-is-no-change-of-a-denture",
        beyond,
        "No tooth is moved further than its own length: the number or the unit is wrong.",
        PRACTICE,
    ),
    remark(
        "change-is-large",
        large,
        "A large step at once is often taken back in part; the provisional can try it first.",
        PRACTICE,
    ),
    remark(
        "guide-leaves-open",
        guide,
        "What is to differ from a guide and is not said stays as the guide has it.",
        PRACTICE,
    ),
    caution(
        "pattern-is-the-old-denture",
        old,
        "The old denture shows worn teeth, a lost height and a base that no longer fits.",
        PRACTICE,
    ),
    caution(
        "pattern-is-a-duplicate",
        duplicate,
        "A duplicate is a coarse copy that may bite higher; each copy of a copy adds its error.",
        PRACTICE,
    ),
    caution(
        "pattern-corrected-before-worn",
        corrected_early,
        "A form cannot have been corrected before it was worn.",
        PRACTICE,
    ),
    caution(
        "changed-at-the-chair-since",
        changed_since,
        "The lab works by the text: what it does not know of is mounted and set as it was before.",
        PRACTICE,
    ),
    remark(
        "pattern-worn-briefly",
        brief,
        "What the mouth has not worn for a week it has not yet proved.",
        PRACTICE,
    ),
    caution(
        "pattern-to-alter-and-to-keep",
        alter,
        "Grinding or heating the pattern changes the surface that is to be kept untouched.",
        PRACTICE,
    ),
];

fn source(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.pattern.source.is_none() && input.reaches(WITH_TEETH);
    when(
        wrong,
        "pattern.source",
        "It is not said which denture is the pattern, or that there is none.",
    )
}

fn rule(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.has_pattern() && input.rx.pattern.rule.is_none();
    when(
        wrong,
        "pattern.rule",
        "A pattern is sent, and how closely to follow it is not given.",
    )
}

/// Whether the pattern of this jaw is in the box or at the lab: by its tag, or where none is written any
/// denture or wax-up of the jaw.
fn has_pattern_of(input: &Input<'_>, arch: Arch) -> bool {
    // Which file is missing is asked by a rule of its own.
    if !input.rx.scan_set.scans.is_empty() {
        return true;
    }
    if let Some(tag) = input.pattern_of(arch) {
        return input.reaches_lab(tag);
    }
    let serves = |item: &Item| {
        let kind = item.kind.is_denture() || item.kind == ItemKind::TryIn;
        kind && item.arch == Some(arch) && input.reaches_lab(&item.tag)
    };
    input.setting.items.iter().any(serves)
}

/// The jaws that are copied and whose pattern is not there.
fn missing_patterns(input: &Input<'_>) -> Vec<Arch> {
    let pattern = &input.rx.pattern;
    let is_listed = input.lists_enclosures() && input.reaches(WITH_TEETH);
    let is_copied = input.has_pattern() && input.copies();
    // What is named as the pattern is to be in the box before its rule is said, or its kind.
    let is_open = pattern.rule.is_none() || pattern.source.is_none();
    let is_open = is_open && pattern.source != Some(PatternSource::None);
    let is_open = is_open && pattern.rule != Some(PatternRule::Guide);
    let is_meant = |arch: Arch| is_copied || (is_open && input.pattern_of(arch).is_some());
    let missing = |arch: &Arch| {
        is_listed && is_meant(*arch) && input.orders(*arch) && !has_pattern_of(input, *arch)
    };
    BOTH.into_iter().filter(missing).collect()
}

fn copied_jaws(input: &Input<'_>) -> usize {
    BOTH.into_iter().filter(|arch| input.orders(*arch)).count()
}

fn jaw_not_enclosed(input: &Input<'_>) -> Option<Hit> {
    let missing = missing_patterns(input);
    let arch = *missing.first()?;
    // Of all jaws that are ordered, it is one sentence of another rule.
    let key = match arch {
        Arch::Upper => "pattern.upper_item",
        Arch::Lower => "pattern.lower_item",
    };
    when(
        missing.len() < copied_jaws(input),
        key,
        &format!(
            "Both jaws are made from a pattern, and the {} one is neither in the list of what is enclosed nor at the lab.",
            arch.shown()
        ),
    )
    .map(|hit| match input.pattern_of(arch) {
        Some(tag) => hit.answered_by(input, tag),
        None => hit,
    })
}

fn not_enclosed(input: &Input<'_>) -> Option<Hit> {
    let missing = missing_patterns(input);
    when(
        !missing.is_empty() && missing.len() == copied_jaws(input),
        "pattern.upper_item",
        "A copy is ordered, and the pattern is neither in the list of what is enclosed nor at the lab.",
    )
}

fn contradiction(input: &Input<'_>) -> Option<Hit> {
    let pattern = &input.rx.pattern;
    let wrong = pattern.rule == Some(PatternRule::Exactly) && !pattern.changes.is_empty();
    wrong.then(|| {
        at(
            "pattern.rule",
            format!(
                "The pattern is to be copied exactly, and {} listed.",
                counted(pattern.changes.len())
            ),
        )
    })?
}

fn counted(changes: usize) -> String {
    match changes {
        1 => "1 change is".to_owned(),
        more => format!("{more} changes are"),
    }
}

fn none_listed(input: &Input<'_>) -> Option<Hit> {
    let pattern = &input.rx.pattern;
    // What is changed by a new height alone is mounted again, and no tooth of it moves.
    let is_new_height = input.has_stage(Stage::Reset) && input.rx.approval.refuses_height();
    let wrong = pattern.rule == Some(PatternRule::WithChanges)
        && pattern.changes.is_empty()
        && !is_new_height;
    when(
        wrong,
        "changes.0.what",
        "The pattern is to be copied with the changes listed, and none is listed.",
    )
}

fn changes_without_pattern(input: &Input<'_>) -> Option<Hit> {
    let pattern = &input.rx.pattern;
    let measured = |change: &Change| is_of_a_refused_try_in(input, change);
    let wrong =
        pattern.source == Some(PatternSource::None) && !pattern.changes.iter().all(measured);
    when(
        wrong,
        "changes.0.what",
        "Changes are listed, and there is no pattern from which to measure them.",
    )
}

/// Whether a change is measured from a set-up that was tried in: its jaw is reset, or set up once more after a try-in of
/// which teeth or height were refused. What is to move stands in that wax, whatever it was set up from.
fn is_of_a_refused_try_in(input: &Input<'_>, change: &Change) -> bool {
    let approval = &input.rx.approval;
    let is_refused = approval.refuses_height() || approval.arrangement == Some(YesNo::No);
    let arch = change.tooth.map(Tooth::arch);
    let is_of_it = |piece: &&Piece| arch.is_none() || piece.arch.is_none() || piece.arch == arch;
    let mut stages = input
        .pieces()
        .iter()
        .filter(is_of_it)
        .map(|piece| piece.stage);
    stages.any(|stage| match stage {
        Some(Stage::Reset) => true,
        Some(Stage::SetUp | Stage::TryIn) => is_refused,
        _ => false,
    })
}

/// A hit at the first row for which `wrong` holds; the sentence names all of them.
fn in_rows(
    input: &Input<'_>,
    field: &str,
    wrong: impl Fn(&Change) -> bool,
    said: &str,
) -> Option<Hit> {
    let rows = rows_where(&input.rx.pattern.changes, wrong);
    let row = rows.first()?;
    at(
        format!("changes.{row}.{field}"),
        format!("{}: {said}", rows_named("Change", &rows)),
    )
}

fn part(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "what",
        |change| change.what.is_none(),
        "what is to be changed is not given.",
    )
}

fn direction(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "direction",
        |change| change.direction.is_none(),
        "the direction is missing.",
    )
}

/// Something taken away or added is described and not measured.
fn is_described(change: &Change) -> bool {
    matches!(change.direction, Some(Direction::Remove | Direction::Add))
}

fn amount(input: &Input<'_>) -> Option<Hit> {
    let wrong =
        |change: &Change| change.mm.is_none() && change.degrees.is_none() && !is_described(change);
    in_rows(input, "mm", wrong, "by how much is not given.")
}

fn zero(input: &Input<'_>) -> Option<Hit> {
    let wrong = |change: &Change| {
        change.mm.is_some_and(|mm| mm.hundredths() == 0) && change.degrees.is_none()
    };
    in_rows(input, "mm", wrong, "it is a change by 0 mm.")
}

fn turn(input: &Input<'_>) -> Option<Hit> {
    let wrong = |change: &Change| {
        change
            .direction
            .is_some_and(|direction| TURNED.contains(&direction))
            && change.mm.is_some()
            && change.degrees.is_none()
    };
    in_rows(
        input,
        "degrees",
        wrong,
        "a turn or tilt is given in millimeters and not in degrees.",
    )
}

/// Directions that are an angle and not a way.
const TURNED: [Direction; 4] = [
    Direction::TurnMesialOut,
    Direction::TurnMesialIn,
    Direction::TiltRight,
    Direction::TiltLeft,
];

fn moved_by_angle(input: &Input<'_>) -> Option<Hit> {
    let wrong = |change: &Change| {
        let is_moved = |direction| !TURNED.contains(&direction) && !is_described(change);
        change.direction.is_some_and(is_moved) && change.mm.is_none() && change.degrees.is_some()
    };
    in_rows(
        input,
        "mm",
        wrong,
        "a movement is given in degrees and not in millimeters.",
    )
}

fn block_height(input: &Input<'_>) -> Option<Hit> {
    let is_block = |change: &Change| {
        matches!(
            change.what,
            Some(ChangedPart::RightBlock | ChangedPart::LeftBlock)
        )
    };
    let wrong = |change: &Change| {
        is_block(change) && matches!(change.direction, Some(Direction::Up | Direction::Down))
    };
    in_rows(
        input,
        "direction",
        wrong,
        "a bite block goes up or down, and whether the bite opens or closes by it is not given.",
    )
}

fn removed(input: &Input<'_>) -> Option<Hit> {
    let changes = &input.rx.pattern.changes;
    let is_removed = |of: &Change| {
        changes.iter().any(|one| {
            one.direction == Some(Direction::Remove) && (one.what, one.tooth) == (of.what, of.tooth)
        })
    };
    let wrong = |change: &Change| {
        let is_tooth = change.what == Some(ChangedPart::Tooth) && change.tooth.is_some();
        is_tooth && !is_described(change) && change.direction.is_some() && is_removed(change)
    };
    in_rows(
        input,
        "direction",
        wrong,
        "the tooth is to be removed by another row.",
    )
}

fn third_molar(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    let has_sixteen = |arch: Arch| {
        let count = match arch {
            Arch::Upper => teeth.teeth_upper,
            Arch::Lower => teeth.teeth_lower,
        };
        count.is_some_and(|count| count.get() > 14)
    };
    let wrong = |change: &Change| {
        let tooth = change.tooth.filter(|tooth| tooth.iso() % 10 == 8);
        tooth.is_some_and(|tooth| !has_sixteen(tooth.arch()))
    };
    in_rows(
        input,
        "tooth",
        wrong,
        "the tooth is a third molar, and the denture has none.",
    )
}

/// By how much the palate of the pattern is to become thinner, against what is to be left of it.
fn thinned(input: &Input<'_>) -> Option<Hit> {
    let left = input.rx.base.palate_mm?;
    let changes = input.rx.pattern.changes.iter().enumerate();
    let mut changes = changes.filter(|(_, change)| change.what == Some(ChangedPart::Palate));
    let (row, by, way, before) = changes.find_map(|(row, change)| {
        let by = change.mm?;
        let (way, before) = match change.direction? {
            Direction::Thinner => ("thinner", left.hundredths().saturating_add(by.hundredths())),
            Direction::Thicker => ("thicker", left.hundredths().saturating_sub(by.hundredths())),
            _ => return None,
        };
        Some((row, by, way, Mm::from_hundredths(before.max(0))))
    })?;
    (before > THICK_PALATE || before < THIN_PALATE).then(|| {
        at(
            format!("changes.{row}.mm"),
            format!("The palate is to become {by} mm {way} and to be {left} mm thick: it would be {before} mm thick now."),
        )
    })?
}

fn tooth(input: &Input<'_>) -> Option<Hit> {
    let wrong = |change: &Change| change.what == Some(ChangedPart::Tooth) && change.tooth.is_none();
    in_rows(
        input,
        "tooth",
        wrong,
        "one tooth is to be changed, and which one is not given.",
    )
}

fn other(input: &Input<'_>) -> Option<Hit> {
    let wrong = |change: &Change| change.what == Some(ChangedPart::Other) && change.note.is_none();
    in_rows(
        input,
        "note",
        wrong,
        "something else is to be changed, and the note does not say what.",
    )
}

fn opposite(direction: Direction) -> Option<Direction> {
    let pairs = [
        (Direction::Right, Direction::Left),
        (Direction::Forward, Direction::Back),
        (Direction::Up, Direction::Down),
        (Direction::Outward, Direction::Inward),
        (Direction::LongerEdge, Direction::ShorterEdge),
        (Direction::LongerGum, Direction::ShorterGum),
        (Direction::Wider, Direction::Narrower),
        (Direction::Thicker, Direction::Thinner),
        (Direction::TurnMesialOut, Direction::TurnMesialIn),
        (Direction::TiltRight, Direction::TiltLeft),
    ];
    pairs.into_iter().find_map(|(one, other)| {
        if direction == one {
            Some(other)
        } else {
            (direction == other).then_some(one)
        }
    })
}

/// Whether two rows move a part both ways along one axis of the patient: outward on the left is to the left.
fn moves_back(one: &Change, two: &Change) -> bool {
    let moved = |change: &Change| {
        let total = net(std::slice::from_ref(change));
        total.parts.first().map(|part| part.movement)
    };
    let (Some(one), Some(two)) = (moved(one), moved(two)) else {
        return false;
    };
    let axes = [
        (one.right, two.right),
        (one.forward, two.forward),
        (one.up, two.up),
    ];
    axes.iter()
        .any(|(one, two)| one.hundredths().signum() * two.hundredths().signum() < 0)
}

/// Whether a tooth is one of this part.
fn is_tooth_of(tooth: Tooth, whole: ChangedPart) -> bool {
    use ChangedPart as P;
    let is_upper = tooth.arch() == Arch::Upper;
    let is_incisor = tooth.iso() % 10 <= 2;
    let is_front = tooth.is_anterior();
    let is_right = tooth.side() == PatientSide::Right;
    match whole {
        P::UpperIncisors => is_upper && is_incisor,
        P::LowerIncisors => !is_upper && is_incisor,
        P::UpperFront => is_upper && is_front,
        P::LowerFront => !is_upper && is_front,
        P::UpperRightBack => is_upper && !is_front && is_right,
        P::UpperLeftBack => is_upper && !is_front && !is_right,
        P::LowerRightBack => !is_upper && !is_front && is_right,
        P::LowerLeftBack => !is_upper && !is_front && !is_right,
        P::UpperArch => is_upper,
        P::LowerArch => !is_upper,
        _ => false,
    }
}

/// Whether one change is about a part of what the other is about: a tooth of the front, the incisors of the six.
fn is_part_of(part: &Change, whole: &Change) -> bool {
    use ChangedPart as P;
    match (part.what, part.tooth, whole.what) {
        (Some(P::Tooth), Some(tooth), Some(whole)) => is_tooth_of(tooth, whole),
        (Some(part), _, Some(whole)) => matches!(
            (part, whole),
            (P::UpperIncisors, P::UpperFront | P::UpperArch)
                | (P::LowerIncisors, P::LowerFront | P::LowerArch)
                | (
                    P::UpperFront | P::UpperRightBack | P::UpperLeftBack,
                    P::UpperArch
                )
                | (
                    P::LowerFront | P::LowerRightBack | P::LowerLeftBack,
                    P::LowerArch
                )
        ),
        _ => false,
    }
}

/// Whether two rows move a part both ways. What is done to a whole and undone to a part of it by another size may be
/// meant, and by the same it is not.
fn is_against(one: &Change, two: &Change) -> bool {
    let is_same = one.what.is_some() && (one.what, one.tooth) == (two.what, two.tooth);
    let is_within = is_part_of(one, two) || is_part_of(two, one);
    let is_undone = is_within && one.mm.is_some() && one.mm == two.mm;
    let back = one.direction.and_then(opposite);
    let is_back = back.is_some_and(|back| two.direction == Some(back));
    (is_same || is_undone) && (is_back || moves_back(one, two))
}

fn opposed(input: &Input<'_>) -> Option<Hit> {
    let changes = &input.rx.pattern.changes;
    let mut rows = changes.iter().enumerate();
    let (later, earlier) = rows.find_map(|(row, change)| {
        let earlier = changes
            .iter()
            .take(row)
            .position(|before| is_against(change, before))?;
        Some((row, earlier))
    })?;
    at(
        format!("changes.{later}.direction"),
        format!(
            "Changes {} and {} move the same part in opposite directions.",
            earlier + 1,
            later + 1
        ),
    )
}

fn flange(input: &Input<'_>) -> Option<Hit> {
    use Direction as D;
    let is_kept = input.rx.borders.order == Some(BorderOrder::Keep);
    let wrong = |change: &Change| {
        let is_flange = matches!(
            change.what,
            Some(ChangedPart::UpperFlange | ChangedPart::LowerFlange)
        );
        let is_length = matches!(
            change.direction,
            Some(D::LongerEdge | D::ShorterEdge | D::LongerGum | D::ShorterGum)
        );
        is_kept && is_flange && is_length
    };
    in_rows(
        input,
        "direction",
        wrong,
        "the length of a flange changes, and the borders are to be kept.",
    )
}

fn is_lower(part: ChangedPart) -> Option<bool> {
    use ChangedPart as Part;
    match part {
        Part::UpperFront
        | Part::UpperIncisors
        | Part::UpperRightBack
        | Part::UpperLeftBack
        | Part::UpperArch
        | Part::UpperFlange
        | Part::Palate => Some(false),
        Part::LowerFront
        | Part::LowerIncisors
        | Part::LowerRightBack
        | Part::LowerLeftBack
        | Part::LowerArch
        | Part::LowerFlange => Some(true),
        _ => None,
    }
}

fn jaw(input: &Input<'_>) -> Option<Hit> {
    use crate::domain::values::arch::Arch;
    let arch_of = |change: &Change| {
        let by_tooth = change.tooth.map(|tooth| tooth.arch());
        let by_part = change
            .what
            .and_then(is_lower)
            .map(|lower| if lower { Arch::Lower } else { Arch::Upper });
        by_part.or(by_tooth)
    };
    in_rows(
        input,
        "what",
        |change| arch_of(change).is_some_and(|arch| !input.orders(arch)),
        "it is in a jaw of which no piece is ordered.",
    )
}

fn inward(input: &Input<'_>) -> Option<Hit> {
    let parts = [
        ChangedPart::LowerRightBack,
        ChangedPart::LowerLeftBack,
        ChangedPart::RightBlock,
        ChangedPart::LeftBlock,
    ];
    let wrong = |change: &Change| {
        change.direction == Some(Direction::Inward)
            && change.what.is_some_and(|what| parts.contains(&what))
    };
    in_rows(
        input,
        "direction",
        wrong,
        "lower back teeth or bite blocks are moved towards the tongue.",
    )
}

/// Whether a part cannot go this way: a midline goes sideways or tilts, a gum line up or down, and a whole row is neither
/// removed nor added.
fn has_no_meaning(what: ChangedPart, direction: Direction) -> bool {
    use ChangedPart as P;
    use Direction as D;
    match what {
        P::Midline => !matches!(direction, D::Right | D::Left | D::TiltRight | D::TiltLeft),
        P::GumLine => matches!(
            direction,
            D::Right
                | D::Left
                | D::Forward
                | D::Back
                | D::Remove
                | D::TurnMesialOut
                | D::TurnMesialIn
        ),
        P::Plane | P::UpperArch | P::LowerArch | P::UpperFront | P::LowerFront => {
            matches!(direction, D::Remove | D::Add)
        }
        _ => false,
    }
}

fn meaningless(input: &Input<'_>) -> Option<Hit> {
    let mut rows = input.rx.pattern.changes.iter().enumerate();
    let (row, what, direction) = rows.find_map(|(row, change)| {
        let (what, direction) = (change.what?, change.direction?);
        has_no_meaning(what, direction).then_some((row, what, direction))
    })?;
    at(
        format!("changes.{row}.direction"),
        format!(
            "Change {}: “{}” cannot go “{}”.",
            row + 1,
            what.shown(),
            direction.shown()
        ),
    )
}

fn change_twice(input: &Input<'_>) -> Option<Hit> {
    let changes = &input.rx.pattern.changes;
    // What was seen on two days is added up.
    let said = |one: &Change| (one.what, one.tooth, one.direction, one.date);
    let is_whole = |one: &Change| one.what.is_some() && one.direction.is_some();
    let mut rows = changes.iter().enumerate();
    let (later, earlier, is_of_one_size) = rows.find_map(|(row, change)| {
        let mut before = changes.iter().take(row).enumerate();
        let is_note = change.what == Some(ChangedPart::Other);
        let (earlier, one) = before.find(|(_, one)| said(one) == said(change))?;
        let is_of_one_size = (one.mm, one.degrees) == (change.mm, change.degrees);
        (is_whole(change) && !is_note).then_some((row, earlier, is_of_one_size))
    })?;
    let say = match is_of_one_size {
        true => "say the same",
        false => "change one thing the same way, by two sizes",
    };
    at(
        format!("changes.{later}.what"),
        format!("Changes {} and {} {say}.", earlier + 1, later + 1),
    )
}

fn seen_before(input: &Input<'_>) -> Option<Hit> {
    let worn = input.rx.pattern.worn_since?;
    in_rows(
        input,
        "date",
        |change| change.date.is_some_and(|seen| seen < worn),
        "seen before the day since which the pattern is worn in this form.",
    )
}

/// A turn of a tooth beyond which it faces the next one. Common practice, no source.
const LARGE_TURN: i64 = 4_500;
/// A tilt of a plane or of a row of teeth that a face would show at once. Common practice, no source.
const LARGE_TILT: i64 = 1_500;

fn large_turn(input: &Input<'_>) -> Option<Hit> {
    let most = |change: &Change| match change.direction {
        Some(Direction::TiltRight | Direction::TiltLeft) if change.tooth.is_none() => LARGE_TILT,
        _ => LARGE_TURN,
    };
    let wrong = |change: &Change| {
        let degrees = change.degrees;
        degrees.is_some_and(|degrees| degrees.hundredths() > most(change))
    };
    in_rows(
        input,
        "degrees",
        wrong,
        "teeth are turned by at most 45°, and a plane is tilted by at most 15°.",
    )
}

fn large(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "mm",
        |change| {
            change
                .mm
                .is_some_and(|mm| mm > LARGE_CHANGE && mm <= NO_CHANGE)
        },
        "it is more than 5 mm.",
    )
}

fn beyond(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "mm",
        |change| change.mm.is_some_and(|mm| mm > NO_CHANGE),
        "it is more than 10 mm.",
    )
}

fn guide(input: &Input<'_>) -> Option<Hit> {
    let (teeth, plane, meet) = (&input.rx.anterior, &input.rx.plane, &input.rx.occlusion);
    let open = [
        (
            teeth.midline.is_none() && teeth.midline_offset_mm.is_none(),
            "the midline",
        ),
        (
            teeth.incisal_show_mm.is_none(),
            "how far the front teeth show",
        ),
        (
            plane.front.is_none() || plane.back.is_none(),
            "the occlusal plane",
        ),
        (
            meet.overjet_mm.is_none() || meet.overbite_mm.is_none(),
            "the overlaps in front",
        ),
    ];
    let left_open: Vec<&str> = open
        .into_iter()
        .filter(|(open, _)| *open)
        .map(|(_, words)| words)
        .collect();
    let is_guide = input.rx.pattern.rule == Some(PatternRule::Guide) && input.reaches(WITH_TEETH);
    when(
        is_guide && !left_open.is_empty(),
        "pattern.rule",
        &format!(
            "The pattern is a guide only, and not said: {}.",
            left_open.join(", ")
        ),
    )
}

fn old(input: &Input<'_>) -> Option<Hit> {
    let pattern = &input.rx.pattern;
    if pattern.source == Some(PatternSource::OldDenture) {
        return at("pattern.source", "The old denture is named as the pattern.");
    }
    let items = [
        ("pattern.upper_item", &pattern.upper_item),
        ("pattern.lower_item", &pattern.lower_item),
    ];
    let (key, tag) = items.into_iter().find_map(|(key, tag)| {
        let tag = tag.as_ref()?;
        (input.kind(tag) == Some(ItemKind::OldDenture)).then_some((key, tag))
    })?;
    at(
        key,
        format!("{tag} is named as the pattern, and it is an old denture."),
    )
}

fn duplicate(input: &Input<'_>) -> Option<Hit> {
    let pattern = &input.rx.pattern;
    let is_copy = |tag: &Tag| input.kind(tag) == Some(ItemKind::Duplicate);
    let wrong = pattern.source == Some(PatternSource::Duplicate)
        || pattern
            .upper_item
            .iter()
            .chain(&pattern.lower_item)
            .any(is_copy);
    when(
        wrong,
        "pattern.source",
        "A duplicate is named as the pattern, not the provisional itself.",
    )
}

fn corrected_early(input: &Input<'_>) -> Option<Hit> {
    let pattern = &input.rx.pattern;
    let (worn, corrected) = (pattern.worn_since?.date(), pattern.last_corrected?.date());
    when(
        corrected < worn,
        "pattern.last_corrected",
        "The last correction lies before the day since which the pattern is worn.",
    )
}

/// What was done at the chair since the revision in force was signed, and this text goes on as if it had not been.
fn changed_since(input: &Input<'_>) -> Option<Hit> {
    let all = &input.setting.changed_at_chair;
    let (rx, before) = (input.rx, input.setting.previous.as_ref()?);
    let is_of_height = |one: &&ChangedAtChair| one.done.is_of_height();
    let then = before.vertical.occlusal_mm;
    if let Some(one) = all.iter().rfind(is_of_height)
        && let Some(mm) = rx.vertical.occlusal_mm.filter(|now| Some(*now) == then)
    {
        return at(
            "vertical.occlusal_mm",
            format!(
                "{} at the chair ({}) after the last revision was signed, and the height is {mm} mm as it was then.",
                words::capitalised(&one.words),
                whole_day(one.day)
            ),
        );
    }
    let one = all.iter().max_by_key(|one| one.day)?;
    let named = rx.pattern.last_corrected;
    named.filter(|day| day.date() < one.day).map(|named| {
        at(
            "pattern.last_corrected",
            format!(
                "Changed at the chair on {} ({}), and {} is named as the day of the last correction.",
                whole_day(one.day),
                one.words,
                whole_day(named.date())
            ),
        )
    })?
}

fn brief(input: &Input<'_>) -> Option<Hit> {
    let worn = input.rx.pattern.worn_since?.date();
    let days = (input.setting.today - worn).whole_days();
    let wrong = (0..DAYS_WORN).contains(&days);
    wrong.then(|| {
        at(
            "pattern.worn_since",
            format!(
                "The pattern has been worn in this form for {}.",
                words::counted(days, "day")
            ),
        )
    })?
}

fn alter(input: &Input<'_>) -> Option<Hit> {
    let wrong = yes(input.rx.pattern.may_alter) && yes(input.rx.impression.keep_surface);
    when(
        wrong,
        "pattern.may_alter",
        "The lab may alter the pattern, and its surface is to be kept untouched.",
    )
}
