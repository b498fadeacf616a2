//! What pages show often, kept by the change counters of what they show: never by time, so that what one
//! sees is what is stored, with any number of programs in front of one database.
//!
//! The counter is read before the data. If somebody writes in between, newer data are kept under an older
//! counter, and the next request, which sees the newer counter, reads them once more.

use super::Person;
use super::agenda::Agenda;
use super::see_case::Known;
use crate::domain::people::party::Side;
use crate::domain::report::case_track::CaseTrack;
use crate::domain::report::month::CalendarMonth;
use crate::domain::report::tally::MonthTally;
use crate::domain::trade::house_days::{HouseDays, LabDays};
use crate::domain::trade::lists::{MouldList, NamedGuide};
use crate::domain::values::ids::{AccountId, CaseNumber, EventId, PartyId};
use crate::store::cases::Marks;
use crate::store::reports::Touched;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use time::Date;

/// Parties whose first page is kept; an installation has tens of them.
const AGENDAS_MOST: usize = 200;
/// Cases kept: some tens of KB each with their signed texts, so a few megabytes in all.
const CASES_MOST: usize = 200;
/// Cases of which it is kept whether they were as the record says: some 100 bytes each.
const HELD_MOST: usize = 20_000;
/// Cases of which it is kept whose they are: some 200 bytes each.
const HOUSES_MOST: usize = 20_000;
/// Accounts of which it is kept that they are as the record says: some 200 bytes each.
const ACCOUNTS_MOST: usize = 2_000;
/// Parties whose lists are kept as read: the longest list of moulds is about 1 MB.
const LISTS_MOST: usize = 20;
/// Houses of which it is kept that they are as the record says: some 200 bytes each, and a lab may work with hundreds.
const NAMED_MOST: usize = 5_000;

/// Pieces of work passed on of which it is kept that they are listed as their entries say: some 200 bytes each.
const PASSED_MOST: usize = 2_000;

/// Months kept: of a busy lab some 100 KB each.
const MONTHS_MOST: usize = 50;

/// Cases of which it is kept what is counted of them in a month: some 5 KB each, most of it what was done at the bench.
const TRACKS_MOST: usize = 10_000;

/// Values by key, each with the mark under which it was read.
#[derive(Debug)]
struct Kept<K, M, V> {
    most: usize,
    by_key: Mutex<BTreeMap<K, (M, Arc<V>)>>,
}

impl<K: Ord, M: PartialEq, V> Kept<K, M, V> {
    fn new(most: usize) -> Self {
        Kept {
            most,
            by_key: Mutex::new(BTreeMap::new()),
        }
    }

    fn get(&self, key: &K, mark: &M) -> Option<Arc<V>> {
        // A poisoned lock means that a request fell over while holding it; reading again is always right.
        let by_key = self.by_key.lock().ok()?;
        let (kept_mark, value) = by_key.get(key)?;
        (kept_mark == mark).then(|| value.clone())
    }

    fn put(&self, key: K, mark: M, value: Arc<V>) {
        let Ok(mut by_key) = self.by_key.lock() else {
            return;
        };
        // Rare, and cheaper than keeping track of who was read last.
        if by_key.len() >= self.most && !by_key.contains_key(&key) {
            by_key.clear();
        }
        by_key.insert(key, (mark, value));
    }

    fn remove(&self, key: &K) {
        if let Ok(mut by_key) = self.by_key.lock() {
            by_key.remove(key);
        }
    }
}

