//! Custody: events are facts that are never edited; who holds what, in which condition, is drawn from them.
//!
//! [`CaseState`] is what a case's events say at their end, and so at any moment asked for.
//! [`allow`] is the one decision: every screen that proposes an event asks it, and it answers with the
//! rules that stand against it, each in a sentence for the person at the screen.

mod absent; // what a step needs and is not here
pub mod agenda; // where a case stands for either side
pub mod agreed; // the day that was agreed on at a moment
mod astray;
mod at_hand; // what a house has in hand
mod balance; // what came back of what went out
pub mod bench; // steps at the lab's bench
pub mod by_revision; // by which revision an entry is made
mod came_in; // when things came to a house
mod card_since; // the card says otherwise than what was signed
pub mod case; // a case and where it stands
pub mod case_actions; // what can be done with a case, the likeliest first
mod case_state; // a case in hand, folded once
mod casts; // matrix and casts that the lab keeps
mod changed_at_chair; // what the signed text knows nothing of
mod closing; // what became of every item
mod common_refusals; // what several kinds of events refuse
mod consent_to_pass; // whether the office agrees to a second laboratory
pub mod contradictions; // two cases of one patient that cannot both be right
mod copied; // dentures that the lab copies
mod correction_notes; // what is wrong in an entry, by a note
mod describe; // an event in words
pub mod emptied; // an arch that stands empty
mod erased_text; // a text that was taken out
pub mod erasing; // which texts can be
mod event; // one fact
pub mod events; // the kinds of events, a file each
mod finished; // finished work that waits while the case stands still
pub mod fit; // what comes back against what was asked
mod fit_due; // what came back and nobody has checked
mod fold; // from the events to the case
pub mod follow_up; // checks after the fit
pub mod forms; // what forms ask for
pub mod handoff; // a release and its receipt
mod handover; // what leaves for what, and whether it is what was ordered
mod hangs; // what hangs on an item that is to be ended
pub mod held; // why a case is on hold, as lists keep it
mod hold; // what was found wrong
pub mod item; // the things that travel
mod item_file; // what a file is known by
mod keeping; // papers that are kept beyond their time
mod lineage; // what came of what, and what is lent
pub mod mouth; // what the patient wears
mod next_check; // the next check after the fit
mod offers; // what is offered, by the rules
mod open_questions; // what is asked and still open
mod ordered; // what the prescription in force says of things
mod out_of_force; // why nobody works from a copy any more
mod parcel; // items and parcels as sent and as found
mod passed; // work passed on to a second laboratory
mod passes; // where its things are
mod pictures; // pictures of a case
mod pieces; // how far each piece of the work has come
pub mod progress; // how far the work has come, for the plan of its days
pub mod promise; // the day that the lab names
mod proposal; // an event that is proposed
mod purpose; // what a handoff is for
mod questions; // what one house asks the other
mod ready; // whether work for an arch can be begun
pub mod rested; // when the work could not go on
pub mod ribbon; // custody as lines over time
mod rounds; // which round at the bench the work is in
mod rules; // what holds for every kind
mod said_to_lab; // what is read at the bench beside the prescription
mod scan_files; // scans of a case as files
mod scanned; // an item in hand against what is wanted
pub mod sets; // which dentures of a case belong together
mod sign; // the signs on the ribbon
mod signature; // signed statements and exceptions
mod stamp; // under what an event stands
mod standing; // where the case as a whole stands
mod standstill; // work that is stopped, paused or cancelled
mod state; // one item: where and how it is
mod stated; // what was signed of a flaw
mod template; // the clear copy of an immediate denture's fitting surface
#[cfg(test)]
mod tests;
mod to_avoid; // what goes into the work and is to be avoided
pub mod to_do; // what is to be done first
mod turns; // draws the agenda
mod unwritten; // what was said on the telephone and no revision has taken up
mod waits; // what waits, for whom, and why
mod wind_up; // what cancelled work still moves
mod workload; // how much waits for each technician
mod worn; // what goes in and comes out

