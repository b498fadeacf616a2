//! The record as the two sides see it: papers compared, proofs taken away, checkpoints kept; and what happens
//! when whoever holds the database sets the record back or rewrites it, key and all.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::{Scene, open_case};
use sqlx::Row;
use vestibule::app::examine::examine;
use vestibule::app::recorded;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::record::bundle::{Files, verify};
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::hash::leaf_hash;
use vestibule::record::key::{Signer, Verifier};
use vestibule::record::note::{cosign, text_of};
use vestibule::record::proof::{GrowthProof, InclusionProof};
use vestibule::record::tree::Frontier;
use vestibule::record::witness::witness_name;
use vestibule::record::words::PaperRoot;
use vestibule::store::cases::find_case;
use vestibule::store::lists::of_party;
use vestibule::store::people::account_by_login;
use vestibule::store::record::leaves_owned_by;

const ALARM: &str = "Alarm: the record does not contain what was seen before.";

fn log_key() -> Signer {
    Signer::log("vestibule.test/record", &[7; 32]).unwrap()
}

fn opened(note: &str) -> Checkpoint {
    Checkpoint::open(note, log_key().verifier(), &[])
        .unwrap()
        .checkpoint
}

/// The newest checkpoint, as a signed note.
async fn checkpoint(who: &Visitor) -> String {
    who.get("/record/checkpoint").await.is(200).text()
}

fn paper(note: &str) -> String {
    let seen = opened(note);
    PaperRoot::new(seen.size, &seen.root).to_string()
}

async fn compare(who: &Visitor, typed: &str) -> Answer {
    let path = format!(
        "/record?{}",
        crate::common::encode([("paper", typed)].into_iter())
    );
    who.get(&path).await
}

/// A minute of use on both sides: each keeps what it is shown.
async fn a_minute_of_use(scene: &Scene) {
    scene.world.pass_minutes(1);
    scene.dora.get("/").await.is(200);
    scene.tom.get("/").await.is(200);
}

