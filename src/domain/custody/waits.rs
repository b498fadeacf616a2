//! What waits in a case, for whom, and why: one list, for the case, for each of its items and for the first page.

use super::astray::{Astray, FIND_OR_WRITE_OFF};
use super::case::Step;
use super::case_state::CaseState;
use super::emptied::{EmptyArch, without_teeth};
use super::fit_due::found_wanting;
use super::follow_up::{FollowUpEntry, FollowedBy, again_to_order};
use super::hold::{Hold, Trouble};
use super::item::{Item, ItemKind};
use super::lineage::{Loan, LoanNow, overdue};
use super::ordered::{Lacking, NotCome, Ordered};
use super::rules::Context;
use super::standing::Standing;
use super::standstill::{Fate, Fated, Halt};
use super::state::{Gone, Holder};
use crate::domain::people::party::Side;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::whole_day;
use time::Date;

/// What is to be done with a question.
pub const ANSWER: &str = "answer it";

const SAY_MADE_FROM: &str = "sign a revision that says what the work is made from";

/// One thing that waits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wait {
    /// The items that wait; none where the whole case does, or nothing of it.
    pub items: Vec<Tag>,
    /// Whether nothing of the case waits for it.
    pub beside: bool,
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
    let mut waits = toothless(context, case);
    waits.extend(halted(case, standing));
    // What nobody knows anything of is to be looked at before what is known to be there.
    let mut holds: Vec<&Hold> = case.open_holds().collect();
    holds.sort_by_key(|hold| hold.trouble != Trouble::Unannounced);
    for hold in holds {
        waits.push(Wait {
            items: hold.waiting.clone(),
            beside: !hold.keeps_back(),
            side: hold.side,
            to_do: "sign a statement on it",
            why: hold.words(context.items),
        });
    }
    waits.extend(asked(case));
    waits.extend(case.calls_to_write(ordered).map(|one| Wait {
        beside: true,
        items: Vec::new(),
        side: Side::Office,
        to_do: "write it into a revision, or say why none is needed",
        why: format!(
            "Both houses say that on {} something else than the prescription says was agreed on the telephone: “{}”",
            one.at.in_words(),
            beginning(&one.text)
        ),
    }));
    let refused = case
        .named_day(ordered.revision)
        .filter(|one| !case.is_cancelled() && one.is_refused());
    waits.extend(refused.map(|one| Wait {
        beside: false,
        items: Vec::new(),
        side: Side::Lab,
        to_do: "name another day",
        why: format!("The office says that {} will not do", whole_day(one.day)),
    }));
    let mut next = standing.waiting_for.iter();
    let is_day_asked = next.any(|task| task.step == Step::AnswerDay);
    let named = case
        .day_to_answer(ordered.revision, ordered.wanted)
        .filter(|_| is_day_asked);
    waits.extend(named.map(|one| Wait {
        beside: false,
        items: Vec::new(),
        side: Side::Office,
        to_do: "say whether it will do",
        why: format!(
            "{} named {} on {}",
            one.by,
            whole_day(one.day),
            one.at.in_words()
        ),
    }));
    waits.extend(passed_on(case, ordered.revision, today));
    waits.extend(after_the_fit(case, ordered));
    waits.extend(of_the_spare(context, case, standing));
    waits.extend(not_as_asked(context, case, ordered, standing));
    waits.extend(unmarked(context, case));
    if !case.is_cancelled() {
        waits.extend(lost_on_the_way(standing));
        waits.extend(listed(ordered, &standing.lacking, case));
    }
    let due = overdue(context.items, case, ordered, today).into_iter();
    let due: Vec<Wait> = due.filter_map(|one| lent(case, one, today)).collect();
    for one in &due {
        without(&mut waits, one);
    }
    waits.extend(due);
    waits
}

/// What each arch that stands empty asks of the office; it is nothing of the work that waits for it.
fn toothless(context: &Context<'_>, case: &CaseState) -> Vec<Wait> {
    let empty = without_teeth(
        context.items,
        case,
        context.arches.treated(),
        context.elsewhere,
    );
    let wait = |one: EmptyArch| Wait {
        why: one.sentence(),
        items: vec![one.tag],
        beside: false,
        side: Side::Office,
        to_do: "see that the patient has teeth",
    };
    empty.into_iter().map(wait).collect()
}

