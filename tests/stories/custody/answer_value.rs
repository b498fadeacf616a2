//! An answer that is the value of a field: it goes into the draft of the next revision, and signs nothing.

use crate::common::{Answer, Visitor};
use crate::scene::Scene;

const LINE: [(&str, &str); 2] = [("section", "vertical"), ("line", "vertical.rest_mm")];
const FIELD: &str = "vertical.rest_mm";

async fn ask(scene: &Scene, about: &[(&str, &str)]) {
    let said = [("matter", "unclear"), ("question", "at rest or closed?")];
    let fields: Vec<(&str, &str)> = said.iter().chain(about).copied().collect();
    let (page, to) = (scene.at("/questions"), scene.at("/ask"));
    scene.tom.send(&page, &to, &fields).await.is(303);
}

async fn answer(scene: &Scene, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
    let (page, to) = (scene.at("/questions"), scene.at("/answer"));
    who.send(&page, &to, fields).await
}

async fn in_draft(scene: &Scene) -> Option<String> {
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let form = page.form(&scene.at("/write"), &scene.at("/write"), "");
    form.get(FIELD).cloned().filter(|text| !text.is_empty())
}

#[tokio::test]
async fn a_value_goes_into_the_draft_with_the_answer_and_nothing_is_signed() {
    let (scene, _) = Scene::at_the_lab().await;
    ask(&scene, &LINE).await;
    let page = scene.at("/questions");
    let offered = format!("input[name='{FIELD}']");
    let shown = scene.anna.get(&page).await;
    assert_eq!(shown.count(&offered), 1);
    shown
        .sees("New value of “Rest vertical dimension”")
        .sees("Nothing stands there now.");
    // Whoever asked answers nothing, and is offered no field.
    assert_eq!(scene.tom.get(&page).await.count(&offered), 0);
    // What the field does not take is said beside it, and nothing is entered.
    let wrong = [("answer", "the height of the pattern"), (FIELD, "high")];
    let back = answer(&scene, &scene.anna, &wrong).await;
    back.is(422).sees("the height of the pattern");
    assert_eq!(back.count(&format!("{offered}[aria-invalid]")), 1);
    assert_eq!(in_draft(&scene).await, None);
    scene.tom.get(&page).await.sees_not("Nothing is open.");
    // The value alone is an answer.
    let done = answer(&scene, &scene.anna, &[(FIELD, "69")]).await;
    let leads = done.is(303).location();
    scene
        .anna
        .get(leads.split('#').next().unwrap())
        .await
        .sees("In the draft now: Heights, Rest vertical dimension: 69 mm")
        .sees("Nothing is signed by it.");
    assert_eq!(in_draft(&scene).await.as_deref(), Some("69"));
    scene
        .tom
        .get(&page)
        .await
        .sees("Rest vertical dimension: 69 mm. To be signed as a revision.")
        .sees("A revision follows.");
    scene.tom.get(&scene.at("/revisions/2")).await.is(404);
    // The rest of the draft is what is in force, and the dentist signs it as ever.
    scene.sign(&[]).await.is(303);
    scene.tom.get(&scene.at("/revisions/2")).await.sees("69 mm");
    scene.tom.get(&page).await.sees("Nothing is open.");
}

#[tokio::test]
async fn work_that_waits_goes_on_when_the_promised_revision_is_signed() {
    let (scene, _) = Scene::at_the_lab().await;
    ask(&scene, &[&LINE[..], &[("waits", "yes")]].concat()).await;
    let said = [("answer", "69 mm, the revision follows"), ("go", "write")];
    answer(&scene, &scene.anna, &said).await.is(303);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("a revision follows, and the work waits for it");
    let bench = scene.tom.get(&scene.at("/bench")).await;
    bench.sees("69 mm, the revision follows");
    let office = scene.dora.get(&scene.at("")).await;
    office.sees("Your turn: sign the revision that was promised, or answer that none is needed.");
    scene.sign(&[(FIELD, "69")]).await.is(303);
    let page = scene.tom.get(&scene.at("/questions")).await;
    page.sees("Nothing is open.").sees("Revision 2 is signed.");
    // What was answered stands beside it where the work is done.
    scene.accept(2).await;
    let bench = scene.tom.get(&scene.at("/bench")).await;
    bench
        .sees("69 mm, the revision follows")
        .sees("Revision 2 is signed.");
    // Another one, and no revision is needed after all.
    ask(&scene, &[&LINE[..], &[("waits", "yes")]].concat()).await;
    answer(&scene, &scene.anna, &said).await.is(303);
    answer(&scene, &scene.anna, &[("answer", "69 stands")])
        .await
        .is(303);
    let page = scene.tom.get(&scene.at("/questions")).await;
    page.sees("Nothing is open.");
}

