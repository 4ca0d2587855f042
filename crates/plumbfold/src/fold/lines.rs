//! The seven one-fold operations of Huzita and Justin (Justin 1986, Huzita 1989; operation 7 also
//! Hatori 2001), on table points and lines. Each returns every crease that does what was asked,
//! in a fixed order: by direction, anticlockwise from the table's x axis, then from right to left
//! of that direction. Creases that would move nothing (the point lies there already) are left out.

use crate::numeric::geom::{TOLERANCE_M, TableLine, TablePoint, Vec2};

/// (1) The crease through two places.
pub fn through(p: TablePoint, q: TablePoint) -> Option<TableLine> {
    TableLine::through(p, q)
}

/// (2) The crease that brings `p` onto `q`.
pub fn point_onto_point(p: TablePoint, q: TablePoint) -> Option<TableLine> {
    let dir = (q - p).unit()?.perp();
    Some(TableLine { at: p.lerp(q, 0.5), dir })
}

/// (3) The creases that bring `l` onto `m`: one half way between parallels, else two bisectors.
pub fn line_onto_line(l: &TableLine, m: &TableLine) -> Vec<TableLine> {
    let m = if l.dir.dot(m.dir) < 0.0 { m.reversed() } else { *m };
    let Some(at) = l.crossing(&m).filter(|_| l.dir.cross(m.dir).abs() > PARALLEL) else {
        let foot = m.place(m.along(l.at));
        let apart = l.at.distance(foot) > TOLERANCE_M;
        let halfway = TableLine::from_dir(l.at.lerp(foot, 0.5), l.dir + m.dir);
        return sorted(halfway.into_iter().filter(|_| apart));
    };
    let between = [l.dir + m.dir, l.dir - m.dir];
    sorted(between.into_iter().filter_map(|dir| TableLine::from_dir(at, dir)))
}

/// (4) The crease square to `l` through `p`.
pub fn perpendicular(l: &TableLine, p: TablePoint) -> TableLine {
    TableLine { at: p, dir: l.dir.perp() }
}

/// (5) The creases through `hinge` that bring `p` onto `l`: 0 to 2.
pub fn point_onto_line(p: TablePoint, l: &TableLine, hinge: TablePoint) -> Vec<TableLine> {
    let (reach, gap) = (p.distance(hinge), l.side(hinge));
    let half = reach * reach - gap * gap;
    // A circle that misses the line by less than the tolerance touches it.
    if reach < gap.abs() - TOLERANCE_M {
        return Vec::new();
    }
    let (foot, half) = (l.along(hinge), half.max(0.0).sqrt());
    let landings = if half <= TOLERANCE_M { vec![foot] } else { vec![foot - half, foot + half] };
    let crease = |s: f64| {
        let landing = l.place(s);
        let across = (landing - p).unit()?;
        Some(TableLine { at: hinge, dir: across.perp() })
    };
    sorted(landings.into_iter().filter_map(crease))
}

/// (6) The creases that bring `p` onto `l` and `q` onto `m` at once: 0 to 3.
///
/// With `n` the crease's unit normal and `c` its offset, `p` lands at `p - 2 (n.p - c) n`, which
/// lies on `l` (normal `a`, at distance `d` from `p`) when `c = n.p + d / (2 n.a)`. Equating both
/// offsets gives a form of third degree in the two components of `n`.
pub fn two_points_onto_lines(
    (p, l): (TablePoint, &TableLine),
    (q, m): (TablePoint, &TableLine),
) -> Vec<TableLine> {
    let (a, b) = (l.dir.perp(), m.dir.perp());
    let (d, e) = (-l.side(p), -m.side(q));
    let u = p - q;
    let form =
        |n: Vec2| 2.0 * n.dot(u) * n.dot(a) * n.dot(b) + (d * n.dot(b) - e * n.dot(a)) * n.dot(n);
    let crease = |n: Vec2| {
        let (na, nb) = (n.dot(a), n.dot(b));
        // The better conditioned of the two offsets.
        let c = if na.abs() >= nb.abs() {
            n.dot(p.to_vec()) + d / (2.0 * na)
        } else {
            n.dot(q.to_vec()) + e / (2.0 * nb)
        };
        let line = TableLine { at: TablePoint::new(n.x * c, n.y * c), dir: n.perp() };
        let lands = |p: TablePoint, l: &TableLine| l.side(line.reflect(p)).abs() < LANDING_M;
        let moves = line.side(p).abs() > TOLERANCE_M || line.side(q).abs() > TOLERANCE_M;
        (c.is_finite() && lands(p, l) && lands(q, m) && moves).then_some(line)
    };
    let mut creases = sorted(normals(form).into_iter().filter_map(crease));
    creases.dedup_by(|a, b| a.dir.cross(b.dir).abs() < PARALLEL && a.side(b.at).abs() < LANDING_M);
    creases
}

/// (7) The crease square to `m` that brings `p` onto `l`.
pub fn point_onto_line_square_to(p: TablePoint, l: &TableLine, m: &TableLine) -> Option<TableLine> {
    let slope = l.dir.cross(m.dir);
    let travel = -l.side(p) / slope;
    (slope.abs() > PARALLEL && travel.abs() > TOLERANCE_M)
        .then(|| TableLine { at: p + m.dir * (travel / 2.0), dir: m.dir.perp() })
}

