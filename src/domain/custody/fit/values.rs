//! Each value that is checked when work comes back: which fields ask for it, how far off it may be, and to what step it
//! is read. A value of which nothing is measured is looked at.
//!
//! Marks say in which kinds of work it can be seen, in the order of [`Course::ALL`]: copy, copy from files, tray, rims,
//! set-up, reset, finish, immediate, single, duplicate, reline, repair, remount, everything. Marks, tolerances and steps
//! are common practice, no source, where a row names no other.

use crate::domain::custody::bench::{BenchMeasure, BenchPiece};
use crate::domain::prescription::Course;
use crate::domain::trade::colour::{Formula, Surface, thresholds};
use crate::domain::values::arch::Arch;
use crate::domain::values::evidence::Source;
use crate::domain::values::words_of;
use serde::{Deserialize, Serialize};

words_of! {
    /// A prescribed value as it is checked.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum FitValue {
        Ovd = "OVD",
        Freeway = "Freeway space",
        Speaking = "Closest speaking space",
        Overjet = "Overjet",
        Overbite = "Overbite",
        FrontClearance = "Anterior teeth, clearance in centric",
        PosteriorOverlap = "Posterior teeth, overlap to the cheek",
        Scheme = "Occlusal scheme",
        CrossBite = "Cross-bite",
        Shade = "Tooth shade",
        PosteriorShade = "Shade of the posterior teeth",
        ShadeDifference = "Tooth shade, difference",
        BaseShade = "Base shade",
        BaseDifference = "Base shade, difference",
        Midline = "Midline, moved by",
        IncisalShow = "Upper edge below the lip at rest",
        IncisalChange = "Incisal length, changed by",
        Papilla = "Upper edge in front of the papilla",
        CanineRight = "Canine line, right",
        CanineLeft = "Canine line, left",
        SmileLine = "Smile line",
        LipSupport = "Lip support",
        UpperSix = "Upper six, width",
        CentralWidth = "Upper central, width",
        CentralLength = "Upper central, length",
        Gap = "Gap between the upper centrals",
        MouldUpperFront = "Anterior mould, upper",
        MouldUpperBack = "Posterior mould, upper",
        TeethUpper = "Number of teeth, upper",
        Arrangement = "Arrangement of the anterior teeth",
        GumLine = "Gum line, moved by",
        Palate = "Palate, thickness",
        SealMiddle = "Posterior seal, middle",
        SealRight = "Posterior seal, right",
        SealLeft = "Posterior seal, left",
        UpperBorder = "Upper posterior border",
        RimUpper = "Upper rim, front height",
        MouldLowerFront = "Anterior mould, lower",
        MouldLowerBack = "Posterior mould, lower",
        TeethLower = "Number of teeth, lower",
        PlanePad = "Plane on the retromolar pad",
        LingualFlange = "Lower lingual flange",
        PadCover = "Cover of the retromolar pads",
        RimLower = "Lower rim, front height",
        RimBack = "Rims, width behind",
        PlaneTilt = "Plane, sides differ by",
        Curve = "Compensating curve",
        Borders = "Borders",
        BorderRoll = "Border roll",
        Polished = "Polished surface",
        Relief = "Relief, as listed",
        Changes = "Change list",
        TrayShort = "Tray short of the vestibule by",
        TraySpacer = "Tray spacer",
        FileWidth = "Width given for the files",
        Marking = "Denture marking",
    }
}

/// On which denture of a pair something is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitPart {
    Together,
    Of(Arch),
}

impl FitPart {
    /// "Upper", "Lower", "Both together".
    pub fn title(self) -> &'static str {
        match self {
            FitPart::Together => "Together",
            FitPart::Of(Arch::Upper) => "Upper",
            FitPart::Of(Arch::Lower) => "Lower",
        }
    }
}

/// Which kinds of work show a value.
#[derive(Debug, Clone, Copy)]
enum Seen {
    /// Once teeth or rims stand to each other.
    Height,
    /// On rims and teeth.
    Front,
    /// Once teeth are set.
    Teeth,
    /// In the resin.
    Resin,
    Rims,
    Tray,
    Files,
    /// Whatever comes.
    Any,
}

