//! Every place where a curve reaches a level, when the curve may rise and fall, jump and have
//! gaps.
//!
//! ```text
//!   |      .--.                 gap            x: places
//!   |     /    \        /             /
//!   +----x------x------/-------------x------   level; the jump is no place
//!   |   /        `----'
//! ```

use crate::numeric::search::root;
use rayon::prelude::*;

/// What is sought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Ends of the range.
    pub ends: [f64; 2],
    /// Value now: places near it come first.
    pub now: f64,
    /// Only whole numbers are places.
    pub whole: bool,
    /// The level.
    pub wanted: f64,
    /// Closer to the level than this is on it.
    pub slack: f64,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reach {
    /// Where the level is reached, nearest to the value now first.
    pub places: Vec<f64>,
    /// Where the curve comes closest to the level, and its value there.
    pub nearest: Option<(f64, f64)>,
    /// The curve is not level itself.
    pub moves: bool,
    /// The curve has values on both sides of the level.
    pub passes: bool,
}

/// Parts of the scan. Chosen: a curve that turns twice within a fiftieth of its range would be
/// a sensitive fold indeed.
const PARTS: usize = 48;
/// Most whole numbers tried.
const WHOLE_MAX: usize = 200;
/// Halvings to the end of what can be folded: a part is then cut to a billionth.
const HALVINGS: usize = 30;
/// Steps of a golden section to the turning point of a curve: 0.618^40 is a billionth.
const SECTIONS: usize = 40;
/// Share of the range to which a place is known.
const FINE: f64 = 1e-12;

/// Place and distance from the level.
type Node = (f64, f64);

/// Finds them. `f` gives no value where nothing can be folded.
pub fn reach(curve: &Curve, f: &(impl Fn(f64) -> Option<f64> + Sync)) -> Reach {
    let off = |x: f64| f(x).filter(|y| y.is_finite()).map(|y| y - curve.wanted);
    let at = scan_places(curve);
    let values: Vec<Option<f64>> = at.par_iter().map(|&x| off(x)).collect();
    let mut nodes: Vec<Option<Node>> =
        at.iter().zip(&values).map(|(&x, y)| y.map(|y| (x, y))).collect();
    if !curve.whole {
        nodes = with_edges(&at, &nodes, &off);
    }
    let pieces: Vec<&[Option<Node>]> =
        nodes.split(Option::is_none).filter(|p| !p.is_empty()).collect();
    let mut places = Vec::new();
    let mut seen: Vec<Node> = nodes.iter().flatten().copied().collect();
    for piece in pieces.iter().map(|p| p.iter().flatten().copied().collect::<Vec<Node>>()) {
        places.extend(piece.iter().filter(|n| n.1.abs() <= curve.slack).map(|n| n.0));
        if curve.whole {
            continue;
        }
        let mut brackets: Vec<(Node, Node)> = piece.windows(2).map(|w| (w[0], w[1])).collect();
        for turn in piece.windows(3).filter_map(|w| turning_point(w, curve, &off)) {
            seen.push(turn.1);
            brackets.extend([(turn.0, turn.1), (turn.1, turn.2)]);
            if turn.1.1.abs() <= curve.slack {
                places.push(turn.1.0);
            }
        }
        let crossing = |(a, b): &(Node, Node)| crossing(*a, *b, curve, &off);
        places.extend(brackets.par_iter().filter_map(crossing).collect::<Vec<f64>>());
    }
    places.sort_by(|a, b| (a - curve.now).abs().total_cmp(&(b - curve.now).abs()));
    let mut apart: Vec<f64> = Vec::new();
    let near = 1e-6 * (curve.ends[1] - curve.ends[0]).abs();
    for x in places {
        if apart.iter().all(|p| (p - x).abs() > near) {
            apart.push(x);
        }
    }
    let ends = seen.iter().fold((f64::MAX, f64::MIN), |e, n| (e.0.min(n.1), e.1.max(n.1)));
    let closest = seen.iter().min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    Reach {
        places: apart,
        nearest: closest.map(|n| (n.0, n.1 + curve.wanted)),
        moves: ends.1 - ends.0 > curve.slack,
        passes: ends.0 <= 0.0 && ends.1 >= 0.0,
    }
}

