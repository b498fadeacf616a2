//! The custody sheet, the note for the box, and the key sheet.

use crate::{assert_inside_margins, run, saved, text_of};
use vestibule::domain::custody::events::{Received, Registered, Released};
use vestibule::domain::custody::item::{Item, ItemKind};
use vestibule::domain::custody::ribbon::{Ribbon, ribbon};
use vestibule::domain::custody::{CaseState, Event, Found, Outcome, Sent, What};
use vestibule::domain::people::party::{Actor, Paper, Role, Side};
use vestibule::domain::values::arch::Arch;
use vestibule::domain::values::ids::{CaseNumber, EventId, HandoffId, Tag};
use vestibule::domain::values::moment::Moment;
use vestibule::papers::custody_sheet::{CustodySheet, ItemRow, WornRow};
use vestibule::papers::day_list::{DayGroup, DayList, DayRow};
use vestibule::papers::key_sheet::KeySheet;
use vestibule::papers::{Mark, custody_sheet, day_list, key_sheet, parcel_note, samples};

#[test]
fn a_custody_sheet_holds_every_event() {
    for count in [0, 1, 120] {
        let pages = custody_sheet::lay_out(&samples::custody(count));
        assert_inside_margins(&pages);
        let text = text_of(&saved(&format!("custody-{count}"), &pages)).concat();
        assert!((0..count).all(|number| text.contains(&format!("T-{number:04}"))));
        assert_eq!(text.contains("Nothing has been recorded yet."), count == 0);
        assert_eq!(
            text.matches("What happened").count(),
            if count == 0 { 0 } else { pages.len() }
        );
    }
}

#[test]
fn a_note_for_the_box_lists_what_lies_in_each_box_and_has_lines_to_sign() {
    for (boxes, items) in [(1, 1), (2, 3), (3, 60)] {
        let note = samples::parcels(boxes, items);
        let pages = parcel_note::lay_out(&note);
        assert_inside_margins(&pages);
        let path = saved(&format!("boxes-{boxes}-{items}"), &pages);
        let text = text_of(&path).concat();
        for number in 1..=boxes {
            assert!(text.contains(&format!("Parcel {number} of {boxes}")));
            assert!(text.contains(&format!("Seal 47-{number}")));
            assert!(
                (0..items).all(|item| text.contains(&format!("T-{:04}", number * 1000 + item)))
            );
        }
        for words in ["Handed over", "Signature", "sample agent"] {
            assert!(text.matches(words).count() >= boxes, "{words}");
        }
        // A line for the carrier's hand, between those of the two sides.
        let lines: Vec<&str> = text.lines().collect();
        let line = |words: &str| lines.iter().position(|one| one.contains(words)).unwrap();
        let picked = line("Picked up: name or initials");
        assert!(line("Handed over") < picked && picked < line("Received"));
        for (words, in_a_box) in [
            ("Picked up: name or initials", 1),
            ("Parcels", 1),
            ("Date, time", 3),
        ] {
            assert!(lines[picked].contains(words), "{words}");
            assert_eq!(text.matches(words).count(), in_a_box * boxes, "{words}");
        }
        // The cautions stand in every box.
        let words: Vec<&str> = text.split_whitespace().collect();
        assert_eq!(words.join(" ").matches("signed statement").count(), boxes);
    }
    let path = saved("boxes-qr", &parcel_note::lay_out(&samples::parcels(1, 2)));
    let image = path.with_extension("");
    run(
        "pdftoppm",
        &["-r", "200", "-png", "-singlefile", path.to_str().unwrap()],
        &image,
    );
    let read = run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
    // The address on top, and where the record stood below it, on the one page.
    let mut read: Vec<&str> = read.lines().collect();
    read.sort_unstable();
    let record = samples::record().code();
    assert_eq!(
        read,
        [record.as_str(), "HTTPS://VESTIBULE.EXAMPLE/C/V70042"]
    );
}

