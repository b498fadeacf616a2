//! Rows of cases that somebody has changed or taken away past the program: nothing of a case is shown to a house that the
//! record does not name, nobody is led to another patient's work, and what is gone is missed.

use super::{faults, words_on};
use crate::common::{PASSWORD, Visitor};
use crate::scene::{LEAST, Scene, last_part, open_case};
use std::time::Duration;
use tokio::time::timeout;
use vestibule::app::{counted, look_through, watching};

pub async fn change(scene: &Scene, sql: &str) {
    let mut conn = scene.world.past_the_store().await;
    let sql = format!("PRAGMA foreign_keys = OFF; {sql}");
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
    done.await.unwrap();
}

/// The least of what is shown of a case, and a page of its own for each way in which it is read.
const OF_A_CASE: [&str; 5] = ["", "/history", "/questions", "/dates.ics", "/record.tar"];

async fn statuses(scene: &Scene, who: &Visitor) -> Vec<u16> {
    let mut found = Vec::new();
    for path in OF_A_CASE {
        found.push(who.get(&scene.at(path)).await.status.as_u16());
    }
    found
}

#[tokio::test]
async fn a_case_given_to_another_house_is_shown_there_to_nobody() {
    let (scene, things) = Scene::at_the_lab().await;
    let handoff = scene.handoff(&scene.dora).await;
    for (column, login, own) in [
        ("lab_id", "lars", &scene.tom),
        ("office_id", "sven", &scene.dora),
    ] {
        let of = |name: &str| format!("(SELECT id FROM party WHERE name LIKE '{name}%')");
        let (other, back) = match login {
            "lars" => (of("Anvil"), of("Kiln")),
            _ => (of("Southgate"), of("Northgate")),
        };
        assert_eq!(statuses(&scene, own).await, [200; 5]);
        change(&scene, &format!("UPDATE case_file SET {column} = {other}")).await;
        let stranger = scene.world.visitor(login).await;
        assert_eq!(statuses(&scene, &stranger).await, [404; 5], "{column}");
        let item = format!("/items/{}", things.bite);
        for path in [&handoff, &item] {
            stranger.get(path).await.is(404);
        }
        let first = stranger.get("/").await;
        assert!(first.is(200).hrefs(&scene.at("")).is_empty(), "{column}");
        let found = stranger.get(&format!("/find?q={}", scene.number)).await;
        found.is(404).sees_not("Northgate");
        let house = stranger.get("/in-house").await;
        assert!(house.is(200).hrefs(&scene.at("")).is_empty(), "{column}");
        // Whose it is by the record is told that something is wrong with it.
        let page = own.get(&scene.at("")).await;
        page.is(409)
            .sees("somebody has changed whose it is past this program");
        counted::look(&scene.world.app).await.unwrap();
        let root = scene.world.person("root");
        root.get("/people").await.sees("under another house");
        change(&scene, &format!("UPDATE case_file SET {column} = {back}")).await;
        counted::look(&scene.world.app).await.unwrap();
        root.get("/people").await.sees_not("under another house");
        assert_eq!(statuses(&scene, own).await, [200; 5]);
    }
}

