//! Random sequences folded a second time by a small folder of its own kind: a list of polygons from
//! the table upwards, cut by half planes and turned over, that knows nothing of faces, hinges or
//! creases. What it covers is measured by a general-purpose polygon library (`i_overlay`).

use crate::undisplaced;
use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
use i_overlay::float::single::SingleFloatOverlay;
use plumbfold::fold::apply::{self, Landing, Move, Plan, Take};
use plumbfold::fold::layout::Layout;
use plumbfold::fold::state::{Crease, Folded};
use plumbfold::fold::unfold::Motion;
use plumbfold::numeric::geom::{Point, SheetPoint, TableLine, TablePoint, Vec2, centroid};
use plumbfold::paper::Stock;
use plumbfold::pipeline::{Settings, balance, fold};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

type P = [f64; 2];

/// A piece of paper: where its corners lie, and where they were on the sheet.
#[derive(Clone)]
struct Piece {
    table: Vec<P>,
    sheet: Vec<P>,
}

fn between(a: P, b: P, t: f64) -> P {
    [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]
}

/// How far a place lies to the left of the line through `at` in direction `dir`.
fn left(at: P, dir: P, p: P) -> f64 {
    dir[0] * (p[1] - at[1]) - dir[1] * (p[0] - at[0])
}

impl Piece {
    /// The part on one side (+1 left, -1 right) of a line.
    fn part(&self, at: P, dir: P, side: f64) -> Option<Self> {
        let (mut table, mut sheet) = (vec![], vec![]);
        for i in 0..self.table.len() {
            let j = (i + 1) % self.table.len();
            let [a, b] = [i, j].map(|k| side * left(at, dir, self.table[k]));
            if a >= 0.0 {
                table.push(self.table[i]);
                sheet.push(self.sheet[i]);
            }
            if a * b < 0.0 {
                table.push(between(self.table[i], self.table[j], a / (a - b)));
                sheet.push(between(self.sheet[i], self.sheet[j], a / (a - b)));
            }
        }
        let part = Self { table, sheet };
        (part.table.len() > 2 && part.area().abs() > 1e-12).then_some(part)
    }

    fn moved(&self, motion: impl Fn(P) -> P) -> Self {
        Self { table: self.table.iter().map(|&p| motion(p)).collect(), sheet: self.sheet.clone() }
    }

    fn area(&self) -> f64 {
        twice_area(&self.table) / 2.0
    }

    /// Middle of the corners on the sheet.
    fn amid(&self) -> P {
        let n = self.sheet.len() as f64;
        let sum = self.sheet.iter().fold([0.0; 2], |s, p| [s[0] + p[0], s[1] + p[1]]);
        [sum[0] / n, sum[1] / n]
    }

    /// Where on the sheet the paper is that lies at a place well inside it.
    fn under(&self, p: P) -> Option<P> {
        let sense = self.area().signum();
        let n = self.table.len();
        let inside = (0..n).all(|i| {
            let (a, b) = (self.table[i], self.table[(i + 1) % n]);
            sense * left(a, [b[0] - a[0], b[1] - a[1]], p) > 0.0
        });
        if !inside {
            return None;
        }
        // In the frame of the two longest steps from the first corner.
        let step = |q: &[P], k: usize| [q[k][0] - q[0][0], q[k][1] - q[0][1]];
        let cross = |k: usize| {
            let (u, v) = (step(&self.table, k), step(&self.table, k + 1));
            u[0] * v[1] - u[1] * v[0]
        };
        let k = (1..n - 1).max_by(|&a, &b| cross(a).abs().total_cmp(&cross(b).abs()))?;
        let (u, v) = (step(&self.table, k), step(&self.table, k + 1));
        let w = [p[0] - self.table[0][0], p[1] - self.table[0][1]];
        let s = (w[0] * v[1] - w[1] * v[0]) / cross(k);
        let t = (u[0] * w[1] - u[1] * w[0]) / cross(k);
        let (u, v) = (step(&self.sheet, k), step(&self.sheet, k + 1));
        let o = self.sheet[0];
        Some([o[0] + s * u[0] + t * v[0], o[1] + s * u[1] + t * v[1]])
    }
}

fn twice_area(polygon: &[P]) -> f64 {
    let n = polygon.len();
    (0..n).map(|i| (polygon[i], polygon[(i + 1) % n])).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum()
}

/// Turns over what is on the left of a line and `moves`, on to everything or under it.
fn fold_pieces(
    stack: &[Piece],
    at: P,
    dir: P,
    valley: bool,
    moves: impl Fn(P) -> bool,
) -> Vec<Piece> {
    let mirror = |p: P| {
        let d = left(at, dir, p);
        [p[0] + 2.0 * d * dir[1], p[1] - 2.0 * d * dir[0]]
    };
    let (mut staying, mut moved) = (vec![], vec![]);
    for piece in stack {
        staying.extend(piece.part(at, dir, -1.0));
        if let Some(beyond) = piece.part(at, dir, 1.0) {
            if moves(beyond.amid()) {
                moved.push(beyond.moved(mirror));
            } else {
                staying.push(beyond);
            }
        }
    }
    moved.reverse();
    if valley { [staying, moved].concat() } else { [moved, staying].concat() }
}

