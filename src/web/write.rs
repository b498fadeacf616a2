//! Writing a prescription: one long form in the order of the visit, kept while one types.

use super::drawing::Drawings;
use super::error::WebError;
use super::extract::{At, Query, Signed, Typed};
use super::field::{Choice, FieldView, Input};
use super::frame::{Frame, page, page_with, see_other};
use crate::app::reviewing::{REASON, Reviewed};
use crate::app::sign::label;
use crate::app::write_draft::{self, Base, Written};
use crate::app::{App, AppError, Person};
use crate::domain::custody::item::Item;
use crate::domain::form::{FieldSpec, GroupSpec, Kind, SectionSpec, Text};
use crate::domain::law::profile::CaseLaw;
use crate::domain::people::access::Permission;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::{self, Prescription, catalogue, is_ours};
use crate::domain::review::{AUDITS, Audit, Finding, Level, is_asked_by_law};
use crate::domain::trade::hints::{Number, reckon};
use crate::domain::trade::lists::{ListKind, Lists};
use crate::domain::trade::mould::Region;
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::measure::tenths;
use crate::domain::values::tooth::Numbering;
use askama::Template;
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use std::collections::BTreeMap;

/// Empty rows offered below the filled ones of a list.
const SPARE_ROWS: usize = 1;
/// Codes offered beside one field: more are not looked through anyway.
const CODES_MOST: usize = 300;

pub struct RowView {
    pub title: String,
    pub fields: Vec<FieldView>,
}

pub struct GroupView {
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    /// What is wrong with the list as a whole.
    pub messages: Vec<String>,
    pub rows: Vec<RowView>,
}

pub struct SectionView {
    pub key: &'static str,
    pub title: &'static str,
    pub intro: &'static str,
    pub cautions: Vec<&'static str>,
    pub fields: Vec<FieldView>,
    pub groups: Vec<GroupView>,
    /// What follows from the fields of this section.
    pub numbers: Vec<Number>,
}

/// A text laid conflicts while somebody else wrote the same field.
pub struct ConflictView {
    pub field: String,
    pub version: i64,
    pub label: String,
    pub stands: String,
    pub name: String,
    pub at: String,
    pub text: String,
}

/// One finding of the review, with the box for its reason where it may stand with one.
pub struct FindingView {
    pub level: &'static str,
    pub shown: &'static str,
    /// Whether it still stands against signing.
    pub is_open: bool,
    /// The id of the field it is about, where the form has it.
    pub link: Option<String>,
    pub label: String,
    pub sentence: String,
    pub why: &'static str,
    pub source: String,
    pub reason: Option<FieldView>,
}

/// What the review says; the script renews it while one types.
#[derive(Template)]
#[template(path = "partials/review.html")]
pub struct ReviewView {
    pub met: usize,
    pub of: usize,
    pub open: usize,
    pub findings: Vec<FindingView>,
}

impl ReviewView {
    pub fn new(reviewed: &Reviewed) -> ReviewView {
        let unsettled = reviewed.unsettled();
        let view = |finding: &Finding| {
            let typed = super::TypedForm::from([(
                format!("{REASON}{}", finding.id),
                reviewed.reason(finding.id).to_owned(),
            )]);
            let box_of = || {
                FieldView::text(&format!("{REASON}{}", finding.id), "Let it stand, because")
                    .hint("The reason is printed on the slip.")
                    .filled(&typed, &[])
            };
            FindingView {
                level: finding.level.word(),
                shown: finding.level.shown(),
                is_open: unsettled.iter().any(|open| open.id == finding.id),
                link: prescription::field_spec(&finding.key)
                    .map(|_| format!("f-{}", finding.key.replace('.', "-"))),
                label: label(&finding.key),
                sentence: finding.sentence.clone(),
                why: finding.why,
                source: finding.source.to_string(),
                reason: (finding.level == Level::Caution).then(box_of),
            }
        };
        ReviewView {
            met: reviewed.met(),
            of: reviewed.criteria.len(),
            open: unsettled.len(),
            findings: reviewed.findings.iter().map(view).collect(),
        }
    }

