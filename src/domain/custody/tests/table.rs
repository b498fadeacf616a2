//! Each rule by its letter: what may just be done, and beside it what may not. Common practice, no source,
//! where no other is named.

use super::*;
use crate::domain::custody::handoff;
use crate::domain::values::ids::EventId;
use CustodyRule::{A, B, C, D, E, F, Form, H, I, J, K, L, Right};
use Side::{Lab, Office};

#[test]
fn a_only_the_holder_acts_on_a_thing() {
    let mut world = World::begun();
    world.expect(&anna(), &disinfected("bite"), &[]);
    world.expect(&tom(), &disinfected("bite"), &[(A, "bite")]);
    world.expect(&tom(), &disinfected("final upper"), &[]);
    world.expect(&anna(), &disinfected("final upper"), &[(A, "final upper")]);
    world.expect(
        &anna(),
        &disinfected("provisional upper"),
        &[(A, "provisional upper")],
    );
    world.expect(
        &dora(),
        &fitted("final upper", Some("provisional upper")),
        &[(A, "final upper")],
    );

    world.sends(&anna(), "h1", &["bite"]);
    // On the way neither side holds it.
    for by in [anna(), tom()] {
        world.expect(&by, &disinfected("bite"), &[(A, "bite")]);
    }
    world.takes(&tom(), "h1", &["bite"]);
    world.expect(&tom(), &disinfected("bite"), &[]);
    world.expect(&anna(), &disinfected("bite"), &[(A, "bite")]);
}

#[test]
fn a_one_thing_is_worn_in_one_arch_and_only_once() {
    let mut world = World::begun();
    world.expect(
        &dora(),
        &fitted("duplicate upper", Some("provisional upper")),
        &[],
    );
    world.expect(
        &dora(),
        &fitted("duplicate upper", None),
        &[(A, "duplicate upper")],
    );
    world.expect(
        &dora(),
        &fitted("duplicate upper", Some("provisional lower")),
        &[(A, "duplicate upper")],
    );
    world.expect(
        &dora(),
        &fitted("provisional upper", Some("provisional upper")),
        &[(Form, "provisional upper"), (A, "provisional upper")],
    );
    world.expect(
        &dora(),
        &What::BroughtBack(BroughtBack {
            tag: tag("provisional upper"),
        }),
        &[(A, "provisional upper")],
    );

    world.does(
        &dora(),
        What::TakenOut(TakenOut {
            tag: tag("provisional upper"),
            exception: signed("sore mucosa"),
        }),
    );
    world.expect(
        &dora(),
        &fitted("duplicate upper", Some("provisional upper")),
        &[(A, "duplicate upper")],
    );
    world.expect(&dora(), &fitted("duplicate upper", None), &[]);
}

#[test]
fn a_a_thing_is_named_once_in_a_box() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    world.does(&anna(), disinfected("facebow"));
    world.expect(&anna(), &released("h1", &["bite", "facebow"], Office), &[]);
    world.expect(
        &anna(),
        &released("h1", &["bite", "bite"], Office),
        &[(A, "bite")],
    );
}

#[test]
fn a_what_is_worn_already_stands_against_another_that_is_registered_as_worn() {
    let mut world = World::bare(Arches::Both);
    world.expect(&dora(), &registered("provisional upper", Office, true), &[]);
    world.does(&dora(), registered("provisional upper", Office, true));
    world.expect(
        &dora(),
        &registered("final upper", Office, true),
        &[(A, "final upper")],
    );
    world.expect(&dora(), &registered("old upper", Office, false), &[]);
    world.expect(&dora(), &registered("old lower", Office, true), &[]);
}

#[test]
fn b_an_arch_is_never_empty_without_a_signed_exception() {
    let world = World::begun();
    let out = |exception| {
        What::TakenOut(TakenOut {
            tag: tag("provisional upper"),
            exception,
        })
    };
    world.expect(&dora(), &out(None), &[(B, "provisional upper")]);
    world.expect(&anna(), &out(None), &[(B, "provisional upper")]);
    world.expect(&dora(), &out(signed("sore mucosa, for two days")), &[]);
    world.expect(&dora(), &out(signed("  ")), &[(B, "provisional upper")]);
    world.expect(
        &anna(),
        &out(signed("sore mucosa")),
        &[(B, "provisional upper")],
    );
    // One step in which one comes out and another goes in leaves nothing empty.
    world.expect(
        &anna(),
        &fitted("duplicate upper", Some("provisional upper")),
        &[],
    );
}

