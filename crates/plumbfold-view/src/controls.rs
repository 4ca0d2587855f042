//! What can be turned by a slider: the lets, trim, ballast and throw of a text, with their values
//! in the units people use.

use plumbfold::design::ast::*;
use plumbfold::design::dial::Dial;
use plumbfold::design::eval::Values;
use plumbfold::design::print;
use plumbfold::plane::assembly;
use serde::Serialize;

/// Everything adjustable in a design.
#[derive(Debug, Serialize)]
pub struct Controls {
    /// In the order of the text.
    pub lets: Vec<LetControl>,
    /// In the order of the text.
    pub trims: Vec<TrimControl>,
    /// In the order of the text.
    pub ballast: Vec<BallastControl>,
    /// The throw, with what is taken where the text says nothing.
    pub throw: ThrowControl,
}

/// A let.
#[derive(Debug, Serialize)]
pub struct LetControl {
    name: String,
    note: Option<String>,
    /// Unit of the three numbers below; empty for counts and plain numbers.
    unit: &'static str,
    value: f64,
    range: [f64; 2],
    /// Whole numbers only.
    whole: bool,
    /// The text gives it as a sum of other things, which a slider would replace by a number.
    computed: bool,
}

/// A trim bend.
#[derive(Debug, Serialize)]
pub struct TrimControl {
    surface: &'static str,
    /// Up or to the right is positive.
    mm: f64,
    depth_mm: f64,
    /// The let that gives the bend, whose dial turns both.
    by: Option<String>,
}

/// A clip, tape, staple or blob of glue.
#[derive(Debug, Serialize)]
pub struct BallastControl {
    kind: String,
    mass_g: f64,
    /// Only where it is measured on the finished plane.
    behind_mm: Option<f64>,
    /// The lets that give mass and place, whose dials turn both.
    mass_by: Option<String>,
    behind_by: Option<String>,
}

/// A throw.
#[derive(Debug, Serialize)]
pub struct ThrowControl {
    speed_mps: f64,
    elevation_deg: f64,
    height_m: f64,
    bank_deg: f64,
}

impl Controls {
    /// From a text that was read and evaluated without mistakes; what cannot be valued is left out.
    pub fn new(design: &Design, values: &Values) -> Self {
        let mm = |e: &Spanned<Expr>| values.length(e).ok().map(|v| v * 1e3);
        let lets = Dial::all(design, values).into_iter().map(LetControl::new).collect();
        let bends = assembly::trims(design, values).unwrap_or_default();
        let trims = design.trims.iter().zip(bends).map(|(t, bend)| TrimControl {
            surface: print::surface(t.node.surface),
            mm: bend.deflection_m * 1e3,
            depth_mm: bend.depth_m * 1e3,
            by: let_of(&t.node.amount.node),
        });
        let ballast = design.ballast.iter().filter_map(|b| {
            let b = &b.node;
            Some(BallastControl {
                kind: b.kind.node.clone(),
                mass_g: values.mass_kg(&b.mass).ok()? * 1e3,
                mass_by: let_of(&b.mass.node),
                behind_by: match &b.at {
                    BallastPlace::BehindNose { behind, .. } => let_of(&behind.node),
                    BallastPlace::Paper(_) => None,
                },
                behind_mm: match &b.at {
                    BallastPlace::BehindNose { behind, .. } => Some(mm(behind)?),
                    BallastPlace::Paper(_) => None,
                },
            })
        });
        let throw = assembly::throw(design, values).unwrap_or_default();
        Self {
            lets,
            trims: trims.collect(),
            ballast: ballast.collect(),
            throw: ThrowControl {
                speed_mps: throw.speed_m_s,
                elevation_deg: throw.elevation_rad.to_degrees(),
                height_m: throw.height_m,
                bank_deg: throw.bank_rad.to_degrees(),
            },
        }
    }
}

/// The let that an amount is, if it is one and no sum.
fn let_of(amount: &Expr) -> Option<String> {
    match amount {
        Expr::Let(name) => Some(name.node.clone()),
        _ => None,
    }
}

impl LetControl {
    fn new(dial: Dial) -> Self {
        Self {
            unit: dial.unit.symbol(),
            value: dial.value,
            range: dial.ends,
            whole: dial.whole,
            computed: dial.computed,
            note: dial.note,
            name: dial.name,
        }
    }
}
