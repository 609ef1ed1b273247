//! Key to paint in the real window: from the key of an order to the second frame after its row stands on
//! the line. Run by `cargo xtask bench calls`.

use ledgebook_tests::scribe;
use ledgebook_tests::window::{Window, key};
use serde_json::Value;

/// Presses that are measured, after a few that are not.
const SAMPLES: usize = 200;
const WARM_UP: usize = 10;

/// Notes when the key went down, when a row came for it, and when the second frame after that began.
const WATCH: &str = "
    window.keyToPaint = []
    let pressed = null
    addEventListener('keydown', (event) => { if (event.key === 'F8') pressed = performance.now() }, true)
    const isRow = (node) => node instanceof Element && node.matches(\"[data-testid='row']\")
    new MutationObserver((changes) => {
        if (pressed === null || !changes.some((change) => [...change.addedNodes].some(isRow))) return
        const from = pressed
        pressed = null
        requestAnimationFrame(() => requestAnimationFrame(() => window.keyToPaint.push(performance.now() - from)))
    }).observe(document.querySelector(\"[data-testid='line']\"), { childList: true, subtree: true })
";

#[tokio::main(flavor = "current_thread")]
async fn main() {
    let home = tempfile::tempdir().expect("a folder of its own");
    let window = Window::open(home.path(), None).await;
    scribe::starts_operation(&window, "Bench", "Bench", "20").await;
    window.control('4').await;
    window.get("line").await;
    window.run(WATCH).await;
    for press in 1..=WARM_UP + SAMPLES {
        window.press(key::function(8)).await;
        window.until(format!("return window.keyToPaint.length >= {press}")).await;
    }
    let measured = window.run("return window.keyToPaint").await;
    let mut times: Vec<f64> =
        measured.as_array().into_iter().flatten().skip(WARM_UP).filter_map(Value::as_f64).collect();
    times.sort_by(f64::total_cmp);
    assert!(times.len() >= 100, "only {} were measured", times.len());
    let (median, p99) = (at(&times, 0.5), at(&times, 0.99));
    println!(
        "{{\"what\":\"key_to_paint\",\"samples\":{},\"p50_ms\":{median:.1},\"p99_ms\":{p99:.1},\"goal_ms\":50,\"goal_met\":{}}}",
        times.len(),
        p99 <= 50.0
    );
    window.close().await;
}

/// The smallest time that `share` of the times do not pass.
fn at(sorted: &[f64], share: f64) -> f64 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    let rank = (sorted.len() as f64 * share).ceil() as usize;
    sorted[rank.clamp(1, sorted.len()) - 1]
}
