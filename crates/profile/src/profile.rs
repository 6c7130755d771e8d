//! A smooth chain of lines and arcs in the (r, z) plane.
//!
//! Walking along the chain, the free side lies to the right: with tangent t the normal towards the free side is n = (t_z, -t_r).
//! An arc with positive sweep (counter-clockwise) is convex towards the free side, one with negative sweep is concave.

use crate::segment::{ClosestPoint, Segment, Shape};

/// A corner of the control polygon: position, mm; fillet radius, mm; label of the line that follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Position (r, z), mm.
    pub position: [f64; 2],
    /// Fillet radius, mm; ignored at the two ends.
    pub radius: f64,
    /// Label of the line that starts here.
    pub label: usize,
    /// Label of the fillet.
    pub fillet_label: usize,
}

/// The chain.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    segments: Vec<Segment>,
}

/// Why a control polygon makes no profile.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ProfileError {
    /// Fewer than two corners.
    #[error("a profile needs at least two corners")]
    TooShort,
    /// The fillets at the two ends of a line are longer than the line.
    #[error("the fillets at corners {0} and {1} overlap: reduce a radius or lengthen the line between them")]
    Overlap(usize, usize),
    /// Two corners coincide, or a fillet radius is not positive at a real corner.
    #[error("corner {0} coincides with the next one or has no fillet radius")]
    Degenerate(usize),
}

impl Profile {
    /// Fillets the control polygon `corners` into a chain with continuous tangent.
    ///
    /// # Errors
    /// [`ProfileError`] when the fillets do not fit.
    pub fn new(corners: &[Corner]) -> Result<Self, ProfileError> {
        if corners.len() < 2 {
            return Err(ProfileError::TooShort);
        }
        let mut chain = Self { segments: Vec::new() };
        let mut start = corners[0].position;
        let mut used = 0.0;
        for i in 1..corners.len() {
            let (direction, span) = unit(corners[i - 1].position, corners[i].position);
            if span < 1e-9 {
                return Err(ProfileError::Degenerate(i - 1));
            }
            let fillet = match corners.get(i + 1) {
                None => None,
                Some(next) => fillet(&corners[i], direction, next.position, i)?,
            };
            let cut = fillet.map_or(0.0, |f| f.cut);
            let length = span - used - cut;
            if length < -1e-9 {
                return Err(ProfileError::Overlap(i - 1, i));
            }
            chain.push(Shape::Line { start, tangent: direction }, length.max(0.0), corners[i - 1].label);
            match fillet {
                None => start = corners[i].position,
                Some(f) => {
                    chain.push(f.shape, f.length, corners[i].fillet_label);
                    start = f.end;
                }
            }
            used = cut;
        }
        Ok(chain)
    }

    /// A chain of lines and arcs given as (start, mm; tangent of a quarter of the angle turned through, positive counter-clockwise, 0 for
    /// a line; label) up to `end`. Kinks between them stay.
    ///
    /// # Errors
    /// [`ProfileError`] when there is no piece or one has no length.
    pub fn of_pieces(pieces: &[([f64; 2], f64, usize)], end: [f64; 2]) -> Result<Self, ProfileError> {
        if pieces.is_empty() {
            return Err(ProfileError::TooShort);
        }
        let mut chain = Self { segments: Vec::new() };
        for (i, (start, bulge, label)) in pieces.iter().enumerate() {
            let (tangent, chord) = unit(*start, pieces.get(i + 1).map_or(end, |p| p.0));
            if chord.is_nan() || chord < 1e-9 {
                return Err(ProfileError::Degenerate(i));
            }
            let sweep = 4.0 * bulge.atan();
            if sweep.abs() < 1e-9 {
                chain.push(Shape::Line { start: *start, tangent }, chord, *label);
                continue;
            }
            let radius = 0.5 * chord / (0.5 * sweep).sin().abs();
            // From the middle of the chord the centre lies to the left by chord / 2 / tan(sweep / 2).
            let aside = 0.5 * chord / (0.5 * sweep).tan();
            let centre: [f64; 2] = [
                start[0] + 0.5 * chord * tangent[0] - aside * tangent[1],
                start[1] + 0.5 * chord * tangent[1] + aside * tangent[0],
            ];
            let from = (start[1] - centre[1]).atan2(start[0] - centre[0]);
            chain.push(Shape::Arc { centre, radius, start: from, sense: sweep.signum() }, radius * sweep.abs(), *label);
        }
        Ok(chain)
    }

