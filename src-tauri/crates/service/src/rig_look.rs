//! What the Rig screen asks to see. All that is worked out here stands apart from the open operation, so that whoever records
//! need not wait for it.

use crate::rigs::{called, check, check_without_falls, from_template};
use crate::wire::{BesideView, FallView, RigDrawing, Trouble};
use drawing::fall_beside;
use drawing::rig::{Lost, RigDrawingOptions};
use engine::falls::{CHECK, Called, FIRST, Runs};
use operation::State;
use operation::state::RigState;
use rig::findings::{CheckReport, FallFinding, LossFinding, PartFinding};
use rig::guidelines::Guidelines;
use rig::model::Rig;
use std::collections::BTreeMap;

/// What a look at the rigs of an operation needs of it.
#[derive(Clone, Debug)]
pub struct RigLook {
    in_use: Option<InUse>,
    guidelines: Guidelines,
    /// Who holds each role, by its full name; the first of several.
    people: BTreeMap<String, String>,
    called: Called,
    edge_height_m: Option<f64>,
}

#[derive(Clone, Debug)]
struct InUse {
    rig: Rig,
    state: String,
    /// The last check as it was stored, while it is of this rig in this state.
    stored: Option<CheckReport>,
    /// What was accepted of that check, by finding. An acceptance speaks of the check it was given for, and of no later one.
    accepted: BTreeMap<String, String>,
}

impl InUse {
    fn of(rig: &RigState) -> Self {
        let stored = rig.checks.last().filter(|c| c.rig_seq == rig.seq && c.report.main.state == rig.state);
        let of_it = rig.accepted.iter().filter(|a| stored.is_some_and(|c| a.check_seq == Some(c.seq)));
        Self {
            rig: rig.rig.clone(),
            state: rig.state.clone(),
            stored: stored.map(|check| check.report.clone()),
            accepted: of_it.map(|a| (a.finding.clone(), format!("accepted by {}", a.person))).collect(),
        }
    }
}

impl RigLook {
    /// What stands in an operation.
    pub fn of(state: &State) -> Self {
        let holder = |role: String| Some((role.clone(), state.holder(&role).into_iter().next()?));
        Self {
            in_use: state.rig_now().map(InUse::of),
            guidelines: state.guidelines.clone(),
            people: state.roles_held().into_iter().filter_map(holder).collect(),
            called: called(state),
            edge_height_m: state.facts.edge_height_m,
        }
    }

    /// The drawing of a rig that is not entered yet.
    ///
    /// # Errors
    /// As [`from_template`].
    pub fn preview(&self, template: &str, set: &BTreeMap<String, String>) -> Result<RigDrawing, Trouble> {
        let rig = from_template(self.edge_height_m, template, set)?;
        let report = check_without_falls(&rig, &self.guidelines, None);
        Ok(drawn(&rig, &report, &self.people_of(&rig), BTreeMap::new(), None))
    }

    /// The drawing of the rig in use, with something lost: the id of a part or group, or of a hand with how it is
    /// lost (`rope_one_operator:hand_off`, `rope_one_operator:freezes_on`). `first`: with the first figures of the
    /// fall, which are there at once; else the fall is that of a check.
    ///
    /// # Errors
    /// When there is no rig, or nothing of that id.
    pub fn drawing(&self, lost: Option<&str>, first: bool) -> Result<RigDrawing, Trouble> {
        let runs = if first { FIRST } else { CHECK };
        let in_use = self.in_use()?;
        let report = match &in_use.stored {
            Some(report) => report.clone(),
            None => check_without_falls(&in_use.rig, &self.guidelines, Some(&in_use.state)),
        };
        let lost = lost.map(|id| self.fell(&in_use.rig, &in_use.state, id, runs)).transpose()?;
        Ok(drawn(&in_use.rig, &report, &self.people_of(&in_use.rig), in_use.accepted.clone(), lost))
    }

    /// The same site and load on other systems, beside the deepest fall of the rig in use onto one rope.
    ///
    /// # Errors
    /// When there is no rig.
    pub fn beside(&self) -> Result<BesideView, Trouble> {
        let in_use = self.in_use()?;
        Ok(beside(&in_use.rig, &self.guidelines, &in_use.state))
    }

    /// The drawing of a rig that is not entered, as checked just now, with something lost or not.
    pub(crate) fn drawn_now(
        &self,
        rig: &Rig,
        report: &CheckReport,
        lost: Option<&str>,
    ) -> Result<RigDrawing, Trouble> {
        let lost = lost.map(|id| self.fell(rig, &report.main.state, id, CHECK)).transpose()?;
        Ok(drawn(rig, report, &self.people_of(rig), BTreeMap::new(), lost))
    }

    /// The rig in use, its state, and the guidelines.
    pub(crate) fn rig_in_use(&self) -> Result<(&Rig, &str, &Guidelines), Trouble> {
        let in_use = self.in_use()?;
        Ok((&in_use.rig, &in_use.state, &self.guidelines))
    }

    fn in_use(&self) -> Result<&InUse, Trouble> {
        let none = || Trouble::new("no_rig", "no rig was entered yet", "rig", "make one from a template");
        self.in_use.as_ref().ok_or_else(none)
    }

    /// Who holds the rig's roles now.
    fn people_of(&self, rig: &Rig) -> BTreeMap<String, String> {
        let full =
            |role: &str| self.guidelines.role(role).map_or_else(|| role.to_string(), |r| r.role.clone());
        let roles = rig.hands.iter().map(|hand| &hand.role);
        roles.filter_map(|role| Some((role.clone(), self.people.get(&full(role))?.clone()))).collect()
    }

