//! What of a save is stored.

use super::bed::{Bed, copied, without_marks};
use crate::domain::fill::{fill, kept, proposals};
use crate::domain::prescription::Course;
use crate::domain::prescription::draft::{Fields, apply, merge};
use crate::domain::prescription::sources::AS_PATTERN;
use crate::domain::values::arch::Arches;
use proptest::prelude::*;

const COPY: (&str, &str) = ("order.course", "copy");

type Pairs<'a> = &'a [(&'a str, &'a str)];

/// What is stored of a save over what is typed.
fn stored(bed: &Bed, typed: Pairs<'_>, sent: Pairs<'_>) -> Fields {
    without_marks(kept(&bed.typed(sent), &bed.typed(typed), &bed.known()))
}

/// The whole form as its page shows it.
fn whole_form(bed: &Bed, typed: &Fields) -> Fields {
    let mut form = fill(typed, &bed.known()).fields;
    // Fields that nothing stands in are sent empty; those of the opened list rows too.
    for key in [
        "base.product",
        "jaw.note",
        "seal.shape",
        "changes.0.what",
        "changes.0.mm",
        "readings.0.rest_mm",
        "enclosed.5.tag",
        "enclosed.5.agent",
    ] {
        form.entry(key.to_owned()).or_default();
    }
    form
}

/// What the draft holds after a save.
fn after(bed: &Bed, typed: &Fields, sent: &Fields) -> Fields {
    let sent = without_marks(kept(sent, typed, &bed.known()));
    let mut draft = typed.clone();
    apply(&mut draft, &merge(typed, typed, &sent).taken);
    draft
}

