//! The ribbon says what the fold says: lanes, signs and places in a table, and in walks at random.

use super::walk::{any_arches, moves, walk};
use super::*;
use crate::domain::custody::mouth::Wears;
use crate::domain::custody::ribbon::{
    Lane, MARGIN, Quality, Ribbon, RibbonLine, SIGN, Sign, SignShape, Stay, ribbon, rows,
};
use proptest::prelude::*;
use std::collections::BTreeSet;

const BOTH: [Arch; 2] = [Arch::Upper, Arch::Lower];

fn drawn(world: &World) -> Ribbon {
    let now = Moment::new(world.now_ms + MINUTE_MS, 60);
    ribbon(&world.items, &world.events, &world.case_state(), &BOTH, now)
}

fn line<'a>(ribbon: &'a Ribbon, thing: &str) -> &'a RibbonLine {
    ribbon
        .lines
        .iter()
        .find(|line| line.tag == tag(thing))
        .unwrap()
}

fn lanes(line: &RibbonLine) -> Vec<Lane> {
    let mut lanes: Vec<Lane> = line.stays.iter().map(|stay| stay.lane).collect();
    lanes.dedup();
    lanes
}

fn letters(line: &RibbonLine) -> String {
    line.marks.iter().map(|mark| mark.sign.letter()).collect()
}

/// Three things go to the lab and one comes back; the cast is made there.
fn course() -> World {
    let mut world = World::begun();
    for (copy, worn) in [
        ("duplicate upper", "provisional upper"),
        ("duplicate lower", "provisional lower"),
    ] {
        world.does(&dora(), fitted(copy, Some(worn)));
    }
    let sent = ["provisional upper", "bite", "facebow"];
    world.sends(&anna(), "handoff 1", &sent);
    let mut items: Vec<Found> = ["provisional upper", "facebow"]
        .map(|thing| found(thing, Outcome::Sound, true))
        .to_vec();
    items.push(found("bite", Outcome::Damaged, true));
    world.does(&tom(), received("handoff 1", Side::Lab, &items));
    world
}

#[test]
fn a_line_goes_from_lane_to_lane_as_the_item_goes_from_hand_to_hand() {
    let mut world = course();
    let table = [
        (
            "provisional upper",
            vec![Lane::Patient, Lane::Office, Lane::OnTheWay, Lane::Lab],
            "ROD",
        ),
        ("duplicate upper", vec![Lane::Office, Lane::Patient], "RF"),
        ("bite", vec![Lane::Office, Lane::OnTheWay, Lane::Lab], "RD!"),
        ("cast upper", vec![Lane::Lab], "R"),
    ];
    let ribbon = drawn(&world);
    for (thing, expected, signs) in table {
        let line = line(&ribbon, thing);
        assert_eq!(lanes(line), expected, "{thing}");
        assert_eq!(letters(line), signs, "{thing}");
    }
    world.resolves_all();
    world.does(&tom(), used_up("bite", "read into the articulator"));
    let ribbon = drawn(&world);
    let bite = line(&ribbon, "bite");
    assert_eq!(letters(bite), "RD!SU");
    assert_eq!(bite.gone, Some(Gone::UsedUp));
    let last = bite.stays.last().unwrap();
    assert!(
        last.to.is_some() && last.to_x < ribbon.now_x,
        "the line ends"
    );
}

#[test]
fn what_is_on_hold_or_missing_is_seen_along_the_line_until_it_is_resolved() {
    let world = course();
    let quality = |ribbon: &Ribbon, thing| line(ribbon, thing).stays.last().unwrap().quality;
    assert_eq!(quality(&drawn(&world), "bite"), Quality::Held);
    assert_eq!(quality(&drawn(&world), "facebow"), Quality::Plain);
    let mut resolved = world.clone();
    resolved.resolves_all();
    assert_eq!(quality(&drawn(&resolved), "bite"), Quality::Plain);
    assert_eq!(letters(line(&drawn(&resolved), "bite")), "RD!S");

    let mut lost = world;
    lost.sends(&tom(), "handoff 2", &["facebow"]);
    let missing = found("facebow", Outcome::Missing, false);
    lost.does(&anna(), received("handoff 2", Side::Office, &[missing]));
    let ribbon = drawn(&lost);
    let facebow = line(&ribbon, "facebow");
    assert_eq!(facebow.stays.last().unwrap().quality, Quality::Missing);
    assert_eq!(facebow.stays.last().unwrap().lane, Lane::OnTheWay);
    assert!(letters(facebow).ends_with('?'));
}

