//! Where the sheet lies in the photo: first roughly, as the piece of another shade that fits four
//! edges best, then each edge to a fraction of a dot.

use nalgebra::Vector2;

use crate::edge::{Across, toward};
use crate::error::TraceError;
use crate::line::{self, Line};
use crate::mask::{Mask, otsu};
use crate::photo::{Photo, lab};
use crate::polygon::{Pt, cross, hull, signed_area};
use crate::view::{Lens, Optics};

/// Longer side of the copy the sheet is looked for in, dots.
const SMALL: u32 = 480;
/// Least share of the photo that a sheet takes: smaller ones cannot be measured.
const SHARE_MIN: f64 = 0.04;
/// Least share of an edge that must be found.
const FOUND_MIN: f64 = 0.45;

/// Share of an edge from which on it is seen along its whole length, but for what lies on it.
const SEEN: f64 = 0.9;

/// Four edges of a sheet in order round it.
#[derive(Clone, Debug)]
pub struct Found {
    /// Corners in dots of the photo, in order round the sheet (clockwise as seen), from the one
    /// nearest to the top left of the photo.
    pub corners: [Pt; 4],
    /// What straightens the edges.
    pub lens: Lens,
    /// Largest bow left of an edge, dots.
    pub bow: f64,
    /// Root mean square distance of the edges' points, dots.
    pub rms: f64,
    /// Median blur across the edges, standard deviation, dots.
    pub blur: f64,
    /// Least share of an edge that was found.
    pub share: f64,
    /// Whether it lies within a piece of its own that goes on beyond the photo: that may be a table, or
    /// the sheet, and this a thing on it.
    pub on_cut: bool,
}

/// What is known of the lens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LensAsk {
    /// Taken so that the edges of the sheet become straight, if they bow.
    Edges,
    /// Known.
    Known(Lens),
}

/// Finds the sheet.
///
/// # Errors
/// No four edges around one another, or some beyond the photo.
pub fn find(photo: &Photo, lens: LensAsk) -> Result<Found, TraceError> {
    let (small, width, block) = photo.small(SMALL);
    let mut best: Option<(f64, Found)> = None;
    let mut cut_off: Vec<Mask> = Vec::new();
    let mut worst = None;
    for mask in guesses(&small, width) {
        let least = (SHARE_MIN * small.len() as f64) as usize;
        for (piece, _) in mask.largest(least).into_iter().take(3) {
            let piece = piece.filled();
            let Some(quad) = quad_of(&piece) else { continue };
            let fill = piece.count() as f64 / signed_area(&quad).abs();
            if fill < 0.8 {
                continue;
            }
            let share = piece.count() as f64 / small.len() as f64;
            let rim = share_of_border(&piece);
            if rim > 0.02 {
                // A table lies along most of the border, a sheet that is cut off along less.
                if rim < 0.6 && fill > 0.85 && (0.2..0.9).contains(&share) {
                    cut_off.push(piece);
                }
                continue;
            }
            let corners = quad.map(|p| p * block);
            // Close by first: what lies near an edge of the sheet has edges too.
            match near_or_wide(photo, corners, lens, Lens::default()) {
                Ok(found) => {
                    // The larger sheet where two fit: a table top holds what lies on it, but is
                    // hardly ever seen whole; a plane lies on the sheet.
                    let score = found.share * fill * signed_area(&found.corners).abs().sqrt();
                    if best.as_ref().is_none_or(|b| score > b.0) {
                        best = Some((score, found));
                    }
                }
                Err(e) => worst = Some(e),
            }
        }
    }
    match best {
        Some((_, mut found)) => {
            let [x, y] = [0, 1].map(|k| found.corners.iter().map(|p| p[k]).sum::<f64>() / 4.0);
            let middle = (y / block) as usize * width + (x / block) as usize;
            found.on_cut = cut_off.iter().any(|piece| piece.on.get(middle) == Some(&true));
            Ok(found)
        }
        None if !cut_off.is_empty() => Err(TraceError::SheetCutOff),
        None => Err(worst.unwrap_or(TraceError::NoSheet)),
    }
}

