//! What several kinds of events refuse in the same words.

use super::hold::Hold;
use super::proposal::{CustodyRule, ProposedEvent};
use crate::domain::values::ids::{EventId, Tag};
use crate::domain::values::moment::Moment;
use time::Date;

/// A day further ahead than this is a slip of the year.
const DAYS_AHEAD_MOST: i64 = 731;

/// A denture is worn, and nothing else.
pub const ONLY_A_DENTURE_IS_WORN: &str = "Only a denture can be in the patient's mouth.";

/// Of work passed on, until the office has said its word.
pub const NOT_BEFORE_THE_OFFICE_AGREES: &str = "Nothing goes before the office has agreed.";

/// Of whatever is begun in a closed case.
pub const THE_CASE_IS_CLOSED: &str =
    "The case is closed: open it again, with the reason, before anything else.";

/// Of what goes out of the house.
pub const NAME_THE_CARRIER: &str = "Name the carrier, who holds the items until they are received.";

/// Of the carrier's hand at the door.
pub const WRITE_WHO_TOOK_IT: &str = "Write the name or the initials of who took it.";

/// Of what was found wrong at a receipt, at once or later.
pub const SAY_WHAT_IS_DAMAGED: &str =
    "Say what is damaged or different: the other side has to know.";

/// Of a hold that is none, or none any more.
pub const NOTHING_TO_RESOLVE: &str = "There is nothing of this kind to resolve.";

/// What is packed is in nobody's hands.
pub fn is_packed(named: &str) -> String {
    format!("{named} is packed in a parcel that waits for the carrier: take the parcel back first.")
}

impl ProposedEvent<'_> {
    /// Refuses a day of another year.
    pub fn refuse_far_day(&mut self, day: Date) {
        if (day - self.at.date()).whole_days() > DAYS_AHEAD_MOST {
            let sentence = "That is more than two years ahead: look at the year.";
            self.refuse(CustodyRule::Form, None, sentence);
        }
    }

    /// Refuses to withdraw what is withdrawn. Whether it is.
    pub fn refuse_withdrawn(&mut self, event: &EventId, tag: Option<&Tag>) -> bool {
        let on = self.case.withdrawn_on(event);
        if let Some(on) = on {
            let sentence = format!("This entry was withdrawn on {on} already.");
            self.refuse(CustodyRule::J, tag, sentence);
        }
        on.is_some()
    }

    /// Refuses to withdraw an entry at a moment before it was made.
    pub fn refuse_before(&mut self, made: Moment, tag: Option<&Tag>) {
        if self.at.unix_ms < made.unix_ms {
            let made = made.in_words();
            let sentence = format!("The entry is of {made}, and is withdrawn after that.");
            self.refuse(CustodyRule::I, tag, sentence);
        }
    }

    /// Refuses a house that did not make the entry.
    pub fn refuse_other_house(&mut self, tag: Option<&Tag>) {
        let sentence = "The side that made the entry withdraws it.";
        self.refuse(CustodyRule::Right, tag, sentence);
    }

    /// Refuses what comes before the last entry about the thing.
    pub fn refuse_before_the_last(&mut self, tag: Option<&Tag>) {
        let last = tag
            .and_then(|tag| self.state(tag))
            .map(|state| state.last_at);
        if let Some(last) = last.filter(|last| self.comes_before(*last)) {
            let last = last.in_words();
            let sentence =
                format!("The last entry about it is of {last}, and this one would be earlier.");
            self.refuse(CustodyRule::I, tag, sentence);
        }
    }

    /// Refuses a second answer.
    pub fn refuse_answered(&mut self, by: &str, at: Moment) {
        let at = at.in_words();
        let sentence = format!("{by} has answered this on {at}: look at the case again.");
        self.refuse(CustodyRule::F, None, sentence);
    }

    /// Refuses what is dated before the question that it is about.
    pub fn refuse_before_question(&mut self, asked: Moment) {
        if self.at.unix_ms < asked.unix_ms {
            let sentence = format!("The question is of {asked}, and this would be earlier.");
            self.refuse(CustodyRule::I, None, sentence);
        }
    }

    /// Refuses what is dated before the work was passed on that it is about.
    pub fn refuse_before_passed(&mut self, passed: Moment) {
        if self.comes_before(passed) {
            let sentence = format!("It was passed on on {passed}, and this would be earlier.");
            self.refuse(CustodyRule::I, None, sentence);
        }
    }

    /// Refuses what waits for a hold.
    pub fn refuse_held(&mut self, tag: &Tag, hold: &Hold) {
        let sentence = format!(
            "{} is on hold: {}. The {} resolves that first, with a signed statement.",
            self.named(tag),
            hold.words(self.scope.items),
            hold.side.shown(),
        );
        self.refuse(CustodyRule::Held, Some(tag), sentence);
    }

    /// Refuses that a house which has borrowed a thing ends it.
    pub fn refuse_end_of_loan(&mut self, tag: &Tag) {
        let is_lent = self.scope.item(tag).is_some_and(|item| item.borrowed);
        let home = self.state(tag).map(|state| state.home);
        if is_lent && home != Some(self.side) {
            let sentence = format!(
                "{} is lent: enter that it is damaged, and its house says what becomes of it.",
                self.named(tag)
            );
            self.refuse(CustodyRule::Right, Some(tag), sentence);
        }
    }

    /// Refuses what is done with a thing in other hands.
    pub fn refuse_elsewhere(&mut self, rule: CustodyRule, tag: &Tag, place: &str) {
        let sentence = format!(
            "{} is {place}, so this cannot be done with it here.",
            self.named(tag)
        );
        self.refuse(rule, Some(tag), sentence);
    }
}
