//! What is drawn anew for each run: ranges with their most likely value, and how a run draws from them.

use rig::findings::FallParameter;
use rig::guidelines::Spread;
use rig::model::{Band, Cited, ForceBand, Standing};

/// A parameter's place in the list.
pub type At = usize;

/// A range to draw from.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameter {
    /// Id.
    pub id: String,
    /// What it is.
    pub label: String,
    /// Its unit.
    pub unit: &'static str,
    /// Low end, in its unit.
    pub low: f64,
    /// Most likely.
    pub likely: f64,
    /// High end.
    pub high: f64,
    /// Where the range comes from.
    pub source: String,
    /// Whether it is an assumption.
    pub assumed: bool,
}

impl Parameter {
    /// The value below which a share `u` of all draws lies: as many below the likely value as above it, evenly on either side. A
    /// range that reaches far to one side so makes the ends felt and leaves the middle where it is said to be.
    pub fn at(&self, u: f64) -> f64 {
        let (a, c, b) = (self.low, self.likely, self.high);
        if u < 0.5 { a + (c - a) * 2.0 * u } else { c + (b - c) * (2.0 * u - 1.0) }
    }

    /// As it is told.
    pub fn told(&self, moves_m: [Option<f64>; 2]) -> FallParameter {
        FallParameter {
            id: self.id.clone(),
            label: self.label.clone(),
            unit: self.unit.to_string(),
            low: self.low,
            likely: self.likely,
            high: self.high,
            source: self.source.clone(),
            assumed: self.assumed,
            moves_m,
        }
    }
}

/// All parameters of a fall, each named once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parameters(pub Vec<Parameter>);

impl Parameters {
    fn add(&mut self, new: Parameter) -> At {
        match self.0.iter().position(|known| known.id == new.id) {
            Some(known) => known,
            None => {
                self.0.push(new);
                self.0.len() - 1
            }
        }
    }

    /// One that the guidelines state.
    pub fn spread(&mut self, id: &str, label: &str, unit: &'static str, spread: &Spread) -> At {
        self.add(Parameter {
            id: id.into(),
            label: label.into(),
            unit,
            low: spread.low,
            likely: spread.likely,
            high: spread.high,
            assumed: spread.source.starts_with("assum"),
            source: spread.source.clone(),
        })
    }

    /// A force that the rig states, N.
    pub fn force(&mut self, id: &str, label: &str, band: &ForceBand) -> At {
        let ends = [band.low, band.nominal, band.high].map(rig::quantity::Force::to_newtons);
        self.of_rig(id, label, "N", ends, &band.cited)
    }

    /// A plain ratio that the rig states.
    pub fn ratio(&mut self, id: &str, label: &str, band: &Band) -> At {
        let ends = [band.low, band.nominal, band.high].map(rig::quantity::Ratio::value);
        self.of_rig(id, label, "", ends, &band.cited)
    }

    /// A value that the rig states without a range.
    pub fn fixed(&mut self, id: &str, label: &str, unit: &'static str, value: f64) -> At {
        self.add(Parameter {
            id: id.into(),
            label: label.into(),
            unit,
            low: value,
            likely: value,
            high: value,
            source: "as the rig states it".into(),
            assumed: false,
        })
    }

    /// A ratio with these ends, whatever the rig states.
    pub fn called(&mut self, id: &str, label: &str, [low, likely, high]: [f64; 3], source: &str) -> At {
        let source = source.to_string();
        self.add(Parameter {
            id: id.into(),
            label: label.into(),
            unit: "",
            low,
            likely,
            high,
            source,
            assumed: true,
        })
    }

    /// A stiffness that is assumed, N.
    pub fn stiffness(&mut self, id: &str, label: &str, [low, likely, high]: [f64; 3], source: &str) -> At {
        let (id, label, source) = (id.into(), label.into(), source.into());
        self.add(Parameter { id, label, unit: "N", low, likely, high, source, assumed: true })
    }

    fn of_rig(&mut self, id: &str, label: &str, unit: &'static str, ends: [f64; 3], cited: &Cited) -> At {
        let [low, likely, high] = ends;
        let assumed =
            matches!(cited.standing, Standing::Assumption | Standing::Memory | Standing::CommonPractice);
        let source = format!("{} ({})", cited.words, cited.standing.words());
        self.add(Parameter { id: id.into(), label: label.into(), unit, low, likely, high, source, assumed })
    }

    /// The most likely value of each.
    pub fn likely(&self) -> Vec<f64> {
        self.0.iter().map(|own| own.likely).collect()
    }

    /// What run `run` draws; the last value is one more draw from 0 to 1, for what happens or does not. A parameter of the same
    /// id draws alike in every fall, so that two falls can be set side by side.
    pub fn drawn(&self, seed: u64, run: u32) -> Vec<f64> {
        let own = |id: &str| unit(seed, run, id);
        self.0.iter().map(|p| p.at(own(&p.id))).chain([own("")]).collect()
    }
}

/// A number from 0 to 1, open at both ends, that depends on these alone: a counter, hashed (the finaliser of SplitMix64).
fn unit(seed: u64, run: u32, id: &str) -> f64 {
    // FNV-1a of the id.
    let name =
        id.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    let mut z = mixed(seed ^ name).wrapping_add(u64::from(run).wrapping_mul(0x9E37_79B9_7F4A_7C15));
    z = mixed(z);
    ((z >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

fn mixed(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}
