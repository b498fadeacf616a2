//! What the prescription in force says of things: what it lists as enclosed, and when what was lent is wanted back.
//!
//! "What is not listed here is not in the box" holds the other way round too: what is listed and does not come is
//! missed, by the lab before it begins and by the office before it waits for nothing.

use super::agenda::OrderedWork;
use super::bench::{BenchPiece, ResetBy};
use super::case_state::CaseState;
use super::follow_up::CaseBeside;
use super::handoff::Handoff;
use super::item::{Item, ItemKind, StaysAtLab};
use super::parcel::Outcome;
use super::state::{Condition, Gone, Holder, State};
use crate::domain::form::YesNo;
use crate::domain::people::party::Side;
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::{
    Broken, Course, Enclosed, OrderKind, PatternSource, Piece, Prescription, Process, RepairPlace,
    Stage, catalogue,
};
use crate::domain::review::courses::course_of_piece;
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::Tag;
use crate::domain::values::moment::Moment;
use std::collections::BTreeMap;
use time::Date;

/// What a signed revision says of things; nothing where none is signed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ordered {
    /// Its number; 0 where none is signed.
    pub revision: i64,
    /// When it was signed.
    pub since: Option<Moment>,
    /// The items that are listed as enclosed, in the order of the list.
    pub enclosed: Vec<Tag>,
    /// Those that the texts before it listed.
    pub enclosed_before: Vec<Tag>,
    /// What is listed as enclosed and has no tag to be looked for.
    pub untagged: Vec<String>,
    /// The things that are listed as files: they come with the text, in no parcel.
    pub files: Vec<Tag>,
    /// Whether files are all that the work is made from: nothing else is listed that would have to come first.
    pub by_files: bool,
    /// The bite record by which a try-in is mounted again whose height was refused: the one of before stays here.
    pub mounted_by: Option<Tag>,
    /// What the work follows: the denture or the try-in that is named as the pattern of a jaw.
    pub patterns: Vec<Tag>,
    /// The day on which that was corrected in the mouth last, as the text says it.
    pub corrected: Option<Date>,
    /// The records by which the casts are mounted.
    pub records: Vec<Tag>,
    /// What the list of enclosed things says of one of them beside its name.
    pub listed: BTreeMap<Tag, ListedThing>,
    /// The day on which a thing is wanted back.
    pub wanted_back: BTreeMap<Tag, Date>,
    /// What does not come back.
    pub stays: StaysAtLab,
    /// The day on which the work is wanted in the dentist's hands.
    pub wanted: Option<Date>,
    /// What kind of order it is.
    pub kind: Option<OrderKind>,
    /// What is made, piece by piece.
    pub work: Vec<OrderedWork>,
    /// What the steps of the bench follow from, piece by piece.
    pub bench: Vec<BenchPiece>,
    /// The jaws of the immediate dentures with which a clear template is ordered; none where it may be any.
    pub templates: Vec<Option<Arch>>,
    /// The moulds that are named for its teeth.
    pub moulds: Vec<String>,
    /// What a try-in is reset by, where one is.
    pub reset: ResetBy,
    /// How a denture leaves the office that is sent to be repaired, as the list of its places says it.
    pub broken: Option<ListedBreak>,
    /// What is to come back with the work.
    pub with_the_work: WithTheWork,
    /// What was ordered before, the oldest first.
    pub earlier: Vec<EarlierOrder>,
    /// The cases of the patient beside this one, where something is to be made again that could be ordered there.
    pub others: Vec<CaseBeside>,
    /// Which parts each revision says otherwise than the one before it, the oldest first; the first one says all of them.
    pub parts: Vec<PartsSigned>,
}

/// The parts that a revision says otherwise than the one before it, by their keys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartsSigned {
    pub since: Moment,
    pub parts: Vec<&'static str>,
}

impl PartsSigned {
    fn of(signed: &[(&Document, Moment)]) -> Vec<PartsSigned> {
        let first = signed.first().map(|(_, since)| PartsSigned {
            since: *since,
            parts: catalogue().iter().map(|section| section.key).collect(),
        });
        let later = signed.iter().zip(signed.iter().skip(1));
        let later = later.map(|((before, _), (document, since))| PartsSigned {
            since: *since,
            parts: document.prescription.parts_otherwise(&before.prescription),
        });
        first.into_iter().chain(later).collect()
    }
}

