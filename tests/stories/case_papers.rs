//! Papers about a case besides its prescription, read back by a reader that is not ours.

use crate::common::{Answer, Visitor, World};
use crate::pdf_text::{LAYOUT, in_single_spaces, pages_of};
use crate::scene::Scene;
use vestibule::app::case_papers::CasePaperKind;
use vestibule::app::{Person, case_papers, demo};
use vestibule::domain::people::party::Paper;
use vestibule::store::{cases, parties, people};

/// The words of a paper and how many pages it has.
pub fn read(paper: &Answer) -> (String, usize) {
    paper.is(200);
    read_pdf(&paper.body)
}

fn read_pdf(bytes: &[u8]) -> (String, usize) {
    let pages = pages_of(bytes, LAYOUT);
    (in_single_spaces(&pages.join(" ")), pages.len())
}

async fn works(scene: &Scene, who: &Visitor, step: &str, more: &[(&str, &str)]) {
    let page = format!("{}?step={step}", scene.at("/bench"));
    let more = [more, &[("bench_left_out", "yes")]].concat();
    let sent = who.send(&page, &scene.at("/bench"), &more).await;
    sent.is(303);
}

/// Two steps with a lot, one without, one withdrawn.
async fn worked() -> Scene {
    let (scene, _) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    let stone = [
        ("used.0.material", "Type 3 stone"),
        ("used.0.lot", "26-0914"),
        ("worked_minutes", "38"),
    ];
    works(&scene, &scene.tom, "cast_poured", &stone).await;
    works(&scene, &scene.tom, "mounted", &stone[..2]).await;
    let resin = [("used.0.material", "Base resin")];
    works(&scene, &scene.tom, "cured", &resin).await;
    let wax = [("used.0.material", "Wax of another case")];
    works(&scene, &scene.tom, "set_up", &wax).await;
    let why = [("undone_why", "the case beside it")];
    let undo = scene.at("/bench/undo");
    scene
        .tom
        .send(&scene.at("/bench"), &undo, &why)
        .await
        .is(303);
    scene
}

#[tokio::test]
async fn what_was_done_is_listed_for_the_lab_alone_and_has_no_price() {
    let scene = worked().await;
    let path = scene.at("/done.pdf");
    let paper = scene.tom.get(&path).await;
    let (text, pages) = read(&paper);
    assert_eq!(pages, 1, "{text}");
    for words in [
        "What was done",
        "Ordered, piece by piece",
        "complete denture",
        "Cast poured and boxed",
        "38 min",
        "Time entered: 38 min. Steps without a time: 2.",
    ] {
        assert!(text.contains(words), "“{words}” is not in {text}");
    }
    assert!(!text.contains("Teeth set up"), "withdrawn: {text}");
    assert_eq!(
        scene.mara.get(&path).await.body,
        paper.body,
        "the same twice"
    );
    scene.dora.get(&path).await.is(403);
    scene.world.person("lars").get(&path).await.is(404);
}

#[tokio::test]
async fn what_timers_came_to_is_listed_with_their_steps_and_in_all() {
    let mut scene = worked().await;
    let path = scene.at("/done.pdf");
    let (text, _) = read(&scene.tom.get(&path).await);
    assert!(!text.contains("Timers"), "none ran: {text}");
    let step = scene.at("/bench?step=relined");
    let start = scene.at("/bench/timer");
    for (minutes, timer) in [("1.5", "mix"), ("30", "cure"), ("45", "cure")] {
        let typed = [
            ("timer_minutes", minutes),
            ("timer", timer),
            ("timer_another", "yes"),
        ];
        scene.tom.send(&step, &start, &typed).await.is(303);
    }
    scene.world.pass_minutes(40);
    scene.tom = scene.world.visitor("tom").await;
    // The last of them has minutes to go, and the entry stops it.
    let took = [("worked_minutes", "25"), ("bench_running", "yes")];
    works(&scene, &scene.tom, "relined", &took).await;
    let (text, pages) = read(&scene.tom.get(&path).await);
    assert_eq!(pages, 1, "{text}");
    for words in [
        "Mix 40 min, cure 80 min",
        "Time entered: 63 min.",
        "Timers in all: mix 40 min, cure 80 min. They timed material and machine, not hands.",
    ] {
        assert!(text.contains(words), "“{words}” is not in {text}");
    }
}

#[tokio::test]
async fn materials_are_listed_with_their_lots_for_both_houses() {
    let scene = worked().await;
    let path = scene.at("/materials.pdf");
    let paper = scene.dora.get(&path).await;
    let (text, pages) = read(&paper);
    assert_eq!(pages, 1, "{text}");
    for words in [
        "Type 3 stone",
        "26-0914",
        "Base resin",
        "not recorded",
        "mounted",
    ] {
        assert!(text.contains(words), "“{words}” is not in {text}");
    }
    assert_eq!(text.matches("26-0914").count(), 1, "each lot once: {text}");
    assert!(!text.contains("Wax of another case"), "withdrawn: {text}");
    assert!(
        !text.contains("38 min"),
        "how long it took is the lab's own"
    );
    // Another case changes nothing of it.
    crate::scene::open_case(&scene.dora, &scene.patient, "lower").await;
    assert_eq!(scene.dora.get(&path).await.body, paper.body);
    assert_eq!(scene.tom.get(&path).await.body, paper.body);
    for login in ["sven", "lars"] {
        scene.world.person(login).get(&path).await.is(404);
    }
}