#[test]
fn b_holds_for_the_treated_arches_only() {
    for (arches, upper, lower) in [
        (
            Arches::Both,
            vec![(B, "provisional upper")],
            vec![(B, "provisional lower")],
        ),
        (Arches::Upper, vec![(B, "provisional upper")], vec![]),
        (Arches::Lower, vec![], vec![(B, "provisional lower")]),
    ] {
        let world = World {
            arches,
            ..World::begun()
        };
        for (thing, expected) in [("provisional upper", upper), ("provisional lower", lower)] {
            world.expect(
                &dora(),
                &What::TakenOut(TakenOut {
                    tag: tag(thing),
                    exception: None,
                }),
                &expected,
            );
        }
    }
}

#[test]
fn c_the_provisional_leaves_only_while_a_duplicate_of_its_arch_is_worn() {
    let leave = |exception| excepted("h1", &["provisional upper"], Office, exception);
    let mut world = World::begun();
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    world.does(&anna(), disinfected("provisional upper"));
    world.expect(&anna(), &leave(None), &[]);

    // The duplicate of the other arch is no cover.
    let mut world = World::begun();
    world.does(
        &dora(),
        fitted("duplicate lower", Some("provisional lower")),
    );
    world.does(
        &dora(),
        What::TakenOut(TakenOut {
            tag: tag("provisional upper"),
            exception: signed("sore mucosa"),
        }),
    );
    world.does(&anna(), disinfected("provisional upper"));
    world.does(&anna(), disinfected("provisional lower"));
    world.expect(&anna(), &leave(None), &[(C, "provisional upper")]);
    world.expect(
        &anna(),
        &released("h1", &["provisional lower"], Office),
        &[],
    );
    world.expect(
        &anna(),
        &released("h1", &["provisional lower", "provisional upper"], Office),
        &[(C, "provisional upper")],
    );
    // Only a dentist signs for it, with a reason.
    world.expect(
        &dora(),
        &leave(signed("broken, repaired within the hour")),
        &[],
    );
    world.expect(
        &anna(),
        &leave(signed("broken")),
        &[(C, "provisional upper")],
    );
    world.expect(&dora(), &leave(signed(" ")), &[(C, "provisional upper")]);
}

#[test]
fn c_the_final_covers_and_the_old_denture_does_not() {
    let mut world = World::begun();
    world.sends(&tom(), "h1", &["final upper"]);
    world.takes(&anna(), "h1", &["final upper"]);
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    world.does(&anna(), disinfected("provisional upper"));
    world.expect(
        &anna(),
        &released("h2", &["provisional upper"], Office),
        &[],
    );

    let mut world = World::bare(Arches::Both);
    world.does(&dora(), registered("old upper", Office, true));
    world.does(&dora(), registered("provisional upper", Office, false));
    world.does(&dora(), disinfected("provisional upper"));
    world.expect(
        &dora(),
        &released("h1", &["provisional upper"], Office),
        &[(C, "provisional upper")],
    );
}

#[test]
fn c_the_lab_sends_the_provisional_back_without_more_ado() {
    let mut world = World::begun();
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    world.sends(&anna(), "h1", &["provisional upper"]);
    world.takes(&tom(), "h1", &["provisional upper"]);
    world.does(&tom(), disinfected("provisional upper"));
    world.does(
        &dora(),
        What::TakenOut(TakenOut {
            tag: tag("duplicate upper"),
            exception: signed("broken"),
        }),
    );
    world.expect(&tom(), &released("h2", &["provisional upper"], Lab), &[]);
}

#[test]
fn d_the_old_denture_never_goes_back_to_the_patient() {
    let mut world = World::begun();
    world.expect(
        &dora(),
        &fitted("old upper", Some("provisional upper")),
        &[(D, "old upper")],
    );
    world.expect(&dora(), &given("old upper"), &[(D, "old upper")]);
    world.expect(&anna(), &given("old lower"), &[(D, "old lower")]);
    let kept = What::Withheld(Withheld {
        tag: tag("old upper"),
        consent: true,
        kept: "the safe".to_owned(),
    });
    world.expect(&dora(), &kept, &[]);
    world.does(&dora(), kept);
    assert_eq!(
        world.state("old upper").withheld.as_deref(),
        Some("the safe")
    );
    world.expect(&dora(), &destroyed("old upper", "patient's wish"), &[]);
    // What the patient came with is a fact, and comes out for good.
    let mut world = World::bare(Arches::Both);
    world.does(&dora(), registered("old upper", Office, true));
    world.does(&dora(), registered("provisional upper", Office, false));
    world.does(&dora(), fitted("provisional upper", Some("old upper")));
    assert_eq!(world.worn(Arch::Upper), Some("provisional upper"));
    world.expect(
        &dora(),
        &fitted("old upper", Some("provisional upper")),
        &[(D, "old upper")],
    );
}

