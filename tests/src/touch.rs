//! What a scribe does with a finger alone: every step is a touch on something large enough and in sight. Letters come from
//! the system's screen keyboard, which fills a field without any key of ours.

use crate::scribe;
use crate::window::Window;
use std::path::Path;

/// Touches what a CSS selector finds. It must be as large as a gloved finger needs and lie on top.
///
/// # Panics
/// When it does not come, is too small, or lies under something else.
pub async fn touch(window: &Window, css: &str) {
    let element = window.find(css.to_string()).await;
    let large = format!(
        "const e = document.querySelector({css:?}); e.scrollIntoView({{block: 'nearest'}}); \
         const b = (e.closest('label') ?? e).getBoundingClientRect(); \
         const top = document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2); \
         return b.height >= 47.5 && b.width >= 47.5 && (e.closest('label') ?? e).contains(top)"
    );
    window.until(large).await;
    window.touched(element).await;
}

/// Touches the element of this name.
pub async fn touch_id(window: &Window, id: &str) {
    touch(window, &format!("[data-testid='{id}']")).await;
}

/// Fills a field as a screen keyboard does.
pub async fn fills(window: &Window, id: &str, text: &str) {
    touch_id(window, id).await;
    let script = format!(
        "const e = document.querySelector(\"[data-testid='{id}']\"); e.value = {text:?}; \
         e.dispatchEvent(new InputEvent('input', {{bubbles: true}})); return true"
    );
    window.run(&script).await;
}

/// Touches the option of an open list that shows these words.
pub async fn picks(window: &Window, field: &str, words: &str) {
    touch_id(window, field).await;
    let named = format!(
        "const all = [...document.querySelectorAll('[role=option]')]; \
         const one = all.find((o) => o.innerText.includes({words:?})); \
         document.querySelectorAll('[data-touch]').forEach((o) => o.removeAttribute('data-touch')); \
         if (!one) document.querySelector(\"[data-testid='{field}-more']\")\
         ?.dispatchEvent(new PointerEvent('pointerdown', {{bubbles: true, pointerType: 'touch'}})); \
         one?.setAttribute('data-touch', 'here'); return one !== undefined"
    );
    window.until(named).await;
    touch(window, "[data-touch='here']").await;
}

/// Touches something that records at once.
pub async fn records(window: &Window, id: &str) {
    let before = scribe::saved(window).await;
    touch_id(window, id).await;
    scribe::until_saved(window, before + 1).await;
}

/// Touches the key among those that change with the motion that shows these words.
pub async fn calls_also(window: &Window, words: &str) {
    let named = format!(
        "const one = [...document.querySelectorAll(\"[data-testid^='also-']\")].find((o) => o.innerText.trim().startsWith({words:?})); \
         document.querySelectorAll('[data-touch]').forEach((o) => o.removeAttribute('data-touch')); \
         one?.setAttribute('data-touch', 'here'); return one !== undefined"
    );
    window.until(named).await;
    let before = scribe::saved(window).await;
    touch(window, "[data-touch='here']").await;
    scribe::until_saved(window, before + 1).await;
}

/// Everyone who is waited for answers, one touch each.
pub async fn all_answer(window: &Window, slots: usize) {
    for left in (0..slots).rev() {
        scribe::waits_for(window, left + 1).await;
        // A place that changed hands a moment ago keeps the touch for who stood there before.
        tokio::time::sleep(std::time::Duration::from_millis(400)).await;
        records(window, "slot").await;
    }
    scribe::waits_for(window, 0).await;
}

/// Closes the operation and has the report written; answers where it lies.
pub async fn closes_and_reports(window: &Window) -> String {
    touch_id(window, "rail-review").await;
    touch_id(window, "review-close").await;
    touch_id(window, "review-close-confirm").await;
    window.get("review-another").await;
    touch_id(window, "review-report").await;
    window.find("[data-testid='review-report-path'][data-state='written']".into()).await;
    let script = "return document.querySelector(\"[data-testid='review-report-path'] bdi\").innerText";
    let file = window.run(script).await.as_str().unwrap_or_default().to_string();
    assert!(Path::new(&file).is_file(), "the report is said to lie in {file:?}");
    file
}