    /// The count for the bar at the bottom.
    pub fn counts(&self) -> String {
        format!("{} of {} · {} to settle", self.met, self.of, self.open)
    }
}

/// The numbers of one section alone, for the script.
#[derive(Template)]
#[template(path = "partials/numbers.html")]
struct NumbersPart {
    numbers: Vec<Number>,
}

#[derive(Template)]
#[template(path = "write.html")]
pub struct WritePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    /// Which state of which draft the page shows.
    pub base: String,
    pub sections: Vec<SectionView>,
    pub summary: Vec<(String, String, String)>,
    pub others: Option<String>,
    pub conflicts: Vec<ConflictView>,
    pub saved: String,
    pub may_sign: bool,
    pub review: ReviewView,
    /// What published audits found, to compare the score with.
    pub audits: Vec<String>,
    pub drawings: Drawings,
    /// Whether this look was asked for, before signing.
    pub checked: bool,
}

/// The cautions of a part of the form. Common practice, no source; the makers' sheets and local rules decide.
fn cautions(section: &str) -> Vec<&'static str> {
    match section {
        "vertical" => vec![
            "A change of vertical dimension is tried on the provisional first. A millimetre at the pin is less at the teeth: \
             say where it is measured.",
        ],
        "base" => vec![
            "Exclusions of the patient's card go to the lab: check them against every material named here.",
        ],
        "enclosures" => vec![
            "Disinfect with an agent and a time that the item's maker allows for. Never mix agents. Rinse.",
        ],
        "spare" => vec![
            "A duplicate of cold-curing resin holds residual monomer and is no denture for years. Never use it as the pattern.",
        ],
        _ => Vec::new(),
    }
}

/// A catalogue entry as a field of a form.
pub fn view_of(spec: &FieldSpec, row: Option<usize>, numbering: Numbering) -> FieldView {
    let input = match spec.kind {
        Kind::Text { .. } | Kind::Tooth | Kind::Tag => Input::Text,
        Kind::LongText { .. } => Input::Long,
        Kind::Mm { .. } | Kind::Degrees { .. } | Kind::Number { .. } | Kind::Whole { .. } => {
            Input::Number
        }
        Kind::Date => Input::Date,
        Kind::Time => Input::Time,
        Kind::YesNo | Kind::Choice(_) => Input::Choice,
    };
    let mut field = FieldView::new(input, &spec.at(row), spec.label).unit(spec.kind.unit());
    field.hint = match spec.kind {
        Kind::Tooth => format!("{} Number in {}.", spec.hint, numbering.shown())
            .trim()
            .to_owned(),
        _ => spec.hint.to_owned(),
    };
    field.needed = spec.required_for_signing;
    let words: Vec<(&str, &str)> = match spec.kind {
        Kind::YesNo => vec![("yes", "yes"), ("no", "no")],
        Kind::Choice(words) => words.to_vec(),
        _ => Vec::new(),
    };
    field.choices = words
        .into_iter()
        .map(|(word, shown)| Choice {
            word: word.to_owned(),
            shown: shown.to_owned(),
            chosen: false,
        })
        .collect();
    field
}

/// What one look at a draft finds: messages by key, and warnings by key.
struct Looked {
    document: Prescription,
    faults: Vec<Fault>,
    warnings: BTreeMap<String, String>,
    /// The case's items, for the fields that name one.
    tags: Vec<Choice>,
    law: CaseLaw,
    /// The lists of lab and office, for hints and for the codes that are offered.
    lists: Lists,
}

fn look(written: &Written, for_signing: bool) -> Looked {
    let mut reading = written.reading.clone();
    if for_signing {
        reading.ask_for_signing();
    }
    // Last, so that "this is not saved" is the message that stays where a field has two.
    reading.faults.extend(written.too_long.iter().cloned());
    Looked {
        document: reading.document,
        faults: reading.faults,
        warnings: BTreeMap::new(),
        tags: Vec::new(),
        law: written.law.clone(),
        lists: written.lists.clone(),
    }
}

