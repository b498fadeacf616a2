//! The line of an item: what it was made from, where it is, and its end.

use crate::common::PASSWORD;
use crate::scene::{SPARE, Scene, last_part};

#[tokio::test]
async fn c16_c17_what_is_made_keeps_its_line_and_its_place_in_the_house() {
    let (scene, things) = Scene::at_the_lab().await;
    let page = scene.at("/items/new");
    let from = format!("{}.from", things.provisional);
    let fields = [
        ("item_kind", "cast"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
        ("made_how", "poured"),
        ("material", "type 3 gypsum"),
        ("lot", "G-118"),
        ("maker", "an apprentice"),
    ];
    let absurd: Vec<_> = fields
        .iter()
        .copied()
        .chain([("pot_minutes", "a while")])
        .collect();
    let answer = scene.tom.send(&page, &page, &absurd).await;
    assert_eq!(
        answer.is(422).attribute("[aria-invalid]", "name"),
        "pot_minutes"
    );
    let cast = last_part(&scene.tom.send(&page, &page, &fields).await);
    scene
        .dora
        .get(&format!("/items/{cast}"))
        .await
        .sees("What it was made from")
        .sees("Provisional denture, upper")
        .sees("Material: type 3 gypsum, lot G-118");
    scene
        .dora
        .get(&format!("/items/{}", things.provisional))
        .await
        .sees("What became of it")
        .sees("Master cast, upper");
    // The office cannot make anything from what lies at the lab.
    let cast_again = [
        ("item_kind", "duplicate"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
    ];
    scene
        .dora
        .send(&page, &page, &cast_again)
        .await
        .is(409)
        .sees("is not in your hands");
    scene
        .record(&scene.tom, &cast, "move", &[("moved_to", " ")])
        .await
        .is(422);
    scene
        .record(&scene.tom, &cast, "move", &[("moved_to", "shelf 4")])
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("Kiln Laboratory, shelf 4");
    let used = [
        ("into", "broken out of the flask"),
        ("into_item", things.bite.as_str()),
    ];
    scene
        .record(&scene.tom, &cast, "use_up", &used)
        .await
        .is(303);
    scene
        .tom
        .get(&format!("/items/{cast}"))
        .await
        .sees("What became of it")
        .sees("Bite record");
}

#[tokio::test]
async fn c20_an_items_page_counts_the_hands_it_went_through() {
    let (scene, things) = Scene::at_the_lab().await;
    scene
        .dora
        .get(&format!("/items/{}", things.bite))
        .await
        .sees("Handed over once. In the hands of 2 people: anna, Northgate Dental; tom, Kiln Laboratory.");
}

#[tokio::test]
async fn what_is_lent_is_called_back_when_its_day_has_come() {
    let scene = Scene::signed().await;
    let page = scene.at("/items/new");
    let lent = |borrowed, due| {
        [
            ("item_kind", "facebow_record"),
            ("place", "here"),
            ("borrowed", borrowed),
            ("due_back", due),
        ]
    };
    for fields in [lent("", "2026-03-03"), lent("yes", "soon")] {
        let answer = scene.dora.send(&page, &page, &fields).await;
        assert_eq!(
            answer.is(422).attribute("[aria-invalid]", "name"),
            "due_back"
        );
    }
    let jig = last_part(
        &scene
            .dora
            .send(&page, &page, &lent("yes", "2026-03-02"))
            .await,
    );
    scene.dora.get("/").await.sees_not("Loan ");
    scene.release(&scene.anna, &[&jig], &[]).await.is(303);
    scene
        .receive(&scene.tom, &[(&jig, "sound")], &[])
        .await
        .is(303);
    for who in [&scene.dora, &scene.tom] {
        who.get("/").await.sees("Loan due back today");
        who.get(&scene.at(""))
            .await
            .sees("It is on loan, and is due back today.");
    }
    scene.release(&scene.tom, &[&jig], &[]).await.is(303);
    scene
        .receive(&scene.anna, &[(&jig, "sound")], &[])
        .await
        .is(303);
    scene.dora.get("/").await.sees_not("Loan ");
}

/// The upper final is in the mouth; the duplicate and everything else of the office lie there.
async fn final_fitted() -> (Scene, crate::scene::Things, String) {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let back = [last.as_str(), &things.provisional, &things.bite];
    scene.release(&scene.tom, &back, &[]).await.is(303);
    scene
        .receive(&scene.anna, &back.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    (scene, things, last)
}

#[tokio::test]
async fn the_mouth_has_its_line_its_spare_and_its_checks() {
    let (scene, things, _) = final_fitted().await;
    let page = scene.dora.get(&scene.at("/mouth")).await;
    page.sees("Worn over time, upper")
        .sees("not known")
        .sees("becomes the spare: mark it, put it in water")
        .sees("24 hours Tue 3 Mar 2026, one week Mon 9 Mar 2026, one month Thu 2 Apr 2026");
    let missing: Vec<_> = SPARE[..2].to_vec();
    scene
        .record(&scene.dora, &things.duplicate, "give", &missing)
        .await
        .is(422);
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("marked “spare, 2026-03”, kept in water: a closed cup at home, by the patient");
    // The checks are the office's matter.
    scene.tom.get(&scene.at("")).await.sees_not("24 hours");
}

#[tokio::test]
async fn c18_a_case_is_closed_with_an_end_for_every_item_and_opened_again_with_a_reason() {
    let (scene, things, _) = final_fitted().await;
    let page = scene.at("/close");
    let close = async |password: &str| {
        let fields = [
            ("post_key", "close-key-00001"),
            ("note", ""),
            ("password", password),
        ];
        scene.dora.post(&page, &fields).await
    };
    let cast = scene.add(&scene.tom, "duplicate", "lower", "here").await;
    scene
        .dora
        .get(&page)
        .await
        .sees("It stays open until every item has its end")
        .sees("it belongs to the office or the patient");
    close(PASSWORD)
        .await
        .is(409)
        .sees("it belongs to the office or the patient");
    scene
        .record(&scene.tom, &cast, "destroy", &[("how", "not needed")])
        .await
        .is(303);
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    scene
        .dora
        .get(&page)
        .await
        .sees("in the patient's mouth")
        .sees("with the patient as the spare")
        .sees("I state that every item of this case is where this entry says it is");
    close("wrong").await.is(422);
    scene.tom.get(&page).await.is(403);
    close(PASSWORD).await.is(303);
    // Closed, it leaves the first page and refuses all but corrections.
    scene.dora.get("/").await.sees_not("final upper");
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Case closed")
        .sees("Final denture, upper");
    let note = [
        ("action", "move"),
        ("post_key", "record-key-001"),
        ("moved_to", "shelf"),
    ];
    scene
        .dora
        .post(&format!("/items/{}/record", things.bite), &note)
        .await
        .is(409)
        .sees("The case is closed");
    scene.dora.whole_form(&scene.at("/write")).await;
    scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .is(409)
        .sees("The case is closed");
    let reopen = async |reason: &str| {
        let fields = [("post_key", "reopen-key-0001"), ("reason", reason)];
        scene.dora.post(&scene.at("/reopen"), &fields).await
    };
    scene.dora.get(&page).await.sees("Open it again");
    reopen("").await.is(422);
    reopen("a sore spot").await.is(303);
    reopen("again").await.is(409);
    scene
        .record(&scene.dora, &things.bite, "move", &[("moved_to", "shelf")])
        .await
        .is(303);
}
