//! One of each picture, from hand-made data.

use nalgebra::Vector3;
use plumbfold::flight::envelope::Cell;
use plumbfold::flight::rigid::Motion;
use plumbfold::flight::throw::{Hall, Sample};
use plumbfold::numeric::geom::TablePoint;
use plumbfold::verdict::Behaviour;
use plumbfold_draw::arrows::FoldArrow;
use plumbfold_draw::bands::BandRow;
use plumbfold_draw::curves::{Curves, PolarPoint};
use plumbfold_draw::explain::Term;
use plumbfold_draw::fault::Marked;
use plumbfold_draw::fit::Size;
use plumbfold_draw::grid::{Field, Side, grid};
use plumbfold_draw::lineup::{Entry, lineup};
use plumbfold_draw::multiples::{Multiple, Plane, multiples};
use plumbfold_draw::path::{Remark, ThrowPicture};
use plumbfold_draw::series::{Series, Track};
use plumbfold_draw::steps::{FoldShown, MoveShown, StepShown, Turn};
use plumbfold_draw::style::Look;
use plumbfold_draw::{
    bands, change, compare, curves, envelope, explain, fault, folded, path, pose, series, sheet,
    split, steps,
};

use crate::support;

fn balance() -> Vector3<f64> {
    Vector3::new(-0.14, 0.0, -0.02)
}

/// Draws one picture.
pub type Draw = Box<dyn Fn(&Look) -> String>;

