//! A finished plane by its outline, and what was measured on it.

use super::cursor::{Parsed, Parser};
use super::statement::Statement;
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;
use crate::design::limits::MAX_CORNERS;

/// Furthest a path may reach, mm: no sheet of paper is ten metres long.
const PATH_MM: f64 = 10_000.0;
/// Curves of a path are followed to this distance, mm: far finer than a pencil line.
const CURVE_MM: f64 = 0.05;

impl Parser<'_> {
    /// `(0 mm, 0 mm) (90 mm, 180 mm) (0 mm, 200 mm), mirrored` or `path M 0 0 L 90 180 …`
    pub fn outline(&mut self, line_end: usize) -> Parsed<Statement> {
        if self.eat_word("path") {
            return self.outline_path(line_end);
        }
        let mut corners = Vec::new();
        loop {
            self.eat_commas();
            if self.eat_word("mirrored") {
                return Ok(Statement::Outline(OutlineDecl { corners, mirrored: true }));
            }
            if self.at_end() && !corners.is_empty() {
                return Ok(Statement::Outline(OutlineDecl { corners, mirrored: false }));
            }
            if !self.eat_mark('(') {
                let due =
                    "a corner, such as `(90 mm, 180 mm)`: right of the middle, behind the nose";
                return self.unexpected(due, &["mirrored", "path"]);
            }
            let right = self.expression("a length, such as `90 mm`")?;
            self.expect_mark(',')?;
            let back = self.expression("a length, such as `180 mm`")?;
            self.expect_mark(')')?;
            if corners.len() >= MAX_CORNERS {
                let message = format!("an outline has at most {MAX_CORNERS} corners");
                return self.report(Diagnostic::error("too-many", self.here(), message));
            }
            corners.push((right, back));
        }
    }

    /// Path data of SVG in mm, x to the right of the middle, y behind the nose; `mirrored` may
    /// stand at its end.
    fn outline_path(&mut self, line_end: usize) -> Parsed<Statement> {
        let start = self.here().start.min(line_end);
        let said = self.text[start..line_end].trim_end();
        self.at = self.tokens.len();
        let (data, mirrored) = match said.strip_suffix("mirrored") {
            Some(data) => (data.trim_end_matches([' ', ',']), true),
            None => (said, false),
        };
        let span = start..start + data.len();
        let path = match kurbo::BezPath::from_svg(data) {
            Ok(path) if !path.is_empty() => path,
            other => {
                let why = other.err().map_or_else(|| "it is empty".into(), |e| e.to_string());
                let fault = Diagnostic::error("bad-path", span, "this is no SVG path")
                    .label(why)
                    .help("such as `outline path M 0 0 L 90 180 L 0 200 Z mirrored`, in mm");
                return self.report(fault);
            }
        };
        let bounds = path.control_box();
        let most = [bounds.x0, bounds.x1, bounds.y0, bounds.y1].map(f64::abs);
        if !most.iter().all(|&mm| mm <= PATH_MM) {
            let message = format!("an outline lies within {PATH_MM} mm of its origin");
            return self.report(Diagnostic::error("out-of-range", span, message));
        }
        let mut corners = Vec::new();
        let mut too_many = false;
        kurbo::flatten(path.elements().iter().copied(), CURVE_MM, |e| {
            if let kurbo::PathEl::MoveTo(p) | kurbo::PathEl::LineTo(p) = e {
                too_many |= corners.len() >= MAX_CORNERS;
                if !too_many {
                    let length =
                        |mm| Spanned { node: Expr::Number(mm, Unit::Mm), span: span.clone() };
                    corners.push((length(p.x), length(p.y)));
                }
            }
        });
        if too_many {
            let message = format!("an outline has at most {MAX_CORNERS} corners");
            return self.report(Diagnostic::error("too-many", span, message));
        }
        Ok(Statement::Outline(OutlineDecl { corners, mirrored }))
    }

    /// `mass 5 g, balance 80 mm, above keel 12 mm, dihedral 8 deg, keel 20 mm`
    pub fn measured(&mut self) -> Parsed<Measured> {
        const WORDS: &[&str] = &["mass", "balance", "above", "dihedral", "keel"];
        let begin = self.here();
        let mut slots: [Option<Spanned<Expr>>; 5] = Default::default();
        loop {
            self.eat_commas();
            if self.at_end() {
                break;
            }
            let span = self.here();
            let word = self.expect_one_of(WORDS)?;
            if word == "above" {
                self.expect_word("keel")?;
            }
            let value = self.expression(match word {
                "mass" => "a mass, such as `5 g`",
                "dihedral" => "an angle, such as `8 deg`",
                _ => "a length, such as `80 mm`",
            })?;
            if word == "balance" && self.eat_word("behind") {
                self.expect_word("nose")?;
            }
            if word == "keel" {
                self.eat_word("deep");
            }
            let slot = WORDS.iter().position(|w| *w == word).map(|k| &mut slots[k]);
            if slot.is_some_and(|s| s.replace(value).is_some()) {
                let message = "this is said twice";
                return self.report(Diagnostic::error("duplicate", span, message));
            }
        }
        let [mass, balance, above, dihedral, keel] = slots;
        let (Some(mass), Some(balance)) = (mass, balance) else {
            let fault = Diagnostic::error(
                "missing-measure",
                begin,
                "an outline needs its mass and its balance point",
            );
            return self.report(fault.help("such as `measured mass 5 g, balance 80 mm`"));
        };
        Ok(Measured { mass, balance, above, dihedral, keel })
    }
}
