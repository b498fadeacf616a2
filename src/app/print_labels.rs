//! Labels for items: what the form says of sheet, place and items, and the PDF that follows from it.
//!
//! Everything that shapes the file stands in the address, so that the same address gives the same bytes
//! and a browser's bookmark keeps the settings of a printer.

use super::case_work::CaseWork;
use super::manage::Typed;
use super::{App, AppError, record_mark};
use crate::domain::custody::events::Registered;
use crate::domain::custody::item::Item;
use crate::domain::custody::sets::set_letter;
use crate::domain::custody::{What, ending};
use crate::domain::people::party::Paper;
use crate::domain::values::fault::Fault;
use crate::domain::values::measure::parse_hundredths;
use crate::domain::values::moment::Moment;
use crate::papers::label_sheet::{Label, LabelError, Run, lay_out, test_page};
use crate::papers::layout::grid::{Grid, GridError, Margins, ReadyGrid, sheet_of};
use crate::papers::{Meta, write};
use crate::record::entry::LeafKind;

/// The word for a grid of one's own measures.
pub const OWN: &str = "own";
/// The word for one label on each page.
pub const SINGLE: &str = "single";

/// Rows or columns of a grid of one's own; labels of 20 mm leave no room for more.
const ROWS_MOST: i64 = 14;
/// Farther than this no printer draws aside.
const OFFSET_MOST: i64 = 1000;
/// Sides of a single label.
const SIDES: std::ops::RangeInclusive<i64> = 2000..=30_000;

/// The grid that a party's paper begins with.
pub fn first_grid(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "a4_3x7",
        Paper::Letter => "letter_2x7",
    }
}

/// Reads millimetres; an empty field means `none`.
fn millimetres(
    typed: &Typed,
    key: &str,
    none: Option<i64>,
    range: std::ops::RangeInclusive<i64>,
    faults: &mut Vec<Fault>,
) -> i64 {
    let text = typed.get(key).map(|text| text.trim()).unwrap_or_default();
    let (least, most) = (range.start() / 100, range.end() / 100);
    let read = match (text, none) {
        ("", Some(none)) => return none,
        ("", None) => Err("Write the measure in mm.".to_owned()),
        (text, _) => parse_hundredths(text, &["mm"]),
    };
    match read {
        Ok(value) if range.contains(&value) => value,
        Ok(_) => {
            faults.push(Fault::new(key, format!("From {least} to {most} mm.")));
            0
        }
        Err(message) => {
            faults.push(Fault::new(key, message));
            0
        }
    }
}

fn whole(typed: &Typed, key: &str, none: Option<i64>, most: i64, faults: &mut Vec<Fault>) -> i64 {
    let text = typed.get(key).map(|text| text.trim()).unwrap_or_default();
    match (text, none, text.parse()) {
        ("", Some(none), _) => none,
        (_, _, Ok(number)) if (1..=most).contains(&number) => number,
        _ => {
            faults.push(Fault::new(key, format!("A whole number from 1 to {most}.")));
            1
        }
    }
}

/// How far the labels are moved; a tenth of a millimetre is the finest that a printer keeps to.
fn offset(typed: &Typed, key: &str, faults: &mut Vec<Fault>) -> i64 {
    let value = millimetres(typed, key, Some(0), -OFFSET_MOST..=OFFSET_MOST, faults);
    if value % 10 != 0 {
        faults.push(Fault::new(key, "To a tenth of a millimetre, such as 0.3."));
    }
    value
}

fn own_grid(typed: &Typed, party: Paper, faults: &mut Vec<Fault>) -> Grid {
    let paper = typed.get("paper").and_then(|word| Paper::from_word(word));
    let mut measure =
        |key: &str, none: Option<i64>| millimetres(typed, key, none, 0..=20_000, faults);
    let (left, top) = (measure("left", None), measure("top", None));
    let margins = Margins {
        left,
        right: measure("right", Some(left)),
        top,
        bottom: measure("bottom", Some(top)),
    };
    let gaps = (measure("gap_across", Some(0)), measure("gap_down", Some(0)));
    Grid {
        sheet: sheet_of(paper.unwrap_or(party)),
        columns: whole(typed, "columns", None, ROWS_MOST, faults),
        rows: whole(typed, "rows", None, ROWS_MOST, faults),
        margins,
        gaps,
    }
}

