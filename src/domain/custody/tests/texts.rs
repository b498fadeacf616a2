//! Every free text that a form of custody asks for is committed in the record's leaf and can be erased.

use crate::domain::custody::events::{ACTIONS, KINDS};
use crate::domain::custody::forms::{
    AnswerForm, AskForm, AssignForm, CallForm, CheckFitForm, CloseForm, ConfirmForm, DayAnswerForm,
    EndPassForm, EraseForm, Fitting, FollowUpTyped, HaltForm, KeepForm, PassAnswerForm,
    PassAskForm, PassMistakeForm, PassMoveForm, PassOnForm, PassReplyForm, PickUpForm, PictureForm,
    PromiseForm, ReceiptForm, Registration, ReleaseForm, ReopenForm, ResolveForm, ScanForm,
    ShareForm, TakeBackForm, UndoForm, WorkForm,
};
use crate::domain::form::{FieldSet, FieldSpec, Form, Kind, Raw};
use crate::domain::values::ids::Tag;
use serde_json::Value;

/// Whether a place with `*` for any place in a list is this one.
fn is_at(place: &str, pattern: &str) -> bool {
    let (place, pattern) = (place.split('/'), pattern.split('/'));
    place.clone().count() == pattern.clone().count()
        && place
            .zip(pattern)
            .all(|(one, wanted)| wanted == "*" || one == wanted)
}

/// What stands against a free text of this kind of event at `/what/…`.
fn against(kind: &str, place: &str) -> Option<String> {
    let (_, open, erasable) = KINDS.iter().find(|(word, _, _)| *word == kind).unwrap();
    let within = place.strip_prefix("/what/").unwrap();
    if open.iter().any(|one| is_at(within, one)) {
        return Some(format!("{kind} {place} is readable in the leaf"));
    }
    let is_erasable = erasable.iter().any(|(one, _)| is_at(place, one));
    (!is_erasable).then(|| format!("{kind} {place} cannot be erased"))
}

/// The places of all texts with this mark.
fn places(value: &Value, at: &str, mark: &str, found: &mut Vec<String>) {
    match value {
        Value::String(text) if text.contains(mark) => found.push(at.to_owned()),
        Value::Array(list) => {
            for (place, one) in list.iter().enumerate() {
                places(one, &format!("{at}/{place}"), mark, found);
            }
        }
        Value::Object(map) => {
            for (key, one) in map {
                places(one, &format!("{at}/{key}"), mark, found);
            }
        }
        _ => {}
    }
}

fn tag() -> Tag {
    let tags = (0..=u8::MAX).filter_map(|last| Tag::from_random([1, 2, 3, 4, 5, 6, last]));
    tags.into_iter().next().unwrap()
}

fn well_filled(spec: &FieldSpec) -> String {
    match spec.kind {
        Kind::Text { .. } | Kind::LongText { .. } => format!("mark of {}", spec.key),
        Kind::Name { .. } => "somebody".to_owned(),
        Kind::Choice(words) => words[0].0.to_owned(),
        Kind::Whole { min, .. } => min.max(1).to_string(),
        Kind::Mm { .. } => "1".to_owned(),
        Kind::Date => "2026-03-02".to_owned(),
        Kind::Time => "09:30".to_owned(),
        Kind::Tag => tag().as_str().to_owned(),
        Kind::Tick | Kind::YesNo => "yes".to_owned(),
        Kind::Entry => "an entry".to_owned(),
        _ => String::new(),
    }
}

#[test]
fn every_free_text_of_an_action_on_an_item_is_committed_and_can_be_erased() {
    let mut texts = 0;
    for action in ACTIONS {
        let filled = action
            .fields
            .iter()
            .map(|spec| (spec.key.to_owned(), well_filled(spec)));
        let raw: Raw = filled.collect();
        let mut faults = Vec::new();
        let what = (action.typed)(&tag(), &raw, &mut faults);
        let what = what.unwrap_or_else(|| panic!("{}: {faults:?}", action.word));
        let stored = serde_json::to_value(&what).unwrap();
        for spec in action.fields.iter().filter(|spec| spec.is_free_text()) {
            let mut found = Vec::new();
            places(
                &stored,
                "/what",
                &format!("mark of {}", spec.key),
                &mut found,
            );
            assert!(
                !found.is_empty(),
                "{} {} is not stored",
                action.word,
                spec.key
            );
            for place in found {
                texts += 1;
                assert_eq!(against(what.word(), &place), None);
            }
        }
    }
    assert!(texts >= 8, "{texts} texts were found");
}

