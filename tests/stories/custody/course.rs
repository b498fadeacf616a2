//! The course of a case between both houses: what is listed and does not come, work that stands still, what is
//! mistaken, and what waits for whom.

use crate::common::{Answer, PASSWORD};
use crate::copies::pages;
use crate::pdf_text::{LAYOUT, text_of};
use crate::scene::{LEAST, SPARE, Scene, Things, open_case, over};

/// Bite record and facebow are listed as enclosed in revision 1; nothing has been sent.
async fn listed() -> (Scene, Things, String) {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let facebow = scene.add(&scene.anna, "facebow_record", "", "here").await;
    let rows = [
        ("enclosed.0.tag", things.bite.as_str()),
        ("enclosed.1.tag", facebow.as_str()),
        ("enclosed.2.what", "a photograph of the smile"),
    ];
    let fields: Vec<(&str, &str)> = LEAST.into_iter().chain(rows).collect();
    scene.sign(&fields).await.is(303);
    (scene, things, facebow)
}

fn ticked(page: &Answer, tag: &str) -> usize {
    page.count(&format!("input[name=\"{tag}.take\"][checked]"))
}

async fn acknowledge(scene: &Scene, revision: i64) {
    let path = scene.at(&format!("/revisions/{revision}/acknowledge"));
    let key = format!("acknowledge-{revision}");
    scene.tom.post(&path, &[("post_key", &key)]).await.is(303);
}

/// Pages of a case on which it stands that the work stands still.
const OF_THE_CASE: [&str; 8] = [
    "",
    "/release",
    "/history",
    "/labels",
    "/holds",
    "/items/new",
    "/halt",
    "/revisions/1",
];

#[tokio::test]
async fn c1_what_is_listed_is_ticked_and_what_stays_is_asked_named_and_waited_for() {
    let (scene, things, facebow) = listed().await;
    let page = scene.anna.get(&scene.at("/release")).await;
    assert_eq!(
        (ticked(&page, &things.bite), ticked(&page, &facebow)),
        (1, 1)
    );
    page.sees("listed as enclosed");
    let without = format!("{facebow}.take");
    let only_one = [(without.as_str(), "")];
    let asked = scene.release(&scene.anna, &[&things.bite], &only_one).await;
    asked
        .is(422)
        .sees("1 listed item stays here: Facebow record")
        .sees("Send anyway?");
    let anyway = [(without.as_str(), ""), ("stays", "yes")];
    scene
        .release(&scene.anna, &[&things.bite], &anyway)
        .await
        .is(303);
    // At receipt it is named, with what has no tag to be looked for.
    let path = scene.handoff(&scene.tom).await;
    scene
        .tom
        .get(&path)
        .await
        .sees("Listed as enclosed in the prescription, and not in this handoff")
        .sees("Facebow record")
        .sees("a photograph of the smile: listed without a tag");
    scene
        .receive(&scene.tom, &[(&things.bite, "sound")], &[])
        .await
        .is(303);
    acknowledge(&scene, 1).await;
    // Both sides read that the office is waited for.
    for (who, list, words) in [
        (
            &scene.anna,
            "you",
            "Send what is listed as enclosed and has not come",
        ),
        (
            &scene.tom,
            "others",
            "Office: send what is listed as enclosed and has not come",
        ),
    ] {
        let page = who.get("/").await;
        page.sees(words);
        page.sees_not("make the work").sees_not("Make the work");
        who.get(&scene.at(""))
            .await
            .sees("Listed as enclosed in revision 1, and has not been sent");
        // It stands in one list, and in no other.
        for one in ["you", "coming", "others"] {
            let page = who.get(&format!("/?list={one}")).await;
            let count = page.count(&format!("a[href=\"/cases/{}\"]", scene.number));
            assert_eq!(count, usize::from(one == list), "{one}");
        }
    }
    scene
        .anna
        .get(&scene.at("/history"))
        .await
        .sees("Listed as enclosed, and stays here for now");
    let days = scene.at("/dates");
    let planned = scene.dora.get(&days).await;
    planned.sees("comes today the work is back on");
    // A revision that does not list it lets the work begin.
    scene.sign(&[("enclosed.1.tag", "")]).await.is(303);
    acknowledge(&scene, 2).await;
    let planned = scene.dora.get(&days).await;
    planned.sees("As it stands the work is back on");
    scene
        .tom
        .get("/")
        .await
        .sees("Make the work and hand it back");
}

#[tokio::test]
async fn the_day_of_the_work_names_what_is_still_to_come() {
    let (scene, things, facebow) = listed().await;
    let without = format!("{facebow}.take");
    let anyway = [(without.as_str(), ""), ("stays", "yes")];
    scene
        .release(&scene.anna, &[&things.bite], &anyway)
        .await
        .is(303);
    let note = format!("{}.note", things.bite);
    let torn = [(note.as_str(), "torn through")];
    scene
        .receive(&scene.tom, &[(&things.bite, "damaged")], &torn)
        .await
        .is(303);
    let days = scene.at("/dates");
    let page = scene.dora.get(&days).await;
    page.sees("If what was found wrong is resolved today and facebow record")
        .sees("comes today the work is back on");
    let said = [
        ("reason", "it fell"),
        ("done", "a new one is taken"),
        ("password", PASSWORD),
    ];
    let holds = scene.at("/holds");
    scene.anna.send(&holds, &holds, &said).await.is(303);
    // The new one is nowhere yet.
    let page = scene.dora.get(&days).await;
    page.sees("If facebow record")
        .sees("comes today and what was answered about the damaged bite record")
        .sees("is done the work is back on");
}

