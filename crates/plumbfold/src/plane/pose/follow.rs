//! Creases that open along with the keel though no text says so.
//!
//! ```text
//!                 | keel        Where an end of the model is reversed, four creases meet at a
//!                 |             point: the keel, the spine of what is reversed, and the crease of
//!                 + . . . .     the reversal on either side of them. None of them opens alone.
//!             . ' | ' .         While the keel opens, the reversal opens as far as keeps the spine
//!          . '    |     ' .     joined, which is in the plane of symmetry.
//!      reversal | spine
//! ```
//! So a hinge that would tear is not opened itself: a crease that ends where it does, made by one
//! fold that nobody poses, opens by the angle at which the two sides of the hinge stay joined.

use super::closure::{check_closure, gap_m};
use super::clusters::Clusters;
use super::{CLOSURE_M, Closes, HingeAngle, PoseError, RIGHT, place};
use crate::design::ast::PoseKind;
use crate::fold::state::{Crease, Folded, Hinge};
use std::borrow::Cow;

/// Most creases that follow (chosen: nose and tail, each crimped once).
const MOST: usize = 4;
/// Widest angle looked for, rad, and how many steps there are to it.
const WIDEST: f64 = std::f64::consts::FRAC_PI_2 * 1.9;
const STEPS: usize = 40;
/// Halvings of a step until the angle is known to rounding.
const HALVINGS: usize = 60;
/// What a crease that follows is called where the text gives it no name.
const NAMELESS: &str = "reversed end";

/// What is posed: the creases of the text, and those that follow.
pub(super) struct Followed<'a> {
    /// The model, its creases named.
    pub folded: Cow<'a, Folded>,
    /// All creases that open.
    pub angles: Cow<'a, [HingeAngle]>,
    /// Hinges whose opening follows from that of the others.
    pub closing: Vec<usize>,
}

impl<'a> Followed<'a> {
    /// The creases of the text alone.
    pub fn none(folded: &'a Folded, angles: &'a [HingeAngle]) -> Self {
        Self { folded: Cow::Borrowed(folded), angles: Cow::Borrowed(angles), closing: Vec::new() }
    }

    /// The model cut along them.
    pub fn clusters(&self) -> Result<Clusters, PoseError> {
        let mut clusters = Clusters::new(&self.folded, &self.angles)?;
        clusters.set_closing(&self.closing);
        Ok(clusters)
    }

    /// With what follows, if every hinge then stays joined.
    pub fn closed(mut self) -> Option<Self> {
        for _ in 0..=MOST {
            let clusters = self.clusters().ok()?;
            let (placed, _) = place(&self.folded, &self.angles, &clusters, 0.0).ok()?;
            let gap = |h: usize| gap_m(&self.folded, &clusters, &placed, h);
            let all = clusters.posed.iter().chain(&clusters.closing);
            let widest = all.map(|&(h, item)| (gap(h), h, item));
            let (gap, h, item) = widest.max_by(|a, b| a.0.total_cmp(&b.0))?;
            if gap <= CLOSURE_M {
                return Some(self);
            }
            self = self.followers(h).find_map(|step| self.with(step, h, item))?;
        }
        None
    }

    /// Steps that made an unposed crease that ends where a hinge does.
    fn followers(&self, h: usize) -> impl Iterator<Item = usize> + use<> {
        let Folded { hinges, creases, .. } = &*self.folded;
        let meets = |k: &&Hinge| k.ends.iter().any(|p| hinges[h].ends.iter().any(|q| p.near(*q)));
        let posed = |name: &str| self.angles.iter().any(|a| a.crease == name);
        let free = hinges.iter().filter(|k| self.folded.is_folded(k)).filter(meets);
        let free = free.map(|k| &creases[k.crease]);
        let free = free.filter(|c| !c.name.as_deref().is_some_and(posed));
        let mut steps: Vec<usize> = free.map(|c| c.step).collect();
        steps.sort_unstable();
        steps.dedup();
        steps.into_iter().rev()
    }

