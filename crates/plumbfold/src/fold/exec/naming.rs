//! What the names given by the steps come to mean.

use super::Runner;
use crate::design::ast::{BASE_CREASES, Name, SquarePart};
use crate::fold::axis::Axis;
use crate::fold::refs::{Meaning, Refs};
use crate::fold::state::{CreaseId, Folded};
use crate::numeric::geom::SheetPoint;

impl Runner<'_> {
    /// A base has names for its creases, where they are still free.
    pub(super) fn name_base(&mut self, folded: &Folded, part: SquarePart) {
        let [w, l] = folded.sheet_m;
        let y = if part == SquarePart::Bottom { w / 2.0 } else { l - w / 2.0 };
        let near = |d: f64| d.abs() < 1e-6;
        let on: [&dyn Fn(SheetPoint) -> bool; 4] = [
            &|p| near(p.x - w / 2.0),
            &|p| near(p.y - y),
            &|p| near((p.x - w / 2.0) - (p.y - y)),
            &|p| near((p.x - w / 2.0) + (p.y - y)),
        ];
        let along = |line: &dyn Fn(SheetPoint) -> bool| {
            let all = |c: &CreaseId| {
                let mut own = folded.hinges.iter().filter(|h| h.crease == *c).peekable();
                own.peek().is_some() && own.all(|h| h.ends.iter().all(|&p| line(p)))
            };
            (0..folded.creases.len()).filter(all).collect::<Vec<CreaseId>>()
        };
        let [centre, waist, rising, falling] = on.map(along);
        let meanings = [[centre, Vec::new()], [waist, Vec::new()], [rising, falling]];
        for (name, halves) in BASE_CREASES.into_iter().zip(meanings) {
            if !halves[0].is_empty() && !self.names.bears(name) {
                self.names.give(name, Meaning::Creases(halves));
            }
        }
    }

    /// The creases that bear a name already and lie in the mirror image of those that get it now: a
    /// name given on one side and then on the other means both.
    pub(super) fn paired(
        &self,
        name: &str,
        fresh: &[CreaseId],
        folded: &mut Folded,
    ) -> Vec<CreaseId> {
        let given = Name { node: name.to_owned(), span: 0..0 };
        let Ok(Meaning::Creases([first, _])) = self.names.get(&given) else { return Vec::new() };
        let axis = Axis::of(folded, true, Axis::creased_alone(folded, &[]));
        let axis = axis.unwrap_or(Axis::upright(folded.sheet_m));
        let slipped = self.aims.is_some();
        let refs = Refs { axis, slipped, ..Refs::new(folded, &self.names, self.values) };
        let images = refs.images(fresh);
        let images: Vec<CreaseId> = images.into_iter().filter(|i| first.contains(i)).collect();
        let (Some(&old), false) = (images.first(), first.iter().any(|c| fresh.contains(c))) else {
            return Vec::new();
        };
        for &crease in fresh {
            let mirrored = !folded.creases[old].mirrored;
            let crease = &mut folded.creases[crease];
            (crease.twin, crease.mirrored) = (Some(old), mirrored);
        }
        images
    }

    /// Hinges that were given to another crease take their old names along.
    pub(super) fn rename(&mut self, folded: &Folded) {
        let before = self.now.clone();
        for (old, new) in before.hinges.iter().zip(&folded.hinges) {
            if old.crease != new.crease {
                self.names.share(old.crease, new.crease);
            }
        }
    }
}
