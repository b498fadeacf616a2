//! The card that the patient keeps with a spare. The entry that gave the spare gives its words: the same entry, the same
//! bytes.

use super::authorization::one_line;
use super::case_work::CaseWork;
use super::{App, AppError, Person, record_mark};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{Event, What};
use crate::domain::people::party::Side;
use crate::domain::values::moment::whole_day;
use crate::domain::values::words::lowered;
use crate::papers::spare_card::{SpareCard, lay_out};
use crate::papers::{LANGUAGE, Meta, write};
use crate::record::entry::LeafKind;

const NOT_SAID: &str = "not said";

/// The entry by which it was given as the spare, while it is that.
pub fn given<'a>(work: &'a CaseWork, item: &Item) -> Option<&'a Event> {
    let is_spare = work.state.item(&item.tag).is_some_and(|one| one.spare);
    let gives = |event: &&Event| {
        let stands = work.state.withdrawn_on(&event.id).is_none();
        stands && matches!(&event.what, What::Given(one) if one.tag == item.tag)
    };
    let mut events = work.events.iter().rev();
    events.find(gives).filter(|_| is_spare)
}

/// What the patient is to know. Common practice, no source.
fn back(kind: ItemKind, in_water: bool) -> Vec<String> {
    let what = match kind {
        ItemKind::OldDenture => "This is the denture you wore before, and it fits less well.",
        _ => "It is a copy for days without the other one, and may bite a little differently.",
    };
    let water = match in_water {
        true => "Keep it in cold water, and change the water. Hot water bends it.",
        false => "It is kept dry, and may change its form: have it looked at before you wear it.",
    };
    [
        "Wear it when the other one breaks, is lost or is away for repair, and call the office on the same day.",
        what,
        water,
    ]
    .map(str::to_owned)
    .to_vec()
}

/// The card of a spare, for the office that has given it. What is no spare has none.
pub async fn pdf(
    app: &App,
    person: &Person,
    work: &CaseWork,
    item: &Item,
) -> Result<Vec<u8>, AppError> {
    if work.side != Side::Office {
        return Err(AppError::NotFound);
    }
    let work = &work.hold_for_paper(app).await?;
    let event = given(work, item).ok_or(AppError::NotFound)?;
    let kept = work.state.item(&item.tag);
    let kept = kept.and_then(|one| one.spare_kept.as_ref());
    let said = |text: Option<&String>| text.map_or(NOT_SAID, String::as_str).to_owned();
    let about = [event.id.to_string()];
    let record = match record_mark::after(app, LeafKind::Event, &about).await? {
        Some(record) => record,
        None => record_mark::of_case(app, &work.case.number).await?,
    };
    let title = format!("Spare: {}", lowered(&item.title()));
    let card = SpareCard {
        paper: person.paper(),
        front: vec![
            ("Marked", said(kept.map(|one| &one.mark))),
            ("Kept", said(kept.map(|one| &one.place))),
            ("By", said(kept.map(|one| &one.keeper))),
        ],
        codes: format!(
            "{}, case {}, {}",
            item.tag,
            work.case.number,
            whole_day(event.at.date())
        ),
        back: back(item.kind, kept.is_none_or(|one| one.in_water)),
        office: vec![
            work.office.name.clone(),
            work.office.telephone.clone(),
            one_line(&work.office.address),
        ],
        title: title.clone(),
        record,
    };
    let meta = Meta {
        title: format!("{title} {}", item.tag),
        author: work.office.name.clone(),
        created: event.entered_at,
        language: Some(LANGUAGE),
    };
    write(&lay_out(&card), &meta).map_err(|error| AppError::Inner(error.to_string()))
}
