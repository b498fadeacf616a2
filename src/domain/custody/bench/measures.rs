//! What is measured at the bench, beside what the prescription says of it. A measured value is typed by whoever
//! measures, and never filled in.

use super::steps::{BenchPiece, BenchStep};
use crate::domain::form::{FilledField, SectionSpec};
use crate::domain::prescription::{Course, Prescription};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::{Decimal, show_hundredths};
use crate::domain::values::tooth::Numbering;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// Something that is measured.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum BenchMeasure {
        Land = "Land",
        CastBorder = "Border on the cast",
        TrayShort = "Tray short by",
        TraySpacer = "Spacer",
        RimUpper = "Upper rim, front",
        RimLower = "Lower rim, front",
        RimBack = "Rims, width behind",
        Pin = "Incisal pin",
        Ovd = "OVD",
        CondylarRight = "Condylar, right",
        CondylarLeft = "Condylar, left",
        LateralRight = "Lateral, right",
        LateralLeft = "Lateral, left",
        IncisalTable = "Incisal table",
        UpperSix = "Upper six",
        Midline = "Midline, moved by",
        Overjet = "Overjet",
        Overbite = "Overbite",
        PlanePad = "Plane on the pad",
        PlaneTilt = "Plane, sides differ",
        CureDegrees = "Cure, temperature",
        CureMinutes = "Cure, time",
        PinDrop = "Pin sunk by",
        FileWidth = "Width in the file",
        Palate = "Palate",
        Border = "Border roll",
        SealMiddle = "Seal, middle",
    }
}

/// Of a measure: its unit, the field that prescribes it (empty where the maker's sheet does), and the steps at which it
/// is asked.
struct Row(
    BenchMeasure,
    &'static str,
    &'static str,
    &'static [BenchStep],
);

use BenchMeasure as M;
use BenchStep as S;

const TABLE: &[Row] = &[
    Row(M::Land, "mm", "impression.land_mm", &[S::CastPoured]),
    Row(
        M::CastBorder,
        "mm",
        "impression.border_roll_mm",
        &[S::CastPoured],
    ),
    Row(
        M::TrayShort,
        "mm",
        "impression.tray_short_mm",
        &[S::TrayMade],
    ),
    Row(
        M::TraySpacer,
        "mm",
        "impression.tray_spacer_mm",
        &[S::TrayMade],
    ),
    Row(M::RimUpper, "mm", "rims.upper_front_mm", &[S::RimsMade]),
    Row(M::RimLower, "mm", "rims.lower_front_mm", &[S::RimsMade]),
    Row(M::RimBack, "mm", "rims.back_width_mm", &[S::RimsMade]),
    Row(
        M::Pin,
        "mm",
        "guidance.pin_mm",
        &[S::Mounted, S::SetUp, S::Remounted],
    ),
    Row(
        M::Ovd,
        "mm",
        "vertical.occlusal_mm",
        &[S::Mounted, S::TryInChecked, S::Relined, S::Finished],
    ),
    Row(
        M::CondylarRight,
        "°",
        "guidance.condylar_right",
        &[S::Mounted],
    ),
    Row(
        M::CondylarLeft,
        "°",
        "guidance.condylar_left",
        &[S::Mounted],
    ),
    Row(
        M::LateralRight,
        "°",
        "guidance.lateral_right",
        &[S::Mounted],
    ),
    Row(M::LateralLeft, "°", "guidance.lateral_left", &[S::Mounted]),
    Row(
        M::IncisalTable,
        "°",
        "guidance.incisal_table",
        &[S::Mounted],
    ),
    Row(
        M::UpperSix,
        "mm",
        "anterior.width_mm",
        &[S::SetUp, S::Reset],
    ),
    Row(
        M::Midline,
        "mm",
        "anterior.midline_offset_mm",
        &[S::SetUp, S::Reset, S::TryInChecked],
    ),
    Row(
        M::Overjet,
        "mm",
        "occlusion.overjet_mm",
        &[S::SetUp, S::Reset, S::TryInChecked],
    ),
    Row(
        M::Overbite,
        "mm",
        "occlusion.overbite_mm",
        &[S::SetUp, S::Reset, S::TryInChecked],
    ),
    Row(M::PlanePad, "%", "plane.pad_percent", &[S::SetUp, S::Reset]),
    Row(M::PlaneTilt, "mm", "plane.tilt_mm", &[S::SetUp, S::Reset]),
    Row(
        M::CureDegrees,
        "°C",
        "",
        &[S::Cured, S::Duplicated, S::Relined, S::Repaired],
    ),
    Row(
        M::CureMinutes,
        "min",
        "",
        &[S::Cured, S::Duplicated, S::Relined, S::Repaired],
    ),
    Row(M::PinDrop, "mm", "remount.pin_drop_max_mm", &[S::Remounted]),
    Row(
        M::FileWidth,
        "mm",
        "scan_set.width_checked_mm",
        &[S::Milled],
    ),
    Row(M::Palate, "mm", "base.palate_mm", &[S::Finished]),
    Row(M::Border, "mm", "borders.thickness_mm", &[S::Finished]),
    Row(
        M::SealMiddle,
        "mm",
        "seal.depth_mid_mm",
        &[S::CastPoured, S::Flasked, S::Finished],
    ),
];

