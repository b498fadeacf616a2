//! Handing over: a release names items, parcels, carrier, purpose and disinfection, in one transaction. It waits
//! for the carrier, or says who took it at once.

use super::avoided_things::avoided_words;
use super::case_work::CaseWork;
use super::changed_at_chair::changed_words;
use super::custody_words::{made_words, title_and_tag};
use super::entry::{exception, late};
use super::run::on_case::run_on_case;
use super::see_case::CaseView;
use super::sign_in::prove;
use super::{App, AppError, Person, PostKey, see_case, template};
use crate::domain::custody::events::Released;
use crate::domain::custody::forms::{ReleaseForm, SendAnywayForm};
use crate::domain::custody::handoff::Handoff;
use crate::domain::custody::item::{Item, ItemKind};
use crate::domain::custody::{
    self, CaseStep, ChangedAtChair, Lacking, NotAskedFor, NotCome, Offers, PhoneCall, Purpose,
    Sent, ToMake, What, is_sent_by_mistake, made_before, travels,
};
use crate::domain::people::party::Side;
use crate::domain::prescription::Difference;
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{CaseNumber, EventId, HandoffId, Tag};
use crate::domain::values::moment::Moment;

/// What was asked was asked of another revision.
pub(super) const CHANGED_SINCE_READ: &str =
    "The prescription has changed since this page was read: look again.";

/// The form as it stands to its case: known items only, in the case's order, counted where there are several pieces.
fn in_case(form: &ReleaseForm, work: &CaseWork) -> Result<ReleaseForm, AppError> {
    let tags: Vec<&Tag> = work.items.iter().map(|item| &item.tag).collect();
    let known = |tag: &Tag| {
        let pieces = work.item(tag).map_or(1, |item| work.state.pieces(item));
        (pieces, work.state.is_sound(tag))
    };
    let form = form.clone().in_case(work.side, &tags, known);
    form.map_err(AppError::Invalid)
}

/// What a release asks of an item, and where it stands among the others.
pub struct ItemToGo {
    /// Whether nothing is said to be the matter with it; otherwise its condition is asked.
    pub is_sound: bool,
    pub pieces: u32,
    /// Whether it stays mostly while other items go.
    pub stays_mostly: bool,
    /// Whether it is the office's and in no list: the lab sends it back.
    pub goes_back: bool,
    /// What the repair list names of it, where the office sends it to be mended.
    pub broken: Option<String>,
    /// Whether the lab has it with the revision that lists it, and no carrier takes it along.
    pub goes_as_a_file: bool,
}

/// The same of an item of the case; none of what is not registered.
pub fn item_to_go(work: &CaseWork, item: &Item) -> Option<ItemToGo> {
    let state = work.state.item(&item.tag)?;
    let is_office = work.side == Side::Office;
    let broken = work.ordered.broken_of(item, &work.state);
    let is_listed_file = item.kind == ItemKind::Scan && work.ordered.files.contains(&item.tag);
    // What is not stored here may go on a medium.
    let is_there = !work.lacking().iter().any(|one| one.tag == item.tag);
    let goes_back = !is_office && is_sent_by_mistake(&work.ordered, &work.state, item);
    Some(ItemToGo {
        is_sound: work.state.is_sound(&item.tag),
        pieces: work.state.pieces(item),
        stays_mostly: !travels(item, state, &work.ordered) && !goes_back,
        goes_back,
        broken: broken.filter(|_| is_office),
        goes_as_a_file: is_office && is_listed_file && is_there,
    })
}

/// What the prescription lists as enclosed and has not come to the lab: the office sends it.
pub fn awaited(work: &CaseWork) -> Vec<Lacking> {
    match work.side {
        Side::Office => work.lacking(),
        Side::Lab => Vec::new(),
    }
}

/// What the prescription in force lists as enclosed and cannot go along now, each with why; `is_offered` says which things
/// can be ticked.
pub fn not_ready(
    work: &CaseWork,
    offers: &Offers<'_>,
    is_offered: impl Fn(&Tag) -> bool,
) -> Vec<String> {
    if work.side != Side::Office {
        return Vec::new();
    }
    let awaited = awaited(work).into_iter();
    let stays = awaited.filter(|one| match one.how {
        NotCome::NotStored => true,
        how => how != NotCome::OnTheWay && !is_offered(&one.tag),
    });
    let words = |one: Lacking| {
        if one.how == NotCome::NotStored {
            let named = title_and_tag(work, &one.tag);
            return format!("{named}: listed, and not stored here; add its file under 3D scans");
        }
        let against = offers.against(CaseStep::HandOver(&one.tag)).into_iter();
        let sentences: Vec<String> = against.map(|refusal| refusal.sentence).collect();
        match sentences.is_empty() {
            true => title_and_tag(work, &one.tag),
            false => sentences.join(" "),
        }
    };
    let untagged = work.ordered.untagged.iter();
    let untagged = untagged.map(|what| format!("{what}: listed without a tag, put it in by hand"));
    stays.map(words).chain(untagged).collect()
}

