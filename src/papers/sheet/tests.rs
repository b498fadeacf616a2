//! Every filled field stands on the sheet, and what is changed says so.

use super::{Entry, OnDay, Sheet, SheetOf, Words, sheet};
use crate::domain::custody::bench::BenchMeasure;
use crate::domain::custody::fit::FitValue;
use crate::domain::form::{Kind, Raw};
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::sections::keys;
use crate::domain::prescription::sentences::short;
use crate::domain::prescription::{Prescription, all_fields, field_spec, read, samples};
use crate::domain::review::sample;
use crate::domain::values::measure::Mm;
use crate::domain::values::moment::parse_date;
use crate::domain::values::tooth::Numbering;
use crate::papers::sheet_samples::{document, signature, signed};
use std::collections::BTreeSet;

fn typed(raw: &Raw) -> Prescription {
    read(raw, Numbering::Iso3950).document
}

fn documents() -> Vec<Document> {
    let prescriptions = [
        typed(&samples::full(1)),
        typed(&samples::full(2)),
        typed(&samples::full(4)),
        typed(&samples::least()),
        sample::document(),
        crate::papers::samples::drawn(),
    ];
    let signed_texts = prescriptions.iter().cloned().map(samples::document);
    let plain = prescriptions.iter().cloned().filter_map(document);
    signed_texts.chain(plain).collect()
}

/// What a text says that nobody has signed.
fn draft_of<'a>(document: &'a Document, before: Option<&'a Document>) -> SheetOf<'a> {
    SheetOf {
        document,
        before,
        signature: None,
        paper: Paper::A4,
        record: None,
    }
}

#[test]
fn the_code_names_the_revision_since_the_second_sheet_and_a_draft_names_none() {
    let mut text = document(sample::document()).unwrap();
    text.revision = 12;
    let case = format!("{}/C/{}", text.address, text.case.as_str()).to_uppercase();
    let address = |text: &Document, is_signed: bool| {
        let signature = signature();
        let of = SheetOf {
            document: text,
            before: None,
            signature: is_signed.then_some(&signature),
            paper: Paper::A4,
            record: None,
        };
        sheet(&of).address
    };
    assert_eq!(address(&text, true), format!("{case}/12"));
    assert_eq!(address(&text, false), case);
    // What was signed for the first sheet prints as it did.
    text.sheet = 1;
    assert_eq!(address(&text, true), case);
}

#[test]
fn lots_of_teeth_are_asked_where_teeth_go_into_the_work() {
    let lots = |fields: &[(&str, &str)], sheet_of: u32| {
        let raw: Raw = fields
            .iter()
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect();
        let mut text = samples::document(typed(&raw));
        text.sheet = sheet_of;
        sheet(&draft_of(&text, None)).lots.join(", ")
    };
    let piece = |stage: &'static str| [("pieces.0.arch", "upper"), ("pieces.0.stage", stage)];
    let repair = |what: &'static str| [&piece("repair")[..], &[("repairs.0.what", what)]].concat();
    let (bare, with_teeth) = (
        "Base resin, Separator, Stone",
        "Base resin, Teeth, Separator, Stone",
    );
    for (fields, wanted) in [
        (repair("base_broken"), bare),
        (repair("tooth_added"), with_teeth),
        (repair("tooth_out"), with_teeth),
        (
            [
                &repair("tooth_out")[..],
                &[("repairs.0.tooth_enclosed", "yes")],
            ]
            .concat(),
            bare,
        ),
        (piece("reline").to_vec(), bare),
        (piece("tray").to_vec(), bare),
        (piece("process").to_vec(), with_teeth),
    ] {
        assert_eq!(lots(&fields, 6), wanted, "{fields:?}");
        // What was signed for an earlier sheet prints as it did.
        assert_eq!(lots(&fields, 5), with_teeth, "{fields:?}");
    }
}

/// Whether something of these words can be touched to ask about it.
fn can_be_touched(words: &Words) -> bool {
    words.is_empty() || words.runs.iter().any(|run| !run.about.is_empty())
}

#[test]
fn what_is_to_be_avoided_and_every_line_of_the_box_can_be_touched() {
    let mut rows = 0;
    for text in documents() {
        let sheet = sheet(&draft_of(&text, None));
        let avoid = &sheet.top.avoid.runs;
        assert!(avoid.iter().all(|run| run.about == "base.without"));
        for entry in &sheet.parcel.entries {
            let Entry::Parcel(row) = entry else {
                panic!("{entry:?}");
            };
            for words in [&row.name, &row.arch, &row.tag, &row.disinfected, &row.back] {
                assert!(can_be_touched(words), "{}", entry.text_of());
            }
            rows += 1;
        }
        for entry in &sheet.parcel_notes.entries {
            let Entry::Fact { words, .. } = entry else {
                panic!("{entry:?}");
            };
            assert!(can_be_touched(words), "{}", entry.text_of());
        }
    }
    assert!(rows > 20, "{rows}");
}

#[test]
fn what_changed_is_asked_about_by_its_field() {
    let before = document(sample::document()).unwrap();
    let mut now = before.clone();
    now.revision = before.revision + 1;
    now.prescription.vertical.occlusal_mm = Some(Mm::from_hundredths(6450));
    let sheet = sheet(&draft_of(&now, Some(&before)));
    let lists = [&sheet.differences, &sheet.differences_more];
    let entries = lists.into_iter().flat_map(|list| &list.entries);
    let about: Vec<&str> = entries
        .flat_map(|entry| match entry {
            Entry::Fact { words, .. } => words.runs.iter().map(|run| run.about).collect::<Vec<_>>(),
            other => panic!("{other:?}"),
        })
        .collect();
    assert!(about.contains(&"vertical.occlusal_mm"), "{about:?}");
}

