//! The lab passes work on to a second laboratory; the office says its word; things go there and come back.

use super::case_work::CaseWork;
use super::custody_words::title_and_tag;
use super::entry::{late, signed};
use super::manage::readable_parties;
use super::recorded::reference::hold_house;
use super::reviewing;
use super::run::on_case::enter_on_case;
use super::see_case::{CaseView, see};
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::events::{
    MEANS_PASSED_ON, PassAnswered, PassEnded, PassMoved, PassedOn,
};
use crate::domain::custody::forms::{
    AuthorityForm, EndPassForm, PassAnswerForm, PassMoveForm, PassOnForm,
};
use crate::domain::custody::item::Item;
use crate::domain::custody::{
    CaseStep, ConsentAsked, Offers, PassLeg, PassedWork, SecondLab, by_revision, doubts,
    stays_behind,
};
use crate::domain::people::party::{Party, Side};
use crate::domain::prescription::revision::Document;
use crate::domain::values::ids::{CaseNumber, Tag};
use crate::domain::values::moment::day_in_words;
use crate::domain::values::words::counted;
use time::Date;

/// Why the office agrees before anything goes; none where it is told only.
pub fn consent_asked(
    app: &App,
    work: &CaseWork,
    document: Option<&Document>,
) -> Option<ConsentAsked> {
    let said = document.and_then(|one| one.prescription.law.second_lab);
    ConsentAsked::of(said, &reviewing::law(app, work).asking_consent())
}

/// What the page of the case says of it, a sentence for each that is open; of what is over, one.
pub fn sentences(work: &CaseWork, today: Date) -> Vec<String> {
    let state = &work.state;
    let open = state.open_passes().map(|one| {
        let away = one.away(state).count();
        let away = counted(i64::try_from(away).unwrap_or(i64::MAX), "item");
        let (lab, back) = (&one.to.name, day_in_words(one.wanted, today));
        format!("Work is passed on to {lab}: {away} away, wanted back {back}.")
    });
    let open: Vec<String> = open.collect();
    let last = state.passes.last().filter(|_| open.is_empty());
    let over = last.map(|one| format!("Work was passed on to {}, and is no more.", one.to.name));
    open.into_iter().chain(over).collect()
}

/// Why things of an authorisation cannot go now, though nothing else holds them up. What has been there is not to go a
/// second time, and of cancelled work nothing goes.
pub fn held_up(work: &CaseWork, offers: &Offers<'_>) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for (pass, tag) in work.state.to_go_to_second_labs() {
        let step = CaseStep::PassMove(pass, PassLeg::Left, tag);
        let against = offers.against(step).into_iter();
        words.extend(against.map(|one| one.sentence));
    }
    words.dedup();
    words
}

/// The other laboratories that work with this program.
pub async fn other_labs(app: &App, work: &CaseWork) -> Result<Vec<Party>, AppError> {
    let all = readable_parties(&mut *app.store.read().await?).await?;
    let is_other = |party: &Party| party.kind == Side::Lab && party.id != work.lab.id;
    Ok(all.into_iter().filter(is_other).collect())
}

/// The laboratory that the form names.
async fn second_lab(
    app: &App,
    view: &CaseView,
    form: &PassOnForm,
    earlier: Option<&PassedWork>,
) -> Result<SecondLab, AppError> {
    if let Some(earlier) = earlier {
        return Ok(earlier.to.clone());
    }
    let Some(chosen) = &form.party else {
        return Ok(SecondLab {
            party: None,
            name: form.name.clone(),
            address: form.address.clone(),
            licence: form.licence.clone(),
        });
    };
    let found = other_labs(app, &view.work).await?;
    let found = found.into_iter().find(|party| party.id == *chosen);
    let found = found.ok_or_else(|| {
        let field = AuthorityForm::second_party();
        AppError::field(field.key, "Choose one of these laboratories.")
    })?;
    // Its name, address and licence go into the entry for good.
    hold_house(app, &mut *app.store.read_at_once().await?, &found).await?;
    Ok(SecondLab {
        party: Some(found.id),
        name: found.name,
        address: found.address,
        licence: found.licence,
    })
}

fn newest_only(work: &CaseWork, revision: i64) -> Result<(), AppError> {
    let can_be = by_revision::can_be_passed_on_by(work.case.revision, revision);
    can_be.map_err(|why| AppError::Refused(vec![why]))
}

/// Whether there is an order by which work can be passed on.
pub fn is_of_an_order(work: &CaseWork) -> bool {
    newest_only(work, work.case.revision).is_ok()
}

