//! The flow: photo, sheet, plane, outline, symmetry, balance.

use crate::ask::{Ask, Balanced, Edit, Reference, Spot};
use crate::balance::{self, Located, Measure};
use crate::error::TraceError;
use crate::flat::Flat;
use crate::outline;
use crate::photo::Photo;
use crate::plane_mask::{self, Covered};
use crate::polygon::{Pt, crossing, moments, signed_area};
use crate::shares::{self, Measured, Sureness};
use crate::sheet::{self, Found, LensAsk};
use crate::symmetry::{self, Axis};
use crate::view::{Lens, Optics, View};

/// Fewest dots for each mm.
const DOTS_MIN: f64 = 1.5;
/// Edges wider than this cannot be measured, mm (from a tenth to nine tenths of the change).
const BLUR_MAX_MM: f64 = 3.0;
/// From a tenth to nine tenths of the change of a blurred edge, in standard deviations of the blur.
const WIDTH_OF_BLUR: f64 = 2.563;
/// The rim of the sheet that is not looked at, mm: its own edge and what is bent there.
const RIM_MM: f64 = 1.5;
/// Where an edge lies within its blur, as a share of the blur's standard deviation: shades beside
/// it that are not flat draw it off by about as much (reckoned, for a ramp of a tenth of the
/// change over the window).
const BLUR_SHARE: f64 = 0.1;
/// How far an edge may be off in any photo, dots: the interpolation between dots of unequal
/// response (from memory).
const DOT_SHARE: f64 = 0.05;

/// Steps of the work, for those who show progress.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// The sheet is looked for.
    Sheet,
    /// It is laid flat and the plane looked for.
    Plane,
    /// Its edges are followed.
    Edges,
    /// Symmetry, balance, shares.
    Numbers,
}

/// A remark on what was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// A word programs can tell it by.
    pub code: &'static str,
    /// One or two sentences.
    pub text: String,
}

/// A plane measured from a photo.
#[derive(Clone, Debug)]
pub struct Traced {
    /// Size of the upright photo, dots.
    pub photo: [f64; 2],
    /// Between dots and mm on the sheet.
    pub view: View,
    /// Corners of the sheet, or the marks, in dots.
    pub reference_dots: Vec<Pt>,
    /// Size of the sheet as it lies, mm right and down; none for marks and rulers.
    pub sheet_mm: Option<[f64; 2]>,
    /// The lens used.
    pub lens: Lens,
    /// Sides of the sheet in the photo against those said, x over y; 1 where they agree.
    pub aspect: Option<f64>,
    /// Dots for each mm at the plane.
    pub dots_per_mm: f64,
    /// Width of the plane's edges, mm, from a tenth to nine tenths of the change.
    pub edge_width_mm: f64,
    /// Change of shade that four fifths of the plane's border reach, L*a*b*.
    pub contrast: f64,
    /// What told the plane from the sheet.
    pub rule: &'static str,
    /// Share of the outline that was seen to a fraction of a dot.
    pub seen: f64,
    /// Points of the outline on the sheet, mm, numbered from the nose clockwise as seen.
    pub on_sheet: Vec<Pt>,
    /// The same in the plane's frame, mm: x right of the line of symmetry, y behind the nose.
    pub corners: Vec<Pt>,
    /// Nose and tail on the line of symmetry, on the sheet, mm.
    pub axis: [Pt; 2],
    /// Root mean square distance between the outline and its mirror image, mm.
    pub asymmetry_mm: f64,
    /// Length, mm.
    pub length: Measured,
    /// Span, mm.
    pub span: Measured,
    /// Area, mm2.
    pub area: Measured,
    /// Place behind the nose ahead of which a quarter of the area lies, mm.
    pub quarter_mm: f64,
    /// Balance point, if anything was measured.
    pub balance: Option<Located>,
    /// Share of the area ahead of it.
    pub ahead: Option<Measured>,
    /// What to look at.
    pub remarks: Vec<Remark>,
}

/// Traces the plane in the bytes of a photo (JPEG, PNG, WebP). `go_on` is told each step as it
/// begins, and asked again during long ones; where it answers no, the work ends as
/// [`TraceError::Stopped`].
///
/// # Errors
/// [`TraceError`], each with what to do about it.
pub fn trace(bytes: &[u8], ask: &Ask, go_on: &dyn Fn(Stage) -> bool) -> Result<Traced, TraceError> {
    trace_photo(&Photo::decode(bytes)?, ask, go_on)
}

