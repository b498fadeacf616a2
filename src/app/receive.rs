//! Receiving: the other side says item by item what it found. Two people at once: one wins, the other is told.

use super::another_key::refuse_another_key;
use super::case_work::CaseWork;
use super::entry::late;
use super::run::on_case::run_on_case;
use super::sign_in::prove;
use super::whose_case::{changed_past_us, find_own};
use super::{App, AppError, Person, PostKey, see_case};
use crate::domain::custody::events::{Asked, Received};
use crate::domain::custody::forms::ReceiptForm;
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::{CaseStep, ListedThing, Matter, What};
use crate::domain::people::party::{Party, Side};
use crate::domain::values::ids::{CaseNumber, Code, EventId, HandoffId, Tag};
use crate::store::custody::{case_of_release, find_handoff, find_item};
use crate::store::{Tx, cases};
use std::collections::BTreeMap;

/// What of a case is listed to be found by the address of a handoff.
const HANDOFFS: &str = "what is listed of its handoffs";

/// A handoff with its case, for the page.
pub async fn see(
    app: &App,
    person: &Person,
    id: &HandoffId,
) -> Result<(CaseWork, Handoff), AppError> {
    let row = find_handoff(&mut *app.store.read().await?, id).await?;
    let view = match &row {
        Some(row) => see_case::see(app, person, &row.case).await,
        None => Err(AppError::NotFound),
    };
    let view = match view {
        // It may be listed for a case that is not its own, or not at all.
        Err(AppError::NotFound) => return Err(by_its_release(app, person, id).await?),
        found => found?,
    };
    let work = view.work.clone();
    let handoff = the_handoff(&work, id);
    let handoff = handoff.map_err(|_| changed_past_us(&work.case.number, HANDOFFS))?;
    Ok((work, handoff))
}

/// Why a handoff is not shown that is not listed for a case of one's own: an entry of such a case has released it, or there
/// is none. Whose that case is, the record says.
async fn by_its_release(app: &App, person: &Person, id: &HandoffId) -> Result<AppError, AppError> {
    let (party, mut conn) = (person.party_id(), app.store.read_at_once().await?);
    let Some(number) = case_of_release(&mut conn, party, id).await? else {
        return Ok(AppError::NotFound);
    };
    find_own(app, &mut conn, party, &number).await?;
    Ok(changed_past_us(&number, HANDOFFS))
}

/// The two houses of a handoff, sender and receiver, as the entries of its case say: all that whoever finds its parcel is
/// told.
pub async fn houses(app: &App, id: &HandoffId) -> Result<(Party, Party), AppError> {
    let mut conn = app.store.read_at_once().await?;
    refuse_another_key(app, &mut conn).await?;
    let row = find_handoff(&mut conn, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let case = cases::find_case(&mut conn, &row.case).await?;
    let case = case.ok_or(AppError::NotFound)?;
    let work = CaseWork::of(app, &mut conn, case, Side::Office).await?;
    work.hold(app, &mut conn).await?;
    let handoff = the_handoff(&work, id)?;
    work.hold_houses(app, &mut conn).await?;
    let of = |side: Side| work.party(side).clone();
    let (from, to) = (of(handoff.from), of(handoff.to));
    match (&from.id, &to.id) == (&row.from, &row.to) {
        true => Ok((from, to)),
        false => Err(AppError::NotFound),
    }
}

/// The code of what came along, where one is scanned that is none of a handoff: its case's own number says nothing.
pub fn came_along(work: &CaseWork, scanned: &str) -> Option<Code> {
    let code = Code::parse_any(scanned).ok()?;
    (code.as_str() != work.case.number.as_str()).then_some(code)
}

/// What the prescription in force says of a thing that comes to the lab, and what has to be known when it is received.
pub fn listed<'a>(work: &'a CaseWork, handoff: &Handoff, tag: &Tag) -> Option<&'a ListedThing> {
    let is_to_lab = handoff.to == Side::Lab;
    let listed = work.ordered.listed_of(tag, &work.state);
    listed.filter(|_| is_to_lab)
}

/// Of how many pieces that says that the things are which were sent uncounted.
fn listed_pieces(work: &CaseWork, handoff: &Handoff) -> BTreeMap<Tag, u32> {
    let sent = handoff.sent.iter().filter(|sent| sent.pieces.is_none());
    let counted = sent.filter_map(|sent| {
        let pieces = listed(work, handoff, &sent.tag)?.counted()?;
        Some((sent.tag.clone(), pieces))
    });
    counted.collect()
}

