//! Work that stands still or is given up, and things that are somewhere else than one thinks.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::copies::pages;
use crate::scene::{LEAST, SPARE, Scene, last_part, open_case};

async fn decide(scene: &Scene, word: &str) -> Answer {
    let fields = [
        ("reason", "the patient has moved away"),
        ("password", PASSWORD),
    ];
    let (page, within) = (scene.at("/halt"), format!("value=\"{word}\""));
    scene.dora.send_where(&page, &page, &within, &fields).await
}

async fn heed(scene: &Scene) {
    let (case, heed) = (scene.at(""), scene.at("/heed"));
    scene.tom.send(&case, &heed, &[]).await.is(303);
}

/// The bite record is packed for the lab, and the work is cancelled.
async fn packed_and_cancelled() -> (Scene, String) {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let make = [("purpose_code", "make"), ("purpose", "")];
    scene
        .pack(&scene.anna, &[&things.bite], &make)
        .await
        .is(303);
    decide(&scene, "cancel").await.is(303);
    heed(&scene).await;
    (scene, things.bite)
}

#[tokio::test]
async fn what_was_packed_for_cancelled_work_is_taken_back_or_comes_back() {
    let (scene, bite) = packed_and_cancelled().await;
    let take_back = "ake back the parcel that is packed: the work is canceled";
    for at in ["/".to_owned(), scene.at("")] {
        let page = scene.anna.get(&at).await;
        page.sees(take_back)
            .sees_not("and the parcels to the carrier");
    }
    // The carrier had it all the same.
    scene
        .receive(&scene.tom, &[(&bite, "sound")], &[])
        .await
        .is(303);
    for at in ["/".to_owned(), scene.at("")] {
        let lab = scene.tom.get(&at).await;
        lab.sees("end back or destroy what is left of the canceled work");
        let office = scene.dora.get(&at).await;
        office.sees_not("Your turn: close the canceled case");
    }
    scene.tom.get(&scene.at("")).await.sees("send it back");
    let back = [("purpose_code", "going_back"), ("purpose", "")];
    scene.release(&scene.tom, &[&bite], &back).await.is(303);
    scene
        .receive(&scene.anna, &[(&bite, "sound")], &[])
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("lose the canceled case");
}

#[tokio::test]
async fn cancelled_work_is_late_for_nobody() {
    let scene = Scene::signed().await;
    scene.world.pass_minutes(60 * 24 * 40);
    let dora = scene.world.visitor("dora").await;
    dora.get("/").await.sees("days late");
    let (page, within) = (scene.at("/halt"), "value=\"cancel\"");
    let fields = [("reason", "given up"), ("password", PASSWORD)];
    dora.send_where(&page, &page, within, &fields).await.is(303);
    let agenda = dora.get("/").await;
    agenda.sees_not("days late").sees(&scene.number[..3]);
}

#[tokio::test]
async fn nothing_stands_still_of_which_nothing_is_signed() {
    let scene = Scene::opened().await;
    let page = scene.dora.get(&scene.at("/halt")).await;
    page.sees("None of these can be decided now.");
    let fields = [
        ("post_key", "halt-post-0001"),
        ("halt", "stop"),
        ("reason", "wait"),
        ("password", PASSWORD),
    ];
    let stopped = scene.dora.post(&scene.at("/halt"), &fields).await;
    stopped.is(409).sees("No prescription is signed");
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees_not("Stopped by dora");
}

