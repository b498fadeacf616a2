//! What the program says where something is missing, damaged, open to others, or busy: rows r22.

use super::signed_so_far::clear_alarms;
use super::{Data, program, vestibule, write_private};
use std::os::unix::fs::PermissionsExt;
use std::process::Stdio;

fn set_mode(path: &std::path::Path, mode: u32) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
}

/// Words of libraries, which tell nobody what to do.
const BARE: [&str; 12] = [
    "no such table",
    "no such column",
    "disk image is malformed",
    "unable to open",
    "Rust type",
    "error returned from database",
    "error occurred while",
    "invalid",
    "unexpected",
    "illegal",
    "fatal",
    "found in string",
];

#[track_caller]
fn is_plain(said: &super::Said) {
    let all = format!("{}{}", said.out, said.err);
    for bare in BARE {
        assert!(!all.contains(bare), "{bare}: {said:?}");
    }
}

#[test]
fn what_cannot_be_followed_is_told_in_plain_words_and_says_how_it_is_typed() {
    let table: [(&[&str], &str); 5] = [
        (
            &["serve", "--listen", "foo"],
            "“foo” is no address with a port",
        ),
        (&["serve", "--connections", "x"], "“x” is no whole number"),
        (&["demo", "--more-cases", "-1"], "“-1” is no whole number"),
        (&["serve", "--at-once"], "nothing that this command takes"),
        (&["serves"], "there is no command “serves”. Is serve meant?"),
    ];
    for (words, sentence) in table {
        let said = vestibule(words).badly(sentence);
        is_plain(&said);
        assert!(
            said.err.contains("--help") && said.out.is_empty(),
            "{said:?}"
        );
    }
    let said = vestibule(&["backup"]).badly("still needed: --to <FILE>");
    assert!(said.err.contains("Usage: vestibule backup"), "{said:?}");
    let strange = vestibule(&["serve", "--\u{202e}x"]).badly("nothing that this command takes");
    assert!(!strange.err.contains('\u{202e}'), "{strange:?}");
    vestibule(&["--help"]).well("Serve the application");
    vestibule(&["serve", "--help"]).well("--listen <ADDRESS:PORT>");
    vestibule(&["--version"]).well("vestibule ");
}

#[test]
fn r22_a_file_beside_the_key_that_others_may_write_is_refused() {
    let data = Data::filled();
    set_mode(&data.path("record.last"), 0o666);
    data.serve().badly("others on this machine may change");
    data.run(&["check"])
        .badly("others on this machine may change");
    set_mode(&data.path("record.last"), 0o600);
    data.run(&["check"]).well("Everything fits.");
    // Of the database and its folder a start warns.
    let warned = |data: &Data| data.run(&["setup"]).err;
    assert!(!warned(&data).contains("others on this machine"));
    set_mode(&data.path(""), 0o700);
    set_mode(&data.path("vestibule.sqlite"), 0o644);
    assert!(
        !warned(&data).contains("others on this machine"),
        "nobody else enters the folder"
    );
    set_mode(&data.path(""), 0o755);
    assert!(warned(&data).contains("may read or change"));
    set_mode(&data.path("vestibule.sqlite"), 0o600);
    set_mode(&data.path(""), 0o777);
    assert!(warned(&data).contains("may put files into"));
    set_mode(&data.path(""), 0o700);
}

#[test]
fn r22_a_backup_without_the_file_beside_the_key_says_so() {
    let data = Data::filled();
    std::fs::remove_file(data.path("record.last")).unwrap();
    let to = data.named("copy.sqlite");
    let said = data
        .run(&["backup", "--to", &to])
        .well("nothing says whether newer entries are missing");
    assert!(!said.out.contains("Leave it where it is"), "{said:?}");
    assert!(said.out.contains("There is no "), "{said:?}");
}

#[test]
fn r22_a_backup_of_a_shortened_database_speaks_of_no_paper() {
    let data = Data::filled();
    let older = data.sqlite();
    data.grow();
    write_private(&data.path("vestibule.sqlite"), &older);
    let to = data.named("copy.sqlite");
    let said = data.run(&["backup", "--to", &to]).badly("is not in order");
    assert!(said.out.contains("1 are missing"), "{said:?}");
    assert!(!said.out.contains("paper"), "{said:?}");
}

#[test]
fn r22_two_backups_into_one_name_are_not_made_at_once() {
    let data = Data::filled();
    let part = std::fs::File::create(data.path("copy.sqlite.part")).unwrap();
    part.lock().unwrap();
    let to = data.named("copy.sqlite");
    data.run(&["backup", "--to", &to])
        .badly("another backup into");
    drop(part);
    // What is left of one that was broken off is in nobody's way.
    write_private(&data.path("copy.sqlite.part"), b"cut off");
    data.run(&["backup", "--to", &to]).well("Everything fits.");
    assert!(!data.path("copy.sqlite.part").exists());
}

