//! The bench of a lab: devices and codes, timers, casts that are kept, and how much waits for whom.

use crate::bed::{Bed, account, case, is_stale};
use time::macros::date;
use vestibule::domain::custody::agenda::WhoseTurn;
use vestibule::domain::custody::bench::{BenchStep, BenchTimer};
use vestibule::domain::custody::case::Case;
use vestibule::domain::people::account::Account;
use vestibule::domain::people::bench_code::AtDevice;
use vestibule::domain::people::party::Role;
use vestibule::domain::values::arch::Arches;
use vestibule::domain::values::ids::{AccountId, DeviceId, PartyId};
use vestibule::store::bench_codes::{self, DeviceRow};
use vestibule::store::bench_timers::{self, TimerRow};
use vestibule::store::people::{self, NewSession};
use vestibule::store::{agenda, cases, casts_kept};

fn lab() -> PartyId {
    "l".into()
}

fn device(id: &str, hash: &str, allowed_ms: i64) -> DeviceRow {
    DeviceRow {
        id: id.into(),
        secret_hash: hash.to_owned(),
        party: lab(),
        name: format!("Tablet „{id}“"),
        by_name: "Mara".to_owned(),
        allowed_ms,
        used_ms: 0,
        taken_back_ms: 0,
        binding: format!("binding of {id}"),
    }
}

fn technician(login: &str) -> Account {
    Account {
        party: Some(lab()),
        role: Role::Technician,
        ..account(login)
    }
}

fn by_code(hash: &str, account: &AccountId, device: Option<&DeviceId>) -> NewSession {
    NewSession {
        secret_hash: hash.to_owned(),
        account: account.clone(),
        password: String::new(),
        version: 1,
        began_ms: 10,
        ends_ms: 100,
        address: String::new(),
        browser: String::new(),
        device: device.cloned(),
    }
}