fn union_area(polygons: impl Iterator<Item = Vec<P>>) -> f64 {
    let mut union: Vec<Vec<Vec<P>>> = vec![];
    for mut p in polygons {
        if twice_area(&p) < 0.0 {
            p.reverse();
        }
        union = union.overlay(&p, OverlayRule::Union, FillRule::NonZero);
    }
    union.iter().flatten().map(|c| twice_area(c) / 2.0).sum()
}

fn point<F>(p: P) -> Point<F> {
    Point::new(p[0], p[1])
}

/// Both folders say the same of the model.
fn same(model: &Folded, stack: &[Piece], rng: &mut Pcg64, what: &str) {
    // Where each piece lies, and so the outline: a place off by 1e-12 m along a metre of rim is
    // 1e-6 mm2.
    let (mut area, mut moment) = (0.0, [0.0; 2]);
    for piece in stack {
        let on_sheet: SheetPoint = point(piece.amid());
        let face = model.faces_at(on_sheet).next().expect("on the sheet");
        for (s, t) in piece.sheet.iter().zip(&piece.table) {
            let lies = model.faces[face].placement.apply(point(*s));
            assert!(lies.distance(point(*t)) < 1e-12, "{what}: {lies:?} {t:?}");
        }
        let table: Vec<TablePoint> = piece.table.iter().map(|&p| point(p)).collect();
        let (a, c) = (piece.area().abs(), centroid(&table));
        area += a;
        moment = [moment[0] + a * c.x, moment[1] + a * c.y];
    }
    let [w, l] = model.sheet_m;
    assert!((area - w * l).abs() < 1e-12);
    let balance = (0..model.faces.len()).fold(Vec2::default(), |sum, f| {
        let outline = model.table_polygon(f);
        sum + centroid(&outline).to_vec() * plumbfold::numeric::geom::area(&outline)
    });
    let apart = balance * (1.0 / area) - Vec2::new(moment[0] / area, moment[1] / area);
    assert!(apart.norm() < 1e-12, "{what}: balances {} m apart", apart.norm());
    // The order of the layers at places amid the pieces.
    for _ in 0..6 {
        let piece = &stack[rng.random_range(0..stack.len())];
        let n = piece.table.len();
        let [i, j, k] = [0; 3].map(|_: usize| piece.table[rng.random_range(0..n)]);
        let at = between(between(i, j, rng.random()), k, rng.random());
        let rim = |q: &[P]| {
            (0..q.len()).any(|i| {
                let (a, b) = (q[i], q[(i + 1) % q.len()]);
                let d = [b[0] - a[0], b[1] - a[1]];
                left(a, d, at).abs() < 1e-7 * d[0].hypot(d[1])
            })
        };
        if stack.iter().any(|p| rim(&p.table)) {
            continue;
        }
        let theirs: Vec<P> = stack.iter().filter_map(|p| p.under(at)).collect();
        let ours: Vec<SheetPoint> = model
            .order
            .iter()
            .map(|&f| (f, model.faces[f].placement.unapply(point(at))))
            .filter(|&(f, p)| model.faces_at(p).any(|g| g == f))
            .map(|(_, p)| p)
            .collect();
        assert_eq!(ours.len(), theirs.len(), "{what}: layers at {at:?}");
        for (a, b) in ours.iter().zip(&theirs) {
            assert!(a.distance(point(*b)) < 1e-9, "{what}: order of layers at {at:?}");
        }
    }
}