#[test]
fn d_the_old_denture_is_registered_as_worn_before_anything_else_is_worn_only() {
    let mut world = World::bare(Arches::Both);
    world.expect(&dora(), &registered("old upper", Office, true), &[]);
    world.does(&dora(), registered("provisional upper", Office, true));
    let worn = registered("old upper", Office, true);
    world.expect(&dora(), &worn, &[(A, "old upper"), (D, "old upper")]);
    // Not even when the arch is empty: something else has been worn in it.
    world.does(
        &dora(),
        What::TakenOut(TakenOut {
            tag: tag("provisional upper"),
            exception: signed("sore mucosa"),
        }),
    );
    world.expect(&dora(), &worn, &[(D, "old upper")]);
    world.expect(&dora(), &registered("old upper", Office, false), &[]);
    // The other arch is another matter.
    world.expect(&dora(), &registered("old lower", Office, true), &[]);
}

#[test]
fn d_only_an_old_denture_is_kept_back_and_that_stands_until_it_is_ended() {
    let kept = |thing| {
        What::Withheld(Withheld {
            tag: tag(thing),
            consent: true,
            kept: "the safe".to_owned(),
        })
    };
    let mut world = World::begun();
    for thing in ["duplicate upper", "bite"] {
        world.expect(&dora(), &kept(thing), &[(Form, thing)]);
    }
    for thing in ["old upper", "old lower"] {
        world.expect(&dora(), &kept(thing), &[]);
        world.does(&dora(), kept(thing));
    }
    world.sends(&dora(), "h1", &["old upper"]);
    world.takes(&tom(), "h1", &["old upper"]);
    // That the patient consented stands until it is ended, wherever it goes.
    let kept = world.state("old upper").withheld;
    assert_eq!(kept.as_deref(), Some("the safe"));
    let how = "patient's wish".to_owned();
    world.does(&dora(), destroyed("old lower", &how));
    assert_eq!(world.state("old lower").withheld, None);
}

#[test]
fn e_a_duplicate_becomes_the_spare_only_once_the_final_is_worn() {
    let give = given("duplicate upper");
    let mut world = World::begun();
    world.expect(&dora(), &give, &[(E, "duplicate upper")]);
    world.sends(&tom(), "h1", &["final upper", "final lower"]);
    world.takes(&anna(), "h1", &["final upper", "final lower"]);
    world.expect(&dora(), &give, &[(E, "duplicate upper")]);
    // The final of the other arch is not enough.
    world.does(&dora(), fitted("final lower", Some("provisional lower")));
    world.expect(&dora(), &give, &[(E, "duplicate upper")]);
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    world.expect(&dora(), &give, &[]);
    // Only a duplicate is a spare.
    for thing in ["provisional upper", "bite", "photograph"] {
        world.expect(&dora(), &given(thing), &[(E, thing)]);
    }
    world.does(&dora(), give.clone());
    let state = world.state("duplicate upper");
    assert!(state.spare && !state.worn && state.holder == Holder::Patient);
    world.expect(&dora(), &give, &[(A, "duplicate upper")]);
    world.expect(
        &dora(),
        &What::BroughtBack(BroughtBack {
            tag: tag("duplicate upper"),
        }),
        &[],
    );
}

#[test]
fn f_nothing_happens_to_a_thing_that_is_gone() {
    let ends = [
        (used_up("impression", "the upper cast"), Gone::UsedUp),
        (
            destroyed("impression", "cross-contaminated"),
            Gone::Destroyed,
        ),
    ];
    for (end, gone) in ends {
        let mut world = World::begun();
        world.expect(&anna(), &end, &[]);
        world.does(&anna(), disinfected("impression"));
        world.does(&anna(), end.clone());
        assert_eq!(world.state("impression").gone, Some(gone));
        world.expect(&anna(), &disinfected("impression"), &[(F, "impression")]);
        world.expect(
            &anna(),
            &released("h1", &["impression"], Office),
            &[(F, "impression")],
        );
        world.expect(&anna(), &end, &[(F, "impression")]);
        world.expect(
            &anna(),
            &registered("impression", Office, false),
            &[(F, "impression"), (F, "impression")],
        );
        // A correction of its history is no change to the thing.
        let note = What::Corrected(Corrected {
            event: EventId::new("event 0"),
            note: "it was the second one".to_owned(),
        });
        world.expect(&anna(), &note, &[]);
    }
    // No denture is used up.
    for thing in ["duplicate upper", "old upper"] {
        World::begun().expect(&anna(), &used_up(thing, "a new base"), &[(Form, thing)]);
    }
    // What became of it is said.
    let world = World::begun();
    world.expect(
        &anna(),
        &used_up("impression", " "),
        &[(Form, "impression")],
    );
    world.expect(
        &anna(),
        &destroyed("impression", ""),
        &[(Form, "impression")],
    );
}

