//! One paper of each kind, read back by five readers that share no code: pdftotext, and the four of tests/read_papers.py.
//!
//! Of each page its words are compared, in whatever order: a reader goes through columns in its own. The program’s own words
//! are those of its placed marks, where runs that touch are one word. Between two runs a file has no white space, so each
//! reader guesses by the gap whether a word ends there, and some take two words for one: that is let pass where it is those
//! two of the same page, and in few words of a page. pdftotext takes the large word across a page to pieces. Nothing else may
//! be missing, be there besides, or be read in other letters.

use crate::case_paper::paper;
use crate::custody::{drawn, travelled};
use crate::labels::{labels, run_of};
use crate::pdf_text::{RAW, pages_of};
use crate::sheet::whole;
use crate::{mark, meta, run};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;
use vestibule::domain::custody::OutOfForce;
use vestibule::domain::people::party::Paper;
use vestibule::domain::prescription::read;
use vestibule::domain::prescription::revision::Document;
use vestibule::domain::review::sample;
use vestibule::domain::values::moment::Moment;
use vestibule::domain::values::tooth::Numbering;
use vestibule::papers::bench_card::{self, BenchCard};
use vestibule::papers::content::SlipContent;
use vestibule::papers::custody_sheet::{self, CustodySheet, ItemRow, WornRow};
use vestibule::papers::day_list::{self, DayGroup, DayList, DayRow};
use vestibule::papers::key_sheet::{self, KeySheet};
use vestibule::papers::label_sheet::{self, Label, PanLabel};
use vestibule::papers::layout::grid::READY;
use vestibule::papers::operators::rounded;
use vestibule::papers::outside_label::{self, OutsideLabel};
use vestibule::papers::picture_paper::{self, PicturePaper, PrintedPicture};
use vestibule::papers::sheet::Hands;
use vestibule::papers::sheet_samples::{document, draft, signed};
use vestibule::papers::spare_card::{self, SpareCard};
use vestibule::papers::typeface::{MM_PER_PT, width_mm};
use vestibule::papers::{
    Mark, Meta, Page, case_paper, lay_out, lay_out_sheet, marked, marked_in_vain, parcel_note,
    samples, write,
};

/// What a reader says of a paper.
#[derive(Debug, Clone, Deserialize)]
struct Reading {
    /// The words of each page.
    pages: Vec<Vec<String>>,
    title: String,
    /// Not every reader gives it out.
    language: Option<String>,
}

/// Words, and how often each is there.
type Bag = BTreeMap<String, usize>;

fn bag(words: impl IntoIterator<Item = String>) -> Bag {
    let mut bag = Bag::new();
    for word in words {
        *bag.entry(word).or_default() += 1;
    }
    bag
}

/// What the first has and the second has not.
fn lacking(one: &Bag, other: &Bag) -> Vec<String> {
    let less = |(word, count): (&String, &usize)| {
        let there = other.get(word).copied().unwrap_or(0);
        std::iter::repeat_n(word.clone(), count.saturating_sub(there))
    };
    one.iter().flat_map(less).collect()
}

/// The words of a page as it was placed; those that stand across it by themselves.
fn placed(page: &Page) -> (Vec<String>, Vec<String>) {
    let mut across = Vec::new();
    let mut lines: BTreeMap<i64, Vec<(f32, f32, f32, &str)>> = BTreeMap::new();
    for mark in &page.marks {
        match mark {
            Mark::Text {
                x,
                baseline,
                size_pt,
                face,
                text,
                ..
            } => {
                // A line is what the file has at one height.
                let height = rounded((page.height_mm - baseline) / MM_PER_PT);
                let end = x + width_mm(text, *face, *size_pt);
                let line = lines.entry((height * 1000.0).round() as i64).or_default();
                line.push((*x, end, size_pt * MM_PER_PT, text.as_str()));
            }
            Mark::Across { text, .. } => across.extend(text.split_whitespace().map(str::to_owned)),
            Mark::Path { .. } | Mark::Qr { .. } | Mark::Photo { .. } => {}
        }
    }
    let mut words = Vec::new();
    for mut line in lines.into_values() {
        line.sort_by(|one, other| one.0.total_cmp(&other.0));
        let (mut all, mut before) = (String::new(), f32::MIN);
        for (x, end, em, text) in line {
            if x - before > em / 10.0 {
                all.push(' ');
            }
            all.push_str(text);
            before = end;
        }
        words.extend(all.split_whitespace().map(str::to_owned));
    }
    (words, across)
}

