//! What the parts of one prescription say of the same thing, carried to the same place, so that they can be
//! compared.
//!
//! The height is said three times: by the order (keep, open, close), by the incisal pin, and by the change
//! list, which moves posterior teeth up or down. Each is carried to the incisors about the hinge axis
//! (`hinge`). Midline, incisal length, plane and lip are said by the change list and by fields of their own.
//! Signs: plus opens, is longer, goes to the patient's right, forward, or lowers the patient's right.

use crate::domain::prescription::{
    BaseMaterial, ChangedPart, Direction, LipSupport, MeasuredAt, Prescription, RimBase,
    Strengthening, ToothMaterial, VerticalOrder,
};
use crate::domain::trade::changes::{ChangeShape, NetChanges};
use crate::domain::trade::hinge::{Radii, opening_elsewhere};
use crate::domain::trade::substances::{Family, MaterialKind, entry, read};
use crate::domain::values::measure::Mm;
use crate::domain::values::tooth::{PatientSide, Tooth};

/// A change at one place as it is at the incisors, mm.
fn at_incisors(change: Mm, place: MeasuredAt) -> Option<f64> {
    opening_elsewhere(change.to_f64(), place, MeasuredAt::Incisors, &Radii::RULE).ok()
}

/// What the order does to the height at the incisors, mm; 0 where it is kept, `None` where the change is not
/// said whole.
pub fn ordered_mm(rx: &Prescription) -> Option<f64> {
    let vertical = &rx.vertical;
    let change = || at_incisors(vertical.change_mm?, vertical.change_at?);
    match vertical.order? {
        VerticalOrder::Keep => Some(0.0),
        VerticalOrder::Open => change(),
        VerticalOrder::Close => change().map(|size| -size),
    }
}

/// A change at one place as it is at the incisal pin, mm.
pub fn at_the_pin(change: Mm, place: MeasuredAt) -> Option<f64> {
    opening_elsewhere(change.to_f64(), place, MeasuredAt::Pin, &Radii::RULE).ok()
}

/// What the incisal pin does to it, mm at the incisors: its scale reads plus where the pin is raised and the
/// bite opens.
pub fn pin_mm(rx: &Prescription) -> Option<f64> {
    at_incisors(rx.guidance.pin_mm?, MeasuredAt::Pin)
}

/// What the change list does to it behind: mm at the posterior teeth, right and left. Where both sides move
/// alike, `incisors` says what that is in front.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Listed {
    pub right: Mm,
    pub left: Mm,
    pub incisors: Option<f64>,
}

/// The change list's own change of height.
pub fn listed(net: &NetChanges) -> Listed {
    Listed {
        right: net.opened_right,
        left: net.opened_left,
        incisors: net
            .vertical()
            .and_then(|both| at_incisors(both, MeasuredAt::Molars)),
    }
}

/// A number that a field gives, and the one that the change list comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Twice {
    pub field: Mm,
    pub list: Mm,
}

impl Twice {
    /// Both, where both say something.
    fn of(field: Mm, list: Mm) -> Option<Twice> {
        let both = field.hundredths() != 0 && list.hundredths() != 0;
        both.then_some(Twice { field, list })
    }

    /// One way by the field, the other by the list.
    pub fn is_opposed(&self) -> bool {
        self.field.hundredths().signum() != self.list.hundredths().signum()
    }

    /// By how much they differ.
    pub fn apart(&self) -> Mm {
        let apart = self
            .field
            .hundredths()
            .saturating_sub(self.list.hundredths());
        Mm::from_hundredths(apart.saturating_abs())
    }
}

fn minus(mm: Mm) -> Mm {
    Mm::from_hundredths(mm.hundredths().saturating_neg())
}

/// The midline, plus to the patient's right.
pub fn midline(rx: &Prescription, net: &NetChanges) -> Option<Twice> {
    let offset = rx.anterior.midline_offset_mm?;
    let field = match rx.anterior.midline_side? {
        PatientSide::Right => offset,
        PatientSide::Left => minus(offset),
    };
    Twice::of(field, listed_midline(net))
}

/// How far the change list moves the midline, plus to the patient's right: by rows of its own, or by the upper front
/// teeth.
pub fn listed_midline(net: &NetChanges) -> Mm {
    let by_row = net.midline_right.hundredths() != 0;
    if by_row {
        net.midline_right
    } else {
        net.front_right
    }
}

