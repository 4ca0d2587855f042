//! Templates measured.

use plumbfold::pipeline::Balanced;
use plumbfold_draw::text::Text;
use plumbfold_draw::units::Units;
use plumbfold_print::page::Paper;
use plumbfold_print::template::{Side, Sides, Template};
use plumbfold_print::{dxf, pdf};
use resvg::usvg;

use crate::reader::{self, Seen};
use crate::support::{balanced, shipped, text};

/// Points in a millimetre: an inch is 25.4 mm (international agreement, 1959) and 72 points
/// (ISO 32000-1:2008, 8.3.2.3).
const POINTS: f64 = 72.0 / 25.4;

fn template(plane: &Balanced) -> Template<'_> {
    let folded = plane.source.folded().expect("a folded plane");
    Template::new(folded, plane, Units::Mm).expect("a posed plane")
}

fn print(t: &Template<'_>, paper: Option<Paper>, sides: Sides) -> Vec<Seen> {
    reader::pages(&pdf::write(&t.name, &t.pages(paper, sides)).expect("pages"))
}

#[test]
fn every_page_is_the_sheet_and_both_bars_are_true() {
    for name in shipped() {
        let plane = balanced(&text(&name));
        let t = template(&plane);
        // Behind a plan of tiles the paper is left blank.
        let printed = print(&t, Some(Paper::A4), Sides::Both);
        for page in printed.into_iter().filter(|p| !p.lines.is_empty()) {
            // 100 mm is 283.465 pt, 4 in are 288 pt.
            assert!(page.nearest(283.465) < 0.1, "{name}: 100 mm, off {}", page.nearest(283.465));
            assert!(page.nearest(288.0) < 0.1, "{name}: 4 in, off {}", page.nearest(288.0));
        }
        for page in print(&t, None, Sides::Front) {
            let [w, h] = t.sheet_mm();
            let off = [page.size[0] - w * POINTS, page.size[1] - h * POINTS];
            assert!(off[0].abs() < 0.01 && off[1].abs() < 0.01, "{name}: page {:?}", page.size);
        }
    }
}

#[test]
fn a_known_crease_has_its_length_and_place() {
    // A corner of A4 folded to the middle line from the top middle makes a crease of
    // 105 mm times the square root of two, from the top middle at 45 degrees.
    let plane = balanced(&text("marlinspike"));
    let pages = print(&template(&plane), None, Sides::Both);
    let [front, back] = &pages[..] else { panic!("{} pages", pages.len()) };
    let wanted = 105.0 * 2.0_f64.sqrt() * POINTS;
    for page in [front, back] {
        let found: Vec<_> =
            page.lines.iter().filter(|l| (Seen::length(l) - wanted).abs() < 0.05).collect();
        assert_eq!(found.len(), 2, "both corners");
        for [a, b] in found {
            let top = if a[1] > b[1] { a } else { b };
            assert!((top[0] - 105.0 * POINTS).abs() < 0.03, "{top:?}");
            assert!((top[1] - 297.0 * POINTS).abs() < 0.03, "{top:?}");
        }
    }
}

#[test]
fn front_and_back_lie_on_each_other_when_the_page_is_turned() {
    // Cleat's fin is creased on one side only as seen here, so its image is telling: every line of
    // the front lies on a line of the back, left for right.
    let plane = balanced(&text("tiller"));
    let t = template(&plane);
    let sheet = t.sheet_mm()[0] * POINTS;
    let pages = print(&t, None, Sides::Both);
    let creases = |page: &Seen| -> Vec<reader::Line> {
        page.lines.iter().filter(|l| Seen::length(l) > 295.0).copied().collect()
    };
    let (front, back) = (creases(&pages[0]), creases(&pages[1]));
    assert!(front.len() > 3, "{front:?}");
    for line in &front {
        let image = line.map(|[x, y]| [sheet - x, y]);
        let near = |p: [f64; 2], q: [f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]) < 0.05;
        let same = |[a, b]: &reader::Line| {
            (near(*a, image[0]) && near(*b, image[1])) || (near(*a, image[1]) && near(*b, image[0]))
        };
        assert!(back.iter().any(same), "no image of {line:?}");
    }
}

