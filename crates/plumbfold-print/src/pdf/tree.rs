//! What the pages say, in reading order, for readers that read aloud (ISO 32000-1, 14.7).

use pdf_writer::types::StructRole;
use pdf_writer::{Finish, Name, Pdf, Ref, TextStr};

/// A piece of a page.
struct Piece {
    role: StructRole,
    page: usize,
    mark: i32,
    /// What a picture shows.
    says: Option<String>,
}

/// All pieces.
#[derive(Default)]
pub struct Tree {
    pages: Vec<Ref>,
    pieces: Vec<Piece>,
    marks: i32,
}

impl Tree {
    /// What follows stands on this page.
    pub fn begin_page(&mut self, page: Ref) {
        self.pages.push(page);
        self.marks = 0;
    }

    /// A new piece of the page begun last; the number by which the page marks it.
    pub fn piece(&mut self, role: StructRole, says: Option<String>) -> i32 {
        let (page, mark) = (self.pages.len() - 1, self.marks);
        self.pieces.push(Piece { role, page, mark, says });
        self.marks += 1;
        mark
    }

    /// Writes the tree.
    pub fn write(&self, pdf: &mut Pdf, root: Ref, next: &mut impl FnMut() -> Ref) -> Ref {
        let document = next();
        let ids: Vec<Ref> = self.pieces.iter().map(|_| next()).collect();
        for (piece, &id) in self.pieces.iter().zip(&ids) {
            let mut out = pdf.struct_element(id);
            out.kind(piece.role).parent(document).page(self.pages[piece.page]);
            if let Some(says) = &piece.says {
                out.alt(TextStr(says));
            }
            out.children().marked_content_id(piece.mark);
        }
        let mut out = pdf.struct_element(document);
        out.kind(StructRole::Document).parent(root);
        let mut children = out.children();
        for &id in &ids {
            children.struct_element(id);
        }
        children.finish();
        out.finish();
        // From the marks of each page back to the pieces.
        let lists: Vec<Ref> = self.pages.iter().map(|_| next()).collect();
        for (page, &list) in lists.iter().enumerate() {
            let own = self.pieces.iter().zip(&ids).filter(|(p, _)| p.page == page);
            pdf.indirect(list).array().items(own.map(|(_, &id)| id));
        }
        let numbers = next();
        let mut tree = pdf.indirect(numbers).dict();
        let mut list = tree.insert(Name(b"Nums")).array();
        for (page, &id) in lists.iter().enumerate() {
            list.item(page as i32).item(id);
        }
        list.finish();
        tree.finish();
        pdf.indirect(root)
            .dict()
            .pair(Name(b"Type"), Name(b"StructTreeRoot"))
            .pair(Name(b"K"), document)
            .pair(Name(b"ParentTree"), numbers)
            .pair(Name(b"ParentTreeNextKey"), lists.len() as i32);
        root
    }
}