/// What a text wants back with the work: by its kind, or by its tag where no other day stands beside it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WithTheWork {
    pub kinds: Vec<ItemKind>,
    pub tags: Vec<Tag>,
}

impl WithTheWork {
    /// Whether the pattern comes back, whatever kind of denture it is.
    pub fn has_pattern(&self) -> bool {
        self.kinds.contains(&ItemKind::Provisional)
    }

    fn of(document: &Document) -> WithTheWork {
        use ItemKind::{
            BiteRecord, Cast, FacebowRecord, LabIndex, ProtrusiveRecord, Provisional, RemountCast,
            TeethCard,
        };
        let back = &document.prescription.back;
        let table: [(Option<YesNo>, &[ItemKind]); 5] = [
            (back.pattern, &[Provisional]),
            (back.records, &[BiteRecord, FacebowRecord, ProtrusiveRecord]),
            (back.casts, &[Cast]),
            (back.remount_casts, &[RemountCast, LabIndex]),
            (back.unused_teeth, &[TeethCard]),
        ];
        let wanted = table
            .into_iter()
            .filter(|(answer, _)| *answer == Some(YesNo::Yes));
        let named = back.returns.iter().filter(|row| row.due.is_none());
        WithTheWork {
            kinds: wanted
                .flat_map(|(_, kinds)| kinds.iter().copied())
                .collect(),
            tags: named.filter_map(|row| row.tag.clone()).collect(),
        }
    }
}

/// What the list of enclosed things says of one of them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ListedThing {
    /// Of how many pieces it is, where the list says so.
    pub pieces: Option<u32>,
    pub condition: String,
}

impl ListedThing {
    fn of(row: &Enclosed) -> ListedThing {
        let pieces = row.pieces.map(|pieces| pieces.get());
        let condition = row.condition.as_ref().map(|words| words.as_str());
        ListedThing {
            pieces: pieces.and_then(|pieces| u32::try_from(pieces).ok()),
            condition: condition.unwrap_or_default().to_owned(),
        }
    }

    /// How many pieces are to be counted; none where it is one, or where nothing is said.
    pub fn counted(&self) -> Option<u32> {
        self.pieces.filter(|pieces| *pieces > 1)
    }

    /// "3 pieces, broken in two, 41 loose"; empty where the list says nothing of it.
    pub fn words(&self) -> String {
        let pieces = self.counted().map(|pieces| format!("{pieces} pieces"));
        let condition = Some(self.condition.clone()).filter(|words| !words.is_empty());
        let words: Vec<String> = pieces.into_iter().chain(condition).collect();
        words.join(", ")
    }
}

/// What a text lists as broken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedBreak {
    /// The dentures that the text names by their tags.
    pub tags: Vec<Tag>,
    /// "base broken, midline", each with the jaw of its tooth where one is named.
    pub places: Vec<(Option<Arch>, String)>,
}

/// Characters of what is listed as broken, at most: less than a condition may have.
const BROKEN_MOST: usize = 400;

impl ListedBreak {
    /// "base broken, midline: as listed", of the denture of this jaw: a tooth of the other jaw is none of its own.
    pub fn words(&self, arch: Option<Arch>) -> Option<String> {
        let is_of_it = |jaw: Option<Arch>| jaw.is_none() || arch.is_none() || jaw == arch;
        let places = self.places.iter().filter(|(jaw, _)| is_of_it(*jaw));
        let mut places = places.map(|(_, words)| words);
        let mut words = places.next()?.clone();
        for place in places {
            // The words have to fit into the condition as it is sent; the list itself says the rest.
            if words.chars().count() + place.chars().count() > BROKEN_MOST {
                words.push_str("; and more");
                break;
            }
            words = format!("{words}; {place}");
        }
        Some(format!("{words}: as listed"))
    }
}

/// What a text lists as broken; a tooth that is only to be added is nothing broken.
fn broken(document: &Document) -> Option<ListedBreak> {
    let repair = &document.prescription.repair;
    let rows = repair.repairs.iter();
    let rows = rows.filter(|row| row.what.is_some_and(|what| what != Broken::ToothAdded));
    let place = |row: &RepairPlace| {
        let what = row.what.map(|what| what.shown().to_owned());
        let tooth = row.tooth.map(|tooth| tooth.shown(document.numbering));
        let place = row.place.as_ref().map(|place| place.as_str().to_owned());
        let words = [what, tooth, place].into_iter().flatten();
        let jaw = row.tooth.map(|tooth| tooth.arch());
        (jaw, words.collect::<Vec<_>>().join(", "))
    };
    let places: Vec<_> = rows.map(place).collect();
    let tags = [&repair.item, &repair.other_item].into_iter().flatten();
    (!places.is_empty()).then(|| ListedBreak {
        tags: tags.cloned().collect(),
        places,
    })
}