#[test]
fn r22_what_somebody_else_has_put_where_a_copy_is_made_is_left_alone() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let data = Data::filled();
    let (to, part) = (data.named("copy.sqlite"), data.path("copy.sqlite.part"));
    let refused = || data.run(&["backup", "--to", &to]).badly("look whose it is");
    let precious = data.path("precious.txt");
    std::fs::write(&precious, "precious").unwrap();
    let is_whole = || std::fs::read(&precious).unwrap() == b"precious";
    symlink(&precious, &part).unwrap();
    refused();
    std::fs::remove_file(&part).unwrap();
    std::fs::hard_link(&precious, &part).unwrap();
    refused();
    assert!(is_whole());
    std::fs::remove_file(&part).unwrap();
    // One that others may write into, and hold open.
    std::fs::write(&part, "").unwrap();
    std::fs::set_permissions(&part, std::fs::Permissions::from_mode(0o666)).unwrap();
    refused();
    std::fs::remove_file(&part).unwrap();
    let folder = data.path("copy.sqlite.part.pictures");
    std::fs::create_dir(&folder).unwrap();
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).unwrap();
    std::fs::write(folder.join("notes.txt"), "notes").unwrap();
    refused();
    assert!(folder.join("notes.txt").exists());
    std::fs::remove_dir_all(&folder).unwrap();
    data.run(&["backup", "--to", &to]).well("Everything fits.");
    let mode = std::fs::metadata(&to).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
}

#[test]
fn r22_a_copy_takes_no_name_that_the_installation_writes_over() {
    let data = Data::filled();
    for name in [
        "record.last-new",
        "record.ended",
        "record.key.part",
        "record.last.part",
        "vestibule.sqlite-journal",
        "vestibule.sqlite.part",
    ] {
        std::fs::remove_file(data.path(name)).ok();
        let said = data.run(&["backup", "--to", &data.named(name)]);
        said.badly("a name of the installation's own");
        assert!(!data.path(name).exists(), "{name}");
    }
}

#[test]
fn r22_a_record_that_was_gone_on_with_is_noted_for_good_and_the_alarm_says_why() {
    let data = Data::filled();
    let older = data.sqlite();
    data.grow();
    write_private(&data.path("vestibule.sqlite"), &older);
    let password = data.administrator().1;
    data.restore(&password, "The disk failed.").well("Gone on");
    // An alarm that was taken away comes back for the same reason.
    data.change("DELETE FROM open_alarm; DELETE FROM alarm");
    drop(super::backups::Serving::on(&data));
    let said = data.run(&["check"]).badly("alarm");
    assert!(said.out.contains("entries are missing"), "{said:?}");
    clear_alarms(&data);
    let said = data.run(&["check"]).well("Everything fits.");
    for words in [
        "note: the record was gone on with on ",
        " entries: The disk failed.",
    ] {
        assert!(said.out.contains(words), "{words}: {said:?}");
    }
    let to = data.named("copy.sqlite");
    data.run(&["backup", "--to", &to])
        .well("note: the record was gone on with on ");
}

#[test]
fn r22_an_alarm_where_nothing_said_how_far_the_key_had_signed_says_that() {
    for damaged in [true, false] {
        let data = Data::filled();
        std::fs::remove_file(data.path("record.last")).unwrap();
        if damaged {
            write_private(&data.path("record.last"), b"nothing of ours");
            data.serve().badly("vestibule restore");
        }
        let password = data.administrator().1;
        data.restore(&password, "It was lost.").well("Gone on");
        let said = data
            .run(&["check"])
            .badly("nothing said how far the key had signed");
        assert!(!said.out.contains("stored hashes"), "{said:?}");
    }
}

#[test]
fn r22_a_key_alone_begins_no_database() {
    let data = Data::filled();
    for name in ["vestibule.sqlite", "record.last"] {
        std::fs::remove_file(data.path(name)).unwrap();
    }
    for command in [
        &["setup"][..],
        &["serve", "--listen", "127.0.0.1:0"],
        &["demo", "--fill-only"],
        &["slip", "--list"],
    ] {
        data.run(command).badly("Nothing was changed.");
        assert!(!data.path("vestibule.sqlite").exists(), "{command:?}");
    }
}

#[test]
fn r22_a_head_that_was_emptied_is_no_missing_database() {
    for sql in [
        "DELETE FROM record_head",
        "UPDATE record_head SET size = 0, peaks = '', checkpoint = ''",
    ] {
        let data = Data::filled();
        data.change(sql);
        let said = data.serve().badly("the record in it has no head");
        assert!(!said.err.contains("there is no database"), "{said:?}");
        is_plain(&said);
        is_plain(&data.run(&["check"]));
    }
}

