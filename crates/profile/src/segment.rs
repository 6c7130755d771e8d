//! One piece of a profile: a line or an arc.

use std::f64::consts::PI;

/// The closest point of the profile to a point of the body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosestPoint {
    /// Signed distance, mm, positive on the free side.
    pub gap: f64,
    /// Unit normal towards the free side at the foot.
    pub normal: [f64; 2],
    /// Arc length of the foot, mm.
    pub arc: f64,
    /// d n / d x = curvature * t t^T, 1/mm.
    pub turn: f64,
    /// d arc / d x = stretch * t.
    pub stretch: f64,
    /// Label of the segment.
    pub label: usize,
}

impl ClosestPoint {
    /// Unit tangent in the walking direction.
    pub fn tangent(&self) -> [f64; 2] {
        [-self.normal[1], self.normal[0]]
    }
}

/// Line or arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Shape {
    Line {
        start: [f64; 2],
        tangent: [f64; 2],
    },
    /// `radius` > 0; `sense` +1 convex (counter-clockwise), -1 concave; `start` is the angle of the first point about the centre.
    Arc {
        centre: [f64; 2],
        radius: f64,
        start: f64,
        sense: f64,
    },
}

/// One piece of the chain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Segment {
    pub(super) shape: Shape,
    /// Arc length at the start and length, mm.
    pub(super) from: f64,
    pub(super) length: f64,
    pub(super) label: usize,
}

impl Segment {
    pub(super) fn point(&self, length: f64) -> [f64; 2] {
        match self.shape {
            Shape::Line { start, tangent } => [start[0] + tangent[0] * length, start[1] + tangent[1] * length],
            Shape::Arc { centre, radius, start, sense } => {
                let (sin, cos) = (start + sense * length / radius).sin_cos();
                [centre[0] + radius * cos, centre[1] + radius * sin]
            }
        }
    }

    pub(super) fn tangent(&self, length: f64) -> [f64; 2] {
        match self.shape {
            Shape::Line { tangent, .. } => tangent,
            Shape::Arc { radius, start, sense, .. } => {
                let (sin, cos) = (start + sense * length / radius).sin_cos();
                [-sense * sin, sense * cos]
            }
        }
    }

    /// Distance to the nearest point and its foot, if under a bound; where the foot lies beyond an end, the distance counts to that end.
    pub(super) fn closest_point(&self, x: [f64; 2], bound: f64) -> Option<(f64, ClosestPoint)> {
        match self.shape {
            Shape::Line { start, tangent } => {
                let d = [x[0] - start[0], x[1] - start[1]];
                let along = d[0] * tangent[0] + d[1] * tangent[1];
                let normal = [tangent[1], -tangent[0]];
                let gap = d[0] * normal[0] + d[1] * normal[1];
                let beyond = (along - along.clamp(0.0, self.length)).abs();
                let reach = (gap * gap + beyond * beyond).sqrt();
                let foot = ClosestPoint { gap, normal, arc: self.from + along, turn: 0.0, stretch: 1.0, label: self.label };
                (reach < bound).then_some((reach, foot))
            }
            Shape::Arc { centre, radius, start, sense } => {
                let d = [x[0] - centre[0], x[1] - centre[1]];
                let distance = (d[0] * d[0] + d[1] * d[1]).sqrt().max(1e-12);
                // The whole circle is no further than the arc: most arcs are left here, without the costly angle.
                if (distance - radius).abs() >= bound {
                    return None;
                }
                let turned = wrap(sense * (d[1].atan2(d[0]) - start) - 0.5 * self.length / radius) + 0.5 * self.length / radius;
                let along = turned * radius;
                let gap = sense * (distance - radius);
                let normal = [sense * d[0] / distance, sense * d[1] / distance];
                let clamped = along.clamp(0.0, self.length);
                // Law of cosines for a foot beyond an end.
                let beyond = (along - clamped) / radius;
                let reach =
                    if beyond == 0.0 { gap.abs() } else { (gap * gap + 2.0 * distance * radius * (1.0 - beyond.cos())).sqrt() };
                let foot = ClosestPoint {
                    gap,
                    normal,
                    arc: self.from + along,
                    turn: sense / distance,
                    stretch: radius / distance,
                    label: self.label,
                };
                (reach < bound).then_some((reach, foot))
            }
        }
    }

    /// Integral of r dz over the first `length`.
    pub(super) fn moment(&self, length: f64) -> f64 {
        let (a, b) = (self.point(0.0), self.point(length));
        match self.shape {
            Shape::Line { .. } => 0.5 * (a[0] + b[0]) * (b[1] - a[1]),
            Shape::Arc { centre, radius, start, sense } => {
                // z' = radius cos(phi) dphi, r = centre + radius cos(phi)
                let primitive = |phi: f64| centre[0] * radius * phi.sin() + 0.5 * radius * radius * (phi + phi.sin() * phi.cos());
                primitive(start + sense * length / radius) - primitive(start)
            }
        }
    }
}

/// An angle brought into (-pi, pi].
fn wrap(angle: f64) -> f64 {
    angle - 2.0 * PI * (angle / (2.0 * PI)).round()
}
