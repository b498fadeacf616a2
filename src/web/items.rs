//! Items: registering one, its page, what is recorded about it, and what the patient wears.

use super::command_field;
use super::entry::{Folded, from_paper, password, unsaved_words};
use super::error::{FormErrors, WebError};
use super::extract::{At, Query, Signed, Typed};
use super::field::{FieldView, Input, fill};
use super::frame::{Frame, page, page_with, see_other};
use super::past::Past;
use super::personal_data_check::{self, after_check};
use super::scan::{self, ScanView};
use super::typed_form::TypedForm;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::{StateWord, holder_words, mouth_words, state_words};
use crate::app::reminders::reminders;
use crate::app::{App, AppError, Person, add_item, change_mouth, record_event, see_case};
use crate::choices_of;
use crate::domain::custody::events::{Action, Disinfected, DisinfectedForm};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::mouth::{self, Wears};
use crate::domain::custody::sets::set_letter;
use crate::domain::custody::{
    Description, Event, Holder, Wanted, What, describe, ending, handlers, lineage,
};
use crate::domain::form::Kind;
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, Tag};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

#[derive(Template)]
#[template(path = "item_new.html")]
pub struct NewItemPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub refusals: Vec<String>,
    pub fields: Vec<FieldView>,
    pub folds: Vec<Folded>,
    pub post_key: String,
}

/// How it was made: from what is in hand here, how, of what, and by whom.
fn made_fold(work: &CaseWork, typed: &TypedForm, faults: &[Fault]) -> Folded {
    let custody = &work.state.custody;
    let is_here = |item: &&Item| {
        let state = custody.get(&item.tag);
        state.is_some_and(|state| {
            state.holder == Holder::of(work.side)
                || (work.side == Side::Office && state.holder == Holder::Patient)
        })
    };
    let parents = work.items.iter().filter(is_here).map(|item| {
        let label = format!("Made from {} {}", item.title(), item.tag);
        FieldView::new(Input::Tick, &format!("{}.from", item.tag.as_str()), &label)
    });
    let mut fields: Vec<FieldView> = parents.collect();
    fields.extend([
        FieldView::text("made_how", "How")
            .hint("Such as: poured, mounted, copied in a closed flask."),
        FieldView::text("material", "Material"),
        FieldView::text("lot", "Lot number"),
        FieldView::new(Input::Number, "pot_minutes", "Time in the pressure pot").unit("min"),
        FieldView::text("maker", "Made by").hint("If it was not you."),
    ]);
    Folded::new(
        "How it was made",
        "For what is made here: the line back to what it comes from is kept.",
        fill(fields, typed, faults),
    )
}

