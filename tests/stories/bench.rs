//! The lab's bench: pan and technician, steps that are done, and who sees what of them.

use crate::bench_code::{at_a_tablet, comes_in};
use crate::common::{Answer, Visitor};
use crate::pictures::{a_cast_is_photographed, sent_by};
use crate::scene::{LEAST, Scene};
use vestibule::app::examine::examine;
use vestibule::domain::custody::bench::BenchStep;

impl Scene {
    pub fn bench(&self) -> String {
        self.at("/bench")
    }

    pub async fn assigns(&self, who: &Visitor, pan: &str, more: &[(&str, &str)]) -> Answer {
        let fields = [&[("pan", pan)], more].concat();
        who.send(&self.bench(), &self.at("/assign"), &fields).await
    }

    /// Enters a step with the form of its own page; what goes before it was done elsewhere.
    pub async fn works(&self, who: &Visitor, step: &str, more: &[(&str, &str)]) -> Answer {
        let fields = [more, &[("bench_left_out", "yes")]].concat();
        self.works_next(who, step, &fields).await
    }

    /// The same where nothing is said of what goes before it.
    pub async fn works_next(&self, who: &Visitor, step: &str, more: &[(&str, &str)]) -> Answer {
        let page = format!("{}?step={step}", self.bench());
        who.send(&page, &self.bench(), more).await
    }

    pub async fn accept(&self, revision: i64) {
        let accept = self.at(&format!("/revisions/{revision}/acknowledge"));
        self.tom.send(&self.at(""), &accept, &[]).await.is(303);
    }
}

