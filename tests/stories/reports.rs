//! How the work went, by month: each house sees its own cases, on its own calendar.

use crate::common::Visitor;
use crate::scene::{Scene, Things};

const DAY: i64 = 24 * 60;

impl Scene {
    /// Some days later everybody signs in again.
    pub async fn later(&mut self, minutes: i64) {
        self.world.pass_minutes(minutes);
        for (who, login) in [
            (&mut self.dora, "dora"),
            (&mut self.anna, "anna"),
            (&mut self.tom, "tom"),
            (&mut self.mara, "mara"),
        ] {
            *who = self.world.visitor(login).await;
        }
    }

    async fn asks_and_waits(&self) {
        let page = self.at("/questions?section=vertical");
        let fields = [
            ("matter", "unclear"),
            ("question", "which height holds?"),
            ("section", "vertical"),
            ("waits", "yes"),
        ];
        let sent = self.tom.send(&page, &self.at("/ask"), &fields).await;
        sent.is(303);
    }

    async fn answers(&self) {
        let (page, to) = (self.at("/questions"), self.at("/answer"));
        let sent = self.dora.send(&page, &to, &[("answer", "66 mm")]).await;
        sent.is(303);
    }

    async fn halts(&self, halt: &str) {
        let page = self.at("/halt");
        let fields = [
            ("halt", halt),
            ("reason", "the patient is away"),
            ("password", crate::common::PASSWORD),
        ];
        let said = format!("value=\"{halt}\"");
        let sent = self.dora.send_where(&page, &page, &said, &fields).await;
        sent.is(303);
    }

    /// The lab makes the final denture and sends it.
    async fn sends_the_final(&self) -> String {
        let made = self.add(&self.tom, "final_denture", "upper", "here").await;
        let finished = [("purpose_code", "finished"), ("purpose", "")];
        let sent = self.release(&self.tom, &[&made], &finished).await;
        sent.is(303);
        made
    }
}

/// Two days at the lab, one day of which the work waited for an answer, then three more; the final leaves on
/// Saturday 7 March.
async fn returned() -> (Scene, Things, String) {
    let (mut scene, things) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    scene.later(DAY).await;
    scene.asks_and_waits().await;
    scene.later(DAY).await;
    scene.answers().await;
    scene.later(3 * DAY).await;
    let made = scene.sends_the_final().await;
    (scene, things, made)
}

async fn csv(who: &Visitor, path: &str) -> Vec<Vec<String>> {
    let answer = who.get(path).await;
    answer.is(200);
    assert_eq!(answer.headers["content-type"], "text/csv; charset=utf-8");
    let text = answer.text();
    let lines = text.split_terminator("\r\n");
    lines
        .map(|line| line.split(',').map(str::to_owned).collect())
        .collect()
}

#[tokio::test]
async fn both_houses_read_the_same_month_and_a_third_one_none_of_it() {
    let (mut scene, _, made) = returned().await;
    for who in [&scene.tom, &scene.dora] {
        let page = who.get("/reports").await;
        page.is(200)
            .sees("March 2026")
            .sees("The month is not over")
            .sees("Work returned 1")
            .sees("Time in work 4.0 days")
            .sees("5.0 with what was held")
            .sees("1 of 1, 1.0")
            .sees("On the way: 1")
            .sees("1 asked")
            .sees("24.0 h")
            .sees("Fewer than 8 points");
        assert_eq!(page.hrefs(&scene.at("")).len(), 1);
    }
    for login in ["sven", "lars"] {
        let stranger = scene.world.visitor(login).await;
        let page = stranger.get("/reports").await;
        page.is(200)
            .sees("No work left the lab in this month.")
            .sees("No work was returned in this month.")
            .sees("0 cases with an entry in this month")
            .sees("Nobody asked anything")
            .sees_not(&scene.number);
        assert_eq!(csv(&stranger, "/reports.csv").await.len(), 1);
        stranger
            .get("/in-house")
            .await
            .is(200)
            .sees("No item of an open case is here.");
    }
    // It arrives in time for the 20th.
    scene
        .receive(&scene.dora, &[(&made, "sound")], &[])
        .await
        .is(303);
    let page = scene.tom.get("/reports").await;
    page.sees("1 of 1").sees("100 %").sees("21 to 100 %");
    // A month later it is the month before, and does not change.
    scene.later(30 * DAY).await;
    let page = scene.tom.get("/reports").await;
    page.sees("April 2026").sees("Work returned 0");
    let before = page.hrefs("/reports?month=");
    let march = scene.tom.get(&before[0]).await;
    march
        .sees("March 2026")
        .sees("4.0 days")
        .sees_not("not over");
}

