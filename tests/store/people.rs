//! Parties, accounts, links, sessions and post keys.

use crate::bed::{Bed, LETTERS, account, changes_of, is_stale, party};
use vestibule::domain::people::account::{Account, Invite};
use vestibule::domain::people::party::{Paper, Party, Role, Side};
use vestibule::domain::values::ids::{AccountId, PartyId};
use vestibule::domain::values::tooth::Numbering;
use vestibule::store::admissions::{AdmissionRow, Admitted};
use vestibule::store::people::{Failures, KnownBrowser, NewSession};
use vestibule::store::{Connection, StoreError, admissions, parties, people, retry};

pub async fn parties_are_kept_and_their_changes_counted(bed: &Bed) {
    let (office, lab) = (party("o", Side::Office), party("l", Side::Lab));
    let mut tx = bed.tx().await;
    parties::insert(&mut tx, &lab).await.unwrap();
    parties::insert(&mut tx, &office).await.unwrap();
    assert!(
        parties::insert(&mut tx, &office)
            .await
            .unwrap_err()
            .is_duplicate()
    );
    drop(tx);
    let mut tx = bed.tx().await;
    parties::insert(&mut tx, &lab).await.unwrap();
    parties::insert(&mut tx, &office).await.unwrap();
    tx.commit().await.unwrap();

    let mut conn = bed.read().await;
    assert_eq!(
        parties::find(&mut conn, &"o".into()).await.unwrap(),
        Some(office.clone())
    );
    assert_eq!(parties::find(&mut conn, &"x".into()).await.unwrap(), None);
    let by_kind: Vec<String> = parties::all(&mut conn)
        .await
        .unwrap()
        .into_iter()
        .map(|party| party.id.to_string())
        .collect();
    assert_eq!(by_kind, ["l", "o"]);

    let mut tx = bed.tx().await;
    let renamed = Party {
        name: LETTERS.to_owned(),
        paper: Paper::Letter,
        numbering: Numbering::Universal,
        profile: "us-fl".to_owned(),
        ..office
    };
    parties::update(&mut tx, &renamed).await.unwrap();
    assert!(
        is_stale(parties::update(&mut tx, &renamed).await),
        "the version has moved on"
    );
    parties::count_change(&mut tx, [&"o".into(), &"l".into()])
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert_eq!(
        parties::find(&mut conn, &"o".into()).await.unwrap(),
        Some(Party {
            version: 2,
            ..renamed
        })
    );
    assert_eq!(
        (
            changes_of(&mut conn, "o").await,
            changes_of(&mut conn, "l").await
        ),
        // A house that is called otherwise changes what all others read.
        (2, 2)
    );
    let changes = parties::changes(&mut conn, &"l".into()).await.unwrap();
    assert_eq!(changes, Some(2));
    let nobodys = parties::changes(&mut conn, &"x".into()).await.unwrap();
    assert_eq!(nobodys, None);
}

