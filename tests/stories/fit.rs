//! What comes back against what was asked: told from the office and from the lab.

use crate::common::{Answer, Visitor};
use crate::scene::{LEAST, Scene, over};

/// What is asked beside the least.
const ASKED: [(&str, &str); 5] = [
    ("vertical.occlusal_mm", "66"),
    ("vertical.rest_mm", "69"),
    ("vertical.method", "caliper"),
    ("vertical.order", "keep"),
    ("base.palate_mm", "2"),
];

const THREE: [(&str, &str); 3] = [
    ("fit.ovd.first", "66"),
    ("fit.ovd.second", "66,5"),
    ("fit.ovd.third", "66"),
];

impl Scene {
    fn fit_page(&self) -> String {
        self.at("/fit")
    }

    async fn checks(&self, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
        let page = self.fit_page();
        who.send(&page, &page, fields).await
    }
}

/// The bite record is at the lab; what is asked has numbers.
async fn at_the_lab() -> Scene {
    let scene = Scene::opened().await;
    scene.sign(&[&LEAST[..], &ASKED].concat()).await.is(303);
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let tags = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    let sound = tags.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    scene
}

/// The final has come back to the office.
async fn come_back() -> Scene {
    let scene = at_the_lab().await;
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&made], &[]).await.is(303);
    scene
        .receive(&scene.anna, &[(&made, "sound")], &[])
        .await
        .is(303);
    scene
}

#[tokio::test]
async fn what_came_back_is_read_worked_out_judged_and_seen_by_both_houses() {
    let scene = come_back().await;
    let page = scene.fit_page();
    let case = scene.anna.get(&scene.at("")).await;
    case.sees("What came back is not checked against the prescription yet.");
    assert!(!case.hrefs(&page).is_empty());
    let form = scene.anna.get(&page).await;
    form.is(200).sees("66 mm").sees("± 1 mm").sees("B-20");
    // What is not prescribed is not asked for, and nothing that is measured is filled in.
    form.sees_not("Overjet").sees_not("Condylar");
    let names = form.names("fit.");
    assert!(names.len() >= 9, "{names:?}");
    for name in names.iter().filter(|name| !name.ends_with("verdict")) {
        let selector = format!("input[name=\"{name}\"]");
        assert_eq!(form.attribute(&selector, "value"), "", "{name}");
    }
    assert_eq!(form.count(".fit option[selected]"), 0);
    // Worked out, nothing is entered, and what was typed stands.
    let leaves = scene.leaves().await;
    let work_out = [&THREE[..], &[("go", "work_out")]].concat();
    let shown = scene.checks(&scene.anna, &work_out).await;
    shown.is(200).sees("66.2 ± 0.6 mm: inside the tolerance");
    assert_eq!(
        shown.attribute("input[name=\"fit.ovd.second\"]", "value"),
        "66,5"
    );
    assert_eq!(scene.leaves().await, leaves);
    // The numbers do not say it: a word is asked for.
    let unsaid = scene.checks(&scene.anna, &THREE).await;
    unsaid.is(422).sees("the numbers do not say it for you");
    assert_eq!(
        unsaid.attribute("input[name=\"fit.ovd.third\"]", "value"),
        "66"
    );
    let said = [
        ("fit.ovd.verdict", "as_asked"),
        ("fit.shade.verdict", "not_as_asked"),
        ("fit_note", "the shade is a step too dark"),
    ];
    let all = [&THREE[..], &said].concat();
    let entered = scene.checks(&scene.anna, &all).await;
    assert_eq!(
        entered.is(303).location(),
        format!("{page}?done=fit_checked")
    );
    assert_eq!(scene.leaves().await.len(), leaves.len() + 1);
    let sentence = "Checked against revision 1 at the dental office";
    for who in [&scene.dora, &scene.tom] {
        let case = who.get(&scene.at("")).await;
        case.sees(sentence).sees("1 as asked, 1 not as asked");
        case.sees_not("is not checked against the prescription yet");
        let history = who.get(&scene.at("/history")).await;
        history
            .sees(sentence)
            .sees("measured 66, 66.5 and 66 mm: as asked")
            .sees("the shade is a step too dark");
    }
    let lab = scene.tom.get(&page).await;
    lab.sees("Office")
        .sees("66.2 ± 0.6 mm")
        .sees("✕ not as asked");
}

