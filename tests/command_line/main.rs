//! The program as it is typed: what it prints, how it ends, and what it refuses to start with.

#![expect(
    clippy::unwrap_used,
    reason = "a test says what it expects and falls over when it is wrong"
)]

#[path = "../pdf_text/mod.rs"]
mod pdf_text;

mod backups;
mod doors;
mod files;
mod full_disk;
mod in_words;
mod other_user;
mod signed_so_far;

use pdf_text::{READING, text_of};
use sqlx::{AnyConnection, Connection, Row};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use tempfile::TempDir;

/// What a command said, and whether it ended well.
#[derive(Debug)]
struct Said {
    well: bool,
    out: String,
    err: String,
}

impl Said {
    #[track_caller]
    fn well(self, words: &str) -> Said {
        assert!(self.well && self.out.contains(words), "“{words}”: {self:?}");
        self
    }

    #[track_caller]
    fn badly(self, words: &str) -> Said {
        assert!(
            !self.well && self.err.contains(words),
            "“{words}”: {self:?}"
        );
        // Whoever reads it is no programmer.
        assert!(!self.err.contains("panicked") && !self.err.contains("RUST_BACKTRACE"));
        // A sentence within a sentence brings its own full stop.
        assert!(
            !self.err.contains(".. ") && !self.err.trim_end().ends_with(".."),
            "{self:?}"
        );
        self
    }
}

fn program(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_vestibule"));
    command
        .args(arguments)
        .env_remove("VESTIBULE_DATABASE")
        .env_remove("VESTIBULE_KEY")
        .stdin(Stdio::null());
    command
}

fn vestibule(arguments: &[&str]) -> Said {
    let done = program(arguments).output().unwrap();
    Said {
        well: done.status.success(),
        out: String::from_utf8(done.stdout).unwrap(),
        err: String::from_utf8(done.stderr).unwrap(),
    }
}

/// As the program itself writes: a key that others can read is refused.
fn write_private(path: &Path, bytes: &[u8]) {
    use std::os::unix::fs::PermissionsExt;
    std::fs::write(path, bytes).unwrap();
    let private = std::fs::Permissions::from_mode(0o600);
    std::fs::set_permissions(path, private).unwrap();
}

/// A folder with a filled database and its key, made once and copied for each test.
struct Data {
    folder: TempDir,
    /// What filling it has printed: the accounts and their passwords.
    demo_output: String,
}

/// The folder of pictures and scans beside the database.
const PICTURES: &str = "vestibule.sqlite.pictures";

/// The files of a folder by their names, without what is in folders of it.
fn files_in(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let files = std::fs::read_dir(folder).unwrap().map(|one| one.unwrap());
    let files = files.filter(|one| one.path().is_file());
    let read = |one: std::fs::DirEntry| {
        let name = one.file_name().into_string().unwrap();
        (name, std::fs::read(one.path()).unwrap())
    };
    let mut files: Vec<_> = files.map(read).collect();
    files.sort();
    files
}

impl Data {
    fn filled() -> Data {
        type Filled = (Vec<(String, Vec<u8>)>, String);
        static FILLED: OnceLock<Filled> = OnceLock::new();
        let (files, demo_output) = FILLED.get_or_init(|| {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().to_str().unwrap();
            let demo_output =
                vestibule(&["demo", "--data", path, "--fill-only"]).well("Demo accounts");
            let mut files = files_in(folder.path());
            // A folder of pictures and scans stands beside the database.
            for (name, bytes) in files_in(&folder.path().join(PICTURES)) {
                files.push((format!("{PICTURES}/{name}"), bytes));
            }
            (files, demo_output.out)
        });
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join(PICTURES)).unwrap();
        for (name, bytes) in files {
            write_private(&folder.path().join(name), bytes);
        }
        Data {
            folder,
            demo_output: demo_output.clone(),
        }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn named(&self, name: &str) -> String {
        self.path(name).to_str().unwrap().to_owned()
    }

    /// Runs a command on this data.
    fn run(&self, arguments: &[&str]) -> Said {
        let folder = self.named("");
        vestibule(&[arguments, &["--data", &folder]].concat())
    }

    /// Starts to serve; for tests in which it refuses to.
    fn serve(&self) -> Said {
        self.run(&["serve", "--listen", "127.0.0.1:0"])
    }