/// Lines whose directions differ by less than this (radians) are parallel: over two metres they
/// part by 2e-9 m, twice the tolerance.
const PARALLEL: f64 = 1e-9;
/// How near to its line a point must land for a root of (6) to count: rounding of a double root
/// is the square root of the rounding of a simple one (derived, on a sheet of a metre).
const LANDING_M: f64 = 1e-8;

/// Unit normals, up to sign, where a form of third degree vanishes: up to three.
///
/// Written as `t e + f` with `e` the direction where the form is largest (so never a zero) and `f`
/// square to it, the form is a cubic in `t` whose leading coefficient is safely not zero.
fn normals(form: impl Fn(Vec2) -> f64) -> Vec<Vec2> {
    let directions = (0..8).map(|k| {
        let (s, c) = (f64::from(k) * std::f64::consts::PI / 8.0).sin_cos();
        Vec2::new(c, s)
    });
    let size = |n: &Vec2| form(*n).abs();
    let Some(e) = directions.max_by(|m, n| size(m).total_cmp(&size(n))) else { return Vec::new() };
    if size(&e) < TOLERANCE_M * TOLERANCE_M {
        // Every direction will do: the places lie on their lines already.
        return Vec::new();
    }
    let f = e.perp();
    let at = |t: f64| form(e * t + f);
    let (lead, constant) = (form(e), form(f));
    let (plus, minus) = (at(1.0), at(-1.0));
    let (square, linear) = ((plus + minus) / 2.0 - constant, (plus - minus) / 2.0 - lead);
    let roots = cubic_roots([square / lead, linear / lead, constant / lead]);
    roots.into_iter().filter_map(|t| (e * t + f).unit()).collect()
}

/// Real roots of `t^3 + a t^2 + b t + c`, least first. Between its turning points a cubic is
/// monotone, so each stretch holds one root or none, found by bisection, which cannot fail; a
/// turning point that reaches zero to rounding is a double root.
fn cubic_roots([a, b, c]: [f64; 3]) -> Vec<f64> {
    let value = |t: f64| ((t + a) * t + b) * t + c;
    // All roots lie within Cauchy's bound (Cauchy 1829).
    let bound = 1.0 + a.abs().max(b.abs()).max(c.abs());
    let spread = a * a - 3.0 * b;
    let turns = if spread > 0.0 {
        vec![(-a - spread.sqrt()) / 3.0, (-a + spread.sqrt()) / 3.0]
    } else {
        Vec::new()
    };
    let noise = |t: f64| 1e-14 * (t.abs().powi(3) + (a * t * t).abs() + (b * t).abs() + c.abs());
    let mut roots: Vec<f64> =
        turns.iter().copied().filter(|&t| value(t).abs() <= noise(t)).collect();
    let knots: Vec<f64> =
        std::iter::once(-bound).chain(turns.iter().copied()).chain([bound]).collect();
    for w in knots.windows(2) {
        let (mut low, mut high) = (w[0], w[1]);
        let rising = value(low) < 0.0;
        if rising == (value(high) < 0.0) {
            continue;
        }
        for _ in 0..BISECTIONS {
            let middle = low + (high - low) / 2.0;
            if (value(middle) < 0.0) == rising { low = middle } else { high = middle }
        }
        if !roots.iter().any(|r| (r - low).abs() < 1e-7 * (1.0 + low.abs())) {
            roots.push(low);
        }
    }
    roots.sort_by(f64::total_cmp);
    roots
}

/// Enough to halve any stretch down to neighbouring floating-point numbers.
const BISECTIONS: usize = 100;

/// In the fixed order.
pub fn sorted(creases: impl IntoIterator<Item = TableLine>) -> Vec<TableLine> {
    let mut creases: Vec<TableLine> = creases.into_iter().map(upright).collect();
    sort_as_seen(&mut creases, |l| *l);
    creases
}

/// Run upwards, or rightwards when level.
fn upright(l: TableLine) -> TableLine {
    let level = l.dir.y.abs() < PARALLEL;
    let backwards = if level { l.dir.x < 0.0 } else { l.dir.y < 0.0 };
    if backwards { l.reversed() } else { l }
}

/// Puts creases in the fixed order of their images under `seen` (which is the mirror image for
/// the mirrored half of a step, so that `take 2` is the mirror image of `take 2`).
pub fn sort_as_seen(creases: &mut [TableLine], seen: impl Fn(&TableLine) -> TableLine) {
    creases.sort_by(|a, b| {
        let [a, b] = [a, b].map(|l| upright(seen(l)));
        let slope = |l: &TableLine| l.dir.y.max(0.0).atan2(l.dir.x);
        let offset = |l: &TableLine| l.side(TablePoint::new(0.0, 0.0));
        slope(&a).total_cmp(&slope(&b)).then(offset(&b).total_cmp(&offset(&a)))
    });
}

#[cfg(test)]
mod tests;
