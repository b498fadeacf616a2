//! The bench: pan and technician, steps that are done, and entries that were mistakes.

use super::*;
use crate::domain::custody::agenda::OrderedWork;
use crate::domain::custody::bench::BenchPiece;
use crate::domain::prescription::{Course, OrderKind, Stage};
use CustodyRule::{A, Form, Held, I, J, Question as Waiting, Right, Stopped as IsStopped};

/// A piece of a course with nothing special about it.
fn piece_of(arch: Option<Arch>, course: Course) -> BenchPiece {
    BenchPiece {
        arch,
        course,
        by_machine: false,
        without_remount: false,
        to_new_height: false,
    }
}

fn assigned(pan: &str, technician: Option<&str>) -> What {
    What::Assigned(Assigned {
        pan: pan.to_owned(),
        technician: technician.map(AccountId::new),
    })
}

fn worked(step: BenchStep, arches: Arches) -> What {
    What::Worked(Worked {
        step,
        revision: 1,
        minutes: Some(30),
        ..Worked::sample(arches)
    })
}

fn flasked(photographed: Option<bool>, no_photo: &str) -> What {
    match worked(BenchStep::Flasked, Arches::Both) {
        What::Worked(one) => What::Worked(Worked {
            photographed,
            no_photo: no_photo.to_owned(),
            ..one
        }),
        other => other,
    }
}

fn undone(event: &EventId, reason: &str) -> What {
    What::Undone(Undone {
        event: event.clone(),
        reason: reason.to_owned(),
    })
}

fn last_entry(world: &World) -> EventId {
    world.case_state().bench.last().unwrap().event.clone()
}

#[test]
fn the_lab_gives_out_its_pans_and_its_work_and_a_closed_case_has_none() {
    let mut world = at_the_lab();
    world.expect(&anna(), &assigned("14", None), &[(Right, "")]);
    world.does(&tom(), assigned("14", Some("tom")));
    world.does(&mara(), assigned("14", Some("mara")));
    let now = world.case_state().assigned.unwrap();
    assert_eq!(
        (now.pan.as_str(), now.technician),
        ("14", Some("mara".into()))
    );
    // Of an erased pan nothing is left that another case could not have.
    world.does(&mara(), assigned(ERASED, None));
    assert_eq!(world.case_state().assigned.unwrap().pan, "");
    let mut state = world.case_state();
    let at = Moment::new(world.now_ms, 60);
    let event = Event {
        id: EventId::new("end"),
        case: world.events[0].case.clone(),
        at,
        entered_at: at,
        by: dora(),
        paper: None,
        by_code: None,
        what: What::Closed(Closed {
            items: Vec::new(),
            note: String::new(),
            nothing_made: false,
            signed: Signed {
                name: "dora".to_owned(),
                licence: String::new(),
                meaning: String::new(),
            },
        }),
    };
    state.add(&event, &world.events);
    assert_eq!(state.assigned, None);
}

#[test]
fn the_name_of_the_technician_is_in_no_description() {
    let mut world = at_the_lab();
    world.does(&mara(), assigned("B-3", Some("account-of-tom")));
    let event = world.events.last().unwrap();
    let words = describe(&world.items, event);
    assert_eq!(
        words.what,
        "At the lab: pan B-3, taken over by a technician of the lab"
    );
    assert!(words.details.is_empty());
}

#[test]
fn the_lab_enters_what_is_done_once_something_has_come() {
    let mount = worked(BenchStep::Mounted, Arches::Both);
    World::bare(Arches::Both).expect(&tom(), &mount, &[(A, "")]);
    let mut world = at_the_lab();
    world.expect(&anna(), &mount, &[(Right, "")]);
    world.does(&tom(), mount);
    let case = world.case_state();
    assert_eq!(case.bench.len(), 1);
    assert!(case.bench[0].by.starts_with("tom"));
}

#[test]
fn what_is_made_from_files_has_come_with_the_text_that_lists_them() {
    let mount = worked(BenchStep::Mounted, Arches::Both);
    let world = World::bare(Arches::Both);
    let at = Moment::new(world.now_ms, 60);
    for by_files in [false, true] {
        let context = Context {
            by_files,
            ..world.context()
        };
        let refused = allow_entered(&context, &mount, &tom(), at, at);
        assert_eq!(refused.is_empty(), by_files, "{refused:?}");
    }
}

