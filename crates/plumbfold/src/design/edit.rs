//! Changes to a design text made by a program: said in the syntax of the design, written by its
//! printer, and only where the text has to change, so that comments and layout survive.
//!
//! [`Edit::on`] is what a change means, [`apply`] writes it: reading the new text gives what
//! `on` makes of the old design, or there is no new text.

pub mod amount;
mod place;
#[cfg(test)]
mod tests;

use super::ast::{
    Ballast, BallastPlace, Design, Direction, Expr, Let, LineRef, Name, PointRef, Pose, Reference,
    SheetDecl, Span, Spanned, Step, Throw, Trim, TrimSurfaceName, Unit,
};
use super::defaults::{THROW_SPEED_M_S, TRIM_DEPTH_M};
use super::diagnostic::{Diagnostic, did_you_mean};
use super::parser::{Statement, parse};
use super::print;
use place::{Change, Words, below_head, finished_statement, new_steps};

/// One change of a design. An index counts things of its kind in the order of the text.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// A let's value; its range and note stay.
    Let {
        /// Name.
        name: String,
        /// New value.
        value: Expr,
    },
    /// One let more, below the others; its note stands behind it.
    AddLet(Let),
    /// The paper, instead of what the text says of it.
    Sheet(SheetDecl),
    /// How the finished plane is opened, instead of what the text says of it.
    Pose(Pose),
    /// The angle of a hinge in the pose.
    PoseAngle {
        /// Which hinge.
        index: usize,
        /// New angle.
        angle: Expr,
    },
    /// Which way and how far a trailing edge is bent; how deep stays.
    Bend {
        /// Which trim.
        index: usize,
        /// New direction.
        direction: Direction,
        /// New amount.
        amount: Expr,
    },
    /// One trim more.
    AddTrim(Trim),
    /// One less.
    RemoveTrim(usize),
    /// A piece of ballast made heavier, lighter, or slid along the keel.
    Ballast {
        /// Which.
        index: usize,
        /// New mass.
        mass: Option<Expr>,
        /// New place behind the nose; of one placed on the paper nothing changes.
        behind: Option<Expr>,
    },
    /// One piece more.
    AddBallast(Ballast),
    /// One less.
    RemoveBallast(usize),
    /// The throw: what is given changes, the rest stays. Where the text has none, one is added.
    Throw {
        /// New speed.
        speed: Option<Expr>,
        /// New climb angle.
        elevation: Option<Expr>,
        /// New height of the hand.
        height: Option<Expr>,
        /// New bank; nothing is said of no bank.
        bank: Option<Expr>,
    },
    /// More steps, after so many of those there are; a repeat counts as one.
    AddSteps {
        /// Steps before them.
        after: usize,
        /// The new ones.
        steps: Vec<Step>,
    },
    /// One step less; steps that need it are then mistakes of the text.
    RemoveStep(usize),
    /// A step changes places with the next one; what it needs of that one is then a mistake.
    SwapStep(usize),
    /// What steps call places and lines of the paper.
    Rename {
        /// Steps before them, which stay.
        after: usize,
        /// Places and their new names.
        places: Vec<(PointRef, String)>,
        /// Lines and their new names.
        lines: Vec<(LineRef, String)>,
    },
}

/// A change that was not made; the text is as before.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EditError {
    /// There is no such let.
    #[error("no let is called `{name}`{}", meant.as_ref().map_or(String::new(), |m| format!("; did you mean `{m}`?")))]
    UnknownLet {
        /// What was asked for.
        name: String,
        /// What was probably meant.
        meant: Option<String>,
    },
    /// There is nothing with this index.
    #[error("there is no such {what}")]
    Missing {
        /// Kind of thing.
        what: &'static str,
    },
    /// What is to be written does not fit where it should go.
    #[error("`{text}` does not fit there: {why}")]
    DoesNotFit {
        /// What is to be written.
        text: String,
        /// What the parser says.
        why: String,
    },
    /// Two replacements want the same place, or one is past the end of the text.
    #[error("the places to change overlap or are not in the text")]
    BadPlaces,
}

/// A text with changes made, one after the other.
///
/// # Errors
/// There is nothing to change so, or the change cannot be written there.
pub fn apply(text: &str, edits: &[Edit]) -> Result<String, EditError> {
    edits.iter().try_fold(text.to_owned(), |text, edit| edit.apply(&text))
}