    /// The number of a case that has a signed revision.
    fn case(&self) -> String {
        let list = self.run(&["slip", "--list"]).well("revision");
        let line = list
            .out
            .lines()
            .find(|line| line.contains("revision"))
            .unwrap();
        line.split_whitespace().next().unwrap().to_owned()
    }

    /// Size and root as `check` prints them.
    fn root(&self) -> String {
        let said = self.run(&["check"]).well("Everything fits.");
        said.out
            .lines()
            .find(|line| is_root(line))
            .unwrap()
            .to_owned()
    }

    /// The public key, as `check` prints it.
    fn key(&self) -> String {
        let said = self.run(&["check"]).well("; key ");
        let (_, rest) = said.out.split_once("; key ").unwrap();
        rest.lines().next().unwrap().to_owned()
    }

    /// The texts that a question to the database answers with.
    fn texts(&self, sql: &str) -> Vec<String> {
        let address = format!("sqlite://{}", self.named("vestibule.sqlite"));
        tokio::runtime::Runtime::new().unwrap().block_on(async {
            sqlx::any::install_default_drivers();
            let mut conn = AnyConnection::connect(&address).await.unwrap();
            let rows = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()));
            let rows = rows.fetch_all(&mut conn).await.unwrap();
            conn.close().await.unwrap();
            rows.iter().map(|row| row.try_get(0).unwrap()).collect()
        })
    }

    /// Changes the database past the program, its locks left as they are.
    fn change_locked(&self, sql: &str) {
        let address = format!("sqlite://{}", self.named("vestibule.sqlite"));
        tokio::runtime::Runtime::new().unwrap().block_on(async {
            sqlx::any::install_default_drivers();
            let mut conn = AnyConnection::connect(&address).await.unwrap();
            let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned()))
                .execute(&mut conn)
                .await;
            done.unwrap();
            conn.close().await.unwrap();
        });
    }

    fn change(&self, sql: &str) {
        let address = format!("sqlite://{}", self.named("vestibule.sqlite"));
        let work = async {
            sqlx::any::install_default_drivers();
            let mut conn = AnyConnection::connect(&address).await.unwrap();
            let triggers = sqlx::query("SELECT name FROM sqlite_master WHERE type = 'trigger'");
            for row in triggers.fetch_all(&mut conn).await.unwrap() {
                let name: String = row.try_get(0).unwrap();
                let drop = format!("DROP TRIGGER {name}");
                sqlx::raw_sql(sqlx::AssertSqlSafe(drop))
                    .execute(&mut conn)
                    .await
                    .unwrap();
            }
            sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned()))
                .execute(&mut conn)
                .await
                .unwrap();
            conn.close().await.unwrap();
        };
        tokio::runtime::Runtime::new().unwrap().block_on(work);
    }
}

/// `433:CA1C2630 DF802089 …`
fn is_root(line: &str) -> bool {
    line.split_once(':').is_some_and(|(size, root)| {
        size.parse::<u64>().is_ok() && root.split(' ').all(|group| group.len() == 8)
    })
}

/// A key of another record, in the form in which it is printed.
fn another_key() -> String {
    let key = vestibule::record::key::Signer::log("another.example/record", &[9; 32]);
    key.unwrap().verifier().to_string()
}

#[test]
fn a_sound_record_checks_and_a_wrong_leaf_is_named_first() {
    let data = Data::filled();
    let said = data.run(&["check"]).well("Everything fits.");
    assert!(
        said.out.contains(" 17 cases, ") && said.err.is_empty(),
        "{said:?}"
    );
    let quick = data.run(&["check", "--tree"]);
    let quick = quick.well("What the leaves stand for was not looked at.");
    let root = |said: &Said| said.out.lines().nth(1).unwrap().to_owned();
    assert_eq!(root(&quick), root(&said));
    assert!(!quick.out.contains("cases") && !quick.out.contains("Everything fits."));
    data.change(
        "UPDATE leaf SET body = replace(body, '\"v\":1', '\"v\":2') WHERE number IN (80, 120)",
    );
    data.run(&["check", "--tree"])
        .badly("the first wrong leaf is 80: Leaf 80, ");
    let said = data
        .run(&["check"])
        .badly("the first wrong leaf is 80: Leaf 80, ");
    assert!(said.out.contains("wrong: Leaf 120, "), "{said:?}");
    assert!(!said.out.contains("Everything fits."));
}

