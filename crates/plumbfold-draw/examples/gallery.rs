//! Renders every picture to PNG, in colour and in grey, to be looked at:
//! `cargo run -p plumbfold-draw --example gallery -- FOLDER [NAME]`.

use std::sync::Arc;

use plumbfold_draw::style::Look;
use plumbfold_draw::text;
use resvg::{tiny_skia, usvg};

#[path = "../tests/it/samples.rs"]
mod samples;
#[path = "../tests/it/support.rs"]
mod support;

fn main() {
    let mut args = std::env::args().skip(1);
    let folder = args.next().unwrap_or_else(|| "/tmp/gallery".to_owned());
    let only = args.next().unwrap_or_default();
    std::fs::create_dir_all(&folder).expect("a folder to write to");
    let mut options = usvg::Options { font_family: "Inter".to_owned(), ..Default::default() };
    for font in text::FONTS {
        Arc::make_mut(&mut options.fontdb).load_font_data(font.to_vec());
    }
    for (name, draw) in samples::pictures() {
        if !name.contains(&only) {
            continue;
        }
        for look in [Look::light(&name), Look::dark(&name)] {
            let svg = draw(&look);
            let suffix = if look == Look::light(&name) { "" } else { "-dark" };
            let path = std::path::Path::new(&folder).join(format!("{name}{suffix}.svg"));
            std::fs::write(&path, &svg).expect("writable");
            let tree = usvg::Tree::from_str(&svg, &options).expect("valid SVG");
            let zoom = 2.0;
            let size = tree.size();
            let (w, h) = ((size.width() * zoom) as u32, (size.height() * zoom) as u32);
            let mut pixmap = tiny_skia::Pixmap::new(w.max(1), h.max(1)).expect("not empty");
            resvg::render(
                &tree,
                tiny_skia::Transform::from_scale(zoom, zoom),
                &mut pixmap.as_mut(),
            );
            pixmap.save_png(path.with_extension("png")).expect("writable");
            println!("{} {} bytes", path.display(), svg.len());
            if suffix.is_empty() {
                for p in pixmap.pixels_mut() {
                    let grey = (0.2126 * f32::from(p.red())
                        + 0.7152 * f32::from(p.green())
                        + 0.0722 * f32::from(p.blue())) as u8;
                    *p = tiny_skia::PremultipliedColorU8::from_rgba(grey, grey, grey, p.alpha())
                        .expect("grey is at most alpha");
                }
                let grey = path.with_file_name(format!("{name}-grey.png"));
                pixmap.save_png(grey).expect("writable");
            }
        }
    }
}
