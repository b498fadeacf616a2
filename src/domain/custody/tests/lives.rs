//! Whole lives of the courses: after each step, where the work is and who has to do what. Which things go with which
//! course: common practice, no source.

use super::super::case::Task;
use super::*;
use crate::domain::custody::agenda::OrderedWork;
use crate::domain::custody::case::Place;
use crate::domain::custody::closing::{Disposition, dispositions};
use crate::domain::custody::handover::is_registered;
use crate::domain::custody::ordered::WithTheWork;
use crate::domain::custody::ordered::{EarlierOrder, ListedBreak};
use crate::domain::custody::{
    Lacking, NotAskedFor, NotCome, NotReady, back_left_out, copied_left_out, is_nothing_registered,
    left_out, not_asked_for, not_ready, rounds, to_go_with_the_work, to_send_back, usual_purpose,
    work_in_hand,
};
use crate::domain::prescription::{OrderKind, Stage};
use Side::{Lab, Office};

const UPPER: Option<Arch> = Some(Arch::Upper);
const LOWER: Option<Arch> = Some(Arch::Lower);

/// A case, what is ordered in it, and the newest revision that the lab has read.
#[derive(Clone)]
struct Life {
    world: World,
    ordered: Ordered,
    read: i64,
}

impl Life {
    /// Nothing is there yet; some things are of another kind than in the other tests.
    fn of(arches: Arches, kinds: &[(&str, ItemKind, Option<Arch>)]) -> Life {
        let mut world = World::bare(arches);
        for (thing, kind, arch) in kinds {
            let mut items = world.items.iter_mut();
            let item = items.find(|item| item.tag == tag(thing)).unwrap();
            (item.kind, item.arch) = (*kind, *arch);
        }
        Life {
            world,
            ordered: Ordered::default(),
            read: 0,
        }
    }

    fn has(&mut self, side: Side, things: &[&str]) {
        let by = if side == Office { anna() } else { tom() };
        for thing in things {
            self.world.does(&by, registered(thing, side, false));
        }
    }

    fn wears(&mut self, things: &[&str]) {
        for thing in things {
            self.world.does(&dora(), registered(thing, Office, true));
        }
    }

    fn signs(&mut self, works: &[(Option<Arch>, Stage)], enclosed: &[&str]) {
        self.world.now_ms += MINUTE_MS;
        let works = works.iter();
        let work: Vec<OrderedWork> = works
            .map(|&(arch, stage)| OrderedWork {
                arch,
                stage,
                against_teeth: false,
            })
            .collect();
        let before = std::mem::take(&mut self.ordered);
        let mut earlier = before.earlier;
        earlier.extend(before.since.map(|since| EarlierOrder {
            revision: before.revision,
            since,
            kind: before.kind,
            work: before.work,
            is_same: false,
            is_same_to_flask: false,
        }));
        let mut enclosed_before = before.enclosed_before;
        enclosed_before.extend(before.enclosed);
        for one in &mut earlier {
            one.is_same = one.work == work;
        }
        self.ordered = Ordered {
            revision: before.revision + 1,
            since: Some(Moment::new(self.world.now_ms, 60)),
            enclosed: enclosed.iter().map(|thing| tag(thing)).collect(),
            enclosed_before,
            work,
            earlier,
            ..Ordered::default()
        };
    }

    /// The newest revision asks for something that none before it did, such as another shade.
    fn asks_for_something_else(&mut self) {
        let earlier = self.ordered.earlier.iter_mut();
        earlier.for_each(|one| one.is_same = false);
    }

    /// The office signs its statement on all that was found wrong, and so does the lab.
    fn states(&mut self) {
        self.world.resolves_all();
    }

    fn stands(&self) -> Standing {
        let (context, case) = (self.world.context(), self.world.case_state());
        standing(&context, &case, &self.ordered, self.read)
    }

    /// What waits about a thing, as the page of the case lists it.
    fn asks_about(&self, thing: &str) -> Vec<(Side, &'static str)> {
        let (context, case) = (self.world.context(), self.world.case_state());
        let day = Moment::new(self.world.now_ms, 60).date();
        let all = waits(&context, &case, &self.ordered, &self.stands(), day).into_iter();
        let own = all.filter(|one| one.items.contains(&tag(thing)));
        own.map(|one| (one.side, one.to_do)).collect()
    }

    /// Whether the bench of the upper arch works on what the office had found not as asked.
    fn was_sent_back(&self) -> bool {
        let case = self.world.case_state();
        let found = rounds(&self.ordered, &self.world.items, &case, &[Arch::Upper]);
        found.iter().any(|round| round.sent_back_ms.is_some())
    }

    fn reads(&mut self) {
        self.read = self.ordered.revision;
    }

    fn release(from: Side, id: &str, purpose: Purpose, things: &[&str], packed: bool) -> What {
        let mut what = released(id, things, from);
        if let What::Released(one) = &mut what {
            one.purpose_code = Some(purpose);
            one.awaits_pickup = packed;
        }
        what
    }

    fn sends(&mut self, from: Side, id: &str, purpose: Purpose, things: &[&str]) {
        self.hands_over(from, id, purpose, things, false);
    }

    fn packs(&mut self, from: Side, id: &str, purpose: Purpose, things: &[&str]) {
        self.hands_over(from, id, purpose, things, true);
    }

    fn hands_over(
        &mut self,
        from: Side,
        id: &str,
        purpose: Purpose,
        things: &[&str],
        packed: bool,
    ) {
        let by = if from == Office { anna() } else { tom() };
        for thing in things {
            self.world.does(&by, disinfected(thing));
        }
        let mut what = Life::release(from, id, purpose, things, packed);
        if let What::Released(one) = &mut what {
            let mends = purpose == Purpose::Finished;
            for sent in one.items.iter_mut().filter(|_| mends) {
                let condition = self.world.state(name(&sent.tag)).condition;
                sent.set_right = condition != Condition::Sound;
            }
        }
        self.world.does(&by, what);
    }

    fn takes(&mut self, side: Side, id: &str, things: &[&str]) {
        let by = if side == Office { dora() } else { mara() };
        self.world.takes(&by, id, things);
    }

    /// Received by the office otherwise than it was sent.
    fn finds(&mut self, id: &str, thing: &str, outcome: Outcome) {
        let what = received(id, Office, &[found(thing, outcome, true)]);
        self.world.does(&dora(), what);
    }

    fn fits(&mut self, thing: &str, instead_of: Option<&str>) {
        self.world.does(&dora(), fitted(thing, instead_of));
    }

    /// The office holds what came against the prescription in force.
    fn checks(&mut self, value: FitValue, verdict: FitVerdict) {
        let found = FitFound::unread(value, verdict);
        let what = What::FitChecked(FitChecked {
            from: Office,
            revision: self.ordered.revision,
            found: vec![found],
            note: String::new(),
        });
        self.world.does(&anna(), what);
    }

    /// What a side mostly sends things for now.
    fn usual(&self, side: Side) -> Option<Purpose> {
        let case = self.world.case_state();
        usual_purpose(&self.ordered, &self.world.items, &case, side)
    }

    /// Why each thing that waits does.
    fn whys(&self) -> Vec<String> {
        let (context, case) = (self.world.context(), self.world.case_state());
        let day = Moment::new(self.world.now_ms, 60).date();
        let all = waits(&context, &case, &self.ordered, &self.stands(), day);
        all.into_iter().map(|one| one.why).collect()
    }

    /// What the office is asked about before it sends these things.
    fn asked_before(&self, purpose: Purpose, things: &[&str]) -> Vec<NotAskedFor> {
        let sent: Vec<Tag> = things.iter().map(|thing| tag(thing)).collect();
        let case = self.world.case_state();
        let of = (&self.world.items[..], &case);
        let found = not_asked_for(&self.ordered, of, (&sent, purpose));
        found.into_iter().map(|(_, why)| why).collect()
    }

    /// "lab office | office:fit lab:make"
    #[track_caller]
    fn is(&self, expected: &str) {
        let stands = self.stands();
        let places: Vec<&str> = stands.places.iter().map(|one| Place::word(*one)).collect();
        let tasks: Vec<String> = stands
            .waiting_for
            .iter()
            .map(|one| Task::word(*one))
            .collect();
        let said = format!("{} | {}", places.join(" "), tasks.join(" "));
        assert_eq!(said.trim_end(), expected);
    }
}

#[test]
fn a_copy_of_both_with_a_spare_damage_and_a_remake() {
    use Stage::Process;
    let spare = ("old upper", ItemKind::Duplicate, UPPER);
    let mut life = Life::of(Arches::Both, &[spare]);
    let both = ["provisional upper", "provisional lower"];
    life.wears(&both);
    life.has(Office, &["duplicate upper", "duplicate lower", "bite"]);
    life.is("office | office:write");
    let works = [(UPPER, Process), (LOWER, Process)];
    life.signs(&works, &[both[0], both[1], "bite"]);
    life.is("office | office:hand_over");
    life.fits("duplicate upper", Some(both[0]));
    life.fits("duplicate lower", Some(both[1]));
    life.sends(Office, "h1", Purpose::Make, &both);
    life.is("on_the_way office | lab:receive office:enclose");
    life.takes(Lab, "h1", &both);
    life.is("lab office | lab:acknowledge office:enclose");
    life.sends(Office, "h2", Purpose::Make, &["bite"]);
    life.is("on_the_way | lab:receive");
    life.takes(Lab, "h2", &["bite"]);
    life.is("lab | lab:acknowledge");
    life.reads();
    life.is("lab | lab:make");
    // What only goes back is received, and the work goes on.
    life.sends(Lab, "h3", Purpose::GoingBack, &["bite"]);
    life.is("lab | office:receive lab:make");
    life.takes(Office, "h3", &["bite"]);
    life.is("lab | lab:make");
    // A spare that goes ahead is not the final, and a cast for the chair is not either.
    life.has(Lab, &["old upper", "cast upper"]);
    let ahead = ["old upper", "cast upper"];
    life.sends(Lab, "h4", Purpose::Record, &ahead);
    life.is("lab | office:receive lab:make");
    life.takes(Office, "h4", &ahead);
    life.is("lab | lab:make");
    // One arch is packed: the other is made all the same.
    life.has(Lab, &["final upper", "final lower"]);
    life.packs(Lab, "h5", Purpose::Finished, &["final upper"]);
    life.is("lab | lab:pick_up lab:make");
    life.world
        .does(&tom(), picked_up("h5", &["final upper"], 1));
    life.is("on_the_way lab | office:receive lab:make");
    life.takes(Office, "h5", &["final upper"]);
    life.is("lab office | office:fit lab:make");
    life.fits("final upper", Some("duplicate upper"));
    life.is("lab patient | lab:make");
    // The other comes damaged: the office decides, the lab mends.
    life.sends(Lab, "h6", Purpose::Finished, &["final lower"]);
    life.finds("h6", "final lower", Outcome::Damaged);
    life.is("office patient | lab:resolve");
    life.world.resolves_all();
    life.is("office patient | office:weigh");
    life.sends(Office, "h7", Purpose::Repair, &["final lower"]);
    life.is("on_the_way patient | lab:receive");
    life.takes(Lab, "h7", &["final lower"]);
    life.is("lab patient | lab:make");
    life.sends(Lab, "h8", Purpose::Finished, &["final lower"]);
    life.takes(Office, "h8", &["final lower"]);
    life.is("office patient | office:fit");
    life.fits("final lower", Some("duplicate lower"));
    life.is("patient | lab:send_back");
    life.sends(Lab, "h9", Purpose::GoingBack, &both);
    life.is("patient | office:receive");
    life.takes(Office, "h9", &both);
    life.is("patient |");
    // A revision that says the same again asks for nothing; one for a remake does.
    life.signs(&works, &[both[0], both[1], "bite"]);
    life.is("patient |");
    life.signs(&[(UPPER, Process)], &[]);
    life.ordered.kind = Some(OrderKind::Remake);
    life.is("office | office:hand_over");
    life.has(Office, &["impression"]);
    life.sends(Office, "h10", Purpose::Make, &["impression"]);
    life.is("on_the_way | lab:receive");
    life.takes(Lab, "h10", &["impression"]);
    life.is("lab | lab:acknowledge");
    life.reads();
    life.is("lab | lab:make");
}