#[tokio::test]
async fn a_row_that_was_taken_away_is_missed() {
    for (table, what) in [
        ("case_file", "0 cases instead of 1"),
        ("handoff", "0 handoffs instead of 1"),
        ("patient", "cards instead of 1"),
    ] {
        let (scene, _) = Scene::at_the_lab().await;
        let (root, nobody) = (scene.world.person("root"), scene.world.nobody());
        let handoff = scene.handoff(&scene.dora).await;
        let card = format!("/patients/{}", scene.patient);
        counted::look(&scene.world.app).await.unwrap();
        root.get("/people").await.sees_not(what);
        let said = nobody.get("/healthz").await.is(200).text();
        assert!(!said.contains("record says"), "{said}");
        let unlocked = format!("DROP TRIGGER IF EXISTS {table}_no_DELETE; DELETE FROM {table}");
        change(&scene, &unlocked).await;
        let (path, words, stranger) = match table {
            "case_file" => (scene.at(""), "somebody has taken it away", "lars"),
            "handoff" => (handoff, "what is listed of its handoffs", "lars"),
            _ => (card, "The card of patient", "sven"),
        };
        let page = scene.dora.get(&path).await;
        page.is(409).sees(words).sees("vestibule check");
        let stranger = scene.world.visitor(stranger).await;
        stranger.get(&path).await.is(404);
        counted::look(&scene.world.app).await.unwrap();
        root.get("/people").await.sees(what);
        let said = nobody.get("/healthz").await.is(200).text();
        assert!(
            said.contains("what is stored is not what the record says"),
            "{said}"
        );
        if table == "patient" {
            scene.dora.get(&scene.at("/write")).await.is(409);
        }
        if table == "case_file" {
            const WORDS: &str = "1 case of yours taken away past this program";
            scene.dora.get("/").await.is(200).sees(WORDS);
            for path in ["/", "/bench"] {
                scene.tom.get(path).await.is(200).sees(WORDS);
            }
            stranger.get("/").await.is(200).sees_not("taken away");
            let found = scene.tom.get(&format!("/find?q={}", scene.number)).await;
            found.is(409).sees(words);
            let sheet = format!("/c/{}/1", scene.number).to_uppercase();
            nobody.get(&sheet).await.is(409).sees(words);
        }
    }
}

/// The identifier of a house whose name begins so, within a statement.
pub fn party(name: &str) -> String {
    format!("(SELECT id FROM party WHERE name LIKE '{name}%')")
}

#[tokio::test]
async fn an_account_given_another_house_or_role_opens_nothing_though_it_is_signed_in() {
    let (scene, _) = Scene::at_the_lab().await;
    let (north, south) = (party("Northgate"), party("Southgate"));
    for (login, set, back, own, other) in [
        (
            "sven",
            format!("party_id = {north}"),
            format!("party_id = {south}"),
            "/patients",
            scene.at(""),
        ),
        (
            "anna",
            "party_id = NULL, role = 'administrator'".to_owned(),
            format!("party_id = {north}, role = 'assistant'"),
            "/patients",
            "/people".to_owned(),
        ),
    ] {
        let who = scene.world.person(login);
        who.get(own).await.is(200);
        let is_theirs = who.get(&other).await.status == 200;
        assert!(!is_theirs, "{other}");
        let update = |set: &str| format!("UPDATE account SET {set} WHERE login = '{login}'");
        change(&scene, &update(&set)).await;
        for path in [own, "/", other.as_str()] {
            let answer = who.get(path).await;
            answer
                .is(409)
                .sees(&format!("The account of {login}"))
                .sees("somebody has changed it past this program");
        }
        // Others work on.
        scene.dora.get("/").await.is(200);
        change(&scene, &update(&back)).await;
        who.get(own).await.is(200);
    }
}

