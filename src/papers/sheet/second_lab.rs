//! The sheet for a second laboratory: what is ordered there, in the order's own words, and what of the part that goes along
//! belongs to it. Nothing else of the text is on it.

use super::along::{is_against_the_prescription, lots_of, made_for, own_words, work_of};
use super::content::{BoxRow, Entry, Hands, List, Sheet, SignedWords};
use super::sheet_of::{SheetOf, house, sheet_asking};
use super::words::{Run, Words, in_line, moment};
use crate::domain::custody::item::Item;
use crate::domain::custody::{PassedWork, SecondLabWork};
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::Signature;
use crate::domain::second_lab::PassedPart;
use crate::domain::values::arch::Arch;
use crate::papers::record_mark::RecordMark;

/// What that sheet is made of.
#[derive(Debug, Clone, Copy)]
pub struct SecondLabSheet<'a> {
    pub part: &'a PassedPart,
    /// The same part of the revision before, for what changed since.
    pub before: Option<&'a PassedPart>,
    pub pass: &'a PassedWork,
    /// The items that are passed on.
    pub items: &'a [&'a Item],
    /// The signature under the whole text.
    pub signature: &'a Signature,
    pub paper: Paper,
    pub record: Option<&'a RecordMark>,
}

fn row(item: &&Item) -> Entry {
    let mut name = Words::strong(item.kind.shown());
    if item.pieces > 1 {
        name.join(", ", Words::plain(format!("pieces: {}", item.pieces)));
    }
    Entry::Parcel(BoxRow {
        name,
        arch: Words::plain(item.arch.map(Arch::shown).unwrap_or_default()),
        tag: Words::plain(item.tag.to_string()),
        back: Words::plain("with the work"),
        goes_out: true,
        comes_back: true,
        ..BoxRow::default()
    })
}

/// Why nobody works from it; none where it may be.
fn caution(pass: &PassedWork) -> Option<&'static str> {
    if pass.ended.is_some() {
        Some("This work is no longer passed on: do not work from this sheet.")
    } else if pass.is_refused() {
        Some("The office has said no to it: do not work from this sheet.")
    } else if pass.awaits_consent() {
        Some("Not before the office has agreed to it.")
    } else {
        None
    }
}

/// An order longer than this is no title: it stands below one that names it.
const LONG_ORDER: usize = 160;

/// The order's own words, as the title where they are no longer than one.
fn say_the_order(sheet: &mut Sheet, pass: &PassedWork) {
    let task = in_line(&pass.task);
    let order = &mut sheet.order.entries;
    if task.chars().count() > LONG_ORDER {
        sheet.top.what = "To be done here, and nothing else:".to_owned();
        order.insert(0, Entry::text(Words::strong(task)));
    } else {
        sheet.top.what = task;
    }
    if let Some(words) = caution(pass) {
        order.insert(0, Entry::fact("Caution", Words::strong(words)));
    }
}

/// Whom whoever does the work asks, and what the prescriber has said of that.
fn say_whom_to_ask(sheet: &mut Sheet, part: &PassedPart, work: SecondLabWork) {
    let first = &part.document.office;
    let reached = match first.telephone.as_str() {
        "" => String::new(),
        number => format!(", tel {}", in_line(number)),
    };
    let List {
        entries: said,
        goes_last,
        ..
    } = std::mem::take(&mut sheet.ask);
    let whom = Words::strong(format!("The first laboratory{reached}"));
    let mut entries = vec![Entry::text(whom.and("; not the office."))];
    if is_against_the_prescription(&part.document, work) {
        let words = "The prescription asks for no strengthening: ask before you begin.";
        entries.push(Entry::text(Words::strong(words)));
    }
    for entry in said {
        if let Entry::Fact { words, .. } = entry {
            let mut asked = Words::plain("The prescriber wants to be asked if: ");
            asked.runs.extend(words.runs.into_iter().map(|run| Run {
                strong: false,
                ..run
            }));
            entries.push(Entry::text(asked));
        }
    }
    sheet.ask = List::new("Questions", entries).last(goes_last);
}

