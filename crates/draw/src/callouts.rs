//! Labels on leaders, under and over a picture.

use crate::canvas::{Canvas, GREY, P, Pen, Type};
use crate::labels::lanes;

/// Height of a lane of labels, mm.
pub const LANE_MM: f64 = 3.9;

/// A label: the point that it names and its words.
pub type Callout = (P, String);

/// Hangs labels below `top`; returns the y below them.
pub fn below(canvas: &mut Canvas, labels: &[Callout], top: f64) -> f64 {
    let (order, lane) = arrange(canvas.width_mm, labels);
    for ((i, start), lane) in order.iter().zip(&lane) {
        let (point, words) = &labels[*i];
        let y = top + count(*lane) * LANE_MM + LANE_MM;
        canvas.polyline(&leader(*point, *start, *lane, (top - 0.6, top + 0.4), y), Pen::new(0.25, GREY));
        canvas.text((start + 0.7, y), words, Type::SMALL);
    }
    top + height(&lane)
}

/// Height that labels take above or below a picture `width_mm` wide.
pub fn height_mm(width_mm: f64, labels: &[Callout]) -> f64 {
    height(&arrange(width_mm, labels).1)
}

/// Stands labels above `bottom`, in the height that [`height_mm`] says.
pub fn above(canvas: &mut Canvas, labels: &[Callout], bottom: f64) {
    let (order, lane) = arrange(canvas.width_mm, labels);
    for ((i, start), lane) in order.iter().zip(&lane) {
        let (point, words) = &labels[*i];
        let y = bottom - count(*lane) * LANE_MM - 0.8;
        canvas.polyline(&leader(*point, *start, *lane, (bottom + 0.6, bottom - 0.4), y - 2.4), Pen::new(0.25, GREY));
        canvas.text((start + 0.7, y), words, Type::SMALL);
    }
}

/// The way from a point to its text: straight to a text in the nearest lane, else round the texts before it.
fn leader(point: P, start: f64, lane: usize, (near, far): (f64, f64), end: f64) -> Vec<P> {
    if lane == 0 && start < point.0 {
        return vec![point, (point.0, far)];
    }
    vec![point, (point.0, near), (start, far), (start, end)]
}

/// The order of labels from left to right with the start of each text, and their lanes.
fn arrange(width_mm: f64, labels: &[Callout]) -> (Vec<(usize, f64)>, Vec<usize>) {
    let size = |i: usize| Type::SMALL.width_mm(&labels[i].1) + 0.8;
    let mut order: Vec<(usize, f64)> = (0..labels.len()).map(|i| (i, labels[i].0.0.min(width_mm - size(i)).max(0.0))).collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1));
    let texts: Vec<(f64, f64)> = order.iter().map(|(i, start)| (*start, size(*i))).collect();
    let lane = lanes(&texts, 1.2);
    (order, lane)
}

fn height(lanes: &[usize]) -> f64 {
    lanes.iter().max().map_or(0.0, |deepest| (count(*deepest) + 1.0) * LANE_MM + 1.0)
}

#[expect(clippy::cast_precision_loss, reason = "a handful of lanes")]
fn count(lane: usize) -> f64 {
    lane as f64
}