/// What a revision had ordered that a newer one has superseded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EarlierOrder {
    pub revision: i64,
    pub since: Moment,
    pub kind: Option<OrderKind>,
    pub work: Vec<OrderedWork>,
    /// Whether the one in force asks for the same work, whatever it says of days, of things and of the law.
    pub is_same: bool,
    /// Whether it asks for the same of everything that is done before the flask.
    pub is_same_to_flask: bool,
}

impl EarlierOrder {
    fn of((document, since): &(&Document, Moment), in_force: &Document) -> EarlierOrder {
        EarlierOrder {
            revision: document.revision,
            since: *since,
            kind: document.prescription.order.kind,
            work: work(document),
            is_same: made_of(document) == made_of(in_force),
            is_same_to_flask: made_to_flask(document) == made_to_flask(in_force),
        }
    }
}

/// What a text says of the work itself, but of a spare beside it: whether that is wanted says nothing of the rest.
fn made_of(document: &Document) -> Prescription {
    let mut made = Prescription {
        enclosures: Default::default(),
        back: Default::default(),
        dates: Default::default(),
        law: Default::default(),
        ..document.prescription.clone()
    };
    made.order.kind = None;
    let is_spare = |piece: &Piece| piece.stage == Some(Stage::Duplicate);
    if !made.order.pieces.iter().all(is_spare) {
        made.order.pieces.retain(|piece| !is_spare(piece));
        made.spare = Default::default();
    }
    made
}

/// What a text says of what is made before the flask. How far a piece goes changes nothing of what was done for it, nor does
/// an answer at the try-in that all is right; what could change a set-up counts, even where it mostly does not.
fn made_to_flask(document: &Document) -> Prescription {
    let mut made = Prescription {
        marking: Default::default(),
        spare: Default::default(),
        ..made_of(document)
    };
    let order = &mut made.order;
    (order.course, order.try_in_skipped) = (None, None);
    for piece in &mut order.pieces {
        piece.stage = None;
    }
    let approval = &made.approval;
    let is_right = [approval.arrangement, approval.height]
        .iter()
        .all(|answer| answer.is_some_and(YesNo::is_yes));
    if is_right && approval.said.is_none() {
        made.approval = Default::default();
    }
    made
}

/// The pieces of a text that say what is made.
fn work(document: &Document) -> Vec<OrderedWork> {
    let pieces = document.prescription.order.pieces.iter();
    let works = pieces.filter_map(|piece| {
        Some(OrderedWork {
            arch: piece.arch,
            stage: piece.stage?,
            against_teeth: piece.opposing == Some(crate::domain::prescription::Opposing::Natural),
        })
    });
    works.collect()
}

