//! The rules that findings are held against: in words, with their source, and how sure a finding of theirs is.

use super::Sure;
use crate::state::State;

const COMMON: &str = "common practice, no source";

/// A rule in words, and where it comes from: the guidelines' limit with its source, or common practice.
pub(super) fn rule(state: &State, id: &str) -> (String, String) {
    let (g, p) = (&state.guidelines, &state.guidelines.people);
    let limit = |words: String, source: &str| (words, source.to_string());
    match id {
        "silent" | "order_unanswered" => (
            format!("whoever an order is for reads it back, within {} s", g.readback_s.value),
            g.readback_s.source.clone(),
        ),
        "readbacks" => limit(format!("an order is read back within {} s", g.readback_s.value), &g.readback_s.source),
        "stop" => limit(
            format!("every operator reports “stopped” within {} s of STOP", g.stop_s.value),
            &g.stop_s.source,
        ),
        "par_late" | "par_missed" | "par_overdue" | "par_kept" => {
            limit(format!("everyone is counted every {} min", g.par_min.value), &g.par_min.source)
        }
        "par_after_event" => limit(
            format!("everyone is counted within {} min of an event", p.par_event_min.value),
            &p.par_event_min.source,
        ),
        "not_heard" => limit(
            format!(
                "everyone is heard of every {} min, in a zone of danger every {} min",
                p.not_heard_min.value, p.not_heard_exposed_min.value
            ),
            &format!("{}; in danger: {}", p.not_heard_min.source, p.not_heard_exposed_min.source),
        ),
        "on_rope_long" => {
            limit(format!("over {} min on rope is long", p.on_rope_min.value), &p.on_rope_min.source)
        }
        "role_held_long" => limit(format!("over {} h in one role is long", p.role_h.value), &p.role_h.source),
        "motionless_in_harness" => limit(
            format!("nobody hangs motionless for {} min", p.motionless_min.value),
            &p.motionless_min.source,
        ),
        "span_of_control" => limit(format!("one person leads {} at most", p.span_most.value), &p.span_most.source),
        "rope_end_near" => limit(
            format!("{} m of rope are left to spare", g.rope_spare_m.value),
            &g.rope_spare_m.source,
        ),
        "moved_on_failing_check" => limit(
            "the load moves on a rig that meets the required margins, or a person accepts by name what does not".into(),
            &g.required_margin.source,
        ),
        "added" => limit("what a person found".into(), ""),
        // A rule that this program has no words for is told by its name.
        _ => (plain_rule(id).replace('_', " "), COMMON.into()),
    }
}

/// Rules of common practice that have no limit of their own.
fn plain_rule(id: &str) -> &str {
    match id {
        "wrong_readback" => "a readback says what was ordered",
        "contradicting_orders" => "an order is closed or taken back before the opposite is given",
        "move_during_stop" => "nothing moves during a stop, and only control ends it",
        "role_not_ready" => "everyone who works the load has said that they are ready before it moves",
        "unequal_tension" => "both ropes are equal before the load moves",
        "role_vacant" => "every role that the rig asks for is held by someone before the load moves",
        "role_excluded" => "a safety officer stays off ropes and devices; two devices have two people",
        "par_mismatch" => "a count is the count of those who are checked in",
        "not_tied_in" => "whoever is on rope or at the edge is tied in, and that is said",
        "drop_zone_occupied" => "nobody is below a load that moves",
        "rig_changed_since_check" => "a rig that was changed is checked again before it is loaded",
        "moved_unsigned" | "signed" => "the rig is signed as it is before the load moves",
        "stop_nobody_assigned" => "someone is assigned to each device before anything is loaded",
        "no_roll_call" => "the roll is called after each stop, before the load moves",
        "no_load_test" | "load_test" => {
            "the rig is loaded and watched before a person hangs on it over the edge"
        }
        "handover_unconfirmed" => "both say it: who gives a role and who takes it",
        "patient_handover_unsaid" => "the record says to whom the patient was handed over, with what summary",
        "qualification_expired" => "who holds a role has a qualification that stands",
        "clock_jump" => "the clock is left alone during an operation",
        "time_out_of_range" => "what happened lies between the start and the moment it is written",
        "after_close" => "everything is written before the operation is closed",
        "critical_put_right" => "a single critical part is found and put right before anyone hangs on it",
        "change_over_skipped" => {
            "a change-over is gone through to its end before the load moves on the other system"
        }
        "phase_not_done" => "a knot pass, a reset or a change-over is reported done before the load moves on",
        "closed_loop" => "every order is read back as ordered",
        other => other,
    }
}

/// Which findings are read first where there is no room for all of them: 0 before 1 before 2. What put a person or the load
/// at risk then, what was not heard or counted, what else is out of order. An assumption of this program, as no source ranks them.
pub(super) fn turn(id: &str) -> u8 {
    match id {
        "drop_zone_occupied"
        | "move_during_stop"
        | "moved_on_failing_check"
        | "moved_unsigned"
        | "not_tied_in"
        | "rig_changed_since_check"
        | "rope_end_near"
        | "stop"
        | "stop_nobody_assigned"
        | "no_load_test"
        | "motionless_in_harness"
        | "contradicting_orders"
        | "unequal_tension"
        | "role_vacant"
        | "role_excluded"
        | "phase_not_done"
        | "change_over_skipped" => 0,
        "span_of_control"
        | "role_held_long"
        | "qualification_expired"
        | "clock_jump"
        | "time_out_of_range"
        | "after_close" => 2,
        _ => 1,
    }
}

/// How sure a finding of a rule is.
pub(super) fn sure(id: &str) -> Sure {
    match id {
        "silent"
        | "role_vacant"
        | "not_tied_in"
        | "moved_unsigned"
        | "no_roll_call"
        | "no_load_test"
        | "handover_unconfirmed"
        | "role_not_ready"
        | "patient_handover_unsaid"
        | "stop_nobody_assigned"
        | "par_missed"
        | "par_overdue"
        | "par_after_event"
        | "not_heard"
        | "rig_changed_since_check" => Sure::NotRecorded,
        "stop"
        | "par_late"
        | "par_kept"
        | "on_rope_long"
        | "role_held_long"
        | "motionless_in_harness"
        | "rope_end_near"
        | "readbacks"
        | "clock_jump"
        | "time_out_of_range" => Sure::Measured,
        "added" => Sure::Opinion,
        _ => Sure::Recorded,
    }
}
