//! Back teeth and how the teeth meet.

use super::criteria::{arch_without_cusps, lacks};
use super::input::{BOTH, Input, WITH_TEETH, words};
use super::rule::{Hit, Rule, at, caution, when};
use super::sources::{CHINA, COMPLAINTS, CROWNS, OWN_RULE, PRACTICE, SEAL_FAULTS};
use crate::domain::prescription::{
    BlockShape, ChangedPart, CuspAngle, Direction, Opposing, PatternSource, Scheme, ToothChoice,
    ToothMaterial,
};
use crate::domain::trade::agreement;
use crate::domain::trade::substances::{MaterialKind, read};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::Tooth;

/// Room below which four average lower back teeth are plainly too many.
const SHORT_ROOM: Mm = Mm::from_hundredths(3_000);
/// Vertical overlap that is none, within what teeth are set to. Common practice, no source.
const FLAT_OVERBITE: Mm = Mm::from_hundredths(50);
/// A full arch of a complete denture.
const FULL_ARCH: i64 = 14;

/// The rules about back teeth and how the teeth meet, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-12-tooth-material",
        material,
        "Hardness and cusps decide how the teeth wear and how they balance.",
        CHINA,
    ),
    caution(
        "criterion-14-scheme",
        scheme,
        "The lab grinds in a scheme whether one is named or not.",
        PRACTICE,
    ),
    caution(
        "cusps-in-a-flat-scheme",
        flat,
        "Monoplane teeth have no cusps.",
        PRACTICE,
    ),
    caution(
        "flat-teeth-in-balance",
        balanced,
        "Flat teeth balance only on a curve; cusps or the depth of the curve must be given.",
        PRACTICE,
    ),
    caution(
        "lingualized-without-upper-cusps",
        lingual,
        "In a lingualized bite the upper palatal cusps alone meet the lower teeth: flat ones have none.",
        PRACTICE,
    ),
    caution(
        "lingualized-with-steeper-lower-cusps",
        lower_steeper,
        "The upper palatal cusp moves in a lower tooth that is flatter than itself.",
        PRACTICE,
    ),
    caution(
        "cusps-of-two-angles",
        two_angles,
        "One angle for both jaws, and another for each of them: the lab has to guess which is meant.",
        PRACTICE,
    ),
    caution(
        "teeth-counted-twice",
        counted_twice,
        "The lab sets one of the two numbers of teeth.",
        PRACTICE,
    ),
    caution(
        "overbite-in-a-flat-scheme",
        deep_and_flat,
        "Flat teeth do not part as the jaw goes forward: front teeth that overlap meet alone.",
        PRACTICE,
    ),
    caution(
        "scheme-as-on-no-pattern",
        no_pattern,
        "There is no pattern from which to take the back teeth or the way they meet.",
        PRACTICE,
    ),
    caution(
        "canine-guidance-in-complete-dentures",
        canine,
        "A denture that meets on one canine tips on its base.",
        SEAL_FAULTS,
    ),
    caution(
        "room-too-short-for-the-teeth",
        room,
        "A tooth on the slope of the ridge pushes the denture forward.",
        CROWNS,
    ),
    caution(
        "back-mould-for-one-arch",
        one_arch,
        "Upper and lower back teeth mesh only as a pair of moulds.",
        PRACTICE,
    ),
    caution(
        "porcelain-against-softer-teeth",
        porcelain,
        "Porcelain in front and resin behind: the back wears, and the front takes the load.",
        PRACTICE,
    ),
    caution(
        "teeth-named-otherwise",
        off_pieces,
        "The sheet would name two kinds of teeth for one denture, and the lab has to guess which is meant.",
        OWN_RULE,
    ),
    caution(
        "porcelain-against-natural-teeth",
        against_natural,
        "Porcelain grinds natural teeth down.",
        PRACTICE,
    ),
    caution(
        "steep-front-overlap",
        overlap,
        "A deep bite without room in front tips the denture at the first bite.",
        SEAL_FAULTS,
    ),
    caution(
        "no-posterior-overlap",
        cheek,
        "Edge to edge the back teeth catch the cheek.",
        COMPLAINTS,
    ),
    caution(
        "blocks-change-unlisted",
        blocks,
        "“Change as listed” needs a line in the list.",
        PRACTICE,
    ),
    caution(
        "blocks-kept-and-moulds-named",
        blocks_and_moulds,
        "Kept blocks stay as the pattern has them, and teeth of a mould take their place.",
        PRACTICE,
    ),
    caution(
        "changed-and-left-out",
        changed_and_left_out,
        "A tooth that is left out cannot be moved or turned as well.",
        PRACTICE,
    ),
    caution(
        "front-clearance-without-room",
        clearance,
        "Front teeth that stand apart in centric need room between them.",
        OWN_RULE,
    ),
    caution(
        "cross-bite-and-overlap",
        crossed,
        "In a cross-bite the upper teeth do not overlap the lower ones.",
        OWN_RULE,
    ),
    caution(
        "blocks-of-no-pattern",
        blocks_without,
        "There are no bite blocks whose shape could be kept.",
        PRACTICE,
    ),
    caution(
        "left-out-teeth-unsaid",
        left_out,
        "With fewer than fourteen teeth the lab must know which ones stay out.",
        PRACTICE,
    ),
    caution(
        "left-out-of-a-full-arch",
        full_all_the_same,
        "Of the number of teeth and the tooth that is left out one is wrong.",
        PRACTICE,
    ),
    caution(
        "overlap-unsaid",
        overlap_unsaid,
        "Overjet and overbite decide how the front teeth move past each other.",
        PRACTICE,
    ),
];