impl Ordered {
    /// What the newest of these texts says, each with the moment at which it was signed; nothing where there is none.
    pub fn of(signed: &[(&Document, Moment)]) -> Ordered {
        let Some(((document, since), earlier)) = signed.split_last() else {
            return Ordered::default();
        };
        let earlier = earlier.iter();
        let mut ordered = Ordered {
            revision: document.revision,
            since: Some(*since),
            wanted: document.due(),
            enclosed_before: earlier
                .clone()
                .flat_map(|(before, _)| &before.prescription.enclosures.enclosed)
                .filter_map(|row| row.tag.clone())
                .collect(),
            earlier: earlier.map(|one| EarlierOrder::of(one, document)).collect(),
            parts: PartsSigned::of(signed),
            ..Ordered::default()
        };
        for row in &document.prescription.enclosures.enclosed {
            match (&row.tag, &row.what) {
                (Some(tag), _) if ordered.enclosed.contains(tag) => {}
                (Some(tag), _) => {
                    ordered.enclosed.push(tag.clone());
                    ordered.listed.insert(tag.clone(), ListedThing::of(row));
                }
                (None, Some(what)) => ordered.untagged.push(what.as_str().to_owned()),
                (None, None) => {}
            }
        }
        // What it is mounted again by goes along, whether it is in the list or not.
        if is_mounted_again(&document.prescription) {
            ordered
                .mounted_by
                .clone_from(&document.prescription.jaw.item);
            let record = ordered.mounted_by.clone();
            let unlisted = record.filter(|tag| !ordered.enclosed.contains(tag));
            ordered.enclosed.extend(unlisted);
        }
        let rx = &document.prescription;
        let records = [&rx.jaw.item, &rx.facebow.item];
        ordered.records = records.into_iter().flatten().cloned().collect();
        ordered.moulds = moulds(rx);
        let pattern = &document.prescription.pattern;
        let named = [&pattern.upper_item, &pattern.lower_item];
        ordered.patterns = named.into_iter().flatten().cloned().collect();
        ordered.corrected = pattern.last_corrected.map(|day| day.date());
        let scans = &document.prescription.scan_set.scans;
        ordered.files = scans.iter().filter_map(|row| row.tag.clone()).collect();
        ordered.enclosed.retain(|tag| !ordered.files.contains(tag));
        ordered.by_files =
            !scans.is_empty() && ordered.enclosed.is_empty() && ordered.untagged.is_empty();
        let returns = document.prescription.back.returns.iter();
        let dated = returns.filter_map(|row| Some((row.tag.clone()?, row.due?.date())));
        ordered.wanted_back.extend(dated);
        ordered.stays = stays_by(document);
        ordered.with_the_work = WithTheWork::of(document);
        ordered.work = work(document);
        ordered.kind = document.prescription.order.kind;
        ordered.bench = bench_pieces(&document.prescription);
        let has_template = document.prescription.cast_trim.stent == Some(YesNo::Yes);
        let immediate = ordered.bench.iter();
        let immediate = immediate.filter(|one| has_template && one.course == Course::Immediate);
        ordered.templates = immediate.map(|one| one.arch).collect();
        ordered.reset = ResetBy::of(&document.prescription);
        ordered.broken = broken(document);
        ordered
    }
}

/// What a text leaves with the lab: a no is an answer, and nothing is said where nothing stands.
pub fn stays_by(document: &Document) -> StaysAtLab {
    let back = &document.prescription.back;
    StaysAtLab {
        pattern: back.pattern == Some(YesNo::No),
        records: back.records == Some(YesNo::No),
    }
}

/// Whether a try-in is reset whose height was refused.
fn is_mounted_again(rx: &Prescription) -> bool {
    let mut pieces = rx.order.pieces.iter();
    rx.approval.refuses_height() && pieces.any(|piece| piece.stage == Some(Stage::Reset))
}

fn moulds(rx: &Prescription) -> Vec<String> {
    let (front, back) = (&rx.anterior, &rx.posterior);
    let named = [
        &front.upper_mould,
        &front.lower_mould,
        &back.upper_mould,
        &back.lower_mould,
    ];
    let named = named.into_iter().flatten();
    named.map(|code| code.as_str().to_owned()).collect()
}

fn bench_pieces(rx: &Prescription) -> Vec<BenchPiece> {
    let by_machine = matches!(rx.base.process, Some(Process::Milling | Process::Printing));
    let without_remount = rx.finish.lab_remount == Some(YesNo::No);
    let has_pattern = !matches!(rx.pattern.source, None | Some(PatternSource::None));
    let pieces = rx.order.pieces.iter();
    let piece = |piece: &Piece| {
        Some(BenchPiece {
            arch: piece.arch,
            course: match course_of_piece(rx, piece)? {
                // After a pattern it goes through what a copy does, the matrix too.
                Course::Single if has_pattern => Course::Copy,
                course => course,
            },
            by_machine,
            without_remount,
            to_new_height: piece.stage == Some(Stage::Reset) && rx.approval.refuses_height(),
        })
    };
    pieces.filter_map(piece).collect()
}

