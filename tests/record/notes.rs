//! Keys, signed notes, checkpoints and proof files, held against another implementation and changed bytes.

use crate::grown::{Grown, ORIGIN, entries, log_key, witness_key};
use proptest::prelude::*;
use signed_note::{Note, StandardVerifier, VerifierList};
use vestibule::record::checkpoint::{Checkpoint, CheckpointError};
use vestibule::record::hash::{EMPTY_ROOT, Hash};
use vestibule::record::key::{KeyError, KeyKind, Signer, Verifier};
use vestibule::record::note::{NoteError, cosign, open_note, sign_note, with_line};
use vestibule::record::proof::{GrowthProof, InclusionProof, ProofError};

fn some_text() -> impl Strategy<Value = String> {
    prop::collection::vec("[^\\p{Cc}]{0,20}", 1..6)
        .prop_map(|lines| lines.iter().map(|line| format!("{line}\n")).collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn notes_and_keys_are_read_by_another_implementation(text in some_text(), seed in any::<[u8; 32]>()) {
        let key = Signer::log("a.example/log", &seed).unwrap();
        let vkey = key.verifier().to_string();
        prop_assert_eq!(&Verifier::parse(&vkey).unwrap(), key.verifier());
        let note = sign_note(&text, &key).unwrap();
        let known = VerifierList::new(vec![Box::new(StandardVerifier::new(&vkey).unwrap())]);
        let read = Note::from_bytes(note.as_bytes()).unwrap();
        let (fits, unknown) = read.verify(&known).unwrap();
        prop_assert_eq!((read.text(), fits.len(), unknown.len()), (text.as_bytes(), 1, 0));
        let opened = open_note(&note, &[key.verifier()]).unwrap();
        prop_assert_eq!((opened.text, opened.signed.len(), opened.unknown), (text, 1, 0));
    }

    #[test]
    fn a_changed_bit_of_a_note_is_refused(text in some_text(), place in any::<prop::sample::Index>(), bit in 0..8_u8) {
        let key = log_key();
        let mut bytes = sign_note(&text, &key).unwrap().into_bytes();
        let place = place.index(bytes.len());
        bytes[place] ^= 1 << bit;
        // What is no UTF-8 any more is no text to begin with.
        if let Ok(note) = String::from_utf8(bytes) {
            prop_assert!(open_note(&note, &[key.verifier()]).is_err(), "{note}");
        }
    }

    #[test]
    fn a_changed_bit_of_a_cosignature_is_refused(bit in 0_usize..600) {
        let (log, witness) = (log_key(), witness_key());
        let note = sign_note("a\n", &log).unwrap();
        let line = cosign("a\n", &witness, 1_772_438_400).unwrap();
        let blob = line.rsplit(' ').next().unwrap().trim_end();
        use base64::Engine;
        let engine = base64::engine::general_purpose::STANDARD;
        let mut bytes = engine.decode(blob).unwrap();
        // The first four bytes name the key: another name is a key not known here.
        let bit = 32 + bit % (bytes.len() * 8 - 32);
        bytes[bit / 8] ^= 1 << (bit % 8);
        let changed = with_line(&note, &line.replace(blob, &engine.encode(bytes))).unwrap();
        let answer = open_note(&changed, &[log.verifier(), witness.verifier()]);
        prop_assert_eq!(answer, Err(NoteError::Signature("lab.vestibule.example".to_owned())));
    }

    #[test]
    fn checkpoints_are_read_by_another_implementation(size in any::<u64>(), root in any::<[u8; 32]>()) {
        let checkpoint = Checkpoint { origin: ORIGIN.to_owned(), size, root: Hash::new(root) };
        let text = checkpoint.to_string();
        let theirs = tlog_tiles::Checkpoint::from_bytes(text.as_bytes());
        // The other implementation stops at sizes of 63 bits.
        if i64::try_from(size).is_ok() {
            let theirs = theirs.unwrap();
            prop_assert_eq!((theirs.origin(), theirs.size(), theirs.hash().0), (ORIGIN, size, root));
        }
        prop_assert_eq!(Checkpoint::parse(&text), Ok(checkpoint));
    }

    #[test]
    fn proof_files_read_back(size in 1_u64..300, one in any::<prop::sample::Index>(), extra in prop::option::of(any::<[u8; 5]>())) {
        let grown = Grown::of_size(size);
        let index = one.index(usize::try_from(size).unwrap()) as u64;
        let proof = InclusionProof {
            extra: extra.map(Vec::from),
            index,
            hashes: grown.inclusion(index, size),
            checkpoint: grown.checkpoint(),
        };
        prop_assert_eq!(InclusionProof::parse(&proof.to_string()), Ok(proof.clone()));
        let entry = entries(size)[usize::try_from(index).unwrap()].clone();
        let seen = proof.verify(&entry, log_key().verifier(), &[]).unwrap();
        prop_assert_eq!((seen.checkpoint.size, seen.checkpoint.root), (size, grown.root()));
        prop_assert!(proof.verify(b"another", log_key().verifier(), &[]).is_err());

        let growth = GrowthProof { old: index + 1, hashes: grown.consistency(index + 1, size), checkpoint: grown.checkpoint() };
        prop_assert_eq!(GrowthProof::parse(&growth.to_string()), Ok(growth.clone()));
        prop_assert!(growth.verify(&grown.root_at(index + 1), log_key().verifier(), &[]).is_ok());
        prop_assert!(growth.verify(&EMPTY_ROOT, log_key().verifier(), &[]).is_err());
    }

    #[test]
    fn a_changed_bit_of_a_proof_file_is_refused(place in any::<prop::sample::Index>(), bit in 0..8_u8) {
        let grown = Grown::of_size(11);
        let proof = InclusionProof { extra: None, index: 6, hashes: grown.inclusion(6, 11), checkpoint: grown.checkpoint() };
        let mut bytes = proof.to_string().into_bytes();
        let place = place.index(bytes.len());
        bytes[place] ^= 1 << bit;
        if let Ok(file) = String::from_utf8(bytes) {
            let answer = InclusionProof::parse(&file).and_then(|proof| proof.verify(b"entry 6", log_key().verifier(), &[]));
            prop_assert!(answer.is_err(), "{file}");
        }
    }

    #[test]
    fn no_text_panics(text in "[\\PC\\n]{0,200}", tail in "(— [a-z]{0,3} [A-Za-z0-9+/=]{0,12}\n){0,3}") {
        let note = format!("{text}\n\n{tail}");
        let _answer = open_note(&note, &[log_key().verifier()]);
        let _answer = Checkpoint::parse(&text);
        let _answer = InclusionProof::parse(&format!("c2sp.org/tlog-proof@v1\n{text}"));
        let _answer = GrowthProof::parse(&note);
        let _answer = Verifier::parse(&text);
    }
}

#[test]
fn a_witness_adds_a_line_with_its_time() {
    let (log, witness) = (log_key(), witness_key());
    let grown = Grown::of_size(3);
    let note = grown.checkpoint();
    let text = vestibule::record::note::text_of(&note).unwrap().to_owned();
    let note = with_line(&note, &cosign(&text, &witness, 1_772_438_400).unwrap()).unwrap();
    let known = [witness.verifier().clone()];
    let seen = Checkpoint::open(&note, log.verifier(), &known).unwrap();
    assert_eq!(seen.cosigned.len(), 1);
    assert_eq!(seen.cosigned[0].kind, KeyKind::Witness);
    assert_eq!(seen.cosigned[0].unix_s, Some(1_772_438_400));
    // Who does not know the witness passes over its line, and so does the other implementation.
    let seen = Checkpoint::open(&note, log.verifier(), &[]).unwrap();
    assert!(seen.cosigned.is_empty());
    let vkey = log.verifier().to_string();
    let theirs = VerifierList::new(vec![Box::new(StandardVerifier::new(&vkey).unwrap())]);
    let (fits, unknown) = Note::from_bytes(note.as_bytes())
        .unwrap()
        .verify(&theirs)
        .unwrap();
    assert_eq!((fits.len(), unknown.len()), (1, 1));
}

#[test]
fn a_witness_alone_does_not_make_a_checkpoint() {
    let (log, witness) = (log_key(), witness_key());
    let note = sign_note("a\n", &Signer::log("other.example", &[1; 32]).unwrap()).unwrap();
    let note = with_line(&note, &cosign("a\n", &witness, 1).unwrap()).unwrap();
    let answer = Checkpoint::open(&note, log.verifier(), &[witness.verifier().clone()]);
    assert_eq!(answer, Err(CheckpointError::NotSigned));
}

#[test]
fn a_note_takes_sixteen_signatures_and_more() {
    let log = log_key();
    let mut note = sign_note("a\n", &log).unwrap();
    let witnesses: Vec<Signer> = (0..40)
        .map(|n| Signer::witness(&format!("w{n}.example"), &[n; 32]).unwrap())
        .collect();
    for witness in &witnesses {
        note = with_line(&note, &cosign("a\n", witness, 5).unwrap()).unwrap();
    }
    let mut known: Vec<&Verifier> = witnesses.iter().map(Signer::verifier).collect();
    known.push(log.verifier());
    assert_eq!(open_note(&note, &known).unwrap().signed.len(), 41);
    let lines = note.clone() + &"— x.example AAAAAAAA\n".repeat(64);
    assert_eq!(
        open_note(&lines, &known),
        Err(NoteError::Form("it has too many signatures"))
    );
}

#[test]
fn a_log_key_does_not_stand_in_for_a_witness() {
    assert_eq!(cosign("a\n", &log_key(), 1), Err(NoteError::Kind));
    assert_eq!(sign_note("a\n", &witness_key()), Err(NoteError::Kind));
}

#[test]
fn a_signature_that_does_not_fit_makes_the_note_worthless() {
    let (log, witness) = (log_key(), witness_key());
    let note = sign_note("a\n", &log).unwrap();
    let of_another_text = cosign("b\n", &witness, 1).unwrap();
    let note = with_line(&note, &of_another_text).unwrap();
    let answer = open_note(&note, &[log.verifier(), witness.verifier()]);
    assert_eq!(
        answer,
        Err(NoteError::Signature("lab.vestibule.example".to_owned()))
    );
    assert_eq!(open_note(&note, &[log.verifier()]).unwrap().unknown, 1);
    assert_eq!(open_note(&note, &[]), Err(NoteError::NotSigned));
}

#[test]
fn a_text_may_have_empty_lines_and_no_control_characters() {
    let log = log_key();
    let note = sign_note("a\n\n\nb\n\n", &log).unwrap();
    assert_eq!(
        open_note(&note, &[log.verifier()]).unwrap().text,
        "a\n\n\nb\n\n"
    );
    for wrong in ["", "a", "a\r\n", "a\tb\n", "\0\n"] {
        assert!(sign_note(wrong, &log).is_err(), "{wrong:?}");
    }
    let note = sign_note("a\n", &log).unwrap();
    for wrong in [
        note.replace("a\n", "a\r\n"),
        note.replace('\n', "\r\n"),
        note.replace("\n\n", "\n"),
        note.replace("— ", "- "),
        note.trim_end().to_owned(),
        format!("{note}\n"),
        format!("{note}words\n"),
    ] {
        assert!(open_note(&wrong, &[log.verifier()]).is_err(), "{wrong:?}");
    }
}

#[test]
fn what_is_no_key_says_why() {
    let key = log_key().verifier().to_string();
    let id = log_key().verifier().id().to_string();
    for (text, wanted) in [
        (String::new(), KeyError::Form),
        ("name".to_owned(), KeyError::Form),
        (format!("name+{id}+%%"), KeyError::Form),
        (format!("name+{id}+"), KeyError::Form),
        (format!("name+{id}+AQ=="), KeyError::Key),
        (format!("name+{id}+Ag=="), KeyError::Kind),
        (key.replace(ORIGIN, "two words"), KeyError::Name),
        (key.replace(ORIGIN, ""), KeyError::Name),
        (key.replace(ORIGIN, "other.example"), KeyError::Id),
        (key.replace(&id, "00000000"), KeyError::Id),
    ] {
        assert_eq!(Verifier::parse(&text), Err(wanted), "{text}");
    }
    let upper = key.replace(&id, &id.to_uppercase());
    assert_eq!(
        Verifier::parse(&format!(" {upper}\n")).as_ref(),
        Ok(log_key().verifier())
    );
    assert!(!format!("{:?}", log_key()).contains("7, 7"));
}

#[test]
fn a_checkpoint_is_read_strictly() {
    let text = Checkpoint {
        origin: ORIGIN.to_owned(),
        size: 12,
        root: EMPTY_ROOT,
    }
    .to_string();
    assert!(Checkpoint::parse(&text).is_ok());
    for wrong in [
        String::new(),
        text.replace("\n12\n", "\n012\n"),
        text.replace("\n12\n", "\n+12\n"),
        text.replace("\n12\n", "\n-12\n"),
        text.replace("\n12\n", "\n99999999999999999999\n"),
        text.replace("\n12\n", "\n12 \n"),
        text.replace(ORIGIN, ""),
        text.replace('=', ""),
        text.trim_end().to_owned(),
        format!("{text}more\n"),
        format!("\n{text}"),
    ] {
        assert_eq!(
            Checkpoint::parse(&wrong),
            Err(CheckpointError::Form),
            "{wrong:?}"
        );
    }
}

#[test]
fn a_checkpoint_of_another_record_is_named() {
    let checkpoint = Checkpoint {
        origin: "other.example".to_owned(),
        size: 1,
        root: EMPTY_ROOT,
    };
    let wanted = CheckpointError::Origin {
        found: "other.example".to_owned(),
        wanted: ORIGIN.to_owned(),
    };
    assert_eq!(checkpoint.sign(&log_key()), Err(wanted.clone()));
    let note = sign_note(&checkpoint.to_string(), &log_key()).unwrap();
    assert_eq!(
        Checkpoint::open(&note, log_key().verifier(), &[]),
        Err(wanted)
    );
}

#[test]
fn growth_from_nothing_has_no_hashes() {
    let grown = Grown::of_size(4);
    let mut growth = GrowthProof {
        old: 0,
        hashes: Vec::new(),
        checkpoint: grown.checkpoint(),
    };
    let key = log_key();
    assert!(growth.verify(&EMPTY_ROOT, key.verifier(), &[]).is_ok());
    assert!(growth.verify(&grown.root(), key.verifier(), &[]).is_err());
    growth.hashes.push(EMPTY_ROOT);
    assert!(growth.verify(&EMPTY_ROOT, key.verifier(), &[]).is_err());
}

#[test]
fn what_is_no_proof_file_says_why() {
    let proof = "c2sp.org/tlog-proof@v1\nindex 0\n\nx\n";
    assert!(InclusionProof::parse(proof).is_ok());
    for (file, wanted) in [
        (proof.replace("@v1", "@v2"), ProofError::Head),
        (
            proof.replace("index 0", "index 00"),
            ProofError::Number("index"),
        ),
        (
            proof.replace("index 0", "index -1"),
            ProofError::Number("index"),
        ),
        (proof.replace("index 0\n", ""), ProofError::Number("index")),
        (
            proof.replace("index 0\n", "index 0\nAAAA\n"),
            ProofError::Hash,
        ),
        (
            proof.replace("index 0", "extra %\nindex 0"),
            ProofError::Extra,
        ),
        (
            proof.replace(
                "index 0\n",
                &format!(
                    "index 0\n{}",
                    "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=\n".repeat(65)
                ),
            ),
            ProofError::TooMany,
        ),
        (proof.replace("\n\n", "\n"), ProofError::NoCheckpoint),
    ] {
        assert_eq!(InclusionProof::parse(&file), Err(wanted), "{file}");
    }
    assert_eq!(
        GrowthProof::parse("old x\n\nx\n"),
        Err(ProofError::Number("old"))
    );
}