/// The parts whose rows move the edges of the upper incisors.
const UPPER_EDGES: [ChangedPart; 3] = [
    ChangedPart::UpperFront,
    ChangedPart::UpperIncisors,
    ChangedPart::UpperArch,
];

/// The length of the upper incisors at the edge, plus longer: what is lengthened, and what is moved down.
pub fn incisal_length(rx: &Prescription, net: &NetChanges) -> Option<Twice> {
    let field = rx.anterior.incisal_change_mm?;
    Twice::of(field, listed_incisal_length(net))
}

/// By how much the change list makes the upper incisors longer at the edge.
pub fn listed_incisal_length(net: &NetChanges) -> Mm {
    let parts = UPPER_EDGES.iter().filter_map(|part| net.part(*part, None));
    let longer = parts.map(|part| {
        let edge = part
            .shapes
            .get(&ChangeShape::Edge)
            .map_or(0, |mm| mm.hundredths());
        edge.saturating_sub(part.movement.up.hundredths())
    });
    let list = longer.fold(0_i64, i64::saturating_add);
    Mm::from_hundredths(list.saturating_add(both_central_incisors(net)))
}

/// By how much both upper central incisors become longer by rows of their own, in hundredths of a millimetre; nothing
/// where one alone does.
fn both_central_incisors(net: &NetChanges) -> i64 {
    const CENTRALS: [u8; 2] = [11, 21];
    let longer = |iso: u8| {
        let part = net.part(ChangedPart::Tooth, Some(Tooth::from_iso(iso)?))?;
        let edge = part.shapes.get(&ChangeShape::Edge);
        let edge = edge.map_or(0, |mm| mm.hundredths());
        Some(edge.saturating_sub(part.movement.up.hundredths()))
    };
    match CENTRALS.map(|iso| longer(iso).unwrap_or(0)) {
        [right, left] if right > 0 && left > 0 => right.min(left),
        [right, left] if right < 0 && left < 0 => right.max(left),
        _ => 0,
    }
}

/// Which side of the plane is lower by the field, and which by the rows about the plane.
pub fn lower_sides(rx: &Prescription, net: &NetChanges) -> Option<(PatientSide, PatientSide)> {
    let field = rx.plane.lower_side?;
    let tilt = net.part(ChangedPart::Plane, None);
    let list = match tilt.map_or(0, |part| part.tilt.hundredths().signum()) {
        1 => PatientSide::Right,
        -1 => PatientSide::Left,
        _ => tilted_rows(rx)?,
    };
    Some((field, list))
}

/// The lower side by the direction of the rows alone, where they give no angle and all say the same.
fn tilted_rows(rx: &Prescription) -> Option<PatientSide> {
    let rows = rx.pattern.changes.iter();
    let rows = rows.filter(|row| row.what == Some(ChangedPart::Plane) && row.degrees.is_none());
    let mut sides = rows.filter_map(|row| match row.direction? {
        Direction::TiltRight => Some(PatientSide::Right),
        Direction::TiltLeft => Some(PatientSide::Left),
        _ => None,
    });
    let first = sides.next()?;
    sides.all(|side| side == first).then_some(first)
}

/// The resins by which a text may name a base. Common practice, no source: microwave-cured, high-impact and
/// low-monomer acrylics are heat-cured ones, pour and repair resins cure cold.
fn resins_of(base: BaseMaterial) -> &'static [MaterialKind] {
    use MaterialKind as M;
    match base {
        BaseMaterial::HeatCured | BaseMaterial::HighImpact => {
            &[M::HeatCured, M::HighImpact, M::Microwave, M::LowMonomer]
        }
        BaseMaterial::ColdCured => &[
            M::ColdCured,
            M::Pour,
            M::RepairResin,
            M::HardReline,
            M::LowMonomer,
        ],
        BaseMaterial::Milled => &[M::Milled],
        BaseMaterial::Printed => &[M::Printed],
        BaseMaterial::Polyamide => &[M::Polyamide],
        BaseMaterial::MetalBase | BaseMaterial::Other => &[],
    }
}

/// Words that make a phrase one about something else than the base.
const BESIDE_THE_BASE: &[&str] = &["teeth", "tooth", "clasp", "clasps", "spare", "tray"];

