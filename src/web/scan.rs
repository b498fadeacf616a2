//! The scan field of a form: what is typed or scanned there ticks an item, and the form comes back with
//! all that was typed. It works without a script: a scanner ends with Enter, and Enter presses the first
//! button of the form, which is this field's.

use super::keys::SCAN_BEFORE;
use super::typed_form::TypedForm;
use crate::app::case_work::CaseWork;
use crate::app::scan;
pub use crate::app::scan::FIELD;
use crate::app::{App, AppError, Person};
use crate::domain::custody::Wanted;
use crate::domain::custody::forms::SentForm;
use crate::domain::custody::item::Item;
use crate::domain::values::ids::{Code, Tag, codes_in};
use askama::Template;
use axum::http::StatusCode;

/// The field as it is shown.
#[derive(Debug, Clone, Default, Template)]
#[template(path = "partials/scan.html")]
pub struct ScanView {
    /// Sets ids of one form apart from those of another on the same page; usually empty.
    pub scope: &'static str,
    /// Whether the field takes the focus, so that one scan can follow the other.
    pub focus: bool,
    /// A scan that was not taken, as typed.
    pub value: String,
    pub message: Option<String>,
    /// What the last scan did.
    pub said: Option<String>,
}

impl ScanView {
    /// For a form that is there to be scanned into.
    pub fn waiting() -> ScanView {
        ScanView {
            focus: true,
            ..ScanView::default()
        }
    }

    /// For one of several forms on a page.
    pub fn of(scope: &'static str) -> ScanView {
        ScanView {
            scope,
            ..ScanView::default()
        }
    }

    /// 422 for a scan that was not taken.
    pub fn status(&self) -> StatusCode {
        match self.message {
            Some(_) => StatusCode::UNPROCESSABLE_ENTITY,
            None => StatusCode::OK,
        }
    }

    /// The element's id.
    pub fn id(&self) -> String {
        format!("tag-scan{}", self.scope)
    }
}

/// What was scanned, if the form came for that: a text in the field goes first, whichever button was
/// pressed, so that no scanned item is left out.
pub fn asked(form: &TypedForm) -> Option<&str> {
    let text = form.get(FIELD).map_or("", |text| text.trim());
    let is_pressed = form.get("go").is_some_and(|go| go == "scan");
    (is_pressed || !text.is_empty()).then_some(text)
}

/// The newest scan: a scanner types beside the text that was not taken and still stands in the field.
fn fresh<'a>(typed: &'a str, before: &str) -> &'a str {
    if before.is_empty() || Code::parse_any(typed).is_ok() {
        return typed;
    }
    [typed.strip_suffix(before), typed.strip_prefix(before)]
        .into_iter()
        .flatten()
        .find(|rest| Code::parse_any(rest).is_ok())
        .unwrap_or(typed)
}

/// Takes the scan: ticks the item under `key` with `value`, or says what is wrong.
pub async fn take(
    app: &App,
    person: &Person,
    work: &CaseWork,
    wanted: Wanted<'_>,
    form: &mut TypedForm,
    tick: impl Fn(&Item) -> (String, String),
) -> Result<ScanView, AppError> {
    let typed = form.remove(FIELD).unwrap_or_default();
    let before = form.remove(SCAN_BEFORE).unwrap_or_default();
    let typed = fresh(&typed, &before).to_owned();
    form.remove("go");
    let mut view = ScanView::waiting();
    for one in each(&typed) {
        take_one(app, person, (work, wanted), form, &tick, (one, &mut view)).await?;
    }
    Ok(view)
}

/// The scans in what was typed: one, or all that a fast scanner left without a gap.
fn each(typed: &str) -> Vec<String> {
    if Code::parse_any(typed).is_ok() {
        return vec![typed.to_owned()];
    }
    let (codes, rest) = codes_in(typed);
    let codes = codes.iter().map(|code| code.as_str().to_owned());
    let mut all: Vec<String> = codes.collect();
    if all.is_empty() {
        return vec![typed.to_owned()];
    }
    all.extend((!rest.is_empty()).then_some(rest));
    all
}

/// Takes one scan; what an earlier one of the same text said stays.
async fn take_one(
    app: &App,
    person: &Person,
    (work, wanted): (&CaseWork, Wanted<'_>),
    form: &mut TypedForm,
    tick: &impl Fn(&Item) -> (String, String),
    (typed, view): (String, &mut ScanView),
) -> Result<(), AppError> {
    let and = |before: &Option<String>, more: String| match before {
        Some(before) => Some(format!("{before} {more}")),
        None => Some(more),
    };
    match scan::scan(app, person, work, &typed, wanted).await {
        Ok(item) => {
            let (key, value) = tick(item);
            let before = form.insert(key, value.clone());
            let done = if before.is_some_and(|before| before == value) {
                "was ticked off before"
            } else {
                "is ticked off"
            };
            view.said = and(&view.said, format!("{} {} {done}.", item.title(), item.tag));
        }
        Err(AppError::Invalid(faults)) => {
            let message = faults.into_iter().map(|fault| fault.message).collect();
            view.message = and(&view.message, message);
            view.value = typed;
        }
        Err(other) => return Err(other),
    }
    Ok(())
}

/// The tick of an item to be handed over or labelled.
pub fn take_tick(item: &Item) -> (String, String) {
    let key = format!("{}.{}", item.tag.as_str(), SentForm::take().key);
    (key, "yes".to_owned())
}

/// The tick of an item that is in the receiver's hand.
pub fn here_tick(item: &Item) -> (String, String) {
    (here_key(&item.tag), "yes".to_owned())
}

/// The key of that tick.
pub fn here_key(tag: &Tag) -> String {
    format!("{}.here", tag.as_str())
}

/// Tags of their own, for what is compared with them.
pub fn owned<'a>(tags: impl IntoIterator<Item = &'a Tag>) -> Vec<Tag> {
    tags.into_iter().cloned().collect()
}

#[cfg(test)]
mod tests {
    use super::fresh;

    #[test]
    fn a_scan_beside_a_wrong_text_is_read_alone_and_a_mended_text_is_read_whole() {
        let tag = (0..32)
            .find_map(|n| crate::domain::values::ids::Tag::from_random([n; 7]))
            .unwrap();
        let (tag, wrong) = (tag.as_str(), "HTTP://A.EXAMPLE/I/T00");
        let joined = [format!("{tag}{wrong}"), format!("{wrong}{tag}")];
        assert_eq!(fresh(&joined[0], wrong), tag);
        assert_eq!(fresh(&joined[1], wrong), tag);
        assert_eq!(fresh(tag, &tag[..8]), tag);
        assert_eq!(fresh(tag, ""), tag);
        for unread in [
            wrong.to_owned(),
            format!("{wrong}{wrong}"),
            format!("T1{wrong}"),
        ] {
            assert_eq!(fresh(&unread, wrong), unread);
        }
    }
}
