//! Speed and glide ratio of rendered flights come back, and their intervals hold what they say.

use plumbfold_film::film::{Film, FilmError};
use plumbfold_film::follow::{Click, Followed, follow};
use plumbfold_film::ground::{Ask, Ground, Lie, Marks, Nearer};
use plumbfold_film::path::{in_picture, path};
use plumbfold_stats::track::{Track, analyse};
use plumbfold_trace::polygon::Pt;

use crate::render::{Dice, Flight, Shot, as_film};

const SHOT: Shot = Shot {
    size: [640, 360],
    rate_hz: 30.0,
    tilt_deg: 0.0,
    roll_deg: 0.0,
    shake: 0.0,
    twist_deg: 0.0,
    off: [0.0; 2],
    busy: 0.0,
    noise: 2.0,
    shutter: 0.3,
    quality: 80,
    click: 0.5,
    seed: 1,
};
const FLIGHT: Flight = Flight { glide: [2.9, 0.75], swing: [0.12, 1.3, 0.6], seconds: 2.0 };

fn measured(followed: &Followed, ask: &Ask) -> Track {
    let ground = Ground::new(ask).expect("marks");
    let (points, _) = path(&followed.seen, &ground, 1.0);
    let doubted: Vec<_> =
        Ground::doubted(ask).iter().map(|g| path(&followed.seen, g, 1.0).0).collect();
    analyse(points).expect("a path").doubted(&doubted)
}

/// Tilted to 20 degrees, 30 and 60 pictures a second, smeared, noisy, before a busy wall, compressed;
/// one click in the middle of the film.
#[test]
fn speed_comes_back_within_3_percent_and_the_glide_ratio_within_5() {
    let shots = [
        Shot { rate_hz: 60.0, ..SHOT },
        Shot { tilt_deg: 20.0, roll_deg: 2.0, seed: 3, ..SHOT },
        Shot { noise: 6.0, shutter: 0.6, seed: 5, ..SHOT },
        Shot { busy: 90.0, quality: 30, seed: 8, ..SHOT },
        Shot {
            busy: 80.0,
            noise: 4.0,
            shutter: 0.5,
            quality: 50,
            tilt_deg: 20.0,
            roll_deg: -1.5,
            seed: 9,
            ..SHOT
        },
    ];
    let (speed, climb) = (FLIGHT.release()[0], FLIGHT.release()[1]);
    let ratio = FLIGHT.glide[0] / FLIGHT.glide[1];
    for shot in shots {
        let (times, grey) = shot.film(&FLIGHT);
        let click = shot.click(&FLIGHT, times.len() / 2);
        let followed = follow(&as_film(&shot, &times, &grey), &[click]).expect("a plane");
        assert!(followed.seen.len() + 3 > times.len(), "{}", followed.seen.len());
        let track = measured(&followed, &shot.wall_marks());
        let [v, r] = [track.speed_m_s.value / speed, track.glide.ratio.value / ratio];
        assert!((v - 1.0).abs() < 0.03, "speed {v}");
        assert!((r - 1.0).abs() < 0.05, "ratio {r}");
        assert!((track.elevation_rad.value - climb).abs() < 3.0 * track.elevation_rad.sd);
        let pitch = track.pitch_rad.expect("it shows where it points").value.to_degrees();
        assert!((-15.0..-6.0).contains(&pitch), "pitch {pitch}");
        let swing = track.swing.expect("it swings");
        assert!((swing.period_s.value - 1.3).abs() < 0.1, "{swing:?}");
    }
}

/// A hand that holds the phone shakes by several dots and drifts: what stands still is where it was in the
/// picture that was clicked, so marks and path hang together.
#[test]
fn a_hand_that_shakes_and_turns_the_phone_is_taken_out() {
    let shot =
        Shot { size: [480, 270], busy: 60.0, shake: 3.0, twist_deg: 0.5, noise: 3.0, ..SHOT };
    let (times, grey) = shot.film(&FLIGHT);
    let clicked = times.len() / 2;
    let followed =
        follow(&as_film(&shot, &times, &grey), &[shot.click(&FLIGHT, clicked)]).expect("a plane");
    assert!(followed.seen.len() + 6 > times.len(), "{} of {}", followed.seen.len(), times.len());
    let reference = shot.held(times[clicked]);
    for (moved, t) in followed.moved.iter().zip(&times) {
        for corner in [[-2.0, 0.8, 0.5], [2.0, 0.8, 0.5], [2.0, 0.8, 2.0]] {
            let off = (moved * reference.dot(corner) - shot.held(*t).dot(corner)).norm();
            assert!(off < 0.3, "{off} at {t}");
        }
    }
    assert!(followed.moved_dots < 1.0 && followed.adrift == 0, "{}", followed.moved_dots);
    // Marks as the picture that was clicked shows them.
    let track = measured(&followed, &reference.wall_marks());
    let [v, r] = [
        track.speed_m_s.value / FLIGHT.release()[0],
        track.glide.ratio.value / (FLIGHT.glide[0] / FLIGHT.glide[1]),
    ];
    assert!((v - 1.0).abs() < 0.03, "speed {v}");
    assert!((r - 1.0).abs() < 0.05, "ratio {r}");
}