/// The things are at the lab, and revision 1 is accepted.
pub async fn at_the_bench() -> Scene {
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
async fn what_is_to_be_avoided_goes_into_the_work_only_with_a_reason() {
    let scene = at_the_bench().await;
    let card = format!("/patients/{}", scene.patient);
    let facts = [
        ("patient.exclusions", "listed"),
        ("patient.no_nickel", "yes"),
    ];
    scene.dora.send(&card, &card, &facts).await.is(303);
    let wire = [("used.0.material", "NiCr wire"), ("used.0.lot", "W 14")];
    let asked = scene.works(&scene.tom, "cast_poured", &wire).await;
    asked
        .is(422)
        .sees(
            "To be avoided: nickel, by the patient’s card since. “NiCr wire” contains or names it",
        )
        .sees("the office agreed by telephone");
    let field = "input[name=\"used.0.material\"]";
    assert_eq!(asked.attribute(field, "value"), "NiCr wire");
    assert_eq!(asked.attribute(field, "aria-invalid"), "true");
    // What holds none of it is asked about too: the text that is worked to says nothing of it.
    let turn = "Your turn: ask the office before the work goes on";
    scene.tom.get(&scene.at("")).await.sees(turn);
    let stone = [("used.0.material", "Type 3 stone")];
    let asked = scene.works(&scene.tom, "cast_poured", &stone).await;
    asked
        .is(422)
        .sees("To be avoided, as the patient’s card has it now: nickel.")
        .sees("Ask the office before the work goes on")
        .sees("Enter it all the same");
    let anyway = [&stone[..], &[("bench_anyway", "yes")]].concat();
    scene
        .works(&scene.tom, "cast_poured", &anyway)
        .await
        .is(303);
    let why = ("avoided_why", "the office agreed by telephone");
    let agreed = [&wire[..], &[why]].concat();
    scene.works(&scene.tom, "set_up", &agreed).await.is(303);
    let said = "To be avoided, and used all the same: the office agreed by telephone";
    scene.tom.get(&scene.bench()).await.sees(said);
    scene.dora.get(&scene.at("/history")).await.sees(said);
    // Taken again by one tap, it is asked about again.
    let page = format!("{}?step=mounted", scene.bench());
    let lots = scene.tom.get(&page).await.names("last.");
    let ticks: Vec<(&str, &str)> = lots.iter().map(|key| (key.as_str(), "yes")).collect();
    let again = scene.works(&scene.tom, "mounted", &ticks).await;
    again.is(422).sees("“NiCr wire” contains or names it");
}

#[tokio::test]
async fn nobody_puts_back_an_old_pan_from_an_old_page() {
    let scene = at_the_bench().await;
    scene.assigns(&scene.tom, "12", &[]).await.is(303);
    let (bench, assign) = (scene.bench(), scene.at("/assign"));
    let old = scene.tom.get(&bench).await.form(&bench, &assign, "Save");
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
async fn a_pan_is_free_once_nothing_of_its_case_is_in_the_house() {
    let (scene, things) = Scene::at_the_lab().await;
    scene.accept(1).await;
    scene.assigns(&scene.tom, "14", &[]).await.is(303);
    let other = crate::scene::open_case(&scene.dora, &scene.patient, "upper").await;
    let (page, action) = (
        format!("/cases/{other}/bench"),
        format!("/cases/{other}/assign"),
    );
    let takes = async || scene.tom.send(&page, &action, &[("pan", "14")]).await;
    takes().await.is(422).sees("Pan 14 holds case");
    // One thing is there still; what is packed is there too.
    scene
        .release(&scene.tom, &[&things.bite], &[])
        .await
        .is(303);
    takes().await.is(422).sees("Pan 14 holds case");
    scene
        .pack(&scene.tom, &[&things.provisional], &[])
        .await
        .is(303);
    takes().await.is(422).sees("Pan 14 holds case");
    scene.pick_up(&scene.tom, &[]).await.is(303);
    takes().await.is(303);
    assert_eq!(scene.tom.get("/find?q=14").await.location(), page);
    // The case that was away has given it up, and says so.
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("At the lab: no pan");
}

#[tokio::test]
async fn work_from_files_is_begun_without_a_parcel() {
    let scene = Scene::opened().await;
    let scan = scene.add(&scene.anna, "scan", "", "here").await;
    let files = [
        ("scans.0.tag", scan.as_str()),
        ("scans.0.file", "upper.stl"),
        ("scans.0.units", "mm"),
    ];
    let fields: Vec<(&str, &str)> = LEAST.iter().chain(&files).copied().collect();
    scene.sign(&fields).await.is(303);
    scene.accept(1).await;
    // Its name alone is nothing to work from: the office adds the file.
    let add = "dd the scan files that are listed and not stored here";
    scene.anna.get(&scene.at("")).await.sees(add);
    scene
        .anna
        .get(&scene.at("/release"))
        .await
        .sees("listed, and not stored here")
        .sees_not("Nothing has to travel");
    let lab = scene.tom.get(&scene.at("")).await;
    lab.sees("not stored here")
        .sees_not("Your turn: make the work");
    crate::scans::a_scan_of(&scene, &scan).await;
    scene.anna.get(&scene.at("")).await.sees_not(add);
    let bench = scene.tom.get(&scene.bench()).await;
    bench.sees_not("has come to the lab yet");
    assert_eq!(bench.count("#bench-step"), 1);
    // The office has nothing to pack, and no day by which a parcel would have to leave.
    scene
        .anna
        .get(&scene.at("/release"))
        .await
        .sees("Nothing has to travel: the files went with the signature.")
        .sees_not("Nothing can be handed over now.");
    scene
        .anna
        .get(&scene.at("/dates"))
        .await
        .sees_not("has to leave the office");
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
    // A lot is no letter: five hundred signs are refused beside their box, and stay in it.
    let long = "26-0914 ".repeat(62) + "over";
    let long_lot = [("used.0.material", "Type 3 stone"), ("used.0.lot", &*long)];
    let wrong = scene.works(&scene.tom, "cast_poured", &long_lot).await;
    let box_of_lot = "input[name=\"used.0.lot\"]";
    assert_eq!(wrong.is(422).attribute(box_of_lot, "value"), long);
    assert_eq!(wrong.attribute(box_of_lot, "aria-invalid"), "true");
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
    let flasking = format!("{}?step=flasked", scene.bench());
    scene
        .tom
        .get(&flasking)
        .await
        .sees("No picture of the cast since the last set-up");
    let bare = scene.works(&scene.tom, "flasked", &[]).await;
    bare.is(422).sees("say here why not");
    let why = [("no_photo", "the camera is broken")];
    scene.works(&scene.tom, "flasked", &why).await.is(303);
    // The link to the camera leads back to the step, and with a picture nothing more is asked.
    let page = scene.tom.get(&flasking).await;
    let camera = page.hrefs(&scene.at("/pictures?shows=cast_before_flasking"));
    let camera = scene.tom.get(&camera[0]).await;
    assert_eq!(
        camera.hrefs(&flasking).as_slice(),
        std::slice::from_ref(&flasking)
    );
    a_cast_is_photographed(&scene, &scene.tom).await;
    let page = scene.tom.get(&flasking).await;
    page.sees("✓ Cast photographed")
        .sees_not("why it goes into the flask");
    assert_eq!(page.count("input[name=no_photo]"), 0);
    scene.works(&scene.tom, "flasked", &[]).await.is(303);
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("cast not photographed: the camera is broken");
    page.sees("cast photographed before");
    // Set up again, it is another cast.
    scene.world.pass_minutes(5);
    scene.works(&scene.tom, "set_up", &[]).await.is(303);
    let stale = scene.works(&scene.tom, "flasked", &[]).await;
    stale.is(422).sees("since the last set-up");
    let history = scene.anna.get(&scene.at("/history")).await;
    history.sees("Cast not photographed before flasking: the camera is broken");
}

#[tokio::test]
async fn work_that_is_neither_flasked_nor_cured_is_finished_after_one_question() {
    let scene = at_the_bench().await;
    let asked = scene.works_next(&scene.tom, "finished", &[]).await;
    asked
        .is(422)
        .sees("Not entered yet, and done before this: flasked (upper), cured (upper).");
    assert_eq!(asked.count("input[name=bench_left_out]"), 1);
    // A page that nothing is asked of has no such tick.
    let page = scene.tom.get(&scene.bench()).await;
    assert_eq!(page.count("input[name=bench_left_out]"), 0);
    let why = [("no_photo", "the camera is broken")];
    let flasked = scene.works(&scene.tom, "flasked", &why).await;
    flasked.is(303);
    let nothing = [("m.cure_minutes.measured", "0")];
    let nothing = scene.works_next(&scene.tom, "cured", &nothing).await;
    nothing.is(422).sees("0 min: is that right?");
    scene.works_next(&scene.tom, "cured", &[]).await.is(303);
    scene.works_next(&scene.tom, "finished", &[]).await.is(303);
}

#[tokio::test]
async fn a_repair_is_not_measured_as_a_new_denture_and_says_what_is_broken() {
    let scene = at_the_bench().await;
    scene.begin_draft().await;
    let repair = [
        ("order.course", "repair"),
        ("pieces.0.stage", "repair"),
        ("repairs.0.what", "base_cracked"),
        ("repairs.0.place", "midline of the palate"),
        ("repair.fit_together", "yes"),
        ("repair.cause", "dropped"),
    ];
    scene.sign(&repair).await.is(303);
    scene.accept(2).await;
    for step in ["cast_poured", "repaired", "finished"] {
        let page = format!("{}?step={step}", scene.bench());
        let page = scene.tom.get(&page).await;
        page.sees("Prescribed for this step")
            .sees("Base cracked, midline of the palate");
        let open = page.count(".measures input[name=\"m.land.measured\"]");
        assert_eq!(
            open + page.count(".measures input[name=\"m.ovd.measured\"]"),
            0
        );
    }
    // Reachable all the same.
    let page = format!("{}?step=cast_poured", scene.bench());
    let page = scene.tom.get(&page).await;
    assert_eq!(page.count("details input[name=\"m.land.measured\"]"), 1);
}

#[tokio::test]
async fn what_is_done_elsewhere_is_ticked_and_entered_at_once() {
    let scene = at_the_bench().await;
    let done = [("bench_left_out", "yes")];
    scene
        .works_next(&scene.tom, "finished", &done)
        .await
        .is(303);
    // Who asks later is told what was ticked.
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("Not entered, said to be done: flasked (upper), cured (upper).");
}

#[tokio::test]
async fn a_timer_runs_on_without_a_page_and_goes_into_the_entry_of_its_step() {
    let scene = at_the_bench().await;
    let page = format!("{}?step=cured", scene.bench());
    let (start, stop) = (scene.at("/bench/timer"), scene.at("/bench/timer/stop"));
    // Nothing is proposed that nobody has typed.
    let first = scene.tom.get(&page).await;
    first.sees("Start: cure").sees_not("again");
    for (minutes, what) in [
        ("", "cure"),
        ("0", "cure"),
        ("3000", "cure"),
        ("90", "pot"),
        ("90", ""),
    ] {
        let typed = [("timer_minutes", minutes), ("timer", what)];
        let answer = scene.tom.send(&page, &start, &typed).await;
        answer.is(422);
        assert_eq!(answer.count(".timer"), 0, "{minutes} {what}");
    }
    // Too little, less than nothing, and too much are told what is taken in one sentence.
    for minutes in ["0", "-3", "0.01", "2881"] {
        let typed = [("timer_minutes", minutes), ("timer", "cure")];
        let answer = scene.tom.send(&page, &start, &typed).await;
        let said = format!("This field takes 0.02 to 2880; {minutes} was typed.");
        answer.is(422).sees(&said);
        assert_eq!(answer.count(".timer"), 0, "{minutes}");
    }
    let cure = [("timer_minutes", "90"), ("timer", "cure")];
    scene.tom.send(&page, &start, &cure).await.is(303);
    let mix = [("timer_minutes", "0.5"), ("timer", "mix")];
    scene.tom.send(&page, &start, &mix).await.is(303);
    scene
        .tom
        .get(&page)
        .await
        .sees("90 min left")
        .sees("30 s left");
    // By the server's clock, for everybody of the lab, on each page.
    scene.world.pass_minutes(20);
    let mara = scene.mara.get(&page).await;
    mara.sees("70 min left").sees("Time is up, 19 min ago");
    assert_eq!(mara.count(".timer.rings"), 1);
    for list in ["/bench", "/bench/timers"] {
        let shown = scene.mara.get(list).await;
        shown.is(200).sees("70 min left").sees("Time is up");
    }
    let again = scene.tom.get("/bench/timers").await;
    let by_itself = "<noscript><meta http-equiv=\"refresh\" content=\"30\"></noscript>";
    assert!(again.text().contains(by_itself), "{}", again.text());
    scene.anna.get("/bench/timers").await.is(403);
    let lars = scene.world.person("lars").get("/bench/timers").await;
    lars.is(200).sees("No timer runs");
    // Stopped by hand, and what still runs by the entry.
    let id = scene.tom.get(&page).await;
    let id = id.attribute(".timer.rings input[name=timer_id]", "value");
    let fields = [("timer_id", id.as_str()), ("post_key", "a-key-of-a-stop")];
    scene.tom.post(&stop, &fields).await.is(303);
    scene.tom.get(&page).await.sees("Stopped after 20 min");
    scene.world.pass_minutes(5);
    // Asked before: an entry by mistake would end a cure of hours.
    let asked = scene.works(&scene.tom, "cured", &[]).await;
    asked
        .is(422)
        .sees("Still running: cure, upper: 65 min left.");
    assert_eq!(asked.count(".timer"), 2);
    let done = [("bench_running", "yes")];
    scene.works(&scene.tom, "cured", &done).await.is(303);
    let bench = scene.tom.get(&scene.bench()).await;
    bench
        .sees("Cure 25 min, of 90 min")
        .sees("Mix 20 min, of 30 s");
    assert_eq!(bench.count(".timer"), 0);
    let history = scene.anna.get(&scene.at("/history")).await;
    history.sees("Cure 25 min, of 90 min");
    // Next time the minutes of this one are one touch away, and nothing else is.
    let page = scene.tom.get(&page).await;
    page.sees("Cure, 90 min again").sees("Mix, 30 s again");
    let again = [("timer", "cure/5400"), ("timer_minutes", "")];
    let path = format!("{}?step=cured", scene.bench());
    scene.tom.send(&path, &start, &again).await.is(303);
    let shown = scene.tom.get(&path).await;
    let id = shown
        .sees("90 min left")
        .attribute(".timer input[name=timer_id]", "value");
    let away = [
        ("timer_id", id.as_str()),
        ("post_key", "a-key-of-a-mistake"),
    ];
    let lars = scene.world.person("lars");
    lars.post(&scene.at("/bench/timer/away"), &away)
        .await
        .is(404);
    scene
        .anna
        .post(&scene.at("/bench/timer/away"), &away)
        .await
        .is(403);
    scene
        .tom
        .post(&scene.at("/bench/timer/away"), &away)
        .await
        .is(303);
    assert_eq!(scene.tom.get(&path).await.count(".timer"), 0);
}

#[tokio::test]
async fn a_timer_is_of_its_arch_and_goes_into_no_other_entry() {
    let scene = at_the_bench().await;
    let page = format!("{}?step=cured", scene.bench());
    let start = scene.at("/bench/timer");
    for (minutes, arch) in [("540", "upper"), ("541", "lower"), ("30", "both")] {
        let cure = [
            ("timer_minutes", minutes),
            ("timer", "cure"),
            ("timer_arches", arch),
        ];
        if arch == "both" {
            let asked = scene.tom.send(&page, &start, &cure).await;
            asked
                .is(422)
                .sees("Cure runs already, ")
                .sees("It is another one: both run");
        }
        let another = [&cure[..], &[("timer_another", "yes")]].concat();
        let typed = if arch == "both" {
            &another[..]
        } else {
            &cure[..]
        };
        scene.tom.send(&page, &start, typed).await.is(303);
    }
    let running = scene.tom.get("/bench/timers").await;
    running.sees("Cured, lower").sees("Cured, upper");
    // What rings first stands first, on top of the page.
    let shown = scene.tom.get(&page).await;
    let html = scraper::Html::parse_document(&shown.text());
    let lines = scraper::Selector::parse(".now-timed .left").unwrap();
    let lefts = html
        .select(&lines)
        .map(|one| one.text().collect::<String>());
    let lefts: Vec<String> = lefts.collect();
    assert_eq!(lefts, ["30 min left", "540 min left"]);
    shown.sees("and 1 more");
    scene.world.pass_minutes(20);
    let upper = [("bench_arches", "upper"), ("bench_running", "yes")];
    let asked = scene.works(&scene.tom, "cured", &upper[..1]).await;
    asked
        .is(422)
        .sees("cure, upper: 520 min left")
        .sees_not("cure, lower:");
    scene.works(&scene.tom, "cured", &upper).await.is(303);
    let bench = scene.tom.get(&page).await;
    bench
        .sees(": 20 min, of 540 min")
        .sees(": 20 min, of 30 min")
        .sees("521 min left");
    // The lower's own, and what is left to it of the one for both.
    assert_eq!(bench.count(".timer"), 2);
    // By mistake: what was stopped runs on, and both entries could have what was of both.
    let undo = scene.at("/bench/undo");
    let why = [("undone_why", "it is in the oven still")];
    scene.world.pass_minutes(1);
    scene.tom.send(&page, &undo, &why).await.is(303);
    let bench = scene.tom.get(&page).await;
    bench.sees("519 min left").sees("520 min left");
    assert_eq!(bench.count(".timer"), 4);
    // A wrong number is not offered again once its entry is withdrawn.
    bench.sees_not("540 min again");
    let both = [("bench_arches", "both"), ("bench_running", "yes")];
    scene.works(&scene.tom, "cured", &both).await.is(303);
    let bench = scene.tom.get(&page).await;
    bench
        .sees(": 21 min, of 540 min")
        .sees(": 21 min, of 541 min")
        .sees(" min again");
    assert_eq!(bench.count(".timer"), 0);
}

#[tokio::test]
async fn two_flasks_of_one_arch_in_their_baths_are_asked_about_and_counted() {
    let scene = at_the_bench().await;
    let page = format!("{}?step=cured", scene.bench());
    let start = scene.at("/bench/timer");
    let cure = [
        ("timer_minutes", "540"),
        ("timer", "cure"),
        ("timer_arches", "upper"),
    ];
    scene.tom.send(&page, &start, &cure).await.is(303);
    // Touched once more: nothing is started, and what was typed stands there.
    let asked = scene.tom.send(&page, &start, &cure).await;
    asked
        .is(422)
        .sees("Cure runs already, upper: 540 min left. Say whether this is another one")
        .sees_not("first");
    assert_eq!(asked.count(".timer"), 1);
    // What is mixed meanwhile is of another kind.
    let mix = [("timer_minutes", "1"), ("timer", "mix"), cure[2]];
    scene.tom.send(&page, &start, &mix).await.is(303);
    scene.world.pass_minutes(5);
    let another = [&cure[..], &[("timer_another", "yes")]].concat();
    scene.tom.send(&page, &start, &another).await.is(303);
    for path in [page.as_str(), "/bench/timers"] {
        let both = scene.tom.get(path).await;
        both.sees("Cure, 540 min, first")
            .sees("Cure, 540 min, second");
    }
    // One that has rung is over: the next batch is mixed without a word.
    scene.tom.send(&page, &start, &mix).await.is(303);
    let done = [("bench_arches", "upper"), ("bench_running", "yes")];
    scene.works(&scene.tom, "cured", &done).await.is(303);
    scene
        .tom
        .get(&scene.bench())
        .await
        .sees("Cure, first: 5 min, of 540 min")
        .sees("Cure, second: 0 s, of 540 min");
}

#[tokio::test]
async fn the_timer_of_a_closed_case_is_on_no_list_and_can_be_stopped() {
    let scene = Scene::opened().await;
    let start = scene.at("/bench/timer");
    let cure = [
        ("timer_minutes", "90"),
        ("timer", "cure"),
        ("timer_step", "cured"),
        ("post_key", "a-key-of-a-start"),
    ];
    scene.tom.post(&start, &cure).await.is(303);
    scene.tom.get("/bench/timers").await.sees("90 min left");
    let close = scene.at("/close");
    let end = [("password", crate::common::PASSWORD)];
    scene.dora.send(&close, &close, &end).await.is(303);
    scene.tom.get("/bench/timers").await.sees("No timer runs");
    scene.tom.get("/bench").await.sees_not("90 min left");
    let late = [&cure[..3], &[("post_key", "another-key-of-a-start")]].concat();
    scene.tom.post(&start, &late).await.is(409);
    let bench = scene.bench();
    let page = scene.tom.get(&bench).await;
    page.is(200).sees("Closed").sees_not("days late");
    let stop = scene.at("/bench/timer/stop");
    scene.tom.send(&bench, &stop, &[]).await.is(303);
    scene.tom.get(&bench).await.sees("Stopped after");
    let away = scene.at("/bench/timer/away");
    scene.tom.send(&bench, &away, &[]).await.is(303);
    assert_eq!(scene.tom.get(&bench).await.count(".timer"), 0);
}

#[tokio::test]
async fn what_two_did_together_is_not_entered_twice_from_two_pages() {
    let scene = at_the_bench().await;
    let bench = scene.bench();
    let page = format!("{bench}?step=cured");
    let why = [("no_photo", "the camera is broken")];
    scene.works(&scene.tom, "flasked", &why).await.is(303);
    let toms = scene.tom.get(&page).await.form(&page, &bench, "bench_step");
    let mut maras = scene
        .mara
        .get(&page)
        .await
        .form(&page, &bench, "bench_step");
    let send = |form: &std::collections::BTreeMap<String, String>| {
        let pairs = form.iter().map(|(key, text)| (key.as_str(), text.as_str()));
        crate::common::encode(pairs)
    };
    scene.tom.post_body(&bench, send(&toms)).await.is(303);
    maras.insert("bench_note".to_owned(), "a second flask".to_owned());
    let asked = scene.mara.post_body(&bench, send(&maras)).await;
    asked
        .is(409)
        .sees("tom, Kiln Laboratory entered this meanwhile: cured, upper, on Mon 2 Mar 2026 ")
        .sees("a second flask");
    // The page that asks shows that entry: what is sent from it is meant.
    let again = asked.form(&page, &bench, "bench_step");
    scene.mara.post_body(&bench, send(&again)).await.is(303);
    let words = scene.tom.get(&bench).await.words();
    assert_eq!(words.matches("Cured, upper").count(), 2, "{words}");
    // Of the other arch nothing was entered.
    let mut lower = scene
        .mara
        .get(&page)
        .await
        .form(&page, &bench, "bench_step");
    scene
        .works(&scene.tom, "cured", &[("bench_arches", "upper")])
        .await
        .is(303);
    lower.insert("bench_arches".to_owned(), "lower".to_owned());
    scene.mara.post_body(&bench, send(&lower)).await.is(303);
}

#[tokio::test]
async fn the_head_of_the_bench_tells_the_day_that_counts() {
    let scene = at_the_bench().await;
    let bench = scene.bench();
    scene.tom.get(&bench).await.sees("Due Fri 20 Mar");
    let (dates, promise, day) = (scene.at("/dates"), scene.at("/promise"), scene.at("/day"));
    let named = [("promised_day", "2026-03-24")];
    let within = |action: &str| format!("action=\"{action}\"");
    let answer = scene
        .tom
        .send_where(&dates, &promise, &within(&promise), &named)
        .await;
    answer.is(303);
    let yes = [("will_do", "accepted")];
    let answer = scene
        .dora
        .send_where(&dates, &day, &within(&day), &yes)
        .await;
    answer.is(303);
    let head = scene.tom.get(&bench).await;
    head.sees("Agreed for Tue 24 Mar")
        .sees_not("Due Fri 20 Mar");
    scene.world.pass_minutes(20 * 24 * 60);
    let tom = scene.world.visitor("tom").await;
    tom.get(&bench)
        .await
        .sees("Agreed for Tue 24 Mar")
        .sees_not("days late");
}

#[tokio::test]
async fn what_only_the_upper_has_is_not_asked_of_the_lower() {
    let scene = at_the_bench().await;
    let asked = |page: &Answer| {
        let html = scraper::Html::parse_document(&page.text());
        let fields = scraper::Selector::parse(".measures input").unwrap();
        let names = html
            .select(&fields)
            .filter_map(|one| one.value().attr("name"));
        names.map(str::to_owned).collect::<Vec<_>>()
    };
    let page = scene
        .tom
        .get(&format!("{}?step=finished", scene.bench()))
        .await;
    assert!(asked(&page).contains(&"m.palate.measured".to_owned()));
    let wrong = [("bench_arches", "lower"), ("m.ovd.measured", "-5")];
    let page = scene.works(&scene.tom, "finished", &wrong).await;
    page.is(422).sees("From 0 to 150 mm.");
    assert!(!asked(&page).contains(&"m.palate.measured".to_owned()));
    // Reachable all the same: whoever enters both finds it there.
    assert_eq!(page.count("input[name=\"m.palate.measured\"]"), 1);
}

#[tokio::test]
async fn a_timer_survives_a_start_of_the_program() {
    let scene = at_the_bench().await;
    let page = format!("{}?step=cured", scene.bench());
    let cure = [("timer_minutes", "540"), ("timer", "cure")];
    let start = scene.at("/bench/timer");
    scene.tom.send(&page, &start, &cure).await.is(303);
    let mut conn = scene.world.store_again().await.read().await.unwrap();
    let number = vestibule::domain::values::ids::CaseNumber::parse(&scene.number).unwrap();
    let found = vestibule::store::bench_timers::timers_of_case(&mut conn, &number);
    let found = found.await.unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].seconds, found[0].stopped_ms), (540 * 60, 0));
}

