//! Labels printed and tags scanned: on the scan box of every page, in the forms, and by a telephone.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::pdf_text::{LAYOUT, text_of};
use crate::scene::{Scene, last_part, open_case};

fn encoded(text: &str) -> String {
    percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
}

/// The tag as it stands on a label.
fn grouped(code: &str) -> String {
    format!("{}-{}-{}", &code[..3], &code[3..6], &code[6..])
}

async fn find(who: &Visitor, typed: &str) -> Answer {
    who.get(&format!("/find?q={}", encoded(typed))).await
}

/// The tag with one character exchanged.
fn mistyped(tag: &str) -> String {
    let other = if &tag[4..5] == "7" { '8' } else { '7' };
    format!("{}{other}{}", &tag[..4], &tag[5..])
}

#[tokio::test]
async fn the_scan_box_reads_a_tag_however_it_comes() {
    let scene = Scene::opened().await;
    let tag = scene.add(&scene.dora, "bite_record", "", "here").await;
    let confused = tag.replace('0', "O").replace('1', "i");
    for typed in [
        tag.clone(),
        tag.to_lowercase(),
        format!("  {} ", grouped(&tag)),
        grouped(&tag).replace('-', " – "),
        confused,
        format!("HTTP://VESTIBULE.TEST/I/{tag}"),
        format!("http://vestibule.test/i/{}/", tag.to_lowercase()),
        format!("http://vestibule.test/items/{tag}?done=item"),
    ] {
        let to = find(&scene.dora, &typed).await.is(303).location();
        assert_eq!(to, format!("/items/{tag}"), "{typed}");
    }
    let to = find(&scene.dora, &scene.number.to_lowercase())
        .await
        .is(303)
        .location();
    assert_eq!(to, scene.at(""));
}

#[tokio::test]
async fn the_scan_box_leads_to_a_handoff_by_its_address() {
    let (scene, _) = Scene::at_the_lab().await;
    let path = scene.handoff(&scene.dora).await;
    let address = format!("HTTP://VESTIBULE.TEST{}", path.to_uppercase());
    for who in [&scene.dora, &scene.tom] {
        assert_eq!(find(who, &address).await.is(303).location(), path);
    }
    for who in ["sven", "lars"] {
        let answer = find(&scene.world.person(who), &address).await;
        answer.is(404).sees("This handoff is not known here.");
    }
}

#[tokio::test]
async fn a_strangers_code_and_one_that_never_was_are_answered_alike() {
    let scene = Scene::opened().await;
    let tag = scene.add(&scene.dora, "bite_record", "", "here").await;
    for code in [&tag, &scene.number, &scene.patient] {
        for who in ["sven", "lars"] {
            let answer = find(&scene.world.person(who), code).await;
            answer
                .is(404)
                .sees(&format!("{} is not known here.", grouped(code)))
                .sees_not("Northgate")
                .sees_not("Bite record");
        }
    }
    find(&scene.dora, &mistyped(&tag))
        .await
        .is(404)
        .sees("One character of this code is mistyped: its check character does not fit.");
}

#[tokio::test]
async fn a_scan_box_stands_on_every_page_of_whoever_works_with_cases() {
    let scene = Scene::opened().await;
    for path in [
        "/",
        "/account",
        "/nowhere",
        "/items/T00000000",
        "/find?q=x",
        "/parties",
    ] {
        let page = scene.dora.get(path).await;
        assert_eq!(page.count("form.scan input[name=q]"), 1, "{path}");
        assert!(page.count("nav.rooms a") > 1, "{path}");
    }
    for (who, path) in [
        (scene.world.nobody(), "/sign-in"),
        (scene.world.nobody(), "/nowhere"),
        (scene.world.person("root"), "/parties"),
    ] {
        assert_eq!(who.get(path).await.count("form.scan"), 0, "{path}");
    }
}

#[tokio::test]
async fn a_telephone_that_is_not_signed_in_comes_to_the_item_after_signing_in() {
    let scene = Scene::opened().await;
    let tag = scene.add(&scene.dora, "bite_record", "", "here").await;
    let nobody = scene.world.nobody();
    for short in [format!("/I/{tag}"), format!("/i/{}", tag.to_lowercase())] {
        let sign_in = nobody.get(&short).await.is(303).location();
        assert_eq!(sign_in, format!("/sign-in?next={}", encoded(&short)));
        let wrong = [("login", "dora"), ("password", "not the password")];
        let again = nobody.send(&sign_in, "/sign-in", &wrong).await;
        assert_eq!(again.is(422).attribute("input[name=next]", "value"), short);
        let right = [("login", "dora"), ("password", PASSWORD)];
        let answer = nobody.send(&sign_in, "/sign-in", &right).await;
        assert_eq!(answer.is(303).location(), short);
        let to = scene.dora.get(&short).await.is(303).location();
        assert_eq!(to, format!("/items/{tag}"));
        scene.dora.get(&to).await.is(200).sees("Bite record");
    }
}

