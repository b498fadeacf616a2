//! The lab's side: its own cases, the slip, and its word that it works to a revision.

use crate::common::{PASSWORD, Visitor};
use crate::pdf_text::{READING, words_of};
use crate::scene::{Scene, last_part, open_case};
use vestibule::app::{sign, sign_in};

async fn acknowledge(scene: &Scene, who: &Visitor, revision: i64) -> crate::common::Answer {
    let key = format!("acknowledge-{revision}");
    who.post(
        &scene.at(&format!("/revisions/{revision}/acknowledge")),
        &[("post_key", &key)],
    )
    .await
}

#[tokio::test]
async fn a_lab_sees_the_cases_that_name_it_and_no_other() {
    let scene = Scene::opened().await;
    let (lars, sven) = (scene.world.person("lars"), scene.world.person("sven"));
    let patient = last_part(&sven.send("/patients/new", "/patients/new", &[]).await);
    let of_sven = open_case(&sven, &patient, "lower").await;
    let path = |number: &str| format!("a[href=\"/cases/{number}\"]");
    for (who, own, other) in [
        (&scene.tom, 1, 1),
        (&lars, 0, 0),
        (&scene.dora, 1, 0),
        (&sven, 0, 1),
    ] {
        let page = who.get("/").await;
        assert_eq!(
            (
                page.count(&path(&scene.number)),
                page.count(&path(&of_sven))
            ),
            (own, other)
        );
    }
    scene.dora.get(&format!("/cases/{of_sven}")).await.is(404);
}

#[tokio::test]
async fn the_slip_is_a_pdf_with_the_same_bytes_each_time_and_for_both_sides() {
    let scene = Scene::signed().await;
    let path = scene.at("/revisions/1/slip.pdf");
    let once = scene.tom.get(&path).await;
    scene.world.pass_minutes(17);
    let again = scene.dora.get(&path).await;
    assert!(once.is(200).body.starts_with(b"%PDF") && once.body == again.is(200).body);
    assert_eq!(once.headers["content-type"], "application/pdf");
    let letter = scene.tom.get(&format!("{path}?paper=letter")).await;
    assert!(letter.is(200).body.starts_with(b"%PDF") && letter.body != once.body);
    assert!(scene.tom.get(&format!("{path}?paper=a4")).await.body == once.body);
    scene.tom.get(&format!("{path}?paper=a3")).await.is(404);
    scene
        .tom
        .get(&scene.at("/revisions/2/slip.pdf"))
        .await
        .is(404);
}

#[tokio::test]
async fn a_draft_printed_by_an_assistant_names_no_prescriber() {
    let scene = Scene::signed().await;
    scene
        .write(&scene.anna, &[("shade.tab", "B-21")])
        .await
        .is(303);
    let app = &scene.world.app;
    let number = scene.number.parse().unwrap();
    for (who, name, has_licence) in [
        (&scene.anna, "not signed", false),
        (&scene.dora, "dora", true),
    ] {
        let secret = who.cookie.as_deref().unwrap().split_once('=').unwrap().1;
        let person = sign_in::person(app, secret).await.unwrap().unwrap();
        let proposal = sign::propose(app, &person, &number).await.unwrap();
        assert_eq!(proposal.document.prescriber_name, name);
        assert_eq!(
            !proposal.document.prescriber_licence.is_empty(),
            has_licence
        );
    }
}

#[tokio::test]
async fn a_draft_is_the_offices_own_and_the_lab_does_not_see_it() {
    let scene = Scene::signed().await;
    scene
        .write(&scene.anna, &[("shade.tab", "Z-99")])
        .await
        .is(303);
    assert!(
        scene
            .anna
            .get(&scene.at("/draft.pdf"))
            .await
            .is(200)
            .body
            .starts_with(b"%PDF")
    );
    scene
        .anna
        .get(&scene.at(""))
        .await
        .sees("A draft of the next revision is under way: anna wrote last");
    scene.tom.get(&scene.at("/draft.pdf")).await.is(403);
    scene.tom.whole_form(&scene.at("/write")).await.is(403);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .is(200)
        .sees_not("draft")
        .sees_not("Z-99");
    scene
        .mara
        .post(
            &scene.at("/write/autosave"),
            &[("base", "1"), ("shade.tab", "X")],
        )
        .await
        .is(403);
}

#[tokio::test]
async fn the_lab_acknowledges_the_revision_in_force_once_and_the_office_sees_it() {
    let scene = Scene::signed().await;
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("The lab has not acknowledged it yet.");
    let path = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &path, &[]).await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("The lab works to it: tom, Mon 2 Mar 2026");
    acknowledge(&scene, &scene.mara, 1)
        .await
        .is(409)
        .sees("A colleague has acknowledged this revision already.");
    assert_eq!(
        scene
            .mara
            .get(&scene.at(""))
            .await
            .count(&format!("form[action=\"{path}\"]")),
        0
    );
}

#[tokio::test]
async fn an_acknowledgement_posted_twice_is_one() {
    let scene = Scene::signed().await;
    acknowledge(&scene, &scene.tom, 1).await.is(303);
    acknowledge(&scene, &scene.tom, 1).await.is(303);
}

#[tokio::test]
async fn an_old_revision_or_one_that_is_not_signed_is_not_acknowledged() {
    let scene = Scene::signed().await;
    for revision in [0, -1, 2, 99] {
        acknowledge(&scene, &scene.tom, revision).await.is(404);
    }
    scene.sign(&[("shade.tab", "C-10")]).await.is(303);
    acknowledge(&scene, &scene.tom, 1)
        .await
        .is(409)
        .sees("Revision 2 is in force now: read it, and acknowledge that one.");
    acknowledge(&scene, &scene.tom, 2).await.is(303);
}

