//! A long list a page at a time: which one the address asks for, and the ways to the newer and the older ones.

use super::extract::Query;
use askama::Template;

/// The key of a page's number in an address; the first is 0.
pub const PAGE: &str = "page";

/// One page of a list, and the ways to those beside it.
#[derive(Template)]
#[template(path = "partials/paged.html")]
pub struct Paged {
    number: usize,
    most: usize,
    newer: Option<String>,
    older: Option<String>,
    /// What an address carries on to come back to this page: `?page=2`; empty on the first.
    pub asked: String,
}

impl Paged {
    /// The page that is asked for of a list of `count`, with `most` on each; behind the last there is none. `address` is
    /// the list's own, with whatever else it carries on.
    pub fn of(query: &Query, (count, most): (usize, usize), address: &str) -> Paged {
        let most = most.max(1);
        let last = count.saturating_sub(1) / most;
        let asked = query.text(PAGE).parse::<usize>();
        let number = asked.unwrap_or_default().min(last);
        let joint = if address.contains('?') { '&' } else { '?' };
        let at = |number: usize| match number {
            0 => address.to_owned(),
            number => format!("{address}{joint}{PAGE}={number}"),
        };
        Paged {
            number,
            most,
            newer: number.checked_sub(1).map(at),
            older: (number < last).then(|| at(number + 1)),
            asked: match number {
                0 => String::new(),
                number => format!("?{PAGE}={number}"),
            },
        }
    }

    /// Whether the list has another page.
    pub fn is_part(&self) -> bool {
        self.newer.is_some() || self.older.is_some()
    }

    /// What of the list stands on this page.
    pub fn cut<T>(&self, all: impl IntoIterator<Item = T>) -> Vec<T> {
        let before = self.number.saturating_mul(self.most);
        all.into_iter().skip(before).take(self.most).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::extract::parse_form;
    use super::*;

    fn page(asked: &str, count: usize) -> Paged {
        let query = Query(parse_form(asked.as_bytes()).ok().unwrap());
        Paged::of(&query, (count, 40), "/list")
    }

    #[test]
    fn each_of_a_list_stands_on_one_page_and_the_ways_lead_through_all_of_them() {
        for (count, pages) in [(0, 1), (1, 1), (40, 1), (41, 2), (200, 5), (201, 6)] {
            let mut all: Vec<usize> = Vec::new();
            for number in 0..pages {
                let page = page(&format!("page={number}"), count);
                all.extend(page.cut(0..count));
                assert_eq!(page.is_part(), pages > 1);
                let older = (number + 1 < pages).then(|| format!("/list?page={}", number + 1));
                assert_eq!(page.older, older, "{number} of {count}");
                assert_eq!(page.newer.is_some(), number > 0);
            }
            assert_eq!(all, (0..count).collect::<Vec<usize>>());
        }
        let second = page("page=1", 200);
        assert_eq!(second.newer.as_deref(), Some("/list"));
        assert_eq!(second.asked, "?page=1");
    }

    #[test]
    fn what_is_no_page_of_it_leads_to_one_that_is() {
        for (asked, first) in [
            ("", Some(0)),
            ("page=x", Some(0)),
            ("page=-1", Some(0)),
            ("page=99", Some(160)),
        ] {
            assert_eq!(
                page(asked, 200).cut(0..200).first().copied(),
                first,
                "{asked}"
            );
        }
    }
}
