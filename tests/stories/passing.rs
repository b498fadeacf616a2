//! Work passed on to a second laboratory: with accounts here and without, with the office's consent and against it.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::copies::pages;
use crate::pictures::a_picture_of;
use crate::scans::a_scan_of;
use crate::scene::{LEAST, Scene, Things};
use vestibule::app::counted;
use vestibule::app::examine::examine;

const CLEANED: [(&str, &str); 4] = [
    ("agent", "sample agent"),
    ("dilution", "1:10"),
    ("minutes", "10"),
    ("rinsed", "yes"),
];

/// Bite record and provisional lie at the lab, clean; the prescription says whether a second laboratory may be.
async fn at_the_lab(second_lab: &str) -> (Scene, Things) {
    at_the_lab_of(Scene::opened().await, second_lab).await
}

/// The same in a case that is opened already.
async fn at_the_lab_of(scene: Scene, second_lab: &str) -> (Scene, Things) {
    let said = [("law.second_lab", second_lab)];
    let fields: Vec<(&str, &str)> = LEAST.iter().chain(&said).copied().collect();
    scene.sign(&fields).await.is(303);
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let tags = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    let sound = tags.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    for tag in tags {
        let cleaned = scene.record(&scene.tom, tag, "disinfect", &CLEANED).await;
        cleaned.is(303);
    }
    (scene, things)
}

impl Scene {
    /// Passes the bite record on; `more` says to whom.
    async fn passes_on(&self, who: &Visitor, tag: &str, more: &[(&str, &str)]) -> Answer {
        let page = self.at("/passed");
        let goes = format!("{tag}.goes");
        let said = [
            (goes.as_str(), "yes"),
            ("pass_task", "Cast the framework in the alloy named."),
            ("pass_work", "framework"),
            ("pass_wanted", "2026-03-12"),
            ("password", PASSWORD),
        ];
        let fields: Vec<(&str, &str)> = said.iter().chain(more).copied().collect();
        who.send_where(&page, &page, "pass_task", &fields).await
    }

    /// One stretch of the way, entered on the page of the case.
    async fn moves(&self, who: &Visitor, leg: &str, fields: &[(&str, &str)]) -> Answer {
        let (page, action) = (self.at("/passed"), self.at("/passed/move"));
        let within = format!("value=\"{leg}\"");
        who.send_where(&page, &action, &within, fields).await
    }

    async fn says(&self, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
        who.send(&self.at("/passed"), &self.at("/passed/answer"), fields)
            .await
    }

    async fn anvil(&self) -> String {
        let page = self.tom.get(&self.at("/passed")).await;
        page.option_value("second_party", "Anvil Laboratory")
    }

    /// Whether of work that is over nothing but what was done is left to whoever did it, at every address that there was.
    async fn is_closed_to(&self, who: &Visitor, path: &str, files: &[String]) {
        let page = who.get(path).await;
        page.is(200)
            .sees("This is over: do not work on it.")
            .sees("The sheet, pictures and scans are closed since")
            .sees("Cast the framework in the alloy named.")
            .sees("Handed to the carrier for the second lab")
            .sees_not("Pictures and scans of them")
            .sees_not("Front of the sheet")
            .sees_not("What you have asked");
        assert_eq!(page.hrefs(&format!("{path}/")), [""; 0]);
        assert_eq!(page.count("img[src^='/passed/']"), 0);
        for rest in ["sheet.pdf", "front.svg", "authorization.pdf"] {
            let refused = who.get(&format!("{path}/{rest}")).await;
            refused.is(409).sees("This is over");
        }
        for file in files {
            who.get(file).await.is(404);
        }
    }

    async fn is_whole(&self) {
        let found = examine(&self.world.app, None).await.unwrap();
        assert_eq!(found.faults, []);
    }
}

const COURIER: (&str, &str) = ("pass_carrier", "city courier");
/// What has no word of its own has come, and is sound.
const ALL_SOUND: (&str, &str) = ("rest_came", "yes");

/// The second laboratory hands what it has back to the carrier.
async fn sets_off(laboratory: &Visitor, path: &str) -> Answer {
    let action = format!("{path}/move");
    let carrier = [("pass_carrier", "the post")];
    laboratory
        .send_where(path, &action, "value=\"set_off\"", &carrier)
        .await
}

/// Whoever can write the database changes the rows that the first page counts: the entries say what is passed on.
#[tokio::test]
async fn the_first_page_counts_what_is_passed_on_as_the_entries_say() {
    let (scene, things) = at_the_lab("yes").await;
    let anvil = scene.anvil().await;
    let to_anvil = [("second_party", anvil.as_str())];
    let passed = scene.passes_on(&scene.tom, &things.bite, &to_anvil).await;
    passed.is(303);
    let lars = scene.world.person("lars");
    const UNREAD: &str = "1 piece of work passed on to you is not as the record says";
    let first = async || lars.get("/").await;
    let sound = first().await;
    sound.is(200).sees("Passed on to you: 1").sees_not(UNREAD);
    let mut conn = scene.world.past_the_store().await;
    for (sql, words, is_unread) in [
        (
            "UPDATE passed_work SET is_open = 0",
            "Passed on to you: 1",
            false,
        ),
        (
            "UPDATE passed_work SET is_open = 1, new_answers = 5",
            "Passed on to you: 1",
            false,
        ),
        (
            "UPDATE passed_work SET new_answers = 0",
            "Passed on to you: 1",
            false,
        ),
        ("DELETE FROM passed_work", UNREAD, true),
    ] {
        sqlx::raw_sql(sql).execute(&mut conn).await.unwrap();
        let page = first().await;
        page.is(200).sees(words).sees_not("5 new answers");
        assert_eq!(page.text().contains(UNREAD), is_unread, "{sql}");
    }
}