/// All of them, by name.
pub fn pictures() -> Vec<(String, Draw)> {
    let mut out: Vec<(String, Draw)> = Vec::new();
    let mut add = |name: &str, draw: Draw| out.push((name.to_owned(), draw));
    let dart = support::dart_states().pop().expect("states");
    let size = Size::Within([110.0, 130.0]);
    let d = dart.clone();
    add("sheet", Box::new(move |l| sheet::sheet(l, "Marlinspike", &d, size)));
    let d = dart.clone();
    add("sheet-full", Box::new(move |l| sheet::sheet(l, "Marlinspike", &d, Size::Full)));
    let d = dart.clone();
    add("folded", Box::new(move |l| folded::folded(l, "Marlinspike", &d, size)));
    let d = dart.clone();
    add("layers", Box::new(move |l| folded::layers(l, "Marlinspike", &d, size)));
    let g = support::glider();
    let mass = plumbfold::plane::mass::properties(&g).expect("paper has mass");
    let cg = mass.cg_m;
    let wing = plumbfold::plane::planform::planform(&g).expect("a wing");
    let marks = split::BalanceMarks {
        cg_behind_nose_m: mass.behind_nose_m(),
        neutral_behind_nose_m: Some(mass.behind_nose_m() + 0.006),
    };
    let wide = Size::Within([170.0, 130.0]);
    add("pose", Box::new(move |l| pose::pose(l, &g, Some(cg), wide)));
    let g = support::glider();
    add("turned", Box::new(move |l| pose::turned(l, &g, 2.4, 0.3, [80.0, 60.0])));
    add("split", Box::new(move |l| split::split(l, "Marlinspike", &wing, marks, wide)));
    add(
        "steps",
        Box::new(|l| {
            let states = support::dart_states();
            let folds = support::dart_folds();
            let shown: Vec<StepShown<'_>> = folds
            .iter()
            .enumerate()
            .map(|(i, (line, turned))| StepShown {
                number: i + 1,
                says: ["crease left edge onto right edge, call it centre",
                    "valley top left corner onto centre, hinged at top middle",
                    "valley top right corner onto centre, hinged at top middle",
                    "valley left shoulder onto centre, hinged at top middle",
                    "mountain right shoulder onto centre, hinged at top middle, so that it lies behind all the rest"][i].to_owned(),
                    moves: MoveShown::default(),
                before: &states[i],
                folds: vec![FoldShown {
                    line: *line,
                    kind: if !turned { FoldArrow::Crease } else if i == 4 { FoldArrow::Mountain } else { FoldArrow::Valley },
                    moving: vec![],
                }],
                turn: [None, Some(Turn::Over), Some(Turn::By(std::f64::consts::FRAC_PI_2)), None, None][i],
                places: Vec::new(),
                apart: 0.0,
            })
            .collect();
            steps::instructions(l, "Marlinspike", &shown, &states[5], 3)
        }),
    );
    add(
        "curves",
        Box::new(|l| {
            let polar: Vec<PolarPoint> = (-10..=50)
                .map(|k| {
                    let a = f64::from(k).to_radians();
                    let cn = 2.2 * a.sin() * a.cos() + 1.1 * a.sin() * a.abs().sin();
                    let cp = 0.125
                        + 0.05 * a.abs()
                        + 0.0022 / if a.abs() < 0.02 { 0.02_f64.copysign(a) } else { a };
                    PolarPoint {
                        alpha_rad: a,
                        cl: cn * a.cos(),
                        cd: 0.03 + cn * a.sin(),
                        cp_behind_nose_m: cp,
                    }
                })
                .collect();
            let c = Curves {
                polar: &polar,
                cg_behind_nose_m: 0.1432,
                trims: &[0.16, 0.45],
                length_m: 0.25,
            };
            curves::curves(l, "Marlinspike", &c)
        }),
    );
    add(
        "envelope",
        Box::new(|l| {
            let speeds: Vec<f64> = (0..11).map(|k| 2.0 + 0.5 * f64::from(k)).collect();
            let mut cells = Vec::new();
            for e in (0..9).map(|k| f64::from(10 * k - 30).to_radians()) {
                for v in &speeds {
                    let q = v - 4.0 - 3.0 * e;
                    let behaviour = match q {
                        q if q < -2.5 => Behaviour::Leaf,
                        q if q < -1.5 => Behaviour::Tumbles,
                        q if q < -0.6 => Behaviour::Dives,
                        q if q < 0.8 => Behaviour::Glides,
                        q if q < 1.8 => Behaviour::Porpoises,
                        q if q < 3.0 => Behaviour::Stalls,
                        q if q < 4.0 => Behaviour::Banks,
                        _ => Behaviour::Spirals,
                    };
                    cells.push(Cell {
                        speed_m_s: *v,
                        elevation_rad: e,
                        behaviour,
                        distance_m: (9.0 - q * q).max(0.4),
                        time_aloft_s: 2.0,
                        max_height_m: 2.0,
                        suspect: false,
                    });
                }
            }
            envelope::envelope(l, "Marlinspike", &cells, Some([4.0, 0.0]))
        }),
    );
    add(
        "bands",
        Box::new(|l| {
            let balance = BandRow {
                axis: "balance point behind the nose, mm",
                unit: "mm",
                bands: vec![
                    ([50.0, 61.0], Behaviour::Dives),
                    ([61.0, 67.0], Behaviour::Glides),
                    ([67.0, 69.0], Behaviour::Porpoises),
                    ([69.0, 82.0], Behaviour::Stalls),
                    ([82.0, 95.0], Behaviour::Leaf),
                ],
                now: 70.2,
                sigma: 1.2,
                neutral: Some(74.0),
                balance: true,
            };
            let speed = BandRow {
                axis: "speed of the throw, m/s",
                unit: "m/s",
                bands: vec![
                    ([1.5, 3.1], Behaviour::Dives),
                    ([3.1, 5.2], Behaviour::Glides),
                    ([5.2, 9.0], Behaviour::Stalls),
                ],
                now: 4.0,
                sigma: 0.0,
                neutral: None,
                balance: false,
            };
            bands::bands(
                l,
                "Marlinspike",
                "glides from 61 to 67 mm behind the nose; it balances at 70.2 mm",
                &[balance, speed],
            )
        }),
    );
    for (name, leaf) in [("throw-glide", false), ("throw-leaf", true)] {
        let g = support::glider();
        add(
            name,
            Box::new(move |l| {
                let flight = flown(leaf);
                let remarks = [
                    Remark { t_s: 0.6, says: "slowest, 2.1 m/s" },
                    Remark { t_s: 1.6, says: "bottom of the first swing" },
                ];
                let p = ThrowPicture {
                    hall: &Hall::OPEN,
                    flight: &flight,
                    airframe: &g,
                    cg: balance(),
                    remarks: &remarks,
                    frame: None,
                    says: if leaf { "drops like a leaf" } else { "glides" },
                };
                path::throw(l, "Marlinspike", &p)
            }),
        );
    }
    add(
        "fault",
        Box::new(|l| {
            let m = &support::dart_states()[3];
            let p = |x: f64, y: f64| TablePoint::new(x * 1e-3, y * 1e-3);
            let marked = Marked {
                layers: vec![m.table_polygon(m.order[m.order.len() - 1])],
                edges: vec![[p(105.0, 297.0), p(105.0, 192.0)]],
                lines: vec![
                    support::line([40.0, 0.0], [150.0, 297.0]),
                    support::line([0.0, 120.0], [210.0, 180.0]),
                ],
                places: vec![(p(105.0, 192.0), "stem".to_owned())],
            };
            fault::fault(
                l,
                "Step 4 of Marlinspike",
                m,
                &marked,
                "the paper would tear along the edge between the left shoulder and the middle: fold `all layers`, or take the shoulder first",
            )
        }),
    );
    let d = dart;
    add("thumbnail", Box::new(move |l| folded::thumbnail(l, "Marlinspike", &d, [34.0, 34.0])));
    let shares = [
        ("Halyard", 0.252),
        ("Bowline", 0.234),
        ("Marlinspike", 0.321),
        ("Scow", 0.268),
        ("Gaff", 0.197),
    ];
    add("compare-shares", Box::new(move |l| compare::area_shares(l, "Glide day", &shares)));
    add(
        "multiples",
        Box::new(|l| {
            let planes = vec![support::glider(); 6];
            let items: Vec<_> = planes
                .iter()
                .enumerate()
                .map(|(i, p)| Multiple {
                    plane: (i != 4).then_some(Plane { airframe: p, cg: balance() }),
                    behaviour: [Some(Behaviour::Glides), Some(Behaviour::Dives), None][i % 3],
                    words: vec![format!("tip {} mm", 8 + 4 * i), "glides".to_owned()],
                })
                .collect();
            multiples(l, "Marlinspike", "as tip changes", &items, 4)
        }),
    );
    add(
        "before-after",
        Box::new(|l| {
            let (leaf, glide) = (flown(true), flown(false));
            let wing = plumbfold::plane::planform::planform(&support::glider()).expect("a wing");
            let side = |cg, flight, says| change::Side {
                planform: &wing,
                cg_behind_nose_m: cg,
                neutral_behind_nose_m: 0.128,
                flight,
                says,
            };
            change::before_after(
                l,
                "Marlinspike",
                "Fold the point back by 24 mm.",
                side(0.135, &leaf, "drops like a leaf"),
                side(0.122, &glide, "glides"),
            )
        }),
    );
    add(
        "series",
        Box::new(|l| {
            let at: Vec<f64> = (0..9).map(|k| 8.0 + 4.0 * f64::from(k)).collect();
            let cg: Vec<f64> = at.iter().map(|t| 74.0 - 0.35 * t).collect();
            let share: Vec<f64> = at.iter().map(|t| 31.0 - 0.25 * t).collect();
            let speed: Vec<f64> =
                at.iter().map(|t| if *t < 14.0 { f64::NAN } else { 2.0 + 0.05 * t }).collect();
            use Behaviour::{Dives, Glides, Porpoises, Stalls};
            let behaviours =
                [Stalls, Stalls, Porpoises, Glides, Glides, Glides, Glides, Dives, Dives];
            let mut behaviours = behaviours.map(Some);
            behaviours[8] = None;
            let models = vec![support::glider(); 9];
            let mut planes: Vec<_> =
                models.iter().map(|p| Some(Plane { airframe: p, cg: balance() })).collect();
            planes[8] = None;
            let tracks = [
                Track { label: "balance point, mm behind the nose", values: &cg, wanted: None },
                Track { label: "area ahead, %", values: &share, wanted: Some([23.0, 27.0]) },
                Track { label: "speed of the glide, m/s", values: &speed, wanted: None },
            ];
            let s = Series {
                along: "tip, mm",
                at: &at,
                now: Some(24.0),
                planes: &planes,
                behaviours: &behaviours,
                numbers: &vec!["83".to_owned(); 8],
                numbers_are: "what it does, and the chance of a glide, %",
                tracks: &tracks,
            };
            series::series(l, "Halyard", &s)
        }),
    );
    add(
        "grid",
        Box::new(|l| {
            use Behaviour::{Dives, Glides, Leaf, Porpoises, Stalls};
            let fields: Vec<Field> = (0..35)
                .map(|k| {
                    let (i, j) = (k / 5, k % 5);
                    let all = [Leaf, Stalls, Porpoises, Glides, Glides, Dives];
                    Field {
                        behaviour: (k != 34).then(|| all[(i + j) * 5 / 10]),
                        number: format!("{} %", 7 * (i + j)),
                    }
                })
                .collect();
            let across = Side {
                label: "tip, mm",
                at: &[8.0, 12.0, 16.0, 20.0, 24.0, 28.5, 32.0],
                now: Some(24.0),
            };
            let up =
                Side { label: "keel, mm", at: &[12.0, 18.0, 24.0, 30.0, 36.0], now: Some(25.0) };
            grid(
                l,
                "Halyard",
                "what it does; numbers are the chance of a glide",
                across,
                up,
                &fields,
            )
        }),
    );
    add(
        "lineup",
        Box::new(|l| {
            let g = support::glider();
            let plane = Plane { airframe: &g, cg: balance() };
            let entries = [("Halyard", 0.252, 0.22, 0.27), ("Gaff", 0.33, 0.31, 0.24)].map(
                |(name, share, cg, neutral)| Entry {
                    name,
                    plane,
                    behaviour: if cg < neutral { Behaviour::Glides } else { Behaviour::Leaf },
                    sure: "glides (83 %)",
                    share,
                    cg,
                    neutral,
                },
            );
            lineup(l, "Glide day", &entries)
        }),
    );
    add(
        "distances",
        Box::new(|l| {
            let wave = |n: u32, a: f64, b: f64| -> Vec<f64> {
                (0..n)
                    .map(|k| {
                        a + b
                            * ((f64::from(k) * 0.618).fract() + (f64::from(k) * 0.414).fract()
                                - 1.0)
                    })
                    .collect()
            };
            series::distances(l, "Halyard", &wave(700, 8.0, 2.5), &wave(300, 4.0, 3.0))
        }),
    );
    add(
        "sensitivities",
        Box::new(|l| {
            let rows = [
                ("trailing edge bend, left", 0.41, 0.48),
                ("fold: tip back", 0.22, 0.27),
                ("throw speed", 0.12, 0.2),
                ("grammage", 0.01, 0.02),
            ];
            series::sensitivities(l, "Halyard", &rows)
        }),
    );
    for term in Term::EVERY {
        let name = format!("explain-{}", term.word().replace(' ', "-"));
        add(&name, Box::new(move |l| explain::explain(l, term)));
    }
    out
}

/// A flight drawn from a formula.
fn flown(leaf: bool) -> Vec<Sample> {
    (0..=400)
        .map(|k| {
            let t = f64::from(k) * if leaf { 0.005 } else { 0.0081 };
            let (x, z, pitch) = if leaf {
                (
                    1.1 * t - 0.4 * t * t + 0.1 * (9.0 * t).sin(),
                    1.7 - 0.85 * t,
                    0.6 * (9.0 * t).sin(),
                )
            } else {
                (3.2 * t, 1.8 - 0.55 * t + 0.25 * (2.0 * t).sin(), -0.1 + 0.2 * (2.0 * t).cos())
            };
            Sample {
                t_s: t,
                motion: Motion {
                    position: Vector3::new(x, -0.06 * t * t, z.max(0.0)),
                    attitude: plumbfold::flight::rigid::attitude(0.1 * t, pitch, 0.02 * t),
                    velocity: Vector3::x(),
                    rate: Vector3::zeros(),
                },
                wind_m_s: Vector3::zeros(),
            }
        })
        .collect()
}