#[test]
fn f_what_was_missing_is_written_off_by_the_side_that_handed_it_over() {
    let off = |how: &str| written_off("bite", how);
    let mut world = World::begun();
    // Lost in its own house, that house gives it up; nobody else does.
    world.expect(&anna(), &off("lost"), &[]);
    world.expect(&tom(), &off("lost"), &[(A, "bite")]);
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    world.expect(&anna(), &off("lost"), &[(Form, "bite")]);
    world.does(
        &tom(),
        received(
            "h1",
            Lab,
            &[
                found("bite", Outcome::Missing, false),
                found("facebow", Outcome::Sound, true),
            ],
        ),
    );
    let held = |world: &World| {
        let standing = world.stands();
        standing
            .held
            .map(|held| held.to_string())
            .unwrap_or_default()
    };
    assert!(held(&world).ends_with("was missing from the parcel"));
    world.expect(&tom(), &off("lost"), &[(A, "bite")]);
    world.expect(&anna(), &off(" "), &[(Form, "bite")]);
    world.does(&anna(), off("the carrier has lost it"));
    assert_eq!(world.state("bite").gone, Some(Gone::WrittenOff));
    assert_eq!(held(&world), "");
    let handoffs = handoffs(&world.events);
    assert_eq!(handoffs[0].state(), handoff::HandoffState::Received);
    let all = balance(&world.events);
    assert_eq!(all.spent, [tag("bite")]);
    assert_eq!(all.owed, [tag("facebow")]);
    // Nothing more happens to it, and its parcel is received.
    let late = received("h1", Lab, &[found("bite", Outcome::Sound, true)]);
    world.expect(&mara(), &late, &[(F, ""), (Form, "bite"), (F, "bite")]);
}

#[test]
fn what_arrived_damaged_is_sound_again_when_it_was_set_right_and_found_so() {
    for outcome in [Outcome::Damaged, Outcome::NotAsDescribed] {
        let mut world = World::begun();
        world.sends(&tom(), "h1", &["final upper"]);
        let broken = received("h1", Office, &[found("final upper", outcome, true)]);
        world.does(&anna(), broken);
        // As it was described is not sound.
        world.sends(&anna(), "h2", &["final upper"]);
        world.takes(&mara(), "h2", &["final upper"]);
        assert_ne!(world.state("final upper").condition, Condition::Sound);
        world.does(&mara(), disinfected("final upper"));
        let mut mended = released("h2b", &["final upper"], Lab);
        if let What::Released(release) = &mut mended {
            let sent = release.items.iter_mut();
            sent.for_each(|sent| sent.set_right = true);
        }
        world.does(&mara(), mended);
        world.takes(&anna(), "h2b", &["final upper"]);
        assert_eq!(world.state("final upper").condition, Condition::Sound);
        world.sends(&anna(), "h2c", &["final upper"]);
        world.takes(&mara(), "h2c", &["final upper"]);
        // Missing says nothing of how it is.
        world.sends(&mara(), "h3", &["final upper"]);
        let missing = received(
            "h3",
            Office,
            &[found("final upper", Outcome::Missing, false)],
        );
        world.does(&anna(), missing);
        assert_eq!(world.state("final upper").condition, Condition::Sound);
    }
}

#[test]
fn f_a_thing_is_registered_once_and_a_box_received_once() {
    let mut world = World::begun();
    world.expect(&anna(), &registered("bite", Office, false), &[(F, "bite")]);
    world.sends(&anna(), "h1", &["bite"]);
    world.takes(&tom(), "h1", &["bite"]);
    let again = received("h1", Lab, &[found("bite", Outcome::Sound, true)]);
    world.expect(&mara(), &again, &[(F, ""), (Form, "bite"), (A, "bite")]);
}

