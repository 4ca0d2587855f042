//! What a folder knows about mending planes, against what `mend` says (common practice, no source,
//! unless a test names one).

use plumbfold::design::ast::{FoldLine, Step};
use plumbfold::design::dial::Dial;
use plumbfold::pipeline::{self, Settings, ThrowChange};
use plumbfold::study::remedy::spoil::{Way, spoil};
use plumbfold::study::remedy::{Mended, Remedy, mend};
use plumbfold::verdict::Behaviour;
use plumbfold::verdict::aircraft::Conditions;

const LEADING_ROLL: &str = include_str!("../../../../testdata/designs/leading-roll.plane");
const BAND_AND_TIP: &str = include_str!("../../../../testdata/designs/band-and-tip.plane");
const HALYARD: &str = include_str!("../../../../designs/halyard.plane");
const SCOW: &str = include_str!("../../../../designs/scow.plane");
const TILLER: &str = include_str!("../../../../designs/tiller.plane");

fn set(pairs: &[(&str, &str)]) -> Settings {
    let sets = pairs.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect();
    Settings { sets, ..Settings::default() }
}

fn mended(text: &str, settings: &Settings, speed_m_s: Option<f64>) -> Mended {
    let change = ThrowChange { speed_m_s, ..ThrowChange::default() };
    mend(text, settings, &change, &Conditions::default(), &|_, _| true).unwrap()
}

/// Share of the wing area ahead of the balance point.
fn ahead(text: &str, sets: &[(&str, &str)]) -> f64 {
    pipeline::balance(text, &set(sets)).unwrap().area_ahead_fraction
}

#[test]
fn layers_forward_move_the_balance_forward_and_fewer_layers_back() {
    let share = |turns| ahead(LEADING_ROLL, &[("turns", turns)]);
    let shares = ["0", "1", "2", "3", "4"].map(share);
    assert!(shares.windows(2).all(|w| w[1] < w[0]), "{shares:?}");
}

#[test]
fn a_band_folded_down_first_moves_the_balance_forward() {
    let share = |band| ahead(BAND_AND_TIP, &[("band", band), ("tip", "10 mm")]);
    assert!(share("30 mm") < share("10 mm"));
}

#[test]
fn the_tip_folded_back_moves_the_balance_effectively_forward_though_paper_moves_aft() {
    let of = |tip| {
        let plane = pipeline::balance(BAND_AND_TIP, &set(&[("tip", tip)])).unwrap();
        let tail = plane.planform.slabs.pieces.iter().flat_map(|t| t.rear).fold(0.0, f64::min);
        // From the tail edge, which stays where it is.
        (plane.area_ahead_fraction, -tail - plane.mass.behind_nose_m())
    };
    let (short, long) = (of("10 mm"), of("60 mm"));
    assert!(long.0 < short.0, "less area ahead: {short:?} {long:?}");
    assert!(long.1 < short.1, "paper moves aft: {short:?} {long:?}");
}

#[test]
fn a_roll_of_two_turns_is_mended_by_more_turns_a_band_or_a_gentler_throw() {
    let m = mended(LEADING_ROLL, &set(&[("turns", "2")]), Some(3.5));
    assert_ne!(m.before.behaviour(), Behaviour::Glides);
    let turns = m.remedies.iter().find(|r| r.changed_let.as_deref() == Some("turns")).unwrap();
    assert!(
        turns.to > 2.0
            && turns.after.balanced.area_ahead_fraction < m.before.balanced.area_ahead_fraction
    );
    assert!(m.remedies.iter().any(|r| r.kind == "band" && r.to > 0.0));
    assert!(m.remedies.iter().any(|r| r.kind == "throw" && r.to < r.from));
    let sheet = |r: &&str| ["width", "length"].contains(r);
    let lets = m.remedies.iter().filter_map(|r| r.changed_let.as_deref());
    assert_eq!(lets.filter(sheet).count(), 0, "another sheet is no remedy");
}

#[test]
fn raised_trailing_edges_cure_a_roll_of_four_turns_that_dives() {
    // A firm front and trailing edges that hang a little make it dive.
    let text = format!("{LEADING_ROLL}\ntrim elevator down 0.5 mm, 10 mm deep\nthrow 3 m/s\n");
    let m = mended(&text, &set(&[("turns", "4")]), None);
    assert_eq!(m.before.behaviour(), Behaviour::Dives);
    let raised = m.remedies.iter().find(|r| r.kind == "trim").unwrap();
    assert!(raised.to > raised.from);
    assert_eq!(raised.after.behaviour(), Behaviour::Glides);
    for fewer in m.remedies.iter().filter(|r| r.changed_let.as_deref() == Some("turns")) {
        assert!(
            fewer.to < 4.0
                && fewer.after.balanced.area_ahead_fraction > m.before.balanced.area_ahead_fraction
        );
    }
}