#[tokio::test]
async fn a_laboratory_with_accounts_sees_what_is_passed_on_to_it_and_nothing_else_of_the_case() {
    let (scene, things) = at_the_lab("yes").await;
    let lars = scene.world.person("lars");
    lars.get("/passed")
        .await
        .sees("Nothing is passed on to you");
    lars.get("/").await.sees_not("Passed on to you");
    let anvil = scene.anvil().await;
    let to_anvil = [("second_party", anvil.as_str())];
    // What is wrong with it stands beside its field, and what was typed stays.
    let wrong = [
        to_anvil[0],
        ("pass_task", ""),
        ("pass_wanted", "2026-02-03"),
    ];
    let back = scene.passes_on(&scene.tom, &things.bite, &wrong).await;
    back.is(422).sees("Say what is to be done there");
    assert_eq!(
        back.attribute("input[name=pass_wanted]", "value"),
        "2026-02-03"
    );
    let late = [to_anvil[0], wrong[2]];
    let gone = scene.passes_on(&scene.tom, &things.bite, &late).await;
    gone.is(409).sees("is gone");
    // What is left to the second laboratory afterwards is said before.
    let rule = "the sheet, pictures, scans and its questions are closed to it";
    scene.tom.get(&scene.at("/passed")).await.sees(rule);
    // What lies at the office is no choice.
    let page = scene.tom.get(&scene.at("/passed")).await;
    let ticks = |tag: &str| page.count(&format!("input[name='{tag}.goes']"));
    assert_eq!((ticks(&things.bite), ticks(&things.duplicate)), (1, 0));
    scene
        .passes_on(&scene.tom, &things.bite, &to_anvil)
        .await
        .is(303);
    // Told: it stands in the agenda of the office, and the page asks for nothing before it goes.
    for who in [&scene.dora, &scene.anna] {
        let words = "cknowledge that the work is passed on";
        who.get("/").await.sees(words);
        who.get(&scene.at("")).await.sees(words);
    }
    // A thing is passed on once.
    let page = scene.tom.get(&scene.at("/passed")).await;
    assert_eq!(
        page.count(&format!("input[name='{}.goes']", things.bite)),
        1
    );
    // No carrier, no release.
    let (bite, tom) = (&things.bite, &scene.tom);
    scene
        .moves(tom, "left", &[])
        .await
        .is(422)
        .sees("Name the carrier");
    scene.moves(tom, "left", &[COURIER]).await.is(303);
    let item = scene.dora.get(&format!("/items/{bite}")).await;
    item.sees("on the way to Anvil Laboratory");
    // The second laboratory.
    lars.get("/").await.sees("Passed on to you: 1");
    let list = lars.get("/passed").await;
    list.sees("Cast the framework in the alloy named.")
        .sees("Kiln Laboratory");
    let paths = list.hrefs("/passed/");
    let path = paths[0].as_str();
    let one = lars.get(path).await;
    assert_eq!(one.is(200).count(&format!("[name='{bite}.came']")), 1);
    assert!(!one.text().contains(&things.provisional));
    assert!(!one.text().contains(&scene.patient));
    one.sees("Questions go to Kiln Laboratory");
    for paper in ["authorization.pdf", "sheet.pdf"] {
        let paper = lars.get(&format!("{path}/{paper}")).await;
        assert!(paper.is(200).body.starts_with(b"%PDF"));
    }
    lars.get(&format!("{path}/front.svg")).await.is(200);
    for rest in [
        "",
        "/history",
        "/passed",
        "/questions",
        "/bench",
        "/dates",
        "/custody.pdf",
    ] {
        assert_eq!(lars.get(&scene.at(rest)).await.status, 404, "{rest}");
    }
    lars.get(&format!("/items/{bite}")).await.is(404);
    let event = path.trim_start_matches("/passed/");
    let paper = scene.at(&format!("/passed/{event}/authorization.pdf"));
    lars.get(&paper).await.is(404);
    for rest in [
        "/passed",
        "/passed/end",
        "/passed/move",
        "/passed/answer",
        "/ask",
    ] {
        let tried = [
            ("post_key", "lars-posts-1"),
            ("ended_pass", event),
            ("ended_why", "over"),
        ];
        lars.post(&scene.at(rest), &tried).await.is(404);
    }
    // Of another laboratory, and of no laboratory.
    tom.get(path).await.is(404);
    scene.world.person("sven").get(path).await.is(403);
    // It comes, and goes back.
    let action = format!("{path}/move");
    let arrives = |fields: &'static [(&'static str, &'static str)]| {
        lars.send_where(path, &action, "value=\"arrived\"", fields)
    };
    // Nothing is said to have come before somebody says it.
    let unsaid = arrives(&[("pass_person", "Lars")]).await;
    unsaid.is(422).sees("Say of at least one item how it came");
    arrives(&[("pass_person", "Lars"), ALL_SOUND]).await.is(303);
    let case = scene.dora.get(&scene.at("")).await;
    case.sees("at Anvil Laboratory since");
    scene.is_whole().await;
    sets_off(&lars, path).await.is(303);
    // A stale page: it has gone already.
    let goes = format!("{bite}.goes");
    let stale = [
        ("post_key", "stale-post"),
        ("moved_pass", event),
        ("moved_leg", "set_off"),
        COURIER,
        (goes.as_str(), "yes"),
    ];
    let stale = lars.post(&action, &stale).await;
    stale.is(409).sees("on the way back");
    let marked = [(format!("{bite}.came_marked"), "yes")];
    let marked: Vec<(&str, &str)> = marked
        .iter()
        .map(|(key, text)| (key.as_str(), *text))
        .chain([ALL_SOUND])
        .collect();
    scene.moves(&scene.mara, "home", &marked).await.is(303);
    lars.get(path)
        .await
        .sees("This is over")
        .sees("Received at the second lab");
    scene.is_closed_to(&lars, path, &[]).await;
    // Nor does the sheet that the first laboratory keeps look like one to work from.
    let kept = scene.at(&format!("/passed/{event}/sheet.pdf"));
    let kept = pages(&tom.get(&kept).await).join(" ");
    assert!(kept.contains("This work is over: all of it was back on"));
    lars.get("/").await.sees_not("Passed on to you");
    scene
        .tom
        .get(&scene.at("/passed"))
        .await
        .sees("All of it is back at Kiln Laboratory");
    scene.is_whole().await;
    // Whoever changes the list past the program is found.
    for sql in [
        "UPDATE passed_work SET new_answers = 1",
        "UPDATE passed_work SET new_answers = 0, is_open = 1",
        "DELETE FROM passed_work",
    ] {
        let mut conn = scene.world.past_the_store().await;
        sqlx::raw_sql(sql).execute(&mut conn).await.unwrap();
        let found = examine(&scene.world.app, None).await.unwrap();
        let words = format!("{:?}", found.faults);
        assert!(words.contains("passed on by entry"), "{words}");
    }
    // Whoever works on it is not told that there is nothing.
    let list = lars.get("/passed").await;
    list.is(200).sees_not("Nothing is passed on to you");
    let mut conn = scene.world.past_the_store().await;
    let again = "INSERT INTO passed_work SELECT id, case_number, (SELECT id FROM party WHERE name = 'Anvil Laboratory'), 0, 0 \
                 FROM event WHERE kind = 'passed_on'";
    sqlx::raw_sql(again).execute(&mut conn).await.unwrap();
    drop(conn);
    // The whole way stands in the history, with who said so.
    let history = scene.dora.get(&scene.at("/history")).await;
    for words in [
        "Work passed on to Anvil Laboratory",
        "Handed to the carrier for the second lab",
        "Received at the second lab",
        "lars",
        "Received back from the second lab",
    ] {
        history.sees(words);
    }
}

/// What a second laboratory reads at this address: page, sheet and front.
async fn read_by(who: &Visitor, path: &str) -> [String; 3] {
    let page = who.get(path).await.text();
    let sheet = pages(&who.get(&format!("{path}/sheet.pdf")).await).join(" ");
    let front = who.get(&format!("{path}/front.svg")).await.text();
    [page, sheet, front]
}

