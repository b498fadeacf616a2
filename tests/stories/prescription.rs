//! Writing, reading, signing: nothing typed is lost, and nothing is signed that was not read.

use crate::common::{Answer, PASSWORD};
use crate::scene::{LEAST, Scene};

fn json(answer: &Answer) -> serde_json::Value {
    serde_json::from_slice(&answer.body).unwrap()
}

#[tokio::test]
async fn wrong_values_are_kept_with_their_message_beside_the_field() {
    let scene = Scene::opened().await;
    let wrong = [
        ("vertical.rest_mm", "seventy"),
        ("anterior.width_mm", "500"),
        ("dates.wanted", "31.02.2026"),
        ("changes.0.tooth", "99"),
        ("jaw.item", "T12-345-678"),
        ("shade.tab", "B-20"),
    ];
    scene.write(&scene.anna, &wrong).await.is(303);
    let page = scene.anna.get(&scene.at("/write")).await;
    for (key, text) in wrong {
        let field = format!("input[name=\"{key}\"]");
        assert_eq!(page.attribute(&field, "value"), text);
        let is_wrong = key != "shade.tab";
        assert_eq!(
            page.count(&format!("{field}[aria-invalid=true][aria-describedby]")),
            usize::from(is_wrong),
            "{key}"
        );
    }
    let said = page.attribute("input[name=\"vertical.rest_mm\"]", "aria-describedby");
    let id = said.split(' ').next_back().unwrap().to_owned();
    assert_eq!(page.count(&format!("#{id} .message")), 1);
}

#[tokio::test]
async fn checking_lists_every_field_that_is_missing_with_a_link_to_it() {
    let scene = Scene::opened().await;
    let answer = scene
        .write(&scene.dora, &[("go", "look"), ("vertical.rest_mm", "x")])
        .await;
    answer.is(200).sees("to look at before signing");
    for key in ["pieces-0-stage", "dates-wanted", "vertical-rest_mm"] {
        assert_eq!(
            answer.count(&format!("#summary a[href=\"#f-{key}\"]")),
            1,
            "{key}: {}",
            answer.words()
        );
        assert_eq!(answer.count(&format!("#f-{key}")), 1, "{key}");
    }
    scene
        .write(&scene.dora, &[("go", "sign")])
        .await
        .is(422)
        .sees("to look at before signing");
}

#[tokio::test]
async fn the_script_keeps_fields_and_hears_of_faults_and_warnings() {
    let scene = Scene::opened().await;
    scene.anna.get(&scene.at("/write")).await.is(200);
    let fields = [
        ("base", "1772438400000.1"),
        ("vertical.rest_mm", "68,5"),
        ("anterior.width_mm", "500"),
        ("anterior.character", "like Mrs. Brown"),
    ];
    let kept = json(
        scene
            .anna
            .post(&scene.at("/write/keep"), &fields)
            .await
            .is(200),
    );
    assert_eq!(
        (
            kept["base"].as_str(),
            kept["conflicts"].as_array().map(Vec::len)
        ),
        (Some("1772438400000.2"), Some(0))
    );
    assert!(
        kept["faults"]["anterior.width_mm"].is_string()
            && kept["faults"].get("vertical.rest_mm").is_none()
    );
    assert!(
        kept["warnings"]["anterior.character"]
            .as_str()
            .unwrap()
            .contains("person’s name")
    );
    assert_eq!(
        scene
            .dora
            .get(&scene.at("/write"))
            .await
            .attribute("input[name=\"vertical.rest_mm\"]", "value"),
        "68,5"
    );
}