#[test]
fn a_folder_that_knows_no_faces_folds_the_same() {
    let (mut folds, mut named) = (0, 0);
    for seed in 0..1000 {
        let mut rng = Pcg64::seed_from_u64(seed);
        let stock = Stock::new(0.21, 0.297, 0.08, None).expect("a sheet");
        let mut model = Folded::new(&stock);
        let corners = vec![[0.0, 0.0], [0.21, 0.0], [0.21, 0.297], [0.0, 0.297]];
        let mut stack = vec![Piece { table: corners.clone(), sheet: corners }];
        for step in 0..rng.random_range(3..=12) {
            match rng.random_range(0..8) {
                0 => {
                    let motion = Motion::over(&model);
                    let Motion::Over(line) = motion else { unreachable!() };
                    motion.apply(&mut model);
                    stack =
                        stack.iter().map(|p| p.moved(|[x, y]| [2.0 * line.at.x - x, y])).collect();
                    stack.reverse();
                    continue;
                }
                1 => {
                    let turn = rng.random_range(0.0..6.0f64);
                    let motion = Motion::about(&model, turn);
                    let Motion::About(m, _) = motion else { unreachable!() };
                    motion.apply(&mut model);
                    let (s, c) = turn.sin_cos();
                    let about = |[x, y]: P| {
                        let (x, y) = (x - m.x, y - m.y);
                        [m.x + c * x - s * y, m.y + s * x + c * y]
                    };
                    stack = stack.iter().map(|p| p.moved(about)).collect();
                    continue;
                }
                _ => {}
            }
            // Near a corner of some face, so that small flaps are folded as well as halves.
            let face = rng.random_range(0..model.faces.len());
            let outline = model.table_polygon(face);
            let corner = outline[rng.random_range(0..outline.len())];
            let angle = rng.random_range(0.0..6.3f64);
            let dir = [angle.cos(), angle.sin()];
            let off = rng.random_range(0.0..0.06);
            let at = [corner.x + off * dir[1], corner.y - off * dir[0]];
            let take = match rng.random_range(0..6) {
                0 => Take::Top(rng.random_range(1..4)),
                1 => Take::Bottom(rng.random_range(1..4)),
                2 => Take::Flap(vec![face]),
                3 => Take::Loose(vec![face]),
                _ => Take::All,
            };
            let valley = rng.random();
            let line = TableLine { at: point(at), dir: Vec2::new(dir[0], dir[1]) };
            let fold = Move { line, valley, take, landing: Landing::Outermost };
            let crease = Crease::made_by(step);
            let Ok(plan) = Plan::new(&model, &Layout::new(&model), &fold) else { continue };
            let Ok(done) = apply::fold(&model, &fold, &plan, Err(crease)) else { continue };
            if done.folded.faces.len() > 80 {
                continue;
            }
            folds += 1;
            named += usize::from(fold.take != Take::All);
            let moves = |p: P| {
                fold.take == Take::All || done.folded.faces_at(point(p)).any(|f| done.moved[f])
            };
            stack = fold_pieces(&stack, at, dir, valley, moves);
            model = done.folded;
        }
        same(&model, &stack, &mut rng, &format!("sequence {seed}"));
        if seed % 10 == 0 {
            let mm = |p: &P| p.map(|x| x * 1e3);
            let theirs = union_area(stack.iter().map(|p| p.table.iter().map(mm).collect()));
            let ours =
                union_area((0..model.faces.len()).map(|f| {
                    model.table_polygon(f).iter().map(|p| [p.x * 1e3, p.y * 1e3]).collect()
                }));
            // The library rounds places to a millionth of a millimetre or so.
            assert!((ours - theirs).abs() < 5e-3, "sequence {seed}: {ours} {theirs} mm2");
        }
    }
    assert!(folds > 3000 && named > 500, "{folds} folds, {named} of them of named layers");
}

#[test]
fn thickness_changes_no_face_layer_or_count() {
    let mut rng = Pcg64::seed_from_u64(7);
    let mut folded = 0;
    for _ in 0..200 {
        let mut text = String::from("plane P\nsheet A4 upright, 160 g/m2\nmark front = top edge\n");
        for _ in 0..rng.random_range(1..6) {
            let by = rng.random_range(6..40);
            let verb = ["valley", "mountain"][rng.random_range(0..2)];
            text += &format!(
                "{verb} parallel to front, {by} mm from it, moving front, call it front\n"
            );
        }
        text += ["", "turn over\n", "rotate 90 deg\n"][rng.random_range(0..3)];
        text += "mountain left edge onto right edge, call it centre\n";
        let keel = rng.random_range(10..40);
        text += &format!(
            "valley near half parallel to centre, {keel} mm from it, both sides, call it wing\n"
        );
        text += "pose centre opens 6 deg, wing dihedral 5 deg\n";
        let [off, on] = [false, true].map(|creep| {
            let settings = Settings { creep: Some(creep), ..Settings::default() };
            (fold(&text, &settings), balance(&text, &settings))
        });
        match (off, on) {
            ((Ok(a), Ok(b)), (Ok(c), Ok(d))) => {
                folded += 1;
                assert_eq!(*a.run.folded, undisplaced(&c.run.folded), "{text}");
                assert_eq!(a.layers_max(), c.layers_max());
                assert_eq!(a.crease_layers_max(), c.crease_layers_max());
                assert!((b.mass.mass_kg / d.mass.mass_kg - 1.0).abs() < 1e-4, "{text}");
                assert!((b.mass.cg_m - d.mass.cg_m).norm() < 3e-3, "{text}");
                assert!(d.mass.cg_m.y.abs() < 1e-4 + b.mass.cg_m.y.abs(), "{text}");
            }
            ((off, b), (on, d)) => {
                assert_eq!(off.is_ok(), on.is_ok(), "{text}");
                assert_eq!(b.is_ok(), d.is_ok(), "{text}");
            }
        }
    }
    assert!(folded > 20, "{folded} folded");
}
