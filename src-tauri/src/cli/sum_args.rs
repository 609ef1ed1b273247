//! What can be asked of the sums.

use clap::{Args, Subcommand, ValueEnum};
use service::sums::{AngleFrom, RedirectFrom, SystemKind};

#[derive(Debug, Args)]
pub struct Sum {
    /// Gravity in m/s² for masses; without it, 9.80665.
    #[arg(long, global = true, allow_hyphen_values = true, value_name = "M/S2")]
    pub gravity: Option<f64>,
    #[command(subcommand)]
    pub command: SumCommand,
}

#[derive(Debug, Subcommand)]
pub enum SumCommand {
    /// Tension of each leg of a two-leg V.
    LegShare {
        /// The load: a force or a mass.
        #[arg(long, allow_hyphen_values = true)]
        load: String,
        /// The angle of two equal legs.
        #[arg(long, allow_hyphen_values = true, conflicts_with_all = ["left", "right"], required_unless_present_all = ["left", "right"])]
        angle: Option<String>,
        /// From what that angle is taken.
        #[arg(long, value_enum, default_value = "included")]
        angle_from: LegAngle,
        /// The left leg’s angle from the vertical.
        #[arg(long, allow_hyphen_values = true, requires = "right")]
        left: Option<String>,
        /// The right leg’s angle from the vertical.
        #[arg(long, allow_hyphen_values = true, requires = "left")]
        right: Option<String>,
    },
    /// Force on a change-of-direction pulley.
    Redirect {
        /// Tension of the rope.
        #[arg(long, allow_hyphen_values = true)]
        tension: String,
        /// The angle of its two strands.
        #[arg(long, allow_hyphen_values = true)]
        angle: String,
        /// From what that angle is taken.
        #[arg(long, value_enum, default_value = "included")]
        angle_from: PulleyAngle,
    },
    /// Force on the other side of a rope wrapped round a bar or tree.
    Wrap {
        /// The load: a force or a mass.
        #[arg(long, allow_hyphen_values = true)]
        load: String,
        /// Friction coefficient.
        #[arg(long, allow_hyphen_values = true)]
        friction: String,
        /// How far it is wrapped: 540deg or 1.5turns.
        #[arg(long, allow_hyphen_values = true)]
        wrap: String,
        /// The load goes up.
        #[arg(long)]
        raising: bool,
    },
    /// Haul force of a pulley system.
    Advantage {
        /// The system: 3:1.
        #[arg(long, allow_hyphen_values = true)]
        system: String,
        /// How it is built up.
        #[arg(long, value_enum, default_value = "simple")]
        kind: Kind,
        /// The load: a force or a mass.
        #[arg(long, allow_hyphen_values = true)]
        load: String,
        /// What each sheave passes on; 1 is perfect.
        #[arg(long, allow_hyphen_values = true, default_value = "1")]
        efficiency: String,
        /// Changes of direction on the haul line.
        #[arg(long, allow_negative_numbers = true, default_value_t = 0)]
        redirects: u32,
    },
    /// Rope force of a load on a slope.
    Slope {
        /// Its mass.
        #[arg(long, allow_hyphen_values = true)]
        mass: String,
        /// The slope’s angle from the horizontal.
        #[arg(long, allow_hyphen_values = true)]
        angle: String,
        /// Friction coefficient.
        #[arg(long, allow_hyphen_values = true)]
        friction: String,
        /// The load goes up.
        #[arg(long)]
        raising: bool,
    },
    /// Peak force of a fall on a rope.
    Fall {
        /// What falls.
        #[arg(long, allow_hyphen_values = true)]
        mass: String,
        /// How far it falls before the rope is taut.
        #[arg(long, allow_hyphen_values = true)]
        drop: String,
        /// Length of rope in service.
        #[arg(long, allow_hyphen_values = true)]
        rope: String,
        /// Stiffness EA of the rope: force over stretch, 30kN.
        #[arg(long, allow_hyphen_values = true)]
        modulus: String,
    },
    /// Tension of a taut rope with a load in the middle.
    Span {
        /// The load: a force or a mass.
        #[arg(long, allow_hyphen_values = true)]
        load: String,
        /// From end to end, ends level.
        #[arg(long, allow_hyphen_values = true)]
        span: String,
        /// How far the load hangs below the ends.
        #[arg(long, allow_hyphen_values = true)]
        sag: String,
    },
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum LegAngle {
    /// Between the two legs.
    Included,
    /// Between a leg and the horizontal.
    Horizontal,
    /// Between a leg and the vertical.
    Vertical,
}

impl From<LegAngle> for AngleFrom {
    fn from(angle: LegAngle) -> AngleFrom {
        match angle {
            LegAngle::Included => AngleFrom::Included,
            LegAngle::Horizontal => AngleFrom::Horizontal,
            LegAngle::Vertical => AngleFrom::Vertical,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum PulleyAngle {
    /// Between the two strands.
    Included,
    /// Between the rope’s way in and its way out.
    Deflection,
}

impl From<PulleyAngle> for RedirectFrom {
    fn from(angle: PulleyAngle) -> RedirectFrom {
        match angle {
            PulleyAngle::Included => RedirectFrom::Included,
            PulleyAngle::Deflection => RedirectFrom::Deflection,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Kind {
    /// All moving pulleys travel with the load.
    Simple,
    /// A simple system pulls on another one.
    Compound,
    /// Neither.
    Complex,
}

impl From<Kind> for SystemKind {
    fn from(kind: Kind) -> SystemKind {
        match kind {
            Kind::Simple => SystemKind::Simple,
            Kind::Compound => SystemKind::Compound,
            Kind::Complex => SystemKind::Complex,
        }
    }
}
