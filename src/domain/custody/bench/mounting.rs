//! On what the casts were mounted, beside what was measured there, and beside what is prescribed.

use crate::domain::prescription::{ArticulatorClass, Prescription, ReferencePlane};
use serde::{Deserialize, Serialize};

/// The instrument, and the plane that it was referred to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mounting {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<ArticulatorClass>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plane: Option<ReferencePlane>,
}

/// One of the two things that are said of a mounting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MountedPart {
    Instrument,
    Plane,
}

/// What was said of one of them, and what is prescribed.
struct Said {
    part: MountedPart,
    done: Option<&'static str>,
    prescribed: Option<&'static str>,
}

impl Said {
    fn label(&self) -> &'static str {
        match self.part {
            MountedPart::Instrument => "Articulator",
            MountedPart::Plane => "Mounted to",
        }
    }

    fn words(&self) -> Option<String> {
        let done = self.done?;
        let words = format!("{}: {done}", self.label());
        Some(match self.prescribed {
            Some(prescribed) => format!("{words} (prescribed {prescribed})"),
            None => words,
        })
    }

    fn is_otherwise(&self) -> bool {
        matches!((self.done, self.prescribed), (Some(done), Some(prescribed)) if done != prescribed)
    }
}

impl Mounting {
    /// None where nothing of it was said.
    pub fn of(
        instrument: Option<ArticulatorClass>,
        plane: Option<ReferencePlane>,
    ) -> Option<Mounting> {
        (instrument.is_some() || plane.is_some()).then_some(Mounting { instrument, plane })
    }

    /// What a prescription says: the plane of its values, or that of the facebow record where they have none.
    pub fn prescribed(rx: &Prescription) -> Mounting {
        let of_values = rx.guidance.plane;
        let plane = of_values.filter(|plane| *plane != ReferencePlane::None);
        Mounting {
            instrument: rx.guidance.articulator,
            plane: plane.or(rx.facebow.plane).or(of_values),
        }
    }

    fn said(&self, prescribed: &Mounting) -> [Said; 2] {
        let instrument = |one: &Mounting| one.instrument.map(|one| one.shown());
        let plane = |one: &Mounting| one.plane.map(|one| one.shown());
        [
            Said {
                part: MountedPart::Instrument,
                done: instrument(self),
                prescribed: instrument(prescribed),
            },
            Said {
                part: MountedPart::Plane,
                done: plane(self),
                prescribed: plane(prescribed),
            },
        ]
    }

    /// "Articulator: semi-adjustable"; "Mounted to: Frankfort horizontal"
    pub fn words(&self) -> Vec<String> {
        self.beside(&Mounting::default())
    }

    /// "Articulator: hinge (prescribed semi-adjustable)"
    pub fn beside(&self, prescribed: &Mounting) -> Vec<String> {
        let said = self.said(prescribed);
        said.iter().filter_map(Said::words).collect()
    }

    /// That of it which is not as prescribed.
    pub fn otherwise(&self, prescribed: &Mounting) -> Vec<String> {
        let said = self.said(prescribed);
        let otherwise = said.iter().filter(|one| one.is_otherwise());
        otherwise.filter_map(Said::words).collect()
    }

    /// What is asked of it before it is entered, where it is not as prescribed.
    pub fn doubts(&self, prescribed: &Mounting) -> Vec<(MountedPart, String)> {
        let said = self.said(prescribed).into_iter();
        let doubts = said.filter(Said::is_otherwise).filter_map(|one| {
            let (done, prescribed) = (one.done?, one.prescribed?);
            let words = format!("“{prescribed}” is prescribed: is “{done}” right?");
            Some((one.part, words))
        });
        doubts.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ArticulatorClass::{FullyAdjustable, Hinge, SemiAdjustable};
    use ReferencePlane::{Camper, Frankfort};

    #[test]
    fn another_articulator_or_plane_than_the_prescribed_one_is_asked_about_and_told() {
        let both = |instrument, plane| Mounting { instrument, plane };
        let as_prescribed = both(Some(SemiAdjustable), Some(Camper));
        let average = ReferencePlane::None;
        for (done, prescribed, asked, told) in [
            (
                both(Some(Hinge), Some(average)),
                as_prescribed,
                &[
                    "“semi-adjustable” is prescribed: is “hinge” right?",
                    "“ala-tragus (Camper) plane” is prescribed: is “none: average-value mounting” right?",
                ][..],
                "Articulator: hinge (prescribed semi-adjustable)|Mounted to: none: average-value mounting (prescribed \
                 ala-tragus (Camper) plane)",
            ),
            (as_prescribed, as_prescribed, &[], ""),
            // More than is asked for is not what is asked for.
            (
                both(Some(FullyAdjustable), Some(Camper)),
                as_prescribed,
                &["“semi-adjustable” is prescribed: is “fully adjustable” right?"],
                "Articulator: fully adjustable (prescribed semi-adjustable)",
            ),
            (
                both(None, Some(Frankfort)),
                as_prescribed,
                &["“ala-tragus (Camper) plane” is prescribed: is “Frankfort horizontal” right?"],
                "Mounted to: Frankfort horizontal (prescribed ala-tragus (Camper) plane)",
            ),
            // Nothing is prescribed, and nothing is said.
            (
                both(Some(Hinge), Some(average)),
                Mounting::default(),
                &[],
                "",
            ),
            (Mounting::default(), as_prescribed, &[], ""),
        ] {
            let doubts = done.doubts(&prescribed);
            let words: Vec<&str> = doubts.iter().map(|(_, words)| words.as_str()).collect();
            assert_eq!(words, asked);
            assert_eq!(done.otherwise(&prescribed).join("|"), told);
        }
    }

    #[test]
    fn what_is_prescribed_stands_beside_what_was_done() {
        let done = Mounting {
            instrument: Some(SemiAdjustable),
            plane: Some(Camper),
        };
        assert_eq!(
            done.words(),
            [
                "Articulator: semi-adjustable",
                "Mounted to: ala-tragus (Camper) plane"
            ]
        );
        let mut rx = Prescription::default();
        rx.guidance.articulator = Some(SemiAdjustable);
        rx.facebow.plane = Some(Frankfort);
        let beside = done.beside(&Mounting::prescribed(&rx));
        let wanted = [
            "Articulator: semi-adjustable (prescribed semi-adjustable)",
            "Mounted to: ala-tragus (Camper) plane (prescribed Frankfort horizontal)",
        ];
        assert_eq!(beside, wanted);
        // The plane of the values goes before that of the record.
        rx.guidance.plane = Some(Camper);
        assert_eq!(Mounting::prescribed(&rx), done);
    }
}