/// The words of a sheet as one text of single spaces.
fn said(sheet: &Sheet) -> String {
    let words = sheet.words().join(" ").replace('\u{A0}', " ");
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn in_one_line(text: &str) -> String {
    let dots = super::words::in_line(text).replace('\u{A0}', " ");
    dots.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Values that the sheet says by other means than their words: that a mould or a shade is the one named here is
/// said by the place where it stands.
const SAID_BY_PLACE: [(&str, &str); 6] = [
    // "not moved", since the eighth sheet.
    ("anterior.midline_offset_mm", "0 mm"),
    // By the kind of work: a denture that is relined is its own tray.
    ("impression.source", "impression in a custom tray"),
    // Said once for all readings where they share it.
    ("readings.#.method", ""),
    ("anterior.choice", "the mould named here"),
    ("posterior.choice", "the mould named here"),
    ("shade.source", "the tab named here"),
];

/// Sections whose place is the full text: the law with its sources, and the score.
const OF_THE_FULL_TEXT: [&str; 2] = [keys::PROFILES, keys::SCORE];

#[test]
fn every_value_of_the_walk_stands_on_the_sheet() {
    for document in documents() {
        let sheet = signed(&document, None, Paper::A4);
        let all = said(&sheet).to_lowercase();
        let has = |key: &str, value: &str| {
            let is_date = field_spec(&key.replace(".#.", ".0."))
                .is_some_and(|spec| matches!(spec.kind, Kind::Date));
            let shown = match parse_date(value) {
                Ok(date) if is_date || key.is_empty() => {
                    super::words::day_of_year(date).replace('\u{A0}', " ")
                }
                _ => in_one_line(value),
            };
            let (shown, plain) = (shown.to_lowercase(), in_one_line(value).to_lowercase());
            assert!(
                all.contains(&shown) || (key.is_empty() && all.contains(&plain)),
                "{key}: {shown} is missing in\n{all}"
            );
        };
        for section in document.sections(signature().at.date(), document.numbering) {
            if [keys::HEAD, keys::PATIENT].contains(&section.key)
                || OF_THE_FULL_TEXT.contains(&section.key)
            {
                continue;
            }
            for line in &section.lines {
                let is_answer = ["yes", "no"].contains(&line.value.as_str());
                if !is_answer && !SAID_BY_PLACE.contains(&(line.key, &line.value)) {
                    has(line.key, &line.value);
                }
            }
            section.notes.iter().for_each(|note| has("", note));
            for cell in section
                .tables
                .iter()
                .flat_map(|table| table.rows.iter().flatten())
            {
                if !["yes", "no", "1", ""].contains(&cell.as_str()) {
                    // The name of a thing and its arch stand in two columns.
                    let is_thing = section.key == keys::ITEMS;
                    let parts = if is_thing {
                        cell.split(", ")
                    } else {
                        cell.split("\u{0}")
                    };
                    parts.for_each(|part| has("", part));
                }
            }
        }
        for fact in [&document.office, &document.lab] {
            fact.address.lines().for_each(|line| has("", line));
            for text in [&fact.name, &fact.licence, &fact.telephone] {
                has("", text);
            }
        }
        for (label, words) in &document.patient.facts {
            let is_answered = label == "Materials to be avoided" && sheet.top.avoids;
            if !is_answered {
                let known = words.trim_start_matches("asked: ");
                has("", label.strip_prefix("No ").unwrap_or(known));
            }
        }
        has("", &document.prescriber_name);
        has("", &document.prescriber_licence);
    }
}

/// Two texts for one field that differ.
fn two(spec: &'static crate::domain::form::FieldSpec) -> [String; 2] {
    [samples::filling(spec, 1), samples::filling(spec, 2)]
}

#[test]
fn no_field_can_be_filled_otherwise_without_a_word_on_the_sheet_changing() {
    let base = samples::full(1);
    for spec in all_fields() {
        let key = spec.at(spec.key.contains('#').then_some(0));
        let sheets = two(spec).map(|text| {
            let mut raw = base.clone();
            raw.insert(key.clone(), text);
            said(&signed(&document(typed(&raw)).unwrap(), None, Paper::A4))
        });
        let mut without = base.clone();
        without.remove(&key);
        let without = said(&signed(
            &document(typed(&without)).unwrap(),
            None,
            Paper::A4,
        ));
        let is_one_value = sheets[0] == sheets[1] && two(spec)[0] == two(spec)[1];
        assert!(
            is_one_value || sheets[0] != sheets[1],
            "{key} may change unseen"
        );
        let by_place = SAID_BY_PLACE.iter().any(|(place, _)| *place == spec.key);
        assert!(
            by_place || sheets.iter().all(|one| *one != without),
            "{key} may be left out unseen"
        );
    }
}

#[test]
fn an_answer_alone_is_told_from_its_opposite_and_from_silence() {
    for spec in all_fields().filter(|spec| matches!(spec.kind, Kind::YesNo)) {
        let key = spec.at(spec.key.contains('#').then_some(0));
        let with = |answer: &str| {
            let raw = Raw::from([(key.clone(), answer.to_owned())]);
            said(&signed(&document(typed(&raw)).unwrap(), None, Paper::A4))
        };
        let silent = said(&signed(
            &document(Prescription::default()).unwrap(),
            None,
            Paper::A4,
        ));
        let (yes, no) = (with("yes"), with("no"));
        assert!(yes != no && yes != silent && no != silent, "{key}");
    }
}

#[test]
fn l2_a_second_revision_says_what_was_and_what_is_and_marks_it() {
    let before = document(sample::document()).unwrap();
    let mut raw = sample::raw();
    raw.insert("shade.tab".to_owned(), "birch 3".to_owned());
    raw.insert("dates.wanted".to_owned(), "2026-03-20".to_owned());
    raw.insert("changes.2.what".to_owned(), "palate".to_owned());
    raw.insert("changes.2.direction".to_owned(), "thinner".to_owned());
    raw.insert("changes.2.mm".to_owned(), "0.5".to_owned());
    let after = Document {
        revision: 2,
        ..document(typed(&raw)).unwrap()
    };
    let sheet = signed(&after, Some(&before), Paper::A4);
    let words: Vec<String> = sheet
        .differences
        .entries
        .iter()
        .chain(&sheet.differences_more.entries)
        .map(|one| one.text_of())
        .collect();
    let all = words.join("\n");
    assert!(all.contains("birch 4 → birch 3"), "{all}");
    let plain = all.replace('\u{A0}', " ");
    assert!(plain.contains("Tue 17 Mar 2026 → Fri 20 Mar 2026"), "{all}");
    assert!(
        all.contains("row 3 new row, underlined below") && !all.contains("palate"),
        "{all}"
    );
    assert!(sheet.top.due.changed);
    let marked: Vec<String> = changed(&sheet);
    assert!(marked.contains(&"birch 3".to_owned()), "{marked:?}");
    assert!(marked.contains(&"palate".to_owned()), "{marked:?}");
    assert!(
        !marked.iter().any(|text| text.contains("heather")),
        "{marked:?}"
    );
    // Rows that were there before the new one are as they were.
    assert!(
        !marked.iter().any(|text| text.contains("incisors")),
        "{marked:?}"
    );
    let first = signed(&before, None, Paper::A4);
    assert!(changed(&first).is_empty() && first.differences.is_empty());
}

/// What is marked as changed on the front's strip and in its lists.
fn changed(sheet: &Sheet) -> Vec<String> {
    let mut all: Vec<super::Words> = Vec::new();
    for cell in &sheet.strip {
        all.extend(cell.values.iter().map(|(_, value)| value.clone()));
    }
    for list in sheet.lists() {
        for entry in &list.entries {
            match entry {
                Entry::Fact { words, .. } => all.push(words.clone()),
                Entry::Change(change) => {
                    all.extend([change.words.clone(), change.amount.clone()]);
                }
                Entry::Piece(cells) => all.extend(cells.iter().cloned()),
                Entry::Parcel(row) => all.extend([row.name.clone(), row.back.clone()]),
                Entry::Check { .. } => {}
            }
        }
    }
    let runs = all.into_iter().flat_map(|words| words.runs);
    runs.filter(|run| run.changed).map(|run| run.text).collect()
}

#[test]
fn l3_a_thing_in_the_box_has_its_name_its_arch_and_its_tag() {
    let sheet = signed(&document(sample::document()).unwrap(), None, Paper::A4);
    let rows: Vec<String> = sheet
        .parcel
        .entries
        .iter()
        .map(|one| one.text_of())
        .collect();
    let tag = sample::tag_text("provisional_upper");
    let upper = format!("Provisional denture upper {tag}");
    assert!(rows.iter().any(|row| row.starts_with(&upper)), "{rows:?}");
    let tab = rows.iter().find(|row| row.starts_with("Shade tab"));
    assert!(
        tab.is_some_and(|row| row.contains("on loan, by Tue\u{A0}17\u{A0}Mar")),
        "{rows:?}"
    );
}

#[test]
fn l6_the_numbering_system_is_named_even_where_no_tooth_is() {
    for numbering in [Numbering::Iso3950, Numbering::Universal] {
        let text = Document {
            numbering,
            ..document(Prescription::default()).unwrap()
        };
        let words = said(&signed(&text, None, Paper::A4));
        assert!(words.contains(numbering.shown()), "{words}");
    }
}

#[test]
fn a_draft_is_not_signed_and_names_no_record() {
    let text = document(sample::document()).unwrap();
    let sheet = sheet(&draft_of(&text, None));
    assert!(sheet.draft && sheet.signed.is_none());
    assert!(!said(&sheet).contains("Signed"));
}

/// A document with these fields over the sample, for a sheet of this number.
fn with(fields: &[(&str, &str)], number: u32) -> Document {
    let mut raw = sample::raw();
    for (key, text) in fields {
        raw.insert((*key).to_owned(), (*text).to_owned());
    }
    Document {
        sheet: number,
        ..document(typed(&raw)).unwrap()
    }
}

fn lines(list: &super::List) -> Vec<String> {
    let lines = list.entries.iter().map(|one| one.text_of());
    lines.map(|line| line.replace('\u{A0}', " ")).collect()
}

#[test]
fn a_number_has_its_direction_beside_it_and_an_older_sheet_stays_as_it_was() {
    let fields = [
        ("anterior.incisal_change_mm", "1"),
        ("base_shade.gum_line_mm", "-1"),
        ("anterior.midline_offset_mm", "2"),
        ("anterior.midline_side", "left"),
        ("plane.tilt_mm", "1"),
        ("plane.lower_side", "right"),
        ("anterior.lip_support", "more"),
        ("anterior.lip_support_mm", "1"),
        ("changes.0.what", "tooth"),
        ("changes.0.tooth", "11"),
        ("changes.0.direction", "left"),
        ("changes.0.mm", "0.5"),
        ("changes.1.what", "tooth"),
        ("changes.1.tooth", "21"),
        ("changes.1.direction", "left"),
        ("changes.1.mm", "0.5"),
    ];
    let of = |number: u32| signed(&with(&fields, number), None, Paper::A4);
    let (third, second) = (of(3), of(2));
    let bench = [lines(&third.set_up), lines(&third.processed)]
        .concat()
        .join("\n");
    for words in [
        "Incisal length, change 1 mm, longer",
        "mm, less tooth",
        "Midline, moved by 2 mm, patient’s left",
        "Plane, sides differ 1 mm, lower: patient’s right",
        "Lip support, change 1 mm, more",
        "Change 1, 11",
        "Change 2, 21",
    ] {
        assert!(bench.contains(words), "{words} is missing in\n{bench}");
    }
    // Two rows that would read alike are told apart by number, tooth and direction.
    let rows: Vec<String> = lines(&third.set_up)
        .into_iter()
        .filter(|line| line.starts_with("Change "))
        .collect();
    assert_ne!(rows[0], rows[1]);
    assert!(
        rows.iter().all(|row| row.contains("to the patient’s left")),
        "{rows:?}"
    );
    assert!(said(&third).contains("length to change by 1 mm, longer"));
    let before = lines(&second.set_up);
    assert!(
        before.contains(&"Change, one tooth 0.5 mm".to_owned()),
        "{before:?}"
    );
    assert!(before.contains(&"Midline, moved by 2 mm".to_owned()));
    assert!(!said(&second).contains("mm, longer"));
}

/// Common practice, no source: longer at the edge is not longer at the gum, and at the bench the number stands alone.
#[test]
fn each_direction_of_a_change_reads_otherwise_at_the_bench() {
    let Some(Kind::Choice(ways)) = field_spec("changes.0.direction").map(|spec| &spec.kind) else {
        panic!("a direction is chosen");
    };
    let mut rows: Vec<String> = Vec::new();
    for (stored, _) in ways.iter() {
        let fields = [
            ("changes.0.what", "tooth"),
            ("changes.0.tooth", "11"),
            ("changes.0.direction", *stored),
            ("changes.0.mm", "0.5"),
        ];
        let sheet = signed(&with(&fields, 3), None, Paper::A4);
        let all = lines(&sheet.set_up);
        let row = all.iter().find(|line| line.starts_with("Change"));
        let row = row.and_then(|row| row.split_once(" mm, "));
        let row = row.map(|(_, way)| way.to_owned());
        let row = row.unwrap_or_else(|| panic!("{stored} is not measured: {all:?}"));
        assert!(!rows.contains(&row), "{row} stands for two directions");
        rows.push(row);
    }
    for (stored, said) in ways.iter() {
        if let Some(short) = short::way(stored) {
            assert!(short.chars().count() < said.chars().count(), "{short}");
            assert!(rows.iter().any(|row| row == short), "{short}");
        }
    }
}

/// Values that are looked at in the mouth alone.
const AT_THE_CHAIR: [&str; 3] = [
    "vertical.rest_mm",
    "vertical.closest_speaking_mm",
    "anterior.incisal_show_mm",
];

#[test]
fn every_number_that_the_bench_or_the_fit_measures_has_room_at_the_bench() {
    use super::tables::{FINISH_CHECKS, FINISH_SINCE, SET_UP_CHECKS, SET_UP_LATEST, SET_UP_SINCE};
    let tables = [
        SET_UP_CHECKS,
        SET_UP_SINCE,
        SET_UP_LATEST,
        FINISH_CHECKS,
        FINISH_SINCE,
    ];
    let rows = tables.iter().flat_map(|table| table.iter());
    let room: Vec<&str> = rows.flat_map(|(_, keys)| keys.iter().copied()).collect();
    let bench = BenchMeasure::ALL.iter().map(|measure| measure.field());
    let measured = FitValue::ALL
        .iter()
        .filter(|value| value.within().is_some());
    let measured = measured.filter_map(|value| value.fields().first().copied());
    // What is measured of lip support stands in its second field.
    let by_word = |key: &&str| *key != "anterior.lip_support";
    let wanted = bench
        .chain(measured.filter(by_word))
        .chain(["anterior.lip_support_mm"]);
    for key in wanted.filter(|key| !key.is_empty() && !AT_THE_CHAIR.contains(key)) {
        assert!(room.contains(&key), "{key} has no room at the bench");
    }
    for key in room {
        assert!(field_spec(key).is_some(), "{key} is no field");
    }
}

/// Numbers with a unit that nobody measures at the bench, and why.
const WITHOUT_A_BOX: [(&str, &str); 14] = [
    ("vertical.rest_mm", "measured in the mouth"),
    ("vertical.closest_speaking_mm", "measured in the mouth"),
    ("readings.#.rest_mm", "measured in the mouth"),
    ("readings.#.occlusal_mm", "measured in the mouth"),
    ("anterior.incisal_show_mm", "measured in the mouth"),
    ("anterior.high_lip_mm", "measured in the mouth"),
    ("impression.keeps_hours", "how long the material keeps"),
    ("finish.keep_months", "how long the lab keeps things"),
    ("enclosed.#.minutes", "done at the office"),
    ("duplicate.upper_minutes", "done at the office"),
    ("duplicate.lower_minutes", "done at the office"),
    ("duplicate.sheet_minutes", "done at the office"),
    ("duplicate.water", "done at the office"),
    ("duplicate.sheet_water", "done at the office"),
];

#[test]
fn each_number_that_is_prescribed_and_can_be_measured_has_its_box_since_the_ninth_sheet() {
    let is_number = |kind: &Kind| match kind {
        Kind::Mm { .. } | Kind::Degrees { .. } | Kind::Number { .. } => true,
        Kind::Whole { unit, .. } => !unit.is_empty(),
        _ => false,
    };
    let (mut boxed, mut without) = (BTreeSet::new(), BTreeSet::new());
    for text in documents() {
        let sheet = signed(&text, None, Paper::A4);
        let lists = [&sheet.set_up, &sheet.processed];
        let entries = lists.into_iter().flat_map(|list| &list.entries);
        let boxes: Vec<_> = entries
            .flat_map(|entry| match entry {
                Entry::Check { prescribed, .. } => prescribed.runs.as_slice(),
                other => panic!("{other:?}"),
            })
            .map(|run| (run.about, run.row))
            .collect();
        let filled = text.prescription.filled(text.numbering);
        let cells = filled.iter().flat_map(|(_, cells)| cells);
        // A midline that stays is not measured.
        let is_kept = |key: &str, shown: &str| key.contains(".midline_") && shown == "0 mm";
        for cell in cells.filter(|cell| is_number(&cell.spec.kind)) {
            let key = cell.spec.key;
            if boxes.contains(&(key, cell.row)) {
                boxed.insert(key);
            } else if !is_kept(key, &cell.shown) {
                without.insert(key);
            }
        }
    }
    let excepted: BTreeSet<&str> = WITHOUT_A_BOX.iter().map(|(key, _)| *key).collect();
    assert_eq!(without, excepted);
    assert!(
        boxed.is_disjoint(&excepted) && boxed.len() > 40,
        "{boxed:?}"
    );
    // Every number that the form knows is in one of the samples.
    let all = all_fields().filter(|spec| is_number(&spec.kind));
    let missing: Vec<&str> = all
        .map(|spec| spec.key)
        .filter(|key| !boxed.contains(key) && !without.contains(key))
        .collect();
    assert_eq!(missing, [""; 0]);
    let fields = [("posterior.length_mm", "28"), ("jaw.thickness_mm", "3")];
    let bench = |number: u32| lines(&signed(&with(&fields, number), None, Paper::A4).set_up);
    for row in ["Canine to pad 28 mm", "Bite record, thickness 3 mm"] {
        let has = |number: u32| bench(number).iter().any(|line| line.starts_with(row));
        // What was signed before prints as it did.
        assert!(has(9) && !has(8), "{row}: {:?}", bench(9));
    }
}

#[test]
fn a_thickness_has_its_place_beside_it_and_a_kept_mounting_stands_with_it_since_the_ninth_sheet() {
    let fields = [
        ("jaw.thickness_mm", "3"),
        ("jaw.thickness_at", "molars"),
        ("facebow.kept_mounting", "yes"),
    ];
    let of = |number: u32| {
        let sheet = signed(&with(&fields, number), None, Paper::A4);
        let lists = [&sheet.record, &sheet.mounting, &sheet.further];
        lists.map(|list| lines(list).join("; "))
    };
    let [record, mounting, further] = of(9);
    assert!(
        record.contains("thickness 3 mm between the second molars"),
        "{record}"
    );
    assert!(
        mounting.contains("the lab has kept the mounting"),
        "{mounting}"
    );
    assert!(!further.contains("Thickness measured") && !further.contains("mounting"));
    let [record, mounting, further] = of(8);
    assert!(
        record.contains("thickness 3 mm") && !record.contains("molars"),
        "{record}"
    );
    assert!(!mounting.contains("kept"), "{mounting}");
    assert!(
        further.contains("Thickness measured between the second molars"),
        "{further}"
    );
    assert!(
        further.contains("The lab has kept the mounting"),
        "{further}"
    );
}

#[test]
fn signed_words_are_spelled_as_the_pages_are_since_the_ninth_sheet() {
    use crate::domain::prescription::revision::MissingPoint;
    let fields = [
        ("base_shade.fibres", "yes"),
        ("base.strengthening", "glass_fibre"),
        ("spare.teeth", "resin"),
        ("shade.source", "measured"),
        ("shade.tab", ""),
        ("anterior.arrangement", "individual"),
        ("pattern.rule", "guide"),
        ("scans.0.units", "mm"),
    ];
    let text_of = |number: u32, substance: &str, point: &str| {
        let mut text = with(&fields, number);
        let avoided = ("To be avoided".to_owned(), substance.to_owned());
        text.patient.facts = vec![avoided];
        text.missing = vec![MissingPoint {
            number: 4,
            name: point.to_owned(),
            reason: "applied for".to_owned(),
        }];
        text
    };
    let now = text_of(
        9,
        "added dyes or pigmented fibers",
        "License of the prescriber",
    );
    let before = text_of(
        8,
        "added dyes or pigmented fibres",
        "Licence of the prescriber",
    );
    let words = |text: &Document| said(&signed(text, None, Paper::A4));
    let (is, was) = (words(&now), words(&before));
    for (ours, theirs) in [
        ("glass fiber", "glass fibre"),
        ("tooth-colored resin", "tooth-coloured resin"),
        ("measured color", "measured colour"),
        ("individualize as described", "individualise as described"),
        (
            "as a guide and individualize",
            "as a guide and individualise",
        ),
        ("millimeters", "millimetres"),
        ("pigmented fibers", "pigmented fibres"),
        ("License of the", "Licence of the"),
    ] {
        assert!(is.contains(ours) && !is.contains(theirs), "{ours}: {is}");
        assert!(
            was.contains(theirs) && !was.contains(ours),
            "{theirs}: {was}"
        );
    }
    // Another spelling is no change.
    let second = Document { revision: 2, ..now };
    let sheet = signed(&second, Some(&before), Paper::A4);
    assert!(sheet.differences.is_empty(), "{:?}", sheet.differences);
    assert!(sheet.top.avoid.runs.iter().all(|run| !run.changed));
    assert_eq!(changed(&sheet), [""; 0]);
}

/// From the set-up on it lies at the lab, and a list of what is enclosed that lacks it is right.
#[test]
fn a_protrusive_record_that_stayed_at_the_lab_is_not_called_enclosed_since_the_ninth_sheet() {
    let record = sample::tag_text("cast_lower");
    let fields = [
        ("guidance.source", "record"),
        ("guidance.item", record.as_str()),
    ];
    let sent = [&fields[..], &[("enclosed.5.tag", record.as_str())]].concat();
    let said = |fields: &[(&str, &str)], is_later: bool, number: u32| {
        let before = with(&sent, number);
        let before = is_later.then_some(&before);
        let sheet = signed(&with(fields, number), before, Paper::A4);
        lines(&sheet.mounting).join("\n")
    };
    assert!(said(&fields, true, 9).contains("protrusive record at the lab"));
    for (fields, is_later) in [(&sent[..], true), (&sent[..], false), (&fields[..], false)] {
        let words = said(fields, is_later, 9);
        assert!(
            words.contains("protrusive record") && !words.contains("at the lab"),
            "{words}"
        );
    }
    assert!(said(&fields, true, 8).contains("protrusive record enclosed"));
}

#[test]
fn rims_a_pin_and_the_guidance_have_room_at_the_bench_since_the_fourth_sheet() {
    let fields = [
        ("rims.upper_front_mm", "22"),
        ("rims.lower_front_mm", "18"),
        ("rims.back_width_mm", "10"),
        ("remount.pin_drop_max_mm", "0.5"),
        ("occlusion.angle", "15"),
    ];
    let bench = |number: u32| {
        let sheet = signed(&with(&fields, number), None, Paper::A4);
        [lines(&sheet.set_up), lines(&sheet.processed)].concat()
    };
    let (fourth, third) = (bench(4), bench(3));
    for line in [
        "Rims in front, U and L 22 mm; 18 mm",
        "Rims, width behind 10 mm",
        "Pin sinks by, at most 0.5 mm",
        "Anterior guidance 15°",
    ] {
        assert!(fourth.contains(&line.to_owned()), "{line}: {fourth:?}");
        assert!(!third.contains(&line.to_owned()), "{line}");
    }
}

#[test]
fn what_is_worn_or_kept_back_says_where_it_stays_since_the_fourth_sheet() {
    let of = |number: u32| {
        let sheet = signed(&with(&[], number), None, Paper::A4);
        lines(&sheet.behind).join("\n")
    };
    let (fourth, third) = (of(4), of(3));
    for (thing, place) in [
        ("duplicate_upper", "in the mouth"),
        ("duplicate_lower", "in the mouth"),
        ("old_upper", "kept back at the office"),
    ] {
        let words = format!("{}: {place}", sample::tag_text(thing));
        assert!(fourth.contains(&words), "{words} is missing in\n{fourth}");
        assert!(!third.contains(place), "{third}");
    }
}

#[test]
fn an_accepted_query_is_said_once_and_marked_where_it_is_new() {
    let before = with(&[], 4);
    let mut after = Document {
        revision: 2,
        ..before.clone()
    };
    after
        .passed
        .push(crate::domain::prescription::revision::PassedCaution {
            id: "wax-record-old".to_owned(),
            sentence: "The wax record is old.".to_owned(),
            reason: "kept cool".to_owned(),
        });
    let differences_of = |text: &Document, before: &Document| {
        let sheet = signed(text, Some(before), Paper::A4);
        let lists = [&sheet.differences, &sheet.differences_more];
        let differences_of: Vec<String> = lists.into_iter().flat_map(lines).collect();
        (differences_of, sheet)
    };
    let (entered, sheet) = differences_of(&after, &before);
    assert_eq!(entered, ["Accepted queries 1 new, marked in their list"]);
    assert_eq!(said(&sheet).matches("kept cool").count(), 1);
    let marked = changed(&sheet);
    assert!(
        marked.iter().any(|text| text.contains("wax record")),
        "{marked:?}"
    );
    let (taken, _) = differences_of(&before, &after);
    assert_eq!(taken, ["Accepted queries 1 no longer there"]);
    // Until the third sheet both lists had the reason.
    after.sheet = 3;
    let (_, sheet) = differences_of(&after, &before);
    assert_eq!(said(&sheet).matches("kept cool").count(), 2);
}

#[test]
fn a_value_that_is_there_no_longer_is_told_so_and_an_older_sheet_says_it_as_before() {
    for (number, words, other) in [
        (7, "no longer: ", "→ nothing"),
        (6, "→ nothing", "no longer: "),
        (5, "→ nothing", "no longer: "),
    ] {
        let before = with(&[], number);
        let after = Document {
            revision: 2,
            ..with(&[("shade.tab", "")], number)
        };
        let said = said(&signed(&after, Some(&before), Paper::A4));
        assert!(said.contains(words) && !said.contains(other), "{said}");
    }
}

#[test]
fn a_long_text_that_changed_stands_in_its_own_line_alone_since_the_ninth_sheet() {
    let [one, other] = ["wide", "slim"].map(|word| {
        format!("{word} at the neck, as on the photograph of the left side, the edge worn flat")
    });
    let of = |key: &str, was: &str, is: &str, number: u32| {
        let row = ("stage_dates.0.date", "2026-03-10");
        let before = with(&[row, (key, was)], number);
        let after = Document {
            revision: 2,
            ..with(&[row, (key, is), ("shade.tab", "birch 3")], number)
        };
        let sheet = signed(&after, Some(&before), Paper::A4);
        let told = [lines(&sheet.differences), lines(&sheet.differences_more)].concat();
        (told.join("\n"), said(&sheet).matches(is).count())
    };
    let (told, times) = of("shade.note", "", &one, 9);
    for line in [
        "Tooth shade: Note new text, underlined below",
        // A label of one word has its part before it.
        "Tooth shade: Tab birch 4 → birch 3",
    ] {
        assert!(told.contains(line), "{line} is missing in\n{told}");
    }
    assert_eq!(times, 1, "{told}");
    let (told, times) = of("shade.note", &other, &one, 9);
    let line = "Tooth shade: Note another text, underlined below";
    assert!(told.contains(line) && !told.contains(&other), "{told}");
    assert_eq!(times, 1, "{told}");
    // What is there no longer stands nowhere else, and what is said above it is not below.
    let (told, _) = of("shade.note", &other, "", 9);
    assert!(told.contains(&format!("no longer: {other}")), "{told}");
    let (told, _) = of("stage_dates.0.note", &other, &one, 9);
    assert!(told.contains(&one), "{told}");
    // An older sheet says it twice, and a label that only one field has stands alone.
    let (told, times) = of("shade.note", &other, &one, 8);
    assert!(told.contains(&format!("{other} → {one}")), "{told}");
    assert!(!told.contains("Tooth shade: Tab"), "{told}");
    assert_eq!(times, 2, "{told}");
}

#[test]
fn a_whole_new_row_stands_in_its_own_line_alone_since_the_ninth_sheet() {
    let told = |number: u32, fields: &[(&str, &str)]| {
        let before = with(&[], number);
        let after = Document {
            revision: 2,
            ..with(fields, number)
        };
        let sheet = signed(&after, Some(&before), Paper::A4);
        let told = [lines(&sheet.differences), lines(&sheet.differences_more)].concat();
        (told.join("\n"), sheet)
    };
    let palate = [
        ("changes.2.what", "palate"),
        ("changes.2.direction", "thinner"),
        ("changes.2.mm", "0.5"),
        ("changes.2.note", "behind the papilla"),
    ];
    let (line, sheet) = told(9, &palate);
    assert!(line.ends_with("row 3 new row, underlined below"), "{line}");
    assert_eq!(said(&sheet).matches("behind the papilla").count(), 1);
    // An older sheet says it above and below.
    let (line, sheet) = told(8, &palate);
    assert!(line.contains("nothing → What: palate"), "{line}");
    assert_eq!(said(&sheet).matches("behind the papilla").count(), 2);
    // Put in before another, all of it is marked, whatever the row in its place had said.
    let moved: Vec<(String, String)> = sample::raw()
        .into_iter()
        .filter_map(|(key, text)| Some((key.strip_prefix("changes.1.")?.to_owned(), text)))
        .collect();
    let moved: Vec<(String, String)> = moved
        .into_iter()
        .map(|(key, text)| (format!("changes.2.{key}"), text))
        .collect();
    let direction = sample::raw()["changes.1.direction"].clone();
    let mut put_in = vec![
        ("changes.1.what", "palate"),
        ("changes.1.direction", direction.as_str()),
        ("changes.1.note", "behind the papilla"),
    ];
    put_in.extend(
        moved
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str())),
    );
    let whole = |sheet: &Sheet| {
        let runs = sheet.changes.entries.iter().flat_map(|entry| match entry {
            Entry::Change(change) => change.words.runs.clone(),
            _ => Vec::new(),
        });
        let own = runs.filter(|run| run.row == Some(1) && !run.about.is_empty());
        own.map(|run| run.changed).collect::<Vec<_>>()
    };
    let (line, sheet) = told(9, &put_in);
    assert!(line.contains("row 2 new row, underlined below"), "{line}");
    let marked = whole(&sheet);
    assert!(
        marked.len() > 1 && marked.iter().all(|one| *one),
        "{marked:?}"
    );
    assert!(whole(&told(8, &put_in).1).contains(&false));
    // The box is read thing by thing, and a day stands above.
    let (line, _) = told(9, &[("stage_dates.0.date", "2026-03-10")]);
    assert!(!line.contains("new row"), "{line}");
}

