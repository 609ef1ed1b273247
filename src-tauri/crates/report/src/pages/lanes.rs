//! Lanes of roles over time, with the motion below on the same axis.

use super::{counted_to, extent};
use crate::input::ReportInput;
use crate::kit::rich::cut;
use crate::kit::{Book, MEASURE, Page, Rich};
use crate::words::Clock;
use drawing::list::{Face, Ink};
use drawing::moment::{Axis, Local};
use drawing::{Stroke, Type, metrics, pen, size};

/// Room of the role's name.
const GUTTER: f64 = 40.0;
/// Height of a lane.
const LANE: f64 = 4.8;
/// Height of strip, axis and air below the lanes.
const FOOT: f64 = 1.4 + 5.6 + 8.0;

/// A role held, or vacant, with its end.
#[derive(Clone, Debug)]
pub struct Spell {
    /// The role.
    pub role: String,
    /// Who; `None`: vacant.
    pub person: Option<String>,
    /// From.
    pub from: i64,
    /// To.
    pub to: i64,
}

/// Every duty with its end.
pub fn spells(input: &ReportInput) -> Vec<Spell> {
    let (start, end) = extent(input);
    input
        .duties
        .iter()
        .map(|duty| {
            let from = duty.from_ms.clamp(start, end);
            let to = duty.to_ms.unwrap_or(counted_to(input)).clamp(from, end);
            Spell { role: duty.role.clone(), person: duty.person.clone(), from, to }
        })
        .collect()
}

/// "tailer 16:41 to 17:24".
pub fn vacant(spells: &[Spell], clock: Clock) -> Vec<String> {
    let vacant = spells.iter().filter(|spell| spell.person.is_none());
    vacant.map(|s| format!("{} {} to {}", s.role, clock.hm(s.from), clock.hm(s.to))).collect()
}

/// "control 16:52:30, from Łucja Brzęk to Rūta Žemaitytė": one person after another.
pub fn handed_over(spells: &[Spell], clock: Clock) -> Vec<String> {
    let mut out = Vec::new();
    for (i, before) in spells.iter().enumerate() {
        let Some(gave) = &before.person else { continue };
        let next = spells[i + 1..].iter().find(|s| s.role == before.role && s.person.is_some());
        if let Some(next) = next
            && let Some(took) = &next.person
            && took != gave
            && next.from >= before.to
            && next.from - before.to < 60_000
        {
            out.push(format!("{} {}, from {gave} to {took}", before.role, clock.hms(next.from)));
        }
    }
    out
}

/// "Anneke de Wit, tailer and scribe, 16:41 to 17:24": two roles at once.
pub fn doubled(spells: &[Spell], clock: Clock) -> Vec<String> {
    let mut out = Vec::new();
    for (i, a) in spells.iter().enumerate() {
        for b in &spells[i + 1..] {
            let (from, to) = (a.from.max(b.from), a.to.min(b.to));
            if a.person.is_some() && a.person == b.person && a.role != b.role && to - from > 1000 {
                let person = a.person.as_deref().unwrap_or("");
                let span = format!("{} to {}", clock.hm(from), clock.hm(to));
                out.push(format!("{person}, {} and {}, {span}", a.role, b.role));
            }
        }
    }
    out
}

/// A spell with its place on the axis and the place of its name.
struct Placed {
    spell: Spell,
    /// Start and end tick.
    ticks: (f64, f64),
    /// The name as shown.
    name: String,
    /// Where the name stands.
    side: Side,
    /// What the spell takes of its lane, name included.
    taken: (f64, f64),
}

/// Where a name stands beside the ticks of its spell.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Inside,
    Before,
    After,
}

impl Placed {
    fn new(spell: &Spell, axis: &Axis) -> Self {
        let (a, b) = (axis.at(spell.from), axis.at(spell.to));
        let face = if spell.person.is_some() { Face::Regular } else { Face::Bold };
        let whole = spell.person.as_deref().unwrap_or("vacant");
        let wide = |name: &str| metrics::width(name, face, size::S) + 2.4;
        let (before, after) = (a - axis.x, axis.x + axis.width - b);
        let side = if wide(whole) <= b - a || (b - a >= before && b - a >= after) {
            Side::Inside
        } else if wide(whole) <= after || after >= before {
            Side::After
        } else {
            Side::Before
        };
        let room = match side {
            Side::Inside => b - a,
            Side::After => after,
            Side::Before => before,
        };
        let name = cut(whole, room - 2.4, size::S, face);
        let taken = match side {
            Side::Inside => (a, b),
            Side::After => (a, b + wide(&name)),
            Side::Before => (a - wide(&name), b),
        };
        Placed { spell: spell.clone(), ticks: (a, b), name, side, taken }
    }
}

