//! Two people, or two windows, in one draft.

use super::json;
use crate::common::encode;
use crate::scene::{LEAST, Scene};

#[tokio::test]
async fn of_two_writers_neither_loses_a_field() {
    let scene = Scene::opened().await;
    scene.dora.whole_form(&scene.at("/write")).await.is(200);
    let autosave = scene.at("/write/autosave");
    scene
        .dora
        .post(&autosave, &[("base", "0.0"), ("shade.tab", "B-20")])
        .await
        .is(200);
    let kept = json(
        &scene
            .anna
            .post(
                &autosave,
                &[("base", "0.0"), ("shade.guide", "Sample guide")],
            )
            .await,
    );
    assert_eq!(
        (
            kept["others"][0]["field"].as_str(),
            kept["others"][0]["name"].as_str()
        ),
        (Some("shade.tab"), Some("dora"))
    );
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.attribute("input[name=\"shade.tab\"]", "value"), "B-20");
    assert_eq!(
        page.attribute("input[name=\"shade.guide\"]", "value"),
        "Sample guide"
    );
}

/// The page holds the rows as they were filled in: it hears that they stand, now that they are the writer's own.
#[tokio::test]
async fn what_was_filled_into_a_list_stays_once_a_row_of_it_is_typed_over() {
    let scene = Scene::opened().await;
    let chosen = [("order.course", "immediate")];
    scene.write(&scene.dora, &chosen).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let base = page.attribute("input[name=\"base\"]", "value");
    let fields = [("base", base.as_str()), ("pieces.1.arch", "")];
    let kept = json(&scene.dora.post(&scene.at("/write/autosave"), &fields).await);
    for (key, text) in [
        ("pieces.0.arch", Some("upper")),
        ("pieces.0.stage", Some("process")),
        ("pieces.1.stage", Some("process")),
        ("pieces.1.arch", None),
    ] {
        assert_eq!(kept["given"][key][0].as_str(), text, "{key}");
        assert_eq!(kept["given"][key][1].as_str(), text.map(|_| ""), "{key}");
    }
}

/// Dora and Anna have written the tab of the shade from the same page.
async fn quarrel() -> Scene {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    let autosave = scene.at("/write/autosave");
    scene
        .dora
        .post(
            &autosave,
            &[("base", "1772438400000.2"), ("shade.tab", "B-30")],
        )
        .await
        .is(200);
    let kept = json(
        &scene
            .anna
            .post(
                &autosave,
                &[("base", "1772438400000.2"), ("shade.tab", "C-10")],
            )
            .await,
    );
    assert_eq!(kept["conflicts"][0].as_str(), Some("shade.tab"));
    scene
}

#[tokio::test]
async fn two_texts_for_one_field_are_both_shown_and_block_signing_until_chosen() {
    let scene = quarrel().await;
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.is(200)
        .sees("In the draft now: B-30")
        .sees("anna wrote at")
        .sees("C-10");
    scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .is(200)
        .sees("Not ready to be signed")
        .sees("anna wrote another text here");
    scene.write(&scene.dora, &[("go", "sign")]).await.is(422);
}

#[tokio::test]
async fn the_text_laid_aside_can_be_taken() {
    let scene = quarrel().await;
    scene.reason().await;
    let (page, choose) = (scene.at("/write"), scene.at("/write/choose"));
    scene
        .dora
        .send(&page, &choose, &[("take", "yes")])
        .await
        .is(303);
    assert_eq!(
        scene
            .dora
            .get(&page)
            .await
            .attribute("input[name=\"shade.tab\"]", "value"),
        "C-10"
    );
    // The shade is another, and so is what the review says of it.
    scene.reason().await;
    scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .is(200)
        .sees_not("Not ready");
}

#[tokio::test]
async fn the_text_laid_aside_can_be_let_go_and_only_once() {
    let scene = quarrel().await;
    let (page, choose) = (scene.at("/write"), scene.at("/write/choose"));
    let form = scene.dora.get(&page).await.form(&page, &choose, "");
    let fields = [
        ("field", "shade.tab"),
        ("version", form["version"].as_str()),
        ("take", "no"),
    ];
    scene.anna.post(&choose, &fields).await.is(303);
    scene
        .dora
        .post(&choose, &fields)
        .await
        .is(409)
        .sees("chosen one of these texts already");
    assert_eq!(
        scene
            .dora
            .get(&page)
            .await
            .attribute("input[name=\"shade.tab\"]", "value"),
        "B-30"
    );
}

#[tokio::test]
async fn a_whole_form_sent_from_an_old_page_takes_nothing_back() {
    let scene = Scene::opened().await;
    let path = scene.at("/write");
    let old = scene.dora.get(&path).await.form(&path, &path, "");
    scene
        .write(&scene.anna, &[("shade.guide", "Sample guide")])
        .await
        .is(303);
    let mut fields: Vec<(&str, &str)> = old.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    fields.retain(|(key, _)| *key != "shade.tab");
    fields.push(("shade.tab", "B-20"));
    let answer = scene.dora.post(&path, &fields).await;
    answer
        .is(200)
        .sees("anna also wrote here: one field has changed");
    assert_eq!(
        answer.attribute("input[name=\"shade.guide\"]", "value"),
        "Sample guide"
    );
    assert_eq!(
        answer.attribute("input[name=\"shade.tab\"]", "value"),
        "B-20"
    );
}

