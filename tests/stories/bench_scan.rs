//! The bench by scanner alone: every word of the card does there what a touch would.

use crate::bench::at_the_bench;
use crate::common::{Answer, Visitor, encode};
use crate::pictures::{request, taken};
use crate::scene::{Scene, open_case};

impl Scene {
    /// Scans a word on a page of the bench, as it stands with all that was typed there.
    async fn scans(&self, who: &Visitor, page: &Answer, word: &str) -> Answer {
        let bench = self.bench();
        let mut form = page.form(&bench, &bench, "bench_step");
        form.insert("q".to_owned(), word.to_owned());
        form.insert("go".to_owned(), "scan".to_owned());
        let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        who.post_body(&bench, encode(pairs)).await
    }

    /// Scans one word after the other, each on the page that the one before it has left.
    async fn scans_all(&self, page: Answer, words: &[&str]) -> Answer {
        let mut page = page;
        for word in words {
            page = self.scans(&self.tom, &page, word).await;
            page.is(200);
        }
        page
    }
}

/// A second case of the same lab, in the pan B-9; its bench.
async fn another_in_a_pan(scene: &Scene) -> String {
    let number = open_case(&scene.dora, &scene.patient, "lower").await;
    let case = format!("/cases/{number}");
    let (bench, assign) = (format!("{case}/bench"), format!("{case}/assign"));
    scene
        .tom
        .send(&bench, &assign, &[("pan", "B-9")])
        .await
        .is(303);
    bench
}

fn typed(page: &Answer, name: &str) -> String {
    page.attribute(&format!("input[name=\"{name}\"]"), "value")
}

#[tokio::test]
async fn a_step_is_measured_and_entered_by_scans_alone() {
    let scene = at_the_bench().await;
    let bench = scene.bench();
    let page = scene.tom.get(&bench).await;
    // The box belongs to the form of the step: nothing that was typed is lost, and no script is needed.
    assert_eq!(page.count("#scan[form=bench-step]"), 1);
    assert_eq!(page.count("form#bench-step"), 1);
    let digits = ["BENCH.KEY.3", "bench.key.point", "BENCH.KEY.2"];
    let page = scene.scans_all(page, &digits).await;
    page.sees("Land: 3.2");
    assert_eq!(typed(&page, "m.land.measured"), "3.2");
    let page = scene.scans_all(page, &["BENCH.NEXT", "BENCH.KEY.4"]).await;
    assert_eq!(typed(&page, "m.cast_border.measured"), "4");
    assert_eq!(page.count(".measures li.into"), 1);
    let page = scene.scans_all(page, &["BENCH.KEY.CLEAR"]).await;
    assert_eq!(typed(&page, "m.cast_border.measured"), "");
    assert_eq!(typed(&page, "m.land.measured"), "3.2");
    let page = scene.scans_all(page, &["BENCH.KEY.3"]).await;
    // A lot as its own code has it, whatever that looks like.
    let page = scene.scans_all(page, &["BENCH.LOT.NEW", "26-0914"]).await;
    assert_eq!(typed(&page, "used.0.lot"), "26-0914");
    let bare = scene.scans(&scene.tom, &page, "BENCH.DONE").await;
    bare.is(422).sees("Name the material of this lot.");
    let none = scene.scans(&scene.tom, &bare, "BENCH.LOT.6").await;
    none.is(200).sees("Nothing stands in that place");
    // Nobody has used anything yet: the name of the material is typed once.
    let mut form = none.form(&bench, &bench, "bench_step");
    form.insert("used.0.material".to_owned(), "Type 3 stone".to_owned());
    form.insert("q".to_owned(), "BENCH.DONE".to_owned());
    let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    let done = scene.tom.post_body(&bench, encode(pairs)).await;
    assert_eq!(done.is(303).location(), format!("{bench}?done=worked"));
    let page = scene.tom.get(&bench).await;
    page.sees("Land 3.2 mm")
        .sees("Border on the cast 3 mm")
        .sees("lot 26-0914");
    // The next step: the same lot again, and a new lot of the same material.
    let page = scene.scans_all(page, &["BENCH.LOT.1"]).await;
    page.sees("Type 3 stone, lot 26-0914, again.");
    let page = scene
        .scans_all(
            page,
            &["BENCH.LOT.1", "BENCH.LOT.NEW", "27-1", "BENCH.LOT.1"],
        )
        .await;
    page.sees("Type 3 stone, the lot that was scanned.");
    scene.scans(&scene.tom, &page, "BENCH.DONE").await.is(303);
    let page = scene.tom.get(&bench).await;
    page.sees("Set up the teeth").sees("Type 3 stone, lot 27-1");
    assert_eq!(page.words().matches("Type 3 stone, lot 26-0914").count(), 1);
    let page = scene.scans_all(page, &["BENCH.ARCH.UPPER"]).await;
    page.sees("For: upper.");
}

