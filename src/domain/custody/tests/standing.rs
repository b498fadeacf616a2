//! Where a case stands: for each piece of its work, and to the list of what is enclosed.

use super::to_do::drawn;
use super::*;
use crate::domain::custody::agenda::OrderedWork;
use crate::domain::custody::case::Place;
use crate::domain::prescription::Stage;
use Side::{Lab, Office};

fn listing(world: &World, things: &[&str]) -> Ordered {
    Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        enclosed: things.iter().map(|thing| tag(thing)).collect(),
        ..Ordered::default()
    }
}

fn said(world: &World, ordered: &Ordered) -> (Vec<Place>, Vec<String>) {
    let standing = standing(&world.context(), &world.case_state(), ordered, 1);
    let tasks = standing.waiting_for.iter().map(ToString::to_string);
    (standing.places, tasks.collect())
}

#[test]
fn c1_the_case_waits_for_the_office_until_all_that_is_listed_has_come() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "facebow", "impression"]);
    let hand_over = "the office: hand over to the lab".to_owned();
    assert_eq!(
        said(&world, &ordered),
        (vec![Place::Office], vec![hand_over])
    );
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    let send = "the office: send what is listed as enclosed and has not come".to_owned();
    let both = vec![Place::Lab, Place::Office];
    assert_eq!(said(&world, &ordered), (both.clone(), vec![send.clone()]));
    let standing = standing(&world.context(), &world.case_state(), &ordered, 1);
    let named: Vec<&str> = standing.lacking.iter().map(|one| name(&one.tag)).collect();
    assert_eq!(named, ["facebow", "impression"]);
    // On its way it is nobody's task but the receiver's.
    world.sends(&anna(), "h2", &["facebow", "impression"]);
    let receive = "the lab: check in the parcel".to_owned();
    assert_eq!(
        said(&world, &ordered),
        (vec![Place::OnTheWay], vec![receive])
    );
    world.takes(&tom(), "h2", &["facebow", "impression"]);
    let make = "the lab: make the work and hand it back".to_owned();
    assert_eq!(
        said(&world, &ordered),
        (vec![Place::Lab], vec![make.clone()])
    );
    // What has been there since the list was signed is not asked for again when it has gone back.
    world.does(&tom(), disinfected("bite"));
    world.does(&tom(), released("h3", &["bite"], Lab));
    let lacks = lacking(&ordered, &world.items, &world.case_state());
    assert_eq!(lacks, []);
    // A list that is signed now asks for it.
    world.now_ms += MINUTE_MS;
    let again = listing(&world, &["bite"]);
    let lacks = lacking(&again, &world.items, &world.case_state());
    assert_eq!(lacks.len(), 1);
}

#[test]
fn c1_the_office_hears_what_it_has_to_send_before_the_lab_has_received_or_read() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "facebow"]);
    world.sends(&anna(), "h1", &["bite"]);
    let send = "the office: send what is listed as enclosed and has not come".to_owned();
    let receive = "the lab: check in the parcel".to_owned();
    assert_eq!(said(&world, &ordered).1, [receive, send.clone()]);
    world.takes(&tom(), "h1", &["bite"]);
    let unread = standing(&world.context(), &world.case_state(), &ordered, 0);
    let tasks: Vec<String> = unread.waiting_for.iter().map(ToString::to_string).collect();
    assert_eq!(
        tasks,
        [
            "the lab: read and acknowledge the prescription".to_owned(),
            send
        ]
    );
}