/// The sheet at corners given by hand, in order round it: each edge is still looked for, but close
/// by; where it cannot be seen the given line stays.
pub fn at(photo: &Photo, corners: [Pt; 4], lens: LensAsk) -> Result<Found, TraceError> {
    let [w, h] = photo.size();
    let inside = |p: &Pt| (-0.5 * w..1.5 * w).contains(&p.x) && (-0.5 * h..1.5 * h).contains(&p.y);
    let turns = |i: usize| {
        cross(corners[(i + 1) % 4] - corners[i], corners[(i + 2) % 4] - corners[(i + 1) % 4])
    };
    let same = (0..4).all(|i| turns(i) * turns(0) > 0.0);
    if !corners.iter().all(inside) || !same {
        return Err(TraceError::BadCorners);
    }
    let corners = in_order(corners);
    let known = match lens {
        LensAsk::Edges => Lens::default(),
        LensAsk::Known(lens) => lens,
    };
    match near_or_wide(photo, corners, lens, known) {
        Ok(found) => Ok(found),
        Err(TraceError::EdgeLost { .. } | TraceError::NoSheet) => {
            let lens = known;
            Ok(Found { corners, lens, bow: 0.0, rms: 1.0, blur: 1.0, share: 0.0, on_cut: false })
        }
        Err(e) => Err(e),
    }
}

/// The edges close by rough ones, or farther off where more of them is seen: a lens that is not known
/// may bow them.
fn near_or_wide(
    photo: &Photo,
    rough: [Pt; 4],
    lens: LensAsk,
    first: Lens,
) -> Result<Found, TraceError> {
    let near = refined(photo, rough, lens, first, 0.012);
    let share = |f: &Result<Found, TraceError>| f.as_ref().map_or(0.0, |f| f.share);
    if lens != LensAsk::Edges || share(&near) >= SEEN {
        return near;
    }
    let wide = refined(photo, rough, lens, first, 0.03);
    if share(&wide) > share(&near) + 0.1 || near.is_err() { wide } else { near }
}

/// The largest four-sided piece of another shade, roughly: where the sheet may lie if its edges cannot
/// be followed.
pub fn guess(photo: &Photo) -> Option<[Pt; 4]> {
    let (small, width, block) = photo.small(SMALL);
    let least = (SHARE_MIN * small.len() as f64) as usize;
    let pieces = guesses(&small, width).into_iter().flat_map(|m| m.largest(least));
    let quads = pieces.filter_map(|(piece, _)| {
        let piece = piece.filled();
        let quad = quad_of(&piece)?;
        let area = signed_area(&quad).abs();
        let whole = area < 0.95 * small.len() as f64;
        (whole && piece.count() as f64 > 0.8 * area).then_some((area, quad))
    });
    let (_, quad) = quads.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(quad.map(|p| p * block))
}

/// Parts of the photo that may be the sheet: lighter, darker, of another colour than what lies at
/// the photo's border, greyer than the rest.
fn guesses(small: &[[f32; 3]], width: usize) -> Vec<Mask> {
    let lab: Vec<[f32; 3]> = small.iter().map(|&rgb| lab(rgb)).collect();
    let n = lab.len();
    let height = n / width.max(1);
    let at_border = |i: usize| {
        let (x, y) = (i % width, i / width);
        let near = (width.min(height) / 40).max(1);
        x < near || y < near || x + near >= width || y + near >= height
    };
    let border = |c: usize| {
        let mut v: Vec<f32> = (0..n).filter(|&i| at_border(i)).map(|i| lab[i][c]).collect();
        v.sort_by(f32::total_cmp);
        v.get(v.len() / 2).copied().unwrap_or(0.0)
    };
    let middle = [border(0), border(1), border(2)];
    let features: [Box<dyn Fn(usize) -> f32>; 5] = [
        Box::new(|i| lab[i][0]),
        Box::new(|i| -lab[i][0]),
        Box::new(|i| (0..3).map(|c| (lab[i][c] - middle[c]).powi(2)).sum::<f32>().sqrt()),
        Box::new(|i| (lab[i][1] - middle[1]).hypot(lab[i][2] - middle[2])),
        Box::new(|i| -lab[i][1].hypot(lab[i][2])),
    ];
    let mut out = Vec::new();
    for f in &features {
        let values: Vec<f32> = (0..n).map(f).collect();
        let t = otsu(values.iter().copied());
        out.push(Mask::of(width, n, |i| values[i] > t));
        // A second cut on each side finds a sheet of a shade between table and plane.
        for side in [true, false] {
            let part = values.iter().copied().filter(|&v| (v > t) == side);
            let t2 = otsu(part);
            let open = Mask::of(width, n, |i| values[i] > t2);
            out.push(open.shrunk(1).grown(1));
        }
    }
    out
}

/// How much of the photo's border a piece lies along.
fn share_of_border(m: &Mask) -> f64 {
    let (w, h) = (m.width, m.height());
    let ends = |a: usize, b: usize| usize::from(m.on[a]) + usize::from(m.on[b]);
    let on = (0..w).map(|x| ends(x, (h - 1) * w + x)).sum::<usize>()
        + (0..h).map(|y| ends(y * w, y * w + w - 1)).sum::<usize>();
    on as f64 / (2 * (w + h)) as f64
}

