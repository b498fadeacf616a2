//! The moulds that a laboratory keeps, from the list that it loads, and the nearest of them.
//!
//! Codes, widths and forms are the lab's own. A list row says whether its width is straight or along
//! the curve; without that the number cannot be used, and widths of different kinds are never compared
//! unless the caller gives the radius of the arch. Nothing is chosen here: moulds are ranked, with how
//! far each one is off.

use crate::domain::prescription::{ToothForm, WidthMethod};
use crate::domain::trade::selection::SpanWidth;
use crate::domain::values::arch::Arch;
use crate::domain::values::evidence::within;
use crate::domain::values::table;
use crate::domain::values::words_of;

words_of! {
    /// Front six or posterior teeth.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum Region {
        Front = "front teeth",
        Back = "posterior teeth",
    }
}

/// One mould of the list.
#[derive(Debug, Clone, PartialEq)]
pub struct Mould {
    pub code: String,
    pub arch: Arch,
    pub region: Region,
    /// Six front teeth, or the posterior teeth of one side.
    pub width: SpanWidth,
    /// Length of the central incisor or of the posterior crowns, mm.
    pub length_mm: Option<f64>,
    pub form: Option<ToothForm>,
    pub cusp_degrees: Option<f64>,
    /// Cards in the drawer; `None` where the lab does not say.
    pub stock: Option<u32>,
}

/// The heading of a list of moulds. `width_basis` is `caliper` or `curve`; `arch` is `upper` or `lower`;
/// `region` is `front` or `back`; `length`, `form`, `cusp_angle` and `stock` may be empty.
pub const COLUMNS: [&str; 9] = [
    "code",
    "arch",
    "region",
    "width",
    "width_basis",
    "length",
    "form",
    "cusp_angle",
    "stock",
];

/// Characters of a mould's code: what the fields of the prescription hold.
const MOST_CODE: usize = 60;

/// Moulds that one list may have.
pub const MOST_MOULDS: usize = 5_000;

/// Reads a lab's list: a heading of [`COLUMNS`] and one mould a line, millimetres and degrees.
///
/// # Errors
/// A sentence with the number of the line for whatever is not clear; no list is taken in part.
pub fn parse(text: &str) -> Result<Vec<Mould>, Vec<String>> {
    let mut seen = std::collections::BTreeSet::new();
    let moulds = table::read(text, &COLUMNS, MOST_MOULDS, |row| {
        let mould = read(row)?;
        if !seen.insert((mould.code.clone(), mould.arch, mould.region)) {
            return Err(row.fault(&format!("mould {} is listed a second time", mould.code)));
        }
        Ok(mould)
    })?;
    if moulds.is_empty() {
        return Err(vec!["The list has a heading and no mould.".into()]);
    }
    Ok(moulds)
}

fn read(row: &table::Row) -> Result<Mould, String> {
    let code = row.code("code", "the mould", MOST_CODE)?;
    let width_mm =
        bounded(row, "width", 5.0, 80.0)?.ok_or_else(|| row.fault("the width is missing"))?;
    Ok(Mould {
        code,
        arch: chosen(row, "arch", Arch::from_word, "upper or lower")?,
        region: chosen(row, "region", Region::from_word, "front or back")?,
        width: SpanWidth {
            mm: width_mm,
            method: chosen(
                row,
                "width_basis",
                WidthMethod::from_word,
                "caliper or curve",
            )?,
        },
        length_mm: bounded(row, "length", 3.0, 20.0)?,
        form: optional(
            row,
            "form",
            ToothForm::from_word,
            "a form of the list of forms, or empty",
        )?,
        cusp_degrees: bounded(row, "cusp_angle", 0.0, 60.0)?,
        stock: optional(
            row,
            "stock",
            |word| word.parse().ok(),
            "a whole number, or empty",
        )?,
    })
}

fn bounded(row: &table::Row, column: &str, least: f64, most: f64) -> Result<Option<f64>, String> {
    let Some(value) = row.optional_number(column)? else {
        return Ok(None);
    };
    if (least..=most).contains(&value) {
        return Ok(Some(value));
    }
    Err(row.fault(&format!(
        "{column} is {value}, and {least} to {most} is accepted"
    )))
}

fn chosen<T>(
    row: &table::Row,
    column: &str,
    read: impl Fn(&str) -> Option<T>,
    wanted: &str,
) -> Result<T, String> {
    let word = row.text(column)?;
    read(word).ok_or_else(|| {
        row.fault(&format!(
            "{column} is {}, and {wanted} is wanted",
            table::quoted(word)
        ))
    })
}

