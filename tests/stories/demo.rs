//! The demo as a whole, played at hours that are not those of its making.

use crate::common::World;
use std::collections::{BTreeMap, BTreeSet};
use vestibule::app::case_work::CaseWork;
use vestibule::app::demo;
use vestibule::app::examine::examine;
use vestibule::app::print_sheet::{sheet_of, sheet_pages, slip_pdf};
use vestibule::app::see_case::revision_of;
use vestibule::domain::custody::CaseStep;
use vestibule::domain::people::party::{Actor, Paper, Role, Side};
use vestibule::domain::prescription::revision::Document;
use vestibule::domain::values::ids::AccountId;
use vestibule::domain::values::moment::Moment;
use vestibule::store::{cases, revisions};

/// Houses on both sides of the sea, and where it is a day earlier and a day later than in between.
const ZONES: [[&str; 2]; 2] = [demo::ZONES, ["Pacific/Kiritimati", "Pacific/Pago_Pago"]];

/// Plays the demo so many half hours after 8 in UTC, in turn with the one pair of zones and with the other. By the clock of
/// the tests, which begins on a Monday at that hour, on days in a row from a Tuesday on: the fifth leads into the night in
/// which clocks of Vienna go forward. What is written by the plan alone is played at every half hour and in four
/// zones beside it (`app::demo::scenario`).
async fn play_at(half_hour: i64) {
    let days = 22 + half_hour / 8;
    let pair = ZONES[usize::try_from(half_hour % 2).unwrap()];
    Box::pin(plays_well(days * 24 * 60 + half_hour * 30, pair)).await;
}

/// In eight parts, of which several are played at once.
mod c15_played_at_any_hour_nothing_is_still_to_come_and_no_prescription_contradicts_itself {
    macro_rules! parts {
        ($($name:ident $half_hour:literal)+) => { $(
            #[tokio::test]
            async fn $name() {
                super::play_at($half_hour).await;
            }
        )+ };
    }

    parts! {
        at_eight 0
        at_half_past_eleven 7
        at_two_in_the_afternoon 12
        at_half_past_five_in_the_afternoon 19
        at_nine_in_the_evening 26
        at_half_past_midnight 33
        at_four_at_night 40
        at_half_past_seven 47
    }
}

async fn plays_well(minutes: i64, zones: [&str; 2]) {
    let world = World::empty().await;
    world.pass_minutes(minutes);
    Box::pin(demo::fill_in(&world.app, 0, zones)).await.unwrap();
    let now_ms = world.app.outside.now_ms();
    let mut conn = world.app.store.read().await.unwrap();
    let mut licences: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let (mut passed, mut to_receive, mut signed) = (BTreeSet::new(), 0, 0);
    for case in cases::all_cases(&mut conn, 500, 0).await.unwrap() {
        for number in 1..=case.revision {
            let revision = revisions::find(&mut conn, &case.number, number)
                .await
                .unwrap();
            let revision = revision.unwrap();
            assert!(revision.signature.at.unix_ms < now_ms);
            let document = Document::from_canonical(&revision.document).unwrap();
            let dates = &document.prescription.dates;
            let (wanted, insertion) = (dates.wanted.unwrap(), dates.insertion.unwrap());
            assert!(document.issued.date() < wanted.date() && wanted < insertion);
            // What was let stand with a reason; what contradicts itself would be among it, or not signed at all.
            passed.extend(document.passed.into_iter().map(|one| one.id));
            assert_eq!(document.warnings, [""; 0]);
            let at = revision.signature.at;
            let at = format!("{} {}", at.day(), at.clock());
            let (jaw, surface) = (
                &document.prescription.jaw,
                &document.prescription.impression,
            );
            for (day, clock) in [
                (jaw.taken_on, jaw.taken_at),
                (surface.placed_on, surface.placed_at),
                (surface.removed_on, surface.removed_at),
            ] {
                let (day, clock) = (String::from(day.unwrap()), String::from(clock.unwrap()));
                assert!(format!("{day} {clock}") <= at, "{day} {clock}, {at}");
            }
            let by = licences.entry(document.prescriber_licence).or_default();
            by.insert(document.prescriber_name);
            signed += 1;
        }
        let work = CaseWork::of(&world.app, &mut conn, case, Side::Lab)
            .await
            .unwrap();
        for event in &work.events {
            assert!(event.at.unix_ms < now_ms && event.entered_at.unix_ms < now_ms);
        }
        // What is on the way can be received now.
        let someone = Actor {
            account: AccountId::new("somebody else"),
            name: "somebody else".to_owned(),
            role: Role::Technician,
            party: work.lab.id.clone(),
            party_name: work.lab.name.clone(),
        };
        let offers = vestibule::domain::custody::Offers::new(
            work.context(),
            &work.state,
            &someone,
            Moment::new(now_ms, 0),
        );
        for handoff in &work.state.handoffs {
            if handoff.to == Side::Lab && !handoff.outstanding().is_empty() && !handoff.is_packed()
            {
                assert!(
                    offers.has(CaseStep::Receive(handoff))
                        || work.state.open_holds().next().is_some()
                );
                to_receive += 1;
            }
        }
    }
    drop(conn);
    assert!(signed > 10 && to_receive > 1, "{signed} {to_receive}");
    assert_eq!(Vec::from_iter(passed), ["facebow-without-posterior-point"]);
    assert_eq!(licences.len(), 2);
    assert!(
        licences.values().all(|names| names.len() == 1),
        "{licences:?}"
    );
    let examined = examine(&world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

/// What a sheet weighs at most, as a file.
const MOST_BYTES: usize = 60 * 1024;

#[tokio::test]
async fn l1_each_sheet_of_the_demo_has_two_pages_on_both_papers_and_is_no_heavy_file() {
    let world = World::empty().await;
    demo::fill(&world.app, 0).await.unwrap();
    let mut conn = world.app.store.read().await.unwrap();
    let mut sheets = Vec::new();
    for case in cases::all_cases(&mut conn, 500, 0).await.unwrap() {
        let newest = case.revision;
        let work = CaseWork::of(&world.app, &mut conn, case, Side::Office).await;
        let work = work.unwrap();
        for number in 1..=newest {
            sheets.push(revision_of(work.clone(), number).unwrap());
        }
    }
    drop(conn);
    assert!(sheets.len() > 10, "{} revisions", sheets.len());
    let mut wrong = Vec::new();
    for seen in sheets {
        for paper in Paper::ALL {
            let name = format!(
                "{} revision {}, {:?}, {}",
                seen.revision.case,
                seen.revision.number,
                seen.document.prescription.order.course,
                paper.word()
            );
            let words = sheet_of(&world.app, &seen, Some(*paper));
            let pages = sheet_pages(&words.await.unwrap(), None).len();
            let file = slip_pdf(&world.app, &seen, Some(*paper), None);
            let bytes = file.await.unwrap().len();
            if pages != 2 || bytes > MOST_BYTES {
                wrong.push(format!("{name}: {pages} pages, {bytes} bytes"));
            }
        }
    }
    assert_eq!(wrong, [""; 0]);
}
