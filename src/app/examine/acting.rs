//! Who did it: each entry against what the record says of the account when it was entered. A row that was changed
//! for the time of one signature, and back, is told by the entry that it leaves.

use super::Examined;
use crate::app::recorded::reference::hold_account;
use crate::app::{App, AppError};
use crate::domain::people::account::Account;
use crate::domain::people::party::Role;
use crate::record::entry::{Entry, LeafKind};
use crate::record::leaf::ERASED;
use crate::store::admissions::Admitted;
use crate::store::record::{LeafRow, leaves_of_kind};
use crate::store::resumption::Resumed;
use crate::store::{Connection, people};
use serde_json::Value;
use std::collections::BTreeMap;

/// What a leaf says of an account.
#[derive(Debug, Clone, PartialEq, Eq)]
struct AccountThen {
    leaf: u64,
    role: String,
    party: String,
}

/// What the record says of each account, from which leaf on.
#[derive(Debug, Default)]
pub(super) struct Accounts {
    standing: BTreeMap<String, Vec<AccountThen>>,
    /// Names and licences never change, and are compared with the rows: the leaves keep them closed.
    rows: BTreeMap<String, Account>,
    /// From here on everybody has a leaf who does anything.
    first: Option<u64>,
}

/// Whoever an entry names, and as what.
struct SaidBy<'a> {
    account: &'a str,
    role: WantedRole<'a>,
    party: Option<&'a str>,
    name: &'a str,
    /// Where a licence is said, with the name beside it.
    licences: Vec<(&'a str, &'a str)>,
}

/// Which role an entry takes.
enum WantedRole<'a> {
    Just(&'a str),
    Any,
}

fn text<'a>(value: &'a Value, path: &str) -> &'a str {
    value
        .pointer(path)
        .and_then(Value::as_str)
        .unwrap_or_default()
}

fn body(leaf: &LeafRow) -> Value {
    let whole: Value = serde_json::from_str(&leaf.body).unwrap_or_default();
    whole.get(&leaf.kind).cloned().unwrap_or_default()
}

impl Accounts {
    /// Reads them, and names every account that nobody has let in.
    pub async fn read(
        app: &App,
        examined: &mut Examined,
        conn: &mut Connection,
    ) -> Result<Accounts, AppError> {
        let mut accounts = Accounts::default();
        let leaves = leaves_of_kind(conn, LeafKind::Account.word()).await?;
        for leaf in &leaves {
            let body = body(leaf);
            let standing = AccountThen {
                leaf: leaf.number,
                role: text(&body, "/role").to_owned(),
                party: text(&body, "/party").to_owned(),
            };
            let of = accounts.standing.entry(leaf.case.clone());
            of.or_default().push(standing);
        }
        accounts.first = leaves.first().map(|leaf| leaf.number);
        // A row that cannot be read is named elsewhere.
        let rows = people::all_accounts(conn).await.unwrap_or_default();
        for account in rows {
            // One that was changed is named by its own leaf, and says nothing about entries.
            if hold_account(app, conn, &account).await.is_ok() {
                accounts.rows.insert(account.id.to_string(), account);
            }
        }
        accounts.let_in(examined, conn).await?;
        Ok(accounts)
    }

    /// Each account rests on an admission for the same role and house, from the first admission on: before it come the
    /// first administrator, and what versions made that knew no admissions.
    async fn let_in(&self, examined: &mut Examined, conn: &mut Connection) -> Result<(), AppError> {
        let words = leaves_of_kind(conn, LeafKind::Admission.word()).await?;
        let Some(begun) = words.first().map(|leaf| leaf.number) else {
            return Ok(());
        };
        let mut admissions: Vec<(u64, String, String)> = Vec::new();
        for leaf in words {
            let body = body(&leaf);
            if text(&body, "/what") == Admitted::Invited.word() {
                let (role, party) = (text(&body, "/role"), text(&body, "/party"));
                admissions.push((leaf.number, role.to_owned(), party.to_owned()));
            }
        }
        let mut firsts: Vec<(&String, &AccountThen)> = self
            .standing
            .iter()
            .filter_map(|(id, all)| Some((id, all.first()?)))
            .filter(|(_, first)| first.leaf > begun)
            .collect();
        firsts.sort_by_key(|(_, first)| first.leaf);
        for (id, first) in firsts {
            let fits = |(leaf, role, party): &(u64, String, String)| {
                *leaf < first.leaf && *role == first.role && *party == first.party
            };
            if let Some(place) = admissions.iter().position(fits) {
                admissions.remove(place);
            } else {
                examined.fault(
                    Some(first.leaf),
                    format!(
                        "Leaf {}, account {id}, is of a {} whom no administrator has let in: no admission is left for it.",
                        first.leaf, first.role
                    ),
                );
            }
        }
        Ok(())
    }

