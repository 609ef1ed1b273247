//! The real clocks and the real ids: made here and nowhere else.
//!
//! Three clocks are read. The time of day, which people and the network set. The machine's boot clock, which only
//! runs on, through suspend too (Linux: `/proc/uptime`, the kernel's CLOCK_BOOTTIME). And the program's own running
//! clock, which stands still in suspend (`Instant`, CLOCK_MONOTONIC): how far it falls behind the boot clock is
//! how long the machine slept.

use chrono::{DateTime, FixedOffset, Local, SecondsFormat};
use service::machine::{Here, session_id};
use service::wire::Trouble;
use service::{Session, Stamp, session::id_v7};
use std::cell::Cell;
use std::time::Instant;

/// Shorter than this is no sleep but two clocks read one after the other, ms.
const SLEEP_MS: i64 = 2000;

/// Makes the stamps of one session: one start of the program.
#[derive(Debug)]
pub struct Clock {
    session: String,
    here: Here,
    started: Instant,
    /// The boot clock at the start.
    booted_ms: Option<i64>,
    /// Sleep told so far, ms.
    told_ms: Cell<i64>,
}

impl Clock {
    /// Begins a session.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub fn start() -> Result<Clock, Trouble> {
        let here = here();
        let now = u64::try_from(Local::now().timestamp_millis()).unwrap_or(0);
        Ok(Clock {
            session: session_id(now, &random()?, &here),
            here,
            started: Instant::now(),
            booted_ms: boot_ms(),
            told_ms: Cell::new(0),
        })
    }

    /// A stamp of this moment.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub fn stamp(&self) -> Result<Stamp, Trouble> {
        let (now, boot_ms) = self.read();
        Ok(Stamp {
            id: id_of(now)?,
            session: self.session.clone(),
            boot_ms,
            recorded_at: now.to_rfc3339_opts(SecondsFormat::Millis, false),
            salt: random()?,
        })
    }

    /// A stamp of this moment for an entry that the screens know by `key`: the same key gives the same id however
    /// often the entry is tried, so that one whose acknowledgement was lost is not recorded twice.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    #[cfg(feature = "window")]
    pub fn stamp_of(&self, key: &str) -> Result<Stamp, Trouble> {
        Ok(Stamp { id: service::machine::id_of_key(key), ..self.stamp()? })
    }

    /// What both clocks show.
    #[cfg(feature = "window")]
    pub fn reading(&self) -> service::Reading {
        let (now, boot_ms) = self.read();
        service::Reading {
            session: self.session.clone(),
            boot_ms,
            wall_ms: now.timestamp_millis(),
            offset_min: now.offset().local_minus_utc() / 60,
        }
    }

    fn read(&self) -> (DateTime<FixedOffset>, i64) {
        let run = || i64::try_from(self.started.elapsed().as_millis()).unwrap_or(i64::MAX);
        (Local::now().fixed_offset(), boot_ms().unwrap_or_else(run))
    }

    /// Time of day and boot clock, ms.
    pub fn both_ms(&self) -> (i64, i64) {
        let (now, boot_ms) = self.read();
        (now.timestamp_millis(), boot_ms)
    }

    /// Whether the machine tells a clock that runs on through sleep.
    pub fn has_boot_clock(&self) -> bool {
        self.booted_ms.is_some()
    }

    /// Whether the machine knows itself again.
    pub fn knows_itself(&self) -> bool {
        !self.here.machine.is_empty()
    }

    /// Tells a session that was just opened which machine it is on.
    pub fn greet(&self, session: &mut Session) {
        let machine = session.last_session().and_then(|last| service::machine::beside(last, &self.here));
        session.on_machine(machine);
    }

    /// Tells the session of a sleep since it was last asked.
    pub fn tell_sleep(&self, session: &mut Session) {
        let run_ms = i64::try_from(self.started.elapsed().as_millis()).unwrap_or(i64::MAX);
        let asleep_ms = asleep(self.booted_ms, boot_ms(), run_ms) - self.told_ms.get();
        if asleep_ms >= SLEEP_MS {
            self.told_ms.set(self.told_ms.get() + asleep_ms);
            session.slept(asleep_ms);
        }
    }
}

/// How long the machine slept while the program ran for `run_ms` by its own clock.
fn asleep(booted_ms: Option<i64>, now_ms: Option<i64>, run_ms: i64) -> i64 {
    match (booted_ms, now_ms) {
        (Some(booted), Some(now)) => (now - booted - run_ms).max(0),
        _ => 0,
    }
}

/// Ids of this machine and of its run, as the system keeps them; they stand in no record.
fn here() -> Here {
    let read = |files: &[&str]| {
        let found = files.iter().find_map(|file| std::fs::read_to_string(file).ok());
        found.map(|text| text.trim().to_string()).unwrap_or_default()
    };
    Here {
        machine: read(&["/etc/machine-id", "/var/lib/dbus/machine-id"]),
        run: read(&["/proc/sys/kernel/random/boot_id"]),
    }
}

/// Local time in words, for whoever else wants the file.
pub fn now_words() -> String {
    Local::now().format("%Y-%m-%d %H:%M:%S").to_string()
}

fn id_of(now: DateTime<FixedOffset>) -> Result<String, Trouble> {
    Ok(id_v7(u64::try_from(now.timestamp_millis()).unwrap_or(0), &random()?))
}

fn random() -> Result<[u8; 32], Trouble> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).map_err(|e| {
        Trouble::new(
            "no_random",
            format!("the system gives no random numbers ({e})"),
            "",
            "restart the machine; write on paper meanwhile",
        )
    })?;
    Ok(bytes)
}

/// The machine's boot clock, which runs on through suspend; `None` where the system does not tell it so.
fn boot_ms() -> Option<i64> {
    let uptime = std::fs::read_to_string("/proc/uptime").ok()?;
    let (seconds, hundredths) = uptime.split_whitespace().next()?.split_once('.')?;
    let whole: i64 = seconds.parse().ok()?;
    let part: i64 = hundredths.get(..2)?.parse().ok()?;
    Some(whole * 1000 + part * 10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sleep_is_what_the_boot_clock_ran_on_alone() {
        for (booted, now, run, slept) in [
            (Some(1000), Some(61_000), 60_000, 0),
            (Some(1000), Some(781_000), 60_000, 720_000),
            // Read one after the other: never less than nothing.
            (Some(1000), Some(60_990), 60_000, 0),
            (None, Some(5), 60_000, 0),
            (Some(5), None, 60_000, 0),
        ] {
            assert_eq!(asleep(booted, now, run), slept, "{booted:?} {now:?}");
        }
    }

    #[test]
    fn stamps_of_a_session_differ_and_rise() {
        let clock = Clock::start().unwrap();
        let (a, b) = (clock.stamp().unwrap(), clock.stamp().unwrap());
        assert_eq!(a.session, b.session);
        assert_ne!(a.id, b.id);
        assert_ne!(a.salt, b.salt);
        assert!(a.boot_ms <= b.boot_ms);
        assert_eq!(a.id.as_bytes()[14], b'7', "UUIDv7: {}", a.id);
        assert!(DateTime::parse_from_rfc3339(&a.recorded_at).is_ok());
    }
}
