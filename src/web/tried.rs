//! What comes back with a page whose form was not carried out.

use super::error::{FormErrors, PageStatus, WebError};
use super::typed_form::TypedForm;
use crate::app::AppError;
use crate::domain::values::fault::Fault;

/// All that was typed, the messages beside its fields, and what stands against it; empty for a page as it is
/// first shown.
#[derive(Debug, Default)]
pub struct Tried {
    pub typed: TypedForm,
    pub faults: Vec<Fault>,
    pub refusals: Vec<String>,
}

/// Of a form that was not sent.
static NOTHING: Tried = Tried {
    typed: TypedForm::new(),
    faults: Vec::new(),
    refusals: Vec::new(),
};

impl Tried {
    /// For one form of a page that has several: nothing, where it is not the one that was sent.
    pub fn only_if(&self, is_sent: bool) -> &Tried {
        if is_sent { self } else { &NOTHING }
    }

    /// What was typed, shown again although nothing was to be carried out.
    pub fn shown(typed: TypedForm) -> Tried {
        Tried {
            typed,
            ..Tried::default()
        }
    }

    /// With the status of the page that shows it; any other failure has a page of its own.
    pub fn of(typed: TypedForm, error: AppError) -> Result<(PageStatus, Tried), WebError> {
        let back = FormErrors::of(error)?;
        let tried = Tried {
            typed,
            faults: back.faults,
            refusals: back.refusals,
        };
        Ok((back.status, tried))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::frame::page_with;
    use askama::Template;
    use axum::http::header;

    #[derive(Template)]
    #[template(source = "the form", ext = "html")]
    struct Page;

    #[test]
    fn whoever_has_to_wait_is_told_for_how_long_as_the_page_says() {
        for (error, code, wait) in [
            (AppError::Busy, 503, Some("10")),
            (AppError::Closed { minutes: 3 }, 429, Some("180")),
            (AppError::Refused(vec!["no".to_owned()]), 409, None),
        ] {
            let (status, _) = Tried::of(TypedForm::new(), error).unwrap();
            let answer = page_with(status, &Page).unwrap();
            assert_eq!(answer.status().as_u16(), code);
            let retry_after = answer.headers().get(header::RETRY_AFTER);
            assert_eq!(
                retry_after.map(|value| value.to_str().unwrap()),
                wait,
                "{code}"
            );
        }
    }
}
