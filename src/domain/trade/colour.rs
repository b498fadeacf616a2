//! Colour: CIELAB readings, their differences, and the tabs of a shade guide.
//!
//! Differences are CIEDE2000 (with CIE76 beside it for older literature), computed by `palette` in
//! double precision; the tests hold it to all published pairs, and `tests/outside.rs` to a second
//! implementation, from which it differs by under 0.0003 where the mean of two hues falls just past red. A shade on a prescription is a tab of a
//! named guide: this only shows how far the tabs are from a reading, in order. The choice stays with
//! people, and colours read under different lights are not comparable.

use crate::domain::values::evidence::Source;
use crate::domain::values::words_of;
use palette::color_difference::{Ciede2000, EuclideanDistance};

/// A colour in CIE L*a*b*, as the instrument gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    lightness: f64,
    a: f64,
    b: f64,
}

impl Lab {
    /// Lightness 0 to 100, a* and b* -128 to 128.
    ///
    /// # Errors
    /// A sentence for a coordinate that is no number or out of range.
    pub fn new(lightness: f64, a: f64, b: f64) -> Result<Lab, String> {
        let coordinate = |what: &str, value: f64, least: f64, most: f64| {
            if (least..=most).contains(&value) {
                Ok(value)
            } else {
                Err(format!(
                    "{what} lies between {least} and {most}; {value} was given."
                ))
            }
        };
        Ok(Lab {
            lightness: coordinate("L*", lightness, 0.0, 100.0)?,
            a: coordinate("a*", a, -128.0, 128.0)?,
            b: coordinate("b*", b, -128.0, 128.0)?,
        })
    }

    pub fn lightness(self) -> f64 {
        self.lightness
    }
    pub fn a(self) -> f64 {
        self.a
    }
    pub fn b(self) -> f64 {
        self.b
    }

    fn library(self) -> palette::Lab<palette::white_point::D65, f64> {
        palette::Lab::new(self.lightness, self.a, self.b)
    }
}

/// Which difference formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Formula {
    /// CIEDE2000, all weights 1.
    Ciede2000,
    /// CIE 1976: the straight distance.
    Cie76,
}

/// The difference of two colours, without unit; never negative, and the same in both orders.
pub fn difference(one: Lab, other: Lab, formula: Formula) -> f64 {
    // The formula's hue branches could answer differently in the last bits for swapped colours.
    let key = |lab: Lab| (lab.lightness, lab.a, lab.b);
    let (one, other) = if key(one) <= key(other) {
        (one, other)
    } else {
        (other, one)
    };
    match formula {
        Formula::Ciede2000 => one.library().difference(other.library()),
        Formula::Cie76 => one.library().distance(other.library()),
    }
}

words_of! {
    /// What is compared: eyes are stricter with teeth than with denture base.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
    pub enum Surface {
        Teeth = "teeth",
        DentureBase = "denture base",
        Gingiva = "gingiva",
    }
}

/// Half of observers see a difference above the first, half refuse one above the second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thresholds {
    pub perceptible: f64,
    pub acceptable: f64,
    pub source: Source,
}

/// The published 50:50 thresholds; `None` where none is published for that formula.
pub fn thresholds(surface: Surface, formula: Formula) -> Option<Thresholds> {
    const TEETH: Source = Source::published(
        "Paravina: 63 one-color ceramic specimens in 60 pairs before 175 observers in a booth; taken over for resin teeth. In a mouth 28 dentists saw denture teeth differ at 2.6 (CIE76, Douglas 2007)",
    );
    const BASE: Source = Source::published(
        "291 aged discs of base resin before 32 dental professionals (Bio-Medical Materials and Engineering): a base that changes, not a match to the gum",
    );
    const GINGIVA: Source = Source::published(
        "21 pink porcelain samples before 352 observers (PubMed 33069771); taken over for the gum. Single groups gave 1.5 to 2.5, below its own means",
    );
    let (perceptible, acceptable, source) = match (surface, formula) {
        (Surface::Teeth, Formula::Ciede2000) => (0.8, 1.8, TEETH),
        (Surface::Teeth, Formula::Cie76) => (1.2, 2.7, TEETH),
        (Surface::DentureBase, Formula::Ciede2000) => (1.71, 4.0, BASE),
        (Surface::DentureBase, Formula::Cie76) => return None,
        (Surface::Gingiva, Formula::Ciede2000) => (2.1, 2.9, GINGIVA),
        (Surface::Gingiva, Formula::Cie76) => (3.1, 4.1, GINGIVA),
    };
    Some(Thresholds {
        perceptible,
        acceptable,
        source,
    })
}

