//! Writes each template in each of its states as the window gets it, whole and with rope one lost, as JSON into a folder that
//! `npm run look` takes pictures from: `cargo run -p service --example look_rigs -- ui/look/rigs`.

use drawing::rig::{Lost, RigDrawingOptions, WIDE_WIDTH, draw};
use rig::guidelines::Guidelines;
use rig::model::Rig;
use service::wire::RigDrawing;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).map_or_else(|| PathBuf::from("ui/look/rigs"), PathBuf::from);
    std::fs::create_dir_all(&folder)?;
    for template in rig::templates::list() {
        let rig = rig::templates::make(template.name, &BTreeMap::new())?;
        for state in &rig.states {
            write(&folder, &rig, &state.id)?;
        }
    }
    Ok(())
}

/// A rig in a state as the screens ask for it.
fn write(folder: &Path, rig: &Rig, state: &str) -> Result<(), Box<dyn std::error::Error>> {
    let guidelines = Guidelines::defaults();
    let check = service::rigs::check(rig, &guidelines, Some(state));
    let people: BTreeMap<String, String> =
        rig.hands.iter().map(|hand| hand.role.clone()).zip(invented()).collect();
    let window = RigDrawingOptions { people, ..RigDrawingOptions::window() };
    let whole = draw(rig, &check.main, &window);
    let wide = |options: &RigDrawingOptions<'_>| {
        Some(draw(rig, &check.main, &RigDrawingOptions { width: WIDE_WIDTH, ..options.clone() }).list)
    };
    let drawing = RigDrawing {
        list: whole.list,
        wide: wide(&window),
        order: whole.order,
        loss: None,
        parts: check.main.parts.clone(),
    };
    let mut lost = BTreeMap::new();
    if let Some(what) = engine::what_if(rig, &guidelines, Some(state), "rope_one") {
        let options =
            RigDrawingOptions { lost: Some(Lost { loss: &what.loss, parts: &what.parts }), ..window };
        let picture = draw(rig, &check.main, &options);
        let (list, order) = (picture.list, picture.order);
        let wide = wide(&options);
        let (loss, parts) = (Some(what.loss.clone()), what.parts.clone());
        lost.insert("rope_one", RigDrawing { list, wide, order, loss, parts });
    }
    let used = rig.template.as_ref();
    let name = used.map_or(rig.name.as_str(), |t| t.name.as_str());
    let states: Vec<(&str, &str)> = rig.states.iter().map(|s| (s.id.as_str(), s.label.as_str())).collect();
    let whole = serde_json::json!({
        "template": name,
        "title": rig.title,
        "set": used.map(|t| &t.set),
        "states": states,
        "check": check,
        "drawing": drawing,
        "lost": lost,
    });
    std::fs::write(folder.join(format!("{name}-{state}.json")), serde_json::to_vec(&whole)?)?;
    Ok(())
}

/// Names of the invented operation for as many roles as a rig has.
fn invented() -> impl Iterator<Item = String> {
    ["Signe Aho", "Teodor Łukasik", "Jo Marsh", "Gil Ferro"].into_iter().map(str::to_string)
}
