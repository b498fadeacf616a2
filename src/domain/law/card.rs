//! What a signed text keeps of the law that was chosen when it was signed.

use super::profile::{CaseLaw, Keep, Profile, Required, TITLE};
use crate::domain::people::party::Side;
use serde::{Deserialize, Serialize};

/// The profile of local law that one side had chosen when the text was signed: what it was, and what of it
/// goes on to count afterwards. A later change of the profile does not reach it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LawCard {
    pub side: Side,
    pub key: String,
    pub name: String,
    /// Source and date of each of its rules.
    pub sources: Vec<(String, String)>,
    /// How long it has the text kept; none where it names no time.
    pub keep: Option<Keep>,
    /// Whether work passed to a second laboratory needs an authorization of its own.
    pub second_lab_authorization: bool,
    /// The title that its law wants on the paper; none where it names none, and in texts signed before this was
    /// kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
}

impl LawCard {
    fn new(side: Side, profile: &Profile) -> LawCard {
        let source = |rule: &super::profile::LegalRule| (rule.source.clone(), rule.as_of.clone());
        LawCard {
            side,
            key: profile.key.clone(),
            name: profile.name.clone(),
            sources: profile.rules.iter().map(source).collect(),
            keep: profile.retention,
            second_lab_authorization: profile.subcontract_authorization,
            title: profile
                .required
                .contains(&Required::Title)
                .then(|| TITLE.to_owned()),
        }
    }

    /// The cards of both sides; a profile that the installation does not have keeps the text unsigned.
    pub fn of_case(law: &CaseLaw) -> Vec<LawCard> {
        let card = |side: &Side| {
            let profile = law.of(*side).profile.as_ref()?;
            Some(LawCard::new(*side, profile))
        };
        Side::ALL.iter().filter_map(card).collect()
    }

    /// Label and words of its line on the slip.
    pub fn line(&self) -> (&'static str, String) {
        let label = match self.side {
            Side::Office => "Profile of the office",
            Side::Lab => "Profile of the laboratory",
        };
        (label, self.words())
    }

    /// `Florida [us-fl]: Fla. Admin. Code 64B5-17.006; Fla. Stat. 466.021 (2026)`
    pub fn words(&self) -> String {
        let sources: Vec<String> = self
            .sources
            .iter()
            .map(|(source, as_of)| format!("{source} ({as_of})"))
            .collect();
        format!("{} [{}]: {}", self.name, self.key, sources.join("; "))
    }
}