pub async fn accounts_are_kept_and_login_names_are_nobody_elses(bed: &Bed) {
    bed.with_a_case().await;
    let root = Account {
        party: None,
        role: Role::Administrator,
        licence: String::new(),
        ..account("root")
    };
    let mut tx = bed.tx().await;
    people::insert_account(&mut tx, &root).await.unwrap();
    tx.commit().await.unwrap();
    let mut tx = bed.tx().await;
    let twin = Account {
        id: "another id".into(),
        ..account("dora")
    };
    assert!(
        people::insert_account(&mut tx, &twin)
            .await
            .unwrap_err()
            .is_duplicate()
    );
    drop(tx);

    let mut conn = bed.read().await;
    assert_eq!(
        people::account_by_login(&mut conn, "dora").await.unwrap(),
        Some(account("dora"))
    );
    assert_eq!(
        people::account_by_id(&mut conn, &"id of root".into())
            .await
            .unwrap(),
        Some(root.clone())
    );
    assert_eq!(
        people::account_by_login(&mut conn, "Dora").await.unwrap(),
        None,
        "the store compares as it is told"
    );
    assert_eq!(
        people::account_by_id(&mut conn, &"".into()).await.unwrap(),
        None
    );
    assert_eq!(people::all_accounts(&mut conn).await.unwrap().len(), 2);
    assert_eq!(people::count_administrators(&mut conn).await.unwrap(), 1);

    let mut tx = bed.tx().await;
    let off = Account {
        disabled: true,
        password: "new".to_owned(),
        licence: "none".to_owned(),
        ..root
    };
    people::update_account(&mut tx, &off).await.unwrap();
    assert!(is_stale(people::update_account(&mut tx, &off).await));
    tx.commit().await.unwrap();
    assert_eq!(
        people::account_by_login(&mut conn, "root").await.unwrap(),
        Some(Account { version: 2, ..off })
    );
    assert_eq!(
        people::count_administrators(&mut conn).await.unwrap(),
        0,
        "one who cannot sign in does not count"
    );
}

pub async fn a_one_time_link_is_spent_once_by_two_at_once(bed: &Bed) {
    bed.with_a_case().await;
    let invite = Invite {
        party: Some("o".into()),
        role: Role::Assistant,
        name: "Anna".to_owned(),
        ends_ms: 9,
        admission: None,
        account: None,
        binding: "of the program".to_owned(),
    };
    let mut tx = bed.tx().await;
    people::insert_invite(&mut tx, "hash", &invite, 1)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    assert_eq!(
        people::open_invite(&mut conn, "hash").await.unwrap(),
        Some(invite)
    );
    assert_eq!(people::open_invite(&mut conn, "other").await.unwrap(), None);

    let spend = || {
        retry(|| async {
            let mut tx = bed.store.begin().await?;
            people::spend_invite(&mut tx, "hash", 2).await?;
            tx.commit().await
        })
    };
    let (one, two) = tokio::join!(spend(), spend());
    assert_ne!(one.is_ok(), two.is_ok(), "{one:?} {two:?}");
    assert!(is_stale(one) || is_stale(two));
    assert_eq!(people::open_invite(&mut conn, "hash").await.unwrap(), None);
}

fn session(hash: &str, account: &AccountId, ends_ms: i64) -> NewSession {
    NewSession {
        secret_hash: hash.to_owned(),
        account: account.clone(),
        password: String::new(),
        version: 1,
        began_ms: 10,
        ends_ms,
        address: "192.0.2.7".to_owned(),
        browser: LETTERS.to_owned(),
        device: None,
    }
}

