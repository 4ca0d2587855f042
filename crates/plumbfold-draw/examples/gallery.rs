//! Renders pictures to PNG, in colour and in grey, to be looked at:
//! `cargo run -p plumbfold-draw --example gallery -- FOLDER [NAME]...`
//! draws the samples whose names contain one of NAME (all by default), and for each NAME that ends
//! in `.plane` the pictures of that design.

#![allow(clippy::disallowed_methods, reason = "an example writes files to be looked at")]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use plumbfold::pipeline::{self, Settings};
use plumbfold_draw::fit::Size;
use plumbfold_draw::split::BalanceMarks;
use plumbfold_draw::style::Look;
use plumbfold_draw::{folded, pose, run, sheet, split, steps, text};
use resvg::{tiny_skia, usvg};

#[path = "../tests/it/samples.rs"]
mod samples;
#[path = "../tests/it/support.rs"]
mod support;

fn main() {
    let mut args = std::env::args().skip(1);
    let folder = PathBuf::from(args.next().unwrap_or_else(|| "/tmp/gallery".to_owned()));
    std::fs::create_dir_all(&folder).expect("a folder to write to");
    let (designs, names): (Vec<String>, Vec<String>) = args.partition(|a| a.ends_with(".plane"));
    for (name, draw) in samples::pictures() {
        let wanted = names.iter().any(|n| name.contains(n));
        if wanted || (names.is_empty() && designs.is_empty()) {
            write(&folder, &format!("{name}-dark"), &draw(&Look::dark(&name)), false);
            write(&folder, &name, &draw(&Look::light(&name)), true);
        }
    }
    for path in designs {
        design(&folder, Path::new(&path));
    }
}

/// The pictures of one design.
fn design(folder: &Path, path: &Path) {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let source = std::fs::read_to_string(path).expect("a design that can be read");
    let plane = match pipeline::balance(&source, &Settings::default()) {
        Ok(plane) => plane,
        Err(problems) => {
            println!("{stem}: {:?}", problems.diagnostics);
            return;
        }
    };
    let Some(folds) = plane.source.folded() else { return };
    let (name, model) = (plane.airframe.name.clone(), &*folds.run.folded);
    let size = Size::Within([120.0, 130.0]);
    let wide = Size::Within([170.0, 130.0]);
    let put = |what: &str, draw: &dyn Fn(&Look) -> String| {
        let id = format!("{stem}-{what}");
        write(folder, &id, &draw(&Look::light(&id)), false);
    };
    put("sheet", &|l| sheet::sheet(l, &name, model, size));
    put("folded", &|l| folded::folded(l, &name, model, size));
    put("layers", &|l| folded::layers(l, &name, model, size));
    put("pose", &|l| pose::pose(l, &plane.airframe, Some(plane.mass.cg_m), wide));
    let marks =
        BalanceMarks { cg_behind_nose_m: plane.mass.behind_nose_m(), neutral_behind_nose_m: None };
    put("split", &|l| split::split(l, &name, &plane.planform, marks, wide));
    let shown = run::shown(&folds.run, &source, &folds.values);
    put("steps", &|l| steps::instructions(l, &name, &shown, model, 4));
}

fn write(folder: &Path, name: &str, svg: &str, grey: bool) {
    const ZOOM: f32 = 2.0;
    let path = folder.join(format!("{name}.svg"));
    std::fs::write(&path, svg).expect("writable");
    let mut options =
        usvg::Options { font_family: text::FONT_FAMILY.to_owned(), ..Default::default() };
    for font in text::FONTS {
        Arc::make_mut(&mut options.fontdb).load_font_data(font.to_vec());
    }
    let tree = usvg::Tree::from_str(svg, &options).expect("valid SVG");
    let dots = |length: f32| ((length * ZOOM) as u32).max(1);
    let mut pixmap = tiny_skia::Pixmap::new(dots(tree.size().width()), dots(tree.size().height()))
        .expect("not empty");
    let scale = tiny_skia::Transform::from_scale(ZOOM, ZOOM);
    resvg::render(&tree, scale, &mut pixmap.as_mut());
    pixmap.save_png(path.with_extension("png")).expect("writable");
    println!("{} {} bytes", path.display(), svg.len());
    if grey {
        for p in pixmap.pixels_mut() {
            let parts = [(0.2126, p.red()), (0.7152, p.green()), (0.0722, p.blue())];
            let value = parts.iter().map(|(k, v)| k * f32::from(*v)).sum::<f32>() as u8;
            *p = tiny_skia::PremultipliedColorU8::from_rgba(value, value, value, p.alpha())
                .expect("grey is at most alpha");
        }
        pixmap.save_png(folder.join(format!("{name}-grey.png"))).expect("writable");
    }
}
