//! Materials and what they hold, special orders, and what is asked of them.

use super::*;

#[test]
fn p10_each_jaw_has_its_cusp_angle_and_the_missing_one_is_asked_for() {
    let apart: Edits<'_> = &[
        ("posterior.cusp_angle", ""),
        ("posterior.cusp_upper", "30"),
        ("posterior.cusp_lower", "10"),
    ];
    assert_eq!(found(apart), []);
    for (edits, key) in [
        (
            &[("posterior.cusp_angle", ""), ("posterior.cusp_upper", "30")] as Edits<'_>,
            "posterior.cusp_lower",
        ),
        (
            &[("posterior.cusp_angle", ""), ("posterior.cusp_lower", "0")],
            "posterior.cusp_upper",
        ),
        (&[("posterior.cusp_angle", "")], "posterior.cusp_angle"),
    ] {
        let findings = found(edits);
        assert_eq!(ids(&findings), ["criterion-12-tooth-material"]);
        assert_eq!(findings[0].key, key);
    }
    // A flat scheme with one steep jaw is named at that jaw.
    let findings = found(&[
        ("occlusion.scheme", "monoplane"),
        ("posterior.cusp_angle", "0"),
        ("posterior.cusp_upper", "20"),
    ]);
    assert_eq!(findings[0].key, "posterior.cusp_upper");
}