#[tokio::test]
async fn a_card_given_to_another_office_is_shown_there_to_nobody_and_is_named() {
    let scene = Scene::opened().await;
    let (sven, root) = (scene.world.person("sven"), scene.world.person("root"));
    let card = last_part(&sven.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&sven, &card, "both").await;
    let write = format!("/cases/{number}/write");
    let code = &scene.patient;
    let printed = format!("{}-{}-{}", &code[..3], &code[3..6], &code[6..]);
    let give = |name: &str| {
        format!(
            "UPDATE patient SET office_id = {} WHERE code = '{code}'",
            party(name)
        )
    };
    let path = format!("/patients/{code}");
    scene.dora.get(&scene.at("/write")).await.is(200);
    change(&scene, &give("Southgate")).await;
    let listed = sven.get("/patients").await;
    assert!(listed.is(200).hrefs(&path).is_empty());
    listed.sees_not("cannot be read");
    let sheet = words_on(sven.get("/patients/key-sheet.pdf").await.is(200));
    assert!(!sheet.contains(&printed), "{sheet}");
    let lab = sven.get("/cases/new").await;
    let lab = lab.option_value("lab", "Kiln Laboratory");
    let fields = [
        ("patient", code.as_str()),
        ("arches", "both"),
        ("lab", lab.as_str()),
    ];
    let opened = sven.send("/cases/new", "/cases/new", &fields).await;
    opened.is(422).sees("No patient of this office");
    let own = scene.dora.get(&scene.at("/write")).await;
    own.is(409).sees("past this program");
    counted::look(&scene.world.app).await.unwrap();
    root.get("/people")
        .await
        .sees("1 card under another house")
        .sees("1 case for a patient of another office");
    let said = faults(&scene).await;
    assert!(said.contains("whose card is of another office"), "{said}");
    change(&scene, &give("Northgate")).await;
    let listed = scene.dora.get("/patients").await;
    assert_eq!(listed.hrefs(&path).len(), 1);
    scene.dora.get(&scene.at("/write")).await.is(200);
    // A case that was opened meanwhile, by whatever way.
    let of = |code: &str| {
        format!("UPDATE case_file SET patient_code = '{code}' WHERE number = '{number}'")
    };
    change(&scene, &of(code)).await;
    // Its own draft stays to be read there, beside the word on it, and nothing of the other patient.
    let own = sven.get(&write).await;
    own.is(200).sees("past this program").sees_not(&printed);
    counted::look(&scene.world.app).await.unwrap();
    let said = root.get("/people").await;
    said.sees("1 case for a patient of another office")
        .sees_not("cards under another house");
    change(&scene, &of(&card)).await;
    counted::look(&scene.world.app).await.unwrap();
    root.get("/people").await.sees_not("of another office");
    sven.get(&write).await.is(200);
    // The triggers were dropped to get past the program.
    let left = faults(&scene).await;
    assert!(
        left.lines().all(|line| line.contains("the trigger")),
        "{left}"
    );
}

#[tokio::test]
async fn a_handoff_listed_for_another_case_or_not_at_all_is_said_to_its_houses() {
    const WORDS: &str = "what is listed of its handoffs";
    let (scene, _) = Scene::at_the_lab().await;
    let sven = scene.world.person("sven");
    let card = last_part(&sven.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&sven, &card, "both").await;
    let handoff = scene.handoff(&scene.dora).await;
    let id = handoff.trim_start_matches("/handoffs/").to_owned();
    let (parcel, alone) = (format!("/H/{id}"), format!("/find?q={id}"));
    let found = format!("/find?q=/H/{id}");
    for path in [&parcel, &alone, &found] {
        scene.dora.get(path).await.is(303);
    }
    let of = |number: &str| format!("UPDATE handoff SET case_number = '{number}'");
    change(&scene, &of(&number)).await;
    for who in [&scene.dora, &scene.tom, &sven] {
        who.get(&handoff).await.is(409).sees(WORDS);
    }
    scene.world.person("lars").get(&handoff).await.is(404);
    change(&scene, &of(&scene.number)).await;
    scene.dora.get(&handoff).await.is(200);
    change(
        &scene,
        "DROP TRIGGER IF EXISTS handoff_no_DELETE; DELETE FROM handoff",
    )
    .await;
    for who in [&scene.dora, &scene.tom] {
        for path in [&handoff, &parcel, &alone, &found] {
            who.get(path).await.is(409).sees(WORDS);
        }
    }
    scene.world.nobody().get(&parcel).await.is(404);
    scene.world.person("lars").get(&parcel).await.is(404);
}

/// The lab works to revision 1 of the case, in this pan.
pub async fn put_in_pan(scene: &Scene, pan: &str) {
    let accept = scene.at("/revisions/1/acknowledge");
    let accepted = scene.tom.send(&scene.at(""), &accept, &[]).await;
    accepted.is(303);
    let (bench, assign) = (scene.at("/bench"), scene.at("/assign"));
    let entered = scene.tom.send(&bench, &assign, &[("pan", pan)]).await;
    entered.is(303);
}

