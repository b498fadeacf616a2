//! The bench: every number that is prescribed and can be measured, with room for the one that is measured.

use super::content::{Entry, List};
use super::fields::Fields;
use super::tables::{FINISH_CHECKS, SET_UP_CHECKS};
use super::words::{Run, Words};
use crate::domain::prescription::Prescription;

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

/// Numbers that are measured together stand in one row.
fn of_table(fields: &Fields, table: &[(&str, &[&str])]) -> Vec<Entry> {
    let mut entries = Vec::new();
    for (label, keys) in table {
        let mut prescribed = Words::default();
        for run in keys.iter().filter_map(|key| fields.peek(key, None)) {
            let run = Run {
                strong: true,
                ..run
            };
            prescribed.join("; ", Words { runs: vec![run] });
        }
        if !prescribed.is_empty() {
            let label = (*label).to_owned();
            entries.push(Entry::Check { label, prescribed });
        }
    }
    entries
}

/// What is measured while mounting and setting up.
pub fn set_up(fields: &Fields) -> List {
    let mut entries = of_table(fields, SET_UP_CHECKS);
    for row in 0..fields.rows("changes") {
        let by = ["changes.#.mm", "changes.#.degrees"];
        for run in by.into_iter().filter_map(|key| fields.peek(key, Some(row))) {
            let what = fields.peek("changes.#.what", Some(row));
            let what = what.map(|run| run.text).unwrap_or_default();
            entries.push(check(format!("Change, {what}"), run));
        }
    }
    List::new("Mounting and set-up", entries)
}

/// What is measured on the cast and on the finished work.
pub fn processed(fields: &Fields) -> List {
    let mut entries = of_table(fields, FINISH_CHECKS);
    for row in 0..fields.rows("reliefs") {
        if let Some(run) = fields.peek("reliefs.#.mm", Some(row)) {
            let place = fields.peek("reliefs.#.place", Some(row));
            let place = place.map(|run| run.text).unwrap_or_default();
            entries.push(check(format!("Relief: {place}"), run));
        }
    }
    List::new("Cast and finished work", entries)
}

/// What the work takes and comes in lots.
pub fn lots(prescription: &Prescription) -> Vec<&'static str> {
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
