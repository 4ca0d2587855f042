use super::*;
use std::collections::BTreeSet;

type Joint = (usize, usize, [(f64, f64); 2]);

/// Cells that all lie on one outline, every joint folded, neighbours the other way up.
fn pile(outline: &[(f64, f64)], up: Vec<bool>, joints: &[Joint]) -> Stack {
    let place = |&(x, y): &(f64, f64)| TablePoint::new(x, y);
    let hinge = |&(a, b, ref ends): &Joint| StackHinge {
        faces: [a, b],
        ends: [place(&ends[0]), place(&ends[1])],
        folded: true,
    };
    Stack {
        outlines: vec![outline.iter().map(place).collect(); up.len()],
        printed_up: up,
        hinges: joints.iter().map(hinge).collect(),
    }
}

/// A sheet ruled into `rows` by `columns` squares, all stacked on one. Cells in reading order.
fn map(rows: usize, columns: usize) -> Stack {
    let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    let mut joints = Vec::new();
    for (r, c) in (0..rows).flat_map(|r| (0..columns).map(move |c| (r, c))) {
        let cell = r * columns + c;
        if c + 1 < columns {
            let x = if c % 2 == 0 { 1.0 } else { 0.0 };
            joints.push((cell, cell + 1, [(x, 0.0), (x, 1.0)]));
        }
        if r + 1 < rows {
            let y = if r % 2 == 0 { 0.0 } else { 1.0 };
            joints.push((cell, cell + columns, [(0.0, y), (1.0, y)]));
        }
    }
    let up = (0..rows * columns).map(|i| (i / columns + i % columns).is_multiple_of(2));
    pile(&square, up.collect(), &joints)
}

/// `n` equal sectors round an inner point, all stacked on one.
fn star(n: usize) -> Stack {
    let (s, c) = (std::f64::consts::TAU / n as f64).sin_cos();
    let ray = |i: usize| if i.is_multiple_of(2) { (1.0, 0.0) } else { (c, s) };
    let joints: Vec<_> = (0..n).map(|i| (i, (i + 1) % n, [(0.0, 0.0), ray(i + 1)])).collect();
    pile(&[(0.0, 0.0), (1.0, 0.0), (c, s)], (0..n).map(|i| i % 2 == 0).collect(), &joints)
}

fn free(stack: &Stack) -> Question<'_> {
    let n = stack.outlines.len();
    Question {
        stack,
        preferred: (0..n).collect(),
        rigid: (0..n).collect(),
        below: vec![],
        marks: vec![],
    }
}

fn count(stack: &Stack) -> usize {
    let orders = free(stack).all(100_000).unwrap();
    let different: BTreeSet<_> = orders.iter().collect();
    assert_eq!(different.len(), orders.len());
    orders.len()
}

/// Mountains and valleys of an order, hinge by hinge.
fn pattern(stack: &Stack, order: &[FaceId]) -> String {
    let at = |f| order.iter().position(|&g| g == f).unwrap();
    let marks = (0..stack.hinges.len()).map(|i| {
        let [low, high] = stack.marked(i, Assignment::Valley).unwrap();
        if at(low) < at(high) { 'V' } else { 'M' }
    });
    marks.collect()
}

#[test]
fn strips_of_stamps() {
    // OEIS A000136: ways of folding a strip of n labelled stamps.
    for (n, ways) in [(1, 1), (2, 2), (3, 6), (4, 16), (5, 50), (6, 144)] {
        assert_eq!(count(&map(1, n)), ways, "1 x {n}");
    }
}

#[test]
fn maps_of_two_rows() {
    // OEIS A001415: ways of folding a 2 x n strip of stamps.
    for (n, ways) in [(1, 2), (2, 8), (3, 60), (4, 320)] {
        assert_eq!(count(&map(2, n)), ways, "2 x {n}");
    }
}

#[test]
fn a_map_of_three_rows() {
    // OEIS A001418 (from memory): ways of folding an n x n sheet of stamps, 1, 8, 1368, …
    assert_eq!(count(&map(3, 3)), 1368);
}

#[test]
fn two_by_five_map_in_under_a_second() {
    let start = std::time::Instant::now();
    // OEIS A001415.
    assert_eq!(count(&map(2, 5)), 1980);
    // The target is for optimised builds; the bench holds it more tightly.
    assert!(start.elapsed().as_secs_f64() < 5.0);
}

