//! How far the load drops: a line in the table of losses, and stills of the deepest falls to scale. What is printed is what the
//! check stored.

use crate::input::StoredCheck;
use crate::kit::{Book, MEASURE, Rich};
use drawing::fall;
use drawing::words::length;
use drawing::{metrics, size};
use rig::findings::{FallFinding, FallOutcome, LossFinding, LossVerdict, StateFindings};
use rig::units::{Kind, Side, Units};

/// Stills beside each other, and what is between them, mm.
const STILLS: usize = 3;
const GAP: f64 = 4.0;

/// What stands under "drop and peak" for a loss.
pub fn drop(state: &StateFindings, loss: &LossFinding, units: Units) -> Rich {
    let quiet = loss.verdict == LossVerdict::Held && !loss.moves;
    let Some(fall) = loss.fall.and_then(|n| state.falls.get(n)) else {
        return if quiet { "does not move".into() } else { "not checked".into() };
    };
    match (fall.outcome, fall.fall_m) {
        (FallOutcome::Stays, _) => "does not move".into(),
        (FallOutcome::Dropped, _) => {
            format!("{} to the {}", length(units, fall.clearance_m, 1), fall.below).into()
        }
        (FallOutcome::Stops | FallOutcome::MayNotStop, Some(m)) => {
            let digits = m.digits();
            let far = |m: f64| units.figure(Kind::Length, m, &format!("{m:.digits$}"), Side::Near);
            let metres = |m: Option<f64>| m.map_or_else(|| "no stop".to_string(), far);
            let unit = units.unit(Kind::Length);
            let band = format!("{} – {} – {} {unit}", metres(m.p10), metres(m.p50), metres(m.p90));
            let pull =
                |kn: f64| format!("; {}", units.told(Kind::Force, kn, &format!("{kn:.1}"), Side::Near));
            let peak = fall.peak_force_kn.and_then(|p| p.p90).map(pull);
            let reaches = m.p90.is_none_or(|p90| p90 >= fall.clearance_m);
            let who = if fall.who.is_empty() { String::new() } else { format!("{}: ", fall.who) };
            let text = format!("{who}{band}{}", peak.unwrap_or_default());
            if reaches { Rich::new().rubric(text) } else { text.into() }
        }
        _ => "not checked".into(),
    }
}

/// Whether two losses are told the same fall.
pub fn same(state: &StateFindings, a: &LossFinding, b: &LossFinding) -> bool {
    // In the units that everything is kept in: others may round two falls to one.
    drop(state, a, Units::Si) == drop(state, b, Units::Si)
}

/// What the column of falls holds.
pub fn note(state: &StateFindings) -> String {
    match state.falls.iter().find(|fall| fall.runs > 0) {
        Some(fall) => format!(
            "worst first; drop: 1 in 10, half, 9 in 10 of {} runs; pull on the load, 9 in 10",
            fall.runs
        ),
        None => "worst first; how far the load drops was not reckoned in this check".into(),
    }
}

/// The deepest falls to scale, with what they rest on.
pub fn stills(book: &mut Book, check: &StoredCheck, units: Units) {
    let mut falls: Vec<&FallFinding> =
        check.report.main.falls.iter().filter(|f| f.fall_m.is_some()).collect();
    if falls.is_empty() {
        return;
    }
    let deep = |fall: &FallFinding| fall.fall_m.map_or(0.0, |m| m.p90.unwrap_or(f64::INFINITY));
    falls.sort_by(|a, b| deep(b).total_cmp(&deep(a)));
    falls.truncate(STILLS);
    let width = (MEASURE - GAP * (STILLS - 1) as f64) / STILLS as f64;
    let heads: Vec<Vec<String>> = falls
        .iter()
        .map(|fall| {
            let (first, more) =
                fall.of.split_first().map_or(("", 0), |(first, rest)| (first.as_str(), rest.len()));
            let more = if more > 0 { format!(" (and {more} more)") } else { String::new() };
            metrics::wrap(&format!("{first} lost{more}"), drawing::Face::Bold, size::S, width)
        })
        .collect();
    let head = 3.6 * heads.iter().map(Vec::len).max().unwrap_or(1) as f64 + 1.6;
    let pictures: Vec<_> = falls.iter().map(|fall| fall::draw_in(units, fall, width, 1.0)).collect();
    let tallest = pictures.iter().map(|p| p.list.height).fold(0.0, f64::max);
    book.need((tallest + head + 12.0).min(book.full()));
    book.sub_head(
        "How far the load drops, to scale",
        "the deepest falls, each to its own scale; a band of runs, never one figure",
    );
    let (left, top) = (book.left(), book.y);
    let page = book.page();
    for (n, (picture, lines)) in pictures.iter().zip(&heads).enumerate() {
        let x = left + (width + GAP) * n as f64;
        for (line, words) in lines.iter().enumerate() {
            page.bold(x, top + 3.6 * line as f64 + metrics::baseline(size::S, 3.6), words, size::S);
        }
        page.place(&picture.list, x, top + head);
    }
    book.y = top + head + tallest + 2.0;
    let words = rests_on(falls[0], units);
    super::rigs::set_long(book, &words);
    book.y += 4.0;
}

/// What moves the deepest fall most, and the known limits.
fn rests_on(fall: &FallFinding, units: Units) -> Rich {
    let metres = |m: Option<f64>| m.map_or_else(|| "no stop".to_string(), |m| length(units, m, 2));
    let most: Vec<String> = fall
        .parameters
        .iter()
        .take(4)
        .map(|p| {
            let (least, unit) = units.of_word(&p.unit, p.low, &p.low.to_string());
            let (most, _) = units.of_word(&p.unit, p.high, &p.high.to_string());
            let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
            let [low, high] = p.moves_m;
            format!("{} {least} to {most}{unit} ({} to {})", p.label, metres(low), metres(high))
        })
        .collect();
    let assumed = fall.parameters.iter().filter(|p| p.assumed).count();
    Rich::new()
        .bold("Moved most by ")
        .plain(format!("{}. ", most.join("; ")))
        .plain(format!("{assumed} of {} ranges are assumptions. ", fall.parameters.len()))
        .plain(
            "Not in it: a swing of the load, rope mass, cutting at the edge, slip that depends on speed, heat or wet; what else swings is told \
             under its fall. Consistent with common practice, which is no validation.",
        )
}
