//! A folder as one file to download: the ustar form of POSIX.1, which every system unpacks. The same files
//! give the same bytes: no times, no owners.

use super::bundle::Files;
use tar::{Builder, Header};

/// A name longer than this would need more than the one field.
const LONGEST_NAME: usize = 100;

/// The files in a folder of this name. `None` where a name or a file does not go into the form.
pub fn tar(folder: &str, files: &Files) -> Option<Vec<u8>> {
    let mut archive = Builder::new(Vec::new());
    for (name, content) in files {
        let header = header(&format!("{folder}/{name}"), content.len())?;
        archive.append(&header, content.as_slice()).ok()?;
    }
    archive.into_inner().ok()
}

fn header(name: &str, length: usize) -> Option<Header> {
    if name.len() > LONGEST_NAME || !name.is_ascii() {
        return None;
    }
    let mut header = Header::new_ustar();
    header.set_path(name).ok()?;
    header.set_size(length as u64);
    header.set_mode(0o644);
    header.set_uid(0);
    header.set_gid(0);
    header.set_mtime(0);
    header.set_cksum();
    Some(header)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::process::Command;

    #[test]
    fn another_program_unpacks_what_was_packed_and_the_same_files_give_the_same_bytes() {
        let files = Files::from([
            ("README.txt".to_owned(), b"read me\n".to_vec()),
            ("empty".to_owned(), Vec::new()),
            ("exact".to_owned(), vec![7; 512]),
            (
                "leaf-00000001.json".to_owned(),
                "歯".repeat(700).into_bytes(),
            ),
        ]);
        let bytes = tar("record-C", &files).unwrap();
        assert_eq!(bytes, tar("record-C", &files).unwrap());
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("it.tar"), bytes).unwrap();
        let unpacked = Command::new("tar")
            .args(["-xf", "it.tar"])
            .current_dir(&folder)
            .output()
            .unwrap();
        assert!(unpacked.status.success() && unpacked.stderr.is_empty());
        for (name, content) in &files {
            let read = std::fs::read(folder.path().join("record-C").join(name)).unwrap();
            assert_eq!(&read, content, "{name}");
        }
    }

    #[test]
    fn a_name_that_does_not_go_in_is_refused() {
        for name in ["x".repeat(100), "zähne".to_owned()] {
            let files = Files::from([(name, Vec::new())]);
            assert_eq!(tar("f", &files), None);
        }
    }
}
