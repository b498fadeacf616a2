//! The filled fields of a prescription, each to be taken once.

use super::content::Entry;
use super::words::{Run, Words, day, in_line};
use crate::domain::form::{FilledField, Kind};
use crate::domain::prescription::Prescription;
use crate::domain::prescription::earlier_words::{SPELLED_SINCE, label_on, title_on};
use crate::domain::prescription::sentences::say::{Say, SheetLine, direction_of};
use crate::domain::values::moment::parse_date;
use crate::domain::values::tooth::Numbering;
use std::collections::BTreeSet;

/// A filled field with what became of it.
#[derive(Debug)]
struct Slot {
    cell: FilledField,
    section: &'static str,
    changed: bool,
    is_taken: bool,
}

/// All filled fields.
#[derive(Debug)]
pub struct SheetFields {
    slots: Vec<Slot>,
    /// Which sheet the text was signed for.
    sheet: u32,
}

impl SheetFields {
    /// The fields of a prescription; against an earlier one each says whether it is new or otherwise. All of these rows is
    /// new, whatever stood in their places.
    pub fn of(
        prescription: &Prescription,
        before: Option<&Prescription>,
        new_rows: &[ListRow],
        (numbering, sheet): (Numbering, u32),
    ) -> SheetFields {
        let earlier = before.map(|before| Earlier::of(before, (numbering, sheet)));
        let mut slots = Vec::new();
        for (section, cells) in prescription.filled_on(sheet, numbering) {
            let rows = Earlier::rows_of(&cells);
            for cell in cells {
                let is_new = cell
                    .row
                    .is_some_and(|row| new_rows.contains(&(group(cell.spec.key), row)));
                let row = cell.row.and_then(|row| {
                    let group = group(cell.spec.key);
                    rows.iter()
                        .find(|(name, at, _)| (*name, *at) == (group, row))
                });
                let row = row.map(|(group, _, words)| (*group, words));
                slots.push(Slot {
                    changed: is_new
                        || earlier
                            .as_ref()
                            .is_some_and(|one| one.is_changed(&cell, row)),
                    section: title_on(sheet, section),
                    is_taken: false,
                    cell,
                });
            }
        }
        SheetFields { slots, sheet }
    }

    /// Whether the text was signed for the third sheet or a later one.
    pub fn is_third(&self) -> bool {
        self.sheet >= 3
    }

    /// The same for the fourth.
    pub fn is_fourth(&self) -> bool {
        self.sheet >= 4
    }

    /// The same for the sixth.
    pub fn is_sixth(&self) -> bool {
        self.sheet >= 6
    }

    /// The same for the seventh.
    pub fn is_seventh(&self) -> bool {
        self.sheet >= 7
    }

    /// The same for the eighth.
    pub fn is_eighth(&self) -> bool {
        self.sheet >= 8
    }

    /// The same for the ninth.
    pub fn is_ninth(&self) -> bool {
        self.sheet >= SPELLED_SINCE
    }

    fn place(&self, key: &str, row: Option<usize>) -> Option<usize> {
        let is_it =
            |slot: &Slot| slot.cell.spec.key == key && slot.cell.row == row && !slot.is_taken;
        self.slots.iter().position(is_it)
    }

    /// Takes a field out, as it is printed.
    pub fn take(&mut self, key: &str, row: Option<usize>) -> Option<Run> {
        let place = self.place(key, row)?;
        let slot = self.slots.get_mut(place)?;
        slot.is_taken = true;
        Some(slot.directed(self.sheet))
    }

    /// What a field says, without taking it out; also once it is taken.
    pub fn peek(&self, key: &str, row: Option<usize>) -> Option<Run> {
        let is_it = |slot: &&Slot| slot.cell.spec.key == key && slot.cell.row == row;
        let slot = self.slots.iter().find(is_it)?;
        Some(slot.directed(self.sheet))
    }

    /// What a field holds as the form keeps it, taken or not.
    pub fn raw(&self, key: &str) -> Option<&str> {
        let is_it = |slot: &&Slot| slot.cell.spec.key == key && slot.cell.row.is_none();
        Some(self.slots.iter().find(is_it)?.cell.raw.as_str())
    }

    /// The same in a row of a list.
    pub fn raw_in(&self, key: &str, row: usize) -> Option<&str> {
        let is_it = |slot: &&Slot| slot.cell.spec.key == key && slot.cell.row == Some(row);
        Some(self.slots.iter().find(is_it)?.cell.raw.as_str())
    }

    /// How many rows a list has, by the first part of its keys.
    pub fn rows(&self, list: &str) -> usize {
        let of_list = self
            .slots
            .iter()
            .filter(|slot| group(slot.cell.spec.key) == list);
        let rows = of_list.filter_map(|slot| slot.cell.row);
        rows.max().map_or(0, |row| row + 1)
    }

    /// Takes what a line says; nothing where none of its fields is filled.
    pub fn say(&mut self, says: &[Say], row: Option<usize>) -> Words {
        let mut words = Words::default();
        for say in says {
            let Some(mut run) = self.take(say.key, row) else {
                continue;
            };
            if let Some((yes, no)) = say.answer {
                let raw = match row {
                    Some(row) => self.raw_in(say.key, row),
                    None => self.raw(say.key),
                };
                let is_yes = raw == Some("yes");
                run.text = if is_yes { yes } else { no }.to_owned();
            }
            run.text = format!("{}{}", say.before, run.text);
            run.strong = say.strong;
            words.join(say.glue, Words { runs: vec![run] });
        }
        words
    }

