//! The path of a flight as the behaviours look at it.

use std::f64::consts::{PI, TAU};

use crate::flight::throw::{End, Flight};

/// Horizontal speed below which a track has no direction of its own, m/s. A walking pace would be
/// ten times that.
const TRACK_SPEED_M_S: f64 = 0.15;

/// One place on a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathPoint {
    /// Time since release, s.
    pub t_s: f64,
    /// Height above the floor, m.
    pub height_m: f64,
    /// Distance flown along the path, m.
    pub flown_m: f64,
    /// Speed through the air, m/s.
    pub speed_m_s: f64,
    /// Slope of the path, rad, climbing positive.
    pub slope_rad: f64,
    /// Incidence in the plane of symmetry, rad, counted on through whole turns.
    pub incidence_rad: f64,
    /// The same without whole turns and sign: how far from the nose the air comes as seen from the
    /// side, rad, 0 to pi.
    pub off_level_rad: f64,
    /// Angle between the nose and the motion in any direction, rad, 0 to pi.
    pub off_nose_rad: f64,
    /// Tilt of the wing line, right wing down positive, rad, within a right angle.
    pub bank_rad: f64,
    /// Track over the floor against that of the throw, right positive, counted on, rad.
    pub turned_rad: f64,
}

/// A path.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Places at equal times, and the end. At least two.
    pub points: Vec<PathPoint>,
    /// What ended it.
    pub end: End,
    /// Greatest height above the hand, m.
    pub climb_m: f64,
    /// Distance over the floor, m.
    pub distance_m: f64,
}

impl Path {
    /// The path of a flight.
    pub fn new(flight: &Flight) -> Self {
        let mut points: Vec<PathPoint> = Vec::with_capacity(flight.samples.len());
        let mut track = None;
        let mut last_over_floor = 0.0;
        for s in &flight.samples {
            let (m, room) = (&s.motion, s.room_velocity());
            let before = points.last().copied();
            let (speed, over_floor) = (m.velocity.norm(), room.norm());
            let incidence = if speed > 0.0 { m.velocity.z.atan2(m.velocity.x) } else { 0.0 };
            let level = room.x.hypot(room.y);
            let heading = (-room.y).atan2(room.x);
            let turned = if level > TRACK_SPEED_M_S {
                let first = *track.get_or_insert(heading);
                // A plane that slides back along its own track has not turned, so the track counts
                // as a line without a direction.
                onward(before.map_or(0.0, |b| b.turned_rad), heading - first, PI)
            } else {
                before.map_or(0.0, |b| b.turned_rad)
            };
            let lean = (m.attitude * nalgebra::Vector3::y()).z;
            points.push(PathPoint {
                t_s: s.t_s,
                height_m: m.position.z,
                flown_m: before.map_or(0.0, |b| {
                    b.flown_m + (last_over_floor + over_floor) / 2.0 * (s.t_s - b.t_s)
                }),
                speed_m_s: speed,
                slope_rad: room.z.atan2(level),
                incidence_rad: before
                    .map_or(incidence, |b| onward(b.incidence_rad, incidence, TAU)),
                off_level_rad: incidence.abs(),
                off_nose_rad: m.velocity.yz().norm().atan2(m.velocity.x),
                bank_rad: (-lean).clamp(-1.0, 1.0).asin(),
                turned_rad: turned,
            });
            last_over_floor = over_floor;
        }
        Self {
            points,
            end: flight.end,
            climb_m: flight.max_height_m - flight.release().motion.position.z,
            distance_m: flight.distance_m,
        }
    }

    /// Time aloft, s.
    pub fn time_s(&self) -> f64 {
        self.last().t_s
    }

    /// The release.
    pub fn first(&self) -> &PathPoint {
        self.points.first().expect("a path has a release and an end")
    }

    /// The end.
    pub fn last(&self) -> &PathPoint {
        self.points.last().expect("a path has a release and an end")
    }

    /// The highest place.
    pub fn top(&self) -> &PathPoint {
        self.points
            .iter()
            .max_by(|a, b| a.height_m.total_cmp(&b.height_m))
            .expect("a path has a release and an end")
    }

    /// Share of the time from `from_s` on during which something holds.
    pub fn share_of_time(&self, from_s: f64, holds: impl Fn(&PathPoint) -> bool) -> f64 {
        let (mut all, mut held) = (0.0, 0.0);
        for w in self.points.windows(2).filter(|w| w[1].t_s > from_s) {
            let dt = w[1].t_s - w[0].t_s.max(from_s);
            all += dt;
            held += if holds(&w[1]) { dt } else { 0.0 };
        }
        if all > 0.0 { held / all } else { 0.0 }
    }

    /// First spell of at least `least_s` during which something holds: its first place.
    pub fn first_spell(
        &self,
        least_s: f64,
        holds: impl Fn(&PathPoint) -> bool,
    ) -> Option<&PathPoint> {
        let mut start: Option<&PathPoint> = None;
        for p in &self.points {
            match (holds(p), start) {
                (true, None) => start = Some(p),
                (true, Some(s)) if p.t_s - s.t_s >= least_s => return Some(s),
                (true, _) => {}
                (false, _) => start = None,
            }
        }
        None
    }

    /// Mean slope below level over the last share of the time, rad: height lost over ground
    /// covered along the path.
    pub fn descent_rad(&self, last_share: f64) -> f64 {
        let from = self.time_s() * (1.0 - last_share);
        let (mut down, mut along) = (0.0, 0.0);
        for w in self.points.windows(2).filter(|w| w[1].t_s > from) {
            let step = w[1].flown_m - w[0].flown_m;
            let slope = (w[0].slope_rad + w[1].slope_rad) / 2.0;
            down -= step * slope.sin();
            along += step * slope.cos();
        }
        down.atan2(along.max(f64::MIN_POSITIVE))
    }

    /// Places where the slope turns by more than `least_rad` against the swing before: the turning
    /// points of an undulating path, each with its slope, the release first.
    pub fn swings(&self, least_rad: f64) -> Vec<(f64, f64)> {
        let first = self.first();
        let mut out = vec![(first.t_s, first.slope_rad)];
        let (mut low, mut high) = (out[0], out[0]);
        // +1 rising, -1 falling, 0 not yet known.
        let mut rising = 0;
        for p in &self.points {
            let here = (p.t_s, p.slope_rad);
            if here.1 > high.1 {
                high = here;
            }
            if here.1 < low.1 {
                low = here;
            }
            if rising >= 0 && high.1 - here.1 > least_rad {
                if rising > 0 || high.0 > first.t_s {
                    out.push(high);
                }
                (rising, low, high) = (-1, here, here);
            } else if rising <= 0 && here.1 - low.1 > least_rad {
                if rising < 0 || low.0 > first.t_s {
                    out.push(low);
                }
                (rising, low, high) = (1, here, here);
            }
        }
        out
    }
}

/// The angle equal to `angle` but for whole turns of `turn` that is nearest to `before`.
fn onward(before: f64, angle: f64, turn: f64) -> f64 {
    before + (angle - before + turn / 2.0).rem_euclid(turn) - turn / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_are_counted_on() {
        assert!((onward(3.1, -3.1, TAU) - (TAU - 3.1)).abs() < 1e-12);
        assert!((onward(7.0, 0.8, TAU) - (TAU + 0.8)).abs() < 1e-12);
        assert!((onward(0.1, 0.2, TAU) - 0.2).abs() < 1e-12);
        assert!((onward(0.1, PI, PI)).abs() < 1e-12, "back along the same line");
    }
}
