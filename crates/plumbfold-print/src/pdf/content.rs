//! A picture of the drawing crate as the operators of a page. It knows what that crate writes and
//! nothing else of SVG: groups, paths, tiles, clips and lines of writing.

use std::collections::HashMap;

use pdf_writer::types::{LineCapStyle, LineJoinStyle, StructRole};
use pdf_writer::{Content, Finish, Name, Str};
use roxmltree::{Document, Node};

use super::data::trace;
use super::fonts::Fonts;
use super::tree::Tree;
use super::{POINTS_PER_MM, PdfError};
use crate::page::{Page, Part};

/// A tile of a pattern.
#[derive(PartialEq)]
pub struct Tile {
    pub size: [f64; 2],
    pub content: Vec<u8>,
}

/// What pages share.
pub struct Drawer {
    pub fonts: Fonts,
    pub opacities: Vec<f32>,
    pub tiles: Vec<Tile>,
}

/// A picture being drawn.
struct Picture<'a> {
    drawer: &'a mut Drawer,
    tree: &'a mut Tree,
    out: Content,
    /// What is drawn belongs to a piece that is read as a whole.
    inside: bool,
    tiles: HashMap<String, usize>,
    clips: HashMap<String, String>,
}

impl Drawer {
    /// The operators of a page.
    pub fn page(&mut self, page: &Page, tree: &mut Tree) -> Result<Vec<u8>, PdfError> {
        let mut out = Content::new();
        // From here on a unit is a millimetre and y runs down, as in the pictures.
        let scale = POINTS_PER_MM as f32;
        let top = (page.size[1] * POINTS_PER_MM) as f32;
        out.save_state().transform([scale, 0.0, 0.0, -scale, 0.0, top]);
        out.set_line_join(LineJoinStyle::RoundJoin).set_line_cap(LineCapStyle::RoundCap);
        for part in &page.parts {
            out = self.part(part, out, tree)?;
        }
        out.restore_state();
        Ok(out.finish().to_vec())
    }

    fn part(
        &mut self,
        part: &Part,
        mut out: Content,
        tree: &mut Tree,
    ) -> Result<Content, PdfError> {
        let document = Document::parse(&part.svg)?;
        let root = document.root_element();
        let (tiles, clips) = (self.tiles_of(root)?, clips_of(root));
        let [x, y] = part.at;
        out.save_state();
        if part.at != [0.0; 2] {
            out.transform([1.0, 0.0, 0.0, 1.0, x as f32, y as f32]);
        }
        let inside = part.figure;
        if inside {
            let mark = tree.piece(StructRole::Figure, Some(says(root)));
            begin(&mut out, StructRole::Figure, mark);
        }
        let mut picture = Picture { drawer: self, tree, out, inside, tiles, clips };
        picture.children(root)?;
        let mut out = picture.out;
        if inside {
            out.end_marked_content();
        }
        out.restore_state();
        Ok(out)
    }

    /// The patterns of a picture, by id.
    fn tiles_of(&mut self, root: Node<'_, '_>) -> Result<HashMap<String, usize>, PdfError> {
        let mut found = HashMap::new();
        for node in root.descendants().filter(|n| n.has_tag_name("pattern")) {
            let size = ["width", "height"].map(|name| number(node, name));
            let mut content = Content::new();
            for path in node.children().filter(|n| n.has_tag_name("path")) {
                let [r, g, b] = colour(path, "fill").or(colour(path, "stroke")).unwrap_or_default();
                let full = colour(path, "fill").is_some();
                content.set_fill_rgb(r, g, b).set_stroke_rgb(r, g, b);
                content.set_line_width(number(path, "stroke-width") as f32);
                content.set_line_cap(LineCapStyle::ProjectingSquareCap);
                draw_data(&mut content, path)?;
                if full {
                    content.fill_nonzero()
                } else {
                    content.stroke()
                };
            }
            let tile = Tile { size, content: content.finish().to_vec() };
            let known = self.tiles.iter().position(|t| *t == tile);
            let index = known.unwrap_or_else(|| {
                self.tiles.push(tile);
                self.tiles.len() - 1
            });
            found.insert(attribute(node, "id").to_owned(), index);
        }
        Ok(found)
    }

