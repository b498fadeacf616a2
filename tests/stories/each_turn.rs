//! Four courses from the first line to the last step, and after each step what both houses read: on the page of the case
//! where the work is and whose turn it is, and on their first page in which list the case stands, and with what to do.
//! What a house expects to read there: common practice, no source.

use crate::common::{PASSWORD, Visitor, World};
use crate::scene::{LEAST, SPARE, Scene};
use scraper::{ElementRef, Html, Selector};
use std::cell::RefCell;

fn words(of: ElementRef<'_>) -> String {
    let text: String = of.text().collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn capital(words: &str) -> String {
    let (first, rest) = words.split_at(1);
    format!("{}{rest}", first.to_uppercase())
}

/// On the page of the case: where the work is and whose turn it is, without its day.
async fn on_the_case(scene: &Scene, who: &Visitor) -> String {
    let page = Html::parse_document(&who.get(&scene.at("")).await.text());
    let selector = Selector::parse("p.stands").unwrap();
    let said = words(page.select(&selector).next().unwrap());
    // Its link stands behind.
    let said = said.strip_suffix(" Dates").unwrap_or(&said);
    let said = said.split(" Due ").next().unwrap();
    said.split(" Agreed for ").next().unwrap().to_owned()
}

/// On the first page: the list in which the case stands, and what is to be done.
async fn on_the_first_page(scene: &Scene, who: &Visitor) -> (String, String) {
    let page = Html::parse_document(&who.get("/").await.text());
    let one = |text: &str| Selector::parse(text).unwrap();
    let line = format!("a[href=\"{}\"] .do strong", scene.at(""));
    let agenda = one("section.agenda");
    let mut lists = page.select(&agenda);
    let found = lists.find_map(|list| {
        let what = list.select(&one(&line)).next()?;
        let title = list.select(&one("h2")).next()?.text().next()?;
        Some((title.trim().to_owned(), words(what)))
    });
    found.unwrap_or_default()
}

thread_local! {
    /// What was read otherwise than it was to be, step by step.
    static OTHERWISE: RefCell<Vec<String>> = const { RefCell::new(Vec::new()) };
}

fn differs(step: &str, whole: &str, expected: &str) {
    // The checks that follow a fit have stories of their own.
    let read = whole.strip_suffix(", until the next check after the fit");
    let read = read.unwrap_or(whole);
    if read != expected {
        let words = format!("{step}: “{read}”, and not “{expected}”");
        OTHERWISE.with_borrow_mut(|all| all.push(words));
    }
}

/// Says all that was read otherwise, at once.
fn all_as_expected() {
    OTHERWISE.with_borrow(|all| assert!(all.is_empty(), "{}", all.join("\n")));
}

impl Scene {
    /// Where the work is, what the office has to do and what the lab has: nothing where it is empty.
    async fn turn(&self, step: &str, place: &str, office: &str, lab: &str) {
        let sides = [
            (&self.dora, office, lab, ("Kiln Laboratory", "Lab")),
            (&self.tom, lab, office, ("Northgate Dental", "Office")),
        ];
        for (who, own, others, (house, side)) in sides {
            let mut said = format!("{place}.");
            if !own.is_empty() {
                said = format!("{said} Your turn: {own}.");
            }
            if !others.is_empty() {
                said = format!("{said} {house}: {others}.");
            }
            differs(step, &on_the_case(self, who).await, &said);
            let (list, to_do) = match (own, others) {
                ("", "") => ("Waiting for others", "With the patient".to_owned()),
                ("", others) => ("Waiting for others", format!("{side}: {others}")),
                ("check in the parcel", _) => ("On its way to you", capital(own)),
                (own, _) => ("For you", capital(own)),
            };
            let first = on_the_first_page(self, who).await;
            differs(step, &first.0, list);
            differs(step, &first.1, &to_do);
        }
    }

    /// All of it comes as it was sent.
    async fn comes_to(&self, who: &Visitor, tags: &[&str]) {
        let sound: Vec<(&str, &str)> = tags.iter().map(|tag| (*tag, "sound")).collect();
        self.receive(who, &sound, &[]).await.is(303);
    }

    async fn sends(&self, who: &Visitor, tags: &[&str], purpose: &str, more: &[(&str, &str)]) {
        let fields = [&[("purpose_code", purpose), ("purpose", "")][..], more].concat();
        self.release(who, tags, &fields).await.is(303);
    }

    /// What goes into an arch, or comes out of it by a signed reason.
    async fn goes_into(&self, arch: &str, tag: &str, more: &[(&str, &str)]) {
        let (mouth, within) = (self.at("/mouth"), format!("value=\"{arch}\""));
        let fields = [&[("fit", tag), ("as_it_was", "yes")][..], more].concat();
        let done = self.dora.send_where(&mouth, &mouth, &within, &fields).await;
        done.is(303);
    }
}

const OFFICE: &str = "At the office";
const LAB: &str = "At the lab";
const AWAY: &str = "On the way";
const HOME: &str = "With the patient";

const WRITE: &str = "write and sign the prescription";
const HAND_OVER: &str = "hand over to the lab";
const RECEIVE: &str = "check in the parcel";
const READ: &str = "read and acknowledge the prescription";
const MAKE: &str = "make the work and hand it back";
const FIT: &str = "fit what came back";
const HAND_OUT: &str = "hand the parcels to the carrier";
const MAKE_SPARE: &str = "make the spare and hand it back";

async fn opened(arches: &str, card: &[(&str, &str)]) -> Scene {
    Scene::opened_for(World::peopled().await, card, arches).await
}

/// The steps were done, and nobody has entered them.
const DONE: (&str, &str) = ("unfinished", "yes");

#[tokio::test]
async fn a_copy_with_a_spare_says_after_every_step_whose_turn_it_is() {
    let mut scene = opened("upper", &[]).await;
    scene.turn("opened", OFFICE, WRITE, "").await;
    let things = scene.things().await;
    scene.turn("registered", OFFICE, WRITE, "").await;
    let spare = [
        ("pieces.1.arch", "upper"),
        ("pieces.1.stage", "duplicate"),
        (
            "pieces.1.description",
            "spare, copy of the finished denture",
        ),
        ("pieces.1.materials", "cold-cured resin"),
        ("spare.arch", "upper"),
        ("spare.made_by", "lab"),
    ];
    scene.sign(&[&LEAST[..], &spare].concat()).await.is(303);
    scene.turn("signed", OFFICE, HAND_OVER, "").await;
    scene.goes_into("upper", &things.duplicate, &[]).await;
    scene.turn("duplicate worn", OFFICE, HAND_OVER, "").await;
    let sent = [things.provisional.as_str(), things.bite.as_str()];
    let make = [("purpose_code", "make"), ("purpose", "")];
    scene.pack(&scene.anna, &sent, &make).await.is(303);
    scene.turn("packed", OFFICE, HAND_OUT, "").await;
    scene.pick_up(&scene.anna, &[]).await.is(303);
    scene.turn("picked up", AWAY, "", RECEIVE).await;
    scene.comes_to(&scene.tom, &sent).await;
    scene.turn("at the lab", LAB, "", READ).await;
    scene.accept(1).await;
    scene.turn("acknowledged", LAB, "", MAKE).await;
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.turn("made", LAB, "", MAKE).await;
    // All but the spare goes back; that is made after it.
    let back = [made.as_str(), sent[0], sent[1]];
    let but_the_spare = [
        ("purpose_code", "finished"),
        ("purpose", ""),
        ("unmade", "yes"),
        DONE,
    ];
    scene.pack(&scene.tom, &back, &but_the_spare).await.is(303);
    let both = format!("{HAND_OUT}; {MAKE_SPARE}");
    scene.turn("packed to go back", LAB, "", &both).await;
    scene.pick_up(&scene.tom, &[]).await.is(303);
    let away = "On the way, and at the lab";
    scene.turn("on its way", away, RECEIVE, MAKE_SPARE).await;
    scene.comes_to(&scene.anna, &back).await;
    let apart = "At the lab, and at the office";
    scene.turn("back", apart, FIT, MAKE_SPARE).await;
    scene.goes_into("upper", &made, &[]).await;
    let worn = "At the lab, and with the patient";
    scene.turn("worn", worn, "", MAKE_SPARE).await;
    let spare = scene.add(&scene.tom, "duplicate", "upper", "here").await;
    scene.turn("spare made", worn, "", MAKE_SPARE).await;
    scene
        .sends(&scene.tom, &[&spare], "finished", &[DONE])
        .await;
    let away = "On the way, and with the patient";
    scene.turn("spare sent", away, RECEIVE, "").await;
    scene.comes_to(&scene.anna, &[&spare]).await;
    let here = "At the office, and with the patient";
    let give = "give the spare to the patient";
    scene.turn("spare here", here, give, "").await;
    let given = scene.record(&scene.anna, &spare, "give", &SPARE).await;
    given.is(303);
    scene.turn("spare given", HOME, "", "").await;
    scene.later(24 * 60).await;
    let follow_up = scene.at("/follow-up");
    let check = [
        ("follow_up", "day"),
        ("follow_arches", "upper"),
        ("look.asked.seen", "yes"),
        ("look.occlusion.seen", "yes"),
        ("followed_by", "nothing"),
    ];
    let entered = scene.dora.send(&follow_up, &follow_up, &check).await;
    entered.is(303);
    scene.turn("looked at", HOME, "", "").await;
    all_as_expected();
}

#[tokio::test]
async fn an_immediate_of_both_arches_says_after_every_step_whose_turn_it_is() {
    let natural = [
        ("patient.teeth_upper", "natural"),
        ("patient.teeth_lower", "natural"),
    ];
    let scene = opened("both", &natural).await;
    scene.turn("opened", OFFICE, WRITE, "").await;
    let upper = scene.add(&scene.anna, "cast", "upper", "here").await;
    let lower = scene.add(&scene.anna, "cast", "lower", "here").await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let course = [("order.course", "immediate")];
    scene.write(&scene.dora, &course).await.is(303);
    let said = [
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "process"),
        ("pieces.0.materials", "heat-cured resin, cross-linked teeth"),
        ("pieces.1.arch", "lower"),
        ("pieces.1.stage", "process"),
        ("pieces.1.materials", "heat-cured resin, cross-linked teeth"),
        ("extractions.0.tooth", "11"),
        ("extractions.0.when", "at_insertion"),
        ("extractions.1.tooth", "31"),
        ("extractions.1.when", "at_insertion"),
        ("cast_trim.by", "lab"),
        ("shade.tab", "B-20"),
        ("dates.wanted", "2026-03-20"),
    ];
    scene.sign(&said).await.is(303);
    scene.turn("signed", OFFICE, HAND_OVER, "").await;
    let sent = [upper.as_str(), lower.as_str(), bite.as_str()];
    scene.sends(&scene.anna, &sent, "make", &[]).await;
    scene.turn("sent", AWAY, "", RECEIVE).await;
    scene.comes_to(&scene.tom, &sent).await;
    scene.turn("at the lab", LAB, "", READ).await;
    scene.accept(1).await;
    scene.turn("acknowledged", LAB, "", MAKE).await;
    let first = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.turn("one made", LAB, "", MAKE).await;
    let second = scene
        .add(&scene.tom, "final_denture", "lower", "here")
        .await;
    scene.turn("both made", LAB, "", MAKE).await;
    let back = [first.as_str(), second.as_str(), sent[0], sent[1], sent[2]];
    // The clear templates that are ordered with them follow.
    let follow = [DONE, ("template", "yes")];
    scene.sends(&scene.tom, &back, "finished", &follow).await;
    scene.turn("sent back", AWAY, RECEIVE, "").await;
    scene.comes_to(&scene.anna, &back).await;
    scene.turn("back", OFFICE, FIT, "").await;
    scene.goes_into("upper", &first, &[]).await;
    let both = "At the office, and with the patient";
    scene.turn("one worn", both, FIT, "").await;
    scene.goes_into("lower", &second, &[]).await;
    scene.turn("both worn", HOME, "", "").await;
    all_as_expected();
}