impl BenchMeasure {
    fn row(self) -> Option<&'static Row> {
        TABLE.iter().find(|row| row.0 == self)
    }

    /// The unit in which it is measured.
    pub fn unit(self) -> &'static str {
        self.row().map_or("", |row| row.1)
    }

    /// Hundredths between which a measured value can lie at all.
    pub fn limits(self) -> (i64, i64) {
        match self.unit() {
            "%" => (0, 10_000),
            "°C" => (0, 30_000),
            "min" => (0, 300_000),
            "°" => (-9_000, 9_000),
            _ if IS_SIGNED.contains(&self) => (-5_000, 15_000),
            _ => (0, 15_000),
        }
    }

    /// Whether it is measured at work on these arches.
    pub fn is_of(self, arches: &[Arch]) -> bool {
        let own = OF_ONE_ARCH.iter().find(|(measure, _)| *measure == self);
        own.is_none_or(|(_, arch)| arches.contains(arch))
    }

    /// The field of the prescription that says how much; empty where the maker's sheet does.
    pub fn field(self) -> &'static str {
        self.row().map_or("", |row| row.2)
    }
}

/// What is measured in one direction or in the other: the midline to a side, a bite that is open or crossed, a pin above
/// or below its mark, a border that ends short.
const IS_SIGNED: &[BenchMeasure] = &[
    M::Pin,
    M::Midline,
    M::Overjet,
    M::Overbite,
    M::PlaneTilt,
    M::TrayShort,
    M::PinDrop,
];

/// What there is of one arch alone. Common practice, no source.
const OF_ONE_ARCH: &[(BenchMeasure, Arch)] = &[
    (M::RimUpper, Arch::Upper),
    (M::RimLower, Arch::Lower),
    (M::UpperSix, Arch::Upper),
    (M::Palate, Arch::Upper),
    (M::SealMiddle, Arch::Upper),
];

/// What is measured at a step, in the order of the table.
pub fn measures_of(step: BenchStep) -> impl Iterator<Item = BenchMeasure> {
    let rows = TABLE.iter().filter(move |row| row.3.contains(&step));
    rows.map(|row| row.0)
}

/// What is measured in other kinds of work at the same step. Common practice, no source: a repair goes by the denture as it
/// is, and a remount changes the teeth alone.
const NOT_IN: &[(Course, &[BenchMeasure])] = &[
    (
        Course::Repair,
        &[
            M::Land,
            M::CastBorder,
            M::SealMiddle,
            M::Ovd,
            M::Palate,
            M::Border,
        ],
    ),
    (Course::Remount, &[M::Palate, M::Border, M::SealMiddle]),
    (Course::Tray, &[M::SealMiddle]),
];

/// Whether something is measured at a step in the kind of work that is ordered for these arches. What was not ordered says
/// nothing against it.
pub fn is_measured_in(
    measure: BenchMeasure,
    step: BenchStep,
    (pieces, arches): (&[BenchPiece], &[Arch]),
) -> bool {
    let own = |piece: &&BenchPiece| piece.arch.is_none_or(|arch| arches.contains(&arch));
    let own = pieces.iter().filter(own);
    let mut asking = own.filter(|piece| piece.asks(step)).peekable();
    let is_left_out = |course: Course| {
        let row = NOT_IN.iter().find(|(one, _)| *one == course);
        row.is_some_and(|(_, measures)| measures.contains(&measure))
    };
    asking.peek().is_none() || asking.any(|piece| !is_left_out(piece.course))
}

