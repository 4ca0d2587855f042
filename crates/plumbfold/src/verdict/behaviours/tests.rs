//! Each line a behaviour is told by, from both sides.

use super::super::path::PathPoint;
use super::super::{Behaviour, Path};
use super::judge;
use crate::flight::throw::End;

/// Time of a path, s.
const TIME_S: f64 = 4.0;

/// A sound glide with something different about it at each moment.
fn path(change: impl Fn(f64, &mut PathPoint)) -> Path {
    const EVERY_S: f64 = 0.02;
    let point = |k: i32| {
        let t_s = f64::from(k) * EVERY_S;
        let mut point = PathPoint {
            t_s,
            height_m: 2.0 - 0.4 * t_s,
            flown_m: 4.0 * t_s,
            speed_m_s: 4.0,
            slope_rad: -0.1,
            incidence_rad: 0.1,
            off_level_rad: f64::NAN,
            off_nose_rad: 0.1,
            bank_rad: 0.0,
            turned_rad: 0.0,
        };
        change(t_s, &mut point);
        // The air comes from ahead, above or below, unless it is said to come from the side.
        if point.off_level_rad.is_nan() {
            point.off_level_rad = point.off_nose_rad;
        }
        point
    };
    let points = (0..=(TIME_S / EVERY_S) as i32).map(point).collect();
    Path { points, end: End::Ground, climb_m: 0.0, distance_m: 16.0 }
}

fn seen(change: impl Fn(f64, &mut PathPoint)) -> Behaviour {
    judge(&path(change)).behaviour
}

const fn deg(degrees: f64) -> f64 {
    degrees.to_radians()
}

#[test]
fn air_from_the_side_is_no_stall() {
    let slips = |off_level_rad| {
        seen(|t, p| {
            if t < 1.0 {
                (p.off_nose_rad, p.off_level_rad) = (deg(40.0), off_level_rad);
            }
        })
    };
    assert_eq!([slips(0.1), slips(deg(40.0))], [Behaviour::Glides, Behaviour::Stalls]);
}

#[test]
fn nothing_the_matter_is_a_glide() {
    assert_eq!(seen(|_, _| {}), Behaviour::Glides);
}

#[test]
fn tumbling_is_once_round() {
    let round = |degrees| {
        seen(|t, p| {
            p.incidence_rad = deg(degrees) * t / TIME_S;
            p.off_nose_rad = 0.1;
        })
    };
    assert_eq!([round(359.0), round(361.0)], [Behaviour::Glides, Behaviour::Tumbles]);
}

#[test]
fn mushing_down_nose_up_is_dropping() {
    let down = |slope, off| seen(|_, p| (p.slope_rad, p.off_nose_rad) = (-deg(slope), deg(off)));
    assert_eq!([down(24.0, 25.0), down(26.0, 25.0)], [Behaviour::Glides, Behaviour::Leaf]);
    assert_eq!(down(26.0, 15.0), Behaviour::Glides, "steep, but it flies");
}

#[test]
fn a_leaf_meets_the_air_from_aside_for_more_than_half_of_its_second_half() {
    let off = |degrees, from: f64| {
        seen(|t, p| {
            if t > from {
                p.off_nose_rad = deg(degrees)
            }
        })
    };
    assert_eq!(off(46.0, 2.9), Behaviour::Leaf);
    assert_eq!(off(46.0, 3.1), Behaviour::Stalls, "too late");
    assert_eq!(off(44.0, 0.1), Behaviour::Stalls, "not far enough");
}

#[test]
fn spirals_turn_right_round_or_bank_steeply_while_turning() {
    let turned = |turn, bank| {
        seen(|t, p| {
            p.turned_rad = deg(turn) * t / TIME_S;
            p.bank_rad = deg(bank) * t / TIME_S;
        })
    };
    assert_eq!([turned(179.0, 0.0), turned(181.0, 0.0)], [Behaviour::Banks, Behaviour::Spirals]);
    assert_eq!([turned(40.0, 59.0), turned(40.0, 61.0)], [Behaviour::Banks, Behaviour::Spirals]);
    assert_eq!(turned(29.0, 61.0), Behaviour::Glides, "banked but not turning");
    assert_eq!([turned(-29.0, 0.0), turned(-31.0, 0.0)], [Behaviour::Glides, Behaviour::Banks]);
}

#[test]
fn a_stall_is_a_high_incidence_held_for_longer_than_a_wobble() {
    let off = |degrees, for_s: f64| {
        seen(|t, p| {
            if (1.0..1.0 + for_s).contains(&t) {
                p.off_nose_rad = deg(degrees)
            }
        })
    };
    assert_eq!([off(24.0, 0.5), off(26.0, 0.5)], [Behaviour::Glides, Behaviour::Stalls]);
    assert_eq!([off(26.0, 0.07), off(26.0, 0.15)], [Behaviour::Glides, Behaviour::Stalls]);
}

#[test]
fn or_a_climb_that_ends_slow_and_falls_steeply() {
    let swoop = |climb_m, left: f64, fall| {
        let mut path = path(|t, p| {
            p.height_m = 2.0 - (t - 1.0).abs();
            p.speed_m_s = if (0.5..1.5).contains(&t) { 4.0 * left } else { 4.0 };
            if (1.5..1.7).contains(&t) {
                p.slope_rad = -deg(fall);
            }
        });
        path.climb_m = climb_m;
        judge(&path).behaviour
    };
    assert_eq!(swoop(0.16, 0.62, 36.0), Behaviour::Stalls);
    assert_eq!(swoop(0.14, 0.62, 36.0), Behaviour::Glides, "hardly climbed");
    assert_eq!(swoop(0.16, 0.64, 36.0), Behaviour::Glides, "kept its speed");
    assert_eq!(swoop(0.16, 0.62, 34.0), Behaviour::Glides, "came down gently");
}

/// Slopes run evenly from one turning point to the next, in degrees.
fn undulating(slopes: &[f64]) -> Behaviour {
    seen(|t, p| {
        let at = t / TIME_S * (slopes.len() - 1) as f64;
        let k = (at as usize).min(slopes.len() - 2);
        p.slope_rad = deg(slopes[k] + (slopes[k + 1] - slopes[k]) * (at - k as f64));
    })
}

#[test]
fn porpoising_swings_far_often_and_without_settling() {
    let two = |first: f64, second: f64| {
        let (low, high) = (6.0 - first, 6.0 - first + second);
        undulating(&[0.0, 6.0, low, high, high - 12.0])
    };
    assert_eq!([two(9.5, 9.5), two(10.5, 10.5)], [Behaviour::Glides, Behaviour::Porpoises]);
    assert_eq!([two(14.0, 10.9), two(14.0, 11.5)], [Behaviour::Glides, Behaviour::Porpoises]);
    assert_eq!(undulating(&[0.0, 6.0, -8.0, 6.0]), Behaviour::Glides, "one swing is none");
}

#[test]
fn a_dive_ends_steeper_than_1_7_to_one() {
    let ends = |degrees, from: f64| {
        seen(|t, p| {
            if t > from {
                p.slope_rad = -deg(degrees)
            }
        })
    };
    assert_eq!([ends(30.0, 2.9), ends(31.0, 2.9)], [Behaviour::Glides, Behaviour::Dives]);
    assert_eq!(ends(31.0, 3.2), Behaviour::Glides, "not for the whole of the last quarter");
}
