//! Borders and relief.

use super::criteria::lacks;
use super::input::{Input, no, rows_named, rows_where, words, yes};
use super::rule::{Hit, Rule, at, caution, remark, when};
use super::sources::PRACTICE;
use crate::domain::prescription::{BorderOrder, Relief, Stage, SurfaceSource};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::Mm;

/// Deeper than this no relief is usual. Common practice, no source.
const DEEP: Mm = Mm::from_hundredths(200);

/// The rules about borders and relief, in the order of their findings.
pub const RULES: &[Rule] = &[
    caution(
        "criterion-19-borders",
        unsaid,
        "A border trimmed at the bench is a border that the mouth had formed.",
        PRACTICE,
    ),
    caution(
        "borders-change-undescribed",
        undescribed,
        "Where and how far is not for the lab to find out.",
        PRACTICE,
    ),
    caution(
        "borders-trimmed-and-kept",
        contradiction,
        "Trimming borders of a surface that is to stay untouched cannot be done.",
        PRACTICE,
    ),
    caution(
        "relief-without-place",
        place,
        "Relief in the wrong place rocks the denture.",
        PRACTICE,
    ),
    caution(
        "relief-without-amount",
        amount,
        "Relief is a foil of some thickness, and the lab has several.",
        PRACTICE,
    ),
    caution(
        "relief-deep",
        deep,
        "A foil of half a millimeter to one is usual; a hollow that deep fills with tissue or food.",
        PRACTICE,
    ),
    caution(
        "relief-refused-and-listed",
        refused,
        "The lab lays the foil or leaves it out: of the two orders one is wrong.",
        PRACTICE,
    ),
    caution(
        "border-roll-unusual",
        roll,
        "A thin border cuts, and a thick one fills the vestibule and lifts the denture.",
        PRACTICE,
    ),
    remark(
        "pad-cover-unsaid",
        pad,
        "The lower denture rests on the retromolar pads.",
        PRACTICE,
    ),
];

fn unsaid(input: &Input<'_>) -> Option<Hit> {
    // Of a tray alone its own border is asked for.
    let trays = input
        .pieces()
        .iter()
        .all(|piece| piece.stage == Some(Stage::Tray));
    when(
        lacks(input, 19) && (!trays || input.pieces().is_empty()),
        "borders.order",
        "Whether the borders are kept, trimmed or extended is not given.",
    )
}

fn is_changed(input: &Input<'_>) -> bool {
    matches!(
        input.rx.borders.order,
        Some(BorderOrder::Trim | BorderOrder::Extend)
    )
}

fn undescribed(input: &Input<'_>) -> Option<Hit> {
    let borders = &input.rx.borders;
    let texts = [
        &borders.posterior_upper,
        &borders.lingual_flange,
        &borders.frena,
        &borders.tori,
    ];
    let said = borders.note.is_some() || texts.iter().any(|text| text.is_some());
    when(
        is_changed(input) && !said,
        "borders.note",
        "The borders are to be trimmed or extended as described, and nothing is described.",
    )
}

fn contradiction(input: &Input<'_>) -> Option<Hit> {
    let kept = yes(input.rx.impression.keep_surface)
        && input.rx.impression.source == Some(SurfaceSource::Functional);
    let wrong = kept && input.rx.borders.order == Some(BorderOrder::Trim);
    when(
        wrong,
        "borders.order",
        "The borders are to be trimmed, and the functional surface is to be kept untouched.",
    )
}

fn in_rows(input: &Input<'_>, field: &str, wrong: fn(&Relief) -> bool, said: &str) -> Option<Hit> {
    let rows = rows_where(&input.rx.borders.reliefs, wrong);
    let row = rows.first()?;
    at(
        format!("reliefs.{row}.{field}"),
        format!("{}: {said}", rows_named("Relief", &rows)),
    )
}

fn place(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "place",
        |relief| relief.place.is_none(),
        "where is not given.",
    )
}

fn amount(input: &Input<'_>) -> Option<Hit> {
    in_rows(
        input,
        "mm",
        |relief| relief.mm.is_none_or(|mm| mm.hundredths() == 0),
        "by how much is not given.",
    )
}

fn deep(input: &Input<'_>) -> Option<Hit> {
    let reliefs = input.rx.borders.reliefs.iter().enumerate();
    let mut reliefs = reliefs.filter_map(|(row, relief)| Some((row, relief.mm?)));
    let (row, mm) = reliefs.find(|(_, mm)| *mm > DEEP)?;
    at(
        format!("reliefs.{row}.mm"),
        format!("Relief {}: it is to be {mm} mm deep.", row + 1),
    )
}

/// Which relief is refused by its field, and by which word of a place it is listed all the same.
fn refused(input: &Input<'_>) -> Option<Hit> {
    let borders = &input.rx.borders;
    let fields: [(_, &[&str], _); 3] = [
        (borders.papilla, &["papilla"], "the incisive papilla"),
        (
            borders.mid_palate,
            &[
                "mid palat",
                "middle of the palat",
                "midline of the palat",
                "raphe",
                "mid palate",
            ],
            "the middle of the palate",
        ),
        (borders.mental, &["mental"], "the mental foramina"),
    ];
    let listed = |names: &[&str]| {
        let is_named = |relief: &Relief| {
            let place = words(&relief.place).replace('-', " ");
            let is_some = relief.mm.is_some_and(|mm| mm.hundredths() > 0);
            is_some && names.iter().any(|name| place.contains(name))
        };
        borders.reliefs.iter().position(is_named)
    };
    let mut fields = fields.into_iter().filter(|(answer, ..)| no(*answer));
    let (row, what) = fields.find_map(|(_, names, what)| Some((listed(names)?, what)))?;
    at(
        format!("reliefs.{row}.place"),
        format!(
            "Relief {} is for {what}, which is not to be relieved by its own answer.",
            row + 1
        ),
    )
}

/// The roll of a border, in hundredths of a millimetre. Common practice, no source.
const USUAL_ROLL: std::ops::RangeInclusive<i64> = 100..=500;

fn roll(input: &Input<'_>) -> Option<Hit> {
    let roll = input.rx.borders.thickness_mm?;
    (!USUAL_ROLL.contains(&roll.hundredths())).then(|| {
        at(
            "borders.thickness_mm",
            format!("The roll of the border is to be {roll} mm thick; 2 to 3 mm are usual."),
        )
    })?
}

fn pad(input: &Input<'_>) -> Option<Hit> {
    let wrong =
        input.orders(Arch::Lower) && is_changed(input) && input.rx.borders.pad_cover.is_none();
    when(
        wrong,
        "borders.pad_cover",
        "Borders of a lower denture are changed, and the cover of the retromolar pads is not given.",
    )
}
