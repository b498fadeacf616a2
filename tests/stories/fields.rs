//! Every field of every page is known by its key: what is typed there is read, named when it comes back, and looked
//! at where it is a free text.

use crate::scene::Scene;
use scraper::{Html, Selector};
use std::collections::{BTreeSet, VecDeque};
use vestibule::app::forms::called;

/// What pages carry besides their fields: the key of the post, what a scan reads, which button was pressed, ticks
/// whose keys are made of what they are about.
const CARRIED: &[&str] = &[
    "post_key",
    "action",
    "course",
    "scan",
    "scan_now",
    "names_nobody",
    "go",
    "base",
    "next",
    "items",
    "file",
    "picture",
    "shot",
    "scan_file",
    "shown_to",
    "scan_into",
    "scan_asked",
    "scan_left",
];

fn selector(text: &str) -> Selector {
    Selector::parse(text).unwrap()
}

#[tokio::test]
async fn every_field_of_every_page_is_known_by_its_key() {
    let scene = Scene::signed().await;
    let root = scene.world.person("root");
    let mut unknown = BTreeSet::new();
    let mut pages = 0;
    for who in [&scene.dora, &scene.anna, &scene.tom, &root] {
        let mut seen = BTreeSet::new();
        let mut waiting = VecDeque::from(["/".to_owned()]);
        while let Some(path) = waiting.pop_front().filter(|_| seen.len() < 120) {
            let answer = who.get(&path).await;
            if !answer.text().contains("<!doctype html>") {
                continue;
            }
            pages += 1;
            let html = Html::parse_document(&answer.text());
            for field in html.select(&selector("form[method=post] [name]")) {
                let name = field.value().attr("name").unwrap();
                let last = name.rsplit('.').next().unwrap();
                let is_tick = ["from", "print"].contains(&last) || name.starts_with("text.");
                if !CARRIED.contains(&name) && !is_tick && called(name).is_none() {
                    unknown.insert(format!("{name} on {path}"));
                }
            }
            for link in html.select(&selector("a[href^=\"/\"]")) {
                let href = link.value().attr("href").unwrap();
                let href = href.split(['?', '#']).next().unwrap().to_owned();
                let is_paper =
                    href.ends_with(".pdf") || href.ends_with(".tar") || href.ends_with(".csv");
                if !is_paper && seen.insert(href.clone()) {
                    waiting.push_back(href);
                }
            }
        }
    }
    assert!(pages > 40, "{pages} pages were read");
    assert_eq!(unknown, BTreeSet::new());
}