#[tokio::test]
async fn what_came_too_late_is_counted_late_by_days() {
    let (mut scene, _, made) = returned().await;
    scene.later(16 * DAY).await;
    let late = scene.tom.get("/reports").await;
    late.sees("0 of 1")
        .sees("Late by, median 3.0 days")
        .sees("3 days late");
    scene
        .receive(&scene.dora, &[(&made, "sound")], &[])
        .await
        .is(303);
    let rows = csv(&scene.dora, "/reports.csv?table=returns").await;
    assert_eq!(rows[0][9], "days_late");
    assert_eq!(rows[1][9], "3");
    assert_eq!(rows[1][4..8], ["5.000", "1.000", "4.000", "2026-03-20"]);
}

/// The lab needs three days more, the office agrees: work that is there on that day is on time.
#[tokio::test]
async fn what_both_houses_agreed_on_is_the_day_that_a_return_is_held_against() {
    let (mut scene, _) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    let (page, promise) = (scene.at("/dates"), scene.at("/promise"));
    let named = [("promised_day", "2026-03-23")];
    scene.tom.send(&page, &promise, &named).await.is(303);
    scene.later(20 * DAY).await;
    let made = scene.sends_the_final().await;
    scene.later(60).await;
    let found = [(made.as_str(), "sound")];
    scene.receive(&scene.dora, &found, &[]).await.is(303);
    // Nobody has agreed: it is two days late, by the day in the prescription.
    let row = csv(&scene.tom, "/reports.csv?table=returns")
        .await
        .remove(1);
    assert_eq!((&*row[7], &*row[9]), ("2026-03-20", "2"));
    let (mut scene, _) = Scene::at_the_lab().await;
    let (page, accept) = (scene.at("/dates"), scene.at("/revisions/1/acknowledge"));
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    scene
        .tom
        .send(&page, &scene.at("/promise"), &named)
        .await
        .is(303);
    let yes = [("will_do", "accepted")];
    scene
        .dora
        .send(&page, &scene.at("/day"), &yes)
        .await
        .is(303);
    scene.later(20 * DAY).await;
    let made = scene.sends_the_final().await;
    scene.later(60).await;
    let found = [(made.as_str(), "sound")];
    scene.receive(&scene.dora, &found, &[]).await.is(303);
    let row = csv(&scene.tom, "/reports.csv?table=returns")
        .await
        .remove(1);
    assert_eq!((&*row[7], &*row[9]), ("2026-03-23", "0"));
    scene.tom.get("/reports").await.sees("1 of 1");
}

#[tokio::test]
async fn a_pause_and_a_question_in_it_hold_the_work_once() {
    let (mut scene, _) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    scene.later(DAY).await;
    scene.halts("pause").await;
    scene.later(DAY).await;
    scene.asks_and_waits().await;
    scene.later(DAY).await;
    scene.halts("go_on").await;
    scene.later(DAY).await;
    scene.answers().await;
    scene.later(DAY).await;
    scene.sends_the_final().await;
    // Two days of the pause, two of the question, one of them the same.
    let rows = csv(&scene.dora, "/reports.csv?table=returns").await;
    assert_eq!(rows[1][4..7], ["5.000", "3.000", "2.000"]);
}

#[tokio::test]
async fn the_month_ends_at_midnight_on_the_wall_of_the_house() {
    let (mut scene, _) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    // Of 2 March 09:00 in Vienna 29 days make 31 March 10:00, since summer time has begun; 14 h 30 later it is April.
    scene.later(29 * DAY + 14 * 60 + 30).await;
    scene.sends_the_final().await;
    let april = scene.tom.get("/reports?month=2026-04").await;
    april.sees("April 2026").sees("Work returned 1");
    let march = scene.tom.get("/reports?month=2026-03").await;
    march.sees("Work returned 0").sees("No work left the lab");
    // The order was signed in March.
    march.sees("0 of 1 orders");
    april.sees("No case had its first prescription signed in this month.");
}

