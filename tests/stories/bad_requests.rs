//! Requests that no page of ours sends: each gets a page that says what happened and that the work is safe.

use crate::common::{Answer, Visitor};
use crate::scene::Scene;
use axum::body::Body;
use axum::http::{Method, Request, header};

/// A page of ours: HTML with its headers, words about one's work, and a way on.
fn is_page(answer: &Answer, status: u16) {
    answer.is(status);
    assert_eq!(
        answer.headers[header::CONTENT_TYPE],
        "text/html; charset=utf-8",
        "{}",
        answer.text()
    );
    let words = answer.words();
    // At a wrong address nothing was entered.
    let told = words.contains("What happened to your entry");
    assert!(told || status == 404, "{words}");
    assert_eq!(answer.count("h1"), 1);
    assert!(answer.count("main a[href]") > 0);
    has_headers(answer);
}

fn has_headers(answer: &Answer) {
    let text = |name: &str| {
        answer
            .headers
            .get(name)
            .and_then(|value| value.to_str().ok())
            .unwrap_or_default()
            .to_owned()
    };
    assert!(text("content-security-policy").starts_with("default-src 'none'; script-src 'self'"));
    assert!(text("content-security-policy").contains("frame-ancestors 'none'"));
    assert_eq!(text("x-content-type-options"), "nosniff");
    assert_eq!(text("referrer-policy"), "same-origin");
    assert!(!text("cache-control").is_empty());
}

async fn ask(who: &Visitor, method: Method, path: &str) -> Answer {
    let request = Request::builder()
        .method(method)
        .uri(path)
        .header("sec-fetch-site", "same-origin");
    who.ask(request.body(Body::empty()).unwrap()).await
}

#[tokio::test]
async fn an_unknown_address_is_a_page() {
    let scene = Scene::opened().await;
    for path in [
        "/nowhere",
        "/cases",
        "/cases/",
        "/cases/x/y/z",
        "/.env",
        "/static/",
        "/static/none.css",
        "//",
        "/%2e%2e/etc",
    ] {
        for who in [&scene.dora, &scene.world.nobody()] {
            let answer = who.get(path).await;
            is_page(&answer, 404);
            answer.sees_not("What happened to your entry");
        }
    }
}

#[tokio::test]
async fn a_wrong_method_is_a_page() {
    let scene = Scene::opened().await;
    for (method, path) in [
        (Method::POST, "/account"),
        (Method::PUT, "/patients/new"),
        (Method::DELETE, "/patients"),
        (Method::GET, "/sign-out"),
        (Method::PATCH, "/"),
        (Method::OPTIONS, "/sign-in"),
    ] {
        is_page(&ask(&scene.dora, method, path).await, 405);
    }
}

#[tokio::test]
async fn a_form_that_is_no_text_is_a_page() {
    let scene = Scene::opened().await;
    for body in [
        "a=%FF",
        "%C3=1",
        "a=%00",
        "a=1&a=2",
        "post_key=abcdefgh&post_key=abcdefgh",
        "a=%ED%A0%80",
    ] {
        is_page(&scene.dora.post_body("/patients/new", body).await, 400);
        is_page(
            &scene
                .dora
                .post_body(&scene.at("/write/autosave"), body)
                .await,
            400,
        );
        is_page(&scene.world.nobody().post_body("/sign-in", body).await, 400);
    }
    is_page(
        &scene
            .dora
            .post_body("/patients/new", vec![b'a', b'=', 0xFF, 0])
            .await,
        400,
    );
}

#[tokio::test]
async fn a_query_that_is_no_text_is_a_page() {
    let scene = Scene::opened().await;
    for query in ["q=%FF", "q=%00", "q=1&q=2"] {
        is_page(&scene.dora.get(&format!("/find?{query}")).await, 400);
        is_page(
            &scene
                .dora
                .get(&scene.at(&format!("/history?{query}")))
                .await,
            400,
        );
    }
}

#[tokio::test]
async fn more_than_a_form_holds_is_a_page() {
    let scene = Scene::opened().await;
    let big = format!("a={}", "x".repeat(2 * 1024 * 1024));
    for path in [
        "/patients/new".to_owned(),
        scene.at("/write"),
        scene.at("/write/autosave"),
    ] {
        is_page(&scene.dora.post_body(&path, big.clone()).await, 413);
    }
    is_page(&scene.world.nobody().post_body("/sign-in", big).await, 413);
}

#[tokio::test]
async fn a_body_of_another_kind_is_a_page() {
    let scene = Scene::opened().await;
    for kind in [
        "application/json",
        "multipart/form-data; boundary=x",
        "text/plain",
        "",
        "x",
    ] {
        let request = Request::post("/patients/new")
            .header("sec-fetch-site", "same-origin")
            .header(header::CONTENT_TYPE, kind);
        is_page(
            &scene
                .dora
                .ask(request.body(Body::from("{}")).unwrap())
                .await,
            415,
        );
    }
    is_page(&ask(&scene.dora, Method::POST, "/patients/new").await, 415);
}

