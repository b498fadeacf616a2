//! What the patient reports: complaints lead to causes, remedies and the fields of the form.

use crate::scene::{LEAST, Scene};
use scraper::{Html, Selector};
use std::collections::BTreeSet;

#[tokio::test]
async fn biting_the_tongue_leads_to_teeth_that_stand_too_far_to_the_tongue() {
    let scene = Scene::opened().await;
    let page = scene.anna.get(&scene.at("/reported?c1=yes")).await;
    page.is(200)
        .sees("Lower posterior teeth and bite block stand too far to the tongue side");
    page.sees("Set posterior teeth and bite block further out, to the cheek side");
    page.sees("Source: McCord and Grant, from memory")
        .sees("not a diagnosis");
    let to_block = format!(
        "a[href=\"{}\"]",
        scene.at("/write?at=posterior#f-posterior-block_shape")
    );
    let to_changes = format!(
        "a[href=\"{}\"]",
        scene.at("/write?at=changes#f-changes-0-what")
    );
    assert_eq!((page.count(&to_block), page.count(&to_changes)), (1, 1));
    // A list leads to its next empty row.
    let filled = [("changes.0.what", "lower_left_back"), ("changes.0.mm", "1")];
    scene.write(&scene.dora, &filled).await.is(303);
    let page = scene.anna.get(&scene.at("/reported?c1=yes")).await;
    assert_eq!(
        page.count("a[href$=\"/write?at=changes#f-changes-1-what\"]"),
        1
    );
}

#[tokio::test]
async fn every_complaint_leads_to_boxes_that_are_in_the_form() {
    let scene = Scene::opened().await;
    let all: Vec<String> = (1..=36).map(|number| format!("c{number}=yes")).collect();
    let page = scene
        .dora
        .get(&scene.at(&format!("/reported?{}", all.join("&"))))
        .await;
    assert_eq!(page.is(200).count("section[id^=\"c-\"]"), 36);
    let html = Html::parse_document(&page.text());
    let link = Selector::parse("a[href*=\"/write?at=\"]").unwrap();
    let ids: BTreeSet<&str> = html
        .select(&link)
        .filter_map(|one| one.value().attr("href")?.split('#').nth(1))
        .collect();
    assert!(ids.len() > 30, "{ids:?}");
    let form = scene.dora.whole_form(&scene.at("/write")).await;
    for id in ids {
        let boxes = format!("input[id=\"{id}\"], select[id=\"{id}\"], textarea[id=\"{id}\"]");
        assert_eq!(form.count(&boxes), 1, "{id}");
    }
}

#[tokio::test]
async fn complaints_are_found_by_words_and_what_is_ticked_stays() {
    let scene = Scene::opened().await;
    let ticks = |path: &'static str| {
        let scene = &scene;
        async move {
            scene
                .dora
                .get(&scene.at(path))
                .await
                .is(200)
                .count("input[type=checkbox]")
        }
    };
    assert_eq!(ticks("/reported").await, 36);
    assert_eq!(ticks("/reported?words=bites+the+tongue").await, 1);
    assert_eq!(ticks("/reported?words=bites+the+tongue&c36=yes").await, 2);
    let none = scene.dora.get(&scene.at("/reported?words=%3Cb%3E")).await;
    none.is(200)
        .sees("No complaint, cause or remedy has these words.");
    scene
        .dora
        .get(&scene.at("/reported?c0=yes&c37=yes&c01=yes"))
        .await
        .is(200);
}

#[tokio::test]
async fn a_remedy_is_put_behind_the_remarks_and_only_once() {
    let scene = Scene::opened().await;
    let path = scene.at("/reported");
    scene
        .write(&scene.dora, &[("remarks.remarks", "As agreed.")])
        .await
        .is(303);
    let page = format!("{path}?c1=yes");
    for _ in 0..2 {
        let answer = scene
            .anna
            .send_where(&page, &path, "value=\"0\"", &[])
            .await;
        assert_eq!(
            answer.is(303).location(),
            scene.at("/write?at=remarks&done=taken#f-remarks-remarks")
        );
    }
    let taken = scene.at("/write?at=remarks&done=taken");
    let form = scene.dora.get(&taken).await;
    form.sees("The sentence stands in the remarks of the draft");
    let text = form
        .form(&scene.at("/write"), &scene.at("/write"), "")
        .remove("remarks.remarks");
    let expected = "As agreed.\nReported: Bites the tongue. Set posterior teeth and bite block further out, to the cheek side.";
    assert_eq!(text.as_deref(), Some(expected));
}

#[tokio::test]
async fn looking_begins_no_draft_and_taking_over_begins_one_from_what_is_signed() {
    let scene = Scene::opened().await;
    scene
        .sign(&[&LEAST[..], &[("remarks.remarks", "Signed words.")]].concat())
        .await
        .is(303);
    scene.dora.get(&scene.at("/reported?c2=yes")).await.is(200);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees_not("A draft of the next revision is under way");
    let fields = [("complaint", "2"), ("remedy", "0")];
    scene
        .dora
        .post(&scene.at("/reported"), &fields)
        .await
        .is(303);
    let form = scene.dora.whole_form(&scene.at("/write")).await;
    let text = form
        .form(&scene.at("/write"), &scene.at("/write"), "")
        .remove("remarks.remarks");
    assert_eq!(
        text.as_deref(),
        Some("Signed words.\nReported: Bites the cheek. Give more overlap.")
    );
}

#[tokio::test]
async fn what_is_no_remedy_or_does_not_fit_or_is_not_ones_own_changes_nothing() {
    let scene = Scene::opened().await;
    let path = scene.at("/reported");
    for (complaint, remedy) in [
        ("0", "0"),
        ("37", "0"),
        ("1", "9"),
        ("1", "-1"),
        ("", ""),
        ("x", "0"),
        ("1", "999"),
    ] {
        let fields = [("complaint", complaint), ("remedy", remedy)];
        scene.dora.post(&path, &fields).await.is(409);
    }
    let full = "a".repeat(1_950);
    scene
        .write(&scene.dora, &[("remarks.remarks", &full)])
        .await
        .is(303);
    let fields = [("complaint", "1"), ("remedy", "0")];
    scene
        .dora
        .post(&path, &fields)
        .await
        .is(409)
        .sees("nothing was changed");
    let stranger = scene.world.person("sven");
    stranger.get(&path).await.is(404);
    stranger.post(&path, &fields).await.is(404);
    scene.tom.get(&path).await.is(403);
    scene.tom.post(&path, &fields).await.is(403);
}

#[tokio::test]
async fn the_form_keeps_what_is_typed_on_the_way_there() {
    let scene = Scene::opened().await;
    let answer = scene
        .write(
            &scene.anna,
            &[("remarks.remarks", "Half a"), ("go", "reported")],
        )
        .await;
    assert_eq!(answer.is(303).location(), scene.at("/reported"));
    let form = scene.anna.whole_form(&scene.at("/write")).await;
    let text = form
        .form(&scene.at("/write"), &scene.at("/write"), "")
        .remove("remarks.remarks");
    assert_eq!(text.as_deref(), Some("Half a"));
    scene
        .anna
        .get(&scene.at(""))
        .await
        .sees("What the patient reports");
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees_not("What the patient reports");
}
