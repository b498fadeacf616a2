//! The few numbers that are looked for first, large and side by side.

use super::content::StripCell;
use super::fields::SheetFields;
use super::tables::REPAIR;
use super::words::{Run, Words};
use crate::domain::form::YesNo;
use crate::domain::prescription::sentences::say::value;
use crate::domain::prescription::{Course, ExtractedWhen, Prescription};

/// How many stand side by side.
const CELLS: usize = 6;

const HEIGHT: &str = "OVD";

/// The strip. What the course does not ask leaves its place to what comes next.
pub fn strip(fields: &mut SheetFields, prescription: &Prescription) -> Vec<StripCell> {
    let mut cells = vec![
        tooth_shade(fields),
        base_shade(fields),
        moulds(fields, "Anterior mould", "anterior"),
        moulds(fields, "Posterior mould", "posterior"),
        height(fields),
        midline(fields, prescription),
    ];
    cells.retain(|cell| !cell.values.is_empty());
    let mut first = first(fields, prescription.order.course, cells.len());
    first.retain(|cell| !cell.values.is_empty());
    if fields.is_seventh() && first.len() + cells.len() > CELLS {
        // The height stands beside the face as well.
        cells.retain(|cell| cell.label != HEIGHT);
    }
    cells.splice(0..0, first);
    let others = [
        ("Palate", "base.palate_mm"),
        ("Palatal seal, middle", "seal.depth_mid_mm"),
        ("Border roll", "borders.thickness_mm"),
        ("Tray, spacer", "impression.tray_spacer_mm"),
        ("Tray, short by", "impression.tray_short_mm"),
    ];
    for (label, key) in others {
        let run = fields.peek(key, None);
        if let Some(run) = run.filter(|_| cells.len() < CELLS) {
            cells.push(one(label, vec![run], Words::default()));
        }
    }
    cells
}

/// What the work is about where it is no new set of teeth, since the sixth sheet; `count` cells stand beside it.
fn first(fields: &mut SheetFields, course: Option<Course>, count: usize) -> Vec<StripCell> {
    if !fields.is_sixth() {
        return Vec::new();
    }
    // A tag needs its width.
    let has_room = count + 2 <= CELLS;
    match course {
        Some(Course::Repair) if has_room => {
            let both = [value("repair.item"), value("repair.other_item").comma()];
            let denture = fields.say(&both, None);
            vec![broken(fields), of(DENTURE, denture)]
        }
        Some(Course::Reline) if has_room => {
            let both = [value("reline.item"), value("reline.other_item").comma()];
            let denture = fields.say(&both, None);
            let held = fields.say(&[value("reline.held_by")], None);
            vec![of(DENTURE, denture), of("Height held by", held)]
        }
        // Up to the sixth, seven side by side were a line more, and the teeth stood in the order alone.
        Some(Course::Immediate) if fields.is_seventh() || count < CELLS => vec![extracted(fields)],
        _ => Vec::new(),
    }
}

const DENTURE: &str = "Denture";

fn of(label: &'static str, words: Words) -> StripCell {
    match words.is_empty() {
        true => empty(label),
        false => one(label, words.runs, Words::default()),
    }
}

/// What is broken, place by place.
fn broken(fields: &mut SheetFields) -> StripCell {
    let places = (0..fields.rows("repairs")).map(|row| ("", fields.say(REPAIR, Some(row))));
    let values = places.filter(|(_, words)| !words.is_empty()).collect();
    StripCell {
        label: "Repair",
        values,
        note: Words::default(),
    }
}

/// The teeth that come out when the denture goes in, by number, with the system of the numbers once below them: the names
/// of the teeth, what is noted of each, and what stays for now or is out already, stand in the order.
fn extracted(fields: &SheetFields) -> StripCell {
    let goes = |row: &usize| {
        let when = fields.raw_in("extractions.#.when", *row);
        when.is_none_or(|when| when == ExtractedWhen::AtInsertion.word())
    };
    let rows = (0..fields.rows("extractions")).filter(goes);
    let teeth = rows.filter_map(|row| fields.peek("extractions.#.tooth", Some(row)));
    let (mut words, mut system) = (Words::default(), String::new());
    for mut tooth in teeth {
        // `13 (ISO 3950) upper right canine`
        let said = std::mem::take(&mut tooth.text);
        let (number, rest) = said.split_once(' ').unwrap_or((said.as_str(), ""));
        number.clone_into(&mut tooth.text);
        if let Some((name, _)) = rest.split_once(')') {
            system = name.trim_start_matches('(').to_owned();
        }
        words.join(", ", Words { runs: vec![tooth] });
    }
    match words.is_empty() {
        true => empty("Extract"),
        false => one("Extract", words.runs, Words::plain(system)),
    }
}

/// A shade of which nothing but the guide is said; the guide is no shade, and since the sixth sheet it is not in its place.
fn guide_alone(fields: &SheetFields, label: &'static str, guide: Words) -> StripCell {
    if guide.is_empty() {
        return empty(label);
    }
    if !fields.is_sixth() {
        return one(label, guide.runs, Words::default());
    }
    let mut note = Words::plain("guide ");
    note.runs.extend(guide.runs);
    one(label, Words::plain("not given").runs, note)
}

fn one(label: &'static str, runs: Vec<Run>, note: Words) -> StripCell {
    StripCell {
        label,
        values: vec![("", Words { runs })],
        note,
    }
}