#[test]
fn r22_what_a_damaged_database_answers_is_said_in_plain_words_and_once() {
    let commands = [
        &["check"][..],
        &["slip", "--list"],
        &["serve", "--listen", "127.0.0.1:0"],
        &["backup", "--to", "COPY"],
    ];
    for sql in [
        "DROP TABLE admission_seen; DROP TABLE admission",
        "DROP TABLE case_file",
        "UPDATE case_file SET opened_ms = 'x'",
        "UPDATE _sqlx_migrations SET checksum = x'00' WHERE version = 1",
    ] {
        for command in commands {
            let data = Data::filled();
            data.change_locked(&format!("PRAGMA foreign_keys = OFF; {sql}"));
            let (folder, copy) = (data.named(""), data.named("copy.sqlite"));
            let words: Vec<&str> = command
                .iter()
                .map(|word| if *word == "COPY" { copy.as_str() } else { word })
                .chain(["--data", folder.as_str()])
                .collect();
            let mut child = program(&words)
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap();
            // One that serves all the same has nothing to say.
            for _ in 0..100 {
                if child.try_wait().unwrap().is_some() {
                    break;
                }
                std::thread::sleep(std::time::Duration::from_millis(50));
            }
            child.kill().ok();
            let done = child.wait_with_output().unwrap();
            let said = super::Said {
                well: done.status.success(),
                out: String::from_utf8(done.stdout).unwrap(),
                err: String::from_utf8(done.stderr).unwrap(),
            };
            let is_read_through = command.first() == Some(&"check");
            assert!(!is_read_through || !said.well, "{sql}: {said:?}");
            is_plain(&said);
        }
    }
    let data = Data::filled();
    let address = "postgres://nobody@127.0.0.1:1/none";
    let key = data.named("record.key");
    let refused = vestibule(&["check", "--database", address, "--key", &key])
        .badly("no database server answers");
    assert_eq!(refused.err.matches("refused").count(), 0, "{refused:?}");
}

#[test]
fn r22_a_damaged_page_is_not_called_whole_by_restore() {
    let data = Data::filled();
    let mut bytes = data.sqlite();
    // The middle of the file, page by page of 4096 bytes, and not its head.
    let (from, to) = (bytes.len() / 3, bytes.len() / 2);
    for byte in bytes.get_mut(from..to).unwrap() {
        *byte = 0xaa;
    }
    write_private(&data.path("vestibule.sqlite"), &bytes);
    let said = data.restore(&data.administrator().1, "why not");
    assert!(
        !said.well && !said.err.contains("nothing is to be restored"),
        "{said:?}"
    );
    is_plain(&said);
}

#[test]
fn r22_a_list_is_read_and_nothing_is_written_beside_the_database() {
    let data = Data::filled();
    let before = data.sqlite();
    let files = || {
        let mut names: Vec<_> = std::fs::read_dir(data.path(""))
            .unwrap()
            .map(|file| file.unwrap().file_name())
            .collect();
        names.sort();
        names
    };
    let names = files();
    // As on a medium that can only be read.
    set_mode(&data.path("vestibule.sqlite"), 0o400);
    data.run(&["slip", "--list"]).well("revision");
    assert_eq!((files(), data.sqlite()), (names, before));
}

#[test]
fn r22_verify_says_what_a_folder_cannot_show() {
    let data = Data::filled();
    let (case, out) = (data.case(), data.named("proof"));
    data.run(&["prove", &case, "--out", &out])
        .well(" files in ");
    let said = vestibule(&["verify", &out]).well("only the whole record can show.");
    assert!(!said.out.contains("is not here"), "{said:?}");
    let files = || {
        let files = std::fs::read_dir(&out).unwrap();
        files.map(|file| file.unwrap().path())
    };
    let is_opening = |path: &std::path::PathBuf| {
        let text = std::fs::read_to_string(path).unwrap();
        path.extension().is_some_and(|end| end == "json") && text.contains("\"kind\":\"case\"")
    };
    let entry = files().find(is_opening).unwrap();
    let name = entry.file_name().unwrap().to_str().unwrap().to_owned();
    let stem = name.split('.').next().unwrap();
    let those = files().filter(|path| super::name_of(path).starts_with(stem));
    for path in those.collect::<Vec<_>>() {
        std::fs::remove_file(path).unwrap();
    }
    vestibule(&["verify", &out]).well("by which the case was opened is not here");
}

#[test]
fn r22_check_looks_at_what_stands_beside_the_record_too() {
    for (sql, words) in [
        (
            "INSERT INTO leaf_salt (leaf, salts) VALUES (999999, '{}')",
            "there is no such leaf",
        ),
        (
            "UPDATE draft_edit SET account_name = 'Somebody else'",
            "by nobody of its office",
        ),
        (
            "UPDATE draft_edit SET account_id = (SELECT id FROM account WHERE role = 'technician' LIMIT 1)",
            "by nobody of its office",
        ),
        (
            "UPDATE draft SET case_number = (SELECT number FROM case_file WHERE number NOT IN \
             (SELECT case_number FROM draft) LIMIT 1) WHERE case_number = (SELECT MIN(case_number) FROM draft_edit)",
            "and that case has no draft",
        ),
        (
            "INSERT INTO session (secret_hash, account_id, began_ms, seen_ms, ends_ms) SELECT 'x', id, 1, 90000, 90001 \
             FROM account WHERE role = 'dentist' LIMIT 1; DELETE FROM witness",
            "keeps no checkpoint",
        ),
    ] {
        let data = Data::filled();
        data.change_locked(&format!("PRAGMA foreign_keys = OFF; {sql}"));
        let said = data.run(&["check"]);
        let all = format!("{} {}", said.out, said.err);
        assert!(!said.well && all.contains(words), "{words}: {all}");
    }
}
