//! The checks after the fit: entered at the office, read at the lab.

use crate::common::{Answer, Visitor};
use crate::scene::Scene;
use std::collections::BTreeMap;

impl Scene {
    async fn follows_up(&self, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
        let page = self.at("/follow-up");
        who.send(&page, &page, fields).await
    }
}

/// The fields of a page as they stood, with these over them.
fn over<'a>(
    old: &'a BTreeMap<String, String>,
    more: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let old = old.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    let fields: BTreeMap<&str, &str> = old.chain(more.iter().copied()).collect();
    fields.into_iter().collect()
}

/// The final upper is worn.
async fn fitted() -> Scene {
    let (scene, things) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let tags = [
        made.as_str(),
        things.provisional.as_str(),
        things.bite.as_str(),
    ];
    scene.release(&scene.tom, &tags, &[]).await.is(303);
    scene
        .receive(&scene.anna, &tags.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &made, &[]).await.is(303);
    scene
}

const ORDINARY: [(&str, &str); 5] = [
    ("follow_up", "day"),
    ("follow_arches", "upper"),
    ("look.asked.seen", "yes"),
    ("look.occlusion.seen", "yes"),
    ("followed_by", "nothing"),
];

#[tokio::test]
async fn three_checks_are_proposed_and_one_that_is_entered_is_ticked_off() {
    let scene = fitted().await;
    let page = scene.at("/follow-up");
    let case = scene.anna.get(&scene.at("")).await;
    assert!(!case.hrefs(&page).is_empty());
    let form = scene.anna.get(&page).await;
    form.is(200)
        .sees("24 hours, upper")
        .sees("one month, upper");
    form.sees_not("✓");
    for _ in 0..2 {
        scene.follows_up(&scene.anna, &ORDINARY).await.is(303);
    }
    let shown = scene.anna.get(&page).await;
    shown.sees("✓ 24 hours, upper").sees("No complaint.");
    let sentence = "Last check after the fit on";
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("")).await.sees(sentence);
        let history = who.get(&scene.at("/history")).await;
        history.sees("Check after the fit, 24 hours, upper: no complaint");
    }
}

#[tokio::test]
async fn a_complaint_leads_to_a_remake_with_its_cause_and_to_the_fields_it_touches() {
    let scene = fitted().await;
    let page = scene.at("/follow-up");
    let remake = [
        ("follow_up", "week"),
        ("follow_arches", "upper"),
        ("complaint_first", "17"),
        ("follow_done", "border eased twice"),
        ("followed_by", "remake"),
    ];
    let unsaid = scene.follows_up(&scene.dora, &remake).await;
    unsaid
        .is(422)
        .sees("Choose the cause.")
        .sees("Say whose part it was.")
        .sees("border eased twice");
    let more = [("work_cause", "surface"), ("work_share", "both")];
    // Without work that follows nothing has a cause, and what was chosen does not vanish.
    let idle = [&ORDINARY[..], &more].concat();
    let idle = scene.follows_up(&scene.dora, &idle).await;
    idle.is(422)
        .sees("Only a correction or a remake has a cause")
        .sees("Only a correction or a remake is anybody’s part");
    let all = [&remake[..], &more].concat();
    scene.follows_up(&scene.dora, &all).await.is(303);
    let shown = scene.dora.get(&page).await;
    shown.sees("a remake, cause: impression or functional surface");
    let reported = scene.at("/reported?c17=yes");
    assert_eq!(shown.hrefs(&reported), std::slice::from_ref(&reported));
    let remedies = scene.dora.get(&reported).await;
    remedies.is(200).sees("Relieve the marked border only");
    // The lab reads it, and enters nothing.
    let lab = scene.tom.get(&page).await;
    lab.sees("a remake").sees("The office enters what it finds");
    assert_eq!(lab.count("select[name=follow_up]"), 0);
    // But it says how it sees the part of each house, once.
    lab.sees("the lab has not answered yet");
    let share = scene.at("/follow-up/share");
    let mute = [("otherwise", "yes")];
    let mute = scene.tom.send(&page, &share, &mute).await;
    mute.is(422).sees("Say how you see it.");
    let old = scene.mara.get(&page).await.form(&page, &share, "We agree");
    let otherwise = [
        ("otherwise", "yes"),
        ("share_note", "the border was as asked"),
    ];
    scene.tom.send(&page, &share, &otherwise).await.is(303);
    let typed = [("otherwise", "yes"), ("share_note", "too late")];
    let late = over(&old, &typed);
    let late = scene.mara.post(&share, &late).await;
    late.is(409).sees("has answered this on").sees("too late");
    let read = scene.dora.get(&page).await;
    read.sees("the lab sees it otherwise")
        .sees("the border was as asked");
    let history = scene.dora.get(&scene.at("/history")).await;
    history.sees("The check after the fit of");
    let key = [("post_key", "a-page-of-the-lab")];
    scene.dora.post(&share, &key).await.is(403);
    // A mistake is withdrawn.
    let undo = scene.at("/follow-up/undo");
    let nothing = scene.anna.send(&page, &undo, &[]).await;
    nothing.is(422).sees("Say what the mistake was.");
    let why = [("undone_why", "another case")];
    scene.anna.send(&page, &undo, &why).await.is(303);
    let shown = scene.dora.get(&page).await;
    shown.sees_not("a remake, cause");
}

#[tokio::test]
async fn nothing_is_checked_before_the_fit_nor_by_another_house() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.at("/follow-up");
    let form = scene.anna.get(&page).await;
    form.is(200)
        .sees("had been fitted by then: enter the fitting first.");
    assert_eq!(form.count("select[name=follow_up]"), 0);
    let typed = [
        &ORDINARY[..],
        &[
            ("follow_done", "typed for nothing"),
            ("post_key", "a-page-of-before"),
        ],
    ]
    .concat();
    scene
        .anna
        .post(&page, &typed)
        .await
        .is(409)
        .sees("enter the fitting first")
        .sees("typed for nothing");
    let sven = scene.world.person("sven");
    sven.get(&page).await.is(404);
    sven.post(&page, &typed).await.is(404);
    scene.tom.post(&page, &typed).await.is(403);
}
