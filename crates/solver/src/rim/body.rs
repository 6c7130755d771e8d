//! The meshed half section of a rim: a linear elastic body of revolution on its spokes.

use crate::case::{Case, Section};
use crate::geometry::{GeometryError, SectionError, section};
use hoopwright_drawing::meshing::{Triangles, triangulate};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contact::profile::Profile;
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::bedding::Bedding;
use hoopwright_fem::contribution::elastic::{Elastic, Law, Moduli, Stress};
use hoopwright_fem::element::line3;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::mesh::line_point;
use hoopwright_fem::modes::modes;
use hoopwright_fem::quadrature::GAUSS_3;
use std::f64::consts::PI;
use std::sync::{Arc, Mutex, PoisonError};

/// Spacing of the tractions whose responses make up the modes, mm.
const TRACTION_SPACING: f64 = 0.8;
/// How near a node must lie to the profile to be on it, mm.
const ON_PROFILE: f64 = 1e-4;
/// How far a side of the spoke bed may lie above its lowest point, mm.
const SPOKE_BED_RISE: f64 = 3.0;

/// A side of the mesh on the profile, from one arc length to another, mm.
#[derive(Clone, Copy, Debug)]
struct ProfileEdge {
    nodes: [usize; 3],
    from: f64,
    to: f64,
}

/// The body.
pub struct Body {
    /// Mesh of the half section.
    pub mesh: Triangles,
    elastic: Arc<Elastic>,
    bedding: Arc<Bedding>,
    system: Mutex<System>,
    edges: Vec<ProfileEdge>,
    profile: Profile,
    fields: Vec<Vec<f64>>,
}

/// What presses on the profile at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProfileLoad {
    /// Arc length, mm.
    pub arc: f64,
    /// Force (r, z), N over the circumference.
    pub force: [f64; 2],
}

impl Body {
    /// Meshes the section of a case and finds its modes, at most `most`, that leave out at most a share of the energy; returns their
    /// stiffness, N/mm, and the share left out.
    ///
    /// # Errors
    /// [`GeometryError::Section`] when the section cannot be drawn, meshed or solved.
    pub fn new(
        case: &Case,
        section: &Section,
        profile: &Profile,
        most: usize,
        share: f64,
    ) -> Result<(Self, Vec<f64>, f64), GeometryError> {
        let mesh = triangulate(&section::draw(&case.rim, section)?, section.element_size).map_err(SectionError::from)?;
        Ok(Self::of_mesh(case, section, profile, mesh, most, share)?)
    }

    fn of_mesh(
        case: &Case,
        section: &Section,
        profile: &Profile,
        mesh: Triangles,
        most: usize,
        share: f64,
    ) -> Result<(Self, Vec<f64>, f64), SectionError> {
        let law = Law::new(&Moduli {
            section: section.modulus,
            hoop: section.hoop_modulus,
            section_poisson: section.poisson,
            hoop_poisson: section.hoop_poisson,
        });
        let elastic = Elastic::new(&mesh.nodes, &mesh.triangles, law.ok_or(SectionError::Law)?).map_err(|t| {
            let [r, z] = mesh.nodes[mesh.triangles[t][0]];
            SectionError::Inverted { r, z }
        })?;
        let elastic = Arc::new(elastic);
        let spoke_bed = spoke_bed(&mesh, 0.5 * section.spoke_bed_width);
        if spoke_bed.is_empty() {
            return Err(SectionError::NoSpokeBed);
        }
        let bedding = Arc::new(Bedding::new(&mesh.nodes, &spoke_bed, 0.5 * case.spokes.radial_stiffness()));
        let fixed: Vec<usize> = (0..mesh.nodes.len()).filter(|n| mesh.nodes[*n][1].abs() < 1e-9).map(|n| 2 * n + 1).collect();
        let parts: Vec<Arc<dyn Contribution>> = vec![elastic.clone(), bedding.clone()];
        let mut system = System::new(2 * mesh.nodes.len(), &fixed, parts).map_err(SectionError::Solve)?;
        let edges = profile_edges(&mesh, profile);
        let rigid: Vec<f64> = (0..mesh.nodes.len()).flat_map(|_| [1.0, 0.0]).collect();
        let loads = tractions(&mesh, &edges);
        let found = modes(&mut system, &rigid, &loads, most, share).map_err(SectionError::Solve)?;
        let system = Mutex::new(system);
        let body = Self { mesh, elastic, bedding, system, edges, profile: profile.clone(), fields: found.fields };
        Ok((body, found.stiffness, found.left_out))
    }

