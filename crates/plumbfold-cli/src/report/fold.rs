//! The steps of a design as they were folded.

use plumbfold_view::fold::Fold;
use plumbfold_view::said::count;

use super::Rows;

/// The report.
pub fn to_text(f: &Fold) -> Rows {
    let mut rows = Rows::titled(&f.name).gap();
    for step in &f.steps {
        let effort = match step.layers_bent {
            0 => String::new(),
            1 => " (1 layer)".to_owned(),
            n => format!(" ({n} layers)"),
        };
        rows = rows.row(&format!("step {}", step.step), &format!("{}{effort}", step.text));
    }
    let [w, h] = f.size_mm;
    rows.gap()
        .row(
            "model",
            &format!("{w:.1} x {h:.1} mm on the table, {}", count(f.faces.len(), "face", "faces")),
        )
        .row(
            "layers",
            &format!(
                "{} at the thickest place, {} round the worst crease",
                f.layers.max, f.layers.at_crease_max
            ),
        )
}
