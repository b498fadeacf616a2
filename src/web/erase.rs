//! The page on which whoever answers for a house takes free texts out of its entries for good.

use super::done::Done;
use super::error::WebError;
use super::extract::{On, Query, Typed};
use super::field::{FieldView, InputKind, fields_under, fill};
use super::form_page::FormPage;
use super::frame::Frame;
use super::paged::Paged;
use super::tried::Tried;
use crate::app::erase_texts::{self, OwnTexts};
use crate::app::{App, AppError, Person};
use crate::domain::custody::erasing::Erasable;
use crate::domain::custody::events::{MEANS_ERASED, PICTURE_PLACE};
use crate::domain::custody::forms::EraseReasonForm;
use crate::domain::custody::{ERASED, Event, What, describe};
use crate::domain::form::Proof;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::response::Response;

/// Entries on one page.
const ON_A_PAGE: usize = 20;
/// Characters of a text that its closed entry shows.
const BEGINS: usize = 60;

/// An entry with the texts that can be taken out of it.
pub struct OfferView {
    pub when: String,
    pub what: String,
    /// How its first text begins, while it is folded.
    pub begins: String,
    /// Whether something of it is ticked, or is to be mended.
    pub is_open: bool,
    pub fields: Vec<FieldView>,
    /// Where the small picture is had, of an entry that adds one which is still there.
    pub picture: Option<String>,
}

/// The texts of a case that can be taken out, with the reason and the password.
#[derive(Template)]
#[template(path = "erase.html")]
pub struct ErasePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub refusals: Vec<String>,
    pub offers: Vec<OfferView>,
    pub paged: Paged,
    /// Label and text of what stands in the draft.
    pub draft: Vec<(String, String)>,
    pub fields: Vec<FieldView>,
    pub meaning: &'static str,
    /// Since when, by whom and why the office keeps the papers longer: then nothing is erased.
    pub kept_longer: Option<String>,
    pub post_key: String,
}

/// The time of an entry to the second.
fn clock_of(event: &Event) -> String {
    let at = event.at.rfc3339();
    at.get(11..19).unwrap_or_default().to_owned()
}

fn tick(event: &Event, text: &Erasable, tried: &Tried) -> FieldView {
    // Scans have no small picture, and several come within a minute.
    let named = match &event.what {
        What::ScanFiled(one) => format!("scan of {} ({})", clock_of(event), one.facts()),
        _ => String::new(),
    };
    let label = match text.place.as_str() {
        // Nobody knows a picture by its hash; what it shows and its day stand above.
        PICTURE_PLACE => {
            let (called, caption) = match &event.what {
                What::Pictured(one) => ("picture", one.caption.as_str()),
                What::ScanFiled(one) => (named.as_str(), one.caption.as_str()),
                _ => ("file", ""),
            };
            match caption {
                "" | ERASED => format!("the {called} itself, for good"),
                caption => format!("the {called} itself, for good: “{caption}”"),
            }
        }
        _ => format!("{}: “{}”", text.called, text.words),
    };
    FieldView::new(InputKind::Tick, &erase_texts::tick_of(event, text), &label)
        .filled(&tried.typed, &tried.faults)
}

/// “note: “keyed, for the …” and 2 more”
fn begins(fields: &[FieldView]) -> String {
    let label = fields.first().map_or("", |field| field.label.as_str());
    let mut words: String = label.chars().take(BEGINS).collect();
    if words.len() < label.len() {
        words.push('…');
    }
    match fields.len().saturating_sub(1) {
        0 => words,
        more => format!("{words} and {more} more"),
    }
}

async fn erase_page(
    app: &App,
    person: &Person,
    (number, query): (&CaseNumber, &Query),
    tried: &Tried,
) -> Result<ErasePage, WebError> {
    let OwnTexts {
        work,
        entries,
        draft,
    } = erase_texts::see(app, person, number).await?;
    let view = |(event, texts): &(Event, Vec<Erasable>)| {
        let description = describe(&work.items, event);
        let fields: Vec<FieldView> = texts.iter().map(|text| tick(event, text, tried)).collect();
        let is_marked = |field: &FieldView| field.is_ticked() || !field.messages.is_empty();
        OfferView {
            when: description.when,
            what: description.what,
            begins: begins(&fields),
            is_open: fields.iter().any(is_marked),
            fields,
            picture: matches!(&event.what, What::Pictured(one) if one.hash != ERASED)
                .then(|| format!("/cases/{}/pictures/{}/small.jpg", number.as_str(), event.id)),
        }
    };
    let address = format!("/cases/{}/erase", number.as_str());
    let paged = Paged::of(query, (entries.len(), ON_A_PAGE), &address);
    let specs = [*EraseReasonForm::why(), *Proof::password()];
    let mut fields = fill(fields_under(&specs, ""), &tried.typed, &tried.faults);
    for field in &mut fields {
        field.needed = true;
    }
    Ok(ErasePage {
        frame: Frame::of_case(app, person, &work, "Erase texts")?,
        number: number.to_string(),
        path_number: number.as_str().to_owned(),
        refusals: tried.refusals.clone(),
        offers: paged.cut(&entries).into_iter().map(view).collect(),
        paged,
        draft,
        fields,
        meaning: MEANS_ERASED,
        kept_longer: work.kept_longer_words(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for ErasePage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/history", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<ErasePage, WebError> {
        erase_page(&on.app, &on.person, (&on.at, &on.query), tried).await
    }
}

/// Shows what can be erased in a case.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    ErasePage::show(on).await
}

/// Erases the ticked texts and leads to the history; otherwise the form with what is wrong, ticks and reason as they
/// were.
pub async fn erase(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    ErasePage::post(on, form, erase_texts::erase, Done::Erased).await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_closed_entry_shows_how_its_first_text_begins_and_counts_the_others() {
        let field = |label: &str| FieldView::new(InputKind::Tick, "text.x", label);
        let long = "n".repeat(BEGINS + 1);
        let cut = format!("{}…", "n".repeat(BEGINS));
        for (labels, words) in [
            (vec!["note: “keyed”"], "note: “keyed”".to_owned()),
            (
                vec!["note: “keyed”", "how: “b”"],
                "note: “keyed” and 1 more".to_owned(),
            ),
            (vec![long.as_str()], cut),
            (vec![], String::new()),
        ] {
            let fields: Vec<FieldView> = labels.into_iter().map(field).collect();
            assert_eq!(begins(&fields), words);
        }
    }
}
