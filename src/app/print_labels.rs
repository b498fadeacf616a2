//! Labels for items: what the form says of sheet, place and items, and the PDF that follows from it.
//!
//! Everything that shapes the file stands in the address, so that the same address gives the same bytes
//! and a browser's bookmark keeps the settings of a printer.

use super::case_work::CaseWork;
use super::{App, AppError, record_mark};
use crate::domain::custody::events::Registered;
use crate::domain::custody::forms::ITEMS;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::sets::set_name;
use crate::domain::custody::{What, travels};
use crate::domain::form::{FieldSpec, FieldType, Kind, Raw, command, mm, rows_with, slot, whole};
use crate::domain::people::party::Paper;
use crate::domain::prescription::revision::Document;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use crate::domain::values::measure::{parse_hundredths, show_hundredths};
use crate::domain::values::moment::{Moment, whole_day};
use crate::domain::values::tooth::Numbering;
use crate::papers::label_sheet::{
    Label, LabelError, LabelRun, PanLabel, lay_out, lay_out_pan, test_page,
};
use crate::papers::layout::grid::{Grid, GridError, Hundredths, Margins, ReadyGrid, sheet_of};
use crate::papers::sheet::qr_address;
use crate::papers::{Meta, write};
use crate::record::entry::LeafKind;
use std::collections::BTreeSet;

/// The word for a grid of one's own measures.
pub const OWN: &str = "own";
/// The word for one label on each page.
pub const SINGLE: &str = "single";

/// Rows or columns of a grid of one's own; labels of 20 mm leave no room for more.
const ROWS_MOST: i64 = 14;

command! {
    /// Which labels; those of the party's own paper if none is named.
    GridForm;
    grid: String = Kind::Listed, "Labels", "";
}

command! {
    /// How far all of them are moved: farther than this no printer draws aside.
    OffsetForm;
    dx: Option<OnSheet> = mm(-10, 10), "Move to the right by", "Negative moves left. In steps of 0.1 mm.";
    dy: Option<OnSheet> = mm(-10, 10), "Move down by", "Negative moves up. In steps of 0.1 mm.";
}

command! {
    /// Where on the first sheet; how many labels there are is said by the grid.
    StartForm;
    start: Option<u32> = whole(1, ROWS_MOST * ROWS_MOST, ""), "Start at label", "Counted along the rows, for a sheet that is half used. The first if left empty.";
}

command! {
    /// A sheet of one's own measures.
    OwnGridForm;
    paper: Option<Paper> = Paper::KIND, "Paper", "";
    columns: u32 = whole(1, ROWS_MOST, ""), "Labels across", "", needed "A whole number from 1 to 14.";
    rows: u32 = whole(1, ROWS_MOST, ""), "Labels down", "", needed "A whole number from 1 to 14.";
    left: OnSheet = mm(0, 200), "Margin left", "", needed "Write the measure in mm.";
    top: OnSheet = mm(0, 200), "Margin on top", "", needed "Write the measure in mm.";
    right: Option<OnSheet> = mm(0, 200), "Margin right", "As left, if left empty.";
    bottom: Option<OnSheet> = mm(0, 200), "Margin at the bottom", "As on top, if left empty.";
    gap_across: Option<OnSheet> = mm(0, 200), "Gap between columns", "None if left empty.";
    gap_down: Option<OnSheet> = mm(0, 200), "Gap between rows", "None if left empty.";
}

command! {
    /// A label on a page of its own.
    SingleForm;
    width: OnSheet = mm(20, 300), "Width of the label", "", needed "Write the measure in mm.";
    height: OnSheet = mm(20, 300), "Height of the label", "", needed "Write the measure in mm.";
}

/// A measure on a sheet of labels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnSheet(Hundredths);

impl FieldType for OnSheet {
    fn parse(typed: &str, spec: &FieldSpec, _: Numbering) -> Result<OnSheet, String> {
        let value = parse_hundredths(typed, &["mm"])?;
        match spec.kind {
            Kind::Mm { min, max } if !(min..=max).contains(&value) => {
                Err(format!("From {} to {} mm.", min / 100, max / 100))
            }
            _ => Ok(OnSheet(value)),
        }
    }
    fn show(&self, _: &FieldSpec, numbering: Numbering) -> String {
        format!("{} mm", self.raw(numbering))
    }
    fn raw(&self, _: Numbering) -> String {
        show_hundredths(self.0)
    }
}

/// The grid that a party's paper begins with.
pub fn first_grid(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "a4_3x7",
        Paper::Letter => "letter_2x7",
    }
}

