//! What is to be resolved, beside the form: what stands against signing, the box for each reason, and what is still asked.

use super::fitted::fitted;
use super::jump::{Jump, OnPage};
use super::lines::name_of;
use crate::app::draft_lines::LineState;
use crate::app::reviewing::{Reviewed, reason_key};
use crate::app::sign::label;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::{self, catalogue};
use crate::domain::review::{Finding, Level};
use crate::domain::values::fault::Fault;
use crate::web::field::FieldView;
use crate::web::typed_form::TypedForm;
use askama::Template;
use std::collections::BTreeMap;

/// How the word of a button begins that puts a thing into the list of what is enclosed.
pub const ENCLOSE: &str = "enclose-";

/// One finding of the review, with the box for its reason where it may stand with one.
pub struct FindingView {
    pub level: &'static str,
    pub shown: &'static str,
    /// Whether it still stands against signing.
    pub is_open: bool,
    /// To the field it is about, where the form has it.
    pub link: Option<Jump>,
    /// Where the patient's card has it, where it is about that.
    pub card: Option<String>,
    pub label: String,
    pub sentence: String,
    pub why: &'static str,
    pub source: String,
    pub reason: Option<FieldView>,
    /// The button that puts the thing it misses into the list, by its value.
    pub adds: Option<(String, String)>,
}

impl FindingView {
    /// The sign in the mark beside it.
    pub fn sign(&self) -> &'static str {
        match (self.level, self.is_open) {
            (_, false) => "✓",
            ("stop", true) => "✕",
            (_, true) => "!",
        }
    }
}

impl FindingView {
    fn new(
        (reviewed, finding): (&Reviewed, &Finding),
        is_open: bool,
        page: &OnPage<'_>,
        card: &dyn Fn(&str) -> Option<String>,
    ) -> FindingView {
        let field = prescription::field_spec(&finding.key);
        FindingView {
            level: finding.level.word(),
            shown: finding.level.shown(),
            is_open,
            link: field.map(|_| Jump::to(&finding.key, page)),
            card: card(&finding.key),
            label: label(&finding.key),
            sentence: finding.sentence.clone(),
            why: finding.why,
            source: finding.source.to_string(),
            reason: (finding.level == Level::Caution).then(|| reason_box(reviewed, finding)),
            adds: finding.encloses.as_ref().map(|tag| {
                let button = format!("{ENCLOSE}{}", tag.as_str());
                (button, tag.to_string())
            }),
        }
    }
}

/// The box for the reason that lets a caution stand.
fn reason_box(reviewed: &Reviewed, finding: &Finding) -> FieldView {
    let key = reason_key(finding.id, &finding.mark());
    let typed = TypedForm::from([(key.clone(), reviewed.reason(finding).to_owned())]);
    let hint = match reviewed.void_reason(finding) {
        "" => String::new(),
        before => {
            format!("The finding has changed. Before, this was the reason: “{before}”.")
        }
    };
    let field = FieldView::text(&key, "Let it stand, because (printed on the sheet)");
    let mut field = field.hint(&hint).autocomplete("").filled(&typed, &[]);
    fitted(&mut field, None);
    field
}

/// A section in which something is still asked, with a jump to the first of it.
pub struct AskedView {
    pub link: Jump,
    pub name: &'static str,
    /// What is asked, by its labels.
    pub labels: String,
}

/// Labels of one section that are named; of more, how many there are.
const LABELS: usize = 3;

impl AskedView {
    fn of(key: &'static str, state: &LineState, page: &OnPage<'_>) -> Option<AskedView> {
        let (first, _) = state.missing.first()?;
        let labels = state.missing.iter().map(|(_, label)| label.to_lowercase());
        let mut named: Vec<String> = labels.take(LABELS).collect();
        let others = state.missing.len().saturating_sub(LABELS);
        if others > 0 {
            named.push(format!("{others} more"));
        }
        Some(AskedView {
            link: Jump::to(first, page),
            name: name_of(key),
            labels: named.join(", "),
        })
    }
}

/// What the review says, the gravest first, and what is asked.
#[derive(Template)]
#[template(path = "partials/review.html")]
pub struct ReviewView {
    pub met: usize,
    pub of: usize,
    pub open: usize,
    pub findings: Vec<FindingView>,
    pub asked: Vec<AskedView>,
    /// Whether it says why each thing matters: a page with much in it has no room for that.
    pub has_whys: bool,
}

impl ReviewView {
    /// The review with the reasons typed so far, for this page; `card` says where a field of the patient's card is.
    pub fn new(
        reviewed: &Reviewed,
        states: &BTreeMap<&'static str, LineState>,
        page: &OnPage<'_>,
        card: &dyn Fn(&str) -> Option<String>,
    ) -> ReviewView {
        let open = reviewed.unanswered();
        let is_open = |finding: &Finding| open.iter().any(|one| one.id == finding.id);
        let mut findings: Vec<&Finding> = reviewed.findings.iter().collect();
        findings.sort_by_key(|finding| (finding.level, !is_open(finding)));
        let sections = catalogue().iter();
        let asked = sections.filter_map(|section| {
            let state = states.get(section.key)?;
            AskedView::of(section.key, state, page)
        });
        let view =
            |finding: &Finding| FindingView::new((reviewed, finding), is_open(finding), page, card);
        ReviewView {
            asked: asked.collect(),
            met: reviewed.met(),
            of: reviewed.applying(),
            open: open.len(),
            findings: findings.into_iter().map(view).collect(),
            has_whys: true,
        }
    }

    /// With why each thing matters, or without.
    pub fn with_whys(self, has_whys: bool) -> ReviewView {
        ReviewView { has_whys, ..self }
    }

    /// With the reasons that are too long to be stored, as they were typed: no other page has them.
    pub fn with_too_long(mut self, fields: &Fields, faults: &[Fault]) -> ReviewView {
        let reasons = self.findings.iter_mut();
        for reason in reasons.filter_map(|finding| finding.reason.as_mut()) {
            if faults.iter().any(|fault| fault.key == reason.key) {
                *reason = reason.clone().filled(fields, faults);
            }
        }
        self
    }

    /// The count for the bar at the bottom.
    pub fn counts(&self) -> String {
        format!("{} of {} · {} to answer", self.met, self.of, self.open)
    }
}
