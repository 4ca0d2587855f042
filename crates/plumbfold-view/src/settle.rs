//! Whether a change was real or luck: the answer of `settle`.

use std::collections::BTreeSet;

use plumbfold_stats::compare::{
    Permuted, Welch, hedges_g, level_of_looks, permuted, ranks, throws_to_settle,
};
use plumbfold_stats::record::{Entry, Kept, Look, Record, Throw};
use plumbfold_stats::results::{Group, Measure, Shelf};
use plumbfold_stats::sample::{Summary, mean};
use plumbfold_stats::typed::alike;
use schemars::JsonSchema;
use serde::Serialize;

use crate::said::{count, fixed};

/// The answer of `settle`.
#[derive(Serialize, JsonSchema)]
pub struct Settle {
    /// `real`; `plane or day`: it is no luck, but the two were never thrown in one session; or `not
    /// settled`: luck does as much too often.
    pub verdict: &'static str,
    /// The answer in plain words.
    pub said: String,
    /// What is compared: `distance` (m) or `time` (s).
    pub of: &'static str,
    /// The one side.
    pub a: Side,
    /// The other.
    pub b: Side,
    /// Mean of b less mean of a, m or s.
    pub difference: f64,
    /// Its 95 % interval by Welch.
    pub interval: [f64; 2],
    /// Share of chance in which luck alone shows at least as much, by exchanging throws.
    pub p: f64,
    /// Orders of the throws that were tried for that.
    pub orders: usize,
    /// Every order there is was tried.
    pub exact: bool,
    /// Throws were exchanged within their session only.
    pub within_sessions: bool,
    /// The same share by Welch's t test.
    pub welch_p: f64,
    /// Its t.
    pub welch_t: f64,
    /// Its degrees of freedom.
    pub welch_freedom: f64,
    /// The same share by ranks; null where all are equal.
    pub rank_p: Option<f64>,
    /// The difference in standard deviations of single throws (Hedges); null without scatter.
    pub effect: Option<f64>,
    /// Its 95 % interval; null without.
    pub effect_interval: Option<[f64; 2]>,
    /// Share of chance below which it is called real, after this many looks.
    pub level: f64,
    /// Looks at these two so far, this one among them.
    pub looks: usize,
    /// Throws of each plane that would show a difference of this size four times out of five; null
    /// where that is more than anybody throws.
    pub throws_needed: Option<usize>,
    /// What makes the comparison unfair, in words.
    pub warnings: Vec<String>,
}

/// One side.
#[derive(Serialize, JsonSchema)]
pub struct Side {
    /// What it is called.
    pub name: String,
    /// Its throws in numbers, m or s.
    pub throws: Summary,
}

/// Why there is nothing to compare.
#[derive(Debug, PartialEq, Eq)]
pub struct Unanswerable {
    /// In a sentence.
    pub why: String,
    /// The two share throws.
    pub share: bool,
}

/// More throws of a side than this are not worth making for one question.
pub const MANY: usize = 200;

/// Fewer throws of a side than this say little whatever the test.
const FEW: usize = 5;

/// Fewer throws of each can be exchanged in so few ways that none is rarer than one in twenty.
const EXCHANGED_LEAST: usize = 4;

