//! A friction hitch of bare HMPE cord slips and melts: little friction, and a low melting point.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::{DeviceClass, Material, Part, PartKind};

const HITCHES: [PartKind; 3] = [PartKind::FrictionHitch, PartKind::HaulHitch, PartKind::ProgressCapture];

/// One finding: the bare ones, or those of which it is not said.
pub fn hitch_cord(seen: &Seen<'_>) -> Vec<RuleFinding> {
    // A capture of metal is tied of no cord.
    let tied = |p: &&Part| p.device.as_ref().is_none_or(|d| d.class == DeviceClass::FrictionHitch);
    let hitches = || super::there(seen, &HITCHES).filter(tied);
    let labels = |wanted: &dyn Fn(Option<Material>) -> bool| {
        hitches().filter(|p| wanted(p.material)).map(|p| p.label.clone()).collect::<Vec<_>>()
    };
    let (bare, unsaid) = (labels(&|m| m == Some(Material::Hmpe)), labels(&|m| m.is_none()));
    let (verdict, found) = match (bare.is_empty(), unsaid.is_empty()) {
        (false, _) => (Verdict::FallsShort, format!("bare HMPE cord: {}", bare.join(", "))),
        (_, false) => {
            (Verdict::NotChecked, format!("what cord they are tied of is not said: {}", unsaid.join(", ")))
        }
        _ if hitches().count() == 0 => return Vec::new(),
        _ => (Verdict::Holds, format!("{} hitches, none of bare HMPE", hitches().count())),
    };
    let source = "HMPE has little friction and melts near 150 °C (from memory); common practice, no source";
    vec![finding("hitch_cord", verdict, "friction hitches not of bare HMPE", found, source)]
}
