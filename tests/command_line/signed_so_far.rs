//! What a key has signed is not forgotten with the database: rows r1 to r3.

use super::backups::Serving;
use super::{Data, PICTURES, Said, files_in, program, vestibule, write_private};
use std::io::Write;
use std::process::Stdio;
use vestibule::app::case_work::CaseWork;
use vestibule::app::clear_alarm::{ClearAlarmForm, clear, named};
use vestibule::app::{App, Person, PostKey, Settings, manage, pictures};
use vestibule::clock::Outside;
use vestibule::domain::custody::forms::PictureForm;
use vestibule::domain::people::account::Account;
use vestibule::domain::people::party::Role;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::keyring;
use vestibule::store::{LastSigned, Store, cases, parties, people, witness};

/// What an attacker who may write to the database, and has no key, does to have another history signed.
const START_OVER: &str = "DELETE FROM leaf_salt; DELETE FROM leaf; DELETE FROM tree_node; DELETE FROM witness; \
     UPDATE record_head SET size = 0, peaks = '', checkpoint = ''";

impl Data {
    /// One more entry, written through the program's own store: somebody's account is disabled.
    pub fn grow(&self) {
        in_the_program(self, async |app, person| {
            shut_somebody_out(app, person).await;
        });
    }

    /// The same, and the program is killed before it has closed anything: its files as they lie then, by their names.
    fn grow_and_be_killed(&self) -> Vec<(String, Vec<u8>)> {
        let mut left = Vec::new();
        in_the_program(self, async |app, person| {
            shut_somebody_out(app, person).await;
            left = files_in(self.folder.path());
        });
        left
    }

    /// Goes on with what is there, in the name of whom the demo made administrator.
    pub fn restore(&self, password: &str, reason: &str) -> Said {
        let folder = self.named("");
        let words = [
            "restore",
            "--login",
            &self.administrator().0,
            "--reason",
            reason,
        ];
        let mut command = program(&[&words[..], &["--data", &folder]].concat());
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // It may have ended before it asks.
        writeln!(child.stdin.take().unwrap(), "{password}").ok();
        let done = child.wait_with_output().unwrap();
        Said {
            well: done.status.success(),
            out: String::from_utf8(done.stdout).unwrap(),
            err: String::from_utf8(done.stderr).unwrap(),
        }
    }

    /// Sign-in name and password.
    pub fn administrator(&self) -> (String, String) {
        let line = self
            .demo_output
            .lines()
            .find(|line| line.contains("administrator"));
        let mut words = line.unwrap().split_whitespace();
        let mut next = || words.next().unwrap().to_owned();
        (next(), next())
    }

    pub fn sqlite(&self) -> Vec<u8> {
        std::fs::read(self.path("vestibule.sqlite")).unwrap()
    }
}

async fn shut_somebody_out(app: &App, person: &Person) {
    let mut conn = app.store.read().await.unwrap();
    let accounts = people::all_accounts(&mut conn).await.unwrap();
    drop(conn);
    let is_meant = |one: &&Account| one.role == Role::Technician && !one.disabled;
    let whom = &accounts.iter().find(is_meant).unwrap().id;
    let key = PostKey::parse("a-key-of-a-post").unwrap();
    manage::shut_out(app, person, whom, &key).await.unwrap();
}

/// Does something as the administrator, with the program's own store.
fn in_the_program(data: &Data, work: impl AsyncFnOnce(&App, &Person)) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let key = keyring::read(&data.path("record.key")).unwrap().unwrap();
        let address = Store::sqlite_address(&data.path("vestibule.sqlite"));
        let last = LastSigned::beside(&data.path("record.key"));
        let store = Store::open_signed(&address, key, last).await.unwrap();
        let accounts = people::all_accounts(&mut store.read().await.unwrap()).await;
        let accounts = accounts.unwrap();
        let is_meant = |one: &&Account| one.role == Role::Administrator && !one.disabled;
        let person = Person::without_session(accounts.iter().find(is_meant).unwrap().clone(), None);
        let settings = Settings {
            over_tls: false,
            address: "http://127.0.0.1".to_owned(),
            notice: None,
        };
        let app = App::new(store, Outside::system(), settings);
        work(&app, &person).await;
        app.store.close().await;
    });
}