    fn push(&mut self, shape: Shape, length: f64, label: usize) {
        if length > 1e-9 {
            let from = self.length();
            self.segments.push(Segment { shape, from, length, label });
        }
    }

    /// Total length, mm.
    pub fn length(&self) -> f64 {
        self.segments.last().map_or(0.0, |s| s.from + s.length)
    }

    /// Point at arc length `arc` (clamped), mm.
    pub fn point(&self, arc: f64) -> [f64; 2] {
        let segment = self.segments.iter().find(|s| arc <= s.from + s.length).or(self.segments.last());
        segment.map_or([0.0; 2], |s| s.point((arc - s.from).clamp(0.0, s.length)))
    }

    /// Unit tangent in the walking direction at arc length `arc` (clamped).
    pub fn tangent(&self, arc: f64) -> [f64; 2] {
        let segment = self.segments.iter().find(|s| arc <= s.from + s.length).or(self.segments.last());
        segment.map_or([0.0, 1.0], |s| s.tangent((arc - s.from).clamp(0.0, s.length)))
    }

    /// The pieces as (start, mm; tangent of a quarter of the angle turned through, positive counter-clockwise, 0 for a line).
    pub fn pieces(&self) -> Vec<([f64; 2], f64)> {
        let bulge = |s: &Segment| match s.shape {
            Shape::Line { .. } => 0.0,
            Shape::Arc { radius, sense, .. } => sense * (0.25 * s.length / radius).tan(),
        };
        self.segments.iter().map(|s| (s.point(0.0), bulge(s))).collect()
    }

    /// Arc lengths at which the pieces meet, both ends included.
    pub fn breaks(&self) -> Vec<f64> {
        self.segments.iter().map(|s| s.from).chain(std::iter::once(self.length())).collect()
    }

    /// Points along the chain, arcs cut finely enough for a picture: sagitta under 0.01 mm.
    pub fn polyline(&self) -> Vec<[f64; 2]> {
        let mut points: Vec<[f64; 2]> = Vec::new();
        for s in &self.segments {
            let n = match s.shape {
                Shape::Line { .. } => 1,
                Shape::Arc { radius, .. } => (s.length / (0.08 * radius).sqrt().max(1e-3)).ceil().clamp(4.0, 200.0) as usize,
            };
            let first = usize::from(!points.is_empty());
            points.extend((first..=n).map(|k| s.point(s.length * k as f64 / n as f64)));
        }
        points
    }

    /// The closest point to `x`: the nearest point of the chain whose normal passes through `x`; beyond the ends the nearest end.
    pub fn closest_point(&self, x: [f64; 2]) -> ClosestPoint {
        self.closest_point_near(x, 0.0)
    }

    /// The same foot, found sooner where it lies on the piece at the arc length `near`, mm.
    pub fn closest_point_near(&self, x: [f64; 2], near: f64) -> ClosestPoint {
        let at = self.segments.partition_point(|s| s.from + s.length < near);
        let (before, from) = self.segments.split_at(at);
        let mut best: Option<(f64, ClosestPoint)> = None;
        for segment in from.iter().chain(before) {
            let bound = best.as_ref().map_or(f64::INFINITY, |b| b.0);
            best = segment.closest_point(x, bound).or(best);
        }
        best.map_or(
            ClosestPoint { gap: f64::INFINITY, normal: [1.0, 0.0], arc: 0.0, turn: 0.0, stretch: 1.0, label: 0 },
            |(_, foot)| foot,
        )
    }

    /// Middle of the pieces with a label, as arc length, mm.
    pub fn middle_of(&self, label: usize) -> Option<f64> {
        let mut pieces = self.segments.iter().filter(|s| s.label == label);
        let first = pieces.next()?;
        let last = pieces.next_back().unwrap_or(first);
        Some(0.5 * (first.from + last.from + last.length))
    }

