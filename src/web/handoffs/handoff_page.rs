//! The page of a handoff: what was sent and found, the receipt where it is this person's, and what its sender can
//! still do.

use super::receipt_form::{
    AwaitedParcel, ReceiveRow, extra_fold, parcel_forms, parcel_words, receive_folds, receive_rows,
    unsaved_receipt,
};
use super::release::anyway;
use crate::app::as_it_came::in_a_parcel;
use crate::app::case_overview::pick_up_words;
use crate::app::case_work::CaseWork;
use crate::app::{App, AppError, Person, waiting};
use crate::domain::custody::events::taken_back_means;
use crate::domain::custody::forms::{
    ExceptionForm, PickUpForm, ReceiptForm, TakeBackForm, TakenForm,
};
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::{CaseStep, CustodyRule, Offers};
use crate::domain::form::{Form, Proof};
use crate::domain::people::party::Side;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;
use crate::web::entry::{Folded, Unsaved, from_paper, instead, password_again, unsaved_words};
use crate::web::error::WebError;
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::frame::Frame;
use crate::web::personal_data_check;
use crate::web::scan::ScanView;
use crate::web::tried::Tried;
use crate::web::typed_form::TypedForm;
use askama::Template;

/// One handoff: what travels, and what its sender or receiver can do.
#[derive(Template)]
#[template(path = "handoff.html")]
pub struct HandoffPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub path: String,
    pub known: HandoffKnown,
    /// It is here, or it is not, and by the entries it still waits at its sender's.
    pub is_packed: bool,
    pub may_receive: bool,
    pub why_not: String,
    pub scan: ScanView,
    pub refusals: Vec<String>,
    pub parcel_forms: Vec<AwaitedParcel>,
    pub rows: Vec<ReceiveRow>,
    /// What came along and was not announced.
    pub extra: Folded,
    pub folds: Vec<Folded>,
    pub proof: Vec<FieldView>,
    /// What the second of two receivers typed, who finds everything received.
    pub unsaved: Unsaved,
    /// Offered to the sender while it waits for the carrier.
    pub pick_up: Option<PickUpView>,
    /// Offered to the sender while what is in it is not received.
    pub take_back: Option<TakeBackView>,
    pub post_key: String,
}

/// What is known of a handoff, whoever looks.
pub struct HandoffKnown {
    pub from: String,
    pub to: String,
    pub released: String,
    pub carrier: String,
    /// What is said of the carrier's pick-up.
    pub picked_up: Option<String>,
    pub purpose: String,
    /// Each parcel in words; its seal only once it has been read by the receiver.
    pub parcels: Vec<(String, String)>,
    /// Note and label travel with a parcel, and what is taken back travels no more.
    pub has_papers: bool,
    /// What the prescription lists as enclosed and is not in here.
    pub not_in: Vec<String>,
    /// What is to be known of its work.
    pub as_it_came: Vec<String>,
}

impl HandoffKnown {
    fn of(work: &CaseWork, handoff: &Handoff, may_receive: bool) -> HandoffKnown {
        HandoffKnown {
            from: name_of(work, handoff.from).to_owned(),
            to: name_of(work, handoff.to).to_owned(),
            released: released_words(handoff),
            carrier: match handoff.tracking.as_str() {
                "" => handoff.carrier.clone(),
                tracking => format!("{}, reference {tracking}", handoff.carrier),
            },
            picked_up: pick_up_words(handoff),
            purpose: match handoff.purpose.as_str() {
                "" => "not said".to_owned(),
                purpose => purpose.to_owned(),
            },
            parcels: parcel_words(handoff, may_receive),
            has_papers: handoff.voided.is_none(),
            not_in: not_in(work, handoff),
            as_it_came: in_a_parcel(work, handoff),
        }
    }
}

/// The form by which its sender takes it back.
pub struct TakeBackView {
    pub is_open: bool,
    /// Whether the carrier had it.
    pub left: bool,
    /// Whether a parcel of it has come: only the others are taken back.
    pub in_part: bool,
    pub fields: Vec<FieldView>,
    pub meaning: &'static str,
}

