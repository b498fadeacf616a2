//! Codes that people read aloud, write on a tag and type with wet gloves.
//!
//! A code is a letter for its kind, seven random characters and a check character, written in three
//! groups: `C4K-7M9-2XQ`. The characters are the 32 of Crockford's base 32 (no I, L, O, U), so that
//! 0/O and 1/I/L can be forgiven on reading. The check character is ISO/IEC 7064 MOD 37-2 over the
//! kind letter and the body; codes whose check character would be `*`, I, L, O or U are never issued.
//! The kind letter is part of what is checked: a patient code typed where a tag belongs is named as such.

use crate::domain::values::figures::{plain, plain_sign};
use serde::{Deserialize, Serialize};
use std::fmt;
use strum::VariantArray;

/// Characters of a code body, by value: Crockford's base 32.
pub const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// Random characters in a body: 32^7 = 34 thousand million codes of each kind, so that guessing one
/// that exists is hopeless for any store this product will see.
pub const BODY_LENGTH: usize = 7;

/// The alphabet of ISO/IEC 7064 MOD 37-2: digits, letters, and the asterisk for 36.
const CHECK_ALPHABET: &[u8; 37] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*";

/// The ISO/IEC 7064 MOD 37-2 check character of `text` (digits and capital letters).
/// `None` where the text has another character.
pub fn mod_37_2_check(text: &str) -> Option<char> {
    let mut remainder: usize = 0;
    for byte in text.bytes() {
        let value = match byte {
            b'0'..=b'9' => byte - b'0',
            b'A'..=b'Z' => byte - b'A' + 10,
            _ => return None,
        };
        remainder = (remainder + usize::from(value)) * 2 % 37;
    }
    let check = (38 - remainder) % 37;
    CHECK_ALPHABET.get(check).map(|&c| char::from(c))
}

/// What a code names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, VariantArray)]
pub enum CodeKind {
    Patient,
    Case,
    Item,
}

impl CodeKind {
    /// Each of them.
    pub const ALL: &[CodeKind] = CodeKind::VARIANTS;

    /// The first letter of every code of this kind.
    pub fn letter(self) -> char {
        match self {
            CodeKind::Patient => 'P',
            CodeKind::Case => 'C',
            CodeKind::Item => 'T',
        }
    }

    /// The words used on screens: "patient code", "case number", "tag".
    pub fn words(self) -> &'static str {
        match self {
            CodeKind::Patient => "patient code",
            CodeKind::Case => "case number",
            CodeKind::Item => "tag",
        }
    }
}

/// Why a typed code was not taken. The wording goes beside the field.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    #[error("Type the {0}: nine characters, such as {1}.")]
    Empty(&'static str, String),
    #[error("A {kind} has nine characters; {found} were typed.")]
    Length { kind: &'static str, found: usize },
    #[error("The character “{0}” is never part of a code.")]
    Character(char),
    #[error("This is a {found}, and a {wanted} is wanted here.")]
    OtherKind {
        found: &'static str,
        wanted: &'static str,
    },
    #[error("A {0} begins with {1}.")]
    Letter(&'static str, char),
    #[error(
        "One character of this code is mistyped: its check character does not fit. Read it again from the paper."
    )]
    Check,
}

/// A code of any kind, checked.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Code {
    kind: CodeKind,
    /// Nine characters, capital, without hyphens.
    text: String,
}

impl Code {
    /// Builds a code from chance: the first seven usable characters that `random` gives (each byte's
    /// low five bits pick a character). `None` where the check character is one that is never issued;
    /// the caller draws again.
    pub fn from_random(kind: CodeKind, random: [u8; BODY_LENGTH]) -> Option<Code> {
        let mut text = String::with_capacity(9);
        text.push(kind.letter());
        for byte in random {
            text.push(char::from(*ALPHABET.get(usize::from(byte & 31))?));
        }
        let check = mod_37_2_check(&text)?;
        if !ALPHABET.contains(&u8::try_from(check).ok()?) {
            return None;
        }
        text.push(check);
        Some(Code { kind, text })
    }