impl Ordered {
    /// What is broken of a thing that is sent to be repaired: of the dentures that the text names, or else of those of
    /// the arches that are repaired; nothing any more once the lab has handed it back.
    pub fn broken_of(&self, item: &Item, case: &CaseState) -> Option<String> {
        let broken = self.broken.as_ref()?;
        if self.was_handed_back(&item.tag, case)? {
            return None;
        }
        let mut works = self.work.iter();
        let is_repaired = works.any(|work| {
            work.stage == Stage::Repair && (work.arch.is_none() || work.arch == item.arch)
        });
        let is_it = match broken.tags.as_slice() {
            [] => is_repaired && item.kind.is_wearable() && item.kind != ItemKind::Duplicate,
            tags => tags.contains(&item.tag),
        };
        // Where one alone is named, all that is listed is its own.
        let arch = item.arch.filter(|_| broken.tags.len() != 1);
        broken.words(arch).filter(|_| is_it)
    }
}

impl Ordered {
    /// Whether the lab has handed a thing back since the text was signed; none where nothing is signed.
    fn was_handed_back(&self, tag: &Tag, case: &CaseState) -> Option<bool> {
        let since = self.since?;
        let mut back = case.handoffs.iter().filter(|one| {
            let is_since = one.released_at.unix_ms >= since.unix_ms;
            one.from == Side::Lab && one.voided.is_none() && is_since
        });
        Some(back.any(|one| one.carries(tag)))
    }

    /// What the list says of a thing, until the lab has handed it back.
    pub fn listed_of(&self, tag: &Tag, case: &CaseState) -> Option<&ListedThing> {
        let is_back = self.was_handed_back(tag, case)?;
        self.listed.get(tag).filter(|_| !is_back)
    }

    /// Whether something is made for this jaw, as far as the pieces say; of those that say no jaw it may be any.
    fn is_made_for(&self, jaw: Arch) -> bool {
        let mut works = self.work.iter();
        self.work.is_empty() || works.any(|work| work.arch.is_none_or(|own| own == jaw))
    }

    /// Whether a thing of this jaw belongs to the work of an arch: its own, or what that bites against, where nothing is made
    /// for the other jaw.
    pub fn is_for(&self, jaw: Arch, arch: Arch) -> bool {
        jaw == arch || (!self.is_made_for(jaw) && self.is_made_for(arch))
    }

    /// The jaw of which work is made from a thing; none where it may be any.
    fn made_from(&self, item: &Item) -> Option<Arch> {
        item.arch.filter(|jaw| self.is_made_for(*jaw))
    }
}

/// Where a listed thing is that the lab has not had since the list was signed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotCome {
    /// It was not sent.
    Stays,
    /// A file whose bytes nobody has added here, and that the lab has not said it has.
    NotStored,
    /// Packed for the lab, or with the carrier.
    OnTheWay,
    /// The lab did not find it in the parcel.
    Missing,
    /// It was never there: its registration is withdrawn.
    Mistaken,
    /// Given up or destroyed before the lab ever had it.
    GivenUp,
    /// Destroyed at the lab before anything was made from it.
    Destroyed,
    /// Lost at the lab before anything was made from it.
    Lost,
}

impl NotCome {
    /// Whether it had come, and is there no more.
    pub fn had_come(self) -> bool {
        matches!(self, NotCome::Destroyed | NotCome::Lost)
    }
}

/// A listed thing that has not come to the lab; of a file, that is not stored here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lacking {
    pub tag: Tag,
    pub arch: Option<Arch>,
    pub how: NotCome,
}

/// What is listed as enclosed and has not come to the lab since the list was signed, in the order of the list. What
/// was used up there is awaited no more, and a tag of another case says nothing here.
pub fn lacking(ordered: &Ordered, items: &[Item], case: &CaseState) -> Vec<Lacking> {
    let Some(since) = ordered.since else {
        return Vec::new();
    };
    let one = |tag: &Tag| {
        let item = Item::of(items, tag)?;
        let how = not_come((items, case), item, ordered.made_from(item), since)?;
        Some(Lacking {
            tag: tag.clone(),
            arch: item.arch,
            how,
        })
    };
    let files = ordered.files.iter();
    let files = files.filter_map(|tag| file_not_stored(ordered, (items, case), tag));
    let enclosed = ordered.enclosed.iter().filter_map(one);
    enclosed.chain(files).collect()
}

