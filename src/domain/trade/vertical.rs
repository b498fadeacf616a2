//! Vertical dimension: what the readings say, and how far they can be trusted.
//!
//! Rest is not a fixed height: it drifts with the dentures and from reading to reading. So readings are
//! repeated, their spread is shown beside their mean, and the distance between rest and occlusion is
//! judged in words. All lengths are exact hundredths of a millimetre, so that a value at the border of
//! a range falls on the side where the range says.

use crate::domain::prescription::MeasuredAt;
use crate::domain::trade::hinge::{self, Radii};
use crate::domain::values::evidence::{Source, Statement};
use crate::domain::values::measure::Mm;

/// A face is no shorter and no longer between the marks of a vertical reading.
const LEAST: Mm = Mm::from_hundredths(2_000);
const MOST: Mm = Mm::from_hundredths(12_000);
/// Readings of one height that differ by more than this say more about the reading than the height.
const DOUBTFUL_SPREAD: Mm = Mm::from_hundredths(200);

const TEACHING: Source =
    Source::published("teaching value for complete dentures, 2 to 4 mm, as told by Mohindra");
const PROTOCOL: Source = Source::published("a published clinical protocol: rest less 3 mm");
const NATURAL: Source =
    Source::published("Aradya 2017, people with natural teeth: mean 2.6 to 3.0, range 1 to 7 mm");
const LARGE_CHANGE: Source = Source::published(
    "Mohindra: 21 overclosed denture wearers raised in one step by 3 to 19 mm, mean 9.7, by pivots and an own questionnaire, without controls; a narrative review of people with natural teeth (PMC11104375) seldom finds more than 5 mm needed",
);
const SPEECH: Source = Source::from_memory("Silverman, closest speaking space of about 1 mm");

/// Repeated readings of one height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Summary {
    pub count: usize,
    /// Rounded to a hundredth of a millimetre, half away from zero.
    pub mean: Mm,
    pub least: Mm,
    pub most: Mm,
    /// Greatest less least.
    pub spread: Mm,
}

impl Summary {
    /// What is to be said of the readings themselves; `None` where two or more agree within 2 mm.
    pub fn remark(&self) -> Option<Statement> {
        if self.count < 2 {
            return Some(Statement::new(
                "One reading cannot show how far it can be trusted: read again after the jaw has moved.",
                Source::COMMON_PRACTICE,
            ));
        }
        (self.spread > DOUBTFUL_SPREAD).then(|| {
            Statement::new(
                format!(
                    "The readings differ by {} mm: read again before a height is built on them.",
                    self.spread
                ),
                Source::COMMON_PRACTICE,
            )
        })
    }
}

/// Mean and spread of readings of one height.
///
/// # Errors
/// A sentence where there is no reading, or one outside 20 to 120 mm.
pub fn summarise(readings: &[Mm]) -> Result<Summary, String> {
    let (Some(least), Some(most)) = (
        readings.iter().min().copied(),
        readings.iter().max().copied(),
    ) else {
        return Err("There is no reading yet.".into());
    };
    if let Some(odd) = readings.iter().find(|mm| !(LEAST..=MOST).contains(*mm)) {
        return Err(format!(
            "A reading of {odd} mm cannot be right: 20 to 120 mm is accepted. Check number and unit."
        ));
    }
    let count = readings.len();
    let sum: i64 = readings.iter().map(|mm| mm.hundredths()).sum();
    Ok(Summary {
        count,
        mean: Mm::from_hundredths((sum as f64 / count as f64).round() as i64),
        least,
        most,
        spread: less(most, least),
    })
}

fn less(minuend: Mm, subtrahend: Mm) -> Mm {
    Mm::from_hundredths(minuend.hundredths().saturating_sub(subtrahend.hundredths()))
}

/// What the interocclusal distance says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Interocclusal {
    /// Occlusion higher than rest.
    Impossible,
    /// The teeth meet at rest.
    None,
    /// Above 0 and below 2 mm.
    Small,
    /// 2 to 4 mm, both included.
    Usual,
    /// Above 4 and up to 7 mm, seen in some mouths with natural teeth.
    Large,
    /// Above 7 mm: outside what was found even with natural teeth.
    Overclosed,
}

/// Rest less occlusal, in millimetres.
pub fn interocclusal_mm(rest: Mm, occlusal: Mm) -> Mm {
    less(rest, occlusal)
}