#[test]
fn what_stands_before_a_hold_at_the_same_time_was_not_held_yet() {
    let mut world = World::begun();
    world.does(&anna(), disinfected("bite"));
    // Copied from paper, where everything has the same minute.
    let at = Moment::new(world.now_ms + MINUTE_MS, 60);
    world.append(&anna(), released("handoff 1", &["bite"], Side::Office), at);
    let damaged = found("bite", Outcome::Damaged, true);
    world.append(&tom(), received("handoff 1", Side::Lab, &[damaged]), at);
    world.now_ms += 2 * MINUTE_MS;
    let hold = open_holds(&world.events).remove(0);
    world.append(&dora(), resolution(&hold), at);
    let ribbon = drawn(&world);
    let bite = line(&ribbon, "bite");
    let drawn: Vec<_> = bite
        .stays
        .iter()
        .map(|stay| (stay.lane, stay.quality))
        .collect();
    assert_eq!(
        drawn,
        [
            (Lane::Office, Quality::Plain),
            (Lane::OnTheWay, Quality::Plain),
            (Lane::Lab, Quality::Held),
            (Lane::Lab, Quality::Plain),
        ]
    );
    assert_eq!(letters(bite), "RD!S");
}

#[test]
fn an_item_without_a_mark_of_disinfection_is_held_until_it_is_disinfected() {
    let mut world = course();
    world.sends(&tom(), "handoff 2", &["facebow"]);
    let unmarked = found("facebow", Outcome::Sound, false);
    world.does(&anna(), received("handoff 2", Side::Office, &[unmarked]));
    let ribbon = drawn(&world);
    let facebow = line(&ribbon, "facebow");
    assert_eq!(facebow.stays.last().unwrap().quality, Quality::Held);
    world.does(&anna(), disinfected("facebow"));
    let ribbon = drawn(&world);
    let facebow = line(&ribbon, "facebow");
    assert_eq!(facebow.stays.last().unwrap().quality, Quality::Plain);
    assert!(letters(facebow).ends_with("HD"), "{}", letters(facebow));
}

#[test]
fn a_correction_shows_on_every_line_it_is_about() {
    let mut world = course();
    let release = world
        .events
        .iter()
        .find(|event| matches!(event.what, What::Released(_)))
        .map(|event| event.id.clone())
        .unwrap();
    let correction = What::Corrected(Corrected {
        event: release,
        note: "the carrier was another".to_owned(),
    });
    world.does(&anna(), correction);
    let ribbon = drawn(&world);
    for thing in ["provisional upper", "bite", "facebow"] {
        assert!(letters(line(&ribbon, thing)).ends_with('C'), "{thing}");
    }
    assert!(!letters(line(&ribbon, "impression")).contains('C'));
}

#[test]
fn a_late_entry_stands_where_it_happened_and_is_marked() {
    let mut world = World::begun();
    let at = Moment::new(world.now_ms + 2 * MINUTE_MS, 60);
    world.append(&anna(), disinfected("bite"), at);
    let last = world.events.last_mut().unwrap();
    last.entered_at = Moment::new(at.unix_ms + 600 * MINUTE_MS, 60);
    last.paper = Some("Anna".to_owned());
    world.now_ms += 601 * MINUTE_MS;
    world.does(&anna(), disinfected("impression"));
    let ribbon = drawn(&world);
    let bite = line(&ribbon, "bite");
    let mark = bite.marks.last().unwrap();
    assert_eq!(mark.at, at);
    assert_eq!(bite.late, [(Lane::Office, mark.x)]);
    assert!(mark.x < line(&ribbon, "impression").marks.last().unwrap().x);
    assert!(line(&ribbon, "impression").late.is_empty());
}

#[test]
fn minutes_and_weeks_are_both_readable() {
    const DAY: i64 = 24 * 60;
    let table = [
        (1, ""),
        (59, ""),
        (60, "1 h"),
        (DAY - 1, "23 h"),
        (DAY, "1 day"),
        (2 * DAY, "2 days"),
        (20 * DAY, "20 days"),
        (21 * DAY, "3 weeks"),
        (400 * DAY, "57 weeks"),
    ];
    let mut before = 0;
    for (minutes, words) in table {
        let mut world = World::bare(Arches::Both);
        world.does(&anna(), registered("bite", Side::Office, false));
        world.now_ms += (minutes - 1) * MINUTE_MS;
        world.does(&anna(), disinfected("bite"));
        let ribbon = drawn(&world);
        let [first, second] = [&ribbon.columns[0], &ribbon.columns[1]];
        assert_eq!(first.idle, words, "{minutes} min");
        let room = second.x - first.end_x;
        assert!(
            (20..=100).contains(&room) && room >= before,
            "{minutes} min: {room}"
        );
        before = room;
    }
}