#[test]
fn what_is_a_valley_on_the_front_is_a_mountain_on_the_back() {
    let plane = balanced(&text("tiller"));
    let t = template(&plane);
    let count =
        |side: Side, class: &str| t.svg(side).matches(&format!("class=\"{class}\"")).count();
    assert!(count(Side::Front, "valley") != count(Side::Front, "mountain"), "or nothing is told");
    assert_eq!(count(Side::Front, "valley"), count(Side::Back, "mountain"));
    assert_eq!(count(Side::Front, "mountain"), count(Side::Back, "valley"));
}

#[test]
fn a_sheet_larger_than_the_paper_comes_in_tiles_that_cover_it() {
    let big = text("marlinspike").replace("sheet A4", "sheet A2");
    let plane = balanced(&big);
    let t = template(&plane);
    let pages = t.pages(Some(Paper::A4), Sides::Front);
    // The first page shows where each tile belongs.
    let (plan, pages) = pages.split_first().expect("pages");
    assert!((5..=9).contains(&pages.len()), "{} pages for A2", pages.len());
    let plan = plan.svg();
    assert_eq!(plan.matches("class=\"tile\"").count(), pages.len());
    assert!(plan.contains(&format!("its {} pages", pages.len())), "{plan}");
    // The outline of the sheet is drawn on every tile at its place; the tiles' windows, moved to
    // the sheet, leave nothing out.
    let mut windows = Vec::new();
    for page in pages {
        let tree = parse(&page.svg());
        let sheet = bounds(&tree, 420.0, 594.0);
        let [w, h] = page.size;
        windows.push([11.0 - sheet[0], 11.0 - sheet[1], w - 11.0 - sheet[0], h - 11.0 - sheet[1]]);
    }
    for i in 0..=42 {
        for j in 0..=59 {
            let (x, y) = (f64::from(i) * 10.0, f64::from(j) * 10.0);
            let over =
                windows.iter().filter(|[l, t, r, b]| *l <= x && x <= *r && *t <= y && y <= *b);
            assert!(over.count() > 0, "({x}, {y}) is on no tile");
        }
    }
}

#[test]
fn tiles_printed_on_both_sides_have_their_own_back() {
    let big = text("marlinspike").replace("sheet A4", "sheet A3");
    let plane = balanced(&big);
    let pages = template(&plane).pages(Some(Paper::A4), Sides::Both);
    // Leaves: the plan and nothing behind it, then each tile and its back.
    assert_eq!(pages.len() % 2, 0);
    assert!(pages[1].parts.is_empty(), "a printer puts the second page behind the first");
    for leaf in pages[2..].chunks(2) {
        let [front, back] = [0, 1].map(|k| leaf[k].svg());
        let told = |svg: &str| svg.split("Page ").nth(1).map(|s| s[..6].to_owned());
        assert!(front.contains("(front") && back.contains("(back"), "{:?}", told(&front));
        assert_eq!(told(&front), told(&back));
    }
}

/// A millimetre in the units of usvg, which reads CSS: 96 to the inch.
const CSS: f64 = 96.0 / 25.4;

fn parse(svg: &str) -> usvg::Tree {
    usvg::Tree::from_str(svg, &usvg::Options::default()).unwrap_or_else(|e| panic!("{e}"))
}

/// Upper left corner, mm, of the closed path of this size.
fn bounds(tree: &usvg::Tree, w: f64, h: f64) -> [f64; 2] {
    fn walk(group: &usvg::Group, found: &mut impl FnMut(&usvg::Path)) {
        for node in group.children() {
            match node {
                usvg::Node::Group(g) => walk(g, found),
                usvg::Node::Path(p) => found(p),
                _ => {}
            }
        }
    }
    let mut at = None;
    walk(tree.root(), &mut |path| {
        let b = path.abs_bounding_box();
        let is = |a: f32, mm: f64| (f64::from(a) / CSS - mm).abs() < 0.02;
        if is(b.width(), w) && is(b.height(), h) {
            at = Some([f64::from(b.x()) / CSS, f64::from(b.y()) / CSS]);
        }
    });
    at.expect("the outline of the sheet")
}