/// All that is kept.
#[derive(Debug)]
pub struct ReadModels {
    /// Of a party, under its change counter and the day on its wall.
    agendas: Kept<PartyId, (i64, Date), Agenda>,
    cases: Kept<(CaseNumber, bool), Marks, Known>,
    /// Whether a case was as the record says when it was held last, under the hash of its row.
    held: Kept<CaseNumber, String, bool>,
    /// Whether a row of a list says what its case does, under the hash of both: by the list and the case.
    rows: Kept<(&'static str, CaseNumber), String, bool>,
    /// Whose a case is, where the record says the same: its leaf is written once.
    houses: Kept<CaseNumber, (PartyId, PartyId), ()>,
    /// That a house is as the record says, under the hash of its row.
    named: Kept<PartyId, String, ()>,
    /// When an account was found to be as the record says, in milliseconds, under the hash of its row.
    accounts: Kept<AccountId, String, i64>,
    /// Of a lab, under its list's version.
    moulds: Kept<PartyId, i64, MouldList>,
    /// Of an office, under the id and version of every guide in use.
    guides: Kept<PartyId, Vec<(String, i64)>, Vec<NamedGuide>>,
    /// Of either house, under its list's version.
    house_days: Kept<PartyId, i64, HouseDays>,
    lab_days: Kept<PartyId, i64, LabDays>,
    /// Of a house, under its change counter and the day on its wall.
    months: Kept<(PartyId, CalendarMonth), (i64, Date), MonthTally>,
    /// Of a case in a month of a house, under the case's change counter and the house's time zone.
    tracks: Kept<(PartyId, CaseNumber, CalendarMonth), (i64, String), CaseTrack>,
    /// That a row of what is passed on says what its entry does, under its hash.
    passed: Kept<EventId, String, ()>,
    /// The days of a house for calendars, under its change counter and how often closed days were loaded.
    feeds: Kept<PartyId, (i64, i64), String>,
}

impl Default for ReadModels {
    fn default() -> Self {
        ReadModels {
            agendas: Kept::new(AGENDAS_MOST),
            cases: Kept::new(CASES_MOST),
            held: Kept::new(HELD_MOST),
            rows: Kept::new(HELD_MOST),
            houses: Kept::new(HOUSES_MOST),
            named: Kept::new(NAMED_MOST),
            accounts: Kept::new(ACCOUNTS_MOST),
            moulds: Kept::new(LISTS_MOST),
            guides: Kept::new(LISTS_MOST),
            house_days: Kept::new(LISTS_MOST),
            lab_days: Kept::new(LISTS_MOST),
            months: Kept::new(MONTHS_MOST),
            tracks: Kept::new(TRACKS_MOST),
            passed: Kept::new(PASSED_MOST),
            feeds: Kept::new(LISTS_MOST),
        }
    }
}

type TrackKey = ((PartyId, CaseNumber, CalendarMonth), (i64, String));

/// Under what a case's part of a month is kept: its moments stand by the clock of the house that reads.
fn track_key((person, case): (&Person, &Touched), month: CalendarMonth) -> TrackKey {
    let key = (person.party_id().clone(), case.number.clone(), month);
    (key, (case.version, person.zone().to_owned()))
}

impl ReadModels {
    pub(super) fn agenda(&self, party: &PartyId, mark: &(i64, Date)) -> Option<Arc<Agenda>> {
        self.agendas.get(party, mark)
    }

    pub(super) fn store_agenda(&self, party: &PartyId, mark: (i64, Date), agenda: Arc<Agenda>) {
        self.agendas.put(party.to_owned(), mark, agenda);
    }

    pub(super) fn case(
        &self,
        number: &CaseNumber,
        side: Side,
        marks: &Marks,
    ) -> Option<Arc<Known>> {
        self.cases
            .get(&(number.clone(), side == Side::Office), marks)
    }

    pub(super) fn store_case(
        &self,
        number: &CaseNumber,
        side: Side,
        marks: Marks,
        known: Arc<Known>,
    ) {
        self.cases
            .put((number.clone(), side == Side::Office), marks, known);
    }

    /// None where it was not held.
    pub(super) fn was_sound(&self, number: &CaseNumber, row: &String) -> Option<bool> {
        self.held.get(number, row).map(|is_sound| *is_sound)
    }

    pub(super) fn store_sound(&self, number: &CaseNumber, row: String, is_sound: bool) {
        self.held.put(number.clone(), row, Arc::new(is_sound));
    }

    /// None where it was not held.
    pub(super) fn was_held(
        &self,
        list: &'static str,
        number: &CaseNumber,
        mark: &String,
    ) -> Option<bool> {
        let kept = self.rows.get(&(list, number.clone()), mark);
        kept.map(|is_said| *is_said)
    }

    pub(super) fn store_held(
        &self,
        list: &'static str,
        number: &CaseNumber,
        mark: String,
        is_said: bool,
    ) {
        let key = (list, number.clone());
        self.rows.put(key, mark, Arc::new(is_said));
    }

    pub(super) fn has_houses(&self, number: &CaseNumber, houses: &(PartyId, PartyId)) -> bool {
        self.houses.get(number, houses).is_some()
    }

    pub(super) fn store_houses(&self, number: &CaseNumber, houses: (PartyId, PartyId)) {
        self.houses.put(number.clone(), houses, Arc::new(()));
    }

    pub(super) fn was_house_held(&self, id: &PartyId, row: &String) -> bool {
        self.named.get(id, row).is_some()
    }

