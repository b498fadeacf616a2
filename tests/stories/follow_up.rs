//! The checks after the fit: entered at the office, read at the lab.

use crate::common::{Answer, Visitor};
use crate::scene::{SPARE, Scene, Things, over};
use vestibule::app::App;
use vestibule::web;

impl Scene {
    async fn follows_up(&self, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
        let page = self.at("/follow-up");
        who.send(&page, &page, fields).await
    }
}

/// Thirteen hours on, with everybody signed in again.
async fn the_next_day(scene: &mut Scene) {
    scene.world.pass_minutes(13 * 60);
    scene.dora = scene.world.visitor("dora").await;
    scene.anna = scene.world.visitor("anna").await;
    scene.tom = scene.world.visitor("tom").await;
    scene.mara = scene.world.visitor("mara").await;
}

/// The final upper is worn.
async fn fitted() -> Scene {
    fitted_with().await.0
}

async fn fitted_with() -> (Scene, Things) {
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
    (scene, things)
}

const ORDINARY: [(&str, &str); 5] = [
    ("follow_up", "day"),
    ("follow_arches", "upper"),
    ("look.asked.seen", "yes"),
    ("look.occlusion.seen", "yes"),
    ("followed_by", "nothing"),
];

/// A remake of the upper, found at the check after a week; `share` is whose part the office sees in it.
fn remake(share: &str) -> [(&str, &str); 6] {
    [
        ("follow_up", "week"),
        ("follow_arches", "upper"),
        ("complaint_first", "17"),
        ("followed_by", "remake"),
        ("work_cause", "surface"),
        ("work_share", share),
    ]
}

#[tokio::test]
async fn three_checks_are_proposed_and_one_that_is_entered_is_ticked_off() {
    let mut scene = fitted().await;
    let page = scene.at("/follow-up");
    let case = scene.anna.get(&scene.at("")).await;
    assert!(!case.hrefs(&page).is_empty());
    let form = scene.anna.get(&page).await;
    form.is(200)
        .sees("24 hours, upper")
        .sees("one month, upper");
    form.sees_not("✓");
    // A minute after the fit is not the next day, and nothing that was typed is lost.
    let typed = [&ORDINARY[..], &[("follow_done", "speech tried")]].concat();
    scene.world.pass_minutes(1);
    let early = scene.follows_up(&scene.anna, &typed).await;
    early
        .is(422)
        .sees("The final went in on Mon 2 Mar 2026 ")
        .sees("from 12 hours after that on")
        .sees("enter a visit before as “another day”")
        .sees("speech tried");
    let visit = [&typed[..], &[("follow_up", "other")]].concat();
    scene.follows_up(&scene.anna, &visit).await.is(303);
    scene.anna.get(&page).await.sees_not("✓");
    the_next_day(&mut scene).await;
    for _ in 0..2 {
        scene.follows_up(&scene.anna, &ORDINARY).await.is(303);
    }
    let shown = scene.anna.get(&page).await;
    shown.sees("✓ 24 hours, upper").sees("No complaint.");
    let sentence = "Last check after the fit on Mon 2 Mar 2026 ";
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("")).await.sees(sentence);
        let history = who.get(&scene.at("/history")).await;
        history.sees("Check after the fit, 24 hours, upper: no complaint");
    }
}

#[tokio::test]
async fn a_check_that_is_due_is_told_beside_what_else_the_office_has_to_do() {
    let mut scene = fitted().await;
    let due = "A check after the fit is due";
    scene.dora.get("/").await.is(200).sees_not(due);
    // Monday is over.
    the_next_day(&mut scene).await;
    the_next_day(&mut scene).await;
    let first = scene.dora.get("/").await;
    first.sees(due).sees("ake the check after the fit");
    let asked = [("matter", "unclear"), ("question", "which height?")];
    let (page, ask) = (scene.at("/questions"), scene.at("/ask"));
    scene.tom.send(&page, &ask, &asked).await.is(303);
    let first = scene.dora.get("/").await;
    first
        .sees("Asked or told by the other side")
        .sees("nswer a question; ")
        .sees("; make the check after the fit");
    // Nobody at the lab makes it.
    let lab = scene.tom.get("/").await;
    lab.sees_not(due).sees_not("make the check after the fit");
}

