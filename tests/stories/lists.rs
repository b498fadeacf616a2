//! A lab loads its moulds and an office its guides; what is not clear is refused as a whole, what was loaded
//! before stays, and the prescription is held against what is in force.

use crate::common::{Answer, Visitor, encode};
use crate::scene::Scene;
use axum::body::Body;
use axum::http::{Request, header};

/// Two invented moulds.
pub const MOULDS: &str = "code,arch,region,width,width_basis,length,form,cusp_angle,stock\n\
    Finch 4,upper,front,47,curve,10,ovoid,,2\n\
    Finch 5,upper,front,49,curve,10.5,ovoid,,0\n";
const TABS: &str = "tab,L,a,b\nfern 1,74,0.5,15\nfern 2,71,1.5,18\n";

pub async fn load_moulds(who: &Visitor, text: &str) -> Answer {
    who.send("/moulds", "/moulds", &[("text", text)]).await
}

/// Loads a tooth shade guide; returns its id.
pub async fn load_guide(who: &Visitor, name: &str, text: &str) -> String {
    let fields = [("kind", "tooth_guide"), ("guide", name), ("text", text)];
    let mut answer = who.send("/guides", "/guides", &fields).await;
    // A name that looks as if it were a person's comes back once.
    if answer.status.as_u16() == 422 && answer.count("[name=names_nobody]") == 1 {
        let fields: Vec<_> = fields
            .into_iter()
            .chain([("names_nobody", "yes")])
            .collect();
        answer = who.send("/guides", "/guides", &fields).await;
    }
    crate::scene::last_part(&answer)
}

/// Sends the form with a file, as a browser does.
async fn send_file(who: &Visitor, page: &str, file: &[u8], fields: &[(&str, &str)]) -> Answer {
    let mut form = who.get(page).await.form(page, page, "enctype");
    for (key, text) in fields {
        form.insert((*key).to_owned(), (*text).to_owned());
    }
    form.remove("file");
    let mut body = Vec::new();
    for (key, text) in &form {
        let part =
            format!("--border\r\nContent-Disposition: form-data; name=\"{key}\"\r\n\r\n{text}\r\n");
        body.extend(part.bytes());
    }
    let part = "--border\r\nContent-Disposition: form-data; name=\"file\"; filename=\"list.csv\"\r\n\
                Content-Type: text/csv\r\n\r\n";
    body.extend(part.bytes());
    body.extend(file);
    body.extend(b"\r\n--border--\r\n");
    post_parts(who, page, body).await
}

async fn post_parts(who: &Visitor, path: &str, body: Vec<u8>) -> Answer {
    let request = Request::post(path)
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=border")
        .header(header::HOST, "vestibule.test")
        .header(header::ORIGIN, "http://vestibule.test")
        .body(Body::from(body))
        .unwrap();
    who.ask(request).await
}

fn json(answer: &Answer) -> serde_json::Value {
    serde_json::from_slice(&answer.is(200).body).unwrap()
}

#[tokio::test]
async fn a_mould_of_the_list_is_found_with_the_cases_that_order_it_now() {
    let scene = Scene::opened().await;
    let find = "/find?q=finch+4";
    // Nothing of it is known before it is listed.
    scene.dora.get(find).await.is(404);
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let place = "version 1: upper front teeth.";
    let nobody = "No case orders it by the revision in force.";
    let case = format!("a[href=\"{}\"]", scene.at(""));
    for who in [&scene.dora, &scene.tom] {
        let page = who.get(find).await;
        page.is(200)
            .sees("Mould “Finch 4” is in")
            .sees(place)
            .sees(nobody);
        assert_eq!(page.count(&case), 0);
    }
    let mould = |code| [("anterior.upper_mould", code)];
    let fields = [&crate::scene::LEAST[..], &mould("finch 4")].concat();
    scene.sign(&fields).await.is(303);
    for (who, list) in [
        (&scene.dora, "the mould list of Kiln Laboratory"),
        (&scene.tom, "your mould list"),
    ] {
        let page = who.get(find).await;
        page.is(200)
            .sees(list)
            .sees("These cases order it by the revision in force.");
        assert_eq!(page.count(&case), 1);
        // Another mould of the list is another one, though its name begins alike.
        who.get("/find?q=Finch+5").await.sees(nobody);
    }
    // Another office sees neither the list nor the case.
    scene.world.person("sven").get(find).await.is(404);
    // Only the revision in force counts.
    scene.sign(&mould("Finch 5")).await.is(303);
    scene.tom.get(find).await.is(200).sees(nobody);
    let page = scene.tom.get("/find?q=Finch+5").await;
    page.sees("These cases order it by the revision in force.");
    assert_eq!(page.count(&case), 1);
    let examined = vestibule::app::examine::examine(&scene.world.app, None).await;
    assert_eq!(examined.unwrap().faults, []);
}

