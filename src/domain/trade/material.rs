//! Clocks of perishable things: how long they have waited, and what that has done to them.
//!
//! The moments come from outside. Each clock gives a verdict with a sentence and its source; the maker's
//! sheet of the very material goes before all of them. Where nobody has published a number the verdict
//! says so.

use crate::domain::prescription::RecordMaterial;
use crate::domain::values::evidence::{Source, Statement, within};
use crate::domain::values::moment::Moment;

/// How a perishable thing stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Freshness {
    /// As it was made.
    Good,
    /// Still usable; act now, or look before use.
    Hurry,
    /// Changed, or likely so: make it again, or check before anything is built on it.
    Late,
}

/// A verdict with its reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    pub freshness: Freshness,
    pub said: Statement,
    /// What has passed, whole minutes.
    pub minutes: i64,
}

fn verdict(minutes: i64, freshness: Freshness, sentence: &str, source: Source) -> Verdict {
    Verdict {
        freshness,
        said: Statement::new(sentence, source),
        minutes,
    }
}

const WITHIN_A_DAY: &str = "Within a day; this material is less stable than silicone.";
const OLDER_THAN_A_DAY: &str =
    "Older than a day: this material is less stable than silicone, check how it seats.";
const HOUR: i64 = 60;
const DAY: i64 = 24 * HOUR;

/// Whole minutes from one moment to a later one.
///
/// # Errors
/// A sentence where the second is earlier.
pub fn minutes_between(start: Moment, end: Moment) -> Result<i64, String> {
    let ms = end.unix_ms.saturating_sub(start.unix_ms);
    if ms < 0 {
        return Err(
            "The second moment is before the first: check the dates, times and time zones.".into(),
        );
    }
    Ok(ms / 60_000)
}

/// A functional surface since it was taken from the mouth (it is poured at once).
///
/// # Errors
/// As [`minutes_between`].
pub fn functional_surface(taken_out: Moment, poured: Moment) -> Result<Verdict, String> {
    let minutes = minutes_between(taken_out, poured)?;
    let (freshness, sentence) = match minutes {
        0..=60 => (
            Freshness::Good,
            "Poured at once, as a functional surface wants.",
        ),
        61..=DAY => (
            Freshness::Hurry,
            "A functional surface is poured at once: it shrinks and hardens as it waits. Keep it moist, with nothing pressing on it.",
        ),
        _ => (
            Freshness::Late,
            "More than a day out of the mouth: look for dents, drying and shrinkage before it is poured.",
        ),
    };
    Ok(verdict(
        minutes,
        freshness,
        sentence,
        Source::from_memory(
            "that it is poured at once; the hour and the day are common practice, no source",
        ),
    ))
}

/// A functional surface while it forms in the mouth: best about 24 hours after insertion.
///
/// # Errors
/// As [`minutes_between`].
pub fn functional_wear(inserted: Moment, taken_out: Moment) -> Result<Verdict, String> {
    const MURATA: Source = Source::published(
        "Murata 2001: six conditioners in water for 21 days, in vitro; that a day is best is the authors’ inference, and the half day and the two days are common practice",
    );
    let minutes = minutes_between(inserted, taken_out)?;
    let (freshness, sentence) = match minutes {
        ..720 => (
            Freshness::Hurry,
            "Worn for less than half a day: the surface may still be flowing.",
        ),
        720..=2880 => (
            Freshness::Good,
            "Worn for about a day, when the surface records best.",
        ),
        _ => (
            Freshness::Late,
            "Worn for more than two days: the material has shrunk and hardened by then.",
        ),
    };
    Ok(verdict(minutes, freshness, sentence, MURATA))
}

/// The longest that an alginate was kept in the study of extended pouring that is cited here (Walker 2010,
/// PMC8929483). Two other products that were kept for 120 hours were stable for 24 and had changed by then.
pub const ALGINATE_TESTED_HOURS: i64 = 100;

