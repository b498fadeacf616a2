//! The program as a user for whom modes of files hold: whoever is root reads and writes what they forbid. Rows r7 to r9.

use super::{Data, PICTURES, Said, files_in, program};
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::time::Duration;
use tempfile::TempDir;
use tokio::time::Instant;

/// The number that Linux gives to nobody in particular.
const NOBODY: u32 = 65_534;

/// Longer than any sentence takes; a pool that waits for a connection takes 30.
const SOON: Duration = Duration::from_secs(10);

fn set_mode(path: &Path, mode: u32) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
}

/// Somebody else than root, with the program where he may run it.
struct Other {
    folder: TempDir,
    is_root: bool,
}

impl Other {
    fn user() -> Other {
        let folder = tempfile::tempdir().unwrap();
        let is_root = std::fs::metadata("/proc/self").unwrap().uid() == 0;
        let (own, copy) = (
            env!("CARGO_BIN_EXE_vestibule"),
            folder.path().join("program"),
        );
        if std::fs::hard_link(own, &copy).is_err() {
            std::fs::copy(own, &copy).unwrap();
        }
        let other = Other { folder, is_root };
        other.gets(other.folder.path());
        other
    }

    /// Makes him the owner of it.
    fn gets(&self, path: &Path) {
        if self.is_root {
            chown(path, Some(NOBODY), Some(NOBODY)).unwrap();
        }
    }

    /// Makes him the owner of all that lies there.
    fn gets_all(&self, data: &Data) {
        for folder in [data.path(""), data.path(PICTURES)] {
            self.gets(&folder);
            for (name, _) in files_in(&folder) {
                self.gets(&folder.join(name));
            }
        }
    }

    /// A name for what he writes.
    fn named(&self, name: &str) -> String {
        self.folder.path().join(name).to_str().unwrap().to_owned()
    }

    fn runs(&self, data: &Data, arguments: &[&str]) -> Said {
        let folder = data.named("");
        let same = program(&[arguments, &["--data", &folder]].concat());
        let mut command = std::process::Command::new(self.folder.path().join("program"));
        command
            .args(same.get_args())
            .stdin(std::process::Stdio::null());
        command
            .env_remove("VESTIBULE_DATABASE")
            .env_remove("VESTIBULE_KEY");
        if self.is_root {
            command.uid(NOBODY).gid(NOBODY);
        }
        let done = command.output().unwrap();
        Said {
            well: done.status.success(),
            out: String::from_utf8(done.stdout).unwrap(),
            err: String::from_utf8(done.stderr).unwrap(),
        }
    }

    /// Starts to serve, and is refused in a moment, by one sentence with what to do.
    #[track_caller]
    fn is_refused(&self, data: &Data, words: &str) {
        let began = Instant::now();
        let said = self.runs(data, &["serve", "--listen", "127.0.0.1:0"]);
        let took = began.elapsed();
        let said = said.badly(&format!("vestibule.sqlite: {words}"));
        assert!(took < SOON, "{took:?}: {said:?}");
        let last = said.err.lines().last().unwrap();
        assert!(
            last.starts_with("vestibule: cannot open the database: "),
            "{said:?}"
        );
    }
}

/// A medium on which nothing can be written.
fn lock(data: &Data) {
    let folders = [data.path(PICTURES), data.path("")];
    for folder in &folders {
        for (name, _) in files_in(folder) {
            // A key that others can read is refused whatever else.
            let mode = if name == "record.key" { 0o400 } else { 0o444 };
            set_mode(&folder.join(name), mode);
        }
        set_mode(folder, 0o555);
    }
}

/// So that the folder can be taken away by whoever is not root.
fn unlock(data: &Data) {
    for folder in [data.path(""), data.path(PICTURES)] {
        set_mode(&folder, 0o755);
    }
}

#[test]
fn r8_where_nothing_can_be_written_all_that_looks_works_and_makes_no_file_for_a_moment_either() {
    let (data, other) = (Data::filled(), Other::user());
    let case = data.case();
    other.gets_all(&data);
    lock(&data);
    let held = files_in(&data.path(""));
    let refused = other.runs(&data, &["serve", "--listen", "127.0.0.1:0"]);
    refused.badly("can only be read");
    let [slip, proof, copy] = ["slip.pdf", "proof", "copy.sqlite"].map(|name| other.named(name));
    for (words, said) in [
        (&["check"][..], "Everything fits."),
        (&["check", "--tree"][..], " fit."),
        (&["slip", "--list"][..], "revision"),
        (&["slip", &case, "--out", &slip][..], ""),
        (&["prove", &case, "--out", &proof][..], " files in "),
        (&["backup", "--to", &copy][..], "Everything fits."),
    ] {
        other.runs(&data, words).well(said);
    }
    assert!(Path::new(&slip).exists() && Path::new(&copy).exists());
    assert_eq!(files_in(&data.path("")), held);
    unlock(&data);
}

#[test]
fn r9_a_file_or_folder_that_can_only_be_read_is_refused_at_the_start_with_what_to_do() {
    let words = "the file, or its folder, can only be read: give this program's user the right to write there";
    let other = Other::user();
    for (name, mode) in [("vestibule.sqlite", 0o400), ("", 0o555)] {
        let data = Data::filled();
        other.gets_all(&data);
        set_mode(&data.path(name), mode);
        let before = data.sqlite();
        other.is_refused(&data, words);
        assert_eq!(data.sqlite(), before, "{name}");
        unlock(&data);
    }
}

#[test]
fn r7_a_file_that_this_user_may_not_read_is_named_in_a_moment_with_what_to_do() {
    let (data, other) = (Data::filled(), Other::user());
    other.gets_all(&data);
    set_mode(&data.path("vestibule.sqlite"), 0);
    let words = "the file is not there, or cannot be opened: look at its path and who may read it";
    other.is_refused(&data, words);
    other.runs(&data, &["check"]).badly(words);
    other.runs(&data, &["slip", "--list"]).badly(words);
}

#[test]
fn r7_a_file_that_is_cut_off_or_something_else_is_named_in_a_moment_with_what_to_do() {
    let other = Other::user();
    let (none, damaged) = (
        "this is no database, or it is cut off: put the right file or a backup of it back",
        "the database is damaged: put a backup of it back",
    );
    let whole = Data::filled().sqlite();
    for (bytes, words) in [
        (b"a text, and no database\n".repeat(50), none),
        (whole[..70].to_vec(), damaged),
        (whole[..whole.len() / 2].to_vec(), damaged),
    ] {
        let data = Data::filled();
        std::fs::write(data.path("vestibule.sqlite"), &bytes).unwrap();
        other.gets_all(&data);
        other.is_refused(&data, words);
        for command in [&["check"][..], &["slip", "--list"]] {
            other.runs(&data, command).badly(words);
        }
        assert_eq!(data.sqlite(), bytes);
    }
}
