//! Patients and their cards.

use crate::bed::{Bed, LETTERS, event, is_stale, party, patient};
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::PatientCode;
use vestibule::store::cases::PatientRow;
use vestibule::store::counted::{
    MovedCase, OtherHouses, cards_gone, cases_gone, cases_moved, of_other_houses, of_other_patients,
};
use vestibule::store::passed::{self, PassedRow};
use vestibule::store::record::{self, NewLeaf};
use vestibule::store::reference::ReferenceData;
use vestibule::store::{cases, custody, parties, reference};

pub async fn patients_are_kept_and_paged_newest_first(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    parties::insert(&mut tx, &party("p", Side::Office))
        .await
        .unwrap();
    for number in 2..6 {
        cases::insert_patient(&mut tx, &patient(number))
            .await
            .unwrap();
    }
    cases::insert_patient(
        &mut tx,
        &PatientRow {
            office: "p".into(),
            ..patient(6)
        },
    )
    .await
    .unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let mut pages = Vec::new();
    for offset in [0, 2, 4, 6] {
        let page = cases::patients_of(&mut conn, &"o".into(), 2, offset)
            .await
            .unwrap();
        let codes = page.into_iter().map(|row| row.unwrap().code);
        pages.push(codes.collect::<Vec<_>>());
    }
    let codes = |numbers: &[u32]| {
        numbers
            .iter()
            .map(|number| patient(*number).code)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        pages,
        [codes(&[5, 4]), codes(&[3, 2]), codes(&[1]), codes(&[])]
    );

    let mut tx = bed.tx().await;
    let changed = PatientRow {
        facts: format!("{{\"note\":{LETTERS:?}}}"),
        ..patient(1)
    };
    cases::update_patient(&mut tx, &changed).await.unwrap();
    assert!(is_stale(cases::update_patient(&mut tx, &changed).await));
    assert!(
        cases::insert_patient(&mut tx, &patient(2))
            .await
            .unwrap_err()
            .is_duplicate()
    );
    drop(tx);
    assert_eq!(
        cases::find_patient(&mut conn, &patient(1).code)
            .await
            .unwrap(),
        Some(patient(1))
    );
    let mut tx = bed.tx().await;
    cases::update_patient(&mut tx, &changed).await.unwrap();
    tx.commit().await.unwrap();
    let stored = cases::find_patient(&mut conn, &patient(1).code)
        .await
        .unwrap();
    assert_eq!(
        stored,
        Some(PatientRow {
            version: 2,
            ..changed
        })
    );
    assert_eq!(
        cases::find_patient(&mut conn, &patient(99).code)
            .await
            .unwrap(),
        None
    );
}

pub async fn ranges_of_patients_have_the_cards_between_their_bounds(bed: &Bed) {
    let one = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    for number in [31, 32, 33] {
        cases::insert_patient(&mut tx, &patient(number))
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let mut all = Vec::new();
    for code in reference::keys_after(&mut conn, ReferenceData::Patient, "", 10)
        .await
        .unwrap()
    {
        let code = PatientCode::parse(&code).unwrap();
        all.push(
            cases::find_patient(&mut conn, &code)
                .await
                .unwrap()
                .unwrap(),
        );
    }
    assert_eq!(all.len(), 4);
    assert!(all.iter().any(|row| row.code == one.patient));
    let bound = |place: usize| match place {
        0 => "",
        place => all[place - 1].code.as_str(),
    };
    for from in 0..=4 {
        for to in 0..=4 {
            let range = (bound(from), bound(to));
            let found = cases::patients_between(&mut conn, range).await.unwrap();
            assert_eq!(found, all.get(from..to).unwrap_or_default());
        }
    }
}

pub async fn what_is_listed_for_another_house_is_counted(bed: &Bed) {
    let case = bed.with_a_case().await;
    let (number, code) = (case.number.as_str(), case.patient.as_str());
    let houses =
        format!(r#"{{"case":{{"lab":"l","number":"{number}","office":"o"}},"kind":"case","v":1}}"#);
    let card_of = |code: &str| {
        format!(
            r#"{{"kind":"patient","patient":{{"code":"{code}","office":"o","version":1}},"v":1}}"#
        )
    };
    let (houses, card) = (houses.as_str(), &card_of(code));
    let mut tx = bed.tx().await;
    parties::insert(&mut tx, &party("p", Side::Office))
        .await
        .unwrap();
    for (kind, about, owner, body) in [
        ("case", number.to_owned(), number, houses),
        ("patient", format!("{code}/1"), code, card),
    ] {
        let leaf = NewLeaf {
            kind,
            about,
            owner: owner.to_owned(),
            body: body.to_owned(),
            salts: "{}".to_owned(),
        };
        record::append(&mut tx, &leaf).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let none = OtherHouses::default();
    assert_eq!(of_other_houses(&mut conn).await.unwrap(), none);
    assert_eq!(cases_moved(&mut conn).await.unwrap(), []);
    let give = |office: &str| format!("UPDATE patient SET office_id = '{office}'");
    bed.past_the_store(&give("p")).await.unwrap();
    let found = of_other_houses(&mut conn).await.unwrap();
    let given = OtherHouses {
        cards: 1,
        of_other_patients: 1,
        ..none
    };
    assert_eq!(found, given);
    let named = of_other_patients(&mut conn).await.unwrap();
    assert_eq!(named, [(number.to_owned(), code.to_owned())]);
    bed.past_the_store(&give("o")).await.unwrap();
    bed.past_the_store("UPDATE case_file SET lab_id = 'p'")
        .await
        .unwrap();
    // Listed as passed on, by an entry that passes nothing on.
    let entry = event(&case, 0);
    let row = PassedRow {
        event: entry.id.clone(),
        case: case.number.clone(),
        party: "l".into(),
        is_open: true,
        new_answers: 0,
    };
    let mut tx = bed.tx().await;
    custody::append_event(&mut tx, &entry, 0).await.unwrap();
    passed::keep(&mut tx, &row).await.unwrap();
    tx.commit().await.unwrap();
    let moved = cases_moved(&mut conn).await.unwrap();
    let is_moved = MovedCase {
        number: number.to_owned(),
        leaf: houses.to_owned(),
        houses: ["o".to_owned(), "p".to_owned()],
    };
    assert_eq!(moved, [is_moved]);
    assert_eq!(cases_gone(&mut conn).await.unwrap(), []);
    assert_eq!(cards_gone(&mut conn).await.unwrap(), []);
    let found = of_other_houses(&mut conn).await.unwrap();
    let given = OtherHouses {
        cases: 1,
        passed: 1,
        ..none
    };
    assert_eq!(found, given);
    // Leaves of a card that was never there: however many versions it has, it is one card.
    let other = patient(2).code;
    let mut tx = bed.tx().await;
    for version in 1..=2 {
        let gone = NewLeaf {
            kind: "patient",
            about: format!("{}/{version}", other.as_str()),
            owner: other.as_str().to_owned(),
            body: card_of(other.as_str()),
            salts: "{}".to_owned(),
        };
        record::append(&mut tx, &gone).await.unwrap();
    }
    tx.commit().await.unwrap();
    let found = cards_gone(&mut conn).await.unwrap();
    let first = format!("{}/1", other.as_str());
    assert_eq!(found, [(first, card_of(other.as_str()))]);
}