#[tokio::test]
async fn casts_are_kept_until_a_day_that_the_lab_types_and_may_go_when_it_has_passed() {
    let mut scene = at_the_bench().await;
    let cast = scene.add(&scene.tom, "cast", "upper", "here").await;
    let finishing = format!("{}?step=finished", scene.bench());
    let form = scene.tom.get(&finishing).await;
    assert_eq!(form.attribute("input[name=keep_until]", "value"), "");
    form.sees("Empty where nothing is said.");
    let past = [("keep_until", "2026-03-01")];
    let past = scene.works(&scene.tom, "finished", &past).await;
    past.is(409).sees("still to come");
    let odd = [("keep_until", "soon")];
    scene.works(&scene.tom, "finished", &odd).await.is(422);
    let other = [("keep_until", "2026-03-20")];
    let other = scene.works(&scene.tom, "cured", &other).await;
    other.is(409).sees("said when the work is finished");
    let kept = [("keep_until", "2026-03-20")];
    scene.works(&scene.tom, "finished", &kept).await.is(303);
    scene
        .tom
        .get("/in-house")
        .await
        .sees("kept until Fri 20 Mar 2026");
    scene.tom.get("/").await.sees_not("may go");
    scene.anna.get("/in-house").await.sees_not("kept until");
    scene.world.pass_minutes(20 * 24 * 60);
    scene.tom = scene.world.visitor("tom").await;
    scene.anna = scene.world.visitor("anna").await;
    let notice = "Matrix and casts of 1 case may go";
    scene.tom.get("/").await.sees(notice).sees("Nobody has to.");
    scene.anna.get("/").await.sees_not("may go");
    let house = scene.tom.get("/in-house").await;
    house
        .sees("Matrix and casts that may go")
        .sees("may go, nobody has to");
    // A later day counts, and what is gone is not told.
    let later = [("keep_until", "2026-04-30")];
    scene.works(&scene.tom, "finished", &later).await.is(303);
    scene.tom.get("/").await.sees_not("may go");
    scene.world.pass_minutes(40 * 24 * 60);
    scene.tom = scene.world.visitor("tom").await;
    scene.tom.get("/").await.sees(notice);
    let gone = [("how", "broken up")];
    let answer = scene.record(&scene.tom, &cast, "destroy", &gone).await;
    answer.is(303);
    scene.tom.get("/").await.sees_not("may go");
}

