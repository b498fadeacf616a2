//! Registering several things at once: each has a tag and entries of its own, and all of them are entered or none.

use super::add_item::enter;
use super::case_work::CaseWork;
use super::entry::late;
use super::run::on_case::run_on_case;
use super::several::handled;
use super::{App, AppError, Person, PostKey, new_codes, see_case, write_draft};
use crate::domain::custody::agenda::OrderedWork;
use crate::domain::custody::events::Registered;
use crate::domain::custody::forms::{ITEMS, NewItem, SetForm, SetShownForm};
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{What, templates_to_come};
use crate::domain::fill::{SetRow, made_set, set_to_register};
use crate::domain::people::access::Permission;
use crate::domain::people::party::Side;
use crate::domain::people::patient::OwnTeeth;
use crate::domain::prescription::{Course, read};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};
use std::collections::BTreeSet;

/// Entries of one thing, at most: registered, disinfected, put.
const ENTRIES_MOST: usize = 3;

/// The kind of work that is written or signed; none where nobody has said it.
pub async fn course_of(
    app: &App,
    person: &Person,
    view: &see_case::CaseView,
) -> Result<Option<Course>, AppError> {
    let work = &view.work;
    if work.side == Side::Office && person.may(Permission::PrepareCases) {
        let fields = write_draft::fields_now(app, person, &work.case.number).await?;
        let written = read(&fields, work.office.numbering).document;
        return Ok(written.order.course);
    }
    Ok(view
        .document()
        .and_then(|one| one.prescription.order.course))
}

/// What can be registered here at once.
pub fn rows(view: &see_case::CaseView, course: Course) -> Vec<SetRow> {
    let (work, ordered): (_, &[OrderedWork]) = (&view.work, &view.work.ordered.work);
    match work.side {
        Side::Office => set_to_register(course, work.case.arches),
        Side::Lab => {
            let mut rows = made_set(ordered, work.case.arches);
            rows.extend(templates(work));
            rows
        }
    }
}

/// The clear templates that the lab has still to make.
fn templates(work: &CaseWork) -> impl Iterator<Item = SetRow> {
    let (things, treated) = ((&work.items[..], &work.state), work.case.arches.treated());
    let arches = templates_to_come(&work.ordered, things, treated).into_iter();
    arches.map(|arch| SetRow {
        kind: ItemKind::ClearTemplate,
        arch: Some(arch),
        is_usual: true,
    })
}

/// Whether a thing is ticked before anything is typed: it is usual, and none of it is there.
pub fn is_proposed(work: &CaseWork, row: &SetRow) -> bool {
    // What stands still is not made.
    let rests = work.side == Side::Lab && work.stands_still();
    // Nobody wears a denture where the patient's own teeth stand.
    let teeth = row.arch.and_then(|arch| work.own_teeth.get(&arch));
    let is_worn_by_none = row.kind.is_denture() && teeth == Some(&OwnTeeth::Natural);
    row.is_usual && !rests && !is_worn_by_none && work.alike(row.kind, row.arch).is_empty()
}

/// Registers what is ticked; answers with the new tags that get a label now, in the order in which they were registered:
/// what is in the mouth has nothing to be stuck on.
pub async fn add(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &SetForm,
    key: &PostKey,
) -> Result<Vec<Tag>, AppError> {
    let late = late(person, form.from_paper.as_ref())?;
    let mut conn = app.store.read().await?;
    let (mut things, mut taken) = (Vec::new(), BTreeSet::new());
    for thing in &form.things {
        let tag = new_codes::tag(app, &mut conn).await?;
        if !taken.insert(tag.clone()) {
            return Err(AppError::Inner("two things drew one tag".to_owned()));
        }
        things.push((item(number, thing, tag)?, thing.is_worn));
    }
    drop(conn);
    // As a list of things reads: dentures first, the upper one before the lower one.
    things.sort_by_key(|(item, _)| (item.kind, item.arch == Some(Arch::Lower)));
    let ids = (0..things.len() * ENTRIES_MOST)
        .map(|_| app.outside.identity().map(EventId::new))
        .collect::<Result<Vec<_>, _>>()?;
    let tags = run_on_case(app, person, number, key, |mut work, mut tx| async {
        there_already(&work, form, &things)?;
        let mut ids = ids.iter();
        for (item, is_worn) in &things {
            for what in entries(form, item, *is_worn, work.side) {
                let id = ids.next();
                let id = id.ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
                match what {
                    What::Registered(one) => {
                        enter(
                            app,
                            &mut tx,
                            person,
                            &mut work,
                            (id, item),
                            one,
                            late.as_ref(),
                        )
                        .await?;
                    }
                    what => {
                        work.append(app, &mut tx, person, id, what, late.as_ref())
                            .await?
                    }
                }
            }
        }
        let here = things.iter().filter(|(_, is_worn)| !is_worn);
        let tags: Vec<&str> = here.map(|(item, _)| item.tag.as_str()).collect();
        Ok((work, tx, tags.join(" ")))
    });
    let tags = tags.await?;
    Ok(tags
        .split(' ')
        .filter_map(|tag| Tag::parse(tag).ok())
        .collect())
}

/// What is registered of the same kind since the page was made, by somebody else or from another page, is asked about.
fn there_already(work: &CaseWork, form: &SetForm, things: &[(Item, bool)]) -> Result<(), AppError> {
    let Some(shown) = form.shown.set_shown.filter(|_| !form.shown.another) else {
        return Ok(());
    };
    let shown = usize::try_from(shown).unwrap_or_default();
    let is_there = |item: &&Item| work.is_there(&item.tag);
    let same = |(item, _): &(Item, bool)| {
        let mut newer = work.items.iter().skip(shown).filter(is_there);
        newer.find(|one| one.kind == item.kind && one.arch == item.arch)
    };
    let words = |item: &Item| {
        let by = work.events.iter().find_map(|event| match &event.what {
            What::Registered(one) if one.tag == item.tag => Some((&event.by.name, event.at)),
            _ => None,
        });
        let by = by.map(|(name, at)| format!(", entered by {name} on {}", at.in_words()));
        let (title, tag) = (item.title(), &item.tag);
        format!("{title} {tag}{}", by.unwrap_or_default())
    };
    let there: Vec<String> = things.iter().filter_map(same).map(words).collect();
    if there.is_empty() {
        return Ok(());
    }
    let sentence = format!(
        "Registered since this page was made: {}. Register another?",
        there.join("; ")
    );
    Err(AppError::field(SetShownForm::another().key, sentence))
}

fn item(number: &CaseNumber, thing: &NewItem, tag: Tag) -> Result<Item, AppError> {
    let no_such = || AppError::field(ITEMS, "This is no item that can be registered: look again.");
    let (kind, arch) = SetRow::of_key(&thing.key).ok_or_else(no_such)?;
    if kind.needs_arch() != arch.is_some() {
        return Err(no_such());
    }
    Ok(Item {
        tag,
        case: number.clone(),
        kind,
        arch,
        note: String::new(),
        pieces: 1,
        borrowed: false,
    })
}

/// What is entered of one thing. In the mouth nothing is disinfected or put anywhere.
fn entries(form: &SetForm, item: &Item, is_worn: bool, side: Side) -> Vec<What> {
    let mut entries = vec![What::Registered(Registered {
        tag: item.tag.clone(),
        place: side,
        worn: is_worn,
        note: String::new(),
        pieces: None,
        made: None,
        due_back: None,
        file: None,
    })];
    if is_worn {
        return entries;
    }
    entries.extend(handled(item, form.cleaning.as_ref(), &form.put));
    entries
}