    /// Reads what was typed or scanned. Hyphens and spaces are ignored, small letters raised, O read
    /// as 0 and I or L as 1; no other letter is guessed. Figures of other scripts and full-width letters are those of ASCII. An address ending in the code (what the QR holds)
    /// is read as the code.
    pub fn parse(kind: CodeKind, typed: &str) -> Result<Code, CodeError> {
        let code = Code::parse_any(typed).map_err(|error| match error {
            CodeError::Empty(..) => CodeError::Empty(kind.words(), Code::example(kind)),
            CodeError::Length { found, .. } => CodeError::Length {
                kind: kind.words(),
                found,
            },
            CodeError::Letter(..) => CodeError::Letter(kind.words(), kind.letter()),
            other => other,
        })?;
        if code.kind != kind {
            return Err(CodeError::OtherKind {
                found: code.kind.words(),
                wanted: kind.words(),
            });
        }
        Ok(code)
    }

    /// Reads a code of whichever kind: what the scan box does.
    pub fn parse_any(typed: &str) -> Result<Code, CodeError> {
        // As most are read: as they are stored, nine signs and nothing else.
        let text = match typed.len() == BODY_LENGTH + 2 && typed.bytes().all(is_of_code) {
            true => typed.to_owned(),
            false => signs_of(last_part(typed))?,
        };
        if text.is_empty() {
            return Err(CodeError::Empty("code", Code::example(CodeKind::Case)));
        }
        if text.len() != BODY_LENGTH + 2 {
            return Err(CodeError::Length {
                kind: "code",
                found: text.len(),
            });
        }
        let Some(kind) = CodeKind::ALL
            .iter()
            .copied()
            .find(|k| text.starts_with(k.letter()))
        else {
            return Err(CodeError::Letter("code", CodeKind::Case.letter()));
        };
        let (body, check) = text.split_at(BODY_LENGTH + 1);
        if mod_37_2_check(body).map(String::from).as_deref() != Some(check) {
            return Err(CodeError::Check);
        }
        Ok(Code { kind, text })
    }

    fn example(kind: CodeKind) -> String {
        // The first issuable code of a kind: body 0000000, 0000001 and so on.
        (0..32)
            .find_map(|last| Code::from_random(kind, [0, 0, 0, 0, 0, 0, last]))
            .map(|code| code.to_string())
            .unwrap_or_default()
    }

    pub fn kind(&self) -> CodeKind {
        self.kind
    }

    /// Nine characters without hyphens: how it is stored, put into addresses and into a QR code.
    pub fn as_str(&self) -> &str {
        &self.text
    }
}

/// Every code in a text, in its order, and what is left over: a fast scanner leaves no gap between two codes, and
/// they are told apart by their length and their check characters. Behind an address's last slash stands its code.
pub fn codes_in(typed: &str) -> (Vec<Code>, String) {
    let (mut codes, mut rest) = (Vec::new(), String::new());
    let typed = plain(typed);
    let is_address = typed.contains('/');
    let letters: Vec<char> = typed
        .chars()
        .filter(|sign| !matches!(sign, '-' | ' ' | '\t' | '\n' | '\r'))
        .collect();
    let mut place = 0;
    while place < letters.len() {
        let behind_a_slash = place > 0 && letters.get(place - 1) == Some(&'/');
        let window: String = letters.iter().skip(place).take(BODY_LENGTH + 2).collect();
        let is_plain = window.chars().all(char::is_alphanumeric);
        let code = match is_plain && (behind_a_slash || !is_address) {
            true => Code::parse_any(&window).ok(),
            false => None,
        };
        match code {
            Some(code) => {
                codes.push(code);
                place += BODY_LENGTH + 2;
            }
            None => {
                rest.extend(letters.get(place));
                place += 1;
            }
        }
    }
    // What stands before the code of an address is no part of it.
    if is_address && !codes.is_empty() {
        rest.clear();
    }
    (codes, rest)
}