#[test]
fn g_what_came_back_is_what_went_out_less_what_was_used_up() {
    let names = |tags: &[Tag]| tags.iter().map(name).collect::<Vec<_>>();
    let mut world = World::begun();
    assert_eq!(balance(&world.events), Balance::default());
    world.sends(
        &anna(),
        "h1",
        &["bite", "facebow", "impression", "duplicate lower"],
    );
    let all = balance(&world.events);
    assert_eq!(
        names(&all.sent),
        ["bite", "facebow", "impression", "duplicate lower"]
    );
    assert_eq!(all.owed, all.sent);
    world.takes(
        &tom(),
        "h1",
        &["bite", "facebow", "impression", "duplicate lower"],
    );
    world.does(&tom(), used_up("impression", "the upper cast"));
    // The final was never the office's: it is not part of what is owed.
    world.sends(&tom(), "h2", &["bite", "facebow", "final upper"]);
    world.does(
        &anna(),
        received(
            "h2",
            Office,
            &[
                found("bite", Outcome::Sound, true),
                found("facebow", Outcome::Missing, false),
                found("final upper", Outcome::Sound, true),
            ],
        ),
    );
    let all = balance(&world.events);
    assert_eq!(
        names(&all.sent),
        ["bite", "facebow", "impression", "duplicate lower"]
    );
    assert_eq!(names(&all.back), ["bite"]);
    assert_eq!(names(&all.spent), ["impression"]);
    assert_eq!(names(&all.owed), ["facebow", "duplicate lower"]);
}

/// Disinfection before every handoff, with agent and contact time, and word of it to the other side: CDC,
/// Guidelines for Infection Control in Dental Health-Care Settings, MMWR 52, RR-17, 2003.
#[test]
fn h_a_thing_is_disinfected_before_each_handoff() {
    let leave = released("h1", &["bite"], Office);
    let mut world = World::begun();
    world.expect(&anna(), &leave, &[(H, "bite")]);
    world.does(&anna(), disinfected("bite"));
    world.expect(&anna(), &leave, &[]);
    world.expect(
        &anna(),
        &released("h1", &["bite", "facebow"], Office),
        &[(H, "facebow")],
    );
    // A photograph touches no mouth.
    world.expect(
        &anna(),
        &released("h1", &["bite", "photograph"], Office),
        &[],
    );
    // The office's entry does not count for the way back.
    world.does(&anna(), leave);
    world.takes(&tom(), "h1", &["bite"]);
    world.expect(&tom(), &released("h2", &["bite"], Lab), &[(H, "bite")]);
    world.does(&tom(), disinfected("bite"));
    world.expect(&tom(), &released("h2", &["bite"], Lab), &[]);
}

#[test]
fn h_what_comes_from_the_mouth_is_disinfected_again() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("duplicate upper"));
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    world.does(&anna(), disinfected("provisional upper"));
    world.expect(
        &anna(),
        &released("h1", &["provisional upper"], Office),
        &[],
    );
    world.does(
        &dora(),
        fitted("provisional upper", Some("duplicate upper")),
    );
    world.expect(
        &anna(),
        &released("h1", &["duplicate upper"], Office),
        &[(H, "duplicate upper")],
    );
    world.does(&anna(), disinfected("duplicate upper"));
    world.expect(&anna(), &released("h1", &["duplicate upper"], Office), &[]);
}

#[test]
fn h_a_thing_without_a_mark_is_held_until_the_receivers_own_entry() {
    let cast = used_up("impression", "the upper cast");
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["impression", "photograph"]);
    world.does(
        &tom(),
        received(
            "h1",
            Lab,
            &[
                found("impression", Outcome::Sound, false),
                found("photograph", Outcome::Sound, false),
            ],
        ),
    );
    world.expect(&tom(), &cast, &[(H, "impression")]);
    world.expect(
        &tom(),
        &released("h2", &["impression"], Lab),
        &[(H, "impression")],
    );
    world.expect(&tom(), &released("h2", &["photograph"], Lab), &[]);
    let held = world.stands().held;
    assert_eq!(
        held.map(|held| held.to_string()).as_deref(),
        Some("Impression, upper came without a mark of disinfection")
    );
    // To throw it away one need not clean it.
    world.expect(&tom(), &destroyed("impression", "torn"), &[]);
    world.does(&mara(), disinfected("impression"));
    world.expect(&tom(), &cast, &[]);
    assert_eq!(world.stands().held, None);
}

#[test]
fn h_an_entry_names_agent_and_minutes() {
    let entry = |agent: &str, minutes| {
        What::Disinfected(Disinfected {
            tag: tag("bite"),
            agent: agent.to_owned(),
            dilution: String::new(),
            minutes,
            rinsed: false,
        })
    };
    let world = World::begun();
    world.expect(&anna(), &entry("peracetic acid", 1), &[]);
    world.expect(&anna(), &entry("peracetic acid", 0), &[(H, "bite")]);
    world.expect(&anna(), &entry(" ", 10), &[(H, "bite")]);
}

