//! What can be asked on the command line.

use clap::{Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// The log-book at the top of a rope rescue system.
///
/// `ledgebook` or `ledgebook FILE.ledge` opens the window; the commands below do without it.
/// Decision support only. Local rules, the makers’ instructions and a qualified rigger come first.
#[derive(Debug, Parser)]
#[command(name = "ledgebook", version, verbatim_doc_comment)]
pub struct Args {
    /// Answer in JSON, errors too (`{code, what, where, remedy}` on standard error).
    #[arg(long, global = true)]
    pub json: bool,
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Plays a scripted operation in virtual time; leaves DIR/operation.ledge and DIR/report.pdf.
    Rehearse {
        /// The script, JSON.
        script: PathBuf,
        /// Folder for operation and report; made if it is not there.
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
    },
    /// Makes and checks rigs.
    Rig {
        #[command(subcommand)]
        command: RigCommand,
    },
    /// The trade’s sums, each with its formula: leg-share, redirect, wrap, advantage, slope, fall, span.
    Sum(super::sum_args::Sum),
    /// Writes, shows and verifies the record of an operation.
    Log {
        #[command(subcommand)]
        command: LogCommand,
    },
    /// What stood at a time: motion, unanswered orders, people, roles, flags.
    State {
        /// The operation file.
        file: PathBuf,
        /// Time: 14:02, PT12M3S from the start, or 2026-05-14T14:02:00+02:00; without it, the last entry.
        #[arg(long, value_name = "TIME")]
        at: Option<String>,
    },
    /// Measures and findings of an operation, each measure with its formula.
    Review {
        /// The operation file.
        file: PathBuf,
        /// Units of lengths and speeds in words; measures in JSON are SI.
        #[arg(long, value_enum, default_value_t = Figures::Si)]
        units: Figures,
    },
    /// This operation beside the last ones of the same team in the same folder: readbacks, reaction to STOP, times.
    Compare {
        /// The operation file.
        file: PathBuf,
    },
    /// All operations of a folder: hours by person and role, use of ropes and devices, and a search in what was said.
    Records {
        /// The folder.
        folder: PathBuf,
        /// Words to find in calls, people, places and gear; each must be there.
        #[arg(long, value_name = "WORDS")]
        find: Option<String>,
    },
    /// After an accident: makes a sealed copy beside the file, not to be written, and records that and why.
    Seal {
        /// The operation file.
        file: PathBuf,
        /// Who has it made.
        #[arg(long, value_name = "NAME")]
        person: String,
        /// Why.
        #[arg(long, value_name = "WHY")]
        reason: String,
    },
    /// Writes the report of an operation.
    Report {
        /// The operation file.
        file: PathBuf,
        /// Where the report goes.
        #[arg(long, value_name = "OUT.pdf")]
        pdf: PathBuf,
        /// The sheets it is set for.
        #[arg(long, value_enum, default_value_t = Sheet::A4)]
        paper: Sheet,
        /// With a page on the patient: course, what was said and measured, lines for the hand-over.
        #[arg(long)]
        patient: bool,
        /// With numbers in place of names; the record is then not attached, its head and count stand alone.
        #[arg(long)]
        no_names: bool,
        /// Units of its figures; what was said and stored in words stays as recorded.
        #[arg(long, value_enum, default_value_t = Figures::Si)]
        units: Figures,
    },
    /// Writes the record for other programs, fills the standard forms, or packs all of it into one zip.
    Export {
        /// The operation file.
        file: PathBuf,
        /// What to write.
        #[arg(long, value_enum)]
        to: Format,
        /// Where it goes: a file; for forms a folder, made if it is not there.
        #[arg(long, value_name = "PATH")]
        out: PathBuf,
        /// With numbers in place of names; a record without them cannot be verified.
        #[arg(long)]
        no_names: bool,
        /// The sheets of forms and report.
        #[arg(long, value_enum, default_value_t = Sheet::A4)]
        paper: Sheet,
        /// Units of the figures in forms and report.
        #[arg(long, value_enum, default_value_t = Figures::Si)]
        units: Figures,
    },
    /// Looks whether this machine, and an operation file, will do: disk, clock, file, lock, fonts, display, versions.
    Doctor {
        /// An operation file to look at too.
        file: Option<PathBuf>,
    },
    /// Prints a JSON Schema: script, rig, guidelines, event or record.
    Schema {
        /// Which.
        name: String,
    },
}

/// Sheets of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Sheet {
    /// 210 × 297 mm.
    A4,
    /// 8½ × 11 inches.
    Letter,
}