#[tokio::test]
async fn c4_finished_work_leaves_before_a_newer_revision_is_read_with_a_tick_only() {
    let (scene, things) = Scene::at_the_lab().await;
    acknowledge(&scene, 1).await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    scene
        .tom
        .get(&scene.at("/release"))
        .await
        .sees("Revision 2 is in force, and nobody here has acknowledged it")
        .sees("B-30");
    // What goes back without the final is not asked about.
    let asked = scene
        .release(&scene.tom, &[&last], &[("purpose_code", "finished")])
        .await;
    asked
        .is(422)
        .sees("Revision 2 is in force, and nobody here has acknowledged it: read what it changes");
    let anyway = [("purpose_code", "finished"), ("unread", "yes")];
    scene.release(&scene.tom, &[&last], &anyway).await.is(303);
    scene
        .anna
        .get(&scene.at("/history"))
        .await
        .sees("Revision 2 was not acknowledged when this left");
    assert_ne!(last, things.bite);
}

#[tokio::test]
async fn c4_no_work_leaves_on_an_unacknowledged_revision_without_saying_so() {
    let (scene, things) = Scene::at_the_lab().await;
    let history = scene.at("/history");
    let said = |page: &Answer, number: i64| {
        let words = format!("Revision {number} was not acknowledged when this left");
        page.words().matches(&words).count()
    };
    // The first revision: the form says it, and so does the entry.
    let rims = scene.add(&scene.tom, "rims", "upper", "here").await;
    scene
        .tom
        .get(&scene.at("/release"))
        .await
        .sees("Revision 1 is in force, and nobody here has acknowledged it");
    let record = [("purpose_code", "record")];
    scene.release(&scene.tom, &[&rims], &record).await.is(303);
    assert_eq!(said(&scene.anna.get(&history).await, 1), 1);
    acknowledge(&scene, 1).await;
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    // A newer one: asked with a tick, of a try-in as of a final.
    let trial = scene.add(&scene.tom, "try_in", "upper", "here").await;
    let asked = [("purpose_code", "trial")];
    scene
        .release(&scene.tom, &[&trial], &asked)
        .await
        .is(422)
        .sees("Revision 2 is in force, and nobody here has acknowledged it");
    let anyway = [("purpose_code", "trial"), ("unread", "yes")];
    scene.release(&scene.tom, &[&trial], &anyway).await.is(303);
    assert_eq!(said(&scene.anna.get(&history).await, 2), 1);
    // What goes back as it came is no work.
    let back = [("purpose_code", "going_back")];
    scene
        .release(&scene.tom, &[&things.bite], &back)
        .await
        .is(303);
    assert_eq!(said(&scene.anna.get(&history).await, 2), 1);
}

async fn decide(scene: &Scene, word: &str, more: &[(&str, &str)]) -> Answer {
    let said = [
        ("reason", "the bite is another one"),
        ("password", PASSWORD),
    ];
    let fields: Vec<(&str, &str)> = said.iter().chain(more).copied().collect();
    let (page, within) = (scene.at("/halt"), format!("value=\"{word}\""));
    scene.dora.send_where(&page, &page, &within, &fields).await
}

#[tokio::test]
async fn c5_the_dentist_stops_the_lab_takes_notice_and_it_goes_on() {
    let (scene, things) = Scene::at_the_lab().await;
    decide(&scene, "stop", &[("reason", "")])
        .await
        .is(422)
        .sees("Say why: the lab reads it.");
    decide(&scene, "stop", &[("password", "no such one")])
        .await
        .is(422);
    decide(&scene, "stop", &[]).await.is(303);
    // On top of every page of the case, for both.
    let paths = OF_THE_CASE.map(|rest| scene.at(rest)).into_iter();
    for path in paths.chain([format!("/items/{}", things.bite)]) {
        scene
            .tom
            .get(&path)
            .await
            .sees("Stopped by dora")
            .sees("the bite is another one");
        scene
            .anna
            .get(&path)
            .await
            .sees("The lab has not acknowledged it yet.");
    }
    scene.begin_draft().await;
    for rest in [
        "/mouth",
        "/close",
        "/erase",
        "/write",
        "/sign",
        "/reported",
        "/moulds",
    ] {
        let page = scene.dora.get(&scene.at(rest)).await;
        page.is(200).sees("Stopped by dora");
    }
    let page = scene.at("/items/new");
    let made = [
        ("item_kind", "final_denture"),
        ("arch", "upper"),
        ("place", "here"),
    ];
    scene
        .tom
        .send(&page, &page, &made)
        .await
        .is(409)
        .sees("The work is stopped since");
    let (case, heed) = (scene.at(""), scene.at("/heed"));
    scene.tom.send(&case, &heed, &[]).await.is(303);
    scene.dora.get(&case).await.sees("acknowledged it on");
    scene
        .dora
        .get("/")
        .await
        .sees("Say whether the work goes on");
    scene
        .release(&scene.tom, &[&things.bite], &[])
        .await
        .is(303);
    decide(&scene, "go_on", &[]).await.is(303);
    scene.tom.get(&case).await.sees_not("Stopped by dora");
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Work stopped")
        .sees("The work goes on");
    // An assistant decides nothing of this.
    scene
        .anna
        .get(&scene.at("/halt"))
        .await
        .sees("None of these can be decided now.");
}

