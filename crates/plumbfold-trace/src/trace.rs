//! The flow: photo, sheet, plane, outline, symmetry, balance.

use crate::ask::{Ask, Balanced, Edit, Spot};
use crate::balance::{self, Located, Measure};
use crate::beyond;
use crate::error::TraceError;
use crate::flat::Flat;
use crate::framed::{Framed, Spots, edited};
use crate::ground::Ground;
use crate::mask::Mask;
use crate::outline;
use crate::photo::Photo;
use crate::plane_mask::{self, FAINT};
use crate::polygon::{Pt, bounds, crossing, simplified};
use crate::remark::Remark;
use crate::seen::Seen;
use crate::shadow::{self, Freed};
use crate::shares::{self, EdgeSd, Measured, Sureness};
use crate::sheet;
use crate::view::{Lens, View};

/// Fewest dots for each mm.
const DOTS_MIN: f64 = 1.5;
/// Edges wider than this cannot be measured, mm (from a tenth to nine tenths of the change).
const BLUR_MAX_MM: f64 = 3.0;
/// From a tenth to nine tenths of the change of a blurred edge, in standard deviations of the blur.
const WIDTH_OF_BLUR: f64 = 2.563;
/// Where an edge lies within its blur, as a share of the blur's standard deviation: the shadow
/// beside it draws it off. Set on rendered photos of known truth, others than those of the test that
/// counts how often the intervals hold.
const BLUR_SHARE: f64 = 0.25;
/// How far an edge may be off in any photo, dots: the interpolation between dots of unequal
/// response (from memory).
const DOT_SHARE: f64 = 0.05;

/// Halves that differ by more, mm, root mean square, are told: what was folded by hand differs by less.
const ASYMMETRIC_MM: f64 = 1.5;
/// Halves that differ by more, mm, root mean square, are not those of a plane: a wing was not seen.
const UNLIKE_MM: f64 = 5.0;
/// The same of a faint one.
const FAINT_UNLIKE_MM: f64 = 1.5;
/// How far off the edge may then lie, mm, standard deviation: half the width of such a shadow.
const FAINT_MM: f64 = 0.6;

/// Borders of pieces are drawn to this, mm.
const PIECE_MM: f64 = 0.6;

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
    /// Change of shade that four fifths of the plane's border reach, L*a*b*; 0 for one drawn by hand.
    pub contrast: f64,
    /// What told the plane from the sheet; `hand` where a hand drew it.
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
    trace_seen(photo, ask, go_on, &mut Seen::default())
}

/// The same; what is found goes to `seen` as well, also where the rest fails.
///
/// # Errors
/// As [`trace`].
pub fn trace_seen(
    photo: &Photo,
    ask: &Ask,
    go_on: &dyn Fn(Stage) -> bool,
    seen: &mut Seen,
) -> Result<Traced, TraceError> {
    let step = |stage| if go_on(stage) { Ok(()) } else { Err(TraceError::Stopped) };
    let mut remarks = Vec::new();
    step(Stage::Sheet)?;
    let ground = Ground::seen(photo, ask, &mut remarks, seen)?;
    let on_cut = ground.on_cut;
    let found = on_ground(photo, ask, ground, remarks, go_on, seen);
    if on_cut && found.as_ref().is_err_and(no_plane_there) {
        let sheet = sheet::guess(photo).map_or_else(Vec::new, |quad| quad.to_vec());
        *seen = Seen { sheet, guessed: true, ..Seen::default() };
        return Err(TraceError::SheetCutOff);
    }
    found
}

/// Whether nothing that looks like a plane was found on what was taken for the sheet.
fn no_plane_there(e: &TraceError) -> bool {
    use TraceError::{Blurred, Crosses, Faint, NoArea, NoPlane, OverTheEdge, TwoPlanes, Unlike};
    matches!(
        e,
        NoPlane
            | Faint
            | OverTheEdge
            | TwoPlanes { .. }
            | Unlike { .. }
            | NoArea
            | Crosses { .. }
            | Blurred { .. }
    )
}

