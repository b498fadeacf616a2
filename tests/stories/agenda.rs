//! The first page: what waits for whom, narrowed down, searched and printed.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::{LEAST, Scene, last_part, open_case};
use scraper::{Html, Selector};

fn first(page: &Answer, selector: &str) -> Option<String> {
    let html = Html::parse_document(&page.text());
    let found = html.select(&Selector::parse(selector).unwrap()).next();
    found.map(|one| one.text().collect::<String>().trim().to_owned())
}

/// What the agenda and the case's main button say to somebody, which is the same.
async fn sees_task(scene: &Scene, who: &Visitor, words: &str) {
    let own = first(&who.get("/").await, ".agenda li.mine .do strong");
    let main = first(
        &who.get(&scene.at("")).await,
        "main .actions a.button:not(.quiet)",
    );
    assert_eq!(
        (own.as_deref(), main.as_deref()),
        (Some(words), Some(words))
    );
}

#[tokio::test]
async fn the_main_button_of_a_case_says_what_the_agenda_says() {
    let scene = Scene::opened().await;
    sees_task(&scene, &scene.dora, "Write and sign the prescription").await;
    scene.begin_draft().await;
    sees_task(&scene, &scene.dora, "Write and sign the prescription").await;
    scene.sign(&LEAST).await.is(303);
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    sees_task(&scene, &scene.anna, "Hand over to the lab").await;
    scene.pack(&scene.anna, &[&bite], &[]).await.is(303);
    sees_task(&scene, &scene.anna, "Hand the parcels to the carrier").await;
    scene.pick_up(&scene.anna, &[]).await.is(303);
    sees_task(&scene, &scene.tom, "Check in the parcel").await;
    let sound = [(bite.as_str(), "damaged")];
    let words = format!("{bite}.note");
    scene
        .receive(&scene.tom, &sound, &[(words.as_str(), "a corner is off")])
        .await
        .is(303);
    sees_task(&scene, &scene.anna, "Answer the problem on arrival").await;
}

#[tokio::test]
async fn the_lab_reads_and_makes_by_the_same_words() {
    let (scene, _things) = Scene::at_the_lab().await;
    sees_task(&scene, &scene.tom, "Read and acknowledge the prescription").await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    sees_task(&scene, &scene.tom, "Make the work and hand it back").await;
}

#[tokio::test]
async fn a_case_stands_in_one_list_of_each_side_by_who_has_to_act() {
    let scene = Scene::signed().await;
    let count = |page: &Answer, list: &str| {
        page.count(&format!(
            "[aria-labelledby=list-{list}] a[href=\"{}\"]",
            scene.at("")
        ))
    };
    let (office, lab) = (scene.dora.get("/").await, scene.tom.get("/").await);
    office
        .sees("Register what goes to the lab")
        .sees("Fri 20 Mar")
        .sees("in 18 days");
    office.sees("U, process and finish").sees("Kiln");
    lab.sees("Office: register what goes to the lab")
        .sees("Northgate");
    for (list, of_office, of_lab) in [("you", 1, 0), ("coming", 0, 0), ("others", 0, 1)] {
        assert_eq!(
            (count(&office, list), count(&lab, list)),
            (of_office, of_lab),
            "{list}"
        );
    }
    // On its way it stands there for the lab, with its seal, and is late once the day has passed.
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let lab = scene.tom.get("/").await;
    assert_eq!(count(&lab, "coming"), 1);
    lab.sees("Check in the parcel").sees("1 item");
    scene.world.pass_minutes(19 * 24 * 60);
    let late = scene.world.visitor("tom").await.get("/?only=late").await;
    assert_eq!(count(&late, "coming"), 1);
    late.sees("1 day late").sees("Late 1");
    let held = scene.world.visitor("tom").await.get("/?only=held").await;
    assert_eq!(count(&held, "coming"), 0);
    held.sees("Nothing of this kind.");
}

#[tokio::test]
async fn an_agenda_is_narrowed_down_by_house_stage_and_week() {
    let scene = Scene::signed().await;
    let page = scene.dora.get("/").await;
    let house = page.option_value("house", "Kiln");
    for (query, is_there) in [
        (format!("house={house}"), true),
        ("house=nobody".to_owned(), false),
        ("stage=process".to_owned(), true),
        ("stage=tray".to_owned(), false),
        ("week=2026-03-16".to_owned(), true),
        ("week=2026-03-23".to_owned(), false),
        (
            format!("house={house}&stage=process&week=2026-03-16&list=you"),
            true,
        ),
        ("closed=1".to_owned(), false),
        // What it cannot mean is left out.
        ("only=x&stage=y&week=z&list=w&page=-9".to_owned(), true),
    ] {
        let page = scene.dora.get(&format!("/?{query}")).await;
        let link = format!("a[href=\"{}\"]", scene.at(""));
        assert_eq!(page.is(200).count(&link) == 1, is_there, "{query}");
    }
}

