//! Who orders, for whom, from whom.

use super::criteria::lacks;
use super::input::Input;
use super::rule::{Hit, Rule, at, caution, stop, when};
use super::sources::{LAW, PRACTICE, TWO_AUDITS};
use crate::domain::people::patient::ExclusionsAsked;

/// The rules about who orders, for whom, from whom, in the order of their findings.
pub const RULES: &[Rule] = &[
    stop(
        "criterion-1-patient",
        patient,
        "Work without a patient’s code cannot be told from another patient’s on the same bench.",
        LAW,
    ),
    stop(
        "criterion-3-prescriber",
        prescriber,
        "The lab may work only for a dentist whom it can name.",
        LAW,
    ),
    stop(
        "criterion-4-licence",
        licence,
        "Without the license number the paper is no work authorization.",
        LAW,
    ),
    stop(
        "criterion-5-signature",
        signature,
        "The lab may not begin work that no dentist has signed.",
        LAW,
    ),
    stop(
        "criterion-6-issued",
        issued,
        "The time for which both sides keep the paper runs from this day.",
        LAW,
    ),
    stop(
        "criterion-8-laboratory",
        laboratory,
        "The paper must say which laboratory is asked.",
        LAW,
    ),
    caution(
        "lab-without-licence",
        lab_licence,
        "State texts ask for the laboratory’s number beside its name.",
        LAW,
    ),
    caution(
        "office-without-address",
        office_address,
        "The lab returns the work to the address on the paper.",
        LAW,
    ),
    caution(
        "lab-without-address",
        lab_address,
        "The place of manufacture follows from the laboratory’s address.",
        LAW,
    ),
    caution(
        "criterion-2-age-band",
        age_band,
        "Age decides how worn and how even the teeth are set.",
        TWO_AUDITS,
    ),
    caution(
        "criterion-23-exclusions",
        exclusions,
        "The lab chooses wires, meshes, dyes and resins, and cannot ask the patient.",
        PRACTICE,
    ),
];

fn patient(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 1),
        "case.patient",
        "The case has no patient code.",
    )
}

fn prescriber(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 3),
        "case.dentist",
        "No dentist is named as the one who prescribes.",
    )
}

fn licence(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 4),
        "case.dentist",
        "The dentist’s license number is missing.",
    )
}

fn signature(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 5),
        "case.signature",
        "The office has no dentist who could sign this.",
    )
}

fn issued(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 6),
        "case.issued",
        "The date of issue is missing.",
    )
}

fn laboratory(input: &Input<'_>) -> Option<Hit> {
    when(lacks(input, 8), "case.lab", "No laboratory is named.")
}

/// Whether a text says nothing.
pub fn is_blank(text: &str) -> bool {
    text.trim().is_empty()
}

fn lab_licence(input: &Input<'_>) -> Option<Hit> {
    let lab = &input.setting.lab;
    let wrong = !is_blank(&lab.name) && is_blank(&lab.licence);
    when(
        wrong,
        "case.lab",
        "The laboratory’s license or registration number is missing.",
    )
}

fn lab_address(input: &Input<'_>) -> Option<Hit> {
    let lab = &input.setting.lab;
    let wrong = !is_blank(&lab.name) && is_blank(&lab.address);
    when(wrong, "case.lab", "The laboratory’s address is missing.")
}

fn office_address(input: &Input<'_>) -> Option<Hit> {
    let wrong = is_blank(&input.setting.office.address);
    when(
        wrong,
        "case.office",
        "The dental office’s address is missing.",
    )
}

fn age_band(input: &Input<'_>) -> Option<Hit> {
    when(
        lacks(input, 2),
        "patient.age_band",
        "The patient’s age band is not given.",
    )
}

fn exclusions(input: &Input<'_>) -> Option<Hit> {
    if !lacks(input, 23) {
        return None;
    }
    let asked = input.patient().and_then(|patient| patient.exclusions);
    let sentence = match asked {
        Some(ExclusionsAsked::NotAsked) => {
            "The patient has not been asked yet about materials to be avoided."
        }
        Some(ExclusionsAsked::Listed) => {
            "Materials to be avoided are said to be listed, and none is."
        }
        _ => "Nothing is said about materials to be avoided; “asked: none known” is an answer too.",
    };
    at("patient.exclusions", sentence)
}