#[tokio::test]
async fn a_new_revision_has_to_be_acknowledged_again() {
    let scene = Scene::signed().await;
    acknowledge(&scene, &scene.tom, 1).await.is(303);
    scene.sign(&[("shade.tab", "C-10")]).await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("The lab has not acknowledged it yet.");
    acknowledge(&scene, &scene.tom, 2).await.is(303);
}

#[tokio::test]
async fn the_office_acknowledges_nothing() {
    let scene = Scene::signed().await;
    acknowledge(&scene, &scene.dora, 1)
        .await
        .is(403)
        .sees("Only the lab acknowledges a revision.");
    acknowledge(&scene, &scene.anna, 1).await.is(403);
    acknowledge(&scene, &scene.world.person("lars"), 1)
        .await
        .is(404);
}

#[tokio::test]
async fn the_lab_keeps_no_patients_opens_no_cases_and_fits_nothing() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    for path in [
        "/patients".to_owned(),
        "/patients/new".to_owned(),
        "/cases/new".to_owned(),
        scene.at("/mouth"),
    ] {
        scene.mara.get(&path).await.is(403).sees("office");
    }
    let fields = [
        ("post_key", "lab-mouth-0001"),
        ("arch", "upper"),
        ("fit", things.duplicate.as_str()),
        ("password", PASSWORD),
    ];
    scene.mara.post(&scene.at("/mouth"), &fields).await.is(403);
    let fields = [
        ("post_key", "lab-item-00001"),
        ("item_kind", "duplicate"),
        ("arch", "upper"),
        ("place", "worn"),
    ];
    scene
        .mara
        .post(&scene.at("/items/new"), &fields)
        .await
        .is(409)
        .sees("Only a denture can be in the patient's mouth");
}

#[tokio::test]
async fn the_lab_registers_what_it_makes_in_its_own_hands() {
    let scene = Scene::signed().await;
    let tag = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    for who in [&scene.tom, &scene.dora] {
        who.get(&format!("/items/{tag}"))
            .await
            .is(200)
            .sees("Final denture, upper")
            .sees("Kiln Laboratory");
    }
    scene
        .dora
        .get(&scene.at("/release"))
        .await
        .sees("Nothing can be handed over now");
}

#[tokio::test]
async fn the_lab_sees_what_is_not_said_with_the_dentists_reason_on_case_revision_and_slip() {
    let scene = Scene::signed().await;
    for rest in ["", "/revisions/1"] {
        let page = scene.tom.get(&scene.at(rest)).await;
        page.is(200)
            .sees("of 24")
            .sees("Occlusal scheme")
            .sees("as agreed");
    }
    let sheet = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await;
    let text = words_of(&sheet.is(200).body, READING);
    assert!(
        text.contains("The occlusal scheme is not named. — as agreed"),
        "{text}"
    );
    let full = scene.tom.get(&scene.at("/revisions/1/text.pdf")).await;
    let text = words_of(&full.is(200).body, READING);
    assert!(text.contains("Points that labs look for"), "{text}");
    assert!(text.contains("of 24") && text.contains("14. Occlusal scheme as agreed"));
}

#[tokio::test]
async fn the_full_text_prints_the_drawings_of_the_form_and_how_the_duplicate_was_made() {
    let scene = Scene::opened().await;
    let mut fields = crate::scene::LEAST.to_vec();
    fields.extend([
        ("anterior.midline_offset_mm", "1.5"),
        ("anterior.midline_side", "right"),
        ("changes.0.what", "left_block"),
        ("changes.0.direction", "outward"),
        ("changes.0.mm", "2"),
        ("changes.0.date", "2026-02-23"),
        ("duplicate.flask", "closed"),
        ("duplicate.upper_minutes", "6"),
        ("duplicate.sheet_minutes", "10"),
    ]);
    scene.sign(&fields).await.is(303);
    let page = scene.tom.get(&scene.at("/revisions/1")).await;
    page.is(200)
        .sees("moved by 1.5 mm to the patient’s right.")
        .sees("left bite block");
    let full = scene.tom.get(&scene.at("/revisions/1/text.pdf")).await;
    let text = words_of(&full.is(200).body, READING);
    for words in [
        "Seen from the front, not to scale. R and L are the patient’s.",
        "moved by 1.5 mm to the patient’s right.",
        "left bite block: 2 mm to the",
        "2026-02-23",
        "closed flask, both halves tight",
        "Pressure pot, time by the maker’s sheet",
        "6 min; the maker’s sheet says 10.",
    ] {
        assert!(text.contains(words), "{words} is missing in {text}");
    }
}

#[tokio::test]
async fn a_revision_from_before_the_points_were_named_still_opens() {
    let scene = Scene::signed().await;
    let app = &scene.world.app;
    let secret = scene.tom.cookie.as_deref().unwrap();
    let secret = secret.split_once('=').unwrap().1;
    let person = sign_in::person(app, secret).await.unwrap().unwrap();
    let number = scene.number.parse().unwrap();
    let view = vestibule::app::see_case::see(app, &person, &number)
        .await
        .unwrap();
    let text = &view.in_force().unwrap().document;
    let mut older: serde_json::Value = serde_json::from_str(text).unwrap();
    assert!(older.as_object_mut().unwrap().remove("missing").is_some());
    let document =
        vestibule::domain::prescription::revision::Document::from_canonical(&older.to_string());
    let document = document.unwrap();
    assert!(document.missing.is_empty() && document.score().ends_with("of 24"));
}
