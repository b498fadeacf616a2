//! The QR code of a paper, at error level Q: a quarter of it may be wet or worn.

use crate::papers::page::Mark;
use qrcodegen::{QrCode, QrCodeEcc};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex};

/// Free border around the modules (ISO/IEC 18004: four modules).
const QUIET_MODULES: f32 = 4.0;
/// Side of the smallest box, quiet zone and all.
const LEAST_BOX_MM: f32 = 26.0;
/// Side of the smallest module; a telephone reads it from a hand's breadth.
const LEAST_MODULE_MM: f32 = 0.5;
/// The same on the sheet, which is read from a poor copy too.
const LEAST_SHEET_MODULE_MM: f32 = 0.56;
/// Beyond this the code would push the words aside, and the address is only printed in letters.
const MOST_BOX_MM: f32 = 45.0;

/// Codes that are kept: some 2 KB each.
const KEPT: usize = 64;

type KeptCode = ((String, QrCodeEcc), Arc<QrCode>);

/// The newest codes by what they say: the two of a sheet are made for its picture, for its file, and again with each word
/// that is typed beside the picture. They follow from what they say and from nothing else.
static NEWEST: Mutex<VecDeque<KeptCode>> = Mutex::new(VecDeque::new());

/// The code of an address at a level; none where it is too long for any.
fn code_of(address: &str, level: QrCodeEcc) -> Option<Arc<QrCode>> {
    // A poisoned lock means that a request fell over while holding it; making the code again is always right.
    if let Ok(newest) = NEWEST.lock() {
        let mut kept = newest.iter();
        if let Some((_, code)) = kept.find(|((text, at), _)| *at == level && text == address) {
            return Some(code.clone());
        }
    }
    let code = Arc::new(QrCode::encode_text(address, level).ok()?);
    if let Ok(mut newest) = NEWEST.lock() {
        newest.truncate(KEPT - 1);
        newest.push_front(((address.to_owned(), level), code.clone()));
    }
    Some(code)
}

/// Modules and the side of the box that holds them.
pub struct QrBox {
    pub side_mm: f32,
    module_mm: f32,
    rows: Vec<Vec<bool>>,
}

impl QrBox {
    /// The code for an address, unless it is too long for one of sensible size. Capital letters, digits and
    /// `$%*+-./:` take the code's dense mode by themselves.
    pub fn encode(address: &str) -> Option<QrBox> {
        let code = QrCode::encode_text(address, QrCodeEcc::Quartile).ok()?;
        let modules = code.size() as f32 + 2.0 * QUIET_MODULES;
        let boxed = QrBox::of(&code, (LEAST_BOX_MM / modules).max(LEAST_MODULE_MM));
        (boxed.side_mm <= MOST_BOX_MM).then_some(boxed)
    }

    /// The code for a label: its modules alone are at least `least_mm` wide, the free border comes on top.
    pub fn for_label(address: &str, least_mm: f32) -> Option<QrBox> {
        let code = QrCode::encode_text(address, QrCodeEcc::Quartile).ok()?;
        let module_mm = (least_mm / code.size() as f32).max(LEAST_MODULE_MM);
        let boxed = QrBox::of(&code, module_mm);
        (boxed.side_mm <= MOST_BOX_MM).then_some(boxed)
    }

    /// The code for a sheet that is photographed at arm's length: its modules alone are as wide as this, and no
    /// module is wider than `most_module`. A longer address gives up some of its spare first.
    pub fn for_sheet(address: &str, side_mm: f32, most_module: f32) -> Option<QrBox> {
        let levels = [QrCodeEcc::Quartile, QrCodeEcc::Medium, QrCodeEcc::Low];
        // One after the other: most addresses need the first alone, and each costs as much as the rest of a column.
        let codes = levels
            .into_iter()
            .filter_map(|level| code_of(address, level));
        let boxes = codes.map(|code| {
            let module = (side_mm / code.size() as f32).min(most_module);
            QrBox::of(&code, module)
        });
        let mut fine = boxes.filter(|one| one.module_mm >= LEAST_SHEET_MODULE_MM);
        fine.next()
    }