/// The technicians of the lab of this case add a picture; its bytes as they are kept.
pub fn pictured(data: &Data, case: &str) -> Vec<u8> {
    let number = CaseNumber::parse(case).unwrap();
    let mut kept = Vec::new();
    in_the_program(data, async |app, somebody| {
        let mut conn = app.store.read().await.unwrap();
        let lab = cases::find_case(&mut conn, &number)
            .await
            .unwrap()
            .unwrap()
            .lab;
        let accounts = people::all_accounts(&mut conn).await.unwrap();
        let is_meant =
            |one: &&Account| one.role == Role::Technician && one.party.as_ref() == Some(&lab);
        let person = Person {
            account: accounts.iter().find(is_meant).unwrap().clone(),
            party: parties::find(&mut conn, &lab).await.unwrap(),
            ..somebody.clone()
        };
        drop(conn);
        let shot = image::RgbImage::from_pixel(48, 32, image::Rgb([90, 40, 60]));
        let mut sent = std::io::Cursor::new(Vec::new());
        shot.write_to(&mut sent, image::ImageFormat::Jpeg).unwrap();
        let fields = [("shows", "bite_record"), ("mouth_only", "yes")];
        let typed = fields.map(|(key, text)| (key.to_owned(), text.to_owned()));
        let form = PictureForm::read(&typed.into_iter().collect(), &mut Vec::new()).unwrap();
        let key = PostKey::parse("the-key-of-a-picture").unwrap();
        let sent = (&form, sent.into_inner());
        pictures::add(app, &person, &number, sent, &key)
            .await
            .unwrap();
        kept = seen(app, &person, &number).await;
    });
    kept
}

/// The bytes of the newest picture of a case, as its page has them.
async fn seen(app: &App, person: &Person, number: &CaseNumber) -> Vec<u8> {
    let work = CaseWork::see(app, person, number).await.unwrap();
    let id = work.state.pictures.last().unwrap().event.clone();
    let file = pictures::find(app, person, number, &id).await.unwrap();
    pictures::bytes(app, &file, false).await.unwrap()
}

/// An administrator clears whatever alarms stand open.
pub fn clear_alarms(data: &Data) {
    let password = data.administrator().1;
    in_the_program(data, async |app, person| {
        let open = witness::open_alarms(&mut app.store.read().await.unwrap(), 100).await;
        let fields = [
            ("alarms", named(&open.unwrap())),
            ("reason", "The disk was replaced.".to_owned()),
            ("password", password),
        ];
        let typed = fields.map(|(key, text)| (key.to_owned(), text));
        let form = ClearAlarmForm::read(&typed.into_iter().collect(), &mut Vec::new()).unwrap();
        let key = PostKey::parse("another-key-of-a-post").unwrap();
        clear(app, person, &form, &key).await.unwrap();
    });
}

#[test]
fn r1_an_emptied_record_is_not_begun_again_by_the_key_that_has_signed_it() {
    let data = Data::filled();
    data.change(START_OVER);
    data.change("UPDATE event SET body = REPLACE(body, 'peracetic', 'other')");
    let before = data.sqlite();
    let said = data.serve().badly("this key has signed");
    assert!(said.err.contains("Nothing was changed."), "{said:?}");
    data.run(&["slip", "--list"]).badly("this key has signed");
    data.run(&["check"]).badly("this key has signed");
    data.run(&["upgrade", "--yes"])
        .badly("nothing is to be taken in");
    data.restore(&data.administrator().1, "we want it so")
        .badly("this key has signed");
    assert_eq!(data.sqlite(), before, "nobody has written to it");
}

#[test]
fn r1_without_the_file_beside_the_key_nothing_is_signed() {
    let data = Data::filled();
    let root = data.root();
    std::fs::remove_file(data.path("record.last")).unwrap();
    data.serve().badly("vestibule upgrade");
    // Of a copy that is tried, that is no fault (rows r20).
    let said = data.run(&["check"]).well("Everything fits.");
    assert!(said.out.contains("note: there is no "), "{said:?}");
    // An older copy of this version is not taken in without anybody's password.
    for words in [&["upgrade"][..], &["upgrade", "--yes"]] {
        data.run(words).badly("vestibule restore");
    }
    assert!(!data.path("record.last").exists());
    // Nor one of this version whose record was emptied, as no earlier version leaves it.
    data.change(START_OVER);
    let before = data.sqlite();
    for words in [&["upgrade"][..], &["upgrade", "--yes"]] {
        let said = data.run(words).badly("somebody has emptied the record");
        assert!(said.err.contains(" rows, dated from 20"), "{said:?}");
    }
    assert_eq!(data.sqlite(), before);
    assert!(!data.path("record.last").exists() && !root.is_empty());
}