#[tokio::test]
async fn signing_in_follows_no_address_of_somebody_else() {
    let scene = Scene::opened().await;
    let nobody = scene.world.nobody();
    for next in [
        "https://evil.example/I/T1",
        "//evil.example",
        "/\\evil.example",
        "javascript:alert(1)",
        "/\t/evil.example",
    ] {
        let sign_in = format!("/sign-in?next={}", encoded(next));
        let fields = [("login", "dora"), ("password", PASSWORD)];
        let answer = nobody.send(&sign_in, "/sign-in", &fields).await;
        assert_eq!(answer.is(303).location(), "/", "{next}");
        // Nor where the form itself was changed on its way.
        let fields = [("login", "dora"), ("password", PASSWORD), ("next", next)];
        let answer = nobody.post("/sign-in", &fields).await;
        assert_eq!(answer.is(303).location(), "/", "{next}");
    }
}

/// Scans into the release form as this person, with other fields typed already.
async fn scan(scene: &Scene, who: &Visitor, typed: &str, more: &[(&str, &str)]) -> Answer {
    let mut fields = vec![("scan", typed), ("go", "scan")];
    fields.extend(more);
    who.send(&scene.at("/release"), &scene.at("/release"), &fields)
        .await
}

fn is_ticked(page: &Answer, name: &str) -> bool {
    page.count(&format!("input[name=\"{name}\"][checked]")) == 1
}

#[tokio::test]
async fn a_scan_ticks_the_item_to_hand_over_and_keeps_all_that_was_typed() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let more = [
        ("carrier", "a courier"),
        ("purpose", "final upper"),
        ("rinsed", "yes"),
        ("minutes", "ten"),
    ];
    let address = format!("HTTP://VESTIBULE.TEST/I/{}", things.bite);
    let page = scan(&scene, &scene.anna, &address, &more).await;
    page.is(200).sees(&format!(
        "Bite record {} is ticked off.",
        grouped(&things.bite)
    ));
    assert!(is_ticked(&page, &format!("{}.take", things.bite)));
    assert!(!is_ticked(&page, &format!("{}.take", things.duplicate)));
    assert!(is_ticked(&page, "rinsed"));
    for (name, text) in [("carrier", "a courier"), ("minutes", "ten"), ("scan", "")] {
        assert_eq!(
            page.attribute(&format!("input[name={name}]"), "value"),
            text
        );
    }
    // The field waits for the next scan, and Enter presses its own button.
    assert_eq!(page.count("input[name=scan][autofocus]"), 1);
    assert_eq!(page.attribute("main form button", "value"), "scan");
    let take = format!("{}.take", things.bite);
    let ticked = [(take.as_str(), "yes")];
    scan(&scene, &scene.anna, &things.bite, &ticked)
        .await
        .is(200)
        .sees("was ticked off before");
    scene
        .anna
        .get(&scene.at("/history"))
        .await
        .sees_not("Handed over to the lab");
}

#[tokio::test]
async fn a_scan_that_was_not_added_yet_goes_before_any_other_button() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let (take, tag) = (format!("{}.take", things.duplicate), things.bite.as_str());
    let fields = [
        (take.as_str(), "yes"),
        ("scan", tag),
        ("carrier", "x"),
        ("purpose", "y"),
    ];
    let page = scene
        .anna
        .send(&scene.at("/release"), &scene.at("/release"), &fields)
        .await;
    page.is(200).sees("is ticked off.");
    assert!(is_ticked(&page, &take) && is_ticked(&page, &format!("{tag}.take")));
    // The button without a scan hands nothing over either.
    let page = scan(&scene, &scene.anna, "", &[(take.as_str(), "yes")]).await;
    page.is(422).sees("nine characters, such as");
    assert!(is_ticked(&page, &take));
}

