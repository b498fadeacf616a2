//! The form as lines: everything can be reached in every kind of work, and what is known stays known from where it is.

use super::json;
use crate::common::Answer;
use crate::scene::Scene;
use scraper::{Html, Selector};
use std::collections::BTreeSet;
use vestibule::domain::form::Kind;
use vestibule::domain::prescription::course::{SectionPlace, place};
use vestibule::domain::prescription::{Course, all_fields, catalogue};
use vestibule::domain::values::ids::Tag;

/// The keys of the page's fields, of a list those of its rows as one.
fn keys(page: &str) -> BTreeSet<String> {
    let html = Html::parse_document(page);
    let named = Selector::parse("form.writing [name], section.part [name]").unwrap();
    let names = html
        .select(&named)
        .filter_map(|one| one.value().attr("name"));
    let key = |name: &str| match name.split('.').collect::<Vec<_>>().as_slice() {
        [list, row, field] if row.parse::<usize>().is_ok() => format!("{list}.#.{field}"),
        _ => name.to_owned(),
    };
    names.map(key).collect()
}

/// Bytes of the page of the form, as it is read.
const MOST: usize = 100 * 1024;

/// A page of the form that is small enough for a slow line.
fn fits(page: &Answer, what: &str) {
    let size = page.body.len();
    assert!(size <= MOST, "{what}: {size} bytes");
}

#[tokio::test]
async fn every_field_of_the_catalogue_is_in_the_form_in_every_kind_of_work() {
    let scene = Scene::opened().await;
    for course in Course::ALL {
        let chosen = [("order.course", course.word())];
        scene.write(&scene.dora, &chosen).await.is(303);
        // The page goes without what folds; it comes behind it, or with a press.
        let page = scene.dora.get(&scene.at("/write")).await;
        let text = page.is(200).text();
        fits(&page, course.word());
        let folds = scene.dora.get(&scene.at("/write?folds=yes")).await;
        let whole = scene.dora.whole_form(&scene.at("/write")).await;
        let (mut there, all) = (keys(&text), keys(&whole.text()));
        there.extend(keys(&folds.is(200).text()));
        for spec in all_fields() {
            // What only a law asks for stands there where one does.
            let is_law = spec.key.starts_with("law.");
            let is_there = there.contains(spec.key) && all.contains(spec.key);
            assert!(is_there || is_law, "{} {}", course.word(), spec.key);
        }
        for section in catalogue() {
            let id = format!("section[id=\"s-{}\"]", section.key);
            assert_eq!(page.count(&id), 1, "{} {id}", course.word());
            let away = page.count(&format!("details.away {id}"));
            let open = format!("#l-{} .m-open", section.key);
            let is_away = match place(*course, section.key) {
                SectionPlace::Away => true,
                // It may be of use, and says nothing.
                SectionPlace::Offered => page.count(&open) == 1,
                _ => false,
            };
            // What the review has a word about stands among the lines.
            let marks = format!("#l-{0} .m-stop, #l-{0} .m-caution", section.key);
            let expected = usize::from(is_away && page.count(&marks) == 0);
            assert_eq!(away, expected, "{} {id}", course.word());
        }
    }
}

#[tokio::test]
async fn without_a_script_each_part_opens_by_itself_on_a_page_that_stays_small() {
    let scene = Scene::opened().await;
    for course in [Course::Everything, Course::Single] {
        let chosen = [("order.course", course.word())];
        scene.write(&scene.dora, &chosen).await.is(303);
        for section in catalogue() {
            let more = format!("more-{}", section.key);
            let to = scene.write(&scene.dora, &[("go", &more)]).await;
            let to = to.is(303).location();
            assert!(to.ends_with(&format!("#s-{}", section.key)), "{to}");
            let page = scene.dora.get(to.split('#').next().unwrap()).await;
            fits(page.is(200), &to);
            let opened = format!("#s-{} .fold[open] .inside:not([data-later])", section.key);
            assert_eq!(page.count(&opened), 1, "{opened}");
            assert_eq!(page.count(".fold[open]"), 1, "{to} opens one part alone");
        }
        let to = scene.write(&scene.dora, &[("go", "more-drawings")]).await;
        let to = to.is(303).location();
        let page = scene.dora.get(to.split('#').next().unwrap()).await;
        fits(page.is(200), &to);
        assert_eq!(page.count("#also[open] #drawings"), 1);
    }
}