#[tokio::test]
async fn nothing_is_written_or_acknowledged_in_a_closed_case() {
    let scene = Scene::signed().await;
    let closed = [("nothing_made", "yes"), ("password", PASSWORD)];
    let page = scene.at("/close");
    scene.dora.send(&page, &page, &closed).await.is(303);
    let lab = scene.tom.get(&scene.at("")).await;
    assert_eq!(lab.count("form[action$='/acknowledge']"), 0);
    let sentence = "open it again, with the reason";
    let key = [("post_key", "acknowledge-001")];
    let path = scene.at("/revisions/1/acknowledge");
    scene.tom.post(&path, &key).await.is(409).sees(sentence);
    let write = scene.at("/write");
    scene.dora.get(&write).await.is(409).sees(sentence);
    let fields = [
        ("post_key", "write-post-0001"),
        ("base", "1"),
        ("shade.tab", "B-21"),
    ];
    let kept = scene.dora.post(&write, &fields).await;
    assert!(kept.status.as_u16() >= 400, "{}", kept.text());
    scene.dora.get(&scene.at("")).await.sees_not("A draft of");
}

#[tokio::test]
async fn a_parcel_that_never_left_was_packed_and_has_no_papers_any_more() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    scene.pack(&scene.anna, &[&things.bite], &[]).await.is(303);
    let path = scene.handoff(&scene.anna).await;
    let note = format!("{path}/note.pdf");
    scene.anna.get(&note).await.is(200);
    let back = [("reason", "packed too early"), ("password", PASSWORD)];
    let action = format!("{path}/take-back");
    scene.anna.send(&path, &action, &back).await.is(303);
    let page = scene.anna.get(&path).await;
    page.sees("Packed by anna").sees_not("Handed over by");
    page.sees_not("Note for the parcel");
    let case = scene.anna.get(&scene.at("")).await;
    case.sees("Packed by anna").sees_not("Handed over by");
    for paper in ["note.pdf", "outside.pdf"] {
        scene.anna.get(&format!("{path}/{paper}")).await.is(404);
    }
}

/// The upper final is worn and the duplicate is at home as the spare.
async fn with_a_spare() -> (Scene, String, String) {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    scene.release(&scene.tom, &[&last], &finished).await.is(303);
    scene
        .receive(&scene.anna, &[(&last, "sound")], &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    (scene, last, things.duplicate)
}

#[tokio::test]
async fn the_spare_goes_in_from_the_patients_hands_disinfected_in_the_same_step() {
    let (scene, _, spare) = with_a_spare().await;
    let page = scene.dora.get(&scene.at("/mouth")).await;
    page.sees("which the patient has brought along");
    // It comes from a household: there is no way past its disinfection.
    scene
        .fit(&scene.dora, &spare, &[])
        .await
        .is(422)
        .sees("comes from the patient’s home");
    let cleaned = [
        ("as_it_was", ""),
        ("agent", "sample agent"),
        ("dilution", "ready to use"),
        ("minutes", "10"),
    ];
    scene.fit(&scene.dora, &spare, &cleaned).await.is(303);
    let item = scene.dora.get(&format!("/items/{spare}")).await;
    for words in ["brought back by the patient", "disinfected", "fitted"] {
        item.sees(words);
    }
    item.sees("in the patient's mouth");
}

#[tokio::test]
async fn a_scanned_spare_is_chosen_where_it_can_go_in() {
    let (scene, _, spare) = with_a_spare().await;
    let path = scene.at("/mouth");
    let fields = [("scan", spare.as_str()), ("go", "scan")];
    let scanned = scene
        .dora
        .send_where(&path, &path, "value=\"upper\"", &fields)
        .await;
    scanned.sees_not("so it cannot be put in now");
}

#[tokio::test]
async fn the_newest_word_of_any_case_of_a_patient_says_what_is_worn() {
    let (scene, last, _) = with_a_spare().await;
    let card = scene.dora.get(&scene.at("")).await;
    let card = card.attribute("a[href^='/patients/P']", "href");
    let code = card.rsplit('/').next().unwrap().to_owned();
    scene.world.pass_minutes(5);
    let other = open_case(&scene.dora, &code, "upper").await;
    let (items, mouth) = (
        format!("/cases/{other}/items/new"),
        format!("/cases/{other}/mouth"),
    );
    let worn = [
        ("item_kind", "final_denture"),
        ("arch", "upper"),
        ("place", "worn"),
    ];
    let added = scene.dora.send(&items, &items, &worn).await;
    last_part(&added);
    scene.world.pass_minutes(5);
    let out = [
        ("fit", "nothing"),
        ("reason", "a sore"),
        ("password", PASSWORD),
    ];
    scene
        .dora
        .send_where(&mouth, &mouth, "value=\"upper\"", &out)
        .await
        .is(303);
    // The first case does not go on saying that there is a denture in the mouth.
    for at in ["", "/mouth"] {
        let page = scene.dora.get(&scene.at(at)).await;
        page.sees("says of the upper arch: nothing since")
            .sees("This case says: Final denture, upper")
            .sees("nothing since Mon 2 Mar 2026")
            .sees(", by case C");
        assert!(page.text().contains(&last[..3]));
    }
    // Nor is that signed at its end without a word.
    scene
        .dora
        .get(&scene.at("/close"))
        .await
        .sees("says of the upper arch: nothing since")
        .sees("correct it before you sign");
    // The newer case has the newest word itself.
    let page = scene.dora.get(&format!("/cases/{other}/mouth")).await;
    page.sees_not(", by case C");
    // The lab knows of its own case only.
    let lab = scene.tom.get(&scene.at("")).await;
    lab.sees_not("says of the upper arch");
}

#[tokio::test]
async fn the_mouth_page_says_that_the_provisional_is_packed_and_the_pick_up_asks_again() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    scene
        .pack(&scene.anna, &[&things.provisional], &[])
        .await
        .is(303);
    let mouth = scene.dora.get(&scene.at("/mouth")).await;
    mouth.sees("is packed and waits for the carrier. Should it go in");
    let out = [("reason", "a sore"), ("password", PASSWORD)];
    scene.fit(&scene.dora, "nothing", &out).await.is(303);
    let path = scene.handoff(&scene.anna).await;
    scene
        .anna
        .get(&path)
        .await
        .sees("may leave only when a duplicate of the same arch")
        .sees_not("Name or initials of who took it");
    let page = scene.dora.get(&path).await;
    page.sees("Why the provisional leaves all the same");
    scene.pick_up(&scene.dora, &[]).await.is(409);
    let reason = [("reason", "in hospital"), ("password", PASSWORD)];
    scene.pick_up(&scene.dora, &reason).await.is(303);
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees("Exception signed by dora");
}

