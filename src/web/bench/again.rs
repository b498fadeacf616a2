//! What was done for an earlier revision, and the form by which the lab says whether it stands or is done again.

use super::arches::arch_field;
use super::input::BenchInput;
use crate::domain::custody::bench::{BenchProgress, BenchStep, CarriedWord, Unsaid};
use crate::domain::custody::by_revision::AgainstRevision;
use crate::domain::custody::forms::{CarryForm, NOTHING_AGAIN};
use crate::domain::values::arch::Arch;
use crate::web::field::FieldView;

/// What stands between an earlier revision and the one in force, or what the lab has said of it.
pub struct AgainView {
    pub sentences: Vec<String>,
    pub revision: i64,
    /// Empty until the revision in force is accepted.
    pub fields: Vec<FieldView>,
    /// Whether something was typed into it.
    pub open: bool,
}

/// Each once, in the order in which they come.
fn each<T: PartialEq>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut found = Vec::new();
    for one in all {
        if !found.contains(&one) {
            found.push(one);
        }
    }
    found
}

/// "Done for revision 1, while revision 2 is in force: flasked, upper, lower; cured, upper."
fn sentence(unsaid: &[Unsaid], done_for: i64, in_force: i64) -> String {
    let own = || unsaid.iter().filter(|one| one.revision == done_for);
    let steps = each(own().map(|one| one.step)).into_iter();
    let of_step = |step: BenchStep| {
        let arches = own().filter(|one| one.step == step);
        let arches: Vec<&str> = arches.map(|one| one.arch.shown()).collect();
        format!("{}, {}", step.shown(), arches.join(", "))
    };
    let steps: Vec<String> = steps.map(of_step).collect();
    format!(
        "Done for revision {done_for}, while revision {in_force} is in force: {}.",
        steps.join("; ")
    )
}

fn is_sent(input: &BenchInput<'_>) -> bool {
    let typed = &input.tried.typed;
    typed.contains_key(CarryForm::again_from().key)
}

fn fields(input: &BenchInput<'_>, unsaid: &[Unsaid], in_force: i64) -> Vec<FieldView> {
    let tried = input.tried.only_if(is_sent(input));
    let nothing = format!("Nothing: what is done stands for revision {in_force}");
    let steps = each(unsaid.iter().map(|one| one.step)).into_iter();
    let steps = steps.map(|step| {
        let words = format!("From “{}” on", step.shown());
        (step.word().to_owned(), words)
    });
    let choices = [(NOTHING_AGAIN.to_owned(), nothing)]
        .into_iter()
        .chain(steps);
    let again = FieldView::under(CarryForm::again_from(), "").chosen_from(choices);
    let arches: Vec<Arch> = each(unsaid.iter().map(|one| one.arch));
    let arch = arch_field(CarryForm::carry_arches(), (&arches, &arches), tried);
    vec![again.needed().filled(&tried.typed, &tried.faults), arch]
}

fn view(input: &BenchInput<'_>, unsaid: &[Unsaid], sentences: Vec<String>) -> AgainView {
    let case = &input.view.work.case;
    let is_accepted = AgainstRevision::of(case.revision, case.acknowledged).is_none();
    AgainView {
        sentences,
        revision: case.revision,
        fields: match is_accepted {
            true => fields(input, unsaid, case.revision),
            false => Vec::new(),
        },
        open: is_sent(input),
    }
}

/// What is asked; none where nothing was done for an earlier revision, or the lab has said of all of it.
pub fn again_view(input: &BenchInput<'_>, found: &BenchProgress<'_>) -> Option<AgainView> {
    let case = &input.view.work.case;
    let unsaid = &found.unsaid;
    if unsaid.is_empty() || input.view.work.work_over().is_some() {
        return None;
    }
    let revisions = each(unsaid.iter().map(|one| one.revision)).into_iter();
    let sentences = revisions.map(|done_for| sentence(unsaid, done_for, case.revision));
    Some(view(input, unsaid, sentences.collect()))
}

/// "Tom, Kiln Laboratory said on 2 Mar: upper, done again from “flasked” on."
fn said(word: &CarriedWord) -> String {
    let what = match word.again_from {
        None => "what is done stands".to_owned(),
        Some(step) => format!("done again from “{}” on", step.shown()),
    };
    let (by, at, arches) = (&word.by, word.at.in_words(), word.arches.shown());
    format!("{by} said on {at}: {arches}, {what}.")
}

/// What the lab has said, to be set right by another word; none while something is asked, and once nothing could be said
/// otherwise any more.
pub fn carried_view(input: &BenchInput<'_>, found: &BenchProgress<'_>) -> Option<AgainView> {
    let work = &input.view.work;
    if !found.unsaid.is_empty() || work.work_over().is_some() {
        return None;
    }
    let (asked, words) = (work.asked_about_at_the_bench(), work.said_at_the_bench());
    let is_said = !asked.is_empty() && !words.is_empty();
    is_said.then(|| view(input, &asked, words.iter().map(said).collect()))
}