    /// Displacements of all unknowns in one mode, mm.
    pub fn field(&self, mode: usize) -> &[f64] {
        &self.fields[mode]
    }

    /// Hoop force of the half section under displacements `u`, N.
    pub fn hoop_force(&self, u: &[f64]) -> f64 {
        self.elastic.hoop_force(u)
    }

    /// Mean radial displacement of the spoke bed, mm.
    pub fn spoke_bed(&self, u: &[f64]) -> f64 {
        self.bedding.mean(u)
    }

    /// Area of the half section, mm^2.
    pub fn area(&self) -> f64 {
        self.elastic.area()
    }

    /// Volume of half the rim, mm^3.
    pub fn volume(&self) -> f64 {
        self.elastic.volume()
    }

    /// Stress at every node, MPa.
    pub fn nodal_stress(&self, u: &[f64]) -> Vec<Stress> {
        self.elastic.nodal_stress(u)
    }

    /// Displacement (r, z) of the profile at an arc length, mm; beyond the meshed part that of its end.
    pub fn displacement(&self, u: &[f64], arc: f64) -> [f64; 2] {
        let Some((edge, xi)) = self.locate(arc) else { return [0.0; 2] };
        let n = line3::shape(xi);
        std::array::from_fn(|i| (0..3).map(|a| n[a] * u[2 * edge.nodes[a] + i]).sum())
    }

    /// Displacements under forces on the profile and a gas pressure, MPa, on the bed from the mid-plane to an arc length, mm.
    ///
    /// # Errors
    /// [`SolveError`] of the linear solve.
    pub fn respond(&self, cases: &[(&[ProfileLoad], f64, f64)]) -> Result<Vec<Vec<f64>>, SolveError> {
        let loads: Vec<Vec<f64>> = cases.iter().map(|(forces, pressure, end)| self.load(forces, *pressure, *end)).collect();
        // A poisoned lock holds a system of the same pattern and values: every use assembles nothing anew.
        self.system.lock().unwrap_or_else(PoisonError::into_inner).respond(&loads)
    }

    fn load(&self, forces: &[ProfileLoad], pressure: f64, end: f64) -> Vec<f64> {
        let mut load = vec![0.0; 2 * self.mesh.nodes.len()];
        for ProfileLoad { arc, force } in forces {
            let Some((edge, xi)) = self.locate(*arc) else { continue };
            for (node, n) in edge.nodes.iter().zip(line3::shape(xi)) {
                for i in 0..2 {
                    load[2 * node + i] += n * force[i];
                }
            }
        }
        for edge in self.edges.iter().filter(|e| e.from < end) {
            self.press(edge, pressure, end, &mut load);
        }
        load
    }

    /// Pressure on the part of a side before an arc length.
    fn press(&self, edge: &ProfileEdge, pressure: f64, end: f64, load: &mut [f64]) {
        let last = (2.0 * (end - edge.from) / (edge.to - edge.from) - 1.0).min(1.0);
        let x = edge.nodes.map(|n| self.mesh.nodes[n]);
        for (gauss, weight) in GAUSS_3 {
            let xi = 0.5 * (last - 1.0) + 0.5 * (last + 1.0) * gauss;
            let (position, [dr, dz]) = line_point(&x, xi);
            let w = pressure * 2.0 * PI * position[0] * weight * 0.5 * (last + 1.0);
            // The gas is to the right of the side: it pushes to the left, along (-z', r').
            for (node, n) in edge.nodes.iter().zip(line3::shape(xi)) {
                load[2 * node] -= n * w * dz;
                load[2 * node + 1] += n * w * dr;
            }
        }
    }

