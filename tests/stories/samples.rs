//! Every page in every state: empty, one, many, too long, and in letters that are not ours.

use crate::common::{Answer, PASSWORD, Visitor, World};
use crate::documents::{is_proposed, say_the_same};
use crate::lists::{MOULDS, load_guide, load_moulds};
use crate::scene::{Scene, Things, last_part, open_case};
use crate::usual;
use scraper::{Html, Selector};
use std::collections::BTreeSet;
use vestibule::domain::form::{FieldSpec, Kind};
use vestibule::domain::prescription::{all_fields, field_spec};
use vestibule::domain::review::sample;

/// What holds for every page: one heading of the first rank, ids that are unique, a label for each box,
/// descriptions that exist, and no script, style or handler written into the page.
fn is_sound(path: &str, answer: &Answer) {
    answer.is(200);
    assert_eq!(
        answer.headers["content-type"], "text/html; charset=utf-8",
        "{path}"
    );
    let html = Html::parse_document(&answer.text());
    let all = |selector: &str| {
        html.select(&Selector::parse(selector).unwrap())
            .collect::<Vec<_>>()
    };
    assert_eq!(all("h1").len(), 1, "headings of {path}");
    // A drawing has a title of its own, which names it and not the page.
    assert_eq!(
        all("title").len() - all("svg title").len(),
        1,
        "titles of {path}"
    );
    assert_eq!(
        all("svg[role=img]").len(),
        all("svg > title").len(),
        "drawings of {path}"
    );
    assert_eq!(
        all("script:not([src]), style, [style], [onclick], [onerror], iframe").len(),
        0,
        "{path}"
    );
    let ids: Vec<&str> = all("[id]")
        .iter()
        .filter_map(|element| element.value().id())
        .collect();
    let unique: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(
        ids.len(),
        unique.len(),
        "an id stands twice on {path}: {ids:?}"
    );
    for field in all("input:not([type=hidden]), select, textarea") {
        let of_id = field
            .value()
            .id()
            .map(|id| format!("label[for=\"{id}\"]"))
            .is_some_and(|label| !all(&label).is_empty());
        let is_inside = field
            .ancestors()
            .filter_map(scraper::ElementRef::wrap)
            .any(|element| element.value().name() == "label");
        assert!(
            of_id || is_inside || field.value().attr("aria-label").is_some(),
            "no label on {path}: {}",
            field.html()
        );
    }
    for element in all("[aria-describedby], [aria-labelledby]") {
        let named = ["aria-describedby", "aria-labelledby"]
            .into_iter()
            .filter_map(|name| element.value().attr(name));
        for id in named.flat_map(str::split_whitespace) {
            assert!(
                unique.contains(id),
                "{path} points at #{id}, which is not there"
            );
        }
    }
    for link in all("a[href^=\"#\"]") {
        let id = link.value().attr("href").unwrap().trim_start_matches('#');
        assert!(
            unique.contains(id),
            "{path} leads to #{id}, which is not there"
        );
    }
}

/// What comes behind a page has each field that one of its links names.
async fn has_what_is_named(who: &Visitor, path: &str, answer: &Answer) {
    let named: Vec<String> = {
        let html = Html::parse_document(&answer.text());
        let links = Selector::parse("a[data-field]").unwrap();
        let names = html
            .select(&links)
            .filter_map(|link| link.attr("data-field"));
        names.map(str::to_owned).collect()
    };
    if named.is_empty() {
        return;
    }
    let page = path.split('?').next().unwrap();
    // The script says what its page shows, and is given all the rest.
    let folds = who.get(&format!("{page}?folds=yes&under=none")).await;
    for id in named {
        let field = format!("[id=\"{id}\"]");
        let found = answer.count(&field) + folds.count(&field);
        assert!(found > 0, "{path} names #{id}, which never comes");
    }
}

async fn all_sound(who: &Visitor, paths: &[String]) {
    for path in paths {
        let answer = who.get(path).await;
        is_sound(path, &answer);
        has_what_is_named(who, path, &answer).await;
    }
}

