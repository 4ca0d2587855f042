//! Pages to PDF 1.7 at exactly their size: real text in the shipped font, tagged for readers that
//! read aloud. ISO 32000-1:2008 is the source of every rule here.
//!
//! Same pages, same bytes: there is no date and no chance in the file.

mod data;
mod fonts;
mod content;
mod tree;

use pdf_writer::types::{ActionType, AnnotationType, PaintType, TilingType};
use pdf_writer::{Finish, Name, Pdf, Rect, Ref, TextStr};

use crate::page::Page;
use content::{Drawer, Tile};
use fonts::Fonts;
use tree::Tree;

/// A mark every file of ours carries near its beginning, by which the program knows its own.
pub const MARK: &str = "made by plumbfold";

/// Points in a millimetre: 72 to the inch.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Why pages could not be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PdfError {
    /// A picture is no SVG.
    #[error("a picture cannot be read: {0}")]
    Picture(#[from] roxmltree::Error),
    /// The shipped font cannot be read.
    #[error("the shipped font cannot be read: {0}")]
    Font(String),
    /// A picture holds something that is never drawn here.
    #[error("a picture holds `{what}`, which cannot be printed")]
    Unknown {
        /// What.
        what: String,
    },
}

/// Letters of a text that the shipped font lacks; a page has an empty square for each.
pub fn unprintable(text: &str) -> String {
    let face = ttf_parser::Face::parse(plumbfold_draw::FONTS[0], 0).ok();
    let has = |c: char| face.as_ref().is_some_and(|f| f.glyph_index(c).is_some());
    let mut out = String::new();
    for c in text.chars().filter(|&c| !c.is_control() && !has(c)) {
        if !out.contains(c) {
            out.push(c);
        }
    }
    out
}

/// Hands out numbers of objects.
struct Numbers(i32);

impl Numbers {
    fn next(&mut self) -> Ref {
        self.0 += 1;
        Ref::new(self.0)
    }
}

