//! Where each node of the half tyre lies, on a grid of half elements.

use crate::geometry::{GeometryError, half_thickness, meridian::Meridian, outline::Outline, step};
use hoopwright_case::Case;

/// Share of the sidewall's half thickness taken by the tongue.
const TONGUE_SHARE: f64 = 0.16;
/// Share of the band taken by the plies: round the bundle, where chafer and rubber cover them, and in the casing. A choice of the model.
const PLY_SHARE_AT_BEAD: f64 = 0.4;
const PLY_SHARE_IN_CASING: f64 = 0.7;

/// Elements for each unit of refinement: through the plies and what covers them, and up the height of the filler, where the casing lies on
/// the crest. What other numbers of them do is measured in `validation/notebook/local_release.md`.
const THROUGH_PLIES: usize = 2;
const THROUGH_COVER: usize = 2;
const BESIDE_FILLER: usize = 13;
/// Usual length of a row from there to the crown, mm: such rows hardly count.
const ROW: f64 = 7.2;

/// Numbers of elements where the mesh is fine.
#[derive(Clone, Copy)]
pub(super) struct Counts {
    /// Across the tongue.
    pub(super) columns: usize,
    /// Up the bundle.
    pub(super) bundle: usize,
    /// Across the band: the plies, and what covers them.
    pub(super) ply: usize,
    pub(super) cover: usize,
    /// Up the strip above the bundle: rows before the transition in the tongue, and all rows.
    pub(super) fine_tongue: usize,
    pub(super) strip: usize,
}

impl Counts {
    /// Elements along the band from crown to crown.
    pub(super) fn places(&self) -> usize {
        2 * (self.strip + self.bundle) + self.columns
    }
}

/// Everything that places a node.
pub(super) struct Shape<'a> {
    pub(super) case: &'a Case,
    pub(super) meridian: Meridian,
    outline: Outline,
    pub(super) counts: Counts,
    /// Meridian lengths of the rows of nodes above the bundle's top.
    rows: Vec<f64>,
}

impl<'a> Shape<'a> {
    /// `shorter`: how many times as many rows as usual lie between bundle and crown.
    pub(super) fn new(case: &'a Case, meridian: Meridian, shorter: usize) -> Result<Self, GeometryError> {
        let n = case.refinement;
        let outline = Outline::new(&case.rim, &case.bead)?;
        let top = 0.5 * case.bead.bundle_size;
        let filler = case.bead.filler_height.min(0.4 * meridian.length());
        let rest = meridian.length() - top - filler;
        let (lower, upper) = (BESIDE_FILLER * n * shorter, ((rest / ROW).round() as usize).clamp(6, 40) * n * shorter);
        let mut rows: Vec<f64> = (0..2 * lower).map(|k| top + filler * k as f64 / (2 * lower) as f64).collect();
        rows.extend(
            (0..=2 * upper)
                .map(|k| top + filler + rest * graded(k as f64 / (2 * upper) as f64, filler / lower as f64, rest / upper as f64)),
        );
        let counts = Counts {
            columns: 6 * n,
            bundle: 6 * n,
            ply: THROUGH_PLIES * n,
            cover: THROUGH_COVER * n,
            fine_tongue: n,
            strip: lower + upper,
        };
        Ok(Self { case, meridian, outline, counts, rows })
    }

    /// Meridian length of node row `i` of the strip, in half elements from the bundle's top, mm.
    pub(super) fn strip_row(&self, i: usize) -> f64 {
        self.rows[i]
    }

    /// Half widths (tongue, outside of the ply layer, whole inner side, whole outer side) at meridian length s, mm.
    fn widths(&self, s: f64) -> [f64; 4] {
        let (bead, casing) = (&self.case.bead, &self.case.casing);
        let blend = step((s - 0.5 * bead.bundle_size) / bead.filler_height);
        let mix = |a: f64, b: f64| a + (b - a) * blend;
        let half = 0.5 * casing.sidewall_thickness;
        let tongue = mix(0.5 * bead.bundle_size, TONGUE_SHARE * half);
        let side = half_thickness(self.case, s);
        let share = mix(PLY_SHARE_AT_BEAD, PLY_SHARE_IN_CASING);
        [tongue, tongue + share * (side - tongue), side, side + self.tread(s)]
    }