#[test]
fn a_store_of_an_earlier_version_is_backfilled_once_and_what_is_signed_again_is_counted() {
    let data = Data::filled();
    let packed = std::fs::read("tests/data/earlier_store.tar.xz").unwrap();
    let mut archive = Vec::new();
    lzma_rs::xz_decompress(&mut packed.as_slice(), &mut archive).unwrap();
    let folder = tempfile::tempdir().unwrap();
    tar::Archive::new(archive.as_slice())
        .unpack(folder.path())
        .unwrap();
    std::fs::remove_dir_all(data.path(PICTURES)).unwrap();
    for name in ["record.key", "vestibule.sqlite"] {
        let bytes = std::fs::read(folder.path().join("earlier_store").join(name)).unwrap();
        write_private(&data.path(name), &bytes);
    }
    // As one of before there was a record: it has no such file, and is taken in by name.
    data.change(&format!("{START_OVER}; DELETE FROM witness_key"));
    std::fs::remove_file(data.path("record.last")).unwrap();
    let looked = data.run(&["check"]);
    let first = looked.out.lines().next().unwrap_or_default();
    let is_named = first.starts_with("note: this database is of an earlier version");
    assert!(is_named, "{looked:?}");
    let said = data.run(&["upgrade"]).well("Make a backup");
    assert!(
        said.out.contains("It would sign now what stands in"),
        "{said:?}"
    );
    assert!(!data.path("record.last").exists());
    data.run(&["upgrade", "--yes"]).well("Taken in");
    // Two of its texts were erased in the record that it has lost, and nothing else is wrong.
    let said = data.run(&["check"]);
    let wrong = said.out.lines().filter(|line| line.starts_with("wrong"));
    let is_erased = |line: &str| line.contains("is said to be erased, and is there");
    assert!(
        wrong.clone().count() == 2 && wrong.clone().all(is_erased),
        "{said:?}"
    );
    data.run(&["upgrade", "--yes"])
        .badly("nothing is to be taken in");
}

#[test]
fn a_trigger_that_is_none_of_ours_keeps_the_program_from_starting() {
    let data = Data::filled();
    data.change_locked(
        "DROP TRIGGER event_only_erased; \
         CREATE TRIGGER event_only_erased BEFORE UPDATE ON event WHEN 0 BEGIN SELECT 1; END; \
         CREATE TRIGGER tamper AFTER INSERT ON event BEGIN \
         UPDATE event SET body = replace(body, 'left', 'right') WHERE id = new.id; END",
    );
    let said = data
        .serve()
        .badly("trigger tamper that this program does not make");
    assert!(said.err.contains("Nothing was entered."), "{said:?}");
    data.change_locked("DROP TRIGGER tamper");
    // The lock that was made toothless is laid again.
    drop(Serving::on(&data));
    data.run(&["check"]).well("Everything fits.");
}

#[test]
fn r2_a_database_that_is_gone_or_empty_is_not_taken_for_a_new_one() {
    let data = Data::filled();
    let file = data.path("vestibule.sqlite");
    std::fs::write(&file, "").unwrap();
    for name in ["vestibule.sqlite-wal", "vestibule.sqlite-shm"] {
        std::fs::remove_file(data.path(name)).ok();
    }
    data.serve().badly("there is no database, or an empty one");
    assert_eq!(data.sqlite(), b"");
    std::fs::remove_file(&file).unwrap();
    data.serve()
        .badly("to begin again, use another folder and another key");
    assert!(!file.exists());
    data.restore("x", "y").badly("cannot open the database");
    assert!(!file.exists());
}

#[test]
fn r3_an_older_copy_is_named_by_what_it_lacks_and_gone_on_with_by_an_administrator_alone() {
    let data = Data::filled();
    let older = data.sqlite();
    assert!(!data.path("vestibule.sqlite-wal").exists());
    data.restore("x", "y").badly("nothing is to be restored");
    data.grow();
    data.run(&["check"]).well("Everything fits.");
    let newer = data.sqlite();
    std::fs::write(data.path("vestibule.sqlite"), &older).unwrap();
    let said = data.serve().badly("1 are missing");
    assert!(said.err.contains("vestibule restore"), "{said:?}");
    data.run(&["check"]).badly("1 are missing");
    data.restore("not the password", "the disk failed")
        .badly("No administrator");
    data.restore(&data.administrator().1, " ")
        .badly("Say in at most");
    assert_eq!(
        data.sqlite(),
        older,
        "nothing was changed by what was refused"
    );
    let said = data
        .restore(&data.administrator().1, "the disk failed")
        .well("Gone on");
    assert!(said.out.contains("1 are missing"), "{said:?}");
    // Everybody is told until somebody answers for it.
    data.run(&["check"]).badly("alarm");
    data.restore(&data.administrator().1, "once more")
        .badly("nothing is to be restored");
    // Nor does it help to take the alarm away past the program (rows r20).
    data.change("DELETE FROM open_alarm; DELETE FROM alarm");
    data.run(&["check"]).badly("does not stand open");
    drop(Serving::on(&data));
    data.run(&["check"]).badly("An alarm that is not cleared");
    // Nor to take away the alarm, and leave it among the open ones.
    data.change("PRAGMA foreign_keys = OFF; DELETE FROM alarm");
    drop(Serving::on(&data));
    data.run(&["check"]).badly("An alarm that is not cleared");
    for name in ["vestibule.sqlite-wal", "vestibule.sqlite-shm"] {
        std::fs::remove_file(data.path(name)).ok();
    }
    // The copy that was gone on from is now the other one.
    std::fs::write(data.path("vestibule.sqlite"), newer).unwrap();
    data.serve().badly("this key has signed");
}

