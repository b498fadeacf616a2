//! A case: one patient's course for one set of dentures, between one office and one lab.

use super::agenda::{AGAINST_TEETH, CaseAgenda, OrderedWork};
use super::held::Held;
use crate::domain::people::party::Side;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::{CaseNumber, PartyId, PatientCode};
use crate::domain::values::words_of;
use std::fmt;
use time::Date;

words_of! {
    /// Where the case as a whole stands.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum Place {
        Office = "At the office",
        OnTheWay = "On the way",
        Lab = "At the lab",
        Patient = "With the patient",
    }
}

words_of! {
    /// What one side is to do so that a case goes on.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
    pub enum Step {
        /// An arch stands empty in which something was worn.
        Toothless = "see that the patient has teeth",
        /// Sign a statement on what was found wrong.
        Resolve = "answer the problem on arrival",
        Receive = "check in the parcel",
        /// The answer of the house that is asked.
        Answer = "answer a question",
        Read = "read what the patient says",
        /// Whether a telephone call was as the other house has written it down.
        Confirm = "confirm what was said on the telephone",
        /// Whether the day will do that the lab has named.
        AnswerDay = "say whether the promised day will do",
        /// Whether the lab may pass the work on to a second one; nothing goes before.
        Consent = "say whether the work may be passed on",
        /// Read that the lab has passed the work on.
        NotePass = "acknowledge that the work is passed on",
        /// How the lab sees the part of each side in a correction or a remake.
        AnswerShare = "say how you see the part of each side",
        /// The receiver's own entry, of what came without a mark.
        Disinfect = "disinfect what came without a mark",
        /// Take notice that the work is stopped, paused or cancelled.
        Heed = "acknowledge that the work stands still",
        /// Say whether the work goes on.
        Decide = "say whether the work goes on",
        /// Send back or destroy what the lab has of cancelled work.
        WindUp = "send back or destroy what is left of the canceled work",
        /// All that was made is worn, and the lab still has what the office had sent.
        SendBack = "send back what is the office's",
        /// Cancelled, and everything is where it was to go.
        Close = "close the canceled case",
        /// Send what the prescription lists as enclosed.
        Enclose = "send what is listed as enclosed and has not come",
        /// A scan is listed as a file, and nobody has added it.
        AddFiles = "add the scan files that are listed and not stored here",
        /// Hand the parcels to the carrier, and enter that.
        PickUp = "hand the parcels to the carrier",
        /// The arch of a denture that is packed has been emptied since.
        KeepParcel = "keep the parcel here, the patient has no teeth in that arch: put a denture in, or take the parcel back",
        /// What is packed for work that is cancelled stays here.
        TakeBack = "take back the parcel that is packed: the work is canceled",
        /// What went astray is found and sent, or left out of the next revision.
        Find = "find what did not come, or sign a revision without it",
        /// What the lab had sent and the office did not find.
        FindSent = "find what did not come, or make it again",
        /// What did not come and is not made again, or is what the work is made from: its sender finds it or gives it up.
        FindLost = "find what did not come, or write it off",
        Write = "write and sign the prescription",
        /// A question was answered with the word that a revision follows.
        Promised = "sign the revision that was promised, or answer that none is needed",
        /// What both houses say was said on the telephone is otherwise than the prescription in force.
        WriteCall = "write what was said on the telephone into a revision, or say why none is needed",
        /// The card says of substances what the revision in force does not.
        Revise = "look at what is to be avoided, and sign a revision",
        /// The same, for whoever would go on with the work meanwhile.
        AskAvoided = "ask the office before the work goes on: the patient’s card names more to be avoided",
        Acknowledge = "read and acknowledge the prescription",
        /// A second laboratory works to an earlier revision.
        #[strum(serialize = "pass_anew")]
        PassAgain = "pass the work on again, or have it back",
        Make = "make the work and hand it back",
        /// All else that was ordered has left the lab, or is packed there.
        MakeSpare = "make the spare and hand it back",
        Fit = "fit what came back",
        /// The spare came, and the final is worn.
        GiveSpare = "give the spare to the patient",
        /// The patient has lost the spare.
        SpareLost = "order the lost spare again, or sign a revision without it",
        /// It came damaged, or was made for an earlier revision: the dentist decides.
        Weigh = "send back what came, or use it as it is",
        /// By the office's own check.
        NotAsAsked = "send back what was found not as asked, or use it as it is",
        /// What was made for an earlier revision was used as it is.
        WillDo = "sign a revision that keeps what is worn, or hand over to the lab",
        /// Rims, a set-up, a try-in or a tray: what is made next, the dentist says after it.
        TryIn = "try in or use what came, and sign what is made next",
        HandOver = "hand over to the lab",
        /// Nothing is there that could go to the lab.
        Register = "register what goes to the lab",
    }
}

impl Step {
    /// Whether the other house has asked something, or has told something, and waits for a word to it.
    pub fn is_asked_or_told(self) -> bool {
        matches!(
            self,
            Step::Answer
                | Step::Read
                | Step::Confirm
                | Step::AnswerDay
                | Step::Consent
                | Step::NotePass
                | Step::AnswerShare
        )
    }
}

