//! Measures in words, table by table: what the command line prints and paper can print, from the measures alone.

use super::{LoopMeasure, Measures, Standing, said::NOT_SAID};
use crate::review::clock_span;
use crate::state::left_words;
use rig::units::{Kind, Side, Units};
use serde::Serialize;
use ts_rs::TS;

/// A measure in words.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct MeasureRow {
    /// What was measured.
    pub words: String,
    /// What came out, with its unit.
    pub value: String,
    /// Entries it rests on; empty: on many.
    pub entries: Vec<u64>,
}

/// A section of measures in words.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct MeasureTable {
    /// Its head.
    pub head: String,
    /// The formula.
    pub how: String,
    /// Its rows; empty: the record says nothing of it.
    pub rows: Vec<MeasureRow>,
}

/// Metres that someone called, in the units asked for.
pub fn metres_told(metres: f64, units: Units) -> String {
    // To a centimetre at most: a height that was called in feet has no end of decimals in metres.
    let shown = (metres * 100.0).round() / 100.0;
    units.told(Kind::Length, metres, &shown.to_string(), Side::Near)
}

/// “4.5 s”, without a decimal where it is none.
fn s(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round() / 10.0;
    if tenths.fract() == 0.0 { format!("{tenths:.0} s") } else { format!("{tenths:.1} s") }
}

fn restart(across: bool) -> &'static str {
    if across { ", across a restart" } else { "" }
}

fn row(words: impl Into<String>, value: impl Into<String>, entries: Vec<u64>) -> MeasureRow {
    MeasureRow { words: words.into(), value: value.into(), entries }
}

/// The few measures that stand beside the charts: words and value.
pub fn named(m: &Measures) -> Vec<(String, String)> {
    let orders = &m.closed_loop.value;
    let mut list =
        vec![(format!("read back by all, of {} orders", orders.orders), orders.by_all.to_string())];
    let stops = &m.stops.value;
    for (i, stop) in stops.list.iter().enumerate().filter(|(_, stop)| !stop.operators.is_empty()) {
        let value = stop.all_stopped_s.map_or_else(|| "never".into(), |s| format!("{s:.0} s"));
        list.push((format!("stop {} to all stopped, limit {:.0} s", i + 1, stops.limit_s), value));
    }
    if let Some(e) = m.exposure.value.first().filter(|e| e.on_rope_s > 0.0) {
        let value = format!("{}{}", clock_span(e.on_rope_s), restart(e.across_restart));
        list.push((format!("longest on rope, {}", e.person), value));
    }
    // A clock that was set is a finding.
    let told = m.clocks.value.iter().filter(|c| !c.words.starts_with("the clock was set"));
    list.extend(told.map(|c| (c.words.clone(), c.about.clone())));
    let pars = &m.pars.value;
    if !pars.list.is_empty() {
        list.push((format!("PAR kept in time, of {}", pars.list.len()), pars.kept.to_string()));
    }
    list
}

impl Measures {
    /// Everything in words, in the order a reader goes through it.
    pub fn tables(&self) -> Vec<MeasureTable> {
        self.tables_in(Units::Si)
    }

    /// The same with lengths and speeds in the units asked for.
    pub fn tables_in(&self, units: Units) -> Vec<MeasureTable> {
        let table = |head: &str, how: &str, rows: Vec<MeasureRow>| MeasureTable {
            head: head.into(),
            how: how.into(),
            rows,
        };
        vec![
            table("Times", &self.milestones.how, self.milestone_rows()),
            table("Time in each motion", &self.motions.how, self.motion_rows()),
            table("Time in each phase", &self.phases.how, self.phase_rows()),
            table("Stops", &self.stops.how, self.stop_rows()),
            table("STOP to stopped, by operator", &self.reactions.how, self.reaction_rows()),
            table("Losses called into the drill", &self.drills.how, self.drill_rows()),
            table("Speed between called heights", &self.speeds.how, self.speed_rows(units)),
            table("Rope left", &self.ropes.how, self.rope_rows(units)),
            table("Resets", &self.resets.how, self.reset_rows()),
            table("Closed loop", &self.closed_loop.how, self.loop_rows()),
            table("PAR", &self.pars.how, self.par_rows()),
            table("Time in each zone", &self.exposure.how, self.exposure_rows()),
            table("Roles", &self.roles.how, self.role_rows()),
            table("Rig, checks and signatures", &self.rig.how, self.rig_rows()),
            table("Clocks", &self.clocks.how, {
                self.clocks.value.iter().map(|c| row(&c.words, &c.about, vec![c.seq])).collect()
            }),
        ]
    }

