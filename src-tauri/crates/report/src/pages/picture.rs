//! The picture of page 1.

use crate::input::{Hearing, ReportInput};
use crate::kit::MEASURE;
use crate::words;
use drawing::picture::{self, Picture, PictureInput};

/// Draws it, the load's curve `curve` mm high.
pub fn draw(input: &ReportInput, curve: f64) -> Picture {
    let (start_ms, end_ms) = super::extent(input);
    let counted_to = super::counted_to(input);
    let stays = |zone: &str| {
        let stays = input.zones.iter().filter(|stay| stay.zone == zone);
        stays.map(|stay| (stay.from_ms, stay.to_ms.unwrap_or(counted_to).max(stay.from_ms))).collect()
    };
    let orders = input.log.iter().filter(|entry| entry.kind == "order");
    let silent = |what: &Hearing| *what == Hearing::Never;
    let shown = PictureInput {
        start_ms,
        end_ms,
        offset_min: input.operation.offset_min,
        edge_height_m: input.operation.edge_height_m,
        benchmarks: super::moments(input).iter().map(|m| (m.at_ms, words::head(&m.words))).collect(),
        heights: input.review.heights.clone(),
        spans: super::spans(input),
        stops_ms: input.review.stops.iter().map(|stop| stop.at_ms).collect(),
        on_rope: stays("on_rope"),
        edge_zone: stays("edge"),
        orders: orders.map(|order| (order.at_ms, order.heard.iter().any(|h| silent(&h.what)))).collect(),
        pars: input.review.pars.iter().map(|par| (par.at_ms, par.due_ms)).collect(),
        units: input.units,
    };
    picture::draw(&shown, MEASURE, curve)
}
