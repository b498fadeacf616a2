//! What stands on the sheet, band by band, without a thought about millimetres.

use super::words::Words;
use crate::domain::people::party::Paper;
use crate::domain::prescription::section_of;
use crate::domain::review::NO_PART;
use crate::domain::trade::sketch::Picture;
use crate::papers::record_mark::InRecord;
use time::Date;

/// Front and back.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Which sheet the text was signed for: an older one prints as it did.
    pub number: u32,
    pub paper: Paper,
    /// DRAFT across each page, and no signature.
    pub draft: bool,
    pub top: Top,
    /// What was and what is, against the revision before.
    pub differences: List,
    /// The second half of a long list of them, beside the first.
    pub differences_more: List,
    /// What is ordered, piece by piece, and how closely the pattern is followed.
    pub pieces: List,
    /// How the order stands to other work, and what the pattern is.
    pub order: List,
    pub first: List,
    pub ask: List,
    pub strip: Vec<StripCell>,
    pub changes: List,
    pub heights: List,
    pub anterior: List,
    pub posterior: List,
    pub shades: List,
    pub record: List,
    pub mounting: List,
    /// Both arches, drawn at full size and at 85 % of it; none where nothing is moved.
    pub arches: Option<(Picture, Picture)>,
    pub face: Option<Picture>,
    pub signed: Option<SignedWords>,
    pub parcel: List,
    /// What is said of the whole box.
    pub parcel_notes: List,
    pub surface: List,
    pub base: List,
    pub behind: List,
    pub further: List,
    pub accepted: List,
    pub set_up: List,
    pub processed: List,
    /// What lots are written down of.
    pub lots: Vec<&'static str>,
    pub cautions: Vec<&'static str>,
    pub numbering: String,
    /// Address behind the QR code.
    pub address: String,
    pub mark: InRecord,
}

/// Between whom the things of a sheet go there and back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hands {
    #[default]
    OfficeAndLab,
    /// The first laboratory, which passes work on, and the second one.
    TwoLabs,
}

/// What identifies the work.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Top {
    /// `Laboratory prescription, revision 1`
    pub title: String,
    pub revision: String,
    pub case: String,
    /// Signed when, or saved when.
    pub moment: String,
    pub patient: Words,
    pub office: House,
    pub lab: House,
    /// Substances, or the answer that none is known; and where that comes from.
    pub avoid: Words,
    pub avoid_note: String,
    /// Whether a substance is named.
    pub avoids: bool,
    pub due: Due,
    /// What is to be made, in one sentence.
    pub what: String,
    pub arches: Words,
}

/// A house with what it is reached by.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct House {
    pub words: Words,
}

/// The day in the dentist's hands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Due {
    /// What the day is called.
    pub label: &'static str,
    /// `Thu 12 Nov`, and the year.
    pub day: Option<(String, String)>,
    pub changed: bool,
    /// The days by their dates, to be drawn on a line; none on an older sheet, and where something that is said has no day.
    pub days: Vec<DueDay>,
    /// All that is said beside the day: what is printed where the line is not.
    pub more: Words,
}

/// What a day of the signed text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnDay {
    /// When it was signed.
    Signature,
    /// In the dentist's hands.
    Wanted,
    /// A stage, the insertion, the check after it.
    Planned,
}

/// A day that the signed text holds. None of them goes stale, as a plan would with the first parcel that is late.
#[derive(Debug, Clone, PartialEq)]
pub struct DueDay {
    pub date: Date,
    pub is: OnDay,
    /// What falls on it, with weekday and date; of the day wanted, which stands large beside it, only what is said besides.
    pub words: Words,
}

/// A number that matters.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StripCell {
    pub label: &'static str,
    /// One or two values, each with a letter before it where the arches differ.
    pub values: Vec<(&'static str, Words)>,
    pub note: Words,
}

/// A titled list that may go on over the page between two of its entries.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct List {
    pub title: &'static str,
    /// Small words behind the title.
    pub note: String,
    pub entries: Vec<Entry>,
    /// Whether it says so where it goes on as a whole on a further page, as the change list does since the third sheet.
    pub counts_all: bool,
    /// Whether it stays on its side until every other list has given way: what is to be made, and since the ninth sheet what
    /// comes first and what is asked before.
    pub goes_last: bool,
    /// Between whom its things go.
    pub hands: Hands,
}

/// A line of a list.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A label and what is said under it; without a label, running text.
    Fact {
        label: String,
        words: Words,
    },
    Change(ChangeEntry),
    /// A piece of work: arch, stage, what it is, materials.
    Piece([Words; 4]),
    Parcel(BoxRow),
    /// A number to measure beside the one that is prescribed.
    Check {
        label: String,
        prescribed: Words,
    },
}

/// A row of the change list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChangeEntry {
    /// The number in the picture.
    pub number: Option<usize>,
    pub words: Words,
    pub amount: Words,
}

/// A thing that travels: out, back, or both.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BoxRow {
    pub name: Words,
    pub arch: Words,
    /// Empty where the thing has none yet.
    pub tag: Words,
    pub disinfected: Words,
    pub back: Words,
    pub goes_out: bool,
    pub comes_back: bool,
}

/// The signature.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SignedWords {
    pub words: Words,
    pub meaning: String,
}

