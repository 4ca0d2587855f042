//! Design to canonical text, and text to its canonical form.
//!
//! [`print()`] writes a whole design in the order plane, about, sheet, creep, lets, steps, pose,
//! trim, ballast, throw; parsing it gives the design back. [`format()`] works line by line on a
//! text instead: it keeps comments, blank lines, the order of the lines and the way numbers were
//! written, and makes everything else uniform.

mod layout;
pub(super) mod references;
mod source;

use super::ast::*;
use super::parser::{ParsedLine, Statement, parse_lines};
use layout::{Row, layout};
use references::Printer;

pub use references::{line, place};

/// Lines longer than this are broken between clauses. Chosen: fits a page and a terminal.
const LINE_WIDTH: usize = 96;
const INDENT: &str = "  ";

/// The canonical text of a design.
pub fn print(design: &Design) -> String {
    let printer = Printer { source: None };
    let row = |s: &Statement| printer.row(s, 0);
    let mut head: Vec<Row> = Vec::new();
    head.extend(design.name.iter().map(|n| row(&Statement::Plane(n.clone()))));
    head.extend(design.about.iter().map(|a| row(&Statement::About(a.clone()))));
    head.extend(design.sheet.iter().map(|s| row(&Statement::Sheet(s.node.clone()))));
    head.extend(design.outline.iter().map(|o| row(&Statement::Outline(o.node.clone()))));
    head.extend(design.measured.iter().map(|m| row(&Statement::Measured(m.node.clone()))));
    head.extend(design.creep.iter().map(|c| row(&Statement::Creep(c.node))));
    let lets = design.lets.iter().map(|l| Row {
        comment: l.node.note.as_ref().map(|n| format!("# {n}")),
        ..row(&Statement::Let(l.node.clone()))
    });
    let mut steps = Vec::new();
    print_steps(&printer, &design.steps, 0, &mut steps);
    let mut tail: Vec<Row> = Vec::new();
    tail.extend(design.pose.iter().map(|p| row(&Statement::Pose(p.node.clone()))));
    tail.extend(design.trims.iter().map(|t| row(&Statement::Trim(t.node.clone()))));
    tail.extend(design.ballast.iter().map(|b| row(&Statement::Ballast(b.node.clone()))));
    tail.extend(design.throw.iter().map(|t| row(&Statement::Throw(t.node.clone()))));
    let groups = [head, lets.collect(), steps, tail];
    let groups = groups.into_iter().filter(|g| !g.is_empty()).map(layout);
    groups.collect::<Vec<_>>().join("\n")
}

fn print_steps(p: &Printer<'_>, steps: &[Spanned<Step>], depth: usize, out: &mut Vec<Row>) {
    for step in steps {
        if let Step::Repeat(count, inner) = &step.node {
            out.push(p.row(&Statement::Repeat(count.clone()), depth));
            print_steps(p, inner, depth + 1, out);
            out.push(p.row(&Statement::End, depth));
        } else {
            out.push(p.row(&Statement::Step(step.node.clone()), depth));
        }
    }
}

/// The canonical form of a text. Lines that cannot be read stay as they are.
pub fn format(text: &str) -> String {
    let (lines, _) = parse_lines(text);
    if lines.is_empty() && !text.trim().is_empty() {
        return text.to_owned();
    }
    let printer = Printer { source: Some(text) };
    let mut rows: Vec<Row> = Vec::with_capacity(lines.len());
    let (mut depth, mut blank) = (0usize, false);
    for ParsedLine { line, statement, broken } in lines {
        let comment = line.comment.map(|c| text[c].to_owned());
        if line.body.is_empty() && comment.is_none() {
            blank = true;
            continue;
        }
        if blank && !rows.is_empty() {
            rows.push(Row { fixed: true, ..Row::default() });
        }
        blank = false;
        depth -= usize::from(depth > 0 && matches!(statement, Some(Statement::End)));
        rows.push(match &statement {
            Some(statement) if !broken => Row { comment, ..printer.row(statement, depth) },
            _ => {
                let whole = text[line.whole].trim();
                // What a line is carried over to may be empty, and must stay so.
                let carried = comment.is_none() && whole.ends_with('\\');
                let end = if carried { "\n" } else { "" };
                let said = format!("{}{whole}{end}", INDENT.repeat(depth));
                Row { said, fixed: true, ..Row::default() }
            }
        });
        depth += usize::from(matches!(statement, Some(Statement::Repeat(_))));
    }
    let formatted = layout(rows);
    // A text keeps the line ends it came with.
    if text.contains("\r\n") { formatted.replace('\n', "\r\n") } else { formatted }
}