#[test]
fn the_svg_is_the_sheet_for_another_parser_too() {
    let plane = balanced(&text("gaff"));
    let t = template(&plane);
    for side in [Side::Front, Side::Back] {
        let tree = parse(&t.svg(side));
        let size = tree.size();
        // Letter is 8.5 by 11 inches.
        assert!((f64::from(size.width()) - 8.5 * 96.0).abs() < 0.01, "{size:?}");
        assert!((f64::from(size.height()) - 11.0 * 96.0).abs() < 0.01, "{size:?}");
        let corner = bounds(&tree, 215.9, 279.4);
        assert!(corner[0].abs() < 0.01 && corner[1].abs() < 0.01, "{corner:?}");
    }
}

#[test]
fn the_dxf_holds_every_crease_in_millimetres() {
    let plane = balanced(&text("marlinspike"));
    let t = template(&plane);
    let drawing = dxf::write(&t);
    let groups: Vec<(&str, &str)> = {
        let lines: Vec<&str> = drawing.lines().collect();
        assert_eq!(lines.len() % 2, 0, "codes and values come in pairs");
        lines.chunks(2).map(|c| (c[0].trim(), c[1])).collect()
    };
    let entities = groups.iter().filter(|g| **g == ("0", "LINE")).count();
    assert_eq!(entities, 4 + t.runs.len() + t.bends.len() + t.balance.len());
    let x: Vec<f64> = groups
        .iter()
        .filter(|g| g.0 == "10" || g.0 == "11")
        .map(|g| g.1.parse().unwrap())
        .collect();
    let most = x.iter().copied().fold(0.0, f64::max);
    assert!((most - 210.0).abs() < 1e-6, "{most}");
    assert_eq!(groups.last(), Some(&("0", "EOF")));
    // Guides are in it where they are wanted: those on the side that is seen.
    let guided = t.guided(&plane.source.folded().expect("folds").run);
    let seen = guided.guides.iter().flat_map(|g| g.marks()).filter(|m| m.printed).count();
    let on_layer = |d: &str| d.lines().filter(|l| *l == "GUIDE").count();
    // Once in the table of layers.
    assert_eq!([on_layer(&drawing), on_layer(&dxf::write(&guided))], [1, 1 + seen]);
    assert!(seen > 2, "{seen}");
}

#[test]
fn guides_show_an_edge_a_millimetre_off_and_one_that_slid() {
    // A door folded 50 mm from the left edge lands with that edge at 100 mm.
    let text = "plane Door\nsheet A4 upright, 80 g/m2\n\
                valley parallel to left edge, 50 mm from it\nthrow 3 m/s, level, from 1.6 m\n";
    let plane = balanced(text);
    let folded = plane.source.folded().expect("folds");
    let t = template(&plane).guided(&folded.run);
    let [guide] = &t.guides[..] else { panic!("{:?}", t.guides) };
    assert!(guide.line.ends.iter().all(|p| (p.x - 0.1).abs() < 1e-9), "{guide:?}");
    // Drawn: the line itself, and finer ones where an edge a millimetre off would lie.
    let page = &print(&t, None, Sides::Both)[0];
    for x in [99.0, 100.0, 101.0] {
        let upright = |[a, b]: &&reader::Line| {
            let at = |p: &[f64; 2]| (p[0] - x * POINTS).abs() < 0.01;
            at(a) && at(b) && Seen::length(&[*a, *b]) < 13.0 * POINTS
        };
        assert_eq!(page.lines.iter().filter(upright).count(), 1, "{x} mm");
    }
    // Folded half a millimetre farther, the edge lies a millimetre off the line.
    let wrong = balanced(&text.replace("50 mm", "50.5 mm"));
    let wrong = wrong.source.folded().expect("folds");
    let lie = |model: &plumbfold::fold::state::Folded, p, over: bool| {
        let faces: Vec<_> = model.faces_at(p).collect();
        let face = if over { faces.first() } else { faces.last() };
        face.map(|&f| model.faces[f].placement.apply(p)).expect("on the paper")
    };
    let edge = lie(&wrong.run.folded, plumbfold::numeric::geom::SheetPoint::new(0.0, 0.15), true);
    let line = lie(&wrong.run.folded, guide.line.ends[0], true);
    assert!(((edge.x - line.x).abs() - 1e-3).abs() < 1e-9, "{edge:?} {line:?}");
    // The two halves of the tick meet at the edge and run on straight.
    let model = &folded.run.folded;
    let [under, over] = guide.tick.each_ref().map(|m| m.ends.map(|p| lie(model, p, true)));
    assert!(under[0].near(over[1]), "{under:?} {over:?}");
    assert!((under[1] - under[0]).cross(over[1] - over[0]).abs() < 1e-12, "one line");
    assert!(guide.tick[0].printed != guide.tick[1].printed, "the flap shows its back");
}

