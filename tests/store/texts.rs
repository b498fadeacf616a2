//! What comes back as it was written.

use crate::bed::{Bed, LETTERS, account, acknowledgement, case, event, item, patient, revision};
use crate::drafts::{draft, edit};
use vestibule::domain::custody::case::Case;
use vestibule::domain::people::account::Account;
use vestibule::domain::prescription::revision::{Revision, document_hash};
use vestibule::store::cases::PatientRow;
use vestibule::store::{StoreError, cases, custody, drafts, people, revisions};

pub async fn what_is_referred_to_exists(bed: &Bed) {
    let case = bed.with_a_case().await;
    let nowhere = self::case(77);
    let refused = |answer: Result<(), StoreError>| {
        let error = answer.unwrap_err();
        let StoreError::Database(sqlx::Error::Database(database)) = &error else {
            panic!("{error:?}")
        };
        assert!(database.is_foreign_key_violation(), "{error}");
        assert!(!error.is_duplicate() && !error.is_passing());
    };
    macro_rules! refuses {
        ($tx:ident, $change:expr) => {{
            let mut $tx = bed.tx().await;
            refused($change.await);
        }};
    }
    let homeless = Account {
        party: Some("x".into()),
        ..account("x")
    };
    refuses!(tx, people::insert_account(&mut tx, &homeless));
    let session = people::NewSession {
        secret_hash: "s".to_owned(),
        account: "nobody".into(),
        password: String::new(),
        version: 1,
        began_ms: 1,
        ends_ms: 2,
        address: String::new(),
        browser: String::new(),
        device: None,
    };
    refuses!(tx, people::insert_session(&mut tx, &session, ""));
    refuses!(
        tx,
        cases::insert_patient(
            &mut tx,
            &PatientRow {
                office: "x".into(),
                ..patient(3)
            }
        )
    );
    refuses!(
        tx,
        cases::insert_case(
            &mut tx,
            &Case {
                patient: patient(9).code,
                ..self::case(3)
            }
        )
    );
    refuses!(
        tx,
        cases::insert_case(
            &mut tx,
            &Case {
                lab: "x".into(),
                ..self::case(3)
            }
        )
    );
    refuses!(tx, drafts::insert(&mut tx, &draft(&nowhere)));
    refuses!(
        tx,
        drafts::insert_edit(&mut tx, &nowhere.number, &edit(1, "a", "b"), false)
    );
    refuses!(tx, revisions::insert(&mut tx, &revision(&nowhere, 1)));
    refuses!(
        tx,
        revisions::insert_acknowledgement(&mut tx, &case.number, &acknowledgement(1))
    );
    refuses!(tx, custody::insert_item(&mut tx, &item(&nowhere, 1), 0));
    refuses!(tx, custody::append_event(&mut tx, &event(&nowhere, 1), 0));
}

pub async fn texts_come_back_as_they_were(bed: &Bed) {
    let case = bed.with_a_case().await;
    let long: String = "ä🦷".chars().cycle().take(20_000).collect();
    let texts = [
        "",
        " ",
        "\u{feff}",
        LETTERS,
        "-- '; DROP TABLE event; --",
        &long,
    ];
    for (version, text) in (1..).zip(texts) {
        let mut tx = bed.tx().await;
        drafts::insert_edit(&mut tx, &case.number, &edit(version, text, text), false)
            .await
            .unwrap();
        people::note_outcome(&mut tx, &"dora".into(), text, text, version)
            .await
            .unwrap();
        tx.commit().await.unwrap();
        let mut conn = bed.read().await;
        assert_eq!(
            people::outcome_of(&mut conn, &"dora".into(), text)
                .await
                .unwrap()
                .as_deref(),
            Some(text)
        );
        let newest = drafts::edits_since(&mut conn, &case.number, version - 1)
            .await
            .unwrap();
        assert_eq!(newest, [edit(version, text, text)]);
    }
    let big = Revision {
        document: long.clone(),
        hash: document_hash(&long),
        ..revision(&case, 1)
    };
    let mut tx = bed.tx().await;
    revisions::insert(&mut tx, &big).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(
        revisions::find(&mut *bed.read().await, &case.number, 1)
            .await
            .unwrap(),
        Some(big)
    );
}

pub async fn the_tables_are_there_after_opening_again(bed: &Bed) {
    let case = bed.with_a_revision().await;
    let again = bed.database.open().await;
    let mut conn = again.read().await.unwrap();
    assert_eq!(
        cases::find_case(&mut conn, &case.number).await.unwrap(),
        Some(case)
    );
    drop(conn);
    again.close().await;
}
