//! What is usual at a house: said once by whoever answers for it, filled into drafts with its version, never into
//! what is signed, and seen by nobody whom it does not concern.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::{LEAST, Scene, last_part, open_case};
use vestibule::app::examine::examine;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::store::drafts;

const NAME: &str = "Full dentures, high impact";
const SET: [(&str, &str); 4] = [
    ("set_name", NAME),
    ("set_begins", "yes"),
    ("base.material", "high_impact"),
    ("base.process", "injection"),
];

/// Makes a set; returns its address.
pub async fn make(who: &Visitor, fields: &[(&str, &str)]) -> String {
    let answer = who.send("/usual/new", "/usual/new", fields).await;
    format!("/usual/{}", last_part(&answer))
}

/// How a draft names a version of the set at this address.
fn mark(path: &str, version: i64) -> String {
    let id = path.trim_start_matches("/usual/").replace("%2D", "-");
    format!("{id}.{version}")
}

async fn change(who: &Visitor, path: &str, fields: &[(&str, &str)]) -> Answer {
    who.send_where(path, path, "Save it", fields).await
}

async fn end(who: &Visitor, path: &str) -> Answer {
    let fields = [("end_set", "yes"), ("go", "end")];
    who.send_where(path, path, "End it", &fields).await
}

async fn begin(scene: &Scene, course: &str) {
    let course = [("order.course", course)];
    scene.write(&scene.dora, &course).await.is(303);
}

async fn stored(scene: &Scene, key: &str) -> Option<String> {
    let number = CaseNumber::parse(&scene.number).unwrap();
    let mut conn = scene.world.app.store.read().await.unwrap();
    let draft = drafts::find(&mut conn, &number).await.unwrap();
    draft.unwrap().fields.get(key).cloned()
}

/// What stands in a field of the form, with its source.
async fn shown(scene: &Scene, who: &Visitor, key: &str) -> (String, String) {
    let page = who.whole_form(&scene.at("/write")).await;
    let form = page.form(&scene.at("/write"), &scene.at("/write"), "data-autosave");
    let html = scraper::Html::parse_document(&page.text());
    let place = format!(".field:has([name=\"{key}\"]) .from");
    let place = scraper::Selector::parse(&place).unwrap();
    let from = html.select(&place).next();
    let from = from.map(|mark| mark.text().collect::<String>());
    (
        form.get(key).cloned().unwrap_or_default(),
        from.unwrap_or_default(),
    )
}

fn pair(text: &str, from: &str) -> (String, String) {
    (text.to_owned(), from.to_owned())
}