#[tokio::test]
async fn a_form_that_comes_back_with_messages_stays_small_and_loses_nothing_that_is_folded() {
    let scene = Scene::opened().await;
    // Typed into a part that is closed on the next page, and nothing that could be signed.
    let folded = ("facebow.record_id", "J-20");
    scene.write(&scene.dora, &[folded]).await.is(303);
    for course in Course::ALL {
        for go in ["look", "sign"] {
            let wrong = ("vertical.rest_mm", "sixty-eight");
            let fields = [("order.course", course.word()), wrong, ("go", go)];
            let page = scene.write(&scene.dora, &fields).await;
            page.sees("to look at before signing");
            fits(&page, &format!("{} {go}", course.word()));
            // A message stands open beside its field, whatever folds.
            let said = "#s-vertical .under [name=\"vertical.rest_mm\"][aria-invalid=true]";
            assert_eq!(page.count(said), 1, "{}", course.word());
            assert!(page.count(".inside[data-later]") > 0, "the rest is closed");
            let whole = scene.dora.whole_form(&scene.at("/write")).await;
            let kept = format!("[name=\"{}\"]", folded.0);
            assert_eq!(whole.attribute(&kept, "value"), folded.1);
            assert_eq!(
                whole.attribute("[name=\"vertical.rest_mm\"]", "value"),
                wrong.1
            );
        }
    }
}

#[tokio::test]
async fn a_draft_in_which_nearly_every_number_and_day_is_wrong_stays_small_and_hides_no_message() {
    let scene = Scene::opened().await;
    for course in Course::ALL {
        let mut typed = vec![("order.course".to_owned(), course.word().to_owned())];
        let is_number = |kind: &Kind| {
            matches!(
                kind,
                Kind::Mm { .. } | Kind::Degrees { .. } | Kind::Number { .. } | Kind::Whole { .. }
            )
        };
        let is_typed = |kind: &Kind| is_number(kind) || matches!(kind, Kind::Date | Kind::Time);
        // What only a law asks for stands there where one does.
        let wrong =
            all_fields().filter(|spec| is_typed(&spec.kind) && !spec.key.starts_with("law."));
        typed.extend(wrong.map(|spec| (spec.key.replace('#', "0"), "many".to_owned())));
        typed.push(("go".to_owned(), "look".to_owned()));
        let count = typed.len() - 2;
        assert!(count > 60, "{count} fields were typed wrong");
        let fields: Vec<(&str, &str)> = typed.iter().map(|(key, text)| (&**key, &**text)).collect();
        let page = scene.write(&scene.dora, &fields).await;
        page.sees("to look at before signing")
            .sees("to look at in this part: open it.");
        fits(&page, course.word());
        // Each of them has its message on the page, or in the part that comes behind it.
        let whole = scene.dora.whole_form(&scene.at("/write")).await;
        for (key, text) in &typed[1..typed.len() - 1] {
            let field = format!("[name=\"{key}\"]");
            assert_eq!(
                &whole.attribute(&field, "value"),
                text,
                "{} {key}",
                course.word()
            );
            let told = format!("{field}[aria-invalid=true]");
            assert_eq!(whole.count(&told), 1, "{} {key}", course.word());
        }
    }
}

#[tokio::test]
async fn a_fresh_draft_asks_for_the_kind_of_work_and_takes_it_with_one_press() {
    let scene = Scene::opened().await;
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.is(200).count(".kinds button"), Course::ALL.len());
    let pressed = [("go", "course-reline")];
    scene.write(&scene.dora, &pressed).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.count(".kinds button"), 0);
    let chosen = "select[name=\"order.course\"] option[selected]";
    assert_eq!(page.attribute(chosen, "value"), "reline");
    // The switch stands where the pattern answers a part of the work.
    assert_eq!(page.names("form.as_pattern").len(), 1);
    scene
        .write(&scene.dora, &[("form.as_pattern", "no")])
        .await
        .is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let chosen = "select[name=\"form.as_pattern\"] option[selected]";
    assert_eq!(page.attribute(chosen, "value"), "no");
}