#[test]
fn the_eight_ways_to_fold_a_two_by_two_map() {
    // OEIS A001415 gives the number, 8; the stacks themselves are easily folded by hand.
    let stack = map(2, 2);
    let orders = free(&stack).all(100).unwrap();
    let words: BTreeSet<String> =
        orders.iter().map(|o| o.iter().map(|f| (f + 1).to_string()).collect()).collect();
    let all = ["1243", "1342", "2134", "2431", "3124", "3421", "4213", "4312"];
    assert_eq!(words.iter().map(String::as_str).collect::<Vec<_>>(), all);
}

#[test]
fn stamps_by_mountains_and_valleys() {
    // Splits of the A000136 totals; for n = 3: 1 + 1 + 2 + 2 = 6, for n = 4: 16, for n = 5: 50.
    let splits = [
        ("VM", 1),
        ("MV", 1),
        ("VV", 2),
        ("MM", 2),
        ("VMV", 1),
        ("MVM", 1),
        ("VMM", 2),
        ("MMV", 2),
        ("VVM", 2),
        ("MVV", 2),
        ("VVV", 3),
        ("MMM", 3),
        ("VMVM", 1),
        ("VMMV", 2),
        ("VMVV", 3),
        ("MMVM", 3),
        ("VVVV", 4),
        ("VVMM", 4),
    ];
    for (marks, ways) in splits {
        let stack = map(1, marks.len() + 1);
        let mark = |(i, m)| (i, if m == 'V' { Assignment::Valley } else { Assignment::Mountain });
        let question =
            Question { marks: marks.chars().enumerate().map(mark).collect(), ..free(&stack) };
        let orders = question.all(100).unwrap();
        assert_eq!(orders.len(), ways, "{marks}");
        orders.iter().for_each(|o| assert_eq!(pattern(&stack, o), marks));
    }
}

#[test]
fn equal_sectors_round_a_point() {
    // Layer orders are 2n times the closed meanders 1, 2, 8, 42 (OEIS A005315); the number of
    // mountain and valley patterns, 2 C(2n, n - 1), is from Hull, "Counting mountain-valley
    // assignments for flat folds" (Ars Combinatoria 67, 2003).
    for (degree, orders, patterns) in [(4, 8, 8), (6, 48, 30), (8, 336, 112)] {
        let stack = star(degree);
        let found = free(&stack).all(1000).unwrap();
        assert_eq!(found.len(), orders, "degree {degree}");
        let marks: BTreeSet<_> = found.iter().map(|o| pattern(&stack, o)).collect();
        assert_eq!(marks.len(), patterns, "degree {degree}");
        for m in marks {
            // Maekawa-Justin: mountains and valleys differ by two.
            let mountains = m.chars().filter(|&c| c == 'M').count();
            assert_eq!(mountains.abs_diff(degree - mountains), 2);
        }
    }
}

#[test]
fn the_second_look_agrees_with_the_clauses() {
    // Every permutation of a small stack: sound at the cut exactly when the solver lists it.
    for stack in [map(1, 5), map(2, 3), star(6)] {
        let sound: BTreeSet<_> = free(&stack).all(1000).unwrap().into_iter().collect();
        let mut order: Vec<FaceId> = (0..stack.outlines.len()).collect();
        let mut seen = 0;
        permutations(&mut order, 0, &mut |o| {
            seen += usize::from(first_crossing(&stack, o).is_none());
            assert_eq!(first_crossing(&stack, o).is_none(), sound.contains(o), "{o:?}");
        });
        assert_eq!(seen, sound.len());
    }
}

fn permutations(items: &mut Vec<usize>, from: usize, visit: &mut impl FnMut(&Vec<usize>)) {
    if from == items.len() {
        return visit(items);
    }
    for i in from..items.len() {
        items.swap(from, i);
        permutations(items, from + 1, visit);
        items.swap(from, i);
    }
}

#[test]
fn the_nearest_order_comes_first() {
    let stack = map(2, 2);
    let preferred = vec![2, 3, 1, 0];
    let question = Question { preferred: preferred.clone(), ..free(&stack) };
    // Among the eight, ranked by the pairs that keep their order, lowest pairs first.
    let key = |o: &Vec<FaceId>| -> Vec<bool> {
        let at = |f: usize| o.iter().position(|&g| g == f).unwrap();
        let pairs = (0..4).flat_map(|i| (i + 1..4).map(move |j| (i, j)));
        pairs.map(|(i, j)| at(preferred[i]) > at(preferred[j])).collect()
    };
    let mut all = question.all(100).unwrap();
    all.sort_by_key(key);
    for (k, order) in all.iter().enumerate() {
        assert_eq!(question.nth_nearest(k).unwrap().as_ref(), Some(order), "{k}");
    }
    assert_eq!(question.nth_nearest(8), Ok(None));
}

