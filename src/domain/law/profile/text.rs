//! What a law wants on a prescription, by jurisdiction.
//!
//! Profiles are data: `profiles.json` is built in, and a user can add profiles of the same form or
//! replace these. Each rule names its source and the date of the text. They are no legal advice: several
//! were read in unofficial copies, and each party chooses the profile that applies to it. Without a choice
//! the nine items that the known laws have in common are asked for.

use crate::domain::prescription::parts::{MarkAnswer, MarkCarries};
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// What a party has that has chosen nothing.
pub const DEFAULT: &str = "common";
/// Said wherever a profile is shown.
pub const MAY_BE_OUTDATED: &str =
    "A profile is no legal advice and its text may be outdated: local law decides.";
/// The title of every slip: one of the laws names it so.
pub const TITLE: &str = "Laboratory procedure prescription";

words_of! {
    /// What may be required.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Required {
        LabIdentity = "name and address of the laboratory",
        DentistIdentity = "name and address of the dentist",
        Patient = "the patient, by name or number",
        Date = "the date of the prescription",
        Description = "a description of each piece of work",
        Materials = "the materials of each piece",
        Signature = "the dentist’s signature",
        OnePatient = "one case for one patient",
        CopyKept = "a copy kept by both sides",
        LabLicence = "the license number of the laboratory",
        DentistLicence = "the license number of the dentist",
        Title = "the title that the rule names",
        BoardForm = "the form of the board",
        PatientOnModels = "the patient’s name or the prescription’s number on all models",
        PatientNameAndAddress = "name and address of the patient",
        DateSent = "the date on which it is sent",
    }
}

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

words_of! {
    /// Who has to keep a paper.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum KeptBy {
        Both = "both sides",
        Dentist = "the dentist",
        Lab = "the laboratory",
    }
}

/// How long a paper is kept, in whole years.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Keep {
    pub years: u8,
    /// Where implantable devices are kept longer.
    pub implantable_years: Option<u8>,
    pub kept_by: KeptBy,
}

words_of! {
    /// Whether a mark on the denture is offered or made.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum MarkDuty {
        /// The dentist offers it.
        Offer = "a mark is offered to the patient",
        /// It is made unless the patient declines or it cannot be done.
        Shall = "a denture is marked unless the patient objects or it cannot be done",
        /// Every denture is labelled; the text names no refusal.
        Label = "every denture is labeled; a refusal is not foreseen",
    }
}

/// The duty to mark dentures.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkingDuty {
    pub duty: MarkDuty,
    /// Whether the text asks for the patient's name, or initials: a number of ours is neither.
    #[serde(default)]
    pub name: bool,
    pub note: String,
}

words_of! {
    /// What a rule is about.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Topic {
        Items = "required items",
        Retention = "how long papers are kept",
        Marking = "marking of dentures",
        SecondLab = "work passed to a second laboratory",
    }
}

/// One rule with where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LegalRule {
    pub about: Vec<Topic>,
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
    pub marking: Option<MarkingDuty>,
    /// Whether work passed to a second lab needs an authorization of its own.
    pub subcontract_authorization: bool,
    /// Whether the office agrees before anything goes to a second lab. None of the texts read asks for it; that an office
    /// is told is common practice, no source.
    #[serde(default)]
    pub second_lab_consent: bool,
    pub rules: Vec<LegalRule>,
}

impl Profile {
    /// Where the rules about this stand, with their dates: `Conn. Gen. Stat. 20-126e (2026)`.
    pub fn sources(&self, topic: Topic) -> String {
        let about = self.rules.iter().filter(|rule| rule.about.contains(&topic));
        let cited: Vec<String> = about
            .map(|rule| format!("{} ({})", rule.source, rule.as_of))
            .collect();
        cited.join("; ")
    }

    /// Whether the profile says anything about this.
    fn rules_on(&self, topic: Topic) -> bool {
        match topic {
            Topic::Items => true,
            Topic::Retention => self.retention.is_some(),
            Topic::Marking => self.marking.is_some(),
            Topic::SecondLab => self.subcontract_authorization || self.second_lab_consent,
        }
    }
}