impl TakeBackView {
    fn of(handoff: &Handoff, is_open: bool, tried: &Tried) -> TakeBackView {
        let fields = fields_under(TakeBackForm::FIELDS, "");
        let mut fields = fill(fields, &tried.typed, &tried.faults);
        let sets = TakeBackForm::field_sets();
        fields.extend(personal_data_check::tick_for(&tried.typed, &sets));
        TakeBackView {
            is_open,
            left: handoff.has_left(),
            in_part: handoff.received_at.is_some(),
            fields,
            meaning: taken_back_means(handoff.has_left()),
        }
    }
}

/// The form of the carrier's pick-up.
pub struct PickUpView {
    pub fields: Vec<FieldView>,
    pub from_paper: Folded,
    pub proof: Vec<FieldView>,
}

/// Sets the ids of a form apart from those of the others on the page.
const PICK_UP: &str = "pick-up-";

fn pick_up(
    app: &App,
    person: &Person,
    is_exceptional: bool,
    typed: &TypedForm,
    faults: &[Fault],
) -> PickUpView {
    let scoped = |mut field: FieldView| {
        field.scope = PICK_UP.into();
        field
    };
    let mut fields = fill(fields_under(TakenForm::FIELDS, ""), typed, faults);
    fields.extend(anyway(typed, faults));
    let mut proof = password_again(app, person, faults);
    if is_exceptional {
        let reason = FieldView::under(ExceptionForm::reason(), "")
            .label("Why the provisional leaves all the same")
            .hint(
                "Nothing else is recorded in its arch now. An exception that you sign as the dentist: otherwise take \
                 the parcel back.",
            );
        fields.push(reason.filled(typed, faults));
        proof = vec![FieldView::under(Proof::password(), "").filled(typed, faults)];
    }
    fields.extend(personal_data_check::tick_for(
        typed,
        &PickUpForm::field_sets(),
    ));
    PickUpView {
        fields: fields.into_iter().map(scoped).collect(),
        from_paper: from_paper(typed, faults).scoped(PICK_UP),
        proof: proof.into_iter().map(scoped).collect(),
    }
}

/// The form of the page that was sent, by a field that it alone has.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sent {
    Receipt,
    TakingBack,
    PickUp,
}

impl Sent {
    fn of(typed: &TypedForm) -> Sent {
        // A pick-up may have a reason too.
        if typed.contains_key(TakenForm::picked_by().key) {
            Sent::PickUp
        } else if typed.contains_key(TakeBackForm::reason().key) {
            Sent::TakingBack
        } else {
            Sent::Receipt
        }
    }
}

/// Nothing is missed in what goes to the other side, or is taken back.
fn not_in(work: &CaseWork, handoff: &Handoff) -> Vec<String> {
    if handoff.to != work.side || handoff.voided.is_some() {
        return Vec::new();
    }
    let sent: Vec<Tag> = handoff.sent.iter().map(|sent| sent.tag.clone()).collect();
    waiting::not_in(work, &sent)
}

/// The name of a house of this case.
fn name_of(work: &CaseWork, side: Side) -> &str {
    match side {
        Side::Office => &work.office.name,
        Side::Lab => &work.lab.name,
    }
}

/// Who released it, and when.
fn released_words(handoff: &Handoff) -> String {
    let how = match handoff.never_left() {
        true => "Packed",
        false => "Handed over",
    };
    let (by, at) = (&handoff.released_by.name, handoff.released_at.in_words());
    format!("{how} by {by} on {at}.")
}

