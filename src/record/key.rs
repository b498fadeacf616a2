//! Keys as C2SP signed-note writes them: a name, four bytes that stand for the key, and the key itself.
//!
//! Two kinds of Ed25519 key sign here. The log's own key signs checkpoints; a witness signs, with a time
//! beside it, that it has seen a checkpoint and every earlier one in it. A key never serves as both.

use super::hash::{Hash, keyed};
use crate::domain::values::digest::hex;
use base64::{Engine, engine::general_purpose::STANDARD};
use ed25519_dalek::{Signature, SigningKey, VerifyingKey};
use std::fmt;

/// What a key's signatures stand for, with its byte in key ids and key texts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyKind {
    /// Signs the text of a note.
    Log,
    /// Signs the text and a time: `cosignature/v1`.
    Witness,
}

impl KeyKind {
    fn byte(self) -> u8 {
        match self {
            KeyKind::Log => 1,
            KeyKind::Witness => 4,
        }
    }
}

/// The first four bytes of a hash over name, kind and public key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct KeyId(pub [u8; 4]);

/// Eight small hexadecimal digits.
impl fmt::Display for KeyId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex(&self.0))
    }
}

/// Why a text is no key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum KeyError {
    #[error("A key is written as name+8 hexadecimal digits+base64.")]
    Form,
    #[error("The name of a key is not empty, and has no space, no control character and no “+”.")]
    Name,
    #[error(
        "The eight digits in the middle do not fit the name and the key: one of them is mistyped."
    )]
    Id,
    #[error("This kind of key is not known here; Ed25519 is wanted.")]
    Kind,
    #[error("These bytes are no Ed25519 key.")]
    Key,
}

/// A public key, to check signatures with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verifier {
    name: String,
    kind: KeyKind,
    key: VerifyingKey,
}

impl Verifier {
    fn new(name: &str, kind: KeyKind, key: VerifyingKey) -> Result<Verifier, KeyError> {
        let wrong = |c: char| c.is_whitespace() || c.is_control() || c == '+';
        if name.is_empty() || name.contains(wrong) {
            return Err(KeyError::Name);
        }
        Ok(Verifier {
            name: name.to_owned(),
            kind,
            key,
        })
    }

    /// Reads `name+id+base64`, the form that the other side writes down once.
    pub fn parse(text: &str) -> Result<Verifier, KeyError> {
        let mut parts = text.trim().splitn(3, '+');
        let (Some(name), Some(id), Some(key)) = (parts.next(), parts.next(), parts.next()) else {
            return Err(KeyError::Form);
        };
        let bytes = STANDARD.decode(key).map_err(|_| KeyError::Form)?;
        let (kind, key) = bytes.split_first().ok_or(KeyError::Form)?;
        let kind = [KeyKind::Log, KeyKind::Witness]
            .into_iter()
            .find(|known| known.byte() == *kind)
            .ok_or(KeyError::Kind)?;
        let key = VerifyingKey::try_from(key).map_err(|_| KeyError::Key)?;
        let verifier = Verifier::new(name, kind, key)?;
        if verifier.id().to_string() != id.to_ascii_lowercase() {
            return Err(KeyError::Id);
        }
        Ok(verifier)
    }

    pub fn name(&self) -> &str {
        &self.name
    }

    pub fn kind(&self) -> KeyKind {
        self.kind
    }

    pub fn id(&self) -> KeyId {
        let kind = [self.kind.byte()];
        let hash = Hash::of(&[self.name.as_bytes(), b"\n", &kind, self.key.as_bytes()]);
        let [a, b, c, d, ..] = *hash.bytes();
        KeyId([a, b, c, d])
    }

    /// Whether the 64 bytes are this key's signature of the message.
    pub(super) fn has_signed(&self, message: &[u8], signature: &[u8]) -> bool {
        Signature::from_slice(signature)
            .is_ok_and(|signature| self.key.verify_strict(message, &signature).is_ok())
    }
}

/// `name+id+base64`
impl fmt::Display for Verifier {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut key = vec![self.kind.byte()];
        key.extend(self.key.as_bytes());
        write!(f, "{}+{}+{}", self.name, self.id(), STANDARD.encode(key))
    }
}

/// A key that signs: the log's, or a witness's. Whoever has its seed can sign in its name.
#[derive(Clone)]
pub struct Signer {
    verifier: Verifier,
    secret: SigningKey,
}

impl Signer {
    /// The installation's own key; its name is the origin of the checkpoints that it signs.
    pub fn log(name: &str, seed: &[u8; 32]) -> Result<Signer, KeyError> {
        Signer::new(name, KeyKind::Log, seed)
    }

    /// A witness's key.
    pub fn witness(name: &str, seed: &[u8; 32]) -> Result<Signer, KeyError> {
        Signer::new(name, KeyKind::Witness, seed)
    }

    fn new(name: &str, kind: KeyKind, seed: &[u8; 32]) -> Result<Signer, KeyError> {
        let secret = SigningKey::from_bytes(seed);
        let verifier = Verifier::new(name, kind, secret.verifying_key())?;
        Ok(Signer { verifier, secret })
    }

    pub fn verifier(&self) -> &Verifier {
        &self.verifier
    }

    /// What only the holder of the key can write beside these words: for rows that are in no leaf. It signs nothing,
    /// and its key is one that follows from the seed and is used for nothing else.
    pub fn binding(&self, words: &[&str]) -> Hash {
        let key = keyed(&self.secret.to_bytes(), b"vestibule bindings of rows");
        let mut text = Vec::new();
        for word in words {
            // With its length, so that no two lists of words are one text.
            text.extend((word.len() as u64).to_be_bytes());
            text.extend(word.as_bytes());
        }
        keyed(key.bytes(), &text)
    }

    pub(super) fn sign(&self, message: &[u8]) -> [u8; 64] {
        use ed25519_dalek::Signer as _;
        self.secret.sign(message).to_bytes()
    }
}

/// The secret stays out of every log line.
impl fmt::Debug for Signer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Signer({})", self.verifier)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::hash::bytes_of_hex;

    #[test]
    fn signatures_are_those_of_rfc_8032() {
        // RFC 8032, section 7.1, tests 1 to 3: secret key, message, signature.
        for (secret, message, signature) in [
            (
                "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
                "",
                "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
            ),
            (
                "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
                "72",
                "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
            ),
            (
                "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
                "af82",
                "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
            ),
        ] {
            let bytes = |text| bytes_of_hex(text).expect("hexadecimal digits");
            let seed = bytes(secret).try_into().expect("32 bytes");
            let key = Signer::log("x", &seed).expect("a key");
            let (message, signature) = (bytes(message), bytes(signature));
            assert_eq!(key.sign(&message).to_vec(), signature);
            assert!(key.verifier().has_signed(&message, &signature));
            assert!(!key.verifier().has_signed(b"other", &signature));
        }
    }

    #[test]
    fn a_binding_is_of_one_key_and_one_list_of_words() {
        let key = |seed| Signer::log("x", &[seed; 32]).expect("a key");
        let binding = key(1).binding(&["ab", "c"]);
        assert_eq!(key(1).binding(&["ab", "c"]), binding);
        for other in [
            key(1).binding(&["a", "bc"]),
            key(1).binding(&["abc"]),
            key(2).binding(&["ab", "c"]),
        ] {
            assert_ne!(other, binding);
        }
    }
}
