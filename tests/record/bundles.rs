//! The folder for a third person: it holds, every change in it is named, and its own instructions work.

use crate::facts::{an_event, case};
use crate::grown::{Grown, ORIGIN, log_key, witness_key};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::process::Command;
use vestibule::record::bundle::{Bundle, BundleLeaf, Files, Older, Report, verify};
use vestibule::record::entry::Entry;
use vestibule::record::hash::leaf_hash;
use vestibule::record::key::{Signer, Verifier};
use vestibule::record::leaf::{Sealed, salts_from};
use vestibule::record::note::{cosign, text_of, with_line};
use vestibule::record::words::PaperRoot;

const SIZE: u64 = 13;
const OLD: u64 = 6;

struct Story {
    grown: Grown,
    bundle: Bundle,
}

/// Thirteen events, of which three are of the case in question; an earlier paper had six.
fn story() -> Story {
    let mut salts = salts_from([5; 32]);
    let facts: Vec<(Entry, Sealed)> = (0..SIZE)
        .map(|n| {
            let entry = Entry::event(&an_event(&format!("note {n}"))).unwrap();
            let sealed = entry.seal(&mut salts).unwrap();
            (entry, sealed)
        })
        .collect();
    let bytes: Vec<Vec<u8>> = facts
        .iter()
        .map(|(_, sealed)| sealed.bytes.clone())
        .collect();
    let grown = Grown::of(&bytes);
    let leaf = |index: usize| {
        let (entry, sealed) = &facts[index];
        BundleLeaf {
            index: index as u64,
            bytes: sealed.bytes.clone(),
            proof: grown.inclusion(index as u64, SIZE),
            value: entry.value.clone(),
            salts: sealed.salts.clone(),
        }
    };
    let note = grown.checkpoint();
    let line = cosign(text_of(&note).unwrap(), &witness_key(), 1_772_438_400).unwrap();
    let bundle = Bundle {
        case: case().to_string(),
        key: log_key().verifier().clone(),
        witnesses: vec![witness_key().verifier().clone()],
        checkpoint: with_line(&note, &line).unwrap(),
        leaves: [2, 7, 12].map(leaf).to_vec(),
        older: Some(Older {
            size: OLD,
            root: grown.root_at(OLD),
            proof: grown.consistency(OLD, SIZE),
        }),
    };
    Story { grown, bundle }
}

fn check(files: &Files) -> Report {
    verify(files, Some(log_key().verifier()), None)
}

fn first_fault(files: &Files) -> (String, String) {
    let report = check(files);
    let fault = report.first_fault().unwrap();
    (fault.file.clone(), fault.sentence.clone())
}

fn sentence<'a>(report: &'a Report, file: &str) -> &'a str {
    let line = report.lines.iter().find(|line| line.file == file);
    &line.unwrap().sentence
}

fn replaced(files: &Files, file: &str, from: &str, to: &str) -> Files {
    let mut files = files.clone();
    let text = String::from_utf8(files[file].clone()).unwrap();
    assert!(text.contains(from), "{file} has {from}");
    files.insert(file.to_owned(), text.replacen(from, to, 1).into_bytes());
    files
}

#[test]
fn a_whole_folder_holds_and_every_file_has_its_sentence() {
    let story = story();
    let files = story.bundle.files();
    let report = check(&files);
    assert!(report.holds(), "{report:#?}");
    let mut named: Vec<&String> = report.lines.iter().map(|line| &line.file).collect();
    named.sort();
    assert_eq!(named, files.keys().collect::<Vec<_>>());
    assert!(sentence(&report, "log.vkey").ends_with("that was given."));
    let checkpoint = sentence(&report, "checkpoint.txt");
    assert!(checkpoint.starts_with(&format!("{ORIGIN} signed 13 entries with root ")));
    assert!(checkpoint.ends_with("; lab.vestibule.example keeps it too."));
    assert_eq!(
        sentence(&report, "leaf-00000007.json"),
        format!(
            "Entry 7, event of case {}, is in the record.",
            case().as_str()
        )
    );
    assert_eq!(
        sentence(&report, "growth.txt"),
        "The record begins with the 6 entries of older.txt, unchanged."
    );
    assert_eq!(files, story.bundle.files());
}

#[test]
fn a_key_from_the_folder_alone_is_said_to_prove_little() {
    let files = story().bundle.files();
    let report = verify(&files, None, None);
    assert!(report.holds());
    assert!(sentence(&report, "log.vkey").ends_with("compare it with a paper."));
}