async fn all_pdf(who: &Visitor, paths: &[String]) {
    for path in paths {
        let (once, again) = (who.get(path).await, who.get(path).await);
        assert!(
            once.is(200).body.starts_with(b"%PDF") && once.body == again.body,
            "{path}"
        );
    }
}

fn paths(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

fn first_pages() -> Vec<String> {
    paths(&[
        "/",
        "/?list=you",
        "/?list=coming",
        "/?list=others",
        "/?only=late",
        "/?only=held&week=2026-11-30&stage=process",
        "/?closed=1",
        "/account",
        "/law",
        "/record",
        "/record?paper=1:0123456789abcdef",
    ])
}

/// The pages of one case, for the office.
async fn pages_of(scene: &Scene, things: Option<&Things>) -> Vec<String> {
    let mut pages = first_pages();
    pages.extend(paths(&[
        "/patients",
        "/patients/new",
        "/cases/new",
        "/guides",
        "/usual",
        "/usual/new",
        "/reports",
        "/reports?month=2026-02",
        "/in-house",
    ]));
    pages.extend(scene.dora.get("/guides").await.hrefs("/guides/"));
    pages.extend(scene.dora.get("/usual").await.hrefs("/usual/"));
    pages.push(format!("/patients/{}", scene.patient));
    pages.push(format!("/cases/new?patient={}", scene.patient));
    pages.push(format!("/patients/{}?done=saved", scene.patient));
    for rest in [
        "",
        "/write",
        "/write?look=yes",
        "/write?more=changes",
        "/sign",
        "/history",
        "/dates",
        "/fit",
        "/follow-up",
        "/pictures",
        "/scans",
        "/items/new",
        "/mouth",
        "/release",
        "/reported",
        "/reported?words=tongue",
        "/reported?c1=yes&c36=yes",
        "/moulds",
        "/usual",
        "/holds",
        "/close",
        "/erase",
        "/keep",
    ] {
        pages.push(scene.at(rest));
    }
    pages.push(scene.at("/history?day=2026-03-02&time=12:00"));
    if let Some(things) = things {
        pages.push(scene.at("/revisions/1"));
        pages.push(scene.handoff(&scene.dora).await);
        pages.extend(
            [&things.provisional, &things.duplicate, &things.bite]
                .map(|tag| format!("/items/{tag}")),
        );
    }
    pages
}

async fn administration(world: &World) {
    let root = world.person("root");
    let mut pages = paths(&[
        "/parties",
        "/parties/new",
        "/people",
        "/account",
        "/law",
        "/record",
        "/let-in",
    ]);
    let people = root.get("/people").await;
    pages.push(people.attribute("a[href$=\"/new-password\"]", "href"));
    pages.push(
        root.get("/parties")
            .await
            .attribute("th a[href^=\"/parties/\"]", "href"),
    );
    all_sound(&root, &pages).await;
}

#[tokio::test]
async fn pages_before_anything_is_there() {
    let world = World::empty().await;
    let link = vestibule::app::manage::first_link(&world.app)
        .await
        .unwrap();
    all_sound(&world.nobody(), &[link.clone(), "/sign-in".to_owned()]).await;
    let root = world.join(&link, "root", None).await;
    all_sound(
        &root,
        &paths(&["/parties", "/parties/new", "/people", "/account", "/record"]),
    )
    .await;
    root.get("/parties").await.sees("There is none yet.");
    let world = World::peopled().await;
    all_sound(&world.person("dora"), &first_pages()).await;
    all_sound(
        &world.person("dora"),
        &paths(&["/patients", "/patients/new", "/cases/new"]),
    )
    .await;
    all_sound(&world.person("tom"), &first_pages()).await;
    all_sound(
        &world.person("tom"),
        &paths(&["/moulds", "/lab-days", "/usual"]),
    )
    .await;
    all_sound(
        &world.person("dora"),
        &paths(&["/guides", "/closed-days", "/usual"]),
    )
    .await;
    all_pdf(&world.person("dora"), &paths(&["/patients/key-sheet.pdf"])).await;
    world.person("dora").get("/").await.sees("The first case");
}

#[tokio::test]
async fn pages_of_an_empty_case() {
    let scene = Scene::opened().await;
    let begun = [("anterior.character", "round")];
    scene.write(&scene.anna, &begun).await.is(303);
    all_sound(&scene.dora, &pages_of(&scene, None).await).await;
    all_sound(
        &scene.tom,
        &[
            scene.at(""),
            scene.at("/history"),
            scene.at("/items/new"),
            scene.at("/release"),
        ],
    )
    .await;
    all_pdf(
        &scene.dora,
        &[scene.at("/draft.pdf"), scene.at("/history.pdf")],
    )
    .await;
}

#[tokio::test]
async fn pages_of_one_case_at_work() {
    let (scene, things) = Scene::at_the_lab().await;
    scene.begin_draft().await;
    all_sound(&scene.dora, &pages_of(&scene, Some(&things)).await).await;
    let lab = [
        scene.at(""),
        scene.at("/history"),
        scene.at("/release"),
        format!("/items/{}", things.provisional),
        scene.at("/revisions/1"),
    ];
    all_sound(&scene.tom, &lab).await;
    all_sound(&scene.tom, &first_pages()).await;
    all_sound(&scene.tom, &paths(&["/moulds", "/lab-days", "/usual"])).await;
    administration(&scene.world).await;
    all_pdf(
        &scene.dora,
        &[
            scene.at("/draft.pdf"),
            scene.at("/history.pdf"),
            scene.at("/revisions/1/slip.pdf"),
        ],
    )
    .await;
}

#[tokio::test]
async fn pages_of_many_patients_cases_and_items() {
    let scene = Scene::opened().await;
    for count in 0..60 {
        let key = format!("many-patients-{count}");
        let patient = last_part(
            &scene
                .dora
                .post("/patients/new", &[("post_key", &key)])
                .await,
        );
        open_case(&scene.dora, &patient, ["both", "upper", "lower"][count % 3]).await;
    }
    for count in 0..40 {
        let key = format!("many-items-{count}");
        let fields = [
            ("post_key", key.as_str()),
            ("item_kind", "shade_tab"),
            ("place", "here"),
        ];
        scene
            .dora
            .post(&scene.at("/items/new"), &fields)
            .await
            .is(303);
    }
    scene.begin_draft().await;
    all_sound(&scene.dora, &pages_of(&scene, None).await).await;
    all_sound(
        &scene.dora,
        &paths(&["/patients?page=1", "/?list=you&page=1", "/?list=you&page=7"]),
    )
    .await;
    let home = scene.dora.get("/").await;
    assert_eq!(home.sees("For you 61").count("a[href=\"/?list=you\"]"), 1);
    // Every case is on one of the pages, and on one only.
    let mut seen = BTreeSet::new();
    for page in 0..4 {
        let page = scene.dora.get(&format!("/?list=you&page={page}")).await;
        let html = Html::parse_document(&page.text());
        for card in html.select(&Selector::parse(".agenda li a").unwrap()) {
            assert!(
                seen.insert(card.value().attr("href").unwrap().to_owned()),
                "a case stands twice"
            );
        }
    }
    assert_eq!(seen.len(), 61);
    all_pdf(
        &scene.dora,
        &[
            scene.at("/history.pdf"),
            "/patients/key-sheet.pdf".to_owned(),
        ],
    )
    .await;
}

/// What a field holds when `text` makes its words, given the most characters it takes.
fn filling(spec: &FieldSpec, text: &dyn Fn(usize) -> String) -> String {
    match spec.kind {
        Kind::Text { max } | Kind::LongText { max } => text(max),
        _ => String::new(),
    }
}

/// The whole prescription of the review's sample, with every free text made by `text`, two rows in every
/// list. It names no item, since the sample's are not this case's.
fn everything(text: &dyn Fn(usize) -> String) -> Vec<(String, String)> {
    let mut raw = sample::raw();
    raw.retain(|key, _| field_spec(key).is_some_and(|spec| spec.kind != Kind::Tag));
    for spec in all_fields().filter(|spec| spec.is_free_text()) {
        let rows = if spec.key.contains('#') {
            vec![Some(0), Some(1)]
        } else {
            vec![None]
        };
        for row in rows {
            raw.insert(spec.at(row), filling(spec, text));
        }
    }
    // The same words as a material and as what is to be avoided would rightly be stopped, and so would a
    // copy of a pattern that is not in the box.
    for (key, text) in [
        ("base.without", "beryllium"),
        ("pattern.source", "none"),
        ("pattern.rule", "guide"),
        // A tooth without its number, and a file without its unit.
        ("extractions.0.tooth", "11"),
        ("extractions.1.tooth", "12"),
        ("cast_trim.by", "nobody"),
        ("scans.0.units", "mm"),
        ("scans.1.units", "mm"),
    ] {
        raw.insert(key.to_owned(), text.to_owned());
    }
    raw.into_iter().collect()
}

fn borrowed(pairs: &[(String, String)]) -> Vec<(&str, &str)> {
    pairs
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect()
}

/// A case in which every text is made by `text`, from the office's name to the carrier's seal.
async fn dressed(text: &dyn Fn(usize) -> String) -> (Scene, Things) {
    let mut scene = Scene::opened().await;
    dressed_lists(&scene, text).await;
    let root = scene.world.person("root");
    for house in ["Northgate", "Kiln"] {
        let path = party_path(&root, house).await;
        let fields = [
            ("name", text(110)),
            ("address", text(400)),
            ("licence", text(60)),
        ];
        let fields = fields.map(|(key, text)| {
            (
                key,
                format!("{}{text}", if key == "name" { house } else { "" }),
            )
        });
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(key, text)| (*key, text.as_str()))
            .collect();
        root.send(&path, &path, &fields).await.is(303);
    }
    scene.dora = named_dentist(&scene.world, &root, &text(120), &text(60)).await;
    let card = format!("/patients/{}", scene.patient);
    let fields = [
        ("patient.age_band", "70_79".to_owned()),
        ("patient.handling", text(200)),
        ("patient.exclusions", "none_known".to_owned()),
    ];
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(key, text)| (*key, text.as_str()))
        .collect();
    scene.dora.send(&card, &card, &fields).await.is(303);
    scene
        .write(&scene.dora, &borrowed(&everything(text)))
        .await
        .is(303);
    scene.reason().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.is(200).sees_not("Not ready to be signed");
    let fields = [("password", PASSWORD), ("warnings_read", "yes")];
    scene
        .dora
        .send(&scene.at("/sign"), &scene.at("/sign"), &fields)
        .await
        .is(303);
    let things = scene.things().await;
    let (note, half) = (text(300), text(500));
    let page = scene.at("/items/new");
    scene
        .dora
        .send(
            &page,
            &page,
            &[("item_kind", "other"), ("place", "here"), ("note", &note)],
        )
        .await
        .is(303);
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let condition = format!("{}.condition", things.bite);
    let more = [
        "carrier",
        "purpose",
        "tracking",
        "parcel.1.seal",
        "parcel.1.note",
        "agent",
        "dilution",
        condition.as_str(),
    ]
    .map(|key| (key, half.as_str()));
    scene
        .release(&scene.dora, &[&things.provisional, &things.bite], &more)
        .await
        .is(303);
    let unsound = format!("{}.note", things.bite);
    let found = [
        (things.provisional.as_str(), "sound"),
        (things.bite.as_str(), "damaged"),
    ];
    scene
        .receive(
            &scene.tom,
            &found,
            &[
                (&unsound, &half),
                ("unannounced", &half),
                ("parcel.1.seal", "intact"),
                ("parcel.1.number", &half),
            ],
        )
        .await
        .is(303);
    scene.begin_draft().await;
    (scene, things)
}

