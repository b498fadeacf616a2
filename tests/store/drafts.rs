//! Drafts and their changes.

use crate::bed::{Bed, LETTERS, MONDAY_MS, is_stale};
use vestibule::domain::custody::case::Case;
use vestibule::domain::prescription::draft::Fields;
use vestibule::store::drafts;
use vestibule::store::drafts::{Draft, Edit};

pub fn draft(case: &Case) -> Draft {
    Draft {
        case: case.number.clone(),
        based_on: 0,
        began_ms: MONDAY_MS,
        fields: Fields::from([
            ("shade".to_owned(), "K2".to_owned()),
            ("note".to_owned(), LETTERS.to_owned()),
        ]),
        version: 1,
        changed_ms: MONDAY_MS,
        changed_by: "Dr dora".to_owned(),
    }
}

pub fn edit(version: i64, field: &str, text: &str) -> Edit {
    Edit {
        version,
        field: field.to_owned(),
        text: text.to_owned(),
        account: "id of dora".into(),
        name: "Dr dora".to_owned(),
        at_ms: MONDAY_MS + version,
    }
}

pub async fn a_draft_is_kept_with_every_change_of_a_field(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut conn = bed.read().await;
    assert_eq!(drafts::find(&mut conn, &case.number).await.unwrap(), None);
    assert_eq!(
        drafts::find_with_conflicts(&mut conn, &case.number)
            .await
            .unwrap(),
        None
    );
    let mut tx = bed.tx().await;
    drafts::insert(&mut tx, &draft(&case)).await.unwrap();
    let edits = [
        edit(1, "note", "a"),
        edit(1, "shade", "K1"),
        edit(2, "shade", "K2"),
        edit(4, "note", LETTERS),
    ];
    for one in &edits {
        drafts::insert_edit(&mut tx, &case.number, one, false)
            .await
            .unwrap();
    }
    drafts::insert_edit(&mut tx, &case.number, &edit(3, "shade", "aside"), true)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert_eq!(
        drafts::find(&mut conn, &case.number).await.unwrap(),
        Some(draft(&case))
    );
    assert_eq!(
        drafts::edits_since(&mut conn, &case.number, 0)
            .await
            .unwrap(),
        edits
    );
    assert_eq!(
        drafts::edits_since(&mut conn, &case.number, 1)
            .await
            .unwrap(),
        edits[2..]
    );
    assert_eq!(
        drafts::edits_since(&mut conn, &case.number, 4)
            .await
            .unwrap(),
        []
    );
    for (version, shade, note) in [
        (1, "K1", "a"),
        (2, "K2", "a"),
        (3, "K2", "a"),
        (9, "K2", LETTERS),
    ] {
        let texts = drafts::texts_at(&mut conn, &case.number, version)
            .await
            .unwrap();
        let expected = [
            ("note".to_owned(), note.to_owned()),
            ("shade".to_owned(), shade.to_owned()),
        ];
        assert_eq!(texts, Fields::from(expected), "version {version}");
    }
    assert_eq!(
        drafts::texts_at(&mut conn, &case.number, 0).await.unwrap(),
        Fields::new()
    );

    let newer = Draft {
        fields: Fields::new(),
        changed_ms: 7,
        changed_by: "Anna".to_owned(),
        ..draft(&case)
    };
    let mut tx = bed.tx().await;
    drafts::update(&mut tx, &newer).await.unwrap();
    assert!(is_stale(drafts::update(&mut tx, &newer).await));
    tx.commit().await.unwrap();
    assert_eq!(
        drafts::find(&mut conn, &case.number).await.unwrap(),
        Some(Draft {
            version: 2,
            ..newer
        })
    );
    let mut tx = bed.tx().await;
    drafts::delete(&mut tx, &case.number).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(drafts::find(&mut conn, &case.number).await.unwrap(), None);
    assert_eq!(
        drafts::edits_since(&mut conn, &case.number, 0)
            .await
            .unwrap(),
        []
    );
    assert_eq!(
        drafts::conflicts(&mut conn, &case.number).await.unwrap(),
        []
    );
}

pub async fn a_text_laid_aside_waits_until_it_is_chosen(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    drafts::insert(&mut tx, &draft(&case)).await.unwrap();
    drafts::insert_edit(&mut tx, &case.number, &edit(2, "note", "stands"), false)
        .await
        .unwrap();
    assert_eq!(
        drafts::find_with_conflicts(tx.conn(), &case.number)
            .await
            .unwrap(),
        Some((draft(&case), Vec::new())),
        "nothing is laid aside yet"
    );
    drafts::insert_edit(&mut tx, &case.number, &edit(2, "shade", "mine"), true)
        .await
        .unwrap();
    drafts::insert_edit(&mut tx, &case.number, &edit(3, "note", "mine too"), true)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let waiting = drafts::conflicts(&mut conn, &case.number).await.unwrap();
    assert_eq!(
        waiting,
        [edit(2, "shade", "mine"), edit(3, "note", "mine too")]
    );
    assert_eq!(
        drafts::find_with_conflicts(&mut conn, &case.number)
            .await
            .unwrap(),
        Some((draft(&case), waiting))
    );
    let mut tx = bed.tx().await;
    drafts::choose(&mut tx, &case.number, 2, "shade")
        .await
        .unwrap();
    assert!(
        is_stale(drafts::choose(&mut tx, &case.number, 2, "shade").await),
        "chosen by somebody else"
    );
    assert!(
        is_stale(drafts::choose(&mut tx, &case.number, 2, "note").await),
        "what stands is not chosen away"
    );
    tx.commit().await.unwrap();
    assert_eq!(
        drafts::conflicts(&mut conn, &case.number).await.unwrap(),
        [edit(3, "note", "mine too")]
    );
    assert_eq!(
        drafts::edits_since(&mut conn, &case.number, 0)
            .await
            .unwrap(),
        [edit(2, "note", "stands")]
    );
}