/// The four-sided figure round a piece: of its hull, edges are dropped and their neighbours
/// lengthened until four are left, that which adds the least area first.
fn quad_of(m: &Mask) -> Option<[Pt; 4]> {
    let mut p = hull(m.border());
    while p.len() > 4 {
        let n = p.len();
        let added = |i: usize| {
            let (a, b, c, d) = (p[(i + n - 1) % n], p[i], p[(i + 1) % n], p[(i + 2) % n]);
            let turn = cross(b - a, d - c);
            if turn <= 1e-9 {
                return None;
            }
            let tip = b + (b - a) * (cross(c - b, d - c) / turn);
            Some((signed_area(&[b, tip, c]).abs(), i, tip))
        };
        let (_, i, tip) = (0..n).filter_map(added).min_by(|a, b| a.0.total_cmp(&b.0))?;
        p[i] = tip;
        p.remove((i + 1) % n);
    }
    let corners: [Pt; 4] = p.try_into().ok()?;
    let sides: Vec<f64> = (0..4).map(|i| (corners[(i + 1) % 4] - corners[i]).norm()).collect();
    let [least, most] = [f64::min, f64::max].map(|f| sides.iter().copied().reduce(f));
    // No sheet in use is five times as long as wide, seen from anywhere near above.
    (least? > 0.2 * most?).then(|| in_order(corners))
}

/// Clockwise as seen (x right, y down), from the corner nearest to the top left.
fn in_order(mut c: [Pt; 4]) -> [Pt; 4] {
    if signed_area(&c) < 0.0 {
        c.reverse();
    }
    let near = |i: &usize, j: &usize| (c[*i].x + c[*i].y).total_cmp(&(c[*j].x + c[*j].y));
    let first = (0..4).min_by(near).unwrap_or(0);
    c.rotate_left(first);
    c
}

/// Names of the edges from the top left corner on.
const NAMES: [&str; 4] = ["upper", "right", "lower", "left"];

/// The edges near a rough outline; `first` is the lens through which straight lines between the rough
/// corners are its edges.
fn refined(
    photo: &Photo,
    rough: [Pt; 4],
    ask: LensAsk,
    first: Lens,
    window: f64,
) -> Result<Found, TraceError> {
    let size = photo.size();
    let optics = |lens| Optics::new(lens, size);
    let mut lens = match ask {
        LensAsk::Known(lens) => lens,
        LensAsk::Edges => Lens::default(),
    };
    let mut corners = rough;
    let mut blur: f64 = 1.0;
    let mut edges = Vec::new();
    for round in 0..3 {
        let (found, blurs): (Vec<Vec<Pt>>, Vec<Vec<f64>>) = (0..4)
            .map(|i| {
                let (a, b) = (corners[i], corners[(i + 1) % 4]);
                let length = (b - a).norm();
                let reach = match round {
                    0 => (window * length).max(6.0),
                    _ => (5.0 * blur).clamp(5.0, (window * length).max(6.0)),
                };
                edge_points(photo, &optics(if round == 0 { first } else { lens }), a, b, reach)
            })
            .unzip();
        let mut all: Vec<f64> = blurs.into_iter().flatten().collect();
        all.sort_by(f64::total_cmp);
        blur = all.get(all.len() / 2).copied().unwrap_or(blur).max(0.3);
        let tolerance = (1.5 * blur).max(1.5);
        if let LensAsk::Edges = ask {
            lens = straightening(&found, lens, size, tolerance);
        }
        edges = (0..4)
            .map(|i| {
                let straight: Vec<Pt> =
                    found[i].iter().map(|&p| optics(lens).straight(p)).collect();
                let lost = TraceError::EdgeLost { which: NAMES[i], percent: 0.0 };
                let line = line::fit(&straight, tolerance).ok_or(lost)?;
                // Of all places looked at, also those where nothing was met.
                Ok(Line { share: line.count as f64 / PLACES as f64, ..line })
            })
            .collect::<Result<Vec<Line>, TraceError>>()?;
        let mut next = corners;
        for (i, corner) in next.iter_mut().enumerate() {
            let crossing = edges[(i + 3) % 4].crossing(&edges[i]).ok_or(TraceError::NoSheet)?;
            *corner = optics(lens).drawn(crossing);
        }
        let moved = (0..4).map(|i| (next[i] - corners[i]).norm()).fold(0.0, f64::max);
        let longest =
            (0..4).map(|i| (corners[(i + 1) % 4] - corners[i]).norm()).fold(0.0, f64::max);
        if moved.is_nan() || moved >= 0.25 * longest {
            return Err(TraceError::NoSheet);
        }
        corners = next;
    }
    for (i, edge) in edges.iter().enumerate() {
        if edge.share < FOUND_MIN {
            return Err(TraceError::EdgeLost { which: NAMES[i], percent: 100.0 * edge.share });
        }
    }
    let [w, h] = size;
    let out = |p: &Pt| p.x < 1.0 || p.y < 1.0 || p.x > w - 1.0 || p.y > h - 1.0;
    if corners.iter().any(out) {
        return Err(TraceError::SheetCutOff);
    }
    Ok(Found {
        corners,
        lens,
        bow: edges.iter().map(|e| e.bow.abs()).fold(0.0, f64::max),
        rms: (edges.iter().map(|e| e.rms * e.rms).sum::<f64>() / 4.0).sqrt(),
        blur,
        share: edges.iter().map(|e| e.share).fold(1.0, f64::min),
        on_cut: false,
    })
}

