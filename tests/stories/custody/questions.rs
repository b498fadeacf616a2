//! Questions between both houses: asked in the browser, answered once, on top of the first page until then.

use crate::common::{Answer, Visitor};
use crate::pictures::{request, taken};
use crate::scene::{LEAST, Scene};

async fn send(scene: &Scene, who: &Visitor, to: &str, fields: &[(&str, &str)]) -> Answer {
    let (page, to) = (scene.at("/questions"), scene.at(to));
    who.send(&page, &to, fields).await
}

async fn ask(scene: &Scene, who: &Visitor, text: &str, more: &[(&str, &str)]) -> Answer {
    let said = [("matter", "unclear"), ("question", text)];
    let fields: Vec<(&str, &str)> = said.iter().chain(more).copied().collect();
    send(scene, who, "/ask", &fields).await
}

#[tokio::test]
async fn what_contradicts_something_else_says_what() {
    let scene = Scene::signed().await;
    let bare = [("matter", "contradicts"), ("section", "anterior")];
    let asked = send(&scene, &scene.tom, "/ask", &bare).await;
    asked
        .is(422)
        .sees("Write what it contradicts, or point at that too");
    assert_eq!(asked.count(".field.wrong textarea[name=question]"), 1);
    // The parts of this prescription stand first: the shade is one of them, and the jaw relation is not.
    let page = scene.tom.get(&scene.at("/questions")).await.text();
    let list = page.split("name=\"section\"").nth(1).unwrap();
    let place = |key: &str| list.find(&format!("value=\"{key}\"")).unwrap();
    assert!(place("shade") < place("jaw"));
    assert!(place("dates") < place("facebow"));
    let said = [&bare[..], &[("question", "the shade of the sheet")]].concat();
    send(&scene, &scene.tom, "/ask", &said).await.is(303);
}

/// The question that stands open on the page.
async fn open_question(scene: &Scene, who: &Visitor) -> String {
    let page = scene.at("/questions");
    let answer = who.get(&page).await;
    let html = scraper::Html::parse_document(&answer.text());
    let field = scraper::Selector::parse("input[name=asked_by]").unwrap();
    let found = html.select(&field).next().unwrap();
    found.value().attr("value").unwrap().to_owned()
}

#[tokio::test]
async fn the_lab_asks_about_a_part_and_the_office_answers_it_once() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.at("/questions");
    // From a part of the prescription the question knows what it is about.
    let about = format!("{page}?section=vertical");
    let form = scene.tom.get(&about).await;
    assert_eq!(form.count("option[value=vertical][selected]"), 1);
    ask(&scene, &scene.tom, "", &[])
        .await
        .is(422)
        .sees("Write what you want to know: nothing else says it.");
    ask(
        &scene,
        &scene.tom,
        "which height",
        &[("section", "no such")],
    )
    .await
    .is(422)
    .sees("There is no such part.")
    .sees("which height");
    let fields = [("section", "vertical"), ("waits", "yes")];
    ask(&scene, &scene.tom, "which height holds, 66 or 63?", &fields)
        .await
        .is(303);
    for (who, sees) in [
        (&scene.dora, "Answer a question"),
        (&scene.tom, "A question waits"),
    ] {
        who.get("/").await.sees(sees);
    }
    let case = scene.dora.get(&scene.at("")).await;
    case.sees("and the work waits for the answer");
    let made = [
        ("item_kind", "final_denture"),
        ("arch", "upper"),
        ("place", "here"),
    ];
    let new = scene.at("/items/new");
    scene
        .tom
        .send(&new, &new, &made)
        .await
        .is(409)
        .sees("The work waits for the answer to a question");
    // Whoever does not answer is told beside the field, and what was typed stands.
    let question = open_question(&scene, &scene.dora).await;
    send(&scene, &scene.anna, "/answer", &[("answer", " ")])
        .await
        .is(422)
        .sees("Write the answer.");
    send(
        &scene,
        &scene.anna,
        "/answer",
        &[("answer", "66 mm, as signed")],
    )
    .await
    .is(303);
    // From a page that is no longer true.
    let late = [
        ("asked_by", question.as_str()),
        ("answer", "63 mm"),
        ("post_key", "a-page-of-before"),
    ];
    let path = scene.at("/answer");
    scene
        .dora
        .post(&path, &late)
        .await
        .is(409)
        .sees("has answered this on")
        .sees("What you typed, to copy")
        .sees("63 mm");
    scene
        .tom
        .get(&page)
        .await
        .sees("66 mm, as signed")
        .sees("Nothing is open.");
    scene.tom.send(&new, &new, &made).await.is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees(": unclear")
        .sees("66 mm, as signed");
}

