//! The properties of a chain of custody, row by row: each test is named after its row and says who asks for
//! it. The rows that are not here are told in `chain`. Standards that are not free to read are named as they
//! are paraphrased elsewhere; the text itself decides.

use crate::chain::wait;
use crate::common::{Answer, PASSWORD, Visitor, World};
use crate::scene::{SPARE, Scene, Things, last_part, open_case};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::process::{Command, Stdio};
use tokio::sync::OnceCell;
use vestibule::app::case_work::CaseWork;
use vestibule::app::{App, demo, examine, prove};
use vestibule::clock::moment_in;
use vestibule::domain::custody::events::{
    Adjusted, BroughtBack, Destroyed, Disinfected, Fitted, Given, GivenBack, Moved, Received,
    Registered, Released, TakenOut, UsedUp, Voided, Withheld, WrittenOff,
};

use vestibule::domain::custody::item::Item;
use vestibule::domain::custody::{
    Event, Found, Holder, Outcome, Purpose, Rule, What, allow, at, fold,
};
use vestibule::domain::people::party::{Actor, Role, Side};
use vestibule::domain::prescription::all_fields;
use vestibule::domain::values::ids::{CaseNumber, Tag};
use vestibule::record::bundle::verify;
use vestibule::record::words::PaperRoot;
use vestibule::store::record::{head, leaves_of, root_at};
use vestibule::store::{cases, custody};

/// Every case of an installation with its items and events.
async fn all_work(app: &App) -> Vec<CaseWork> {
    let mut conn = app.store.read().await.unwrap();
    let mut all = Vec::new();
    for case in cases::all_cases(&mut conn, 500, 0).await.unwrap() {
        all.push(CaseWork::of(&mut conn, case, Side::Office).await.unwrap());
    }
    all
}

static DEMO: OnceCell<Vec<CaseWork>> = OnceCell::const_new();

/// The cases of the demo, made once.
async fn of_the_demo() -> &'static [CaseWork] {
    let fill = || async {
        let world = World::empty().await;
        demo::fill(&world.app, 0).await.unwrap();
        all_work(&world.app).await
    };
    DEMO.get_or_init(fill).await
}

async fn work_of(scene: &Scene) -> CaseWork {
    let mut all = all_work(&scene.world.app).await;
    all.retain(|work| work.case.number.as_str() == scene.number);
    all.remove(0)
}

/// The tag as people read it.
fn grouped(tag: &str) -> String {
    Tag::parse(tag).unwrap().to_string()
}