#[test]
fn c16_what_was_taken_out_did_not_come_to_be_fitted_and_what_is_left_at_the_lab_is_wanted_back() {
    let mut world = World::begun();
    let mut ordered = listing(&world, &["bite"]);
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    world.sends(&tom(), "h2", &["final upper", "final lower"]);
    world.takes(&anna(), "h2", &["final upper", "final lower"]);
    let fit = "the office: fit what came back".to_owned();
    assert_eq!(said(&world, &ordered).1, [fit]);
    let worn = |world: &World, arch| {
        let line = world.case_state().worn(&world.items);
        mouth::worn_in(&line, arch).cloned()
    };
    for (thing, arch) in [("final upper", Arch::Upper), ("final lower", Arch::Lower)] {
        let instead_of = worn(&world, arch);
        world.does(
            &dora(),
            What::Fitted(Fitted {
                tag: tag(thing),
                instead_of,
                uncleaned: false,
                exception: None,
                approval: None,
                avoided_why: String::new(),
            }),
        );
    }
    let send_back = "the lab: send back what is the office's".to_owned();
    assert_eq!(
        said(&world, &ordered),
        (vec![Place::Patient], vec![send_back])
    );
    // What the prescription leaves with the lab is not asked for.
    ordered.stays.records = true;
    assert_eq!(said(&world, &ordered).1, Vec::<String>::new());
    // Out for a repair: nothing came that waits for the mouth.
    let instead_of = worn(&world, Arch::Upper);
    let spare = world
        .items
        .iter()
        .find(|item| item.kind == ItemKind::Duplicate && item.arch == Some(Arch::Upper));
    let spare = spare.expect("a duplicate").tag.clone();
    world.does(
        &dora(),
        What::Fitted(Fitted {
            tag: spare,
            instead_of,
            uncleaned: true,
            exception: None,
            approval: None,
            avoided_why: String::new(),
        }),
    );
    let tasks = said(&world, &ordered).1;
    assert!(
        !tasks.iter().any(|one| one.contains("fit what came back")),
        "{tasks:?}"
    );
}

#[test]
fn c1_a_newer_revision_that_does_not_list_a_thing_lets_the_work_begin() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "facebow"]);
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    assert_eq!(said(&world, &ordered).1.len(), 1);
    let newer = listing(&world, &["bite"]);
    let make = "the lab: make the work and hand it back".to_owned();
    assert_eq!(said(&world, &newer), (vec![Place::Lab], vec![make]));
}

#[test]
fn c1_what_is_listed_for_one_arch_lets_the_other_begin() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "impression"]);
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    // The impression is of the upper arch.
    let waits = said(&world, &ordered).1;
    assert!(
        waits.iter().any(|one| one.starts_with("the lab: make")),
        "{waits:?}"
    );
    assert!(
        waits
            .iter()
            .any(|one| one.starts_with("the office: send what is listed")),
        "{waits:?}"
    );
}

#[test]
fn c3_a_case_of_which_one_arch_came_back_waits_for_both_sides() {
    let mut world = World::begun();
    let ordered = listing(&world, &[]);
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    world.sends(&tom(), "h2", &["final upper"]);
    let (places, tasks) = said(&world, &ordered);
    assert_eq!(places, [Place::OnTheWay, Place::Lab]);
    assert_eq!(
        tasks,
        [
            "the office: check in the parcel",
            "the lab: make the work and hand it back"
        ]
    );
    world.takes(&anna(), "h2", &["final upper"]);
    let (places, tasks) = said(&world, &ordered);
    assert_eq!(places, [Place::Lab, Place::Office]);
    assert_eq!(
        tasks,
        [
            "the office: fit what came back",
            "the lab: make the work and hand it back"
        ]
    );
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    let (places, tasks) = said(&world, &ordered);
    assert_eq!(places, [Place::Lab, Place::Patient]);
    assert_eq!(tasks, ["the lab: make the work and hand it back"]);
    world.sends(&tom(), "h3", &["final lower"]);
    world.takes(&anna(), "h3", &["final lower"]);
    assert_eq!(said(&world, &ordered).0, [Place::Office, Place::Patient]);
}

#[test]
fn c3_what_only_goes_back_takes_no_work_along() {
    let mut world = World::begun();
    let ordered = listing(&world, &[]);
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    world.takes(&tom(), "h1", &["bite", "facebow"]);
    world.does(&tom(), disinfected("facebow"));
    let mut back = released("h2", &["facebow"], Lab);
    if let What::Released(Released { purpose_code, .. }) = &mut back {
        *purpose_code = Some(Purpose::GoingBack);
    }
    world.does(&tom(), back);
    let make = "the lab: make the work and hand it back".to_owned();
    let receive = "the office: check in the parcel".to_owned();
    let both = vec![receive, make.clone()];
    assert_eq!(said(&world, &ordered), (vec![Place::Lab], both));
    world.takes(&anna(), "h2", &["facebow"]);
    assert_eq!(said(&world, &ordered), (vec![Place::Lab], vec![make]));
}