#[tokio::test]
async fn a_case_is_found_by_any_part_of_what_it_is_known_by() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let sent = [("parcel.1.seal", "AB-4471"), ("tracking", "1Z 999 ZZ9")];
    scene.release(&scene.anna, &[&bite], &sent).await.is(303);
    let part = scene.number[2..7].to_lowercase();
    let tag = &bite[3..8];
    let link = format!("a[href=\"{}\"]", scene.at(""));
    for typed in [
        part.as_str(),
        tag,
        "4471",
        "ab4471",
        "ab-44",
        "999 zz9",
        "finish process",
        "bite",
        "KILN",
        "kiln lab",
    ] {
        let path = format!("/find?q={}", typed.replace(' ', "+"));
        let page = scene.dora.get(&path).await;
        assert_eq!(page.is(200).count(&link), 1, "{typed}");
    }
    for typed in ["4472", "%25", "__", "process+4472", "brick"] {
        scene.dora.get(&format!("/find?q={typed}")).await.is(404);
    }
    // The lab finds it by the office, and a stranger finds nothing.
    let page = scene.tom.get("/find?q=northgate").await;
    assert_eq!(page.is(200).count(&link), 1);
    scene.world.person("sven").get("/find?q=4471").await.is(404);
}

#[tokio::test]
async fn the_day_list_is_the_same_paper_twice_and_follows_the_agenda() {
    let scene = Scene::signed().await;
    let today = scene.dora.get("/day-list.pdf").await;
    assert!(today.is(200).body.starts_with(b"%PDF"));
    assert_eq!(today.body, scene.dora.get("/day-list.pdf").await.body);
    let week = scene.dora.get("/day-list.pdf?for=week&paper=letter").await;
    assert!(week.is(200).body.starts_with(b"%PDF") && week.body != today.body);
    scene.dora.get("/day-list.pdf?paper=a9").await.is(404);
    let other = open_case(&scene.dora, &scene.patient, "lower").await;
    assert!(!other.is_empty());
    let after = scene.dora.get("/day-list.pdf?for=week&paper=letter").await;
    assert!(after.is(200).body != week.body, "what is new is on it");
}

/// The cases of the first list, from top to bottom.
async fn listed(who: &Visitor) -> Vec<String> {
    let page = who.get("/").await;
    let html = Html::parse_document(&page.text());
    let links = Selector::parse("[aria-labelledby=list-you] li a").unwrap();
    let paths = html
        .select(&links)
        .filter_map(|one| one.value().attr("href"));
    paths.map(str::to_owned).collect()
}

#[tokio::test]
async fn a_line_says_how_long_a_question_waits_and_what_the_lab_waits_for_comes_first() {
    let scene = Scene::opened().await;
    let patient = scene.dora.send("/patients/new", "/patients/new", &[]).await;
    let patient = last_part(&patient);
    let other = format!("/cases/{}", open_case(&scene.dora, &patient, "both").await);
    let first = scene.at("");
    let ask = |case: String, waits: &'static str| {
        let tom = &scene.tom;
        async move {
            let typed = [
                ("matter", "unclear"),
                ("question", "which height?"),
                ("waits", waits),
            ];
            let typed = if waits.is_empty() {
                &typed[..2]
            } else {
                &typed
            };
            let page = format!("{case}/questions");
            tom.send(&page, &format!("{case}/ask"), typed).await.is(303);
        }
    };
    ask(first.clone(), "").await;
    scene
        .dora
        .get("/")
        .await
        .sees("Asked today ")
        .sees("Asked or told by the other side")
        .sees_not("work waits");
    // Whatever is due before it, and has nobody waiting for a word.
    assert_eq!(listed(&scene.dora).await[0], first);
    ask(other.clone(), "yes").await;
    scene
        .dora
        .get("/")
        .await
        .sees(", and the lab’s work waits for the answer");
    assert_eq!(listed(&scene.dora).await, [other.clone(), first.clone()]);
    // A later one of the first case waits behind it; the paper says the same.
    scene.world.pass_minutes(1);
    ask(first.clone(), "yes").await;
    assert_eq!(listed(&scene.dora).await, [other.clone(), first.clone()]);
    scene.world.pass_minutes(3 * 24 * 60);
    let dora = scene.world.visitor("dora").await;
    dora.get("/")
        .await
        .sees("Asked 3 days ago, and the lab’s work waits for the answer");
    // Whoever has asked is told no age, and an answer takes it off the line.
    let tom = scene.world.visitor("tom").await;
    tom.get("/").await.sees_not("Asked 3 days ago");
    let page = format!("{other}/questions");
    let answer = [("answer", "66 mm")];
    dora.send(&page, &format!("{other}/answer"), &answer)
        .await
        .is(303);
    assert_eq!(listed(&dora).await, [first, other]);
}

