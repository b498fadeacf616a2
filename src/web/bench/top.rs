//! What stands on top of the page of a bench: what is to be avoided, whose work it is, and until when.

use super::input::BenchInput;
use crate::app::case_work::CaseWork;
use crate::domain::people::party::short_name;
use crate::domain::prescription::Avoided;
use crate::domain::prescription::revision::Document;
use crate::domain::values::moment::{day_in_words, days_off};
use crate::domain::values::words::capitalised;

/// What whoever works on a case knows of it before all else.
pub struct BenchTop {
    pub avoided: AvoidedBox,
    pub pan: String,
    pub technician: String,
    pub is_own: bool,
    pub work: String,
    pub office: String,
    /// "Due Fri 11 Dec"; what is said instead where no day counts.
    pub due: String,
    pub off: String,
    pub late: bool,
}

impl BenchTop {
    pub fn of(input: &BenchInput<'_>) -> BenchTop {
        let (work, today) = (&input.view.work, input.today());
        let assigned = work.assigned();
        let technician = assigned.and_then(|one| one.technician.as_ref());
        let is_over = work.is_over_at_the_bench();
        let due = work.day_due().filter(|_| !is_over);
        BenchTop {
            avoided: to_avoid(work, input.view.document()),
            pan: assigned.map(|one| one.pan.clone()).unwrap_or_default(),
            technician: technician.map_or("", |id| input.people.name(id)).to_owned(),
            is_own: technician == Some(&input.person.account.id),
            work: work.case.agenda.work_in_short(work.case.arches),
            office: short_name(&work.office.name).to_owned(),
            due: due_words(work, due.map(|day| day_in_words(day, today)), is_over),
            off: due.map(|day| days_off(day, today)).unwrap_or_default(),
            late: due.is_some_and(|day| day < today),
        }
    }
}

/// The day by which the work is to be back, as case page and agenda have it; what is over is late for nobody.
fn due_words(work: &CaseWork, day: Option<String>, is_over: bool) -> String {
    match (day, work.agreed_day()) {
        (Some(day), Some(_)) => format!("Agreed for {day}"),
        (Some(day), None) => format!("Due {day}"),
        (None, _) if work.case.closed => "Closed".to_owned(),
        (None, _) if work.is_cancelled() => "Canceled".to_owned(),
        (None, _) if is_over => "Done".to_owned(),
        (None, _) => "No day yet".to_owned(),
    }
}

/// What is to be avoided, where that comes from, and whether it warns.
#[derive(Default)]
pub struct AvoidedBox {
    pub words: String,
    pub note: String,
    pub warns: bool,
}

/// By the text in force; by the patient's card where that says something else since, with what the prescription keeps away
/// beyond it. What was signed stands beside it, since the work was begun by that.
fn to_avoid(work: &CaseWork, document: Option<&Document>) -> AvoidedBox {
    let Some(document) = document else {
        return AvoidedBox::default();
    };
    let signed = Avoided::of(document);
    let Some(card) = work.card_since() else {
        return AvoidedBox {
            words: signed.words(),
            note: signed.note(),
            warns: signed.warns(),
        };
    };
    let without = document.prescription.base.without.as_ref();
    let without = without.map(|text| text.as_str().to_owned());
    let words: Vec<String> = std::iter::once(card.says.clone()).chain(without).collect();
    AvoidedBox {
        words: capitalised(&words.join(", ")),
        note: format!(
            "by the patient’s card now; revision {} was signed with: {}",
            card.revision, card.signed
        ),
        warns: true,
    }
}
