//! What fields of their own move, as rows of the list of changes: since the eighth sheet they stand in it and are counted
//! with its rows.

use super::content::{ChangeEntry, Entry};
use super::fields::SheetFields;
use super::words::{Run, Words};
use crate::domain::prescription::Prescription;
use crate::domain::trade::moved::{MIDLINE, MovedByField, by_fields};

/// One row each; none of them has a number in the picture of the arches.
pub fn rows(fields: &SheetFields, prescription: &Prescription) -> Vec<Entry> {
    let said = |key: &str| fields.peek(key, None);
    let row = |moved: MovedByField| {
        let mut words = Words::strong(moved.name);
        let way = moved.way.and_then(said).map(|run| match moved {
            MIDLINE => Run {
                text: format!("to the {}", run.text),
                ..run
            },
            _ => run,
        });
        let way = Words {
            runs: way.into_iter().collect(),
        };
        words.join(": ", way);
        let amount = said(moved.by).map(|run| Run {
            strong: true,
            ..run
        });
        Entry::Change(ChangeEntry {
            number: None,
            words,
            amount: Words {
                runs: amount.into_iter().collect(),
            },
        })
    };
    by_fields(prescription).into_iter().map(row).collect()
}
