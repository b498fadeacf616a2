//! The days of a case, as both houses see them: where the work lies, what rests, and what the houses' own days change.

use crate::common::PASSWORD;
use crate::scene::Scene;

async fn load(scene: &Scene, page: &str, text: &str) {
    let who = match page {
        "/lab-days" => &scene.mara,
        _ => &scene.tom,
    };
    who.send(page, page, &[("text", text)]).await.is(303);
}

#[tokio::test]
async fn before_anything_is_signed_there_is_no_day_to_keep() {
    let scene = Scene::opened().await;
    let page = scene.at("/dates");
    for who in [&scene.dora, &scene.tom] {
        who.get(&page).await.is(200).sees("Nothing is signed yet");
    }
    scene.world.person("root").get(&page).await.is(403);
    scene.world.nobody().get(&page).await.is(303);
}

#[tokio::test]
async fn the_page_says_when_it_has_to_leave_and_when_it_is_back() {
    let scene = Scene::signed().await;
    assert_eq!(
        scene
            .dora
            .get(&scene.at(""))
            .await
            .count("a[href$=\"/dates\"]"),
        1
    );
    // The case's own page says it in a line, with the strip behind it.
    let case = scene.tom.get(&scene.at("")).await;
    case.sees("Back on Fri 13 Mar, in time for Fri 20 Mar");
    assert_eq!(case.count("details.folded-days svg.days"), 2);
    // Monday 2 March, seven lab days as one laboratory publishes them, a day on the way each.
    let page = scene.dora.get(&scene.at("/dates")).await;
    page.is(200)
        .sees("As it stands the work is back on Fri 13 Mar, in time for Fri 20 Mar. “Set up the teeth” sets the pace.")
        .sees("It has to leave the office by Mon 9 Mar.")
        .sees("Parcel to the lab next day Tue 3 Mar Tue 10 Mar 5 days")
        .sees("Finish, measure 1 day Thu 12 Mar Thu 19 Mar 5 days early");
    // Drawn twice, for a wide and for a narrow window: of both the words stand beside it.
    assert_eq!(page.count("svg.days[aria-hidden=true]"), 2);
    assert_eq!(page.count("svg.days.narrow"), 1);
    let drawn = |kind: &str| page.count(&format!("svg.days{kind} rect.ahead"));
    assert!(drawn(".narrow") > 6);
    assert_eq!(drawn(".narrow"), drawn(":not(.narrow)"));
    scene
        .tom
        .get(&scene.at("/dates"))
        .await
        .is(200)
        .sees("Fri 13 Mar");
}

#[tokio::test]
async fn a_lab_that_works_on_weekends_is_told_by_that_alone() {
    let scene = Scene::signed().await;
    let page = scene.at("/dates");
    load(&scene, "/closed-days", "day,what\n2026-03-06,\n").await;
    let seen = scene.dora.get(&page).await;
    seen.is(200)
        .sees("not on Saturdays and Sundays; Fri 6 Mar")
        .sees_not("open on Sat 7 Mar");
    // A lab that works on one of both days has the others told.
    load(&scene, "/closed-days", "day,what\nsunday,\n").await;
    let seen = scene.dora.get(&page).await;
    seen.sees("Saturdays and Sundays; open on Sat 7 Mar");
}

#[tokio::test]
async fn what_a_cast_is_poured_from_waits_for_no_day() {
    let scene = Scene::opened().await;
    let surface = [
        ("impression.source", "functional"),
        ("impression.material", "conditioner"),
    ];
    let fields: Vec<_> = crate::scene::LEAST.into_iter().chain(surface).collect();
    scene.sign(&fields).await.is(303);
    let page = scene.tom.get(&scene.at("/dates")).await;
    page.is(200)
        .sees("A functional surface is poured at once")
        .sees("For the pour there is no day to spare.")
        .sees("Pour the casts 1 day Wed 4 Mar Wed 4 Mar on the day")
        .sees("Finish, measure 1 day Thu 12 Mar Thu 19 Mar 5 days early");
    // What sets keeps its form, and the pour has its days like any other step.
    let scene = Scene::opened().await;
    let silicone = [surface[0], ("impression.material", "silicone")];
    let fields: Vec<_> = crate::scene::LEAST.into_iter().chain(silicone).collect();
    scene.sign(&fields).await.is(303);
    let page = scene.tom.get(&scene.at("/dates")).await;
    page.is(200)
        .sees_not("poured at once")
        .sees("Pour the casts 1 day Wed 4 Mar Wed 11 Mar 5 days early");
}