#[tokio::test]
async fn a_second_laboratory_sees_the_part_that_its_work_needs_and_the_first_sees_before_what_that_is()
 {
    let (scene, things) = at_the_lab("yes").await;
    let said = [
        ("shade.note", "a warm cervical third"),
        ("base.without", "beryllium"),
        ("remarks.remarks", "carrier of a virus"),
        ("dates.insertion", "2026-03-24"),
    ];
    scene.sign(&said).await.is(303);
    scene.accept(2).await;
    let (tom, lars) = (&scene.tom, scene.world.person("lars"));
    let before = tom.get(&scene.at("/passed")).await;
    before
        .sees("What the second lab sees of the prescription")
        .sees("Metal framework, mesh or reinforcement");
    // What always goes and what never goes is no choice.
    assert_eq!(
        before.count("[data-sees=pass_work] dd[data-kind=mounting]"),
        1
    );
    let ticks = |part: &str| before.count(&format!("input[name='{part}.along']"));
    assert_eq!(
        ["shade", "base", "remarks", "dates", "law", "facebow"].map(ticks),
        [1, 0, 0, 0, 0, 0]
    );
    let anvil = scene.anvil().await;
    let unsaid = [("second_party", anvil.as_str()), ("pass_work", "")];
    let asked = scene.passes_on(tom, &things.bite, &unsaid).await;
    asked.is(422).sees("Choose the kind of work.");
    scene
        .passes_on(tom, &things.bite, &unsaid[..1])
        .await
        .is(303);
    for who in [tom, &scene.dora] {
        who.get(&scene.at("/passed"))
            .await
            .sees("Anvil Laboratory sees of the prescription: Order;")
            .sees("Left out: Tooth shade;")
            .sees("and the rest of the patient’s card except warnings.");
    }
    let path = lars.get("/passed").await.hrefs("/passed/").remove(0);
    let [page, sheet, front] = read_by(&lars, &path).await;
    for words in [
        "Order to second laboratory",
        "heat-cured resin",
        "Cast the framework in the alloy named.",
        "eryllium",
        "carrier of a virus",
        "Kiln Laboratory",
        "Wanted back by",
        "Left out",
    ] {
        assert!(
            sheet.contains(words),
            "{words} is not on the sheet: {sheet}"
        );
    }
    let code: vestibule::domain::values::ids::PatientCode = scene.patient.parse().unwrap();
    let code = code.to_string();
    for words in [
        "B-20",
        "a warm cervical third",
        "24 Mar",
        "Northgate",
        scene.patient.as_str(),
        code.as_str(),
    ] {
        for text in [&page, &sheet, &front] {
            assert!(!text.contains(words), "{words} is told: {text}");
        }
    }
    let paper = pages(&lars.get(&format!("{path}/authorization.pdf")).await).join(" ");
    assert!(!paper.contains("B-20") && !paper.contains(&code), "{paper}");
    // The code on its sheet, which names the case, leads to what is passed on.
    let qr = format!("/C/{}/2", scene.number);
    assert_eq!(lars.get(&qr).await.is(303).location(), path);
    // Scanned into the box too; whoever does not work at the bench, and any other laboratory, is told of no such case.
    let scanned = format!(
        "/find?q=HTTPS%3A%2F%2FVESTIBULE.TEST%2FC%2F{}%2F2",
        scene.number
    );
    let found = lars.get(&scanned).await.is(303).location();
    assert_eq!(lars.get(&found).await.is(303).location(), path);
    assert_ne!(scene.world.person("sven").get(&scanned).await.status, 303);
    // Neither this revision nor an earlier one by its own address.
    for revision in ["1", "2"] {
        for rest in ["", "/slip.pdf", "/front.svg", "/text.pdf"] {
            let at = scene.at(&format!("/revisions/{revision}{rest}"));
            lars.get(&at).await.is(404);
        }
    }
    // A part that the first laboratory adds goes along.
    let more = [unsaid[0], ("shade.along", "yes")];
    scene
        .passes_on(tom, &things.provisional, &more)
        .await
        .is(303);
    let list = lars.get("/passed").await.hrefs("/passed/");
    let other = list.iter().find(|one| **one != path).unwrap();
    let [_, sheet, _] = read_by(&lars, other).await;
    assert!(sheet.contains("B-20") && sheet.contains("a warm cervical third"));
    assert!(!sheet.contains("24 Mar"));
    // Of two that are open the code does not say which.
    assert_eq!(lars.get(&qr).await.is(303).location(), "/passed");
    // The code of what is superseded leads there too, where that is said; any other house is told no more than before.
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    assert_eq!(lars.get(&qr).await.is(303).location(), "/passed");
    lars.get(&path).await.sees("is superseded: ask");
    let nobody = scene.world.nobody().get(&qr).await;
    nobody.is(200).sees("Do not work from this sheet");
    scene.is_whole().await;
}

#[tokio::test]
async fn another_arch_and_a_day_after_the_work_is_due_are_asked_about() {
    let (scene, things) = at_the_lab("yes").await;
    let anvil = scene.anvil().await;
    let wrong = [
        ("second_party", anvil.as_str()),
        ("pass_arches", "lower"),
        ("pass_wanted", "2026-03-31"),
    ];
    let asked = scene
        .passes_on(&scene.tom, &things.provisional, &wrong)
        .await;
    asked
        .is(422)
        .sees("goes along, and what is to be done is for: lower.")
        .sees("and the work is due on Fri 20 Mar 2026.");
    assert_eq!(asked.count("input[name=pass_sure]"), 1);
    let right = [("second_party", anvil.as_str()), ("pass_arches", "upper")];
    let page = scene.tom.get(&scene.at("/passed")).await;
    assert_eq!(page.count("input[name=pass_sure]"), 0);
    scene
        .passes_on(&scene.tom, &things.provisional, &right)
        .await
        .is(303);
    // Said to be meant so.
    let meant = [wrong.as_slice(), &[("pass_sure", "yes")]].concat();
    scene
        .passes_on(&scene.tom, &things.bite, &meant)
        .await
        .is(303);
}