/// A look at two groups of throws, to be kept.
fn look([a, b]: [&Group<'_>; 2], measure: Measure) -> Look {
    // Of those that are compared: more throws of one alone are no other look.
    let ([a, b], _) = together([a, b], measure);
    let count = |g: &Group<'_>| g.values(measure).len() as f64;
    Look {
        throws_a: count(&a),
        throws_b: count(&b),
        a: a.label,
        b: b.label,
        of: measure.word().to_owned(),
    }
}

/// Earlier looks at the same two. One at the same throws as another tells nothing new and counts once.
fn earlier_looks(holding: &[&Entry], now: &Look) -> usize {
    let mut looks: Vec<[f64; 2]> = Vec::new();
    for e in holding {
        let Record::Look(l) = &e.record else { continue };
        let same = alike(&l.a, &now.a) && alike(&l.b, &now.b);
        let turned = alike(&l.a, &now.b) && alike(&l.b, &now.a);
        let counts = if same { [l.throws_a, l.throws_b] } else { [l.throws_b, l.throws_a] };
        let new = !looks.contains(&counts) && counts != [now.throws_a, now.throws_b];
        if l.of == now.of && (same || turned) && new {
            looks.push(counts);
        }
    }
    looks.len()
}

impl Settle {
    /// Of two groups of throws of what holds in a notebook, earlier looks at the same two counted; and
    /// this look, to be kept.
    ///
    /// # Errors
    /// The two share throws, or there are too few measured.
    pub fn new(
        holding: &[&Entry],
        shelf: &Shelf,
        groups: [&Group<'_>; 2],
        measure: Measure,
        seed: u64,
    ) -> Result<(Self, Look), Unanswerable> {
        let look = look(groups, measure);
        let looks = earlier_looks(holding, &look);
        Ok((Self::of(shelf, groups, measure, looks, seed)?, look))
    }

    /// The same after so many earlier looks.
    fn of(
        shelf: &Shelf,
        [a, b]: [&Group<'_>; 2],
        measure: Measure,
        looks: usize,
        seed: u64,
    ) -> Result<Self, Unanswerable> {
        if !ids(a).is_disjoint(&ids(b)) {
            let why = format!("{} and {} share throws", a.label, b.label);
            return Err(Unanswerable { why, share: true });
        }
        let ([a, b], left_out) = together([a, b], measure);
        let (a, b) = (&a, &b);
        let (va, vb) = (a.values(measure), b.values(measure));
        let welch = Welch::new(&va, &vb).ok_or_else(|| {
            let what = measure.word();
            let counts = format!(
                "{} with a {what} of {}, {} of {}",
                count(va.len(), "throw", "throws"),
                a.label,
                vb.len(),
                b.label
            );
            let why = match va.len().min(vb.len()) {
                0 | 1 => format!("too few: {counts}; it takes two of each"),
                _ => format!(
                    "{counts}, all alike on each side: without scatter nothing tells luck; measure \
                     more finely"
                ),
            };
            Unanswerable { why, share: false }
        })?;
        let (blocks, within_sessions) = blocks(a, b, measure);
        let Permuted { p, orders, exact } = permuted(&blocks, seed);
        let looks = looks + 1;
        let level = level_of_looks(looks);
        let effect = hedges_g(&va, &vb);
        let side = |g: &Group<'_>, v: &[f64]| {
            Summary::of(v).map(|throws| Side { name: g.label.clone(), throws })
        };
        let none = || Unanswerable { why: "no throws".to_owned(), share: false };
        let mut settle = Self {
            verdict: match (p < level, apart(a, b)) {
                (true, false) => "real",
                (true, true) => "plane or day",
                (false, _) => "not settled",
            },
            said: String::new(),
            of: measure.word(),
            a: side(a, &va).ok_or_else(none)?,
            b: side(b, &vb).ok_or_else(none)?,
            difference: welch.difference,
            interval: welch.interval,
            p,
            orders,
            exact,
            within_sessions,
            welch_p: welch.p,
            welch_t: welch.t,
            welch_freedom: welch.freedom,
            rank_p: ranks(&va, &vb).map(|r| r.1),
            effect: effect.map(|e| e.0),
            effect_interval: effect.map(|e| e.1),
            level,
            looks,
            throws_needed: throws_to_settle(&va, &vb, level_of_looks(looks + 1)).map(|n| {
                match p < level {
                    true => n,
                    // Those thrown did not.
                    false => n.max(EXCHANGED_LEAST).max(va.len().min(vb.len()) + 1),
                }
            }),
            warnings: warnings(shelf, a, b, measure, looks),
        };
        if left_out > 0 {
            settle.warnings.insert(
                0,
                format!(
                    "{} of sessions in which only one of the two was thrown left out: another day \
                     may be the difference",
                    count(left_out, "throw", "throws")
                ),
            );
        }
        settle.said = settle.sentences(measure);
        Ok(settle)
    }

    /// How many more throws of each would show it; zero where nothing says so.
    pub fn more(&self) -> usize {
        let thrown = self.a.throws.count.min(self.b.throws.count);
        self.throws_needed.map_or(0, |n| n.saturating_sub(thrown))
    }

    fn sentences(&self, measure: Measure) -> String {
        let unit = measure.unit();
        let (more, less) = measure.ways();
        let way = if self.difference < 0.0 { less } else { more };
        let [low, high] = match self.difference < 0.0 {
            true => [-self.interval[1], -self.interval[0]],
            false => self.interval,
        };
        let by = fixed(self.difference.abs(), 2);
        let between = format!("95 % interval {} to {} {unit}", fixed(low, 2), fixed(high, 2));
        let (a, b) = (&self.a.name, &self.b.name);
        let luck = chance(self.p);
        if self.verdict == "plane or day" {
            return format!(
                "Different, but perhaps not the plane: {b} flew {by} {unit} {way} than {a} \
                 ({between}), and the two were never thrown in one session. Throw both in turn \
                 (`plumbfold log next`)."
            );
        }
        if self.verdict == "real" {
            return format!("Real: {b} flies {by} {unit} {way} than {a} ({between}). {luck}.");
        }
        let mut said = format!(
            "Not settled: {b} flew {by} {unit} {way} than {a}, but {} ({between}).",
            luck[..1].to_lowercase() + &luck[1..]
        );
        said += &match self.throws_needed {
            Some(n) if n > MANY => format!(
                " If there is a difference, it is so small that it would take some {} throws of \
                 each to show it.",
                n.div_ceil(100) * 100
            ),
            Some(n) => format!(
                " If the difference is really that large, about {n} throws of each would show it: \
                 {} more.",
                self.more()
            ),
            None => " If there is a difference, thousands of throws would not show it.".to_owned(),
        };
        said
    }
}

/// How often luck alone does as much, as people say it.
fn chance(p: f64) -> String {
    match p {
        p if p < 0.001 => "Luck alone shows that much less than once in a thousand times".into(),
        p if p < 0.1 => format!("Luck alone shows that much once in {:.0} times", 1.0 / p),
        p => format!("Luck alone shows that much {:.0} times in 100", p * 100.0),
    }
}

/// The throws of sessions in which both were thrown and measured, where there are such, and how many
/// are left out: hand, hall and paper are not the same on every day.
fn together<'a>(groups: [&Group<'a>; 2], measure: Measure) -> ([Group<'a>; 2], usize) {
    let measured = |g: &Group<'a>| -> BTreeSet<Option<&'a str>> {
        let there = g.throws.iter().filter(|t| measure.of(&t.record).is_some());
        there.map(|t| t.record.session.as_deref()).collect()
    };
    let [a, b] = groups.map(measured);
    let shared: BTreeSet<_> = a.intersection(&b).copied().collect();
    let both = groups.map(|g| {
        let fits = |t: &&Kept<Throw>| shared.contains(&t.record.session.as_deref());
        let throws = g.throws.iter().copied().filter(|t| shared.is_empty() || fits(t)).collect();
        Group { label: g.label.clone(), throws }
    });
    let measured = |g: &Group<'_>| g.values(measure).len();
    let left_out = [0, 1].map(|k| measured(groups[k]) - measured(&both[k]));
    (both, left_out.iter().sum())
}

/// Throws with the block within which they may be exchanged: the session, where both were thrown in
/// all.
fn blocks(a: &Group<'_>, b: &Group<'_>, measure: Measure) -> (Vec<(usize, bool, f64)>, bool) {
    let (sa, sb) = (a.sessions(), b.sessions());
    let within = sa.len() > 1 && sa.iter().all(|s| sb.contains(s));
    let block = |t: &Kept<Throw>| match within {
        true => sa.iter().position(|s| *s == t.record.session.as_deref()).unwrap_or(0),
        false => 0,
    };
    let of = |g: &Group<'_>, is_b: bool| -> Vec<(usize, bool, f64)> {
        let value = |t: &&Kept<Throw>| Some((block(t), is_b, measure.of(&t.record)?));
        g.throws.iter().filter_map(value).collect()
    };
    (of(a, false).into_iter().chain(of(b, true)).collect(), within)
}

