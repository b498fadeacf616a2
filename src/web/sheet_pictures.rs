//! The sheet as pictures of its pages: what stands on the screen is what prints.

use crate::app::print_sheet::copy;
use crate::domain::custody::OutOfForce;
use crate::papers::lay_out_places;
use crate::papers::page::SheetPlace;
use crate::papers::sheet::Sheet;
use crate::papers::svg::write_svg_with;
use askama::Template;

/// The pages of a sheet, each a picture with its name.
#[derive(Template)]
#[template(path = "partials/sheet_pictures.html")]
pub struct SheetPictures {
    pictures: Vec<String>,
    /// Where a line that is touched is asked about; empty where nothing is asked.
    ask: String,
}

impl SheetPictures {
    /// The pictures, marked where they are out of force; `ask` is the page on which a line is asked about.
    pub fn of(sheet: &Sheet, out: Option<&OutOfForce>, ask: String) -> SheetPictures {
        let name = |number: usize| match number {
            0 => "Front of the sheet".to_owned(),
            1 => "Back of the sheet".to_owned(),
            number => format!("Page {} of the sheet", number + 1),
        };
        let (pages, places): (Vec<_>, Vec<_>) = lay_out_places(sheet).into_iter().unzip();
        let pages = copy(pages, out).into_iter().zip(places).collect::<Vec<_>>();
        let touched = |places: &[SheetPlace]| match ask.is_empty() {
            true => Vec::new(),
            false => places.to_vec(),
        };
        let pictures = pages.iter().enumerate();
        SheetPictures {
            pictures: pictures
                .map(|(number, (page, places))| {
                    write_svg_with(page, &name(number), &touched(places))
                })
                .collect(),
            ask,
        }
    }
}