#[tokio::test]
async fn a_reline_of_a_lower_by_an_impression_in_it_says_after_every_step_whose_turn_it_is() {
    let scene = opened("lower", &[]).await;
    let worn = scene
        .add(&scene.dora, "final_denture", "lower", "worn")
        .await;
    let copy = scene.add(&scene.dora, "duplicate", "lower", "here").await;
    scene.turn("registered", HOME, WRITE, "").await;
    let course = [("order.course", "reline")];
    scene.write(&scene.dora, &course).await.is(303);
    let said = [
        ("pieces.0.arch", "lower"),
        ("pieces.0.stage", "reline"),
        ("pieces.0.materials", "heat-cured resin"),
        ("reline.item", worn.as_str()),
        ("impression.source", "functional"),
        ("impression.material", "wax"),
        ("dates.wanted", "2026-03-06"),
    ];
    scene.sign(&said).await.is(303);
    scene.turn("signed", OFFICE, HAND_OVER, "").await;
    // The patient leaves with the copy, and the denture with its impression goes to the lab.
    scene.goes_into("lower", &copy, &[]).await;
    scene.turn("copy worn", OFFICE, HAND_OVER, "").await;
    scene.sends(&scene.anna, &[&worn], "change", &[]).await;
    scene.turn("sent", AWAY, "", RECEIVE).await;
    scene.comes_to(&scene.tom, &[&worn]).await;
    scene.turn("at the lab", LAB, "", READ).await;
    scene.accept(1).await;
    scene.turn("acknowledged", LAB, "", MAKE).await;
    scene.sends(&scene.tom, &[&worn], "finished", &[DONE]).await;
    scene.turn("sent back", AWAY, RECEIVE, "").await;
    scene.comes_to(&scene.anna, &[&worn]).await;
    scene.turn("back", OFFICE, FIT, "").await;
    scene.goes_into("lower", &worn, &[]).await;
    scene.turn("worn again", HOME, "", "").await;
    all_as_expected();
}

