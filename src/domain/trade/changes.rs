//! What a dated change list comes to: net movement of each part, of the midline, of the height.
//!
//! A mouth corrected over months leaves rows that partly undo each other. They are added up in exact
//! hundredths of a millimetre along the patient's own axes, whatever their order. What has no axis
//! (longer, wider, thicker, turned) is added up under its own name; what cannot be added without
//! guessing is named with its row instead.

use crate::domain::prescription::{Change, ChangedPart, Direction};
use crate::domain::values::arch::Arch;
use crate::domain::values::measure::{Degrees, Mm};
use crate::domain::values::tooth::{PatientSide, Tooth};
use std::collections::BTreeMap;

/// A movement along the patient's axes. Minus is left, back, down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Movement {
    pub right: Mm,
    pub forward: Mm,
    pub up: Mm,
}

impl Movement {
    pub fn is_none(&self) -> bool {
        *self == Movement::default()
    }

    /// Straight distance in mm.
    pub fn distance_mm(&self) -> f64 {
        let plane = self.right.to_f64().hypot(self.forward.to_f64());
        plane.hypot(self.up.to_f64())
    }

    /// "1 mm to the patient’s right, 0.5 mm down"; "no movement" where nothing is left of it.
    pub fn words(&self) -> String {
        let axes = [
            (
                self.right,
                "to the patient’s right",
                "to the patient’s left",
            ),
            (self.forward, "forward", "back"),
            (self.up, "up", "down"),
        ];
        let moved: Vec<String> = axes
            .into_iter()
            .filter(|(mm, ..)| mm.hundredths() != 0)
            .map(|(mm, plus, minus)| {
                let size = Mm::from_hundredths(mm.hundredths().saturating_abs());
                format!(
                    "{size} mm {}",
                    if mm.hundredths() > 0 { plus } else { minus }
                )
            })
            .collect();
        if moved.is_empty() {
            "no movement".to_owned()
        } else {
            moved.join(", ")
        }
    }
}

/// What can change without a movement along an axis. Plus is the first of the two words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ChangeShape {
    /// Longer or shorter at the edge.
    Edge,
    /// Longer or shorter at the gum.
    Gum,
    /// Wider or narrower.
    Width,
    /// Thicker or thinner.
    Thickness,
    /// Outward or inward, on a part that goes round the arch.
    Outward,
}

/// What a change was made to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ChangedPlace {
    pub what: ChangedPart,
    pub tooth: Option<Tooth>,
}

/// All rows about one place, added up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NetPart {
    pub place: ChangedPlace,
    pub movement: Movement,
    pub shapes: BTreeMap<ChangeShape, Mm>,
    /// Mesial edge outward; minus is inward.
    pub turn: Degrees,
    /// Patient's right side lower; minus is left side lower.
    pub tilt: Degrees,
    /// The rows of the list, counted from 0.
    pub rows: Vec<usize>,
}

impl NetPart {
    fn new(place: ChangedPlace) -> NetPart {
        NetPart {
            place,
            movement: Movement::default(),
            shapes: BTreeMap::new(),
            turn: Degrees::default(),
            tilt: Degrees::default(),
            rows: Vec::new(),
        }
    }

    fn take(&mut self, row: usize, effect: Effect) {
        self.rows.push(row);
        match effect {
            Effect::Moves(by) => {
                self.movement.right = plus(self.movement.right, by.right);
                self.movement.forward = plus(self.movement.forward, by.forward);
                self.movement.up = plus(self.movement.up, by.up);
            }
            Effect::Shapes(shape, by) => {
                let net = self.shapes.entry(shape).or_default();
                *net = plus(*net, by);
            }
            Effect::Turns(by) => self.turn = plus_degrees(self.turn, by),
            Effect::Tilts(by) => self.tilt = plus_degrees(self.tilt, by),
        }
    }

    /// Whether the rows undo each other wholly.
    pub fn is_nothing(&self) -> bool {
        let unshaped = self.shapes.values().all(|mm| mm.hundredths() == 0);
        let unturned = self.turn.hundredths() == 0 && self.tilt.hundredths() == 0;
        self.movement.is_none() && unshaped && unturned
    }