#[test]
fn the_mouth_is_drawn_from_not_known_to_what_is_worn() {
    let mut world = World::bare(Arches::Upper);
    world.does(&anna(), registered("bite", Side::Office, false));
    world.does(&dora(), registered("provisional upper", Side::Office, true));
    let exception = signed("it broke");
    let out = What::TakenOut(TakenOut {
        tag: tag("provisional upper"),
        exception,
    });
    world.does(&dora(), out);
    let now = Moment::new(world.now_ms + MINUTE_MS, 60);
    let ribbon = ribbon(
        &world.items,
        &world.events,
        &world.case_state(),
        &[Arch::Upper],
        now,
    );
    let [(Arch::Upper, bars)] = ribbon.mouth.as_slice() else {
        panic!("one arch is treated");
    };
    let wears: Vec<&Wears> = bars.iter().map(|bar| &bar.wears).collect();
    let provisional = Wears::Item(tag("provisional upper"));
    assert_eq!(wears, [&Wears::Unknown, &provisional, &Wears::Nothing]);
}

#[test]
fn nothing_registered_is_an_empty_ribbon() {
    let world = World::bare(Arches::Both);
    let ribbon = drawn(&world);
    assert_eq!((ribbon.lines.len(), ribbon.columns.len()), (0, 0));
    assert!(rows(&ribbon.lines).iter().all(|(_, rows)| rows.is_empty()));
    assert_eq!(ribbon.width, 2 * MARGIN);
}

#[test]
fn every_sign_has_a_letter_and_shape_of_its_own() {
    let shapes: BTreeSet<String> = Sign::ALL
        .iter()
        .map(|sign| format!("{}{:?}", sign.letter(), sign.shape()))
        .collect();
    assert_eq!(shapes.len(), Sign::ALL.len());
    let letters: BTreeSet<char> = Sign::ALL.iter().map(|sign| sign.letter()).collect();
    assert_eq!(
        letters.len(),
        Sign::ALL.len(),
        "a letter alone tells the sign"
    );
    assert_eq!(Sign::Destroyed.shape(), SignShape::Disc);
}

/// Every moment at which something could change, the moments beside it, and some between.
fn moments(world: &World) -> Vec<i64> {
    let mut moments: Vec<i64> = world
        .events
        .iter()
        .flat_map(|event| [-1, 0, 1, MINUTE_MS / 2].map(|by| event.at.unix_ms + by))
        .collect();
    moments.push(world.now_ms);
    moments
}

/// The one who holds at a moment by the ribbon is the one who holds by the fold: exactly one.
fn check_holders(world: &World, ribbon: &Ribbon) {
    for ms in moments(world) {
        let custody = at(&world.events, ms);
        for line in &ribbon.lines {
            let covers =
                |stay: &&Stay| stay.from.unix_ms <= ms && stay.to.is_none_or(|to| ms < to.unix_ms);
            let stays: Vec<_> = line.stays.iter().filter(covers).collect();
            match custody.get(&line.tag).filter(|state| state.gone.is_none()) {
                None => assert!(
                    stays.is_empty(),
                    "{} is drawn and not there",
                    name(&line.tag)
                ),
                Some(state) => {
                    assert_eq!(stays.len(), 1, "{}", name(&line.tag));
                    assert_eq!(stays[0].holder, state.holder);
                    assert_eq!(stays[0].lane, Lane::of(state.holder));
                    assert_eq!(stays[0].answers, state.answers);
                    assert_eq!(stays[0].quality == Quality::Missing, state.missing);
                }
            }
        }
    }
}

/// What waits by the holds is drawn as held now, unless it is missing or gone.
fn check_held(world: &World, ribbon: &Ribbon) {
    let open = open_holds(&world.events);
    for line in ribbon.lines.iter().filter(|line| line.gone.is_none()) {
        let is_held = open.iter().any(|hold| hold.waiting.contains(&line.tag));
        let quality = line.stays.last().unwrap().quality;
        assert!(!is_held || quality != Quality::Plain, "{}", name(&line.tag));
    }
}

