//! Files as they lie on the disk: who may read them, and what looking leaves of them. Rows r8 and r11.

use super::{Data, PICTURES, files_in, program, vestibule, write_private};
use std::collections::BTreeMap;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use vestibule::domain::values::digest::sha256_hex;

/// Every file of a folder, by the hash of its bytes.
fn hashes(folder: &Path) -> BTreeMap<String, String> {
    let pictures = files_in(&folder.join(PICTURES)).into_iter();
    let files = files_in(folder).into_iter().chain(pictures);
    files
        .map(|(name, bytes)| (name, sha256_hex(&bytes)))
        .collect()
}

#[test]
fn r25_why_a_key_file_cannot_be_read_is_said_once() {
    let data = Data::filled();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a.key");
    write_private(
        &file,
        b"name a b\nseed AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n",
    );
    let (folder, file) = (folder.path().to_str().unwrap(), file.to_str().unwrap());
    for (key, why) in [
        (folder, "it is no ordinary file"),
        (file, "the key file names no key"),
    ] {
        let said = data.run(&["check", "--key", key]).badly(why);
        let parts: Vec<&str> = said.err.trim().split(": ").collect();
        let alone: std::collections::BTreeSet<&str> = parts.iter().copied().collect();
        assert_eq!(alone.len(), parts.len(), "{said:?}");
    }
}

#[test]
fn r8_looking_leaves_every_byte_as_it_was_and_writes_none_beside() {
    let data = Data::filled();
    // As a backup is often made: in the other mode of journal.
    let copy = Data::filled();
    std::fs::remove_file(copy.path("vestibule.sqlite")).unwrap();
    let sql = format!("VACUUM INTO '{}'", copy.named("vestibule.sqlite"));
    data.change_locked(&sql);
    let case = data.case();
    for data in [&data, &copy] {
        let before = hashes(data.folder.path());
        data.run(&["check"]).well("Everything fits.");
        data.run(&["check", "--tree"]).well("fit");
        let out = tempfile::tempdir().unwrap();
        let out = out.path().join("proof").to_str().unwrap().to_owned();
        data.run(&["prove", &case, "--out", &out]).well("files in");
        let slip = tempfile::tempdir().unwrap();
        let slip = slip.path().join("slip.pdf").to_str().unwrap().to_owned();
        data.run(&["slip", "--list"]).well("revision");
        data.run(&["slip", &case, "--out", &slip]).well("");
        assert_eq!(hashes(data.folder.path()), before);
    }
}

/// As most systems have it: whatever is made may be read by everybody.
fn under_a_usual_mask(arguments: &[&str]) -> Output {
    let mut command = Command::new("sh");
    command.args([
        "-c",
        "umask 022; exec \"$0\" \"$@\"",
        env!("CARGO_BIN_EXE_vestibule"),
    ]);
    command.args(arguments).stdin(Stdio::null());
    command
        .env_remove("VESTIBULE_DATABASE")
        .env_remove("VESTIBULE_KEY");
    command.output().unwrap()
}