/// Somebody who holds the database and the key keeps the first `keep` leaves, changes what `change` changes,
/// and computes and signs everything anew.
async fn rewrite(scene: &Scene, keep: usize, key: &Signer, change: impl Fn(usize, &str) -> String) {
    let mut conn = scene.world.past_the_store().await;
    let rows = sqlx::query("SELECT number, body FROM leaf ORDER BY number")
        .fetch_all(&mut conn)
        .await
        .unwrap();
    let mut tree = Frontier::default();
    let mut sql = format!(
        "DELETE FROM leaf_salt WHERE leaf >= {keep}; DELETE FROM leaf WHERE number >= {keep}"
    );
    for (number, row) in rows.iter().enumerate().take(keep) {
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

async fn set_back(scene: &Scene, leaves: usize) {
    rewrite(scene, leaves, &log_key(), |_, body| body.to_owned()).await;
}

async fn everybody(scene: &Scene) -> [Answer; 4] {
    let (root, sven) = (scene.world.person("root"), scene.world.person("sven"));
    [
        scene.dora.get(&scene.at("")).await,
        scene.tom.get(&scene.at("/history")).await,
        root.get("/people").await,
        sven.get("/nowhere").await,
    ]
}

/// The faults that a check of everything finds.
async fn faults(scene: &Scene) -> String {
    let examined = examine(&scene.world.app, None).await.unwrap();
    let sentences: Vec<String> = examined
        .faults
        .into_iter()
        .map(|fault| fault.sentence)
        .collect();
    sentences.join("\n")
}

async fn describe(who: &Visitor, kept: &str) -> Answer {
    who.post("/record/alarm", &[("kept", kept)]).await
}

async fn settle(scene: &Scene, sentence: &str, password: &str) -> Answer {
    let fields = [("reason", sentence), ("password", password)];
    let root = scene.world.person("root");
    root.send("/record", "/record/settle", &fields).await
}

/// A browser of this party that cosigns, with a key of its own.
struct Browser {
    key: Signer,
    who: Visitor,
}

impl Browser {
    async fn of(scene: &Scene, login: &str, seed: u8) -> Browser {
        let who = scene.world.person(login);
        let name = who.get("/record").await.attribute("script", "data-name");
        Browser {
            key: Signer::witness(&name, &[seed; 32]).unwrap(),
            who,
        }
    }

    fn line(&self, note: &str) -> String {
        cosign(text_of(note).unwrap(), &self.key, 1_772_438_460).unwrap()
    }

    async fn send(&self, note: &str, line: &str) -> Answer {
        let key = self.key.verifier().to_string();
        let fields = [("checkpoint", note), ("key", &key), ("line", line)];
        self.who.post("/record/cosign", &fields).await
    }

    async fn cosign(&self, note: &str) -> Answer {
        self.send(note, &self.line(note)).await
    }
}

// --- the page ------------------------------------------------------------------------------------

#[tokio::test]
async fn the_page_says_how_far_the_record_has_come_and_by_which_key() {
    let (scene, _) = Scene::at_the_lab().await;
    let note = checkpoint(&scene.dora).await;
    let seen = opened(&note);
    for login in ["dora", "anna", "tom", "mara", "root", "sven"] {
        let page = scene.world.person(login).get("/record").await;
        page.is(200)
            .sees(&seen.size.to_string())
            .sees(&paper(&note))
            .sees(&log_key().verifier().to_string())
            .sees(&log_key().verifier().id().to_string())
            .sees_not(ALARM);
        assert_eq!(page.count("svg.qr"), 1);
        assert_eq!(page.count("nav a[href=\"/record\"]"), 1);
        assert_eq!(page.attribute("script", "data-checkpoint"), note);
    }
}

#[tokio::test]
async fn an_empty_record_says_so_and_has_no_checkpoint() {
    let world = crate::common::World::peopled().await;
    let dora = world.person("dora");
    // As it is before the rows of an earlier version are taken in.
    let empty = "DELETE FROM leaf_salt; DELETE FROM leaf; UPDATE record_head SET size = 0, peaks = '', \
                 checkpoint = ''";
    let mut conn = world.past_the_store().await;
    sqlx::raw_sql(empty).execute(&mut conn).await.unwrap();
    dora.get("/record")
        .await
        .is(200)
        .sees("The record is empty");
    assert_eq!(checkpoint(&dora).await, "");
    world.pass_minutes(1);
    dora.get("/").await.is(200).sees_not(ALARM);
    dora.get("/record/growth?from=1").await.is(422);
}

#[tokio::test]
async fn each_side_is_shown_what_it_and_its_partners_keep_and_nobody_else() {
    let scene = Scene::opened().await;
    a_minute_of_use(&scene).await;
    let sees = |answer: &Answer, names: [bool; 4]| {
        let parties = [
            "Northgate Dental",
            "Kiln Laboratory",
            "Southgate Dental",
            "Anvil Laboratory",
        ];
        for (party, is_seen) in parties.iter().zip(names) {
            let words = answer.words();
            assert_eq!(words.contains(party), is_seen, "{party}: {words}");
        }
    };
    let page = scene.dora.get("/record").await;
    let size = opened(&checkpoint(&scene.dora).await).size;
    page.sees(&format!("Northgate Dental (you) : {size} entries"))
        .sees(&format!("Kiln Laboratory : {size} entries"));
    sees(&page, [true, true, false, false]);
    sees(&scene.tom.get("/record").await, [true, true, false, false]);
    let sven = scene.world.person("sven");
    sees(&sven.get("/record").await, [false, false, true, false]);
    let root = scene.world.person("root");
    sees(&root.get("/record").await, [true; 4]);
}

#[tokio::test]
async fn a_typed_paper_is_compared_in_words() {
    let scene = Scene::opened().await;
    let first = checkpoint(&scene.dora).await;
    scene.things().await;
    let newest = checkpoint(&scene.dora).await;
    for note in [&first, &newest] {
        let whole = paper(note);
        let page = compare(&scene.tom, &whole).await;
        page.is(200).sees("It fits.").sees("unchanged.");
        let spaced = whole.to_lowercase().replace(' ', "-\n ");
        compare(&scene.tom, &spaced).await.is(200).sees("It fits.");
        let begun: String = whole.chars().take(22).collect();
        compare(&scene.tom, &begun)
            .await
            .sees("It fits.")
            .sees("compared by the first");
    }
    let other = format!("1:{}", "0123456789abcdef".repeat(4));
    compare(&scene.tom, &other)
        .await
        .is(200)
        .sees("It does not fit.")
        .sees("the record was rewritten, or the paper is of another one");
    compare(&scene.tom, "99:0123456789abcdef")
        .await
        .is(200)
        .sees("It does not fit.")
        .sees("entries are missing");
    for (wrong, why) in [
        ("", "Type size and root as on the paper"),
        ("7f202118", "Type size and root as on the paper"),
        ("4:8C27", "at least 16 are wanted"),
        ("4:8C27F0A18C27F0AG", "“G” is no hexadecimal digit"),
        (":8C27F0A18C27F0A1", ""),
        ("1e3:8C27F0A18C27F0A1", ""),
        ("99999999999999999999999:8C27F0A18C27F0A1", ""),
    ] {
        let page = compare(&scene.tom, wrong).await;
        page.is(422).sees(why);
        assert_eq!(page.attribute("#f-paper", "value"), wrong, "it stays typed");
        assert_eq!(page.count("#f-paper-say .message"), 1, "{wrong}");
    }
}

#[tokio::test]
async fn every_version_of_what_stands_beside_the_cases_is_in_the_record() {
    let scene = Scene::signed().await;
    let root = scene.world.person("root");
    let sizes = async || opened(&checkpoint(&scene.dora).await).size;
    let before = sizes().await;
    let card = format!("/patients/{}", scene.patient);
    let fact = [("patient.sex", "male")];
    scene.dora.send(&card, &card, &fact).await.is(303);
    let mut lab = String::new();
    for path in root.get("/parties").await.hrefs("/parties/") {
        if path != "/parties/new" && root.get(&path).await.text().contains("Kiln") {
            lab = path;
        }
    }
    let moved = [("address", "1 New Street")];
    root.send(&lab, &lab, &moved).await.is(303);
    crate::lists::load_moulds(&scene.tom, crate::lists::MOULDS)
        .await
        .is(303);
    crate::lists::load_moulds(&scene.tom, crate::lists::MOULDS)
        .await
        .is(303);
    let mut conn = scene.world.app.store.read().await.unwrap();
    let sven = account_by_login(&mut conn, "sven").await.unwrap().unwrap();
    let action = format!("/people/{}/disabled", sven.id);
    root.send("/people", &action, &[]).await.is(303);
    let newer = "quite another password";
    let fields = [
        ("password", PASSWORD),
        ("new_password", newer),
        ("password_again", newer),
    ];
    let mara = scene.world.person("mara");
    mara.send("/account", "/account/password", &fields)
        .await
        .is(303);
    assert_eq!(sizes().await - before, 6);
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
    assert!(examined.beside > 10);
    // What opened the card that is written over is gone with it; that of a list is kept, as the list is.
    let salts = async |key: &str| {
        let mut conn = scene.world.app.store.read().await.unwrap();
        let leaves = leaves_owned_by(&mut conn, key).await.unwrap();
        let empty = leaves
            .iter()
            .map(|leaf| leaf.salts.as_deref() == Some("{}"));
        empty.collect::<Vec<_>>()
    };
    assert_eq!(salts(&scene.patient).await, [true, false]);
    assert_eq!(salts(&sven.id).await, [true, false]);
    let tom = account_by_login(&mut conn, "tom").await.unwrap().unwrap();
    for list in of_party(&mut conn, &tom.party.unwrap()).await.unwrap() {
        assert_eq!(salts(&list.id).await, [false, false]);
    }
    // The newest version only is stored of a card; it may not go back to the one before.
    let mut conn = scene.world.past_the_store().await;
    let back = format!(
        "UPDATE patient SET version = 1, facts = '{{}}' WHERE code = '{}'",
        scene.patient
    );
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(back)).execute(&mut conn);
    done.await.unwrap();
    let found = faults(&scene).await;
    assert!(
        found.contains(&format!("patient {}", scene.patient)),
        "{found}"
    );
}

#[tokio::test]
async fn what_an_earlier_version_had_beside_the_cases_is_taken_in_at_the_next_start() {
    let scene = Scene::opened().await;
    let app = &scene.world.app;
    // As an earlier version left it: the case is in the record, and nothing beside it.
    let mut conn = scene.world.past_the_store().await;
    let emptied = "DELETE FROM leaf_salt; DELETE FROM leaf; DELETE FROM witness; \
                   UPDATE record_head SET size = 0, peaks = '', checkpoint = ''";
    sqlx::raw_sql(emptied).execute(&mut conn).await.unwrap();
    let number = CaseNumber::parse(&scene.number).unwrap();
    let mut tx = app.store.begin().await.unwrap();
    let case = find_case(tx.conn(), &number).await.unwrap().unwrap();
    recorded::case(app, &mut tx, &case).await.unwrap();
    tx.commit().await.unwrap();
    let before = examine(app, None).await.unwrap();
    assert_eq!(
        (before.faults.as_slice(), before.beside),
        ([].as_slice(), 0)
    );
    for _ in 0..2 {
        recorded::backfill(app).await.unwrap();
        let after = examine(app, None).await.unwrap();
        assert_eq!(after.faults, []);
        assert_eq!(after.leaves, 1 + after.beside, "each once");
        assert!(after.beside > 10, "{after:?}");
    }
    let changed = "UPDATE party SET licence = 'none'";
    sqlx::raw_sql(changed).execute(&mut conn).await.unwrap();
    assert!(faults(&scene).await.contains("its party"));
}

// --- proofs to take away ---------------------------------------------------------------------------

#[tokio::test]
async fn the_proof_of_growth_leads_from_any_size_to_any_later_one() {
    let scene = Scene::opened().await;
    let mut notes = vec![checkpoint(&scene.dora).await];
    for _ in 0..3 {
        scene.add(&scene.dora, "shade_tab", "", "here").await;
        notes.push(checkpoint(&scene.dora).await);
    }
    let log = log_key();
    for older in &notes {
        let old = opened(older);
        let newest = scene
            .tom
            .get(&format!("/record/growth?from={}", old.size))
            .await;
        assert!(
            newest.headers["content-disposition"]
                .to_str()
                .unwrap()
                .starts_with("attachment")
        );
        let proof = GrowthProof::parse(&newest.is(200).text()).unwrap();
        let seen = proof.verify(&old.root, log.verifier(), &[]).unwrap();
        assert_eq!(seen.checkpoint, opened(notes.last().unwrap()));
        for newer in &notes {
            let new = opened(newer);
            let path = format!("/record/growth?from={}&to={}", old.size, new.size);
            let answer = scene.tom.get(&path).await;
            if new.size < old.size {
                answer.is(422).sees("cannot have grown from");
                continue;
            }
            let proof = GrowthProof::parse(&answer.is(200).text()).unwrap();
            let seen = proof.verify(&old.root, log.verifier(), &[]).unwrap();
            assert_eq!(seen.checkpoint, new);
        }
    }
    for (wrong, key) in [
        ("from=0", "from"),
        ("from=", "from"),
        ("from=two", "from"),
        ("from=1&to=999", "to"),
        ("from=1&to=-1", "to"),
        ("from=1&to=0", "to"),
        ("from=999", "from"),
    ] {
        let page = scene.tom.get(&format!("/record/growth?{wrong}")).await;
        page.is(422);
        assert_eq!(page.count(&format!("#f-{key}-say .message")), 1, "{wrong}");
    }
}

#[tokio::test]
async fn an_entry_and_its_proof_fit_and_are_there_for_its_own_case_only() {
    let (scene, _) = Scene::at_the_lab().await;
    let sven = scene.world.person("sven");
    let patient = crate::scene::last_part(&sven.send("/patients/new", "/patients/new", &[]).await);
    let of_sven = open_case(&sven, &patient, "upper").await;
    let page = scene.tom.get(&scene.at("/history")).await;
    let proofs: Vec<String> = (0..200)
        .map(|leaf| scene.at(&format!("/leaves/{leaf}/proof")))
        .filter(|path| page.count(&format!("a[href=\"{path}\"]")) == 1)
        .collect();
    assert_eq!(
        proofs.len(),
        page.count(".proofs"),
        "each line of the history has its own"
    );
    assert!(proofs.len() > 5);
    for path in &proofs {
        let entry = path.replace("/proof", "/entry");
        let bytes = scene.tom.get(&entry).await.is(200).body.clone();
        let file = scene.dora.get(path).await.is(200).text();
        let proof = InclusionProof::parse(&file).unwrap();
        proof.verify(&bytes, log_key().verifier(), &[]).unwrap();
        for stranger in [&sven, &scene.world.person("lars")] {
            stranger.get(&entry).await.is(404);
            stranger.get(path).await.is(404);
        }
        scene.world.person("root").get(path).await.is(403);
    }
    // Neither under one's own case nor under the other's: a leaf belongs to its case.
    let last = opened(&checkpoint(&sven).await).size - 1;
    for number in [&of_sven, &scene.number] {
        for what in ["entry", "proof"] {
            let path = |leaf: &str| format!("/cases/{number}/leaves/{leaf}/{what}");
            let own = if *number == of_sven {
                &sven
            } else {
                &scene.dora
            };
            let foreign = if *number == of_sven { 0 } else { last };
            own.get(&path(&foreign.to_string())).await.is(404);
            for never in ["9999", "-1", "one", "99999999999999999999"] {
                own.get(&path(never)).await.is(404);
            }
        }
    }
}

/// Unpacks an archive with another program.
fn unpacked(bytes: &[u8]) -> Files {
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

#[tokio::test]
async fn the_proof_of_a_case_is_one_file_that_holds_outside() {
    let scene = Scene::opened().await;
    let early = checkpoint(&scene.dora).await;
    scene.things().await;
    let path = scene.at("/record.tar");
    let bytes = scene.tom.get(&path).await.is(200).body.clone();
    assert_eq!(bytes, scene.dora.get(&path).await.body, "the same for both");
    let files = unpacked(&bytes);
    let key = log_key().verifier().clone();
    let report = verify(&files, Some(&key), None);
    assert!(report.holds(), "{report:#?}");
    assert!(files.contains_key("README.txt") && !files.contains_key("witnesses.vkey"));

    let printed = PaperRoot::parse(&paper(&early)).unwrap();
    let with_paper = format!(
        "{path}?{}",
        crate::common::encode([("paper", paper(&early).as_str())].into_iter())
    );
    let files = unpacked(&scene.tom.get(&with_paper).await.is(200).body);
    let report = verify(&files, Some(&key), Some(&printed));
    assert!(report.holds(), "{report:#?}");
    scene
        .tom
        .get(&format!("{path}?paper=1:0123456789abcdef"))
        .await
        .is(409)
        .sees("do not come to the paper's root");
    let wrong = scene.tom.get(&format!("{path}?paper=one")).await;
    wrong.is(422).sees("Type size and root as on the paper");
    assert_eq!(wrong.attribute("#f-paper", "value"), "one");
    for stranger in ["sven", "lars"] {
        scene.world.person(stranger).get(&path).await.is(404);
        scene.world.person(stranger).get(&with_paper).await.is(404);
    }
}

// --- cosigning -----------------------------------------------------------------------------------

#[tokio::test]
async fn a_browsers_cosignature_is_kept_listed_and_goes_into_the_proof() {
    let scene = Scene::opened().await;
    scene.things().await;
    let note = checkpoint(&scene.dora).await;
    let (lab, office) = (
        Browser::of(&scene, "tom", 1).await,
        Browser::of(&scene, "dora", 2).await,
    );
    lab.cosign(&note).await.is(204);
    lab.cosign(&note).await.is(204);
    office.cosign(&note).await.is(204);
    let id = lab.key.verifier().id();
    let size = opened(&note).size;
    scene
        .dora
        .get("/record")
        .await
        .sees(&format!("Browser key {id}: cosigned {size} entries"))
        .sees("by tom");
    let files = unpacked(&scene.dora.get(&scene.at("/record.tar")).await.is(200).body);
    let report = verify(&files, Some(log_key().verifier()), None);
    assert!(report.holds(), "{report:#?}");
    let said = &report
        .lines
        .iter()
        .find(|line| line.file == "checkpoint.txt")
        .unwrap()
        .sentence;
    for browser in [&lab, &office] {
        let name = browser.key.verifier().name();
        assert!(said.contains(&format!("{name} keeps it too")), "{said}");
    }
    let text = String::from_utf8(files["witnesses.vkey"].clone()).unwrap();
    let keys: Vec<Verifier> = text
        .lines()
        .map(|key| Verifier::parse(key).unwrap())
        .collect();
    assert_eq!(keys.len(), 2);

    // An entry later than what was cosigned is proved against the newest checkpoint alone, until it is cosigned.
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    let files = unpacked(&scene.dora.get(&scene.at("/record.tar")).await.is(200).body);
    assert!(!files.contains_key("witnesses.vkey"));
    let note = checkpoint(&scene.dora).await;
    lab.cosign(&note).await.is(204);
    let files = unpacked(&scene.dora.get(&scene.at("/record.tar")).await.is(200).body);
    assert!(verify(&files, None, None).holds() && files.contains_key("witnesses.vkey"));
    assert_eq!(faults(&scene).await, "");
}

#[tokio::test]
async fn a_cosignature_that_is_not_ones_own_or_not_of_this_record_is_not_taken() {
    let scene = Scene::opened().await;
    let early = checkpoint(&scene.dora).await;
    scene.things().await;
    let note = checkpoint(&scene.dora).await;
    let lab = Browser::of(&scene, "tom", 1).await;
    // Another's name, and none at all.
    for login in ["dora", "lars", "root"] {
        let wrong = Browser {
            key: lab.key.clone(),
            who: scene.world.person(login),
        };
        wrong.cosign(&note).await.is(422);
    }
    let party = witness_name(
        "another.test/record",
        vestibule::domain::people::party::Side::Lab,
        "x",
    );
    let elsewhere = Browser {
        key: Signer::witness(&party, &[1; 32]).unwrap(),
        who: scene.tom.clone(),
    };
    elsewhere.cosign(&note).await.is(422);
    // The line of another checkpoint, a line that is none, a note that nobody signed or another key did.
    lab.send(&note, &lab.line(&early)).await.is(422);
    lab.send(&note, "").await.is(422);
    lab.send(&note, "— x y").await.is(422);
    lab.send("", "").await.is(422);
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    lab.cosign(&opened(&note).sign(&forger).unwrap())
        .await
        .is(422);
    lab.send(text_of(&note).unwrap(), &lab.line(&note))
        .await
        .is(422);
    let page = scene.tom.get("/record").await;
    page.sees_not("Browser key").sees_not(ALARM);
    // An older one than what is kept changes nothing.
    lab.cosign(&note).await.is(204);
    lab.cosign(&early).await.is(204);
    let size = opened(&note).size;
    scene
        .tom
        .get("/record")
        .await
        .sees(&format!("cosigned {size} entries"))
        .sees_not(ALARM);
}

// --- alarms --------------------------------------------------------------------------------------

#[tokio::test]
async fn ordinary_work_raises_no_alarm_and_is_kept_as_it_grows() {
    let scene = Scene::opened().await;
    for _ in 0..5 {
        a_minute_of_use(&scene).await;
        scene.add(&scene.dora, "shade_tab", "", "here").await;
    }
    a_minute_of_use(&scene).await;
    let size = opened(&checkpoint(&scene.tom).await).size;
    scene
        .tom
        .get("/record")
        .await
        .sees_not(ALARM)
        .sees(&format!("Kiln Laboratory (you) : {size} entries"))
        .sees(&format!("Northgate Dental : {size} entries"));
    assert_eq!(faults(&scene).await, "");
}

#[tokio::test]
async fn a_record_set_back_is_seen_by_both_sides_on_every_page() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    let size = opened(&checkpoint(&scene.tom).await).size;
    set_back(&scene, 3).await;
    scene.tom.get("/").await.sees_not(ALARM);
    scene.world.pass_minutes(1);
    scene.tom.get("/").await;
    for page in everybody(&scene).await {
        page.sees(ALARM);
        assert_eq!(page.count(".alarm[role=alert]"), 1);
    }
    scene
        .tom
        .get("/record")
        .await
        .sees("Entries are missing: the record is shorter than what was seen")
        .sees(&format!("Kept {size}:"))
        .sees("There now 3:")
        .sees("found by this program, with what Kiln Laboratory has kept");
    // A house that shares no case with them sees the alarm, and no name.
    scene
        .world
        .person("sven")
        .get("/record")
        .await
        .sees("found by another party of this installation")
        .sees_not("Kiln");
    assert!(
        faults(&scene)
            .await
            .contains("entries are missing: the record is shorter"),
    );
}

#[tokio::test]
async fn signing_in_looks_as_well() {
    let scene = Scene::opened().await;
    scene.things().await;
    scene.world.visitor("tom").await;
    set_back(&scene, 2).await;
    let page = scene.world.visitor("tom").await.get("/").await;
    page.sees(ALARM);
}

#[tokio::test]
async fn a_rewritten_leaf_is_found_though_it_is_signed_anew_with_the_right_key() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    let size = opened(&checkpoint(&scene.dora).await).size;
    let all = usize::try_from(size).unwrap();
    rewrite(&scene, all, &log_key(), |number, body| match number {
        1 => body.replacen("\"v\":1", "\"v\":2", 1),
        _ => body.to_owned(),
    })
    .await;
    // The record agrees with itself and its key.
    let seen = opened(&checkpoint(&scene.dora).await);
    assert_eq!(seen.size, size);
    a_minute_of_use(&scene).await;
    for page in everybody(&scene).await {
        page.sees(ALARM);
    }
    scene
        .dora
        .get("/record")
        .await
        .sees("Entries were changed: the record begins in another way");
    let faults = faults(&scene).await;
    assert!(faults.contains("entries were changed"), "{faults}");
    assert!(faults.contains("An alarm that is not settled"), "{faults}");
}

