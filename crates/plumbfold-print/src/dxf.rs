//! The sheet for cutters and plotters: DXF R12 in millimetres, which every such program reads.
//!
//! Origin at the lower left corner of the sheet, y up, seen from the printed side. One layer each
//! for the outline, the valley, mountain and unfolded creases, bends, the balance marks, and, where
//! they are wanted, those lines where edges come to lie that are seen from that side.

use std::fmt::Write;

use plumbfold::fold::state::Assignment;
use plumbfold::numeric::geom::SheetPoint;

use crate::guides::Guide;
use crate::pdf::MARK;
use crate::template::Template;

/// Layers, with their colours by the numbers of the format.
const LAYERS: [(&str, u8, &str); 7] = [
    ("CUT", 7, "CONTINUOUS"),
    ("VALLEY", 5, "VALLEY"),
    ("MOUNTAIN", 1, "MOUNTAIN"),
    ("CREASE", 8, "CONTINUOUS"),
    ("BEND", 4, "CONTINUOUS"),
    ("BALANCE", 3, "CONTINUOUS"),
    ("GUIDE", 6, "CONTINUOUS"),
];

/// Dashes in millimetres, gaps negative: dash for valley; dash, dot, dot for mountain
/// (Yoshizawa-Randlett).
const LINE_TYPES: [(&str, &str, &[f64]); 3] = [
    ("CONTINUOUS", "Full", &[]),
    ("VALLEY", "Valley _ _ _", &[4.0, -2.0]),
    ("MOUNTAIN", "Mountain _ . . _", &[5.0, -1.5, 0.0, -1.5, 0.0, -1.5]),
];

/// The drawing.
pub fn write(t: &Template<'_>) -> String {
    let mut out = Groups(String::new());
    out.group(999, MARK);
    out.section("HEADER", |out| {
        out.group(9, "$ACADVER");
        out.group(1, "AC1009");
        // Millimetres, for the readers that look.
        out.group(9, "$INSUNITS");
        out.group(70, "4");
        let [w, h] = t.sheet_mm();
        out.group(9, "$EXTMIN");
        out.place(10, [0.0, 0.0]);
        out.group(9, "$EXTMAX");
        out.place(10, [w, h]);
    });
    out.section("TABLES", |out| {
        out.table("LTYPE", LINE_TYPES.len(), |out| {
            for (name, says, dashes) in LINE_TYPES {
                out.group(0, "LTYPE");
                out.group(2, name);
                out.group(70, "0");
                out.group(3, says);
                out.group(72, "65");
                out.group(73, &dashes.len().to_string());
                out.group(40, &number(dashes.iter().map(|d| d.abs()).sum()));
                for &dash in dashes {
                    out.group(49, &number(dash));
                }
            }
        });
        out.table("LAYER", LAYERS.len(), |out| {
            for (name, colour, line) in LAYERS {
                out.group(0, "LAYER");
                out.group(2, name);
                out.group(70, "0");
                out.group(62, &colour.to_string());
                out.group(6, line);
            }
        });
    });
    out.section("ENTITIES", |out| {
        let [w, h] = t.model.sheet_m;
        let corners = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]].map(|[x, y]| SheetPoint::new(x, y));
        for i in 0..4 {
            out.line("CUT", [corners[i], corners[(i + 1) % 4]]);
        }
        for run in &t.runs {
            let layer = match run.state {
                Assignment::Valley => "VALLEY",
                Assignment::Mountain => "MOUNTAIN",
                Assignment::Flat => "CREASE",
            };
            out.line(layer, run.ends);
        }
        for bend in &t.bends {
            out.line("BEND", bend.mark.ends);
        }
        for mark in &t.balance {
            out.line("BALANCE", mark.ends);
        }
        for mark in t.guides.iter().flat_map(Guide::marks).filter(|m| m.printed) {
            out.line("GUIDE", mark.ends);
        }
    });
    out.group(0, "EOF");
    out.0
}

struct Groups(String);

impl Groups {
    fn group(&mut self, code: u16, value: &str) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.0, "{code}\n{value}");
    }

    fn section(&mut self, name: &str, inside: impl FnOnce(&mut Self)) {
        self.group(0, "SECTION");
        self.group(2, name);
        inside(self);
        self.group(0, "ENDSEC");
    }

    fn table(&mut self, name: &str, entries: usize, inside: impl FnOnce(&mut Self)) {
        self.group(0, "TABLE");
        self.group(2, name);
        self.group(70, &entries.to_string());
        inside(self);
        self.group(0, "ENDTAB");
    }

    /// x under the code, y ten above it; mm.
    fn place(&mut self, code: u16, [x, y]: [f64; 2]) {
        self.group(code, &number(x));
        self.group(code + 10, &number(y));
    }

    fn line(&mut self, layer: &str, ends: [SheetPoint; 2]) {
        self.group(0, "LINE");
        self.group(8, layer);
        for (code, p) in [10, 11].into_iter().zip(ends) {
            self.place(code, [p.x * 1e3, p.y * 1e3]);
        }
    }
}

/// A micrometre is finer than any plotter.
fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    if text == "-0.0000" { "0.0000".to_owned() } else { text }
}