fn scan_places(curve: &Curve) -> Vec<f64> {
    let [low, high] = curve.ends;
    if curve.whole {
        let (low, high) = (low.ceil(), high.floor());
        let n = (high - low).clamp(-1.0, WHOLE_MAX as f64 - 1.0) + 1.0;
        return (0..n as usize).map(|k| low + k as f64).collect();
    }
    let part = |k: usize| low + (high - low) * k as f64 / PARTS as f64;
    let mut at: Vec<f64> = (0..=PARTS).map(part).collect();
    // The value now is a node, so that a plane that is there already is found exactly.
    at.extend(Some(curve.now).filter(|v| low < *v && *v < high));
    at.sort_by(f64::total_cmp);
    at.dedup();
    at
}

/// The nodes, with more of them where a gap begins or ends.
fn with_edges(
    at: &[f64],
    nodes: &[Option<Node>],
    off: &(impl Fn(f64) -> Option<f64> + Sync),
) -> Vec<Option<Node>> {
    let edges: Vec<Option<Node>> = (1..nodes.len())
        .into_par_iter()
        .map(|i| match (nodes[i - 1], nodes[i]) {
            (Some(good), None) => Some(edge(good, at[i], off)),
            (None, Some(good)) => Some(edge(good, at[i - 1], off)),
            _ => None,
        })
        .collect();
    let mut all = Vec::with_capacity(nodes.len() + 4);
    for (i, node) in nodes.iter().enumerate() {
        all.push(*node);
        let beyond = edges.get(i).copied().flatten();
        match (node, beyond) {
            (Some(_), Some(edge)) => all.push(Some(edge)),
            (None, Some(edge)) => all.push(Some(edge)),
            _ => {}
        }
    }
    all
}

/// The last place on the way from a good one to a bad one.
fn edge(mut good: Node, mut bad: f64, off: &impl Fn(f64) -> Option<f64>) -> Node {
    for _ in 0..HALVINGS {
        let middle = (good.0 + bad) / 2.0;
        match off(middle) {
            Some(y) => good = (middle, y),
            None => bad = middle,
        }
    }
    good
}

/// Where the curve turns towards the level between three nodes, with the outer two.
fn turning_point(
    nodes: &[Node],
    curve: &Curve,
    off: &impl Fn(f64) -> Option<f64>,
) -> Option<(Node, Node, Node)> {
    let [a, b, c] = *nodes else { return None };
    let sign = b.1.signum();
    let same = a.1 * sign > 0.0 && c.1 * sign > 0.0;
    let nearer = |o: Node| o.1.abs() - b.1.abs();
    let dips = nearer(a).min(nearer(c)) >= 0.0 && nearer(a).max(nearer(c)) > curve.slack / 10.0;
    if !(same && dips) {
        return None;
    }
    let height = |x: f64| off(x).map_or(f64::INFINITY, |y| y * sign);
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (a.0, c.0);
    let (mut p, mut q) = (high - golden * (high - low), low + golden * (high - low));
    let (mut at_p, mut at_q) = (height(p), height(q));
    for _ in 0..SECTIONS {
        if at_p <= at_q {
            (high, q, at_q) = (q, p, at_p);
            p = high - golden * (high - low);
            at_p = height(p);
        } else {
            (low, p, at_p) = (p, q, at_q);
            q = low + golden * (high - low);
            at_q = height(q);
        }
        if at_p.min(at_q) < 0.0 {
            break;
        }
    }
    let turn = if at_p <= at_q { (p, at_p) } else { (q, at_q) };
    let turn = if turn.1 < b.1 * sign { turn } else { (b.0, b.1 * sign) };
    turn.1.is_finite().then_some((a, (turn.0, turn.1 * sign), c))
}