#[test]
fn the_days_are_those_of_the_signed_text_and_an_older_sheet_has_them_in_words_alone() {
    let days = |fields: &[(&str, &str)], number: u32| {
        let sheet = signed(&with(fields, number), None, Paper::A4);
        let more = sheet.top.due.more.text().replace('\u{A0}', " ");
        let days = sheet.top.due.days.into_iter();
        let days = days.map(|day| (day.is, day.words.text().replace('\u{A0}', " ")));
        (days.collect::<Vec<_>>(), more)
    };
    let said = |all: &[(OnDay, &str)]| -> Vec<(OnDay, String)> {
        all.iter()
            .map(|(is, text)| (*is, (*text).to_owned()))
            .collect()
    };
    let (all, more) = days(&[], 6);
    let plain = [
        (OnDay::Signature, "signed Mon 2 Mar"),
        (OnDay::Wanted, ""),
        (OnDay::Planned, "insertion Wed 18 Mar"),
        (OnDay::Planned, "check Thu 19 Mar"),
    ];
    assert_eq!(all, said(&plain));
    assert_eq!(more, "insertion Wed 18 Mar, check Thu 19 Mar");
    assert_eq!(days(&[], 5), (Vec::new(), more));
    // A stage of before stands before the day wanted, and a year that is another one is said.
    let stage = [
        ("dates.wanted_time", "10:00"),
        ("dates.first_check", "2027-01-04"),
        ("stage_dates.0.stage", "try_in"),
        ("stage_dates.0.date", "2026-03-10"),
    ];
    let (all, _) = days(&stage, 6);
    let words: Vec<&str> = all.iter().map(|(_, words)| words.as_str()).collect();
    let wanted = [
        "signed Mon 2 Mar",
        "wax try-in by Tue 10 Mar",
        "at 10:00",
        "insertion Wed 18 Mar",
        "check Mon 4 Jan 2027",
    ];
    assert_eq!(words, wanted);
    // What has no day, or hangs on none, stands in words.
    for fields in [
        &[("stage_dates.0.stage", "try_in")][..],
        &[("dates.wanted", ""), ("dates.wanted_time", "10:00")],
    ] {
        let (all, more) = days(fields, 6);
        assert!(all.is_empty() && !more.is_empty(), "{fields:?}");
    }
    // A draft was signed on no day.
    let drafted = sheet(&draft_of(&with(&[], 6), None)).top.due.days;
    assert_eq!(drafted.len(), 3);
    assert!(drafted.iter().all(|day| day.is != OnDay::Signature));
}

