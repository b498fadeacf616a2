//! The bands of the back.

use super::band::{Band, Column};
use super::bench::{bench, cautions_and_record, handover};
use super::draw::Draw;
use super::front::side_by_side;
use super::measure::{HEAD, LARGE, Measure, STRONG, TEXT, part};
use super::top::WHOLE;
use crate::papers::sheet::Sheet;

/// Which case, which revision, when: the head of every page but the first.
pub fn running_head(sheet: &Sheet, measure: &Measure) -> Draw {
    let top = &sheet.top;
    let mut draw = Draw::space(7.2);
    draw.text(0.0, 5.0, LARGE, &top.case);
    let mut x = LARGE.width_mm(&top.case) + 3.0;
    let said = match code_of(&top.patient.text()) {
        Some(code) => vec![
            (TEXT, format!("{}, ", top.revision)),
            (TEXT, "patient code ".to_owned()),
            (STRONG, code),
        ],
        None => vec![(TEXT, top.revision.clone())],
    };
    for (style, words) in said {
        draw.text(x, 5.0, style, &words);
        x += style.width_mm(&words);
    }
    if let Some((day, year)) = &top.due.day {
        let words = format!("{day} {year}");
        let from = measure.width - LARGE.width_mm(&words);
        draw.text(from, 5.0, LARGE, &words);
        let due = "due by";
        let begins = from - TEXT.width_mm(due) - 1.5;
        draw.text(begins, 5.0, TEXT, due);
        let size = (measure.width - begins, draw.height);
        draw.place((begins, 0.0), size, ("dates.wanted", None));
    }
    draw.line((0.0, 6.6), (measure.width, 6.6), part());
    draw.all_about(measure.width, WHOLE);
    draw
}

/// The code among the words about the patient; a second laboratory has none.
fn code_of(patient: &str) -> Option<String> {
    let after = patient.strip_prefix("Patient code ")?;
    after.split(',').next().map(str::to_owned)
}

/// The back from its head to what stands above the room for pencil.
pub fn back<'a>(sheet: &'a Sheet, measure: &Measure) -> Vec<Band<'a>> {
    let mut bands = vec![Band::Whole(running_head(sheet, measure))];
    bands.extend(side_by_side(&[(&sheet.parcel, 0.0)], measure));
    bands.extend(side_by_side(&[(&sheet.parcel_notes, 13.0)], measure));
    bands.extend(side_by_side(
        &[(&sheet.surface, 13.0), (&sheet.base, 14.0)],
        measure,
    ));
    bands.extend(side_by_side(&[(&sheet.behind, 17.0)], measure));
    bands
}

/// Remarks, what no band names, and what the dentist let stand: on the back, or on the front where it has room.
pub fn more<'a>(sheet: &'a Sheet, measure: &Measure) -> Vec<Band<'a>> {
    let lists = [(&sheet.further, 26.0), (&sheet.accepted, 0.0)];
    side_by_side(&lists, measure).into_iter().collect()
}

/// The same below each other, with what the dentist let stand in both columns: many lines beside few leave a column empty.
pub fn more_in_halves<'a>(sheet: &'a Sheet, measure: &Measure) -> Vec<Band<'a>> {
    let further = side_by_side(&[(&sheet.further, 26.0)], measure);
    let mut bands: Vec<Band<'a>> = further.into_iter().collect();
    if !sheet.accepted.is_empty() {
        let column = Column::new(&sheet.accepted, measure.column(2), 0.0, measure);
        bands.extend(Band::of(column.halves()));
    }
    bands
}

/// The bench, below what is said.
pub fn at_the_bench<'a>(sheet: &'a Sheet, measure: &Measure) -> Vec<Band<'a>> {
    let mut bands = vec![Band::Whole(bench(sheet, measure))];
    let lists = [&sheet.set_up, &sheet.processed];
    let filled: Vec<_> = lists.into_iter().filter(|list| !list.is_empty()).collect();
    let width = measure.column(2);
    let columns = filled
        .iter()
        .map(|list| Column::new(list, width, 0.0, measure));
    bands.extend(Band::of(columns.collect()));
    bands
}

/// Handover, cautions and the mark of the record, at the foot of the page.
pub fn foot(sheet: &Sheet, measure: &Measure) -> Draw {
    let mut draw = handover(sheet.hands(), measure);
    draw.height += measure.gap + 0.6;
    draw.below(cautions_and_record(sheet, measure));
    draw
}

/// The title of a list that goes on.
pub fn continued(title: &str) -> (crate::papers::layout::style::Style, String) {
    let title = if title.is_empty() { "More" } else { title };
    (HEAD, format!("{title}, continued"))
}