#[test]
fn a_set_up_is_tried_in_arch_by_arch_and_one_goes_astray() {
    let lower = ("old lower", ItemKind::TryIn, LOWER);
    let mut life = Life::of(Arches::Both, &[lower]);
    let both = ["try-in upper", "old lower"];
    life.has(Office, &["bite"]);
    life.signs(&[(UPPER, Stage::SetUp), (LOWER, Stage::SetUp)], &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["bite"]);
    life.takes(Lab, "h1", &["bite"]);
    life.reads();
    life.is("lab | lab:make");
    life.has(Lab, &both);
    life.sends(Lab, "h2", Purpose::Trial, &both[..1]);
    life.is("on_the_way lab | office:receive lab:make");
    life.takes(Office, "h2", &both[..1]);
    life.is("lab office | office:try_in lab:make");
    life.sends(Lab, "h3", Purpose::Trial, &both[1..]);
    life.finds("h3", "old lower", Outcome::Missing);
    life.is("on_the_way office | lab:resolve");
    let hold = life.world.open_holds().remove(0);
    life.world.resolves_all();
    life.is("on_the_way office | office:try_in lab:find_sent");
    // It was never packed: it is the lab's to send.
    life.world.does(&mara(), not_packed(resolution(&hold)));
    life.is("lab office | office:try_in lab:make");
    life.sends(Lab, "h4", Purpose::Trial, &both[1..]);
    life.takes(Office, "h4", &both[1..]);
    life.is("office | office:try_in");
    life.signs(&[(UPPER, Stage::Process), (LOWER, Stage::Process)], &both);
    life.is("office | office:hand_over");
    life.sends(Office, "h5", Purpose::AfterTrial, &both);
    life.is("on_the_way | lab:receive");
    life.takes(Lab, "h5", &both);
    life.is("lab | lab:acknowledge");
    life.reads();
    life.is("lab | lab:make");
    let finals = ["final upper", "final lower"];
    life.has(Lab, &finals);
    life.sends(Lab, "h6", Purpose::Finished, &finals);
    life.takes(Office, "h6", &finals);
    life.is("office | office:fit");
    life.fits("final upper", None);
    life.fits("final lower", None);
    life.is("patient | lab:send_back");
}

#[test]
fn a_try_in_that_is_given_up_on_the_way_is_made_again() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["bite"]);
    life.signs(&[(UPPER, Stage::TryIn)], &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["bite"]);
    life.takes(Lab, "h1", &["bite"]);
    life.reads();
    life.has(Lab, &["try-in upper"]);
    life.sends(Lab, "h2", Purpose::Trial, &["try-in upper"]);
    life.finds("h2", "try-in upper", Outcome::Missing);
    life.world.resolves_all();
    life.is("on_the_way | lab:find_sent");
    let lost = written_off("try-in upper", "nobody found it");
    life.world.does(&mara(), lost);
    life.is("lab | lab:make");
}

#[test]
fn a_provisional_is_repaired() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.wears(&["provisional upper"]);
    life.has(Office, &["duplicate upper"]);
    life.signs(&[(UPPER, Stage::Repair)], &["provisional upper"]);
    life.is("office | office:hand_over");
    life.fits("duplicate upper", Some("provisional upper"));
    life.sends(Office, "h1", Purpose::Repair, &["provisional upper"]);
    life.takes(Lab, "h1", &["provisional upper"]);
    life.reads();
    life.is("lab | lab:make");
    life.sends(Lab, "h2", Purpose::Finished, &["provisional upper"]);
    life.is("on_the_way | office:receive");
    life.takes(Office, "h2", &["provisional upper"]);
    life.is("office | office:fit");
    life.fits("provisional upper", Some("duplicate upper"));
    life.is("patient |");
}

#[test]
fn a_final_is_relined_and_goes_home_while_the_work_is_stopped() {
    let mut life = Life::of(Arches::Lower, &[]);
    life.wears(&["final lower"]);
    life.has(Office, &["duplicate lower"]);
    life.signs(&[(LOWER, Stage::Reline)], &["final lower"]);
    life.is("office | office:hand_over");
    life.fits("duplicate lower", Some("final lower"));
    life.is("office | office:hand_over");
    life.sends(Office, "h1", Purpose::Change, &["final lower"]);
    life.takes(Lab, "h1", &["final lower"]);
    life.reads();
    life.is("lab | lab:make");
    let stopped = What::Stopped(Stopped {
        reason: "it is needed as it is".to_owned(),
        signed: under("dora"),
    });
    life.world.does(&dora(), stopped);
    life.is("lab | lab:heed office:decide");
    life.world.does(&tom(), disinfected("final lower"));
    // Finished work waits; what the patient has worn goes home.
    let finished = Life::release(Lab, "h2", Purpose::Finished, &["final lower"], false);
    life.world
        .expect(&tom(), &finished, &[(CustodyRule::Stopped, "")]);
    life.sends(Lab, "h2", Purpose::GoingBack, &["final lower"]);
    life.is("on_the_way | lab:heed office:receive office:decide");
    life.takes(Office, "h2", &["final lower"]);
    life.is("office | lab:heed office:decide");
    let went_on = What::WentOn(WentOn {
        reason: "the patient can do without".to_owned(),
        signed: under("dora"),
    });
    life.world.does(&dora(), went_on);
    life.is("office | office:hand_over");
    life.sends(Office, "h3", Purpose::Change, &["final lower"]);
    life.takes(Lab, "h3", &["final lower"]);
    life.is("lab | lab:make");
    // What is packed was sent for this very alteration.
    life.packs(Lab, "h4", Purpose::Finished, &["final lower"]);
    life.is("lab | lab:pick_up");
    life.world
        .does(&tom(), picked_up("h4", &["final lower"], 1));
    life.takes(Office, "h4", &["final lower"]);
    life.is("office | office:fit");
    life.fits("final lower", Some("duplicate lower"));
    life.is("patient |");
}

#[test]
fn a_denture_that_is_brought_in_has_not_come_back() {
    let mut life = Life::of(Arches::Lower, &[]);
    life.has(Office, &["final lower"]);
    life.signs(&[(LOWER, Stage::Repair)], &["final lower"]);
    life.is("office | office:hand_over");
    life.sends(Office, "h1", Purpose::Repair, &["final lower"]);
    life.takes(Lab, "h1", &["final lower"]);
    life.reads();
    life.sends(Lab, "h2", Purpose::Finished, &["final lower"]);
    life.takes(Office, "h2", &["final lower"]);
    life.is("office | office:fit");
}

#[test]
fn a_custom_tray_is_used_at_the_chair() {
    let tray = ("photograph", ItemKind::Other, None);
    let mut life = Life::of(Arches::Upper, &[tray]);
    life.has(Office, &["cast upper"]);
    life.signs(&[(UPPER, Stage::Tray)], &["cast upper"]);
    life.sends(Office, "h1", Purpose::Make, &["cast upper"]);
    life.takes(Lab, "h1", &["cast upper"]);
    life.reads();
    life.is("lab | lab:make");
    life.has(Lab, &["photograph"]);
    let back = ["photograph", "cast upper"];
    life.sends(Lab, "h2", Purpose::Record, &back);
    life.is("on_the_way | office:receive");
    life.takes(Office, "h2", &back);
    life.is("office | office:try_in");
    life.signs(&[(UPPER, Stage::Rims)], &["cast upper"]);
    life.is("office | office:hand_over");
}

