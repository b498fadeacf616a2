//! Cases and how they are listed.

use crate::bed::{Bed, LETTERS, MONDAY_MS, case, code, is_stale, leaf, party, patient};
use time::macros::date;
use vestibule::domain::custody::agenda::{
    AskedFirst, AwayFromBench, CaseAgenda, OnAgenda, OnBench, OrderedWork, WhoseTurn,
};
use vestibule::domain::custody::bench::{BenchStep, NextStep, ResetBy};
use vestibule::domain::custody::case::Step;
use vestibule::domain::custody::case::Task;
use vestibule::domain::custody::case::{Case, Place};
use vestibule::domain::custody::held::Held;
use vestibule::domain::custody::item::ItemKind;
use vestibule::domain::people::party::Side;
use vestibule::domain::prescription::Stage;
use vestibule::domain::values::ids::{AccountId, CaseNumber, PartyId};
use vestibule::store::agenda::{self, Part, Sought};
use vestibule::store::{cases, drafts, parties, record};

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
    let both = parties::both(tx.conn(), [&"l".into(), &"stranger".into()])
        .await
        .unwrap();
    assert_eq!((both.0.as_ref(), both.1.is_none()), (Some(&lab), true));
    let both = parties::both(tx.conn(), [&"o".into(), &"l".into()])
        .await
        .unwrap();
    assert_eq!(both.0.map(|party| party.kind), Some(Side::Office));
    assert_eq!(both.1.as_ref(), Some(&lab));
    parties::update(&mut tx, &lab).await.unwrap();
    drafts::insert(&mut tx, &draft_of(&case)).await.unwrap();
    let leaf = record::append(&mut tx, &leaf(&case, 1)).await.unwrap();
    tx.commit().await.unwrap();
    let (_, after, draft) = cases::marks(&mut conn, &case.number, &"o".into())
        .await
        .unwrap()
        .unwrap();
    assert_eq!(
        (after.case, after.office, after.lab),
        (before.case + 1, before.office, before.lab + 1)
    );
    assert_eq!(
        (before.leaf, after.leaf),
        (-1, i64::try_from(leaf).unwrap())
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
        damaged: false,
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
        also: Some(Place::Office),
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
        agenda: CaseAgenda {
            office: OnAgenda {
                turn: WhoseTurn::Held,
                day: Some(date!(2026 - 03 - 20)),
                asked: AskedFirst::from_word("waits:1772438400000"),
                answered_ms: None,
                check: Some(date!(2026 - 03 - 03)),
            },
            lab: OnAgenda {
                turn: WhoseTurn::Coming,
                day: None,
                asked: AskedFirst::from_word("open:1772438400007"),
                answered_ms: Some(1_772_438_400_009),
                check: None,
            },
            items: 7,
            work: OrderedWork::from_word("upper:process,lower:reline").unwrap(),
            seals: "4471, Z-9".to_owned(),
            words: "c1 4471 z9".to_owned(),
            bench: OnBench {
                pan: "B-3".to_owned(),
                technician: Some("t".into()),
                open: 4,
                next: Some(NextStep::new(BenchStep::Reset, ResetBy::Height)),
                away: Some(AwayFromBench {
                    kind: ItemKind::TryIn,
                    arch: None,
                    back: date!(2026 - 03 - 09),
                }),
            },
        },
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
    let version = cases::version(&mut conn, &case.number).await.unwrap();
    assert_eq!(version, Some(2));
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

/// A case with these places in the agendas, for the office and the lab alike.
fn on_agenda(number: u32, turn: WhoseTurn, day: Option<time::Date>, work: &str) -> Case {
    let on = OnAgenda {
        turn,
        day,
        asked: None,
        answered_ms: None,
        check: None,
    };
    Case {
        agenda: CaseAgenda {
            office: on,
            lab: on,
            work: OrderedWork::from_word(work).unwrap(),
            words: format!("number{number} 44{number}1 50%_of!it"),
            ..CaseAgenda::default()
        },
        ..case(number)
    }
}

pub async fn an_agenda_has_the_earliest_day_first_and_counts_up_to_a_bound(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    for (id, side) in [("p", Side::Office), ("m", Side::Lab)] {
        parties::insert(&mut tx, &party(id, side)).await.unwrap();
    }
    let process = "upper:process";
    let all = [
        on_agenda(2, WhoseTurn::Yours, Some(date!(2026 - 05 - 01)), process),
        on_agenda(
            3,
            WhoseTurn::Yours,
            Some(date!(2026 - 04 - 01)),
            "lower:reline",
        ),
        on_agenda(4, WhoseTurn::Yours, None, process),
        on_agenda(5, WhoseTurn::Yours, Some(date!(2026 - 04 - 01)), process),
        on_agenda(6, WhoseTurn::Yours, Some(date!(2027 - 01 - 01)), ""),
        // In another list, closed, or another house's: none of this list's business.
        on_agenda(7, WhoseTurn::Held, Some(date!(2026 - 04 - 02)), process),
        on_agenda(8, WhoseTurn::Yours, Some(date!(2026 - 04 - 03)), process),
        Case {
            office: "p".into(),
            lab: "m".into(),
            ..on_agenda(9, WhoseTurn::Yours, Some(date!(2026 - 01 - 01)), process)
        },
    ];
    for case in &all {
        cases::insert_case(&mut tx, case).await.unwrap();
    }
    let closed = Case {
        closed: true,
        ..all[6].clone()
    };
    cases::update_case(&mut tx, &closed).await.unwrap();
    tx.commit().await.unwrap();

    let mut conn = bed.read().await;
    let numbers = |rows: Vec<Case>| rows.into_iter().map(|case| case.number).collect::<Vec<_>>();
    // Of one day, or of none, the order is that of the numbers, which are drawn by chance.
    let by_number = |wanted: &[u32]| {
        let mut list: Vec<_> = wanted.iter().map(|number| case(*number).number).collect();
        list.sort();
        list
    };
    let part = |limit, offset| Part { limit, offset };
    for (side, own, other) in [(Side::Office, "o", "l"), (Side::Lab, "l", "o")] {
        let (own, other, stranger): (PartyId, PartyId, PartyId) = (
            own.into(),
            other.into(),
            if side == Side::Office { "m" } else { "p" }.into(),
        );
        let whole = Sought::open(side, &own, WhoseTurn::Yours);
        let expected = [
            by_number(&[3, 5]),
            by_number(&[2]),
            by_number(&[6]),
            by_number(&[4]),
        ]
        .concat();
        let of = |house| Sought { house, ..whole };
        for asked in [whole, of(Some(&other))] {
            let rows = agenda::listed(&mut conn, asked, part(100, 0))
                .await
                .unwrap();
            assert_eq!(numbers(rows.cases), expected, "{side:?}");
            let rows = agenda::listed(&mut conn, asked, part(2, 2)).await.unwrap();
            assert_eq!(numbers(rows.cases), expected[2..4], "{side:?}");
            for (most, count) in [(100, 5), (3, 3)] {
                assert_eq!(agenda::count(&mut conn, asked, most).await.unwrap(), count);
            }
            let may = Sought {
                from: Some(date!(2026 - 04 - 02)),
                before: Some(date!(2027 - 01 - 01)),
                ..asked
            };
            let rows = agenda::listed(&mut conn, may, part(100, 0)).await.unwrap();
            assert_eq!(
                numbers(rows.cases),
                by_number(&[2]),
                "neither bound nor a case without a day"
            );
            let process = Sought {
                stage: Some(Stage::Process),
                ..asked
            };
            assert_eq!(agenda::count(&mut conn, process, 100).await.unwrap(), 3);
            // A technician narrows a lab's list down, and says nothing to an office.
            let nobody: AccountId = "nobody".into();
            let of_somebody = Sought {
                technician: Some(&nobody),
                ..asked
            };
            let left = if side == Side::Lab { 0 } else { 5 };
            let count = agenda::count(&mut conn, of_somebody, 100).await.unwrap();
            assert_eq!(count, left, "{side:?}");
            let ended = Sought {
                closed: true,
                ..asked
            };
            let rows = agenda::listed_from_the_end(&mut conn, ended, part(100, 0))
                .await
                .unwrap();
            assert_eq!(numbers(rows.cases), by_number(&[8]));
        }
        assert_eq!(
            agenda::count(&mut conn, of(Some(&stranger)), 100)
                .await
                .unwrap(),
            0
        );
        let houses = agenda::houses(&mut conn, side, &own).await.unwrap();
        let [(id, Some(row))] = houses.as_slice() else {
            panic!("{houses:?}");
        };
        assert_eq!((id, &row.id), (&other, &other));
        // All words have to occur, and a sign of the pattern is a sign like any other.
        for (words, closed, wanted) in [
            (&["ber2"][..], false, &[2][..]),
            (&["number", "4451"], false, &[5]),
            (&["number", "4451", "x"], false, &[]),
            (&["50%_of!"], false, &[2, 3, 4, 5, 6, 7]),
            (&["5%of"], false, &[]),
            (&["number"], true, &[8]),
            (&["ber9"], false, &[]),
        ] {
            let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
            let found = agenda::found(&mut conn, (side, &own, closed), &words, 100)
                .await
                .unwrap();
            let mut found = numbers(found.cases);
            found.sort();
            assert_eq!(found, by_number(wanted), "{words:?}");
        }
    }
    let drawn = cases::drawn_before(&mut conn, i64::MAX, "", 2)
        .await
        .unwrap();
    assert_eq!(drawn.len(), 2);
    let older = cases::drawn_before(&mut conn, 1, "", 2).await.unwrap();
    assert!(older.is_empty(), "{older:?}");
    let later = cases::drawn_after(&mut conn, 0, "", 2).await.unwrap();
    assert_eq!(later.len(), 2);
    let later = cases::drawn_after(&mut conn, i64::MAX, "", 2).await;
    assert_eq!(later.unwrap(), Vec::<String>::new());
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
    // Only who has more than one open case has cases side by side, and only among as many as are looked through.
    for (most, wanted) in [
        (10, vec![vec![case(1).number, case(2).number]]),
        (1, vec![]),
    ] {
        let found = cases::open_side_by_side(&mut conn, &case(1).office, (most, 5)).await;
        assert_eq!(found.unwrap(), wanted, "{most}");
    }
    let all = cases::all_cases(&mut conn, 10, 0).await.unwrap();
    assert_eq!(
        all.iter().map(|case| &case.number).collect::<Vec<_>>(),
        [&case(1).number, &case(2).number, &case(3).number]
    );
    assert_eq!(cases::all_cases(&mut conn, 1, 1).await.unwrap(), [case(2)]);
}

pub async fn r12_a_long_list_of_cases_is_one_row_a_page(bed: &Bed) {
    let first = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    let more: Vec<Case> = (2..=7)
        .map(|number| Case {
            summary: format!("{LETTERS} {number}"),
            ..case(number)
        })
        .collect();
    for one in &more {
        cases::insert_case(&mut tx, one).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut all: Vec<Case> = more;
    all.push(first);
    all.sort_by(|one, other| one.number.cmp(&other.number));
    let mut conn = bed.read().await;
    let (mut listed, mut after, mut pages) = (Vec::new(), String::new(), 0);
    loop {
        let page = cases::listed_after(&mut conn, &after, 3).await.unwrap();
        pages += 1;
        let Some(last) = page.last() else { break };
        after.clone_from(&last.number);
        listed.extend(page);
    }
    assert_eq!(pages, 4, "three pages and the end");
    let said = listed.iter().map(|one| {
        let words = (one.number.as_str(), one.summary.as_str());
        (words, one.opened_ms, one.revision, one.place)
    });
    let should = all.iter().map(|one| {
        let words = (one.number.as_str(), one.summary.as_str());
        (words, one.opened_ms, one.revision, one.place)
    });
    assert_eq!(said.collect::<Vec<_>>(), should.collect::<Vec<_>>());
}