/// A mould list and a guide whose codes and name are made by `text`.
async fn dressed_lists(scene: &Scene, text: &dyn Fn(usize) -> String) {
    let quoted = |most| format!("\"{}\"", text(most).trim().replace('"', "\"\""));
    let heading = MOULDS.lines().next().unwrap();
    let moulds = format!("{heading}\n{},upper,front,47,curve,,,,1\n", quoted(60));
    load_moulds(&scene.tom, &moulds).await.is(303);
    let tabs = format!("tab,L,a,b\n{},70,1,18\n", quoted(40));
    load_guide(&scene.anna, &text(80), &tabs).await;
    let long = [("set_name", text(60)), ("base.product", text(80))];
    let long = long.each_ref().map(|(key, text)| (*key, text.as_str()));
    let ticked = [("set_begins", "yes"), ("names_nobody", "yes")];
    usual::make(&scene.dora, &[&long[..], &ticked].concat()).await;
}

async fn party_path(root: &Visitor, name: &str) -> String {
    let page = root.get("/parties").await;
    let html = Html::parse_document(&page.text());
    let links = Selector::parse("th a[href^=\"/parties/\"]").unwrap();
    let link = html
        .select(&links)
        .find(|link| link.text().any(|text| text.contains(name)))
        .unwrap();
    link.value().attr("href").unwrap().to_owned()
}