/// Takes out what a line that tells more asks of the same side with the same things.
fn without(waits: &mut Vec<Wait>, more: &Wait) {
    waits.retain_mut(|wait| {
        let is_same = (wait.side, wait.to_do) == (more.side, more.to_do);
        let had = wait.items.len();
        wait.items
            .retain(|tag| !is_same || !more.items.contains(tag));
        had == 0 || !wait.items.is_empty()
    });
}

/// What a loan that is due asks for; nothing while the work needs it.
fn lent(case: &CaseState, one: Loan, today: Date) -> Option<Wait> {
    let home = one.side.other();
    let is_asked = |tag: &Tag| case.open_holds().any(|hold| hold.waiting.contains(tag));
    let due = one.due_words(Some(today));
    let due = match one.is_late(today) {
        true => due,
        false => format!("is {due}"),
    };
    let (side, to_do, why) = match one.now {
        LoanNow::Needed => return None,
        // What was found wrong asks for it already, and so does cancelled work.
        LoanNow::Missing if is_asked(&one.tag) => return None,
        LoanNow::Missing if case.fate(&one.tag).is_some() => return None,
        LoanNow::Missing => (
            home,
            "say where it is",
            "did not come with its parcel".to_owned(),
        ),
        // Once it is on its way back, its lender has to receive it.
        LoanNow::ComesBack => (home, "receive it", due),
        LoanNow::GoesOut => (one.side, "receive it, and send it back", due),
        LoanNow::InHand => (one.side, "send it back", due),
    };
    Some(Wait {
        beside: false,
        items: vec![one.tag],
        side,
        to_do,
        why: format!("It is on loan, and {why}"),
    })
}

/// What a standstill asks for; where the work is cancelled, what is to be done with each thing that is not yet where
/// it was to go.
fn halted(case: &CaseState, standing: &Standing) -> Vec<Wait> {
    let Some(halt) = case.standstill.as_ref() else {
        return Vec::new();
    };
    let wait = |items, side, to_do| Wait {
        beside: false,
        items,
        side,
        to_do,
        why: halt.words(),
    };
    let mut waits = match (&halt.heeded, halt.halt) {
        (None, _) => vec![wait(Vec::new(), Side::Lab, "acknowledge it")],
        (Some(_), Halt::Cancelled) => Vec::new(),
        (Some(_), _) => {
            return vec![wait(
                Vec::new(),
                Side::Office,
                "say whether the work goes on",
            )];
        }
    };
    if halt.halt == Halt::Cancelled {
        for (items, side, to_do) in fated(case, &halt.items) {
            waits.push(wait(items, side, to_do));
        }
        waits.extend(lost(case, &halt.items));
    }
    let vain = case.packed_in_vain().flat_map(|one| &one.sent);
    let vain: Vec<Tag> = vain.map(|sent| sent.tag.clone()).collect();
    if !vain.is_empty() {
        waits.push(wait(vain, Side::Office, "take the parcel back"));
    }
    let mut next = standing.waiting_for.iter();
    let is_at_its_end = next.any(|task| task.step == Step::Close);
    if waits.is_empty() && is_at_its_end && !case.closed {
        waits.push(wait(Vec::new(), Side::Office, "close the case"));
    }
    waits
}

/// What is still to be done with the things of cancelled work that are not where they are to go, and by whom.
fn fated(case: &CaseState, fated: &[Fated]) -> Vec<(Vec<Tag>, Side, &'static str)> {
    let is_there = |holder: &Holder| match holder {
        Holder::Lab | Holder::Passed(_) => Some((Side::Lab, true)),
        Holder::Carrier { to: Side::Office } => Some((Side::Office, false)),
        Holder::Carrier { to: Side::Lab } => Some((Side::Lab, false)),
        _ => None,
    };
    let left = |wanted: Fate, at: (Side, bool)| -> Vec<Tag> {
        let tags = fated.iter().filter(|one| one.fate == wanted);
        let is_left = |tag: &&Tag| {
            let state = case.item(tag).filter(|state| state.is_there());
            let state = state.filter(|state| !state.missing);
            state.and_then(|state| is_there(&state.holder)) == Some(at)
        };
        tags.map(|one| &one.tag).filter(is_left).cloned().collect()
    };
    let table = [
        (
            Fate::ComesBack,
            (Side::Lab, true),
            Side::Lab,
            "send it back",
        ),
        (Fate::Scrapped, (Side::Lab, true), Side::Lab, "destroy it"),
        (
            Fate::ComesBack,
            (Side::Office, false),
            Side::Office,
            "receive it",
        ),
        (
            Fate::Scrapped,
            (Side::Office, false),
            Side::Office,
            "receive it, and destroy it",
        ),
        (
            Fate::ComesBack,
            (Side::Lab, false),
            Side::Lab,
            "receive it, and send it back",
        ),
        (
            Fate::Scrapped,
            (Side::Lab, false),
            Side::Lab,
            "receive it, and destroy it",
        ),
    ];
    let left = table.map(|(fate, at, side, to_do)| (left(fate, at), side, to_do));
    let left = left.into_iter().filter(|(items, ..)| !items.is_empty());
    left.collect()
}