#[test]
fn another_key_than_the_printed_one_is_named() {
    let mut story = story();
    // Somebody signs the same tree again with a key of their own.
    let forger = Signer::log(ORIGIN, &[66; 32]).unwrap();
    let text = text_of(&story.bundle.checkpoint).unwrap();
    story.bundle.checkpoint = vestibule::record::note::sign_note(text, &forger).unwrap();
    story.bundle.key = forger.verifier().clone();
    story.bundle.witnesses.clear();
    let files = story.bundle.files();
    assert!(
        verify(&files, None, None).holds(),
        "it agrees with its own key"
    );
    let (file, sentence) = first_fault(&files);
    assert_eq!(file, "log.vkey");
    assert!(sentence.contains("not the key"), "{sentence}");
    assert!(verify(&files, Some(forger.verifier()), None).holds());
}

#[test]
fn papers_of_both_sizes_are_found_in_the_folder() {
    let story = story();
    let files = story.bundle.files();
    let whole = |size| PaperRoot::new(size, &story.grown.root_at(size)).to_string();
    let with = |paper: &str| verify(&files, None, Some(&PaperRoot::parse(paper).unwrap()));
    let said = |report: &Report| {
        report
            .lines
            .iter()
            .map(|line| line.sentence.clone())
            .collect::<Vec<_>>()
    };
    for size in [OLD, SIZE] {
        let report = with(&whole(size));
        assert!(report.holds(), "{report:#?}");
        assert!(said(&report).contains(&"Its root is the one on the paper.".to_owned()));
        let report = with(&whole(size)[..whole(size).len() - 40]);
        assert!(report.holds());
        let words = said(&report).join("\n");
        assert!(
            words.contains("begins with the 29 digits")
                || words.contains("begins with the 28 digits"),
            "{words}"
        );
    }
    let other = with(&format!("{OLD}:0123456789abcdef"));
    assert_eq!(
        other.first_fault().unwrap().sentence,
        "The paper has another root for 6 entries."
    );
    let strange = with("9:0123456789abcdef");
    let fault = strange.first_fault().unwrap();
    assert!(
        fault
            .sentence
            .starts_with("Nothing here leads to the paper: it has 9 entries")
    );
}

#[test]
fn a_record_rewritten_after_the_paper_is_found() {
    let story = story();
    let paper = PaperRoot::new(OLD, &story.grown.root_at(OLD));
    // The owner of the server changes entry 2, and signs and proves all again.
    let mut bytes: Vec<Vec<u8>> = crate::grown::entries(SIZE);
    bytes[2] = b"rewritten".to_vec();
    let rewritten = Grown::of(&bytes);
    let leaf = BundleLeaf {
        index: 2,
        bytes: bytes[2].clone(),
        proof: rewritten.inclusion(2, SIZE),
        value: Value::Null,
        salts: Default::default(),
    };
    let mut bundle = Bundle {
        checkpoint: rewritten.checkpoint(),
        leaves: vec![leaf],
        witnesses: Vec::new(),
        older: Some(Older {
            size: OLD,
            root: rewritten.root_at(OLD),
            proof: rewritten.consistency(OLD, SIZE),
        }),
        ..story.bundle
    };
    let key = log_key().verifier().clone();
    let fault_of = |bundle: &Bundle| {
        let report = verify(&bundle.files(), Some(&key), Some(&paper));
        report.first_fault().unwrap().clone()
    };
    assert_eq!(
        fault_of(&bundle).sentence,
        "The paper has another root for 6 entries."
    );
    bundle.older.as_mut().unwrap().root = story.grown.root_at(OLD);
    assert_eq!(fault_of(&bundle).file, "growth.txt");
    assert_eq!(
        fault_of(&bundle).sentence,
        "The older record is not contained in the newer one."
    );
}

#[test]
fn erased_texts_leave_the_folder_whole() {
    let mut story = story();
    let leaf = &mut story.bundle.leaves[1];
    for path in ["/event/by/name", "/event/what/note"] {
        *leaf.value.pointer_mut(path).unwrap() = json!("");
        leaf.salts.remove(path);
    }
    let report = check(&story.bundle.files());
    assert!(report.holds(), "{report:#?}");
    assert!(sentence(&report, "leaf-00000007.texts.json").starts_with("2 texts have been erased"));
    let mut files = story.bundle.files();
    files.remove("leaf-00000002.texts.json");
    let report = check(&files);
    assert!(report.holds(), "an entry stands without its texts");
    assert!(
        sentence(&report, "leaf-00000002.texts.json")
            .starts_with("This file is missing: the entry stands")
    );
}

