//! Where a rope runs, and how much of it is left: plain sums of lengths that stand in the rig.

use super::{HandTask, PartKind, Point, Rig, Rope, State};

/// What a template calls the length of its ropes.
pub const ROPE_LENGTH: &str = "rope_length";

/// What else the rope that is left rests on and a template takes from itself where nobody says it, with words for it.
const TAKEN: [(&str, &str); 2] =
    [("rope_for_knots", "for knots"), ("edge_to_device", "from the edge to the device")];

impl Rig {
    /// Whether a rope ends at the load: a haul rope does not.
    pub fn from_load(&self, rope: &Rope) -> bool {
        rope.path.first().is_some_and(|first| self.load.points.contains(first))
    }

    /// Whether somebody said how long a rope is. A template puts in a length of its own where nobody does, which says
    /// nothing of the rope that lies there.
    pub fn length_said(&self, rope: &Rope) -> bool {
        rope.length_said.unwrap_or_else(|| {
            self.template.as_ref().is_none_or(|made| {
                let set = made.set.get(ROPE_LENGTH);
                // A rig of an earlier version of the program tells it only where it is another than the template's.
                set.is_some_and(|text| !crate::templates::is_default(&made.name, ROPE_LENGTH, text))
            })
        })
    }

    /// What [`Rig::rope_left`] takes from the template as it stands there, in metres with words for it ("3 m for knots"): an
    /// assumption, or what is there happens to be the same. None of a rig that is on no template: its own lengths stand in it.
    pub fn rope_taken(&self) -> Vec<(f64, &'static str)> {
        let Some(made) = &self.template else { return vec![] };
        let own = |(name, words): &(&str, &'static str)| {
            let metres = crate::templates::default_of(&made.name, name)?;
            let other =
                made.set.get(*name).is_some_and(|t| !crate::templates::is_default(&made.name, name, t));
            (!other).then_some((metres, *words))
        };
        TAKEN.iter().filter_map(own).collect()
    }

    /// The same rig on no template; what its template told of its ropes is kept.
    #[must_use]
    pub fn off_template(mut self) -> Rig {
        let said: Vec<bool> = self.ropes.iter().map(|rope| self.length_said(rope)).collect();
        for (rope, said) in self.ropes.iter_mut().zip(said) {
            rope.length_said = Some(said);
        }
        self.template = None;
        self
    }

    /// Each point of a rope that is not below the edge, with its way along the rope from there, m: the first of them is 0.
    pub fn ways_above_edge<'a>(&self, rope: &'a Rope) -> Vec<(f64, &'a String)> {
        let edge = self.edge.height.to_metres() - 1e-9;
        let mut way = 0.0;
        let mut before: Option<&Point> = None;
        let mut ways = Vec::new();
        for id in &rope.path {
            let Some(point) = self.point(id) else { continue };
            if let Some(last) = before
                && last.y.to_metres() >= edge
                && point.y.to_metres() >= edge
            {
                way += libm::hypot(
                    point.x.to_metres() - last.x.to_metres(),
                    point.y.to_metres() - last.y.to_metres(),
                );
            }
            if point.y.to_metres() >= edge {
                ways.push((way, id));
            }
            before = Some(point);
        }
        ways
    }

    /// How far a rope runs above the edge in a state, as the rig is placed, m: to the last device, hitch or pulley that is
    /// there then; to the end of its path where a team hauls on it, or where nothing of that kind is on it.
    pub fn way_in_state(&self, rope: &Rope, state: &State) -> f64 {
        let ways = self.ways_above_edge(rope);
        let whole = ways.last().map_or(0.0, |(way, _)| *way);
        let hauls = |h: &&super::Hand| h.task == HandTask::Haul && h.works.contains(&rope.id);
        if self.hands.iter().filter(|h| state.hands.contains(&h.id)).any(|h| hauls(&h)) {
            return whole;
        }
        let on_it = |part: &&super::Part| {
            (part.device.is_some() || part.kind == PartKind::Pulley) && !state.without.contains(&part.id)
        };
        let here = |point: &String| self.parts.iter().filter(on_it).any(|p| p.at.first() == Some(point));
        ways.iter().rev().find(|(_, point)| here(point)).map_or(whole, |(way, _)| *way)
    }

    /// Rope left behind the last thing it runs through, m, with the load `out` metres below the edge: length − rope for knots
    /// − way above the edge − `out`. Below 0: the rig and the metres cannot both be right, or the rope is too short.
    ///
    /// Takes the rope's length as it stands; whether anybody said it is [`Rig::length_said`]. Stretch is left out: a loaded
    /// rope is longer than it was measured, so that a little more is left than this says.
    pub fn rope_left(&self, rope: &Rope, state: &State, out: f64) -> f64 {
        rope.length.to_metres() - rope.knots.to_metres() - self.way_in_state(rope, state) - out
    }
}

#[cfg(test)]
mod tests {
    use crate::Rig;
    use crate::edit::{Edit, apply};
    use crate::quantity::Length;
    use crate::templates::make;
    use std::collections::BTreeMap;

    fn made(template: &str, set: &[(&str, &str)]) -> Rig {
        let set = set.iter().map(|(name, text)| ((*name).to_string(), (*text).to_string())).collect();
        make(template, &set).expect("a rig")
    }

