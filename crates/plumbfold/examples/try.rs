//! scratch
fn main() {
    for f in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&f).unwrap();
        let (d, diags) = plumbfold::design::parser::parse(&text);
        println!("{f}: {} steps", d.steps.len());
        for g in diags { println!("   {:?} {} | {} | {:?}: {:?}", g.code, g.message, g.label, g.help, &text[g.span.clone()]); }
    }
}
