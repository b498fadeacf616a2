//! Each fault has its page, and none tells what only a log may.

use super::*;
use crate::domain::values::fault::Fault;

#[test]
fn every_failure_has_its_status() {
    let table = [
        (
            WebError::App(AppError::Invalid(vec![Fault::new("a", "b")])),
            422,
        ),
        (WebError::App(AppError::Refused(vec!["no".into()])), 409),
        (WebError::App(AppError::Denied("no")), 403),
        (WebError::App(AppError::NotFound), 404),
        (WebError::App(AppError::LinkOver), 404),
        (WebError::App(AppError::Conflict("late".into())), 409),
        (WebError::App(AppError::Closed { minutes: 1 }), 429),
        (WebError::WrongAddresses { minutes: 1 }, 429),
        (WebError::App(AppError::Busy), 503),
        (WebError::App(AppError::Counting), 503),
        (WebError::App(AppError::AnotherKey), 503),
        (
            WebError::App(AppError::Store(crate::store::StoreError::Again)),
            500,
        ),
        (WebError::App(AppError::Inner("x".into())), 500),
        (WebError::ForeignOrigin, 403),
        (WebError::ForeignHost, 421),
        (WebError::TooSlow, 503),
        (
            WebError::SignedOut {
                next: None,
                sent: Vec::new(),
            },
            401,
        ),
        (
            WebError::SignedOut {
                next: Some("/".into()),
                sent: Vec::new(),
            },
            303,
        ),
        (WebError::AnotherPerson { sent: Vec::new() }, 403),
        (
            WebError::DraftOver {
                happened: "signed".into(),
                sent: Vec::new(),
                form: "/".into(),
            },
            409,
        ),
        (WebError::NeedsPassword { sent: Vec::new() }, 403),
        (
            WebError::NotCarriedOut {
                why: Box::new(AppError::Refused(Vec::new()).into()),
                sent: Vec::new(),
            },
            409,
        ),
        (WebError::request(StatusCode::PAYLOAD_TOO_LARGE, "big"), 413),
    ];
    for (error, status) in table {
        let words = format!("{error:?}");
        let answer = error.into_response();
        assert_eq!(answer.status().as_u16(), status, "{words}");
        // A script cannot tell one 403 from another by its status.
        assert_eq!(
            answer.headers().contains_key(REFUSED),
            status == 403,
            "{words}"
        );
    }
}

#[test]
fn a_script_tells_each_refusal_from_the_others_and_has_a_sentence_for_it() {
    let script = include_str!("../../../static/write.js");
    let table = [
        (WebError::ForeignOrigin, "origin"),
        (
            WebError::AnotherPerson { sent: Vec::new() },
            "another-person",
        ),
        (WebError::NeedsPassword { sent: Vec::new() }, "password"),
        (WebError::App(AppError::Denied("no")), "role"),
    ];
    for (error, word) in table {
        let answer = error.into_response();
        let said = answer
            .headers()
            .get(REFUSED)
            .and_then(|said| said.to_str().ok());
        assert_eq!(said, Some(word));
        assert!(script.contains(&format!("\"{word}\": ")), "{word}");
    }
    assert!(script.contains(&format!("headers.get(\"{REFUSED}\")")));
    assert!(script.contains(ANOTHER_PERSON));
}

#[test]
fn what_was_sent_stands_in_the_answer_of_a_request_that_nobody_carried_out() {
    let answer = |sent: Vec<(String, String)>| {
        let why = Box::new(AppError::Refused(vec!["Changed past us.".to_owned()]).into());
        story(&WebError::NotCarriedOut { why, sent })
    };
    let typed = answer(vec![("Note".to_owned(), "lip support".to_owned())]);
    assert_eq!(typed.happened, ["Changed past us."]);
    assert!(typed.safe.contains("It stands below too"), "{}", typed.safe);
    let nothing = answer(Vec::new());
    assert!(!nothing.safe.contains("stands below"), "{}", nothing.safe);
}

#[test]
fn r10_the_cause_is_named_and_whether_it_may_be_stored() {
    let lost = |outage, may_be_stored| {
        let error = StoreError::Lost {
            why: "SELECT secret".to_owned(),
            passing: false,
            outage,
            may_be_stored,
        };
        story(&WebError::App(AppError::Store(error)))
    };
    for (outage, status, words) in [
        (Outage::DiskFull, 507, "no room left"),
        (Outage::Gone, 503, "cannot be reached"),
        (Outage::TakenAway, 503, "deleted or replaced"),
        (Outage::Shelf, 503, "folder in which pictures"),
        (Outage::BesideKey, 503, "record.last"),
        (Outage::Record, 503, "has changed the record"),
        (Outage::NotCompared, 503, "could not look through"),
        (Outage::Other, 500, "could not be finished"),
    ] {
        for may_be_stored in [true, false] {
            let page = lost(outage, may_be_stored);
            assert_eq!(page.status.as_u16(), status);
            let said = page.happened.join(" ");
            assert!(said.contains(words) && !said.contains("SELECT"), "{said}");
            assert_eq!(
                page.safe.contains("taken once"),
                may_be_stored,
                "{}",
                page.safe
            );
            assert!(page.fault.is_some_and(|fault| fault.contains("SELECT")));
        }
    }
}

#[test]
fn a_month_that_is_still_counted_comes_by_itself() {
    let answer = WebError::App(AppError::Counting).into_response();
    let said = |name| {
        answer
            .headers()
            .get(name)
            .and_then(|value| value.to_str().ok())
    };
    assert_eq!(said(header::REFRESH), Some("10"));
    assert_eq!(said(header::RETRY_AFTER), said(header::REFRESH));
    let page = story(&WebError::App(AppError::Counting));
    assert!(page.safe.contains("every ten seconds"));
    let busy = WebError::App(AppError::Busy).into_response();
    assert!(!busy.headers().contains_key(header::REFRESH));
}

#[test]
fn r20_what_took_too_long_may_have_been_stored() {
    let page = story(&WebError::TooSlow);
    assert!(page.happened.join(" ").contains("half a minute"));
    assert!(page.safe.contains("may have been stored") && page.safe.contains("taken once"));
}

#[test]
fn a_broken_database_is_not_described_to_the_browser() {
    let page = story(&WebError::App(AppError::Inner(
        "SELECT secret FROM account".into(),
    )));
    assert!(!page.happened.join(" ").contains("SELECT") && !page.safe.contains("SELECT"));
}