/// Where the free texts of the other forms are kept: key, kind of event, place.
const KEPT: &[(&str, &str, &str)] = &[
    ("condition", "released", "/what/items/*/condition"),
    ("parcel.note", "released", "/what/parcels/*/note"),
    ("purpose", "released", "/what/purpose"),
    ("exception.reason", "released", "/what/exception/reason"),
    ("exception.reason", "taken_out", "/what/exception/reason"),
    ("exception.reason", "picked_up", "/what/exception/reason"),
    ("found.note", "received", "/what/items/*/note"),
    ("unannounced", "received", "/what/unannounced"),
    ("note", "registered", "/what/note"),
    ("made_how", "registered", "/what/made/how"),
    ("material", "registered", "/what/made/material"),
    ("file_name", "registered", "/what/file/name"),
    ("reason", "settled", "/what/reason"),
    ("done", "settled", "/what/done"),
    ("note", "closed", "/what/note"),
    ("reason", "reopened", "/what/reason"),
    ("keep_reason", "kept_longer", "/what/reason"),
    ("reason", "voided", "/what/reason"),
    ("halt.reason", "stopped", "/what/reason"),
    ("question", "asked", "/what/text"),
    ("answer", "answered", "/what/text"),
    ("call_said", "telephoned", "/what/text"),
    ("approval_said", "fitted", "/what/approval/said"),
    ("how_it_was", "confirmed", "/what/note"),
    ("promise_note", "promised", "/what/note"),
    ("day_note", "day_answered", "/what/note"),
    ("pass_task", "passed_on", "/what/task"),
    ("pass_note", "pass_answered", "/what/note"),
    ("came_note", "pass_moved", "/what/items/*/note"),
    ("ended_why", "pass_ended", "/what/reason"),
    ("pass_question", "pass_asked", "/what/text"),
    ("pass_reply", "pass_replied", "/what/text"),
    ("pass_mistake", "withdrawn", "/what/reason"),
    ("pan", "assigned", "/what/pan"),
    ("no_photo", "worked", "/what/no_photo"),
    ("bench_note", "worked", "/what/note"),
    ("material", "worked", "/what/used/*/material"),
    ("lot", "worked", "/what/used/*/lot"),
    ("undone_why", "undone", "/what/reason"),
    ("fit_note", "fit_checked", "/what/note"),
    ("caption", "pictured", "/what/caption"),
    ("scan_caption", "scan_filed", "/what/caption"),
    ("follow_done", "followed_up", "/what/done"),
    ("share_note", "share_answered", "/what/note"),
];

fn free(sets: Vec<FieldSet>) -> usize {
    let specs = sets.iter().flat_map(|set| set.fields);
    specs.filter(|spec| spec.is_free_text()).count()
}

#[test]
fn every_free_text_of_the_other_forms_is_committed_and_can_be_erased() {
    for (key, kind, place) in KEPT {
        assert_eq!(against(kind, place), None, "{key}");
    }
    // One form makes four kinds of entry.
    for kind in ["paused", "went_on", "cancelled"] {
        assert_eq!(against(kind, "/what/reason"), None, "{kind}");
    }
    // And another says why an arch stays empty, or why work goes in that stands still.
    assert_eq!(against("fitted", "/what/exception/reason"), None);
    // A text that is added to a form is asked here where it is kept.
    let asked = [
        free(ReleaseForm::field_sets()),
        free(Fitting::field_sets()),
        free(ReceiptForm::field_sets()),
        free(PickUpForm::field_sets()),
        free(Registration::field_sets()),
        free(ResolveForm::field_sets()),
        free(CloseForm::field_sets()),
        free(ReopenForm::field_sets()),
        free(KeepForm::field_sets()),
        free(TakeBackForm::field_sets()),
        free(EraseForm::field_sets()),
        free(HaltForm::field_sets()),
        free(AskForm::field_sets()),
        free(AnswerForm::field_sets()),
        free(CallForm::field_sets()),
        free(ConfirmForm::field_sets()),
        free(PromiseForm::field_sets()),
        free(DayAnswerForm::field_sets()),
        free(PassOnForm::field_sets()),
        free(PassAnswerForm::field_sets()),
        free(PassMoveForm::field_sets()),
        free(EndPassForm::field_sets()),
        free(PassAskForm::field_sets()),
        free(PassReplyForm::field_sets()),
        free(PassMistakeForm::field_sets()),
        free(AssignForm::field_sets()),
        free(WorkForm::field_sets()),
        free(UndoForm::field_sets()),
        free(CheckFitForm::field_sets()),
        free(PictureForm::field_sets()),
        free(ScanForm::field_sets()),
        free(FollowUpTyped::field_sets()),
        free(ShareForm::field_sets()),
    ];
    assert_eq!(asked.iter().sum::<usize>(), KEPT.len());
}