pub async fn codes_are_of_one_person_and_devices_end_what_was_begun_on_them(bed: &Bed) {
    bed.with_a_case().await;
    let (tom, mara) = (technician("tom"), technician("mara"));
    let (one, two) = (device("one", "hash 1", 5), device("two", "hash 2", 7));
    let mut tx = bed.tx().await;
    for account in [&tom, &mara] {
        people::insert_account(&mut tx, account).await.unwrap();
    }
    for row in [&one, &two] {
        bench_codes::insert_device(&mut tx, row).await.unwrap();
    }
    for (who, code) in [
        (&tom, ("$argon2id$1", "tom's")),
        (&mara, ("$argon2id$2", "mara's")),
    ] {
        bench_codes::set_code(&mut tx, &who.id, code, 9)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let found = bench_codes::allowed_device(&mut conn, "hash 1").await;
    assert_eq!(found.unwrap(), Some(one.clone()));
    let none = bench_codes::allowed_device(&mut conn, "hash 9").await;
    assert_eq!(none.unwrap(), None);
    let all = bench_codes::devices_of(&mut conn, &lab()).await.unwrap();
    assert_eq!(all, [two.clone(), one.clone()]);
    // All of them, a part after the other.
    let first = bench_codes::devices_after(&mut conn, "", 1).await.unwrap();
    let rest = bench_codes::devices_after(&mut conn, "one", 9).await;
    assert_eq!(
        (first, rest.unwrap()),
        (vec![one.clone()], vec![two.clone()])
    );
    let first = bench_codes::codes_after(&mut conn, "", 1).await.unwrap();
    let rest = bench_codes::codes_after(&mut conn, &first[0].account, 9).await;
    let both = [first, rest.unwrap()].concat();
    let mut said: Vec<_> = both
        .iter()
        .map(|one| (one.name.as_str(), one.binding.as_str(), one.version))
        .collect();
    said.sort_unstable();
    assert_eq!(said, [("Dr mara", "mara's", 1), ("Dr tom", "tom's", 1)]);
    let people = bench_codes::people_with_code(&mut conn, &lab()).await;
    let names: Vec<String> = people.unwrap().into_iter().map(|one| one.name).collect();
    assert_eq!(names, ["Dr mara", "Dr tom"]);
    // Wrong codes are counted for a person on a device, and forgotten by the secret of the device.
    let mut tx = bed.tx().await;
    for (device, count) in [(&one, 1), (&one, 5), (&two, 3)] {
        bench_codes::set_wrong_codes(&mut tx, &tom.id, &device.id, count)
            .await
            .unwrap();
    }
    bench_codes::forget_wrong_codes(&mut tx, &tom.id, "hash 2")
        .await
        .unwrap();
    tx.commit().await.unwrap();
    for (account, device, count) in [(&tom, &one, 5), (&tom, &two, 0), (&mara, &one, 0)] {
        let found = bench_codes::wrong_codes(&mut conn, &account.id, &device.id).await;
        assert_eq!(found.unwrap(), count);
    }
    // A session by a code names its device, and begins without the password.
    let mut tx = bed.tx().await;
    for (hash, device) in [("s1", Some(&one.id)), ("s2", Some(&two.id)), ("s3", None)] {
        let session = by_code(hash, &tom.id, device);
        people::insert_session(&mut tx, &session, "").await.unwrap();
    }
    bench_codes::note_use(&mut tx, &one.id, 77).await.unwrap();
    tx.commit().await.unwrap();
    let session = people::session(&mut conn, "s1").await.unwrap().unwrap();
    let at = AtDevice {
        device: one.id.clone(),
        name: one.name.clone(),
    };
    assert_eq!((session.by_code, session.proved_ms), (Some(at), 0));
    let begun = bench_codes::begun_by_code(&mut conn, &tom.id).await;
    let mut begun = begun.unwrap();
    begun.sort_unstable();
    assert_eq!(begun, ["s1", "s2"]);
    let none = bench_codes::begun_by_code(&mut conn, &mara.id).await;
    assert_eq!(none.unwrap(), Vec::<String>::new());
    let used = DeviceRow {
        used_ms: 77,
        ..one.clone()
    };
    assert_eq!(session.device, Some(used));
    let session = people::session(&mut conn, "s3").await.unwrap().unwrap();
    assert_eq!((session.by_code, session.proved_ms), (None, 10));
    // Taken back once, by its own lab.
    let mut tx = bed.tx().await;
    let other = bench_codes::take_back(&mut tx, &one.id, &"o".into(), 80).await;
    assert!(is_stale(other));
    bench_codes::take_back(&mut tx, &one.id, &lab(), 80)
        .await
        .unwrap();
    let again = bench_codes::take_back(&mut tx, &one.id, &lab(), 81).await;
    assert!(is_stale(again));
    tx.commit().await.unwrap();
    let gone = bench_codes::allowed_device(&mut conn, "hash 1").await;
    assert_eq!(gone.unwrap(), None);
    for (hash, is_there) in [("s1", false), ("s2", true), ("s3", true)] {
        let session = people::session(&mut conn, hash).await.unwrap();
        assert_eq!(session.is_some(), is_there, "{hash}");
    }
    let all = bench_codes::devices_of(&mut conn, &lab()).await.unwrap();
    assert_eq!((all[1].used_ms, all[1].taken_back_ms), (77, 80));
    assert_eq!(all[1].binding, "");
    let allowed = bench_codes::devices_after(&mut conn, "", 9).await.unwrap();
    assert_eq!(allowed, std::slice::from_ref(&two));
    // A new code ends what was begun by the old one, and nothing else; without one there is none.
    let mut tx = bed.tx().await;
    bench_codes::set_code(&mut tx, &tom.id, ("$argon2id$3", "again"), 90)
        .await
        .unwrap();
    bench_codes::drop_code(&mut tx, &mara.id).await.unwrap();
    tx.commit().await.unwrap();
    assert!(people::session(&mut conn, "s2").await.unwrap().is_none());
    assert!(people::session(&mut conn, "s3").await.unwrap().is_some());
    let code = bench_codes::code_of(&mut conn, &tom.id).await.unwrap();
    let code = code.map(|code| (code.hash, code.binding));
    assert_eq!(code, Some(("$argon2id$3".to_owned(), "again".to_owned())));
    let none = bench_codes::code_of(&mut conn, &mara.id).await.unwrap();
    assert_eq!(none, None);
}

pub async fn timers_run_until_they_are_stopped_and_go_with_their_entry(bed: &Bed) {
    let case = bed.with_a_case().await;
    let timer = |id: &str, began_ms: i64| TimerRow {
        arches: Arches::Both,
        id: id.into(),
        case: case.number.clone(),
        lab: lab(),
        step: BenchStep::Cured,
        timer: BenchTimer::Cure,
        seconds: 5_400,
        began_ms,
        by_name: "Tom „T“".to_owned(),
        stopped_ms: 0,
    };
    let (first, second) = (timer("b", 5), timer("a", 9));
    let mut tx = bed.tx().await;
    for row in [&second, &first] {
        bench_timers::insert_timer(&mut tx, row).await.unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    let all = bench_timers::timers_of_case(&mut conn, &case.number).await;
    assert_eq!(all.unwrap(), [first.clone(), second.clone()]);
    let mut tx = bed.tx().await;
    bench_timers::leave_timer_to(&mut tx, &case.number, &"b".into(), Arches::Lower)
        .await
        .unwrap();
    let gone =
        bench_timers::leave_timer_to(&mut tx, &case.number, &"c".into(), Arches::Lower).await;
    assert!(is_stale(gone));
    bench_timers::stop_timer(&mut tx, &case.number, &"b".into(), 20)
        .await
        .unwrap();
    let twice = bench_timers::stop_timer(&mut tx, &case.number, &"b".into(), 30).await;
    assert!(is_stale(twice));
    tx.commit().await.unwrap();
    let running = bench_timers::running_timers(&mut conn, &lab()).await;
    assert_eq!(running.unwrap(), [(second, String::new())]);
    // One that somebody has changed past the program keeps nobody from the others.
    for (step, unread) in [("of no kind", 1), ("cured", 0)] {
        let sql = format!("UPDATE bench_timer SET step = '{step}' WHERE id = 'a'");
        bed.past_the_store(&sql).await.unwrap();
        let running = bench_timers::running_timers(&mut conn, &lab()).await;
        assert_eq!(running.unwrap().len(), 1 - unread);
        let unreadable = bench_timers::unreadable_timers(&mut conn, &lab()).await;
        assert_eq!(unreadable.unwrap(), unread);
        let all = bench_timers::timers_of_case(&mut conn, &case.number).await;
        assert_eq!(all.unwrap().len(), 2 - unread);
    }
    let mut tx = bed.tx().await;
    bench_timers::remove_timer(&mut tx, &case.number, &"b".into())
        .await
        .unwrap();
    let twice = bench_timers::remove_timer(&mut tx, &case.number, &"b".into()).await;
    assert!(is_stale(twice));
    tx.commit().await.unwrap();
    let left = bench_timers::timers_of_case(&mut conn, &case.number).await;
    assert_eq!(left.unwrap().len(), 1);
    // One that was stopped comes back as it was, and nothing of a closed case runs.
    let back = TimerRow {
        arches: Arches::Lower,
        stopped_ms: 20,
        ..first
    };
    let mut tx = bed.tx().await;
    bench_timers::insert_timer(&mut tx, &back).await.unwrap();
    let mut closed = cases::find_case(tx.conn(), &case.number)
        .await
        .unwrap()
        .unwrap();
    closed.closed = true;
    cases::update_case(&mut tx, &closed).await.unwrap();
    tx.commit().await.unwrap();
    let all = bench_timers::timers_of_case(&mut conn, &case.number).await;
    assert!(all.unwrap().contains(&back));
    let running = bench_timers::running_timers(&mut conn, &lab()).await;
    assert_eq!(running.unwrap(), []);
}

pub async fn casts_are_kept_until_a_day_and_work_is_counted_by_technician(bed: &Bed) {
    let one = bed.with_a_case().await;
    let mut two = case(2);
    two.agenda.lab.turn = WhoseTurn::Yours;
    two.agenda.lab.day = Some(date!(2026 - 03 - 20));
    two.agenda.bench.technician = Some("id of tom".into());
    let three = cases_like(&two, 3);
    let mut tx = bed.tx().await;
    for case in [&two, &three] {
        cases::insert_case(&mut tx, case).await.unwrap();
    }
    for (case, until) in [
        (&one, Some(date!(2026 - 05 - 01))),
        (&one, Some(date!(2026 - 04 - 01))),
        (&two, Some(date!(2026 - 03 - 31))),
        (&three, Some(date!(2026 - 03 - 31))),
        (&three, None),
    ] {
        casts_kept::set(&mut tx, (&case.number, &lab()), until)
            .await
            .unwrap();
    }
    tx.commit().await.unwrap();
    let mut conn = bed.read().await;
    for (today, count) in [
        (date!(2026 - 03 - 31), 0),
        (date!(2026 - 04 - 01), 1),
        (date!(2026 - 04 - 02), 2),
    ] {
        let over = casts_kept::over(&mut conn, &lab(), today, 10).await;
        assert_eq!(over.unwrap().len(), count, "{today}");
    }
    let over = casts_kept::over(&mut conn, &lab(), date!(2027 - 01 - 01), 10).await;
    let days: Vec<_> = over.unwrap().into_iter().map(|(_, day)| day).collect();
    assert_eq!(days, [date!(2026 - 03 - 31), date!(2026 - 04 - 01)]);
    // All of them, in the order of their cases, so many at a time.
    let all = casts_kept::after(&mut conn, "", 10).await.unwrap();
    let numbers: Vec<&str> = all.iter().map(|one| one.case.as_str()).collect();
    assert!(numbers.len() == 2 && numbers.is_sorted(), "{numbers:?}");
    assert!(all.iter().all(|one| one.lab == lab()));
    let first = casts_kept::after(&mut conn, "", 1).await.unwrap();
    assert_eq!(first, all[..1]);
    let rest = casts_kept::after(&mut conn, numbers[0], 10).await.unwrap();
    assert_eq!(rest, all[1..]);
    let loads = agenda::by_technician(&mut conn, &lab(), WhoseTurn::Yours).await;
    let wanted = (
        Some(AccountId::new("id of tom")),
        Some(date!(2026 - 03 - 20)),
        2,
    );
    assert_eq!(loads.unwrap(), [wanted]);
    let nobody = agenda::by_technician(&mut conn, &lab(), WhoseTurn::Others).await;
    assert_eq!(nobody.unwrap(), [(None, None, 1)]);
    // A day that somebody has changed past the program keeps nobody from the others.
    let sql = "UPDATE case_file SET lab_day = 'zz' WHERE lab_turn = 'others'";
    bed.past_the_store(sql).await.unwrap();
    let unread = agenda::by_technician(&mut conn, &lab(), WhoseTurn::Others).await;
    assert_eq!(unread.unwrap(), []);
    let loads = agenda::by_technician(&mut conn, &lab(), WhoseTurn::Yours).await;
    assert_eq!(loads.unwrap().len(), 1);
}

/// The same case under another number.
fn cases_like(one: &Case, number: u32) -> Case {
    Case {
        number: case(number).number,
        ..one.clone()
    }
}