#[test]
fn says_which_conditions_clash() {
    // Stamps 0-1 and 2-3 bend at the same edge, and are asked to lie 0 2 1 3.
    let stack = map(1, 4);
    let question = Question { below: vec![[0, 2], [2, 1], [1, 3]], ..free(&stack) };
    let Err(LayerError::Impossible { conditions }) = question.nearest() else {
        panic!("a layer through a bend");
    };
    let rules: Vec<_> = conditions.iter().map(|c| c.rule).collect();
    assert!(rules.contains(&Rule::TacoTaco) && rules.contains(&Rule::Asked), "{rules:?}");
    assert!(!rules.contains(&Rule::Rigid));
}

#[test]
fn says_when_a_ring_would_be_woven() {
    // Four bars round a square hole, each asked to lie over the next.
    let bar = |x: f64, y: f64, w: f64, h: f64| {
        [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
            .map(|(x, y)| TablePoint::new(x, y))
            .to_vec()
    };
    let stack = Stack {
        outlines: vec![
            bar(0.0, 0.0, 3.0, 1.0),
            bar(2.0, 0.0, 1.0, 3.0),
            bar(0.0, 2.0, 3.0, 1.0),
            bar(0.0, 0.0, 1.0, 3.0),
        ],
        printed_up: vec![true; 4],
        hinges: vec![],
    };
    let ring = vec![[0, 1], [1, 2], [2, 3], [3, 0]];
    let question = Question { below: ring, ..free(&stack) };
    let Err(LayerError::Woven { ring }) = question.nearest() else { panic!("a ring") };
    assert_eq!(ring.len(), 4);
    let open = Question { below: vec![[0, 1], [1, 2], [2, 3]], ..free(&stack) };
    assert_eq!(open.nearest().unwrap(), [0, 1, 2, 3]);
}

/// 64 layers pleated on each other, six columns wide and flat across the columns, and 16 more.
fn thick() -> Stack {
    let (columns, layers) = (6, 64);
    let mut stack = Stack { outlines: vec![], printed_up: vec![], hinges: vec![] };
    let p = TablePoint::new;
    for k in 0..layers {
        for c in 0..columns {
            let x = c as f64;
            let face = stack.outlines.len();
            stack.outlines.push(vec![p(x, 0.0), p(x + 1.0, 0.0), p(x + 1.0, 1.0), p(x, 1.0)]);
            stack.printed_up.push(k % 2 == 0);
            if c > 0 {
                let ends = [p(x, 0.0), p(x, 1.0)];
                stack.hinges.push(StackHinge { faces: [face - 1, face], ends, folded: false });
            }
            if k > 0 {
                let y = if k % 2 == 1 { 1.0 } else { 0.0 };
                let ends = [p(x, y), p(x + 1.0, y)];
                let faces = [face - columns, face];
                stack.hinges.push(StackHinge { faces, ends, folded: true });
            }
        }
    }
    for i in 0..16 {
        let x = 0.3 * i as f64;
        stack.outlines.push(vec![p(x, 0.2), p(x + 0.7, 0.2), p(x + 0.4, 0.9)]);
        stack.printed_up.push(true);
    }
    stack
}

#[test]
fn four_hundred_faces_in_sixty_four_layers() {
    let stack = thick();
    let n = stack.outlines.len();
    assert_eq!(n, 400);
    // The pile has not moved; the loose pieces may lie anywhere, and are wished into the middle.
    let mut preferred: Vec<FaceId> = (0..384).collect();
    preferred.splice(192..192, 384..400);
    let rigid = (0..n).map(|f| if f < 384 { 0 } else { f }).collect();
    let question = Question { preferred: preferred.clone(), rigid, ..free(&stack) };
    let start = std::time::Instant::now();
    assert_eq!(question.nearest().unwrap(), preferred);
    let seconds = start.elapsed().as_secs_f64();
    eprintln!("400 faces ordered in {seconds:.3} s");
    assert!(seconds < 2.0);
}