    pub(super) fn store_house_held(&self, id: &PartyId, row: String) {
        self.named.put(id.clone(), row, Arc::new(()));
    }

    /// When an account was held last in this state of its row; none where it was not.
    pub(super) fn account_held_ms(&self, id: &AccountId, row: &String) -> Option<i64> {
        self.accounts.get(id, row).map(|held_ms| *held_ms)
    }

    pub(super) fn store_account(&self, id: &AccountId, row: String, held_ms: i64) {
        self.accounts.put(id.clone(), row, Arc::new(held_ms));
    }

    /// Its row of before is held again, if it comes back.
    pub(super) fn forget_account(&self, id: &AccountId) {
        self.accounts.remove(id);
    }

    pub(super) fn moulds(&self, lab: &PartyId, version: i64) -> Option<Arc<MouldList>> {
        self.moulds.get(lab, &version)
    }

    pub(super) fn store_moulds(&self, lab: &PartyId, moulds: Arc<MouldList>) {
        self.moulds.put(lab.to_owned(), moulds.version, moulds);
    }

    pub(super) fn house_days(&self, house: &PartyId, version: i64) -> Option<Arc<HouseDays>> {
        self.house_days.get(house, &version)
    }

    pub(super) fn store_house_days(&self, house: &PartyId, days: Arc<HouseDays>) {
        self.house_days.put(house.clone(), days.version, days);
    }

    pub(super) fn lab_days(&self, lab: &PartyId, version: i64) -> Option<Arc<LabDays>> {
        self.lab_days.get(lab, &version)
    }

    pub(super) fn store_lab_days(&self, lab: &PartyId, days: Arc<LabDays>) {
        self.lab_days.put(lab.clone(), days.version, days);
    }

    pub(super) fn month(
        &self,
        house: &PartyId,
        month: CalendarMonth,
        mark: &(i64, Date),
    ) -> Option<Arc<MonthTally>> {
        self.months.get(&(house.clone(), month), mark)
    }

    pub(super) fn store_month(
        &self,
        house: &PartyId,
        month: CalendarMonth,
        mark: (i64, Date),
        tally: Arc<MonthTally>,
    ) {
        self.months.put((house.clone(), month), mark, tally);
    }

    pub(super) fn track(
        &self,
        (person, case): (&Person, &Touched),
        month: CalendarMonth,
    ) -> Option<Arc<CaseTrack>> {
        let (key, mark) = track_key((person, case), month);
        self.tracks.get(&key, &mark)
    }

    pub(super) fn store_track(
        &self,
        of: (&Person, &Touched),
        month: CalendarMonth,
        track: Arc<CaseTrack>,
    ) {
        let (key, mark) = track_key(of, month);
        self.tracks.put(key, mark, track);
    }

    pub(super) fn was_passed(&self, event: &EventId, row: &String) -> bool {
        self.passed.get(event, row).is_some()
    }

    pub(super) fn store_passed(&self, event: &EventId, row: String) {
        self.passed.put(event.clone(), row, Arc::new(()));
    }

    pub(super) fn feed(&self, house: &PartyId, mark: (i64, i64)) -> Option<Arc<String>> {
        self.feeds.get(house, &mark)
    }

    pub(super) fn store_feed(&self, house: &PartyId, mark: (i64, i64), text: Arc<String>) {
        self.feeds.put(house.clone(), mark, text);
    }

    pub(super) fn guides(
        &self,
        office: &PartyId,
        marks: &Vec<(String, i64)>,
    ) -> Option<Arc<Vec<NamedGuide>>> {
        self.guides.get(office, marks)
    }

    pub(super) fn store_guides(
        &self,
        office: &PartyId,
        marks: Vec<(String, i64)>,
        guides: Arc<Vec<NamedGuide>>,
    ) {
        self.guides.put(office.to_owned(), marks, guides);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_given_out_under_its_own_mark_only_and_the_number_kept_is_bounded() {
        let kept: Kept<u32, i64, &str> = Kept::new(2);
        kept.put(1, 7, Arc::new("seven"));
        assert_eq!(kept.get(&1, &7).as_deref(), Some(&"seven"));
        assert_eq!(kept.get(&1, &8), None);
        assert_eq!(kept.get(&2, &7), None);
        for key in 2..10 {
            kept.put(key, 0, Arc::new("x"));
            assert!(kept.by_key.lock().unwrap().len() <= 2);
        }
    }
}