fn material(input: &Input<'_>) -> Option<Hit> {
    if !lacks(input, 12) {
        return None;
    }
    let (front, back) = (&input.rx.anterior.material, &input.rx.posterior.material);
    let missing = arch_without_cusps(input);
    match (front, back) {
        (Some(_), Some(_)) => cusps_unsaid(input, missing),
        (None, None) if missing.is_some() => at(
            "anterior.material",
            "Neither the material of the teeth nor the cusp angle is given.",
        ),
        (None, None) => at(
            "anterior.material",
            "The material of the teeth is not named.",
        ),
        (None, Some(_)) => at(
            "anterior.material",
            "The material of the back teeth is named, that of the front teeth is not.",
        ),
        (Some(_), None) => at(
            "posterior.material",
            "The material of the front teeth is named, that of the back teeth is not.",
        ),
    }
}

/// Where one arch has its angle and the other has not, the other is asked for by name.
fn cusps_unsaid(input: &Input<'_>, missing: Option<Arch>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    match missing? {
        Arch::Upper if teeth.cusp_lower.is_some() => at(
            "posterior.cusp_upper",
            "The cusp angle of the lower back teeth is given, that of the upper is not.",
        ),
        Arch::Lower if teeth.cusp_upper.is_some() => at(
            "posterior.cusp_lower",
            "The cusp angle of the upper back teeth is given, that of the lower is not.",
        ),
        _ => at(
            "posterior.cusp_angle",
            "The cusp angle of the back teeth is not given.",
        ),
    }
}

fn scheme(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 14),
        "occlusion.scheme",
        "The occlusal scheme is not named.",
    )
}

fn flat(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    let steep = |arch: &Arch| {
        let angle = teeth.cusps(*arch)?;
        (!matches!(angle, CuspAngle::Zero | CuspAngle::Pattern)).then_some((*arch, angle))
    };
    let (arch, angle) = BOTH.iter().find_map(steep)?;
    let key = cusp_key(input, arch);
    (input.rx.occlusion.scheme == Some(Scheme::Monoplane)).then(|| {
        at(
            key,
            format!(
                "The scheme is monoplane, and the cusp angle {}.",
                angle.shown()
            ),
        )
    })?
}

fn balanced(input: &Input<'_>) -> Option<Hit> {
    let curved = input
        .rx
        .plane
        .compensating_mm
        .is_some_and(|depth| depth.hundredths() > 0);
    let wrong = input.rx.occlusion.scheme == Some(Scheme::Balanced)
        && BOTH
            .into_iter()
            .filter(|arch| input.orders(*arch))
            .all(|arch| input.rx.posterior.cusps(arch) == Some(CuspAngle::Zero))
        && !curved;
    when(
        wrong,
        "plane.compensating_mm",
        "Bilateral balance is ordered with cusps of 0°, and no compensating curve is given.",
    )
}

