//! The law of office and lab: what is missing is a stop that says which profile asks for it and where.

use super::odd::{any_document, any_setting};
use super::*;
use crate::domain::law::profile::{Required, Topic, built_in};
use crate::domain::review::{CanSign, Level, is_asked_by_law, is_known_key};
use proptest::prelude::*;

fn under(office: &str, lab: &str, edits: Edits<'_>) -> Vec<Finding> {
    let (document, mut setting) = changed(edits);
    setting.law = sample::law(office, lab);
    review(&document, &setting)
}

/// Office's and lab's profile, what is changed in the sample, and what is found.
type Row = (
    &'static str,
    &'static str,
    Edits<'static>,
    &'static [(&'static str, Level)],
);

const STOP: Level = Level::Stop;

// One row, one line: the table is read across.
#[rustfmt::skip]
const ROWS: &[Row] = &[
    ("common", "common", &[], &[]),
    ("us-fl", "eu", &[], &[("law-date-sent", STOP)]),
    ("us-fl", "eu", &[("dates.sent", "2026-03-02")], &[]),
    // A name or initials, by hand: what is written here is neither.
    ("us-ca", "common", &[], &[("law-mark-without-name", STOP)]),
    ("us-ca", "common", &[("marking.carries", "text")], &[("law-mark-without-name", STOP)]),
    ("us-ca", "common", &[("marking.carries", "name_by_hand"), ("marking.text", "")], &[]),
    ("common", "us-me", &[("marking.carries", "initials_by_hand")], &[]),
    ("us-ny", "common", &[], &[]),
    ("us-ok", "common", &[], &[("law-board-form", STOP), ("law-number-on-models", STOP)]),
    ("common", "us-ok", &[("law.board_form", "yes")], &[("law-number-on-models", STOP)]),
    ("us-ok", "us-ok", &[("law.board_form", "yes"), ("law.number_on_models", "yes")], &[]),
    ("us-ok", "us-ok", &[("law.board_form", "no"), ("law.number_on_models", "yes")], &[("law-board-form", STOP)]),
    ("us-ct", "common", &[], &[("law-board-form", STOP)]),
    ("us-tx", "common", &[], &[("law-patient-on-paper", STOP)]),
    ("us-tx", "common", &[("law.patient_on_paper", "yes")], &[]),
    // Marking: criterion 24 asks in any case, and the law makes a stop of it.
    ("common", "common", &[("marking.*", "")], &[("criterion-24-marking", Level::Caution)]),
    ("us-ny", "common", &[("marking.*", "")], &[("criterion-24-marking", STOP)]),
    ("us-ny", "common", &[("marking.*", ""), ("marking.offered", "no")], &[("marking-not-offered", STOP)]),
    ("us-ny", "common", &[("marking.*", ""), ("marking.offered", "yes")], &[("marking-answer-unsaid", Level::Caution)]),
    ("common", "us-ca", &[("marking.*", ""), ("marking.offered", "yes")], &[("marking-answer-unsaid", STOP)]),
    ("us-ca", "common", &[("marking.*", ""), ("marking.offered", "yes"), ("marking.answer", "declined")], &[]),
    ("us-tx", "common", &[("law.patient_on_paper", "yes"), ("marking.*", "")], &[("criterion-24-marking", STOP)]),
    ("us-tx", "common", &[("law.patient_on_paper", "yes"), ("marking.*", ""), ("marking.offered", "yes"), ("marking.answer", "declined")], &[("law-mark-declined", Level::Caution)]),
    // A second laboratory.
    ("common", "common", &[("law.second_lab", "yes")], &[]),
    ("us-fl", "us-md", &[("dates.sent", "2026-03-02"), ("law.second_lab", "no")], &[]),
    ("us-fl", "us-md", &[("dates.sent", "2026-03-02"), ("law.second_lab", "yes")], &[("law-second-laboratory", STOP)]),
    ("us-fl", "us-md", &[("dates.sent", "2026-03-02"), ("law.second_lab", "yes"), ("law.second_lab_authorized", "no")], &[("law-second-laboratory", STOP)]),
    ("us-fl", "us-md", &[("dates.sent", "2026-03-02"), ("law.second_lab", "yes"), ("law.second_lab_authorized", "yes")], &[]),
    // A profile that is not there.
    ("no-such", "common", &[], &[("law-profile-unknown", STOP)]),
    ("no-such", "gone", &[], &[("law-profile-unknown", STOP), ("law-profile-unknown", STOP)]),
    // The nine, whoever asks.
    ("common", "common", &[("pieces.0.description", "")], &[("piece-without-description", STOP)]),
    ("common", "common", &[("pieces.1.materials", "")], &[("piece-without-materials", STOP)]),
];

#[test]
fn each_profile_finds_what_it_asks_for_and_nothing_else() {
    for (office, lab, edits, expected) in ROWS {
        let found: Vec<(&str, Level)> = under(office, lab, edits)
            .iter()
            .map(|finding| (finding.id, finding.level))
            .collect();
        assert_eq!(found, *expected, "{office}, {lab}, {edits:?}");
    }
}

