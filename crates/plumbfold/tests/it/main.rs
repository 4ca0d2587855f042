//! Integration tests in one binary: the whole way through the public interface.
#![allow(clippy::disallowed_types, clippy::disallowed_methods, reason = "tests read files")]
#![allow(missing_docs, reason = "tests")]

mod aim;
mod air_cases;
mod attack;
mod closed_form;
mod mend;
mod design_text;
mod first_tries;
mod hair;
mod independent;
mod limits;
mod outline;
mod shipped;
mod slips;
mod tolerance;

/// The folded model, its paper not displaced by thickness.
fn undisplaced(model: &plumbfold::fold::state::Folded) -> plumbfold::fold::state::Folded {
    let mut ideal = model.clone();
    ideal.faces.iter_mut().for_each(|f| f.shift = plumbfold::numeric::geom::Vec2::default());
    ideal
}
