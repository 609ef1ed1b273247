//! One rope lets go: how far the load drops and how hard what is left stops it. In one dimension, downwards positive:
//! m v̇ = m g − T. The rope pulls as a spring with damping (Kelvin–Voigt): k = EA / L, c = τ k. It runs over an edge that holds
//! back what runs over it, and through a device that slips at a force that depends on time (what a hand does to it).
//!
//! `exact` jumps from event to event and knows no edge; `stepped` goes by small steps and knows both: each is the other's second
//! opinion where both apply.
//!
//! What holds a device may swing: `swing`, in the plane.
//!
//! Limits: no swing of the load, no rope mass, no cutting at the edge; slip and grip do not depend on speed, heat or wet; the damping
//! jumps at impact.

pub mod exact;
mod grip;
pub mod quick;
pub mod stepped;
pub mod swing;
mod under_way;

pub use grip::Grip;

/// One fall onto one rope.
#[derive(Clone, Debug, PartialEq)]
pub struct Drop {
    /// Mass of the load, kg.
    pub mass: f64,
    /// What pulls it down, m/s²: [`G`](rig::quantity::G) where it hangs free, less on a slope.
    pub gravity: f64,
    /// Speed downwards when the other rope lets go, m/s.
    pub speed: f64,
    /// EA of the rope, N: the force that would stretch it to twice its length.
    pub stiffness: f64,
    /// Damping time τ, s: damping over stiffness.
    pub damping: f64,
    /// Rope from the load to the edge, or to the device where there is none, m.
    pub below: f64,
    /// The edge; `None`: the rope runs free to its device.
    pub edge: Option<Edge>,
    /// Rope that hangs slack before it pulls, m.
    pub slack: f64,
    /// What it carried of the load before, N; 0 where it hangs slack.
    pub carried: f64,
    /// Tension at which it slips through its device.
    pub grip: Grip,
}

/// The edge that a rope runs over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Tension below over tension above while the rope runs down over it, at least 1.
    pub ratio: f64,
    /// Rope from the edge to the device, m.
    pub above: f64,
}

/// Where a fall is given up: it stands as not stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// m fallen.
    pub fall: f64,
    /// s.
    pub time: f64,
}

/// What became of the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// How far it fell, m: to its lowest point, or to where it was given up.
    pub fall: f64,
    /// The most that the rope pulled on the load, N.
    pub peak: f64,
    /// The most that the rope pulled on its device, N.
    pub at_device: f64,
    /// Rope that ran through the device, m.
    pub through: f64,
    /// When, s.
    pub time: f64,
    /// How it ended.
    pub end: End,
}

/// How a fall ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The load stood still.
    Stopped,
    /// It fell as far as was asked for.
    FellOn,
    /// It was not at rest after the time that was asked for.
    TimedOut,
}

/// Why a fall cannot be computed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{what} is {value}: {range}")]
pub struct OutOfRange {
    /// Which value.
    pub what: &'static str,
    /// As given.
    pub value: f64,
    /// What it may be.
    pub range: &'static str,
}

impl Drop {
    /// What the load pulls with at rest, N.
    pub fn weight(&self) -> f64 {
        self.mass * self.gravity
    }

    /// Spring constant below the edge, N/m.
    pub(crate) fn below_k(&self) -> f64 {
        self.stiffness / self.below
    }

    /// Stretch below the edge at the start, m; below 0 it hangs slack.
    fn stretch(&self) -> f64 {
        if self.slack > 0.0 { -self.slack } else { self.carried / self.below_k() }
    }

    /// # Errors
    /// The first value outside its range.
    pub fn check(&self) -> Result<(), OutOfRange> {
        let above_0 = "it must be above 0";
        let not_below_0 = "it must be 0 or more";
        let over = |what, value, range, fits: bool| {
            if fits && f64::is_finite(value) { Ok(()) } else { Err(OutOfRange { what, value, range }) }
        };
        over("the mass of the load, kg,", self.mass, above_0, self.mass > 0.0)?;
        over("the pull of gravity, m/s²,", self.gravity, above_0, self.gravity > 0.0)?;
        over("the speed at the loss, m/s,", self.speed, not_below_0, self.speed >= 0.0)?;
        over("the stiffness of the rope, N,", self.stiffness, above_0, self.stiffness > 0.0)?;
        over("the damping time, s,", self.damping, not_below_0, self.damping >= 0.0)?;
        over("the rope below, m,", self.below, above_0, self.below > 0.0)?;
        over("the slack, m,", self.slack, not_below_0, self.slack >= 0.0)?;
        over("the tension carried, N,", self.carried, not_below_0, self.carried >= 0.0)?;
        if let Some(edge) = self.edge {
            over("the edge’s ratio", edge.ratio, "it must be 1 or more", edge.ratio >= 1.0)?;
            over("the rope above the edge, m,", edge.above, above_0, edge.above > 0.0)?;
            // Friction there is only by way of damping, without which rope that runs has no speed.
            over(
                "the damping time, s,",
                self.damping,
                "over an edge it must be above 0",
                self.damping > 0.0,
            )?;
        }
        self.grip.check()
    }
}

/// Computes a fall: exactly where no edge is in the way.
///
/// # Errors
/// The first value outside its range.
pub fn fall(drop: &Drop, limits: Limits) -> Result<Stop, OutOfRange> {
    match drop.edge {
        None => exact::fall(drop, limits),
        Some(_) => stepped::fall(drop, limits, stepped::STEP),
    }
}
