//! The general collapse: creases that are there already fold together, each as asked.
//!
//! ```text
//!   collapse slant valley, level mountain, centre flat, holding bottom middle
//! ```

use super::{CollapseError, Collapsed, Plan, collapse};
use crate::design::ast::CreaseState;
use crate::fold::state::{FaceId, Folded};
use crate::geom::area;

/// Folds hinges (indices in the model) to the states asked, as the folder sees them now.
/// `holding` stays; without it, the largest face does (the first of several alike).
///
/// # Errors
/// [`CollapseError`]; [`CollapseError::Unfit`] when no crease is named, or one hinge is asked to
/// end in two states.
pub fn creases(
    model: &Folded,
    wishes: &[(usize, CreaseState)],
    holding: Option<FaceId>,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let largest = || {
        (0..model.faces.len()).reduce(|a, b| {
            if area(&model.faces[b].polygon) > area(&model.faces[a].polygon) { b } else { a }
        })
    };
    let Some(holding) = holding.or_else(largest).filter(|_| !wishes.is_empty()) else {
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
    collapse(model, &plan, take)
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
        let holding = m.faces_at(on_sheet(0.05, 0.0)).next();
        let done = creases(&m, &wishes(&m, &all), holding, 1).unwrap();
        sound(&done.model);
        assert_eq!(done.orders, 1);
        // Seen from behind it is the same base with the other marks.
        let other = [("falling", Mountain), ("rising", Mountain), ("level", Valley)];
        sound(&creases(&m, &wishes(&m, &other), holding, 1).unwrap().model);
    }

    #[test]
    fn marks_that_contradict_are_refused() {
        let m = precreased();
        // All six of one kind: Maekawa-Justin wants a difference of two.
        let all = [("falling", Valley), ("rising", Valley), ("level", Valley)];
        let e = creases(&m, &wishes(&m, &all), None, 1).unwrap_err();
        assert!(
            matches!(e, CollapseError::Miscounted { mountains, valleys, .. }
            if mountains.max(valleys) == 6),
            "{e}"
        );
        assert!(!e.evidence().unwrap().lines.is_empty());
        let mut twice = wishes(&m, &[("level", Mountain)]);
        twice.push((twice[0].0, Flat));
        assert!(creases(&m, &twice, None, 1).unwrap_err().to_string().contains("different states"));
        assert!(creases(&m, &[], None, 1).is_err());
    }

    #[test]
    fn creases_that_do_not_close_say_where() {
        let m = precreased();
        let e = creases(&m, &wishes(&m, &[("falling", Valley), ("level", Mountain)]), None, 1);
        let CollapseError::OpenVertex { creases, sum_deg, evidence } = e.unwrap_err() else {
            panic!("45 + 45 is not 180");
        };
        assert_eq!(creases, 4);
        assert!((sum_deg - 90.0).abs() < 1e-6 || (sum_deg - 270.0).abs() < 1e-6);
        assert!(evidence.points[0].distance(crate::geom::TablePoint::new(0.105, 0.192)) < 1e-9);
    }
}
