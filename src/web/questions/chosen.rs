//! Pictures that go with a question, an answer or a call: those of the case as the choices of a field, or one that is taken
//! now.

use crate::app::case_work::CaseWork;
use crate::domain::custody::TakenPicture;
use crate::domain::form::FieldSpec;
use crate::web::field::{Choice, FieldView};
use crate::web::pictures::{PictureFileView, PictureRow};
use askama::Template;

/// The pictures of the case as the choices of such a field; without any there is no field.
pub fn choose_pictures(fields: &mut Vec<FieldView>, work: &CaseWork, spec: &FieldSpec) {
    fields.retain(|field| field.key != spec.key || work.pictures_there().next().is_some());
    for field in fields.iter_mut().filter(|field| field.key == spec.key) {
        let choice = |one: &TakenPicture| {
            let shows = PictureRow::of(work, one).words;
            let begins: String = one.caption.chars().take(40).collect();
            let words = format!("{shows}, {} {begins}", one.at.in_words());
            Choice::new(one.event.as_str(), words.trim_end())
        };
        field.choices = work.pictures_there().map(choice).collect();
        field.mark_chosen();
    }
}

/// The picture that shows what is asked about or was said: one of the case, or one that is taken now.
#[derive(Template)]
#[template(path = "partials/with_picture.html")]
pub struct AlongPicture {
    pub chosen: Vec<FieldView>,
    pub file: Option<PictureFileView>,
}

impl AlongPicture {
    /// Takes the choice of a picture out of the fields of its form, which may have none; answers with the others too.
    pub fn of(
        fields: Vec<FieldView>,
        (spec, file): (&FieldSpec, Option<PictureFileView>),
    ) -> (AlongPicture, Vec<FieldView>) {
        let (chosen, others) = fields.into_iter().partition(|field| field.key == spec.key);
        (AlongPicture { chosen, file }, others)
    }

    /// Whether there is anything to choose or to take.
    pub fn is_there(&self) -> bool {
        self.file.is_some() || !self.chosen.is_empty()
    }

    /// Whether something is chosen or wrong here.
    pub fn is_open(&self) -> bool {
        let is_used = |field: &FieldView| !field.value.is_empty() || !field.messages.is_empty();
        self.chosen.iter().any(is_used) || self.file.as_ref().is_some_and(PictureFileView::is_wrong)
    }
}
