//! Pictures on their way to a file: SVG as it is, PNG through a renderer that knows only the
//! letters shipped with the drawings, so that a picture looks the same on every machine.

use std::path::Path;
use std::sync::Arc;

use plumbfold_draw::text;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg;

use crate::error::Error;
use crate::system::{Overwrite, PICTURE_MARK, System};

/// Dots per inch of PNG files. A picture 180 mm wide gets some 1400 dots: sharp on a screen.
const DOTS_PER_INCH: f64 = 200.0;

/// Largest side of a PNG, dots.
const SIDE_MAX: f64 = 8000.0;

/// Writes a picture in the form its name asks for. A picture this program made is replaced.
pub fn write(system: &System, path: &Path, svg: &str) -> Result<(), Error> {
    let extension = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    let bytes = match extension.as_deref() {
        Some("svg") => marked(svg).into_bytes(),
        Some("png") => png(svg)?,
        _ => {
            let name = path.display();
            return Err(Error::usage(format!("{name} is neither an .svg nor a .png file"))
                .hint("the ending of the name says which to write"));
        }
    };
    system.write(path, &bytes, Overwrite::Ours)
}

/// With the mark by which we know our own pictures.
pub fn marked(svg: &str) -> String {
    format!("<!-- {PICTURE_MARK} -->\n{svg}")
}

/// Draws a picture in dots.
pub fn png(svg: &str) -> Result<Vec<u8>, Error> {
    let mut fonts = usvg::fontdb::Database::new();
    for font in text::FONTS {
        fonts.load_font_data(font.to_vec());
    }
    let options = usvg::Options {
        fontdb: Arc::new(fonts),
        font_family: text::FAMILY.to_owned(),
        // Sizes in mm are turned to dots at this density.
        dpi: DOTS_PER_INCH as f32,
        // A picture of ours holds no other: nothing is read that it could name.
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_str(svg, &options)
        .map_err(|e| Error::internal(format!("drew a picture that cannot be read: {e}")))?;
    let size = tree.size();
    let scale = (SIDE_MAX / f64::from(size.width().max(size.height()))).min(1.0) as f32;
    let dots = |length: f32| (length * scale).ceil().max(1.0) as u32;
    let mut map = Pixmap::new(dots(size.width()), dots(size.height()))
        .ok_or_else(|| Error::internal("drew a picture without a size"))?;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut map.as_mut());
    encode(map).map_err(|e| Error::internal(format!("cannot write a PNG: {e}")))
}

fn encode(map: Pixmap) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, map.width(), map.height());
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.add_text_chunk("Comment".to_owned(), PICTURE_MARK.to_owned())?;
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&map.take_demultiplied())?;
    writer.finish()?;
    Ok(bytes)
}
