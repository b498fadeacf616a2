//! Items are registered, and what makes no sense is not.

use crate::scene::{LEAST, Scene, last_part, open_case};

#[tokio::test]
async fn a_whole_set_is_registered_and_each_item_has_its_tag_and_place() {
    let scene = Scene::opened().await;
    for (kind, arch, place, words) in [
        ("provisional", "upper", "worn", "in the patient's mouth"),
        ("provisional", "lower", "worn", "in the patient's mouth"),
        ("duplicate", "upper", "here", "Northgate Dental"),
        ("duplicate", "lower", "here", "Northgate Dental"),
        ("bite_record", "", "here", "Northgate Dental"),
    ] {
        let tag = scene.add(&scene.anna, kind, arch, place).await;
        scene
            .tom
            .get(&format!("/items/{tag}"))
            .await
            .is(200)
            .sees(words);
    }
    let page = scene.tom.get(&scene.at("")).await;
    page.sees("In the mouth now upper Provisional denture T");
    assert_eq!(listed(&page), 5);
}

/// How many items the case's list has; the ribbon's table tells of them again.
pub fn listed(page: &crate::common::Answer) -> usize {
    page.count(".things a[href^=\"/items/\"]")
}

#[tokio::test]
async fn an_item_that_makes_no_sense_is_not_registered_and_stays_typed() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let long = "x".repeat(301);
    for (fields, wrong) in [
        (
            [
                ("item_kind", ""),
                ("arch", "upper"),
                ("pieces", "1"),
                ("note", "n"),
            ],
            "item_kind",
        ),
        (
            [
                ("item_kind", "duplicate"),
                ("arch", ""),
                ("pieces", "1"),
                ("note", "n"),
            ],
            "arch",
        ),
        (
            [
                ("item_kind", "cast"),
                ("arch", "middle"),
                ("pieces", "1"),
                ("note", "n"),
            ],
            "arch",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "0"),
                ("note", "n"),
            ],
            "pieces",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "100"),
                ("note", "n"),
            ],
            "pieces",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "a few"),
                ("note", "n"),
            ],
            "pieces",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "1"),
                ("note", &long),
            ],
            "note",
        ),
    ] {
        let answer = scene.dora.send(&page, &page, &fields).await;
        assert_eq!(
            answer.is(422).attribute("[aria-invalid]", "name"),
            wrong,
            "{}",
            answer.words()
        );
        assert_eq!(answer.attribute("input[name=note]", "value"), fields[3].1);
    }
    let worn = [("item_kind", "bite_record"), ("place", "worn")];
    scene
        .dora
        .send(&page, &page, &worn)
        .await
        .is(422)
        .sees("Only a denture can be in the patient's mouth.");
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("None is registered yet.");
}

#[tokio::test]
async fn a_mouth_holds_one_denture_in_each_arch() {
    let scene = Scene::opened().await;
    scene.things().await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "old_denture"),
        ("arch", "upper"),
        ("place", "worn"),
    ];
    scene
        .dora
        .send(&page, &page, &fields)
        .await
        .is(409)
        .sees("The patient already wears");
}

#[tokio::test]
async fn an_item_posted_twice_is_one_item() {
    let scene = Scene::opened().await;
    let fields = [
        ("post_key", "item-key-00001"),
        ("item_kind", "bite_record"),
        ("place", "here"),
    ];
    let first = scene.dora.post(&scene.at("/items/new"), &fields).await;
    let second = scene.dora.post(&scene.at("/items/new"), &fields).await;
    assert_eq!(last_part(&first), last_part(&second));
    assert_eq!(listed(&scene.dora.get(&scene.at("")).await), 1);
}

#[tokio::test]
async fn going_back_and_sending_another_content_or_to_another_case_is_a_new_post() {
    let scene = Scene::opened().await;
    let other = open_case(&scene.dora, &scene.patient, "both").await;
    let send = async |number: &str, kind: &str| {
        let fields = [
            ("post_key", "item-key-00001"),
            ("item_kind", kind),
            ("place", "here"),
        ];
        let path = format!("/cases/{number}/items/new");
        last_part(scene.dora.post(&path, &fields).await.is(303))
    };
    let first = send(&scene.number, "bite_record").await;
    let changed = send(&scene.number, "facebow_record").await;
    let elsewhere = send(&other, "bite_record").await;
    assert!(first != changed && changed != elsewhere && elsewhere != first);
    assert_eq!(send(&scene.number, "bite_record").await, first);
    assert_eq!(listed(&scene.dora.get(&scene.at("")).await), 2);
}

#[tokio::test]
async fn the_old_denture_is_not_registered_back_into_the_mouth() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "old_denture"),
        ("arch", "upper"),
        ("place", "worn"),
    ];
    let answer = scene.dora.send(&page, &page, &fields).await;
    answer.is(409).sees("the old denture does not go back");
}

#[tokio::test]
async fn no_denture_is_used_up_and_only_an_old_one_is_kept_back() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    for (tag, action, field) in [
        (&things.duplicate, "use_up", "into"),
        (&things.duplicate, "keep_back", "kept"),
        (&things.bite, "keep_back", "kept"),
    ] {
        let fields = [
            ("post_key", "record-key-001"),
            ("action", action),
            (field, "words"),
        ];
        let path = format!("/items/{tag}/record");
        scene.dora.post(&path, &fields).await.is(409);
    }
}

/// FIPS 180-4 example: SHA-256("abc").
const HASH: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

#[tokio::test]
async fn p6_a_scan_is_an_item_with_its_file_and_leaves_without_a_bath() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let file = [
        ("item_kind", "scan"),
        ("arch", "upper"),
        ("place", "here"),
        ("file_name", "upper.stl"),
        ("file_format", "stl"),
        ("file_units", "mm"),
        ("file_sha256", HASH),
    ];
    let mut short = file;
    short[6] = ("file_sha256", "ba78");
    let answer = scene.anna.send(&page, &page, &short).await;
    answer.is(422).sees("A SHA-256 has 64 digits");
    assert_eq!(answer.attribute("[aria-invalid]", "name"), "file_sha256");
    assert_eq!(
        answer.attribute("input[name=file_name]", "value"),
        "upper.stl"
    );
    let mut thing = file;
    thing[0] = ("item_kind", "cast");
    let answer = scene.anna.send(&page, &page, &thing).await;
    answer.is(422).sees("Only a scan file has these");
    let answer = scene.anna.send(&page, &page, &file).await;
    answer.is(303);
    let tag = last_part(&answer);
    let page = scene.tom.get(&format!("/items/{tag}")).await;
    page.is(200)
        .sees("Scan file, upper")
        .sees(&format!("File upper.stl, STL, millimeters, SHA-256 {HASH}"));
    scene.sign(&LEAST).await.is(303);
    let signed = scene.tom.get(&scene.at("/revisions/1")).await;
    signed.sees("Scan file, upper: upper.stl, STL, millimeters, SHA-256 ba7816bf");
    let no_bath = [
        ("agent", ""),
        ("dilution", ""),
        ("minutes", ""),
        ("rinsed", ""),
    ];
    scene.release(&scene.dora, &[&tag], &no_bath).await.is(303);
}