/// The eight points of Regulation (EU) 2017/745, Annex XIII, section 1 (from memory; the official text decides).
#[tokio::test]
async fn the_statement_has_its_eight_points_and_says_that_it_is_to_be_checked() {
    let scene = worked().await;
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let page = scene.tom.get(&scene.at("/history")).await;
    let path = scene.at("/statement.pdf");
    assert_eq!(page.hrefs(&path).len(), 1);
    let (text, pages) = read(&scene.tom.get(&path).await);
    assert_eq!(pages, 1, "{text}");
    let tag: String = text.chars().filter(|sign| *sign != '-').collect();
    assert!(tag.contains(&made), "{made} is not in {text}");
    for words in [
        "Check against the official text",
        "Kiln Laboratory",
        "1 Sample Street",
        "Authorized",
        "Final denture, upper",
        "exclusive use of the patient with the code",
        "dora, license D-7001",
        "Northgate Dental",
        "heat-cured resin",
        "Annex I",
        "Medicinal",
        "Signed for the manufacturer",
        "10 years",
    ] {
        assert!(text.contains(words), "“{words}” is not in {text}");
    }
    // With a lower beside it and everything tagged, nothing runs over to a second page.
    scene
        .add(&scene.tom, "final_denture", "lower", "here")
        .await;
    let (both, pages) = read(&scene.tom.get(&path).await);
    assert_eq!(pages, 1, "{both}");
    let numbered = (1..=8).all(|number| text.contains(&format!("{number} ")));
    assert!(numbered, "{text}");
}

#[tokio::test]
async fn before_anything_is_signed_no_such_paper_is_made() {
    let scene = Scene::opened().await;
    for rest in ["/materials.pdf", "/statement.pdf", "/done.pdf"] {
        let answer = scene.tom.get(&scene.at(rest)).await;
        answer.is(409).sees("No prescription is signed yet.");
    }
    let history = scene.tom.get(&scene.at("/history")).await;
    assert_eq!(
        history.hrefs(&scene.at("/statement.pdf")),
        Vec::<String>::new()
    );
}

/// The smallest letters of a PDF in whole points, as pdftohtml reads them.
fn least_type_pt(bytes: &[u8]) -> f64 {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("paper.pdf");
    std::fs::write(&file, bytes).unwrap();
    let mut tool = std::process::Command::new("pdftohtml");
    let read = tool
        .args(["-xml", "-stdout", "-i", "-zoom", "1"])
        .arg(&file);
    let text = String::from_utf8(read.output().unwrap().stdout).unwrap();
    let sizes = text.split("<fontspec ").skip(1).filter_map(|one| {
        let (_, after) = one.split_once("size=\"")?;
        after.split('"').next()?.parse::<f64>().ok()
    });
    sizes.fold(f64::MAX, f64::min)
}

#[tokio::test]
async fn the_statement_of_each_case_of_the_demo_stands_on_one_page_of_either_paper() {
    let world = World::empty().await;
    demo::fill(&world.app, 0).await.unwrap();
    let mut conn = world.app.store.read().await.unwrap();
    let all = cases::all_cases(&mut conn, 500, 0).await.unwrap();
    let everybody = people::all_accounts(&mut conn).await.unwrap();
    let mut seen = 0;
    for case in all.into_iter().filter(|case| case.revision > 0) {
        let of_lab = everybody
            .iter()
            .find(|one| one.party.as_ref() == Some(&case.lab));
        let person = Person::without_session(
            of_lab.unwrap().clone(),
            parties::find(&mut conn, &case.lab).await.unwrap(),
        );
        for paper in [Paper::A4, Paper::Letter] {
            let which = (CasePaperKind::Statement, Some(paper));
            let pdf = case_papers::pdf(&world.app, &person, &case.number, which);
            let pdf = pdf.await.unwrap();
            let (text, pages) = read_pdf(&pdf);
            assert_eq!(pages, 1, "{} {paper:?}: {text}", case.number);
            // Rounded down to whole points by the reader.
            assert!(least_type_pt(&pdf) >= 7.0, "{}", case.number);
            for words in [
                "Manufacturer and all places of manufacture",
                "Medicinal substances, tissues",
                "Signed for the manufacturer",
                "No CE mark on a custom-made device.",
            ] {
                let found =
                    text.contains(words) || words.split(' ').all(|word| text.contains(word));
                assert!(found, "“{words}” is not in {text}");
            }
            seen += 1;
        }
    }
    assert!(seen > 10, "{seen}");
}

