//! Values and cases that others have published.

use crate::grown::Grown;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;
use std::path::PathBuf;
use vestibule::record::hash::{EMPTY_ROOT, Hash, leaf_hash};
use vestibule::record::key::{Signer, Verifier};
use vestibule::record::note::{NoteError, open_note, sign_note};
use vestibule::record::tree::{verify_consistency, verify_inclusion};

fn hex(text: &str) -> Vec<u8> {
    let digits: Vec<u8> = text
        .chars()
        .map(|c| c.to_digit(16).unwrap() as u8)
        .collect();
    digits
        .chunks(2)
        .map(|pair| pair[0] * 16 + pair[1])
        .collect()
}

/// The reference leaves of RFC 6962 implementations, with the roots of sizes 1 to 8 as published by
/// transparency-dev/merkle (Apache-2.0), `cmd/proofgen/main.go`, commit 417fb0c.
const REFERENCE: [(&str, &str); 8] = [
    (
        "",
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    ),
    (
        "00",
        "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    ),
    (
        "10",
        "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    ),
    (
        "2021",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    ),
    (
        "3031",
        "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    ),
    (
        "40414243",
        "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    ),
    (
        "5051525354555657",
        "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    ),
    (
        "606162636465666768696a6b6c6d6e6f",
        "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
    ),
];

#[test]
fn roots_of_the_reference_leaves() {
    let leaves: Vec<Vec<u8>> = REFERENCE.iter().map(|(leaf, _)| hex(leaf)).collect();
    let grown = Grown::of(&leaves);
    for (size, (_, root)) in (1..).zip(REFERENCE) {
        assert_eq!(grown.root_at(size).to_string(), root, "size {size}");
    }
}

#[test]
fn hashes_of_nothing_and_of_a_leaf() {
    // transparency-dev/merkle (Apache-2.0), `rfc6962/rfc6962_test.go`, commit 417fb0c.
    assert_eq!(
        EMPTY_ROOT.to_string(),
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    );
    assert_eq!(
        leaf_hash(b"L123456").to_string(),
        "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"
    );
}

#[test]
fn keys_are_those_of_rfc_8032() {
    // RFC 8032, section 7.1, tests 1 to 3: secret key, public key. Their messages are no notes: the signatures
    // are compared in `src/record/key.rs`.
    for (secret, public) in [
        (
            "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        ),
        (
            "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        ),
        (
            "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
            "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        ),
    ] {
        let seed = hex(secret).try_into().unwrap();
        let key = Signer::log("x", &seed).unwrap();
        let written = key.verifier().to_string();
        // The byte in front names the kind of key, as C2SP signed-note wants it.
        let wanted = STANDARD.encode([vec![1], hex(public)].concat());
        assert!(written.ends_with(&format!("+{wanted}")), "{written}");
    }
}

#[test]
fn the_example_of_the_signed_note_standard() {
    // C2SP signed-note (CC BY 4.0), v1.0.0, section Example.
    let key = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k";
    let note = "This is an example message.\n\n— example.com/foo Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=\n";
    let verifier = Verifier::parse(key).unwrap();
    assert_eq!(verifier.to_string(), key);
    let opened = open_note(note, &[&verifier]).unwrap();
    assert_eq!(opened.text, "This is an example message.\n");
    let changed = note.replace("example message", "exemple message");
    assert_eq!(
        open_note(&changed, &[&verifier]),
        Err(NoteError::Signature("example.com/foo".to_owned()))
    );
    // Its key is public only; a key of ours with the same text signs otherwise.
    let other = Signer::log("example.com/foo", &[1; 32]).unwrap();
    assert_ne!(
        sign_note("This is an example message.\n", &other).unwrap(),
        note
    );
}

#[test]
fn canonical_form_of_rfc_8785() {
    // RFC 8785, section 3.2.2 (the sample object) and 3.2.4 (its canonical form).
    let sample = r#"{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"#;
    let canonical = r#"{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}"#;
    let value: Value = serde_json::from_str(sample).unwrap();
    assert_eq!(
        serde_json_canonicalizer::to_string(&value).unwrap(),
        canonical
    );
}

/// A file of published cases, where the folder with them is given.
fn cases(file: &str) -> Option<Vec<Value>> {
    let folder = PathBuf::from(std::env::var_os("VESTIBULE_TEST_VECTORS")?);
    let text = std::fs::read_to_string(folder.join(file)).unwrap();
    let value: Value = serde_json::from_str(&text).unwrap();
    let cases = value["cases"].as_array().unwrap().clone();
    assert_eq!(cases.len(), 98, "{file}");
    Some(cases)
}

/// A hash of a case; `None` where it has another length than a hash.
fn hash(case: &Value, key: &str) -> Option<Hash> {
    Hash::from_slice(&STANDARD.decode(case[key].as_str().unwrap()).unwrap())
}

fn proof(case: &Value) -> Option<Vec<Hash>> {
    let hashes = case["proof"].as_array().cloned().unwrap_or_default();
    let read = |hash: &Value| Hash::from_slice(&STANDARD.decode(hash.as_str()?).ok()?);
    hashes.iter().map(read).collect()
}

// The cases of transparency-dev/merkle (Apache-2.0), testdata/inclusion and testdata/consistency, commit
// 417fb0c, 98 of each.

#[test]
fn every_published_inclusion_case_is_answered_as_published() {
    for case in cases("merkle_inclusion.json").unwrap_or_default() {
        let number = |key: &str| case[key].as_u64().unwrap();
        let fits = || {
            let (leaf, root) = (hash(&case, "leafHash")?, hash(&case, "root")?);
            let (index, size) = (number("leafIdx"), number("treeSize"));
            verify_inclusion(&leaf, index, size, &proof(&case)?, &root).ok()
        };
        let wanted = !case["wantErr"].as_bool().unwrap();
        assert_eq!(fits().is_some(), wanted, "{case}");
    }
}

#[test]
fn every_published_consistency_case_is_answered_as_published() {
    for case in cases("merkle_consistency.json").unwrap_or_default() {
        // Its root is a word of 12 bytes in place of a hash, which has no place in a type of 32 bytes.
        if case["desc"] == "sizes are equal (one) and proof is empty" {
            assert_eq!(hash(&case, "root1"), None);
            continue;
        }
        let number = |key: &str| case[key].as_u64().unwrap();
        let fits = || {
            let (old, new) = (hash(&case, "root1")?, hash(&case, "root2")?);
            let (old_size, new_size) = (number("size1"), number("size2"));
            verify_consistency(old_size, new_size, &proof(&case)?, &old, &new).ok()
        };
        let wanted = !case["wantErr"].as_bool().unwrap();
        assert_eq!(fits().is_some(), wanted, "{case}");
    }
}