#[test]
fn nothing_is_flasked_without_a_photograph_or_the_reason_why_not() {
    let mut world = at_the_lab();
    for (photographed, no_photo) in [(None, ""), (Some(false), " ")] {
        let what = flasked(photographed, no_photo);
        world.expect(&tom(), &what, &[(Form, "")]);
    }
    world.does(&tom(), flasked(Some(false), "the camera is broken"));
    world.does(&tom(), flasked(Some(true), ""));
}

/// The lab asks, and its work waits.
fn asked() -> What {
    What::Asked(Asked {
        matter: Matter::Unclear,
        from: Side::Lab,
        section: None,
        line: None,
        item: None,
        step: None,
        revision: 1,
        text: "which height holds".to_owned(),
        waits: true,
        picture: None,
    })
}

#[test]
fn work_waits_while_the_case_stands_still_or_waits_for_an_answer() {
    let mut world = at_the_lab();
    let mount = worked(BenchStep::Mounted, Arches::Both);
    world.does(&tom(), asked());
    world.expect(&tom(), &mount, &[(Waiting, "")]);
    let question = world.case_state().questions[0].event.clone();
    world.does(
        &anna(),
        What::Answered(Answered {
            question,
            text: "the pattern's".to_owned(),
            taken_back: false,
            picture: None,
            revision_follows: false,
        }),
    );
    let signed = Signed {
        name: "dora".to_owned(),
        licence: String::new(),
        meaning: String::new(),
    };
    let reason = "the patient is ill".to_owned();
    world.does(&dora(), What::Stopped(Stopped { reason, signed }));
    world.expect(&tom(), &mount, &[(IsStopped, "")]);
    // The pan is no work.
    world.does(&tom(), assigned("7", None));
}

#[test]
fn what_is_on_hold_keeps_its_own_arch_from_the_bench() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["impression", "bite"]);
    let found = [
        found("impression", Outcome::Damaged, true),
        found("bite", Outcome::Sound, true),
    ];
    world.does(&tom(), received("h1", Side::Lab, &found));
    let pour = |arches| worked(BenchStep::CastPoured, arches);
    for arches in [Arches::Upper, Arches::Both] {
        world.expect(&tom(), &pour(arches), &[(Held, "impression")]);
    }
    world.does(&tom(), pour(Arches::Lower));
}

#[test]
fn an_entry_that_was_a_mistake_counts_for_nothing_and_is_withdrawn_once() {
    let mut world = at_the_lab();
    world.does(&tom(), worked(BenchStep::Mounted, Arches::Both));
    world.does(&tom(), worked(BenchStep::SetUp, Arches::Upper));
    let entry = last_entry(&world);
    let first = world.events[0].id.clone();
    world.expect(&anna(), &undone(&entry, "wrong case"), &[(Right, "")]);
    world.expect(&tom(), &undone(&entry, " "), &[(Form, "")]);
    // What is about a thing has its own way to be withdrawn.
    world.expect(&tom(), &undone(&first, "wrong case"), &[(J, "")]);
    // Whoever of the lab has seen it.
    world.does(&mara(), undone(&entry, "wrong case"));
    let case = world.case_state();
    let steps: Vec<BenchStep> = case.bench.iter().map(|one| one.step).collect();
    assert_eq!(steps, [BenchStep::Mounted]);
    assert!(case.withdrawn_on(&entry).is_some());
    world.expect(&tom(), &undone(&entry, "wrong case"), &[(J, "")]);
}

#[test]
fn pan_and_technician_are_entered_in_the_order_of_time() {
    let mut world = at_the_lab();
    world.does(&tom(), assigned("14", Some("tom")));
    let before = Moment::new(MONDAY_MS, 60);
    let against = allow(&world.context(), &assigned("15", None), &tom(), before);
    assert_eq!(against.iter().map(|one| one.rule).collect::<Vec<_>>(), [I]);
}