#[test]
fn every_missing_file_is_named() {
    let files = story().bundle.files();
    for (missing, named) in [
        ("log.vkey", "log.vkey"),
        ("checkpoint.txt", "checkpoint.txt"),
        ("older.txt", "older.txt"),
        ("growth.txt", "growth.txt"),
        ("leaf-00000007.json", "leaf-00000007.json"),
        ("leaf-00000007.tlog-proof", "leaf-00000007.tlog-proof"),
    ] {
        let mut files = files.clone();
        files.remove(missing);
        let wanted = (named.to_owned(), "This file is missing.".to_owned());
        assert_eq!(first_fault(&files), wanted);
    }
    let mut empty = files.clone();
    empty.retain(|name, _| !name.starts_with("leaf-"));
    assert_eq!(first_fault(&empty).1, "There is no entry in this folder.");
    assert!(!check(&Files::new()).holds());
}

#[test]
fn r23_a_texts_file_that_says_more_than_its_entry_does_not_fit() {
    let files = story().bundle.files();
    let name = "leaf-00000007.texts.json";
    let text = String::from_utf8(files[name].clone()).unwrap();
    let first = text.replacen('{', "{ \"remark\": \"All was sound.\",", 1);
    let twice = text.replacen('{', "{ \"value\": {},", 1);
    let spread = text.replace('\n', "");
    for changed in [first, twice, spread] {
        assert_ne!(changed, text);
        let mut files = files.clone();
        files.insert(name.to_owned(), changed.into_bytes());
        let (file, sentence) = first_fault(&files);
        assert_eq!(file, name);
        assert!(sentence.contains("not as it was written"), "{sentence}");
    }
}

#[test]
fn what_is_changed_is_named_with_its_file() {
    let files = story().bundle.files();
    let (proof, entry) = ("leaf-00000007.tlog-proof", "leaf-00000007.json");
    let texts = "leaf-00000007.texts.json";
    for (file, from, to, named, sentence) in [
        ("log.vkey", ORIGIN, "other.example", "log.vkey", "mistyped"),
        ("witnesses.vkey", "+", "", "witnesses.vkey", "is written as"),
        (
            "checkpoint.txt",
            "\n13\n",
            "\n12\n",
            "checkpoint.txt",
            "does not fit this text",
        ),
        ("older.txt", "6:", "5:", "growth.txt", "and older.txt at 5"),
        (
            "growth.txt",
            "old 6",
            "old 7",
            "growth.txt",
            "begins at 7 entries",
        ),
        (proof, "index 7", "index 8", proof, "proof of entry 8"),
        (
            proof,
            "\n13\n",
            "\n12\n",
            proof,
            "another than in checkpoint.txt",
        ),
        (entry, "false", "true", entry, "is not in the record"),
        (texts, "note 7", "note 8", texts, "/event/what/note"),
        (texts, "\"salts\"", "\"salt\"", texts, "no value and salts"),
        (texts, "{", "", texts, "is no JSON"),
    ] {
        let wrong = replaced(&files, file, from, to);
        let (found, said) = first_fault(&wrong);
        assert_eq!(found, named, "{said}");
        assert!(said.contains(sentence), "{file}: {said}");
    }
    // What people may do to a root that they copy changes nothing.
    assert!(check(&replaced(&files, "older.txt", " ", "")).holds());
}

#[test]
fn files_of_other_people_are_passed_over() {
    let mut files = story().bundle.files();
    files.insert("photo.jpg".to_owned(), vec![0xff, 0xd8]);
    files.insert("leaf-x.json".to_owned(), vec![0xff]);
    let report = check(&files);
    assert!(report.holds());
    assert_eq!(sentence(&report, "photo.jpg"), "This file was not checked.");
    files.insert("checkpoint.txt".to_owned(), vec![0xff]);
    assert_eq!(first_fault(&files).1, "This file is not text in UTF-8.");
}

proptest! {
    #[test]
    fn a_changed_bit_of_entry_proof_checkpoint_or_growth_is_found(
        which in 0_usize..4, place in any::<prop::sample::Index>(), bit in 0..8_u8,
    ) {
        let mut files = story().bundle.files();
        let file = ["leaf-00000007.json", "leaf-00000007.tlog-proof", "checkpoint.txt", "growth.txt"][which];
        let bytes = files.get_mut(file).unwrap();
        let place = place.index(bytes.len());
        bytes[place] ^= 1 << bit;
        let report = check(&files);
        let fault = report.first_fault();
        // The witness's line names its key; with another name it is a witness that is not known here, and the
        // checkpoint is then another one than in the proofs.
        prop_assert!(fault.is_some(), "{file} {place} {bit}");
    }

    #[test]
    fn no_content_panics(name in prop::sample::select(vec![
        "log.vkey", "witnesses.vkey", "checkpoint.txt", "older.txt", "growth.txt", "leaf-00000007.json",
        "leaf-00000007.tlog-proof", "leaf-00000007.texts.json", "leaf-.json",
    ]), bytes in prop::collection::vec(any::<u8>(), 0..60)) {
        let mut files = story().bundle.files();
        files.insert(name.to_owned(), bytes);
        let _report = check(&files);
    }
}

