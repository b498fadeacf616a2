//! What waits in a case, for whom, and why: one list, for the case, for each of its items and for the first page.

use super::case_state::CaseState;
use super::lineage::overdue;
use super::ordered::{Lacking, NotCome, Ordered};
use super::rules::Context;
use super::standing::Standing;
use super::standstill::{Fate, Halt};
use super::state::Holder;
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::whole_day;
use time::Date;

/// One thing that waits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wait {
    /// The items that wait; none where the whole case does.
    pub items: Vec<Tag>,
    /// Who has to do something.
    pub side: Side,
    /// What has to be done.
    pub to_do: &'static str,
    /// Why it waits, to be read as a sentence.
    pub why: String,
}

/// Everything that waits, the case as a whole first.
pub fn waits(
    context: &Context<'_>,
    case: &CaseState,
    ordered: &Ordered,
    standing: &Standing,
    today: Date,
) -> Vec<Wait> {
    let mut waits = Vec::from_iter(halted(case));
    for hold in case.open_holds() {
        waits.push(Wait {
            items: hold.waiting.clone(),
            side: hold.side,
            to_do: "sign a statement on it",
            why: hold.words(context.items),
        });
    }
    waits.extend(asked(case));
    waits.extend(unmarked(context, case));
    waits.extend(listed(ordered, &standing.lacking));
    for one in overdue(context.items, case, ordered, today) {
        let home = one.side.other();
        let holder = case.item(&one.tag).map(|state| state.holder);
        // Once it is on its way back, its lender has to receive it.
        let (side, to_do) = match holder {
            Some(Holder::Carrier { to }) if to == home => (home, "receive it"),
            _ => (one.side, "send it back"),
        };
        waits.push(Wait {
            items: vec![one.tag],
            side,
            to_do,
            why: format!("It is lent, and was due back on {}", whole_day(one.due)),
        });
    }
    waits
}

fn halted(case: &CaseState) -> Option<Wait> {
    let halt = case.standstill.as_ref()?;
    let (side, to_do) = match (&halt.heeded, halt.halt) {
        (None, _) => (Side::Lab, "take notice of it"),
        (Some(_), Halt::Cancelled) => (Side::Lab, "send back or destroy what is named"),
        (Some(_), _) => (Side::Office, "say whether the work goes on"),
    };
    let named = halt.items.iter().filter(|one| one.fate != Fate::Stays);
    Some(Wait {
        items: named.map(|one| one.tag.clone()).collect(),
        side,
        to_do,
        why: halt.words(),
    })
}

/// What is asked and not answered, and what was said on the telephone by one side's word alone.
fn asked(case: &CaseState) -> Vec<Wait> {
    let questions = case.open_questions().map(|one| Wait {
        items: one.item.iter().cloned().collect(),
        side: one.to(),
        to_do: "answer it",
        why: match one.waits {
            true => format!(
                "{} asked on {}, and the work waits for the answer",
                one.by, one.at
            ),
            false => format!("{} asked on {}", one.by, one.at),
        },
    });
    let calls = case.unconfirmed_calls().map(|one| Wait {
        items: Vec::new(),
        side: one.from.other(),
        to_do: "say whether it was so",
        why: format!("{} wrote down a telephone call on {}", one.by, one.at),
    });
    questions.chain(calls).collect()
}

/// What came without a mark waits for the house that has it.
fn unmarked(context: &Context<'_>, case: &CaseState) -> Vec<Wait> {
    let mut waits = Vec::new();
    for item in context
        .items
        .iter()
        .filter(|item| item.kind.needs_disinfection())
    {
        let state = case.item(&item.tag);
        let Some(state) = state.filter(|one| one.is_there() && one.held_for_disinfection) else {
            continue;
        };
        waits.push(Wait {
            items: vec![item.tag.clone()],
            side: match state.holder {
                Holder::Lab => Side::Lab,
                _ => Side::Office,
            },
            to_do: "disinfect it and record that",
            why: "It came without a mark of disinfection".to_owned(),
        });
    }
    waits
}

/// What is listed as enclosed and has not come, in one line for each way of not having come.
fn listed(ordered: &Ordered, lacking: &[Lacking]) -> Vec<Wait> {
    let table = [
        (
            NotCome::Stays,
            Side::Office,
            "send it, or sign a revision without it",
            "has not been sent",
        ),
        (NotCome::OnTheWay, Side::Lab, "receive it", "is on the way"),
        (
            NotCome::Missing,
            Side::Office,
            "say where it is",
            "did not come with its parcel",
        ),
        (
            NotCome::Mistaken,
            Side::Office,
            "register it anew, or sign a revision without it",
            "was registered by mistake",
        ),
    ];
    let mut waits = Vec::new();
    for (how, side, to_do, words) in table {
        let tags = lacking.iter().filter(|one| one.how == how);
        let items: Vec<Tag> = tags.map(|one| one.tag.clone()).collect();
        if !items.is_empty() {
            let revision = ordered.revision;
            waits.push(Wait {
                items,
                side,
                to_do,
                why: format!("Listed as enclosed in revision {revision}, and {words}"),
            });
        }
    }
    waits
}