/// As people read it: three groups of three.
impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (first, rest) = self.text.split_at(3);
        let (second, third) = rest.split_at(3);
        write!(f, "{first}-{second}-{third}")
    }
}

/// Whether a sign is one of [`ALPHABET`].
fn is_of_code(sign: u8) -> bool {
    matches!(sign, b'0'..=b'9' | b'A'..=b'Z') && !matches!(sign, b'I' | b'L' | b'O' | b'U')
}

/// The signs of a code as it was typed.
fn signs_of(typed: &str) -> Result<String, CodeError> {
    let mut text = String::with_capacity(9);
    for character in typed.chars() {
        match plain_sign(character).to_ascii_uppercase() {
            '-' | '\u{2010}'..='\u{2015}' | '\u{2212}' => {}
            space if space.is_whitespace() => {}
            'O' => text.push('0'),
            'I' | 'L' => text.push('1'),
            c if c.is_ascii() && ALPHABET.contains(&(c as u8)) => text.push(c),
            _ => return Err(CodeError::Character(character)),
        }
    }
    Ok(text)
}

/// An address without its query and the slash that a browser may add.
fn bare_address(typed: &str) -> &str {
    let address = typed.split(['?', '#']).next().unwrap_or_default();
    address.trim().trim_end_matches('/')
}

/// The code in the address of a sheet, and the revision that stands behind it.
fn sheet_parts(typed: &str) -> Option<(&str, i64)> {
    let mut parts = bare_address(typed).rsplit('/');
    let (revision, code, room) = (parts.next()?, parts.next()?, parts.next()?);
    let is_number = revision.len() <= 4 && revision.chars().all(|sign| sign.is_ascii_digit());
    let revision = revision.parse().ok().filter(|_| is_number)?;
    room.eq_ignore_ascii_case("c").then_some((code, revision))
}

/// The revision that the code of a sheet names; none in any other text.
pub fn revision_in(typed: &str) -> Option<i64> {
    sheet_parts(typed).map(|(_, revision)| revision)
}

/// What stands behind the last slash, or in the address of a sheet before its revision.
fn last_part(typed: &str) -> &str {
    if let Some((code, _)) = sheet_parts(typed) {
        return code;
    }
    bare_address(typed).rsplit('/').next().unwrap_or_default()
}

/// A code type of one kind each, so that a tag cannot be passed where a case number belongs.
macro_rules! code_type {
    ($(#[$doc:meta])* $name:ident, $kind:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(Code);

        impl $name {
            /// See [`Code::from_random`].
            pub fn from_random(random: [u8; BODY_LENGTH]) -> Option<Self> {
                Code::from_random($kind, random).map($name)
            }
            /// See [`Code::parse`].
            pub fn parse(typed: &str) -> Result<Self, CodeError> {
                Code::parse($kind, typed).map($name)
            }
            /// Nine characters without hyphens, the stored form.
            pub fn as_str(&self) -> &str {
                self.0.as_str()
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl std::str::FromStr for $name {
            type Err = CodeError;
            fn from_str(typed: &str) -> Result<Self, CodeError> {
                $name::parse(typed)
            }
        }

        impl TryFrom<String> for $name {
            type Error = CodeError;
            fn try_from(text: String) -> Result<Self, CodeError> {
                $name::parse(&text)
            }
        }

        impl From<$name> for String {
            fn from(code: $name) -> String {
                code.0.text
            }
        }
    };
}

code_type!(
    /// A patient's pseudonym. Drawn by chance, never derived from the person.
    PatientCode, CodeKind::Patient
);
code_type!(
    /// A case number.
    CaseNumber, CodeKind::Case
);
code_type!(
    /// An item's tag: what stands on its label.
    Tag, CodeKind::Item
);

/// A type for each kind of identifier that nobody types, so that one kind cannot be passed where another belongs.
macro_rules! id_type {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
        )]
        pub struct $name(String);

        impl $name {
            /// Takes the text as it is: drawn just now, stored, or named by an address or a form.
            pub fn new(text: impl Into<String>) -> Self {
                $name(text.into())
            }
            /// The stored form.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl std::str::FromStr for $name {
            type Err = std::convert::Infallible;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Ok($name::new(text))
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> $name {
                $name::new(text)
            }
        }

        impl std::ops::Deref for $name {
            type Target = str;
            fn deref(&self) -> &str {
                &self.0
            }
        }
    };
}

