//! Who may open which address: every entry of the table of routes, for every role and for strangers.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::lists::{MOULDS, load_guide, load_moulds};
use crate::pictures::a_picture;
use crate::scans::a_scan;
use crate::scene::Scene;
use crate::usual;
use vestibule::domain::people::access::{Permission, may};
use vestibule::domain::people::party::Role;
use vestibule::web::{ROUTES, Route};

/// What the placeholders of the paths stand for: things of Northgate and Kiln.
struct Ids {
    number: String,
    patient: String,
    tag: String,
    handoff: String,
    party: String,
    account: String,
    guide: String,
    /// Of the office and of the lab, and the one that this walk asks for.
    usual: Vec<String>,
    usual_now: String,
    leaf: String,
    picture: String,
    scan: String,
}

async fn prepared() -> (Scene, Ids) {
    let (scene, things) = Scene::at_the_lab().await;
    let root = scene.world.person("root");
    let party = root
        .get("/parties")
        .await
        .attribute("th a[href^=\"/parties/\"]", "href");
    let account = root
        .get("/people")
        .await
        .attribute("form[action$=\"/disabled\"]", "action");
    let handoff = scene.handoff(&scene.dora).await;
    let guide = load_guide(&scene.anna, "Meadow", "tab,L,a,b\nm1,70,1,18\n").await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    for (who, page, list) in [
        (&scene.anna, "/closed-days", "day,what\nsunday,\n"),
        (&scene.tom, "/closed-days", "day,what\nsunday,\n"),
        (&scene.tom, "/lab-days", "step,days\nset_up,4\n"),
    ] {
        who.send(page, page, &[("text", list)]).await.is(303);
    }
    let name = [("set_name", "Usual"), ("base.palate_mm", "2")];
    let usual = [(&scene.dora, &name[..]), (&scene.mara, &name[1..])];
    let mut usual_sets: Vec<String> = Vec::new();
    for (who, fields) in usual {
        usual_sets.push(usual::make(who, fields).await);
    }
    let leaf = scene.leaves().await[0].to_string();
    let picture = a_picture(&scene).await;
    let scan = a_scan(&scene).await;
    let ids = Ids {
        number: scene.number.clone(),
        patient: scene.patient.clone(),
        tag: things.provisional,
        handoff: handoff.trim_start_matches("/handoffs/").to_owned(),
        party: party.trim_start_matches("/parties/").to_owned(),
        account: account
            .trim_start_matches("/people/")
            .trim_end_matches("/disabled")
            .to_owned(),
        guide,
        usual_now: usual_sets[0].trim_start_matches("/usual/").to_owned(),
        usual: usual_sets,
        leaf,
        picture,
        scan,
    };
    (scene, ids)
}

fn path(route: &Route, ids: &Ids) -> String {
    let is_of_a_handoff = ["/handoffs", "/H/", "/h/"];
    let id = if is_of_a_handoff
        .iter()
        .any(|start| route.path.starts_with(start))
    {
        &ids.handoff
    } else if route.path.contains("/pictures/") {
        &ids.picture
    } else if route.path.contains("/scans/") {
        &ids.scan
    } else if route.path.starts_with("/people") {
        &ids.account
    } else if route.path.starts_with("/guides") {
        &ids.guide
    } else if route.path.starts_with("/usual") {
        &ids.usual_now
    } else {
        &ids.party
    };
    // The scan box is asked for the case.
    let path = match route.path {
        "/find" => "/find?q={number}",
        "/changes" => "/changes?case={number}",
        "/record/growth" => "/record/growth?from=1",
        path => path,
    };
    path.replace("{number}", &ids.number)
        .replace("{revision}", "1")
        .replace("{version}", "1")
        .replace("{leaf}", &ids.leaf)
        .replace("{code}", &ids.patient)
        .replace("{tag}", &ids.tag)
        .replace("{place}", "lab")
        .replace("{name}", "vestibule.css")
        .replace("{secret}", "never-was")
        .replace("{event}", "never-was")
        .replace("{id}", id)
}

/// Whether the address names something that belongs to a case or an office.
fn is_owned(route: &Route) -> bool {
    let parts = [
        "/find",
        "/changes",
        "{number}",
        "{code}",
        "{tag}",
        "{version}",
        "/handoffs/{id}",
        "/guides/{id}",
        "/usual/{id}",
        "/passed/{event}",
    ];
    // The short addresses of QR codes say nothing: they lead on to the page that refuses.
    let is_short = matches!(route.path, "/I/{tag}" | "/i/{tag}" | "/H/{id}" | "/h/{id}");
    !is_short && parts.iter().any(|part| route.path.contains(part))
}

async fn ask(who: &Visitor, route: &Route, ids: &Ids, fields: &[(&str, &str)]) -> Answer {
    let path = path(route, ids);
    let answer = if route.method == "get" {
        who.get(&path).await
    } else {
        who.post(&path, fields).await
    };
    assert!(
        answer.status.as_u16() < 500,
        "{} {path}: {}",
        route.method,
        answer.text()
    );
    answer
}

impl Ids {
    /// The set of usual values of one's own house; of an office for strangers.
    fn usual_set(&self, login: &str) -> String {
        let is_of_lab = ["tom", "mara"].contains(&login);
        let path = &self.usual[usize::from(is_of_lab)];
        path.trim_start_matches("/usual/").to_owned()
    }
}

