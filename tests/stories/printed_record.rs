//! Papers as witnesses: what they say of the record is read back from the file, and holds later on.

use crate::common::Answer;
use crate::pdf_text::{RAW, text_of};
use crate::scene::{LEAST, Scene};
use std::process::Command;
use vestibule::app::examine::{Examined, examine};
use vestibule::record::words::PaperRoot;

/// The text of a paper without white space, and what a telephone reads on its pages.
fn read(paper: &Answer) -> (String, Vec<String>) {
    paper.is(200);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("paper.pdf");
    std::fs::write(&file, &paper.body).unwrap();
    let tool = |name: &str, arguments: &[&str]| {
        let mut command = Command::new(name);
        command.current_dir(folder.path()).args(arguments);
        String::from_utf8(command.output().unwrap().stdout).unwrap()
    };
    let text = text_of(&paper.body, RAW);
    tool("pdftoppm", &["-r", "120", "-png", "paper.pdf", "page"]);
    let mut codes = Vec::new();
    for page in std::fs::read_dir(folder.path()).unwrap() {
        let name = page.unwrap().file_name().into_string().unwrap();
        if name.ends_with(".png") {
            codes.extend(
                tool("zbarimg", &["-q", "--raw", &name])
                    .lines()
                    .map(str::to_owned),
            );
        }
    }
    (text.split_whitespace().collect(), codes)
}

/// Size and root from a paper's code, which stands in letters on it as well.
fn root_on(paper: &Answer) -> String {
    let (text, codes) = read(paper);
    let is_root = |code: &&String| code.starts_with(|c: char| c.is_ascii_digit());
    let code = codes.iter().find(is_root).unwrap();
    assert!(text.contains(code.as_str()), "{code} is not in {text}");
    code.clone()
}

async fn examined(scene: &Scene, typed: &str) -> Examined {
    let paper = PaperRoot::parse(typed).unwrap();
    examine(&scene.world.app, Some(&paper)).await.unwrap()
}

#[tokio::test]
async fn a_slip_tells_the_record_up_to_its_own_signature_and_never_changes() {
    let scene = Scene::signed().await;
    let path = scene.at("/revisions/1/slip.pdf");
    let slip = scene.tom.get(&path).await;
    let typed = root_on(&slip);
    let first = examined(&scene, &typed).await;
    assert_eq!(first.faults, []);
    // The case and its first revision are in it, and nothing comes after that.
    let size = first.leaves;
    assert_eq!(scene.leaves().await, [size - 2, size - 1]);
    assert_eq!(typed.split(':').next(), Some(size.to_string().as_str()));
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    scene.sign(&LEAST).await.is(303);
    let printed = format!("{path}?as=printed");
    let again = scene.anna.get(&printed).await;
    assert!(slip.body == again.is(200).body, "the slip has changed");
    let later = examined(&scene, &typed).await;
    assert_eq!(later.faults, []);
    assert!(
        later
            .paper
            .unwrap()
            .contains(&format!("first {size} of this record, unchanged"))
    );
    let second = root_on(&scene.tom.get(&scene.at("/revisions/2/slip.pdf")).await);
    assert_eq!(
        second.split(':').next(),
        Some(later.leaves.to_string().as_str())
    );
    // One digit of the root typed wrong.
    let last = if typed.ends_with('0') { "1" } else { "0" };
    let wrong = format!("{}{last}", &typed[..typed.len() - 1]);
    assert_eq!(examined(&scene, &wrong).await.faults.len(), 1);
}

#[tokio::test]
async fn a_draft_slip_says_that_it_is_not_in_the_record() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    let (text, codes) = read(&scene.dora.get(&scene.at("/draft.pdf")).await);
    assert!(text.contains("Thisdraftisnotintherecord"), "{text}");
    assert!(
        codes.iter().all(|code| code.starts_with("HTTP")),
        "{codes:?}"
    );
}

#[tokio::test]
async fn custody_sheet_and_key_sheet_tell_the_record_of_their_moment() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let mut seen = Vec::new();
    for path in [
        scene.at("/history.pdf"),
        "/patients/key-sheet.pdf".to_owned(),
    ] {
        let sheet = scene.dora.get(&path).await;
        assert!(sheet.body == scene.anna.get(&path).await.body, "{path}");
        seen.push(root_on(&sheet));
        let (text, _) = read(&sheet);
        let key = scene.world.app.store.key();
        assert!(text.contains(&key.to_string()), "{path}: {text}");
        assert!(
            text.contains(&format!("Key{}:", key.id())),
            "{path}: {text}"
        );
    }
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let newer = root_on(&scene.dora.get(&scene.at("/history.pdf")).await);
    assert!(!seen.contains(&newer));
    for typed in seen.iter().chain([&newer]) {
        let found = examined(&scene, typed).await;
        assert_eq!(found.faults, [], "{typed}");
        assert!(found.paper.unwrap().contains("unchanged."), "{typed}");
    }
}

#[tokio::test]
async fn labels_and_their_test_page_name_the_record_in_short() {
    let scene = Scene::signed().await;
    scene.things().await;
    for path in [scene.at("/labels.pdf"), scene.at("/labels/test.pdf")] {
        let (text, _) = read(&scene.dora.get(&path).await);
        let (_, rest) = text.split_once("Record").unwrap();
        let (typed, rest) = rest.split_once(",key").unwrap();
        assert!(rest.starts_with(&scene.world.app.store.key().id().to_string()));
        let found = examined(&scene, typed).await;
        assert_eq!(found.faults, [], "{path}");
        assert!(found.paper.unwrap().contains("first 16 digits"), "{path}");
    }
}
