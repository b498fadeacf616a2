//! What follows from other fields, by the computations of the trade.

use super::known::{OnRecord, one};
use super::layers::Layers;
use super::work::opposing_arch;
use crate::domain::custody::mouth::worn_in;
use crate::domain::form::{Day, MOST_ROWS, YesNo};
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::course::{PieceOf, SectionPlace, piece_of, place};
use crate::domain::prescription::sources::{AS_PATTERN, Origin};
use crate::domain::prescription::{
    Course, CuspAngle, MakerOfSpare, Opposing, Prescription, SpareArch, Stage, read,
};
use crate::domain::trade::agreement::{listed_incisal_length, listed_midline};
use crate::domain::trade::calendar::first_check;
use crate::domain::trade::changes::net;
use crate::domain::trade::lists::ListKind;
use crate::domain::trade::mould::Region;
use crate::domain::trade::vertical::summarise;
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::Mm;
use crate::domain::values::moment::show_date;

fn say(layers: &mut Layers<'_>, key: &str, text: &str) {
    layers.offer(Origin::Computed, key, text);
}

/// Everything that other fields give.
pub fn offer(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    let rx = read(&layers.fields(), known.numbering).document;
    offer_heights(layers, &rx);
    offer_changes(layers, &rx);
    offer_mounting(layers);
    offer_teeth(layers, known, course);
    if matches!(layers.says("marking.answer"), Some("accepted" | "declined")) {
        say(layers, "marking.offered", "yes");
    }
    let insertion = rx.dates.insertion.map(Day::date);
    if let Some(day) = insertion.filter(|_| layers.is("marking.answer", "accepted")) {
        // The year in which it goes in tells this set from the next.
        say(layers, "marking.year", &day.year().to_string());
    }
    let check = insertion.and_then(|day| first_check(day, &known.lists.office_open()).ok());
    if let Some(check) = check {
        say(layers, "dates.first_check", &show_date(check));
    }
    if let Some(wanted) = rx.dates.wanted {
        let wanted = show_date(wanted.date());
        for row in layers.rows("returns").into_iter().take(MOST_ROWS) {
            say(layers, &format!("returns.{row}.due"), &wanted);
        }
    }
    offer_pieces(layers, known, course, &rx);
}

/// The means of the readings.
fn offer_heights(layers: &mut Layers<'_>, rx: &Prescription) {
    let readings = &rx.vertical.readings;
    let rest: Vec<Mm> = readings.iter().filter_map(|one| one.rest_mm).collect();
    let occlusal: Vec<Mm> = readings.iter().filter_map(|one| one.occlusal_mm).collect();
    for (key, read) in [
        ("vertical.rest_mm", rest),
        ("vertical.occlusal_mm", occlusal),
    ] {
        if let Ok(summary) = summarise(&read) {
            say(layers, key, &summary.mean.to_string());
        }
    }
}

/// Midline and incisal length against the pattern, by the change list; nothing listed is nothing moved.
fn offer_changes(layers: &mut Layers<'_>, rx: &Prescription) {
    let is_copied = layers.is(AS_PATTERN, "yes")
        && (layers.is("anterior.arrangement", "copy_exactly")
            || layers.is("anterior.arrangement", "copy_with_changes"));
    if !is_copied {
        return;
    }
    let net = net(&rx.pattern.changes);
    let midline = listed_midline(&net);
    let size = Mm::from_hundredths(midline.hundredths().saturating_abs());
    say(layers, "anterior.midline_offset_mm", &size.to_string());
    match midline.hundredths() {
        0 => {}
        1.. => say(layers, "anterior.midline_side", "right"),
        _ => say(layers, "anterior.midline_side", "left"),
    }
    let longer = listed_incisal_length(&net);
    // A length that stays is the pattern's own: to print and to measure a change of none helps nobody.
    if longer.hundredths() != 0 {
        say(layers, "anterior.incisal_change_mm", &longer.to_string());
    }
}

