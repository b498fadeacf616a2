//! Codes of moulds and tabs against the lists that lab and office have loaded.
//!
//! That a code is not there is a remark only: a list may be behind the drawer, and whoever wrote the code may know
//! better. A size that differs from that of the mould is asked about: one of the two is meant.

use super::input::Input;
use super::rule::{Hit, Rule, at, caution, remark};
use super::sources::{CROWNS, PRACTICE};
use crate::domain::form::Text;
use crate::domain::prescription::{CuspAngle, ToothForm};
use crate::domain::trade::lists::{ListKind, MouldList};
use crate::domain::trade::mould::{Mould, Region};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::tenths;

/// The rules about codes against the loaded lists, in the order of their findings.
pub const RULES: &[Rule] = &[
    remark(
        "mould-not-in-the-labs-list",
        unknown_mould,
        "What the lab does not keep it has to order, or to ask about.",
        PRACTICE,
    ),
    caution(
        "mould-of-another-size",
        off_its_mould,
        "The mould and the size are two orders: the lab has to guess which one is meant.",
        PRACTICE,
    ),
    caution(
        "back-moulds-of-two-sizes",
        unlike_moulds,
        "Posterior teeth of two sizes do not meet cusp to fossa along the row.",
        CROWNS,
    ),
    remark(
        "mould-out-of-stock",
        out_of_stock,
        "Ordering the teeth takes days that the date wanted may not have.",
        PRACTICE,
    ),
    remark(
        "tab-not-in-the-guide",
        unknown_tab,
        "A code with a slip of the pen is another color, or none.",
        PRACTICE,
    ),
];

/// A mould that is named, and the place it is for.
struct Named<'a> {
    key: &'static str,
    arch: Arch,
    region: Region,
    code: &'a str,
}

fn moulds<'a>(input: &Input<'a>) -> Vec<Named<'a>> {
    let (front, back) = (&input.rx.anterior, &input.rx.posterior);
    let (upper, lower) = (Arch::Upper, Arch::Lower);
    let all = [
        (
            "anterior.upper_mould",
            upper,
            Region::Front,
            &front.upper_mould,
        ),
        (
            "anterior.lower_mould",
            lower,
            Region::Front,
            &front.lower_mould,
        ),
        (
            "posterior.upper_mould",
            upper,
            Region::Back,
            &back.upper_mould,
        ),
        (
            "posterior.lower_mould",
            lower,
            Region::Back,
            &back.lower_mould,
        ),
    ];
    all.into_iter()
        .filter_map(|(key, arch, region, code)| {
            Some(Named {
                key,
                arch,
                region,
                code: code.as_ref()?.as_str(),
            })
        })
        .collect()
}

/// "“Otter 9” for upper front teeth"
fn words(named: &Named<'_>) -> String {
    let (arch, region) = (named.arch.shown(), named.region.shown());
    format!("“{}” for {arch} {region}", named.code)
}

/// The moulds of which `wrong` holds, at the first of them.
fn hit(
    input: &Input<'_>,
    wrong: impl Fn(&MouldList, &Named<'_>) -> bool,
    sentence: impl Fn(&str, &str) -> String,
) -> Option<Hit> {
    let list = input.setting.lists.moulds.as_deref()?;
    let mut named = moulds(input);
    named.retain(|one| wrong(list, one));
    let key = named.first()?.key;
    let words: Vec<String> = named.iter().map(words).collect();
    at(key, sentence(&words.join(", "), &list.source()))
}

fn unknown_mould(input: &Input<'_>) -> Option<Hit> {
    hit(
        input,
        |list, one| list.find(one.code, one.arch, one.region).is_none(),
        |words, list| format!("Not in {list}: {words}."),
    )
}

fn out_of_stock(input: &Input<'_>) -> Option<Hit> {
    hit(
        input,
        |list, one| {
            let found = list.find(one.code, one.arch, one.region);
            found.is_some_and(|mould| mould.stock == Some(0))
        },
        |words, list| format!("None in stock by {list}: {words}."),
    )
}

/// How far a width of six teeth and a length of one may lie from those of the mould, in mm: the nearest mould is never
/// the very size. Common practice, no source.
const WIDTH_OFF: f64 = 2.0;
const LENGTH_OFF: f64 = 1.0;
/// How much of a mould's length the gum of the base covers at most: the length that is ordered is of the finished tooth, from
/// the gum line to the edge. Common practice, no source.
const UNDER_THE_GUM: f64 = 3.0;
/// How much longer the lower posterior teeth of one side are than the upper, in mm: 2.5 by average crowns.
const LOWER_LONGER: std::ops::RangeInclusive<f64> = 0.0..=5.0;
/// Rounding must not push a value over a limit.
const SLACK: f64 = 1e-9;

fn found<'a>(input: &Input<'a>, of: (Arch, Region)) -> Option<&'a Mould> {
    let list = input.setting.lists.moulds.as_deref()?;
    let named = moulds(input);
    let one = named.iter().find(|one| (one.arch, one.region) == of)?;
    list.find(one.code, one.arch, one.region)
}

