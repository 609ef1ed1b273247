//! Key to paint in the real window, in a record of 20 000 entries: from the key of an order to the second frame after its
//! row stands on the line. Run by `cargo xtask bench calls`; `key_to_paint ENTRIES` takes a record of another length.

use ledgebook_tests::long::in_the_window;
use ledgebook_tests::window::key;
use serde_json::{Value, json};

/// Presses that are measured, after a few that are not.
const SAMPLES: usize = 200;
const WARM_UP: usize = 10;

/// Notes, from the moment the key went down (the event's own time, which may be before any script ran): when its row
/// stood on the line, when the second frame after that began, and the same of the row that tells it is on the disk;
/// and after each, how long two frames take when nothing changes: the display's own share.
const WATCH: &str = "
    window.keyToPaint = []
    let press = null
    let rows = []
    const isRow = (node) => node instanceof Element && node.matches(\"[data-testid='row']\")
    const frames = (then) => requestAnimationFrame(() => requestAnimationFrame(() => then(performance.now())))
    const look = () => {
        if (press === null) return
        for (const [at, isSaved] of rows) {
            if (at < press.at) continue
            for (const seen of isSaved ? ['row', 'saved'] : ['row']) {
                if (press[seen] !== undefined) continue
                const of = press
                of[seen] = at - of.at
                frames((now) => {
                    of[seen + 'Painted'] = now - of.at
                    if (of.rowPainted !== undefined && of.savedPainted !== undefined) setTimeout(() => idle(of), 100)
                })
            }
        }
    }
    const idle = (of) => {
        const from = performance.now()
        frames((now) => window.keyToPaint.push([of.rowPainted, of.row, of.savedPainted, of.saved, now - from]))
    }
    addEventListener('keydown', (event) => {
        if (event.key !== 'F8') return
        press = { at: event.timeStamp }
        // The screens may have heard the key first and the row be there.
        rows = rows.filter(([at]) => at >= press.at)
        look()
    }, true)
    new MutationObserver((changes) => {
        const added = changes.flatMap((change) => [...change.addedNodes]).filter(isRow)
        rows.push(...added.map((row) => [performance.now(), row.dataset.state === 'saved']))
        look()
    }).observe(document.querySelector(\"[data-testid='line']\"), { childList: true, subtree: true })
";

/// What is measured, in the order `WATCH` notes it, with its goal if it has one.
const MEASURES: [(&str, Option<f64>); 5] = [
    ("key_to_paint", Some(50.0)),
    ("key_to_row", None),
    ("key_to_saved_paint", None),
    ("key_to_saved_row", None),
    ("two_frames_of_nothing", None),
];

#[tokio::main(flavor = "current_thread")]
async fn main() {
    let (_home, window, _) = in_the_window().await;
    window.control('4').await;
    window.get("line").await;
    window.run(WATCH).await;
    for press in 1..=WARM_UP + SAMPLES {
        window.press(key::function(8)).await;
        window.until(format!("return window.keyToPaint.length >= {press}")).await;
    }
    let measured = window.run("return window.keyToPaint").await;
    let samples = measured.as_array().into_iter().flatten().skip(WARM_UP);
    let samples: Vec<&Value> = samples.collect();
    for (at, (what, goal)) in MEASURES.iter().enumerate() {
        told(what, *goal, samples.iter().filter_map(|sample| sample[at].as_f64()).collect());
    }
    window.close().await;
}

fn told(what: &str, goal_ms: Option<f64>, mut times: Vec<f64>) {
    times.sort_by(f64::total_cmp);
    assert!(times.len() >= 100, "only {} were measured", times.len());
    let (p50, p99) = (at(&times, 0.5), at(&times, 0.99));
    let mut line = json!({ "what": what, "samples": times.len(), "p50_ms": p50, "p99_ms": p99 });
    if let Some(goal) = goal_ms {
        line["goal_ms"] = goal.into();
        line["goal_met"] = (p99 <= goal).into();
    }
    println!("{line}");
}

/// The smallest time that `share` of the times do not pass.
fn at(sorted: &[f64], share: f64) -> f64 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    let rank = (sorted.len() as f64 * share).ceil() as usize;
    sorted[rank.clamp(1, sorted.len()) - 1]
}
