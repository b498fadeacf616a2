//! Several things at once: registered, disinfected, put somewhere, labelled, handed over and received.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::{LEAST, Scene};

const CLEANED: [(&str, &str); 4] = [
    ("agent", "sample agent"),
    ("dilution", "1:10"),
    ("minutes", "10"),
    ("rinsed", "yes"),
];

/// The tags that a path to labels ticks.
fn ticked(path: &str) -> Vec<String> {
    let pairs = path.split(['?', '&']);
    let tags = pairs.filter_map(|pair| pair.strip_suffix(".take=yes"));
    tags.map(str::to_owned).collect()
}

/// On the pages of how many of these things an entry says so.
async fn count_of(scene: &Scene, tags: &[String], words: &str) -> usize {
    let mut count = 0;
    for tag in tags {
        let page = scene.dora.get(&format!("/items/{tag}")).await;
        count += usize::from(page.words().contains(&format!("{}{words}", dashed(tag))));
    }
    count
}

/// As it stands on pages.
fn dashed(tag: &str) -> String {
    format!("{}-{}-{}", &tag[..3], &tag[3..6], &tag[6..])
}

async fn add_set(scene: &Scene, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
    let page = scene.at("/items/set");
    who.send(&page, &page, fields).await
}

#[tokio::test]
async fn where_a_thing_is_that_can_be_worn_is_said() {
    let scene = Scene::opened().await;
    add_set(&scene, &scene.anna, &[("provisional-upper.place", "")])
        .await
        .is(422)
        .sees("Say where it is now.");
}

#[tokio::test]
async fn the_usual_set_of_a_copy_is_registered_disinfected_and_put_at_once_and_leads_to_its_labels()
{
    let scene = Scene::opened().await;
    let page = scene.anna.get(&scene.at("/items/set")).await;
    let usual = [
        "provisional-upper",
        "provisional-lower",
        "duplicate-upper",
        "duplicate-lower",
        "bite_record",
        "facebow_record",
    ];
    for key in usual {
        assert_eq!(
            page.count(&format!("input[name=\"{key}.take\"][checked]")),
            1,
            "{key}"
        );
    }
    assert_eq!(page.count("input[name=\"shade_tab.take\"][checked]"), 0);
    let mut fields = CLEANED.to_vec();
    fields.push(("put", "shelf 2"));
    let to = add_set(&scene, &scene.anna, &fields)
        .await
        .is(303)
        .location();
    let tags = ticked(&to);
    // Of the two that are in the mouth nothing can have a label stuck on.
    assert_eq!(tags.len(), usual.len() - 2);
    let labels = scene.anna.get(&to).await;
    labels.is(200).sees("Registered. Print the labels now");
    for tag in &tags {
        assert_eq!(
            labels.count(&format!("input[name=\"{tag}.take\"][checked]")),
            1,
            "{tag}"
        );
    }
    // What is in the mouth is neither disinfected nor put anywhere.
    assert_eq!(count_of(&scene, &tags, " disinfected").await, 4);
    assert_eq!(count_of(&scene, &tags, " put: shelf 2").await, 4);
    scene.dora.get(&scene.at("")).await.sees("In the mouth now");
    // The same set again finds all of them there, and ticks none.
    let again = scene.anna.get(&scene.at("/items/set")).await;
    again.sees("there is one");
    assert_eq!(
        again.count("input[type=checkbox][name$=\".take\"][checked]"),
        0
    );
}

#[tokio::test]
async fn of_a_set_all_are_registered_or_none() {
    let scene = Scene::opened().await;
    // A bite record is never in the mouth: the rules refuse it, and with it the whole set.
    let wrong = [("bite_record.place", "worn")];
    let refused = add_set(&scene, &scene.anna, &wrong).await;
    assert!(
        refused.status == 409 || refused.status == 422,
        "{}",
        refused.status
    );
    let none = [("agent", "sample agent"), ("minutes", "")];
    add_set(&scene, &scene.anna, &none)
        .await
        .is(422)
        .sees("Whole minutes");
    scene
        .anna
        .get(&scene.at(""))
        .await
        .sees("None is registered yet");
    let page = scene.at("/items/set");
    let key = scene
        .anna
        .get(&page)
        .await
        .attribute("input[name=post_key]", "value");
    let nothing = [("post_key", key.as_str())];
    scene
        .anna
        .post(&page, &nothing)
        .await
        .is(422)
        .sees("Tick at least one item to register.");
    for invented in ["crown.take", "provisional.take", "bite_record-upper.take"] {
        let fields = [
            ("post_key", key.as_str()),
            ("bite_record.take", "yes"),
            (invented, "yes"),
        ];
        scene
            .anna
            .post(&page, &fields)
            .await
            .is(422)
            .sees("no item that can be registered");
    }
    scene
        .anna
        .get(&scene.at(""))
        .await
        .sees("None is registered yet");
}