fn text_of(pdf: &[u8]) -> String {
    let mut tool = Command::new("pdftotext")
        .args(["-raw", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    tool.stdin.take().unwrap().write_all(pdf).unwrap();
    String::from_utf8(tool.wait_with_output().unwrap().stdout).unwrap()
}

/// A paper breaks its lines anywhere.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

async fn paper(who: &Visitor, path: &str) -> String {
    let answer = who.get(path).await;
    assert_eq!(answer.is(200).headers["content-type"], "application/pdf");
    text_of(&answer.body)
}

/// A case of the same office and lab beside the scene's own, with a cast in it.
async fn other_case(scene: Scene) -> (Scene, String, String) {
    let own = scene.number.clone();
    let other = open_case(&scene.dora, &scene.patient, "both").await;
    let elsewhere = Scene {
        number: other.clone(),
        ..scene
    };
    let foreign = elsewhere
        .add(&elsewhere.dora, "provisional", "upper", "here")
        .await;
    let scene = Scene {
        number: own,
        ..elsewhere
    };
    (scene, other, foreign)
}

/// A whole course with everything that can go wrong on the way: taken back, two boxes, one of them late,
/// something missing that turns up, an entry from paper, a cast that is made and destroyed, the end, and
/// the case opened again.
async fn eventful() -> (Scene, Things, String) {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    wait(&scene, 10).await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    wait(&scene, 10).await;
    let sent = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &sent, &[]).await.is(303);
    wait(&scene, 10).await;
    let action = format!("{}/take-back", scene.handoff(&scene.anna).await);
    let back = [
        ("post_key", "take-back-key-1"),
        ("reason", "no courier came"),
        ("password", PASSWORD),
    ];
    scene.anna.post(&action, &back).await.is(303);
    wait(&scene, 10).await;
    let in_second = format!("{}.box", things.provisional);
    let boxes = [
        ("box.1.seal", "A-17"),
        ("box.2.seal", "A-18"),
        (in_second.as_str(), "2"),
    ];
    scene.release(&scene.anna, &sent, &boxes).await.is(303);
    wait(&scene, 20).await;
    let first = [
        ("box.1.seal", "intact"),
        ("box.1.number", "A-17"),
        ("box.2.seal", "not_here"),
    ];
    let found = [(things.bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &first).await.is(303);
    wait(&scene, 10).await;
    let second = [("box.2.seal", "intact"), ("box.2.number", "A-18")];
    let missing = [(things.provisional.as_str(), "missing")];
    scene.receive(&scene.mara, &missing, &second).await.is(303);
    wait(&scene, 10).await;
    let found = [(things.provisional.as_str(), "sound")];
    scene.receive(&scene.mara, &found, &[]).await.is(303);
    wait(&scene, 10).await;
    let cast = made_from(&scene, &things.provisional).await;
    let shelf = [("moved_to", "shelf 4")];
    scene
        .record(&scene.tom, &cast, "move", &shelf)
        .await
        .is(303);
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    wait(&scene, 10).await;
    let back = [last.as_str(), &things.provisional, &things.bite];
    scene.release(&scene.tom, &back, &[]).await.is(303);
    wait(&scene, 60).await;
    // 2026-03-02 08:00 UTC is 09:00 in Vienna, and 160 minutes have passed since.
    let late = [
        ("late_day", "2026-03-02"),
        ("late_time", "11:10"),
        ("late_name", "P. Brand"),
    ];
    let found = back.map(|tag| (tag, "sound"));
    scene.receive(&scene.dora, &found, &late).await.is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    let how = [("how", "not needed any more")];
    scene
        .record(&scene.tom, &cast, "destroy", &how)
        .await
        .is(303);
    wait(&scene, 10).await;
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    close_and_reopen(&scene).await;
    (scene, things, cast)
}

async fn made_from(scene: &Scene, parent: &str) -> String {
    let (page, from) = (scene.at("/items/new"), format!("{parent}.from"));
    let fields = [
        ("item_kind", "cast"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
        ("made_how", "poured"),
    ];
    last_part(&scene.tom.send(&page, &page, &fields).await)
}

async fn close_and_reopen(scene: &Scene) {
    let close = [
        ("post_key", "close-key-00001"),
        ("note", ""),
        ("password", PASSWORD),
    ];
    scene.dora.post(&scene.at("/close"), &close).await.is(303);
    let reopen = [("post_key", "reopen-key-0001"), ("reason", "a sore spot")];
    scene.dora.post(&scene.at("/reopen"), &reopen).await.is(303);
}

/// Where a thing is, told anew from the events alone and without the program's own state.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Spot {
    House(Side),
    /// On this handoff, with its carrier.
    Carrier(String),
    Patient,
    /// Used up or destroyed there, or written off on the way.
    Ended(Box<Spot>),
}

/// One item's way: each step begins where the one before ended, or the walk falls over.
struct Walk<'a> {
    work: &'a CaseWork,
    spots: BTreeMap<Tag, Spot>,
}

impl Walk<'_> {
    fn step(&mut self, event: &Event, tag: &Tag, from: &Spot, to: Spot) {
        let now = self.spots.insert(tag.clone(), to);
        assert_eq!(
            now.as_ref(),
            Some(from),
            "{tag} of {} at {}: {:?}",
            self.work.case.number,
            event.at,
            event.what
        );
    }

    fn stays(&mut self, event: &Event, tag: &Tag, spot: &Spot) {
        self.step(event, tag, spot, spot.clone());
    }

    fn take(&mut self, event: &Event) {
        let office = event.by.party == self.work.case.office;
        let own = Spot::House(if office { Side::Office } else { Side::Lab });
        assert!(office || event.by.party == self.work.case.lab);
        let here = Spot::House(Side::Office);
        match &event.what {
            What::Registered(Registered {
                tag, place, worn, ..
            }) => {
                let spot = if *worn {
                    Spot::Patient
                } else {
                    Spot::House(*place)
                };
                assert_eq!(Spot::House(*place), own);
                assert_eq!(self.spots.insert(tag.clone(), spot), None, "{tag} twice");
            }
            What::Released(Released {
                handoff,
                items,
                from,
                to,
                ..
            }) => {
                assert_ne!(from, to);
                for sent in items {
                    let on_it = Spot::Carrier(handoff.clone());
                    self.step(event, &sent.tag, &Spot::House(*from), on_it);
                }
            }
            What::Received(Received {
                handoff,
                items,
                place,
                ..
            }) => {
                let on_it = Spot::Carrier(handoff.clone());
                for found in items {
                    match found.outcome {
                        Outcome::Missing => self.stays(event, &found.tag, &on_it),
                        _ => self.step(event, &found.tag, &on_it, Spot::House(*place)),
                    }
                }
            }
            What::Voided(Voided { handoff, items, .. }) => {
                for tag in items {
                    self.step(event, tag, &Spot::Carrier(handoff.clone()), own.clone());
                }
            }
            What::Fitted(Fitted {
                tag, instead_of, ..
            }) => {
                self.step(event, tag, &here, Spot::Patient);
                if let Some(out) = instead_of {
                    self.step(event, out, &Spot::Patient, here.clone());
                }
            }
            What::Given(Given { tag, .. }) | What::GivenBack(GivenBack { tag, .. }) => {
                self.step(event, tag, &here, Spot::Patient);
            }
            What::TakenOut(TakenOut { tag, .. }) | What::BroughtBack(BroughtBack { tag }) => {
                self.step(event, tag, &Spot::Patient, here);
            }
            What::Disinfected(Disinfected { tag, .. }) | What::Moved(Moved { tag, .. }) => {
                self.stays(event, tag, &own);
            }
            What::Withheld(Withheld { tag, .. }) => self.stays(event, tag, &here),
            What::Adjusted(Adjusted { tag, .. }) => {
                let spot = self.spots[tag].clone();
                self.stays(event, tag, &spot);
            }
            What::UsedUp(UsedUp { tag, .. }) | What::Destroyed(Destroyed { tag, .. }) => {
                self.step(event, tag, &own, Spot::Ended(Box::new(own.clone())));
            }
            What::WrittenOff(WrittenOff { tag, .. }) => {
                let last = self.spots[tag].clone();
                assert!(matches!(last, Spot::Carrier(_)));
                self.step(event, tag, &last.clone(), Spot::Ended(Box::new(last)));
            }
            What::Settled(_)
            | What::Closed(_)
            | What::Reopened(_)
            | What::Erased(_)
            | What::Corrected(_) => assert!(event.what.tags().is_empty()),
        }
    }
}

