//! ICS 208, Safety Message/Plan.

use super::briefing::fact;
use super::frame::{self, Kind, paragraphs, title};
use crate::input::ReportInput;
use crate::kit::{Book, Rich};
use crate::pages::said;
use crate::words;
use drawing::{pen, size};
use rig::findings::CAUTION;

/// Which form.
pub const KIND: Kind = Kind {
    number: "ICS 208",
    title: "Safety Message/Plan",
    prepared: "5. Prepared by",
    by: "safety officer",
    turned: false,
};

/// Fills it.
pub fn set(input: &ReportInput) -> Book {
    let mut book = frame::book(&KIND, input);
    title(&mut book, "3. Safety Message/Expanded Safety Message, Safety Plan, Site Safety Plan", "");
    paragraphs(&mut book, &message(input));
    title(&mut book, "4. Site Safety Plan Required?", "");
    let (x, y) = (book.left(), book.y);
    let page = book.page();
    for (at, answer) in [(0.0, "Yes"), (16.0, "No")] {
        page.rect(
            x + at,
            y + 0.6,
            2.8,
            2.8,
            None,
            Some(drawing::Stroke::solid(drawing::list::Ink::Ink, pen::FINE)),
        );
        page.regular(x + at + 4.2, y + 3.0, answer, size::S);
    }
    let used = page.regular(x + 40.0, y + 3.0, "Approved Site Safety Plan(s) Located At:", size::S);
    page.rule(x + 42.0 + used, y + 4.2, 174.0 - 42.0 - used, pen::HAIR);
    book.y += 8.0;
    frame::finish(&mut book, &KIND, input, &frame::name_and_period(input));
    book
}

/// Hazards with what is done about them, conditions, the rigs' open points, the caution.
fn message(input: &ReportInput) -> Vec<Rich> {
    let mut out = Vec::new();
    for head in ["hazards", "weather", "light"] {
        let name = format!("{} ", words::capital(head));
        out.push(match fact(input, head) {
            Some(text) => Rich::new().bold(name).plain(text),
            None => Rich::new().bold(name).plain("none entered"),
        });
    }
    out.push(Rich::new().bold("Rigs ").then(said::critical(input)));
    for rig in &input.rigs {
        for (_, whole, _) in said::rig_lines(rig) {
            out.push(Rich::new().plain(format!("{}: ", words::capital(&rig.name))).then(whole));
        }
    }
    out.push(
        Rich::new().bold("Caution ").plain(format!("{CAUTION} “Not checked” means unknown, never good.")),
    );
    out
}