#[test]
fn up_to_ten_things_have_one_page_with_room_for_every_hand() {
    for paper in [Paper::A4, Paper::Letter] {
        for items in 1..=10 {
            let mut note = samples::parcels(1, items);
            note.paper = paper;
            note.from += "\nSuite 4\n40210 Port Anselm";
            for row in note.parcels[0].rows.iter_mut().skip(7) {
                row.disinfection = "needs none".to_owned();
            }
            let pages = parcel_note::lay_out(&note);
            assert_inside_margins(&pages);
            assert_eq!(pages.len(), 1, "{items} on {paper:?}");
            let text = text_of(&saved(&format!("ten-{items}-{paper:?}"), &pages)).concat();
            // A thing is a line; how it was disinfected is said once for all that was treated alike.
            assert_eq!(text.matches("sample agent").count(), 1);
            assert_eq!(text.contains("Disinfection: needs none"), items > 7);
            for words in [
                "Handed over: name",
                "Picked up: name or initials",
                "Received: name",
            ] {
                assert_eq!(text.matches(words).count(), 1, "{words}");
            }
        }
    }
}

/// Names as long as the trade has them, each with its arch and its set.
const LONG_NAMES: [&str; 10] = [
    "Provisional denture, upper, second set",
    "Provisional denture, lower, second set",
    "Duplicate, upper, of the second set",
    "Duplicate, lower, of the second set",
    "Bite record with two grooves, keyed",
    "Facebow record, fork and jig, loan 14",
    "Protrusive record, both sides, keyed",
    "Shade tab of the guide, on loan, no. 3",
    "Final denture, upper, first set, try-in",
    "Final denture, lower, first set, try-in",
];

#[test]
fn ten_items_of_long_names_take_one_page_of_a_note() {
    for paper in [Paper::A4, Paper::Letter] {
        let mut note = samples::parcels(1, 10);
        note.paper = paper;
        note.from += "\nSuite 4\n40210 Port Anselm";
        for (row, name) in note.parcels[0].rows.iter_mut().zip(LONG_NAMES) {
            name.clone_into(&mut row.title);
        }
        for row in note.parcels[0].rows.iter_mut().skip(7) {
            row.disinfection = "needs none".to_owned();
        }
        let pages = parcel_note::lay_out(&note);
        assert_inside_margins(&pages);
        assert_eq!(pages.len(), 1, "{paper:?}");
        let texts = pages[0].marks.iter().filter_map(|mark| match mark {
            Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        });
        let text = texts.collect::<Vec<_>>().join(" ");
        for name in LONG_NAMES {
            assert!(text.contains(name), "{name} is missing");
        }
        assert!(text.contains("Received: name"));
    }
}

#[test]
fn the_whole_life_of_ten_items_of_long_names_takes_one_page_of_a_custody_sheet() {
    // As long as that of a denture made by a pattern, from its registration to the spare in the patient's hands.
    let entries = 26;
    for paper in [Paper::A4, Paper::Letter] {
        let items = LONG_NAMES.iter().zip(1..).map(|(name, number)| ItemRow {
            number,
            tag: "WWW-WWW-WWW".to_owned(),
            title: (*name).to_owned(),
            kind: "provisional".to_owned(),
            handlers: "2 (3 people)".to_owned(),
            conditions: "sound, 2 times".to_owned(),
            end: "still open: at the office".to_owned(),
        });
        let worn = |arch: &str, from: &str, to: &str, worn: &str| WornRow {
            arch: arch.to_owned(),
            from: from.to_owned(),
            to: to.to_owned(),
            worn: worn.to_owned(),
        };
        let (first, last) = ("2026-11-18 21:25 -05:00", "2026-11-22 15:40 -05:00");
        let of = |arch: &str| {
            [
                worn(arch, "before", first, "not known"),
                worn(arch, first, last, "Provisional denture WWW-WWW-WWW"),
                worn(arch, last, "still", "Final denture WWW-WWW-WWW"),
            ]
        };
        let mut sheet = CustodySheet {
            paper,
            items: items.collect(),
            worn: [of("upper"), of("lower")].concat(),
            ..samples::custody(entries)
        };
        for (at, event) in sheet.events.iter_mut().enumerate() {
            event.day = format!("2026-11-{} -05:00", 18 + at / 7);
        }
        let pages = custody_sheet::lay_out(&sheet);
        assert_inside_margins(&pages);
        assert_eq!(pages.len(), 1, "{paper:?}");
        let text = text_of(&saved(&format!("life-{paper:?}"), &pages)).concat();
        for name in LONG_NAMES {
            assert!(text.contains(name), "{name} is broken");
        }
        // What follows what stood before it says its end alone.
        assert_eq!(text.matches("not known until 2026-11-18").count(), 2);
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(words.matches("WWW until 2026-11-22").count(), 2, "{words}");
        assert_eq!(
            words
                .matches("Final denture WWW-WWW-WWW since then")
                .count(),
            2
        );
    }
}

