//! The sheet as pictures of its pages: what stands on the screen is what prints.

use crate::papers::lay_out_sheet;
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
    pub fn of(sheet: &Sheet) -> SheetPictures {
        let name = |number: usize| match number {
            0 => "Front of the sheet".to_owned(),
            1 => "Back of the sheet".to_owned(),
            number => format!("Page {} of the sheet", number + 1),
        };
        let pages = lay_out_sheet(sheet);
        let pictures = pages.iter().enumerate();
        SheetPictures {
            pictures: pictures
                .map(|(number, page)| write_svg(page, &name(number)))
                .collect(),
        }
    }
}
