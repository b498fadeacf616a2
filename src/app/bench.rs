//! The bench of one case: what stands against work, what was used last, and the entries.

use super::bench_timers::{into_entry, out_of_entry};
use super::case_work::CaseWork;
use super::changed_at_chair::changed_at_the_chair;
use super::custody_words::title_and_tag;
use super::entry::{Late, late};
use super::lately_at_bench::LatelyAtBench;
use super::planned::WAITS_FOR_A_PRESCRIPTION;
use super::questions::picture_chosen;
use super::run::on_case::run_on_case;
use super::see_case::{self, CaseView};
use super::stated_of_flaws::stated_at_the_lab;
use super::{App, AppError, Person, PostKey};
use crate::domain::custody::bench::{
    BenchEntry, BenchMeasure, BenchPiece, BenchProgress, BenchStep, MeasuredValue, Mounting,
    USED_MOST, UsedLot, left_out, prescribed_numbers,
};
use crate::domain::custody::by_revision::{AgainstRevision, revision_worked_to};
use crate::domain::custody::events::{CarriedOver, Undone, Worked};
use crate::domain::custody::forms::{CarryForm, NOTHING_AGAIN, StepForm, UndoForm, WorkForm};
use crate::domain::custody::item::Item;
use crate::domain::custody::{
    CardSince, CaseStep, CustodyRule, ERASED, Lacking, NotCome, NotReady, Offers, ToBeAvoided,
    What, absent, not_ready, records_of_before, sent_back,
};
use crate::domain::people::party::Side;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, EventId, Tag};
use crate::domain::values::moment::Moment;

/// A material with its lot, as this lab used it last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastLot {
    /// By which it is taken again.
    pub key: String,
    /// The step at which it was used.
    pub step: BenchStep,
    pub used: UsedLot,
    pub at: Moment,
    /// The pan of the case it went into; empty where that stands in none.
    pub pan: String,
}

/// The newest lot of each material among these entries, those of this step first; the newest entry stands first.
fn last_of(lately: &LatelyAtBench, step: BenchStep) -> Vec<LastLot> {
    let mut found: Vec<LastLot> = Vec::new();
    let entries = lately.entries.iter();
    for (event, pan) in entries.filter(|(event, _)| !lately.withdrawn.contains(&event.id)) {
        let What::Worked(worked) = &event.what else {
            continue;
        };
        for (place, used) in worked.used.iter().enumerate() {
            let is_complete = used.lot != ERASED && used.material != ERASED && !used.lot.is_empty();
            let is_known =
                |one: &LastLot| one.used.material.to_lowercase() == used.material.to_lowercase();
            if is_complete && !found.iter().any(is_known) {
                found.push(LastLot {
                    key: format!("{}_{place}", event.id),
                    step: worked.step,
                    used: used.clone(),
                    at: event.at,
                    pan: pan.clone(),
                });
            }
        }
    }
    found.sort_by_key(|last| last.step != step);
    found
}

/// What of it is offered: what went in at steps that this work has too. More than one sees at a glance are typed as
/// quickly.
fn offered(mut last: Vec<LastLot>, step: BenchStep, pieces: &[BenchPiece]) -> Vec<LastLot> {
    let has = |of: BenchStep| of == step || pieces.iter().any(|piece| piece.asks(of));
    last.retain(|one| pieces.is_empty() || has(one.step));
    last.truncate(USED_MOST);
    last
}

/// What this lab used last and the work can need, for a step.
pub fn last_lots(lately: &LatelyAtBench, work: &CaseWork, step: BenchStep) -> Vec<LastLot> {
    offered(last_of(lately, step), step, &work.ordered.bench)
}

/// What keeps anything from being done at the bench, with the address below the case where that is seen to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgainstWork {
    pub sentence: String,
    pub to: String,
}

/// What stands against work by the revision in force: none is signed, or it is not accepted here yet.
fn against_revision(work: &CaseWork) -> Option<AgainstWork> {
    let newest = work.case.revision;
    let against = AgainstRevision::of(newest, work.case.acknowledged)?;
    Some(AgainstWork {
        sentence: against.sentence(),
        to: match against {
            AgainstRevision::NotSigned => String::new(),
            _ => format!("revisions/{newest}"),
        },
    })
}