#[tokio::test]
async fn a_repair_without_a_spare_says_after_every_step_whose_turn_it_is() {
    let scene = opened("lower", &[]).await;
    let broken = scene
        .add(&scene.dora, "final_denture", "lower", "worn")
        .await;
    scene.turn("registered", HOME, WRITE, "").await;
    let reason = [
        ("reason", "it is broken, and there is no other"),
        ("password", PASSWORD),
    ];
    scene.goes_into("lower", "nothing", &reason).await;
    // The dentist means the arch to stand empty: what leads on from there comes first, and both houses know of it.
    let teeth = "see that the patient has teeth";
    let and_teeth = |first: &str| match first {
        "" => teeth.to_owned(),
        first => format!("{first}; {teeth}"),
    };
    scene.turn("taken out", OFFICE, &and_teeth(WRITE), "").await;
    let course = [("order.course", "repair")];
    scene.write(&scene.dora, &course).await.is(303);
    let said = [
        ("repair.fit_together", "yes"),
        ("repair.cause", "dropped"),
        ("repair.broke_before", "no"),
        ("repairs.0.what", "base_broken"),
        ("repairs.0.place", "midline"),
        ("dates.wanted", "2026-03-06"),
    ];
    scene.sign(&said).await.is(303);
    scene
        .turn("signed", OFFICE, &and_teeth(HAND_OVER), "")
        .await;
    scene.sends(&scene.anna, &[&broken], "repair", &[]).await;
    scene.turn("sent", AWAY, teeth, RECEIVE).await;
    scene.comes_to(&scene.tom, &[&broken]).await;
    scene.turn("at the lab", LAB, teeth, READ).await;
    scene.accept(1).await;
    scene.turn("acknowledged", LAB, teeth, MAKE).await;
    scene
        .sends(&scene.tom, &[&broken], "finished", &[DONE])
        .await;
    scene.turn("sent back", AWAY, &and_teeth(RECEIVE), "").await;
    scene.comes_to(&scene.anna, &[&broken]).await;
    scene.turn("back", OFFICE, &and_teeth(FIT), "").await;
    scene.goes_into("lower", &broken, &[]).await;
    scene.turn("worn again", HOME, "", "").await;
    all_as_expected();
}