#[tokio::test]
async fn what_is_wrong_with_a_scanned_item_is_said_at_once() {
    let (scene, things) = Scene::at_the_lab().await;
    let other = open_case(&scene.dora, &scene.patient, "both").await;
    let elsewhere = Scene {
        number: other.clone(),
        ..scene
    };
    let foreign = elsewhere
        .add(&elsewhere.dora, "cast", "lower", "here")
        .await;
    let scene = Scene {
        number: last_part_of(&things.bite, &elsewhere.dora).await,
        ..elsewhere
    };
    scene.add(&scene.anna, "rims", "upper", "here").await;
    let broken = scene.add(&scene.anna, "cast", "upper", "here").await;
    let how = [("how", "dropped on the floor")];
    scene
        .record(&scene.anna, &broken, "destroy", &how)
        .await
        .is(303);
    let used = scene.add(&scene.anna, "impression", "upper", "here").await;
    let into = [("into", "poured into the cast")];
    scene
        .record(&scene.anna, &used, "use_up", &into)
        .await
        .is(303);
    let (number, patient) = (scene.number.clone(), scene.patient.clone());
    for (typed, words) in [
        (
            foreign.clone(),
            format!(
                "Wrong case: Master cast, lower {} belongs to case {} of Northgate Dental, not to this one.",
                grouped(&foreign),
                grouped(&other)
            ),
        ),
        (
            broken.clone(),
            "destroyed on Mon 2 Mar 2026 09:00".to_owned(),
        ),
        (
            broken,
            "by anna, assistant, Northgate Dental (dropped on the floor; Signed by anna".to_owned(),
        ),
        (used, "used up on Mon 2 Mar 2026 09:00".to_owned()),
        (
            things.bite.clone(),
            "is recorded as at the lab, so it cannot be handed over".to_owned(),
        ),
        (
            things.duplicate.clone(),
            "is recorded as in the patient’s mouth".to_owned(),
        ),
        (
            mistyped(&things.bite),
            "One character of this code is mistyped".to_owned(),
        ),
        (number, "This is the number of this case.".to_owned()),
        (
            patient,
            "This is a patient code, and a tag is wanted here.".to_owned(),
        ),
        ("T12".to_owned(), "nine characters; 3 were typed".to_owned()),
    ] {
        let page = scan(&scene, &scene.anna, &typed, &[("carrier", "kept")]).await;
        page.is(422).sees(&words);
        assert_eq!(page.attribute("main input[name=scan]", "value"), typed);
        assert_eq!(page.attribute("input[name=carrier]", "value"), "kept");
        assert_eq!(page.attribute("input[name=scan]", "aria-invalid"), "true");
    }
}

/// The case of an item.
async fn last_part_of(tag: &str, who: &Visitor) -> String {
    let page = who.get(&format!("/items/{tag}")).await;
    let path = page.attribute("main .hint a", "href");
    path.rsplit('/').next().unwrap().to_owned()
}

#[tokio::test]
async fn a_strangers_item_in_a_form_is_not_known_and_no_more_is_said() {
    let scene = Scene::signed().await;
    let tag = scene.add(&scene.dora, "bite_record", "", "here").await;
    let sven = scene.world.person("sven");
    let patient = last_part(&sven.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&sven, &patient, "both").await;
    let theirs = Scene { number, ..scene };
    theirs.add(&sven, "cast", "upper", "here").await;
    let page = scan(&theirs, &sven, &tag, &[]).await;
    page.is(422)
        .sees(&format!("The tag {} is not known here.", grouped(&tag)))
        .sees_not("Northgate")
        .sees_not("Bite record");
    // The lab of both cases is told which is which.
    let path = theirs.at("/labels");
    let page = theirs.tom.get(&format!("{path}?scan={tag}")).await;
    page.is(422).sees("of Northgate Dental, not to this one");
}

#[tokio::test]
async fn the_other_arch_of_a_pair_is_pointed_out() {
    let scene = Scene::signed().await;
    let upper = scene.add(&scene.dora, "duplicate", "upper", "here").await;
    let lower = scene.add(&scene.dora, "duplicate", "lower", "worn").await;
    let page = scan(&scene, &scene.dora, &lower, &[]).await;
    page.is(422).sees(&format!(
        "Look at the arch: this is the lower one, and the upper one, {}, is wanted here.",
        grouped(&upper)
    ));
    let mouth = scene.at("/mouth");
    let within = "value=\"lower\"";
    let fields = [("scan", upper.as_str()), ("go", "scan")];
    let page = scene.dora.send_where(&mouth, &mouth, within, &fields).await;
    page.is(422).sees(&format!(
        "Wrong arch: Duplicate denture, upper {} is for the upper arch, and this is the lower arch.",
        grouped(&upper)
    ));
    let page = scene
        .dora
        .send_where(&mouth, &mouth, "value=\"upper\"", &fields)
        .await;
    page.is(200).sees("is ticked off.");
    let chosen = format!("select[name=fit] option[value=\"{upper}\"][selected]");
    assert_eq!(page.count(&chosen), 1);
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees_not("fitted");
}

