//! Patients are codes: drawn by chance, read back however they are typed, and never a name.

use crate::common::World;
use crate::copies::pages;
use crate::scene::{Scene, last_part, open_case};

#[tokio::test]
async fn a_code_is_drawn_and_read_back_however_it_is_typed() {
    let scene = Scene::opened().await;
    let code = &scene.patient;
    let spaced: String = code.chars().flat_map(|letter| [letter, ' ']).collect();
    let misread = code.replace('0', "o").replace('1', "l");
    let shown = format!("{}-{}-{}", &code[..3], &code[3..6], &code[6..]);
    for typed in [code.clone(), code.to_lowercase(), spaced, misread, shown] {
        let to = scene
            .dora
            .get(&format!("/find?q={}", vestibule_encode(&typed)))
            .await
            .is(303)
            .location();
        assert_eq!(to, format!("/patients/{code}"), "{typed}");
    }
}

fn vestibule_encode(text: &str) -> String {
    percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
}

#[tokio::test]
async fn zero_may_be_typed_as_o_and_one_as_l_or_i() {
    let world = World::peopled().await;
    let dora = world.person("dora");
    let mut seen = String::new();
    while !(seen.contains('0') && seen.contains('1')) {
        let code = last_part(&dora.send("/patients/new", "/patients/new", &[]).await);
        for (one, zero) in [("l", "O"), ("I", "o")] {
            let typed = code.replace('1', one).replace('0', zero);
            assert_eq!(
                dora.get(&format!("/find?q={typed}"))
                    .await
                    .is(303)
                    .location(),
                format!("/patients/{code}")
            );
        }
        seen.push_str(&code);
    }
}

#[tokio::test]
async fn a_mistyped_code_says_so() {
    let scene = Scene::opened().await;
    let code = &scene.patient;
    let last = code.chars().last().unwrap();
    let other = if last == '7' { '8' } else { '7' };
    let mistyped = format!("{}{other}", &code[..8]);
    for (typed, words) in [
        (mistyped.as_str(), "One character of this code is mistyped"),
        ("", "nine characters, such as"),
        ("P12", "has nine characters; 3 were typed"),
        ("P12-345-67%C3%84", "is never part of a code"),
        ("X12345678", "begins with"),
    ] {
        scene
            .dora
            .get(&format!("/find?q={typed}"))
            .await
            .is(404)
            .sees(words);
    }
    let page = scene
        .dora
        .send(
            "/cases/new",
            "/cases/new",
            &[("patient", &mistyped), ("arches", "both")],
        )
        .await;
    page.is(422).sees("One character of this code is mistyped");
    assert_eq!(page.attribute("input[name=patient]", "value"), mistyped);
}

#[tokio::test]
async fn another_offices_patient_is_not_there() {
    let scene = Scene::opened().await;
    let sven = scene.world.person("sven");
    let path = format!("/patients/{}", scene.patient);
    sven.get(&path).await.is(404);
    sven.post(
        &path,
        &[
            ("post_key", "sven-0000-0001"),
            ("version", "1"),
            ("patient.sex", "male"),
        ],
    )
    .await
    .is(404);
    sven.get(&format!("/find?q={}", scene.patient))
        .await
        .is(404)
        .sees("is not known here");
    sven.get("/patients")
        .await
        .is(200)
        .sees_not(&scene.patient[..3]);
    let page = sven.get("/cases/new").await;
    let lab = page.option_value("lab", "Kiln");
    let fields = [
        ("patient", scene.patient.as_str()),
        ("arches", "both"),
        ("lab", lab.as_str()),
    ];
    sven.send("/cases/new", "/cases/new", &fields)
        .await
        .is(422)
        .sees("No patient of this office has the code");
}

#[tokio::test]
async fn a_lab_sees_a_patients_code_and_never_the_card() {
    let scene = Scene::opened().await;
    scene
        .tom
        .get(&format!("/patients/{}", scene.patient))
        .await
        .is(403);
    scene
        .tom
        .get(&format!("/find?q={}", scene.patient))
        .await
        .is(404);
    scene.tom.get("/patients/key-sheet.pdf").await.is(403);
}