#[test]
fn i_entries_of_one_thing_are_in_time_order() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    let last = world.now_ms;
    assert_eq!(world.refusals_at(&anna(), &disinfected("bite"), last), []);
    assert_eq!(
        world.refusals_at(&anna(), &disinfected("bite"), last - 1),
        [(I, "bite")]
    );
    // An entry from paper about another thing may be earlier.
    assert_eq!(
        world.refusals_at(&anna(), &disinfected("facebow"), last - 1),
        []
    );
    assert_eq!(
        world.refusals_at(
            &dora(),
            &fitted("duplicate upper", Some("provisional upper")),
            MONDAY_MS
        ),
        [(I, "duplicate upper"), (I, "provisional upper")]
    );
}

#[test]
fn i_what_rests_on_the_mouth_is_not_dated_before_the_mouth_changed() {
    // The provisional lies at the office, clean, before the duplicate is worn.
    let mut world = World::bare(Arches::Both);
    world.does(&dora(), registered("old upper", Office, true));
    for thing in ["provisional upper", "duplicate upper"] {
        world.does(&dora(), registered(thing, Office, false));
    }
    world.does(&dora(), disinfected("provisional upper"));
    world.now_ms += MINUTE_MS;
    world.does(&dora(), fitted("duplicate upper", Some("old upper")));
    let leave = released("h1", &["provisional upper"], Office);
    assert_eq!(world.refusals_at(&anna(), &leave, world.now_ms), []);
    assert_eq!(
        world.refusals_at(&anna(), &leave, world.now_ms - 1),
        [(I, "provisional upper")]
    );

    // An arch that is empty now was not empty then.
    let mut world = World::bare(Arches::Both);
    world.does(&dora(), registered("provisional upper", Office, true));
    world.does(
        &dora(),
        What::TakenOut(TakenOut {
            tag: tag("provisional upper"),
            exception: signed("sore"),
        }),
    );
    let came_with = registered("duplicate upper", Office, true);
    assert_eq!(world.refusals_at(&dora(), &came_with, world.now_ms), []);
    assert_eq!(
        world.refusals_at(&dora(), &came_with, world.now_ms - 1),
        [(I, "duplicate upper")]
    );
    // The other arch has its own time.
    assert_eq!(
        world.refusals_at(&dora(), &registered("old lower", Office, true), MONDAY_MS),
        []
    );
}

#[test]
fn j_a_correction_appends_and_names_an_entry() {
    let mut world = World::begun();
    let correct = |event: &str, note: &str| {
        What::Corrected(Corrected {
            event: EventId::new(event),
            note: note.to_owned(),
        })
    };
    world.expect(
        &anna(),
        &correct("event 0", "the lower, not the upper"),
        &[],
    );
    world.expect(&tom(), &correct("event 0", "the lower, not the upper"), &[]);
    world.expect(&anna(), &correct("event 99", "the lower"), &[(J, "")]);
    world.expect(&anna(), &correct("event 0", "  "), &[(J, "")]);
    let (before, count) = (fold(&world.events), world.events.len());
    world.does(&anna(), correct("event 0", "the lower, not the upper"));
    assert_eq!(world.events.len(), count + 1);
    assert_eq!(
        fold(&world.events),
        before,
        "a correction changes nothing that stands"
    );
}

#[test]
fn k_things_of_another_case_are_not_touched() {
    let world = World::begun();
    world.expect(
        &anna(),
        &registered("foreign", Office, false),
        &[(K, "foreign")],
    );
    world.expect(&anna(), &disinfected("foreign"), &[(K, "foreign")]);
    world.expect(
        &anna(),
        &released("h1", &["foreign"], Office),
        &[(K, "foreign")],
    );
    world.expect(
        &tom(),
        &received("h1", Lab, &[found("foreign", Outcome::Sound, true)]),
        &[(K, "foreign")],
    );
    world.expect(
        &dora(),
        &fitted("duplicate upper", Some("foreign")),
        &[(K, "foreign")],
    );
    // A thing that nobody has registered is nowhere.
    let bare = World::bare(Arches::Both);
    bare.expect(&anna(), &disinfected("bite"), &[(K, "bite")]);
    bare.expect(&anna(), &registered("bite", Office, false), &[]);
}