words_of! {
    /// What a difference means to eyes.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum Match {
        /// Up to the first threshold.
        NotPerceptible = "not perceptible",
        /// Above the first, up to the second.
        Acceptable = "perceptible, acceptable",
        /// Above the second, or no number.
        NotAcceptable = "not acceptable",
    }
}

impl Thresholds {
    /// The class of a difference; a value at a threshold still belongs to the better class.
    pub fn class(&self, difference: f64) -> Match {
        if difference <= self.perceptible {
            Match::NotPerceptible
        } else if difference <= self.acceptable {
            Match::Acceptable
        } else {
            Match::NotAcceptable
        }
    }
}

/// Repeated readings of one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeated {
    pub count: usize,
    pub mean: Lab,
    /// The greatest CIEDE2000 difference of a reading from the mean.
    pub spread: f64,
}

/// Mean and spread of readings.
///
/// # Errors
/// A sentence where there is none.
pub fn repeated(readings: &[Lab]) -> Result<Repeated, String> {
    if readings.is_empty() {
        return Err("There is no color reading yet.".into());
    }
    let count = readings.len();
    let mean_of =
        |part: fn(Lab) -> f64| readings.iter().map(|lab| part(*lab)).sum::<f64>() / count as f64;
    let mean = Lab::new(
        mean_of(Lab::lightness).clamp(0.0, 100.0),
        mean_of(Lab::a).clamp(-128.0, 128.0),
        mean_of(Lab::b).clamp(-128.0, 128.0),
    )?;
    let spread = readings
        .iter()
        .map(|lab| difference(*lab, mean, Formula::Ciede2000))
        .fold(0.0, f64::max);
    Ok(Repeated {
        count,
        mean,
        spread,
    })
}

/// Changing the light changes the colour by more than eyes accept.
pub const LIGHT_WARNING: &str = "Readings under different lights cannot be compared: from daylight to incandescent light ceramics moved by 5.9 to 7.7, to fluorescent light by 7.7 to 10.2 (CIE76).";
pub const LIGHT_SOURCE: Source = Source::published(
    "Cha 2013: seven ceramics, no resin and no LED; used only for that light matters",
);

/// A tab of a guide.
#[derive(Debug, Clone, PartialEq)]
pub struct Tab {
    pub code: String,
    pub colour: Lab,
}

impl Tab {
    /// The tab as the cells of its row.
    pub fn cells(&self) -> [String; 4] {
        let Lab { lightness, a, b } = self.colour;
        let [lightness, a, b] = [lightness, a, b].map(|value| value.to_string());
        [self.code.clone(), lightness, a, b]
    }
}

/// The heading of a shade guide.
pub const COLUMNS: [&str; 4] = ["tab", "L", "a", "b"];

/// Characters of a tab's code: what the fields of the prescription hold.
const MOST_CODE: usize = 40;

/// A shade guide as the office measured it.
#[derive(Debug, Clone, PartialEq)]
pub struct Guide {
    tabs: Vec<Tab>,
}

/// Tabs that one guide may have.
pub const MOST_TABS: usize = 500;

impl Guide {
    /// Reads a list with the heading `tab,L,a,b`, one tab a line.
    ///
    /// # Errors
    /// A sentence with the number of the line: for a wrong heading, a missing or extra cell, a tab without
    /// code or named twice, a coordinate that is no number or out of range, an empty list, or more than
    /// 500 tabs.
    pub fn parse(text: &str) -> Result<Guide, Vec<String>> {
        let mut seen = std::collections::BTreeSet::new();
        let tabs = crate::domain::values::table::read(text, &COLUMNS, MOST_TABS, |row| {
            let code = row.code("tab", "the tab", MOST_CODE)?;
            let coordinates = [row.number("L")?, row.number("a")?, row.number("b")?];
            let [lightness, a, b] = coordinates;
            let colour = Lab::new(lightness, a, b).map_err(|why| row.fault(&why))?;
            if !seen.insert(code.clone()) {
                return Err(row.fault(&format!("tab {code} is named a second time")));
            }
            Ok(Tab { code, colour })
        })?;
        if tabs.is_empty() {
            return Err(vec!["The list has a heading and no tab.".into()]);
        }
        Ok(Guide { tabs })
    }

    /// Back to the text that `parse` reads.
    pub fn write(&self) -> String {
        let rows = self
            .tabs
            .iter()
            .map(|tab| crate::domain::values::table::line(tab.cells()));
        std::iter::once(crate::domain::values::table::line(COLUMNS))
            .chain(rows)
            .collect()
    }