#[tokio::test]
async fn the_page_of_the_case_says_which_check_is_due_and_leads_to_it() {
    let (mut scene, things) = fitted_with().await;
    let given = scene.record(&scene.anna, &things.duplicate, "give", &SPARE);
    given.await.is(303);
    let check = "make the check after the fit (24 hours), due Tue 3 Mar, ";
    let button = format!(
        "p.actions > a.button[href=\"{}\"]:not(.quiet)",
        scene.at("/follow-up")
    );
    let before = scene.dora.get(&scene.at("")).await;
    before.sees("With the patient.").sees_not(check);
    assert_eq!(before.count(&button), 0);
    the_next_day(&mut scene).await;
    the_next_day(&mut scene).await;
    let case = scene.dora.get(&scene.at("")).await;
    case.sees(&format!("Your turn: {check}"));
    assert_eq!(case.count(&button), 1);
    // Nobody at the lab makes it.
    let lab = scene.tom.get(&scene.at("")).await;
    lab.sees(&format!("Northgate Dental: {check}"));
    assert_eq!(lab.count(&button), 0);
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
    // Both first pages say whose turn it is.
    scene
        .tom
        .get("/")
        .await
        .sees("Say how you see the part of each side");
    let undo = scene.at("/follow-up/undo");
    let before = scene
        .anna
        .get(&page)
        .await
        .form(&page, &undo, "Withdraw it");
    // But it says how it sees the part of each side, once.
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
    // What the lab has answered stays; the button of an old page takes it away no more.
    let undo = scene.at("/follow-up/undo");
    let mark = format!("form[action=\"{undo}\"]");
    assert_eq!(scene.anna.get(&page).await.count(&mark), 0);
    let stale = over(&before, &[("undone_why", "another case")]);
    let stale = scene.anna.post(&undo, &stale).await;
    stale.is(409).sees("has answered this check on");
    // A mistake that nobody has answered is withdrawn.
    scene.follows_up(&scene.dora, &all).await.is(303);
    let nothing = scene.anna.send(&page, &undo, &[]).await;
    nothing.is(422).sees("Say what the mistake was.");
    let why = [("undone_why", "another case")];
    scene.anna.send(&page, &undo, &why).await.is(303);
    let shown = scene.dora.get(&page).await.words();
    assert_eq!(shown.matches("a remake, cause").count(), 1, "{shown}");
    // Whoever makes out the invoice reads it where the work is listed.
    let done = scene.tom.get(&scene.at("/done.pdf")).await;
    let (done, _) = crate::case_papers::read(&done);
    for words in [
        "a remake, cause: impression or functional surface",
        "the lab sees it otherwise",
    ] {
        assert!(done.contains(words), "“{words}” is not in {done}");
    }
    scene
        .tom
        .get("/")
        .await
        .sees_not("say how you see the part");
}

#[tokio::test]
async fn an_agreed_remake_tells_the_office_what_is_to_be_written_and_what_it_stands_on() {
    let scene = fitted().await;
    let page = scene.at("/follow-up");
    scene.follows_up(&scene.dora, &remake("both")).await.is(303);
    scene.world.pass_minutes(1);
    let share = scene.at("/follow-up/share");
    scene.tom.send(&page, &share, &[]).await.is(303);
    let words = "was agreed on; it stands on the check of";
    for who in [&scene.dora, &scene.anna, &scene.tom] {
        let case = who.get(&scene.at("")).await;
        case.sees(words)
            .sees("impression or functional surface")
            .sees("open a new case for it and close this one");
    }
    for who in [&scene.dora, &scene.tom] {
        // 1 of 1: from 21 to 100 % by the score interval of Wilson, computed by hand.
        let report = who.get("/reports").await;
        report
            .sees("impression or functional surface 1 of 1 21 to 100 %")
            .sees("both sides 1");
        let file = who.get("/reports.csv?table=causes").await;
        assert!(
            file.is(200)
                .text()
                .contains("impression or functional surface,1,1,1.000,0.207,1.000,0,0,,,,0,0,1,0"),
            "{}",
            file.text()
        );
    }
    scene
        .dora
        .get("/")
        .await
        .sees("Asked or told by the other side")
        .sees("rite and sign the prescription");
    // The next revision is the order, and nothing is asked any more.
    scene.world.pass_minutes(1);
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let case = scene.dora.get(&scene.at("")).await;
    case.is(200).sees_not(words);
}

/// The lab need not have answered: what was wrong is known to whoever writes the order.
#[tokio::test]
async fn a_remake_is_not_written_with_the_shade_that_was_its_cause() {
    let scene = fitted().await;
    let of_teeth = remake("both").map(|(key, text)| match key {
        "work_cause" => (key, "teeth"),
        _ => (key, text),
    });
    scene.follows_up(&scene.dora, &of_teeth).await.is(303);
    scene.world.pass_minutes(1);
    let again = [("order.kind", "remake")];
    scene.write(&scene.dora, &again).await.is(303);
    let page = scene.dora.get(&scene.at("/write")).await;
    page.sees("this of the first making is named again: shade B-20");
    let other = [("shade.tab", "B-30")];
    scene.write(&scene.dora, &other).await.is(303);
    let page = scene.dora.get(&scene.at("/write")).await;
    page.sees_not("of the first making is named again")
        .sees_not("without the number of the earlier case");
}

