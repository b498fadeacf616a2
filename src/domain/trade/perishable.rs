//! What a cast is poured from and keeps for no day: no plan of days counts for it.

use crate::domain::form::Day;
use crate::domain::prescription::{Prescription, SurfaceMaterial, SurfaceSource};
use crate::domain::values::moment::whole_day;

/// Whether the material sets and keeps its form: what is known of flowing ones does not hold for it.
pub fn sets(material: Option<SurfaceMaterial>) -> bool {
    use SurfaceMaterial::{HardReline, Polyether, Silicone, Zoe};
    matches!(material, Some(Silicone | Polyether | HardReline | Zoe))
}

/// What is said of a surface that is poured when it comes; none where it keeps, or where nothing is poured. From memory:
/// that functional materials are poured at once; studies of delayed pouring say it of alginate.
pub fn poured_at_once(rx: &Prescription) -> Option<String> {
    let impression = &rx.impression;
    let words = match (impression.source, impression.material) {
        (Some(SurfaceSource::Cast | SurfaceSource::Scan), _) => return None,
        (_, Some(SurfaceMaterial::Alginate)) => match impression.keeps_hours {
            None => "Alginate is poured at once: it dries and shrinks".to_owned(),
            Some(hours) => format!(
                "Alginate that keeps for {} h by its maker’s sheet, in its bag: it is poured before that",
                hours.get()
            ),
        },
        (Some(SurfaceSource::Functional), material) if !sets(material) => {
            "A functional surface is poured at once: it shrinks and hardens as it waits, and nothing may press on it"
                .to_owned()
        }
        _ => return None,
    };
    let since = impression.removed_on.map(Day::date);
    let since = since.map(|day| format!(". Out of the mouth since {}", whole_day(day)));
    Some(format!("{words}{}", since.unwrap_or_default()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::read;
    use crate::domain::values::tooth::Numbering;

    #[test]
    fn what_keeps_for_no_day_is_poured_at_once_and_what_sets_or_is_a_cast_is_not() {
        for (source, material, hours, begins) in [
            (
                "functional",
                "conditioner",
                "",
                Some("A functional surface"),
            ),
            ("functional", "", "", Some("A functional surface")),
            ("functional", "wax", "", Some("A functional surface")),
            ("functional", "silicone", "", None),
            ("functional", "hard_reline", "", None),
            (
                "impression",
                "alginate",
                "",
                Some("Alginate is poured at once"),
            ),
            (
                "impression",
                "alginate",
                "100",
                Some("Alginate that keeps for 100 h"),
            ),
            ("impression", "polyether", "", None),
            ("cast", "alginate", "", None),
            ("scan", "", "", None),
            ("", "", "", None),
        ] {
            let typed = [
                ("impression.source", source),
                ("impression.material", material),
                ("impression.keeps_hours", hours),
                ("impression.removed_on", "2026-03-02"),
            ];
            let raw: Raw = typed
                .iter()
                .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
                .collect();
            let reading = read(&raw, Numbering::Iso3950);
            assert_eq!(reading.faults, []);
            let said = poured_at_once(&reading.document);
            assert_eq!(
                said.is_some(),
                begins.is_some(),
                "{source} {material}: {said:?}"
            );
            if let (Some(said), Some(begins)) = (said, begins) {
                assert!(said.starts_with(begins), "{said}");
                assert!(
                    said.ends_with(". Out of the mouth since Mon 2 Mar 2026"),
                    "{said}"
                );
            }
        }
    }
}