#[tokio::test]
async fn two_who_type_at_the_same_moment_both_keep_their_field() {
    let scene = Scene::opened().await;
    scene.dora.whole_form(&scene.at("/write")).await.is(200);
    let autosave = scene.at("/write/autosave");
    let (one, other) = (
        [("base", "0.0"), ("shade.tab", "B-20")],
        [("base", "0.0"), ("shade.guide", "Sample guide")],
    );
    let (one, other) = tokio::join!(
        scene.dora.post(&autosave, &one),
        scene.anna.post(&autosave, &other)
    );
    one.is(200);
    other.is(200);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.attribute("input[name=\"shade.tab\"]", "value"), "B-20");
    assert_eq!(
        page.attribute("input[name=\"shade.guide\"]", "value"),
        "Sample guide"
    );
}

#[tokio::test]
async fn a_page_of_a_draft_that_was_signed_meanwhile_puts_nothing_back() {
    let scene = Scene::opened().await;
    scene
        .write(&scene.anna, &[("vertical.occlusal_mm", "64")])
        .await
        .is(303);
    let stale = scene.anna.whole_form(&scene.at("/write")).await;
    let old = stale.form(&scene.at("/write"), &scene.at("/write"), "base");
    scene.sign(&LEAST).await.is(303);
    scene.world.pass_minutes(1);
    let fields: Vec<(&str, &str)> = old
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    for address in ["/write", "/write/autosave"] {
        scene
            .anna
            .post(&scene.at(address), &fields)
            .await
            .is(409)
            .sees("has been signed or given up meanwhile");
    }
    scene
        .anna
        .get(&scene.at(""))
        .await
        .sees_not("draft of the next revision");
}

#[tokio::test]
async fn ones_own_text_from_another_window_is_told_and_not_put_back() {
    let scene = Scene::opened().await;
    scene.dora.whole_form(&scene.at("/write")).await.is(200);
    let autosave = scene.at("/write/autosave");
    let base = ("base", "0.0");
    scene
        .dora
        .post(&autosave, &[base, ("vertical.occlusal_mm", "66")])
        .await
        .is(200);
    let kept = json(
        &scene
            .dora
            .post(&autosave, &[base, ("shade.tab", "B-20")])
            .await,
    );
    assert_eq!(kept["others"][0]["text"].as_str(), Some("66"));
    // The whole form of the second window, which still shows the old text, takes nothing back.
    scene
        .dora
        .post(
            &scene.at("/write"),
            &[base, ("vertical.occlusal_mm", ""), ("shade.tab", "B-20")],
        )
        .await
        .is(200);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(
        page.attribute("input[name=\"vertical.occlusal_mm\"]", "value"),
        "66"
    );
}

#[tokio::test]
async fn what_one_has_typed_is_taken_of_nobody_else_who_signs_in_in_the_same_browser() {
    let scene = Scene::opened().await;
    let at = scene.at("/write");
    // Dora's page stands in a tab; in another one she leaves and Anna comes.
    scene
        .write(&scene.dora, &[("shade.tab", "B-20")])
        .await
        .is(303);
    let page = scene.dora.get(&at).await;
    let mut form = page.form(&at, &at, "data-autosave");
    form.insert("remarks.remarks".to_owned(), "as Dora said".to_owned());
    let sent = encode(form.iter().map(|(key, text)| (key.as_str(), text.as_str())));
    for to in ["/write", "/write/autosave"] {
        let answer = scene.anna.post_body(&scene.at(to), sent.clone()).await;
        // Whoever pressed the button has the text before him or her, and nothing else does.
        answer
            .is(403)
            .sees("Another person is signed in here now")
            .sees("as Dora said");
        assert_eq!(answer.headers["vestibule-refused"], "another-person");
    }
    let mut give_up = page.form(&at, &scene.at("/write/discard"), "");
    give_up.insert("sure".to_owned(), "yes".to_owned());
    let sent = encode(
        give_up
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str())),
    );
    let discard = scene.at("/write/discard");
    scene.anna.post_body(&discard, sent).await.is(403);
    let draft = scene.anna.whole_form(&at).await;
    draft.sees_not("as Dora said");
    assert_eq!(
        draft.attribute("input[name=\"shade.tab\"]", "value"),
        "B-20"
    );
    // Dora, signed in again, sends it from the same page.
    let sent = encode(form.iter().map(|(key, text)| (key.as_str(), text.as_str())));
    scene.dora.post_body(&at, sent).await.is(303);
    scene.anna.whole_form(&at).await.sees("as Dora said");
}
