//! An item's page, and what is recorded about it there.

use super::disinfection::suggest;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::{StateWord, item_line};
use crate::app::{App, AppError, Person, record_event, see_case, spare_card, waiting};
use crate::domain::custody::events::{Action, ItemAction, Withdrawn};
use crate::domain::custody::forms::{ACTION_KEY, RecordForm};
use crate::domain::custody::item::Item;
use crate::domain::custody::sets::set_name;
use crate::domain::custody::{Description, Event, What, describe};
use crate::domain::form::{Kind, Proof};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{HandoffId, Tag};
use crate::domain::values::tooth::Tooth;
use crate::web::command_field;
use crate::web::done::Done;
use crate::web::entry::{Folded, Unsaved, from_paper, instead, unsaved_words};
use crate::web::error::WebError;
use crate::web::extract::{At, On, Query, SignedIn, Typed};
use crate::web::field::{FieldView, fill};
use crate::web::frame::{Frame, page_with, see_other};
use crate::web::past::Past;
use crate::web::personal_data_check;
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use crate::web::waiting::Waiting;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// Something that can be recorded about an item now.
pub struct ActionView {
    pub word: &'static str,
    pub label: &'static str,
    pub hint: &'static str,
    /// What hangs on the item, where the action would end it.
    pub hangs: Vec<String>,
    pub fields: Vec<FieldView>,
    pub refusals: Vec<String>,
    pub open: bool,
    is_from_paper: bool,
    /// When it was done, if not now.
    pub from_paper: Option<Folded>,
    /// What the signature says, where the password signs it.
    pub meaning: &'static str,
}

/// An item: where and how it is, what can be recorded about it now, and all that happened to it.
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
    pub handoff: Option<HandoffId>,
    pub states: Vec<StateWord>,
    /// Whether there is a card for the patient, since it was given as the spare.
    pub has_card: bool,
    pub waiting: Waiting,
    pub actions: Vec<ActionView>,
    /// What stands against an action that is offered no more, and what was typed for it.
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    pub cautions: Vec<&'static str>,
    pub entries: EntryRows,
    pub carries: &'static str,
    pub handling: &'static str,
    pub note: String,
    /// What it was made from and what came of it.
    pub descent: Vec<Descent>,
    pub hands: String,
    pub past: Past,
    pub post_key: String,
}

/// Entries in words, the newest first.
#[derive(Template)]
#[template(path = "partials/entry_rows.html")]
pub struct EntryRows {
    pub lines: Vec<Description>,
}

/// One direction of the line through an item: tag, path and title of each.
pub struct Descent {
    pub title: &'static str,
    pub items: Vec<(String, String, String)>,
}

