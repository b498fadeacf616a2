//! The forms of work that is passed on: the authorisation itself, the word of the office, each stretch of the way, the
//! end.

use super::sees::SeesView;
use crate::app::App;
use crate::app::case_work::CaseWork;
use crate::app::custody_words::{title_and_tag, title_of, wrong_words};
use crate::domain::custody::events::MEANS_WITHDRAWN;
use crate::domain::custody::forms::{
    CameForm, EndPassForm, GoesForm, PassAnswerForm, PassAskForm, PassMistakeForm, PassMoveForm,
    WayForm,
};
use crate::domain::custody::{Offers, Outcome, PassAnswer, PassLeg, PassedWork};
use crate::domain::form::{FieldSpec, Form};
use crate::domain::people::party::Party;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::web::entry::{Folded, from_paper};
use crate::web::field::{Choice, FieldView, fields_under, fill};
use crate::web::personal_data_check::fields_of;
use crate::web::tried::Tried;
use time::Date;

/// An item in a form: its words, and what is asked of it.
pub struct PassingItem {
    pub words: String,
    /// The arch that it is of, as a stored word; empty of an item of no arch, such as a bite record.
    pub arch: &'static str,
    pub fields: Vec<FieldView>,
}

/// An item with where it is, and what is the matter with it.
pub struct PlacedItem {
    pub title: String,
    pub tag: String,
    pub place: String,
}

impl PlacedItem {
    /// An item of the case at this place.
    pub(super) fn of(work: &CaseWork, tag: &Tag, place: &str) -> PlacedItem {
        let missing = work.is_missing(tag).then(|| "missing".to_owned());
        let wrong = Some(wrong_words(work, tag)).filter(|words| !words.is_empty());
        let words = [Some(place.to_owned()), missing, wrong];
        PlacedItem {
            title: title_of(work, tag),
            tag: tag.to_string(),
            place: words.into_iter().flatten().collect::<Vec<_>>().join(", "),
        }
    }
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
    pub rows: Vec<PassingItem>,
    /// What would be seen of the prescription; none in a form that passes nothing on.
    pub sees: Option<SeesView>,
    pub fields: Vec<FieldView>,
    pub late: Option<Folded>,
    pub meaning: &'static str,
    pub button: &'static str,
}

/// What the page is made of.
pub(super) struct PassInput<'a> {
    pub app: &'a App,
    pub work: &'a CaseWork,
    pub offers: &'a Offers<'a>,
    pub labs: &'a [Party],
    pub tried: &'a Tried,
    pub today: Date,
    /// Where its forms are sent, but for their last part.
    pub path: String,
}

