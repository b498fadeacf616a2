//! Local law: profiles are chosen by the parties, the review goes by them, and what is signed keeps them.

use crate::common::{Answer, PASSWORD, Visitor, World};
use crate::scene::{LEAST, Scene};
use vestibule::domain::law::profile::Profiles;

async fn choose(who: &Visitor, profile: &str) -> Answer {
    who.send("/law", "/law", &[("profile", profile)]).await
}

/// The least with the date on which it is sent, which Florida asks for.
fn sent() -> Vec<(&'static str, &'static str)> {
    LEAST
        .into_iter()
        .chain([("dates.sent", "2026-03-02")])
        .collect()
}

#[tokio::test]
async fn each_party_chooses_its_profile_and_the_signed_text_keeps_both() {
    let scene = Scene::opened().await;
    scene.dora.get("/law").await.sees("Chosen: Common minimum");
    choose(&scene.dora, "us-fl").await.is(303);
    choose(&scene.mara, "eu").await.is(303);
    scene.anna.get("/law").await.sees("Chosen: Florida");
    scene.tom.get("/law").await.sees("Chosen: European Union");
    scene.sign(&sent()).await.is(303);
    // Fla. Admin. Code 64B5-17.006: four years, both sides. Regulation (EU) 2017/745, Annex XIII: ten, the lab.
    let kept = "office until 2030-03-02 (Florida); laboratory until 2036-03-02 (European Union); local law decides";
    let revision = scene.at("/revisions/1");
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees(&format!("To be kept: {kept}."));
    scene.tom.get(&revision).await.sees(kept);
    let slip = scene.tom.get(&format!("{revision}/slip.pdf")).await;
    choose(&scene.dora, "common").await.is(303);
    choose(&scene.mara, "us-ct").await.is(303);
    scene.dora.get(&scene.at("")).await.sees(kept);
    let page = scene.tom.get(&revision).await;
    page.sees("Profile of the office Florida [us-fl]: Fla. Admin. Code 64B5-17.006; Fla. Stat. 466.021 (unofficial copy");
    page.sees("Profile of the laboratory European Union [eu]:");
    let later = scene.tom.get(&format!("{revision}/slip.pdf")).await;
    assert_eq!(
        slip.is(200).body,
        later.is(200).body,
        "a slip never changes"
    );
}

#[tokio::test]
async fn of_two_revisions_the_later_day_counts_for_the_case() {
    let scene = Scene::opened().await;
    choose(&scene.dora, "us-fl").await.is(303);
    scene.sign(&sent()).await.is(303);
    choose(&scene.dora, "common").await.is(303);
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    scene
        .dora
        .get(&scene.at("/revisions/2"))
        .await
        .sees("To be kept the profiles name no time; local law decides");
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("To be kept: office until 2030-03-02 (Florida)");
}

#[tokio::test]
async fn what_the_labs_law_asks_for_stops_the_dentist_until_it_is_there() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    let form = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(
        form.names("law.board_form").len(),
        0,
        "no profile asks for it"
    );
    choose(&scene.mara, "us-ct").await.is(303);
    let form = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(form.names("law.board_form").len(), 1);
    form.sees("The profile Connecticut asks for the form of the board, and that is missing.");
    form.sees("Source: Connecticut: Conn. Gen. Stat. 20-122a");
    scene.reason().await;
    // A mark has to be offered there, and that is no caution any more.
    let path = scene.at("/sign");
    let refused = scene.dora.get(&path).await;
    refused
        .sees("Not ready to be signed")
        .sees("The form of the board is filled in as well");
    refused.sees("In Connecticut a mark on the denture is offered to the patient. Say that it may cost extra.");
    let there = [("law.board_form", "yes"), ("marking.offered", "yes")];
    scene.write(&scene.dora, &there).await.is(303);
    scene.reason().await;
    scene
        .dora
        .send(&path, &path, &[("password", PASSWORD)])
        .await
        .is(303);
    scene
        .tom
        .get(&scene.at("/revisions/1"))
        .await
        .sees("The form of the board is filled in as well yes");
}