/// What did not come of cancelled work, after the statement on it too: nobody can receive it or send it back.
fn lost(case: &CaseState, fated: &[Fated]) -> Vec<Wait> {
    let is_asked = |tag: &Tag| case.open_holds().any(|hold| hold.waiting.contains(tag));
    let sender = |tag: &Tag| {
        let state = case.item(tag).filter(|state| state.is_there());
        let holder = state.filter(|state| state.missing)?.holder;
        match holder {
            Holder::Carrier { to } => Some(to.other()),
            Holder::Passed(_) => Some(Side::Lab),
            _ => None,
        }
    };
    let lost_by = |side: &Side| {
        let tags = fated.iter().map(|one| &one.tag);
        let tags = tags.filter(|tag| sender(tag) == Some(*side) && !is_asked(tag));
        let items: Vec<Tag> = tags.cloned().collect();
        (!items.is_empty()).then(|| Wait {
            beside: false,
            items,
            side: *side,
            to_do: FIND_OR_WRITE_OFF,
            why: "It was not found where it was to be received".to_owned(),
        })
    };
    Side::ALL.iter().filter_map(lost_by).collect()
}

/// What the checks after the fit wait for, with what it stands on.
fn after_the_fit(case: &CaseState, ordered: &Ordered) -> Vec<Wait> {
    if case.is_cancelled() {
        return Vec::new();
    }
    let open = case.follow_ups.iter().filter(|one| one.awaits_answer());
    let answers = open.map(|one| Wait {
        beside: false,
        items: Vec::new(),
        side: Side::Lab,
        to_do: "say how you see the part of each side",
        why: format!(
            "{} entered on {}: {}",
            one.by,
            one.at.in_words(),
            one.words()
        ),
    });
    let again = again_to_order(&case.follow_ups, ordered.since, &ordered.others);
    answers.chain(again.map(to_order)).collect()
}

/// What the lab is to make again or to correct, and nobody has ordered.
fn to_order(one: &FollowUpEntry) -> Wait {
    let what = match one.followed_by {
        FollowedBy::Remake => "A remake",
        _ => "A correction",
    };
    let (to_do, how) = match one.is_disputed() {
        true => (
            "sign a revision for it all the same, or enter the check again",
            "is not agreed on",
        ),
        false => (
            "sign a new revision, or open a new case for it and close this one",
            "was agreed on",
        ),
    };
    Wait {
        beside: false,
        items: Vec::new(),
        side: Side::Office,
        to_do,
        why: format!(
            "{what} of the {} {how}; it stands on the check of {}, {}: {}",
            one.arches.shown(),
            one.at.in_words(),
            one.check.shown(),
            one.words()
        ),
    }
}

/// The spare that the patient has lost, where nobody has said whether another is wanted.
fn of_the_spare(context: &Context<'_>, case: &CaseState, standing: &Standing) -> Option<Wait> {
    let mut tasks = standing.waiting_for.iter();
    let is_asked = tasks.any(|task| task.step == Step::SpareLost);
    let is_lost = |item: &&Item| {
        let state = case.item(&item.tag);
        let is_gone = state
            .is_some_and(|one| one.gone == Some(Gone::WrittenOff) && one.holder == Holder::Patient);
        item.kind == ItemKind::Duplicate && is_gone
    };
    let lost = context.items.iter().filter(is_lost);
    let items: Vec<Tag> = lost.map(|item| item.tag.clone()).collect();
    (is_asked && !items.is_empty()).then(|| Wait {
        items,
        beside: false,
        side: Side::Office,
        to_do: "sign a revision that orders another, or one without it",
        why: "The spare is lost".to_owned(),
    })
}

