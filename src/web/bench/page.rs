//! The page of one case at the bench: what is to be avoided, pan and due, the next step, and what was done.

use super::again::{AgainView, again_view, carried_view};
use super::input::BenchInput;
use super::rows::{
    DoneRow, StepRow, UsedRow, count_words, disinfected_cells, done_rows, order_words, other_steps,
    step_rows, used_rows,
};
use super::said::{SaidView, said_view};
use super::step::{StepView, step_view};
use super::timers::{StartView, TimerView, timer_views};
use super::top::BenchTop;
use crate::app::AppError;
use crate::app::bench::{AgainstWork, done_before, lacking_here, ready_at_the_bench, standstill};
use crate::app::custody_words::title_and_tag;
use crate::app::see_case::CaseView;
use crate::domain::custody::bench::{
    Assignment, BenchProgress, BenchStep, MeasuredValue, asked_about, prescribed,
};
use crate::domain::custody::forms::{AssignForm, StepForm, WorkForm};
use crate::domain::custody::{CaseStep, Offers};
use crate::domain::form::Form;
use crate::domain::prescription::revision::Document;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;
use crate::web::changes::NewsLine;
use crate::web::entry::{Unsaved, instead, unsaved_words};
use crate::web::error::WebError;
use crate::web::field::{Choice, FieldView, fill};
use crate::web::frame::Frame;
use crate::web::led_away::LedAway;
use crate::web::personal_data_check;
use askama::Template;

/// What the address asks for.
#[derive(Debug, Default)]
pub struct AskedOfBench<'a> {
    /// Another step than the next.
    pub step: Option<BenchStep>,
    /// The tag by which somebody came here.
    pub scanned: &'a str,
    /// The picture that was added just now, for the step.
    pub picture: &'a str,
}

/// The bench of one case.
#[derive(Template)]
#[template(path = "bench.html")]
pub struct BenchPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub scanned: Option<(String, String)>,
    pub top: BenchTop,
    pub led: LedAway,
    pub refusals: Vec<String>,
    pub unsaved: Unsaved,
    /// What keeps all or some work from being done, with the address where that is seen to.
    pub against: Vec<(String, String)>,
    /// What has not come, and which arch is done.
    pub lacking: Vec<String>,
    /// What was done for an earlier revision, and whether it stands; none where nothing is asked.
    pub again: Option<AgainView>,
    /// What the lab has said of it, which another word sets right; none where nothing can be.
    pub carried: Option<AgainView>,
    /// What was said of it beside the prescription.
    pub said: SaidView,
    pub is_stopped: bool,
    pub asks_open: usize,
    /// Where something is asked, with the step that is shown and what the prescription says for it.
    pub ask: String,
    pub step: Option<StepView>,
    /// What whoever is here has entered moments ago.
    pub just_entered: Option<(BenchStep, Arches)>,
    /// The field that takes what is scanned as digits, or as a lot; empty where none does.
    pub scan_into: String,
    pub timers: Vec<TimerView>,
    pub counts: String,
    /// By which revision the work is done, and where what it changed is told.
    pub order: (String, Option<String>),
    pub is_done: bool,
    /// Whether nothing is registered of what is ordered: it has no tag yet to be handed over by.
    pub is_unregistered: bool,
    pub arches: Vec<&'static str>,
    pub steps: Vec<StepRow>,
    pub others: Vec<Choice>,
    /// For each arch what of the lab's work that is here is disinfected; none where it is not yet, and nothing where
    /// nothing is here.
    pub disinfected: Vec<Option<String>>,
    pub done: Vec<DoneRow>,
    pub used: Vec<UsedRow>,
    pub assign: Vec<FieldView>,
    pub assign_shown: String,
    /// The picture of the sheet's front; none where none is signed as a sheet.
    pub front: Option<String>,
    /// Who is here: a page of somebody else's is told by it.
    pub shown_to: String,
    pub post_key: String,
    pub news: NewsLine,
}

impl BenchPage {
    /// The timers that can be started at the step.
    fn start(&self) -> Option<&StartView> {
        self.step.as_ref()?.start.as_ref()
    }

