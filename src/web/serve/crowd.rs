//! Everybody who is connected. There is room for so many in all and for so many from one address; where it is full,
//! whoever has been here longest without having signed in leaves first, so that a crowd of strangers keeps nobody who
//! works here outside.

use crate::app::visit::house_of;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::net::IpAddr;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::task::Waker;
use std::time::Duration;
use tokio::time::Instant;

/// How long somebody may be connected without having asked for anything: the handshake of TLS and the head of a
/// request take a second on a bad line. From then on the answer is bounded by itself.
pub const FIRST: Duration = Duration::from_secs(15);
/// How long a connection is kept after an answer for the next request, its head included. Somebody who fills in a
/// form is heard of every few seconds; a new connection costs a page a millisecond.
pub const KEPT: Duration = Duration::from_secs(60);
/// How long an answer may be read without a byte of progress: a page has some 30 KB, a paper some 100. With HTTP/2,
/// where several are read at once, without a piece of any of them being taken.
pub const STALLED: Duration = Duration::from_secs(20);
/// How long an answer may be read at all: 2 MB on a line of 30 kbit/s.
pub const READING: Duration = Duration::from_secs(600);

/// How many may be connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caps {
    pub all: usize,
    /// None where everybody comes through one proxy.
    pub per_address: Option<usize>,
}

/// One connection.
#[derive(Debug)]
pub struct Guest {
    number: u64,
    house: Option<IpAddr>,
    crowd: Arc<Crowd>,
    is_sent_away: AtomicBool,
    under_way: AtomicUsize,
    time: Mutex<Time>,
    /// Who reads from the connection, to be told that it is over.
    reader: Mutex<Option<Waker>>,
}

#[derive(Debug)]
struct Time {
    has_asked: bool,
    /// When the connection was made, or the last answer was given or went on.
    last: Instant,
    answered: Instant,
    /// Pieces of answers of HTTP/2 that are handed out and not taken yet, and when one was taken last.
    unread: usize,
    taken: Instant,
}

#[derive(Debug, Default)]
struct Inside {
    next: u64,
    all: BTreeMap<u64, Arc<Guest>>,
    strangers: BTreeSet<u64>,
    /// By address, those who are connected from there.
    houses: HashMap<IpAddr, BTreeSet<u64>>,
}

/// Everybody who is connected.
#[derive(Debug)]
pub struct Crowd {
    caps: Caps,
    inside: Mutex<Inside>,
}

/// Held by the connection: when it goes, its place is free.
#[derive(Debug)]
pub struct Ticket(pub Arc<Guest>);

impl Drop for Ticket {
    fn drop(&mut self) {
        self.0.crowd.inside().remove(self.0.number);
    }
}

/// A lock that somebody fell over with is still a list of who is here.
fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Inside {
    fn remove(&mut self, number: u64) {
        self.strangers.remove(&number);
        let house = self.all.remove(&number).and_then(|guest| guest.house);
        let Some(house) = house else { return };
        if let Some(those) = self.houses.get_mut(&house) {
            those.remove(&number);
            if those.is_empty() {
                self.houses.remove(&house);
            }
        }
    }

    /// Whoever leaves first of these: the stranger who has been here longest, else who waits for nothing.
    fn first_to_leave<'a>(&self, mut of: impl Iterator<Item = &'a u64> + Clone) -> Option<u64> {
        let stranger = of.clone().find(|number| self.strangers.contains(number));
        let is_idle = |number: &&u64| self.all.get(number).is_some_and(|guest| guest.is_idle());
        stranger.or_else(|| of.find(is_idle)).copied()
    }

    /// Makes room; false where everybody here is at work.
    fn send_one_away(&mut self, house: Option<IpAddr>) -> bool {
        let leaving = match house.and_then(|house| self.houses.get(&house)) {
            Some(those) => self.first_to_leave(those.iter()),
            None => match self.strangers.first() {
                Some(oldest) => Some(*oldest),
                None => self.first_to_leave(self.all.keys()),
            },
        };
        let guest = leaving.and_then(|number| self.all.get(&number).cloned());
        let Some(guest) = guest else { return false };
        self.remove(guest.number);
        guest.send_away();
        true
    }
}

impl Crowd {
    /// Nobody is connected yet.
    pub fn new(caps: Caps) -> Arc<Crowd> {
        Arc::new(Crowd {
            caps,
            inside: Mutex::default(),
        })
    }

    fn inside(&self) -> MutexGuard<'_, Inside> {
        locked(&self.inside)
    }

    /// Lets a connection in; none where there is no room, and nobody who could make some. `has_house` is false for
    /// a proxy, through which many come.
    pub fn enter(self: &Arc<Self>, address: IpAddr, has_house: bool) -> Option<Ticket> {
        let most = self.caps.per_address.filter(|_| has_house);
        let house = most.map(|_| house_of(address));
        let mut inside = self.inside();
        let from_there = house.and_then(|house| inside.houses.get(&house));
        let is_crowded = from_there.map_or(0, BTreeSet::len) >= most.unwrap_or(usize::MAX);
        if is_crowded && !inside.send_one_away(house) {
            return None;
        }
        if inside.all.len() >= self.caps.all && !inside.send_one_away(None) {
            return None;
        }
        inside.next += 1;
        let (number, now) = (inside.next, Instant::now());
        let guest = Arc::new(Guest {
            number,
            house,
            crowd: self.clone(),
            is_sent_away: AtomicBool::new(false),
            under_way: AtomicUsize::new(0),
            time: Mutex::new(Time {
                has_asked: false,
                last: now,
                answered: now,
                unread: 0,
                taken: now,
            }),
            reader: Mutex::new(None),
        });
        inside.all.insert(number, guest.clone());
        inside.strangers.insert(number);
        if let Some(house) = house {
            inside.houses.entry(house).or_default().insert(number);
        }
        Some(Ticket(guest))
    }
}