/// How long an alginate may wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alginate {
    /// Any alginate, wrapped moist or not.
    Ordinary { moist: bool },
    /// One whose maker allows so many hours, sealed.
    Extended { hours: u32 },
}

/// An alginate impression since it was taken out.
///
/// # Errors
/// As [`minutes_between`]; a sentence where an extended time beyond 100 hours is claimed.
pub fn alginate(kind: Alginate, taken_out: Moment, poured: Moment) -> Result<Verdict, String> {
    const ORDINARY: Source = Source::published(
        "storage of truncated alginate cones for 5 minutes to 4 hours in a hot climate, in vitro: within 10 minutes, under wet gauze up to 30; the product decides",
    );
    const EXTENDED: Source = Source::published(
        "Walker 2010 (PMC8929483): two extended and one ordinary alginate on a steel die after 30 min, 48 and 100 h, in vitro; one of them fitted at both ends",
    );
    let minutes = minutes_between(taken_out, poured)?;
    match kind {
        Alginate::Ordinary { moist } => {
            let (freshness, sentence) = match (minutes, moist) {
                (0..=10, _) => (Freshness::Good, "Poured within ten minutes."),
                (11..=30, true) => (
                    Freshness::Hurry,
                    "Under wet gauze up to half an hour is still usable: pour now.",
                ),
                (_, true) => (
                    Freshness::Late,
                    "More than half an hour: alginate has changed by then, take the impression again.",
                ),
                (_, false) => (
                    Freshness::Late,
                    "Dry for more than ten minutes: alginate shrinks, take the impression again.",
                ),
            };
            Ok(verdict(minutes, freshness, sentence, ORDINARY))
        }
        Alginate::Extended { hours } if i64::from(hours) > ALGINATE_TESTED_HOURS => Err(format!(
            "No alginate has been shown to keep for {hours} hours: {ALGINATE_TESTED_HOURS} is the most that was tested."
        )),
        Alginate::Extended { hours } if minutes <= i64::from(hours) * HOUR => Ok(verdict(
            minutes,
            Freshness::Good,
            "Within the time that this product’s maker allows, if it was sealed.",
            EXTENDED,
        )),
        Alginate::Extended { .. } => Ok(verdict(
            minutes,
            Freshness::Late,
            "Longer than this product’s maker allows.",
            EXTENDED,
        )),
    }
}

/// A jaw record since it set.
///
/// # Errors
/// As [`minutes_between`].
pub fn jaw_record(
    material: RecordMaterial,
    taken: Moment,
    mounted: Moment,
) -> Result<Verdict, String> {
    const SHARMA: Source = Source::published(
        "Sharma 2020: discs of addition silicone, polyether, zinc oxide and eugenol, and wax over 1 to 168 h, in vitro; silicone most stable, wax changed by 1 h; the first day as a border is common practice",
    );
    const BIS_ACRYL: Source = Source::published(
        "a study of addition silicone, polyether, bis-acryl and wax over 1 to 72 h, in vitro; the first day as a border is common practice",
    );
    const TESTED: i64 = 168 * HOUR;
    const BIS_ACRYL_TESTED: i64 = 72 * HOUR;
    let minutes = minutes_between(taken, mounted)?;
    let (freshness, sentence, source) = match (material, minutes) {
        (RecordMaterial::Wax, ..HOUR) => (
            Freshness::Hurry,
            "Wax changes measurably within the hour: mount now.",
            SHARMA,
        ),
        (RecordMaterial::Wax, _) => (
            Freshness::Late,
            "Wax older than an hour has changed: check the record against the pattern, or take it again.",
            SHARMA,
        ),
        (RecordMaterial::Silicone, ..=TESTED) => (
            Freshness::Good,
            "Addition silicone keeps its shape for the week that was tested.",
            SHARMA,
        ),
        (RecordMaterial::BisAcryl, ..=DAY) => (Freshness::Good, WITHIN_A_DAY, BIS_ACRYL),
        (RecordMaterial::BisAcryl, ..=BIS_ACRYL_TESTED) => {
            (Freshness::Hurry, OLDER_THAN_A_DAY, BIS_ACRYL)
        }
        (RecordMaterial::BisAcryl, _) => (
            Freshness::Late,
            "Older than the three days that were tested: check it before mounting.",
            BIS_ACRYL,
        ),
        (RecordMaterial::Polyether | RecordMaterial::Zoe, ..=DAY) => {
            (Freshness::Good, WITHIN_A_DAY, SHARMA)
        }
        (RecordMaterial::Polyether | RecordMaterial::Zoe, ..=TESTED) => {
            (Freshness::Hurry, OLDER_THAN_A_DAY, SHARMA)
        }
        (RecordMaterial::Silicone | RecordMaterial::Polyether | RecordMaterial::Zoe, _) => (
            Freshness::Late,
            "Older than the week that was tested: check it before mounting.",
            SHARMA,
        ),
        (RecordMaterial::Plaster | RecordMaterial::Resin | RecordMaterial::Other, _) => (
            Freshness::Hurry,
            "No measured time is known for this material: follow its maker, and check how it seats.",
            Source::COMMON_PRACTICE,
        ),
    };
    Ok(verdict(minutes, freshness, sentence, source))
}