#[tokio::test]
async fn a_word_that_is_read_twice_enters_one_step() {
    for way in ["asked", "later", "touched", "typed"] {
        let scene = at_the_bench().await;
        let bench = scene.bench();
        let page = scene.tom.get(&bench).await;
        let first = typed(&page, "bench_step");
        scene.scans(&scene.tom, &page, "BENCH.DONE").await.is(303);
        let page = scene.tom.get(&bench).await;
        let second = typed(&page, "bench_step");
        assert_ne!(first, second, "{way}");
        if way == "later" {
            scene.world.pass_minutes(2);
        }
        let mut form = page.form(&bench, &bench, "bench_step");
        if way == "typed" {
            form.insert("bench_note".to_owned(), "thin at the tongue".to_owned());
        }
        if way != "touched" {
            form.insert("q".to_owned(), "BENCH.DONE".to_owned());
            form.insert("go".to_owned(), "scan".to_owned());
        }
        let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        let mut done = scene.tom.post_body(&bench, encode(pairs)).await;
        if way == "asked" {
            done.is(200)
                .sees("Nothing is typed for “")
                .sees("scan “Done” once more to enter it.")
                .sees_not("once more to leave");
            let stands = scene.tom.get(&bench).await;
            assert_eq!(typed(&stands, "bench_step"), second);
            done = scene.scans(&scene.tom, &done, "BENCH.DONE").await;
        }
        assert_eq!(done.is(303).location(), format!("{bench}?done=worked"));
        let next = scene.tom.get(&bench).await;
        assert_ne!(typed(&next, "bench_step"), second, "{way}");
    }
}

#[tokio::test]
async fn a_tick_is_given_only_where_the_page_asks_for_it() {
    let scene = at_the_bench().await;
    let why = [("no_photo", "the camera is broken")];
    scene.works(&scene.tom, "flasked", &why).await.is(303);
    scene.world.pass_minutes(2);
    let cured = format!("{}?step=cured", scene.bench());
    let cure = [("timer_minutes", "540"), ("timer", "cure")];
    let start = scene.at("/bench/timer");
    scene.tom.send(&cured, &start, &cure).await.is(303);
    let page = scene.tom.get(&cured).await;
    let unasked = scene.scans(&scene.tom, &page, "BENCH.YES.TICK").await;
    unasked.is(200).sees("The page asks for no tick.");
    let asked = scene.scans(&scene.tom, &unasked, "BENCH.DONE").await;
    asked.is(422).sees("Still running");
    let ticked = scene.scans(&scene.tom, &asked, "BENCH.YES.TICK").await;
    ticked.is(200).sees("Ticked.");
    scene.scans(&scene.tom, &ticked, "BENCH.DONE").await.is(303);
    scene
        .tom
        .get(&scene.bench())
        .await
        .sees("Cure 0 s, of 540 min");
    // As it was set last, it starts by a scan; what nobody has set yet is typed once.
    let page = scene.tom.get(&cured).await;
    let never = scene.scans(&scene.tom, &page, "BENCH.TIMER.MIX").await;
    never.is(409).sees("type its minutes once");
    let runs = scene.scans(&scene.tom, &never, "BENCH.TIMER.CURE").await;
    runs.is(200).sees("540 min left").sees("The timer runs");
    assert_eq!(runs.count(".timer"), 1);
}

