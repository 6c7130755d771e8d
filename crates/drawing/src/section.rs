//! The half section of a rim as closed loops of lines and arcs.
//!
//! r from the wheel's axis, z along it; the half with z >= 0, cut at the mid-plane z = 0. A loop is listed corner by corner; a piece
//! runs from its start to the next piece's start. Arcs are given by their bulge, the tangent of a quarter of the angle they turn
//! through, positive when they turn counter-clockwise in the (r, z) plane (r to the right, z up), as in the open DXF format.

use std::f64::consts::TAU;

/// One piece of a loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Where it starts (r, z), mm.
    pub start: [f64; 2],
    /// Tangent of a quarter of the angle turned through; 0 for a line.
    pub bulge: f64,
}

/// A closed loop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Loop {
    /// Pieces in order; the last ends where the first starts.
    pub pieces: Vec<Piece>,
}

/// A half section: material between the outer loop and the cavities.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section {
    /// Outer loop, counter-clockwise. A cavity that the mid-plane cuts belongs to it.
    pub outer: Loop,
    /// Cavities that do not reach the mid-plane, clockwise.
    pub cavities: Vec<Loop>,
}

/// An arc by centre and angles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Centre (r, z), mm.
    pub centre: [f64; 2],
    /// Radius, mm.
    pub radius: f64,
    /// Angle of the first point about the centre, rad.
    pub from: f64,
    /// Angle turned through, rad, positive counter-clockwise.
    pub sweep: f64,
}

impl Arc {
    /// The arc from `a` to `b` with a bulge other than zero.
    pub fn new(a: [f64; 2], b: [f64; 2], bulge: f64) -> Self {
        let sweep = 4.0 * bulge.atan();
        let chord = [b[0] - a[0], b[1] - a[1]];
        // From the middle of the chord the centre lies to the left by chord (1 - bulge^2) / (4 bulge).
        let aside = (1.0 - bulge * bulge) / (4.0 * bulge);
        let centre = [0.5 * (a[0] + b[0]) - aside * chord[1], 0.5 * (a[1] + b[1]) + aside * chord[0]];
        let arm = [a[0] - centre[0], a[1] - centre[1]];
        Self { centre, radius: arm[0].hypot(arm[1]), from: arm[1].atan2(arm[0]), sweep }
    }

    /// Point at a share (0 to 1) of the arc, mm.
    pub fn point(&self, share: f64) -> [f64; 2] {
        let (sin, cos) = (self.from + share * self.sweep).sin_cos();
        [self.centre[0] + self.radius * cos, self.centre[1] + self.radius * sin]
    }
}

impl Loop {
    /// Pieces with their ends: start, end, bulge.
    pub fn spans(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2], f64)> + '_ {
        let n = self.pieces.len();
        (0..n).map(move |i| (self.pieces[i].start, self.pieces[(i + 1) % n].start, self.pieces[i].bulge))
    }

    /// Signed area, mm^2, positive counter-clockwise; arcs exact.
    pub fn area(&self) -> f64 {
        self.spans()
            .map(|(a, b, bulge)| {
                let chord = 0.5 * (a[0] * b[1] - a[1] * b[0]);
                if bulge == 0.0 {
                    return chord;
                }
                let arc = Arc::new(a, b, bulge);
                // Segment between arc and chord.
                chord + 0.5 * arc.radius * arc.radius * (arc.sweep - arc.sweep.sin())
            })
            .sum()
    }

    /// First moment int r dA about the axis, mm^3, positive counter-clockwise: the contour integral of r^2 / 2 dz.
    pub fn moment(&self) -> f64 {
        self.spans()
            .map(|(a, b, bulge)| {
                if bulge == 0.0 {
                    return (b[1] - a[1]) * (a[0] * a[0] + a[0] * b[0] + b[0] * b[0]) / 6.0;
                }
                let arc = Arc::new(a, b, bulge);
                // r = c + R cos(phi), dz = R cos(phi) dphi.
                let ([c, _], radius) = (arc.centre, arc.radius);
                let primitive = |phi: f64| {
                    let (s, cos) = phi.sin_cos();
                    0.5 * radius * (c * c * s + c * radius * (phi + s * cos) + radius * radius * (s - s.powi(3) / 3.0))
                };
                primitive(arc.from + arc.sweep) - primitive(arc.from)
            })
            .sum()
    }

    /// Length, mm.
    pub fn length(&self) -> f64 {
        self.spans().map(|(a, b, bulge)| length(a, b, bulge)).sum()
    }
}