    /// "upper six front teeth", "upper right canine"
    pub fn name(&self) -> String {
        match self.place.tooth {
            Some(tooth) => tooth.words(),
            None => self.place.what.shown().to_owned(),
        }
    }

    /// Movement, shape, turn and tilt in words; only what is not zero.
    pub fn words(&self) -> Vec<String> {
        let mut words = Vec::new();
        if !self.movement.is_none() {
            words.push(self.movement.words());
        }
        let shapes = self.shapes.iter().filter(|(_, mm)| mm.hundredths() != 0);
        words.extend(shapes.map(|(shape, mm)| shape.words(*mm)));
        for (angle, plus, minus) in [
            (
                self.turn,
                "turned, mesial edge outward",
                "turned, mesial edge inward",
            ),
            (
                self.tilt,
                "tilted, patient’s right side lower",
                "tilted, patient’s left side lower",
            ),
        ] {
            if angle.hundredths() != 0 {
                let word = if angle.hundredths() > 0 { plus } else { minus };
                words.push(format!(
                    "{}° {word}",
                    Degrees::from_hundredths(angle.hundredths().saturating_abs())
                ));
            }
        }
        words
    }
}

impl ChangeShape {
    /// "0.5 mm longer at the edge"; minus is the second of the two words.
    fn words(self, mm: Mm) -> String {
        let (plus, minus) = match self {
            ChangeShape::Edge => ("longer at the edge", "shorter at the edge"),
            ChangeShape::Gum => ("longer at the gum line", "shorter at the gum line"),
            ChangeShape::Width => ("wider", "narrower"),
            ChangeShape::Thickness => ("thicker", "thinner"),
            ChangeShape::Outward => ("outward", "inward"),
        };
        let size = Mm::from_hundredths(mm.hundredths().saturating_abs());
        format!(
            "{size} mm {}",
            if mm.hundredths() > 0 { plus } else { minus }
        )
    }
}

/// What a change list comes to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NetChanges {
    /// In the order in which the places first appear.
    pub parts: Vec<NetPart>,
    /// The rows about the midline itself, plus to the patient's right.
    pub midline_right: Mm,
    /// How far the upper front teeth were moved sideways by rows of their own, plus to the patient's
    /// right. Kept apart from the midline, because the same correction may have been written as either.
    pub front_right: Mm,
    /// How much the bite is opened at the posterior teeth of each side; minus closes.
    pub opened_right: Mm,
    pub opened_left: Mm,
    /// Rows that cannot be added up, each with a sentence.
    pub unclear: Vec<(usize, String)>,
}

impl NetChanges {
    /// The net change of vertical dimension at the posterior teeth; `None` where the two sides differ, so
    /// that the higher one would meet alone.
    pub fn vertical(&self) -> Option<Mm> {
        (self.opened_right == self.opened_left).then_some(self.opened_right)
    }

    pub fn part(&self, what: ChangedPart, tooth: Option<Tooth>) -> Option<&NetPart> {
        self.parts
            .iter()
            .find(|part| part.place == ChangedPlace { what, tooth })
    }
}

/// Adds up a change list. Incomplete rows and those without an axis are named in `unclear`.
pub fn net(changes: &[Change]) -> NetChanges {
    let mut total = NetChanges::default();
    for (row, change) in changes.iter().enumerate() {
        if let Err(why) = total.add(row, change) {
            total.unclear.push((row, why));
        }
    }
    total
}

/// What one row does to its place.
enum Effect {
    Moves(Movement),
    Shapes(ChangeShape, Mm),
    Turns(Degrees),
    Tilts(Degrees),
}

impl NetChanges {
    fn add(&mut self, row: usize, change: &Change) -> Result<(), String> {
        let what = change.what.ok_or("It is not said what is changed.")?;
        let direction = change.direction.ok_or("The direction is missing.")?;
        if what == ChangedPart::Tooth && change.tooth.is_none() {
            return Err("It is not said which tooth.".into());
        }
        let tooth = change.tooth.filter(|_| what == ChangedPart::Tooth);
        let place = ChangedPlace { what, tooth };
        let effect = effect_of(place, direction, change)?;
        self.count_heights(place, &effect);
        match self.parts.iter_mut().find(|part| part.place == place) {
            Some(part) => part.take(row, effect),
            None => {
                let mut part = NetPart::new(place);
                part.take(row, effect);
                self.parts.push(part);
            }
        }
        Ok(())
    }