/// What the office has found not as asked: it sends that back or uses it as it is; what it has sent back, the lab sets
/// right.
fn not_as_asked(
    context: &Context<'_>,
    case: &CaseState,
    ordered: &Ordered,
    standing: &Standing,
) -> Vec<Wait> {
    let is_next = |step: Step| standing.waiting_for.iter().any(|task| task.step == step);
    let wait = |item: &Item| {
        let state = case.item(&item.tag)?;
        let (side, to_do) = match state.holder {
            _ if !state.is_there() => return None,
            Holder::Lab | Holder::Passed(_) if is_next(Step::Make) => {
                (Side::Lab, "set it right, and hand it back")
            }
            Holder::Office if is_next(Step::NotAsAsked) && state.is_in_hand(Side::Office) => {
                (Side::Office, "send it back, or use it as it is")
            }
            _ => return None,
        };
        let found = found_wanting(case, item, ordered.revision);
        let (entry, _) = found.first()?;
        let words: Vec<String> = found.iter().map(|(_, found)| found.words()).collect();
        Some(Wait {
            items: vec![item.tag.clone()],
            beside: false,
            side,
            to_do,
            why: format!("Checked on {}: {}", entry.at.in_words(), words.join("; ")),
        })
    };
    context.items.iter().filter_map(wait).collect()
}

/// Signs of a question that stand among what waits, at most: the whole stands on the page of the questions.
const ASKED_MOST: usize = 160;

/// How a text begins, cut between words.
fn beginning(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.chars().count() <= ASKED_MOST {
        return text;
    }
    let cut: String = text.chars().take(ASKED_MOST).collect();
    let whole = cut
        .rsplit_once(' ')
        .map_or(cut.as_str(), |(whole, _)| whole);
    format!("{whole} …")
}

/// How a question of the second laboratory begins, where a line tells of it: it is asked of the first laboratory, and
/// the office does not read it.
pub fn asked_by_second(case: &CaseState, wait: &Wait) -> Option<String> {
    let mut open = case.open_pass_questions();
    let (_, one) = open.find(|(_, one)| one.asked_words() == wait.why)?;
    Some(quoted(&one.text))
}

/// How a question begins, behind what tells of it; nothing where it is asked without words.
fn quoted(text: &str) -> String {
    match beginning(text).as_str() {
        "" => String::new(),
        said => format!(": “{said}”"),
    }
}

/// What is asked and not answered, and what was said on the telephone by one side's word alone.
fn asked(case: &CaseState) -> Vec<Wait> {
    // Work that is given up asks nothing any more.
    let open = case.open_questions().filter(|_| !case.is_cancelled());
    let questions = open.map(|one| Wait {
        beside: false,
        items: one.item.iter().cloned().collect(),
        side: one.to(),
        to_do: match (&one.promised, one.is_for_information()) {
            (Some(_), _) => "sign the revision, or answer that none is needed",
            (None, true) => "read it",
            (None, false) => ANSWER,
        },
        why: match (&one.promised, one.waits) {
            (Some(reply), is_waited_for) => {
                let answered = format!("{} answered on {}", reply.by, reply.at.in_words());
                match is_waited_for {
                    true => format!("{answered}: a revision follows, and the work waits for it"),
                    false => format!("{answered}: a revision follows"),
                }
            }
            (None, is_waited_for) => {
                let waits = match is_waited_for {
                    true => ", and the work waits for the answer",
                    false => "",
                };
                format!("{}{waits}{}", one.asked_words(), quoted(&one.text))
            }
        },
    });
    let calls = case.unconfirmed_calls().map(|one| Wait {
        beside: false,
        items: Vec::new(),
        side: one.from.other(),
        to_do: "say whether it was so",
        why: format!(
            "{} wrote down a telephone call on {}",
            one.by,
            one.at.in_words()
        ),
    });
    let by_second = case.open_pass_questions().map(|(pass, one)| Wait {
        beside: false,
        items: pass.items.clone(),
        side: Side::Lab,
        to_do: ANSWER,
        why: one.asked_words(),
    });
    questions.chain(by_second).chain(calls).collect()
}