#[tokio::test]
async fn of_two_writers_neither_loses_a_field() {
    let scene = Scene::opened().await;
    scene.dora.get(&scene.at("/write")).await.is(200);
    let keep = scene.at("/write/keep");
    scene
        .dora
        .post(&keep, &[("base", "1772438400000.1"), ("shade.tab", "B-20")])
        .await
        .is(200);
    let kept = json(
        &scene
            .anna
            .post(
                &keep,
                &[("base", "1772438400000.1"), ("shade.guide", "Sample guide")],
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
    let page = scene.dora.get(&scene.at("/write")).await;
    assert_eq!(page.attribute("input[name=\"shade.tab\"]", "value"), "B-20");
    assert_eq!(
        page.attribute("input[name=\"shade.guide\"]", "value"),
        "Sample guide"
    );
}

/// Dora and Anna have written the tab of the shade from the same page.
async fn quarrel() -> Scene {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    let keep = scene.at("/write/keep");
    scene
        .dora
        .post(&keep, &[("base", "1772438400000.2"), ("shade.tab", "B-30")])
        .await
        .is(200);
    let kept = json(
        &scene
            .anna
            .post(&keep, &[("base", "1772438400000.2"), ("shade.tab", "C-10")])
            .await,
    );
    assert_eq!(kept["conflicts"][0].as_str(), Some("shade.tab"));
    scene
}

#[tokio::test]
async fn two_texts_for_one_field_are_both_shown_and_block_signing_until_settled() {
    let scene = quarrel().await;
    let page = scene.dora.get(&scene.at("/write")).await;
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
    let (page, settle) = (scene.at("/write"), scene.at("/write/settle"));
    scene
        .dora
        .send(&page, &settle, &[("take", "yes")])
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
    let (page, settle) = (scene.at("/write"), scene.at("/write/settle"));
    let form = scene.dora.get(&page).await.form(&page, &settle, "");
    let fields = [
        ("field", "shade.tab"),
        ("version", form["version"].as_str()),
        ("take", "no"),
    ];
    scene.anna.post(&settle, &fields).await.is(303);
    scene
        .dora
        .post(&settle, &fields)
        .await
        .is(409)
        .sees("settled this text already");
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
async fn a_draft_does_not_grow_without_end() {
    let scene = Scene::opened().await;
    let long = "x".repeat(20_001);
    scene
        .write(&scene.dora, &[("anterior.character", &long)])
        .await
        .is(422)
        .sees("this text is not saved until it is shorter")
        .sees(&long);
    let many: Vec<String> = (0..1501).map(|row| format!("changes.{row}.note")).collect();
    let many: Vec<(&str, &str)> = many.iter().map(|key| (key.as_str(), "x")).collect();
    scene
        .dora
        .post(&scene.at("/write/keep"), &many)
        .await
        .is(409);
}

#[tokio::test]
async fn another_row_is_offered_and_the_rows_before_stay() {
    let scene = Scene::opened().await;
    let fields = [
        ("changes.0.what", "midline"),
        ("changes.0.mm", "1,5"),
        ("go", "more-changes"),
    ];
    let to = scene.write(&scene.dora, &fields).await.is(303).location();
    let page = scene.dora.get(to.split('#').next().unwrap()).await;
    assert_eq!(
        page.attribute("input[name=\"changes.0.mm\"]", "value"),
        "1,5"
    );
    assert!(
        page.count("input[name=\"changes.2.mm\"]") == 1,
        "a row more than the one that is always spare"
    );
}

#[tokio::test]
async fn nothing_is_signed_with_a_wrong_password() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    for (password, words) in [
        ("wrong", "This is not your password."),
        ("", "Type your password again."),
    ] {
        let answer = scene
            .dora
            .send(
                &scene.at("/sign"),
                &scene.at("/sign"),
                &[("password", password)],
            )
            .await;
        assert_eq!(
            answer
                .is(422)
                .sees(words)
                .attribute("[aria-invalid]", "name"),
            "password"
        );
    }
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("None is signed yet.");
}

#[tokio::test]
async fn guessing_the_password_at_the_signature_closes_the_name_too() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    for _ in 0..5 {
        scene
            .dora
            .send(
                &scene.at("/sign"),
                &scene.at("/sign"),
                &[("password", "wrong")],
            )
            .await
            .is(422);
    }
    scene
        .dora
        .send(
            &scene.at("/sign"),
            &scene.at("/sign"),
            &[("password", PASSWORD)],
        )
        .await
        .is(429);
}

#[tokio::test]
async fn only_a_dentist_signs() {
    let scene = Scene::opened().await;
    scene.write(&scene.anna, &LEAST).await.is(303);
    scene.reason().await;
    scene
        .anna
        .get(&scene.at("/sign"))
        .await
        .is(403)
        .sees("Only the dentist signs.");
    for who in [&scene.anna, &scene.tom, &scene.mara] {
        who.post(
            &scene.at("/sign"),
            &[("post_key", "sign-key-0001"), ("password", PASSWORD)],
        )
        .await
        .is(403);
    }
    let page = scene.anna.get(&scene.at("/write")).await;
    assert_eq!(page.count("button[value=sign]"), 0);
}

#[tokio::test]
async fn nothing_incomplete_is_signed() {
    let scene = Scene::opened().await;
    scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .is(409)
        .sees("There is no draft to sign");
    for left_out in 0..LEAST.len() {
        let (key, _) = LEAST[left_out];
        let mut fields = LEAST;
        fields[left_out].1 = "";
        scene.write(&scene.dora, &fields).await.is(303);
        let page = scene.dora.get(&scene.at("/sign")).await;
        page.is(200).sees("Not ready to be signed");
        assert_eq!(page.count("input[name=password]"), 0, "without {key}");
        let fields = [
            ("post_key", "sign-key-0001"),
            ("password", PASSWORD),
            ("hash", "x"),
            ("issued", "0"),
        ];
        scene.dora.post(&scene.at("/sign"), &fields).await.is(409);
    }
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("None is signed yet.");
}

#[tokio::test]
async fn a_draft_that_changed_since_it_was_read_is_not_signed() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let path = scene.at("/sign");
    let mut form = scene.dora.get(&path).await.form(&path, &path, "");
    form.insert("password".to_owned(), PASSWORD.to_owned());
    scene
        .write(&scene.anna, &[("shade.tab", "C-10")])
        .await
        .is(303);
    let fields: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    scene
        .dora
        .post(&path, &fields)
        .await
        .is(409)
        .sees("Nothing was signed.");
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("None is signed yet.");
}

