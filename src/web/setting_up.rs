//! The first steps of an installation, on the administrator's pages: what is there, and the next one as a link.

use crate::app::let_in::{self, OpenLink};
use crate::app::manage::{self, Everybody};
use crate::app::{App, AppError};
use crate::domain::people::party::{Party, Role, Side};
use askama::Template;

/// One step.
pub struct SetUpStep {
    pub words: String,
    pub done: bool,
    /// Where it is done, of the first one that is not done yet.
    pub href: Option<String>,
}

/// The steps until an office can send something to a lab; nothing is shown once all are done.
#[derive(Default, Template)]
#[template(path = "partials/setting_up.html")]
pub struct SettingUp {
    pub steps: Vec<SetUpStep>,
}

impl SettingUp {
    pub async fn of(app: &App) -> Result<SettingUp, AppError> {
        let everybody = manage::everybody(app).await?;
        Ok(SettingUp::by(&everybody, &let_in::open_links(app).await?))
    }

    /// Somebody who has a link that works counts as there.
    fn by(everybody: &Everybody, links: &[OpenLink]) -> SettingUp {
        let party = |kind: Side| {
            let mut parties = everybody.parties.iter();
            parties.find(|(party, _)| party.kind == kind)
        };
        let works_at = |party: &Party, role: Role| {
            let is_at = |one: &OpenLink| {
                one.invite.party.as_ref() == Some(&party.id) && one.invite.role == role
            };
            links.iter().any(is_at)
        };
        let has = |kind: Side, roles: &[Role]| {
            party(kind).is_some_and(|(party, accounts)| {
                let mut accounts = accounts.iter();
                accounts.any(|account| roles.contains(&account.role))
                    || roles.iter().any(|role| works_at(party, *role))
            })
        };
        let invite = |kind: Side, role: Role| {
            let id = party(kind).map(|(party, _)| party.id.to_string());
            format!(
                "/people?role={}&party={}#invite",
                role.word(),
                id.unwrap_or_default()
            )
        };
        let lab = [Role::Technician, Role::LabManager];
        let steps = [
            (
                "Add the dental office",
                party(Side::Office).is_some(),
                "/parties/new?kind=office".to_owned(),
            ),
            (
                "Add the laboratory",
                party(Side::Lab).is_some(),
                "/parties/new?kind=lab".to_owned(),
            ),
            (
                "Make a link for the dentist, who signs",
                has(Side::Office, &[Role::Dentist]),
                invite(Side::Office, Role::Dentist),
            ),
            (
                "Make a link for somebody at the laboratory",
                has(Side::Lab, &lab),
                invite(Side::Lab, Role::LabManager),
            ),
        ];
        if steps.iter().all(|(_, done, _)| *done) {
            return SettingUp::default();
        }
        let next = steps.iter().position(|(_, done, _)| !done);
        let step = |(place, (words, done, href)): (usize, (&str, bool, String))| SetUpStep {
            words: words.to_owned(),
            done,
            href: Some(href).filter(|_| Some(place) == next),
        };
        SettingUp {
            steps: steps.into_iter().enumerate().map(step).collect(),
        }
    }
}