#[tokio::test]
async fn against_a_signed_no_nothing_goes_before_the_dentist_has_agreed() {
    let (scene, things) = at_the_lab("no").await;
    let page = scene.tom.get(&scene.at("/passed")).await;
    page.sees("nothing goes before the office has agreed");
    let anvil = scene.anvil().await;
    let to_anvil = [("second_party", anvil.as_str())];
    scene
        .passes_on(&scene.tom, &things.bite, &to_anvil)
        .await
        .is(303);
    scene
        .dora
        .get("/")
        .await
        .sees("ay whether the work may be passed on");
    // Sent all the same, from a page of nobody.
    let shown = scene.tom.get(&scene.at("/passed")).await;
    assert_eq!(shown.count("input[value=left]"), 0);
    let event = shown.attribute("input[name=ended_pass]", "value");
    let goes = format!("{}.goes", things.bite);
    let leaves = |key: &'static str| {
        let fields = [
            ("post_key", key),
            ("moved_pass", event.as_str()),
            ("moved_leg", "left"),
            COURIER,
            (goes.as_str(), "yes"),
        ];
        let (tom, path) = (scene.tom.clone(), scene.at("/passed/move"));
        let fields = fields.map(|(key, text)| (key.to_owned(), text.to_owned()));
        async move {
            let fields: Vec<(&str, &str)> = fields
                .iter()
                .map(|(key, text)| (key.as_str(), text.as_str()))
                .collect();
            tom.post(&path, &fields).await
        }
    };
    leaves("leaves-one")
        .await
        .is(409)
        .sees("has not agreed yet");
    // The second laboratory knows of it, and reads nothing of the prescription.
    let lars = scene.world.person("lars");
    let path = format!("/passed/{event}");
    let closed = lars.get(&path).await;
    closed.is(200).sees("The office has not agreed to it");
    let sheet = format!("{path}/sheet.pdf");
    let order = format!("{path}/authorization.pdf");
    for text in [&sheet, &order, &format!("{path}/front.svg")] {
        assert!(closed.hrefs(text).is_empty());
        lars.get(text).await.is(409);
    }
    // The two houses look at it before, and the paper says that it is not to go.
    let own = scene.at(&format!("/passed/{event}/sheet.pdf"));
    for who in [&scene.tom, &scene.dora] {
        let words = pages(&who.get(&own).await).join(" ");
        assert!(words.contains("Not before the office has agreed to it."));
    }
    // The assistant reads it, and the dentist says it.
    let asked = scene.anna.get(&scene.at("/passed")).await;
    assert_eq!(asked.count("select[name=pass_answer]"), 0);
    asked.sees("a dentist of this office has to say whether it may be");
    let no = [("pass_answer", "objected")];
    scene
        .says(&scene.dora, &no)
        .await
        .is(409)
        .sees("Say why not");
    let no = [no[0], ("pass_note", "Make it in your own house, please.")];
    scene.says(&scene.dora, &no).await.is(303);
    leaves("leaves-two")
        .await
        .is(409)
        .sees("not to be passed on");
    scene
        .tom
        .get(&scene.at("/passed"))
        .await
        .sees("Make it in your own house");
    scene
        .says(&scene.dora, &[("pass_answer", "agreed")])
        .await
        .is(303);
    for text in [&sheet, &order] {
        lars.get(text).await.is(200);
    }
    let words = pages(&lars.get(&sheet).await).join(" ");
    assert!(!words.contains("Not before the office"), "{words}");
    leaves("leaves-three").await.is(303);
    // The same post once more changes nothing.
    leaves("leaves-three").await.is(303);
    // A later revision: both labs hear of it, and the first one passes it on again.
    scene.sign(&[("shade.tab", "B-21")]).await.is(303);
    lars.get(&path)
        .await
        .sees("Revision 1 of the prescription is superseded");
    let page = scene.at("/passed");
    let shown = scene.tom.get(&page).await;
    shown.sees("works to revision 1, and revision 2 is in force");
    let passed_again = [("pass_wanted", "2026-03-13"), ("password", PASSWORD)];
    let within = format!("value=\"{event}\"");
    let passed_again = scene
        .tom
        .send_where(&page, &page, &within, &passed_again)
        .await;
    passed_again.is(303);
    lars.get(&path).await.sees("This is over");
    scene.is_closed_to(&lars, &path, &[]).await;
    let of_before = scene.at(&format!("/passed/{event}/sheet.pdf"));
    let copy = pages(&scene.tom.get(&of_before).await).join(" ");
    assert!(copy.contains("it was passed on again"), "{copy}");
    lars.get("/").await.sees("Passed on to you: 1");
    // Stopped work: the second laboratory reads it at once.
    let halt = scene.at("/halt");
    let stop = [
        ("halt", "stop"),
        ("reason", "the patient is ill"),
        ("password", PASSWORD),
    ];
    scene
        .dora
        .send_where(&halt, &halt, "value=\"stop\"", &stop)
        .await
        .is(303);
    let list = lars.get("/passed").await.hrefs("/passed/");
    let open = lars.get(&list[0]).await;
    open.sees("make nothing more")
        .sees_not("the patient is ill");
    scene.is_whole().await;
}

#[tokio::test]
async fn a_laboratory_without_accounts_signs_on_paper_and_the_lab_enters_it() {
    let (scene, things) = at_the_lab("yes").await;
    let tom = &scene.tom;
    let named = [("second_name", "Bellows Castings")];
    scene
        .passes_on(tom, &things.bite, &named)
        .await
        .is(422)
        .sees("names both addresses");
    let anvil = scene.anvil().await;
    let both = [
        named[0],
        ("second_address", "9 Furnace Row\nSampletown"),
        ("second_party", anvil.as_str()),
    ];
    scene
        .passes_on(tom, &things.bite, &both)
        .await
        .is(422)
        .sees("not both");
    scene.passes_on(tom, &things.bite, &both[..2]).await.is(303);
    // A mistake is ended, with a reason, and begun again.
    let (page, end) = (scene.at("/passed"), scene.at("/passed/end"));
    tom.send(&page, &end, &[]).await.is(422);
    tom.send(&page, &end, &[("ended_why", "the wrong laboratory")])
        .await
        .is(303);
    scene.passes_on(tom, &things.bite, &both[..2]).await.is(303);
    let papers = tom.get(&page).await.hrefs(&scene.at("/passed/"));
    let newest = papers.iter().find(|path| path.ends_with(".pdf")).unwrap();
    let (once, again) = (tom.get(newest).await, tom.get(newest).await);
    assert!(once.is(200).body.starts_with(b"%PDF") && once.body == again.body);
    scene.dora.get(newest).await.is(200);
    // It works from its own sheet, which the first laboratory prints.
    let sheet = newest.replace("authorization", "sheet");
    assert!(papers.contains(&sheet));
    let words = pages(&tom.get(&sheet).await).join(" ");
    assert!(words.contains("Order to second laboratory") && !words.contains("B-20"));
    let lars = scene.world.person("lars");
    lars.get(&sheet).await.is(404);
    scene.moves(tom, "left", &[COURIER]).await.is(303);
    scene
        .moves(tom, "arrived", &[ALL_SOUND])
        .await
        .is(409)
        .sees("Name who received it");
    scene
        .moves(tom, "arrived", &[("pass_person", "B. Low"), ALL_SOUND])
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("at Bellows Castings since");
    // Nothing else is done with it meanwhile, and the case is not closed over it.
    let cleaned = scene.record(tom, &things.bite, "disinfect", &CLEANED).await;
    cleaned.is(409).sees("at the second lab");
    let event = tom.get(&page).await;
    let event = event.attribute("input[name=moved_pass]", "value");
    let over = [
        ("post_key", "over-post"),
        ("ended_pass", event.as_str()),
        ("ended_why", "over"),
    ];
    let over = tom.post(&end, &over).await;
    over.is(409).sees("have it back first");
    let close = scene.dora.get(&scene.at("/close")).await;
    close.sees("at the second lab: have it back first");
    let damaged = [
        (format!("{}.came", things.bite), "damaged"),
        (format!("{}.came_note", things.bite), "a key is off"),
    ];
    let damaged: Vec<(&str, &str)> = damaged
        .iter()
        .map(|(key, text)| (key.as_str(), *text))
        .collect();
    scene
        .moves(tom, "home", &damaged[..1])
        .await
        .is(422)
        .sees("Say what is the matter");
    scene.moves(tom, "home", &damaged).await.is(303);
    scene.mara.get(&scene.at("")).await.sees("arrived damaged");
    scene.is_whole().await;
}