#[test]
fn an_impression_is_said_to_be_where_it_was_taken() {
    const SOURCE: (&str, &str) = ("impression.source", "impression");
    let tray = "Surface impression in a custom tray";
    for (fields, number, words) in [
        (vec![SOURCE], 3, tray),
        (
            vec![
                SOURCE,
                ("pieces.0.stage", "reline"),
                ("pieces.1.stage", "rebase"),
            ],
            3,
            "Surface impression in the denture itself",
        ),
        (
            vec![
                SOURCE,
                ("pieces.0.stage", "reline"),
                ("pieces.1.stage", "rebase"),
            ],
            2,
            tray,
        ),
        (
            vec![SOURCE, ("extractions.0.tooth", "11")],
            3,
            "Surface impression,",
        ),
    ] {
        let sheet = signed(&with(&fields, number), None, Paper::A4);
        let first = lines(&sheet.first).join("\n");
        assert!(first.contains(words), "{fields:?}: {first}");
    }
}

#[test]
fn what_the_lab_copies_stands_in_the_order_where_the_copy_is_the_work() {
    let tag = sample::tag_text("provisional_upper");
    let fields = [
        ("pieces.0.stage", "duplicate"),
        ("pieces.1.stage", "duplicate"),
        ("spare.made_by", "lab"),
        ("spare.copied_upper", tag.as_str()),
    ];
    let of = |number: u32| signed(&with(&fields, number), None, Paper::A4);
    let (third, second) = (of(3), of(2));
    let copy = format!("Copy of upper {tag}");
    assert!(
        lines(&third.order)
            .iter()
            .any(|line| line.starts_with(&copy))
    );
    assert_eq!(third.behind.title, "Spare and duplicate");
    assert_eq!(second.behind.title, "What stays behind");
    assert!(
        !lines(&second.order)
            .iter()
            .any(|line| line.starts_with("Copy of"))
    );
    // Beside other work it is the spare, with what it is made of, and of the final unless something else is named.
    let beside = [
        ("pieces.2.arch", "upper"),
        ("pieces.2.stage", "duplicate"),
        ("spare.arch", "upper"),
        ("spare.made_by", "lab"),
        ("spare.copied_upper", ""),
        ("spare.copied_lower", ""),
        ("spare.teeth", "resin"),
        ("spare.tooth_shade", "Birch 4"),
        ("spare.date_mark", "yes"),
    ];
    let spare = |edits: &[(&str, &str)]| {
        let sheet = signed(&with(edits, 7), None, Paper::A4);
        let said = lines(&sheet.order).into_iter();
        let said: Vec<String> = said.filter(|line| line.starts_with("Spare ")).collect();
        said.concat()
    };
    let said = spare(&beside);
    for words in ["a copy of the final", "shade Birch 4", "date mark"] {
        assert!(said.contains(words), "{said}");
    }
    let named = [&beside[..], &[("spare.copied_upper", tag.as_str())]].concat();
    assert!(spare(&named).contains(&format!("a copy of upper {tag}")));
    // A spare that the office makes stays behind.
    let office = with(&[("spare.made_by", "office")], 3);
    let sheet = signed(&office, None, Paper::A4);
    assert_eq!(sheet.behind.title, "What stays behind");
}

