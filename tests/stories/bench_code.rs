//! A short code at the bench: who comes in by it, where, for what, and what it is not enough for.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::Scene;
use scraper::{Html, Selector};

/// Sets a code on one's own account page.
async fn sets_code(who: &Visitor, code: &str) -> Answer {
    let fields = [("password", PASSWORD), ("new_bench_code", code)];
    who.send("/account", "/account/code", &fields).await
}

/// A manager allows a device; the answer is a browser on it that nobody is signed in in.
pub async fn allowed(scene: &Scene, name: &str) -> Visitor {
    let fields = [("device_name", name), ("password", PASSWORD)];
    let answer = scene.mara.send("/bench/devices", "/bench/devices", &fields);
    let answer = answer.await;
    answer.is(303);
    let device = answer.cookies();
    assert!(device[0].starts_with("vestibule-device="));
    scene.world.nobody().with_cookie(device[0].clone())
}

/// The button of somebody on the page that asks who is here.
fn button_of(page: &Answer, name: &str) -> Option<String> {
    let html = Html::parse_document(&page.text());
    let buttons = Selector::parse("button[name=bench_person]").unwrap();
    let found = html
        .select(&buttons)
        .find(|button| button.text().collect::<String>().trim() == name)?;
    found.value().attr("value").map(str::to_owned)
}

/// Types a code at a device and touches a name; what is in the browser already stays there.
pub async fn types_code(device: &Visitor, name: &str, code: &str) -> Answer {
    let page = device.get("/bench/who").await;
    let id = button_of(page.is(200), name).unwrap();
    let fields = [("bench_code", code), ("bench_person", id.as_str())];
    device.send("/bench/who", "/bench/who", &fields).await
}

/// The browser with the session of an answer beside the cookie of its device.
fn with_session(device: &Visitor, answer: &Answer) -> Visitor {
    let own = device.cookie.clone().unwrap();
    let own: Vec<&str> = own.split("; ").collect();
    let mark = own
        .iter()
        .find(|one| one.starts_with("vestibule-device="))
        .unwrap();
    let mut cookies = answer.cookies();
    cookies.push((*mark).to_owned());
    device.clone().with_cookie(cookies.join("; "))
}

/// Comes in by a code.
pub async fn comes_in(device: &Visitor, name: &str, code: &str) -> Visitor {
    let answer = types_code(device, name, code).await;
    assert_eq!(answer.is(303).location(), "/bench");
    with_session(device, &answer)
}

/// Work is at the lab, tom and mara have codes, and a tablet is allowed.
pub async fn at_a_tablet() -> (Scene, Visitor) {
    let (scene, _things) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    sets_code(&scene.tom, "4071").await.is(303);
    sets_code(&scene.mara, "902614").await.is(303);
    let tablet = allowed(&scene, "Tablet, bench 2").await;
    (scene, tablet)
}

async fn works(scene: &Scene, who: &Visitor, step: &str) -> Answer {
    let page = scene.at(&format!("/bench?step={step}"));
    let elsewhere = [("bench_left_out", "yes")];
    who.send(&page, &scene.at("/bench"), &elsewhere).await
}

