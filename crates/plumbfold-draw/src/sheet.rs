//! The unfolded sheet with its creases.

use plumbfold::fold::state::{Assignment, Folded};

use crate::fit::{Bounds, Fit, Size};
use crate::frame::{self, Sample};
use crate::labels::Labels;
use crate::paper::{CreaseRun, crease_runs, crease_stroke, short_of_edges};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Anchor, Text, mm};

/// The sheet, printed side up, creases in Yoshizawa-Randlett styles as seen from the printed
/// side, with the number of the step that makes each and the size of the sheet.
///
/// At [`Size::Full`] the picture is the sheet itself: print it on paper of that size without
/// scaling and fold along the lines; a 100 mm line is there to be checked with a ruler.
pub fn sheet(look: &Look, name: &str, model: &Folded, size: Size) -> String {
    let [w, h] = model.sheet_m;
    let bounds = Bounds { low: [0.0, 0.0], high: [w, h] };
    let runs = crease_runs(model);
    let note = format!("sheet {} by {}, printed side up", mm(w), mm(h));
    let description = describe(&runs, &note);
    if size == Size::Full {
        let mut c = Canvas::new(look, Fit::extent(&bounds, size), name, &description);
        let fit = Fit::centred(&bounds, Fit::scale_of(&bounds, size), c.frame());
        paper(&mut c, &fit, model, Ink::Plain);
        creases(&mut c, &fit, model, &runs, &[]);
        ruler(&mut c, name);
        return c.finish();
    }
    let items = key_items(&runs);
    let items: Vec<(Sample, &str)> = items.iter().map(|(s, l)| (s.clone(), *l)).collect();
    let [cw, ch] = Fit::extent(&bounds, size);
    // Dimension lines stand on the left and below.
    const LEFT: f64 = 8.0;
    const BELOW: f64 = 8.0;
    let width = (cw + LEFT).max(70.0);
    let key_top = ch + BELOW + 3.0;
    let height = key_top + frame::key_height(&items, width);
    let (mut c, area) = frame::start(look, name, &note, &description, [width, height]);
    let x = area.x + LEFT + (width - LEFT - cw) / 2.0;
    let fit = Fit::within(&bounds, Rect::new(x, area.y, cw, ch));
    paper(&mut c, &fit, model, Ink::Printed);
    creases(&mut c, &fit, model, &runs, &[]);
    let corner = |p: Pt| fit.at(p);
    frame::dimension(&mut c, corner([w, 0.0]), corner([0.0, 0.0]), 5.0, &mm(w));
    frame::dimension(&mut c, corner([0.0, 0.0]), corner([0.0, h]), 5.0, &mm(h));
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

fn describe(runs: &[CreaseRun], note: &str) -> String {
    let count = |state| runs.iter().filter(|r| r.state == state).count();
    format!(
        "{note}. {} mountain, {} valley and {} unfolded creases; mountain and valley as seen \
         from the printed side, numbers are the steps that make them.",
        count(Assignment::Mountain),
        count(Assignment::Valley),
        count(Assignment::Flat)
    )
}

fn key_items(runs: &[CreaseRun]) -> Vec<(Sample, &'static str)> {
    [
        (Assignment::Valley, "valley"),
        (Assignment::Mountain, "mountain"),
        (Assignment::Flat, "crease, unfolded"),
    ]
    .into_iter()
    .filter(|(state, _)| runs.iter().any(|r| r.state == *state))
    .map(|(state, label)| (Sample::Line(crease_stroke(state)), label))
    .collect()
}

fn paper(c: &mut Canvas<'_>, fit: &Fit, model: &Folded, side: Ink) {
    let [w, h] = model.sheet_m;
    let edge = fit.polygon([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]);
    c.named_path("sheet", &edge, Paint::fill(Ink::Plain));
    if side != Ink::Plain {
        c.path(&edge, Paint::veil(side, 0.45));
    }
    c.path(&edge, Paint::stroke(Stroke::EDGE));
}

/// The creases with the numbers of their steps, which stay off what is `taken`; `runs` are those of
/// `model`, or their mirror images.
pub fn creases(c: &mut Canvas<'_>, fit: &Fit, model: &Folded, runs: &[CreaseRun], taken: &[Rect]) {
    let at = |run: &CreaseRun| run.ends.map(|p| fit.at([p.x, p.y]));
    c.group("creases", |c| {
        for run in runs {
            let [a, b] = at(run);
            let (class, (a, b)) = match run.state {
                Assignment::Flat => ("crease", short_of_edges(a, b)),
                Assignment::Valley => ("valley", (a, b)),
                Assignment::Mountain => ("mountain", (a, b)),
            };
            c.named_path(class, &Path::segment(a, b), Paint::stroke(crease_stroke(run.state)));
        }
    });
    // Numbers: long runs first, since they have most room and say most.
    let [w, h] = model.sheet_m;
    let (low, high) = (fit.at([0.0, h]), fit.at([w, 0.0]));
    let mut labels =
        Labels::within(Rect::new(low[0], low[1], high[0] - low[0], high[1] - low[1]).inset(0.6));
    let mut order: Vec<(f64, [Pt; 2], usize)> = runs
        .iter()
        .map(|r| {
            let [a, b] = at(r);
            let step = model.creases.get(r.crease).map_or(0, |k| k.step + 1);
            ((b[0] - a[0]).hypot(b[1] - a[1]), [a, b], step)
        })
        .collect();
    taken.iter().for_each(|&r| labels.keep_clear(r));
    for (_, [a, b], _) in &order {
        labels.keep_clear_along(*a, *b);
    }
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.2.cmp(&b.2)));
    c.group("step-numbers", |c| {
        for (length, [a, b], step) in order {
            // Shorter runs belong to a crease that is numbered elsewhere.
            if length < 5.0 {
                continue;
            }
            let n = [(b[1] - a[1]) / length, -(b[0] - a[0]) / length];
            let mut places = Vec::new();
            for t in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88] {
                for side in [1.0, -1.0] {
                    let k = side * 2.5;
                    let p = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
                    places.push(([p[0] + n[0] * k, p[1] + n[1] * k], Anchor::Middle));
                }
            }
            let style = Text::SMALL.in_ink(Ink::Edge).centred();
            labels.write(c, &step.to_string(), style, &places, false);
        }
    });
}

/// Name and a length to be checked, near the lower edge, away from the middle.
fn ruler(c: &mut Canvas<'_>, name: &str) {
    let [w, h] = c.size;
    if w < 130.0 || h < 60.0 {
        return;
    }
    let (x, y) = (10.0, h - 9.0);
    c.group("ruler", |c| {
        let mut ticks = Path::segment([x, y], [x + 100.0, y]);
        for i in 0..=10 {
            let up = if i % 5 == 0 { 2.4 } else { 1.4 };
            let x = x + f64::from(i) * 10.0;
            ticks = ticks.and(&Path::segment([x, y], [x, y - up]));
        }
        c.named_path(
            "ruler-100-mm",
            &ticks,
            Paint::stroke(Stroke::solid(Ink::EdgeSoft, weight::THIN)),
        );
        let note = format!("{name}: this line is 100 mm long if printed without scaling");
        c.text([x, y + 4.0], &note, Text::SMALL.in_ink(Ink::EdgeSoft));
    });
}
