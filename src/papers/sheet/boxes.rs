//! What is in the box and what comes back, in one table.

use super::content::{BoxRow, Entry, List};
use super::fields::SheetFields;
use super::tables::{KEPT, PARCEL, SCAN};
use super::words::{FIRM, Run, Words, day_of_year};
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::sentences::say::{after, answer, value};
use crate::domain::values::arch::Arch;

/// The table, and what is said of the whole parcel.
pub struct ParcelTable {
    pub rows: List,
    pub notes: List,
    /// Tags that the table has a row for.
    pub tags: Vec<String>,
}

/// What a thing is called, and its arch.
pub fn named(document: &Document, tag: &str) -> (String, String) {
    let item = document.items.iter().find(|item| item.tag == tag);
    let title = item.map(|item| item.title.as_str()).unwrap_or_default();
    for arch in [Arch::Upper, Arch::Lower] {
        let (behind, inside) = (
            format!(", {}", arch.shown()),
            format!(", {}, ", arch.shown()),
        );
        if let Some(name) = title.strip_suffix(&behind) {
            return (name.to_owned(), arch.shown().to_owned());
        }
        if title.contains(&inside) {
            return (title.replacen(&inside, ", ", 1), arch.shown().to_owned());
        }
    }
    (title.to_owned(), String::new())
}

/// The things that go out, the work that is ordered, and what else comes back.
pub fn parcel(fields: &mut SheetFields, document: &Document) -> ParcelTable {
    let mut agents: Vec<Run> = Vec::new();
    let mut rows: Vec<BoxRow> = Vec::new();
    let count = fields.rows("enclosed");
    for row in 0..count {
        rows.push(enclosed(fields, document, row, &mut agents));
    }
    for row in 0..fields.rows("returns") {
        returned(fields, document, row, &mut rows);
    }
    rows.extend(ordered(document));
    let wholesale = wholesale(fields, document, &mut rows);
    let mut notes: Vec<Entry> = Vec::new();
    for (number, agent) in agents.into_iter().enumerate() {
        let label = format!("Agent {}", number + 1);
        notes.push(Entry::fact(&label, Words { runs: vec![agent] }));
    }
    notes.extend(fields.lines(PARCEL));
    notes.extend(fields.each("scans", "File", SCAN));
    notes.extend(fields.each("kept", "Stays here", KEPT));
    if !wholesale.is_empty() {
        notes.push(Entry::fact("Not back", wholesale));
    }
    let tags = rows.iter().map(|row| row.tag.text()).collect();
    ParcelTable {
        rows: List::new(
            "In the box, and back",
            rows.into_iter().map(Entry::Parcel).collect(),
        )
        .note("tick when it is in your hand"),
        notes: List::new("", notes),
        tags,
    }
}

fn enclosed(
    fields: &mut SheetFields,
    document: &Document,
    row: usize,
    agents: &mut Vec<Run>,
) -> BoxRow {
    let at = Some(row);
    let tag = fields.say(&[value("enclosed.#.tag")], at);
    let (name, arch) = named(document, &tag.text());
    let mut title = Words::strong(name).about("enclosed.#.tag", at);
    title.join(
        ", ",
        fields.say(
            &[
                value("enclosed.#.what").strong(),
                after("pieces: ", "enclosed.#.pieces"),
                value("enclosed.#.condition"),
                value("enclosed.#.note"),
            ],
            at,
        ),
    );
    let mut disinfected = fields.say(
        &[answer("enclosed.#.cleaned", "cleaned", "not cleaned")],
        at,
    );
    if let Some(mut agent) = fields.take("enclosed.#.agent", at) {
        if let Some(dilution) = fields.take("enclosed.#.dilution", at) {
            agent.text = format!("{}, {}", agent.text, dilution.text);
            agent.changed |= dilution.changed;
        }
        let place = agents.iter().position(|one| one.text == agent.text);
        let number = place.unwrap_or(agents.len()) + 1;
        let words = format!("agent{FIRM}{number}");
        let words = Words::plain(words).marked(agent.changed);
        disinfected.join(", ", words.about("enclosed.#.agent", at));
        if place.is_none() {
            agents.push(agent);
        }
    }
    let rest = [
        value("enclosed.#.dilution").comma(),
        value("enclosed.#.minutes").comma(),
        answer("enclosed.#.rinsed", "rinsed", "not rinsed").comma(),
        after("by ", "enclosed.#.by").comma(),
        value("enclosed.#.date").comma(),
        value("enclosed.#.time").then(),
    ];
    disinfected.join(", ", fields.say(&rest, at));
    BoxRow {
        name: title,
        arch: Words::plain(arch).about("enclosed.#.tag", at),
        tag,
        disinfected,
        goes_out: true,
        ..BoxRow::default()
    }
}