/// The first field that any of these words say.
fn first_of<'a>(mut words: impl Iterator<Item = &'a Words>) -> (&'static str, Option<usize>) {
    let said = words.find_map(|words| Some(words.first_about()).filter(|(key, _)| !key.is_empty()));
    said.unwrap_or_default()
}

impl StripCell {
    /// The field that it speaks of first; of words of the sheet alone, what is ordered.
    pub fn about(&self) -> (&'static str, Option<usize>) {
        let values = self.values.iter().map(|(_, words)| words);
        match first_of(values.chain([&self.note])) {
            ("", _) => (NO_PART, None),
            said => said,
        }
    }
}

impl Entry {
    /// A label and what is said under it.
    pub fn fact(label: &str, words: Words) -> Entry {
        Entry::Fact {
            label: label.to_owned(),
            words,
        }
    }

    /// Running text.
    pub fn text(words: Words) -> Entry {
        Entry::fact("", words)
    }

    /// The field that it speaks of first, with its row.
    pub fn about(&self) -> (&'static str, Option<usize>) {
        let words: Vec<&Words> = match self {
            Entry::Fact { words, .. } => vec![words],
            Entry::Change(change) => vec![&change.words, &change.amount],
            Entry::Piece(cells) => cells.iter().collect(),
            Entry::Parcel(row) => vec![&row.name, &row.arch, &row.tag],
            Entry::Check { prescribed, .. } => vec![prescribed],
        };
        first_of(words.into_iter())
    }

    /// Every word of it.
    pub fn text_of(&self) -> String {
        let all = |words: &[&Words]| {
            let texts: Vec<String> = words.iter().map(|words| words.text()).collect();
            texts.join(" ")
        };
        match self {
            Entry::Fact { label, words } => format!("{label} {}", words.text()),
            Entry::Change(change) => {
                let number = change.number.map(|number| number.to_string());
                let words = all(&[&change.words, &change.amount]);
                format!("{} {words}", number.unwrap_or_default())
            }
            Entry::Piece(cells) => all(&cells.iter().collect::<Vec<_>>()),
            Entry::Parcel(row) => {
                all(&[&row.name, &row.arch, &row.tag, &row.disinfected, &row.back])
            }
            Entry::Check { label, prescribed } => format!("{label} {}", prescribed.text()),
        }
    }
}

impl List {
    pub fn new(title: &'static str, entries: Vec<Entry>) -> List {
        List {
            title,
            entries,
            ..List::default()
        }
    }

    /// The same, which stays on its side as long as anything else can go.
    pub fn last(self, goes_last: bool) -> List {
        List { goes_last, ..self }
    }

    /// The same with small words behind its title.
    pub fn note(self, note: impl Into<String>) -> List {
        List {
            note: note.into(),
            ..self
        }
    }

    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The part of the prescription that its title, its heads and its picture belong to: that of its first line which says
    /// a field; of words of the sheet alone, what is ordered.
    pub fn part(&self) -> (&'static str, Option<usize>) {
        let mut keys = self.entries.iter().map(|entry| entry.about().0);
        let key = keys.find(|key| !key.is_empty()).unwrap_or_default();
        (section_of(key).map_or(NO_PART, |section| section.key), None)
    }
}

impl Sheet {
    /// Between whom its things go.
    pub fn hands(&self) -> Hands {
        self.parcel.hands
    }

    /// All lists, in the order of reading.
    pub fn lists(&self) -> [&List; 20] {
        [
            &self.differences,
            &self.differences_more,
            &self.pieces,
            &self.order,
            &self.first,
            &self.ask,
            &self.changes,
            &self.heights,
            &self.anterior,
            &self.posterior,
            &self.shades,
            &self.record,
            &self.mounting,
            &self.parcel,
            &self.parcel_notes,
            &self.surface,
            &self.base,
            &self.behind,
            &self.further,
            &self.accepted,
        ]
    }

    /// Every word that it says, in the order of reading.
    pub fn words(&self) -> Vec<String> {
        let top = &self.top;
        let mut words = vec![
            top.title.clone(),
            top.case.clone(),
            top.moment.clone(),
            top.patient.text(),
            top.office.words.text(),
            top.lab.words.text(),
            top.avoid.text(),
            top.what.clone(),
            top.arches.text(),
        ];
        // The day of signing stands beside the number as well.
        let drawn = top.due.days.iter().filter(|day| day.is != OnDay::Signature);
        match top.due.days.is_empty() {
            true => words.push(top.due.more.text()),
            false => words.extend(drawn.map(|day| day.words.text())),
        }
        words.extend(
            top.due
                .day
                .iter()
                .map(|(day, year)| format!("{day} {year}")),
        );
        for cell in &self.strip {
            words.push(cell.label.to_owned());
            words.extend(cell.values.iter().map(|(_, value)| value.text()));
            words.push(cell.note.text());
        }
        let bench = [&self.set_up, &self.processed];
        let lists = self.lists().into_iter().chain(bench);
        for list in lists.filter(|list| !list.is_empty()) {
            words.extend([list.title.to_owned(), list.note.clone()]);
            words.extend(list.entries.iter().map(Entry::text_of));
        }
        words.extend(self.signed.iter().map(|signed| signed.words.text()));
        words.extend(self.signed.iter().map(|signed| signed.meaning.clone()));
        words.extend(self.cautions.iter().map(|&caution| caution.to_owned()));
        words.push(self.numbering.clone());
        words
    }
}
