//! What a law wants on a prescription, by jurisdiction.
//!
//! Profiles are data: `legal/profiles.json` is built in, and a user can add profiles of the same form. Each
//! rule names its source and the date of the text. They are no legal advice: several were read in
//! unofficial copies, and a user sets the jurisdiction that applies. Without a choice the nine items
//! that the known laws have in common are asked for.

use super::party::words_of;
use super::prescription::MarkAnswer;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// What may be required.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Required {
    LabIdentity,
    DentistIdentity,
    Patient,
    Date,
    Description,
    Materials,
    Signature,
    OnePatient,
    CopyKept,
    LabLicence,
    DentistLicence,
    Title,
    BoardForm,
    PatientOnModels,
    PatientNameAndAddress,
}

words_of!(Required {
    LabIdentity = "lab_identity", "name and address of the laboratory";
    DentistIdentity = "dentist_identity", "name and address of the dentist";
    Patient = "patient", "the patient, by name or number";
    Date = "date", "the date of the prescription";
    Description = "description", "a description of each piece of work";
    Materials = "materials", "the materials of each piece";
    Signature = "signature", "the dentist’s signature";
    OnePatient = "one_patient", "one case for one patient";
    CopyKept = "copy_kept", "a copy kept by both sides";
    LabLicence = "lab_licence", "the licence number of the laboratory";
    DentistLicence = "dentist_licence", "the licence number of the dentist";
    Title = "title", "the title that the rule names";
    BoardForm = "board_form", "the form of the board";
    PatientOnModels = "patient_on_models", "the patient’s name or the prescription’s number on all models";
    PatientNameAndAddress = "patient_name_and_address", "name and address of the patient";
});

/// The nine items that the known laws have in common.
pub const COMMON: [Required; 9] = [
    Required::LabIdentity,
    Required::DentistIdentity,
    Required::Patient,
    Required::Date,
    Required::Description,
    Required::Materials,
    Required::Signature,
    Required::OnePatient,
    Required::CopyKept,
];

/// Who has to keep a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum KeptBy {
    Both,
    Dentist,
    Lab,
}

words_of!(KeptBy { Both = "both", "both sides"; Dentist = "dentist", "the dentist"; Lab = "lab", "the laboratory"; });

/// How long a paper is kept, in whole years.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Keep {
    pub years: u8,
    /// Where implantable devices are kept longer.
    pub implantable_years: Option<u8>,
    pub kept_by: KeptBy,
}

/// Whether a mark on the denture is offered or made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkDuty {
    /// The dentist offers it.
    Offer,
    /// It is made unless the patient declines or it cannot be done.
    Shall,
}

/// The duty to mark dentures.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Marking {
    pub duty: MarkDuty,
    pub note: String,
}

/// One rule with where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    pub rule: String,
    pub source: String,
    /// The date of the text.
    pub as_of: String,
}

/// A jurisdiction.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Short word, such as `us-fl`.
    pub key: String,
    pub name: String,
    pub required: Vec<Required>,
    pub retention: Option<Keep>,
    pub marking: Option<Marking>,
    /// Whether work passed to a second lab needs an authorization of its own.
    pub subcontract_authorization: bool,
    pub rules: Vec<Rule>,
}

/// No paper has to be kept longer than this by any law known here.
const MOST_YEARS: u8 = 100;
/// Profiles that one installation may have.
const MOST_PROFILES: usize = 300;

/// Reads a list of profiles: JSON of the form of `legal/profiles.json`.
///
/// # Errors
/// A sentence for a text of another form, a profile without key, name, rule or source, a key used twice,
/// an item required twice, or a time of 0 or more than 100 years.
pub fn parse(text: &str) -> Result<Vec<Profile>, String> {
    let profiles: Vec<Profile> = serde_json::from_str(text)
        .map_err(|why| format!("The list of jurisdictions cannot be read: {why}."))?;
    if profiles.len() > MOST_PROFILES {
        return Err(format!(
            "At most {MOST_PROFILES} jurisdictions can be kept."
        ));
    }
    let mut keys = BTreeSet::new();
    for profile in &profiles {
        check(profile)?;
        if !keys.insert(profile.key.as_str()) {
            return Err(format!("The key {} is used twice.", profile.key));
        }
    }
    Ok(profiles)
}

