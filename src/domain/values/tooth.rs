//! Teeth by number. Stored as ISO 3950 (two digits), read and shown in the party's own system.
//!
//! Eighteen numbers (11-18, 21-28, 31, 32) are valid in both ISO 3950 and the Universal system and
//! never mean the same tooth, so a number is never shown without the system's name and the tooth in
//! words. Right and left are the patient's. Permanent teeth only: a complete denture has no others.

use crate::domain::values::arch::Arch;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};
use std::fmt;

words_of! {
    /// How a party writes tooth numbers. Signed documents keep ISO 3950; this is for reading and typing.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Numbering {
        Iso3950 = "ISO 3950 (two digits)",
        Universal = "Universal (1 to 32)",
    }
}

words_of! {
    /// The patient's side.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum PatientSide {
        Right = "patient’s right",
        Left = "patient’s left",
    }
}

/// A permanent tooth: quadrant 1 to 4 and place 1 to 8 from the midline, as ISO 3950 counts them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Tooth {
    quadrant: u8,
    place: u8,
}

const HOW_TO_WRITE: &str = "Write one tooth number, such as";

impl Tooth {
    /// All 32, in the order of the Universal system: from the upper right third molar round to the
    /// lower right one.
    pub fn all() -> impl Iterator<Item = Tooth> {
        (1..=32).filter_map(Tooth::from_universal)
    }

    /// Quadrant and place as ISO 3950 has them.
    pub fn from_iso(number: u8) -> Option<Tooth> {
        let (quadrant, place) = (number / 10, number % 10);
        ((1..=4).contains(&quadrant) && (1..=8).contains(&place))
            .then_some(Tooth { quadrant, place })
    }

    /// The Universal system of the American Dental Association: 1 to 16 along the upper arch from the
    /// patient's right, 17 to 32 along the lower arch from the patient's left.
    pub fn from_universal(number: u8) -> Option<Tooth> {
        let (quadrant, place) = match number {
            1..=8 => (1, 9 - number),
            9..=16 => (2, number - 8),
            17..=24 => (3, 25 - number),
            25..=32 => (4, number - 24),
            _ => return None,
        };
        Some(Tooth { quadrant, place })
    }

    pub fn iso(self) -> u8 {
        self.quadrant * 10 + self.place
    }

    pub fn universal(self) -> u8 {
        match self.quadrant {
            1 => 9 - self.place,
            2 => 8 + self.place,
            3 => 25 - self.place,
            _ => 24 + self.place,
        }
    }

    /// Palmer's place in the quadrant, written in letters because its brackets print badly: `UR1`.
    pub fn palmer(self) -> String {
        let quadrant = match self.quadrant {
            1 => "UR",
            2 => "UL",
            3 => "LL",
            _ => "LR",
        };
        format!("{quadrant}{}", self.place)
    }

    pub fn arch(self) -> Arch {
        if self.quadrant <= 2 {
            Arch::Upper
        } else {
            Arch::Lower
        }
    }

    pub fn side(self) -> PatientSide {
        if matches!(self.quadrant, 1 | 4) {
            PatientSide::Right
        } else {
            PatientSide::Left
        }
    }

    /// Incisor or canine.
    pub fn is_anterior(self) -> bool {
        self.place <= 3
    }

    /// `upper right first premolar`
    pub fn words(self) -> String {
        let side = match self.side() {
            PatientSide::Right => "right",
            PatientSide::Left => "left",
        };
        let name = match self.place {
            1 => "central incisor",
            2 => "lateral incisor",
            3 => "canine",
            4 => "first premolar",
            5 => "second premolar",
            6 => "first molar",
            7 => "second molar",
            _ => "third molar",
        };
        format!("{} {side} {name}", self.arch().word())
    }

    /// The number with its system, never bare: `14 (ISO 3950)`. This is also the text kept in drafts,
    /// so that a draft means the same teeth after the party's setting has changed.
    pub fn number(self, numbering: Numbering) -> String {
        match numbering {
            Numbering::Iso3950 => format!("{} (ISO 3950)", self.iso()),
            Numbering::Universal => format!("{} (Universal)", self.universal()),
        }
    }

    /// As screens and papers show it: `14 (ISO 3950) upper right first premolar`.
    pub fn shown(self, numbering: Numbering) -> String {
        format!("{} {}", self.number(numbering), self.words())
    }

