//! Borders and relief.

use super::criteria::lacks;
use super::look::{Look, rows_named, rows_where, yes};
use super::rule::{Hit, Rule, at, caution, remark, when};
use super::sources::PRACTICE;
use crate::domain::arch::Arch;
use crate::domain::prescription::{BorderOrder, Relief, SurfaceSource};

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
    remark(
        "pad-cover-unsaid",
        pad,
        "The lower denture rests on the retromolar pads.",
        PRACTICE,
    ),
];

fn unsaid(look: &Look<'_>) -> Option<Hit> {
    when(
        lacks(look, 19),
        "borders.order",
        "Whether the borders are kept, trimmed or extended is not said.",
    )
}

fn is_changed(look: &Look<'_>) -> bool {
    matches!(
        look.rx.borders.order,
        Some(BorderOrder::Trim | BorderOrder::Extend)
    )
}

fn undescribed(look: &Look<'_>) -> Option<Hit> {
    let borders = &look.rx.borders;
    let texts = [
        &borders.posterior_upper,
        &borders.lingual_flange,
        &borders.frena,
        &borders.tori,
    ];
    let told = borders.note.is_some() || texts.iter().any(|text| text.is_some());
    when(
        is_changed(look) && !told,
        "borders.note",
        "The borders are to be trimmed or extended as described, and nothing is described.",
    )
}

fn contradiction(look: &Look<'_>) -> Option<Hit> {
    let kept = yes(look.rx.impression.keep_surface)
        && look.rx.impression.source == Some(SurfaceSource::Functional);
    let wrong = kept && look.rx.borders.order == Some(BorderOrder::Trim);
    when(
        wrong,
        "borders.order",
        "The borders are to be trimmed, and the functional surface is to be kept untouched.",
    )
}

fn in_rows(look: &Look<'_>, field: &str, wrong: fn(&Relief) -> bool, said: &str) -> Option<Hit> {
    let rows = rows_where(&look.rx.borders.reliefs, wrong);
    let row = rows.first()?;
    at(
        format!("reliefs.{row}.{field}"),
        format!("{}: {said}", rows_named("Relief", &rows)),
    )
}

fn place(look: &Look<'_>) -> Option<Hit> {
    in_rows(
        look,
        "place",
        |relief| relief.place.is_none(),
        "where is not said.",
    )
}

fn amount(look: &Look<'_>) -> Option<Hit> {
    in_rows(
        look,
        "mm",
        |relief| relief.mm.is_none_or(|mm| mm.hundredths() == 0),
        "by how much is not said.",
    )
}

fn pad(look: &Look<'_>) -> Option<Hit> {
    let wrong = look.orders(Arch::Lower) && is_changed(look) && look.rx.borders.pad_cover.is_none();
    when(
        wrong,
        "borders.pad_cover",
        "Borders of a lower denture are changed, and the cover of the retromolar pads is not said.",
    )
}