impl Guest {
    fn send_away(&self) {
        self.is_sent_away.store(true, Ordering::SeqCst);
        if let Some(reader) = locked(&self.reader).take() {
            reader.wake();
        }
    }

    /// Whoever asks on this connection is signed in: strangers leave before.
    pub fn is_known_from_now(&self) {
        self.crowd.inside().strangers.remove(&self.number);
    }

    fn is_idle(&self) -> bool {
        self.under_way.load(Ordering::SeqCst) == 0
    }

    /// A request is under way until what is answered is dropped.
    pub fn ask(self: &Arc<Self>) -> UnderWay {
        self.under_way.fetch_add(1, Ordering::SeqCst);
        locked(&self.time).has_asked = true;
        UnderWay(self.clone())
    }

    /// Some of an answer has gone out.
    pub fn has_written(&self) {
        locked(&self.time).last = Instant::now();
    }

    /// A piece of an answer is there to be read, and unread until what is answered is dropped.
    pub fn hand_out(self: &Arc<Self>) -> Unread {
        let mut time = locked(&self.time);
        if time.unread == 0 {
            time.taken = Instant::now();
        }
        time.unread += 1;
        Unread(self.clone())
    }

    /// Whether its place was given to somebody else.
    pub fn is_sent_away(&self) -> bool {
        self.is_sent_away.load(Ordering::SeqCst)
    }

    /// When this connection is over unless something is asked or taken; none while an answer is thought about. What goes
    /// out need be no answer: HTTP/2 answers pings, and whoever sends nothing else has asked for nothing.
    pub fn ends(&self) -> Option<Instant> {
        let time = locked(&self.time);
        let ends = match time.has_asked {
            true => (time.last + KEPT).min(time.answered + READING),
            false => time.answered + FIRST,
        };
        let unread = (time.unread > 0).then(|| time.taken + STALLED);
        let idle = self.is_idle().then_some(ends);
        idle.into_iter().chain(unread).min()
    }

    /// When the answer that is being written has to have been read.
    pub fn answer_ends(&self) -> Instant {
        locked(&self.time).answered + READING
    }

    /// Wakes this reader when the connection is over.
    pub fn wake_when_over(&self, reader: &Waker) {
        let mut known = locked(&self.reader);
        if !known.as_ref().is_some_and(|known| known.will_wake(reader)) {
            *known = Some(reader.clone());
        }
    }
}

/// A request that is being answered.
#[derive(Debug)]
pub struct UnderWay(Arc<Guest>);

impl Drop for UnderWay {
    fn drop(&mut self) {
        self.0.under_way.fetch_sub(1, Ordering::SeqCst);
        let now = Instant::now();
        let mut time = locked(&self.0.time);
        (time.last, time.answered) = (now, now);
    }
}

/// A piece of an answer that waits for its reader.
#[derive(Debug)]
pub struct Unread(Arc<Guest>);

impl Drop for Unread {
    fn drop(&mut self) {
        let mut time = locked(&self.0.time);
        time.unread -= 1;
        time.taken = Instant::now();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn address(last: u8) -> IpAddr {
        IpAddr::from([192, 0, 2, last])
    }

    fn is_over(ticket: &Ticket) -> bool {
        ticket.0.is_sent_away.load(Ordering::SeqCst)
    }

    fn crowd(all: usize, per_address: usize) -> Arc<Crowd> {
        let per_address = Some(per_address);
        Crowd::new(Caps { all, per_address })
    }

    #[tokio::test]
    async fn s2_where_it_is_full_the_stranger_who_came_first_leaves() {
        let crowd = crowd(3, 9);
        let known = crowd.enter(address(1), true).unwrap();
        known.0.is_known_from_now();
        let strangers: Vec<Ticket> = (2..20)
            .map(|last| crowd.enter(address(last), true).unwrap())
            .collect();
        let (left, here) = strangers.split_at(16);
        assert!(left.iter().all(is_over) && !here.iter().any(is_over));
        assert!(
            !is_over(&known),
            "strangers never take the place of a guest"
        );
        assert_eq!(crowd.inside().all.len(), 3);
        drop(strangers);
        assert_eq!(crowd.inside().all.len(), 1);
        drop(known);
        assert!(crowd.inside().houses.is_empty());
    }

    #[tokio::test]
    async fn s2_one_address_takes_no_more_than_its_share_and_leaves_the_others_alone() {
        let crowd = crowd(100, 2);
        let other = crowd.enter(address(1), true).unwrap();
        let own: Vec<Ticket> = (0..5)
            .map(|_| crowd.enter(address(2), true).unwrap())
            .collect();
        assert_eq!(own.iter().filter(|ticket| !is_over(ticket)).count(), 2);
        assert!(!is_over(&other));
        // Behind a proxy that is named there are many.
        let many: Vec<Ticket> = (0..5)
            .map(|_| crowd.enter(address(3), false).unwrap())
            .collect();
        assert!(!many.iter().any(is_over));
    }

    #[tokio::test]
    async fn s2_who_is_at_work_is_not_sent_away_for_anybody() {
        let crowd = crowd(2, 9);
        let at_work = crowd.enter(address(1), true).unwrap();
        at_work.0.is_known_from_now();
        let _answer = at_work.0.ask();
        let idle = crowd.enter(address(2), true).unwrap();
        idle.0.is_known_from_now();
        let third = crowd.enter(address(3), true).unwrap();
        assert!(is_over(&idle) && !is_over(&at_work));
        third.0.is_known_from_now();
        let _another = third.0.ask();
        assert!(crowd.enter(address(4), true).is_none());
    }
}