/// The first remedy of a plane spoiled on purpose makes it glide. (Every shipped design, every way:
/// `docs/mending.md`.)
fn glides_after_the_first_remedy(text: &str, way: Way) {
    let (settings, conditions) = (Settings::default(), Conditions::default());
    let spoiled = spoil(text, way, &settings, &conditions).unwrap();
    let spoiled = spoiled.unwrap_or_else(|| panic!("{way:?} does not spoil it"));
    assert_ne!(spoiled.after.behaviour(), Behaviour::Glides);
    let m = mended(&spoiled.text, &settings, None);
    let first = m.remedies.first().unwrap_or_else(|| panic!("{way:?} is not mended"));
    let again =
        pipeline::analyse(&first.text, &settings, &ThrowChange::default(), &conditions).unwrap();
    let behaviour = again.verdict.finding.behaviour;
    assert_eq!(behaviour, Behaviour::Glides, "{way:?}: {}", first.sentence);
}

#[test]
fn a_plane_made_tail_heavy_glides_after_the_first_remedy() {
    glides_after_the_first_remedy(HALYARD, Way::TailHeavy);
}

#[test]
fn a_plane_made_nose_heavy_glides_after_the_first_remedy() {
    glides_after_the_first_remedy(TILLER, Way::NoseHeavy);
}

#[test]
fn a_twisted_plane_glides_after_the_first_remedy() {
    glides_after_the_first_remedy(HALYARD, Way::Twisted);
}

#[test]
fn a_plane_thrown_wrongly_glides_after_the_first_remedy() {
    glides_after_the_first_remedy(SCOW, Way::WrongThrow);
}

#[test]
fn a_sound_plane_is_left_alone() {
    let m = mended(HALYARD, &Settings::default(), None);
    assert!(m.sound && m.remedies.is_empty());
}

#[test]
fn a_twisted_plane_is_told_to_even_its_wings_and_comments_stay() {
    let text = TILLER.replace("throw ", "trim left wing up 1 mm, 10 mm deep # oh\nthrow ");
    let m = mended(&text, &Settings::default(), None);
    let even = m.remedies.iter().find(|r| r.kind == "equal wings").unwrap();
    assert_eq!(even.text, TILLER);
}

#[test]
fn the_search_stops_when_asked_and_says_so() {
    let settings = set(&[("turns", "2")]);
    let change = ThrowChange::default();
    let m = mend(LEADING_ROLL, &settings, &change, &Conditions::default(), &|_, _| false).unwrap();
    assert!(m.stopped);
}

/// What a text says and what is told of it: the number of each remedy, in its unit.
fn written(remedy: &Remedy) -> Option<f64> {
    let reading = pipeline::read(&remedy.text, &Settings::default());
    let (design, values) = (&reading.design, reading.values.as_ref()?);
    match (remedy.kind, &remedy.changed_let) {
        (_, Some(name)) => Some(Dial::named(name, design, values).ok()?.value),
        ("throw", _) => values.speed_m_s(&design.throw.as_ref()?.node.speed).ok(),
        ("trim", _) => Some(values.length(&design.trims.last()?.node.amount).ok()? * 1e3),
        ("band", _) => match &design.steps.first()?.node {
            Step::Fold(fold) => match &fold.line.node {
                FoldLine::Parallel(_, by, _) => Some(values.length(by).ok()? * 1e3),
                _ => None,
            },
            _ => None,
        },
        _ => None,
    }
}

#[test]
fn remedies_are_the_same_however_a_text_is_laid_out_and_tell_the_number_they_write() {
    let settings = set(&[("turns", "2")]);
    let plain = mended(LEADING_ROLL, &settings, Some(3.5));
    let blanks = LEADING_ROLL.replace(' ', "  ").replace('\n', "\r\n");
    let laid_out = mended(&blanks, &settings, Some(3.5));
    let said = |m: &Mended| -> Vec<_> {
        let words = |s: &str| s.split_whitespace().collect::<Vec<_>>().join(" ");
        let seen = |r: &Remedy| (r.after.behaviour(), r.after.glide_probability());
        m.remedies.iter().map(|r| (words(&r.sentence), seen(r))).collect()
    };
    assert!(plain.remedies.iter().any(|r| r.kind == "band"));
    assert_eq!(said(&laid_out), said(&plain));
    let mut checked = Vec::new();
    for r in plain.remedies.iter().chain(&laid_out.remedies) {
        let Some(number) = written(r) else { continue };
        assert!((number - r.to.abs()).abs() < 1e-9, "{}: {number} {}", r.sentence, r.to);
        let told = format!("{} {}", r.to.abs(), r.unit);
        assert!(r.kind == "trim" || r.sentence.contains(told.trim()), "{}: {told}", r.sentence);
        checked.push(r.kind);
    }
    assert!(["let", "throw", "band"].iter().all(|kind| checked.contains(kind)), "{checked:?}");
    let crlf = |r: &Remedy| !r.text.replace("\r\n", "").contains('\n');
    assert!(laid_out.remedies.iter().all(crlf));
}