#[tokio::test]
async fn a_case_that_was_changed_past_the_program_is_left_out_and_hides_no_other() {
    let (scene, _, _) = returned().await;
    let mut conn = scene.world.past_the_store().await;
    let changed =
        "DROP TRIGGER revision_no_UPDATE; UPDATE revision SET signer_name = signer_name || '.'";
    sqlx::raw_sql(changed).execute(&mut conn).await.unwrap();
    let page = scene.tom.get("/reports").await;
    page.is(200)
        .sees("Left out because they cannot be read: 1 of the cases.")
        .sees("No work left the lab in this month.");
}

#[tokio::test]
async fn a_month_that_is_none_is_said_so_and_every_table_has_its_file() {
    let (scene, ..) = returned().await;
    for wrong in [
        "2026-13",
        "march",
        "2026",
        "2026-02-29",
        "%3Cb%3E",
        "9999-01",
    ] {
        let page = scene.tom.get(&format!("/reports?month={wrong}")).await;
        page.is(422)
            .sees("Write the month as year-month")
            .sees("March 2026");
        scene
            .tom
            .get(&format!("/reports.csv?month={wrong}"))
            .await
            .is(404);
    }
    let leap = scene.tom.get("/reports?month=2028-02").await;
    leap.is(200).sees("February 2028").sees("has not begun");
    let old = scene.tom.get("/reports?month=1900-01").await;
    old.is(200).sees("No work left the lab in this month.");
    // No link leads to a month that cannot be asked for.
    assert_eq!(old.hrefs("/reports?month="), ["/reports?month=1900-02"]);
    for (table, columns, rows) in [
        ("returns", 11, 2),
        ("turnaround", 8, 7),
        ("on_time", 8, 2),
        ("questions", 6, 2),
        ("repeats", 10, 3),
    ] {
        let path = format!("/reports.csv?table={table}&month=2026-03");
        let found = csv(&scene.tom, &path).await;
        assert_eq!(found.len(), rows, "{table}: {found:?}");
        for row in &found {
            assert_eq!(row.len(), columns, "{table}: {row:?}");
        }
    }
    scene.tom.get("/reports.csv?table=none").await.is(404);
    // Whoever makes out the invoices sorts the returns by the house.
    for (who, house) in [(&scene.tom, "Northgate"), (&scene.dora, "Kiln")] {
        let rows = csv(who, "/reports.csv?table=returns&month=2026-03").await;
        let named = rows[1].last().unwrap();
        assert!(named.starts_with(house), "{named}");
    }
}

#[tokio::test]
async fn what_the_lab_has_done_in_a_month_is_a_file_of_its_own_for_its_invoices() {
    let mut scene = crate::bench::at_the_bench().await;
    let path = "/reports.csv?table=done&month=2026-03";
    assert_eq!(csv(&scene.tom, path).await.len(), 1);
    let poured = [
        ("used.0.material", "Type 3 stone"),
        ("worked_minutes", "38"),
    ];
    scene
        .works(&scene.tom, "cast_poured", &poured)
        .await
        .is(303);
    let rows = csv(&scene.tom, path).await;
    assert_eq!(rows.len(), 2, "{rows:?}");
    assert_eq!(rows[1][1], "Northgate Dental");
    assert_eq!(
        rows[1][2..],
        ["2026-03-02", "cast poured and boxed", "upper", "1", "38"]
    );
    // It is the lab's own, as the list of each case is.
    let page = scene.tom.get("/reports").await;
    assert_eq!(page.count("a[href*=\"table=done\"]"), 1);
    let page = scene.dora.get("/reports").await;
    assert_eq!(page.count("a[href*=\"table=done\"]"), 0);
    scene.dora.get(path).await.is(404);
    assert_eq!(csv(&scene.world.visitor("lars").await, path).await.len(), 1);
    // A step counts in the month in which it was done.
    scene.later(31 * DAY).await;
    scene.works(&scene.tom, "mounted", &[]).await.is(303);
    let april = "/reports.csv?table=done&month=2026-04";
    let april = csv(&scene.tom, april).await;
    assert_eq!((april.len(), april[1][3].as_str()), (2, "mounted"));
    assert_eq!(csv(&scene.tom, path).await.len(), 2);
}