#[tokio::test]
async fn a_leaf_rewritten_together_with_what_the_party_keeps_is_found_by_the_browsers_cosignature()
{
    let scene = Scene::opened().await;
    scene.things().await;
    let note = checkpoint(&scene.tom).await;
    let lab = Browser::of(&scene, "tom", 1).await;
    lab.cosign(&note).await.is(204);
    let all = usize::try_from(opened(&note).size).unwrap();
    rewrite(&scene, all, &log_key(), |number, body| match number {
        1 => body.replacen("\"v\":1", "\"v\":2", 1),
        _ => body.to_owned(),
    })
    .await;
    let mut conn = scene.world.past_the_store().await;
    sqlx::raw_sql("DELETE FROM witness")
        .execute(&mut conn)
        .await
        .unwrap();
    let faults = faults(&scene).await;
    assert!(
        faults.contains("the browser of tom with the key")
            && faults.contains("entries were changed"),
        "{faults}"
    );
    // And by what the browser itself keeps.
    describe(&scene.tom, &note).await.is(200);
    scene.dora.get("/").await.sees(ALARM);
    scene
        .dora
        .get("/record")
        .await
        .sees("found by the browser of tom, Kiln Laboratory");
}

#[tokio::test]
async fn a_cosignature_line_that_was_changed_is_named() {
    let scene = Scene::opened().await;
    let lab = Browser::of(&scene, "tom", 1).await;
    let early = checkpoint(&scene.tom).await;
    scene.things().await;
    lab.cosign(&checkpoint(&scene.tom).await).await.is(204);
    let mut conn = scene.world.past_the_store().await;
    sqlx::query("UPDATE witness_key SET line = $1")
        .bind(lab.line(&early))
        .execute(&mut conn)
        .await
        .unwrap();
    let faults = faults(&scene).await;
    assert!(
        faults.contains("The cosignature of the browser of tom"),
        "{faults}"
    );
}