/// The occlusal height that the common teaching rule gives: rest less 3 mm. A start for the try-in,
/// not a finding.
pub fn occlusal_by_rule(rest: Mm) -> (Mm, Source) {
    (less(rest, Mm::from_hundredths(300)), PROTOCOL)
}

impl Interocclusal {
    /// The verdict on a distance between rest and occlusion.
    pub fn of(distance: Mm) -> Interocclusal {
        match distance.hundredths() {
            ..=-1 => Interocclusal::Impossible,
            0 => Interocclusal::None,
            1..=199 => Interocclusal::Small,
            200..=400 => Interocclusal::Usual,
            401..=700 => Interocclusal::Large,
            _ => Interocclusal::Overclosed,
        }
    }

    /// The verdict in words, with its source.
    pub fn explained(self) -> Statement {
        let (sentence, source) = match self {
            Interocclusal::Impossible => (
                "Occlusion is higher than rest, which no jaw can do: one of the readings, or its method, is wrong.",
                Source::DEFINITION,
            ),
            Interocclusal::None => (
                "Rest and occlusion are the same: the teeth never part, which tires the muscles and makes the ridges sore. The height is probably too great.",
                TEACHING,
            ),
            Interocclusal::Small => (
                "Less than the 2 to 4 mm usually taught: the height may be too great. Listen to S sounds and clicking.",
                TEACHING,
            ),
            Interocclusal::Usual => ("Within the 2 to 4 mm usually taught.", TEACHING),
            Interocclusal::Large => (
                "More than the 2 to 4 mm usually taught, though found with natural teeth: the height may be too small.",
                NATURAL,
            ),
            Interocclusal::Overclosed => (
                "More than has been found with natural teeth: overclosed, or rest was read with the mouth open.",
                NATURAL,
            ),
        };
        Statement::new(sentence, source)
    }
}

/// The gap between the front teeth on the S sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SpeechGap {
    /// The teeth or rims touch.
    Touching,
    /// Under half a millimetre.
    Narrow,
    /// 0.5 to 2 mm, both included.
    Usual,
    /// Above 2 mm.
    Wide,
}

impl SpeechGap {
    /// The verdict on a closest speaking space.
    ///
    /// # Errors
    /// A sentence for a gap below zero or above 10 mm.
    pub fn of(gap: Mm) -> Result<SpeechGap, String> {
        Ok(match gap.hundredths() {
            0 => SpeechGap::Touching,
            1..=49 => SpeechGap::Narrow,
            50..=200 => SpeechGap::Usual,
            201..=1000 => SpeechGap::Wide,
            _ => {
                return Err(format!(
                    "A speaking space of {gap} mm cannot be right: 0 to 10 mm is accepted."
                ));
            }
        })
    }

    /// The verdict in words. That nothing may touch on S is published; where narrow and wide begin is
    /// common practice.
    pub fn explained(self) -> Statement {
        let (sentence, source) = match self {
            SpeechGap::Touching => (
                "The teeth touch on S: the height is too great, or the front teeth stand wrongly.",
                PROTOCOL,
            ),
            SpeechGap::Narrow => (
                "Hardly any room on S: the height may be too great.",
                Source::COMMON_PRACTICE,
            ),
            SpeechGap::Usual => ("About the millimeter that S needs.", SPEECH),
            SpeechGap::Wide => (
                "Much room on S: the height may be too small, or the front teeth too short.",
                Source::COMMON_PRACTICE,
            ),
        };
        Statement::new(sentence, source)
    }
}

/// A change of vertical dimension: how much, and where that is measured. Plus opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct VerticalChange {
    pub by: Mm,
    pub at: MeasuredAt,
}

/// How large a change is, at the incisors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ChangeSize {
    /// Up to 5 mm.
    Ordinary,
    /// Above 5 mm: ask.
    Large,
    /// Above 10 mm: ask with emphasis.
    VeryLarge,
    /// Above 20 mm: beyond the published cases known here.
    Refused,
}

impl VerticalChange {
    /// The same change at the incisors, mm. A reading on the face is taken as it is: the chin lies
    /// further from the axis, so that the teeth open a little less than the face shows.
    ///
    /// # Errors
    /// A sentence where the change or a radius is out of range.
    pub fn at_incisors(&self, radii: &Radii) -> Result<f64, String> {
        hinge::opening_elsewhere(self.by.to_f64(), self.at, MeasuredAt::Incisors, radii)
    }