async fn named_dentist(world: &World, root: &Visitor, name: &str, licence: &str) -> Visitor {
    let party = root.get("/people").await.option_value("party", "Northgate");
    let fields = [
        ("name", name),
        ("role", "dentist"),
        ("party", party.as_str()),
        ("password", PASSWORD),
    ];
    let link = root
        .send("/people", "/people/invite", &fields)
        .await
        .attribute("input.link", "value");
    let link = link.trim_start_matches("http://vestibule.test");
    let fields = [
        ("name", name),
        ("licence", licence),
        ("login", "dressed"),
        ("password", PASSWORD),
        ("password_again", PASSWORD),
    ];
    let answer = world.nobody().send(link, link, &fields).await;
    let mut visitor = world.nobody();
    visitor.cookie = answer.is(303).cookie();
    visitor
}

async fn all_of_dressed(text: &dyn Fn(usize) -> String) -> (Scene, Things) {
    let (scene, things) = dressed(text).await;
    all_sound(&scene.dora, &pages_of(&scene, Some(&things)).await).await;
    let lab = [
        scene.at(""),
        scene.at("/history"),
        scene.at("/release"),
        scene.at("/holds"),
        scene.at("/revisions/1"),
        scene.handoff(&scene.tom).await,
    ];
    all_sound(&scene.tom, &lab).await;
    all_sound(&scene.tom, &first_pages()).await;
    all_sound(&scene.tom, &paths(&["/moulds", "/lab-days", "/usual"])).await;
    administration(&scene.world).await;
    let number = scene.number.parse().unwrap();
    let readers = [scene.dora.clone(), scene.tom.clone()];
    let app = &scene.world.app;
    assert_eq!(say_the_same(app, &readers, &number, 1).await, 2);
    is_proposed(app, &scene.dora, &number).await;
    let papers = [
        "/draft.pdf",
        "/history.pdf",
        "/revisions/1/slip.pdf",
        "/revisions/1/slip.pdf?paper=letter",
        "/revisions/1/text.pdf",
    ];
    all_pdf(&scene.dora, &papers.map(|rest| scene.at(rest))).await;
    let note = format!("{}/note.pdf", scene.handoff(&scene.dora).await);
    all_pdf(&scene.tom, &[note]).await;
    all_pdf(&scene.dora, &paths(&["/patients/key-sheet.pdf"])).await;
    (scene, things)
}