/// The lanes of one role: spells that do not touch share one.
struct RoleLanes {
    role: String,
    lanes: Vec<Vec<Placed>>,
    height: f64,
}

fn role_lanes(spells: &[Spell], axis: &Axis) -> Vec<RoleLanes> {
    let mut out: Vec<RoleLanes> = Vec::new();
    for spell in spells {
        let at = out.iter().position(|lanes| lanes.role == spell.role).unwrap_or_else(|| {
            out.push(RoleLanes { role: spell.role.clone(), lanes: Vec::new(), height: 0.0 });
            out.len() - 1
        });
        let placed = Placed::new(spell, axis);
        let free = |lane: &Vec<Placed>| {
            lane.iter()
                .all(|other| other.taken.1 <= placed.taken.0 + 0.1 || placed.taken.1 <= other.taken.0 + 0.1)
        };
        let lanes = &mut out[at].lanes;
        match lanes.iter().position(free) {
            Some(lane) => lanes[lane].push(placed),
            None => lanes.push(vec![placed]),
        }
    }
    for role in &mut out {
        let lines = Rich::new().bold(&role.role).wrap(GUTTER - 2.0, size::S).len();
        role.height = (role.lanes.len() as f64 * LANE).max(lines as f64 * 3.6 + 1.2);
    }
    out
}

/// Sets the lanes, over as many pages as they take, each with its own motion strip and axis.
pub fn set(book: &mut Book, input: &ReportInput) {
    let (start, end) = extent(input);
    let x = book.left();
    let axis = Axis { x: x + GUTTER, width: MEASURE - GUTTER, start_ms: start, end_ms: end };
    let roles = role_lanes(&spells(input), &axis);
    let mut begun = false;
    for role in &roles {
        let mut done = 0;
        while done < role.lanes.len() {
            let room = ((book.room() - FOOT) / LANE).floor().max(0.0) as usize;
            let whole = role.height + FOOT <= book.room();
            // A role is not cut, unless it alone takes more than half a page.
            if begun && !whole && (room < 12 || role.lanes.len() < 24) && !book.at_top() {
                foot(book, input, &axis);
                book.same_section();
                continue;
            }
            let take = room.max(1).min(role.lanes.len() - done);
            one_role(book, role, (done, take));
            done += take;
            begun = true;
        }
    }
    foot(book, input, &axis);
}

fn one_role(book: &mut Book, role: &RoleLanes, (from, take): (usize, usize)) {
    let (x, y) = (book.left(), book.y);
    let page = book.page();
    let name = Rich::new().bold(&role.role).wrap(GUTTER - 2.0, size::S);
    page.lines((x, y + 3.5 - metrics::baseline(size::S, 3.6)), &name, size::S);
    for (k, lane) in role.lanes.iter().skip(from).take(take).enumerate() {
        for placed in lane {
            draw_spell(page, placed, y + k as f64 * LANE);
        }
    }
    book.y += (take as f64 * LANE).max(name.len() as f64 * 3.6 + 1.2);
}

/// A tick where it starts, the name, a line to the tick where it ends. Vacant: dashed and rubric.
fn draw_spell(page: &mut Page, placed: &Placed, y: f64) {
    let (a, b) = placed.ticks;
    let held = placed.spell.person.is_some();
    let ink = if held { Ink::Ink } else { Ink::Rubric };
    page.line((a, y + 0.8), (a, y + 4.0), Stroke::solid(ink, pen::MED));
    page.line((b, y + 0.8), (b, y + 4.0), Stroke::solid(ink, pen::FINE));
    let face = if held { Face::Regular } else { Face::Bold };
    let set = Type { face, ..Type::regular(size::S).ink(ink) };
    let start = match placed.side {
        Side::Inside => a + 2.2 + page.text((a + 1.2, y + 3.5), &placed.name, set),
        Side::After => {
            page.text((b + 1.2, y + 3.5), &placed.name, set);
            a
        }
        Side::Before => {
            page.text((a - 1.2, y + 3.5), &placed.name, set.end());
            a
        }
    };
    if b - start > 0.5 {
        let stroke = Stroke::solid(ink, pen::FINE);
        let stroke = if held { stroke } else { stroke.dashed(1.2, 0.8) };
        page.line((start, y + 2.4), (b, y + 2.4), stroke);
    }
}

fn foot(book: &mut Book, input: &ReportInput, axis: &Axis) {
    let x = book.left();
    book.y += 1.4;
    let y = book.y;
    let page = book.page();
    page.bold(x, y + 3.3, "motion", size::S);
    super::strip(page, input, axis, y, 4.4);
    axis.draw(page, y + 5.8, Local(input.operation.offset_min));
    book.y += 5.6 + 8.0;
}