#[test]
fn an_immediate_denture_is_worn_and_the_casts_come_home_one_by_one() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["cast upper", "bite"]);
    let all = ["cast upper", "bite"];
    life.signs(&[(UPPER, Stage::Process)], &all);
    life.sends(Office, "h1", Purpose::Make, &all);
    life.takes(Lab, "h1", &all);
    life.reads();
    life.has(Lab, &["final upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    life.fits("final upper", None);
    life.is("patient | lab:send_back");
    life.sends(Lab, "h3", Purpose::GoingBack, &["bite"]);
    life.is("patient | office:receive lab:send_back");
    life.takes(Office, "h3", &["bite"]);
    life.is("patient | lab:send_back");
}

#[test]
fn a_duplicate_is_ordered_and_worn() {
    let made = ("old upper", ItemKind::Duplicate, UPPER);
    let mut life = Life::of(Arches::Upper, &[made]);
    life.has(Office, &["bite"]);
    life.signs(&[(UPPER, Stage::Duplicate)], &[]);
    life.sends(Office, "h1", Purpose::Duplicate, &["bite"]);
    life.takes(Lab, "h1", &["bite"]);
    life.reads();
    life.is("lab | lab:make");
    life.has(Lab, &["old upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["old upper", "bite"]);
    life.takes(Office, "h2", &["old upper", "bite"]);
    life.is("office | office:fit");
    life.fits("old upper", None);
    life.is("patient |");
}

#[test]
fn what_a_single_denture_bites_against_is_missed_as_what_it_is_made_from() {
    let opposing = ("old lower", ItemKind::Cast, LOWER);
    let mut life = Life::of(Arches::Upper, &[opposing]);
    let all = ["impression", "old lower"];
    life.has(Office, &all);
    life.signs(&[(UPPER, Stage::Process)], &all);
    life.sends(Office, "h1", Purpose::Make, &["impression"]);
    life.is("on_the_way office | lab:receive office:enclose");
    life.takes(Lab, "h1", &["impression"]);
    life.reads();
    life.is("lab office | office:enclose");
    let asked = |life: &Life| {
        let case = life.world.case_state();
        not_ready(&life.ordered, &life.world.items, &case, Arch::Upper)
    };
    let lacks = |how| {
        let lacking = Lacking {
            tag: tag("old lower"),
            arch: LOWER,
            how,
        };
        Some(NotReady::Lacks(vec![lacking]))
    };
    assert_eq!(asked(&life), lacks(NotCome::Stays));
    life.sends(Office, "h2", Purpose::Make, &["old lower"]);
    life.is("on_the_way | lab:receive");
    life.takes(Lab, "h2", &["old lower"]);
    life.is("lab | lab:make");
    assert_eq!(asked(&life), None);
    // Lost there before anything is made, the next revision leaves it out.
    let lost = written_off("old lower", "nobody found it");
    life.world.does(&tom(), lost);
    life.is("lab | office:write");
    assert_eq!(asked(&life), lacks(NotCome::Lost));
    // Once the denture is made it has served, though nothing is made of its own jaw.
    life.has(Lab, &["final upper"]);
    life.is("lab | lab:make");
    assert_eq!(asked(&life), None);
}

#[test]
fn what_is_listed_of_a_jaw_for_which_something_is_made_is_missed_for_that_jaw_alone() {
    let life = |works: &[(Option<Arch>, Stage)]| {
        let mut life = Life::of(Arches::Both, &[("old lower", ItemKind::Cast, LOWER)]);
        life.has(Office, &["impression", "old lower"]);
        life.signs(works, &["impression", "old lower"]);
        life.sends(Office, "h1", Purpose::Make, &["impression"]);
        life.takes(Lab, "h1", &["impression"]);
        let case = life.world.case_state();
        not_ready(&life.ordered, &life.world.items, &case, Arch::Upper).is_some()
    };
    let upper = (UPPER, Stage::Process);
    assert!(life(&[upper]));
    assert!(!life(&[upper, (LOWER, Stage::Process)]));
    // A piece that says no jaw may be of either.
    assert!(!life(&[(None, Stage::Repair)]));
}

#[test]
fn a_revision_that_orders_one_arch_leaves_nothing_to_be_made_for_the_other() {
    let mut life = Life::of(Arches::Both, &[]);
    life.wears(&["provisional upper"]);
    life.has(Office, &["duplicate upper", "bite"]);
    life.signs(
        &[(UPPER, Stage::Process), (LOWER, Stage::Process)],
        &["bite"],
    );
    life.fits("duplicate upper", Some("provisional upper"));
    let all = ["provisional upper", "bite"];
    life.sends(Office, "h1", Purpose::Make, &all);
    life.takes(Lab, "h1", &all);
    life.reads();
    life.signs(&[(LOWER, Stage::Process)], &["bite"]);
    life.is("lab | lab:acknowledge");
    life.reads();
    life.has(Lab, &["final lower"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final lower"]);
    life.takes(Office, "h2", &["final lower"]);
    life.is("office | office:fit");
    life.fits("final lower", None);
    life.is("patient | lab:send_back");
}

/// A final for the upper is packed at the lab.
fn packed_at_the_lab() -> Life {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["bite", "duplicate upper"]);
    life.signs(&[(UPPER, Stage::Process)], &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["bite"]);
    life.takes(Lab, "h1", &["bite"]);
    life.reads();
    life.has(Lab, &["final upper"]);
    life.packs(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.is("lab | lab:pick_up");
    life
}

#[test]
fn what_was_packed_before_a_newer_revision_is_not_the_work_of_that_revision() {
    let mut life = packed_at_the_lab();
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.is("lab | lab:pick_up lab:acknowledge");
    let out = picked_up("h2", &["final upper"], 1);
    life.world.does(&tom(), out);
    life.is("on_the_way | office:receive lab:acknowledge");
    life.takes(Office, "h2", &["final upper"]);
    life.is("office | office:weigh lab:acknowledge");
    let case = life.world.case_state();
    let older = made_for_earlier(&life.ordered, &life.world.items, &case);
    assert_eq!(older.iter().map(name).collect::<Vec<_>>(), ["final upper"]);
    // Worn as it is: the office says whether that will do, or sends what the newer revision is made from.
    life.fits("final upper", None);
    life.is("patient | office:will_do lab:acknowledge");
    life.reads();
    life.is("patient | office:will_do");
    let mut other = Life {
        world: life.world.clone(),
        ordered: life.ordered.clone(),
        read: life.read,
    };
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.is("patient | lab:send_back");
    other.has(Office, &["impression"]);
    other.sends(Office, "h3", Purpose::Make, &["impression"]);
    other.is("on_the_way | lab:receive");
    other.takes(Lab, "h3", &["impression"]);
    other.is("lab | lab:make");
}

#[test]
fn what_is_said_at_the_pick_up_to_be_as_the_newer_revision_asks_is_its_work() {
    let mut life = packed_at_the_lab();
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.reads();
    let mut out = picked_up("h2", &["final upper"], 1);
    if let What::PickedUp(one) = &mut out {
        one.older = Some(2);
    }
    life.world.does(&tom(), out);
    life.is("on_the_way | office:receive");
    life.takes(Office, "h2", &["final upper"]);
    life.is("office | office:fit");
}

#[test]
fn what_is_packed_waits_with_the_work_that_is_stopped() {
    let mut life = packed_at_the_lab();
    let paused = What::Paused(Paused {
        reason: "the patient is ill".to_owned(),
        signed: under("dora"),
    });
    life.world.does(&dora(), paused);
    life.is("lab | lab:heed office:decide");
    let out = picked_up("h2", &["final upper"], 1);
    life.world
        .expect(&tom(), &out, &[(CustodyRule::Stopped, "")]);
    let went_on = What::WentOn(WentOn {
        reason: "well again".to_owned(),
        signed: under("dora"),
    });
    life.world.does(&dora(), went_on);
    life.is("lab | lab:pick_up");
    life.world.does(&tom(), out);
    life.is("on_the_way | office:receive");
}

#[test]
fn cancelled_work_that_goes_on_is_sent_again() {
    let rims = ("old upper", ItemKind::Rims, UPPER);
    let mut life = Life::of(Arches::Upper, &[rims]);
    let all = ["old upper", "bite"];
    life.has(Office, &all);
    life.signs(&[(UPPER, Stage::SetUp)], &all);
    life.sends(Office, "h1", Purpose::Make, &all);
    life.takes(Lab, "h1", &all);
    life.reads();
    let comes_back = |thing: &str| Fated {
        tag: tag(thing),
        fate: Fate::ComesBack,
        consent: None,
    };
    life.world.does(
        &dora(),
        What::Cancelled(Cancelled {
            reason: "moved away".to_owned(),
            items: all.map(comes_back).to_vec(),
            signed: under("dora"),
        }),
    );
    life.sends(Lab, "h2", Purpose::GoingBack, &all);
    life.takes(Office, "h2", &all);
    life.world.does(
        &dora(),
        What::WentOn(WentOn {
            reason: "back in town".to_owned(),
            signed: under("dora"),
        }),
    );
    life.is("office | office:hand_over");
}

/// A final is copied from the provisional, whose duplicate is worn; the lab has read it and has nothing yet.
fn copying() -> Life {
    let mut life = Life::of(Arches::Upper, &[]);
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.reads();
    life.wears(&["provisional upper"]);
    life.has(Office, &["duplicate upper"]);
    life.fits("duplicate upper", Some("provisional upper"));
    life
}

/// The pattern and the bite are at the lab.
fn to_be_made() -> Life {
    let mut life = copying();
    life.has(Office, &["bite"]);
    let both = ["provisional upper", "bite"];
    life.sends(Office, "h1", Purpose::Make, &both);
    life.takes(Lab, "h1", &both);
    life.is("lab | lab:make");
    life
}

/// The final is worn, and the pattern is still at the lab.
fn worn_from_the_pattern() -> Life {
    let mut life = to_be_made();
    life.has(Lab, &["final upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    life.fits("final upper", Some("duplicate upper"));
    life.is("patient | lab:send_back");
    life
}

/// The pattern was not in its parcel, and the bite was.
fn without_its_pattern() -> Life {
    let mut life = copying();
    life.has(Office, &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["provisional upper", "bite"]);
    let came = [
        found("provisional upper", Outcome::Missing, false),
        found("bite", Outcome::Sound, true),
    ];
    life.world.does(&tom(), received("h1", Lab, &came));
    life.is("on_the_way | office:resolve");
    life.states();
    life
}

#[test]
fn a_pattern_that_did_not_come_is_the_offices_to_find_before_anything_is_made() {
    let mut life = without_its_pattern();
    life.is("on_the_way | office:find_lost");
    let find = [(Office, "find it and send it, or write it off")];
    assert_eq!(life.asks_about("provisional upper"), find);
    // It was never packed: it is sent, and then the work is made.
    let hold = life.world.case_state().holds[0].clone();
    life.world.does(&dora(), not_packed(resolution(&hold)));
    life.is("office | office:hand_over");
    life.sends(Office, "h2", Purpose::Make, &["provisional upper"]);
    life.is("on_the_way | lab:receive");
    life.takes(Lab, "h2", &["provisional upper"]);
    life.is("lab | lab:make");
}

#[test]
fn once_the_pattern_is_given_up_something_else_is_sent_or_a_revision_says_that_the_rest_will_do() {
    let mut life = without_its_pattern();
    let lost = written_off("provisional upper", "nobody found it");
    life.world.does(&anna(), lost);
    life.is("office | office:register");
    let mut other = Life {
        world: life.world.clone(),
        ordered: life.ordered.clone(),
        read: 1,
    };
    life.has(Office, &["impression"]);
    life.sends(Office, "h2", Purpose::Make, &["impression"]);
    life.takes(Lab, "h2", &["impression"]);
    life.is("lab | lab:make");
    other.signs(&[(UPPER, Stage::Process)], &[]);
    other.is("lab | lab:acknowledge");
}

#[test]
fn a_bite_that_did_not_come_beside_its_pattern_is_asked_for_and_holds_nothing_up() {
    let mut life = copying();
    life.has(Office, &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["provisional upper", "bite"]);
    let came = [
        found("provisional upper", Outcome::Sound, true),
        found("bite", Outcome::Missing, false),
    ];
    life.world.does(&tom(), received("h1", Lab, &came));
    life.states();
    life.is("lab | lab:make office:find_lost");
}

#[test]
fn new_work_is_not_fitted_while_it_stands_still_but_by_a_signed_word() {
    let mut life = to_be_made();
    life.has(Lab, &["final upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    let stopped = What::Stopped(Stopped {
        reason: "allergic to the resin".to_owned(),
        signed: under("dora"),
    });
    life.world.does(&dora(), stopped);
    life.is("on_the_way | lab:heed office:receive office:decide");
    life.takes(Office, "h2", &["final upper"]);
    life.is("office | lab:heed office:decide");
    assert!(!life.stands().to_fit);
    let fit = |exception| {
        let mut what = fitted("final upper", Some("duplicate upper"));
        if let What::Fitted(one) = &mut what {
            one.exception = exception;
        }
        what
    };
    let stands = [(CustodyRule::Stopped, "final upper")];
    life.world.expect(&dora(), &fit(None), &stands);
    life.world.expect(&dora(), &fit(signed(" ")), &stands);
    life.world.expect(&anna(), &fit(signed("needed")), &stands);
    life.world.expect(&dora(), &fit(signed("needed")), &[]);
    // What the patient had worn goes back in.
    let back = fitted("duplicate upper", None);
    let out = What::TakenOut(TakenOut {
        tag: tag("duplicate upper"),
        exception: signed("a sore"),
    });
    life.world.does(&dora(), out);
    life.world.expect(&anna(), &back, &[]);
    let went_on = What::WentOn(WentOn {
        reason: "another resin".to_owned(),
        signed: under("dora"),
    });
    life.world.does(&dora(), went_on);
    life.is("office | office:fit office:toothless");
    life.world
        .expect(&anna(), &fitted("final upper", None), &[]);
}

#[test]
fn nothing_of_cancelled_work_is_to_be_fitted() {
    let mut life = to_be_made();
    life.has(Lab, &["final upper"]);
    // In the order of registration, as the page lists them.
    let all = ["provisional upper", "final upper", "bite"];
    life.sends(Lab, "h2", Purpose::Finished, &all);
    let cancelled = What::Cancelled(Cancelled {
        reason: "moved away".to_owned(),
        items: all
            .map(|thing| Fated {
                tag: tag(thing),
                fate: Fate::ComesBack,
                consent: None,
            })
            .to_vec(),
        signed: under("dora"),
    });
    life.world.does(&dora(), cancelled);
    life.takes(Office, "h2", &all);
    life.is("office | lab:heed office:close");
    let fit = fitted("final upper", Some("duplicate upper"));
    let stands = [(CustodyRule::Stopped, "final upper")];
    life.world.expect(&dora(), &fit, &stands);
}

#[test]
fn a_reline_that_comes_back_while_the_work_is_stopped_goes_in_again() {
    let mut life = Life::of(Arches::Lower, &[]);
    life.wears(&["final lower"]);
    life.has(Office, &["duplicate lower"]);
    life.signs(&[(LOWER, Stage::Reline)], &["final lower"]);
    life.reads();
    life.fits("duplicate lower", Some("final lower"));
    life.sends(Office, "h1", Purpose::Change, &["final lower"]);
    life.takes(Lab, "h1", &["final lower"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final lower"]);
    let stopped = What::Stopped(Stopped {
        reason: "a question".to_owned(),
        signed: under("dora"),
    });
    life.world.does(&dora(), stopped);
    life.takes(Office, "h2", &["final lower"]);
    life.is("office | lab:heed office:fit office:decide");
    life.fits("final lower", Some("duplicate lower"));
}

#[test]
fn the_lab_destroys_nothing_that_the_work_is_made_from_and_nothing_of_the_patients() {
    let mut life = to_be_made();
    let broke = |thing: &str| destroyed(thing, "dropped");
    life.world
        .expect(&tom(), &broke("bite"), &[(CustodyRule::F, "bite")]);
    life.has(Lab, &["final upper"]);
    life.world.expect(&tom(), &broke("bite"), &[]);
    // Whether the patient consents, the office knows.
    let pattern = [(CustodyRule::Right, "provisional upper")];
    life.world
        .expect(&tom(), &broke("provisional upper"), &pattern);
    life.sends(Lab, "h2", Purpose::GoingBack, &["provisional upper"]);
    life.takes(Office, "h2", &["provisional upper"]);
    life.world.expect(&anna(), &broke("provisional upper"), &[]);
}

#[test]
fn what_was_destroyed_at_the_lab_before_anything_was_made_is_missed_by_its_list() {
    let mut life = copying();
    life.has(Office, &["bite"]);
    let both = ["provisional upper", "bite"];
    life.signs(&[(UPPER, Stage::Process)], &both);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &both);
    life.takes(Lab, "h1", &both);
    life.is("lab | lab:make");
    // An entry of before this was refused.
    life.world.now_ms += MINUTE_MS;
    let at = Moment::new(life.world.now_ms, 60);
    life.world.append(&tom(), destroyed("bite", "dropped"), at);
    life.is("lab | office:write");
    let asked = [(
        Office,
        "sign a revision that says what the work is made from",
    )];
    assert_eq!(life.asks_about("bite"), asked);
    life.signs(&[(UPPER, Stage::Process)], &both[..1]);
    life.reads();
    life.is("lab | lab:make");
}

#[test]
fn a_reline_of_the_worn_final_is_ordered_and_delivered_once() {
    let mut life = worn_from_the_pattern();
    life.signs(&[(UPPER, Stage::Reline)], &[]);
    life.is("office | office:hand_over");
    life.fits("duplicate upper", Some("final upper"));
    life.is("office | office:hand_over");
    life.sends(Office, "h3", Purpose::Change, &["final upper"]);
    life.takes(Lab, "h3", &["final upper"]);
    life.reads();
    life.is("lab | lab:make");
    life.sends(Lab, "h4", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h4", &["final upper"]);
    life.is("office | office:fit");
    life.fits("final upper", Some("duplicate upper"));
    life.is("patient | lab:send_back");
    // The same once more is no second reline, and a repair is another work.
    life.signs(&[(UPPER, Stage::Reline)], &[]);
    life.is("patient | lab:send_back");
    life.signs(&[(UPPER, Stage::Repair)], &[]);
    life.is("office | office:hand_over");
}

#[test]
fn a_remake_that_was_not_delivered_stays_ordered_and_so_does_another_shade() {
    let mut life = worn_from_the_pattern();
    life.sends(
        Lab,
        "h3",
        Purpose::GoingBack,
        &["provisional upper", "bite"],
    );
    life.takes(Office, "h3", &["provisional upper", "bite"]);
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.is("patient |");
    life.asks_for_something_else();
    life.is("office | office:hand_over");
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.ordered.kind = Some(OrderKind::Remake);
    life.is("office | office:hand_over");
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.ordered
        .earlier
        .iter_mut()
        .for_each(|one| one.is_same = true);
    life.is("office | office:hand_over");
}

#[test]
fn a_remake_is_made_from_the_pattern_that_is_still_at_the_lab() {
    let mut life = worn_from_the_pattern();
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.ordered.kind = Some(OrderKind::Remake);
    life.is("lab | lab:acknowledge");
    life.reads();
    life.is("lab | lab:make");
    // Or from all that is listed.
    let mut life = worn_from_the_pattern();
    life.sends(Lab, "h3", Purpose::GoingBack, &["provisional upper"]);
    life.takes(Office, "h3", &["provisional upper"]);
    life.signs(&[(UPPER, Stage::Process)], &["bite"]);
    life.ordered.kind = Some(OrderKind::Remake);
    life.is("lab | lab:acknowledge");
}

#[test]
fn a_try_in_at_the_office_goes_to_the_lab_before_the_final_is_made() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["impression"]);
    life.signs(&[(UPPER, Stage::TryIn)], &[]);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &["impression"]);
    life.takes(Lab, "h1", &["impression"]);
    life.has(Lab, &["try-in upper"]);
    life.sends(Lab, "h2", Purpose::Trial, &["try-in upper"]);
    life.takes(Office, "h2", &["try-in upper"]);
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.reads();
    life.is("office | office:hand_over");
}

#[test]
fn only_what_came_from_the_other_side_goes_back_there() {
    let mut life = to_be_made();
    life.has(Lab, &["final upper"]);
    life.world.does(&tom(), disinfected("final upper"));
    for purpose in [Purpose::GoingBack, Purpose::Stray] {
        let back = |thing: &str| Life::release(Lab, "h2", purpose, &[thing], false);
        let own = [(CustodyRule::Form, "final upper")];
        life.world.expect(&tom(), &back("final upper"), &own);
    }
    // A final of an earlier entry that was sent so is delivered once it is worn.
    life.world.now_ms += MINUTE_MS;
    let at = Moment::new(life.world.now_ms, 60);
    let stray = Life::release(Lab, "h2", Purpose::Stray, &["final upper"], false);
    life.world.append(&tom(), stray, at);
    life.takes(Office, "h2", &["final upper"]);
    life.is("lab | lab:make");
    life.fits("final upper", Some("duplicate upper"));
    life.is("patient | lab:send_back");
    let mut life = copying();
    life.world.does(&anna(), disinfected("provisional upper"));
    let stray = Life::release(Office, "h1", Purpose::Stray, &["provisional upper"], false);
    let own = [(CustodyRule::Form, "provisional upper")];
    life.world.expect(&anna(), &stray, &own);
}

#[test]
fn what_the_patient_has_worn_goes_back_from_the_lab_that_made_it() {
    let mut life = worn_from_the_pattern();
    life.fits("duplicate upper", Some("final upper"));
    life.sends(Office, "h3", Purpose::Change, &["final upper"]);
    life.takes(Lab, "h3", &["final upper"]);
    life.world.does(&tom(), disinfected("final upper"));
    let back = Life::release(Lab, "h4", Purpose::GoingBack, &["final upper"], false);
    life.world.expect(&tom(), &back, &[]);
}

#[test]
fn a_parcel_of_one_arch_is_not_the_work_of_the_other_that_waits_at_the_office() {
    let mut life = Life::of(Arches::Both, &[]);
    life.signs(&[(UPPER, Stage::Process), (LOWER, Stage::Process)], &[]);
    life.reads();
    life.wears(&["provisional upper", "provisional lower"]);
    life.has(Office, &["duplicate upper", "duplicate lower"]);
    life.fits("duplicate upper", Some("provisional upper"));
    life.sends(Office, "h1", Purpose::Make, &["provisional upper"]);
    life.is("on_the_way office | lab:receive office:hand_over");
    life.takes(Lab, "h1", &["provisional upper"]);
    life.is("lab office | lab:make office:hand_over");
    life.fits("duplicate lower", Some("provisional lower"));
    life.sends(Office, "h2", Purpose::Make, &["provisional lower"]);
    life.takes(Lab, "h2", &["provisional lower"]);
    life.is("lab | lab:make");
}

#[test]
fn after_a_custom_tray_the_office_takes_its_impression_first() {
    let tray = ("photograph", ItemKind::Other, None);
    let mut life = Life::of(Arches::Upper, &[tray]);
    life.has(Office, &["impression"]);
    life.signs(&[(UPPER, Stage::Tray)], &[]);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &["impression"]);
    life.takes(Lab, "h1", &["impression"]);
    life.has(Lab, &["photograph"]);
    life.sends(Lab, "h2", Purpose::Record, &["photograph"]);
    life.takes(Office, "h2", &["photograph"]);
    life.is("office | office:try_in");
    life.signs(&[(UPPER, Stage::Rims)], &[]);
    life.reads();
    life.is("office | office:hand_over");
    life.has(Office, &["cast upper"]);
    let both = ["photograph", "cast upper"];
    life.sends(Office, "h3", Purpose::Make, &both);
    life.takes(Lab, "h3", &both);
    life.is("lab | lab:make");
}

#[test]
fn a_pattern_that_came_back_with_the_final_is_no_work_of_an_earlier_revision() {
    let mut life = to_be_made();
    life.has(Lab, &["final upper"]);
    let both = ["final upper", "provisional upper"];
    life.sends(Lab, "h2", Purpose::Finished, &both);
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.takes(Office, "h2", &both);
    let older = |life: &Life| {
        let case = life.world.case_state();
        let older = made_for_earlier(&life.ordered, &life.world.items, &case);
        older.iter().map(name).collect::<Vec<_>>()
    };
    assert_eq!(older(&life), ["final upper"]);
    life.is("office | office:weigh lab:acknowledge");
    // Once the final is worn nothing is left to be weighed.
    life.fits("final upper", Some("duplicate upper"));
    assert_eq!(older(&life), [""; 0]);
    life.is("patient | office:will_do lab:acknowledge");
}

#[test]
fn a_final_that_was_lost_and_made_again_is_found_or_written_off_by_the_lab() {
    let second = ("old upper", ItemKind::FinalDenture, UPPER);
    let mut life = to_be_made();
    let mut items = life.world.items.iter_mut();
    let item = items.find(|item| item.tag == tag(second.0)).unwrap();
    (item.kind, item.arch) = (second.1, second.2);
    life.has(Lab, &["final upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.finds("h2", "final upper", Outcome::Missing);
    life.states();
    life.is("on_the_way | lab:find_sent");
    let again = [(Lab, "find it and send it, or make it again")];
    assert_eq!(life.asks_about("final upper"), again);
    life.has(Lab, &["old upper"]);
    let all = ["old upper", "provisional upper", "bite"];
    life.sends(Lab, "h3", Purpose::Finished, &all);
    life.takes(Office, "h3", &all);
    life.is("office | office:fit");
    life.fits("old upper", Some("duplicate upper"));
    life.is("patient | lab:find_lost");
    let given_up = [(Lab, "find it, or write it off")];
    assert_eq!(life.asks_about("final upper"), given_up);
    life.world
        .does(&tom(), written_off("final upper", "nobody found it"));
    life.is("patient |");
}

#[test]
fn what_is_to_be_copied_comes_out_of_the_mouth_first() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.signs(&[(UPPER, Stage::Duplicate)], &[]);
    life.wears(&["provisional upper"]);
    life.is("office | office:hand_over");
}

#[test]
fn what_goes_back_without_a_word_on_what_is_made_next_is_asked_about_on_its_way() {
    let rims = ("old upper", ItemKind::Rims, UPPER);
    let mut life = Life::of(Arches::Upper, &[rims]);
    life.has(Office, &["impression"]);
    life.signs(&[(UPPER, Stage::Rims)], &[]);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &["impression"]);
    life.takes(Lab, "h1", &["impression"]);
    life.has(Lab, &["old upper"]);
    life.sends(Lab, "h2", Purpose::Record, &["old upper"]);
    life.takes(Office, "h2", &["old upper"]);
    life.is("office | office:try_in");
    life.sends(Office, "h3", Purpose::Make, &["old upper"]);
    life.is("on_the_way | lab:receive office:write");
    life.signs(&[(UPPER, Stage::SetUp)], &[]);
    life.is("on_the_way | lab:receive");
}

#[test]
fn an_impression_stays_at_the_lab_and_the_case_is_closed_all_the_same() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["impression"]);
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &["impression"]);
    life.takes(Lab, "h1", &["impression"]);
    life.has(Lab, &["final upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    life.fits("final upper", None);
    life.is("patient |");
    let (context, case) = (life.world.context(), life.world.case_state());
    assert!(dispositions(&context.scope(), &case).is_ok());
}

#[test]
fn in_a_closed_case_nothing_becomes_the_spare() {
    let mut life = worn_from_the_pattern();
    let all = ["provisional upper", "bite"];
    life.sends(Lab, "h3", Purpose::GoingBack, &all);
    life.takes(Office, "h3", &all);
    let spares = |life: &Life| {
        let case = life.world.case_state();
        mouth::spares(&life.world.items, &case, Arch::Upper).len()
    };
    assert_eq!(spares(&life), 1);
    let (context, case) = (life.world.context(), life.world.case_state());
    let closed = What::Closed(Closed {
        items: dispositions(&context.scope(), &case).unwrap(),
        note: String::new(),
        nothing_made: false,
        signed: under("dora"),
    });
    life.world.does(&dora(), closed);
    assert_eq!(spares(&life), 0);
}

fn lost(thing: &str) -> What {
    written_off(thing, "looked for everywhere")
}

#[test]
fn the_final_that_the_patient_has_lost_is_given_up_by_the_dentist_and_the_spare_goes_in() {
    let mut life = worn_from_the_pattern();
    let all = ["provisional upper", "bite"];
    life.sends(Lab, "h3", Purpose::GoingBack, &all);
    life.takes(Office, "h3", &all);
    life.is("patient |");
    // The arch is empty from now on: an assistant does not say so, and the lab knows nothing of it.
    let toothless = [(CustodyRule::B, "final upper")];
    life.world.expect(&anna(), &lost("final upper"), &toothless);
    let elsewhere = [(CustodyRule::A, "final upper")];
    life.world
        .expect(&tom(), &lost("final upper"), &[elsewhere[0], toothless[0]]);
    life.world.does(&dora(), lost("final upper"));
    assert_eq!(life.world.state("final upper").gone, Some(Gone::WrittenOff));
    assert!(!life.world.state("final upper").worn);
    let (items, case) = (&life.world.items, life.world.case_state());
    assert_eq!(
        mouth::worn_now(items, &case, Arch::Upper).wears,
        mouth::Wears::Nothing
    );
    // What is made now, the office says; that the patient has teeth goes before.
    life.is("office | office:toothless office:write");
    assert_eq!(
        life.asks_about("final upper"),
        [(Office, "see that the patient has teeth")]
    );
    life.fits("duplicate upper", None);
    assert_eq!(life.asks_about("final upper"), []);
    life.signs(&[(UPPER, Stage::Process)], &["provisional upper"]);
    life.ordered.kind = Some(OrderKind::Remake);
    life.is("office | office:hand_over");
    life.sends(Office, "h4", Purpose::Make, &["provisional upper"]);
    life.takes(Lab, "h4", &["provisional upper"]);
    life.reads();
    life.is("lab | lab:make");
}

#[test]
fn a_spare_that_the_patient_has_lost_is_with_the_patient_no_more() {
    let mut life = worn_from_the_pattern();
    life.world.does(&dora(), given("duplicate upper"));
    let elsewhere = [(CustodyRule::A, "duplicate upper")];
    life.world
        .expect(&tom(), &lost("duplicate upper"), &elsewhere);
    life.world.does(&anna(), lost("duplicate upper"));
    let case = life.world.case_state();
    assert_eq!(mouth::spares(&life.world.items, &case, Arch::Upper), []);
    life.is("patient | lab:send_back");
}

#[test]
fn what_the_lab_has_lost_before_anything_was_made_is_missed_and_the_case_can_end() {
    // The pattern is listed.
    let mut life = copying();
    life.has(Office, &["bite"]);
    let both = ["provisional upper", "bite"];
    life.signs(&[(UPPER, Stage::Process)], &both);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &both);
    life.takes(Lab, "h1", &both);
    life.is("lab | lab:make");
    let mut unlisted = to_be_made();
    for life in [&mut life, &mut unlisted] {
        let elsewhere = [(CustodyRule::A, "provisional upper")];
        life.world
            .expect(&anna(), &lost("provisional upper"), &elsewhere);
        life.world.does(&tom(), lost("provisional upper"));
    }
    life.is("lab | office:write");
    let asked = [(
        Office,
        "sign a revision that says what the work is made from",
    )];
    assert_eq!(life.asks_about("provisional upper"), asked);
    life.signs(&[(UPPER, Stage::Process)], &["bite"]);
    life.reads();
    life.is("lab | lab:make");
    // Listed nowhere: something else is sent.
    unlisted.is("office | office:register");
    // Once the final is made it is missed no more, and the case ends with it.
    let mut life = to_be_made();
    life.has(Lab, &["final upper"]);
    life.world.does(&tom(), lost("provisional upper"));
    life.is("lab | lab:make");
    life.sends(Lab, "h2", Purpose::Finished, &["final upper", "bite"]);
    life.takes(Office, "h2", &["final upper", "bite"]);
    life.fits("final upper", Some("duplicate upper"));
    life.is("patient |");
    let (context, case) = (life.world.context(), life.world.case_state());
    assert!(dispositions(&context.scope(), &case).is_ok());
}

#[test]
fn a_try_in_that_is_given_up_on_its_way_back_to_the_lab_is_missed_by_its_list() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["impression"]);
    life.signs(&[(UPPER, Stage::TryIn)], &[]);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &["impression"]);
    life.takes(Lab, "h1", &["impression"]);
    life.has(Lab, &["try-in upper"]);
    life.sends(Lab, "h2", Purpose::Trial, &["try-in upper"]);
    life.takes(Office, "h2", &["try-in upper"]);
    life.has(Office, &["bite"]);
    let both = ["try-in upper", "bite"];
    life.signs(&[(UPPER, Stage::Process)], &both);
    life.reads();
    life.sends(Office, "h3", Purpose::AfterTrial, &both);
    let came = [
        found("try-in upper", Outcome::Missing, false),
        found("bite", Outcome::Sound, true),
    ];
    life.world.does(&tom(), received("h3", Lab, &came));
    life.states();
    life.world.does(&anna(), lost("try-in upper"));
    assert_eq!(
        life.asks_about("try-in upper"),
        [(Office, "sign a revision without it")]
    );
}