#[test]
fn no_code_is_broken_on_a_note_or_a_day_list() {
    // W is the widest letter of the alphabet of codes; no real code has more of them.
    let widest = "WWW-WWW-WWW";
    for paper in [Paper::A4, Paper::Letter] {
        let mut note = samples::parcels(1, 2);
        note.paper = paper;
        note.parcels[0].rows[0].tag = widest.to_owned();
        let row = DayRow {
            due: "Wed 25 Nov\n3 days late".into(),
            number: widest.into(),
            bench: "Pan 14, Tom Kiln".into(),
            to_do: "Answer the problem on arrival".into(),
            house: "Brickyard".into(),
            work: "U + L, process and finish".into(),
            things: "10 items".into(),
        };
        let list = DayList {
            paper,
            title: "To do today, Wed 25 Nov 2026".into(),
            house: "Office on the Quay".into(),
            as_of: "As it stood on 2026-11-25".into(),
            groups: vec![DayGroup {
                heading: "Late".into(),
                rows: vec![row],
            }],
            more: String::new(),
            record: samples::record(),
        };
        for pages in [parcel_note::lay_out(&note), day_list::lay_out(&list)] {
            assert_inside_margins(&pages);
            let marks = pages.iter().flat_map(|page| &page.marks);
            let is_whole = |mark: &Mark| matches!(mark, Mark::Text { text, .. } if text == widest);
            assert_eq!(marks.filter(|mark| is_whole(mark)).count(), 1, "{paper:?}");
        }
    }
}

/// The ribbon of the upper arch up to the last entry.
pub fn drawn(items: &[Item], events: &[Event]) -> Ribbon {
    let case = CaseState::of(events);
    ribbon(
        items,
        events,
        &case,
        &[Arch::Upper],
        events.last().unwrap().at,
    )
}

#[test]
fn lines_over_time_cost_a_page_only_where_they_were_asked_for() {
    let mut left_out = 0;
    for paper in [Paper::A4, Paper::Letter] {
        for (items, rounds) in [(1, 1), (3, 4), (9, 2), (9, 9)] {
            let (items, events) = travelled(items, rounds);
            let ribbon = drawn(&items, &events);
            let pages = |ribbon: Option<_>, ribbon_always: bool| {
                let sheet = CustodySheet {
                    paper,
                    ribbon,
                    ribbon_always,
                    ..samples::custody(2)
                };
                custody_sheet::lay_out(&sheet).len()
            };
            let without = pages(None, false);
            assert_eq!(pages(Some(ribbon.clone()), false), without);
            left_out += usize::from(pages(Some(ribbon), true) > without);
        }
    }
    assert!(left_out > 0, "some lines need a page of their own");
}

#[test]
fn the_words_of_the_present_lie_on_no_note_of_the_ribbon() {
    let (items, events) = travelled(2, 1);
    let mut ribbon = drawn(&items, &events);
    ribbon.columns.last_mut().unwrap().note = "question asked";
    let sheet = CustodySheet {
        ribbon: Some(ribbon),
        ribbon_always: true,
        ..samples::custody(2)
    };
    let pages = custody_sheet::lay_out(&sheet);
    assert_inside_margins(&pages);
    let baseline = |words: &str| {
        let marks = pages.iter().flat_map(|page| &page.marks);
        let mut found = marks.filter_map(|mark| match mark {
            Mark::Text { text, baseline, .. } if text.starts_with(words) => Some(*baseline),
            _ => None,
        });
        found.next_back().unwrap()
    };
    assert!(baseline("as of 20") - baseline("question asked") > 3.0);
}

