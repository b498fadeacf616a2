//! The lab's bench: pan and technician, steps that are done, and who sees what of them.

use crate::common::{Answer, Visitor};
use crate::scene::Scene;

impl Scene {
    fn bench(&self) -> String {
        self.at("/bench")
    }

    async fn assigns(&self, who: &Visitor, pan: &str, more: &[(&str, &str)]) -> Answer {
        let fields = [&[("pan", pan)], more].concat();
        who.send(&self.bench(), &self.at("/assign"), &fields).await
    }

    /// Enters a step with the form of its own page.
    async fn works(&self, who: &Visitor, step: &str, more: &[(&str, &str)]) -> Answer {
        let page = format!("{}?step={step}", self.bench());
        who.send(&page, &self.bench(), more).await
    }

    async fn accept(&self, revision: i64) {
        let accept = self.at(&format!("/revisions/{revision}/acknowledge"));
        self.tom.send(&self.at(""), &accept, &[]).await.is(303);
    }
}

/// The things are at the lab, and revision 1 is accepted.
async fn at_the_bench() -> Scene {
    let (scene, _things) = Scene::at_the_lab().await;
    scene.accept(1).await;
    scene
}

#[tokio::test]
async fn a_pan_leads_to_its_case_and_its_technician_is_the_labs_own() {
    let scene = at_the_bench().await;
    let bench = scene.bench();
    let blue = scene.assigns(&scene.tom, "blue", &[]).await;
    blue.is(422).sees("A pan has a number");
    let long = scene.assigns(&scene.tom, "123456789", &[]).await;
    long.is(422).sees("At most 8 characters");
    let stranger = [("technician", "nobody-here")];
    let stranger = scene.assigns(&scene.tom, "B-3", &stranger).await;
    stranger.is(422).sees("Choose somebody of the list");
    let mine = [("mine", "yes")];
    scene.assigns(&scene.tom, "B-3", &mine).await.is(303);
    let again = scene.assigns(&scene.tom, "B-3", &mine).await;
    again.is(409).sees("Nothing would be different");
    let page = scene.tom.get(&bench).await;
    page.is(200).sees("Pan B-3").sees("yours");
    // On the page of the case, on the first page, and by the scan box.
    let case = scene.tom.get(&scene.at("")).await;
    let links = case.sees("Pan B-3, tom").hrefs(&bench);
    assert_eq!(links.as_slice(), std::slice::from_ref(&bench));
    scene.tom.get("/").await.sees("Pan B-3, tom");
    let qr = format!("HTTPS://VESTIBULE.TEST/C/{}", scene.number);
    for typed in ["B-3", "b3", "pan b 3", &scene.number, &qr] {
        let typed = typed.replace(' ', "+").replace('/', "%2F");
        let found = scene.tom.get(&format!("/find?q={typed}")).await;
        assert_eq!(found.is(303).location(), bench, "{typed}");
    }
    let none = scene.tom.get("/find?q=B-33").await;
    none.is(404);
    // Mine, and those of somebody else.
    let first = scene.tom.get("/").await;
    let link = format!("a[href=\"{}\"]", scene.at(""));
    let own = first.option_value("technician", "Mine");
    let maras = first.option_value("technician", "mara");
    for (id, is_there) in [(own, true), (maras, false)] {
        let page = scene.tom.get(&format!("/?technician={id}")).await;
        assert_eq!(page.count(&link) == 1, is_there, "{id}");
    }
}

#[tokio::test]
async fn nobody_puts_back_an_old_pan_from_an_old_page() {
    let scene = at_the_bench().await;
    scene.assigns(&scene.tom, "12", &[]).await.is(303);
    let (bench, assign) = (scene.bench(), scene.at("/assign"));
    let old = scene.tom.get(&bench).await.form(&bench, &assign, "Enter");
    scene
        .assigns(&scene.mara, "31", &[("mine", "yes")])
        .await
        .is(303);
    let mut old: Vec<(&str, &str)> = old.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    old.push(("mine", "yes"));
    let page = scene.tom.post(&assign, &old).await;
    page.is(409)
        .sees("Somebody has entered another pan or technician")
        .sees("Pan 31");
    scene.tom.get(&bench).await.sees("Pan 31").sees("mara");
}