    /// Arc length at which the last piece with a label ends, mm.
    pub fn end_of(&self, label: usize) -> Option<f64> {
        self.segments.iter().rev().find(|s| s.label == label).map(|s| s.from + s.length)
    }

    /// Label of the piece at an arc length (clamped).
    pub fn label_at(&self, arc: f64) -> usize {
        self.segments.iter().find(|s| arc <= s.from + s.length).or(self.segments.last()).map_or(0, |s| s.label)
    }

    /// Integral of r dz, mm^2, from the start of the chain to an arc length (clamped), mm.
    pub fn moment(&self, arc: f64) -> f64 {
        self.segments.iter().map(|s| s.moment((arc - s.from).clamp(0.0, s.length))).sum()
    }
}

/// A fillet: how much of the two lines it cuts off, the arc, its length, its end.
#[derive(Clone, Copy)]
struct Fillet {
    cut: f64,
    shape: Shape,
    length: f64,
    end: [f64; 2],
}

fn fillet(corner: &Corner, incoming: [f64; 2], next: [f64; 2], index: usize) -> Result<Option<Fillet>, ProfileError> {
    let (outgoing, span) = unit(corner.position, next);
    if span < 1e-9 {
        return Err(ProfileError::Degenerate(index));
    }
    let cross = incoming[0] * outgoing[1] - incoming[1] * outgoing[0];
    let turn = cross.atan2(incoming[0] * outgoing[0] + incoming[1] * outgoing[1]);
    if turn.abs() < 1e-9 {
        return Ok(None);
    }
    if corner.radius <= 0.0 {
        return Err(ProfileError::Degenerate(index));
    }
    let (sense, radius) = (turn.signum(), corner.radius);
    let cut = radius * (0.5 * turn.abs()).tan();
    let begin = [corner.position[0] - cut * incoming[0], corner.position[1] - cut * incoming[1]];
    // The centre lies to the left for a convex (counter-clockwise) arc.
    let centre = [begin[0] - sense * radius * incoming[1], begin[1] + sense * radius * incoming[0]];
    let start = (begin[1] - centre[1]).atan2(begin[0] - centre[0]);
    let end = [corner.position[0] + cut * outgoing[0], corner.position[1] + cut * outgoing[1]];
    Ok(Some(Fillet { cut, shape: Shape::Arc { centre, radius, start, sense }, length: radius * turn.abs(), end }))
}

