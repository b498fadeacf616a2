//! Drafts and their changes.

use crate::bed::{Bed, LETTERS, MONDAY_MS, is_stale};
use sqlx::Row;
use std::collections::BTreeMap;
use vestibule::domain::custody::case::Case;
use vestibule::domain::prescription::draft::Fields;
use vestibule::domain::values::ids::PartyId;
use vestibule::store::Backend;
use vestibule::store::drafts;
use vestibule::store::drafts::{Draft, EarlierText, Edit};

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
        damaged: false,
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
    let writers = drafts::houses_of_writers(&mut conn, &case.number).await;
    assert_eq!(writers.unwrap(), [PartyId::new("o")]);
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
        let kept = |text: &str| EarlierText::Kept(text.to_owned());
        let expected = [
            ("note".to_owned(), kept(note)),
            ("shade".to_owned(), kept(shade)),
        ];
        assert_eq!(texts, BTreeMap::from(expected), "version {version}");
    }
    assert_eq!(
        drafts::texts_at(&mut conn, &case.number, 0).await.unwrap(),
        BTreeMap::new()
    );
    let numbers = drafts::numbers_after(&mut conn, "", 10).await.unwrap();
    assert_eq!(numbers, [case.number.as_str()]);
    let after = drafts::numbers_after(&mut conn, case.number.as_str(), 10).await;
    assert_eq!(after.unwrap(), Vec::<String>::new());

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

pub async fn r15_of_a_text_that_was_written_over_only_a_trace_is_left(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    drafts::insert(&mut tx, &draft(&case)).await.unwrap();
    let name = "for Mrs Amalie Sample";
    for one in [
        edit(1, "note", name),
        edit(2, "note", "upper"),
        edit(2, "shade", "K2"),
        edit(3, "note", "lower"),
    ] {
        drafts::insert_edit(&mut tx, &case.number, &one, false)
            .await
            .unwrap();
    }
    for (version, salt) in [(2, [1; 16]), (3, [2; 16])] {
        drafts::forget_before(&mut tx, &case.number, "note", version, &salt)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let left = drafts::edits_since(&mut conn, &case.number, 0).await;
    assert_eq!(
        left.unwrap(),
        [edit(2, "shade", "K2"), edit(3, "note", "lower")]
    );
    for (version, was, was_not) in [(1, name, "upper"), (2, "upper", name), (3, "lower", name)] {
        let texts = drafts::texts_at(&mut conn, &case.number, version).await;
        let note = &texts.unwrap()["note"];
        assert!(
            note.was(was) && !note.was(was_not) && !note.was(""),
            "{note:?}"
        );
    }
    let rows = sqlx::query("SELECT text, overwritten FROM draft_edit WHERE case_number = $1")
        .bind(case.number.as_str())
        .fetch_all(&mut *conn)
        .await
        .unwrap();
    for row in rows {
        let texts: [String; 2] = [row.get("text"), row.get("overwritten")];
        assert!(!texts.concat().contains("Amalie"), "{texts:?}");
    }
}

pub async fn r16_of_a_damaged_draft_what_can_be_read_is_read(bed: &Bed) {
    let case = bed.with_a_case().await;
    let mut tx = bed.tx().await;
    drafts::insert(&mut tx, &draft(&case)).await.unwrap();
    for (one, in_conflict) in [
        (edit(1, "mould", "oval"), false),
        (edit(1, "note", LETTERS), false),
        (edit(2, "shade", "K1"), false),
        (edit(3, "shade", "K2"), false),
        (edit(4, "note", "aside"), true),
        (edit(4, "shade", "aside too"), true),
    ] {
        drafts::insert_edit(&mut tx, &case.number, &one, in_conflict)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    // A server lets no text in that is none; what is no JSON any more it does.
    let damages: &[&str] = match bed.database.backend {
        Backend::Postgres => &["UPDATE draft SET fields = '{\"shade\":'"],
        Backend::Sqlite => &[
            "UPDATE draft SET fields = '{\"shade\":'",
            "UPDATE draft SET fields = CAST(x'7B22FF' AS TEXT)",
            "UPDATE draft SET changed_by = CAST(x'FFFE' AS TEXT)",
            "UPDATE draft_edit SET text = CAST(x'FFFE' AS TEXT) WHERE field = 'mould'",
            "UPDATE draft_edit SET text = CAST(x'FFFE' AS TEXT) WHERE aside = 1 AND field = 'note'",
        ],
    };
    let mut conn = bed.read().await;
    for (number, sql) in damages.iter().enumerate() {
        bed.past_the_store(sql).await.unwrap();
        let found = drafts::find(&mut conn, &case.number)
            .await
            .unwrap()
            .unwrap();
        let mut expected = Fields::from([
            ("shade".to_owned(), "K2".to_owned()),
            ("note".to_owned(), LETTERS.to_owned()),
        ]);
        if number < 3 {
            expected.insert("mould".to_owned(), "oval".to_owned());
        }
        assert!(found.damaged, "{sql}");
        assert_eq!((found.fields, found.version), (expected, 1), "{sql}");
        let both = drafts::find_with_conflicts(&mut conn, &case.number).await;
        let (again, in_conflict) = both.unwrap().unwrap();
        assert!(again.damaged);
        let mut waiting = vec![edit(4, "note", "aside"), edit(4, "shade", "aside too")];
        if number == 4 {
            waiting.remove(0);
        }
        assert_eq!(in_conflict, waiting, "{sql}");
    }
    // What is saved next writes the row again.
    let mut tx = bed.tx().await;
    let found = drafts::find(tx.conn(), &case.number)
        .await
        .unwrap()
        .unwrap();
    drafts::update(
        &mut tx,
        &Draft {
            changed_by: "Anna".to_owned(),
            ..found
        },
    )
    .await
    .unwrap();
    tx.commit().await.unwrap();
    let healed = drafts::find(&mut conn, &case.number)
        .await
        .unwrap()
        .unwrap();
    assert!(!healed.damaged && healed.version == 2);
}