/// Two people of the office answer in one moment: one answer counts, and the other is on the page to be copied.
#[tokio::test]
async fn of_two_answers_at_once_one_is_entered_and_the_other_is_not_lost() {
    let (scene, _) = Scene::at_the_lab().await;
    let about = [("section", "vertical")];
    ask(&scene, &scene.tom, "66 or 63?", &about).await.is(303);
    let question = open_question(&scene, &scene.dora).await;
    let path = scene.at("/answer");
    let says = |text: &'static str, key: &'static str| {
        [
            ("asked_by", question.clone()),
            ("answer", text.to_owned()),
            ("post_key", key.to_owned()),
        ]
    };
    let (one, other) = (says("66 mm", "answer-key-1"), says("63 mm", "answer-key-2"));
    let pairs = |said: &[(&'static str, String); 3]| {
        crate::common::encode(said.iter().map(|(key, text)| (*key, text.as_str())))
    };
    let (by_dora, by_anna) = tokio::join!(
        scene.dora.post_body(&path, pairs(&one)),
        scene.anna.post_body(&path, pairs(&other))
    );
    let (refused, lost) = match by_dora.status.as_u16() {
        303 => (by_anna, "63 mm"),
        _ => {
            by_anna.is(303);
            (by_dora, "66 mm")
        }
    };
    refused
        .is(409)
        .sees("has answered this on")
        .sees("What you typed, to copy")
        .sees(lost);
    let page = scene.tom.get(&scene.at("/questions")).await;
    page.sees("Nothing is open.").sees_not(lost);
}

/// The touched line goes along, and so does the revision that it was read in.
#[tokio::test]
async fn a_line_of_the_sheet_is_asked_about_as_it_was_read() {
    let (scene, _) = Scene::at_the_lab().await;
    let questions = scene.at("/questions");
    let touched = "revision=1&section=vertical&line=vertical.rest_mm";
    let (touched, ask_at) = (format!("{questions}?{touched}"), scene.at("/ask"));
    let form = scene.tom.get(&touched).await;
    assert_eq!(form.count("input[name=line][value='vertical.rest_mm']"), 1);
    let typed = [("matter", "unclear"), ("question", "at rest or closed?")];
    scene.tom.send(&touched, &ask_at, &typed).await.is(303);
    scene
        .dora
        .get(&questions)
        .await
        .sees("Heights, Rest vertical dimension: unclear");
    // Meanwhile another revision is signed: whoever still has the first one on the screen is told so.
    scene.begin_draft().await;
    scene.sign(&[("vertical.rest_mm", "69")]).await.is(303);
    let late = scene.tom.get(&touched).await;
    late.sees("You have read revision 1.")
        .sees("revision 2 says it");
    scene.tom.send(&touched, &ask_at, &typed).await.is(303);
    scene.dora.get(&questions).await.sees("(revision 1)");
    // A line of another section than the one chosen, and a revision that is not there, are passed over.
    let odd = format!("{questions}?revision=77&section=shade&line=vertical.rest_mm");
    scene.tom.send(&odd, &ask_at, &typed).await.is(303);
    let page = scene.dora.get(&questions).await;
    assert!(!page.text().contains("revision 77"));
}

#[tokio::test]
async fn a_question_from_a_page_of_before_the_newest_revision_is_asked_once_that_is_read() {
    let (scene, _) = Scene::at_the_lab().await;
    let (questions, ask_at) = (scene.at("/questions"), scene.at("/ask"));
    let page = scene.tom.get(&questions).await;
    assert_eq!(page.count("input[name=read_revision][value='1']"), 1);
    let mut form = page.form(&questions, &ask_at, "matter");
    form.insert("matter".to_owned(), "unclear".to_owned());
    form.insert("question".to_owned(), "at rest or closed?".to_owned());
    scene.begin_draft().await;
    scene.sign(&[("vertical.rest_mm", "69")]).await.is(303);
    let sent = |form: &std::collections::BTreeMap<String, String>| {
        let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        crate::common::encode(pairs)
    };
    let told = scene.tom.post_body(&ask_at, sent(&form)).await;
    told.is(409)
        .sees("Revision 2 was signed while this page lay open, and nothing was asked.")
        .sees("You have read revision 1.")
        .sees("at rest or closed?")
        .sees_not("was not kept");
    // A picture that came along is lost with that, and it is said.
    let mut shown = form.clone();
    shown.insert("mouth_only".to_owned(), "yes".to_owned());
    let told_too = scene.tom.ask(request(&ask_at, &shown, &taken(60))).await;
    told_too
        .is(409)
        .sees("The picture that came along was not kept.");
    scene.dora.get(&questions).await.sees("Nothing is open.");
    // Whoever has looked asks all the same, about what was read.
    let again = told.form(&questions, &ask_at, "matter");
    scene.tom.post_body(&ask_at, sent(&again)).await.is(303);
    let asked = scene.dora.get(&questions).await;
    asked.sees("at rest or closed?").sees("(revision 1)");
}

#[tokio::test]
async fn a_question_from_a_page_of_before_the_first_revision_is_asked_once_that_is_read() {
    let scene = Scene::opened().await;
    let (questions, ask_at) = (scene.at("/questions"), scene.at("/ask"));
    let page = scene.tom.get(&questions).await;
    let mut form = page.form(&questions, &ask_at, "matter");
    form.insert("matter".to_owned(), "unclear".to_owned());
    form.insert("question".to_owned(), "which shade is it?".to_owned());
    let sent = |form: &std::collections::BTreeMap<String, String>| {
        let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        crate::common::encode(pairs)
    };
    scene.sign(&LEAST).await.is(303);
    let told = scene.tom.post_body(&ask_at, sent(&form)).await;
    told.is(409)
        .sees("Revision 1 was signed while this page lay open, and nothing was asked.")
        .sees("which shade is it?");
    scene.dora.get(&questions).await.sees("Nothing is open.");
    let again = told.form(&questions, &ask_at, "matter");
    scene.tom.post_body(&ask_at, sent(&again)).await.is(303);
    let asked = scene.dora.get(&questions).await;
    asked.sees("which shade is it?");
}

/// What the prescription says about asking is what is offered: both ways are there, and the one that it names is open.
#[tokio::test]
async fn p20_what_is_signed_about_asking_is_offered_on_the_page_of_questions() {
    let table = [
        ("question", "a question on this case", "ask", "call"),
        (
            "telephone",
            "telephone, then confirmed as a question",
            "call",
            "ask",
        ),
    ];
    for (word, shown, open, closed) in table {
        let scene = Scene::opened().await;
        let fields = [LEAST.as_slice(), &[("remarks.ask_by", word)]].concat();
        scene.sign(&fields).await.is(303);
        let page = scene.tom.get(&scene.at("/questions")).await;
        let words = format!("The prescription asks to be asked by: {shown}.");
        page.is(200).sees(&words);
        assert_eq!(page.count(&format!("#{open} > details[open]")), 1, "{word}");
        assert_eq!(
            page.count(&format!("#{closed} > details:not([open])")),
            1,
            "{word}"
        );
        // The office asks as it likes.
        let own = scene.dora.get(&scene.at("/questions")).await;
        assert_eq!(own.count("#ask details[open]"), 1);
    }
}

#[tokio::test]
async fn a_call_is_written_down_by_one_side_and_confirmed_by_the_other() {
    let (scene, _) = Scene::at_the_lab().await;
    let said = [
        ("spoke_with", "D. S."),
        ("call_said", "keep the height of the pattern"),
    ];
    send(&scene, &scene.tom, "/telephoned", &said[1..])
        .await
        .is(422)
        .sees("Write who spoke for the other side.")
        .sees("keep the height of the pattern");
    send(&scene, &scene.tom, "/telephoned", &said).await.is(303);
    let page = scene.at("/questions");
    scene
        .tom
        .get(&page)
        .await
        .sees("Not confirmed yet.")
        .sees_not("It was so");
    let there = scene.anna.get(&page).await;
    there.sees("Not confirmed yet.").sees("It was so");
    scene
        .anna
        .get("/")
        .await
        .sees("Confirm what was said on the telephone")
        .sees("Asked or told by the other side");
    let call = {
        let html = scraper::Html::parse_document(&there.text());
        let field = scraper::Selector::parse("input[name=call]").unwrap();
        let found = html.select(&field).next().unwrap();
        found.value().attr("value").unwrap().to_owned()
    };
    send(&scene, &scene.anna, "/confirm", &[("call", &call)])
        .await
        .is(303);
    scene.tom.get(&page).await.sees("Confirmed: anna");
    // One that was about a part says so; what is no part of it is none.
    let about = [said[0], said[1], ("call_section", "vertical")];
    let odd = [said[0], said[1], ("call_section", "no such")];
    send(&scene, &scene.anna, "/telephoned", &odd).await.is(422);
    send(&scene, &scene.anna, "/telephoned", &about)
        .await
        .is(303);
    scene.tom.get(&page).await.sees("Heights");
    let history = scene.dora.get(&scene.at("/history")).await;
    history.sees("Telephone call written down, about ");
    send(&scene, &scene.tom, "/confirm", &[]).await.is(303);
    // Another one was not so; its note stands with it, and nobody is asked any more.
    send(&scene, &scene.tom, "/telephoned", &said).await.is(303);
    let not_so = [("not_so", "yes")];
    send(&scene, &scene.anna, "/confirm", &not_so)
        .await
        .is(409)
        .sees("Say how it was instead.");
    let not_so = [("not_so", "yes"), ("how_it_was", "63 mm was said")];
    send(&scene, &scene.anna, "/confirm", &not_so).await.is(303);
    scene
        .tom
        .get(&page)
        .await
        .sees("It was not so: anna")
        .sees("63 mm was said");
    scene
        .anna
        .get("/")
        .await
        .sees_not("Confirm what was said on the telephone");
}

#[tokio::test]
async fn what_points_at_a_person_is_asked_about_and_strangers_find_nothing() {
    let (scene, _) = Scene::at_the_lab().await;
    let named = "ask Mrs. Miller, born 1950-02-03, about it";
    ask(&scene, &scene.tom, named, &[])
        .await
        .is(422)
        .sees("they name nobody");
    let stranger = scene.world.person("sven");
    stranger.get(&scene.at("/questions")).await.is(404);
}

#[tokio::test]
async fn r22_a_call_that_was_written_down_too_late_stands_under_its_own_label() {
    let scene = Scene::signed().await;
    let nobody = scene.world.nobody();
    let fields = [
        ("post_key", "call-key-0001"),
        ("call_said", "keep the height of the pattern"),
    ];
    let answer = nobody.post(&scene.at("/telephoned"), &fields).await;
    answer
        .is(401)
        .sees("What was said")
        .sees("keep the height of the pattern")
        .sees_not("What the patient said");
}

#[tokio::test]
async fn words_are_wanted_only_where_nothing_else_says_what_is_meant() {
    let (scene, things) = Scene::at_the_lab().await;
    for (matter, about, status) in [
        ("unclear", ("section", "vertical"), 303),
        ("missing", ("asked_item", things.bite.as_str()), 303),
        ("unclear", ("section", ""), 422),
        ("other", ("section", "vertical"), 422),
    ] {
        let answer = send(&scene, &scene.tom, "/ask", &[("matter", matter), about]).await;
        answer.is(status);
    }
    let page = scene.dora.get(&scene.at("/questions")).await;
    page.sees("Heights: unclear").sees(": missing");
    let open = scene.dora.get("/").await;
    open.sees("Answer a question");
}

/// What the patient says reaches the lab as it was said, is read there, and need not be answered.
#[tokio::test]
async fn what_the_patient_said_at_the_chair_waits_at_the_lab_until_somebody_has_read_it() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let without_words = [("done", "bite_raised"), ("mm", "1.5"), ("tell_lab", "yes")];
    let worn = &things.provisional;
    let empty = scene
        .record(&scene.dora, worn, "adjust", &without_words)
        .await;
    empty.sees("Write what the patient said: the lab is to read it.");
    let with_words: Vec<_> = [&without_words[..], &[("said", "whistles with every S")]].concat();
    scene
        .record(&scene.dora, worn, "adjust", &with_words)
        .await
        .is(303);
    let list = scene.tom.get("/").await;
    list.sees("Read what the patient says")
        .sees("Asked or told by the other side");
    let page = scene.at("/questions");
    let shown = scene.tom.get(&page).await;
    shown
        .sees("what the patient says")
        .sees("whistles with every S");
    assert_eq!(
        scene
            .dora
            .get(&page)
            .await
            .count("form[action$='/answer'] textarea"),
        0
    );
    send(&scene, &scene.tom, "/answer", &[("answer", "")])
        .await
        .is(303);
    scene
        .dora
        .get(&page)
        .await
        .sees("Read: tom")
        .sees("Nothing is open.");
    scene
        .tom
        .get("/")
        .await
        .sees_not("Read what the patient says");
    // The office says it without a visit too; nobody at the lab can.
    let says = [
        ("matter", "patient_says"),
        ("question", "the edge is sharp"),
    ];
    send(&scene, &scene.anna, "/ask", &says).await.is(303);
    let by_lab = send(&scene, &scene.tom, "/ask", &says).await;
    by_lab.is(409).sees("reaches the lab through the office");
    let form = scene.tom.get(&page).await;
    assert_eq!(form.count("option[value=patient_says]"), 0);
    // A question is no answer to it: that is still answered in words.
    ask(&scene, &scene.anna, "which pan?", &[]).await.is(303);
    scene.tom.get("/").await.sees("Answer a question");
}