#[test]
fn what_is_not_to_be_ground_is_named_and_a_repair_is_no_new_work() {
    let order = |edits: &[(&str, &str)], number: u32| {
        let sheet = signed(&with(edits, number), None, Paper::A4);
        lines(&sheet.order).join("; ")
    };
    let alone = [("opposing.may_grind", "no")];
    let of_enamel = [alone[0], ("opposing.surface", "enamel")];
    let named = "Against the opposing teeth are not to be ground";
    assert!(order(&alone, 7).contains(named), "{}", order(&alone, 7));
    assert!(order(&alone, 6).contains("Against is not to be ground"));
    assert!(!order(&of_enamel, 7).contains("the opposing teeth"));
    let repair = [
        ("order.kind", "new"),
        ("pieces.0.stage", "repair"),
        ("pieces.1.stage", "reline"),
    ];
    assert!(
        order(&repair, 7).contains("new order"),
        "{}",
        order(&repair, 7)
    );
    assert!(order(&repair[..2], 7).contains("new work"));
    assert!(order(&repair, 6).contains("new work"));
}

#[test]
fn no_label_of_the_order_is_wider_than_its_column_and_both_arches_are_no_rush() {
    use crate::papers::sheet::Entry;
    let fields = [
        ("cast_trim.by", "lab"),
        ("opposing.surface", "enamel"),
        ("dates.may_split", "no"),
    ];
    let sheet = signed(&with(&fields, 3), None, Paper::A4);
    let labels = |list: &super::List| -> Vec<String> {
        let label = |entry: &Entry| match entry {
            Entry::Fact { label, .. } => Some(label.clone()),
            _ => None,
        };
        list.entries.iter().filter_map(label).collect()
    };
    let order = labels(&sheet.order);
    assert!(
        order.contains(&"Cut".to_owned()) && order.contains(&"Against".to_owned()),
        "{order:?}"
    );
    let further = lines(&sheet.further).join("\n");
    assert!(
        further.contains("Arches both arches come together"),
        "{further}"
    );
}