#[tokio::test]
async fn the_office_sees_neither_the_bench_nor_whose_work_it_is() {
    let scene = at_the_bench().await;
    scene
        .assigns(&scene.mara, "Q-777", &[("mine", "yes")])
        .await
        .is(303);
    let found = scene.anna.get(&format!("/find?q={}", scene.number)).await;
    assert_eq!(found.is(303).location(), scene.at(""));
    scene.anna.get("/find?q=Q-777").await.is(404);
    scene
        .anna
        .get("/")
        .await
        .sees_not("Q-777")
        .sees_not("Technician");
    scene.anna.get(&scene.bench()).await.is(403);
    scene.anna.get("/bench").await.is(403);
    let case = scene.anna.get(&scene.at("")).await;
    assert_eq!(case.is(200).hrefs(&scene.bench()), Vec::<String>::new());
    // Who entered something is told, as of every entry; whom the work was given to is not.
    scene
        .assigns(&scene.mara, "Q-777", &[("technician", "")])
        .await
        .is(303);
    let page = scene.mara.get(&scene.bench()).await;
    let toms = page.option_value("technician", "tom");
    let given = [("technician", toms.as_str())];
    scene.assigns(&scene.mara, "Q-777", &given).await.is(303);
    let history = scene.anna.get(&scene.at("/history")).await;
    history.sees("taken over by a technician of the lab");
    // Another lab knows nothing of it.
    let lars = scene.world.person("lars");
    lars.get(&scene.bench()).await.is(404);
    lars.get("/find?q=Q-777").await.is(404);
}

#[tokio::test]
async fn two_open_cases_of_a_lab_have_two_pans() {
    let scene = at_the_bench().await;
    scene.assigns(&scene.tom, "14", &[]).await.is(303);
    let other = crate::scene::open_case(&scene.dora, &scene.patient, "upper").await;
    let (page, action) = (
        format!("/cases/{other}/bench"),
        format!("/cases/{other}/assign"),
    );
    let taken = scene.tom.send(&page, &action, &[("pan", "14")]).await;
    taken.is(422).sees("Pan 14 holds case");
    scene
        .tom
        .send(&page, &action, &[("pan", "15")])
        .await
        .is(303);
    // Once it is given back it is free.
    scene.assigns(&scene.tom, "", &[]).await.is(303);
    scene
        .tom
        .send(&page, &action, &[("pan", "14")])
        .await
        .is(303);
    assert_eq!(scene.tom.get("/find?q=14").await.location(), page);
}

#[tokio::test]
async fn a_step_is_entered_with_what_was_measured_and_the_next_one_is_named() {
    let scene = at_the_bench().await;
    let bench = scene.bench();
    let page = scene.tom.get(&bench).await;
    page.is(200)
        .sees("0 of")
        .sees("Pour and box the cast")
        .sees("To be avoided Not known");
    // Nothing that is measured is filled in.
    for name in page.names("m.") {
        assert_eq!(
            page.attribute(&format!("input[name=\"{name}\"]"), "value"),
            "",
            "{name}"
        );
    }
    let wrong_fields = [("m.land.measured", "much"), ("used.0.lot", "26-0914")];
    let wrong = scene.works(&scene.tom, "cast_poured", &wrong_fields).await;
    wrong
        .is(422)
        .sees("Name the material of this lot.")
        .sees("Write a number");
    for (name, text) in &wrong_fields {
        let selector = format!("input[name=\"{name}\"]");
        assert_eq!(wrong.attribute(&selector, "value"), *text);
    }
    let poured = [
        ("m.land.measured", "3.2"),
        ("used.0.material", "Type 3 stone"),
        ("used.0.lot", "26-0914"),
        ("worked_minutes", "38"),
    ];
    let done = scene.works(&scene.tom, "cast_poured", &poured).await;
    assert_eq!(done.is(303).location(), format!("{bench}?done=worked"));
    let page = scene.tom.get(&bench).await;
    page.sees("1 of")
        .sees("Mount the casts")
        .sees("Land 3.2 mm")
        .sees("38 min");
    page.sees("Type 3 stone").sees("26-0914");
    // The office reads what was done, and not how long it took.
    let history = scene.anna.get(&scene.at("/history")).await;
    history
        .sees("At the bench: cast poured and boxed, upper")
        .sees_not("38 min");
    // The same lot is one tap at the next step.
    let again = scene.tom.get(&format!("{bench}?step=mounted")).await;
    let lot = again.names("last.");
    assert_eq!(lot.len(), 1, "{lot:?}");
    let taken = [(lot[0].as_str(), "yes")];
    scene.works(&scene.tom, "mounted", &taken).await.is(303);
    // From a page that offered it before: it is not left out without a word.
    let lost = scene.works(&scene.mara, "set_up", &taken).await;
    lost.is(409).sees("offered no more: tick or type");
    let page = scene.tom.get(&bench).await;
    assert_eq!(page.words().matches("Type 3 stone, lot 26-0914").count(), 3);
    scene
        .tom
        .get("/")
        .await
        .sees("Make the work and hand it back");
    scene
        .tom
        .get("/bench")
        .await
        .is(200)
        .sees("Set up the teeth")
        .sees("Nobody");
}

