//! Erasing: free texts that should never have been written are taken out of the entries of a case for good.
//! That they were there, who took them out, when and why, is an entry of its own.

use super::case_work::CaseWork;
use super::entry::signed;
use super::own_draft::hold_draft;
use super::recorded::erased_places;
use super::run::on_case::run_on_case;
use super::sign::label;
use super::{App, AppError, Person, PostKey, pictures};
use crate::domain::custody::erasing::{Erasable, blanked, erasable, erased};
use crate::domain::custody::events::Erased;
use crate::domain::custody::events::MEANS_ERASED;
use crate::domain::custody::forms::{EraseForm, text_key};
use crate::domain::custody::{ErasedText, Event, What};
use crate::domain::people::access::{Permission, why_not};
use crate::domain::people::party::Side;
use crate::domain::prescription::is_free_text;
use crate::domain::values::ids::{CaseNumber, EventId};
use crate::record::entry::LeafKind;
use crate::record::leaf::{salts_from_json, salts_to_json};
use crate::store::{StoreError, Tx, custody as stored, drafts, record};

/// The key of a text's tick.
pub fn tick_of(event: &Event, text: &Erasable) -> String {
    text_key(&event.id, &text.place)
}

/// The texts of a case that this person's house has written and that are still there.
#[derive(Debug)]
pub struct OwnTexts {
    pub work: CaseWork,
    /// By their entries, the newest first.
    pub entries: Vec<(Event, Vec<Erasable>)>,
    /// Those of the draft, with their labels: they are no entry, and go with the draft.
    pub draft: Vec<(String, String)>,
}

/// What this person's house could erase, and what it could write over.
pub async fn see(app: &App, person: &Person, number: &CaseNumber) -> Result<OwnTexts, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let work = CaseWork::load_shown(app, &mut conn, person, number).await?;
    let draft = match work.side {
        Side::Office => drafts::find(&mut conn, number).await?,
        Side::Lab => None,
    };
    let is_own = match &draft {
        // Its own page says what is wrong with it.
        Some(one) => match hold_draft(&mut conn, &work.case, one).await {
            Err(AppError::Refused(_)) => false,
            held => held.map(|()| true)?,
        },
        None => false,
    };
    let draft = draft.filter(|_| is_own);
    drop(conn);
    let typed = draft.into_iter().flat_map(|draft| draft.fields);
    let free = typed.filter(|(key, text)| is_free_text(key) && !text.trim().is_empty());
    let gone: Vec<&ErasedText> = erased(&work.events).collect();
    let is_gone = |event: &Event, text: &Erasable| {
        let mut gone = gone.iter();
        gone.any(|one| one.event == event.id && one.place == text.place)
    };
    let own = work.events.iter().rev();
    let own = own.filter(|event| event.by.party == *person.party_id());
    let offered = own.map(|event| {
        let mut texts = erasable(event);
        texts.retain(|text| !is_gone(event, text));
        (event.clone(), texts)
    });
    let entries = offered.filter(|(_, texts)| !texts.is_empty()).collect();
    Ok(OwnTexts {
        entries,
        draft: free.map(|(key, text)| (label(&key), text)).collect(),
        work,
    })
}

/// Erases what is ticked, by the signature of whoever answers for the house.
pub async fn erase(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &EraseForm,
    key: &PostKey,
) -> Result<(), AppError> {
    if !person.may(Permission::EraseTexts) {
        return Err(AppError::Refused(vec![
            why_not(Permission::EraseTexts).to_owned(),
        ]));
    }
    super::whose_case::own_case(app, &mut *app.store.read_at_once().await?, person, number).await?;
    form.check_count()
        .map_err(|why| AppError::Refused(vec![why]))?;
    let what = What::Erased(Erased {
        texts: form.texts.clone(),
        why: form.why,
        signed: signed(app, person, &form.password, MEANS_ERASED).await?,
    });
    let id = EventId::new(app.outside.identity()?);
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        work.append(app, &mut tx, person, &id, what.clone(), None)
            .await?;
        pictures::note_going(&mut tx, &work, &form.texts).await?;
        take_out(app, &mut tx, &work, &form.texts).await?;
        // What the lists show is drawn from what is left.
        work = CaseWork::load(app, tx.conn(), person, number).await?;
        Ok((work, tx, ()))
    })
    .await?;
    pictures::take_away(app).await?;
    Ok(app.store.flush_erased().await?)
}

/// Takes the texts out of their rows, and their salts from beside the record.
async fn take_out(
    app: &App,
    tx: &mut Tx,
    work: &CaseWork,
    texts: &[ErasedText],
) -> Result<(), AppError> {
    for ((kind, about), in_leaf) in erased_places(&work.events, texts) {
        let bad = |why: &str| StoreError::row(kind.word(), &about, why);
        let is_item = kind == LeafKind::Item;
        let body = if is_item {
            let row = stored::find_stored_item(tx.conn(), &about).await?;
            row.map(|row| row.body)
        } else {
            let row = stored::find_stored_event(tx.conn(), &EventId::new(about.as_str())).await?;
            row.map(|row| row.body)
        };
        // In the leaf, the row's text stands under the word of the kind.
        let under = format!("/{}", kind.word());
        let places = in_leaf
            .iter()
            .filter_map(|place| place.strip_prefix(&under));
        let body = body.and_then(|body| blanked(&body, places));
        let body = body.ok_or_else(|| bad("a text is not there"))?;
        if is_item {
            stored::write_erased_item(tx, &about, &body).await?;
        } else {
            stored::write_erased_event(tx, &EventId::new(about.as_str()), &body).await?;
        }
        let leaf = app.store.leaf_about(tx.conn(), kind.word(), &about).await?;
        let leaf = leaf.ok_or_else(|| bad("its leaf is not there"))?;
        let text = leaf.salts.as_deref().unwrap_or_default();
        let salts = serde_json::from_str(text).ok();
        let salts = salts.as_ref().and_then(salts_from_json);
        let mut salts = salts.ok_or_else(|| bad("its salts cannot be read"))?;
        salts.retain(|place, _| !in_leaf.contains(place));
        record::write_salts(tx, leaf.number, &salts_to_json(&salts).to_string()).await?;
    }
    Ok(())
}