#[tokio::test]
async fn c5_a_pause_stands_on_every_page_of_the_case_until_the_work_goes_on() {
    let (scene, things) = Scene::at_the_lab().await;
    decide(&scene, "pause", &[]).await.is(303);
    let mut paths: Vec<String> = OF_THE_CASE.map(|rest| scene.at(rest)).into();
    paths.push(format!("/items/{}", things.bite));
    for path in &paths {
        scene
            .tom
            .get(path)
            .await
            .sees("Paused by dora")
            .sees("the bite is another one");
        scene
            .anna
            .get(path)
            .await
            .sees("Paused by dora")
            .sees("The lab has not acknowledged it yet.");
    }
    let (case, heed) = (scene.at(""), scene.at("/heed"));
    scene.tom.send(&case, &heed, &[]).await.is(303);
    scene.anna.get(&case).await.sees("acknowledged it on");
    decide(&scene, "go_on", &[]).await.is(303);
    for path in &paths {
        for who in [&scene.tom, &scene.anna] {
            let page = who.get(path).await;
            // The history, and what is told of the case, keep the entry of the pause itself.
            assert_eq!(page.is(200).count("div.held[role=alert]"), 0, "{path}");
        }
    }
}

#[tokio::test]
async fn c5_a_cancellation_names_each_thing_and_what_is_scrapped_is_destroyed() {
    let (scene, things) = Scene::at_the_lab().await;
    let fate = format!("{}.fate", things.bite);
    decide(&scene, "cancel", &[(&fate, "scrapped")])
        .await
        .is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("is destroyed")
        .sees("comes back to the office");
    // Each thing says what becomes of it, and where the work stands nothing is asked that is over.
    let lab = scene.tom.get(&scene.at("")).await;
    lab.sees_not("send back or destroy what is named");
    // That it is canceled is acknowledged, and not the revision too; and it is said as an alarm once.
    lab.sees("Acknowledge: canceled");
    assert_eq!(lab.count("form[action$='/acknowledge']"), 0);
    lab.sees_not("acknowledge it.");
    let (case, heed) = (scene.at(""), scene.at("/heed"));
    scene.tom.send(&case, &heed, &[]).await.is(303);
    let page = scene.tom.get(&scene.at("")).await;
    page.sees("destroy it").sees("send it back");
    let item = format!("/items/{}", things.provisional);
    scene.tom.get(&item).await.sees("send it back");
    let release = scene.tom.get(&scene.at("/release")).await;
    release.sees("the work is canceled: it comes back to the office");
    let how = [("how", "it was old"), ("consent", "yes")];
    scene
        .record(&scene.tom, &things.provisional, "destroy", &how)
        .await
        .is(409)
        .sees("comes back: the work is canceled");
    let how = [("how", "as was said")];
    scene
        .record(&scene.tom, &things.bite, "destroy", &how)
        .await
        .is(303);
    scene
        .release(&scene.tom, &[&things.provisional], &[])
        .await
        .is(303);
    let office = scene.dora.get(&scene.at("")).await;
    office.sees("receive it");
    let sound = [(things.provisional.as_str(), "sound")];
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    // Nothing is left with the lab: it is the office's turn, and nobody is asked for what is done.
    for who in [&scene.tom, &scene.dora] {
        let page = who.get(&scene.at("")).await;
        page.sees("close the case").sees_not("send it back");
    }
    let again = [("purpose_code", "make")];
    scene
        .release(&scene.dora, &[&things.provisional], &again)
        .await
        .is(409)
        .sees("The work on this case is canceled: let it go on");
}

#[tokio::test]
async fn c5_a_question_in_cancelled_work_holds_nothing_up() {
    let (scene, _) = Scene::at_the_lab().await;
    let asked = [
        ("matter", "unclear"),
        ("question", "which side"),
        ("waits", "yes"),
    ];
    scene
        .tom
        .send(&scene.at("/questions"), &scene.at("/ask"), &asked)
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("Your turn: answer a question");
    decide(&scene, "cancel", &[]).await.is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees_not("Your turn: answer a question")
        .sees_not("answer it")
        .sees_not("the work waits for the answer");
    // Its own page says why it stays, to both.
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("/questions"))
            .await
            .sees("The work was canceled on Mon 2 Mar 2026")
            .sees("nothing waits for what is asked here")
            .sees_not("the work waits for the answer");
        who.get("/").await.sees_not("Answer a question");
    }
}

#[tokio::test]
async fn c6_what_is_fitted_on_the_word_that_it_was_disinfected_keeps_that_word() {
    let (scene, _) = Scene::at_the_lab().await;
    let tag = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene
        .release(&scene.tom, &[&tag], &[("purpose_code", "finished")])
        .await
        .is(303);
    scene
        .receive(&scene.anna, &[(&tag, "sound")], &[])
        .await
        .is(303);
    let cleaned = [
        ("agent", "sample agent"),
        ("dilution", "ready to use"),
        ("minutes", "10"),
    ];
    scene
        .record(&scene.anna, &tag, "disinfect", &cleaned)
        .await
        .is(303);
    let entry = scene
        .anna
        .get(&format!("/items/{tag}"))
        .await
        .option_value("event", "disinfected");
    scene
        .fit(&scene.dora, &tag, &[("as_it_was", "")])
        .await
        .is(303);
    let mistake = [
        ("event", entry.as_str()),
        ("mistake", "another one was meant"),
    ];
    scene
        .record(&scene.anna, &tag, "withdraw", &mistake)
        .await
        .is(409)
        .sees("Later entries rest on it");
}