    /// Reads a tooth: a number in the given system, a number with its system's name, or Palmer's
    /// letters (`UR4`). `1.4` is a way of writing ISO 3950 and `#14` one of writing the Universal
    /// system: where the setting says otherwise and no name stands beside it, nobody can tell what was
    /// meant, and it is refused.
    pub fn parse(typed: &str, numbering: Numbering) -> Result<Tooth, String> {
        let text: String = typed
            .chars()
            .filter(|c| !c.is_whitespace() && !"()".contains(*c))
            .collect();
        let text = text.to_lowercase();
        if let Some(tooth) = from_palmer(&text) {
            return Ok(tooth);
        }
        let (marked, text) = match text.strip_prefix('#') {
            Some(rest) => (Some(Numbering::Universal), rest),
            None if text.get(1..2) == Some(".") => (Some(Numbering::Iso3950), text.as_str()),
            None => (None, text.as_str()),
        };
        let text = text.replacen('.', "", usize::from(marked == Some(Numbering::Iso3950)));
        let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
        let system = match text.get(digits.len()..).unwrap_or_default() {
            "" => numbering,
            "iso" | "iso3950" | "fdi" => Numbering::Iso3950,
            "universal" | "ada" => Numbering::Universal,
            _ => return Err(refusal(numbering)),
        };
        let number: Option<u8> = if digits.len() <= 2 {
            digits.parse().ok()
        } else {
            None
        };
        let tooth = match system {
            // Two digits are the system: "01" is the whole upper jaw in ISO 3950, not a tooth.
            Numbering::Iso3950 => number
                .filter(|_| digits.len() == 2)
                .and_then(Tooth::from_iso),
            Numbering::Universal => number.and_then(Tooth::from_universal),
        };
        tooth
            .filter(|_| marked.is_none_or(|marked| marked == system))
            .ok_or_else(|| refusal(system))
    }
}

fn from_palmer(text: &str) -> Option<Tooth> {
    let quadrant = match text.get(..2)? {
        "ur" => 1,
        "ul" => 2,
        "ll" => 3,
        "lr" => 4,
        _ => return None,
    };
    let place: u8 = text.get(2..)?.parse().ok()?;
    (text.len() == 3)
        .then(|| Tooth::from_iso(quadrant * 10 + place))
        .flatten()
}

fn refusal(numbering: Numbering) -> String {
    match numbering {
        Numbering::Iso3950 => format!(
            "{HOW_TO_WRITE} 14: in ISO 3950 the first digit is the quadrant, 1 to 4, the second the place from the midline, 1 to 8."
        ),
        Numbering::Universal => {
            format!("{HOW_TO_WRITE} 5: in the Universal system teeth count from 1 to 32.")
        }
    }
}

/// The stored form: ISO 3950, two digits.
impl fmt::Display for Tooth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.iso())
    }
}

impl TryFrom<String> for Tooth {
    type Error = String;
    fn try_from(text: String) -> Result<Tooth, String> {
        let two_digits = text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_digit());
        let number = text.parse().ok().filter(|_| two_digits);
        number
            .and_then(Tooth::from_iso)
            .ok_or_else(|| refusal(Numbering::Iso3950))
    }
}