fn empty(label: &'static str) -> StripCell {
    StripCell {
        label,
        ..StripCell::default()
    }
}

fn tooth_shade(fields: &mut SheetFields) -> StripCell {
    const LABEL: &str = "Tooth shade";
    let mut note = Words::default();
    if let Some(guide) = fields.take("shade.guide", None) {
        note.push(guide);
    }
    let tab = fields.take("shade.tab", None);
    let is_posterior = fields.peek("shade.posterior_tab", None).is_some();
    if let Some(posterior) = fields.take("shade.posterior_tab", None) {
        let posterior = Run {
            text: format!("posterior {}", posterior.text),
            strong: true,
            ..posterior
        };
        note.join(
            "; ",
            Words {
                runs: vec![posterior],
            },
        );
    }
    let source = fields.raw("shade.source").map(str::to_owned);
    match (tab, source.as_deref()) {
        (Some(tab), Some("tab") | None) => {
            // That the tab is the one named here needs no words beside it.
            fields.take("shade.source", None);
            one(LABEL, vec![tab], note)
        }
        (Some(tab), _) => one(LABEL, vec![tab], note),
        (None, Some("pattern" | "measured")) => {
            let source = fields.take("shade.source", None);
            one(LABEL, source.into_iter().collect(), note)
        }
        (None, _) if is_posterior => one(LABEL, note.runs, Words::default()),
        (None, _) => guide_alone(fields, LABEL, note),
    }
}

fn base_shade(fields: &mut SheetFields) -> StripCell {
    const LABEL: &str = "Base shade";
    let guide = fields.take("base_shade.guide", None);
    let note = Words {
        runs: guide.into_iter().collect(),
    };
    match fields.take("base_shade.code", None) {
        Some(code) => one(LABEL, vec![code], note),
        None => guide_alone(fields, LABEL, note),
    }
}

fn moulds(fields: &mut SheetFields, label: &'static str, section: &str) -> StripCell {
    let choice = format!("{section}.choice");
    let mut values = Vec::new();
    for (letter, arch) in [("U", "upper"), ("L", "lower")] {
        if let Some(run) = fields.take(&format!("{section}.{arch}_mould"), None) {
            values.push((letter, Words { runs: vec![run] }));
        }
    }
    let chosen = fields.raw(&choice).map(str::to_owned);
    match (values.is_empty(), chosen.as_deref()) {
        (false, Some("mould")) => {
            // That the mould is the one named here needs no words beside it.
            fields.take(&choice, None);
        }
        (true, Some("pattern")) => {
            let run = fields.take(&choice, None);
            values.extend(run.map(|run| ("", Words { runs: vec![run] })));
        }
        _ => {}
    }
    StripCell {
        label,
        values,
        note: Words::default(),
    }
}

fn height(fields: &mut SheetFields) -> StripCell {
    let value = fields.peek("vertical.occlusal_mm", None);
    let order = fields.peek("vertical.order", None);
    let note = Words {
        runs: order.clone().into_iter().collect(),
    };
    match (value, order) {
        (Some(value), _) => one(HEIGHT, vec![value], note),
        (None, Some(order)) => one(HEIGHT, vec![order], Words::default()),
        (None, None) => empty(HEIGHT),
    }
}

/// How far the midline is moved, as an order and not as a place: since the eighth sheet.
fn moved_midline(by: Run, is_kept: bool) -> Run {
    let text = match is_kept {
        true => "not moved".to_owned(),
        false => format!("Move {}", by.text),
    };
    Run { text, ..by }
}

fn midline(fields: &mut SheetFields, prescription: &Prescription) -> StripCell {
    let anterior = &prescription.anterior;
    let is_kept = anterior
        .midline_offset_mm
        .is_none_or(|mm| mm.hundredths() == 0);
    let is_order = fields.is_eighth();
    let by = fields.take("anterior.midline_offset_mm", None);
    let by = match is_order {
        true => by.map(|by| moved_midline(by, is_kept)),
        false => by,
    };
    let side = fields.take("anterior.midline_side", None);
    let is_as_marked = anterior.midline.is_some_and(YesNo::is_yes);
    let marked = fields.take("anterior.midline", None).map(|run| Run {
        text: match is_as_marked {
            true if is_order && !is_kept => "from the mark on pattern or rim",
            true => "as marked on pattern or rim",
            false => "not as marked",
        }
        .to_owned(),
        ..run
    });
    let mut note = Words::default();
    let value = match (by, is_kept, marked) {
        (by, true, Some(marked)) if is_as_marked => {
            note.runs.extend(by);
            note.join(
                ", ",
                Words {
                    runs: side.into_iter().collect(),
                },
            );
            let text = "as marked".to_owned();
            let pattern = Words::plain("on pattern or rim").marked(marked.changed);
            note.join("; ", pattern);
            vec![Run { text, ..marked }]
        }
        (by, _, marked) => {
            note.runs.extend(side.map(|side| Run {
                text: format!("to the {}", side.text),
                ..side
            }));
            match by {
                Some(by) => {
                    note.join(
                        "; ",
                        Words {
                            runs: marked.into_iter().collect(),
                        },
                    );
                    vec![by]
                }
                None => marked.into_iter().collect(),
            }
        }
    };
    match value.is_empty() {
        true if note.is_empty() => empty("Midline"),
        true => one("Midline", note.runs, Words::default()),
        false => one("Midline", value, note),
    }
}
