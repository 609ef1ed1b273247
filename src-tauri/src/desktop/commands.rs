//! What the screens may call. Each command hands one closure to the desk and waits for its answer
//! without holding up the window.

use super::desk::{Answer, Desk};
use serde_json::Value;
use service::folder::NewOperation;
use service::paper::Units;
use service::rig_draft::Edit;
use service::wire::{
    Acked, Asked, BesideView, Candidate, CompareView, Health, LineRow, Records, ReviewView, RigDraft,
    RigDrawing, Sifted, Start, SumAnswer, SumView, TemplateView, Trouble, View,
};
use std::collections::BTreeMap;
use tauri::State;

type AtDesk<'a> = State<'a, Desk>;

/// The first screen: what is there, and what went wrong with a file named at the start.
#[tauri::command]
pub async fn start(desk: AtDesk<'_>) -> Answer<Start> {
    desk.ask(|bench| bench.start()).await
}

/// Makes a new operation file in the folder and opens it.
#[tauri::command]
pub async fn new_operation(
    desk: AtDesk<'_>,
    name: String,
    place: String,
    purpose: String,
    edge_height: Option<String>,
) -> Answer<View> {
    desk.ask(move |bench| {
        let edge_height = edge_height.as_deref();
        bench.new_operation(&NewOperation { name: &name, place: &place, purpose: &purpose, edge_height })
    })
    .await
}

/// Opens an operation file.
#[tauri::command]
pub async fn open_operation(desk: AtDesk<'_>, file: String) -> Answer<View> {
    desk.ask(move |bench| bench.open_operation(file.as_ref())).await
}

/// Puts the open file away and goes back to the first screen.
#[tauri::command]
pub async fn close_file(desk: AtDesk<'_>) -> Answer<Start> {
    desk.ask(|bench| bench.close_file()).await
}

/// Everything as of now.
#[tauri::command]
pub async fn view(desk: AtDesk<'_>) -> Answer<View> {
    desk.ask(|bench| bench.view()).await
}

/// Records one step; answers once it is on disk. The same `key` is recorded once, however often it is sent.
#[tauri::command]
pub async fn act(desk: AtDesk<'_>, step: Value, key: Option<String>) -> Answer<Acked> {
    desk.ask(move |bench| bench.act(&step, key.as_deref())).await
}

/// Writes from now on, the program that wrote being gone.
#[tauri::command]
pub async fn take_over(desk: AtDesk<'_>) -> Answer<View> {
    desk.ask(|bench| bench.take_over()).await
}

/// What the free line could mean.
#[tauri::command]
pub async fn complete(desk: AtDesk<'_>, line: String) -> Answer<Vec<Candidate>> {
    desk.ask(move |bench| bench.complete(&line)).await
}

/// Rows of the line by place, the oldest being 0.
#[tauri::command]
pub async fn rows(desk: AtDesk<'_>, from: usize, count: usize) -> Answer<Vec<LineRow>> {
    desk.ask(move |bench| bench.rows(from, count)).await
}

/// Rows of a part of the line by place; without `from` the last ones.
#[tauri::command]
pub async fn sifted(desk: AtDesk<'_>, asked: Asked, from: Option<usize>, count: usize) -> Answer<Sifted> {
    desk.ask(move |bench| bench.sifted(&asked, from, count)).await
}

/// The rigs that can be made.
#[tauri::command]
pub async fn templates(desk: AtDesk<'_>) -> Answer<Vec<TemplateView>> {
    desk.ask(|bench| bench.templates()).await
}

/// A rig as it would be, before it is entered.
#[tauri::command]
pub async fn rig_preview(
    desk: AtDesk<'_>,
    template: String,
    set: BTreeMap<String, String>,
) -> Answer<RigDrawing> {
    let look = desk.ask(|bench| bench.rig_look()).await?;
    apart(move || look.preview(&template, &set)).await
}

/// The rig in use, or what is left of it when `lost` is lost; `first`: with the first figures of the fall, which are there at once.
#[tauri::command]
pub async fn rig_drawing(desk: AtDesk<'_>, lost: Option<String>, first: bool) -> Answer<RigDrawing> {
    let look = desk.ask(|bench| bench.rig_look()).await?;
    apart(move || look.drawing(lost.as_deref(), first)).await
}

