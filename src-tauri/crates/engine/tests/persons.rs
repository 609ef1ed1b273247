//! Persons, hitches, bodies and knots: small rigs made by hand, each checked under other ids and in another order too.

mod rigs;

use rig::Rig;
use rig::findings::{LossMode, LossVerdict, StateFindings, Verdict};
use rig::model::{DeviceClass, DeviceState, HandTask, Line, PartKind, Sliding};
use rigs::small::{any, backup, device, hand, on, part, point, rig, rope, state, two_ropes};
use rigs::{guidelines, loss, twisted};

fn check(rig: &Rig) -> StateFindings {
    assert_eq!(twisted::said(&twisted::undone(rig)), twisted::said(rig));
    engine::check(rig, &guidelines(), None).main
}

fn verdict(state: &StateFindings, id: &str, mode: LossMode) -> LossVerdict {
    loss(state, id, mode).verdict
}

const NONE: [&str; 0] = [];

/// A person who runs two devices, as one hand, as two slots of one role, or as a common cause: one fate.
#[test]
fn one_person_on_two_devices_is_one_fate_however_it_is_written() {
    let slots =
        [("first", HandTask::Operator, &["device_1"][..]), ("second", HandTask::Operator, &["device_2"][..])];
    for (class, off, frozen) in [
        (DeviceClass::SelfClosing, LossVerdict::Held, LossVerdict::Dropped),
        (DeviceClass::Passive, LossVerdict::Dropped, LossVerdict::HeldIfActs),
    ] {
        let mut r = rig(200.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
        two_ropes(&mut r, class, ["load_1", "load_2"]);
        for (id, task, works) in slots {
            hand(&mut r, id, task, works);
        }
        let apart = r.clone();
        // Two slots of one role.
        r.hands.iter_mut().for_each(|h| h.role = "operator".into());
        state(&mut r, Sliding::Lowering, DeviceState::Open);
        let found = check(&r);
        let both = |mode| found.losses.iter().find(|l| l.mode == mode && l.lost.len() == 2).unwrap().verdict;
        assert_eq!((both(LossMode::HandOff), both(LossMode::FreezesOn)), (off, frozen), "{class:?}");
        let critical = |id: &str| found.critical_parts.iter().any(|own| own == id);
        assert!(critical("first") && critical("second"), "{class:?}: {:?}", found.critical_parts);
        // A common cause that takes both: the worse of the two ways is told.
        let mut r = apart;
        let members = vec!["first".into(), "second".into()];
        r.groups.push(rig::model::Group { id: "one_person".into(), label: "one person".into(), members });
        state(&mut r, Sliding::Lowering, DeviceState::Open);
        let found = check(&r);
        let causes: Vec<_> = found.losses.iter().filter(|l| l.mode == LossMode::CommonCause).collect();
        assert_eq!((causes.len(), causes[0].verdict), (1, off.min(frozen)), "{class:?}");
        let asked = engine::what_if(&r, &guidelines(), None, "one_person").unwrap();
        assert_eq!(&asked.loss, causes[0]);
    }
}

/// Two friction hitches as a belay: they set only if nobody holds them.
#[test]
fn tandem_hitches_set_only_if_nobody_holds_them() {
    let tandem = |minded: bool| {
        let mut r = rig(100.0, backup(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
        two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
        r.parts.retain(|p| p.id != "device_2" && p.id != "rope_2" && p.id != "knot_2");
        r.ropes.retain(|rope| rope.id != "rope_2");
        for (id, y) in [("at_release", 9.0), ("at_upper", 8.5), ("at_lower", 8.2)] {
            point(&mut r, id, 0.5, y, false);
        }
        part(
            &mut r,
            "release",
            PartKind::LoadReleaseHitch,
            Line::Two,
            &["at_release", "top_2"],
            on("anchor_2"),
        );
        for (id, at) in [("lower", "at_lower"), ("upper", "at_upper")] {
            device(&mut r, id, DeviceClass::FrictionHitch, Line::Two, at, on("release"));
            let hitch = r.parts.iter_mut().find(|p| p.id == id).unwrap();
            (hitch.kind, hitch.at) = (PartKind::FrictionHitch, vec![at.into(), "at_release".into()]);
        }
        rope(&mut r, "rope_2", Line::Two, &["load_2", "at_lower", "at_upper"], backup(&["lower", "upper"]));
        part(&mut r, "knot_2", PartKind::EndKnot, Line::Two, &["load_2"], on("rope_2"));
        hand(&mut r, "operator", HandTask::Operator, &["device_1"]);
        if minded {
            hand(&mut r, "minder", HandTask::HitchMinder, &["lower", "upper"]);
        }
        state(&mut r, Sliding::Lowering, DeviceState::Open);
        for id in ["lower", "upper"] {
            r.states[0].devices.insert(id.into(), DeviceState::Feeding);
        }
        check(&r)
    };
    let minded = tandem(true);
    let main = loss(&minded, "rope_1", LossMode::Part);
    assert_eq!((main.verdict, main.acts.as_slice()), (LossVerdict::HeldIfActs, &["minder".to_string()][..]));
    assert_eq!(verdict(&minded, "minder", LossMode::HandOff), LossVerdict::Held);
    assert_eq!(verdict(&minded, "minder", LossMode::FreezesOn), LossVerdict::Held);
    assert!(
        minded.critical_pairs.contains(&["rope_1".into(), "minder".into()]),
        "{:?}",
        minded.critical_pairs
    );
    assert_eq!(minded.hands_off.verdict, Verdict::Holds);
    assert_eq!(minded.critical_parts, NONE);
    // Both hitches hang on one load-release hitch: with the main rope it is a pair.
    assert!(minded.critical_pairs.contains(&["rope_1".into(), "release".into()]));
    let alone = tandem(false);
    assert_eq!(verdict(&alone, "rope_1", LossMode::Part), LossVerdict::Moves);
}

/// Who is an anchor with the own body lets go with all others, and is as strong as the own force says.
#[test]
fn a_human_anchor_is_a_hand() {
    let anchored = |newtons: Option<f64>| {
        let mut r = rig(50.0, on("knot_1"), &["load_1"]);
        two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
        hand(&mut r, "body", HandTask::HumanAnchor, &["anchor_1"]);
        let force = |n: f64| rig::quantity::Force::newtons(n).unwrap();
        let grip = r.hands[0].grip.take().unwrap();
        r.hands[0].grip = newtons.map(|n| rig::model::ForceBand {
            low: force(n),
            nominal: force(n),
            high: force(n),
            ..grip
        });
        r.parts.iter_mut().find(|p| p.id == "anchor_1").unwrap().held_by = on("body");
        state(&mut r, Sliding::Held, DeviceState::TiedOff);
        check(&r)
    };
    // 50 kg weigh 490.3 N.
    for (newtons, expected) in [
        (None, LossVerdict::NotChecked),
        (Some(480.0), LossVerdict::Overloaded),
        (Some(500.0), LossVerdict::HeldIfActs),
    ] {
        let found = anchored(newtons);
        assert_eq!(verdict(&found, "anchor_2", LossMode::Part), expected, "{newtons:?}");
        assert_eq!(verdict(&found, "body", LossMode::HandOff), LossVerdict::Dropped);
        assert_eq!(found.hands_off.verdict, Verdict::FallsShort);
        assert!(found.critical_parts.contains(&"body".to_string()));
    }
}

/// Each body of the load must be held by something of its own; the verdict is the worst over them and names whom.
#[test]
fn every_body_must_be_held() {
    let mut r = rig(200.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
    two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
    for (id, held) in [("litter", any(&["knot_1", "knot_2"])), ("tether", on("knot_1"))] {
        part(&mut r, id, PartKind::Tether, Line::Shared, &[], held);
    }
    for (id, kilograms) in [("litter", 110.0), ("tether", 90.0)] {
        let mass = rig::quantity::Mass::kilograms(kilograms).unwrap();
        let (label, held_by) = (format!("who hangs on the {id}"), on(id));
        r.load.bodies.push(rig::model::Body { id: format!("body_{id}"), label, mass, held_by });
    }
    state(&mut r, Sliding::Held, DeviceState::Closed);
    let found = check(&r);
    // The attendant's one tether hangs on rope one alone: all that rope one hangs on is critical for the attendant.
    for id in ["tether", "rope_1", "knot_1", "device_1", "anchor_1"] {
        let lost = loss(&found, id, LossMode::Part);
        assert_eq!(lost.verdict, LossVerdict::Dropped, "{id}");
        assert!(lost.words.contains("who hangs on the tether"), "{}", lost.words);
    }
    assert_eq!(verdict(&found, "rope_2", LossMode::Part), LossVerdict::Moves);
    // It bears that body, not the whole load.
    let force = rigs::part(&found, "tether").force_kn.unwrap();
    assert!((force.high - 90.0 * rig::quantity::G / 1000.0).abs() < 1e-9, "{force:?}");
}

/// A knot in the run of a rope is a part of that rope, from the step on in which it bears.
#[test]
fn a_joining_knot_is_lost_with_its_rope_once_it_bears() {
    for (bears, expected) in [(true, LossVerdict::Moves), (false, LossVerdict::Held)] {
        let mut r = rig(100.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
        two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
        part(&mut r, "bend", PartKind::JoiningKnot, Line::One, &[], on("rope_1"));
        let at = rig::quantity::Length::metres(5.0).unwrap();
        r.ropes[0].joints.push(rig::model::Joint { knot: "bend".into(), at });
        state(&mut r, Sliding::Held, DeviceState::Closed);
        if !bears {
            r.states[0].without.push("bend".into());
        }
        let found = check(&r);
        match found.losses.iter().find(|l| l.lost == ["bend"]) {
            Some(lost) => assert_eq!(lost.verdict, expected),
            None => assert!(!bears),
        }
        let (rope, knot) = (rigs::part(&found, "rope_1"), rigs::part(&found, "bend"));
        let carried = if bears { rope.force_kn.unwrap().high } else { 0.0 };
        assert_eq!(knot.force_kn.unwrap().high, carried);
    }
}
