//! The chair step: what goes into an arch, and what comes out in the same step.

use super::from_paper::FromPaper;
use super::release::ExceptionForm;
use super::shared::cleaning;
use crate::domain::custody::events::{Agreement, DisinfectedForm, FitApproval, SAY_WHY};
use crate::domain::form::{FieldSet, FieldSpec, Form, Kind, Proof, Raw, Secret, command, text};
use crate::domain::prescription::ApprovedBy;
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::Tag;

/// What is chosen where nothing goes in.
pub const NOTHING: &str = "nothing";
/// The key of the tick that says it went in without a disinfection here. What has happened is entered as it was.
pub const AS_IT_WAS: &str = "as_it_was";

command! {
    /// What the form of one arch asks for.
    FitForm;
    arch: Option<Arch> = Kind::Hidden, "", "";
    worn: Option<Tag> = Kind::Hidden, "", "";
    fit: String = Kind::Listed, "What goes in now", "What was worn comes out in the same step.", needed "Choose what the patient wears now.";
    approved_by: Option<ApprovedBy> = ApprovedBy::KIND, "Who looked at it", "";
    agreement: Option<Agreement> = Agreement::KIND, "Whether it is wanted so", "";
    approval_said: String = text(500), "What was said", "Nothing that names anybody.";
    although: bool = Kind::Tick, "It goes in as it is, though it was found not as asked", "";
    fit_why: String = text(500), "Reason for fitting it although its material is to be avoided", "";
    as_it_was: bool = Kind::Tick, "It went in without: enter it as it was", "";
}

/// What was said of what goes in; nothing where nothing of it was filled in.
fn approval(form: &FitForm, faults: &mut Vec<Fault>) -> Option<FitApproval> {
    let said = form.approval_said.trim();
    let mut wanted = |spec: &FieldSpec, words: &str| faults.push(Fault::new(spec.key, words));
    match (form.approved_by, form.agreement) {
        (None, None) if said.is_empty() => {}
        (Some(_), Some(_)) if form.fit == NOTHING => {
            wanted(
                FitForm::agreement(),
                "Nothing goes in, so there is nothing to agree to.",
            );
        }
        (Some(by), Some(agreement)) => {
            let approval = FitApproval {
                by,
                agreement,
                said: said.to_owned(),
            };
            if approval.lacks_words() {
                wanted(FitForm::approval_said(), SAY_WHY);
            }
            return Some(approval);
        }
        (None, _) => wanted(FitForm::approved_by(), "Choose who looked."),
        (_, None) => wanted(FitForm::agreement(), "Choose whether it is wanted so."),
    }
    None
}

/// A chair step as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fitting {
    /// What goes in; nothing is only taken out.
    pub fit: Option<Tag>,
    /// What the page showed as worn.
    pub out: Option<Tag>,
    pub cleaning: Option<DisinfectedForm>,
    pub is_as_it_was: bool,
    /// It is used as it is, whatever the check has found.
    pub is_used_as_it_is: bool,
    /// What was said of what goes in.
    pub approval: Option<FitApproval>,
    /// Why it goes in although its material is to be avoided.
    pub avoided_why: String,
    /// Why the arch stays empty.
    pub exception: String,
    pub from_paper: Option<FromPaper>,
    pub password: Secret,
}

impl Form for Fitting {
    fn field_sets() -> Vec<FieldSet> {
        vec![
            FieldSet::once(FitForm::FIELDS),
            FieldSet::once(DisinfectedForm::FIELDS),
            FieldSet::once(ExceptionForm::FIELDS),
            FromPaper::FIELDS,
            FieldSet::once(Proof::FIELDS),
        ]
    }

    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<Fitting> {
        let form = FitForm::read(raw, faults)?;
        let cleaning = cleaning(raw, faults);
        let exception = ExceptionForm::read(raw, faults);
        let from_paper = FromPaper::read(raw, faults);
        let fit = match form.fit.as_str() {
            NOTHING => None,
            tag => match Tag::parse(tag) {
                Ok(tag) => Some(tag),
                Err(why) => {
                    faults.push(Fault::new(FitForm::fit().key, why.to_string()));
                    None
                }
            },
        };
        let approval = approval(&form, faults);
        if form.fit == NOTHING && form.worn.is_none() {
            faults.push(Fault::new(FitForm::fit().key, "Nothing is worn there now."));
        }
        match (&cleaning, form.fit.as_str()) {
            (Some(_), NOTHING) => {
                let why = "Nothing goes in, so nothing is disinfected for it: leave this empty.";
                faults.push(Fault::new(DisinfectedForm::agent().key, why));
            }
            (Some(_), _) if form.as_it_was => {
                let why = "It was disinfected, or it went in without: say one of the two.";
                faults.push(Fault::new(AS_IT_WAS, why));
            }
            _ => {}
        }
        Some(Fitting {
            fit,
            out: form.worn,
            cleaning,
            is_as_it_was: form.as_it_was,
            is_used_as_it_is: form.although,
            approval,
            avoided_why: form.fit_why.trim().to_owned(),
            exception: exception?.reason,
            from_paper,
            password: Proof::read(raw, faults)?.password,
        })
    }
}