/// The rig in use after edits that are not recorded, and what is left of it when `lost` is lost.
#[tauri::command]
pub async fn rig_draft(desk: AtDesk<'_>, edits: Vec<Edit>, lost: Option<String>) -> Answer<RigDraft> {
    let look = desk.ask(|bench| bench.rig_look()).await?;
    apart(move || service::rig_draft::draft(&look, &edits, lost.as_deref())).await
}

/// The same site and load on other systems.
#[tauri::command]
pub async fn rig_beside(desk: AtDesk<'_>) -> Answer<BesideView> {
    let look = desk.ask(|bench| bench.rig_look()).await?;
    apart(move || look.beside()).await
}

/// Works out a check of a rig (`None`: the one in use) ahead of its being recorded, so that no call waits for it.
#[tauri::command]
pub async fn reckon_check(desk: AtDesk<'_>, rig: Option<String>) -> Answer<()> {
    let Some(checking) = desk.ask(move |bench| bench.wanted_check(rig.as_deref())).await? else {
        return Ok(());
    };
    let reckoned = apart(move || Ok(checking.reckoned())).await?;
    desk.ask(|bench| bench.ready(reckoned)).await
}

/// Works something out apart from the writer thread.
async fn apart<T, W>(work: W) -> Answer<T>
where
    T: Send + 'static,
    W: FnOnce() -> Answer<T> + Send + 'static,
{
    tauri::async_runtime::spawn_blocking(work).await.unwrap_or_else(|_| Err(fault()))
}

/// A fault of ours in what was only to be shown or made ready: nothing is lost by it.
fn fault() -> Trouble {
    Trouble {
        code: "fault".into(),
        what: "a fault of the program's own; nothing that is recorded is touched by it".into(),
        place: "the last thing asked".into(),
        remedy: "Ask again. If it comes back, go on without: calls are recorded all the same.".into(),
    }
}

/// What each working figure asks for.
#[tauri::command]
pub async fn sums() -> Answer<Vec<SumView>> {
    Ok(service::sums::page())
}

/// A working figure from what was typed.
#[tauri::command]
pub async fn sum(name: String, set: BTreeMap<String, String>) -> Answer<SumAnswer> {
    service::sums::ask(&name, &set)
}

/// What happened, measured, its figures in these units (SI without them).
#[tauri::command]
pub async fn review(desk: AtDesk<'_>, units: Option<Units>) -> Answer<ReviewView> {
    desk.ask(move |bench| bench.review(units.unwrap_or_default())).await
}

/// The open operation beside the last ones of its team in the same folder. Other files are read apart from the desk: no entry
/// waits for them.
#[tauri::command]
pub async fn compare(desk: AtDesk<'_>) -> Answer<CompareView> {
    let file = desk.ask(|bench| bench.file()).await?;
    service::review::compare(&file)
}

/// All operations of the folder, with what `find` asks for; read apart from the desk, too.
#[tauri::command]
pub async fn records(desk: AtDesk<'_>, find: String) -> Answer<Records> {
    let folder = desk.ask(|bench| bench.folder()).await?;
    service::records::records(&folder, &find)
}

/// Writes the PDF beside the operation file, its figures in these units (SI without them); answers its path.
#[tauri::command]
pub async fn report(desk: AtDesk<'_>, units: Option<Units>) -> Answer<String> {
    desk.ask(move |bench| bench.report(units.unwrap_or_default())).await
}

/// Whether this machine and the open file will do.
#[tauri::command]
pub async fn doctor(desk: AtDesk<'_>) -> Answer<Health> {
    desk.ask(|bench| bench.doctor()).await
}

/// Files a second copy could be kept in, on the sticks that are there.
#[tauri::command]
pub async fn mirror_places(desk: AtDesk<'_>) -> Answer<Vec<String>> {
    desk.ask(|bench| bench.mirror_places()).await
}

/// Keeps the second copy at `path` from now on; without one, keeps none.
#[tauri::command]
pub async fn mirror(desk: AtDesk<'_>, path: Option<String>) -> Answer<View> {
    desk.ask(move |bench| bench.mirror(path.as_deref().map(AsRef::as_ref))).await
}
