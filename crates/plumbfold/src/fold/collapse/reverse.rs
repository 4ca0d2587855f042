//! Reverse folds, closed sinks, crimps and pleats: the end of a flap turned about one line, or about two.
//!
//! ```text
//!     flap, seen from the side      inside reverse          outside reverse
//!      spine __________tip           ___________             ____/tip\
//!           /         /             /      |:::|            /   /    /
//!          /_________/             /_______|:::|           /___/____/
//!                                  the end goes in         the end is turned inside out
//!                                  between the layers      round the layers
//!     cut across the line:
//!            ____ upper              ____ body               ____ end
//!      tip  (____                    ____ end  )             ____ body
//!            lower                   ____ end  )             ____ body
//!                                    ____ body               ____ end
//!
//!     crimp: two lines, both halves  pleat: two lines, one pile
//!            ____ body
//!              ____ band )                   ____ tip
//!            (____ tip                     (____ band
//!            (____ tip                  _______ body )
//!              ____ band )
//!            ____ body
//! ```

use super::cut::Creased;
use super::flap::{self, Flap};
use super::{Call, CollapseError, Collapsed, Plan, collapse};
use crate::fold::layers::LayerError;
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{SheetPoint, TOLERANCE_M, TableLine};

/// Which way the end of a two-sided flap goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Between the flap's own layers.
    Inside,
    /// Around them.
    Outside,
}

/// Reverses the end of a flap that carries `tip` and lies beyond `line` (table frame).
///
/// # Errors
/// [`CollapseError`]; a flap without a folded edge across the line cannot be reversed.
pub fn reverse(
    model: &Folded,
    way: Way,
    tip: SheetPoint,
    line: &TableLine,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let end = End::new(model, tip, &[*line], call)?;
    let fold = |way| end.fold(end.parted()?, way, take);
    let (other, what) = match way {
        Way::Inside => (
            Way::Outside,
            "across this line the end can only go round the outside; to go inside, the line must \
             lean towards the end that moves, at less than 90 deg to the folded edge on that side",
        ),
        Way::Outside => (
            Way::Inside,
            "across this line the end can only go inside; to go round the outside, the line must \
             lean away from the end that moves, at more than 90 deg to the folded edge on that side",
        ),
    };
    match fold(way) {
        Err(CollapseError::Layers { evidence, .. }) if fold(other).is_ok() => {
            Err(CollapseError::Unfit { what, evidence })
        }
        Err(CollapseError::Layers { cause: LayerError::Impossible { .. }, evidence }) => {
            let what = "across this line the end fits neither inside nor outside: let the line run \
                        clear of what is folded beside the end (a wing), from the folded edge out \
                        through the end's own edge";
            Err(CollapseError::Unfit { what, evidence })
        }
        done => done,
    }
}

/// Sinks the end of a flap that carries `tip` and lies beyond `line`, closed: its upper layers go
/// down and its lower layers up into one pocket between them, and none of them is opened out. Of
/// several pockets the one nearest to the middle of the layers is meant by `take` 1.
///
/// # Errors
/// [`CollapseError`]; [`CollapseError::FewerOrders`] for more pockets than there are.
pub fn closed_sink(
    model: &Folded,
    tip: SheetPoint,
    line: &TableLine,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let end = End::new(model, tip, &[*line], call)?;
    let layers = end.pile.len();
    let mut pockets: Vec<usize> = (1..layers).collect();
    pockets.sort_by_key(|&k| (2 * k).abs_diff(layers));
    let (sunk, failed): (Vec<_>, Vec<_>) =
        pockets.into_iter().map(|k| end.fold(k, Way::Inside, 1)).partition(Result::is_ok);
    let orders = sunk.len();
    match (sunk.into_iter().nth(take.saturating_sub(1)), failed.into_iter().next()) {
        (Some(done), _) => Ok(Collapsed { orders, ..done? }),
        (None, Some(Err(CollapseError::Layers { evidence, .. }))) if orders == 0 => {
            let what = "no pocket between these layers takes the end in whole: open the point out \
                        with `open sink`, or sink less of it";
            Err(CollapseError::Unfit { what, evidence })
        }
        (None, Some(cause)) if orders == 0 => cause,
        (None, None) if orders == 0 => {
            let what = "one layer alone has no pocket for its end to go into";
            Err(CollapseError::unfit(what, &[end.flap.line.at]))
        }
        _ => Err(CollapseError::FewerOrders { orders, wanted: take }),
    }
}

