//! Late entries, and the end of a case.

use super::*;
use crate::domain::values::ids::EventId;
use CustodyRule::{Closed as ClosedCase, F, Form, I, Kept, Right};
use Side::Lab;

#[test]
fn i_a_late_entry_is_in_order_for_its_thing_and_never_in_the_future() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    let last = world.now_ms;
    let now = Moment::new(last + 60 * MINUTE_MS, 60);
    let ask = |what: &What, at_ms| {
        allow_entered(&world.context(), what, &anna(), Moment::new(at_ms, 60), now)
            .iter()
            .map(|one| (one.rule, one.tag.as_ref().map_or("", name)))
            .collect::<Vec<_>>()
    };
    let entry = disinfected("bite");
    assert_eq!(ask(&entry, last), []);
    assert_eq!(ask(&entry, last - 1), [(I, "bite")]);
    assert_eq!(ask(&entry, now.unix_ms), []);
    assert_eq!(ask(&entry, now.unix_ms + 1), [(I, "")]);
    // Another thing has an order of its own.
    assert_eq!(ask(&disinfected("facebow"), last - 1), []);
}

#[test]
fn i_a_late_entry_is_told_as_late_with_both_times_and_the_name_on_the_paper() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    let event = world.events.last().unwrap();
    assert!(!describe(&world.items, event).late);
    let late = Event {
        entered_at: Moment::new(event.at.unix_ms + 90 * MINUTE_MS, 60),
        paper: Some("J. Field".to_owned()),
        ..event.clone()
    };
    let description = describe(&world.items, &late);
    assert!(description.late);
    let words = description.details.join(" ");
    assert!(words.contains("Late entry, written down on"), "{words}");
    assert!(words.contains("the name on it: J. Field"), "{words}");
    assert_eq!(description.when, event.at.in_words());
    // The name on the paper answers for the thing, not whoever copied it.
    let state = fold(&[world.events[0].clone(), late]);
    assert!(state.len() == 1);
}

fn close(world: &World) -> What {
    What::Closed(Closed {
        items: dispositions(&world.context().scope(), &world.case_state()).unwrap_or_default(),
        note: String::new(),
        nothing_made: false,
        signed: under("dora"),
    })
}

/// Both finals are worn, the duplicates are spares, the rest lies where it belongs.
fn at_its_end() -> World {
    let mut world = World::begun();
    world.sends(&tom(), "h1", &["final upper", "final lower"]);
    world.takes(&anna(), "h1", &["final upper", "final lower"]);
    for (new, out) in [
        ("final upper", "provisional upper"),
        ("final lower", "provisional lower"),
    ] {
        world.does(&dora(), fitted(new, Some(out)));
    }
    for thing in ["duplicate upper", "duplicate lower"] {
        world.does(&dora(), given(thing));
    }
    world.does(&dora(), destroyed("old lower", "the patient's wish"));
    let kept = What::Withheld(Withheld {
        tag: tag("old upper"),
        consent: true,
        kept: "drawer 3".to_owned(),
    });
    world.does(&dora(), kept);
    world.does(&tom(), used_up("cast upper", "broken out"));
    let parts = What::GivenBack(GivenBack {
        tag: tag("parts"),
        pieces: 4,
    });
    world.does(&dora(), parts);
    world
}

#[test]
fn a_case_is_closed_when_every_thing_has_its_end() {
    let mut world = at_its_end();
    let ends = dispositions(&world.context().scope(), &world.case_state()).unwrap();
    let end = |thing: &str| {
        ends.iter()
            .find(|one| one.tag == tag(thing))
            .unwrap()
            .disposition
    };
    for (thing, disposition) in [
        ("final upper", Disposition::Worn),
        ("duplicate upper", Disposition::Spare),
        ("old upper", Disposition::KeptBack),
        ("old lower", Disposition::Destroyed),
        ("cast upper", Disposition::UsedUp),
        ("parts", Disposition::GivenBack),
        ("provisional upper", Disposition::AtOffice),
        ("facebow", Disposition::ReturnedToLender),
    ] {
        assert_eq!(end(thing), disposition, "{thing}");
    }
    world.expect(&tom(), &close(&world), &[(Right, "")]);
    world.expect(&dora(), &close(&world), &[]);
    // What the page showed must still be so.
    let stale = What::Closed(Closed {
        items: ends[1..].to_vec(),
        note: String::new(),
        nothing_made: false,
        signed: under("dora"),
    });
    world.expect(&dora(), &stale, &[(Form, "")]);
    let end = close(&world);
    world.does(&dora(), end);
    assert!(is_closed(&world.events));
}

/// What the prescription leaves with the lab is asked of nobody.
#[test]
fn what_does_not_come_back_by_the_prescription_keeps_no_case_open() {
    let mut world = at_its_end();
    world.sends(&anna(), "h9", &["provisional upper", "bite"]);
    world.takes(&tom(), "h9", &["provisional upper", "bite"]);
    let at_the_lab = |thing: &str| (tag(thing), Disposition::AtLab);
    for (pattern, records, undecided) in [
        (false, false, 2),
        (true, false, 1),
        (false, true, 1),
        (true, true, 0),
    ] {
        let context = Context {
            stays: StaysAtLab { pattern, records },
            ..world.context()
        };
        let ends = dispositions(&context.scope(), &world.case_state());
        let found = ends.as_ref().map_or_else(Vec::len, |_| 0);
        assert_eq!(found, undecided, "{pattern} {records}");
        if let Ok(ends) = ends {
            let ends: Vec<_> = ends
                .into_iter()
                .map(|one| (one.tag, one.disposition))
                .collect();
            assert!(ends.contains(&at_the_lab("provisional upper")));
            assert!(ends.contains(&at_the_lab("bite")));
        }
    }
}