#[tokio::test]
async fn a_step_is_entered_by_code_and_says_by_whom_and_on_which_device() {
    let (scene, tablet) = at_a_tablet().await;
    let tom = comes_in(&tablet, "tom", "4071").await;
    tom.get(&scene.at("/bench"))
        .await
        .sees("tom, by code at Tablet, bench 2")
        .sees("Change person");
    works(&scene, &tom, "cured").await.is(303);
    // Another person at the same device: a code and a touch, and back to where one was.
    let who = tom.get(&scene.at("/bench")).await.hrefs("/bench/who?next=");
    let page = tom.get(&who[0]).await;
    let id = button_of(&page, "mara").unwrap();
    let fields = [("bench_code", "902614"), ("bench_person", id.as_str())];
    let answer = tom.send(&who[0], "/bench/who", &fields).await;
    assert_eq!(answer.is(303).location(), scene.at("/bench"));
    let mara = with_session(&tablet, &answer);
    works(&scene, &mara, "remounted").await.is(303);
    let bench = scene.tom.get(&scene.at("/bench")).await;
    bench.sees("Cured, upper").sees("Remounted, upper");
    // Both houses read it in the history.
    for who in [&scene.anna, &scene.tom] {
        let history = who.get(&scene.at("/history")).await;
        let words = history.words();
        let said = "Entered by code, at Tablet, bench 2.";
        assert_eq!(words.matches(said).count(), 2, "{words}");
    }
    // What was entered with the password says nothing of it.
    works(&scene, &scene.tom, "finished").await.is(303);
    let words = scene.tom.get(&scene.at("/history")).await.words();
    assert_eq!(words.matches("Entered by code").count(), 2, "{words}");
    // Pan, withdrawal and picture are of the bench too; the list of devices tells the last use.
    let assign = [("pan", "B-3"), ("mine", "yes")];
    mara.send(&scene.at("/bench"), &scene.at("/assign"), &assign)
        .await
        .is(303);
    let undo = scene.at("/bench/undo");
    let withdraw = [("undone_why", "other case")];
    mara.send_where(&scene.at("/bench"), &undo, "Withdraw it", &withdraw)
        .await
        .is(303);
    let devices = scene.mara.get("/bench/devices").await;
    devices.sees("Tablet, bench 2").sees_not("never");
}

#[tokio::test]
async fn a_page_that_somebody_else_has_opened_enters_nothing_in_the_next_ones_name() {
    let (scene, tablet) = at_a_tablet().await;
    let tom = comes_in(&tablet, "tom", "4071").await;
    let bench = scene.at("/bench");
    let page = format!("{bench}?step=cured");
    let mut form = tom.get(&page).await.form(&page, &bench, "bench_step");
    form.insert("bench_note".to_owned(), "typed by tom".to_owned());
    form.insert("bench_left_out".to_owned(), "yes".to_owned());
    let mara = comes_in(&tablet, "mara", "902614").await;
    // Neither a word for the step nor one that leads away makes it hers.
    for word in ["BENCH.ARCH.UPPER", "BENCH.LIST"] {
        let mut scanned = form.clone();
        scanned.insert("q".to_owned(), word.to_owned());
        let pairs = scanned.iter();
        let pairs = pairs.map(|(key, text)| (key.as_str(), text.as_str()));
        let answer = mara.post_body(&bench, crate::common::encode(pairs)).await;
        answer
            .is(409)
            .sees("Another person is signed in here now, mara, and nothing was entered");
    }
    let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    let body = crate::common::encode(pairs);
    let answer = mara.post_body(&bench, body).await;
    answer
        .is(409)
        .sees("Another person is signed in here now, mara, and nothing was entered")
        .sees("typed by tom");
    // Sent again from the page that says so, it is hers.
    let form = answer.form(&page, &bench, "bench_step");
    let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    let body = crate::common::encode(pairs);
    mara.post_body(&bench, body).await.is(303);
    scene
        .tom
        .get(&bench)
        .await
        .sees("Cured, upper")
        .sees("mara");
}

#[tokio::test]
async fn the_fifth_wrong_code_asks_for_the_password_of_this_person_on_this_device_alone() {
    let (scene, tablet) = at_a_tablet().await;
    let other = allowed(&scene, "Tablet, bench 3").await;
    for (tries, said) in [
        (1, "4 more tries"),
        (2, "3 more tries"),
        (3, "2 more tries"),
        (4, "After one more wrong one"),
        (5, "Too many wrong codes"),
    ] {
        let answer = types_code(&tablet, "tom", "1357").await;
        answer.is(422).sees(said);
        assert!(answer.cookies().is_empty(), "{tries}");
    }
    // Not even the right one, and not a day later.
    types_code(&tablet, "tom", "4071")
        .await
        .is(409)
        .sees("Everybody else goes on");
    scene.world.pass_minutes(2 * 24 * 60);
    types_code(&tablet, "tom", "4071").await.is(409);
    // Nobody else is kept out, nor tom elsewhere.
    comes_in(&tablet, "mara", "902614").await;
    comes_in(&other, "tom", "4071").await;
    // Whoever types the password there begins again; elsewhere that changes nothing.
    let sign_in = [("login", "tom"), ("password", PASSWORD)];
    let nobody = scene.world.nobody();
    nobody.send("/sign-in", "/sign-in", &sign_in).await.is(303);
    types_code(&tablet, "tom", "4071").await.is(409);
    tablet.send("/sign-in", "/sign-in", &sign_in).await.is(303);
    comes_in(&tablet, "tom", "4071").await;
}