fn check(profile: &Profile) -> Result<(), String> {
    let key = &profile.key;
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    if key.is_empty() || key.len() > 30 || !key.bytes().all(plain) {
        return Err(format!(
            "A key has small letters, digits and hyphens; {key:?} was given."
        ));
    }
    if profile.name.trim().is_empty() || profile.required.is_empty() || profile.rules.is_empty() {
        return Err(format!(
            "{key} needs a name, required items and at least one rule."
        ));
    }
    let unsourced = |rule: &Rule| rule.source.trim().is_empty() || rule.as_of.trim().is_empty();
    if profile.rules.iter().any(unsourced) {
        return Err(format!(
            "Every rule of {key} needs its source and its date."
        ));
    }
    let items: BTreeSet<Required> = profile.required.iter().copied().collect();
    if items.len() != profile.required.len() {
        return Err(format!("{key} requires an item twice."));
    }
    let wrong = |years: u8| years == 0 || years > MOST_YEARS;
    let keep = profile.retention;
    if keep.is_some_and(|keep| wrong(keep.years) || keep.implantable_years.is_some_and(wrong)) {
        return Err(format!("{key} keeps papers for 1 to {MOST_YEARS} years."));
    }
    Ok(())
}

static BUILT_IN: LazyLock<Vec<Profile>> =
    LazyLock::new(|| parse(include_str!("legal/profiles.json")).unwrap_or_default());

/// The profiles that come with the program.
pub fn built_in() -> &'static [Profile] {
    &BUILT_IN
}

/// The built-in profiles and a user's own.
///
/// # Errors
/// As [`parse`]; a sentence where a user's key is already that of a built-in profile.
pub fn with_own(text: &str) -> Result<Vec<Profile>, String> {
    let own = parse(text)?;
    let taken = |profile: &&Profile| built_in().iter().any(|other| other.key == profile.key);
    if let Some(profile) = own.iter().find(taken) {
        return Err(format!(
            "The key {} is that of a built-in jurisdiction: choose another.",
            profile.key
        ));
    }
    Ok(built_in().iter().cloned().chain(own).collect())
}

/// A built-in profile by its key.
pub fn profile(key: &str) -> Option<&'static Profile> {
    built_in().iter().find(|profile| profile.key == key)
}

/// What the profile requires and the prescription does not have, in the order of the profile.
pub fn missing_items(profile: &Profile, present: &BTreeSet<Required>) -> Vec<Required> {
    let absent = |item: &Required| !present.contains(item);
    profile.required.iter().copied().filter(absent).collect()
}

/// What is wrong with the marking under this profile; `None` where nothing is, or where no duty is known.
pub fn marking_fault(
    profile: &Profile,
    offered: Option<bool>,
    answer: Option<MarkAnswer>,
) -> Option<String> {
    let marking = profile.marking.as_ref()?;
    let name = &profile.name;
    match (marking.duty, offered, answer) {
        (_, _, Some(_)) => None,
        (MarkDuty::Offer, Some(true), None) => None,
        (MarkDuty::Offer, ..) => Some(format!(
            "In {name} a mark on the denture is offered to the patient."
        )),
        (MarkDuty::Shall, ..) => Some(format!(
            "In {name} dentures are marked: note what the patient answered, or why it cannot be done."
        )),
    }
}

