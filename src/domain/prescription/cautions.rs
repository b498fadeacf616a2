//! What is worth a warning beside a part of the form, whatever is written in it.

/// The cautions of a section. Common practice, no source; the makers' sheets and local rules decide.
pub fn cautions(section: &str) -> &'static [&'static str] {
    match section {
        "vertical" => &[
            "A change of vertical dimension is tried on the provisional first. A millimeter at the pin is less at the teeth: \
             say where it is measured.",
        ],
        "base" => &[
            "Exclusions of the patient's card are looked for in the generic materials named here. The maker's safety sheet and \
             the physician decide: that nothing is found proves nothing.",
        ],
        "enclosures" => &[
            "Disinfect with an agent and a time that the item's maker allows for. Never mix agents. Rinse.",
        ],
        "spare" => &[
            "A duplicate of cold-curing resin holds residual monomer and is no denture for years. Never use it as the pattern.",
        ],
        _ => &[],
    }
}
