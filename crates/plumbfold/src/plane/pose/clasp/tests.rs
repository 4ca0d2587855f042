//! Clasped creases, against a sampling of the paper in space that knows no limits and no speeds.

use super::super::clusters::Clusters;
use super::super::{HingeAngle, Placed, PoseError, merge_coplanar, place};
use super::{check, shared};
use crate::design::ast::PoseKind;
use crate::fold::layout::Layout;
use crate::fold::state::Folded;
use crate::pipeline::{self, Problems, Settings};
use nalgebra::{Point3, Vector3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn first_fault(text: &str) -> Option<(String, String)> {
    let text = format!("sheet A4 upright\n{text}");
    let Problems { diagnostics, .. } = pipeline::balance(&text, &Settings::default()).err()?;
    diagnostics.into_iter().next().map(|d| (d.message, d.label))
}

const HALF: &str = "mountain left edge onto right edge, call it centre\n";
const WING: &str = "valley near half parallel to centre, 20 mm from it, both sides, call it wing\n";
const HEM: &str = "valley all layers bottom edge over by 10 mm, call it hem\n";
const POSE: &str = "pose centre opens 6 deg, wing dihedral 5 deg\n";

#[test]
fn a_hem_across_both_halves_holds_the_keel_and_the_wings_shut() {
    let texts = [
        format!("{HALF}{WING}{HEM}{POSE}"),
        format!("{HALF}{HEM}pose centre opens 178 deg\n"),
        format!("{HALF}{}pose centre opens 170 deg\n", HEM.replace("bottom", "right")),
        format!("{HALF}{WING}{}{POSE}", HEM.replace("bottom", "top")),
    ];
    for text in texts {
        let (message, label) = first_fault(&text).expect("the hem holds it");
        assert!(message.contains("cannot open") && label.contains("`hem`"), "{message}: {label}");
    }
}

#[test]
fn a_hem_that_lies_on_a_winglet_holds_it_down() {
    let text = "crease left edge onto right edge, call it centre\n\
        valley left edge over by 12 mm, both sides, call it winglet\n\
        valley bottom edge over by 6 mm, call it hem\nmountain along centre\n\
        pose centre opens 120 deg, winglet up 80 deg\n";
    let (message, label) = first_fault(text).expect("the hem holds it");
    assert!(message.contains("`winglet`") && label.contains("`hem`"), "{message}: {label}");
    // Folded the other way about, the winglet takes the hem's end along.
    let lines: Vec<&str> = text.lines().collect();
    let order = [0, 2, 1, 3, 4].map(|k| lines[k]).join("\n");
    assert_eq!(first_fault(&order), None);
}

#[test]
fn hems_on_each_side_and_hems_of_the_open_sheet_hold_nothing() {
    let near = "valley near half right edge over by 10 mm, both sides, call it hem\n";
    assert_eq!(first_fault(&format!("{HALF}{near}{WING}{POSE}")), None);
    let flat = format!("crease left edge onto right edge, call it centre\n{HEM}");
    assert_eq!(first_fault(&format!("{flat}mountain along centre\n{WING}{POSE}")), None);
}

#[test]
fn wings_that_reach_past_the_keel_hold_it_shut_unless_they_open() {
    let text = format!("{HALF}{WING}");
    let (message, _) = first_fault(&format!("{text}pose centre opens 170 deg\n")).expect("wings");
    assert!(message.contains("`centre` cannot open"), "{message}");
    assert_eq!(first_fault(&format!("{text}{POSE}")), None);
}

#[test]
fn a_keel_that_stays_shut_may_be_clasped() {
    let shut = POSE.replace("6 deg", "0 deg");
    let text = format!("{HALF}{HEM}{}", WING.replace("near half", "top 2 layers"));
    let fault = first_fault(&format!("{text}{shut}"));
    assert!(!fault.is_some_and(|(message, _)| message.contains("clasps")));
}

/// Whether layers sink into each other where these creases are a little open.
fn interpenetrates(folded: &Folded, clusters: &Clusters, placed: &[Placed]) -> bool {
    let layout = Layout::new(folded);
    let order = &folded.order;
    let pairs = (0..order.len()).flat_map(|i| (0..i).map(move |j| [order[j], order[i]]));
    pairs.filter(|&[f, g]| layout.overlap(f, g)).any(|[f, g]| {
        let [below, above] = [f, g].map(|f| placed[clusters.of_face[f]].to_datum);
        let shared = shared(layout.outline(f), layout.outline(g));
        let middle = shared.iter().fold(Vector3::zeros(), |sum, p| {
            sum + Vector3::new(p.x, p.y, 0.0) / shared.len() as f64
        });
        // Places within the shared part, from its middle to its corners.
        shared.iter().flat_map(|p| [0.5, 1.0].map(|t| (p, t))).any(|(p, t)| {
            let at = Point3::from(middle * (1.0 - t) + Vector3::new(p.x, p.y, 0.0) * t);
            (below.inverse() * (above * at)).z < -1e-12
        })
    })
}

/// Whether some crease that is a little open no longer joins its sides.
fn tears(folded: &Folded, clusters: &Clusters, placed: &[Placed]) -> bool {
    clusters.posed.iter().any(|&(h, _)| {
        folded.hinge_on_table(&folded.hinges[h]).into_iter().any(|p| {
            let side = |f: usize| placed[clusters.of_face[f]].to_datum * Point3::new(p.x, p.y, 0.0);
            let [a, b] = folded.hinges[h].faces.map(side);
            (a - b).norm() > 1e-11
        })
    })
}

/// Each crease that can be posed, opened by so much.
fn opened(by: [f64; 3]) -> Vec<HingeAngle> {
    let angle = |(crease, angle_rad): (&str, f64)| HingeAngle {
        crease: crease.to_owned(),
        kind: PoseKind::Opens,
        angle_rad,
        span: 0..0,
    };
    ["centre", "wing", "winglet"].into_iter().zip(by).map(angle).collect()
}

fn step() -> impl Strategy<Value = String> {
    let layers = prop_oneof![
        4 => Just("near half"), 2 => Just("all layers"), 1 => Just("top layer"), 1 => Just("far half")
    ];
    let line = prop_oneof![
        (8.0..40.0f64).prop_map(|d| format!("parallel to centre, {d:.1} mm from it")),
        (5.0..40.0f64).prop_map(|d| format!("bottom edge over by {d:.1} mm")),
        (5.0..40.0f64).prop_map(|d| format!("top edge over by {d:.1} mm")),
        (5.0..40.0f64).prop_map(|d| format!("right edge over by {d:.1} mm")),
        Just("top right corner onto centre, hinged at top middle".to_owned()),
        Just("bottom right corner onto centre, hinged at bottom middle".to_owned()),
        (120.0..200.0f64).prop_map(|x| format!("through top middle and ({x:.1} mm, 0 mm)")),
    ];
    let call = prop_oneof![
        2 => Just(""), 3 => Just(", call it wing"), 2 => Just(", call it winglet")
    ];
    let sides = prop_oneof![3 => Just(", both sides"), 2 => Just("")];
    let verb = prop_oneof![3 => Just("valley"), 1 => Just("mountain")];
    let place = prop_oneof![4 => Just(""), 1 => Just(", inside")];
    (verb, layers, line, place, sides, call).prop_map(|(verb, layers, line, place, sides, call)| {
        // Both halves bent as one would have to be opened one after the other.
        let (sides, call) = if layers == "all layers" { ("", "") } else { (sides, call) };
        format!("{verb} {layers} {line}{place}{sides}{call}\n")
    })
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: RngSeed::Fixed(7), cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn what_opens_lets_no_paper_through_and_what_is_refused_would(
        steps in prop::collection::vec(step(), 1..4), valley in any::<bool>()
    ) {
        // Lines that cannot be folded are left out.
        let verb = if valley { "valley" } else { "mountain" };
        let mut text = format!("sheet A4 upright\ncreep off\n{}", HALF.replace("mountain", verb));
        for step in steps {
            let longer = format!("{text}{step}");
            if pipeline::fold(&longer, &Settings::default()).is_ok() {
                text = longer;
            }
        }
        let Ok(outcome) = pipeline::fold(&text, &Settings::default()) else { return Ok(()) };
        let folded = &*outcome.run.folded;
        let mut names = opened([1e-6; 3]);
        names.retain(|n| Clusters::new(folded, std::slice::from_ref(n)).is_ok());
        let taken = |speeds: [f64; 3]| {
            let mut angles = opened(speeds.map(|s| s * 1e-6));
            angles.retain(|a| names.iter().any(|n| n.crease == a.crease));
            let mut clusters = Clusters::new(folded, &angles).ok()?;
            let (ideal, _) = place(folded, &angles, &clusters, 0.0).ok()?;
            if tears(folded, &clusters, &ideal) {
                return None;
            }
            let kept = merge_coplanar(&mut clusters, &ideal);
            let placed: Vec<Placed> = kept.into_iter().map(|c| ideal[c]).collect();
            let pairs = clusters.posed.iter().map(|&(h, item)| {
                let mut stacks = folded.hinges[h].faces.map(|f| clusters.of_face[f]);
                stacks.sort_unstable();
                let mirrored = folded.creases[folded.hinges[h].crease].mirrored;
                ((item, mirrored), stacks)
            });
            let mut pairs: Vec<_> = pairs.filter(|(_, [a, b])| a != b).collect();
            pairs.sort_unstable();
            pairs.dedup();
            let several = pairs.windows(2).any(|p| p[0].0 == p[1].0);
            let verdict = check(folded, &angles, &clusters, &placed);
            Some((verdict, several, interpenetrates(folded, &clusters, &placed)))
        };
        // Every mixture of slow and quick.
        let speed = |k: usize| [0.005, 0.1, 0.25, 0.5, 1.0][k % 5];
        let ways = (0..125).map(|k| [speed(k), speed(k / 5), speed(k / 25)]);
        let ways: Vec<_> = ways.filter_map(taken).collect();
        let Some(&(ref verdict, several, _)) = ways.first() else { return Ok(()) };
        let free = ways.iter().any(|(.., through)| !through);
        match verdict {
            // A crease that joins several stacks on one side may need to open here and there in turn.
            Ok(()) if several => {}
            Ok(()) => prop_assert!(free, "opens, and layers pass through each other:\n{text}"),
            Err(PoseError::Clasped { crease, .. }) => {
                prop_assert!(!free, "`{crease}` opens, and is refused:\n{text}");
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}
