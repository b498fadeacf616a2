//! The sheet as pictures of its pages: what stands on the screen is what prints.

use crate::app::print_sheet::sheet_pages;
use crate::domain::custody::OutOfForce;
use crate::papers::sheet::Sheet;
use crate::papers::svg::write_svg;
use askama::Template;

/// The pages of a sheet, each a picture with its name.
#[derive(Template)]
#[template(path = "partials/sheet_pictures.html")]
pub struct SheetPictures {
    pictures: Vec<String>,
}

impl SheetPictures {
    /// Marked where they are out of force.
    pub fn of(sheet: &Sheet, out: Option<&OutOfForce>) -> SheetPictures {
        let name = |number: usize| match number {
            0 => "Front of the sheet".to_owned(),
            1 => "Back of the sheet".to_owned(),
            number => format!("Page {} of the sheet", number + 1),
        };
        let pages = sheet_pages(sheet, out);
        let pictures = pages.iter().enumerate();
        SheetPictures {
            pictures: pictures
                .map(|(number, page)| write_svg(page, &name(number)))
                .collect(),
        }
    }
}
