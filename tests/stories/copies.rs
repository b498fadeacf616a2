//! Copies of what is out of force: a slip that is printed later than its revision was superseded, or its work stopped.

use crate::common::{Answer, PASSWORD};
use crate::pdf_text::{RAW, in_single_spaces, pages_of};
use crate::scene::Scene;

/// The words of each page of a paper, in single spaces.
pub fn pages(paper: &Answer) -> Vec<String> {
    assert_eq!(paper.is(200).headers["content-type"], "application/pdf");
    let pages = pages_of(&paper.body, RAW).into_iter();
    let pages = pages.map(|page| in_single_spaces(&page));
    pages.filter(|page| !page.is_empty()).collect()
}

async fn decide(scene: &Scene, word: &str) {
    let said = [("reason", "another bite"), ("password", PASSWORD)];
    let (page, within) = (scene.at("/halt"), format!("value=\"{word}\""));
    let answer = scene.dora.send_where(&page, &page, &within, &said).await;
    answer.is(303);
}

fn name_of(paper: &Answer) -> &str {
    paper.headers["content-disposition"].to_str().unwrap()
}

#[tokio::test]
async fn c5_a_copy_of_a_superseded_revision_says_so_on_every_page_and_is_always_the_same() {
    let mut scene = Scene::signed().await;
    let path = scene.at("/revisions/1/slip.pdf");
    let printed = scene.tom.get(&path).await;
    let plain = pages(&printed);
    assert_eq!(plain.len(), 2);
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let copy = scene.tom.get(&path).await;
    let words = "Superseded by revision 2, signed Mon 2 Mar 2026. Do not work from this copy.";
    let marked = pages(&copy);
    assert_eq!(marked.len(), 2);
    for (page, before) in marked.iter().zip(&plain) {
        // In both margins, and nothing of the page is lost.
        assert_eq!(page.matches(words).count(), 2, "{page}");
        for word in before.split(' ') {
            assert!(page.contains(word), "{word} is lost");
        }
    }
    assert!(name_of(&copy).contains("-1-superseded.pdf"));
    // The same for both sides and later, and on the other paper.
    scene.world.pass_minutes(17);
    let again = scene.dora.get(&path).await;
    assert!(copy.body == again.is(200).body);
    for paper in ["letter", "a4"] {
        let sized = scene.tom.get(&format!("{path}?paper={paper}")).await;
        assert!(pages(&sized).iter().all(|page| page.contains(words)));
    }
    // As it was printed, to be compared; and what is in force bears nothing.
    let unmarked = scene.tom.get(&format!("{path}?as=printed")).await;
    assert!(unmarked.is(200).body == printed.body);
    assert!(!name_of(&unmarked).contains("superseded"));
    scene.tom.get(&format!("{path}?as=else")).await.is(404);
    let newest = scene.tom.get(&scene.at("/revisions/2/slip.pdf")).await;
    assert!(!pages(&newest).concat().contains("Do not work"));
    // So do the full text, the picture, and the page.
    let text = scene.tom.get(&scene.at("/revisions/1/text.pdf")).await;
    assert!(pages(&text).iter().all(|page| page.contains(words)));
    let front = scene.tom.get(&scene.at("/revisions/1/front.svg")).await;
    assert!(front.is(200).text().contains(words));
    // The page of the revision has its front, and the others come from here.
    let page = |number: u32| scene.at(&format!("/revisions/1/front.svg?page={number}"));
    let back = scene.tom.get(&page(2)).await;
    assert!(
        back.is(200)
            .text()
            .contains("<title>Back of the sheet</title>")
    );
    assert!(back.text().contains(words) && back.text().contains("data-about="));
    scene.tom.get(&page(9)).await.is(404);
    for who in [&scene.tom, &scene.anna] {
        who.get(&scene.at("/revisions/1"))
            .await
            .sees("Superseded by revision 2, signed Mon 2 Mar 2026. Do not work from this one.")
            .sees("As it was printed (PDF)");
        who.get(&scene.at("/revisions/2"))
            .await
            .sees_not("Do not work from")
            .sees_not("As it was printed");
        who.get(&scene.at(""))
            .await
            .sees("A sheet of another revision is superseded: do not work from it.");
    }
    // A third one makes another copy of the first.
    scene.world.pass_minutes(24 * 60);
    scene.dora = scene.world.visitor("dora").await;
    scene.sign(&[("shade.tab", "B-21")]).await.is(303);
    let tom = scene.world.visitor("tom").await;
    let words = "Superseded by revision 3, signed Tue 3 Mar 2026.";
    assert!(
        pages(&tom.get(&path).await)
            .iter()
            .all(|page| page.contains(words))
    );
}