#[tokio::test]
async fn c8_what_another_case_of_the_patient_says_is_worn_stands_beside() {
    let (scene, things) = Scene::at_the_lab().await;
    let page = scene.dora.get(&scene.at("")).await;
    page.sees_not("says of the upper arch");
    let card = page.attribute("a[href^='/patients/P']", "href");
    let code = card.rsplit('/').next().unwrap().to_owned();
    let other = open_case(&scene.dora, &code, "upper").await;
    for at in ["", "/mouth"] {
        scene
            .dora
            .get(&format!("/cases/{other}{at}"))
            .await
            .sees("says of the upper arch: Duplicate denture, upper")
            .sees(&dashed(&things.duplicate));
    }
    // The lab of the case is told of its own case only.
    scene
        .tom
        .get(&format!("/cases/{other}"))
        .await
        .sees_not("says of the upper arch");
}

#[tokio::test]
async fn c2_an_end_is_signed_names_what_hangs_on_it_and_can_be_withdrawn() {
    let (scene, things) = Scene::at_the_lab().await;
    // Before the final is there, the lab has nothing else to work from.
    let how = [("how", "broke"), ("consent", "yes")];
    scene
        .record(&scene.tom, &things.provisional, "destroy", &how)
        .await
        .is(409)
        .sees("is what the work is made from");
    scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    // With it, whether the patient consents is the office's to say.
    scene
        .record(&scene.tom, &things.provisional, "destroy", &how)
        .await
        .is(409)
        .sees("send it back, and it is destroyed there");
    let back = [("purpose_code", "going_back"), ("purpose", "")];
    let tags = [things.provisional.as_str()];
    scene.release(&scene.tom, &tags, &back).await.is(303);
    let sound = [(tags[0], "sound")];
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    let page = format!("/items/{}", things.provisional);
    scene
        .anna
        .get(&page)
        .await
        .sees(&format!(
            "You sign this of Provisional denture, upper {}",
            dashed(&things.provisional)
        ))
        .sees("It is the worn pattern of the work");
    let unsigned = [("how", "by mistake"), ("password", "no such one")];
    scene
        .record(&scene.anna, &things.provisional, "destroy", &unsigned)
        .await
        .is(422);
    // The pattern is the patient's.
    let how = [("how", "by mistake")];
    scene
        .record(&scene.anna, &things.provisional, "destroy", &how)
        .await
        .is(409)
        .sees("it is destroyed only with the patient's consent");
    scene
        .anna
        .get(&page)
        .await
        .sees("It is the patient’s property");
    let how = [("how", "by mistake"), ("consent", "yes")];
    scene
        .record(&scene.anna, &things.provisional, "destroy", &how)
        .await
        .is(303);
    let ended = scene.anna.get(&page).await;
    ended
        .sees("Nothing can happen to it any more.")
        .sees("Withdraw an entry made by mistake");
    // The other house did not make the entry.
    scene
        .tom
        .get(&page)
        .await
        .sees_not("Withdraw an entry made by mistake");
    let action = format!("{page}/record");
    let entry = ended.option_value("event", "destroyed");
    let why = [
        ("event", entry.as_str()),
        ("mistake", "the duplicate was meant"),
        ("password", PASSWORD),
    ];
    scene
        .anna
        .send_where(&page, &action, "value=\"withdraw\"", &why)
        .await
        .is(303);
    scene
        .anna
        .get(&page)
        .await
        .sees_not("Nothing can happen to it any more.")
        .sees("destroyed")
        .sees("the entry “destroyed” of")
        .sees("Withdrawn as a mistake on");
}

/// A tag as people read it.
fn dashed(tag: &str) -> String {
    format!("{}-{}-{}", &tag[..3], &tag[3..6], &tag[6..])
}

#[tokio::test]
async fn c7_damage_in_the_house_and_a_later_finding_are_entered_on_the_items_page() {
    let (scene, things) = Scene::at_the_lab().await;
    let seen = [
        ("finding", "not_as_described"),
        ("seen", "one key is missing"),
    ];
    scene
        .record(&scene.mara, &things.bite, "finding", &seen)
        .await
        .is(303);
    let damage = [("damage", "it fell from the bench")];
    scene
        .record(&scene.tom, &things.provisional, "damaged", &damage)
        .await
        .is(303);
    scene
        .anna
        .get(&scene.at(""))
        .await
        .sees("Bite record is not as described")
        .sees("Provisional denture, upper was damaged at the lab");
    // The sender answers for the one, the lab for the other.
    let tasks = scene.anna.get("/").await;
    tasks
        .sees("Answer the problem on arrival")
        .sees("Lab: answer the problem on arrival");
}