    /// "opened by 3 mm at the incisal pin"
    pub fn words(&self) -> String {
        let size = Mm::from_hundredths(self.by.hundredths().saturating_abs());
        match self.by.hundredths() {
            0 => "kept as it is".to_owned(),
            1.. => format!("opened by {size} mm {}", self.at.shown()),
            _ => format!("closed by {size} mm {}", self.at.shown()),
        }
    }
}

impl ChangeSize {
    /// The size of an opening (plus) or closing (minus), in millimetres at the incisors. What is no
    /// number is refused.
    pub fn of(mm_at_incisors: f64) -> ChangeSize {
        // Scaling from pin to incisors leaves errors in the last bits; a hundredth is all that was read.
        let size = (mm_at_incisors.abs() * 100.0).round() / 100.0;
        if size <= 5.0 {
            ChangeSize::Ordinary
        } else if size <= 10.0 {
            ChangeSize::Large
        } else if size <= 20.0 {
            ChangeSize::VeryLarge
        } else {
            ChangeSize::Refused
        }
    }

    pub fn explained(self) -> Statement {
        let sentence = match self {
            ChangeSize::Ordinary => "A change of up to 5 mm at the incisors.",
            ChangeSize::Large => {
                "More than 5 mm at the incisors is seldom needed: try it on the provisional first."
            }
            ChangeSize::VeryLarge => {
                "More than 10 mm at the incisors: only long overclosed mouths were raised that far, some had to be lowered again."
            }
            ChangeSize::Refused => {
                "More than 20 mm at the incisors is beyond all published cases known here: check number, unit and sign."
            }
        };
        Statement::new(sentence, LARGE_CHANGE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(text: &str) -> Mm {
        Mm::parse(text).expect("mm")
    }

    #[test]
    fn the_distance_is_judged_in_words() {
        use Interocclusal::*;
        for (rest, occlusal, distance, verdict) in [
            // Teaching value 2 to 4 mm, verified in a published text.
            ("68", "65", "3", Usual),
            // Same rule: nothing between the teeth at rest.
            ("66", "66", "0", None),
            // By definition.
            ("64", "66", "-2", Impossible),
            ("66", "66.01", "-0.01", Impossible),
            // Regression values at the borders.
            ("68", "59", "9", Overclosed),
            ("68.1", "66.11", "1.99", Small),
            ("68.1", "66.1", "2", Usual),
            ("68.1", "64.1", "4", Usual),
            ("68.1", "64.09", "4.01", Large),
            ("68", "61", "7", Large),
            ("68", "60.99", "7.01", Overclosed),
        ] {
            let found = interocclusal_mm(mm(rest), mm(occlusal));
            assert_eq!(found, mm(distance), "{rest} less {occlusal}");
            assert_eq!(Interocclusal::of(found), verdict, "{rest} less {occlusal}");
        }
    }

    #[test]
    fn the_rule_takes_three_from_rest() {
        // A published protocol: occlusal = rest - 3 mm.
        assert_eq!(occlusal_by_rule(mm("70")).0, mm("67"));
    }

    #[test]
    fn readings_give_mean_and_spread() {
        let found = summarise(&[mm("68"), mm("69"), mm("68.5")]).expect("summary");
        assert_eq!(
            (found.count, found.mean, found.spread),
            (3, mm("68.5"), mm("1"))
        );
        assert_eq!(found.remark(), None);
        assert!(summarise(&[mm("68")]).expect("one").remark().is_some());
        let wide = summarise(&[mm("66"), mm("68.01")]).expect("two");
        assert!(wide.remark().expect("remark").sentence.contains("2.01 mm"));
    }

    #[test]
    fn no_reading_and_absurd_readings_are_refused() {
        assert!(summarise(&[]).is_err());
        for odd in ["0", "-68", "6.8", "680", "120.01"] {
            assert!(summarise(&[mm("68"), mm(odd)]).is_err(), "{odd}");
        }
    }

    #[test]
    fn the_speaking_space_is_judged_at_its_borders() {
        for (gap, verdict) in [
            ("0", SpeechGap::Touching),
            ("0.49", SpeechGap::Narrow),
            ("0.5", SpeechGap::Usual),
            ("1", SpeechGap::Usual),
            ("2", SpeechGap::Usual),
            ("2.01", SpeechGap::Wide),
        ] {
            assert_eq!(SpeechGap::of(mm(gap)), Ok(verdict), "{gap}");
        }
        assert!(SpeechGap::of(mm("-0.01")).is_err() && SpeechGap::of(mm("10.01")).is_err());
    }

    #[test]
    fn large_changes_are_named_at_their_borders() {
        use ChangeSize::*;
        for (size, verdict) in [
            (0.0, Ordinary),
            (5.0, Ordinary),
            (-5.0, Ordinary),
            (5.01, Large),
            (10.0, Large),
            (10.01, VeryLarge),
            (20.0, VeryLarge),
            (-20.01, Refused),
            (f64::NAN, Refused),
            (f64::INFINITY, Refused),
        ] {
            assert_eq!(ChangeSize::of(size), verdict, "{size}");
        }
    }

    #[test]
    fn a_change_at_the_pin_is_less_at_the_incisors() {
        let change = VerticalChange {
            by: mm("7.5"),
            at: MeasuredAt::Pin,
        };
        assert_eq!(change.words(), "opened by 7.5 mm at the incisal pin");
        let at_incisors = change.at_incisors(&Radii::RULE).expect("change");
        assert!((at_incisors - 5.0).abs() < 1e-9);
        assert_eq!(ChangeSize::of(at_incisors), ChangeSize::Ordinary);
    }

    proptest! {
        #[test]
        fn the_mean_lies_between_the_readings(hundredths in proptest::collection::vec(2000_i64..=12000, 1..20)) {
            let readings: Vec<Mm> = hundredths.into_iter().map(Mm::from_hundredths).collect();
            let found = summarise(&readings).expect("summary");
            prop_assert!(found.least <= found.mean && found.mean <= found.most);
            let turned: Vec<Mm> = readings.into_iter().rev().collect();
            prop_assert_eq!(summarise(&turned), Ok(found));
        }

        #[test]
        fn a_larger_distance_is_never_a_smaller_verdict(one in any::<i64>(), other in any::<i64>()) {
            let (less, more) = (one.min(other), one.max(other));
            let of = |hundredths| Interocclusal::of(Mm::from_hundredths(hundredths));
            prop_assert!(of(less) <= of(more));
            let _any = interocclusal_mm(Mm::from_hundredths(one), Mm::from_hundredths(other));
        }

        #[test]
        fn readings_moved_together_move_their_mean_and_not_their_spread(
            hundredths in proptest::collection::vec(3000_i64..=11000, 1..20), by in -900_i64..=900,
        ) {
            let readings = |by: i64| -> Vec<Mm> { hundredths.iter().map(|one| Mm::from_hundredths(one + by)).collect() };
            let (here, there) = (summarise(&readings(0)).expect("here"), summarise(&readings(by)).expect("there"));
            prop_assert_eq!(there.mean.hundredths() - here.mean.hundredths(), by);
            prop_assert_eq!(there.spread, here.spread);
        }

        #[test]
        fn a_height_in_centimetres_or_inches_is_always_refused(hundredths in 2000_i64..=12000) {
            prop_assert!(summarise(&[Mm::from_hundredths(hundredths)]).is_ok());
            for other in [hundredths / 10, hundredths * 10 / 254] {
                let why = summarise(&[Mm::from_hundredths(other)]).expect_err("another unit");
                prop_assert!(why.contains("unit"), "{}", why);
            }
        }

        #[test]
        fn the_rule_always_leaves_a_usual_distance(hundredths in 2300_i64..=12000) {
            let rest = Mm::from_hundredths(hundredths);
            let distance = interocclusal_mm(rest, occlusal_by_rule(rest).0);
            prop_assert_eq!((distance, Interocclusal::of(distance)), (mm("3"), Interocclusal::Usual));
        }

        #[test]
        fn a_wider_speaking_space_is_never_called_narrower(one in 0_i64..=1000, other in 0_i64..=1000) {
            let of = |hundredths| SpeechGap::of(Mm::from_hundredths(hundredths)).expect("gap");
            prop_assert!(of(one.min(other)) <= of(one.max(other)));
        }

        #[test]
        fn opening_and_closing_by_as_much_are_alike(hundredths in -2000_i64..=2000, at in proptest::sample::select(MeasuredAt::ALL)) {
            let at_incisors = |hundredths| {
                VerticalChange { by: Mm::from_hundredths(hundredths), at }.at_incisors(&Radii::RULE).expect("change")
            };
            prop_assert_eq!(at_incisors(hundredths), -at_incisors(-hundredths));
        }

        #[test]
        fn a_larger_change_is_never_called_smaller(one in 0.0_f64..50.0, other in 0.0_f64..50.0) {
            prop_assert!(ChangeSize::of(one.min(other)) <= ChangeSize::of(one.max(other)));
            prop_assert_eq!(ChangeSize::of(one), ChangeSize::of(-one));
        }
    }
}
