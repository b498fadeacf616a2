//! What nobody types: filled in by the kind of work, counted before the signature, held in what is signed.

use crate::common::{Answer, PASSWORD};
use crate::scene::{LEAST, Scene};
use vestibule::domain::values::ids::CaseNumber;
use vestibule::store::drafts;

/// What the kind of work does not say.
const OWN: [(&str, &str); 2] = [("shade.tab", "B-20"), ("dates.wanted", "2026-03-20")];

/// The texts of the draft, as they are stored.
async fn stored(scene: &Scene) -> Vec<(String, String)> {
    let number = CaseNumber::parse(&scene.number).unwrap();
    let mut conn = scene.world.app.store.read().await.unwrap();
    let draft = drafts::find(&mut conn, &number).await.unwrap();
    draft.unwrap().fields.into_iter().collect()
}

/// Patterns of both jaws and the bite record stand at the office; a duplicate is worn above.
async fn copied() -> Scene {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    scene.add(&scene.dora, "provisional", "lower", "here").await;
    scene
        .write(&scene.dora, &[("order.course", "copy")])
        .await
        .is(303);
    scene
}

async fn sign(scene: &Scene) -> Answer {
    let (page, password) = (scene.at("/sign"), [("password", PASSWORD)]);
    scene.dora.send(&page, &page, &password).await
}

/// The lines of the sign page that count what nobody typed.
fn counted(page: &Answer) -> Vec<String> {
    let page = page.text();
    let part = page
        .split("<section class=\"untyped\">")
        .nth(1)
        .unwrap_or_default();
    let part = part.split("</section>").next().unwrap_or_default();
    let lines = part.split("<summary>").skip(1);
    lines
        .map(|line| {
            line.split("</summary>")
                .next()
                .unwrap_or_default()
                .to_owned()
        })
        .collect()
}

#[tokio::test]
async fn the_kind_of_work_fills_in_what_is_counted_before_it_is_signed_and_printed_after() {
    let scene = copied().await;
    scene.write(&scene.dora, &OWN).await.is(303);
    // Nothing that was filled in is stored, though the whole form was sent twice; but that there was no set of usual
    // values when it was begun.
    let mut keys: Vec<String> = stored(&scene)
        .await
        .into_iter()
        .map(|(key, _)| key)
        .collect();
    keys.sort();
    let stored = [
        "dates.wanted",
        "form.usual",
        "form.usual_lab",
        "order.course",
        "shade.tab",
    ];
    assert_eq!(keys, stored);
    scene.reason().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    let lines = counted(&page);
    for words in [
        "from the record",
        "as the pattern",
        "from the kind of work",
        "from the starting set",
        "worked out from other fields",
    ] {
        assert!(
            lines
                .iter()
                .any(|line| line.trim_end_matches("</span>").ends_with(words)),
            "{words}: {lines:?}"
        );
    }
    page.sees("What nobody typed")
        .sees("You sign them like all the others")
        .sees("Base material and process: Base material");
    sign(&scene).await.is(303);
    let revision = scene.tom.get(&scene.at("/revisions/1")).await;
    revision
        .sees("heat-cured acrylic resin")
        .sees("already in the pattern’s surface: keep")
        .sees("complete denture, 14 teeth")
        .sees("type 3 gypsum");
    // The sheet prints it.
    let sheet = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await;
    sheet.is(200);
}

#[tokio::test]
async fn a_value_that_is_emptied_stays_empty_and_one_that_is_typed_over_is_the_writers() {
    let scene = Scene::opened().await;
    scene
        .write(&scene.dora, &[("order.course", "copy")])
        .await
        .is(303);
    let changes = [("base.material", ""), ("finish.wet_packing", "no")];
    scene.write(&scene.dora, &changes).await.is(303);
    for _ in 0..2 {
        let stored = stored(&scene).await;
        let text = |key: &str| {
            let found = stored.iter().find(|(one, _)| one == key);
            found.map(|(_, text)| text.as_str())
        };
        assert_eq!(text("base.material"), Some(" "));
        assert_eq!(text("finish.wet_packing"), Some("no"));
        assert_eq!(text("base.strengthening"), None);
        // The form sent again as it stands changes nothing.
        scene.write(&scene.dora, &[]).await.is(303);
    }
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.sees("Base material and process: Strengthening")
        .sees_not("Base material and process: Base material")
        .sees_not("Send moist and sealed: yes");
}

#[tokio::test]
async fn the_switch_is_stored_with_the_draft_and_is_no_part_of_what_is_signed() {
    let scene = copied().await;
    scene.write(&scene.dora, &OWN).await.is(303);
    let switch = [("form.as_pattern", "no")];
    scene.write(&scene.dora, &switch).await.is(303);
    let is_stored = |fields: Vec<(String, String)>| {
        fields.contains(&("form.as_pattern".to_owned(), "no".to_owned()))
    };
    assert!(is_stored(stored(&scene).await));
    scene.reason().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.sees_not("form.as_pattern");
    let lines = counted(&page);
    assert!(
        lines.iter().all(|line| !line.ends_with("as the pattern")),
        "{lines:?}"
    );
    sign(&scene).await.is(303);
    scene.begin_draft().await;
    assert!(!is_stored(stored(&scene).await));
}