#[test]
fn each_case_of_one_field() {
    let bed = copied();
    // (typed before, sent, stored)
    let table: &[(Pairs<'_>, Pairs<'_>, Pairs<'_>)] = &[
        // No kind of work is chosen: everything is stored as it is sent.
        (
            &[],
            &[("seal.by", "in_pattern"), ("seal.shape", "")],
            &[("seal.by", "in_pattern"), ("seal.shape", "")],
        ),
        (&[], &[COPY], &[COPY]),
        // What was filled in and comes back is nobody's.
        (&[COPY], &[("seal.by", "in_pattern")], &[]),
        (&[COPY], &[(AS_PATTERN, "yes")], &[]),
        (&[COPY], &[(AS_PATTERN, "no")], &[(AS_PATTERN, "no")]),
        // Another text is the writer's.
        (&[COPY], &[("seal.by", "lab")], &[("seal.by", "lab")]),
        // Emptied on purpose: it stays empty.
        (&[COPY], &[("seal.by", "")], &[("seal.by", " ")]),
        (
            &[COPY, ("seal.by", " ")],
            &[("seal.by", "")],
            &[("seal.by", " ")],
        ),
        (
            &[COPY, ("seal.by", "lab")],
            &[("seal.by", "")],
            &[("seal.by", " ")],
        ),
        // Typed again what would be filled in: it is typed.
        (
            &[COPY, ("seal.by", " ")],
            &[("seal.by", "in_pattern")],
            &[("seal.by", "in_pattern")],
        ),
        (
            &[COPY, ("seal.by", "lab")],
            &[("seal.by", "in_pattern")],
            &[("seal.by", "in_pattern")],
        ),
        // Where nothing would be filled in, empty is empty.
        (&[COPY], &[("base.product", "")], &[("base.product", "")]),
        (
            &[COPY, ("base.product", "X")],
            &[("base.product", "")],
            &[("base.product", "")],
        ),
        // Reasons and other keys go through.
        (
            &[COPY],
            &[("reason.x.y", ""), ("reason.z.y", "so")],
            &[("reason.x.y", ""), ("reason.z.y", "so")],
        ),
        // A disinfection that is read into a row.
        (
            &[("enclosed.0.tag", "@bite")],
            &[("enclosed.0.minutes", "10")],
            &[],
        ),
        (
            &[("enclosed.0.tag", "@bite")],
            &[("enclosed.0.minutes", "")],
            &[("enclosed.0.minutes", " ")],
        ),
        (
            &[("enclosed.0.tag", "@bite")],
            &[("enclosed.0.minutes", "15")],
            &[("enclosed.0.minutes", "15")],
        ),
    ];
    for (typed, sent, expected) in table {
        let stored = stored(&bed, typed, sent);
        assert_eq!(stored, bed.typed(expected), "{typed:?} {sent:?}");
    }
}

#[test]
fn what_was_emptied_stays_empty_when_the_kind_of_work_is_changed_there_and_back() {
    let bed = copied();
    let shown = bed.typed(&[COPY]);
    let emptied = ["seal.by", "base.material", "pattern.upper_item"];
    let taken = emptied.map(|key| (key, fill(&shown, &bed.known()).fields.contains_key(key)));
    assert_eq!(taken, emptied.map(|key| (key, true)));
    let sent: Fields = emptied.map(|key| (key.to_owned(), String::new())).into();
    let mut draft = after(&bed, &shown, &sent);
    for course in ["repair", "tray", "", "copy"] {
        // As its page sends it: whole, with the boxes that show nothing sent empty.
        let mut form = whole_form(&bed, &draft);
        form.insert("order.course".to_owned(), course.to_owned());
        for text in form.values_mut() {
            if text.trim().is_empty() {
                text.clear();
            }
        }
        draft = after(&bed, &draft, &form);
    }
    let filled = fill(&draft, &bed.known());
    for key in emptied {
        assert_eq!(
            filled.fields.get(key).map(|text| text.trim()),
            Some(""),
            "{key}"
        );
    }
}

#[test]
fn the_first_text_in_a_list_takes_the_rows_along_that_were_filled_in() {
    let bed = copied();
    let rows = |draft: &Fields| {
        let tags = draft
            .iter()
            .filter(|(key, _)| key.starts_with("enclosed.") && key.ends_with(".tag"));
        tags.map(|(_, text)| text.clone()).collect::<Vec<_>>()
    };
    let typed = bed.typed(&[COPY]);
    let shown = rows(&fill(&typed, &bed.known()).fields);
    assert_eq!(shown.len(), 5);
    // A note in the second row.
    let sent = bed.typed(&[("enclosed.1.note", "in water")]);
    let draft = after(&bed, &typed, &sent);
    assert_eq!(rows(&draft), shown);
    assert!(draft.contains_key("enclosed.1.note"));
    // What was disinfected is still read from its entry.
    assert!(!draft.contains_key("enclosed.1.agent"));
    assert!(
        fill(&draft, &bed.known())
            .fields
            .contains_key("enclosed.1.agent")
    );
    // A row that is taken out stays out.
    let sent: Fields = fill(&typed, &bed.known())
        .fields
        .keys()
        .filter(|key| key.starts_with("enclosed.1."))
        .map(|key| (key.clone(), String::new()))
        .collect();
    let draft = after(&bed, &typed, &sent);
    let filled = fill(&draft, &bed.known());
    let left: Vec<String> = rows(&filled.fields)
        .into_iter()
        .filter(|text| !text.trim().is_empty())
        .collect();
    assert_eq!(left.len(), 4);
    assert!(!left.contains(&bed.tag("prov_l").to_string()));
    // All rows taken out: none comes back.
    let mut draft = typed.clone();
    for row in 0..5 {
        let sent = Fields::from([(format!("enclosed.{row}.tag"), String::new())]);
        draft = after(&bed, &draft, &sent);
    }
    let filled = fill(&draft, &bed.known());
    assert!(
        rows(&filled.fields).iter().all(|text| text == " "),
        "{filled:?}"
    );
}

#[test]
fn a_whole_form_that_nobody_has_touched_stores_nothing() {
    let bed = copied();
    for typed in [
        bed.typed(&[COPY]),
        bed.typed(&[
            COPY,
            ("seal.by", " "),
            ("enclosed.0.tag", "@bite"),
            ("enclosed.0.minutes", "5"),
        ]),
        bed.typed(&[("order.course", "repair"), ("base.product", "X")]),
        bed.typed(&[("enclosed.0.tag", "@bite")]),
    ] {
        let form = whole_form(&bed, &typed);
        assert_eq!(after(&bed, &typed, &form), typed);
    }
}

#[test]
fn a_whole_form_stores_what_differs_and_what_was_emptied_in_it() {
    let bed = copied();
    let typed = bed.typed(&[COPY]);
    let mut form = whole_form(&bed, &typed);
    form.insert("seal.by".to_owned(), "lab".to_owned());
    form.insert("base.material".to_owned(), String::new());
    form.insert("readings.0.rest_mm".to_owned(), "68".to_owned());
    let expected = bed.typed(&[
        COPY,
        ("seal.by", "lab"),
        ("base.material", " "),
        ("readings.0.rest_mm", "68"),
    ]);
    assert_eq!(after(&bed, &typed, &form), expected);
}

#[test]
fn a_form_from_before_the_kind_of_work_was_chosen_empties_nothing() {
    let bed = copied();
    // The page showed an empty form; somebody chose the kind of work meanwhile.
    let typed = bed.typed(&[COPY]);
    let mut form: Fields = fill(&typed, &bed.known())
        .fields
        .into_keys()
        .map(|key| (key, String::new()))
        .collect();
    form.insert("order.course".to_owned(), "copy".to_owned());
    form.insert("base.product".to_owned(), "sample".to_owned());
    let draft = after(&bed, &typed, &form);
    assert_eq!(draft, bed.typed(&[COPY, ("base.product", "sample")]));
}

/// Six of eight emptied in one save stay empty: the two that come back show that the page had them filled in.
#[test]
fn a_page_on_which_most_was_emptied_at_once_keeps_it_empty() {
    let bed = copied();
    let typed = bed.typed(&[COPY]);
    let mut form = whole_form(&bed, &typed);
    let filled = fill(&typed, &bed.known()).fields;
    let mut emptied: Vec<String> = filled.keys().cloned().collect();
    emptied.retain(|key| key != "order.course" && !key.starts_with("form."));
    let mut place = 0;
    emptied.retain(|_| {
        place += 1;
        place % 4 != 0
    });
    assert!(emptied.len() > 8, "{emptied:?}");
    for key in &emptied {
        form.insert(key.clone(), String::new());
    }
    let draft = after(&bed, &typed, &form);
    let of_section = emptied.iter().filter(|key| key.split('.').count() == 2);
    for key in of_section {
        assert_eq!(draft.get(key).map(String::as_str), Some(" "), "{key}");
    }
}

#[test]
fn another_kind_of_work_takes_nothing_along_that_nobody_typed() {
    let bed = copied();
    let typed = bed.typed(&[COPY]);
    let mut form = whole_form(&bed, &typed);
    form.insert("order.course".to_owned(), "repair".to_owned());
    let draft = after(&bed, &typed, &form);
    assert_eq!(draft, bed.typed(&[("order.course", "repair")]));
    assert_eq!(
        fill(&draft, &bed.known()).fields["base.material"],
        "cold_cured"
    );
}

#[test]
fn a_revision_that_is_written_again_is_stored_as_it_is_sent() {
    let mut bed = copied();
    bed.beforehand.signed = Some(Course::Copy);
    let sent = [("seal.by", ""), ("base.material", "heat_cured")];
    assert_eq!(stored(&bed, &[COPY], &sent), bed.typed(&sent));
}

fn some_texts() -> impl Strategy<Value = Fields> {
    let keys = prop::sample::select(vec![
        "seal.by",
        "base.material",
        "jaw.item",
        "order.kind",
        "base.product",
        "form.as_pattern",
        "enclosed.0.tag",
        "enclosed.1.note",
        "enclosed.6.what",
        "returns.0.tag",
        "pieces.0.description",
        "pieces.1.arch",
        "changes.0.mm",
    ]);
    let texts = prop::sample::select(vec![
        "",
        " ",
        "lab",
        "heat_cured",
        "yes",
        "no",
        "upper",
        "1",
    ]);
    let pair = (keys, texts).prop_map(|(key, text)| (key.to_owned(), text.to_owned()));
    prop::collection::btree_map(
        pair.clone().prop_map(|(key, _)| key),
        pair.prop_map(|(_, text)| text),
        0..6,
    )
}

proptest! {
    #[test]
    fn after_a_save_every_field_says_what_was_sent_and_nothing_else_has_changed(
        mut typed in some_texts(),
        sent in some_texts(),
        has_course in any::<bool>(),
    ) {
        let bed = copied();
        // Turning the switch on answers what is emptied beside it.
        prop_assume!(!(sent.contains_key(AS_PATTERN) && sent.contains_key("seal.by")));
        typed.retain(|_, text| !text.is_empty());
        if has_course {
            typed.insert("order.course".to_owned(), "copy".to_owned());
        }
        let shown = fill(&typed, &bed.known()).fields;
        let draft = after(&bed, &typed, &sent);
        let now = fill(&draft, &bed.known());
        for (key, text) in &sent {
            let reads = now.fields.get(key).map_or("", |text| text.trim());
            prop_assert_eq!(reads, text.trim(), "{}", key);
        }
        // No row that the page showed goes, and none comes, but by what was sent.
        let rows = |fields: &Fields, key: &str| {
            let text = fields.get(key).map_or("", |text| text.trim());
            text.to_owned()
        };
        for list in ["enclosed", "pieces", "changes"] {
            let first = format!("{list}.");
            let was_untouched = !typed.keys().any(|key| key.starts_with(&first));
            let keys = shown.keys().chain(now.fields.keys());
            for key in keys.filter(|key| key.starts_with(&first) && was_untouched) {
                // Words that follow from other fields follow them still.
                let follows = key.ends_with(".materials")
                    || key.ends_with(".description")
                    || list == "enclosed" && !key.ends_with(".tag") && !key.ends_with(".pieces");
                if !sent.contains_key(key) && !follows {
                    prop_assert_eq!(rows(&shown, key), rows(&now.fields, key), "{}", key);
                }
            }
        }
        // Saving the page that comes of it stores nothing more.
        let again = after(&bed, &draft, &now.fields);
        prop_assert_eq!(again, draft);
    }
}

#[test]
fn a_list_whose_last_own_row_is_taken_out_does_not_fill_itself_again() {
    let bed = copied();
    let typed = bed.typed(&[COPY, ("enclosed.6.what", "a letter")]);
    let sent = Fields::from([("enclosed.6.what".to_owned(), String::new())]);
    let draft = after(&bed, &typed, &sent);
    let now = fill(&draft, &bed.known()).fields;
    assert!(
        now.keys().all(|key| !key.starts_with("enclosed.0")),
        "{now:?}"
    );
}

#[test]
fn nothing_is_proposed_in_a_case_without_things_but_methods() {
    let bed = Bed::before(0, Arches::Both);
    let found = proposals(&bed.typed(&[COPY]), &bed.known());
    assert!(
        found.keys().all(|key| !key.starts_with("enclosed.0")),
        "{found:?}"
    );
    assert!(found.contains_key("pieces.0.arch"));
}
