//! What a second laboratory would see of the prescription, by the kind of work, and the ticks that add a part.

use crate::app::case_work::CaseWork;
use crate::domain::custody::forms::AlongForm;
use crate::domain::custody::{PassedWork, SecondLabWork};
use crate::domain::prescription::{Prescription, catalogue};
use crate::domain::second_lab::{ALWAYS, can_be_added, parts_needed};
use crate::domain::values::words::capitalised;
use crate::web::field::FieldView;
use crate::web::tried::Tried;

/// What goes along, before it goes.
pub struct SeesView {
    /// What goes with every kind of work.
    pub always: String,
    /// Each kind of work with the parts that go besides.
    pub kinds: Vec<SeesKind>,
    /// A tick for each part that can be added.
    pub more: Vec<FieldView>,
}

/// What goes along with one kind of work.
pub struct SeesKind {
    /// By which the kind is chosen.
    pub word: &'static str,
    pub shown: String,
    /// The filled parts that go besides, by their titles.
    pub parts: String,
    /// The same by their keys: none of them needs a tick.
    pub keys: String,
}

/// Titles of the filled sections that are so.
fn titles(prescription: &Prescription, is_so: impl Fn(&str) -> bool) -> Vec<&'static str> {
    let sections = catalogue().iter();
    let filled = sections.filter(|one| prescription.is_filled(one.key) && is_so(one.key));
    filled.map(|one| one.title).collect()
}

fn kind(prescription: &Prescription, work: SecondLabWork) -> SeesKind {
    let needed = parts_needed(work);
    let own = titles(prescription, |key| needed.contains(&key));
    SeesKind {
        word: work.word(),
        shown: capitalised(work.shown()),
        parts: match own.is_empty() {
            true => "nothing besides".to_owned(),
            false => own.join("; "),
        },
        keys: needed.join(" "),
    }
}

/// What would go along of the revision in force; none before one is signed.
pub(super) fn sees_view(
    work: &CaseWork,
    earlier: Option<&PassedWork>,
    tried: &Tried,
) -> Option<SeesView> {
    let (_, document) = work.signed.of(work.case.revision)?;
    let prescription = &document.prescription;
    let sections = catalogue().iter();
    let added = sections.filter(|one| prescription.is_filled(one.key) && can_be_added(one.key));
    let tick = |key: &str, title: &str| {
        let under = format!("{key}.");
        let spec = AlongForm::along();
        let mut field = FieldView::under(spec, &under).filled(&tried.typed, &tried.faults);
        let was_added = earlier.is_some_and(|one| one.more.iter().any(|more| more == key));
        if tried.typed.is_empty() && was_added {
            field.value = "yes".to_owned();
        }
        field.label(title)
    };
    let kinds = SecondLabWork::ALL.iter();
    Some(SeesView {
        always: titles(prescription, |key| ALWAYS.contains(&key)).join("; "),
        kinds: kinds.map(|work| kind(prescription, *work)).collect(),
        more: added.map(|one| tick(one.key, one.title)).collect(),
    })
}
