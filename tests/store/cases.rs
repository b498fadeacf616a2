//! Cases and how they are listed.

use crate::bed::{Bed, MONDAY_MS, case, code, is_stale, party, patient};
use time::macros::date;
use vestibule::domain::custody::case::Step;
use vestibule::domain::custody::case::Task;
use vestibule::domain::custody::case::{Case, Place};
use vestibule::domain::custody::held::Held;
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::store::{cases, drafts, parties};

pub async fn of_two_who_hold_a_case_the_second_sees_what_the_first_has_done(bed: &Bed) {
    let case = bed.with_a_case().await;
    let store = bed.store.clone();
    let first = store.begin().await.unwrap();
    let number = case.number.clone();
    let second = tokio::spawn(async move {
        let mut tx = store.begin().await.unwrap();
        let seen = cases::find_case(tx.conn(), &number).await.unwrap().unwrap();
        cases::update_case(&mut tx, &seen).await.unwrap();
        tx.commit().await.unwrap();
        seen.version
    });
    // The second waits while the first works.
    tokio::task::yield_now().await;
    let mut first = first;
    cases::update_case(&mut first, &case).await.unwrap();
    assert!(!second.is_finished());
    first.commit().await.unwrap();
    assert_eq!(second.await.unwrap(), case.version + 1);
}

pub async fn marks_change_with_everything_a_case_page_shows(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut conn = bed.read().await;
    let (side, before, draft) = cases::marks(&mut conn, &case.number, &"o".into())
        .await
        .unwrap()
        .unwrap();
    assert_eq!((side, draft), (Side::Office, None));
    let lab_side = cases::marks(&mut conn, &case.number, &"l".into())
        .await
        .unwrap()
        .unwrap()
        .0;
    assert_eq!(lab_side, Side::Lab);
    assert_eq!(
        cases::marks(&mut conn, &case.number, &"stranger".into())
            .await
            .unwrap(),
        None
    );

    // The case itself, either party's letterhead, and the draft, each for itself.
    let mut tx = bed.tx().await;
    cases::update_case(&mut tx, &case).await.unwrap();
    let lab = parties::find(tx.conn(), &"l".into())
        .await
        .unwrap()
        .unwrap();
    parties::update(&mut tx, &lab).await.unwrap();
    drafts::insert(&mut tx, &draft_of(&case)).await.unwrap();
    tx.commit().await.unwrap();
    let (_, after, draft) = cases::marks(&mut conn, &case.number, &"o".into())
        .await
        .unwrap()
        .unwrap();
    assert_eq!(
        (after.case, after.office, after.lab),
        (before.case + 1, before.office, before.lab + 1)
    );
    assert_eq!(draft, Some(("dora".to_owned(), MONDAY_MS)));
}

fn draft_of(case: &Case) -> drafts::Draft {
    drafts::Draft {
        case: case.number.clone(),
        based_on: 0,
        began_ms: MONDAY_MS,
        fields: std::collections::BTreeMap::from([("shade.tab".to_owned(), "birch 4".to_owned())]),
        version: 1,
        changed_ms: MONDAY_MS,
        changed_by: "dora".to_owned(),
    }
}

pub async fn cases_are_kept_and_guarded_by_their_version(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut conn = bed.read().await;
    assert_eq!(
        cases::find_case(&mut conn, &case.number).await.unwrap(),
        Some(case.clone())
    );
    assert_eq!(
        cases::find_case(&mut conn, &code(77, CaseNumber::from_random))
            .await
            .unwrap(),
        None
    );

    let changed = Case {
        closed: true,
        place: Place::Lab,
        held: Held::from_word("provisional:upper counted_in 4 3 +12"),
        waiting_for: vec![
            Task {
                side: Side::Office,
                step: Step::Resolve,
            },
            Task {
                side: Side::Lab,
                step: Step::Receive,
            },
        ],
        due: Some(date!(2026 - 04 - 01)),
        lent_due: Some(date!(2026 - 03 - 20)),
        summary: "upper and lower".to_owned(),
        revision: 2,
        acknowledged: 1,
        changed_ms: MONDAY_MS + 99,
        ..case.clone()
    };
    let mut tx = bed.tx().await;
    cases::update_case(&mut tx, &changed).await.unwrap();
    tx.commit().await.unwrap();
    let stored = cases::find_case(&mut conn, &case.number)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(
        stored,
        Case {
            version: 2,
            ..changed.clone()
        }
    );
    // Whoever still holds the old version is told, and nothing is written.
    let mut tx = bed.tx().await;
    assert!(is_stale(
        cases::update_case(
            &mut tx,
            &Case {
                summary: "late".to_owned(),
                ..case
            }
        )
        .await
    ));
    tx.commit().await.unwrap();
    assert_eq!(
        cases::find_case(&mut conn, &changed.number).await.unwrap(),
        Some(stored)
    );
}