#[test]
fn c8_one_list_says_what_waits_for_whom_and_why() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "photograph", "facebow"]);
    for thing in ["bite", "photograph"] {
        world.does(&anna(), disinfected(thing));
    }
    world.does(&anna(), released("h1", &["bite", "photograph"], Office));
    let seal = ParcelFound {
        parcel: 1,
        seal: SealFound::Broken,
        number: String::new(),
    };
    let mut came = received(
        "h1",
        Lab,
        &[
            found("bite", Outcome::Sound, false),
            found("photograph", Outcome::Sound, false),
        ],
    );
    if let What::Received(Received { parcels, .. }) = &mut came {
        parcels.push(seal);
    }
    world.does(&tom(), came);
    let (context, case) = (world.context(), world.case_state());
    let stands = standing(&context, &case, &ordered, 1);
    let day = Moment::new(world.now_ms, 60).date();
    let all = waits(&context, &case, &ordered, &stands, day);
    let words: Vec<(usize, Side, &str)> = all
        .iter()
        .map(|one| (one.items.len(), one.side, one.why.as_str()))
        .collect();
    assert_eq!(
        words,
        [
            (2, Office, "The seal of parcel 1 was broken"),
            (1, Lab, "It came without a mark of disinfection"),
            (
                1,
                Office,
                "Listed as enclosed in revision 1, and has not been sent"
            ),
        ]
    );
    // The lab's own duty is one of the tasks of the first page.
    let tasks: Vec<String> = stands.waiting_for.iter().map(ToString::to_string).collect();
    assert!(tasks.contains(&"the lab: disinfect what came without a mark".to_owned()));
}

#[test]
fn c10_what_the_prescription_wants_back_is_late_on_its_day() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["facebow"]);
    world.takes(&tom(), "h1", &["facebow"]);
    let day = Moment::new(world.now_ms, 60).date();
    let mut ordered = listing(&world, &[]);
    let late = |ordered: &Ordered| overdue(&world.items, &world.case_state(), ordered, day);
    assert_eq!(late(&ordered), []);
    ordered
        .wanted_back
        .insert(tag("facebow"), day.next_day().unwrap());
    assert_eq!(late(&ordered), []);
    ordered.wanted_back.insert(tag("facebow"), day);
    let late = late(&ordered);
    assert_eq!((late.len(), late[0].side, late[0].due), (1, Lab, day));
    let (context, case) = (world.context(), world.case_state());
    let stands = standing(&context, &case, &ordered, 1);
    let all = waits(&context, &case, &ordered, &stands, day);
    assert!(
        all.iter()
            .any(|one| one.side == Lab && one.why.starts_with("It is on loan"))
    );
}

/// Bite and facebow are sent, and the lab finds the bite alone.
fn goes_without_its_facebow(world: &mut World) {
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    let came = [
        found("bite", Outcome::Sound, true),
        found("facebow", Outcome::Missing, false),
    ];
    world.does(&tom(), received("h1", Lab, &came));
}

#[test]
fn c1_what_did_not_come_with_its_parcel_is_the_offices_to_find_after_its_statement_too() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "facebow"]);
    goes_without_its_facebow(&mut world);
    let hold = world.open_holds().remove(0);
    world.resolves_all();
    let find = "the office: find what did not come, or sign a revision without it".to_owned();
    assert_eq!(said(&world, &ordered), (vec![Place::Lab], vec![find]));
    // The same statement again says nothing new; that it is found does.
    world.expect(&dora(), &resolution(&hold), &[(CustodyRule::F, "")]);
    let offers_it = |world: &World| {
        let (context, case) = (world.context(), world.case_state());
        let at = Moment::new(world.now_ms + MINUTE_MS, 60);
        let by = dora();
        let offers = Offers::new(context, &case, &by, at);
        offers.to_find().len()
    };
    assert_eq!(offers_it(&world), 1);
    world.does(&dora(), not_packed(resolution(&hold)));
    assert_eq!(offers_it(&world), 0);
    assert_eq!(world.state("facebow").holder, Holder::Office);
    let send = "the office: send what is listed as enclosed and has not come".to_owned();
    assert_eq!(said(&world, &ordered).1, [send]);
}