fn new_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    typed: &TypedForm,
    faults: &[Fault],
    refusals: Vec<String>,
) -> Result<NewItemPage, WebError> {
    let mut places = vec![("here".to_owned(), "here, in our hands".to_owned())];
    if work.side == Side::Office {
        places.push(("worn".to_owned(), "in the patient's mouth".to_owned()));
    }
    let fields = vec![
        FieldView::choice("item_kind", "What it is", choices_of!(ItemKind)).needed(),
        FieldView::choice("arch", "Arch", choices_of!(Arch))
            .hint("Needed for dentures, impressions, rims and casts."),
        FieldView::choice("place", "Where it is now", places).needed(),
        FieldView::new(Input::Number, "pieces", "Number of pieces").hint("One if left empty."),
        FieldView::text("note", "Note").hint("Material, maker, marks. Nothing about the person."),
    ];
    let lent = vec![
        FieldView::new(Input::Tick, "borrowed", "Lent by us, and due back"),
        FieldView::new(Input::Date, "due_back", "Due back on"),
    ];
    let folds = vec![
        Folded::new(
            "It is lent",
            "Both sides are reminded from that day on.",
            fill(lent, typed, faults),
        ),
        made_fold(work, typed, faults),
        from_paper(typed, faults),
    ];
    Ok(NewItemPage {
        frame: Frame::new(app, person, "Register an item", ""),
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        refusals,
        fields: fill(fields, typed, faults)
            .into_iter()
            .chain(personal_data_check::tick(typed))
            .collect(),
        folds,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

pub async fn new(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    let typed = TypedForm::from([("place".to_owned(), "here".to_owned())]);
    page(&new_page(
        &app,
        &person,
        &view.work,
        &typed,
        &[],
        Vec::new(),
    )?)
}

pub async fn add(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let command = add_item::add(&app, &person, &number, &form.0, &key);
    match after_check(&form, command).await {
        Ok(tag) => Ok(see_other(&format!("/items/{}?done=item", tag.as_str()))),
        Err(error) => {
            let back = FormErrors::of(error)?;
            let view = see_case::see(&app, &person, &number).await?;
            page_with(
                back.status,
                &new_page(
                    &app,
                    &person,
                    &view.work,
                    &form.0,
                    &back.faults,
                    back.refusals,
                )?,
            )
        }
    }
}

/// Something that can be recorded about an item now.
pub struct ActionView {
    pub word: &'static str,
    pub label: &'static str,
    pub hint: &'static str,
    pub fields: Vec<FieldView>,
    pub refusals: Vec<String>,
    pub open: bool,
    is_from_paper: bool,
    /// When it was done, if not now.
    pub from_paper: Option<Folded>,
    /// What the signature says, where the password signs it.
    pub meaning: &'static str,
}

#[derive(Template)]
#[template(path = "item.html")]
pub struct ItemPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub tag: String,
    pub path_tag: String,
    pub title: String,
    pub pieces: u32,
    pub holder: String,
    /// The set's letter, where it belongs to one.
    pub set: Option<String>,
    /// How it ended, where it has.
    pub ended: Option<String>,
    /// The handoff that it is on.
    pub handoff: Option<String>,
    pub states: Vec<StateWord>,
    pub actions: Vec<ActionView>,
    /// What stands against an action that is offered no more, and what was typed for it.
    pub refusals: Vec<String>,
    pub unsaved: Vec<(String, String)>,
    pub cautions: Vec<&'static str>,
    pub lines: Vec<Description>,
    pub carries: &'static str,
    pub handling: &'static str,
    pub note: String,
    /// What it was made from and what came of it.
    pub descent: Vec<Descent>,
    pub hands: String,
    pub past: Past,
    pub post_key: String,
}

/// One direction of the line through an item: tag, path and title of each.
pub struct Descent {
    pub title: &'static str,
    pub items: Vec<(String, String, String)>,
}

/// The line through the item, both ways, where there is one.
fn descent(work: &CaseWork, item: &Item) -> Vec<Descent> {
    let line = lineage(&work.state, &item.tag);
    let named = |tag: &Tag| {
        let item = work.items.iter().find(|item| item.tag == *tag);
        let title = item.map(Item::title).unwrap_or_default();
        (tag.to_string(), format!("/items/{}", tag.as_str()), title)
    };
    [
        ("What it was made from", line.from),
        ("What became of it", line.into),
    ]
    .into_iter()
    .filter(|(_, tags)| !tags.is_empty())
    .map(|(title, tags)| Descent {
        title,
        items: tags.iter().map(named).collect(),
    })
    .collect()
}

/// How many hands it has gone through: the fewer the better.
fn hands(work: &CaseWork, item: &Item) -> String {
    let hands = handlers(&work.state, &work.events, &item.tag);
    let people = hands.people.len();
    format!(
        "{} handoff(s), {people} {}: {}.",
        hands.handoffs,
        if people == 1 { "person" } else { "people" },
        hands.people.join("; ")
    )
}

/// Texts of earlier entries that a box offers.
const OFFERED_MOST: usize = 5;

fn tick(key: &str, label: &str) -> FieldView {
    FieldView::new(Input::Tick, key, label)
}

/// The fields of a disinfection entry.
pub fn disinfection_fields(work: &CaseWork) -> Vec<FieldView> {
    let specs = DisinfectedForm::FIELDS.iter();
    let view = |spec| FieldView {
        needed: false,
        ..command_field::view(spec, &|_| Vec::new())
    };
    let mut fields: Vec<FieldView> = specs.map(view).collect();
    suggest(work, &mut fields);
    fields
}

/// What this side has written of a disinfection in this case is offered again: the bottle is mostly the same,
/// and gloves type badly.
fn suggest(work: &CaseWork, fields: &mut [FieldView]) {
    let house = &work.party(work.side).id;
    let own = work.events.iter().rev();
    let own = own.filter(|event| event.by.party == *house);
    let earlier: Vec<&Disinfected> = own
        .filter_map(|event| match &event.what {
            What::Disinfected(entry) => Some(entry),
            _ => None,
        })
        .collect();
    for field in fields {
        for entry in &earlier {
            let text = match field.key.as_str() {
                "agent" => &entry.agent,
                "dilution" => &entry.dilution,
                _ => continue,
            };
            if !field.suggestions.contains(text) && field.suggestions.len() < OFFERED_MOST {
                field.suggestions.push(text.clone());
            }
        }
    }
}

/// What can be recorded about the item by this person, as it stands.
fn actions(app: &App, work: &CaseWork, item: &Item, person: &Person) -> Vec<ActionView> {
    let offers = record_event::offers(work, item, person, work.now(app));
    let view = |action: &'static Action<What>| {
        let mut fields: Vec<FieldView> = (action.fields.iter())
            .map(|spec| command_field::view(spec, &|kind| choices(work, item, kind)))
            .collect();
        suggest(work, &mut fields);
        if !action.means.is_empty() {
            fields.push(password("Your password again", &[]));
        }
        let mut view = ActionView {
            word: action.word,
            label: action.label,
            hint: action.hint,
            fields,
            refusals: Vec::new(),
            open: false,
            is_from_paper: action.from_paper,
            from_paper: None,
            meaning: action.means,
        };
        view.set_apart(&TypedForm::new(), &[]);
        view
    };
    offers.into_iter().map(view).collect()
}

/// What a field chooses from: the other items of the case, or the entries about this one.
fn choices(work: &CaseWork, item: &Item, kind: Kind) -> Vec<(String, String)> {
    let others = work.items.iter().filter(|one| one.tag != item.tag);
    let entries = work.events.iter();
    let entries = entries.filter(|event| event.what.tags().contains(&&item.tag));
    match kind {
        Kind::Tag => others
            .map(|one| {
                let shown = format!("{} {}", one.title(), one.tag);
                (one.tag.as_str().to_owned(), shown)
            })
            .collect(),
        Kind::Entry => entries
            .map(|event| {
                let told = describe(&work.items, event);
                (event.id.clone(), format!("{} {}", told.when, told.what))
            })
            .collect(),
        _ => Vec::new(),
    }
}

impl ActionView {
    /// Ids of its own, since several actions ask for the same; and the entry from paper at its end.
    fn set_apart(&mut self, typed: &TypedForm, faults: &[Fault]) {
        for field in &mut self.fields {
            field.scope = self.word;
        }
        self.from_paper = self
            .is_from_paper
            .then(|| from_paper(typed, faults).scoped(self.word));
    }
}

/// Whether an entry is about the item: it tells of it, or corrects an entry that does, or erases a text of one.
fn is_about(work: &CaseWork, event: &Event, tag: &Tag) -> bool {
    let tells_of = |id: &str| {
        let mut events = work.events.iter();
        events.any(|one| one.id == id && one.what.tells_of(tag))
    };
    let about = event.what.kind().about_events();
    event.what.tells_of(tag) || about.into_iter().any(tells_of)
}

fn item_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    item: &Item,
    tried: Option<(&TypedForm, Vec<Fault>, Vec<String>)>,
) -> Result<ItemPage, WebError> {
    let custody = &work.state.custody;
    let state = custody
        .get(&item.tag)
        .ok_or_else(|| AppError::Inner(format!("{} has no state", item.tag)))?;
    let mut actions = actions(app, work, item, person);
    let (mut against, mut unsaved) = (Vec::new(), Vec::new());
    if let Some((typed, faults, refusals)) = tried {
        let word = typed.get("action").cloned().unwrap_or_default();
        let action = actions.iter_mut().find(|action| action.word == word);
        if action.is_none() {
            // The item has changed since its page was read, and this is offered no more.
            against = refusals.clone();
            if against.is_empty() {
                against.push("This cannot be recorded about the item as it stands now.".to_owned());
            }
            unsaved = unsaved_words(typed);
        }
        if let Some(action) = action {
            action.fields = fill(std::mem::take(&mut action.fields), typed, &faults);
            action.refusals = refusals;
            action.fields.extend(personal_data_check::tick(typed));
            action.set_apart(typed, &faults);
            action.open = true;
        }
    }
    Ok(ItemPage {
        frame: Frame::new(app, person, format!("{} {}", item.title(), item.tag), ""),
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        tag: item.tag.to_string(),
        path_tag: item.tag.as_str().to_owned(),
        title: item.title(),
        pieces: state.pieces.unwrap_or(item.pieces),
        descent: descent(work, item),
        hands: hands(work, item),
        past: Past::default(),
        holder: holder_words(state, work),
        set: set_letter(&work.items, &item.tag),
        ended: ending(&work.items, &work.events, &item.tag),
        handoff: state.handoff.clone().filter(|_| state.gone.is_none()),
        states: state_words(item, state),
        actions,
        refusals: against,
        unsaved,
        cautions: vec![
            "Gloves and eye protection with disinfectants; never mix them. Treat what you are not sure of as contaminated.",
        ],
        lines: work
            .events
            .iter()
            .rev()
            .filter(|event| is_about(work, event, &item.tag))
            .map(|event| describe(&work.items, event))
            .collect(),
        carries: item.kind.carries(),
        handling: item.kind.handling(),
        note: item.note.clone(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

pub async fn page_of(
    State(app): State<App>,
    Signed(person): Signed,
    At(tag): At<Tag>,
    query: Query,
) -> Result<Response, WebError> {
    let (work, item) = see_case::see_item(&app, &person, &tag).await?;
    let mut view = item_page(&app, &person, &work, &item, None)?;
    view.frame = view.frame.done(query.text("done"));
    view.past = Past::of(&app, &person, &work, &item, &query);
    let status = match view.past.message {
        Some(_) => StatusCode::UNPROCESSABLE_ENTITY,
        None => StatusCode::OK,
    };
    page_with(status, &view)
}

/// The short address that a tag's QR code holds.
pub async fn short(Signed(_): Signed, At(tag): At<Tag>) -> Response {
    see_other(&format!("/items/{}", tag.as_str()))
}

pub async fn record(
    State(app): State<App>,
    Signed(person): Signed,
    At(tag): At<Tag>,
    form: Typed,
) -> Result<Response, WebError> {
    let key = form.key()?;
    let command = record_event::record(&app, &person, &tag, &form.0, &key);
    match after_check(&form, command).await {
        Ok(()) => Ok(see_other(&format!("/items/{}?done=recorded", tag.as_str()))),
        Err(error) => {
            let back = FormErrors::of(error)?;
            let (work, item) = see_case::see_item(&app, &person, &tag).await?;
            let view = item_page(
                &app,
                &person,
                &work,
                &item,
                Some((&form.0, back.faults, back.refusals)),
            )?;
            let is_offered = view.actions.iter().any(|action| action.open);
            let status = if is_offered {
                back.status
            } else {
                StatusCode::CONFLICT
            };
            page_with(status, &view)
        }
    }
}

/// One arch of the form.
pub struct ArchForm {
    pub word: &'static str,
    pub title: &'static str,
    pub scan: ScanView,
    pub fields: Vec<FieldView>,
    pub from_paper: Folded,
    /// What was worn: from, to, and what.
    pub line: Vec<(String, String, String)>,
}

/// The line of an arch in words.
fn worn_line(work: &CaseWork, arch: Arch) -> Vec<(String, String, String)> {
    let told = |stretch: mouth::Stretch| {
        let words = match &stretch.wears {
            Wears::Unknown => "not known".to_owned(),
            Wears::Nothing => "nothing".to_owned(),
            Wears::Item(tag) => {
                let item = work.items.iter().find(|item| item.tag == *tag);
                format!("{} {tag}", item.map_or("", |item| item.kind.shown()))
            }
        };
        let at = |moment: Option<crate::domain::values::moment::Moment>, none: &str| {
            moment.map_or_else(|| none.to_owned(), |at| at.to_string())
        };
        (at(stretch.from, "before"), at(stretch.to, "now"), words)
    };
    mouth::timeline(&work.items, &work.state, arch)
        .into_iter()
        .map(told)
        .collect()
}

#[derive(Template)]
#[template(path = "mouth.html")]
pub struct MouthPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub mouth: Vec<(String, String)>,
    pub reminders: Vec<String>,
    pub refusals: Vec<String>,
    pub arches: Vec<ArchForm>,
    pub post_key: String,
}

fn arch_form(
    work: &CaseWork,
    person: &Person,
    arch: Arch,
    typed: &TypedForm,
    faults: &[Fault],
) -> ArchForm {
    let custody = &work.state.custody;
    let line = work.state.worn(&work.items);
    let worn = mouth::worn_in(&line, arch);
    let is_ready = |item: &&Item| {
        let state = custody.get(&item.tag);
        item.arch == Some(arch)
            && item.kind.is_wearable()
            && state.is_some_and(|state| {
                state.gone.is_none() && !state.worn && state.holder == Holder::Office
            })
    };
    let mut choices: Vec<(String, String)> = work
        .items
        .iter()
        .filter(is_ready)
        .map(|item| {
            (
                item.tag.as_str().to_owned(),
                format!("{} {}", item.kind.shown(), item.tag),
            )
        })
        .collect();
    if worn.is_some() {
        choices.push((
            "nothing".to_owned(),
            "nothing: taken out, and none put in".to_owned(),
        ));
    }
    let mut fields = vec![
        FieldView::choice("fit", "What goes in now", choices)
            .hint("What was worn comes out in the same step.")
            .needed(),
    ];
    // Messages and texts belong to the arch whose form was sent.
    let is_sent = typed.get("arch").is_some_and(|word| word == arch.word());
    let wants_cleaning = |item: &Item| change_mouth::wants_cleaning(work, item);
    let is_asked = is_sent && is_asked(typed, faults);
    if is_asked || work.items.iter().filter(is_ready).any(wants_cleaning) {
        // What came without a mark of it is held until it is disinfected: there is no way past that.
        let chosen = typed.get("fit").and_then(|word| Tag::parse(word).ok());
        let state = chosen.and_then(|tag| custody.get(&tag));
        let is_held = state.is_some_and(|state| state.held_for_disinfection);
        fields.extend(cleaning_fields(work, is_asked && !is_held));
    }
    if worn.is_some() && person.may(Permission::Sign) {
        fields.push(
            FieldView::text("reason", "Only for “nothing”: why the arch stays empty")
                .hint("An exception that you sign as the dentist."),
        );
        fields.push(
            FieldView::new(
                Input::Password,
                "password",
                "Your password again, for the exception",
            )
            .autocomplete("current-password"),
        );
    }
    let (nothing, none) = (TypedForm::new(), Vec::new());
    let mut fields = if is_sent {
        fill(fields, typed, faults)
    } else {
        fill(fields, &nothing, &none)
    };
    if is_sent {
        fields.extend(personal_data_check::tick(typed));
    }
    let mut hidden = FieldView::new(Input::Hidden, "worn", "");
    hidden.value = worn.map(|tag| tag.as_str().to_owned()).unwrap_or_default();
    fields.push(hidden);
    for field in &mut fields {
        // Two forms on one page: their fields need ids of their own.
        field.scope = arch.word();
    }
    ArchForm {
        word: arch.word(),
        title: arch.shown(),
        scan: ScanView::of(arch.word()),
        fields,
        from_paper: if is_sent {
            from_paper(typed, faults).scoped(arch.word())
        } else {
            from_paper(&nothing, &none).scoped(arch.word())
        },
        line: worn_line(work, arch),
    }
}

/// Whether a thing was to go in without a disinfection, or is said to have gone in so.
fn is_asked(typed: &TypedForm, faults: &[Fault]) -> bool {
    typed.contains_key(change_mouth::AS_IT_WAS) || faults.iter().any(|fault| fault.key == "agent")
}

/// The disinfection of what came from the lab; when it was asked for, the way to enter that there was none.
fn cleaning_fields(work: &CaseWork, is_asked: bool) -> Vec<FieldView> {
    let mut fields = disinfection_fields(work);
    if let Some(agent) = fields.first_mut() {
        "Disinfected here before it goes in: agent".clone_into(&mut agent.label);
        agent.hint = "For what came from the lab, whoever cleaned it there. Name on the bottle; the maker says what the material bears.".to_owned();
    }
    if is_asked {
        let label = "It went in without: enter it as it was";
        fields.push(tick(change_mouth::AS_IT_WAS, label));
    }
    fields
}

fn mouth_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    typed: &TypedForm,
    faults: &[Fault],
    refusals: Vec<String>,
) -> Result<MouthPage, WebError> {
    Ok(MouthPage {
        frame: Frame::new(app, person, "What the patient wears", ""),
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        mouth: mouth_words(work, &work.state),
        reminders: reminders(work, person.moment(app.outside.now_ms()).date()),
        refusals,
        arches: work
            .case
            .arches
            .treated()
            .iter()
            .map(|&arch| arch_form(work, person, arch, typed, faults))
            .collect(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

pub async fn mouth(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
) -> Result<Response, WebError> {
    let view = see_case::see(&app, &person, &number).await?;
    page(&mouth_page(
        &app,
        &person,
        &view.work,
        &TypedForm::new(),
        &[],
        Vec::new(),
    )?)
}

pub async fn change_mouth(
    State(app): State<App>,
    Signed(person): Signed,
    At(number): At<CaseNumber>,
    form: Typed,
) -> Result<Response, WebError> {
    if scan::asked(&form.0).is_some() {
        return scanned_mouth(&app, &person, &number, form.0).await;
    }
    let key = form.key()?;
    let command = change_mouth::change_mouth(&app, &person, &number, &form.0, &key);
    match after_check(&form, command).await {
        Ok(()) => Ok(see_other(&format!(
            "/cases/{}?done=recorded",
            number.as_str()
        ))),
        Err(error) => {
            let back = FormErrors::of(error)?;
            let view = see_case::see(&app, &person, &number).await?;
            page_with(
                back.status,
                &mouth_page(
                    &app,
                    &person,
                    &view.work,
                    &form.0,
                    &back.faults,
                    back.refusals,
                )?,
            )
        }
    }
}

/// Chooses the scanned denture in its arch and shows the form again; nothing is recorded.
async fn scanned_mouth(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    mut typed: TypedForm,
) -> Result<Response, WebError> {
    let view = see_case::see(app, person, number).await?;
    let word = typed.get("arch").map(String::as_str).unwrap_or_default();
    let arch = Arch::from_word(word).ok_or(AppError::NotFound)?;
    let (work, wanted) = (&view.work, Wanted::ToFit(arch));
    let chosen = |item: &Item| ("fit".to_owned(), item.tag.as_str().to_owned());
    let mut scan = scan::take(app, person, work, wanted, &mut typed, chosen).await?;
    let mut view = mouth_page(app, person, work, &typed, &[], Vec::new())?;
    let status = scan.status();
    if let Some(form) = view.arches.iter_mut().find(|form| form.word == arch.word()) {
        scan.scope = arch.word();
        form.scan = scan;
    }
    page_with(status, &view)
}
