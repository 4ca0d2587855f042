//! Several designs in one booklet, with a page of contents that leads to each.

use plumbfold_draw::pose;
use plumbfold_draw::style::Ink;
use plumbfold_draw::svg::Rect;
use plumbfold_draw::text::{Text, shorten};

use crate::booklet::{Layout, Lesson};
use crate::effort::counted;
use crate::leaf::{BODY, Leaf, first_lines};
use crate::page::{Page, Paper, look};

/// Height of an entry of the contents, mm: lower where all then stand on one page.
const ENTRY: [f64; 2] = [15.5, 24.0];
/// Width of a name in the contents, mm.
const NAME: f64 = 90.0;
/// Room for the heading of the contents, mm.
const HEADING: f64 = 16.0;

/// What a viewer shows above it.
pub const TITLE: &str = "Planes to fold";

/// The pages: contents, then each design.
pub fn pages(lessons: &[Lesson<'_>], paper: Paper, layout: Layout) -> Vec<Page> {
    let room = Leaf::new(paper, "").area().h - HEADING;
    let entry = (room / lessons.len().max(1) as f64).clamp(ENTRY[0], ENTRY[1]);
    let per_page = ((room / entry) as usize).max(1);
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
    let leaves = entries.chunks(per_page).enumerate().map(|(i, c)| list(c, paper, i, entry));
    let number = |(i, leaf): (usize, Leaf)| leaf.finish("Contents", i + 1);
    leaves.enumerate().map(number).chain(designs).collect()
}

fn list(entries: &[(&Lesson<'_>, usize)], paper: Paper, index: usize, height: f64) -> Leaf {
    let mut leaf = Leaf::new(paper, &format!("contents-{index}"));
    let area = leaf.area();
    if index == 0 {
        leaf.bookmark("Contents");
    }
    leaf.heading([area.x, area.y], area.w, TITLE, 8.0);
    for (i, (lesson, page)) in entries.iter().enumerate() {
        let row = Rect::new(area.x, area.y + HEADING + height * i as f64, area.w, height);
        let size = [34.0, height - 1.0];
        let picture = pose::turned(&look(&leaf.next_id()), &lesson.plane.airframe, 0.55, 0.5, size);
        leaf.picture(picture, [row.x, row.y]);
        let x = row.x + 38.0;
        // A low row holds one line of the name.
        let style = Text::TITLE.sized(5.0);
        let (top, name) = match height < ENTRY[1] {
            true => (row.y + height / 2.0 - 6.5, shorten(&lesson.name, style, NAME)),
            false => (row.y + 4.0, first_lines(&lesson.name, style.size, NAME)),
        };
        let below = leaf.heading([x, top], NAME, &name, style.size);
        let effort = &lesson.effort;
        let words = format!(
            "{}, {}, {}",
            effort.difficulty_words(),
            counted(lesson.shown.len(), "step"),
            effort.time()
        );
        leaf.paragraph([x, below], 110.0, &words, BODY.in_ink(Ink::Soft));
        let at = [row.right() - 10.0, top];
        leaf.paragraph(at, 12.0, &page.to_string(), Text::TITLE.sized(5.0));
        leaf.link(row, page - 1);
    }
    leaf
}