/// Both have the form open; who answers second is told, and enters what he or she has found all the same.
#[tokio::test]
async fn c7_of_two_who_receive_at_once_the_second_loses_no_finding() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    let (outcome, note) = (format!("{bite}.outcome"), format!("{bite}.note"));
    let (marked, here) = (format!("{bite}.marked"), format!("{bite}.here"));
    let (by_tom, by_mara) = (
        scene.tom.get(&path).await.form(&path, &path, ""),
        scene.mara.get(&path).await.form(&path, &path, ""),
    );
    let in_hand = [(marked.as_str(), "yes"), (here.as_str(), "yes")];
    let sound = [&in_hand[..], &[(outcome.as_str(), "sound")]].concat();
    scene.tom.post(&path, &over(&by_tom, &sound)).await.is(303);
    let unsound = [
        (outcome.as_str(), "not_as_described"),
        (note.as_str(), "one key is missing"),
    ];
    let unsound = [&in_hand[..], &unsound].concat();
    let second = scene.mara.post(&path, &over(&by_mara, &unsound)).await;
    second.is(409);
    let finding = [
        ("finding", "not_as_described"),
        ("seen", "one key is missing"),
    ];
    scene
        .record(&scene.mara, &bite, "finding", &finding)
        .await
        .is(303);
    scene
        .anna
        .get(&scene.at(""))
        .await
        .sees("Bite record is not as described");
    let history = scene.dora.get(&scene.at("/history")).await;
    let words = history.words();
    assert_eq!(words.matches("Received at the lab").count(), 1, "{words}");
    history.sees("one key is missing");
}

#[tokio::test]
async fn c9_signing_and_acknowledging_stand_in_the_one_history() {
    let (scene, _) = Scene::at_the_lab().await;
    acknowledge(&scene, 1).await;
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("/history"))
            .await
            .sees("Revision 1 of the prescription signed")
            .sees("Revision 1 acknowledged: the lab works to it")
            .sees("Bite record");
        let sheet = pages(&who.get(&scene.at("/history.pdf")).await).join(" ");
        for words in [
            "Revision 1 of the prescription signed",
            "Revision 1 acknowledged: the lab works to it",
        ] {
            assert!(sheet.contains(words), "{words}: {sheet}");
        }
    }
}

#[tokio::test]
async fn c10_what_is_lent_and_late_is_overdue_on_item_case_and_first_page() {
    let scene = Scene::signed().await;
    let page = scene.at("/items/new");
    let lent = [
        ("item_kind", "shade_tab"),
        ("place", "here"),
        ("borrowed", "yes"),
        ("due_back", "2026-03-03"),
    ];
    let answer = scene.anna.send(&page, &page, &lent).await;
    let tag = crate::scene::last_part(&answer);
    scene.release(&scene.anna, &[&tag], &[]).await.is(303);
    scene
        .receive(&scene.tom, &[(&tag, "sound")], &[])
        .await
        .is(303);
    scene
        .tom
        .get(&format!("/items/{tag}"))
        .await
        .sees("on loan, due back on Tue 3 Mar 2026");
    scene.world.pass_minutes(3 * 24 * 60);
    let (tom, anna) = (
        scene.world.visitor("tom").await,
        scene.world.visitor("anna").await,
    );
    for who in [&tom, &anna] {
        who.get(&format!("/items/{tag}"))
            .await
            .sees("on loan, due back on Tue 3 Mar 2026, 2 days late");
        who.get(&scene.at(""))
            .await
            .sees("It is on loan, and was due back on Tue 3 Mar 2026");
        who.get("/").await.sees("Loan 2 days late");
    }
}

