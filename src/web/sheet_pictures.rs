//! The sheet as pictures of its pages: what stands on the screen is what prints.

use crate::app::print_sheet::copy;
use crate::domain::custody::OutOfForce;
use crate::papers::page::SheetPlace;
use crate::papers::sheet::Sheet;
use crate::papers::svg::write_svg_with;
use crate::papers::{Page, lay_out_places};
use askama::Template;

/// One page of a sheet.
pub struct SheetPicture {
    name: String,
    /// The picture; none where it comes behind the page, since it is heavy and seldom looked at first.
    drawn: Option<String>,
    address: String,
}

/// The pages of a sheet, each a picture with its name.
#[derive(Template)]
#[template(path = "partials/sheet_pictures.html")]
pub struct SheetPictures {
    pictures: Vec<SheetPicture>,
    /// Where a line that is touched is asked about; empty where nothing is asked.
    ask: String,
}

/// The pages with what can be touched on each, marked where they are out of force.
fn laid(sheet: &Sheet, out: Option<&OutOfForce>) -> Vec<(Page, Vec<SheetPlace>)> {
    let (pages, places): (Vec<_>, Vec<_>) = lay_out_places(sheet).into_iter().unzip();
    copy(pages, out).into_iter().zip(places).collect()
}

fn name(number: usize) -> String {
    match number {
        0 => "Front of the sheet".to_owned(),
        1 => "Back of the sheet".to_owned(),
        number => format!("Page {} of the sheet", number + 1),
    }
}

/// One page, counted from 0, with what can be touched on it; none where the sheet has fewer.
pub fn sheet_page(sheet: &Sheet, out: Option<&OutOfForce>, number: usize) -> Option<String> {
    let pages = laid(sheet, out);
    let (page, places) = pages.get(number)?;
    Some(write_svg_with(page, &name(number), places))
}

impl SheetPictures {
    /// The sheet of a text that is read before it is signed: the front, and where each further page comes from.
    pub fn unsigned(sheet: &Sheet, address: &str) -> SheetPictures {
        let mut pages = laid(sheet, None);
        // Nothing is asked about before it is signed.
        pages.iter_mut().for_each(|(_, places)| places.clear());
        SheetPictures::front_first(pages, String::new(), address)
    }

    /// The same of a signed one; `ask` is the page on which a line is asked about.
    pub fn touched(
        sheet: &Sheet,
        out: Option<&OutOfForce>,
        ask: String,
        address: &str,
    ) -> SheetPictures {
        SheetPictures::front_first(laid(sheet, out), ask, address)
    }

    /// `address` goes on with the number of a page.
    fn front_first(
        pages: Vec<(Page, Vec<SheetPlace>)>,
        ask: String,
        address: &str,
    ) -> SheetPictures {
        let pages = pages.into_iter().enumerate();
        let picture = |(number, (page, places)): (usize, (Page, Vec<SheetPlace>))| SheetPicture {
            drawn: (number == 0).then(|| write_svg_with(&page, &name(number), &places)),
            name: name(number),
            address: format!("{address}{}", number + 1),
        };
        SheetPictures {
            pictures: pages.map(picture).collect(),
            ask,
        }
    }
}
