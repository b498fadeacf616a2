//! The first steps of an installation, on the administrator's pages: what is there, and the next one as a link.

use crate::app::setting_up::{FirstStep, first_steps};
use crate::app::{App, AppError};
use crate::domain::people::party::{Role, Side};
use askama::Template;

/// One step.
pub struct SetUpStep {
    pub words: &'static str,
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

fn words(step: &FirstStep) -> &'static str {
    match step {
        FirstStep::House(Side::Office) => "Add the dental office",
        FirstStep::House(Side::Lab) => "Add the laboratory",
        FirstStep::Somebody(Role::Dentist, _) => "Make a link for the dentist, who signs",
        FirstStep::Somebody(..) => "Make a link for somebody at the laboratory",
    }
}

fn href(step: &FirstStep) -> String {
    match step {
        FirstStep::House(side) => format!("/parties/new?kind={}", side.word()),
        FirstStep::Somebody(role, house) => {
            let house = house.as_ref().map_or("", |id| id.as_str());
            format!("/people?role={}&party={house}#invite", role.word())
        }
    }
}

impl SettingUp {
    /// What of it is done, and what is still to do.
    pub async fn of(app: &App) -> Result<SettingUp, AppError> {
        let steps = first_steps(app).await?;
        let next = steps.iter().position(|(_, done)| !done);
        let step = |(place, (step, done)): (usize, &(FirstStep, bool))| SetUpStep {
            words: words(step),
            done: *done,
            href: (Some(place) == next).then(|| href(step)),
        };
        Ok(SettingUp {
            steps: steps.iter().enumerate().map(step).collect(),
        })
    }
}
