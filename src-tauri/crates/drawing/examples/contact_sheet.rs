//! Writes every mark, every pattern and a drawing of each template as SVG into a folder, to look at:
//! `cargo run -p drawing --example contact_sheet -- FOLDER`.

#[path = "../tests/fixtures/mod.rs"]
mod fixtures;

use drawing::pattern::{self, Axis, MOTIONS, Stretch};
use drawing::{DisplayList, Mark, Type, size, svg};
use std::path::{Path, PathBuf};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).map_or_else(|| PathBuf::from("contact-sheet"), PathBuf::from);
    std::fs::create_dir_all(&folder)?;
    save(&folder, "marks", &marks())?;
    save(&folder, "patterns", &patterns())?;
    save(&folder, "picture", &picture())?;
    save(&folder, "charts", &charts())?;
    for (i, piece) in drawing::line::pieces(&fixtures::line(), 241.0, 252.0).iter().enumerate() {
        save(&folder, &format!("line-{}", i + 1), &piece.list)?;
    }
    rigs(&folder)
}

fn rigs(folder: &Path) -> std::io::Result<()> {
    use drawing::rig::{Form, Lost, RigDrawingOptions, draw};
    use fixtures::rigs::{findings, loss, lower, people, raise};
    let paper = || RigDrawingOptions { people: people(), height: 235.0, ..RigDrawingOptions::default() };
    for (name, rig) in [
        ("lower", lower(38.0, 12.0, 250.0)),
        ("raise", raise(38.0, 20.0, 250.0)),
        ("low", lower(1.0, 0.4, 80.0)),
    ] {
        let (found, (lost, parts)) = (findings(&rig), loss(&rig));
        let mut critical = found.clone();
        critical.critical_parts = vec!["knot_1".into()];
        save(folder, &format!("rig-{name}"), &draw(&rig, &critical, &paper()).list)?;
        save(folder, &format!("rig-{name}-small"), &drawing::rig::small(&rig, &critical, 46.0))?;
        let screen = RigDrawingOptions { form: Form::Screen { scale: 1.5 }, height: 200.0, ..paper() };
        save(folder, &format!("rig-{name}-screen"), &draw(&rig, &found, &screen).list)?;
        let screen =
            RigDrawingOptions { lost: Some(Lost { loss: &lost, parts: &parts, fall: None }), ..screen };
        save(folder, &format!("rig-{name}-lost"), &draw(&rig, &found, &screen).list)?;
    }
    templates(folder)
}

/// Each template in each of its states, on paper and in the window; in the window with rope one lost too.
fn templates(folder: &Path) -> std::io::Result<()> {
    use drawing::rig::{Lost, RigDrawingOptions, draw, small};
    let guidelines = fixtures::guidelines();
    for template in rig::templates::list() {
        let Ok(rig) = rig::templates::make(template.name, &std::collections::BTreeMap::new()) else {
            continue;
        };
        let report = engine::check(&rig, &guidelines, None);
        save(folder, &format!("{}-small", template.name), &small(&rig, &report.main, 46.0))?;
        for state in std::iter::once(&report.main).chain(&report.other_states) {
            let name = format!("{}-{}", template.name, state.state);
            let people = fixtures::rigs::people();
            let paper = RigDrawingOptions { people, height: 235.0, ..RigDrawingOptions::default() };
            save(folder, &name, &draw(&rig, state, &paper).list)?;
            let window =
                RigDrawingOptions { people: fixtures::rigs::people(), ..RigDrawingOptions::window() };
            save(folder, &format!("{name}-window"), &draw(&rig, state, &window).list)?;
            let Some(what) = engine::what_if(&rig, &guidelines, Some(&state.state), "rope_one") else {
                continue;
            };
            let lost = Some(Lost { loss: &what.loss, parts: &what.parts, fall: None });
            let window = RigDrawingOptions { lost, ..window };
            save(folder, &format!("{name}-lost"), &draw(&rig, state, &window).list)?;
        }
    }
    Ok(())
}

fn charts() -> DisplayList {
    let mut list = DisplayList::new(180.0, 6.0);
    for (_, chart) in fixtures::charts() {
        list.place(&chart, 3.0, list.height);
        list.height += chart.height + 8.0;
    }
    list
}

fn picture() -> DisplayList {
    let picture = drawing::picture::draw(&fixtures::lower_and_raise(), 174.0, 34.0).list;
    let mut list = DisplayList::new(180.0, picture.height + 16.0);
    list.place(&picture, 3.0, 3.0);
    list.place(&drawing::picture::legend(174.0), 3.0, picture.height + 5.0);
    list
}

fn save(folder: &Path, name: &str, list: &DisplayList) -> std::io::Result<()> {
    for (look, palette) in [("paper", svg::PAPER), ("day", svg::DAY)] {
        std::fs::write(folder.join(format!("{name}-{look}.svg")), svg::write(list, &palette))?;
    }
    Ok(())
}

fn marks() -> DisplayList {
    let mut list = DisplayList::new(120.0, 70.0);
    for (i, mark) in Mark::all().enumerate() {
        let (x, y) = (4.0 + 40.0 * (i / 8) as f64, 6.0 + 8.0 * (i % 8) as f64);
        mark.draw(&mut list, x, y, 5.0);
        mark.draw(&mut list, x + 5.5, y, drawing::MARK);
        list.text((x + 8.0, y + 1.0), mark.word(), Type::bold(size::S));
    }
    list
}

fn patterns() -> DisplayList {
    let mut list = DisplayList::new(174.0, 110.0);
    let all = MOTIONS
        .iter()
        .flat_map(|(motion, _, words)| [(*motion, false, *words), (*motion, true, *words)])
        .filter(|(motion, slow, _)| !slow || pattern::has_slow(*motion));
    for (i, (motion, slow, words)) in all.enumerate() {
        let x = 4.0 + 14.0 * i as f64;
        let down = Stretch { x, y: 6.0, w: 5.0, h: 30.0, axis: Axis::Down, ends: true };
        pattern::draw(&mut list, motion, slow, down);
        for (k, length) in [0.5, 1.0, 2.0, 3.4, 5.0].into_iter().enumerate() {
            let y = 40.0 + 2.0 * k as f64 + [0.0, 0.5, 1.5, 3.5, 6.9][k];
            pattern::draw(&mut list, motion, slow, Stretch { y, h: length, ..down });
        }
        let words = if slow { "slow" } else { words };
        list.text((x - 2.0, 4.0 - 0.2 * f64::from(u8::from(slow))), words, Type::regular(5.0));
        let (column, row) = (i % 2, i / 2);
        let y = 64.0 + 6.5 * row as f64;
        let x = 4.0 + 85.0 * column as f64;
        for (at, w) in [(0.0, 30.0), (32.0, 6.0), (40.0, 3.4), (46.0, 1.6), (50.0, 0.6)] {
            let across = Stretch { x: x + at, y, w, h: 4.0, axis: Axis::Across, ends: true };
            pattern::draw(&mut list, motion, slow, across);
        }
        list.text((x + 53.0, y + 3.0), words, Type::regular(size::XS));
    }
    pattern::key(&mut list, 0.0, 104.0, 174.0);
    list
}