fn on_ground(
    photo: &Photo,
    ask: &Ask,
    ground: Ground,
    remarks: Vec<Remark>,
    go_on: &dyn Fn(Stage) -> bool,
    seen: &mut Seen,
) -> Result<Traced, TraceError> {
    let step = |stage| if go_on(stage) { Ok(()) } else { Err(TraceError::Stopped) };
    let view = &ground.view;

    step(Stage::Plane)?;
    let dots_per_mm = view.dots_per_mm(nalgebra::center(&ground.low, &ground.high));
    if dots_per_mm.is_nan() || dots_per_mm < DOTS_MIN {
        return Err(TraceError::TooSmall {
            dots_per_mm: if dots_per_mm.is_finite() { dots_per_mm } else { 0.0 },
        });
    }
    if let Some(t) = ask.threshold
        && !(t > 0.0 && t < 200.0)
    {
        return Err(TraceError::Meaningless {
            what: "--threshold",
            due: "lie above 0 and below 200: a just visible step is 2, white on black 100",
        });
    }
    if let Some(spots) = &ask.outline {
        let corners = spots.iter().map(|&s| ground.place(s)).collect::<Result<Vec<_>, _>>()?;
        let outline = outline::Traced::by_hand(corners);
        let doubt_mm = vec![0.0; outline.corners.len()];
        let freed = Freed { outline, doubt_mm, taken_mm: 0.0, left_mm: 0.0 };
        step(Stage::Numbers)?;
        let told = Told { rule: "hand", contrast: 0.0, edge_width_mm: 0.0, dots_per_mm };
        return finish(photo, ask, ground, told, freed, remarks, seen);
    }
    let flat = Flat::read(photo, view, ground.low, ground.high, dots_per_mm);
    let mut stands_out = None;
    let threshold = ask.threshold.map(|t| t as f32);
    let look_on = || go_on(Stage::Plane);
    let covered = plane_mask::covered(&flat, threshold, &ground.ignored, &look_on, &mut stands_out);
    let border = |(piece, _): &(Mask, usize)| {
        let mm: Vec<Pt> = piece.border().iter().map(|&p| flat.mm(p)).collect();
        simplified(&mm, PIECE_MM).into_iter().map(|p| view.dot(p)).collect()
    };
    let pieces = stands_out.iter().flat_map(|mask: &Mask| mask.largest(flat.squares(PIECE_MM)));
    seen.pieces = pieces.map(|piece| border(&piece)).collect();
    let covered = covered?;

    step(Stage::Edges)?;
    let outline = outline::trace(photo, view, &flat, &covered.mask, &|| go_on(Stage::Edges))?;
    let edge_width_mm = outline.blur * WIDTH_OF_BLUR;
    if edge_width_mm > BLUR_MAX_MM {
        return Err(TraceError::Blurred { width_mm: edge_width_mm });
    }

    let freed = shadow::freed(photo, view, outline);
    seen.outline = freed.outline.corners.iter().map(|&p| view.dot(p)).collect();

    step(Stage::Numbers)?;
    let by_hand = ask.axis.is_some() || !ask.edits.is_empty();
    let corners = &freed.outline.corners;
    // Both halves have it, or it is a crease of the sheet.
    if !by_hand && beyond::goes_on(photo, view, corners, ground.low, ground.high) > 1 {
        return Err(TraceError::GoesOn);
    }
    let told = Told {
        rule: covered.rule,
        contrast: f64::from(covered.contrast),
        edge_width_mm,
        dots_per_mm,
    };
    finish(photo, ask, ground, told, freed, remarks, seen)
}

/// How the plane was told from the sheet.
struct Told {
    rule: &'static str,
    contrast: f64,
    edge_width_mm: f64,
    dots_per_mm: f64,
}