#[test]
fn the_balance_mark_is_where_the_plane_balances() {
    // Marlinspike's keel is the middle of the sheet and its nose the top middle: along the fold
    // the nose is at the top edge, so the mark stands that far from it.
    let plane = balanced(&text("marlinspike"));
    let t = template(&plane);
    let behind = plane.mass.behind_nose_m();
    let on_keel = t.balance.iter().filter(|m| m.printed);
    let mut seen = 0;
    for mark in on_keel {
        let [_, h] = t.model.sheet_m;
        for end in mark.ends {
            assert!((h - end.y - behind).abs() < 2e-3, "{end:?}, {behind}");
        }
        seen += 1;
    }
    assert_eq!(seen, 2, "one on either side of the keel");
}

#[test]
fn the_same_plane_gives_the_same_file() {
    let plane = balanced(&text("tiller"));
    let t = template(&plane);
    let once = pdf::write("x", &t.pages(Some(Paper::A4), Sides::Both)).expect("pages");
    let again = pdf::write("x", &t.pages(Some(Paper::A4), Sides::Both)).expect("pages");
    assert_eq!(once, again);
    let head = &once[..512];
    assert!(head.windows(17).any(|w| w == b"made by plumbfold"), "the mark stands at the start");
}

#[test]
fn lines_are_drawn_as_the_notation_has_them() {
    // A. Yoshizawa's notation as S. Randlett spread it ("The Art of Origami", Dutton 1961; from
    // memory): valley of dashes, mountain of a dash and two dots, an existing crease thin and full,
    // ending short of the edges.
    let plane = balanced(&text("fender"));
    let svg = template(&plane).svg(Side::Front);
    let tree = roxmltree::Document::parse(&svg).expect("a picture");
    let dashes = |class: &str| -> Vec<Vec<f64>> {
        let own = tree.descendants().filter(|n| n.attribute("class") == Some(class));
        own.map(|n| {
            let dashes = n.attribute("stroke-dasharray").unwrap_or_default();
            dashes.split(' ').filter_map(|d| d.parse().ok()).collect()
        })
        .collect()
    };
    let (valley, mountain, crease) = (dashes("valley"), dashes("mountain"), dashes("crease"));
    assert!(
        !valley.is_empty() && !mountain.is_empty() && !crease.is_empty(),
        "all three are there"
    );
    assert!(valley.iter().all(|d| d.len() == 2 && d[0] > d[1]), "{valley:?}");
    let dash_dot_dot = |d: &Vec<f64>| d.len() == 6 && d[0] > 4.0 * d[2] && d[2] == d[4];
    assert!(mountain.iter().all(dash_dot_dot), "{mountain:?}");
    assert!(crease.iter().all(Vec::is_empty), "{crease:?}");
}

#[test]
fn guides_lie_where_edges_land() {
    // Marlinspike's corners come to the middle line and are folded on: their raw edges land along
    // lines square to the middle, 105 mm below the top.
    let plane = balanced(&text("marlinspike"));
    let folded = plane.source.folded().expect("folds");
    let t = template(&plane).guided(&folded.run);
    assert!(!t.guides.is_empty());
    let landed = t
        .guides
        .iter()
        .map(|g| &g.line)
        .filter(|g| g.printed && g.ends.iter().all(|p| (0.297 - p.y - 0.105).abs() < 1e-6));
    assert_eq!(landed.count(), 2, "{:?}", t.guides);
}

/// A dart folded about the diagonal of a square, turned on the table before it is posed.
fn diagonal(turn: u32) -> String {
    format!(
        "plane Square\nsheet square 150 mm, 80 g/m2\n\
         crease top left corner onto bottom right corner, call it centre\n\
         valley left edge onto centre, both sides, call it blade\nmountain along centre\n\
         valley near half parallel to centre, 12 mm from it, both sides, call it wing\n\
         rotate {turn} deg clockwise\npose centre opens 8 deg, wing dihedral 8 deg\n\
         trim elevator up 1.5 mm, 6 mm deep\nthrow 4 m/s, level, from 1.6 m\n"
    )
}

