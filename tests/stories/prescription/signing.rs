//! Signing: what it asks for, and what stands afterwards.

use crate::common::{Answer, PASSWORD};
use crate::scene::{LEAST, Scene};

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
    let page = scene.anna.whole_form(&scene.at("/write")).await;
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
async fn a_card_that_was_saved_since_the_text_was_read_is_named_as_what_changed() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let path = scene.at("/sign");
    let mut form = scene.dora.get(&path).await.form(&path, &path, "");
    form.insert("password".to_owned(), PASSWORD.to_owned());
    let fields: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    let card = format!("/patients/{}", scene.patient);
    let avoided = [
        ("patient.exclusions", "listed"),
        ("patient.no_nickel", "yes"),
    ];
    scene.anna.send(&card, &card, &avoided).await.is(303);
    let answer = scene.dora.post(&path, &fields).await;
    answer
        .is(409)
        .sees("card was saved since this page was shown")
        .sees_not("somebody has changed it");
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
    answer.is(422).sees("Look at the warnings above");
    let words = answer.attribute("[data-words]", "data-words");
    let words = scene.dora.get(&words).await;
    words
        .is(200)
        .sees("Will be signed in spite of these warnings")
        .sees_not("Signed in spite of these warnings")
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
            .sees("Signed by dora, license D-7001")
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
    let page = scene.dora.whole_form(&scene.at("/write")).await;
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
    // What was said of the shade before is no answer to what is said of another.
    scene.reason().await;
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
        .sees("Superseded by revision 2, signed Mon 2 Mar 2026. Do not work from this one.")
        .sees_not("C-10");
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
async fn what_comes_behind_the_page_is_of_the_very_text_that_would_be_signed() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let sign = scene.at("/sign");
    let page = scene.dora.get(&sign).await;
    // The front stands there; the back and the words, field by field, have an address.
    assert_eq!(page.is(200).count(".paper figure > a > svg"), 1);
    assert_eq!(page.count("#in-words"), 0);
    let back = page.attribute(".paper [data-later]", "data-later");
    let words = page.attribute("details[data-words]", "data-words");
    assert_eq!(page.attribute("details[data-words] a", "href"), words);
    // Each picture leads to its page alone, where it can be read.
    let links = page.count(".paper figure > a[href] > .unseen");
    assert_eq!(links, page.count(".paper figure"));
    let front = page.attribute(".paper figure > a", "href");
    let front = scene.dora.get(&front).await;
    let front = front.is(200).text();
    assert!(front.contains("<title>Front of the sheet</title>"));
    scene.world.pass_minutes(3);
    let drawn = scene.dora.get(&back).await;
    let drawn = drawn.is(200).text();
    assert!(drawn.contains("<title>Back of the sheet</title>"));
    scene.tom.get(&back).await.is(403);
    let read = scene.dora.get(&words).await;
    read.is(200).sees("heat-cured resin").sees("2026-03-20");
    assert_eq!(read.count("#in-words"), 1);
    let hash = |page: &Answer| page.attribute("input[name=hash]", "value");
    assert_eq!(hash(&read), hash(&page));
    // Of another text nothing is shown beside this one.
    let other = [("shade.tab", "C-10")];
    scene.write(&scene.anna, &other).await.is(303);
    for address in [&back, &words] {
        let refused = scene.dora.get(address).await;
        refused.is(409).sees("is not the one that this page showed");
    }
    // It is signed from the page of its words as well, once what the other text raises is answered.
    scene.reason().await;
    let page = scene.dora.get(&sign).await;
    let words = page.attribute("details[data-words]", "data-words");
    scene.world.pass_minutes(20);
    let password = [("password", PASSWORD)];
    let answer = scene.dora.send(&words, &sign, &password).await;
    answer.is(303);
}

#[tokio::test]
async fn what_was_typed_into_a_draft_that_is_signed_meanwhile_comes_back_to_be_copied() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let write = scene.at("/write");
    let page = scene.anna.whole_form(&write).await;
    let mut form = page.form(&write, &write, "");
    let sign = scene.at("/sign");
    let password = [("password", PASSWORD)];
    scene.dora.send(&sign, &sign, &password).await.is(303);
    form.insert(
        "remarks.remarks".to_owned(),
        "Keep the contacts.".to_owned(),
    );
    let fields = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    let fields: Vec<(&str, &str)> = fields.collect();
    let answer = scene.anna.post(&write, &fields).await;
    answer
        .is(409)
        .sees("This draft is over")
        .sees("signed or given up meanwhile")
        .sees("Keep the contacts.")
        // What is signed needs no copying.
        .sees_not("heat-cured resin");
    assert_eq!(
        answer.attribute("main p.actions a[href$=\"/write\"]", "href"),
        write
    );
    scene.dora.get(&scene.at("/revisions/2")).await.is(404);
}