#[tokio::test]
async fn the_lab_registers_what_is_ordered_of_it() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.tom.get(&scene.at("/items/set")).await;
    assert_eq!(
        page.count("input[name=\"final_denture-upper.take\"][checked]"),
        1
    );
    assert_eq!(page.count("input[name=\"final_denture-lower.take\"]"), 0);
    // The work begins with what is made of it, and goes back by handing it over.
    let case = scene.tom.get(&scene.at("")).await;
    case.sees("Read and acknowledge the prescription");
    let tags = ticked(&add_set(&scene, &scene.tom, &[]).await.is(303).location());
    assert_eq!(tags.len(), 1);
}

#[tokio::test]
async fn several_things_are_disinfected_and_put_at_once_each_with_its_entry_or_none_is() {
    let scene = Scene::opened().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let facebow = scene.add(&scene.anna, "facebow_record", "", "here").await;
    let worn = scene.add(&scene.dora, "provisional", "upper", "worn").await;
    let page = scene.at("/items/several");
    let opened = scene.anna.get(&page).await;
    assert_eq!(opened.count(&format!("input[name=\"{bite}.take\"]")), 1);
    assert_eq!(
        opened.count(&format!("input[name=\"{worn}.take\"]")),
        0,
        "it is in the mouth"
    );
    let takes: Vec<String> = [&bite, &facebow]
        .iter()
        .map(|tag| format!("{tag}.take"))
        .collect();
    let ticks: Vec<(&str, &str)> = takes.iter().map(|key| (key.as_str(), "yes")).collect();
    scene
        .anna
        .send(&page, &page, &ticks)
        .await
        .is(422)
        .sees("Say what was done with them");
    scene
        .anna
        .send(&page, &page, &CLEANED)
        .await
        .is(422)
        .sees("Tick at least one item.");
    // One that cannot be done leaves all of them undone.
    let with_worn = format!("{worn}.take");
    let mut fields = ticks.clone();
    fields.extend(CLEANED);
    fields.push((with_worn.as_str(), "yes"));
    scene.anna.send(&page, &page, &fields).await.is(409);
    scene
        .anna
        .get(&scene.at("/history"))
        .await
        .sees_not("disinfected");
    fields.pop();
    fields.push(("put", "tray 4"));
    scene.anna.send(&page, &page, &fields).await.is(303);
    let all = [bite.clone(), facebow.clone(), worn.clone()];
    assert_eq!(count_of(&scene, &all, " disinfected").await, 2);
    assert_eq!(count_of(&scene, &all, " put: tray 4").await, 2);
    // A scan ticks, and the labels are printed of what is ticked.
    let scanned = scene
        .anna
        .send(&page, &page, &[("scan", &bite), ("go", "scan")])
        .await;
    assert_eq!(
        scanned.count(&format!("input[name=\"{bite}.take\"][checked]")),
        1
    );
    ticked(&{
        let mut fields = ticks.clone();
        fields.push(("go", "labels"));
        scene
            .anna
            .send(&page, &page, &fields)
            .await
            .is(303)
            .location()
    })
    .iter()
    .for_each(|tag| assert!([&bite, &facebow].contains(&tag), "{tag}"));
}