/// Lines have no gap, signs do not lie on each other, and nothing leaves the picture.
fn check_places(ribbon: &Ribbon) {
    for pair in ribbon.columns.windows(2) {
        assert!(pair[0].x < pair[0].end_x && pair[0].end_x < pair[1].x);
        assert!(pair[0].at < pair[1].at);
    }
    for line in &ribbon.lines {
        for stay in &line.stays {
            assert!(stay.from_x <= stay.to_x && stay.to_x <= ribbon.now_x);
        }
        for pair in line.stays.windows(2) {
            // Between an end by mistake and its withdrawal nothing is drawn.
            let mut marks = line.marks.iter();
            if marks.any(|mark| mark.sign == Sign::Withdrawn && mark.at == pair[1].from) {
                assert!(pair[0].to_x <= pair[1].from_x && pair[0].to <= Some(pair[1].from));
                continue;
            }
            assert_eq!(
                (pair[0].to_x, pair[0].to),
                (pair[1].from_x, Some(pair[1].from))
            );
        }
        for pair in line.marks.windows(2) {
            assert!(pair[1].x >= pair[0].x + SIGN, "signs lie on each other");
        }
        assert!(line.marks.iter().all(|mark| mark.x < ribbon.width));
        assert_eq!(line.gone.is_some(), line.stays.last().unwrap().to.is_some());
    }
    for (_, bars) in &ribbon.mouth {
        assert_eq!(
            (bars[0].from_x, bars[bars.len() - 1].to_x),
            (0, ribbon.now_x)
        );
        assert!(bars.windows(2).all(|pair| pair[0].to_x == pair[1].from_x));
    }
    for (lane, places) in rows(&ribbon.lines) {
        let unique: BTreeSet<_> = places.iter().collect();
        assert_eq!(unique.len(), places.len());
        let visits = |line: &RibbonLine| line.stays.iter().any(|stay| stay.lane == lane);
        let expected = ribbon.lines.iter().filter(|line| visits(line)).count();
        assert_eq!(places.len(), expected);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn the_ribbon_of_any_walk_says_what_the_fold_says(arches in any_arches(), moves in moves(120)) {
        let world = walk(World::bare(arches), &moves);
        let ribbon = drawn(&world);
        check_holders(&world, &ribbon);
        check_held(&world, &ribbon);
        check_places(&ribbon);
    }

    #[test]
    fn the_ribbon_of_a_case_that_has_begun_says_what_the_fold_says(moves in moves(120)) {
        let world = walk(World::begun(), &moves);
        let ribbon = drawn(&world);
        check_holders(&world, &ribbon);
        check_held(&world, &ribbon);
        check_places(&ribbon);
    }

    #[test]
    fn what_was_drawn_stays_where_it_is_while_time_goes_on(moves in moves(60), hours in 0_i64..2000) {
        let world = walk(World::begun(), &moves);
        let case = world.case_state();
        let now = |ms| ribbon(&world.items, &world.events, &case, &BOTH, Moment::new(ms, 60));
        let (early, later) = (now(world.now_ms), now(world.now_ms + hours * 60 * MINUTE_MS));
        prop_assert!(early.now_x <= later.now_x);
        let places = |ribbon: &Ribbon| ribbon.columns.iter().map(|column| column.x).collect::<Vec<_>>();
        prop_assert_eq!(places(&early), places(&later));
    }
}

#[test]
fn what_left_without_an_entered_pick_up_is_on_the_way_from_the_first_receipt_on() {
    let mut world = World::begun();
    for thing in ["bite", "facebow"] {
        world.does(&anna(), disinfected(thing));
    }
    let mut sent = released("h1", &["bite", "facebow"], Side::Office);
    if let What::Released(Released {
        awaits_pickup,
        parcels,
        items,
        ..
    }) = &mut sent
    {
        *awaits_pickup = true;
        *parcels = vec![Parcel::default(), Parcel::default()];
        for (item, parcel) in items.iter_mut().zip(1..) {
            item.parcel = parcel;
        }
    }
    world.does(&anna(), sent);
    let mut came = received("h1", Side::Lab, &[found("bite", Outcome::Sound, true)]);
    if let What::Received(Received {
        no_pick_up,
        parcels,
        ..
    }) = &mut came
    {
        *no_pick_up = true;
        let seal = |parcel, seal| ParcelFound {
            parcel,
            seal,
            number: String::new(),
        };
        *parcels = vec![seal(1, SealFound::None), seal(2, SealFound::NotHere)];
    }
    world.does(&tom(), came);
    check_holders(&world, &drawn(&world));
}