/// The phrases of a text that may tell of the base.
fn phrases(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    let mut found = Vec::new();
    for phrase in lower.split([',', ';', '.', '\n', '+', ':']) {
        let mut words: Vec<&str> = Vec::new();
        for word in phrase.split_whitespace().chain(["and"]) {
            if matches!(word, "and" | "with") {
                found.push(words.join(" "));
                words.clear();
            } else {
                words.push(word);
            }
        }
    }
    let is_beside = |phrase: &String| {
        let mut words = phrase.split(|sign: char| !sign.is_alphanumeric());
        words.any(|word| BESIDE_THE_BASE.contains(&word))
    };
    found.retain(|phrase| !is_beside(phrase));
    found
}

/// The resin that a text names for a base, where it names none that the base may be of.
pub fn other_base(base: BaseMaterial, text: &str) -> Option<MaterialKind> {
    let own = resins_of(base);
    let named = phrases(text)
        .into_iter()
        .flat_map(|phrase| read(&phrase).materials);
    let resins: Vec<MaterialKind> = named
        .filter(|material| {
            let entry = entry(*material);
            entry.family == Family::Resin && !entry.is_general
        })
        .collect();
    let is_own = resins.iter().any(|resin| own.contains(resin));
    resins
        .first()
        .copied()
        .filter(|_| !own.is_empty() && !is_own)
}

/// The resin that a text names for the base of a rim, where it is not the one that is ordered.
pub fn other_rim_base(base: RimBase, text: &str) -> Option<MaterialKind> {
    use MaterialKind as M;
    let own: &[MaterialKind] = match base {
        RimBase::LightCured => &[M::LightCured],
        RimBase::HeatCured => &[M::HeatCured, M::HighImpact, M::Microwave],
        RimBase::ColdCured => &[M::ColdCured, M::Pour, M::RepairResin],
        RimBase::Shellac | RimBase::Wax => &[],
    };
    let named = read(text).materials.into_iter();
    let resins: Vec<MaterialKind> = named
        .filter(|one| entry(*one).family == Family::Resin && !entry(*one).is_general)
        .collect();
    let is_own = resins.iter().any(|resin| own.contains(resin));
    resins.first().copied().filter(|_| !is_own)
}

/// The teeth that a text names, where they are neither those in front nor those behind: both are chosen, and milled or
/// printed teeth may be of any resin.
pub fn other_teeth(front: ToothMaterial, back: ToothMaterial, text: &str) -> Option<MaterialKind> {
    use MaterialKind as M;
    let kind = |material: ToothMaterial| match material {
        ToothMaterial::Resin | ToothMaterial::CrossLinked => Some(M::AcrylicTeeth),
        ToothMaterial::Composite => Some(M::CompositeTeeth),
        ToothMaterial::Porcelain => Some(M::PorcelainTeeth),
        ToothMaterial::Milled | ToothMaterial::Printed => None,
    };
    let own = [kind(front), kind(back)];
    let may_be = |named: M| match named {
        M::PorcelainTeeth => own.contains(&Some(named)),
        _ => own.contains(&Some(named)) || own.contains(&None),
    };
    let named = read(text).materials.into_iter();
    let mut named = named.filter(|material| entry(*material).family == Family::Teeth);
    named.find(|material| !may_be(*material))
}

/// What strengthens a piece by a text, where it is not what is ordered: fibre or metal.
pub fn other_strengthening(ordered: Strengthening, text: &str) -> Option<&'static str> {
    let named = read(text).materials;
    let is_of = |family: Family| named.iter().any(|one| entry(*one).family == family);
    let lower = text.to_lowercase();
    let mut words = lower.split(|sign: char| !sign.is_alphanumeric());
    let is_inside = words.any(|word| matches!(word, "mesh" | "bar"));
    let (fibre, metal) = (is_of(Family::Fibre), is_of(Family::Alloy) && is_inside);
    match ordered {
        Strengthening::MetalMesh | Strengthening::Bar => {
            (fibre && !is_of(Family::Alloy)).then_some("fiber")
        }
        Strengthening::GlassFibre => (metal && !fibre).then_some("metal"),
        Strengthening::None if fibre => Some("fiber"),
        Strengthening::None => metal.then_some("metal"),
    }
}

/// Whether a text names a soft liner that stays in the denture.
pub fn names_liner(text: &str) -> bool {
    let mut named = read(text).materials.into_iter();
    named.any(|one| entry(one).family == Family::Liner && one != MaterialKind::Conditioner)
}