#[test]
fn check_says_whether_a_paper_is_the_beginning_of_the_record() {
    let data = Data::filled();
    let root = data.root();
    let (size, digits) = root.split_once(':').unwrap();
    let check = |paper: &str| data.run(&["check", "--paper", paper]);
    check(&root).well("are the first");
    check(&root.replace(' ', "").to_lowercase()).well("unchanged.");
    let short: String = digits.chars().take(17).collect();
    check(&format!("{size}:{short}")).well("by the first 16 digits");
    let turned: String = digits.chars().rev().collect();
    check(&format!("{size}:{turned}"))
        .badly("the record was rewritten, or the paper is of another one");
    check(&format!("900000:{digits}")).badly("entries are missing");
    for (paper, words) in [
        ("412", "with a colon between them"),
        ("many:CA1C2630DF802089", "whole number"),
        ("412:CA1C", "at least 16 are wanted"),
        ("412:OA1C2630DF802089", "no hexadecimal digit"),
    ] {
        check(paper).badly(words);
    }
}

#[test]
fn the_slip_of_the_command_line_is_the_same_later_and_holds_against_the_record() {
    let data = Data::filled();
    let folder = tempfile::tempdir().unwrap();
    let named = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (case, file, again) = (data.case(), named("slip.pdf"), named("again.pdf"));
    data.run(&["slip", &case, "--out", &file, "--revision", "1"])
        .well("");
    let text = text_of(&std::fs::read(&file).unwrap(), READING);
    let text: String = text.split_whitespace().collect();
    let (_, rest) = text.split_once("justaftersigning;sizeandroot:").unwrap();
    let (paper, _) = rest.split_once("Key").unwrap();
    let said = data.run(&["check", "--paper", paper]).well("unchanged.");
    let size = paper.split(':').next().unwrap();
    assert!(
        said.out
            .contains(&format!("The paper's {size} entries are the first {size}"))
    );
    let first = std::fs::read(&file).unwrap();
    data.run(&["slip", &case, "--out", &again, "--revision", "1"])
        .well("");
    assert!(first == std::fs::read(&again).unwrap());
    // Nothing stands against the newest one: as it was printed is as it is printed.
    let printed = named("printed.pdf");
    data.run(&["slip", &case, "--out", &printed, "--as-printed"])
        .well("");
    let newest = named("newest.pdf");
    data.run(&["slip", &case, "--out", &newest]).well("");
    assert!(std::fs::read(&printed).unwrap() == std::fs::read(&newest).unwrap());
    let none = named("none.pdf");
    data.run(&["slip", &case, "--out", &none, "--revision", "99"])
        .badly("has revisions 1 to");
    data.run(&["slip", "C00000000", "--out", &none])
        .badly("there is no case C00-000-000");
    assert!(!Path::new(&none).exists());
}

#[test]
fn r20_a_slip_is_written_over_no_file_and_not_beside_the_key() {
    let data = Data::filled();
    let case = data.case();
    let key = std::fs::read(data.path("record.key")).unwrap();
    for (name, words) in [
        ("record.key", "is there already"),
        ("vestibule.sqlite", "is there already"),
        ("slip.pdf", "among the files of the installation"),
    ] {
        let file = data.named(name);
        data.run(&["slip", &case, "--out", &file]).badly(words);
    }
    assert_eq!(std::fs::read(data.path("record.key")).unwrap(), key);
    data.run(&["check"]).well("Everything fits.");
}

#[test]
fn a_bundle_holds_with_the_right_key_and_with_no_other() {
    let data = Data::filled();
    let (case, out, key) = (data.case(), data.named("proof"), data.key());
    data.run(&["prove", &case, "--out", &out])
        .well(" files in ");
    // It must not be written over.
    data.run(&["prove", &case, "--out", &out])
        .badly("cannot make the folder");
    // Neither database nor key file is asked for.
    std::fs::remove_file(data.path("vestibule.sqlite")).unwrap();
    std::fs::remove_file(data.path("record.key")).unwrap();
    let said = vestibule(&["verify", &out, "--key", &key]).well("Everything fits.");
    assert!(said.out.contains("that was given"), "{said:?}");
    vestibule(&["verify", &out]).well("compare it with a paper");
    vestibule(&["verify", &out, "--key", &another_key()]).badly("log.vkey: This is the key ");
    vestibule(&["verify", &out, "--key", &key.replacen('+', "x+", 1)]).badly("do not fit the name");
    vestibule(&["verify", &out, "--key", "nonsense"]).badly("name+8 hexadecimal digits");
    vestibule(&["verify", &data.named("nowhere")]).badly("cannot read the folder");
    // What is no file is said to be none.
    let checkpoint = PathBuf::from(&out).join("checkpoint.txt");
    std::fs::remove_file(&checkpoint).unwrap();
    std::fs::create_dir(&checkpoint).unwrap();
    vestibule(&["verify", &out, "--key", &key]).badly("Nothing was read of it");
}