/// Why this person receives nothing of it now, or what has become of it; empty where it is to be received.
fn why_not(person: &Person, work: &CaseWork, handoff: &Handoff, offers: &Offers<'_>) -> String {
    if let Some((by, at, reason)) = &handoff.voided {
        return format!("Taken back by {} on {}: {reason}", by.name, at.in_words());
    }
    let is_open = !handoff.outstanding().is_empty();
    let is_ours = handoff.to == work.side;
    let is_own = handoff.released_by.account == person.account.id;
    match (is_open, is_ours, &handoff.received_by, handoff.received_at) {
        (false, _, Some(by), Some(at)) => format!("Received by {} on {}.", by.name, at.in_words()),
        (true, false, _, _) if handoff.is_packed() => {
            let against = offers.against(CaseStep::PickUp(handoff)).into_iter();
            let against = against.filter(|one| one.rule == CustodyRule::C);
            let mut words = vec!["Packed, waits for the carrier.".to_owned()];
            words.extend(against.map(|one| one.sentence));
            words.join(" ")
        }
        (true, false, Some(by), Some(at)) if handoff.waiting().is_empty() => {
            format!(
                "Received by {} on {}, but for what was not in it.",
                by.name,
                at.in_words()
            )
        }
        (true, false, ..) => format!("Waits for {} to receive it.", name_of(work, handoff.to)),
        (true, true, _, _) if is_own => {
            "You handed it over yourself: a colleague has to receive it.".to_owned()
        }
        _ => String::new(),
    }
}

/// The page for this person, with what was typed and what is wrong with it.
pub fn handoff_page(
    app: &App,
    person: &Person,
    work: &CaseWork,
    handoff: &Handoff,
    tried: &Tried,
) -> Result<HandoffPage, WebError> {
    let offers = work.offers(app, person);
    let may_receive = offers.has(CaseStep::Receive(handoff));
    let which = Sent::of(&tried.typed);
    // What was typed into one form of the page, and what is wrong with it, stands in that form only.
    let typed_into = |form: Sent| tried.only_if(which == form);
    let (out, back) = (typed_into(Sent::PickUp), typed_into(Sent::TakingBack));
    let Tried { typed, faults, .. } = typed_into(Sent::Receipt);
    let pick_up = offers.has(CaseStep::PickUp(handoff)).then(|| {
        let is_exceptional = offers.pick_up_is_exceptional(handoff);
        pick_up(app, person, is_exceptional, &out.typed, &out.faults)
    });
    let take_back = offers.has(CaseStep::TakeBack(handoff)).then(|| {
        let is_open = which == Sent::TakingBack || work.is_packed_in_vain(handoff);
        TakeBackView::of(handoff, is_open, back)
    });
    let rows = receive_rows(work, handoff, may_receive, typed, faults);
    let extra = extra_fold(typed, faults);
    let folds = receive_folds(handoff, typed, faults);
    let mut texts = Vec::new();
    if !may_receive {
        texts.extend(unsaved_receipt(&rows, &extra, &folds));
    }
    if pick_up.is_none() {
        texts.extend(unsaved_words(&out.typed, &PickUpForm::field_sets()));
    }
    if take_back.is_none() {
        texts.extend(unsaved_words(&back.typed, &TakeBackForm::field_sets()));
    }
    let instead = instead::OF_A_RECEIPT;
    let title = if may_receive { "Receive" } else { "Handoff" };
    let tick = personal_data_check::tick_for(typed, &ReceiptForm::field_sets());
    let password = password_again(app, person, faults);
    Ok(HandoffPage {
        frame: Frame::of_case(app, person, work, title)?,
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        path: format!("/handoffs/{}", handoff.id),
        known: HandoffKnown::of(work, handoff, may_receive),
        is_packed: handoff.is_packed(),
        may_receive,
        why_not: why_not(person, work, handoff, &offers),
        scan: ScanView::waiting(),
        refusals: tried.refusals.clone(),
        parcel_forms: parcel_forms(handoff, typed, faults),
        rows,
        extra,
        folds,
        proof: tick.into_iter().chain(password).collect(),
        unsaved: Unsaved { texts, instead },
        pick_up,
        take_back,
        post_key: app.outside.token().map_err(AppError::from)?,
    })
}
