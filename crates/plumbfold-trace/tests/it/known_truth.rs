//! Photos of known truth are measured as they are.

use plumbfold_trace::ask::{Ask, Balanced, Spot};
use plumbfold_trace::trace::{Traced, trace};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::render::{Pt, Scene, normal};

/// Halves of planes of our own: right of the middle and behind the nose, mm.
pub const SHAPES: [&[[f64; 2]]; 4] = [
    &[[0.0, 0.0], [70.0, 190.0], [70.0, 200.0], [0.0, 200.0]],
    &[[8.0, 0.0], [30.0, 30.0], [95.0, 120.0], [95.0, 150.0], [40.0, 150.0], [0.0, 138.0]],
    &[[15.0, 0.0], [85.0, 60.0], [85.0, 125.0], [10.0, 125.0], [0.0, 120.0]],
    &[[3.0, 0.0], [14.0, 45.0], [80.0, 140.0], [62.0, 158.0], [15.0, 165.0], [0.0, 150.0]],
];

/// The plane of a shape laid on the sheet: its nose at a place, turned.
pub fn laid(half: &[[f64; 2]], middle: [f64; 2], turn_deg: f64) -> (Vec<Pt>, [Pt; 2]) {
    let length = half.iter().map(|p| p[1]).fold(0.0, f64::max);
    let (s, c) = turn_deg.to_radians().sin_cos();
    let place = |[x, y]: [f64; 2]| {
        let y = y - length / 2.0;
        Pt::new(middle[0] + c * x - s * y, middle[1] + s * x + c * y)
    };
    let mut all: Vec<[f64; 2]> = half.to_vec();
    all.extend(half.iter().rev().filter(|p| p[0] > 0.0).map(|p| [-p[0], p[1]]));
    (all.into_iter().map(place).collect(), [place([0.0, 0.0]), place([0.0, length])])
}

fn area(p: &[[f64; 2]]) -> f64 {
    let n = p.len();
    (0..n).map(|i| p[i][0] * p[(i + 1) % n][1] - p[(i + 1) % n][0] * p[i][1]).sum::<f64>().abs() / 2.0
}