pub async fn sessions_begin_are_touched_and_end(bed: &Bed) {
    bed.with_a_case().await;
    let root = Account {
        party: None,
        role: Role::Administrator,
        ..account("root")
    };
    let mut tx = bed.tx().await;
    people::insert_account(&mut tx, &root).await.unwrap();
    for (hash, login) in [("s1", "dora"), ("s2", "dora"), ("s3", "root")] {
        let session = session(hash, &account(login).id, 100);
        people::insert_session(&mut tx, &session, "").await.unwrap();
    }
    // Seen by the binding with which it was read: a request that was read before comes too late.
    for (seen_ms, before, binding) in [(55, "", "seen"), (54, "", "late")] {
        people::touch_session(&mut tx, "s1", seen_ms, (before, binding))
            .await
            .unwrap();
    }
    parties::count_change(&mut tx, [&"o".into(), &"l".into()])
        .await
        .unwrap();
    tx.commit().await.unwrap();

    let mut conn = bed.read().await;
    let session = people::session(&mut conn, "s1").await.unwrap().unwrap();
    assert_eq!(
        (session.seen_ms, session.ends_ms, session.changes),
        (55, 100, 1)
    );
    assert_eq!(
        (session.binding.as_str(), session.browser.as_str()),
        ("seen", LETTERS)
    );
    for (hash, lasts) in [
        ("s1", Some([10, 55, 100])),
        ("s3", Some([10, 10, 100])),
        ("s9", None),
    ] {
        let found = people::session_lasts(&mut conn, hash).await.unwrap();
        assert_eq!(found, lasts, "{hash}");
    }
    // It begins proved, and is proved again by the password alone.
    assert_eq!(session.proved_ms, 10);
    let mut tx = bed.tx().await;
    people::prove_session(&mut tx, "s1", 60, "a binding")
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let proved = people::session(&mut conn, "s1").await.unwrap().unwrap();
    assert_eq!((proved.proved_ms, proved.seen_ms), (60, 60));
    assert_eq!(
        (proved.began_ms, proved.binding.as_str()),
        (10, "a binding")
    );
    let other = people::session(&mut conn, "s2").await.unwrap().unwrap();
    assert_eq!(other.proved_ms, 10);
    assert_eq!(
        (session.account, session.party),
        (account("dora"), Some(party("o", Side::Office)))
    );
    let session = people::session(&mut conn, "s3").await.unwrap().unwrap();
    assert_eq!(
        (
            session.account,
            session.party,
            session.changes,
            session.seen_ms
        ),
        (root, None, 0, 10)
    );

    let own = people::sessions_of(&mut conn, &"id of dora".into())
        .await
        .unwrap();
    let seen: Vec<(&str, i64)> = own
        .iter()
        .map(|one| (one.secret_hash.as_str(), one.seen_ms))
        .collect();
    assert_eq!(seen, [("s1", 60), ("s2", 10)]);
    for (login, hashes) in [("dora", &["s1", "s2"][..]), ("root", &["s3"][..])] {
        let found = people::session_hashes_of(&mut conn, &account(login).id).await;
        let mut found = found.unwrap();
        found.sort_unstable();
        assert_eq!(found, hashes, "{login}");
    }
    assert_eq!(
        (own[0].address.as_str(), own[0].browser.as_str()),
        ("192.0.2.7", LETTERS)
    );

    let mut tx = bed.tx().await;
    people::end_session(&mut tx, "s2", &"id of root".into())
        .await
        .unwrap();
    people::end_session(&mut tx, "s3", &"id of root".into())
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert!(people::session(&mut conn, "s3").await.unwrap().is_none());
    assert!(people::session(&mut conn, "s2").await.unwrap().is_some());
    let mut tx = bed.tx().await;
    people::end_sessions_of(&mut tx, &"id of dora".into())
        .await
        .unwrap();
    tx.commit().await.unwrap();
    for hash in ["s1", "s2"] {
        assert!(people::session(&mut conn, hash).await.unwrap().is_none());
    }
}

