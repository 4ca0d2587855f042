//! One turn of a slider, as a change of the design.

use plumbfold::design::ast::*;
use plumbfold::design::edit::amount::{typed, unit_of};
use plumbfold::design::edit::{self, Edit, EditError, bend};
use plumbfold::design::{eval, parser, print};
use serde::Deserialize;

/// A change, as the page asks for it. Numbers are in the unit people use: mm, deg, g, m/s, and m
/// for the height of the hand.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Change {
    /// A let.
    Let {
        /// Name.
        name: String,
        /// In the usual unit of the let.
        value: f64,
    },
    /// A trailing edge; a line is added where the text has none for it.
    Trim {
        /// As the text spells it.
        surface: String,
        /// Up or to the right is positive.
        mm: f64,
    },
    /// A piece of ballast.
    Ballast {
        /// Which, in the order of the text.
        index: usize,
        /// Mass.
        mass_g: Option<f64>,
        /// Place.
        behind_mm: Option<f64>,
    },
    /// A clip, near the nose where no place is said.
    AddBallast {
        /// Place.
        #[serde(default)]
        behind_mm: Option<f64>,
    },
    /// One less.
    RemoveBallast {
        /// Which.
        index: usize,
    },
    /// The throw; a line is added where there is none.
    Throw {
        /// Speed.
        speed_mps: Option<f64>,
        /// Upwards is positive.
        elevation_deg: Option<f64>,
        /// Height of the hand.
        height_m: Option<f64>,
        /// Right wing down is positive.
        bank_deg: Option<f64>,
    },
    /// A new fold after so many steps of the text; at the end without.
    AddStep {
        /// Steps of the text before it.
        after: Option<usize>,
        /// The line.
        line: String,
        /// A let that it needs, as a line of text; added where the text has none of its name.
        #[serde(default)]
        needs: Option<String>,
    },
    /// Keel and wings opened as a hand opens them.
    OpenWings,
    /// Takes a step out.
    RemoveStep {
        /// Which, in the order of the text.
        index: usize,
    },
    /// A step and the next one change places.
    SwapStep {
        /// Which, in the order of the text.
        index: usize,
    },
}

/// Longest line the page may add.
const LINE_CHARS_MAX: usize = 400;

/// The changed text, or why it cannot be changed so.
pub fn apply(text: &str, change: &Change) -> Result<String, String> {
    let text = match change {
        Change::AddStep { needs: Some(line), .. } => with_let(text, line)?,
        _ => text.to_owned(),
    };
    let (design, _) = parser::parse(&text);
    let edit = change.edit(&text, &design)?;
    edit::apply(&text, &[edit]).map_err(|e| e.to_string())
}

/// The text with a let that a step needs, where it has none of that name.
///
/// # Errors
/// The line says no let.
pub fn with_let(text: &str, line: &str) -> Result<String, String> {
    let new = parser::parse(line).0.lets.pop().ok_or("the line says no let")?.node;
    let (design, _) = parser::parse(text);
    if design.lets.iter().any(|l| l.node.name.node == new.name.node) {
        return Ok(text.to_owned());
    }
    edit::apply(text, &[Edit::AddLet(new)]).map_err(|e| e.to_string())
}

/// Name of the crease across which left and right are alike.
pub(crate) const CENTRE: &str = "centre";

/// How far a hand opens the keel, and how far it lifts the wings, degrees. Chosen: most of our own
/// designs do so.
const OPENED_DEG: [f64; 2] = [6.0, 4.0];

/// Keel and wings as a hand opens them, by the names that folds by hand give them.
fn opened(design: &Design) -> Pose {
    let named = |name: &str| {
        design.steps.iter().any(|s| match &s.node {
            Step::Fold(f) => f.call.as_ref().is_some_and(|c| c.node == name),
            _ => false,
        })
    };
    let item = |crease: &str, kind, deg: f64| PoseItem {
        crease: crease.to_owned().into(),
        kind,
        angle: typed(deg.to_radians(), None, Unit::Deg).into(),
    };
    let [keel, wing] = OPENED_DEG;
    let mut items = vec![item(CENTRE, PoseKind::Opens, keel)];
    if named("wing") {
        items.push(item("wing", PoseKind::Dihedral, wing));
    }
    Pose { items }
}