/// Walks the events of a case that had happened by then, in the order of time.
fn walked(work: &CaseWork, until_ms: i64) -> BTreeMap<Tag, Spot> {
    let mut events: Vec<&Event> = work.events.iter().collect();
    events.retain(|event| event.at.unix_ms <= until_ms);
    events.sort_by_key(|event| event.at.unix_ms);
    let mut walk = Walk {
        work,
        spots: BTreeMap::new(),
    };
    for event in events {
        walk.take(event);
    }
    walk.spots
}

/// Whether the program's answer is this one, and the only one.
fn is_the_same(work: &CaseWork, until_ms: i64) {
    let (own, told) = (walked(work, until_ms), at(&work.events, until_ms));
    assert_eq!(
        own.keys().collect::<Vec<_>>(),
        told.keys().collect::<Vec<_>>()
    );
    for (tag, spot) in own {
        let state = &told[&tag];
        let (spot, gone) = match spot {
            Spot::Ended(last) => (*last, true),
            other => (other, false),
        };
        let holder = match &spot {
            Spot::House(house) => Holder::of(*house),
            Spot::Patient => Holder::Patient,
            Spot::Carrier(handoff) => {
                assert_eq!(state.handoff.as_ref(), Some(handoff));
                let to = handoff_to(work, handoff);
                Holder::Carrier { to }
            }
            Spot::Ended(_) => unreachable!("nothing ends twice"),
        };
        assert_eq!(
            (state.holder, state.gone.is_some()),
            (holder, gone),
            "{tag}"
        );
        assert!(!state.answers.is_empty(), "nobody answers for {tag}");
        assert!(state.last_at.unix_ms <= until_ms);
    }
}

fn handoff_to(work: &CaseWork, id: &str) -> Side {
    let to = work.events.iter().find_map(|event| match &event.what {
        What::Released(Released { handoff, to, .. }) if handoff == id => Some(*to),
        _ => None,
    });
    to.unwrap()
}

/// ISO/IEC 17025:2017 7.4.2, from a paraphrase; 42 CFR 493.1242(a)(3) and 493.1283(a)(1).
#[tokio::test]
async fn c01_every_item_has_a_code_of_its_own_with_a_check_character_and_one_row() {
    let mut seen = BTreeSet::new();
    for item in of_the_demo().await.iter().flat_map(|work| &work.items) {
        assert!(seen.insert(item.tag.clone()), "{} stands twice", item.tag);
    }
    assert!(seen.len() > 50, "{}", seen.len());
    // One wrong character, wherever it is, is noticed: every one of them is tried.
    let right = seen.first().unwrap().as_str();
    for place in 0..right.len() {
        for other in "0123456789ABCDEFGHJKMNPQRSTVWXYZ".chars() {
            let mut wrong: Vec<char> = right.chars().collect();
            wrong[place] = other;
            let wrong: String = wrong.into_iter().collect();
            assert_eq!(Tag::parse(&wrong).is_ok(), wrong == right, "{wrong}");
        }
    }
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let labels = paper(&scene.dora, &scene.at("/labels.pdf")).await;
    for tag in [&things.provisional, &things.duplicate, &things.bite] {
        for who in [&scene.dora, &scene.tom] {
            let row = format!("th[scope=row] a[href=\"/items/{tag}\"]");
            assert_eq!(who.get(&scene.at("/history")).await.count(&row), 1);
            let page = who.get(&scene.at("")).await;
            assert_eq!(page.count(&row) - page.count(&format!("details {row}")), 1);
        }
        assert_eq!(labels.matches(&grouped(tag)).count(), 1, "{labels}");
    }
}