#[test]
fn a_closed_case_stays_as_it_is_until_it_is_opened_again() {
    let reopen = |reason: &str| {
        What::Reopened(Reopened {
            reason: reason.to_owned(),
        })
    };
    let mut world = at_its_end();
    world.expect(&dora(), &reopen("a sore spot"), &[(ClosedCase, "")]);
    let end = close(&world);
    world.does(&dora(), end);
    world.expect(&anna(), &disinfected("bite"), &[(ClosedCase, "")]);
    let note = What::Corrected(Corrected {
        event: EventId::new("event 0"),
        note: "it was the second one".to_owned(),
    });
    world.expect(&anna(), &note, &[]);
    world.expect(&tom(), &reopen("a sore spot"), &[(Right, "")]);
    world.expect(&dora(), &reopen(" "), &[(Form, "")]);
    world.does(&dora(), reopen("a sore spot"));
    assert!(!is_closed(&world.events));
    world.expect(&anna(), &disinfected("bite"), &[]);
    // Nothing happened since: closed once more.
    world.expect(&dora(), &close(&world), &[]);
}

#[test]
fn a_case_stays_open_while_a_thing_is_not_where_it_belongs() {
    let against = |world: &World| {
        dispositions(&world.context().scope(), &world.case_state())
            .unwrap_err()
            .join(" ")
    };
    let world = World::begun();
    let words = against(&world);
    for part in [
        "its final denture is not fitted",
        "keep it back with the patient's consent, or destroy it",
        "give it back, or say what it was used for",
        "it belongs to the office or the patient",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    // What the office sent comes back or is used up; what the lab made may stay there, and an impression that is poured.
    let mut world = at_its_end();
    world.sends(&anna(), "h2", &["bite", "impression"]);
    world.takes(&tom(), "h2", &["bite", "impression"]);
    let words = against(&world);
    let lacks = "went out from the office and has not come back";
    assert_eq!(words.matches(lacks).count(), 1, "{words}");
    let bite = format!("{} (", tag("bite"));
    assert!(words.starts_with(&bite), "{words}");
    world.does(&tom(), used_up("bite", "the mounting"));
    assert!(dispositions(&world.context().scope(), &world.case_state()).is_ok());

    let mut world = at_its_end();
    world.sends(&anna(), "h2", &["facebow", "bite"]);
    assert!(against(&world).contains("is still on the way"));
    world.does(
        &tom(),
        received(
            "h2",
            Lab,
            &[
                found("facebow", Outcome::Sound, true),
                found("bite", Outcome::Damaged, true),
            ],
        ),
    );
    let words = against(&world);
    assert!(words.contains("is borrowed: send it back"), "{words}");
    assert!(
        words.contains("Not resolved yet: Bite record arrived damaged."),
        "{words}"
    );
    world.expect(
        &dora(),
        &close(&world),
        &[(Form, ""), (Form, ""), (Form, "")],
    );
}

fn kept_longer(ends: bool, reason: &str) -> What {
    What::KeptLonger(KeptLonger {
        from: Side::Office,
        ends,
        reason: reason.to_owned(),
        signed: under("dora"),
    })
}

#[test]
fn papers_are_kept_longer_by_the_dentist_until_that_is_lifted_and_keep_their_texts() {
    let mut world = at_its_end();
    let keep = kept_longer(false, "a complaint is open");
    let lift = kept_longer(true, "the complaint was withdrawn");
    let erase = What::Erased(Erased {
        texts: vec![ErasedText {
            event: EventId::new("event 0"),
            place: "/what/note".to_owned(),
        }],
        why: EraseReason::NamesPatient,
        signed: under("dora"),
    });
    world.expect(&dora(), &lift, &[(F, "")]);
    world.expect(&tom(), &keep, &[(Right, "")]);
    world.expect(&anna(), &keep, &[(Right, "")]);
    world.expect(&dora(), &kept_longer(false, " "), &[(Form, "")]);
    let end = close(&world);
    world.does(&dora(), end);
    // Also of a case that is closed; it stays closed, and no list of what is done changes.
    world.does(&dora(), keep.clone());
    assert!(is_closed(&world.events));
    world.expect(&dora(), &keep, &[(F, "")]);
    let refusals = |world: &World| {
        let at = Moment::new(world.now_ms + MINUTE_MS, 60);
        let refusals = allow(&world.context(), &erase, &dora(), at).into_iter();
        let kept = refusals.filter(|one| one.rule == Kept);
        kept.map(|one| one.sentence).collect::<Vec<_>>()
    };
    let refused = refusals(&world);
    assert!(refused[0].contains("a complaint is open"), "{refused:?}");
    world.does(&dora(), lift.clone());
    assert_eq!(refusals(&world), Vec::<String>::new());
    assert_eq!(world.case_state().kept_longer.words(), None);
    world.expect(&dora(), &lift, &[(F, "")]);
    world.expect(&dora(), &keep, &[]);
    // The lab has papers of its own, and its manager's word: neither house lifts the other's.
    let of_lab = |ends: bool| match kept_longer(ends, "a claim against the lab") {
        What::KeptLonger(one) => What::KeptLonger(KeptLonger { from: Lab, ..one }),
        other => other,
    };
    world.expect(&tom(), &of_lab(false), &[(Right, "")]);
    world.does(&mara(), of_lab(false));
    world.expect(&mara(), &of_lab(false), &[(F, "")]);
    let refused = refusals(&world);
    assert!(
        refused[0].contains("a claim against the lab"),
        "{refused:?}"
    );
    world.expect(&dora(), &lift, &[(F, "")]);
    world.expect(&mara(), &lift, &[(Right, ""), (F, "")]);
    world.does(&mara(), of_lab(true));
    assert_eq!(refusals(&world), Vec::<String>::new());
}