#[tokio::test]
async fn a_thing_of_another_case_that_comes_along_is_asked_about_in_its_own_case() {
    let (scene, things) = Scene::at_the_lab().await;
    let patient = last_part(&scene.dora.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&scene.dora, &patient, "upper").await;
    let other = Scene { number, ..scene };
    other.sign(&LEAST).await.is(303);
    let bite = other.add(&other.anna, "bite_record", "", "here").await;
    other.release(&other.anna, &[&bite], &[]).await.is(303);
    let more = [
        ("foreign", things.provisional.as_str()),
        ("unannounced", "a pink denture, upper"),
    ];
    other
        .receive(&other.tom, &[(&bite, "sound")], &more)
        .await
        .is(303);
    // Its own case asks the house that sent the parcel, and names where it came along.
    let item = format!("/items/{}", things.provisional);
    let asked = "It came in a parcel of case";
    let own = last_case(&other.tom, &item).await;
    for who in [&other.tom, &other.dora] {
        who.get(&item).await.sees(asked);
    }
    let case = other.dora.get(&own).await;
    case.sees("Your turn: answer a question");
    let questions = other.dora.get(&format!("{own}/questions")).await;
    questions
        .sees(asked)
        .sees("The record of this case has it at the lab");
}

#[tokio::test]
async fn nothing_is_asked_in_a_case_that_is_not_as_the_record_says_and_the_parcel_is_received() {
    let (scene, things) = Scene::at_the_lab().await;
    let patient = last_part(&scene.dora.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&scene.dora, &patient, "upper").await;
    let own = scene.number.clone();
    let other = Scene { number, ..scene };
    other.sign(&LEAST).await.is(303);
    let bite = other.add(&other.anna, "bite_record", "", "here").await;
    other.release(&other.anna, &[&bite], &[]).await.is(303);
    let mut conn = other.world.past_the_store().await;
    let changed = format!(
        "UPDATE event SET body = replace(body, '\"outcome\":\"sound\"', '\"outcome\":\"damaged\"') \
         WHERE kind = 'received' AND case_number = '{own}'"
    );
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(changed)).execute(&mut conn);
    assert_eq!(done.await.unwrap().rows_affected(), 1);
    let more = [
        ("foreign", things.provisional.as_str()),
        ("unannounced", "a pink denture, upper"),
    ];
    let received = other.receive(&other.tom, &[(&bite, "sound")], &more).await;
    received.is(303);
    let item = format!("/items/{}", things.provisional);
    let page = other.tom.get(&item).await;
    page.is(200).sees_not("It came in a parcel of case");
}