    /// The side at an arc length and the place in it.
    fn locate(&self, arc: f64) -> Option<(&ProfileEdge, f64)> {
        let after = self.edges.partition_point(|e| e.to < arc).min(self.edges.len().checked_sub(1)?);
        let edge = &self.edges[after];
        let xi = 2.0 * (arc - edge.from) / (edge.to - edge.from) - 1.0;
        Some((edge, xi.clamp(-1.0, 1.0)))
    }

    /// Nodes of the sides on the profile with their arc lengths, mm.
    pub fn profile_nodes(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let last = self.edges.last().map(|e| (e.nodes[1], e.to));
        self.edges.iter().flat_map(|e| [(e.nodes[0], e.from), (e.nodes[2], 0.5 * (e.from + e.to))]).chain(last)
    }

    /// The profile at rest.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }
}

/// Sides of the mesh on the profile in order of arc length.
fn profile_edges(mesh: &Triangles, profile: &Profile) -> Vec<ProfileEdge> {
    let foot = |n: usize| Some(profile.foot(mesh.nodes[n])).filter(|f| f.gap.abs() < ON_PROFILE).map(|f| f.arc);
    let on = |nodes: [usize; 3]| {
        let [from, to, middle] = nodes.map(foot);
        let (from, to, middle) = (from?, to?, middle?);
        (0.0 < to - from && from < middle && middle < to && to < profile.length() + ON_PROFILE).then_some(ProfileEdge {
            nodes,
            from,
            to,
        })
    };
    let mut edges: Vec<ProfileEdge> = mesh.boundary.iter().filter_map(|e| on(e.nodes)).collect();
    edges.sort_by(|a, b| a.from.total_cmp(&b.from));
    edges
}

/// Sides of the boundary that face inward near the lowest point of the mid-plane, up to an axial position.
fn spoke_bed(mesh: &Triangles, half_width: f64) -> Vec<[usize; 3]> {
    let at_middle = mesh.nodes.iter().filter(|x| x[1].abs() < 1e-9).map(|x| x[0]);
    let lowest = at_middle.fold(f64::INFINITY, f64::min);
    let faces_inward = |[a, b, m]: &[usize; 3]| {
        let [a, b, m] = [a, b, m].map(|n| mesh.nodes[*n]);
        let (dr, dz) = (b[0] - a[0], b[1] - a[1]);
        // Material to the left of the side: the outward normal is (dz, -dr).
        dz < -0.7 * dr.hypot(dz) && m[0] < lowest + SPOKE_BED_RISE && m[1] < half_width
    };
    mesh.boundary.iter().map(|e| e.nodes).filter(faces_inward).collect()
}

/// Loads on all unknowns, N, of hat-shaped tractions of 1 MPa along the profile, radial and axial.
fn tractions(mesh: &Triangles, edges: &[ProfileEdge]) -> Vec<Vec<f64>> {
    let (Some(first), Some(last)) = (edges.first(), edges.last()) else { return Vec::new() };
    let length = last.to - first.from;
    let n = (length / TRACTION_SPACING).ceil().max(1.0) as usize;
    let spacing = length / n as f64;
    let mut loads = vec![vec![0.0; 2 * mesh.nodes.len()]; 2 * (n + 1)];
    for edge in edges {
        let x = edge.nodes.map(|k| mesh.nodes[k]);
        for (xi, weight) in GAUSS_3 {
            let (position, along) = line_point(&x, xi);
            let w = 2.0 * PI * position[0] * along[0].hypot(along[1]) * weight;
            let at = (edge.from - first.from + 0.5 * (1.0 + xi) * (edge.to - edge.from)) / spacing;
            let hat = (at.max(0.0) as usize).min(n - 1);
            let share = at - hat as f64;
            for (node, shape) in edge.nodes.iter().zip(line3::shape(xi)) {
                for i in 0..2 {
                    loads[2 * hat + i][2 * node + i] += (1.0 - share) * w * shape;
                    loads[2 * hat + 2 + i][2 * node + i] += share * w * shape;
                }
            }
        }
    }
    loads
}