#[tokio::test]
async fn an_answer_without_a_value_changes_no_draft() {
    let (scene, _) = Scene::at_the_lab().await;
    ask(&scene, &LINE).await;
    answer(&scene, &scene.anna, &[("answer", "as signed")])
        .await
        .is(303);
    assert_eq!(in_draft(&scene).await, None);
    // With the other button the draft opens at the field, the value in it.
    ask(&scene, &LINE).await;
    let fields = [("answer", "69 mm"), (FIELD, "69 mm"), ("go", "write")];
    let done = answer(&scene, &scene.anna, &fields).await;
    assert!(
        done.is(303)
            .location()
            .ends_with("/write?at=vertical#f-vertical-rest_mm")
    );
    assert_eq!(in_draft(&scene).await.as_deref(), Some("69 mm"));
}

#[tokio::test]
async fn what_somebody_has_written_meanwhile_is_not_written_over_in_silence() {
    let (scene, _) = Scene::at_the_lab().await;
    ask(&scene, &LINE).await;
    let page = scene.at("/questions");
    let open = |shown: &Answer| shown.form(&page, &scene.at("/answer"), "");
    let send = async |mut form: std::collections::BTreeMap<String, String>| {
        form.insert(FIELD.to_owned(), "69".to_owned());
        form.insert("answer".to_owned(), "69 mm".to_owned());
        let fields: Vec<(&str, &str)> = form
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
            .collect();
        scene.dora.post(&scene.at("/answer"), &fields).await
    };
    // Before there was a draft, and in one that has changed: the same.
    for (wrote, stands) in [("70", "70 mm"), ("71", "71 mm")] {
        let stale = open(&scene.dora.get(&page).await);
        scene.write(&scene.anna, &[(FIELD, wrote)]).await.is(303);
        let back = send(stale).await;
        back.is(422)
            .sees(&format!(
                "Somebody has written “{stands}” here in the draft meanwhile."
            ))
            .sees("Nothing was entered");
        assert_eq!(in_draft(&scene).await.as_deref(), Some(wrote));
        scene.tom.get(&page).await.sees_not("Nothing is open.");
    }
    // Another field that was written meanwhile is nobody's hindrance; nor is a text that was seen.
    let stale = open(&scene.dora.get(&page).await);
    let other = [("vertical.occlusal_mm", "66")];
    scene.write(&scene.anna, &other).await.is(303);
    send(stale).await.is(303);
    assert_eq!(in_draft(&scene).await.as_deref(), Some("69"));
    let draft = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(
        draft.count("input[name='vertical.occlusal_mm'][value='66']"),
        1
    );
}

#[tokio::test]
async fn a_draft_that_was_signed_meanwhile_takes_nothing_and_the_words_stay() {
    let (scene, _) = Scene::at_the_lab().await;
    ask(&scene, &LINE).await;
    scene.write(&scene.anna, &[(FIELD, "70")]).await.is(303);
    let page = scene.at("/questions");
    let shown = scene.anna.get(&page).await;
    let mut form = shown.form(&page, &scene.at("/answer"), "");
    scene.sign(&[]).await.is(303);
    form.insert(FIELD.to_owned(), "69".to_owned());
    form.insert("answer".to_owned(), "measured again".to_owned());
    let fields: Vec<(&str, &str)> = form
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    scene
        .anna
        .post(&scene.at("/answer"), &fields)
        .await
        .is(409)
        .sees("has been signed or given up meanwhile")
        .sees("measured again")
        .sees("Now: 70 mm.");
    scene.tom.get(&page).await.sees_not("Nothing is open.");
}

#[tokio::test]
async fn a_row_of_a_list_or_a_whole_part_is_answered_as_before() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.at("/questions");
    for about in [
        &[("section", "order"), ("line", "pieces.#.description")][..],
        &[("section", "vertical")],
        &[],
    ] {
        ask(&scene, about).await;
        let shown = scene.dora.get(&page).await;
        assert_eq!(shown.count("article input[name='base']"), 0);
        // A value that is sent all the same goes nowhere.
        let sent = [("answer", "as signed"), (FIELD, "69")];
        answer(&scene, &scene.dora, &sent).await.is(303);
        assert_eq!(in_draft(&scene).await, None);
    }
}