/// Whether a word is some of these, one after the other; they are taken away then.
fn take_apart(word: &str, parts: &mut Vec<String>) -> bool {
    if word.is_empty() {
        return true;
    }
    let begins = |(at, part): (usize, &String)| Some((at, word.strip_prefix(part.as_str())?));
    let begun: Vec<(usize, &str)> = parts.iter().enumerate().filter_map(begins).collect();
    for (at, rest) in begun {
        let part = parts.remove(at);
        if take_apart(rest, parts) {
            return true;
        }
        parts.insert(at, part);
    }
    false
}

/// What a reader reads otherwise on one page.
fn otherwise(page: &Page, read: &[String]) -> Vec<String> {
    let (words, across) = placed(page);
    let own = bag(words.iter().chain(&across).cloned());
    let read = bag(read.iter().cloned());
    let (mut missing, mut added) = (lacking(&own, &read), lacking(&read, &own));
    for word in across {
        let Some(at) = missing.iter().position(|one| *one == word) else {
            continue;
        };
        if take_apart(&word, &mut added) {
            missing.remove(at);
        }
    }
    if missing.len() > 2 + words.len() / 20 {
        return vec![format!("many words are others: {missing:?}, {added:?}")];
    }
    added.retain(|word| !take_apart(word, &mut missing));
    let missing = missing.iter().map(|word| format!("{word} is missing"));
    let added = added.iter().map(|word| format!("{word} stands nowhere"));
    missing.chain(added).collect()
}

/// What a reader reads otherwise than it was written.
fn faults(pages: &[Page], title: &str, reading: &Reading) -> Vec<String> {
    let mut faults = Vec::new();
    if reading.pages.len() != pages.len() {
        faults.push(format!("{} pages", reading.pages.len()));
    }
    if reading.title != title {
        faults.push(format!("its title is {}", reading.title));
    }
    if reading
        .language
        .as_deref()
        .is_some_and(|one| one != "en-US")
    {
        faults.push(format!("its language is {:?}", reading.language));
    }
    for (number, (page, read)) in (1..).zip(pages.iter().zip(&reading.pages)) {
        let found = otherwise(page, read).into_iter();
        faults.extend(found.map(|fault| format!("page {number}: {fault}")));
    }
    faults
}