/// A step, and the side that it waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Task {
    pub side: Side,
    pub step: Step,
}

impl Task {
    /// The stored words: `office:resolve`.
    pub fn word(self) -> String {
        format!("{}:{}", self.side.word(), self.step.word())
    }

    /// Reads the stored words.
    pub fn from_word(text: &str) -> Option<Task> {
        let (side, step) = text.split_once(':')?;
        Some(Task {
            side: Side::from_word(side)?,
            step: Step::from_word(step)?,
        })
    }
}

/// "the office: fit what came back"
impl fmt::Display for Task {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whom = match self.side {
            Side::Office => "the office",
            Side::Lab => "the lab",
        };
        write!(f, "{whom}: {}", self.step.shown())
    }
}

/// A case as stored, with what the first page shows of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Case {
    pub number: CaseNumber,
    pub office: PartyId,
    pub lab: PartyId,
    pub patient: PatientCode,
    pub arches: Arches,
    pub opened_ms: i64,
    pub closed: bool,
    pub place: Place,
    /// Where more of its work is: a case can wait for both sides at once.
    pub also: Option<Place>,
    /// Why work is held; `None` when it is not.
    pub held: Option<Held>,
    /// The next steps; none where nobody has one.
    pub waiting_for: Vec<Task>,
    /// The day in the dentist's hands; `None` while no signed revision says one.
    pub due: Option<Date>,
    /// The earliest day on which something lent is due back with its lender; `None` when nothing is.
    pub lent_due: Option<Date>,
    /// What is ordered, in a few words.
    pub summary: String,
    /// The newest signed revision; 0 when none is.
    pub revision: i64,
    /// The newest revision that the lab has acknowledged; 0 when none is.
    pub acknowledged: i64,
    pub changed_ms: i64,
    pub version: i64,
    /// Where it stands for either side, and what a line of an agenda tells of it.
    pub agenda: CaseAgenda,
    /// By which way of drawing the columns above were made; see [`DRAWN`].
    pub drawn: i64,
}

/// What a list says of the order before anything is signed: a draft may say anything yet, and is nobody's but the office's.
pub fn unsigned_summary(arches: Arches) -> String {
    format!("Nothing ordered yet, {}", arches.shown())
}

/// What is ordered; the same of both jaws, and nothing beside it, said once: "upper and lower, process and finish".
fn in_short(work: &[OrderedWork], summary: &str) -> String {
    match work {
        [first, second]
            if (first.arch, second.arch) == (Some(Arch::Upper), Some(Arch::Lower))
                && first.stage == second.stage =>
        {
            format!("upper and lower, {}", first.stage.shown())
        }
        _ => summary.to_owned(),
    }
}

/// How this program draws what lists show of a case. It grows when the same events are drawn otherwise, and a start
/// draws again what was drawn before.
pub const DRAWN: i64 = 18;

impl Case {
    /// What is made, as its pages are headed.
    pub fn title(&self) -> String {
        let summary = in_short(&self.agenda.work, &self.summary);
        match self.agenda.is_against_teeth() {
            true => format!("{summary}, {AGAINST_TEETH}"),
            false => summary,
        }
    }

    /// The side of the party `id`; `None` for a stranger, who may not even know that the case exists.
    pub fn side_of(&self, id: &PartyId) -> Option<Side> {
        if id.is_empty() {
            None
        } else if self.office == *id {
            Some(Side::Office)
        } else if self.lab == *id {
            Some(Side::Lab)
        } else {
            None
        }
    }

    /// Whether somebody is to do this next.
    pub fn asks(&self, step: Step) -> bool {
        self.waiting_for.iter().any(|task| task.step == step)
    }

    /// The reason of a hold in words; empty where there is none.
    pub fn held_shown(&self) -> String {
        let held = self.held.as_ref();
        held.map(Held::to_string).unwrap_or_default()
    }

    /// What keeps its work back, for the lab's own list: why it is held, and that listed things have not come; empty where
    /// nothing is so.
    pub fn lacks_shown(&self) -> String {
        let mut words = vec![self.held_shown()];
        if self.asks(Step::Enclose) {
            words.push("listed as enclosed, and not come".to_owned());
        }
        if self.asks(Step::AddFiles) {
            words.push("files listed, and not stored here".to_owned());
        }
        let is_lost = self.waiting_for.contains(&Task {
            side: Side::Office,
            step: Step::FindLost,
        });
        if self.asks(Step::Find) || is_lost {
            words.push("did not come with its parcel, and is to be found".to_owned());
        }
        words.retain(|words| !words.is_empty());
        words.join("; ")
    }
}