/// The bite record lies at Anvil Laboratory; returns the address of the work there.
async fn at_anvil(scene: &Scene, things: &Things) -> String {
    let anvil = scene.anvil().await;
    let to_anvil = [("second_party", anvil.as_str())];
    let passed = scene.passes_on(&scene.tom, &things.bite, &to_anvil).await;
    passed.is(303);
    scene.moves(&scene.tom, "left", &[COURIER]).await.is(303);
    let lars = scene.world.person("lars");
    let path = lars.get("/passed").await.hrefs("/passed/").remove(0);
    let action = format!("{path}/move");
    lars.send_where(&path, &action, "value=\"arrived\"", &[("rest_came", "yes")])
        .await
        .is(303);
    path
}

#[tokio::test]
async fn the_second_laboratory_asks_the_first_and_the_office_hears_of_it_from_there() {
    let (scene, things) = at_the_lab("yes").await;
    let path = at_anvil(&scene, &things).await;
    let (lars, tom) = (scene.world.person("lars"), &scene.tom);
    let ask = format!("{path}/ask");
    let question = [("pass_question", "Which alloy is named?")];
    lars.send(&path, &ask, &[("pass_question", " ")])
        .await
        .is(422)
        .sees("Write what you want to know.");
    let named = [("pass_question", "ask Mrs. Miller, born 1950-02-03")];
    lars.send(&path, &ask, &named)
        .await
        .is(422)
        .sees("they name nobody");
    lars.send(&path, &ask, &question).await.is(303);
    lars.get(&path)
        .await
        .sees("Which alloy is named?")
        .sees("Not answered yet.");
    // It waits for the first laboratory, and for nobody else.
    tom.get("/")
        .await
        .sees("Answer a question")
        .sees("Asked today");
    for who in [&scene.dora, &scene.anna] {
        who.get("/").await.sees_not("Asked today");
    }
    // The case quotes it where it is answered, and nowhere else; what ends with its own mark has no second one.
    let case = tom.get(&scene.at("")).await;
    case.sees("about what is passed on: “Which alloy is named?”");
    case.sees_not("named?”.");
    let answer = format!(".waits a.button[href=\"{}\"]", scene.at("/questions"));
    assert_eq!(case.count(&answer), 1);
    let office = scene.dora.get(&scene.at("")).await;
    office.sees_not("Which alloy is named?");
    assert_eq!(office.count(&answer), 0);
    let questions = scene.at("/questions");
    let there = tom.get(&questions).await;
    there
        .sees("From the second laboratory")
        .sees("Which alloy is named?");
    let office = scene.dora.get(&questions).await;
    office.sees_not("Which alloy is named?");
    // The first laboratory asks the office in its own words, which begin with these.
    let href = there.hrefs(&format!("{questions}?second=")).remove(0);
    let form = tom.get(href.split('#').next().unwrap()).await;
    assert_eq!(form.count("#ask details[open]"), 1);
    let carried = form.form(&questions, &scene.at("/ask"), "matter");
    assert_eq!(carried["question"], "Which alloy is named?");
    // Nobody else reads a question of it by that address.
    let by_office = scene.dora.get(href.split('#').next().unwrap()).await;
    by_office.sees_not("Which alloy is named?");
    let own = [("matter", "missing"), ("question", "Which alloy, please?")];
    tom.send(&questions, &scene.at("/ask"), &own).await.is(303);
    lars.get(&path).await.sees_not("Which alloy, please?");
    // The answer comes from there, once.
    let answer = scene.at("/answer-lab");
    tom.send(&questions, &answer, &[("pass_reply", "")])
        .await
        .is(422)
        .sees("Write the answer.");
    tom.send(
        &questions,
        &answer,
        &[("pass_reply", "The one of the sheet.")],
    )
    .await
    .is(303);
    lars.get(&path)
        .await
        .sees("The one of the sheet.")
        .sees_not("Not answered yet.");
    lars.get("/passed").await.sees("your question answered on");
    // Its first page counts it until something is entered where it stands.
    lars.get("/")
        .await
        .sees("Passed on to you: 1, 1 new answer");
    tom.get("/").await.sees_not("new answer");
    scene.is_whole().await;
    let id = {
        let page = tom.get(&questions).await;
        let id = page.attribute("article[id^=s-]", "id");
        id.trim_start_matches("s-").to_owned()
    };
    let late = [
        ("post_key", "a-page-of-before"),
        ("pass_asked", id.as_str()),
        ("pass_reply", "another answer"),
    ];
    tom.post(&answer, &late)
        .await
        .is(409)
        .sees("another answer");
    // The office cannot answer for it, nor a laboratory that has nothing of it; and it takes nothing back.
    scene.dora.post(&answer, &late).await.is(409);
    let take_back = format!("{path}/take-back");
    let back = [("post_key", "taken-back-1"), ("pass_asked", id.as_str())];
    lars.post(&take_back, &back).await.is(409);
    tom.post(&take_back, &back).await.is(404);
    // Another one is taken back by whoever asked.
    lars.send(&path, &ask, &question).await.is(303);
    let first = lars.get("/").await;
    first.sees("Passed on to you: 1").sees_not("new answer");
    lars.send(&path, &take_back, &[]).await.is(303);
    lars.get(&path).await.sees("Taken back: lars");
    tom.get(&questions).await.sees("Taken back: lars");
    scene.is_whole().await;
}