impl OwnGridForm {
    fn grid(&self, party: Paper) -> Grid {
        let or = |one: Option<OnSheet>, other: Hundredths| one.map_or(other, |one| one.0);
        Grid {
            sheet: sheet_of(self.paper.unwrap_or(party)),
            columns: self.columns.into(),
            rows: self.rows.into(),
            margins: Margins {
                left: self.left.0,
                right: or(self.right, self.left.0),
                top: self.top.0,
                bottom: or(self.bottom, self.top.0),
            },
            gaps: (or(self.gap_across, 0), or(self.gap_down, 0)),
        }
    }
}

/// The grid that a form names, or measures out; `party` is the paper of whoever prints.
fn grid(word: &str, party: Paper, raw: &Raw, faults: &mut Vec<Fault>) -> Option<Grid> {
    match word {
        OWN => OwnGridForm::read(raw, faults).map(|form| form.grid(party)),
        SINGLE => {
            SingleForm::read(raw, faults).map(|form| Grid::single(form.width.0, form.height.0))
        }
        word => {
            let ready = ReadyGrid::from_word(word).map(ReadyGrid::grid);
            if ready.is_none() {
                faults.push(Fault::new(GridForm::grid().key, "Choose the labels."));
            }
            ready
        }
    }
}

/// How far the labels are moved; a tenth of a millimetre is the finest that a printer keeps to.
fn offset(moved: Option<OnSheet>, spec: &FieldSpec, faults: &mut Vec<Fault>) -> Hundredths {
    let value = moved.map_or(0, |moved| moved.0);
    if value % 10 != 0 {
        let wanted = "To a tenth of a millimeter, such as 0.3.";
        faults.push(Fault::new(spec.key, wanted));
    }
    value
}

/// Sheet, place and items as a form says them.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelsForm {
    /// The word of the grid.
    grid: String,
    run: LabelRun,
    items: ChosenItems,
}

impl LabelsForm {
    /// What the form says, if nothing is wrong with it; `party` is the paper of whoever prints.
    pub fn read_on(party: Paper, raw: &Raw, faults: &mut Vec<Fault>) -> Option<LabelsForm> {
        let moved = OffsetForm::read(raw, faults);
        let word = match GridForm::read(raw, faults)?.grid {
            none if none.is_empty() => first_grid(party).to_owned(),
            word => word,
        };
        let grid = grid(&word, party, raw, faults)?;
        let spec = FieldSpec {
            kind: whole(1, grid.count().max(1), ""),
            ..*StartForm::start()
        };
        let start: Option<Option<u32>> = slot(raw, "", Some(&spec), faults);
        let moved = moved?;
        Some(LabelsForm {
            grid: word,
            run: LabelRun {
                grid,
                offset: (
                    offset(moved.dx, OffsetForm::dx(), faults),
                    offset(moved.dy, OffsetForm::dy(), faults),
                ),
                start: start?.unwrap_or(1).into(),
            },
            items: ChosenItems::of(raw),
        })
    }
}

/// Which items get a label. Before anything was ticked or unticked, it is every one that goes from house to house.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChosenItems(Option<BTreeSet<Tag>>);

impl ChosenItems {
    /// The last part of the key of an item's tick.
    const TAKE: &str = "take";
    /// What says that the ticks are all that is chosen, even where there is none.
    pub const CHOSEN: &str = "chosen";

    /// The ticks of a form.
    pub fn of(raw: &Raw) -> ChosenItems {
        let mut ticked = rows_with(raw, ChosenItems::TAKE).peekable();
        let has_said = raw.contains_key(ChosenItems::CHOSEN) || ticked.peek().is_some();
        ChosenItems(has_said.then(|| ticked.filter_map(|tag| Tag::parse(tag).ok()).collect()))
    }

    pub fn has(&self, work: &CaseWork, item: &Item) -> bool {
        match &self.0 {
            Some(tags) => tags.contains(&item.tag),
            None => {
                let state = work.state.item(&item.tag);
                state.is_some_and(|state| travels(item, state, &work.ordered))
            }
        }
    }

    /// The key of an item's tick.
    pub fn key(tag: &Tag) -> String {
        format!("{}.{}", tag.as_str(), ChosenItems::TAKE)
    }
}

/// What cannot be laid out is said beside the field that can mend it.
fn beside(error: &LabelError, form: &LabelsForm) -> AppError {
    let field = match (error, form.grid.as_str()) {
        (LabelError::Start(_), _) => StartForm::start(),
        (LabelError::Grid(GridError::Outside), _) => OffsetForm::dx(),
        (_, SINGLE) => SingleForm::width(),
        (_, OWN) => OwnGridForm::columns(),
        _ => GridForm::grid(),
    };
    AppError::field(field.key, error.to_string())
}