/// No paper has to be kept longer than this by any law known here.
const MOST_YEARS: u8 = 100;
/// Profiles that one installation may have.
const MOST_PROFILES: usize = 300;
/// The longest text of a profile: it stands on a page and, in part, on a slip.
const MOST_LETTERS: usize = 600;

/// Reads a list of profiles: JSON of the form of `profiles.json`.
///
/// # Errors
/// A sentence that names the profile and what is wrong: a text of another form, a key, name, rule, source
/// or date that is missing or too long, a key used twice, an item required twice, a time of 0 or more than
/// 100 years, a duty without a rule about it.
pub fn parse(text: &str) -> Result<Vec<Profile>, String> {
    let profiles: Vec<Profile> =
        serde_json::from_str(text).map_err(|why| unreadable(text, &why.to_string()))?;
    if profiles.len() > MOST_PROFILES {
        return Err(format!("At most {MOST_PROFILES} profiles can be kept."));
    }
    let mut keys = BTreeSet::new();
    for profile in &profiles {
        check(profile)?;
        if !keys.insert(profile.key.as_str()) {
            return Err(format!("Profile {}: this key is used twice.", profile.key));
        }
    }
    Ok(profiles)
}

/// Which profile of the list cannot be read, and why.
fn unreadable(text: &str, why: &str) -> String {
    let values: Vec<serde_json::Value> = serde_json::from_str(text).unwrap_or_default();
    for (place, value) in values.into_iter().enumerate() {
        let key = value.get("key").and_then(|key| key.as_str());
        let name = key.map_or_else(|| format!("number {}", place + 1), str::to_owned);
        if let Err(why) = serde_json::from_value::<Profile>(value) {
            return format!("Profile {name}: {why}.");
        }
    }
    format!("The list of profiles cannot be read: {why}.")
}

fn check(profile: &Profile) -> Result<(), String> {
    let key = &profile.key;
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    if key.is_empty() || key.len() > 30 || !key.bytes().all(plain) {
        return Err(format!(
            "Profile {key:?}: a key has 1 to 30 small letters, digits and hyphens."
        ));
    }
    faults_of(profile).map_or(Ok(()), |why| Err(format!("Profile {key}: {why}")))
}

/// What is wrong with a profile whose key is fine.
fn faults_of(profile: &Profile) -> Option<String> {
    if profile.required.is_empty() || profile.rules.is_empty() {
        return Some("it needs required items and at least one rule.".to_owned());
    }
    if let Some(why) = wrong_text(profile) {
        return Some(why);
    }
    let items: BTreeSet<Required> = profile.required.iter().copied().collect();
    if items.len() != profile.required.len() {
        return Some("an item is required twice.".to_owned());
    }
    let wrong = |years: u8| years == 0 || years > MOST_YEARS;
    let keep = profile.retention;
    if keep.is_some_and(|keep| wrong(keep.years) || keep.implantable_years.is_some_and(wrong)) {
        return Some(format!("papers are kept for 1 to {MOST_YEARS} years."));
    }
    let silent = |topic: &&Topic| {
        let about = |rule: &LegalRule| rule.about.contains(*topic);
        profile.rules_on(**topic) && !profile.rules.iter().any(about)
    };
    Topic::ALL.iter().find(silent).map(|topic| {
        format!(
            "no rule is about {} (“{}”), although the profile rules on it.",
            topic.shown(),
            topic.word()
        )
    })
}

fn wrong_text(profile: &Profile) -> Option<String> {
    let mut texts = vec![("name", &profile.name)];
    texts.extend(
        profile
            .marking
            .iter()
            .map(|marking| ("note", &marking.note)),
    );
    for rule in &profile.rules {
        texts.extend([
            ("rule", &rule.rule),
            ("source", &rule.source),
            ("as_of", &rule.as_of),
        ]);
    }
    let wrong = |text: &str| {
        text.trim().is_empty()
            || text.chars().count() > MOST_LETTERS
            || text.chars().any(char::is_control)
    };
    let (field, _) = texts.into_iter().find(|(_, text)| wrong(text))?;
    Some(format!(
        "“{field}” is one line of 1 to {MOST_LETTERS} characters wherever it stands."
    ))
}

