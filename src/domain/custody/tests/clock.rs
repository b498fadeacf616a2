//! A clock that was ahead once, and the word by which work goes on.

use super::*;
use CustodyRule::I;

const YEAR_MS: i64 = 365 * 24 * 60 * MINUTE_MS;

/// The bite record was touched by a clock that was a year ahead; it is right again now.
fn after_a_wrong_clock() -> (World, i64) {
    let mut world = World::begun();
    let right = world.now_ms;
    world.now_ms += YEAR_MS;
    world.does(&anna(), disinfected("bite"));
    world.now_ms = right;
    (world, right + YEAR_MS + MINUTE_MS)
}

fn against(world: &World, what: &What, at_ms: i64, entered_ms: i64) -> Vec<(CustodyRule, String)> {
    let (at, entered) = (Moment::new(at_ms, 60), Moment::new(entered_ms, 60));
    let refusals = allow_entered(&world.context(), what, &anna(), at, entered);
    let said = refusals.into_iter().map(|one| (one.rule, one.sentence));
    said.collect()
}

#[test]
fn r6_what_a_wrong_clock_has_touched_waits_for_a_word_and_is_told_so() {
    let (world, _) = after_a_wrong_clock();
    let now = world.now_ms + MINUTE_MS;
    let said = against(&world, &disinfected("bite"), now, now);
    assert!(
        matches!(said.as_slice(), [(I, words)] if words.contains("has not come yet") && words.contains("vestibule clock")),
        "{said:?}"
    );
    assert_eq!(against(&world, &disinfected("facebow"), now, now), []);
}

#[test]
fn r6_after_the_word_work_goes_on_in_the_order_of_the_right_clock() {
    let (mut world, ahead_ms) = after_a_wrong_clock();
    let given_ms = world.now_ms + MINUTE_MS;
    world.clock = vec![ClockWord { given_ms, ahead_ms }];
    // Nothing is let through that is earlier than the word.
    let entry = disinfected("bite");
    assert_eq!(against(&world, &entry, given_ms - 1, given_ms).len(), 1);
    assert_eq!(against(&world, &entry, given_ms, given_ms), []);
    world.now_ms = given_ms + 5 * MINUTE_MS;
    world.does(&anna(), entry.clone());
    let last = world.now_ms;
    assert_eq!(fold(&world.events)[&tag("bite")].last_at.unix_ms, last);
    // From here on, its own order holds again.
    let said = against(&world, &entry, last - 1, last + MINUTE_MS);
    assert!(
        matches!(said.as_slice(), [(I, words)] if words.contains("check the day")),
        "{said:?}"
    );
    assert_eq!(against(&world, &entry, last + 1, last + MINUTE_MS), []);
}

#[test]
fn r6_a_word_counts_up_to_its_own_moment_and_only_while_that_has_not_come() {
    let (mut world, ahead_ms) = after_a_wrong_clock();
    let entry = disinfected("bite");
    let now = world.now_ms + 10 * MINUTE_MS;
    world.clock = vec![ClockWord {
        given_ms: now,
        ahead_ms: ahead_ms - 1,
    }];
    assert_eq!(
        against(&world, &entry, now, now).len(),
        1,
        "of a later clock"
    );
    world.clock = vec![ClockWord {
        given_ms: now,
        ahead_ms,
    }];
    // A year later the moment has come: a paper of before is out of order as any other.
    let later = ahead_ms + YEAR_MS / 4;
    assert_eq!(against(&world, &entry, ahead_ms - 1, later).len(), 1);
    assert_eq!(against(&world, &entry, later, later), []);
}

#[test]
fn r6_what_the_patient_wears_goes_on_as_well() {
    let mut world = World::begun();
    let right = world.now_ms;
    world.now_ms += YEAR_MS;
    world.does(
        &dora(),
        fitted("duplicate upper", Some("provisional upper")),
    );
    let ahead_ms = world.now_ms;
    world.now_ms = right;
    let back = fitted("provisional upper", Some("duplicate upper"));
    let at = Moment::new(right + MINUTE_MS, 60);
    let refused = |world: &World| {
        let refusals = allow(&world.context(), &back, &dora(), at);
        refusals.iter().any(|one| one.rule == I)
    };
    assert!(refused(&world));
    world.clock = vec![ClockWord {
        given_ms: right,
        ahead_ms,
    }];
    assert!(!refused(&world));
    world.does(&dora(), back);
    assert_eq!(world.worn(Arch::Upper), Some("provisional upper"));
}
