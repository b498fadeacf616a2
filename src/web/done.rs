//! What has just been done: the word that an address carries, and the sentence that the page says. Each stands here
//! alone.

use crate::domain::values::ids::CaseNumber;

macro_rules! done {
    ($($name:ident $word:literal $sentence:expr;)*) => {
        /// Something that was done, as the page to which it leads says it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Done {$($name),*}

        impl Done {
            #[cfg(test)]
            const ALL: &[Done] = &[$(Done::$name),*];

            /// As an address carries it.
            pub fn word(self) -> &'static str {
                match self {$(Done::$name => $word),*}
            }

            /// The word of an address; none where nobody says it.
            pub fn of(word: &str) -> Option<Done> {
                match word {$($word => Some(Done::$name),)* _ => None}
            }

            /// As the page says it.
            pub fn sentence(self) -> &'static str {
                match self {$(Done::$name => $sentence),*}
            }
        }
    };
}

/// Of a file that a case has now.
const ADDED: &str = "Added: both sides see it.";

done! {
Saved "saved" "Saved.";
Opened "opened" "The case is open. Register what you have in hand, and write the prescription.";
Signed "signed" "Signed. The lab sees this revision now.";
Acknowledged "acknowledged" "Acknowledged: the office sees that you work to this revision.";
Item "item" "Registered. Label the item now.";
Set "set" "Registered. Print the labels now, and stick each on its item; what is in the mouth gets none yet.";
Released "released" "Handed over. It is on the way until the other side has received it.";
Packed "packed" "Packed. It waits for the carrier: enter the pick-up on the handoff's page when it leaves.";
PickedUp "picked_up" "The pick-up is entered. It is on the way until the other side has received it.";
Received "received" "Received. Both sides see it in the history.";
Recorded "recorded" "Recorded in the history.";
Erased "erased" "Erased. That it was done, by whom and why, stands in the history.";
Resolved "resolved" "Signed. Both sides see the statement, and the work may go on.";
Halted "halted" "Entered. The lab sees it on top of the case.";
Asked "asked" "Asked: it stands on top of the other side's first page.";
Pictured "pictured" ADDED;
ScanFiled "scan_filed" ADDED;
Marked "marked" "Entered: both sides see it.";
Answered "answered" "Answered: the other side sees it at once.";
Shown "shown" "The picture is added: both sides see it with the question.";
TakenBack "taken_back" "Taken back.";
Telephoned "telephoned" "Written down. The other side says whether it was so.";
Confirmed "confirmed" "Confirmed.";
NoRevision "no_revision" "Entered: the lab sees why no revision is needed.";
NotSo "not_so" "Entered: it counts no more. What it had answered is open again.";
Promised "promised" "Entered: the office sees the day that you have named.";
DayAnswered "day_answered" "Entered: the lab sees what you say to the day.";
PassedOn "passed_on" "Passed on: the office sees it at once. Print the authorization; it goes along.";
PassAnswered "pass_answered" "Entered: the lab sees what you say to it.";
PassMoved "pass_moved" "Entered: both sides see where the items are.";
PassAsked "pass_asked" "Asked: the laboratory that has passed it on sees it at once.";
PassReplied "pass_replied" "Answered: the second laboratory sees it.";
PassWithdrawn "pass_withdrawn" "Withdrawn. Both entries stay in the record.";
PassEnded "pass_ended" "Ended. Its entries stay in the history.";
Worked "worked" "Entered. What is next stands below.";
CarriedOver "carried_over" "Entered: the office reads it in the history. What is next stands below.";
Timer "timer" "The timer runs. It goes on whatever becomes of this page.";
TimerStopped "timer_stopped" "Stopped. It goes into the entry of its step.";
TimerAway "timer_away" "The timer is taken away.";
Undone "undone" "Withdrawn. Both entries stay in the history, and the step counts as not done.";
FitChecked "fit_checked" "Entered. Both sides see it on the page of the case.";
FollowedUp "followed_up" "Entered. The lab reads it on the page of the case.";
ShareAnswered "share_answered" "Entered. The office reads it beside its own word.";
FitUndone "fit_undone" "Withdrawn. Both entries stay in the history.";
Assigned "assigned" "Pan and technician are entered.";
Heeded "heeded" "Entered: the office sees that you know of it.";
KeptLonger "kept_longer" "Entered: the papers of this case are kept longer, and none of its texts is erased.";
KeptNoLonger "kept_no_longer" "Entered: the papers of this case need not be kept longer.";
Closed "closed" "The case is closed. It is found by its number and on the patient's card.";
Reopened "reopened" "The case is open again.";
Revoked "revoked" "The link is void: nobody comes in by it any more.";
Ended "ended" "The session is ended.";
FeedEnded "feed_ended" "The address is ended: no calendar is read by it any more.";
Code "code" "Your code is set. It is taken on the devices that your lab has allowed.";
NoCode "no_code" "You have no code any more.";
Device "device" "This device is allowed. Whoever has a code comes in here by it.";
DeviceBack "device_back" "Taken back: nobody goes on there by a code.";
Password "password" "Your password is changed, and all other browsers are signed out.";
Taken "taken" "The sentence stands in the remarks of the draft: change it as you need.";
Loaded "loaded" "Loaded. This list is in force now. Every version stays below.";
Usual "usual" "Saved. New drafts are filled from it from now on.";
SetEnded "set_ended" "Ended. Its versions stay below.";
Out "out" "Out of use. Hints and review no longer look at it; its versions stay below.";
AlarmsCleared "alarms_cleared" "The alarms are cleared. What was kept stays written down, and the record of now is kept from here on.";
Clock "clock" "Noted: the clock is right. Send again what was not entered.";
Discarded "discarded" "The draft is given up. The signed revision stays in force.";}

impl Done {
    /// The address of a page that says it.
    pub fn at(self, path: &str) -> String {
        let joined = if path.contains('?') { '&' } else { '?' };
        format!("{path}{joined}done={}", self.word())
    }

    /// The address of a case whose page says it.
    pub fn on_case(self, number: &CaseNumber) -> String {
        self.at(&format!("/cases/{}", number.as_str()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_word_leads_to_its_own_sentence() {
        for done in Done::ALL {
            assert_eq!(Done::of(done.word()), Some(*done));
            assert!(done.sentence().ends_with('.'), "{done:?}");
        }
        assert_eq!(Done::of("<script>"), None);
        assert_eq!(Done::Saved.at("/law"), "/law?done=saved");
        assert_eq!(
            Done::Set.at("/labels?chosen=yes"),
            "/labels?chosen=yes&done=set"
        );
    }
}
