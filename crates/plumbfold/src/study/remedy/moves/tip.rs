//! The point folded back before the plane is folded in two: less wing ahead of the balance point,
//! though paper moves aft.
//!
//! ```text
//! mountain along centre      ->      mark point0 = (105 mm, 297 mm)
//!                                    valley point0 back by 24 mm along centre
//!                                    mountain along centre
//! ```

use super::{Amounts, GRID_MM, Move};
use crate::design::ast::{
    FoldLine, FoldStep, FoldVerb, LineRef, MarkTarget, PointRef, PoseKind, Step, Unit,
};
use crate::design::edit::amount::{number, rounded};
use crate::design::edit::{Edit, free_name};
use crate::fold::exec::StepKind;
use crate::numeric::geom::SheetPoint;
use crate::pipeline::Analysed;

/// How far the point can come back, as a share of the model's length.
const REACH: f64 = 0.4;

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    tip(text, a).into_iter().collect()
}

fn tip<'a>(text: &'a str, a: &'a Analysed) -> Option<Move<'a>> {
    let folded = a.balanced.source.folded()?;
    let keel = folded
        .design
        .pose
        .as_ref()?
        .node
        .items
        .iter()
        .find(|i| i.kind == PoseKind::Opens)?
        .crease
        .node
        .clone();
    let run = &folded.run;
    // The step that folds the model in two along a crease made before.
    let in_two = run.steps.iter().position(|s| {
        matches!(s.kind, StepKind::Fold(FoldVerb::Valley | FoldVerb::Mountain))
            && s.passes
                .iter()
                .flat_map(|p| &p.creases)
                .any(|&c| s.after.creases[c].name.as_deref() == Some(&keel) && s.passes.len() == 1)
    })?;
    let before = run.before(in_two);
    before.creases.iter().find(|c| c.name.as_deref() == Some(&keel))?;
    let corners =
        before.faces.iter().flat_map(|f| f.polygon.iter().map(move |&p| (f.placement.apply(p), p)));
    let (mut low, mut point) = (f64::MAX, None::<(f64, SheetPoint)>);
    for (table, sheet) in corners {
        low = low.min(table.y);
        if point.is_none_or(|(y, _)| table.y > y + 1e-9) {
            point = Some((table.y, sheet));
        }
    }
    let (top, sheet) = point?;
    // A straight front has no point to fold back.
    if (sheet.x - before.sheet_m[0] / 2.0).abs() > 1e-6 {
        return None;
    }
    let at = run.steps[in_two].span.start;
    let after = folded.design.steps.iter().position(|s| s.span.contains(&at))?;
    let [x, y] = [sheet.x, sheet.y].map(|v| number(rounded(v * 1e3, 6), Unit::Mm));
    let name = free_name(text, "fore_point");
    Some(Move {
        kind: "tip",
        what: "folding the point back".into(),
        changed_let: None,
        unit: "mm",
        from: 0.0,
        sign: 1.0,
        grid: GRID_MM,
        amounts: Amounts::up_to((top - low) * REACH * 1e3, 8),
        hand_step: 2.0,
        charge: 4.0,
        undoes: false,
        edits: Box::new(move |to| {
            let point = PointRef::Sheet(x.clone().into(), y.clone().into());
            let mark = Step::Mark(name.clone().into(), MarkTarget::Point(point.into()));
            let back = FoldLine::Back(
                PointRef::Named(name.clone().into()).into(),
                number(to, Unit::Mm).into(),
                LineRef::Named(keel.clone().into()).into(),
            );
            let steps = vec![mark, FoldStep::plain(FoldVerb::Valley, back).into()];
            vec![Edit::AddSteps { after, steps }]
        }),
        say: Box::new(|to| {
            format!(
                "Fold the point back by {to} mm before folding in two: less wing ahead of the \
                 balance point."
            )
        }),
    })
}