#[tokio::test]
async fn what_is_in_the_house_is_listed_with_its_place_and_since_when() {
    let (scene, things, _) = returned().await;
    let moved = [("moved_to", "=shelf 3")];
    scene
        .record(&scene.tom, &things.provisional, "move", &moved)
        .await
        .is(303);
    let page = scene.tom.get("/in-house").await;
    page.is(200)
        .sees("In the lab now")
        .sees("Provisional denture, upper")
        .sees("=shelf 3")
        .sees("Mon 2 Mar")
        .sees("5 days")
        .sees("Bite record")
        .sees_not("Duplicate denture");
    let rows = csv(&scene.tom, "/in-house.csv").await;
    let cell = rows.iter().flatten().find(|cell| cell.contains("shelf"));
    assert_eq!(cell.map(String::as_str), Some("'=shelf 3"));
    // The office has the duplicate in a mouth, and nothing in hand.
    let page = scene.dora.get("/in-house").await;
    page.is(200)
        .sees("In the office now")
        .sees("No item of an open case is here.");
}

#[tokio::test]
async fn what_is_lent_stands_with_its_day_on_both_sides() {
    let mut scene = Scene::signed().await;
    let page = scene.at("/items/new");
    let lent = [
        ("item_kind", "shade_tab"),
        ("place", "here"),
        ("borrowed", "yes"),
        ("due_back", "2026-03-06"),
    ];
    let tag = crate::scene::last_part(&scene.anna.send(&page, &page, &lent).await);
    scene.release(&scene.anna, &[&tag], &[]).await.is(303);
    scene
        .receive(&scene.tom, &[(&tag, "sound")], &[])
        .await
        .is(303);
    scene.later(6 * DAY).await;
    let lab = scene.tom.get("/in-house").await;
    lab.is(200)
        .sees("send back to Northgate")
        .sees("Fri 6 Mar, 2 days late")
        .sees("on loan, 2 days late");
    let office = scene.dora.get("/in-house").await;
    office
        .is(200)
        .sees("expected from Kiln")
        .sees("2 days late");
    // Where a case cannot be read, its loan is not left out without a word.
    let mut conn = scene.world.past_the_store().await;
    for (changed, is_told) in [
        (
            "DROP TRIGGER revision_no_UPDATE; UPDATE revision SET signer_name = signer_name || '.'",
            true,
        ),
        (
            "UPDATE revision SET signer_name = rtrim(signer_name, '.')",
            false,
        ),
        (
            "CREATE TABLE kept AS SELECT lent_due FROM case_file; UPDATE case_file SET lent_due = ''",
            true,
        ),
        (
            "UPDATE case_file SET lent_due = (SELECT lent_due FROM kept); DROP TABLE kept",
            false,
        ),
    ] {
        sqlx::raw_sql(changed).execute(&mut conn).await.unwrap();
        let page = scene.dora.get("/in-house").await;
        let told = page
            .is(200)
            .words()
            .contains("1 of the cases with a loan cannot be read");
        assert_eq!(told, is_told, "{}", page.words());
        let file = scene.dora.get("/in-house.csv").await;
        file.is(if is_told { 409 } else { 200 });
    }
    // Back with its lender, it is lent no more.
    let back = [("purpose_code", "going_back"), ("purpose", "")];
    scene.release(&scene.tom, &[&tag], &back).await.is(303);
    scene
        .receive(&scene.dora, &[(&tag, "sound")], &[])
        .await
        .is(303);
    for who in [&scene.tom, &scene.dora] {
        let page = who.get("/in-house").await;
        page.is(200)
            .sees("Nothing is on loan with a day to be back by.");
    }
    // What only goes back is no work.
    scene.tom.get("/reports").await.sees("Work returned 0");
}

#[tokio::test]
async fn a_text_that_no_entry_says_is_erased_leaves_its_case_out_of_the_month() {
    let (scene, _, _) = returned().await;
    const LEFT_OUT: &str = "Left out because they cannot be read: 1 of the cases";
    // The office asks, since what is counted of a case is kept by house until the case changes.
    scene.dora.get("/reports").await.is(200).sees_not(LEFT_OUT);
    let asked = "(SELECT id FROM event WHERE kind = 'asked')";
    let blank = format!(
        "DROP TRIGGER IF EXISTS event_only_erased; \
         UPDATE event SET body = replace(body, 'which height holds?', '[erased]') WHERE kind = 'asked'; \
         UPDATE leaf_salt SET salts = json_remove(salts, '$.\"/event/what/text\"') \
         WHERE leaf = (SELECT number FROM leaf WHERE kind = 'event' AND about = {asked}); \
         UPDATE party SET changes = changes + 1"
    );
    let mut conn = scene.world.past_the_store().await;
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(blank)).execute(&mut conn);
    done.await.unwrap();
    scene.tom.get("/reports").await.is(200).sees(LEFT_OUT);
}