#[test]
fn the_list_of_the_bench_says_what_a_case_lacks_as_the_case_does() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "facebow"]);
    // Whether the lab has read the prescription or not: nothing is begun without what is listed.
    let lacks = |world: &World| [0, 1].map(|read| drawn(world, &ordered, read).lacks_shown());
    goes_without_its_facebow(&mut world);
    let hold = world.open_holds().remove(0);
    for words in lacks(&world) {
        assert!(
            !words.is_empty() && !words.contains("to be found"),
            "held: {words}"
        );
    }
    world.resolves_all();
    let lost = "did not come with its parcel, and is to be found";
    assert_eq!(lacks(&world), [lost, lost]);
    world.does(&dora(), not_packed(resolution(&hold)));
    let stays = "listed as enclosed, and not come";
    assert_eq!(lacks(&world), [stays, stays]);
    world.sends(&anna(), "h2", &["facebow"]);
    world.takes(&tom(), "h2", &["facebow"]);
    assert_eq!(lacks(&world), ["", ""]);
}

#[test]
fn an_old_statement_says_nothing_of_a_later_parcel_that_lacks_the_same_thing() {
    let mut world = World::begun();
    goes_without_its_facebow(&mut world);
    let old = world.open_holds().remove(0);
    world.resolves_all();
    // It turns up, goes back and is sent once more, and is missing from that parcel.
    world.takes(&tom(), "h1", &["facebow"]);
    world.sends(&tom(), "h2", &["facebow"]);
    world.takes(&anna(), "h2", &["facebow"]);
    world.sends(&anna(), "h3", &["facebow"]);
    let missing = found("facebow", Outcome::Missing, false);
    world.does(&tom(), received("h3", Lab, &[missing]));
    world.expect(
        &dora(),
        &not_packed(resolution(&old)),
        &[(CustodyRule::F, "")],
    );
    let new = world.open_holds().remove(0);
    world.does(&dora(), not_packed(resolution(&new)));
    assert_eq!(world.open_holds(), []);
}

#[test]
fn c1_what_was_given_up_before_the_lab_had_it_is_left_out_of_the_next_revision() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "facebow"]);
    goes_without_its_facebow(&mut world);
    world.does(&dora(), written_off("facebow", "nobody found it"));
    let write = "the office: write and sign the prescription".to_owned();
    assert_eq!(said(&world, &ordered).1, [write]);
    // What the lab had and used up or broke is awaited no more.
    world.does(&tom(), destroyed("bite", "no longer needed"));
    let lacks = lacking(&ordered, &world.items, &world.case_state());
    let lacks: Vec<&str> = lacks.iter().map(|one| name(&one.tag)).collect();
    assert_eq!(lacks, ["facebow"]);
}

#[test]
fn c1_what_went_back_with_cancelled_work_or_damaged_is_missed_again() {
    let mut world = World::begun();
    let ordered = listing(&world, &["bite", "facebow"]);
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    world.takes(&tom(), "h1", &["bite", "facebow"]);
    let missed = |world: &World| {
        let lacks = lacking(&ordered, &world.items, &world.case_state());
        let names = lacks.iter().map(|one| name(&one.tag));
        names.collect::<Vec<_>>()
    };
    // A facebow that goes home after the mounting has served.
    world.sends(&tom(), "h2", &["facebow"]);
    world.takes(&anna(), "h2", &["facebow"]);
    assert_eq!(missed(&world), [""; 0]);
    // A bite that goes back broken has not.
    world.does(
        &tom(),
        What::DamagedHere(DamagedHere {
            tag: tag("bite"),
            what: "broke".to_owned(),
            place: Lab,
        }),
    );
    world.sends(&tom(), "h3", &["bite"]);
    assert_eq!(missed(&world), [""; 0]);
    world.takes(&anna(), "h3", &["bite"]);
    assert_eq!(world.state("bite").condition, Condition::Damaged);
    assert_eq!(missed(&world), ["bite"]);
    let mut again = World::begun();
    let ordered = listing(&again, &["bite"]);
    again.sends(&anna(), "h1", &["bite"]);
    again.takes(&tom(), "h1", &["bite"]);
    again.does(
        &dora(),
        What::Cancelled(Cancelled {
            reason: "moved away".to_owned(),
            items: [
                ("final upper", Fate::Scrapped),
                ("final lower", Fate::Scrapped),
                ("bite", Fate::ComesBack),
                ("cast upper", Fate::Stays),
            ]
            .map(|(thing, fate)| Fated {
                tag: tag(thing),
                fate,
                consent: None,
            })
            .to_vec(),
            signed: under("dora"),
        }),
    );
    again.sends(&tom(), "h2", &["bite"]);
    again.takes(&anna(), "h2", &["bite"]);
    again.does(
        &dora(),
        What::WentOn(WentOn {
            reason: "back in town".to_owned(),
            signed: under("dora"),
        }),
    );
    let lacks = lacking(&ordered, &again.items, &again.case_state());
    assert_eq!(lacks.len(), 1);
}