fn finish(
    photo: &Photo,
    ask: &Ask,
    ground: Ground,
    told: Told,
    freed: Freed,
    mut remarks: Vec<Remark>,
    seen: &mut Seen,
) -> Result<Traced, TraceError> {
    let Told { rule, contrast, edge_width_mm, dots_per_mm } = told;
    let view = &ground.view;
    let place = |spot: Spot| ground.place(spot);
    // Numbers of points are those of the outline as found, from the nose as found or said.
    let spots = Spots {
        nose: ask.nose.map(place).transpose()?,
        axis: match ask.axis {
            Some((a, b)) => Some((place(a)?, place(b)?)),
            None => None,
        },
    };
    let line = match ask.balance.iter().find_map(|b| match b {
        Balanced::Line(a, b) => Some((*a, *b)),
        _ => None,
    }) {
        Some((a, b)) => Some((place(a)?, place(b)?)),
        None => None,
    };
    let Freed { outline, doubt_mm, taken_mm, left_mm } = freed;
    let sd = outline.sd.iter().zip(&doubt_mm);
    let sd = sd.map(|(&own_mm, &shadow_mm)| EdgeSd { own_mm, shadow_mm }).collect();
    let mut found = Framed::of(outline.corners, sd, &spots, line, &mut remarks)?;
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
        found = Framed::of(corners, sd, &spots, line, &mut remarks)?;
    }
    seen.outline = found.on_sheet.iter().map(|&p| view.dot(p)).collect();
    // Where the shade hardly changes, the border of a shadow may have been followed for the edge.
    let faint = ask.outline.is_none() && contrast < f64::from(FAINT);
    let by_hand = ask.axis.is_some() || !ask.edits.is_empty() || ask.outline.is_some();
    if let Some((a, b)) = crossing(&found.on_sheet) {
        let crosses = TraceError::Crosses { a: a + 1, b: b + 1 };
        return Err(if faint && !by_hand { TraceError::Faint } else { crosses });
    }
    let frame = |p: Pt| found.frame(p, ask.underside);
    let most = if faint { FAINT_UNLIKE_MM } else { UNLIKE_MM };
    if found.axis.rms > most && !by_hand {
        return Err(TraceError::Unlike { asymmetry_mm: found.axis.rms });
    }
    let corners: Vec<Pt> = found.on_sheet.iter().map(|&p| frame(p)).collect();
    let blur = edge_width_mm / WIDTH_OF_BLUR;
    let shadow_mm = if faint { FAINT_MM } else { 0.0 };
    if faint {
        remarks.push(Remark::new(
            "faint",
            "The plane has nearly the shade of the paper, so the border of its shadow may have been \
             taken for its edge. Look at the picture; a sheet of another colour is better.",
        ));
    }
    remark_on_shadow(taken_mm, left_mm, &mut remarks);
    let sure = Sureness {
        edges: found.sd.clone(),
        together_mm: (BLUR_SHARE * blur).hypot(DOT_SHARE / dots_per_mm).hypot(shadow_mm),
        scale: ground.scale_sd,
    };
    let (low, high) = bounds(&corners);
    let [nose_sd, _, length_sd, span_sd] = shares::ends(&corners, &sure);
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
    let mut balance = match measures.is_empty() {
        true => None,
        false => Some(balance::locate(&measures, true)?),
    };
    if let Some(b) = &balance {
        if !(low.y < b.at.y && b.at.y < high.y) {
            return Err(TraceError::BalanceOff { behind_mm: b.at.y, length_mm: high.y - low.y });
        }
        remark_on_balance(b, &mut remarks);
    }
    // Lines in the photo cut the wing where they cut it, wherever the nose lies; what was measured from
    // the nose by hand does not.
    let in_photo = |b: &Balanced| matches!(b, Balanced::Line(..) | Balanced::Plumb(..));
    let from_nose = if ask.balance.iter().all(in_photo) { 0.0 } else { nose_sd };
    let ahead = balance.as_ref().map(|b| {
        let at = Measured { value: b.at.y, sd: b.sd[1].hypot(from_nose) };
        shares::ahead(&corners, &sure, at)
    });
    if let Some(b) = &mut balance
        && ask.balance.iter().any(in_photo)
    {
        b.sd[1] = b.sd[1].hypot(nose_sd);
    }
    if edge_width_mm > 0.5 * BLUR_MAX_MM {
        let text = format!("Edges are {edge_width_mm:.1} mm wide: the photo is a little blurred.");
        remarks.push(Remark { code: "blurred", text });
    }
    if outline.seen < 0.8 && ask.outline.is_none() {
        remarks.push(Remark {
            code: "edges-unseen",
            text: format!(
                "{:.0} % of the outline could not be seen sharply; look at it in the picture and move \
                 points where it is off.",
                100.0 * (1.0 - outline.seen)
            ),
        });
    }
    let (mut area, mut ahead) = (shares::area(&corners, &sure), ahead);
    let mut span_sd = span_sd;
    if found.axis.rms > ASYMMETRIC_MM {
        if !by_hand {
            // Something on one half may hide it or pass for it: the truth lies anywhere between both
            // halves, a flat distribution of standard deviation its width over the root of three.
            let behind = balance.as_ref().map_or(0.0, |b| b.at.y);
            let shares::Unlike { area: apart, reach, share } = shares::unlike(&corners, behind);
            area.sd = area.sd.hypot(apart / 3f64.sqrt());
            span_sd = span_sd.hypot(reach / 3f64.sqrt());
            if let Some(ahead) = &mut ahead {
                ahead.sd = ahead.sd.hypot(share / 3f64.sqrt());
            }
        }
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
        contrast,
        rule,
        seen: outline.seen,
        length: Measured { value: high.y - low.y, sd: length_sd },
        span: Measured { value: high.x - low.x, sd: span_sd },
        area,
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

fn remark_on_shadow(taken_mm: f64, left_mm: f64, remarks: &mut Vec<Remark>) {
    if taken_mm > 0.0 {
        remarks.push(Remark {
            code: "shadow-taken-off",
            text: format!(
                "A strip up to {taken_mm:.1} mm wide beside the plane has the colour of the paper, only \
                 darker, and lies on one side of it: it was taken for shadow and left out. Look at the \
                 picture."
            ),
        });
    }
    if left_mm > 0.0 {
        remarks.push(Remark {
            code: "shadow-or-plane",
            text: format!(
                "A strip up to {left_mm:.1} mm wide along the plane may be its shadow or a part of it: \
                 the numbers leave room for both. Look at the picture; a sheet of another colour, or \
                 light from above, tells."
            ),
        });
    }
}

fn remark_on_balance(b: &Located, remarks: &mut Vec<Remark>) {
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
                "The balance point lies {:.1} mm to the {side} of the line of symmetry, as measured; a \
                 line that was measured wrongly looks so too.",
                b.at.x.abs()
            ),
        });
    }
}