/// The place between two nodes on either side of the level; none where the curve jumps over it.
fn crossing(a: Node, b: Node, curve: &Curve, off: &impl Fn(f64) -> Option<f64>) -> Option<f64> {
    if a.1 * b.1 >= 0.0 {
        return None;
    }
    let fine = FINE * (curve.ends[1] - curve.ends[0]).abs();
    let x = root(|x| off(x).unwrap_or(f64::NAN), a.0, b.0, fine).ok()?;
    off(x).is_some_and(|y| y.abs() <= curve.slack).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(wanted: f64, now: f64) -> Curve {
        Curve { ends: [0.0, 10.0], now, whole: false, wanted, slack: 1e-6 }
    }

    fn near(places: &[f64], expected: &[f64]) {
        let close = places.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-7);
        assert!(places.len() == expected.len() && close, "{places:?} instead of {expected:?}");
    }

    #[test]
    fn every_place_of_a_curve_that_rises_and_falls_nearest_first() {
        let f = |x: f64| Some(x * (10.0 - x));
        near(&reach(&curve(16.0, 7.0), &f).places, &[8.0, 2.0]);
        near(&reach(&curve(16.0, 2.5), &f).places, &[2.0, 8.0]);
    }

    #[test]
    fn two_places_within_one_part_of_the_scan() {
        // The hump tops out between two nodes, a hair above the level.
        let top = 5.07;
        let f = |x: f64| Some(-(x - top) * (x - top));
        near(&reach(&curve(-1e-4, 0.0), &f).places, &[top - 0.01, top + 0.01]);
    }

    #[test]
    fn a_turning_point_that_only_touches_the_level_is_a_place() {
        let r = reach(&curve(0.0, 0.0), &|x: f64| Some((x - 5.07).powi(2)));
        assert!(!r.places.is_empty() && r.places.iter().all(|x| (x - 5.07).abs() < 2e-3), "{r:?}");
    }

    #[test]
    fn a_jump_over_the_level_is_no_place() {
        let f = |x: f64| Some(if x < 3.3 { x } else { x + 5.0 });
        let r = reach(&curve(6.0, 0.0), &f);
        assert!(r.places.is_empty() && r.passes, "{r:?}");
        near(&reach(&curve(9.0, 0.0), &f).places, &[4.0]);
    }

    #[test]
    fn a_place_between_the_last_node_and_the_edge_of_a_gap() {
        let f = |x: f64| (!(4.13..6.0).contains(&x)).then_some(x);
        near(&reach(&curve(4.125, 0.0), &f).places, &[4.125]);
        let r = reach(&curve(5.0, 0.0), &f);
        assert!(r.places.is_empty(), "{r:?}");
        let (at, value) = r.nearest.unwrap();
        assert!((at - 4.13).abs() < 1e-6 && (value - 4.13).abs() < 1e-6, "{at} {value}");
    }

    #[test]
    fn out_of_reach_says_how_near_and_where() {
        let r = reach(&curve(30.0, 0.0), &|x: f64| Some(x * (10.0 - x)));
        assert!(r.places.is_empty() && !r.passes && r.moves);
        let (at, value) = r.nearest.unwrap();
        assert!((at - 5.0).abs() < 1e-3 && (value - 25.0).abs() < 1e-6, "{at} {value}");
    }

    #[test]
    fn a_curve_that_does_not_move_and_one_that_is_nowhere() {
        let r = reach(&curve(2.0, 0.0), &|_| Some(1.0));
        assert!(!r.moves && r.places.is_empty() && r.nearest.is_some());
        assert_eq!(reach(&curve(2.0, 0.0), &|_| None), Reach::default());
        assert_eq!(reach(&curve(2.0, 0.0), &|_| Some(f64::NAN)), Reach::default());
    }

    #[test]
    fn counts_are_whole() {
        let count = |wanted| Curve { whole: true, ends: [0.0, 6.0], ..curve(wanted, 3.0) };
        let f = |x: f64| Some(0.25 + 0.25 * 0.5f64.powf(x));
        assert_eq!(reach(&count(0.3125), &f).places, [2.0]);
        let r = reach(&count(0.3), &f);
        assert!(r.places.is_empty() && r.passes, "{r:?}");
        assert_eq!(r.nearest, Some((2.0, 0.3125)));
    }
}
