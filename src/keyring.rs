//! The record's signing key on the disk: one small text file, readable by its owner only.
//!
//! It lies apart from the database on purpose where that is possible: whoever can change the one cannot sign
//! for the other. A lost key ends a record that nobody can continue, so the file wants a copy in a safe.

use crate::clock::{NoChance, Outside};
use crate::files::open_regular;
use crate::record::key::{KeyError, Signer};
use base64::{Engine, engine::general_purpose::STANDARD};
use std::io::Write;
use std::path::Path;

/// Why there is no key.
#[derive(Debug, thiserror::Error)]
pub enum KeyringError {
    #[error("cannot read or write the key file")]
    File(#[from] std::io::Error),
    #[error(
        "others on this machine may read or change the key file (its mode is {0:o}): take that right from them with \
         `chmod 600`, and ask whether the key is still yours alone"
    )]
    Shared(u32),
    #[error("the key file has to have the lines \"name …\" and \"seed …\" and no others")]
    Form,
    #[error("the key file names no key")]
    Key(#[from] KeyError),
    #[error(transparent)]
    Chance(#[from] NoChance),
}

/// A key and the text of its file.
#[derive(Debug)]
pub struct HeldKey {
    pub key: Signer,
    text: String,
}

/// A new key with a random name of its own. It is not on the disk yet.
pub fn new_key(outside: &Outside) -> Result<HeldKey, KeyringError> {
    let tail: String = outside
        .identity()?
        .chars()
        .filter(|c| *c != '-')
        .take(12)
        .collect();
    let text = format!(
        "# Signs the record of this installation. Keep it secret, and keep a copy apart from the database.\n\
         name vestibule.local/record/{tail}\nseed {}\n",
        STANDARD.encode(outside.seed()?)
    );
    Ok(HeldKey {
        key: parse(&text)?,
        text,
    })
}

fn parse(text: &str) -> Result<Signer, KeyringError> {
    let lines: Vec<&str> = text
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .collect();
    let [name, seed] = lines.as_slice() else {
        return Err(KeyringError::Form);
    };
    let name = name.strip_prefix("name ").ok_or(KeyringError::Form)?;
    let seed = seed.strip_prefix("seed ").ok_or(KeyringError::Form)?;
    let seed = STANDARD
        .decode(seed.trim())
        .map_err(|_| KeyringError::Form)?;
    let seed: [u8; 32] = seed.try_into().map_err(|_| KeyringError::Form)?;
    Ok(Signer::log(name.trim(), &seed)?)
}

/// The key in `path`; `None` if there is no such file.
pub fn read(path: &Path) -> Result<Option<Signer>, KeyringError> {
    use std::os::unix::fs::PermissionsExt;
    match open_regular(path).and_then(std::io::read_to_string) {
        Ok(text) => {
            let mode = std::fs::metadata(path)?.permissions().mode() & 0o777;
            match mode & 0o077 {
                0 => parse(&text).map(Some),
                _ => Err(KeyringError::Shared(mode)),
            }
        }
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(why) => Err(why.into()),
    }
}

impl HeldKey {
    /// Writes the file, whole or not at all; one that is there already is not touched.
    pub fn write(&self, path: &Path) -> Result<(), KeyringError> {
        use std::os::unix::fs::OpenOptionsExt;
        let mut file = std::fs::OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o600)
            .open(path)?;
        file.write_all(self.text.as_bytes())?;
        // What it signs from now on is worth nothing without it.
        Ok(file.sync_all()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_key_comes_back_from_its_file_and_is_not_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.key");
        assert!(read(&path).unwrap().is_none());
        let made = new_key(&Outside::fixed(0, 1)).unwrap();
        made.write(&path).unwrap();
        let read = read(&path).unwrap().unwrap();
        assert_eq!(read.verifier().to_string(), made.key.verifier().to_string());
        let other = new_key(&Outside::fixed(0, 99)).unwrap();
        assert!(matches!(other.write(&path), Err(KeyringError::File(_))));
    }

    #[test]
    fn only_its_owner_may_read_a_key() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.key");
        new_key(&Outside::fixed(0, 1))
            .unwrap()
            .write(&path)
            .unwrap();
        let mode = std::fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }

    #[test]
    fn a_file_that_is_no_key_is_refused_with_a_plain_word() {
        for wrong in [
            "",
            "name a",
            "seed AAAA\nname a",
            "name a\nseed AAAA\n",
            "name a\nseed x\nmore\n",
        ] {
            assert!(matches!(parse(wrong), Err(KeyringError::Form)), "{wrong:?}");
        }
        let spaced = format!("name a b\nseed {}\n", STANDARD.encode([1; 32]));
        assert!(matches!(parse(&spaced), Err(KeyringError::Key(_))));
    }
}