#[test]
fn a_day_list_has_a_square_for_each_line_under_headings_that_never_stand_alone() {
    let row = |number: usize| DayRow {
        due: "Wed 25 Nov\n3 days late".into(),
        number: format!("C00-000-{number:03}"),
        bench: "Pan 14, Tom Kiln".into(),
        to_do: "Answer the problem on arrival. Held: The seal of parcel 1 was broken".into(),
        house: "Brickyard".into(),
        work: "U + L, process and finish".into(),
        things: "5 items".into(),
    };
    let group = |heading: &str, rows: std::ops::Range<usize>| DayGroup {
        heading: heading.to_owned(),
        rows: rows.map(row).collect(),
    };
    for (paper, count) in [(Paper::A4, 0), (Paper::Letter, 3), (Paper::A4, 90)] {
        let groups = [
            group("Late", 0..count / 3),
            group("Today", count / 3..count),
        ];
        let list = DayList {
            paper,
            title: "To do today, Wed 25 Nov 2026".into(),
            house: "Office on the Quay".into(),
            as_of: "As it stood on 2026-11-25".into(),
            groups: groups
                .into_iter()
                .filter(|one| !one.rows.is_empty())
                .collect(),
            more: String::new(),
            record: samples::record(),
        };
        let pages = day_list::lay_out(&list);
        assert!(pages == day_list::lay_out(&list), "the same twice");
        assert_inside_margins(&pages);
        let texts = text_of(&saved(&format!("day-list-{count}"), &pages));
        let text = texts.concat();
        assert!((0..count).all(|number| text.contains(&format!("C00-000-{number:03}"))));
        assert_eq!(text.contains(day_list::NOTHING), count == 0);
        let squares = pages.iter().flat_map(|page| &page.marks).filter(|mark| {
            matches!(mark, Mark::Path { points, closed: true, .. }
                if points.len() == 4 && (points[1].x - points[0].x - 4.0).abs() < 0.01)
        });
        assert_eq!(squares.count(), count);
        if count > 0 {
            for heading in ["Late", "Today"] {
                assert!(text.lines().any(|line| line.trim() == heading), "{heading}");
            }
        }
        // On each page the line under a heading is on the same page.
        for page in &texts {
            let lines: Vec<&str> = page.lines().map(str::trim).collect();
            if let Some(at) = lines.iter().position(|line| *line == "Today") {
                assert!(lines[at..].iter().any(|line| line.contains("C00-000-")));
            }
        }
    }
}

/// So many bite records that are registered at the office and go to the lab and back so many times.
pub fn travelled(items: u8, rounds: i64) -> (Vec<Item>, Vec<Event>) {
    let code = |first: u8| {
        (0..32)
            .find_map(|last| Tag::from_random([9, 9, 9, 9, 9, first, last]))
            .unwrap()
    };
    let case = (0..32)
        .find_map(|last| CaseNumber::from_random([2, 2, 2, 2, 2, 2, last]))
        .unwrap();
    let tags: Vec<Tag> = (0..items).map(code).collect();
    let item = |tag: &Tag| Item {
        tag: tag.clone(),
        case: case.clone(),
        kind: ItemKind::BiteRecord,
        arch: None,
        note: String::new(),
        pieces: 1,
        borrowed: false,
    };
    let mut events: Vec<Event> = Vec::new();
    let mut add = |hours: i64, what: What| {
        let at = Moment::new(1_772_456_700_000 + hours * 3_600_000, 60);
        events.push(Event {
            id: EventId::new(format!("event {}", events.len())),
            case: case.clone(),
            at,
            entered_at: at,
            by: Actor {
                account: "ines".into(),
                name: "Ines Okafor".into(),
                role: Role::Assistant,
                party: "quay".into(),
                party_name: "Office on the Quay".into(),
            },
            paper: None,
            by_code: None,
            what,
        });
    };
    for tag in &tags {
        add(
            0,
            What::Registered(Registered {
                tag: tag.clone(),
                place: Side::Office,
                worn: false,
                note: String::new(),
                pieces: None,
                made: None,
                due_back: None,
                file: None,
            }),
        );
    }
    for round in 0..rounds {
        let (from, to) = match round % 2 {
            0 => (Side::Office, Side::Lab),
            _ => (Side::Lab, Side::Office),
        };
        let handoff = format!("handoff {round}");
        add(40 * round + 10, released(&handoff, &tags, from, to));
        add(40 * round + 25, received(&handoff, &tags, to));
    }
    (tags.iter().map(item).collect(), events)
}

fn released(handoff: &str, tags: &[Tag], from: Side, to: Side) -> What {
    let items = tags.iter().cloned().map(Sent::of).collect();
    What::Released(Released {
        to,
        carrier: "a courier".into(),
        ..Released::of(HandoffId::new(handoff), items, from)
    })
}

/// The second item is damaged, the third has no mark.
fn received(handoff: &str, tags: &[Tag], place: Side) -> What {
    let found = |(at, tag): (usize, &Tag)| Found {
        tag: tag.clone(),
        outcome: if at == 1 {
            Outcome::Damaged
        } else {
            Outcome::Sound
        },
        marked_disinfected: at != 2,
        note: String::new(),
        pieces: None,
    };
    What::Received(Received {
        handoff: HandoffId::new(handoff),
        place,
        items: tags.iter().enumerate().map(found).collect(),
        unannounced: String::new(),
        parcels: Vec::new(),
        foreign: String::new(),
        no_pick_up: false,
    })
}