#[tokio::test]
async fn what_is_answered_is_words_and_what_waits_for_an_answer_comes_with_it() {
    let scene = Scene::opened().await;
    let chosen = [("order.course", "immediate")];
    scene.write(&scene.dora, &chosen).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    // The kind of work says the pieces: words in their rows, their boxes behind them, the empty row folded.
    let pieces = "#s-order .under .list-pieces";
    assert_eq!(page.count(&format!("{pieces} > .row > .said")), 2);
    let box_of_arch = format!("{pieces} > .row > .rest [name=\"pieces.0.arch\"]");
    assert_eq!(page.count(&box_of_arch), 1);
    assert_eq!(page.count(&format!("{pieces} > .next .row.blank")), 1);
    // The only row of a list is not folded.
    assert_eq!(page.count("#s-vertical .under .list > .row.blank"), 1);
    // What the starting set answers folds to the line, and what follows from what is asked is not asked beside it.
    assert_eq!(page.count("#s-plane .under"), 0);
    assert_eq!(
        page.count("#s-anterior .inside [name=\"anterior.choice\"]"),
        1
    );
    let caller = "#s-anterior .under .calls-0 [name=\"anterior.upper_mould\"]";
    let lower = "#s-anterior .under .later-0 [name=\"anterior.lower_mould\"]";
    assert_eq!((page.count(caller), page.count(lower)), (1, 1));
    let named = [("anterior.upper_mould", "Otter 7")];
    scene.write(&scene.dora, &named).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!((page.count(caller), page.count(lower)), (0, 0));
    let asked = "#s-anterior .under .asked [name=\"anterior.lower_mould\"]";
    assert_eq!(page.count(asked), 1);
}

#[tokio::test]
async fn a_part_that_is_written_whole_is_its_line_when_the_draft_is_opened_again() {
    let scene = Scene::opened().await;
    let chosen = [("order.course", "copy")];
    scene.write(&scene.dora, &chosen).await.is(303);
    let form = scene.at("/write");
    let under = |page: &Answer| page.count(".under .field.asked [name]");
    let fresh = scene.dora.get(&form).await;
    assert_eq!(fresh.count("#s-shade .under [name=\"shade.tab\"]"), 1);
    let half = [("shade.guide", "Sample guide"), ("shade.tab", "B-20")];
    scene.write(&scene.dora, &half).await.is(303);
    let page = scene.dora.get(&form).await;
    // While something is asked, all of it stands there.
    assert_eq!(page.count("#s-shade .under [name=\"shade.tab\"]"), 1);
    let rest = [("shade.approved", "yes"), ("shade.light", "daylight")];
    scene.write(&scene.dora, &rest).await.is(303);
    let page = scene.dora.get(&form).await;
    assert_eq!(page.count("#l-shade .m-done"), 1);
    assert_eq!(page.count("#s-shade .under"), 0);
    page.sees("B-20");
    assert!(under(&page) < under(&fresh));
    // It lies in the part, which opens by hand, and stays as it was when the form is sent without it.
    let whole = scene.dora.whole_form(&form).await;
    let tab = "#s-shade .inside [name=\"shade.tab\"]";
    assert_eq!(whole.attribute(tab, "value"), "B-20");
    let opened = scene.dora.get(&format!("{form}?more=shade")).await;
    assert_eq!(opened.count("#s-shade .fold[open]"), 1);
    assert_eq!(opened.count("#s-shade .under [name=\"shade.tab\"]"), 1);
    let remark = [("remarks.remarks", "as agreed")];
    scene.write(&scene.dora, &remark).await.is(303);
    let whole = scene.dora.whole_form(&form).await;
    assert_eq!(whole.attribute(tab, "value"), "B-20");
}

#[tokio::test]
async fn what_is_away_comes_back_when_something_is_typed_in_it_or_wrong_with_it() {
    let scene = Scene::opened().await;
    let typed = [("order.course", "reline"), ("facebow.record_id", "J-20")];
    scene.write(&scene.dora, &typed).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.count("details.away #s-facebow"), 0);
    assert_eq!(page.count(".lines #s-facebow"), 1);
    // A message stands beside its field without anything being opened.
    let wrong = [("shade.lightness", "bright")];
    scene.write(&scene.dora, &wrong).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.count("#s-shade .under #f-shade-lightness-say"), 1);
    assert_eq!(page.count("details [name=\"shade.lightness\"]"), 0);
    assert_eq!(page.count("#l-shade .m-stop"), 1);
}