/// Whether the change list moves the midline that its field keeps.
pub fn midline_kept_and_moved(rx: &Prescription, net: &NetChanges) -> Option<Mm> {
    let is_kept = rx
        .anterior
        .midline_offset_mm
        .is_some_and(|mm| mm.hundredths() == 0);
    Some(listed_midline(net)).filter(|mm| is_kept && mm.hundredths() != 0)
}

/// How far the change list moves the upper front teeth forward.
pub fn listed_forward(net: &NetChanges) -> Mm {
    let parts = UPPER_EDGES.iter().filter_map(|part| net.part(*part, None));
    let forward = parts.map(|part| part.movement.forward.hundredths());
    Mm::from_hundredths(forward.fold(0_i64, i64::saturating_add))
}

/// By how much the change list brings the upper front teeth further in front of the lower ones.
pub fn listed_overjet(net: &NetChanges) -> Mm {
    let lower = [ChangedPart::LowerFront, ChangedPart::LowerIncisors];
    let lower = lower.iter().filter_map(|part| net.part(*part, None));
    let lower = lower.map(|part| part.movement.forward.hundredths());
    let lower = lower.fold(0_i64, i64::saturating_add);
    Mm::from_hundredths(listed_forward(net).hundredths().saturating_sub(lower))
}

/// By how much the change list makes the front teeth overlap more: upper edges that come down, lower ones that come up.
pub fn listed_overlap(net: &NetChanges) -> Mm {
    let lower = [ChangedPart::LowerFront, ChangedPart::LowerIncisors];
    let lower = lower.iter().filter_map(|part| net.part(*part, None));
    let longer = lower.map(|part| {
        let edge = part.shapes.get(&ChangeShape::Edge);
        let edge = edge.map_or(0, |mm| mm.hundredths());
        edge.saturating_add(part.movement.up.hundredths())
    });
    let upper = listed_incisal_length(net).hundredths();
    Mm::from_hundredths(longer.fold(upper, i64::saturating_add))
}