/// 49 CFR 40.199(b)(5): another number on the form than on the specimen is a fatal flaw.
#[tokio::test]
async fn c02_the_code_on_the_item_is_the_code_on_the_form_or_it_is_not_received() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let cast = scene.add(&scene.dora, "cast", "lower", "here").await;
    let (scene, other, foreign) = other_case(scene).await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    // The same code on the label, on the note in the box and on the form.
    let label = paper(&scene.dora, &scene.at("/labels.pdf")).await;
    let note = paper(&scene.tom, &format!("{path}/note.pdf")).await;
    for text in [&label, &note] {
        assert!(text.contains(&grouped(&bite)), "{text}");
    }
    scene.tom.get(&path).await.sees(&grouped(&bite));
    let scan = async |typed: &str| {
        let fields = [("scan", typed), ("go", "scan")];
        scene.tom.send(&path, &path, &fields).await
    };
    let page = scan(&bite).await;
    let here = format!("input[name=\"{bite}.here\"][checked]");
    assert_eq!(page.is(200).count(&here), 1);
    for (typed, words) in [
        (cast.as_str(), "it was not announced in this handoff"),
        (foreign.as_str(), "Wrong case"),
        (other.as_str(), "a tag is wanted here"),
    ] {
        let page = scan(typed).await;
        assert_eq!(page.is(422).sees(words).count(&here), 0);
    }
    // What is said of another tag says nothing of this one.
    for tag in [&cast, &foreign] {
        let (outcome, marked) = (format!("{tag}.outcome"), format!("{tag}.marked"));
        let fields = [
            ("post_key", "receive-key-001"),
            (outcome.as_str(), "sound"),
            (marked.as_str(), "yes"),
        ];
        let answer = scene.tom.post(&path, &fields).await;
        let wrong = answer.is(422).attribute("[aria-invalid]", "name");
        assert_eq!(wrong, format!("{bite}.outcome"));
    }
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees_not("Received at");
    // And the rules themselves take no receipt of anything that was not sent.
    let work = work_of(&scene).await;
    let handoff = path.rsplit('/').next().unwrap().to_owned();
    for tag in [&cast, &foreign] {
        let what = receipt(&handoff, Tag::parse(tag).unwrap());
        let refusals = allow(
            &work.context(),
            &what,
            &technician(&work),
            work.events[0].at,
        );
        assert!(!refusals.is_empty());
    }
}

fn receipt(handoff: &str, tag: Tag) -> What {
    What::Received(Received {
        handoff: handoff.to_owned(),
        place: Side::Lab,
        items: vec![Found {
            tag,
            outcome: Outcome::Sound,
            marked_disinfected: true,
            note: String::new(),
            pieces: None,
        }],
        unannounced: String::new(),
        parcels: Vec::new(),
        foreign: String::new(),
    })
}

fn technician(work: &CaseWork) -> Actor {
    Actor {
        account: "somebody".to_owned(),
        name: "Somebody".to_owned(),
        role: Role::Technician,
        party: work.case.lab.clone(),
        party_name: work.lab.name.clone(),
    }
}

/// ISO/IEC 17025:2017 7.3.3(b) and (d), from a paraphrase; EPA custody plans.
#[tokio::test]
async fn c04_every_item_begins_with_the_place_the_time_and_the_person() {
    for work in of_the_demo().await {
        for Item { tag, .. } in &work.items {
            let of_it: Vec<&Event> = work
                .events
                .iter()
                .filter(|event| event.what.tags().contains(&tag))
                .collect();
            let is_begun = |event: &&Event| matches!(event.what, What::Registered(_));
            let begun: Vec<bool> = of_it.iter().map(is_begun).collect();
            assert!(begun[0] && !begun[1..].contains(&true), "{tag}");
            assert!(!of_it[0].by.name.is_empty() && !of_it[0].by.party_name.is_empty());
        }
    }
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    scene.world.pass_minutes(25);
    let cast = scene.add(&scene.tom, "cast", "upper", "here").await;
    for (tag, words) in [
        (
            &bite,
            [
                "registered, at the office",
                "2026-03-02 09:00 +01:00",
                "anna, assistant, Northgate Dental",
            ],
        ),
        (
            &cast,
            [
                "registered, at the lab",
                "2026-03-02 09:25 +01:00",
                "tom, technician, Kiln Laboratory",
            ],
        ),
    ] {
        for who in [&scene.dora, &scene.mara] {
            let page = who.get(&format!("/items/{tag}")).await;
            for words in words {
                page.sees(words);
            }
        }
    }
}