#[tokio::test]
async fn the_label_of_a_pan_is_one_label_with_what_finds_the_case_and_nothing_else() {
    let (scene, _) = Scene::at_the_lab().await;
    let path = scene.at("/labels/pan.pdf");
    let page = scene.tom.get(&scene.at("/bench")).await;
    assert_eq!(page.hrefs(&path).len(), 1);
    let labels = scene.tom.get(&scene.at("/labels")).await;
    assert_eq!(labels.count("button[formaction$=\"/labels/pan.pdf\"]"), 1);
    let (text, pages) = read(&scene.tom.get(&path).await);
    let shown = {
        let number: Vec<char> = scene.number.chars().collect();
        let groups: Vec<String> = number.chunks(3).map(|part| part.iter().collect()).collect();
        groups.join("-")
    };
    // The office asks for Friday, 20 March 2026; no pan is given yet.
    let wanted = format!("{shown} Due Fri 20 Mar 2026 Northgate Dental Revision 1");
    assert_eq!((text.as_str(), pages), (wanted.as_str(), 1));
    let fields = [("pan", "B-3"), ("mine", "yes")];
    let (bench, assign) = (scene.at("/bench"), scene.at("/assign"));
    scene.tom.send(&bench, &assign, &fields).await.is(303);
    let labelled = scene.tom.get(&path).await;
    let (text, pages) = read(&labelled);
    assert_eq!((text, pages), (format!("Pan B-3 {wanted}"), 1));
    assert_eq!(
        scene.mara.get(&path).await.body,
        labelled.body,
        "the same twice"
    );
    // On a sheet of labels, where one was chosen; a place that is not there is said beside its field.
    let sheet = scene.tom.get(&format!("{path}?grid=a4_3x7&start=5")).await;
    assert_eq!(read(&sheet).1, 1);
    assert_ne!(sheet.body, labelled.body);
    let none = scene.tom.get(&format!("{path}?grid=a4_3x7&start=50")).await;
    none.is(422).sees("A whole number from 1 to 21.");
    let small = format!("{path}?grid=single&width=24&height=24");
    scene.tom.get(&small).await.is(422).sees("is too small");
    // The pan is the lab's.
    scene.dora.get(&path).await.is(403);
    scene.world.person("lars").get(&path).await.is(404);
    let office = scene.dora.get(&scene.at("/labels")).await;
    assert_eq!(office.count("button[formaction$=\"/labels/pan.pdf\"]"), 0);
}

#[tokio::test]
async fn the_label_of_a_pan_is_had_before_anything_is_signed() {
    let scene = Scene::opened().await;
    let page = scene.tom.get(&scene.at("/labels")).await;
    let path = scene.at("/labels/pan.pdf");
    assert_eq!(page.hrefs(&path).len(), 1);
    let (text, _) = read(&scene.tom.get(&path).await);
    assert!(
        text.ends_with("Northgate Dental No prescription is signed yet"),
        "{text}"
    );
}

/// The patient keeps a card with the spare: what stands on it, where it is kept, and whom to call. The entry that gave it
/// gives its words, so that it is the same file each time.
#[tokio::test]
async fn a_spare_that_was_given_has_a_card_for_the_patient_and_nothing_else_has() {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&last], &[]).await.is(303);
    let found = [(last.as_str(), "sound")];
    scene.receive(&scene.anna, &found, &[]).await.is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    let page = format!("/items/{}", things.duplicate);
    let card = format!("{page}/card.pdf");
    scene.dora.get(&card).await.is(404);
    assert_eq!(scene.dora.get(&page).await.hrefs(&card).len(), 0);
    let kept = [
        ("mark", "2nd set, 2026"),
        ("kept", "blue box in the kitchen"),
        ("keeper", "a carer"),
        ("in_water", "yes"),
    ];
    let given = scene.record(&scene.anna, &things.duplicate, "give", &kept);
    given.await.is(303);
    assert_eq!(scene.dora.get(&page).await.hrefs(&card).len(), 1);
    let paper = scene.anna.get(&card).await;
    let (words, pages) = read(&paper);
    assert_eq!(pages, 1);
    for said in [
        "Spare: duplicate denture, upper",
        "2nd set, 2026",
        "blue box in the kitchen",
        "a carer",
        "Keep it in cold water",
        "The record with this entry",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    scene
        .record(&scene.dora, &last, "adjust", &[("done", "edge_rounded")])
        .await
        .is(303);
    assert_eq!(scene.dora.get(&card).await.body, paper.body);
    // It is the office's, and what is worn has none.
    scene.tom.get(&card).await.is(403);
    scene
        .dora
        .get(&format!("/items/{last}/card.pdf"))
        .await
        .is(404);
}

/// Rims and try-ins are steps on the way to a denture, and no devices that a statement is signed for.
#[tokio::test]
async fn a_try_in_stands_on_no_statement() {
    let scene = worked().await;
    scene.add(&scene.tom, "try_in", "upper", "here").await;
    scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    for rest in ["/statement.pdf", "/done.pdf"] {
        let (text, _) = read(&scene.tom.get(&scene.at(rest)).await);
        assert!(text.contains("Final denture, upper"), "{text}");
        assert!(!text.contains("Wax try-in, upper"), "{text}");
    }
}
