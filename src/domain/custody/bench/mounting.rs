//! On what the casts were mounted, beside what was measured there.

use crate::domain::prescription::{ArticulatorClass, ReferencePlane};
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

impl Mounting {
    /// None where nothing of it was said.
    pub fn of(
        instrument: Option<ArticulatorClass>,
        plane: Option<ReferencePlane>,
    ) -> Option<Mounting> {
        (instrument.is_some() || plane.is_some()).then_some(Mounting { instrument, plane })
    }

    /// "Articulator: semi-adjustable"; "Mounted to: Frankfort horizontal"
    pub fn words(&self) -> Vec<String> {
        let instrument = self.instrument;
        let instrument = instrument.map(|one| format!("Articulator: {}", one.shown()));
        let plane = self.plane.map(|one| format!("Mounted to: {}", one.shown()));
        instrument.into_iter().chain(plane).collect()
    }
}
