//! Patients and their cards.

use crate::bed::{Bed, LETTERS, is_stale, party, patient};
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::PatientCode;
use vestibule::store::cases::PatientRow;
use vestibule::store::reference::ReferenceData;
use vestibule::store::{cases, parties, reference};

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
