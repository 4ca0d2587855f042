use super::*;

/// A path with planted numbers, filmed at 60 pictures a second with a centimetre of noise.
fn planted(seed: u64, period: f64, amplitude: f64) -> Vec<Point> {
    use plumbfold::numeric::sample::Draws;
    let draws = Draws::new(200, 2, seed);
    let rate = std::f64::consts::TAU / period;
    (0..200)
        .map(|i| {
            let t = i as f64 / 60.0;
            let e = (-0.5 * t).exp() * amplitude;
            let n = draws.normal(i);
            Point {
                t_s: t,
                x_m: 3.0 * t + 0.7 * e * (rate * t).cos() - 0.7 * amplitude + 0.01 * n[0],
                z_m: 3.0 - 0.8 * t + e * (rate * t).sin() + 0.01 * n[1],
                pitch_rad: None,
            }
        })
        .collect()
}

#[test]
fn planted_glide_and_swing_come_back_within_their_errors() {
    let mut outside = 0;
    for seed in 0..40 {
        let track = analyse(planted(seed, 1.4, 0.25)).unwrap();
        let swing = track.swing.expect("a swing");
        let off = [
            (track.glide.ratio, 3.0 / 0.8),
            (swing.period_s, 1.4),
            (swing.damping_per_s, 0.5),
            (track.glide.sink_m_s, 0.8),
        ];
        for (known, truth) in off {
            assert!((known.value - truth).abs() < 0.1 * truth, "{known:?} for {truth}");
            outside += usize::from((known.value - truth).abs() > 1.96 * known.sd);
        }
        assert!((track.rest_m - 0.01).abs() < 0.002, "{}", track.rest_m);
    }
    // 8 of 160 are due at 95 %; 18 would come about once in a thousand such tests.
    assert!(outside < 18, "{outside} of 160 outside their 95 % interval");
}

#[test]
fn the_release_comes_back_within_its_error() {
    let mut outside = 0;
    for seed in 0..40 {
        let track = analyse(planted(seed, 1.4, 0.25)).unwrap();
        let rate = std::f64::consts::TAU / 1.4;
        let (vx, vz): (f64, f64) = (3.0 - 0.7 * 0.25 * 0.5, -0.8 + 0.25 * rate);
        let truth = [vx.hypot(vz), vz.atan2(vx)];
        for (known, truth) in [track.speed_m_s, track.elevation_rad].iter().zip(truth) {
            outside += usize::from((known.value - truth).abs() > 1.96 * known.sd);
        }
        assert!(
            (track.speed_m_s.value - truth[0]).abs() < 0.03 * truth[0] + 2.0 * track.speed_m_s.sd
        );
    }
    assert!(outside < 12, "{outside} of 80 outside their 95 % interval");
}

#[test]
fn no_swing_is_told_where_there_is_none_or_too_little_of_one() {
    let track = analyse(planted(3, 1.4, 0.0)).unwrap();
    assert!(track.swing.is_none(), "{:?}", track.swing);
    assert!((track.glide.ratio.value - 3.75).abs() < 0.05);
}

#[test]
fn columns_of_any_tracker_are_read() {
    let mut text = "frame;X [mm];Y [mm]\n".to_owned();
    for i in 0..60 {
        let t = f64::from(i) / 30.0;
        text += &format!("{i};{:.1};{:.1}\n", -3000.0 * t, 400.0 + 800.0 * t).replace('.', ",");
    }
    let columns = Columns { rate_hz: Some(30.0), down: true, ..Columns::default() };
    let points = read(&text, &columns).unwrap();
    let last = points[59];
    assert!((last.t_s - 59.0 / 30.0).abs() < 1e-12 && (last.x_m - 5.9).abs() < 1e-9);
    let track = analyse(points).unwrap();
    assert!((track.speed_m_s.value - 3.105).abs() < 1e-2, "{:?}", track.speed_m_s);
    assert!((track.glide.ratio.value - 3.75).abs() < 1e-2);
}

#[test]
fn what_is_no_path_is_refused_with_a_reason() {
    let wrong =
        |text: &str| read(text, &Columns::default()).and_then(analyse).unwrap_err().to_string();
    assert!(wrong("a,b\n1,2\n").contains("no column holds the time"));
    assert!(wrong("t,x,z\n0,0,NaN\n").contains("no number"));
    assert!(wrong("t,x,z\n0,0,1\n0,1,1\n").contains("does not go on"));
    assert!(wrong("t,x,z\n0,0,1\n1,1,1\n").contains("points"));
    let still: String = (0..40).map(|i| format!("{i},0.001,2\n")).collect();
    assert!(wrong(&format!("t,x,z\n{still}")).contains("is the unit right"));
    let fast: String =
        (0..40).map(|i| format!("{},{i},{}\n", f64::from(i) * 1e-3, 40 - i)).collect();
    assert!(wrong(&format!("t,x,z\n{fast}")).contains("no hand throws"));
    let up: String = (0..40).map(|i| format!("{},{i},{i}\n", f64::from(i) / 30.0)).collect();
    assert!(wrong(&format!("t,x,z\n{up}")).contains("--down"));
}