/// What the rules of custody say against work for these arches.
fn against_rules(offers: &Offers<'_>, arches: Arches) -> Vec<AgainstWork> {
    let to = |rule: CustodyRule| match rule {
        CustodyRule::Held => "holds",
        CustodyRule::Question => "questions",
        _ => "",
    };
    let against = offers.against(CaseStep::Bench(arches)).into_iter();
    let against = against.map(|one| AgainstWork {
        to: to(one.rule).to_owned(),
        sentence: one.sentence,
    });
    against.collect()
}

/// What is listed and has not come, and what had come and is there no more: a sentence for each, where `listed` says for
/// what.
fn listed_words(work: &CaseWork, listed: &str, lacks: &[Lacking]) -> String {
    let sentence = |(had_come, how): (bool, &str)| {
        let of_it = lacks.iter().filter(|one| one.how.had_come() == had_come);
        let of_it: Vec<Lacking> = of_it.cloned().collect();
        let words = lacking_words(work, &of_it);
        (!of_it.is_empty()).then(|| format!("{listed}, and {how}: {words}."))
    };
    let both = [(false, "not come"), (true, "not here any more")];
    let sentences: Vec<String> = both.into_iter().filter_map(sentence).collect();
    sentences.join(" ")
}

/// How each of these things is not here, in words.
fn lacking_words(work: &CaseWork, lacks: &[Lacking]) -> String {
    let one = |one: &Lacking| {
        let how = match one.how {
            NotCome::Stays => "is not here",
            NotCome::NotStored => "is a file that is not stored here",
            NotCome::OnTheWay => "is on the way",
            NotCome::Missing => "was not in its parcel",
            NotCome::Mistaken => "was registered by mistake",
            NotCome::GivenUp => "is given up",
            NotCome::Destroyed => "is destroyed",
            NotCome::Lost => "is lost",
        };
        format!("{} {how}", title_and_tag(work, &one.tag))
    };
    lacks.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What is to be thought of before anything is begun for this arch.
pub fn against_arch(work: &CaseWork, arch: Arch) -> Option<String> {
    let found = not_ready(&work.ordered, &work.items, &work.state, arch)?;
    Some(match found {
        NotReady::Lacks(lacks) => {
            listed_words(work, &format!("Listed for the {}", arch.shown()), &lacks)
        }
        NotReady::InTheMouth => format!(
            "The {} is done: what was ordered has been in the mouth.",
            arch.shown()
        ),
    })
}

/// What is to be thought of before anything is begun: that the patient waits without teeth; what the lab lacks, for each
/// arch, and for both; and what it has back to be set right.
pub fn lacking_here(work: &CaseWork) -> Vec<String> {
    let treated = work.case.arches.treated();
    let mut words: Vec<String> = (work.without_teeth())
        .iter()
        .map(|one| format!("{}.", one.sentence()))
        .collect();
    words.extend(treated.iter().filter_map(|&arch| against_arch(work, arch)));
    let all = work.lacking().into_iter();
    // What the work of an arch bites against is told with that arch.
    let is_told = |jaw: Arch| {
        let mut treated = treated.iter();
        treated.any(|arch| work.ordered.is_for(jaw, *arch))
    };
    let rest: Vec<Lacking> = all.filter(|one| !one.arch.is_some_and(is_told)).collect();
    if !rest.is_empty() {
        words.push(listed_words(work, "Listed as enclosed", &rest));
    }
    words.extend(work.items.iter().filter_map(|item| set_right(work, item)));
    words.extend(record_of_before(work));
    words.extend(stated_at_the_lab(work));
    words.extend(changed_at_the_chair(work));
    words
}

/// Which record at the lab is the one that nothing is mounted by any more.
fn record_of_before(work: &CaseWork) -> Option<String> {
    let record = work.ordered.mounted_by.as_ref()?;
    let others = records_of_before(&work.ordered, &work.items, &work.state);
    let named: Vec<String> = others.iter().map(|tag| title_and_tag(work, tag)).collect();
    (!named.is_empty()).then(|| {
        format!(
            "Of the height or bite that was refused: {}. Mount by {}.",
            named.join("; "),
            title_and_tag(work, record)
        )
    })
}

/// What the office has found not as asked of a thing that it has sent back and the lab still has.
fn set_right(work: &CaseWork, item: &Item) -> Option<String> {
    let state = work.state.item(&item.tag)?;
    let is_here = state.is_there() && state.holder.is_with_lab();
    let (_, found) = sent_back(&work.state, item, work.case.revision).filter(|_| is_here)?;
    let (entry, _) = found.first()?;
    let words: Vec<String> = found.iter().map(|(_, found)| found.words()).collect();
    Some(format!(
        "{} was sent back to be set right. Checked at the office on {}: {}.",
        title_and_tag(work, &item.tag),
        entry.at.in_words(),
        words.join("; ")
    ))
}

/// What the step is done on or by, and is not in the lab's hands.
fn not_in_hand(work: &CaseWork, form: &WorkForm) -> Option<String> {
    let case = (&work.ordered, &work.items[..], &work.state);
    let missed = absent(case, (form.step, form.arches.treated()));
    let lacking = work.lacking();
    let words = |tag: &Tag| {
        let lacks = lacking.iter().find(|one| one.tag == *tag);
        lacks.map_or_else(
            || {
                let holder = work.state.item(tag)?.holder;
                let place = holder.place_in(work.house_names());
                Some(format!("{} is {place}", title_and_tag(work, tag)))
            },
            |one| Some(lacking_words(work, std::slice::from_ref(one))),
        )
    };
    let named: Vec<String> = missed.iter().filter_map(words).collect();
    (!named.is_empty()).then(|| format!("Needed for this step: {}.", named.join("; ")))
}

/// Asks before a step is entered for an arch that lacks something or is done.
fn asked_of_arches(work: &CaseWork, form: &WorkForm) -> Result<(), AppError> {
    let arches = form.arches.treated().iter();
    let mut against: Vec<String> = arches
        .filter_map(|&arch| against_arch(work, arch))
        .chain(not_in_hand(work, form))
        .collect();
    if against.is_empty() || form.anyway {
        return Ok(());
    }
    // One tick answers both.
    against.extend(asked_by_the_card(work));
    Err(AppError::field(
        StepForm::bench_anyway().key,
        against.join(" "),
    ))
}

/// What the patient's card names beyond what was signed.
fn asked_by_the_card(work: &CaseWork) -> Option<String> {
    work.asked_by_the_card().and_then(CardSince::question)
}

/// Asks before the work goes on that may hold what the patient is to be kept from since it was signed.
fn asked_of_card(work: &CaseWork, form: &WorkForm) -> Result<(), AppError> {
    match asked_by_the_card(work).filter(|_| !form.anyway) {
        None => Ok(()),
        Some(question) => Err(AppError::field(StepForm::bench_anyway().key, question)),
    }
}

/// What goes before a step and is not entered: `flasked (upper)`.
fn not_entered(work: &CaseWork, form: &WorkForm) -> String {
    let found = work.at_the_bench();
    let open = left_out(&found, form.step, form.arches).into_iter();
    let open = open.filter_map(|(step, arches)| {
        let arches = Arches::of(&arches)?;
        Some(format!("{} ({})", step.shown(), arches.shown()))
    });
    open.collect::<Vec<_>>().join(", ")
}

/// Whether casts are mounted to a new height that is prescribed, and the height that it came to is not measured.
fn is_unmeasured(work: &CaseWork, form: &WorkForm) -> bool {
    let newest = work.signed.newest();
    let asked = newest.and_then(|(_, document)| document.prescription.vertical.occlusal_mm);
    let is_new = |piece: &BenchPiece| {
        let is_of_it = |arch: Arch| form.arches.treated().contains(&arch);
        piece.to_new_height && piece.arch.is_none_or(is_of_it)
    };
    let is_read = |one: &MeasuredValue| one.measure == BenchMeasure::Ovd;
    form.step == BenchStep::Mounted
        && asked.is_some()
        && work.ordered.bench.iter().any(is_new)
        && !form.readings.iter().any(is_read)
}

/// Asks before a step is entered that cannot be done without one that is not entered yet. Gives the words that stay in
/// the entry where somebody says that it is done; empty where nothing was asked.
fn asked_of_left_out(work: &CaseWork, form: &WorkForm) -> Result<String, AppError> {
    let open = not_entered(work, form);
    let is_unmeasured = is_unmeasured(work, form);
    let mut said = Vec::new();
    let mut asked = Vec::new();
    if !open.is_empty() {
        said.push(format!("Not entered, said to be done: {open}."));
        asked.push(format!(
            "Not entered yet, and done before this: {open}. Enter it first, or tick that it is done."
        ));
    }
    if is_unmeasured {
        said.push("OVD at the new height not entered, said to be measured.".to_owned());
        asked.push(
            "The height is a new one, and the OVD that it came to is not measured. Measure it, or tick that it is done."
                .to_owned(),
        );
    }
    if form.left_out || asked.is_empty() {
        return Ok(said.join(" "));
    }
    Err(AppError::field(
        StepForm::bench_left_out().key,
        asked.join(" "),
    ))
}

/// What was typed, and behind it what was said by a tick.
fn noted(typed: &str, said: &str) -> String {
    let parts = [typed, said].into_iter().filter(|part| !part.is_empty());
    parts.collect::<Vec<_>>().join(" ")
}

/// What stands against any work, and the arches that can be worked on.
pub fn standstill(work: &CaseWork, offers: &Offers<'_>) -> (Vec<AgainstWork>, Vec<Arch>) {
    let mut against: Vec<AgainstWork> = against_revision(work).into_iter().collect();
    let mut free = Vec::new();
    for &arch in work.case.arches.treated() {
        let found = against_rules(offers, arch.into());
        if found.is_empty() {
            free.push(arch);
        }
        for one in found {
            if !against.contains(&one) {
                against.push(one);
            }
        }
    }
    let unsaid = work.unsaid_arches();
    if !unsaid.is_empty() {
        free.retain(|arch| !unsaid.contains(arch));
        against.push(AgainstWork {
            sentence: WAITS_FOR_A_PRESCRIPTION.to_owned(),
            to: String::new(),
        });
    }
    if against_revision(work).is_some() {
        free.clear();
    }
    (against, free)
}

/// The arches of which what was done before can be told, where a standstill or an open question alone keeps all work from
/// being done now.
pub fn done_before(work: &CaseWork, offers: &Offers<'_>) -> Vec<Arch> {
    if against_revision(work).is_some() {
        return Vec::new();
    }
    let is_halted = |arch: Arch| {
        let against = offers.against(CaseStep::Bench(arch.into()));
        let mut rules = against.iter().map(|one| one.rule);
        rules.all(|rule| matches!(rule, CustodyRule::Stopped | CustodyRule::Question))
    };
    let all = work.case.arches.treated().iter().copied();
    all.filter(|arch| is_halted(*arch)).collect()
}

/// The revision to which something was done, entered from a page that showed `shown`.
fn worked_to(work: &CaseWork, shown: i64, late: Option<&Late>) -> Result<i64, AppError> {
    let revisions = work.signed.revisions.iter();
    let signed: Vec<(i64, Moment)> = revisions
        .map(|one| (one.number, one.signature.at))
        .collect();
    let of_case = (work.case.revision, work.case.acknowledged);
    let found = revision_worked_to(of_case, shown, late.map(|late| late.at), &signed);
    found.map_err(|why| AppError::Refused(vec![why]))
}

/// Enters a step.
pub async fn work(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &WorkForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let late = late(person, form.from_paper.as_ref())?;
    let used = with_last(app, person, form).await?;
    let id = EventId::new(app.outside.identity()?);
    run_on_case(app, person, number, key, |mut work, mut tx| {
        let (id, late, used) = (id.clone(), late.as_ref(), used.clone());
        async move {
            let revision = worked_to(&work, form.revision, late)?;
            // What is copied from paper was done when other things were here.
            if late.is_none() {
                asked_of_arches(&work, form)?;
            }
            // What was done for an earlier revision has other steps before it than those that are open now.
            let said_done = match revision == work.case.revision {
                true => asked_of_left_out(&work, form)?,
                false => String::new(),
            };
            asked_of_entered(&work, form)?;
            asked_of_doubts(&work, form, revision)?;
            let avoided_why = asked_of_avoided(&work, form, &used, revision)?;
            // Where a reason stands for what goes in, that was asked already.
            if late.is_none() && avoided_why.is_empty() {
                asked_of_card(&work, form)?;
            }
            let photographed = photographed(&work, form)?;
            let picture = picture_chosen(&work, StepForm::step_picture(), form.picture.as_ref())
                .map_err(|fault| AppError::Invalid(vec![fault]))?;
            // What is copied from paper was timed on paper.
            let timed = match late {
                None => into_entry(app, &mut tx, &work, form).await?,
                Some(_) => Vec::new(),
            };
            let what = Worked {
                step: form.step,
                arches: form.arches,
                revision,
                minutes: form.minutes,
                used,
                avoided_why,
                readings: form.readings.clone(),
                photographed,
                no_photo: match photographed {
                    Some(false) => form.no_photo.clone(),
                    _ => String::new(),
                },
                timed,
                keep_until: form.keep_until,
                mounting: form.mounting,
                picture,
                note: noted(&form.note, &said_done),
            };
            work.append(app, &mut tx, person, &id, what.into(), late)
                .await?;
            Ok((work, tx, ()))
        }
    })
    .await
}

/// Asks before a step is entered of which an entry has come since the page was shown. The page that asks shows that
/// entry, so that what is sent from it is meant.
fn asked_of_entered(work: &CaseWork, form: &WorkForm) -> Result<(), AppError> {
    let step = (form.step, form.arches);
    match BenchEntry::since(&work.state.bench, &form.shown, step) {
        None => Ok(()),
        Some(entry) => Err(AppError::Refused(vec![format!(
            "{} entered this meanwhile: {}, {}, on {}. Nothing was entered now; was it done once more, send it again.",
            entry.by,
            entry.step.shown(),
            entry.arches.shown(),
            entry.at.in_words()
        )])),
    }
}

/// Asks before a reading is entered that is far from what was prescribed when it was done, or another articulator than
/// that.
fn asked_of_doubts(work: &CaseWork, form: &WorkForm, revision: i64) -> Result<(), AppError> {
    let Some((_, document)) = work.signed.of(revision).filter(|_| !form.sure) else {
        return Ok(());
    };
    let prescribed = prescribed_numbers(&document.prescription, document.numbering);
    let mut doubts = form.doubts(prescribed);
    doubts.extend(form.mounting_doubts(&Mounting::prescribed(&document.prescription)));
    if doubts.is_empty() {
        return Ok(());
    }
    let ask = "Something is asked beside its field: correct it, or tick that it is right.";
    doubts.push(Fault::new(StepForm::bench_sure().key, ask));
    Err(AppError::Invalid(doubts))
}

/// What a material holds that was to be avoided when it was used; or is by now, since what went in then goes into the
/// mouth now.
fn avoided_in(work: &CaseWork, revision: i64, material: &str) -> Option<String> {
    let then = work.signed.of(revision);
    let now = work.signed.newest();
    let by = |document, card| ToBeAvoided::by(document, card).in_material(material);
    then.and_then(|(_, document)| by(document, None))
        .or_else(|| now.and_then(|(_, document)| by(document, work.card.as_ref())))
}

/// Asks before something goes in that the patient is to be kept from. Gives the reason that stands in the entry; empty
/// where nothing was found.
fn asked_of_avoided(
    work: &CaseWork,
    form: &WorkForm,
    used: &[UsedLot],
    revision: i64,
) -> Result<String, AppError> {
    let mut faults = Vec::new();
    let mut said = Vec::new();
    for (place, one) in used.iter().enumerate() {
        let Some(sentence) = avoided_in(work, revision, &one.material) else {
            continue;
        };
        // What is taken again by one tap has no field of its own.
        match form.used_at.get(place) {
            Some(key) => faults.push(Fault::new(key.as_str(), sentence)),
            None => said.push(sentence),
        }
    }
    if faults.is_empty() && said.is_empty() {
        return Ok(String::new());
    }
    if !form.avoided_why.trim().is_empty() {
        return Ok(form.avoided_why.trim().to_owned());
    }
    let ask =
        "Take it out, or say who has agreed that it goes in: “the office agreed by telephone”.";
    said.push(ask.to_owned());
    faults.push(Fault::new(StepForm::avoided_why().key, said.join(" ")));
    Err(AppError::Invalid(faults))
}

/// The newest entry of a step, by which a later form of it tells what its page showed.
pub fn newest_of(work: &CaseWork, step: BenchStep) -> String {
    let mut own = work.state.bench.iter().rev();
    let newest = own.find(|one| one.step == step);
    newest.map(|one| one.event.to_string()).unwrap_or_default()
}

/// Whether the cast was photographed since it was set up last; asked of flasking alone.
fn photographed(work: &CaseWork, form: &WorkForm) -> Result<Option<bool>, AppError> {
    if form.step != BenchStep::Flasked {
        return Ok(None);
    }
    match work.photographed(form.arches) {
        Some(_) => Ok(Some(true)),
        None if form.no_photo.trim().is_empty() => {
            let wanted = "Photograph the cast before it is flasked, or say here why not.";
            Err(AppError::field(StepForm::no_photo().key, wanted))
        }
        None => Ok(Some(false)),
    }
}

/// What was typed, and what was taken again by one tap.
async fn with_last(app: &App, person: &Person, form: &WorkForm) -> Result<Vec<UsedLot>, AppError> {
    let mut used = form.used.clone();
    if !form.again.is_empty() {
        let last = last_of(&LatelyAtBench::of(app, person).await?, form.step);
        let is_taken = |one: &&LastLot| form.again.contains(&one.key);
        let taken: Vec<UsedLot> = (last.iter().filter(is_taken))
            .map(|one| one.used.clone())
            .collect();
        // A lot that was ticked goes into the record, or is asked for again: never neither.
        if taken.len() != form.again.len() {
            let sentence = "Another lot was used meanwhile, so that one you ticked is offered no more: tick or type what \
                            went into this work.";
            return Err(AppError::Refused(vec![sentence.to_owned()]));
        }
        used.extend(taken);
    }
    Ok(used)
}

/// Says of what was done for an earlier revision whether it stands for the one in force, or from which step on it is done
/// again.
pub async fn carry_over(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &CarryForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let again_from = match form.again_from.as_str() {
        NOTHING_AGAIN => None,
        word => Some(BenchStep::from_word(word).ok_or_else(|| {
            let field = CarryForm::again_from();
            AppError::field(field.key, "Choose a step of the list.")
        })?),
    };
    let id = EventId::new(app.outside.identity()?);
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        let what = CarriedOver {
            revision: worked_to(&work, form.carry_revision, None)?,
            arches: form.carry_arches,
            again_from,
        };
        work.append(app, &mut tx, person, &id, what.into(), None)
            .await?;
        Ok((work, tx, ()))
    })
    .await
}