#[tokio::test]
async fn readings_that_are_too_rough_decide_nothing_and_one_is_none() {
    let scene = come_back().await;
    let work_out = |first: &'static str, second: &'static str| {
        [
            ("fit.ovd.first", first),
            ("fit.ovd.second", second),
            ("go", "work_out"),
        ]
    };
    let two = scene.checks(&scene.dora, &work_out("66", "66.5")).await;
    two.is(200)
        .sees("nothing can be decided with these readings");
    let one = scene.checks(&scene.dora, &work_out("66", "")).await;
    one.is(200)
        .sees("One reading has no plus-minus: read again");
    let wrong = scene.checks(&scene.dora, &work_out("6 cm", "66")).await;
    wrong.is(200).sees("is not converted").sees_not("± 3");
    let off = scene.checks(&scene.dora, &work_out("70", "70")).await;
    off.is(200).sees("70 ± 0.3 mm: outside the tolerance");
}

#[tokio::test]
async fn a_word_that_the_readings_contradict_is_asked_once_and_decides_all_the_same() {
    let scene = come_back().await;
    // Centimetres, where 66 mm was asked.
    let slip = [
        ("fit.ovd.first", "6.6"),
        ("fit.ovd.second", "6.6"),
        ("fit.ovd.verdict", "as_asked"),
    ];
    let asked = scene.checks(&scene.anna, &slip).await;
    asked
        .is(422)
        .sees("These readings are outside the tolerance, and your word is “as asked”.");
    assert_eq!(
        asked.attribute("input[name=\"fit.ovd.second\"]", "value"),
        "6.6"
    );
    let so = [&slip[..], &[("fit.ovd.all_the_same", "yes")]].concat();
    scene.checks(&scene.anna, &so).await.is(303);
    // A later check of the shade alone hides nothing of the height.
    scene.world.pass_minutes(1);
    let later = [("fit.shade.verdict", "not_as_asked")];
    scene.checks(&scene.anna, &later).await.is(303);
    let case = scene.tom.get(&scene.at("")).await;
    case.sees("1 as asked, 1 not as asked");
    scene.world.pass_minutes(1);
    let otherwise = [("fit.shade.verdict", "as_asked")];
    scene.checks(&scene.dora, &otherwise).await.is(303);
    let case = scene.tom.get(&scene.at("")).await;
    case.sees("2 as asked.");
    let lab = scene.tom.get(&scene.fit_page()).await;
    lab.sees("Before: not as asked, anna");
}

#[tokio::test]
async fn before_anything_came_back_there_is_no_form_and_what_was_typed_is_not_lost() {
    let scene = at_the_lab().await;
    let page = scene.fit_page();
    let form = scene.anna.get(&page).await;
    form.is(200)
        .sees("Nothing had come back from the lab by then")
        .sees("66 mm");
    assert!(form.names("fit.").is_empty());
    let typed = [
        ("fit.ovd.first", "66"),
        ("fit.ovd.verdict", "as_asked"),
        ("fit_note", "typed for nothing"),
        ("fit_revision", "1"),
        ("go", "enter"),
        ("post_key", "a-page-of-before"),
    ];
    scene
        .anna
        .post(&page, &typed)
        .await
        .is(409)
        .sees("Nothing had come back from the lab by then")
        .sees("OVD: first reading")
        .sees("typed for nothing");
    // Before a prescription is signed there is nothing to check against.
    let bare = Scene::opened().await;
    let none = bare.anna.get(&bare.fit_page()).await;
    none.is(200).sees("No prescription is signed");
    let none = bare.anna.post(&bare.fit_page(), &typed).await;
    none.is(409).sees("No prescription is signed");
}

#[tokio::test]
async fn the_lab_checks_its_own_work_and_the_office_reads_it_beside_its_own() {
    let scene = at_the_lab().await;
    let readings = [
        ("fit.palate.first", "2.1"),
        ("fit.palate.second", "2.0"),
        ("fit.palate.third", "2.1"),
        ("fit.palate.verdict", "as_asked"),
    ];
    scene.checks(&scene.tom, &readings).await.is(303);
    // What the bench has measured stands there where the lab has entered no check of it.
    let step = format!("{}?step=mounted", scene.at("/bench"));
    let measured = [("m.ovd.measured", "66.5")];
    scene
        .tom
        .send(&step, &scene.at("/bench"), &measured)
        .await
        .is(303);
    let office = scene.dora.get(&scene.fit_page()).await;
    office.sees("66.5 mm").sees("one reading, mounted");
    office.sees("2.1 ± 0.2 mm: inside the tolerance");
}

