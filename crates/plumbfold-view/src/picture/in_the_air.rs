//! Pictures of the plane in the air: what the drawings need, taken from an analysis.

use nalgebra::Vector3;
use plumbfold::flight::envelope;
use plumbfold::flight::rigid::FlightError;
use plumbfold::flight::throw::Flight;
use plumbfold::pipeline::Analysed;
use plumbfold::plane::airframe::Airframe;
use plumbfold::verdict::bands::Band;
use plumbfold::verdict::reasons::Reasons;
use plumbfold::verdict::uncertainty::{Perturbation, Uncertainty};
use plumbfold::verdict::{Finding, Path, judge};
use plumbfold_draw::bands::{self, BandRow};
use plumbfold_draw::change::{self, Side};
use plumbfold_draw::curves::{self, Curves, PolarPoint};
use plumbfold_draw::path::{self, Remark, ThrowPicture};
use plumbfold_draw::style::Look;

use crate::flight::Exactly;

/// The flight with the place where its behaviour shows.
pub fn throw(look: &Look, a: &Analysed) -> String {
    let (finding, plane) = (&a.verdict.finding, &a.balanced);
    let said = Exactly::new(finding).said();
    let says = said.trim_end_matches('.');
    flight(look, &plane.airframe, plane.mass.cg_m, &a.verdict.flight, finding, says, None)
}

/// A flight from the side and from above, in a frame of so many mm where one is given; the balance
/// point in the datum frame, m.
pub fn flight(
    look: &Look,
    airframe: &Airframe,
    cg: Vector3<f64>,
    flight: &Flight,
    finding: &Finding,
    says: &str,
    frame: Option<[f64; 2]>,
) -> String {
    let remarks = [Remark { t_s: finding.at_s, says: finding.behaviour.words() }];
    let (hall, flight) = (&flight.hall, &flight.samples);
    let picture = ThrowPicture { flight, airframe, cg, hall, remarks: &remarks, says, frame };
    path::throw(look, &airframe.name, &picture)
}

/// A plane before and after a change, `says` telling which.
pub fn before_after(look: &Look, says: &str, before: &Analysed, after: &Analysed) -> String {
    change::before_after(look, &after.balanced.airframe.name, says, side(before), side(after))
}

fn side(a: &Analysed) -> Side<'_> {
    Side {
        planform: &a.balanced.planform,
        cg_behind_nose_m: a.balanced.mass.behind_nose_m(),
        neutral_behind_nose_m: a.aircraft.aero.neutral_point_behind_nose_m,
        flight: &a.verdict.flight.samples,
        says: a.behaviour().words(),
    }
}

/// Forces against incidence.
pub fn curves(look: &Look, a: &Analysed) -> String {
    let point = |p: &plumbfold::air::PolarPoint| PolarPoint {
        alpha_rad: p.alpha_rad,
        cl: p.cl,
        cd: p.cd,
        cp_behind_nose_m: p.cp_behind_nose_m.unwrap_or(f64::NAN),
    };
    let polar: Vec<PolarPoint> = a.aircraft.aero.polar.iter().map(point).collect();
    let upright = a.glides.iter().filter(|g| !g.trim.inverted);
    let trims: Vec<f64> = upright.map(|g| g.trim.alpha_rad).collect();
    let curves = Curves {
        polar: &polar,
        cg_behind_nose_m: a.balanced.mass.behind_nose_m(),
        trims: &trims,
        length_m: a.balanced.airframe.length_m(),
    };
    curves::curves(look, &a.balanced.airframe.name, &curves)
}

/// What changes with balance, bend and speed, and how sure each is.
pub fn bands(look: &Look, a: &Analysed, reasons: &Reasons) -> String {
    const MM: f64 = 1e-3;
    let (v, speed, unsure) = (reasons, a.throw.speed_m_s, Uncertainty::CAREFUL);
    let row = |band: Option<Band>, now: f64, sigma: f64, reach: f64, size: f64| {
        let bands = match band {
            Some(band) => BandRow::pieces(&band, now, reach, size),
            // Without a gliding band there is one piece: what it does now.
            None => vec![([now - reach, now + reach], a.behaviour())],
        };
        BandRow { axis: "", unit: "mm", bands, now, sigma, neutral: None, balance: false }
    };
    let balance_sigma = unsure.balance_against_pressure_m() / MM;
    let rows = [
        BandRow {
            axis: "balance point behind the nose, mm",
            balance: true,
            neutral: Some(a.aircraft.aero.neutral_point_behind_nose_m / MM),
            ..row(v.balance, a.balanced.mass.behind_nose_m() / MM, balance_sigma, 12.0, MM)
        },
        BandRow {
            axis: "trailing edges bent up from where they are, mm",
            ..row(v.bend, 0.0, unsure.warp_m / MM, 1.0, MM)
        },
        BandRow {
            axis: "speed of the throw, m/s",
            unit: "m/s",
            ..row(v.speed, speed, unsure.speed * speed, 1.5, 1.0)
        },
    ];
    bands::bands(look, &a.balanced.airframe.name, &v.cause, &rows)
}

/// Speeds and elevations of the map.
const SPEEDS: usize = 16;
const ELEVATIONS: usize = 13;

/// Which throw does what.
///
/// # Errors
/// A throw outside what can be flown.
pub fn envelope(look: &Look, a: &Analysed) -> Result<String, FlightError> {
    // From half the meant speed to twice it, and from 30 degrees down to 60 up.
    let v = a.throw.speed_m_s.max(1.0);
    let speeds: Vec<f64> = even(0.5 * v, 2.0 * v, SPEEDS);
    let elevations: Vec<f64> =
        even(-30.0, 60.0, ELEVATIONS).iter().map(|d| d.to_radians()).collect();
    let body = a.aircraft.perturbed(&Perturbation::NONE)?;
    let behaviour = |f: &_| judge(&Path::new(f)).behaviour;
    let axes = (&speeds[..], &elevations[..]);
    let cells = envelope::envelope(&body, &a.throw, &Default::default(), axes, behaviour);
    let meant = [a.throw.speed_m_s, a.throw.elevation_rad];
    let name = &a.balanced.airframe.name;
    Ok(plumbfold_draw::envelope::envelope(look, name, &cells?, Some(meant)))
}

fn even(first: f64, last: f64, n: usize) -> Vec<f64> {
    (0..n).map(|i| first + (last - first) * i as f64 / (n - 1) as f64).collect()
}