    fn opacity(&mut self, value: f32) -> String {
        let known = self.opacities.iter().position(|&o| o == value);
        let index = known.unwrap_or_else(|| {
            self.opacities.push(value);
            self.opacities.len() - 1
        });
        format!("A{index}")
    }
}

impl Picture<'_> {
    fn children(&mut self, node: Node<'_, '_>) -> Result<(), PdfError> {
        node.children().filter(Node::is_element).try_for_each(|child| self.node(child))
    }

    fn node(&mut self, node: Node<'_, '_>) -> Result<(), PdfError> {
        match node.tag_name().name() {
            "title" | "desc" | "defs" => Ok(()),
            "g" => self.group(node),
            "path" => {
                let artifact = !self.inside;
                if artifact {
                    self.out.begin_marked_content(Name(b"Artifact"));
                }
                self.path(node)?;
                if artifact {
                    self.out.end_marked_content();
                }
                Ok(())
            }
            "text" => {
                let heading = attribute(node, "font-weight") == "600";
                let role = if heading { StructRole::H2 } else { StructRole::P };
                self.piece(role, |picture| {
                    picture.text(node);
                    Ok(())
                })
            }
            other => Err(PdfError::Unknown { what: other.to_owned() }),
        }
    }

    /// What is drawn is read as one piece, unless it is part of one already.
    fn piece(
        &mut self,
        role: StructRole,
        draw: impl FnOnce(&mut Self) -> Result<(), PdfError>,
    ) -> Result<(), PdfError> {
        if self.inside {
            return draw(self);
        }
        let mark = self.tree.piece(role, None);
        begin(&mut self.out, role, mark);
        self.inside = true;
        draw(self)?;
        self.inside = false;
        self.out.end_marked_content();
        Ok(())
    }

    fn group(&mut self, node: Node<'_, '_>) -> Result<(), PdfError> {
        let class = attribute(node, "class");
        if class == "paragraph" || class == "heading" {
            let role = if class == "heading" { StructRole::H1 } else { StructRole::P };
            return self.piece(role, |picture| picture.children(node));
        }
        let clip = reference(attribute(node, "clip-path")).map(str::to_owned);
        let Some(clip) = clip.and_then(|id| self.clips.get(&id).cloned()) else {
            return self.children(node);
        };
        self.out.save_state();
        if trace(&mut self.out, &clip) {
            self.out.clip_nonzero();
        }
        self.out.end_path();
        self.children(node)?;
        self.out.restore_state();
        Ok(())
    }

    fn path(&mut self, node: Node<'_, '_>) -> Result<(), PdfError> {
        let fill = attribute(node, "fill");
        let stroke = colour(node, "stroke");
        let tile = reference(fill).and_then(|id| self.tiles.get(id).copied());
        let filled = tile.is_some() || colour(node, "fill").is_some();
        if !filled && stroke.is_none() {
            return Ok(());
        }
        let dashes = attribute(node, "stroke-dasharray");
        let veil = node.attribute("fill-opacity").and_then(|o| o.parse().ok());
        let own_state = veil.is_some() || tile.is_some() || !dashes.is_empty();
        if own_state {
            self.out.save_state();
        }
        if let Some(veil) = veil {
            let name = self.drawer.opacity(veil);
            self.out.set_parameters(Name(name.as_bytes()));
        }
        if let Some(index) = tile {
            self.out.set_fill_color_space(pdf_writer::types::ColorSpaceOperand::Pattern);
            self.out.set_fill_pattern([], Name(format!("T{index}").as_bytes()));
        } else if let Some([r, g, b]) = colour(node, "fill") {
            self.out.set_fill_rgb(r, g, b);
        }
        if let Some([r, g, b]) = stroke {
            self.out.set_stroke_rgb(r, g, b);
            self.out.set_line_width(number(node, "stroke-width") as f32);
        }
        if !dashes.is_empty() {
            let dashes = dashes.split(' ').filter_map(|d| d.parse::<f32>().ok());
            self.out.set_dash_pattern(dashes, 0.0).set_line_cap(LineCapStyle::ButtCap);
        }
        draw_data(&mut self.out, node)?;
        match (filled, stroke.is_some()) {
            (true, true) => self.out.fill_nonzero_and_stroke(),
            (true, false) => self.out.fill_nonzero(),
            (false, _) => self.out.stroke(),
        };
        if own_state {
            self.out.restore_state();
        }
        Ok(())
    }

    fn text(&mut self, node: Node<'_, '_>) {
        let (x, y, size) = (number(node, "x"), number(node, "y"), number(node, "font-size"));
        let strong = attribute(node, "font-weight") == "600";
        let (bytes, width) = self.drawer.fonts.spell(node.text().unwrap_or_default(), strong);
        let back = match attribute(node, "text-anchor") {
            "middle" => width * size / 2.0,
            "end" => width * size,
            _ => 0.0,
        };
        // Letters stand upright where y runs down, or read upwards.
        let turned = node.has_attribute("transform");
        let matrix = if turned {
            [0.0, -1.0, -1.0, 0.0, x as f32, (y + back) as f32]
        } else {
            [1.0, 0.0, 0.0, -1.0, (x - back) as f32, y as f32]
        };
        let [r, g, b] = colour(node, "fill").unwrap_or_default();
        if let Some([r, g, b]) = colour(node, "stroke") {
            // The rim under the letters is drawn, not written: a reader would find it twice.
            self.out.save_state().set_stroke_rgb(r, g, b);
            self.out.set_line_width(number(node, "stroke-width") as f32);
            let text = node.text().unwrap_or_default();
            self.drawer.fonts.outline(text, strong, size as f32, matrix, &mut self.out);
            self.out.stroke().restore_state();
        }
        self.out.begin_text();
        self.out.set_font(Fonts::name(strong), size as f32);
        self.out.set_fill_rgb(r, g, b);
        self.out.set_text_matrix(matrix).show(Str(&bytes));
        self.out.end_text();
    }
}

