//! The first steps of an installation: what is needed until an office can send something to a lab, and what is there.

use super::let_in::{self, OpenLink};
use super::manage::{self, Everybody};
use super::{App, AppError};
use crate::domain::people::account::Account;
use crate::domain::people::party::{Party, Role, Side};
use crate::domain::values::ids::PartyId;

/// What an installation needs before anything is sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FirstStep {
    /// An office, or a lab.
    House(Side),
    /// Somebody there, in this role; the house where there is one.
    Somebody(Role, Option<PartyId>),
}

/// The roles of whom a house needs one; the first is the one that is asked for.
fn needed(side: Side) -> &'static [Role] {
    match side {
        Side::Office => &[Role::Dentist],
        Side::Lab => &[Role::LabManager, Role::Technician],
    }
}

/// The steps in their order, each with whether it is done; none once all are.
pub async fn first_steps(app: &App) -> Result<Vec<(FirstStep, bool)>, AppError> {
    let everybody = manage::everybody(app).await?;
    let links = let_in::open_links(app).await?;
    let houses = [Side::Office, Side::Lab].map(|side| {
        let is_there = house(&everybody, side).is_some();
        (FirstStep::House(side), is_there)
    });
    let people = [Side::Office, Side::Lab].map(|side| somebody(&everybody, &links, side));
    let steps: Vec<_> = houses.into_iter().chain(people).collect();
    match steps.iter().all(|(_, is_done)| *is_done) {
        true => Ok(Vec::new()),
        false => Ok(steps),
    }
}

fn house(everybody: &Everybody, side: Side) -> Option<&(Party, Vec<Account>)> {
    let mut parties = everybody.parties.iter();
    parties.find(|(party, _)| party.kind == side)
}

/// Somebody who has a link that works counts as there.
fn somebody(everybody: &Everybody, links: &[OpenLink], side: Side) -> (FirstStep, bool) {
    let (house, roles) = (house(everybody, side), needed(side));
    let is_there = house.is_some_and(|(party, accounts)| {
        let is_invited = |one: &OpenLink| {
            one.invite.party.as_ref() == Some(&party.id) && roles.contains(&one.invite.role)
        };
        accounts.iter().any(|one| roles.contains(&one.role)) || links.iter().any(is_invited)
    });
    let first = roles.first().copied().unwrap_or(Role::Dentist);
    let id = house.map(|(party, _)| party.id.clone());
    (FirstStep::Somebody(first, id), is_there)
}
