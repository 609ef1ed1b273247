//! The same site and load on other systems: how far it drops when the rope that carries most of it is lost.

use super::band::{self, percentiles};
use super::parameter::Parameters;
use super::setting::{Carried, Hold, Setting, Strand, Tailer};
use super::{Runs, clearance, told};
use crate::support::Model;
use rig::findings::SystemFall;
use rig::guidelines::{FallRules, Guidelines, Spread};
use rig::model::Device;

/// Where the rig has no tailer, one is taken to grip with this, N.
fn a_tailers_grip() -> Spread {
    Spread { low: 50.0, likely: 80.0, high: 200.0, source: "assumption: grip of a tailer on a rope".into() }
}

/// The systems side by side; empty where the fall is not onto one rope through a device whose grip is known.
pub fn beside(model: &Model<'_>, guidelines: &Guidelines, setting: &Setting, runs: Runs) -> Vec<SystemFall> {
    let [strand] = setting.strands.as_slice() else { return Vec::new() };
    let Some(device) = strand.device.and_then(|part| model.rig.parts[part].device.as_ref()) else {
        return Vec::new();
    };
    let systems = Systems { base: setting, strand, rules: &guidelines.falls, device };
    let each = [
        ("belay", "one loaded rope, a belay without tension", "", systems.belay()),
        ("twin", "two loaded ropes, an operator on each", "", Some(systems.twin(false))),
        ("tailer", "the same with a tailer behind", "", systems.tailer()),
        (
            "one_operator",
            "two loaded ropes, one operator on both",
            "dropped if that one freezes on; the figures are for one who lets go",
            Some(systems.twin(false)),
        ),
        ("tied_off", "two loaded ropes, tied off", "", Some(systems.tied_off())),
    ];
    let told = each.into_iter().filter_map(|(id, label, note, setting)| {
        let setting = setting?;
        let band = band::band(&setting, runs).ok()?;
        Some(SystemFall {
            id: id.into(),
            label: label.into(),
            note: note.into(),
            fall_m: percentiles(&band.falls, 1.0),
            peak_force_kn: percentiles(&band.peaks, 1e-3),
            never_stops: band.never,
            reaches: band.reaches(clearance(model, 0.0).0),
            parameters: told::parameters(&setting),
        })
    });
    told.collect()
}

struct Systems<'a> {
    base: &'a Setting,
    strand: &'a Strand,
    rules: &'a FallRules,
    device: &'a Device,
}

impl Systems<'_> {
    /// The base with another hold, share and slack, nothing let loose by what swings.
    fn with(
        &self,
        carried: Carried,
        slack: Vec<usize>,
        hold: Hold,
        tailer: Option<Tailer>,
        p: Parameters,
    ) -> Setting {
        let strand = Strand { carried, slack, hold, tailer, loose: 0.0, ..self.strand.clone() };
        Setting { strands: vec![strand], parameters: p, swings: None, ..self.base.clone() }
    }

    fn closed(&self, p: &mut Parameters) -> usize {
        p.force("closed", "force at which the device slips, closed", &self.device.closed)
    }

    fn share(p: &mut Parameters) -> Carried {
        let why = "assumption: equal, more or less";
        Carried::Share(p.called("share_beside", "share of the load on a rope", [0.3, 0.5, 0.7], why))
    }

    fn belay(&self) -> Option<Setting> {
        let mut p = self.base.parameters.clone();
        let slack = p.spread("belay_slack", "slack in the belay", "m", &self.rules.belay_slack_m);
        let hold = Hold::Fed {
            feeds: p.spread("feeding", "what the belay resists while it is fed", "N", &self.rules.feeding_n),
            grabs: p.spread("grab", "time until the belay grabs", "s", &self.rules.grab_s),
            to: self.closed(&mut p),
        };
        Some(self.with(Carried::Nothing, vec![slack], hold, None, p))
    }

    fn twin(&self, tailed: bool) -> Setting {
        let mut p = self.base.parameters.clone();
        let hold = Hold::Closes {
            after: Some(p.spread("reaction", "reaction of the operator", "s", &self.rules.reaction_s)),
            within: p.spread("closing", "time in which a handle closes", "s", &self.rules.closing_s),
            to: self.closed(&mut p),
        };
        let tailer = self.device.gain.as_ref().filter(|_| tailed).map(|gain| Tailer {
            after: p.spread("tailer", "time until the tailer holds", "s", &self.rules.tailer_s),
            gain: p.ratio("gain", "resistance of the device over a hand’s grip", gain),
            grip: p.spread("tailers_grip", "grip of the tailer", "N", &a_tailers_grip()),
        });
        let share = Self::share(&mut p);
        self.with(share, Vec::new(), hold, tailer, p)
    }

    fn tailer(&self) -> Option<Setting> {
        self.device.gain.as_ref().map(|_| self.twin(true))
    }

    fn tied_off(&self) -> Setting {
        let mut p = self.base.parameters.clone();
        let share = Self::share(&mut p);
        Setting { speed: None, ..self.with(share, Vec::new(), Hold::TiedOff, None, p) }
    }
}
