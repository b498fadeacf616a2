//! One text, three readers: the page for signing, the page of a revision and the slip say the same.

use crate::common::{Answer, Visitor, World};
use crate::pdf_text::{RAW, text_of};
use crate::scene::{LEAST, Scene};
use scraper::{ElementRef, Html, Selector};
use vestibule::app::{App, Person, demo, see_case, sign, sign_in};
use vestibule::domain::prescription::PrintedSection;
use vestibule::domain::prescription::sections::keys;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::domain::values::tooth::Numbering;
use vestibule::papers::typeface::legible;
use vestibule::store::cases;

/// Label and value, or heading and cell; a title or a sentence stands alone.
type Words = Vec<(String, String)>;

fn alone(text: &str) -> (String, String) {
    (String::new(), text.to_owned())
}

fn cells(headings: &[String], rows: &[Vec<String>]) -> Words {
    let rows = rows.iter().flat_map(|row| headings.iter().zip(row));
    rows.map(|(heading, cell)| (heading.clone(), cell.clone()))
        .collect()
}

fn of_walk(sections: &[PrintedSection]) -> Words {
    let mut words = Words::new();
    for section in sections {
        words.push(alone(section.title));
        let lines = section.lines.iter();
        words.extend(lines.map(|line| (line.label.clone(), line.value.clone())));
        words.extend(section.notes.iter().map(|note| alone(note)));
        for table in &section.tables {
            let headings: Vec<String> = table.headings.iter().map(|&one| one.into()).collect();
            words.extend(cells(&headings, &table.rows));
        }
    }
    words
}

fn texts(inside: ElementRef<'_>, selector: &str) -> Vec<String> {
    let selector = Selector::parse(selector).unwrap();
    let found = inside.select(&selector);
    found.map(|one| one.text().collect()).collect()
}

/// What a page says of the text itself.
fn of_page(page: &Answer) -> Words {
    let html = Html::parse_document(&page.is(200).text());
    let parts = Selector::parse(".sections > h2, .sections > dl, .sections > ul, .sections table");
    let rows = Selector::parse("tbody tr").unwrap();
    let mut words = Words::new();
    for part in html.select(&parts.unwrap()) {
        match part.value().name() {
            "h2" => words.push(alone(&part.text().collect::<String>())),
            "dl" => words.extend(texts(part, "dt").into_iter().zip(texts(part, "dd"))),
            "ul" => words.extend(texts(part, "li").iter().map(|text| alone(text))),
            _ => {
                let rows: Vec<_> = part.select(&rows).map(|row| texts(row, "td")).collect();
                words.extend(cells(&texts(part, "th"), &rows));
            }
        }
    }
    words
}

