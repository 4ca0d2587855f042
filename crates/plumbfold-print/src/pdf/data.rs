//! The `d` of an SVG path as the drawing crate writes it: M, L, H, V, Q, A (circular) and Z with
//! absolute places.

use pdf_writer::Content;

/// Draws a path into a page; `false` where it cannot be read.
pub fn trace(content: &mut Content, data: &str) -> bool {
    let mut words = Words(data);
    let mut pen = [0.0_f64; 2];
    let mut start = pen;
    while let Some(command) = words.command() {
        let done = match command {
            'M' => words.place().map(|p| {
                content.move_to(p[0] as f32, p[1] as f32);
                (pen, start) = (p, p);
            }),
            'L' => words.place().map(|p| line(content, &mut pen, p)),
            'H' => words.number().map(|x| {
                let to = [x, pen[1]];
                line(content, &mut pen, to);
            }),
            'V' => words.number().map(|y| {
                let to = [pen[0], y];
                line(content, &mut pen, to);
            }),
            'Q' => words.place().zip(words.place()).map(|(control, end)| {
                let third = |p: [f64; 2], k: usize| p[k] + (control[k] - p[k]) * 2.0 / 3.0;
                let (a, b) = ([third(pen, 0), third(pen, 1)], [third(end, 0), third(end, 1)]);
                cubic(content, a, b, end);
                pen = end;
            }),
            'A' => words.arc().map(|arc| {
                draw_arc(content, pen, &arc);
                pen = arc.end;
            }),
            'Z' => {
                content.close_path();
                pen = start;
                Some(())
            }
            _ => None,
        };
        if done.is_none() {
            return false;
        }
    }
    true
}

fn line(content: &mut Content, pen: &mut [f64; 2], to: [f64; 2]) {
    content.line_to(to[0] as f32, to[1] as f32);
    *pen = to;
}

fn cubic(content: &mut Content, a: [f64; 2], b: [f64; 2], end: [f64; 2]) {
    let [x1, y1] = a.map(|v| v as f32);
    let [x2, y2] = b.map(|v| v as f32);
    let [x3, y3] = end.map(|v| v as f32);
    content.cubic_to(x1, y1, x2, y2, x3, y3);
}

struct Arc {
    radius: f64,
    large: bool,
    clockwise: bool,
    end: [f64; 2],
}

/// By the conversion of SVG 1.1, appendix F.6.5, for equal radii; each piece of at most a quarter
/// turn as a cubic, whose error is below a three-thousandth of the radius.
fn draw_arc(content: &mut Content, from: [f64; 2], arc: &Arc) {
    let chord = [arc.end[0] - from[0], arc.end[1] - from[1]];
    let length = chord[0].hypot(chord[1]);
    if length < 1e-9 {
        return;
    }
    let radius = arc.radius.max(length / 2.0);
    let rise = (radius * radius - length * length / 4.0).max(0.0).sqrt();
    let side = if arc.large == arc.clockwise { -1.0 } else { 1.0 };
    let middle = [(from[0] + arc.end[0]) / 2.0, (from[1] + arc.end[1]) / 2.0];
    let centre =
        [middle[0] - side * rise * chord[1] / length, middle[1] + side * rise * chord[0] / length];
    let angle = |p: [f64; 2]| (p[1] - centre[1]).atan2(p[0] - centre[0]);
    let (begin, mut turn) = (angle(from), angle(arc.end) - angle(from));
    // On a page whose y runs down, clockwise is the way of growing angles.
    if arc.clockwise && turn < 0.0 {
        turn += std::f64::consts::TAU;
    } else if !arc.clockwise && turn > 0.0 {
        turn -= std::f64::consts::TAU;
    }
    let pieces = (turn.abs() / std::f64::consts::FRAC_PI_2 - 1e-9).ceil().max(1.0);
    let step = turn / pieces;
    let reach = 4.0 / 3.0 * (step / 4.0).tan() * radius;
    for i in 0..pieces as usize {
        let (a, b) = (begin + step * i as f64, begin + step * (i + 1) as f64);
        let on = |t: f64, out: f64| {
            [
                centre[0] + radius * t.cos() - out * t.sin(),
                centre[1] + radius * t.sin() + out * t.cos(),
            ]
        };
        let end = if i + 1 == pieces as usize { arc.end } else { on(b, 0.0) };
        cubic(content, on(a, reach), on(b, -reach), end);
    }
}

struct Words<'a>(&'a str);

impl Words<'_> {
    fn command(&mut self) -> Option<char> {
        self.0 = self.0.trim_start();
        let c = self.0.chars().next()?;
        self.0 = &self.0[c.len_utf8()..];
        Some(c)
    }

    fn number(&mut self) -> Option<f64> {
        self.0 = self.0.trim_start_matches([' ', ',']);
        let end = self.0.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
        let (word, rest) = self.0.split_at(end.unwrap_or(self.0.len()));
        self.0 = rest;
        word.parse().ok()
    }

    fn place(&mut self) -> Option<[f64; 2]> {
        Some([self.number()?, self.number()?])
    }

    fn arc(&mut self) -> Option<Arc> {
        let [radius, _] = self.place()?;
        self.number()?;
        let (large, clockwise) = (self.number()? != 0.0, self.number()? != 0.0);
        Some(Arc { radius, large, clockwise, end: self.place()? })
    }
}