/// NIST glossary (CNSSI 4009-2015): date and time of each transfer; 42 CFR 493.1242(b) and 493.1283(a)(2):
/// date and time of receipt in the laboratory.
#[tokio::test]
async fn c07_release_and_receipt_each_have_their_time_with_the_offset_of_the_place() {
    let scene = Scene::signed().await;
    let root = scene.world.person("root");
    for path in root.get("/parties").await.hrefs("/parties/") {
        if path != "/parties/new" && root.get(&path).await.text().contains("Kiln") {
            let fields = [("zone", "America/New_York")];
            root.send(&path, &path, &fields).await.is(303);
        }
    }
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    scene.world.pass_minutes(25);
    let found = [(bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    // 08:00 and 08:25 UTC; Vienna is an hour ahead on that day, New York five behind.
    let (out, back) = ("2026-03-02 09:00 +01:00", "2026-03-02 03:25 -05:00");
    let handoff = scene.handoff(&scene.dora).await;
    for who in [&scene.dora, &scene.tom] {
        for page in [handoff.clone(), scene.at(""), scene.at("/history")] {
            who.get(&page).await.sees(out).sees(back);
        }
        let sheet = paper(who, &scene.at("/history.pdf")).await;
        for words in [out, back] {
            assert!(squeezed(&sheet).contains(&squeezed(words)), "{sheet}");
        }
    }
    let work = work_of(&scene).await;
    let times: Vec<i64> = work
        .events
        .iter()
        .filter(|event| matches!(event.what, What::Released(_) | What::Received(_)))
        .map(|event| event.at.unix_ms)
        .collect();
    assert_eq!(times[1] - times[0], 25 * 60_000);
}

/// Leaves one box of the release's form empty; what else was typed stays.
async fn left_out(scene: &Scene, tag: &str, key: &str) -> Answer {
    let answer = scene.release(&scene.anna, &[tag], &[(key, " ")]).await;
    assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), key);
    let take = format!("input[name=\"{tag}.take\"][checked]");
    assert_eq!(answer.count(&take), 1);
    answer
}

/// NIST glossary (CNSSI 4009-2015): the purpose for the transfer.
#[tokio::test]
async fn c08_nothing_is_handed_over_without_its_purpose_and_both_sides_read_it() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    // Whoever says that it is something else has to say what.
    let answer = left_out(&scene, &bite, "purpose").await;
    assert_eq!(
        answer.attribute("select[name=purpose_code] option[selected]", "value"),
        "other"
    );
    let answer = left_out(&scene, &bite, "purpose_code").await;
    for (name, text) in [("carrier", "a courier"), ("purpose", "final upper")] {
        let field = format!("input[name={name}]");
        assert_eq!(answer.attribute(&field, "value"), text);
    }
    // An office finishes nothing for the lab to fit.
    let wrong = [("purpose_code", "finished")];
    let answer = scene.release(&scene.anna, &[&bite], &wrong).await;
    answer
        .is(422)
        .sees("Choose what it goes there for.")
        .sees_not("finished, to be fitted");
    let code = [("purpose_code", "make")];
    scene.release(&scene.anna, &[&bite], &code).await.is(303);
    let handoff = scene.handoff(&scene.tom).await;
    let words = "work is to be made: final upper";
    for who in [&scene.dora, &scene.tom] {
        who.get(&handoff).await.sees(words);
        for page in ["", "/history"] {
            who.get(&scene.at(page)).await.sees(words);
        }
        for path in [format!("{handoff}/note.pdf"), scene.at("/history.pdf")] {
            let paper = paper(who, &path).await;
            assert!(squeezed(&paper).contains(&squeezed(words)), "{paper}");
        }
    }
    // The code stays readable in the record, whatever becomes of the words.
    let purposes = |work: &CaseWork| {
        let of = |event: &Event| match &event.what {
            What::Released(Released {
                purpose_code, from, ..
            }) => Some((*purpose_code, *from)),
            _ => None,
        };
        work.events.iter().filter_map(of).collect::<Vec<_>>()
    };
    assert_eq!(
        purposes(&work_of(&scene).await),
        [(Some(Purpose::Make), Side::Office)]
    );
    for work in of_the_demo().await {
        for (code, from) in purposes(work) {
            assert!(Purpose::of(from).contains(&code.unwrap()));
        }
    }
}

/// 49 CFR 40.73(a)(2): the name of the delivery service.
#[tokio::test]
async fn c09_the_carrier_is_named_and_answers_while_it_is_on_the_way() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let answer = left_out(&scene, &bite, "carrier").await;
    assert_eq!(
        answer.attribute("input[name=purpose]", "value"),
        "final upper"
    );
    let more = [("tracking", "run 4")];
    scene.release(&scene.anna, &[&bite], &more).await.is(303);
    let handoff = scene.handoff(&scene.tom).await;
    for who in [&scene.dora, &scene.tom] {
        who.get(&handoff).await.sees("a courier, reference run 4");
        who.get(&scene.at("/history"))
            .await
            .sees("a courier, handed over by anna, Northgate Dental")
            .sees("Carrier: a courier, reference run 4");
        let note = paper(who, &format!("{handoff}/note.pdf")).await;
        assert!(note.contains("a courier, reference run 4"), "{note}");
    }
}

/// EPA 905R78115 (1978): possession, view, locked up or sealed, and no gap between.
#[tokio::test]
async fn c12_the_chain_is_unbroken_and_the_way_has_a_holder_of_its_own() {
    let (scene, ..) = eventful().await;
    let own = work_of(&scene).await;
    let mut carried = 0;
    for work in of_the_demo().await.iter().chain([&own]) {
        let after = |event: &Event| event.at.unix_ms;
        for moment in work.events.iter().map(after) {
            // Before, at and after each event, so that no step is passed over.
            for moment in [moment - 1, moment] {
                is_the_same(work, moment);
                let spots = walked(work, moment);
                carried += spots
                    .values()
                    .filter(|spot| matches!(spot, Spot::Carrier(_)))
                    .count();
            }
        }
        is_the_same(work, i64::MAX);
    }
    assert!(carried > 50, "{carried}");
    let examined = examine::examine(&scene.world.app, None).await.unwrap();
    assert!(examined.first().is_none(), "{:?}", examined.first());
}