fn optional<T>(
    row: &table::Row,
    column: &str,
    read: impl Fn(&str) -> Option<T>,
    wanted: &str,
) -> Result<Option<T>, String> {
    if row.text(column)?.is_empty() {
        return Ok(None);
    }
    chosen(row, column, read, wanted).map(Some)
}

/// A mould as the cells of its row.
pub fn cells(mould: &Mould) -> [String; 9] {
    let number = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    let stock = mould.stock.map(|stock| stock.to_string());
    [
        mould.code.clone(),
        mould.arch.word().to_owned(),
        mould.region.word().to_owned(),
        mould.width.mm.to_string(),
        mould.width.method.word().to_owned(),
        number(mould.length_mm),
        mould
            .form
            .map(|form| form.word().to_owned())
            .unwrap_or_default(),
        number(mould.cusp_degrees),
        stock.unwrap_or_default(),
    ]
}

/// Back to the text that [`parse`] reads.
pub fn write(moulds: &[Mould]) -> String {
    let rows = moulds.iter().map(|mould| table::line(cells(mould)));
    std::iter::once(table::line(COLUMNS)).chain(rows).collect()
}

/// What is looked for. What is `None` does not count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WantedMould {
    pub arch: Arch,
    pub region: Region,
    pub width: SpanWidth,
    pub length_mm: Option<f64>,
    /// Moulds of another form are passed over.
    pub form: Option<ToothForm>,
    /// Moulds of another cusp angle, or of none, are passed over.
    pub cusp_degrees: Option<f64>,
    /// Radius of the arch, to compare straight widths with widths along the curve.
    pub arch_radius_mm: Option<f64>,
    /// Pass over moulds whose stock is said to be zero.
    pub in_stock: bool,
}

/// A mould with how far it is off: mould less wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearness<'a> {
    pub mould: &'a Mould,
    pub width_off_mm: f64,
    /// Whether the mould's width was carried to the wanted method through the arch model.
    pub width_converted: bool,
    pub length_off_mm: Option<f64>,
    /// Root of the sum of the squared differences, mm: what the order goes by.
    pub off_mm: f64,
}

/// The moulds that meet the criteria.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ranking<'a> {
    /// Nearest first; equally near ones by code.
    pub nearest: Vec<Nearness<'a>>,
    /// Their width is of the other kind and cannot be carried over: no radius is given, or the arch is too
    /// small for it. In the order of the list.
    pub not_comparable: Vec<&'a Mould>,
}

/// Ranks the moulds that meet the criteria.
///
/// # Errors
/// A sentence for a wanted width, length, cusp angle or radius that is no number or out of range.
pub fn nearest<'a>(moulds: &'a [Mould], wanted: &WantedMould) -> Result<Ranking<'a>, String> {
    wanted.check()?;
    let mut ranking = Ranking::default();
    for mould in moulds.iter().filter(|mould| wanted.admits(mould)) {
        match wanted.nearness(mould) {
            Some(near) => ranking.nearest.push(near),
            None => ranking.not_comparable.push(mould),
        }
    }
    ranking.nearest.sort_by(|one, other| {
        one.off_mm
            .total_cmp(&other.off_mm)
            .then_with(|| one.mould.code.cmp(&other.mould.code))
    });
    Ok(ranking)
}

impl WantedMould {
    fn check(&self) -> Result<(), String> {
        within("The wanted width", self.width.mm, 5.0..=80.0, "mm")?;
        if let Some(length) = self.length_mm {
            within("The wanted length", length, 3.0..=20.0, "mm")?;
        }
        if let Some(cusps) = self.cusp_degrees {
            within("The wanted cusp angle", cusps, 0.0..=60.0, "degrees")?;
        }
        if let Some(radius) = self.arch_radius_mm {
            within("The radius of the arch", radius, 10.0..=60.0, "mm")?;
        }
        Ok(())
    }

    fn admits(&self, mould: &Mould) -> bool {
        let form = self.form.is_none_or(|form| mould.form == Some(form));
        let cusps = self
            .cusp_degrees
            .is_none_or(|cusps| mould.cusp_degrees == Some(cusps));
        let stock = !self.in_stock || mould.stock != Some(0);
        mould.arch == self.arch && mould.region == self.region && form && cusps && stock
    }