    /// The ticks that the page asks for, by their keys.
    fn asked_ticks(&self) -> String {
        let ticks = self.step.iter().flat_map(|step| &step.anyway);
        let asked = ticks.filter(|field| !field.messages.is_empty());
        let keys: Vec<&str> = asked.map(|field| field.key.as_str()).collect();
        keys.join(" ")
    }

    /// The timers that run, what rings first in front.
    fn running(&self) -> Vec<&TimerView> {
        let mut running: Vec<&TimerView> = self.timers.iter().filter(|one| one.runs).collect();
        running.sort_by_key(|one| one.left_s);
        running
    }
}

fn found(view: &CaseView) -> BenchProgress<'_> {
    view.work.at_the_bench()
}

/// The arches for which nothing is to be begun.
fn deferred(view: &CaseView) -> Vec<Arch> {
    view.work.deferred_arches()
}

/// The step that is to be done next, for an arch that has what it is made from where there is one.
pub fn next_step(view: &CaseView) -> Option<BenchStep> {
    let ready = ready_at_the_bench(&view.work);
    let next = ready.next().map(|line| line.step);
    next.or_else(|| found(view).next().map(|line| line.step))
}

fn assign_fields(input: &BenchInput<'_>) -> Vec<FieldView> {
    let now = input.view.work.assigned();
    let sent = input.tried.typed.contains_key(AssignForm::pan().key);
    let tried = input.tried.only_if(sent);
    let named = input.open.iter();
    let choices = named.map(|one| (one.id.as_str().to_owned(), one.name.clone()));
    let fields = vec![
        FieldView::under(AssignForm::pan(), ""),
        FieldView::under(AssignForm::technician(), "").chosen_from(choices),
    ];
    let mut fields = fill(fields, &tried.typed, &tried.faults);
    if !sent && let Some(now) = now {
        for field in &mut fields {
            let value = match field.key == AssignForm::pan().key {
                true => now.pan.as_str(),
                false => now.technician.as_ref().map_or("", |id| id.as_str()),
            };
            value.clone_into(&mut field.value);
            field.mark_chosen();
        }
    }
    fields.extend(personal_data_check::tick_for(
        &tried.typed,
        &AssignForm::field_sets(),
    ));
    for field in &mut fields {
        field.scope = "assign-".into();
    }
    fields
}

/// What stands against work, each with the address where it is seen to.
fn against(input: &BenchInput<'_>, all: Vec<AgainstWork>) -> Vec<(String, String)> {
    let case = format!("/cases/{}", input.view.work.case.number.as_str());
    let one = |one: AgainstWork| match one.to.as_str() {
        "" => (one.sentence, case.clone()),
        rest => (one.sentence, format!("{case}/{rest}")),
    };
    all.into_iter().map(one).collect()
}

/// What was typed for a step that can be entered no more.
fn unsaved(input: &BenchInput<'_>, step: Option<&StepView>) -> Unsaved {
    let typed = &input.tried.typed;
    let is_lost = step.is_none() && typed.contains_key(StepForm::bench_step().key);
    Unsaved {
        instead: instead::OF_THE_CASE,
        texts: match is_lost {
            true => unsaved_words(typed, &WorkForm::field_sets()),
            false => Vec::new(),
        },
    }
}

fn scanned(input: &BenchInput<'_>, typed: &str) -> Option<(String, String)> {
    let tag = Tag::parse(typed).ok()?;
    let work = &input.view.work;
    work.context().scope().item(&tag)?;
    Some((
        format!("/items/{}", tag.as_str()),
        title_and_tag(work, &tag),
    ))
}

