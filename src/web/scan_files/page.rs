//! The page of a case's scans: all of them, the newest first, and the form for another one.

use crate::app::case_work::CaseWork;
use crate::app::custody_words::title_and_tag;
use crate::app::pictures::erased_words;
use crate::app::scan_files::SCAN_FILE;
use crate::app::{App, AppError, Person};
use crate::domain::custody::forms::{ItemChoice, ScanForm};
use crate::domain::custody::{CaseStep, FiledScan, SCANS_MOST, box_words};
use crate::domain::form::Form;
use crate::domain::mesh::MeshUnit;
use crate::domain::people::access::Permission;
use crate::domain::values::words::{capitalised, counted};
use crate::web::entry::{item_choices, unsaved_words};
use crate::web::error::WebError;
use crate::web::field::{Choice, FieldView, fields_under, fill};
use crate::web::frame::Frame;
use crate::web::personal_data_check::fields_of;
use crate::web::tried::Tried;
use askama::Template;

/// A scan with what is known of it.
pub struct ScanRow {
    pub id: String,
    pub words: String,
    pub caption: String,
    pub for_lab: bool,
    /// Whether whoever looks may say that it is, or is not any more.
    pub is_markable: bool,
    pub by: String,
    /// Its box, as the largest thing of its row.
    pub size: String,
    pub facts: String,
    /// What is asked where it is hardly as large as something of a mouth.
    pub asked: Option<String>,
    /// Whether the house that looks has added it.
    pub is_added_here: bool,
    /// Who took it out for good, and when.
    pub erased: Option<String>,
}

impl ScanRow {
    fn of(work: &CaseWork, one: &FiledScan) -> ScanRow {
        let of = one.item.as_ref().map(|tag| title_and_tag(work, tag));
        let of = of.map_or_else(String::new, |of| format!(", {of}"));
        let house = &work.party(work.side).id;
        let kind = if one.is_stl { "STL" } else { "PLY" };
        let unit = match one.unit {
            MeshUnit::Millimetre => String::new(),
            unit => format!(", sent in {}", unit.shown()),
        };
        ScanRow {
            id: one.event.to_string(),
            words: capitalised(&format!("{}{of}", one.shows.shown())),
            caption: one.caption.clone(),
            for_lab: one.for_lab,
            is_markable: false,
            by: format!("{} on {}", one.by, one.at.in_words()),
            size: box_words(one.box_um),
            facts: format!(
                "{kind}, {}, {}{unit}",
                counted(one.triangles, "triangle"),
                megabytes(one.length)
            ),
            asked: one.size_asked(house),
            is_added_here: one.party == *house,
            erased: erased_words(work, &one.event)
                .or_else(|| one.is_erased().then(|| "Erased".to_owned())),
        }
    }
}

/// A length with one place.
fn megabytes(bytes: u64) -> String {
    let tenths = (bytes.saturating_mul(10) / 1_048_576).max(1);
    format!("{}.{} MB", tenths / 10, tenths % 10)
}

/// The scans of a case, and the form that adds one.
#[derive(Template)]
#[template(path = "scans.html")]
pub struct ScansPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub refusals: Vec<String>,
    /// Why none can be added now.
    pub against: Vec<String>,
    /// What was typed for a form that is offered no more.
    pub unsaved: Vec<(String, String)>,
    pub scans: Vec<ScanRow>,
    pub most: usize,
    /// Empty where none can be added now.
    pub fields: Vec<FieldView>,
    pub ticks: Vec<FieldView>,
    pub file: &'static str,
    pub file_messages: Vec<String>,
    pub may_erase: bool,
    pub post_key: String,
}

fn first_fields(work: &CaseWork, tried: &Tried) -> Vec<FieldView> {
    let form = [
        *ScanForm::scan_shows(),
        *ScanForm::scan_item(),
        *ScanForm::scan_unit(),
        *ScanForm::scan_caption(),
        *ScanForm::scan_for_lab(),
    ];
    let mut fields = fields_of(&form, &ScanForm::field_sets(), tried);
    for field in &mut fields {
        if field.key == ScanForm::scan_item().key {
            let new = Choice::new(ItemChoice::NEW, "this file, as an item of its own");
            field.choices = [vec![new], item_choices(work)].concat();
        } else if field.key == ScanForm::scan_unit().key && field.value.is_empty() {
            MeshUnit::Millimetre.word().clone_into(&mut field.value);
        } else {
            continue;
        }
        field.mark_chosen();
    }
    fields
}

/// The whole page.
pub fn scans_page(
    (app, person): (&App, &Person),
    work: &CaseWork,
    tried: &Tried,
) -> Result<ScansPage, WebError> {
    let offers = work.offers(app, person);
    let against = offers.against(CaseStep::AddScan).into_iter();
    let against: Vec<String> = against.map(|refusal| refusal.sentence).collect();
    let adds = person.may(Permission::HandleItems) && against.is_empty();
    let of_file = tried.faults.iter().filter(|fault| fault.key == SCAN_FILE);
    let scans = work.scans();
    Ok(ScansPage {
        frame: Frame::of_case(app, person, work, "3D scans")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        refusals: tried.refusals.clone(),
        unsaved: match adds {
            true => Vec::new(),
            false => unsaved_words(&tried.typed, &ScanForm::field_sets()),
        },
        against,
        scans: scans
            .map(|one| ScanRow {
                is_markable: !one.is_erased()
                    && person.may(Permission::AddPictures)
                    && offers.has(CaseStep::MarkScan(one)),
                ..ScanRow::of(work, one)
            })
            .collect(),
        most: SCANS_MOST,
        fields: match adds {
            true => first_fields(work, tried),
            false => Vec::new(),
        },
        ticks: fill(
            fields_under(&[*ScanForm::no_face()], ""),
            &tried.typed,
            &tried.faults,
        ),
        file: SCAN_FILE,
        file_messages: of_file.map(|fault| fault.message.clone()).collect(),
        may_erase: person.may(Permission::EraseTexts),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}