/// Common practice, no source: a matrix is kept whether anybody has stuck a tag on it or not.
#[tokio::test]
async fn a_matrix_that_nobody_has_registered_is_kept_until_its_day_all_the_same() {
    let mut scene = at_the_bench().await;
    let upper = [("bench_arches", "upper")];
    scene.works(&scene.tom, "matrix", &upper).await.is(303);
    let house = scene.tom.get("/in-house").await;
    house.is(200).sees_not("not registered");
    let kept = [upper[0], ("keep_until", "2026-03-20")];
    scene.works(&scene.tom, "finished", &kept).await.is(303);
    let house = scene.tom.get("/in-house").await;
    house.sees("kept until Fri 20 Mar 2026; not registered");
    let register = scene.at("/items/new");
    assert_eq!(house.count(&format!("th a[href=\"{register}\"]")), 1);
    scene.anna.get("/in-house").await.sees_not("kept until");
    let found = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(found.faults, Vec::new());
    scene.world.pass_minutes(20 * 24 * 60);
    scene.tom = scene.world.visitor("tom").await;
    const NOTICE: &str = "Matrix and casts of 1 case may go";
    scene.tom.get("/").await.sees(NOTICE);
    // Whoever registers it says with that where it is, and then that it is gone.
    let index = scene.add(&scene.tom, "lab_index", "upper", "here").await;
    scene.tom.get("/").await.sees(NOTICE);
    let gone = [("how", "broken up")];
    let answer = scene.record(&scene.tom, &index, "destroy", &gone).await;
    answer.is(303);
    scene.tom.get("/").await.sees_not(NOTICE);
}