/// Common practice, no source: a remake is made in a case of its own, with the same lab or another.
#[tokio::test]
async fn an_agreed_remake_is_ordered_where_a_new_case_of_the_arch_is_opened_since() {
    let scene = fitted().await;
    let page = scene.at("/follow-up");
    crate::scene::open_case(&scene.dora, &scene.patient, "upper").await;
    scene.world.pass_minutes(1);
    scene.follows_up(&scene.dora, &remake("both")).await.is(303);
    scene.world.pass_minutes(1);
    let share = scene.at("/follow-up/share");
    scene.tom.send(&page, &share, &[]).await.is(303);
    let words = "was agreed on; it stands on the check of";
    let asks = async |who: &Visitor| {
        let case = who.get(&scene.at("")).await.is(200).text();
        case.contains(words) && case.contains("write and sign the prescription")
    };
    // What was opened before is another work, and so is what is made for the other arch.
    assert!(asks(&scene.dora).await);
    scene.world.pass_minutes(1);
    crate::scene::open_case(&scene.dora, &scene.patient, "lower").await;
    assert!(asks(&scene.dora).await);
    let new = crate::scene::open_case(&scene.dora, &scene.patient, "upper").await;
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("")).await.is(200).sees_not(words);
        assert!(!asks(who).await);
    }
    let home = scene.dora.get("/").await;
    assert!(home.count(&format!("a[href=\"/cases/{new}\"]")) > 0);
    home.sees_not("Asked or told by the other side");
    let found = vestibule::app::examine::examine(&scene.world.app, None).await;
    assert_eq!(found.unwrap().faults, Vec::new());
}

/// What a calendar says of the days of a case: each title, and whether the day is struck out.
fn calendar(text: &str) -> Vec<(String, bool)> {
    let events = text.split("BEGIN:VEVENT").skip(1);
    let one = |event: &str| {
        let unfolded = event.replace("\r\n ", "");
        let title = unfolded
            .lines()
            .find_map(|line| line.strip_prefix("SUMMARY:"));
        let title = title.unwrap().split(": ").next().unwrap().to_owned();
        (title, unfolded.contains("STATUS:CANCELLED"))
    };
    events.map(one).collect()
}

#[tokio::test]
async fn a_calendar_strikes_out_what_led_to_the_fit_and_has_the_checks_after_it() {
    let mut scene = fitted().await;
    let path = scene.at("/dates.ics");
    let day = |title: &str, is_off: bool| (title.to_owned(), is_off);
    let file = scene.dora.get(&path).await;
    let before = file.is(200).text();
    let checks = |first: bool| {
        vec![
            day("Due", true),
            day("Check after the fit\\, 24 hours", first),
            day("Check after the fit\\, one week", false),
            day("Check after the fit\\, one month", false),
        ]
    };
    assert_eq!(calendar(&before), checks(false));
    let feed = crate::feed::makes(&scene.dora).await;
    let fed = scene.world.nobody().get(&feed).await.text();
    assert!(fed.contains("SUMMARY:Check after the fit\\, 24 hours: case "));
    the_next_day(&mut scene).await;
    scene.follows_up(&scene.anna, &ORDINARY).await.is(303);
    let after = scene.dora.get(&path).await.text();
    assert_eq!(calendar(&after), checks(true));
    // The same events, said anew.
    let all = |text: &str, name: &str| -> Vec<String> {
        let lines = text.lines().filter(|line| line.starts_with(name));
        lines.map(str::to_owned).collect()
    };
    assert_eq!(all(&before, "UID:"), all(&after, "UID:"));
    assert_ne!(all(&before, "SEQUENCE:"), all(&after, "SEQUENCE:"));
    // A day on which nobody is treated is none for a check, also where the feed was read before.
    let starts = async || {
        let fed = scene.world.nobody().get(&feed).await.text();
        all(&fed, "DTSTART;VALUE=DATE:")
    };
    let [monday, tuesday] = ["9", "10"].map(|day| format!("DTSTART;VALUE=DATE:202603{day:0>2}"));
    let with_monday = starts().await;
    assert!(with_monday.contains(&monday) && !with_monday.contains(&tuesday));
    let closed = [("text", "day,what\n2026-03-09,\n")];
    // By another program on the same database.
    let here = &scene.world.app;
    let there = App::new(
        here.store.clone(),
        here.outside.clone(),
        here.settings.clone(),
    );
    let mut dora = scene.dora.clone();
    dora.router = web::router(there);
    let loads = dora.send("/closed-days", "/closed-days", &closed);
    loads.await.is(303);
    let without = starts().await;
    assert!(!without.contains(&monday) && without.contains(&tuesday));
}