    /// Tread thickness at meridian length s, mm.
    pub(super) fn tread(&self, s: f64) -> f64 {
        let from_crown = self.meridian.length() - s;
        let half = 0.5 * self.case.casing.tread_width;
        self.case.casing.tread_thickness * (1.0 - step((from_crown - 0.5 * half) / (0.5 * half)))
    }

    /// Meridian length of a row, or a place between rows, of half elements counted from the bundle's bottom.
    fn row(&self, i: f64) -> f64 {
        let (m, size) = (2.0 * self.counts.bundle as f64, self.case.bead.bundle_size);
        if i <= m {
            return size * (i / m - 0.5);
        }
        let (below, share) = ((i - m) as usize, (i - m).fract());
        let at = self.rows[below];
        if share > 0.0 { at + share * (self.rows[below + 1] - at) } else { at }
    }

    /// Place of the tongue in row i, column j (half elements, 0 outer to the last inner).
    pub(super) fn tongue(&self, i: f64, j: f64) -> [f64; 2] {
        let s = self.row(i);
        let half = if i <= 2.0 * self.counts.bundle as f64 { 0.5 * self.case.bead.bundle_size } else { self.widths(s)[0] };
        self.offset(s, half * (1.0 - j / self.counts.columns as f64))
    }

    fn offset(&self, s: f64, distance: f64) -> [f64; 2] {
        let (x, n) = self.meridian.at(s);
        [x[0] + distance * n[0], x[1] + distance * n[1]]
    }

    /// Half elements up the bundle, across the tongue and along the strip.
    fn half_elements(&self) -> [f64; 3] {
        [self.counts.bundle, self.counts.columns, self.counts.strip].map(|n| 2.0 * n as f64)
    }

    /// Tongue row and column under the band at place p (half elements from the inner crown round to the outer crown).
    pub(super) fn under(&self, p: f64) -> (f64, f64) {
        let [b, c, r] = self.half_elements();
        if p <= r + b {
            (b + r - p, c)
        } else if p <= r + b + c {
            (0.0, r + b + c - p)
        } else {
            (p - r - b - c, 0.0)
        }
    }

    /// Place of the band at p along it, l across it (half elements, 0 on the tongue).
    pub(super) fn band(&self, p: f64, l: f64) -> [f64; 2] {
        let [b, c, r] = self.half_elements();
        let (i, j) = self.under(p);
        // 0 to 1 through the plies, 1 to 2 through the cover.
        let ply = 2.0 * self.counts.ply as f64;
        let share = if l <= ply { l / ply } else { 1.0 + (l - ply) / (2.0 * self.counts.cover as f64) };
        let through = |plies: f64| if share <= 1.0 { share * plies } else { plies + (share - 1.0) * (1.0 - plies) };
        if p <= r || p >= r + 2.0 * b + c {
            let s = self.row(i);
            let [tongue, ply, inner, outer] = self.widths(s);
            let (side, outside) = if p <= r { (-1.0, inner) } else { (1.0, outer) };
            return self.offset(s, side * (tongue + through((ply - tongue) / (outside - tongue)) * (outside - tongue)));
        }
        let outside = if p <= r + b {
            self.outline.inner((p - r) / b)
        } else if p <= r + b + c {
            self.outline.base((p - r - b) / c)
        } else {
            self.outline.outer((p - r - b - c) / b)
        };
        let core = self.tongue(i, j);
        let t = through(PLY_SHARE_AT_BEAD);
        [core[0] + t * (outside[0] - core[0]), core[1] + t * (outside[1] - core[1])]
    }
}

/// Maps [0, 1] on itself so that element lengths grow from `first` towards a mean `mean` (quadratic map).
fn graded(x: f64, first: f64, mean: f64) -> f64 {
    let slope = (first / mean).clamp(0.3, 1.0);
    x * (slope + (1.0 - slope) * x)
}