/// The page of the case that an item belongs to.
async fn last_case(who: &Visitor, item: &str) -> String {
    who.get(item).await.attribute("a[href^='/cases/C']", "href")
}

#[tokio::test]
async fn the_lab_sends_the_patients_own_denture_back_while_the_work_is_stopped() {
    let scene = Scene::signed().await;
    let own = scene
        .add(&scene.dora, "final_denture", "upper", "worn")
        .await;
    let out = [("reason", "relined at once"), ("password", PASSWORD)];
    scene.fit(&scene.dora, "nothing", &out).await.is(303);
    let change = [("purpose_code", "change"), ("purpose", "")];
    scene.release(&scene.anna, &[&own], &change).await.is(303);
    scene
        .receive(&scene.tom, &[(&own, "sound")], &[])
        .await
        .is(303);
    decide(&scene, "stop").await.is(303);
    let page = scene.tom.get(&scene.at("/release")).await;
    assert_eq!(page.count(&format!("input[name='{own}.take']")), 1);
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    scene
        .release(&scene.tom, &[&own], &finished)
        .await
        .is(409)
        .sees("The work is stopped since");
    let back = [("purpose_code", "going_back"), ("purpose", "")];
    scene.release(&scene.tom, &[&own], &back).await.is(303);
}

#[tokio::test]
async fn a_parcel_of_cancelled_work_waits_here_and_its_papers_say_so() {
    let (scene, _) = packed_and_cancelled().await;
    let path = scene.handoff(&scene.anna).await;
    let page = scene.anna.get(&path).await;
    page.sees("so this waits here for nothing: take the parcel back");
    for paper in ["note.pdf", "outside.pdf"] {
        let paper = scene.anna.get(&format!("{path}/{paper}")).await;
        let marked = pages(&paper);
        let words = "Work canceled on Mon 2 Mar 2026. Take this parcel back.";
        assert!(!marked.is_empty() && marked.iter().all(|page| page.contains(words)));
    }
    // The carrier may have it all the same: that is asked, and then entered.
    let asked = scene.pick_up(&scene.anna, &[]).await;
    asked
        .is(422)
        .sees("did the carrier take this all the same?");
    let taken = [("vain", "yes")];
    scene.pick_up(&scene.anna, &taken).await.is(303);
    let note = scene.anna.get(&format!("{path}/note.pdf")).await;
    assert!(!pages(&note).concat().contains("Take this parcel back"));
}