/// The line through the item, both ways, where there is one.
fn descent(work: &CaseWork, item: &Item) -> Vec<Descent> {
    let line = work.lineage(&item.tag);
    let named = |tag: &Tag| {
        let item = work.item(tag);
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

/// How often it has changed hands, and whose they were: the fewer the better.
fn hands(work: &CaseWork, item: &Item) -> String {
    let hands = work.handlers(&item.tag);
    let people = hands.people.len();
    let handed_over = match hands.handoffs {
        0 => "Not handed over yet".to_owned(),
        1 => "Handed over once".to_owned(),
        count => format!("Handed over {count} times"),
    };
    format!(
        "{handed_over}. In the hands of {people} {}: {}.",
        if people == 1 { "person" } else { "people" },
        hands.people.join("; ")
    )
}

/// What can be recorded about the item by this person, as it stands.
fn actions(app: &App, work: &CaseWork, item: &Item, person: &Person) -> Vec<ActionView> {
    let offers = work.offers_at(person, work.now(app));
    let view = |action: &'static Action<What>| {
        let entries = match action.word {
            Withdrawn::ACTION => offers.to_withdraw(&item.tag),
            _ => work.entries_of(&item.tag),
        };
        let mut fields: Vec<FieldView> = (action.fields.iter())
            .map(|spec| command_field::view(spec, &|kind| choices(work, item, &entries, kind)))
            .collect();
        suggest(work, &mut fields);
        if !action.means.is_empty() {
            fields.push(FieldView::under(Proof::password(), "").needed());
        }
        let mut view = ActionView {
            word: action.word,
            label: action.label,
            hint: action.hint,
            hangs: hangs(work, item, action),
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
    offers.about(&item.tag).into_iter().map(view).collect()
}

/// What is said before somebody signs that the item is no more: which one it is, and what hangs on it.
fn hangs(work: &CaseWork, item: &Item, action: &Action<What>) -> Vec<String> {
    if !action.ends_the_item {
        return Vec::new();
    }
    let named = format!("You sign this of {} {}.", item.title(), item.tag);
    let hangs = work.hangs_on(&item.tag);
    std::iter::once(named).chain(hangs).collect()
}

/// What a field chooses from: the other items of the case, or the entries about this one.
fn choices(work: &CaseWork, item: &Item, entries: &[&Event], kind: Kind) -> Vec<(String, String)> {
    let others = work.items.iter().filter(|one| one.tag != item.tag);
    match kind {
        Kind::Tag => others
            .map(|one| {
                let shown = format!("{} {}", one.title(), one.tag);
                (one.tag.as_str().to_owned(), shown)
            })
            .collect(),
        Kind::Entry => entries
            .iter()
            .map(|event| {
                let description = describe(&work.items, event);
                (
                    event.id.to_string(),
                    format!("{} {}", description.when, description.what),
                )
            })
            .collect(),
        Kind::Listed => teeth(work, item),
        _ => Vec::new(),
    }
}

/// The teeth of an item's arch, as the office counts them.
fn teeth(work: &CaseWork, item: &Item) -> Vec<(String, String)> {
    let of_arch = |tooth: &Tooth| item.arch.is_none_or(|arch| arch == tooth.arch());
    let shown = |tooth: Tooth| (tooth.to_string(), tooth.shown(work.office.numbering));
    Tooth::all().filter(of_arch).map(shown).collect()
}

impl ActionView {
    /// Ids of its own, since several actions ask for the same; and the entry from paper at its end.
    fn set_apart(&mut self, typed: &TypedForm, faults: &[Fault]) {
        for field in &mut self.fields {
            field.scope = self.word.into();
        }
        self.from_paper = self
            .is_from_paper
            .then(|| from_paper(typed, faults).scoped(self.word));
    }
}

/// Puts what was typed into its form again, with what is wrong with it; of an action that is offered no more, what is
/// said on top, and what was typed.
fn put_back(actions: &mut [ActionView], tried: Tried) -> (Vec<String>, Unsaved) {
    let Tried {
        typed,
        faults,
        refusals,
    } = tried;
    let word = typed.get(ACTION_KEY).cloned().unwrap_or_default();
    let Some(action) = actions.iter_mut().find(|action| action.word == word) else {
        // The item has changed since its page was read.
        let against = match refusals.is_empty() {
            true => vec!["This cannot be recorded about the item as it stands now.".to_owned()],
            false => refusals,
        };
        let unsaved = Unsaved {
            texts: unsaved_words(&typed, &RecordForm::field_sets()),
            instead: instead::OF_AN_ITEM,
        };
        return (against, unsaved);
    };
    action.fields = fill(std::mem::take(&mut action.fields), &typed, &faults);
    action.refusals = refusals;
    action.fields.extend(personal_data_check::tick_for(
        &typed,
        &RecordForm::field_sets(),
    ));
    action.set_apart(&typed, &faults);
    action.open = true;
    (Vec::new(), Unsaved::default())
}

fn item_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    item: &Item,
    tried: Option<Tried>,
) -> Result<ItemPage, WebError> {
    let today = work.now(app).date();
    let line = item_line(work, item, today)
        .ok_or_else(|| AppError::Inner(format!("{} has no state", item.tag)))?;
    let mut actions = actions(app, work, item, person);
    let put_back = tried.map(|tried| put_back(&mut actions, tried));
    let (against, unsaved) = put_back.unwrap_or_default();
    let entries = work.entries_about(&item.tag).rev();
    Ok(ItemPage {
        frame: Frame::of_case(app, person, work, format!("{} {}", item.title(), item.tag))?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        tag: item.tag.to_string(),
        path_tag: item.tag.as_str().to_owned(),
        title: item.title(),
        pieces: line.pieces,
        descent: descent(work, item),
        hands: hands(work, item),
        past: Past::default(),
        holder: line.holder,
        set: set_name(&work.items, &item.tag).map(|name| name.to_lowercase()),
        ended: work.ending(&item.tag),
        handoff: work.handoff_of(&item.tag).cloned(),
        states: line.states,
        has_card: work.side == Side::Office && spare_card::given(work, item).is_some(),
        waiting: Waiting {
            lines: waiting::of_item(work, &item.tag, today),
            questions: format!("/cases/{}/questions", work.case.number.as_str()),
        },
        actions,
        refusals: against,
        unsaved,
        cautions: vec![
            "Gloves and eye protection with disinfectants; never mix them. Treat what you are not sure of as contaminated.",
        ],
        entries: EntryRows {
            lines: entries.map(|event| work.describe(event)).collect(),
        },
        carries: item.kind.carries(),
        handling: item.kind.handling(),
        note: item.note.clone(),
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}

/// Shows the item; 422 where the moment that is asked about cannot be read.
pub async fn page_of(
    State(app): State<App>,
    SignedIn(person): SignedIn,
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

/// The short address that a tag's QR code holds: where the item is on its way to this house, the receipt of its
/// parcel with this item compared; otherwise its page.
pub async fn short(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(tag): At<Tag>,
) -> Response {
    let own = format!("/items/{}", tag.as_str());
    let Ok((work, _)) = see_case::see_item(&app, &person, &tag).await else {
        return see_other(&own);
    };
    let offers = work.offers(&app, &person);
    let mut awaited = offers.to_receive().into_iter();
    match awaited.find(|handoff| handoff.outstanding().contains(&&tag)) {
        Some(handoff) => see_other(&format!("/handoffs/{}?here={}", handoff.id, tag.as_str())),
        None => see_other(&own),
    }
}

/// Records one action and leads back to the item, or shows its form with what is wrong.
pub async fn record(on: On<Tag>, form: Typed) -> Result<Response, WebError> {
    let (key, tag) = (form.key()?, &on.at);
    let done = async {
        let read = |raw: &_, faults: &mut _| RecordForm::read(tag, raw, faults);
        let command = form.read_as(&RecordForm::field_sets(), read)?;
        record_event::record(&on.app, &on.person, tag, &command, &key).await
    };
    match done.await {
        Ok(()) => {
            let own = format!("/items/{}", tag.as_str());
            Ok(see_other(&Done::Recorded.at(&own)))
        }
        Err(error) => not_recorded(&on, form.0, error).await,
    }
}

/// The form of an action with what is wrong; where it is offered no more, 409 and what was typed stands there to be
/// copied.
async fn not_recorded(
    on: &On<Tag>,
    typed: TypedForm,
    error: AppError,
) -> Result<Response, WebError> {
    let (status, tried) = Tried::of(typed, error)?;
    let (work, item) = see_case::see_item(&on.app, &on.person, &on.at).await?;
    let view = item_page(&on.app, &on.person, &work, &item, Some(tried))?;
    match view.actions.iter().any(|action| action.open) {
        true => page_with(status, &view),
        false => page_with(StatusCode::CONFLICT, &view),
    }
}