impl Change {
    /// The same in the syntax of the design.
    fn edit(&self, text: &str, design: &Design) -> Result<Edit, String> {
        Ok(match self {
            Self::Let { name, value } => turned(design, name, *value)?,
            Self::Trim { surface, mm } => bent(design, surface, *mm)?,
            Self::Ballast { index, mass_g, behind_mm } => {
                let old = &design.ballast.get(*index).ok_or("there is no such ballast")?.node;
                let place = match &old.at {
                    BallastPlace::BehindNose { behind, .. } => Some(&behind.node),
                    BallastPlace::Paper(_) => None,
                };
                Edit::Ballast {
                    index: *index,
                    mass: mass_g.map(|g| typed(g * 1e-3, Some(&old.mass.node), Unit::Gram)),
                    behind: behind_mm.map(|mm| typed(mm * 1e-3, place, Unit::Mm)),
                }
            }
            Self::AddBallast { behind_mm } => Edit::AddBallast(clip(*behind_mm)?),
            Self::RemoveBallast { index } => Edit::RemoveBallast(*index),
            Self::Throw { speed_mps, elevation_deg, height_m, bank_deg } => {
                let angle = |deg: f64| typed(deg.to_radians(), None, Unit::Deg);
                Edit::Throw {
                    speed: speed_mps.map(|v| typed(v, None, Unit::MPerS)),
                    elevation: elevation_deg.map(angle),
                    height: height_m.map(|v| typed(v, None, Unit::M)),
                    bank: bank_deg.map(angle),
                }
            }
            Self::OpenWings => Edit::Pose(opened(design)),
            Self::AddStep { after, line, .. } => {
                if line.chars().count() > LINE_CHARS_MAX {
                    return Err("a step is one line".to_owned());
                }
                let after = after.unwrap_or(design.steps.len());
                let step = edit::read_step(text, after, line).map_err(|e| e.to_string())?;
                Edit::AddSteps { after, steps: vec![step] }
            }
            Self::RemoveStep { index } => Edit::RemoveStep(*index),
            Self::SwapStep { index } => Edit::SwapStep(*index),
        })
    }
}

/// A let at a value in its usual unit, written in the unit that stands there.
fn turned(design: &Design, name: &str, value: f64) -> Result<Edit, String> {
    let old = design.lets.iter().map(|l| &l.node).find(|l| l.name.node == name);
    let meant = EditError::Missing { what: "let" };
    let old = &old.ok_or(meant.to_string())?.value.node;
    let known = eval::evaluate(design, &[]).ok();
    let known = known.as_ref().and_then(|v| v.get(name)).map(|v| v.quantity.dimension);
    let usual = known.map_or(Unit::None, |d| d.usual_unit());
    // The page counts in the usual unit of things of this kind.
    let one = unit_of(old, usual).quantity().dimension.usual_unit().quantity().value;
    Ok(Edit::Let { name: name.to_owned(), value: typed(value * one, Some(old), usual) })
}

/// A trailing edge bent to so many mm, up or to the right.
fn bent(design: &Design, surface: &str, mm: f64) -> Result<Edit, String> {
    use TrimSurfaceName::{Elevator, LeftWing, RightWing, Rudder};
    let all = [Elevator, LeftWing, RightWing, Rudder];
    let name = all.into_iter().find(|&s| print::surface(s) == surface);
    let name = name.ok_or("there is no such trailing edge")?;
    let direction = match (name == Rudder, mm < 0.0) {
        (true, true) => Direction::Left,
        (true, false) => Direction::Right,
        (false, true) => Direction::Down,
        (false, false) => Direction::Up,
    };
    let Some(index) = design.trims.iter().position(|t| t.node.surface == name) else {
        let amount = typed(mm.abs() * 1e-3, None, Unit::Mm);
        return Ok(Edit::AddTrim(bend(name, direction, amount)));
    };
    let old = &design.trims[index].node;
    match &old.amount.node {
        // A bend given by a let is changed where the let is given.
        Expr::Let(measure) if old.direction == direction => turned(design, &measure.node, mm.abs()),
        amount => {
            let amount = typed(mm.abs() * 1e-3, Some(amount), Unit::Mm);
            Ok(Edit::Bend { index, direction, amount })
        }
    }
}