    fn milestone_rows(&self) -> Vec<MeasureRow> {
        let told = self.milestones.value.iter().map(|m| {
            let value = match (m.since_first_s, m.since_before_s) {
                (None, _) => "not said".into(),
                (Some(_), None) => "0:00, the first".into(),
                (Some(first), Some(before)) => {
                    format!(
                        "{}, {} after the one before{}",
                        clock_span(first),
                        clock_span(before),
                        restart(m.across_restart)
                    )
                }
            };
            row(&m.words, value, m.seq.into_iter().collect())
        });
        told.collect()
    }

    fn motion_rows(&self) -> Vec<MeasureRow> {
        let had = self.motions.value.iter().filter(|t| t.spells > 0);
        had.map(|t| {
            let times = if t.spells == 1 {
                String::new()
            } else {
                format!(" in {} stretches, longest {}", t.spells, clock_span(t.longest_s))
            };
            let value = format!("{}{times}{}", clock_span(t.total_s), restart(t.across_restart));
            row(t.motion.replace('_', " "), value, t.entries.clone())
        })
        .collect()
    }

    fn phase_rows(&self) -> Vec<MeasureRow> {
        let each = self.phases.value.iter().map(|t| {
            let times = match t.spells {
                1 => String::new(),
                n => format!(", {n} times, longest {}", clock_span(t.longest_s)),
            };
            let unsaid = match (t.unsaid, t.spells) {
                (0, _) => String::new(),
                (_, 1) => "; not reported done".into(),
                (n, of) => format!("; not reported done {n} of {of}"),
            };
            let lasts = if t.lasts { "; still lasts" } else { "" };
            let value =
                format!("{}{times}{unsaid}{lasts}{}", clock_span(t.total_s), restart(t.across_restart));
            row(&t.words, value, t.entries.clone())
        });
        each.collect()
    }

    fn rope_rows(&self, units: Units) -> Vec<MeasureRow> {
        let each = self.ropes.value.iter().map(|r| {
            let out = r.out_m.filter(|_| r.left_m.is_some());
            let out = out.map_or(String::new(), |out| format!(", at {} out", metres_told(out, units)));
            let words = r.left_m.map_or_else(|| r.words.clone(), |left| left_words(left, units));
            let near = if r.near { "; less than is asked to spare" } else { "" };
            let least = if r.left_m.is_some() { "least: " } else { "" };
            row(format!("{} of “{}”", r.label, r.rig), format!("{least}{words}{out}{near}"), vec![r.seq])
        });
        each.collect()
    }

    fn stop_rows(&self) -> Vec<MeasureRow> {
        let stops = &self.stops.value;
        let mut rows =
            vec![row("stops", stops.count.to_string(), stops.list.iter().map(|x| x.seq).collect())];
        if let Some(longest) = stops.longest_s {
            let value = format!("{}, longest {}", clock_span(stops.total_s), clock_span(longest));
            rows.push(row("together", value, vec![]));
        }
        for (i, x) in stops.list.iter().enumerate() {
            let all = match (x.all_stopped_s, x.within_limit) {
                (_, None) => "nobody was assigned to a device".to_string(),
                (None, _) => "never reported by all".to_string(),
                (Some(t), Some(true)) => format!("all stopped after {}", s(t)),
                (Some(t), _) => format!("all stopped after {}, limit {}", s(t), s(stops.limit_s)),
            };
            let cause = if x.cause.is_empty() { "no cause said" } else { &x.cause };
            let lasted = clock_span(x.length_s);
            let until = if x.ended { String::new() } else { ", not ended".into() };
            let value = format!("lasted {lasted}{until}; {all}; {cause}{}", restart(x.across_restart));
            rows.push(row(format!("stop {} by {}", i + 1, x.from), value, vec![x.seq]));
        }
        rows
    }