    /// Midline and bite height: what of the effect bears on them.
    fn count_heights(&mut self, place: ChangedPlace, effect: &Effect) {
        if let Effect::Moves(by) = effect {
            match place.what {
                ChangedPart::Midline => self.midline_right = plus(self.midline_right, by.right),
                ChangedPart::UpperFront | ChangedPart::UpperIncisors | ChangedPart::UpperArch => {
                    self.front_right = plus(self.front_right, by.right);
                }
                _ => {}
            }
        }
        let Some(opened) = opening_of(place.what, effect) else {
            return;
        };
        let (right, left) = sides_of(place.what);
        if right {
            self.opened_right = plus(self.opened_right, opened);
        }
        if left {
            self.opened_left = plus(self.opened_left, opened);
        }
    }
}

fn plus(one: Mm, other: Mm) -> Mm {
    Mm::from_hundredths(one.hundredths().saturating_add(other.hundredths()))
}

fn plus_degrees(one: Degrees, other: Degrees) -> Degrees {
    Degrees::from_hundredths(one.hundredths().saturating_add(other.hundredths()))
}

fn effect_of(place: ChangedPlace, direction: Direction, change: &Change) -> Result<Effect, String> {
    use Direction::*;
    let length = || change.mm.ok_or("The millimeters are missing.");
    let angle = || change.degrees.ok_or("The angle is missing.");
    let minus = |mm: Mm| Mm::from_hundredths(mm.hundredths().saturating_neg());
    let back = |angle: Degrees| Degrees::from_hundredths(angle.hundredths().saturating_neg());
    let sideways = |right| {
        Effect::Moves(Movement {
            right,
            ..Movement::default()
        })
    };
    let along = |forward| {
        Effect::Moves(Movement {
            forward,
            ..Movement::default()
        })
    };
    let upright = |up| {
        Effect::Moves(Movement {
            up,
            ..Movement::default()
        })
    };
    Ok(match direction {
        Right => sideways(length()?),
        Left => sideways(minus(length()?)),
        Forward => along(length()?),
        Back => along(minus(length()?)),
        Up => upright(length()?),
        Down => upright(minus(length()?)),
        Outward => outward(place, length()?),
        Inward => outward(place, minus(length()?)),
        LongerEdge => Effect::Shapes(ChangeShape::Edge, length()?),
        ShorterEdge => Effect::Shapes(ChangeShape::Edge, minus(length()?)),
        LongerGum => Effect::Shapes(ChangeShape::Gum, length()?),
        ShorterGum => Effect::Shapes(ChangeShape::Gum, minus(length()?)),
        Wider => Effect::Shapes(ChangeShape::Width, length()?),
        Narrower => Effect::Shapes(ChangeShape::Width, minus(length()?)),
        Thicker => Effect::Shapes(ChangeShape::Thickness, length()?),
        Thinner => Effect::Shapes(ChangeShape::Thickness, minus(length()?)),
        TurnMesialOut => Effect::Turns(angle()?),
        TurnMesialIn => Effect::Turns(back(angle()?)),
        TiltRight => Effect::Tilts(angle()?),
        TiltLeft => Effect::Tilts(back(angle()?)),
        Remove | Add => {
            return Err(
                "Removing and adding cannot be added up: it stands in the list as written.".into(),
            );
        }
    })
}

/// Outward is forward in front and sideways behind; round the arch it has no axis.
fn outward(place: ChangedPlace, by: Mm) -> Effect {
    let minus = Mm::from_hundredths(by.hundredths().saturating_neg());
    let right = Movement {
        right: by,
        ..Movement::default()
    };
    let left = Movement {
        right: minus,
        ..Movement::default()
    };
    let forward = Movement {
        forward: by,
        ..Movement::default()
    };
    match (place.what, place.tooth) {
        (ChangedPart::Tooth, Some(tooth)) if tooth.is_anterior() => Effect::Moves(forward),
        (ChangedPart::Tooth, Some(tooth)) => match tooth.side() {
            PatientSide::Right => Effect::Moves(right),
            PatientSide::Left => Effect::Moves(left),
        },
        (
            ChangedPart::UpperFront
            | ChangedPart::LowerFront
            | ChangedPart::UpperIncisors
            | ChangedPart::LowerIncisors,
            _,
        ) => Effect::Moves(forward),
        (
            ChangedPart::UpperRightBack | ChangedPart::LowerRightBack | ChangedPart::RightBlock,
            _,
        ) => Effect::Moves(right),
        (ChangedPart::UpperLeftBack | ChangedPart::LowerLeftBack | ChangedPart::LeftBlock, _) => {
            Effect::Moves(left)
        }
        _ => Effect::Shapes(ChangeShape::Outward, by),
    }
}

