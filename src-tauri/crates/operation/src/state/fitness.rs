//! Whether people fit their roles: qualifications that have run out, and how many one of them leads.

use super::State;
use chrono::{Months, NaiveDate};

/// Roles that the commander leads; control leads the others.
const BESIDE_CONTROL: [&str; 5] =
    ["control", "incident commander", "rigging lead", "safety officer", "scribe"];

/// What a qualification says about its end.
#[derive(Debug, PartialEq)]
enum Until {
    /// Nothing.
    Open,
    /// Its last day.
    Day(NaiveDate),
    /// Something that is no date.
    Unread,
}

/// “rope rescue until 2026-03-31” (or “2026-03”: the end of that month): what, and until when.
fn until(qualification: &str) -> (String, Until) {
    let words: Vec<&str> = qualification.split_whitespace().collect();
    let is = |i: usize, word: &str| {
        words.get(i).is_some_and(|w| w.trim_start_matches('(').eq_ignore_ascii_case(word))
    };
    let ends = |i: &usize| ["until", "expires", "expired"].iter().any(|w| is(*i, w));
    let cut = (0..words.len()).find(|i| ends(i) || (is(*i, "valid") && is(i + 1, "to")));
    let Some(cut) = cut else { return (qualification.trim().to_string(), Until::Open) };
    let what = words[..cut].join(" ");
    let what = what.trim_end_matches(['(', ',', ';', ':']).trim().to_string();
    let date = words.get(cut + if ends(&cut) { 1 } else { 2 }).copied().unwrap_or_default();
    let date = date.trim_end_matches([')', '.', ',', ';']);
    let day = NaiveDate::parse_from_str(date, "%Y-%m-%d").ok();
    let month = || {
        let first = NaiveDate::parse_from_str(&format!("{date}-01"), "%Y-%m-%d").ok()?;
        first.checked_add_months(Months::new(1))?.pred_opt()
    };
    (what, day.or_else(month).map_or(Until::Unread, Until::Day))
}

impl State {
    /// Someone took a role in entry `seq`: by a qualification that has run out?
    pub(super) fn expired(&mut self, seq: u64, person: &str, role: &str) {
        let Some(kept) = self.at(seq) else { return };
        let today = kept.recorded().date_naive();
        let list = self.person(person).map(|p| p.qualifications.clone()).unwrap_or_default();
        for q in &list {
            let (what, until) = until(q);
            // One that is for another role says nothing about this one.
            let other = self.guidelines.role(&what).is_some_and(|r| r.role != role);
            let words = match until {
                Until::Day(day) if day < today => {
                    format!("{person} took {role}, and “{what}” ran out on {day}")
                }
                Until::Unread => format!(
                    "{person} took {role}; whether “{q}” still holds is not checked: write its last day as 2026-03-31"
                ),
                _ => continue,
            };
            if !other {
                self.raise("qualification_expired", vec![seq], words);
            }
        }
    }

    /// Someone took a role in entry `seq`: does one lead more than the guidelines say?
    pub(super) fn spans_too_many(&mut self, seq: u64, role: &str) {
        let limit = self.guidelines.people.span_most.clone();
        let most = limit.value.max(0.0) as usize;
        if role.ends_with("team") || role.ends_with("crew") {
            let members = self.holder(role).len();
            if members > most {
                let words =
                    format!("{role} is {members} people; at most {most} to one leader ({})", limit.source);
                self.raise("span_of_control", vec![seq], words);
            }
        }
        let led: Vec<String> =
            self.roles_held().into_iter().filter(|r| !BESIDE_CONTROL.contains(&r.as_str())).collect();
        if self.held("control") && led.len() > most && (role == "control" || led.iter().any(|r| r == role)) {
            let words = format!(
                "control leads {}: {}; at most {most} to one leader ({})",
                led.len(),
                led.join(", "),
                limit.source
            );
            self.raise("span_of_control", vec![seq], words);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_day_of_a_qualification_is_read_or_said_not_to_be() {
        let day = |y, m, d| Until::Day(NaiveDate::from_ymd_opt(y, m, d).unwrap());
        for (text, what, end) in [
            ("rope rescue", "rope rescue", Until::Open),
            ("rope rescue until 2026-03-31", "rope rescue", day(2026, 3, 31)),
            ("rope rescue (until 2026-02)", "rope rescue", day(2026, 2, 28)),
            ("Rope rescue, UNTIL 2028-02.", "Rope rescue", day(2028, 2, 29)),
            ("paramedic valid to 2027-01-01", "paramedic", day(2027, 1, 1)),
            ("paramedic expires 2027-12", "paramedic", day(2027, 12, 31)),
            ("rope rescue until spring", "rope rescue", Until::Unread),
            ("rope rescue until 2026-02-30", "rope rescue", Until::Unread),
            ("İİ until ", "İİ", Until::Unread),
        ] {
            assert_eq!(until(text), (what.to_string(), end), "{text}");
        }
    }
}
