//! The lab's moulds beside the typed sizes: what the named ones are, the nearest ones, and whether the
//! posterior teeth fit into the room.
//!
//! Moulds are ranked by what is typed, with how far each is off; what decides the order is said with it.
//! A list may be behind the drawer, so stock is told and never sorted by.

use super::teeth::per_side;
use super::{Number, or_why, tenths};
use crate::domain::form::Text;
use crate::domain::prescription::{Anterior, CuspAngle, Posterior, Prescription, WidthMethod};
use crate::domain::trade::lists::MouldList;
use crate::domain::trade::mould::{self, Mould, Nearness, Ranking, Region, WantedMould};
use crate::domain::trade::selection::{self, SpanWidth};
use crate::domain::values::arch::Arch;
use crate::domain::values::words::capitalised;

/// Nearest moulds shown.
const SHOWN: usize = 3;
/// Radius of the front of an arch, mm, for lists that have only the other kind of width. Common practice,
/// no source.
const RADIUS_MM: f64 = 25.0;

pub fn add(document: &Prescription, list: &MouldList, numbers: &mut Vec<Number>) {
    front(&document.anterior, list, numbers);
    back(&document.posterior, list, numbers);
}

fn front(teeth: &Anterior, list: &MouldList, numbers: &mut Vec<Number>) {
    const SECTION: &str = "anterior";
    for (arch, code) in [
        (Arch::Upper, &teeth.upper_mould),
        (Arch::Lower, &teeth.lower_mould),
    ] {
        numbers.extend(named(SECTION, arch, Region::Front, code.as_ref(), list));
    }
    let Some(width) = teeth.width_mm else {
        return;
    };
    let Some(method) = teeth.width_method else {
        let why =
            "Straight or along the curve: the list cannot be compared until the method is chosen.";
        numbers.push(Number::none(SECTION, "Nearest upper mould", why));
        return;
    };
    let wanted = WantedMould {
        arch: Arch::Upper,
        region: Region::Front,
        width: SpanWidth {
            mm: width.to_f64(),
            method,
        },
        length_mm: teeth.central_length_mm.map(|mm| mm.to_f64()),
        form: teeth.form,
        cusp_degrees: None,
        arch_radius_mm: None,
        in_stock: false,
    };
    numbers.extend(nearest(SECTION, &wanted, list));
}

fn back(teeth: &Posterior, list: &MouldList, numbers: &mut Vec<Number>) {
    const SECTION: &str = "posterior";
    for (arch, code) in [
        (Arch::Upper, &teeth.upper_mould),
        (Arch::Lower, &teeth.lower_mould),
    ] {
        numbers.extend(named(SECTION, arch, Region::Back, code.as_ref(), list));
    }
    numbers.extend(room(teeth, list));
    let Some(space) = teeth.length_mm else {
        return;
    };
    let wanted = WantedMould {
        arch: Arch::Lower,
        region: Region::Back,
        width: SpanWidth {
            mm: space.to_f64(),
            method: WidthMethod::Caliper,
        },
        length_mm: None,
        form: None,
        cusp_degrees: teeth.cusps(Arch::Lower).and_then(degrees),
        arch_radius_mm: None,
        in_stock: false,
    };
    numbers.extend(nearest(SECTION, &wanted, list));
}

/// The angle of the cusps, where it is one.
fn degrees(angle: CuspAngle) -> Option<f64> {
    angle.word().parse().ok()
}

/// "upper front"
fn place(arch: Arch, region: Region) -> String {
    let region = match region {
        Region::Front => "front",
        Region::Back => "posterior",
    };
    format!("{} {region}", arch.shown())
}

/// With its sign, so that nobody has to ask which of the two is larger.
fn signed(mm: f64) -> String {
    let text = tenths(mm);
    if text.starts_with('-') || text == "0" {
        text
    } else {
        format!("+{text}")
    }
}

/// What the list says of a mould besides its width.
fn facts(mould: &Mould) -> Vec<String> {
    let length = mould.length_mm.map(|mm| format!("{} mm long", tenths(mm)));
    let form = mould.form.map(|form| form.shown().to_owned());
    let cusps = mould
        .cusp_degrees
        .map(|cusps| format!("cusps of {}°", tenths(cusps)));
    let stock = match mould.stock {
        None => "stock not said".to_owned(),
        Some(0) => "none in stock".to_owned(),
        Some(count) => format!("{count} in stock"),
    };
    [length, form, cusps, Some(stock)]
        .into_iter()
        .flatten()
        .collect()
}

fn basis(method: WidthMethod) -> &'static str {
    match method {
        WidthMethod::Caliper => "straight",
        WidthMethod::Curve => "along the curve",
    }
}

/// The mould that the prescription names.
fn named(
    section: &'static str,
    arch: Arch,
    region: Region,
    code: Option<&Text>,
    list: &MouldList,
) -> Option<Number> {
    let code = code?.as_str();
    let label = format!("Mould {code}, {}", place(arch, region));
    let Some(mould) = list.find(code, arch, region) else {
        let why = format!(
            "Not among the {} moulds of {}.",
            place(arch, region),
            list.source()
        );
        return Some(Number::none(section, label, why));
    };
    let mut said = vec![basis(mould.width.method).to_owned()];
    said.extend(facts(mould));
    let number = Number::new(section, label, tenths(mould.width.mm), "mm")
        .note(capitalised(&format!("{}.", said.join(", "))))
        .source(list.source());
    Some(number)
}