pub async fn however_many_sessions_somebody_has_all_are_found(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    for number in 0..250 {
        let session = session(&format!("s{number}"), &"id of dora".into(), 100);
        people::insert_session(&mut tx, &session, "").await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let all = people::sessions_of(&mut conn, &"id of dora".into()).await;
    assert_eq!(all.unwrap().len(), 250);
}

pub async fn old_sessions_and_post_keys_are_forgotten(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    for (hash, ends_ms) in [("old", 99), ("new", 100)] {
        let session = session(hash, &"id of dora".into(), ends_ms);
        people::insert_session(&mut tx, &session, "").await.unwrap();
    }
    people::note_outcome(&mut tx, &"id of dora".into(), "old key", "x", 99)
        .await
        .unwrap();
    people::note_outcome(&mut tx, &"id of dora".into(), "new key", "y", 100)
        .await
        .unwrap();
    people::forget_old(&mut tx, 100).await.unwrap();
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    assert!(people::session(&mut conn, "old").await.unwrap().is_none());
    assert!(people::session(&mut conn, "new").await.unwrap().is_some());
    assert_eq!(
        people::outcome_of(&mut conn, &"id of dora".into(), "old key")
            .await
            .unwrap(),
        None
    );
    assert_eq!(
        people::outcome_of(&mut conn, &"id of dora".into(), "new key")
            .await
            .unwrap()
            .as_deref(),
        Some("y")
    );
}

pub async fn wrong_passwords_are_counted(bed: &Bed) {
    let mut conn = bed.read().await;
    let none = Failures::default();
    assert_eq!(people::failures(&mut conn, "nobody").await.unwrap(), none);
    for (count, until) in [(1, 0), (5, 777)] {
        let found = Failures {
            count,
            since_ms: 100,
            closed_until_ms: until,
        };
        let mut tx = bed.tx().await;
        people::set_failures(&mut tx, "nobody", found)
            .await
            .unwrap();
        people::set_failures(&mut tx, "other", found).await.unwrap();
        tx.commit().await.unwrap();
        assert_eq!(people::failures(&mut conn, "nobody").await.unwrap(), found);
    }
    let mut tx = bed.tx().await;
    people::forget_door(&mut tx, "nobody").await.unwrap();
    // What still shuts something is not forgotten.
    people::forget_failures(&mut tx, 777).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(people::failures(&mut conn, "nobody").await.unwrap(), none);
    assert_eq!(people::failures(&mut conn, "other").await.unwrap().count, 5);
    let mut tx = bed.tx().await;
    people::forget_failures(&mut tx, 778).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(people::failures(&mut conn, "other").await.unwrap(), none);
}

pub async fn a_browser_is_known_for_whoever_has_signed_in_there(bed: &Bed) {
    bed.with_a_case().await;
    let mut tx = bed.tx().await;
    let known = |ends_ms, binding: &str| KnownBrowser {
        account: "id of dora".into(),
        ends_ms,
        binding: binding.to_owned(),
    };
    for row in [known(50, "first"), known(100, "second")] {
        people::note_browser(&mut tx, "b", &row).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    for (browser, now, wanted) in [
        ("b", 99, vec![known(100, "second")]),
        ("b", 100, Vec::new()),
        ("c", 99, Vec::new()),
    ] {
        let found = people::known_in(&mut conn, browser, now).await.unwrap();
        assert_eq!(found, wanted, "{browser} {now}");
    }
    let mut tx = bed.tx().await;
    people::forget_browsers_of(&mut tx, &"id of dora".into())
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert_eq!(people::known_in(&mut conn, "b", 0).await.unwrap(), []);
}

pub async fn s4_admissions_are_written_once_and_counted_until_they_are_read(bed: &Bed) {
    bed.with_a_case().await;
    let root = Account {
        party: None,
        role: Role::Administrator,
        ..account("root")
    };
    let row = AdmissionRow {
        id: "a".to_owned(),
        what: Admitted::Invited,
        party: Some("o".into()),
        role: Role::Dentist,
        name: LETTERS.to_owned(),
        account: None,
        link: None,
        by: root.id.clone(),
        by_name: "Root".to_owned(),
        at_ms: 20,
    };
    let link = Invite {
        party: row.party.clone(),
        role: row.role,
        name: row.name.clone(),
        ends_ms: 99,
        admission: Some("a".to_owned()),
        account: Some("id of dora".into()),
        binding: "of the program".to_owned(),
    };
    let mut tx = bed.tx().await;
    people::insert_account(&mut tx, &root).await.unwrap();
    for (hash, account) in [("s1", &"id of dora".into()), ("s2", &root.id)] {
        let session = session(hash, account, 100);
        people::insert_session(&mut tx, &session, "").await.unwrap();
    }
    admissions::insert(&mut tx, &row).await.unwrap();
    people::insert_invite(&mut tx, "hash", &link, 20)
        .await
        .unwrap();
    tx.commit().await.unwrap();

    let mut conn = bed.read().await;
    let unread = async |conn: &mut Connection, hash| {
        let session = people::session(conn, hash).await.unwrap().unwrap();
        session.unread
    };
    assert_eq!(unread(&mut conn, "s1").await, 1);
    assert_eq!(unread(&mut conn, "s2").await, 0, "whoever did it knows");
    assert_eq!(
        admissions::find(&mut conn, "a").await.unwrap(),
        Some(row.clone())
    );
    let of = async |conn: &mut Connection, party: Option<&PartyId>| {
        let all = admissions::of_party(conn, party, 9).await.unwrap();
        all.into_iter().map(Result::unwrap).collect::<Vec<_>>()
    };
    assert_eq!(of(&mut conn, Some(&"o".into())).await, [row]);
    assert_eq!(of(&mut conn, None).await, []);
    let open = people::open_links(&mut conn, 98).await.unwrap();
    assert_eq!((open.len(), open[0].by_name.as_str()), (1, "Root"));
    assert_eq!(people::open_links(&mut conn, 99).await.unwrap(), []);
    assert_eq!(
        people::find_link(&mut conn, "hash").await.unwrap(),
        Some(link)
    );

    // Of whom the links are: those that could still be used, once.
    let mut tx = bed.tx().await;
    for (by, now, many) in [
        (&root.id, 99, 0),
        (&"id of dora".into(), 30, 0),
        (&root.id, 30, 1),
        (&root.id, 30, 0),
    ] {
        let spent = people::spend_links_by(&mut tx, by, now).await;
        assert_eq!(spent.unwrap(), many);
    }
    drop(tx);

    let mut tx = bed.tx().await;
    admissions::note_seen(&mut tx, &"id of dora".into(), 19)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert_eq!(unread(&mut conn, "s1").await, 1);
    let mut tx = bed.tx().await;
    admissions::note_seen(&mut tx, &"id of dora".into(), 20)
        .await
        .unwrap();
    people::spend_links_of(&mut tx, &"id of dora".into(), 30)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    assert_eq!(unread(&mut conn, "s1").await, 0);
    assert_eq!(people::open_links(&mut conn, 0).await.unwrap(), []);
    for sql in ["UPDATE admission SET name = 'x'", "DELETE FROM admission"] {
        let why = bed.past_the_store(sql).await.unwrap_err().to_string();
        assert!(why.contains("written once"), "{why}");
    }
}

pub async fn a_post_key_is_noted_once(bed: &Bed) {
    let mut tx = bed.tx().await;
    people::note_outcome(&mut tx, &"dora".into(), "key", LETTERS, 1)
        .await
        .unwrap();
    people::note_outcome(&mut tx, &"anna".into(), "key", "another's", 1)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    let mut tx = bed.tx().await;
    let again = people::note_outcome(&mut tx, &"dora".into(), "key", "second", 2)
        .await
        .unwrap_err();
    assert!(again.is_duplicate() && !again.is_passing(), "{again}");
    drop(tx);
    let mut conn = bed.read().await;
    assert_eq!(
        people::outcome_of(&mut conn, &"dora".into(), "key")
            .await
            .unwrap()
            .as_deref(),
        Some(LETTERS)
    );
    let mut tx = bed.tx().await;
    people::change_outcome(&mut tx, &"dora".into(), "key", "another")
        .await
        .unwrap();
    let never = people::change_outcome(&mut tx, &"dora".into(), "other", "x").await;
    assert!(matches!(never, Err(StoreError::Stale(_))), "{never:?}");
    tx.commit().await.unwrap();
    for (who, outcome) in [("dora", "another"), ("anna", "another's")] {
        let noted = people::outcome_of(&mut conn, &who.into(), "key")
            .await
            .unwrap();
        assert_eq!(noted.as_deref(), Some(outcome));
    }
    assert_eq!(
        people::outcome_of(&mut conn, &"dora".into(), "other")
            .await
            .unwrap(),
        None
    );
}
