//! To whom a case is given at its lab, and in which pan it stands: the list that a form offers and what is entered from it
//! ask the same. It is no rule of custody, since a pan is a text that can be erased, and who may sign in changes by itself.

use super::entries::{Assignment, check_pan};
use crate::domain::people::account::Account;
use crate::domain::values::ids::{AccountId, CaseNumber, Code, PartyId};

/// Whether a case of this lab can be given to somebody: who is of the lab, and may sign in.
pub fn can_be_given(lab: &PartyId, account: &Account) -> bool {
    account.party.as_ref() == Some(lab) && !account.disabled
}

/// Whether a case can stand in a pan, by the open case of its lab that stands there now, which may be itself.
///
/// # Errors
/// A sentence for whoever typed the pan.
pub fn can_stand_in(
    case: &CaseNumber,
    pan: &str,
    there: Option<&CaseNumber>,
) -> Result<(), String> {
    check_pan(pan)?;
    if Code::parse_any(pan).is_ok() {
        return Err("This is a code of a case, a patient or an item.".to_owned());
    }
    match there.filter(|there| *there != case) {
        Some(other) => Err(format!(
            "Pan {pan} holds case {other}: take another, or give that case another first."
        )),
        None => Ok(()),
    }
}

impl Assignment {
    /// Pan and technician in one text, which a page carries along: by it is seen that it is an old page.
    pub fn mark(now: Option<&Assignment>) -> String {
        let technician = now.and_then(|now| now.technician.as_ref());
        let pan = now.map_or("", |now| now.pan.as_str());
        format!("{pan}/{}", technician.map_or("", AccountId::as_str))
    }

    /// Whether pan and technician can be entered from a page that carries this mark; a page may carry none.
    ///
    /// # Errors
    /// A sentence for whoever enters it: somebody was faster, or it is so already.
    pub fn can_become(
        now: Option<&Assignment>,
        mark: &str,
        (pan, technician): (&str, Option<&AccountId>),
    ) -> Result<(), &'static str> {
        if !mark.is_empty() && mark != Assignment::mark(now) {
            return Err(
                "Somebody has entered another pan or technician since this page was read: look at the case above, and \
                 enter it again if it is still right.",
            );
        }
        match Assignment::is_so(now, pan, technician) {
            true => Err("Nothing would be different: this is what stands here already."),
            false => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::people::party::Role;
    use crate::domain::values::moment::Moment;

    fn account(party: Option<&str>, disabled: bool) -> Account {
        Account {
            id: AccountId::new("tom"),
            party: party.map(PartyId::new),
            role: Role::Technician,
            login: "tom".to_owned(),
            name: "Tom".to_owned(),
            licence: String::new(),
            password: String::new(),
            disabled,
            admission: None,
            version: 1,
        }
    }

    #[test]
    fn a_case_is_given_to_people_of_its_lab_who_may_sign_in() {
        let lab = PartyId::new("kiln");
        for (party, disabled, can) in [
            (Some("kiln"), false, true),
            (Some("kiln"), true, false),
            (Some("anvil"), false, false),
            (None, false, false),
        ] {
            let account = account(party, disabled);
            assert_eq!(can_be_given(&lab, &account), can, "{party:?} {disabled}");
        }
    }

    fn case(nth: u8) -> CaseNumber {
        let mut numbers =
            (0..=255).filter_map(|seed| CaseNumber::from_random([nth, seed, 1, 2, 3, 4, 5]));
        let has_digit =
            |one: &CaseNumber| one.as_str().contains(|sign: char| sign.is_ascii_digit());
        numbers.find(has_digit).unwrap()
    }

    #[test]
    fn a_pan_is_no_code_and_holds_one_case() {
        let (own, other) = (case(1), case(2));
        for (pan, there, begins) in [
            ("14", None, ""),
            ("14", Some(&own), ""),
            ("", None, ""),
            ("14", Some(&other), "Pan 14 holds case "),
            ("blue", None, "A pan has a number"),
            ("14!", Some(&other), "A pan has letters"),
            (other.as_str(), None, "This is a code"),
        ] {
            let found = can_stand_in(&own, pan, there).err().unwrap_or_default();
            assert_eq!(found.is_empty(), begins.is_empty(), "{pan}: {found}");
            assert!(found.starts_with(begins), "{pan}: {found}");
        }
    }

    #[test]
    fn an_old_page_and_what_changes_nothing_are_told() {
        let tom = AccountId::new("tom");
        let now = Assignment {
            pan: "14".to_owned(),
            technician: Some(tom.clone()),
            since: Moment::new(0, 0),
        };
        assert_eq!(Assignment::mark(Some(&now)), "14/tom");
        assert_eq!(Assignment::mark(None), "/");
        for (stands, mark, wanted, is_so) in [
            (Some(&now), "14/tom", ("15", Some(&tom)), true),
            (Some(&now), "", ("14", None), true),
            (Some(&now), "14/", ("15", Some(&tom)), false),
            (Some(&now), "14/tom", ("14", Some(&tom)), false),
            (None, "/", ("14", None), true),
            (None, "/", ("", None), false),
        ] {
            let found = Assignment::can_become(stands, mark, wanted);
            assert_eq!(found.is_ok(), is_so, "{mark} {wanted:?}: {found:?}");
        }
    }
}