#[tokio::test]
async fn the_second_laboratory_withdraws_an_entry_of_its_own_that_was_a_mistake() {
    let (scene, things) = at_the_lab("yes").await;
    let path = at_anvil(&scene, &things).await;
    let lars = scene.world.person("lars");
    let withdraw = format!("{path}/withdraw");
    let page = lars.get(&path).await;
    let entry = page.option_value("mistaken_entry", "Received at the second lab");
    let choices = page.count("select[name=mistaken_entry] option[value]:not([value=''])");
    assert_eq!(choices, 1, "its own entries alone");
    let said = [
        ("mistaken_entry", entry.as_str()),
        ("pass_mistake", "another parcel was meant"),
    ];
    let wrong = [said[0], said[1], ("password", "not this one")];
    let again = lars.send(&path, &withdraw, &wrong).await;
    // What was typed stands in its box.
    let text = again.is(422).text();
    assert!(text.contains("another parcel was meant"), "{text}");
    let signed = [said[0], said[1], ("password", PASSWORD)];
    // What rests on it is withdrawn before it.
    sets_off(&lars, &path).await.is(303);
    let shown = lars.get(&path).await;
    let last = shown.option_value("mistaken_entry", "Handed to the carrier at the second lab");
    let page = shown.count("select[name=mistaken_entry] option[value]:not([value=''])");
    assert_eq!(page, 1);
    let early = [signed[0], signed[1], signed[2]];
    lars.send(&path, &withdraw, &early)
        .await
        .is(409)
        .sees("Later entries rest on it");
    let first = [("mistaken_entry", last.as_str()), signed[1], signed[2]];
    lars.send(&path, &withdraw, &first).await.is(303);
    lars.send(&path, &withdraw, &signed).await.is(303);
    // All is as it was before, for both laboratories and the office.
    let item = scene.dora.get(&format!("/items/{}", things.bite)).await;
    item.sees("on the way to Anvil Laboratory");
    lars.get(&path)
        .await
        .sees("Withdrawn as a mistake")
        .sees("Received at the second lab");
    // What the first laboratory has entered is not its own.
    let history = scene.tom.get(&scene.at("/history")).await;
    history.sees("is withdrawn");
    scene.is_whole().await;
}

#[tokio::test]
async fn what_came_damaged_there_stays_so_until_somebody_says_that_it_was_set_right() {
    let (scene, things) = at_the_lab("yes").await;
    let (bite, tom) = (&things.bite, &scene.tom);
    let anvil = scene.anvil().await;
    let to_anvil = [("second_party", anvil.as_str())];
    scene.passes_on(tom, bite, &to_anvil).await.is(303);
    scene.moves(tom, "left", &[COURIER]).await.is(303);
    let out = tom.get("/in-house").await;
    out.sees("Out at another laboratory")
        .sees("on the way to Anvil Laboratory");
    let lars = scene.world.person("lars");
    let list = lars.get("/passed").await;
    let path = list.hrefs("/passed/").remove(0);
    let action = format!("{path}/move");
    let (came, note) = (format!("{bite}.came"), format!("{bite}.came_note"));
    let damaged = [
        (came.as_str(), "damaged"),
        (note.as_str(), "flange chipped"),
    ];
    let answer = lars.send_where(&path, &action, "value=\"arrived\"", &damaged);
    answer.await.is(303);
    // Whoever works on it is told that it stands still, and what they said themselves.
    lars.get(&path)
        .await
        .sees("Held: ")
        .sees("damaged: flange chipped");
    lars.get("/passed").await.sees("Held: ");
    let here = lars.get("/in-house").await;
    here.sees("Passed on to you, and here")
        .sees("Kiln Laboratory");
    let file = lars.get("/in-house.csv").await;
    assert!(file.text().contains("passed on to you"), "{}", file.text());
    let file = tom.get("/in-house.csv").await;
    assert!(
        file.text().contains("at Anvil Laboratory"),
        "{}",
        file.text()
    );
    tom.get(&scene.at("/passed"))
        .await
        .sees("damaged: flange chipped");
    let statement = [
        ("reason", "dropped"),
        ("done", "glued"),
        ("password", PASSWORD),
    ];
    let holds = scene.at("/holds");
    tom.send(&holds, &holds, &statement).await.is(303);
    sets_off(&lars, &path).await.is(303);
    // On the way home nothing is chosen for it, and nobody has set it right by pressing a button.
    let page = tom.get(&scene.at("/passed")).await;
    page.sees("nothing new the matter with it");
    for chosen in ["option[value=sound][selected]", "[value=sound][checked]"] {
        assert_eq!(page.count(chosen), 0, "{chosen}");
    }
    scene.moves(tom, "home", &[]).await.is(422);
    let sound = [(came.as_str(), "sound")];
    let right = format!("{bite}.came_right");
    let contrary = [
        (came.as_str(), "damaged"),
        (note.as_str(), "x"),
        (right.as_str(), "yes"),
    ];
    let answer = scene.moves(tom, "home", &contrary).await;
    answer
        .is(422)
        .sees("What is set right has nothing the matter with it");
    scene.moves(tom, "home", &sound).await.is(303);
    let item = tom.get(&format!("/items/{bite}")).await;
    item.sees("damaged");
    let cleaned = scene.record(tom, bite, "disinfect", &CLEANED).await;
    cleaned.is(303);
    let release = tom.get(&scene.at("/release")).await;
    release.sees("By the record damaged: flange chipped.");
    scene.is_whole().await;
}

#[tokio::test]
async fn the_ribbon_has_a_lane_for_the_second_laboratory() {
    let (scene, things) = at_the_lab("yes").await;
    let lanes = async || {
        let page = scene.dora.get(&scene.at("")).await;
        let html = scraper::Html::parse_document(&page.text());
        let names = scraper::Selector::parse("svg.names text").unwrap();
        let texts = html.select(&names).map(|name| name.text().collect());
        texts.collect::<Vec<String>>()
    };
    let before = lanes().await;
    assert!(!before.is_empty());
    at_anvil(&scene, &things).await;
    let after = lanes().await;
    assert_eq!(after.len(), before.len() + 1, "{after:?}");
    assert!(after.iter().any(|name| name == "Anvil"), "{after:?}");
    let sheet = scene.dora.get(&scene.at("/history.pdf")).await;
    assert!(sheet.is(200).body.starts_with(b"%PDF"));
}

#[tokio::test]
async fn what_has_been_at_the_second_laboratory_is_not_asked_about_as_if_it_was_to_go_again() {
    let (scene, things) = at_the_lab("yes").await;
    let anvil = scene.anvil().await;
    let (bite, provisional) = (&things.bite, &things.provisional);
    let goes = format!("{provisional}.goes");
    let both = [("second_party", anvil.as_str()), (goes.as_str(), "yes")];
    scene.passes_on(&scene.tom, bite, &both).await.is(303);
    scene.moves(&scene.tom, "left", &[COURIER]).await.is(303);
    // One is back, without a mark of disinfection; the other is still there.
    let came = format!("{bite}.came");
    scene
        .moves(&scene.tom, "home", &[(came.as_str(), "sound")])
        .await
        .is(303);
    let page = scene.tom.get(&scene.at("/passed")).await;
    page.sees("on the way to Anvil Laboratory")
        .sees_not("Before the rest can go");
    scene.is_whole().await;
}