/// How much an effect opens the bite behind; `None` where it does not bear on it. A bite block's own
/// arch is not said, so only its length at the chewing edge counts, not up or down.
fn opening_of(what: ChangedPart, effect: &Effect) -> Option<Mm> {
    let arch = match what {
        ChangedPart::UpperRightBack | ChangedPart::UpperLeftBack | ChangedPart::UpperArch => {
            Some(Arch::Upper)
        }
        ChangedPart::LowerRightBack | ChangedPart::LowerLeftBack | ChangedPart::LowerArch => {
            Some(Arch::Lower)
        }
        ChangedPart::RightBlock | ChangedPart::LeftBlock => None,
        _ => return None,
    };
    match (effect, arch) {
        (Effect::Shapes(ChangeShape::Edge, longer), _) => Some(*longer),
        (Effect::Moves(by), Some(Arch::Lower)) => Some(by.up),
        (Effect::Moves(by), Some(Arch::Upper)) => {
            Some(Mm::from_hundredths(by.up.hundredths().saturating_neg()))
        }
        _ => None,
    }
}

/// Right and left: which sides a part lies on.
fn sides_of(what: ChangedPart) -> (bool, bool) {
    match what {
        ChangedPart::UpperRightBack | ChangedPart::LowerRightBack | ChangedPart::RightBlock => {
            (true, false)
        }
        ChangedPart::UpperLeftBack | ChangedPart::LowerLeftBack | ChangedPart::LeftBlock => {
            (false, true)
        }
        _ => (true, true),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn row(what: ChangedPart, direction: Direction, mm: &str) -> Change {
        Change {
            what: Some(what),
            direction: Some(direction),
            mm: Some(Mm::parse(mm).expect("mm")),
            ..Change::default()
        }
    }

    fn mm(text: &str) -> Mm {
        Mm::parse(text).expect("mm")
    }

    #[test]
    fn changes_that_undo_each_other_leave_their_difference() {
        let found = net(&[
            row(ChangedPart::UpperFront, Direction::Forward, "2"),
            row(ChangedPart::UpperFront, Direction::Back, "0.5"),
            row(ChangedPart::UpperFront, Direction::Right, "1"),
            row(ChangedPart::UpperFront, Direction::Down, "0.3"),
        ]);
        let part = found.part(ChangedPart::UpperFront, None).expect("part");
        assert_eq!(
            part.movement,
            Movement {
                right: mm("1"),
                forward: mm("1.5"),
                up: mm("-0.3")
            }
        );
        assert_eq!(
            part.movement.words(),
            "1 mm to the patient’s right, 1.5 mm forward, 0.3 mm down"
        );
        assert_eq!(part.rows, [0, 1, 2, 3]);
        assert_eq!((found.front_right, found.midline_right), (mm("1"), mm("0")));
    }

    #[test]
    fn the_midline_is_counted_to_the_patients_right() {
        let found = net(&[
            row(ChangedPart::Midline, Direction::Right, "1.5"),
            row(ChangedPart::Midline, Direction::Left, "2"),
        ]);
        assert_eq!(found.midline_right, mm("-0.5"));
    }

    #[test]
    fn outward_means_the_patients_own_side() {
        let tooth = |number| Change {
            tooth: Tooth::from_iso(number),
            ..row(ChangedPart::Tooth, Direction::Outward, "1")
        };
        let found = net(&[
            tooth(11),
            tooth(16),
            tooth(26),
            row(ChangedPart::LeftBlock, Direction::Inward, "1"),
        ]);
        let movement = |number| {
            found
                .part(ChangedPart::Tooth, Tooth::from_iso(number))
                .expect("part")
                .movement
        };
        assert_eq!(movement(11).forward, mm("1"));
        assert_eq!(movement(16).right, mm("1"));
        assert_eq!(movement(26).right, mm("-1"));
        let block = found.part(ChangedPart::LeftBlock, None).expect("block");
        assert_eq!(
            block.movement.right,
            mm("1"),
            "the left block inward goes to the right"
        );
    }

    #[test]
    fn the_bite_opens_by_longer_blocks_and_lower_teeth_raised() {
        let found = net(&[
            row(ChangedPart::RightBlock, Direction::LongerEdge, "2"),
            row(ChangedPart::LeftBlock, Direction::LongerEdge, "2"),
            row(ChangedPart::LowerArch, Direction::Up, "1"),
            row(ChangedPart::UpperArch, Direction::Up, "0.5"),
        ]);
        assert_eq!(found.vertical(), Some(mm("2.5")));
        let uneven = net(&[row(ChangedPart::RightBlock, Direction::LongerEdge, "2")]);
        assert_eq!((uneven.vertical(), uneven.opened_right), (None, mm("2")));
        let plane = net(&[row(ChangedPart::Plane, Direction::Down, "2")]);
        assert_eq!(
            plane.vertical(),
            Some(mm("0")),
            "a lower plane is no other height"
        );
    }

    #[test]
    fn rows_that_cannot_be_added_are_named() {
        let found = net(&[
            Change::default(),
            row(ChangedPart::Tooth, Direction::Up, "1"),
            Change {
                mm: None,
                ..row(ChangedPart::Plane, Direction::Up, "1")
            },
            row(ChangedPart::UpperFlange, Direction::Remove, "1"),
            row(ChangedPart::Plane, Direction::TiltLeft, "1"),
        ]);
        let rows: Vec<usize> = found.unclear.iter().map(|(row, _)| *row).collect();
        assert_eq!(rows, [0, 1, 2, 3, 4]);
        assert!(found.parts.is_empty());
    }

    #[test]
    fn turns_and_tilts_are_added_in_degrees() {
        let turn = |direction, degrees: &str| Change {
            what: Some(ChangedPart::Plane),
            direction: Some(direction),
            degrees: Some(Degrees::parse(degrees).expect("degrees")),
            ..Change::default()
        };
        let found = net(&[
            turn(Direction::TiltRight, "2"),
            turn(Direction::TiltLeft, "0.5"),
        ]);
        assert_eq!(found.parts[0].tilt, Degrees::parse("1.5").expect("degrees"));
    }

    /// The same change on the patient's other side.
    fn mirror(change: &Change) -> Change {
        use ChangedPart::{
            LeftBlock, LowerLeftBack, LowerRightBack, RightBlock, UpperLeftBack, UpperRightBack,
        };
        let what = change.what.map(|what| match what {
            UpperRightBack => UpperLeftBack,
            UpperLeftBack => UpperRightBack,
            LowerRightBack => LowerLeftBack,
            LowerLeftBack => LowerRightBack,
            RightBlock => LeftBlock,
            LeftBlock => RightBlock,
            other => other,
        });
        let direction = change.direction.map(|direction| match direction {
            Direction::Right => Direction::Left,
            Direction::Left => Direction::Right,
            Direction::TiltRight => Direction::TiltLeft,
            Direction::TiltLeft => Direction::TiltRight,
            other => other,
        });
        // Quadrants 1 and 2, 3 and 4 of ISO 3950 are each other's other side.
        let tooth = change.tooth.and_then(|tooth| {
            let other = [0, 2, 1, 4, 3][usize::from(tooth.iso() / 10)];
            Tooth::from_iso(other * 10 + tooth.iso() % 10)
        });
        Change {
            what,
            direction,
            tooth,
            ..change.clone()
        }
    }

    fn any_row() -> impl Strategy<Value = Change> {
        let what = proptest::option::of(proptest::sample::select(ChangedPart::ALL));
        let direction = proptest::option::of(proptest::sample::select(Direction::ALL));
        let tooth =
            proptest::option::of(proptest::sample::select(Tooth::all().collect::<Vec<_>>()));
        let length = proptest::option::of(0_i64..3000);
        (what, direction, tooth, length.clone(), length).prop_map(
            |(what, direction, tooth, mm, degrees)| Change {
                what,
                direction,
                tooth,
                mm: mm.map(Mm::from_hundredths),
                degrees: degrees.map(Degrees::from_hundredths),
                ..Change::default()
            },
        )
    }

    proptest! {
        #[test]
        fn the_order_of_the_rows_does_not_matter(rows in proptest::collection::vec(any_row(), 0..12)) {
            let forth = net(&rows);
            let turned: Vec<Change> = rows.iter().rev().cloned().collect();
            let back = net(&turned);
            prop_assert_eq!(forth.midline_right, back.midline_right);
            prop_assert_eq!((forth.opened_right, forth.opened_left), (back.opened_right, back.opened_left));
            for part in &forth.parts {
                let other = back.part(part.place.what, part.place.tooth).expect("part");
                prop_assert_eq!(part.movement, other.movement);
                prop_assert_eq!(&part.shapes, &other.shapes);
            }
        }

        #[test]
        fn every_row_is_added_or_named(rows in proptest::collection::vec(any_row(), 0..12)) {
            let found = net(&rows);
            let mut counted: Vec<usize> = found.parts.iter().flat_map(|part| part.rows.clone()).collect();
            counted.extend(found.unclear.iter().map(|(row, _)| *row));
            counted.sort_unstable();
            prop_assert_eq!(counted, (0..rows.len()).collect::<Vec<_>>());
        }

        #[test]
        fn a_list_written_twice_moves_twice_as_far(rows in proptest::collection::vec(any_row(), 0..12)) {
            let once = net(&rows);
            let twice = net(&[rows.clone(), rows].concat());
            let doubled = |mm: Mm| Mm::from_hundredths(mm.hundredths() * 2);
            prop_assert_eq!(twice.midline_right, doubled(once.midline_right));
            prop_assert_eq!(twice.front_right, doubled(once.front_right));
            prop_assert_eq!((twice.opened_right, twice.opened_left), (doubled(once.opened_right), doubled(once.opened_left)));
            for (once, twice) in once.parts.iter().zip(&twice.parts) {
                prop_assert!((twice.movement.distance_mm() - 2.0 * once.movement.distance_mm()).abs() < 1e-9);
                prop_assert!(once.shapes.iter().all(|(shape, mm)| twice.shapes.get(shape) == Some(&doubled(*mm))));
            }
        }

        #[test]
        fn the_mirrored_list_moves_to_the_other_side(rows in proptest::collection::vec(any_row(), 0..12)) {
            let mirrored: Vec<Change> = rows.iter().map(mirror).collect();
            let (here, there) = (net(&rows), net(&mirrored));
            let minus = |mm: Mm| Mm::from_hundredths(-mm.hundredths());
            prop_assert_eq!((here.midline_right, here.front_right), (minus(there.midline_right), minus(there.front_right)));
            prop_assert_eq!((here.opened_right, here.opened_left), (there.opened_left, there.opened_right));
            for (here, there) in here.parts.iter().zip(&there.parts) {
                prop_assert_eq!((here.movement.right, here.movement.forward, here.movement.up), (minus(there.movement.right), there.movement.forward, there.movement.up));
                prop_assert_eq!((&here.shapes, here.turn), (&there.shapes, there.turn));
                prop_assert_eq!(here.tilt.hundredths(), -there.tilt.hundredths());
            }
        }

        #[test]
        fn a_list_with_its_opposite_is_nothing(hundredths in 0_i64..3000) {
            let both = |one, other| {
                let by = Mm::from_hundredths(hundredths);
                net(&[
                    Change { mm: Some(by), ..row(ChangedPart::LowerArch, one, "0") },
                    Change { mm: Some(by), ..row(ChangedPart::LowerArch, other, "0") },
                ])
            };
            for (one, other) in [
                (Direction::Right, Direction::Left),
                (Direction::Forward, Direction::Back),
                (Direction::Up, Direction::Down),
                (Direction::LongerEdge, Direction::ShorterEdge),
                (Direction::Outward, Direction::Inward),
            ] {
                let found = both(one, other);
                prop_assert!(found.parts.iter().all(NetPart::is_nothing));
                prop_assert_eq!(found.vertical(), Some(Mm::default()));
            }
        }
    }
}
