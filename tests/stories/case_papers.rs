//! Papers about a case besides its prescription, read back by a reader that is not ours.

use crate::common::{Answer, Visitor};
use crate::scene::Scene;
use std::process::Command;

/// The words of a paper and how many pages it has.
pub fn read(paper: &Answer) -> (String, usize) {
    paper.is(200);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("paper.pdf");
    std::fs::write(&file, &paper.body).unwrap();
    let mut tool = Command::new("pdftotext");
    let read = tool.args(["-layout", "-enc", "UTF-8"]).arg(&file).arg("-");
    let text = String::from_utf8(read.output().unwrap().stdout).unwrap();
    let pages = text.trim_end_matches('\u{c}').split('\u{c}').count();
    (text.split_whitespace().collect::<Vec<_>>().join(" "), pages)
}

async fn works(scene: &Scene, who: &Visitor, step: &str, more: &[(&str, &str)]) {
    let page = format!("{}?step={step}", scene.at("/bench"));
    let sent = who.send(&page, &scene.at("/bench"), more).await;
    sent.is(303);
}

/// Two steps with a lot, one without, one withdrawn.
async fn worked() -> Scene {
    let (scene, _) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    let stone = [
        ("used.0.material", "Type 3 stone"),
        ("used.0.lot", "26-0914"),
        ("worked_minutes", "38"),
    ];
    works(&scene, &scene.tom, "cast_poured", &stone).await;
    works(&scene, &scene.tom, "mounted", &stone[..2]).await;
    let resin = [("used.0.material", "Base resin")];
    works(&scene, &scene.tom, "cured", &resin).await;
    let wax = [("used.0.material", "Wax of another case")];
    works(&scene, &scene.tom, "set_up", &wax).await;
    let why = [("undone_why", "the case beside it")];
    let undo = scene.at("/bench/undo");
    scene
        .tom
        .send(&scene.at("/bench"), &undo, &why)
        .await
        .is(303);
    scene
}

#[tokio::test]
async fn what_was_done_is_listed_for_the_lab_alone_and_has_no_price() {
    let scene = worked().await;
    let path = scene.at("/done.pdf");
    let paper = scene.tom.get(&path).await;
    let (text, pages) = read(&paper);
    assert_eq!(pages, 1, "{text}");
    for words in [
        "What was done",
        "Ordered, piece by piece",
        "complete denture",
        "Cast poured and boxed",
        "38 min",
        "Time entered: 38 min. Steps without a time: 2.",
    ] {
        assert!(text.contains(words), "“{words}” is not in {text}");
    }
    assert!(!text.contains("Teeth set up"), "withdrawn: {text}");
    assert_eq!(
        scene.mara.get(&path).await.body,
        paper.body,
        "the same twice"
    );
    scene.dora.get(&path).await.is(403);
    scene.world.person("lars").get(&path).await.is(404);
}

#[tokio::test]
async fn materials_are_listed_with_their_lots_for_both_houses() {
    let scene = worked().await;
    let path = scene.at("/materials.pdf");
    let paper = scene.dora.get(&path).await;
    let (text, pages) = read(&paper);
    assert_eq!(pages, 1, "{text}");
    for words in [
        "Type 3 stone",
        "26-0914",
        "Base resin",
        "not recorded",
        "mounted",
    ] {
        assert!(text.contains(words), "“{words}” is not in {text}");
    }
    assert_eq!(text.matches("26-0914").count(), 1, "each lot once: {text}");
    assert!(!text.contains("Wax of another case"), "withdrawn: {text}");
    assert!(
        !text.contains("38 min"),
        "how long it took is the lab's own"
    );
    // Another case changes nothing of it.
    crate::scene::open_case(&scene.dora, &scene.patient, "lower").await;
    assert_eq!(scene.dora.get(&path).await.body, paper.body);
    assert_eq!(scene.tom.get(&path).await.body, paper.body);
    for login in ["sven", "lars"] {
        scene.world.person(login).get(&path).await.is(404);
    }
}

/// The eight points of Regulation (EU) 2017/745, Annex XIII, section 1 (from memory; the official text decides).
#[tokio::test]
async fn the_statement_has_its_eight_points_and_says_that_it_is_to_be_checked() {
    let scene = worked().await;
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let page = scene.tom.get(&scene.at("/history")).await;
    let path = scene.at("/statement.pdf");
    assert_eq!(page.hrefs(&path).len(), 1);
    let (text, pages) = read(&scene.tom.get(&path).await);
    assert_eq!(pages, 1, "{text}");
    let tag: String = text.chars().filter(|sign| *sign != '-').collect();
    assert!(tag.contains(&made), "{made} is not in {text}");
    for words in [
        "Check against the official text",
        "Kiln Laboratory",
        "1 Sample Street",
        "Authorised",
        "Final denture, upper",
        "exclusive use of the patient with the code",
        "dora, licence D-7001",
        "Northgate Dental",
        "heat-cured resin",
        "Annex I",
        "Medicinal",
        "Signed for the manufacturer",
        "10 years",
    ] {
        assert!(text.contains(words), "“{words}” is not in {text}");
    }
    // With a lower beside it and everything tagged, nothing runs over to a second page.
    scene
        .add(&scene.tom, "final_denture", "lower", "here")
        .await;
    let (both, pages) = read(&scene.tom.get(&path).await);
    assert_eq!(pages, 1, "{both}");
    let numbered = (1..=8).all(|number| text.contains(&format!("{number} ")));
    assert!(numbered, "{text}");
}

#[tokio::test]
async fn before_anything_is_signed_no_such_paper_is_made() {
    let scene = Scene::opened().await;
    for rest in ["/materials.pdf", "/statement.pdf", "/done.pdf"] {
        let answer = scene.tom.get(&scene.at(rest)).await;
        answer.is(409).sees("No prescription is signed yet.");
    }
    let history = scene.tom.get(&scene.at("/history")).await;
    assert_eq!(
        history.hrefs(&scene.at("/statement.pdf")),
        Vec::<String>::new()
    );
}