/// The lines of steps, each without its line end; a long one holds some.
pub(super) fn step_lines(steps: &[Step]) -> Vec<String> {
    let steps: Vec<_> = steps.iter().cloned().map(Spanned::from).collect();
    let mut rows = Vec::new();
    print_steps(&Printer { source: None }, &steps, 0, &mut rows);
    rows.into_iter().map(|row| row.said).collect()
}

/// A line of a design.
pub(super) fn statement(statement: &Statement) -> String {
    Printer { source: None }.statement(statement, 0)
}

/// A step alone, on one line; a repeat says only how often.
pub fn step(step: &Step) -> String {
    step_lines(std::slice::from_ref(step)).swap_remove(0)
}

/// An expression alone.
pub fn expression(e: &Expr) -> String {
    Printer { source: None }.expr(&e.clone().into())
}

/// The clause of a throw that says how it rises.
pub(super) fn elevation(e: &Expr) -> String {
    Printer { source: None }.elevation(&e.clone().into())
}

/// The clause of a throw that says how high the hand is.
pub(super) fn height(e: &Expr) -> String {
    format!("from {}", expression(e))
}

/// The clause of a throw that says how it leans.
pub(super) fn bank(e: &Expr) -> String {
    Printer { source: None }.bank(&e.clone().into())
}

