//! A server that is set to answer before anything is on its disk: a cluster of its own, thrown away afterwards.

use crate::databases;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use vestibule::store::{Store, StoreError};

/// The programs of the newest server that is installed.
fn programs() -> Option<PathBuf> {
    let versions = std::fs::read_dir("/usr/lib/postgresql").ok()?;
    let folders = versions.filter_map(|version| Some(version.ok()?.path().join("bin")));
    folders
        .filter(|folder| folder.join("initdb").exists())
        .max()
}

/// The server refuses to run as root: then the user that its package makes runs it.
fn run(programs: &Path, name: &str, arguments: &[&str]) {
    let mut command = match is_root() {
        true => {
            let mut command = Command::new("runuser");
            command
                .args(["-u", "postgres", "--"])
                .arg(programs.join(name));
            command
        }
        false => Command::new(programs.join(name)),
    };
    let done = command
        .args(arguments)
        .current_dir("/tmp")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .unwrap();
    assert!(done.success(), "{name} {arguments:?}");
}

fn is_root() -> bool {
    use std::os::unix::fs::MetadataExt;
    std::fs::metadata("/proc/self").unwrap().uid() == 0
}

struct Cluster {
    programs: PathBuf,
    folder: tempfile::TempDir,
}

impl Cluster {
    fn start(programs: PathBuf, settings: &str) -> Cluster {
        let folder = tempfile::tempdir_in("/tmp").unwrap();
        let path = folder.path().to_str().unwrap().to_owned();
        if is_root() {
            let owned = Command::new("chown").args(["postgres", &path]).status();
            assert!(owned.unwrap().success());
        }
        let data = format!("{path}/db");
        run(
            &programs,
            "initdb",
            &["-D", &data, "-U", "vestibule", "-A", "trust", "--no-sync"],
        );
        let options = format!("-c listen_addresses='' -k {path} {settings}");
        let log = format!("{path}/log");
        run(
            &programs,
            "pg_ctl",
            &["-D", &data, "-w", "-l", &log, "-o", &options, "start"],
        );
        Cluster { programs, folder }
    }

    fn address(&self) -> String {
        let path = self.folder.path().display();
        format!("postgres://vestibule@localhost/postgres?host={path}")
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        let data = self.folder.path().join("db");
        let data = data.to_str().unwrap_or_default();
        run(
            &self.programs,
            "pg_ctl",
            &["-D", data, "-m", "immediate", "stop"],
        );
    }
}

#[tokio::test]
async fn r4_a_server_that_does_not_flush_is_refused_in_words() {
    let named = std::env::var("VESTIBULE_TEST_POSTGRES");
    let (Some(programs), false) = (programs(), named.unwrap_or_default().is_empty()) else {
        eprintln!("not run: no server is installed, or VESTIBULE_TEST_POSTGRES is not set");
        return;
    };
    for setting in ["fsync", "full_page_writes"] {
        let cluster = Cluster::start(programs.clone(), &format!("-c {setting}=off"));
        let refused = Store::open(&cluster.address(), databases::key()).await;
        let refused = refused.unwrap_err();
        assert!(
            matches!(refused, StoreError::NotDurable { .. }),
            "{setting}: {refused}"
        );
        let words = refused.to_string();
        assert!(
            words.contains(setting) && words.contains("says off, and on is needed"),
            "{words}"
        );
    }
}