/// The same for a photo decoded before.
///
/// # Errors
/// As [`trace`].
pub fn trace_photo(
    photo: &Photo,
    ask: &Ask,
    go_on: &dyn Fn(Stage) -> bool,
) -> Result<Traced, TraceError> {
    let step = |stage| if go_on(stage) { Ok(()) } else { Err(TraceError::Stopped) };
    let mut remarks = Vec::new();
    step(Stage::Sheet)?;
    let ground = Ground::of(photo, ask, &mut remarks)?;
    let view = &ground.view;

    step(Stage::Plane)?;
    let dots_per_mm = view.dots_per_mm(nalgebra::center(&ground.low, &ground.high));
    if !(dots_per_mm >= DOTS_MIN) {
        return Err(TraceError::TooSmall { dots_per_mm: if dots_per_mm.is_finite() { dots_per_mm } else { 0.0 } });
    }
    if let Some(t) = ask.threshold
        && !(t > 0.0 && t < 200.0)
    {
        return Err(TraceError::Meaningless { what: "--threshold" });
    }
    let flat = Flat::read(photo, view, ground.low, ground.high, dots_per_mm);
    let covered = plane_mask::covered(&flat, ask.threshold.map(|t| t as f32), &ground.ignored, &|| {
        go_on(Stage::Plane)
    })?;

    step(Stage::Edges)?;
    let outline = outline::trace(photo, view, &flat, &covered.mask, &|| go_on(Stage::Edges))?;
    let edge_width_mm = outline.blur * WIDTH_OF_BLUR;
    if edge_width_mm > BLUR_MAX_MM {
        return Err(TraceError::Blurred { width_mm: edge_width_mm });
    }

    step(Stage::Numbers)?;
    finish(photo, ask, ground, covered, outline, edge_width_mm, dots_per_mm, remarks)
}

/// The plane of the sheet, and the part of it where the plane lies.
struct Ground {
    view: View,
    lens: Lens,
    low: Pt,
    high: Pt,
    reference_dots: Vec<Pt>,
    sheet_mm: Option<[f64; 2]>,
    aspect: Option<f64>,
    /// Standard deviation of the scale, a fraction.
    scale_sd: f64,
    /// Things at these places are no planes.
    ignored: Vec<Pt>,
}

