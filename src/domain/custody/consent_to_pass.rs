//! Whether the office agrees before anything goes to a second laboratory, or is told only. What was asked when work was
//! passed on stands in its entry, so that no profile that is chosen later changes what was allowed.

use crate::domain::form::YesNo;
use crate::domain::law::profile::{Profile, names};

/// Why the office agrees first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ConsentAsked {
    ByPrescription,
    /// By profiles of this name.
    ByProfiles(String),
}

impl ConsentAsked {
    /// By what the dentist has signed of second laboratories, which goes before what profiles ask; none where the office is
    /// told only.
    pub fn of(signed: Option<YesNo>, asking: &[&Profile]) -> Option<ConsentAsked> {
        match signed {
            Some(YesNo::No) => Some(ConsentAsked::ByPrescription),
            Some(YesNo::Yes) => None,
            None => (!asking.is_empty()).then(|| ConsentAsked::ByProfiles(names(asking))),
        }
    }

    /// The same in words, without their end.
    pub fn words(&self) -> String {
        match self {
            ConsentAsked::ByPrescription => {
                "The prescription says that no part of the work goes to a second laboratory"
                    .to_owned()
            }
            ConsentAsked::ByProfiles(names) => format!("{names} asks for it"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::law::profile::Profiles;

    #[test]
    fn what_the_dentist_has_signed_goes_before_what_a_profile_asks() {
        let all = Profiles::built_in();
        let asking: Vec<&Profile> = all.all().take(1).collect();
        let (asking, none): (&[&Profile], &[&Profile]) = (&asking, &[]);
        let by_profiles = ConsentAsked::ByProfiles(names(asking));
        for (signed, profiles, asked) in [
            (Some(YesNo::No), none, Some(ConsentAsked::ByPrescription)),
            (Some(YesNo::No), asking, Some(ConsentAsked::ByPrescription)),
            (Some(YesNo::Yes), none, None),
            (Some(YesNo::Yes), asking, None),
            (None, none, None),
            (None, asking, Some(by_profiles.clone())),
        ] {
            let found = ConsentAsked::of(signed, profiles);
            assert_eq!(found, asked, "{signed:?}, {} profiles", profiles.len());
        }
        assert!(by_profiles.words().ends_with(" asks for it"));
    }
}
