//! The page of a case's pictures: all of them, the newest first, and the form for another one.

use crate::app::case_work::CaseWork;
use crate::app::custody_words::title_and_tag;
use crate::app::pictures::erased_words;
use crate::app::{App, AppError, Person};
use crate::domain::custody::bench::BenchStep;
use crate::domain::custody::forms::PictureForm;
use crate::domain::custody::{CaseStep, PICTURES_MOST, TakenPicture};
use crate::domain::form::Form;
use crate::domain::people::access::Permission;
use crate::domain::values::ids::EventId;
use crate::domain::values::words::capitalised;
use crate::web::entry::{item_choices, unsaved_words};
use crate::web::error::WebError;
use crate::web::extract::Query;
use crate::web::field::FieldView;
use crate::web::frame::Frame;
use crate::web::paged::Paged;
use crate::web::personal_data_check::fields_of;
use crate::web::tried::Tried;
use askama::Template;

use super::file::PictureFileView;

/// Whence somebody came who works at the bench.
const BENCH: &str = "bench";

/// Pictures on one page.
const ON_A_PAGE: usize = 40;

/// What the address says that the picture shows, and whence somebody came.
#[derive(Debug, Default)]
pub struct AboutPicture {
    shows: String,
    item: String,
    back: String,
    /// The step of the bench that somebody came from.
    step: Option<BenchStep>,
    /// The question that it is added to.
    question: String,
}

impl AboutPicture {
    /// As the address says.
    pub fn of(query: &Query) -> AboutPicture {
        let back = match query.text("back") {
            known @ (BENCH | "flasking" | "questions") => known.to_owned(),
            _ => String::new(),
        };
        AboutPicture {
            shows: query.text("shows").to_owned(),
            item: query.text("item").to_owned(),
            question: query.text("question").to_owned(),
            step: BenchStep::from_word(query.text("step")).filter(|_| back == BENCH),
            back,
        }
    }

    /// The way back, as it is carried on in an address that has a query already.
    pub fn to_go_back(&self) -> String {
        match self.back.is_empty() {
            true => String::new(),
            false => format!("&back={}", self.whence()),
        }
    }

    /// Whence somebody came, as it stands behind `back=`.
    fn whence(&self) -> String {
        match self.step {
            Some(step) => format!("{BENCH}&step={}", step.word()),
            None => self.back.clone(),
        }
    }

    /// The address below the case whence somebody came.
    fn back_to(&self) -> String {
        match (self.back.as_str(), self.step) {
            ("flasking", _) => format!("{BENCH}?step={}", BenchStep::Flasked.word()),
            (BENCH, Some(step)) => format!("{BENCH}?step={}", step.word()),
            (other, _) => other.to_owned(),
        }
    }

    /// The address below the case of the bench with a picture chosen; none where somebody came from elsewhere.
    pub fn at_the_bench(&self, picture: &EventId) -> Option<String> {
        let step = self.step.map(|step| format!("step={}&", step.word()));
        let step = step.unwrap_or_default();
        (self.back == BENCH).then(|| format!("{BENCH}?{step}picture={picture}"))
    }
}

/// A picture with what is known of it.
pub struct PictureRow {
    pub id: String,
    pub words: String,
    pub caption: String,
    pub for_lab: bool,
    /// Whether whoever looks may say that it is, or is not any more.
    pub is_markable: bool,
    pub by: String,
    /// How large it is shown in a row.
    pub width: u32,
    pub height: u32,
    /// Who took it out for good, and when.
    pub erased: Option<String>,
}

/// The height of a picture in a row, in pixels of the screen.
const ROW: u32 = 96;

impl PictureRow {
    /// As its case tells of it.
    pub fn of(work: &CaseWork, one: &TakenPicture) -> PictureRow {
        let of = one.item.as_ref().map(|tag| title_and_tag(work, tag));
        let of = of.map_or_else(String::new, |of| format!(", {of}"));
        let width = u64::from(ROW) * u64::from(one.width) / u64::from(one.height.max(1));
        PictureRow {
            id: one.event.to_string(),
            words: capitalised(&format!("{}{of}", one.shows.shown())),
            caption: one.caption.clone(),
            for_lab: one.for_lab,
            is_markable: false,
            by: format!("{} on {}", one.by, one.at.in_words()),
            width: u32::try_from(width).unwrap_or(ROW).clamp(1, 4 * ROW),
            height: ROW,
            erased: erased_words(work, &one.event)
                .or_else(|| one.is_erased().then(|| "Erased".to_owned())),
        }
    }
}

