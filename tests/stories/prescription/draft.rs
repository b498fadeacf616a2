//! Writing: faults beside the field, what is kept while one types, and drafts that are given up.

use super::json;
use crate::common::PASSWORD;
use crate::scene::{LEAST, Scene};
use sqlx::Row;

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
    let page = scene.anna.whole_form(&scene.at("/write")).await;
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
async fn of_many_wrong_fields_the_list_on_top_names_the_first_and_counts_all() {
    let scene = Scene::opened().await;
    let wrong = [
        "vertical.rest_mm",
        "vertical.occlusal_mm",
        "vertical.closest_speaking_mm",
        "anterior.width_mm",
        "anterior.incisal_show_mm",
        "anterior.midline_offset_mm",
        "posterior.length_mm",
        "shade.lightness",
        "shade.a",
        "cast_trim.facial_mm",
        "cast_trim.palatal_mm",
        "impression.keeps_hours",
        "duplicate.upper_minutes",
        "duplicate.lower_minutes",
    ];
    let mut form = vec![("go", "look")];
    form.extend(wrong.map(|key| (key, "not so")));
    let answer = scene.write(&scene.dora, &form).await;
    answer.is(200).sees("more, each marked below.");
    assert_eq!(answer.count("#summary a"), 12);
    assert!(answer.count("[aria-invalid=true]") >= wrong.len());
}