    fn reaction_rows(&self) -> Vec<MeasureRow> {
        let each = self.reactions.value.iter().map(|r| {
            let times = match (r.median_s, r.p90_s, r.worst_s) {
                (Some(m), Some(p), Some(w)) => format!("median {}, 9 in 10 {}, worst {}", s(m), s(p), s(w)),
                _ => "never reported".into(),
            };
            let never = if r.never > 0 && r.median_s.is_some() {
                format!("; never {}", r.never)
            } else {
                String::new()
            };
            row(&r.role, format!("{times} of {} stops{never}", r.stops), vec![])
        });
        each.collect()
    }

    fn drill_rows(&self) -> Vec<MeasureRow> {
        let drills = &self.drills.value;
        let mut rows: Vec<MeasureRow> = drills
            .list
            .iter()
            .map(|c| {
                let stop =
                    c.stop_s.map_or("no STOP followed".into(), |after| format!("STOP after {}", s(after)));
                let operators = c.operators.iter().map(|o| {
                    let after = o.after_s.map_or("never".into(), s);
                    format!("; {} stopped {after}", o.role)
                });
                let words = format!("{stop}{}", operators.collect::<String>());
                row(&c.text, words, std::iter::once(c.seq).chain(c.stop_seq).collect())
            })
            .collect();
        if let (Some([least, median, most]), Some(json)) = (drills.reaction_s, &drills.for_guidelines) {
            let value = format!(
                "least {}, median {}, most {}; for the guidelines: {json}",
                s(least),
                s(median),
                s(most)
            );
            rows.push(row("reaction", value, vec![]));
        }
        rows
    }

    fn speed_rows(&self, units: Units) -> Vec<MeasureRow> {
        let each = self.speeds.value.iter().map(|v| {
            let way = if v.m_per_min < 0.0 { "up" } else { "down" };
            let fast = v.m_per_min.abs();
            let fast = units.told(Kind::Speed, fast, &format!("{fast:.1}"), Side::Near);
            let value = format!("{fast} {way}, {} moving", clock_span(v.moving_s));
            let [from, to] = [v.from_m, v.to_m].map(|m| metres_told(m, units));
            row(format!("{from} to {to} out"), value, vec![v.from_seq, v.to_seq])
        });
        each.collect()
    }

    fn reset_rows(&self) -> Vec<MeasureRow> {
        let each = self.resets.value.iter().enumerate().map(|(i, r)| {
            let value = r
                .until_raise_s
                .map_or("not raised again".into(), |t| format!("{} to the next raise", clock_span(t)));
            row(format!("reset {}", i + 1), value, vec![r.seq])
        });
        each.collect()
    }

    fn loop_rows(&self) -> Vec<MeasureRow> {
        let l = &self.closed_loop.value;
        let mut rows =
            vec![row(format!("read back by all, of {} orders", l.orders), l.by_all.to_string(), vec![])];
        rows.push(row("all readbacks", loop_words(&l.all), vec![]));
        rows.extend(l.by_role.iter().map(|m| row(&m.who, loop_words(m), vec![])));
        rows.extend(l.by_person.iter().map(|m| row(&m.who, loop_words(m), vec![])));
        let channel =
            |who: &str| if who == NOT_SAID { "channel not said".into() } else { format!("on {who}") };
        rows.extend(l.by_channel.iter().map(|m| row(channel(&m.who), loop_words(m), vec![])));
        rows
    }

    fn par_rows(&self) -> Vec<MeasureRow> {
        let p = &self.pars.value;
        let value = format!("{} in time, {} late, {} missed", p.kept, p.late, p.missed);
        let mut rows = vec![row("PAR", value, p.list.iter().map(|x| x.seq).collect())];
        rows.extend(p.list.iter().filter(|x| x.late_s.is_some() || x.missing > 0).map(|x| {
            let late = x.late_s.map_or(String::new(), |t| format!(", {} late", clock_span(t)));
            let after = x.after.as_ref().map_or(String::new(), |a| format!(" after {a}"));
            row(
                format!("PAR {} of {}", x.count, x.expected),
                format!("{} missing{late}{after}", x.missing),
                vec![x.seq],
            )
        }));
        rows
    }