/// 49 CFR 40.199(b)(4): two collections on one form are a fatal flaw.
#[tokio::test]
async fn c13_an_item_of_one_case_is_on_no_form_of_another() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let (scene, _, foreign) = other_case(scene).await;
    let take = format!("{foreign}.take");
    // Not handed over with this case's, neither alone nor beside one of its own.
    scene.release(&scene.anna, &[&foreign], &[]).await.is(422);
    scene
        .anna
        .get(&scene.at("/release"))
        .await
        .sees_not(&grouped(&foreign));
    // Not fitted, not made from, not used up into.
    scene.fit(&scene.dora, &foreign, &[]).await.is(409);
    let from = format!("{foreign}.from");
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "duplicate"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
        ("made_how", "copied"),
    ];
    scene
        .dora
        .send(&page, &page, &fields)
        .await
        .is(409)
        .sees("is no registered item of this case");
    let into = [("into", "a cast"), ("into_item", foreign.as_str())];
    scene
        .record(&scene.anna, &bite, "use_up", &into)
        .await
        .is(409)
        .sees("is no other item of this case");
    // Not on the prescription.
    let named = [("pattern.upper_item", foreign.as_str())];
    scene.write(&scene.dora, &named).await;
    scene
        .dora
        .get(&scene.at("/write?look=yes"))
        .await
        .sees(&format!("{} is no item of this case.", grouped(&foreign)));
    // Not on the label sheet and not on the custody sheet.
    for path in ["/labels.pdf", "/history.pdf"] {
        let text = paper(&scene.dora, &scene.at(path)).await;
        assert!(!text.contains(&grouped(&foreign)), "{path}: {text}");
        assert!(text.contains(&grouped(&bite)), "{path}: {text}");
    }
    // Ticked beside one of its own in a forged form, it is passed over and stays where it is.
    scene
        .release(&scene.anna, &[&bite], &[(&take, "yes")])
        .await
        .is(303);
    scene
        .anna
        .get(&format!("/items/{foreign}"))
        .await
        .sees("Where it is Northgate Dental")
        .sees_not("Handed over");
    let work = work_of(&scene).await;
    let what = receipt("none", Tag::parse(&foreign).unwrap());
    let refusals = allow(
        &work.context(),
        &what,
        &technician(&work),
        work.events[0].at,
    );
    assert_eq!(refusals[0].rule, Rule::K);
    // No case of the demo tells of another's items.
    for work in of_the_demo().await {
        let own: BTreeSet<&Tag> = work.items.iter().map(|item| &item.tag).collect();
        assert!(work.items.iter().all(|item| item.case == work.case.number));
        for event in &work.events {
            assert_eq!(event.case, work.case.number);
            assert!(event.what.tags().iter().all(|tag| own.contains(tag)));
        }
    }
}

/// Columns that could only hold who somebody is.
const OF_A_PERSON: [&str; 8] = [
    "birth",
    "forename",
    "surname",
    "first_name",
    "last_name",
    "patient_name",
    "insurance",
    "phone",
];

/// 49 CFR 40.83(a): the laboratory receives its own copy only (that it bears no name, from memory); EPA
/// plans: anonymity of the samples at the laboratory; MDR Annex XIII: "by name, an acronym or a numerical
/// code".
#[tokio::test]
async fn c21_the_lab_the_papers_and_the_record_know_a_code_and_no_person() {
    for spec in all_fields() {
        let words = format!("{} {}", spec.key, spec.label).to_lowercase();
        for person in OF_A_PERSON {
            assert!(!words.contains(&person.replace('_', " ")), "{words}");
        }
        assert!(!words.contains("name of the patient") && !words.contains("patient's name"));
    }
    for file in std::fs::read_dir("migrations").unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let columns = text
            .lines()
            .map(str::trim)
            .filter(|line| !line.starts_with("--"));
        for column in columns {
            for person in OF_A_PERSON {
                assert!(!column.contains(person), "{column}");
            }
        }
    }
    let scene = Scene::signed().await;
    let page = scene.at("/items/new");
    // Somebody insists on a name, and says that it is none.
    let named = "for Mrs. Quartermain";
    let fields = [
        ("item_kind", "bite_record"),
        ("place", "here"),
        ("note", named),
    ];
    let answer = scene.dora.send(&page, &page, &fields).await;
    answer.is(422).sees("looks");
    let sure = [fields.as_slice(), &[("names_nobody", "yes")]].concat();
    let bite = last_part(&scene.dora.send(&page, &page, &sure).await);
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let code = vestibule::domain::values::ids::PatientCode::parse(&scene.patient).unwrap();
    let lab = scene.tom.get(&scene.at("")).await;
    lab.sees(&code.to_string());
    assert!(lab.hrefs("/patients").is_empty());
    scene
        .tom
        .get(&format!("/patients/{}", scene.patient))
        .await
        .is(403);
    for path in ["/revisions/1/slip.pdf", "/history.pdf"] {
        let text = paper(&scene.tom, &scene.at(path)).await;
        assert!(text.contains(&code.to_string()), "{path}: {text}");
    }
    // What can never be erased holds the commitment and not the text.
    let number = CaseNumber::parse(&scene.number).unwrap();
    let mut conn = scene.world.app.store.read().await.unwrap();
    let leaves = leaves_of(&mut conn, &number).await.unwrap();
    assert!(leaves.len() > 4);
    for leaf in leaves {
        assert!(!leaf.body.contains("Quartermain"), "{}", leaf.body);
    }
}

