//! What is lent: when it is due, who is told to send it back, and what the work needs until it is delivered.

use super::*;
use crate::domain::custody::agenda::OrderedWork;
use crate::domain::custody::case::Step;
use crate::domain::custody::hangs_on;
use crate::domain::custody::to_do::ToDo;
use crate::domain::form::Day;
use crate::domain::prescription::Stage;
use Side::{Lab, Office};
use time::Date;
use time::macros::date;

/// The facebow is lent to the lab, due back on this day.
fn lending(day: &str) -> World {
    let mut world = World::bare(Arches::Upper);
    world.does(&dora(), registered("provisional upper", Office, true));
    let mut lent = registered("facebow", Office, false);
    if let What::Registered(Registered { due_back, .. }) = &mut lent {
        *due_back = Some(Day::try_from(day.to_owned()).unwrap());
    }
    world.does(&anna(), lent);
    for thing in ["bite", "duplicate upper"] {
        world.does(&anna(), registered(thing, Office, false));
    }
    world
}

/// A final for the upper, by 12 March, with the facebow and the bite in the box.
fn ordering(world: &World) -> Ordered {
    Ordered {
        revision: 1,
        since: Some(Moment::new(world.now_ms, 60)),
        enclosed: vec![tag("facebow"), tag("bite")],
        wanted: Some(date!(2026 - 03 - 12)),
        work: vec![OrderedWork {
            arch: Some(Arch::Upper),
            stage: Stage::Process,
            against_teeth: false,
        }],
        ..Ordered::default()
    }
}

/// What the page of the case asks for about what is lent.
fn asked(world: &World, ordered: &Ordered, today: Date) -> Vec<(Side, &'static str, String)> {
    let (context, case) = (world.context(), world.case_state());
    let stands = standing(&context, &case, ordered, 1);
    let all = waits(&context, &case, ordered, &stands, today).into_iter();
    let lent = all.filter(|one| one.why.starts_with("It is on loan"));
    lent.map(|one| (one.side, one.to_do, one.why)).collect()
}

fn now(world: &World, ordered: &Ordered) -> Option<LoanNow> {
    let facebow = world.context().scope().item(&tag("facebow")).cloned();
    let facebow = facebow.expect("a facebow");
    let found = loan(&facebow, &world.items, &world.case_state(), ordered);
    found.map(|one| one.now)
}

const AFTER: Date = date!(2026 - 03 - 20);

#[test]
fn what_the_work_needs_is_not_sent_back_before_the_work_is_delivered() {
    let mut world = lending("2026-03-05");
    let ordered = ordering(&world);
    world.sends(&anna(), "h1", &["facebow", "bite"]);
    world.takes(&tom(), "h1", &["facebow", "bite"]);
    assert_eq!(now(&world, &ordered), Some(LoanNow::Needed));
    assert_eq!(asked(&world, &ordered, AFTER), []);
    // What the list does not name is asked for on its day.
    let unlisted = Ordered {
        enclosed: Vec::new(),
        ..ordered.clone()
    };
    let back = asked(&world, &unlisted, AFTER);
    assert_eq!((back[0].0, back[0].1), (Lab, "send it back"));
    // A broken bite goes back, and the work is not begun: that is no reason to send the facebow.
    world.does(&tom(), disinfected("bite"));
    world.does(&tom(), released("h2", &["bite"], Lab));
    world.takes(&anna(), "h2", &["bite"]);
    let case = super::to_do::drawn(&world, &ordered, 1);
    assert_eq!(ToDo::of(&case, Lab), [ToDo::Step(Step::Make)]);
    assert_eq!(asked(&world, &ordered, AFTER), []);
    // The work has left: now it is asked for.
    world.does(&tom(), registered("final upper", Lab, false));
    world.sends(&tom(), "h3", &["final upper"]);
    assert_eq!(now(&world, &ordered), Some(LoanNow::InHand));
    assert_eq!(asked(&world, &ordered, AFTER)[0].1, "send it back");
    let case = super::to_do::drawn(&world, &ordered, 1);
    assert_eq!(ToDo::of(&case, Lab), [ToDo::ReturnLoan]);
    // Back at the lab with the work to be made again, it is needed again.
    world.takes(&anna(), "h3", &["final upper"]);
    world.sends(&anna(), "h4", &["final upper"]);
    assert_eq!(now(&world, &ordered), Some(LoanNow::Needed));
}

