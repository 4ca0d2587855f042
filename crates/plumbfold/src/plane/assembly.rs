//! What a design says about the folded plane, applied to it: pose angles, trim, ballast and the
//! throw it is meant for. Ends in the [`Airframe`].

use crate::design::ast::{
    Ballast, BallastPlace, Design, Direction, Expr, FoldStep, PointRef, Sides, Spanned, Step, Trim,
    TrimSurfaceName,
};
use crate::design::defaults::{HAND_HEIGHT_M, PLANE_NAME, THROW_SPEED_M_S, TRIM_DEPTH_M};
use crate::design::diagnostic::Diagnostic;
use crate::design::eval::Values;
use crate::fold::axis::Axis;
use crate::fold::error::folded_along;
use crate::fold::exec::advice::{said, step_at};
use crate::fold::exec::{FoldRun, StepRecord};
use crate::fold::state::{Crease, Folded};
use crate::numeric::geom::SheetPoint;
use crate::plane::airframe::{Airframe, PointMass, TrimBend, TrimSurface};
use crate::plane::outline::{self, Outline};
use crate::plane::pose::{Bent, Closes, HingeAngle, PoseError, Posed};
use nalgebra::Vector3;

/// The throw a plane is meant for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeantThrow {
    /// Speed, m/s.
    pub speed_m_s: f64,
    /// Climb angle of the path at release, rad.
    pub elevation_rad: f64,
    /// Height of the hand above the floor, m.
    pub height_m: f64,
    /// Bank at release, rad, positive right wing down.
    pub bank_rad: f64,
}

impl Default for MeantThrow {
    /// Where the text has no throw.
    fn default() -> Self {
        Self {
            speed_m_s: THROW_SPEED_M_S,
            elevation_rad: 0.0,
            height_m: HAND_HEIGHT_M,
            bank_rad: 0.0,
        }
    }
}

/// The hinge angles of the `pose` statement; `pose flat` and no pose at all give none.
///
/// # Errors
/// Angles that cannot be evaluated.
pub fn pose_angles(design: &Design, values: &Values) -> Result<Vec<HingeAngle>, Diagnostic> {
    let items = design.pose.iter().flat_map(|p| &p.node.items);
    items
        .map(|item| {
            Ok(HingeAngle {
                crease: item.crease.node.clone(),
                kind: item.kind,
                angle_rad: values.pose_angle(item)?,
                span: item.crease.span.clone(),
            })
        })
        .collect()
}

/// The throw the text asks for, with defaults for what it leaves out.
///
/// # Errors
/// Quantities that cannot be evaluated.
pub fn throw(design: &Design, values: &Values) -> Result<MeantThrow, Diagnostic> {
    let mut meant = MeantThrow::default();
    if let Some(t) = design.throw.as_ref().map(|t| &t.node) {
        meant.speed_m_s = values.speed_m_s(&t.speed)?;
        if let Some(e) = &t.elevation {
            meant.elevation_rad = values.angle(e)?;
        }
        if let Some(e) = &t.height {
            meant.height_m = values.height(e)?;
        }
        if let Some(e) = &t.bank {
            meant.bank_rad = values.angle(e)?;
        }
    }
    Ok(meant)
}

/// The posed plane with its trim and ballast. `paper_point` finds a place on the paper from its
/// reference.
///
/// # Errors
/// Quantities that cannot be evaluated, and ballast off the paper.
pub fn airframe(
    design: &Design,
    values: &Values,
    folded: &Folded,
    posed: Posed,
    crease_layers_max: usize,
    paper_point: impl Fn(&Spanned<PointRef>) -> Result<SheetPoint, Diagnostic>,
) -> Result<Airframe, Diagnostic> {
    let mut point_masses = Vec::with_capacity(design.ballast.len());
    for ballast in &design.ballast {
        let at = match &ballast.node.at {
            BallastPlace::BehindNose { behind, above, right } => {
                finished_place(values, behind, above.as_ref(), right.as_ref())?
            }
            BallastPlace::Paper(point) => {
                let place = paper_point(point)?;
                posed.datum_of(folded, place).ok_or_else(|| {
                    Diagnostic::error(
                        "off-paper",
                        point.span.clone(),
                        "this place is not on the paper",
                    )
                })?
            }
        };
        point_masses.push(point_mass(&ballast.node, values, at)?);
    }
    Ok(Airframe {
        name: name(design),
        panels: posed.panels,
        point_masses,
        trims: trims(design, values)?,
        measured: None,
        crease_layers_max,
    })
}