#[tokio::test]
async fn c2_a_receipt_that_lacked_something_is_no_parcel_that_waits_to_be_received() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let tags = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    let path = scene.handoff(&scene.anna).await;
    let waits = scene.anna.get(&path).await;
    waits.sees("to receive it.");
    let found = [(tags[0], "missing"), (tags[1], "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    let page = scene.anna.get(&path).await;
    page.sees("but for what was not in it")
        .sees_not("to receive it.");
    // Once the statement on it is signed, the office is led to the page of what is lost.
    let said = [
        ("reason", "nobody knows"),
        ("done", "we look"),
        ("password", PASSWORD),
    ];
    let holds = scene.at("/holds");
    scene.anna.send(&holds, &holds, &said).await.is(303);
    let case = scene.anna.get(&scene.at("")).await;
    case.sees("ind what did not come, or write it off")
        .sees("find it and send it, or write it off");
    let item = format!("a[href=\"/items/{}\"]", things.provisional);
    assert!(case.count(&item) > 0);
    let lab = scene.tom.get(&scene.at("")).await;
    lab.sees_not("Your turn: make the work");
}

#[tokio::test]
async fn new_work_goes_in_while_it_is_stopped_by_the_dentists_reason_alone() {
    let (scene, _) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    scene.release(&scene.tom, &[&last], &finished).await.is(303);
    decide(&scene, "stop").await.is(303);
    scene
        .receive(&scene.anna, &[(&last, "sound")], &[])
        .await
        .is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("ay whether the work goes on")
        .sees_not("it what came back");
    let mouth = scene.dora.get(&scene.at("/mouth")).await;
    mouth.sees("or why new work goes in while it stands still");
    let refused = scene.fit(&scene.dora, &last, &[]).await;
    refused.is(409).sees("was never in the mouth");
    let why = [("reason", "the duplicate broke"), ("password", PASSWORD)];
    scene.fit(&scene.dora, &last, &why).await.is(303);
    let item = scene.dora.get(&format!("/items/{last}")).await;
    item.sees("the duplicate broke");
}

#[tokio::test]
async fn the_only_denture_of_an_empty_arch_is_destroyed_with_cancelled_work_only_where_that_is_said()
 {
    let scene = Scene::signed().await;
    let own = scene
        .add(&scene.dora, "final_denture", "upper", "worn")
        .await;
    let reason = [("reason", "to be repaired"), ("password", PASSWORD)];
    scene.fit(&scene.dora, "nothing", &reason).await.is(303);
    scene.release(&scene.dora, &[&own], &[]).await.is(303);
    scene
        .receive(&scene.tom, &[(&own, "sound")], &[])
        .await
        .is(303);
    let (fate, consent, last) = (
        format!("{own}.fate"),
        format!("{own}.fate_consent"),
        format!("{own}.fate_last"),
    );
    let (page, within) = (scene.at("/halt"), "value=\"cancel\"");
    let fields = [
        (fate.as_str(), "scrapped"),
        (consent.as_str(), "yes"),
        ("reason", "the patient has moved away"),
        ("password", PASSWORD),
    ];
    let asked = scene.dora.send_where(&page, &page, within, &fields).await;
    asked
        .is(422)
        .sees("the patient has no other sound denture for it. Destroy it all the same?");
    let fields: Vec<(&str, &str)> = fields.into_iter().chain([(last.as_str(), "yes")]).collect();
    let done = scene.dora.send_where(&page, &page, within, &fields).await;
    done.is(303);
    // That the patient has none stays on top.
    let case = scene.dora.get(&scene.at("")).await;
    case.sees("The patient has no denture in the upper arch");
}

#[tokio::test]
async fn closing_asks_what_the_patient_wears_where_an_arch_is_empty() {
    let scene = Scene::signed().await;
    scene.things().await;
    let reason = [("reason", "a sore"), ("password", PASSWORD)];
    scene.fit(&scene.dora, "nothing", &reason).await.is(303);
    let closed = [("nothing_made", "yes"), ("password", PASSWORD)];
    let page = scene.at("/close");
    let asked = scene.dora.send(&page, &page, &closed).await;
    asked
        .is(422)
        .sees("Say here what the patient wears, or why nothing.");
    let note = ("note", "implants, made elsewhere");
    let closed: Vec<(&str, &str)> = closed.into_iter().chain([note]).collect();
    scene.dora.send(&page, &page, &closed).await.is(303);
}