/// The large values of a text, with the words of the notes below them.
fn strip_of(pairs: &[(&str, &str)], number: u32) -> Vec<String> {
    let raw: Raw = pairs
        .iter()
        .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
        .collect();
    let text = Document {
        sheet: number,
        ..document(typed(&raw)).unwrap()
    };
    let cells = signed(&text, None, Paper::A4).strip.into_iter();
    let words = |cell: super::content::StripCell| {
        let values = cell.values.iter().map(|(_, value)| value.text());
        let values = values.collect::<Vec<_>>().join(" | ");
        let said = format!("{}: {values} / {}", cell.label, cell.note.text());
        said.replace('\u{A0}', " ")
            .trim_end_matches(" / ")
            .to_owned()
    };
    cells.map(words).collect()
}

#[test]
fn what_is_repaired_relined_or_extracted_is_the_first_large_value_and_a_guide_is_no_shade() {
    let tag = sample::tag_text("provisional_upper");
    let repair = [
        ("order.course", "repair"),
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "repair"),
        ("repair.item", tag.as_str()),
        ("repairs.0.what", "base_broken"),
        ("repairs.0.place", "midline"),
        ("repairs.1.what", "tooth_out"),
        ("repairs.1.tooth", "11"),
        ("base_shade.guide", "Hillside"),
    ];
    assert_eq!(
        strip_of(&repair, 6),
        [
            "Repair: base broken, midline | tooth came out, 11 (ISO 3950) upper right central incisor"
                .to_owned(),
            format!("Denture: {tag}"),
            "Base shade: not given / guide Hillside".to_owned(),
        ]
    );
    // What was signed for the fifth prints as it did.
    assert_eq!(strip_of(&repair, 5), ["Base shade: Hillside"]);
    // Where both dentures are sent, both stand there.
    let other = sample::tag_text("provisional_lower");
    let both = [&repair[..], &[("repair.other_item", other.as_str())]].concat();
    assert_eq!(strip_of(&both, 6)[1], format!("Denture: {tag}, {other}"));
    let reline = [
        ("order.course", "reline"),
        ("reline.item", tag.as_str()),
        ("reline.held_by", "jig"),
        ("base_shade.guide", "Hillside"),
        ("base_shade.code", "heather 2"),
    ];
    assert_eq!(
        strip_of(&reline, 6),
        [
            format!("Denture: {tag}"),
            "Height held by: reline jig".to_owned(),
            "Base shade: heather 2 / Hillside".to_owned(),
        ]
    );
    let immediate = [
        ("order.course", "immediate"),
        ("extractions.0.tooth", "13"),
        ("extractions.0.when", "at_insertion"),
        ("extractions.1.tooth", "21"),
        ("extractions.2.tooth", "23"),
        ("extractions.2.when", "later"),
        ("extractions.3.tooth", "24"),
        ("extractions.3.when", "already_out"),
        ("shade.tab", "birch 4"),
    ];
    assert_eq!(
        strip_of(&immediate, 6),
        ["Extract: 13, 21 / ISO 3950", "Tooth shade: birch 4"]
    );
    assert_eq!(strip_of(&immediate, 5), ["Tooth shade: birch 4"]);
}