async fn is_whole(scene: &Scene) {
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn an_empty_page_says_what_goes_there_and_whoever_answers_for_the_house_makes_a_set() {
    let scene = Scene::opened().await;
    let page = scene.dora.get("/usual").await;
    page.sees("There is no set yet").sees("Make a set");
    let page = scene.anna.get("/usual").await;
    page.sees("There is no set yet")
        .sees_not("Make a set")
        .sees("The dentist, or the lab manager, says what is usual");
    scene.anna.get("/usual/new").await.is(403);
    let form = scene.dora.get("/usual/new").await;
    form.is(200).sees("Base material").sees("Disinfectant");
    for never in [
        "jaw.keyed",
        "shade.approved",
        "marking.answer",
        "jaw.at_final_vertical",
        "vertical.rest_mm",
        "enclosed.0.minutes",
    ] {
        assert_eq!(form.count(&format!("[name=\"{never}\"]")), 0, "{never}");
    }
    let path = make(&scene.dora, &SET).await;
    let page = scene.anna.get(&format!("{path}?done=usual")).await;
    page.sees("New drafts are filled from it from now on")
        .sees(NAME)
        .sees("Version 1, for all kinds of work. Drafts begin with it.")
        .sees("high-impact acrylic resin")
        .sees_not("Change it");
    let list = scene.anna.get("/usual").await;
    list.sees("version 1, 2 values, drafts begin with it");
    scene.anna.post(&path, &SET).await.is(403);
    // Another office, and the lab of the case, see nothing of it.
    for stranger in ["sven", "lars", "tom", "mara"] {
        let stranger = scene.world.person(stranger);
        stranger.get("/usual").await.is(200).sees_not(NAME);
        stranger.get(&path).await.is(404);
    }
    scene.world.person("root").get("/usual").await.is(403);
    is_whole(&scene).await;
}

#[tokio::test]
async fn a_draft_shows_it_keeps_its_version_and_what_is_signed_stays() {
    let scene = Scene::opened().await;
    let path = make(&scene.dora, &SET).await;
    begin(&scene, "everything").await;
    let usual = "usual of version 1";
    assert_eq!(
        shown(&scene, &scene.anna, "base.material").await,
        pair("high_impact", usual)
    );
    scene.write(&scene.dora, &LEAST).await.is(303);
    assert_eq!(stored(&scene, "base.material").await, None);
    assert_eq!(stored(&scene, "form.usual").await, Some(mark(&path, 1)));
    scene
        .dora
        .whole_form(&scene.at("/write"))
        .await
        .sees_not("This set has changed");

    // The set is changed: this draft keeps what it showed and says so, a new one shows the new value.
    let heat = [
        ("base.material", "heat_cured"),
        ("base.process", "compression"),
    ];
    change(&scene.dora, &path, &heat).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("This set has changed since the draft was begun")
        .sees("version 1, as this draft was begun");
    assert_eq!(
        shown(&scene, &scene.dora, "base.material").await,
        pair("high_impact", usual)
    );
    let patient = last_part(&scene.dora.send("/patients/new", "/patients/new", &[]).await);
    let other = open_case(&scene.dora, &patient, "both").await;
    let write = format!("/cases/{other}/write");
    let course = [("order.course", "everything")];
    scene.dora.send(&write, &write, &course).await.is(303);
    let page = scene.dora.whole_form(&write).await;
    page.sees("usual of version 2")
        .sees_not("usual of version 1");

    // The page before the signature counts it by its version; what is signed holds the value.
    scene.reason().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.sees("2 from your usual values (version 1)");
    let password = [("password", PASSWORD)];
    let sign = scene.at("/sign");
    scene.dora.send(&sign, &sign, &password).await.is(303);
    let revision = scene.at("/revisions/1");
    let before = scene.tom.get(&revision).await;
    before.sees("high-impact acrylic resin");
    change(&scene.dora, &path, &[("base.material", "printed")])
        .await
        .is(303);
    end(&scene.dora, &path).await.is(303);
    let after = scene.tom.get(&revision).await;
    after.sees("high-impact acrylic resin").sees_not("printed");
    // A revision that is written again begins with what was signed.
    scene.begin_draft().await;
    assert_eq!(
        shown(&scene, &scene.dora, "base.material").await,
        pair("high_impact", "")
    );
    assert_eq!(stored(&scene, "form.usual").await, None);
    is_whole(&scene).await;
}

#[tokio::test]
async fn a_draft_takes_up_the_new_version_or_none_when_somebody_chooses_it() {
    let scene = Scene::opened().await;
    let path = make(&scene.dora, &SET).await;
    let other = [
        ("set_name", "Milled"),
        ("base.product", "milled disc, sample label"),
    ];
    make(&scene.dora, &other).await;
    begin(&scene, "everything").await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    change(&scene.dora, &path, &[("base.material", "polyamide")])
        .await
        .is(303);
    let newest = mark(&path, 2);
    let page = scene.anna.whole_form(&scene.at("/write")).await;
    assert_eq!(page.count("select[name=\"form.usual\"] option"), 4);
    let choice = [("form.usual", newest.as_str())];
    scene.write(&scene.anna, &choice).await.is(303);
    assert_eq!(
        shown(&scene, &scene.anna, "base.material").await,
        pair("polyamide", "usual of version 2")
    );
    scene
        .anna
        .whole_form(&scene.at("/write"))
        .await
        .sees_not("This set has changed");
    let page = scene.anna.whole_form(&scene.at("/write")).await;
    let milled = page.option_value("form.usual", "Milled");
    scene
        .write(&scene.anna, &[("form.usual", &milled)])
        .await
        .is(303);
    let product = shown(&scene, &scene.anna, "base.product").await;
    assert_eq!(
        product,
        pair("milled disc, sample label", "usual of version 1")
    );
    // None of them, and it stays so however often the form is sent.
    scene
        .write(&scene.anna, &[("form.usual", "")])
        .await
        .is(303);
    for _ in 0..2 {
        let material = shown(&scene, &scene.anna, "base.material").await;
        assert_eq!(material, pair("heat_cured", "starting set"));
        scene.write(&scene.anna, &[]).await.is(303);
    }
}

#[tokio::test]
async fn what_is_not_clear_comes_back_with_everything_typed() {
    let scene = Scene::opened().await;
    let send =
        async |fields: &[(&str, &str)]| scene.dora.send("/usual/new", "/usual/new", fields).await;
    send(&[("set_name", ""), ("base.palate_mm", "2")])
        .await
        .is(422)
        .sees("Type a name for the set.");
    let page = send(&[("set_name", "One"), ("base.palate_mm", "two")]).await;
    page.is(422).sees("Nothing is stored yet");
    assert_eq!(page.attribute("[name=\"base.palate_mm\"]", "value"), "two");
    send(&[("set_name", "One")])
        .await
        .is(422)
        .sees("Fill in at least one value");
    // A text that looks as if it named somebody comes back once.
    let named = [("set_name", "One"), ("base.product", "as for Mrs. Brown")];
    let page = send(&named).await;
    page.is(422);
    assert_eq!(page.count("[name=names_nobody]"), 1);
    // Whatever else is sent along is no part of a set.
    let more = [
        ("set_name", "One"),
        ("base.palate_mm", "2"),
        ("jaw.keyed", "yes"),
    ];
    let path = format!("/usual/{}", last_part(&send(&more).await));
    scene.dora.get(&path).await.sees("2 mm").sees_not("Keyed");
    send(&[("set_name", "one"), ("base.palate_mm", "3")])
        .await
        .is(422)
        .sees("A set of this name is in use already");
    // From an old page nothing is replaced unseen.
    let old = scene.dora.get(&path).await.form(&path, &path, "Save it");
    change(&scene.dora, &path, &[("base.palate_mm", "2.5")])
        .await
        .is(303);
    let pairs: Vec<(&str, &str)> = old.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    let page = scene.dora.post(&path, &pairs).await;
    page.is(409)
        .sees("Somebody has changed this set meanwhile: version 2 is in force")
        .sees("2.5 mm");
    // What was typed stands in the form, which is sent for the newer version from now on.
    assert_eq!(page.attribute("[name='base.palate_mm']", "value"), "2");
    assert_eq!(page.attribute("form.usual [name=version]", "value"), "2");
    scene.dora.get(&path).await.sees("2.5 mm");
    let without_tick = [("go", "end")];
    let page = scene
        .dora
        .send_where(&path, &path, "End it", &without_tick)
        .await;
    page.is(409).sees("Tick “End this set” first.");
}

#[tokio::test]
async fn the_usual_carrier_stands_in_the_form_of_a_handover_until_somebody_types_another() {
    let scene = Scene::opened().await;
    scene.add(&scene.dora, "bite_record", "", "here").await;
    let carrier = |page: &Answer| page.attribute("input[name=carrier]", "value");
    let page = scene.dora.get(&scene.at("/release")).await;
    assert_eq!(carrier(&page), "");
    let more = [("set_name", "Parcels"), ("usual_carrier", "Quay Couriers")];
    let path = make(&scene.dora, &more).await;
    scene
        .dora
        .get(&path)
        .await
        .sees("Handing over")
        .sees("Quay Couriers");
    let page = scene.anna.get(&scene.at("/release")).await;
    assert_eq!(carrier(&page), "Quay Couriers");
    page.sees("Your usual values");
    // Another one is typed, or none: the form keeps what it was sent with.
    let typed = [("carrier", "a neighbour"), ("purpose_code", "")];
    let page = scene
        .anna
        .send(&scene.at("/release"), &scene.at("/release"), &typed)
        .await;
    assert_eq!(carrier(page.is(422)), "a neighbour");
}

#[tokio::test]
async fn the_usual_disinfectant_is_offered_with_the_entry_and_said_of_nothing_before() {
    let scene = Scene::opened().await;
    let more = [
        ("set_name", "Parcels"),
        ("enclosed.0.agent", "surface disinfectant, blue label"),
    ];
    make(&scene.dora, &more).await;
    // What another agent is diluted to is said of that one alone.
    let other = [
        ("set_name", "With a bath"),
        ("enclosed.0.agent", "bath, green label"),
        ("enclosed.0.dilution", "one part in fifty"),
    ];
    make(&scene.dora, &other).await;
    begin(&scene, "everything").await;
    scene.add(&scene.dora, "bite_record", "", "here").await;
    assert_eq!(
        shown(&scene, &scene.anna, "enclosed.0.agent").await,
        pair("", "")
    );
    let page = scene.anna.get(&scene.at("/release")).await;
    let offered = "datalist option[value=\"surface disinfectant, blue label\"]";
    assert_eq!(page.count(offered), 1);
    let of_another = "datalist option[value=\"one part in fifty\"]";
    assert_eq!(page.count(of_another), 0);
    assert_eq!(page.attribute("input[name=agent]", "value"), "");
}

#[tokio::test]
async fn a_draft_begun_without_usual_values_is_offered_the_first_set_and_takes_none_by_itself() {
    let scene = Scene::opened().await;
    begin(&scene, "everything").await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    let before = shown(&scene, &scene.dora, "base.material").await;
    let words = "This draft was begun without usual values.";
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees_not(words);
    let path = make(&scene.dora, &SET).await;
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees(words);
    for _ in 0..2 {
        let now = shown(&scene, &scene.dora, "base.material").await;
        assert_eq!(now, before);
        scene.write(&scene.anna, &[]).await.is(303);
    }
    let first = mark(&path, 1);
    let choice = [("form.usual", first.as_str())];
    scene.write(&scene.anna, &choice).await.is(303);
    assert_eq!(
        shown(&scene, &scene.dora, "base.material").await,
        pair("high_impact", "usual of version 1")
    );
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees_not(words);
}

#[tokio::test]
async fn drafts_begin_with_one_set_and_each_version_tells_what_it_changed() {
    let scene = Scene::opened().await;
    let first = make(&scene.dora, &SET).await;
    let second = [
        ("set_name", "Repairs"),
        ("set_begins", "yes"),
        ("for.repair.takes", "yes"),
        ("base.material", "cold_cured"),
    ];
    let second = make(&scene.dora, &second).await;
    let page = scene.dora.get(&first).await;
    page.sees("Version 2, for all kinds of work.")
        .sees_not("Drafts begin with it.")
        .sees("Drafts begin with it: no, was yes");
    scene
        .dora
        .get(&second)
        .await
        .sees("for repair. Drafts begin with it.");
    change(
        &scene.dora,
        &second,
        &[
            ("set_name", "Repairs and relines"),
            ("for.reline.takes", "yes"),
            ("base.material", ""),
            ("base.process", "pour"),
        ],
    )
    .await
    .is(303);
    scene
        .dora
        .get(&second)
        .await
        .sees("Repairs and relines, was Repairs")
        .sees("Kinds of work: reline or rebase, repair, was repair")
        .sees("Base material: no longer cold-cured acrylic resin")
        .sees("Process: pour")
        .sees("Process: pour Mon 2 Mar 2026 09:00 +01:00 dora");
    // What is saved as it stands is no version.
    change(&scene.dora, &second, &[]).await.is(303);
    scene.dora.get(&second).await.sees("Version 2, for reline");
    end(&scene.dora, &second).await.is(303);
    let page = scene.anna.get(&second).await;
    page.sees("This set is ended").sees("Ended.");
    scene.anna.get("/usual").await.sees("ended");
    // And in use again.
    change(
        &scene.dora,
        &second,
        &[("set_name", "Repairs"), ("base.process", "pour")],
    )
    .await
    .is(303);
    scene
        .dora
        .get(&second)
        .await
        .sees("Version 4, for all kinds of work.");
    is_whole(&scene).await;
}

#[tokio::test]
async fn a_lab_says_what_it_does_unless_told_and_its_offices_see_it() {
    let scene = Scene::opened().await;
    let at_lab = scene.at("/usual");
    scene.dora.get(&at_lab).await.sees("The lab has not said");
    scene.tom.get("/usual/new").await.is(403);
    let form = scene.mara.get("/usual/new").await;
    assert_eq!(form.count("[name=set_name]"), 0);
    assert_eq!(form.count("[name=\"enclosed.0.agent\"]"), 0);
    let said = [("base.process", "injection"), ("finish.keep_months", "6")];
    let path = make(&scene.mara, &said).await;
    scene
        .tom
        .get(&path)
        .await
        .sees("6 months")
        .sees("6 months Mon 2 Mar 2026 09:00 +01:00 mara");
    scene.mara.get("/usual").await.sees_not("Say what you do");
    let again = scene.mara.send("/usual/new", "/usual/new", &said).await;
    again.is(409).sees("A lab has one set");
    for who in [&scene.dora, &scene.anna, &scene.tom] {
        let page = who.get(&at_lab).await;
        page.sees("What we do unless told at Kiln Laboratory")
            .sees("6 months");
    }
    let sven = scene.world.person("sven");
    sven.get(&at_lab).await.is(404);
    make(
        &scene.dora,
        &[
            ("set_name", "Ours"),
            ("set_begins", "yes"),
            ("base.process", "compression"),
        ],
    )
    .await;
    begin(&scene, "everything").await;
    assert_eq!(
        shown(&scene, &scene.dora, "finish.keep_months").await,
        pair("6", "usual at the lab, version 1")
    );
    // The office's own goes before it.
    assert_eq!(
        shown(&scene, &scene.dora, "base.process").await,
        pair("compression", "usual of version 1")
    );
    is_whole(&scene).await;
}

#[tokio::test]
async fn a_usual_value_that_the_patients_last_case_had_otherwise_is_asked_and_a_remake_takes_it_over()
 {
    let mut scene = Scene::opened().await;
    scene
        .write(
            &scene.dora,
            &[
                ("order.course", "everything"),
                ("base.material", "polyamide"),
            ],
        )
        .await
        .is(303);
    scene.sign(&LEAST).await.is(303);
    let before = scene.dora.get(&scene.at("")).await.words();
    make(&scene.dora, &SET).await;
    scene.number = open_case(&scene.dora, &scene.patient, "both").await;
    begin(&scene, "everything").await;
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("had otherwise what is usual here. Base material: usual is high-impact acrylic resin, and the case before had polyamide");
    let said = page.words();
    let number = said.split("last signed case, ").nth(1).unwrap();
    let number = number.split(',').next().unwrap();
    assert!(before.contains(number), "{number}");
    scene
        .write(&scene.dora, &[("order.kind", "remake")])
        .await
        .is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees_not("had otherwise what is usual here");
    assert_eq!(
        shown(&scene, &scene.dora, "base.material").await,
        pair("polyamide", "case before")
    );
    assert_eq!(
        shown(&scene, &scene.dora, "shade.tab").await,
        pair("B-20", "case before")
    );
    // Somebody else's patient says nothing to it.
    let patient = last_part(&scene.dora.send("/patients/new", "/patients/new", &[]).await);
    scene.number = open_case(&scene.dora, &patient, "both").await;
    scene
        .write(
            &scene.dora,
            &[("order.course", "everything"), ("order.kind", "remake")],
        )
        .await
        .is(303);
    assert_eq!(shown(&scene, &scene.dora, "shade.tab").await, pair("", ""));
    // Named as the earlier case, it is asked about; a number of another house is not.
    let other = "of another patient";
    for (named, is_asked) in [(number, true), ("K 4711", false)] {
        let fields = [("order.earlier_case", named)];
        scene.write(&scene.dora, &fields).await.is(303);
        let page = scene.dora.whole_form(&scene.at("/write")).await;
        assert_eq!(page.words().contains(other), is_asked, "{named}");
    }
}