#[tokio::test]
async fn an_address_that_holds_no_code_is_a_page() {
    let scene = Scene::opened().await;
    let long = "9".repeat(400);
    for id in [
        "%FF",
        "%00",
        "x",
        "-1",
        "C",
        "0",
        long.as_str(),
        "%3Cscript%3E",
        "..%2F..",
        "%F0%9F%A6%B7",
        "' OR 1=1",
    ] {
        let id = id.replace(' ', "%20");
        for path in [
            "/cases/",
            "/patients/",
            "/items/",
            "/handoffs/",
            "/C/",
            "/I/",
        ] {
            let answer = scene.dora.get(&format!("{path}{id}")).await;
            let status = answer.status.as_u16();
            assert!(matches!(status, 400 | 404), "{path}{id}: {status}");
            is_page(&answer, status);
        }
        is_page(
            &scene
                .world
                .person("root")
                .get(&format!("/parties/{}", id.replace("%FF", "x")))
                .await,
            404,
        );
    }
}

#[tokio::test]
async fn a_revision_that_cannot_be_is_a_page() {
    let scene = Scene::signed().await;
    for revision in [
        "0",
        "-1",
        "2",
        "x",
        "1.0",
        "99999999999999999999",
        "9223372036854775807",
        "-9223372036854775808",
        "%FF",
    ] {
        for rest in ["", "/slip.pdf"] {
            let answer = scene
                .tom
                .get(&scene.at(&format!("/revisions/{revision}{rest}")))
                .await;
            let status = answer.status.as_u16();
            assert!(matches!(status, 400 | 404), "{revision}: {status}");
            is_page(&answer, status);
        }
    }
    let key = [("post_key", "acknowledge-01")];
    for revision in ["-9223372036854775808", "9223372036854775807", "1e3"] {
        is_page(
            &scene
                .tom
                .post(
                    &scene.at(&format!("/revisions/{revision}/acknowledge")),
                    &key,
                )
                .await,
            404,
        );
    }
}

#[tokio::test]
async fn a_form_without_its_key_is_told_so() {
    let scene = Scene::signed().await;
    for key in [
        "",
        "short",
        &"x".repeat(101),
        "has space in it",
        "ünicode-key",
    ] {
        for path in [
            "/patients/new".to_owned(),
            "/cases/new".to_owned(),
            scene.at("/items/new"),
            scene.at("/release"),
            scene.at("/mouth"),
            scene.at("/sign"),
        ] {
            let answer = scene.dora.post(&path, &[("post_key", key)]).await;
            is_page(&answer, 400);
            answer.sees("The form came without its key.");
        }
    }
}

#[tokio::test]
async fn numbers_out_of_all_bounds_are_answered() {
    let scene = Scene::signed().await;
    for number in [
        "-1",
        "0",
        "100000",
        "9223372036854775807",
        "99999999999999999999",
        "x",
    ] {
        scene
            .dora
            .get(&format!("/patients?page={number}"))
            .await
            .is(200);
        scene
            .dora
            .get(&format!("/?list=you&page={number}"))
            .await
            .is(200);
        scene
            .dora
            .post(
                &scene.at("/write/autosave"),
                &[("base", number), ("shade.tab", "B-20")],
            )
            .await
            .is(409);
        let fields = [
            ("post_key", "sign-key-0001"),
            ("hash", ""),
            ("issued", number),
            ("password", crate::common::PASSWORD),
        ];
        is_page(&scene.dora.post(&scene.at("/sign"), &fields).await, 409);
        let fields = [("version", number), ("field", "shade.tab"), ("take", "yes")];
        let answer = scene.dora.post(&scene.at("/write/choose"), &fields).await;
        assert!(
            matches!(answer.status.as_u16(), 404 | 409),
            "{number}: {}",
            answer.status
        );
    }
}

#[tokio::test]
async fn a_broken_accept_or_cookie_header_changes_nothing() {
    let scene = Scene::opened().await;
    let request = Request::get("/")
        .header(header::COOKIE, &b"vestibule=\xFF"[..])
        .header(header::ACCEPT, "\u{0}".trim_matches('\0'));
    scene
        .world
        .nobody()
        .ask(request.body(Body::empty()).unwrap())
        .await
        .is(303);
}

#[tokio::test]
async fn every_kind_of_answer_carries_the_headers() {
    let scene = Scene::signed().await;
    for path in [
        "/",
        "/account",
        "/static/vestibule.css",
        "/healthz",
        "/sign-in",
        "/find?q=x",
        "/nowhere",
    ] {
        has_headers(&scene.dora.get(path).await);
    }
    has_headers(&scene.dora.get(&scene.at("/revisions/1/slip.pdf")).await);
    has_headers(&scene.world.nobody().get("/").await);
    has_headers(&scene.dora.post("/sign-out", &[]).await);
    assert_eq!(
        scene.dora.get("/sign-in").await.headers[header::CACHE_CONTROL],
        "no-store"
    );
}

#[tokio::test]
async fn a_head_request_is_answered_like_a_get_without_its_body() {
    let scene = Scene::opened().await;
    let answer = ask(&scene.dora, Method::HEAD, "/patients").await;
    assert!(answer.is(200).body.is_empty());
    ask(&scene.world.nobody(), Method::HEAD, "/patients")
        .await
        .is(303);
}