/// A plane given by its outline and what was measured on it.
///
/// # Errors
/// No measurements, quantities that cannot be evaluated, or an outline that is none.
pub fn outlined(design: &Design, values: &Values) -> Result<Airframe, Diagnostic> {
    let Some(decl) = &design.outline else {
        return Err(Diagnostic::error("no-outline", 0..0, "this design has no `outline` line"));
    };
    let span = &decl.span;
    if let Some(step) = design.steps.first() {
        let message = "a plane given by its outline has no steps";
        return Err(Diagnostic::error("misplaced", step.span.clone(), message)
            .related(span.clone(), "the outline")
            .help("leave out either the outline or the sheet and its steps"));
    }
    let Some(measured) = design.measured.as_ref().map(|m| &m.node) else {
        let message = "an outline needs its mass and its balance point";
        return Err(Diagnostic::error("missing-measure", span.clone(), message)
            .help("add a line such as `measured mass 5 g, balance 80 mm`"));
    };
    let corner = |(right, back): &(Spanned<Expr>, Spanned<Expr>)| {
        Ok([values.length(right)?, values.length(back)?])
    };
    let length = |e: &Option<Spanned<Expr>>| e.as_ref().map(|e| values.length(e)).transpose();
    let angle = |e: &Option<Spanned<Expr>>| e.as_ref().map_or(Ok(0.0), |e| values.angle(e));
    let outline = Outline {
        name: name(design),
        corners_m: decl.node.corners.iter().map(corner).collect::<Result<_, Diagnostic>>()?,
        mirrored: decl.node.mirrored,
        mass_kg: values.mass_kg(&measured.mass)?,
        behind_nose_m: values.length(&measured.balance)?,
        above_keel_m: length(&measured.above)?,
        dihedral_rad: angle(&measured.dihedral)?,
        keel_m: length(&measured.keel)?.unwrap_or(0.0),
    };
    let mut airframe = outline::airframe(&outline, trims(design, values)?)
        .map_err(|e| Diagnostic::error("outline", span.clone(), e.to_string()))?;
    // What was measured is the plane without it: ballast is what is put on since.
    for ballast in &design.ballast {
        let BallastPlace::BehindNose { behind, above, right } = &ballast.node.at else {
            let message = "ballast on a plane given by its outline is placed behind the nose";
            return Err(Diagnostic::error("misplaced", ballast.span.clone(), message)
                .help("such as `ballast clip 0.4 g at 10 mm behind nose`"));
        };
        let at = finished_place(values, behind, above.as_ref(), right.as_ref())?;
        let added = point_mass(&ballast.node, values, at)?;
        airframe.measured = airframe.measured.map(|m| m.with(&added));
        airframe.point_masses.push(added);
    }
    Ok(airframe)
}

/// A place measured on the finished plane, datum frame, m.
fn finished_place(
    values: &Values,
    behind: &Spanned<Expr>,
    above: Option<&Spanned<Expr>>,
    right: Option<&Spanned<Expr>>,
) -> Result<Vector3<f64>, Diagnostic> {
    let optional = |e: Option<&_>| e.map_or(Ok(0.0), |e| values.length(e));
    Ok(Vector3::new(-values.length(behind)?, optional(right)?, -optional(above)?))
}

fn point_mass(
    ballast: &Ballast,
    values: &Values,
    at: Vector3<f64>,
) -> Result<PointMass, Diagnostic> {
    let (name, mass_kg) = (ballast.kind.node.clone(), values.mass_kg(&ballast.mass)?);
    Ok(PointMass { name, mass_kg, at })
}

/// The plane's name, or a stand-in.
pub fn name(design: &Design) -> String {
    design.name.as_ref().map_or_else(|| PLANE_NAME.into(), |n| n.node.clone())
}

/// Trailing-edge bends.
///
/// # Errors
/// Quantities that cannot be evaluated.
pub fn trims(design: &Design, values: &Values) -> Result<Vec<TrimBend>, Diagnostic> {
    design.trims.iter().map(|t| trim(&t.node, values)).collect()
}

fn trim(trim: &Trim, values: &Values) -> Result<TrimBend, Diagnostic> {
    let amount = values.length(&trim.amount)?;
    Ok(TrimBend {
        surface: match trim.surface {
            TrimSurfaceName::Elevator => TrimSurface::Elevator,
            TrimSurfaceName::LeftWing => TrimSurface::LeftWing,
            TrimSurfaceName::RightWing => TrimSurface::RightWing,
            TrimSurfaceName::Rudder => TrimSurface::Rudder,
        },
        deflection_m: match trim.direction {
            Direction::Up | Direction::Right => amount,
            Direction::Down | Direction::Left => -amount,
        },
        depth_m: trim.depth.as_ref().map_or(Ok(TRIM_DEPTH_M), |d| values.length(d))?,
    })
}

/// A crease that closes only because paper bends, as a warning.
pub fn bent_diagnostic(bent: &Bent) -> Diagnostic {
    let gap_mm = bent.gap_m * 1e3;
    let message = format!(
        "the two sides of `{}` would stand {gap_mm:.2} mm apart here; paper bends to close that",
        bent.crease
    );
    Diagnostic::warning("paper-bends", bent.span.clone(), message)
}

/// A plane folded in two whose text does not say how it opens: flown as it is, it would be judged as
/// the shut packet it lies as.
pub fn shut(design: &Design, run: &FoldRun) -> Option<Diagnostic> {
    if design.pose.is_some() || !Axis::folds_in_two(&run.folded) {
        return None;
    }
    let last = design.steps.last().map_or(0..0, |s| s.span.clone());
    let message = "the plane lies shut, folded in two, and no `pose` line says how it opens to fly";
    let wing = wing(run).unwrap_or("wing");
    Some(Diagnostic::error("shut", last, message).help(format!(
        "add a line such as `pose centre opens 8 deg, {wing} dihedral 8 deg`, with the names that \
         `call it` gave; `pose flat` flies it as it lies"
    )))
}

