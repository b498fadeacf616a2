//! Signed texts, and what is written once.

use crate::bed::{Bed, acknowledgement, append_leaves, case as case_of, event, item, revision};
use crate::drafts::draft;
use vestibule::store::{StoreError, cases, custody, drafts, parties, people, revisions};

pub async fn revisions_and_acknowledgements_are_kept(bed: &Bed) {
    let case = bed.with_a_revision().await;
    let mut tx = bed.tx().await;
    revisions::insert(&mut tx, &revision(&case, 2))
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let mut tx = bed.tx().await;
    assert!(
        revisions::insert(&mut tx, &revision(&case, 2))
            .await
            .unwrap_err()
            .is_duplicate()
    );
    drop(tx);
    let mut tx = bed.tx().await;
    let twice = revisions::insert_acknowledgement(&mut tx, &case.number, &acknowledgement(1)).await;
    assert!(twice.unwrap_err().is_duplicate());
    drop(tx);
    let mut conn = bed.read().await;
    assert_eq!(
        revisions::find(&mut conn, &case.number, 1).await.unwrap(),
        Some(revision(&case, 1))
    );
    assert_eq!(
        revisions::find(&mut conn, &case.number, 3).await.unwrap(),
        None
    );
    assert_eq!(
        revisions::of_case(&mut conn, &case.number).await.unwrap(),
        [revision(&case, 1), revision(&case, 2)]
    );
    assert_eq!(
        revisions::acknowledgements(&mut conn, &case.number)
            .await
            .unwrap(),
        [acknowledgement(1)]
    );
    // The newest of each, and none of a case of which nothing is signed.
    let of = [(&case.number, 2, 1), (&case_of(2).number, 0, 0)];
    for (number, signed, read) in of {
        let newest = revisions::newest(&mut conn, number).await.unwrap();
        // No leaf is written by the store alone.
        let wanted = revisions::NewestRevision {
            signed,
            acknowledged: read,
            leaves: 0,
        };
        assert_eq!(newest, wanted);
    }
    for (number, found) in [(1, Some(acknowledgement(1))), (2, None)] {
        assert_eq!(
            revisions::find_acknowledgement(&mut conn, &case.number, number)
                .await
                .unwrap(),
            found
        );
    }
}

pub async fn what_is_written_once_the_database_itself_keeps(bed: &Bed) {
    let case = bed.with_a_revision().await;
    let changes = [
        "UPDATE revision SET signer_name = 'somebody else'",
        "DELETE FROM revision",
        "UPDATE acknowledgement SET at_ms = 0",
        "DELETE FROM acknowledgement",
        "UPDATE leaf SET body = ''",
        "DELETE FROM leaf",
        "DELETE FROM tree_node",
    ];
    append_leaves(bed, &case, 0..256).await;
    for change in changes {
        let refusal = bed.past_the_store(change).await.unwrap_err().to_string();
        assert!(refusal.contains("written once"), "{change}: {refusal}");
    }
    for change in [
        "DELETE FROM case_file",
        "DELETE FROM patient",
        "DELETE FROM event",
    ] {
        let refusal = bed.past_the_store(change).await.unwrap_err().to_string();
        assert!(refusal.contains("never deleted"), "{change}: {refusal}");
    }
    let mut conn = bed.read().await;
    assert_eq!(
        revisions::of_case(&mut conn, &case.number).await.unwrap(),
        [revision(&case, 1)]
    );
    assert_eq!(
        revisions::acknowledgements(&mut conn, &case.number)
            .await
            .unwrap(),
        [acknowledgement(1)]
    );
    assert_eq!(
        custody::events_of(&mut conn, &case.number).await.unwrap(),
        [event(&case, 0)]
    );
    // A lock that was broken open is laid again at the next start.
    bed.unlock("event").await;
    bed.database.open().await.close().await;
    assert!(bed.past_the_store("DELETE FROM event").await.is_err());
}

pub async fn a_tampered_text_is_not_read(bed: &Bed) {
    let case = bed.with_a_revision().await;
    let mut tx = bed.tx().await;
    revisions::insert(&mut tx, &revision(&case, 2))
        .await
        .unwrap();
    tx.commit().await.unwrap();
    bed.unlock("revision").await;
    bed.past_the_store(
        "UPDATE revision SET document = REPLACE(document, '1', '7') WHERE number = 1",
    )
    .await
    .unwrap();
    let mut conn = bed.read().await;
    for answer in [
        revisions::find(&mut conn, &case.number, 1)
            .await
            .map(|_| ()),
        revisions::of_case(&mut conn, &case.number)
            .await
            .map(|_| ()),
    ] {
        let Err(StoreError::Row {
            table: "revision",
            key,
            why,
        }) = answer
        else {
            panic!("{answer:?}")
        };
        assert!(
            key.contains("revision 1") && why.contains("hash"),
            "{key}: {why}"
        );
    }
    assert_eq!(
        revisions::find(&mut conn, &case.number, 2).await.unwrap(),
        Some(revision(&case, 2))
    );
}

pub async fn a_row_that_cannot_be_a_thing_is_named(bed: &Bed) {
    let case = bed.with_a_revision().await;
    let mut tx = bed.tx().await;
    custody::insert_item(&mut tx, &item(&case, 1), 0)
        .await
        .unwrap();
    drafts::insert(&mut tx, &draft(&case)).await.unwrap();
    tx.commit().await.unwrap();
    bed.unlock("event").await;
    for change in [
        "UPDATE case_file SET place = 'nowhere'",
        "UPDATE party SET kind = 'bank' WHERE id = 'l'",
        "UPDATE account SET role = 'king'",
        "UPDATE item SET body = '{}'",
        "UPDATE event SET body = 'not JSON'",
        "UPDATE draft SET fields = '[]'",
    ] {
        bed.past_the_store(change).await.unwrap();
    }
    let mut conn = bed.read().await;
    let (number, tag) = (case.number.as_str(), item(&case, 1).tag);
    let answers: [(&str, &str, StoreError); 5] = [
        (
            "case_file",
            number,
            cases::find_case(&mut conn, &case.number).await.unwrap_err(),
        ),
        (
            "party",
            "l",
            parties::find(&mut conn, &"l".into()).await.unwrap_err(),
        ),
        (
            "account",
            "id of dora",
            people::account_by_login(&mut conn, "dora")
                .await
                .unwrap_err(),
        ),
        (
            "item",
            tag.as_str(),
            custody::items_of(&mut conn, &case.number)
                .await
                .unwrap_err(),
        ),
        (
            "event",
            "event 0",
            custody::events_of(&mut conn, &case.number)
                .await
                .unwrap_err(),
        ),
    ];
    // Of a draft, what can be read is read.
    let draft = drafts::find(&mut conn, &case.number).await.unwrap();
    assert!(draft.unwrap().damaged);
    // Of a list, too.
    let houses = parties::each(&mut conn).await.unwrap();
    let read = houses.iter().flatten().map(|house| house.id.as_str());
    assert_eq!((houses.len(), read.collect::<Vec<_>>()), (2, vec!["o"]));
    let accounts = people::each_account(&mut conn).await.unwrap();
    assert!(!accounts.is_empty() && accounts.iter().all(Result::is_err));
    for (wanted, wanted_key, answer) in answers {
        let StoreError::Row { table, key, .. } = &answer else {
            panic!("{answer:?}")
        };
        assert_eq!((*table, key.as_str()), (wanted, wanted_key));
        assert!(!answer.is_passing() && !answer.is_duplicate());
    }
}