#[tokio::test]
async fn a_list_is_loaded_looked_at_and_taken_home() {
    let scene = Scene::opened().await;
    scene.mara.get("/moulds").await.sees("No list is in use.");
    let answer = load_moulds(&scene.tom, MOULDS).await;
    assert_eq!(answer.is(303).location(), "/moulds?done=loaded");
    let page = scene.mara.get("/moulds?done=loaded").await;
    page.is(200)
        .sees("Loaded. This list is in force now")
        .sees("Version 1, 2 entries, loaded Mon 2 Mar 2026 09:00 +01:00 by tom.")
        .sees("Finch 5 upper front 49 curve 10.5 ovoid 0");
    let file = scene.mara.get("/moulds/1/list.csv").await;
    assert_eq!(file.is(200).text(), MOULDS);
    assert_eq!(file.headers["content-type"], "text/csv; charset=utf-8");
    assert_eq!(
        file.headers["content-disposition"],
        "attachment; filename=\"mould-list-1.csv\""
    );
    scene.mara.get("/moulds/2/list.csv").await.is(404);
}

#[tokio::test]
async fn every_faulty_line_is_told_nothing_is_kept_and_the_text_stays() {
    let scene = Scene::opened().await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let faulty = "code,arch,region,width,width_basis,length,form,cusp_angle,stock\n\
        Finch 6,upper,front,51,curve,11,ovoid,,2\n\
        Finch 7,both,front,51,curve,11,ovoid,,2\n\n\
        Finch 8,upper,front,51,tape,11,ovoid,,2\n\
        Finch 9,upper,front,51\n";
    let page = load_moulds(&scene.tom, faulty).await;
    page.is(422)
        .sees("Line 3: arch is “both”, and upper or lower is wanted.")
        .sees("Line 5: width_basis is “tape”, and caliper or curve is wanted.")
        .sees("Line 6: 4 cells, and the heading has 9.")
        .sees("Nothing was loaded: see what is wrong")
        .sees("Version 1, 2 entries");
    let form = page.form("/moulds", "/moulds", "enctype");
    assert_eq!(form["text"].trim_end(), faulty.trim_end());
    scene
        .tom
        .get("/moulds")
        .await
        .sees("Version 1")
        .sees_not("Finch 6");
    load_moulds(&scene.tom, " ")
        .await
        .is(422)
        .sees("Paste the list, or choose its file.");
    load_moulds(&scene.tom, "Finch 6,51\n").await.is(422).sees(
        "The heading must be: code,arch,region,width,width_basis,length,form,cusp_angle,stock.",
    );
}

#[tokio::test]
async fn a_list_loaded_again_is_in_force_and_the_one_before_stays() {
    let scene = Scene::opened().await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let later = "code;arch;region;width;width_basis;length;form;cusp_angle;stock\r\n\
                 Finch 6;upper;front;51,5;curve;11;ovoid;;2\r\n;;;;;;;;\r\n";
    load_moulds(&scene.mara, later).await.is(303);
    let page = scene.tom.get("/moulds").await;
    page.sees("Version 2, 1 entry, loaded Mon 2 Mar 2026 09:00 +01:00 by mara.")
        .sees("Finch 6 upper front 51.5")
        .sees_not("Finch 4");
    assert_eq!(page.hrefs("/moulds/").len(), 2);
    let first = scene.tom.get("/moulds/1/list.csv").await;
    assert_eq!(first.is(200).text(), MOULDS);
}

