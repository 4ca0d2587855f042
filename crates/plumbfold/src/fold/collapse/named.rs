//! The general collapse: creases that are there already fold together, each as asked.
//!
//! ```text
//!   collapse slant valley, level mountain, centre flat, holding bottom middle
//! ```
//! Where they leave a point open round which one more crease would close the paper, and only one
//! such crease lets its layers lie as asked, that crease is made:
//!
//! ```text
//!      c \   / b
//!         \ /      three creases are given, with angles a-b and b-c between them;
//!   -------*--- a  d runs so that a-b and c-d, like b-c and d-a, make 180 deg
//!         /        (Kawasaki 1989, Justin 1986)
//!      d /
//! ```

use super::cut::{Creased, FAR_M};
use super::{Call, CollapseError, Collapsed, Plan, collapse, vertex};
use crate::design::ast::CreaseState;
use crate::fold::state::{Folded, HINGE_GAP_M, Hinge};
use crate::numeric::geom::{SheetPoint, Vec2, area, clip_segment};

type Wish = (usize, CreaseState);

/// Folds hinges (indices in the model) to the states asked, as the folder sees them now.
/// The face with the place `holding` stays; without it, the largest face does (the first of
/// several alike). A crease made to close a point is called as `call` says.
///
/// # Errors
/// [`CollapseError`]; [`CollapseError::OpenVertex`] where no crease or more than one would close
/// the point; [`CollapseError::Unfit`] when no crease is named, or one hinge is asked to end in two
/// states.
pub fn creases(
    model: &Folded,
    wishes: &[Wish],
    holding: Option<SheetPoint>,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let plan = planned(model, wishes, holding)?;
    match collapse(model, &plan, take) {
        Err(open @ CollapseError::OpenVertex { .. }) => {
            closed(model, &plan, wishes, holding, call, take).ok_or(open)
        }
        done => done,
    }
}

fn planned(
    model: &Folded,
    wishes: &[Wish],
    holding: Option<SheetPoint>,
) -> Result<Plan, CollapseError> {
    let largest = || {
        (0..model.faces.len()).reduce(|a, b| {
            if area(&model.faces[b].polygon) > area(&model.faces[a].polygon) { b } else { a }
        })
    };
    let holding = holding.and_then(|p| model.faces_at(p).next()).or_else(largest);
    let Some(holding) = holding.filter(|_| !wishes.is_empty()) else {
        return Err(CollapseError::unfit("no crease is left to fold here", &[]));
    };
    let mut plan = Plan::rest(model, holding);
    for (i, &(hinge, state)) in wishes.iter().enumerate() {
        if wishes[..i].iter().any(|&(h, s)| h == hinge && s != state) {
            let what = "one piece of crease is asked to end in two different states";
            let ends = model.hinge_on_table(&model.hinges[hinge]);
            return Err(CollapseError::unfit(what, &ends));
        }
        plan.fold(model, hinge, state);
    }
    Ok(plan)
}

/// The move with the one more crease that it needs, if just one will do.
fn closed(
    model: &Folded,
    plan: &Plan,
    wishes: &[Wish],
    holding: Option<SheetPoint>,
    call: &Call,
    take: usize,
) -> Option<Collapsed> {
    let open = vertex::worst(model, &plan.folded)?;
    let mut ways = vertex::closing(model, &open).into_iter().filter_map(|dir| {
        let creased = with_ray(model, open.at, dir, call)?;
        let wishes = carried_over(model, &creased, wishes);
        let mut plan = planned(&creased, &wishes, holding).ok()?;
        let newest = creased.creases.len() - 1;
        for (folded, h) in plan.folded.iter_mut().zip(&creased.hinges) {
            *folded |= h.crease == newest;
        }
        collapse(&creased, &plan, take).ok()
    });
    let first = ways.next()?;
    ways.next().is_none().then_some(first)
}

/// A model with one more crease, from a place of the sheet to its rim. `None` where the paper on
/// the way does not lie in one plane.
fn with_ray(model: &Folded, from: SheetPoint, dir: Vec2, call: &Call) -> Option<Folded> {
    let to = from + dir * FAR_M;
    let crossed: Vec<bool> =
        model.faces.iter().map(|f| clip_segment(from, to, &f.polygon).is_some()).collect();
    let mut on_way = model.faces.iter().zip(&crossed).filter(|(_, c)| **c).map(|(f, _)| f);
    let line = vertex::on_table(model, from, dir)?;
    let first = on_way.next()?;
    if !on_way.all(|f| f.placement.near(&first.placement)) {
        return None;
    }
    let mut creased = Creased::new(model);
    creased.ray(line.at, line.dir, |f| crossed[f], call).ok()?;
    Some(creased.model)
}

