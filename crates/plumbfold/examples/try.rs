//! scratch
use plumbfold::verdict::Behaviour;
fn main() {
    let mut sets = vec![];
    let mut change = plumbfold::pipeline::ThrowChange::default();
    for f in std::env::args().skip(1) {
        if let Some((k, v)) = f.split_once('=') { if k=="speed" { change.speed_m_s = Some(v.parse().unwrap()); } else { sets.retain(|(a,_):&(String,String)| a!=k); sets.push((k.to_string(), v.to_string())); } continue; }
        let text = std::fs::read_to_string(&f).unwrap();
        let t = std::time::Instant::now();
        let settings = plumbfold::pipeline::Settings { sets: sets.clone(), ..Default::default() };
        match plumbfold::pipeline::analyse(&text, &settings, &change, &Default::default()) {
            Ok(a) => {
                let b = &a.balanced;
                let p = &b.planform;
                println!("{f}: {:.3} g cg {:.2} mm ahead {:.1}% macfrac {:.3} quarter {:.2} area {:.0} span {:.1} AR {:.2} mac {:.1} layers {} crease {}", b.mass.mass_kg*1e3, b.mass.behind_nose_m()*1e3, b.area_ahead_fraction*100.0, b.cg_mac_fraction, p.quarter_area_behind_nose_m*1e3, p.area_m2*1e6, p.span_m*1e3, p.aspect_ratio, p.mac_m*1e3, b.layers_max, b.airframe.crease_layers_max);
                let e = &a.aircraft.aero;
                println!("   cla {:.3} np {:.1} mm sm {:.3} cm0 {:.4} steps {:.4}", e.cl_alpha, e.neutral_point_behind_nose_m*1e3, e.static_margin, e.cm0, e.cm0_steps);
                for g in &a.glides { println!("   glide alpha {:.1} V {:.2} sink {:.2} L/D {:.2} stable {}", g.trim.alpha_rad.to_degrees(), g.trim.speed_m_s, g.trim.sink_m_s, g.trim.lift_to_drag, g.stable); }
                let v = &a.verdict;
                println!("   throw {:.1} -> {:?} dist {:.2} t {:.2} | {}", a.throw.speed_m_s, v.finding.behaviour, v.flight.distance_m, v.flight.time_aloft_s, v.finding.sentence);
                println!("   {}", v.cause);
                println!("   {}", Behaviour::EVERY.iter().map(|b| format!("{b:?} {:.2}", v.probability.of(*b))).collect::<Vec<_>>().join(" "));
                println!("   band {:?} speed {:?} {:?}", v.balance.map(|b| (b.low*1e3, b.high*1e3)), v.speed.map(|b| (b.low, b.high)), t.elapsed());
            }
            Err(p) => for g in p.diagnostics { println!("{f}:  {:?} {} | {} | {:?}: {:?}", g.code, g.message, g.label, g.help, &text[g.span.clone()]); }
        }
    }
}