/// How a listed scan is missed whose bytes are not stored here; none where they are, where the lab has had it in hand, and
/// where the lab has worked to the list, or made anything of its arch.
fn file_not_stored(
    ordered: &Ordered,
    (items, case): (&[Item], &CaseState),
    tag: &Tag,
) -> Option<Lacking> {
    let item = Item::of(items, tag).filter(|item| item.kind == ItemKind::Scan)?;
    let state = case.item(tag)?;
    let is_worked = case
        .bench
        .iter()
        .any(|one| one.revision == ordered.revision);
    let is_had =
        is_stored(case, tag, state) || state.holder.is_with_lab() || was_at_the_lab(case, tag);
    if is_had || is_worked || case.has_made(items, ordered.made_from(item)) {
        return None;
    }
    let how = match state.gone {
        None => match whereabouts(state) {
            NotCome::Stays => NotCome::NotStored,
            how => how,
        },
        Some(Gone::Mistaken) => NotCome::Mistaken,
        Some(_) => return None,
    };
    Some(Lacking {
        tag: tag.clone(),
        arch: item.arch,
        how,
    })
}

/// Whether the bytes that a scan stands for are stored here, by its tag or by its hash.
fn is_stored(case: &CaseState, tag: &Tag, state: &State) -> bool {
    let file = state.file.as_ref();
    let hash = file.and_then(|file| Some(file.sha256.as_ref()?.as_str()));
    let mut scans = case.scans.iter().filter(|one| !one.is_erased());
    scans.any(|one| one.item.as_ref() == Some(tag) || hash == Some(one.hash.as_str()))
}

/// How a thing has not come of which work for this jaw is made; none where it is at the lab, was there since, or was used
/// up.
fn not_come(
    (items, case): (&[Item], &CaseState),
    item: &Item,
    arch: Option<Arch>,
    since: Moment,
) -> Option<NotCome> {
    let tag = &item.tag;
    let state = case.item(tag)?;
    match state.gone {
        Some(Gone::Mistaken) => return Some(NotCome::Mistaken),
        Some(Gone::WrittenOff) => return given_up((items, case), (tag, state), arch, since),
        Some(Gone::Destroyed) if !was_at_the_lab(case, tag) => return Some(NotCome::GivenUp),
        Some(Gone::Destroyed) => {
            return (!case.has_made(items, arch)).then_some(NotCome::Destroyed);
        }
        Some(Gone::UsedUp) => return None,
        None => {}
    }
    let sent_since = || {
        let from_lab = case.handoffs.iter().filter(|one| one.from == Side::Lab);
        from_lab.filter(|one| one.voided.is_none() && one.released_at.unix_ms >= since.unix_ms)
    };
    let is_in = |one: &Handoff| one.carries(tag);
    let Some(left) = sent_since().rfind(|one| is_in(one)) else {
        return (!state.holder.is_with_lab()).then(|| whereabouts(state));
    };
    // What went back has done its work there. It is missed again where it went back damaged, or with cancelled work
    // that goes on, and nothing has been made since.
    let was_cancelled = case
        .gone_on
        .iter()
        .any(|(from, until)| (from.unix_ms..=until.unix_ms).contains(&left.released_at.unix_ms));
    let is_unfit = state.condition != Condition::Sound;
    let has_made = sent_since().any(|one| {
        let mut sent = one.sent.iter();
        sent.any(|sent| is_made(items, case, &sent.tag))
    });
    let is_missed = state.holder == Holder::Office && (was_cancelled || is_unfit) && !has_made;
    is_missed.then(|| whereabouts(state))
}

/// How a lost thing is missed, by where it was lost: at the lab it is while nothing is made from it; on the way there
/// always; at the office or with the patient unless it was at the lab since the list was signed.
fn given_up(
    (items, case): (&[Item], &CaseState),
    (tag, state): (&Tag, &State),
    arch: Option<Arch>,
    since: Moment,
) -> Option<NotCome> {
    let mut from_lab = case.handoffs.iter().filter(|one| {
        one.from == Side::Lab && one.voided.is_none() && one.released_at.unix_ms >= since.unix_ms
    });
    match state.holder {
        Holder::Carrier { to: Side::Office } => None,
        Holder::Carrier { to: Side::Lab } => Some(NotCome::GivenUp),
        Holder::Lab | Holder::Passed(_) => (!case.has_made(items, arch)).then_some(NotCome::Lost),
        Holder::Office | Holder::Patient => {
            let was_there = from_lab.any(|one| one.carries(tag));
            (!was_there).then_some(NotCome::GivenUp)
        }
    }
}