impl From<Tooth> for String {
    fn from(tooth: Tooth) -> String {
        tooth.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Numbering::{Iso3950, Universal};
    use proptest::prelude::*;

    /// The upper and lower rows of the chart as published, from the patient's right to the left:
    /// two-digit numbers of ISO 3950 above the Universal numbers of the American Dental Association.
    const CHART: [[u8; 16]; 4] = [
        [
            18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28,
        ],
        [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16],
        [
            48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38,
        ],
        [
            32, 31, 30, 29, 28, 27, 26, 25, 24, 23, 22, 21, 20, 19, 18, 17,
        ],
    ];

    #[test]
    fn all_32_agree_with_the_published_chart() {
        for (iso_row, universal_row) in [(CHART[0], CHART[1]), (CHART[2], CHART[3])] {
            for (iso, universal) in iso_row.into_iter().zip(universal_row) {
                let tooth = Tooth::from_iso(iso).expect("a tooth of the chart");
                assert_eq!(tooth.universal(), universal, "ISO {iso}");
                assert_eq!(
                    Tooth::from_universal(universal),
                    Some(tooth),
                    "Universal {universal}"
                );
            }
        }
        assert_eq!(Tooth::all().count(), 32);
    }

    #[test]
    fn the_chart_rows_are_arches_and_its_halves_the_patients_sides() {
        for (row, arch) in [(CHART[0], Arch::Upper), (CHART[2], Arch::Lower)] {
            for (place, iso) in row.into_iter().enumerate() {
                let tooth = Tooth::from_iso(iso).expect("a tooth of the chart");
                let side = if place < 8 {
                    PatientSide::Right
                } else {
                    PatientSide::Left
                };
                assert_eq!((tooth.arch(), tooth.side()), (arch, side), "ISO {iso}");
            }
        }
    }

    #[test]
    fn the_numbers_valid_in_both_systems_never_mean_the_same_tooth_and_are_never_shown_bare() {
        let both: Vec<u8> = (0..=99)
            .filter(|n| Tooth::from_iso(*n).is_some() && Tooth::from_universal(*n).is_some())
            .collect();
        let expected: Vec<u8> = (11..=18).chain(21..=28).chain([31, 32]).collect();
        assert_eq!(both, expected);
        for number in both {
            assert_ne!(
                Tooth::from_iso(number),
                Tooth::from_universal(number),
                "{number}"
            );
        }
        for tooth in Tooth::all() {
            for numbering in [Iso3950, Universal] {
                let shown = tooth.shown(numbering);
                assert!(
                    shown.contains(&tooth.words()) && shown.contains('('),
                    "{shown}"
                );
            }
        }
    }

    #[test]
    fn all_32_agree_in_palmers_letters_and_in_words() {
        // Palmer's quadrants in letters, in the order of ISO 3950; names from the midline backwards as the
        // two numbering systems publish them.
        let quadrants = [
            ("UR", "upper right"),
            ("UL", "upper left"),
            ("LL", "lower left"),
            ("LR", "lower right"),
        ];
        let names = [
            "central incisor",
            "lateral incisor",
            "canine",
            "first premolar",
            "second premolar",
            "first molar",
            "second molar",
            "third molar",
        ];
        let mut seen = 0;
        for ((letters, side), quadrant) in quadrants.into_iter().zip(1_u8..) {
            for (name, place) in names.into_iter().zip(1_u8..) {
                let tooth = Tooth::from_iso(quadrant * 10 + place).expect("a tooth of the chart");
                let palmer = format!("{letters}{place}");
                assert_eq!(tooth.palmer(), palmer);
                assert_eq!(tooth.words(), format!("{side} {name}"));
                assert_eq!(tooth.is_anterior(), place <= 3);
                for numbering in [Iso3950, Universal] {
                    assert_eq!(Tooth::parse(&palmer, numbering), Ok(tooth));
                    assert_eq!(Tooth::parse(&palmer.to_lowercase(), numbering), Ok(tooth));
                }
                seen += 1;
            }
        }
        assert_eq!(seen, 32);
    }

    #[test]
    fn teeth_are_named_in_words() {
        // Names by position as ISO 3950 and the American Dental Association's Universal system list them.
        for (iso, palmer, words) in [
            (14, "UR4", "upper right first premolar"),
            (11, "UR1", "upper right central incisor"),
            (24, "UL4", "upper left first premolar"),
            (33, "LL3", "lower left canine"),
            (46, "LR6", "lower right first molar"),
            (48, "LR8", "lower right third molar"),
        ] {
            let tooth = Tooth::from_iso(iso).expect("a tooth");
            assert_eq!(
                (tooth.palmer().as_str(), tooth.words().as_str()),
                (palmer, words)
            );
            assert_eq!(Tooth::parse(palmer, Universal), Ok(tooth));
        }
        let tooth = Tooth::from_iso(14).expect("a tooth");
        assert_eq!(
            tooth.shown(Iso3950),
            "14 (ISO 3950) upper right first premolar"
        );
        assert_eq!(
            tooth.shown(Universal),
            "5 (Universal) upper right first premolar"
        );
    }

    #[test]
    fn a_number_with_its_system_is_read_whatever_the_setting() {
        let tooth = Tooth::from_iso(14);
        for typed in [
            "14 ISO",
            "14 (ISO 3950)",
            "14 FDI",
            "5 Universal",
            "#5 (Universal)",
            "1.4 ISO",
            "ur4",
        ] {
            for numbering in [Iso3950, Universal] {
                assert_eq!(Tooth::parse(typed, numbering).ok(), tooth, "{typed}");
            }
        }
        assert_eq!(Tooth::parse("14", Iso3950).ok(), Tooth::from_iso(14));
        assert_eq!(Tooth::parse("14", Universal).ok(), Tooth::from_iso(26));
        assert_eq!(Tooth::parse("1.4", Iso3950).ok(), Tooth::from_iso(14));
        assert_eq!(Tooth::parse("#14", Universal).ok(), Tooth::from_iso(26));
        assert!(Tooth::parse("1.4", Universal).is_err() && Tooth::parse("#14", Iso3950).is_err());
    }

    #[test]
    fn what_names_no_tooth_is_refused() {
        for typed in [
            "19", "29", "39", "40", "49", "50", "59", "01", "00", "10", "1", "114", "", "x", "UR9",
            "UR0", "51",
        ] {
            assert!(Tooth::parse(typed, Iso3950).is_err(), "ISO 3950 {typed}");
        }
        for typed in [
            "0",
            "33",
            "-1",
            "48",
            "256",
            "A",
            "1000000000000",
            "11 Palmer",
            "é1",
        ] {
            assert!(Tooth::parse(typed, Universal).is_err(), "Universal {typed}");
        }
        for stored in ["\"19\"", "\"5\"", "\"014\"", "14", "\"+1\""] {
            assert!(serde_json::from_str::<Tooth>(stored).is_err(), "{stored}");
        }
    }

    proptest! {
        #[test]
        fn every_tooth_reads_back_in_every_form(universal in 1_u8..=32) {
            let tooth = Tooth::from_universal(universal).expect("1 to 32");
            for numbering in [Iso3950, Universal] {
                prop_assert_eq!(Tooth::parse(&tooth.number(numbering), Iso3950), Ok(tooth));
                prop_assert_eq!(Tooth::parse(&tooth.palmer(), numbering), Ok(tooth));
            }
            prop_assert_eq!(Tooth::try_from(tooth.to_string()), Ok(tooth));
            prop_assert_eq!(Tooth::parse(&tooth.universal().to_string(), Universal), Ok(tooth));
        }

        #[test]
        fn no_text_panics(text in ".*") {
            let _answer = (Tooth::parse(&text, Iso3950), Tooth::parse(&text, Universal));
        }
    }
}