#[tokio::test]
async fn the_signed_days_go_into_a_calendar_and_stay_the_same_events() {
    let scene = Scene::opened().await;
    let path = scene.at("/dates.ics");
    let empty = scene.dora.get(&path).await;
    assert!(!empty.is(200).text().contains("VEVENT"));
    let days = [
        ("dates.insertion", "2026-03-24"),
        ("dates.first_check", "2026-03-25"),
    ];
    let fields: Vec<_> = crate::scene::LEAST.into_iter().chain(days).collect();
    scene.sign(&fields).await.is(303);
    let file = scene.tom.get(&path).await;
    assert_eq!(
        file.is(200).headers["content-type"],
        "text/calendar; charset=utf-8"
    );
    let uids = |text: &str| -> Vec<String> {
        let lines = text.split("\r\n").filter(|line| line.starts_with("UID:"));
        lines.map(str::to_owned).collect()
    };
    let text = file.text();
    assert_eq!(uids(&text).len(), 3);
    for part in [
        "VALUE=DATE:20260320",
        "VALUE=DATE:20260324",
        "SEQUENCE:2",
        "DTSTAMP:20260302T080000Z",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    assert!(!text.contains(&scene.patient), "no patient code");
    scene.sign(&[("dates.wanted", "2026-03-19")]).await.is(303);
    let later = scene.dora.get(&path).await.text();
    assert!(later.contains("VALUE=DATE:20260319") && later.contains("SEQUENCE:4"));
    assert_eq!(uids(&text), uids(&later));
    // Cancelled work is taken out of the calendars that have it.
    assert!(!later.contains("STATUS:CANCELLED"));
    let halt = scene.at("/halt");
    let said = [("reason", "moved away"), ("password", PASSWORD)];
    let done = scene
        .dora
        .send_where(&halt, &halt, "value=\"cancel\"", &said)
        .await;
    done.is(303);
    let over = scene.dora.get(&path).await.text();
    assert_eq!(over.matches("STATUS:CANCELLED").count(), 3);
    assert!(over.contains("SEQUENCE:6"));
    assert_eq!(uids(&over), uids(&later));
}

#[tokio::test]
async fn the_days_of_the_houses_move_the_plan() {
    let scene = Scene::signed().await;
    let page = scene.at("/dates");
    let closed = "day,what\nsaturday,\nsunday,\n2026-03-04,holiday\nafter 08:30,the round begins\n";
    load(&scene, "/closed-days", closed).await;
    // The fourth falls out: one lab day later.
    let seen = scene.dora.get(&page).await;
    seen.sees("back on Mon 16 Mar")
        .sees("what comes by 08:30 counts for the day");
    load(
        &scene,
        "/lab-days",
        "step,days\nset_up,2\nprocess,1\nway_back,2\n",
    )
    .await;
    let seen = scene.dora.get(&page).await;
    seen.sees("Lab days, set-up 2: the lab’s own days, version 1")
        .sees("next day to the lab, 2 days back")
        .sees("Flask, cure, remount, finish, measure 1");
    let none = [("text", "step,days\nset_up,0\n")];
    let refused = scene.mara.send("/lab-days", "/lab-days", &none).await;
    refused
        .is(422)
        .sees("Line 2: a stage takes at least one working day.");
    let own = "step,days,course\nset_up,4,\nset_up,9,immediate\nset_up,3,copy\n";
    load(&scene, "/lab-days", own).await;
    let seen = scene.dora.get(&page).await;
    seen.is(200)
        .sees("Lab days, set-up 4: the lab’s own days, version 2")
        .sees("Lab days, process and finish 3: calendar of one US");
    let never = "day,what\nmonday,\ntuesday,\nwednesday,\nthursday,\nfriday,\nsaturday,\n";
    load(&scene, "/lab-days", "step,days\nset_up,4\n").await;
    load(&scene, "/closed-days", never).await;
    let seen = scene.dora.get(&page).await;
    seen.is(200)
        .sees("Office and lab share no working day within a year");
}

/// Monday 2 March, 09:00 at both houses.
#[tokio::test]
async fn the_step_of_a_parcel_says_why_it_waits() {
    let scene = Scene::signed().await;
    let page = scene.at("/dates");
    let says = async |words: &str| {
        for who in [&scene.dora, &scene.tom] {
            who.get(&page).await.is(200).sees(words);
        }
    };
    let weekend = "day,what\nsaturday,\nsunday,\n";
    for (more, words) in [
        (
            "after 08:30,the round\n",
            "It is past 08:30 at the office: nothing leaves before Tue 3 Mar.",
        ),
        (
            "2026-03-02,holiday\n",
            "The office is closed today: nothing leaves before Tue 3 Mar.",
        ),
        (
            "2026-03-03,holiday\n",
            "Closed in between: Tue 3 Mar (office).",
        ),
        ("", "Parcel to the lab next day Tue 3 Mar Tue 10 Mar"),
    ] {
        let text = format!("{weekend}{more}");
        let loaded = [("text", text.as_str())];
        let answer = scene.dora.send("/closed-days", "/closed-days", &loaded);
        answer.await.is(303);
        says(words).await;
    }
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.pack(&scene.anna, &[&bite], &[]).await.is(303);
    says("Packed, and waits for the carrier.").await;
    // The case's own page says it with the day.
    let case = scene.tom.get(&scene.at("")).await;
    case.sees("Tue 3 Mar. Packed, and waits for the carrier.");
    scene.world.pass_minutes(10);
    scene.pick_up(&scene.dora, &[]).await.is(303);
    says("under way With the carrier since Mon 2 Mar.").await;
    let hour = format!("{weekend}after 09:05,\n");
    load(&scene, "/closed-days", &hour).await;
    let found = [(bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    says("It came after 09:05 and counts for Tue 3 Mar.").await;
}

#[tokio::test]
async fn what_rests_is_told_with_what_waiting_costs() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.at("/dates");
    let seen = scene.tom.get(&page).await;
    // It is there on Monday: a day earlier than by the carrier.
    seen.sees("As it stands the work is back on Thu 12 Mar")
        .sees("Parcel to the lab next day Mon 2 Mar done");
    let asked = [
        ("matter", "unclear"),
        ("question", "which height holds, 66 or 63?"),
        ("waits", "yes"),
    ];
    let ask = scene.at("/ask");
    scene
        .tom
        .send(&scene.at("/questions"), &ask, &asked)
        .await
        .is(303);
    let seen = scene.dora.get(&page).await;
    seen.sees("If the open question is answered today the work is back on Thu 12 Mar")
        .sees("The lab waits for the office’s answer")
        .sees("Wed 4 Mar Fri 13 Mar 5");
    assert_eq!(seen.count("main a.button[href$=\"/questions\"]"), 1);
    let seen = scene.tom.get(&page).await;
    assert_eq!(
        seen.count("main a.button[href$=\"/questions\"]"),
        0,
        "not the lab's to answer"
    );
}

#[tokio::test]
async fn what_is_made_and_what_is_back_is_told_by_the_record() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.at("/dates");
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let seen = scene.tom.get(&page).await;
    seen.sees("the work is back on Tue 3 Mar")
        .sees("Finish, measure 1 day Mon 2 Mar done");
    let read = scene.at("/revisions/1/acknowledge");
    scene
        .tom
        .post(&read, &[("post_key", "acknowledge-1")])
        .await
        .is(303);
    let finished = [("purpose_code", "finished")];
    scene.release(&scene.tom, &[&last], &finished).await.is(303);
    scene
        .dora
        .get(&page)
        .await
        .sees("Parcel back sets the pace next day Tue 3 Mar under way");
    let found = [(last.as_str(), "sound")];
    scene.receive(&scene.dora, &found, &[]).await.is(303);
    let seen = scene.dora.get(&page).await;
    seen.sees("The work has been back at the office since Mon 2 Mar.");
    let case = scene.tom.get(&scene.at("")).await;
    assert_eq!(case.count("details.folded-days"), 0, "it is back");
}

/// Names a day for the lab, or answers it for the office.
async fn say(
    scene: &Scene,
    who: &crate::common::Visitor,
    to: &str,
    fields: &[(&str, &str)],
) -> crate::common::Answer {
    let (page, to) = (scene.at("/dates"), scene.at(to));
    let action = format!("action=\"{to}\"");
    who.send_where(&page, &to, &action, fields).await
}

#[tokio::test]
async fn the_lab_names_a_day_and_the_office_agrees_or_not() {
    let scene = Scene::signed().await;
    let page = scene.at("/dates");
    // The earliest day by the plan stands in the field; the office has no such form.
    let form = scene.tom.get(&page).await;
    assert_eq!(
        form.count("input[name=promised_day][value=\"2026-03-13\"]"),
        1
    );
    assert_eq!(
        scene
            .dora
            .get(&page)
            .await
            .count("input[name=promised_day]"),
        0
    );
    let day = |day| [("promised_day", day), ("promise_note", "the oven is away")];
    say(&scene, &scene.tom, "/promise", &day("31"))
        .await
        .is(422)
        .sees("the oven is away");
    say(&scene, &scene.tom, "/promise", &day("2026-02-27"))
        .await
        .is(409)
        .sees("Fri 27 Feb 2026 is gone.")
        .sees("the oven is away");
    say(&scene, &scene.tom, "/promise", &day("2026-03-24"))
        .await
        .is(303);
    scene
        .tom
        .get(&page)
        .await
        .sees("The lab says Tue 24 Mar, 2 working days later than asked (Fri 20 Mar).")
        .sees("By the plan alone it could be back on Fri 13 Mar.")
        .sees("The office has not answered yet.")
        .sees_not("As it stands");
    let home = scene.dora.get("/").await;
    home.sees("Say whether the promised day will do")
        .sees("Asked or told by the other side");
    let case = scene.dora.get(&scene.at("")).await;
    case.sees("The lab has named Tue 24 Mar: not agreed yet.")
        .sees("The lab says Tue 24 Mar, 2 working days later than asked (Fri 20 Mar)")
        .sees_not("Back on Fri 13 Mar")
        .sees("say whether it will do");
    let stale = scene.dora.get(&page).await;
    let event = {
        let html = scraper::Html::parse_document(&stale.text());
        let field = scraper::Selector::parse("input[name=promise]").unwrap();
        let found = html.select(&field).next().unwrap();
        found.value().attr("value").unwrap().to_owned()
    };
    say(&scene, &scene.dora, "/day", &[("promise", &event)])
        .await
        .is(422)
        .sees("Choose whether the day will do.");
    let no = [("promise", event.as_str()), ("will_do", "not_accepted")];
    say(&scene, &scene.dora, "/day", &no)
        .await
        .is(409)
        .sees("Say which day you need");
    let yes = [("promise", event.as_str()), ("will_do", "accepted")];
    say(&scene, &scene.dora, "/day", &yes).await.is(303);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("Agreed for Tue 24 Mar");
    let file = scene.tom.get(&scene.at("/dates.ics")).await.text();
    assert!(file.contains("VALUE=DATE:20260324") && file.contains("SEQUENCE:6"));
    // Whoever answers from an old page is told who was faster, and loses nothing.
    let key = stale.attribute("form[action$=\"/day\"] input[name=post_key]", "value");
    let late = [
        no[0],
        no[1],
        ("day_note", "the 20th, please"),
        ("post_key", &format!("{key}-late")),
    ];
    scene
        .dora
        .post(&scene.at("/day"), &late)
        .await
        .is(409)
        .sees("has answered this")
        .sees("the 20th, please");
    let root = scene.world.person("root");
    root.get(&page).await.is(403);
    // The next revision asks for its own day again.
    scene.sign(&[("dates.wanted", "2026-03-19")]).await.is(303);
    scene
        .tom
        .get(&page)
        .await
        .sees("For revision 2 it has named no day yet.");
    scene.tom.get(&scene.at("")).await.sees("Due Thu 19 Mar");
}

/// The lab's clock is moved to New York: the same entries, and the days as its wall shows them. In 2026 summer time begins
/// on 8 March there, and on 29 March in Vienna (US Energy Policy Act of 2005; Directive 2000/84/EC).
#[tokio::test]
async fn a_house_that_moves_its_zone_in_the_middle_of_a_case_has_its_days_by_the_new_clock() {
    let (mut scene, _) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    let hour = "day,what\nsaturday,\nsunday,\nafter 16:00,\n";
    load(&scene, "/closed-days", hour).await;
    let page = scene.at("/dates");
    // Monday 16 March, 09:00 in Vienna: a question, answered at 17:30.
    scene.later(14 * 24 * 60).await;
    let asked = [
        ("matter", "unclear"),
        ("question", "which height?"),
        ("waits", "yes"),
    ];
    let (ask, questions) = (scene.at("/ask"), scene.at("/questions"));
    scene.tom.send(&questions, &ask, &asked).await.is(303);
    scene.later(8 * 60 + 30).await;
    let answer = [("answer", "66 mm")];
    let to = scene.at("/answer");
    scene.dora.send(&questions, &to, &answer).await.is(303);
    let before = scene.tom.get(&page).await.words();
    assert!(before.contains("today Mon 16 Mar"), "{before}");
    // Past the lab's hour: nothing is done before Tuesday, and the work is back on Wednesday.
    assert!(before.contains("back on Wed 18 Mar"), "{before}");
    let feed = scene.tom.get(&scene.at("/dates.ics")).await.text();
    let report = scene.dora.get("/reports?month=2026-03").await.words();
    let root = scene.world.visitor("root").await;
    for path in root.get("/parties").await.hrefs("/parties/") {
        if path != "/parties/new" && root.get(&path).await.text().contains("Kiln") {
            let fields = [("zone", "America/New_York")];
            root.send(&path, &path, &fields).await.is(303);
        }
    }
    // 17:30 in Vienna, an hour ahead of UTC, is 12:30 in New York, four behind since 8 March: before its hour.
    let after = scene.tom.get(&page).await;
    after
        .is(200)
        .sees("today Mon 16 Mar")
        .sees("back on Tue 17 Mar");
    scene.dora.get(&page).await.sees("back on Tue 17 Mar");
    // What was signed stays the same days, and the report of the office the same month.
    assert_eq!(scene.tom.get(&scene.at("/dates.ics")).await.text(), feed);
    let again = scene.dora.get("/reports?month=2026-03").await.words();
    assert_eq!(again, report);
    scene.tom.get("/reports?month=2026-03").await.is(200);
}

/// An office a day behind its lab: Monday 2 March, 09:00 in Vienna is Sunday evening in Pago Pago, eleven hours behind UTC
/// all the year (IANA time zone database, Pacific/Pago_Pago).
#[tokio::test]
async fn today_is_the_day_on_the_wall_of_the_house_that_reads() {
    let scene = Scene::signed().await;
    let root = scene.world.visitor("root").await;
    for path in root.get("/parties").await.hrefs("/parties/") {
        if path != "/parties/new" && !root.get(&path).await.text().contains("Kiln") {
            let fields = [("zone", "Pacific/Pago_Pago")];
            root.send(&path, &path, &fields).await.is(303);
        }
    }
    let page = scene.at("/dates");
    scene.tom.get(&page).await.sees("today Mon 2 Mar");
    scene.dora.get(&page).await.sees("today Sun 1 Mar");
}

/// The upper goes to a try-in, the lower is finished: the days are those of the lower, until that is made.
#[tokio::test]
async fn where_the_arches_are_not_as_far_the_days_are_those_of_the_slower_one() {
    let scene = Scene::opened().await;
    let lower = [
        ("pieces.1.arch", "lower"),
        ("pieces.1.stage", "process"),
        ("pieces.1.description", "complete denture"),
        ("pieces.1.materials", "heat-cured resin, cross-linked teeth"),
    ];
    let fields = crate::scene::LEAST.map(|(key, word)| match key {
        "pieces.0.stage" => (key, "set_up"),
        _ => (key, word),
    });
    let fields: Vec<_> = fields.into_iter().chain(lower).collect();
    scene.sign(&fields).await.is(303);
    let page = scene.at("/dates");
    // Seven lab days for the lower, four for the upper.
    let seen = scene.dora.get(&page).await;
    seen.sees("the work is back on Fri 13 Mar")
        .sees("“Set up the teeth” of the lower sets the pace.")
        .sees("These are the days of the lower, which takes longer. Alone, the upper could be back on Tue 10 Mar.");
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.release(&scene.dora, &[&bite], &[]).await.is(303);
    let found = [(bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    // The lower is made: what is left is the upper's.
    scene
        .add(&scene.tom, "final_denture", "lower", "here")
        .await;
    let seen = scene.tom.get(&page).await;
    seen.sees("“Set up the teeth” of the upper sets the pace.")
        .sees("Alone, the lower could be back on Tue 3 Mar.")
        .sees_not("Finish, measure");
}

/// A day of insertion does not say when the work is to be there: nothing is signed, and so nothing planned, without it.
#[tokio::test]
async fn an_insertion_alone_does_not_stand_for_the_day_wanted() {
    let scene = Scene::opened().await;
    let fields = crate::scene::LEAST.map(|(key, word)| match key {
        "dates.wanted" => ("dates.insertion", "2026-03-20"),
        _ => (key, word),
    });
    scene.write(&scene.dora, &fields).await.is(303);
    scene.reason().await;
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("The day on which the work is wanted is not given.");
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.is(200).sees("Not ready to be signed");
    let page = scene.dora.get(&scene.at("/dates")).await;
    page.is(200).sees("Nothing is signed yet");
    // With it, the insertion is told beside it, and the day wanted goes before it.
    let wanted = [("dates.wanted", "2026-03-18")];
    scene.sign(&wanted).await.is(303);
    let seen = scene.dora.get(&scene.at("/dates")).await;
    seen.sees("5 working days before the insertion on Fri 20 Mar")
        .sees("It has to leave the office by Thu 5 Mar.")
        .sees("Finish, measure 1 day Thu 12 Mar Tue 17 Mar 3 days early");
}

/// Nobody is treated on Thursdays: that is no day for an insertion nor for the check after it.
#[tokio::test]
async fn days_without_a_chair_are_none_for_the_patient_and_all_the_same_for_a_parcel() {
    let scene = Scene::opened().await;
    let days = "day,what\nsaturday,\nsunday,\nchair thursday,laboratory day\n";
    let loaded = [("text", days)];
    let answer = scene.dora.send("/closed-days", "/closed-days", &loaded);
    answer.await.is(303);
    let typed = |insertion| {
        [
            ("pieces.0.arch", "upper"),
            ("pieces.0.stage", "process"),
            ("dates.wanted", "2026-03-19"),
            ("dates.insertion", insertion),
        ]
    };
    scene.write(&scene.dora, &typed("2026-03-26")).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("The day of insertion is Thu 26 Mar 2026, and the office treats nobody.")
        .sees_not("The day on which the work is wanted is Thu 19 Mar 2026, and");
    scene.write(&scene.dora, &typed("2026-03-25")).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("The office treats nobody on the day after it");
}

#[tokio::test]
async fn a_day_on_which_nobody_is_there_or_of_another_year_is_asked_about_before_it_is_named() {
    let scene = Scene::signed().await;
    let page = scene.at("/dates");
    let form = scene.tom.get(&page).await;
    assert_eq!(form.count("input[name=day_meant]"), 0);
    // Monday 2 March: the day wanted is Friday the 20th.
    for (day, asked) in [
        (
            "2026-03-14",
            "Both sides are closed on Sat 14 Mar 2026. Say whether it is meant.",
        ),
        (
            "2027-03-19",
            "Fri 19 Mar 2027 is 364 days after Fri 20 Mar 2026, the day wanted.",
        ),
    ] {
        let answer = say(&scene, &scene.tom, "/promise", &[("promised_day", day)]).await;
        answer.is(422).sees(asked).sees("The day is meant so");
    }
    let other = [
        ("promised_day", "2026-03-14"),
        ("day_asked", "2027-03-19"),
        ("day_meant", "yes"),
    ];
    let answer = say(&scene, &scene.tom, "/promise", &other).await;
    answer
        .is(422)
        .sees("Both sides are closed on Sat 14 Mar 2026.");
    let meant = [
        ("promised_day", "2026-03-14"),
        ("day_asked", "2026-03-14"),
        ("day_meant", "yes"),
    ];
    say(&scene, &scene.tom, "/promise", &meant).await.is(303);
    let seen = scene.tom.get(&page).await;
    seen.sees("The office has it in hand on Mon 16 Mar. That is in time: no answer is needed.");
}

#[tokio::test]
async fn the_check_on_the_day_after_is_not_called_open_where_no_closed_days_are_loaded() {
    let scene = Scene::opened().await;
    let days = [
        ("dates.wanted", "2026-03-18"),
        ("dates.insertion", "2026-03-24"),
    ];
    scene
        .sign(&[&crate::scene::LEAST[..], &days].concat())
        .await
        .is(303);
    let page = scene.at("/dates");
    let seen = scene.dora.get(&page).await;
    seen.sees(
        "The check on the day after is on Wed 25 Mar: no closed days of the office are loaded.",
    );
    let loaded = [("text", "day,what\nsaturday,\nsunday,\n")];
    scene
        .dora
        .send("/closed-days", "/closed-days", &loaded)
        .await
        .is(303);
    let seen = scene.dora.get(&page).await;
    seen.sees("The check on the day after is on Wed 25 Mar: the office is open.");
}

/// Monday 2 March: seven lab days and the way, as one laboratory publishes them, end on Friday 13 March.
#[tokio::test]
async fn an_insertion_before_the_work_is_back_moves_to_a_day_that_has_its_check() {
    let scene = Scene::opened().await;
    let days = [
        ("dates.wanted", "2026-03-10"),
        ("dates.insertion", "2026-03-11"),
        ("dates.first_check", "2026-03-12"),
    ];
    scene
        .sign(&[&crate::scene::LEAST[..], &days].concat())
        .await
        .is(303);
    let page = scene.at("/dates");
    // The day after that Friday is a Saturday.
    let seen = scene.dora.get(&page).await;
    seen.is(200)
        .sees("after the insertion planned for Wed 11 Mar")
        .sees("The insertion moves: from Mon 16 Mar on, with its check on Tue 17 Mar: no closed days of the office are loaded.")
        .sees("Insertion, earliest")
        .sees_not("The check on the day after is on");
    // Nobody is treated on Tuesdays: neither is the check.
    let loaded = "day,what\nsaturday,\nsunday,\nchair tuesday,laboratory day\n";
    scene
        .dora
        .send("/closed-days", "/closed-days", &[("text", loaded)])
        .await
        .is(303);
    for who in [&scene.dora, &scene.tom] {
        who.get(&page)
            .await
            .sees("The insertion moves: from Wed 18 Mar on, with its check on Thu 19 Mar.");
    }
}

#[tokio::test]
async fn an_insertion_before_the_day_agreed_on_stands_nowhere_as_if_it_were_kept() {
    let scene = Scene::opened().await;
    let days = [
        ("dates.insertion", "2026-03-24"),
        ("dates.first_check", "2026-03-25"),
    ];
    scene
        .sign(&[&crate::scene::LEAST[..], &days].concat())
        .await
        .is(303);
    let page = scene.at("/dates");
    let offices = crate::feed::makes(&scene.dora).await;
    let labs = crate::feed::makes(&scene.tom).await;
    let nobody = scene.world.nobody();
    let files = || async {
        let mut all = Vec::new();
        for (who, path) in [
            (&scene.dora, scene.at("/dates.ics")),
            (&nobody, offices.clone()),
            (&nobody, labs.clone()),
        ] {
            // A long line goes on behind a blank (RFC 5545, section 3.1).
            all.push(who.get(&path).await.text().replace("\r\n ", ""));
        }
        all
    };
    let names = |day| [("promised_day", day)];
    let agrees = || async {
        let event = scene.dora.get(&page).await;
        let event = event.attribute("input[name=promise]", "value");
        let yes = [("promise", event.as_str()), ("will_do", "accepted")];
        say(&scene, &scene.dora, "/day", &yes).await.is(303);
    };
    let stands = "The check on the day after is on Wed 25 Mar";
    scene.dora.get(&page).await.sees(stands);
    // Later than asked, and before the insertion: that stands.
    let named = say(&scene, &scene.tom, "/promise", &names("2026-03-23")).await;
    named.is(303);
    agrees().await;
    scene.dora.get(&page).await.sees(stands);
    for text in files().await {
        assert!(!text.contains("not to be kept"), "{text}");
    }
    // Named for the Friday after it: what is signed stands in the calendars until both agree.
    let named = say(&scene, &scene.tom, "/promise", &names("2026-03-27")).await;
    named.is(303);
    let moves = "The insertion moves: from Mon 30 Mar on, with its check on Tue 31 Mar";
    let of_tuesday = "The insertion signed for Tue 24 Mar is not to be kept.";
    let seen = scene.dora.get(&page).await;
    seen.sees(moves).sees_not(of_tuesday).sees_not(stands);
    for text in files().await {
        assert!(!text.contains("not to be kept"), "{text}");
    }
    agrees().await;
    for who in [&scene.dora, &scene.tom] {
        let seen = who.get(&page).await;
        seen.sees(moves).sees(of_tuesday).sees_not(stands);
    }
    let texts = files().await;
    for (text, place) in texts.iter().zip(["", "", " at the office"]) {
        for (what, day) in [("Insertion", "20260324"), ("First check", "20260325")] {
            // A comma in a text is escaped (RFC 5545, section 3.3.11).
            let said = format!("SUMMARY:{what}{place} as signed\\, not to be kept: case ");
            assert!(text.contains(&said), "{said} in {text}");
            assert!(text.contains(&format!("VALUE=DATE:{day}")), "{text}");
        }
        assert_eq!(text.matches("not to be kept").count(), 2, "{text}");
    }
    // The next revision has days of its own, and they stand.
    let later = [
        ("dates.wanted", "2026-03-27"),
        ("dates.insertion", "2026-03-30"),
        ("dates.first_check", "2026-03-31"),
    ];
    scene.sign(&later).await.is(303);
    let seen = scene.dora.get(&page).await;
    seen.sees("The check on the day after is on Tue 31 Mar")
        .sees_not("The insertion moves");
    for text in files().await {
        assert!(!text.contains("not to be kept"), "{text}");
    }
}

/// The final is back, and the spare that is ordered with it is not made yet.
#[tokio::test]
async fn a_spare_that_is_left_at_the_lab_is_named_on_the_days_and_on_the_first_page() {
    let scene = Scene::opened().await;
    let spare = [
        ("pieces.1.arch", "upper"),
        ("pieces.1.stage", "duplicate"),
        ("pieces.1.description", "copy of the denture"),
        ("pieces.1.materials", "heat-cured resin, cross-linked teeth"),
        ("spare.made_by", "lab"),
    ];
    let fields = [&crate::scene::LEAST[..], &spare].concat();
    scene.sign(&fields).await.is(303);
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.release(&scene.dora, &[&bite], &[]).await.is(303);
    let found = [(bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene.accept(1).await;
    let make = "Make the work and hand it back";
    scene.tom.get("/").await.sees(make);
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished"), ("unmade", "yes")];
    scene.release(&scene.tom, &[&last], &finished).await.is(303);
    let found = [(last.as_str(), "sound")];
    scene.receive(&scene.dora, &found, &[]).await.is(303);
    let seen = scene.dora.get(&scene.at("/dates")).await;
    seen.sees("The work has been back at the office since Mon 2 Mar. At the lab is still to be made: spare, upper.");
    let home = scene.tom.get("/").await;
    home.sees("Make the spare and hand it back").sees_not(make);
}
