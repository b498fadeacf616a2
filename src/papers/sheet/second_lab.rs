//! The sheet for a second laboratory: made from the part that goes along, and from nothing else of the text.

use super::content::{BoxRow, Entry, Sheet, SignedWords};
use super::sheet_of::{SheetOf, sheet};
use super::words::{Words, in_line, moment};
use crate::domain::custody::PassedWork;
use crate::domain::custody::item::Item;
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::Signature;
use crate::domain::second_lab::PassedPart;
use crate::domain::values::words::capitalised;
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
    let mut name = Words::strong(in_line(&item.title()));
    if item.pieces > 1 {
        name.join(", ", Words::plain(format!("pieces: {}", item.pieces)));
    }
    Entry::Parcel(BoxRow {
        name,
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

/// The words of the sheet of work that is passed on.
pub fn sheet_for_second_lab(of: &SecondLabSheet<'_>) -> Sheet {
    let (part, pass) = (of.part, of.pass);
    let (document, signature) = (&part.document, of.signature);
    let mut sheet = sheet(&SheetOf {
        document,
        before: of.before.map(|before| &before.document),
        signature: Some(signature),
        paper: of.paper,
        record: of.record,
    });
    let top = &mut sheet.top;
    top.title = format!(
        "Part for a second laboratory, revision {}",
        document.revision
    );
    top.moment = format!("Passed on {}", moment(pass.at));
    // The office's code for the patient is none of this laboratory's.
    top.patient = Words::plain("Patient by the case number of the first laboratory");
    top.what = capitalised(pass.work.shown());
    top.due.label = "Wanted back by";
    top.due.days.clear();
    top.due.more = Words::default();
    let task = Words::strong(in_line(&pass.task));
    let order = &mut sheet.order.entries;
    order.insert(0, Entry::fact("To be done", task));
    if let Some(words) = caution(pass) {
        order.insert(0, Entry::fact("Caution", Words::strong(words)));
    }
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
    use crate::domain::custody::{PassAnswer, PassEnd, PassReply, SecondLab, SecondLabWork};
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
            "Part for a second laboratory, revision 2",
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