impl Seen {
    const fn marks(self) -> &'static str {
        match self {
            Seen::Height => "##.########.##",
            Seen::Front => "##.######....#",
            Seen::Teeth => "##..#####....#",
            Seen::Resin => "##....######.#",
            Seen::Rims => "...#.........#",
            Seen::Tray => "..#..........#",
            Seen::Files => ".#............",
            Seen::Any => "##############",
        }
    }
}

/// Value, part, fields that ask for it, the most that it may be off and the step it is read to (both in hundredths, zero
/// where nothing is measured), what the bench has measured of it, and where it is seen.
struct Row(
    FitValue,
    FitPart,
    &'static [&'static str],
    i64,
    i64,
    Option<BenchMeasure>,
    Seen,
);

use BenchMeasure as M;
use FitValue as V;

const TOGETHER: FitPart = FitPart::Together;
const UPPER: FitPart = FitPart::Of(Arch::Upper);
const LOWER: FitPart = FitPart::Of(Arch::Lower);

#[rustfmt::skip]
const TABLE: &[Row] = &[
    Row(V::Ovd, TOGETHER, &["vertical.occlusal_mm", "vertical.order", "vertical.change_mm", "vertical.change_at"], 100, 50, Some(M::Ovd), Seen::Height),
    Row(V::Freeway, TOGETHER, &["vertical.rest_mm"], 100, 50, None, Seen::Height),
    Row(V::Speaking, TOGETHER, &["vertical.closest_speaking_mm"], 100, 50, None, Seen::Height),
    Row(V::Overjet, TOGETHER, &["occlusion.overjet_mm"], 50, 25, Some(M::Overjet), Seen::Teeth),
    Row(V::Overbite, TOGETHER, &["occlusion.overbite_mm"], 50, 25, Some(M::Overbite), Seen::Teeth),
    Row(V::FrontClearance, TOGETHER, &["occlusion.front_clearance_mm"], 50, 25, None, Seen::Teeth),
    Row(V::PosteriorOverlap, TOGETHER, &["occlusion.posterior_overlap_mm"], 100, 25, None, Seen::Teeth),
    Row(V::Scheme, TOGETHER, &["occlusion.scheme"], 0, 0, None, Seen::Teeth),
    Row(V::CrossBite, TOGETHER, &["occlusion.cross_bite"], 0, 0, None, Seen::Teeth),
    Row(V::Shade, TOGETHER, &["shade.guide", "shade.tab"], 0, 0, None, Seen::Teeth),
    Row(V::PosteriorShade, TOGETHER, &["shade.posterior_tab"], 0, 0, None, Seen::Teeth),
    Row(V::ShadeDifference, TOGETHER, &["shade.lightness", "shade.a", "shade.b"], 180, 10, None, Seen::Teeth),
    Row(V::BaseShade, TOGETHER, &["base_shade.guide", "base_shade.code"], 0, 0, None, Seen::Resin),
    Row(V::BaseDifference, TOGETHER, &["base_shade.lightness", "base_shade.a", "base_shade.b"], 400, 10, None, Seen::Resin),
    Row(V::Midline, UPPER, &["anterior.midline_offset_mm", "anterior.midline_side"], 100, 50, Some(M::Midline), Seen::Front),
    Row(V::IncisalShow, UPPER, &["anterior.incisal_show_mm"], 100, 50, None, Seen::Front),
    Row(V::IncisalChange, UPPER, &["anterior.incisal_change_mm"], 50, 25, None, Seen::Teeth),
    Row(V::Papilla, UPPER, &["anterior.papilla_mm"], 100, 50, None, Seen::Front),
    Row(V::CanineRight, UPPER, &["anterior.canine_right_mm"], 100, 50, None, Seen::Front),
    Row(V::CanineLeft, UPPER, &["anterior.canine_left_mm"], 100, 50, None, Seen::Front),
    Row(V::SmileLine, UPPER, &["anterior.smile_line"], 0, 0, None, Seen::Front),
    Row(V::LipSupport, UPPER, &["anterior.lip_support", "anterior.lip_support_mm"], 100, 50, None, Seen::Front),
    Row(V::UpperSix, UPPER, &["anterior.width_mm", "anterior.width_method"], 100, 10, Some(M::UpperSix), Seen::Teeth),
    Row(V::CentralWidth, UPPER, &["anterior.central_width_mm"], 30, 10, None, Seen::Teeth),
    Row(V::CentralLength, UPPER, &["anterior.central_length_mm"], 50, 10, None, Seen::Teeth),
    Row(V::Gap, UPPER, &["anterior.diastema_mm"], 30, 10, None, Seen::Teeth),
    Row(V::MouldUpperFront, UPPER, &["anterior.upper_mould"], 0, 0, None, Seen::Teeth),
    Row(V::MouldUpperBack, UPPER, &["posterior.upper_mould"], 0, 0, None, Seen::Teeth),
    Row(V::TeethUpper, UPPER, &["posterior.teeth_upper"], 0, 0, None, Seen::Teeth),
    Row(V::Arrangement, UPPER, &["anterior.arrangement"], 0, 0, None, Seen::Teeth),
    Row(V::GumLine, UPPER, &["base_shade.gum_line_mm"], 50, 25, None, Seen::Resin),
    Row(V::Palate, UPPER, &["base.palate_mm"], 50, 10, Some(M::Palate), Seen::Resin),
    Row(V::SealMiddle, UPPER, &["seal.depth_mid_mm"], 30, 10, Some(M::SealMiddle), Seen::Resin),
    Row(V::SealRight, UPPER, &["seal.depth_right_mm"], 30, 10, None, Seen::Resin),
    Row(V::SealLeft, UPPER, &["seal.depth_left_mm"], 30, 10, None, Seen::Resin),
    Row(V::UpperBorder, UPPER, &["borders.posterior_upper"], 0, 0, None, Seen::Resin),
    Row(V::RimUpper, UPPER, &["rims.upper_front_mm"], 100, 50, Some(M::RimUpper), Seen::Rims),
    Row(V::MouldLowerFront, LOWER, &["anterior.lower_mould"], 0, 0, None, Seen::Teeth),
    Row(V::MouldLowerBack, LOWER, &["posterior.lower_mould"], 0, 0, None, Seen::Teeth),
    Row(V::TeethLower, LOWER, &["posterior.teeth_lower"], 0, 0, None, Seen::Teeth),
    Row(V::PlanePad, LOWER, &["plane.pad_percent"], 1000, 500, Some(M::PlanePad), Seen::Front),
    Row(V::LingualFlange, LOWER, &["borders.lingual_flange"], 0, 0, None, Seen::Resin),
    Row(V::PadCover, LOWER, &["borders.pad_cover"], 0, 0, None, Seen::Resin),
    Row(V::RimLower, LOWER, &["rims.lower_front_mm"], 100, 50, Some(M::RimLower), Seen::Rims),
    Row(V::RimBack, TOGETHER, &["rims.back_width_mm"], 100, 50, Some(M::RimBack), Seen::Rims),
    Row(V::PlaneTilt, TOGETHER, &["plane.tilt_mm", "plane.lower_side"], 100, 50, Some(M::PlaneTilt), Seen::Front),
    Row(V::Curve, TOGETHER, &["plane.compensating_mm"], 100, 25, None, Seen::Teeth),
    Row(V::Borders, TOGETHER, &["borders.order"], 0, 0, None, Seen::Resin),
    Row(V::BorderRoll, TOGETHER, &["borders.thickness_mm"], 50, 10, Some(M::Border), Seen::Resin),
    Row(V::Polished, TOGETHER, &["finish.polished"], 0, 0, None, Seen::Resin),
    Row(V::Relief, TOGETHER, &["reliefs.#.place"], 0, 0, None, Seen::Resin),
    Row(V::Changes, TOGETHER, &["changes.#.what"], 0, 0, None, Seen::Any),
    Row(V::TrayShort, TOGETHER, &["impression.tray_short_mm"], 100, 50, Some(M::TrayShort), Seen::Tray),
    Row(V::TraySpacer, TOGETHER, &["impression.tray_spacer_mm"], 50, 10, Some(M::TraySpacer), Seen::Tray),
    Row(V::FileWidth, TOGETHER, &["scan_set.width_checked_mm"], 30, 10, Some(M::FileWidth), Seen::Files),
    Row(V::Marking, TOGETHER, &["marking.text", "marking.place"], 0, 0, None, Seen::Resin),
];