#[tokio::test]
async fn who_loads_from_an_old_page_replaces_nothing_unseen() {
    let scene = Scene::opened().await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let old = scene
        .mara
        .get("/moulds")
        .await
        .form("/moulds", "/moulds", "enctype");
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let mut form = old.clone();
    form.insert("text".to_owned(), MOULDS.to_owned());
    let pairs: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    scene
        .mara
        .post("/moulds", &pairs)
        .await
        .is(409)
        .sees("Somebody has changed the list meanwhile.");
    scene.tom.get("/moulds").await.sees("Version 2");
}

#[tokio::test]
async fn a_list_posted_twice_is_one_version() {
    let scene = Scene::opened().await;
    let fields = [
        ("post_key", "twice-00001"),
        ("version", "0"),
        ("text", MOULDS),
    ];
    scene.tom.post("/moulds", &fields).await.is(303);
    scene.tom.post("/moulds", &fields).await.is(303);
    scene.tom.get("/moulds").await.sees("Version 1, 2 entries");
    let fields = [
        ("post_key", "twice-00002"),
        ("kind", "base_guide"),
        ("guide", "Moss"),
        ("text", TABS),
    ];
    let once = scene.anna.post("/guides", &fields).await.is(303).location();
    assert_eq!(
        scene.anna.post("/guides", &fields).await.is(303).location(),
        once
    );
}

#[tokio::test]
async fn a_list_comes_as_a_file_too_and_goes_before_the_text() {
    let scene = Scene::opened().await;
    let with_mark = format!("\u{feff}{}", MOULDS.replace('\n', "\r\n"));
    send_file(
        &scene.tom,
        "/moulds",
        with_mark.as_bytes(),
        &[("text", "old")],
    )
    .await
    .is(303);
    scene.tom.get("/moulds").await.sees("Finch 4");
    let faulty = MOULDS.replace("curve", "tape");
    let page = send_file(&scene.tom, "/moulds", faulty.as_bytes(), &[]).await;
    page.is(422)
        .sees("Line 2: width_basis")
        .sees("Line 3: width_basis");
    assert!(page.form("/moulds", "/moulds", "enctype")["text"].contains("Finch 5"));
    // No file chosen: the text is taken.
    send_file(&scene.tom, "/moulds", b"", &[("text", MOULDS)])
        .await
        .is(303);
    scene.tom.get("/moulds").await.sees("Version 2");
}

#[tokio::test]
async fn a_file_in_another_encoding_is_told_so_and_the_text_stays() {
    let scene = Scene::opened().await;
    let latin = MOULDS
        .replace("Finch", "G\u{fc}te")
        .chars()
        .map(|c| c as u8)
        .collect::<Vec<u8>>();
    let wide: Vec<u8> = MOULDS.encode_utf16().flat_map(u16::to_le_bytes).collect();
    for file in [latin, wide] {
        let page = send_file(&scene.tom, "/moulds", &file, &[("text", "typed before")]).await;
        page.is(422).sees("This file is no text in UTF-8.");
        let form = page.form("/moulds", "/moulds", "enctype");
        assert_eq!(form["text"], "typed before");
    }
    scene.tom.get("/moulds").await.sees("No list is in use.");
}

#[tokio::test]
async fn a_list_that_is_too_long_is_told_so() {
    let scene = Scene::opened().await;
    let line = "Finch,upper,front,47,curve,10,ovoid,,2\n";
    let text = format!("{MOULDS}{}", line.repeat(14_000));
    let page = load_moulds(&scene.tom, &text).await;
    page.is(422)
        .sees("at most 512 KB are taken. Nothing of it was stored.");
    assert!(page.form("/moulds", "/moulds", "enctype")["text"].len() > 500_000);
    let rows: String = (0..5_001)
        .map(|n| format!("F{n},upper,front,47,curve,10,ovoid,,2\n"))
        .collect();
    let heading = MOULDS.lines().next().unwrap();
    load_moulds(&scene.tom, &format!("{heading}\n{rows}"))
        .await
        .is(422)
        .sees("Line 5002: the list has more than 5000 rows.");
    let huge = vec![b'x'; 3 * 1024 * 1024];
    send_file(&scene.tom, "/moulds", &huge, &[])
        .await
        .is(413)
        .sees("more than a form can hold");
    // A long list is shown a part at a time.
    let rows: String = rows
        .lines()
        .take(450)
        .map(|line| format!("{line}\n"))
        .collect();
    load_moulds(&scene.tom, &format!("{heading}\n{rows}"))
        .await
        .is(303);
    let page = scene.tom.get("/moulds").await;
    page.sees("1 to 200 of 450").sees("F199").sees_not("F200");
    let page = scene.tom.get("/moulds?from=400").await;
    page.sees("401 to 450 of 450").sees("F449").sees_not("F399");
    for odd in ["-1", "x", "99999999", "18446744073709551616"] {
        scene.tom.get(&format!("/moulds?from={odd}")).await.is(200);
    }
}