/// The words of the sheet of work that is passed on.
pub fn sheet_for_second_lab(of: &SecondLabSheet<'_>) -> Sheet {
    let (part, pass) = (of.part, of.pass);
    let own = |part: &PassedPart| own_words(&part.document, pass.work, of.items);
    let (document, signature) = (own(part), of.signature);
    let before = of.before.map(own);
    let whole = SheetOf {
        document: &document,
        before: before.as_ref(),
        signature: Some(signature),
        paper: of.paper,
        record: of.record,
    };
    // Whom to ask stands above what the prescriber wants to be asked: a number among that is no condition.
    let telephone = match document.sheet {
        8.. => "",
        _ => document.office.telephone.as_str(),
    };
    let mut sheet = sheet_asking(&whole, telephone);
    let top = &mut sheet.top;
    top.title = format!("Order to second laboratory, revision {}", document.revision);
    top.moment = format!("Passed on {}", moment(pass.at));
    // The office's code for the patient is none of this laboratory's.
    top.patient = Words::plain("No patient code: use the case number");
    top.due.label = "Wanted back by";
    top.due.days.clear();
    top.due.more = Words::default();
    let prescriber = Words::plain("; prescriber ").and_strong(in_line(&document.prescriber_name));
    top.office.words = house("First laboratory ", &document.office);
    top.office.words.runs.extend(prescriber.runs);
    let licence = Words::plain(in_line(&document.prescriber_licence));
    top.office.words.join(", ", licence);
    top.lab.words = house("Second laboratory ", &document.lab);
    say_whom_to_ask(&mut sheet, part, pass.work);
    say_the_order(&mut sheet, pass);
    sheet.lots = lots_of(pass.work, sheet.lots);
    if pass.work != SecondLabWork::Whole {
        let made_for = made_for(&std::mem::take(&mut sheet.pieces));
        sheet.order.entries.extend(made_for);
        // What is ordered of the first laboratory does not come back from here.
        sheet.parcel.entries = vec![work_of(pass)];
    }
    sheet.parcel.hands = Hands::TwoLabs;
    sheet.parcel.entries.splice(0..0, of.items.iter().map(row));
    if !part.stays.is_empty() {
        let stays = part.stays.join("; ");
        let words = format!("{stays}. Ask the first laboratory for what is missing here.");
        let left_out = Entry::fact("Left out", Words::plain(words));
        sheet.further.entries.push(left_out);
    }
    sheet.signed = Some(SignedWords {
        words: Words::plain(format!(
            "Part of revision {}, signed by ",
            document.revision
        ))
        .and_strong(in_line(&signature.name))
        .and(format!(", {}", moment(signature.at))),
        meaning: format!(
            "Passed on by {}. The signature stands under the whole text, of which this is a part.",
            in_line(&pass.by)
        ),
    });
    sheet
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::item::ItemKind;
    use crate::domain::custody::{PassAnswer, PassEnd, PassReply, SecondLab};
    use crate::domain::prescription::revision::{Document, PartyCard};
    use crate::domain::prescription::{read, samples, section_of};
    use crate::domain::second_lab::{Along, Between, part_of};
    use crate::domain::values::arch::Arches;
    use crate::domain::values::ids::EventId;
    use crate::domain::values::moment::Moment;
    use crate::domain::values::tooth::Numbering;
    use crate::papers::lay_out_sheet;
    use crate::papers::page::Mark;
    use crate::papers::sheet_samples;
    use crate::papers::svg::write_svg;
    use proptest::prelude::*;
    use proptest::sample::select;

    fn passed(work: SecondLabWork, more: Vec<String>) -> PassedWork {
        PassedWork {
            event: EventId::new("e-1"),
            at: Moment::new(1_772_442_300_000, 60),
            by: "Tom Vale, Kiln".to_owned(),
            to: SecondLab {
                party: None,
                name: "Anvil".to_owned(),
                address: "2 Forge Lane".to_owned(),
                licence: "L-2".to_owned(),
            },
            arches: Arches::Both,
            items: Vec::new(),
            task: "Cast the framework.".to_owned(),
            work,
            more,
            revision: 2,
            wanted: time::macros::date!(2026 - 03 - 12),
            needs_consent: false,
            reply: None,
            left: Vec::new(),
            arrived_at: None,
            ended: None,
            moves: Vec::new(),
            questions: Vec::new(),
            new_answers: 0,
        }
    }

    fn part(document: &Document, pass: &PassedWork) -> PassedPart {
        let between = Between {
            from: document.lab.clone(),
            to: PartyCard {
                name: pass.to.name.clone(),
                address: pass.to.address.clone(),
                licence: pass.to.licence.clone(),
                telephone: String::new(),
            },
            wanted: pass.wanted.into(),
        };
        part_of(document, Along::from(pass), &between).unwrap()
    }

    fn made(document: &Document, pass: &PassedWork) -> Sheet {
        let signature = sheet_samples::signature();
        sheet_for_second_lab(&SecondLabSheet {
            part: &part(document, pass),
            before: None,
            pass,
            items: &[],
            signature: &signature,
            paper: Paper::A4,
            record: None,
        })
    }

    /// All texts of the pages, as the PDF sets them, and the pictures of the same pages.
    fn printed(sheet: &Sheet) -> String {
        let pages = lay_out_sheet(sheet);
        let set = |mark: &Mark| match mark {
            Mark::Text { text, .. } => Some(text.clone()),
            _ => None,
        };
        let texts: Vec<String> = pages
            .iter()
            .flat_map(|page| &page.marks)
            .filter_map(set)
            .collect();
        let pictures: Vec<String> = pages.iter().map(|page| write_svg(page, "Front")).collect();
        [texts.join(" "), pictures.concat()].concat()
    }

    #[test]
    fn the_sheet_names_both_laboratories_and_the_day_of_the_step_alone() {
        let mut raw = samples::marked();
        raw.insert("dates.insertion".to_owned(), "2026-04-28".to_owned());
        let document = samples::document(read(&raw, Numbering::Iso3950).document);
        let pass = passed(SecondLabWork::Framework, Vec::new());
        let sheet = made(&document, &pass);
        let words = sheet.words().join(" ").replace('\u{A0}', " ");
        for said in [
            "Order to second laboratory, revision 2",
            "First laboratory",
            "Second laboratory",
            "Kiln",
            "Anvil",
            "Cast the framework.",
            "Left out",
            "Tooth shade",
            "Nickel",
            "12 Mar",
        ] {
            assert!(words.contains(said), "{said} is not on it: {words}");
        }
        for kept in [
            document.patient.code.to_string().as_str(),
            "Northgate",
            "70 to 79",
            "28 Apr",
            "I prescribe",
        ] {
            assert!(
                !printed(&sheet).contains(kept) && !words.contains(kept),
                "{kept}"
            );
        }
        assert_eq!(sheet.top.due.label, "Wanted back by");
    }

    fn thing(kind: ItemKind) -> Item {
        use crate::domain::values::ids::{CaseNumber, Tag};
        let case = (0..32).find_map(|last| CaseNumber::from_random([3, 3, 3, 3, 3, 3, last]));
        let tag = (0..32).find_map(|last| Tag::from_random([7, 7, 7, 7, 7, 1, last]));
        Item {
            tag: tag.unwrap(),
            case: case.unwrap(),
            kind,
            arch: Some(Arch::Upper),
            note: String::new(),
            pieces: 1,
            borrowed: false,
        }
    }

    /// The sheet of a whole prescription for work that is passed on with one thing.
    fn made_with(pass: &PassedWork, kind: ItemKind) -> Sheet {
        let document = samples::document(crate::domain::review::sample::document());
        let (item, signature) = (thing(kind), sheet_samples::signature());
        sheet_for_second_lab(&SecondLabSheet {
            part: &part(&document, pass),
            before: None,
            pass,
            items: &[&item],
            signature: &signature,
            paper: Paper::A4,
            record: None,
        })
    }

    fn said(sheet: &Sheet) -> String {
        sheet.words().join(" ").replace('\u{A0}', " ")
    }

    #[test]
    fn the_order_stands_in_its_own_words_and_nothing_of_other_things_is_ordered() {
        let mut pass = passed(SecondLabWork::Framework, Vec::new());
        "Make a glass fiber reinforcement on this cast; no metal.".clone_into(&mut pass.task);
        let sheet = made_with(&pass, ItemKind::Cast);
        assert_eq!(sheet.top.what, pass.task);
        let words = said(&sheet);
        for has in [
            "First laboratory Kiln",
            "Second laboratory Anvil",
            "Master cast upper",
            "The work ordered here",
            "by Thu 12 Mar",
            "complete denture, 14 teeth",
            "made at the first laboratory",
            // The sample asks for none, and one is ordered: that is no line of the base.
            "The prescription asks for no strengthening: ask before you begin.",
        ] {
            assert!(words.contains(has), "{has} is not on it: {words}");
        }
        for kept in [
            "Metal framework",
            "process and finish",
            "on arrival",
            "keep it untouched",
            "functional surface in the pattern",
            "bead and box",
            "strengthening: none",
            "new work",
            "by the question",
        ] {
            assert!(!words.contains(kept), "{kept} is on it: {words}");
        }
        assert!(!sheet.lots.contains(&"Teeth"));
        // An impression has its clock with it.
        let words = said(&made_with(&pass, ItemKind::Impression));
        assert!(words.contains("on arrival, in type 3 stone"), "{words}");
    }

    #[test]
    fn a_long_number_is_no_condition_of_the_prescriber() {
        let number = "+49 221 4711 0815 extension 22";
        let pass = passed(SecondLabWork::Whole, Vec::new());
        let questions = |number_of_sheet: u32| {
            let mut document = samples::document(crate::domain::review::sample::document());
            document.sheet = number_of_sheet;
            number.clone_into(&mut document.office.telephone);
            number.clone_into(&mut document.lab.telephone);
            let asked = made(&document, &pass).ask.entries;
            let asked: Vec<String> = asked.iter().map(Entry::text_of).collect();
            asked.join("; ").replace('\u{A0}', " ")
        };
        let (now, before) = (questions(8), questions(7));
        assert!(now.contains("wants to be asked if"), "{now}");
        let wrong = format!("asked if: tel {number}");
        assert!(
            !now.contains(&wrong) && !before.contains(&wrong),
            "{before}"
        );
        assert!(now.contains(number), "{now}");
    }

    #[test]
    fn an_order_longer_than_a_title_stands_below_one() {
        let mut pass = passed(SecondLabWork::SetUp, Vec::new());
        pass.task = "Set the upper six first, then call. ".repeat(9);
        let sheet = made_with(&pass, ItemKind::Cast);
        assert!(sheet.top.what.chars().count() < LONG_ORDER);
        assert_eq!(said(&sheet).matches("then call").count(), 9);
    }

    #[test]
    fn the_sheet_is_one_page_where_it_fits_and_is_about_two_laboratories() {
        for paper in Paper::ALL {
            for work in [SecondLabWork::Framework, SecondLabWork::Tray] {
                let pass = passed(work, Vec::new());
                let sheet = Sheet {
                    paper: *paper,
                    ..made_with(&pass, ItemKind::Cast)
                };
                let pages = lay_out_sheet(&sheet);
                assert_eq!(pages.len(), 1, "{work:?} on {}", paper.word());
                let words = printed(&sheet);
                for has in ["from first lab", "at second lab", "Page 1 of 1", "Cautions"] {
                    assert!(words.contains(has), "{has} is not on it: {words}");
                }
                assert!(!words.contains("at office") && !words.contains("from office"));
            }
        }
    }

    #[test]
    fn a_sheet_that_nobody_works_from_says_so_and_any_other_says_nothing_of_it() {
        let document = samples::document(read(&samples::least(), Numbering::Iso3950).document);
        let plain = passed(SecondLabWork::Framework, Vec::new());
        let asked = PassedWork {
            needs_consent: true,
            ..plain.clone()
        };
        let answered = |answer| PassedWork {
            reply: Some(PassReply {
                at: plain.at,
                by: "Dora Wells, Northgate".to_owned(),
                answer,
                note: String::new(),
            }),
            ..asked.clone()
        };
        let over = PassedWork {
            ended: Some((plain.at, PassEnd::Ended)),
            ..plain.clone()
        };
        let all = [
            "Not before the office has agreed to it.",
            "The office has said no to it: do not work from this sheet.",
            "This work is no longer passed on: do not work from this sheet.",
        ];
        for (pass, said) in [
            (&plain, None),
            (&answered(PassAnswer::Agreed), None),
            (&asked, Some(0)),
            (&answered(PassAnswer::Objected), Some(1)),
            (&over, Some(2)),
        ] {
            let printed = made(&document, pass).words().join(" ");
            let printed = printed.replace('\u{A0}', " ");
            for (place, words) in all.iter().enumerate() {
                assert_eq!(printed.contains(words), said == Some(place), "{printed}");
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// Nothing of a part that stays is on any page, as text or as picture; what goes is there.
        #[test]
        fn nothing_outside_the_part_is_printed(
            work in select(SecondLabWork::ALL.to_vec()),
            added in select(vec!["shade", "approval", "facebow", "spare"]),
        ) {
            let raw = samples::marked();
            let document = samples::document(read(&raw, Numbering::Iso3950).document);
            let pass = passed(work, vec![added.to_owned()]);
            let along = Along::from(&pass);
            let printed = printed(&made(&document, &pass));
            let words: std::collections::BTreeSet<&str> =
                printed.split(|sign: char| !sign.is_alphanumeric()).collect();
            for (key, text) in raw.iter().filter(|(_, text)| text.starts_with("zq")) {
                let section = section_of(key).unwrap();
                let stays = !along.has(section.key);
                prop_assert!(!stays || !words.contains(text.as_str()), "{} of {:?}", key, work);
            }
            prop_assert!(words.iter().any(|word| word.starts_with("zq")));
        }
    }
}