#[tokio::test]
async fn a_page_left_open_for_an_hour_is_read_again_before_it_is_signed() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let path = scene.at("/sign");
    let mut form = scene.dora.get(&path).await.form(&path, &path, "");
    form.insert("password".to_owned(), PASSWORD.to_owned());
    for _ in 0..4 {
        scene.world.pass_minutes(16);
        scene.dora.get("/account").await.is(200);
    }
    let fields: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    scene
        .dora
        .post(&path, &fields)
        .await
        .is(409)
        .sees("the page is old");
}

#[tokio::test]
async fn a_text_that_looks_personal_is_signed_only_after_a_second_look() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    scene
        .write(
            &scene.dora,
            &[("anterior.character", "as Mrs. Brown wished")],
        )
        .await
        .is(303);
    let path = scene.at("/sign");
    let answer = scene
        .dora
        .send(&path, &path, &[("password", PASSWORD)])
        .await;
    answer
        .is(422)
        .sees("Look at the warnings above")
        .sees("looks like a person’s name");
    scene
        .dora
        .send(
            &path,
            &path,
            &[("password", PASSWORD), ("warnings_read", "yes")],
        )
        .await
        .is(303);
}

#[tokio::test]
async fn a_signed_revision_shows_signer_licence_and_fingerprint_to_both_sides() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let shown = scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .attribute("input[name=hash]", "value");
    scene
        .dora
        .send(
            &scene.at("/sign"),
            &scene.at("/sign"),
            &[("password", PASSWORD)],
        )
        .await
        .is(303);
    for who in [&scene.dora, &scene.anna, &scene.tom] {
        let page = who.get(&scene.at("/revisions/1")).await;
        page.is(200)
            .sees("Signed by dora, licence D-7001")
            .sees("heat-cured resin")
            .sees("2026-03-20")
            .sees(&shown);
    }
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("Revision 1, signed by dora");
    scene.dora.get(&scene.at("/sign")).await.is(409);
}

#[tokio::test]
async fn a_signature_posted_twice_is_one_revision() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let path = scene.at("/sign");
    let mut form = scene.dora.get(&path).await.form(&path, &path, "");
    form.insert("password".to_owned(), PASSWORD.to_owned());
    let fields: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    let (one, other) = tokio::join!(
        scene.dora.post(&path, &fields),
        scene.dora.post(&path, &fields)
    );
    one.is(303);
    other.is(303);
    scene.dora.post(&path, &fields).await.is(303);
    scene.dora.get(&scene.at("/revisions/1")).await.is(200);
    scene.dora.get(&scene.at("/revisions/2")).await.is(404);
}

#[tokio::test]
async fn a_new_revision_starts_from_the_last_and_lists_what_differs() {
    let scene = Scene::signed().await;
    let page = scene.dora.get(&scene.at("/write")).await;
    for (key, text) in LEAST
        .iter()
        .filter(|(key, _)| !key.ends_with("arch") && !key.ends_with("stage"))
    {
        assert_eq!(page.attribute(&format!("[name=\"{key}\"]"), "value"), *text);
    }
    scene
        .write(&scene.dora, &[("shade.tab", "C-10")])
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .is(200)
        .sees("What changes against revision 1")
        .sees("B-20 C-10");
    scene
        .dora
        .send(
            &scene.at("/sign"),
            &scene.at("/sign"),
            &[("password", PASSWORD)],
        )
        .await
        .is(303);
    scene
        .tom
        .get(&scene.at("/revisions/2"))
        .await
        .is(200)
        .sees("What changed against the revision before")
        .sees("B-20 C-10");
    scene
        .tom
        .get(&scene.at("/revisions/1"))
        .await
        .is(200)
        .sees("A newer revision is in force.")
        .sees_not("C-10");
}

