//! Figures in other units: the same report twice, in SI and in feet and pounds. Every figure of the one stands for one of the
//! other, by the factors that define the units; what was said and stored in words is the same in both.

use ledgebook_tests::cli::{run, text_of_pdf};
use ledgebook_tests::place::root;
use rig::units::Units;
use std::path::Path;
use tempfile::tempdir;

/// US unit, SI unit, and how many of the SI unit one is (NIST SP 811, exact).
const PAIRS: [(&str, &str, f64); 4] = [
    ("ft", "m", 0.3048),
    ("lbf", "kN", 0.004_448_221_615_260_5),
    ("lb", "kg", 0.453_592_37),
    ("ft/min", "m/min", 0.3048),
];

/// A figure as it is printed: its number, and half of its last digit.
#[derive(Clone, Copy, Debug)]
struct Figure {
    value: f64,
    half: f64,
}

/// Every number before a unit; a band ("0.4 – 0.9 – 1.6 m") counts its last.
fn figures(text: &str, unit: &str) -> Vec<Figure> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let ends = |c: char| ".,;:)”]".contains(c);
    let number = |pair: &[&str]| {
        let number = pair[0].trim_start_matches(['(', '“', '[']);
        let figure: f64 = number.parse().ok().filter(|_| pair[1].trim_end_matches(ends) == unit)?;
        let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
        let noughts = if decimals == 0 { number.len() - number.trim_end_matches('0').len() } else { 0 };
        let last = 10f64.powi(i32::try_from(noughts).ok()? - i32::try_from(decimals).ok()?);
        Some(Figure { value: figure, half: last / 2.0 })
    };
    words.windows(2).filter_map(number).collect()
}

/// Which of `some` stand for none of `others`, `factor` of whose unit one of theirs is.
fn alone(some: &[Figure], others: &[Figure], factor: f64) -> Vec<Figure> {
    // Either is rounded, and some to one side: a whole last digit of each.
    let fits = |a: &Figure, b: &Figure| {
        (a.value * factor - b.value).abs() <= 2.0 * (a.half * factor + b.half) + 1e-9
    };
    some.iter().filter(|a| !others.iter().any(|b| fits(a, b))).copied().collect()
}

/// A number of a drawing's scale, which counts in its own unit: two digits at most, and no decimals but a half of one.
fn of_a_scale(figure: &Figure) -> bool {
    let digits = format!("{}", figure.value).trim_end_matches('0').replace(['.', '0'], "").len();
    digits <= 2 && figure.value >= 0.0
}

impl Figure {
    /// As it was written, with its unit.
    fn with(&self, unit: &str) -> String {
        let decimals = (-(2.0 * self.half).log10()).round().max(0.0) as usize;
        format!("{:.decimals$} {unit}", self.value)
    }
}

/// Whether a record holds a figure, and not only as the end of a longer one.
fn stored(record: &str, words: &str) -> bool {
    let longer = |at: usize| record[..at].ends_with(|before: char| before.is_ascii_digit() || before == '.');
    record.match_indices(words).any(|(at, _)| !longer(at))
}

/// How many figures of `us_text` stand for one of `si_text`; `record` is what was said and stored in words.
fn held_against(name: &str, si_text: &str, us_text: &str, record: &str) -> usize {
    let mut compared = 0;
    for (us_unit, si_unit, factor) in PAIRS {
        let (us, si) = (figures(us_text, us_unit), figures(si_text, si_unit));
        let kept = figures(us_text, si_unit);
        for figure in figures(si_text, us_unit) {
            let words = figure.with(us_unit);
            assert!(stored(record, &words), "{name}: {words} in the SI report, and nobody stored it");
        }
        for figure in &kept {
            let words = figure.with(si_unit);
            assert!(
                stored(record, &words),
                "{name}: {words} was not converted, and nobody said or stored it"
            );
        }
        let (more, less) = (alone(&us, &si, factor), alone(&si, &us, 1.0 / factor));
        let less = alone(&less, &kept, 1.0);
        assert!(more.iter().chain(&less).all(of_a_scale), "{name}, {us_unit}: {more:?} {si_unit}: {less:?}");
        assert!(more.len() + less.len() <= 24, "{name}: {more:?} and {less:?} are more than scales count");
        compared += us.len() - more.len();
    }
    compared
}

fn pdf(args: &[&str], to: &Path) -> String {
    run(&[args, &["--pdf", &to.to_string_lossy()]].concat()).done();
    text_of_pdf(to)
}

