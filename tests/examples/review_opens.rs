//! How soon the review stands in the real window, in a record of 20 000 entries: from its key to the second frame after its measures
//! stand, ten times. Run by `cargo xtask bench report`; `review_opens ENTRIES` takes a record of another length.

use ledgebook_tests::long::in_the_window;
use serde_json::{Value, json};

/// How often it is opened; the first time is the slowest, and counts.
const TIMES: usize = 10;
const GOAL_MS: f64 = 500.0;

/// Notes, from the time of the key's own event, when the second frame after the measures stood began.
const WATCH: &str = "
    window.opened = []
    let press = null
    const look = () => {
        if (press === null || !document.querySelector(\"[data-testid='review-measure']\")) return
        const of = press
        press = null
        requestAnimationFrame(() => requestAnimationFrame((began) => window.opened.push(began - of)))
    }
    addEventListener('keydown', (event) => { if (event.ctrlKey && event.key === '5') { press = event.timeStamp; look() } }, true)
    new MutationObserver(look).observe(document.body, { childList: true, subtree: true })
";

#[tokio::main(flavor = "current_thread")]
async fn main() {
    let (_home, window, entries) = in_the_window().await;
    window.run(WATCH).await;
    for time in 1..=TIMES {
        window.control('4').await;
        window.get("line").await;
        window.control('5').await;
        window.until(format!("return window.opened.length >= {time}")).await;
    }
    let opened = window.run("return window.opened").await;
    let mut times: Vec<f64> = opened.as_array().into_iter().flatten().filter_map(Value::as_f64).collect();
    assert_eq!(times.len(), TIMES);
    times.sort_by(f64::total_cmp);
    let (middle, worst) = (times[TIMES / 2], times[TIMES - 1]);
    println!(
        "{}",
        json!({
            "what": "review_opens", "entries": entries, "times": TIMES, "middle_ms": middle, "worst_ms": worst,
            "goal_ms": GOAL_MS, "goal_met": worst <= GOAL_MS,
        })
    );
    window.close().await;
}
