use crate::domain::report::month::CalendarMonth;
use proptest::prelude::*;
use time::macros::date;

#[test]
fn a_month_is_read_in_one_form_and_has_its_days() {
    let table = [
        // 2028 is a leap year, 1900 was none, 2000 was one: Gregorian calendar.
        ("2028-02", date!(2028 - 02 - 29), "February 2028"),
        ("2027-02", date!(2027 - 02 - 28), "February 2027"),
        ("1900-02", date!(1900 - 02 - 28), "February 1900"),
        ("2000-02", date!(2000 - 02 - 29), "February 2000"),
        ("2026-12", date!(2026 - 12 - 31), "December 2026"),
    ];
    for (text, last, shown) in table {
        let month = CalendarMonth::from_word(text).unwrap();
        assert_eq!(month.word(), text);
        assert_eq!(month.last(), last);
        assert_eq!(month.to_string(), shown);
    }
    for wrong in [
        "",
        "2028",
        "2028-2",
        "2028-13",
        "2028-00",
        "28-02",
        "2028-02-29",
        "1899-12",
        "2201-01",
        "+028-02",
        "２０２８-02",
        "february",
    ] {
        assert_eq!(CalendarMonth::from_word(wrong), None, "{wrong}");
    }
    let december = CalendarMonth::from_word("2026-12").unwrap();
    assert_eq!(december.next().word(), "2027-01");
    assert_eq!(december.next().previous(), december);
}

proptest! {
    #[test]
    fn each_day_is_in_one_month(days in 0i64..100_000) {
        let day = date!(1900 - 01 - 01) + time::Duration::days(days);
        let month = CalendarMonth::of(day);
        prop_assert!(month.contains(day) && month.first() <= day && day <= month.last());
        prop_assert_eq!(month.last().next_day().unwrap(), month.next().first());
        prop_assert!(!month.next().contains(day) && !month.previous().contains(day));
    }
}
