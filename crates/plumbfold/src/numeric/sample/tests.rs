use super::*;

/// Counts really used: a candidate of `best`, a trial of a remedy, the facts of the trade, a
/// verdict.
const COUNTS: [usize; 4] = [24, 48, 60, 200];
/// Unknown numbers of one flight.
const FLIGHT: usize = 12;
const SEEDS: u64 = 40;

/// Columns of draws, one a dimension.
type Columns = Vec<Vec<f64>>;

fn columns(count: usize, dimensions: usize, draw: impl Fn(usize) -> Vec<f64>) -> Columns {
    let rows: Vec<Vec<f64>> = (0..count).map(draw).collect();
    (0..dimensions).map(|d| rows.iter().map(|r| r[d]).collect()).collect()
}

fn ours(count: usize, dimensions: usize, seed: u64) -> Columns {
    let draws = Draws::new(count, dimensions, seed);
    columns(count, dimensions, |i| draws.normal(i))
}

fn by_chance(count: usize, dimensions: usize, seed: u64) -> Columns {
    let rows: Vec<Vec<f64>> = {
        let mut rng = Pcg64::seed_from_u64(seed);
        let mut one = || (0..dimensions).map(|_| normal(rng.random())).collect();
        (0..count).map(|_| one()).collect()
    };
    columns(count, dimensions, |i| rows[i].clone())
}

fn mean(x: impl Iterator<Item = f64>) -> f64 {
    let (n, sum) = x.fold((0.0, 0.0), |(n, sum), x| (n + 1.0, sum + x));
    sum / n
}

fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let (ma, mb) = (mean(a.iter().copied()), mean(b.iter().copied()));
    let with = |f: &dyn Fn(f64, f64) -> f64| mean(a.iter().zip(b).map(|(x, y)| f(x - ma, y - mb)));
    with(&|x, y| x * y) / (with(&|x, _| x * x) * with(&|_, y| y * y)).sqrt()
}

/// Root of the mean square over seeds: of the correlation of each pair of dimensions, the middle
/// and the worst pair; of the mean and of the second moment less one, the worst dimension.
fn unevenness(count: usize, dimensions: usize, draw: fn(usize, usize, u64) -> Columns) -> [f64; 4] {
    let sets: Vec<Columns> = (1..=SEEDS).map(|seed| draw(count, dimensions, seed)).collect();
    let rms = |f: &dyn Fn(&Columns) -> f64| mean(sets.iter().map(|s| f(s).powi(2))).sqrt();
    let worst = |f: &dyn Fn(usize) -> f64| (0..dimensions).map(f).fold(0.0, f64::max);
    let mut pairs: Vec<f64> = (0..dimensions)
        .flat_map(|a| (0..a).map(move |b| (a, b)))
        .map(|(a, b)| rms(&|s| correlation(&s[a], &s[b])))
        .collect();
    pairs.sort_by(f64::total_cmp);
    [
        pairs[pairs.len() / 2],
        pairs[pairs.len() - 1],
        worst(&|a| rms(&|s| mean(s[a].iter().copied()))),
        worst(&|a| rms(&|s| mean(s[a].iter().map(|z| z * z)) - 1.0)),
    ]
}

/// Points 777 and 2047 of these dimensions as `scipy.stats.qmc.Sobol(d=55, scramble=False,
/// bits=32)` of SciPy 1.17 gives them; it numbers its points by Gray's code.
#[test]
fn the_sequence_is_that_of_joe_and_kuo() {
    let reference: [(u32, [f64; 12]); 2] = [
        (
            777,
            [
                0.163_085_937_5,
                0.745_117_187_5,
                0.696_289_062_5,
                0.383_789_062_5,
                0.403_320_312_5,
                0.370_117_187_5,
                0.063_476_562_5,
                0.461_914_062_5,
                0.266_601_562_5,
                0.032_226_562_5,
                0.952_148_437_5,
                0.692_382_812_5,
            ],
        ),
        (
            2047,
            [
                0.931_152_343_75,
                0.498_535_156_25,
                0.885_253_906_25,
                0.584_472_656_25,
                0.541_503_906_25,
                0.109_863_281_25,
                0.530_761_718_75,
                0.157_714_843_75,
                0.923_339_843_75,
                0.779_785_156_25,
                0.755_371_093_75,
                0.735_839_843_75,
            ],
        ),
    ];
    for (number, point) in reference {
        for (line, x) in TABLE.iter().zip(point) {
            let plain = Dimension { directions: directions(line), shift: 0 };
            let got = plain.at(number ^ number >> 1);
            assert!((got - x).abs() < 1e-9, "{got} for {x}");
        }
    }
}