#[tokio::test]
async fn c11_a_scan_is_the_comparison_and_one_button_answers_for_all_that_is_as_described() {
    let scene = Scene::signed().await;
    let mut tags = Vec::new();
    for kind in ["bite_record", "facebow_record", "photograph"] {
        tags.push(scene.add(&scene.anna, kind, "", "here").await);
    }
    let all: Vec<&str> = tags.iter().map(String::as_str).collect();
    scene.release(&scene.anna, &all, &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    // What nobody has in hand is not received, whatever is said of it.
    let one = tags[0].clone();
    let (outcome, marked) = (format!("{one}.outcome"), format!("{one}.marked"));
    let unseen = [(outcome.as_str(), "sound"), (marked.as_str(), "yes")];
    scene
        .tom
        .send(&path, &path, &unseen)
        .await
        .is(422)
        .sees("Compare its tag with the item in your hand");
    // Two scans without a gap are two items.
    let both = format!("{}{}", tags[0], tags[1]);
    let scanned = scene
        .tom
        .send(&path, &path, &[("scan", &both), ("go", "scan")])
        .await;
    scanned.is(200);
    for tag in &tags[..2] {
        assert_eq!(
            scanned.count(&format!("input[name=\"{tag}.here\"][checked]")),
            1,
            "{tag}"
        );
    }
    let (here, lost) = (format!("{}.here", tags[1]), format!("{}.outcome", tags[2]));
    let first = format!("{}.here", tags[0]);
    let fields = [
        (first.as_str(), "yes"),
        (here.as_str(), "yes"),
        (lost.as_str(), "missing"),
        ("go", "all"),
        ("password", PASSWORD),
    ];
    scene.tom.send(&path, &path, &fields).await.is(303);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("Photograph was missing from the parcel");
}

#[tokio::test]
async fn c12_the_code_of_a_foreign_thing_is_filled_in_and_an_invented_one_is_not_taken() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let stray = scene.add(&scene.anna, "photograph", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    let scanned = scene
        .tom
        .send(&path, &path, &[("scan", &stray), ("go", "scan")])
        .await;
    assert_eq!(
        scanned.attribute("input[name=foreign]", "value"),
        dashed(&stray)
    );
    let here = format!("{bite}.here");
    let fields = [
        (here.as_str(), "yes"),
        ("go", "all"),
        ("password", PASSWORD),
    ];
    let with = |code| {
        let more = [("unannounced", "a photograph"), ("foreign", code)];
        fields.into_iter().chain(more).collect::<Vec<_>>()
    };
    let answer = scene.tom.send(&path, &path, &with("T00-000-001")).await;
    answer.is(422).sees("belongs into the words above");
    scene.tom.send(&path, &path, &with(&stray)).await.is(303);
}

#[tokio::test]
async fn c16_what_mostly_stays_is_offered_last_and_gets_no_label_by_itself() {
    let scene = Scene::opened().await;
    let old = scene.add(&scene.dora, "old_denture", "upper", "here").await;
    let worn = scene.add(&scene.dora, "duplicate", "upper", "worn").await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let labels = scene.anna.get(&scene.at("/labels")).await;
    assert_eq!(
        [&old, &worn, &bite].map(|tag| ticked(&labels, tag)),
        [0, 0, 1]
    );
    let page = scene.anna.get(&scene.at("/release")).await.text();
    let place = |tag: &str| page.find(&format!("{tag}.take")).unwrap();
    assert!(place(&bite) < place(&old));
    scene.sign(&LEAST).await.is(303);
    let revision = scene.dora.get(&scene.at("/revisions/1")).await;
    let listed = |tag: &str, title: &str| format!("{} {title}", dashed(tag));
    // What is worn is named with where it stays, so that nobody looks for it in the parcel.
    revision
        .sees(&listed(&bite, "Bite record"))
        .sees(&listed(&worn, "Duplicate denture, upper 1 in the mouth"))
        .sees_not(&listed(&old, "Old denture"));
}

#[tokio::test]
async fn c17_the_months_of_correction_are_entered_on_the_worn_dentures_page() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let page = format!("/items/{}", things.provisional);
    let mouth = scene.anna.get(&scene.at("/mouth")).await;
    assert_eq!(mouth.count(&format!("a[href=\"{page}#adjust\"]")), 1);
    let done = [
        ("done", "bite_raised"),
        ("mm", "1.5"),
        ("complaint", "6"),
        ("said", "chews well again"),
    ];
    scene
        .record(&scene.dora, &things.provisional, "adjust", &done)
        .await
        .is(303);
    scene
        .anna
        .get(&page)
        .await
        .sees("adjusted: bite raised")
        .sees("1.5 mm")
        .sees("chews well again");
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("adjusted: bite raised");
}

#[tokio::test]
async fn c17_the_entry_says_which_tooth_was_moved_as_the_office_counts_teeth() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let page = format!("/items/{}", things.provisional);
    // Chosen from the teeth of the arch: no number is typed, so none is misread.
    let shown = scene.dora.get(&page).await;
    let chosen = shown.option_value("tooth", "upper right first premolar");
    assert_eq!(
        (chosen.as_str(), shown.count("select[name=tooth] option")),
        ("14", 17)
    );
    for (fields, said) in [
        (
            vec![("done", "tooth_moved")],
            "Choose which tooth it was, or say",
        ),
        (
            vec![("done", "tooth_moved"), ("part", "tooth")],
            "Choose which tooth it was.",
        ),
        (
            vec![("done", "relined"), ("tooth", "14")],
            "Only where a tooth was moved",
        ),
        (
            vec![("done", "tooth_moved"), ("tooth", "99")],
            "Choose one of the list.",
        ),
    ] {
        let answer = scene
            .record(&scene.dora, &things.provisional, "adjust", &fields)
            .await;
        answer.is(422).sees(said);
    }
    let other_arch = [("done", "tooth_moved"), ("tooth", "44")];
    scene
        .record(&scene.dora, &things.provisional, "adjust", &other_arch)
        .await
        .is(409)
        .sees("it is of the other arch");
    let done = [
        ("done", "tooth_moved"),
        ("part", "tooth"),
        ("tooth", "14"),
        ("mm", "0.5"),
    ];
    scene
        .record(&scene.dora, &things.provisional, "adjust", &done)
        .await
        .is(303);
    let tool_output = "14 (ISO 3950) upper right first premolar, 0.5 mm";
    for who in [&scene.anna, &scene.tom] {
        who.get(&scene.at("/history")).await.sees(tool_output);
    }
}

