//! Bytes to an upright picture. Sizes are looked at before anything is decoded.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use nalgebra::Point2;

use crate::error::TraceError;

/// Most dots of a photo, millions: twice the largest common phone camera of 48 would need a
/// gigabyte in work.
const MEGA_MAX: u32 = 64;
/// Longest side, dots.
const SIDE_MAX: u32 = 20_000;
/// Shortest side that can hold a sheet at 1.5 dots for each mm.
const SIDE_MIN: u32 = 100;
/// Memory the decoders may take, bytes.
const ALLOC_MAX: u64 = 320 << 20;

/// An upright photo, 8 bits a channel as the camera wrote them (sRGB).
#[derive(Clone, Debug)]
pub struct Photo {
    image: RgbImage,
    linear: [f32; 256],
}

impl Photo {
    /// Decodes JPEG, PNG or WebP and turns it upright as its EXIF tag says.
    ///
    /// # Errors
    /// Formats, sizes and damages as [`TraceError`] says.
    pub fn decode(bytes: &[u8]) -> Result<Self, TraceError> {
        if is_heif(bytes) {
            return Err(TraceError::Heic);
        }
        let format = image::guess_format(bytes).map_err(|_| TraceError::NoPhoto)?;
        if !matches!(format, ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP) {
            return Err(TraceError::NoPhoto);
        }
        if format == ImageFormat::Jpeg && !jpeg_ends(bytes) {
            return Err(TraceError::Truncated);
        }
        let damaged = |e: image::ImageError| match e {
            image::ImageError::Limits(_) => {
                TraceError::Damaged { why: format!("it asks for more than {} MB", ALLOC_MAX >> 20) }
            }
            image::ImageError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
                TraceError::Truncated
            }
            other => TraceError::Damaged { why: one_line(&other.to_string()) },
        };
        let reader = || ImageReader::with_format(Cursor::new(bytes), format);
        let (width, height) = reader().into_dimensions().map_err(damaged)?;
        let too_many = u64::from(width) * u64::from(height) > u64::from(MEGA_MAX) * 1_000_000;
        if width > SIDE_MAX || height > SIDE_MAX || too_many {
            return Err(TraceError::TooLarge {
                width,
                height,
                most_mega: MEGA_MAX,
                side: SIDE_MAX,
            });
        }
        if width.min(height) < SIDE_MIN {
            return Err(TraceError::TooFewDots { width, height });
        }
        let mut limits = Limits::default();
        limits.max_alloc = Some(ALLOC_MAX);
        let mut reader = reader();
        reader.limits(limits.clone());
        let mut decoder = reader.into_decoder().map_err(damaged)?;
        decoder.set_limits(limits).map_err(damaged)?;
        let orientation = decoder.orientation().map_err(damaged)?;
        let mut image = DynamicImage::from_decoder(decoder).map_err(damaged)?;
        image.apply_orientation(orientation);
        Ok(Self::from_rgb(image.into_rgb8()))
    }

    /// A picture made by other means.
    pub fn from_rgb(image: RgbImage) -> Self {
        Self { image, linear: std::array::from_fn(|v| linear(v as f32 / 255.0)) }
    }

    /// Width and height, dots.
    pub fn size(&self) -> [f64; 2] {
        [f64::from(self.image.width()), f64::from(self.image.height())]
    }

    /// Light at a place, bilinear, channels 0 to 1; places outside take the nearest dot. The middle
    /// of the first dot lies at (0.5, 0.5).
    pub fn light(&self, at: Point2<f64>) -> [f32; 3] {
        let (w, h) = (self.image.width() as usize, self.image.height() as usize);
        let place = |v: f64, n: usize| {
            let v = (v - 0.5).clamp(0.0, (n - 1) as f64);
            let i = (v as usize).min(n.saturating_sub(2));
            (i, (v - i as f64) as f32)
        };
        let ((x, u), (y, v)) = (place(at.x, w), place(at.y, h));
        let raw = self.image.as_raw();
        let (row, below) = (3 * (y * w + x), 3 * ((y + 1).min(h - 1) * w + x));
        std::array::from_fn(|c| {
            let dot = |i: usize| self.linear[usize::from(raw[i + c])];
            let top = dot(row) * (1.0 - u) + dot(row + 3) * u;
            let bottom = dot(below) * (1.0 - u) + dot(below + 3) * u;
            top * (1.0 - v) + bottom * v
        })
    }

    /// A small copy: mean light of square blocks, its width, and dots of the photo for each of its
    /// own.
    pub fn small(&self, longest: u32) -> (Vec<[f32; 3]>, usize, f64) {
        let (w, h) = (self.image.width(), self.image.height());
        let block = w.max(h).div_ceil(longest).max(1);
        let (sw, sh) = (w / block, h / block);
        let mut out = Vec::with_capacity((sw * sh) as usize);
        let raw = self.image.as_raw();
        // Every other dot of a large block is enough for its mean.
        let step = if block > 4 { 2 } else { 1 };
        for by in 0..sh {
            for bx in 0..sw {
                let mut sum = [0.0f32; 3];
                let mut n = 0.0;
                for y in (by * block..(by + 1) * block).step_by(step) {
                    for x in (bx * block..(bx + 1) * block).step_by(step) {
                        let i = 3 * (y as usize * w as usize + x as usize);
                        for (c, s) in sum.iter_mut().enumerate() {
                            *s += self.linear[usize::from(raw[i + c])];
                        }
                        n += 1.0;
                    }
                }
                out.push(sum.map(|s| s / n));
            }
        }
        (out, sw as usize, f64::from(block))
    }

    /// The upright photo as JPEG, no side longer than so many dots, for pictures drawn over it.
    pub fn jpeg(&self, longest: u32) -> Vec<u8> {
        let (w, h) = (self.image.width(), self.image.height());
        let scale = (f64::from(longest) / f64::from(w.max(h))).min(1.0);
        let side = |n: u32| ((f64::from(n) * scale).round() as u32).max(1);
        let small = match scale < 1.0 {
            true => image::imageops::thumbnail(&self.image, side(w), side(h)),
            false => self.image.clone(),
        };
        let mut bytes = Vec::new();
        // Writing to memory cannot fail, and the sizes are far below what JPEG can say.
        let _ = JpegEncoder::new_with_quality(&mut bytes, 85).encode_image(&small);
        bytes
    }
}