#[tokio::test]
async fn a_scan_says_that_an_item_of_the_box_is_in_hand() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let cast = scene.add(&scene.anna, "cast", "upper", "here").await;
    let sent = [things.duplicate.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &sent, &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    let outcome = format!("{}.outcome", things.duplicate);
    let fields = [
        ("scan", things.bite.as_str()),
        ("go", "scan"),
        (outcome.as_str(), "damaged"),
        ("unannounced", "a small tin"),
    ];
    let page = scene.tom.send(&path, &path, &fields).await;
    page.is(200)
        .sees("is ticked off.")
        .sees("Still to scan: 1.");
    let here = format!("{}.here", things.bite);
    assert!(is_ticked(&page, &here));
    assert!(!is_ticked(&page, &format!("{}.here", things.duplicate)));
    assert_eq!(
        page.attribute("input[name=unannounced]", "value"),
        "a small tin"
    );
    let chosen = format!("select[name=\"{outcome}\"] option[value=damaged][selected]");
    assert_eq!(page.count(&chosen), 1);

    let fields = [("scan", cast.as_str()), ("go", "scan")];
    let page = scene.tom.send(&path, &path, &fields).await;
    page.is(422)
        .sees("belongs to this case, but it was not announced in this handoff");

    // In hand and missing at once cannot be.
    let missing = format!("{}.outcome", things.bite);
    let fields = [(here.as_str(), "yes"), (missing.as_str(), "missing")];
    let page = scene.tom.send(&path, &path, &fields).await;
    page.is(422).sees("It is ticked as being in your hand");

    scene
        .receive(&scene.tom, &sent.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    // From the item that is on its way, the handoff is one step.
    scene
        .release(&scene.mara, &[&things.bite], &[])
        .await
        .is(303);
    let item = scene.dora.get(&format!("/items/{}", things.bite)).await;
    let handoff = item.attribute("main .actions a.button", "href");
    scene
        .dora
        .get(&handoff)
        .await
        .is(200)
        .sees("What is in the parcel?");
}

#[tokio::test]
async fn an_item_that_has_ended_says_so_on_its_own_page() {
    let scene = Scene::signed().await;
    let tag = scene.add(&scene.anna, "cast", "upper", "here").await;
    let how = [("how", "dropped on the floor")];
    scene
        .record(&scene.anna, &tag, "destroy", &how)
        .await
        .is(303);
    let to = find(&scene.tom, &tag).await.is(303).location();
    let page = scene.tom.get(&to).await;
    page.is(200)
        .sees("Nothing can happen to it any more.")
        .sees("destroyed on Mon 2 Mar 2026 09:00")
        .sees_not("Print its label");
    scene
        .anna
        .get(&scene.at("/labels"))
        .await
        .is(200)
        .sees("No item is there to be labeled.");
    let page = scene.anna.get(&scene.at("/labels.pdf")).await;
    page.is(422).sees("No item is there to be labeled.");
}

#[tokio::test]
async fn labels_say_what_the_item_is_and_the_same_address_gives_the_same_bytes() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let path = scene.at("/labels.pdf");
    let all = scene.dora.get(&path).await;
    assert_eq!(all.is(200).headers["content-type"], "application/pdf");
    let text = text_of(&all.body, LAYOUT);
    for tag in [&things.provisional, &things.duplicate, &things.bite] {
        assert!(text.contains(&grouped(tag)), "{text}");
    }
    for words in [
        "Provisional",
        "denture, upper",
        "First set",
        "Second set",
        "2026-03-02",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let asked = format!(
        "{path}?chosen=yes&{}.take=yes&grid=letter_2x5&start=9&dx=0%2C3&dy=-1.2",
        things.bite
    );
    let first = scene.dora.get(&asked).await;
    let text = text_of(&first.is(200).body, LAYOUT);
    assert!(text.contains(&grouped(&things.bite)) && !text.contains(&grouped(&things.duplicate)));
    scene.world.pass_minutes(60 * 24 * 30);
    let dora = scene.world.visitor("dora").await;
    scene.fit(&dora, &things.duplicate, &[]).await.is(303);
    let later = dora.get(&asked).await;
    assert!(
        first.body == later.is(200).body,
        "the same address, other bytes"
    );
    let moved = dora.get(&asked.replace("dx=0%2C3", "dx=0%2C4")).await;
    assert!(first.body != moved.is(200).body);
}

#[tokio::test]
async fn the_form_of_labels_keeps_its_settings_in_its_address() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let path = scene.at("/labels");
    let page = scene.tom.get(&path).await;
    assert_eq!(page.is(200).count("input[name$=\".take\"][checked]"), 3);
    let none = scene.tom.get(&format!("{path}?chosen=yes")).await;
    assert_eq!(none.count("input[name$=\".take\"][checked]"), 0);
    let asked = format!(
        "{path}?chosen=yes&grid=single&width=60&height=30&dx=0.3&scan={}",
        things.bite.to_lowercase()
    );
    let page = scene.tom.get(&asked).await;
    page.is(200).sees("is ticked off.");
    assert!(is_ticked(&page, &format!("{}.take", things.bite)));
    assert_eq!(page.count("input[name$=\".take\"][checked]"), 1);
    assert_eq!(page.attribute("input[name=width]", "value"), "60");
    assert_eq!(page.attribute("input[name=dx]", "value"), "0.3");
    assert_eq!(page.count("option[value=single][selected]"), 1);
    // A scan with the button of the PDF is added first.
    let to = scene
        .tom
        .get(&asked.replace("/labels?", "/labels.pdf?"))
        .await
        .is(303)
        .location();
    assert!(to.starts_with(&format!("{path}?")) && to.contains(&things.bite.to_lowercase()));
    // From the item's own page only that item is ticked.
    let item = scene.dora.get(&format!("/items/{}", things.bite)).await;
    let link = item.attribute("a[href*=\"/labels?\"]", "href");
    let page = scene.dora.get(&link).await;
    assert_eq!(page.is(200).count("input[name$=\".take\"][checked]"), 1);
    scene.dora.get(&scene.at("")).await.sees("Print labels");
}