/// Places along an edge where it is looked for.
const PLACES: usize = 200;

/// Points of an edge between two corners, dots as drawn, and the blur met at each.
fn edge_points(photo: &Photo, optics: &Optics, a: Pt, b: Pt, reach: f64) -> (Vec<Pt>, Vec<f64>) {
    // Along a line that is straight in the world.
    let (sa, sb) = (optics.straight(a), optics.straight(b));
    let along = (sb - sa).normalize();
    // The sheet lies on the right hand of the way round, which in x right, y down is +normal.
    let inward = Vector2::new(-along.y, along.x);
    let step = (reach / 40.0).max(0.25);
    let lines: Vec<(Pt, Across)> = (0..PLACES)
        .map(|i| {
            let t = 0.03 + 0.94 * (i as f64 + 0.5) / PLACES as f64;
            let dot = optics.drawn(sa + (sb - sa) * t);
            (dot, Across::read(photo, dot, inward, reach, step))
        })
        .collect();
    // The usual change of shade from table to sheet, by the median of each channel.
    let change: [f32; 3] = std::array::from_fn(|c| {
        let mut v: Vec<f32> = lines
            .iter()
            .map(|(_, l)| {
                let [out, inside] = l.ends(0.25);
                inside[c] - out[c]
            })
            .collect();
        v.sort_by(f32::total_cmp);
        v[v.len() / 2]
    });
    let (way, _) = toward([0.0; 3], change);
    let met = lines.iter().filter_map(|(dot, l)| {
        let met = l.edge(way)?;
        Some((dot + inward * met.at, met.blur))
    });
    met.unzip()
}

/// The lens that makes four edges straightest, if they bow by more than their points scatter: the
/// plumb-line method of Brown 1971 with the edges of the sheet for plumb lines.
fn straightening(edges: &[Vec<Pt>], known: Lens, size: [f64; 2], tolerance: f64) -> Lens {
    let bows = |k1: f64| -> Vec<(f64, f64)> {
        let optics = Optics::new(Lens { k1, k2: 0.0 }, size);
        let bow = |e: &Vec<Pt>| {
            let straight: Vec<Pt> = e.iter().map(|&p| optics.straight(p)).collect();
            line::fit(&straight, tolerance).map(|l| (l.bow, l.rms / (l.count as f64).sqrt()))
        };
        edges.iter().filter_map(bow).collect()
    };
    let mut k1 = known.k1;
    for _ in 0..4 {
        // Bows are all but linear in k1: one step of least squares along the secant.
        const STEP: f64 = 1e-3;
        let (here, there) = (bows(k1), bows(k1 + STEP));
        if here.len() != there.len() || here.is_empty() {
            return known;
        }
        let (mut sxy, mut sxx) = (0.0, 0.0);
        for (h, t) in here.iter().zip(&there) {
            let slope = (t.0 - h.0) / STEP;
            (sxy, sxx) = (sxy - h.0 * slope, sxx + slope * slope);
        }
        if sxx > 0.0 {
            k1 = (k1 + sxy / sxx).clamp(-0.4, 0.4);
        }
    }
    let sum = |b: &[(f64, f64)]| b.iter().map(|b| b.0 * b.0).sum::<f64>();
    let (before, after) = (bows(0.0), bows(k1));
    let scatter: f64 = after.iter().map(|b| b.1 * b.1).sum();
    // It must explain most of the bow, and the bow must be there: five times its own error.
    let told = sum(&before) > 25.0 * scatter && sum(&after) < 0.3 * sum(&before);
    if told { Lens { k1, k2: 0.0 } } else { Lens::default() }
}