#[tokio::test]
async fn a_revision_written_again_gets_no_value_that_was_not_signed() {
    let scene = Scene::opened().await;
    scene
        .write(&scene.dora, &[("order.course", "everything")])
        .await
        .is(303);
    scene
        .write(&scene.dora, &[("base.material", "")])
        .await
        .is(303);
    scene.sign(&LEAST).await.is(303);
    scene.begin_draft().await;
    let signed = stored(&scene).await;
    let has = |key: &str| signed.iter().any(|(one, _)| one == key);
    assert!(
        has("base.strengthening") && !has("base.material"),
        "{signed:?}"
    );
    scene
        .write(&scene.dora, &[("dates.wanted", "2026-03-24")])
        .await
        .is(303);
    let now = stored(&scene).await;
    let keys = |fields: &[(String, String)]| {
        let keys = fields.iter().map(|(key, _)| key.clone());
        keys.filter(|key| !key.starts_with("reason."))
            .collect::<Vec<_>>()
    };
    assert_eq!(keys(&now), keys(&signed));
    scene.reason().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.is(200).sees_not("What nobody typed");
    assert_eq!(counted(&page), [""; 0]);
}

#[tokio::test]
async fn the_next_kind_of_work_in_a_signed_case_asks_its_own_again() {
    let scene = Scene::opened().await;
    let set_up = [("order.course", "set_up"), ("pieces.0.stage", "try_in")];
    let first = [&LEAST[..], &set_up].concat();
    scene.sign(&first).await.is(303);
    let chosen = [("order.course", "reset"), ("shade.tab", "B-30")];
    scene.write(&scene.dora, &chosen).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("Another kind than the one that is signed");
    let value = |key: &str| page.attribute(&format!("[name=\"{key}\"]"), "value");
    assert_eq!(value("dates.wanted"), "");
    assert_eq!(value("shade.tab"), "B-30");
    assert_eq!(value("pieces.0.description"), "reset as listed, wax try-in");
    // Turned back, what is signed stands again.
    let back = [("order.course", "set_up")];
    scene.write(&scene.dora, &back).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees_not("Another kind than the one that is signed");
    let value = |key: &str| page.attribute(&format!("[name=\"{key}\"]"), "value");
    assert_eq!(value("dates.wanted"), "2026-03-20");
    assert_eq!(value("pieces.0.description"), "complete denture");
}

#[tokio::test]
async fn l8_changes_cautions_and_names_are_read_before_what_nobody_typed_and_the_sheet() {
    let scene = copied().await;
    scene.write(&scene.dora, &OWN).await.is(303);
    scene.reason().await;
    sign(&scene).await.is(303);
    scene.begin_draft().await;
    let changes = [
        ("shade.tab", "birch 3"),
        ("remarks.remarks", "Mrs Quill wants them lighter"),
    ];
    scene.write(&scene.dora, &changes).await.is(303);
    scene.reason().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    let text = page.is(200).text();
    let order = [
        "What changes against revision 1",
        "Cautions that you accept",
        "Does a text name somebody?",
        "<figure>",
        "Signature</h2>",
    ];
    let places: Vec<usize> = order
        .iter()
        .map(|words| text.find(words).unwrap_or_else(|| panic!("{words}")))
        .collect();
    assert!(places.is_sorted(), "{places:?}");
    page.sees("Your reason:").sees("birch 3");
    // Each caution stands once: below its own title, and not among the changes.
    page.sees_not("Cautions that stand, with their reasons: Row");
}

#[tokio::test]
async fn l8_what_nobody_typed_is_named_before_the_sheet() {
    let scene = copied().await;
    scene.write(&scene.dora, &OWN).await.is(303);
    scene.reason().await;
    let text = scene.dora.get(&scene.at("/sign")).await.is(200).text();
    let place = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words}"));
    assert!(place("Cautions that you accept") < place("What nobody typed"));
    assert!(place("What nobody typed") < place("<figure>"));
}

#[tokio::test]
async fn a_thing_of_one_jaw_is_chosen_from_those_that_are_not_of_the_other() {
    let scene = copied().await;
    let page = scene.dora.whole_form(&scene.at("/write")).await.text();
    let offered = |field: &str, title: &str| {
        let (_, after) = page.split_once(&format!("name=\"{field}\"")).unwrap();
        after.split("</select>").next().unwrap().contains(title)
    };
    // The arch stands first: on a telephone the rest of the line is cut off.
    let (upper, lower) = (">Upper: T", ">Lower: T");
    for (field, of_upper, of_lower) in [
        ("pattern.upper_item", true, false),
        ("pattern.lower_item", false, true),
        ("jaw.item", true, true),
    ] {
        let found = (offered(field, upper), offered(field, lower));
        assert_eq!(found, (of_upper, of_lower), "{field}");
    }
}