/// Releases items to the other side; returns the handoff's id.
pub async fn release(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &ReleaseForm,
    key: &PostKey,
) -> Result<HandoffId, AppError> {
    let handoff = HandoffId::new(app.outside.identity()?);
    let view = see_case::see(app, person, number).await?;
    let seen = &view.work;
    let form = in_case(form, seen)?;
    let anyway = anyway(&form, &view)?;
    let late = late(person, form.from_paper.as_ref())?;
    let exception = exception(app, person, &form.exception, &form.password).await?;
    if exception.is_none() {
        prove(app, person, form.password.as_str()).await?;
    }
    // One id for each disinfection that may be entered along, and one for the release.
    let ids = (0..=seen.items.len())
        .map(|_| app.outside.identity().map(EventId::new))
        .collect::<Result<Vec<_>, _>>()?;
    run_on_case(app, person, seen, key, |mut work, mut tx| async {
        let sent: Vec<Tag> = form.items.iter().map(|sent| sent.tag.clone()).collect();
        if !anyway.is_of(&work, &sent, form.carriage.purpose_code) {
            return Err(AppError::Conflict(CHANGED_SINCE_READ.to_owned()));
        }
        let mut ids = ids.iter();
        if let Some(entry) = &form.cleaning {
            for tag in without_entry(&work, &form.items) {
                let id = ids
                    .next()
                    .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
                let what = entry.of(tag).into();
                work.append(app, &mut tx, person, id, what, late.as_ref())
                    .await?;
            }
        }
        let from = work.side;
        let to = from.other();
        let what = What::Released(Released {
            handoff: handoff.clone(),
            items: form.items.clone(),
            from,
            to,
            carrier: form.carriage.carrier.clone(),
            tracking: form.carriage.tracking.clone(),
            purpose_code: Some(form.carriage.purpose_code),
            purpose: form.carriage.purpose.clone(),
            seal: String::new(),
            exception: exception.clone(),
            parcels: form.parcels.clone(),
            stays: [&anyway.stays[..], &anyway.back].concat(),
            unread: anyway.unread,
            older: (!anyway.older.is_empty()).then_some(work.case.revision),
            as_it_comes: (!anyway.changed.is_empty()).then_some(work.case.revision),
            made_by: form.anyway.made_by.filter(|_| !anyway.told.is_empty()),
            awaits_pickup: form.taken_by.is_empty(),
            taken_by: form.taken_by.clone(),
        });
        let id = ids
            .next()
            .ok_or_else(|| AppError::Inner("too few ids".to_owned()))?;
        work.append(app, &mut tx, person, id, what, late.as_ref())
            .await?;
        Ok((work, tx, handoff.clone()))
    })
    .await
}

/// What the other side will miss, and whoever sends knows of.
struct Anyway {
    stays: Vec<Tag>,
    unread: Option<i64>,
    /// Work that was made before the revision in force was signed.
    older: Vec<Tag>,
    /// What is ordered, and is not registered.
    left_out: Vec<ToMake>,
    /// What was copied and stays, though its copy leaves.
    copied: Vec<Tag>,
    /// What goes to be worked on, and nothing that is signed asks for.
    not_asked_for: Vec<(Tag, NotAskedFor)>,
    /// What was changed at the chair after the revision in force was signed.
    changed: Vec<ChangedAtChair>,
    /// The same, of what work was made from that the lab sends.
    changed_under: Vec<ChangedAtChair>,
    /// What is called finished, and is not entered as that.
    unfinished: Vec<String>,
    /// What is wanted back with the work, and stays though finished work leaves.
    back: Vec<Tag>,
    /// What the telephone said otherwise than the text in force.
    told: Vec<String>,
    /// The arches whose clear template does not go along with the denture.
    templates: Vec<Arch>,
}