#[test]
fn the_lab_makes_nothing_for_an_arch_that_the_case_does_not_treat() {
    let mut life = to_be_made();
    let wrong = [(CustodyRule::Form, "final lower")];
    let made = registered("final lower", Lab, false);
    life.world.expect(&tom(), &made, &wrong);
    // What lies against the work comes from the office, and a copy may be of either arch.
    life.world
        .expect(&dora(), &registered("final lower", Office, true), &[]);
    life.world
        .expect(&tom(), &registered("duplicate lower", Lab, false), &[]);
    life.has(Lab, &["final upper"]);
}

#[test]
fn the_provisional_goes_home_with_the_patient_once_the_final_is_worn() {
    let back = |thing: &str| {
        What::GivenBack(GivenBack {
            tag: tag(thing),
            pieces: 1,
        })
    };
    let mut life = copying();
    let needed = [(CustodyRule::B, "provisional upper")];
    life.world
        .expect(&anna(), &back("provisional upper"), &needed);
    life.world.does(
        &dora(),
        What::Cancelled(Cancelled {
            reason: "moved away".to_owned(),
            items: Vec::new(),
            signed: under("dora"),
        }),
    );
    life.world.expect(&anna(), &back("provisional upper"), &[]);
    let mut life = worn_from_the_pattern();
    let all = ["provisional upper", "bite"];
    life.sends(Lab, "h3", Purpose::GoingBack, &all);
    life.takes(Office, "h3", &all);
    life.world.does(&anna(), back("provisional upper"));
    life.is("patient |");
    // A copy is given as the spare, and the final is worn.
    let copy = [(CustodyRule::Form, "duplicate upper")];
    life.world.expect(&anna(), &back("duplicate upper"), &copy);
    let (context, case) = (life.world.context(), life.world.case_state());
    let ends = dispositions(&context.scope(), &case).unwrap();
    let own = ends.iter().find(|one| one.tag == tag("provisional upper"));
    assert_eq!(own.unwrap().disposition, Disposition::GivenBack);
}