/// The form of the step that is shown, where anything can be entered.
fn step_of(
    input: &BenchInput<'_>,
    found: &BenchProgress<'_>,
    document: Option<&Document>,
    (step, free): (Option<BenchStep>, &[Arch]),
) -> Option<StepView> {
    let (step, document) = (step?, document?);
    if free.is_empty() {
        return None;
    }
    let line = found.lines.iter().find(|line| line.step == step);
    let mut open = line.map(|line| line.open()).unwrap_or_default();
    let deferred = deferred(input.view);
    // What is not on the list of this order is proposed for what can be worked on all the same.
    if open.is_empty() {
        open = free.to_vec();
    }
    if open.iter().any(|arch| !deferred.contains(arch)) {
        open.retain(|arch| !deferred.contains(arch));
    }
    Some(step_view(input, document, step, (free, &open)))
}

/// The address of the questions from a step: with the line that prescribes what is measured at it.
fn ask_at(case: &str, document: Option<&Document>, step: Option<&StepView>) -> String {
    let Some(step) = step.map(|one| one.step) else {
        return format!("{case}/questions#ask");
    };
    let about = document.map(|one| asked_about(step, &one.prescription, one.numbering));
    let about = match about.unwrap_or_default() {
        (Some(section), Some(line)) => format!("&section={section}&line={line}"),
        (Some(section), None) => format!("&section={section}"),
        (None, _) => String::new(),
    };
    format!("{case}/questions?step={}{about}#ask", step.word())
}

/// The whole page.
pub fn bench_page(
    input: &BenchInput<'_>,
    step: Option<BenchStep>,
    asked: &AskedOfBench<'_>,
) -> Result<BenchPage, WebError> {
    let work = &input.view.work;
    let offers: Offers<'_> = work.offers(input.app, input.person);
    let document = input.view.document();
    let found = found(input.view);
    let (stops, free) = standstill(work, &offers);
    let step = match free.is_empty() {
        false => step_of(input, &found, document, (step, &free)),
        true => {
            let before = done_before(work, &offers);
            step_of(input, &found, document, (step, &before)).map(StepView::of_before)
        }
    };
    let said = |reading: &MeasuredValue| {
        let rx = document?;
        let one = prescribed(&rx.prescription, rx.numbering, &[reading.measure]);
        one.into_iter().next()?.1
    };
    let case = format!("/cases/{}", work.case.number.as_str());
    Ok(BenchPage {
        frame: Frame::of_case(input.app, input.person, work, "Bench")?
            .at_bench()
            .scanning((&work.case.number, step.is_some())),
        number: work.case.number.to_string(),
        path_number: work.case.number.as_str().to_owned(),
        scanned: scanned(input, asked.scanned),
        top: BenchTop::of(input),
        led: LedAway::default(),
        refusals: input.tried.refusals.clone(),
        unsaved: unsaved(input, step.as_ref()),
        against: against(input, stops),
        lacking: lacking_here(work),
        again: again_view(input, &ready_at_the_bench(work)),
        carried: carried_view(input, &ready_at_the_bench(work)),
        said: said_view(input),
        is_stopped: free.is_empty(),
        asks_open: work.open_questions().count(),
        ask: ask_at(&case, document, step.as_ref()),
        step,
        just_entered: work.just_entered(input.app, input.person),
        scan_into: String::new(),
        timers: timer_views(input),
        counts: count_words(&found),
        order: order_words(input),
        is_unregistered: work.has_nothing_registered(),
        is_done: found.next().is_none() && !work.ordered.bench.is_empty(),
        arches: work
            .case
            .arches
            .treated()
            .iter()
            .map(|arch| arch.shown())
            .collect(),
        steps: step_rows(input, &found),
        others: other_steps(&found),
        disinfected: disinfected_cells(work),
        done: done_rows(input, &offers, said),
        used: used_rows(input),
        assign_shown: Assignment::mark(work.assigned()),
        assign: match offers.has(CaseStep::Assign) {
            true => assign_fields(input),
            false => Vec::new(),
        },
        front: (document.is_some_and(|one| one.sheet != 0))
            .then(|| format!("{case}/revisions/{}/front.svg", work.case.revision)),
        shown_to: input.person.account.id.to_string(),
        post_key: input.app.outside.token().map_err(AppError::from)?,
        news: NewsLine {
            watch: format!("/changes?case={}", work.case.number.as_str()),
            mark: work.case.version,
        },
    })
}
