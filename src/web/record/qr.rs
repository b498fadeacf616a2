//! A QR code as a picture on a page.

use crate::papers::layout::qr::QrBox;

/// A QR code as one path, one unit a module.
pub struct QrView {
    pub side: usize,
    pub path: String,
}

/// The code of a text; none where the text is too long for one.
pub fn qr(text: &str) -> Option<QrView> {
    /// Free border around the modules (ISO/IEC 18004: four modules).
    const QUIET: usize = 4;
    let code = QrBox::encode(text)?;
    let mut path = String::new();
    for (y, row) in code.rows().iter().enumerate() {
        for (x, _) in row.iter().enumerate().filter(|(_, dark)| **dark) {
            path += &format!("M{} {}h1v1h-1z", x + QUIET, y + QUIET);
        }
    }
    Some(QrView {
        side: code.rows().len() + 2 * QUIET,
        path,
    })
}
