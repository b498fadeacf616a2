//! Scans of a case as files: sent as a browser sends them, saved by both houses and by nobody else, and erased for good.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::Scene;
use crate::sent_file::{self, SentFile};
use axum::body::Body;
use axum::http::Request;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{Cursor, Write};
use std::path::PathBuf;
use vestibule::app::back_up::{Copied, back_up};
use vestibule::app::laid::sweep;
use vestibule::app::scan_files::SentScan;
use vestibule::app::{examine, prove};
use vestibule::domain::custody::SCANS_MOST;
use vestibule::domain::values::digest::sha256_hex;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::record::bundle::verify;
use vestibule::store::{cases, people, pictures};

/// A triangle of 60 by so many mm, in a text that names somebody.
fn scanned(depth: usize) -> Vec<u8> {
    let facet = "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 60 0 0\n";
    let text = format!(
        "solid Quartermain\n{facet}vertex 0 {depth} 0\nendloop\nendfacet\nendsolid Quartermain\n"
    );
    text.into_bytes()
}

const SHOWN: &[(&str, &str)] = &[
    ("scan_shows", "upper_jaw"),
    ("scan_unit", "millimetre"),
    ("no_face", "yes"),
];

fn request(
    path: &str,
    fields: &BTreeMap<String, String>,
    (name, scan): (&str, &[u8]),
) -> Request<Body> {
    let file = SentFile {
        key: "scan_file",
        name,
        kind: "model/stl",
        bytes: scan,
    };
    sent_file::request(path, fields, &file)
}

async fn fields_of(
    scene: &Scene,
    who: &Visitor,
    said: &[(&str, &str)],
) -> BTreeMap<String, String> {
    sent_file::fields_of(who, &scene.at("/scans"), said).await
}

async fn send(scene: &Scene, who: &Visitor, scan: &[u8], said: &[(&str, &str)]) -> Answer {
    let fields = fields_of(scene, who, said).await;
    let sent = ("Quartermain.stl", scan);
    who.ask(request(&scene.at("/scans"), &fields, sent)).await
}

/// The entry of a scan that the lab has added.
pub async fn a_scan(scene: &Scene) -> String {
    send(scene, &scene.tom, &scanned(50), SHOWN).await.is(303);
    let href = shown(scene, &scene.tom).await.remove(0);
    href.split('/').nth(4).unwrap().to_owned()
}

/// The entry of a scan for the lab that the lab has added of one of the things.
pub async fn a_scan_of(scene: &Scene, tag: &str) -> String {
    let said: Vec<_> = [SHOWN, &[("scan_item", tag), ("scan_for_lab", "yes")]].concat();
    send(scene, &scene.tom, &scanned(33), &said).await.is(303);
    let href = shown(scene, &scene.tom).await.remove(0);
    href.split('/').nth(4).unwrap().to_owned()
}

/// The addresses of the scans on the page, the newest first.
async fn shown(scene: &Scene, who: &Visitor) -> Vec<String> {
    let page = who.get(&scene.at("/scans")).await;
    page.hrefs(&scene.at("/scans/"))
}

fn folder(scene: &Scene) -> PathBuf {
    let mut folder = scene.world.database_file().into_os_string();
    folder.push(".pictures");
    PathBuf::from(folder)
}

fn lying(scene: &Scene) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder(scene)) else {
        return Vec::new();
    };
    let mut all: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    all.sort();
    all
}

async fn examined(scene: &Scene) -> examine::Examined {
    examine::examine(&scene.world.app, None).await.unwrap()
}