#[tokio::test]
async fn nothing_is_flasked_without_a_photograph_or_a_reason() {
    let scene = at_the_bench().await;
    let bare = scene.works(&scene.tom, "flasked", &[]).await;
    bare.is(422).sees("say here why not");
    let why = [("no_photo", "the camera is broken")];
    scene.works(&scene.tom, "flasked", &why).await.is(303);
    let photo = [("photographed", "yes")];
    scene.works(&scene.tom, "flasked", &photo).await.is(303);
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("cast not photographed: the camera is broken");
    page.sees("cast photographed before");
}

#[tokio::test]
async fn a_mistake_is_withdrawn_with_its_reason_and_the_step_is_open_again() {
    let scene = at_the_bench().await;
    scene.works(&scene.tom, "cast_poured", &[]).await.is(303);
    let (page, undo) = (scene.bench(), scene.at("/bench/undo"));
    let bare = scene.tom.send(&page, &undo, &[]).await;
    bare.is(422).sees("Say what the mistake was.");
    let why = [("undone_why", "the pan of the case beside it")];
    scene.mara.send(&page, &undo, &why).await.is(303);
    let now = scene.tom.get(&page).await;
    now.sees("0 of").sees("Pour and box the cast");
    let history = scene.anna.get(&scene.at("/history")).await;
    history
        .sees("Withdrawn as a mistake")
        .sees("the pan of the case beside it");
}

#[tokio::test]
async fn a_newer_revision_or_a_stop_keeps_everything_from_being_done() {
    let scene = at_the_bench().await;
    let old = scene.tom.get(&scene.bench()).await;
    let mut old = old.form(&scene.bench(), &scene.bench(), "");
    scene.begin_draft().await;
    let more = [
        ("anterior.midline_offset_mm", "1"),
        ("anterior.midline_side", "right"),
    ];
    scene.sign(&more).await.is(303);
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("Stop: revision 2 is signed");
    assert_eq!(page.count("form input[name=bench_step]"), 0);
    let send = |form: &std::collections::BTreeMap<String, String>| {
        let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        crate::common::encode(pairs)
    };
    old.insert("bench_note".to_owned(), "poured in two parts".to_owned());
    let refused = scene.tom.post_body(&scene.bench(), send(&old)).await;
    refused
        .is(409)
        .sees("revision 2 is signed")
        .sees("poured in two parts");
    scene.accept(2).await;
    let key = ("post_key".to_owned(), "another-key-of-this-post".to_owned());
    old.insert(key.0, key.1);
    let refused = scene.tom.post_body(&scene.bench(), send(&old)).await;
    refused.is(409).sees("This page was of revision 1");
    scene.works(&scene.tom, "cast_poured", &[]).await.is(303);
    let stop = [
        ("halt", "stop"),
        ("reason", "the patient is ill"),
        ("password", crate::common::PASSWORD),
    ];
    let halt = scene.at("/halt");
    scene.dora.send(&halt, &halt, &stop).await.is(303);
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("The work is stopped");
    assert_eq!(page.count("form input[name=bench_step]"), 0);
}

#[tokio::test]
async fn what_was_done_earlier_is_entered_from_paper_to_the_revision_of_then() {
    let scene = at_the_bench().await;
    scene.world.pass_minutes(60);
    let tom = scene.world.visitor("tom").await;
    let late = |clock: &'static str| {
        [
            ("late_day", "2026-03-02"),
            ("late_time", clock),
            ("late_name", "T. Kiln"),
        ]
    };
    let before = scene.works(&tom, "cast_poured", &late("00:05")).await;
    before.is(409).sees("No prescription was signed by");
    let now = tom.get(&scene.bench()).await;
    assert!(now.is(200).words().contains("0 of"));
}