#[test]
fn until_when_casts_are_kept_is_said_at_the_end_of_the_work_and_of_a_day_to_come() {
    let world = at_the_lab();
    let today = Moment::new(world.now_ms + MINUTE_MS, 60).date();
    let kept = |step: BenchStep, days: i64| {
        let day = today.saturating_add(time::Duration::days(days));
        match worked(step, Arches::Both) {
            What::Worked(one) => What::Worked(Worked {
                keep_until: Some(day.into()),
                ..one
            }),
            other => other,
        }
    };
    for (step, days, refused) in [
        (BenchStep::Finished, 0, false),
        (BenchStep::Finished, 365, false),
        (BenchStep::Finished, -2, true),
        (BenchStep::Finished, 40 * 365, true),
        (BenchStep::Cured, 365, true),
    ] {
        let expected: &[(CustodyRule, &str)] = if refused { &[(Form, "")] } else { &[] };
        world.expect(&tom(), &kept(step, days), expected);
    }
    // The newest word counts, and one that is withdrawn does not.
    let mut world = world;
    let kept_upper = |world: &World| world.case_state().casts_kept_until(Some(Arch::Upper));
    world.does(&tom(), kept(BenchStep::Finished, 30));
    world.does(&tom(), kept(BenchStep::Finished, 90));
    let day = |days: i64| Some(today.saturating_add(time::Duration::days(days)));
    assert_eq!(kept_upper(&world), day(90));
    let last = last_entry(&world);
    world.does(&tom(), undone(&last, "the wrong day"));
    assert_eq!(kept_upper(&world), day(30));
    world.does(&tom(), worked(BenchStep::Finished, Arches::Both));
    assert_eq!(kept_upper(&world), day(30));
}

/// Common practice, no source: what is kept of one arch says nothing of the other, and a matrix is kept whether anybody has
/// registered it or not.
#[test]
fn casts_of_each_arch_are_kept_until_its_own_day_registered_or_not() {
    use crate::domain::custody::{last_day_of_casts, unregistered_casts};
    let mut world = at_the_lab();
    let today = Moment::new(world.now_ms + MINUTE_MS, 60).date();
    let day = |days: i64| today.saturating_add(time::Duration::days(days));
    let kept = |arches: Arches, days: i64| match worked(BenchStep::Finished, arches) {
        What::Worked(one) => What::Worked(Worked {
            keep_until: Some(day(days).into()),
            ..one
        }),
        other => other,
    };
    let days = |world: &World| {
        let case = world.case_state();
        let arches = [Some(Arch::Upper), Some(Arch::Lower), None];
        arches.map(|arch| case.casts_kept_until(arch))
    };
    world.does(&tom(), kept(Arches::Upper, 90));
    assert_eq!(days(&world), [Some(day(90)), None, Some(day(90))]);
    world.does(&tom(), kept(Arches::Lower, 30));
    let each = [Some(day(90)), Some(day(30)), Some(day(90))];
    assert_eq!(days(&world), each);
    // A cast of the upper is registered there.
    let last = |world: &World| last_day_of_casts(&world.items, &world.case_state());
    let unregistered = |world: &World| {
        let found = unregistered_casts(&world.items, &world.case_state()).into_iter();
        let words = found.map(|one| (one.kind.title(Some(one.arch)), one.until));
        words.collect::<Vec<_>>()
    };
    assert_eq!(
        (last(&world), unregistered(&world)),
        (Some(day(90)), Vec::new())
    );
    world.does(&tom(), worked(BenchStep::Matrix, Arches::Lower));
    world.does(&tom(), worked(BenchStep::Remounted, Arches::Both));
    let index = (ItemKind::LabIndex.title(Some(Arch::Lower)), day(30));
    let upper = (ItemKind::RemountCast.title(Some(Arch::Upper)), day(90));
    let lower = (ItemKind::RemountCast.title(Some(Arch::Lower)), day(30));
    let all = [index.clone(), upper, lower.clone()];
    assert_eq!(unregistered(&world), all);
    // What is registered is told by that, and no more once it is gone.
    let mut items = world.items.iter_mut();
    let item = items.find(|item| item.tag == tag("try-in upper")).unwrap();
    item.kind = ItemKind::RemountCast;
    world.does(&tom(), registered("try-in upper", Side::Lab, false));
    let left = [index, lower];
    assert_eq!(unregistered(&world), left);
    world.does(&tom(), destroyed("cast upper", "broken up"));
    assert_eq!(last(&world), Some(day(90)));
    world.does(&tom(), destroyed("try-in upper", "broken up"));
    assert_eq!(unregistered(&world), left);
    // All of it may go when the last day has passed.
    assert_eq!(last(&world), Some(day(30)));
}

#[test]
fn a_code_is_enough_for_entries_of_the_bench_and_for_nothing_that_signs_or_hands_over() {
    let world = at_the_lab();
    let own = [
        worked(BenchStep::Cured, Arches::Both),
        assigned("14", None),
        undone(&EventId::new("e"), "a mistake"),
        asked(),
    ];
    for what in own {
        assert!(what.kind().is_of_the_bench(), "{what:?}");
    }
    for event in &world.events {
        assert!(!event.what.kind().is_of_the_bench(), "{event:?}");
    }
}

