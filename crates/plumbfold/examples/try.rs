//! scratch
fn main() {
    for f in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&f).unwrap();
        match plumbfold::pipeline::balance(&text, &Default::default()) {
            Ok(b) => {
                let p = &b.planform;
                println!("{f}: {:.3} g cg {:.2} mm ahead {:.1}% macfrac {:.3} quarter {:.2} area {:.0} span {:.1} AR {:.2} mac {:.1} layers {} crease {} panels {:?} above {:.2} y {:.4}", b.mass.mass_kg*1e3, b.mass.behind_nose_m()*1e3, b.area_ahead_fraction*100.0, b.cg_mac_fraction, p.quarter_area_behind_nose_m*1e3, p.area_m2*1e6, p.span_m*1e3, p.aspect_ratio, p.mac_m*1e3, b.layers_max, b.airframe.crease_layers_max, b.airframe.panels.iter().map(|p| (p.name.clone(), p.kind, p.laminae.len())).collect::<Vec<_>>(), b.mass.above_keel_m()*1e3, b.mass.cg_m.y*1e3);
            }
            Err(p) => for g in p.diagnostics { println!("{f}:  {:?} {} | {} | {:?}: {:?}", g.code, g.message, g.label, g.help, &text[g.span.clone()]); }
        }
    }
}