fn warnings(fields: &Fields) -> BTreeMap<String, String> {
    let mut found: BTreeMap<String, String> = BTreeMap::new();
    for (key, warning) in prescription::personal(fields) {
        let said = found.entry(key).or_default();
        if !said.is_empty() {
            said.push(' ');
        }
        said.push_str(&warning.sentence());
    }
    found
}

fn filled(
    spec: &FieldSpec,
    row: Option<usize>,
    fields: &Fields,
    looked: &Looked,
    numbering: Numbering,
) -> FieldView {
    let mut field = view_of(spec, row, numbering);
    if spec.kind == Kind::Tag && !looked.tags.is_empty() {
        field.input = Input::Choice;
        field.choices = looked.tags.clone();
    }
    let mut field = field.filled(fields, &looked.faults);
    field.suggestions = codes(&field.key, looked);
    // A word that is no longer a choice stays visible, or saving the form would lose it.
    if field.input == Input::Choice
        && !field.value.is_empty()
        && !field.choices.iter().any(|choice| choice.chosen)
    {
        let value = field.value.clone();
        field.choices.push(Choice {
            word: value.clone(),
            shown: value,
            chosen: true,
        });
    }
    // A browser's date box shows only what it can read as a date; anything else must not vanish.
    let is_plain = matches!(field.input, Input::Date | Input::Time);
    if is_plain && looked.faults.iter().any(|fault| fault.key == field.key) {
        field.input = Input::Text;
    }
    field
        .warnings
        .extend(looked.warnings.get(&field.key).cloned());
    field
}

/// Codes of the lists that a field offers while one types.
fn codes(key: &str, looked: &Looked) -> Vec<String> {
    let of_moulds = |arch, region| -> Vec<String> {
        let list = looked.lists.moulds.as_deref();
        let codes = list.into_iter().flat_map(|list| list.codes(arch, region));
        codes.take(CODES_MOST).map(str::to_owned).collect()
    };
    let names = |kind| -> Vec<String> {
        let guides = looked.lists.guides_of(kind);
        guides.map(|guide| guide.name.clone()).collect()
    };
    let (rx, teeth, gum) = (&looked.document, ListKind::ToothGuide, ListKind::BaseGuide);
    match key {
        "anterior.upper_mould" => of_moulds(Arch::Upper, Region::Front),
        "anterior.lower_mould" => of_moulds(Arch::Lower, Region::Front),
        "posterior.upper_mould" => of_moulds(Arch::Upper, Region::Back),
        "posterior.lower_mould" => of_moulds(Arch::Lower, Region::Back),
        "shade.guide" => names(teeth),
        "base_shade.guide" => names(gum),
        "shade.tab" | "shade.posterior_tab" | "spare.tooth_shade" => {
            tabs(&looked.lists, teeth, rx.shade.guide.as_ref())
        }
        "base_shade.code" => tabs(&looked.lists, gum, rx.base_shade.guide.as_ref()),
        _ => Vec::new(),
    }
}