/// Area and share ahead of a place, of a whole plane, by strips: another way than the one tested.
pub fn truth(half: &[[f64; 2]], balance: f64) -> (f64, f64) {
    let length = half.iter().map(|p| p[1]).fold(0.0, f64::max);
    let mut closed = half.to_vec();
    closed.insert(0, [0.0, half[0][1]]);
    let whole = area(&closed);
    let n = 40_000;
    let width = |y: f64| {
        let mut xs: Vec<f64> = (0..closed.len())
            .filter_map(|i| {
                let (a, b) = (closed[i], closed[(i + 1) % closed.len()]);
                ((a[1] > y) != (b[1] > y)).then(|| a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
            })
            .collect();
        xs.sort_by(f64::total_cmp);
        xs.chunks_exact(2).map(|c| c[1] - c[0]).sum::<f64>()
    };
    let step = length / n as f64;
    let ahead: f64 = (0..n)
        .map(|i| (i as f64 + 0.5) * step)
        .filter(|&y| y < balance)
        .map(|y| width(y) * step)
        .sum();
    (2.0 * whole, ahead / whole)
}

/// Errors of a trace: area, a fraction; share ahead, points; balance, mm.
pub struct Off {
    pub area: f64,
    pub ahead: f64,
    pub balance: f64,
    pub traced: Traced,
    pub truth: (f64, f64, f64),
}

/// Balance lines through a place behind the nose, at angles to the axis, as dots.
pub fn lines(scene: &Scene, behind: f64, angles: &[f64], shift: &[f64]) -> Vec<Balanced> {
    let camera = scene.camera();
    let along = (scene.axis[1] - scene.axis[0]).normalize();
    let cg = scene.axis[0] + along * behind;
    angles
        .iter()
        .zip(shift.iter().chain(std::iter::repeat(&0.0)))
        .map(|(a, shift)| {
            let (s, c) = a.to_radians().sin_cos();
            let way = nalgebra::Vector2::new(c * along.x - s * along.y, s * along.x + c * along.y);
            let off = nalgebra::Vector2::new(-way.y, way.x) * *shift;
            let spot = |t: f64| Spot::Photo(camera.dot(cg + off + way * t));
            Balanced::Line(spot(-40.0), spot(40.0))
        })
        .collect()
}

pub fn measured(scene: &Scene, half: &[[f64; 2]], behind: f64) -> Off {
    let mut ask = Ask::of_sheet(210.0, 297.0);
    ask.balance = lines(scene, behind, &[90.0, 60.0, 118.0], &[]);
    let traced = trace(&scene.bytes(), &ask, &|_| true).unwrap_or_else(|e| panic!("{e}: {scene:?}"));
    let (area, share) = truth(half, behind);
    Off {
        area: traced.area.value / area - 1.0,
        ahead: 100.0 * (traced.ahead.unwrap().value - share),
        balance: traced.balance.as_ref().unwrap().at.y - behind,
        truth: (area, share, behind),
        traced,
    }
}

/// A scene of the kind people take, all at random from a seed.
pub fn random_scene(seed: u64) -> (Scene, &'static [[f64; 2]]) {
    let mut r = Pcg64::seed_from_u64(seed);
    let mut between = |a: f64, b: f64| a + (b - a) * r.random::<f64>();
    let half = SHAPES[between(0.0, 3.999) as usize];
    let turn = between(-180.0, 180.0);
    let upright = turn.to_radians().sin().abs() < 0.7;
    let sheet = if upright { [210.0, 297.0] } else { [297.0, 210.0] };
    let lean = turn % 90.0;
    let lean = if lean.abs() > 45.0 { lean - 90.0 * lean.signum() } else { lean } * 0.3;
    let square = (turn / 90.0).round() * 90.0;
    let (plane, axis) = laid(half, [sheet[0] / 2.0 + between(-2.0, 2.0), sheet[1] / 2.0 + between(-8.0, 8.0)], square + lean * 0.5);
    let mut s = Scene::plain(plane, axis);
    s.sheet = sheet;
    s.photo = if (between(0.0, 1.0) < 0.5) == upright { [1200, 1600] } else { [1600, 1200] };
    s.turn = if between(0.0, 1.0) < 0.5 { between(-8.0, 8.0) } else { 180.0 + between(-8.0, 8.0) };
    s.tilt = between(0.0, 30.0);
    s.tilt_toward = between(0.0, 360.0);
    s.k1 = between(-0.06, 0.03);
    s.falling = [between(-0.3, 0.3), between(-0.3, 0.3)];
    s.blur = between(0.5, 1.3);
    s.noise = between(0.002, 0.015);
    s.shadow = ([between(-2.0, 2.0), between(-2.0, 2.0)], between(1.0, 4.0), between(0.1, 0.4));
    s.wings = [between(0.9, 1.05), between(0.85, 1.0)];
    if between(0.0, 1.0) < 0.5 {
        s.hand = Some((Pt::new(sheet[0] * between(0.2, 0.8), sheet[1] * between(0.2, 0.8)), [between(-1.0, 1.0), between(-1.0, 1.0)], between(0.1, 0.35)));
    }
    if between(0.0, 1.0) < 0.4 {
        s.creases = vec![([Pt::new(sheet[0] / 2.0, 0.0), Pt::new(sheet[0] / 2.0, sheet[1])], 0.4, between(0.05, 0.2)),
            ([Pt::new(0.0, sheet[1] / 2.0), Pt::new(sheet[0], sheet[1] / 2.0)], 0.4, between(0.05, 0.2))];
    }
    let kind = between(0.0, 4.0);
    if kind < 1.0 {
        // White on a dark sheet on a light table.
        s.paper = [between(0.02, 0.08); 3];
        s.table = [0.45, 0.33, 0.22];
        s.colour = [0.75, 0.75, 0.73];
    } else if kind < 3.0 {
        s.colour = [between(0.03, 0.7), between(0.05, 0.5), between(0.03, 0.7)];
        if s.colour.iter().all(|&c| c > 0.35) {
            s.colour[2] = 0.08;
        }
    } else {
        // Coloured sheet.
        s.paper = [0.15, 0.35, 0.20];
        s.colour = [0.72, 0.72, 0.70];
        s.table = [0.6, 0.55, 0.5];
    }
    s.quality = Some([60, 75, 90][between(0.0, 2.999) as usize]);
    s.seed = seed;
    (s, half)
}

#[test]
#[ignore = "explores; prints figures"]
fn explore() {
    let from: u64 = std::env::var("FROM").ok().and_then(|s| s.parse().ok()).unwrap_or(0);
    let n: u64 = std::env::var("N").ok().and_then(|s| s.parse().ok()).unwrap_or(12);
    for seed in from..from + n {
        let (scene, half) = random_scene(seed);
        let behind = 0.45 * half.iter().map(|p| p[1]).fold(0.0, f64::max);
        let bytes = scene.bytes();
        if std::env::var("KEEP").is_ok() {
            std::fs::write(format!("/tmp/trace/{seed}.jpg"), &bytes).unwrap();
        }
        let mut ask = Ask::of_sheet(210.0, 297.0);
        ask.balance = lines(&scene, behind, &[90.0, 60.0, 118.0], &[]);
        let t0 = std::time::Instant::now();
        match trace(&bytes, &ask, &|_| true) {
            Ok(t) => {
                let (area, share) = truth(half, behind);
                println!(
                    "{seed}: area {:+.2} % ({:.2})  ahead {:+.2} ({:.2})  balance {:+.2} ({:.2})  corners {} of {}  {} contrast {:.0} width {:.2} k1 {:+.3} for {:+.3} asym {:.2} aspect {:.3} {:?} {:?}",
                    100.0 * (t.area.value / area - 1.0), 100.0 * t.area.sd / area,
                    100.0 * (t.ahead.unwrap().value - share), 100.0 * t.ahead.unwrap().sd,
                    t.balance.as_ref().unwrap().at.y - behind, t.balance.as_ref().unwrap().sd[1],
                    t.corners.len(), scene.plane.len(), t.rule, t.contrast, t.edge_width_mm, t.lens.k1, scene.k1, t.asymmetry_mm, t.aspect.unwrap(),
                    t.remarks.iter().map(|r| r.code).collect::<Vec<_>>(), t0.elapsed());
            }
            Err(e) => println!("{seed}: {e} tilt {} noise {} {:?}", scene.tilt, scene.noise, scene.colour),
        }
    }
    let _ = normal(&mut Pcg64::seed_from_u64(1));
}