#[tokio::test]
async fn a_stale_page_a_double_click_and_a_mistake() {
    let scene = come_back().await;
    let page = scene.fit_page();
    let old = scene
        .anna
        .get(&page)
        .await
        .form(&page, &page, "Your judgment");
    let said = [("fit.shade.verdict", "as_asked"), ("go", "enter")];
    let all = over(&old, &said);
    for _ in 0..2 {
        let answer = scene.anna.post(&page, &all).await;
        assert_eq!(
            answer.is(303).location(),
            format!("{page}?done=fit_checked")
        );
    }
    let shown = scene.anna.get(&page).await;
    assert_eq!(shown.count("li[id^=\"f-\"]"), 1);
    // Withdrawn by its own house alone.
    let undo = scene.at("/fit/undo");
    let lab = scene.tom.get(&page).await;
    assert_eq!(lab.count(&format!("form[action=\"{undo}\"]")), 0);
    let nothing = scene.dora.send(&page, &undo, &[]).await;
    nothing.is(422).sees("Say what the mistake was.");
    let why = [("undone_why", "another case was in hand")];
    scene.dora.send(&page, &undo, &why).await.is(303);
    let shown = scene.anna.get(&page).await;
    assert_eq!(shown.count("li[id^=\"f-\"]"), 0);
    // A page of the revision before.
    let old = scene
        .anna
        .get(&page)
        .await
        .form(&page, &page, "Your judgment");
    scene.sign(&[("vertical.occlusal_mm", "67")]).await.is(303);
    let typed = [&said[..], &[("fit.ovd.first", "66.5")]].concat();
    let late = over(&old, &typed);
    scene
        .anna
        .post(&page, &late)
        .await
        .is(422)
        .sees("the numbers do not say it for you");
    let typed = [&typed[..], &[("fit.ovd.verdict", "cannot_tell")]].concat();
    let late = over(&old, &typed);
    let answer = scene.anna.post(&page, &late).await;
    answer
        .is(409)
        .sees("This page was of revision 1, and revision 2 is in force")
        .sees("67 mm");
    assert_eq!(
        answer.attribute("input[name=\"fit.ovd.first\"]", "value"),
        "66.5"
    );
}

#[tokio::test]
async fn another_house_sees_nothing_and_a_text_that_names_somebody_is_asked_about() {
    let scene = come_back().await;
    let page = scene.fit_page();
    for login in ["lars", "sven"] {
        let stranger = scene.world.person(login);
        stranger.get(&page).await.is(404);
        let typed = [
            ("fit_revision", "1"),
            ("post_key", "some-key-of-a-stranger"),
        ];
        let answer = stranger.post(&page, &typed).await;
        assert!(matches!(answer.status.as_u16(), 403 | 404));
    }
    let typed = [
        ("fit.shade.verdict", "as_asked"),
        ("fit_note", "call +43 660 1234567"),
    ];
    let asked = scene.checks(&scene.anna, &typed).await;
    asked.is(422).sees("looks like a telephone number");
    assert_eq!(asked.count("input[name=names_nobody]"), 1);
    // What is looked at has no number.
    let numbered = [("fit.shade.first", "3"), ("fit.shade.verdict", "as_asked")];
    let numbered = scene.checks(&scene.anna, &numbered).await;
    numbered.is(409).sees("is looked at and not measured");
    // From paper nothing is held against what was signed later.
    let early = [
        ("fit.shade.verdict", "as_asked"),
        ("late_day", "2026-03-01"),
        ("late_time", "08:30"),
        ("late_name", "J. Field"),
    ];
    let early = scene.checks(&scene.anna, &early).await;
    early.is(409).sees("Revision 1 was signed on");
    let nothing = scene.checks(&scene.anna, &[("fit_note", "x")]).await;
    nothing
        .is(409)
        .sees("Say of one thing at least whether it is as asked.");
}