/// A denture base since it was last wet.
///
/// # Errors
/// As [`minutes_between`].
pub fn dry_storage(dry_since: Moment, until: Moment) -> Result<Verdict, String> {
    const LIM: Source = Source::published(
        "Lim and Lee 2016: 28 new heat-cured bases on day 1, 14 and 28 after deflasking; only upper bases kept dry changed measurably; a worn, wet base was not tested",
    );
    let minutes = minutes_between(dry_since, until)?;
    let (freshness, sentence) = match minutes {
        ..DAY => (
            Freshness::Good,
            "Dry for less than a day; keep it in water.",
        ),
        DAY..=20_159 => (
            Freshness::Hurry,
            "A base kept dry deforms measurably within two weeks: put it into water now.",
        ),
        _ => (
            Freshness::Late,
            "Dry for two weeks or more: the base has probably deformed, check its fit.",
        ),
    };
    Ok(verdict(minutes, freshness, sentence, LIM))
}

/// Minutes of a cold-cure duplicate in the pressure pot, against its maker's sheet where that is known.
///
/// # Errors
/// A sentence for a time that is no number, below 0 or above 240 minutes.
pub fn pressure_pot(minutes: f64, makers_minutes: Option<f64>) -> Result<Verdict, String> {
    const MAKERS: Source = Source::from_memory(
        "makers’ sheets, typically 10 to 20 min at 0.14 to 0.2 MPa and 40 to 50 °C",
    );
    let done = within("The time under pressure", minutes, 0.0..=240.0, "min")?;
    // The range above keeps this far inside 64 bits.
    let whole = done as i64;
    if let Some(asked) = makers_minutes {
        let asked = within("The maker’s time", asked, 0.5..=240.0, "min")?;
        return Ok(if done >= asked {
            verdict(
                whole,
                Freshness::Good,
                "As long as the maker’s sheet asks, or longer.",
                Source::published("the maker’s sheet"),
            )
        } else {
            verdict(
                whole,
                Freshness::Late,
                "Shorter than the maker’s sheet asks: porous, and more monomer is left.",
                Source::published("the maker’s sheet"),
            )
        });
    }
    let (freshness, sentence, source) = if done < 5.0 {
        (
            Freshness::Late,
            "Less than the five to seven minutes that are common: porous, and more monomer is left.",
            Source::COMMON_PRACTICE,
        )
    } else if done < 10.0 {
        (
            Freshness::Hurry,
            "Common practice is five to seven minutes; makers typically ask for ten to twenty. Look at the maker’s sheet.",
            Source::COMMON_PRACTICE,
        )
    } else {
        (
            Freshness::Good,
            "Within what makers typically ask for. Look at the maker’s sheet.",
            MAKERS,
        )
    };
    Ok(verdict(whole, freshness, sentence, source))
}

