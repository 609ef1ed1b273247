//! What can be asked of the sums.

use clap::{Args, Subcommand, ValueEnum};
use service::sums::{AngleFrom, RedirectFrom, SystemKind};

#[derive(Debug, Args)]
pub struct Sum {
    /// Gravity in m/s² for masses; without it, 9.80665.
    #[arg(long, global = true, value_name = "M/S2")]
    pub gravity: Option<String>,
    #[command(subcommand)]
    pub command: SumCommand,
}

#[derive(Debug, Subcommand)]
pub enum SumCommand {
    /// Tension of each leg of a two-leg V.
    LegShare {
        /// The load: a force or a mass (2kN, 600lbf, 280kg).
        #[arg(long)]
        load: String,
        /// The angle of two equal legs.
        #[arg(long, conflicts_with_all = ["left", "right"], required_unless_present_all = ["left", "right"])]
        angle: Option<String>,
        /// From what that angle is taken.
        #[arg(long, value_enum, default_value = "included")]
        angle_from: LegAngle,
        /// The left leg’s angle from the vertical.
        #[arg(long, requires = "right")]
        left: Option<String>,
        /// The right leg’s angle from the vertical.
        #[arg(long, requires = "left")]
        right: Option<String>,
    },
    /// Force on a change-of-direction pulley.
    Redirect {
        /// Tension of the rope.
        #[arg(long)]
        tension: String,
        /// The angle of its two strands.
        #[arg(long)]
        angle: String,
        /// From what that angle is taken.
        #[arg(long, value_enum, default_value = "included")]
        angle_from: PulleyAngle,
    },
    /// Force on the other side of a rope wrapped round a bar or tree.
    Wrap {
        /// The load: a force or a mass (2kN, 600lbf, 280kg).
        #[arg(long)]
        load: String,
        /// Friction coefficient.
        #[arg(long)]
        friction: String,
        /// How far it is wrapped: 540deg or 1.5turns.
        #[arg(long)]
        wrap: String,
        /// The load goes up.
        #[arg(long)]
        raising: bool,
    },
    /// Haul force of a pulley system.
    Advantage {
        /// The system: 3:1.
        #[arg(long)]
        system: String,
        /// How it is built up.
        #[arg(long, value_enum, default_value = "simple")]
        kind: Kind,
        /// The load: a force or a mass (2kN, 600lbf, 280kg).
        #[arg(long)]
        load: String,
        /// What each sheave passes on; 1 is perfect.
        #[arg(long, default_value = "1")]
        efficiency: String,
        /// Changes of direction on the haul line.
        #[arg(long, default_value = "0")]
        redirects: String,
    },
    /// Rope force of a load on a slope.
    Slope {
        /// Its mass.
        #[arg(long)]
        mass: String,
        /// The slope’s angle from the horizontal.
        #[arg(long)]
        angle: String,
        /// Friction coefficient.
        #[arg(long)]
        friction: String,
        /// The load goes up.
        #[arg(long)]
        raising: bool,
    },
    /// Peak force of a fall on a rope.
    Fall {
        /// What falls.
        #[arg(long)]
        mass: String,
        /// How far it falls before the rope is taut.
        #[arg(long)]
        drop: String,
        /// Length of rope in service.
        #[arg(long)]
        rope: String,
        /// Stiffness EA of the rope: force over stretch, 30kN.
        #[arg(long)]
        modulus: String,
    },
    /// Tension of a taut rope with a load in the middle.
    Span {
        /// The load: a force or a mass (2kN, 600lbf, 280kg).
        #[arg(long)]
        load: String,
        /// From end to end, ends level.
        #[arg(long)]
        span: String,
        /// How far the load hangs below the ends.
        #[arg(long)]
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