#[tokio::test]
async fn two_pans_that_were_swapped_lead_to_no_bench_and_are_named_as_what_differs() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    let patient = last_part(&scene.dora.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&scene.dora, &patient, "upper").await;
    let other = Scene { number, ..scene };
    other.sign(&LEAST).await.is(303);
    let bite = other.add(&other.anna, "bite_record", "", "here").await;
    other.release(&other.anna, &[&bite], &[]).await.is(303);
    let sound = [(bite.as_str(), "sound")];
    other.receive(&other.tom, &sound, &[]).await.is(303);
    put_in_pan(&other, "31").await;
    let scans = ["/find?q=27", "/find?q=pan+31"];
    for path in scans {
        other.tom.get(path).await.is(303);
    }
    let swap = "UPDATE case_file SET pan = CASE pan WHEN '27' THEN '31' ELSE '27' END, \
                pan_key = CASE pan_key WHEN '27' THEN '31' ELSE '27' END";
    change(&other, swap).await;
    for path in scans {
        let answer = other.tom.get(path).await;
        answer.is(409).sees("the pan that it stands in");
    }
    other.tom.get("/bench").await.sees("Not as the record says");
    let said = faults(&other).await;
    for words in [
        "Not the same: pan (“31” instead of “27”)",
        "Not the same: pan (“27” instead of “31”)",
    ] {
        assert!(said.contains(words), "{said}");
    }
    change(&other, swap).await;
    for path in scans {
        other.tom.get(path).await.is(303);
    }
    assert!(!faults(&other).await.contains("Not the same"));
}

#[tokio::test]
async fn a_day_list_names_what_it_cannot_say_and_leaves_nothing_out_in_silence() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    const WORDS: &str = "Not as the record says";
    let paper = || scene.tom.get("/day-list.pdf?for=week");
    assert!(!words_on(paper().await.is(200)).contains(WORDS));
    change(&scene, "CREATE TABLE kept AS SELECT * FROM case_file").await;
    let back = "(due, lab_day, closed) = (SELECT due, lab_day, closed FROM kept)";
    for set in [
        "lab_day = '2026-03-02', due = '2026-03-02'",
        "lab_day = '2031-03-20'",
        "closed = 1",
    ] {
        change(&scene, &format!("UPDATE case_file SET {set}")).await;
        let text = words_on(paper().await.is(200));
        assert!(text.contains(WORDS), "{set}: {text}");
        change(&scene, &format!("UPDATE case_file SET {back}")).await;
        let text = words_on(paper().await.is(200));
        assert!(!text.contains(WORDS), "{set}, and back: {text}");
    }
}

/// Whoever can write the database writes another day into the row: the text that was signed says the right one.
#[tokio::test]
async fn the_day_due_is_the_signed_one_whatever_stands_in_the_row() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    let (days, pan) = (scene.at("/dates.ics"), scene.at("/labels/pan.pdf"));
    let papers = async || {
        let days = scene.tom.get(&days).await.is(200).body.clone();
        let pan = scene.tom.get(&pan).await;
        (days, words_on(pan.is(200)))
    };
    let before = papers().await;
    // With another version nothing that was read before is shown.
    let set = "due = '2039-03-20', lab_day = '2039-03-20', version = version + 1";
    change(&scene, &format!("UPDATE case_file SET {set}")).await;
    for who in [&scene.tom, &scene.dora] {
        who.get(&scene.at("")).await.is(200).sees_not("2039");
        who.get(&scene.at("/dates")).await.is(200).sees_not("2039");
    }
    let bench = scene.tom.get(&scene.at("/bench")).await;
    bench.is(200).sees_not("2039");
    assert_eq!(papers().await, before);
}

#[tokio::test]
async fn a_case_that_its_row_alone_says_is_closed_is_named_where_it_is_not_listed() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    const WORDS: &str = "Not as the record says";
    let root = scene.world.person("root");
    for (closed, is_said) in [(0, false), (1, true), (0, false)] {
        change(&scene, &format!("UPDATE case_file SET closed = {closed}")).await;
        for path in ["/bench", "/"] {
            let page = scene.tom.get(path).await;
            let says = page.is(200).text().contains(WORDS);
            assert_eq!(says, is_said, "{path}, closed = {closed}");
        }
        // Nor does the other house, for which nothing is to be done now.
        let other = scene.dora.get("/").await;
        assert_eq!(other.is(200).text().contains(WORDS), is_said);
        // Who works by the page of the case is not told that nothing is to be done.
        scene.tom.get(&scene.at("/bench")).await.is(200);
        let told = root.get("/people").await.text().contains("1 case, such as");
        assert_eq!(told, is_said, "closed = {closed}");
    }
}

