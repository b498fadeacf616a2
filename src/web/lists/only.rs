//! A list of which a house has one: its page, its loading, its versions as files.

use super::lines::{asks_for_more, lines_part};
use super::list_page::{ListPage, from, in_force, versions};
use super::load_form::{Returned, goes_out, list_in, load_form};
use crate::app::{App, AppError, Person, PostKey, closed_days, lab_days, load_list, see_lists};
use crate::domain::people::access::Permission;
use crate::domain::trade::lists::ListKind;
use crate::web::done::Done;
use crate::web::error::WebError;
use crate::web::extract::{Query, Typed, WithFile};
use crate::web::frame::{Frame, csv, page, page_with, see_other};
use axum::response::Response;

/// What one kind's page says.
pub struct Only {
    pub kind: ListKind,
    pub path: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    /// What is said where nothing is in force.
    pub nothing: &'static str,
    /// The name of its files, without version and ending.
    pub file: &'static str,
}

/// Reads the lines and puts them into the list.
async fn change_lines(
    app: &App,
    person: &Person,
    kind: ListKind,
    form: &Typed,
    key: &PostKey,
) -> Result<(), AppError> {
    match kind {
        ListKind::LabDays => lab_days::change(app, person, &form.read()?, key).await,
        _ => closed_days::change(app, person, &form.read()?, key).await,
    }
}

impl Only {
    async fn list_page(
        &self,
        app: &App,
        person: &Person,
        query: Option<&Query>,
        returned: &Returned,
    ) -> Result<ListPage, WebError> {
        let seen = see_lists::own_only(app, person, self.kind).await?;
        let done = query.map(|query| query.text("done")).unwrap_or_default();
        let path = self.path;
        let mut form = load_form(app, returned, self.kind, path.to_owned(), seen.as_ref())?;
        let may_take_out = self.kind != ListKind::Moulds || person.may(Permission::WithdrawMoulds);
        form.sure = form.sure.filter(|_| may_take_out);
        Ok(ListPage {
            frame: Frame::new(app, person, self.title, path).done(done),
            above: None,
            intro: self.intro,
            refusals: returned.refusals.clone(),
            taken_away: see_lists::taken_away(app, person.party_id(), &[self.kind]).await?,
            in_force: seen
                .as_ref()
                .and_then(|seen| in_force(seen, person, path, query.map_or(0, from))),
            nothing: self.nothing,
            versions: seen
                .as_ref()
                .map(|seen| versions(seen, person, Some(path)))
                .unwrap_or_default(),
            lines: lines_part(app, person, self.kind, seen.as_ref(), returned)?,
            form: Some(form),
        })
    }

    /// Answers with the house's own list.
    pub async fn show(
        &self,
        app: &App,
        person: &Person,
        query: &Query,
    ) -> Result<Response, WebError> {
        let nothing = Returned::nothing();
        page(&self.list_page(app, person, Some(query), &nothing).await?)
    }

    /// Loads the list that was sent, or takes the one in force out; answers with what was done.
    async fn take(&self, app: &App, person: &Person, sent: &WithFile) -> Result<Done, WebError> {
        let key = sent.form.key()?;
        if goes_out(&sent.form) {
            load_list::take_only_out(app, person, self.kind, &sent.form.read()?, &key).await?;
            return Ok(Done::Out);
        }
        let list = list_in(sent, self.kind)?;
        load_list::load_only(app, person, self.kind, &list, &key).await?;
        Ok(Done::Loaded)
    }

    /// Does what the form asks for, or gives it back with its messages.
    pub async fn load(
        &self,
        app: &App,
        person: &Person,
        sent: WithFile,
    ) -> Result<Response, WebError> {
        match self.take(app, person, &sent).await {
            Ok(done) => Ok(see_other(&done.at(self.path))),
            Err(WebError::App(error)) => {
                let returned = Returned::of(error, sent.form)?;
                let view = self.list_page(app, person, None, &returned).await?;
                page_with(returned.status, &view)
            }
            Err(other) => Err(other),
        }
    }

    /// Puts the lines that were typed into the list, or gives them back with their messages, or with more lines.
    pub async fn change(
        &self,
        app: &App,
        person: &Person,
        form: Typed,
    ) -> Result<Response, WebError> {
        let returned = if asks_for_more(&form) {
            Returned {
                typed: form.0,
                ..Returned::nothing()
            }
        } else {
            let key = form.key()?;
            match change_lines(app, person, self.kind, &form, &key).await {
                Ok(()) => return Ok(see_other(&Done::Loaded.at(self.path))),
                Err(error) => Returned::of(error, form)?,
            }
        };
        let view = self.list_page(app, person, None, &returned).await?;
        page_with(returned.status, &view)
    }

    /// Answers with one version as a file.
    pub async fn csv(
        &self,
        app: &App,
        person: &Person,
        version: i64,
    ) -> Result<Response, WebError> {
        let text = see_lists::only_csv(app, person, self.kind, version).await?;
        Ok(csv(&format!("{}-{version}.csv", self.file), text))
    }
}