#[tokio::test]
async fn whoever_changes_past_the_program_until_when_casts_are_kept_is_found() {
    let scene = at_the_bench().await;
    scene.add(&scene.tom, "cast", "upper", "here").await;
    let kept = [("keep_until", "2026-03-20")];
    scene.works(&scene.tom, "finished", &kept).await.is(303);
    let found = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(found.faults, Vec::new());
    for (sql, words) in [
        (
            "UPDATE casts_kept SET until = '2026-03-21'",
            "are listed as kept until 2026-03-21, and its entries say until 2026-03-20.",
        ),
        (
            "UPDATE casts_kept SET lab_id = (SELECT office_id FROM case_file), until = '2026-03-20'",
            "are listed as kept until 2026-03-20",
        ),
        (
            "UPDATE casts_kept SET until = 'for ever'",
            "Until when casts are kept",
        ),
        (
            "DELETE FROM casts_kept",
            "are kept until 2026-03-20, and are not listed.",
        ),
    ] {
        let mut conn = scene.world.past_the_store().await;
        sqlx::raw_sql(sql).execute(&mut conn).await.unwrap();
        let found = examine(&scene.world.app, None).await.unwrap();
        // That its locks are off is said as well.
        let said = format!("{:?}", found.faults);
        assert!(said.contains(words), "{sql}: {said}");
    }
    // Of what the lab has no more, nothing is listed, and a row of it is one too many.
    let scene = at_the_bench().await;
    let more = "INSERT INTO casts_kept SELECT number, lab_id, '2026-03-20' FROM case_file";
    let mut conn = scene.world.past_the_store().await;
    sqlx::raw_sql(more).execute(&mut conn).await.unwrap();
    let found = examine(&scene.world.app, None).await.unwrap();
    let said = format!("{:?}", found.faults);
    assert!(said.contains("its entries say nothing of it"), "{said}");
}