#[test]
fn a_missing_licence_number_is_a_caution_until_a_profile_asks_for_it() {
    let found = |law| {
        let (document, mut setting) = changed(&[]);
        setting.lab.licence.clear();
        setting.law = law;
        review(&document, &setting)
    };
    let common = found(sample::law("common", "common"));
    assert_eq!(
        (ids(&common), common[0].level),
        (vec!["lab-without-licence"], Level::Caution)
    );
    let florida = found(sample::law("common", "us-fl"));
    assert_eq!(
        (ids(&florida), florida[0].level),
        (vec!["lab-without-licence", "law-date-sent"], STOP)
    );
    assert_eq!(
        florida[0].sentence,
        "The laboratory’s license or registration number is missing. The profile Florida asks for the license number \
         of the laboratory, and that is missing."
    );
    // Fla. Admin. Code 64B5-17.006.
    assert!(
        florida[0]
            .source
            .contains("; Florida: Fla. Admin. Code 64B5-17.006;"),
        "{}",
        florida[0].source
    );
}

#[test]
fn two_profiles_that_ask_for_the_same_are_named_together() {
    let found = under("us-ok", "us-ct", &[("law.number_on_models", "yes")]);
    assert_eq!(ids(&found), ["law-board-form"]);
    assert_eq!(
        found[0].sentence,
        "The profiles Oklahoma and Connecticut ask for the form of the board, and that is missing."
    );
    let source = &found[0].source;
    assert!(
        source.contains("59 O.S. 328.36a") && source.contains("Conn. Gen. Stat. 20-122a"),
        "{source}"
    );
}

#[test]
fn a_field_that_only_a_law_asks_for_is_there_for_that_law() {
    let asked = |key: &str, office, lab| is_asked_by_law(key, &sample::law(office, lab));
    assert!(asked("law.board_form", "common", "us-ct"));
    assert!(!asked("law.board_form", "common", "us-fl"));
    assert!(asked("law.second_lab", "common", "common"));
    assert!(asked("marking.offered", "common", "common"));
}

/// Whether an item is missing, read from the document and its case and not through the review.
fn is_missing(item: Required, document: &Prescription, setting: &Setting) -> bool {
    let blank = |text: &str| text.trim().is_empty();
    let pieces = &document.order.pieces;
    let said = |answer: Option<crate::domain::form::YesNo>| {
        answer.is_some_and(crate::domain::form::YesNo::is_yes)
    };
    match item {
        Required::LabIdentity => blank(&setting.lab.name) || blank(&setting.lab.address),
        Required::DentistIdentity => {
            blank(&setting.dentist.name)
                || blank(&setting.dentist.address)
                || blank(&setting.office.address)
        }
        Required::Patient => blank(&setting.patient_code),
        Required::Date => setting.issued.is_none(),
        Required::Description => {
            pieces.is_empty()
                || pieces.iter().any(|one| {
                    one.arch.is_none() || one.stage.is_none() || one.description.is_none()
                })
        }
        Required::Materials => {
            pieces.is_empty() || pieces.iter().any(|one| one.materials.is_none())
        }
        Required::Signature => setting.signature == CanSign::Impossible,
        Required::LabLicence => blank(&setting.lab.licence),
        Required::DentistLicence => blank(&setting.dentist.licence),
        Required::BoardForm => !said(document.law.board_form),
        Required::PatientOnModels => !said(document.law.number_on_models),
        Required::PatientNameAndAddress => !said(document.law.patient_on_paper),
        Required::DateSent => document.dates.sent.is_none(),
        // One code for each case, one title on each slip, one record for both sides.
        Required::OnePatient | Required::CopyKept | Required::Title => false,
    }
}

#[test]
fn every_item_that_can_be_missing_is_missed_under_every_profile_that_asks_for_it() {
    let (empty, mut setting) = (Prescription::default(), sample::setting());
    setting.patient_code.clear();
    setting.lab = Default::default();
    setting.office = Default::default();
    setting.dentist = Default::default();
    setting.issued = None;
    setting.signature = CanSign::Impossible;
    for profile in built_in() {
        setting.law = sample::law("common", &profile.key);
        let findings = review(&empty, &setting);
        for item in profile
            .required
            .iter()
            .filter(|item| is_missing(**item, &empty, &setting))
        {
            let named = |one: &&Finding| one.level == STOP && one.sentence.contains(item.shown());
            let finding = findings
                .iter()
                .find(named)
                .unwrap_or_else(|| panic!("{} {item:?}", profile.key));
            assert!(
                finding.sentence.contains(&profile.name),
                "{}",
                finding.sentence
            );
            assert!(
                finding.source.contains(&profile.sources(Topic::Items)),
                "{}",
                finding.source
            );
            assert!(is_known_key(&finding.key), "{}", finding.key);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_document_passes_with_an_item_missing_that_its_profile_requires(
        document in any_document(), setting in any_setting(),
    ) {
        let findings = review(&document, &setting);
        let reasons: Vec<_> = findings.iter().map(|finding| crate::domain::review::Passed {
            id: finding.id.to_owned(),
            mark: finding.mark(),
            reason: "it may stand".to_owned(),
        }).collect();
        let left = crate::domain::review::unanswered(&findings, &reasons);
        for chosen in [&setting.law.office, &setting.law.lab] {
            let Some(profile) = &chosen.profile else {
                prop_assert!(left.iter().any(|one| one.id == "law-profile-unknown"));
                continue;
            };
            for item in &profile.required {
                if is_missing(*item, &document, &setting) {
                    let named = left.iter().any(|one| {
                        one.sentence.contains(&profile.name)
                            && one.sentence.contains(item.shown())
                            && one.source.contains(&profile.sources(Topic::Items))
                    });
                    prop_assert!(named, "{} {:?}", profile.key, item);
                }
            }
        }
    }
}