/// Work passed on that the office has not spoken of, that is due back, or that is done to an older revision.
fn passed_on(case: &CaseState, revision: i64, today: Date) -> Vec<Wait> {
    let mut waits = Vec::new();
    for one in case.open_passes() {
        let away: Vec<Tag> = one.away(case).cloned().collect();
        let mut wait = |side, to_do, why: String| {
            waits.push(Wait {
                beside: false,
                items: match away.is_empty() {
                    true => one.items.clone(),
                    false => away.clone(),
                },
                side,
                to_do,
                why,
            });
        };
        let (lab, by, at) = (&one.to.name, &one.by, one.at.in_words());
        let passed = format!("{by} passed work on to {lab} on {at}");
        match &one.reply {
            _ if case.is_cancelled() || case.closed => {}
            None if one.needs_consent => wait(Side::Office, "say whether it may be", passed),
            None => wait(Side::Office, "acknowledge it", passed),
            Some(_) if one.is_refused() => {
                let why = format!("The office says that work is not to be passed on to {lab}");
                wait(Side::Lab, "end that, or talk to the office", why);
            }
            Some(_) => {}
        }
        if away.is_empty() {
            continue;
        }
        if one.revision < revision && !case.is_cancelled() {
            let why = format!(
                "{lab} works to revision {}, and revision {revision} is in force",
                one.revision
            );
            wait(Side::Lab, "pass it on again, or have it back", why);
        }
        if one.wanted < today {
            let why = format!("Wanted back from {lab} on {}", whole_day(one.wanted));
            wait(Side::Lab, "have it back", why);
        }
    }
    waits
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
            beside: false,
            items: vec![item.tag.clone()],
            side: match state.holder {
                Holder::Lab | Holder::Passed(_) => Side::Lab,
                _ => Side::Office,
            },
            to_do: "disinfect it and record that",
            why: "It came without a mark of disinfection".to_owned(),
        });
    }
    waits
}

/// What its sender is to find or to give up, in one line for each side and each thing that is to be done.
fn lost_on_the_way(standing: &Standing) -> Vec<Wait> {
    let mut waits: Vec<Wait> = Vec::new();
    let all: &[Astray] = &standing.astray;
    for one in all {
        let is_same = |wait: &&mut Wait| (wait.side, wait.to_do) == (one.side, one.to_do);
        match waits.iter_mut().find(is_same) {
            Some(wait) => wait.items.push(one.tag.clone()),
            None => waits.push(Wait {
                beside: false,
                items: vec![one.tag.clone()],
                side: one.side,
                to_do: one.to_do,
                why: one.why().to_owned(),
            }),
        }
    }
    waits
}

/// Each way of not having come: who does something about it, what, and why.
const NOT_COME: [(NotCome, Side, &str, &str); 8] = [
    (
        NotCome::Stays,
        Side::Office,
        "send it, or sign a revision without it",
        "has not been sent",
    ),
    (
        NotCome::NotStored,
        Side::Office,
        "add the files under 3D scans, or sign a revision without them",
        "not stored here",
    ),
    (NotCome::OnTheWay, Side::Lab, "receive it", "is on the way"),
    (
        NotCome::Missing,
        Side::Office,
        "find it and send it, or sign a revision without it",
        "did not come with its parcel",
    ),
    (
        NotCome::Mistaken,
        Side::Office,
        "register it again, or sign a revision without it",
        "was registered by mistake",
    ),
    (
        NotCome::GivenUp,
        Side::Office,
        "sign a revision without it",
        "is given up: it is not at the lab",
    ),
    (
        NotCome::Destroyed,
        Side::Office,
        SAY_MADE_FROM,
        "was destroyed at the lab",
    ),
    (
        NotCome::Lost,
        Side::Office,
        SAY_MADE_FROM,
        "is lost at the lab",
    ),
];

/// What is listed as enclosed and has not come, in one line for each way of not having come.
fn listed(ordered: &Ordered, lacking: &[Lacking], case: &CaseState) -> Vec<Wait> {
    // The newest parcel that holds it, and whether it was not packed there by its sender's word.
    let last_sent = |tag: &Tag| {
        let handoffs = case.handoffs.iter().filter(|one| one.voided.is_none());
        let mut to_lab = handoffs.filter(|one| one.from == Side::Office);
        let last = to_lab.rfind(|one| one.sent_item(tag).is_some())?;
        Some(last.not_packed.contains(tag))
    };
    let mut waits = Vec::new();
    for (how, side, to_do, words) in NOT_COME {
        // What had been there and is back was sent: it is missed all the same.
        for sent in [None, Some(false), Some(true)] {
            let is_so = |tag: &Tag| last_sent(tag).filter(|_| how == NotCome::Stays) == sent;
            let tags = lacking.iter().filter(|one| one.how == how);
            let tags = tags.map(|one| &one.tag).filter(|tag| is_so(tag));
            let items: Vec<Tag> = tags.cloned().collect();
            let words = match sent {
                None => words,
                Some(false) => "is not at the lab any more",
                Some(true) => "was not packed",
            };
            if !items.is_empty() {
                let revision = ordered.revision;
                waits.push(Wait {
                    beside: false,
                    items,
                    side,
                    to_do,
                    why: format!("Listed as enclosed in revision {revision}, and {words}"),
                });
            }
        }
    }
    waits
}