/// No session saw both.
fn apart(a: &Group<'_>, b: &Group<'_>) -> bool {
    let of_b = b.sessions();
    !a.sessions().iter().any(|s| of_b.contains(s))
}

/// What is said of the throws of each, where it is said of both and not the same.
fn told_apart(
    groups: [&Group<'_>; 2],
    of: &dyn Fn(&Throw) -> Option<String>,
) -> Option<[String; 2]> {
    let said = |g: &Group<'_>| -> BTreeSet<String> {
        g.throws.iter().filter_map(|t| of(&t.record)).collect()
    };
    let [a, b] = groups.map(said);
    let differ = a != b && !a.is_empty() && !b.is_empty();
    differ.then(|| [a, b].map(|all| all.into_iter().collect::<Vec<_>>().join(", ")))
}

fn warnings(
    shelf: &Shelf,
    a: &Group<'_>,
    b: &Group<'_>,
    measure: Measure,
    looks: usize,
) -> Vec<String> {
    let mut warnings = Vec::new();
    let (la, lb) = (&a.label, &b.label);
    for (g, n) in [(a, a.values(measure).len()), (b, b.values(measure).len())] {
        if n < FEW {
            warnings.push(format!("{} of {} is few", count(n, "throw", "throws"), g.label));
        }
    }
    if apart(a, b) {
        warnings.push(format!(
            "{la} and {lb} were thrown in different sessions: hall, hand and day changed with the \
             plane, and any of them may be the difference; throw both in turn (`plumbfold log \
             next`)"
        ));
    } else if one_after_the_other(shelf, a, b) {
        warnings.push(format!(
            "all throws of one stand before all of the other: if they were thrown so, practice or a \
             tired arm may be the difference; throw {la} and {lb} in turn (`plumbfold log next`)"
        ));
    }
    let thrower = |t: &Throw| {
        let session = t.session.as_deref()?;
        Some(shelf.sessions.get(session)?.record.thrower.as_deref()?.to_owned())
    };
    if let Some([ta, tb]) = told_apart([a, b], &thrower) {
        warnings.push(format!("{la} was thrown by {ta}, {lb} by {tb}"));
    }
    let hand =
        |g: &Group<'_>| -> Vec<f64> { g.throws.iter().filter_map(|t| t.record.hand_m).collect() };
    let (ha, hb) = (hand(a), hand(b));
    const HAND_M: f64 = 0.1;
    if !ha.is_empty() && !hb.is_empty() && (mean(&ha) - mean(&hb)).abs() > HAND_M {
        warnings.push(format!(
            "{la} was thrown from {} m, {lb} from {} m",
            fixed(mean(&ha), 2),
            fixed(mean(&hb), 2)
        ));
    }
    if let Some([ya, yb]) = told_apart([a, b], &|t| t.style.clone()) {
        warnings.push(format!("{la} was thrown {ya}, {lb} {yb}"));
    }
    for g in [a, b] {
        if g.stopped() > 0 {
            warnings.push(format!(
                "{} of {} hit something: what they would have flown is not known",
                count(g.stopped(), "throw", "throws"),
                g.label
            ));
        }
    }
    if looks > 1 {
        warnings.push(format!(
            "this is look {looks} at these two: who looks again and again sees luck as progress \
             sooner or later, so it is called real below {} now, not {}",
            fixed(level_of_looks(looks), 4),
            fixed(level_of_looks(1), 4)
        ));
    }
    warnings
}

fn ids<'a>(group: &Group<'a>) -> BTreeSet<&'a str> {
    group.throws.iter().map(|t| t.id.as_str()).collect()
}

/// In every session they share, each throw of one came before each of the other.
fn one_after_the_other(shelf: &Shelf, a: &Group<'_>, b: &Group<'_>) -> bool {
    let (of_a, of_b) = (ids(a), ids(b));
    a.sessions().into_iter().all(|session| {
        let order = shelf.throws.iter().filter(|t| t.record.session.as_deref() == session);
        let sides: Vec<bool> = order
            .filter_map(|t| match (of_a.contains(t.id.as_str()), of_b.contains(t.id.as_str())) {
                (true, _) => Some(false),
                (_, true) => Some(true),
                _ => None,
            })
            .collect();
        sides.windows(2).filter(|w| w[0] != w[1]).count() <= 1 && sides.len() > 2
    })
}