impl PassInput<'_> {
    /// What was typed into the form that carries these keys and values.
    pub fn tried(&self, hidden: &[(&'static str, String)]) -> &Tried {
        let typed = &self.tried.typed;
        let is_it = hidden
            .iter()
            .all(|(key, value)| typed.get(*key).map(String::as_str).unwrap_or_default() == value);
        let is_sent = hidden.iter().any(|(key, _)| typed.contains_key(*key));
        self.tried.only_if(is_it && is_sent)
    }
}

/// The fields of a form that may stand beside another one with the same keys.
pub(super) fn scoped(fields: Vec<FieldView>, scope: &str) -> Vec<FieldView> {
    let own = |mut field: FieldView| {
        field.scope = scope.to_owned().into();
        field
    };
    fields.into_iter().map(own).collect()
}

/// A thing with a tick, which is set until somebody takes it away.
pub(super) fn tick_row(
    input: &PassInput<'_>,
    tag: &Tag,
    tried: &Tried,
    is_ticked: bool,
) -> PassingItem {
    let under = format!("{}.", tag.as_str());
    let mut field = FieldView::under(GoesForm::goes(), &under).filled(&tried.typed, &tried.faults);
    if tried.typed.is_empty() && is_ticked {
        field.value = "yes".to_owned();
    }
    PassingItem {
        words: String::new(),
        arch: arch_of(input, tag),
        fields: vec![field.label(&title_and_tag(input.work, tag))],
    }
}

fn arch_of(input: &PassInput<'_>, tag: &Tag) -> &'static str {
    let arch = input.work.item(tag).and_then(|item| item.arch);
    arch.map_or("", Arch::word)
}

/// A thing of which is said how it came.
fn came_row(input: &PassInput<'_>, tag: &Tag, tried: &Tried) -> PassingItem {
    let under = format!("{}.", tag.as_str());
    let mut fields = fill(
        fields_under(CameForm::FIELDS, &under),
        &tried.typed,
        &tried.faults,
    );
    let wrong = wrong_words(input.work, tag);
    let mut words = title_and_tag(input.work, tag);
    if wrong.is_empty() {
        let right = format!("{under}{}", CameForm::came_right().key);
        fields.retain(|field| field.key != right);
    } else {
        words = format!("{words}, {wrong}");
    }
    // Nothing is said to have come before somebody says it; what is the matter already is nobody's finding of now.
    if let Some(first) = fields.first_mut().filter(|_| !wrong.is_empty()) {
        for choice in &mut first.choices {
            if choice.word == Outcome::Sound.word() {
                choice.shown = "nothing new the matter with it".into();
            }
        }
    }
    let arch = arch_of(input, tag);
    PassingItem {
        words,
        arch,
        fields,
    }
}

fn specs_of_way(leg: PassLeg) -> Vec<FieldSpec> {
    match leg {
        PassLeg::Left | PassLeg::SetOff => {
            vec![*WayForm::pass_carrier(), *WayForm::pass_person()]
        }
        PassLeg::Arrived | PassLeg::Home => {
            vec![*WayForm::rest_came(), *WayForm::pass_person()]
        }
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

/// The form for one stretch of the way; none where nothing can go it now.
pub(super) fn move_form(
    input: &PassInput<'_>,
    pass: &PassedWork,
    leg: PassLeg,
) -> Option<PassForm> {
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
    let mut rows: Vec<PassingItem> = tags.iter().map(row).collect();
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
        sees: None,
        fields: scoped(fields, &word),
        late: Some(late),
        meaning: "",
        button,
        word,
    })
}

/// The form by which an authorisation is ended.
pub(super) fn end_form(input: &PassInput<'_>, pass: &PassedWork) -> PassForm {
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
        sees: None,
        fields: scoped(fields, &word),
        late: None,
        meaning: "",
        button: "End it",
        word,
    }
}

/// The form by which the office says whether it may be.
pub(super) fn answer_form(input: &PassInput<'_>, pass: &PassedWork) -> PassForm {
    let hidden = vec![(PassAnswerForm::answered_pass().key, pass.event.to_string())];
    let tried = input.tried(&hidden);
    let word = format!("answer-{}", pass.event);
    let specs = [*PassAnswerForm::pass_answer(), *PassAnswerForm::pass_note()];
    let mut fields = fields_of(&specs, &PassAnswerForm::field_sets(), tried);
    let described = !pass.needs_consent && pass.reply.is_none() && tried.typed.is_empty();
    if let (true, Some(first)) = (described, fields.first_mut()) {
        first.value = PassAnswer::Agreed.word().to_owned();
        for choice in &mut first.choices {
            choice.chosen = choice.word == first.value;
        }
    }
    PassForm {
        title: match pass.reply {
            None => "Your answer",
            Some(_) => "Change your answer: nothing has gone yet",
        },
        action: format!("{}/answer", input.path),
        hidden,
        open: pass.reply.is_none() || !tried.typed.is_empty(),
        rows: Vec::new(),
        sees: None,
        fields: scoped(fields, &word),
        late: None,
        meaning: "",
        button: "Tell the lab",
        word,
    }
}

/// A question of the second laboratory.
pub(super) fn ask_form(input: &PassInput<'_>) -> PassForm {
    let key = PassAskForm::pass_question().key;
    let tried = input.tried.only_if(input.tried.typed.contains_key(key));
    PassForm {
        title: "Ask the laboratory that has passed it on",
        action: format!("{}/ask", input.path),
        hidden: Vec::new(),
        open: !tried.typed.is_empty(),
        rows: Vec::new(),
        sees: None,
        fields: fields_of(PassAskForm::FIELDS, &PassAskForm::field_sets(), tried),
        late: None,
        meaning: "",
        button: "Ask",
        word: "ask".to_owned(),
    }
}

/// Entries of its own that the second laboratory can withdraw as mistakes now; none where there is none.
pub(super) fn mistake_form(input: &PassInput<'_>, pass: &PassedWork) -> Option<PassForm> {
    let work = input.work;
    let moves = input.offers.moves_to_withdraw(pass).into_iter();
    let choices: Vec<Choice> = moves
        .map(|event| {
            let described = work.describe(event);
            Choice::new(
                event.id.as_str(),
                format!("{} {}", described.when, described.what),
            )
        })
        .collect();
    if choices.is_empty() {
        return None;
    }
    let key = PassMistakeForm::mistaken_entry().key;
    let tried = input.tried.only_if(input.tried.typed.contains_key(key));
    let sets = PassMistakeForm::field_sets();
    let mut fields = fields_of(PassMistakeForm::FIELDS, &sets, tried);
    for field in fields.iter_mut().filter(|field| field.key == key) {
        field.choices.clone_from(&choices);
        field.mark_chosen();
    }
    Some(PassForm {
        title: "Withdraw an entry made by mistake",
        action: format!("{}/withdraw", input.path),
        hidden: Vec::new(),
        open: !tried.typed.is_empty(),
        rows: Vec::new(),
        sees: None,
        fields: scoped(fields, "mistake"),
        late: None,
        meaning: MEANS_WITHDRAWN,
        button: "Withdraw it",
        word: "mistake".to_owned(),
    })
}