    /// What becomes of a rig in a state when something is lost.
    fn fell(&self, rig: &Rig, state: &str, id: &str, runs: Runs) -> Result<Fell, Trouble> {
        fell(rig, &self.guidelines, state, id, &self.called, runs)
    }
}

/// A check that is to be recorded, worked out before it is.
#[derive(Clone, Debug)]
pub struct Checking {
    rig: Rig,
    state: String,
    guidelines: Guidelines,
    called: Called,
    report: Option<Box<CheckReport>>,
}

impl Checking {
    /// The check of a rig of an operation as it stands.
    pub fn of(state: &State, rig: &RigState) -> Self {
        Self {
            rig: rig.rig.clone(),
            state: rig.state.clone(),
            guidelines: state.guidelines.clone(),
            called: called(state),
            report: None,
        }
    }

    /// Works it out.
    #[must_use]
    pub fn reckoned(self) -> Self {
        let report = Some(self.report());
        Self { report, ..self }
    }

    /// The findings.
    pub(crate) fn report(&self) -> Box<CheckReport> {
        Box::new(check(&self.rig, &self.guidelines, Some(&self.state), &self.called))
    }

    /// The findings that were worked out, if they are of what is wanted; whatever differs makes them worthless.
    pub(crate) fn serves(&self, wanted: &Checking) -> Option<Box<CheckReport>> {
        let same = self.rig == wanted.rig
            && self.state == wanted.state
            && self.guidelines == wanted.guidelines
            && self.called == wanted.called;
        self.report.clone().filter(|_| same)
    }
}

/// What is lost, with what becomes of everything, and how far the load drops.
struct Fell {
    loss: LossFinding,
    parts: Vec<PartFinding>,
    fall: FallFinding,
}

/// What becomes of everything, and how far the load drops; with [`CHECK`] as a check reckons it, so that both say the same.
fn fell(
    rig: &Rig,
    guidelines: &Guidelines,
    of: &str,
    id: &str,
    called: &Called,
    runs: Runs,
) -> Result<Fell, Trouble> {
    let what = engine::what_if(rig, guidelines, Some(of), id);
    let fall = engine::fall_after(rig, guidelines, Some(of), id, called, runs);
    let fell = what.zip(fall).map(|(what, fall)| Fell { loss: what.loss, parts: what.parts, fall });
    fell.ok_or_else(|| {
        Trouble::new(
            "no_part",
            format!("the rig has nothing called “{id}”"),
            id,
            "name a part, a hand or a common cause of this rig",
        )
    })
}

/// The same site and load on other systems, beside the deepest fall of a rig in a state onto one rope.
pub fn beside(rig: &Rig, guidelines: &Guidelines, state: &str) -> BesideView {
    let systems = engine::falls::beside(rig, guidelines, state, CHECK);
    let (clearance, below) = engine::falls::below(rig, state).unwrap_or_default();
    let words = match systems.first() {
            Some(first) => format!(
                "The rope that carries most of the load is lost, as high as the load is drawn. {} ranges of the first are \
                 assumptions: a comparison, no forecast.",
                first.parameters.iter().filter(|p| p.assumed).count()
            ),
            None => "Not checked: in this state no loss lets the load drop onto one rope through a device, so there is \
                 nothing to set beside."
                .into(),
        };
    let picture = fall_beside::systems(&systems, clearance, &below, FALL_WIDTH, FALL_TYPE);
    let ranks = systems.iter().map(|s| fall_beside::ranks(&s.parameters, FALL_WIDTH, FALL_TYPE)).collect();
    BesideView { systems, picture, ranks, words }
}

/// A rig's drawing with these people, something lost or not: for pictures of it outside an operation.
///
/// # Errors
/// When the rig has nothing of that id.
pub fn pictured(
    rig: &Rig,
    guidelines: &Guidelines,
    report: &CheckReport,
    people: &BTreeMap<String, String>,
    lost: Option<&str>,
) -> Result<RigDrawing, Trouble> {
    let lost = lost
        .map(|id| fell(rig, guidelines, &report.main.state, id, &Called::default(), CHECK))
        .transpose()?;
    Ok(drawn(rig, report, people, BTreeMap::new(), lost))
}

/// Width of a fall on the screen, mm, and its type over that of paper: 12 pt is 16 px high beside the rig.
const FALL_WIDTH: f64 = 96.0;
const FALL_TYPE: f64 = 1.5;

fn drawn(
    rig: &Rig,
    report: &CheckReport,
    people: &BTreeMap<String, String>,
    accepted: BTreeMap<String, String>,
    lost: Option<Fell>,
) -> RigDrawing {
    let options = RigDrawingOptions {
        people: people.clone(),
        accepted,
        lost: lost.as_ref().map(|fell| Lost { loss: &fell.loss, parts: &fell.parts, fall: Some(&fell.fall) }),
        ..RigDrawingOptions::window()
    };
    let picture = drawing::rig::draw(rig, &report.main, &options);
    let wide = RigDrawingOptions { width: drawing::rig::WIDE_WIDTH, ..options };
    let wide = drawing::rig::draw(rig, &report.main, &wide).list;
    let (loss, parts, fall) = match lost {
        Some(Fell { loss, parts, fall }) => {
            let picture = drawing::fall::draw(&fall, FALL_WIDTH, FALL_TYPE);
            let ranks = fall.fall_m.map(|_| fall_beside::ranks(&fall.parameters, FALL_WIDTH, FALL_TYPE));
            let first = fall.fall_m.is_some() && fall.runs <= FIRST.count;
            (Some(loss), parts, Some(FallView { finding: fall, picture, ranks, first }))
        }
        None => (None, report.main.parts.clone(), None),
    };
    RigDrawing { list: picture.list, wide: Some(wide), order: picture.order, loss, parts, fall }
}