#[tokio::test]
async fn work_listed_for_another_house_is_missed_by_its_laboratory_and_counted() {
    let (scene, things) = at_the_lab("yes").await;
    let path = at_anvil(&scene, &things).await;
    let (lars, root) = (scene.world.person("lars"), scene.world.person("root"));
    let (lost, under) = (
        "1 of the cases cannot be read",
        "authorization under another house",
    );
    for (house, is_other) in [("Kiln", true), ("Anvil", false)] {
        let mut conn = scene.world.past_the_store().await;
        let set =
            "UPDATE passed_work SET party_id = (SELECT id FROM party WHERE name LIKE $1 || '%')";
        let done = sqlx::query(set).bind(house).execute(&mut conn).await;
        assert_eq!(done.unwrap().rows_affected(), 1);
        let page = lars.get("/passed").await;
        page.is(200).sees_not("Nothing is passed on to you");
        assert_eq!(page.text().contains(lost), is_other, "{house}");
        lars.get(&path).await.is(200);
        counted::look(&scene.world.app).await.unwrap();
        let said = root.get("/people").await;
        assert_eq!(said.text().contains(under), is_other, "{house}");
    }
}

#[tokio::test]
async fn work_is_passed_on_to_no_laboratory_whose_row_was_changed() {
    let (scene, things) = at_the_lab("yes").await;
    let anvil = scene.anvil().await;
    let to_anvil = [("second_party", anvil.as_str())];
    for (set, status) in [
        ("licence = 'L-0'", 409),
        ("licence = (SELECT licence FROM kept)", 303),
    ] {
        let mut conn = scene.world.past_the_store().await;
        let sql = format!(
            "CREATE TABLE IF NOT EXISTS kept AS SELECT licence FROM party WHERE id = '{anvil}'; \
             UPDATE party SET {set} WHERE id = '{anvil}'"
        );
        let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
        done.await.unwrap();
        let answer = scene.passes_on(&scene.tom, &things.bite, &to_anvil).await;
        answer.is(status);
        if status == 409 {
            answer.sees("is not as the record says");
        }
    }
}

#[tokio::test]
async fn the_papers_of_the_lab_name_the_laboratory_that_had_a_part_in_the_work() {
    let (scene, things) = at_the_lab("yes").await;
    let anvil = scene.anvil().await;
    let to_anvil = [("second_party", anvil.as_str())];
    let tom = &scene.tom;
    scene.passes_on(tom, &things.bite, &to_anvil).await.is(303);
    let text = |answer: &Answer| crate::case_papers::read(answer).0;
    let statement = tom.get(&scene.at("/statement.pdf")).await;
    assert!(
        !text(&statement).contains("Anvil"),
        "nothing has gone there"
    );
    scene.moves(tom, "left", &[COURIER]).await.is(303);
    let statement = text(&tom.get(&scene.at("/statement.pdf")).await);
    assert!(
        statement.contains("Passed on to Anvil Laboratory"),
        "{statement}"
    );
    let materials = text(&tom.get(&scene.at("/materials.pdf")).await);
    assert!(materials.contains("Anvil Laboratory"), "{materials}");
}

/// The second laboratory works from what shows its things and is for the lab, and sees no other picture of the case.
#[tokio::test]
async fn the_second_laboratory_sees_pictures_and_scans_of_its_things_alone() {
    let (scene, things) = at_the_lab("yes").await;
    let path = at_anvil(&scene, &things).await;
    let lars = scene.world.person("lars");
    lars.get(&path).await.sees_not("Pictures and scans of them");
    let (bite, other) = (things.bite.as_str(), things.provisional.as_str());
    for (shade, tag, for_lab) in [(60, bite, true), (90, other, true), (120, bite, false)] {
        let id = a_picture_of(&scene, (shade, tag), for_lab).await;
        let is_shown = tag == bite && for_lab;
        for size in ["picture", "small"] {
            let at = format!("{path}/pictures/{id}/{size}.jpg");
            lars.get(&at).await.is(if is_shown { 200 } else { 404 });
            // Whoever has nothing of it, sees nothing of it there.
            scene.tom.get(&at).await.is(404);
        }
        lars.get(&scene.at(&format!("/pictures/{id}/picture.jpg")))
            .await
            .is(404);
    }
    let scan = a_scan_of(&scene, bite).await;
    let file = format!("{path}/scans/{scan}/file");
    lars.get(&file).await.is(200);
    let page = lars.get(&path).await;
    page.sees("Pictures and scans of them");
    assert_eq!(page.count(".pictures img"), 1);
    assert_eq!(page.hrefs(&file), std::slice::from_ref(&file));
    let shown = page.hrefs(&format!("{path}/pictures/"));
    assert!(!shown.is_empty());
    let question = [("pass_question", "Which alloy is named?")];
    lars.send(&path, &format!("{path}/ask"), &question)
        .await
        .is(303);
    // It goes back, and until it is back whoever has sent it answers for it.
    sets_off(&lars, &path).await.is(303);
    lars.get(&file).await.is(200);
    scene.moves(&scene.mara, "home", &[ALL_SOUND]).await.is(303);
    let small = shown
        .iter()
        .map(|one| one.replace("picture.jpg", "small.jpg"));
    let files: Vec<String> = small.chain(shown.iter().cloned()).chain([file]).collect();
    scene.is_closed_to(&lars, &path, &files).await;
    // The first laboratory, which answers for the work, keeps what it has.
    scene.tom.get(&scene.at("/scans")).await.is(200);
    scene.is_whole().await;
}

/// The profile of the European Union has a lab keep its papers for ten years (see its source):
/// the order by which the second laboratory worked is one of them.
#[tokio::test]
async fn the_authorization_stays_for_as_long_as_the_law_has_a_lab_keep_its_papers() {
    let scene = Scene::opened().await;
    let law = [("profile", "eu")];
    // The lab manager answers for the lab.
    scene.mara.send("/law", "/law", &law).await.is(303);
    let (scene, things) = at_the_lab_of(scene, "yes").await;
    let path = at_anvil(&scene, &things).await;
    let lars = scene.world.person("lars");
    sets_off(&lars, &path).await.is(303);
    scene.moves(&scene.mara, "home", &[ALL_SOUND]).await.is(303);
    let page = lars.get(&path).await;
    page.sees("the authorization can be had until")
        .sees("2036 (European Union)");
    let paper = format!("{path}/authorization.pdf");
    assert_eq!(
        page.hrefs(&format!("{path}/")),
        std::slice::from_ref(&paper)
    );
    lars.get(&paper).await.is(200);
    for rest in ["sheet.pdf", "front.svg"] {
        lars.get(&format!("{path}/{rest}")).await.is(409);
    }
}

