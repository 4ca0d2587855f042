//! Several designs in one booklet, with a page of contents that leads to each.

use plumbfold_draw::pose;
use plumbfold_draw::style::Ink;
use plumbfold_draw::svg::Rect;
use plumbfold_draw::text::{Text, wrap};

use crate::booklet::{Layout, Lesson};
use crate::effort::counted;
use crate::leaf::{BODY, Leaf};
use crate::page::{Page, Paper, look};

/// Height of an entry of the contents, mm.
const ENTRY: f64 = 24.0;
/// Width of a name in the contents, mm.
const NAME: f64 = 90.0;
/// Room for the heading of the contents, mm.
const HEADING: f64 = 16.0;

/// The pages: contents, then each design.
pub fn pages(lessons: &[Lesson<'_>], paper: Paper, layout: Layout) -> Vec<Page> {
    let room = Leaf::new(paper, "").area().h - HEADING;
    let per_page = ((room / ENTRY) as usize).max(1);
    let contents = lessons.len().div_ceil(per_page).max(1);
    let mut number = contents + 1;
    let mut begins = Vec::new();
    let mut designs = Vec::new();
    for (i, lesson) in lessons.iter().enumerate() {
        begins.push(number);
        let pages = lesson.pages(paper, layout, &format!("d{i}"), number);
        number += pages.len();
        designs.extend(pages);
    }
    let entries: Vec<(&Lesson<'_>, usize)> = lessons.iter().zip(begins).collect();
    let mut out: Vec<Page> =
        entries.chunks(per_page).enumerate().map(|(i, chunk)| list(chunk, paper, i)).collect();
    out.extend(designs);
    out
}

/// A name that leaves room for the line under it.
fn two_lines(name: &str, style: Text) -> String {
    let lines = wrap(name, style, NAME);
    if lines.len() <= 2 { name.to_owned() } else { format!("{}…", lines[..2].join(" ")) }
}

fn list(entries: &[(&Lesson<'_>, usize)], paper: Paper, index: usize) -> Page {
    let mut leaf = Leaf::new(paper, &format!("contents-{index}"));
    let area = leaf.area();
    if index == 0 {
        leaf.bookmark("Contents");
    }
    leaf.heading([area.x, area.y], area.w, "Planes to fold", 8.0);
    for (i, (lesson, page)) in entries.iter().enumerate() {
        let row = Rect::new(area.x, area.y + HEADING + ENTRY * i as f64, area.w, ENTRY);
        let size = [34.0, ENTRY - 1.0];
        let picture = pose::turned(&look(&leaf.next_id()), &lesson.plane.airframe, 0.55, 0.5, size);
        leaf.picture(picture, [row.x, row.y]);
        let x = row.x + 38.0;
        let name = Text::TITLE.sized(5.0);
        let below = leaf.heading([x, row.y + 4.0], NAME, &two_lines(&lesson.name, name), name.size);
        let effort = &lesson.effort;
        let words = format!(
            "{}, {}, {}",
            effort.difficulty_words(),
            counted(lesson.shown.len(), "step"),
            effort.time()
        );
        leaf.paragraph([x, below], 110.0, &words, BODY.in_ink(Ink::Soft));
        let at = [row.right() - 10.0, row.y + 4.0];
        leaf.paragraph(at, 12.0, &page.to_string(), Text::TITLE.sized(5.0));
        leaf.link(row, page - 1);
    }
    leaf.finish("Contents", index + 1)
}