#[tokio::test]
async fn broken_parts_are_a_page() {
    let scene = Scene::opened().await;
    let part = |key: &str, text: &str| {
        format!("--border\r\nContent-Disposition: form-data; name=\"{key}\"\r\n\r\n{text}\r\n")
    };
    for body in [
        "no parts at all".to_owned(),
        part("post_key", "parts-00001"),
        format!("{}{}--border--\r\n", part("text", "a"), part("text", "b")),
    ] {
        let answer = post_parts(&scene.tom, "/moulds", body.into_bytes()).await;
        answer.is(400).sees("Nothing was changed.");
    }
    let key = format!("{}--border--\r\n", part("text", MOULDS));
    post_parts(&scene.tom, "/moulds", key.into_bytes())
        .await
        .is(400)
        .sees("without its key");
}

#[tokio::test]
async fn who_was_signed_out_finds_the_list_in_the_answer() {
    let scene = Scene::opened().await;
    let body = format!(
        "--border\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a\"\r\n\r\n{MOULDS}\r\n--border--\r\n"
    );
    post_parts(&scene.world.nobody(), "/moulds", body.into_bytes())
        .await
        .is(401)
        .sees("this was not stored")
        .sees("Finch 4,upper,front");
}

#[tokio::test]
async fn another_partys_list_does_not_exist() {
    let scene = Scene::opened().await;
    let id = load_guide(&scene.anna, "Fernwood", TABS).await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let (sven, lars) = (scene.world.person("sven"), scene.world.person("lars"));
    let path = format!("/guides/{id}");
    sven.get(&path).await.is(404);
    sven.get(&format!("{path}/1/list.csv")).await.is(404);
    sven.get("/guides").await.is(200).sees_not("Fernwood");
    for text in [TABS, "not clear"] {
        let fields = [
            ("post_key", "stranger-01"),
            ("version", "1"),
            ("text", text),
        ];
        sven.post(&path, &fields).await.is(404);
    }
    let out = [
        ("post_key", "stranger-02"),
        ("version", "1"),
        ("go", "out"),
        ("sure", "yes"),
    ];
    sven.post(&path, &out).await.is(404);
    // A technician takes no list out of use, and learns nothing of another lab's.
    lars.post("/moulds", &out)
        .await
        .is(409)
        .sees("Only the lab manager");
    lars.get("/moulds").await.sees("No list is in use.");
    lars.get("/moulds/1/list.csv").await.is(404);
    lars.get(&scene.at("/moulds")).await.is(404);
    scene
        .dora
        .get(&path)
        .await
        .is(200)
        .sees("Version 1, 2 entries");
    scene.tom.get(&path).await.is(403);
    scene
        .dora
        .get("/moulds")
        .await
        .is(403)
        .sees("Only the lab keeps its mould list and its days.");
}

#[tokio::test]
async fn the_office_reads_the_list_of_the_lab_that_the_case_names() {
    let scene = Scene::opened().await;
    scene
        .dora
        .get(&scene.at("/moulds"))
        .await
        .is(200)
        .sees("The lab has no list in use.");
    load_moulds(&scene.tom, MOULDS).await.is(303);
    for who in [&scene.dora, &scene.tom] {
        let page = who.get(&scene.at("/moulds")).await;
        page.is(200)
            .sees("Mould list of Kiln Laboratory")
            .sees("Finch 4");
        assert_eq!(page.count("main form"), 0);
    }
}

