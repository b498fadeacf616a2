//! How long the papers of a closed case are kept, the list of those past their day, and those that the office keeps
//! longer.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::{LEAST, Scene};
use vestibule::app::examine::examine;

/// A week more than four years, in minutes.
const FOUR_YEARS: i64 = (4 * 365 + 8) * 24 * 60;

/// Signed under these profiles and closed, with a note in the entry of its end.
async fn closed(office: &str, lab: &str) -> Scene {
    let scene = Scene::opened().await;
    for (who, profile) in [(&scene.dora, office), (&scene.mara, lab)] {
        let fields = [("profile", profile)];
        who.send("/law", "/law", &fields).await.is(303);
    }
    let sent = [("dates.sent", "2026-03-02")];
    let fields: Vec<_> = LEAST.into_iter().chain(sent).collect();
    scene.sign(&fields).await.is(303);
    let said = [
        ("password", PASSWORD),
        ("nothing_made", "yes"),
        ("note", "made elsewhere"),
    ];
    let close = scene.at("/close");
    scene.dora.send(&close, &close, &said).await.is(303);
    scene
}

/// Says it on the page about the papers, under the form that is there.
async fn says(scene: &Scene, who: &Visitor, end: &str, why: &str) -> Answer {
    let page = scene.at("/keep");
    let action = format!("{page}{end}");
    let fields = [("keep_reason", why), ("password", PASSWORD)];
    who.send(&page, &action, &fields).await
}

#[tokio::test]
async fn the_page_says_each_houses_day_with_its_source_and_who_has_none() {
    let scene = closed("us-fl", "common").await;
    for who in [&scene.anna, &scene.tom] {
        // Fla. Admin. Code 64B5-17.006: four years, both sides; it counts for the laboratory too.
        let page = who.get(&scene.at("/keep")).await;
        page.is(200)
            .sees("Office to be kept until Sat 2 Mar 2030, by the profile “Florida”")
            .sees("Laboratory to be kept until Sat 2 Mar 2030, by the profile “Florida”")
            .sees("Fla. Admin. Code 64B5-17.006; Fla. Stat. 466.021")
            .sees("Check against local law")
            .sees("The dentist says it for the office, the lab manager for the lab.");
        assert_eq!(page.count("input[name=keep_reason]"), 0);
        who.get(&scene.at(""))
            .await
            .sees("Papers to be kept: office until 2030-03-02");
    }
    for (login, status) in [("sven", 404), ("lars", 404), ("root", 403)] {
        let stranger = scene.world.person(login);
        stranger.get(&scene.at("/keep")).await.is(status);
    }
    let none = closed("common", "common").await;
    none.dora
        .get(&none.at("/keep"))
        .await
        .sees("Office no retention period given: local law decides");
    none.dora
        .get("/in-house")
        .await
        .sees("None by the profiles that were chosen.")
        .sees("1 closed case without a day: no retention period given");
    let unsigned = Scene::opened().await;
    unsigned
        .tom
        .get(&unsigned.at("/keep"))
        .await
        .is(200)
        .sees("Nothing was signed in this case");
}

#[tokio::test]
async fn a_closed_case_past_its_day_stands_on_the_list_of_each_house_by_its_own_day() {
    // W. Va. Code 30-4B-2: two years, both sides. UK Medical Devices Regulations 2002: five, the lab.
    let scene = closed("us-wv", "uk").await;
    scene.dora.get("/in-house").await.sees_not("past their day");
    scene.world.pass_minutes(FOUR_YEARS);
    let dora = scene.world.visitor("dora").await;
    let page = dora.get("/in-house").await;
    page.is(200)
        .sees("Papers of closed cases past their day")
        .sees("kept until Thu 2 Mar 2028")
        .sees("Nothing is deleted by itself.");
    assert_eq!(page.hrefs(&scene.at("/keep")).len(), 1);
    let keep = dora.get(&scene.at("/keep")).await;
    keep.sees("that day has passed");
    keep.sees("Laboratory to be kept until Sun 2 Mar 2031, by the profile “Great Britain”");
    // The laboratory's day is still to come, and a stranger has neither case nor list.
    let tom = scene.world.visitor("tom").await;
    tom.get("/in-house").await.sees_not("Papers of closed");
    let sven = scene.world.visitor("sven").await;
    sven.get("/in-house").await.sees_not("Papers of closed");
}

#[tokio::test]
async fn a_case_that_was_opened_again_is_on_no_list() {
    let scene = closed("common", "common").await;
    let fields = [("reason", "a sore spot")];
    let (page, action) = (scene.at("/close"), scene.at("/reopen"));
    scene.dora.send(&page, &action, &fields).await.is(303);
    scene
        .dora
        .get("/in-house")
        .await
        .sees_not("Papers of closed");
}

