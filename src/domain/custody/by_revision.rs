//! An entry is made by the revision in force: what stands against it where another was read, or shown, or signed later.

use super::events::{NOTHING_TO_PASS_ON, NOTHING_TO_PROMISE};
use super::forms::HaltKind;
use crate::domain::values::moment::Moment;

/// Paper tells whole minutes.
const MINUTE_MS: i64 = 60_000;

/// What stands against work by the revision in force.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AgainstRevision {
    NotSigned,
    /// None is accepted at the lab yet.
    NotAccepted {
        newest: i64,
    },
    /// The lab works to an earlier one.
    Superseded {
        newest: i64,
        accepted: i64,
    },
}

impl AgainstRevision {
    /// By the number of the newest and of the newest that the lab has accepted, each zero where there is none.
    pub fn of(newest: i64, accepted: i64) -> Option<AgainstRevision> {
        match (newest, accepted) {
            (..=0, _) => Some(AgainstRevision::NotSigned),
            (newest, ..=0) => Some(AgainstRevision::NotAccepted { newest }),
            (newest, accepted) if accepted < newest => {
                Some(AgainstRevision::Superseded { newest, accepted })
            }
            _ => None,
        }
    }

    pub fn sentence(self) -> String {
        match self {
            AgainstRevision::NotSigned => {
                "No prescription is signed: nothing is made without one.".to_owned()
            }
            AgainstRevision::NotAccepted { newest } => format!(
                "Revision {newest} is not accepted here yet: read it, and accept it on the page of the case."
            ),
            AgainstRevision::Superseded { newest, accepted } => format!(
                "Stop: revision {newest} is signed; the lab has accepted only revision {accepted}. Read what changed, and accept it."
            ),
        }
    }
}

/// The revision that was in force when something was done at the bench; what is done now is done to the newest, and only
/// where that is the one that the page showed and the lab has accepted. `signed` are the revisions with the moment of each,
/// oldest first; `late` is when it was done, where it is copied from paper.
///
/// # Errors
/// A sentence for whoever enters it.
pub fn revision_worked_to(
    (newest, accepted): (i64, i64),
    shown: i64,
    late: Option<Moment>,
    signed: &[(i64, Moment)],
) -> Result<i64, String> {
    if let Some(late) = late {
        let mut before = signed.iter().rev();
        match before.find(|(_, at)| at.unix_ms <= late.unix_ms) {
            None => {
                return Err(format!(
                    "No prescription was signed by {}.",
                    late.in_words()
                ));
            }
            Some((then, _)) if *then < newest => return Ok(*then),
            Some(_) => {}
        }
    }
    if let Some(against) = AgainstRevision::of(newest, accepted) {
        return Err(against.sentence());
    }
    match shown == newest {
        true => Ok(newest),
        false => Err(format!(
            "This page was of revision {shown}, and revision {newest} is in force: nothing was entered. Read what changed."
        )),
    }
}

/// Nothing is held against a prescription that nobody has signed, nor against another than the page showed.
///
/// # Errors
/// A sentence for whoever enters it.
pub fn checked_against(newest: i64, shown: i64) -> Result<(), String> {
    match newest {
        ..=0 => Err("No prescription is signed: there is nothing to check against.".to_owned()),
        newest if newest != shown => Err(format!(
            "This page was of revision {shown}, and revision {newest} is in force: nothing was entered. Look at what is \
             asked now."
        )),
        _ => Ok(()),
    }
}

/// Whether a check that is copied from paper can have been held against a revision that was signed at that moment.
pub fn is_after_signing(checked: Moment, signed: Moment) -> bool {
    checked.unix_ms + (MINUTE_MS - 1) >= signed.unix_ms
}

/// Whether the lab can name a day for the revision that its page showed.
///
/// # Errors
/// A sentence for whoever names it.
pub fn day_can_be_named(newest: i64, shown: i64, is_back: bool) -> Result<(), &'static str> {
    match is_back {
        _ if newest < 1 => Err(NOTHING_TO_PROMISE),
        _ if shown != newest => Err(
            "The dentist has signed another revision since: read it, and name the day for that one.",
        ),
        true => Err("The work has come back, or is on its way: there is no day to name."),
        false => Ok(()),
    }
}

/// Whether the office can answer a day that was named for a revision; where none was named, that is said elsewhere.
///
/// # Errors
/// A sentence for whoever answers.
pub fn day_can_be_answered(newest: i64, named: Option<i64>) -> Result<(), &'static str> {
    match named.is_some_and(|named| named != newest) {
        true => {
            Err("The day was named for an earlier revision: the lab names one for the new one.")
        }
        false => Ok(()),
    }
}