/// A small clip.
fn clip(behind_mm: Option<f64>) -> Result<Ballast, String> {
    let behind = behind_mm.unwrap_or(10.0);
    // No sheet is longer than two metres.
    if !(0.0..=2000.0).contains(&behind) {
        return Err("a clip sits behind the nose, on the plane".to_owned());
    }
    let behind = Expr::Number(behind, Unit::Mm).into();
    Ok(Ballast {
        kind: "clip".to_owned().into(),
        mass: Expr::Number(0.5, Unit::Gram).into(),
        at: BallastPlace::BehindNose { behind, above: None, right: None },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\
plane Test
sheet A4 upright, 80 g/m2

let tip  = 24 mm, from 12 mm to 40 mm   # the point
let nose = 1/2 in, from 0 in to 1 in
let turns = 5, from 0 to 9

crease left edge onto right edge, call it centre   # first
mountain along centre

pose centre opens 8 deg
trim  elevator up 1.5 mm, 2 * tip deep # warp
throw 4 m/s, up 10 deg, from 1.8 m, banked 5 deg right
";

    fn changed(change: Change) -> String {
        let text = apply(TEXT, &change).unwrap();
        // Lines that differ, new against old.
        let old: Vec<_> = TEXT.lines().collect();
        text.lines().filter(|l| !old.contains(l)).collect::<Vec<_>>().join("\n")
    }
    fn set(name: &str, value: f64) -> Change {
        Change::Let { name: name.to_owned(), value }
    }

    #[test]
    fn lets_keep_their_unit_and_their_comment() {
        assert_eq!(
            changed(set("tip", 30.0)),
            "let tip  = 30 mm, from 12 mm to 40 mm   # the point"
        );
        assert_eq!(changed(set("nose", 25.4 / 4.0)), "let nose = 0.25 in, from 0 in to 1 in");
        assert_eq!(changed(set("turns", 7.0)), "let turns = 7, from 0 to 9");
        assert!(apply(TEXT, &set("nobody", 1.0)).is_err());
    }

    #[test]
    fn trim_turns_over_and_keeps_its_depth() {
        let trim = |surface: &str, mm| Change::Trim { surface: surface.to_owned(), mm };
        assert_eq!(
            changed(trim("elevator", -2.0)),
            "trim  elevator down 2 mm, 2 * tip deep # warp"
        );
        assert_eq!(changed(trim("rudder", 1.0)), "trim rudder right 1 mm, 10 mm deep");
        let text = apply(TEXT, &trim("rudder", 1.0)).unwrap();
        let lines: Vec<_> = text.lines().collect();
        assert!(lines[lines.len() - 2].starts_with("trim rudder"), "{text}");
    }

    #[test]
    fn a_bend_given_by_a_let_changes_the_let() {
        let text = TEXT.replace("up 1.5 mm", "up tip");
        let trim = |mm| Change::Trim { surface: "elevator".to_owned(), mm };
        let up = apply(&text, &trim(13.0)).unwrap();
        assert!(up.contains("let tip  = 13 mm,") && up.contains("elevator up tip,"), "{up}");
        // The other way the let cannot go: it says how far up.
        let down = apply(&text, &trim(-2.0)).unwrap();
        assert!(down.contains("tip  = 24 mm") && down.contains("elevator down 2 mm,"), "{down}");
    }

    #[test]
    fn sums_and_names_get_the_usual_unit() {
        let text = TEXT.replace("= 24 mm, from 12 mm to 40 mm", "= 2 * nose");
        assert!(apply(&text, &set("tip", 18.0)).unwrap().contains("let tip  = 18 mm "));
    }

    #[test]
    fn a_throw_keeps_what_is_not_spoken_of() {
        let throw = |speed_mps, elevation_deg, bank_deg| {
            changed(Change::Throw { speed_mps, elevation_deg, height_m: None, bank_deg })
        };
        assert_eq!(
            throw(Some(5.25), None, None),
            "throw 5.25 m/s, up 10 deg, from 1.8 m, banked 5 deg right"
        );
        assert_eq!(throw(None, Some(-4.0), Some(0.0)), "throw 4 m/s, down 4 deg, from 1.8 m");
    }

    #[test]
    fn steps_and_ballast_come_and_go() {
        let line = "valley top edge onto bottom edge".to_owned();
        let text =
            apply(TEXT, &Change::AddStep { after: Some(1), line: line.clone(), needs: None })
                .unwrap();
        let at = |what: &str| text.lines().position(|l| l.starts_with(what)).unwrap();
        assert!(at("crease") < at(&line) && at(&line) < at("mountain"));
        assert_eq!(apply(&text, &Change::RemoveStep { index: 1 }).unwrap(), TEXT);
        let with = apply(TEXT, &Change::AddBallast { behind_mm: None }).unwrap();
        let at = |mm| apply(TEXT, &Change::AddBallast { behind_mm: Some(mm) });
        assert!(at(37.5).unwrap().contains("ballast clip 0.5 g at 37.5 mm behind nose"));
        assert!(at(-1.0).is_err() && at(f64::NAN).is_err());
        assert_eq!(apply(&with, &Change::RemoveBallast { index: 0 }).unwrap(), TEXT);
        let heavier = Change::Ballast { index: 0, mass_g: Some(1.0), behind_mm: Some(5.5) };
        let heavier = apply(&with, &heavier).unwrap();
        assert!(heavier.contains("ballast clip 1 g at 5.5 mm behind nose"));
        let two =
            Change::AddStep { after: None, line: "unfold\nthrow 1 m/s".to_owned(), needs: None };
        assert!(apply(TEXT, &two).is_err());
    }

    #[test]
    fn a_design_without_anything_can_be_changed() {
        let throw = Change::Throw {
            speed_mps: Some(3.0),
            elevation_deg: None,
            height_m: None,
            bank_deg: None,
        };
        assert_eq!(apply("", &throw).unwrap(), "throw 3 m/s\n");
        let step = Change::AddStep { after: None, line: "turn over".to_owned(), needs: None };
        assert_eq!(apply("plane A\nsheet A4", &step).unwrap(), "plane A\nsheet A4\nturn over\n");
    }

    #[test]
    fn a_step_brings_the_let_it_needs_and_wings_are_opened_by_name() {
        let half = "plane A\nsheet A4\n\nmountain left edge onto right edge, call it centre\n";
        let opened = apply(half, &Change::OpenWings).unwrap();
        assert_eq!(opened, format!("{half}pose centre opens 6 deg\n"));
        let line = "valley near half parallel to centre, keel from it, both sides, call it wing";
        let wings = |needs: &str| Change::AddStep {
            after: None,
            line: line.to_owned(),
            needs: Some(needs.to_owned()),
        };
        let with = apply(half, &wings("let keel = 20 mm")).unwrap();
        assert!(with.starts_with("plane A\nsheet A4\nlet keel = 20 mm\n"), "{with}");
        assert!(with.ends_with(&format!("{line}\n")), "{with}");
        // A let of that name serves as it is.
        assert_eq!(with_let(&with, "let keel = 9 mm").unwrap(), with);
        let opened = apply(&with, &Change::OpenWings).unwrap();
        assert!(opened.ends_with("pose centre opens 6 deg, wing dihedral 4 deg\n"), "{opened}");
        assert!(apply(half, &wings("unfold")).is_err());
    }
}