    /// Holds an entry against what its person was when it was entered.
    pub fn examine(&self, examined: &mut Examined, leaf: &LeafRow, entry: &Entry) {
        let Some(said) = said(entry) else { return };
        if said.account.is_empty() || self.first.is_none_or(|first| leaf.number < first) {
            return;
        }
        let mut fault = |why: String| {
            let (number, kind, about) = (leaf.number, &leaf.kind, &leaf.about);
            let sentence = format!("Leaf {number}, {kind} {about}, {why}");
            examined.fault(Some(number), sentence);
        };
        let standing = self.standing.get(said.account).and_then(|all| {
            let mut earlier = all.iter().filter(|one| one.leaf < leaf.number);
            earlier.next_back()
        });
        let Some(standing) = standing else {
            let account = said.account;
            return fault(format!(
                "is by {account}, and the record has no such account."
            ));
        };
        if let WantedRole::Just(role) = said.role
            && role != standing.role
        {
            fault(format!(
                "is by {} as {role}, and the record says {} of that account.",
                said.name, standing.role
            ));
        }
        if said.party.is_some_and(|party| party != standing.party) {
            fault(format!(
                "is by {} for a house that is not the one of that account in the record.",
                said.name
            ));
        }
        let Some(row) = self.rows.get(said.account) else {
            return;
        };
        let is_other = |said: &str, own: &str| !said.is_empty() && said != ERASED && said != own;
        if is_other(said.name, &row.name) {
            fault(format!(
                "is by {}, and that account is of {}.",
                said.name, row.name
            ));
        }
        let mut others = said.licences.into_iter();
        if others.any(|(name, licence)| name == row.name && licence != row.licence) {
            fault(format!(
                "says another license of {} than the account.",
                row.name
            ));
        }
    }
}

fn said(entry: &Entry) -> Option<SaidBy<'_>> {
    let body = entry.value.get(entry.kind.word())?;
    let by = |account, name| SaidBy {
        account: text(body, account),
        role: WantedRole::Any,
        party: None,
        name: text(body, name),
        licences: Vec::new(),
    };
    let administrator = WantedRole::Just(Role::Administrator.word());
    Some(match entry.kind {
        LeafKind::Event => {
            let mut licences = Vec::new();
            signatures(body.get("what")?, &mut licences);
            SaidBy {
                role: WantedRole::Just(text(body, "/by/role")),
                party: Some(text(body, "/by/party")),
                licences,
                ..by("/by/account", "/by/name")
            }
        }
        LeafKind::Revision => SaidBy {
            role: WantedRole::Just(Role::Dentist.word()),
            party: Some(text(body, "/office")),
            licences: vec![(text(body, "/name"), text(body, "/licence"))],
            ..by("/signer", "/name")
        },
        LeafKind::Acknowledgement => SaidBy {
            party: Some(text(body, "/party")),
            ..by("/account", "/name")
        },
        LeafKind::List | LeafKind::UsualSet => SaidBy {
            party: Some(text(body, "/party")),
            ..by("/account", "/by")
        },
        LeafKind::Clearance => SaidBy {
            role: administrator,
            ..by("/account", "/name")
        },
        // Whoever has looked at another clock says so, in any role.
        LeafKind::Resumption if text(body, "/why") == Resumed::ClockRight.word() => {
            by("/account", "/by")
        }
        LeafKind::Resumption => SaidBy {
            role: administrator,
            ..by("/account", "/by")
        },
        LeafKind::Admission if text(body, "/what") == Admitted::AtTheMachine.word() => SaidBy {
            role: administrator,
            name: "",
            ..by("/by", "/by_name")
        },
        LeafKind::Admission => SaidBy {
            role: administrator,
            ..by("/by", "/by_name")
        },
        LeafKind::Case
        | LeafKind::Item
        | LeafKind::Party
        | LeafKind::Account
        | LeafKind::Patient => return None,
    })
}

/// Every signature within an event: a name with a licence beside it.
fn signatures<'a>(value: &'a Value, found: &mut Vec<(&'a str, &'a str)>) {
    match value {
        Value::Object(members) => {
            let word = |key| members.get(key).and_then(Value::as_str);
            if let (Some(name), Some(licence)) = (word("name"), word("licence")) {
                found.push((name, licence));
            }
            members
                .values()
                .for_each(|member| signatures(member, found));
        }
        Value::Array(items) => items.iter().for_each(|item| signatures(item, found)),
        _ => {}
    }
}