#[tokio::test]
async fn a_newest_checkpoint_of_another_key_is_an_alarm() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    rewrite(&scene, 5, &forger, |_, body| body.to_owned()).await;
    a_minute_of_use(&scene).await;
    scene.dora.get("/").await.sees(ALARM);
    scene
        .dora
        .get("/record")
        .await
        .sees("The newest checkpoint is not signed by the record's key");
    scene
        .dora
        .get(&scene.at("/record.tar"))
        .await
        .is(409)
        .sees("not signed by the record's key");
}

#[tokio::test]
async fn hashes_that_are_gone_prove_nothing_and_that_is_an_alarm() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    let mut conn = scene.world.past_the_store().await;
    sqlx::raw_sql("UPDATE leaf SET hash = '' WHERE number = 2")
        .execute(&mut conn)
        .await
        .unwrap();
    a_minute_of_use(&scene).await;
    scene
        .dora
        .get("/record")
        .await
        .sees(ALARM)
        .sees("The stored hashes do not lead from what was seen to the record of now");
}

#[tokio::test]
async fn what_a_browser_tells_is_compared_before_everybody_hears_of_it() {
    let scene = Scene::opened().await;
    scene.things().await;
    let note = checkpoint(&scene.tom).await;
    let fine = describe(&scene.tom, &note).await;
    assert_eq!(fine.is(200).text(), r#"{"contained":true,"settled":null}"#);
    for wrong in [
        String::new(),
        "nothing".to_owned(),
        "x".repeat(3000),
        // Another record at this address is no alarm: the browser asks its person.
        opened(&note)
            .to_string()
            .replace("vestibule.test", "other.test"),
    ] {
        describe(&scene.tom, &wrong).await.is(422);
    }
    scene.dora.get("/").await.sees_not(ALARM);
    // Signed by somebody else under this record's name: one of the two is not the record.
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    let forged = opened(&note).sign(&forger).unwrap();
    let answer = describe(&scene.tom, &forged).await;
    assert_eq!(
        answer.is(200).text(),
        r#"{"contained":false,"settled":null}"#
    );
    describe(&scene.tom, &forged).await.is(200);
    let page = scene.dora.get("/record").await;
    page.sees(ALARM)
        .sees("signed by another key than the record's");
    assert_eq!(page.count(".sheet.strong .card"), 1, "told twice is once");
}

#[tokio::test]
async fn nobody_but_an_administrator_settles_an_alarm_and_only_with_a_sentence_and_the_password() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    let lost = checkpoint(&scene.tom).await;
    set_back(&scene, 3).await;
    a_minute_of_use(&scene).await;
    let fields = [("post_key", "settle-0001"), ("reason", "all is well")];
    for who in [&scene.dora, &scene.anna, &scene.tom, &scene.mara] {
        who.post("/record/settle", &fields).await.is(403);
        assert_eq!(
            who.get("/record")
                .await
                .count("form[action=\"/record/settle\"]"),
            0
        );
    }
    settle(&scene, "", PASSWORD)
        .await
        .is(422)
        .sees("Say what has happened");
    let sentence = "restored the copy of last night after the disk failed";
    let wrong = settle(&scene, sentence, "not the password").await;
    wrong
        .is(422)
        .sees("This is not your password.")
        .sees(sentence);
    settle(&scene, sentence, "").await.is(422);
    settle(&scene, "asked Mrs. Brown about it", PASSWORD)
        .await
        .is(422)
        .sees("they name nobody");
    settle(&scene, &"x".repeat(501), PASSWORD).await.is(422);
    scene.tom.get("/").await.sees(ALARM);

    settle(&scene, sentence, PASSWORD).await.is(303);
    for page in everybody(&scene).await {
        page.sees_not(ALARM);
    }
    for who in [&scene.dora, &scene.tom] {
        who.get("/record")
            .await
            .sees("Settled by root on")
            .sees(sentence);
    }
    // A browser that still keeps the lost branch is told, and its person decides.
    let told = describe(&scene.tom, &lost).await.is(200).text();
    assert!(told.contains("\"settled\":\"Settled by root on"), "{told}");
    scene.tom.get("/").await.sees_not(ALARM);

    // From here on the record of now is kept, and the next time is an alarm of its own.
    a_minute_of_use(&scene).await;
    let kept_now = scene.tom.get("/record").await;
    kept_now
        .sees_not(ALARM)
        .sees("Kiln Laboratory (you) : 4 entries");
    set_back(&scene, 2).await;
    a_minute_of_use(&scene).await;
    scene.tom.get("/").await.sees(ALARM);
}

