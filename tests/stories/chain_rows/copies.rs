//! Rows about persons, copies, retention and the third person.

use super::{eventful, paper, squeezed, work_of};
use crate::common::Answer;
use crate::scene::{Scene, last_part};
use std::collections::BTreeSet;
use vestibule::app::prove;
use vestibule::domain::custody::{What, describe_as};
use vestibule::domain::prescription::all_fields;
use vestibule::domain::values::ids::{CaseNumber, Tag};
use vestibule::record::bundle::verify;
use vestibule::record::words::PaperRoot;
use vestibule::store::custody;
use vestibule::store::record::{head, leaves_of, root_at};

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
            // A house has a telephone; what is said of it is of no patient.
            .filter(|line| !line.starts_with("--") && !line.starts_with("ALTER TABLE party"));
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
    // But for the lab's own paper of what it has done.
    let of_lab = entries(&pages[1]).replace(" What was done (PDF)", "");
    assert_eq!(entries(&pages[0]), of_lab);
    for event in &work.events {
        let said = vestibule::domain::custody::describe(&work.items, event);
        // The day has its name, as on every page.
        assert!(said.when.starts_with("Mon 2 Mar 2026 "), "{}", said.when);
        pages[0].sees(&said.what).sees(&said.when).sees(&said.who);
        // On paper things are called by their numbers in the table above, and what was done in one way is one line.
        let number = |tag: &Tag| {
            let place = work.items.iter().position(|item| item.tag == *tag);
            format!("no. {}", place.unwrap() + 1)
        };
        let said = describe_as(&number, &work.state, event);
        let mut words = vec![event.at.day(), event.at.clock(), event.by.name.clone()];
        match &event.what {
            What::Registered(_) | What::Moved(_) | What::Disinfected(_) => {
                let found_numbers = numbers_on(&office);
                for tag in event.what.tags() {
                    let place = work.items.iter().position(|item| item.tag == *tag);
                    assert!(
                        found_numbers.contains(&(place.unwrap() + 1)),
                        "{tag} in {office}"
                    );
                }
            }
            _ if said.what.contains("no. ") => {}
            _ => words.push(said.what.get(1..).unwrap().to_owned()),
        }
        for words in words {
            assert!(
                text.contains(&squeezed(&words)),
                "“{words}” is not in {office}"
            );
            assert!(squeezed(&lab).contains(&squeezed(&words)), "“{words}”");
        }
    }
}

/// The numbers of things in the entries of a custody sheet: “no. 1, 3 to 5” is four of them.
fn numbers_on(sheet: &str) -> BTreeSet<usize> {
    let text = squeezed(sheet).to_lowercase();
    let mut numbers = BTreeSet::new();
    for after in text.split("no.").skip(1) {
        let mut rest = after;
        let mut from = None;
        loop {
            let end = rest.find(|c: char| !c.is_ascii_digit());
            let (digits, tail) = rest.split_at(end.unwrap_or(rest.len()));
            let Ok(number) = digits.parse::<usize>() else {
                break;
            };
            numbers.extend(from.unwrap_or(number)..=number);
            (from, rest) = match (tail.strip_prefix("to"), tail.strip_prefix(',')) {
                (Some(next), _) => (Some(number), next),
                (None, Some(next)) => (None, next),
                _ => break,
            };
        }
    }
    numbers
}