#[test]
fn the_jaws_on_top_are_those_of_what_is_ordered_since_the_sixth_sheet() {
    let jaws = |arch: &str, number: u32| {
        let fields = [("pieces.0.arch", "upper"), ("pieces.1.arch", arch)];
        let text = with(&fields, number);
        signed(&text, None, Paper::A4).top.arches.text()
    };
    assert_eq!(jaws("upper", 6), "upper");
    assert_eq!(jaws("lower", 6), "upper and lower");
    // A piece that does not say its jaw may be of either.
    let treated = with(&[], 6).arches.shown();
    assert_eq!(jaws("", 6), treated);
    assert_eq!(jaws("upper", 5), treated);
}

#[test]
fn another_kind_of_work_is_one_line_and_an_older_sheet_lists_each_field() {
    let before = with(&[("order.course", "set_up"), ("order.kind", "new")], 6);
    let fields = [
        ("order.course", "finish"),
        ("order.kind", "next_stage"),
        ("shade.tab", "birch 3"),
        ("jaw.position", ""),
    ];
    let mut after = with(&fields, 6);
    after.revision = 2;
    let changes = |after: &Document| {
        let sheet = signed(after, Some(&before), Paper::A4);
        let lists = [&sheet.differences, &sheet.differences_more];
        lists.into_iter().flat_map(lines).collect::<Vec<_>>()
    };
    let found = changes(&after);
    assert_eq!(
        found.first().map(String::as_str),
        Some("New kind of work set-up for a try-in → finish after an approved try-in")
    );
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().any(|line| line.ends_with("birch 4 → birch 3")));
    after.sheet = 5;
    let found = changes(&after);
    assert!(found.len() > 3, "{found:?}");
    assert!(found.iter().any(|line| line.ends_with("→ nothing")));
}

#[test]
fn a_point_that_a_caution_tells_stands_once_since_the_sixth_sheet() {
    use crate::domain::prescription::revision::{MissingPoint, PassedCaution};
    let mut text = with(&[], 6);
    text.missing.push(MissingPoint {
        number: 13,
        name: "Base shade".to_owned(),
        reason: "as in the mouth".to_owned(),
    });
    text.passed.push(PassedCaution {
        id: "criterion-13-base-shade".to_owned(),
        sentence: "No base shade is given.".to_owned(),
        reason: "as in the mouth".to_owned(),
    });
    let accepted = |text: &Document| lines(&signed(text, None, Paper::A4).accepted);
    let stands = [" No base shade is given. — as in the mouth"];
    assert_eq!(accepted(&text), stands);
    // Against one of the sheet before it, nothing is said to be gone.
    let mut before = text.clone();
    before.sheet = 5;
    let mut after = text.clone();
    after.revision = 2;
    let sheet = signed(&after, Some(&before), Paper::A4);
    assert!(sheet.differences.is_empty() && sheet.differences_more.is_empty());
    assert_eq!(accepted(&before).len(), 2);
}

#[test]
fn a_number_under_two_names_says_which_of_them_has_none_since_the_sixth_sheet() {
    let cut = |number: u32| {
        let text = with(&[("cast_trim.facial_mm", "1")], number);
        let lines = lines(&signed(&text, None, Paper::A4).processed);
        let mut cut = lines.into_iter().filter(|line| line.starts_with("Cut, "));
        cut.next().unwrap_or_default()
    };
    assert_eq!(cut(6), "Cut, facial and palatal 1 mm; not given");
    assert_eq!(cut(5), "Cut, facial and palatal 1 mm");
}

#[test]
fn a_pattern_that_stays_is_as_in_its_files_and_not_enclosed() {
    let tags = ["provisional_upper", "provisional_lower"].map(sample::tag_text);
    let fields = [
        ("pattern.source", "provisional"),
        ("pattern.upper_item", tags[0].as_str()),
        ("pattern.lower_item", tags[1].as_str()),
        ("kept.0.tag", tags[0].as_str()),
        ("kept.1.tag", tags[1].as_str()),
    ];
    let order = |fields: &[(&str, &str)], number: u32| {
        let text = with(fields, number);
        lines(&signed(&text, None, Paper::A4).order).join(" ")
    };
    let (files, enclosed) = (
        "the provisional denture as in its files",
        "the provisional denture enclosed",
    );
    assert!(order(&fields, 6).contains(files));
    assert!(order(&fields, 5).contains(enclosed));
    assert!(order(&fields[..4], 6).contains(enclosed));
}

#[test]
fn what_has_no_clock_on_it_is_not_first_and_no_title_ends_in_the_middle_of_a_sentence() {
    let fields = [
        ("impression.pour_by", ""),
        ("impression.source", "scan"),
        ("impression.material", ""),
        ("impression.placed_on", ""),
        ("impression.placed_at", ""),
        ("impression.removed_on", ""),
        ("impression.removed_at", ""),
        ("impression.keeps_hours", ""),
        ("impression.keep_surface", ""),
        ("dates.sent", ""),
        ("dates.sent_at", ""),
        ("enclosures.dry_since", ""),
        ("remarks.call_before", ""),
        ("remarks.ask_by", "question"),
    ];
    let of = |number: u32| {
        let sheet = signed(&with(&fields, number), None, Paper::A4);
        [
            (sheet.first.title, lines(&sheet.first)),
            (sheet.ask.title, lines(&sheet.ask)),
        ]
    };
    let [first, ask] = of(6);
    assert_eq!(first.0, "The tissue surface is sent as");
    assert_eq!(first.1, [" scan"]);
    // The cast under a try-in is at the lab.
    let cast = [
        &fields[..],
        &[("impression.source", "cast"), ("pattern.source", "try_in")],
    ];
    let sheet = signed(&with(&cast.concat(), 7), None, Paper::A4);
    assert_eq!(sheet.first.title, "Tissue surface");
    assert_eq!(ask.0, "Ask before proceeding");
    let [first, ask] = of(5);
    assert_eq!(
        (first.0, ask.0),
        ("First, on arrival", "Ask before proceeding if")
    );
    assert_eq!(first.1, ["Surface scan"]);
}