#[tokio::test]
async fn measures_that_cannot_be_come_back_with_a_message_beside_them() {
    let scene = Scene::signed().await;
    scene.things().await;
    let own = "grid=own&columns=2&rows=4&left=10&top=12";
    for (query, key, words) in [
        ("grid=a4_9x9", "grid", "Choose the labels."),
        ("start=22", "start", "A whole number from 1 to 21."),
        ("start=0", "start", "A whole number from 1 to 21."),
        ("start=two", "start", "A whole number from 1 to 21."),
        ("dx=0.33", "dx", "To a tenth of a millimeter"),
        ("dx=11", "dx", "From -10 to 10 mm."),
        ("dx=far", "dx", "Write a number"),
        ("dx=-9", "dx", "the labels would leave the sheet"),
        ("grid=single", "width", "Write the measure in mm."),
        ("grid=single&width=25&height=25", "width", "is too small"),
        ("grid=single&width=1e9&height=25", "width", "Write a number"),
        ("grid=single&width=NaN&height=25", "width", "Write a number"),
        ("grid=own&columns=3", "left", "Write the measure in mm."),
        (
            &format!("{own}&gap_across=-1"),
            "gap_across",
            "From 0 to 200 mm.",
        ),
        (&format!("{own}&right=190"), "columns", "leave labels of"),
        (
            &own.replace("rows=4", "rows=99"),
            "rows",
            "A whole number from 1 to 14.",
        ),
    ] {
        for paper in ["labels.pdf", "labels/test.pdf"] {
            let path = format!("{}?{query}", scene.at(&format!("/{paper}")));
            let page = scene.dora.get(&path).await;
            // The test page has no words, so a label too small for them is none of its business.
            if words == "is too small" && paper == "labels/test.pdf" {
                page.is(200);
                continue;
            }
            page.is(422).sees(words);
            let box_of = format!("[name=\"{key}\"]");
            assert_eq!(page.attribute(&box_of, "aria-invalid"), "true", "{query}");
        }
    }
    let page = scene.dora.get(&scene.at("/labels.pdf?chosen=yes")).await;
    page.is(422).sees("Tick at least one item.");
    for query in ["", own, "grid=single&width=60&height=30", "grid=letter_2x7"] {
        for paper in ["labels.pdf", "labels/test.pdf"] {
            let path = format!("{}?{query}", scene.at(&format!("/{paper}")));
            let answer = scene.dora.get(&path).await;
            assert_eq!(answer.is(200).headers["content-type"], "application/pdf");
        }
    }
}

#[tokio::test]
async fn a_strangers_labels_are_not_there() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    for who in ["sven", "lars"] {
        let who = scene.world.person(who);
        for rest in ["/labels", "/labels.pdf", "/labels/test.pdf"] {
            who.get(&scene.at(rest)).await.is(404);
        }
        let query = format!("/labels.pdf?{}.take=yes", things.bite);
        who.get(&scene.at(&query)).await.is(404);
    }
}