impl Anyway {
    /// Whether it is so of the case as it is now: what was asked and answered was asked of the case as it was seen.
    fn is_of(&self, work: &CaseWork, sent: &[Tag], purpose: Purpose) -> bool {
        let unread = unread(work, sent, purpose);
        stays_here(work, sent) == self.stays
            && unread == self.unread
            && older(work, sent, unread).len() == self.older.len()
            && left_out(work, sent, purpose) == self.left_out
            && copied_left_out(work, sent) == self.copied
            && not_asked_for(work, sent, purpose) == self.not_asked_for
            && changed(work, sent, purpose) == self.changed
            && changed_under(work, sent, purpose) == self.changed_under
            && unfinished(work, sent, purpose) == self.unfinished
            && back_left_out(work, sent, purpose) == self.back
            && told_otherwise(work, sent, purpose) == self.told
            && templates(work, sent, purpose) == self.templates
    }
}

/// What the office sends to be worked on, though nothing that is signed asks for it.
fn not_asked_for(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<(Tag, NotAskedFor)> {
    if work.side != Side::Office {
        return Vec::new();
    }
    let case = (&work.items[..], &work.state);
    custody::not_asked_for(&work.ordered, case, (sent, purpose))
}

/// What was done at the chair to what the office sends to be worked on, and no signed text knows of.
fn changed(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<ChangedAtChair> {
    if work.side != Side::Office || !purpose.is_for_work() {
        return Vec::new();
    }
    let mut all = work.changed_at_chair();
    all.retain(|one| sent.contains(&one.tag));
    all
}

/// What was done at the chair that concerns work which leaves with these things; of what the office has said how the lab
/// takes it, nothing is asked again.
pub(super) fn changed_under_work(
    work: &CaseWork,
    sent: &[Tag],
    purpose: Purpose,
) -> Vec<ChangedAtChair> {
    let concerns = match work.side {
        Side::Office => purpose.is_for_work(),
        Side::Lab => !work_among(work, sent, purpose).is_empty(),
    };
    let mut all = work.changed_at_chair();
    all.retain(|one| concerns && !one.as_it_comes);
    all
}

/// What was done at the chair that work of the lab may not have in it.
fn changed_under(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<ChangedAtChair> {
    match work.side {
        Side::Office => Vec::new(),
        Side::Lab => changed_under_work(work, sent, purpose),
    }
}

/// Asks about that, in one sentence for each reason.
fn ask_not_asked_for(work: &CaseWork, found: &[(Tag, NotAskedFor)]) -> Option<Fault> {
    let number = work.case.revision;
    let said = [
        (
            NotAskedFor::Unlisted,
            format!("Not listed in revision {number}"),
        ),
        (
            NotAskedFor::Done,
            format!("Done as revision {number} asks, and no newer one says what it goes there for"),
        ),
    ];
    let sentence = |(why, words): (NotAskedFor, String)| {
        let own = found.iter().filter(|(_, one)| *one == why);
        let named: Vec<String> = own.map(|(tag, _)| title_and_tag(work, tag)).collect();
        (!named.is_empty()).then(|| format!("{words}: {}.", named.join("; ")))
    };
    let sentences: Vec<String> = said.into_iter().filter_map(sentence).collect();
    let key = SendAnywayForm::not_asked().key;
    let is_any = !sentences.is_empty();
    is_any.then(|| Fault::new(key, format!("{} Send anyway?", sentences.join(" "))))
}

/// What is ordered and cannot go along, since nobody has registered it.
fn left_out(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<ToMake> {
    // What stands still is not made.
    if work.side != Side::Lab || work.stands_still() {
        return Vec::new();
    }
    let (case, treated) = ((&work.items[..], &work.state), work.case.arches.treated());
    custody::left_out(&work.ordered, case, treated, (sent, purpose))
}

/// What the lab has copied and keeps, though the copy leaves.
fn copied_left_out(work: &CaseWork, sent: &[Tag]) -> Vec<Tag> {
    if work.side != Side::Lab || work.stands_still() {
        return Vec::new();
    }
    let case = (&work.items[..], &work.state);
    custody::copied_left_out(&work.ordered, case, sent)
}

/// Asks before the lab sends what it has made of a material that is to be avoided; what is the office's goes back as it came.
fn ask_avoided(work: &CaseWork, sent: &[Tag]) -> Option<Fault> {
    let is_made_here = |tag: &&Tag| {
        let state = work.state.item(tag);
        work.side == Side::Lab && state.is_some_and(|state| state.home == Side::Lab)
    };
    let found = sent.iter().filter(is_made_here);
    let words: Vec<String> = found.filter_map(|tag| avoided_words(work, tag)).collect();
    let sentence = || format!("{} Send it anyway?", words.join(" "));
    (!words.is_empty()).then(|| Fault::new(SendAnywayForm::avoided().key, sentence()))
}

/// Asks about that.
fn ask_copied(work: &CaseWork, copied: &[Tag]) -> Option<Fault> {
    let named: Vec<String> = copied.iter().map(|tag| title_and_tag(work, tag)).collect();
    (!named.is_empty()).then(|| {
        let sentence = format!(
            "Copied, and not in this parcel: {}. It goes back with its copy. Send without it?",
            named.join("; ")
        );
        Fault::new(SendAnywayForm::copied().key, sentence)
    })
}

/// What is wanted back with the work and stays here, though the lab sends finished work.
fn back_left_out(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<Tag> {
    if work.side != Side::Lab || work.stands_still() {
        return Vec::new();
    }
    let (case, treated) = ((&work.items[..], &work.state), work.case.arches.treated());
    custody::back_left_out(&work.ordered, case, treated, (sent, purpose))
}

/// Asks about that.
fn ask_back(work: &CaseWork, back: &[Tag]) -> Option<Fault> {
    let named: Vec<String> = back.iter().map(|tag| title_and_tag(work, tag)).collect();
    (!named.is_empty()).then(|| {
        let sentence = format!(
            "Wanted back with the work and not ticked: {}. Tick it above, or send without it?",
            named.join("; ")
        );
        Fault::new(SendAnywayForm::wanted_back().key, sentence)
    })
}

/// What was said on the telephone otherwise than the text in force, where the lab sends work and no revision says it yet.
fn told_otherwise(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<String> {
    let goes_on = work.side == Side::Lab && work.case.revision > 0 && !work.state.is_cancelled();
    if !goes_on || work_among(work, sent, purpose).is_empty() {
        return Vec::new();
    }
    let calls = work.state.calls_left_open(&work.ordered);
    let words = |call: &PhoneCall| {
        let said = call.text.trim().trim_end_matches('.');
        format!("{said} (call of {})", call.at.in_words())
    };
    calls.map(words).collect()
}

/// The arches whose clear template stays, though the denture leaves with which it was ordered.
fn templates(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<Arch> {
    match work.side {
        Side::Office => Vec::new(),
        Side::Lab => template::left_out(work, sent, purpose),
    }
}

/// Asks about that.
fn ask_template(arches: &[Arch]) -> Option<Fault> {
    let sentence = template::left_out_words(arches)?;
    Some(Fault::new(SendAnywayForm::template().key, sentence))
}

/// Asks by which of both the work was made; the answer stands in the entry.
fn ask_made_by(told: &[String]) -> Option<Fault> {
    (!told.is_empty()).then(|| {
        let sentence = format!(
            "Said on the telephone, and in no revision yet: {}. Made as the prescription says, or as was said on the telephone?",
            told.join("; ")
        );
        Fault::new(SendAnywayForm::made_by().key, sentence)
    })
}

/// What is sent as finished, and the steps at the bench are not entered to their end: "upper, 2 of 8 steps; open: flasked".
fn unfinished(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<String> {
    if work.side != Side::Lab || purpose != Purpose::Finished {
        return Vec::new();
    }
    let found = work.at_the_bench();
    let is_final = |item: &&Item| item.kind == ItemKind::FinalDenture && sent.contains(&item.tag);
    let finals = work.items.iter().filter(is_final);
    let mut arches: Vec<Arch> = finals.filter_map(|item| item.arch).collect();
    arches.sort_unstable();
    arches.dedup();
    let words = |arch: Arch| {
        let (asked, open) = found.unfinished(arch)?;
        let names: Vec<&str> = open.iter().map(|step| step.shown()).collect();
        Some(format!(
            "{}, {} of {asked} steps; open: {}",
            arch.shown(),
            asked - open.len(),
            names.join(", ")
        ))
    };
    arches.into_iter().filter_map(words).collect()
}

/// Work that was made before the revision in force was signed; where nobody has acknowledged that revision, the question
/// of that asks the same.
fn older(work: &CaseWork, sent: &[Tag], unread: Option<i64>) -> Vec<Tag> {
    if work.side != Side::Lab || unread.is_some() {
        return Vec::new();
    }
    made_before(
        &work.ordered,
        (&work.items, &work.events),
        &work.state,
        sent,
    )
}

/// What is listed as enclosed and would stay here, though it could go along: named, and asked with one tick.
pub fn stays_here(work: &CaseWork, sent: &[Tag]) -> Vec<Tag> {
    if work.side != Side::Office {
        return Vec::new();
    }
    let lacking = work.lacking().into_iter();
    let stays = lacking.filter(|one| one.how == NotCome::Stays && !sent.contains(&one.tag));
    stays.map(|one| one.tag).collect()
}

/// The revision in force, where the lab sends work and nobody there has acknowledged it: the entry says so. What goes
/// back as it came is no work, but for a final.
pub fn unread(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Option<i64> {
    let (newest, read) = (work.case.revision, work.case.acknowledged);
    let has_work = !work_among(work, sent, purpose).is_empty();
    let is_unread = work.side == Side::Lab && read < newest && has_work;
    is_unread.then_some(newest)
}

/// What of these things is work: what goes back as it came is none, but for a final.
fn work_among(work: &CaseWork, sent: &[Tag], purpose: Purpose) -> Vec<Tag> {
    let goes_back = purpose.is_return();
    let is_work = |kind: ItemKind| {
        let is_of_mouth = kind.is_made_for_the_mouth() || kind.is_denture();
        kind == ItemKind::FinalDenture || is_of_mouth && !goes_back
    };
    let items = work.items.iter();
    let items = items.filter(|item| is_work(item.kind) && sent.contains(&item.tag));
    items.map(|item| item.tag.clone()).collect()
}

/// What a parcel of the lab holds of work that was packed before the revision in force was signed, and that revision
/// where nobody there has acknowledged it: both are asked about before it leaves.
pub fn newer_than_packed(work: &CaseWork, handoff: &Handoff) -> (Option<i64>, Vec<Tag>) {
    let is_newer = |since: Moment| since.unix_ms > handoff.released_at.unix_ms;
    if work.side != Side::Lab || !work.ordered.since.is_some_and(is_newer) {
        return (None, Vec::new());
    }
    let sent: Vec<Tag> = handoff.sent.iter().map(|sent| sent.tag.clone()).collect();
    let purpose = handoff.purpose_code.unwrap_or(Purpose::Other);
    match unread(work, &sent, purpose) {
        Some(number) => (Some(number), Vec::new()),
        None => (None, work_among(work, &sent, purpose)),
    }
}

/// Things may have to leave before everything is signed; whoever sends them is told what the lab will miss.
pub fn unsigned(view: &CaseView) -> Option<String> {
    let (is_drafted, revision) = (view.draft.is_some(), view.work.case.revision);
    let sentence = match (view.work.side, is_drafted, revision) {
        (Side::Lab, ..) | (Side::Office, false, 1..) => return None,
        (Side::Office, false, _) => {
            "No prescription is written for this case yet. A laboratory works to a written and signed one; \
             local law says what has to stand in it."
                .to_owned()
        }
        (Side::Office, true, ..=0) => {
            "The prescription of this case is not signed yet, and the lab does not see it.".to_owned()
        }
        (Side::Office, true, _) => format!(
            "What was changed since revision {revision} is not signed yet: the lab works to that revision."
        ),
    };
    Some(sentence)
}

/// What is said to a lab that has not acknowledged the revision in force.
pub fn unread_words(view: &CaseView) -> Option<String> {
    let case = &view.work.case;
    let is_unread = view.work.side == Side::Lab && case.acknowledged < case.revision;
    is_unread.then(|| {
        let number = case.revision;
        format!("Revision {number} is in force, and nobody here has acknowledged it. What leaves before that says so in its entry.")
    })
}

/// What the newest revision says otherwise than the one that the lab works to.
pub fn not_read(view: &CaseView) -> Vec<Difference> {
    let read = view.work.case.acknowledged;
    let before = view.documents().iter().find(|one| one.revision == read);
    let newest = view.document().zip(before);
    newest.map_or_else(Vec::new, |(newest, before)| {
        newest.changed_since(before, newest.numbering)
    })
}

/// Asks what has to be asked before these things leave.
fn anyway(form: &ReleaseForm, view: &CaseView) -> Result<Anyway, AppError> {
    let work = &view.work;
    let sent: Vec<Tag> = form.items.iter().map(|sent| sent.tag.clone()).collect();
    let unread = unread(work, &sent, form.carriage.purpose_code);
    let anyway = Anyway {
        stays: stays_here(work, &sent),
        unread,
        older: older(work, &sent, unread),
        left_out: left_out(work, &sent, form.carriage.purpose_code),
        copied: copied_left_out(work, &sent),
        not_asked_for: not_asked_for(work, &sent, form.carriage.purpose_code),
        changed: changed(work, &sent, form.carriage.purpose_code),
        changed_under: changed_under(work, &sent, form.carriage.purpose_code),
        unfinished: unfinished(work, &sent, form.carriage.purpose_code),
        back: back_left_out(work, &sent, form.carriage.purpose_code),
        told: told_otherwise(work, &sent, form.carriage.purpose_code),
        templates: templates(work, &sent, form.carriage.purpose_code),
    };
    let mut faults = Vec::new();
    if !anyway.stays.is_empty() && !form.anyway.stays {
        let named: Vec<String> = anyway
            .stays
            .iter()
            .map(|tag| title_and_tag(work, tag))
            .collect();
        let things = match named.len() {
            1 => "1 listed item stays".to_owned(),
            many => format!("{many} listed items stay"),
        };
        let sentence = format!("{things} here: {}. Send anyway?", named.join("; "));
        faults.push(Fault::new(SendAnywayForm::stays().key, sentence));
    }
    if !anyway.left_out.is_empty() && !form.anyway.unmade {
        let named = made_words(&anyway.left_out);
        let sentence = format!(
            "Ordered and not registered: {named}. Register it first, so that it goes along. Send without it?"
        );
        faults.push(Fault::new(SendAnywayForm::unmade().key, sentence));
    }
    faults.extend(ask_avoided(work, &sent).filter(|_| !form.anyway.avoided));
    faults.extend(ask_copied(work, &anyway.copied).filter(|_| !form.anyway.copied));
    faults.extend(ask_back(work, &anyway.back).filter(|_| !form.anyway.wanted_back));
    faults.extend(ask_template(&anyway.templates).filter(|_| !form.anyway.template));
    faults.extend(ask_made_by(&anyway.told).filter(|_| form.anyway.made_by.is_none()));
    if !anyway.unfinished.is_empty() && !form.anyway.unfinished {
        let sentence = format!(
            "Entered at the bench: {}. Is it finished?",
            anyway.unfinished.join(". ")
        );
        faults.push(Fault::new(SendAnywayForm::unfinished().key, sentence));
    }
    if let Some(words) = changed_words(work, anyway.changed.iter())
        && !form.anyway.as_it_comes
    {
        let sentence = format!("{words} Sign a revision, or say how the lab takes it.");
        faults.push(Fault::new(SendAnywayForm::as_it_comes().key, sentence));
    }
    if let Some(words) = changed_words(work, anyway.changed_under.iter())
        && !form.anyway.corrected
    {
        faults.push(ask_corrected(&[words]));
    }
    let not_asked = ask_not_asked_for(work, &anyway.not_asked_for);
    faults.extend(not_asked.filter(|_| !form.anyway.not_asked));
    faults.extend(ask_newer(
        work,
        (anyway.unread, &anyway.older),
        &form.anyway,
    ));
    match faults.is_empty() {
        true => Ok(anyway),
        false => Err(AppError::Invalid(faults)),
    }
}

/// Asks whether something leaves as it is, though something was corrected since it was made or packed.
pub(super) fn ask_corrected(words: &[String]) -> Fault {
    let sentence = format!("{} Does it go as it is?", words.join(" "));
    Fault::new(SendAnywayForm::corrected().key, sentence)
}

/// Asks what has to be asked before work leaves that a revision is newer than.
pub(super) fn ask_newer(
    work: &CaseWork,
    (unread, older): (Option<i64>, &[Tag]),
    form: &SendAnywayForm,
) -> Vec<Fault> {
    let mut faults = Vec::new();
    // Of a first revision the form says it, and no tick is asked for: nothing in it is newer than what was read.
    let newer = unread.filter(|number| *number > 1);
    if let Some(number) = newer.filter(|_| !form.unread) {
        let sentence = format!(
            "Revision {number} is in force, and nobody here has acknowledged it: read what it changes. Send anyway?"
        );
        faults.push(Fault::new(SendAnywayForm::unread().key, sentence));
    }
    if !older.is_empty() && !form.older {
        let named: Vec<String> = older.iter().map(|tag| title_and_tag(work, tag)).collect();
        let sentence = format!(
            "Made before revision {} was signed: {}. Is it as that revision asks?",
            work.case.revision,
            named.join("; ")
        );
        faults.push(Fault::new(SendAnywayForm::older().key, sentence));
    }
    faults
}

/// The ticked items that need a disinfection entry and have none.
fn without_entry(work: &CaseWork, sent: &[Sent]) -> Vec<Tag> {
    let custody = &work.state.custody;
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