    /// `None` where the widths are of different kinds and cannot be compared.
    fn nearness<'a>(&self, mould: &'a Mould) -> Option<Nearness<'a>> {
        let width_converted = mould.width.method != self.width.method;
        let width = if width_converted {
            mould
                .width
                .measured_by(self.width.method, self.arch_radius_mm?)
                .ok()?
        } else {
            mould.width
        };
        let width_off_mm = width.mm - self.width.mm;
        let length_off_mm = self
            .length_mm
            .zip(mould.length_mm)
            .map(|(wanted, has)| has - wanted);
        Some(Nearness {
            mould,
            width_off_mm,
            width_converted,
            length_off_mm,
            off_mm: width_off_mm.hypot(length_off_mm.unwrap_or(0.0)),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const HEADING: &str = "code,arch,region,width,width_basis,length,form,cusp_angle,stock\n";
    const LIST: &str = "F1,upper,front,46,curve,9.5,ovoid,,2\n\
        F2,upper,front,48,curve,10.5,square,,0\n\
        F3,upper,front,40,caliper,9.5,ovoid,,\n\
        B1,lower,back,30,caliper,,,20,4\n\
        B2,lower,back,32,caliper,,,0,4\n";

    fn list() -> Vec<Mould> {
        parse(&format!("{HEADING}{LIST}")).expect("list")
    }

    fn wanted(mm: f64) -> WantedMould {
        WantedMould {
            arch: Arch::Upper,
            region: Region::Front,
            width: SpanWidth {
                mm,
                method: WidthMethod::Curve,
            },
            length_mm: None,
            form: None,
            cusp_degrees: None,
            arch_radius_mm: None,
            in_stock: false,
        }
    }

    fn codes(found: &Ranking<'_>) -> Vec<String> {
        found
            .nearest
            .iter()
            .map(|near| near.mould.code.clone())
            .collect()
    }

    #[test]
    fn the_nearest_come_first_with_their_differences() {
        let list = list();
        let found = nearest(&list, &wanted(47.5)).expect("moulds");
        assert_eq!(codes(&found), ["F2", "F1"]);
        assert_eq!(found.nearest[0].width_off_mm, 0.5);
        assert_eq!(found.nearest[1].width_off_mm, -1.5);
        let with_length = WantedMould {
            length_mm: Some(9.5),
            ..wanted(47.1)
        };
        assert_eq!(
            codes(&nearest(&list, &with_length).expect("moulds")),
            ["F1", "F2"]
        );
    }

    #[test]
    fn straight_and_curved_widths_meet_only_through_the_arch() {
        let list = list();
        let without = nearest(&list, &wanted(46.0)).expect("moulds");
        assert!(!codes(&without).contains(&"F3".to_owned()));
        assert_eq!(without.not_comparable[0].code, "F3");
        let with_radius = WantedMould {
            arch_radius_mm: Some(25.0),
            ..wanted(46.0)
        };
        let found = nearest(&list, &with_radius).expect("moulds");
        let carried = found
            .nearest
            .iter()
            .find(|near| near.mould.code == "F3")
            .expect("F3");
        assert!(carried.width_converted && carried.width_off_mm.abs() < 1.0);
    }

    #[test]
    fn form_cusps_and_stock_pass_moulds_over() {
        let list = list();
        let ovoid = WantedMould {
            form: Some(ToothForm::Ovoid),
            ..wanted(48.0)
        };
        assert_eq!(codes(&nearest(&list, &ovoid).expect("moulds")), ["F1"]);
        let stocked = WantedMould {
            in_stock: true,
            ..wanted(48.0)
        };
        assert_eq!(codes(&nearest(&list, &stocked).expect("moulds")), ["F1"]);
        let flat = WantedMould {
            arch: Arch::Lower,
            region: Region::Back,
            width: SpanWidth {
                mm: 30.0,
                method: WidthMethod::Caliper,
            },
            cusp_degrees: Some(0.0),
            ..wanted(30.0)
        };
        assert_eq!(codes(&nearest(&list, &flat).expect("moulds")), ["B2"]);
    }

    #[test]
    fn a_list_that_is_not_clear_is_refused_with_its_line() {
        for (row, said) in [
            ("X,upper,front,46,,9,ovoid,,", "width_basis"),
            ("X,upper,front,46,tape,9,ovoid,,", "caliper or curve"),
            ("X,upper,front,,curve,9,ovoid,,", "width is missing"),
            ("X,upper,front,4.6,curve,9,ovoid,,", "width is 4.6"),
            ("X,upper,front,NaN,curve,9,ovoid,,", "number"),
            ("X,both,front,46,curve,9,ovoid,,", "upper or lower"),
            ("X,upper,molar,46,curve,9,ovoid,,", "front or back"),
            ("X,upper,front,46,curve,9,round,,", "form"),
            ("X,upper,front,46,curve,9,ovoid,,-1", "whole number"),
            ("X,upper,front,46,curve,9,ovoid,,1.5", "whole number"),
            (",upper,front,46,curve,9,ovoid,,", "no code"),
            ("X,upper,front,46,curve,9", "6 cells"),
            ("F1,upper,front,46,curve,9,ovoid,,", "second time"),
        ] {
            let why = parse(&format!("{HEADING}{LIST}{row}\n")).expect_err(row);
            let why = why.concat();
            assert!(
                why.starts_with("Line 7") && why.contains(said),
                "{row}: {why}"
            );
        }
        assert!(parse(HEADING).is_err() && parse("").is_err());
    }

    #[test]
    fn what_is_wanted_must_be_a_number() {
        let list = list();
        for odd in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
            for wrong in [
                wanted(odd),
                WantedMould {
                    length_mm: Some(odd),
                    ..wanted(46.0)
                },
                WantedMould {
                    cusp_degrees: Some(odd),
                    ..wanted(46.0)
                },
                WantedMould {
                    arch_radius_mm: Some(odd),
                    ..wanted(46.0)
                },
            ] {
                assert!(nearest(&list, &wrong).is_err(), "{odd}");
            }
        }
    }

    #[test]
    fn a_list_written_reads_back() {
        assert_eq!(parse(&write(&list())), Ok(list()));
    }

    /// Any list of moulds with codes of their own.
    fn any_list() -> impl Strategy<Value = Vec<Mould>> {
        use proptest::option::of;
        use proptest::sample::select;
        let hundredths =
            |range: std::ops::Range<i32>| range.prop_map(|value| f64::from(value) / 100.0);
        let mould = (
            "[A-Z0-9][A-Za-z0-9 ,\"]{0,6}[a-z0-9]",
            select(Arch::ALL),
            select(Region::ALL),
            (hundredths(500..8000), select(WidthMethod::ALL)),
            (of(hundredths(300..2000)), of(hundredths(0..6000))),
            of(select(ToothForm::ALL)),
            of(0_u32..999),
        )
            .prop_map(|(code, arch, region, width, sizes, form, stock)| Mould {
                code,
                arch,
                region,
                width: SpanWidth {
                    mm: width.0,
                    method: width.1,
                },
                length_mm: sizes.0,
                cusp_degrees: sizes.1,
                form,
                stock,
            });
        proptest::collection::vec(mould, 1..12).prop_map(|mut moulds| {
            for (place, mould) in moulds.iter_mut().enumerate() {
                mould.code = format!("{place} {}", mould.code);
            }
            moulds
        })
    }

    proptest! {
        #[test]
        fn every_list_written_reads_back(list in any_list()) {
            prop_assert_eq!(parse(&write(&list)), Ok(list));
        }

        #[test]
        fn every_mould_of_the_arch_is_ranked_or_named_and_the_width_off_is_a_plain_difference(list in any_list(), mm in 5.0_f64..80.0) {
            let wanted = wanted(mm);
            let found = nearest(&list, &wanted).expect("moulds");
            let of_the_arch = list.iter().filter(|mould| wanted.admits(mould)).count();
            prop_assert_eq!(found.nearest.len() + found.not_comparable.len(), of_the_arch);
            for near in &found.nearest {
                prop_assert!(!near.width_converted);
                prop_assert_eq!(near.width_off_mm, near.mould.width.mm - mm);
            }
            // A mould more in the drawer changes nothing between the others.
            let mut longer = list.clone();
            longer.push(Mould { code: "one more".to_owned(), ..super::tests::list()[0].clone() });
            let others: Vec<String> = codes(&nearest(&longer, &wanted).expect("moulds")).into_iter().filter(|code| code != "one more").collect();
            prop_assert_eq!(others, codes(&found));
        }

        #[test]
        fn a_width_in_centimetres_or_inches_is_refused(mm in 25.0_f64..50.0) {
            for unit in [10.0, 25.4] {
                prop_assert!(nearest(&list(), &wanted(mm / unit)).is_err());
            }
        }

        #[test]
        fn the_order_is_by_difference(mm in 30.0_f64..60.0, length in 5.0_f64..15.0) {
            let list = list();
            let wanted = WantedMould { length_mm: Some(length), arch_radius_mm: Some(25.0), ..wanted(mm) };
            let found = nearest(&list, &wanted).expect("moulds");
            prop_assert!(found.nearest.windows(2).all(|pair| pair[0].off_mm <= pair[1].off_mm));
        }

        #[test]
        fn no_input_panics(mm in proptest::num::f64::ANY, text in ".*") {
            let _found = nearest(&list(), &wanted(mm)).map(|found| found.nearest.len());
            let _list = (parse(&text), parse(&format!("{HEADING}{text}")));
        }
    }
}