/// Sheet and place as the form says; `party` is the paper of whoever prints.
pub fn read_run(typed: &Typed, party: Paper) -> Result<Run, AppError> {
    let mut faults = Vec::new();
    let grid = match typed.get("grid").map_or("", |word| word.trim()) {
        "" => ReadyGrid::from_word(first_grid(party)).map(ReadyGrid::grid),
        OWN => Some(own_grid(typed, party, &mut faults)),
        SINGLE => {
            let mut side = |key: &str| millimetres(typed, key, None, SIDES, &mut faults);
            Some(Grid::single(side("width"), side("height")))
        }
        word => ReadyGrid::from_word(word).map(ReadyGrid::grid),
    };
    let Some(grid) = grid else {
        return Err(AppError::field("grid", "Choose the labels."));
    };
    let run = Run {
        grid,
        offset: (
            offset(typed, "dx", &mut faults),
            offset(typed, "dy", &mut faults),
        ),
        start: whole(typed, "start", Some(1), grid.count().max(1), &mut faults),
    };
    if faults.is_empty() {
        Ok(run)
    } else {
        Err(AppError::Invalid(faults))
    }
}

/// What cannot be laid out is said beside the field that can mend it.
fn beside(error: &LabelError, typed: &Typed) -> AppError {
    let grid = typed.get("grid").map(String::as_str).unwrap_or_default();
    let key = match (error, grid) {
        (LabelError::Start(_), _) => "start",
        (LabelError::Grid(GridError::Outside), _) => "dx",
        (_, SINGLE) => "width",
        (_, OWN) => "columns",
        _ => "grid",
    };
    AppError::field(key, error.to_string())
}

/// The key of an item's tick.
pub fn tick_key(item: &Item) -> String {
    format!("{}.take", item.tag.as_str())
}

/// Items that can have a label: those that still exist.
pub fn living(work: &CaseWork) -> Vec<&Item> {
    let is_living = |item: &&Item| ending(&work.items, &work.events, &item.tag).is_none();
    work.items.iter().filter(is_living).collect()
}

/// Whether the form has said which items; before that, every one is ticked.
pub fn has_chosen(typed: &Typed) -> bool {
    typed.contains_key("chosen") || typed.keys().any(|key| key.ends_with(".take"))
}

/// When the item was registered.
fn registered(work: &CaseWork, item: &Item) -> Option<Moment> {
    work.events
        .iter()
        .find(|event| matches!(&event.what, What::Registered(Registered { tag, .. }) if *tag == item.tag))
        .map(|event| event.at)
}

fn label(app: &App, work: &CaseWork, item: &Item) -> Label {
    Label {
        code: item.tag.to_string(),
        address: format!("{}/I/{}", app.settings.address, item.tag.as_str()).to_uppercase(),
        title: item.title(),
        set: set_letter(&work.items, &item.tag).map(|letter| format!("Set {letter}")),
        day: registered(work, item).map_or_else(String::new, Moment::day),
        case: work.case.number.to_string(),
    }
}

/// The labels of the chosen items as PDF.
pub async fn labels_pdf(
    app: &App,
    work: &CaseWork,
    typed: &Typed,
    party: Paper,
) -> Result<Vec<u8>, AppError> {
    let run = read_run(typed, party)?;
    let is_chosen = |item: &&Item| !has_chosen(typed) || typed.contains_key(&tick_key(item));
    let items: Vec<&Item> = living(work).into_iter().filter(is_chosen).collect();
    if items.is_empty() {
        return Err(AppError::field("items", "Tick at least one item."));
    }
    let labels: Vec<Label> = items.iter().map(|item| label(app, work, item)).collect();
    // The record that ends with the newest of the items: what comes later does not change their labels.
    let tags: Vec<String> = items
        .iter()
        .map(|item| item.tag.as_str().to_owned())
        .collect();
    let record = record_mark::after(app, LeafKind::Item, &tags).await?;
    let pages = lay_out(&labels, &run, record.as_ref()).map_err(|error| beside(&error, typed))?;
    // The newest of the items dates the file, so that the same labels give the same bytes.
    let newest = items
        .iter()
        .filter_map(|item| registered(work, item))
        .max_by_key(|at| at.unix_ms);
    let meta = Meta {
        title: format!("Labels of case {}", work.case.number),
        author: work.office.name.clone(),
        created: newest.unwrap_or(Moment::new(work.case.opened_ms, 0)),
    };
    write(&pages, &meta).map_err(|error| AppError::Inner(error.to_string()))
}

/// The test page of a grid: plain paper to be held against a sheet of labels.
pub async fn test_pdf(app: &App, typed: &Typed, party: Paper) -> Result<Vec<u8>, AppError> {
    let (run, record) = (read_run(typed, party)?, record_mark::now(app).await?);
    let page = test_page(&run, &record).map_err(|error| beside(&error, typed))?;
    let meta = Meta {
        title: "Test page for labels".to_owned(),
        author: String::new(),
        // It tells of no moment but the record's: the same grid and record give the same bytes.
        created: Moment::new(0, 0),
    };
    write(&[page], &meta).map_err(|error| AppError::Inner(error.to_string()))
}
