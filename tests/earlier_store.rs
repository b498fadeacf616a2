//! A store that an earlier version filled, and what that version said of it: everything in it is read and
//! written again to the same bytes, what it proved holds, and what it printed has the same words today.
//!
//! `tests/data/earlier_store.tar.xz` holds the database and its key, a folder of proofs for each case, the
//! words of each slip as `pdftotext -layout` gave them, and a SHA-256 for each leaf (as it stands in the
//! tree, RFC 9162), each event's and each revision's stored text. Among the cases are those of the demo and
//! one that went through all kinds of event.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test says what it expects and falls over when it is wrong"
)]

#[path = "pdf_text/mod.rs"]
mod pdf_text;

use pdf_text::{LAYOUT, text_of};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::Permissions;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use tempfile::TempDir;
use vestibule::app::examine::examine;
use vestibule::app::print_sheet::slip_for;
use vestibule::app::recorded::{about_revision, entry_about};
use vestibule::app::{App, Settings};
use vestibule::clock::Outside;
use vestibule::domain::custody::ERASED;
use vestibule::domain::custody::Event;
use vestibule::domain::custody::case::Case;
use vestibule::domain::custody::item::Item;
use vestibule::domain::prescription::revision::{Document, Revision};
use vestibule::domain::values::digest::sha256_hex;
use vestibule::keyring;
use vestibule::record::bundle::{Files, verify};
use vestibule::record::entry::{Entry, LeafKind};
use vestibule::record::hash::leaf_hash;
use vestibule::record::leaf::{Salt, Salts, salts_from_json};
use vestibule::store::record::{LeafRow, leaves_from};
use vestibule::store::{Connection, Store, cases, custody, lists, parties, revisions};

/// Every kind of event that the earlier version knew.
const KINDS: [&str; 20] = [
    "brought_back",
    "closed",
    "corrected",
    "destroyed",
    "disinfected",
    "erased",
    "fitted",
    "given",
    "given_back",
    "moved",
    "received",
    "registered",
    "released",
    "reopened",
    "settled",
    "taken_out",
    "used_up",
    "voided",
    "withheld",
    "written_off",
];

/// The store as it was left, opened by the program of today.
struct Earlier {
    folder: TempDir,
    app: App,
}

impl Earlier {
    async fn opened() -> Earlier {
        let packed = std::fs::read("tests/data/earlier_store.tar.xz").unwrap();
        let mut archive = Vec::new();
        lzma_rs::xz_decompress(&mut packed.as_slice(), &mut archive).unwrap();
        let folder = tempfile::tempdir().unwrap();
        tar::Archive::new(archive.as_slice())
            .unpack(folder.path())
            .unwrap();
        let at = folder.path().join("earlier_store");
        let key_file = at.join("record.key");
        // Then a key was taken whoever else could read it.
        std::fs::set_permissions(&key_file, Permissions::from_mode(0o600)).unwrap();
        let key = keyring::read(&key_file).unwrap().unwrap();
        let address = Store::sqlite_address(&at.join("vestibule.sqlite"));
        let settings = Settings {
            over_tls: false,
            address: "http://127.0.0.1".to_owned(),
            notice: None,
        };
        let store = Store::open(&address, key).await.unwrap();
        Earlier {
            folder,
            app: App::new(store, Outside::system(), settings),
        }
    }

    fn at(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join("earlier_store").join(name)
    }

    /// The sums of one kind, by what they are of.
    fn sums(&self, kind: &str) -> BTreeMap<String, String> {
        let text = std::fs::read_to_string(self.at("sums.txt")).unwrap();
        let lines = text.lines().map(|line| line.split(' ').collect::<Vec<_>>());
        let of_kind = lines.filter(|words| words[0] == kind);
        of_kind
            .map(|words| (words[1].to_owned(), words[2].to_owned()))
            .collect()
    }

    async fn conn(&self) -> impl std::ops::DerefMut<Target = Connection> {
        self.app.store.read().await.unwrap()
    }

    async fn cases(&self) -> Vec<Case> {
        let mut conn = self.conn().await;
        cases::all_cases(&mut conn, 1000, 0).await.unwrap()
    }

    async fn revisions(&self) -> Vec<Revision> {
        let (mut conn, mut found) = (self.conn().await, Vec::new());
        for case in self.cases().await {
            let of_case = revisions::of_case(&mut conn, &case.number).await;
            found.extend(of_case.unwrap());
        }
        found
    }

    async fn leaves(&self) -> Vec<LeafRow> {
        leaves_from(&mut *self.conn().await, 0, 100_000)
            .await
            .unwrap()
    }
}