#[test]
fn nothing_is_proposed_for_an_arch_whose_pattern_has_not_come_or_whose_final_is_in_the_mouth() {
    use crate::domain::custody::bench::{BenchRound, ByRevision, progress};
    let mut world = World::begun();
    let ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        enclosed: vec![tag("impression"), tag("bite")],
        bench: vec![piece_of(None, Course::Finish)],
        ..Ordered::default()
    };
    let treated = [Arch::Upper, Arch::Lower];
    let deferred = |world: &World| {
        let case = world.case_state();
        deferred_arches(&ordered, &world.items, &case, &treated)
    };
    let first = |world: &World| super::to_do::drawn(world, &ordered, 1).agenda.bench;
    world.sends(&anna(), "h1", &["impression", "bite"]);
    let items = [
        found("impression", Outcome::Missing, false),
        found("bite", Outcome::Sound, true),
    ];
    world.does(&tom(), received("h1", Side::Lab, &items));
    // The impression is of the upper; what is of no arch keeps none back.
    assert_eq!(deferred(&world), [Arch::Upper]);
    let rounds = treated.map(BenchRound::first);
    let found_now =
        progress(&ordered.bench, &rounds, &[], &ByRevision::default()).without(&deferred(&world));
    let next = found_now.next().expect("a step");
    assert_eq!(next.open(), [Arch::Lower]);
    assert!(first(&world).next.is_some());
    world.does(
        &tom(),
        received(
            "h1",
            Side::Lab,
            &[found("impression", Outcome::Sound, true)],
        ),
    );
    assert_eq!(deferred(&world), []);
    world.sends(&tom(), "h2", &["final upper", "final lower"]);
    world.takes(&anna(), "h2", &["final upper", "final lower"]);
    for thing in ["final upper", "final lower"] {
        let worn = world.worn(if thing == "final upper" {
            Arch::Upper
        } else {
            Arch::Lower
        });
        world.does(&dora(), fitted(thing, worn));
    }
    assert_eq!(deferred(&world), treated);
    let case = world.case_state();
    let stands = not_ready(&ordered, &world.items, &case, Arch::Upper);
    assert_eq!(stands, Some(NotReady::InTheMouth));
    assert_eq!(first(&world).next, None);
}

#[test]
fn work_that_was_made_before_the_revision_in_force_is_asked_about_once() {
    let mut world = at_the_lab();
    let ordered = |world: &World, revision| Ordered {
        revision,
        since: Some(Moment::new(world.now_ms, 60)),
        ..Ordered::default()
    };
    let (first, second) = (ordered(&world, 1), ordered(&world, 2));
    let sent = [tag("final upper"), tag("final lower"), tag("bite")];
    let older = |world: &World, ordered: &Ordered| {
        let events = (&world.items[..], &world.events[..]);
        let found = made_before(ordered, events, &world.case_state(), &sent);
        found.iter().map(name).collect::<Vec<_>>()
    };
    assert_eq!(older(&world, &first), Vec::<&str>::new());
    assert_eq!(older(&world, &second), ["final upper", "final lower"]);
    // The lab's word that all stands is enough, until it says otherwise.
    let mut said = world.clone();
    said.does(&tom(), worked(BenchStep::SetUp, Arches::Upper));
    for (again_from, expected) in [
        (None, &["final lower"][..]),
        (Some(BenchStep::Cured), &["final upper", "final lower"]),
    ] {
        let word = What::CarriedOver(CarriedOver {
            revision: 2,
            arches: Arches::Upper,
            again_from,
        });
        said.does(&tom(), word);
        assert_eq!(older(&said, &second), expected);
    }
    // A step to that revision says the same, and so does the parcel in which it left after it.
    let mut to_it = worked(BenchStep::Finished, Arches::Upper);
    if let What::Worked(Worked { revision, .. }) = &mut to_it {
        *revision = 2;
    }
    world.does(&tom(), to_it);
    assert_eq!(older(&world, &second), ["final lower"]);
    world.sends(&tom(), "h9", &["final lower"]);
    assert_eq!(older(&world, &second), Vec::<&str>::new());
}

/// The steps that are open for the upper.
fn open_steps(world: &World, ordered: &Ordered) -> Vec<BenchStep> {
    let case = world.case_state();
    let found = at_the_bench(ordered, &world.items, &case, Arches::Upper);
    found.open().map(|line| line.step).collect()
}