#[test]
fn a_file_stays_at_the_lab_and_the_case_is_closed_all_the_same() {
    let scan = ("impression", ItemKind::Scan, UPPER);
    let mut life = Life::of(Arches::Upper, &[scan]);
    life.wears(&["provisional upper"]);
    life.has(Office, &["impression", "photograph"]);
    let files = ["impression", "photograph"];
    life.signs(&[(UPPER, Stage::Process)], &files);
    life.reads();
    let sent = Life::release(Office, "h1", Purpose::Make, &files, false);
    life.world.does(&anna(), sent);
    life.takes(Lab, "h1", &files);
    life.has(Lab, &["final upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    life.fits("final upper", Some("provisional upper"));
    life.is("patient |");
    let (context, case) = (life.world.context(), life.world.case_state());
    assert!(dispositions(&context.scope(), &case).is_ok());
}

#[test]
fn a_copy_becomes_no_spare_while_the_worn_final_is_to_be_relined() {
    let mut life = worn_from_the_pattern();
    let described = |life: &Life| {
        let case = life.world.case_state();
        mouth::spares_now(&life.ordered, &life.world.items, &case, Arch::Upper).len()
    };
    assert_eq!(described(&life), 1);
    life.signs(&[(UPPER, Stage::Reline)], &["final upper"]);
    life.is("office | office:hand_over");
    assert_eq!(described(&life), 0);
}

/// The parts of a set-up that is ordered: rims and bite go to the lab.
fn set_up_ordered() -> Life {
    let rims = [
        ("old upper", ItemKind::Rims, UPPER),
        ("old lower", ItemKind::Rims, LOWER),
        ("duplicate lower", ItemKind::TryIn, LOWER),
    ];
    let mut life = Life::of(Arches::Both, &rims);
    let listed = ["old upper", "old lower", "bite", "facebow"];
    life.has(Office, &listed);
    life.signs(&[(UPPER, Stage::TryIn), (LOWER, Stage::TryIn)], &listed);
    life.sends(Office, "h1", Purpose::Make, &listed);
    life.takes(Lab, "h1", &listed);
    life.reads();
    life
}

#[test]
fn rims_that_go_to_a_trial_are_not_the_set_up_that_is_ordered() {
    let mut life = set_up_ordered();
    life.is("lab | lab:make");
    // One rim alone: the work stays where it is made.
    life.sends(Lab, "h2", Purpose::Trial, &["old upper"]);
    life.takes(Office, "h2", &["old upper"]);
    assert!(
        life.stands()
            .waiting_for
            .iter()
            .all(|task| task.word() != "office:try_in"),
        "rims are no set-up"
    );
    let mut life = set_up_ordered();
    let both = ["try-in upper", "duplicate lower"];
    life.has(Lab, &both);
    life.sends(Lab, "h2", Purpose::Trial, &both);
    life.takes(Office, "h2", &both);
    life.is("office | office:try_in");
}

/// What is sent, what for, what is ordered, and what of that is not registered.
type LeftOut<'a> = (&'a [&'a str], Purpose, &'a [(Option<Arch>, Stage)], &'a str);

#[test]
fn what_is_ordered_and_not_registered_is_asked_about_where_it_is_sent_for() {
    let life = set_up_ordered();
    let (items, case) = (&life.world.items, life.world.case_state());
    let asked = |things: &[&str], purpose: Purpose, work: &[(Option<Arch>, Stage)]| {
        let sent: Vec<Tag> = things.iter().map(|thing| tag(thing)).collect();
        let work = work.iter().map(|&(arch, stage)| OrderedWork {
            arch,
            stage,
            against_teeth: false,
        });
        let ordered = Ordered {
            work: work.collect(),
            ..life.ordered.clone()
        };
        let arches = Arches::Both.treated();
        let left = left_out(&ordered, (items, &case), arches, (&sent, purpose));
        let words = left
            .iter()
            .map(|(kind, arch)| format!("{} {}", arch.word(), kind.word()));
        words.collect::<Vec<_>>().join(", ")
    };
    let try_ins = [(UPPER, Stage::TryIn), (LOWER, Stage::TryIn)];
    let finals = [(UPPER, Stage::Process), (LOWER, Stage::Process)];
    let repair = [(UPPER, Stage::Repair)];
    let (rims, bite) = (["old upper", "old lower"], ["bite"]);
    let table: [LeftOut<'_>; 11] = [
        (
            &rims,
            Purpose::Trial,
            &try_ins,
            "upper try_in, lower try_in",
        ),
        (&rims[..1], Purpose::Trial, &try_ins, "upper try_in"),
        (
            &bite,
            Purpose::Trial,
            &try_ins,
            "upper try_in, lower try_in",
        ),
        (
            &rims,
            Purpose::Finished,
            &finals,
            "upper final_denture, lower final_denture",
        ),
        // Rims go to the chair for a record before the teeth are set; a final is tried in before it is processed.
        (&rims, Purpose::Record, &try_ins, ""),
        (&rims, Purpose::Trial, &finals, ""),
        (&rims, Purpose::GoingBack, &try_ins, ""),
        (&rims, Purpose::Stray, &try_ins, ""),
        (&rims, Purpose::Other, &try_ins, ""),
        (&rims, Purpose::Finished, &repair, ""),
        (&rims, Purpose::Finished, &[], ""),
    ];
    for (things, purpose, work, expected) in table {
        assert_eq!(
            asked(things, purpose, work),
            expected,
            "{purpose:?} {work:?}"
        );
    }
}

#[test]
fn what_is_ordered_is_registered_before_it_is_handed_over() {
    let mut life = set_up_ordered();
    let nothing = |life: &Life| {
        let (items, arches) = (&life.world.items, Arches::Both.treated());
        is_nothing_registered(&life.ordered, items, &life.world.case_state(), arches)
    };
    assert!(nothing(&life));
    life.has(Lab, &["try-in upper"]);
    assert!(!nothing(&life));
    life.signs(&[(UPPER, Stage::Repair), (LOWER, Stage::Repair)], &[]);
    assert!(!nothing(&life), "a repair is registered already");
}

#[test]
fn the_reason_for_sending_follows_from_what_is_signed() {
    let usual = |life: &Life, side: Side| {
        let case = life.world.case_state();
        usual_purpose(&life.ordered, &life.world.items, &case, side)
    };
    let table = [
        (Stage::Repair, Some(Purpose::Repair)),
        (Stage::Reline, Some(Purpose::Change)),
        (Stage::Rebase, Some(Purpose::Change)),
        (Stage::Remount, Some(Purpose::Remount)),
        (Stage::Duplicate, Some(Purpose::Duplicate)),
        (Stage::Process, Some(Purpose::Make)),
        (Stage::Rims, Some(Purpose::Make)),
        (Stage::Reset, Some(Purpose::AfterTrial)),
    ];
    for (stage, purpose) in table {
        let mut life = Life::of(Arches::Upper, &[]);
        life.has(Office, &["final upper"]);
        assert_eq!(usual(&life, Office), None, "nothing is signed");
        life.signs(&[(UPPER, stage)], &["final upper"]);
        assert_eq!(usual(&life, Office), purpose, "{stage:?}");
        assert_eq!(
            usual(&life, Lab),
            None,
            "{stage:?}: nothing is with the lab"
        );
    }
    // Different reasons: nobody is told which.
    let mut life = Life::of(Arches::Both, &[]);
    life.signs(&[(UPPER, Stage::Repair), (LOWER, Stage::Process)], &[]);
    assert_eq!(usual(&life, Office), None);
    // What was repaired is what goes back, and so is what was made; what was sent along is neither.
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["final upper", "bite"]);
    life.signs(&[(UPPER, Stage::Repair)], &["final upper"]);
    life.sends(Office, "h1", Purpose::Repair, &["final upper", "bite"]);
    life.takes(Lab, "h1", &["final upper", "bite"]);
    let work = |life: &Life| {
        let case = life.world.case_state();
        let work = work_in_hand(&life.ordered, &life.world.items, &case);
        work.iter().map(name).collect::<Vec<_>>()
    };
    assert_eq!(work(&life), ["final upper"]);
    assert_eq!(usual(&life, Lab), Some(Purpose::Finished));
    let mut life = set_up_ordered();
    assert_eq!(work(&life), [] as [&str; 0]);
    assert_eq!(usual(&life, Lab), None);
    let both = ["try-in upper", "duplicate lower"];
    life.has(Lab, &both);
    assert_eq!(work(&life), ["duplicate lower", "try-in upper"]);
    assert_eq!(usual(&life, Lab), Some(Purpose::Trial));
    // Rims that the office has taken a record on are made into a set-up; a try-in is gone on with, whosever it is.
    let mut own = Life::of(Arches::Upper, &[("old upper", ItemKind::Rims, UPPER)]);
    own.has(Office, &["old upper"]);
    own.signs(&[(UPPER, Stage::SetUp)], &["old upper"]);
    assert_eq!(usual(&own, Office), Some(Purpose::Make));
    let mut own = Life::of(Arches::Upper, &[]);
    own.has(Office, &["try-in upper"]);
    own.signs(&[(UPPER, Stage::Process)], &["try-in upper"]);
    assert_eq!(usual(&own, Office), Some(Purpose::AfterTrial));
    // A spare that the lab makes beside it is no other reason.
    let with_spare = [(UPPER, Stage::Process), (UPPER, Stage::Duplicate)];
    own.signs(&with_spare, &["try-in upper"]);
    assert_eq!(usual(&own, Office), Some(Purpose::AfterTrial));
    // The try-in that was tried in goes back to be finished.
    life.sends(Lab, "h2", Purpose::Trial, &both);
    life.takes(Office, "h2", &both);
    life.signs(&[(UPPER, Stage::Process), (LOWER, Stage::Process)], &both);
    assert_eq!(usual(&life, Office), Some(Purpose::AfterTrial));
}

#[test]
fn what_is_sent_to_be_repaired_is_broken_as_listed_until_it_comes_back() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["final upper", "bite"]);
    life.signs(&[(UPPER, Stage::Repair)], &["final upper"]);
    let words = "base broken, midline: as listed";
    let broken = |life: &Life, named: &[&str], thing: &str| {
        let ordered = Ordered {
            broken: Some(ListedBreak {
                tags: named.iter().map(|thing| tag(thing)).collect(),
                places: vec![(None, "base broken, midline".to_owned())],
            }),
            ..life.ordered.clone()
        };
        let item = Item::of(&life.world.items, &tag(thing)).unwrap();
        let case = life.world.case_state();
        ordered.broken_of(item, &case)
    };
    let table = [
        (&["final upper"][..], "final upper", true),
        (&[], "final upper", true),
        (&[], "provisional upper", true),
        (&["final upper"], "provisional upper", false),
        (&["final upper", "final lower"], "final lower", true),
        (&[], "bite", false),
        (&[], "final lower", false),
        (&[], "duplicate upper", false),
    ];
    for (named, thing, is_broken) in table {
        let said = broken(&life, named, thing);
        assert_eq!(
            said.as_deref(),
            is_broken.then_some(words),
            "{named:?} {thing}"
        );
    }
    // So it is sent, so it comes: nothing is held, and nobody has to state anything.
    let mut what = Life::release(Office, "h1", Purpose::Repair, &["final upper"], false);
    if let What::Released(one) = &mut what {
        one.items[0].condition = words.to_owned();
    }
    life.world.does(&anna(), disinfected("final upper"));
    life.world.does(&anna(), what);
    life.takes(Lab, "h1", &["final upper"]);
    assert_eq!(life.world.open_holds(), []);
    life.reads();
    life.is("lab | lab:make");
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    assert_eq!(broken(&life, &[], "final upper"), None);
}

