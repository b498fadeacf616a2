//! What the law asks for, by the profiles that office and lab have chosen.
//!
//! A required item that is missing is a stop, which names the profile and where its rule stands. Where a
//! rule of the review asks for the same thing already, the law makes that finding weightier instead of
//! saying it twice.

use super::criteria::{is_named, lacks};
use super::input::{Input, no, yes};
use super::parties;
use super::rule::{Finding, Level};
use super::setting::{CanSign, Letterhead, Setting};
use crate::domain::law::profile::{
    CaseLaw, Chosen, Profile, Required, Topic, cited, mark_lacks_name, marking_fault, names,
    refused_though_required, subcontract_fault,
};
use crate::domain::prescription::Prescription;

/// How one item of the law is found in a prescription.
struct Item {
    required: Required,
    id: &'static str,
    /// The form key where it is filled in.
    key: &'static str,
    /// The findings that ask for the same thing.
    general: &'static [&'static str],
    is_there: fn(&Prescription, &Setting) -> bool,
}

const WHY: &str =
    "Local law decides what must stand on a prescription; without it the lab may not work.";
const WHY_MARKED: &str = "A mark brings a lost denture back, and some laws ask for it.";
const WHY_PASSED_ON: &str =
    "Who makes the work, and for which prescriber, must be known of every laboratory in the chain.";

fn item(
    required: Required,
    id: &'static str,
    key: &'static str,
    general: &'static [&'static str],
    is_there: fn(&Prescription, &Setting) -> bool,
) -> Item {
    Item {
        required,
        id,
        key,
        general,
        is_there,
    }
}

fn has_address(letterhead: &Letterhead) -> bool {
    !parties::is_blank(&letterhead.name) && !parties::is_blank(&letterhead.address)
}

/// Every item that a profile can require, with the place where it is looked for.
fn item_of(required: Required) -> Item {
    use Required as R;
    match required {
        R::LabIdentity => item(
            required,
            "law-laboratory",
            "case.lab",
            &["criterion-8-laboratory", "lab-without-address"],
            |_, context| has_address(&context.lab),
        ),
        R::DentistIdentity => item(
            required,
            "law-dentist",
            "case.dentist",
            &["criterion-3-prescriber", "office-without-address"],
            |_, context| has_address(&context.dentist) && has_address(&context.office),
        ),
        R::Patient => item(
            required,
            "law-patient",
            "case.patient",
            &["criterion-1-patient"],
            |_, context| !parties::is_blank(&context.patient_code),
        ),
        // A case has one patient code and no place for a second.
        R::OnePatient => item(required, "law-one-patient", "case.patient", &[], |_, _| {
            true
        }),
        R::Date => item(
            required,
            "law-date",
            "case.issued",
            &["criterion-6-issued"],
            |_, context| context.issued.is_some(),
        ),
        R::Description => item(
            required,
            "law-description",
            "pieces.0.description",
            &["piece-without-description", "criterion-9-pieces"],
            |rx, _| {
                let pieces = &rx.order.pieces;
                let said = |piece| is_named(piece) && piece.description.is_some();
                !pieces.is_empty() && pieces.iter().all(said)
            },
        ),
        R::Materials => item(
            required,
            "law-materials",
            "pieces.0.materials",
            &["piece-without-materials", "criterion-9-pieces"],
            |rx, _| {
                let pieces = &rx.order.pieces;
                !pieces.is_empty() && pieces.iter().all(|piece| piece.materials.is_some())
            },
        ),
        R::Signature => item(
            required,
            "law-signature",
            "case.signature",
            &["criterion-5-signature"],
            |_, context| context.signature != CanSign::Impossible,
        ),
        // Both sides read every revision at any time, and nothing is ever deleted.
        R::CopyKept => item(required, "law-copy", "case.signature", &[], |_, _| true),
        R::LabLicence => item(
            required,
            "law-laboratory-licence",
            "case.lab",
            &["lab-without-licence"],
            |_, context| !parties::is_blank(&context.lab.licence),
        ),
        R::DentistLicence => item(
            required,
            "law-dentist-licence",
            "case.dentist",
            &["criterion-4-licence"],
            |_, context| !parties::is_blank(&context.dentist.licence),
        ),
        // Every slip is headed with it.
        R::Title => item(required, "law-title", "case.signature", &[], |_, _| true),
        R::BoardForm => item(
            required,
            "law-board-form",
            "law.board_form",
            &[],
            |rx, _| yes(rx.law.board_form),
        ),
        R::PatientOnModels => item(
            required,
            "law-number-on-models",
            "law.number_on_models",
            &[],
            |rx, _| yes(rx.law.number_on_models),
        ),
        R::PatientNameAndAddress => item(
            required,
            "law-patient-on-paper",
            "law.patient_on_paper",
            &[],
            |rx, _| yes(rx.law.patient_on_paper),
        ),
        R::DateSent => item(required, "law-date-sent", "dates.sent", &[], |rx, _| {
            rx.dates.sent.is_some()
        }),
    }
}

/// Whether a field of the form is there for a law, and one of these profiles asks for it. A field that is
/// there for everybody is always asked.
pub fn is_asked_by_law(key: &str, law: &CaseLaw) -> bool {
    let mut items = Required::ALL.iter().copied().map(item_of);
    match items.find(|item| item.key == key && key.starts_with("law.")) {
        None => true,
        Some(item) => !law.asking(item.required).is_empty(),
    }
}