/// Whether the lip is to be held more or less, and the front teeth are moved the other way.
pub fn lip_is_opposed(rx: &Prescription, net: &NetChanges) -> bool {
    let forward = listed_forward(net).hundredths();
    match rx.anterior.lip_support {
        Some(LipSupport::More) => forward < 0,
        Some(LipSupport::Less) => forward > 0,
        Some(LipSupport::Keep) | None => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::read;
    use crate::domain::trade::changes::net;
    use crate::domain::values::tooth::Numbering;

    fn written(fields: &[(&str, &str)]) -> (Prescription, NetChanges) {
        let raw: Raw = fields
            .iter()
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect();
        let reading = read(&raw, Numbering::Iso3950);
        assert_eq!(reading.faults, []);
        let changes = net(&reading.document.pattern.changes);
        (reading.document, changes)
    }

    #[test]
    fn the_three_ways_to_say_a_height_meet_at_the_incisors() {
        // Kaiser and Schelb: 1.5 mm at the pin, 1 mm at the incisors, 0.5 mm at the molars.
        let (rx, net) = written(&[
            ("vertical.order", "close"),
            ("vertical.change_mm", "0.5"),
            ("vertical.change_at", "molars"),
            ("guidance.pin_mm", "-1.5"),
            ("changes.0.what", "lower_arch"),
            ("changes.0.direction", "down"),
            ("changes.0.mm", "0.5"),
        ]);
        for found in [ordered_mm(&rx), pin_mm(&rx), listed(&net).incisors] {
            assert!((found.expect("said") + 1.0).abs() < 1e-9, "{found:?}");
        }
    }

    #[test]
    fn upper_teeth_moved_down_open_and_are_longer_at_the_edge() {
        let (rx, net) = written(&[
            ("changes.0.what", "upper_arch"),
            ("changes.0.direction", "down"),
            ("changes.0.mm", "1"),
            ("changes.1.what", "upper_incisors"),
            ("changes.1.direction", "shorter_edge"),
            ("changes.1.mm", "0.25"),
            ("anterior.incisal_change_mm", "0.75"),
        ]);
        assert_eq!(listed(&net).incisors, Some(2.0));
        let both = incisal_length(&rx, &net).expect("both are said");
        assert_eq!((both.apart().hundredths(), both.is_opposed()), (0, false));
    }

    #[test]
    fn the_materials_of_a_piece_are_read_for_its_base_and_not_for_its_teeth() {
        use BaseMaterial as B;
        for (base, text, other) in [
            (
                B::Polyamide,
                "heat-cured acrylic base, cross-linked teeth",
                Some(MaterialKind::HeatCured),
            ),
            (
                B::HeatCured,
                "printed resin base",
                Some(MaterialKind::Printed),
            ),
            (B::HeatCured, "acrylic base and milled teeth", None),
            (B::HeatCured, "high-impact resin, composite teeth", None),
            (B::Milled, "milled resin, base and teeth", None),
            (B::ColdCured, "repair resin", None),
            (
                B::MetalBase,
                "cobalt-chromium palate, heat-cured saddles",
                None,
            ),
            (B::HeatCured, "acrylic", None),
        ] {
            assert_eq!(other_base(base, text), other, "{base:?} {text}");
        }
    }

    #[test]
    fn teeth_that_a_text_names_are_held_against_those_that_are_chosen() {
        use ToothMaterial as T;
        let porcelain = Some(MaterialKind::PorcelainTeeth);
        for (front, back, text, other) in [
            (
                T::Composite,
                T::Composite,
                "resin base, porcelain teeth",
                porcelain,
            ),
            (
                T::CrossLinked,
                T::CrossLinked,
                "high-impact resin base, porcelain teeth",
                porcelain,
            ),
            (T::Milled, T::Milled, "porcelain", porcelain),
            (
                T::Porcelain,
                T::CrossLinked,
                "porcelain front teeth, acrylic teeth behind",
                None,
            ),
            (
                T::Composite,
                T::CrossLinked,
                "composite and cross-linked teeth",
                None,
            ),
            (
                T::CrossLinked,
                T::Resin,
                "heat-cured resin, acrylic teeth",
                None,
            ),
            (
                T::Milled,
                T::Milled,
                "milled resin base, acrylic teeth",
                None,
            ),
            (
                T::Composite,
                T::Composite,
                "heat-cured resin, no porcelain",
                None,
            ),
        ] {
            assert_eq!(other_teeth(front, back, text), other, "{front:?} {text}");
        }
    }

    #[test]
    fn a_plane_is_tilted_to_the_side_that_its_row_names_whatever_the_unit() {
        for (row, side) in [
            (&[("changes.0.mm", "2")][..], Some(PatientSide::Right)),
            (&[("changes.0.degrees", "2")], Some(PatientSide::Right)),
            (&[], Some(PatientSide::Right)),
            (
                &[
                    ("changes.1.what", "plane"),
                    ("changes.1.direction", "tilt_left"),
                ],
                None,
            ),
        ] {
            let fields = [
                ("plane.tilt_mm", "2"),
                ("plane.lower_side", "left"),
                ("changes.0.what", "plane"),
                ("changes.0.direction", "tilt_right"),
            ];
            let (rx, net) = written(&[&fields[..], row].concat());
            let both = side.map(|side| (PatientSide::Left, side));
            assert_eq!(lower_sides(&rx, &net), both, "{row:?}");
        }
    }

    #[test]
    fn fibre_and_metal_are_two_ways_to_strengthen_one_piece() {
        use Strengthening as St;
        for (ordered, text, other) in [
            (
                St::MetalMesh,
                "heat-cured resin, glass fibre",
                Some("fiber"),
            ),
            (St::MetalMesh, "heat-cured resin, titanium mesh", None),
            (
                St::GlassFibre,
                "heat-cured resin, metal mesh",
                Some("metal"),
            ),
            (St::GlassFibre, "heat-cured resin, steel clasps", None),
            (St::GlassFibre, "glass fibre mesh", None),
            (St::None, "heat-cured resin, glass fibre", Some("fiber")),
            (St::None, "heat-cured resin", None),
        ] {
            assert_eq!(
                other_strengthening(ordered, text),
                other,
                "{ordered:?} {text}"
            );
        }
    }

    #[test]
    fn one_statement_alone_is_no_contradiction() {
        let (rx, net) = written(&[
            ("anterior.midline_offset_mm", "1"),
            ("anterior.midline_side", "left"),
            ("vertical.order", "open"),
            ("anterior.incisal_change_mm", "1"),
        ]);
        assert_eq!(midline(&rx, &net), None);
        assert_eq!(incisal_length(&rx, &net), None);
        assert_eq!(ordered_mm(&rx), None, "by how much is not given");
        assert_eq!(lower_sides(&rx, &net), None);
    }
}
