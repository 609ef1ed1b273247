//! A device is used for what its maker lets it be used for, and for no more load than it is rated for.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::{Part, PartKind, Purpose};

const SOURCE: &str = "the device maker’s instructions, as set by the team";

fn devices<'a>(seen: &'a Seen<'_>) -> impl Iterator<Item = (usize, &'a Part)> {
    let parts = seen.model.rig.parts.iter().enumerate();
    parts.filter(|(i, p)| p.kind == PartKind::Device && p.device.is_some() && !seen.model.absent[*i])
}

/// What each device is used for here: the one whose rope runs along must catch; where two ropes carry, each must lower and catch.
pub fn purpose(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let alone = seen.model.carriers.len() < 2 && devices(seen).count() < 2;
    let judge = |(i, part): (usize, &Part)| {
        let carries = seen.intact.outcome.path[i];
        let used = match (carries, alone) {
            (true, true) => "lowers",
            (true, false) => "lowers, and must catch when the other rope is lost",
            (false, _) => "must catch: its rope runs along",
        };
        let may = part.device.as_ref().and_then(|d| d.purpose);
        let (verdict, may) = match (may, carries, alone) {
            (None, ..) => (Verdict::NotChecked, "what it may be used for is not said"),
            (Some(Purpose::Both), ..) => (Verdict::Holds, "for descent and belay"),
            (Some(Purpose::Descent), true, true) => (Verdict::Holds, "for descent"),
            (Some(Purpose::Descent), true, false) => {
                (Verdict::NotChecked, "for descent only: whether it may catch is not said")
            }
            (Some(Purpose::Descent), false, _) => (Verdict::FallsShort, "for descent only"),
            (Some(Purpose::Belay), true, _) => (Verdict::FallsShort, "for belay only"),
            (Some(Purpose::Belay), false, _) => (Verdict::Holds, "for belay"),
        };
        finding(
            "device_purpose",
            verdict,
            "device used for what it may be",
            format!("{}: {used}; {may}", part.label),
            SOURCE,
        )
    };
    devices(seen).map(judge).collect()
}

/// The load against each device’s rating: after a loss one of them may bear the whole.
pub fn rated_load(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let mass = seen.model.rig.load.mass;
    let judge = |(_, part): (usize, &Part)| {
        let rated = part.device.as_ref().and_then(|d| d.rated_load);
        let (verdict, words) = match rated {
            None => (Verdict::NotChecked, format!("{}: its rated load is not set", part.label)),
            Some(rated) if mass > rated => {
                (Verdict::FallsShort, format!("{}: rated for {rated}, the load is {mass}", part.label))
            }
            Some(rated) => (Verdict::Holds, format!("{}: rated for {rated}, the load is {mass}", part.label)),
        };
        finding("device_rated_load", verdict, "load within the device’s rating", words, SOURCE)
    };
    devices(seen).map(judge).collect()
}