#[test]
fn a_strangers_name_of_a_file_is_no_line_of_ours_and_hides_none() {
    let data = Data::filled();
    let (case, out, key) = (data.case(), data.named("proof"), data.key());
    data.run(&["prove", &case, "--out", &out])
        .well(" files in ");
    let name = "x\n\u{1b}[2K\rEverything fits.\u{202e}";
    std::fs::write(PathBuf::from(&out).join(name), "x").unwrap();
    let said = vestibule(&["verify", &out, "--key", &key])
        .well(r"x\n\u{1b}[2K\rEverything fits.\u{202e}: ");
    assert!(!said.out.contains(['\u{1b}', '\r', '\u{202e}']), "{said:?}");
    let alone = said
        .out
        .lines()
        .filter(|line| line.starts_with("Everything fits"));
    assert_eq!(alone.count(), 1, "{said:?}");
}

#[test]
fn a_reason_that_stands_in_the_record_for_good_can_be_read() {
    let data = Data::filled();
    let (login, password) = data.administrator();
    let reasons = [
        ("lost\u{1b}[31m", "control character"),
        ("lost \u{202e}tsol", "invisible character"),
        ("lost\nEverything fits.", "one line"),
    ];
    for (reason, why) in reasons {
        let words = ["way-back", "--login", &login, "--reason", reason, "--yes"];
        data.run(&words).badly(why);
    }
    let older = data.sqlite();
    data.grow();
    write_private(&data.path("vestibule.sqlite"), &older);
    for (reason, why) in reasons {
        data.restore(&password, reason).badly(why);
    }
    data.restore(&password, "lost").well("Gone on");
}

#[test]
fn every_changed_file_of_a_bundle_is_named() {
    let data = Data::filled();
    let (case, out, key) = (data.case(), data.named("proof"), data.key());
    let paper = data.root();
    data.run(&["prove", &case, "--out", &out, "--paper", &paper])
        .well(" files in ");
    let verify = || vestibule(&["verify", &out, "--key", &key, "--paper", &paper]);
    verify().well("Everything fits.");
    let files = std::fs::read_dir(&out)
        .unwrap()
        .map(|file| file.unwrap().path());
    let mut files: Vec<PathBuf> = files.filter(|file| !file.ends_with("README.txt")).collect();
    files.sort();
    // The files of the folder itself, and those of the first two entries.
    let leaves = files
        .iter()
        .filter(|file| name_of(file).starts_with("leaf-"));
    let some: Vec<&PathBuf> = leaves
        .take(6)
        .chain(
            files
                .iter()
                .filter(|file| !name_of(file).starts_with("leaf-")),
        )
        .collect();
    assert!(some.len() >= 10, "{some:?}");
    for file in some {
        let whole = std::fs::read(file).unwrap();
        let mut damaged = whole.clone();
        let middle = damaged.len() / 2;
        let byte = damaged.get_mut(middle).unwrap();
        *byte = if *byte == b'4' { b'5' } else { b'4' };
        std::fs::write(file, &damaged).unwrap();
        let said = verify().badly("");
        assert!(
            said.out.contains("WRONG") || said.err.contains(&name_of(file)),
            "{file:?}: {said:?}"
        );
        std::fs::remove_file(file).unwrap();
        let said = verify();
        // An entry is proven without its texts as well: they may be kept back.
        assert_eq!(
            said.well,
            name_of(file).ends_with(".texts.json"),
            "{file:?}: {said:?}"
        );
        std::fs::write(file, &whole).unwrap();
    }
    verify().well("Everything fits.");
}

fn name_of(file: &Path) -> String {
    file.file_name().unwrap().to_str().unwrap().to_owned()
}