#[tokio::test]
async fn a_scan_is_sent_and_saved_by_both_houses_and_by_nobody_else() {
    let (scene, _) = Scene::at_the_lab().await;
    let answer = send(&scene, &scene.tom, &scanned(50), SHOWN).await;
    assert_eq!(
        answer.is(303).location(),
        scene.at("/scans?done=scan_filed")
    );
    let href = shown(&scene, &scene.dora).await.remove(0);
    for who in [&scene.dora, &scene.anna, &scene.tom] {
        let page = who.get(&scene.at("/scans")).await;
        page.sees("Upper jaw").sees("60.0 × 50.0 × 0.0 mm");
        page.sees("STL, 1 triangle, 0.1 MB").sees("tom");
        assert_eq!(page.count(".caution"), 0);
        let scan = who.get(&href).await;
        scan.is(200);
        let said = |name: &str| scan.headers[name].to_str().unwrap().to_owned();
        assert_eq!(said("content-type"), "application/octet-stream");
        assert_eq!(said("x-content-type-options"), "nosniff");
        assert_eq!(said("cache-control"), "private, no-store");
        assert!(said("content-security-policy").contains("sandbox"));
        let name = format!("{}-upper-jaw.stl", scene.number);
        assert_eq!(
            said("content-disposition"),
            format!("attachment; filename=\"{name}\"")
        );
        assert_eq!(scan.body.len(), 134);
        assert!(!scan.body.windows(5).any(|part| part == b"Quart"));
        let hash = sha256_hex(&scan.body);
        who.get(&scene.at("/history")).await.sees(&hash);
    }
    // To anybody else it is not there, and without a name nobody is told that it is.
    let sven = scene.world.person("sven");
    for path in [&href, &scene.at("/scans")] {
        sven.get(path).await.is(404);
        let asked = scene.world.nobody().get(path).await;
        assert!(
            asked.status.is_redirection() || asked.status == 401,
            "{}",
            asked.status
        );
    }
    let of_another = fields_of(&scene, &scene.tom, SHOWN).await;
    let scan = scanned(51);
    let sent = request(&scene.at("/scans"), &of_another, ("a.stl", &scan));
    sven.ask(sent).await.is(404);
    // Nor under another case, nor as what another entry is.
    let no_such = scene.at("/scans/00000000-0000-0000-0000-000000000000/file");
    scene.dora.get(&no_such).await.is(404);
    let picture = href
        .replace("/scans/", "/pictures/")
        .replace("/file", "/picture.jpg");
    scene.dora.get(&picture).await.is(404);
    scene.dora.get(&scene.at("")).await.sees("3D scans: 1");
    let found = examined(&scene).await;
    assert_eq!(
        (found.scans, found.pictures, found.faults, found.remarks),
        (1, 0, Vec::new(), Vec::new())
    );
}

/// However many somebody sends, others have their places; and for a case that is not one's own nothing is taken in.
#[tokio::test]
async fn nobody_takes_the_places_of_all_who_send_scans() {
    let (scene, _) = Scene::at_the_lab().await;
    let app = &scene.world.app;
    let mut accounts = Vec::new();
    for login in ["tom", "mara"] {
        let mut conn = app.store.read().await.unwrap();
        let account = people::account_by_login(&mut conn, login).await.unwrap();
        accounts.push(account.unwrap().id);
    }
    let mut coming = Vec::new();
    for account in &accounts {
        for _ in 0..2 {
            coming.push(SentScan::begin(app, account).await.unwrap());
        }
        assert!(SentScan::begin(app, account).await.is_err());
    }
    let answer = send(&scene, &scene.tom, &scanned(50), SHOWN).await;
    answer.is(409).sees("Several scans are coming in");
    let fields = fields_of(&scene, &scene.tom, SHOWN).await;
    let scan = scanned(51);
    let sent = request(&scene.at("/scans"), &fields, ("a.stl", &scan));
    let sven = scene.world.person("sven");
    sven.ask(sent).await.is(404);
    // Two of another person leave tom his.
    coming.drain(..2);
    send(&scene, &scene.tom, &scanned(50), SHOWN).await.is(303);
}