/// Whether something was done at the bench for an earlier revision, and the lab has not said whether it stands.
pub async fn asks_again(app: &App, person: &Person, number: &CaseNumber) -> Result<bool, AppError> {
    let view = see(app, person, number).await?;
    Ok(!ready_at_the_bench(&view.work).unsaid.is_empty())
}

/// How far the work has come for the arches that can be worked on.
pub fn ready_at_the_bench(work: &CaseWork) -> BenchProgress<'_> {
    work.at_the_bench().without(&work.deferred_arches())
}

/// Withdraws an entry that was a mistake, and gives the case its timers back.
pub async fn undo(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &UndoForm,
    key: &PostKey,
) -> Result<(), AppError> {
    let id = EventId::new(app.outside.identity()?);
    run_on_case(app, person, number, key, |mut work, mut tx| async {
        let entry = work.state.bench.iter().find(|one| one.event == form.undone);
        let entry = entry.cloned();
        let what = Undone {
            event: form.undone.clone(),
            reason: form.undone_why.clone(),
        };
        work.append(app, &mut tx, person, &id, what.into(), None)
            .await?;
        if let Some(entry) = entry.filter(|_| !work.case.closed) {
            out_of_entry(app, &mut tx, &work, &entry).await?;
        }
        Ok((work, tx, ()))
    })
    .await
}