/// The step a line says, as the next one after so many steps of a text.
///
/// # Errors
/// The line cannot be read there, or says something else than one step.
pub fn read_step(text: &str, after: usize, line: &str) -> Result<Step, EditError> {
    let does_not_fit = |why: &str| EditError::DoesNotFit { text: line.to_owned(), why: why.into() };
    if line.contains(['\n', '\r', '#', '\\']) {
        return Err(does_not_fit("a step is one line"));
    }
    let (design, before) = parse(text);
    let new = place::replaced(text, &[new_steps(text, &design, after, &[line.to_owned()])?])?;
    let (mut new, faults) = parse(&new);
    if let Some(fault) = fresh(&before, &faults) {
        return Err(does_not_fit(&fault.message));
    }
    if new.steps.len() != design.steps.len() + 1 {
        return Err(does_not_fit("it is no step"));
    }
    let step = new.steps.remove(after.min(design.steps.len())).node;
    if new == design { Ok(step) } else { Err(does_not_fit("it says more than one thing")) }
}

/// A trim bend as deep as one is made when nothing is said, which is said.
pub fn bend(surface: TrimSurfaceName, direction: Direction, amount: Expr) -> Trim {
    let depth = amount::typed(TRIM_DEPTH_M, None, Unit::Mm);
    Trim { surface, direction, amount: amount.into(), depth: Some(depth.into()) }
}

/// A name that stands for nothing yet: `wanted`, or with a number behind it.
pub fn free_name(text: &str, wanted: &str) -> String {
    let body = 0..text.len();
    let tokens = super::lexer::tokens(text, &body);
    let free = |name: &String| tokens.iter().all(|t| !t.is_word(name));
    let numbered = (2..).map(|n| format!("{wanted}_{n}"));
    std::iter::once(wanted.to_owned()).chain(numbered).find(free).unwrap_or_default()
}

impl Edit {
    /// What the change makes of a design.
    ///
    /// # Errors
    /// There is nothing to change so.
    pub fn on(&self, design: &mut Design) -> Result<(), EditError> {
        match self {
            Self::Let { name, value } => {
                let at = let_index(design, name)?;
                design.lets[at].node.value = value.clone().into();
            }
            Self::AddLet(new) => design.lets.push(new.clone().into()),
            Self::Sheet(sheet) => design.sheet = Some(sheet.clone().into()),
            Self::Pose(pose) => design.pose = Some(pose.clone().into()),
            Self::PoseAngle { index, angle } => {
                let pose = design.pose.as_mut().map(|p| &mut p.node.items);
                nth(pose.map_or(&mut [], |items| items), *index, "hinge")?.angle =
                    angle.clone().into();
            }
            Self::Bend { index, direction, amount } => {
                let trim = &mut nth(&mut design.trims, *index, TRIM)?.node;
                (trim.direction, trim.amount) = (*direction, amount.clone().into());
            }
            Self::AddTrim(trim) => design.trims.push(trim.clone().into()),
            Self::RemoveTrim(index) => removed(&mut design.trims, *index, TRIM)?,
            Self::Ballast { index, mass, behind } => {
                let ballast = &mut nth(&mut design.ballast, *index, BALLAST)?.node;
                set(&mut ballast.mass, mass);
                if let BallastPlace::BehindNose { behind: old, .. } = &mut ballast.at {
                    set(old, behind);
                }
            }
            Self::AddBallast(ballast) => design.ballast.push(ballast.clone().into()),
            Self::RemoveBallast(index) => removed(&mut design.ballast, *index, BALLAST)?,
            Self::Throw { speed, elevation, height, bank } => {
                let throw = &mut design.throw.get_or_insert_with(|| default_throw().into()).node;
                let optional = |old: &mut Option<Spanned<Expr>>, new: &Option<Expr>| {
                    *old = new.clone().map(Spanned::from).or(old.take());
                };
                set(&mut throw.speed, speed);
                optional(&mut throw.elevation, elevation);
                optional(&mut throw.height, height);
                optional(&mut throw.bank, bank);
                throw.bank.take_if(|b| matches!(b.node, Expr::Number(0.0, _)) && bank.is_some());
            }
            Self::AddSteps { after, steps } => {
                let after = (*after).min(design.steps.len());
                design.steps.splice(after..after, steps.iter().cloned().map(Spanned::from));
            }
            Self::RemoveStep(index) => removed(&mut design.steps, *index, STEP)?,
            Self::SwapStep(index) => {
                at(&design.steps, index + 1, STEP)?;
                design.steps.swap(*index, index + 1);
            }
            Self::Rename { .. } => {
                self.renamed(design);
            }
        }
        Ok(())
    }