/// Asks once more where things of another arch go along, what the work is done on stays here, or it would come back too late.
fn refuse_in_doubt(
    work: &CaseWork,
    form: &PassOnForm,
    earlier: Option<&PassedWork>,
) -> Result<(), AppError> {
    let tags = earlier.map_or(&form.items, |one| &one.items);
    let items: Vec<&Item> = tags.iter().filter_map(|tag| work.item(tag)).collect();
    let wanted = form.wanted.date();
    let mut doubts = doubts(&items, form.arches, (wanted, work.day_due()));
    // What is away by an earlier authorization goes on as it is.
    if earlier.is_none() {
        doubts.extend(left_here(work, form));
    }
    match doubts.is_empty() || form.is_sure {
        true => Ok(()),
        false => Err(AppError::field(
            AuthorityForm::pass_sure().key,
            format!("{} Is that meant so?", doubts.join(" ")),
        )),
    }
}

/// What the work is done on, and would stay here.
fn left_here(work: &CaseWork, form: &PassOnForm) -> Vec<String> {
    let case = (&work.items[..], &work.state);
    let (left, bare) = stays_behind(case, (form.work, form.arches), &form.items);
    let named: Vec<String> = left.iter().map(|tag| title_and_tag(work, tag)).collect();
    let needed = (!named.is_empty()).then(|| {
        let (what, named) = (form.work.shown(), named.join("; "));
        format!("Needed for this work ({what}), and not ticked: {named}.")
    });
    let bare = bare.into_iter().map(|arch| {
        let (arches, arch) = (form.arches.shown(), arch.shown());
        format!("What is to be done is for: {arches}, and nothing of the {arch} arch goes along.")
    });
    needed.into_iter().chain(bare).collect()
}

/// Passes work on, by an authorisation of its own.
pub async fn pass_on(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &PassOnForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let view = see(app, person, number).await?;
    let instead_of = form.instead_of.as_ref();
    let earlier = instead_of.and_then(|id| view.work.state.pass(id));
    let to = second_lab(app, &view, form, earlier).await?;
    newest_only(&view.work, form.revision)?;
    refuse_in_doubt(&view.work, form, earlier)?;
    let asked = consent_asked(app, &view.work, view.document());
    let signed = signed(app, person, &form.password, MEANS_PASSED_ON).await?;
    enter_on_case(app, person, &view.work, key, None, |work| {
        newest_only(work, form.revision)?;
        let earlier = instead_of.and_then(|id| work.state.pass(id));
        let away = earlier.map(|one| one.away(&work.state).cloned().collect::<Vec<Tag>>());
        Ok(PassedOn {
            to: to.clone(),
            arches: form.arches,
            items: away.unwrap_or_else(|| form.items.clone()),
            task: form.task.clone(),
            work: Some(form.work),
            more: form.more.clone(),
            revision: form.revision,
            wanted: form.wanted,
            needs_consent: asked.is_some(),
            instead_of: instead_of.cloned(),
            signed: signed.clone(),
        }
        .into())
    })
    .await
}

/// Says, for the office, whether it may be.
pub async fn answer(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &PassAnswerForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, number, key, None, |_| {
        Ok(PassAnswered {
            pass: form.answered_pass.clone(),
            answer: form.pass_answer,
            note: form.pass_note.clone(),
        }
        .into())
    })
    .await
}

/// What the form says of one stretch of the way.
pub(super) fn movement(form: &PassMoveForm) -> PassMoved {
    PassMoved {
        pass: form.pass.clone(),
        leg: form.leg,
        items: form.items.clone(),
        carrier: form.carrier.clone(),
        person: form.person.clone(),
        set_right: form.set_right.clone(),
    }
}

/// Enters one stretch of the way there or back.
pub async fn moved(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &PassMoveForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let late = late(person, form.from_paper.as_ref())?;
    enter_on_case(app, person, number, key, late.as_ref(), |work| {
        let what = movement(form);
        let pass = work.state.pass(&what.pass);
        if let Some(pass) = pass.filter(|_| form.leg == PassLeg::Left) {
            newest_only(work, pass.revision)?;
        }
        Ok(what.into())
    })
    .await
}

/// Ends it: by mistake, or since it is done here after all.
pub async fn end(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &EndPassForm,
    key: &PostKey,
) -> Result<(), AppError> {
    enter_on_case(app, person, number, key, None, |_| {
        Ok(PassEnded {
            pass: form.ended_pass.clone(),
            reason: form.ended_why.clone(),
        }
        .into())
    })
    .await
}
