//! Which entries can be withdrawn as mistakes, and what they are called then.

/// By the words of their kinds. What is not here has a way back of its own: a handoff is taken back, work that was
/// stopped goes on, a case is opened again, a correction is followed by another.
const MISTAKEN: &[(&str, &str)] = &[
    ("registered", "registered"),
    ("disinfected", "disinfected"),
    ("adjusted", "adjusted at the chair"),
    ("picked_up", "picked up"),
    ("received", "received"),
    ("pass_moved", "moved between the two labs"),
    ("voided", "taken back"),
    ("settled", "resolved"),
    ("moved", "put at its place"),
    ("damaged_here", "damaged here"),
    ("finding_added", "finding added"),
    ("fitted", "put into the mouth"),
    ("taken_out", "taken out of the mouth"),
    ("given", "given to the patient"),
    ("given_back", "given back"),
    ("brought_back", "brought back"),
    ("used_up", "used up"),
    ("withheld", "kept back"),
    ("destroyed", "destroyed"),
    ("written_off", "written off as lost"),
];

/// What an entry of this kind is called where it was a mistake; none where such a one is not withdrawn.
pub fn mistaken(word: &str) -> Option<&'static str> {
    let found = MISTAKEN.iter().find(|(kind, _)| *kind == word);
    found.map(|(_, called)| *called)
}