impl Printer<'_> {
    fn row(&self, statement: &Statement, depth: usize) -> Row {
        let is_let = matches!(statement, Statement::Let(_));
        Row { said: self.statement(statement, depth), is_let, ..Row::default() }
    }

    /// One line, or several joined by `\`, without the comment.
    fn statement(&self, statement: &Statement, depth: usize) -> String {
        let clauses = match statement {
            Statement::Plane(name) => vec![format!("plane {}", name.node)],
            Statement::About(text) => vec![format!("about {}", text.node)],
            Statement::Sheet(sheet) => self.sheet(sheet),
            Statement::Outline(outline) => self.outline(outline),
            Statement::Measured(measured) => self.measured(measured),
            Statement::Creep(on) => vec![format!("creep {}", if *on { "on" } else { "off" })],
            Statement::Let(l) => self.let_line(l),
            Statement::Step(step) => self.step(step),
            Statement::Blintz => vec!["blintz fold".to_owned()],
            Statement::Repeat(count) => vec![format!("repeat {} times", self.expr(count))],
            Statement::End => vec!["end".to_owned()],
            Statement::Pose(pose) => self.pose(pose),
            Statement::Trim(trim) => self.trim(trim),
            Statement::Ballast(ballast) => self.ballast(ballast),
            Statement::Throw(throw) => self.throw(throw),
        };
        broken_up(&clauses, depth)
    }

    fn sheet(&self, s: &SheetDecl) -> Vec<String> {
        let mut out = vec![match &s.size {
            SheetSize::Named(name) => {
                let way = if s.sideways { "sideways" } else { "upright" };
                format!("sheet {} {way}", name.node)
            }
            SheetSize::Square(side) => format!("sheet square {}", self.expr(side)),
            SheetSize::Custom(w, l) => format!("sheet {} by {}", self.expr(w), self.expr(l)),
        }];
        out.extend(s.grammage.iter().map(|e| self.expr(e)));
        out.extend(s.thickness.iter().map(|e| format!("thickness {}", self.expr(e))));
        out.extend(s.printed_down.then(|| "printed side down".to_owned()));
        out
    }

    fn let_line(&self, l: &Let) -> Vec<String> {
        let mut out = vec![format!("let {} = {}", l.name.node, self.expr(&l.value))];
        if let Some((least, most)) = &l.range {
            out.push(format!("from {} to {}", self.expr(least), self.expr(most)));
        }
        out
    }

    fn pose(&self, pose: &Pose) -> Vec<String> {
        if pose.items.is_empty() {
            return vec!["pose flat".to_owned()];
        }
        let items = pose.items.iter().map(|item| {
            let kind = match item.kind {
                PoseKind::Opens => "opens",
                PoseKind::Dihedral => "dihedral",
                PoseKind::Up => "up",
                PoseKind::Down => "down",
            };
            format!("{} {kind} {}", item.crease.node, self.expr(&item.angle))
        });
        let mut out: Vec<_> = items.collect();
        out[0].insert_str(0, "pose ");
        out
    }

    fn trim(&self, t: &Trim) -> Vec<String> {
        let way = direction(t.direction);
        let mut out = vec![format!("trim {} {way} {}", surface(t.surface), self.expr(&t.amount))];
        out.extend(t.depth.iter().map(|d| format!("{} deep", self.expr(d))));
        out
    }

    fn outline(&self, o: &OutlineDecl) -> Vec<String> {
        let corner = |(x, y): &(Spanned<Expr>, Spanned<Expr>)| {
            format!("({}, {})", self.expr(x), self.expr(y))
        };
        // Corners of a path all stand where the path stands.
        let path = self.source.zip(o.corners.first()).filter(|(_, (x, y))| x.span == y.span);
        let mut out = match path {
            Some((text, (x, _))) => {
                let data: Vec<_> = text[x.span.clone()].split_whitespace().collect();
                vec![format!("outline path {}", data.join(" "))]
            }
            None => {
                let corners: Vec<String> = o.corners.iter().map(corner).collect();
                vec![format!("outline {}", corners.join(" "))]
            }
        };
        out.extend(o.mirrored.then(|| "mirrored".to_owned()));
        out
    }

    fn measured(&self, m: &Measured) -> Vec<String> {
        let mut out = vec![
            format!("measured mass {}", self.expr(&m.mass)),
            format!("balance {}", self.expr(&m.balance)),
        ];
        let more = [("above keel", &m.above), ("dihedral", &m.dihedral), ("keel", &m.keel)];
        for (word, value) in more {
            out.extend(value.iter().map(|v| format!("{word} {}", self.expr(v))));
        }
        out
    }

    fn ballast(&self, b: &Ballast) -> Vec<String> {
        let what = format!("ballast {} {}", b.kind.node, self.expr(&b.mass));
        match &b.at {
            BallastPlace::Paper(p) => vec![format!("{what} at {}", self.point(p))],
            BallastPlace::BehindNose { behind, above, right } => {
                let mut out = vec![format!("{what} at {} behind nose", self.expr(behind))];
                let above = above.iter().map(|e| self.signed(e, "above keel", "below keel"));
                out.extend(above);
                out.extend(right.iter().map(|e| self.signed(e, "right", "left")));
                out
            }
        }
    }

    fn throw(&self, t: &Throw) -> Vec<String> {
        let mut out = vec![format!("throw {}", self.expr(&t.speed))];
        out.extend(t.elevation.iter().map(|e| self.elevation(e)));
        out.extend(t.height.iter().map(|h| format!("from {}", self.expr(h))));
        out.extend(t.bank.iter().map(|e| self.bank(e)));
        out
    }

    fn elevation(&self, e: &Spanned<Expr>) -> String {
        match &e.node {
            Expr::Number(0.0, Unit::Deg) => "level".to_owned(),
            Expr::Neg(inner) => format!("down {}", self.expr(inner)),
            _ => format!("up {}", self.expr(e)),
        }
    }

    fn bank(&self, e: &Spanned<Expr>) -> String {
        format!("banked {}", self.signed(e, "right", "left"))
    }

    /// A quantity with the word for its direction, the other word for a negative one.
    fn signed(&self, e: &Spanned<Expr>, positive: &str, negative: &str) -> String {
        match &e.node {
            Expr::Neg(inner) => format!("{} {negative}", self.expr(inner)),
            _ => format!("{} {positive}", self.expr(e)),
        }
    }

    fn step(&self, step: &Step) -> Vec<String> {
        match step {
            Step::Fold(fold) => self.fold(fold),
            Step::Unfold(None) => vec!["unfold".to_owned()],
            Step::Unfold(Some(name)) => vec![format!("unfold {}", name.node)],
            Step::UnfoldAll => vec!["unfold all".to_owned()],
            Step::Refold(name) => vec![format!("refold {}", name.node)],
            Step::Roll(r) => {
                let word = if r.pleated { "pleat" } else { "roll" };
                let (edge, times, by) = (self.line(&r.edge), self.expr(&r.times), self.expr(&r.by));
                let layers = match self.layers(&r.layers) {
                    none if none.is_empty() => none,
                    layers => format!("{layers} "),
                };
                let mut out = vec![format!("{word} {layers}{edge} {times} times by {by}")];
                out.extend(r.sides.words().map(str::to_owned));
                out.extend(r.call.iter().map(|n| format!("call it {}", n.node)));
                out
            }
            Step::TurnOver => vec!["turn over".to_owned()],
            Step::Rotate(angle) => vec![format!("rotate {}", self.expr(angle))],
            Step::Mark(name, target) => {
                let target = match target {
                    MarkTarget::Point(p) => self.point(p),
                    MarkTarget::Line(l) => self.line(l),
                };
                vec![format!("mark {} = {target}", name.node)]
            }
            Step::Repeat(count, _) => vec![format!("repeat {} times", self.expr(count))],
            Step::Collapse(collapse) => self.collapse(collapse),
        }
    }

    fn fold(&self, f: &FoldStep) -> Vec<String> {
        let verb = match f.verb {
            FoldVerb::Valley => "valley",
            FoldVerb::Mountain => "mountain",
            FoldVerb::Crease => "crease",
        };
        let line = self.fold_line(&f.line);
        let layers = self.layers(&f.layers);
        let mut out = match &f.layers.node {
            Layers::Default => vec![format!("{verb} {line}")],
            Layers::FlapAt(_) => vec![format!("{verb} {layers}"), line],
            _ => vec![format!("{verb} {layers} {line}")],
        };
        out.extend(f.moving.iter().map(|m| match &m.node {
            MovingRef::Point(p) => format!("moving {}", self.point(p)),
            MovingRef::Line(l) => format!("moving {}", self.line(l)),
            MovingRef::Table(d) => format!("moving {}", direction(*d)),
        }));
        out.extend(f.choice.iter().map(|c| self.choice(c)));
        out.extend(f.place.iter().map(|p| match &p.node {
            Place::Inside => "inside".to_owned(),
            Place::Under(p) => format!("under {}", self.point(p)),
            Place::Over(p) => format!("over {}", self.point(p)),
        }));
        out.extend(f.sides.words().map(str::to_owned));
        out.extend(f.call.iter().map(|n| format!("call it {}", n.node)));
        out
    }

    fn layers(&self, layers: &Spanned<Layers>) -> String {
        let counted = |side, n: &Spanned<Expr>| match n.node {
            Expr::Number(1.0, Unit::None) => format!("{side} layer"),
            _ => format!("{side} {} layers", self.expr(n)),
        };
        match &layers.node {
            Layers::Default => String::new(),
            Layers::All => "all layers".to_owned(),
            Layers::Top(n) => counted("top", n),
            Layers::Bottom(n) => counted("bottom", n),
            Layers::NearHalf => "near half".to_owned(),
            Layers::FarHalf => "far half".to_owned(),
            Layers::FlapAt(p) => format!("flap at {}", self.point_before_along(p)),
        }
    }

    fn choice(&self, choice: &Spanned<Choice>) -> String {
        match &choice.node {
            Choice::Take(n) => format!("take {}", self.expr(n)),
            Choice::Nearest(p) => format!("nearest {}", self.point(p)),
        }
    }

    fn collapse(&self, c: &CollapseStep) -> Vec<String> {
        let reverse = |word, r: &Reverse| {
            let tip = self.point_before_along(&r.tip);
            vec![format!("{word} {tip} {}", self.fold_line(&r.line))]
        };
        let between = |word, p, l, m| {
            let (l, m) = (self.fold_line_or_line(l), self.fold_line_or_line(m));
            vec![format!("{word} {} between {l} and {m}", self.point(p))]
        };
        let hinged = |word, l, m, p| {
            let (l, m, p) = (self.line(l), self.line(m), self.point(p));
            vec![format!("{word} {l} onto {m}"), format!("hinged at {p}")]
        };
        let mut out = match &c.kind {
            CollapseKind::Creases { items, holding } => {
                let mut out: Vec<_> = items.iter().map(|i| self.collapse_item(i)).collect();
                if let Some(first) = out.first_mut() {
                    first.insert_str(0, "collapse ");
                }
                out.extend(holding.iter().map(|p| format!("holding {}", self.point(p))));
                out
            }
            CollapseKind::InsideReverse(r) => reverse("inside reverse", r),
            CollapseKind::OutsideReverse(r) => reverse("outside reverse", r),
            CollapseKind::OpenSink(r) => reverse("open sink", r),
            CollapseKind::ClosedSink(r) => reverse("closed sink", r),
            CollapseKind::Crimp(p, l, m) => between("crimp", p, l, m),
            CollapseKind::Pleat(p, l, m) => between("pleat", p, l, m),
            CollapseKind::Squash { spine, onto, hinge } => hinged("squash", spine, onto, hinge),
            CollapseKind::Swivel { edge, onto, hinge } => hinged("swivel", edge, onto, hinge),
            CollapseKind::Petal(r) => reverse("petal", r),
            CollapseKind::RabbitEar { corners: [ear, p, q], towards } => {
                let (ear, p, q) = (self.point(ear), self.point(p), self.point(q));
                let towards = format!("towards {}", self.point(towards));
                vec![format!("rabbit ear {ear} between {p} and {q}"), towards]
            }
            CollapseKind::WaterbombBase(part) => {
                vec![format!("waterbomb base{}", square_part(part.node))]
            }
            CollapseKind::PreliminaryBase(part) => {
                vec![format!("preliminary base{}", square_part(part.node))]
            }
            CollapseKind::Tuck { flap, under, line } => {
                let under = self.point_before_along(under);
                let (flap, line) = (self.point(flap), self.fold_line(line));
                vec![format!("tuck {flap} under {under} {line}")]
            }
        };
        out.extend(c.choice.iter().map(|c| self.choice(c)));
        out.extend(c.sides.words().map(str::to_owned));
        out.extend(c.call.iter().map(|n| format!("call it {}", n.node)));
        out
    }

    fn collapse_item(&self, item: &CollapseItem) -> String {
        let state = match item.state {
            CreaseState::Valley => "valley",
            CreaseState::Mountain => "mountain",
            CreaseState::Flat => "flat",
        };
        let line = self.line(&item.line);
        match &item.part {
            Some((p, q)) => format!("{line} from {} to {} {state}", self.point(p), self.point(q)),
            None => format!("{line} {state}"),
        }
    }
}