/// Length of a piece, mm.
pub fn length(a: [f64; 2], b: [f64; 2], bulge: f64) -> f64 {
    if bulge == 0.0 {
        (b[0] - a[0]).hypot(b[1] - a[1])
    } else {
        let arc = Arc::new(a, b, bulge);
        arc.radius * arc.sweep.abs().min(TAU)
    }
}

impl Section {
    /// Area of the half section, mm^2.
    pub fn area(&self) -> f64 {
        self.outer.area() + self.cavities.iter().map(Loop::area).sum::<f64>()
    }

    /// Radius of the centroid, mm.
    pub fn centroid(&self) -> f64 {
        (self.outer.moment() + self.cavities.iter().map(Loop::moment).sum::<f64>()) / self.area()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn piece(r: f64, z: f64, bulge: f64) -> Piece {
        Piece { start: [r, z], bulge }
    }

    #[test]
    fn a_quarter_circle_has_its_centre_and_sweep() {
        let arc = Arc::new([11.0, 0.0], [10.0, 1.0], (FRAC_PI_2 / 4.0).tan());
        assert_relative_eq!(arc.centre[0], 10.0, epsilon = 1e-12);
        assert_relative_eq!(arc.centre[1], 0.0, epsilon = 1e-12);
        assert_relative_eq!(arc.radius, 1.0, max_relative = 1e-12);
        assert_relative_eq!(arc.sweep, FRAC_PI_2, max_relative = 1e-12);
        assert_relative_eq!(arc.point(0.5)[1], 0.5_f64.sqrt(), max_relative = 1e-12);
    }

    #[test]
    fn the_first_moment_of_a_half_disc_is_that_about_its_centroid() {
        // Its centroid lies 4 R / (3 pi) from the straight side.
        let half = Loop { pieces: vec![piece(300.0, -2.0, 1.0), piece(300.0, 2.0, 0.0)] };
        assert_relative_eq!(half.area(), 2.0 * PI, max_relative = 1e-12);
        assert_relative_eq!(half.moment(), 2.0 * PI * (300.0 + 8.0 / (3.0 * PI)), max_relative = 1e-12);
        let left = Loop { pieces: vec![piece(300.0, 2.0, 1.0), piece(300.0, -2.0, 0.0)] };
        assert_relative_eq!(left.moment(), 2.0 * PI * (300.0 - 8.0 / (3.0 * PI)), max_relative = 1e-12);
    }

    #[test]
    fn area_and_length_count_the_arcs() {
        // A square with half a circle on its top and a round hole.
        let outer =
            Loop { pieces: vec![piece(300.0, 0.0, 0.0), piece(302.0, 0.0, 0.0), piece(302.0, 2.0, 1.0), piece(300.0, 2.0, 0.0)] };
        let hole = Loop { pieces: vec![piece(301.5, 1.0, -1.0), piece(300.5, 1.0, -1.0)] };
        assert_relative_eq!(outer.length(), 6.0 + PI, max_relative = 1e-12);
        let section = Section { outer, cavities: vec![hole] };
        assert_relative_eq!(section.area(), 4.0 + 0.5 * PI - 0.25 * PI, max_relative = 1e-12);
        // All parts are centred at r = 301.
        assert_relative_eq!(section.centroid(), 301.0, max_relative = 1e-12);
    }
}