/// One of each kind, with its name.
fn papers() -> Vec<(String, Vec<Page>)> {
    let whole = whole();
    let mut raw = sample::raw();
    for (key, text) in [
        ("shade.tab", "birch 3"),
        ("changes.2.what", "palate"),
        ("changes.2.direction", "thinner"),
    ] {
        raw.insert(key.to_owned(), text.to_owned());
    }
    let second = Document {
        revision: 2,
        ..document(read(&raw, Numbering::Iso3950).document).unwrap()
    };
    let mut two_labs = signed(&whole, None, Paper::A4);
    two_labs.parcel.hands = Hands::TwoLabs;
    let out = OutOfForce {
        newer: Some((3, Moment::new(1_772_456_700_000, 60))),
        halt: None,
        over: None,
        card: None,
    };
    let sheet = |paper: Paper| lay_out_sheet(&signed(&whole, None, paper));
    let full_text = SlipContent {
        bench: false,
        ..samples::full()
    };
    let papers = [
        ("sheet on A4", sheet(Paper::A4)),
        ("sheet on Letter", sheet(Paper::Letter)),
        (
            "second revision",
            lay_out_sheet(&signed(&second, Some(&whole), Paper::A4)),
        ),
        ("sheet between laboratories", lay_out_sheet(&two_labs)),
        ("draft", lay_out_sheet(&draft(&whole, Paper::Letter))),
        ("copy out of force", marked(sheet(Paper::A4), &out)),
        ("full text", lay_out(&full_text)),
        ("long slip", lay_out(&samples::full())),
        ("long draft", lay_out(&samples::draft())),
        ("three scripts", lay_out(&samples::foreign())),
        ("parcel note", parcel_note::lay_out(&samples::parcels(2, 3))),
        (
            "note in vain",
            marked_in_vain(parcel_note::lay_out(&samples::parcels(1, 1)), &out),
        ),
        ("outside", outside_label::lay_out(&outside())),
        ("custody", custody_sheet::lay_out(&custody(false))),
        ("custody with lines", custody_sheet::lay_out(&custody(true))),
        ("statement", case_paper::lay_out(&paper(Paper::A4, 4))),
        ("materials", case_paper::lay_out(&paper(Paper::Letter, 60))),
        ("pictures", picture_paper::lay_out(&pictures())),
        ("key sheet", key_sheet::lay_out(&keys())),
        ("day list", day_list::lay_out(&days())),
        ("bench card", bench_card::lay_out(&card_of_the_bench())),
        ("card of the spare", spare_card::lay_out(&spare())),
    ];
    let papers = papers.map(|(name, pages)| (name.to_owned(), pages));
    let mut papers = Vec::from(papers);
    let run = run_of(READY.first().unwrap().grid());
    let mut stuck_on = labels(4);
    stuck_on.push(Label {
        warning: Some("Wash it. Wear gloves.".to_owned()),
        set: None,
        ..labels(1).remove(0)
    });
    let stuck_on = label_sheet::lay_out(&stuck_on, &run, mark().as_ref()).unwrap();
    papers.push(("labels".to_owned(), stuck_on));
    let of_pan = label_sheet::lay_out_pan(&pan(), &run).unwrap();
    papers.push(("label of a pan".to_owned(), vec![of_pan]));
    let test = label_sheet::test_page(&run, &samples::record()).unwrap();
    papers.push(("test of labels".to_owned(), vec![test]));
    papers
}

fn outside() -> OutsideLabel {
    OutsideLabel {
        paper: Paper::Letter,
        from: "Office on the Quay\n3 Quay Street".to_owned(),
        to: "Plaster Lane Laboratory\n17 Plaster Lane\n40210 Port Anselm".to_owned(),
        carrier: "Parcel bicycle, reference run 4".to_owned(),
        pieces: vec![1, 4],
        qr_address: "HTTPS://VESTIBULE.EXAMPLE/H/1".to_owned(),
        record: mark(),
    }
}

fn custody(with_lines: bool) -> CustodySheet {
    let (items, events) = travelled(3, 4);
    let row = |(number, item): (usize, &vestibule::domain::custody::item::Item)| ItemRow {
        number,
        tag: item.tag.to_string(),
        title: item.title(),
        kind: "bite record".to_owned(),
        handlers: "2 (3 people)".to_owned(),
        conditions: "sound, 2 times".to_owned(),
        end: "still open: at the office".to_owned(),
    };
    CustodySheet {
        paper: Paper::Letter,
        items: (1..).zip(&items).map(row).collect(),
        worn: vec![WornRow {
            arch: "upper".to_owned(),
            from: "before".to_owned(),
            to: "still".to_owned(),
            worn: "not known".to_owned(),
        }],
        ribbon: with_lines.then(|| drawn(&items, &events)),
        ribbon_always: with_lines,
        ..samples::custody(40)
    }
}