impl Ground {
    fn of(photo: &Photo, ask: &Ask, remarks: &mut Vec<Remark>) -> Result<Self, TraceError> {
        let lens = ask.lens.unwrap_or_default();
        if !(lens.k1.abs() <= 0.5 && lens.k2.abs() <= 0.5) {
            return Err(TraceError::Meaningless { what: "--lens" });
        }
        let optics = Optics::new(lens, photo.size());
        let [w, h] = photo.size();
        match &ask.reference {
            Reference::Sheet(size) => Self::of_sheet(photo, *size, ask, remarks),
            Reference::Marks(marks) => {
                let bad = |why: &str| TraceError::BadMarks { why: why.into() };
                if marks.len() < 4 {
                    return Err(bad("four are needed, each as the dot in the photo and its place in mm"));
                }
                let view = View::new(optics, marks)
                    .ok_or_else(|| bad("they lie on one line or fall together"))?;
                let places: Vec<Pt> = marks.iter().map(|m| m.1).collect();
                let (low, high) = bounds(&places);
                let mean = |f: &dyn Fn(&(Pt, Pt)) -> f64| {
                    (marks.iter().map(f).sum::<f64>() / marks.len() as f64).sqrt()
                };
                let off = mean(&|(dot, mm)| (view.mm(*dot) - mm).norm_squared());
                let size = (high - low).min().max(1.0);
                if off > 1.0 {
                    remarks.push(Remark {
                        code: "marks-differ",
                        text: format!("The marks do not fit one another: they lie {off:.1} mm off where they should be."),
                    });
                }
                Ok(Self {
                    lens,
                    low: low + nalgebra::Vector2::repeat(RIM_MM),
                    high: high - nalgebra::Vector2::repeat(RIM_MM),
                    reference_dots: marks.iter().map(|m| m.0).collect(),
                    sheet_mm: None,
                    aspect: None,
                    scale_sd: ask.reference_sd_mm.hypot(off) / size,
                    ignored: places,
                    view,
                })
            }
            Reference::Ruler { from, to, length_mm } => {
                let far = (from - to).norm() >= 20.0 && *length_mm > 1.0;
                let view = far
                    .then(|| View::from_ruler(optics, *from, *to, *length_mm))
                    .flatten()
                    .ok_or(TraceError::Meaningless { what: "--ruler" })?;
                let corners =
                    [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]].map(|[x, y]| view.mm(Pt::new(x, y)));
                let (low, high) = bounds(&corners);
                // What lies along the ruler is the ruler.
                let ignored = (0..=40)
                    .map(|i| view.mm(from + (to - from) * (f64::from(i) / 40.0)))
                    .collect();
                remarks.push(Remark {
                    code: "ruler-only",
                    text: "A ruler gives the scale only: this holds for a photo taken straight from \
                           above. Each degree of tilt changes lengths by up to 1 %."
                        .into(),
                });
                Ok(Self {
                    lens,
                    low: low + nalgebra::Vector2::repeat(RIM_MM),
                    high: high - nalgebra::Vector2::repeat(RIM_MM),
                    reference_dots: vec![*from, *to],
                    sheet_mm: None,
                    aspect: None,
                    // Marks on two dots, and the tilt that a careful hand leaves: 1 degree or so.
                    scale_sd: (ask.reference_sd_mm / length_mm).hypot(0.01),
                    ignored,
                    view,
                })
            }
        }
    }

    fn of_sheet(
        photo: &Photo,
        size: [f64; 2],
        ask: &Ask,
        remarks: &mut Vec<Remark>,
    ) -> Result<Self, TraceError> {
        if !size.iter().all(|s| (20.0..=2000.0).contains(s)) {
            return Err(TraceError::Meaningless { what: "the size of the sheet (20 to 2000 mm)" });
        }
        let lens_ask = ask.lens.map_or(LensAsk::Edges, LensAsk::Known);
        let found = match ask.corners {
            Some(corners) => sheet::at(photo, corners, lens_ask)?,
            None => sheet::find(photo, lens_ask)?,
        };
        let Found { corners, lens, .. } = found;
        let optics = Optics::new(lens, photo.size());
        let laid = |[w, h]: [f64; 2]| {
            let places = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]].map(|[x, y]| Pt::new(x, y));
            let pairs: Vec<(Pt, Pt)> = corners.iter().copied().zip(places).collect();
            let view = View::new(optics, &pairs)?;
            let aspect = view.aspect();
            Some((view, [w, h], aspect))
        };
        // The way round that makes the camera's dots squarer.
        let [a, b] = size;
        let ways = [laid([a, b]), laid([b, a])];
        let off = |aspect: f64| aspect.ln().abs();
        let (view, sheet_mm, aspect) = ways
            .into_iter()
            .flatten()
            .min_by(|x, y| off(x.2).total_cmp(&off(y.2)))
            .ok_or(TraceError::BadCorners)?;
        if off(aspect) > 0.06 {
            let found = aspect * sheet_mm[0] / sheet_mm[1];
            let found = found.max(1.0 / found);
            let said = (a / b).max(b / a);
            remarks.push(Remark {
                code: "sheet-size",
                text: format!(
                    "The sheet in the photo looks {found:.2} times as long as wide, the one named is \
                     {said:.2} times (A4 1.41, Letter 1.29). Is it that sheet?"
                ),
            });
        }
        let longest = (corners[1] - corners[0]).norm().max((corners[2] - corners[1]).norm());
        let dots_per_mm = longest / sheet_mm[0].max(sheet_mm[1]);
        let bow_mm = found.bow / dots_per_mm;
        if bow_mm > 1.0 {
            remarks.push(Remark {
                code: "edges-bow",
                text: format!(
                    "The edges of the sheet bow by {bow_mm:.1} mm: it does not lie flat, or the lens \
                     bends lines (--lens)."
                ),
            });
        }
        if found.share == 0.0 {
            remarks.push(Remark {
                code: "corners-by-hand",
                text: "The sheet's edges were not found near the corners given, so these count as they \
                       are, to about a dot."
                    .into(),
            });
        }
        let rim = nalgebra::Vector2::repeat(RIM_MM);
        let least = sheet_mm[0].min(sheet_mm[1]);
        let rms_mm = found.rms / dots_per_mm;
        Ok(Self {
            view,
            lens,
            low: Pt::origin() + rim,
            high: Pt::new(sheet_mm[0], sheet_mm[1]) - rim,
            reference_dots: corners.to_vec(),
            sheet_mm: Some(sheet_mm),
            aspect: Some(aspect),
            // Both sides of the sheet are as uncertain; their errors are independent.
            scale_sd: (ask.reference_sd_mm / (2.0 * least * sheet_mm[0].max(sheet_mm[1])).sqrt())
                .hypot(0.2 * rms_mm / least)
                .hypot(0.5 * bow_mm / least),
            ignored: Vec::new(),
        })
    }
}