/// Receives a handoff; returns the number of its case.
pub async fn receive(
    app: &App,
    person: &Person,
    id: &HandoffId,
    form: &ReceiptForm,
    key: &PostKey,
) -> Result<CaseNumber, AppError> {
    let (seen, handoff) = see(app, person, id).await?;
    let late = late(person, form.from_paper.as_ref())?;
    if !handoff.outstanding().is_empty() {
        let listed = listed_pieces(&seen, &handoff);
        form.of(&handoff, &listed).map_err(AppError::Invalid)?;
        prove(app, person, form.password.as_str()).await?;
    }
    let what = |work: &CaseWork| {
        let handoff = the_handoff(work, id)?;
        if handoff.outstanding().is_empty() {
            return Err(AppError::Refused(vec![already(&handoff)]));
        }
        let listed = listed_pieces(work, &handoff);
        let (parcels, items) = form.of(&handoff, &listed).map_err(AppError::Invalid)?;
        Ok(What::Received(Received {
            handoff: id.clone(),
            place: work.side,
            items,
            unannounced: form.extra.unannounced.clone(),
            parcels,
            foreign: form.extra.foreign.clone(),
            no_pick_up: handoff.is_packed(),
        }))
    };
    let foreign = Tag::parse(&form.extra.foreign).ok();
    let (id, question) = (
        EventId::new(app.outside.identity()?),
        EventId::new(app.outside.identity()?),
    );
    run_on_case(app, person, &seen, key, |mut work, mut tx| async {
        let what = what(&work)?;
        work.append(app, &mut tx, person, &id, what, late.as_ref())
            .await?;
        if let Some(tag) = &foreign {
            ask_its_case(app, &mut tx, person, &work, (tag, &question)).await?;
        }
        Ok((work, tx, ()))
    })
    .await?;
    Ok(seen.case.number)
}

/// A thing of another case of the two houses came along: its own case says so, and asks the house that sent the parcel to
/// set the record right there. A closed case, one that is not as the record says, and what is no thing of these houses
/// stay as they are.
async fn ask_its_case(
    app: &App,
    tx: &mut Tx,
    person: &Person,
    work: &CaseWork,
    (tag, question): (&Tag, &EventId),
) -> Result<(), AppError> {
    let item = find_item(tx.conn(), tag).await?;
    let Some(item) = item.filter(|item| item.case != work.case.number) else {
        return Ok(());
    };
    let Some(mut its_own) = CaseWork::another_held(app, tx.conn(), person, &item.case).await?
    else {
        return Ok(());
    };
    let is_of_both = its_own.case.office == work.case.office && its_own.case.lab == work.case.lab;
    if !is_of_both || !its_own.offers(app, person).has(CaseStep::Ask) {
        return Ok(());
    }
    let place = its_own.state.item(tag).map(|state| match state.worn {
        true => "in the patient’s mouth".to_owned(),
        false => state.holder.place(),
    });
    let asked = Asked {
        matter: Matter::Contradicts,
        from: its_own.side,
        section: None,
        line: None,
        item: Some(tag.clone()),
        step: None,
        revision: its_own.case.revision,
        text: format!(
            "It came in a parcel of case {}, and is here now. The record of this case has it {}. Say how that came, and \
             hand it over in this case, so that it can be received here.",
            work.case.number,
            place.as_deref().unwrap_or("nowhere")
        ),
        picture: None,
        waits: false,
    };
    its_own
        .append(app, tx, person, question, asked.into(), None)
        .await?;
    its_own.save(app, tx).await
}

pub(super) fn the_handoff(work: &CaseWork, id: &HandoffId) -> Result<Handoff, AppError> {
    work.state
        .handoffs
        .iter()
        .find(|one| one.id == *id)
        .cloned()
        .ok_or(AppError::NotFound)
}

/// What the second of two receivers is told.
fn already(handoff: &Handoff) -> String {
    if let Some((by, at, _)) = &handoff.voided {
        let at = at.in_words();
        let how = match handoff.picked_up {
            Some(_) => "the carrier brought it back to them",
            None => "it never left",
        };
        return format!(
            "{} has taken this back on {at}: {how}. If it is in your hands all the same, put it aside and ask them to \
             hand it over again.",
            by.name
        );
    }
    if !handoff.written_off.is_empty() {
        let tags: Vec<String> = handoff.written_off.iter().map(Tag::to_string).collect();
        return format!(
            "Written off as lost meanwhile: {}. If it is in your hands all the same, put it aside and tell the other side: it \
             withdraws that entry, and you receive it then.",
            tags.join(", ")
        );
    }
    match (&handoff.received_by, handoff.received_at) {
        (Some(by), Some(at)) => format!(
            "{} has received this on {}, and said what was found of each item.",
            by.name,
            at.in_words()
        ),
        _ => "This has been received already.".to_owned(),
    }
}