static BUILT_IN: LazyLock<Vec<Profile>> =
    LazyLock::new(|| parse(include_str!("profiles.json")).unwrap_or_default());

/// The profiles that come with the program.
pub fn built_in() -> &'static [Profile] {
    &BUILT_IN
}

/// A built-in profile by its key.
pub fn profile(key: &str) -> Option<&'static Profile> {
    built_in().iter().find(|profile| profile.key == key)
}

/// What is wrong with the marking under this profile; `None` where nothing is, or where no duty is known.
pub fn marking_fault(
    profile: &Profile,
    offered: Option<bool>,
    answer: Option<MarkAnswer>,
) -> Option<String> {
    let marking = profile.marking.as_ref()?;
    let name = &profile.name;
    let is_open = match marking.duty {
        MarkDuty::Offer => answer.is_none() && offered != Some(true),
        MarkDuty::Shall | MarkDuty::Label => answer.is_none(),
    };
    is_open.then(|| match marking.duty {
        MarkDuty::Offer => format!("In {name} a mark on the denture is offered to the patient."),
        MarkDuty::Shall => format!(
            "In {name} dentures are marked: note what the patient answered, or why it cannot be done."
        ),
        MarkDuty::Label => format!(
            "In {name} every denture is labeled: note what the patient answered, or why it cannot be done."
        ),
    })
}

/// Whether the patient has refused what this profile wants without naming a refusal.
pub fn refused_though_required(profile: &Profile, answer: Option<MarkAnswer>) -> bool {
    let label = |marking: &MarkingDuty| marking.duty == MarkDuty::Label;
    answer == Some(MarkAnswer::Declined) && profile.marking.as_ref().is_some_and(label)
}