/// Common practice, no source: what was agreed on the telephone is written down by whoever signs, or stays as it was signed.
#[tokio::test]
async fn what_both_houses_say_was_agreed_otherwise_waits_for_a_revision_or_a_reason() {
    let (scene, _) = Scene::at_the_lab().await;
    let said = [
        ("spoke_with", "D. S."),
        ("call_said", "set the midline 1 mm to the left"),
        ("call_changes", "yes"),
    ];
    const TO_DO: &str = "Write what was said on the telephone into a revision";
    const WHY: &str = "something else than the prescription says was agreed on the telephone";
    scene.world.pass_minutes(1);
    send(&scene, &scene.tom, "/telephoned", &said).await.is(303);
    // One house alone agrees on nothing.
    scene.dora.get("/").await.sees_not(TO_DO);
    send(&scene, &scene.anna, "/confirm", &[]).await.is(303);
    for who in [&scene.dora, &scene.anna] {
        who.get("/").await.sees(TO_DO);
        who.get(&scene.at("")).await.sees(WHY);
    }
    scene.tom.get("/").await.sees_not(TO_DO);
    let page = scene.at("/questions");
    let page = scene.anna.get(&page).await;
    page.sees("Write it into a revision");
    scene
        .tom
        .get(&scene.at("/questions"))
        .await
        .sees_not("Write it into a revision");
    let none = [("none_needed", "yes"), ("no_revision", " ")];
    send(&scene, &scene.anna, "/confirm", &none)
        .await
        .is(409)
        .sees("Say why no revision is needed.");
    let none = [
        ("none_needed", "yes"),
        ("no_revision", "the lab was shown it on the cast"),
    ];
    send(&scene, &scene.anna, "/confirm", &none).await.is(303);
    scene.dora.get("/").await.sees_not(TO_DO);
    scene.dora.get(&scene.at("")).await.sees_not(WHY);
    let told = scene.tom.get(&scene.at("/questions")).await;
    told.sees("No revision is needed: anna")
        .sees("the lab was shown it on the cast");
    // Whoever confirms it may know it too, and a revision is the other end.
    scene.world.pass_minutes(1);
    send(&scene, &scene.tom, "/telephoned", &said[..2])
        .await
        .is(303);
    let changes = [("confirm_changes", "yes")];
    send(&scene, &scene.anna, "/confirm", &changes)
        .await
        .is(303);
    scene.dora.get("/").await.sees(TO_DO);
    let (page, confirm) = (scene.at("/questions"), scene.at("/confirm"));
    let open = scene.anna.get(&page).await;
    let mut stale = open.form(&page, &confirm, "none_needed");
    stale.insert("none_needed".to_owned(), "yes".to_owned());
    stale.insert("no_revision".to_owned(), "as it was".to_owned());
    scene.world.pass_minutes(1);
    // No part is named: whoever signs is asked whether it is written.
    let lighter = [("shade.tab", "B-30")];
    scene.write(&scene.dora, &lighter).await.is(303);
    const ASKED: &str = "Said on the telephone otherwise than the prescription in force says, with no part named: call of";
    scene.dora.get(&scene.at("/write")).await.sees(ASKED);
    scene.sign(&lighter).await.is(303);
    scene.dora.get("/").await.sees_not(TO_DO);
    // Once it is signed, nobody is asked again, and from a page of before nothing else is said of it.
    let fields: Vec<(&str, &str)> = stale.iter().map(|(k, v)| (&**k, &**v)).collect();
    let late = scene.anna.post(&confirm, &fields).await;
    late.is(409).sees("Revision 2 was signed after this call");
    let darker = [("shade.tab", "B-20")];
    scene.write(&scene.dora, &darker).await.is(303);
    scene.dora.get(&scene.at("/write")).await.sees_not(ASKED);
}