impl From<Sheet> for service::paper::Paper {
    fn from(sheet: Sheet) -> Self {
        match sheet {
            Sheet::A4 => service::paper::Paper::A4,
            Sheet::Letter => service::paper::Paper::Letter,
        }
    }
}

/// Units of figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Figures {
    /// m, kN, kg.
    Si,
    /// ft, lbf, lb.
    Us,
}

impl From<Figures> for service::paper::Units {
    fn from(figures: Figures) -> Self {
        match figures {
            Figures::Si => service::paper::Units::Si,
            Figures::Us => service::paper::Units::Us,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// A table for a spreadsheet; no cell is taken for a formula.
    Csv,
    /// JSON Lines with all columns: `ledgebook schema record`.
    Jsonl,
    /// The ICS forms 201, 208, 211 and 214 as PDF, filled from the operation.
    Forms,
    /// Operation file, record, report, forms and rigs with their digests.
    Bundle,
}

#[derive(Debug, Subcommand)]
pub enum RigCommand {
    /// Lists the templates and what can be set in each.
    Templates,
    /// Lists classes with their ratings, knots and conventions, each with its source and standing.
    Catalogue,
    /// Makes a rig from a template and prints the rig file.
    Make {
        /// The template's name.
        template: String,
        /// Sets a parameter: name=value, with its unit.
        #[arg(long = "set", value_name = "NAME=VALUE")]
        set: Vec<String>,
    },
    /// Checks a rig: force and margin of every part, every single loss, pairs, hands off, rules.
    Check {
        /// The rig file; - for standard input.
        rig: PathBuf,
        /// The state the team is on; without it, the rig's first.
        #[arg(long)]
        state: Option<String>,
        /// The team's guidelines; without it, the defaults.
        #[arg(long, value_name = "FILE")]
        guidelines: Option<PathBuf>,
    },
    /// What becomes of the load when something is lost.
    Loss {
        /// The rig file; - for standard input.
        rig: PathBuf,
        /// What is lost: a part, a common cause, or a hand as ID:hand_off or ID:freezes_on; without it, each in turn.
        #[arg(long, value_name = "ID")]
        lose: Vec<String>,
        /// The state the team is on; without it, the rig's first.
        #[arg(long)]
        state: Option<String>,
        /// The team's guidelines; without it, the defaults.
        #[arg(long, value_name = "FILE")]
        guidelines: Option<PathBuf>,
    },
}

#[derive(Debug, Subcommand)]
pub enum LogCommand {
    /// Makes a new, empty operation file; never writes over one.
    New {
        /// The operation file.
        file: PathBuf,
    },
    /// Records steps, one JSON object a line on standard input; each is answered once it is on the disk.
    Append {
        /// The operation file.
        file: PathBuf,
        /// Mirrors the operation to this file from now on, also the next time it is opened: NAME.ledge.jsonl on a stick.
        #[arg(long, value_name = "PATH")]
        mirror: Option<PathBuf>,
    },
    /// Brings a second copy on another path up to the record, now.
    Mirror {
        /// The operation file.
        file: PathBuf,
        /// The mirror, JSON Lines; made if it is not there, never written over if it is not this record’s.
        #[arg(long, value_name = "PATH")]
        to: PathBuf,
    },
    /// Makes a new file of every whole entry of a damaged one; the damaged file is only read.
    Salvage {
        /// The damaged operation file, or a mirror (NAME.ledge.jsonl).
        file: PathBuf,
        /// The new operation file; never writes over one.
        #[arg(long, value_name = "NEW.ledge")]
        out: PathBuf,
    },
    /// Shows every entry.
    Show {
        /// The operation file.
        file: PathBuf,
    },
    /// Goes through the whole chain; with a witness also whether the end is there.
    Verify {
        /// The operation file, a mirror (NAME.ledge.jsonl), or a report’s PDF: its pages are then made again from the
        /// record in it and compared.
        file: PathBuf,
        /// HEAD:COUNT from a report, a report’s PDF, the mirror, or another copy of the record.
        #[arg(long, value_name = "WITNESS")]
        against: Option<String>,
    },
}
