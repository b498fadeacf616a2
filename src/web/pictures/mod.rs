//! Pictures of a case: shown, added, and their bytes.

mod file;
mod page;
mod sent;

use self::page::{AboutPicture, PicturesPage, pictures_page};
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::form_page::{FormPage, Onward, for_lab};
use super::frame::Frame;
use super::tried::Tried;
use crate::app::case_work::CaseWork;
use crate::app::pictures::{self, PictureFile};
use crate::app::{App, AppError};
use crate::domain::custody::forms::PictureForm;
use crate::domain::values::ids::{CaseNumber, EventId};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

pub use self::file::PictureFileView;
pub use self::page::PictureRow;
pub use self::sent::{SentPicture, picture_again, with_file_again, with_picture_again};

impl FormPage for PicturesPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/pictures", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<PicturesPage, WebError> {
        let work = CaseWork::see(&on.app, &on.person, &on.at).await?;
        let about = AboutPicture::of(&on.query);
        pictures_page((&on.app, &on.person), &work, (&about, &on.query), tried)
    }
}

/// Shows the pictures of a case, and the form for another one.
pub async fn page_of(on: On<CaseNumber>) -> Result<Response, WebError> {
    PicturesPage::show(on).await
}

/// Adds the picture that was sent; otherwise the form with what is wrong.
pub async fn add(on: On<CaseNumber>, sent: SentPicture) -> Result<Response, WebError> {
    let (key, number) = (sent.form.key()?, &on.at);
    let (unfit, had_picture) = (sent.refuse_unfit(), sent.has_picture());
    let SentPicture { mut form, .. } = sent;
    let done = async {
        unfit?;
        let command: PictureForm = form.read()?;
        let sent = (&command, sent.bytes);
        let picture = pictures::add(&on.app, &on.person, number, sent, &key).await?;
        let question = form.text(PictureForm::of_question().key);
        Ok(after_adding(&on, question, &picture))
    };
    let done = with_picture_again(done.await, had_picture);
    // The word given was of the picture that was sent.
    form.0.remove(PictureForm::mouth_only().key);
    PicturesPage::answer(&on, form.0, done).await
}

/// To the question that it was added to, to the bench, where it is chosen for the step, or to the pictures.
fn after_adding(on: &On<CaseNumber>, question: &str, picture: &EventId) -> Onward {
    let number = on.at.as_str();
    let about = AboutPicture::of(&on.query);
    Onward::To(match (question, about.at_the_bench(picture)) {
        ("", Some(bench)) => Done::Pictured.at(&format!("/cases/{number}/{bench}")),
        ("", None) => {
            let pictures = Done::Pictured.at(&PicturesPage::says_done(&on.at));
            format!("{pictures}{}", about.to_go_back())
        }
        (question, _) => {
            let questions = Done::Shown.at(&format!("/cases/{number}/questions"));
            format!("{questions}#q-{question}")
        }
    })
}

/// Says of a picture that it is for the lab, or is not any more.
pub async fn mark(on: On<(CaseNumber, EventId)>, form: Typed) -> Result<Response, WebError> {
    for_lab::<PicturesPage>(on, form).await
}

/// Which of the two sizes an address stands for.
pub const WHOLE: bool = false;
/// See [`WHOLE`].
pub const SMALL: bool = true;

/// A picture as it is kept, or its small one.
pub async fn picture<const SIZE: bool>(
    on: On<(CaseNumber, EventId)>,
    headers: HeaderMap,
) -> Result<Response, WebError> {
    let (on, id) = on.apart();
    let file = pictures::find(&on.app, &on.person, &on.at, &id).await?;
    jpeg(&on.app, &file, &headers, SIZE).await
}

/// A picture and nothing else: no page, no script, asked for again each time, since it may be erased.
pub async fn jpeg(
    app: &App,
    file: &PictureFile,
    asked: &HeaderMap,
    is_small: bool,
) -> Result<Response, WebError> {
    const POLICY: &str = "default-src 'none'; frame-ancestors 'none'; sandbox";
    let tag = match is_small {
        true => format!("\"{}-small\"", file.hash),
        false => format!("\"{}\"", file.hash),
    };
    let text =
        |text: &str| HeaderValue::from_str(text).map_err(|why| AppError::Inner(why.to_string()));
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("image/jpeg")),
        (
            header::CONTENT_DISPOSITION,
            text(&format!("inline; filename=\"{}\"", file.name))?,
        ),
        (
            header::CONTENT_SECURITY_POLICY,
            HeaderValue::from_static(POLICY),
        ),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("private, no-cache"),
        ),
        (header::ETAG, text(&tag)?),
    ];
    let known = asked.get(header::IF_NONE_MATCH);
    if known.is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, headers).into_response());
    }
    let bytes = pictures::bytes(app, file, is_small).await?;
    Ok((headers, bytes).into_response())
}
