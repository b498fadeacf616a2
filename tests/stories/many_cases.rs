//! The first page and the search with the cases of a small house and with five hundred, for office and lab: nothing is
//! left out, the order holds over all pages, and no page grows with the house.

use crate::common::{Answer, Visitor, World};
use scraper::{ElementRef, Html, Selector};
use std::collections::{BTreeMap, BTreeSet};
use vestibule::app::demo::{self, DemoAccount};
use vestibule::domain::custody::agenda::{OnAgenda, WhoseTurn};
use vestibule::domain::custody::case::Case;
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::PartyId;
use vestibule::store::{cases, people};

/// Bytes of a page as it is read.
const MOST: usize = 100 * 1024;

/// Days of the cases, from the clock of the tests: late, today, this week, later, and none.
const DAYS: [&str; 7] = [
    "2026-02-10",
    "2026-02-27",
    "2026-03-02",
    "2026-03-04",
    "2026-03-09",
    "2026-05-04",
    "",
];

/// What one house sees: its cases, and whoever looks.
struct House {
    side: Side,
    who: Visitor,
    cases: Vec<Case>,
}

fn on(case: &Case, side: Side) -> &OnAgenda {
    match side {
        Side::Office => &case.agenda.office,
        Side::Lab => &case.agenda.lab,
    }
}

fn is_mine(turn: WhoseTurn) -> bool {
    matches!(
        turn,
        WhoseTurn::Toothless
            | WhoseTurn::Held
            | WhoseTurn::Asked
            | WhoseTurn::Yours
            | WhoseTurn::Coming
    )
}

/// The demo with so many plain cases beside it, each with a day of its own; of every third the lab has the next step.
async fn houses_with(more: u32) -> (World, [House; 2]) {
    let world = World::empty().await;
    let accounts = demo::fill(&world.app, more).await.unwrap();
    let all = all_cases(&world).await;
    let plain = all.iter().filter(|case| case.revision == 0);
    let mut conn = world.past_the_store().await;
    for (place, case) in plain.enumerate() {
        let day = DAYS[place % DAYS.len()];
        if !day.is_empty() {
            let sql = "UPDATE case_file SET office_day = $1, lab_day = $1 WHERE number = $2";
            let update = sqlx::query(sql).bind(day).bind(case.number.as_str());
            update.execute(&mut conn).await.unwrap();
        }
        if place % 3 == 0 {
            let sql = "UPDATE case_file SET office_turn = $1, lab_turn = $2 WHERE number = $3";
            let update = sqlx::query(sql).bind(WhoseTurn::Others.word());
            let update = update.bind(WhoseTurn::Yours.word());
            let update = update.bind(case.number.as_str());
            update.execute(&mut conn).await.unwrap();
        }
    }
    drop(conn);
    let all = all_cases(&world).await;
    // The two houses that have the most to do with each other.
    let mut between: BTreeMap<(&PartyId, &PartyId), usize> = BTreeMap::new();
    for case in &all {
        *between.entry((&case.office, &case.lab)).or_default() += 1;
    }
    let most = between.into_iter().max_by_key(|(_, count)| *count);
    let (office, lab) = most.unwrap().0;
    let of = |side: Side, party: &PartyId| -> Vec<Case> {
        let is_own = |case: &&Case| match side {
            Side::Office => case.office == *party,
            Side::Lab => case.lab == *party,
        };
        let open = all.iter().filter(|case| !case.closed);
        open.filter(is_own).cloned().collect()
    };
    let mut houses = Vec::new();
    for (side, party) in [(Side::Office, office), (Side::Lab, lab)] {
        let logins = logins_of(&world, party).await;
        let is_here = |one: &&DemoAccount| logins.contains(&one.login);
        let account = accounts.iter().find(is_here).unwrap();
        let (login, password) = (account.login.as_str(), account.password.as_str());
        let fields = [("login", login), ("password", password)];
        let answer = world.nobody().send("/sign-in", "/sign-in", &fields).await;
        answer.is(303);
        houses.push(House {
            side,
            who: world.nobody().with_cookies_of(&answer),
            cases: of(side, party),
        });
    }
    let houses = houses.try_into().ok().unwrap();
    (world, houses)
}

async fn all_cases(world: &World) -> Vec<Case> {
    let mut conn = world.app.store.read().await.unwrap();
    cases::all_cases(&mut conn, 1_000, 0).await.unwrap()
}

/// The sign-in names of a house.
async fn logins_of(world: &World, party: &PartyId) -> Vec<String> {
    let mut conn = world.app.store.read().await.unwrap();
    let accounts = people::accounts_of(&mut conn, party).await.unwrap();
    accounts.into_iter().map(|one| one.login).collect()
}

