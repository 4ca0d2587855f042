//! The picture that is looked at, drawn for the frame it has on the page.

use plumbfold_draw::fit::Size;
use serde::Deserialize;

/// The picture that is looked at.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Stage {
    /// Which.
    pub place: Place,
    /// Width and height of its frame, mm.
    pub frame: [f64; 2],
}

/// A picture of the bench that is drawn here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// The sheet, or the model on the table.
    Table,
    /// The balance.
    Edge,
    /// The throw.
    Hall,
    /// Drawn by the page itself.
    Posed,
}

/// Least and greatest side of a frame, mm.
const FRAME_MM: [f64; 2] = [30.0, 800.0];

impl Stage {
    /// The frame of a picture, where it is the one looked at.
    pub fn frame(stage: Option<Self>, place: Place) -> Option<[f64; 2]> {
        let stage = stage.filter(|s| s.place == place)?;
        let [low, high] = FRAME_MM;
        Some(stage.frame.map(|v| if v.is_finite() { v.clamp(low, high) } else { low }))
    }
}

/// Draws in a frame: a picture is larger than what it shows by its notes and key, which is found by
/// drawing it once. Without a frame it is small, and the page shows it without its letters.
pub fn framed(frame: Option<[f64; 2]>, small: [f64; 2], draw: impl Fn(Size) -> String) -> String {
    let Some(frame) = frame else { return draw(Size::Within(small)) };
    let mut room = frame;
    let mut picture = draw(Size::Within(room));
    for _ in 0..2 {
        let Some(size) = size_of(&picture) else { break };
        let over = [0, 1].map(|i| size[i] - frame[i]);
        if over.iter().all(|o| *o <= 0.5) {
            break;
        }
        room = [0, 1].map(|i| (room[i] - over[i].max(0.0)).max(10.0));
        picture = draw(Size::Within(room));
    }
    picture
}

/// Width and height of a picture of ours, mm.
pub fn size_of(svg: &str) -> Option<[f64; 2]> {
    let (_, rest) = svg.split_once("viewBox=\"0 0 ")?;
    let (w, h) = rest.split_once('"')?.0.split_once(' ')?;
    Some([w.parse().ok()?, h.parse().ok()?])
}

#[cfg(test)]
mod tests {
    use super::super::Depth;
    use super::super::analyse::{Question, Show, analyse};
    use super::*;

    const SCOW: &str = include_str!("../../../../designs/scow.plane");

    #[test]
    fn the_picture_looked_at_fills_its_frame_and_no_more() {
        for text in [SCOW, include_str!("../../../../designs/halyard.plane")] {
            for (place, show) in [
                (Place::Table, Show::Sheet),
                (Place::Table, Show::Folded),
                (Place::Table, Show::Layers),
                (Place::Edge, Show::Sheet),
                (Place::Hall, Show::Sheet),
            ] {
                // While a slider is moved the throw is a strip above them.
                let strips: &[[f64; 2]] = match place {
                    Place::Hall => &[[82.0, 39.0], [165.0, 40.0]],
                    _ => &[],
                };
                let large =
                    [[85.0, 75.0], [165.0, 71.0], [165.0, 81.0], [200.0, 120.0], [260.0, 150.0]];
                for &frame in large.iter().chain(strips) {
                    let stage = Some(Stage { place, frame });
                    let text = text.to_owned();
                    let depth = Depth::Quick;
                    let q = Question { text, change: None, step: None, depth, show, stage };
                    let p = analyse(&q, &|| true).unwrap();
                    let [w, h] = size_of(p.picture(place).unwrap()).unwrap();
                    assert!(
                        w <= frame[0] + 1.0 && h <= frame[1] + 1.0,
                        "{place:?} {show:?}: {w} x {h} in {frame:?}"
                    );
                    let filled = (w / frame[0]).max(h / frame[1]);
                    assert!(filled > 0.8, "{place:?} {show:?}: {w} x {h} in {frame:?}");
                }
            }
        }
    }
}