#[test]
fn a_try_in_that_became_the_final_is_not_asked_back_when_the_case_is_closed() {
    let ends = |life: &Life| {
        let context = life.world.context();
        dispositions(&context.scope(), &life.world.case_state())
    };
    let made = |is_final: bool| {
        let mut life = Life::of(Arches::Upper, &[]);
        life.has(Office, &["try-in upper"]);
        life.signs(&[(UPPER, Stage::Process)], &["try-in upper"]);
        life.sends(Office, "h1", Purpose::AfterTrial, &["try-in upper"]);
        life.takes(Lab, "h1", &["try-in upper"]);
        life.reads();
        if is_final {
            life.has(Lab, &["final upper"]);
            life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
            life.takes(Office, "h2", &["final upper"]);
            life.fits("final upper", None);
            life.is("patient |");
        }
        life
    };
    let ended = ends(&made(true)).unwrap();
    let end = ended.iter().find(|one| one.tag == tag("try-in upper"));
    assert_eq!(end.map(|one| one.disposition), Some(Disposition::UsedUp));
    // Nothing was made of it: it is the office's still.
    let undecided = ends(&made(false)).unwrap_err();
    assert!(
        undecided
            .iter()
            .any(|one| one.contains("has not come back")),
        "{undecided:?}"
    );
}

#[test]
fn rims_on_which_the_teeth_were_set_up_are_not_asked_back() {
    let mut life = Life::of(Arches::Upper, &[("old upper", ItemKind::Rims, UPPER)]);
    life.has(Office, &["old upper"]);
    life.signs(&[(UPPER, Stage::SetUp)], &["old upper"]);
    life.sends(Office, "h1", Purpose::Make, &["old upper"]);
    life.takes(Lab, "h1", &["old upper"]);
    life.reads();
    let is_asked_back = |life: &Life| {
        let context = life.world.context();
        let ended = dispositions(&context.scope(), &life.world.case_state());
        let against = ended.err().unwrap_or_default();
        against.iter().any(|one| one.contains("has not come back"))
    };
    assert!(is_asked_back(&life), "nothing is made on them yet");
    life.has(Lab, &["try-in upper"]);
    assert!(!is_asked_back(&life));
}

#[test]
fn work_from_files_lies_with_the_lab_once_it_is_signed() {
    let scan = ("photograph", ItemKind::Scan, None);
    let mut life = Life::of(Arches::Upper, &[scan]);
    life.has(Office, &["photograph"]);
    life.signs(&[(UPPER, Stage::TryIn)], &[]);
    // A parcel is awaited as long as anything but files is listed.
    life.is("office | office:hand_over");
    life.ordered.by_files = true;
    // A name and a hash are no file.
    life.ordered.files = vec![tag("photograph")];
    life.is("lab office | lab:acknowledge office:add_files");
    life.reads();
    life.is("lab office | office:add_files");
    // Handed over on a medium, the lab has it.
    let mut carried = life.clone();
    carried.sends(Office, "h0", Purpose::Make, &["photograph"]);
    carried.takes(Lab, "h0", &["photograph"]);
    carried.is("lab | lab:make");
    let stored = ScanFiled {
        item: Some(tag("photograph")),
        ..ScanFiled::sample()
    };
    life.world.does(&anna(), stored.into());
    life.is("lab | lab:make");
    life.has(Lab, &["try-in upper"]);
    life.sends(Lab, "h1", Purpose::Trial, &["try-in upper"]);
    life.is("on_the_way | office:receive");
    life.takes(Office, "h1", &["try-in upper"]);
    life.is("office | office:try_in");
    // What is made next is made from the try-in, which lies at the office.
    life.signs(&[(UPPER, Stage::Process)], &[]);
    life.ordered.by_files = true;
    life.is("office | office:hand_over");
    life.sends(Office, "h2", Purpose::AfterTrial, &["try-in upper"]);
    life.takes(Lab, "h2", &["try-in upper"]);
    life.reads();
    life.is("lab | lab:make");
    // A denture is not repaired from a file.
    let mut life = Life::of(Arches::Upper, &[scan]);
    life.wears(&["final upper"]);
    life.has(Office, &["photograph"]);
    life.signs(&[(UPPER, Stage::Repair)], &[]);
    life.ordered.by_files = true;
    life.is("office | office:hand_over");
}