/// ISO/IEC 17025:2017 and ISO/IEC 27037, auditability and repeatability, from memory.
#[tokio::test]
async fn c22_the_history_is_handed_to_a_third_person_and_checked() {
    let (scene, things, _) = eventful().await;
    let app = &scene.world.app;
    let work = work_of(&scene).await;
    let key = app.store.key();
    let files = prove::bundle(app, &work.case, None).await.unwrap();
    let report = verify(&files, Some(key), None);
    assert!(report.holds(), "{:?}", report.first_fault());
    let entries: Vec<&String> = files
        .keys()
        .filter(|name| name.starts_with("leaf-") && name.ends_with(".json"))
        .filter(|name| !name.ends_with(".texts.json"))
        .collect();
    // The case, its revision, each item and each event; nothing of it is left out.
    assert_eq!(entries.len(), 2 + work.items.len() + work.events.len());
    // One letter in one entry, wherever it is, and the check names that very file.
    for name in &entries {
        let mut changed = files.clone();
        let text = changed.get_mut(*name).unwrap();
        let place = text.iter().rposition(u8::is_ascii_alphanumeric).unwrap();
        text[place] = if text[place] == b'0' { b'1' } else { b'0' };
        let report = verify(&changed, Some(key), None);
        assert_eq!(&&report.first_fault().unwrap().file, name);
    }
    // A later folder still shows that the printed root is its beginning.
    let mut conn = app.store.read().await.unwrap();
    let size = head(&mut conn).await.unwrap().frontier.size();
    let printed = PaperRoot::new(size, &root_at(&mut conn, size).await.unwrap());
    drop(conn);
    let shelf = [("moved_to", "drawer 2")];
    scene
        .record(&scene.dora, &things.bite, "move", &shelf)
        .await
        .is(303);
    let work = work_of(&scene).await;
    let files = prove::bundle(app, &work.case, Some(&printed))
        .await
        .unwrap();
    let report = verify(&files, Some(key), Some(&printed));
    assert!(report.holds(), "{:?}", report.first_fault());
    let other = PaperRoot::parse(&format!("{size}:{}", "0".repeat(64))).unwrap();
    assert!(!verify(&files, Some(key), Some(&other)).holds());
}

/// Tables that tell of a case, its people and its record: no statement of the program deletes from them.
const STAY: [&str; 12] = [
    "account",
    "acknowledgement",
    "case_file",
    "event",
    "handoff",
    "item",
    "leaf",
    "party",
    "party_list_version",
    "patient",
    "revision",
    "tree_node",
];

/// 42 CFR 493.1283(b): records are retained; MDR Annex XIII: ten years, from memory.
#[tokio::test]
async fn c23_it_is_said_until_when_the_case_is_kept_and_nothing_deletes_it() {
    let scene = Scene::opened().await;
    let fields = [("profile", "eu")];
    scene
        .world
        .person("mara")
        .send("/law", "/law", &fields)
        .await
        .is(303);
    scene.sign(&crate::scene::LEAST).await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let kept = "laboratory until 2036-03-02 (European Union)";
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("")).await.sees(kept);
        who.get(&scene.at("/revisions/1")).await.sees("2036-03-02");
    }
    let mut deleted = BTreeSet::new();
    for file in std::fs::read_dir("src/store").unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        for rest in text.split("DELETE FROM ").skip(1) {
            let end = rest.find(|c: char| !c.is_ascii_lowercase() && c != '_');
            deleted.insert(rest[..end.unwrap_or(rest.len())].to_owned());
        }
        for never in ["DROP TABLE", "TRUNCATE TABLE", "ON DELETE CASCADE"] {
            assert!(!text.contains(never));
        }
    }
    // Sessions, keys of posts and drafts go, so the search finds what there is to find.
    assert!(deleted.contains("session") && deleted.contains("draft"));
    for table in STAY {
        assert!(!deleted.contains(table), "{table}");
    }
    // The database itself refuses, whoever asks it.
    let mut conn = scene.world.app.store.read().await.unwrap();
    for sql in [
        "DELETE FROM event",
        "DELETE FROM revision",
        "DELETE FROM leaf",
        "UPDATE event SET body = ''",
        "DELETE FROM handoff",
        "DELETE FROM item",
        "DELETE FROM case_file",
        "DELETE FROM patient",
    ] {
        let refused = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()))
            .execute(&mut *conn)
            .await;
        assert!(refused.is_err(), "{sql}");
    }
    let tag = Tag::parse(&bite).unwrap();
    assert!(custody::find_item(&mut conn, &tag).await.unwrap().is_some());
}