/// The cell in which a prescription says a measure.
fn cell_of<'a>(
    filled: &'a [(&'static SectionSpec, Vec<FilledField>)],
    measure: BenchMeasure,
) -> Option<&'a FilledField> {
    let mut cells = filled.iter().flat_map(|(_, cells)| cells);
    cells.find(|cell| cell.spec.key == measure.field() && cell.row.is_none())
}

/// What a prescription says of a measure, as it is printed; none where it says nothing.
pub fn prescribed(
    prescription: &Prescription,
    numbering: Numbering,
    measures: &[BenchMeasure],
) -> Vec<(BenchMeasure, Option<String>)> {
    let filled = prescription.filled(numbering);
    let words = |measure| {
        let cell = cell_of(&filled, measure);
        (measure, cell.map(|cell| cell.shown.clone()))
    };
    measures.iter().copied().map(words).collect()
}

/// The number that a prescription says of a measure, whichever is asked for; none where it says none.
pub fn prescribed_numbers(
    prescription: &Prescription,
    numbering: Numbering,
) -> impl Fn(BenchMeasure) -> Option<Decimal> + use<> {
    let filled = prescription.filled(numbering);
    move |measure| Decimal::parse(&cell_of(&filled, measure)?.raw).ok()
}

/// Heights of the face and of rims: by no work do they change so much. Common practice, no source.
const HEIGHTS: &[BenchMeasure] = &[M::Ovd, M::RimUpper, M::RimLower];
const HEIGHT_MOST: i64 = 500;
/// Their side is asked beside them, or their sign says nothing.
const UNSIGNED: &[BenchMeasure] = &[M::Midline, M::PlaneTilt];
/// What is less than one apart is no slip of the pen, however small the numbers are.
const APART_LEAST: i64 = 100;
/// What is never nothing, whatever is prescribed.
const NEVER_NOTHING: &[BenchMeasure] = &[
    M::Land,
    M::CastBorder,
    M::RimUpper,
    M::RimLower,
    M::RimBack,
    M::Ovd,
    M::UpperSix,
    M::CureDegrees,
    M::CureMinutes,
    M::FileWidth,
    M::Palate,
    M::Border,
];

impl BenchMeasure {
    /// What is asked of a reading before it is entered: by what is prescribed, or where it is nothing of what is always
    /// something. None where nothing is to be asked.
    pub fn doubt(self, wanted: Option<Decimal>, read: Decimal) -> Option<String> {
        let by_wanted = wanted.and_then(|wanted| self.doubt_by(wanted, read));
        let is_nothing = read.hundredths() == 0 && NEVER_NOTHING.contains(&self);
        by_wanted.or_else(|| {
            let (between, unit) = (self.before_unit(), self.unit());
            is_nothing.then(|| format!("{read}{between}{unit}: is that right?"))
        })
    }

    /// A reading that is so far from what is prescribed that it may be a slip of the pen: more than twice as much or less
    /// than half, or a height that is far off.
    fn doubt_by(self, wanted: Decimal, read: Decimal) -> Option<String> {
        let (wanted_h, read_h) = (wanted.hundredths(), read.hundredths());
        let is_multiple = |one: i64, other: i64| one.abs() > other.abs().saturating_mul(2);
        let is_near = |one: i64| !is_multiple(one, wanted_h) && !is_multiple(wanted_h, one);
        let apart = wanted_h.abs_diff(read_h);
        // Up for down, or forward for back.
        let is_turned = wanted_h.signum() * read_h.signum() < 0 && !UNSIGNED.contains(&self);
        let is_better = self == M::PinDrop && read_h >= 0 && read_h < wanted_h;
        let is_far =
            !is_better && (is_turned || !is_near(read_h)) && apart > APART_LEAST.unsigned_abs()
                || HEIGHTS.contains(&self) && apart > HEIGHT_MOST.unsigned_abs();
        let tenth = (read_h % 10 == 0).then_some(read_h / 10);
        let slips = [read_h.checked_mul(10), tenth];
        let slip = slips.into_iter().flatten().find(|one| is_near(*one));
        let with_unit = |number: &str| format!("{number}{}{}", self.before_unit(), self.unit());
        is_far.then(|| {
            let prescribed = with_unit(&wanted.to_string());
            match slip.filter(|_| !is_near(read_h)) {
                Some(slip) => {
                    let both = format!("{} or {read}", show_hundredths(slip));
                    format!("{prescribed} is prescribed: {}?", with_unit(&both))
                }
                None => {
                    let read = with_unit(&read.to_string());
                    format!("{prescribed} is prescribed: is {read} right?")
                }
            }
        })
    }