/// The name of the latest crease folded on both sides.
fn wing(run: &FoldRun) -> Option<&str> {
    let both = |c: &&Crease| c.mirrored || c.twin.is_some();
    run.folded.creases.iter().filter(both).filter_map(|c| c.name.as_deref()).next_back()
}

/// Most of the wing ahead of the balance point: a plane whose nose points down the page, perhaps.
pub fn tail_first(design: &Design, area_ahead_fraction: f64) -> Option<Diagnostic> {
    let pose = design.pose.as_ref().filter(|_| area_ahead_fraction > 0.5)?;
    let message = format!(
        "{:.0} % of the wing lies ahead of the balance point: the end of the plane that points up \
         the page is its nose",
        area_ahead_fraction * 100.0
    );
    Some(
        Diagnostic::warning("tail-first", pose.span.clone(), message)
            .help("if this one's nose points down the page, say `rotate 180 deg` before `pose`"),
    )
}

/// The code of a crease that other paper clasps shut.
pub const CLASPED: &str = "clasped";

/// A pose that cannot be taken, as a mistake in the text.
pub fn pose_diagnostic(error: &PoseError, design: &Design, run: &FoldRun) -> Diagnostic {
    let span = error.span().or_else(|| design.pose.as_ref().map(|p| p.span.clone()));
    let diagnostic = Diagnostic::error("pose", span.unwrap_or(0..0), error.to_string());
    let items = || design.pose.iter().flat_map(|p| &p.node.items);
    if let (PoseError::Clasped { crease, .. }, Some(wing)) = (error, wing(run))
        && items().all(|i| i.crease.node == *crease)
    {
        let help = format!("say how the wings open as well, such as `{wing} dihedral 8 deg`");
        return diagnostic.help(help);
    }
    match error {
        PoseError::UnknownCrease { crease, known, .. } => {
            let meant = crate::design::diagnostic::did_you_mean(
                crease,
                known.iter().map(String::as_str),
            );
            diagnostic.label("no `call it` gives this name").help(match meant {
                Some(meant) => format!("did you mean `{meant}`?"),
                None if known.is_empty() => {
                    "give the crease a name with `call it` in the step that folds it".into()
                }
                None => format!("creases with names: {}", known.join(", ")),
            })
        }
        PoseError::CreaseGone { .. } => {
            diagnostic.help("leave it out of the pose, or name the crease that is still there")
        }
        PoseError::KeelAcross { .. } => diagnostic.help(
            "say `rotate 90 deg clockwise` before `pose` if the nose lies on the left, `rotate 90 deg` \
             if it lies on the right",
        ),
        PoseError::OneSided { crease, other, .. } => diagnostic.help(match other {
            Some(other) => format!("pose that one too, such as `{other} dihedral 5 deg`"),
            None => format!(
                "say `call it {crease}` in that step too, or make the fold on `both sides`"
            ),
        }),
        PoseError::OneWing { made, .. } => {
            let step = made.and_then(|i| step_at(&design.steps, &run.steps.get(i)?.span));
            let put_right = step.and_then(|step| match &step.node {
                Step::Fold(fold) if fold.sides == Sides::One => {
                    let both = FoldStep { sides: Sides::Both, ..(**fold).clone() };
                    Some(format!(": `{}`", said(&both.into())))
                }
                _ => None,
            });
            let put_right = put_right.unwrap_or_default();
            diagnostic.help(format!("fold the other wing too, by `both sides`{put_right}"))
        }
        PoseError::KeelUnsaid { .. } => diagnostic.help(
            "name the keel crease first, for example `pose centre opens 8 deg, wing dihedral 10 deg`",
        ),
        PoseError::Torn { crease, closes, .. } => diagnostic.help(match closes {
            Some(Closes { keel, deg }) => format!(
                "another crease holds these parts together, and closes up to `{keel} opens {deg} deg`"
            ),
            None => format!(
                "another crease holds these parts together: pose that crease as well, or leave \
                 `{crease}` out of the pose"
            ),
        }),
        PoseError::Locked { .. } => diagnostic
            .help("a flap or lock holds both sides; pose the creases that join them as well"),
        PoseError::Clasped { by: Some(by), .. } => {
            let step = run.steps.get(run.folded.creases[*by].step);
            let clasp = folded_along(&run.folded, *by);
            let here = |step: &StepRecord| (step.span.clone(), "made here".to_owned());
            let related = step.map(here).into_iter().collect();
            let help = "fold that paper before the crease that should open, or so that it takes in \
                        one of its sides only";
            let clasped = diagnostic.label(format!("{clasp} holds both sides")).help(help);
            Diagnostic { related, code: CLASPED, ..clasped }
        }
        PoseError::Clasped { by: None, .. } | PoseError::Loose => diagnostic,
    }
}