/// Adds to the findings what the profiles say, and weighs those that a law is behind.
pub fn judge(input: &Input<'_>, findings: &mut Vec<Finding>) {
    let law = &input.setting.law;
    unknown(&law.office, "The office", "case.office", findings);
    unknown(&law.lab, "The laboratory", "case.lab", findings);
    for &required in Required::ALL {
        let item = item_of(required);
        let asking = law.asking(required);
        if !asking.is_empty() && !(item.is_there)(input.rx, input.setting) {
            missing(&item, &asking, findings);
        }
    }
    for profile in law.profiles() {
        marking(input, profile, findings);
        second_lab(input, profile, findings);
    }
    declined(input, findings);
    nameless(input, findings);
}

fn unknown(chosen: &Chosen, whose: &str, key: &str, findings: &mut Vec<Finding>) {
    if chosen.profile.is_some() {
        return;
    }
    let sentence = format!(
        "{whose} has chosen the profile of local law “{}”, which this installation does not have: choose another, or \
         start it with the file that holds it.",
        chosen.key
    );
    let found = stop("law-profile-unknown", key, sentence, WHY, String::new());
    let source = "own rule: no profile, no check".into();
    findings.push(Finding { source, ..found });
}

fn stop(
    id: &'static str,
    key: &str,
    sentence: String,
    why: &'static str,
    source: String,
) -> Finding {
    Finding {
        id,
        level: Level::Stop,
        key: key.to_owned(),
        sentence,
        why,
        source: source.into(),
        encloses: None,
    }
}

fn missing(item: &Item, asking: &[&Profile], findings: &mut Vec<Finding>) {
    let (plural, of) = (if asking.len() > 1 { "s" } else { "" }, names(asking));
    let verb = if asking.len() > 1 { "ask" } else { "asks" };
    let sentence = format!(
        "The profile{plural} {of} {verb} for {}, and that is missing.",
        item.required.shown()
    );
    let source = cited(asking, Topic::Items);
    weigh(
        item.general,
        stop(item.id, item.key, sentence, WHY, source),
        findings,
    );
}

/// Makes the finding that says the same thing a stop, with the law's words; without one the law's own.
fn weigh(general: &[&str], law: Finding, findings: &mut Vec<Finding>) {
    let same = |id: &&str| findings.iter().position(|one| one.id == *id);
    match general
        .iter()
        .find_map(same)
        .and_then(|place| findings.get_mut(place))
    {
        None => findings.push(law),
        Some(found) => {
            found.level = Level::Stop;
            found.sentence = format!("{} {}", found.sentence, law.sentence);
            found.source = format!("{}; {}", found.source, law.source).into();
        }
    }
}

/// The criterion is needed wherever a base takes its final form.
fn marking(input: &Input<'_>, profile: &Profile, findings: &mut Vec<Finding>) {
    let marking = &input.rx.marking;
    let offered = match (yes(marking.offered), no(marking.offered)) {
        (true, _) => Some(true),
        (_, true) => Some(false),
        _ => None,
    };
    let fault = marking_fault(profile, offered, marking.answer).filter(|_| lacks(input, 24));
    let Some(sentence) = fault else {
        return;
    };
    let note = profile.marking.as_ref().map_or("", |marking| &marking.note);
    let sentence = format!("{sentence} {}.", note.trim().trim_end_matches('.'));
    let source = cited(&[profile], Topic::Marking);
    let general = &[
        "criterion-24-marking",
        "marking-not-offered",
        "marking-answer-unsaid",
    ];
    let found = stop(
        "law-marking",
        "marking.answer",
        sentence,
        WHY_MARKED,
        source,
    );
    weigh(general, found, findings);
}

/// A refusal that a rule does not foresee: the dentist decides, with a reason that is signed.
fn declined(input: &Input<'_>, findings: &mut Vec<Finding>) {
    let answer = input.rx.marking.answer;
    let law = input.setting.law.profiles();
    let against: Vec<&Profile> = law
        .filter(|profile| refused_though_required(profile, answer))
        .collect();
    if against.is_empty() {
        return;
    }
    let sentence = format!(
        "The patient declined a mark, and the rule of {} names no refusal.",
        names(&against)
    );
    let source = cited(&against, Topic::Marking);
    let found = stop(
        "law-mark-declined",
        "marking.answer",
        sentence,
        WHY_MARKED,
        source,
    );
    let level = Level::Caution;
    findings.push(Finding { level, ..found });
}

/// A mark that is not the name for which the law asks. A name is never typed here: it goes to the lab by hand.
fn nameless(input: &Input<'_>, findings: &mut Vec<Finding>) {
    let marking = &input.rx.marking;
    let law = input.setting.law.profiles();
    let against: Vec<&Profile> = law
        .filter(|profile| mark_lacks_name(profile, marking.answer, marking.carries))
        .collect();
    if against.is_empty() {
        return;
    }
    let sentence = format!(
        "The rule of {} asks for the patient’s name on the denture, or initials where a name is not practicable: \
         choose that the mark carries it, by hand from the key sheet.",
        names(&against)
    );
    let source = cited(&against, Topic::Marking);
    findings.push(stop(
        "law-mark-without-name",
        "marking.carries",
        sentence,
        WHY_MARKED,
        source,
    ));
}

fn second_lab(input: &Input<'_>, profile: &Profile, findings: &mut Vec<Finding>) {
    let law = &input.rx.law;
    if !yes(law.second_lab) {
        return;
    }
    if let Some(sentence) = subcontract_fault(profile, yes(law.second_lab_authorized)) {
        let source = cited(&[profile], Topic::SecondLab);
        let key = "law.second_lab_authorized";
        let found = stop(
            "law-second-laboratory",
            key,
            sentence,
            WHY_PASSED_ON,
            source,
        );
        weigh(&["law-second-laboratory"], found, findings);
    }
}