#[test]
fn r3_a_log_that_is_gone_cut_or_flipped_is_named_by_what_the_database_lacks() {
    const LOG: &str = "vestibule.sqlite-wal";
    let data = Data::filled();
    let left = data.grow_and_be_killed();
    let (_, log) = left.iter().find(|(name, _)| name == LOG).unwrap();
    let lay = |damage: &dyn Fn(&mut Vec<u8>)| {
        for (name, bytes) in &left {
            std::fs::remove_file(data.path(name)).ok();
            write_private(&data.path(name), bytes);
        }
        let mut damaged = log.clone();
        damage(&mut damaged);
        write_private(&data.path(LOG), &damaged);
        // With its log somebody takes away what is made again to read it.
        if damaged.is_empty() {
            for name in [LOG, "vestibule.sqlite-shm"] {
                std::fs::remove_file(data.path(name)).ok();
            }
        }
    };
    // As it was left, nothing is lost: the newest entry lies in the log.
    lay(&|_| {});
    data.run(&["check"]).well("Everything fits.");
    // Within the first page of the log: SQLite's own sums end it there, and its entries with it.
    type Damage = fn(&mut Vec<u8>);
    let damages: [Damage; 3] = [Vec::clear, |log| log.truncate(500), |log| log[500] ^= 1];
    for damage in damages {
        lay(&damage);
        data.run(&["check"]).badly("1 are missing");
        lay(&damage);
        let said = data.serve().badly("1 are missing");
        assert!(said.err.contains("vestibule restore"), "{said:?}");
    }
}

#[test]
fn a_restore_that_was_broken_off_says_that_a_second_one_finishes_it() {
    let data = Data::filled();
    let older = data.sqlite();
    data.grow();
    let beside = std::fs::read(data.path("record.last")).unwrap();
    std::fs::write(data.path("vestibule.sqlite"), &older).unwrap();
    let password = data.administrator().1;
    data.restore(&password, "the disk failed").well("Gone on");
    // As one that was killed before it wrote down how far the key has signed.
    std::fs::write(data.path("record.last"), beside).unwrap();
    data.serve().badly("run it once more: that finishes it");
    data.restore(&password, "the disk failed").well("Gone on");
    data.run(&["check"]).badly("alarm");
    drop(Serving::on(&data));
}

#[test]
fn the_database_or_the_key_of_another_installation_is_named_and_not_restored() {
    let data = Data::filled();
    let own = data.sqlite();
    let other = tempfile::tempdir().unwrap();
    let folder = other.path().to_str().unwrap();
    vestibule(&["demo", "--data", folder, "--fill-only"]).well("Demo accounts");
    let of_other = |name: &str| std::fs::read(other.path().join(name)).unwrap();
    std::fs::write(data.path("vestibule.sqlite"), of_other("vestibule.sqlite")).unwrap();
    let words = "the database of another installation";
    data.serve().badly(words);
    data.restore("x", "y").badly(words);
    // No copy is made of it that is of no use beside this key.
    data.run(&["backup", "--to", &data.named("copy.sqlite")])
        .badly(words);
    assert!(!data.path("copy.sqlite.part").exists());
    // Nor with the file that belongs to that key, and not with a key alone.
    std::fs::write(data.path("vestibule.sqlite"), own).unwrap();
    drop(Serving::on(&data));
    let keys = ["record.key", "record.last"];
    let kept = keys.map(|name| std::fs::read(data.path(name)).unwrap());
    for name in keys {
        write_private(&data.path(name), &of_other(name));
        data.serve().badly(words);
        data.restore("x", "y").badly(words);
    }
    for (name, bytes) in keys.into_iter().zip(kept) {
        std::fs::write(data.path(name), bytes).unwrap();
    }
    drop(Serving::on(&data));
}