/// The files of a folder by their names.
fn files_of(folder: &Path) -> Files {
    let entries = std::fs::read_dir(folder).unwrap().map(|one| one.unwrap());
    entries
        .map(|one| {
            let name = one.file_name().into_string().unwrap();
            (name, std::fs::read(one.path()).unwrap())
        })
        .collect()
}

#[tokio::test]
async fn it_opens_and_everything_in_it_fits() {
    let earlier = Earlier::opened().await;
    let examined = examine(&earlier.app, None).await.unwrap();
    assert_eq!(examined.faults, [], "{examined:?}");
    assert_eq!(examined.leaves as usize, earlier.sums("leaf").len());
    assert_eq!(examined.events as usize, earlier.sums("event").len());
    assert!(examined.witnessed > 4 && examined.erased > 0 && examined.beside > 30);
    let mut conn = earlier.conn().await;
    let mut loaded = 0;
    for party in parties::all(&mut conn).await.unwrap() {
        let of_party = lists::of_party(&mut conn, &party.id).await.unwrap();
        loaded += of_party.iter().map(|list| list.version).sum::<i64>();
    }
    assert_eq!(loaded, 8, "six lists, two of them loaded again");
}

#[tokio::test]
async fn each_event_and_item_is_read_and_written_again_to_the_same_bytes() {
    let earlier = Earlier::opened().await;
    let (mut sums, mut kinds) = (earlier.sums("event"), BTreeSet::new());
    let mut conn = earlier.conn().await;
    for case in earlier.cases().await {
        for row in custody::stored_events_of(&mut conn, &case.number)
            .await
            .unwrap()
        {
            let event: Event = serde_json::from_str(&row.body).unwrap();
            assert_eq!(
                serde_json_canonicalizer::to_string(&event).unwrap(),
                row.body
            );
            assert_eq!(Some(sha256_hex(row.body.as_bytes())), sums.remove(&row.id));
            kinds.insert(row.kind);
        }
        for row in custody::stored_items_of(&mut conn, &case.number)
            .await
            .unwrap()
        {
            let item: Item = serde_json::from_str(&row.body).unwrap();
            // An item is stored in the order of its fields, and after an erasing in the canonical one.
            let written = match item.note.as_str() {
                ERASED => serde_json_canonicalizer::to_string(&item).unwrap(),
                _ => serde_json::to_string(&item).unwrap(),
            };
            assert_eq!(written, row.body);
        }
    }
    assert!(sums.is_empty(), "no longer there: {sums:?}");
    assert_eq!(kinds.iter().map(String::as_str).collect::<Vec<_>>(), KINDS);
}

#[tokio::test]
async fn each_signed_text_is_read_and_written_again_to_the_same_bytes() {
    let earlier = Earlier::opened().await;
    let mut sums = earlier.sums("revision");
    for revision in earlier.revisions().await {
        let document = Document::from_canonical(&revision.document).unwrap();
        assert_eq!(document.canonical().unwrap(), revision.document);
        let name = about_revision(&revision.case, revision.number);
        let sum = sha256_hex(revision.document.as_bytes());
        assert_eq!(Some(sum), sums.remove(&name), "{name}");
    }
    assert!(sums.is_empty(), "no longer there: {sums:?}");
}

/// The leaf that the program of today makes of an entry, with the salts that were drawn then.
fn sealed_again(entry: &Entry, salts: &Salts) -> String {
    // Sealing tells by the salts that it takes in which order it comes to the texts.
    let counted = entry.seal(&mut (0_u128..).map(u128::to_be_bytes)).unwrap();
    let places = counted.salts.into_iter();
    let places: BTreeMap<Salt, String> = places.map(|(place, number)| (number, place)).collect();
    let mut drawn = places.values().map(|place| salts[place]);
    String::from_utf8(entry.seal(&mut drawn).unwrap().bytes).unwrap()
}