/// The next steps of a case: a signed statement of each of these sides on what is held, the earliest first, then
/// the parcels that wait for their carrier at these sides, then `next`. What is packed or on the way goes on
/// while something is held; all else waits. What the lab has packed is none of the work that it has still to make.
pub fn to_do(to_resolve: &[Side], packed: &[Side], next: &[Task]) -> Vec<Task> {
    let task = |step: Step| move |&side: &Side| Task { side, step };
    let goes_on = |task: &Task| {
        let is_of_a_hold = matches!(
            task.step,
            Step::Make
                | Step::MakeSpare
                | Step::Fit
                | Step::GiveSpare
                | Step::Weigh
                | Step::NotAsAsked
                | Step::TryIn
                | Step::Find
                | Step::FindSent
                | Step::FindLost
                | Step::HandOver
                | Step::WillDo
                | Step::Register
                | Step::Acknowledge
                | Step::Write
        );
        !is_of_a_hold || to_resolve.is_empty()
    };
    // An office that has packed has nothing more to hand over until the carrier came.
    let is_done = |task: &Task| {
        let is_sending = matches!(task.step, Step::HandOver | Step::WillDo | Step::Register);
        is_sending && packed.contains(&task.side)
    };
    let resolving = to_resolve.iter().map(task(Step::Resolve));
    let packed_tasks = packed.iter().map(task(Step::PickUp));
    let next = next.iter().copied();
    let next = next.filter(|task| goes_on(task) && !is_done(task));
    resolving.chain(packed_tasks).chain(next).collect()
}

/// The first step of a case of which nothing is signed.
pub const FIRST_TASK: Task = Task {
    side: Side::Office,
    step: Step::Write,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_of_both_jaws_is_said_once() {
        for (work, summary, shown) in [
            (
                "upper:process,lower:process",
                "upper process and finish, lower process and finish",
                "upper and lower, process and finish",
            ),
            (
                "upper:process,lower:reline",
                "upper process and finish, lower reline",
                "upper process and finish, lower reline",
            ),
            (
                "upper:set_up,lower:set_up,upper:duplicate",
                "upper set-up, lower set-up, upper duplicate",
                "upper set-up, lower set-up, upper duplicate",
            ),
            ("lower:reline", "lower reline", "lower reline"),
            (
                "",
                "Nothing ordered yet, upper and lower",
                "Nothing ordered yet, upper and lower",
            ),
        ] {
            let work = OrderedWork::from_word(work).unwrap();
            assert_eq!(in_short(&work, summary), shown);
        }
    }

    #[test]
    fn a_hold_waits_for_its_statements_and_for_what_is_on_the_way() {
        let of = |side, step| Task { side, step };
        let resolve = [
            of(Side::Lab, Step::Resolve),
            of(Side::Office, Step::Resolve),
        ];
        let (receive, make) = (of(Side::Lab, Step::Receive), of(Side::Lab, Step::Make));
        let sides = [Side::Lab, Side::Office];
        let table = [
            (&sides[..], Some(make), resolve.to_vec()),
            (&sides[1..], Some(receive), vec![resolve[1], receive]),
            (&[], Some(make), vec![make]),
            (&[], None, vec![]),
        ];
        for (sides, next, tasks) in table {
            assert_eq!(to_do(sides, &[], &Vec::from_iter(next)), tasks);
        }
    }

    #[test]
    fn what_is_packed_waits_for_the_carrier_beside_what_else_goes_on() {
        let of = |side, step| Task { side, step };
        let (office, lab) = (of(Side::Office, Step::PickUp), of(Side::Lab, Step::PickUp));
        let (make, send) = (of(Side::Lab, Step::Make), of(Side::Office, Step::HandOver));
        let (receive, write) = (of(Side::Lab, Step::Receive), of(Side::Office, Step::Write));
        let resolve = of(Side::Lab, Step::Resolve);
        let table = [
            // What was to be handed over is packed.
            (&[][..], &[Side::Office][..], Some(send), vec![office]),
            (&[], &[Side::Lab], Some(make), vec![lab, make]),
            (
                &[],
                &[Side::Office],
                Some(of(Side::Office, Step::Register)),
                vec![office],
            ),
            // The other side goes on.
            (&[], &[Side::Office], Some(make), vec![office, make]),
            (&[], &[Side::Lab], Some(receive), vec![lab, receive]),
            // What is packed says nothing of the prescription.
            (&[], &[Side::Office], Some(write), vec![office, write]),
            // A hold keeps no parcel back that is packed.
            (
                &[Side::Lab],
                &[Side::Office],
                Some(make),
                vec![resolve, office],
            ),
            (
                &[],
                &[Side::Office, Side::Lab],
                Some(send),
                vec![office, lab],
            ),
        ];
        for (held, packed, next, tasks) in table {
            assert_eq!(
                to_do(held, packed, &Vec::from_iter(next)),
                tasks,
                "{held:?} {packed:?} {next:?}"
            );
        }
        assert_eq!(
            office.to_string(),
            "the office: hand the parcels to the carrier"
        );
    }

    #[test]
    fn every_task_is_read_as_it_was_stored() {
        for &side in Side::ALL {
            for &step in Step::ALL {
                let task = Task { side, step };
                assert_eq!(Task::from_word(&task.word()), Some(task));
            }
        }
        for wrong in ["", "office", "office:x", "x:make", "the office: fit"] {
            assert_eq!(Task::from_word(wrong), None, "{wrong:?}");
        }
    }
}