/// Common practice, no source.
#[test]
fn an_old_denture_that_came_along_by_mistake_is_sent_back_while_the_work_goes_on() {
    use crate::domain::custody::case::Step;
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["old upper", "bite"]);
    life.signs(&[(UPPER, Stage::Process)], &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["old upper", "bite"]);
    life.takes(Lab, "h1", &["old upper", "bite"]);
    let back = Task {
        side: Lab,
        step: Step::SendBack,
    };
    let is_asked = |life: &Life| life.stands().waiting_for.contains(&back);
    assert!(is_asked(&life));
    // What is listed is there to be worked from.
    let mut listed = life.clone();
    listed.ordered.enclosed.push(tag("old upper"));
    assert!(!is_asked(&listed));
    // So it is where an earlier text listed it, and the newest sends other things.
    listed.signs(&[(UPPER, Stage::Process)], &["bite"]);
    assert!(!is_asked(&listed));
    life.sends(Lab, "h2", Purpose::GoingBack, &["old upper"]);
    assert!(!is_asked(&life));
}

#[test]
fn a_spare_that_is_left_at_the_lab_is_named() {
    use Stage::{Duplicate, Process};
    let spare = ("old upper", ItemKind::Duplicate, UPPER);
    let mut life = Life::of(Arches::Upper, &[spare]);
    life.wears(&["provisional upper"]);
    life.has(Office, &["bite"]);
    life.signs(&[(UPPER, Process), (UPPER, Duplicate)], &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["bite"]);
    life.takes(Lab, "h1", &["bite"]);
    life.reads();
    life.is("lab | lab:make");
    life.has(Lab, &["final upper"]);
    life.packs(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.is("lab | lab:pick_up lab:make_spare");
    life.world
        .does(&tom(), picked_up("h2", &["final upper"], 1));
    life.is("on_the_way lab | office:receive lab:make_spare");
    life.takes(Office, "h2", &["final upper"]);
    life.is("lab office | office:fit lab:make_spare");
    life.fits("final upper", Some("provisional upper"));
    life.is("lab patient | lab:make_spare");
    life.has(Lab, &["old upper"]);
    assert_eq!(life.usual(Lab), Some(Purpose::Finished));
    life.sends(Lab, "h3", Purpose::Finished, &["old upper"]);
    life.is("on_the_way patient | office:receive");
    // It is for no mouth: the final is worn.
    life.takes(Office, "h3", &["old upper"]);
    life.is("office patient | office:give_spare");
    life.world.does(&dora(), given("old upper"));
    life.is("patient | lab:send_back");
    life.world.does(&anna(), lost("old upper"));
    life.is("patient | office:spare_lost lab:send_back");
    let other = (
        Office,
        "sign a revision that orders another, or one without it",
    );
    assert_eq!(life.asks_about("old upper"), [other]);
    // None is wanted: of the rest the same is said.
    life.signs(&[(UPPER, Process)], &["bite"]);
    let earlier = life.ordered.earlier.iter_mut();
    earlier.for_each(|one| one.is_same = true);
    life.reads();
    life.is("patient | lab:send_back");
    // A duplicate that is all that is ordered is the work.
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["bite"]);
    life.signs(&[(UPPER, Duplicate)], &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["bite"]);
    life.takes(Lab, "h1", &["bite"]);
    life.reads();
    life.is("lab | lab:make");
}

#[test]
fn a_spare_of_what_has_left_is_made_at_the_lab_and_nothing_more_is_handed_over() {
    use Stage::{Duplicate, Process};
    let spare = ("old upper", ItemKind::Duplicate, UPPER);
    let mut life = Life::of(Arches::Upper, &[spare]);
    let sent = ["provisional upper", "bite"];
    life.has(Office, &sent);
    life.has(Office, &["duplicate upper"]);
    life.fits("duplicate upper", None);
    life.signs(&[(UPPER, Process), (UPPER, Duplicate)], &sent);
    life.sends(Office, "h1", Purpose::Make, &sent);
    life.takes(Lab, "h1", &sent);
    life.reads();
    life.has(Lab, &["final upper"]);
    // The final goes, and all that it was made from goes after it.
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    life.sends(Lab, "h3", Purpose::GoingBack, &sent);
    life.is("lab office | office:receive office:fit lab:make_spare");
    life.takes(Office, "h3", &sent);
    life.is("lab office | office:fit lab:make_spare");
    life.fits("final upper", Some("duplicate upper"));
    life.is("lab patient | lab:make_spare");
    life.has(Lab, &["old upper"]);
    life.sends(Lab, "h4", Purpose::Finished, &["old upper"]);
    life.is("on_the_way patient | office:receive");
    life.takes(Office, "h4", &["old upper"]);
    life.is("office patient | office:give_spare");
    // A copy that a newer revision orders needs something to be copied.
    life.signs(&[(UPPER, Duplicate)], &[]);
    life.ordered.kind = Some(OrderKind::Remake);
    assert!(
        !life
            .stands()
            .waiting_for
            .iter()
            .any(|task| task.side == Lab)
    );
}

/// Of one moment the order of the entries tells what came first: that a denture was registered as worn is no wearing since it
/// came back.
#[test]
fn what_was_worn_before_it_left_at_the_same_moment_is_fitted_when_it_comes_back() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.wears(&["final upper"]);
    life.has(Office, &["duplicate upper"]);
    life.fits("duplicate upper", Some("final upper"));
    life.signs(&[(UPPER, Stage::Repair)], &["final upper"]);
    life.sends(Office, "h1", Purpose::Repair, &["final upper"]);
    life.takes(Lab, "h1", &["final upper"]);
    life.reads();
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    life.is("office | office:fit");
    let first = life.world.events[0].at;
    for event in &mut life.world.events {
        (event.at, event.entered_at) = (first, first);
    }
    life.ordered.since = Some(first);
    life.is("office | office:fit");
    life.fits("final upper", Some("duplicate upper"));
    life.is("patient |");
}

/// The final upper is made from the bite record, and has come to the office.
fn final_came() -> Life {
    let mut life = Life::of(Arches::Upper, &[]);
    life.wears(&["provisional upper"]);
    life.has(Office, &["bite"]);
    life.signs(&[(UPPER, Stage::Process)], &["bite"]);
    life.sends(Office, "h1", Purpose::Make, &["bite"]);
    life.takes(Lab, "h1", &["bite"]);
    life.reads();
    life.has(Lab, &["final upper"]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h2", &["final upper"]);
    life
}

#[test]
fn what_the_office_finds_not_as_asked_is_sent_back_or_used_as_it_is() {
    use FitVerdict::{AsAsked, NotAsAsked};
    let mut life = final_came();
    life.is("office | office:fit");
    // Of the other jaw, and of what cannot be told, nothing follows.
    life.checks(FitValue::PlanePad, NotAsAsked);
    life.checks(FitValue::Shade, FitVerdict::CannotTell);
    life.is("office | office:fit");
    life.checks(FitValue::Ovd, NotAsAsked);
    life.is("office | office:not_as_asked");
    let asked = [(Office, "send it back, or use it as it is")];
    assert_eq!(life.asks_about("final upper"), asked);
    assert!(
        life.whys()
            .iter()
            .any(|why| why.ends_with("OVD: not as asked"))
    );
    assert_eq!(life.usual(Office), Some(Purpose::Change));
    // Another look, and the last word counts.
    life.checks(FitValue::Ovd, AsAsked);
    life.is("office | office:fit");
    life.checks(FitValue::Ovd, NotAsAsked);
    // It is set right to the same prescription: nothing is to be written.
    life.sends(Office, "h3", Purpose::Change, &["final upper"]);
    life.is("on_the_way | lab:receive");
    life.takes(Lab, "h3", &["final upper"]);
    life.is("lab | lab:make");
    let asked = [(Lab, "set it right, and hand it back")];
    assert_eq!(life.asks_about("final upper"), asked);
    assert!(life.was_sent_back());
    life.sends(Lab, "h4", Purpose::Finished, &["final upper"]);
    life.takes(Office, "h4", &["final upper"]);
    assert!(!life.was_sent_back());
    assert_eq!(life.asks_about("final upper"), []);
    life.is("office | office:fit");
    life.checks(FitValue::Ovd, NotAsAsked);
    life.fits("final upper", Some("provisional upper"));
    life.is("patient | lab:send_back");
    // What is worn is checked, too, and nobody takes it out for that.
    life.checks(FitValue::Ovd, NotAsAsked);
    life.is("patient | lab:send_back");
}

#[test]
fn at_a_try_in_the_office_says_itself_what_is_to_change() {
    let mut life = set_up_ordered();
    life.has(Lab, &["try-in upper"]);
    let before = |life: &Life| {
        let tasks = life.stands().waiting_for;
        tasks.into_iter().map(Task::word).collect::<Vec<_>>()
    };
    life.sends(Lab, "h2", Purpose::Trial, &["try-in upper"]);
    life.takes(Office, "h2", &["try-in upper"]);
    let was = before(&life);
    assert!(was.contains(&"office:try_in".to_owned()), "{was:?}");
    life.checks(FitValue::Ovd, FitVerdict::NotAsAsked);
    assert_eq!(before(&life), was);
}

#[test]
fn what_is_done_and_sent_again_waits_for_a_prescription() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["final upper"]);
    life.signs(&[(UPPER, Stage::Repair)], &["final upper"]);
    let all = ["final upper"];
    assert_eq!(life.asked_before(Purpose::Repair, &all), []);
    life.sends(Office, "h1", Purpose::Repair, &all);
    life.takes(Lab, "h1", &all);
    life.reads();
    life.is("lab | lab:make");
    life.sends(Lab, "h2", Purpose::Finished, &all);
    life.takes(Office, "h2", &all);
    life.is("office | office:fit");
    // Asked before it leaves, and no reason stands there by itself; what goes for alteration the case itself asks about.
    let asked = |purpose| life.asked_before(purpose, &all);
    assert_eq!(asked(Purpose::Repair), [NotAskedFor::Done]);
    assert_eq!(asked(Purpose::Change), []);
    assert_eq!(asked(Purpose::Stray), []);
    assert_eq!(life.usual(Office), None);
    life.sends(Office, "h3", Purpose::Repair, &all);
    life.is("on_the_way | lab:receive office:write");
    life.takes(Lab, "h3", &all);
    life.is("lab | office:write");
    assert_eq!(life.usual(Lab), None);
    life.sends(Lab, "h4", Purpose::Stray, &all);
    life.takes(Office, "h4", &all);
    life.is("office | office:fit");
    // What came damaged goes back without a word.
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &all);
    life.signs(&[(UPPER, Stage::Repair)], &all);
    life.sends(Office, "h1", Purpose::Repair, &all);
    life.takes(Lab, "h1", &all);
    life.reads();
    life.sends(Lab, "h2", Purpose::Finished, &all);
    life.finds("h2", "final upper", Outcome::Damaged);
    life.states();
    assert_eq!(life.asked_before(Purpose::Repair, &all), []);
}

#[test]
fn an_old_denture_that_no_list_names_is_asked_about() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["old upper", "bite"]);
    let both = ["old upper", "bite"];
    assert_eq!(
        life.asked_before(Purpose::Make, &both),
        [],
        "nothing is signed"
    );
    life.signs(&[(UPPER, Stage::Process)], &["bite"]);
    let table = [
        (Purpose::Make, &[NotAskedFor::Unlisted][..]),
        (Purpose::Change, &[NotAskedFor::Unlisted]),
        (Purpose::GoingBack, &[]),
        (Purpose::Other, &[]),
    ];
    for (purpose, asked) in table {
        assert_eq!(life.asked_before(purpose, &both), asked, "{purpose:?}");
    }
    life.signs(&[(UPPER, Stage::Process)], &both);
    assert_eq!(life.asked_before(Purpose::Make, &both), []);
}