#[tokio::test]
async fn each_leaf_is_made_again_to_the_same_bytes() {
    let earlier = Earlier::opened().await;
    let cases: BTreeMap<String, Case> = earlier
        .cases()
        .await
        .into_iter()
        .map(|case| (case.number.as_str().to_owned(), case))
        .collect();
    let mut sums = earlier.sums("leaf");
    let (mut conn, mut made) = (earlier.conn().await, BTreeMap::new());
    for leaf in earlier.leaves().await {
        let sum = leaf_hash(leaf.body.as_bytes()).to_string();
        assert_eq!(Some(sum), sums.remove(&leaf.number.to_string()));
        let value: serde_json::Value = serde_json::from_str(&leaf.body).unwrap();
        assert_eq!(
            serde_json_canonicalizer::to_string(&value).unwrap(),
            leaf.body
        );
        let kind = LeafKind::from_word(&leaf.kind).unwrap();
        let Some(case) = cases.get(&leaf.case) else {
            continue;
        };
        let entry = entry_about(&mut conn, case, kind, &leaf.about)
            .await
            .unwrap();
        let salts = serde_json::from_str(leaf.salts.as_deref().unwrap_or("{}")).unwrap();
        let salts = salts_from_json(&salts).unwrap();
        let count: &mut [usize; 2] = made.entry(leaf.kind.clone()).or_default();
        // Where a text was erased, its salt is gone, and the commitment can be made by nobody.
        let is_whole = leaf.body.matches("\"committed\"").count() == salts.len();
        count[usize::from(!is_whole)] += 1;
        if is_whole {
            assert_eq!(sealed_again(&entry.unwrap(), &salts), leaf.body);
        }
    }
    assert!(sums.is_empty(), "no longer there: {sums:?}");
    assert_eq!(made.len(), 5, "{made:?}");
    // One note was erased, which stands in the leaf of its item and in that of the registration.
    let without: usize = made.values().map(|[_, erased]| erased).sum();
    assert_eq!(without, 2, "{made:?}");
}

#[tokio::test]
async fn each_proof_of_then_holds() {
    let earlier = Earlier::opened().await;
    let mut proven = 0;
    for case in earlier.cases().await {
        let files = files_of(&earlier.at("proofs").join(case.number.as_str()));
        let report = verify(&files, Some(earlier.app.store.key()), None);
        assert!(report.holds(), "{}: {report:#?}", case.number);
        proven += files
            .keys()
            .filter(|name| name.ends_with(".tlog-proof"))
            .count();
    }
    assert_eq!(
        proven,
        earlier
            .leaves()
            .await
            .iter()
            .filter(|leaf| leaf.case.starts_with('C'))
            .count()
    );
}

/// What stands on a PDF, set as on paper. How many spaces lie between the words is the tool's to say.
fn words_of(pdf: &[u8]) -> Vec<String> {
    words_in(&text_of(pdf, LAYOUT))
}

fn words_in(text: &str) -> Vec<String> {
    text.split_whitespace().map(str::to_owned).collect()
}

#[tokio::test]
async fn each_slip_has_the_words_that_it_had_then() {
    let earlier = Earlier::opened().await;
    let revisions = earlier.revisions().await;
    for revision in &revisions {
        let (case, number) = (revision.case.as_str(), revision.number);
        let name = format!("slips/{case}-{number}.txt");
        let then = std::fs::read_to_string(earlier.at(&name)).unwrap();
        let pdf = slip_for(&earlier.app, case, Some(number), None, true).await;
        let (now, then) = (words_of(&pdf.unwrap()), words_in(&then));
        let differs = now.iter().zip(&then).position(|(now, then)| now != then);
        let at = differs.unwrap_or(now.len().min(then.len()));
        let context =
            |words: &[String]| words[at.saturating_sub(8)..(at + 8).min(words.len())].join(" ");
        assert!(
            now == then,
            "{name}: “{}” was “{}”",
            context(&now),
            context(&then)
        );
    }
    assert!(revisions.len() > 15 && revisions.iter().any(|one| one.number == 2));
}

#[tokio::test]
async fn c5_a_slip_of_then_that_is_superseded_is_marked_when_it_is_printed_now() {
    let earlier = Earlier::opened().await;
    let revisions = earlier.revisions().await;
    let is_older = |one: &&Revision| {
        let newer = |other: &Revision| other.case == one.case && other.number > one.number;
        revisions.iter().any(newer)
    };
    let older: Vec<&Revision> = revisions.iter().filter(is_older).collect();
    assert!(!older.is_empty());
    for one in older {
        let (case, number) = (one.case.as_str(), Some(one.number));
        let copy = slip_for(&earlier.app, case, number, None, false)
            .await
            .unwrap();
        let again = slip_for(&earlier.app, case, number, None, false)
            .await
            .unwrap();
        assert!(copy == again);
        let words = words_of(&copy).join(" ");
        let marks = words.matches("Do not work from this copy.").count();
        let printed = slip_for(&earlier.app, case, number, None, true)
            .await
            .unwrap();
        // On the top and at the foot of each page.
        assert!(marks >= 2 && marks.is_multiple_of(2), "{words}");
        assert!(
            !words_of(&printed)
                .join(" ")
                .contains("Do not work from this copy.")
        );
    }
}