/// What the facebow record gives the articulator.
fn offer_mounting(layers: &mut Layers<'_>) {
    if layers.is("facebow.made", "no") && !layers.is("facebow.kept_mounting", "yes") {
        say(layers, "facebow.plane", "none");
        say(layers, "guidance.articulator", "average");
    }
    let plane = layers.says("facebow.plane").map(str::to_owned);
    let third = match plane.as_deref() {
        Some("frankfort" | "axis_orbital") => "orbitale",
        Some("camper") => "ala",
        Some("occlusal") => "incisor_mark",
        _ => "",
    };
    say(layers, "facebow.third_point", third);
    let plane = plane.filter(|plane| plane != "none" && layers.is("facebow.made", "yes"));
    let plane = plane.filter(|_| layers.says("guidance.source").is_some());
    say(layers, "guidance.plane", &plane.unwrap_or_default());
}

/// Teeth and shades: where they come from once they are named, and the office's only guide.
fn offer_teeth(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course) {
    for section in ["anterior", "posterior"] {
        let of = |field: &str| format!("{section}.{field}");
        let is_named = ["upper_mould", "lower_mould"]
            .into_iter()
            .any(|field| layers.says(&of(field)).is_some());
        if is_named {
            say(layers, &of("choice"), "mould");
        }
    }
    offer_listed_posteriors(layers, known);
    let only = |kind: ListKind| one(known.lists.guides_of(kind)).map(|guide| guide.name.clone());
    if layers.says("shade.tab").is_some() {
        say(layers, "shade.source", "tab");
        let guide = only(ListKind::ToothGuide).unwrap_or_default();
        say(layers, "shade.guide", &guide);
    }
    if layers.says("base_shade.code").is_some() {
        let guide = only(ListKind::BaseGuide).unwrap_or_default();
        say(layers, "base_shade.guide", &guide);
    }
    let is_spared = matches!(layers.says("spare.arch"), Some("upper" | "lower" | "both"));
    if is_spared && course != Course::Everything {
        let tab = layers.says("shade.tab").unwrap_or_default().to_owned();
        say(layers, "spare.tooth_shade", &tab);
    }
}

/// What the lab's list says of the posterior mould that is named: its cusps, and that the lower teeth of the same name are
/// there to meet it.
fn offer_listed_posteriors(layers: &mut Layers<'_>, known: &OnRecord<'_>) {
    let Some(list) = known.lists.moulds.as_deref() else {
        return;
    };
    let code = layers.says("posterior.upper_mould").unwrap_or_default();
    let code = code.to_owned();
    let Some(upper) = list.find(&code, Arch::Upper, Region::Back) else {
        return;
    };
    let cusps = upper.cusp_degrees.map(|degrees| degrees.to_string());
    let cusps = cusps.filter(|word| CuspAngle::from_word(word).is_some());
    say(layers, "posterior.cusp_angle", &cusps.unwrap_or_default());
    if known.treats(Arch::Lower) && list.find(&code, Arch::Lower, Region::Back).is_some() {
        say(layers, "posterior.lower_mould", &code);
    }
}

/// One piece for each jaw, as the course makes it.
fn offer_pieces(layers: &mut Layers<'_>, known: &OnRecord<'_>, course: Course, rx: &Prescription) {
    let Some(piece) = piece_of(course) else {
        return;
    };
    let materials = materials(rx, course);
    for (row, arch) in known.arches.treated().iter().enumerate() {
        let of = |field: &str| format!("pieces.{row}.{field}");
        let course = [
            ("arch", arch.word().to_owned()),
            ("stage", piece.stage.word().to_owned()),
            ("description", name(layers, &piece, *arch)),
        ];
        for (field, text) in course {
            layers.offer(Origin::Course, &of(field), &text);
        }
        say(layers, &of("materials"), &materials);
        let against = opposing_arch(known.arches).and_then(|other| opposing(known, other));
        let against = against.map(Opposing::word).unwrap_or_default();
        layers.offer(Origin::Record, &of("opposing"), against);
    }
    // Where the spare is out of the way nobody is asked about it, and nothing is ordered by it.
    if course != Course::Duplicate && place(course, "spare") != SectionPlace::Away {
        offer_spare(layers, known, rx);
    }
}

