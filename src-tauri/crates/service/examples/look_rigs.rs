//! Writes each template in each of its states as the window gets it, whole and with rope one lost, as JSON into a folder that
//! `npm run look` takes pictures from: `cargo run -p service --example look_rigs -- ui/look/rigs`.

use rig::guidelines::Guidelines;
use rig::model::Rig;
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
    let check = service::rigs::check(rig, &guidelines, Some(state), &Default::default());
    let people: BTreeMap<String, String> =
        rig.hands.iter().map(|hand| hand.role.clone()).zip(invented()).collect();
    let pictured = |lost| service::rig_look::pictured(rig, &guidelines, &check, &people, lost);
    let drawing = pictured(None)?;
    let mut lost = BTreeMap::new();
    if let Ok(after) = pictured(Some("rope_one")) {
        lost.insert("rope_one", after);
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
        "beside": service::rig_look::beside(rig, &guidelines, state),
    });
    std::fs::write(folder.join(format!("{name}-{state}.json")), serde_json::to_vec(&whole)?)?;
    Ok(())
}

/// Names of the invented operation for as many roles as a rig has.
fn invented() -> impl Iterator<Item = String> {
    ["Signe Aho", "Teodor Łukasik", "Jo Marsh", "Gil Ferro"].into_iter().map(str::to_string)
}
