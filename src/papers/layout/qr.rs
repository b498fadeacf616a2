//! The QR code of a paper, at error level Q: a quarter of it may be wet or worn.

use crate::papers::page::Mark;
use qrcodegen::{QrCode, QrCodeEcc};

/// Free border around the modules (ISO/IEC 18004: four modules).
const QUIET_MODULES: f32 = 4.0;
/// Side of the smallest box, quiet zone and all.
const LEAST_BOX_MM: f32 = 26.0;
/// Side of the smallest module; a telephone reads it from a hand's breadth.
const LEAST_MODULE_MM: f32 = 0.5;
/// Beyond this the code would push the words aside, and the address is only printed in letters.
const MOST_BOX_MM: f32 = 45.0;

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
        let count = code.size();
        let modules = count as f32 + 2.0 * QUIET_MODULES;
        let module_mm = (LEAST_BOX_MM / modules).max(LEAST_MODULE_MM);
        let side_mm = module_mm * modules;
        let rows = (0..count)
            .map(|y| (0..count).map(|x| code.get_module(x, y)).collect())
            .collect();
        (side_mm <= MOST_BOX_MM).then_some(QrBox {
            side_mm,
            module_mm,
            rows,
        })
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
