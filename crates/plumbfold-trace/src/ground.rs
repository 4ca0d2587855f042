//! What in the photo gives the scale, and the part of it where the plane lies.

use crate::ask::{Ask, RULER_MM, Reference, Spot};
use crate::error::TraceError;
use crate::lens::{self, LENS_MAX};
use crate::photo::Photo;
use crate::polygon::{Pt, bounds};
use crate::remark::Remark;
use crate::seen::Seen;
use crate::sheet::{self, Found, LensAsk};
use crate::view::{Lens, Optics, View};

/// A folded plane lies higher than its sheet by some layers and what they spring open, and nearer to
/// the camera all looks larger: half a millimetre or so, at most one, mm, standard deviation (common
/// practice, no source).
const LIFT_MM: f64 = 0.35;

/// The rim of the sheet that is not looked at, mm: its own edge and what is bent there.
const RIM_MM: f64 = 1.5;
/// A sheet whose sides are in another ratio than those said by this much, as a logarithm, whatever the
/// lens, is another sheet (chosen: A4 and 300 by 400 mm are 0.06 apart).
const SHAPE_OFF: f64 = 0.035;
/// Least distance of its ends, dots.
const RULER_MIN: f64 = 20.0;
/// Dots so far beside a line are not clicked badly but lie on another, dots.
const KINK_DOTS: f64 = 4.0;
/// The same as a share of the line's length: what a hand clicks off on a screen (common practice, no
/// source).
const KINK_SHARE: f64 = 0.004;
/// Shortest line that tells how a lens bends, dots.
const STRAIGHT_MIN: f64 = 50.0;
/// The plane of the sheet, and the part of it where the plane lies.
pub struct Ground {
    /// Between dots and mm.
    pub view: View,
    /// The lens used.
    pub lens: Lens,
    /// Corner of the part looked at, mm.
    pub low: Pt,
    /// Its other corner, mm.
    pub high: Pt,
    /// Corners of the sheet, or the marks, in dots.
    pub reference_dots: Vec<Pt>,
    /// The sheet as it lies, mm right and down.
    pub sheet_mm: Option<[f64; 2]>,
    /// Sides of the sheet as seen against those said.
    pub aspect: Option<f64>,
    /// Standard deviation of the scale, a fraction.
    pub scale_sd: f64,
    /// Things at these places are no planes.
    pub ignored: Vec<Pt>,
    /// It lies on a larger thing that goes on beyond the photo and has not the shape said: where no plane
    /// is found on it, it is a plane itself, on a sheet that is cut off.
    pub on_cut: bool,
}

impl Ground {
    /// Finds what gives the scale; where it is, or may be, goes to `seen`.
    ///
    /// # Errors
    /// No sheet, one that is cut off, marks and numbers that mean nothing.
    pub fn seen(
        photo: &Photo,
        ask: &Ask,
        remarks: &mut Vec<Remark>,
        seen: &mut Seen,
    ) -> Result<Self, TraceError> {
        let found = Self::of(photo, ask, remarks);
        let quad = || ask.corners.or_else(|| sheet::guess(photo));
        seen.guessed = found.is_err();
        seen.sheet = match &found {
            Ok(ground) => ground.reference_dots.clone(),
            Err(_) => quad().map_or_else(Vec::new, |quad| quad.to_vec()),
        };
        found
    }