#[tokio::test]
async fn guides_have_names_of_their_own_and_several_stand_side_by_side() {
    let scene = Scene::opened().await;
    load_guide(&scene.anna, "Fernwood", TABS).await;
    let post = async |kind: &str, name: &str, text: &str| {
        let fields = [("kind", kind), ("guide", name), ("text", text)];
        scene.dora.send("/guides", "/guides", &fields).await
    };
    post("tooth_guide", "fernwood", TABS)
        .await
        .is(422)
        .sees("A tooth shade guide of this name is there already");
    post("base_guide", "Fernwood", TABS).await.is(303);
    post("", "", TABS)
        .await
        .is(422)
        .sees("Choose one.")
        .sees("Type the name of the guide.");
    let page = post("moulds", &"x".repeat(81), "tab,L,a,b\nx,101,0,0\n").await;
    page.is(422)
        .sees("Choose one.")
        .sees("At most 80 characters; these are 81.")
        .sees("Line 2: L* lies between 0 and 100; 101 was given.");
    post("base_guide", "a\u{202e}b", TABS)
        .await
        .is(422)
        .sees("invisible character");
    post("base_guide", "for Mrs. Brown", TABS)
        .await
        .is(422)
        .sees("I have looked at the texts above");
    let page = scene.anna.get("/guides").await;
    page.sees("Fernwood tooth shade guide version 1, 2 entries")
        .sees("Fernwood base shade guide version 1, 2 entries");
    assert_eq!(page.hrefs("/guides/").len(), 2);
}

#[tokio::test]
async fn a_list_out_of_use_is_looked_at_no_longer_and_can_come_back() {
    let scene = Scene::opened().await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    scene
        .write(&scene.dora, &[("anterior.upper_mould", "Finch 9")])
        .await
        .is(303);
    let remark = "Not in the lab’s mould list, version 1: “Finch 9” for upper front teeth.";
    scene
        .dora
        .whole_form(&scene.at("/write"))
        .await
        .sees(remark);
    let out = async |sure: &[(&str, &str)]| {
        let fields: Vec<_> = [("go", "out")].iter().chain(sure).copied().collect();
        scene
            .mara
            .send_where("/moulds", "/moulds", "-out", &fields)
            .await
    };
    out(&[])
        .await
        .is(409)
        .sees("Tick “Take this list out of use” first.");
    let done = out(&[("sure", "yes")]).await;
    assert_eq!(done.is(303).location(), "/moulds?done=out");
    scene
        .tom
        .get("/moulds")
        .await
        .sees("No list is in use.")
        .sees("2 taken out of use");
    scene.tom.get("/moulds/2/list.csv").await.is(404);
    scene
        .dora
        .whole_form(&scene.at("/write"))
        .await
        .sees_not("mould list, version");
    load_moulds(&scene.tom, MOULDS).await.is(303);
    scene
        .dora
        .whole_form(&scene.at("/write"))
        .await
        .sees("mould list, version 3");

    let id = load_guide(&scene.anna, "Fernwood", TABS).await;
    let path = format!("/guides/{id}");
    let fields = [("go", "out"), ("sure", "yes")];
    scene
        .anna
        .send_where(&path, &path, "-out", &fields)
        .await
        .is(303);
    scene.anna.get("/guides").await.sees("out of use");
    scene
        .anna
        .send(&path, &path, &[("text", TABS)])
        .await
        .is(303);
    scene.anna.get(&path).await.sees("Version 3, 2 entries");
}

#[tokio::test]
async fn a_code_that_is_a_formula_is_guarded_on_its_way_out_and_reads_back() {
    let scene = Scene::opened().await;
    let text = "tab,L,a,b\n=1+2,70,-1.5,18\n@x,71,1,18\n";
    let id = load_guide(&scene.anna, "Fernwood", text).await;
    let path = format!("/guides/{id}");
    scene.anna.get(&path).await.sees("=1+2 70 -1.5 18");
    let file = scene.anna.get(&format!("{path}/1/list.csv")).await;
    let guarded = "tab,L,a,b\n'=1+2,70,-1.5,18\n'@x,71,1,18\n";
    assert_eq!(file.is(200).text(), guarded);
    scene
        .anna
        .send(&path, &path, &[("text", guarded)])
        .await
        .is(303);
    scene
        .anna
        .get(&path)
        .await
        .sees("Version 2")
        .sees("=1+2 70")
        .sees_not("'=1+2 70");
}