#[tokio::test]
async fn a_number_far_from_what_is_prescribed_is_asked_about_beside_its_field() {
    let scene = at_the_lab().await;
    let slip = [("m.ovd.measured", "6.6")];
    let asked = scene.works(&scene.tom, "mounted", &slip).await;
    asked
        .is(422)
        .sees("66 mm is prescribed: 66 or 6.6 mm?")
        .sees("It is right as it stands here");
    let field = "input[name=\"m.ovd.measured\"]";
    assert_eq!(asked.attribute(field, "value"), "6.6");
    assert_eq!(asked.attribute(field, "aria-invalid"), "true");
    let wild = scene
        .works(&scene.tom, "mounted", &[("m.ovd.measured", "-60")])
        .await;
    wild.is(422).sees("From 0 to 150 mm.");
    let sure = [&slip[..], &[("bench_sure", "yes")]].concat();
    scene.works(&scene.tom, "mounted", &sure).await.is(303);
    scene.tom.get(&scene.bench()).await.sees("OVD 6.6 mm");
}

#[tokio::test]
async fn what_the_bench_read_three_times_is_held_against_the_chair() {
    let scene = at_the_lab().await;
    let read = [
        ("m.ovd.measured", "66"),
        ("m.ovd.again", "66.5"),
        ("m.ovd.third", "66"),
    ];
    let wild = [("m.ovd.again", "666")];
    let wild = scene.works(&scene.tom, "mounted", &wild).await;
    wild.is(422).sees("From 0 to 150 mm.");
    scene.works(&scene.tom, "mounted", &read).await.is(303);
    scene
        .tom
        .get(&scene.bench())
        .await
        .sees("OVD 66; 66.5; 66 mm");
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&made], &[]).await.is(303);
    scene
        .receive(&scene.anna, &[(&made, "sound")], &[])
        .await
        .is(303);
    let page = scene.fit_page();
    let notice = "66.2 ± 0.6 mm: inside the tolerance, mounted";
    let form = scene.anna.get(&page).await;
    form.sees("66; 66.5; 66 mm").sees(notice).sees_not("apart");
    let far = [
        ("fit.ovd.first", "70"),
        ("fit.ovd.second", "70.5"),
        ("fit.ovd.third", "70"),
        ("fit.ovd.verdict", "not_as_asked"),
    ];
    scene.checks(&scene.anna, &far).await.is(303);
    let apart = "Lab and office lie 4 mm apart, more than both plus-minus allow.";
    scene.anna.get(&page).await.sees(apart);
    scene.tom.get(&page).await.sees(apart);
    // The word of the lab without a number does not hide what its bench has read.
    let word = [("fit.ovd.verdict", "as_asked")];
    scene.checks(&scene.tom, &word).await.is(303);
    scene
        .anna
        .get(&page)
        .await
        .sees("At the bench 66; 66.5; 66 mm")
        .sees(apart);
}

#[tokio::test]
async fn what_was_found_not_as_asked_is_the_turn_and_is_asked_about_before_it_goes_in() {
    let scene = at_the_lab().await;
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&made], &[]).await.is(303);
    let sound = [(made.as_str(), "sound")];
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    let found = [
        ("fit.ovd.first", "61.5"),
        ("fit.ovd.second", "61.5"),
        ("fit.ovd.third", "61.5"),
        ("fit.ovd.verdict", "not_as_asked"),
        ("go", "enter"),
    ];
    scene.checks(&scene.anna, &found).await.is(303);
    let words = "OVD, asked 66 mm, measured 61.5, 61.5 and 61.5 mm: not as asked";
    let case = scene.dora.get(&scene.at("")).await;
    case.sees("Your turn: send back what was found not as asked, or use it as it is.")
        .sees(words);
    scene.dora.get(&scene.at("/mouth")).await.sees(words);
    let asked = scene.fit(&scene.dora, &made, &[]).await;
    asked
        .is(422)
        .sees("It goes in as it is, though it was found not as asked");
    // Back at the lab, its bench names what was found, and what is done to the denture is done again.
    let change = [("purpose_code", "change"), ("purpose", "")];
    scene.release(&scene.anna, &[&made], &change).await.is(303);
    let bench = scene.tom.get(&scene.bench()).await;
    bench.sees_not("was sent back to be set right");
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    let bench = scene.tom.get(&scene.bench()).await;
    bench.sees("was sent back to be set right").sees(words);
    let case = scene.tom.get(&scene.at("")).await;
    case.sees("set it right, and hand it back").sees(words);
    scene.release(&scene.tom, &[&made], &[]).await.is(303);
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    scene.checks(&scene.anna, &found).await.is(303);
    let anyway = [("although", "yes")];
    scene.fit(&scene.dora, &made, &anyway).await.is(303);
    let case = scene.dora.get(&scene.at("")).await;
    case.sees_not("found not as asked");
}