#[tokio::test]
async fn how_much_waits_for_each_technician_is_told_by_its_day() {
    let scene = at_the_bench().await;
    let row = |page: &Answer, name: &str| {
        let html = scraper::Html::parse_document(&page.text());
        let rows = scraper::Selector::parse("table.loads tbody tr").unwrap();
        let of = |row: scraper::ElementRef<'_>| {
            let words = row.text().collect::<Vec<_>>().join(" ");
            words.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        let mut found = html.select(&rows).map(of);
        found.find(|words| words.starts_with(name))
    };
    // Wanted on Fri 20 March, and it is Mon 2 March: late, today, later, no day, all. A day of the next seven stands there
    // where anything is due on it.
    let page = scene.tom.get("/bench").await;
    assert_eq!(row(&page, "Nobody").unwrap(), "Nobody’s yet 0 0 1 0 1");
    scene
        .assigns(&scene.tom, "4", &[("mine", "yes")])
        .await
        .is(303);
    let page = scene.mara.get("/bench").await;
    assert_eq!(row(&page, "tom").unwrap(), "tom 0 0 1 0 1");
    assert_eq!(row(&page, "Nobody"), None);
    for (days, wanted, heads) in [
        (14, "tom 0 0 1 0 0 1", "Today Fri 20 Mar Later"),
        (3, "tom 0 0 1 0 0 1", "Today Fri 20 Mar Later"),
        (1, "tom 0 1 0 0 1", "Late Today Later"),
        (1, "tom 1 0 0 0 1", "Late Today Later"),
    ] {
        scene.world.pass_minutes(days * 24 * 60);
        let mara = scene.world.visitor("mara").await;
        let page = mara.get("/bench").await;
        assert_eq!(row(&page, "tom").as_deref(), Some(wanted), "{days}");
        page.sees(heads);
    }
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
    let list = scene.tom.get("/bench").await;
    list.sees("Acknowledge revision 2 first");
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
    page.sees("The work is stopped")
        .sees("Done before the work stood still")
        .sees("Enter a step done earlier: mounted");
    let main = "main form button:not(.quiet):not(.unseen)";
    assert_eq!(page.count(".donebar"), 0);
    let heed = format!("form[action=\"{}\"] button", scene.at("/heed"));
    assert_eq!((page.count(main), page.count(&heed)), (1, 1));
    // Held, it stands on the list of the bench all the same, also once nobody here has anything to do.
    let list = scene.tom.get("/bench").await;
    list.sees("Held. Acknowledge that the work stands still");
    let (case, heed) = (scene.at(""), scene.at("/heed"));
    scene.tom.send(&case, &heed, &[]).await.is(303);
    let list = scene.tom.get("/bench").await;
    list.sees("Held. Office: say whether the work goes on")
        .sees("Then: Mount the casts");
    // Nothing is done now.
    let now = scene.works(&scene.tom, "mounted", &[]).await;
    now.is(409).sees("Stopped by");
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

#[tokio::test]
async fn what_goes_before_a_step_is_asked_of_an_entry_from_paper_too() {
    let scene = at_the_bench().await;
    scene.world.pass_minutes(60);
    let tom = scene.world.visitor("tom").await;
    let late = [
        ("late_day", "2026-03-02"),
        ("late_time", "09:30"),
        ("late_name", "T. Kiln"),
    ];
    let asked = scene.works_next(&tom, "finished", &late).await;
    asked
        .is(422)
        .sees("Not entered yet, and done before this: flasked (upper), cured (upper).");
    assert_eq!(asked.count("input[name=bench_left_out]"), 1);
    assert_eq!(asked.attribute("input[name=late_name]", "value"), "T. Kiln");
    scene.works(&tom, "finished", &late).await.is(303);
    let page = tom.get(&scene.bench()).await;
    page.sees("Not entered, said to be done: flasked (upper), cured (upper).");
}

/// The step that the bench proposes.
async fn proposed(scene: &Scene) -> String {
    let page = scene.tom.get(&scene.bench()).await;
    page.attribute("#step input[name=bench_step]", "value")
}

#[tokio::test]
async fn what_is_copied_from_paper_is_held_against_the_revision_of_then() {
    let mut scene = Scene::opened().await;
    let things = scene.things().await;
    let height = |mm: &'static str, rest: &'static str| {
        [("vertical.occlusal_mm", mm), ("vertical.rest_mm", rest)]
    };
    scene
        .sign(&[&LEAST[..], &height("66", "69")].concat())
        .await
        .is(303);
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let sent = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &sent, &[]).await.is(303);
    let sound = sent.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    scene.accept(1).await;
    scene.world.pass_minutes(60);
    scene.dora = scene.world.visitor("dora").await;
    scene.tom = scene.world.visitor("tom").await;
    scene.sign(&height("56", "59")).await.is(303);
    scene.accept(2).await;
    let height_read = [("m.ovd.measured", "66")];
    let now = scene.works(&scene.tom, "finished", &height_read).await;
    now.is(422).sees("56 mm is prescribed: is 66 mm right?");
    // At 9:30, Vienna time, revision 1 was in force, and 66 mm were asked.
    let late = [
        height_read[0],
        ("late_day", "2026-03-02"),
        ("late_time", "09:30"),
        ("late_name", "T. Kiln"),
    ];
    scene.works(&scene.tom, "finished", &late).await.is(303);
    scene.tom.get(&scene.bench()).await.sees("to revision 1");
}

#[tokio::test]
async fn what_was_done_for_an_earlier_revision_is_asked_about_and_done_again_from_a_step_on() {
    let scene = at_the_bench().await;
    let (bench, again) = (scene.bench(), scene.at("/bench/again"));
    let first = proposed(&scene).await;
    scene.works(&scene.tom, &first, &[]).await.is(303);
    let second = proposed(&scene).await;
    scene.works(&scene.tom, &second, &[]).await.is(303);
    let third = proposed(&scene).await;
    scene.world.pass_minutes(1);
    let other = [("pieces.0.description", "complete denture, rugae reproduced")];
    scene.sign(&other).await.is(303);
    // It is told before anybody has read the revision, and asked once somebody has.
    let unread = scene.tom.get(&bench).await;
    unread
        .sees("Does this work still fit revision 2?")
        .sees("Done for revision 1, while revision 2 is in force:")
        .sees(", for revision 1");
    assert_eq!(unread.count("select[name=again_from]"), 0);
    let days = scene.dora.get(&scene.at("/dates")).await;
    days.sees("If what is done for revision 1 stands the work is back on");
    let accept = scene.at("/revisions/2/acknowledge");
    let accepted = scene.tom.send(&scene.at(""), &accept, &[]).await;
    assert!(accepted.is(303).location().ends_with("#again"));
    let asked = scene.tom.get(&bench).await;
    asked.sees("2 of them for an earlier revision");
    let nothing = scene.tom.send(&bench, &again, &[]).await;
    nothing.is(422).sees("Say whether anything is done again");
    // All stands: the next step is proposed, and nothing is asked any more.
    let stands = [("again_from", "nothing")];
    scene.tom.send(&bench, &again, &stands).await.is(303);
    let page = scene.tom.get(&bench).await;
    page.sees_not("Does it stand").sees_not(", for revision 1");
    assert_eq!(proposed(&scene).await, third);
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees("what is done at the bench stands, and nothing is done again");
    // A third revision asks again, of both steps; the second is done again.
    scene.world.pass_minutes(1);
    let other = [(
        "pieces.0.description",
        "complete denture, a stippled vestibule",
    )];
    scene.sign(&other).await.is(303);
    scene.accept(3).await;
    let from_second = [("again_from", second.as_str())];
    scene.tom.send(&bench, &again, &from_second).await.is(303);
    assert_eq!(proposed(&scene).await, second);
    let page = scene.tom.get(&bench).await;
    page.sees_not("Does it stand").sees("1 of ");
    let days = scene.dora.get(&scene.at("/dates")).await;
    days.sees("As it stands the work is back on");
    scene.works(&scene.tom, &second, &[]).await.is(303);
    assert_eq!(proposed(&scene).await, third);
}