/// The nearest moulds with how far they are off.
fn nearest(section: &'static str, wanted: &WantedMould, list: &MouldList) -> Vec<Number> {
    let label = format!("Nearest {} mould", place(wanted.arch, wanted.region));
    let ranked = ranking(wanted, list);
    let (criteria, ranking) = match ranked {
        Ok(ranked) => ranked,
        Err(why) => return vec![Number::none(section, label, why)],
    };
    if ranking.nearest.is_empty() {
        let why = format!(
            "{} has no {} mould that can be compared.",
            list.source(),
            place(wanted.arch, wanted.region)
        );
        return vec![Number::none(section, label, capitalised(&why))];
    }
    let count = ranking.nearest.len();
    let shown = ranking.nearest.iter().take(SHOWN).enumerate();
    let mut numbers: Vec<Number> = shown
        .map(|(place, near)| {
            let label = format!("{label} {}: {}", place + 1, near.mould.code);
            one_near(section, label, wanted, near).source(list.source())
        })
        .collect();
    if let Some(first) = numbers.first_mut() {
        let others = match ranking.not_comparable.len() {
            0 => String::new(),
            others => format!(" {others} with the other kind of width are left aside."),
        };
        *first = first
            .clone()
            .note(format!("Of {count}, ordered {criteria}.{others}"));
    }
    numbers
}

/// The moulds by nearness, and by what they are ordered, in words. Where no mould meets form or cusps, these
/// are dropped; where all have the other kind of width, it is carried over.
fn ranking<'a>(wanted: &WantedMould, list: &'a MouldList) -> Result<(String, Ranking<'a>), String> {
    let mut wanted = *wanted;
    let mut by = vec![match wanted.length_mm {
        Some(_) => "by width and length together".to_owned(),
        None => "by width".to_owned(),
    }];
    let any = |wanted: &WantedMould| {
        mould::nearest(&list.moulds, wanted)
            .map(|found| !(found.nearest.is_empty() && found.not_comparable.is_empty()))
    };
    if let Some(form) = wanted.form {
        if any(&wanted)? {
            by.push(format!("{} ones only", form.shown()));
        } else {
            wanted.form = None;
            by.push(format!("since none is {}, of any form", form.shown()));
        }
    }
    if let Some(cusps) = wanted.cusp_degrees {
        if any(&wanted)? {
            by.push(format!("with cusps of {}° only", tenths(cusps)));
        } else {
            wanted.cusp_degrees = None;
            by.push(format!(
                "since none has cusps of {}°, of any angle",
                tenths(cusps)
            ));
        }
    }
    let mut found = mould::nearest(&list.moulds, &wanted)?;
    if found.nearest.is_empty() && !found.not_comparable.is_empty() {
        wanted.arch_radius_mm = Some(RADIUS_MM);
        found = mould::nearest(&list.moulds, &wanted)?;
        by.push(format!(
            "their widths carried over on an arch of {RADIUS_MM} mm radius (common practice, not measured)"
        ));
    }
    if wanted.region == Region::Back {
        // What does not fit comes last: a tooth on the slope is no near miss. The sort keeps the order.
        found.nearest.sort_by_key(|near| !fits(near));
        by.push("those that fit into the room first".to_owned());
    }
    Ok((by.join(", "), found))
}

/// A thousandth of a millimetre of rounding still fits.
fn fits(near: &Nearness<'_>) -> bool {
    near.width_off_mm <= 0.001
}

fn one_near(
    section: &'static str,
    label: String,
    wanted: &WantedMould,
    near: &Nearness<'_>,
) -> Number {
    let mould = near.mould;
    let mut said = vec![format!(
        "{} mm {}",
        tenths(mould.width.mm),
        basis(mould.width.method)
    )];
    said.extend(facts(mould));
    if let Some(off) = near.length_off_mm {
        said.push(format!("length {} mm off", signed(off)));
    }
    let range = match wanted.region {
        Region::Front => "0 is as wide as given",
        Region::Back => "less than 0 leaves room",
    };
    Number::new(section, label, signed(near.width_off_mm), "mm")
        .range(range)
        .note(format!("{}.", said.join(", ")))
}

/// The chosen lower posterior teeth of one side against the measured room.
fn room(teeth: &Posterior, list: &MouldList) -> Option<Number> {
    let space = teeth.length_mm?;
    let code = teeth.lower_mould.as_ref()?.as_str();
    let mould = list.find(code, Arch::Lower, Region::Back)?;
    let label = format!("Room left with mould {code}");
    let number = per_side(teeth.teeth_lower).and_then(|count| {
        // The list has the width of the whole side; only the sum matters here.
        let each = mould.width.mm / count.max(1) as f64;
        let room = selection::room(&vec![each; count], space.to_f64())?;
        let number = Number::new("posterior", &*label, tenths(room.left_mm), "mm")
            .range("0 mm or more")
            .note(format!(
                "{space} mm measured, {} mm for the posterior teeth of one side as the lab’s list has them. {}",
                tenths(room.teeth_mm),
                room.advice()
            ))
            .source(format!("{}; advice: common practice, no source", list.source()));
        let number = match mould.width.method {
            WidthMethod::Caliper => number,
            WidthMethod::Curve => number.note("The list has it along the curve, and straight it is less."),
        };
        Ok(match count {
            4 => number,
            _ => number.note("The list counts a whole side; with other than four teeth it is another sum."),
        })
    });
    Some(or_why("posterior", &label, number))
}