/// Orders a course for the upper, a minute later.
fn orders(world: &mut World, before: &Ordered, course: Course, stage: Stage) -> Ordered {
    world.now_ms += MINUTE_MS;
    Ordered {
        revision: before.revision + 1,
        since: Some(Moment::new(world.now_ms, 60)),
        work: vec![OrderedWork {
            arch: Some(Arch::Upper),
            stage,
            against_teeth: false,
        }],
        bench: vec![piece_of(Some(Arch::Upper), course)],
        ..Ordered::default()
    }
}

/// Does every step that is open, after a minute.
fn does_all(world: &mut World, ordered: &Ordered) {
    for step in open_steps(world, ordered) {
        world.now_ms += MINUTE_MS;
        let what = match step {
            BenchStep::Flasked => flasked(Some(true), ""),
            step => worked(step, Arches::Upper),
        };
        world.does(&tom(), what);
    }
    assert_eq!(open_steps(world, ordered), []);
}

/// The lab sends something, the office receives it and sends it back.
fn goes_and_comes(world: &mut World, round: &str, thing: &str) {
    let (out, back) = (format!("o{round}"), format!("b{round}"));
    world.does(&tom(), disinfected(thing));
    world.sends(&tom(), &out, &[thing]);
    world.takes(&anna(), &out, &[thing]);
    world.does(&anna(), disinfected(thing));
    world.sends(&anna(), &back, &[thing]);
    world.takes(&tom(), &back, &[thing]);
}

#[test]
fn each_round_asks_its_own_steps_and_a_remake_all_of_them() {
    use BenchStep::{CastPoured, Matrix, Reset, SetUp, TryInChecked};
    let mut world = World::bare(Arches::Upper);
    world.does(&anna(), registered("bite", Side::Office, false));
    let first = orders(&mut world, &Ordered::default(), Course::SetUp, Stage::TryIn);
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    does_all(&mut world, &first);
    world.does(&tom(), registered("try-in upper", Side::Lab, false));
    goes_and_comes(&mut world, "1", "try-in upper");
    // Back at the lab, and nothing newer is ordered: nothing is open again.
    assert_eq!(open_steps(&world, &first), []);
    let second = orders(&mut world, &first, Course::Reset, Stage::Reset);
    assert_eq!(open_steps(&world, &second), [Reset, TryInChecked]);
    does_all(&mut world, &second);
    goes_and_comes(&mut world, "2", "try-in upper");
    let third = orders(&mut world, &second, Course::Reset, Stage::Reset);
    assert_eq!(open_steps(&world, &third), [Reset, TryInChecked]);
    let case = world.case_state();
    let round = rounds(&third, &world.items, &case, &[Arch::Upper]);
    assert_eq!(round.first().map(|one| one.tries), Some(2));
    does_all(&mut world, &third);
    goes_and_comes(&mut world, "3", "try-in upper");
    // What was set up and tried in is flasked: it is not set up again.
    let last = orders(&mut world, &third, Course::Copy, Stage::Process);
    let open = open_steps(&world, &last);
    assert!(
        open.starts_with(&[CastPoured, Matrix, BenchStep::Flasked]),
        "{open:?}"
    );
    assert!(!open.contains(&SetUp), "{open:?}");
    does_all(&mut world, &last);
    // A newer revision before the work has left changes nothing of what is done.
    let amended = orders(&mut world, &last, Course::Copy, Stage::Process);
    assert_eq!(open_steps(&world, &amended), []);
    world.does(&tom(), registered("final upper", Side::Lab, false));
    world.does(&tom(), disinfected("final upper"));
    world.does(&tom(), packed("o4", &["final upper"], Side::Lab));
    let packed_now = orders(&mut world, &amended, Course::Copy, Stage::Process);
    assert_eq!(open_steps(&world, &packed_now), [], "it has not left");
    world.does(&tom(), picked_up("o4", &["final upper"], 1));
    world.takes(&anna(), "o4", &["final upper"]);
    // A correction of what came back is no new work; a remake is all of it.
    let corrected = orders(&mut world, &amended, Course::Copy, Stage::Process);
    assert_eq!(open_steps(&world, &corrected), []);
    let remake = Ordered {
        kind: Some(OrderKind::Remake),
        ..corrected
    };
    assert_eq!(open_steps(&world, &remake).len(), 8);
}