#[tokio::test]
async fn a_change_of_law_between_reading_and_signing_signs_nothing() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let path = scene.at("/sign");
    let mut form = scene.dora.get(&path).await.form(&path, &path, "");
    choose(&scene.mara, "us-fl").await.is(303);
    form.insert("password".to_owned(), PASSWORD.to_owned());
    let fields: Vec<(&str, &str)> = form
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    scene
        .dora
        .post(&path, &fields)
        .await
        .is(409)
        .sees("Nothing was signed.");
}

#[tokio::test]
async fn only_who_answers_for_a_party_chooses_and_only_what_is_there() {
    let scene = Scene::opened().await;
    let root = scene.world.person("root");
    let fields = [
        ("profile", "us-fl"),
        ("version", "1"),
        ("post_key", "law-key-00001"),
    ];
    for who in [&scene.anna, &scene.tom, &root] {
        who.post("/law", &fields).await.is(403);
        assert_eq!(
            who.get("/law").await.is(200).count("form[action=\"/law\"]"),
            0
        );
    }
    for wrong in ["", "atlantis", "<b>"] {
        choose(&scene.dora, wrong)
            .await
            .is(422)
            .sees("This installation has no such profile of local law");
    }
    // A page that was opened before somebody else chose.
    let stale = scene.dora.get("/law").await.form("/law", "/law", "");
    choose(&scene.dora, "us-fl").await.is(303);
    let mut fields: Vec<(&str, &str)> = stale
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    fields.retain(|(key, _)| *key != "profile");
    fields.push(("profile", "eu"));
    scene.dora.post("/law", &fields).await.is(409);
    scene.dora.get("/law").await.sees("Chosen: Florida");
}

#[tokio::test]
async fn an_administrator_chooses_with_the_party_and_reads_every_profile_with_its_sources() {
    let scene = Scene::opened().await;
    let root = scene.world.person("root");
    let path = root
        .get("/parties")
        .await
        .attribute("th a[href^=\"/parties/\"]", "href");
    root.send(&path, &path, &[("profile", "us-ok")])
        .await
        .is(303);
    root.get(&path).await.sees("Oklahoma");
    assert_eq!(
        root.get(&path)
            .await
            .attribute("option[value=us-ok][selected]", "value"),
        "us-ok"
    );
    root.send(&path, &path, &[("profile", "atlantis")])
        .await
        .is(422)
        .sees("choose another");
    let page = root.get("/law").await;
    page.sees("local law decides")
        .sees("59 O.S. 328.36a")
        .sees("4 years by both sides");
    page.sees("10 years by the laboratory; implantable devices 15 years");
    page.sees("a denture is marked unless the patient objects or it cannot be done");
}

const OWN: &str = r#"[{"key":"weir-land","name":"Weir land","required":["patient","lab_licence"],
    "retention":{"years":7,"implantable_years":null,"kept_by":"dentist"},"marking":null,"subcontract_authorization":false,
    "rules":[{"about":["items","retention"],"rule":"A rule.","source":"Weir land act 4","as_of":"2026-01-05"}]}]"#;

#[tokio::test]
async fn a_profile_of_ones_own_file_is_chosen_and_missed_when_the_file_is_gone() {
    let own = Profiles::with_own(OWN).unwrap();
    let mut scene = Scene::opened_in(World::peopled().await.under(own)).await;
    scene
        .dora
        .get("/law")
        .await
        .sees("Weir land act 4")
        .sees("2026-01-05");
    choose(&scene.dora, "weir-land").await.is(303);
    scene.sign(&LEAST).await.is(303);
    let kept = "office until 2033-03-02 (Weir land); laboratory: the profiles name no time";
    scene.dora.get(&scene.at("/revisions/1")).await.sees(kept);
    scene.world = scene.world.under(Profiles::built_in());
    scene.dora = scene.world.person("dora");
    // What is signed still says what it was signed with; nothing new is signed without the profile.
    scene.dora.get(&scene.at("/revisions/1")).await.sees(kept);
    scene
        .dora
        .get("/law")
        .await
        .sees("Chosen: weir-land, which is not on this installation");
    scene.begin_draft().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.sees("The office has chosen the profile of local law “weir-land”, which this installation does not have");
    choose(&scene.dora, "weir-land").await.is(422);
    choose(&scene.dora, "common").await.is(303);
}