async fn person(app: &App, who: &Visitor) -> Person {
    let secret = who.cookie.as_deref().unwrap().split_once('=').unwrap().1;
    sign_in::person(app, secret).await.unwrap().unwrap()
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

/// The full text has each label and value; one that goes on over the page has a foot and a head in between.
fn is_printed(words: &Words, slip: &Answer) {
    let text = squeezed(&text_of(&slip.is(200).body, RAW));
    // The head of the walk is the slip's own head, and needs no title there.
    for (label, value) in words.iter().skip(1) {
        let both = [label, value].map(|text| squeezed(&legible(text)));
        let has = |words: &str| text.contains(&squeezed(words));
        let whole = has(&both[1]) || legible(value).split_whitespace().all(has);
        assert!(has(&both[0]) && whole, "{label}: {value} is not in {text}");
    }
}

/// The page of a revision as each of these reads it, and its full text on paper. Gives how many of them may read it.
pub async fn say_the_same(
    app: &App,
    readers: &[Visitor],
    number: &CaseNumber,
    revision: i64,
) -> usize {
    let path = format!("/cases/{}/revisions/{revision}", number.as_str());
    let mut count = 0;
    for reader in readers {
        let page = reader.get(&path).await;
        if page.status == 404 || page.status == 403 {
            continue;
        }
        count += 1;
        let who = person(app, reader).await;
        let seen = see_case::see_revision(app, &who, number, revision).await;
        let walk = of_walk(&seen.unwrap().sections());
        assert_eq!(of_page(&page), walk, "{path}");
        let slip = reader.get(&format!("{path}/text.pdf")).await;
        is_printed(&walk, &slip);
    }
    count
}

/// The page for signing, and what would be signed.
pub async fn is_proposed(app: &App, dentist: &Visitor, number: &CaseNumber) {
    let page = dentist
        .get(&format!("/cases/{}/sign", number.as_str()))
        .await;
    let who = person(app, dentist).await;
    let document = sign::propose(app, &who, number).await.unwrap().document;
    let mut walk = document.sections(document.issued.date(), document.numbering);
    for section in walk.iter_mut().filter(|one| one.key == keys::WARNINGS) {
        // Not signed yet.
        section.title = "Will be signed in spite of these warnings";
    }
    // The words come behind the page, of the very text that is shown.
    let words = page.attribute("[data-words]", "data-words");
    let words = dentist.get(&words).await;
    assert_eq!(of_page(&words), of_walk(&walk), "{number}");
}

#[tokio::test]
async fn every_revision_of_the_demo_reads_the_same_to_both_sides_and_on_paper() {
    let world = World::empty().await;
    let app = &world.app;
    let mut readers = Vec::new();
    let mut dentists = Vec::new();
    for account in demo::fill(app, 0).await.unwrap() {
        let fields = [
            ("login", account.login.as_str()),
            ("password", &account.password),
        ];
        let mut visitor = world.nobody();
        let answer = visitor.send("/sign-in", "/sign-in", &fields).await;
        visitor.cookie = answer.is(303).cookie();
        if ["ilse", "ruth"].contains(&account.login.as_str()) {
            dentists.push(visitor.clone());
        }
        readers.push(visitor);
    }
    let mut conn = app.store.read().await.unwrap();
    let cases = cases::all_cases(&mut conn, 100, 0).await.unwrap();
    drop(conn);
    let mut proposed = 0;
    for case in cases {
        for revision in 1..=case.revision {
            let count = say_the_same(app, &readers, &case.number, revision).await;
            assert!(count >= 2, "office and laboratory read {}", case.number);
        }
        for dentist in dentists.iter().filter(|_| !case.closed) {
            let path = format!("/cases/{}/write", case.number.as_str());
            if dentist.get(&path).await.status == 200 {
                dentist.send(&path, &path, &[("go", "sign")]).await;
                proposed += 1;
                is_proposed(app, dentist, &case.number).await;
            }
        }
    }
    assert!(proposed > 3, "{proposed}");
}

#[tokio::test]
async fn the_lab_reads_the_card_and_the_items_before_it_acknowledges() {
    let scene = Scene::opened().await;
    let card = format!("/patients/{}", scene.patient);
    let facts = [
        ("patient.age_band", "70_79"),
        ("patient.exclusions", "listed"),
        ("patient.no_nickel", "yes"),
        ("patient.no_other", "cinnamon oil"),
    ];
    scene.dora.send(&card, &card, &facts).await.is(303);
    let things = scene.things().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    let number = scene.number.parse().unwrap();
    is_proposed(&scene.world.app, &scene.dora, &number).await;
    scene.sign(&LEAST).await.is(303);
    let readers = [scene.dora.clone(), scene.tom.clone()];
    assert_eq!(
        say_the_same(&scene.world.app, &readers, &number, 1).await,
        2
    );
    let page = scene.tom.get(&scene.at("/revisions/1")).await;
    page.sees("Age band 70 to 79")
        .sees("To be avoided nickel, cinnamon oil")
        .sees(&format!(
            "{} Provisional denture, upper 1",
            tag_shown(&things.provisional)
        ));
}

/// `T12-345-678`, as people read it.
fn tag_shown(tag: &str) -> String {
    let tag: vestibule::domain::values::ids::Tag = tag.parse().unwrap();
    tag.to_string()
}

#[tokio::test]
async fn a_card_that_changes_is_a_difference_between_two_revisions() {
    let scene = Scene::signed().await;
    let card = format!("/patients/{}", scene.patient);
    let facts = [
        ("patient.exclusions", "listed"),
        ("patient.no_latex", "yes"),
    ];
    scene.dora.send(&card, &card, &facts).await.is(303);
    scene.begin_draft().await;
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.sees("What changes against revision 1")
        .sees("Patient: To be avoided — latex")
        .sees_not("Who, for whom: Issued");
    scene.sign(&[]).await.is(303);
    let page = scene.tom.get(&scene.at("/revisions/2")).await;
    page.sees("What changed against the revision before")
        .sees("Patient: To be avoided — latex");
}

/// What was signed is one text: the office's tooth numbers stand on the page as on the slip, whichever the reader
/// counts by.
#[tokio::test]
async fn the_page_of_a_revision_has_the_offices_tooth_numbers_as_the_slip_has() {
    let scene = Scene::opened().await;
    let change = [
        ("changes.0.what", "tooth"),
        ("changes.0.tooth", "21"),
        ("changes.0.direction", "outward"),
        ("changes.0.mm", "1"),
    ];
    let fields: Vec<(&str, &str)> = LEAST.into_iter().chain(change).collect();
    scene.sign(&fields).await.is(303);
    let root = scene.world.person("root");
    for party in links(&root.get("/parties").await) {
        let page = root.get(&party).await;
        if page
            .attribute("input[name=name]", "value")
            .starts_with("Kiln")
        {
            let fields = [("numbering", "universal")];
            root.send(&party, &party, &fields).await.is(303);
        }
    }
    let app = &scene.world.app;
    let numbering = person(app, &scene.tom).await.numbering();
    assert_eq!(numbering, Numbering::Universal);
    let number: CaseNumber = scene.number.parse().unwrap();
    let readers = [scene.dora.clone(), scene.tom.clone()];
    assert_eq!(say_the_same(app, &readers, &number, 1).await, 2);
    let path = scene.at("/revisions/1");
    let (dora, tom) = (scene.dora.get(&path).await, scene.tom.get(&path).await);
    assert_eq!(of_page(&dora), of_page(&tom));
    let cells = of_page(&tom);
    let mut teeth = cells.iter().filter(|(label, _)| label == "Tooth");
    assert!(
        teeth.any(|(_, value)| value.starts_with("21 (ISO 3950)")),
        "{cells:?}"
    );
}

fn links(page: &Answer) -> Vec<String> {
    let html = Html::parse_document(&page.is(200).text());
    let links = Selector::parse("th a[href^=\"/parties/\"]").unwrap();
    let links = html.select(&links);
    links
        .filter_map(|one| one.attr("href").map(str::to_owned))
        .collect()
}
