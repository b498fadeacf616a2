//! What waits in a case, for whom and why, in words: for the case, its items and its handoffs.

use super::avoided_things::avoided_waits;
use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use crate::domain::custody::{ANSWER, CardSince, Lacking, NotCome, Wait, asked_by_second, waits};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use time::Date;

/// One thing that waits, as a line of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaitLine {
    /// Title and tag of each item; empty where the whole case waits.
    pub things: Vec<String>,
    /// The house that has to do something.
    pub whom: String,
    pub to_do: &'static str,
    pub why: String,
    /// Whether it is one's own side.
    pub mine: bool,
}

impl WaitLine {
    /// Why it waits, with the stop that it has not itself: a question that is quoted has one.
    pub fn sentence(&self) -> String {
        let quoted = self.why.strip_suffix('”').unwrap_or(&self.why);
        match quoted.ends_with(['.', '?', '!', '…']) {
            true => self.why.clone(),
            false => format!("{}.", self.why),
        }
    }

    /// Whether it is a question, answered where the questions of the case stand.
    pub fn is_question(&self) -> bool {
        self.to_do == ANSWER
    }
}

fn line(work: &CaseWork, wait: &Wait) -> WaitLine {
    let asked = (work.side == Side::Lab).then(|| asked_by_second(&work.state, wait));
    let asked = asked.flatten().unwrap_or_default();
    WaitLine {
        things: match wait.beside {
            true => vec!["Beside the work".to_owned()],
            false => {
                let items = wait.items.iter();
                items.map(|tag| title_and_tag(work, tag)).collect()
            }
        },
        whom: work.party(wait.side).name.clone(),
        to_do: wait.to_do,
        why: format!("{}{asked}", wait.why),
        mine: wait.side == work.side,
    }
}

fn all(work: &CaseWork, today: Date) -> Vec<Wait> {
    if work.state.closed {
        return Vec::new();
    }
    let standing = work.standing();
    let card = work.changed_card(&standing.places).map(CardSince::wait);
    let waits = waits(
        &work.context(),
        &work.state,
        &work.ordered,
        &standing,
        today,
    );
    let avoided = avoided_waits(work);
    avoided.into_iter().chain(card).chain(waits).collect()
}

/// Everything that waits in a case that is open.
pub fn of_case(work: &CaseWork, today: Date) -> Vec<WaitLine> {
    all(work, today)
        .iter()
        .map(|wait| line(work, wait))
        .collect()
}

/// What an item waits for.
pub fn of_item(work: &CaseWork, tag: &Tag, today: Date) -> Vec<WaitLine> {
    let waits = all(work, today).into_iter();
    let waits = waits.filter(|wait| wait.items.contains(tag));
    waits.map(|wait| line(work, &wait)).collect()
}

/// What is listed as enclosed, has not come to the lab, and is not in this handoff, in words; for a receipt.
pub fn not_in(work: &CaseWork, sent: &[Tag]) -> Vec<String> {
    if work.side != Side::Lab {
        return Vec::new();
    }
    let lacking = work.lacking().into_iter();
    let others = lacking.filter(|one| !sent.contains(&one.tag));
    let words = |one: Lacking| {
        let how = match one.how {
            NotCome::Stays => "not sent yet",
            NotCome::NotStored => "a file, not stored here",
            NotCome::OnTheWay => "on the way with another parcel",
            NotCome::Missing => "did not come with its parcel",
            NotCome::Mistaken => "registered by mistake",
            NotCome::GivenUp => "given up",
            NotCome::Destroyed => "destroyed at the lab",
            NotCome::Lost => "lost at the lab",
        };
        format!("{}: {how}", title_and_tag(work, &one.tag))
    };
    let untagged = work.ordered.untagged.iter();
    let untagged = untagged.map(|what| format!("{what}: listed without a tag, look for it"));
    others.map(words).chain(untagged).collect()
}