/// Walks all routes; `login` signs in again where a route has ended its session.
async fn walk(login: &str, role: Role, is_stranger: bool) {
    let (scene, mut ids) = prepared().await;
    ids.usual_now = ids.usual_set(login);
    let mut who = scene.world.person(login);
    for (count, route) in ROUTES.iter().enumerate() {
        let key = format!("walk-{login}-{count}");
        // Whoever was shut out on this walk is let in again: only then is there a new password for him or her.
        let all = [
            ("post_key", key.as_str()),
            ("version", "1"),
            ("sure", "yes"),
            ("password", PASSWORD),
        ];
        let is_again = route.path.ends_with("/let-in-again");
        let said = if is_again { &all[..] } else { &all[..3] };
        for fields in [&[][..], said] {
            let answer = ask(&who, route, &ids, fields).await;
            let status = answer.status.as_u16();
            let asked = format!(
                "{login}: {} {} {fields:?}: {status} {}",
                route.method,
                route.path,
                answer.words()
            );
            // Of a sheet that is in force whoever reads its code learns nothing, whatever the role.
            let is_sheet = route.path.to_lowercase().starts_with("/c/");
            let is_stranger = is_stranger || is_sheet && role == Role::Administrator;
            if !may(role, route.permission) {
                assert_eq!(status, 403, "{asked}");
                answer
                    .sees("This is not for your role")
                    .sees("Nothing was changed");
            } else if is_stranger
                && is_owned(route)
                && (route.method == "get" || !fields.is_empty())
            {
                assert_eq!(status, 404, "{asked}");
            } else if is_stranger && is_owned(route) {
                // A form without its key is told so, whatever it was for.
                assert!(matches!(status, 400 | 404 | 409 | 422), "{asked}");
            } else {
                // A link, a calendar or a session that never was, a text laid aside that is not there, the card of what is no spare.
                // Work that is passed on has a story of its own.
                let is_lost = route.path.contains("{event}")
                    || matches!(
                        route.path,
                        "/join/{secret}"
                            | "/feed/{name}"
                            | "/account/sessions/end"
                            | "/cases/{number}/write/choose"
                            | "/items/{tag}/card.pdf"
                    );
                assert!(
                    !matches!(status, 401 | 403) && (status != 404 || is_lost),
                    "{asked}"
                );
                // Without a draft there is nothing to sign.
                let is_open = status < 400
                    || is_lost
                    || route.permission == Permission::Sign
                    || route.path.ends_with("draft.pdf");
                assert!(route.method == "post" || is_open, "{asked}");
            }
            if route.path.starts_with("/sign-out") {
                who = scene.world.visitor(login).await;
            }
        }
    }
    // Nothing that a stranger or a wrong role has tried has changed the case.
    if is_stranger || role == Role::Administrator {
        scene
            .dora
            .get(&scene.at(""))
            .await
            .is(200)
            .sees("Revision 1, signed by dora");
    }
}

#[tokio::test]
async fn a_dentist_opens_what_the_table_says() {
    walk("dora", Role::Dentist, false).await;
}

#[tokio::test]
async fn an_assistant_opens_what_the_table_says() {
    walk("anna", Role::Assistant, false).await;
}

#[tokio::test]
async fn a_technician_opens_what_the_table_says() {
    walk("tom", Role::Technician, false).await;
}

#[tokio::test]
async fn a_lab_manager_opens_what_the_table_says() {
    walk("mara", Role::LabManager, false).await;
}

#[tokio::test]
async fn an_administrator_opens_what_the_table_says_and_no_case() {
    walk("root", Role::Administrator, false).await;
}

#[tokio::test]
async fn for_a_dentist_of_another_office_nothing_of_this_case_is_there() {
    walk("sven", Role::Dentist, true).await;
}

#[tokio::test]
async fn for_a_technician_of_another_lab_nothing_of_this_case_is_there() {
    walk("lars", Role::Technician, true).await;
}

#[tokio::test]
async fn nobody_is_led_to_the_sign_in_and_a_post_of_nobody_is_not_taken() {
    let (scene, ids) = prepared().await;
    let nobody = scene.world.nobody();
    for route in ROUTES
        .iter()
        .filter(|route| route.permission != Permission::Anybody)
    {
        let answer = ask(&nobody, route, &ids, &[("post_key", "nobody-0001")]).await;
        if route.method == "get" {
            assert!(
                answer.is(303).location().starts_with("/sign-in?next="),
                "{}",
                route.path
            );
        } else {
            answer.is(401).sees("this was not stored");
        }
    }
}

#[tokio::test]
async fn the_short_addresses_lead_a_stranger_to_nothing() {
    let (scene, ids) = prepared().await;
    for (login, status) in [("sven", 404), ("lars", 404), ("dora", 200), ("tom", 200)] {
        let who = scene.world.person(login);
        let sheet = who.get(&format!("/C/{}", ids.number)).await;
        let item = who.get(&format!("/I/{}", ids.tag)).await;
        let to = item.is(303).location();
        who.get(&to).await.is(status);
        // Of a sheet that is in force a stranger is told nothing at once.
        if status == 404 {
            sheet.is(404);
        } else {
            let to = sheet.is(303).location();
            who.get(&to).await.is(status);
        }
    }
}

#[tokio::test]
async fn a_stranger_is_told_the_same_of_a_thing_that_is_and_one_that_never_was() {
    let (scene, _) = prepared().await;
    let sven = scene.world.person("sven");
    let there = sven.get(&scene.at("")).await;
    let never = sven.get("/cases/never-was").await;
    assert_eq!(there.is(404).words(), never.is(404).words());
    let found = sven.get(&format!("/find?q={}", scene.number)).await;
    found.is(404).sees("is not known here");
}