#[test]
fn l_one_person_does_not_both_release_and_receive() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite"]);
    let receipt = received("h1", Lab, &[found("bite", Outcome::Sound, true)]);
    world.expect(&tom(), &receipt, &[]);
    world.expect(&mara(), &receipt, &[]);
    // The same account, moved to the lab meanwhile.
    world.expect(
        &actor("anna", Role::Technician, "kiln"),
        &receipt,
        &[(L, "")],
    );
}

#[test]
fn a_receipt_answers_for_every_thing_of_its_handoff() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["bite", "facebow"]);
    let (bite, facebow) = (
        found("bite", Outcome::Sound, true),
        found("facebow", Outcome::Damaged, true),
    );
    world.expect(
        &tom(),
        &received("h1", Lab, &[bite.clone(), facebow.clone()]),
        &[],
    );
    world.expect(
        &tom(),
        &received("h1", Lab, std::slice::from_ref(&bite)),
        &[(Form, "facebow")],
    );
    world.expect(
        &tom(),
        &received("h2", Lab, &[bite.clone(), facebow.clone()]),
        &[(Form, "")],
    );
    world.expect(
        &tom(),
        &received(
            "h1",
            Lab,
            &[
                bite.clone(),
                facebow.clone(),
                found("cast upper", Outcome::Sound, true),
            ],
        ),
        &[(Form, "cast upper"), (A, "cast upper")],
    );
    world.expect(
        &anna(),
        &received("h1", Office, &[bite.clone(), facebow.clone()]),
        &[(Right, ""), (A, "bite"), (A, "facebow"), (L, "")],
    );
    // What is missing stays with the carrier, and may turn up.
    world.does(
        &tom(),
        received(
            "h1",
            Lab,
            &[bite, found("facebow", Outcome::Missing, false)],
        ),
    );
    assert!(world.state("facebow").missing);
    assert_eq!(world.state("facebow").holder, Holder::Carrier { to: Lab });
    world.does(&mara(), received("h1", Lab, std::slice::from_ref(&facebow)));
    let state = world.state("facebow");
    assert_eq!(
        (state.holder, state.condition, state.missing),
        (Holder::Lab, Condition::Damaged, false)
    );
}

#[test]
fn a_handoff_has_its_own_number_things_in_it_and_a_carrier() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("facebow"));
    world.sends(&anna(), "h1", &["bite"]);
    world.expect(&anna(), &released("h2", &["facebow"], Office), &[]);
    world.expect(
        &anna(),
        &released("h1", &["facebow"], Office),
        &[(Form, "")],
    );
    world.expect(&anna(), &released("h2", &[], Office), &[(Form, "")]);
    let What::Released(one) = released("h2", &["facebow"], Office) else {
        panic!()
    };
    let nobody = What::Released(Released {
        carrier: String::from(" "),
        ..one
    });
    world.expect(&anna(), &nobody, &[(Form, "")]);
    // One releases out of one's own hands.
    world.expect(&anna(), &released("h2", &["facebow"], Lab), &[(Right, "")]);
}

#[test]
fn a_handoff_is_for_something_that_its_side_hands_things_over_for() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("facebow"));
    let with = |code: Option<Purpose>, words: &str| {
        let mut what = released("h1", &["facebow"], Office);
        if let What::Released(Released {
            purpose_code,
            purpose,
            ..
        }) = &mut what
        {
            (*purpose_code, *purpose) = (code, words.to_owned());
        }
        what
    };
    for purpose in Purpose::ALL {
        let wrong: &[(CustodyRule, &str)] = match purpose {
            Purpose::Record | Purpose::Trial | Purpose::Finished => &[(Form, "")],
            // The office's own things did not come from the lab.
            Purpose::GoingBack | Purpose::Stray => &[(Form, "facebow")],
            _ => &[],
        };
        world.expect(&anna(), &with(Some(*purpose), "in words"), wrong);
        let nothing_said = match purpose {
            Purpose::Other => &[(Form, "")],
            _ => wrong,
        };
        world.expect(&anna(), &with(Some(*purpose), " "), nothing_said);
    }
    // As entries were before there was a list.
    world.expect(&anna(), &with(None, ""), &[]);
}

#[test]
fn a_purpose_is_read_with_what_was_added_to_it() {
    for (purpose, remark, words) in [
        (None, "", ""),
        (None, "mounting", "mounting"),
        (Some(Purpose::Make), "", "for fabrication"),
        (Some(Purpose::Make), "upper", "for fabrication: upper"),
        (Some(Purpose::Other), "to be weighed", "to be weighed"),
    ] {
        assert_eq!(purpose_words(purpose, remark), words);
    }
    // Every word of the list is offered by one of the two sides at least.
    for purpose in Purpose::ALL {
        let offered = |side| Purpose::of(side).contains(purpose);
        assert!(offered(Office) || offered(Lab), "{purpose:?}");
    }
}