/// Items that can have a label: those that still exist and can be stuck on.
pub fn living(work: &CaseWork) -> Vec<&Item> {
    let is_living = |item: &&Item| item.kind != ItemKind::Scan && work.ending(&item.tag).is_none();
    work.items.iter().filter(is_living).collect()
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
        set: set_name(&work.items, &item.tag),
        warning: item.kind.warning().map(str::to_owned),
        day: registered(work, item).map_or_else(String::new, Moment::day),
        case: work.case.number.to_string(),
    }
}

/// The labels of the chosen items as PDF.
pub async fn labels_pdf(
    app: &App,
    work: &CaseWork,
    form: &LabelsForm,
) -> Result<Vec<u8>, AppError> {
    let is_none = !living(work).iter().any(|item| form.items.has(work, item));
    if is_none {
        return Err(AppError::field(ITEMS, "Tick at least one item."));
    }
    let work = &work.hold_for_paper(app).await?;
    let is_chosen = |item: &&Item| form.items.has(work, item);
    let items: Vec<&Item> = living(work).into_iter().filter(is_chosen).collect();
    let labels: Vec<Label> = items.iter().map(|item| label(app, work, item)).collect();
    // The record that ends with the newest of the items: what comes later does not change their labels.
    let tags: Vec<String> = items
        .iter()
        .map(|item| item.tag.as_str().to_owned())
        .collect();
    let record = record_mark::after(app, LeafKind::Item, &tags).await?;
    let pages =
        lay_out(&labels, &form.run, record.as_ref()).map_err(|error| beside(&error, form))?;
    // The newest of the items dates the file, so that the same labels give the same bytes.
    let newest = items
        .iter()
        .filter_map(|item| registered(work, item))
        .max_by_key(|at| at.unix_ms);
    let meta = Meta {
        title: format!("Labels of case {}", work.case.number),
        author: work.office.name.clone(),
        created: newest.unwrap_or(Moment::new(work.case.opened_ms, 0)),
        language: Some(crate::papers::LANGUAGE),
    };
    write(&pages, &meta).map_err(|error| AppError::Inner(error.to_string()))
}

/// The label of a pan where no other size is asked for: on a page of its own, for a label printer.
const PAN_MM: (Hundredths, Hundredths) = (7_000, 3_800);

/// The label of the pan in which a case stands at its lab, as PDF; `form` says where on which sheet.
pub fn pan_pdf(
    app: &App,
    work: &CaseWork,
    document: Option<&Document>,
    form: Option<&LabelsForm>,
) -> Result<Vec<u8>, AppError> {
    let number = &work.case.number;
    let due = work.day_due();
    let assigned = work.state.assigned.as_ref();
    let label = PanLabel {
        pan: assigned.map(|one| one.pan.clone()).unwrap_or_default(),
        case: number.to_string(),
        address: match document {
            Some(document) => qr_address(document, true),
            None => format!("{}/C/{}", app.settings.address, number.as_str()).to_uppercase(),
        },
        due: due.map_or_else(String::new, |day| format!("Due {}", whole_day(day))),
        house: work.office.name.clone(),
        revision: match work.case.revision {
            ..=0 => "No prescription is signed yet".to_owned(),
            revision => format!("Revision {revision}"),
        },
    };
    let run = form.map_or_else(
        || LabelRun {
            grid: Grid::single(PAN_MM.0, PAN_MM.1),
            offset: (0, 0),
            start: 1,
        },
        |form| form.run,
    );
    let page = lay_out_pan(&label, &run).map_err(|error| match form {
        Some(form) => beside(&error, form),
        None => AppError::Refused(vec![error.to_string()]),
    })?;
    // The newest entry of the case dates the file: the same case gives the same bytes.
    let newest = work.events.iter().map(|event| event.entered_at);
    let newest = newest.max_by_key(|at| at.unix_ms);
    let meta = Meta {
        title: format!("Label of the pan of case {number}"),
        author: work.lab.name.clone(),
        created: newest.unwrap_or(Moment::new(work.case.opened_ms, 0)),
        language: Some(crate::papers::LANGUAGE),
    };
    write(&[page], &meta).map_err(|error| AppError::Inner(error.to_string()))
}

/// The test page of a grid: plain paper to be held against a sheet of labels.
pub async fn test_pdf(app: &App, form: &LabelsForm) -> Result<Vec<u8>, AppError> {
    let record = record_mark::now(app).await?;
    let page = test_page(&form.run, &record).map_err(|error| beside(&error, form))?;
    let meta = Meta {
        title: "Test page for labels".to_owned(),
        author: String::new(),
        // It tells of no moment but the record's: the same grid and record give the same bytes.
        created: Moment::new(0, 0),
        language: Some(crate::papers::LANGUAGE),
    };
    write(&[page], &meta).map_err(|error| AppError::Inner(error.to_string()))
}
