use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use plumbfold::study::{raised_edge, trade_facts};
use plumbfold::validation::{Tolerance, ValidationRow};
use plumbfold::{air, flight};
use plumbfold_draw::compare::area_shares;
use plumbfold_draw::style::Look;

use crate::error::Error;
use crate::options::Global;
use crate::picture;
use crate::progress;
use crate::system::{Overwrite, System};

/// Write the page of published cases, misses included
///
/// Runs every check against something outside the program from the same code as
/// the tests, and writes what was expected, what came out and how close, with
/// the picture of the hand rule.
///
/// Examples:
///   plumbfold validation -o docs/validation.md
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Validation {
    /// Page to write; pictures go to `pictures/` beside it; `-` is standard output, no pictures
    #[arg(short, long, value_name = "FILE", default_value = "docs/validation.md")]
    output: PathBuf,
    /// Root of the project, where `designs/` and `testdata/` are
    #[arg(long, value_name = "DIR", default_value = ".")]
    root: PathBuf,
}

/// Shipped designs, in the order of the page.
const DESIGNS: [&str; 10] = [
    "bowline",
    "cleat",
    "fender",
    "gaff",
    "halyard",
    "marlinspike",
    "oilskin",
    "painter",
    "scow",
    "tiller",
];

impl Validation {
    /// Computes, writes.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        let read = |path: PathBuf| system.read_design(&path).map(|s| s.text);
        let roll = read(self.root.join("testdata/designs/leading-roll.plane"))?;
        let texts: Vec<(&str, String)> = DESIGNS
            .iter()
            .map(|name| Ok((*name, read(self.root.join(format!("designs/{name}.plane")))?)))
            .collect::<Result<_, Error>>()?;
        let designs: Vec<(&str, &str)> = texts.iter().map(|(n, t)| (*n, t.as_str())).collect();
        system.message("published cases …\n");
        let bar = progress::spinner("computing and flying");
        let mut rows = air::validation::rows();
        rows.extend(flight::validation::rows());
        system.message("facts of the trade, asked blind …\n");
        rows.extend(trade_facts::rows(&roll, &designs));
        rows.extend(raised_edge::rows(&designs));
        let survey = trade_facts::survey(&designs);
        bar.finish_and_clear();
        let shares: Vec<(&str, f64)> =
            survey.iter().filter_map(|s| Some((s.name.as_str(), s.share_flat?))).collect();
        let title = "Area ahead of the best balance point, edges flat";
        let chart = area_shares(&Look::light("hand-rule"), title, &shares);
        let page = page(&rows);
        if self.output == Path::new("-") {
            return system.answer(&page);
        }
        let pictures = self.output.parent().unwrap_or(Path::new(".")).join("pictures");
        picture::write(system, &pictures.join("hand-rule.svg"), &chart)?;
        system.write(&self.output, page.as_bytes(), Overwrite::Never)?;
        let missed = rows.iter().filter(|r| !r.pass).count();
        system.message(&format!(
            "{} written: {} cases, {missed} missed\n",
            self.output.display(),
            rows.len()
        ));
        Ok(())
    }
}

fn page(rows: &[ValidationRow]) -> String {
    let missed = rows.iter().filter(|r| !r.pass).count();
    let mut out = format!(
        "# Validation\n\n\
         Written by `plumbfold validation` from the code the tests run; do not edit. {} cases \
         against something outside the program, {missed} missed (shown as **missed**). How well \
         the expected value is known stands beside its source: *seen* in the source itself, \
         *second-hand*, *from memory*, *computed* from the source's formula by independent \
         arithmetic, or *common practice, no source*.\n",
        rows.len()
    );
    let mut groups: Vec<&str> = Vec::new();
    for r in rows {
        if !groups.contains(&r.group) {
            groups.push(r.group);
        }
    }
    for group in groups {
        let _ = write!(
            out,
            "\n## {group}\n\n| case | source | expected | ours | error | allowed | |\n\
             |---|---|---:|---:|---:|---:|---|\n"
        );
        for r in rows.iter().filter(|r| r.group == group) {
            let allowed = match r.tolerance {
                Tolerance::Absolute(t) => format!("± {}", number(t)),
                Tolerance::Relative(t) => format!("± {} %", number(t * 100.0)),
                Tolerance::AtMost => "at most".to_owned(),
                Tolerance::AtLeast => "at least".to_owned(),
            };
            let _ = writeln!(
                out,
                "| {} | {} ({}) | {} | {} | {} | {allowed} | {} |",
                cell(&r.case),
                cell(r.source),
                r.mark.word(),
                number(r.expected),
                number(r.computed),
                number(r.error),
                if r.pass { "ok" } else { "**missed**" }
            );
        }
        let missed = rows.iter().filter(|r| r.group == group && !r.pass);
        for r in missed {
            if let Some((case, why)) = air::validation::SHORTFALLS.iter().find(|s| s.0 == r.case) {
                let _ = write!(out, "\nWhy {case} is missed: {why}.\n");
            }
        }
        if group.starts_with("Share of wing area") {
            out.push_str("\n![Area ahead of the best balance point](pictures/hand-rule.svg)\n");
        }
    }
    out
}

fn cell(text: &str) -> String {
    text.replace('|', "/")
}

/// Four figures, enough to compare by eye and few enough to stay put.
fn number(x: f64) -> String {
    if !x.is_finite() {
        return "none".to_owned();
    }
    if x == 0.0 {
        return "0".to_owned();
    }
    let places = (3 - x.abs().log10().floor() as i32).clamp(0, 9) as usize;
    if x.abs() < 1e-5 || x.abs() >= 1e6 {
        return format!("{x:.3e}");
    }
    let text = format!("{x:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