/// The time in the pressure pot that is common, in minutes. Common practice, no source.
pub const POT_COMMON: &str = "5 to 7 min in common practice";
/// Minutes beyond which the time in the pot is looked at again: twenty are what makers ask for at most.
const POT_LONG: i64 = 20;
/// The water that makers typically ask for, in °C.
const POT_WATER: std::ops::RangeInclusive<i64> = 40..=50;
/// How far the water may lie from the maker's figure before it is worth a word. Common practice, no source.
const POT_WATER_OFF: i64 = 5;

/// Whether the time in the pressure pot is longer than anybody asks for: half as long again as the
/// maker's sheet says, or beyond twenty minutes where no sheet was looked at.
pub fn is_long_in_pot(minutes: i64, makers_minutes: Option<i64>) -> bool {
    match makers_minutes {
        Some(asked) => minutes.saturating_mul(2) > asked.saturating_mul(3),
        None => minutes > POT_LONG,
    }
}

/// Where the water's figure is known from.
pub fn pot_water_source(makers_celsius: Option<i64>) -> Source {
    match makers_celsius {
        Some(_) => Source::published("the maker’s sheet"),
        None => Source::from_memory("makers’ sheets, typically 40 to 50 °C"),
    }
}

/// What there is to say about the water in the pressure pot; `None` where it is as asked for.
pub fn pot_water(celsius: i64, makers_celsius: Option<i64>) -> Option<Statement> {
    match makers_celsius {
        Some(asked) if (celsius - asked).abs() > POT_WATER_OFF => Some(Statement::new(
            if celsius < asked {
                "Colder than the maker’s sheet asks: the resin cures slowly, and more monomer is left."
            } else {
                "Hotter than the maker’s sheet asks: the resin sets before the pressure holds, and the filling of the flask warps."
            },
            pot_water_source(makers_celsius),
        )),
        None if !POT_WATER.contains(&celsius) => Some(Statement::new(
            "Outside of the 40 to 50 °C that makers typically ask for. Look at the maker’s sheet.",
            pot_water_source(makers_celsius),
        )),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(minutes: i64) -> Moment {
        Moment::new(1_700_000_000_000 + minutes * 60_000, 0)
    }

    #[test]
    fn wax_changes_within_the_hour_and_silicone_keeps_a_week() {
        // Sharma 2020.
        let after = |material, minutes| {
            jaw_record(material, at(0), at(minutes))
                .expect("clock")
                .freshness
        };
        assert_eq!(after(RecordMaterial::Wax, 59), Freshness::Hurry);
        assert_eq!(after(RecordMaterial::Wax, 60), Freshness::Late);
        assert_eq!(after(RecordMaterial::Silicone, 168 * 60), Freshness::Good);
        assert_eq!(
            after(RecordMaterial::Silicone, 168 * 60 + 1),
            Freshness::Late
        );
        assert_eq!(after(RecordMaterial::Zoe, 24 * 60 + 1), Freshness::Hurry);
    }

    #[test]
    fn alginate_is_poured_within_ten_minutes() {
        // Studies of delayed pouring.
        let after = |moist, minutes| {
            alginate(Alginate::Ordinary { moist }, at(0), at(minutes))
                .expect("clock")
                .freshness
        };
        assert_eq!(after(false, 10), Freshness::Good);
        assert_eq!(after(false, 11), Freshness::Late);
        assert_eq!(after(true, 30), Freshness::Hurry);
        assert_eq!(after(true, 31), Freshness::Late);
        let extended = |hours, minutes| alginate(Alginate::Extended { hours }, at(0), at(minutes));
        assert_eq!(
            extended(100, 6000).expect("clock").freshness,
            Freshness::Good
        );
        assert_eq!(
            extended(100, 6001).expect("clock").freshness,
            Freshness::Late
        );
        assert!(extended(101, 1).is_err());
    }

    #[test]
    fn a_functional_surface_records_best_after_a_day() {
        // Murata 2001.
        let worn = |hours: i64| {
            functional_wear(at(0), at(hours * 60))
                .expect("clock")
                .freshness
        };
        assert_eq!(
            [worn(1), worn(24), worn(49)],
            [Freshness::Hurry, Freshness::Good, Freshness::Late]
        );
        let waited = |minutes| {
            functional_surface(at(0), at(minutes))
                .expect("clock")
                .freshness
        };
        assert_eq!(
            [waited(5), waited(61), waited(1441)],
            [Freshness::Good, Freshness::Hurry, Freshness::Late]
        );
    }

    #[test]
    fn two_weeks_dry_deform_a_base() {
        // Lim and Lee 2016.
        let dry = |days: i64| {
            dry_storage(at(0), at(days * 24 * 60))
                .expect("clock")
                .freshness
        };
        assert_eq!(
            [dry(0), dry(1), dry(13), dry(14)],
            [
                Freshness::Good,
                Freshness::Hurry,
                Freshness::Hurry,
                Freshness::Late
            ]
        );
    }

    #[test]
    fn the_makers_sheet_goes_before_common_practice() {
        // Common practice, no source: five to seven minutes.
        let pot = |minutes, sheet| pressure_pot(minutes, sheet).expect("clock").freshness;
        assert_eq!(
            [pot(4.9, None), pot(6.0, None), pot(12.0, None)],
            [Freshness::Late, Freshness::Hurry, Freshness::Good]
        );
        assert_eq!(
            [pot(6.0, Some(10.0)), pot(6.0, Some(5.0))],
            [Freshness::Late, Freshness::Good]
        );
        for odd in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
            assert!(pressure_pot(odd, None).is_err() && pressure_pot(6.0, Some(odd)).is_err());
        }
    }

    #[test]
    fn long_in_the_pot_and_the_wrong_water_are_said() {
        // Makers' sheets, from memory: ten to twenty minutes, 40 to 50 degrees.
        assert!(is_long_in_pot(21, None) && !is_long_in_pot(20, None));
        assert!(is_long_in_pot(16, Some(10)) && !is_long_in_pot(15, Some(10)));
        let said = |water, sheet| pot_water(water, sheet).is_some();
        assert!(said(39, None) && !said(40, None) && !said(50, None) && said(51, None));
        assert!(said(49, Some(55)) && !said(50, Some(55)) && said(61, Some(55)));
    }

    #[test]
    fn a_clock_that_runs_backwards_is_refused() {
        assert!(functional_surface(at(1), at(0)).is_err());
        assert!(jaw_record(RecordMaterial::Wax, at(1), at(0)).is_err());
        assert!(dry_storage(at(1), at(0)).is_err());
    }

    proptest! {
        #[test]
        fn waiting_longer_never_makes_it_fresher(minutes in 0_i64..30_000, more in 0_i64..30_000) {
            let fresh = |minutes| [
                functional_surface(at(0), at(minutes)),
                dry_storage(at(0), at(minutes)),
                jaw_record(RecordMaterial::Zoe, at(0), at(minutes)),
                jaw_record(RecordMaterial::Wax, at(0), at(minutes)),
                alginate(Alginate::Ordinary { moist: true }, at(0), at(minutes)),
            ].map(|verdict| verdict.expect("clock").freshness);
            for (early, late) in fresh(minutes).into_iter().zip(fresh(minutes + more)) {
                prop_assert!(early <= late);
            }
        }

        #[test]
        fn no_moment_panics(one in any::<i64>(), other in any::<i64>(), minutes in proptest::num::f64::ANY) {
            let (one, other) = (Moment::new(one, 0), Moment::new(other, 0));
            for material in RecordMaterial::ALL {
                let _record = jaw_record(*material, one, other);
            }
            let _rest = (functional_surface(one, other), dry_storage(one, other), pressure_pot(minutes, Some(minutes)));
        }
    }
}