#[tokio::test]
async fn a_question_takes_its_step_along_and_is_asked_by_scans_alone() {
    let scene = at_the_bench().await;
    let page = scene.tom.get(&scene.bench()).await;
    let led = scene.scans(&scene.tom, &page, "BENCH.ASK").await;
    let at = led.is(303).location().to_owned();
    assert!(
        at.starts_with(&scene.at("/questions?step=cast_poured")),
        "{at}"
    );
    assert!(at.ends_with("#ask"), "{at}");
    // By hand it is the same address: a touch, the words, and a touch.
    assert!(page.hrefs(&scene.at("/questions")).contains(&at));
    let at = at.trim_end_matches("#ask");
    let asks = scene.tom.get(at).await;
    asks.sees("From the bench: Pour and box the cast");
    assert_eq!(asks.count("#scan[form=ask-form]"), 1);
    assert_eq!(asks.count("#ask details[open]"), 1);
    let to = scene.at("/ask");
    let mut form = asks.form(at, &to, "matter");
    assert_eq!(form.get("matter").map(String::as_str), Some("unclear"));
    // Anything else that is scanned leads where it leads from any page, and asks nothing.
    for (word, leads) in [("BENCH.LIST", "/bench"), ("B-3", "/find?q=B%2D3")] {
        let mut form = form.clone();
        form.insert("q".to_owned(), word.to_owned());
        let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        let answer = scene.tom.post_body(&to, encode(pairs)).await;
        assert_eq!(answer.is(303).location(), leads, "{word}");
    }
    scene
        .dora
        .get(&scene.at("/questions"))
        .await
        .sees("Nothing is open.");
    form.insert("q".to_owned(), "BENCH.DONE".to_owned());
    form.insert("go".to_owned(), "scan".to_owned());
    let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    scene.tom.post_body(&to, encode(pairs)).await.is(303);
    let read = scene.dora.get(&scene.at("/questions")).await;
    read.sees("Pour and box the cast").sees(": unclear");
    // The step is the lab's: what an office sends as one is none.
    let from_office = [
        ("matter", "unclear"),
        ("asked_step", "flasked"),
        ("question", "when?"),
    ];
    let page = scene.at("/questions");
    scene.dora.send(&page, &to, &from_office).await.is(303);
    scene.tom.get(&page).await.sees_not("Flask");
}

#[tokio::test]
async fn what_is_no_word_for_a_step_leads_where_it_leads_from_any_page() {
    let scene = at_the_bench().await;
    scene.assigns(&scene.tom, "B-3", &[]).await.is(303);
    let bench = scene.bench();
    let page = scene.tom.get(&bench).await;
    for (word, to) in [
        (
            "BENCH.STEP.TRY-IN-CHECKED",
            format!("{bench}?step=try_in_checked"),
        ),
        ("BENCH.LIST", "/bench".to_owned()),
        ("B-3", "/find?q=B%2D3".to_owned()),
    ] {
        let answer = scene.scans(&scene.tom, &page, word).await;
        assert_eq!(answer.is(303).location(), to, "{word}");
    }
    let person = scene.scans(&scene.tom, &page, "BENCH.PERSON").await;
    assert!(person.is(303).location().starts_with("/bench/who?next="));
    // Nothing was entered by any of it, and a page without a form knows its case all the same.
    scene.tom.get(&bench).await.sees("0 of");
    let from = format!("/find?at={}&q=BENCH.STEP.CURED", scene.number);
    assert_eq!(
        scene.tom.get(&from).await.is(303).location(),
        format!("{bench}?step=cured")
    );
    let lost = scene.tom.get("/find?q=BENCH.DONE").await;
    lost.is(404).sees("Scan the pan or the sheet first");
    assert_eq!(
        scene.tom.get("/find?q=bench.list").await.is(303).location(),
        "/bench"
    );
    scene.anna.get("/find?q=BENCH.LIST").await.is(404);
    // The card is the lab's.
    let card = scene.tom.get("/bench/card.pdf").await;
    assert!(card.is(200).body.starts_with(b"%PDF"));
    assert_eq!(card.body, scene.tom.get("/bench/card.pdf").await.body);
    scene.anna.get("/bench/card.pdf").await.is(403);
}

