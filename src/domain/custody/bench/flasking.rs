//! Whether a cast was photographed before it is flasked: what it was, nothing shows afterwards.

use super::entries::BenchEntry;
use super::steps::BenchStep;
use crate::domain::custody::pictures::{PictureOf, TakenPicture};
use crate::domain::values::arch::Arches;

/// The newest picture of the cast that is not older than the last set-up of these arches, and still there. A picture of
/// what was set up otherwise since shows nothing of what goes into the flask, and none that is not newer than finished
/// work of these arches that has left shows anything of a remake.
pub fn cast_photographed<'a>(
    entries: &[BenchEntry],
    pictures: &'a [TakenPicture],
    (arches, since_ms): (Arches, Option<i64>),
) -> Option<&'a TakenPicture> {
    let is_set_up = |one: &&BenchEntry| {
        let concerns = one
            .arches
            .treated()
            .iter()
            .any(|arch| arches.treated().contains(arch));
        concerns && matches!(one.step, BenchStep::SetUp | BenchStep::Reset)
    };
    let last = entries.iter().filter(is_set_up);
    let last = last.map(|one| one.at.unix_ms).max();
    let shows_it = |one: &&TakenPicture| {
        let is_since = last.is_none_or(|last| one.at.unix_ms >= last)
            && since_ms.is_none_or(|since| one.at.unix_ms > since);
        one.shows == PictureOf::CastBeforeFlasking && !one.is_erased() && is_since
    };
    let of_it = pictures.iter().filter(shows_it);
    of_it.max_by_key(|one| one.at.unix_ms)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::custody::bench::entries::entry;
    use crate::domain::custody::erased_text::ERASED;
    use crate::domain::values::ids::{EventId, PartyId};
    use crate::domain::values::moment::Moment;
    use proptest::prelude::*;

    fn picture(shows: PictureOf, at: i64) -> TakenPicture {
        TakenPicture {
            for_lab: false,
            event: EventId::new(format!("p{at}")),
            at: Moment::new(at, 0),
            by: "Tom, Kiln".to_owned(),
            party: PartyId::new("kiln"),
            marked: Moment::new(at, 0),
            shows,
            item: None,
            hash: "0".repeat(64),
            width: 1,
            height: 1,
            caption: String::new(),
        }
    }

    #[test]
    fn a_picture_counts_from_the_last_set_up_of_its_arches_on() {
        use PictureOf::{CastBeforeFlasking as Cast, SmileLine};
        let (upper, lower) = (Arches::Upper, Arches::Lower);
        let table = [
            // No set-up was entered: any picture of the cast counts.
            (vec![], vec![picture(Cast, 5)], upper, Some(5)),
            (vec![], vec![picture(SmileLine, 5)], upper, None),
            (vec![], vec![], upper, None),
            (
                vec![(BenchStep::SetUp, Arches::Both, 6)],
                vec![picture(Cast, 5)],
                upper,
                None,
            ),
            (
                vec![(BenchStep::SetUp, Arches::Both, 5)],
                vec![picture(Cast, 5)],
                upper,
                Some(5),
            ),
            (
                vec![(BenchStep::SetUp, lower, 6)],
                vec![picture(Cast, 5)],
                upper,
                Some(5),
            ),
            (
                vec![(BenchStep::SetUp, lower, 6)],
                vec![picture(Cast, 5)],
                Arches::Both,
                None,
            ),
            (
                vec![(BenchStep::SetUp, upper, 3), (BenchStep::Reset, upper, 8)],
                vec![picture(Cast, 5)],
                upper,
                None,
            ),
            (
                vec![(BenchStep::SetUp, upper, 3), (BenchStep::Reset, upper, 8)],
                vec![picture(Cast, 5), picture(Cast, 9), picture(Cast, 11)],
                upper,
                Some(11),
            ),
            // Other steps make no other cast.
            (
                vec![(BenchStep::Mounted, upper, 9)],
                vec![picture(Cast, 5)],
                upper,
                Some(5),
            ),
        ];
        for (entries, pictures, arches, found) in table {
            let entries: Vec<BenchEntry> = entries
                .into_iter()
                .map(|(step, arches, at)| entry(step, arches, at))
                .collect();
            let newest = cast_photographed(&entries, &pictures, (arches, None));
            assert_eq!(
                newest.map(|one| one.at.unix_ms),
                found,
                "{entries:?} {pictures:?}"
            );
        }
        let mut erased = picture(Cast, 5);
        erased.hash = ERASED.to_owned();
        assert_eq!(cast_photographed(&[], &[erased], (upper, None)), None);
        let of_before = [picture(Cast, 5)];
        assert_eq!(cast_photographed(&[], &of_before, (upper, Some(5))), None);
    }

    proptest! {
        #[test]
        fn a_picture_taken_now_is_always_enough_and_a_set_up_after_it_never_lets_it_be(
            times in prop::collection::vec(0i64..1_000, 0..6), more in 1i64..50,
        ) {
            let mut entries: Vec<BenchEntry> = times
                .iter()
                .map(|at| entry(BenchStep::SetUp, Arches::Both, *at))
                .collect();
            let now = times.iter().max().copied().unwrap_or(0) + more;
            let pictures = [picture(PictureOf::CastBeforeFlasking, now)];
            prop_assert!(cast_photographed(&entries, &pictures, (Arches::Upper, None)).is_some());
            entries.push(entry(BenchStep::Reset, Arches::Upper, now + 1));
            prop_assert!(cast_photographed(&entries, &pictures, (Arches::Upper, None)).is_none());
            prop_assert!(cast_photographed(&entries, &pictures, (Arches::Both, None)).is_none());
        }
    }
}