    fn left(rig: &Rig, rope: &str, state: &str, out: f64) -> f64 {
        rig.rope_left(rig.rope(rope).unwrap(), rig.state(Some(state)).unwrap(), out)
    }

    /// Device 4 m behind the edge, straight up its rope; 80 m of rope, 2 m of it in knots: with 30 m out
    /// 80 − 2 − 4 − 30 = 44 m are left; 10 m further up, 54.
    #[test]
    fn rope_left_is_length_less_knots_way_and_metres_out() {
        let rig = made(
            "twin-lower-two-knots",
            &[
                ("rope_length", "80m"),
                ("rope_for_knots", "2m"),
                ("edge_to_device", "4m"),
                ("edge_height", "60m"),
            ],
        );
        for rope in ["rope_one", "rope_two"] {
            assert!((left(&rig, rope, "lowering", 30.0) - 44.0).abs() < 1e-9, "{rope}");
            assert!((left(&rig, rope, "lowering", 20.0) - 54.0).abs() < 1e-9, "{rope}");
        }
    }

    #[test]
    fn what_nobody_said_of_it_is_the_templates_own() {
        let taken = |set| made("twin-lower-two-knots", set).rope_taken();
        let (knots, way) = ((3.0, "for knots"), (4.0, "from the edge to the device"));
        assert_eq!(taken(&[]), [knots, way]);
        assert_eq!(taken(&[("rope_for_knots", "2m"), ("edge_to_device", "400cm")]), [way]);
        assert_eq!(taken(&[("rope_for_knots", "2m"), ("edge_to_device", "5m")]), []);
        assert_eq!(made("twin-lower-two-knots", &[]).off_template().rope_taken(), []);
    }

    /// Before the haul system is rigged the rope ends its way at the device, 4 m from the edge. Hauled, it runs from the
    /// edge up to the fixed pulley (4 m), down to the moving one (0.9 of the throw of 3 m: 2.7 m) and up again to the
    /// team, 3 m above the fixed pulley (5.7 m): all of that straight up and down, 12.4 m.
    #[test]
    fn a_haul_system_takes_rope_only_where_it_is_rigged() {
        let rig = made(
            "change-over-lower-to-raise",
            &[("rope_length", "80m"), ("rope_for_knots", "2m"), ("edge_to_device", "4m"), ("throw", "3m")],
        );
        assert!((left(&rig, "rope_one", "lowering", 10.0) - 64.0).abs() < 1e-9);
        assert!((left(&rig, "rope_one", "raising", 10.0) - (80.0 - 2.0 - 12.4 - 10.0)).abs() < 1e-9);
        assert!((left(&rig, "rope_two", "raising", 10.0) - 64.0).abs() < 1e-9);
    }

    /// Two ropes of 40 m joined by a knot are one rope of 80 m; the knot takes no more than what is set for knots (3 m), and
    /// while the load hangs on the hitch for the pass, 2.5 m behind the edge, the rope ends its way there.
    #[test]
    fn two_ropes_joined_are_one() {
        let rig = made("knot-pass", &[("rope_length", "80m"), ("edge_to_device", "4m"), ("knot_at", "40m")]);
        assert!((left(&rig, "rope_one", "lowering", 30.0) - (80.0 - 3.0 - 4.0 - 30.0)).abs() < 1e-9);
        assert!((left(&rig, "rope_one", "on_the_hitch", 36.0) - (80.0 - 3.0 - 2.5 - 36.0)).abs() < 1e-9);
    }

    #[test]
    fn a_length_that_only_the_template_put_in_was_not_said() {
        let said = |rig: &Rig| rig.ropes.iter().map(|r| rig.length_said(r)).collect::<Vec<_>>();
        let own = make("twin-lower-two-knots", &BTreeMap::new()).unwrap();
        assert_eq!(said(&own), [false, false]);
        assert_eq!(said(&made("twin-lower-two-knots", &[("rope_length", "80m")])), [true, true]);
        // Said, though it is what the template would have put in.
        let same = made("twin-lower-two-knots", &[("rope_length", "60m")]);
        assert_eq!(said(&same), [true, true]);
        // A change of something else tells nothing of the ropes; one of a rope tells of that one.
        let high = Edit::EdgeHeight { height: Length::metres(25.0).unwrap() };
        let edited = apply(&own, std::slice::from_ref(&high)).unwrap();
        assert_eq!((edited.template.is_none(), said(&edited)), (true, vec![false, false]));
        assert_eq!(said(&apply(&same, &[high]).unwrap()), [true, true]);
        let rope =
            Edit::Rope { id: "rope_two".into(), length: Length::metres(60.0), diameter: None, stopper: None };
        assert_eq!(said(&apply(&own, &[rope]).unwrap()), [false, true]);
        // Rigs of earlier versions: another length than the template's was said; a file of no template says what it says.
        let before = |rig: &Rig| {
            let mut old = rig.clone();
            old.ropes.iter_mut().for_each(|r| r.length_said = None);
            old
        };
        assert_eq!(said(&before(&made("twin-lower-two-knots", &[("rope_length", "80m")]))), [true, true]);
        assert_eq!(said(&before(&own)), [false, false]);
        assert_eq!(said(&Rig { template: None, ..before(&own) }), [true, true]);
    }
}