/// The spare, where the lab is to make it: a piece of the order for each jaw, below those of the course.
fn offer_spare(layers: &mut Layers<'_>, known: &OnRecord<'_>, rx: &Prescription) {
    let spare = &rx.spare;
    let Some(piece) = piece_of(Course::Duplicate) else {
        return;
    };
    if spare.made_by != Some(MakerOfSpare::Lab) {
        return;
    }
    let treated = known.arches.treated();
    let is_wanted = |arch: &Arch| match spare.arch {
        Some(SpareArch::Both) => true,
        Some(SpareArch::Upper) => *arch == Arch::Upper,
        Some(SpareArch::Lower) => *arch == Arch::Lower,
        Some(SpareArch::None) | None => false,
    };
    let materials = [
        spare.base.map(|base| base.shown().to_owned()),
        spare.teeth.map(|teeth| teeth.shown().to_owned()),
    ];
    let materials: Vec<String> = materials.into_iter().flatten().collect();
    let wanted = treated.iter().filter(|arch| is_wanted(arch));
    for (row, arch) in (treated.len()..).zip(wanted) {
        for (field, text) in [
            ("arch", arch.word()),
            ("stage", piece.stage.word()),
            ("description", "spare denture"),
            ("materials", materials.join(", ").as_str()),
        ] {
            say(layers, &format!("pieces.{row}.{field}"), text);
        }
    }
}

fn name(layers: &Layers<'_>, piece: &PieceOf, arch: Arch) -> String {
    if piece.stage == Stage::Reset && layers.is("approval.height", YesNo::No.word()) {
        return "mount to the new record, reset, wax try-in".to_owned();
    }
    let teeth = layers.says(&format!("posterior.teeth_{}", arch.word()));
    match teeth.filter(|_| piece.counts_teeth) {
        Some(teeth) => format!("{}, {teeth} teeth", piece.name),
        None => piece.name.to_owned(),
    }
}

/// What the other jaw is: teeth of the patient's own by the card, or a denture that is worn there.
fn opposing(known: &OnRecord<'_>, arch: Arch) -> Option<Opposing> {
    let line = known.state.worn(known.items);
    if worn_in(&line, arch).is_some() {
        return Some(Opposing::Denture);
    }
    match known.own_teeth.get(&arch)? {
        OwnTeeth::Natural => Some(Opposing::Natural),
        OwnTeeth::Implants => Some(Opposing::Implants),
        OwnTeeth::None => None,
    }
}

/// Every material of the piece, in the words of the fields that choose it.
fn materials(rx: &Prescription, course: Course) -> String {
    let base = rx.base.material.map(|material| material.shown().to_owned());
    let strengthened = rx.base.strengthening.filter(|how| how.word() != "none");
    let strengthened = strengthened.map(|how| how.shown().to_owned());
    let front = rx.anterior.material.map(|material| material.shown());
    let back = rx.posterior.material.map(|material| material.shown());
    let teeth = match (front, back) {
        (Some(front), Some(back)) if front == back => Some(format!("{front} teeth")),
        (Some(front), Some(back)) => Some(format!("{front} front teeth, {back} posterior teeth")),
        _ => None,
    };
    let words = |parts: Vec<Option<String>>| {
        let all: Option<Vec<String>> = parts.into_iter().collect();
        all.unwrap_or_default()
    };
    let mut said = match course {
        Course::Copy | Course::DigitalCopy | Course::Immediate | Course::Single => {
            words(vec![base.map(|base| format!("{base} base")), teeth])
        }
        Course::Finish => words(vec![
            base.map(|base| format!("{base} base")),
            Some("teeth as set".to_owned()),
        ]),
        Course::SetUp => words(vec![teeth, Some("wax".to_owned())]),
        Course::Reset => vec!["teeth as set, wax".to_owned()],
        Course::Tray => vec!["light-cured tray resin".to_owned()],
        Course::Rims => vec!["light-cured base, wax rim".to_owned()],
        Course::Duplicate => words(vec![
            base.map(|base| format!("{base}, pink and tooth-colored")),
        ]),
        Course::Reline | Course::Repair => words(vec![base]),
        Course::Remount => vec!["none added".to_owned()],
        Course::Everything => Vec::new(),
    };
    if !said.is_empty() && course != Course::SetUp {
        said.extend(strengthened);
    }
    said.join(", ")
}