#[tokio::test]
async fn the_script_keeps_fields_and_hears_of_faults_and_warnings() {
    let scene = Scene::opened().await;
    scene.anna.whole_form(&scene.at("/write")).await.is(200);
    let fields = [
        ("base", "0.0"),
        ("vertical.rest_mm", "68,5"),
        ("anterior.width_mm", "500"),
        ("anterior.character", "like Mrs. Brown"),
    ];
    let kept = json(
        scene
            .anna
            .post(&scene.at("/write/autosave"), &fields)
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
            .whole_form(&scene.at("/write"))
            .await
            .attribute("input[name=\"vertical.rest_mm\"]", "value"),
        "68,5"
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
        .post(&scene.at("/write/autosave"), &many)
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
async fn the_hidden_fields_of_a_draft_are_the_catalogues_and_nothing_else_is_kept() {
    let scene = Scene::opened().await;
    scene.dora.whole_form(&scene.at("/write")).await.is(200);
    let autosave = scene.at("/write/autosave");
    let fields = [
        ("base", "0.0"),
        ("shade.tab", "B-20"),
        ("patient.name", "Somebody"),
        ("__proto__", "x"),
        ("shade.tab.x", "y"),
    ];
    scene.dora.post(&autosave, &fields).await.is(200);
    let page = scene.dora.whole_form(&scene.at("/write")).await.text();
    assert!(!page.contains("Somebody") && !page.contains("__proto__") && page.contains("B-20"));
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
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.is(200)
        .sees("Between rest and occlusion")
        .sees("Within the 2 to 4 mm usually taught.")
        .sees("Height at rest: 68 mm.");
    let base = page.attribute("input[name=\"base\"]", "value");
    let fields = [
        ("base", base.as_str()),
        ("vertical.occlusal_mm", "60"),
        ("anterior.midline_offset_mm", "1.5"),
        ("anterior.midline_side", "left"),
    ];
    let kept = json(&scene.dora.post(&scene.at("/write/autosave"), &fields).await);
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
        .whole_form(&scene.at("/write"))
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
        .whole_form(&scene.at("/write"))
        .await
        .is(200)
        .sees("A record without protrusion shows no path")
        .sees("beyond all published cases known here")
        .sees("The work is wanted by Fri 1 Jan 1999")
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
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let base = page.attribute("input[name=\"base\"]", "value");
    for key in ["remarks.remarks", "reason.mould-without-width"] {
        let fields = [("base", base.as_str()), (key, long.as_str())];
        let kept = json(&scene.dora.post(&scene.at("/write/autosave"), &fields).await);
        let said = kept["faults"][key].as_str().unwrap();
        assert!(said.contains("is not saved"), "{key}: {said}");
    }
    // So does a reason, which stands beside the form.
    scene.write(&scene.dora, &LEAST).await.is(303);
    let boxes = scene.dora.get(&scene.at("/write")).await.names("reason.");
    let reason = [(boxes[0].as_str(), long.as_str())];
    let page = scene.write(&scene.dora, &reason).await;
    let typed = format!("[name=\"{}\"]", boxes[0]);
    assert_eq!(page.is(422).attribute(&typed, "value"), long);
}

/// All texts that are kept of the drafts' changes.
async fn kept_texts(scene: &Scene) -> Vec<String> {
    let mut conn = scene.world.app.store.read().await.unwrap();
    let rows = sqlx::query("SELECT field || '=' || text || overwritten AS kept FROM draft_edit");
    let rows = rows.fetch_all(&mut *conn).await.unwrap();
    rows.iter().map(|row| row.get("kept")).collect()
}

#[tokio::test]
async fn r15_a_name_that_was_typed_and_written_over_is_gone_and_a_stale_page_still_merges() {
    let scene = Scene::opened().await;
    scene
        .write(
            &scene.dora,
            &[("remarks.remarks", "as for Mrs Amalie Sample")],
        )
        .await
        .is(303);
    scene
        .write(&scene.dora, &[("shade.tab", "B-20")])
        .await
        .is(303);
    assert!(kept_texts(&scene).await.concat().contains("Amalie"));
    // Anna's page shows the draft as it is now, and is left open.
    let base = scene
        .anna
        .whole_form(&scene.at("/write"))
        .await
        .attribute("input[name=base]", "value");
    scene
        .write(&scene.dora, &[("remarks.remarks", "as before")])
        .await
        .is(303);
    let kept = kept_texts(&scene).await;
    assert!(!kept.concat().contains("Amalie"), "{kept:?}");
    assert!(
        kept.contains(&"remarks.remarks=as before".to_owned()),
        "{kept:?}"
    );
    // What she has not touched is no text of hers; what she writes where somebody else has written waits.
    let autosave = scene.at("/write/autosave");
    let stale = [
        ("base", base.as_str()),
        ("remarks.remarks", "as for Mrs Amalie Sample"),
        ("shade.tab", "B-30"),
    ];
    let answer = json(&scene.anna.post(&autosave, &stale).await);
    assert_eq!(
        answer["conflicts"].as_array().map(Vec::len),
        Some(0),
        "{answer}"
    );
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.attribute("input[name=\"shade.tab\"]", "value"), "B-30");
    page.sees("as before").sees_not("Amalie");
    let stale = [("base", base.as_str()), ("remarks.remarks", "another word")];
    let answer = json(&scene.anna.post(&autosave, &stale).await);
    assert_eq!(
        answer["conflicts"][0].as_str(),
        Some("remarks.remarks"),
        "{answer}"
    );
}

#[tokio::test]
async fn r16_a_damaged_draft_shows_what_can_be_read_and_is_stored_again() {
    let scene = Scene::opened().await;
    scene
        .write(
            &scene.dora,
            &[("shade.tab", "B-20"), ("remarks.remarks", "as before")],
        )
        .await
        .is(303);
    let damage = "UPDATE draft SET fields = CAST(x'7B2273FF' AS TEXT); \
                  UPDATE draft_edit SET text = CAST(x'FF' AS TEXT) WHERE field = 'remarks.remarks'";
    let mut conn = scene.world.past_the_store().await;
    sqlx::raw_sql(damage).execute(&mut conn).await.unwrap();
    let words = "This draft is damaged where it is stored";
    let page = scene.anna.whole_form(&scene.at("/write")).await;
    page.is(200).sees(words);
    assert_eq!(page.attribute("input[name=\"shade.tab\"]", "value"), "B-20");
    scene.dora.get(&scene.at("")).await.is(200);
    let faults = crate::record::faults(&scene).await;
    assert!(faults.contains("is damaged. Its page shows"), "{faults}");
    scene
        .write(&scene.anna, &[("remarks.remarks", "typed again")])
        .await
        .is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.is(200).sees_not(words).sees("typed again");
    assert_eq!(page.attribute("input[name=\"shade.tab\"]", "value"), "B-20");
    scene
        .write(&scene.dora, &[("remarks.remarks", "and once more")])
        .await
        .is(303);
    let faults = crate::record::faults(&scene).await;
    assert!(!faults.contains("draft"), "{faults}");
}