#[tokio::test]
async fn tries_that_were_right_are_counted_from_nothing() {
    let (_scene, tablet) = at_a_tablet().await;
    for _ in 0..3 {
        for _ in 0..4 {
            types_code(&tablet, "tom", "1357").await.is(422);
        }
        comes_in(&tablet, "tom", "4071").await;
    }
}

#[tokio::test]
async fn a_device_that_is_taken_back_ends_what_was_begun_on_it() {
    let (scene, tablet) = at_a_tablet().await;
    let tom = comes_in(&tablet, "tom", "4071").await;
    let page = scene.at("/bench?step=cured");
    let mut form = tom.get(&page).await.form(&page, &scene.at("/bench"), "");
    form.insert("bench_note".to_owned(), "press number two".to_owned());
    form.insert("bench_left_out".to_owned(), "yes".to_owned());
    let form: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    // A technician takes none back.
    let device = scene.mara.get("/bench/devices").await;
    let id = device.attribute("input[name=device]", "value");
    scene.tom.get("/bench/devices").await.is(403);
    let back = [("device", id.as_str())];
    scene.tom.post("/bench/devices/back", &back).await.is(403);
    tom.post("/bench/devices/back", &back).await.is(403);
    scene
        .world
        .person("lars")
        .post("/bench/devices/back", &back)
        .await
        .is(403);
    scene.mara.post("/bench/devices/back", &back).await.is(303);
    // In the middle of a step: nothing is entered, and nothing that was typed is lost.
    let answer = tom.post(&scene.at("/bench"), &form).await;
    answer.is(401).sees("press number two");
    assert!(
        tom.get(&page)
            .await
            .is(303)
            .location()
            .starts_with("/sign-in?next=")
    );
    let said = "Codes are not taken on this device";
    tablet.get("/bench/who").await.is(200).sees(said);
    let fields = [("bench_code", "4071"), ("bench_person", "anybody")];
    tablet.post("/bench/who", &fields).await.is(409).sees(said);
    scene
        .tom
        .get(&scene.at("/bench"))
        .await
        .sees_not("press number two");
    // Taking it back twice is taking it back once, and its name is free again.
    scene.mara.post("/bench/devices/back", &back).await.is(303);
    scene.mara.get("/bench/devices").await.sees("taken back");
    allowed(&scene, "Tablet, bench 2").await;
}

#[tokio::test]
async fn a_code_of_another_lab_is_none_here() {
    let (scene, tablet) = at_a_tablet().await;
    let lars = scene.world.person("lars");
    sets_code(&lars, "5280").await.is(303);
    let page = tablet.get("/bench/who").await;
    assert_eq!(button_of(&page, "lars"), None);
    let mut conn = scene.world.app.store.read().await.unwrap();
    let found = vestibule::store::people::account_by_login(&mut conn, "lars");
    let id = found.await.unwrap().unwrap().id;
    drop(conn);
    let fields = [("bench_code", "5280"), ("bench_person", id.as_str())];
    for _ in 0..7 {
        // Nothing is counted of somebody who is not of this lab.
        tablet
            .post("/bench/who", &fields)
            .await
            .is(422)
            .sees("This is not the code. 4 more");
    }
    // Of the office nobody has a code at all.
    scene
        .dora
        .get("/account")
        .await
        .sees_not("Code for the bench");
    let code = [("password", PASSWORD), ("new_bench_code", "5280")];
    scene.dora.post("/account/code", &code).await.is(404);
}