#[tokio::test]
async fn what_is_typed_stands_there_still_whatever_is_scanned() {
    let (scene, things) = Scene::at_the_lab().await;
    scene.begin_draft().await;
    scene.sign(&[("vertical.rest_mm", "69")]).await.is(303);
    scene.accept(2).await;
    scene.assigns(&scene.tom, "B-3", &[]).await.is(303);
    let (bench, other) = (scene.bench(), another_in_a_pan(&scene).await);
    let digits = ["BENCH.KEY.3", "BENCH.KEY.POINT", "BENCH.KEY.2"];
    let all = [
        ("used.0.material", "Type 3 stone"),
        ("used.0.lot", "26-0914"),
        ("bench_note", "thin at the tongue"),
    ];
    let page = scene.tom.get(&bench).await;
    let mut page = scene.scans_all(page, &digits).await;
    let mut form = page.form(&bench, &bench, "bench_step");
    form.extend(all.map(|(key, text)| (key.to_owned(), text.to_owned())));
    form.insert("q".to_owned(), "garbage 11".to_owned());
    let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    page = scene.tom.post_body(&bench, encode(pairs)).await;
    let stands = |page: &Answer| {
        let form = page.form(&bench, &bench, "bench_step");
        for (key, text) in all.into_iter().chain([("m.land.measured", "3.2")]) {
            assert_eq!(form.get(key).map(String::as_str), Some(text), "{key}");
        }
    };
    let sheet = |revision| format!("HTTP://VESTIBULE.TEST/C/{}/{revision}", scene.number);
    let here = "That is of the case that stands here.";
    for (scanned, said) in [
        (things.bite.clone(), here),
        ("B-3".to_owned(), here),
        (sheet(2), here),
        ("garbage 12".to_owned(), "No case here has “garbage 12”"),
    ] {
        // It leads nowhere, however often it is scanned.
        for _ in 0..2 {
            page = scene.scans(&scene.tom, &page, &scanned).await;
            page.is(200)
                .sees(said)
                .sees("What is typed here stands as it was.");
            stands(&page);
        }
    }
    let old = scene.at("/revisions/1");
    for (scanned, said, to) in [
        (
            sheet(1),
            "it is of revision 1 of this case, and a newer one is in force",
            old.clone(),
        ),
        ("B-9".to_owned(), "That is of case", other.clone()),
        (
            "BENCH.LIST".to_owned(),
            "leads away from here",
            "/bench".to_owned(),
        ),
        (
            "BENCH.STEP.CURED".to_owned(),
            "leads away from here",
            format!("{bench}?step=cured"),
        ),
        (
            "BENCH.ASK".to_owned(),
            "leads away from here",
            scene.at("/questions?step=cast_poured"),
        ),
        (
            "BENCH.PERSON".to_owned(),
            "leads away from here",
            "/bench/who?next=".to_owned(),
        ),
    ] {
        page = scene.scans(&scene.tom, &page, &scanned).await;
        page.is(200).sees(said).sees("scan it once more to leave");
        stands(&page);
        let links = page.hrefs(&to);
        assert!(!links.is_empty(), "{scanned} has a way to {to}");
        let left = scene.scans(&scene.tom, &page, &scanned).await;
        let left = left.is(303).location();
        let led = match left.starts_with("/find") {
            true => scene.tom.get(&left).await.is(303).location(),
            false => left,
        };
        assert!(led.starts_with(&to), "{scanned} leads to {led}");
    }
    // Nothing was entered by any of it; a digit goes on where it was, and one scan enters all.
    page = scene.scans(&scene.tom, &page, "BENCH.KEY.5").await;
    assert_eq!(typed(&page, "m.land.measured"), "3.25");
    scene.scans(&scene.tom, &page, "BENCH.DONE").await.is(303);
    let done = scene.tom.get(&bench).await;
    done.sees("Land 3.25 mm")
        .sees("lot 26-0914")
        .sees("thin at the tongue");
}

#[tokio::test]
async fn a_question_that_is_typed_stands_there_still_whatever_is_scanned() {
    let scene = at_the_bench().await;
    scene.assigns(&scene.tom, "B-3", &[]).await.is(303);
    another_in_a_pan(&scene).await;
    let (at, to) = (scene.at("/questions?step=cast_poured"), scene.at("/ask"));
    let mut form = scene.tom.get(&at).await.form(&at, &to, "matter");
    form.insert("question".to_owned(), "how high is the land?".to_owned());
    for (scanned, said, leaves) in [
        ("B-3", "That is of the case that stands here.", None),
        (
            "BENCH.KEY.1",
            "This is a word for a step at the bench.",
            None,
        ),
        ("nothing 77", "No case here has “nothing 77”", None),
        ("B-9", "That is of case", Some("/find?q=B%2D9")),
        ("BENCH.LIST", "leads away from here", Some("/bench")),
    ] {
        form.insert("q".to_owned(), scanned.to_owned());
        let pairs = |form: &std::collections::BTreeMap<String, String>| {
            encode(form.iter().map(|(key, text)| (key.as_str(), text.as_str())))
        };
        let page = scene.tom.post_body(&to, pairs(&form)).await;
        page.is(200)
            .sees(said)
            .sees("From the bench: Pour and box the cast");
        form = page.form(&at, &to, "matter");
        assert_eq!(form["question"], "how high is the land?", "{scanned}");
        form.insert("q".to_owned(), scanned.to_owned());
        let again = scene.tom.post_body(&to, pairs(&form)).await;
        match leaves {
            None => {
                again.is(200).sees(said);
            }
            Some(to) => assert_eq!(again.is(303).location(), to, "{scanned}"),
        }
    }
    // No browser sends a picture a second time.
    form.remove("question");
    form.remove("scan_left");
    form.insert("mouth_only".to_owned(), "yes".to_owned());
    let page = scene.tom.ask(request(&to, &form, &taken(60))).await;
    page.is(200)
        .sees("leads away from here")
        .sees("Choose the picture again");
    assert_eq!(page.count("input[name=mouth_only][checked]"), 0);
    scene
        .dora
        .get(&scene.at("/questions"))
        .await
        .sees("Nothing is open.");
}