/// The tabs of the guide that is named, or of all while none is.
fn tabs(lists: &Lists, kind: ListKind, guide: Option<&Text>) -> Vec<String> {
    let named = guide.and_then(|name| lists.guide(kind, name.as_str()));
    let guides: Vec<_> = match guide {
        Some(_) => named.into_iter().collect(),
        None => lists.guides_of(kind).collect(),
    };
    let tabs = guides.into_iter().flat_map(|guide| guide.guide.tabs());
    let mut codes: Vec<String> = tabs.take(CODES_MOST).map(|tab| tab.code.clone()).collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

/// How many rows of a list are filled; the form shows an empty one behind them.
pub fn rows_of(group: &GroupSpec, fields: &Fields) -> usize {
    let prefix = format!("{}.", group.key);
    fields
        .keys()
        .filter_map(|key| {
            key.strip_prefix(&prefix)?
                .split('.')
                .next()?
                .parse::<usize>()
                .ok()
        })
        .map(|row| row + 1)
        .max()
        .unwrap_or(0)
        .min(crate::domain::form::MOST_ROWS)
}

fn section_view(
    section: &'static SectionSpec,
    fields: &Fields,
    looked: &Looked,
    numbering: Numbering,
    more: &str,
) -> SectionView {
    let group_view = |group: &'static GroupSpec| {
        let extra = if more == group.key {
            SPARE_ROWS + 2
        } else {
            SPARE_ROWS
        };
        let count = (rows_of(group, fields) + extra).min(crate::domain::form::MOST_ROWS);
        let of_list = looked.faults.iter().filter(|fault| fault.key == group.key);
        GroupView {
            messages: of_list.map(|fault| fault.message.clone()).collect(),
            key: group.key,
            title: group.title,
            intro: group.intro,
            rows: (0..count)
                .map(|row| RowView {
                    title: format!("{}, row {}", group.title, row + 1),
                    fields: group
                        .fields
                        .iter()
                        .map(|spec| filled(spec, Some(row), fields, looked, numbering))
                        .collect(),
                })
                .collect(),
        }
    };
    SectionView {
        key: section.key,
        title: section.title,
        intro: section.intro,
        cautions: cautions(section.key),
        fields: section
            .fields
            .iter()
            // What only a law asks for stands in the form where one does, or where something is typed.
            .filter(|spec| fields.contains_key(spec.key) || is_asked_by_law(spec.key, &looked.law))
            .map(|spec| filled(spec, None, fields, looked, numbering))
            .collect(),
        groups: section.groups.iter().map(group_view).collect(),
        numbers: Vec::new(),
    }
}

/// Every section of the form, each with the numbers that belong beside it.
fn sections(
    fields: &Fields,
    looked: &Looked,
    numbering: Numbering,
    more: &str,
    today: time::Date,
) -> Vec<SectionView> {
    let mut numbers = numbers(looked, today);
    let view = |section| {
        let mut view = section_view(section, fields, looked, numbering, more);
        view.numbers = numbers.remove(view.key).unwrap_or_default();
        view
    };
    catalogue().iter().map(view).collect()
}

/// The numbers by section; a section without any has an empty list, so that old ones are cleared away.
fn numbers(looked: &Looked, today: time::Date) -> BTreeMap<&'static str, Vec<Number>> {
    let empty = |section: &SectionSpec| (section.key, Vec::new());
    let mut found: BTreeMap<&'static str, Vec<Number>> = catalogue().iter().map(empty).collect();
    for number in reckon(&looked.document, today, &looked.lists) {
        found.entry(number.section).or_default().push(number);
    }
    found
}

fn numbers_html(
    looked: &Looked,
    today: time::Date,
) -> Result<BTreeMap<&'static str, String>, askama::Error> {
    numbers(looked, today)
        .into_iter()
        .map(|(key, numbers)| Ok((key, NumbersPart { numbers }.render()?)))
        .collect()
}

fn drawings_html(looked: &Looked) -> Result<String, askama::Error> {
    Drawings::of(&looked.document).render()
}

/// The page; `checked`: messages for signing are shown too; `more`: the list that gets more rows.
pub fn write_page(
    app: &App,
    person: &Person,
    written: &Written,
    checked: bool,
    more: &str,
) -> WritePage {
    let draft = &written.draft;
    let numbering = person.numbering();
    let today = person.moment(app.outside.now_ms()).date();
    let mut looked = look(written, checked);
    looked.warnings = warnings(&draft.fields);
    looked.tags = tags(written);
    for finding in written.reviewed.unsettled() {
        let said = looked.warnings.entry(finding.key.clone()).or_default();
        *said = format!("{said} {}", finding.sentence).trim().to_owned();
    }
    let title = match draft.based_on {
        0 => "Write the prescription".to_owned(),
        number => format!("Write revision {}", number + 1),
    };
    let summary = if checked {
        summary(&looked.faults)
    } else {
        Vec::new()
    };
    WritePage {
        frame: Frame::new(app, person, title, ""),
        number: draft.case.to_string(),
        path_number: draft.case.as_str().to_owned(),
        base: Base::of(draft).to_string(),
        sections: sections(&draft.fields, &looked, numbering, more, today),
        summary,
        others: others(written, person),
        conflicts: conflicts(written, person),
        saved: format!(
            "Saved {} by {}",
            person.moment(draft.changed_ms).clock(),
            draft.changed_by
        ),
        may_sign: person.may(Permission::Sign),
        review: ReviewView::new(&written.reviewed),
        audits: audits(),
        drawings: Drawings::of(&looked.document),
        checked,
    }
}