/// Whether the lab has ever had a thing in hand.
fn was_at_the_lab(case: &CaseState, tag: &Tag) -> bool {
    let is_home = case.item(tag).is_some_and(|state| state.home == Side::Lab);
    let mut to_lab = case.handoffs.iter().filter(|one| one.to == Side::Lab);
    is_home
        || to_lab.any(|one| {
            let mut found = one.found.iter();
            found.any(|found| found.tag == *tag && found.outcome != Outcome::Missing)
        })
}

/// Whether it is what the lab has made for the mouth.
fn is_made(items: &[Item], case: &CaseState, tag: &Tag) -> bool {
    let is_home = case.item(tag).is_some_and(|state| state.home == Side::Lab);
    let mut items = items.iter();
    is_home && items.any(|item| item.tag == *tag && item.kind.is_made_for_the_mouth())
}

fn whereabouts(state: &State) -> NotCome {
    match state.holder {
        Holder::Carrier { to: Side::Lab } if state.missing => NotCome::Missing,
        Holder::Carrier { to: Side::Lab } => NotCome::OnTheWay,
        Holder::Office if state.packed => NotCome::OnTheWay,
        _ => NotCome::Stays,
    }
}

/// The bite records that the lab has, beside the one by which a try-in is mounted again whose height was refused.
pub fn records_of_before(ordered: &Ordered, items: &[Item], case: &CaseState) -> Vec<Tag> {
    let Some(record) = &ordered.mounted_by else {
        return Vec::new();
    };
    let is_other = |item: &&Item| {
        let state = case.item(&item.tag);
        let is_there = state.is_some_and(|one| one.is_there() && one.holder.is_with_lab());
        item.kind == ItemKind::BiteRecord && item.tag != *record && is_there
    };
    let others = items.iter().filter(is_other);
    others.map(|item| item.tag.clone()).collect()
}