/// Crimps a two-sided flap: turned about one line and back about the other, band and tip between
/// the layers of the body where they fit, else round the outside.
///
/// # Errors
/// As [`reverse`], and [`CollapseError::Unfit`] when the lines cross on the flap.
pub fn crimp(
    model: &Folded,
    tip: SheetPoint,
    lines: [TableLine; 2],
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let end = End::new(model, tip, &lines, call)?;
    let middle = end.parted()?;
    match end.fold(middle, Way::Inside, take) {
        Err(CollapseError::Layers { .. }) => end.fold(middle, Way::Outside, take),
        done => done,
    }
}

/// Pleats a flap, all its layers as one pile: valley along the first line, mountain along the
/// second.
///
/// # Errors
/// [`CollapseError`], and [`CollapseError::Unfit`] when the lines cross on the flap.
pub fn pleat(
    model: &Folded,
    tip: SheetPoint,
    lines: [TableLine; 2],
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let end = End::new(model, tip, &lines, call)?;
    // Valley nearest to the body: band and tip come on top; else they go underneath.
    let middle = if end.first_is_near { 0 } else { end.pile.len() };
    end.fold(middle, Way::Outside, take)
}

/// The end of a flap, creased along one line or two.
struct End {
    creased: Creased,
    flap: Flap,
    /// 0 for what stays, 1 for the part beyond the line nearest to it, 2 beyond both.
    part: Vec<usize>,
    /// The faces of the end, from the table upwards.
    pile: Vec<FaceId>,
    /// Pairs of faces hinged across a line: the one nearer to the body, the other.
    attached: Vec<[FaceId; 2]>,
    first_is_near: bool,
}

impl End {
    fn new(
        model: &Folded,
        tip: SheetPoint,
        lines: &[TableLine],
        call: &Call,
    ) -> Result<Self, CollapseError> {
        let mut flaps = Vec::new();
        for line in lines {
            flaps.push(flap::beyond(model, tip, line)?);
        }
        let size = |f: &Flap| f.faces.iter().filter(|&&f| f).count();
        let distance = |f: &Flap| model.on_table(tip).map_or(0.0, |p| f.line.side(p));
        // The near line has more beyond it; of parallel lines it is the one farther from the tip.
        let near = flaps.iter().enumerate().max_by(|(_, a), (_, b)| {
            size(a).cmp(&size(b)).then(distance(a).total_cmp(&distance(b)))
        });
        let Some((near, flap)) = near.map(|(i, f)| (i, f.clone())) else {
            return Err(CollapseError::unfit("no line to fold along", &[]));
        };
        let mut creased = Creased::new(model);
        for f in &flaps {
            creased.along(&f.line, |face| flap.faces[face], call)?;
        }
        let beyond = |f: FaceId, i: usize| flaps[i].line.side(creased.middle(f)) > 0.0;
        let mut part = vec![0; creased.model.faces.len()];
        for f in (0..part.len()).filter(|&f| flap.faces[creased.origin[f]]) {
            let far = (0..flaps.len()).any(|i| i != near && beyond(f, i));
            part[f] = match (beyond(f, near), far) {
                (false, false) => 0,
                (false, true) => {
                    let what = "the two lines cross on the flap; they must run side by side";
                    return Err(CollapseError::unfit(what, &[creased.middle(f)]));
                }
                (true, far) => 1 + usize::from(far),
            };
        }
        let pairs = creased.model.hinges.iter().map(|h| h.faces);
        let attached = pairs
            .filter(|[a, b]| part[*a] != part[*b])
            .map(|[a, b]| if part[a] < part[b] { [a, b] } else { [b, a] })
            .collect();
        let pile = creased.model.order.iter().copied().filter(|&f| part[f] > 0).collect();
        Plan::turning(&creased.model, &part)?;
        Ok(Self { creased, flap, part, pile, attached, first_is_near: near == 0 })
    }

