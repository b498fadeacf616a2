//! Hashes of leaves and nodes, RFC 9162 section 2.1.1: SHA-256 with a byte in front that keeps the two apart,
//! so that no entry can be passed off as an inner node.

use crate::domain::values::digest::hex;
use sha2::{Digest, Sha256};
use std::fmt;

/// A SHA-256 value.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, std::hash::Hash)]
pub struct Hash([u8; 32]);

/// The root of a tree without leaves: SHA-256 of nothing.
pub const EMPTY_ROOT: Hash = Hash([
    0xe3, 0xb0, 0xc4, 0x42, 0x98, 0xfc, 0x1c, 0x14, 0x9a, 0xfb, 0xf4, 0xc8, 0x99, 0x6f, 0xb9, 0x24,
    0x27, 0xae, 0x41, 0xe4, 0x64, 0x9b, 0x93, 0x4c, 0xa4, 0x95, 0x99, 0x1b, 0x78, 0x52, 0xb8, 0x55,
]);

/// Why a text is no hash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("A hash is written with 64 hexadecimal digits.")]
pub struct NoHash;

impl Hash {
    pub fn new(bytes: [u8; 32]) -> Hash {
        Hash(bytes)
    }

    /// SHA-256 of several pieces, one after the other.
    pub(super) fn of(pieces: &[&[u8]]) -> Hash {
        let mut hasher = Sha256::new();
        for piece in pieces {
            hasher.update(piece);
        }
        Hash(hasher.finalize().into())
    }

    /// From 32 bytes; `None` for another length.
    pub fn from_slice(bytes: &[u8]) -> Option<Hash> {
        bytes.try_into().ok().map(Hash)
    }

    /// Reads 64 hexadecimal digits, small or capital.
    pub fn parse(text: &str) -> Result<Hash, NoHash> {
        let bytes = bytes_of_hex(text).ok_or(NoHash)?;
        Hash::from_slice(&bytes).ok_or(NoHash)
    }

    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// The first 16 bytes.
    pub(super) fn half(&self) -> [u8; 16] {
        self.0.first_chunk().copied().unwrap_or_default()
    }
}

/// The bytes that hexadecimal digits stand for.
pub(super) fn bytes_of_hex(text: &str) -> Option<Vec<u8>> {
    let (pairs, rest) = text.as_bytes().as_chunks::<2>();
    let byte = |[high, low]: &[u8; 2]| Some((value_of_hex(*high)? << 4) | value_of_hex(*low)?);
    match rest.is_empty() {
        true => pairs.iter().map(byte).collect(),
        false => None,
    }
}

fn value_of_hex(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        b'A'..=b'F' => Some(digit - b'A' + 10),
        _ => None,
    }
}

/// 64 small hexadecimal digits.
impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex(&self.0))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl std::str::FromStr for Hash {
    type Err = NoHash;
    fn from_str(text: &str) -> Result<Hash, NoHash> {
        Hash::parse(text)
    }
}

/// HMAC-SHA-256 of a text, RFC 2104: what nobody can make without the key, of up to 64 bytes.
pub(super) fn keyed(key: &[u8], text: &[u8]) -> Hash {
    let mut block = [0; 64];
    for (place, byte) in block.iter_mut().zip(key) {
        *place = *byte;
    }
    let inner = Hash::of(&[&block.map(|byte| byte ^ 0x36), text]);
    Hash::of(&[&block.map(|byte| byte ^ 0x5c), &inner.0])
}

/// The hash of an entry's bytes as a leaf.
pub fn leaf_hash(entry: &[u8]) -> Hash {
    Hash::of(&[&[0], entry])
}

/// The hash of a node over two others.
pub fn node_hash(left: &Hash, right: &Hash) -> Hash {
    Hash::of(&[&[1], &left.0, &right.0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_keyed_hash_is_that_of_rfc_4231() {
        // RFC 4231, section 4, test cases 1, 2 and 4.
        for (key, text, hash) in [
            (
                "0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b0b",
                "4869205468657265",
                "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
            ),
            (
                "4a656665",
                "7768617420646f2079612077616e7420666f72206e6f7468696e673f",
                "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
            ),
            (
                "0102030405060708090a0b0c0d0e0f10111213141516171819",
                "cdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcd",
                "82558a389a443c0ea4cc819899f2083a85f0faa3e578f8077a2e3ff46729665b",
            ),
        ] {
            let bytes = |text| bytes_of_hex(text).expect("hexadecimal digits");
            assert_eq!(keyed(&bytes(key), &bytes(text)).to_string(), hash);
        }
    }
}
