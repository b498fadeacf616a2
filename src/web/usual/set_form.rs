//! The form of a set: its name, what it is for, and the fields of the prescription that it may hold.

use crate::app::usual_sets::{ForCourse, SeenSet, UsualForm, UsualHandover, UsualHead};
use crate::app::{App, AppError, Person};
use crate::domain::form::{FieldSpec, FilledField, SectionSpec, ShownVersion};
use crate::domain::people::party::Side;
use crate::domain::prescription::usual::{UsualSet, held_by, values_of};
use crate::domain::prescription::{Course, catalogue};
use crate::web::error::WebError;
use crate::web::extract::Typed;
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::personal_data_check::tick_for;
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;

/// The fields of one section of the prescription.
pub struct SetSection {
    pub title: &'static str,
    pub is_open: bool,
    pub fields: Vec<FieldView>,
}

/// Everything that a set is made of.
#[derive(Template)]
#[template(path = "partials/usual_form.html")]
pub struct UsualSetForm {
    pub action: String,
    pub refusals: Vec<String>,
    /// Field id, label and message.
    pub summary: Vec<(String, String, String)>,
    pub head: Vec<FieldView>,
    /// A tick for each kind of work; none for a lab.
    pub kinds: Vec<FieldView>,
    pub sections: Vec<SetSection>,
    /// What is no part of the prescription.
    pub handover: Vec<FieldView>,
    /// Where a text is asked about.
    pub tick: Option<FieldView>,
    pub version: String,
    pub post_key: String,
}

/// What the part beside the prescription is called.
const HANDING_OVER: &str = "Handing over";

/// Office or lab.
pub fn side_of(person: &Person) -> Result<Side, AppError> {
    let party = person.party.as_ref().ok_or(AppError::NotFound)?;
    Ok(party.kind)
}

/// The set that the form holds.
pub fn typed_set(person: &Person, form: &Typed) -> Result<UsualForm, AppError> {
    let side = side_of(person)?;
    form.read_as(&UsualForm::field_sets_of(side), |typed, faults| {
        UsualForm::read_of(side, typed, faults)
    })
}

/// Whether an entry of a form of sets is of this section or of one of its lists.
fn is_of(section: &SectionSpec, spec: &FieldSpec) -> bool {
    let first = spec.key.split('.').next().unwrap_or_default();
    section.key == first || section.groups.iter().any(|group| group.key == first)
}

fn sections(side: Side, typed: &TypedForm, tried: &Tried) -> Vec<SetSection> {
    let of = |section: &'static SectionSpec| {
        let own = held_by(side).iter().filter(|spec| is_of(section, spec));
        let own: Vec<FieldView> = own.map(|spec| FieldView::under(spec, "")).collect();
        let fields = fill(own, typed, &tried.faults);
        let is_filled =
            |field: &FieldView| !field.value.trim().is_empty() || !field.messages.is_empty();
        SetSection {
            title: section.title,
            is_open: fields.iter().any(is_filled),
            fields,
        }
    };
    let sections = catalogue().iter().map(of);
    sections.filter(|one| !one.fields.is_empty()).collect()
}

fn kinds(typed: &TypedForm) -> Vec<FieldView> {
    let of = |course: &Course| {
        let field = FieldView::under(ForCourse::takes(), &UsualForm::under(*course));
        field.label(course.shown()).filled(typed, &[])
    };
    Course::ALL.iter().map(of).collect()
}

impl UsualSetForm {
    /// The form of a set that is there, or of a new one; with what came back.
    pub fn new(
        app: &App,
        person: &Person,
        action: String,
        seen: Option<&SeenSet>,
        tried: &Tried,
    ) -> Result<UsualSetForm, WebError> {
        let side = side_of(person)?;
        let is_office = side == Side::Office;
        let stored = seen.and_then(|seen| seen.set.as_ref());
        let stored = stored.map(UsualForm::raw_of).unwrap_or_default();
        let typed = match tried.typed.is_empty() {
            true => &stored,
            false => &tried.typed,
        };
        let head = match is_office {
            true => fields_under(UsualHead::FIELDS, ""),
            false => Vec::new(),
        };
        let version = seen.map_or(0, |seen| seen.version).to_string();
        let mut form = UsualSetForm {
            action,
            refusals: tried.refusals.clone(),
            summary: Vec::new(),
            head: fill(head, typed, &tried.faults),
            kinds: if is_office { kinds(typed) } else { Vec::new() },
            sections: sections(side, typed, tried),
            handover: fill(
                fields_under(UsualHandover::FIELDS, ""),
                typed,
                &tried.faults,
            ),
            tick: tick_for(typed, &UsualForm::field_sets_of(side)),
            // Whoever was overtaken has the newer version before them now.
            version: match tried.typed.get(ShownVersion::version().key) {
                Some(typed) if tried.refusals.is_empty() => typed.clone(),
                _ => version,
            },
            post_key: app.outside.token().map_err(AppError::from)?,
        };
        form.summary = form.messages();
        Ok(form)
    }

    fn messages(&self) -> Vec<(String, String, String)> {
        let of_sections = self.sections.iter().flat_map(|one| &one.fields);
        let all = self.head.iter().chain(of_sections).chain(&self.handover);
        let said = all.flat_map(|field| {
            let one = |message: &String| (field.id(), field.label.clone(), message.clone());
            field.messages.iter().map(one).collect::<Vec<_>>()
        });
        said.collect()
    }
}

/// What a set says, section by section: label and words.
pub fn said_by(set: &UsualSet) -> Vec<(&'static str, Vec<(&'static str, String)>)> {
    let sections = values_of(set).into_iter();
    let one = |(section, cells): (&'static SectionSpec, Vec<FilledField>)| {
        let cells = cells.into_iter().map(|cell| (cell.spec.label, cell.shown));
        (section.title, cells.collect())
    };
    let carrier = || vec![(UsualHandover::carrier().label, set.carrier.clone())];
    let handover = (!set.carrier.is_empty()).then(|| (HANDING_OVER, carrier()));
    sections.map(one).chain(handover).collect()
}