    /// Folds the end; its layers from `middle` upwards are its upper half, those below its lower.
    fn fold(&self, middle: usize, way: Way, take: usize) -> Result<Collapsed, CollapseError> {
        let model = &self.creased.model;
        let mut plan = Plan::turning(model, &self.part)?;
        let ranks = model.ranks();
        let upper = |f: FaceId| self.pile[middle..].contains(&f);
        let above = |f: FaceId| upper(f) == (way == Way::Outside);
        plan.below =
            self.attached.iter().map(|&[b, e]| if above(e) { [b, e] } else { [e, b] }).collect();

        // The layers of one part of one half. A part that is turned over comes in the reverse
        // order.
        let layers = |half: bool, part: usize| -> Vec<FaceId> {
            let own = self.pile.iter().copied();
            let mut own: Vec<_> =
                own.filter(|&f| self.part[f] == part && upper(f) == half).collect();
            if part == 1 {
                own.reverse();
            }
            own
        };
        let body = |half: bool| {
            let own = self.attached.iter().filter(move |a| upper(a[1]) == half);
            own.filter(|a| self.part[a[0]] == 0).map(|a| ranks[a[0]])
        };
        let (low, high) = match way {
            // Both halves next to each other, right under the upper layers of the body.
            Way::Inside => {
                let under = body(true).min().unwrap_or(0);
                (under, under)
            }
            Way::Outside => {
                (body(false).min().unwrap_or(0), body(true).max().map_or(ranks.len(), |r| r + 1))
            }
        };
        let outwards = way == Way::Outside;
        let pile_of = |half: bool| -> Vec<FaceId> {
            let near_first = [layers(half, 1), layers(half, 2)].concat();
            let far_first = [layers(half, 2), layers(half, 1)].concat();
            // In the upper half of an outward move the tip comes on top of the band.
            if half == outwards { near_first } else { far_first }
        };
        plan.stack.clear();
        for rank in 0..=model.order.len() {
            if rank == low {
                plan.stack.extend(pile_of(false));
            }
            if rank == high {
                plan.stack.extend(pile_of(true));
            }
            plan.stack.extend(model.order.get(rank).filter(|&&f| self.part[f] == 0));
        }
        collapse(model, &plan, take)
    }