    fn apply(&self, text: &str) -> Result<String, EditError> {
        let (design, before) = parse(text);
        let changes = self.changes(text, &design)?;
        let new = place::replaced(text, &changes)?;
        let (read, faults) = parse(&new);
        // What needed a step that is gone is a mistake now, and is told as one.
        if !matches!(self, Self::RemoveStep(_) | Self::SwapStep(_)) {
            let mut meant = design;
            self.on(&mut meant)?;
            if read != meant {
                let why = fresh(&before, &faults).map(|d| d.message.clone());
                return Err(EditError::DoesNotFit {
                    text: changes.into_iter().map(|c| c.1).collect(),
                    why: why.unwrap_or_else(|| "it would say something else".to_owned()),
                });
            }
        }
        Ok(new)
    }

    /// Where a text has to change, and to what.
    fn changes(&self, text: &str, design: &Design) -> Result<Vec<Change>, EditError> {
        let put = |old: &Spanned<Expr>, new: &Expr| (old.span.clone(), print::expression(new));
        let add = |s: &Statement| finished_statement(text, design, print::statement(s));
        Ok(match self {
            Self::Let { name, value } => {
                vec![put(&design.lets[let_index(design, name)?].node.value, value)]
            }
            Self::AddLet(new) => {
                let note = new.note.as_ref().map_or_else(String::new, |n| format!("  # {n}"));
                let line = print::statement(&Statement::Let(new.clone())) + &note;
                vec![below_head(text, design, &[line])?]
            }
            Self::Sheet(sheet) => {
                let said = print::statement(&Statement::Sheet(sheet.clone()));
                match &design.sheet {
                    Some(old) => vec![(old.span.clone(), said)],
                    None => vec![below_head(text, design, &[said])?],
                }
            }
            Self::Pose(pose) => {
                let said = Statement::Pose(pose.clone());
                match &design.pose {
                    Some(old) => vec![(old.span.clone(), print::statement(&said))],
                    None => vec![add(&said)?],
                }
            }
            Self::PoseAngle { index, angle } => {
                let items = design.pose.as_ref().map_or(&[][..], |p| &p.node.items);
                vec![put(&at(items, *index, "hinge")?.angle, angle)]
            }
            Self::Bend { index, direction, amount } => {
                let Spanned { node: trim, span } = at(&design.trims, *index, TRIM)?;
                if trim.direction == *direction {
                    return Ok(vec![put(&trim.amount, amount)]);
                }
                let way = Words::new(text, span).before(trim.amount.span.start);
                let said =
                    format!("{} {}", print::direction(*direction), print::expression(amount));
                vec![(way.start..trim.amount.span.end, said)]
            }
            Self::AddTrim(trim) => vec![add(&Statement::Trim(trim.clone()))?],
            Self::RemoveTrim(index) => {
                vec![place::without(text, &at(&design.trims, *index, TRIM)?.span)?]
            }
            Self::Ballast { index, mass, behind } => {
                let old = &at(&design.ballast, *index, BALLAST)?.node;
                let mut changes: Vec<_> = mass.iter().map(|new| put(&old.mass, new)).collect();
                if let BallastPlace::BehindNose { behind: old, .. } = &old.at {
                    changes.extend(behind.iter().map(|new| put(old, new)));
                }
                changes
            }
            Self::AddBallast(ballast) => vec![add(&Statement::Ballast(ballast.clone()))?],
            Self::RemoveBallast(index) => {
                vec![place::without(text, &at(&design.ballast, *index, BALLAST)?.span)?]
            }
            Self::Throw { .. } => match &design.throw {
                Some(throw) => self.throw_changes(text, throw),
                None => {
                    let mut new = Design::default();
                    self.on(&mut new)?;
                    let throw = new.throw.map_or_else(default_throw, |t| t.node);
                    vec![add(&Statement::Throw(throw))?]
                }
            },
            Self::AddSteps { after, steps } => {
                vec![new_steps(text, design, *after, &print::step_lines(steps))?]
            }
            Self::RemoveStep(index) => {
                vec![place::without(text, &at(&design.steps, *index, STEP)?.span)?]
            }
            Self::SwapStep(index) => {
                let [one, two] = [*index, index + 1].map(|i| at(&design.steps, i, STEP));
                let (one, two) = (one?.span.clone(), two?.span.clone());
                let said = |span: &Span| text.get(span.clone()).unwrap_or_default().to_owned();
                vec![(one.clone(), said(&two)), (two.clone(), said(&one))]
            }
            Self::Rename { .. } => self.renamed(&mut design.clone()),
        })
    }