/// A trim edge as the text names it.
pub fn surface(s: TrimSurfaceName) -> &'static str {
    match s {
        TrimSurfaceName::Elevator => "elevator",
        TrimSurfaceName::LeftWing => "left wing",
        TrimSurfaceName::RightWing => "right wing",
        TrimSurfaceName::Rudder => "rudder",
    }
}

/// A direction on the table, or of a trim edge.
pub fn direction(d: Direction) -> &'static str {
    match d {
        Direction::Left => "left",
        Direction::Right => "right",
        Direction::Up => "up",
        Direction::Down => "down",
    }
}

fn square_part(part: SquarePart) -> &'static str {
    match part {
        SquarePart::Whole => "",
        SquarePart::Top => " on top square",
        SquarePart::Bottom => " on bottom square",
    }
}

/// Clauses joined by commas, over several lines where one would be too long.
fn broken_up(clauses: &[String], depth: usize) -> String {
    let margin = INDENT.repeat(depth);
    let mut out = format!("{margin}{}", clauses[0]);
    let mut width = out.chars().count();
    for (i, clause) in clauses.iter().enumerate().skip(1) {
        let more = if i + 1 < clauses.len() { ", \\".len() } else { 0 };
        let needed = clause.chars().count();
        if width + 2 + needed + more > LINE_WIDTH {
            out.push_str(", \\\n");
            out.push_str(&margin);
            out.push_str(INDENT);
            out.push_str(INDENT);
            width = margin.len() + 2 * INDENT.len();
        } else {
            out.push_str(", ");
            width += 2;
        }
        out.push_str(clause);
        width += needed;
    }
    out
}

#[cfg(test)]
mod tests;