fn select<T>(page: &Answer, selector: &str, read: impl Fn(ElementRef<'_>) -> T) -> Vec<T> {
    let html = Html::parse_document(&page.text());
    let selector = Selector::parse(selector).unwrap();
    html.select(&selector).map(read).collect()
}

fn href(link: ElementRef<'_>) -> String {
    link.value().attr("href").unwrap().to_owned()
}

/// The numbers of the cases that stand in a part of the page, from top to bottom.
fn numbers(page: &Answer, within: &str) -> Vec<String> {
    let links = select(page, &format!("{within} li a"), href).into_iter();
    links
        .map(|path| path.trim_start_matches("/cases/").to_owned())
        .collect()
}

async fn looks_at(who: &Visitor, path: &str) -> Answer {
    let page = who.get(path).await;
    let size = page.is(200).body.len();
    assert!(size <= MOST, "{path} has {size} bytes");
    page
}

/// All numbers of a list, by the links from each of its pages to the next.
async fn whole_list(who: &Visitor, list: &str) -> Vec<String> {
    let (mut all, mut next) = (Vec::new(), Some(format!("/?list={list}")));
    while let Some(path) = next {
        let page = looks_at(who, &path).await;
        all.extend(numbers(&page, ".agenda"));
        assert!(all.len() < 1_000, "{path} leads in a circle");
        let further = select(&page, ".further a", |link| {
            let is_on = link.text().collect::<String>() == "The next ones";
            is_on.then(|| href(link))
        });
        next = further.into_iter().flatten().next();
    }
    all
}

/// A count as the page says it: nobody counts further than a hundred.
fn count_words(count: usize) -> String {
    match count {
        0..=100 => count.to_string(),
        _ => "100+".to_owned(),
    }
}

/// Each list whole and in order, and the first page as its beginning.
async fn has_its_lists(house: &House) {
    let first = looks_at(&house.who, "/").await;
    let mut seen = BTreeSet::new();
    for list in ["you", "coming", "others"] {
        let all = whole_list(&house.who, list).await;
        let shown = numbers(&first, &format!("[aria-labelledby=list-{list}]"));
        assert_eq!(shown, all[..shown.len()], "{list}");
        let whole = if list == "others" { 8 } else { 40 };
        assert_eq!(shown.len(), all.len().min(whole), "{list}");
        let beyond = select(&first, ".further a", href);
        let is_led_on = beyond.contains(&format!("/?list={list}"));
        assert_eq!(is_led_on, all.len() > shown.len(), "{list}: {beyond:?}");
        let said = select(&first, &format!("#list-{list} b"), |one| {
            one.text().collect::<String>()
        });
        assert_eq!(said, [count_words(all.len())], "{list}");
        // By day, those without one last; of one day by number.
        let of = |number: &String| {
            house
                .cases
                .iter()
                .find(|case| case.number.as_str() == number)
        };
        let listed: Vec<&Case> = all.iter().map(|number| of(number).unwrap()).collect();
        let plain = listed.iter().filter(|case| case.revision == 0);
        let days: Vec<_> = plain
            .filter(|case| {
                matches!(
                    on(case, house.side).turn,
                    WhoseTurn::Yours | WhoseTurn::Others
                )
            })
            .map(|case| {
                let day = on(case, house.side).day;
                (day.is_none(), day, case.number.as_str())
            })
            .collect();
        assert!(days.is_sorted(), "{list}: {days:?}");
        for case in listed {
            let turn = on(case, house.side).turn;
            // A check after the fit stands in either, by its day.
            if turn != WhoseTurn::Check {
                assert_eq!(is_mine(turn), list != "others", "{} in {list}", case.number);
            }
            assert!(seen.insert(case.number.clone()), "{} twice", case.number);
        }
    }
    assert_eq!(seen.len(), house.cases.len(), "every case is in one list");
}

/// A whole number leads to its case, a part of it to a list with it.
async fn finds_its_cases(house: &House) {
    for case in house.cases.iter().step_by(5) {
        let number = case.number.as_str();
        let found = house.who.get(&format!("/find?q={number}")).await;
        let led = found.is(303).location();
        assert!(led.starts_with(&format!("/cases/{number}")), "{led}");
        let part: String = number.chars().skip(4).collect();
        let part = part.to_lowercase();
        let page = looks_at(&house.who, &format!("/find?q={part}")).await;
        let listed = numbers(&page, ".agenda");
        assert!(listed.iter().any(|one| one == number), "{part}: {listed:?}");
    }
}

/// By the name of the other house come as many as fit a page, and the page says whether there are more.
async fn finds_by_house(house: &House) {
    let word = match house.side {
        Side::Office => "dental+laboratory",
        Side::Lab => "dental+office",
    };
    let page = looks_at(&house.who, &format!("/find?q={word}")).await;
    let listed = numbers(&page, ".agenda");
    let said = select(&page, "#list-found b", |one| one.text().collect::<String>());
    let is_cut = said[0].ends_with('+');
    assert_eq!(said[0].trim_end_matches('+'), listed.len().to_string());
    assert_eq!(
        is_cut,
        page.words().contains("there are more: type another word")
    );
    assert_eq!(
        is_cut,
        house.cases.len() > 50,
        "{} of {}",
        said[0],
        house.cases.len()
    );
    assert!(!listed.is_empty() && listed.len() <= 50);
}

#[tokio::test]
async fn first_page_and_search_of_both_houses_with_few_cases_and_with_five_hundred() {
    for more in [0, 500] {
        let (_world, houses) = houses_with(more).await;
        for house in &houses {
            assert!(house.cases.len() >= usize::try_from(more).unwrap());
            has_its_lists(house).await;
            finds_its_cases(house).await;
            finds_by_house(house).await;
        }
    }
}
