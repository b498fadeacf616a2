//! The bench: every number that is prescribed and can be measured, with room for the one that is measured.

use super::content::{Entry, List};
use super::fields::SheetFields;
use super::tables::{
    BESIDE_A_CHECK, FINISH_CHECKS, FINISH_SINCE, MIDLINE_MOVED, SET_UP_CHECKS, SET_UP_LATEST,
    SET_UP_SINCE,
};
use super::words::{Run, Words};
use crate::domain::prescription::sentences::short;
use crate::domain::prescription::{Broken, Course, Prescription, RepairPlace};
use crate::domain::review::courses::course_of_piece;
use crate::domain::trade::changes;

fn check(label: impl Into<String>, run: Run) -> Entry {
    Entry::Check {
        label: label.into(),
        prescribed: Words {
            runs: vec![Run {
                strong: true,
                ..run
            }],
        },
    }
}

/// The letter of the arch that a field is of by its name: what is not made for the other arch is not missing there.
fn letter_of(key: &str) -> Option<&'static str> {
    let (_, name) = key.rsplit_once('.')?;
    match name.split_once('_')?.0 {
        "upper" => Some("U"),
        "lower" => Some("L"),
        _ => None,
    }
}

/// Numbers that are measured together stand in one row, each under its own name: of two of which one is missing it is said
/// which, since the sixth sheet.
fn of_table(fields: &SheetFields, table: &[(&str, &[&str])]) -> Vec<Entry> {
    let mut entries = Vec::new();
    for (label, keys) in table {
        let mut prescribed = Words::default();
        let said = keys.iter().map(|key| (key, fields.peek(key, None)));
        let said: Vec<_> = said.collect();
        // One number under two names would be read as both.
        let is_part = fields.is_sixth() && said.iter().any(|(_, run)| run.is_none());
        if said.iter().all(|(_, run)| run.is_none()) {
            continue;
        }
        for (key, run) in said {
            let Some(run) = run else {
                if is_part && letter_of(key).is_none() {
                    prescribed.join("; ", Words::plain("not given"));
                }
                continue;
            };
            let text = match beside(fields, key) {
                Some(way) => format!("{}, {way}", run.text),
                None => run.text.clone(),
            };
            let text = match letter_of(key).filter(|_| is_part) {
                Some(letter) => format!("{letter} {text}"),
                None => text,
            };
            let run = Run {
                strong: true,
                text,
                ..run
            };
            prescribed.join("; ", Words { runs: vec![run] });
        }
        let label = (*label).to_owned();
        entries.push(Entry::Check { label, prescribed });
    }
    entries
}

/// What is measured while mounting and setting up.
pub fn set_up(fields: &SheetFields, prescription: &Prescription) -> List {
    let net = changes::net(&prescription.pattern.changes);
    let number = |row: usize| {
        let place = net.parts.iter().position(|part| part.rows.contains(&row))?;
        Some(place + 1)
    };
    let midline = prescription.anterior.midline_offset_mm;
    let is_kept = midline.is_some_and(|mm| mm.hundredths() == 0);
    let mut entries = of_table(fields, SET_UP_CHECKS);
    if fields.is_eighth() && is_kept {
        // Where nothing is moved, nothing is measured.
        entries.retain(|one| !matches!(one, Entry::Check { label, .. } if label == MIDLINE_MOVED));
    }
    if fields.is_fourth() {
        entries.extend(of_table(fields, SET_UP_SINCE));
    }
    if fields.is_ninth() {
        entries.extend(of_table(fields, SET_UP_LATEST));
    }
    for row in 0..fields.rows("changes") {
        let by = ["changes.#.mm", "changes.#.degrees"];
        for run in by.into_iter().filter_map(|key| fields.peek(key, Some(row))) {
            let what = fields.peek("changes.#.what", Some(row));
            let what = what.map(|run| run.text).unwrap_or_default();
            entries.push(match fields.is_third() {
                true => check(change(fields, row, number(row)), directed(fields, row, run)),
                false => check(format!("Change, {what}"), run),
            });
        }
    }
    List::new("Mounting and set-up", entries)
}