#[tokio::test]
async fn a_word_about_what_stands_is_set_right_by_a_later_one() {
    let scene = at_the_bench().await;
    let (bench, again) = (scene.bench(), scene.at("/bench/again"));
    let first = proposed(&scene).await;
    scene.works(&scene.tom, &first, &[]).await.is(303);
    let second = proposed(&scene).await;
    let other = [("pieces.0.description", "complete denture, rugae reproduced")];
    scene.world.pass_minutes(1);
    scene.sign(&other).await.is(303);
    scene.accept(2).await;
    let form = "#carried select[name=again_from]";
    let asked = scene.tom.get(&bench).await;
    assert_eq!(asked.count(form), 0, "nothing is said yet");
    let from_first = [("again_from", first.as_str())];
    scene.tom.send(&bench, &again, &from_first).await.is(303);
    assert_eq!(proposed(&scene).await, first);
    // Given by mistake: the page offers it again, with what was said.
    let said = scene.tom.get(&bench).await;
    said.sees_not("Does it stand").sees("done again from");
    assert_eq!(said.count(form), 1);
    scene.world.pass_minutes(1);
    let stands = [("again_from", "nothing")];
    scene.tom.send(&bench, &again, &stands).await.is(303);
    assert_eq!(proposed(&scene).await, second);
    scene.tom.get(&bench).await.sees("what is done stands");
    // Both stay on record.
    let history = scene.dora.get(&scene.at("/history")).await;
    history
        .sees("done again from")
        .sees("what is done at the bench stands, and nothing is done again");
    // The other way round too; once the step is done for this revision there is nothing to say of it.
    scene.world.pass_minutes(1);
    scene.tom.send(&bench, &again, &from_first).await.is(303);
    scene.works(&scene.tom, &first, &[]).await.is(303);
    assert_eq!(scene.tom.get(&bench).await.count("#carried"), 0);
}

#[tokio::test]
async fn ones_own_day_list_has_ones_own_cases_alone() {
    let scene = at_the_bench().await;
    scene
        .assigns(&scene.tom, "4", &[("mine", "yes")])
        .await
        .is(303);
    scene.world.pass_minutes(18 * 24 * 60);
    let (tom, mara) = (
        scene.world.visitor("tom").await,
        scene.world.visitor("mara").await,
    );
    let list = |page: &Answer| page.hrefs("/day-list.pdf?technician=").remove(0);
    let (toms, maras) = (
        list(&tom.get("/bench").await),
        list(&mara.get("/bench").await),
    );
    assert_ne!(toms, maras);
    let words = |answer: &Answer| crate::copies::pages(answer).join(" ");
    let (own, others) = (tom.get(&toms).await, tom.get(&maras).await);
    assert!(words(&own).contains("tom: to do today"), "{}", words(&own));
    let number = vestibule::domain::values::ids::CaseNumber::parse(&scene.number).unwrap();
    assert!(words(&own).contains(&number.to_string()));
    assert!(
        words(&others).contains("Nothing waits"),
        "{}",
        words(&others)
    );
    assert!(words(&tom.get("/day-list.pdf").await).contains(&number.to_string()));
    // The office has no technicians.
    let office = scene.world.visitor("anna").await.get(&toms).await;
    assert!(!words(&office).contains("tom: to do"), "{}", words(&office));
}

#[tokio::test]
async fn a_picture_belongs_to_a_step_and_disinfection_stands_on_its_list() {
    let scene = at_the_bench().await;
    let bench = scene.bench();
    let first = scene.tom.get(&bench).await;
    assert_eq!(first.count("select[name=step_picture]"), 0, "there is none");
    first.sees_not("before it leaves");
    let picture = crate::pictures::a_picture(&scene).await;
    let other = [("step_picture", "no-such-picture")];
    let other = scene.works(&scene.tom, "cast_poured", &other).await;
    other.is(422).sees("This picture is not there any more");
    let own = [("step_picture", picture.as_str())];
    scene.works(&scene.tom, "cast_poured", &own).await.is(303);
    let page = scene.tom.get(&bench).await;
    let address = scene.at(&format!("/pictures/{picture}/picture.jpg"));
    assert!(page.hrefs(&address).contains(&address), "{}", page.words());
    let history = scene.anna.get(&scene.at("/history")).await;
    history
        .sees("At the bench: cast poured and boxed, upper")
        .sees("With a picture");
    // What the lab has made is to be disinfected before it leaves; the list says so and the entry is of custody.
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene
        .tom
        .get(&bench)
        .await
        .sees("Disinfected before it leaves");
    let bath = [
        ("agent", "sample agent"),
        ("dilution", "1:10"),
        ("minutes", "10"),
        ("rinsed", "yes"),
    ];
    scene
        .record(&scene.tom, &made, "disinfect", &bath)
        .await
        .is(303);
    scene
        .tom
        .get(&bench)
        .await
        .sees("Disinfected ✓ Final denture");
}