    fn of(photo: &Photo, ask: &Ask, remarks: &mut Vec<Remark>) -> Result<Self, TraceError> {
        let told = known_lens(photo, ask)?;
        let lens = told.unwrap_or_default();
        let optics = Optics::new(lens, photo.size());
        let [w, h] = photo.size();
        match &ask.reference {
            Reference::Sheet(size) => Self::of_sheet(photo, *size, ask, told, remarks),
            Reference::Marks(marks) => {
                let bad = |why: &str| TraceError::BadMarks { why: why.into() };
                if marks.len() < 4 {
                    return Err(bad(
                        "four are needed, each as the dot in the photo and its place in mm",
                    ));
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
                    on_cut: false,
                    view,
                })
            }
            Reference::Ruler { from, to, length_mm } => {
                let dots = (from - to).norm();
                if dots.is_nan() || dots < RULER_MIN {
                    return Err(TraceError::ShortRuler { dots });
                }
                let long = RULER_MM.contains(length_mm);
                let view = long
                    .then(|| View::from_ruler(optics, *from, *to, *length_mm))
                    .flatten()
                    .ok_or(TraceError::Meaningless {
                        what: "the length of the ruler",
                        due: "lie between 5 and 2000 mm",
                    })?;
                let corners =
                    [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]].map(|[x, y]| view.mm(Pt::new(x, y)));
                let (low, high) = bounds(&corners);
                // What lies along the ruler is the ruler.
                let ignored =
                    (0..=40).map(|i| view.mm(from + (to - from) * (f64::from(i) / 40.0))).collect();
                remarks.push(Remark {
                    code: "ruler-only",
                    text:
                        "A ruler gives the scale only: this holds for a photo taken straight from \
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
                    on_cut: false,
                    view,
                })
            }
        }
    }

    /// Where on the sheet a place said by hand lies, mm.
    ///
    /// # Errors
    /// Farther off than anything can lie.
    pub fn place(&self, spot: Spot) -> Result<Pt, TraceError> {
        let p = match spot {
            Spot::Photo(dot) => self.view.mm(dot),
            Spot::Sheet(mm) => mm,
        };
        let sane = p.iter().all(|v| v.abs() < 1e4);
        let off = TraceError::Meaningless {
            what: "a place said by hand",
            due: "lie within ten metres of the sheet",
        };
        if sane { Ok(p) } else { Err(off) }
    }

    fn of_sheet(
        photo: &Photo,
        size: [f64; 2],
        ask: &Ask,
        lens: Option<Lens>,
        remarks: &mut Vec<Remark>,
    ) -> Result<Self, TraceError> {
        if !size.iter().all(|s| (20.0..=2000.0).contains(s)) {
            return Err(TraceError::Meaningless {
                what: "the sides of the sheet",
                due: "lie between 20 and 2000 mm",
            });
        }
        let lens_ask = lens.map_or(LensAsk::Edges, LensAsk::Known);
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
        let shape_off = view.shape_off(sheet_mm);
        if shape_off > SHAPE_OFF {
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
                     bends lines."
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
        let lifted = LIFT_MM / view.distance_mm(dots_per_mm);
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
                .hypot(0.5 * bow_mm / least)
                .hypot(shape_off / 2.0)
                .hypot(lifted),
            ignored: Vec::new(),
            on_cut: found.on_cut && shape_off > SHAPE_OFF,
        })
    }
}

/// The lens as said, or as straight things and a grid of marks tell it; none where only the sheet's
/// edges can.
fn known_lens(photo: &Photo, ask: &Ask) -> Result<Option<Lens>, TraceError> {
    if let Some(lens) = ask.lens {
        let fine = lens.k1.abs() <= LENS_MAX && lens.k2.abs() <= LENS_MAX;
        let due = "have coefficients between -0.5 and 0.5";
        return match fine {
            true => Ok(Some(lens)),
            false => Err(TraceError::Meaningless { what: "--lens", due }),
        };
    }
    if !ask.straight.is_empty() {
        let tells = |dots: &Vec<Pt>| {
            let (low, high) = bounds(dots);
            dots.len() >= 3 && (high - low).norm() > STRAIGHT_MIN
        };
        let found = lens::from_lines(&ask.straight, photo.size());
        let Some(lens) = found.filter(|_| ask.straight.iter().all(tells)) else {
            let due = "name three dots or more along a line at least 50 dots long";
            return Err(TraceError::Meaningless { what: "--straight", due });
        };
        let optics = Optics::new(lens, photo.size());
        let bent = ask.straight.iter().map(|dots| lens::off_straight(dots, optics));
        let worst =
            bent.fold([0.0; 2], |worst, bent| if bent[1] > worst[1] { bent } else { worst });
        return match worst {
            [off, share] if off > KINK_DOTS && share > KINK_SHARE => {
                Err(TraceError::Kinked { off })
            }
            _ => Ok(Some(lens)),
        };
    }
    Ok(match &ask.reference {
        Reference::Marks(marks) => lens::from_marks(marks, photo.size()),
        _ => None,
    })
}