#[tokio::test]
async fn a_draft_is_given_up_only_when_one_is_sure_and_the_signed_revision_stays() {
    let scene = Scene::signed().await;
    scene
        .write(&scene.dora, &[("shade.tab", "C-10")])
        .await
        .is(303);
    let (page, action) = (scene.at("/write"), scene.at("/write/discard"));
    scene
        .dora
        .send(&page, &action, &[])
        .await
        .is(409)
        .sees("its text is gone then");
    scene
        .dora
        .send(&page, &action, &[("sure", "yes")])
        .await
        .is(303);
    assert_eq!(
        scene
            .dora
            .get(&page)
            .await
            .attribute("input[name=\"shade.tab\"]", "value"),
        "B-20"
    );
    scene.tom.get(&scene.at("/revisions/1")).await.is(200);
}

#[tokio::test]
async fn what_was_signed_stays_although_office_and_card_change_later() {
    let scene = Scene::signed().await;
    let before = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await;
    let root = scene.world.person("root");
    let path = root
        .get("/parties")
        .await
        .attribute("th a[href^=\"/parties/\"]", "href");
    root.send(
        &path,
        &path,
        &[("name", "Renamed House"), ("licence", "NEW-1")],
    )
    .await
    .is(303);
    let card = format!("/patients/{}", scene.patient);
    scene
        .dora
        .send(&card, &card, &[("patient.sex", "female")])
        .await
        .is(303);
    let after = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await;
    assert!(before.is(200).body == after.is(200).body);
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
    scene.dora.get(&scene.at("/write")).await.is(200);
    let keep = scene.at("/write/keep");
    let (one, other) = (
        [("base", "1772438400000.1"), ("shade.tab", "B-20")],
        [("base", "1772438400000.1"), ("shade.guide", "Sample guide")],
    );
    let (one, other) = tokio::join!(scene.dora.post(&keep, &one), scene.anna.post(&keep, &other));
    one.is(200);
    other.is(200);
    let page = scene.dora.get(&scene.at("/write")).await;
    assert_eq!(page.attribute("input[name=\"shade.tab\"]", "value"), "B-20");
    assert_eq!(
        page.attribute("input[name=\"shade.guide\"]", "value"),
        "Sample guide"
    );
}

#[tokio::test]
async fn the_hidden_fields_of_a_draft_are_the_catalogues_and_nothing_else_is_kept() {
    let scene = Scene::opened().await;
    scene.dora.get(&scene.at("/write")).await.is(200);
    let keep = scene.at("/write/keep");
    let fields = [
        ("base", "1772438400000.1"),
        ("shade.tab", "B-20"),
        ("patient.name", "Somebody"),
        ("__proto__", "x"),
        ("shade.tab.x", "y"),
    ];
    scene.dora.post(&keep, &fields).await.is(200);
    let page = scene.dora.get(&scene.at("/write")).await.text();
    assert!(!page.contains("Somebody") && !page.contains("__proto__") && page.contains("B-20"));
}

#[tokio::test]
async fn a_page_of_a_draft_that_was_signed_meanwhile_puts_nothing_back() {
    let scene = Scene::opened().await;
    scene
        .write(&scene.anna, &[("vertical.occlusal_mm", "64")])
        .await
        .is(303);
    let stale = scene.anna.get(&scene.at("/write")).await;
    let old = stale.form(&scene.at("/write"), &scene.at("/write"), "base");
    scene.sign(&LEAST).await.is(303);
    scene.world.pass_minutes(1);
    let fields: Vec<(&str, &str)> = old
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    for address in ["/write", "/write/keep"] {
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
    scene.dora.get(&scene.at("/write")).await.is(200);
    let keep = scene.at("/write/keep");
    let base = ("base", "1772438400000.1");
    scene
        .dora
        .post(&keep, &[base, ("vertical.occlusal_mm", "66")])
        .await
        .is(200);
    let kept = json(&scene.dora.post(&keep, &[base, ("shade.tab", "B-20")]).await);
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
    let page = scene.dora.get(&scene.at("/write")).await;
    assert_eq!(
        page.attribute("input[name=\"vertical.occlusal_mm\"]", "value"),
        "66"
    );
}

#[tokio::test]
async fn a_caution_stands_only_with_a_reason_that_is_printed() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.is(200)
        .sees("Not ready to be signed")
        .sees("No base shade is given.");
    scene.reason().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.is(200)
        .sees_not("Not ready")
        .sees("No base shade is given.")
        .sees("as agreed");
    scene
        .dora
        .send(
            &scene.at("/sign"),
            &scene.at("/sign"),
            &[("password", PASSWORD)],
        )
        .await
        .is(303);
    for who in [&scene.dora, &scene.tom] {
        let page = who.get(&scene.at("/revisions/1")).await;
        page.is(200)
            .sees("Cautions that stand, with their reasons")
            .sees("as agreed");
    }
}

