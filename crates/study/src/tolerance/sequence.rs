//! Points that fill a cube evenly: Sobol' sequences scrambled after Owen (A. Owen, Randomly permuted (t,m,s)-nets and (t,s)-sequences,
//! 1995), from a library. Another seed gives an independent scrambling, so that several of them tell their own error.

use sobol_burley::sample;

use hoopwright_statistics::normal::quantile;

/// Most points of one sequence.
pub const MOST_POINTS: usize = 1 << 16;
/// Numbers come in steps of 2^-24; half a step keeps them off 0 and 1.
const HALF_STEP: f64 = 1.0 / (1 << 25) as f64;

/// Coordinate `dimension` (below 256) of point `index` (below [`MOST_POINTS`]), strictly between 0 and 1.
pub fn uniform(index: usize, dimension: usize, seed: u32) -> f64 {
    f64::from(sample(index as u32, dimension as u32, seed)) + HALF_STEP
}

/// The first points of a sequence, of independent standard normal coordinates.
pub fn normal_points(count: usize, dimensions: usize, seed: u32) -> Vec<Vec<f64>> {
    (0..count.min(MOST_POINTS)).map(|i| (0..dimensions).map(|k| quantile(uniform(i, k, seed))).collect()).collect()
}

/// A seed of its own for one purpose of a study (Steele, Lea and Flood's mixing of 64 bits, 2014).
pub fn seed_for(seed: u32, purpose: u64) -> u32 {
    let mut x = (u64::from(seed) << 32 | 0x9e37_79b9).wrapping_add(purpose.wrapping_mul(0x9e37_79b9_7f4a_7c15));
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    (x ^ (x >> 31)) as u32
}