#[tokio::test]
async fn c18_a_spare_kept_dry_is_asked_about_and_the_kind_of_a_worn_denture_is_explained() {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene
        .release(&scene.tom, &[&last], &[("purpose_code", "finished")])
        .await
        .is(303);
    scene
        .receive(&scene.anna, &[(&last, "sound")], &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    let dry: Vec<(&str, &str)> = SPARE
        .into_iter()
        .filter(|(key, _)| *key != "in_water")
        .collect();
    scene
        .record(&scene.dora, &things.duplicate, "give", &dry)
        .await
        .is(422)
        .sees("Is it to be kept dry, tick that instead");
    let meant: Vec<(&str, &str)> = dry.into_iter().chain([("dry", "yes")]).collect();
    scene
        .record(&scene.dora, &things.duplicate, "give", &meant)
        .await
        .is(303);
    let page = scene.anna.get(&scene.at("/items/new")).await;
    page.sees(
        "A denture that the patient wears until the new one is made is a provisional denture",
    );
}

#[tokio::test]
async fn c19_the_manager_alone_takes_the_mould_list_out_of_use_and_every_hold_is_named() {
    let (scene, things) = Scene::at_the_lab().await;
    let list = "mould,width_mm\nOtter A1,8.5\n";
    scene
        .tom
        .send("/moulds", "/moulds", &[("text", list)])
        .await;
    let out = [
        ("post_key", "take-out-key-1"),
        ("sure", "yes"),
        ("version", "1"),
        ("go", "out"),
    ];
    scene
        .tom
        .post("/moulds", &out)
        .await
        .is(409)
        .sees("Only the lab manager");
    scene
        .tom
        .get("/moulds")
        .await
        .sees_not("Take this list out of use");
    for (tag, note) in [
        (&things.bite, "a key is off"),
        (&things.provisional, "a crack"),
    ] {
        let seen = [("finding", "damaged"), ("seen", note)];
        scene
            .record(&scene.tom, tag, "finding", &seen)
            .await
            .is(303);
    }
    scene
        .tom
        .get("/")
        .await
        .sees("Held: Bite record arrived damaged; Provisional denture, upper arrived damaged");
}

#[tokio::test]
async fn c6_a_disinfection_is_written_where_it_is_done_and_the_prescription_reads_it() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let done = [
        ("agent", "sample agent"),
        ("dilution", "1:10"),
        ("minutes", "10 min"),
        ("rinsed", "yes"),
    ];
    scene
        .record(&scene.anna, &things.bite, "disinfect", &done)
        .await
        .is(303);
    let row = [("enclosed.0.tag", things.bite.as_str())];
    let fields: Vec<(&str, &str)> = LEAST.into_iter().chain(row).collect();
    scene.sign(&fields).await.is(303);
    let revision = scene.tom.get(&scene.at("/revisions/1")).await;
    revision.sees("sample agent").sees("1:10").sees("10 min");
    // Handing over asks for it no more.
    let page = scene.anna.get(&scene.at("/release")).await;
    page.sees("listed as enclosed, disinfected");
}

#[tokio::test]
async fn c13_the_code_on_a_parcel_opens_the_receipt_and_tells_a_courier_whom_to_call_and_no_more() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    scene.pack(&scene.anna, &[&bite], &[]).await.is(303);
    let path = scene.handoff(&scene.anna).await;
    let id = path.rsplit('/').next().unwrap();
    let address = format!("/H/{}", id.to_uppercase());
    let led = scene.tom.get(&address).await;
    led.is(303);
    assert_eq!(led.location(), path);
    let root = scene.world.person("root");
    let mut houses = root.get("/parties").await.hrefs("/parties/");
    houses.retain(|house| house != "/parties/new");
    for house in &houses {
        let telephone = [("telephone", "01 555 0100")];
        root.send(house, house, &telephone).await.is(303);
    }
    for stranger in [
        scene.world.nobody(),
        scene.world.person("sven"),
        scene.world.person("root"),
    ] {
        let page = stranger.get(&address).await;
        page.is(200)
            .sees("Northgate Dental")
            .sees("Kiln Laboratory")
            .sees("call the sender")
            .sees("Telephone 01 555 0100");
        let said = page.words();
        for secret in [
            &scene.number,
            &dashed(&scene.number),
            &scene.patient,
            &dashed(&bite),
        ] {
            assert!(!said.contains(secret.as_str()), "{secret}");
        }
        page.sees_not("Bite record");
    }
    scene.world.nobody().get("/H/0000").await.is(404);
    let label = scene.anna.get(&format!("{path}/outside.pdf")).await;
    label.is(200);
    let said = text_of(&label.body, LAYOUT);
    let to = world_party(&scene, "Kiln Laboratory").await;
    let from = world_party(&scene, "Northgate Dental").await;
    for words in [to, from].iter().flat_map(|one| one.lines()) {
        assert!(said.contains(words), "{words} is missing in\n{said}");
    }
    assert!(said.contains("Parcel 1 of 1, 1 item in it"), "{said}");
    for secret in [&scene.patient, &dashed(&scene.number), &dashed(&bite)] {
        assert!(!said.contains(secret.as_str()), "{secret} in\n{said}");
    }
}

/// Name and address of a house, as they are on record.
async fn world_party(scene: &Scene, name: &str) -> String {
    let app = &scene.world.app;
    let mut conn = app.store.read().await.unwrap();
    let all = vestibule::store::parties::all(&mut conn).await.unwrap();
    let party = all.into_iter().find(|party| party.name == name).unwrap();
    format!("{}\n{}", party.name, party.address)
}

/// Ten things of a case that went to the lab and back, laid down here and there so many times on several days.
async fn ordinary_history(moves: usize) -> Scene {
    let mut scene = Scene::signed().await;
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let mut tags = vec![things.bite, things.provisional];
    for kind in [
        "facebow_record",
        "protrusive_record",
        "photograph",
        "photograph",
        "photograph",
        "shade_tab",
        "bite_record",
    ] {
        tags.push(scene.add(&scene.dora, kind, "", "here").await);
    }
    let all: Vec<&str> = tags.iter().map(String::as_str).collect();
    scene.release(&scene.anna, &all, &[]).await.is(303);
    next_day(&mut scene).await;
    let sound: Vec<(&str, &str)> = all.iter().map(|tag| (*tag, "sound")).collect();
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    for number in 0..moves {
        if number % 6 == 5 {
            next_day(&mut scene).await;
        }
        scene.world.pass_minutes(7);
        let place = ["the bench", "oven 2", "shelf 4", "the plaster room"][number % 4];
        let moved = [("moved_to", place)];
        let tag = all[number % all.len()];
        scene.record(&scene.tom, tag, "move", &moved).await.is(303);
    }
    let back = [("purpose_code", "going_back")];
    scene.release(&scene.tom, &all, &back).await.is(303);
    next_day(&mut scene).await;
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    scene
}