#[test]
fn every_figure_in_feet_and_pounds_is_the_si_one_converted() {
    let dir = tempdir().unwrap();
    let path = |name: &str| dir.path().join(name).to_string_lossy().into_owned();
    let script = root().join("tests/operations/demonstration.json");
    run(&["rehearse", &script.to_string_lossy(), "--out", &dir.path().to_string_lossy()]).done();
    let record = path("operation.ledge");
    let si = text_of_pdf(&dir.path().join("report.pdf"));
    let us = pdf(&["report", &record, "--units", "us"], &dir.path().join("us.pdf"));
    run(&["export", &record, "--to", "jsonl", "--out", &path("record.jsonl")]).done();
    // The factors themselves are told in SI.
    let defined = "1 ft = 0.3048 m, 1 lb = 0.45359237 kg";
    let words = std::fs::read_to_string(path("record.jsonl")).unwrap() + defined;
    let compared = held_against("report", &si, &us, &words);
    assert!(compared > 30, "{compared} figures compared");
    assert!(
        us.contains("force, lbf") && us.contains("height, ft") && us.contains("ft/min while moving"),
        "{us}"
    );
    assert!(us.contains("converted from the record’s SI values") && us.contains("NIST SP 811"), "{us}");
    // The paper says how it was asked for, so its own record proves it.
    let verified = run(&["log", "verify", &path("us.pdf"), "--json"]).done().json();
    assert_eq!(verified["pages"], "same", "{verified}");
    // Nobody's name, and still in feet.
    let nameless = pdf(&["report", &record, "--units", "us", "--no-names"], &dir.path().join("nameless.pdf"));
    assert!(nameless.contains("force, lbf") && nameless.contains("names removed"));
    // The forms.
    for units in ["si", "us"] {
        run(&["export", &record, "--to", "forms", "--out", &path(units), "--units", units]).done();
    }
    let form = |units: &str| text_of_pdf(&dir.path().join(units).join("ics-201.pdf"));
    assert!(held_against("ICS 201", &form("si"), &form("us"), &words) > 0);
    // The measures in words; in JSON they are SI whatever is asked for.
    let review = |units: &str| run(&["review", &record, "--units", units]).done().out;
    assert!(held_against("review", &review("si"), &review("us"), &words) > 3);
    // The screen says what the paper says, figure by figure.
    for (units, paper) in [(Units::Si, &si), (Units::Us, &us)] {
        let compared = on_screen(Path::new(&record), units, paper);
        assert!(compared > 8, "{compared} figures of the screen in {units:?}");
    }
    let json =
        |units: &str| run(&["review", &record, "--units", units, "--json"]).done().json()["measures"].clone();
    assert_eq!(json("si"), json("us"));
}

/// How many figures with a length of the review screen, its replay among them, stand on paper word for word; all must.
fn on_screen(record: &Path, units: Units, paper: &str) -> usize {
    let session = service::Session::look(record).expect("a record");
    let view = service::review::view(&session, session.state.last_line_ms(), units);
    let on_paper = |words: &str| {
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(paper.contains(&words), "{words} is not on paper in {units:?}");
    };
    let mut compared = 0;
    for table in
        view.tables.iter().filter(|t| ["Speed between called heights", "Rope left"].contains(&&*t.head))
    {
        for row in &table.rows {
            on_paper(&row.words);
            on_paper(&row.value);
            compared += 1;
        }
    }
    // Each height stands in a row of the speeds, from one to the next.
    view.tape.heights.iter().skip(1).take(3).for_each(|(_, _, words)| on_paper(&format!("to {words} out")));
    for line in view.tape.ropes.last().iter().flat_map(|ropes| &ropes.lines) {
        let unit = units.unit(rig::units::Kind::Length);
        assert!(line.left_m.is_none() || line.words.ends_with(&format!(" {unit} left")), "{}", line.words);
    }
    compared
}

/// The test itself: a figure that is a little off stands for nothing.
#[test]
fn a_figure_that_is_off_is_seen() {
    let si = figures("edge 22 m, load 250 kg, 1.56 of 17.1 kN", "m");
    assert!(alone(&figures("edge 72.2 ft", "ft"), &si, 0.3048).is_empty());
    let off = alone(&figures("edge 82.4 ft", "ft"), &si, 0.3048);
    assert!(off.len() == 1 && !of_a_scale(&off[0]), "{off:?}");
    assert!(
        of_a_scale(&Figure { value: 120.0, half: 5.0 }) && of_a_scale(&Figure { value: 0.5, half: 0.05 })
    );
    assert_eq!(figures("1.56 of 17.1 kN (0.5 kN)", "kN").len(), 2);
}