/// The angle of an ordered jaw's cusps in degrees, where a number is given.
fn cusp_degrees(input: &Input<'_>, arch: Arch) -> Option<u32> {
    let angle = Some(arch).filter(|arch| input.orders(*arch));
    input.rx.posterior.cusps(angle?)?.word().parse().ok()
}

fn is_lingualized(input: &Input<'_>) -> bool {
    input.rx.occlusion.scheme == Some(Scheme::Lingualized)
}

/// The field that gives the angle of this jaw.
fn cusp_key(input: &Input<'_>, arch: Arch) -> &'static str {
    let teeth = &input.rx.posterior;
    match arch {
        Arch::Upper if teeth.cusp_upper.is_some() => "posterior.cusp_upper",
        Arch::Lower if teeth.cusp_lower.is_some() => "posterior.cusp_lower",
        _ => "posterior.cusp_angle",
    }
}

fn lingual(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_lingualized(input) && cusp_degrees(input, Arch::Upper) == Some(0);
    when(
        wrong,
        cusp_key(input, Arch::Upper),
        "The scheme is lingualized, and the upper back teeth have cusps of 0°.",
    )
}

fn lower_steeper(input: &Input<'_>) -> Option<Hit> {
    let (upper, lower) = (
        cusp_degrees(input, Arch::Upper)?,
        cusp_degrees(input, Arch::Lower)?,
    );
    // Upper teeth without cusps are told already.
    let wrong = is_lingualized(input) && upper > 0 && lower > upper;
    when(
        wrong,
        cusp_key(input, Arch::Lower),
        &format!("The scheme is lingualized, with cusps of {lower}° below and {upper}° above."),
    )
}

fn deep_and_flat(input: &Input<'_>) -> Option<Hit> {
    let overbite = input.rx.occlusion.overbite_mm?;
    let wrong = input.rx.occlusion.scheme == Some(Scheme::Monoplane) && overbite > FLAT_OVERBITE;
    when(
        wrong,
        "occlusion.overbite_mm",
        &format!(
            "The scheme is monoplane, and the front teeth overlap by {overbite} mm vertically."
        ),
    )
}

fn no_pattern(input: &Input<'_>) -> Option<Hit> {
    let copied = input.rx.occlusion.scheme == Some(Scheme::Pattern)
        || input.rx.posterior.choice == Some(ToothChoice::Pattern)
        || BOTH
            .into_iter()
            .any(|arch| input.rx.posterior.cusps(arch) == Some(CuspAngle::Pattern));
    let wrong = copied && input.rx.pattern.source == Some(PatternSource::None);
    when(
        wrong,
        "occlusion.scheme",
        "Scheme, back teeth or cusps are to be as on the pattern, and there is none.",
    )
}

fn canine(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.occlusion.scheme == Some(Scheme::CanineGuided);
    when(
        wrong,
        "occlusion.scheme",
        "Canine guidance is ordered for complete dentures.",
    )
}

fn room(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    let length = teeth.length_mm?;
    let full = teeth
        .teeth_lower
        .is_none_or(|count| count.get() >= FULL_ARCH);
    let wrong =
        length < SHORT_ROOM && full && teeth.left_out.is_none() && input.orders(Arch::Lower);
    wrong.then(|| at("posterior.length_mm", format!("{length} mm of space from canine to retromolar pad; four average lower back teeth take 35.5 mm, and none is left out.")))?
}

fn one_arch(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    let both = input.orders(Arch::Upper) && input.orders(Arch::Lower);
    let wrong = both
        && teeth.choice == Some(ToothChoice::Mould)
        && teeth.upper_mould.is_some() != teeth.lower_mould.is_some();
    let key = if teeth.upper_mould.is_some() {
        "posterior.lower_mould"
    } else {
        "posterior.upper_mould"
    };
    when(
        wrong,
        key,
        "Both jaws are ordered, and the mould of the back teeth is named for one.",
    )
}

fn porcelain(input: &Input<'_>) -> Option<Hit> {
    let (front, back) = (input.rx.anterior.material?, input.rx.posterior.material?);
    let wrong = front == ToothMaterial::Porcelain && back != ToothMaterial::Porcelain;
    wrong.then(|| {
        at(
            "anterior.material",
            format!(
                "Front teeth are of porcelain, and back teeth of {}.",
                back.shown()
            ),
        )
    })?
}

fn against_natural(input: &Input<'_>) -> Option<Hit> {
    let natural = input
        .pieces()
        .iter()
        .any(|piece| matches!(piece.opposing, Some(Opposing::Natural | Opposing::Partial)));
    let chosen = [input.rx.anterior.material, input.rx.posterior.material]
        .contains(&Some(ToothMaterial::Porcelain));
    let pieces = input.pieces().iter().enumerate();
    let mut stated = pieces.filter_map(|(row, piece)| {
        let named = read(piece.materials.as_ref()?.as_str()).materials;
        let is_it = named.contains(&MaterialKind::PorcelainTeeth);
        is_it.then(|| format!("pieces.{row}.materials"))
    });
    let key = match chosen {
        true => Some("posterior.material".to_owned()),
        false => stated.next(),
    };
    let key = key.filter(|_| natural)?;
    at(key, "Porcelain teeth are ordered against natural teeth.")
}

fn off_pieces(input: &Input<'_>) -> Option<Hit> {
    let (front, back) = (input.rx.anterior.material?, input.rx.posterior.material?);
    let mut pieces = input.pieces().iter().enumerate();
    pieces.find_map(|(row, piece)| {
        let other = agreement::other_teeth(front, back, piece.materials.as_ref()?.as_str())?;
        let chosen = match front == back {
            true => front.shown().to_owned(),
            false => format!("{} and {}", front.shown(), back.shown()),
        };
        at(
            format!("pieces.{row}.materials"),
            format!(
                "The teeth are to be of {chosen}, and the materials of piece {} name {}.",
                row + 1,
                other.shown()
            ),
        )
    })
}

fn overlap(input: &Input<'_>) -> Option<Hit> {
    let (jet, bite) = (
        input.rx.occlusion.overjet_mm?,
        input.rx.occlusion.overbite_mm?,
    );
    // Edge to edge there is nothing to overlap.
    let is_edge = jet.hundredths() == 0 && bite.hundredths() >= 50;
    let wrong = is_edge || bite.hundredths() > 200 && bite.hundredths() > 2 * jet.hundredths();
    wrong.then(|| {
        at(
            "occlusion.overbite_mm",
            format!("{bite} mm of vertical overlap on {jet} mm of horizontal overlap."),
        )
    })?
}

fn cheek(input: &Input<'_>) -> Option<Hit> {
    let none = input
        .rx
        .occlusion
        .posterior_overlap_mm
        .is_some_and(|overlap| overlap.hundredths() == 0);
    let wrong = none && input.rx.occlusion.cross_bite.is_none();
    when(
        wrong,
        "occlusion.posterior_overlap_mm",
        "The back teeth are to overlap by 0 mm.",
    )
}

fn blocks(input: &Input<'_>) -> Option<Hit> {
    use ChangedPart as Part;
    let listed = input.rx.pattern.changes.iter().any(|change| {
        matches!(
            change.what,
            Some(
                Part::RightBlock
                    | Part::LeftBlock
                    | Part::UpperRightBack
                    | Part::UpperLeftBack
                    | Part::LowerRightBack
                    | Part::LowerLeftBack
                    | Part::UpperArch
                    | Part::LowerArch
                    | Part::Plane
            )
        )
    });
    let wrong = input.rx.posterior.block_shape == Some(BlockShape::Change) && !listed;
    when(
        wrong,
        "posterior.block_shape",
        "The bite blocks are to be changed as listed, and the change list names none.",
    )
}

fn blocks_without(input: &Input<'_>) -> Option<Hit> {
    let wrong = input.rx.posterior.block_shape == Some(BlockShape::Keep)
        && input.rx.pattern.source == Some(PatternSource::None);
    when(
        wrong,
        "posterior.block_shape",
        "The bite blocks of the pattern are to be kept, and there is no pattern.",
    )
}

fn blocks_and_moulds(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    let is_mould = teeth.choice == Some(ToothChoice::Mould)
        && (teeth.upper_mould.is_some() || teeth.lower_mould.is_some());
    when(
        is_mould && teeth.block_shape == Some(BlockShape::Keep),
        "posterior.block_shape",
        "The bite blocks are to be kept, and moulds of back teeth are named.",
    )
}

fn changed_and_left_out(input: &Input<'_>) -> Option<Hit> {
    let said = words(&input.rx.posterior.left_out);
    let mut rows = input.rx.pattern.changes.iter().enumerate();
    let (row, tooth) = rows.find_map(|(row, change)| {
        let is_removed = change.direction == Some(Direction::Remove);
        let tooth = change.tooth.filter(|_| !is_removed)?;
        let is_out = leaves_out(&said) && teeth_in(&said).any(|one| one == tooth);
        is_out.then_some((row, tooth))
    })?;
    at(
        format!("changes.{row}.tooth"),
        format!(
            "Change {} is of the {}, and “{said}” is to be left out.",
            row + 1,
            tooth.words()
        ),
    )
}

fn clearance(input: &Input<'_>) -> Option<Hit> {
    let occlusion = &input.rx.occlusion;
    let (room, jet) = (occlusion.front_clearance_mm?, occlusion.overjet_mm?);
    let wrong = room.hundredths() > 0 && jet.hundredths() < 0;
    wrong.then(|| {
        at(
            "occlusion.front_clearance_mm",
            format!("The front teeth are to stand {room} mm apart in centric, with a horizontal overlap of {jet} mm."),
        )
    })?
}

fn crossed(input: &Input<'_>) -> Option<Hit> {
    let occlusion = &input.rx.occlusion;
    let (cross, overlap) = (
        words(&occlusion.cross_bite),
        occlusion.posterior_overlap_mm?,
    );
    let of_both = ["both", "right and left", "left and right"];
    let is_both = of_both.iter().any(|words| cross.contains(words));
    (is_both && overlap.hundredths() > 0).then(|| {
        at(
            "occlusion.cross_bite",
            format!("The bite is crossed on both sides, and the back teeth are to overlap by {overlap} mm."),
        )
    })?
}

fn left_out(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    let counts = [
        ("posterior.teeth_upper", teeth.teeth_upper),
        ("posterior.teeth_lower", teeth.teeth_lower),
    ];
    let (key, count) = counts.into_iter().find_map(|(key, count)| {
        Some((key, count?.get())).filter(|(_, count)| *count < FULL_ARCH)
    })?;
    let wrong = teeth.left_out.is_none();
    wrong.then(|| {
        at(
            key,
            format!(
                "A denture of {count} teeth is ordered, and which ones are left out is not given."
            ),
        )
    })?
}

/// The teeth that a text names by two figures of the quadrant system, but for third molars.
fn teeth_in(text: &str) -> impl Iterator<Item = Tooth> {
    let words = text.split(|sign: char| !sign.is_alphanumeric());
    let teeth = words.filter_map(|word| {
        let number: u8 = word.parse().ok()?;
        Tooth::from_iso(number)
    });
    teeth.filter(|tooth| tooth.iso() % 10 != 8)
}

/// Whether a text leaves teeth out of a full arch of seven on a side, by number or in words: third molars are never in
/// it.
fn leaves_out(said: &str) -> bool {
    const NONE: &[&str] = &[
        "none", "no", "nil", "nothing", "not", "keine", "all", "full",
    ];
    let lower = said.to_lowercase();
    let words: Vec<&str> = lower
        .split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let is_none = words.first().is_none_or(|word| NONE.contains(word));
    let is_third = lower.contains("third molar") || lower.contains("wisdom");
    let others = [
        "first", "second", "premolar", "bicuspid", "canine", "incisor",
    ];
    let is_other = others.iter().any(|word| lower.contains(word));
    let is_stated = words.iter().any(|word| {
        let letters = word.chars().filter(|sign| sign.is_alphabetic()).count();
        letters > 3
    });
    let in_words = is_stated && (!is_third || is_other);
    !is_none && (teeth_in(said).next().is_some() || in_words)
}

fn full_all_the_same(input: &Input<'_>) -> Option<Hit> {
    let teeth = &input.rx.posterior;
    let said = words(&teeth.left_out);
    let counts = [teeth.teeth_upper, teeth.teeth_lower];
    let mut counts = counts.into_iter().flatten().map(|count| count.get());
    // Where one jaw has fewer teeth, the text is about that jaw.
    let least = counts.clone().min();
    if least.is_some_and(|least| least >= FULL_ARCH) && leaves_out(&said) {
        return at(
            "posterior.left_out",
            format!(
                "A denture of {} teeth is ordered, and “{said}” is to be left out.",
                counts.next().unwrap_or(FULL_ARCH)
            ),
        );
    }
    let is_full = |arch: Arch| {
        let (key, count) = match arch {
            Arch::Upper => ("posterior.teeth_upper", teeth.teeth_upper),
            Arch::Lower => ("posterior.teeth_lower", teeth.teeth_lower),
        };
        let count = count?.get();
        (count >= FULL_ARCH).then_some((key, count))
    };
    // Left out of the jaw that has fewer, by a number of the other.
    let of_other = teeth_in(&said).find_map(|tooth| Some((tooth, is_full(tooth.arch())?)));
    if let Some((tooth, (_, count))) = of_other.filter(|_| leaves_out(&said)) {
        return at(
            "posterior.left_out",
            format!(
                "The {} is to be left out, and in its jaw {count} teeth are ordered.",
                tooth.words()
            ),
        );
    }
    let changes = input.rx.pattern.changes.iter();
    let removed = changes.filter(|change| {
        change.what == Some(ChangedPart::Tooth) && change.direction == Some(Direction::Remove)
    });
    let mut by_row = removed.filter_map(|change| change.tooth);
    let (tooth, (key, count)) = by_row.find_map(|tooth| Some((tooth, is_full(tooth.arch())?)))?;
    at(
        key,
        format!(
            "A denture of {count} teeth is ordered, and the change list removes the {}.",
            tooth.words()
        ),
    )
}

fn overlap_unsaid(input: &Input<'_>) -> Option<Hit> {
    let occlusion = &input.rx.occlusion;
    let wrong = input.reaches(WITH_TEETH)
        && !input.has_pattern()
        && (occlusion.overjet_mm.is_none() || occlusion.overbite_mm.is_none());
    when(
        wrong,
        "occlusion.overjet_mm",
        "Overjet or overbite is not given.",
    )
}

/// One angle for both jaws beside an angle of each that is another.
fn two_angles(input: &Input<'_>) -> Option<Hit> {
    let back = &input.rx.posterior;
    let both = back.cusp_angle?;
    let (upper, lower) = (back.cusp_upper?, back.cusp_lower?);
    (upper != both || lower != both).then(|| {
        at(
            "posterior.cusp_angle",
            format!(
                "Cusps of {} are ordered for both jaws, {} for the upper and {} for the lower.",
                both.shown(),
                upper.shown(),
                lower.shown()
            ),
        )
    })?
}

/// Numbers of teeth in words. Common practice, no source: a complete denture has ten to sixteen.
const COUNTS: &[(&str, i64)] = &[
    ("ten", 10),
    ("eleven", 11),
    ("twelve", 12),
    ("thirteen", 13),
    ("fourteen", 14),
    ("fifteen", 15),
    ("sixteen", 16),
];

/// The number of teeth that a text tells: "12 teeth", "twelve teeth".
fn teeth_stated(text: &str) -> Option<i64> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let mut pairs = words.windows(2);
    pairs.find_map(|pair| match pair {
        [number, "teeth"] => {
            let written = COUNTS.iter().find(|(word, _)| word == number);
            let count = written.map(|(_, count)| *count);
            let count = count.or_else(|| number.parse::<i64>().ok());
            count.filter(|number| (10..=16).contains(number))
        }
        _ => None,
    })
}

fn counted_twice(input: &Input<'_>) -> Option<Hit> {
    let mut pieces = input.pieces().iter().enumerate();
    pieces.find_map(|(row, piece)| {
        let ordered = match piece.arch? {
            Arch::Upper => input.rx.posterior.teeth_upper?.get(),
            Arch::Lower => input.rx.posterior.teeth_lower?.get(),
        };
        let texts = [
            ("description", &piece.description),
            ("materials", &piece.materials),
        ];
        texts.into_iter().find_map(|(field, text)| {
            let stated = teeth_stated(text.as_ref()?.as_str()).filter(|stated| *stated != ordered)?;
            at(
                format!("pieces.{row}.{field}"),
                format!(
                    "The text of piece {} says {stated} teeth, and {ordered} are ordered in that jaw.",
                    row + 1
                ),
            )
        })
    })
}
