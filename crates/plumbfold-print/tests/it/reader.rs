//! A page as an independent reader of PDF sees it: straight lines and their lengths in points.

use hayro_syntax::Pdf;
use hayro_syntax::content::ops::TypedInstruction;

/// A straight line of one stretch, in points from the lower left corner of the page.
pub type Line = [[f64; 2]; 2];

/// One page.
pub struct Seen {
    /// Width and height, points.
    pub size: [f64; 2],
    /// Paths of a single straight stretch.
    pub lines: Vec<Line>,
}

impl Seen {
    /// Length of a line.
    pub fn length([a, b]: &Line) -> f64 {
        (b[0] - a[0]).hypot(b[1] - a[1])
    }

    /// How far the nearest line is from this length.
    pub fn nearest(&self, length: f64) -> f64 {
        let off = self.lines.iter().map(|l| (Self::length(l) - length).abs());
        off.fold(f64::MAX, f64::min)
    }
}

/// Reads a file.
pub fn pages(bytes: &[u8]) -> Vec<Seen> {
    let pdf = Pdf::new(bytes.to_vec()).unwrap_or_else(|e| panic!("no PDF: {e:?}"));
    pdf.pages().iter().map(page).collect()
}

fn page(page: &hayro_syntax::page::Page<'_>) -> Seen {
    let b = page.media_box();
    let mut seen = Seen { size: [b.x1 - b.x0, b.y1 - b.y0], lines: Vec::new() };
    let identity = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut now, mut kept) = (identity, Vec::new());
    let mut path: Vec<[f64; 2]> = Vec::new();
    let mut straight = true;
    let mut operations = page.typed_operations();
    while let Some(operation) = operations.next() {
        match operation {
            TypedInstruction::SaveState(_) => kept.push(now),
            TypedInstruction::RestoreState(_) => now = kept.pop().expect("states in pairs"),
            TypedInstruction::Transform(t) => {
                let m = [t.0, t.1, t.2, t.3, t.4, t.5].map(|n| n.as_f64());
                now = [
                    m[0] * now[0] + m[1] * now[2],
                    m[0] * now[1] + m[1] * now[3],
                    m[2] * now[0] + m[3] * now[2],
                    m[2] * now[1] + m[3] * now[3],
                    m[4] * now[0] + m[5] * now[2] + now[4],
                    m[4] * now[1] + m[5] * now[3] + now[5],
                ];
            }
            TypedInstruction::MoveTo(p) => {
                straight &= path.is_empty();
                path.push(place(&now, p.0.as_f64(), p.1.as_f64()));
            }
            TypedInstruction::LineTo(p) => path.push(place(&now, p.0.as_f64(), p.1.as_f64())),
            TypedInstruction::CubicTo(_) => straight = false,
            TypedInstruction::StrokePath(_) => {
                if let ([a, b], true) = (&path[..], straight) {
                    seen.lines.push([*a, *b]);
                }
                (path, straight) = (Vec::new(), true);
            }
            TypedInstruction::FillPathNonZero(_)
            | TypedInstruction::FillAndStrokeNonZero(_)
            | TypedInstruction::EndPath(_) => (path, straight) = (Vec::new(), true),
            _ => {}
        }
    }
    assert!(kept.is_empty(), "a state is kept and never given back");
    seen
}

fn place(m: &[f64; 6], x: f64, y: f64) -> [f64; 2] {
    [m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]]
}