fn audits() -> Vec<String> {
    let sentence = |audit: &Audit| {
        let percent = tenths(audit.percent);
        format!("{percent} % {} ({}).", audit.found, audit.source)
    };
    AUDITS.iter().map(sentence).collect()
}

fn tags(written: &Written) -> Vec<Choice> {
    let choice = |item: &Item| Choice {
        word: item.tag.to_string(),
        shown: format!("{} {}", item.tag, item.title()),
        chosen: false,
    };
    written.items.iter().map(choice).collect()
}

/// Field id, label with row, and message, for the list on top.
fn summary(faults: &[Fault]) -> Vec<(String, String, String)> {
    faults
        .iter()
        .map(|fault| {
            (
                format!("f-{}", fault.key.replace('.', "-")),
                label(&fault.key),
                fault.message.clone(),
            )
        })
        .collect()
}

fn others(written: &Written, person: &Person) -> Option<String> {
    let foreign: Vec<_> = written
        .others
        .iter()
        .filter(|edit| edit.account != person.account.id)
        .collect();
    let mut names: Vec<&str> = foreign.iter().map(|edit| edit.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let names = names.join(", ");
    match foreign.len() {
        0 => None,
        1 => Some(format!(
            "{names} also wrote here: one field has changed since you opened the page."
        )),
        many => Some(format!(
            "{names} also wrote here: {many} fields have changed since you opened the page."
        )),
    }
}

fn conflicts(written: &Written, person: &Person) -> Vec<ConflictView> {
    written
        .conflicts
        .iter()
        .map(|edit| ConflictView {
            field: edit.field.clone(),
            version: edit.version,
            label: label(&edit.field),
            stands: written
                .draft
                .fields
                .get(&edit.field)
                .cloned()
                .unwrap_or_else(|| "(empty)".to_owned()),
            name: edit.name.clone(),
            at: person.moment(edit.at_ms).to_string(),
            text: if edit.text.is_empty() {
                "(empty)".to_owned()
            } else {
                edit.text.clone()
            },
        })
        .collect()
}

pub async fn form(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let written = write_draft::open(&app, &person, &number).await?;
    let mut view = write_page(
        &app,
        &person,
        &written,
        query.text("look") == "yes",
        query.text("more"),
    );
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}

/// The prescription's fields of a posted form.
fn sent(mut form: Typed) -> Fields {
    form.0
        .retain(|key, _| is_ours(key) || key.starts_with(REASON));
    form.0
}

/// Which draft the form shows; a form that does not say so shows none that is there.
fn base(form: &Typed) -> Base {
    Base::parse(form.text("base")).unwrap_or(Base {
        began_ms: 0,
        version: 0,
    })
}

/// The buttons of the form: save, look, another row, read and sign.
pub async fn save(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let (base, go) = (base(&form), form.text("go").to_owned());
    let written = write_draft::save(&app, &person, &number, base, &sent(form)).await?;
    let path = format!("/cases/{}", number.as_str());
    // The text stands in this answer only: whichever button was pressed, no redirect may drop it.
    if !written.too_long.is_empty() {
        let view = write_page(&app, &person, &written, false, "");
        return page_with(StatusCode::UNPROCESSABLE_ENTITY, &view);
    }
    if let Some(group) = go
        .strip_prefix("more-")
        .filter(|group| group.bytes().all(|b| b.is_ascii_lowercase() || b == b'_'))
    {
        return Ok(see_other(&format!(
            "{path}/write?more={group}#s-{}",
            section_of(group)
        )));
    }
    match go.as_str() {
        "look" => page_with(
            StatusCode::OK,
            &write_page(&app, &person, &written, true, ""),
        ),
        "reported" => Ok(see_other(&format!("{path}/reported"))),
        "sign" if person.may(Permission::Sign) => {
            let view = write_page(&app, &person, &written, true, "");
            if view.summary.is_empty() && view.conflicts.is_empty() && view.review.open == 0 {
                Ok(see_other(&format!("{path}/sign")))
            } else {
                page_with(StatusCode::UNPROCESSABLE_ENTITY, &view)
            }
        }
        _ if written.others.is_empty() && written.conflicts.is_empty() => {
            Ok(see_other(&format!("{path}/write?done=saved")))
        }
        _ => page_with(
            StatusCode::OK,
            &write_page(&app, &person, &written, false, ""),
        ),
    }
}

fn section_of(group: &str) -> &'static str {
    catalogue()
        .iter()
        .find(|section| section.groups.iter().any(|one| one.key == group))
        .map_or("", |section| section.key)
}