/// A remake of the upper, of which the lab sees the part of each house otherwise.
async fn disputed() -> Scene {
    let scene = fitted().await;
    let page = scene.at("/follow-up");
    scene.follows_up(&scene.dora, &remake("lab")).await.is(303);
    scene.world.pass_minutes(1);
    let share = scene.at("/follow-up/share");
    let otherwise = [
        ("otherwise", "yes"),
        ("share_note", "the border was as asked"),
    ];
    scene.tom.send(&page, &share, &otherwise).await.is(303);
    scene.world.pass_minutes(1);
    scene
}

const DISPUTED: &str = "is not agreed on; it stands on the check of";
const AGREED: &str = "was agreed on; it stands on the check of";

#[tokio::test]
async fn what_the_lab_sees_otherwise_waits_for_the_office_and_the_lab_can_still_agree() {
    let scene = disputed().await;
    let page = scene.at("/follow-up");
    for who in [&scene.dora, &scene.tom] {
        let case = who.get(&scene.at("")).await;
        case.sees(DISPUTED).sees("or enter the check again");
        let report = who.get("/reports").await;
        report.sees("Seen otherwise by the lab in this month: 1 remake");
        report.sees_not("Agreed on after a fit in this month");
    }
    scene
        .dora
        .get("/")
        .await
        .sees("rite and sign the prescription");
    scene.tom.get(&page).await.sees("We agree now");
    let share = scene.at("/follow-up/share");
    scene.tom.send(&page, &share, &[]).await.is(303);
    let case = scene.dora.get(&scene.at("")).await;
    case.sees(AGREED).sees_not(DISPUTED);
    let report = scene.dora.get("/reports").await;
    report
        .sees("Agreed on after a fit in this month")
        .sees_not("Seen otherwise by the lab");
    // It is ordered once.
    scene.world.pass_minutes(1);
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let case = scene.dora.get(&scene.at("")).await;
    case.is(200).sees_not(AGREED);
}

#[tokio::test]
async fn what_the_lab_sees_otherwise_is_entered_anew_or_ordered_all_the_same() {
    let scene = disputed().await;
    let page = scene.at("/follow-up");
    let old = scene.tom.get(&page).await;
    let share = scene.at("/follow-up/share");
    let old = old.form(&page, &share, "We agree now");
    let anew = [&ORDINARY[..], &[("follow_up", "week")]].concat();
    scene.follows_up(&scene.dora, &anew).await.is(303);
    let case = scene.dora.get(&scene.at("")).await;
    case.is(200).sees_not(DISPUTED);
    scene.tom.get(&page).await.sees_not("We agree now");
    let late = scene.tom.post(&share, &over(&old, &[])).await;
    late.is(409).sees("has entered this check again");
    let scene = disputed().await;
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let case = scene.dora.get(&scene.at("")).await;
    case.is(200).sees_not(DISPUTED);
}

#[tokio::test]
async fn the_checks_of_both_arches_of_one_day_stand_once() {
    let mut scene = fitted().await;
    let made = scene
        .add(&scene.tom, "final_denture", "lower", "here")
        .await;
    scene.release(&scene.tom, &[&made], &[]).await.is(303);
    let found = [(made.as_str(), "sound")];
    scene.receive(&scene.anna, &found, &[]).await.is(303);
    let lower = [("fit", made.as_str()), ("as_it_was", "yes")];
    let mouth = scene.at("/mouth");
    let within = "value=\"lower\"";
    let answer = scene.dora.send_where(&mouth, &mouth, within, &lower).await;
    answer.is(303);
    let page = scene.at("/follow-up");
    let words = scene.anna.get(&page).await.words();
    for check in [
        "24 hours, upper and lower",
        "one week, upper and lower",
        "one month, upper and lower",
    ] {
        assert_eq!(words.matches(check).count(), 1, "{check}: {words}");
    }
    // One arch ticked off, the other is told by itself.
    the_next_day(&mut scene).await;
    scene.follows_up(&scene.anna, &ORDINARY).await.is(303);
    let shown = scene.anna.get(&page).await;
    shown
        .sees("✓ 24 hours, upper")
        .sees("24 hours, lower")
        .sees("one week, upper and lower");
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