#[test]
fn what_was_never_packed_is_listed_as_that() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["impression", "bite"]);
    let both = ["impression", "bite"];
    life.signs(&[(UPPER, Stage::Process)], &both);
    life.reads();
    life.sends(Office, "h1", Purpose::Make, &both);
    let came = [
        found("impression", Outcome::Sound, true),
        found("bite", Outcome::Missing, true),
    ];
    life.world.does(&mara(), received("h1", Lab, &came));
    let hold = life.world.open_holds().remove(0);
    life.world.does(&dora(), not_packed(resolution(&hold)));
    let why = "Listed as enclosed in revision 1, and was not packed";
    assert_eq!(life.whys(), [why]);
    // Sent after that, and sent back damaged: it was there.
    life.sends(Office, "h2", Purpose::Make, &["bite"]);
    life.takes(Lab, "h2", &["bite"]);
    assert_eq!(life.whys(), [] as [&str; 0]);
}

#[test]
fn what_came_unannounced_is_told_before_other_trouble_of_the_same_parcel() {
    let mut life = set_up_ordered();
    life.has(Lab, &["try-in upper"]);
    life.sends(Lab, "h2", Purpose::Trial, &["try-in upper"]);
    let damaged = found("try-in upper", Outcome::Damaged, true);
    let mut came = received("h2", Office, &[damaged]);
    if let What::Received(one) = &mut came {
        one.items[0].note = "a tooth is off".to_owned();
        one.unannounced = "a shade tab".to_owned();
    }
    life.world.does(&dora(), came);
    let (context, case) = (life.world.context(), life.world.case_state());
    let day = Moment::new(life.world.now_ms, 60).date();
    let all = waits(&context, &case, &life.ordered, &life.stands(), day);
    assert_eq!(all[0].why, "An unlisted item was in the parcel");
    assert!(all.iter().any(|one| one.why.contains("damaged")), "{all:?}");
}

#[test]
fn what_only_came_along_holds_nothing_up() {
    let mut life = set_up_ordered();
    life.has(Lab, &["try-in upper"]);
    life.sends(Lab, "h2", Purpose::Trial, &["try-in upper"]);
    let mut came = received("h2", Office, &[found("try-in upper", Outcome::Sound, true)]);
    if let What::Received(one) = &mut came {
        one.unannounced = "a shade tab".to_owned();
    }
    life.world.does(&dora(), came);
    let stands = life.stands();
    assert_eq!(stands.held, None);
    let tasks: Vec<String> = stands.waiting_for.into_iter().map(Task::word).collect();
    assert!(tasks.contains(&"lab:resolve".to_owned()), "{tasks:?}");
    assert!(tasks.contains(&"office:try_in".to_owned()), "{tasks:?}");
    let (context, case) = (life.world.context(), life.world.case_state());
    let day = Moment::new(life.world.now_ms, 60).date();
    let all = waits(&context, &case, &life.ordered, &life.stands(), day);
    let beside = all.iter().filter(|one| one.beside);
    let words: Vec<&str> = beside.map(|one| one.why.as_str()).collect();
    assert_eq!(words, ["An unlisted item was in the parcel"]);
    life.states();
    assert!(
        !life
            .stands()
            .waiting_for
            .iter()
            .any(|one| one.word() == "lab:resolve")
    );
}

#[test]
fn what_is_wanted_back_with_the_work_goes_with_it() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["bite", "impression", "parts"]);
    let all = ["bite", "impression", "parts"];
    life.signs(&[(UPPER, Stage::Process)], &all);
    life.sends(Office, "h1", Purpose::Make, &all);
    life.takes(Lab, "h1", &all);
    life.reads();
    life.has(Lab, &["cast upper", "final upper"]);
    let along = |life: &Life| {
        let case = life.world.case_state();
        let tags = to_go_with_the_work(&life.ordered, &life.world.items, &case);
        tags.iter().map(name).collect::<Vec<_>>()
    };
    assert_eq!(along(&life), [] as [&str; 0], "nothing says so");
    life.ordered.with_the_work = WithTheWork {
        kinds: vec![ItemKind::BiteRecord],
        tags: vec![tag("parts")],
    };
    let mut found = along(&life);
    found.sort_unstable();
    assert_eq!(found, ["bite", "parts"]);
    let left = |life: &Life, sent: &[&str], purpose| {
        let sent: Vec<Tag> = sent.iter().map(|thing| tag(thing)).collect();
        let case = life.world.case_state();
        let of = (&life.world.items[..], &case);
        let tags = back_left_out(&life.ordered, of, &[Arch::Upper], (&sent, purpose));
        tags.iter().map(name).collect::<Vec<_>>()
    };
    let mut left_out = left(&life, &["final upper"], Purpose::Finished);
    left_out.sort_unstable();
    assert_eq!(left_out, ["bite", "parts"]);
    let all = ["final upper", "bite", "parts"];
    assert_eq!(left(&life, &all, Purpose::Finished), [""; 0]);
    // What goes before the final does takes nothing along.
    assert_eq!(left(&life, &["cast upper"], Purpose::Trial), [""; 0]);
    life.sends(Lab, "h2", Purpose::Finished, &["final upper", "bite"]);
    assert_eq!(along(&life), ["parts"]);
}

/// What the lab has in hand that goes with the work.
fn goes_with_the_work(life: &Life) -> Vec<&'static str> {
    let case = life.world.case_state();
    let tags = to_go_with_the_work(&life.ordered, &life.world.items, &case);
    tags.iter().map(name).collect()
}

#[test]
fn what_was_copied_goes_back_with_its_copy() {
    let copies = [
        ("old upper", ItemKind::Duplicate, UPPER),
        ("old lower", ItemKind::Duplicate, LOWER),
    ];
    let mut life = Life::of(Arches::Both, &copies);
    let finals = ["final upper", "final lower"];
    life.has(Office, &finals);
    let works = [(UPPER, Stage::Duplicate), (LOWER, Stage::Duplicate)];
    life.signs(&works, &finals);
    life.sends(Office, "h1", Purpose::Duplicate, &finals);
    life.takes(Lab, "h1", &finals);
    life.reads();
    life.has(Lab, &["old upper", "old lower"]);
    let left = |life: &Life, sent: &[&str]| {
        let sent: Vec<Tag> = sent.iter().map(|thing| tag(thing)).collect();
        let case = life.world.case_state();
        let tags = copied_left_out(&life.ordered, (&life.world.items, &case), &sent);
        tags.iter().map(name).collect::<Vec<_>>()
    };
    assert_eq!(goes_with_the_work(&life), finals);
    assert_eq!(left(&life, &["old upper"]), ["final upper"]);
    assert_eq!(left(&life, &["old upper", "final upper"]), [""; 0]);
    // What the text leaves at the lab is not asked for.
    life.ordered.stays.pattern = true;
    assert_eq!(goes_with_the_work(&life), [""; 0]);
    assert_eq!(left(&life, &["old upper"]), [""; 0]);
    life.ordered.stays.pattern = false;
    // The copy has left: its pattern is waited for, whether the copy was in the mouth or not.
    let is_asked = |life: &Life| {
        let tasks = life.stands().waiting_for;
        tasks.iter().any(|one| one.word() == "lab:send_back")
    };
    assert!(!is_asked(&life));
    life.sends(Lab, "h2", Purpose::Finished, &["old upper"]);
    assert!(is_asked(&life));
    life.takes(Office, "h2", &["old upper"]);
    assert!(is_asked(&life));
    let rest = ["final upper", "final lower", "old lower"];
    life.sends(Lab, "h3", Purpose::Finished, &rest);
    assert!(!is_asked(&life));
}

#[test]
fn what_a_spare_is_made_beside_is_no_pattern_of_it() {
    let spare = ("old upper", ItemKind::Duplicate, UPPER);
    let mut life = Life::of(Arches::Upper, &[spare]);
    let sent = ["provisional upper", "bite"];
    life.has(Office, &sent);
    life.has(Office, &["duplicate upper"]);
    life.fits("duplicate upper", None);
    let works = [(UPPER, Stage::Process), (UPPER, Stage::Duplicate)];
    life.signs(&works, &sent);
    life.sends(Office, "h1", Purpose::Make, &sent);
    life.takes(Lab, "h1", &sent);
    life.reads();
    life.has(Lab, &["final upper", "old upper"]);
    assert_eq!(goes_with_the_work(&life), [""; 0]);
    // A denture that is named as the pattern is one, whatever its kind.
    life.ordered.patterns = vec![tag("provisional upper")];
    let mut items = life.world.items.iter_mut();
    let item = items.find(|item| item.tag == tag("provisional upper"));
    item.unwrap().kind = ItemKind::OldDenture;
    assert_eq!(goes_with_the_work(&life), [""; 0]);
    life.ordered.with_the_work.kinds = vec![ItemKind::Provisional];
    assert_eq!(goes_with_the_work(&life), ["provisional upper"]);
}

#[test]
fn what_is_lent_and_wanted_back_by_a_day_goes_once_it_has_served() {
    let mut life = Life::of(Arches::Upper, &[]);
    let sent = ["bite", "facebow"];
    life.has(Office, &sent);
    life.signs(&[(UPPER, Stage::Process)], &sent);
    life.sends(Office, "h1", Purpose::Make, &sent);
    life.takes(Lab, "h1", &sent);
    life.reads();
    let day = Moment::new(MONDAY_MS, 60).date();
    // The facebow alone is borrowed.
    for thing in sent {
        life.ordered.wanted_back.insert(tag(thing), day);
    }
    assert_eq!(goes_with_the_work(&life), ["facebow"]);
    // A try-in comes back, and it may be needed then: its own day says.
    for work in &mut life.ordered.work {
        work.stage = Stage::TryIn;
    }
    assert_eq!(goes_with_the_work(&life), [""; 0]);
    life.ordered.wanted = day.previous_day();
    assert_eq!(goes_with_the_work(&life), [""; 0]);
    life.ordered.wanted = Some(day);
    assert_eq!(goes_with_the_work(&life), ["facebow"]);
}

#[test]
fn of_cancelled_work_what_comes_back_is_what_goes() {
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["bite", "impression"]);
    life.signs(&[(UPPER, Stage::Process)], &["bite", "impression"]);
    life.sends(Office, "h1", Purpose::Make, &["bite", "impression"]);
    life.takes(Lab, "h1", &["bite", "impression"]);
    let here = |life: &Life| {
        let case = life.world.case_state();
        let tags = to_send_back(&life.world.items, &case);
        tags.iter().map(name).collect::<Vec<_>>()
    };
    assert_eq!(here(&life), [] as [&str; 0]);
    let fate = |thing: &str, fate| Fated {
        tag: tag(thing),
        fate,
        consent: Some(true),
    };
    let cancelled = What::Cancelled(Cancelled {
        reason: "moved away".to_owned(),
        items: vec![
            fate("bite", Fate::ComesBack),
            fate("impression", Fate::Scrapped),
        ],
        signed: under("dora"),
    });
    life.world.does(&dora(), cancelled);
    assert_eq!(here(&life), ["bite"]);
    assert_eq!(life.usual(Lab), Some(Purpose::GoingBack));
    assert_eq!(life.usual(Office), None);
}

#[test]
fn what_the_lab_makes_next_is_registered_first_only_where_it_is_something_new() {
    let registered = |life: &Life| {
        let case = life.world.case_state();
        is_registered(&life.ordered, &life.world.items, &case, &[Arch::Upper])
    };
    // A repair is done to what is there.
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["final upper"]);
    life.signs(&[(UPPER, Stage::Repair)], &["final upper"]);
    life.sends(Office, "h1", Purpose::Repair, &["final upper"]);
    life.takes(Lab, "h1", &["final upper"]);
    life.reads();
    assert!(registered(&life));
    // A try-in is no final.
    let mut life = Life::of(Arches::Upper, &[]);
    life.has(Office, &["try-in upper"]);
    life.signs(&[(UPPER, Stage::Process)], &["try-in upper"]);
    life.sends(Office, "h1", Purpose::AfterTrial, &["try-in upper"]);
    life.takes(Lab, "h1", &["try-in upper"]);
    life.reads();
    assert!(!registered(&life));
    life.has(Lab, &["final upper"]);
    assert!(registered(&life));
}
