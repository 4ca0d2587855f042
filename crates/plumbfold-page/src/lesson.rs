//! A short lesson: from tail-heavy to nose-heavy on one square wing, four behaviours at one throw.

use plumbfold_view::change::{Change, apply};

/// The square wing whose front is folded over `turns` times.
const PLANE: &str = include_str!("../../../designs/scow.plane");
/// The throw of the whole lesson, m/s. Chosen so that each page's plane does what the page says in
/// seven throws of ten, or more.
const SPEED_MPS: f64 = 3.5;
/// For each page how often the front is folded over, and the clip on it, g. The first page only
/// tells; the last is for trying.
const PAGES: [(f64, f64); 6] =
    [(3.0, 0.0), (0.0, 0.0), (2.0, 0.0), (5.0, 0.0), (5.0, 9.0), (3.0, 0.0)];
/// Where the clip sits, mm behind the nose.
const CLIP_MM: f64 = 4.0;

/// The design of each page.
///
/// # Errors
/// The plane of the lesson cannot be changed so.
pub fn pages() -> Result<Vec<String>, String> {
    PAGES.into_iter().map(page).collect()
}

fn page((turns, clip_g): (f64, f64)) -> Result<String, String> {
    let mut changes = vec![
        Change::Let { name: "turns".to_owned(), value: turns },
        Change::Throw {
            speed_mps: Some(SPEED_MPS),
            elevation_deg: None,
            height_m: None,
            bank_deg: None,
        },
    ];
    if clip_g > 0.0 {
        changes.push(Change::AddBallast { behind_mm: Some(CLIP_MM) });
        changes.push(Change::Ballast { index: 0, mass_g: Some(clip_g), behind_mm: None });
    }
    changes.iter().try_fold(PLANE.to_owned(), |text, change| apply(&text, change))
}

#[cfg(test)]
mod tests {
    use super::*;
    use plumbfold::pipeline::analyse;
    use plumbfold::verdict::Behaviour::{Dives, Glides, Leaf, Stalls, Tumbles};
    use plumbfold::verdict::aircraft::Conditions;

    #[test]
    fn each_page_shows_what_it_says_in_seven_throws_of_ten() {
        let pages = pages().unwrap();
        let says = [&[Leaf, Tumbles][..], &[Stalls], &[Glides], &[Dives]];
        for (text, says) in pages[1..5].iter().zip(says) {
            let (settings, change) = Default::default();
            let plane = analyse(text, &settings, &change, &Conditions::default()).unwrap();
            let probability = &plane.verdict.probability;
            let share: f64 = says.iter().map(|&b| probability.of(b)).sum();
            assert!(share >= 0.7, "{says:?}: {share}");
        }
    }
}