fn bounds(points: &[Pt]) -> (Pt, Pt) {
    points.iter().fold((points[0], points[0]), |(l, h), p| (l.inf(p), h.sup(p)))
}

#[allow(clippy::too_many_arguments, reason = "the last step brings all together")]
fn finish(
    photo: &Photo,
    ask: &Ask,
    ground: Ground,
    covered: Covered,
    outline: outline::Traced,
    edge_width_mm: f64,
    dots_per_mm: f64,
    mut remarks: Vec<Remark>,
) -> Result<Traced, TraceError> {
    let view = &ground.view;
    let place = |spot: Spot| -> Result<Pt, TraceError> {
        let p = match spot {
            Spot::Photo(dot) => view.mm(dot),
            Spot::Sheet(mm) => mm,
        };
        let sane = p.iter().all(|v| v.abs() < 1e4);
        if sane { Ok(p) } else { Err(TraceError::Meaningless { what: "a place said by hand" }) }
    };
    // Numbers of points are those of the outline as found, from the nose as found or said.
    let spots = Spots {
        nose: ask.nose.map(place).transpose()?,
        axis: match ask.axis {
            Some((a, b)) => Some((place(a)?, place(b)?)),
            None => None,
        },
    };
    let middle = match ask.balance.iter().find_map(|b| match b {
        Balanced::Line(a, b) => Some((*a, *b)),
        _ => None,
    }) {
        Some((a, b)) => Some(nalgebra::center(&place(a)?, &place(b)?)),
        None => None,
    };
    let mut found = Framed::of(outline.corners, outline.sd, &spots, middle, &mut remarks)?;
    if !ask.edits.is_empty() {
        let edits = ask
            .edits
            .iter()
            .map(|e| match *e {
                Edit::Move(n, s) => Ok((n, Some(place(s)?), false)),
                Edit::Add(n, s) => Ok((n, Some(place(s)?), true)),
                Edit::Drop(n) => Ok((n, None, false)),
            })
            .collect::<Result<Vec<_>, TraceError>>()?;
        let (corners, sd) = edited(&found.on_sheet, &found.sd, &edits)?;
        remarks.retain(|r| r.code != "which-end" && r.code != "two-axes");
        found = Framed::of(corners, sd, &spots, middle, &mut remarks)?;
    }
    if let Some((a, b)) = crossing(&found.on_sheet) {
        return Err(TraceError::Crosses { a: a + 1, b: b + 1 });
    }
    let frame = |p: Pt| found.frame(p, ask.underside);
    let corners: Vec<Pt> = found.on_sheet.iter().map(|&p| frame(p)).collect();
    let blur = edge_width_mm / WIDTH_OF_BLUR;
    let sure = Sureness {
        edges_mm: found.sd.clone(),
        together_mm: (BLUR_SHARE * blur).hypot(DOT_SHARE / dots_per_mm),
        scale: ground.scale_sd,
    };
    let (low, high) = bounds(&corners);
    let end_sd = |n: f64| (2.0 * sure.together_mm).hypot(n * sure.scale);
    let size = |n: f64| Measured { value: n, sd: end_sd(n) };
    let measures = ask
        .balance
        .iter()
        .map(|b| {
            Ok(match *b {
                Balanced::Line(a, b) => Measure::Line {
                    a: frame(place(a)?),
                    b: frame(place(b)?),
                    sd_mm: ask.edge_sd_mm,
                },
                Balanced::Plumb(a, b) => {
                    Measure::Plumb { hang: frame(place(a)?), through: frame(place(b)?) }
                }
                Balanced::Weighed(supports) => Measure::Weighed(supports),
                Balanced::Known(m) => Measure::Known { behind_mm: m.value, sd_mm: m.sd },
            })
        })
        .collect::<Result<Vec<_>, TraceError>>()?;
    let balance = match measures.is_empty() {
        true => None,
        false => Some(balance::locate(&measures, true)?),
    };
    if let Some(b) = &balance {
        remark_on_balance(b, &corners, &mut remarks);
    }
    let ahead = balance
        .as_ref()
        .map(|b| shares::ahead(&corners, &sure, Measured { value: b.at.y, sd: b.sd[1] }));
    if edge_width_mm > 0.5 * BLUR_MAX_MM {
        let text = format!("Edges are {edge_width_mm:.1} mm wide: the photo is a little blurred.");
        remarks.push(Remark { code: "blurred", text });
    }
    if outline.seen < 0.8 {
        remarks.push(Remark {
            code: "edges-unseen",
            text: format!(
                "{:.0} % of the outline could not be seen sharply; look at it in the picture and move \
                 points where it is off.",
                100.0 * (1.0 - outline.seen)
            ),
        });
    }
    if found.axis.rms > 1.5 {
        remarks.push(Remark {
            code: "asymmetric",
            text: format!(
                "The halves differ by {:.1} mm: the plane is not symmetric, or part of it was not seen.",
                found.axis.rms
            ),
        });
    }
    Ok(Traced {
        photo: photo.size(),
        reference_dots: ground.reference_dots,
        sheet_mm: ground.sheet_mm,
        lens: ground.lens,
        aspect: ground.aspect,
        dots_per_mm,
        edge_width_mm,
        contrast: f64::from(covered.contrast),
        rule: covered.rule,
        seen: outline.seen,
        length: size(high.y - low.y),
        span: size(high.x - low.x),
        area: shares::area(&corners, &sure),
        quarter_mm: shares::place_of(&corners, 0.25),
        axis: [found.nose, found.tail],
        asymmetry_mm: found.axis.rms,
        on_sheet: found.on_sheet,
        corners,
        balance,
        ahead,
        remarks,
        view: ground.view,
    })
}

