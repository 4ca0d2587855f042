//! How each behaviour is shown: ground, pattern and letter, any one of which is enough.

use plumbfold::verdict::Behaviour;

use crate::frame::Sample;
use crate::style::{Hatch, Ink};

/// Ground, pattern and letter.
pub fn dress(behaviour: Behaviour) -> (Ink, Hatch, &'static str) {
    match behaviour {
        Behaviour::Leaf => (Ink::Fall, Hatch::Dots, "L"),
        Behaviour::Tumbles => (Ink::Fall, Hatch::Cross, "T"),
        Behaviour::Stalls => (Ink::Slow, Hatch::Rising, "S"),
        Behaviour::Porpoises => (Ink::Slow, Hatch::Level, "P"),
        Behaviour::Glides => (Ink::Good, Hatch::None, "G"),
        Behaviour::Dives => (Ink::Fast, Hatch::Falling, "D"),
        Behaviour::Banks => (Ink::Stray, Hatch::Upright, "B"),
        Behaviour::Spirals => (Ink::Stray, Hatch::Plus, "R"),
    }
}

/// Key entries for the behaviours that occur, in their usual order.
pub fn key_of(occurring: impl IntoIterator<Item = Behaviour>) -> Vec<(Sample, &'static str)> {
    let occurring: Vec<Behaviour> = occurring.into_iter().collect();
    Behaviour::EVERY
        .into_iter()
        .filter(|b| occurring.contains(b))
        .map(|b| {
            let (ink, hatch, letter) = dress(b);
            (Sample::Patch(ink, hatch, letter), b.words())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_and_patterned_grounds_are_all_different() {
        for (i, a) in Behaviour::EVERY.into_iter().enumerate() {
            for b in &Behaviour::EVERY[i + 1..] {
                let (p, q) = (dress(a), dress(*b));
                assert!(p.2 != q.2 && p.1 != q.1, "{a:?} {b:?}");
            }
        }
    }
}
