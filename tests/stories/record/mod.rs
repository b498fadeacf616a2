//! The record as the two sides see it: papers compared, proofs taken away, checkpoints kept; and what happens
//! when whoever holds the database sets the record back or rewrites it, key and all.

mod alarms;
mod bound;
mod clock;
mod cosigning;
mod forged;
mod owners;
mod page;
mod proofs;
mod proved;
mod whose;
mod written_meanwhile;

use crate::common::{Answer, Visitor};
use crate::pdf_text::{RAW, words_of};
use crate::scene::Scene;
use sqlx::Row;
use vestibule::app::examine::examine;
use vestibule::record::bundle::Files;
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::leaf_hash;
use vestibule::record::key::Signer;
use vestibule::record::note::{cosign, text_of};
use vestibule::record::tree::Frontier;
use vestibule::record::words::PaperRoot;

pub const ALARM: &str = "Alarm: the record does not contain what was seen before.";

/// The words of a paper, by pdftotext.
pub fn words_on(paper: &Answer) -> String {
    words_of(&paper.body, RAW)
}

pub fn log_key() -> Signer {
    Signer::log("vestibule.test/record", &[7; 32]).unwrap()
}

pub fn opened(note: &str) -> Checkpoint {
    Checkpoint::open(note, log_key().verifier(), &[])
        .unwrap()
        .checkpoint
}

/// The newest checkpoint, as a signed note.
pub async fn checkpoint(who: &Visitor) -> String {
    who.get("/record/checkpoint").await.is(200).text()
}

pub fn paper(note: &str) -> String {
    let seen = opened(note);
    PaperRoot::new(seen.size, &seen.root).to_string()
}

pub async fn compare(who: &Visitor, typed: &str) -> Answer {
    let path = format!(
        "/record?{}",
        crate::common::encode([("paper", typed)].into_iter())
    );
    who.get(&path).await
}

/// A minute of use on both sides: each keeps what it is shown.
pub async fn a_minute_of_use(scene: &Scene) {
    scene.world.pass_minutes(1);
    scene.dora.get("/").await.is(200);
    scene.tom.get("/").await.is(200);
}

/// Somebody who holds the database and the key keeps the first `keep` leaves, changes what `change` changes,
/// and computes and signs everything again.
pub async fn rewrite(
    scene: &Scene,
    remember: usize,
    key: &Signer,
    change: impl Fn(usize, &str) -> String,
) {
    let mut conn = scene.world.past_the_store().await;
    let rows = sqlx::query("SELECT number, body FROM leaf ORDER BY number")
        .fetch_all(&mut conn)
        .await
        .unwrap();
    let mut tree = Frontier::default();
    let mut sql = format!(
        "DELETE FROM leaf_salt WHERE leaf >= {remember}; DELETE FROM leaf WHERE number >= {remember}"
    );
    for (number, row) in rows.iter().enumerate().take(remember) {
        let body: String = change(number, row.get("body"));
        let hash = leaf_hash(body.as_bytes());
        tree.append(hash);
        sql += &format!(
            "; UPDATE leaf SET body = '{}', hash = '{hash}' WHERE number = {number}",
            body.replace('\'', "''")
        );
    }
    let peaks: String = tree.peaks().iter().map(ToString::to_string).collect();
    let signed = Checkpoint {
        origin: key.verifier().name().to_owned(),
        size: tree.size(),
        root: tree.root(),
    };
    sql += &format!(
        "; UPDATE record_head SET size = {}, peaks = '{peaks}', checkpoint = '{}'",
        tree.size(),
        signed.sign(key).unwrap()
    );
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
    done.await.unwrap();
}

pub async fn set_back(scene: &Scene, leaves: usize) {
    rewrite(scene, leaves, &log_key(), |_, body| body.to_owned()).await;
}

pub async fn everybody(scene: &Scene) -> [Answer; 4] {
    let (root, sven) = (scene.world.person("root"), scene.world.person("sven"));
    [
        scene.dora.get(&scene.at("")).await,
        scene.tom.get(&scene.at("/history")).await,
        root.get("/people").await,
        sven.get("/nowhere").await,
    ]
}

/// The faults that a check of everything finds.
pub async fn faults(scene: &Scene) -> String {
    let examined = examine(&scene.world.app, None).await.unwrap();
    let sentences: Vec<String> = examined
        .faults
        .into_iter()
        .map(|fault| fault.sentence)
        .collect();
    sentences.join("\n")
}

pub async fn describe(who: &Visitor, kept: &str) -> Answer {
    who.post("/record/alarm", &[("kept", kept)]).await
}

pub async fn clear(scene: &Scene, sentence: &str, password: &str) -> Answer {
    let fields = [("reason", sentence), ("password", password)];
    let root = scene.world.person("root");
    root.send("/record", "/record/clear", &fields).await
}

/// A browser of this party that cosigns, with a key of its own.
pub struct Browser {
    pub key: Signer,
    pub who: Visitor,
}

impl Browser {
    pub async fn of(scene: &Scene, login: &str, seed: u8) -> Browser {
        let who = scene.world.person(login);
        let name = who.get("/record").await.attribute("script", "data-name");
        Browser {
            key: Signer::witness(&name, &[seed; 32]).unwrap(),
            who,
        }
    }

    pub fn line(&self, note: &str) -> String {
        cosign(text_of(note).unwrap(), &self.key, 1_772_438_460).unwrap()
    }

    pub async fn send(&self, note: &str, line: &str) -> Answer {
        let key = self.key.verifier().to_string();
        let fields = [("checkpoint", note), ("key", &key), ("line", line)];
        self.who.post("/record/cosign", &fields).await
    }

    pub async fn cosign(&self, note: &str) -> Answer {
        self.send(note, &self.line(note)).await
    }
}

/// Unpacks an archive with another program.
pub fn unpacked(bytes: &[u8]) -> Files {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("it.tar"), bytes).unwrap();
    let done = std::process::Command::new("tar")
        .args(["-xf", "it.tar", "--strip-components=1"])
        .current_dir(&folder)
        .status();
    assert!(done.unwrap().success());
    std::fs::remove_file(folder.path().join("it.tar")).unwrap();
    std::fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            (name, std::fs::read(entry.path()).unwrap())
        })
        .collect()
}