#[tokio::test]
async fn moulds_are_hinted_at_offered_and_remarked_on_while_one_types() {
    let scene = Scene::opened().await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let written = [
        ("anterior.width_mm", "48.5"),
        ("anterior.width_method", "curve"),
        ("anterior.central_length_mm", "10.5"),
        ("anterior.upper_mould", "Finch 5"),
    ];
    scene.write(&scene.dora, &written).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("Nearest upper front mould 1: Finch 5")
        .sees("none in stock, length 0 mm off. Of 2, ordered by width and length together.")
        .sees("Source: the lab’s mould list, version 1")
        .sees("None in stock by the lab’s mould list, version 1: “Finch 5” for upper front teeth.");
    let offered = page.attribute("#f-anterior-upper_mould", "list");
    let selector = format!("datalist#{offered} option[value=\"Finch 4\"]");
    assert_eq!(page.count(&selector), 1);

    let base = page.attribute("input[name=\"base\"]", "value");
    let fields = [("base", base.as_str()), ("anterior.upper_mould", "Finch 9")];
    let kept = json(&scene.dora.post(&scene.at("/write/autosave"), &fields).await);
    assert!(
        kept["faults"].as_object().unwrap().is_empty(),
        "a code is never refused"
    );
    let numbers = kept["numbers"]["anterior"].as_str().unwrap();
    assert!(
        numbers.contains("Not among the upper front moulds"),
        "{numbers}"
    );
    let review = kept["review"].as_str().unwrap();
    assert!(review.contains("Not in the lab’s mould list, version 1"));

    // Another version is seen with the next key.
    let again = MOULDS.replace("Finch 5", "Finch 9");
    load_moulds(&scene.mara, &again).await.is(303);
    let fields = [
        ("base", kept["base"].as_str().unwrap()),
        ("anterior.central_length_mm", "11"),
    ];
    let kept = json(&scene.dora.post(&scene.at("/write/autosave"), &fields).await);
    let numbers = kept["numbers"]["anterior"].as_str().unwrap();
    assert!(
        numbers.contains("Nearest upper front mould 1: Finch 9"),
        "{numbers}"
    );
    assert!(numbers.contains("version 2"));
}

#[tokio::test]
async fn a_reading_is_compared_with_the_guide_that_is_named() {
    let scene = Scene::opened().await;
    load_guide(&scene.anna, "Fernwood", TABS).await;
    let reading = [
        ("shade.lightness", "71"),
        ("shade.a", "1.5"),
        ("shade.b", "18"),
        ("shade.tab", "fern 3"),
    ];
    scene.write(&scene.dora, &reading).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("The guide is not named. Loaded: Fernwood.");
    let base = page.attribute("input[name=\"base\"]", "value");
    let fields = [("base", base.as_str()), ("shade.guide", "Fernwood")];
    let kept = json(&scene.dora.post(&scene.at("/write/autosave"), &fields).await);
    let numbers = kept["numbers"]["shade"].as_str().unwrap();
    assert!(
        numbers.contains("CIEDE2000 from the reading to fern 2"),
        "{numbers}"
    );
    assert!(numbers.contains("Not perceptible (up to 0.8 not perceptible, up to 1.8 acceptable)"));
    let review = kept["review"].as_str().unwrap();
    assert!(review.contains("“fern 3” is not a tab of the office’s guide Fernwood, version 1."));
    // The office across has guides of its own.
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    assert_eq!(page.count("datalist option[value=\"fern 1\"]"), 3);
}

#[tokio::test]
async fn a_form_that_is_no_form_of_lists_is_taken_without_parts_too() {
    let scene = Scene::opened().await;
    let body = encode(
        [
            ("post_key", "plain-00001"),
            ("version", "0"),
            ("text", MOULDS),
        ]
        .into_iter(),
    );
    scene.tom.post_body("/moulds", body).await.is(303);
}