#[test]
fn a_custody_sheet_draws_the_ribbon_of_few_and_of_many_events() {
    for paper in [Paper::A4, Paper::Letter] {
        for (items, rounds) in [(1, 1), (3, 4), (30, 9), (3, 60)] {
            let (items, events) = travelled(items, rounds);
            let ribbon = drawn(&items, &events);
            let kinds = items.iter().zip(1..).map(|(item, number)| ItemRow {
                number,
                tag: item.tag.to_string(),
                title: item.title(),
                kind: "bite record".into(),
                ..ItemRow::default()
            });
            let sheet = CustodySheet {
                paper,
                items: kinds.collect(),
                ribbon: Some(ribbon),
                ribbon_always: true,
                ..samples::custody(2)
            };
            let pages = custody_sheet::lay_out(&sheet);
            assert_inside_margins(&pages);
            assert!(pages == custody_sheet::lay_out(&sheet), "the same twice");
            let name = format!("ribbon-{}-{rounds}", items.len());
            let text = text_of(&saved(&name, &pages)).concat();
            // Every strip repeats the names of the lanes and the arches.
            let strips = text.matches("Where each item has been").count();
            assert!(strips >= 1);
            for lane in ["Lab", "On the way", "Office", "Patient"] {
                let lines = text.lines().map(str::trim_start);
                let named = lines.filter(|line| line.starts_with(lane)).count();
                assert!(named >= strips, "{lane} in {name}: {named} of {strips}");
            }
            for words in ["registered", "on hold", "as of 20", "not to scale"] {
                let is_there =
                    text.contains(words) || (items.len() < 2 && words.starts_with("on hold"));
                assert!(is_there, "{words} is missing in {name}");
            }
            let numbers = text.split_whitespace();
            let last = items.len().to_string();
            assert!(
                numbers.filter(|word| *word == last).count() > 2 * strips / 3,
                "{name}"
            );
            let most = if items.len() > 11 { 60 } else { 40 };
            assert!(pages.len() < most, "{name}: {} pages", pages.len());
        }
    }
}

/// A sheet of so many entries, some of them long, about so many items that went there and back.
fn fullest(paper: Paper, entries: usize, items: u8) -> CustodySheet {
    let (things, events) = travelled(items, 5);
    let rows = things.iter().zip(1..).map(|(item, number)| ItemRow {
        number,
        tag: item.tag.to_string(),
        title: item.title(),
        kind: "bite record".into(),
        handlers: "5 (7 people)".into(),
        conditions: "sound, marked disinfected, 2 times\nsound, no mark, 3 times".into(),
        end: "still open: on the way to the office".into(),
    });
    let arches = ["upper", "lower"].map(|arch| WornRow {
        arch: arch.into(),
        from: "before".into(),
        to: "still".into(),
        worn: "Provisional denture WWW-WWW-WWW".into(),
    });
    let mut sheet = CustodySheet {
        paper,
        items: rows.collect(),
        worn: Vec::from(arches),
        ribbon: (items > 0).then(|| drawn(&things, &events)),
        ribbon_always: entries.is_multiple_of(2),
        ..samples::custody(entries)
    };
    for (at, event) in sheet.events.iter_mut().enumerate() {
        let times = match at * 7 % 5 {
            0 => 0,
            1 => 1,
            2 => 5,
            3 => 22,
            _ => 200,
        };
        event.day = format!("2026-03-{:02} +01:00", 1 + at / 9);
        event.details = format!("{}end of T-{at:04}.", "the note says it ".repeat(times));
    }
    sheet
}

/// The lines of the entries on a page, from the top; none where it has no entries.
fn entry_lines(page: &vestibule::papers::Page) -> Option<Vec<(f32, &str)>> {
    let texts = || {
        page.marks.iter().filter_map(|mark| match mark {
            Mark::Text {
                x, baseline, text, ..
            } => Some((*x, *baseline, text.as_str())),
            _ => None,
        })
    };
    let (column, head, _) = texts().find(|(.., text)| *text == "What happened, and by whom")?;
    let mut lines: Vec<(f32, &str)> = texts()
        .filter(|(x, y, _)| (x - column).abs() < 0.01 && *y > head)
        .map(|(_, y, text)| (y, text))
        .collect();
    lines.sort_by(|one, other| one.0.total_cmp(&other.0));
    Some(lines)
}