/// Adds what is to come back to the row of the same thing, or makes one for it.
fn returned(fields: &mut SheetFields, document: &Document, row: usize, rows: &mut Vec<BoxRow>) {
    let at = Some(row);
    let tag = fields.say(&[value("returns.#.tag")], at);
    let back = fields.say(
        &[
            answer("returns.#.borrowed", "on loan", "not borrowed").strong(),
            after("by ", "returns.#.due").comma().strong(),
            value("returns.#.note"),
        ],
        at,
    );
    let what = fields.say(&[value("returns.#.what").strong()], at);
    let mut back = back;
    if let Some(due) = document.due() {
        back.without_year(due.year());
    }
    let back = match back.is_empty() {
        true => Words::plain("with the work").about("returns.#.tag", at),
        false => back,
    };
    let same = rows
        .iter_mut()
        .find(|one| !tag.is_empty() && one.tag.text() == tag.text() && !one.comes_back);
    if let Some(same) = same {
        same.back = back;
        same.comes_back = true;
        if !same.name.text().contains(&what.text()) {
            same.name.join(", ", what);
        }
        return;
    }
    let (name, arch) = named(document, &tag.text());
    let mut title = Words::strong(name).about("returns.#.tag", at);
    title.join(", ", what);
    rows.push(BoxRow {
        name: title,
        arch: Words::plain(arch).about("returns.#.tag", at),
        tag,
        back,
        comes_back: true,
        ..BoxRow::default()
    });
}

/// The work itself, with an empty place for the tags that it gets.
fn ordered(document: &Document) -> Vec<BoxRow> {
    let prescription = &document.prescription;
    let due = document.due().map(day_of_year);
    let pieces = prescription.order.pieces.iter().enumerate();
    let row = |(row, piece): (usize, &crate::domain::prescription::Piece)| BoxRow {
        name: Words::strong(match piece.stage {
            Some(stage) => format!("The work: {}", stage.shown()),
            None => "The work".to_owned(),
        })
        .about("pieces.#.stage", Some(row)),
        arch: Words::plain(piece.arch.map(Arch::shown).unwrap_or_default())
            .about("pieces.#.arch", Some(row)),
        back: match &due {
            Some(due) => Words::strong(format!("by {due}")).about("dates.wanted", None),
            None => Words::default(),
        },
        comes_back: true,
        ..BoxRow::default()
    };
    pieces.map(row).collect()
}

/// What comes back kind by kind: a row each, or a word in the rows of its things. Gives what does not come back.
fn wholesale(fields: &mut SheetFields, document: &Document, rows: &mut Vec<BoxRow>) -> Words {
    let prescription = &document.prescription;
    let tag = |tag: &Option<crate::domain::values::ids::Tag>| tag.as_ref().map(ToString::to_string);
    let patterns = [
        &prescription.pattern.upper_item,
        &prescription.pattern.lower_item,
    ]
    .map(tag);
    let records = [
        &prescription.jaw.item,
        &prescription.facebow.item,
        &prescription.guidance.item,
    ]
    .map(tag);
    let kinds: [(&'static str, &str, Vec<String>); 6] = [
        (
            "back.pattern",
            "Pattern dentures",
            patterns.into_iter().flatten().collect(),
        ),
        (
            "back.records",
            "Bite and facebow records",
            records.into_iter().flatten().collect(),
        ),
        ("back.casts", "Master casts", Vec::new()),
        ("back.remount_casts", "Remount casts and index", Vec::new()),
        ("back.unused_teeth", "Unused teeth and cards", Vec::new()),
        ("back.statement", "Statement of materials", Vec::new()),
    ];
    let mut kept = Words::default();
    for (key, name, tags) in kinds {
        let Some(answer) = fields.take(key, None) else {
            continue;
        };
        if answer.text != "yes" {
            let words = Words::plain(name).marked(answer.changed);
            kept.join("; ", words.about(key, None));
            continue;
        }
        let with = || {
            let words = Words::plain("with the work").marked(answer.changed);
            words.about(key, None)
        };
        let mut is_said = false;
        for row in rows.iter_mut().filter(|row| row.goes_out) {
            if tags.contains(&row.tag.text()) {
                row.comes_back = true;
                if row.back.is_empty() {
                    is_said = true;
                    row.back = with();
                }
            }
        }
        if !is_said {
            rows.push(BoxRow {
                name: Words::strong(name).about(key, None),
                back: with(),
                comes_back: true,
                ..BoxRow::default()
            });
        }
    }
    kept
}