    pub fn tabs(&self) -> &[Tab] {
        &self.tabs
    }

    /// Every tab with its difference from a reading, nearest first, tabs equally far in the guide's order.
    /// All tabs are given, so that nobody takes the first for a match without seeing how far it is.
    pub fn ranked(&self, reading: Lab, surface: Surface) -> Vec<Ranked<'_>> {
        let rank = |tab| Ranked::of(tab, reading, surface);
        let mut ranked: Vec<Ranked<'_>> = self.tabs.iter().map(rank).collect();
        ranked.sort_by(|one, other| one.ciede2000.total_cmp(&other.ciede2000));
        ranked
    }
}

/// A tab beside a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranked<'a> {
    pub tab: &'a Tab,
    pub ciede2000: f64,
    pub cie76: f64,
    pub class: Match,
}

impl<'a> Ranked<'a> {
    fn of(tab: &'a Tab, reading: Lab, surface: Surface) -> Ranked<'a> {
        let ciede2000 = difference(tab.colour, reading, Formula::Ciede2000);
        // Thresholds for CIEDE2000 are published for all three surfaces.
        let class = thresholds(surface, Formula::Ciede2000)
            .map_or(Match::NotAcceptable, |thresholds| {
                thresholds.class(ciede2000)
            });
        Ranked {
            tab,
            ciede2000,
            cie76: difference(tab.colour, reading, Formula::Cie76),
            class,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Sharma, Wu, Dalal 2005: the CIEDE2000 test data, L a b L a b difference.
    const PAIRS: [[f64; 7]; 34] = [
        [50.0, 2.6772, -79.7751, 50.0, 0.0, -82.7485, 2.0425],
        [50.0, 3.1571, -77.2803, 50.0, 0.0, -82.7485, 2.8615],
        [50.0, 2.8361, -74.02, 50.0, 0.0, -82.7485, 3.4412],
        [50.0, -1.3802, -84.2814, 50.0, 0.0, -82.7485, 1.0],
        [50.0, -1.1848, -84.8006, 50.0, 0.0, -82.7485, 1.0],
        [50.0, -0.9009, -85.5211, 50.0, 0.0, -82.7485, 1.0],
        [50.0, 0.0, 0.0, 50.0, -1.0, 2.0, 2.3669],
        [50.0, -1.0, 2.0, 50.0, 0.0, 0.0, 2.3669],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.0009, 7.1792],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.001, 7.1792],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.0011, 7.2195],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.0012, 7.2195],
        [50.0, -0.001, 2.49, 50.0, 0.0009, -2.49, 4.8045],
        [50.0, -0.001, 2.49, 50.0, 0.001, -2.49, 4.8045],
        [50.0, -0.001, 2.49, 50.0, 0.0011, -2.49, 4.7461],
        [50.0, 2.5, 0.0, 50.0, 0.0, -2.5, 4.3065],
        [50.0, 2.5, 0.0, 73.0, 25.0, -18.0, 27.1492],
        [50.0, 2.5, 0.0, 61.0, -5.0, 29.0, 22.8977],
        [50.0, 2.5, 0.0, 56.0, -27.0, -3.0, 31.903],
        [50.0, 2.5, 0.0, 58.0, 24.0, 15.0, 19.4535],
        [50.0, 2.5, 0.0, 50.0, 3.1736, 0.5854, 1.0],
        [50.0, 2.5, 0.0, 50.0, 3.2972, 0.0, 1.0],
        [50.0, 2.5, 0.0, 50.0, 1.8634, 0.5757, 1.0],
        [50.0, 2.5, 0.0, 50.0, 3.2592, 0.335, 1.0],
        [
            60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644,
        ],
        [
            63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.263,
        ],
        [61.2901, 3.7196, -5.3901, 61.4292, 2.248, -4.962, 1.8731],
        [35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645],
        [22.7233, 20.0904, -46.694, 23.0331, 14.973, -42.5619, 2.0373],
        [36.4612, 47.858, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146],
        [90.8027, -2.0831, 1.441, 91.1528, -1.6435, 0.0447, 1.4441],
        [90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381],
        [6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377],
        [2.0776, 0.0795, -1.135, 0.9033, -0.0636, -0.5514, 0.9082],
    ];

    fn pair(row: [f64; 7]) -> (Lab, Lab, f64) {
        let lab = |at: usize| Lab::new(row[at], row[at + 1], row[at + 2]).expect("colour");
        (lab(0), lab(3), row[6])
    }

    #[test]
    fn all_published_pairs_agree_in_both_orders() {
        // Sharma, Wu, Dalal 2005; the data are rounded to four decimals.
        for (number, row) in PAIRS.into_iter().enumerate() {
            let (one, other, expected) = pair(row);
            for (one, other) in [(one, other), (other, one)] {
                let found = difference(one, other, Formula::Ciede2000);
                assert!(
                    (found - expected).abs() < 5e-5,
                    "pair {}: {found}",
                    number + 1
                );
            }
        }
    }

    #[test]
    fn the_library_itself_agrees_in_both_orders() {
        for (number, row) in PAIRS.into_iter().enumerate() {
            let (one, other, expected) = pair(row);
            for (one, other) in [(one, other), (other, one)] {
                let found = one.library().difference(other.library());
                assert!(
                    (found - expected).abs() < 5e-5,
                    "pair {}: {found}",
                    number + 1
                );
            }
        }
    }

    #[test]
    fn the_straight_distance_is_cie76() {
        // Regression values of plain arithmetic on the pairs of Sharma, Wu, Dalal 2005; the seventh is the
        // root of five.
        for (number, expected) in [(1, 4.0011), (7, 2.2361), (25, 3.1819)] {
            let (one, other, _) = pair(PAIRS[number - 1]);
            assert!((difference(one, other, Formula::Cie76) - expected).abs() < 5e-5);
        }
    }

    #[test]
    fn thresholds_are_exact_at_their_borders() {
        use Match::*;
        for (surface, formula, differences) in [
            // Paravina.
            (Surface::Teeth, Formula::Ciede2000, [0.8, 0.81, 1.8, 1.81]),
            (Surface::Teeth, Formula::Cie76, [1.2, 1.21, 2.7, 2.71]),
            // Study of denture base acrylics.
            (
                Surface::DentureBase,
                Formula::Ciede2000,
                [1.71, 1.72, 4.0, 4.01],
            ),
            // Study of gingival shades.
            (Surface::Gingiva, Formula::Ciede2000, [2.1, 2.11, 2.9, 2.91]),
            (Surface::Gingiva, Formula::Cie76, [3.1, 3.11, 4.1, 4.11]),
        ] {
            let thresholds = thresholds(surface, formula).expect("published");
            let classes = differences.map(|difference| thresholds.class(difference));
            assert_eq!(
                classes,
                [NotPerceptible, Acceptable, Acceptable, NotAcceptable]
            );
            assert_eq!(thresholds.class(f64::NAN), NotAcceptable);
        }
        assert_eq!(thresholds(Surface::DentureBase, Formula::Cie76), None);
    }

    #[test]
    fn repeated_readings_have_mean_and_spread() {
        let lab = |lightness| Lab::new(lightness, 1.0, 18.0).expect("colour");
        let found = repeated(&[lab(74.0), lab(76.0)]).expect("readings");
        assert_eq!(found.mean, lab(75.0));
        assert!(found.spread > 0.6 && found.spread < 1.0, "{}", found.spread);
        assert_eq!(repeated(&[lab(74.0)]).expect("one").spread, 0.0);
        assert!(repeated(&[]).is_err());
    }

    const GUIDE: &str = "tab,L,a,b\nK1,76.0,0.5,14.0\nK2,73.0,1.0,18.0\n\"K3, warm\",70,2,22\n";

    #[test]
    fn all_tabs_are_ranked_with_their_difference() {
        let guide = Guide::parse(GUIDE).expect("guide");
        let reading = Lab::new(73.1, 1.0, 18.0).expect("colour");
        let ranked = guide.ranked(reading, Surface::Teeth);
        assert_eq!(ranked.len(), 3);
        assert_eq!(
            (ranked[0].tab.code.as_str(), ranked[0].class),
            ("K2", Match::NotPerceptible)
        );
        assert!(ranked[2].class == Match::NotAcceptable);
        assert_eq!(Guide::parse(&guide.write()), Ok(guide));
    }

    #[test]
    fn a_guide_that_is_not_clear_is_refused_with_its_line() {
        for (text, said) in [
            ("", "heading"),
            ("tab,L,a\nK1,70,1,2\n", "heading"),
            ("tab,L,a,b\n", "no tab"),
            ("tab,L,a,b\nK1,70,1\n", "Line 2"),
            ("tab,L,a,b\nK1,70,1,2\nK1,71,1,2\n", "Line 3"),
            ("tab,L,a,b\nK1,NaN,1,2\n", "Line 2"),
            ("tab,L,a,b\nK1,inf,1,2\n", "Line 2"),
            ("tab,L,a,b\nK1,101,1,2\n", "Line 2"),
            ("tab,L,a,b\nK1,seventy,1,2\n", "Line 2"),
            ("tab,L,a,b\n ,70,1,2\n", "Line 2"),
        ] {
            let why = Guide::parse(text).expect_err(text).concat();
            assert!(why.contains(said), "{text:?}: {why}");
        }
    }

    #[test]
    fn what_is_no_colour_is_refused() {
        for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 128.1, -128.1] {
            assert!(Lab::new(50.0, odd, 0.0).is_err() && Lab::new(50.0, 0.0, odd).is_err());
            assert!(Lab::new(odd, 0.0, 0.0).is_err());
        }
    }

    fn lab() -> impl Strategy<Value = Lab> {
        (0.0_f64..=100.0, -128.0_f64..=128.0, -128.0_f64..=128.0)
            .prop_map(|(lightness, a, b)| Lab::new(lightness, a, b).expect("colour"))
    }

    proptest! {
        #[test]
        fn order_does_not_matter(one in lab(), other in lab()) {
            for formula in [Formula::Ciede2000, Formula::Cie76] {
                let found = difference(one, other, formula);
                prop_assert_eq!(found, difference(other, one, formula));
                prop_assert!(found.is_finite() && found >= 0.0);
            }
        }

        #[test]
        fn the_library_is_symmetric_within_rounding(one in lab(), other in lab()) {
            let there = one.library().difference(other.library());
            let back = other.library().difference(one.library());
            prop_assert!((there - back).abs() < 1e-9);
        }

        #[test]
        fn a_colour_is_no_different_from_itself(one in lab()) {
            prop_assert!(difference(one, one, Formula::Ciede2000) <= 1e-12);
            prop_assert!(difference(one, one, Formula::Cie76) <= 1e-12);
        }

        #[test]
        fn the_straight_distance_obeys_the_triangle(one in lab(), other in lab(), third in lab()) {
            let by = |one, other| difference(one, other, Formula::Cie76);
            prop_assert!(by(one, third) <= by(one, other) + by(other, third) + 1e-9);
            let grey = |lightness| Lab::new(lightness, 0.0, 0.0).expect("grey");
            let (dark, light) = (grey(one.lightness()), grey(other.lightness()));
            prop_assert!((by(dark, light) - (one.lightness() - other.lightness()).abs()).abs() < 1e-9);
        }

        #[test]
        fn the_order_of_repeated_readings_does_not_matter(readings in proptest::collection::vec(lab(), 1..8)) {
            let turned: Vec<Lab> = readings.iter().rev().copied().collect();
            let (forth, back) = (repeated(&readings).expect("readings"), repeated(&turned).expect("readings"));
            prop_assert_eq!(forth.count, back.count);
            prop_assert!(difference(forth.mean, back.mean, Formula::Cie76) < 1e-9);
            prop_assert!((forth.spread - back.spread).abs() < 1e-6);
            let same = repeated(&[readings[0]; 3]).expect("readings");
            prop_assert!(difference(same.mean, readings[0], Formula::Cie76) < 1e-9 && same.spread < 1e-9);
        }

        #[test]
        fn every_guide_written_reads_back_and_ranks_all_its_tabs(
            tabs in proptest::collection::btree_map("[A-Z0-9][a-z0-9 ,\"]{0,6}[a-z0-9]", lab(), 1..12), reading in lab(),
        ) {
            let tabs: Vec<Tab> = tabs.into_iter().map(|(code, colour)| Tab { code, colour }).collect();
            let guide = Guide { tabs };
            prop_assert_eq!(Guide::parse(&guide.write()), Ok(guide.clone()));
            let ranked = guide.ranked(reading, Surface::Teeth);
            prop_assert_eq!(ranked.len(), guide.tabs().len());
            prop_assert!(ranked.windows(2).all(|pair| pair[0].ciede2000 <= pair[1].ciede2000 && pair[0].class <= pair[1].class));
        }

        #[test]
        fn a_larger_difference_is_never_a_better_match(one in 0.0_f64..10.0, other in 0.0_f64..10.0) {
            for surface in Surface::ALL {
                let thresholds = thresholds(*surface, Formula::Ciede2000).expect("published");
                prop_assert!(thresholds.class(one.min(other)) <= thresholds.class(one.max(other)));
            }
        }

        #[test]
        fn no_text_panics(text in ".*") {
            let _guide = (Guide::parse(&text), Guide::parse(&format!("tab,L,a,b\n{text}")));
        }
    }
}