#[tokio::test]
async fn a_code_is_taken_on_no_device_that_is_not_allowed() {
    let (scene, tablet) = at_a_tablet().await;
    let page = tablet.get("/bench/who").await;
    let id = button_of(&page, "tom").unwrap();
    let fields = [("bench_code", "4071"), ("bench_person", id.as_str())];
    let said = "Codes are not taken on this device";
    let nobody = scene.world.nobody();
    let made_up = format!("vestibule-device={}", "A".repeat(43));
    let made_up = nobody.clone().with_cookie(made_up);
    for who in [&nobody, &made_up, &scene.tom] {
        assert_eq!(button_of(&who.get("/bench/who").await, "tom"), None);
        let answer = who.post("/bench/who", &fields).await;
        answer.is(409).sees(said);
        assert!(answer.cookies().is_empty());
    }
    // Nor from a page of another site, nor by a form that is not touched.
    let untouched = [("bench_code", "4071"), ("bench_person", "")];
    tablet
        .post("/bench/who", &untouched)
        .await
        .is(422)
        .sees("touch your name");
    let empty = [("bench_code", ""), ("bench_person", id.as_str())];
    tablet.post("/bench/who", &empty).await.is(422);
}

/// The camera of the device reads the code of the sheet, as the scan box does.
#[tokio::test]
async fn a_sheet_read_by_the_camera_of_a_device_leads_to_the_bench() {
    let (scene, tablet) = at_a_tablet().await;
    let sheet = format!("/C/{}/1", scene.number);
    let tom = comes_in(&tablet, "tom", "4071").await;
    assert_eq!(tom.get(&sheet).await.is(303).location(), scene.bench());
    assert_eq!(scene.tom.get(&sheet).await.is(303).location(), scene.at(""));
    assert_eq!(
        scene.anna.get(&sheet).await.is(303).location(),
        scene.at("")
    );
    // A sheet that is out of force says so there too.
    scene.begin_draft().await;
    scene.sign(&[("vertical.rest_mm", "69")]).await.is(303);
    let old = scene.at("/revisions/1");
    assert_eq!(tom.get(&sheet).await.is(303).location(), old);
    let new = format!("/C/{}/2", scene.number);
    assert_eq!(tom.get(&new).await.is(303).location(), scene.bench());
    // A page that comes back after a scan says who is here as well.
    let bench = scene.bench();
    let accept = scene.at("/revisions/2/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    let word = [("q", "BENCH.ARCH.UPPER")];
    let page = tom.send(&bench, &bench, &word).await;
    page.is(200)
        .sees("For: upper.")
        .sees("tom, by code at Tablet, bench 2");
}

/// Asking costs a code, a part and a touch; what answers or was said on the telephone costs the password.
#[tokio::test]
async fn a_question_is_asked_by_code_and_the_page_offers_nothing_that_a_code_is_not_enough_for() {
    let (scene, tablet) = at_a_tablet().await;
    let (page, ask) = (scene.at("/questions"), scene.at("/ask"));
    let from_office = [("matter", "unclear"), ("question", "which pan is it in?")];
    scene.dora.send(&page, &ask, &from_office).await.is(303);
    let tom = comes_in(&tablet, "tom", "4071").await;
    let about = format!("{page}?section=vertical&line=vertical.rest_mm");
    let form = tom.get(&about).await;
    form.is(200)
        .sees("which pan is it in?")
        .sees("Answering, and telephone calls, ask for your password");
    for path in ["/answer", "/telephoned", "/confirm"] {
        let offered = format!("form[action='{}']", scene.at(path));
        assert_eq!(form.count(&offered), 0, "{path}");
    }
    let opened = form.form(&about, &ask, "matter");
    tom.send(&about, &ask, &[("matter", "unclear")])
        .await
        .is(303);
    let asked = scene.dora.get(&page).await;
    asked.sees("Heights, Rest vertical dimension: unclear");
    let history = scene.anna.get(&scene.at("/history")).await.words();
    let said = "Entered by code, at Tablet, bench 2.";
    assert_eq!(history.matches(said).count(), 1, "{history}");
    // Whoever comes in next sends nothing from the page that was opened before.
    let mara = comes_in(&tablet, "mara", "902614").await;
    let mut sent = opened;
    for (key, text) in [("question", "tom’s words"), ("q", "BENCH.LIST")] {
        sent.insert(key.to_owned(), text.to_owned());
        let pairs = sent.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        let body = crate::common::encode(pairs);
        mara.post_body(&ask, body)
            .await
            .is(409)
            .sees("Another person is signed in here now, mara, and nothing was entered");
    }
}

#[tokio::test]
async fn whatever_signs_or_changes_anything_else_asks_for_the_password() {
    let (scene, tablet) = at_a_tablet().await;
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let tom = comes_in(&tablet, "tom", "4071").await;
    let accept = scene.at("/revisions/2/acknowledge");
    for (path, field) in [
        (accept.as_str(), "post_key"),
        (&scene.at("/release"), "carrier"),
        (&scene.at("/items/new"), "note"),
        (&scene.at("/answer"), "answer"),
        (&scene.at("/telephoned"), "call_said"),
        ("/account/code", "new_bench_code"),
        ("/account/password", "new_password"),
        ("/sign-out-everywhere", "x"),
        ("/moulds", "text"),
    ] {
        let fields = [(field, "Fern couriers"), ("password", PASSWORD)];
        let answer = tom.post(path, &fields).await;
        answer.is(403).sees("This needs your password");
        let is_named = answer.words().contains("Fern couriers");
        // What was typed into a field is told, to be copied.
        assert!(is_named || field != "carrier", "{path}");
    }
    let history = scene.anna.get(&scene.at("/history")).await;
    history
        .sees_not("Fern couriers")
        .sees_not("revision 2 accepted");
    // A page that only holds such a form asks at once, and leads on.
    let release = scene.at("/release");
    let asked = tom.get(&release).await.is(303).location();
    assert!(asked.starts_with("/bench/password?next="), "{asked}");
    let wrong = [("password", "4071")];
    tom.send(&asked, "/bench/password", &wrong).await.is(422);
    let right = [("password", PASSWORD)];
    let answer = tom.send(&asked, "/bench/password", &right).await;
    assert_eq!(answer.is(303).location(), release);
    let full = with_session(&tablet, &answer);
    full.get(&release).await.is(200);
    full.send(&scene.at(""), &accept, &[]).await.is(303);
    // The session of the code is over, and a code leads back to the bench and away from the password.
    assert!(
        tom.get("/bench")
            .await
            .is(303)
            .location()
            .starts_with("/sign-in")
    );
    let away = full.get("/bench/password?next=//evil.example").await;
    assert_eq!(away.is(303).location(), "/");
    let mara = comes_in(&full, "mara", "902614").await;
    mara.post(&release, &[]).await.is(403);
    // Whoever sat there before is signed out by it.
    let before = full.get(&release).await.is(303).location();
    assert!(before.starts_with("/sign-in?next="), "{before}");
}

#[tokio::test]
async fn a_code_is_set_with_the_password_and_is_not_the_first_that_anybody_tries() {
    let scene = Scene::opened().await;
    for (code, said) in [
        ("", "Choose a code"),
        ("123", "4 to 6 digits"),
        ("12345678", "4 to 6 digits"),
        ("four", "4 to 6 digits"),
        ("1234", "tried first"),
        ("777777", "tried first"),
    ] {
        sets_code(&scene.tom, code).await.is(422).sees(said);
    }
    let wrong = [("password", "not it at all"), ("new_bench_code", "4071")];
    let answer = scene.tom.send("/account", "/account/code", &wrong).await;
    answer.is(422).sees("This is not your password.");
    let tablet = allowed(&scene, "Tablet").await;
    tablet
        .get("/bench/who")
        .await
        .sees("Nobody here has a code yet");
    sets_code(&scene.tom, "4071").await.is(303);
    scene.tom.get("/account").await.sees("You have a code.");
    let tom = comes_in(&tablet, "tom", "4071").await;
    // A new one ends what was begun by the old, and no code is none.
    sets_code(&scene.tom, "8315").await.is(303);
    tom.get("/bench").await.is(303);
    types_code(&tablet, "tom", "4071").await.is(422);
    comes_in(&tablet, "tom", "8315").await;
    let none = [("password", PASSWORD)];
    scene.tom.post("/account/code/none", &none).await.is(303);
    let page = tablet.get("/bench/who").await;
    assert_eq!(button_of(&page, "tom"), None);
    // Two devices of one name cannot be told apart, and one device is allowed once.
    let again = [("device_name", "tablet"), ("password", PASSWORD)];
    let answer = scene.mara.send("/bench/devices", "/bench/devices", &again);
    answer.await.is(422).sees("Another device has this name");
}