/// Light from a coded value: IEC 61966-2-1:1999 (sRGB).
fn linear(v: f32) -> f32 {
    if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
}

/// Lightness and colour of light, CIE 1976 L*a*b* (CIE 15:2004; white D65 and the matrix of
/// IEC 61966-2-1:1999): equal steps look, and are about as noisy, alike.
pub fn lab([r, g, b]: [f32; 3]) -> [f32; 3] {
    let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
    let f = |t: f32| if t > 0.008_856 { t.cbrt() } else { 7.787 * t + 16.0 / 116.0 };
    let (x, y, z) = (f(x), f(y), f(z));
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// ISO/IEC 14496-12 file type box with a brand of HEIF or AVIF.
fn is_heif(bytes: &[u8]) -> bool {
    let brands: [&[u8]; 8] =
        [b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif"];
    bytes.get(4..8) == Some(b"ftyp") && bytes.get(8..12).is_some_and(|b| brands.contains(&b))
}

/// Whether a JPEG has the end mark after its picture; decoders fill up what is missing with grey
/// (ITU-T T.81, annex B: a marker segment has its length after the marker).
fn jpeg_ends(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(&[0xff, marker]) = bytes.get(at..at + 2) {
        if marker == 0xff {
            at += 1;
            continue;
        }
        let Some(&[high, low]) = bytes.get(at + 2..at + 4) else { return false };
        at += 2 + usize::from(u16::from_be_bytes([high, low]));
        if marker == 0xda {
            let rest = bytes.get(at..).unwrap_or_default();
            return rest.windows(2).any(|w| w == [0xff, 0xd9]);
        }
    }
    // Not a segment where one must stand: the decoder says what is wrong.
    at < bytes.len()
}

fn one_line(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default();
    line.chars().take(120).collect()
}
