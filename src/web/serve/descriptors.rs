//! How many files this process may have open: each connection is one.

use super::crowd::Caps;
use rustix::process::{Resource, getrlimit, setrlimit};

/// What is open besides connections: 32 files were counted on SQLite after sixty requests at once, 19 of them of the
/// database; five times that, which leaves room for connections that are just being let go of.
const BESIDES: usize = 160;

/// How many files may be open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Descriptors {
    pub most: usize,
}

/// Asks the system for as many open files as it allows, and says how many that are.
pub fn raise_descriptors() -> Descriptors {
    let mut limit = getrlimit(Resource::Nofile);
    if limit.current != limit.maximum {
        let before = limit;
        limit.current = limit.maximum;
        // Some systems have a lower bound of their own; what was allowed before is allowed still.
        if setrlimit(Resource::Nofile, limit).is_err() {
            limit = before;
        }
    }
    let most = limit.current.map_or(usize::MAX, |most| {
        usize::try_from(most).unwrap_or(usize::MAX)
    });
    Descriptors { most }
}

impl Descriptors {
    /// As many connections as are wanted, or as there are files for; and a sentence where these are fewer.
    pub fn fitting(self, wanted: Caps) -> (Caps, Option<String>) {
        let room = self.most.saturating_sub(BESIDES).max(1);
        if wanted.all <= room {
            return (wanted, None);
        }
        let said = format!(
            "At most {room} connections at once, and not {}: this process may open {} files. Raise `ulimit -n` for more.",
            wanted.all, self.most
        );
        (
            Caps {
                all: room,
                ..wanted
            },
            Some(said),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s2_no_more_connections_than_there_are_files_for() {
        let wanted = Caps {
            all: 2000,
            per_address: Some(200),
        };
        let with = |most: usize| Descriptors { most }.fitting(wanted);
        assert_eq!(with(1_048_576), (wanted, None));
        let (caps, said) = with(1024);
        assert_eq!((caps.all, caps.per_address), (864, Some(200)));
        assert!(said.unwrap().contains("At most 864 connections"));
        assert_eq!(with(20).0.all, 1);
    }
}