/// One film measured by many people, each clicking a little otherwise: 95 % intervals hold the truth in
/// at least nine of ten.
#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let shot = Shot { busy: 40.0, noise: 3.0, tilt_deg: 8.0, ..SHOT };
    let (times, grey) = shot.film(&FLIGHT);
    let followed =
        follow(&as_film(&shot, &times, &grey), &[shot.click(&FLIGHT, 20)]).expect("a plane");
    let truth = [FLIGHT.release()[0], FLIGHT.glide[0] / FLIGHT.glide[1]];
    let mut outside = [0; 3];
    for seed in 0..40 {
        let shot = Shot { seed, click: 1.0, ..shot };
        for (k, ask) in [shot.wall_marks(), shot.floor_marks()].iter().enumerate() {
            let track = measured(&followed, ask);
            for (known, truth) in [track.speed_m_s, track.glide.ratio].iter().zip(truth) {
                outside[k] += usize::from((known.value - truth).abs() > 1.96 * known.sd);
            }
        }
        // Level, without marks: the camera is not quite so.
        let mut dice = Dice(seed);
        let [tilt_deg, roll_deg] = [2.0 * dice.normal(), dice.normal()];
        let stood = Shot { tilt_deg, roll_deg, ..shot };
        let level = |s: &plumbfold_film::follow::Seen| {
            let [x, z, _] = FLIGHT.at(s.t_s);
            plumbfold_film::follow::Seen { at: stood.place(x, z), ..*s }
        };
        let seen = Followed { seen: followed.seen.iter().map(level).collect(), ..followed.clone() };
        let track = measured(&seen, &stood.own_length(&FLIGHT, 1.0));
        for (known, truth) in [track.speed_m_s, track.glide.ratio].iter().zip(truth) {
            outside[2] += usize::from((known.value - truth).abs() > 1.96 * known.sd);
        }
    }
    assert!(outside.iter().all(|&o| o <= 8), "{outside:?} of 80 each lie outside");
}

#[test]
fn a_path_in_metres_lies_in_the_picture_where_it_was_seen() {
    let shot = Shot { tilt_deg: 12.0, roll_deg: 3.0, click: 0.0, ..SHOT };
    for ask in [shot.wall_marks(), shot.floor_marks(), shot.own_length(&FLIGHT, 0.5)] {
        let ground = Ground::new(&ask).expect("marks");
        let seen = |k: usize| plumbfold_film::follow::Seen {
            picture: k,
            t_s: k as f64 / 30.0,
            at: shot.click(&FLIGHT, k).at,
            by_hand: false,
            nose: None,
        };
        let seen: Vec<_> = (0..40).map(seen).collect();
        let (points, begun) = path(&seen, &ground, 2.0);
        assert!(points[0].t_s == 0.0 && (points[30].t_s - 0.5).abs() < 1e-12);
        let line: Vec<[f64; 2]> = points.iter().map(|p| [p.x_m, p.z_m]).collect();
        for (back, seen) in in_picture(&line, &begun, &ground).iter().zip(&seen) {
            assert!((back - seen.at).norm() < 1e-6);
        }
    }
}

#[test]
fn a_click_mends_what_is_lost_and_nothing_is_made_up() {
    let (times, mut grey) = SHOT.film(&FLIGHT);
    let [w, h] = SHOT.size;
    // Behind a pillar for eight pictures.
    let hidden = 26..34;
    let still = grey[..w * h].to_vec();
    for k in hidden.clone() {
        grey[k * w * h..(k + 1) * w * h].copy_from_slice(&still);
    }
    let film = as_film(&SHOT, &times, &grey);
    let one = follow(&film, &[SHOT.click(&FLIGHT, 10)]).expect("a plane");
    assert!(one.seen.iter().all(|s| s.picture < 26), "{:?}", one.seen.last());
    let two = follow(&film, &[SHOT.click(&FLIGHT, 10), SHOT.click(&FLIGHT, 50)]).expect("a plane");
    assert!(
        two.seen.iter().any(|s| s.picture > 50)
            && two.seen.iter().all(|s| !hidden.contains(&s.picture))
    );
    // A click where it is not seen stands for it.
    let said = SHOT.click(&FLIGHT, 30);
    let three = follow(&film, &[SHOT.click(&FLIGHT, 10), said]).expect("a plane");
    let there = three.seen.iter().find(|s| s.picture == 30).expect("the click");
    assert!(there.by_hand && there.at == said.at);
}