pub use absent::{absent, stays_behind};
pub use balance::Balance;
pub use came_in::came_in;
pub use card_since::CardSince;
pub use case_state::CaseState;
pub use casts::{UnregisteredCast, is_cast, last_day_of_casts, unregistered_casts};
pub use changed_at_chair::{ChangedAtChair, changed_at_chair};
pub use closing::{Disposed, Disposition, Undecided, dispositions};
pub use common_refusals::{NOT_BEFORE_THE_OFFICE_AGREES, NOTHING_TO_RESOLVE, THE_CASE_IS_CLOSED};
pub use consent_to_pass::ConsentAsked;
pub use correction_notes::{CorrectionNote, correction_notes};
pub use describe::{Description, describe, describe_as, describe_in};
pub use erased_text::{ERASED, EraseReason, ErasedText};
pub use event::Event;
pub use events::What;
pub use finished::waits_with_the_work;
pub use fit_due::{fit_is_due, found_wanting};
pub use fold::{Handlers, at, handlers, until};
pub use handover::{
    NotAskedFor, ToMake, back_left_out, copied_left_out, has_left_the_lab, is_nothing_registered,
    is_sent_by_mistake, left_out, not_asked_for, to_go_with_the_work, to_send_back, usual_purpose,
    work_in_hand,
};
pub use hangs::hangs_on;
pub use hold::{Ended, Hold, Trouble, seal_trouble};
pub use item_file::FileFacts;
pub use keeping::{KeepingHouses, KeptSince};
pub use lineage::{Lineage, Loan, LoanNow, lineage, loan, made_as, overdue};
pub use next_check::named_check;
pub use offers::{CaseStep, Offers};
pub use open_questions::WorkOver;
pub use ordered::{
    Lacking, ListedThing, NotCome, Ordered, lacking, records_of_before, stays_by, travels,
};
pub use out_of_force::OutOfForce;
pub use parcel::{Found, Outcome, Parcel, ParcelFound, SealFound, Sent};
pub use passed::{
    PassAnswer, PassCaution, PassEnd, PassLeg, PassQuestion, PassReply, PassedWork, SecondLab,
    SecondLabWork, doubts,
};
pub use pictures::{PICTURES_MOST, PRINTED_MOST, PictureOf, TakenPicture};
pub use pieces::{has_come, is_back, is_unsaid_at, made_for_earlier, spares_at_the_lab};
pub use promise::{DatePromise, DayAnswer, PromiseAnswer};
pub use proposal::{ClockWord, CustodyRule, Refusal, Scope, answers_too_early};
pub use purpose::{MadeBy, Purpose, purpose_words};
pub use questions::{CallVerdict, Matter, PhoneCall, Question, Reply, asks_from_the_work};
pub use ready::{NotReady, deferred_arches, made_before, not_ready};
pub use rounds::{
    asked_about, at_the_bench, by_revision as bench_by_revision, photographed, rounds, sent_back,
};
pub use rules::{Context, allow, allow_entered, allow_entered_in, allow_in};
pub use said_to_lab::SaidToLab;
pub use scan_files::{ADD_AGAIN, FiledScan, SCANS_MOST, ScanOf, box_words};
pub use scanned::{Wanted, ending, stands_against};
pub use signature::{Exception, Signed};
pub use standing::{Standing, standing};
pub use standstill::{Fate, Fated, Halt, Standstill};
pub use state::{Condition, Custody, Ending, Gone, Holder, HouseNames, PassedPlace, Spare, State};
pub use stated::{Stated, stated};
pub use template::{templates_left_out, templates_missed, templates_to_come};
pub use to_avoid::ToBeAvoided;
pub use turns::{agenda, is_done};
pub use unwritten::UnwrittenCall;
pub use waits::{ANSWER, Wait, asked_by_second, waits};
pub use workload::{DAYS, Workload, workload};
