//! At any moment every item has exactly one holder.

use super::walk::is_the_same;
use super::{eventful, of_the_demo, work_of};
use proptest::prelude::*;
use vestibule::app::case_work::CaseWork;
use vestibule::clock::moment_in;
use vestibule::domain::custody::events::Received;
use vestibule::domain::custody::{CaseState, Event, What, at};

/// NIST glossary (CNSSI 4009-2015) and 10 CFR 26.5: handling and storage tracked from the beginning to the
/// end, in the sense that any moment can be asked for.
#[tokio::test]
async fn c25_at_any_moment_every_item_has_exactly_one_holder_and_somebody_answers() {
    let (scene, things, _) = eventful().await;
    let own = work_of(&scene).await;
    let all: Vec<&CaseWork> = of_the_demo().await.iter().chain([&own]).collect();
    let moments = |work: &CaseWork| {
        let times = work.events.iter().map(|event| event.at.unix_ms);
        times.collect::<Vec<i64>>()
    };
    proptest!(ProptestConfig::with_cases(200), |(case in 0..all.len(), part in 0.0..1.0_f64)| {
        let work = all[case];
        let times = moments(work);
        if let (Some(first), Some(last)) = (times.iter().min(), times.iter().max()) {
            let (first, last) = (first - 3_600_000, last + 3_600_000);
            #[expect(clippy::cast_possible_truncation, reason = "a moment between two others")]
            let moment = first + ((last - first) as f64 * part) as i64;
            is_the_same(work, moment);
        }
    });
    // The answer does not change when more is known, but for what is written down late.
    let work = &own;
    let on_time: Vec<Event> = work
        .events
        .iter()
        .filter(|event| !event.is_late())
        .cloned()
        .collect();
    for (place, event) in on_time.iter().enumerate() {
        let then = CaseState::of(&on_time[..=place]).custody;
        let later = at(&on_time, event.at.unix_ms);
        for tag in event.what.tags() {
            let of_now = on_time[place + 1..]
                .iter()
                .any(|one| one.at == event.at && one.what.tags().contains(&tag));
            if !of_now {
                assert_eq!(then[tag], later[tag]);
            }
        }
    }
    // On the page, by the clock of whoever asks: the bite record on its way, and then at the lab.
    let received = own.events.iter().find_map(|event| match &event.what {
        What::Received(Received { items, .. }) if items[0].tag.as_str() == things.bite => {
            Some(event.at)
        }
        _ => None,
    });
    let minute = |ms| moment_in(ms, "Europe/Vienna");
    let (before, after) = (
        minute(received.unwrap().unix_ms - 60_000),
        minute(received.unwrap().unix_ms),
    );
    for (moment, words) in [
        (before, "a courier, handed over by anna"),
        (after, "tom, Kiln Laboratory"),
    ] {
        let path = format!("/history?day={}&time={}", moment.day(), moment.clock());
        for who in [&scene.dora, &scene.tom] {
            who.get(&scene.at(&path)).await.sees(words);
        }
    }
}