#[test]
fn the_hand_before_the_throw_and_the_floor_after_it_are_no_flight() {
    let (times, grey) = SHOT.film(&FLIGHT);
    let size = SHOT.size[0] * SHOT.size[1];
    let stands = |at: usize| grey[at * size..(at + 1) * size].repeat(8);
    let held = [stands(0), grey.clone(), stands(times.len() - 1)].concat();
    let held_times: Vec<f64> = (0..times.len() + 16).map(|k| k as f64 / SHOT.rate_hz).collect();
    let mut click = SHOT.click(&FLIGHT, 30);
    click.picture += 8;
    let followed = follow(&as_film(&SHOT, &held_times, &held), &[click]).expect("a plane");
    let ends = [followed.seen[0].picture, followed.seen[followed.seen.len() - 1].picture];
    assert!(ends[0] >= 7 && ends[1] <= times.len() + 9, "{ends:?}");
}

#[test]
fn what_is_no_film_is_refused_with_a_reason() {
    let (times, grey) = Shot { size: [160, 90], ..SHOT }.film(&Flight { seconds: 0.6, ..FLIGHT });
    let film = Film::new([160, 90], &times, &grey).expect("a film");
    let at = |picture, x, y| [Click { picture, at: Pt::new(x, y) }];
    assert!(matches!(follow(&film, &at(3, 80.0, 85.0)), Err(FilmError::NothingThere { .. })));
    assert!(follow(&film, &at(99, 1.0, 1.0)).is_err() && follow(&film, &[]).is_err());
    assert!(follow(&film, &at(3, f64::NAN, 1.0)).is_err());
    for (size, times, bytes) in [
        ([160, 90], &times[..17], &grey[..]),
        ([5, 90], &times[..], &grey[..]),
        ([160, 90], &times[..2], &grey[..2 * 160 * 90]),
        ([160, 90], &[f64::NAN; 18][..], &grey[..]),
        ([160, 90], &[1.0; 18][..], &grey[..]),
        ([usize::MAX, 90], &times[..], &grey[..]),
    ] {
        assert!(Film::new(size, times, bytes).is_err());
    }
    // Nothing but noise.
    let mut dice = Dice(1);
    let noise: Vec<u8> = (0..18 * 160 * 90).map(|_| (128.0 + 20.0 * dice.normal()) as u8).collect();
    let film = Film::new([160, 90], &times, &noise).expect("a film");
    assert!(follow(&film, &at(3, 80.0, 45.0)).is_err());
}

#[test]
fn marks_that_fix_no_scale_are_refused_with_a_reason() {
    let asked = |marks: Marks, nearer: Nearer| {
        let ask = Ask { size: [640.0, 360.0], marks, nearer, click_dots: 1.0 };
        Ground::new(&ask).err().map(|e| e.to_string()).unwrap_or_default()
    };
    let p = Pt::new;
    let square = [p(100.0, 300.0), p(500.0, 300.0), p(500.0, 50.0), p(100.0, 50.0)];
    let wall = |dots, width_m| Marks::Wall { dots, width_m, height_m: 2.0 };
    assert_eq!(asked(wall(square, 3.0), Nearer::Same), "");
    assert!(asked(Marks::None, Nearer::Same).contains("nothing gives the scale"));
    assert!(asked(wall(square, f64::NAN), Nearer::Same).contains("known length"));
    assert!(asked(wall(square, 0.0), Nearer::Same).contains("known length"));
    let crossed = [square[0], square[2], square[1], square[3]];
    assert!(asked(wall(crossed, 3.0), Nearer::Same).contains("in their order"));
    assert!(asked(wall([p(1.0, 1.0); 4], 3.0), Nearer::Same).contains("in their order"));
    let before = Nearer::Before { camera_m: 3.0, before_m: 4.0 };
    assert!(asked(wall(square, 3.0), before).contains("between the camera and the wall"));
    let own = Nearer::Own { dots: [p(5.0, 5.0); 2], length_m: 0.2 };
    assert!(asked(Marks::None, own).contains("too close together"));
    let two = Marks::Two { dots: [p(5.0, 5.0); 2], apart_m: 1.0, lie: Lie::Level };
    assert!(asked(two, Nearer::Same).contains("too close together"));
}

/// A metre stick that lies level, or stands upright, in a picture that leans by 5 degrees.
#[test]
fn two_marks_say_what_is_level() {
    let lean = 5f64.to_radians();
    let (s, c) = lean.sin_cos();
    for (lie, way) in [(Lie::Level, [1.0, 0.0]), (Lie::Upright, [0.0, 1.0])] {
        let [x, z]: [f64; 2] = way;
        let end = Pt::new(300.0 + 200.0 * (c * x + s * z), 200.0 - 200.0 * (-s * x + c * z));
        for dots in [[Pt::new(300.0, 200.0), end], [end, Pt::new(300.0, 200.0)]] {
            let marks = Marks::Two { dots, apart_m: 1.0, lie };
            let ask = Ask { size: [640.0, 360.0], marks, nearer: Nearer::Same, click_dots: 1.0 };
            let ground = Ground::new(&ask).expect("marks");
            let step = ground.metres(end) - ground.metres(Pt::new(300.0, 200.0));
            assert!((step.x - x).abs() < 1e-9 && (step.y - z).abs() < 1e-9, "{lie:?}: {step}");
        }
    }
}