/// Whoever can write the database passes work on by rows alone: no laboratory gets at a thing of a case by that.
#[tokio::test]
async fn work_passed_on_by_changed_rows_alone_leads_nobody_to_a_case() {
    let (scene, things) = at_the_lab("yes").await;
    let outside = [
        ("second_name", "Bellows Castings"),
        ("second_address", "9 Furnace Row\nSampletown"),
    ];
    let anvil = scene.anvil().await;
    let passed = scene.passes_on(&scene.tom, &things.bite, &outside).await;
    passed.is(303);
    let lars = scene.world.person("lars");
    let mut conn = scene.world.past_the_store().await;
    let event = "SELECT id FROM event WHERE kind = 'passed_on'";
    let id: String = sqlx::query_scalar(event)
        .fetch_one(&mut conn)
        .await
        .unwrap();
    let sql = format!(
        "INSERT INTO passed_work (event_id, case_number, party_id, is_open) \
         SELECT id, case_number, '{anvil}', 1 FROM event WHERE id = '{id}'; \
         UPDATE event SET body = json_set(body, '$.what.to.party', '{anvil}') WHERE id = '{id}'"
    );
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
    done.await.unwrap();
    lars.get(&format!("/passed/{id}")).await.is(404);
    let printed = format!(
        "{}-{}-{}",
        &scene.number[..3],
        &scene.number[3..6],
        &scene.number[6..]
    );
    for path in ["/passed", "/in-house"] {
        let page = lars.get(path).await;
        page.is(200)
            .sees_not(&printed)
            .sees_not("Kiln Laboratory")
            .sees("1 of the cases cannot be read");
    }
    let scanned = format!("/C/{}", scene.number);
    let answer = lars.get(&scanned).await;
    assert!(answer.status != 303, "{}", answer.location());
    let found = lars.get(&format!("/find?q={}", scene.number)).await;
    found.is(404);
}

/// A picture is shown as the entry that is in the record says, and by no other.
#[tokio::test]
async fn a_picture_whose_entry_was_changed_is_shown_to_nobody() {
    let (scene, things) = at_the_lab("yes").await;
    let id = a_picture_of(&scene, (60, &things.bite), true).await;
    let path = scene.at(&format!("/pictures/{id}/picture.jpg"));
    scene.dora.get(&path).await.is(200);
    let mut conn = scene.world.past_the_store().await;
    let sql = "UPDATE event SET body = replace(body, '\"bite_record\"', '\"teeth\"') WHERE kind = 'pictured'";
    sqlx::raw_sql(sql).execute(&mut conn).await.unwrap();
    let body: String = sqlx::query_scalar("SELECT body FROM event WHERE kind = 'pictured'")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    assert!(!body.contains("bite_record"), "{body}");
    let shown = scene.dora.get(&path).await;
    assert!(shown.status.as_u16() >= 400, "{}", shown.status);
}

/// Common practice, no source: what is in another house is worked on there, and its day is the one on which it is back.
#[tokio::test]
async fn what_is_with_the_second_laboratory_is_counted_and_asked_about() {
    let (scene, _things) = at_the_lab("yes").await;
    scene.accept(1).await;
    let cast = scene.add(&scene.tom, "cast", "upper", "here").await;
    scene
        .record(&scene.tom, &cast, "disinfect", &CLEANED)
        .await
        .is(303);
    const ELSEWHERE: &str = "Set up the teeth, at the second laboratory";
    let dates = scene.at("/dates");
    scene.dora.get(&dates).await.sees_not(ELSEWHERE);
    let set_up = [("pass_work", "set_up"), ("pass_wanted", "2026-03-17")];
    let anvil = scene.anvil().await;
    let to_anvil = [&[("second_party", anvil.as_str())][..], &set_up].concat();
    scene.passes_on(&scene.tom, &cast, &to_anvil).await.is(303);
    for who in [&scene.dora, &scene.tom] {
        let page = who.get(&dates).await;
        page.sees(ELSEWHERE).sees("Tue 17 Mar");
        page.sees("passed on to Anvil Laboratory, wanted back on Tue 17 Mar, sets the pace.");
    }
    scene.moves(&scene.tom, "left", &[COURIER]).await.is(303);
    let asked = scene.works(&scene.tom, "mounted", &[]).await;
    asked
        .is(422)
        .sees("Needed for this step: Master cast, upper");
    let anyway = [("bench_anyway", "yes")];
    scene.works(&scene.tom, "mounted", &anyway).await.is(303);
    // The list of the bench says what the next step waits for.
    scene.works(&scene.tom, "cast_poured", &[]).await.is(303);
    let list = scene.tom.get("/bench").await;
    list.sees("Upper master cast back Tue 17 Mar")
        .sees_not("Set up the teeth");
}

/// Common practice, no source: whoever works on a thing reads what is wrong in what was entered of it.
#[tokio::test]
async fn the_second_laboratory_is_told_what_was_corrected_of_the_things_that_it_has() {
    let (scene, things) = at_the_lab("yes").await;
    let path = at_anvil(&scene, &things).await;
    let lars = scene.world.person("lars");
    const NOTE: &str = "An entry was corrected on";
    scene.world.pass_minutes(1);
    for (tag, note) in [
        (&things.bite, "the bite is of the second visit"),
        (&things.duplicate, "the copy is of another resin"),
    ] {
        let entry = scene.dora.get(&format!("/items/{tag}")).await;
        let entry = entry.option_value("event", "registered");
        let correction = [("event", entry.as_str()), ("correction", note)];
        let noted = scene.record(&scene.dora, tag, "correct", &correction).await;
        noted.is(303);
    }
    lars.get(&path)
        .await
        .sees(NOTE)
        .sees("the bite is of the second visit. Ask Kiln Laboratory before you go on.")
        .sees_not("the copy is of another resin");
}

/// Common practice, no source: both arches are flasked from their own try-ins.
#[tokio::test]
async fn work_for_both_arches_that_goes_with_the_things_of_one_is_asked_about() {
    let (scene, _) = at_the_lab("yes").await;
    scene.accept(1).await;
    let mut tags = Vec::new();
    for arch in ["upper", "lower"] {
        let tag = scene.add(&scene.tom, "try_in", arch, "here").await;
        let cleaned = scene.record(&scene.tom, &tag, "disinfect", &CLEANED).await;
        cleaned.is(303);
        tags.push(tag);
    }
    let anvil = scene.anvil().await;
    let both = [
        ("second_party", anvil.as_str()),
        ("pass_work", "processing"),
        ("pass_arches", "both"),
    ];
    let asked = scene.passes_on(&scene.tom, &tags[0], &both).await;
    asked.is(422).sees(
        "Needed for this work (flasking, packing and curing), and not ticked: Wax try-in, lower",
    );
    let lower = format!("{}.goes", tags[1]);
    let with_it = [&both[..], &[(lower.as_str(), "yes")]].concat();
    let passed = scene.passes_on(&scene.tom, &tags[0], &with_it).await;
    passed.is(303);
}
