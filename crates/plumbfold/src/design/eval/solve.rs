//! Finds the values of lets in whatever order they allow.

use super::{LetValue, Values, names_in, sheet_size};
use crate::design::ast::*;
use crate::design::diagnostic::{Diagnostic, did_you_mean};
use crate::design::parser::parse_setting_value;
use crate::design::quantity::{Dimension, Quantity};

/// What was found.
pub struct Solution<'d> {
    /// Values of the lets that have any.
    pub values: Values,
    /// Lets without a value.
    pub missing: Vec<&'d str>,
    /// Why.
    pub diagnostics: Vec<Diagnostic>,
}

/// Values of a design's lets, some of them set from outside.
pub fn solve<'d>(design: &'d Design, settings: &'d [(String, String)]) -> Solution<'d> {
    let mut evaluation = Evaluation::new(design);
    evaluation.take_settings(settings);
    evaluation.run();
    let Evaluation { nodes, values, diagnostics } = evaluation;
    let missing = nodes.iter().filter(|n| n.state != State::Known).map(|n| n.name).collect();
    Solution { values, missing, diagnostics }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Waiting,
    Known,
    /// Reported, or depends on something reported.
    Broken,
}

/// One value to find: a let, or the sheet's size under its two names.
struct Node<'d> {
    name: &'d str,
    what: What<'d>,
    needs: Vec<&'d Name>,
    state: State,
    setting: Option<&'d str>,
}

#[derive(Clone, Copy)]
enum What<'d> {
    Let(&'d Let),
    Sheet(&'d SheetDecl),
}

struct Evaluation<'d> {
    nodes: Vec<Node<'d>>,
    values: Values,
    diagnostics: Vec<Diagnostic>,
}

impl<'d> Evaluation<'d> {
    fn new(design: &'d Design) -> Self {
        let mut nodes: Vec<Node<'d>> = Vec::with_capacity(design.lets.len() + 2);
        for l in &design.lets {
            let l = &l.node;
            let mut needs = Vec::new();
            names_in(&l.value, &mut needs);
            if let Some((least, most)) = &l.range {
                names_in(least, &mut needs);
                names_in(most, &mut needs);
            }
            let (state, setting) = (State::Waiting, None);
            nodes.push(Node { name: &l.name.node, what: What::Let(l), needs, state, setting });
        }
        if let Some(sheet) = &design.sheet {
            let sheet = &sheet.node;
            for name in ["width", "length"] {
                if nodes.iter().any(|n| n.name == name) {
                    continue;
                }
                let mut needs = Vec::new();
                sheet.size.parts().into_iter().for_each(|e| names_in(e, &mut needs));
                let (state, setting) = (State::Waiting, None);
                nodes.push(Node { name, what: What::Sheet(sheet), needs, state, setting });
            }
        }
        Self { nodes, values: Values::default(), diagnostics: Vec::new() }
    }