#[tokio::test]
async fn p12_each_house_loads_its_closed_days_and_the_lab_its_own_days() {
    let scene = Scene::opened().await;
    scene
        .dora
        .get("/closed-days")
        .await
        .sees("no holiday is known");
    let days = "day,what\nsaturday,\nsunday,\n2026-03-20,spring holiday\n";
    let answer = scene
        .dora
        .send("/closed-days", "/closed-days", &[("text", days)])
        .await;
    assert_eq!(answer.is(303).location(), "/closed-days?done=loaded");
    scene
        .dora
        .get("/closed-days")
        .await
        .sees("2026-03-20 spring holiday");
    let own = "step,days\nset_up,2\nprocess,2\n";
    scene
        .tom
        .send("/lab-days", "/lab-days", &[("text", own)])
        .await
        .is(303);
    // What is not clear is told by its line, and nothing is taken.
    scene
        .tom
        .send(
            "/closed-days",
            "/closed-days",
            &[("text", "day,what\nsomeday,\n")],
        )
        .await
        .is(422)
        .sees("Line 2: day is “someday”");
    scene
        .tom
        .get("/closed-days")
        .await
        .sees("No list is in use");
    let fields = [
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "process"),
        ("dates.wanted", "2026-03-20"),
    ];
    scene.write(&scene.dora, &fields).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    page.sees("The day on which the work is wanted is Fri 20 Mar 2026, and the office is closed.")
        .sees("the lab’s own days, version 1");
    let file = scene.dora.get("/closed-days/1/list.csv").await;
    assert!(file.is(200).text().contains("2026-03-20,spring holiday"));
}

#[tokio::test]
async fn closed_days_are_typed_line_by_line_and_taken_out_by_a_tick() {
    let scene = Scene::opened().await;
    let (path, lines) = ("/closed-days", "/closed-days/lines");
    let page = scene.dora.get(path).await;
    let empty = page.count("[role=group] input[type=date][name$=\".on\"]");
    assert!(empty >= 3, "{empty} lines stand there empty");
    // Of nothing no list comes, not even one of the weekend.
    let nothing = scene.dora.send(path, lines, &[]).await;
    nothing.is(422).sees("Choose the day, or a weekday.");
    assert_eq!(nothing.count("#f-line-0-on-say .message"), 1);
    scene.dora.get(path).await.sees("No list is in use");
    // A wrong line has its message beside it, and what was typed in the others stays.
    let typed = [
        ("line.0.on", "2026-12-24"),
        ("line.0.until", "2026-12-26"),
        ("line.0.what", "winter holiday"),
        ("line.2.what", "market day"),
    ];
    let back = scene.dora.send(path, lines, &typed).await;
    back.is(422).sees("Choose the day, or a weekday.");
    assert_eq!(back.count("#f-line-2-on-say .message"), 1);
    let kept = |page: &Answer, name: &str| page.attribute(&format!("[name=\"{name}\"]"), "value");
    for (name, text) in typed {
        assert_eq!(kept(&back, name), text, "{name}");
    }
    // More lines are had without a script, and keep what stands there.
    let more = [typed.as_slice(), &[("go", "more")]].concat();
    let page = scene.dora.send(path, lines, &more).await;
    page.is(200).sees_not("Choose the day");
    for (name, text) in typed {
        assert_eq!(kept(&page, name), text, "{name}");
    }
    assert!(page.count("[name^=\"line.\"][name$=\".on\"]") > empty);
    scene.dora.get(path).await.sees("No list is in use");
    let right = [
        typed.as_slice(),
        &[("line.2.every", "wednesday"), ("line.2.no_chair", "yes")],
    ];
    let answer = scene.dora.send(path, lines, &right.concat()).await;
    assert_eq!(answer.is(303).location(), "/closed-days?done=loaded");
    let file = scene.dora.get("/closed-days/1/list.csv").await;
    assert_eq!(
        file.is(200).text().replace("\r\n", "\n"),
        "day,what\nsaturday,\nsunday,\n2026-12-24,winter holiday\n2026-12-25,winter holiday\n\
         2026-12-26,winter holiday\nchair wednesday,market day\n"
    );
    let page = scene.dora.get(path).await;
    page.sees("Fri 25 Dec 2026, winter holiday");
    let out = [("2026-12-25.out", "yes"), ("chair_wednesday.out", "yes")];
    scene.dora.send(path, lines, &out).await.is(303);
    let file = scene.dora.get("/closed-days/2/list.csv").await;
    let text = file.is(200).text();
    assert!(
        text.contains("2026-12-24") && !text.contains("2026-12-25"),
        "{text}"
    );
    assert!(!text.contains("chair"), "{text}");
    // The other house has a list of its own.
    scene.tom.get(path).await.sees("No list is in use");
}

