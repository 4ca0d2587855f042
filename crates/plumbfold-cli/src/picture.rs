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
        // The one picture that ours may hold is a photo, which stands in it whole: nothing is read
        // that it could name.
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|kind, bytes, _| {
                (kind == "image/jpeg").then_some(usvg::ImageKind::JPEG(bytes))
            }),
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

#[cfg(test)]
mod tests {
    use plumbfold_draw::photo::{Marks, Photo, traced};
    use plumbfold_draw::style::Look;

    use super::*;

    fn middle(svg_inside: &str) -> [u8; 4] {
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10mm\" height=\"10mm\" \
             viewBox=\"0 0 10 10\">{svg_inside}</svg>"
        );
        let bytes = png(&svg).expect("a picture");
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().expect("a PNG");
        let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut dots).expect("its dots");
        let at = (info.height / 2 * info.width + info.width / 2) as usize * 4;
        [0, 1, 2, 3].map(|c| dots[at + c])
    }

    #[test]
    fn a_photo_in_a_picture_is_drawn_and_no_file_it_names_is_read() {
        let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/pictures/halyard-photo.jpg");
        let photo = std::fs::read(file).expect("the photo of the tour");
        let jpeg = plumbfold_trace::photo::Photo::decode(&photo).expect("a photo").jpeg(400);
        let photo = Photo { jpeg: &jpeg, size: [400.0, 300.0] };
        let drawn = traced(&Look::light("t"), "t", "n", photo, &Marks::default());
        let tag = drawn.split("<image").nth(1).and_then(|s| s.split("/>").next()).expect("a photo");
        let href = tag.split("href=").nth(1).expect("its bytes");
        let size = "x=\"0\" y=\"0\" width=\"10\" height=\"10\"";
        let [r, g, b, a] = middle(&format!("<image {size} href={href}/>"));
        // In its middle lies a plane of blue-green paper (crates/plumbfold-trace/tests/it).
        assert!(r + 30 < g && g < b && a == 255, "{r} {g} {b} {a}");
        for named in [file.to_owned(), format!("file://{file}")] {
            assert_eq!(middle(&format!("<image {size} href=\"{named}\"/>")), [0; 4], "{named}");
        }
    }
}