#[tokio::test]
async fn an_answer_is_told_on_every_list_of_the_lab_until_it_goes_on() {
    let scene = crate::bench::at_the_bench().await;
    let (tom, page) = (&scene.tom, scene.at("/questions"));
    let (case, at_bench) = (scene.at(""), scene.bench());
    let asked = [
        ("matter", "unclear"),
        ("section", "seal"),
        ("question", "how deep?"),
    ];
    tom.send(&page, &scene.at("/ask"), &asked).await.is(303);
    for path in ["/", "/bench", case.as_str(), at_bench.as_str()] {
        tom.get(path).await.sees_not("Answered today");
    }
    scene.world.pass_minutes(5);
    let answer = [("answer", "1 mm in the middle, as drawn")];
    let dora = &scene.dora;
    dora.send(&page, &scene.at("/answer"), &answer)
        .await
        .is(303);
    // No work had waited for it: all the same it is seen where the work is done, with what was asked.
    for path in ["/", "/bench", case.as_str()] {
        tom.get(path).await.sees("Answered today");
    }
    let bench = tom.get(&at_bench).await;
    bench
        .sees("how deep?")
        .sees("1 mm in the middle, as drawn")
        .sees("Palatal seal");
    // The office, which has answered, is told nothing.
    dora.get("/").await.sees_not("Answered today");
    scene.world.pass_minutes(5);
    let stone = [("used.0.material", "Type 3 stone")];
    scene.works(tom, "cast_poured", &stone).await.is(303);
    for path in ["/", "/bench", case.as_str()] {
        tom.get(path).await.sees_not("Answered today");
    }
    // What was said stays beside the work.
    tom.get(&at_bench)
        .await
        .sees("1 mm in the middle, as drawn");
}

#[tokio::test]
async fn what_was_told_stands_beside_the_work_and_a_call_is_marked_until_it_is_confirmed() {
    let scene = crate::bench::at_the_bench().await;
    let (dora, tom, page) = (&scene.dora, &scene.tom, scene.at("/questions"));
    let told = [
        ("matter", "patient_says"),
        ("question", "the lower lifts in yawning"),
    ];
    dora.send(&page, &scene.at("/ask"), &told).await.is(303);
    let call = [
        ("spoke_with", "T. K."),
        ("call_said", "the midline goes 1 mm to the right"),
    ];
    dora.send(&page, &scene.at("/telephoned"), &call)
        .await
        .is(303);
    let bench = tom.get(&scene.bench()).await;
    bench
        .sees("the lower lifts in yawning")
        .sees("the midline goes 1 mm to the right")
        .sees("Not confirmed yet");
    tom.send(&page, &scene.at("/confirm"), &[]).await.is(303);
    let bench = tom.get(&scene.bench()).await;
    bench
        .sees("the midline goes 1 mm to the right")
        .sees_not("Not confirmed yet");
    // The bench is the lab's own.
    dora.get(&scene.bench()).await.is(403);
}

#[tokio::test]
async fn a_denture_against_natural_teeth_is_called_so_and_a_closed_case_is_closed_once() {
    let scene = Scene::opened().await;
    let against = ("pieces.0.opposing", "natural");
    let fields: Vec<_> = LEAST.into_iter().chain([against]).collect();
    scene.sign(&fields).await.is(303);
    for who in [&scene.dora, &scene.tom] {
        let agenda = who.get("/").await;
        agenda.sees("U, against natural teeth, process and finish");
        let page = who.get(&scene.at("")).await;
        page.sees("upper process and finish, against natural teeth");
    }
    let close = scene.at("/close");
    let said = [("password", PASSWORD), ("nothing_made", "yes")];
    scene.dora.send(&close, &close, &said).await.is(303);
    let page = scene.dora.get("/?closed=1").await;
    let line = format!(".agenda a[href^=\"{}\"]", scene.at(""));
    let line = first(&page, &line).unwrap();
    assert_eq!(line.to_lowercase().matches("closed").count(), 1, "{line}");
}