#[test]
fn a_try_in_is_finished_or_reset_and_not_copied_since_the_seventh_sheet() {
    let what = |fields: &[(&str, &str)], number: u32| {
        let fields = [&[("pattern.source", "try_in")][..], fields].concat();
        signed(&with(&fields, number), None, Paper::A4).top.what
    };
    let exactly = [("pattern.rule", "exactly")];
    assert_eq!(
        what(&exactly, 7),
        "Finish the approved try-in exactly as it is"
    );
    assert_eq!(what(&exactly, 6), "Copy the pattern exactly");
    assert!(
        what(&[("pattern.rule", "with_changes")], 7).starts_with("Finish the try-in with the ")
    );
    let reset = [
        ("pattern.rule", "with_changes"),
        ("pieces.0.stage", "reset"),
        ("pieces.1.stage", "reset"),
    ];
    assert!(what(&reset, 7).starts_with("Reset the try-in with the "));
    // A spare that the lab makes beside it is no other work on the try-in.
    let spared = [
        &exactly[..],
        &[
            ("pieces.2.arch", "upper"),
            ("pieces.2.stage", "duplicate"),
            ("pieces.2.description", "spare denture"),
        ],
    ];
    assert_eq!(
        what(&spared.concat(), 7),
        "Finish the approved try-in exactly as it is"
    );
    let changes = |source: &str, number: u32| {
        let fields = with(&[("pattern.source", source)], number);
        signed(&fields, None, Paper::A4).changes.title.to_owned()
    };
    assert_eq!(changes("try_in", 7), "Changes from the try-in");
    assert_eq!(changes("try_in", 6), "Changes from the pattern");
    assert_eq!(changes("provisional", 7), "Changes from the pattern");
    assert!(what(&reset, 6).starts_with("Copy the pattern with the "));
    let order = |number: u32| {
        let fields = [&[("pattern.source", "try_in")][..], &reset].concat();
        lines(&signed(&with(&fields, number), None, Paper::A4).order).join(" ")
    };
    assert!(order(7).contains("the try-in") && order(7).contains("reset with the changes listed"));
    assert!(!order(7).contains("approved") && order(6).contains("the approved try-in"));
    assert!(order(9).contains("the try-in") && !order(9).contains("approved"));
    // Whose height was refused is mounted again, and no change need be listed.
    let empty = typed(&sample::raw()).pattern.changes.len();
    let empty: Vec<String> = [
        "what",
        "tooth",
        "direction",
        "mm",
        "degrees",
        "date",
        "note",
    ]
    .iter()
    .flat_map(|field| (0..empty).map(move |row| format!("changes.{row}.{field}")))
    .collect();
    let bare: Vec<(&str, &str)> = empty.iter().map(|key| (key.as_str(), "")).collect();
    let none = [&reset[..], &bare[..]].concat();
    assert_eq!(what(&none, 7), "Reset the try-in: no change is listed");
    assert!(what(&none, 6).contains("the 0 changes listed"));
    let refused = [
        &none[..],
        &[
            ("approval.height", "no"),
            ("vertical.order", "keep"),
            ("vertical.change_mm", ""),
            ("vertical.occlusal_mm", "61.5"),
        ],
    ]
    .concat();
    let tag = sample::tag_text("bite");
    let said = what(&refused, 7);
    assert_eq!(
        said,
        format!("Reset: new height 61.5 mm, new bite record {tag}")
    );
    // The number that was refused is no new one.
    let before = with(&[("vertical.occlusal_mm", "61.5")], 7);
    let of_refused = [&[("pattern.source", "try_in")][..], &refused[..]].concat();
    let same = signed(&with(&of_refused, 7), Some(&before), Paper::A4);
    assert!(
        same.top
            .what
            .starts_with("Reset: new height, new bite record")
    );
    let fields = [&[("pattern.source", "try_in")][..], &refused[..]].concat();
    let order = lines(&signed(&with(&fields, 7), None, Paper::A4).order).join(" ");
    assert!(
        order.contains("teeth as they stand, to the new height"),
        "{order}"
    );
    // What a field of its own moves is counted on top and told below alike, since the eighth sheet.
    let midline = [
        ("anterior.midline_offset_mm", "1"),
        ("anterior.midline_side", "right"),
    ];
    let moved = [&fields[..], &midline[..]].concat();
    for (number, has_change, told) in [
        (8, true, "reset to the new height, with the changes listed"),
        (7, false, "teeth as they stand, to the new height"),
    ] {
        let sheet = signed(&with(&moved, number), None, Paper::A4);
        assert_eq!(sheet.top.what.ends_with("1 change listed"), has_change);
        let order = lines(&sheet.order).join(" ");
        assert!(order.contains(told), "{number}: {order}");
    }
    let listed = [
        &reset[..],
        &[
            ("approval.height", "no"),
            ("vertical.order", "close"),
            ("vertical.change_mm", "2"),
        ],
    ]
    .concat();
    let said = what(&listed, 7);
    assert!(
        said.starts_with("Reset: bite closed by 2 mm, new bite record "),
        "{said}"
    );
    assert!(said.ends_with("listed"), "{said}");
    // Where one piece is finished and one reset, neither word says it.
    let again = [("pattern.rule", "exactly"), ("pieces.1.stage", "reset")];
    assert_eq!(what(&again, 7), "Copy the pattern exactly");
}

#[test]
fn what_fields_move_is_listed_and_counted_with_the_changes_since_the_eighth_sheet() {
    let of = |fields: &[(&str, &str)], number: u32| {
        let sheet = signed(&with(fields, number), None, Paper::A4);
        (sheet.top.what.clone(), lines(&sheet.changes))
    };
    let midline = [
        ("anterior.midline_offset_mm", "1"),
        ("anterior.midline_side", "right"),
    ];
    let (what, rows) = of(&midline, 8);
    assert_eq!(
        what,
        "Copy the pattern with the 3 changes listed, nothing else"
    );
    let row = " midline: to the patient’s right 1 mm".to_owned();
    assert!(rows.contains(&row), "{rows:?}");
    // What was signed before prints as it did.
    let (what, rows) = of(&midline, 7);
    assert!(what.contains("the 2 changes"), "{what}");
    assert!(!rows.contains(&row), "{rows:?}");
    let all = [
        &midline[..],
        &[
            ("anterior.incisal_change_mm", "1"),
            ("anterior.lip_support", "more"),
            ("anterior.lip_support_mm", "1.5"),
            ("vertical.order", "open"),
            ("vertical.change_mm", "2"),
            // The sample's own row about the upper incisors.
            ("changes.1.what", "lower_incisors"),
        ],
    ]
    .concat();
    let (what, rows) = of(&all, 8);
    assert!(what.contains("the 6 changes"), "{what}");
    for said in [
        "upper incisal edge 1 mm, longer",
        "lip support: ",
        "OVD: open",
    ] {
        assert!(rows.iter().any(|row| row.contains(said)), "{said} {rows:?}");
    }
    // What a row moves is listed once.
    let listed = [
        &midline[..],
        &[
            ("changes.2.what", "midline"),
            ("changes.2.direction", "right"),
            ("changes.2.mm", "1"),
        ],
    ]
    .concat();
    assert!(of(&listed, 8).0.contains("the 3 changes"));
    // A pattern that is copied exactly, or is only a guide, has no list of changes to count in.
    let exactly = [&midline[..], &[("pattern.rule", "exactly")]].concat();
    assert!(!of(&exactly, 8).1.contains(&row));
}

#[test]
fn a_midline_that_is_moved_reads_as_an_order_and_one_that_stays_takes_no_measure() {
    let midline = |fields: &[(&str, &str)], number: u32| {
        let cells = strip_of(fields, number).into_iter();
        let mut own = cells.filter(|cell| cell.starts_with("Midline"));
        own.next().unwrap_or_default()
    };
    let moved = [
        ("anterior.midline", "yes"),
        ("anterior.midline_offset_mm", "1"),
        ("anterior.midline_side", "right"),
    ];
    assert_eq!(
        midline(&moved, 8),
        "Midline: Move 1 mm / to the patient’s right; from the mark on pattern or rim"
    );
    assert_eq!(
        midline(&moved, 7),
        "Midline: 1 mm / to the patient’s right; as marked on pattern or rim"
    );
    let kept = [
        ("anterior.midline", "yes"),
        ("anterior.midline_offset_mm", "0"),
    ];
    assert_eq!(
        midline(&kept, 8),
        "Midline: as marked / not moved; on pattern or rim"
    );
    let measured = |number: u32| {
        let sheet = signed(&with(&kept, number), None, Paper::A4);
        let rows = lines(&sheet.set_up);
        rows.iter().any(|row| row.starts_with("Midline"))
    };
    assert!(!measured(8) && measured(7));
}

#[test]
fn one_field_has_one_name_and_set_and_year_are_said_once_since_the_eighth_sheet() {
    let said_on = |number: u32| said(&signed(&with(&[], number), None, Paper::A4));
    let (now, before) = (said_on(8), said_on(7));
    assert!(now.contains("incisal show at rest 1.5 mm") && !now.contains("below lip at rest"));
    assert!(before.contains("below lip at rest 1.5 mm"));
    assert!(before.contains("set 1st; 2026") && !now.contains("set 1st"));
    // A year that the text does not hold stands beside it.
    let other = with(&[("marking.year", "2027")], 8);
    let other = said(&signed(&other, None, Paper::A4));
    assert!(
        other.contains("1st set 2026") && other.contains("; 2027"),
        "{other}"
    );
    // A letter of a name is no set, and neither is a number of anything else.
    for (text, letter, is_said) in [
        ("A. Meyer", "A", true),
        ("Meyer A 2026", "A", true),
        ("2nd set A. Meyer", "A", true),
        ("case 2, 1st set", "2", true),
        ("Set 2, A. Meyer", "2", false),
        ("2nd set 2026", "2nd", false),
    ] {
        let marked = [("marking.text", text), ("marking.set_letter", letter)];
        let whole = said(&signed(&with(&marked, 8), None, Paper::A4));
        let is_there = whole.contains(&format!("; set {letter}"));
        assert_eq!(is_there, is_said, "{text}: {whole}");
    }
}