#[tokio::test]
async fn an_alarm_that_came_after_the_page_was_opened_is_not_settled_unseen() {
    let scene = Scene::opened().await;
    scene.things().await;
    let early = checkpoint(&scene.tom).await;
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    a_minute_of_use(&scene).await;
    set_back(&scene, 2).await;
    a_minute_of_use(&scene).await;
    let root = scene.world.person("root");
    let page = root.get("/record").await;
    let mut form = page.form("/record", "/record/settle", "");
    form.insert("reason".to_owned(), "looked into it".to_owned());
    form.insert("password".to_owned(), PASSWORD.to_owned());
    // Meanwhile a browser tells of another checkpoint that it keeps.
    describe(&scene.dora, &early).await.is(200);
    let fields: Vec<(&str, &str)> = form
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    root.post("/record/settle", &fields)
        .await
        .is(409)
        .sees("The open alarms are others than those on your page.");
    scene.tom.get("/").await.sees(ALARM);
    settle(&scene, "looked into both", PASSWORD).await.is(303);
    scene.tom.get("/").await.sees_not(ALARM);
}

#[tokio::test]
async fn settling_lays_aside_everything_that_no_longer_fits() {
    let scene = Scene::opened().await;
    scene.things().await;
    let lab = Browser::of(&scene, "tom", 1).await;
    lab.cosign(&checkpoint(&scene.tom).await).await.is(204);
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    a_minute_of_use(&scene).await;
    set_back(&scene, 3).await;
    a_minute_of_use(&scene).await;
    // The administrator's page looks at everything that is kept, the cosignature too.
    let page = scene.world.person("root").get("/record").await;
    assert_eq!(page.count(".sheet.strong .card"), 2);
    settle(&scene, "restored a copy", PASSWORD).await.is(303);
    let faults = faults(&scene).await;
    assert!(!faults.contains("keeps"), "{faults}");
    scene
        .dora
        .get("/record")
        .await
        .sees("cosigned nothing since the last alarm was settled");
    lab.cosign(&checkpoint(&scene.tom).await).await.is(204);
    scene.dora.get("/record").await.sees("cosigned 5 entries");
}

#[tokio::test]
async fn a_cosigned_checkpoint_of_a_lost_branch_is_an_alarm_too() {
    let scene = Scene::opened().await;
    scene.things().await;
    let lost = checkpoint(&scene.tom).await;
    set_back(&scene, 2).await;
    let lab = Browser::of(&scene, "tom", 1).await;
    lab.cosign(&lost).await.is(204);
    scene.dora.get("/").await.sees(ALARM);
    scene.dora.get("/record").await.sees_not("Browser key");
}