#[tokio::test]
async fn pages_whose_texts_are_as_long_as_they_may_be() {
    all_of_dressed(&|most| {
        "Wide word "
            .repeat(60)
            .chars()
            .take(most)
            .collect::<String>()
            .trim()
            .replace(' ', "W")
    })
    .await;
}

#[tokio::test]
async fn pages_in_other_scripts() {
    let letters = "Прикус Δόντι 咬合 義歯 אבג العض 🦷 ÿ e\u{301} ﬁ ";
    let (scene, _) = all_of_dressed(&|most| {
        letters
            .repeat(20)
            .chars()
            .take(most)
            .collect::<String>()
            .trim()
            .to_owned()
    })
    .await;
    scene
        .tom
        .get(&scene.at("/revisions/1"))
        .await
        .sees("Прикус Δόντι 咬合 義歯");
    scene.tom.get(&scene.at("/history")).await.sees("العض 🦷");
}

#[tokio::test]
async fn pages_with_markup_typed_into_every_text() {
    let markup = "<script>alert(1)</script><b id=main>\"'&amp;--></textarea></title>{{ 7*7 }}";
    let (scene, things) =
        all_of_dressed(&|most| markup.repeat(10).chars().take(most).collect()).await;
    let mut pages = pages_of(&scene, Some(&things)).await;
    pages.push("/find?q=%3Cscript%3Ealert(1)%3C%2Fscript%3E".to_owned());
    for path in pages {
        let page = scene.dora.get(&path).await;
        assert!(
            !page.text().contains("<script>") && !page.text().contains("<b id=main>"),
            "{path}"
        );
    }
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("<script>alert(1)</script>");
}