/// The fair measure is what chance gives at the same count: a correlation of one over the root of
/// it in every pair.
#[test]
fn at_the_counts_used_draws_are_more_even_than_chance() {
    for count in COUNTS {
        let [pair, worst, first, second] = unevenness(count, FLIGHT, ours);
        let [pair_chance, _, first_chance, second_chance] = unevenness(count, FLIGHT, by_chance);
        println!("{count}: {pair:.3} of {pair_chance:.3}, {worst:.3}, {first:.3}, {second:.3}");
        assert!(pair < 0.9 * pair_chance, "{count}: {pair}, {pair_chance}");
        assert!(worst < 1.75 / (count as f64).sqrt(), "{count}: {worst}");
        assert!(first < 0.25 * first_chance, "{count}: {first}, {first_chance}");
        assert!(second < 0.6 * second_chance, "{count}: {second}, {second_chance}");
    }
}

/// Many dimensions, as a plane of many folds has them: pairs across groups are as by chance.
#[test]
fn many_dimensions_are_no_worse_than_chance() {
    let [pair, worst, first, second] = unevenness(300, 60, ours);
    let [pair_chance, worst_chance, ..] = unevenness(300, 60, by_chance);
    assert!(pair < pair_chance && worst < 1.2 * worst_chance, "{pair} {worst} {worst_chance}");
    assert!(first < 0.01 && second < 0.03, "{first} {second}");
}

#[test]
fn every_dimension_is_stratified() {
    for seed in 1..=SEEDS {
        for (count, layers, each) in [(24, 8, 3), (48, 16, 3), (200, 8, 25), (256, 256, 1)] {
            let draws = Draws::new(count, 30, seed);
            for column in columns(count, 30, |i| draws.uniform(i)) {
                let mut found = vec![0; layers];
                for u in column {
                    assert!(u > 0.0 && u < 1.0);
                    found[(u * layers as f64) as usize] += 1;
                }
                assert!(found.iter().all(|&n| n == each), "{count}: {found:?}");
            }
        }
    }
}

#[test]
fn a_draw_depends_on_its_number_and_the_seed_alone() {
    let (a, b) = (Draws::new(50, 20, 7), Draws::new(50, 20, 7));
    assert_eq!(a.uniform(31), b.uniform(31));
    let once: Vec<_> = (0..50).map(|i| a.uniform(i)).collect();
    let backwards: Vec<_> = (0..50).rev().map(|i| b.uniform(i)).collect();
    assert!(once.iter().eq(backwards.iter().rev()));
    assert!(once[0] != Draws::new(50, 20, 8).uniform(0));
    // The first group does not know how many there will be.
    assert_eq!(a.uniform(3)[..12], Draws::new(9, 12, 7).uniform(3)[..]);
    assert_eq!(Draws::new(5, 0, 1).uniform(2), [0.0; 0]);
}

/// Sobol's g-function: the product of (|4x - 2| + a) / (1 + a) has the integral 1 whatever the a
/// (A. Saltelli and I. M. Sobol, "About the use of rank transformation in sensitivity analysis of
/// model output", Reliab. Eng. Syst. Saf. 50, 1995). By chance the error falls with the root of the
/// count, of a scrambled net faster than any such root (A. B. Owen, "Scrambled net variance for
/// integrals of smooth functions", Ann. Stat. 25, 1997).
#[test]
fn the_error_of_an_integral_falls_faster_than_by_chance() {
    let g = |u: &[f64]| -> f64 {
        u.iter()
            .zip(1..)
            .map(|(x, a)| ((4.0 * x - 2.0).abs() + f64::from(a)) / f64::from(1 + a))
            .product()
    };
    let error = |count: usize, chance: bool| {
        let one = |seed: u64| {
            let draws = Draws::new(count, 6, seed);
            let mut rng = Pcg64::seed_from_u64(seed);
            let mut by_chance = || (0..6).map(|_| rng.random()).collect();
            let draw = |i| if chance { by_chance() } else { draws.uniform(i) };
            mean((0..count).map(draw).map(|u: Vec<f64>| g(&u))) - 1.0
        };
        mean((1..=SEEDS).map(|seed| one(seed).powi(2))).sqrt()
    };
    let (few, many) = (128, 8192);
    let fell = |chance| error(few, chance) / error(many, chance);
    // 64 times the count: by chance 8 times better.
    let (ours, theirs) = (fell(false), fell(true));
    assert!((5.0..12.0).contains(&theirs), "{theirs}");
    assert!(ours > 25.0, "{ours}");
    assert!(error(many, false) < error(many, true) / 20.0);
    assert!(error(24, false) < error(24, true) / 2.0);
}

/// Quantiles of the normal law (Abramowitz & Stegun 1964, table 26.5).
#[test]
fn normal_numbers_are_the_quantiles_as_published() {
    for (u, z) in [(0.5, 0.0), (0.975, 1.959_96), (0.1, -1.281_55), (0.995, 2.575_83)] {
        assert!((normal(u) - z).abs() < 1e-5, "{u}");
    }
    assert_eq!([normal(0.0), normal(1.0)], [-CUT, CUT]);
}