id_type!(
    /// A party: a UUID drawn by chance, stored as it is; empty for an administrator, who has none.
    PartyId
);

impl PartyId {
    /// The id of an administrator's party, which no case has.
    pub fn none() -> &'static PartyId {
        static NONE: PartyId = PartyId(String::new());
        &NONE
    }
}

id_type!(
    /// An account: a UUID drawn by chance, stored as it is. Two people are different when these differ.
    AccountId
);
id_type!(
    /// A handoff, from its release to its receipt: a UUID drawn by chance, stored as it is.
    HandoffId
);
id_type!(
    /// A device at a bench: a UUID drawn by chance, stored as it is.
    DeviceId
);
id_type!(
    /// A timer of the bench: a UUID drawn by chance, or the entry that gave it back and its place there.
    TimerId
);

impl TimerId {
    /// The id of the timer at this place, from 0, among those that an entry gives back when it is withdrawn.
    pub fn given_back(by: &EventId, place: usize) -> TimerId {
        TimerId(format!("{by}-{place}"))
    }
}

id_type!(
    /// An event of custody: a UUID drawn by chance, stored as it is.
    EventId
);
id_type!(
    /// A hold: the id of the event that opened it, a full stop, and its place among those that this one opened, from 1.
    HoldId
);

impl HoldId {
    /// The id of the hold at this place, from 1, among those that an event opens.
    pub fn of(event: &EventId, place: usize) -> HoldId {
        HoldId(format!("{event}.{place}"))
    }