#[tokio::test]
async fn forms_sent_back_with_markup_and_long_words_are_sound_too() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let text = "<script>\"'>".repeat(60);
    let mark = text.as_str();
    let (record, release) = (format!("/items/{bite}/record"), scene.at("/release"));
    let forms: [(&str, &[(&str, &str)]); 9] = [
        (
            "/patients/new",
            &[("patient.handling", mark), ("patient.sex", mark)],
        ),
        (
            "/cases/new",
            &[("patient", mark), ("lab", mark), ("arches", mark)],
        ),
        (
            &scene.at("/items/new"),
            &[
                ("item_kind", mark),
                ("arch", mark),
                ("pieces", mark),
                ("note", mark),
            ],
        ),
        (
            &record,
            &[("action", "disinfect"), ("agent", mark), ("minutes", mark)],
        ),
        (
            &release,
            &[
                ("carrier", mark),
                ("purpose_code", mark),
                ("purpose", mark),
                ("minutes", mark),
            ],
        ),
        (&scene.at("/mouth"), &[("arch", "upper"), ("fit", mark)]),
        (
            "/guides",
            &[("kind", mark), ("guide", mark), ("text", mark)],
        ),
        (
            "/account/password",
            &[("password", mark), ("new_password", mark)],
        ),
        (
            "/sign-in",
            &[("login", mark), ("password", mark), ("next", mark)],
        ),
    ];
    for (path, fields) in forms {
        let fields: Vec<(&str, &str)> = [("post_key", "markup-key-0001")]
            .iter()
            .chain(fields)
            .copied()
            .collect();
        let mut answer = scene.dora.post(path, &fields).await;
        assert!(!answer.is(422).text().contains("<script>"), "{path}");
        answer.status = axum::http::StatusCode::OK;
        is_sound(path, &answer);
    }
}

#[tokio::test]
async fn marks_that_turn_the_direction_of_text_are_kept_out_or_shown_harmlessly() {
    let scene = Scene::opened().await;
    let turned = "upper\u{202E}reppu\u{2066}x\u{0007}";
    scene
        .write(
            &scene.dora,
            &[("anterior.character", turned), ("shade.tab", turned)],
        )
        .await
        .is(303);
    let page = scene.dora.get(&scene.at("/write?look=yes")).await;
    is_sound("write", &page);
    has_what_is_named(&scene.dora, &scene.at("/write"), &page).await;
    let card = format!("/patients/{}", scene.patient);
    let status = scene
        .dora
        .send(&card, &card, &[("patient.handling", turned)])
        .await
        .status
        .as_u16();
    assert!(matches!(status, 303 | 422), "{status}");
    is_sound(&card, &scene.dora.get(&card).await);
    all_pdf(&scene.dora, &[scene.at("/draft.pdf")]).await;
}