#[tokio::test]
async fn one_button_receives_all_as_listed_but_for_what_is_said_in_its_place() {
    let scene = Scene::signed().await;
    let mut tags = Vec::new();
    for kind in ["bite_record", "facebow_record", "photograph", "shade_tab"] {
        tags.push(scene.add(&scene.anna, kind, "", "here").await);
    }
    let all: Vec<&str> = tags.iter().map(String::as_str).collect();
    scene.release(&scene.anna, &all, &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    let (lost, bad) = (
        format!("{}.outcome", tags[0]),
        format!("{}.outcome", tags[3]),
    );
    let unmarked = format!("{}.marked", tags[1]);
    let fields = [
        ("go", "all"),
        (lost.as_str(), "missing"),
        (unmarked.as_str(), "no"),
        (bad.as_str(), "damaged"),
        ("password", PASSWORD),
    ];
    scene
        .tom
        .send(&path, &path, &fields)
        .await
        .is(422)
        .sees("Say what is damaged or different");
    let note = format!("{}.note", tags[3]);
    let fields: Vec<_> = fields
        .into_iter()
        .chain([(note.as_str(), "a corner is off")])
        .collect();
    scene.tom.send(&path, &path, &fields).await.is(303);
    let case = scene.tom.get(&scene.at("")).await;
    case.sees("Bite record was missing from the parcel");
    case.sees("It came without a mark of disinfection");
    case.sees("Shade tab arrived damaged");
    scene.tom.get(&path).await.sees("sound");
}

#[tokio::test]
async fn a_telephone_that_reads_a_label_is_led_to_the_receipt_with_that_thing_compared() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let tab = scene.add(&scene.anna, "shade_tab", "", "here").await;
    let read = format!("/I/{bite}");
    let own = format!("/items/{bite}");
    assert_eq!(scene.tom.get(&read).await.is(303).location(), own);
    scene
        .release(&scene.anna, &[&bite, &tab], &[])
        .await
        .is(303);
    let path = scene.handoff(&scene.tom).await;
    let to = scene.tom.get(&read).await.is(303).location();
    assert_eq!(to, format!("{path}?here={bite}"));
    let page = scene.tom.get(&to).await;
    page.is(200).sees("is ticked off. Still to scan: 1.");
    assert_eq!(
        page.count(&format!("input[name=\"{bite}.here\"][checked]")),
        1
    );
    assert_eq!(
        page.count(&format!("input[name=\"{tab}.here\"][checked]")),
        0
    );
    // Whoever sent it has nothing to receive, and a stranger finds nothing.
    assert_eq!(scene.anna.get(&read).await.is(303).location(), own);
    scene.world.person("lars").get(&to).await.is(404);
    let wrong = format!("{path}?here=T00-000-001");
    scene.tom.get(&wrong).await.is(422);
    let found = [(bite.as_str(), "sound"), (tab.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    assert_eq!(scene.tom.get(&read).await.is(303).location(), own);
}

#[tokio::test]
async fn what_is_listed_and_cannot_go_is_said_before_anything_is_handed_over() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let listed = [
        ("enclosed.0.tag", things.bite.as_str()),
        ("enclosed.1.tag", things.provisional.as_str()),
    ];
    let fields: Vec<_> = LEAST.into_iter().chain(listed).collect();
    scene.sign(&fields).await.is(303);
    let page = scene.anna.get(&scene.at("/release")).await;
    page.sees("Ticked is what revision 1 lists as enclosed.");
    page.sees("Listed as enclosed, and cannot go along now:");
    page.sees("is with the patient, so this cannot be done with it here.");
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let page = scene.anna.get(&scene.at("/release")).await;
    page.sees_not("cannot go along now");
    for tag in [&things.bite, &things.provisional] {
        assert_eq!(
            page.count(&format!("input[name=\"{tag}.take\"][checked]")),
            1,
            "{tag}"
        );
    }
}

#[tokio::test]
async fn agenda_and_case_say_the_same_first_thing() {
    let scene = Scene::signed().await;
    let words = "Register what goes to the lab";
    let main = |page: &Answer| page.attribute("main .actions a.button", "href");
    scene.anna.get("/").await.sees(words);
    let page = scene.anna.get(&scene.at("")).await;
    page.sees("Your turn: register what goes to the lab.");
    assert_eq!(main(&page), scene.at("/items/set"));
    // For the lab it waits for somebody else: nothing stands out there.
    let page = scene.tom.get(&scene.at("")).await;
    assert_eq!(page.count("main .actions > a.button:not(.quiet)"), 0);
    scene.add(&scene.anna, "bite_record", "", "here").await;
    scene.anna.get("/").await.sees("Hand over to the lab");
    let page = scene.anna.get(&scene.at("")).await;
    assert_eq!(main(&page), scene.at("/release"));
}

#[tokio::test]
async fn the_front_of_the_sheet_stands_on_the_page_of_the_case_with_what_changed() {
    let scene = Scene::signed().await;
    let page = scene.tom.get(&scene.at("")).await;
    let front = page.attribute(".front img", "src");
    let picture = scene.tom.get(&front).await;
    picture.is(200);
    assert!(picture.text().starts_with("<svg"), "{}", picture.text());
    scene.world.person("lars").get(&front).await.is(404);
    page.sees_not("Changed since the revision before");
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let page = scene.tom.get(&scene.at("")).await;
    page.sees("Changed since the revision before")
        .sees("B-20 → B-30");
}

#[tokio::test]
async fn an_empty_installation_says_where_its_link_is_and_offers_one_step_after_the_other() {
    let world = crate::common::World::empty().await;
    world
        .nobody()
        .get("/sign-in")
        .await
        .sees("Nobody has an account here yet");
    let link = vestibule::app::manage::first_link(&world.app)
        .await
        .unwrap();
    let root = world.join(&link, "root", None).await;
    world
        .nobody()
        .get("/sign-in")
        .await
        .sees_not("Nobody has an account");
    let house = [
        ("name", "Millhouse Dental"),
        ("address", "1 Mill Lane"),
        ("licence", "OFF-1"),
        ("zone", "Europe/Vienna"),
    ];
    let step = |page: &Answer| page.attribute(".first-steps a.button", "href");
    for kind in ["office", "lab"] {
        let to = step(&root.get("/parties").await);
        assert_eq!(to, format!("/parties/new?kind={kind}"));
        // Kind, paper, numbering and law are filled in, and the time zone of the second house.
        let page = root.get(&to).await;
        assert_eq!(page.count("select[name=kind] option[selected]"), 1);
        root.send(&to, &to, &house).await.is(303);
    }
    // Two offices of one name nobody could tell apart on a paper.
    let again = [
        house[0],
        ("kind", "office"),
        ("address", "9 Other Lane"),
        ("licence", "OFF-2"),
    ];
    root.send("/parties/new", "/parties/new", &again)
        .await
        .is(422)
        .sees("There is a house named Millhouse Dental already");
    for role in ["dentist", "lab_manager"] {
        let to = step(&root.get("/people").await);
        assert!(
            to.starts_with(&format!("/people?role={role}&party=")),
            "{to}"
        );
        let path = to.split('#').next().unwrap().to_owned();
        let fields = [("name", "Somebody New"), ("password", PASSWORD)];
        root.send(&path, "/people/invite", &fields)
            .await
            .is(200)
            .sees("The one-time link");
    }
    assert_eq!(root.get("/people").await.count(".first-steps"), 0);
}

#[tokio::test]
async fn a_set_that_somebody_else_has_registered_meanwhile_is_asked_about_once() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/set");
    let old = scene.dora.get(&page).await;
    let old = old.form(&page, &page, "set_shown");
    add_set(&scene, &scene.anna, &CLEANED).await.is(303);
    let mut old: Vec<(&str, &str)> = old.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    let asked = scene.dora.post(&page, &old).await;
    asked
        .is(422)
        .sees("Registered since this page was made: Provisional denture, upper")
        .sees("entered by anna")
        .sees("Register another?");
    assert_eq!(asked.count("input[name=another]"), 1);
    // In the mouth there is room for one of each.
    old.retain(|(key, _)| *key != "post_key" && !key.ends_with(".place"));
    let again = asked.form(&page, &page, "set_shown");
    old.extend([("another", "yes"), ("post_key", again["post_key"].as_str())]);
    scene.dora.post(&page, &old).await.is(303);
    // A page that knows of them asks nothing.
    let third = [("bite_record.take", "yes")];
    add_set(&scene, &scene.dora, &third).await.is(303);
}