#[test]
fn a_full_custody_sheet_cuts_no_entry_leaves_no_heading_alone_and_names_the_case_on_each_page() {
    let mut most = 0;
    for (entries, items) in [(60, 20), (90, 9), (120, 20), (120, 1)]
        .into_iter()
        .chain((1..=26).map(|entries| (entries, u8::try_from(entries % 21).unwrap())))
    {
        for paper in [Paper::A4, Paper::Letter] {
            let sheet = fullest(paper, entries, items);
            let pages = custody_sheet::lay_out(&sheet);
            let name = format!("{entries} entries, {items} items, {paper:?}");
            assert_inside_margins(&pages);
            let (mut begun, mut ended) = (0, 0);
            for (page, number) in pages.iter().zip(1..) {
                let texts = || {
                    page.marks.iter().filter_map(|mark| match mark {
                        Mark::Text {
                            x, baseline, text, ..
                        } => Some((*x, *baseline, text.as_str())),
                        _ => None,
                    })
                };
                let is_above = |y: f32| y < 21.0;
                assert!(texts().any(|(_, y, text)| is_above(y) && text == "Case V7-0042"));
                let foot = format!("Page {number} of {}", pages.len());
                let foot = texts().find(|(.., text)| *text == foot).unwrap().1;
                // Below each heading something stands on the same page.
                for heading in [
                    "Every entry.",
                    "What happened, and by whom",
                    "In the mouth",
                    "Left and arrived",
                    "Where each item",
                ] {
                    for (_, at, _) in texts().filter(|(.., text)| text.starts_with(heading)) {
                        let is_below = |y: f32| y > at + 1.0 && y < foot - 2.0;
                        assert!(
                            texts().any(|(_, y, _)| is_below(y)),
                            "{heading} alone: {name}"
                        );
                    }
                }
                if texts().any(|(.., text)| text.starts_with("Every entry.")) {
                    assert!(
                        entry_lines(page).is_some_and(|lines| !lines.is_empty()),
                        "{name}"
                    );
                }
                let Some(lines) = entry_lines(page) else {
                    continue;
                };
                // A page begins with a row, in whose first line its day stands.
                let first = lines.first().unwrap().0;
                let has_day = texts().any(|(x, y, text)| {
                    x < 20.0 && (y - first).abs() < 0.01 && text.starts_with("2026-03-")
                });
                assert!(has_day, "page {number} begins within a row: {name}");
                // What begins on a page ends on it.
                let all: Vec<&str> = lines.iter().map(|(_, text)| *text).collect();
                let all = all.join(" ");
                let begins = all.matches("provisional upper T-").count();
                assert_eq!(
                    begins,
                    all.matches("end of T-").count(),
                    "{name}, page {number}"
                );
                begun += begins;
                ended += all.matches("Ines Okafor").count();
            }
            assert_eq!((begun, ended), (entries, entries), "{name}");
            // The mark of the record has entries above it.
            assert!(entry_lines(pages.last().unwrap()).is_some(), "{name}");
            most = most.max(pages.len());
        }
    }
    assert!(most > 8, "{most} pages are no full sheet");
}

#[test]
fn a_key_sheet_warns_and_has_room_to_write() {
    let pages = key_sheet::lay_out(&KeySheet {
        paper: Paper::A4,
        office: "Office on the Quay".into(),
        codes: vec!["K7M4-Q2X9-R".into(), "P3TT-81ZA-0".into()],
        missing: String::new(),
        blank_rows: 20,
        record: samples::record(),
    });
    assert_inside_margins(&pages);
    let text = text_of(&saved("key-sheet", &pages)).concat();
    for words in [
        "keep apart from all case papers",
        "Never send it to the laboratory",
        "K7M4-Q2X9-R",
        "P3TT-81ZA-0",
    ] {
        assert!(text.contains(words), "{words} is missing in\n{text}");
    }
}

#[test]
fn rows_to_write_on_begin_no_page_of_their_own() {
    for paper in [Paper::A4, Paper::Letter] {
        for codes in 0..=10 {
            let sheet = KeySheet {
                paper,
                office: "Office on the Quay".into(),
                codes: (0..codes).map(|n| format!("K7M4-{n:03}")).collect(),
                missing: String::new(),
                blank_rows: 8,
                record: samples::record(),
            };
            let pages = key_sheet::lay_out(&sheet);
            assert_eq!(pages.len(), 1, "{codes} codes on {paper:?}");
        }
    }
}
