//! The stored text, and that nothing typed is lost on the way to it.

use super::super::samples::{any_key, any_readable, any_typed};
use super::super::*;
use super::{differences, one, read_whole};
use crate::domain::values::tooth::Numbering::{Iso3950, Universal};
use proptest::prelude::*;

#[test]
fn a_later_schema_is_named() {
    let error = Prescription::from_canonical(r#"{"schema":2}"#).expect_err("not ours");
    assert!(error.to_string().contains("schema 2"), "{error}");
}

#[test]
fn an_empty_prescription_is_nothing_but_its_schema() {
    let empty = Prescription::default();
    assert_eq!(empty.canonical().expect("json"), r#"{"schema":1}"#);
    assert_eq!(empty.printed(Iso3950), []);
    assert_eq!(
        empty.highlights(crate::domain::prescription::revision::SHEET),
        []
    );
}

#[test]
fn the_canonical_text_is_known() {
    let mut raw = one("vertical.rest_mm", "68,5");
    raw.extend(one("changes.4.tooth", "14"));
    raw.extend(one("shade.tab_enclosed", "yes"));
    raw.extend(one("dates.wanted_time", "9:05"));
    assert_eq!(
        read_whole(&raw).canonical().expect("json"),
        concat!(
            r#"{"dates":{"wanted_time":"09:05"},"pattern":{"changes":[{"tooth":"14"}]},"schema":1,"#,
            r#""shade":{"tab_enclosed":"yes"},"vertical":{"rest_mm":"68.5"}}"#
        )
    );
}

#[test]
fn stored_text_of_another_form_is_refused() {
    for text in [
        "",
        "{}",
        r#"{"schema":2}"#,
        r#"{ "schema":1}"#,
        r#"{"schema":1,"vertical":{}}"#,
        r#"{"schema":1,"vertical":{"rest_mm":68.5}}"#,
        r#"{"schema":1,"vertical":{"rest_mm":"68.50"}}"#,
        r#"{"schema":1,"vertical":{"rest_cm":"6.8"}}"#,
        r#"{"schema":1,"unheard_of":{}}"#,
        r#"{"schema":1,"shade":{"light":"moon"}}"#,
        r#"{"schema":1,"schema":1}"#,
    ] {
        assert!(Prescription::from_canonical(text).is_err(), "{text}");
    }
}

proptest! {
    #[test]
    fn what_is_read_comes_back_and_reads_the_same(raw in any_readable()) {
        let document = read_whole(&raw);
        for numbering in [Iso3950, Universal] {
            let again = document.to_raw(numbering);
            prop_assert_eq!(again.len(), raw.len(), "no field is lost");
            let reading = read(&again, numbering);
            prop_assert_eq!(&reading.faults, &[]);
            prop_assert_eq!(&reading.document, &document);
            prop_assert_eq!(reading.document.to_raw(numbering), again);
        }
    }

    #[test]
    fn the_canonical_text_reads_back(raw in any_readable()) {
        let document = read_whole(&raw);
        let text = document.canonical().expect("json");
        prop_assert_eq!(&Prescription::from_canonical(&text).expect("own text"), &document);
        prop_assert_eq!(differences(&document, &document, Universal), []);
    }

    #[test]
    fn whatever_is_typed_is_read_or_named(raw in any_typed()) {
        let reading = read(&raw, Universal);
        let kept = reading.document.to_raw(Universal).len();
        let ours = raw.iter().filter(|(key, text)| is_ours(key) && !text.trim().is_empty()).count();
        prop_assert_eq!(kept + reading.faults.len(), ours, "{:?}", reading.faults);
        prop_assert!(reading.document.canonical().is_ok());
        let _pages = (reading.document.printed(Iso3950), missing_for_signing(&reading.document));
    }

    #[test]
    fn any_text_in_any_field_is_read_or_named((_, key) in any_key(), text in any::<String>()) {
        let reading = read(&one(&key, &text), Iso3950);
        let kept = reading.document.to_raw(Iso3950).len();
        prop_assert_eq!(kept + reading.faults.len(), usize::from(!text.trim().is_empty()));
    }

    #[test]
    fn two_documents_differ_exactly_when_their_text_does(first in any_readable(), second in any_readable()) {
        let (first, second) = (read_whole(&first), read_whole(&second));
        let found = differences(&first, &second, Iso3950);
        prop_assert_eq!(found.is_empty(), first == second, "{:?}", found);
    }
}
