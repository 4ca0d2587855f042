//! Data at the ends of what can come: pictures are drawn all the same, valid and without panic.

use nalgebra::{UnitQuaternion, Vector3};
use plumbfold::flight::rigid::Motion;
use plumbfold::flight::throw::{Hall, Sample};
use plumbfold::fold::state::Folded;
use plumbfold::plane::airframe::Airframe;
use plumbfold::verdict::Behaviour;
use plumbfold_draw::bands::{BandRow, bands};
use plumbfold_draw::curves::{Curves, PolarPoint, curves};
use plumbfold_draw::fault::{Marked, fault};
use plumbfold_draw::fit::Size;
use plumbfold_draw::grid::{Field, Side, grid};
use plumbfold_draw::multiples::{Multiple, Plane, multiples};
use plumbfold_draw::path::{Remark, ThrowPicture, throw};
use plumbfold_draw::series::{Series, Track, distances, sensitivities, series};
use plumbfold_draw::style::Look;
use plumbfold_draw::{compare, envelope, folded, pose, sheet, steps};
use resvg::usvg::roxmltree::Document;

use crate::support;

fn sound(svg: &str) {
    let doc = Document::parse(svg).unwrap();
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    let size: Vec<f64> = doc
        .root_element()
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|v| v.parse().unwrap())
        .collect();
    assert!(size[2] > 0.0 && size[2] < 5000.0 && size[3] > 0.0 && size[3] < 5000.0, "{size:?}");
}

#[test]
fn models_of_nothing_slivers_and_strips() {
    let look = Look::light("n");
    let nothing = Folded {
        faces: vec![],
        hinges: vec![],
        creases: vec![],
        order: vec![],
        sheet_m: [0.0, 0.0],
        printed_down: false,
    };
    let strip = support::sheet(1.0, 1e-4);
    let sliver =
        support::fold(&support::sheet(0.1, 0.1), &support::line([1e-4, 0.0], [1e-4, 100.0]), true);
    for model in [&nothing, &strip, &sliver] {
        let size = Size::Within([100.0, 100.0]);
        sound(&sheet::sheet(&look, "", model, size));
        sound(&folded::folded(&look, "", model, size));
        sound(&folded::layers(&look, "", model, size));
        sound(&folded::thumbnail(&look, "", model, [30.0, 30.0]));
        sound(&steps::instructions(&look, "", &[], model, 0));
        sound(&fault(&look, "", model, &Marked::default(), ""));
    }
}

#[test]
fn flights_of_nothing_and_flights_gone_wild() {
    let look = Look::light("n");
    let sample = |t_s: f64, x: f64| Sample {
        t_s,
        motion: Motion {
            position: Vector3::new(x, f64::NAN, 1.0),
            attitude: UnitQuaternion::identity(),
            velocity: Vector3::zeros(),
            rate: Vector3::zeros(),
        },
        wind_m_s: Vector3::zeros(),
    };
    let empty = Airframe {
        name: String::new(),
        panels: vec![],
        point_masses: vec![],
        trims: vec![],
        measured: None,
        crease_layers_max: 0,
    };
    let flights: [Vec<Sample>; 4] = [
        vec![],
        vec![sample(0.0, 0.0)],
        vec![sample(0.0, 0.0), sample(0.0, 0.0)],
        vec![sample(0.0, 0.0), sample(1.0, f64::INFINITY), sample(60.0, 1e3)],
    ];
    for flight in &flights {
        let remarks = [Remark { t_s: 1e9, says: "" }];
        let p = ThrowPicture {
            hall: &Hall::OPEN,
            flight,
            airframe: &empty,
            cg: Vector3::zeros(),
            remarks: &remarks,
            says: "",
            frame: None,
        };
        sound(&throw(&look, "", &p));
    }
    let nowhere = Plane { airframe: &empty, cg: Vector3::new(f64::NAN, 0.0, 1e300) };
    for plane in [None, Some(nowhere)] {
        let item = Multiple { plane, behaviour: None, words: vec![] };
        sound(&multiples(&look, "", "", &[item], 0));
    }
    sound(&multiples(&look, "", "", &[], 3));
    sound(&pose::pose(&look, &empty, None, Size::Within([10.0, 10.0])));
    sound(&pose::turned(&look, &empty, f64::NAN, 1.0, [40.0, 40.0]));
}

#[test]
fn charts_without_data_or_with_wild_data() {
    let look = Look::light("n");
    let wild = [0.0, f64::NAN, f64::INFINITY, -1e300, 1e300];
    for values in [&wild[..0], &wild[..1], &wild[..2], &wild[..]] {
        sound(&distances(&look, "", values, values));
        let rows: Vec<(&str, f64)> = values.iter().map(|&v| ("row", v)).collect();
        sound(&compare::area_shares(&look, "", &rows));
        let behaviours = vec![Some(Behaviour::Leaf); values.len()];
        let planes = vec![None; values.len()];
        let track = Track { label: "", values, wanted: Some([f64::NAN, 1.0]) };
        let s = Series {
            along: "",
            at: values,
            now: Some(f64::NAN),
            planes: &planes,
            behaviours: &behaviours,
            numbers: &[],
            numbers_are: "",
            tracks: &[track],
        };
        sound(&series(&look, "", &s));
        let fields = vec![Field { behaviour: None, number: "1".to_owned() }; values.len()];
        let side = Side { label: "", at: values, now: Some(f64::NAN) };
        sound(&grid(&look, "", "", side, Side { at: &[], ..side }, &fields));
        sound(&grid(&look, "", "", side, side, &fields));
        let polar: Vec<PolarPoint> = values
            .iter()
            .map(|&v| PolarPoint { alpha_rad: v, cl: v, cd: v, cp_behind_nose_m: v })
            .collect();
        let c = Curves { polar: &polar, cg_behind_nose_m: 0.1, trims: values, length_m: 0.0 };
        sound(&curves(&look, "", &c));
        let row = BandRow {
            axis: "",
            unit: "",
            bands: values.iter().map(|&v| ([v, v], Behaviour::Glides)).collect(),
            now: f64::NAN,
            sigma: f64::INFINITY,
            neutral: None,
            balance: true,
        };
        sound(&bands(&look, "", "", &[row]));
    }
    sound(&bands(&look, "", "", &[]));
    sound(&envelope::envelope(&look, "", &[], Some([f64::NAN, 0.0])));
    sound(&sensitivities(&look, "", &[]));
}
