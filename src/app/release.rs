//! Handing over: a release names items, carrier, purpose and disinfection, in one transaction.

use super::case_work::CaseWork;
use super::manage::Typed;
use super::record_event::{exception, minutes, text};
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::{Sent, What, fold};
use crate::domain::fault::Fault;
use crate::domain::handoff::HandoffState;
use crate::domain::ids::{CaseNumber, Tag};
use crate::domain::item::Item;
use crate::domain::party::PartyKind;
use crate::store::custody::{HandoffRow, insert_handoff};
use crate::store::retry;

/// What the form of a release says.
struct Release {
    items: Vec<Sent>,
    /// One entry for every ticked item that has none; none where nothing was typed.
    disinfection: Option<(String, String, u32, bool)>,
    carrier: String,
    tracking: String,
    purpose: String,
    seal: String,
}

fn read(typed: &Typed, items: &[Item]) -> Result<Release, AppError> {
    let mut faults = Vec::new();
    let mut sent = Vec::new();
    for item in items {
        let tag = item.tag.as_str();
        if typed.contains_key(&format!("{tag}.take")) {
            let condition = text(typed, &format!("{tag}.condition"), &mut faults);
            sent.push(Sent {
                tag: item.tag.clone(),
                condition,
            });
        }
    }
    if sent.is_empty() {
        faults.push(Fault::new("items", "Tick at least one item to hand over."));
    }
    let agent = text(typed, "agent", &mut faults);
    let dilution = text(typed, "dilution", &mut faults);
    let is_untouched = agent.is_empty()
        && dilution.is_empty()
        && typed
            .get("minutes")
            .is_none_or(|text| text.trim().is_empty());
    let disinfection = if is_untouched {
        None
    } else {
        if agent.is_empty() {
            faults.push(Fault::new("agent", "Name the agent."));
        }
        if dilution.is_empty() {
            faults.push(Fault::new(
                "dilution",
                "Write the dilution, or “ready to use”.",
            ));
        }
        let minutes = minutes(typed, "minutes", &mut faults);
        Some((
            agent,
            dilution,
            minutes,
            typed.get("rinsed").is_some_and(|text| text == "yes"),
        ))
    };
    let carrier = text(typed, "carrier", &mut faults);
    if carrier.is_empty() {
        faults.push(Fault::new(
            "carrier",
            "Name who carries it: a courier, the post, or a person of yours.",
        ));
    }
    let purpose = text(typed, "purpose", &mut faults);
    if purpose.is_empty() {
        faults.push(Fault::new(
            "purpose",
            "Say why it goes, such as “final upper and lower”.",
        ));
    }
    let (tracking, seal) = (
        text(typed, "tracking", &mut faults),
        text(typed, "seal", &mut faults),
    );
    if faults.is_empty() {
        Ok(Release {
            items: sent,
            disinfection,
            carrier,
            tracking,
            purpose,
            seal,
        })
    } else {
        Err(AppError::Invalid(faults))
    }
}

/// Releases items to the other side; returns the handoff's id.
pub async fn release(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    typed: &Typed,
    key: &PostKey,
) -> Result<String, AppError> {
    let handoff = app.outside.identity()?;
    let items = CaseWork::load(&mut *app.store.read().await?, person, number)
        .await?
        .items;
    let form = read(typed, &items)?;
    let exception = exception(app, person, typed).await?;
    // One id for each disinfection that may be entered along, and one for the release.
    let ids = (0..=items.len())
        .map(|_| app.outside.identity())
        .collect::<Result<Vec<_>, _>>()?;
    retry(|| async {
        let mut tx = app.store.begin().await?;
        let mut work = CaseWork::load(tx.conn(), person, number).await?;
        if let Some(outcome) = app.earlier(&mut tx, person, key).await? {
            return Ok(outcome);
        }
        let mut ids = ids.iter();
        if let Some(entry) = &form.disinfection {
            for tag in without_entry(&work, &form.items) {
                let id = ids
                    .next()
                    .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
                work.append(app, &mut tx, person, id, disinfected(tag, entry))
                    .await?;
            }
        }
        let from = work.house();
        let to = other(from);
        let what = What::Released {
            handoff: handoff.clone(),
            items: form.items.clone(),
            from,
            to,
            carrier: form.carrier.clone(),
            tracking: form.tracking.clone(),
            purpose: form.purpose.clone(),
            seal: form.seal.clone(),
            exception: exception.clone(),
        };
        let id = ids
            .next()
            .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
        work.append(app, &mut tx, person, id, what).await?;
        let row = HandoffRow {
            id: handoff.clone(),
            case: number.clone(),
            from: person.party_id().to_owned(),
            to: if to == PartyKind::Lab {
                work.case.lab.clone()
            } else {
                work.case.office.clone()
            },
            state: HandoffState::OnTheWay.word().to_owned(),
            version: 1,
        };
        insert_handoff(&mut tx, &row).await?;
        work.save(app, &mut tx).await?;
        app.finish(tx, person, key, &handoff).await?;
        Ok(handoff.clone())
    })
    .await
}

fn other(kind: PartyKind) -> PartyKind {
    match kind {
        PartyKind::Office => PartyKind::Lab,
        PartyKind::Lab => PartyKind::Office,
    }
}

/// The ticked items that need a disinfection entry and have none.
fn without_entry(work: &CaseWork, sent: &[Sent]) -> Vec<Tag> {
    let custody = fold(&work.events);
    let needs = |tag: &Tag| {
        work.items
            .iter()
            .any(|item| item.tag == *tag && item.kind.needs_disinfection())
    };
    sent.iter()
        .map(|sent| sent.tag.clone())
        .filter(|tag| needs(tag) && custody.get(tag).is_some_and(|state| !state.disinfected))
        .collect()
}

fn disinfected(tag: Tag, (agent, dilution, minutes, rinsed): &(String, String, u32, bool)) -> What {
    What::Disinfected {
        tag,
        agent: agent.clone(),
        dilution: dilution.clone(),
        minutes: *minutes,
        rinsed: *rinsed,
    }
}