    fn before_unit(self) -> &'static str {
        match self.unit() {
            "°" => "",
            _ => " ",
        }
    }

    /// Between what it can lie, for whoever typed something else.
    pub fn limits_words(self) -> String {
        let (least, most) = self.limits();
        let (least, most) = (show_hundredths(least), show_hundredths(most));
        format!(
            "From {least} to {most}{}{}.",
            self.before_unit(),
            self.unit()
        )
    }
}

/// A value that was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredValue {
    pub measure: BenchMeasure,
    pub value: Decimal,
    /// Read once more, and a third time: how well it repeats.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub again: Option<Decimal>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub third: Option<Decimal>,
}

impl MeasuredValue {
    /// What was read, one after the other.
    pub fn all(&self) -> Vec<Decimal> {
        let more = [self.again, self.third].into_iter().flatten();
        std::iter::once(self.value).chain(more).collect()
    }

    /// "Incisal pin 0.5 mm"; "OVD 66; 66.5; 66 mm"
    pub fn words(&self) -> String {
        let between = self.measure.before_unit();
        let read: Vec<String> = self.all().iter().map(ToString::to_string).collect();
        format!(
            "{} {}{between}{}",
            self.measure.shown(),
            read.join("; "),
            self.measure.unit()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Kind;
    use crate::domain::prescription::catalogue;

    #[test]
    fn every_measure_has_its_row_and_its_field_is_there_in_its_unit() {
        let rows: Vec<BenchMeasure> = TABLE.iter().map(|row| row.0).collect();
        assert_eq!(rows, BenchMeasure::ALL);
        for Row(measure, unit, field, steps) in TABLE {
            assert!(!steps.is_empty(), "{measure:?}");
            if field.is_empty() {
                continue;
            }
            let sections = catalogue().iter();
            let mut specs = sections.flat_map(|section| section.fields.iter());
            let spec = specs.find(|spec| spec.key == *field);
            let kind = spec.unwrap_or_else(|| panic!("{field}")).kind;
            let own = match kind {
                Kind::Mm { .. } | Kind::Degrees { .. } | Kind::Whole { .. } => kind.unit(),
                other => panic!("{field} is no number: {other:?}"),
            };
            assert_eq!(own, *unit, "{field}");
        }
    }

    #[test]
    fn what_only_the_upper_has_is_not_asked_of_the_lower() {
        let finishing = |arches: &[Arch]| {
            let own = measures_of(S::Finished).filter(|one| one.is_of(arches));
            own.collect::<Vec<_>>()
        };
        assert_eq!(finishing(&[Arch::Lower]), [M::Ovd, M::Border]);
        let all: Vec<BenchMeasure> = measures_of(S::Finished).collect();
        assert_eq!(finishing(&[Arch::Upper]), all);
        assert_eq!(finishing(&[Arch::Lower, Arch::Upper]), all);
        // No height is less than nothing; a midline may lie to either side.
        assert_eq!(M::Ovd.limits().0, 0);
        assert!(M::Midline.limits().0 < 0);
    }

    #[test]
    fn a_repair_is_not_measured_as_a_new_denture_is() {
        let piece = |arch, course| BenchPiece {
            arch,
            course,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        };
        let of = |step: BenchStep, pieces: &[BenchPiece], arches: &[Arch]| {
            let own = measures_of(step).filter(|one| is_measured_in(*one, step, (pieces, arches)));
            own.collect::<Vec<_>>()
        };
        let all = |step| measures_of(step).collect::<Vec<_>>();
        let (upper, lower) = (Arch::Upper, Arch::Lower);
        let repair = [piece(Some(upper), Course::Repair)];
        assert_eq!(of(S::CastPoured, &repair, &[upper]), []);
        assert_eq!(of(S::Finished, &repair, &[upper]), []);
        let cured = [M::CureDegrees, M::CureMinutes];
        assert_eq!(of(S::Repaired, &repair, &[upper]), cured);
        let remount = [piece(None, Course::Remount)];
        assert_eq!(of(S::Finished, &remount, &[upper, lower]), [M::Ovd]);
        for course in [Course::Copy, Course::Reline, Course::Everything] {
            let pieces = [piece(None, course)];
            for step in [S::CastPoured, S::Finished] {
                assert_eq!(of(step, &pieces, &[upper, lower]), all(step), "{course:?}");
            }
        }
        // One arch is repaired, and the other one is made.
        let both = [repair[0], piece(Some(lower), Course::Single)];
        assert_eq!(of(S::Finished, &both, &[upper]), []);
        assert_eq!(of(S::Finished, &both, &[lower]), all(S::Finished));
        assert_eq!(of(S::Finished, &both, &[upper, lower]), all(S::Finished));
        // A step that nobody ordered, and a case without an order.
        assert_eq!(of(S::Mounted, &repair, &[upper]), all(S::Mounted));
        assert_eq!(of(S::Finished, &[], &[upper]), all(S::Finished));
    }

    #[test]
    fn a_reading_far_from_what_is_prescribed_is_asked_about_and_one_near_it_is_not() {
        let number = |text: &str| Decimal::parse(text).unwrap();
        for (measure, wanted, read, asked) in [
            (M::Ovd, "64", "6.6", "64 mm is prescribed: 66 or 6.6 mm?"),
            (M::Ovd, "64", "640", "64 mm is prescribed: 64 or 640 mm?"),
            (M::Ovd, "64", "80", "64 mm is prescribed: is 80 mm right?"),
            (M::Ovd, "66", "56", "66 mm is prescribed: is 56 mm right?"),
            (M::Ovd, "64", "60", ""),
            // Up for down; a side is asked beside the midline.
            (M::Pin, "2", "-2", "2 mm is prescribed: is -2 mm right?"),
            (M::Midline, "2", "-2", ""),
            // At most so much: less is better.
            (M::PinDrop, "2", "0.5", ""),
            (M::PinDrop, "1", "4", "1 mm is prescribed: is 4 mm right?"),
            (M::Ovd, "64", "66", ""),
            (M::Palate, "2", "20", "2 mm is prescribed: 2 or 20 mm?"),
            (M::Palate, "2", "4", ""),
            // Small numbers differ by much and are right.
            (M::Midline, "0.5", "1.5", ""),
            (M::Midline, "0", "3", "0 mm is prescribed: is 3 mm right?"),
            (
                M::CondylarLeft,
                "33",
                "3.3",
                "33° is prescribed: 33 or 3.3°?",
            ),
            (M::CondylarLeft, "33", "40", ""),
            (M::PlanePad, "50", "5", "50 % is prescribed: 50 or 5 %?"),
            // By the maker’s sheet, or by nothing: what is nothing is asked about, where it is always something.
            (M::CureMinutes, "", "0", "0 min: is that right?"),
            (M::CureMinutes, "", "540", ""),
            (M::CureDegrees, "", "0", "0 °C: is that right?"),
            (M::CureDegrees, "", "23", ""),
            (M::Palate, "", "0", "0 mm: is that right?"),
            (M::Border, "1", "0", "0 mm: is that right?"),
            (M::Palate, "2", "0", "2 mm is prescribed: is 0 mm right?"),
            (M::Overjet, "", "0", ""),
            (M::Pin, "", "0", ""),
            (M::TraySpacer, "", "0", ""),
            (M::SealMiddle, "", "0", ""),
        ] {
            let wanted_number = (!wanted.is_empty()).then(|| number(wanted));
            let found = measure.doubt(wanted_number, number(read));
            assert_eq!(found.unwrap_or_default(), asked, "{wanted} {read}");
        }
    }

    #[test]
    fn a_reading_is_told_with_its_unit() {
        let reading = |measure, text: &str| MeasuredValue {
            measure,
            value: Decimal::parse(text).unwrap(),
            again: None,
            third: None,
        };
        let thrice = MeasuredValue {
            again: Some(Decimal::parse("66.5").unwrap()),
            third: Some(Decimal::parse("66").unwrap()),
            ..reading(M::Ovd, "66")
        };
        assert_eq!(thrice.words(), "OVD 66; 66.5; 66 mm");
        assert_eq!(reading(M::Pin, "-0.5").words(), "Incisal pin -0.5 mm");
        assert_eq!(
            reading(M::CureDegrees, "74").words(),
            "Cure, temperature 74 °C"
        );
        assert_eq!(reading(M::CondylarLeft, "33").words(), "Condylar, left 33°");
    }
}
