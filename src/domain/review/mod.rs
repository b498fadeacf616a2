//! The review before signing: what the lab would have to telephone about, said while it can be changed.
//!
//! Every rule is one small function over the prescription and what is known around it. It gives one
//! finding or none: a stop, a caution that passes with a typed reason, or a remark. A finding says the
//! numbers it used, why it matters at the bench and where that is known from. Rules stand in files by
//! what they are about; [`rules`] is the one list of them. The review advises: the dentist decides.

mod anterior;
mod base;
mod baths;
mod borders;
mod calls;
mod clear_copy;
mod contradictions;
pub mod courses; // which kind of work asks for what
pub mod criteria;
mod custody;
mod dates;
mod duplicate;
mod enclosures;
mod exclusions;
mod facebow;
mod guidance;
mod impression;
mod input;
mod jaw;
mod law;
mod lists;
mod marking;
mod not_listed;
mod order;
mod parties;
mod parts_named;
mod pattern;
mod plane;
mod posterior;
mod reasons;
mod remake;
mod rule;
pub mod sample;
mod seal;
mod setting;
mod shade;
mod sources;
mod spare;
mod special;
mod stages;
mod sums;
#[cfg(any(test, feature = "samples"))]
pub mod tests;
mod usual;
mod vertical;

pub use courses::course_written;
pub use criteria::{
    AUDITS, Audit, Criterion, Grade, NO_PART, applying, criteria, grade, part_of_point,
    points_without_caution, score,
};
pub use law::is_asked_by_law;
pub use rule::{Finding, Level, is_reason, mark_of};
pub use setting::{CanSign, Letterhead, Setting};

use super::prescription::{Prescription, field_spec};
use input::Input;
use rule::Rule;

/// A caution that the dentist lets stand, with the reason that prints on the slip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passed {
    /// The id of the finding.
    pub id: String,
    /// Of the sentence that it was typed for: another sentence is another question.
    pub mark: String,
    /// As the dentist typed it.
    pub reason: String,
}

impl Passed {
    /// Whether the reason was typed for what the finding says now.
    pub fn is_for(&self, finding: &Finding) -> bool {
        self.id == finding.id && self.mark == finding.mark()
    }
}

/// The reasons as they are for what the findings say now: one that was typed before the words of its sentence were mended is
/// for the mended one, unless that has its own.
pub fn reasons_for(findings: &[Finding], passed: Vec<Passed>) -> Vec<Passed> {
    let (now, others): (Vec<Passed>, Vec<Passed>) = passed
        .into_iter()
        .partition(|one| findings.iter().any(|finding| one.is_for(finding)));
    let mut all = now;
    for mut one in others {
        let mended = findings
            .iter()
            .find(|finding| finding.id == one.id && finding.had_mark(&one.mark));
        match mended {
            Some(finding) if all.iter().any(|other| other.is_for(finding)) => {}
            Some(finding) => {
                one.mark = finding.mark();
                all.push(one);
            }
            None => all.push(one),
        }
    }
    all
}

/// What stands around a prescription has no field in its form: the keys under which a finding
/// links to it.
pub const SETTING_KEYS: &[&str] = &[
    "case.patient",
    "case.office",
    "case.dentist",
    "case.lab",
    "case.issued",
    "case.items",
    "case.signature",
];

/// Every rule, in the order of the visit, by the part that it looks at first.
const RULES: &[(&str, &[Rule])] = &[
    (NO_PART, parties::RULES),
    ("order", order::RULES),
    ("order", clear_copy::RULES),
    ("order", remake::RULES),
    (NO_PART, special::RULES),
    ("order", stages::RULES),
    ("pattern", pattern::RULES),
    ("duplicate", duplicate::RULES),
    ("vertical", vertical::RULES),
    ("pattern", contradictions::RULES),
    ("jaw", jaw::RULES),
    ("facebow", facebow::RULES),
    ("guidance", guidance::RULES),
    ("plane", plane::RULES),
    ("anterior", anterior::RULES),
    ("posterior", posterior::RULES),
    ("shade", shade::RULES),
    ("anterior", lists::RULES),
    (NO_PART, usual::RULES),
    (NO_PART, calls::RULES),
    ("seal", seal::RULES),
    ("borders", borders::RULES),
    ("impression", impression::RULES),
    ("base", base::RULES),
    ("base", exclusions::RULES),
    ("marking", marking::RULES),
    ("spare", spare::RULES),
    ("enclosures", enclosures::RULES),
    ("enclosures", baths::RULES),
    ("dates", dates::RULES),
    ("enclosures", custody::RULES),
];

/// Whether a caution by this rule is about what hurts: a substance that is to be avoided, or what an agent does.
pub fn warns_of_harm(id: &str) -> bool {
    let mut rules = exclusions::RULES.iter().chain(baths::RULES);
    rules.any(|rule| rule.id == id)
}

fn rules() -> impl Iterator<Item = &'static Rule> {
    RULES.iter().flat_map(|(_, rules)| *rules)
}

/// The part of the prescription that a finding is about, by its id: of a point that is not said, where it is filled in.
pub fn part_of_finding(id: &str) -> &'static str {
    let is_it = |rule: &Rule| rule.id == id;
    let by_rule = RULES.iter().find(|(_, rules)| rules.iter().any(is_it));
    by_rule.map_or_else(|| criteria::part_of_criterion(id), |(part, _)| *part)
}

/// Everything there is to say, stops first, then cautions, then remarks, each in the order of the visit.
pub fn review(document: &Prescription, setting: &Setting) -> Vec<Finding> {
    let input = Input::new(document, setting);
    let mut findings: Vec<Finding> = rules()
        .filter_map(|rule| rule.apply(&input))
        .filter(|finding| is_heard(&input, finding))
        .collect();
    law::judge(&input, &mut findings);
    findings.sort_by_key(|finding| finding.level);
    findings
}

/// Whether a finding is for one of the courses. What one of the points asks for is decided by the point.
fn is_heard(input: &Input<'_>, finding: &Finding) -> bool {
    let (courses, id) = (&input.courses, finding.id);
    let asks = || courses::asks_at(courses, input.rx, &finding.key);
    !courses::is_silent(courses, id) && (criteria::is_a_point(id) || asks())
}

/// What still keeps the prescription from being signed: every stop, and every caution without a
/// reason in words.
pub fn unanswered<'a>(findings: &'a [Finding], passed: &[Passed]) -> Vec<&'a Finding> {
    let is_passed = |finding: &Finding| {
        passed
            .iter()
            .any(|passed| passed.is_for(finding) && is_reason(&passed.reason))
    };
    findings
        .iter()
        .filter(|finding| match finding.level {
            Level::Stop => true,
            Level::Caution => !is_passed(finding),
            Level::Remark => false,
        })
        .collect()
}

/// Whether a page has a place for this key: the form, the patient's card, or what stands around them.
pub fn is_known_key(key: &str) -> bool {
    field_spec(key).is_some()
        || crate::domain::people::patient::fields()
            .iter()
            .any(|field| field.key == key)
        || SETTING_KEYS.contains(&key)
}