#[test]
fn after_a_try_in_the_dentist_says_what_is_made_next() {
    let mut world = World::begun();
    world.does(&tom(), registered("try-in upper", Lab, false));
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    let ordered = Ordered {
        work: vec![OrderedWork {
            arch: Some(Arch::Upper),
            stage: Stage::TryIn,
            against_teeth: false,
        }],
        ..listing(&world, &["bite"])
    };
    let of_upper = |world: &World, ordered: &Ordered| {
        let tasks = said(world, ordered).1;
        tasks
            .into_iter()
            .filter(|one| !one.contains("the lab: make"))
            .collect::<Vec<_>>()
    };
    world.sends(&tom(), "h2", &["try-in upper"]);
    world.takes(&anna(), "h2", &["try-in upper"]);
    let try_in = "the office: try in or use what came, and sign what is made next".to_owned();
    assert_eq!(of_upper(&world, &ordered), [try_in]);
    // Sent back without a word of the dentist, it is not simply made.
    world.sends(&anna(), "h3", &["try-in upper"]);
    world.takes(&tom(), "h3", &["try-in upper"]);
    let write = "the office: write and sign the prescription".to_owned();
    assert_eq!(of_upper(&world, &ordered), [write]);
    // A revision that is signed now asks for work again.
    world.now_ms += MINUTE_MS;
    let newer = Ordered {
        since: Some(Moment::new(world.now_ms, 60)),
        enclosed: Vec::new(),
        ..ordered.clone()
    };
    assert_eq!(of_upper(&world, &newer), [""; 0]);
}

#[test]
fn a_final_sent_back_for_alteration_waits_for_a_revision_that_says_which() {
    let mut world = World::begun();
    let ordered = listing(&world, &[]);
    world.sends(&tom(), "h1", &["final upper"]);
    world.takes(&anna(), "h1", &["final upper"]);
    world.does(&anna(), disinfected("final upper"));
    let mut back = released("h2", &["final upper"], Office);
    if let What::Released(release) = &mut back {
        release.purpose_code = Some(Purpose::Change);
    }
    world.does(&anna(), back);
    world.takes(&tom(), "h2", &["final upper"]);
    let tasks = said(&world, &ordered).1;
    let write = "the office: write and sign the prescription".to_owned();
    assert!(tasks.contains(&write), "{tasks:?}");
}

#[test]
fn what_was_damaged_in_the_lab_goes_out_to_be_fitted_only_after_its_statement() {
    let mut world = World::begun();
    world.does(
        &tom(),
        What::DamagedHere(DamagedHere {
            tag: tag("final upper"),
            what: "cracked".to_owned(),
            place: Lab,
        }),
    );
    world.does(&tom(), disinfected("final upper"));
    let mut out = released("h1", &["final upper"], Lab);
    if let What::Released(release) = &mut out {
        release.purpose_code = Some(Purpose::Finished);
    }
    world.expect(&tom(), &out, &[(CustodyRule::Held, "final upper")]);
    world.resolves_all();
    assert_eq!(world.state("final upper").condition, Condition::Damaged);
    if let What::Released(release) = &mut out {
        release
            .items
            .iter_mut()
            .for_each(|sent| sent.set_right = true);
    }
    world.does(&tom(), out);
    world.takes(&anna(), "h1", &["final upper"]);
    assert_eq!(world.state("final upper").condition, Condition::Sound);
}