/// The pictures of a case, and the form that adds one.
#[derive(Template)]
#[template(path = "pictures.html")]
pub struct PicturesPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    /// The words of the question that a picture is added to; empty for most.
    pub question: String,
    pub refusals: Vec<String>,
    /// Why none can be added now.
    pub against: Vec<String>,
    /// What was typed for a form that is offered no more.
    pub unsaved: Vec<(String, String)>,
    /// Those of this page of the list.
    pub pictures: Vec<PictureRow>,
    pub paged: Paged,
    /// How many the case has, and can have.
    pub count: usize,
    pub most: usize,
    /// Whether one of them prints with the prescription.
    pub prints: bool,
    /// Empty where none can be added now.
    pub fields: Vec<FieldView>,
    pub file: PictureFileView,
    pub back: String,
    /// The address below the case to which it leads.
    pub back_to: String,
    pub back_words: &'static str,
    pub may_erase: bool,
    pub post_key: String,
}

fn first_fields(work: &CaseWork, about: &AboutPicture, tried: &Tried) -> Vec<FieldView> {
    let form = [
        *PictureForm::of_question(),
        *PictureForm::shows(),
        *PictureForm::shown_item(),
        *PictureForm::caption(),
        *PictureForm::for_lab(),
    ];
    let mut fields = fields_of(&form, &PictureForm::field_sets(), tried);
    for field in &mut fields {
        let chosen = if field.key == PictureForm::shows().key {
            &about.shows
        } else if field.key == PictureForm::shown_item().key {
            field.choices = item_choices(work);
            &about.item
        } else if field.key == PictureForm::of_question().key {
            &about.question
        } else {
            continue;
        };
        if field.value.is_empty() {
            chosen.clone_into(&mut field.value);
        }
        field.mark_chosen();
    }
    fields.retain(|field| field.key != PictureForm::shown_item().key || !field.choices.is_empty());
    fields
}

/// The whole page.
pub fn pictures_page(
    (app, person): (&App, &Person),
    work: &CaseWork,
    (about, query): (&AboutPicture, &Query),
    tried: &Tried,
) -> Result<PicturesPage, WebError> {
    let offers = work.offers(app, person);
    let against = offers.against(CaseStep::AddPicture).into_iter();
    let against: Vec<String> = against.map(|refusal| refusal.sentence).collect();
    let adds = person.may(Permission::HandleItems) && against.is_empty();
    let count = work.pictures().len();
    let carried = about.to_go_back().replacen('&', "?", 1);
    let address = format!("/cases/{}/pictures{carried}", work.case.number.as_str());
    let paged = Paged::of(query, (count, ON_A_PAGE), &address);
    let sent = tried.typed.get(PictureForm::of_question().key);
    let question = EventId::new(sent.unwrap_or(&about.question).as_str());
    let question = work.question(&question);
    Ok(PicturesPage {
        question: question.map_or_else(String::new, |one| one.text.clone()),
        frame: Frame::of_case(app, person, work, "Pictures")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        refusals: tried.refusals.clone(),
        unsaved: match adds {
            true => Vec::new(),
            false => unsaved_words(&tried.typed, &PictureForm::field_sets()),
        },
        against,
        pictures: (paged.cut(work.pictures()).into_iter())
            .map(|one| PictureRow {
                is_markable: !one.is_erased()
                    && person.may(Permission::AddPictures)
                    && offers.has(CaseStep::MarkPicture(one)),
                ..PictureRow::of(work, one)
            })
            .collect(),
        paged,
        count,
        most: PICTURES_MOST,
        prints: work.prints_pictures(),
        fields: match adds {
            true => first_fields(work, about, tried),
            false => Vec::new(),
        },
        file: PictureFileView::of(tried, true),
        back_words: match about.back.as_str() {
            BENCH => "Back to the bench",
            "flasking" => "Back to flasking",
            "questions" => "Back to the questions",
            _ => "",
        },
        back: about.whence(),
        back_to: about.back_to(),
        may_erase: person.may(Permission::EraseTexts),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}
