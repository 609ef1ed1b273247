//! The words of a finding on a label.

use crate::list::Ink;
use crate::metrics::Run;
use crate::words::{force, ratio, strength_in};
use ::rig::findings::{PartFinding, Verdict};
use ::rig::units::{Kind, Units};

/// The high force of a finding, when it is solved.
fn force_of(finding: &PartFinding) -> Option<f64> {
    finding.force_kn.map(|f| f.high).filter(|f| f.is_finite())
}

/// The margin of a finding, when it is known.
fn margin_of(finding: &PartFinding) -> Option<f64> {
    finding.margin.filter(|m| m.is_finite())
}

/// Whether a part carries nothing.
pub fn is_idle(finding: &PartFinding) -> bool {
    finding.force_kn.is_some_and(|f| f.high.abs() < 1e-6)
}

/// "1.56 of 17.1 kN · 11.0 : 1" on paper, "11.0:1 was 18.1:1" on screen; `was`: before a loss.
pub fn margin_words(
    paper: bool,
    units: Units,
    finding: Option<&PartFinding>,
    was: Option<&PartFinding>,
) -> Option<Vec<Run>> {
    let finding = finding?;
    if is_idle(finding) {
        // On a screen what no longer carries is quiet: it takes no second line.
        return Some(with_was(vec![Run::plain("no load")], None, if paper { was } else { None }));
    }
    let margin = margin_of(finding);
    let (high, known) = (force_of(finding), finding.strength_kn.filter(|s| s.is_finite()));
    if !paper {
        let shown = margin.map(|m| vec![Run::bold(short_ratio(m))]);
        return shown.map(|runs| with_was(runs, margin, was));
    }
    if high.is_none() && known.is_none() {
        return None;
    }
    let high = high.map_or("?".to_string(), |high| force(units, high));
    let known = known.map_or("?".to_string(), |known| strength_in(units, known));
    let mut words = format!("{high} of {known} {}", units.unit(Kind::Force));
    if let Some(margin) = margin {
        words.push_str(&format!(" · {}", ratio(margin)));
    }
    Some(with_was(vec![Run::plain(words)], margin, was))
}

/// What the parts need, in words, when they all need the same.
pub fn needed(parts: &[PartFinding]) -> Option<String> {
    let mut all = parts.iter().filter_map(|p| p.required).filter(|r| r.is_finite());
    let first = all.next()?;
    all.all(|other| (other - first).abs() < 1e-9).then(|| format!("needs {}", short_ratio(first)))
}

/// "9.2:1": a screen's column is narrow.
fn short_ratio(margin: f64) -> String {
    ratio(margin).replace(' ', "")
}

fn with_was(mut runs: Vec<Run>, now: Option<f64>, was: Option<&PartFinding>) -> Vec<Run> {
    let Some(before) = was.and_then(margin_of) else { return runs };
    let changed = now.is_none_or(|now| ratio(now) != ratio(before));
    if changed {
        runs.push(Run::plain(format!(" was {}", short_ratio(before))));
    }
    runs
}

/// A verdict that departs from "holds", in words of its own; what holds is quiet.
pub fn verdict_line(paper: bool, verdict: Verdict, finding: Option<&PartFinding>) -> Option<Vec<Run>> {
    match verdict {
        Verdict::Holds => None,
        Verdict::NotChecked => {
            let mut runs = vec![Run { ink: Ink::Unknown, ..Run::bold("not checked") }];
            let why = finding.map_or("", |f| f.words.trim());
            if paper && !why.is_empty() {
                runs.push(Run::plain(format!(" · {why}")));
            }
            Some(runs)
        }
        Verdict::FallsShort => {
            // A screen says what is needed once, over the drawing.
            let needs = finding.and_then(|f| f.required).filter(|r| paper && r.is_finite());
            let words =
                needs.map_or("falls short".to_string(), |needs| format!("falls short of {}", ratio(needs)));
            Some(vec![Run::rubric(words)])
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ::rig::quantity::BandKn;

    fn finding(high: Option<f64>, strength_kn: Option<f64>, verdict: Verdict) -> PartFinding {
        PartFinding {
            id: "a".into(),
            kind: "anchor".into(),
            label: "anchor".into(),
            force_kn: high.map(|high| BandKn { low: 0.0, nominal: high / 2.0, high }),
            strength_kn,
            margin: high.zip(strength_kn).map(|(f, s)| s / f),
            required: Some(10.0),
            verdict,
            words: "tree, no rating".into(),
            source: String::new(),
            how: Vec::new(),
        }
    }

    fn text(runs: Option<Vec<Run>>) -> String {
        runs.unwrap_or_default().iter().map(|r| r.text.as_str()).collect()
    }

    #[test]
    fn what_is_known_and_what_is_not() {
        let holds = finding(Some(1.55), Some(17.16), Verdict::Holds);
        assert_eq!(text(margin_words(true, Units::Si, Some(&holds), None)), "1.55 of 17.1 kN · 11.0 : 1");
        assert_eq!(text(margin_words(true, Units::Us, Some(&holds), None)), "349 of 3850 lbf · 11.0 : 1");
        assert_eq!(text(margin_words(false, Units::Si, Some(&holds), None)), "11.0:1");
        let unrated = finding(Some(1.8), None, Verdict::NotChecked);
        assert_eq!(text(margin_words(true, Units::Si, Some(&unrated), None)), "1.80 of ? kN");
        assert_eq!(text(margin_words(false, Units::Si, Some(&unrated), None)), "");
        assert_eq!(
            text(verdict_line(true, Verdict::NotChecked, Some(&unrated))),
            "not checked · tree, no rating"
        );
        let unsolved = finding(None, Some(22.0), Verdict::NotChecked);
        assert_eq!(text(margin_words(true, Units::Si, Some(&unsolved), None)), "? of 22 kN");
        assert_eq!(text(margin_words(true, Units::Si, None, None)), "");
        assert_eq!(text(verdict_line(true, Verdict::NotChecked, None)), "not checked");
        let short = finding(Some(1.33), Some(12.2), Verdict::FallsShort);
        assert_eq!(text(verdict_line(true, Verdict::FallsShort, Some(&short))), "falls short of 10.0 : 1");
    }

    #[test]
    fn after_a_loss_the_margin_before_stands_beside_when_it_changed() {
        let (before, after) =
            (finding(Some(1.0), Some(20.0), Verdict::Holds), finding(Some(2.0), Some(20.0), Verdict::Holds));
        assert_eq!(text(margin_words(false, Units::Si, Some(&after), Some(&before))), "10.0:1 was 20.0:1");
        assert_eq!(text(margin_words(false, Units::Si, Some(&after), Some(&after))), "10.0:1");
        let idle = finding(Some(0.0), Some(20.0), Verdict::Holds);
        assert_eq!(text(margin_words(false, Units::Si, Some(&idle), Some(&before))), "no load");
        assert_eq!(text(margin_words(true, Units::Si, Some(&idle), Some(&before))), "no load was 20.0:1");
    }
}