#[test]
fn without_its_key_file_a_database_is_neither_served_nor_looked_at() {
    let data = Data::filled();
    let (key, away) = (data.path("record.key"), data.path("away.key"));
    std::fs::rename(&key, &away).unwrap();
    std::fs::copy(data.path("record.last"), data.path("away.last")).unwrap();
    data.serve()
        .badly("cannot open the database without its key file");
    // No new key was put in its place.
    assert!(!key.exists());
    data.run(&["check"]).badly("there is no key file");
    data.run(&[
        "prove",
        &data_case(&data, &away),
        "--out",
        &data.named("proof"),
    ])
    .badly("there is no key file");
    write_private(
        &key,
        b"name another.example\nseed AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n",
    );
    let words = "and not by the key another.example that lies here";
    data.serve().badly(words);
    data.run(&["check"]).badly(words);
    std::fs::write(&key, "rubbish").unwrap();
    data.serve().badly("the key file has to have the lines");
    std::fs::rename(&away, &key).unwrap();
    data.run(&["check"]).well("Everything fits.");
}

/// The number of a case, with the key file that lies elsewhere.
fn data_case(data: &Data, key: &Path) -> String {
    let list = data
        .run(&["slip", "--list", "--key", key.to_str().unwrap()])
        .well("revision");
    list.out.split_whitespace().next().unwrap().to_owned()
}

#[test]
fn r18_a_message_within_a_message_ends_in_one_full_stop() {
    let data = Data::filled();
    // Nobody has signed it now, and so no other key has.
    data.change(
        "UPDATE record_head SET checkpoint = substr(checkpoint, 1, instr(checkpoint, '— ') - 1)",
    );
    let said = data
        .serve()
        .badly("the record in this database is not in order: ");
    assert!(said.err.contains("it has no signature."), "{said:?}");
    assert!(said.err.contains(". Nothing was changed."), "{said:?}");
}

#[test]
fn a_database_whose_head_was_changed_is_not_served() {
    for (sql, words) in [
        (
            // Whether the other size goes with the hashes beside it, so that entries are missing, or does not, so that
            // they are others, hangs on the size.
            "UPDATE record_head SET size = size - 1",
            "entries of the record",
        ),
        (
            "UPDATE record_head SET checkpoint = ''",
            "its checkpoint is not in order",
        ),
        (
            "DELETE FROM leaf_salt; DELETE FROM leaf WHERE number > 400",
            "are not those that this key has signed",
        ),
    ] {
        let data = Data::filled();
        data.change(sql);
        let said = data.serve().badly(words);
        assert!(said.err.contains("Nothing was changed."), "{said:?}");
        data.run(&["check"]).badly("vestibule: ");
    }
}

#[test]
fn a_folder_without_a_database_is_not_made_into_one_by_looking() {
    let data = Data::filled();
    std::fs::remove_file(data.path("vestibule.sqlite")).unwrap();
    data.run(&["check"]).badly("cannot open the database");
    assert!(!data.path("vestibule.sqlite").exists());
}

/// Stands before the clock of the system: 1969-07-20T20:17:40Z, for whoever asks what time it is.
const CLOCK_OF_1969: &str = r"
#define _GNU_SOURCE
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>
int clock_gettime(clockid_t which, struct timespec *at) {
    if (which != CLOCK_REALTIME) return syscall(SYS_clock_gettime, which, at);
    at->tv_sec = -14182940;
    at->tv_nsec = 0;
    return 0;
}
";

#[test]
fn r18_a_program_that_is_started_under_a_clock_of_1969_says_so_and_enters_nothing() {
    let data = Data::filled();
    let folder = tempfile::tempdir().unwrap();
    let named = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (source, library) = (named("clock.c"), named("clock.so"));
    std::fs::write(&source, CLOCK_OF_1969).unwrap();
    let made = Command::new("cc")
        .args(["-shared", "-fPIC", "-o", &library, &source])
        .status()
        .unwrap();
    assert!(made.success());
    let (before, folder) = (data.sqlite(), data.named(""));
    for words in [
        &["serve", "--listen", "127.0.0.1:0"][..],
        &["check"],
        &["slip", "--list"],
        &["upgrade", "--yes"],
    ] {
        let mut command = program(&[words, &["--data", &folder]].concat());
        let done = command.env("LD_PRELOAD", &library).output().unwrap();
        let said = Said {
            well: done.status.success(),
            out: String::from_utf8(done.stdout).unwrap(),
            err: String::from_utf8(done.stderr).unwrap(),
        };
        let said = said.badly("1969-07-20T20:17:40Z");
        assert!(said.err.contains("Set the clock"), "{said:?}");
    }
    assert_eq!(data.sqlite(), before);
    data.run(&["check"]).well("Everything fits.");
}