fn bomb() -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let relations =
        "<Relationships><Relationship Type=\"a/3dmodel\" Target=\"m\"/></Relationships>";
    for (name, content) in [
        ("_rels/.rels", relations.as_bytes()),
        ("m", &vec![b' '; 300_000_000]),
    ] {
        let how = zip::write::SimpleFileOptions::default();
        zip.start_file(name, how).unwrap();
        zip.write_all(content).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

#[tokio::test]
async fn what_is_wrong_is_said_beside_its_field_and_what_was_typed_stays() {
    let (scene, _) = Scene::at_the_lab().await;
    let said = [
        ("scan_shows", "other"),
        ("scan_unit", "inch"),
        ("scan_caption", "the upper cast"),
        ("no_face", "yes"),
    ];
    let fields = fields_of(&scene, &scene.tom, &said).await;
    let jpeg = b"\xff\xd8\xff\xe0\0\x10JFIF\0 and so on".to_vec();
    let cut_off = scanned(50)[..60].to_vec();
    let table: [(&str, Vec<u8>, &str); 7] = [
        ("upper.stl", Vec::new(), "This file is empty"),
        ("", Vec::new(), "Choose a scan."),
        ("upper.stl", jpeg, "This is no scan"),
        ("upper.ply", b"<!doctype html>".to_vec(), "This is no scan"),
        ("upper.3mf", bomb(), "far more than any scan"),
        ("upper.stl", cut_off, "damaged"),
        (
            "upper.stl",
            vec![b' '; 64 * 1024 * 1024 + 1],
            "at most 64 MB",
        ),
    ];
    for (name, scan, sees) in table {
        let sent = request(&scene.at("/scans"), &fields, (name, &scan));
        let answer = scene.tom.ask(sent).await;
        answer.is(422).sees(sees);
        assert_eq!(answer.count("#f-scan_file[aria-invalid=true]"), 1, "{sees}");
        // The word given was of that scan; what was typed stays.
        assert_eq!(answer.count("#f-no_face[checked]"), 0);
        answer.sees("the upper cast");
        assert_eq!(answer.count("option[value=inch][selected]"), 1);
    }
    let fields: Vec<(&str, &str)> = SHOWN[..2].to_vec();
    let answer = send(&scene, &scene.tom, &scanned(2), &fields).await;
    answer
        .is(422)
        .sees("A face is not kept here")
        .sees("Choose the file again: a browser sends none a second time.");
    let named: Vec<(&str, &str)> = [SHOWN, &[("scan_caption", "Müller, Anna")]].concat();
    let answer = send(&scene, &scene.tom, &scanned(2), &named).await;
    answer.is(422).sees("looks like a person");
    let elsewhere: Vec<(&str, &str)> = [SHOWN, &[("scan_item", "T00000000")]].concat();
    let answer = send(&scene, &scene.tom, &scanned(2), &elsewhere).await;
    answer.is(422).sees("There is no such item in this case.");
    assert_eq!(shown(&scene, &scene.tom).await, Vec::<String>::new());
    assert_eq!(lying(&scene), Vec::<PathBuf>::new());
}

/// What the bytes are decides: whatever it is called, a scan is taken, and what no mouth has as its size is asked about.
#[tokio::test]
async fn a_name_decides_nothing_and_a_strange_size_is_asked_about() {
    let (scene, _) = Scene::at_the_lab().await;
    let fields = fields_of(&scene, &scene.tom, SHOWN).await;
    let scan = b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n\
                 element face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n0.06 0 0\n0 0.05 0\n3 0 1 2\n";
    let sent = request(&scene.at("/scans"), &fields, ("face.jpg", scan));
    scene.tom.ask(sent).await.is(303);
    let page = scene.dora.get(&scene.at("/scans")).await;
    page.sees("0.1 × 0.1 × 0.0 mm").sees("ask in which unit");
    assert_eq!(page.count(".caution"), 1);
    assert_eq!(page.count(".caution a[href$=\"/questions\"]"), 1);
    // Whoever added it asks nobody.
    let page = scene.tom.get(&scene.at("/scans")).await;
    page.sees("add it again in the unit it was scanned in.")
        .sees_not("ask in which unit");
    assert_eq!(page.count(".caution a[href$=\"/questions\"]"), 0);
    // The same numbers in metres are a jaw.
    let mut fields = fields_of(&scene, &scene.tom, SHOWN).await;
    fields.insert("scan_unit".to_owned(), "metre".to_owned());
    let sent = request(&scene.at("/scans"), &fields, ("face.jpg", scan));
    scene.tom.ask(sent).await.is(303);
    let page = scene.dora.get(&scene.at("/scans")).await;
    page.sees("60.0 × 50.0 × 0.0 mm").sees("sent in meters");
    assert_eq!(page.count(".caution"), 1);
    let names: Vec<String> = lying(&scene)
        .iter()
        .map(|path| path.extension().unwrap().display().to_string())
        .collect();
    assert_eq!(names, ["ply", "ply"]);
}

#[tokio::test]
async fn an_erased_scan_is_gone_and_the_page_says_who_erased_it() {
    let (scene, _) = Scene::at_the_lab().await;
    for depth in [40, 41] {
        send(&scene, &scene.tom, &scanned(depth), SHOWN)
            .await
            .is(303);
    }
    let hrefs = shown(&scene, &scene.tom).await;
    let hash = sha256_hex(&scene.tom.get(&hrefs[0]).await.body);
    let page = scene.mara.get(&scene.at("/erase")).await;
    page.sees("the scan of ").sees("itself, for good");
    let ticks = page.names("text.");
    // Two of one minute without a caption are told apart by what they are.
    let html = scraper::Html::parse_document(&page.text());
    let labels = scraper::Selector::parse("label").unwrap();
    let labels = html
        .select(&labels)
        .map(|one| one.text().collect::<String>());
    let labels: std::collections::BTreeSet<String> =
        labels.filter(|one| one.contains("for good")).collect();
    assert_eq!(labels.len(), 2, "{labels:?}");
    let event = hrefs[0].split('/').nth(4).unwrap();
    let tick = ticks.iter().find(|name| name.contains(event)).unwrap();
    let said = [
        (tick.as_str(), "yes"),
        ("why", "names_patient"),
        ("password", PASSWORD),
    ];
    let path = scene.at("/erase");
    scene.mara.send(&path, &path, &said).await.is(303);
    scene.tom.get(&hrefs[0]).await.is(404);
    scene.tom.get(&hrefs[1]).await.is(200);
    let page = scene.dora.get(&scene.at("/scans")).await;
    page.sees("Erased by mara")
        .sees("because it names the patient");
    assert_eq!(lying(&scene).len(), 1);
    assert!(!scene.world.bytes_of_the_database().contains(&hash));
    let found = examined(&scene).await;
    assert_eq!(
        (found.scans, found.erased, found.faults),
        (1, 1, Vec::new())
    );
    // The same scan may come again, and is there then; a second time it is none.
    send(&scene, &scene.tom, &scanned(41), SHOWN).await.is(303);
    assert_eq!(lying(&scene).len(), 2);
    let answer = send(&scene, &scene.tom, &scanned(41), SHOWN).await;
    answer.is(422).sees("is in the case already");
    assert_eq!(examined(&scene).await.faults, Vec::new());
}

#[tokio::test]
async fn check_backup_and_proof_know_a_scan() {
    let (scene, _) = Scene::at_the_lab().await;
    for depth in [30, 31] {
        send(&scene, &scene.tom, &scanned(depth), SHOWN)
            .await
            .is(303);
    }
    let files = lying(&scene);
    let hash = sha256_hex(&std::fs::read(&files[0]).unwrap());
    let app = &scene.world.app;
    let number = CaseNumber::parse(&scene.number).unwrap();
    let case = cases::find_case(&mut app.store.read().await.unwrap(), &number).await;
    let bundle = prove::bundle(app, &case.unwrap().unwrap(), None)
        .await
        .unwrap();
    assert!(verify(&bundle, Some(app.store.key()), None).holds());
    let has_hash = |file: &Vec<u8>| file.windows(64).any(|part| part == hash.as_bytes());
    assert!(bundle.values().any(has_hash));
    let place = tempfile::tempdir().unwrap();
    let to = place.path().join("copy.sqlite");
    let Ok(Copied::Whole { examined: copy, .. }) = back_up(app, &to).await else {
        panic!("the copy is not whole");
    };
    assert_eq!(copy.scans, 2);
    let copied = std::fs::read_dir(place.path().join("copy.sqlite.pictures")).unwrap();
    assert_eq!(copied.count(), 2);
    let mut altered = std::fs::read(&files[0]).unwrap();
    altered[100] ^= 1;
    std::fs::write(&files[0], &altered).unwrap();
    std::fs::remove_file(&files[1]).unwrap();
    let found = examined(&scene).await;
    let said: Vec<&str> = found
        .faults
        .iter()
        .map(|one| one.sentence.as_str())
        .collect();
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(
        said.iter().all(|one| one.starts_with("The scan ")),
        "{said:?}"
    );
    let mut answers = Vec::new();
    for href in shown(&scene, &scene.dora).await {
        answers.push(scene.dora.get(&href).await.is(409).words());
    }
    for words in ["bytes were changed", "nobody has erased it"] {
        assert!(answers.iter().any(|one| one.contains(words)), "{answers:?}");
    }
    // The folder that is not there is told once, and is not made again.
    std::fs::rename(folder(&scene), place.path().join("moved")).unwrap();
    let found = examined(&scene).await;
    let [fault] = found.faults.as_slice() else {
        panic!("{:?}", found.faults);
    };
    assert!(fault.sentence.contains("is not there, although entries"));
    let answer = send(&scene, &scene.tom, &scanned(33), SHOWN).await;
    answer.is(503).sees("Pictures and scans are out of reach");
    assert!(!folder(&scene).exists());
    assert_eq!(shown(&scene, &scene.tom).await.len(), 2);
    // A file in its place is no folder.
    std::fs::write(folder(&scene), b"").unwrap();
    let answer = send(&scene, &scene.tom, &scanned(34), SHOWN).await;
    answer.is(503).sees("Pictures and scans are out of reach");
}

#[tokio::test]
async fn five_hundred_files_on_one_case_are_taken_as_far_as_it_holds_them() {
    let (scene, _) = Scene::at_the_lab().await;
    let path = scene.at("/scans");
    let mut fields = fields_of(&scene, &scene.tom, SHOWN).await;
    let key = fields["post_key"].clone();
    let mut taken = 0;
    for number in 0..500 {
        fields.insert("post_key".to_owned(), format!("{key}-{number}"));
        let scan = scanned(20 + number);
        let answer = scene
            .tom
            .ask(request(&path, &fields, ("a.stl", &scan)))
            .await;
        match answer.status.as_u16() {
            303 => taken += 1,
            _ => {
                answer.is(409).sees("as many as a case takes");
            }
        }
    }
    assert_eq!((taken, lying(&scene).len()), (SCANS_MOST, SCANS_MOST));
    assert_eq!(shown(&scene, &scene.tom).await.len(), SCANS_MOST);
    let found = examined(&scene).await;
    assert_eq!((found.scans, found.faults), (60, Vec::new()));
    // Of the others nothing has stayed, and nothing says that they come.
    assert_eq!(found.remarks, [""; 0]);
    assert_eq!(coming(&scene).await, []);
}

/// What is noted as being laid.
async fn coming(scene: &Scene) -> Vec<(String, String)> {
    let mut conn = scene.world.app.store.read().await.unwrap();
    pictures::coming(&mut conn).await.unwrap()
}

/// Notes that these bytes come, as a program does that is killed after it.
async fn note(scene: &Scene, hash: &str) {
    let mut tx = scene.world.app.store.begin().await.unwrap();
    let number = CaseNumber::parse(&scene.number).unwrap();
    pictures::note_coming(&mut tx, &number, hash).await.unwrap();
    tx.commit().await.unwrap();
}

#[tokio::test]
async fn what_a_killed_program_has_laid_goes_at_the_next_start_and_nothing_else() {
    let (scene, _) = Scene::at_the_lab().await;
    let (app, number) = (&scene.world.app, CaseNumber::parse(&scene.number).unwrap());
    send(&scene, &scene.tom, &scanned(50), SHOWN).await.is(303);
    let kept = lying(&scene);
    let of_entry = sha256_hex(&std::fs::read(&kept[0]).unwrap());
    let laid = sha256_hex(b"laid");
    for hash in [&of_entry, &laid, &sha256_hex(b"noted, and no more")] {
        note(&scene, hash).await;
    }
    let conn = app.store.read().await.unwrap();
    let bytes = b"laid".to_vec().into();
    let done = app.store.shelf().lay(conn, (&number, &laid), bytes).await;
    done.unwrap();
    let half = folder(&scene).join(format!("{}.{laid}.Ab3.part", scene.number));
    std::fs::write(&half, b"la").unwrap();
    // No note says of this one that this program has laid it: it may be of a newer database.
    let stray = folder(&scene).join(format!("{}.{}.stl", scene.number, sha256_hex(b"stray")));
    std::fs::write(&stray, b"stray").unwrap();
    assert_eq!(lying(&scene).len(), 4);
    let found = examined(&scene).await;
    assert_eq!(found.faults, Vec::new());
    let remarks = found.remarks.join("\n");
    for said in [
        format!("scan {laid} of case {} is being added", scene.number),
        ".part".into(),
    ] {
        assert!(remarks.contains(&said), "{remarks}");
    }
    for _ in 0..2 {
        sweep(app).await.unwrap();
        let mut left = vec![kept[0].clone(), stray.clone()];
        left.sort();
        assert_eq!(lying(&scene), left);
        assert_eq!(coming(&scene).await, []);
    }
    let found = examined(&scene).await;
    assert_eq!((found.scans, found.faults), (1, Vec::new()));
    assert_eq!(found.remarks.len(), 1, "{:?}", found.remarks);
}

#[tokio::test]
async fn a_scan_that_is_given_up_on_the_way_is_there_whole_or_not_at_all() {
    let (scene, _) = Scene::at_the_lab().await;
    for number in 0..30 {
        let fields = fields_of(&scene, &scene.tom, SHOWN).await;
        let scan = scanned(20 + usize::try_from(number).unwrap());
        let sent = scene
            .tom
            .ask(request(&scene.at("/scans"), &fields, ("a.stl", &scan)));
        let patience = std::time::Duration::from_millis(number * 2);
        tokio::time::timeout(patience, sent).await.ok();
    }
    // Whatever is still under way has its turn before long.
    for _ in 0..500 {
        if coming(&scene).await.is_empty() {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(10)).await;
    }
    assert_eq!(coming(&scene).await, []);
    let found = examined(&scene).await;
    assert_eq!((found.faults, found.remarks), (Vec::new(), Vec::new()));
    assert_eq!(lying(&scene).len(), shown(&scene, &scene.tom).await.len());
}

/// What goes with a prescription in place of an impression has a tag, a holder and the sum of its bytes, and none of that is
/// typed.
#[tokio::test]
async fn a_scan_is_an_item_of_its_own_or_the_file_of_one_that_has_none_yet() {
    let scene = Scene::signed().await;
    let tags = || async {
        let links = scene.dora.get(&scene.at("")).await.hrefs("/items/");
        links.into_iter().collect::<BTreeSet<_>>()
    };
    let before = tags().await;
    let as_item: Vec<_> = [SHOWN, &[("scan_item", "new")]].concat();
    let sent = send(&scene, &scene.dora, &scanned(50), &as_item).await;
    sent.is(303);
    let after = tags().await;
    let new = after.iter().find(|one| !before.contains(*one)).unwrap();
    let kept = scene.dora.get(&shown(&scene, &scene.dora).await[0]).await;
    let hash = sha256_hex(&kept.body);
    for who in [&scene.dora, &scene.tom] {
        let item = who.get(new).await;
        item.sees("Scan file, upper")
            .sees("Scan file added: upper jaw")
            .sees(&hash);
    }
    // One that was registered before its file was there takes it; a second scan of it changes nothing of that.
    let waiting = scene.add(&scene.dora, "scan", "lower", "here").await;
    for (depth, is_its_file) in [(40, true), (30, false)] {
        let of_it: Vec<_> = [SHOWN, &[("scan_item", waiting.as_str())]].concat();
        let sent = send(&scene, &scene.dora, &scanned(depth), &of_it).await;
        sent.is(303);
        let item = scene.dora.get(&format!("/items/{waiting}")).await.words();
        assert_eq!(item.matches("Scan file added").count(), 1, "{is_its_file}");
        assert_eq!(item.contains("Scan added"), !is_its_file);
    }
    // Where the scan is refused, no item is made.
    let again = send(&scene, &scene.dora, &scanned(50), &as_item).await;
    again.is(422).sees("This scan is in the case already");
    assert_eq!(tags().await.len(), before.len() + 2);
    assert_eq!(examined(&scene).await.faults, Vec::new());
}