/// The case for its lab; for anybody else there is no bench.
pub async fn see(app: &App, person: &Person, number: &CaseNumber) -> Result<CaseView, AppError> {
    let view = see_case::see(app, person, number).await?;
    match view.work.side {
        Side::Lab => {
            // Somebody works by what stands here, as by a sheet: also by what the card says since.
            view.work.refuse_if_doubted()?;
            Ok(view)
        }
        Side::Office => Err(AppError::NotFound),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::Event;
    use crate::domain::people::party::{Actor, Role};
    use crate::domain::prescription::Course;

    fn event(id: &str, what: What) -> (Event, String) {
        let at = Moment::new(1_772_438_400_000, 0);
        let event = Event {
            id: EventId::new(id),
            case: (0..32)
                .find_map(|n| CaseNumber::from_random([n; 7]))
                .unwrap(),
            at,
            entered_at: at,
            by: Actor {
                account: "a".into(),
                name: "Tom".to_owned(),
                role: Role::Technician,
                party: "p".into(),
                party_name: "Kiln".to_owned(),
            },
            paper: None,
            by_code: None,
            what,
        };
        (event, "14".to_owned())
    }

    fn worked(id: &str, step: BenchStep, used: &[(&str, &str)]) -> (Event, String) {
        let used = used.iter().map(|(material, lot)| UsedLot {
            material: (*material).to_owned(),
            lot: (*lot).to_owned(),
        });
        event(
            id,
            What::Worked(Worked {
                step,
                revision: 1,
                used: used.collect(),
                ..Worked::sample(Arches::Both)
            }),
        )
    }

    #[test]
    fn the_newest_lot_of_each_material_is_offered_those_of_the_step_first() {
        let entries = [
            worked("e5", BenchStep::Cured, &[("Base resin", "9")]),
            worked("e4", BenchStep::SetUp, &[("Teeth U", "7"), ("Wax", "")]),
            worked(
                "e3",
                BenchStep::Cured,
                &[("base resin", "8"), ("Separator", "3")],
            ),
            worked(
                "e2",
                BenchStep::Cured,
                &[("Base resin", "6"), ("Stone", ERASED)],
            ),
        ];
        let lately = LatelyAtBench {
            entries: entries.into(),
            withdrawn: vec![EventId::new("e5")],
        };
        let found = last_of(&lately, BenchStep::Cured);
        let keys = |found: &[LastLot]| {
            let words = found
                .iter()
                .map(|one| format!("{}: {}", one.key, one.used.words()));
            words.collect::<Vec<_>>()
        };
        let wanted = [
            "e3_0: base resin, lot 8",
            "e3_1: Separator, lot 3",
            "e4_0: Teeth U, lot 7",
        ];
        assert_eq!(keys(&found), wanted);
        // A repair sets no teeth up; what a set-up used is offered where one is ordered, or where nothing is.
        let piece = |course| BenchPiece {
            arch: None,
            course,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        };
        let of = |pieces: &[BenchPiece], step| keys(&offered(found.clone(), step, pieces));
        let poured = BenchStep::CastPoured;
        assert_eq!(of(&[piece(Course::Repair)], poured), Vec::<String>::new());
        assert_eq!(of(&[piece(Course::Copy)], poured), wanted);
        assert_eq!(of(&[], poured), wanted);
        let set_up = of(&[piece(Course::Repair)], BenchStep::SetUp);
        assert_eq!(set_up, wanted[2..]);
    }
}