    /// Each clause of a throw by itself; one that is not there yet goes to the end of the line.
    fn throw_changes(&self, text: &str, throw: &Spanned<Throw>) -> Vec<Change> {
        let Self::Throw { speed, elevation, height, bank } = self else { return Vec::new() };
        let (words, old) = (Words::new(text, &throw.span), &throw.node);
        let end = words.said_before(throw.span.end);
        let mut changes = Vec::new();
        let mut more = String::new();
        if let Some(new) = speed {
            changes.push((old.speed.span.clone(), print::expression(new)));
        }
        if let Some(new) = elevation {
            match &old.elevation {
                Some(e) => changes.push((rise(&words, e), print::elevation(new))),
                None => more += &format!(", {}", print::elevation(new)),
            }
        }
        if let Some(new) = height {
            match &old.height {
                Some(e) => changes.push((e.span.clone(), print::expression(new))),
                None => more += &format!(", {}", print::height(new)),
            }
        }
        if let Some(new) = bank {
            let none = matches!(new, Expr::Number(0.0, _));
            let clause = old
                .bank
                .as_ref()
                .map(|e| words.before(e.span.start).start..words.after(e.span.end).end);
            match clause {
                Some(span) if none => {
                    changes.push((words.said_before(span.start)..span.end, String::new()));
                }
                Some(span) => changes.push((span, print::bank(new))),
                None if none => {}
                None => more += &format!(", {}", print::bank(new)),
            }
        }
        if !more.is_empty() {
            changes.push((end..end, more));
        }
        changes
    }

    /// Renames in a design, and says where its text has to change.
    fn renamed(&self, design: &mut Design) -> Vec<Change> {
        let Self::Rename { after, places, lines } = self else { return Vec::new() };
        let mut changes = Vec::new();
        let mut seen = |reference: Reference<'_>| match reference {
            Reference::Point(p) => {
                if let Some((_, name)) = places.iter().find(|(old, _)| *old == p.node) {
                    p.node = PointRef::Named(Name::from(name.clone()));
                    changes.push((p.span.clone(), name.clone()));
                }
            }
            Reference::Line(l) => {
                if let Some((_, name)) = lines.iter().find(|(old, _)| *old == l.node) {
                    l.node = LineRef::Named(Name::from(name.clone()));
                    changes.push((l.span.clone(), name.clone()));
                }
            }
        };
        design.steps.iter_mut().skip(*after).for_each(|s| s.node.each_reference(&mut seen));
        changes
    }
}

const TRIM: &str = "trailing edge";
const BALLAST: &str = "ballast";
const STEP: &str = "step";

fn default_throw() -> Throw {
    let speed = amount::number(THROW_SPEED_M_S, Unit::MPerS).into();
    Throw { speed, elevation: None, height: None, bank: None }
}

fn let_index(design: &Design, name: &str) -> Result<usize, EditError> {
    let known = |d: &Design| d.lets.iter().position(|l| l.node.name.node == name);
    known(design).ok_or_else(|| {
        let names = design.lets.iter().map(|l| l.node.name.node.as_str());
        let meant = did_you_mean(name, names).map(str::to_owned);
        EditError::UnknownLet { name: name.to_owned(), meant }
    })
}

fn at<'a, T>(all: &'a [T], index: usize, what: &'static str) -> Result<&'a T, EditError> {
    all.get(index).ok_or(EditError::Missing { what })
}

fn nth<'a, T>(all: &'a mut [T], index: usize, what: &'static str) -> Result<&'a mut T, EditError> {
    all.get_mut(index).ok_or(EditError::Missing { what })
}

fn removed<T>(all: &mut Vec<T>, index: usize, what: &'static str) -> Result<(), EditError> {
    if index >= all.len() {
        return Err(EditError::Missing { what });
    }
    all.remove(index);
    Ok(())
}

fn set(old: &mut Spanned<Expr>, new: &Option<Expr>) {
    if let Some(new) = new {
        *old = new.clone().into();
    }
}

/// The clause that says how a throw rises: a word and an angle, or `level`.
fn rise(words: &Words<'_>, e: &Spanned<Expr>) -> Span {
    let level = e.node == Expr::Number(0.0, Unit::Deg) && words.is_word_at(e.span.start);
    if level { e.span.clone() } else { words.before(e.span.start).start..e.span.end }
}

/// A mistake that was not there before.
fn fresh<'a>(before: &[Diagnostic], after: &'a [Diagnostic]) -> Option<&'a Diagnostic> {
    let fresh = after.iter().find(|d| before.iter().all(|b| b.message != d.message));
    fresh.or(after.last()).filter(|_| after.len() > before.len())
}