    /// With the crease of a step opened so that a hinge stays joined.
    fn with(&self, step: usize, h: usize, item: usize) -> Option<Self> {
        let mut folded = self.folded.clone().into_owned();
        let of_step = |c: &&mut Crease| c.step == step && c.name.is_none();
        folded.creases.iter_mut().filter(of_step).for_each(|c| c.name = Some(NAMELESS.into()));
        let crease = folded.creases.iter().find(|c| c.step == step)?.name.as_deref()?.to_owned();
        let (kind, span) = (PoseKind::Opens, self.angles[item].span.clone());
        let follows = HingeAngle { crease, kind, angle_rad: 0.0, span };
        let angles: Vec<HingeAngle> = self.angles.iter().cloned().chain([follows]).collect();
        let last = angles.len() - 1;
        let mut next = Self {
            folded: Cow::Owned(folded),
            angles: Cow::Owned(angles),
            closing: self.closing.clone(),
        };
        let mut clusters = next.clusters().ok()?;
        next.closing.extend(clusters.alike(&next.folded, h));
        clusters.set_closing(&next.closing);
        let end = next.folded.hinge_on_table(&next.folded.hinges[h]);
        let mut apart = |angle_rad: f64| -> Option<f64> {
            next.angles.to_mut()[last].angle_rad = angle_rad;
            let (placed, _) = place(&next.folded, &next.angles, &clusters, 0.0).ok()?;
            let faces = next.folded.hinges[h].faces;
            let across = end.map(|p| {
                let [a, b] = faces.map(|f| placed[clusters.of_face[f]].at(p));
                (b - a).dot(&RIGHT)
            });
            Some(if across[0].abs() > across[1].abs() { across[0] } else { across[1] })
        };
        let shut = apart(0.0)?;
        let step_rad = WIDEST / STEPS as f64;
        let past =
            (1..=STEPS).find(|&k| apart(k as f64 * step_rad).is_some_and(|a| a * shut <= 0.0))?;
        let (mut low, mut high) = ((past - 1) as f64 * step_rad, past as f64 * step_rad);
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            *(if apart(middle)? * shut > 0.0 { &mut low } else { &mut high }) = middle;
        }
        apart(high)?;
        let (placed, _) = place(&next.folded, &next.angles, &clusters, 0.0).ok()?;
        (gap_m(&next.folded, &clusters, &placed, h) <= CLOSURE_M).then_some(next)
    }
}

/// Adds to a refused pose how far the keel can be opened instead, if that closes it.
pub(super) fn with_a_way_out(error: PoseError, said: &Followed<'_>) -> PoseError {
    let (folded, angles) = (&*said.folded, &*said.angles);
    let keel = said.clusters().ok().and_then(|clusters| clusters.keel);
    let (PoseError::Torn { crease, gap_mm, span, .. }, Some(keel)) = (&error, keel) else {
        return error;
    };
    let closes = |deg: u32| {
        let mut angles = angles.to_vec();
        angles[keel].angle_rad = f64::from(deg).to_radians();
        let opened = Followed::none(folded, &angles);
        let stiff = opened.clusters().and_then(|clusters| {
            let (placed, _) = place(folded, &angles, &clusters, 0.0)?;
            check_closure(folded, &angles, &clusters, &placed)
        });
        stiff.is_ok() || opened.closed().is_some()
    };
    let opens = angles[keel].angle_rad.to_degrees().max(0.0) as u32;
    if angles[keel].kind != PoseKind::Opens || !closes(0) {
        return error;
    }
    let (mut deg, mut torn) = (0, opens + 1);
    while torn - deg > 1 {
        let middle = (deg + torn) / 2;
        *(if closes(middle) { &mut deg } else { &mut torn }) = middle;
    }
    let closes = Some(Closes { keel: angles[keel].crease.clone(), deg });
    PoseError::Torn { crease: crease.clone(), gap_mm: *gap_mm, closes, span: span.clone() }
}