/// Everybody signs in again.
async fn next_day(scene: &mut Scene) {
    scene.world.pass_minutes(24 * 60);
    scene.tom = scene.world.visitor("tom").await;
    scene.anna = scene.world.visitor("anna").await;
}

/// The pages of a paper, as somebody would count them.
fn pages_of(answer: &Answer, name: &str) -> usize {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
    std::fs::write(&path, &answer.is(200).body).unwrap();
    let tool_output = std::process::Command::new("pdfinfo")
        .arg(&path)
        .output()
        .unwrap();
    let tool_output = String::from_utf8(tool_output.stdout).unwrap();
    let line = tool_output
        .lines()
        .find(|line| line.starts_with("Pages:"))
        .unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

#[tokio::test]
async fn c14_ten_things_and_twenty_four_moves_are_one_page_and_ten_times_as_many_a_few() {
    for (moves, on_a4, on_letter) in [(24, 1, 1), (240, 5, 5)] {
        let scene = ordinary_history(moves).await;
        for (paper, most) in [("a4", on_a4), ("letter", on_letter)] {
            let root = scene.world.visitor("root").await;
            for path in root.get("/parties").await.hrefs("/parties/") {
                if path != "/parties/new" && root.get(&path).await.text().contains("Kiln") {
                    root.send(&path, &path, &[("paper", paper)]).await.is(303);
                }
            }
            let sheet = scene.tom.get(&scene.at("/history.pdf")).await;
            let pages = pages_of(&sheet, &format!("custody-{moves}-{paper}"));
            assert!(pages <= most, "{moves} moves on {paper}: {pages} pages");
            // The lines over time are there for whoever wants them, on pages of their own.
            let drawn = scene.tom.get(&scene.at("/history.pdf?ribbon=yes")).await;
            assert!(pages_of(&drawn, "drawn") >= pages);
        }
    }
}

#[tokio::test]
async fn c14_a_parcel_of_sixty_has_one_line_an_item_on_both_forms() {
    let scene = Scene::signed().await;
    let mut tags = Vec::new();
    for _ in 0..60 {
        tags.push(scene.add(&scene.anna, "photograph", "", "here").await);
    }
    let page = scene.anna.get(&scene.at("/release")).await;
    assert_eq!(page.count("fieldset > div.row > label.tick"), 60);
    assert_eq!(page.count("fieldset > div.row > .fields"), 0);
    let all: Vec<&str> = tags.iter().map(String::as_str).collect();
    scene.release(&scene.anna, &all, &[]).await.is(303);
    let page = scene.tom.get(&scene.handoff(&scene.tom).await).await;
    assert_eq!(page.count("fieldset > div.row > label.tick"), 60);
    assert_eq!(page.count("fieldset > div.row > .fields"), 0);
}

#[tokio::test]
async fn c14_a_parcel_has_one_line_an_item_and_the_custody_sheet_groups() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let mut pages = Vec::new();
    for moves in [1, 60] {
        for number in 0..moves {
            let place = format!("shelf {number}");
            let moved = [("moved_to", place.as_str())];
            scene
                .record(&scene.anna, &bite, "move", &moved)
                .await
                .is(303);
        }
        let sheet = scene.anna.get(&scene.at("/history.pdf")).await;
        pages.push(pages_of(&sheet, &format!("grouped-{moves}")));
    }
    // Sixty moves more are a few pages and not sixty.
    assert!((1..=pages[0] + 3).contains(&pages[1]), "{pages:?}");
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    let page = scene.tom.get(&path).await;
    // One tick in sight for each item; what is otherwise is folded away.
    assert_eq!(page.count("fieldset > div.row > label.tick"), 1);
    assert_eq!(page.count("fieldset > div.row > .fields"), 0);
}

/// Common practice, no source: what had come and is lost in the house is not waited for in the parcel.
#[tokio::test]
async fn the_bench_says_of_what_had_come_that_it_is_not_here_any_more() {
    let (scene, things, facebow) = listed().await;
    let (page, bite) = (scene.at("/bench"), things.bite.as_str());
    scene
        .release(&scene.anna, &[bite, &facebow], &[])
        .await
        .is(303);
    let found = [(bite, "sound"), (facebow.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    acknowledge(&scene, 1).await;
    const NOT_COME: &str = "Listed as enclosed, and not come";
    const NOT_HERE: &str = "Listed as enclosed, and not here any more: Facebow record";
    scene
        .tom
        .get(&page)
        .await
        .sees_not(NOT_COME)
        .sees_not(NOT_HERE);
    let lost = [("how", "the bench was cleared"), ("password", PASSWORD)];
    scene
        .record(&scene.tom, &facebow, "write_off", &lost)
        .await
        .is(303);
    scene.tom.get(&page).await.sees(NOT_HERE).sees_not(NOT_COME);
}
