//! Pictures of a case: sent as a browser sends them, seen by both houses and by nobody else, and erased for good.

use crate::common::{Answer, PASSWORD, Visitor, World};
use crate::pdf_text::{LAYOUT, words_of};
use crate::scans::a_scan;
use crate::scene::Scene;
use crate::sent_file::{self, SentFile};
use axum::body::Body;
use axum::http::{Request, header};
use std::collections::BTreeMap;
use vestibule::app::back_up::{Copied, back_up};
use vestibule::app::{examine, prove};
use vestibule::domain::custody::PICTURES_MOST;
use vestibule::domain::values::digest::sha256_hex;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::record::bundle::verify;
use vestibule::store::cases;

/// A picture of one colour, as a camera would send it, with a comment that names somebody.
pub fn taken(shade: u8) -> Vec<u8> {
    let picture = image::RgbImage::from_pixel(48, 32, image::Rgb([shade, 40, 60]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    let jpeg = image::ImageFormat::Jpeg;
    picture.write_to(&mut bytes, jpeg).unwrap();
    let mut bytes = bytes.into_inner();
    let comment = b"\xff\xfe\x00\x0dQuartermain";
    bytes.splice(2..2, comment.iter().copied());
    bytes
}

const SHOWN: &[(&str, &str)] = &[("shows", "bite_record"), ("mouth_only", "yes")];

pub fn request(path: &str, fields: &BTreeMap<String, String>, picture: &[u8]) -> Request<Body> {
    let file = SentFile {
        key: "picture",
        name: "Quartermain.jpg",
        kind: "image/jpeg",
        bytes: picture,
    };
    sent_file::request(path, fields, &file)
}

async fn fields_of(
    scene: &Scene,
    who: &Visitor,
    said: &[(&str, &str)],
) -> BTreeMap<String, String> {
    sent_file::fields_of(who, &scene.at("/pictures"), said).await
}

async fn send(scene: &Scene, who: &Visitor, picture: &[u8], said: &[(&str, &str)]) -> Answer {
    let fields = fields_of(scene, who, said).await;
    who.ask(request(&scene.at("/pictures"), &fields, picture))
        .await
}

/// A picture that is sent by the form of a page, from wherever somebody came to it.
pub async fn sent_by(page: &Answer, who: &Visitor, shade: u8, said: &[(&str, &str)]) -> Answer {
    let action = page.attribute("#add", "action");
    let key = page.attribute("#add input[name=post_key]", "value");
    let said = said.iter().copied().chain([("post_key", key.as_str())]);
    let fields = said.map(|(key, text)| (key.to_owned(), text.to_owned()));
    who.ask(request(&action, &fields.collect(), &taken(shade)))
        .await
}

/// A picture of the cast before flasking, added at the lab.
pub async fn a_cast_is_photographed(scene: &Scene, who: &Visitor) {
    let shown = [("shows", "cast_before_flasking"), ("mouth_only", "yes")];
    send(scene, who, &taken(77), &shown).await.is(303);
}

/// The entry of a picture that the lab has added, to print with the prescription.
pub async fn a_picture(scene: &Scene) -> String {
    let said: Vec<(&str, &str)> = [SHOWN, &[("for_lab", "yes")]].concat();
    send(scene, &scene.tom, &taken(100), &said).await.is(303);
    let href = shown(scene, &scene.tom).await.remove(0);
    href.split('/').nth(4).unwrap().to_owned()
}

/// The entry of a picture that the lab has added of one of the things.
pub async fn a_picture_of(scene: &Scene, (shade, tag): (u8, &str), for_lab: bool) -> String {
    let mut said = [SHOWN, &[("shown_item", tag)]].concat();
    said.extend(for_lab.then_some(("for_lab", "yes")));
    send(scene, &scene.tom, &taken(shade), &said).await.is(303);
    let href = shown(scene, &scene.tom).await.remove(0);
    href.split('/').nth(4).unwrap().to_owned()
}

/// The addresses of the pictures on the page, the newest first.
async fn shown(scene: &Scene, who: &Visitor) -> Vec<String> {
    let page = who.get(&scene.at("/pictures")).await;
    let hrefs = page.hrefs(&scene.at("/pictures/")).into_iter();
    hrefs
        .filter(|href| href.ends_with("/picture.jpg"))
        .collect()
}

fn lying(scene: &Scene) -> Vec<std::path::PathBuf> {
    let mut folder = scene.world.database_file().into_os_string();
    folder.push(".pictures");
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    entries.map(|entry| entry.unwrap().path()).collect()
}

async fn examined(scene: &Scene) -> examine::Examined {
    examine::examine(&scene.world.app, None).await.unwrap()
}

#[tokio::test]
async fn what_is_left_of_a_full_disk_goes_to_entries_and_not_to_pictures() {
    let world = World::peopled().await;
    let app = world.app.clone().with_free_warning(u64::MAX);
    let scene = Scene::opened_in(world.served(app)).await;
    let refused = send(&scene, &scene.dora, &taken(10), SHOWN).await;
    refused.is(409).sees("no room left for pictures and scans");
    assert_eq!(lying(&scene).len(), 0);
    let page = scene.at("/items/new");
    let thing = [("item_kind", "bite_record"), ("place", "here")];
    scene.dora.send(&page, &page, &thing).await.is(303);
}

#[tokio::test]
async fn a_picture_is_sent_and_seen_by_both_houses_and_by_nobody_else() {
    let (scene, _) = Scene::at_the_lab().await;
    let answer = send(&scene, &scene.tom, &taken(200), SHOWN).await;
    assert_eq!(
        answer.is(303).location(),
        scene.at("/pictures?done=pictured")
    );
    let href = shown(&scene, &scene.dora).await.remove(0);
    let small = href.replace("picture.jpg", "small.jpg");
    for who in [&scene.dora, &scene.anna, &scene.tom] {
        who.get(&scene.at("/pictures"))
            .await
            .sees("Bite record")
            .sees("tom");
        let picture = who.get(&href).await;
        picture.is(200);
        let said = |name: &str| picture.headers[name].to_str().unwrap().to_owned();
        assert_eq!(said("content-type"), "image/jpeg");
        assert_eq!(said("x-content-type-options"), "nosniff");
        assert_eq!(said("cache-control"), "private, no-cache");
        assert!(said("content-security-policy").contains("sandbox"));
        assert!(said("content-disposition").starts_with("inline; filename="));
        let read = image::load_from_memory(&picture.body).unwrap();
        assert_eq!((read.width(), read.height()), (48, 32));
        assert!(!picture.body.windows(5).any(|part| part == b"Quart"));
        let hash = sha256_hex(&picture.body);
        assert_eq!(said("etag"), format!("\"{hash}\""));
        who.get(&scene.at("/history")).await.sees(&hash);
        image::load_from_memory(&who.get(&small).await.is(200).body).unwrap();
        // Asked again, nothing is sent again.
        let again = Request::get(&href).header(header::IF_NONE_MATCH, said("etag"));
        let again = who.ask(again.body(Body::empty()).unwrap()).await;
        assert!(again.is(304).body.is_empty());
    }
    // To anybody else it is not there, and without a name nobody is told that it is.
    let sven = scene.world.person("sven");
    for path in [&href, &small, &scene.at("/pictures")] {
        sven.get(path).await.is(404);
        let asked = scene.world.nobody().get(path).await;
        assert!(
            asked.status.is_redirection() || asked.status == 401,
            "{}",
            asked.status
        );
    }
    // Nor under another case, nor as what another entry is.
    let no_such = scene.at("/pictures/00000000-0000-0000-0000-000000000000/picture.jpg");
    scene.dora.get(&no_such).await.is(404);
    scene.dora.get(&scene.at("")).await.sees("Pictures: 1");
    let found = examined(&scene).await;
    assert_eq!((found.pictures, found.faults), (1, Vec::new()));
}

#[tokio::test]
async fn what_is_wrong_is_said_beside_its_field_and_what_was_typed_stays() {
    let (scene, _) = Scene::at_the_lab().await;
    let said = [
        ("shows", "other"),
        ("caption", "the upper cast"),
        ("mouth_only", "yes"),
    ];
    let png = b"\x89PNG\r\n\x1a\nand nothing more".to_vec();
    let cut_off = taken(1)[..200].to_vec();
    let table: [(Vec<u8>, &str); 5] = [
        (Vec::new(), "This file is empty"),
        (b"<!doctype html>".to_vec(), "This is no picture"),
        (png, "damaged"),
        (cut_off, "damaged"),
        (vec![0xff; 15 * 1024 * 1024 + 1], "at most 15 MB"),
    ];
    for (picture, sees) in table {
        let answer = send(&scene, &scene.tom, &picture, &said).await;
        answer.is(422).sees(sees);
        assert_eq!(answer.count("#f-picture[aria-invalid=true]"), 1, "{sees}");
        // The word given was of that picture; what was typed stays, but what was not read.
        assert_eq!(answer.count("#f-mouth_only[checked]"), 0);
        answer.sees("the upper cast");
        assert_eq!(answer.count("option[value=other][selected]"), 1);
    }
    let fields = [("shows", "other"), ("caption", "the upper cast")];
    let answer = send(&scene, &scene.tom, &taken(2), &fields).await;
    let again = "Choose the picture again: a browser sends none a second time.";
    answer.is(422).sees("A face is not kept here").sees(again);
    let answer = send(&scene, &scene.tom, &taken(2), &[("mouth_only", "yes")]).await;
    answer.is(422).sees("Choose what it shows.").sees(again);
    // The camera of a telephone and the box beside it have a key each.
    let two: Vec<(&str, &str)> = [("shot", "another one")]
        .iter()
        .chain(SHOWN)
        .copied()
        .collect();
    let answer = send(&scene, &scene.tom, &taken(2), &two).await;
    answer
        .is(422)
        .sees("Two pictures came. Send one, then the other.");
    let elsewhere = [
        ("shown_item", "T00000000"),
        ("shows", "other"),
        ("mouth_only", "yes"),
    ];
    let answer = send(&scene, &scene.tom, &taken(2), &elsewhere).await;
    answer.is(422).sees("There is no such item in this case.");
    let cut = [("cut_left", "60"), ("cut_right", "50")];
    let cut: Vec<(&str, &str)> = cut.iter().chain(SHOWN).copied().collect();
    let answer = send(&scene, &scene.tom, &taken(2), &cut).await;
    answer.is(422).sees("nothing is left");
    assert_eq!(shown(&scene, &scene.tom).await, Vec::<String>::new());
    assert_eq!(lying(&scene), Vec::<std::path::PathBuf>::new());
}

#[tokio::test]
async fn a_picture_is_kept_once_whoever_sends_it_again() {
    let (scene, _) = Scene::at_the_lab().await;
    let fields = fields_of(&scene, &scene.tom, SHOWN).await;
    let path = scene.at("/pictures");
    // The same post twice at once is one picture.
    let (one, other) = tokio::join!(
        scene.tom.ask(request(&path, &fields, &taken(7))),
        scene.tom.ask(request(&path, &fields, &taken(7)))
    );
    one.is(303);
    other.is(303);
    assert_eq!(shown(&scene, &scene.tom).await.len(), 1);
    // The same picture once more is none.
    let answer = send(&scene, &scene.dora, &taken(7), SHOWN).await;
    answer.is(422).sees("is in the case already");
    // Two at once, each with its own.
    let (eight, nine) = (taken(8), taken(9));
    let (one, other) = tokio::join!(
        send(&scene, &scene.tom, &eight, SHOWN),
        send(&scene, &scene.anna, &nine, SHOWN)
    );
    one.is(303);
    other.is(303);
    assert_eq!(shown(&scene, &scene.tom).await.len(), 3);
    assert_eq!(lying(&scene).len(), 3);
    let found = examined(&scene).await;
    assert_eq!(
        (found.pictures, found.faults, found.remarks),
        (3, Vec::new(), Vec::new())
    );
}

#[tokio::test]
async fn an_erased_picture_is_gone_and_the_page_says_who_erased_it() {
    let (scene, _) = Scene::at_the_lab().await;
    for shade in [20, 21] {
        send(&scene, &scene.tom, &taken(shade), SHOWN).await.is(303);
    }
    let hrefs = shown(&scene, &scene.tom).await;
    let hash = sha256_hex(&scene.tom.get(&hrefs[0]).await.body);
    let page = scene.mara.get(&scene.at("/erase")).await;
    page.sees("the picture itself, for good");
    let ticks = page.names("text.");
    let event = hrefs[0].split('/').nth(4).unwrap();
    let tick = ticks.iter().find(|name| name.contains(event)).unwrap();
    let said = [
        (tick.as_str(), "yes"),
        ("why", "names_patient"),
        ("password", PASSWORD),
    ];
    // The office's people cannot: it is the lab's.
    let path = scene.at("/erase");
    let of_another: Vec<(&str, &str)> = said
        .iter()
        .copied()
        .chain([("post_key", "of-the-office")])
        .collect();
    scene.dora.post(&path, &of_another).await.is(409);
    scene.mara.send(&path, &path, &said).await.is(303);
    let small = hrefs[0].replace("picture.jpg", "small.jpg");
    for gone in [&hrefs[0], &small] {
        scene.tom.get(gone).await.is(404);
    }
    scene.tom.get(&hrefs[1]).await.is(200);
    scene
        .dora
        .get(&scene.at("/pictures"))
        .await
        .sees("Erased by mara")
        .sees("because it names the patient");
    assert_eq!(lying(&scene).len(), 1);
    assert!(!scene.world.bytes_of_the_database().contains(&hash));
    let found = examined(&scene).await;
    assert_eq!(
        (found.pictures, found.erased, found.faults),
        (1, 1, Vec::new())
    );
    // The same picture may come again, and is there then.
    send(&scene, &scene.tom, &taken(21), SHOWN).await.is(303);
    assert_eq!(lying(&scene).len(), 2);
    assert_eq!(examined(&scene).await.faults, Vec::new());
}

#[tokio::test]
async fn check_names_what_is_missing_altered_or_stray_and_a_proof_has_the_hash() {
    let (scene, _) = Scene::at_the_lab().await;
    for shade in [30, 31, 32] {
        send(&scene, &scene.tom, &taken(shade), SHOWN).await.is(303);
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
    let mut altered = std::fs::read(&files[0]).unwrap();
    let last = altered.len() - 3;
    altered[last] ^= 1;
    std::fs::write(&files[0], &altered).unwrap();
    std::fs::write(&files[1], b"").unwrap();
    std::fs::remove_file(&files[2]).unwrap();
    let folder = files[0].parent().unwrap();
    std::fs::write(folder.join("C3333333F.00.jpg"), b"x").unwrap();
    std::fs::write(folder.join("C3333333F.00.part"), b"x").unwrap();
    // Nobody is shown another picture for it.
    let hrefs = shown(&scene, &scene.dora).await;
    let mut answers = Vec::new();
    for href in &hrefs {
        answers.push(scene.dora.get(href).await.is(409).words());
    }
    for words in ["bytes were changed", "nobody has erased it"] {
        assert!(answers.iter().any(|one| one.contains(words)), "{answers:?}");
    }
    let found = examined(&scene).await;
    let mut said: Vec<String> = found
        .faults
        .iter()
        .map(|fault| fault.sentence.clone())
        .collect();
    said.sort_by_key(|sentence| sentence.contains("another SHA-256"));
    assert_eq!(said.len(), 3, "{said:?}");
    for words in ["has 0 bytes", "is not there", "to another SHA-256"] {
        assert!(
            said.iter().any(|one| one.contains(words)),
            "{words}: {said:?}"
        );
    }
    assert!(found.faults.iter().all(|fault| fault.leaf.is_some()));
    assert_eq!(found.remarks.len(), 2, "{:?}", found.remarks);
}

#[tokio::test]
async fn a_case_holds_so_many_pictures_and_says_so() {
    let (scene, _) = Scene::at_the_lab().await;
    let path = scene.at("/pictures");
    // The number in black and white, a bit for each square of eight pixels.
    let picture = |number: usize| {
        let shade = |x: u32| if number >> (x / 8) & 1 == 1 { 230 } else { 20 };
        let one = image::RgbImage::from_fn(72, 8, |x, _| image::Rgb([shade(x); 3]));
        let mut bytes = std::io::Cursor::new(Vec::new());
        one.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
        bytes.into_inner()
    };
    let mut fields = fields_of(&scene, &scene.tom, SHOWN).await;
    let key = fields["post_key"].clone();
    for number in 0..PICTURES_MOST {
        fields.insert("post_key".to_owned(), format!("{key}-{number}"));
        let answer = scene
            .tom
            .ask(request(&path, &fields, &picture(number)))
            .await;
        answer.is(303);
    }
    fields.insert("post_key".to_owned(), format!("{key}-last"));
    let answer = scene
        .tom
        .ask(request(&path, &fields, &picture(PICTURES_MOST)))
        .await;
    answer.is(409).sees("as many as a case takes");
    assert_eq!(lying(&scene).len(), PICTURES_MOST);
    // The page of the case stays as it is: one row of them, folded.
    let case = scene.tom.get(&scene.at("")).await;
    assert_eq!(case.count(".picture-row img"), 8);
    // The newest stand first, and the ways lead through all of them; no page of the case grows with them.
    let (mut all, mut next) = (shown(&scene, &scene.tom).await, Some(path.clone()));
    assert_eq!(all.len(), 40);
    all.clear();
    while let Some(page) = next {
        let page = scene.tom.get(&page).await;
        page.is(200).sees("200 of at most 200, the newest first");
        let hrefs = page.hrefs(&scene.at("/pictures/")).into_iter();
        all.extend(hrefs.filter(|href| href.ends_with("/picture.jpg")));
        let number = all.len() / 40;
        let further = format!("{path}?page={number}");
        next = Some(further).filter(|further| page.hrefs(further).contains(further));
    }
    all.sort();
    all.dedup();
    assert_eq!(all.len(), PICTURES_MOST);
    for page in [
        "/pictures",
        "/pictures?page=4",
        "/erase",
        "/erase?page=1",
        "/history",
        "/history?page=1",
    ] {
        let size = scene.mara.get(&scene.at(page)).await.is(200).body.len();
        assert!(size <= 100 * 1024, "{page} has {size} bytes");
    }
    // One entry is a line, and a page has no more of them than are looked through.
    let erase = scene.mara.get(&scene.at("/erase")).await;
    assert_eq!(erase.count("details.erasable:not([open])"), 20);
    erase.sees("Erase page by page").sees("Show the older ones");
    let oldest = scene.tom.get(&scene.at("/history?page=1")).await;
    oldest
        .sees("Show the newer ones")
        .sees_not("Show the older ones");
}

#[tokio::test]
async fn a_backup_has_the_pictures_that_its_entries_name() {
    let (scene, _) = Scene::at_the_lab().await;
    for shade in [40, 41] {
        send(&scene, &scene.tom, &taken(shade), SHOWN).await.is(303);
    }
    let files = lying(&scene);
    let name = |path: &std::path::Path| path.file_name().unwrap().to_owned();
    let mut names: Vec<_> = files.iter().map(|file| name(file)).collect();
    names.sort();
    let stray = files[0].with_file_name(format!("{}.00.jpg", scene.number));
    std::fs::write(&stray, b"x").unwrap();
    let place = tempfile::tempdir().unwrap();
    let to = place.path().join("copy.sqlite");
    let app = &scene.world.app;
    let Ok(Copied::Whole { examined, .. }) = back_up(app, &to).await else {
        panic!("the copy is not whole");
    };
    assert_eq!(examined.pictures, 2);
    let mut lie: Vec<_> = std::fs::read_dir(place.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    lie.sort();
    assert_eq!(lie, ["copy.sqlite", "copy.sqlite.pictures"]);
    let copied = std::fs::read_dir(place.path().join("copy.sqlite.pictures")).unwrap();
    let mut copied: Vec<_> = copied.map(|entry| entry.unwrap().file_name()).collect();
    copied.sort();
    assert_eq!(copied, names, "the stray is left out");
    // A folder of that name is not written over, and a copy without one of its pictures is none.
    std::fs::remove_file(&to).unwrap();
    let again = back_up(app, &to).await.unwrap_err().to_string();
    assert!(
        again.contains("copy.sqlite.pictures is there already"),
        "{again}"
    );
    std::fs::remove_file(&files[0]).unwrap();
    let other = place.path().join("other.sqlite");
    let Ok(Copied::Faulty { examined, .. }) = back_up(app, &other).await else {
        panic!("a picture is missing, and nobody has noticed");
    };
    assert!(examined.faults[0].sentence.contains("is not there"));
}

#[tokio::test]
async fn a_face_is_cut_off_or_covered_while_the_picture_is_written_again_and_is_nowhere_else() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.tom.get(&scene.at("/pictures")).await;
    // Without a script the edges are typed.
    for edge in ["left", "right", "top", "bottom", "covers"] {
        assert_eq!(page.count(&format!("#add .cut input[name=cut_{edge}]")), 1);
    }
    // Red on the left half, blue on the right.
    let image = image::RgbImage::from_fn(64, 32, |x, _| {
        let colours = if x < 32 { [220, 20, 20] } else { [20, 20, 220] };
        image::Rgb(colours)
    });
    let mut sent = std::io::Cursor::new(Vec::new());
    image.write_to(&mut sent, image::ImageFormat::Png).unwrap();
    let sent = sent.into_inner();
    let cut: &[(&str, &str)] = &[("cut_left", "50")];
    let cover: &[(&str, &str)] = &[("cut_right", "50"), ("cut_covers", "yes")];
    for (edges, size) in [(cut, (32, 32)), (cover, (64, 32))] {
        let said: Vec<(&str, &str)> = [SHOWN, edges].concat();
        send(&scene, &scene.tom, &sent, &said).await.is(303);
        let href = shown(&scene, &scene.tom).await.remove(0);
        let kept = scene.dora.get(&href).await.body;
        let kept = image::load_from_memory(&kept).unwrap().into_rgb8();
        assert_eq!((kept.width(), kept.height()), size);
        let is_red = |pixel: &image::Rgb<u8>| pixel.0[0] > pixel.0[2].saturating_add(40);
        assert!(!kept.pixels().any(is_red), "{edges:?}");
    }
    assert_eq!(lying(&scene).len(), 2);
    let said: Vec<(&str, &str)> = [SHOWN, &[("cut_covers", "yes")]].concat();
    let answer = send(&scene, &scene.tom, &sent, &said).await;
    answer.is(422).sees("Say which part is covered");
}

#[tokio::test]
async fn pictures_for_the_lab_print_two_on_a_page_and_an_erased_one_leaves_a_line() {
    let (scene, _) = Scene::at_the_lab().await;
    let path = scene.at("/pictures.pdf");
    scene
        .tom
        .get(&path)
        .await
        .is(409)
        .sees("is marked to print");
    send(&scene, &scene.tom, &taken(9), SHOWN).await.is(303);
    scene.tom.get(&path).await.is(409);
    let sheet = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await.body;
    for shade in [60, 90, 120] {
        let caption = format!("number {shade}");
        let more: &[(&str, &str)] = &[("for_lab", "yes"), ("caption", &caption)];
        let said: Vec<(&str, &str)> = [SHOWN, more].concat();
        send(&scene, &scene.dora, &taken(shade), &said)
            .await
            .is(303);
    }
    let page = scene.tom.get(&scene.at("/pictures")).await;
    page.sees("Prints with the full text.");
    let page = scene.mara.get(&scene.at("/erase")).await;
    // Each entry shows which picture it is; the office's are for the office to erase.
    assert_eq!(page.count("img.small-picture"), 1);
    let first = scene.tom.get(&path).await;
    let (text, images) = read(&first.is(200).body);
    for words in [
        "number 60",
        "number 90",
        "number 120",
        "Bite record",
        "dora",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    // Two on the first page, one on the second.
    assert_eq!(images, ["1", "1", "2"]);
    assert_eq!(
        scene.tom.get(&path).await.body,
        first.body,
        "the same bytes"
    );
    // The sheet is what was signed.
    let again = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await;
    assert_eq!(again.body, sheet);
    scene.world.person("sven").get(&path).await.is(404);
    let ticks = scene.dora.get(&scene.at("/erase")).await;
    ticks.sees("the picture itself, for good: “number 90”");
    let href = shown(&scene, &scene.dora).await.remove(1);
    let event = href.split('/').nth(4).unwrap();
    let names = ticks.names("text.");
    let mut names = names.iter().filter(|name| name.contains(event));
    // The picture stands before its caption.
    let tick = names.next().unwrap();
    let said = [
        (tick.as_str(), "yes"),
        ("why", "names_patient"),
        ("password", PASSWORD),
    ];
    let erase = scene.at("/erase");
    scene.dora.send(&erase, &erase, &said).await.is(303);
    let (text, images) = read(&scene.tom.get(&path).await.is(200).body);
    assert!(text.contains("Erased by dora"), "{text}");
    assert_eq!(images.len(), 2);
}

#[tokio::test]
async fn for_the_lab_is_said_later_and_taken_back_by_the_house_that_added_it() {
    let (scene, _) = Scene::at_the_lab().await;
    let (page, scans) = (scene.at("/pictures"), scene.at("/scans"));
    let text = scene.at("/revisions/1/text.pdf");
    let bare = scene.tom.get(&text).await.is(200).body.clone();
    send(&scene, &scene.dora, &taken(70), SHOWN).await.is(303);
    let href = shown(&scene, &scene.dora).await.remove(0);
    let mark = href.replace("picture.jpg", "for-lab");
    let mark_scan = scene.at(&format!("/scans/{}/for-lab", a_scan(&scene).await));
    // As long as nothing is for the lab, the full text is what was signed and nothing else.
    assert_eq!(scene.tom.get(&text).await.body, bare);
    for (who, own) in [
        (&scene.anna, true),
        (&scene.dora, true),
        (&scene.tom, false),
    ] {
        for (path, action, is_own) in [(&page, &mark, own), (&scans, &mark_scan, !own)] {
            let shown = who.get(path).await;
            let forms = shown.count(&format!("form[action=\"{action}\"]"));
            assert_eq!(forms == 1, is_own, "{action}");
        }
    }
    let yes = [("marked_for_lab", "yes")];
    let again = [yes[0], ("post_key", "a-key-of-another")];
    let refused = scene.tom.post(&mark, &again).await;
    refused.is(409).sees("Only the side that added it");
    scene.world.person("sven").post(&mark, &again).await.is(404);
    let no_such = mark.replace(href.split('/').nth(4).unwrap(), "no-such-entry");
    scene.dora.post(&no_such, &again).await.is(404);
    let marked = scene.anna.send(&page, &mark, &yes).await;
    assert_eq!(marked.is(303).location(), scene.at("/pictures?done=marked"));
    scene
        .tom
        .get(&page)
        .await
        .sees("Prints with the full text.");
    scene.tom.get(&scene.at("/pictures.pdf")).await.is(200);
    let refused = scene.anna.post(&mark, &again).await;
    refused.is(409).sees("It is for the lab already");
    scene.tom.send(&scans, &mark_scan, &yes).await.is(303);
    scene.dora.get(&scans).await.sees("For the lab.");
    // Whoever has the paper only is told of both, and sees the picture on a page behind it.
    let full = scene.tom.get(&text).await;
    let (words, images) = read(&full.is(200).body);
    for said in [
        "Pictures and scans for the laboratory",
        "With the case: 1 picture and 1 scan; pictures are printed behind this text.",
        "Pictures for the laboratory",
        "Picture: bite record",
        "Scan: upper jaw",
        "2026-03-02",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    assert_eq!(images.len(), 1);
    let (_, before) = read(&bare);
    assert!(before.is_empty());
    assert_eq!(
        scene.dora.get(&text).await.body,
        full.body,
        "the same bytes"
    );
    let printed = scene.tom.get(&format!("{text}?as=printed")).await;
    assert_eq!(printed.body, bare);
    // An entry about something else changes nothing of it.
    send(&scene, &scene.tom, &taken(71), SHOWN).await.is(303);
    assert_eq!(scene.tom.get(&text).await.body, full.body);
    let no = [("marked_for_lab", "no")];
    scene.dora.send(&page, &mark, &no).await.is(303);
    scene.tom.get(&scene.at("/pictures.pdf")).await.is(409);
    let (words, images) = read(&scene.tom.get(&text).await.body);
    assert!(
        words.contains("With the case: 1 scan. Not") && images.is_empty(),
        "{words}"
    );
    scene.mara.send(&scans, &mark_scan, &no).await.is(303);
    assert_eq!(scene.tom.get(&text).await.body, bare);
    let history = scene.anna.get(&scene.at("/history")).await;
    history.sees("for the lab, to print with the prescription");
    history.sees("not for the lab any more");
    assert_eq!(examined(&scene).await.faults, Vec::new());
}

/// The words of a paper, and the page of each picture in it, by pdftotext and pdfimages.
fn read(paper: &[u8]) -> (String, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("paper.pdf");
    std::fs::write(&file, paper).unwrap();
    let mut tool = std::process::Command::new("pdfimages");
    let done = tool.arg("-list").arg(&file).output().unwrap();
    assert!(done.status.success(), "{done:?}");
    let images = String::from_utf8(done.stdout).unwrap();
    // A line each below two of headings: page, number, type, width, height, colours.
    let lines = images.lines().skip(2).map(|line| {
        let words: Vec<&str> = line.split_whitespace().collect();
        assert_eq!(words[2..6], ["image", "48", "32", "rgb"], "{line}");
        words[0].to_owned()
    });
    (words_of(paper, LAYOUT), lines.collect())
}

/// What stands open on the page of questions: its question, and the pictures that are shown with one.
async fn asked(scene: &Scene, who: &Visitor) -> (String, Vec<String>) {
    let page = who.get(&scene.at("/questions")).await;
    let shown = page.hrefs(&scene.at("/pictures/")).into_iter();
    let id = page.attribute("article[id^=q-]", "id");
    (id.trim_start_matches("q-").to_owned(), shown.collect())
}

/// The camera stands in the form of the question: a picture, the word that no face is in it, and nothing else to type.
#[tokio::test]
async fn a_question_and_its_picture_are_one_post_and_both_are_entered_or_neither() {
    let (scene, _) = Scene::at_the_lab().await;
    let (page, ask) = (scene.at("/questions"), scene.at("/ask"));
    let with = |said: &'static [(&'static str, &'static str)], picture: Vec<u8>| {
        let (scene, page, ask) = (&scene, &page, &ask);
        async move {
            let form = scene.tom.get(page).await.form(page, ask, "matter");
            let mut fields: BTreeMap<String, String> = form.into_iter().collect();
            fields.extend(
                said.iter()
                    .map(|(key, text)| ((*key).to_owned(), (*text).to_owned())),
            );
            scene.tom.ask(request(ask, &fields, &picture)).await
        }
    };
    let no_word = with(&[("matter", "unclear")], taken(90)).await;
    no_word.is(422).sees("Tick this if it is so.");
    no_word.sees("Choose the picture again");
    let broken = with(
        &[("matter", "unclear"), ("mouth_only", "yes")],
        b"no picture".to_vec(),
    );
    broken.await.is(422);
    let alone = with(&[("matter", "other"), ("mouth_only", "yes")], taken(90)).await;
    alone.is(422).sees("nothing else says it");
    assert_eq!(shown(&scene, &scene.tom).await.len(), 0);
    assert_eq!(lying(&scene).len(), 0);
    scene.dora.get(&page).await.sees("Nothing is open.");
    // Whoever was signed out meanwhile gets the words back, if not the picture.
    let fields = [
        ("post_key", "ask-key-0001"),
        ("question", "which of the two?"),
    ];
    let fields = fields.map(|(key, text)| (key.to_owned(), text.to_owned()));
    let nobody = scene.world.nobody();
    let late = nobody.ask(request(&ask, &fields.into_iter().collect(), &taken(91)));
    late.await.is(401).sees("which of the two?");
    let sent = with(&[("matter", "unclear"), ("mouth_only", "yes")], taken(90)).await;
    assert_eq!(sent.is(303).location(), scene.at("/questions?done=asked"));
    assert_eq!(shown(&scene, &scene.tom).await.len(), 1);
    let small = format!("article[id^=q-] img[src^='{}']", scene.at("/pictures/"));
    assert_eq!(scene.dora.get(&page).await.count(&small), 1);
    assert_eq!(examined(&scene).await.faults, []);
}

/// A call is written down in the same form as a question: one picture of the case, or one that is taken now.
#[tokio::test]
async fn a_call_and_its_picture_are_one_post_and_both_are_entered_or_neither() {
    const SAID: &[(&str, &str)] = &[("spoke_with", "D. S."), ("call_said", "to this line")];
    const WHOLE: &[(&str, &str)] = &[SAID[0], SAID[1], ("mouth_only", "yes")];
    let (scene, _) = Scene::at_the_lab().await;
    let (page, call) = (scene.at("/questions"), scene.at("/telephoned"));
    let form = scene.tom.get(&page).await;
    assert_eq!(form.count("#call input[type=file]"), 2);
    // Ids stand once on the page, though two forms take a picture.
    for id in [
        "f-picture",
        "f-call-picture",
        "f-mouth_only",
        "f-call-mouth_only",
    ] {
        assert_eq!(form.count(&format!("[id='{id}']")), 1, "{id}");
    }
    let with = |said: &'static [(&'static str, &'static str)], shade: u8| {
        let (scene, page, call) = (&scene, &page, &call);
        async move {
            let form = scene.tom.get(page).await.form(page, call, "call_said");
            let mut fields: BTreeMap<String, String> = form.into_iter().collect();
            let said = said.iter();
            fields.extend(said.map(|(key, text)| ((*key).to_owned(), (*text).to_owned())));
            scene.tom.ask(request(call, &fields, &taken(shade))).await
        }
    };
    let no_word = with(SAID, 90).await;
    no_word
        .is(422)
        .sees("Tick this if it is so.")
        .sees("Choose the picture again")
        .sees("to this line");
    assert_eq!(no_word.count("#call details[open] details[open]"), 1);
    assert_eq!(no_word.count("#ask details details[open]"), 0);
    let unsaid = with(&[("spoke_with", "D. S."), ("mouth_only", "yes")], 90);
    unsaid.await.is(422).sees("Write what was said.");
    assert_eq!(lying(&scene).len(), 0);
    let sent = with(WHOLE, 90).await;
    assert_eq!(
        sent.is(303).location(),
        scene.at("/questions?done=telephoned")
    );
    let small = format!("article[id^=c-] img[src^='{}']", scene.at("/pictures/"));
    for who in [&scene.dora, &scene.tom] {
        assert_eq!(who.get(&page).await.count(&small), 1);
    }
    // One of the case is chosen for another call, and not beside one that is sent.
    let there = scene.tom.get(&page).await;
    let there = there.option_value("call_picture", "What a question is about");
    let chosen = [SAID[0], SAID[1], ("call_picture", there.as_str())];
    scene.tom.send(&page, &call, &chosen).await.is(303);
    assert_eq!(scene.dora.get(&page).await.count(&small), 2);
    let history = scene.dora.get(&scene.at("/history")).await;
    history
        .sees("Telephone call written down")
        .sees("With a picture");
    assert_eq!(shown(&scene, &scene.tom).await.len(), 1);
    assert_eq!(examined(&scene).await.faults, []);
}

#[tokio::test]
async fn a_picture_goes_with_a_question_and_its_erasing_leaves_the_question_whole() {
    let (scene, _) = Scene::at_the_lab().await;
    let (page, ask) = (scene.at("/questions"), scene.at("/ask"));
    // Without a picture there is none to choose; one is added to what is asked already.
    let form = scene.tom.get(&page).await;
    assert_eq!(form.count("select[name=asked_picture]"), 0);
    let question = [("matter", "unclear"), ("question", "is this the border?")];
    scene.tom.send(&page, &ask, &question).await.is(303);
    let (id, none) = asked(&scene, &scene.tom).await;
    assert!(none.is_empty());
    let adds = scene.at("/pictures?back=questions");
    let leads = scene.tom.get(&page).await.hrefs(&adds).remove(0);
    assert_eq!(leads, format!("{adds}&question={id}#add"));
    let camera = scene.tom.get(leads.split('#').next().unwrap()).await;
    camera
        .sees("For the question:")
        .sees("is this the border?")
        .sees("no face, and no name in it");
    assert_eq!(camera.count("#add input[capture=environment]"), 1);
    let carried = camera.attribute("#add input[name=of_question]", "value");
    assert_eq!(carried, id);
    let said = |picture: &'static [(&'static str, &'static str)]| {
        let mut said = picture.to_vec();
        said.push(("of_question", id.as_str()));
        said
    };
    // What is wrong comes back with its question.
    let without_word = said(&[("shows", "other")]);
    let back = send(&scene, &scene.tom, &taken(90), &without_word).await;
    back.is(422).sees("For the question:");
    let added = send(&scene, &scene.tom, &taken(90), &said(SHOWN)).await;
    assert_eq!(
        added.is(303).location(),
        scene.at(&format!("/questions?done=shown#q-{id}"))
    );
    for who in [&scene.dora, &scene.anna, &scene.tom] {
        assert_eq!(asked(&scene, who).await.1.len(), 1);
    }
    // The office shows one with its answer: one that is there, or the next one.
    let choice = scene.dora.get(&page).await;
    let there = choice.option_value("answer_picture", "Bite record");
    let odd = [
        ("answer", "to the line"),
        ("answer_picture", "no such picture"),
    ];
    let answer = scene.at("/answer");
    let back = scene.dora.send(&page, &answer, &odd).await;
    back.is(422)
        .sees("This picture is not there any more")
        .sees("to the line");
    let good = [
        ("answer", "to the line"),
        ("answer_picture", there.as_str()),
        ("go", "picture"),
    ];
    let leads = scene.dora.send(&page, &answer, &good).await;
    assert!(leads.is(303).location().contains(&id));
    send(&scene, &scene.dora, &taken(30), &said(SHOWN))
        .await
        .is(303);
    assert_eq!(asked(&scene, &scene.tom).await.1.len(), 2);
    // One that is chosen while asking.
    let chosen = [
        ("matter", "other"),
        ("question", "and this one?"),
        ("asked_picture", there.as_str()),
    ];
    scene.tom.send(&page, &ask, &chosen).await.is(303);
    assert_eq!(asked(&scene, &scene.dora).await.1.len(), 3);
    // Once erased it is shown nowhere, and the words stay.
    let erase = scene.at("/erase");
    let ticks = scene.mara.get(&erase).await.names("text.");
    let tick = ticks.iter().find(|name| name.contains(&there)).unwrap();
    let fields = [
        (tick.as_str(), "yes"),
        ("why", "asked"),
        ("password", PASSWORD),
    ];
    scene.mara.send(&erase, &erase, &fields).await.is(303);
    let left = scene.tom.get(&page).await;
    left.sees("is this the border?")
        .sees("to the line")
        .sees("and this one?")
        .sees("No picture")
        .sees("Erased by mara");
    assert_eq!(asked(&scene, &scene.tom).await.1.len(), 1);
    // Neither is it a choice any more.
    let again = [
        ("matter", "other"),
        ("question", "and again?"),
        ("asked_picture", there.as_str()),
    ];
    let back = scene.tom.send(&page, &ask, &again).await;
    back.is(422).sees("This picture is not there any more");
    assert_eq!(examined(&scene).await.faults, []);
}
