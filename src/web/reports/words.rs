//! Numbers of reports in words.

use crate::domain::report::proportion::Proportion;
use crate::domain::report::spread::Spread;

/// "4.5"
pub fn tenth(value: f64) -> String {
    let shown = format!("{value:.1}");
    // What is nearly nothing has no sign.
    match shown.as_str() {
        "-0.0" => "0.0".to_owned(),
        _ => shown,
    }
}

/// "3.0 to 6.5", the middle half; nothing of fewer than four values, which have no halves to speak of.
pub fn middle_half(spread: &Spread) -> String {
    match spread.count {
        0..4 => String::new(),
        _ => format!("{} to {}", tenth(spread.lower), tenth(spread.upper)),
    }
}

/// "86 %"; a dash of nothing.
pub fn percent(share: Option<f64>) -> String {
    share.map_or_else(|| "–".to_owned(), |share| format!("{:.0} %", share * 100.0))
}

/// "60 to 96 %"
pub fn interval(proportion: Proportion) -> String {
    let Some((low, high)) = proportion.interval() else {
        return "–".to_owned();
    };
    format!("{:.0} to {:.0} %", low * 100.0, high * 100.0)
}

/// "12 of 14"
pub fn of(proportion: Proportion) -> String {
    format!("{} of {}", proportion.part, proportion.whole)
}

/// Hours as somebody says them: "40 min", "5.5 h", "3.0 days".
pub fn hours(hours: f64) -> String {
    match hours {
        ..2.0 => format!("{:.0} min", hours * 60.0),
        2.0..48.0 => format!("{hours:.1} h"),
        _ => format!("{} days", tenth(hours / 24.0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_told_as_they_are_read() {
        assert_eq!(tenth(-0.01), "0.0");
        assert_eq!(tenth(4.25), "4.2");
        assert_eq!(percent(None), "–");
        assert_eq!(percent(Some(0.857)), "86 %");
        assert_eq!(interval(Proportion { part: 0, whole: 0 }), "–");
        assert_eq!(interval(Proportion { part: 6, whole: 32 }), "9 to 35 %");
        for (value, shown) in [(0.5, "30 min"), (5.5, "5.5 h"), (72.0, "3.0 days")] {
            assert_eq!(hours(value), shown);
        }
        let few = Spread::of([1.0, 2.0, 3.0]).unwrap();
        assert_eq!(middle_half(&few), "");
        let four = Spread::of([1.0, 2.0, 3.0, 4.0]).unwrap();
        assert_eq!(middle_half(&four), "1.8 to 3.2");
    }
}