/// The file. `title` is what a viewer shows above it.
///
/// # Errors
/// [`PdfError`]; pictures of the drawing crate raise none.
pub fn write(title: &str, pages: &[Page]) -> Result<Vec<u8>, PdfError> {
    let mut numbers = Numbers(0);
    let mut pdf = Pdf::new();
    // First, so that the mark stands near the beginning of the file.
    let info = numbers.next();
    pdf.document_info(info).producer(TextStr(MARK)).title(TextStr(title));
    let (catalog, page_tree, structure) = (numbers.next(), numbers.next(), numbers.next());

    let mut drawer = Drawer { fonts: Fonts::new()?, opacities: Vec::new(), tiles: Vec::new() };
    let mut tree = Tree::default();
    let ids: Vec<Ref> = pages.iter().map(|_| numbers.next()).collect();
    let mut streams = Vec::new();
    for (page, &id) in pages.iter().zip(&ids) {
        tree.begin_page(id);
        streams.push(drawer.page(page, &mut tree)?);
    }

    let opacities: Vec<Ref> = drawer.opacities.iter().map(|_| numbers.next()).collect();
    for (&id, &opacity) in opacities.iter().zip(&drawer.opacities) {
        pdf.ext_graphics(id).non_stroking_alpha(opacity);
    }
    let tiles: Vec<Ref> = drawer.tiles.iter().map(|_| numbers.next()).collect();
    for (&id, tile) in tiles.iter().zip(&drawer.tiles) {
        pattern(&mut pdf, id, tile);
    }
    let fonts = drawer.fonts.write(&mut pdf, &mut || numbers.next())?;

    for (i, ((page, &id), stream)) in pages.iter().zip(&ids).zip(&streams).enumerate() {
        let contents = numbers.next();
        pdf.stream(contents, &packed(stream)).filter(pdf_writer::Filter::FlateDecode);
        let links: Vec<Ref> = page.links.iter().map(|_| numbers.next()).collect();
        for (&link, (at, to)) in links.iter().zip(&page.links) {
            let Some(&target) = ids.get(*to) else { continue };
            let height = page.size[1];
            let mut note = pdf.annotation(link);
            note.subtype(AnnotationType::Link).border(0.0, 0.0, 0.0, None).rect(Rect::new(
                points(at.x),
                points(height - at.bottom()),
                points(at.right()),
                points(height - at.y),
            ));
            note.action().action_type(ActionType::GoTo).destination().page(target).fit();
        }
        let mut out = pdf.page(id);
        out.media_box(Rect::new(0.0, 0.0, points(page.size[0]), points(page.size[1])));
        out.parent(page_tree).contents(contents).struct_parents(i as i32);
        out.tab_order(pdf_writer::types::TabOrder::StructureOrder);
        if !links.is_empty() {
            out.annotations(links);
        }
        let mut resources = out.resources();
        let mut own = resources.fonts();
        for (name, font) in &fonts {
            own.pair(Name(name.as_bytes()), *font);
        }
        own.finish();
        let mut own = resources.ext_g_states();
        for (k, id) in opacities.iter().enumerate() {
            own.pair(Name(format!("A{k}").as_bytes()), *id);
        }
        own.finish();
        let mut own = resources.patterns();
        for (k, id) in tiles.iter().enumerate() {
            own.pair(Name(format!("T{k}").as_bytes()), *id);
        }
    }
    pdf.pages(page_tree).kids(ids.iter().copied()).count(ids.len() as i32);
    let next_key = tree.write(&mut pdf, structure, &mut || numbers.next());
    let outline = bookmarks(&mut pdf, pages, &ids, &mut numbers);

    let mut root = pdf.catalog(catalog);
    root.pages(page_tree).lang(TextStr("en"));
    // Viewers then offer `actual size` first, and show the title.
    let mut viewer = root.viewer_preferences();
    viewer.display_doc_title(true).insert(Name(b"PrintScaling")).primitive(Name(b"None"));
    viewer.finish();
    root.mark_info().marked(true);
    root.pair(Name(b"StructTreeRoot"), next_key);
    if let Some(outline) = outline {
        root.outlines(outline).page_mode(pdf_writer::types::PageMode::UseOutlines);
    }
    root.finish();
    Ok(pdf.finish())
}

fn points(mm: f64) -> f32 {
    (mm * POINTS_PER_MM) as f32
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(bytes, 7)
}

fn pattern(pdf: &mut Pdf, id: Ref, tile: &Tile) {
    let [w, h] = tile.size.map(|s| s as f32);
    let scale = POINTS_PER_MM as f32;
    let mut out = pdf.tiling_pattern(id, &tile.content);
    out.paint_type(PaintType::Colored).tiling_type(TilingType::ConstantSpacing);
    out.bbox(Rect::new(0.0, 0.0, w, h)).x_step(w).y_step(h);
    out.matrix([scale, 0.0, 0.0, scale, 0.0, 0.0]);
    out.resources();
}

/// The list of headings beside the pages; none where there are none.
fn bookmarks(pdf: &mut Pdf, pages: &[Page], ids: &[Ref], numbers: &mut Numbers) -> Option<Ref> {
    let marked: Vec<(&str, Ref)> =
        pages.iter().zip(ids).filter_map(|(p, &id)| Some((p.bookmark.as_deref()?, id))).collect();
    if marked.is_empty() {
        return None;
    }
    let root = numbers.next();
    let items: Vec<Ref> = marked.iter().map(|_| numbers.next()).collect();
    pdf.outline(root).first(items[0]).last(items[items.len() - 1]).count(items.len() as i32);
    for (i, ((heading, page), &id)) in marked.iter().zip(&items).enumerate() {
        let mut item = pdf.outline_item(id);
        item.title(TextStr(heading)).parent(root);
        item.dest().page(*page).fit();
        if i > 0 {
            item.prev(items[i - 1]);
        }
        if let Some(&next) = items.get(i + 1) {
            item.next(next);
        }
    }
    Some(root)
}