    /// The lines of a table that say something.
    pub fn lines(&mut self, lines: &[SheetLine]) -> Vec<Entry> {
        let mut entries = Vec::new();
        for (label, says) in lines {
            let words = self.say(says, None);
            if !words.is_empty() {
                entries.push(Entry::fact(label, words));
            }
        }
        entries
    }

    /// A line for each row of a list, numbered where there are several.
    pub fn each(&mut self, list: &str, label: &str, says: &[Say]) -> Vec<Entry> {
        let rows = self.rows(list);
        let mut entries = Vec::new();
        for row in 0..rows {
            let words = self.say(says, Some(row));
            let label = match rows {
                1 => label.to_owned(),
                _ => format!("{label} {}", row + 1),
            };
            if !words.is_empty() {
                entries.push(Entry::fact(&label, words));
            }
        }
        entries
    }

    /// Every field that nobody took, under the names that the form gives it: a line for each section, and for
    /// each row of a list.
    pub fn rest(&mut self) -> Vec<Entry> {
        let mut lines: Vec<(String, Words)> = Vec::new();
        for slot in self.slots.iter_mut().filter(|slot| !slot.is_taken) {
            slot.is_taken = true;
            let row = slot.cell.row.map(|row| format!(" {}", row + 1));
            let name = format!("{}{}", slot.section, row.unwrap_or_default());
            let label = label_on(self.sheet, slot.cell.spec);
            let mut words = Words::plain(format!("{label} "));
            words.push(slot.run());
            match lines.iter_mut().find(|(own, _)| *own == name) {
                Some((_, all)) => all.join("; ", words),
                None => lines.push((name, words)),
            }
        }
        let entries = lines.into_iter();
        entries
            .map(|(name, words)| Entry::fact(&name, words))
            .collect()
    }
}

impl Slot {
    /// The same with the direction that the sign of a number means, since the third sheet.
    fn directed(&self, sheet: u32) -> Run {
        let mut run = self.run();
        let is_alone = self.cell.row.is_none() && sheet >= 3;
        let way = is_alone.then(|| direction_of(run.about, &self.cell.raw, sheet));
        if let Some(way) = way.flatten() {
            run.text = format!("{}, {way}", run.text);
        }
        run
    }

    fn run(&self) -> Run {
        let text = match self.cell.spec.kind {
            Kind::Date => parse_date(&self.cell.raw).map_or_else(|_| self.cell.shown.clone(), day),
            _ => in_line(&self.cell.shown),
        };
        Run {
            text,
            strong: false,
            changed: self.changed,
            about: self.cell.spec.key,
            row: self.cell.row,
        }
    }
}

/// A row of a list: the first part of its keys, and its place in it.
pub type ListRow = (&'static str, usize);

/// The first part of a key: the section, or the list.
pub fn group(key: &'static str) -> &'static str {
    key.split('.').next().unwrap_or(key)
}

/// The words of each row of a list: its name, its number, and key and text of each cell.
type Row = (&'static str, usize, BTreeSet<(&'static str, String)>);

/// What the revision before said.
struct Earlier {
    fields: BTreeSet<(&'static str, String)>,
    rows: Vec<Row>,
}

impl Earlier {
    fn of(prescription: &Prescription, (numbering, sheet): (Numbering, u32)) -> Earlier {
        let cells: Vec<FilledField> = prescription
            .filled_on(sheet, numbering)
            .into_iter()
            .flat_map(|(_, cells)| cells)
            .collect();
        let own = cells.iter().filter(|cell| cell.row.is_none());
        Earlier {
            fields: own
                .map(|cell| (cell.spec.key, cell.shown.clone()))
                .collect(),
            rows: Earlier::rows_of(&cells),
        }
    }

    fn rows_of(cells: &[FilledField]) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::new();
        for cell in cells {
            let Some(row) = cell.row else { continue };
            let (name, words) = (group(cell.spec.key), (cell.spec.key, cell.shown.clone()));
            match rows
                .iter_mut()
                .find(|(of, at, _)| (*of, *at) == (name, row))
            {
                Some((_, _, all)) => {
                    all.insert(words);
                }
                None => rows.push((name, row, BTreeSet::from([words]))),
            }
        }
        rows
    }

    /// A row that stood anywhere in the list is not changed by another one put before it.
    fn is_changed(
        &self,
        cell: &FilledField,
        row: Option<(&'static str, &BTreeSet<(&'static str, String)>)>,
    ) -> bool {
        match (cell.row, row) {
            (Some(at), Some((name, words))) => {
                let of_list = || self.rows.iter().filter(|(list, _, _)| *list == name);
                let said = (cell.spec.key, cell.shown.clone());
                let same_place = of_list().find(|(_, place, _)| *place == at);
                !of_list().any(|(_, _, all)| all == words)
                    && !same_place.is_some_and(|(_, _, all)| all.contains(&said))
            }
            _ => !self.fields.contains(&(cell.spec.key, cell.shown.clone())),
        }
    }
}