/// By the personal code alone: from a step to the camera and back, and the picture goes into the entry of the step.
#[tokio::test]
async fn what_is_photographed_from_a_step_comes_back_chosen_for_it() {
    let (scene, tablet) = at_a_tablet().await;
    let tom = comes_in(&tablet, "tom", "4071").await;
    let (bench, camera) = (scene.bench(), scene.at("/pictures?back=bench"));
    // At each step, though the case has no picture yet.
    for step in BenchStep::ALL {
        let word = step.word();
        let page = tom.get(&format!("{bench}?step={word}")).await;
        let links = page.hrefs(&camera);
        assert_eq!(links, [format!("{camera}&step={word}")], "{word}");
        assert_eq!(page.count("select[name=step_picture]"), 0, "{word}");
    }
    let back = format!("{bench}?step=cured");
    let form = tom.get(&format!("{camera}&step=cured")).await;
    form.is(200).sees("Back to the bench");
    assert!(form.hrefs(&back).contains(&back), "{}", form.text());
    // What is wrong comes back, and still leads to the bench.
    let bare = sent_by(&form, &tom, 91, &[("shows", "other")]).await;
    bare.is(422).sees("A face is not kept here");
    let said = [("shows", "other"), ("mouth_only", "yes")];
    let chosen = sent_by(&bare, &tom, 91, &said).await.is(303).location();
    assert!(chosen.starts_with(&format!("{back}&picture=")), "{chosen}");
    let page = tom.get(&chosen).await;
    page.is(200).sees("Added: both sides see it.");
    let is_chosen = "details[open] select[name=step_picture] option[selected]";
    let picture = page.attribute(is_chosen, "value");
    assert!(chosen.contains(&picture) && !picture.is_empty());
    let done_before = [("bench_left_out", "yes")];
    tom.send(&chosen, &bench, &done_before).await.is(303);
    let address = scene.at(&format!("/pictures/{picture}/picture.jpg"));
    let page = tom.get(&bench).await;
    assert!(page.hrefs(&address).contains(&address), "{}", page.words());
    let history = scene.anna.get(&scene.at("/history")).await.words();
    assert!(history.contains("With a picture"), "{history}");
    let by_code = "Entered by code, at Tablet, bench 2.";
    assert_eq!(history.matches(by_code).count(), 2, "{history}");
    // Without its address, and by one of another picture, none is chosen.
    for path in [back.clone(), format!("{back}&picture=of-another-case")] {
        let page = tom.get(&path).await;
        let own = format!("select[name=step_picture] option[value=\"{picture}\"]");
        assert_eq!(page.count(&own), 1, "{path}");
        assert_eq!(page.count(&format!("{own}[selected]")), 0, "{path}");
    }
    // From elsewhere one comes to the pictures, as ever.
    let form = tom.get(&scene.at("/pictures")).await;
    let there = sent_by(&form, &tom, 150, &said).await.is(303).location();
    assert_eq!(there, scene.at("/pictures?done=pictured"));
}

#[tokio::test]
async fn what_the_casts_were_mounted_on_is_said_beside_what_was_prescribed() {
    let scene = Scene::opened().await;
    let asked = [
        ("guidance.articulator", "semi_adjustable"),
        ("guidance.plane", "frankfort"),
        ("guidance.lateral_right", "15"),
        ("guidance.incisal_table", "10"),
    ];
    let fields = [&crate::scene::LEAST[..], &asked].concat();
    scene.sign(&fields).await.is(303);
    let things = scene.things().await;
    let tags = [things.bite.as_str()];
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    scene
        .receive(&scene.tom, &tags.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    scene.accept(1).await;
    let page = scene
        .tom
        .get(&format!("{}?step=mounted", scene.bench()))
        .await;
    page.sees("Prescribed: semi-adjustable.")
        .sees("Prescribed: Frankfort horizontal.")
        .sees("Lateral, right prescribed 15")
        .sees("Incisal table prescribed 10");
    // What nobody prescribed lies folded; nothing is filled in.
    assert_eq!(page.count(".measures input[name=\"m.pin.measured\"]"), 0);
    assert_eq!(page.count("input[name=\"m.pin.measured\"]"), 1);
    assert_eq!(
        page.count("select[name=instrument] option[selected][value=semi_adjustable]"),
        0
    );
    let said = [
        ("instrument", "average"),
        ("mounted_plane", "camper"),
        ("m.lateral_right.measured", "14"),
        ("m.incisal_table.measured", "91"),
    ];
    let wrong = scene.works(&scene.tom, "mounted", &said).await;
    wrong.is(422).sees("From -90 to 90");
    // Another articulator and plane are asked about once, each beside its field.
    let said = [&said[..3], &[("m.incisal_table.measured", "10")]].concat();
    let asked = scene.works(&scene.tom, "mounted", &said).await;
    asked
        .is(422)
        .sees("“semi-adjustable” is prescribed: is “average value” right?")
        .sees("“Frankfort horizontal” is prescribed: is “ala-tragus (Camper) plane” right?");
    for name in ["instrument", "mounted_plane"] {
        let wrong = format!(".field.wrong select[name={name}]");
        assert_eq!(asked.count(&wrong), 1, "{name}");
    }
    let sure = [&said[..], &[("bench_sure", "yes")]].concat();
    scene.works(&scene.tom, "mounted", &sure).await.is(303);
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("Articulator: average value (prescribed semi-adjustable)")
        .sees("Mounted to: ala-tragus (Camper) plane (prescribed Frankfort horizontal)")
        .sees("Lateral, right 14° (prescribed 15");
    let told = "At the bench: Articulator: average value (prescribed semi-adjustable)";
    for page in ["", "/fit"] {
        scene.dora.get(&scene.at(page)).await.sees(told);
    }
    // When it goes back, the lab reads it once more; what the office sends is no word about it.
    scene.tom.get(&scene.at("/release")).await.sees(told);
    let office = scene.dora.get(&scene.at("/release")).await;
    office.sees_not(told);
    // At another step nobody asks for it, and it is taken from none.
    let stray = scene
        .works(&scene.tom, "set_up", &[("instrument", "average")])
        .await;
    stray.is(409).sees("said when they are mounted");
    // Mounted again as it is prescribed, nothing of it is told any more.
    let right = [
        ("instrument", "semi_adjustable"),
        ("mounted_plane", "frankfort"),
    ];
    scene.world.pass_minutes(5);
    scene.works(&scene.tom, "mounted", &right).await.is(303);
    let fit = scene.dora.get(&scene.at("/fit")).await;
    fit.sees_not("At the bench: Articulator");
}

/// Somebody throws casts away by what a list says: what the entries do not say stands on none.
#[tokio::test]
async fn casts_that_may_go_by_a_changed_row_alone_are_listed_nowhere() {
    let scene = at_the_bench().await;
    scene.add(&scene.tom, "cast", "upper", "here").await;
    let kept = [("keep_until", "2026-05-20")];
    scene.works(&scene.tom, "finished", &kept).await.is(303);
    scene.tom.get("/").await.is(200).sees_not("may go");
    let mut conn = scene.world.past_the_store().await;
    let sooner = "UPDATE casts_kept SET until = '2026-02-20'";
    sqlx::raw_sql(sooner).execute(&mut conn).await.unwrap();
    scene.tom.get("/").await.is(200).sees_not("may go");
    let house = scene.tom.get("/in-house").await;
    house.is(200).sees_not("Matrix and casts that may go").sees(
        "1 of the cases cannot be read, and whether their matrix and casts may go is not told here",
    );
}

/// Common practice, no source: a denture that is called finished has been through the steps that its lab enters.
#[tokio::test]
async fn work_that_is_called_finished_at_some_of_its_steps_is_asked_about() {
    let scene = at_the_bench().await;
    scene.works(&scene.tom, "cast_poured", &[]).await.is(303);
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    let asked = scene.release(&scene.tom, &[&last], &finished).await;
    asked
        .is(422)
        .sees("Entered at the bench: upper, 1 of")
        .sees("Is it finished?");
    let all_the_same = [&finished[..], &[("unfinished", "yes")]].concat();
    let sent = scene.release(&scene.tom, &[&last], &all_the_same).await;
    sent.is(303);
}