fn pictures() -> PicturePaper {
    PicturePaper {
        paper: Paper::A4,
        case_number: "C33-333-33F".to_owned(),
        about: vec!["Plaster Lane Laboratory, for Office on the Quay".to_owned()],
        pictures: vec![PrintedPicture {
            words: "Bite record".to_owned(),
            caption: "seen from the left".to_owned(),
            by: "Ines Okafor on 2026-03-02 09:00".to_owned(),
            photo: Err("Erased by Mara Lindqvist".to_owned()),
        }],
        notes: vec!["Do not match shades from a picture.".to_owned()],
        as_of: "As recorded up to 2026-03-02 09:00".to_owned(),
        record: mark(),
    }
}

fn keys() -> KeySheet {
    KeySheet {
        paper: Paper::A4,
        office: "Office on the Quay".to_owned(),
        codes: vec!["K7M4-Q2X9-R".to_owned(), "P3TT-81ZA-0".to_owned()],
        missing: "One code is not on it.".to_owned(),
        blank_rows: 20,
        record: samples::record(),
    }
}

fn days() -> DayList {
    DayList {
        paper: Paper::Letter,
        title: "To do today, Wed 25 Nov 2026".to_owned(),
        house: "Office on the Quay".to_owned(),
        as_of: "As it stood on 2026-11-25".to_owned(),
        groups: vec![DayGroup {
            heading: "Late".to_owned(),
            rows: vec![DayRow {
                due: "Wed 25 Nov\n3 days late".to_owned(),
                number: "C00-000-001".to_owned(),
                bench: "Pan 14, Tom Kiln".to_owned(),
                to_do: "Answer the problem on arrival".to_owned(),
                house: "Brickyard".to_owned(),
                work: "U + L, process and finish".to_owned(),
                things: "5 items".to_owned(),
            }],
        }],
        more: "Two more cases wait.".to_owned(),
        record: samples::record(),
    }
}

fn card_of_the_bench() -> BenchCard {
    BenchCard {
        paper: Paper::A4,
        house: "Plaster Lane Laboratory".to_owned(),
    }
}

fn spare() -> SpareCard {
    SpareCard {
        paper: Paper::A4,
        title: "Spare: final denture, upper".to_owned(),
        front: vec![
            ("Marked", "a dot at the back".to_owned()),
            ("Kept", "at home, in the blue box".to_owned()),
        ],
        codes: "T33-333-33F, case C33-333-33F, Mon 2 Mar 2026".to_owned(),
        back: vec!["Keep it in water.".to_owned()],
        office: vec!["Office on the Quay".to_owned(), "555 0142".to_owned()],
        record: samples::record(),
    }
}

fn pan() -> PanLabel {
    PanLabel {
        pan: "Green 114".to_owned(),
        case: "C33-333-33F".to_owned(),
        address: "HTTPS://VESTIBULE.OFFICE.EXAMPLE/C/C3333333F/2".to_owned(),
        due: "Due Wed 25 Nov 2026".to_owned(),
        house: "Office on the Quay".to_owned(),
        revision: "Revision 2".to_owned(),
    }
}

/// With letters beyond those of ASCII, as the title of a statute may have.
fn title(name: &str) -> String {
    format!("Prothèse – {name}")
}

fn by_poppler(file: &Path) -> Reading {
    let pages = pages_of(&std::fs::read(file).unwrap(), RAW);
    let words = |page: &String| page.split_whitespace().map(str::to_owned).collect();
    let said = run("pdfinfo", &["-enc", "UTF-8"], file);
    let title = said.lines().find_map(|line| line.strip_prefix("Title:"));
    Reading {
        pages: pages.iter().map(words).collect(),
        title: title.unwrap().trim().to_owned(),
        language: None,
    }
}