    /// The event that opened it; empty where the text is no id of a hold.
    pub fn opened_by(&self) -> EventId {
        EventId::new(self.0.rsplit_once('.').map_or("", |(event, _)| event))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_signs_of_a_code_are_those_of_its_alphabet() {
        for sign in 0..=u8::MAX {
            assert_eq!(is_of_code(sign), ALPHABET.contains(&sign), "{sign}");
        }
    }

    #[test]
    fn c11_codes_of_a_fast_scanner_are_told_apart() {
        let tags: Vec<Tag> = (0..=255_u8)
            .filter_map(|n| Tag::from_random([n, 7, n, 1, 2, 3, 4]))
            .take(5)
            .collect();
        let texts: Vec<&str> = tags.iter().map(Tag::as_str).collect();
        let read = |typed: &str| {
            let (codes, rest) = codes_in(typed);
            (
                codes
                    .iter()
                    .map(|code| code.as_str().to_owned())
                    .collect::<Vec<_>>(),
                rest,
            )
        };
        assert_eq!(
            read(&texts.concat()),
            (
                texts.iter().map(|text| (*text).to_owned()).collect(),
                String::new()
            )
        );
        let addresses: String = texts
            .iter()
            .map(|text| format!("HTTPS://CLINIC.EXAMPLE/I/{text}"))
            .collect();
        assert_eq!(read(&addresses).0, texts);
        let with_hyphens: Vec<String> = tags.iter().map(Tag::to_string).collect();
        assert_eq!(read(&with_hyphens.join(" ")).0, texts);
        // A letter that was lost is left over, and the codes around it are read.
        let torn = format!("{}{}{}", texts[0], &texts[1][1..], texts[2]);
        let (codes, rest) = read(&torn);
        assert!(
            codes.contains(&texts[0].to_owned()) && !rest.is_empty(),
            "{codes:?} {rest}"
        );
        assert_eq!(read("T00"), (Vec::new(), "T00".to_owned()));
    }

    #[test]
    fn mod_37_2_agrees_with_the_published_example() {
        // ISO/IEC 7064 MOD 37-2 example as published with the python-stdnum documentation:
        // G123489654321 has the check character Y.
        assert_eq!(mod_37_2_check("G123489654321"), Some('Y'));
    }

    #[test]
    fn a_digest_of_a_person_is_no_patient_code() {
        // 45 CFR 164.514(c): a code by which a record is found again is not derived from the person. Ours
        // come from chance alone, and what was made from a name and a birth date cannot be typed as one.
        let digest = crate::domain::values::digest::sha256_hex(b"Anna Berg 1948-03-12");
        for derived in [digest.as_str(), &digest[..9], "AB19480312", "AB-1948-03-12"] {
            assert!(PatientCode::parse(derived).is_err(), "{derived}");
        }
    }

    #[test]
    fn confusable_characters_and_small_letters_are_forgiven() {
        let code =
            Tag::from_random([0, 1, 0, 1, 5, 9, 12]).or(Tag::from_random([0, 1, 0, 1, 5, 9, 13]));
        let code = code.expect("one of two neighbours is issuable");
        let sloppy = code
            .to_string()
            .to_lowercase()
            .replace('0', "o")
            .replace('1', "l");
        assert_eq!(Tag::parse(&sloppy), Ok(code));
    }

    #[test]
    fn a_code_is_read_in_the_figures_and_letters_of_any_keyboard() {
        let code =
            Tag::from_random([0, 1, 0, 1, 5, 9, 12]).or(Tag::from_random([0, 1, 0, 1, 5, 9, 13]));
        let code = code.expect("one of two neighbours is issuable");
        let shifted = |zero: u32, sign: char| match sign.to_digit(10) {
            Some(value) => char::from_u32(zero + value).expect("a figure"),
            None => sign,
        };
        for zero in [0x660, 0x6f0] {
            let typed: String = code
                .to_string()
                .chars()
                .map(|sign| shifted(zero, sign))
                .collect();
            assert_eq!(Tag::parse(&typed), Ok(code.clone()), "{typed}");
        }
        let wide = |byte: u8| char::from_u32(0xfee0 + u32::from(byte)).expect("a full-width sign");
        let wide: String = code.to_string().bytes().map(wide).collect();
        assert_eq!(Tag::parse(&wide), Ok(code.clone()), "{wide}");
        assert_eq!(codes_in(&format!("{wide}{wide}")).0.len(), 2);
    }

    #[test]
    fn a_code_of_another_kind_is_named() {
        let patient = (0..32)
            .find_map(|n| PatientCode::from_random([n; 7]))
            .expect("some code");
        let error = Tag::parse(patient.as_str()).expect_err("a patient code is no tag");
        assert_eq!(
            error.to_string(),
            "This is a patient code, and a tag is wanted here."
        );
    }

    #[test]
    fn what_cannot_be_a_code_says_why() {
        for (typed, message) in [
            ("", "Type the tag: nine characters"),
            ("T12", "A tag has nine characters; 3 were typed."),
            ("T12-3U5-678", "The character “U” is never part of a code."),
            ("X00-000-000", "A tag begins with T."),
        ] {
            let error = Tag::parse(typed).expect_err(typed);
            assert!(error.to_string().starts_with(message), "{typed}: {error}");
        }
    }

    #[test]
    fn the_id_of_a_hold_names_the_event_that_opened_it() {
        let event = EventId::new("0b6f");
        let hold = HoldId::of(&event, 2);
        assert_eq!(hold.as_str(), "0b6f.2");
        assert_eq!(hold.opened_by(), event);
        assert_eq!(HoldId::new("no id").opened_by(), EventId::default());
    }

    /// As texts without a name of their type around them.
    #[test]
    fn ids_are_stored_as_they_are() {
        let stored = serde_json::to_string(&HoldId::new("0b6f.2")).unwrap();
        assert_eq!(stored, "\"0b6f.2\"");
        assert_eq!(
            serde_json::from_str(&stored).ok(),
            Some(HoldId::new("0b6f.2"))
        );
    }

    #[test]
    fn the_code_of_a_sheet_is_its_case_and_names_its_revision() {
        let number = (0..32)
            .find_map(|n| CaseNumber::from_random([n; 7]))
            .unwrap();
        let number = number.as_str();
        for (typed, revision) in [
            (format!("HTTPS://CLINIC.EXAMPLE/C/{number}/3"), Some(3)),
            (format!(" /c/{number}/12/?done=x "), Some(12)),
            (format!("HTTPS://CLINIC.EXAMPLE/C/{number}"), None),
            (number.to_owned(), None),
        ] {
            assert_eq!(Code::parse_any(&typed).unwrap().as_str(), number, "{typed}");
            assert_eq!(revision_in(&typed), revision, "{typed}");
        }
        // Behind anything else a number is no revision.
        for typed in [
            "/I/T4K7M92XQ/3",
            "/C/3",
            "3",
            "/C/C4K7M92XQ/12345",
            "/C/C4K7M92XQ/x",
        ] {
            assert_eq!(revision_in(typed), None, "{typed}");
        }
    }

    #[test]
    fn an_address_from_a_qr_code_is_read_as_its_code() {
        let tag = (0..32)
            .find_map(|n| Tag::from_random([n; 7]))
            .expect("some code");
        for address in [
            format!("HTTPS://HOST.EXAMPLE/I/{}", tag.as_str()),
            format!(
                " http://host.example:8080/items/{}/ ",
                tag.as_str().to_lowercase()
            ),
            format!("https://host.example/items/{tag}?done=item#main"),
            format!("{}\t", tag.to_string().replace('-', " \u{2013} ")),
        ] {
            assert_eq!(Tag::parse(&address), Ok(tag.clone()), "{address:?}");
        }
    }

    fn any_tag() -> impl Strategy<Value = Tag> {
        any::<[u8; BODY_LENGTH]>().prop_filter_map("not issued", Tag::from_random)
    }

    proptest! {
        #[test]
        fn every_issued_code_reads_back(tag in any_tag()) {
            prop_assert_eq!(Tag::parse(&tag.to_string()), Ok(tag.clone()));
            prop_assert_eq!(Tag::parse(tag.as_str()), Ok(tag));
        }

        // ISO/IEC 7064 on its pure systems: the values, each weighted by two to the power of its place
        // from the right, add up to 1 modulo 37 with the check character as the last.
        #[test]
        fn the_weighted_sum_with_the_check_character_leaves_one(text in "[0-9A-Z]{1,30}") {
            let check = mod_37_2_check(&text).expect("digits and capitals");
            let whole = format!("{text}{check}");
            let mut sum = 0;
            for (place, byte) in whole.bytes().rev().enumerate() {
                let value = CHECK_ALPHABET.iter().position(|&one| one == byte).expect("of the alphabet");
                let weight = (0..place).fold(1, |weight, _| weight * 2 % 37);
                sum += value * weight;
            }
            prop_assert_eq!(sum % 37, 1);
        }

        // MOD 37-2 detects every single substitution and every adjacent transposition
        // (a property ISO/IEC 7064 states for its pure systems).
        #[test]
        fn every_single_substitution_is_caught(tag in any_tag(), place in 1_usize..9, other in 0_usize..32) {
            let mut text: Vec<u8> = tag.as_str().bytes().collect();
            let new = ALPHABET[other];
            prop_assume!(text[place] != new);
            text[place] = new;
            prop_assert_eq!(Tag::parse(&String::from_utf8(text).expect("ascii")), Err(CodeError::Check));
        }

        #[test]
        fn every_adjacent_swap_is_caught(tag in any_tag(), place in 1_usize..8) {
            let mut text: Vec<u8> = tag.as_str().bytes().collect();
            prop_assume!(text[place] != text[place + 1]);
            text.swap(place, place + 1);
            prop_assert_eq!(Tag::parse(&String::from_utf8(text).expect("ascii")), Err(CodeError::Check));
        }

        #[test]
        fn no_text_panics(text in ".*") {
            let _answer = Code::parse_any(&text);
        }
    }
}