fn remark_on_balance(b: &Located, corners: &[Pt], remarks: &mut Vec<Remark>) {
    if let (true, Some(worst)) = (b.disagrees(), b.worst()) {
        remarks.push(Remark {
            code: "balance-disagrees",
            text: format!(
                "What was measured disagrees: {} passes {:.1} mm from the balance point where {:.1} mm \
                 was to be expected. Measure it again.",
                worst.what, worst.off_mm, worst.sd_mm
            ),
        });
    }
    if b.at.x.abs() > 3.0 * b.sd[0] && b.at.x.abs() > 1.0 {
        let side = if b.at.x > 0.0 { "right" } else { "left" };
        remarks.push(Remark {
            code: "balance-aside",
            text: format!(
                "The balance point lies {:.1} mm to the {side} of the line of symmetry.",
                b.at.x.abs()
            ),
        });
    }
    let (low, high) = bounds(corners);
    if !(low.y..=high.y).contains(&b.at.y) {
        remarks.push(Remark {
            code: "balance-off",
            text: format!("The balance point lies {:.1} mm behind the nose, off the plane.", b.at.y),
        });
    }
}

/// Nose and axis said by hand, on the sheet.
struct Spots {
    nose: Option<Pt>,
    axis: Option<(Pt, Pt)>,
}

/// An outline with its axis; points from the nose clockwise as seen.
struct Framed {
    on_sheet: Vec<Pt>,
    sd: Vec<f64>,
    axis: Axis,
    nose: Pt,
    tail: Pt,
}