#[tokio::test]
async fn the_office_keeps_papers_longer_with_a_reason_and_nothing_is_erased_until_it_lifts_that() {
    let scene = closed("us-fl", "us-fl").await;
    // The form as it stood before: nobody is to erase by it afterwards.
    let erase = scene.at("/erase");
    let mut sent = scene.dora.get(&erase).await.form(&erase, &erase, "");
    let texts = scene.dora.get(&erase).await.names("text.");
    assert_eq!(texts.len(), 1);
    for (key, text) in [
        (texts[0].as_str(), "yes"),
        ("why", "names_patient"),
        ("password", PASSWORD),
    ] {
        sent.insert(key.to_owned(), text.to_owned());
    }
    let sent: Vec<(&str, &str)> = sent
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    let bare = says(&scene, &scene.dora, "", " ").await;
    bare.is(422).sees("Say why.");
    let why = "A complaint is open with the board.";
    says(&scene, &scene.dora, "", why).await.is(303);
    for (who, whose) in [(&scene.anna, "Your side"), (&scene.mara, "The other side")] {
        let page = who.get(&scene.at("/keep")).await;
        page.sees(&format!("{whose} keeps the papers of this case longer"))
            .sees("by dora, Northgate Dental: A complaint is open with the board.");
        who.get(&scene.at("")).await.sees("A complaint is open");
        who.get(&scene.at("/history"))
            .await
            .sees("Papers of the case to be kept longer");
    }
    // Neither house erases, by the page or by a form of before; the reason is told.
    for who in [&scene.dora, &scene.mara] {
        let page = who.get(&erase).await;
        page.is(200).sees("Nothing is erased until that is lifted.");
        assert_eq!(page.names("text.").len(), 0);
    }
    let refused = scene.dora.post(&erase, &sent).await;
    refused
        .is(409)
        .sees("A complaint is open with the board. Nothing is erased until that is lifted.");
    // Nobody but the dentist lifts it, and nobody says it twice.
    let fields = [
        ("keep_reason", why),
        ("password", PASSWORD),
        ("post_key", "keep-key-0001"),
    ];
    for (who, status) in [(&scene.anna, 403), (&scene.tom, 403), (&scene.dora, 409)] {
        who.post(&scene.at("/keep"), &fields).await.is(status);
    }
    // The lab keeps its own, by its manager's word, and lifts nothing of the office's.
    let claim = "A claim against the lab.";
    says(&scene, &scene.mara, "", claim).await.is(303);
    scene
        .dora
        .get(&scene.at("/keep"))
        .await
        .sees("by mara, Kiln Laboratory: A claim against the lab.");
    says(&scene, &scene.mara, "/end", "It was settled.")
        .await
        .is(303);
    scene
        .mara
        .get(&erase)
        .await
        .sees("Nothing is erased until that is lifted.");
    let lifted = says(&scene, &scene.dora, "/end", "The complaint was withdrawn.").await;
    assert!(lifted.is(303).location().ends_with("done=kept_no_longer"));
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Papers of the case need not be kept longer");
    let erased = scene.dora.post(&erase, &sent).await;
    erased.is(303);
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees_not("made elsewhere");
}

#[tokio::test]
async fn what_is_kept_longer_is_marked_on_the_list_and_stays_there() {
    let scene = closed("us-wv", "common").await;
    says(&scene, &scene.dora, "", "a claim is open")
        .await
        .is(303);
    scene.world.pass_minutes(FOUR_YEARS);
    let dora = scene.world.visitor("dora").await;
    dora.get("/in-house")
        .await
        .sees("kept longer, past Thu 2 Mar 2028");
}

#[tokio::test]
async fn whoever_changes_the_list_of_papers_past_the_program_is_found() {
    let scene = closed("us-fl", "uk").await;
    let whole = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(whole.faults, []);
    for sql in [
        "UPDATE papers_kept SET office_until = '2020-01-01'",
        "UPDATE papers_kept SET longer = 1",
        "DELETE FROM papers_kept",
    ] {
        let mut conn = scene.world.past_the_store().await;
        sqlx::raw_sql(sql).execute(&mut conn).await.unwrap();
        let found = examine(&scene.world.app, None).await.unwrap();
        let words = format!("{:?}", found.faults);
        assert!(
            words.contains("How long the papers of case"),
            "{sql}: {words}"
        );
    }
}

/// Papers are thrown away by what a list says: what texts and entries do not say stands on none.
#[tokio::test]
async fn papers_past_their_day_by_a_changed_row_alone_are_not_listed() {
    let scene = closed("us-fl", "uk").await;
    const HEADING: &str = "1 Jan 2020";
    scene.dora.get("/in-house").await.is(200).sees_not(HEADING);
    let mut conn = scene.world.past_the_store().await;
    let sooner = "UPDATE papers_kept SET office_until = '2020-01-01'";
    sqlx::raw_sql(sooner).execute(&mut conn).await.unwrap();
    let house = scene.dora.get("/in-house").await;
    house
        .is(200)
        .sees_not(HEADING)
        .sees("1 of the cases cannot be read");
}