/// What is wrong with passing work to a second lab; `None` where nothing is.
pub fn subcontract_fault(profile: &Profile, authorized: bool) -> Option<String> {
    (profile.subcontract_authorization && !authorized).then(|| {
        format!(
            "In {} work passed to another laboratory needs an authorization of its own, naming both laboratories and the prescriber.",
            profile.name
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn known(key: &str) -> &'static Profile {
        profile(key).expect(key)
    }

    #[test]
    fn the_built_in_profiles_are_readable() {
        let text = include_str!("legal/profiles.json");
        let read = parse(text).expect("profiles");
        assert_eq!(read.len(), built_in().len());
        assert!(read.len() >= 12);
        assert_eq!(known("common").required, COMMON);
    }

    #[test]
    fn every_law_asks_for_the_nine_common_items() {
        for profile in built_in() {
            assert!(
                COMMON.iter().all(|item| profile.required.contains(item)),
                "{}",
                profile.key
            );
        }
    }

    #[test]
    fn florida_misses_a_licence_number_by_name() {
        // Fla. Admin. Code 64B5-17.006.
        let florida = known("us-fl");
        let mut present: BTreeSet<Required> = florida.required.iter().copied().collect();
        assert!(missing_items(florida, &present).is_empty());
        present.remove(&Required::DentistLicence);
        let missing = missing_items(florida, &present);
        assert_eq!(missing, [Required::DentistLicence]);
        assert_eq!(missing[0].shown(), "the licence number of the dentist");
    }

    #[test]
    fn florida_asks_for_an_authorization_of_the_second_lab() {
        // Fla. Admin. Code 64B5-17.006.
        assert!(subcontract_fault(known("us-fl"), false).is_some());
        assert!(subcontract_fault(known("us-fl"), true).is_none());
        assert!(subcontract_fault(known("us-ct"), false).is_none());
    }

    #[test]
    fn each_item_left_out_is_missed_for_exactly_that_one() {
        for profile in built_in() {
            let full: BTreeSet<Required> = profile.required.iter().copied().collect();
            for item in &profile.required {
                let mut present = full.clone();
                present.remove(item);
                assert_eq!(missing_items(profile, &present), [*item], "{}", profile.key);
            }
        }
    }

    #[test]
    fn marks_are_offered_or_made() {
        // N.Y. Education Law 6612; Cal. Business and Professions Code 1706; Conn. Gen. Stat. 20-126e.
        let duty = |key: &str| known(key).marking.as_ref().map(|marking| marking.duty);
        assert_eq!(duty("us-ny"), Some(MarkDuty::Offer));
        assert_eq!(duty("us-ct"), Some(MarkDuty::Offer));
        assert_eq!(duty("us-ca"), Some(MarkDuty::Shall));
        let fault =
            |key: &str, offered, answer| marking_fault(known(key), offered, answer).is_some();
        assert!(fault("us-ny", None, None) && fault("us-ny", Some(false), None));
        assert!(!fault("us-ny", Some(true), None));
        assert!(fault("us-ca", Some(true), None));
        assert!(!fault("us-ca", Some(true), Some(MarkAnswer::Declined)));
        assert!(!fault("us-fl", None, None), "no duty is known");
    }

    const OWN: &str = r#"[{"key":"my-land","name":"My land","required":["patient"],"retention":{"years":7,
        "implantable_years":null,"kept_by":"both"},"marking":null,"subcontract_authorization":false,
        "rules":[{"rule":"A rule.","source":"A law","as_of":"2026"}]}]"#;

    #[test]
    fn a_user_adds_a_jurisdiction() {
        let all = with_own(OWN).expect("profiles");
        assert_eq!(all.len(), built_in().len() + 1);
        for (from, to) in [
            ("my-land", "us-fl"),
            ("my-land", "My Land"),
            ("my-land", ""),
            ("\"My land\"", "\" \""),
            ("\"patient\"", "\"patient\",\"patient\""),
            ("\"patient\"", "\"blood_group\""),
            ("[\"patient\"]", "[]"),
            ("\"years\":7", "\"years\":0"),
            ("\"years\":7", "\"years\":101"),
            ("\"years\":7", "\"years\":-1"),
            ("A law", " "),
            ("2026", ""),
            ("\"marking\":null", "\"marking\":null,\"extra\":1"),
        ] {
            assert!(
                with_own(&OWN.replacen(from, to, 1)).is_err(),
                "{from} -> {to}"
            );
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".*") {
            let _profiles = parse(&text);
        }

        #[test]
        fn more_on_the_paper_never_misses_more(bits in any::<u16>(), more in any::<u16>()) {
            let chosen = |bits: u16| -> BTreeSet<Required> {
                let all = Required::ALL.iter().enumerate();
                all.filter(|(place, _)| bits & (1 << place) != 0).map(|(_, item)| *item).collect()
            };
            for profile in built_in() {
                let fewer = missing_items(profile, &chosen(bits)).len();
                prop_assert!(missing_items(profile, &chosen(bits | more)).len() <= fewer);
            }
        }
    }
}