/// Common practice, no source: the signed text decides. A revision that leaves the part of the call as it was asks whoever
/// signs, and ends nothing.
#[tokio::test]
async fn a_call_about_a_part_is_not_settled_by_a_revision_of_another_part() {
    let (scene, _) = Scene::at_the_lab().await;
    let said = [
        ("spoke_with", "D. S."),
        ("call_said", "one shade lighter"),
        ("call_section", "shade"),
        ("call_changes", "yes"),
    ];
    const TO_DO: &str = "Write what was said on the telephone into a revision";
    const UNCHANGED: &str = "Said on the telephone otherwise than the prescription in force says";
    scene.world.pass_minutes(1);
    send(&scene, &scene.tom, "/telephoned", &said).await.is(303);
    scene.world.pass_minutes(1);
    // Not confirmed yet, and signed with other words elsewhere: the review asks.
    scene
        .write(&scene.dora, &[("remarks.remarks", "polish it well")])
        .await
        .is(303);
    scene.dora.get(&scene.at("/write")).await.sees(UNCHANGED);
    scene
        .sign(&[("remarks.remarks", "polish it well")])
        .await
        .is(303);
    scene.world.pass_minutes(1);
    send(&scene, &scene.anna, "/confirm", &[]).await.is(303);
    scene.dora.get("/").await.sees(TO_DO);
    scene.world.pass_minutes(1);
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    scene.dora.get("/").await.sees_not(TO_DO);
}

/// Common practice, no source: what both houses agreed on the telephone and nobody has signed is asked about before work
/// leaves that may or may not be made by it.
#[tokio::test]
async fn work_that_leaves_over_a_call_in_no_revision_says_by_which_of_both_it_was_made() {
    let (scene, _) = Scene::at_the_lab().await;
    let said = [
        ("spoke_with", "D. S."),
        ("call_said", "use cold-cured resin"),
        ("call_changes", "yes"),
    ];
    scene.world.pass_minutes(1);
    send(&scene, &scene.tom, "/telephoned", &said).await.is(303);
    send(&scene, &scene.anna, "/confirm", &[]).await.is(303);
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    let asked = scene.release(&scene.tom, &[&last], &finished).await;
    asked
        .is(422)
        .sees("Said on the telephone, and in no revision yet: use cold-cured resin (call of ")
        .sees("Made as the prescription says, or as was said on the telephone?");
    let made = [&finished[..], &[("made_by", "telephone")]].concat();
    scene.release(&scene.tom, &[&last], &made).await.is(303);
    let history = scene.anna.get(&scene.at("/history")).await;
    history.sees(
        "Said otherwise on the telephone, and in no revision: made as was said on the telephone",
    );
}