#[test]
fn strangers_and_administrators_touch_nothing() {
    let world = World::begun();
    for by in everybody().into_iter().skip(4) {
        world.expect(&by, &disinfected("bite"), &[(Right, "")]);
        world.expect(&by, &disinfected("final upper"), &[(Right, "")]);
    }
    // A role of the one house with the number of the other opens no door either.
    world.expect(
        &actor("x", Role::Dentist, "kiln"),
        &disinfected("bite"),
        &[(Right, "")],
    );
    world.expect(
        &actor("x", Role::Technician, "northgate"),
        &disinfected("bite"),
        &[(Right, "")],
    );
}

#[test]
fn what_the_patient_wears_is_the_offices_to_record() {
    let mut world = World::begun();
    world.sends(&anna(), "h1", &["duplicate upper", "old upper"]);
    world.takes(&tom(), "h1", &["duplicate upper", "old upper"]);
    world.expect(
        &tom(),
        &fitted("duplicate upper", Some("provisional upper")),
        &[(Right, "")],
    );
    let out = What::TakenOut(TakenOut {
        tag: tag("provisional upper"),
        exception: None,
    });
    world.expect(&tom(), &out, &[(Right, ""), (B, "provisional upper")]);
    let kept = What::Withheld(Withheld {
        tag: tag("old upper"),
        consent: true,
        kept: "here".to_owned(),
    });
    world.expect(&tom(), &kept, &[(Right, "")]);
    world.expect(
        &tom(),
        &registered("bite", Office, false),
        &[(F, "bite"), (Right, "bite")],
    );
}

#[test]
fn only_dentures_are_worn() {
    let world = World::begun();
    world.expect(&dora(), &fitted("bite", None), &[(Form, "bite")]);
    let bare = World::bare(Arches::Both);
    bare.expect(
        &dora(),
        &registered("bite", Office, true),
        &[(Form, "bite")],
    );
    bare.expect(
        &tom(),
        &registered("final upper", Lab, true),
        &[(Form, "final upper")],
    );
    let not_worn = What::TakenOut(TakenOut {
        tag: tag("duplicate upper"),
        exception: signed("pain"),
    });
    world.expect(
        &dora(),
        &not_worn,
        &[(Form, "duplicate upper"), (A, "duplicate upper")],
    );
}

#[test]
fn a_case_stands_where_its_things_are() {
    use crate::domain::custody::case::Place;
    let place = |world: &World| world.stands().places[0];
    let to_fit = |world: &World| world.stands().to_fit;
    let mut world = World::bare(Arches::Upper);
    world.does(&dora(), registered("provisional upper", Office, true));
    world.does(&dora(), registered("bite", Office, false));
    assert_eq!(place(&world), Place::Office);
    world.sends(&anna(), "h1", &["bite"]);
    assert_eq!(place(&world), Place::OnTheWay);
    world.takes(&tom(), "h1", &["bite"]);
    world.does(&tom(), registered("final upper", Lab, false));
    assert_eq!(place(&world), Place::Lab);
    world.sends(&tom(), "h2", &["bite", "final upper"]);
    let on_the_way = world.stands();
    let waiting: Vec<String> = on_the_way
        .waiting_for
        .iter()
        .map(ToString::to_string)
        .collect();
    assert_eq!(waiting, ["the office: check in the parcel"]);
    assert!(!to_fit(&world));
    world.takes(&anna(), "h2", &["bite", "final upper"]);
    assert_eq!(place(&world), Place::Office);
    assert!(to_fit(&world));
    world.does(&dora(), fitted("final upper", Some("provisional upper")));
    assert_eq!(place(&world), Place::Patient);
    assert!(!to_fit(&world));
    // A cast that stays at the lab does not hold the case there.
    world.does(&tom(), registered("cast upper", Lab, false));
    assert_eq!(place(&world), Place::Patient);
}

#[test]
fn the_lab_registers_no_provisional_and_no_old_denture_of_its_own() {
    // Common practice, no source: these come from the office, and the office answers for their leaving.
    let mut world = World::bare(Arches::Upper);
    for (name, refusals) in [
        ("provisional upper", &[(C, "provisional upper")][..]),
        ("old upper", &[(C, "old upper")]),
        ("final upper", &[]),
    ] {
        world.expect(&tom(), &registered(name, Lab, false), refusals);
    }
    world.does(&dora(), registered("provisional upper", Office, false));
}
