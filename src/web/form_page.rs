//! The frame of pages with forms: drawn first, posted, and drawn again with what was typed and what is wrong.

use super::done::Done;
use super::error::{ANOTHER_PERSON, WebError};
use super::extract::{On, Typed};
use super::frame::{Frame, page, page_with, see_other};
use super::keys::{FOR_LAB, SHOWN_TO};
use super::paged::PAGE;
use super::tried::Tried;
use super::typed_form::TypedForm;
use crate::app::pictures::mark_for_lab;
use crate::app::{App, AppError, Person, PostKey};
use crate::domain::form::Form;
use crate::domain::values::ids::{CaseNumber, EventId};
use askama::Template;
use axum::response::Response;

/// Where a form that was carried out leads.
pub enum Onward {
    /// To where its page always leads, which says what was done.
    Done(Done),
    /// To this address.
    To(String),
}

impl From<Done> for Onward {
    fn from(done: Done) -> Onward {
        Onward::Done(done)
    }
}

/// What a form asks for: somebody, what it is about, the command, and the key of its post.
pub trait Act<'a, A: 'a, F: 'a>:
    FnOnce(&'a App, &'a Person, &'a A, &'a F, &'a PostKey) -> Self::Doing + Send
{
    type Made;
    type Doing: Future<Output = Result<Self::Made, AppError>> + Send;
}

impl<'a, A, F, T, Doing, Made> Act<'a, A, F> for T
where
    A: 'a,
    F: 'a,
    T: FnOnce(&'a App, &'a Person, &'a A, &'a F, &'a PostKey) -> Doing + Send,
    Doing: Future<Output = Result<Made, AppError>> + Send,
{
    type Made = Made;
    type Doing = Doing;
}

/// A page with forms.
pub trait FormPage: Template + Sized + Send {
    /// What its path names.
    type At: Send + Sync;

    /// Where what was done with one of its forms is said; most pages say it themselves.
    fn says_done(at: &Self::At) -> String;

    /// What stands around it.
    fn frame(&mut self) -> &mut Frame;

    /// As it is shown first, and again with what came back of a form.
    fn draw(
        on: &On<Self::At>,
        tried: &Tried,
    ) -> impl Future<Output = Result<Self, WebError>> + Send;

    /// Refuses a form before it is read.
    fn refuse(_: &On<Self::At>, _: &Typed) -> Result<(), AppError> {
        Ok(())
    }

    /// Answers with the page, which says what has just been done.
    async fn show(on: On<Self::At>) -> Result<Response, WebError> {
        let mut shown = Self::draw(&on, &Tried::default()).await?;
        let frame = std::mem::take(shown.frame());
        *shown.frame() = frame.done(on.query.text("done"));
        page(&shown)
    }

    /// Carries a form out, and leads to where that is said; otherwise the page with what is wrong.
    async fn post<F, T, M>(
        on: On<Self::At>,
        form: Typed,
        act: T,
        done: Done,
    ) -> Result<Response, WebError>
    where
        F: Form + Send + Sync,
        T: for<'a> Act<'a, Self::At, F, Made = M>,
        M: Send,
    {
        Self::post_then(on, form, act, |_, _: &F, _: M| done.into()).await
    }

    /// The same where what was sent, or what was made of it, says where to go on.
    async fn post_then<F, T, M: Send>(
        on: On<Self::At>,
        form: Typed,
        act: T,
        then: impl FnOnce(&Typed, &F, M) -> Onward + Send,
    ) -> Result<Response, WebError>
    where
        F: Form + Send + Sync,
        T: for<'a> Act<'a, Self::At, F, Made = M>,
    {
        let key = form.key()?;
        let done = async {
            Self::refuse(&on, &form)?;
            let command: F = form.read()?;
            let made = act(&on.app, &on.person, &on.at, &command, &key).await?;
            Ok(then(&form, &command, made))
        };
        let done = done.await;
        Self::answer(&on, form.0, done).await
    }

    /// What comes of a form that was read otherwise.
    async fn answer(
        on: &On<Self::At>,
        typed: TypedForm,
        done: Result<Onward, AppError>,
    ) -> Result<Response, WebError> {
        match done {
            Ok(Onward::Done(done)) => Ok(see_other(&done.at(&Self::says_done(&on.at)))),
            Ok(Onward::To(address)) => Ok(see_other(&address)),
            Err(error) => {
                let (status, tried) = Tried::of(typed, error)?;
                page_with(status, &Self::draw(on, &tried).await?)
            }
        }
    }
}

/// Whether the page of a form was opened by somebody else than who is signed in by now.
pub fn is_of_another(person: &Person, form: &Typed) -> bool {
    let shown_to = form.text(SHOWN_TO);
    !shown_to.is_empty() && shown_to != person.account.id.as_str()
}

/// Refuses what was typed on a page that was opened by somebody else: at a device of the lab one comes in after another,
/// and enters it under the right name by sending it again.
pub fn refuse_of_another(person: &Person, form: &Typed) -> Result<(), AppError> {
    let name = &person.account.name;
    match is_of_another(person, form) {
        false => Ok(()),
        true => Err(AppError::Refused(vec![format!(
            "{ANOTHER_PERSON}, {name}, and nothing was entered. If it is to be entered under the name of {name}, send it \
             again."
        )])),
    }
}

/// Says of a picture or a scan that it is for the lab, or is not any more.
pub async fn for_lab<P: FormPage<At = CaseNumber>>(
    on: On<(CaseNumber, EventId)>,
    form: Typed,
) -> Result<Response, WebError> {
    let (on, id) = on.apart();
    let (key, marked) = (form.key()?, (&id, form.text(FOR_LAB) == "yes"));
    let done = mark_for_lab(&on.app, &on.person, &on.at, marked, &key).await;
    // Back to the page of the list on which it stands.
    let onward = match on.query.text(PAGE).parse::<usize>() {
        Ok(page) => {
            let list = Done::Marked.at(&P::says_done(&on.at));
            Onward::To(format!("{list}&{PAGE}={page}"))
        }
        Err(_) => Done::Marked.into(),
    };
    P::answer(&on, form.0, done.map(|()| onward)).await
}
