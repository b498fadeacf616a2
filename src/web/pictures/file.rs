//! The part of a form in which a picture is taken or chosen, cut, and said to show no face.

use crate::app::pictures::{PICTURE_FILE, PICTURE_SHOT};
use crate::domain::custody::forms::PictureForm;
use crate::domain::form::FieldSpec;
use crate::web::entry::Folded;
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::tried::Tried;
use askama::Template;

/// The boxes for a picture.
#[derive(Template)]
#[template(path = "partials/picture_file.html")]
pub struct PictureFileView {
    /// What its ids begin with, since a page may hold several of them.
    pub scope: &'static str,
    /// Whether the form is nothing without one.
    pub needed: bool,
    pub file: &'static str,
    pub shot: &'static str,
    pub messages: Vec<String>,
    pub cut: Folded,
    pub tick: Vec<FieldView>,
}

impl PictureFileView {
    /// With what was typed, and what is wrong with it.
    pub fn of(tried: &Tried, needed: bool) -> PictureFileView {
        PictureFileView::scoped("", tried, needed)
    }

    /// The same with ids of its own.
    pub fn scoped(scope: &'static str, tried: &Tried, needed: bool) -> PictureFileView {
        let fields = |specs: &[FieldSpec]| {
            let mut fields = fill(fields_under(specs, ""), &tried.typed, &tried.faults);
            for field in &mut fields {
                field.scope = scope.into();
            }
            fields
        };
        let cuts = [
            *PictureForm::cut_left(),
            *PictureForm::cut_right(),
            *PictureForm::cut_top(),
            *PictureForm::cut_bottom(),
            *PictureForm::cut_covers(),
        ];
        let of_file = (tried.faults.iter()).filter(|fault| fault.key == PICTURE_FILE);
        PictureFileView {
            scope,
            needed,
            file: PICTURE_FILE,
            shot: PICTURE_SHOT,
            messages: of_file.map(|fault| fault.message.clone()).collect(),
            cut: Folded::new(
                "Cut off or cover a face, or what does not belong to it",
                "In hundredths of the picture as it stands upright: what lies outside is cut off. What is cut off or covered is not kept.",
                fields(&cuts),
            ),
            tick: fields(&[*PictureForm::mouth_only()]),
        }
    }

    /// Whether something is wrong here.
    pub fn is_wrong(&self) -> bool {
        let tick = self.tick.iter();
        !self.messages.is_empty() || tick.clone().any(|field| !field.messages.is_empty())
    }
}