/// What the script gets back after keeping some fields.
#[derive(serde::Serialize)]
struct Kept {
    base: String,
    at: String,
    others: Vec<OtherField>,
    /// Fields with two texts: neither is changed on the page until one is chosen.
    conflicts: Vec<String>,
    faults: BTreeMap<String, String>,
    warnings: BTreeMap<String, String>,
    /// The review as HTML of our own template, and its count.
    review: String,
    counts: String,
    /// The numbers of each section, and the drawings, in the same way.
    numbers: BTreeMap<&'static str, String>,
    drawings: String,
}

#[derive(serde::Serialize)]
struct OtherField {
    field: String,
    text: String,
    /// Empty for a text of one's own, from another window.
    name: String,
}

pub async fn keep(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let base = base(&form);
    let sent = sent(form);
    let written = write_draft::save(&app, &person, &number, base, &sent).await?;
    let looked = look(&written, false);
    let now = person.moment(app.outside.now_ms());
    let (numbers, drawings) = (numbers_html(&looked, now.date())?, drawings_html(&looked)?);
    let of_sent = looked.faults.into_iter();
    let of_sent = of_sent.filter(|fault| sent.contains_key(&fault.key));
    let review = ReviewView::new(&written.reviewed);
    let counts = review.counts();
    Ok(Json(Kept {
        counts,
        numbers,
        drawings,
        review: review.render()?,
        base: Base::of(&written.draft).to_string(),
        at: now.clock(),
        others: written
            .others
            .into_iter()
            .map(|edit| OtherField {
                field: edit.field,
                text: edit.text,
                name: if edit.account == person.account.id {
                    String::new()
                } else {
                    edit.name
                },
            })
            .collect(),
        conflicts: written
            .conflicts
            .into_iter()
            .map(|edit| edit.field)
            .collect(),
        faults: of_sent.map(|fault| (fault.key, fault.message)).collect(),
        warnings: warnings(&sent),
    })
    .into_response())
}

pub async fn settle(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let version = form
        .text("version")
        .parse()
        .map_err(|_| AppError::NotFound)?;
    write_draft::settle(
        &app,
        &person,
        &number,
        version,
        form.text("field"),
        form.text("take") == "yes",
    )
    .await?;
    Ok(see_other(&format!("/cases/{}/write", number.as_str())))
}

pub async fn discard(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    if !form.is_ticked("sure") {
        return Err(AppError::Refused(vec![
            "Tick “Give this draft up for good” first: its text is gone then.".to_owned(),
        ])
        .into());
    }
    write_draft::discard(&app, &person, &number).await?;
    Ok(see_other(&format!(
        "/cases/{}?done=discarded",
        number.as_str()
    )))
}
