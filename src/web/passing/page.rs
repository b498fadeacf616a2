//! The page of work that is passed on: each authorisation with where its things are and what can be said of it.

use crate::app::authorization;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::{passed_words, title_and_tag};
use crate::app::see_case::{CaseView, see};
use crate::app::{App, AppError, Person, passing};
use crate::domain::custody::events::MEANS_PASSED_ON;
use crate::domain::custody::forms::{
    AuthorityForm, CameForm, EndPassForm, GoesForm, ITEMS, PassAnswerForm, PassMoveForm,
    PassOnForm, WayForm,
};
use crate::domain::custody::item::Item;
use crate::domain::custody::{
    CaseStep, Holder, Offers, Outcome, PassAnswer, PassEnd, PassLeg, PassedWork,
};
use crate::domain::form::{FieldSet, FieldSpec, Form};
use crate::domain::people::access::Permission;
use crate::domain::people::party::{Party, Side};
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::{day_in_words, days_off};
use crate::web::entry::{Folded, Unsaved, from_paper, unsaved_words};
use crate::web::error::WebError;
use crate::web::field::{Choice, FieldView, fields_under, fill};
use crate::web::frame::Frame;
use crate::web::personal_data_check;
use crate::web::tried::Tried;
use askama::Template;
use time::Date;

/// A thing in a form: its words, and what is asked of it.
pub struct ThingRow {
    pub words: String,
    pub fields: Vec<FieldView>,
}

/// A form of one authorisation.
pub struct PassForm {
    pub title: &'static str,
    /// Where it is sent.
    pub action: String,
    /// Sets its post apart from the others of the page.
    pub word: String,
    /// What it carries: key and value.
    pub hidden: Vec<(&'static str, String)>,
    pub open: bool,
    pub rows: Vec<ThingRow>,
    pub fields: Vec<FieldView>,
    pub late: Option<Folded>,
    pub meaning: &'static str,
    pub button: &'static str,
}

/// One authorisation as it stands.
pub struct PassRow {
    pub title: String,
    pub lab: String,
    pub paper: String,
    pub is_open: bool,
    pub task: String,
    /// What is said of it, a sentence each.
    pub words: Vec<String>,
    /// The sentence that holds it up; empty for most.
    pub caution: String,
    /// Where each of its things is.
    pub things: Vec<(String, String)>,
    pub forms: Vec<PassForm>,
}

#[derive(Template)]
#[template(path = "passed.html")]
pub struct PassingPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub is_lab: bool,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    pub rows: Vec<PassRow>,
    /// None where nothing can be passed on now.
    pub new: Option<PassForm>,
    /// Why the office agrees first; empty where it is told only.
    pub consent: String,
    pub post_key: String,
}

/// What the page is made of.
pub(super) struct Input<'a> {
    pub app: &'a App,
    pub work: &'a CaseWork,
    pub offers: &'a Offers<'a>,
    pub labs: &'a [Party],
    pub tried: &'a Tried,
    pub today: Date,
    /// Where its forms are sent, but for their last part.
    pub path: String,
}