/// The wishes of a model for the same paper creased once more, which may have cut hinges in two.
fn carried_over(model: &Folded, creased: &Folded, wishes: &[Wish]) -> Vec<Wish> {
    let pieces = |&(whole, state): &Wish| {
        let Hinge { ends: [a, b], crease, .. } = model.hinges[whole];
        let on = |p: SheetPoint| a.distance(p) + p.distance(b) <= a.distance(b) + HINGE_GAP_M;
        let within = move |h: &Hinge| h.crease == crease && h.ends.into_iter().all(on);
        let hinges = creased.hinges.iter().enumerate().filter(move |(_, h)| within(h));
        hinges.map(move |(i, _)| (i, state)).collect::<Vec<_>>()
    };
    wishes.iter().flat_map(pieces).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::collapse::testing::*;
    use CreaseState::{Flat, Mountain, Valley};

    fn wishes(model: &Folded, states: &[(&str, CreaseState)]) -> Vec<(usize, CreaseState)> {
        let state = |i: usize| {
            let name = model.creases[model.hinges[i].crease].name.as_deref()?;
            Some((i, states.iter().find(|s| s.0 == name)?.1))
        };
        (0..model.hinges.len()).filter_map(state).collect()
    }

    /// An A4 sheet precreased for a waterbomb base, with a centre crease besides.
    fn precreased() -> Folded {
        let m = crease(&a4(), &line((0.0, 0.297), (0.21, 0.087)), "falling");
        let m = crease(&m, &line((0.21, 0.297), (0.0, 0.087)), "rising");
        let m = crease(&m, &line((0.0, 0.192), (0.21, 0.192)), "level");
        crease(&m, &line((0.105, 0.0), (0.105, 0.297)), "centre")
    }

    #[test]
    fn waterbomb_from_creases_made_before() {
        let m = precreased();
        let all = [("falling", Valley), ("rising", Valley), ("level", Mountain)];
        let holding = Some(on_sheet(0.05, 0.0));
        let none = Call::default();
        let done = creases(&m, &wishes(&m, &all), holding, &none, 1).unwrap();
        sound(&done.model);
        assert_eq!(done.orders, 1);
        // Seen from behind it is the same base with the other marks.
        let other = [("falling", Mountain), ("rising", Mountain), ("level", Valley)];
        sound(&creases(&m, &wishes(&m, &other), holding, &none, 1).unwrap().model);
    }

    #[test]
    fn marks_that_contradict_are_refused() {
        let m = precreased();
        // All six of one kind: Maekawa-Justin wants a difference of two.
        let all = [("falling", Valley), ("rising", Valley), ("level", Valley)];
        let none = Call::default();
        let e = creases(&m, &wishes(&m, &all), None, &none, 1).unwrap_err();
        assert!(
            matches!(e, CollapseError::Miscounted { mountains, valleys, .. }
            if mountains.max(valleys) == 6),
            "{e}"
        );
        assert!(!e.evidence().unwrap().lines.is_empty());
        let mut twice = wishes(&m, &[("level", Mountain)]);
        twice.push((twice[0].0, Flat));
        assert!(
            creases(&m, &twice, None, &none, 1)
                .unwrap_err()
                .to_string()
                .contains("different states")
        );
        assert!(creases(&m, &[], None, &none, 1).is_err());
    }

    #[test]
    fn creases_that_do_not_close_say_where() {
        let m = precreased();
        let asked = wishes(&m, &[("falling", Valley), ("level", Mountain)]);
        let e = creases(&m, &asked, None, &Call::default(), 1);
        let CollapseError::OpenVertex { creases, sum_deg, evidence, .. } = e.unwrap_err() else {
            panic!("45 + 45 is not 180");
        };
        assert_eq!(creases, 4);
        assert!((sum_deg - 90.0).abs() < 1e-6 || (sum_deg - 270.0).abs() < 1e-6);
        assert!(
            evidence.points[0].distance(crate::numeric::geom::TablePoint::new(0.105, 0.192)) < 1e-9
        );
    }

    /// A square creased along whole lines through its middle, at angles to the right edge's normal.
    fn star(angles_deg: &[f64]) -> Folded {
        angles_deg.iter().fold(sheet(0.2, 0.2), |m, deg| {
            let (s, c) = deg.to_radians().sin_cos();
            crease(&m, &line((0.1, 0.1), (0.1 + c, 0.1 + s)), &format!("{deg}"))
        })
    }

    /// The half of each crease that runs from the middle in its own direction.
    fn rays(model: &Folded, states: &[(f64, CreaseState)]) -> Vec<(usize, CreaseState)> {
        let middle = on_sheet(0.1, 0.1);
        let ray = |&(deg, state): &(f64, CreaseState)| {
            let (s, c) = deg.to_radians().sin_cos();
            let far = |h: &Hinge| {
                let [a, b] = h.ends;
                let end = if a.near(middle) { b } else { a } - middle;
                end.cross(Vec2::new(c, s)).abs() < 1e-9 && end.dot(Vec2::new(c, s)) > 0.0
            };
            (model.hinges.iter().position(far).unwrap(), state)
        };
        states.iter().map(ray).collect()
    }

    /// Direction of the newest crease from the middle, degrees.
    fn found(done: &Folded) -> f64 {
        let newest = done.creases.len() - 1;
        let h = done.hinges.iter().find(|h| h.crease == newest).unwrap();
        let [a, b] = h.ends.map(|p| p - on_sheet(0.1, 0.1));
        let end = if a.norm() > b.norm() { a } else { b };
        end.y.atan2(end.x).to_degrees().rem_euclid(360.0)
    }

    #[test]
    fn the_crease_that_closes_three_is_made() {
        // All three within half a turn, so that only the wide angle has room. Closed form: the
        // fourth stands at 180 - (50 - 0) beyond the third.
        for (b, c) in [(50.0, 120.0), (40.0, 95.0), (80.0, 170.0)] {
            let m = star(&[0.0, b, c]);
            let asked = rays(&m, &[(0.0, Valley), (b, Mountain), (c, Valley)]);
            let done = creases(&m, &asked, None, &call("fourth"), 1).unwrap().model;
            sound(&done);
            assert!((found(&done) - (c + 180.0 - b)).abs() < 1e-9, "{}", found(&done));
            assert_eq!(done.creases.last().unwrap().name.as_deref(), Some("fourth"));
            let folded = done.hinges.iter().filter(|h| done.is_folded(h)).count();
            assert_eq!(folded, 4);
        }
    }

    #[test]
    fn where_several_would_close_they_are_proposed() {
        // Three creases at 120 deg could be closed half way between any two, and by symmetry all
        // three ways lie flat.
        let m = star(&[0.0, 120.0, 240.0]);
        let asked = rays(&m, &[(0.0, Valley), (120.0, Valley), (240.0, Valley)]);
        let e = creases(&m, &asked, None, &Call::default(), 1).unwrap_err();
        assert!(matches!(e, CollapseError::OpenVertex { creases: 3, .. }), "{e}");
        assert_eq!(e.evidence().unwrap().proposed.len(), 3);
    }

    #[test]
    fn marks_can_leave_only_one_of_several() {
        // Angles of 100, 120 and 140 deg can be closed at 60, 140 and 300 deg. The two creases of
        // a smallest angle are a mountain and a valley (Justin 1986, from memory), so the other
        // two are alike: the first and third for a fourth at 60 or 140 deg, the second and third
        // for one at 300.
        let m = star(&[0.0, 100.0, 220.0]);
        let fourth = |states: [CreaseState; 3]| {
            let asked: Vec<_> = [0.0, 100.0, 220.0].into_iter().zip(states).collect();
            let done = creases(&m, &rays(&m, &asked), None, &Call::default(), 1).ok()?.model;
            sound(&done);
            Some(found(&done))
        };
        assert!((fourth([Mountain, Valley, Valley]).unwrap() - 300.0).abs() < 1e-9);
        assert_eq!(fourth([Valley, Mountain, Valley]), None);
        assert_eq!(fourth([Valley, Valley, Mountain]), None);
    }
}
