//! SHA-256 in its text form.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// SHA-256 of the bytes, as 64 small hexadecimal digits.
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Bytes as small hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    let digit = |half: u8| char::from_digit(half.into(), 16).unwrap_or_default();
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        text.extend([digit(byte >> 4), digit(byte & 15)]);
    }
    text
}

/// The SHA-256 of a file, as 64 small hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct FileHash(String);

impl FileHash {
    /// Reads the digits as programs print them: in either case, in groups or not.
    ///
    /// # Errors
    /// A sentence where it is no such number.
    pub fn parse(typed: &str) -> Result<FileHash, String> {
        let digits = typed.chars().filter(|sign| !sign.is_whitespace());
        let digits: String = digits.map(|sign| sign.to_ascii_lowercase()).collect();
        let is_whole = digits.len() == 64 && digits.bytes().all(|byte| byte.is_ascii_hexdigit());
        is_whole.then_some(FileHash(digits)).ok_or_else(|| {
            "A SHA-256 has 64 digits from 0 to 9 and a to f: copy it whole, or leave it empty."
                .to_owned()
        })
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for FileHash {
    type Error = String;
    fn try_from(text: String) -> Result<FileHash, String> {
        FileHash::parse(&text)
    }
}

impl From<FileHash> for String {
    fn from(hash: FileHash) -> String {
        hash.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Beside the standard library's own way of writing hexadecimal digits.
    #[test]
    fn digits_are_those_of_the_standard_library() {
        let all: Vec<u8> = (0..=255).collect();
        let wanted: String = all.iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(hex(&all), wanted);
        assert_eq!(hex(&[]), "");
    }

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-4 example: SHA-256("abc").
        assert_eq!(
            sha256_hex(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
