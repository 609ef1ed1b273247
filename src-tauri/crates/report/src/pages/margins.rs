//! Margins now, and after the worst single loss, on one scale.

use crate::input::StoredCheck;
use crate::kit::{Book, MEASURE, most_that_fit};
use drawing::charts::{self, Margin};
use drawing::{metrics, size};
use rig::findings::{LossFinding, PartFinding, Verdict};

/// Head above a chart and key below it, mm.
const AROUND: f64 = 5.2 + 8.0;

/// Sets the chart, rows `least` mm high; over pages when there are many parts.
pub fn set(book: &mut Book, check: &StoredCheck, least: f64) {
    let main = &check.report.main;
    // A part that carries nothing in this state has no margin to show.
    let shown = |part: &&PartFinding| part.margin.is_some() || part.verdict != Verdict::Holds;
    let mut parts: Vec<&PartFinding> = main.parts.iter().filter(shown).collect();
    let margin = |part: &PartFinding| part.margin.map_or(f64::INFINITY, |margin| (margin * 10.0).floor());
    // By tenths, so that what rounding leaves of a sum orders nothing.
    parts.sort_by(|a, b| a.verdict.cmp(&b.verdict).then(margin(a).total_cmp(&margin(b))));
    let rows: Vec<Margin> = parts.into_iter().map(|part| row(part, &main.losses)).collect();
    let mut rest = rows.as_slice();
    let mut begun = false;
    while !rest.is_empty() {
        let whole = charts::margins(rest, MEASURE, least);
        // A chart goes on the page under way whole, or begins on a page of its own.
        book.need((whole.height + AROUND).min(book.full()));
        let room = book.room() - AROUND;
        let shown = most_that_fit(rest.len(), |n| charts::margins(&rest[..n], MEASURE, least).height <= room);
        let chart = charts::margins(&rest[..shown], MEASURE, least);
        rest = &rest[shown..];
        let title = "Margins now, and after a single loss";
        let note = if begun { "goes on" } else { "strength over high force, logarithmic" };
        begun = true;
        book.sub_head(title, note);
        let (x, y) = (book.left(), book.y);
        let page = book.page();
        page.place(&chart, x, y);
        let below = y + chart.height;
        let key = "Solid: now. Open: after the loss that leaves the part weakest of all survivors. Dashed: required \
                   now. Left of 1 : 1 a part is overloaded.";
        page.regular(x, below + metrics::baseline(size::XS, 3.2), key, size::XS);
        book.y = below + 3.2 + 4.0;
    }
}

/// A part's margin now, and the least that a stored loss leaves it as the weakest survivor.
fn row(part: &PartFinding, losses: &[LossFinding]) -> Margin {
    let worst = losses
        .iter()
        .filter_map(|loss| loss.weakest.as_ref().filter(|w| w.id == part.id).map(|w| (w.margin, loss)))
        .min_by(|(a, _), (b, _)| a.total_cmp(b));
    let which = match &worst {
        Some((_, loss)) => loss.label.clone(),
        None if part.margin.is_none() => "strength or force unknown".into(),
        None => "–".into(),
    };
    Margin {
        label: part.label.clone(),
        verdict: part.verdict,
        now: part.margin,
        required: part.required,
        after: worst.map(|(margin, _)| margin),
        required_after: None,
        which,
    }
}
