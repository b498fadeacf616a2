//! Which profiles an installation has, and which of them apply to a case.
//!
//! Each party chooses one by its key. The office's and the lab's apply to the case together: what either
//! of them asks for is asked for. A key whose profile is no longer there is said and never passed over.

use super::text::{COMMON, DEFAULT, Profile, Required, Topic, built_in, parse};
use crate::domain::people::party::Side;
use std::sync::Arc;

/// The profiles of an installation, in the order in which they are shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Profiles(Arc<[Arc<Profile>]>);

impl Profiles {
    /// Those that come with the program.
    pub fn built_in() -> Profiles {
        Profiles(built_in().iter().cloned().map(Arc::new).collect())
    }

    /// Those that come with the program and a user's own; a user's key that is built in replaces that
    /// profile in its place.
    ///
    /// # Errors
    /// As [`parse`]; and a sentence where the default would ask for less than the nine common items.
    pub fn with_own(text: &str) -> Result<Profiles, String> {
        let mut all = built_in().to_vec();
        for own in parse(text)? {
            let keeps_all = COMMON.iter().all(|item| own.required.contains(item));
            if own.key == DEFAULT && !keeps_all {
                return Err(format!(
                    "Profile {DEFAULT}: the default may ask for more than the nine common items, not for less."
                ));
            }
            match all.iter_mut().find(|known| known.key == own.key) {
                Some(known) => *known = own,
                None => all.push(own),
            }
        }
        Ok(Profiles(all.into_iter().map(Arc::new).collect()))
    }

    pub fn all(&self) -> impl Iterator<Item = &Profile> {
        self.0.iter().map(Arc::as_ref)
    }

    /// What a party has chosen.
    pub fn chosen(&self, key: &str) -> Chosen {
        Chosen {
            key: key.to_owned(),
            profile: self.0.iter().find(|one| one.key == key).cloned(),
        }
    }

    pub fn has(&self, key: &str) -> bool {
        self.all().any(|profile| profile.key == key)
    }
}

impl Default for Profiles {
    fn default() -> Profiles {
        Profiles::built_in()
    }
}

/// The profile that a party has chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chosen {
    pub key: String,
    /// None where the installation no longer has it.
    pub profile: Option<Arc<Profile>>,
}

/// What applies to a case: the profiles of both its parties.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CaseLaw {
    pub office: Chosen,
    pub lab: Chosen,
}

impl CaseLaw {
    pub fn of(&self, side: Side) -> &Chosen {
        match side {
            Side::Office => &self.office,
            Side::Lab => &self.lab,
        }
    }

    /// Both profiles, or the one that both parties have chosen.
    pub fn profiles(&self) -> impl Iterator<Item = &Profile> {
        let lab = Some(&self.lab).filter(|lab| lab.key != self.office.key);
        let both = [Some(&self.office), lab].into_iter().flatten();
        both.filter_map(|chosen| chosen.profile.as_deref())
    }

    /// The profiles by which the office agrees before anything goes to a second laboratory.
    pub fn asking_consent(&self) -> Vec<&Profile> {
        self.profiles()
            .filter(|profile| profile.second_lab_consent)
            .collect()
    }

    /// The profiles that ask for this item.
    pub fn asking(&self, item: Required) -> Vec<&Profile> {
        self.profiles()
            .filter(|profile| profile.required.contains(&item))
            .collect()
    }
}

/// “Florida”, “Florida and European Union”.
pub fn names(profiles: &[&Profile]) -> String {
    let names: Vec<&str> = profiles.iter().map(|one| one.name.trim()).collect();
    names.join(" and ")
}

/// Where the rules of these profiles about a topic stand.
pub fn cited(profiles: &[&Profile], topic: Topic) -> String {
    let cited: Vec<String> = profiles
        .iter()
        .map(|profile| format!("{}: {}", profile.name.trim(), profile.sources(topic)))
        .collect();
    cited.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn own(key: &str, required: &str) -> String {
        format!(
            r#"[{{"key":"{key}","name":"My land","required":[{required}],"retention":null,"marking":null,
            "subcontract_authorization":false,
            "rules":[{{"about":["items"],"rule":"A rule.","source":"A law","as_of":"2026"}}]}}]"#
        )
    }

    #[test]
    fn a_users_profile_is_added_or_replaces_one_in_its_place() {
        let before = Profiles::built_in();
        let place = |profiles: &Profiles, key: &str| profiles.all().position(|one| one.key == key);
        let added = Profiles::with_own(&own("my-land", "\"patient\"")).expect("profiles");
        assert_eq!(place(&added, "my-land"), Some(before.all().count()));
        let replaced = Profiles::with_own(&own("us-fl", "\"patient\"")).expect("profiles");
        assert_eq!(place(&replaced, "us-fl"), place(&before, "us-fl"));
        let florida = replaced.chosen("us-fl").profile.expect("a profile");
        assert_eq!(
            (florida.name.as_str(), florida.required.len()),
            ("My land", 1)
        );
        assert!(before.has("us-fl") && !before.has("my-land"));
    }

    #[test]
    fn consent_to_a_second_lab_is_asked_where_either_profile_asks_for_it() {
        let text = own("my-land", "\"patient\"").replace(
            "\"subcontract_authorization\":false",
            "\"subcontract_authorization\":true,\"second_lab_consent\":true",
        );
        let text = text.replace("[\"items\"]", "[\"items\",\"second_lab\"]");
        let all = Profiles::with_own(&text).expect("profiles");
        let asked = |office: &str, lab: &str| {
            let law = CaseLaw {
                office: all.chosen(office),
                lab: all.chosen(lab),
            };
            names(&law.asking_consent())
        };
        assert_eq!(asked("my-land", "eu"), "My land");
        assert_eq!(asked("eu", "my-land"), "My land");
        // None of the texts that come with the program asks for it.
        for built_in in Profiles::built_in().all() {
            assert_eq!(asked(&built_in.key, DEFAULT), "", "{}", built_in.key);
        }
    }

    #[test]
    fn the_default_never_asks_for_less_than_the_nine() {
        let less = Profiles::with_own(&own("common", "\"patient\""));
        assert!(less.expect_err("refused").starts_with("Profile common:"));
        let words: Vec<String> = COMMON
            .iter()
            .map(|item| format!("{:?}", item.word()))
            .collect();
        let more = own("common", &format!("{},\"title\"", words.join(",")));
        let more = Profiles::with_own(&more).expect("profiles");
        assert_eq!(more.chosen(DEFAULT).profile.expect("it").required.len(), 10);
    }

    #[test]
    fn both_profiles_apply_and_one_chosen_twice_applies_once() {
        let all = Profiles::built_in();
        let law = |office: &str, lab: &str| CaseLaw {
            office: all.chosen(office),
            lab: all.chosen(lab),
        };
        let keys =
            |law: &CaseLaw| -> Vec<String> { law.profiles().map(|one| one.key.clone()).collect() };
        assert_eq!(keys(&law("us-fl", "eu")), ["us-fl", "eu"]);
        assert_eq!(keys(&law("eu", "eu")), ["eu"]);
        assert_eq!(keys(&law("gone", "eu")), ["eu"]);
        let both = law("us-fl", "us-md");
        let of = |item| names(&both.asking(item));
        assert_eq!(of(Required::DentistLicence), "Florida and Maryland");
        assert_eq!(of(Required::Title), "Florida");
        assert_eq!(of(Required::BoardForm), "");
    }
}