fn unit(a: [f64; 2], b: [f64; 2]) -> ([f64; 2], f64) {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = d[0].hypot(d[1]);
    ([d[0] / length, d[1] / length], length)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    /// A seat along z, a wall along r, a crest turning outward.
    fn profile() -> Profile {
        let corner =
            |r: f64, z: f64, radius: f64, label: usize| Corner { position: [r, z], radius, label, fillet_label: label + 10 };
        Profile::new(&[
            corner(300.0, 0.0, 0.0, 0),
            corner(300.0, 10.0, 1.0, 1),
            corner(306.0, 10.0, 0.8, 2),
            corner(306.0, 12.0, 0.0, 3),
        ])
        .unwrap()
    }

    #[test]
    fn gaps_and_labels_on_each_piece() {
        let p = profile();
        let check = |x: [f64; 2], gap: f64, normal: [f64; 2], label: usize| {
            let foot = p.closest_point(x);
            assert_relative_eq!(foot.gap, gap, epsilon = 1e-12);
            assert_relative_eq!(foot.normal[0], normal[0], epsilon = 1e-12);
            assert_relative_eq!(foot.normal[1], normal[1], epsilon = 1e-12);
            assert_eq!(foot.label, label);
        };
        check([300.5, 4.0], 0.5, [1.0, 0.0], 0);
        check([299.9, 4.0], -0.1, [1.0, 0.0], 0);
        check([303.0, 9.8], 0.2, [0.0, -1.0], 1);
        let s = 0.5_f64.sqrt();
        // Centre of the concave corner fillet is (301, 9); half way to the arc.
        check([301.0 - 0.5 * s, 9.0 + 0.5 * s], 0.5, [s, -s], 11);
        // Centre of the convex crest is (305.2, 10.8).
        check([305.2 + 1.0 * s, 10.8 - 1.0 * s], 0.2, [s, -s], 12);
        check([306.3, 11.5], 0.3, [1.0, 0.0], 2);
    }

    #[test]
    fn the_foot_is_the_same_wherever_it_is_looked_for_first() {
        let p = profile();
        for x in [[300.4, 4.0], [300.7, 9.5], [303.0, 9.7], [305.6, 9.9], [306.3, 11.5], [299.0, -2.0]] {
            for k in -1..12 {
                assert_eq!(p.closest_point_near(x, 0.1 * f64::from(k) * p.length()), p.closest_point(x), "{x:?}");
            }
        }
    }

    #[test]
    fn a_chain_of_its_own_pieces_is_the_same_chain() {
        let p = profile();
        let pieces: Vec<_> = p.pieces().into_iter().zip(&p.segments).map(|((start, bulge), s)| (start, bulge, s.label)).collect();
        let again = Profile::of_pieces(&pieces, p.point(p.length())).unwrap();
        assert_relative_eq!(again.length(), p.length(), max_relative = 1e-12);
        for k in 0..40 {
            let arc = p.length() * f64::from(k) / 39.0;
            for i in 0..2 {
                assert_relative_eq!(again.point(arc)[i], p.point(arc)[i], max_relative = 1e-12);
                assert_relative_eq!(again.tangent(arc)[i], p.tangent(arc)[i], epsilon = 1e-9);
            }
            assert_eq!(again.label_at(arc), p.label_at(arc));
        }
        assert_eq!(Profile::of_pieces(&[([1.0, 0.0], 0.0, 0)], [1.0, 0.0]), Err(ProfileError::Degenerate(0)));
    }

    #[test]
    fn derivatives_of_the_foot_agree_with_differences() {
        let p = profile();
        let s = 0.5_f64.sqrt();
        for x in [[300.4, 4.0], [301.0 - 0.5 * s, 9.0 + 0.6 * s], [305.2 + 1.1 * s, 10.8 - 0.9 * s]] {
            let foot = p.closest_point(x);
            let t = foot.tangent();
            let h = 1e-6;
            for i in 0..2 {
                let shifted = |sign: f64| {
                    let mut y = x;
                    y[i] += sign * h;
                    p.closest_point(y)
                };
                let (plus, minus) = (shifted(1.0), shifted(-1.0));
                assert_relative_eq!(foot.normal[i], (plus.gap - minus.gap) / (2.0 * h), epsilon = 1e-8);
                assert_relative_eq!(foot.stretch * t[i], (plus.arc - minus.arc) / (2.0 * h), epsilon = 1e-8);
                for j in 0..2 {
                    let difference = (plus.normal[j] - minus.normal[j]) / (2.0 * h);
                    assert_relative_eq!(foot.turn * t[i] * t[j], difference, epsilon = 1e-8);
                }
            }
        }
    }

    #[test]
    fn arc_length_is_continuous_and_the_moment_is_the_area_under_the_profile() {
        let p = profile();
        let expected = 9.0 + PI / 2.0 + (6.0 - 1.0 - 0.8) + 0.8 * PI / 2.0 + 2.0 - 0.8;
        assert_relative_eq!(p.length(), expected, max_relative = 1e-12);
        assert_relative_eq!(p.moment(5.0), 1500.0, max_relative = 1e-12);
        // To the end of the quarter fillet the seat and the fillet: 300 * 10 + (1 - pi/4).
        assert_relative_eq!(p.moment(9.0 + PI / 2.0), 3000.0 + 1.0 - PI / 4.0, max_relative = 1e-12);
    }

    #[test]
    fn overlapping_fillets_are_refused() {
        let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 0 };
        let corners = [corner(300.0, 0.0, 0.0), corner(300.0, 1.0, 2.0), corner(301.0, 1.0, 2.0), corner(301.0, 3.0, 0.0)];
        assert_eq!(Profile::new(&corners), Err(ProfileError::Overlap(0, 1)));
    }
}