/// The indented lines of the instructions, as commands.
fn commands(readme: &str) -> String {
    let commands = readme.lines().filter_map(|line| line.strip_prefix("    "));
    commands.map(|line| format!("{line}\n")).collect()
}

fn follow_the_readme(files: &Files) -> (bool, String) {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    }
    let readme = str::from_utf8(&files["README.txt"]).unwrap();
    let script = format!("set -e\n{}", commands(readme));
    let done = Command::new("sh")
        .arg("-c")
        .arg(script)
        .current_dir(folder.path())
        .output()
        .unwrap();
    let said = [done.stdout, done.stderr].concat();
    (done.status.success(), String::from_utf8(said).unwrap())
}

/// With openssl and coreutils in place of our own code.
#[test]
fn r17_the_instructions_in_the_folder_work_by_themselves() {
    let mut story = story();
    for leaf in story.bundle.leaves.clone() {
        story.bundle.leaves = vec![leaf];
        let (fine, said) = follow_the_readme(&story.bundle.files());
        assert!(fine, "{said}");
        for words in [
            "The id ",
            "Signature Verified Successfully",
            "The entry is in the record.",
            "The text is what the entry stands for.",
            "begins with that of the older paper",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
        let digits: String = story.grown.root().to_string();
        let dump: String = said.split_whitespace().collect();
        assert!(dump.contains(&digits), "{said}");
    }
    let files = story.bundle.files();
    let name = story.bundle.key.name().to_owned();
    for (file, from, to, words) in [
        (
            "leaf-00000012.json",
            "false",
            "true",
            "The entry is NOT in the record.",
        ),
        ("checkpoint.txt", "\n13\n", "\n12\n", ""),
        // An index beyond the size, and one that is not the file's own.
        (
            "leaf-00000012.tlog-proof",
            "index 12",
            "index 13",
            "The entry is NOT in the record.",
        ),
        (
            "leaf-00000012.tlog-proof",
            "index 12",
            "index 28",
            "The entry is NOT in the record.",
        ),
        (
            "log.vkey",
            name.as_str(),
            "another.example/record",
            "The id is NOT the key's.",
        ),
        ("older.txt", ":", ":0", "does NOT begin"),
    ] {
        let (fine, said) = follow_the_readme(&replaced(&files, file, from, to));
        assert!(!fine && said.contains(words), "{file}, {from}: {said}");
    }
    let readme = str::from_utf8(&files["README.txt"]).unwrap();
    let line = readme
        .lines()
        .find(|line| line.starts_with("    text="))
        .unwrap();
    let (fine, said) =
        follow_the_readme(&replaced(&files, "README.txt", line, "    text='another'"));
    assert!(!fine && said.contains("The text is NOT"), "{said}");
}

/// Growth between any two sizes of a record, by the lines of the instructions alone.
#[test]
fn r17_the_growth_of_any_two_sizes_is_followed_by_the_instructions() {
    let story = story();
    for old in 1..=SIZE {
        let mut bundle = story.bundle.clone();
        bundle.older = Some(Older {
            size: old,
            root: story.grown.root_at(old),
            proof: story.grown.consistency(old, SIZE),
        });
        let (fine, said) = follow_the_readme(&bundle.files());
        assert!(
            fine && said.contains("begins with that of the older paper"),
            "{old}: {said}"
        );
        let Some(older) = &mut bundle.older else {
            panic!()
        };
        let Some(hash) = older.proof.last_mut() else {
            continue;
        };
        *hash = leaf_hash(b"another");
        let (fine, said) = follow_the_readme(&bundle.files());
        assert!(!fine && said.contains("does NOT begin"), "{old}: {said}");
    }
}

#[test]
fn the_readme_names_case_record_and_key() {
    let story = story();
    let files = story.bundle.files();
    let readme = str::from_utf8(&files["README.txt"]).unwrap();
    let id = Verifier::id(log_key().verifier()).to_string();
    for word in [
        case().to_string(),
        ORIGIN.to_owned(),
        id,
        "n=00000002".to_owned(),
    ] {
        assert!(readme.contains(&word), "{word}");
    }
    for name in files.keys().filter(|name| !name.starts_with("leaf-")) {
        assert!(
            readme.contains(name.as_str()) || name == "README.txt",
            "{name}"
        );
    }
    assert!(!readme.contains("{case}") && !readme.contains("{leaf}"));
}