#[tokio::test]
async fn free_text_that_points_at_a_person_is_warned_of_and_kept() {
    let scene = Scene::opened().await;
    let path = format!("/patients/{}", scene.patient);
    for (text, words) in [
        ("as Mrs. Brown asked", "looks like a person’s name"),
        ("born 4.5.1948", "looks like a date of birth"),
        ("call +43 660 1234567", "looks like a telephone number"),
        (
            "write to someone@example.org",
            "looks like an e-mail address",
        ),
    ] {
        scene
            .dora
            .send(&path, &path, &[("patient.handling", text)])
            .await
            .is(303);
        let page = scene.dora.get(&path).await;
        page.is(200).sees(words);
        assert_eq!(
            page.attribute("input[name=\"patient.handling\"]", "value"),
            text
        );
    }
    scene
        .dora
        .send(
            &path,
            &path,
            &[("patient.handling", "tilts the upper when biting")],
        )
        .await
        .is(303);
    scene.dora.get(&path).await.sees_not("looks like");
}

#[tokio::test]
async fn no_field_of_the_card_or_the_case_asks_for_a_name() {
    let scene = Scene::opened().await;
    for page in [
        "/patients/new".to_owned(),
        "/cases/new".to_owned(),
        scene.at("/items/new"),
        scene.at("/write"),
    ] {
        let text = scene.dora.get(&page).await.is(200).text().to_lowercase();
        for forbidden in [
            "name=\"name",
            "birth\"",
            "autocomplete=\"name",
            "first name",
            "family name",
            "type=\"tel\"",
            "type=\"file\"",
        ] {
            assert!(!text.contains(forbidden), "{forbidden} on {page}");
        }
    }
}

#[tokio::test]
async fn a_wrong_answer_on_the_card_stays_typed_and_is_told_beside_its_field() {
    let scene = Scene::opened().await;
    let path = format!("/patients/{}", scene.patient);
    let long = "x".repeat(201);
    let answer = scene
        .dora
        .send(
            &path,
            &path,
            &[("patient.handling", &long), ("patient.sex", "female")],
        )
        .await;
    assert_eq!(
        answer.is(422).attribute("[aria-invalid]", "name"),
        "patient.handling"
    );
    assert_eq!(
        answer.attribute("input[name=\"patient.handling\"]", "value"),
        long
    );
    let both = [
        ("patient.exclusions", "none_known"),
        ("patient.no_nickel", "yes"),
    ];
    let answer = scene.dora.send(&path, &path, &both).await;
    assert_eq!(
        answer.is(422).attribute("[aria-invalid]", "name"),
        "patient.exclusions"
    );
    let page = scene
        .dora
        .get("/patients/new")
        .await
        .form("/patients/new", "/patients/new", "");
    let fields = [
        ("post_key", page["post_key"].as_str()),
        ("patient.name", "Somebody"),
    ];
    scene.dora.post("/patients/new", &fields).await.is(422);
}

#[tokio::test]
async fn two_who_change_one_card_are_told_of_each_other() {
    let scene = Scene::opened().await;
    let path = format!("/patients/{}", scene.patient);
    let field = |key, sex| [("post_key", key), ("version", "1"), ("patient.sex", sex)];
    scene
        .dora
        .post(&path, &field("card-key-0001", "female"))
        .await
        .is(303);
    scene
        .anna
        .post(&path, &field("card-key-0002", "male"))
        .await
        .is(409)
        .sees("Someone else has just done this");
    scene
        .dora
        .post(&path, &field("card-key-0001", "female"))
        .await
        .is(303);
    assert_eq!(
        scene
            .dora
            .get(&path)
            .await
            .attribute("select[name=\"patient.sex\"] option[selected]", "value"),
        "female"
    );
}

#[tokio::test]
async fn a_patient_posted_twice_is_one_patient() {
    let scene = Scene::opened().await;
    let first = scene
        .dora
        .post("/patients/new", &[("post_key", "patient-key-01")])
        .await;
    let second = scene
        .dora
        .post("/patients/new", &[("post_key", "patient-key-01")])
        .await;
    assert_eq!(last_part(&first), last_part(&second));
    let page = scene.dora.get("/patients").await;
    assert_eq!(page.count("a[href^=\"/patients/P\"]"), 2, "{}", page.text());
}

