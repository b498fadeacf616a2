//! Size and root as people type them from paper.

use proptest::prelude::*;
use vestibule::record::hash::Hash;
use vestibule::record::words::{PaperRoot, PaperRootError, printed};

fn root() -> Hash {
    // The root of the eight reference leaves, see the published values.
    Hash::parse("5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328").unwrap()
}

#[test]
fn a_root_is_printed_in_groups_of_eight_capital_letters() {
    assert_eq!(
        printed(&root()),
        "5DC9DA79 A70659A9 AD559CB7 01DED9A2 AB9D823A AD2F4960 CFE370EF F4604328"
    );
    assert_eq!(
        PaperRoot::new(8, &root()).to_string(),
        format!("8:{}", printed(&root()))
    );
}

#[test]
fn spaces_hyphens_and_case_do_not_matter() {
    for typed in [
        "8:5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
        " 8 : 5DC9DA79-A70659A9-AD559CB7-01DED9A2\nAB9D823A AD2F4960 CFE370EF F4604328 ",
    ] {
        let paper = PaperRoot::parse(typed).unwrap();
        assert_eq!((paper.size, paper.root()), (8, Some(root())), "{typed}");
        assert!(paper.fits(&root()) && !paper.is_abbreviated());
    }
}

#[test]
fn sixteen_digits_are_enough_and_are_said_to_be_an_abbreviation() {
    let paper = PaperRoot::parse("8:5DC9DA79 A70659A9").unwrap();
    assert!(paper.fits(&root()) && paper.is_abbreviated());
    assert_eq!((paper.root(), paper.digits()), (None, 16));
    assert!(
        !PaperRoot::parse("8:5DC9DA79 A70659A8")
            .unwrap()
            .fits(&root())
    );
}

#[test]
fn what_is_no_size_and_root_says_why() {
    for (typed, wanted) in [
        ("", PaperRootError::Form),
        ("5DC9DA79A70659A9", PaperRootError::Form),
        (":5DC9DA79A70659A9", PaperRootError::Size),
        ("+8:5DC9DA79A70659A9", PaperRootError::Size),
        (
            "99999999999999999999:5DC9DA79A70659A9",
            PaperRootError::Size,
        ),
        ("8:5DC9DA79A70659AO", PaperRootError::Digit('O')),
        ("8:5DC9DA79", PaperRootError::Length(8)),
    ] {
        assert_eq!(PaperRoot::parse(typed), Err(wanted), "{typed}");
    }
}

proptest! {
    #[test]
    fn what_is_printed_reads_back(size in any::<u64>(), bytes in any::<[u8; 32]>()) {
        let paper = PaperRoot::new(size, &Hash::new(bytes));
        prop_assert_eq!(PaperRoot::parse(&paper.to_string()), Ok(paper));
    }

    #[test]
    fn no_text_panics(text in "\\PC*:\\PC*") {
        let _answer = PaperRoot::parse(&text);
        let _answer = Hash::parse(&text);
    }
}