/// "Change 2, 11": the number that it has in the picture, and its tooth or part.
fn change(fields: &SheetFields, row: usize, number: Option<usize>) -> String {
    let said = |key: &str| fields.peek(key, Some(row)).map(|run| run.text);
    let what = said("changes.#.tooth").or_else(|| said("changes.#.what"));
    let number = number.map_or_else(String::new, |number| format!(" {number}"));
    format!("Change{number}, {}", what.unwrap_or_default())
}

/// "0.5 mm, to the patient’s left": one row of the list is told from the other by its direction too.
fn directed(fields: &SheetFields, row: usize, run: Run) -> Run {
    const KEY: &str = "changes.#.direction";
    let stored = fields.raw_in(KEY, row).unwrap_or_default();
    let way = match short::way(stored) {
        Some(short) => Some(short.to_owned()),
        None => fields.peek(KEY, Some(row)).map(|run| run.text),
    };
    match way {
        Some(way) => Run {
            text: format!("{}, {way}", run.text),
            ..run
        },
        None => run,
    }
}

/// Which way a number goes, by the field beside it.
fn beside(fields: &SheetFields, key: &str) -> Option<String> {
    let (_, before, side) = BESIDE_A_CHECK.iter().find(|(own, ..)| *own == key)?;
    let said = fields.peek(side, None).filter(|_| fields.is_third())?;
    Some(format!("{before}{}", said.text))
}

/// What is measured on the cast and on the finished work.
pub fn processed(fields: &SheetFields) -> List {
    let mut entries = of_table(fields, FINISH_CHECKS);
    if fields.is_fourth() {
        entries.extend(of_table(fields, FINISH_SINCE));
    }
    for row in 0..fields.rows("reliefs") {
        if let Some(run) = fields.peek("reliefs.#.mm", Some(row)) {
            let place = fields.peek("reliefs.#.place", Some(row));
            let place = place.map(|run| run.text).unwrap_or_default();
            entries.push(check(format!("Relief: {place}"), run));
        }
    }
    List::new("Cast and finished work", entries)
}

/// Whether any piece takes teeth: a tray, rims, a reline and a repair of the base take none. Common practice, no source.
fn takes_teeth(prescription: &Prescription) -> bool {
    let tooth_of = |row: &RepairPlace| {
        let is_enclosed = row.tooth_enclosed.is_some_and(|answer| answer.is_yes());
        match row.what {
            Some(Broken::ToothOut | Broken::ToothBroken) => !is_enclosed,
            Some(Broken::ToothAdded) => true,
            _ => false,
        }
    };
    let takes = |course: Course| match course {
        Course::Tray | Course::Rims | Course::Reline | Course::Remount => false,
        Course::Repair => prescription.repair.repairs.iter().any(tooth_of),
        _ => true,
    };
    let mut pieces = prescription.order.pieces.iter();
    prescription.order.pieces.is_empty()
        || pieces.any(|piece| course_of_piece(prescription, piece).is_none_or(takes))
}

/// What the work takes and comes in lots.
pub fn lots(fields: &SheetFields, prescription: &Prescription) -> Vec<&'static str> {
    if fields.is_sixth() && !takes_teeth(prescription) {
        return vec!["Base resin", "Separator", "Stone"];
    }
    let mut lots = vec!["Base resin"];
    let (anterior, posterior) = (&prescription.anterior, &prescription.posterior);
    let teeth = [
        (anterior.upper_mould.is_some(), "Anterior U"),
        (anterior.lower_mould.is_some(), "Anterior L"),
        (posterior.upper_mould.is_some(), "Posterior U"),
        (posterior.lower_mould.is_some(), "Posterior L"),
    ];
    lots.extend(
        teeth
            .iter()
            .filter(|(named, _)| *named)
            .map(|(_, name)| name),
    );
    if lots.len() == 1 {
        lots.extend(["Teeth", "Separator"]);
    }
    lots.push("Stone");
    lots
}