#[test]
fn bends_lie_before_the_rear_edges_however_the_spine_lies_on_the_table() {
    let places = |turn: u32| {
        let plane = balanced(&diagonal(turn));
        let bends = template(&plane).bends;
        let mut at: Vec<[i64; 2]> = bends
            .iter()
            .map(|b| b.mark.ends[0].lerp(b.mark.ends[1], 0.5))
            .map(|p| [p.x, p.y].map(|m| (m * 1e6).round() as i64))
            .collect();
        at.sort_unstable();
        at
    };
    let upright = places(135);
    assert!(!upright.is_empty());
    assert_eq!(places(90), upright, "a spine at 45 degrees to the page");
}

#[test]
fn a_bend_says_which_way_it_goes_for_whoever_has_the_print_before_him() {
    // Half behind and a wing down on either outside: the wings of such a dart show the printed side
    // of the sheet underneath, and an edge bent up goes away from what is printed there.
    for name in ["marlinspike", "gaff"] {
        let up = text(name);
        let down = up.replace("up reflex", "down reflex");
        for (text, way, hand) in [(up, "up", "away from"), (down, "down", "towards")] {
            let plane = balanced(&text);
            let t = template(&plane);
            assert!(t.bends.iter().all(|b| b.mark.printed), "or the words are on the back");
            let svg = t.svg(Side::Front);
            let words = format!("mm {way}: {hand} this print");
            assert!(svg.contains(&words), "{name}: no `{words}`");
        }
    }
}

#[test]
fn the_template_alone_tells_what_its_lines_mean_and_nothing_crosses_its_words() {
    for name in shipped() {
        let plane = balanced(&text(&name));
        let t = template(&plane);
        for side in [Side::Front, Side::Back] {
            let svg = t.svg(side);
            let tree = roxmltree::Document::parse(&svg).expect("a picture");
            let number = |n: roxmltree::Node<'_, '_>, a: &str| -> f64 {
                n.attribute(a).and_then(|v| v.parse().ok()).unwrap_or(0.0)
            };
            let texts = || tree.descendants().filter(|n| n.has_tag_name("text"));
            let all: Vec<&str> = texts().filter_map(|n| n.text()).collect();
            let all = all.join(" ");
            assert!(all.contains("valley, to this side") && all.contains("mountain, behind"));
            let level = texts().filter(|n| n.attribute("transform").is_none());
            let words: Vec<([f64; 2], usize, String)> = level
                .map(|n| {
                    let said = n.text().unwrap_or_default().to_owned();
                    ([number(n, "x"), number(n, "y")], said.chars().count(), said)
                })
                .filter(|(_, letters, _)| *letters > 5)
                .collect();
            assert!(!words.is_empty());
            for ([x, y], _, said) in words {
                if said.contains("bend the edge") {
                    continue;
                }
                let end = x + Text::SMALL.width(&said);
                for run in &t.runs {
                    let [w, h] = t.sheet_mm();
                    let mm = run.ends.map(|p| {
                        let across = if side == Side::Front { p.x * 1e3 } else { w - p.x * 1e3 };
                        [across, h - p.y * 1e3]
                    });
                    let crossed = (0..=400).any(|i| {
                        let s = f64::from(i) / 400.0;
                        let p = [0, 1].map(|k| mm[0][k] + (mm[1][k] - mm[0][k]) * s);
                        x < p[0] && p[0] < end && y - 2.0 < p[1] && p[1] < y
                    });
                    assert!(!crossed, "{name}, {}: a crease runs through `{said}`", side.words());
                }
            }
        }
    }
}

#[test]
fn one_sign_shows_where_both_sides_of_the_keel_balance() {
    // On Gaff they lie a millimetre apart.
    let plane = balanced(&text("gaff"));
    let svg = template(&plane).svg(Side::Front);
    assert_eq!(svg.matches("class=\"balance-line\"").count(), 2);
    assert_eq!(svg.matches("class=\"balance-mark\"").count(), 1, "{svg}");
}