    fn exposure_rows(&self) -> Vec<MeasureRow> {
        let each = self.exposure.value.iter().map(|e| {
            let zones = [("on rope", e.on_rope_s), ("edge zone", e.edge_s), ("drop zone", e.drop_s)];
            let words: Vec<String> = zones
                .iter()
                .filter(|(_, t)| *t > 0.0)
                .map(|(zone, t)| format!("{zone} {}", clock_span(*t)))
                .collect();
            let value = format!("{}{}", words.join(", "), restart(e.across_restart));
            row(&e.person, value, e.stays.iter().map(|x| x.seq).collect())
        });
        each.collect()
    }

    fn role_rows(&self) -> Vec<MeasureRow> {
        let r = &self.roles.value;
        let held = r
            .held
            .iter()
            .map(|h| row(&h.role, format!("{}, {}", h.person, clock_span(h.length_s)), vec![h.seq]));
        let vacant = r.vacant.iter().map(|v| {
            let value = format!("{}, of it {} moving", clock_span(v.length_s), clock_span(v.moving_s));
            row(format!("{} vacant", v.role), value, vec![v.seq])
        });
        let doubled = r.doubled.iter().map(|d| {
            let devices = if d.devices { ", two devices" } else { "" };
            let value = format!("{}{devices}", clock_span(d.length_s));
            row(format!("{} was {}", d.person, d.roles.join(" and ")), value, d.entries.clone())
        });
        held.chain(vacant).chain(doubled).collect()
    }

    fn rig_rows(&self) -> Vec<MeasureRow> {
        let r = &self.rig.value;
        let changes = r.changes.iter().map(|c| {
            row(
                format!("rig “{}” {}", c.rig, c.what),
                format!("state {}, load {}", c.state.replace('_', " "), c.motion.replace('_', " ")),
                vec![c.seq],
            )
        });
        let checks = r.checks.iter().map(|c| {
            let signed = if c.signed_by.is_empty() { "nobody".into() } else { c.signed_by.join(", ") };
            let accepted = if c.accepted > 0 { format!(", {} accepted", c.accepted) } else { String::new() };
            let verdict = match c.verdict {
                rig::findings::Verdict::FallsShort => "falls short",
                rig::findings::Verdict::NotChecked => "not checked in part",
                rig::findings::Verdict::Holds => "holds",
            };
            row(
                format!("check of “{}”", c.rig),
                format!("{verdict}; signed by {signed}{accepted}"),
                vec![c.seq],
            )
        });
        let totals = r.totals.iter().map(|t| {
            let signed = match (t.signed, t.standing) {
                (true, _) => ", signed",
                (false, Standing::NoRig) => "",
                (false, _) => ", not signed",
            };
            row(format!("moved with {}{signed}", moved_on(t.standing)), clock_span(t.length_s), vec![])
        });
        changes.chain(checks).chain(totals).collect()
    }
}

/// What the load moved on, in words.
fn moved_on(standing: Standing) -> String {
    match standing {
        Standing::NoRig => standing.words().into(),
        other => format!("the rig: {}", other.words()),
    }
}

/// “40 of 41, 98 %; median 3 s, 9 in 10 6 s, worst 9 s; wrong 1; never 0”.
fn loop_words(m: &LoopMeasure) -> String {
    let mut words = format!("{} of {}", m.right, m.due);
    if let Some(rate) = m.rate {
        // Rounded down: all must mean all.
        words.push_str(&format!(", {:.0} %", (rate * 100.0).floor()));
    }
    if let (Some(median), Some(p90), Some(worst)) = (m.median_s, m.p90_s, m.worst_s) {
        words.push_str(&format!("; median {}, 9 in 10 {}, worst {}", s(median), s(p90), s(worst)));
    }
    for (count, what) in [(m.put_right, "put right later"), (m.wrong, "wrong"), (m.never, "never")] {
        if count > 0 {
            words.push_str(&format!("; {what} {count}"));
        }
    }
    words
}
