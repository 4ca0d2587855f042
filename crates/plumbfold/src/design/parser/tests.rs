use super::parse;
use crate::design::testing::mistakes;
use insta::assert_snapshot;

/// Uses every form once; other tests cut it up.
pub const EVERY_FORM: &str = r#"plane Capstan
about A test of everything, # with a comment
about said in two lines.
sheet A4 sideways, 20 lb bond, thickness 0.1 mm, printed side down
creep off
let tip = 24 mm, from 8 mm to width / 4   # how far the tip comes back
let turns = 3
let lean = atan(1/2) + 2 * (3 deg - 1°)
let inch = 3/8 in + 8 1/2 in

mark nose = top middle
mark aft = bottom edge
crease left edge onto right edge, call it centre
valley fold the top left corner onto centre, hinged at nose; both sides
valley top middle back by tip along centre
mountain along centre
valley near half parallel to centre, 22 mm from it towards left middle both sides call it wing
crease through nose and bottom left corner, call it diagonal
crease top left corner onto bottom right corner
crease perpendicular to diagonal through nose
crease top left corner onto centre and top right corner onto aft, take 2
crease top left corner onto centre, perpendicular to left edge, nearest bottom middle
crease at 22.5 deg to left edge through (20 mm, 35 mm)
valley top 2 layers along line from 1/3 along left edge to tip along right edge from top right corner, moving left
valley bottom layer along centre, moving top edge, under nose
valley all layers along centre, moving top right corner, inside
valley flap at nose, along centre, over crossing of centre and diagonal
mountain far half along centre, moving down
unfold
unfold wing
turn over
rotate 90 deg clockwise
repeat turns times
  valley aft onto centre, call it aft
  repeat 2 times
    turn over
  end
end
collapse diagonal valley, centre from nose to bottom middle mountain, wing flat, holding top middle, call it base
inside reverse nose along diagonal, call it beak
outside reverse top middle through nose and top left corner
crimp nose between diagonal and wing
pleat nose between parallel to wing, 5 mm from it and parallel to wing, 10 mm from it
squash centre onto wing, hinged at nose
petal nose onto bottom middle, take 2
rabbit ear nose between top left corner and top right corner, towards top left corner
waterbomb base on top square
preliminary base
open sink nose along wing
swivel centre onto wing, hinged at nose, both sides
tuck nose under bottom middle along wing
pose centre opens 8 deg; wing dihedral lean
trim elevator up 2 mm, 10 mm deep
trim rudder left 1 mm
ballast clip 0.5 g at 12 mm behind nose, 5 mm above keel, 1 mm left
ballast tape 0.2 g at (20 mm, 35 mm)
ballast staple 0.03 g at 1/2 along centre
throw 4 m/s, level, from 1.8 m, banked 5 deg left
"#;

#[test]
fn every_form_is_read() {
    assert_snapshot!(mistakes(EVERY_FORM), @"");
    let (design, _) = parse(EVERY_FORM);
    assert_eq!(design.name.map(|n| n.node).as_deref(), Some("Capstan"));
    assert_eq!(design.about.len(), 2);
    assert_eq!(design.about[0].node, "A test of everything,");
    assert_eq!(design.lets[0].node.note.as_deref(), Some("how far the tip comes back"));
    assert_eq!(design.steps.len(), 36);
    assert_eq!((design.trims.len(), design.ballast.len()), (2, 3));
}