#[test]
fn an_agreed_day_moves_the_day_of_a_loan_that_goes_with_the_work() {
    let mut world = lending("2026-03-05");
    let ordered = ordering(&world);
    world.sends(&anna(), "h1", &["facebow", "bite"]);
    world.takes(&tom(), "h1", &["facebow", "bite"]);
    let facebow = world.context().scope().item(&tag("facebow")).cloned();
    let facebow = facebow.expect("a facebow");
    let said = |world: &World, ordered: &Ordered| {
        let found = loan(&facebow, &world.items, &world.case_state(), ordered);
        found.expect("lent").due_words(Some(AFTER))
    };
    let with_work = "due back on Thu 12 Mar 2026, 8 days late; still needed for the work";
    assert_eq!(said(&world, &ordered), with_work);
    let named = What::Promised(Promised {
        revision: 1,
        day: date!(2026 - 03 - 18).into(),
        note: String::new(),
    });
    world.does(&tom(), named);
    assert_eq!(said(&world, &ordered), with_work);
    let day = world.events.last().map(|event| event.id.clone());
    world.does(
        &dora(),
        What::DayAnswered(DayAnswered {
            promise: day.expect("a named day"),
            answer: DayAnswer::Accepted,
            note: String::new(),
        }),
    );
    let agreed = "agreed until Wed 18 Mar 2026, 2 days late; still needed for the work";
    assert_eq!(said(&world, &ordered), agreed);
    world.does(&tom(), registered("final upper", Lab, false));
    world.sends(&tom(), "h3", &["final upper"]);
    assert_eq!(asked(&world, &ordered, date!(2026 - 03 - 17)), []);
    let late = asked(&world, &ordered, date!(2026 - 03 - 19));
    let why = "It is on loan, and was agreed until Wed 18 Mar 2026";
    assert_eq!(late, [(Lab, "send it back", why.to_owned())]);
}

#[test]
fn nobody_is_told_to_send_back_what_is_not_there() {
    let mut world = lending("2026-03-05");
    let ordered = Ordered {
        enclosed: Vec::new(),
        ..ordering(&world)
    };
    // On the day itself it is due, and not late.
    world.sends(&anna(), "h1", &["facebow", "bite"]);
    let due = date!(2026 - 03 - 05);
    let why = "It is on loan, and is due back today".to_owned();
    let receive = (Lab, "receive it, and send it back", why);
    assert_eq!(asked(&world, &ordered, due), [receive]);
    let items = [
        found("facebow", Outcome::Missing, false),
        found("bite", Outcome::Sound, true),
    ];
    world.does(&tom(), received("h1", Lab, &items));
    assert_eq!(now(&world, &ordered), Some(LoanNow::Missing));
    // The hold asks for it.
    assert_eq!(asked(&world, &ordered, AFTER), []);
    world.resolves_all();
    let why = "It is on loan, and did not come with its parcel".to_owned();
    let say = (Office, "say where it is", why);
    assert_eq!(asked(&world, &ordered, AFTER), [say]);
    let case = super::to_do::drawn(&world, &ordered, 1);
    assert_ne!(ToDo::of(&case, Lab), [ToDo::ReturnLoan]);
}

#[test]
fn what_lies_with_its_lender_is_not_said_to_be_due_back_there() {
    let mut world = lending("2026-03-05");
    let ordered = Ordered::default();
    let hangs = |world: &World| {
        let (context, case) = (world.context(), world.case_state());
        hangs_on(&context.scope(), &case, &ordered, &tag("facebow"))
    };
    assert_eq!(hangs(&world), Vec::<String>::new());
    world.sends(&anna(), "h1", &["facebow"]);
    world.takes(&tom(), "h1", &["facebow"]);
    assert_eq!(
        hangs(&world),
        ["It is on loan, and due back with its lender."]
    );
}

#[test]
fn what_is_lent_is_neither_destroyed_nor_used_up_by_its_borrower() {
    let mut world = lending("2026-03-05");
    world.sends(&anna(), "h1", &["facebow", "bite"]);
    world.takes(&tom(), "h1", &["facebow", "bite"]);
    let lent = [(CustodyRule::Right, "facebow")];
    world.expect(&tom(), &used_up("facebow", "the mounting"), &lent);
    world.does(&tom(), registered("final upper", Lab, false));
    world.expect(&tom(), &destroyed("facebow", "bent"), &lent);
    world.expect(&tom(), &used_up("bite", "the mounting"), &[]);
    // Its own house says what becomes of it.
    world.sends(&tom(), "h2", &["facebow"]);
    world.takes(&anna(), "h2", &["facebow"]);
    world.expect(&anna(), &used_up("facebow", "worn out"), &[]);
}

#[test]
fn what_is_lent_and_late_of_cancelled_work_is_asked_for_once() {
    let mut world = lending("2026-03-05");
    let ordered = ordering(&world);
    world.sends(&anna(), "h1", &["facebow", "bite"]);
    world.takes(&tom(), "h1", &["facebow", "bite"]);
    let comes_back = |thing: &str| Fated {
        tag: tag(thing),
        fate: Fate::ComesBack,
        consent: None,
    };
    let cancelled = What::Cancelled(Cancelled {
        reason: "moved away".to_owned(),
        items: ["bite", "facebow"].map(comes_back).to_vec(),
        signed: under("dora"),
    });
    world.does(&dora(), cancelled);
    let about = |thing: &str, today: Date| {
        let (context, case) = (world.context(), world.case_state());
        let stands = standing(&context, &case, &ordered, 1);
        let all = waits(&context, &case, &ordered, &stands, today).into_iter();
        let own = all.filter(|one| one.items.contains(&tag(thing)));
        own.map(|one| (one.side, one.to_do, one.why.starts_with("It is on loan")))
            .collect::<Vec<_>>()
    };
    // Before its day the cancelled work asks for it, afterwards the loan.
    let before = date!(2026 - 03 - 03);
    assert_eq!(about("facebow", before), [(Lab, "send it back", false)]);
    assert_eq!(about("facebow", AFTER), [(Lab, "send it back", true)]);
    assert_eq!(about("bite", AFTER), [(Lab, "send it back", false)]);
}
