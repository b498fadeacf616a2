//! The duplicate's time in the pressure pot, beside what is common and what the maker's sheet says.

use super::{Number, or_why};
use crate::domain::form::Whole;
use crate::domain::prescription::{Duplicate, Prescription};
use crate::domain::trade::material::{POT_COMMON, pot_water, pot_water_source, pressure_pot};

const SECTION: &str = "duplicate";

pub fn add(document: &Prescription, numbers: &mut Vec<Number>) {
    let made = &document.duplicate;
    for (label, minutes) in [
        ("In the pressure pot, upper", made.upper_minutes),
        ("In the pressure pot, lower", made.lower_minutes),
    ] {
        numbers.extend(minutes.map(|minutes| pot(label, minutes.get(), made)));
    }
    numbers.extend(made.water.map(|water| in_pot(water.get(), made)));
}

fn pot(label: &str, minutes: i64, made: &Duplicate) -> Number {
    let sheet = made.sheet_minutes.map(Whole::get);
    let says = match sheet {
        Some(minutes) => format!("{minutes} min"),
        None => "not written".to_owned(),
    };
    let verdict = pressure_pot(minutes as f64, sheet.map(|minutes| minutes as f64));
    let number = verdict.map(|verdict| {
        Number::new(SECTION, label, minutes.to_string(), "min")
            .range(format!("{POT_COMMON}; as the maker’s sheet says: {says}"))
            .note(verdict.said.sentence)
            .source(verdict.said.source)
    });
    or_why(SECTION, label, number)
}

fn in_pot(celsius: i64, made: &Duplicate) -> Number {
    let sheet = made.sheet_water.map(Whole::get);
    let number = Number::new(
        SECTION,
        "Water in the pressure pot",
        celsius.to_string(),
        "°C",
    );
    let number = match sheet {
        Some(asked) => number.range(format!("as the maker’s sheet says: {asked} °C")),
        None => number.range("40 to 50 °C in most makers’ sheets, from memory"),
    };
    let said = pot_water(celsius, sheet);
    number
        .note(said.map_or("As asked for.".to_owned(), |said| said.sentence))
        .source(pot_water_source(sheet))
}