#[tokio::test]
async fn what_a_page_has_met_is_told_to_whoever_watches_until_it_is_put_right() {
    let (scene, _) = Scene::at_the_lab().await;
    let (root, nobody) = (scene.world.person("root"), scene.world.nobody());
    const WORDS: &str = "what is stored is not what the record says";
    scene.dora.get(&scene.at("")).await.is(200);
    // Back again, the page is as it was read before all this.
    for (set, status, is_said) in [
        ("revision = 0, version = version + 1", 409, true),
        ("revision = 1, version = version - 1", 200, false),
    ] {
        change(&scene, &format!("UPDATE case_file SET {set}")).await;
        scene.dora.get(&scene.at("")).await.is(status);
        let watched = nobody.get("/healthz").await;
        assert_eq!(watched.is(200).text().contains(WORDS), is_said);
        let told = root.get("/people").await.text().contains("1 case, such as");
        assert_eq!(told, is_said);
    }
}

/// The identifier of an account.
async fn id_of(scene: &Scene, login: &str) -> String {
    let mut conn = scene.world.past_the_store().await;
    let sql = format!("SELECT id FROM account WHERE login = '{login}'");
    let row = sqlx::query_scalar(sqlx::AssertSqlSafe(sql));
    row.fetch_one(&mut conn).await.unwrap()
}

#[tokio::test]
async fn somebody_of_another_lab_is_offered_for_no_work_and_given_none() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    let (bench, assign) = (scene.at("/bench"), scene.at("/assign"));
    let id = id_of(&scene, "lars").await;
    let give = |name: &str| {
        format!(
            "UPDATE account SET party_id = {} WHERE login = 'lars'",
            party(name)
        )
    };
    change(&scene, &give("Kiln")).await;
    for path in [bench.as_str(), "/bench", "/"] {
        let page = scene.tom.get(path).await;
        page.is(200).sees_not("lars");
    }
    let fields = [("pan", "27"), ("technician", id.as_str())];
    let given = scene.tom.send(&bench, &assign, &fields).await;
    given.is(409).sees("The account of lars");
    change(&scene, &give("Anvil")).await;
    let given = scene.tom.send(&bench, &assign, &fields).await;
    given.is(422).sees("Choose somebody of the list");
}

/// Puts back by which rows a list finds the one case there is.
const TURNS_BACK: &str = "UPDATE case_file SET closed = (SELECT closed FROM kept), drawn = (SELECT drawn FROM kept), \
    office_turn = (SELECT office_turn FROM kept), office_day = (SELECT office_day FROM kept), \
    lab_turn = (SELECT lab_turn FROM kept), lab_day = (SELECT lab_day FROM kept); DROP TABLE kept";

#[tokio::test]
async fn a_case_that_was_put_among_those_of_others_is_named_at_the_bench() {
    let (scene, _) = Scene::at_the_lab().await;
    const WORDS: &str = "Not as the record says: somebody has changed it past this program:";
    let page = scene.tom.get("/bench").await;
    assert!(!page.is(200).sees_not(WORDS).hrefs(&scene.at("")).is_empty());
    change(
        &scene,
        "CREATE TABLE kept AS SELECT * FROM case_file; UPDATE case_file SET lab_turn = 'others'",
    )
    .await;
    let page = scene.tom.get("/bench").await;
    assert!(page.is(200).sees(WORDS).hrefs(&scene.at("")).is_empty());
    change(&scene, TURNS_BACK).await;
    let page = scene.tom.get("/bench").await;
    assert!(!page.is(200).sees_not(WORDS).hrefs(&scene.at("")).is_empty());
}

/// What draws the lists is a number beside them, and whoever calls a row another version's would have it compared by nobody.
#[tokio::test]
async fn a_row_that_says_another_version_drew_it_is_drawn_again_by_the_next_look() {
    let (scene, _) = Scene::at_the_lab().await;
    let listed = async || {
        let page = scene.tom.get("/bench").await;
        !page.is(200).hrefs(&scene.at("")).is_empty()
    };
    for drawn in [0, 9_000] {
        change(
            &scene,
            &format!("UPDATE case_file SET lab_turn = 'others', drawn = {drawn}"),
        )
        .await;
        assert!(!listed().await);
        look_through::look(&scene.world.app, Duration::ZERO)
            .await
            .unwrap();
        assert!(listed().await, "{drawn}");
    }
}