#[tokio::test]
async fn the_cards_facts_go_to_the_lab_and_the_cases_stand_on_the_card() {
    let scene = Scene::opened().await;
    let path = format!("/patients/{}", scene.patient);
    let facts = [
        ("patient.exclusions", "listed"),
        ("patient.no_nickel", "yes"),
    ];
    scene.dora.send(&path, &path, &facts).await.is(303);
    let second = open_case(&scene.dora, &scene.patient, "lower").await;
    let page = scene.dora.get(&path).await;
    assert_eq!(page.count(&format!("a[href=\"/cases/{second}\"]")), 1);
    scene.sign(&crate::scene::LEAST).await.is(303);
    let slip = scene.tom.get(&scene.at("/revisions/1")).await;
    slip.is(200);
}

#[tokio::test]
async fn the_key_sheet_is_the_same_file_twice() {
    let scene = Scene::opened().await;
    let once = scene.dora.get("/patients/key-sheet.pdf").await;
    let again = scene.anna.get("/patients/key-sheet.pdf").await;
    assert!(once.is(200).body.starts_with(b"%PDF") && once.body == again.body);
}

/// Chance that begins again where it began draws codes that are taken: others are drawn, and nothing is said.
#[tokio::test]
async fn a_code_that_is_taken_is_drawn_again() {
    let Scene {
        mut world, patient, ..
    } = Scene::opened().await;
    let page = world.person("dora").get("/cases/new").await;
    let lab = page.option_value("lab", "Kiln");
    let of_case = [
        ("patient", patient.as_str()),
        ("lab", lab.as_str()),
        ("arches", "both"),
    ];
    for (path, fields) in [("/patients/new", &[][..]), ("/cases/new", &of_case[..])] {
        let mut codes = Vec::new();
        for key in ["first-of-three", "second-of-three", "third-of-three"] {
            world = world.with_chance_from(50_000_000);
            let fields = [fields, &[("post_key", key)]].concat();
            let answer = world.person("dora").post(path, &fields).await;
            answer.is(303);
            codes.push(last_part(&answer));
        }
        codes.sort();
        codes.dedup();
        assert_eq!(codes.len(), 3, "{path}");
    }
}

#[tokio::test]
async fn p11_natural_teeth_are_a_state_of_the_mouth_and_not_nothing() {
    let scene = Scene::opened().await;
    let path = format!("/patients/{}", scene.patient);
    let teeth = [
        ("patient.teeth_upper", "natural"),
        ("patient.teeth_lower", "none"),
    ];
    scene.dora.send(&path, &path, &teeth).await.is(303);
    let mouth = scene.dora.get(&scene.at("/mouth")).await;
    mouth
        .sees("upper natural teeth")
        .sees("lower nothing recorded");
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("upper natural teeth");
    scene.dora.get(&path).await.sees("Upper: natural teeth.");
    // What is worn over or in place of them goes before.
    scene.add(&scene.dora, "provisional", "upper", "worn").await;
    let mouth = scene.dora.get(&scene.at("/mouth")).await;
    mouth
        .sees("upper Provisional denture")
        .sees_not("natural teeth");
}