#[tokio::test]
async fn numbers_stand_in_words_beside_the_fields_and_follow_while_one_types() {
    let scene = Scene::opened().await;
    let written = [("vertical.rest_mm", "68"), ("vertical.occlusal_mm", "65")];
    scene.write(&scene.dora, &written).await.is(303);
    let page = scene.dora.get(&scene.at("/write")).await;
    page.is(200)
        .sees("Between rest and occlusion")
        .sees("Within the 2 to 4 mm usually taught.")
        .sees("Height, rest: 68 mm.");
    let base = page.attribute("input[name=\"base\"]", "value");
    let fields = [
        ("base", base.as_str()),
        ("vertical.occlusal_mm", "60"),
        ("anterior.midline_offset_mm", "1.5"),
        ("anterior.midline_side", "left"),
    ];
    let kept = json(&scene.dora.post(&scene.at("/write/keep"), &fields).await);
    let numbers = kept["numbers"]["vertical"].as_str().unwrap();
    assert!(numbers.contains("<b>8<span> mm</span></b>"), "{numbers}");
    assert!(numbers.contains("overclosed") && numbers.contains("Source: "));
    assert_eq!(kept["numbers"]["shade"].as_str().unwrap().trim(), "");
    let drawings = kept["drawings"].as_str().unwrap();
    assert!(drawings.contains("moved by 1.5 mm to the patient’s left."));
    assert!(
        !drawings.contains("style="),
        "the page allows no inline style"
    );
}

#[tokio::test]
async fn a_change_list_is_drawn_on_the_arch_with_the_patients_sides() {
    let scene = Scene::opened().await;
    let fields = [
        ("changes.0.what", "tooth"),
        ("changes.0.tooth", "UR1"),
        ("changes.0.direction", "forward"),
        ("changes.0.mm", "1"),
    ];
    scene.write(&scene.dora, &fields).await.is(303);
    scene
        .dora
        .get(&scene.at("/write"))
        .await
        .sees("patient’s right on the left of the picture")
        .sees("1: upper right central incisor, 1 mm forward.")
        .sees("Net movement, upper right central incisor");
}

#[tokio::test]
async fn an_odd_value_gets_a_sentence_instead_of_a_number() {
    let scene = Scene::opened().await;
    let fields = [
        ("guidance.drop_mm", "4"),
        ("guidance.advance_mm", "0"),
        ("vertical.rest_mm", "NaN"),
        ("vertical.occlusal_mm", "65"),
        ("vertical.order", "open"),
        ("vertical.change_mm", "20"),
        ("vertical.change_at", "molars"),
        ("dates.wanted", "1999-01-01"),
    ];
    scene.write(&scene.dora, &fields).await.is(303);
    scene
        .dora
        .get(&scene.at("/write"))
        .await
        .is(200)
        .sees("A record without protrusion shows no path")
        .sees("beyond all published cases known here")
        .sees("The work is wanted by 1999-01-01")
        .sees_not("Between rest and occlusion");
}

#[tokio::test]
async fn a_text_too_long_to_be_kept_comes_back_whichever_button_was_pressed() {
    let scene = Scene::opened().await;
    let long = "x".repeat(20_001);
    for go in ["save", "look", "sign", "more-changes"] {
        let fields = [("remarks.remarks", long.as_str()), ("go", go)];
        scene
            .write(&scene.dora, &fields)
            .await
            .is(422)
            .sees("this text is not saved until it is shorter")
            .sees(&long);
    }
    // The script hears the same, also of a text that has no limit of its own.
    let page = scene.dora.get(&scene.at("/write")).await;
    let base = page.attribute("input[name=\"base\"]", "value");
    for key in ["remarks.remarks", "reason.mould-without-width"] {
        let fields = [("base", base.as_str()), (key, long.as_str())];
        let kept = json(&scene.dora.post(&scene.at("/write/keep"), &fields).await);
        let said = kept["faults"][key].as_str().unwrap();
        assert!(said.contains("is not saved"), "{key}: {said}");
    }
}