/// Whether a thing goes to the other side in the course of things: not what the patient wears or keeps, and no old
/// denture, which is for the pattern only where the prescription says so.
pub fn travels(item: &Item, state: &State, ordered: &Ordered) -> bool {
    // The provisional goes out of the mouth to the lab; what else is worn stays there.
    let stays_worn = state.worn && item.kind != ItemKind::Provisional;
    let is_kept = stays_worn || state.withheld.is_some() || state.spare || state.given_back;
    let is_listed = ordered.enclosed.contains(&item.tag);
    let is_of_before = item.kind == ItemKind::BiteRecord
        && (ordered.mounted_by.as_ref()).is_some_and(|record| *record != item.tag);
    let goes_mostly = item.kind.travels_mostly() && !is_of_before;
    state.is_there() && !is_kept && (is_listed || goes_mostly)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::bench::BenchStep;
    use crate::domain::form::Raw;
    use crate::domain::prescription::read;
    use crate::domain::values::tooth::Numbering;

    /// Common practice, no source: teeth that follow a pattern are set into its matrix, whatever they bite against.
    #[test]
    fn a_single_denture_after_a_pattern_asks_its_matrix() {
        let asks = |source: &str| {
            let typed = [
                ("order.course", "single"),
                ("pieces.0.arch", "upper"),
                ("pieces.0.stage", "process"),
                ("pieces.0.opposing", "natural"),
                ("pattern.source", source),
            ];
            let typed = typed.map(|(key, text)| (key.to_owned(), text.to_owned()));
            let rx = read(&Raw::from(typed), Numbering::Iso3950).document;
            let pieces = bench_pieces(&rx);
            assert_eq!(pieces.len(), 1, "{source}");
            let steps = BenchStep::ALL.iter().copied();
            steps
                .filter(|step| pieces.iter().any(|one| one.asks(*step)))
                .map(BenchStep::word)
                .collect::<Vec<_>>()
                .join(" ")
        };
        let rest = "flasked cured remounted finished";
        assert_eq!(
            asks("provisional"),
            format!("cast_poured matrix mounted set_up {rest}")
        );
        for without in ["", "none"] {
            assert_eq!(asks(without), format!("cast_poured mounted set_up {rest}"));
        }
    }

    /// Common practice, no source: the template shows where a denture would press that goes in at surgery.
    #[test]
    fn a_clear_template_is_ordered_with_an_immediate_denture_alone() {
        use crate::domain::prescription::samples;
        for (course, stent, wanted) in [
            ("immediate", "yes", &[Some(Arch::Upper)][..]),
            ("immediate", "no", &[]),
            ("copy", "yes", &[]),
        ] {
            let typed = [
                ("order.course", course),
                ("pieces.0.arch", "upper"),
                ("pieces.0.stage", "process"),
                ("cast_trim.stent", stent),
            ];
            let typed = typed.map(|(key, text)| (key.to_owned(), text.to_owned()));
            let rx = read(&Raw::from(typed), Numbering::Iso3950).document;
            let document = samples::document(rx);
            let ordered = Ordered::of(&[(&document, Moment::new(0, 0))]);
            assert_eq!(ordered.templates, wanted, "{course} {stent}");
        }
    }

    #[test]
    fn what_the_texts_before_listed_is_known_beside_the_list_in_force() {
        use crate::domain::prescription::samples;
        use crate::domain::review::sample;
        let listing = |thing: &str| {
            let typed = [("enclosed.0.tag".to_owned(), sample::tag_text(thing))];
            samples::document(read(&Raw::from(typed), Numbering::Iso3950).document)
        };
        let (first, second) = (listing("old_upper"), listing("bite"));
        let signed = [
            (&first, Moment::new(0, 0)),
            (&second, Moment::new(60_000, 0)),
        ];
        let known = |count: usize| {
            let ordered = Ordered::of(&signed[..count]);
            (ordered.enclosed, ordered.enclosed_before)
        };
        let list = |thing: &str| Vec::from_iter(sample::tag(thing));
        assert_eq!(known(1), (list("old_upper"), Vec::new()));
        assert_eq!(known(2), (list("bite"), list("old_upper")));
    }

    #[test]
    fn a_revision_that_leaves_out_the_spare_alone_says_the_same_of_the_rest() {
        use crate::domain::prescription::samples;
        let made = |more: &[(&str, &str)]| {
            let least = [
                ("order.course", "finish"),
                ("pieces.0.arch", "upper"),
                ("pieces.0.stage", "process"),
            ];
            let typed = least.iter().chain(more);
            let typed = typed.map(|(key, text)| ((*key).to_owned(), (*text).to_owned()));
            let rx = read(&typed.collect::<Raw>(), Numbering::Iso3950).document;
            made_of(&samples::document(rx))
        };
        let spare = [("pieces.1.arch", "upper"), ("pieces.1.stage", "duplicate")];
        assert_eq!(made(&spare), made(&[]));
        let try_in = [("pieces.1.arch", "lower"), ("pieces.1.stage", "process")];
        assert_ne!(made(&try_in), made(&[]));
        // A duplicate that is all that is ordered is the work.
        let alone = [("pieces.0.stage", "duplicate")];
        assert_ne!(made(&alone), made(&[]));
    }

    #[test]
    fn how_far_a_piece_goes_changes_nothing_before_the_flask_and_what_is_set_up_otherwise_does() {
        use crate::domain::prescription::samples;
        let made = |more: &[(&str, &str)]| {
            let least = [
                ("order.course", "set_up"),
                ("pieces.0.arch", "upper"),
                ("pieces.0.stage", "try_in"),
                ("pieces.0.materials", "resin"),
                ("shade.tab", "B-20"),
            ];
            let typed = least.iter().chain(more);
            let typed = typed.map(|(key, text)| ((*key).to_owned(), (*text).to_owned()));
            let rx = read(&typed.collect::<Raw>(), Numbering::Iso3950).document;
            made_to_flask(&samples::document(rx))
        };
        let first = made(&[]);
        // what the next revision says besides, and whether it is the same up to the flask
        for (more, is_same) in [
            (
                &[("order.course", "finish"), ("pieces.0.stage", "process")][..],
                true,
            ),
            (
                &[("approval.arrangement", "yes"), ("approval.height", "yes")],
                true,
            ),
            (&[("marking.text", "2")], true),
            (&[("dates.wanted", "2026-05-04")], true),
            (
                &[("approval.arrangement", "no"), ("approval.height", "yes")],
                false,
            ),
            (
                &[
                    ("approval.arrangement", "yes"),
                    ("approval.height", "yes"),
                    ("approval.said", "a little longer"),
                ],
                false,
            ),
            (&[("shade.tab", "B-21")], false),
            (&[("changes.0.what", "midline")], false),
            (&[("pieces.0.materials", "other resin")], false),
            (&[("base_shade.gum_line_mm", "1")], false),
        ] {
            assert_eq!(made(more) == first, is_same, "{more:?}");
        }
    }
}