impl Framed {
    fn of(
        mut corners: Vec<Pt>,
        mut sd: Vec<f64>,
        spots: &Spots,
        balance: Option<Pt>,
        remarks: &mut Vec<Remark>,
    ) -> Result<Self, TraceError> {
        if corners.len() < 3 || signed_area(&corners).abs() < 1.0 {
            return Err(TraceError::NoArea);
        }
        if signed_area(&corners) < 0.0 {
            corners.reverse();
            // Edge i runs from corner i to the next.
            sd.reverse();
            sd.rotate_left(1);
        }
        let (_, centre, _) = moments(&corners);
        let mut axis = match spots.axis {
            Some((a, b)) if (b - a).norm() > 1.0 => {
                symmetry::judged(&corners, Axis::through(a, b))
            }
            Some(_) => return Err(TraceError::Meaningless { what: "--axis" }),
            None => {
                let found = symmetry::axes(&corners);
                let first = *found.first().ok_or(TraceError::NoArea)?;
                let toward = |axis: &Axis, p: Pt| {
                    (p - centre).dot(&axis.along).abs() / (p - centre).norm()
                };
                match spots.nose {
                    // A nose said picks the axis that leads to it.
                    Some(nose) => found
                        .into_iter()
                        .max_by(|a, b| toward(a, nose).total_cmp(&toward(b, nose)))
                        .unwrap_or(first),
                    None => {
                        if found.len() > 1 {
                            remarks.push(Remark {
                                code: "two-axes",
                                text: "More than one line of symmetry fits; look at the one drawn, and \
                                       say where the nose is with --nose if it is another."
                                    .into(),
                            });
                        }
                        first
                    }
                }
            }
        };
        let along = |p: &Pt| (p - axis.at).dot(&axis.along);
        let (first, last) = corners
            .iter()
            .map(along)
            .fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        let middle = along(&centre);
        let length = last - first;
        // Wings lie at the back: the nose is the end farther from the middle of the area. A plane
        // that flies balances ahead of that middle (common practice, no source).
        let lean = ((middle - first) - (last - middle)) / length;
        let at_first = match (spots.axis, spots.nose, balance) {
            (Some(_), _, _) => true,
            (_, Some(nose), _) => along(&nose) < middle,
            (_, _, Some(balance)) if (along(&balance) - middle).abs() > 0.04 * length => {
                along(&balance) < middle
            }
            _ => {
                if lean.abs() < 0.08 {
                    remarks.push(Remark {
                        code: "which-end",
                        text: "Nose and tail look much alike; say which is the nose with --nose.".into(),
                    });
                }
                lean > 0.0
            }
        };
        if !at_first {
            axis.along = -axis.along;
        }
        let (from, to) = if at_first { (first, last) } else { (-last, -first) };
        let (nose, tail) = (axis.at + axis.along * from, axis.at + axis.along * to);
        let start = (0..corners.len())
            .min_by(|&i, &j| {
                let d = |k: usize| (corners[k] - nose).norm();
                d(i).total_cmp(&d(j))
            })
            .unwrap_or(0);
        corners.rotate_left(start);
        sd.rotate_left(start);
        Ok(Self { on_sheet: corners, sd, axis, nose, tail })
    }

    /// From the sheet to the plane's frame: seen from above with the nose ahead, right is right.
    fn frame(&self, p: Pt, underside: bool) -> Pt {
        let back = self.axis.along;
        let right = nalgebra::Vector2::new(back.y, -back.x);
        let d = p - self.nose;
        let side = if underside { -1.0 } else { 1.0 };
        Pt::new(side * d.dot(&right), d.dot(&back))
    }
}

/// How surely a hand places a point, mm, standard deviation (common practice, no source).
const HAND_MM: f64 = 0.4;

/// Points moved, added and dropped, each with what it says of its edges. Numbers from 1.
fn edited(
    corners: &[Pt],
    sd: &[f64],
    edits: &[(usize, Option<Pt>, bool)],
) -> Result<(Vec<Pt>, Vec<f64>), TraceError> {
    let count = corners.len();
    if let Some(&(number, ..)) = edits.iter().find(|e| !(1..=count).contains(&e.0)) {
        return Err(TraceError::NoSuchPoint { number, count });
    }
    let (mut out, mut sds) = (Vec::new(), Vec::new());
    for i in 0..count {
        let of = |e: &&(usize, Option<Pt>, bool)| e.0 == i + 1 && !e.2;
        let next = (i + 1) % count;
        let by_hand = |k: usize| edits.iter().any(|e| e.0 == k + 1);
        let known = if by_hand(i) || by_hand(next) { sd[i].max(HAND_MM) } else { sd[i] };
        match edits.iter().rev().find(of) {
            Some((_, None, _)) => {}
            Some((_, Some(p), _)) => (out.push(*p), sds.push(known)).0,
            None => (out.push(corners[i]), sds.push(known)).0,
        }
        for p in edits.iter().filter(|e| e.0 == i + 1 && e.2).filter_map(|e| e.1) {
            out.push(p);
            sds.push(HAND_MM);
        }
    }
    Ok((out, sds))
}