    /// Where the pile parts into a lower and an upper half: the place that most folded edges
    /// running across the line go round; of several such, the middlemost.
    fn parted(&self) -> Result<usize, CollapseError> {
        let model = &self.creased.model;
        let at = |f: FaceId| self.pile.iter().position(|&g| g == f);
        let spines = model.hinges.iter().filter(|h| {
            let reaches = |p| self.flap.line.side(p).abs() <= 2.0 * TOLERANCE_M;
            model.is_folded(h) && model.hinge_on_table(h).into_iter().any(reaches)
        });
        let spans: Vec<(usize, usize)> = spines
            .filter_map(|h| Some((at(h.faces[0])?, at(h.faces[1])?)))
            .map(|(a, b)| (a.min(b), a.max(b)))
            .collect();
        let score = |k: usize| {
            let round = spans.iter().filter(|&&(a, b)| a < k && k <= b).count();
            (round, std::cmp::Reverse((2 * k).abs_diff(self.pile.len())))
        };
        match (1..self.pile.len()).max_by_key(|&k| score(k)) {
            Some(k) if score(k).0 > 0 => Ok(k),
            _ => {
                let what = "a reverse fold needs a folded edge that runs across the line, \
                            with layers on both sides of it";
                Err(CollapseError::unfit(what, &[self.flap.line.at]))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::collapse::testing::*;
    use crate::fold::state::{Assignment, Hinge};

    /// An A4 sheet folded in half along its length, the right half over the left.
    fn halved() -> Folded {
        simple_fold(&a4(), &line((0.105, 0.297), (0.105, 0.0)), true, "centre")
    }

    #[test]
    fn tail_fin_by_an_inside_reverse_fold() {
        let model = halved();
        let slant = line((0.105, 0.08), (0.06, 0.0));
        let done =
            reverse(&model, Way::Inside, on_sheet(0.105, 0.0), &slant, &call("fin"), 1).unwrap();
        let m = &done.model;
        sound(m);
        assert_eq!((done.orders, m.faces.len()), (1, 4));
        // The two layers of the fin lie between the two of the body, printed side in … out.
        let stack = layers_at(m, 0.07, 0.04);
        assert_eq!(stack.len(), 4);
        let down = |f: FaceId| m.faces[f].placement.det() < 0.0;
        assert_eq!(stack.iter().map(|&f| down(f)).collect::<Vec<_>>(), [false, true, false, true]);
        // The end of the centre crease is turned inside out: valley for the body, mountain for
        // the fin (the printed side was inside).
        let ranks = m.ranks();
        let centre: Vec<_> = m.hinges.iter().filter(|h| h.crease == 0).collect();
        let state = |end_y: f64| {
            let has = |h: &&&Hinge| h.ends.iter().any(|p| (p.y - end_y).abs() < 1e-9);
            m.assignment(centre.iter().find(has).unwrap(), &ranks)
        };
        assert_eq!((state(0.297), state(0.0)), (Assignment::Valley, Assignment::Mountain));
    }

    #[test]
    fn outside_reverse_wraps_round() {
        let slant = line((0.105, 0.2), (0.0, 0.15));
        let tip = on_sheet(0.105, 0.297);
        let done = reverse(&halved(), Way::Outside, tip, &slant, &call("nose"), 1).unwrap();
        let m = &done.model;
        sound(m);
        let from_nose = |&f: &FaceId| crate::numeric::geom::centroid(&m.faces[f].polygon).y > 0.2;
        let stack: Vec<_> = layers_at(m, 0.095, 0.18).iter().map(from_nose).collect();
        assert_eq!(stack, [true, false, false, true]);
    }

    #[test]
    fn the_slant_of_the_line_decides_which_way_it_can_go() {
        // The end's spine comes to lie over the body, so it can only go in; or beside it, so
        // that it can only go round.
        let (tail, nose) = (on_sheet(0.105, 0.0), on_sheet(0.105, 0.297));
        let e = reverse(
            &halved(),
            Way::Outside,
            tail,
            &line((0.105, 0.08), (0.06, 0.0)),
            &call("x"),
            1,
        );
        assert!(e.unwrap_err().to_string().contains("only go inside"));
        let e =
            reverse(&halved(), Way::Inside, nose, &line((0.105, 0.2), (0.0, 0.15)), &call("x"), 1);
        assert!(e.unwrap_err().to_string().contains("round the outside"));
    }

    #[test]
    fn reverse_through_doubled_layers_keeps_them_nested() {
        // A band folded up from the bottom first, so that each half is two layers thick.
        let band = simple_fold(&a4(), &line((1.0, 0.06), (0.0, 0.06)), true, "band");
        let model = simple_fold(&band, &line((0.105, 0.297), (0.105, 0.0)), true, "centre");
        let tip = on_sheet(0.105, 0.06);
        let slant = line((0.105, 0.15), (0.04, 0.0));
        let inside = reverse(&model, Way::Inside, tip, &slant, &call("fin"), 1).unwrap();
        sound(&inside.model);
        assert_eq!(layers_at(&inside.model, 0.0715, 0.098).len(), 8);
        let slant = line((0.105, 0.15), (0.0, 0.2));
        let outside = reverse(&model, Way::Outside, tip, &slant, &call("fin"), 1).unwrap();
        sound(&outside.model);
        assert_eq!(layers_at(&outside.model, 0.134, 0.193).len(), 4);
    }

    #[test]
    fn one_layer_cannot_be_reversed() {
        let e = reverse(
            &a4(),
            Way::Inside,
            on_sheet(0.0, 0.0),
            &line((0.05, 0.0), (0.0, 0.05)),
            &call("x"),
            1,
        );
        assert!(e.unwrap_err().to_string().contains("folded edge"));
        let miss = reverse(
            &halved(),
            Way::Inside,
            on_sheet(0.105, 0.0),
            &line((0.0, 0.5), (1.0, 0.5)),
            &call("x"),
            1,
        );
        assert!(miss.unwrap_err().to_string().contains("does not cross"));
        let on = reverse(
            &halved(),
            Way::Inside,
            on_sheet(0.105, 0.0),
            &line((0.105, 0.0), (0.0, 0.05)),
            &call("x"),
            1,
        );
        assert!(on.unwrap_err().to_string().contains("on the crease itself"));
    }

    #[test]
    fn crimp_of_a_neck() {
        // Lines that rise from the spine turn the band inside; lines that fall, round the outside;
        // one of each cannot be crimped.
        let rising = [line((0.105, 0.20), (0.0, 0.215)), line((0.105, 0.23), (0.0, 0.26))];
        let falling = [line((0.105, 0.22), (0.0, 0.20)), line((0.105, 0.25), (0.0, 0.24))];
        let tip = on_sheet(0.105, 0.297);
        for [near, far] in [rising, falling] {
            let done = crimp(&halved(), tip, [near, far], &call("neck"), 1).unwrap();
            sound(&done.model);
            assert_eq!(done.model.faces.len(), 6);
        }
        let e = crimp(&halved(), tip, [falling[0], rising[1]], &call("neck"), 1).unwrap_err();
        assert!(matches!(e, CollapseError::Layers { .. }), "{e}");
        let [near, far] = rising;
        let done = crimp(&halved(), tip, [near, far], &call("neck"), 1).unwrap();
        // The same named the other way round.
        let again = crimp(&halved(), tip, [far, near], &call("neck"), 1).unwrap();
        sound(&again.model);
        let tips = [&done, &again].map(|d| d.model.on_table(tip).unwrap());
        assert!(tips[0].near(tips[1]));
    }

    #[test]
    fn pleat_shortens_the_sheet_by_twice_the_band() {
        let (near, far) = (line((0.0, 0.15), (1.0, 0.15)), line((0.0, 0.17), (1.0, 0.17)));
        let top = on_sheet(0.1, 0.297);
        let up = pleat(&a4(), top, [near, far], &call("step"), 1).unwrap();
        sound(&up.model);
        let (_, y) = lies_at(&up.model, 0.1, 0.297);
        assert!((y - (297.0 - 40.0)).abs() < 1e-9);
        let marks = |m: &Folded| -> Vec<Assignment> {
            let ranks = m.ranks();
            m.hinges.iter().map(|h| m.assignment(h, &ranks)).collect()
        };
        assert_eq!(marks(&up.model), [Assignment::Valley, Assignment::Mountain]);
        assert_eq!(layers_at(&up.model, 0.1, 0.14).len(), 3);
        // Naming the far line first makes it the valley: the band goes behind.
        let down = pleat(&a4(), top, [far, near], &call("step"), 1).unwrap();
        sound(&down.model);
        let far_is = down.model.hinges.iter().find(|h| (h.ends[0].y - 0.17).abs() < 1e-9).unwrap();
        assert_eq!(down.model.assignment(far_is, &down.model.ranks()), Assignment::Valley);
        let crossing = line((0.0, 0.14), (0.21, 0.17));
        let e = pleat(&a4(), top, [near, crossing], &call("x"), 1).unwrap_err();
        assert!(e.to_string().contains("side by side"), "{e}");
    }
}