pub async fn the_board_has_the_earliest_due_first_and_counts_up_to_a_bound(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    parties::insert(&mut tx, &party("p", Side::Office))
        .await
        .unwrap();
    let dues = [
        (2, Some(date!(2026 - 05 - 01))),
        (3, Some(date!(2026 - 04 - 01))),
        (4, None),
        (5, Some(date!(2026 - 04 - 01))),
        (6, Some(date!(2027 - 01 - 01))),
    ];
    for (number, due) in dues {
        cases::insert_case(
            &mut tx,
            &Case {
                due,
                ..case(number)
            },
        )
        .await
        .unwrap();
    }
    // Elsewhere, closed, or another office's: none of the column's business.
    cases::insert_case(
        &mut tx,
        &Case {
            place: Place::Lab,
            ..case(7)
        },
    )
    .await
    .unwrap();
    cases::insert_case(&mut tx, &case(8)).await.unwrap();
    cases::update_case(
        &mut tx,
        &Case {
            closed: true,
            ..case(8)
        },
    )
    .await
    .unwrap();
    cases::insert_case(
        &mut tx,
        &Case {
            office: "p".into(),
            due: Some(date!(2026 - 01 - 01)),
            ..case(9)
        },
    )
    .await
    .unwrap();
    tx.commit().await.unwrap();

    let mut conn = bed.read().await;
    let numbers = |rows: Vec<Case>| rows.into_iter().map(|case| case.number).collect::<Vec<_>>();
    let of = |wanted: &[u32]| {
        wanted
            .iter()
            .map(|number| case(*number).number)
            .collect::<Vec<_>>()
    };
    // Of one day, or of none, the order is that of the numbers, which are drawn by chance.
    let by_number = |wanted: &[u32]| {
        let mut list = of(wanted);
        list.sort();
        list
    };
    for (side, party) in [(Side::Office, "o"), (Side::Lab, "l")] {
        let mut expected = [by_number(&[3, 5]), of(&[2]), of(&[6])].concat();
        if side == Side::Lab {
            expected.insert(0, case(9).number);
        }
        let all = numbers(
            cases::standing_in(&mut conn, side, &party.into(), Place::Office, 100, 0)
                .await
                .unwrap(),
        );
        assert_eq!(all, expected, "{side:?}");
        let second = numbers(
            cases::standing_in(&mut conn, side, &party.into(), Place::Office, 2, 2)
                .await
                .unwrap(),
        );
        assert_eq!(second, expected[2..4], "{side:?}");
        let undated = numbers(
            cases::standing_undated(&mut conn, side, &party.into(), Place::Office, 100, 0)
                .await
                .unwrap(),
        );
        assert_eq!(undated, by_number(&[1, 4]), "{side:?}");
        let last = numbers(
            cases::standing_undated(&mut conn, side, &party.into(), Place::Office, 1, 1)
                .await
                .unwrap(),
        );
        assert_eq!(last, undated[1..]);
        let count = i64::try_from(expected.len()).unwrap();
        for (most, dated, every) in [(100, count, count + 2), (3, 3, 3)] {
            assert_eq!(
                cases::count_dated(&mut conn, side, &party.into(), Place::Office, most)
                    .await
                    .unwrap(),
                dated
            );
            assert_eq!(
                cases::count_standing(&mut conn, side, &party.into(), Place::Office, most)
                    .await
                    .unwrap(),
                every
            );
        }
        assert_eq!(
            cases::count_standing(&mut conn, side, &party.into(), Place::Lab, 100)
                .await
                .unwrap(),
            1
        );
        assert_eq!(
            cases::count_standing(&mut conn, side, &party.into(), Place::Patient, 100)
                .await
                .unwrap(),
            0
        );
        assert_eq!(
            cases::count_dated(&mut conn, side, &"x".into(), Place::Office, 100)
                .await
                .unwrap(),
            0
        );
    }
}

pub async fn cases_are_listed_by_patient_and_by_opening(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    cases::insert_patient(&mut tx, &patient(2)).await.unwrap();
    cases::insert_case(&mut tx, &case(2)).await.unwrap();
    cases::insert_case(
        &mut tx,
        &Case {
            patient: patient(2).code,
            ..case(3)
        },
    )
    .await
    .unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    assert_eq!(
        cases::cases_of_patient(&mut conn, &patient(1).code)
            .await
            .unwrap(),
        [case(2), case(1)]
    );
    let all = cases::all_cases(&mut conn, 10, 0).await.unwrap();
    assert_eq!(
        all.iter().map(|case| &case.number).collect::<Vec<_>>(),
        [&case(1).number, &case(2).number, &case(3).number]
    );
    assert_eq!(cases::all_cases(&mut conn, 1, 1).await.unwrap(), [case(2)]);
}
