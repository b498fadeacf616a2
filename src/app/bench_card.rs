//! The card of the bench as a paper.

use super::{AppError, Person};
use crate::papers::bench_card::{BenchCard, TITLE_WORDS, lay_out};
use crate::papers::{LANGUAGE, Meta, write};

/// The card as PDF, the same for everybody of a house.
pub fn bench_card_pdf(person: &Person) -> Result<Vec<u8>, AppError> {
    let house = person.party.as_ref().map(|party| party.name.clone());
    let card = BenchCard {
        paper: person.paper(),
        house: house.unwrap_or_default(),
    };
    let meta = Meta {
        title: TITLE_WORDS.to_owned(),
        author: card.house.clone(),
        created: person.moment(0),
        language: Some(LANGUAGE),
    };
    write(&lay_out(&card), &meta).map_err(|error| AppError::Inner(error.to_string()))
}
