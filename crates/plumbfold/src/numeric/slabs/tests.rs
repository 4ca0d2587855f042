use super::*;

fn square(x: f64, y: f64, a: f64) -> Vec<XY> {
    polygon(&[(x, y), (x + a, y), (x + a, y + a), (x, y + a)])
}

fn polygon(corners: &[(f64, f64)]) -> Vec<XY> {
    corners.iter().map(|&(x, y)| XY { x, y }).collect()
}

fn area_of(cells: &[Cell], layers: usize) -> f64 {
    cells.iter().filter(|c| c.layers == layers).map(|c| c.shape.area()).sum()
}

fn length(rim: &[[XY; 2]]) -> f64 {
    rim.iter().map(|[a, b]| (b.x - a.x).hypot(b.y - a.y)).sum()
}

#[test]
fn two_overlapping_squares() {
    let cells = layer_cells(&[square(0.0, 0.0, 2.0), square(1.0, 1.0, 2.0)]);
    assert!((area_of(&cells, 1) - 6.0).abs() < 1e-9, "{cells:?}");
    assert!((area_of(&cells, 2) - 1.0).abs() < 1e-9, "{cells:?}");
}

#[test]
fn layers_times_area_is_the_paper() {
    let tri = polygon(&[(0.1, 0.1), (2.2, 0.4), (0.7, 1.9)]);
    let polygons = [square(0.0, 0.0, 2.0), tri, square(0.5, -0.5, 1.0)];
    let cells = layer_cells(&polygons);
    let paper: f64 = cells.iter().map(|c| c.layers as f64 * c.shape.area()).sum();
    let tri_area = 0.5 * (2.1 * 1.8 - 0.6 * 0.3);
    assert!((paper - (4.0 + 1.0 + tri_area)).abs() < 1e-9, "{paper}");
    // The same outlines, asked otherwise.
    assert_eq!(cells.iter().map(|c| c.layers).max(), Some(greatest_depth(&polygons)));
    let covered = Slabs::of_union(polygons.to_vec()).area();
    assert!((cells.iter().map(|c| c.shape.area()).sum::<f64>() - covered).abs() < 1e-9);
}

/// A square over the edge of another carries on beyond it as one cell, not two.
#[test]
fn a_square_in_two_slabs_is_one_cell_with_the_rim_of_a_square() {
    let t = |a: f64, b: f64| Trapezoid { y: [a, b], rear: [0.0; 2], front: [1.0; 2] };
    assert!((length(&border(&[t(0.0, 0.4), t(0.4, 1.0)])) - 4.0).abs() < 1e-12);
    let cells = layer_cells(&[square(0.0, 0.0, 1.0), square(2.0, 0.4, 0.2)]);
    assert_eq!(cells.len(), 2, "{cells:?}");
}

/// A chevron: the notch is no paper. Area by the shoelace formula, centroid by symmetry.
#[test]
fn a_notched_outline_is_cut_round_its_notch() {
    let chevron =
        polygon(&[(2.0, 0.0), (0.0, 3.0), (0.0, 2.0), (1.0, 0.0), (0.0, -2.0), (0.0, -3.0)]);
    let slabs = Slabs::of_simple(&chevron, &[0.5]);
    assert!((slabs.area() - 4.0).abs() < 1e-12, "{slabs:?}");
    assert!(slabs.pieces.iter().any(|t| t.y[0] == 0.5), "cut where it was asked for");
    let middle: f64 = slabs.pieces.iter().map(|t| t.area() * t.centroid().y).sum();
    assert!(middle.abs() < 1e-12);
    let in_notch = XY { x: 0.2, y: 0.0 };
    assert!(!slabs.pieces.iter().any(|t| t.contains(in_notch)));
    assert!(slabs.pieces.iter().any(|t| t.contains(XY { x: 1.5, y: 0.1 })));
}

/// A right triangle's centroid lies at a third of either side; a parallelogram's in its middle.
#[test]
fn centroids_are_those_of_the_textbook() {
    let triangle = Trapezoid { y: [0.0, 3.0], rear: [0.0; 2], front: [6.0, 0.0] };
    assert_eq!(triangle.centroid(), XY { x: 2.0, y: 1.0 });
    let leaning = Trapezoid { y: [1.0, 3.0], rear: [0.0, 4.0], front: [2.0, 6.0] };
    assert_eq!(leaning.centroid(), XY { x: 3.0, y: 2.0 });
    let none = Trapezoid { y: [1.0, 3.0], rear: [0.0, 4.0], front: [0.0, 4.0] };
    assert_eq!(none.centroid(), XY { x: 2.0, y: 2.0 });
}

/// Outlines nearer than the tolerance are side by side: no sliver of two layers between them.
#[test]
fn what_lies_within_the_tolerance_does_not_overlap() {
    for off in [-0.9, 0.0, 0.9] {
        let polygons = [square(0.0, 0.0, 1.0), square(1.0 + off * TOLERANCE_M, 0.0, 1.0)];
        assert_eq!(greatest_depth(&polygons), 1, "{off}");
        assert!(layer_cells(&polygons).iter().all(|c| c.layers == 1), "{off}");
        assert!((length(&border(&Slabs::of_union(polygons.to_vec()).pieces)) - 6.0).abs() < 1e-6);
    }
}
