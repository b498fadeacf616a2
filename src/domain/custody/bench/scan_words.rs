//! Words for the scanner: whoever has wet gloves scans them off a card instead of touching the page of the bench. Each is
//! of capitals, full stops and hyphens alone, the dense mode of a QR code, and longer than a pan.

use super::steps::BenchStep;
use super::timers::BenchTimer;
use crate::domain::values::arch::Arches;
use crate::domain::values::words::capitalised;

/// What such a word asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScanWord {
    /// Another step than the next.
    Step(BenchStep),
    Of(Arches),
    Done,
    /// The tick that the page asks for.
    Yes,
    Ask,
    Another,
    List,
    /// The next of what is measured.
    Next,
    Key(char),
    /// The number that stands there is taken out.
    Clear,
    NewLot,
    /// A timer of the step, as long as it was set last.
    Timer(BenchTimer),
    /// The material in this place of those that were used last.
    Used(usize),
}

/// Materials that were used last, with a place each.
pub const USED_MOST: usize = 6;

const KEYS: &str = "0123456789.-";

impl ScanWord {
    /// What stands in the code.
    pub fn text(self) -> String {
        let rest = match self {
            ScanWord::Step(step) => format!("STEP.{}", step.word()),
            ScanWord::Of(arches) => format!("ARCH.{}", arches.word()),
            ScanWord::Done => "DONE".to_owned(),
            ScanWord::Yes => "YES.TICK".to_owned(),
            ScanWord::Ask => "ASK".to_owned(),
            ScanWord::Another => "PERSON".to_owned(),
            ScanWord::List => "LIST".to_owned(),
            ScanWord::Next => "NEXT".to_owned(),
            ScanWord::Key('.') => "KEY.POINT".to_owned(),
            ScanWord::Key('-') => "KEY.MINUS".to_owned(),
            ScanWord::Key(key) => format!("KEY.{key}"),
            ScanWord::Clear => "KEY.CLEAR".to_owned(),
            ScanWord::NewLot => "LOT.NEW".to_owned(),
            ScanWord::Timer(timer) => format!("TIMER.{}", timer.word()),
            ScanWord::Used(place) => format!("LOT.{place}"),
        };
        format!("BENCH.{}", rest.to_uppercase().replace('_', "-"))
    }

    /// What is printed below the code.
    pub fn shown(self) -> String {
        match self {
            ScanWord::Step(step) => capitalised(step.shown()),
            ScanWord::Of(arches) => capitalised(arches.shown()),
            ScanWord::Done => "Done: enter it".to_owned(),
            ScanWord::Yes => "Yes, all the same".to_owned(),
            ScanWord::Ask => "Ask the office".to_owned(),
            ScanWord::Another => "Change person".to_owned(),
            ScanWord::List => "List of the bench".to_owned(),
            ScanWord::Next => "Next number".to_owned(),
            ScanWord::Key('.') => "Point".to_owned(),
            ScanWord::Key('-') => "Minus".to_owned(),
            ScanWord::Key(key) => key.to_string(),
            ScanWord::Clear => "Clear the field".to_owned(),
            ScanWord::NewLot => "Another lot".to_owned(),
            ScanWord::Timer(timer) => format!("Start: {}", timer.shown()),
            ScanWord::Used(place) => format!("Place {place}"),
        }
    }

    /// All of them under their headings, as they stand on the card.
    pub fn groups() -> Vec<(&'static str, Vec<ScanWord>)> {
        let steps = BenchStep::ALL.iter().copied().map(ScanWord::Step);
        let arches = [Arches::Upper, Arches::Lower, Arches::Both].map(ScanWord::Of);
        let rest = [
            ScanWord::Done,
            ScanWord::Yes,
            ScanWord::Ask,
            ScanWord::Another,
            ScanWord::List,
        ];
        let timers = BenchTimer::ALL.iter().copied().map(ScanWord::Timer);
        let keys = KEYS.chars().map(ScanWord::Key);
        let used = (1..=USED_MOST).map(ScanWord::Used);
        vec![
            (
                "Arch, what to do, and a timer: it runs as long as it did last time",
                arches.into_iter().chain(rest).chain(timers).collect(),
            ),
            ("Another step", steps.collect()),
            (
                "What was measured: the digits of one number, then the next",
                keys.chain([ScanWord::Clear, ScanWord::Next]).collect(),
            ),
            (
                "Material: its place in the list “Used last”. For another lot scan “Another lot”, the lot, then the place",
                std::iter::once(ScanWord::NewLot).chain(used).collect(),
            ),
        ]
    }

    /// The word that was scanned; none where it is something else.
    pub fn parse(scanned: &str) -> Option<ScanWord> {
        let scanned = scanned.trim().to_uppercase();
        let groups = ScanWord::groups().into_iter();
        let mut all = groups.flat_map(|(_, words)| words);
        all.find(|word| word.text() == scanned)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::bench::PAN_MOST;
    use crate::domain::values::ids::Code;
    use std::collections::BTreeSet;

    #[test]
    fn each_word_is_read_again_and_is_neither_a_pan_nor_a_code() {
        let groups = ScanWord::groups().into_iter();
        let all: Vec<ScanWord> = groups.flat_map(|(_, words)| words).collect();
        let texts: BTreeSet<String> = all.iter().map(|word| word.text()).collect();
        assert_eq!(texts.len(), all.len(), "no two are the same");
        for word in all {
            let text = word.text();
            assert_eq!(ScanWord::parse(&text), Some(word), "{text}");
            assert_eq!(
                ScanWord::parse(&format!(" {} ", text.to_lowercase())),
                Some(word)
            );
            assert!(text.len() > PAN_MOST, "{text}");
            assert!(Code::parse_any(&text).is_err(), "{text}");
            // ISO/IEC 18004: the signs of the alphanumeric mode.
            let is_dense = |sign: char| {
                sign.is_ascii_uppercase() || sign.is_ascii_digit() || "-.".contains(sign)
            };
            assert!(text.chars().all(is_dense), "{text}");
        }
        for other in [
            "",
            "B-3",
            "BENCH",
            "BENCH.LOT.7",
            "BENCH.STEP.",
            "LOT 26-0914",
        ] {
            assert_eq!(ScanWord::parse(other), None, "{other}");
        }
    }
}