fn begin(out: &mut Content, role: StructRole, mark: i32) {
    let name: &[u8] = match role {
        StructRole::Figure => b"Figure",
        StructRole::H1 => b"H1",
        StructRole::H2 => b"H2",
        _ => b"P",
    };
    let mut content = out.begin_marked_content_with_properties(Name(name));
    content.properties().identify(mark).finish();
}

fn draw_data(out: &mut Content, path: Node<'_, '_>) -> Result<(), PdfError> {
    let data = attribute(path, "d");
    if trace(out, data) { Ok(()) } else { Err(PdfError::Unknown { what: data.to_owned() }) }
}

fn clips_of(root: Node<'_, '_>) -> HashMap<String, String> {
    let clips = root.descendants().filter(|n| n.has_tag_name("clipPath"));
    let data = |n: Node<'_, '_>| Some(attribute(n.first_element_child()?, "d").to_owned());
    clips.filter_map(|n| Some((attribute(n, "id").to_owned(), data(n)?))).collect()
}

/// Title and description of a picture.
fn says(root: Node<'_, '_>) -> String {
    let text = |name| {
        let node = root.children().find(|n| n.has_tag_name(name));
        node.and_then(|n| n.text()).unwrap_or_default().trim().to_owned()
    };
    [text("title"), text("desc")]
        .into_iter()
        .filter(|t| !t.is_empty())
        .collect::<Vec<_>>()
        .join(". ")
}

fn attribute<'a>(node: Node<'a, '_>, name: &str) -> &'a str {
    node.attribute(name).unwrap_or_default()
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    attribute(node, name).parse().unwrap_or(0.0)
}

/// What `url(#id)` points at.
fn reference(value: &str) -> Option<&str> {
    value.strip_prefix("url(#")?.strip_suffix(')')
}

/// `#rrggbb`, as parts of one.
fn colour(node: Node<'_, '_>, name: &str) -> Option<[f32; 3]> {
    let hex = attribute(node, name).strip_prefix('#')?;
    let part = |i: usize| {
        let byte = u8::from_str_radix(hex.get(i..i + 2)?, 16).ok()?;
        Some(f32::from(byte) / 255.0)
    };
    Some([part(0)?, part(2)?, part(4)?])
}