/// What the readers of Python say of each file of a folder, by its name and the reader’s.
fn by_python(python: &str, folder: &Path) -> BTreeMap<String, BTreeMap<String, Reading>> {
    let said = Command::new(python)
        .arg(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/read_papers.py"))
        .arg(folder)
        .output()
        .unwrap();
    let wrong = String::from_utf8_lossy(&said.stderr).into_owned();
    assert!(said.status.success(), "{wrong}");
    serde_json::from_slice(&said.stdout).unwrap()
}

#[test]
fn five_readers_read_the_words_that_were_placed_on_a_paper_of_each_kind() {
    let folder = tempfile::tempdir().unwrap();
    let papers = papers();
    let path = |name: &str| folder.path().join(format!("{name}.pdf"));
    for (name, pages) in &papers {
        let meta = Meta {
            title: title(name),
            ..meta()
        };
        std::fs::write(path(name), write(pages, &meta).unwrap()).unwrap();
        run("qpdf", &["--check"], &path(name));
    }
    let python = std::env::var("VESTIBULE_TEST_PYTHON").ok();
    let mut read = match &python {
        Some(python) => by_python(python, folder.path()),
        None => {
            eprintln!("four readers not asked: VESTIBULE_TEST_PYTHON is not set");
            BTreeMap::new()
        }
    };
    for (name, pages) in &papers {
        let mut readings = read.remove(&format!("{name}.pdf")).unwrap_or_default();
        readings.insert("poppler".to_owned(), by_poppler(&path(name)));
        assert_eq!(readings.len(), if python.is_some() { 5 } else { 1 });
        for (reader, reading) in &readings {
            let found = faults(pages, &title(name), reading);
            assert!(found.is_empty(), "{reader} reads of {name}: {found:#?}");
            let is_there = reading.pages.iter().all(|page| !page.is_empty());
            assert!(is_there, "{reader} reads no word of a page of {name}");
        }
        let tells = |reader: &str| readings.get(reader).and_then(|one| one.language.as_deref());
        for reader in ["pypdf", "pdfminer", "mupdf"] {
            let wanted = python.is_some().then_some("en-US");
            assert_eq!(tells(reader), wanted, "{reader} of {name}");
        }
    }
    assert!(read.is_empty(), "{:?}", read.keys());
}

#[test]
fn a_reader_that_reads_otherwise_is_noticed() {
    let pages = lay_out_sheet(&draft(&whole(), Paper::A4));
    let words = |page: &Page| {
        let (mut words, across) = placed(page);
        words.extend(across);
        words
    };
    let right = Reading {
        pages: pages.iter().map(words).collect(),
        title: title("draft"),
        language: Some("en-US".to_owned()),
    };
    let found = |change: &dyn Fn(&mut Reading)| {
        let mut reading = right.clone();
        change(&mut reading);
        faults(&pages, &title("draft"), &reading).len()
    };
    assert_eq!(found(&|_| {}), 0);
    // Two words as one, and the large word in pieces.
    let joined = |reading: &mut Reading| {
        let page = &mut reading.pages[0];
        let (one, other) = (page.remove(0), page.remove(0));
        page.push(format!("{one}{other}"));
    };
    assert_eq!(found(&joined), 0);
    let in_pieces = |reading: &mut Reading| {
        let page = &mut reading.pages[0];
        page.retain(|word| word != "DRAFT");
        let kept = right.pages[0].iter().filter(|word| *word == "DRAFT");
        page.extend(kept.skip(1).cloned());
        page.extend(["AF", "T", "DR"].map(str::to_owned));
    };
    assert_eq!(found(&in_pieces), 0);
    let changes: [&dyn Fn(&mut Reading); 7] = [
        &|reading| drop(reading.pages[0].remove(5)),
        &|reading| reading.pages[0].push("besides".to_owned()),
        &|reading| reading.pages[1][7].push('ſ'),
        &|reading| drop(reading.pages.pop()),
        &|reading| reading.title.clear(),
        &|reading| reading.language = Some("de".to_owned()),
        // What has no white space at all is not read.
        &|reading| reading.pages[1] = vec![reading.pages[1].concat()],
    ];
    for (number, change) in changes.into_iter().enumerate() {
        assert!(found(change) > 0, "change {number}");
    }
}