#[tokio::test]
async fn the_days_of_a_lab_are_typed_line_by_line() {
    let scene = Scene::opened().await;
    let (path, lines) = ("/lab-days", "/lab-days/lines");
    let typed = [
        ("day.0.step", "set_up"),
        ("day.0.days", "4"),
        ("day.1.step", "process"),
        ("day.1.days", "soon"),
    ];
    let back = scene.tom.send(path, lines, &typed).await;
    back.is(422);
    assert_eq!(back.count("#f-day-1-days-say .message"), 1);
    assert_eq!(back.attribute("[name=\"day.0.days\"]", "value"), "4");
    assert_eq!(back.attribute("[name=\"day.1.days\"]", "value"), "soon");
    scene.tom.get(path).await.sees("No list is in use");
    let right = [typed.as_slice(), &[("day.1.days", "3")]].concat();
    scene.tom.send(path, lines, &right).await.is(303);
    // What is in force stands in the lines: one is changed, one goes, one comes.
    let next = [
        ("day.0.days", "5"),
        ("day.1.step", ""),
        ("day.1.days", ""),
        ("day.2.step", "way_back"),
        ("day.2.days", "2"),
    ];
    scene.tom.send(path, lines, &next).await.is(303);
    let file = scene.tom.get("/lab-days/2/list.csv").await;
    let text = file.is(200).text().replace("\r\n", "\n");
    assert_eq!(text, "step,days\nset_up,5\nway_back,2\n");
    // A list can be pasted as before.
    let pasted = [("text", "step,days\nset_up,6\n")];
    scene.tom.send(path, path, &pasted).await.is(303);
}

#[tokio::test]
async fn a_list_of_holidays_alone_says_that_the_weekends_are_worked() {
    let scene = Scene::opened().await;
    let path = "/closed-days";
    let holidays = [("text", "day,what\n2026-12-25,holiday\n")];
    scene.mara.send(path, path, &holidays).await.is(303);
    scene
        .mara
        .get(path)
        .await
        .sees("open on Saturdays and Sundays too");
    let whole = [("text", "day,what\nsaturday,\nsunday,\n2026-12-25,holiday\n")];
    scene.dora.send(path, path, &whole).await.is(303);
    scene
        .dora
        .get(path)
        .await
        .sees_not("open on Saturdays and Sundays too");
}

#[tokio::test]
async fn p9_a_reason_is_typed_again_when_the_finding_says_something_else() {
    let scene = Scene::opened().await;
    scene
        .write(&scene.dora, &[("base.palate_mm", "1.2")])
        .await
        .is(303);
    let boxes = |page: &Answer| -> Vec<String> {
        let all = page.names("reason.");
        all.into_iter()
            .filter(|name| name.starts_with("reason.palate-thin"))
            .collect()
    };
    let first = boxes(&scene.dora.whole_form(&scene.at("/write")).await);
    assert_eq!(first.len(), 1);
    let reason = "the patient wants it thin";
    scene
        .write(&scene.dora, &[(first[0].as_str(), reason)])
        .await
        .is(303);
    scene
        .write(&scene.dora, &[("base.palate_mm", "0.5")])
        .await
        .is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let second = boxes(&page);
    assert_ne!(first, second);
    page.sees("The finding has changed. Before, this was the reason: “the patient wants it thin”.");
}
