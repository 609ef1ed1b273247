//! The real clock and the real ids: made here and nowhere else.

use chrono::{DateTime, FixedOffset, Local, SecondsFormat};
use service::wire::Trouble;
use service::{Stamp, session::id_v7};
use std::time::Instant;

/// Makes the stamps of one session: one start of the program.
#[derive(Debug)]
pub struct Clock {
    session: String,
    started: Instant,
}

impl Clock {
    /// Begins a session.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub fn start() -> Result<Clock, Trouble> {
        Ok(Clock { session: id_of(Local::now().fixed_offset())?, started: Instant::now() })
    }

    /// A stamp of this moment.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub fn stamp(&self) -> Result<Stamp, Trouble> {
        let now = Local::now().fixed_offset();
        Ok(Stamp {
            id: id_of(now)?,
            session: self.session.clone(),
            boot_ms: boot_ms()
                .unwrap_or_else(|| i64::try_from(self.started.elapsed().as_millis()).unwrap_or(i64::MAX)),
            recorded_at: now.to_rfc3339_opts(SecondsFormat::Millis, false),
            salt: random()?,
        })
    }
}

/// Now, in ms since the epoch.
#[cfg(feature = "window")]
pub fn now_ms() -> i64 {
    Local::now().timestamp_millis()
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