#[test]
fn r11_what_is_written_is_for_its_owner_alone_and_a_shared_key_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    // A folder that was there before, and that everybody may look into.
    let open = std::fs::Permissions::from_mode(0o755);
    std::fs::set_permissions(folder.path(), open).unwrap();
    let path = folder.path().to_str().unwrap();
    let filled = under_a_usual_mask(&["demo", "--data", path, "--fill-only"]);
    assert!(filled.status.success());
    let mode = |name: &str| {
        let file = std::fs::metadata(folder.path().join(name)).unwrap();
        file.permissions().mode() & 0o777
    };
    for name in ["vestibule.sqlite", "record.key", "record.last"] {
        assert_eq!(mode(name), 0o600, "{name}");
    }
    let pictures = files_in(&folder.path().join(PICTURES));
    assert!(!pictures.is_empty());
    for (name, _) in pictures {
        assert_eq!(mode(&format!("{PICTURES}/{name}")), 0o600, "{name}");
    }
    assert_eq!(mode(PICTURES), 0o700);
    let list = vestibule(&["slip", "--list", "--data", path]).well("revision");
    let case = list.out.split_whitespace().next().unwrap();
    let named = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (proof, copy) = (named("proof"), named("copy.sqlite"));
    for words in [
        &["prove", case, "--out", &proof][..],
        &["backup", "--to", &copy],
    ] {
        let done = under_a_usual_mask(&[words, &["--data", path]].concat());
        assert!(done.status.success(), "{done:?}");
    }
    for one in ["proof", "copy.sqlite.pictures"] {
        assert_eq!(mode(one), 0o700, "{one}");
        let files = files_in(&folder.path().join(one));
        assert!(!files.is_empty(), "{one}");
        for (name, _) in files {
            assert_eq!(mode(&format!("{one}/{name}")), 0o600, "{name}");
        }
    }
    assert_eq!(mode("copy.sqlite"), 0o600);
    let data = Data::filled();
    for shared in [0o666, 0o640, 0o604] {
        let mode = std::fs::Permissions::from_mode(shared);
        std::fs::set_permissions(data.path("record.key"), mode).unwrap();
        data.serve().badly("chmod 600");
    }
}

#[test]
fn what_setup_prints_is_under_the_address_that_serve_answers_at() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_str().unwrap();
    let free = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let listen = free.local_addr().unwrap().to_string();
    drop(free);
    let options = ["--data", path, "--listen", &listen];
    let setup: Vec<&str> = ["setup"].into_iter().chain(options).collect();
    let said = vestibule(&setup).well(&format!("\nhttp://{listen}/join/"));
    assert!(
        said.out
            .contains(&format!("serve --data {path} --listen {listen}")),
        "{said:?}"
    );
    let named = [
        "setup",
        "--data",
        path,
        "--address",
        "https://vestibule.office.example/",
    ];
    vestibule(&named).well("\nhttps://vestibule.office.example/join/");
    // A name that is no address, and a network in clear, are refused as by `serve`.
    vestibule(&["setup", "--data", path, "--address", "vestibule"])
        .badly("--address must begin with http");
    vestibule(&["setup", "--data", path, "--listen", "0.0.0.0:8080"])
        .badly("is reachable from other machines");
}

#[test]
fn r20_of_first_starts_at_once_all_get_the_same_key() {
    for _ in 0..3 {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("new").to_str().unwrap().to_owned();
        let begin = |_| {
            let mut command = program(&["setup", "--data", &path]);
            let command = command
                .stdout(std::process::Stdio::piped())
                .stderr(std::process::Stdio::piped());
            command.spawn().unwrap()
        };
        let begun: Vec<_> = (0..4).map(begin).collect();
        for one in begun {
            let done = one.wait_with_output().unwrap();
            let said = String::from_utf8_lossy(&done.stderr).into_owned();
            assert!(done.status.success(), "{said}");
        }
        vestibule(&["check", "--data", &path]).well("Everything fits.");
    }
}

#[test]
fn r20_a_copy_with_its_key_alone_is_tried_and_found_whole() {
    let data = Data::filled();
    let copy = tempfile::tempdir().unwrap();
    std::fs::create_dir(copy.path().join(PICTURES)).unwrap();
    let pictures = files_in(&data.path(PICTURES)).into_iter();
    let pictures = pictures.map(|(name, _)| format!("{PICTURES}/{name}"));
    let own = ["vestibule.sqlite", "record.key"].map(str::to_owned);
    for name in own.into_iter().chain(pictures) {
        super::write_private(
            &copy.path().join(&name),
            &std::fs::read(data.path(&name)).unwrap(),
        );
    }
    let folder = copy.path().to_str().unwrap();
    let said = vestibule(&["check", "--data", folder]).well("Everything fits.");
    assert!(
        said.out.contains("note: there is no ") && said.out.contains("In a copy"),
        "{said:?}"
    );
    // Served it is not: then nobody would know what is missing.
    vestibule(&["serve", "--listen", "127.0.0.1:0", "--data", folder]).badly("record.last");
}