#[tokio::test]
async fn c5_a_copy_of_a_case_that_stands_still_says_so_until_it_goes_on() {
    let scene = Scene::signed().await;
    let path = scene.at("/revisions/1/slip.pdf");
    let printed = scene.tom.get(&path).await;
    let table = [
        (
            "stop",
            "Work stopped on Mon 2 Mar 2026. Do not work from this copy.",
            "-1-stopped.pdf",
        ),
        (
            "pause",
            "Work paused on Mon 2 Mar 2026. Do not work from this copy.",
            "-1-paused.pdf",
        ),
        (
            "cancel",
            "Work canceled on Mon 2 Mar 2026. Do not work from this copy.",
            "-1-canceled.pdf",
        ),
    ];
    for (word, words, name) in table {
        decide(&scene, word).await;
        let copy = scene.tom.get(&path).await;
        let marked = pages(&copy);
        assert_eq!(marked.len(), 2);
        assert!(
            marked.iter().all(|page| page.matches(words).count() == 2),
            "{marked:?}"
        );
        assert!(name_of(&copy).contains(name), "{}", name_of(&copy));
        scene
            .tom
            .get(&scene.at("/revisions/1"))
            .await
            .sees("As it was printed");
        let as_printed = scene.tom.get(&format!("{path}?as=printed")).await;
        assert!(as_printed.is(200).body == printed.body);
    }
    decide(&scene, "go_on").await;
    assert!(scene.tom.get(&path).await.is(200).body == printed.body);
}

#[tokio::test]
async fn c5_the_code_on_an_older_sheet_says_that_it_is_superseded_to_everybody() {
    let scene = Scene::signed().await;
    let nobody = scene.world.nobody();
    let (sheet, older) = (
        format!("/C/{}/1", scene.number),
        format!("/C/{}", scene.number),
    );
    // Of what is in force nothing is told, as little as of what never was.
    let next = format!("/C/{}/2", scene.number);
    for path in [sheet.as_str(), &older, &next, "/C/C0000000X/1"] {
        let answer = nobody.get(path).await;
        assert!(matches!(answer.status.as_u16(), 303 | 400 | 404), "{path}");
    }
    for who in [&scene.tom, &scene.dora] {
        assert_eq!(who.get(&sheet).await.is(303).location(), scene.at(""));
    }
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let foreign = scene.world.person("lars");
    for stranger in [&nobody, &foreign, &scene.world.person("root")] {
        for path in [sheet.clone(), sheet.to_lowercase()] {
            let page = stranger.get(&path).await;
            page.is(200)
                .sees("Do not work from this sheet")
                .sees("Superseded by revision 2, signed Mon 2 Mar 2026.")
                .sees_not("dora");
            assert!(!page.words().contains(&scene.patient));
        }
        stranger
            .get(&older)
            .await
            .is(200)
            .sees("Revision 2 is in force. A sheet that says another revision is superseded");
        let newest = stranger.get(&format!("/C/{}/2", scene.number)).await;
        assert!(matches!(newest.status.as_u16(), 303 | 404));
    }
    // For both sides it leads to the page of the superseded revision, by the code and by the scan box.
    let page = scene.at("/revisions/1");
    let scanned = format!("HTTPS%3A%2F%2FVESTIBULE.TEST%2FC%2F{}%2F1", scene.number);
    for who in [&scene.tom, &scene.dora] {
        assert_eq!(who.get(&sheet).await.is(303).location(), page);
        let found = who.get(&format!("/find?q={scanned}")).await;
        assert_eq!(found.is(303).location(), page);
        who.get(&page).await.sees("Superseded by revision 2");
    }
    // Scanned on the page of that case's bench too.
    let at_bench = format!("/find?at={}&q={scanned}", scene.number);
    let found = scene.tom.get(&at_bench).await;
    assert_eq!(found.is(303).location(), page);
    // One of before the code named the revision is asked about, whoever scans it, and leads on by one touch.
    let scanned_older = scanned.trim_end_matches("%2F1");
    for who in [&scene.tom, &scene.dora] {
        let found = who.get(&format!("/find?q={scanned_older}")).await;
        assert_eq!(found.is(303).location(), older);
        let asked = who.get(&older).await;
        asked
            .is(200)
            .sees("Revision 2 is in force. A sheet that says another revision is superseded")
            .sees_not("Sign in");
        assert_eq!(asked.hrefs(&scene.at("")), [scene.at("")]);
    }
    let typed = scene.tom.get(&format!("/find?q={}", scene.number)).await;
    assert_eq!(typed.is(303).location(), scene.at("/bench"));
    // The code of the sheet in force leads to the work.
    let scanned = scanned.replace("%2F1", "%2F2");
    let found = scene.tom.get(&format!("/find?q={scanned}")).await;
    assert_eq!(found.is(303).location(), scene.at("/bench"));
    decide(&scene, "stop").await;
    let page = nobody.get(&format!("/C/{}/2", scene.number)).await;
    page.is(200).sees("Work stopped on Mon 2 Mar 2026.");
}
