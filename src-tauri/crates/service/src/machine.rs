//! Whether two sessions ran on one machine, without the record giving away which machine that is.
//!
//! The id of a session is a UUIDv7. Its first nine bytes (time and chance) salt two traces that fill the rest:
//! three bytes of SHA-256 over salt and machine id, four over salt, machine id and the id of the machine's run. Who
//! knows the ids, the machine itself, can tell its own sessions again; from the record alone nobody can tell machines
//! apart or follow one from file to file. A trace fits by chance once in 16 million sessions.

use operation::event::Machine;
use sha2::{Digest, Sha256};
use uuid::Uuid;

/// What a machine knows of itself; empty: not known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Here {
    /// Id of the machine that no one else has.
    pub machine: String,
    /// Id of its run, another after each restart.
    pub run: String,
}

/// The entry id that belongs to a key of the screens, `MS-CHANCE`: a UUIDv7 of the time before the dash and of a hash of
/// the whole key.
pub fn id_of_key(key: &str) -> String {
    let ms = key.split('-').next().and_then(|ms| ms.parse().ok()).unwrap_or(0);
    let mut sum = Sha256::new();
    sum.update(b"ledgebook-key");
    sum.update(key.as_bytes());
    crate::session::id_v7(ms, &sum.finalize().into())
}

const SALT: usize = 9;
const MACHINE: usize = 12;

/// The id of a session that begins now, at `milliseconds`, on this machine. A machine without ids leaves zeros.
pub fn session_id(milliseconds: u64, random: &[u8; 32], here: &Here) -> String {
    let plain = crate::session::id_v7(milliseconds, random);
    let Ok(id) = Uuid::parse_str(&plain) else { return plain };
    let mut bytes = id.into_bytes();
    let (salt, traces) = bytes.split_at_mut(SALT);
    traces.copy_from_slice(&both(salt, here));
    Uuid::from_bytes(bytes).to_string()
}

/// What this machine is beside the one that ran `session`; `None`: one of the two does not know itself.
pub fn beside(session: &str, here: &Here) -> Option<Machine> {
    let bytes = Uuid::parse_str(session).ok()?.into_bytes();
    let (salt, traces) = bytes.split_at(SALT);
    if here.machine.is_empty() || traces.iter().all(|byte| *byte == 0) {
        return None;
    }
    let ours = both(salt, here);
    let at = MACHINE - SALT;
    Some(match (ours[..at] == traces[..at], ours[at..] == traces[at..]) {
        (true, true) if !here.run.is_empty() => Machine::SameRun,
        (true, _) => Machine::Restarted,
        _ => Machine::Another,
    })
}

fn both(salt: &[u8], here: &Here) -> [u8; 7] {
    let mut traces = [0; 7];
    if !here.machine.is_empty() {
        let trace = |tag: &str, run: &str| {
            let mut sum = Sha256::new();
            for part in [tag.as_bytes(), salt, here.machine.as_bytes(), b"/", run.as_bytes()] {
                sum.update(part);
            }
            sum.finalize()
        };
        traces[..3].copy_from_slice(&trace("ledgebook-machine", "")[..3]);
        traces[3..].copy_from_slice(&trace("ledgebook-run", &here.run)[..4]);
    }
    traces
}

#[cfg(test)]
mod tests {
    use super::*;

    fn here(machine: &str, run: &str) -> Here {
        Here { machine: machine.into(), run: run.into() }
    }

    #[test]
    fn a_machine_knows_its_own_sessions_again() {
        let id = session_id(1_747_220_520_000, &[7; 32], &here("m", "1"));
        assert_eq!(Uuid::parse_str(&id).unwrap().get_version_num(), 7, "{id}");
        for (machine, run, expected) in [
            ("m", "1", Some(Machine::SameRun)),
            ("m", "2", Some(Machine::Restarted)),
            ("m", "", Some(Machine::Restarted)),
            ("n", "1", Some(Machine::Another)),
            ("", "1", None),
        ] {
            assert_eq!(beside(&id, &here(machine, run)), expected, "{machine} {run}");
        }
        let unknown = session_id(1_747_220_520_000, &[7; 32], &Here::default());
        assert_eq!(beside(&unknown, &here("m", "1")), None);
        assert_eq!(beside("no id", &here("m", "1")), None);
    }

    #[test]
    fn a_key_has_one_id() {
        let id = id_of_key("1747220520000-9f2c");
        assert_eq!(id, id_of_key("1747220520000-9f2c"));
        assert_ne!(id, id_of_key("1747220520000-9f2d"));
        assert_eq!(u64::from_str_radix(&id.replace('-', "")[..12], 16), Ok(1_747_220_520_000));
    }

    #[test]
    fn two_sessions_of_one_machine_share_nothing_to_follow_it_by() {
        let id = |ms, chance| session_id(ms, &[chance; 32], &here("m", "1"));
        let (a, b) = (id(1, 1), id(2, 2));
        assert_ne!(a[a.len() - 14..], b[b.len() - 14..], "the traces differ with the salt");
        assert!(!a.contains('m'));
    }
}