    fn take_settings(&mut self, settings: &'d [(String, String)]) {
        for (name, value) in settings {
            let is_let = |n: &&mut Node<'d>| n.name == name && matches!(n.what, What::Let(_));
            if let Some(node) = self.nodes.iter_mut().find(is_let) {
                node.setting = Some(value);
                continue;
            }
            let lets = || self.nodes.iter().filter(|n| matches!(n.what, What::Let(_)));
            let help = match did_you_mean(name, lets().map(|n| n.name)) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None if lets().next().is_none() => "this design has no lets".to_owned(),
                None => {
                    let names: Vec<_> = lets().map(|n| n.name).collect();
                    format!("lets are {}", names.join(", "))
                }
            };
            let message = format!("no let is called `{name}`, so `{name}={value}` sets nothing");
            self.diagnostics.push(Diagnostic::error("unknown-let", 0..0, message).help(help));
        }
    }

    /// Finds values in whatever order they allow.
    fn run(&mut self) {
        loop {
            let mut progress = false;
            for i in 0..self.nodes.len() {
                if self.nodes[i].state != State::Waiting {
                    continue;
                }
                let Some(state) = self.try_node(i) else { continue };
                self.nodes[i].state = state;
                progress = true;
            }
            if !progress {
                break;
            }
        }
        self.report_rings();
        // In the order of the text, whatever order they were found in.
        let place = |l: &LetValue| self.nodes.iter().position(|n| n.name == l.name);
        self.values.lets.sort_by_key(place);
    }

    /// `None` while something it needs is still waiting.
    fn try_node(&mut self, i: usize) -> Option<State> {
        let node = &self.nodes[i];
        for need in &node.needs {
            match self.nodes.iter().find(|n| n.name == need.node).map(|n| n.state) {
                Some(State::Known) => {}
                Some(State::Waiting) => return None,
                Some(State::Broken) => return Some(State::Broken),
                None => {
                    let fault = self.unknown(need);
                    self.diagnostics.push(fault);
                    return Some(State::Broken);
                }
            }
        }
        let found = match node.what {
            What::Let(l) => self.let_value(l, node.setting),
            What::Sheet(sheet) => sheet_size(sheet, &self.values).map(|[width, length]| LetValue {
                name: node.name.to_owned(),
                quantity: Quantity {
                    value: if node.name == "width" { width } else { length },
                    dimension: Dimension::LENGTH,
                },
                range: None,
                span: 0..0,
            }),
        };
        Some(match found {
            Ok(value) => {
                self.values.lets.push(value);
                State::Known
            }
            Err(fault) => {
                // The sheet's own size is reported where the sheet is checked.
                let again = matches!(node.what, What::Sheet(_)) || fault.code == "missing";
                if !again {
                    self.diagnostics.push(fault);
                }
                State::Broken
            }
        })
    }

    fn unknown(&self, need: &Name) -> Diagnostic {
        let known = self.nodes.iter().map(|n| n.name);
        let help = did_you_mean(&need.node, known).map(|m| format!("did you mean `{m}`?"));
        let message = format!("no let is called `{}`", need.node);
        Diagnostic::error("unknown-let", need.span.clone(), message).maybe_help(help)
    }

    fn let_value(&self, l: &Let, setting: Option<&str>) -> Result<LetValue, Diagnostic> {
        let own = self.values.evaluate(&l.value)?;
        // A bare number beside a range with units has lost its own unit.
        if own.dimension == Dimension::NUMBER
            && let Some((least, _)) = &l.range
        {
            let meant = self.values.evaluate(least)?.dimension;
            if meant != Dimension::NUMBER {
                self.values.quantity(&l.value, meant)?;
            }
        }
        let quantity = match setting {
            Some(text) => self.setting_value(l, own.dimension, text)?,
            None => own,
        };
        let range = l.range.as_ref().map(|(least, most)| {
            let range = [
                self.values.quantity(least, own.dimension)?,
                self.values.quantity(most, own.dimension)?,
            ];
            if range[0] > range[1] {
                let span = least.span.start..most.span.end;
                let message = "the least value is greater than the greatest";
                return Err(Diagnostic::error("bad-range", span, message));
            }
            // A value typed to the last digit of its own bound must not fail by rounding.
            let slack = 1e-12 * (range[0].abs() + range[1].abs());
            if !(range[0] - slack <= quantity.value && quantity.value <= range[1] + slack) {
                return Err(out_of_range(l, setting, quantity, range, least, most));
            }
            Ok(range)
        });
        let range = range.transpose()?;
        Ok(LetValue { name: l.name.node.clone(), quantity, range, span: l.value.span.clone() })
    }

    fn setting_value(
        &self,
        l: &Let,
        wanted: Dimension,
        text: &str,
    ) -> Result<Quantity, Diagnostic> {
        let setting = format!("{}={text}", l.name.node);
        let fault = |code, message, help: Option<String>| {
            Diagnostic::error(code, l.name.span.clone(), message).label("this let").maybe_help(help)
        };
        let parsed = parse_setting_value(text).and_then(|e| Values::default().evaluate(&e));
        let q = parsed.map_err(|inner| {
            let message = format!("the setting `{setting}` is not a value: {}", inner.message);
            let example = "write a number with its unit, such as `24mm`, `3/8in` or `10deg`";
            fault("bad-setting", message, Some(inner.help.unwrap_or(example.to_owned())))
        })?;
        if q.dimension == wanted {
            return Ok(q);
        }
        if q.dimension == Dimension::NUMBER {
            let unit = wanted.usual_unit().quantity();
            if unit.dimension == wanted {
                return Ok(Quantity { value: q.value * unit.value, dimension: wanted });
            }
        }
        let (due, found) = (wanted.describe(), q.dimension.describe());
        let message =
            format!("the setting `{setting}` gives {found}, and `{}` is {due}", l.name.node);
        Err(fault("wrong-quantity", message, None))
    }

    /// What is still waiting needs itself. One report a ring.
    fn report_rings(&mut self) {
        for start in 0..self.nodes.len() {
            let mut ring = vec![start];
            // Follow what each one waits for until a value comes up again.
            let closed = loop {
                let last = &self.nodes[ring[ring.len() - 1]];
                if last.state != State::Waiting {
                    break None;
                }
                let waits_for = last.needs.iter().find_map(|need| {
                    let n = self.nodes.iter().position(|n| n.name == need.node)?;
                    (self.nodes[n].state != State::Known).then_some(n)
                });
                let Some(next) = waits_for else { break None };
                if let Some(at) = ring.iter().position(|&n| n == next) {
                    break Some(at);
                }
                ring.push(next);
            };
            if let Some(at) = closed {
                let names: Vec<_> = ring[at..].iter().map(|&n| self.nodes[n].name).collect();
                let first = &self.nodes[ring[at]];
                let span = match first.what {
                    What::Let(l) => l.value.span.clone(),
                    What::Sheet(_) => first.needs[0].span.clone(),
                };
                let message = match names[..] {
                    [one] => format!("`{one}` needs itself"),
                    _ => format!(
                        "`{}` needs itself, by way of `{}`",
                        names[0],
                        names[1..].join("`, `")
                    ),
                };
                self.diagnostics.push(
                    Diagnostic::error("let-ring", span, message)
                        .help("give one of them a value of its own"),
                );
            }
            for n in ring {
                if self.nodes[n].state == State::Waiting {
                    self.nodes[n].state = State::Broken;
                }
            }
        }
    }
}

fn out_of_range(
    l: &Let,
    setting: Option<&str>,
    q: Quantity,
    range: [f64; 2],
    least: &Spanned<Expr>,
    most: &Spanned<Expr>,
) -> Diagnostic {
    let unit = q.dimension.usual_unit();
    let written = |si: f64| {
        let number = (si / unit.quantity().value * 1e6).round() / 1e6;
        format!("{number} {}", unit.symbol()).trim_end().to_owned()
    };
    let name = &l.name.node;
    let value = written(q.value);
    let message = format!(
        "`{name}` must lie between {} and {}, and is {value}",
        written(range[0]),
        written(range[1])
    );
    let span = if setting.is_some() { l.name.span.clone() } else { l.value.span.clone() };
    let fault = Diagnostic::error("out-of-range", span, message)
        .related(least.span.start..most.span.end, "its range");
    match setting {
        Some(text) => fault.label(format!("set to `{text}` by --set")),
        None => fault,
    }
}