/// What was seen of a revision is passed on by that revision only.
///
/// # Errors
/// A sentence for whoever passes it on.
pub fn can_be_passed_on_by(newest: i64, revision: i64) -> Result<(), String> {
    match newest {
        ..=0 => Err(NOTHING_TO_PASS_ON.to_owned()),
        newest if newest != revision => Err(format!(
            "Revision {newest} is in force: read it, and pass the work on by that one."
        )),
        _ => Ok(()),
    }
}

/// Whether a decision about the work finds any: nobody stops what nobody has ordered, but what stands still all the same may
/// go on.
///
/// # Errors
/// A sentence for whoever decides.
pub fn can_be_halted(newest: i64, kind: HaltKind) -> Result<(), &'static str> {
    match newest < 1 && kind != HaltKind::GoOn {
        true => Err("No prescription is signed, so there is no work to stop, pause or cancel."),
        false => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(minute: i64) -> Moment {
        Moment::new(1_772_438_400_000 + minute * MINUTE_MS, 0)
    }

    #[test]
    fn what_is_done_now_goes_by_the_newest_and_what_is_copied_by_the_one_of_then() {
        let signed = [(1, at(0)), (2, at(100))];
        // newest and accepted, shown, when it was done, what comes of it
        for (of_case, shown, late, wanted) in [
            ((0, 0), 0, None, Err("No prescription is signed")),
            ((2, 0), 2, None, Err("Revision 2 is not accepted here yet")),
            (
                (2, 1),
                2,
                None,
                Err("Stop: revision 2 is signed; the lab has accepted only revision 1"),
            ),
            ((2, 2), 1, None, Err("This page was of revision 1")),
            ((2, 2), 2, None, Ok(2)),
            ((2, 0), 1, Some(-1), Err("No prescription was signed by")),
            // The lab had accepted it then, or not: the paper says that it was done.
            ((2, 0), 1, Some(0), Ok(1)),
            ((2, 2), 2, Some(99), Ok(1)),
            ((2, 2), 2, Some(100), Ok(2)),
            ((2, 1), 2, Some(100), Err("Stop")),
            ((2, 2), 1, Some(100), Err("This page was of revision 1")),
        ] {
            let (newest, _): (i64, i64) = of_case;
            let signed = &signed[..usize::try_from(newest).unwrap()];
            let found = revision_worked_to(of_case, shown, late.map(at), signed);
            match wanted {
                Ok(number) => assert_eq!(found, Ok(number), "{of_case:?} {shown} {late:?}"),
                Err(words) => {
                    let said = found.unwrap_err();
                    assert!(
                        said.starts_with(words),
                        "{of_case:?} {shown} {late:?}: {said}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_check_is_of_the_revision_in_force_and_no_earlier_than_its_signature() {
        for (newest, shown, is_so) in [(0, 0, false), (2, 1, false), (1, 2, false), (2, 2, true)] {
            assert_eq!(
                checked_against(newest, shown).is_ok(),
                is_so,
                "{newest} {shown}"
            );
        }
        let signed = Moment::new(at(10).unix_ms + 59_999, 0);
        for (minute, is_so) in [(9, false), (10, true), (11, true)] {
            assert_eq!(is_after_signing(at(minute), signed), is_so, "{minute}");
        }
    }

    #[test]
    fn a_day_and_a_second_laboratory_are_named_for_the_revision_in_force_alone() {
        for (newest, shown, is_back, is_so) in [
            (2, 2, false, true),
            (2, 2, true, false),
            (2, 1, false, false),
            (2, 1, true, false),
            (0, 0, false, false),
        ] {
            let found = day_can_be_named(newest, shown, is_back);
            assert_eq!(found.is_ok(), is_so, "{newest} {shown} {is_back}");
        }
        for (newest, named, is_so) in [(2, Some(2), true), (2, Some(1), false), (2, None, true)] {
            let found = day_can_be_answered(newest, named);
            assert_eq!(found.is_ok(), is_so, "{newest} {named:?}");
        }
        for (newest, revision, is_so) in [(2, 2, true), (2, 1, false), (0, 0, false)] {
            let found = can_be_passed_on_by(newest, revision);
            assert_eq!(found.is_ok(), is_so, "{newest} {revision}");
        }
    }

    #[test]
    fn what_nobody_has_ordered_is_not_stopped_and_what_stands_still_may_go_on() {
        for kind in HaltKind::ALL {
            let before_signing = can_be_halted(0, *kind).is_ok();
            assert_eq!(before_signing, *kind == HaltKind::GoOn, "{kind:?}");
            assert_eq!(can_be_halted(1, *kind), Ok(()), "{kind:?}");
        }
    }
}