/// 49 CFR 40.73(a)(3): legible copies for each party.
#[tokio::test]
async fn c24_both_sides_have_the_same_legible_copies_and_the_same_text_on_the_screen() {
    let (scene, ..) = eventful().await;
    for path in ["/revisions/1/slip.pdf", "/history.pdf"] {
        let path = scene.at(path);
        let (office, lab) = (scene.dora.get(&path).await, scene.tom.get(&path).await);
        assert!(office.is(200).body == lab.is(200).body, "{path}");
    }
    // The lab's printer takes another sheet: other bytes, the same words.
    let root = scene.world.person("root");
    for path in root.get("/parties").await.hrefs("/parties/") {
        if path != "/parties/new" && root.get(&path).await.text().contains("Kiln") {
            root.send(&path, &path, &[("paper", "letter")])
                .await
                .is(303);
        }
    }
    let office = paper(&scene.dora, &scene.at("/history.pdf")).await;
    let lab = paper(&scene.tom, &scene.at("/history.pdf")).await;
    let text = squeezed(&office);
    // The screen has every word of the paper, for both.
    let work = work_of(&scene).await;
    let pages = [
        scene.dora.get(&scene.at("/history")).await,
        scene.tom.get(&scene.at("/history")).await,
    ];
    let entries = |page: &Answer| page.words().split_once("Every entry").unwrap().1.to_owned();
    assert_eq!(entries(&pages[0]), entries(&pages[1]));
    for event in &work.events {
        let told = vestibule::domain::custody::describe(&work.items, event);
        pages[0].sees(&told.what).sees(&told.when).sees(&told.who);
        for words in [&told.what, &told.when, &event.by.name] {
            assert!(
                text.contains(&squeezed(words)),
                "“{words}” is not in {office}"
            );
            assert!(squeezed(&lab).contains(&squeezed(words)), "“{words}”");
        }
    }
}

/// NIST glossary (CNSSI 4009-2015) and 10 CFR 26.5: handling and storage tracked from the beginning to the
/// end, in the sense that any moment can be asked for.
#[tokio::test]
async fn c25_at_any_moment_every_item_has_exactly_one_holder_and_somebody_answers() {
    let (scene, things, _) = eventful().await;
    let own = work_of(&scene).await;
    let all: Vec<&CaseWork> = of_the_demo().await.iter().chain([&own]).collect();
    let moments = |work: &CaseWork| {
        let times = work.events.iter().map(|event| event.at.unix_ms);
        times.collect::<Vec<i64>>()
    };
    proptest!(ProptestConfig::with_cases(200), |(case in 0..all.len(), part in 0.0..1.0_f64)| {
        let work = all[case];
        let times = moments(work);
        if let (Some(first), Some(last)) = (times.iter().min(), times.iter().max()) {
            let (first, last) = (first - 3_600_000, last + 3_600_000);
            #[expect(clippy::cast_possible_truncation, reason = "a moment between two others")]
            let moment = first + ((last - first) as f64 * part) as i64;
            is_the_same(work, moment);
        }
    });
    // The answer does not change when more is known, but for what is written down late.
    let work = &own;
    let on_time: Vec<Event> = work
        .events
        .iter()
        .filter(|event| !event.is_late())
        .cloned()
        .collect();
    for (place, event) in on_time.iter().enumerate() {
        let then = fold(&on_time[..=place]);
        let later = at(&on_time, event.at.unix_ms);
        for tag in event.what.tags() {
            let of_now = on_time[place + 1..]
                .iter()
                .any(|one| one.at == event.at && one.what.tags().contains(&tag));
            if !of_now {
                assert_eq!(then[tag], later[tag]);
            }
        }
    }
    // On the page, by the clock of whoever asks: the bite record on its way, and then at the lab.
    let received = own.events.iter().find_map(|event| match &event.what {
        What::Received(Received { items, .. }) if items[0].tag.as_str() == things.bite => {
            Some(event.at)
        }
        _ => None,
    });
    let minute = |ms| moment_in(ms, "Europe/Vienna");
    let (before, after) = (
        minute(received.unwrap().unix_ms - 60_000),
        minute(received.unwrap().unix_ms),
    );
    for (moment, words) in [
        (before, "a courier, handed over by anna"),
        (after, "tom, Kiln Laboratory"),
    ] {
        let path = format!("/history?day={}&time={}", moment.day(), moment.clock());
        for who in [&scene.dora, &scene.tom] {
            who.get(&scene.at(&path)).await.sees(words);
        }
    }
}