/// Common practice, no source: what is learned of a patient after the order is signed reaches whoever works to it.
#[tokio::test]
async fn what_is_to_be_avoided_after_signing_reaches_both_houses_until_a_revision_says_it() {
    let (scene, _) = Scene::at_the_lab().await;
    let other = open_case(&scene.dora, &scene.patient, "lower").await;
    let card = format!("/patients/{}", scene.patient);
    let nickel = [
        ("patient.exclusions", "listed"),
        ("patient.no_nickel", "yes"),
    ];
    let before = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await;
    let saved = scene.dora.send(&card, &card, &nickel).await;
    // The card names the cases that it concerns, and no other.
    let page = scene.dora.get(&saved.is(303).location()).await;
    page.sees("not what these cases were signed with");
    let own = page.count(&format!(".held a[href=\"{}\"]", scene.at("")));
    let others = page.count(&format!(".held a[href=\"/cases/{other}\"]"));
    assert_eq!((own, others), (1, 0));
    // Both houses read it on every page of the case on which something is done.
    const WORDS: &str =
        "To be avoided, as the patient’s card has it now: nickel. Revision 1 was signed with:";
    for who in [&scene.dora, &scene.anna, &scene.tom] {
        for page in ["", "/revisions/1"] {
            who.get(&scene.at(page)).await.is(200).sees(WORDS);
        }
    }
    for page in ["/bench", "/release"] {
        scene.tom.get(&scene.at(page)).await.is(200).sees(WORDS);
    }
    // The large box of the bench is the card's, with what was signed beside it.
    scene
        .tom
        .get(&scene.at("/bench"))
        .await
        .sees("To be avoided Nickel by the patient’s card now; revision 1 was signed with:");
    // It is the office's to do, and goes before the rest.
    const STEP: &str = "ook at what is to be avoided, and sign a revision";
    scene.dora.get("/").await.sees(STEP);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("look whether the order may stand, and sign a revision");
    // What is printed from now on says it in its margins; the signed page is as it was.
    let copy = scene.tom.get(&scene.at("/revisions/1/slip.pdf")).await;
    let (plain, marked) = (pages(&before), pages(&copy));
    assert_eq!(plain.len(), marked.len());
    for (page, before) in marked.iter().zip(&plain) {
        let said =
            "To be avoided, by the patient’s card since: nickel. Ask the office before you go on.";
        assert_eq!(page.matches(said).count(), 2, "{page}");
        assert!(before.split(' ').all(|word| page.contains(word)));
    }
    let printed = scene
        .tom
        .get(&scene.at("/revisions/1/slip.pdf?as=printed"))
        .await;
    assert!(printed.is(200).body == before.body);
    // Whoever finds the sheet is told no substance.
    let sheet = format!("/C/{}/1", scene.number);
    let found = scene.world.nobody().get(&sheet).await;
    found
        .is(200)
        .sees("Ask the office before you work from this sheet")
        .sees_not("nickel");
    // The lab asks, in words that stand there already; a plain answer ends what it was told to do, and nothing of the office's.
    const ASK: &str = "Ask the office before the work goes on";
    scene.accept(1).await;
    scene.tom.get("/").await.sees(ASK);
    let [questions, ask, reply] = ["/questions", "/ask", "/answer"].map(|end| scene.at(end));
    let unclear = [("matter", "unclear")];
    scene.tom.send(&questions, &ask, &unclear).await.is(303);
    scene
        .tom
        .get(&questions)
        .await
        .sees("May the work go on as it is ordered?");
    scene.tom.get("/").await.sees(ASK);
    let answer = [("answer", "No nickel in it: it may stand.")];
    scene.dora.send(&questions, &reply, &answer).await.is(303);
    scene
        .tom
        .get("/")
        .await
        .sees_not(ASK)
        .sees("Make the work and hand it back");
    let told = scene.tom.get(&scene.at("/bench")).await;
    told.sees("The office has answered your question about it")
        .sees_not(ASK);
    scene.dora.get("/").await.sees(STEP);
    // The card names more since: of that nothing is answered.
    let latex = [("patient.no_latex", "yes")];
    scene.dora.send(&card, &card, &latex).await.is(303);
    scene.tom.get("/").await.sees(ASK);
    // A revision says it, and nothing of this is left.
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at(""))
            .await
            .sees_not("as the patient’s card has it now");
    }
    scene.dora.get("/").await.sees_not(STEP);
    scene.dora.get(&card).await.sees_not("were signed with");
    let newest = scene.tom.get(&scene.at("/revisions/2/slip.pdf")).await;
    assert!(!pages(&newest).concat().contains("card since"));
}

#[tokio::test]
async fn a_code_whose_card_cannot_be_read_stands_on_the_key_sheet() {
    let scene = Scene::opened().await;
    let sheet = "/patients/key-sheet.pdf";
    let whole = pages(&scene.dora.get(sheet).await);
    let mut conn = scene.world.past_the_store().await;
    let changed = "UPDATE patient SET facts = 'no JSON'";
    sqlx::raw_sql(changed).execute(&mut conn).await.unwrap();
    let code = &scene.patient;
    let shown = format!("{}-{}-{}", &code[..3], &code[3..6], &code[6..]);
    for pages in [whole, pages(&scene.dora.get(sheet).await)] {
        assert!(pages.concat().contains(&shown), "{pages:?}");
    }
}
