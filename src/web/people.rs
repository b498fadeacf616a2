//! The administrator's page of people: who works where, who may sign in, and the one-time links that are open.

use super::done::Done;
use super::error::WebError;
use super::extract::{At, Query, SignedIn, Typed};
use super::field::{FieldView, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::setting_up::SettingUp;
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::let_in::{self, InviteForm, OpenLink};
use crate::app::manage;
use crate::app::{App, AppError, Person};
use crate::domain::people::account::Account;
use crate::domain::values::ids::AccountId;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// The accounts of one party, or of the administrators, each with the button that shuts it out or lets it in.
#[derive(Template)]
#[template(path = "partials/account_rows.html")]
pub struct AccountRows {
    pub accounts: Vec<Account>,
    /// Nobody shuts out his or her own account.
    pub own_id: AccountId,
    pub post_key: String,
}

/// A one-time link that somebody could use now.
pub struct LinkView {
    pub link: String,
    /// Who comes in by it, as what and where.
    pub whom: String,
    pub what: &'static str,
    pub made: String,
    pub by: String,
    pub ends: String,
}

/// Everybody by party, and the form that invites somebody.
#[derive(Template)]
#[template(path = "people.html")]
pub struct PeoplePage {
    pub frame: Frame,
    pub setting_up: SettingUp,
    pub administrators: AccountRows,
    /// Each party's name with its accounts.
    pub parties: Vec<(String, AccountRows)>,
    pub fields: Vec<FieldView>,
    pub refusals: Vec<String>,
    /// The link just made, shown once.
    pub link: Option<String>,
    pub open: Vec<LinkView>,
    pub post_key: String,
}

fn link_view(person: &Person, parties: &[(String, String)], one: OpenLink) -> LinkView {
    let invite = one.invite;
    let place = parties.iter().find(|(id, _)| {
        invite
            .party
            .as_ref()
            .is_some_and(|party| party.as_str() == id)
    });
    let place = place.map_or(String::new(), |(_, name)| format!(", {name}"));
    let or = |text: String, other: &str| match text.is_empty() {
        true => other.to_owned(),
        false => text,
    };
    LinkView {
        link: one.secret_hash,
        whom: format!(
            "{}, {}{place}",
            or(invite.name, "the first administrator"),
            invite.role.shown()
        ),
        what: match invite.account {
            Some(_) => "a new password",
            None => "an account",
        },
        made: person.moment(one.made_ms).in_words(),
        by: or(one.by_name, "whoever set this up"),
        ends: person.moment(invite.ends_ms).in_words(),
    }
}

async fn people_page(
    app: &App,
    person: &Person,
    tried: Tried,
    link: Option<String>,
) -> Result<PeoplePage, WebError> {
    let everybody = manage::everybody(app).await?;
    let named = everybody.parties.iter();
    let named: Vec<(String, String)> = named
        .map(|(party, _)| (party.id.to_string(), party.name.clone()))
        .collect();
    let field = |spec| FieldView::under(spec, "");
    let fields = vec![
        field(InviteForm::name()),
        field(InviteForm::role()),
        field(InviteForm::party()).chosen_from(named.clone()),
        field(InviteForm::password()),
    ];
    let post_key = app.outside.token().map_err(AppError::from)?;
    let rows = |accounts: Vec<Account>| AccountRows {
        accounts,
        own_id: person.account.id.clone(),
        post_key: post_key.clone(),
    };
    let open = let_in::open_links(app).await?.into_iter();
    let parties = everybody.parties.into_iter();
    let parties = parties.map(|(party, accounts)| (party.name, rows(accounts)));
    let others = match everybody.of_others.is_empty() {
        true => None,
        false => Some((
            "Of parties that cannot be read".to_owned(),
            rows(everybody.of_others),
        )),
    };
    Ok(PeoplePage {
        frame: Frame::new(app, person, "People", "/people"),
        setting_up: SettingUp::of(app).await?,
        fields: fill(fields, &tried.typed, &tried.faults),
        refusals: tried.refusals,
        administrators: rows(everybody.administrators),
        parties: parties.chain(others).collect(),
        link,
        open: open.map(|one| link_view(person, &named, one)).collect(),
        post_key,
    })
}

/// Answers with the list of people.
pub async fn people(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let asked = [InviteForm::role().key, InviteForm::party().key]
        .map(|key| (key.to_owned(), query.text(key).to_owned()));
    let tried = Tried::shown(TypedForm::from(asked));
    let mut people = people_page(&app, &person, tried, None).await?;
    people.frame = match query.text("done") {
        "shut_out" => people
            .frame
            .with_notice(shut_out_words(query.text("links"))),
        word => people.frame.done(word),
    };
    page(&people)
}

/// Makes a one-time link and shows it.
pub async fn invite(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let done = async { let_in::invite(&app, &person, &form.read()?, &key).await };
    match done.await {
        // No redirect: the link is shown in this answer and nowhere else.
        Ok(path) => {
            let link = format!("{}{path}", app.settings.address);
            page(&people_page(&app, &person, Tried::default(), Some(link)).await?)
        }
        Err(error) => {
            let (status, tried) = Tried::of(form.0, error)?;
            page_with(status, &people_page(&app, &person, tried, None).await?)
        }
    }
}

/// Makes an open link void.
pub async fn revoke(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let_in::revoke(&app, &person, &form.read()?, &form.key()?).await?;
    Ok(see_other(&Done::Revoked.at("/people")))
}

/// Shuts somebody out.
pub async fn shut_out(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(id): At<AccountId>,
    form: Typed,
) -> Result<Response, WebError> {
    let links = manage::shut_out(&app, &person, &id, &form.key()?).await?;
    Ok(see_other(&format!("/people?done=shut_out&links={links}")))
}

/// That somebody is shut out, and how many one-time links went along.
fn shut_out_words(links: &str) -> String {
    let links = match links.parse::<u64>() {
        Ok(0) | Err(_) => return SHUT_OUT.to_owned(),
        Ok(1) => "One one-time link".to_owned(),
        Ok(many) => format!("{many} one-time links"),
    };
    format!("{SHUT_OUT} {links} of his or her making opened the door until now: void.")
}

const SHUT_OUT: &str = "Blocked.";