impl Input<'_> {
    /// What was typed into the form that carries these keys and values.
    fn tried(&self, hidden: &[(&'static str, String)]) -> &Tried {
        let typed = &self.tried.typed;
        let is_it = hidden
            .iter()
            .all(|(key, value)| typed.get(*key).map(String::as_str).unwrap_or_default() == value);
        let is_sent = hidden.iter().any(|(key, _)| typed.contains_key(*key));
        self.tried.only_if(is_it && is_sent)
    }
}

fn scoped(fields: Vec<FieldView>, scope: &str) -> Vec<FieldView> {
    let own = |mut field: FieldView| {
        field.scope = scope.to_owned().into();
        field
    };
    fields.into_iter().map(own).collect()
}

fn fields_of(specs: &[FieldSpec], sets: &[FieldSet], tried: &Tried) -> Vec<FieldView> {
    let mut fields = fill(fields_under(specs, ""), &tried.typed, &tried.faults);
    fields.extend(personal_data_check::tick_for(&tried.typed, sets));
    fields
}

/// A thing with a tick, which is set until somebody takes it away.
fn tick_row(input: &Input<'_>, tag: &Tag, tried: &Tried, is_ticked: bool) -> ThingRow {
    let under = format!("{}.", tag.as_str());
    let mut field = FieldView::under(GoesForm::goes(), &under).filled(&tried.typed, &tried.faults);
    if tried.typed.is_empty() && is_ticked {
        field.value = "yes".to_owned();
    }
    ThingRow {
        words: String::new(),
        fields: vec![field.label(&title_and_tag(input.work, tag))],
    }
}

/// A thing of which is said how it came.
fn came_row(input: &Input<'_>, tag: &Tag, tried: &Tried) -> ThingRow {
    let under = format!("{}.", tag.as_str());
    let mut fields = fill(
        fields_under(CameForm::FIELDS, &under),
        &tried.typed,
        &tried.faults,
    );
    if let (true, Some(first)) = (tried.typed.is_empty(), fields.first_mut()) {
        first.value = Outcome::Sound.word().to_owned();
        for choice in &mut first.choices {
            choice.chosen = choice.word == first.value;
        }
    }
    ThingRow {
        words: title_and_tag(input.work, tag),
        fields,
    }
}

fn specs_of_way(leg: PassLeg) -> Vec<FieldSpec> {
    match leg {
        PassLeg::Left | PassLeg::SetOff => {
            vec![*WayForm::pass_carrier(), *WayForm::pass_person()]
        }
        PassLeg::Arrived | PassLeg::Home => vec![*WayForm::pass_person()],
    }
}

/// What a stretch of the way is called, and its button.
fn way_words(leg: PassLeg) -> (&'static str, &'static str) {
    match leg {
        PassLeg::Left => ("Hand to the carrier", "Handed to the carrier"),
        PassLeg::Arrived => ("Received at the second lab", "It has arrived there"),
        PassLeg::SetOff => ("Handed to the carrier there", "It is on its way back"),
        PassLeg::Home => ("Check in what came back", "Check in"),
    }
}

pub(super) fn move_form(input: &Input<'_>, pass: &PassedWork, leg: PassLeg) -> Option<PassForm> {
    let tags = input.offers.to_move(pass, leg);
    if tags.is_empty() {
        return None;
    }
    let hidden = vec![
        (WayForm::moved_pass().key, pass.event.to_string()),
        (WayForm::moved_leg().key, leg.word().to_owned()),
    ];
    let tried = input.tried(&hidden);
    let row = |tag: &&Tag| match leg.is_receipt() {
        true => came_row(input, tag, tried),
        false => tick_row(input, tag, tried, true),
    };
    let word = format!("{}-{}", leg.word(), pass.event);
    let mut rows: Vec<ThingRow> = tags.iter().map(row).collect();
    for row in &mut rows {
        row.fields = scoped(std::mem::take(&mut row.fields), &word);
    }
    let sets = PassMoveForm::field_sets();
    let fields = fields_of(&specs_of_way(leg), &sets, tried);
    let late = from_paper(&tried.typed, &tried.faults).scoped(word.clone());
    let (title, button) = way_words(leg);
    Some(PassForm {
        title,
        action: format!("{}/move", input.path),
        hidden,
        open: !tried.typed.is_empty(),
        rows,
        fields: scoped(fields, &word),
        late: Some(late),
        meaning: "",
        button,
        word,
    })
}

fn end_form(input: &Input<'_>, pass: &PassedWork) -> PassForm {
    let hidden = vec![(EndPassForm::ended_pass().key, pass.event.to_string())];
    let tried = input.tried(&hidden);
    let word = format!("end-{}", pass.event);
    let sets = EndPassForm::field_sets();
    let fields = fields_of(&[*EndPassForm::ended_why()], &sets, tried);
    PassForm {
        title: "End it: nothing goes there any more",
        action: format!("{}/end", input.path),
        hidden,
        open: !tried.typed.is_empty(),
        rows: Vec::new(),
        fields: scoped(fields, &word),
        late: None,
        meaning: "",
        button: "End it",
        word,
    }
}

fn answer_form(input: &Input<'_>, pass: &PassedWork) -> PassForm {
    let hidden = vec![(PassAnswerForm::answered_pass().key, pass.event.to_string())];
    let tried = input.tried(&hidden);
    let word = format!("answer-{}", pass.event);
    let specs = [*PassAnswerForm::pass_answer(), *PassAnswerForm::pass_note()];
    let mut fields = fields_of(&specs, &PassAnswerForm::field_sets(), tried);
    let told = !pass.needs_consent && pass.reply.is_none() && tried.typed.is_empty();
    if let (true, Some(first)) = (told, fields.first_mut()) {
        first.value = PassAnswer::Agreed.word().to_owned();
        for choice in &mut first.choices {
            choice.chosen = choice.word == first.value;
        }
    }
    PassForm {
        title: match pass.reply {
            None => "Your word",
            Some(_) => "Change your word: nothing has gone yet",
        },
        action: format!("{}/answer", input.path),
        hidden,
        open: pass.reply.is_none() || !tried.typed.is_empty(),
        rows: Vec::new(),
        fields: scoped(fields, &word),
        late: None,
        meaning: "",
        button: "Tell the lab",
        word,
    }
}

/// The form that passes work on: anew, or in place of an authorisation of which things are away.
fn pass_form(input: &Input<'_>, earlier: Option<&PassedWork>) -> PassForm {
    let id = earlier.map_or_else(String::new, |one| one.event.to_string());
    let hidden = vec![
        (AuthorityForm::instead_of().key, id.clone()),
        (
            AuthorityForm::pass_revision().key,
            input.work.case.revision.to_string(),
        ),
    ];
    let key = AuthorityForm::instead_of().key;
    let is_sent = input.tried.typed.get(key) == Some(&id);
    let tried = input.tried.only_if(is_sent);
    let word = format!("new-{id}");
    let named = |spec: &FieldSpec| {
        let key = spec.key;
        let of_lab = [
            AuthorityForm::second_party().key,
            AuthorityForm::second_name().key,
            AuthorityForm::second_address().key,
            AuthorityForm::second_licence().key,
        ];
        let is_carried = hidden.iter().any(|(one, _)| *one == key);
        let is_without = key == AuthorityForm::second_party().key && input.labs.is_empty();
        !(is_carried || is_without || earlier.is_some() && of_lab.contains(&key))
    };
    let specs: Vec<FieldSpec> = AuthorityForm::FIELDS
        .iter()
        .filter(|spec| named(spec))
        .copied()
        .collect();
    let mut fields = fields_of(&specs, &PassOnForm::field_sets(), tried);
    for field in &mut fields {
        if field.key == AuthorityForm::second_party().key {
            let choice = |party: &Party| {
                let mut choice = Choice::new(party.id.to_string(), party.name.clone());
                choice.chosen = choice.word == field.value;
                choice
            };
            field.choices = input.labs.iter().map(choice).collect();
        }
        if tried.typed.is_empty() {
            before(field, input, earlier);
        }
    }
    let mut rows: Vec<ThingRow> = match earlier {
        Some(_) => Vec::new(),
        None => {
            let items = input.offers.to_pass_on().into_iter();
            let row = |item: &Item| tick_row(input, &item.tag, tried, false);
            items.map(row).collect()
        }
    };
    for row in &mut rows {
        row.fields = scoped(std::mem::take(&mut row.fields), &word);
    }
    PassForm {
        title: match earlier {
            Some(_) => "Pass on anew, to the revision in force",
            None => "Pass work on to a second laboratory",
        },
        action: input.path.clone(),
        hidden,
        open: !tried.typed.is_empty() || earlier.is_none() && input.work.state.passes.is_empty(),
        rows,
        fields: scoped(fields, &word),
        late: None,
        meaning: MEANS_PASSED_ON,
        button: "Pass it on",
        word,
    }
}

/// What stands in a field before anything is typed: the arches of the case, or what the earlier one says.
fn before(field: &mut FieldView, input: &Input<'_>, earlier: Option<&PassedWork>) {
    let key = field.key.as_str();
    if key == AuthorityForm::pass_arches().key {
        let arches = earlier.map_or(input.work.case.arches, |one| one.arches);
        field.value = arches.word().to_owned();
        for choice in &mut field.choices {
            choice.chosen = choice.word == field.value;
        }
    } else if let (true, Some(one)) = (key == AuthorityForm::pass_task().key, earlier) {
        field.value = one.task.clone();
    }
}

/// How it stands, a sentence each.
fn words(input: &Input<'_>, pass: &PassedWork) -> Vec<String> {
    let (today, lab) = (input.today, &input.work.lab.name);
    let mut words = vec![format!(
        "{} on {}, to revision {}, {}.",
        pass.by,
        pass.at,
        pass.revision,
        pass.arches.shown()
    )];
    match &pass.ended {
        Some((at, PassEnd::Back)) => words.push(format!("All of it is back at {lab} since {at}.")),
        Some((at, PassEnd::Ended)) => words.push(format!("Ended by {lab} on {at}.")),
        Some((at, PassEnd::Anew)) => words.push(format!("Passed on anew on {at}.")),
        None => words.push(format!(
            "Wanted back at {lab} on {}, {}.",
            day_in_words(pass.wanted, today),
            days_off(pass.wanted, today)
        )),
    }
    words.push(match (&pass.reply, pass.needs_consent) {
        (Some(reply), _) => format!("{}: {}, on {}.", reply.by, reply.answer.shown(), reply.at),
        (None, true) => "The office has not agreed yet.".to_owned(),
        (None, false) => {
            "The office is told by this; it has not said anything to it yet.".to_owned()
        }
    });
    let note = pass.reply.as_ref().map(|reply| reply.note.clone());
    words.extend(
        note.filter(|note| !note.is_empty())
            .map(|note| format!("“{note}”")),
    );
    words
}

fn caution(input: &Input<'_>, pass: &PassedWork) -> String {
    let newest = input.work.case.revision;
    if !pass.is_open() {
        String::new()
    } else if pass.is_refused() {
        "The office has said no: nothing more goes there, and what is there comes back.".to_owned()
    } else if pass.awaits_consent() {
        "Nothing goes before the office has agreed.".to_owned()
    } else if pass.revision < newest {
        format!(
            "{} works to revision {}, and revision {newest} is in force: the second lab has to hear of it.",
            pass.to.name, pass.revision
        )
    } else {
        String::new()
    }
}

fn pass_row(input: &Input<'_>, pass: &PassedWork) -> PassRow {
    let (work, offers) = (input.work, input.offers);
    let place = |tag: &Tag| {
        let state = work.state.item(tag);
        let words = match state.map(|state| (state.gone.is_some(), state.holder)) {
            Some((false, Holder::Passed(place))) => passed_words(work, tag, place),
            Some((false, holder)) => holder.place().to_owned(),
            _ => "no more".to_owned(),
        };
        let is_missing = state.is_some_and(|state| state.missing);
        let missing = if is_missing { ", missing" } else { "" };
        (title_and_tag(work, tag), format!("{words}{missing}"))
    };
    let mut forms = Vec::new();
    if pass.is_open() {
        let ways = PassLeg::ALL.iter();
        forms.extend(ways.filter_map(|leg| move_form(input, pass, *leg)));
        let is_older = pass.revision < work.case.revision;
        if is_older && offers.has(CaseStep::PassAnew(pass)) {
            forms.insert(0, pass_form(input, Some(pass)));
        }
        if offers.has(CaseStep::AnswerPass(pass)) {
            forms.push(answer_form(input, pass));
        }
        if offers.has(CaseStep::EndPass(pass)) {
            forms.push(end_form(input, pass));
        }
    }
    PassRow {
        title: authorization::title(work, &pass.event),
        lab: pass.to.name.clone(),
        paper: format!(
            "/cases/{}/passed/{}/authorization.pdf",
            work.case.number.as_str(),
            pass.event
        ),
        is_open: pass.is_open(),
        task: pass.task.clone(),
        words: words(input, pass),
        caution: caution(input, pass),
        things: pass.items.iter().map(place).collect(),
        forms,
    }
}

/// Why things of an authorisation cannot go now, though nothing else holds them up.
fn held_up(input: &Input<'_>) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let open = input.work.state.open_passes();
    for pass in open.filter(|one| !one.awaits_consent() && !one.is_refused()) {
        for tag in pass.ready(&input.work.state, PassLeg::Left) {
            let step = CaseStep::PassMove(pass, PassLeg::Left, tag);
            let against = input.offers.against(step).into_iter();
            words.extend(against.map(|one| one.sentence));
        }
    }
    words.dedup();
    words
}

/// The whole page.
pub async fn passing_page(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    tried: &Tried,
) -> Result<PassingPage, WebError> {
    let view: CaseView = see(app, person, number).await?;
    let work = &view.work;
    let labs = passing::other_labs(app, work).await?;
    let document = view.documents()?.pop();
    let consent = passing::consent_asked(app, work, document.as_ref());
    let offers = work.offers(app, person);
    let input = Input {
        app,
        work,
        offers: &offers,
        labs: &labs,
        tried,
        today: work.now(app).date(),
        path: format!("/cases/{}/passed", work.case.number.as_str()),
    };
    let is_lab = work.side == Side::Lab;
    let may = person.may(Permission::HandleItems);
    let is_signed = work.case.revision > 0;
    let can_pass = may && is_lab && is_signed && !offers.to_pass_on().is_empty();
    let mut rows: Vec<PassRow> = work
        .state
        .passes
        .iter()
        .rev()
        .map(|one| pass_row(&input, one))
        .collect();
    rows.sort_by_key(|row| !row.is_open);
    let new = can_pass.then(|| pass_form(&input, None));
    let mut refusals = tried.refusals.clone();
    let of_all = tried.faults.iter().filter(|fault| fault.key == ITEMS);
    refusals.extend(of_all.map(|fault| fault.message.clone()));
    let mut forms = rows.iter().flat_map(|row| &row.forms).chain(&new);
    let is_over = !tried.typed.is_empty()
        && !forms.any(|form| form.open && !input.tried(&form.hidden).typed.is_empty());
    let sets = [
        PassOnForm::field_sets(),
        PassAnswerForm::field_sets(),
        PassMoveForm::field_sets(),
        EndPassForm::field_sets(),
    ];
    if is_lab && refusals.is_empty() {
        refusals = held_up(&input);
    }
    Ok(PassingPage {
        frame: Frame::of_case(app, person, work, "Second laboratory")?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        is_lab,
        refusals,
        unsaved: Unsaved {
            texts: match is_over {
                true => unsaved_words(&tried.typed, &sets.concat()),
                false => Vec::new(),
            },
        },
        rows,
        new,
        consent: consent.unwrap_or_default(),
        post_key: input.app.outside.token().map_err(AppError::from)?,
    })
}