/// Two words for a form that share nothing.
fn is_other_form(one: ToothForm, two: ToothForm) -> bool {
    let mut words = one.word().split('_');
    !words.any(|word| two.word().split('_').any(|other| other == word))
}

/// The size of the upper front mould against what is asked for: the field, what it says, what the list says.
fn front_off(input: &Input<'_>) -> Option<(&'static str, String, String)> {
    let (teeth, mould) = (
        &input.rx.anterior,
        found(input, (Arch::Upper, Region::Front))?,
    );
    let width = teeth.width_mm.filter(|width| {
        let is_alike = teeth.width_method == Some(mould.width.method);
        is_alike && (width.to_f64() - mould.width.mm).abs() > WIDTH_OFF + SLACK
    });
    if let Some(width) = width {
        let listed = tenths(mould.width.mm);
        return Some((
            "anterior.width_mm",
            format!("{width} mm wide"),
            format!("{listed} mm"),
        ));
    }
    let length = teeth.central_length_mm.zip(mould.length_mm);
    if let Some((length, listed)) = length.filter(|(length, listed)| {
        let covered = listed - length.to_f64();
        !(-LENGTH_OFF - SLACK..=UNDER_THE_GUM + SLACK).contains(&covered)
    }) {
        let said = format!("{length} mm long from gum line to edge when finished");
        return Some((
            "anterior.central_length_mm",
            said,
            format!("{} mm", tenths(listed)),
        ));
    }
    let (form, listed) = teeth.form.zip(mould.form)?;
    is_other_form(form, listed).then(|| {
        (
            "anterior.form",
            form.shown().to_owned(),
            listed.shown().to_owned(),
        )
    })
}

/// The cusps of a posterior mould against the angle that is asked for.
fn cusps_off(input: &Input<'_>) -> Option<(&'static str, String, String)> {
    let back = &input.rx.posterior;
    [Arch::Upper, Arch::Lower].into_iter().find_map(|arch| {
        let listed = found(input, (arch, Region::Back))?.cusp_degrees?;
        let angle = back
            .cusps(arch)
            .filter(|angle| *angle != CuspAngle::Pattern)?;
        let degrees: f64 = angle.word().parse().ok()?;
        let key = match (back.cusp_upper, back.cusp_lower, arch) {
            (Some(_), _, Arch::Upper) => "posterior.cusp_upper",
            (_, Some(_), Arch::Lower) => "posterior.cusp_lower",
            _ => "posterior.cusp_angle",
        };
        let is_off = (degrees - listed).abs() > SLACK;
        is_off.then(|| {
            (
                key,
                format!("cusps of {}", angle.shown()),
                format!("{}°", tenths(listed)),
            )
        })
    })
}

fn off_its_mould(input: &Input<'_>) -> Option<Hit> {
    let list = input.setting.lists.moulds.as_deref()?;
    let (key, said, listed) = front_off(input).or_else(|| cusps_off(input))?;
    at(
        key,
        format!(
            "Ordered are teeth {said}; the mould that is named has {listed} by {}.",
            list.source()
        ),
    )
}

fn unlike_moulds(input: &Input<'_>) -> Option<Hit> {
    let (upper, lower) = (
        found(input, (Arch::Upper, Region::Back))?,
        found(input, (Arch::Lower, Region::Back))?,
    );
    let longer = lower.width.mm - upper.width.mm;
    let is_alike = upper.width.method == lower.width.method;
    (is_alike && !(LOWER_LONGER.start() - SLACK..=LOWER_LONGER.end() + SLACK).contains(&longer)).then(|| {
        at(
            "posterior.lower_mould",
            format!(
                "The upper posterior teeth “{}” are {} mm long on a side, and the lower “{}” {} mm; the lower are usually 2 to 3 mm longer.",
                upper.code,
                tenths(upper.width.mm),
                lower.code,
                tenths(lower.width.mm)
            ),
        )
    })?
}

fn unknown_tab(input: &Input<'_>) -> Option<Hit> {
    let (shade, base) = (&input.rx.shade, &input.rx.base_shade);
    let (teeth, gum) = (ListKind::ToothGuide, ListKind::BaseGuide);
    [
        ("shade.tab", teeth, &shade.guide, &shade.tab),
        (
            "shade.posterior_tab",
            teeth,
            &shade.guide,
            &shade.posterior_tab,
        ),
        ("base_shade.code", gum, &base.guide, &base.code),
    ]
    .into_iter()
    .find_map(|(key, kind, guide, tab)| {
        let (name, tab) = (guide.as_ref().map(Text::as_str)?, tab.as_ref()?.as_str());
        let guide = input.setting.lists.guide(kind, name)?;
        if guide.find(tab).is_some() {
            return None;
        }
        at(key, format!("“{tab}” is not a tab of {}.", guide.source()))
    })
}