/// Where a kind of work bears more, or less, than the table says: value, course, the most that it may be off in
/// hundredths, and the source. Rims are cut and built up in the mouth, and wax is moved at the chair: common practice, no
/// source.
const EXCEPTIONS: &[(FitValue, Course, i64, Source)] = &[
    (V::Ovd, Course::Rims, 200, Source::COMMON_PRACTICE),
    (V::Midline, Course::Rims, 200, Source::COMMON_PRACTICE),
    (V::IncisalShow, Course::Rims, 200, Source::COMMON_PRACTICE),
    (V::PlaneTilt, Course::Rims, 200, Source::COMMON_PRACTICE),
    (V::Overjet, Course::SetUp, 100, Source::COMMON_PRACTICE),
    (V::Overbite, Course::SetUp, 100, Source::COMMON_PRACTICE),
    (V::Overjet, Course::Reset, 100, Source::COMMON_PRACTICE),
    (V::Overbite, Course::Reset, 100, Source::COMMON_PRACTICE),
];

/// The teaching value of 2 to 4 mm is one of 3 mm with a millimetre to each side.
const TEACHING: Source = Source::published("teaching value, 2 to 4 mm, as told by Mohindra");

impl FitValue {
    fn row(self) -> Option<&'static Row> {
        TABLE.iter().find(|row| row.0 == self)
    }

    /// On which denture it is looked at.
    pub fn part(self) -> FitPart {
        self.row().map_or(FitPart::Together, |row| row.1)
    }

    /// The fields of the prescription that ask for it, that of its number first.
    pub fn fields(self) -> &'static [&'static str] {
        self.row().map_or(&[], |row| row.2)
    }

    /// The most that it may be off, in hundredths; none where it is looked at and not measured.
    pub fn within(self) -> Option<i64> {
        self.row().map(|row| row.3).filter(|within| *within > 0)
    }

    /// The most that it may be off in these pieces of work, in hundredths, and where that comes from: of several that
    /// show it, what the strictest bears.
    pub fn tolerance(self, pieces: &[BenchPiece]) -> Option<(i64, Source)> {
        let plain = (self.within()?, self.source());
        let of_course = |piece: &BenchPiece| {
            let mut own = EXCEPTIONS.iter();
            let own = own.find(|one| one.0 == self && one.1 == piece.course);
            own.map_or(plain, |(_, _, within, source)| (*within, *source))
        };
        let shown = pieces.iter().filter(|piece| self.is_seen_in(&[**piece]));
        let strictest = shown.map(of_course).min_by_key(|(within, _)| *within);
        Some(strictest.unwrap_or(plain))
    }

    /// Where its tolerance comes from.
    pub fn source(self) -> Source {
        let colour = |surface| thresholds(surface, Formula::Ciede2000).map(|one| one.source);
        let found = match self {
            FitValue::Freeway => Some(TEACHING),
            FitValue::ShadeDifference => colour(Surface::Teeth),
            FitValue::BaseDifference => colour(Surface::DentureBase),
            _ => None,
        };
        found.unwrap_or(Source::COMMON_PRACTICE)
    }

    /// To what step it is read, in hundredths.
    pub fn step(self) -> i64 {
        self.row().map_or(0, |row| row.4)
    }

    /// What the bench measures of it.
    pub fn bench(self) -> Option<BenchMeasure> {
        self.row()?.5
    }

    /// The unit in which it is measured.
    pub fn unit(self) -> &'static str {
        match self {
            FitValue::PlanePad => "%",
            FitValue::ShadeDifference | FitValue::BaseDifference => "ΔE00",
            _ if self.within().is_some() => "mm",
            _ => "",
        }
    }

    /// Which side is read with a minus, of what is asked to one side; empty of anything else.
    pub fn minus(self) -> &'static str {
        match self {
            FitValue::Midline => "; to the other side: with a minus",
            FitValue::PlaneTilt => "; the other side lower: with a minus",
            _ => "",
        }
    }

    /// Hundredths between which a reading can lie at all.
    pub fn limits(self) -> (i64, i64) {
        match self.unit() {
            "mm" => (-5_000, 15_000),
            _ => (0, 10_000),
        }
    }

    /// The same for what is typed today: entries that were made before stand as they are.
    pub fn limits_typed(self) -> (i64, i64) {
        let (least, most) = self.limits();
        (if self.has_two_ways() { least } else { 0 }, most)
    }

    /// Whether less than nothing can be measured of it: no tooth, border or height is.
    fn has_two_ways(self) -> bool {
        matches!(
            self,
            FitValue::Freeway
                | FitValue::Speaking
                | FitValue::Overjet
                | FitValue::Overbite
                | FitValue::FrontClearance
                | FitValue::PosteriorOverlap
                | FitValue::Midline
                | FitValue::IncisalShow
                | FitValue::IncisalChange
                | FitValue::LipSupport
                | FitValue::GumLine
                | FitValue::PlaneTilt
                | FitValue::Papilla
        )
    }

    /// Whether one of these pieces of work shows it; where none is told, each may.
    pub fn is_seen_in(self, pieces: &[BenchPiece]) -> bool {
        let Some(row) = self.row() else { return false };
        let is_marked = |course: Course| {
            let mut marks = Course::ALL.iter().zip(row.6.marks().bytes());
            marks.any(|(one, mark)| *one == course && mark == b'#')
        };
        let is_of_it = |piece: &BenchPiece| match (row.1, piece.arch) {
            (FitPart::Of(own), Some(arch)) => own == arch,
            _ => true,
        };
        pieces.is_empty() || (pieces.iter()).any(|piece| is_of_it(piece) && is_marked(piece.course))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::{FieldSpec, Kind};
    use crate::domain::prescription::field_spec;

    /// The entry of a field, of a list that of its first row.
    fn spec(key: &str) -> Option<&'static FieldSpec> {
        field_spec(&key.replace('#', "0"))
    }

    fn kind(key: &str) -> Kind {
        spec(key).unwrap_or_else(|| panic!("{key}")).kind
    }

    #[test]
    fn a_kind_of_work_bears_its_own_and_of_two_the_stricter_counts() {
        let piece = |arch, course| BenchPiece {
            arch: Some(arch),
            course,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        };
        let within = |value: FitValue, pieces: &[BenchPiece]| {
            value.tolerance(pieces).map(|(within, _)| within)
        };
        let (rims, finish) = (
            piece(Arch::Upper, Course::Rims),
            piece(Arch::Lower, Course::Finish),
        );
        assert_eq!(within(V::Ovd, &[rims]), Some(200));
        assert_eq!(within(V::Ovd, &[finish]), Some(100));
        assert_eq!(within(V::Ovd, &[rims, finish]), Some(100));
        assert_eq!(within(V::Ovd, &[]), Some(100));
        // The lower says nothing of the upper's midline.
        assert_eq!(within(V::Midline, &[rims, finish]), Some(200));
        assert_eq!(within(V::Shade, &[rims]), None);
        for (value, course, own, _) in EXCEPTIONS {
            let piece = piece(Arch::Upper, *course);
            assert!(value.is_seen_in(&[piece]), "{value:?}: nobody would see it");
            assert_ne!(value.within(), Some(*own), "{value:?}: no exception");
            assert!(value.step() < *own, "{value:?}");
        }
    }

    #[test]
    fn every_value_has_its_row_and_its_fields_are_there() {
        let rows: Vec<FitValue> = TABLE.iter().map(|row| row.0).collect();
        assert_eq!(rows, FitValue::ALL);
        for Row(value, _, fields, within, step, bench, seen) in TABLE {
            assert!(fields.iter().all(|key| spec(key).is_some()), "{value:?}");
            assert_eq!(seen.marks().len(), Course::ALL.len());
            // Read to a step that is finer than the tolerance, or not measured at all.
            assert_eq!(*within == 0, *step == 0, "{value:?}");
            assert!(*within == 0 || step < within, "{value:?}");
            let first = kind(fields.first().expect("a field"));
            let is_number = matches!(
                first,
                Kind::Mm { .. } | Kind::Whole { .. } | Kind::Number { .. }
            );
            let is_counted = matches!(value, V::TeethUpper | V::TeethLower);
            let is_by_second = *value == V::LipSupport;
            assert_eq!(
                is_number,
                (*within > 0 || is_counted) && !is_by_second,
                "{value:?}"
            );
            assert!(
                bench.is_none_or(|one| fields.contains(&one.field())),
                "{value:?}"
            );
        }
    }

    /// 1.8 for teeth and 4.00 for base resin are the published thresholds (trade values, `trade/colour.rs`); 2 to 4 mm is
    /// the teaching value of the freeway space.
    #[test]
    fn tolerances_with_a_source_are_those_of_the_source() {
        let hundredths = |surface| {
            let found = thresholds(surface, Formula::Ciede2000).expect("published");
            (found.acceptable * 100.0).round() as i64
        };
        assert_eq!(
            V::ShadeDifference.within(),
            Some(hundredths(Surface::Teeth))
        );
        assert_eq!(
            V::BaseDifference.within(),
            Some(hundredths(Surface::DentureBase))
        );
        assert_eq!(V::Freeway.within(), Some(100));
        for value in FitValue::ALL {
            let is_common = value.source() == Source::COMMON_PRACTICE;
            let has_own = [V::Freeway, V::ShadeDifference, V::BaseDifference].contains(value);
            assert_ne!(is_common, has_own, "{value:?}");
        }
    }

    /// Common practice, no source.
    #[test]
    fn each_kind_of_work_shows_its_own_values() {
        let shows = |course: Course, value: FitValue| {
            let piece = BenchPiece {
                arch: None,
                course,
                by_machine: false,
                without_remount: false,
                to_new_height: false,
            };
            value.is_seen_in(&[piece])
        };
        for (course, seen, unseen) in [
            (
                Course::Tray,
                &[V::TrayShort, V::TraySpacer][..],
                &[V::Ovd, V::Shade, V::Palate][..],
            ),
            (
                Course::Rims,
                &[V::RimUpper, V::Ovd, V::Midline],
                &[V::Overjet, V::Palate, V::TrayShort],
            ),
            (
                Course::SetUp,
                &[V::Ovd, V::Overjet, V::Shade],
                &[V::Palate, V::SealMiddle, V::Marking],
            ),
            (
                Course::Finish,
                &[V::Ovd, V::Shade, V::Palate, V::Marking],
                &[V::TrayShort, V::RimUpper],
            ),
            (
                Course::Reline,
                &[V::Ovd, V::Borders],
                &[V::Shade, V::Midline],
            ),
            (
                Course::Repair,
                &[V::Changes, V::BaseShade],
                &[V::Ovd, V::Overjet],
            ),
            (
                Course::DigitalCopy,
                &[V::FileWidth, V::Palate],
                &[V::RimUpper],
            ),
        ] {
            for value in seen {
                assert!(shows(course, *value), "{course:?} {value:?}");
            }
            for value in unseen {
                assert!(!shows(course, *value), "{course:?} {value:?}");
            }
        }
        let upper = BenchPiece {
            arch: Some(Arch::Upper),
            course: Course::Finish,
            by_machine: false,
            without_remount: false,
            to_new_height: false,
        };
        assert!(V::Midline.is_seen_in(&[upper]) && V::Ovd.is_seen_in(&[upper]));
        assert!(!V::PlanePad.is_seen_in(&[upper]));
        assert!(V::PlanePad.is_seen_in(&[]));
    }
}
