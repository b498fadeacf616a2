//! A scan of something of the case was added as a file. Its bytes lie beside the database, under their hash.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::pictured::PICTURE_PLACE;
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::item_file::FileFacts;
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::scan_files::{FiledScan, SCANS_MOST, ScanOf, box_words};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::mesh::MeshUnit;
use crate::domain::prescription::{FileFormat, FileUnits};
use crate::domain::values::digest::FileHash;
use crate::domain::values::ids::Tag;
use crate::domain::values::words::counted;
use serde::{Deserialize, Serialize};

/// A scan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScanFiled {
    pub shows: ScanOf,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<Tag>,
    /// That item stands for this very file.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub is_its_file: bool,
    /// The SHA-256 of the bytes as they are kept; committed in the leaf, and goes with the scan.
    pub hash: String,
    /// Bytes as kept.
    pub length: u64,
    /// Whether it is kept as STL; otherwise it is a PLY.
    pub is_stl: bool,
    pub triangles: u64,
    pub width_um: u64,
    pub depth_um: u64,
    pub height_um: u64,
    /// What 1 stood for in the file as it was sent; as it is kept, it stands for a millimetre.
    pub unit: MeshUnit,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
    /// Whether the lab is to work with it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub for_lab: bool,
}

impl Constants for ScanFiled {
    const WORD: &'static str = "scan_filed";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] = &["shows", "item", "unit"];
    const ERASABLE: &'static [ErasablePlace] =
        &[(PICTURE_PLACE, "scan"), ("/what/caption", "caption")];
}

impl ScanFiled {
    /// A scan of nothing of which more would be asked.
    pub fn sample() -> ScanFiled {
        ScanFiled {
            shows: ScanOf::Other,
            item: None,
            is_its_file: false,
            hash: SAMPLE_TEXT.to_owned(),
            length: 1,
            is_stl: true,
            triangles: 1,
            width_um: 1,
            depth_um: 1,
            height_um: 1,
            unit: MeshUnit::Millimetre,
            caption: String::new(),
            for_lab: false,
        }
    }

    /// As an item that stands for it is known by it: its bytes as they are kept, in millimetres.
    fn item_file(&self, typed: Option<FileFacts>) -> FileFacts {
        let typed = typed.unwrap_or_default();
        let (end, format) = match self.is_stl {
            true => ("stl", FileFormat::Stl),
            false => ("ply", FileFormat::Ply),
        };
        let name = match typed.name.is_empty() {
            true => format!("{}.{end}", self.shows.word().replace('_', "-")),
            false => typed.name,
        };
        FileFacts {
            name,
            format: Some(format),
            units: Some(FileUnits::Millimetres),
            sha256: FileHash::parse(&self.hash).ok(),
        }
    }

    /// By what two scans are told apart: "50.8 × 25.4 × 127.0 mm, 2 triangles, PLY, 214 bytes".
    pub fn facts(&self) -> String {
        format!(
            "{}, {}, {}, {} bytes",
            box_words([self.width_um, self.depth_um, self.height_um]),
            counted(self.triangles, "triangle"),
            if self.is_stl { "STL" } else { "PLY" },
            self.length
        )
    }
}

impl EventKind for ScanFiled {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.item.as_ref() == Some(asked)
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if self.length == 0 || self.triangles == 0 {
            let wanted = "A scan without anything in it is none: send another one.";
            proposal.refuse(CustodyRule::Form, None, wanted);
        }
        proposal.own_only(self.item.as_ref());
        if proposal.case.scans.len() >= SCANS_MOST {
            let sentence = format!(
                "This case has had {SCANS_MOST} scans, erased ones counted along: that is as many as a case takes."
            );
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        if let Some(tag) = self.item.as_ref().filter(|_| self.is_its_file) {
            case.change(tag, |state| {
                state.file = Some(self.item_file(state.file.take()))
            });
        }
        case.scans.push(FiledScan {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            party: stamp.by.party.clone(),
            marked: stamp.at,
            for_lab: self.for_lab,
            shows: self.shows,
            item: self.item.clone(),
            hash: self.hash.clone(),
            length: self.length,
            is_stl: self.is_stl,
            triangles: self.triangles,
            box_um: [self.width_um, self.depth_um, self.height_um],
            unit: self.unit,
            caption: self.caption.clone(),
        });
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let of = self.item.as_ref().map(named);
        let of = of.map_or_else(String::new, |of| format!(", {of}"));
        let marked = if self.for_lab { ", for the lab" } else { "" };
        let called = if self.is_its_file {
            "Scan file"
        } else {
            "Scan"
        };
        let what = format!("{called} added: {}{of}{marked}", self.shows.shown());
        let facts = format!("{}, SHA-256 {}", self.facts(), self.hash);
        (what, vec![self.caption.clone(), facts])
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn file(&self) -> Option<(&str, u64)> {
        Some((&self.hash, self.length))
    }
}