/// Whether a mark is made that is neither the name nor the initials that this profile wants.
pub fn mark_lacks_name(
    profile: &Profile,
    answer: Option<MarkAnswer>,
    carries: Option<MarkCarries>,
) -> bool {
    let wants = |marking: &MarkingDuty| marking.name && marking.duty != MarkDuty::Offer;
    let by_hand = matches!(
        carries,
        Some(MarkCarries::NameByHand | MarkCarries::InitialsByHand)
    );
    answer == Some(MarkAnswer::Accepted) && !by_hand && profile.marking.as_ref().is_some_and(wants)
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
    use crate::domain::law::profile::Profiles;
    use proptest::prelude::*;

    fn known(key: &str) -> &'static Profile {
        profile(key).expect(key)
    }

    #[test]
    fn the_built_in_profiles_are_readable() {
        let text = include_str!("profiles.json");
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
    fn florida_asks_for_a_licence_number_by_name() {
        // Fla. Admin. Code 64B5-17.006.
        let florida = known("us-fl");
        let number = Required::DentistLicence;
        assert!(florida.required.contains(&number));
        assert_eq!(number.shown(), "the license number of the dentist");
    }

    #[test]
    fn florida_asks_for_an_authorization_of_the_second_lab() {
        // Fla. Admin. Code 64B5-17.006.
        assert!(subcontract_fault(known("us-fl"), false).is_some());
        assert!(subcontract_fault(known("us-fl"), true).is_none());
        assert!(subcontract_fault(known("us-ct"), false).is_none());
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
        "implantable_years":null,"kept_by":"both"},"marking":{"duty":"offer","note":"Say so."},
        "subcontract_authorization":true,"rules":[{"about":["items","retention","marking","second_lab"],
        "rule":"A rule.","source":"A law","as_of":"2026"}]}]"#;

    #[test]
    fn a_user_writes_a_profile_and_is_told_what_is_wrong_with_it() {
        assert_eq!(parse(OWN).expect("profiles").len(), 1);
        for (from, to, said) in [
            ("my-land", "My Land", "Profile \"My Land\": a key has"),
            ("my-land", "", "a key has"),
            ("\"My land\"", "\" \"", "Profile my-land: “name” is"),
            (
                "\"patient\"",
                "\"patient\",\"patient\"",
                "Profile my-land: an item",
            ),
            (
                "\"patient\"",
                "\"blood_group\"",
                "Profile my-land: unknown variant",
            ),
            (
                "[\"patient\"]",
                "[]",
                "Profile my-land: it needs required items",
            ),
            (
                "\"years\":7",
                "\"years\":0",
                "Profile my-land: papers are kept",
            ),
            (
                "\"years\":7",
                "\"years\":101",
                "Profile my-land: papers are kept",
            ),
            (
                "\"years\":7",
                "\"years\":-1",
                "Profile my-land: invalid value",
            ),
            ("A law", " ", "Profile my-land: “source” is"),
            ("2026", "", "Profile my-land: “as_of” is"),
            ("A rule.", "two\\nlines", "Profile my-land: “rule” is"),
            ("Say so.", "", "Profile my-land: “note” is"),
            (
                "\"retention\",",
                "",
                "Profile my-land: no rule is about how long",
            ),
            (
                ",\"second_lab\"",
                "",
                "Profile my-land: no rule is about work passed",
            ),
            (
                "\"key\":\"my-land\"",
                "\"key\":\"my-land\",\"extra\":1",
                "Profile my-land: unknown field",
            ),
            (
                "\"key\":\"my-land\",",
                "",
                "Profile number 1: missing field `key`",
            ),
            (
                "\"name\":",
                "\"name\":\"x\",\"name\":",
                "duplicate field `name`",
            ),
            ("[{", "[{,", "cannot be read"),
        ] {
            let why = parse(&OWN.replacen(from, to, 1)).expect_err(from);
            assert!(
                why.contains(said) && why.ends_with('.'),
                "{from} -> {to}: {why}"
            );
        }
        let twice = format!("{},{}", &OWN[..OWN.len() - 1], &OWN[1..]);
        let why = parse(&twice).expect_err("a key twice");
        assert_eq!(why, "Profile my-land: this key is used twice.");
    }

    #[test]
    fn the_example_in_the_readme_is_a_profile() {
        let readme = include_str!("../../../../README.md");
        let begin = readme.find("[{\"key\"").expect("an example");
        let example = readme[begin..].split("```").next().expect("its end");
        let own = Profiles::with_own(example).expect("it can be read");
        assert!(own.has("my-land"));
    }

    #[test]
    fn a_label_is_wanted_whatever_the_patient_says() {
        // Texas HB 933, 73rd Legislature: every removable prosthesis is labelled.
        let texas = known("us-tx");
        assert!(marking_fault(texas, Some(true), None).is_some());
        assert!(marking_fault(texas, None, Some(MarkAnswer::Accepted)).is_none());
        assert!(refused_though_required(texas, Some(MarkAnswer::Declined)));
        assert!(!refused_though_required(
            texas,
            Some(MarkAnswer::NotPracticable)
        ));
        assert!(!refused_though_required(
            known("us-ca"),
            Some(MarkAnswer::Declined)
        ));
    }

    #[test]
    fn p8_florida_asks_for_the_date_sent_and_california_for_a_name() {
        // Fla. Admin. Code 64B5-17.006 (date sent); Cal. Business and Professions Code 1706 (name, or initials
        // where the name is not practicable, unless the patient objects).
        assert!(known("us-fl").required.contains(&Required::DateSent));
        let lacks = |key: &str, answer, carries| mark_lacks_name(known(key), answer, carries);
        let accepted = Some(MarkAnswer::Accepted);
        assert!(lacks("us-ca", accepted, None));
        assert!(lacks("us-ca", accepted, Some(MarkCarries::Text)));
        assert!(!lacks("us-ca", accepted, Some(MarkCarries::NameByHand)));
        assert!(!lacks("us-ca", accepted, Some(MarkCarries::InitialsByHand)));
        assert!(!lacks("us-ca", Some(MarkAnswer::Declined), None));
        // N.Y. Education Law 6612 asks that it be offered, and what the patient takes is the patient's.
        assert!(!lacks("us-ny", accepted, None));
        assert!(!lacks("common", accepted, None));
    }

    #[test]
    fn every_duty_names_where_it_stands() {
        assert_eq!(
            known("us-ct").sources(Topic::Marking),
            "Conn. Gen. Stat. 20-126e (unofficial copy read in 2026; check the official text)"
        );
        assert_eq!(known("us-fl").sources(Topic::Marking), "");
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".*") {
            let _profiles = parse(&text);
        }
    }
}