#[tokio::test]
async fn a_counter_that_is_set_back_shows_no_earlier_page_again() {
    let (scene, _) = Scene::at_the_lab().await;
    const QUESTION: &str = "which height holds?";
    let page = scene.at("/questions");
    scene.dora.get(&page).await.is(200).sees_not(QUESTION);
    change(&scene, "CREATE TABLE kept AS SELECT version FROM case_file").await;
    let asks = scene.at("/questions?section=vertical");
    let fields = [
        ("matter", "unclear"),
        ("question", QUESTION),
        ("section", "vertical"),
    ];
    let asked = scene.tom.send(&asks, &scene.at("/ask"), &fields).await;
    asked.is(303);
    let back = "UPDATE case_file SET version = (SELECT version FROM kept); DROP TABLE kept";
    change(&scene, back).await;
    scene.dora.get(&page).await.is(200).sees(QUESTION);
}

/// What is stored is looked through while nobody opens a page.
#[tokio::test]
async fn what_is_changed_while_the_program_runs_is_told_without_anybody_who_looks() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    let (root, nobody) = (scene.world.person("root"), scene.world.nobody());
    const WORDS: &str = "what is stored is not what the record says";
    let app = &scene.world.app;
    let looked = async || {
        look_through::look(app, Duration::ZERO).await.unwrap();
        let watched = nobody.get("/healthz").await.is(200).text();
        watched.contains(WORDS)
    };
    assert!(!looked().await);
    for (set, back, said) in [
        (
            "UPDATE party SET name = name || '.' WHERE name LIKE 'Anvil%'",
            "UPDATE party SET name = rtrim(name, '.') WHERE name LIKE 'Anvil%'",
            "says: 1 house.",
        ),
        (
            "UPDATE account SET name = name || '.' WHERE login IN ('sven', 'lars')",
            "UPDATE account SET name = rtrim(name, '.') WHERE login IN ('sven', 'lars')",
            "says: 2 accounts.",
        ),
        (
            "CREATE TABLE kept AS SELECT lab_day FROM case_file; UPDATE case_file SET lab_day = '2031-03-20'",
            "UPDATE case_file SET lab_day = (SELECT lab_day FROM kept); DROP TABLE kept",
            "says: 1 case, such as",
        ),
        (
            "UPDATE case_file SET closed = 1",
            "UPDATE case_file SET closed = 0",
            "says: 1 case, such as",
        ),
        (
            "CREATE TABLE kept AS SELECT * FROM case_file; UPDATE case_file SET closed = 1, office_turn = 'others', \
             lab_turn = 'others', drawn = 0",
            TURNS_BACK,
            "says: 1 case, such as",
        ),
        (
            "CREATE TABLE kept AS SELECT * FROM case_file; UPDATE case_file SET office_day = 'zzzz-zz-zz'",
            TURNS_BACK,
            "says: 1 case, such as",
        ),
        (
            "UPDATE case_file SET closed = 2",
            "UPDATE case_file SET closed = 0",
            "says: 1 case that no list asks for.",
        ),
        (
            "UPDATE case_file SET closed = 0.5",
            "UPDATE case_file SET closed = 0",
            "says: 1 case that no list asks for.",
        ),
        (
            "UPDATE case_file SET closed = 'x'",
            "UPDATE case_file SET closed = 0",
            "says: 1 case that no list asks for.",
        ),
        (
            "CREATE TABLE kept AS SELECT * FROM case_file; UPDATE case_file SET office_turn = 'zzz', lab_turn = 'zzz'",
            TURNS_BACK,
            "says: 1 case that no list asks for.",
        ),
        (
            "CREATE TABLE kept AS SELECT * FROM case_file; UPDATE case_file SET office_day = 'zzzz', lab_day = 'zzzz'",
            TURNS_BACK,
            "says: 1 case that no list asks for.",
        ),
    ] {
        change(&scene, set).await;
        assert!(looked().await, "{set}");
        root.get("/people").await.sees(said);
        change(&scene, back).await;
        assert!(!looked().await, "{back}");
    }
    // By itself, again and again, until the program stops.
    let pace = look_through::Pace {
        each: Duration::from_millis(20),
        least: Duration::from_millis(10),
        rest: Duration::ZERO,
    };
    let looks = tokio::spawn(look_through::keep_looking(app.clone(), pace));
    change(
        &scene,
        "UPDATE party SET name = name || '.' WHERE name LIKE 'Anvil%'",
    )
    .await;
    let told = async {
        while !nobody.get("/healthz").await.text().contains(WORDS) {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    timeout(Duration::from_secs(20), told).await.unwrap();
    watching::end(app);
    timeout(Duration::from_secs(20), looks)
        .await
        .unwrap()
        .unwrap();
}

#[tokio::test]
async fn a_case_that_the_record_has_closed_is_told_only_where_its_row_opens_it() {
    let scene = Scene::signed().await;
    let fields = [
        ("password", PASSWORD),
        ("nothing_made", "yes"),
        ("note", "made elsewhere"),
    ];
    let close = scene.at("/close");
    scene.dora.send(&close, &close, &fields).await.is(303);
    let (app, nobody) = (&scene.world.app, scene.world.nobody());
    for (closed, is_said) in [(1, false), (0, true), (1, false)] {
        change(&scene, &format!("UPDATE case_file SET closed = {closed}")).await;
        look_through::look(app, Duration::ZERO).await.unwrap();
        let watched = nobody.get("/healthz").await.is(200).text();
        let says = watched.contains("what is stored is not what the record says");
        assert_eq!(says, is_said, "closed = {closed}");
    }
}

#[tokio::test]
async fn a_word_of_who_was_let_in_that_was_taken_away_is_missed() {
    let scene = Scene::opened().await;
    let (root, nobody) = (scene.world.person("root"), scene.world.nobody());
    const WORDS: &str = "what is stored is not what the record says";
    for (sql, is_said) in [
        ("SELECT 1", false),
        (
            "DROP TRIGGER IF EXISTS admission_no_DELETE; \
             DELETE FROM admission WHERE id = (SELECT MAX(id) FROM admission)",
            true,
        ),
    ] {
        change(&scene, sql).await;
        counted::look(&scene.world.app).await.unwrap();
        let watched = nobody.get("/healthz").await.is(200).text();
        assert_eq!(watched.contains(WORDS), is_said, "{sql}");
        let people = root.get("/people").await;
        let says = people.text().contains("words of who was let in instead of");
        assert_eq!(says, is_said, "{sql}");
    }
}

#[tokio::test]
async fn a_case_listed_for_another_patient_is_not_shown_beside_that_patients_own() {
    let scene = Scene::signed().await;
    let other = last_part(&scene.dora.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&scene.dora, &other, "both").await;
    let cards = [
        format!("/patients/{}", scene.patient),
        format!("/patients/{other}"),
    ];
    let pages = [format!("/cases/{number}"), format!("/cases/{number}/write")];
    for page in &pages {
        scene.dora.get(page).await.is(200);
    }
    let listed = async |card: &str| !scene.dora.get(card).await.hrefs(&scene.at("")).is_empty();
    assert!(listed(&cards[0]).await && !listed(&cards[1]).await);
    let give = |code: &str| {
        format!(
            "UPDATE case_file SET patient_code = '{code}' WHERE number = '{}'",
            scene.number
        )
    };
    change(&scene, &give(&other)).await;
    assert!(!listed(&cards[1]).await);
    let printed = format!(
        "{}-{}-{}",
        &scene.number[..3],
        &scene.number[3..6],
        &scene.number[6..]
    );
    for page in pages.iter().chain(&cards[1..]) {
        scene.dora.get(page).await.is(200).sees_not(&printed);
    }
    let root = scene.world.person("root");
    root.get("/people").await.sees("1 case, such as");
    change(&scene, &give(&scene.patient)).await;
    assert!(listed(&cards[0]).await);
}