    /// The mark with its first module at this corner; whoever sets it leaves the free border.
    pub fn bare_mark(&self, x: f32, y: f32) -> Mark {
        let quiet = QUIET_MODULES * self.module_mm;
        self.mark(x - quiet, y - quiet)
    }

    /// The side of the modules alone.
    pub fn bare_side(&self) -> f32 {
        self.module_mm * self.rows.len() as f32
    }

    fn of(code: &QrCode, module_mm: f32) -> QrBox {
        let count = code.size();
        QrBox {
            side_mm: module_mm * (count as f32 + 2.0 * QUIET_MODULES),
            module_mm,
            rows: (0..count)
                .map(|y| (0..count).map(|x| code.get_module(x, y)).collect())
                .collect(),
        }
    }

    /// The modules row by row, without the free border: for a screen.
    pub fn rows(&self) -> &[Vec<bool>] {
        &self.rows
    }

    /// The mark for a box with this upper left corner.
    pub fn mark(&self, x: f32, y: f32) -> Mark {
        let quiet = QUIET_MODULES * self.module_mm;
        Mark::Qr {
            x: x + quiet,
            y: y + quiet,
            module_mm: self.module_mm,
            rows: self.rows.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use qrcodegen::{QrSegment, QrSegmentMode, Version};

    #[test]
    fn an_address_in_capitals_takes_the_dense_mode_and_the_smaller_code() {
        let address = "HTTPS://VESTIBULE.OFFICE.EXAMPLE/I/T4K7M92XQ";
        let segments = QrSegment::make_segments(address);
        let modes: Vec<QrSegmentMode> = segments.iter().map(QrSegment::mode).collect();
        assert_eq!(modes, [QrSegmentMode::Alphanumeric]);
        let version = |text: &str| {
            QrCode::encode_text(text, QrCodeEcc::Quartile)
                .unwrap()
                .version()
        };
        // ISO/IEC 18004: at level Q, version 3 holds 47 characters of the alphanumeric mode and 32 bytes,
        // version 4 holds 46 bytes (from memory).
        assert_eq!(version(address), Version::new(3));
        assert_eq!(version(&address.to_lowercase()), Version::new(4));
    }

    #[test]
    fn a_code_that_is_kept_is_the_one_of_its_address_and_level_and_their_number_is_bounded() {
        for count in 0..2 * KEPT {
            let address = format!("HTTPS://VESTIBULE.EXAMPLE/C/{count}");
            for level in [QrCodeEcc::Quartile, QrCodeEcc::Low] {
                let made = QrCode::encode_text(&address, level).unwrap();
                for _ in 0..2 {
                    assert!(*code_of(&address, level).unwrap() == made);
                }
            }
        }
        assert!(NEWEST.lock().unwrap().len() <= KEPT);
        assert!(code_of(&"A".repeat(5_000), QrCodeEcc::Low).is_none());
    }

    #[test]
    fn a_codes_modules_are_as_wide_on_a_label_as_asked_and_never_finer_than_a_telephone_reads() {
        let short = QrBox::for_label("HTTP://A.EXAMPLE/I/T4K7M92XQ", 20.0).unwrap();
        assert!((short.module_mm * short.rows.len() as f32 - 20.0).abs() < 1e-3);
        assert!((short.side_mm - short.module_mm * (short.rows.len() as f32 + 8.0)).abs() < 1e-3);
        let long = QrBox::for_label(&format!("HTTP://{}/I/T", "A".repeat(200)), 20.0).unwrap();
        assert!((long.module_mm - LEAST_MODULE_MM).abs() < 1e-6);
        assert!(QrBox::for_label(&"A".repeat(900), 20.0).is_none());
    }
}