#[test]
fn a_round_of_one_arch_says_nothing_of_the_other() {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), registered("bite", Side::Office, false));
    let mut first = orders(&mut world, &Ordered::default(), Course::SetUp, Stage::TryIn);
    first.bench[0].arch = None;
    first.work[0].arch = None;
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    for step in [
        BenchStep::Mounted,
        BenchStep::SetUp,
        BenchStep::TryInChecked,
    ] {
        world.now_ms += MINUTE_MS;
        world.does(&tom(), worked(step, Arches::Both));
    }
    world.does(&tom(), registered("try-in upper", Side::Lab, false));
    goes_and_comes(&mut world, "1", "try-in upper");
    let mut second = orders(&mut world, &first, Course::Reset, Stage::Reset);
    second.bench.push(BenchPiece {
        arch: Some(Arch::Lower),
        ..first.bench[0]
    });
    let case = world.case_state();
    let found = at_the_bench(&second, &world.items, &case, Arches::Both);
    let open: Vec<_> = found.open().map(|line| (line.step, line.open())).collect();
    let upper = vec![Arch::Upper];
    assert_eq!(
        open,
        [
            (BenchStep::Reset, upper.clone()),
            (BenchStep::TryInChecked, upper)
        ]
    );
}

#[test]
fn a_spare_lost_on_the_way_is_made_again_and_the_denture_beside_it_is_not() {
    let mut world = World::bare(Arches::Both);
    world.does(&anna(), registered("bite", Side::Office, false));
    let mut ordered = orders(
        &mut world,
        &Ordered::default(),
        Course::Finish,
        Stage::Process,
    );
    ordered.bench[0].arch = None;
    ordered.work[0].arch = None;
    ordered.bench.push(BenchPiece {
        course: Course::Duplicate,
        ..ordered.bench[0]
    });
    ordered.work.push(OrderedWork {
        stage: Stage::Duplicate,
        ..ordered.work[0]
    });
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    world.does(&tom(), disinfected("bite"));
    world.does(&tom(), flasked(Some(true), ""));
    for step in [
        BenchStep::Cured,
        BenchStep::Duplicated,
        BenchStep::Remounted,
        BenchStep::Finished,
    ] {
        world.now_ms += MINUTE_MS;
        world.does(&tom(), worked(step, Arches::Both));
    }
    let spares = ["duplicate upper", "duplicate lower"];
    for spare in spares {
        world.does(&tom(), registered(spare, Side::Lab, false));
        world.does(&tom(), disinfected(spare));
    }
    world.sends(&tom(), "s1", &spares);
    let came = [
        found("duplicate upper", Outcome::Sound, true),
        found("duplicate lower", Outcome::Missing, true),
    ];
    world.does(&anna(), received("s1", Side::Office, &came));
    let open = |world: &World| {
        let case = world.case_state();
        let found = at_the_bench(&ordered, &world.items, &case, Arches::Both);
        let open = found.open().map(|line| (line.step, line.open()));
        open.collect::<Vec<_>>()
    };
    assert_eq!(open(&world), [], "it may still be found");
    world.now_ms += MINUTE_MS;
    world.does(&mara(), written_off("duplicate lower", "looked for"));
    let lower = vec![Arch::Lower];
    assert_eq!(open(&world), [(BenchStep::Duplicated, lower)]);
    world.now_ms += MINUTE_MS;
    world.does(&tom(), worked(BenchStep::Duplicated, Arches::Lower));
    assert_eq!(open(&world), []);
}

/// Common practice, no source: a denture that is called finished has been through the steps that its lab enters.
#[test]
fn what_is_called_finished_at_some_of_its_steps_is_told_with_those_that_are_open() {
    let mut world = at_the_lab();
    let ordered = Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms - MINUTE_MS, 60)),
        bench: vec![piece_of(None, Course::Finish)],
        ..Ordered::default()
    };
    let open = |world: &World, arch: Arch| {
        let case = world.case_state();
        let found = at_the_bench(&ordered, &world.items, &case, Arches::Both);
        let (asked, open) = found.unfinished(arch)?;
        let words: Vec<&str> = open.iter().map(|step| step.word()).collect();
        Some((asked, words.join(" ")))
    };
    // A lab that enters nothing is asked nothing.
    assert_eq!(open(&world, Arch::Upper), None);
    world.does(&tom(), worked(BenchStep::Cured, Arches::Upper));
    assert_eq!(
        open(&world, Arch::Upper),
        Some((4, "flasked remounted finished".to_owned()))
    );
    assert_eq!(open(&world, Arch::Lower), None);
    // Whoever enters the last step says that it is finished.
    world.does(&tom(), worked(BenchStep::Finished, Arches::Upper));
    assert_eq!(open(&world, Arch::Upper), None);
}
