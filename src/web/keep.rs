//! The page about the papers of a case: until when they are kept, and by whose word longer.

use super::done::Done;
use super::error::WebError;
use super::extract::{On, Typed};
use super::field::{FieldView, fields_under, fill};
use super::form_page::FormPage;
use super::frame::Frame;
use super::personal_data_check;
use super::tried::Tried;
use crate::app::keep_papers::{self, PapersView};
use crate::app::{App, AppError, Person};
use crate::domain::custody::forms::KeepForm;
use crate::domain::custody::{CaseStep, KeptSince};
use crate::domain::form::Form;
use crate::domain::law::retention::Longest;
use crate::domain::people::access::Permission;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::whole_day;
use askama::Template;
use axum::response::Response;
use time::Date;

/// Until when each house keeps the papers of a case, with the sources, and the form that keeps them longer or lifts
/// that.
#[derive(Template)]
#[template(path = "keep.html")]
pub struct KeepPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    /// Each house with its day in words.
    pub days: Vec<(&'static str, String)>,
    pub sources: Vec<String>,
    /// Since when, by whom and why one's own house keeps them longer.
    pub longer: Option<String>,
    /// The same of the other house.
    pub other: Option<String>,
    /// None for those who may not say it.
    pub fields: Option<Vec<FieldView>>,
    pub refusals: Vec<String>,
    pub meaning: &'static str,
    pub post_key: String,
}

fn day_words(longest: Option<&Longest>, today: Date) -> String {
    let Some(longest) = longest else {
        return "no retention period given: local law decides".to_owned();
    };
    let (day, name) = (whole_day(longest.until), &longest.name);
    match longest.until < today {
        true => format!("kept until {day} by the profile “{name}”: that day has passed"),
        false => format!("to be kept until {day}, by the profile “{name}”"),
    }
}

fn keep_page(
    app: &App,
    person: &Person,
    papers: &PapersView,
    tried: &Tried,
) -> Result<KeepPage, WebError> {
    let work = &papers.view.work;
    let today = person.moment(app.outside.now_ms()).date();
    let offers = work.offers(app, person);
    let longer = work.kept_longer(work.side);
    let other = work.kept_longer(work.side.other());
    let step = match longer {
        None => CaseStep::KeepLonger,
        Some(_) => CaseStep::KeepNoLonger,
    };
    let fields = (person.may(Permission::EraseTexts) && offers.has(step)).then(|| {
        let mut fields = fill(
            fields_under(KeepForm::FIELDS, ""),
            &tried.typed,
            &tried.faults,
        );
        let sets = KeepForm::field_sets();
        let at = fields.len().saturating_sub(1);
        for (place, tick) in personal_data_check::tick_for(&tried.typed, &sets)
            .into_iter()
            .enumerate()
        {
            fields.insert(at + place, tick);
        }
        fields
    });
    let kept = papers.kept.as_ref();
    Ok(KeepPage {
        frame: Frame::of_case(app, person, work, "How long papers are kept")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        days: match kept {
            None => Vec::new(),
            Some(kept) => vec![
                ("Office", day_words(kept.office.as_ref(), today)),
                ("Laboratory", day_words(kept.lab.as_ref(), today)),
            ],
        },
        sources: papers.sources.clone(),
        longer: longer.map(KeptSince::words),
        other: other.map(KeptSince::words),
        fields,
        refusals: tried.refusals.clone(),
        meaning: keep_papers::means(longer.is_some()),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

impl FormPage for KeepPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}/keep", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<KeepPage, WebError> {
        let papers = keep_papers::papers_of(&on.app, &on.person, &on.at).await?;
        keep_page(&on.app, &on.person, &papers, tried)
    }
}

/// Shows until when the papers of a case are kept.
pub async fn page_of(on: On<CaseNumber>) -> Result<Response, WebError> {
    KeepPage::show(on).await
}

/// Enters that the papers are kept longer.
pub async fn longer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    KeepPage::post(on, form, keep_papers::longer, Done::KeptLonger).await
}

/// Enters that they need not be kept longer.
pub async fn no_longer(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    KeepPage::post(on, form, keep_papers::no_longer, Done::KeptNoLonger).await
}