#[tokio::test]
async fn a_line_says_what_is_written_and_the_script_hears_it_again() {
    let scene = Scene::opened().await;
    let typed = [("vertical.occlusal_mm", "63"), ("vertical.order", "keep")];
    scene.write(&scene.dora, &typed).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert!(page.words().contains("OVD 63 mm, keep"), "{}", page.words());
    let base = page.attribute("input[name=\"base\"]", "value");
    let fields = [("base", base.as_str()), ("vertical.rest_mm", "66")];
    let kept = json(&scene.dora.post(&scene.at("/write/autosave"), &fields).await);
    let line = kept["lines"]["vertical"].as_str().unwrap();
    assert!(line.contains("freeway space 3 mm"), "{line}");
    let lines = kept["lines"].as_object().unwrap();
    assert_eq!(lines.len(), catalogue().len());
}

#[tokio::test]
async fn what_comes_from_the_record_says_so_and_is_nobodys_text_when_the_form_is_sent_whole() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let done = [
        ("agent", "sample agent"),
        ("dilution", "1:10"),
        ("minutes", "10 min"),
        ("rinsed", "yes"),
    ];
    scene
        .record(&scene.anna, &things.bite, "disinfect", &done)
        .await
        .is(303);
    let row = [("enclosed.0.tag", things.bite.as_str())];
    scene.write(&scene.dora, &row).await.is(303);
    let agent = "input[name=\"enclosed.0.agent\"]";
    let given = ".field.given input[name=\"enclosed.0.agent\"]";
    // Each of these sends the whole form, with what the record says in it.
    for text in ["one", "two"] {
        let page = scene.dora.whole_form(&scene.at("/write")).await;
        assert_eq!(page.attribute(agent, "value"), "sample agent");
        assert_eq!(page.count(given), 1, "{text}");
        assert!(page.count("#l-enclosures .from") == 1);
        let remark = [("remarks.remarks", text)];
        scene.write(&scene.dora, &remark).await.is(303);
    }
    // What is typed over it is one's own.
    let other = [("enclosed.0.agent", "other agent")];
    scene.write(&scene.dora, &other).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.attribute(agent, "value"), "other agent");
    assert_eq!(page.count(given), 0);
}

#[tokio::test]
async fn a_record_that_a_touched_list_lacks_is_added_by_one_tap() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let new = scene.add(&scene.anna, "bite_record", "", "here").await;
    let typed = [
        ("order.course", "copy"),
        ("enclosed.0.tag", things.provisional.as_str()),
        ("enclosed.1.tag", things.bite.as_str()),
        ("jaw.item", new.as_str()),
    ];
    scene.write(&scene.dora, &typed).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let button = format!("enclose-{new}");
    let shown = Tag::parse(&new).unwrap();
    page.sees(&format!("The new bite record {shown} is neither"))
        .sees(&format!("Add {shown} to what is enclosed"));
    assert_eq!(
        page.count(&format!("#review [name=\"go\"][value=\"{button}\"]")),
        1
    );
    // What is typed meanwhile is saved with it, and the row stands behind the others.
    let tap = [("go", button.as_str()), ("remarks.remarks", "as agreed")];
    scene.write(&scene.dora, &tap).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let chosen = |row: usize| {
        let chosen = format!("select[name=\"enclosed.{row}.tag\"] option[selected]");
        page.attribute(&chosen, "value").replace('-', "")
    };
    assert_eq!(chosen(2), new);
    assert_eq!(chosen(1), things.bite);
    page.sees("as agreed").sees_not("The new bite record");
    // Twice it stands there once, and a thing of no case is not added.
    for other in [button.as_str(), "enclose-T00000000", "enclose-"] {
        scene.write(&scene.dora, &[("go", other)]).await.is(303);
    }
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let all = "select[name^=\"enclosed.\"][name$=\".tag\"] option[selected]";
    assert_eq!(page.count(all), 3);
}

#[tokio::test]
async fn the_front_of_the_sheet_is_drawn_before_and_after_a_draft_is_begun() {
    let scene = Scene::opened().await;
    let at = scene.at("/draft/front.svg");
    let fresh = scene.dora.get(&at).await;
    assert!(fresh.is(200).text().starts_with("<svg"));
    let typed = [("shade.guide", "Hillside"), ("shade.tab", "B-20")];
    scene.write(&scene.dora, &typed).await.is(303);
    let begun = scene.anna.get(&at).await;
    assert!(begun.is(200).text().contains("B-20"));
    scene.tom.get(&at).await.is(403);
}
