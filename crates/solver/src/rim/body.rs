//! The meshed half section of a rim: a linear elastic body of revolution on its spokes.

use super::edges::{ProfileEdge, along};
use super::error::SectionError;
use hoopwright_drawing::meshing::Triangles;
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::elastic::{Elastic, Law, Moduli, Stress};
use hoopwright_fem::contribution::winkler::WinklerBed;
use hoopwright_fem::element::line3;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::mesh::line_point;
use hoopwright_fem::modes::{Modes, modes};
use hoopwright_fem::quadrature::GAUSS_3;
use hoopwright_profile::Profile;
use std::collections::{HashMap, HashSet};
use std::f64::consts::PI;
use std::sync::{Arc, Mutex, PoisonError};

/// Spacing of the tractions whose responses make up the modes, mm.
const TRACTION_SPACING: f64 = 0.8;
/// How far a side of the spoke bed may lie above its lowest point, mm.
const SPOKE_BED_RISE: f64 = 3.0;

/// The body.
pub struct Body {
    /// Mesh of the half section.
    pub mesh: Triangles,
    elastic: Arc<Elastic>,
    winkler: Arc<WinklerBed>,
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

/// What holds the body and what it is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Make {
    /// Moduli.
    pub moduli: Moduli,
    /// Radial stiffness of all spokes of the half rim together, N/mm.
    pub spoke_stiffness: f64,
    /// Half the width of the spoke bed, mm.
    pub spoke_bed: f64,
    /// Most modes.
    pub most_modes: usize,
    /// Share of the energy under tractions on the profile that the modes may leave out.
    pub left_out: f64,
}

impl Body {
    /// A meshed half section (z >= 0) under its profile, with its modes; and what they leave out.
    ///
    /// # Errors
    /// [`SectionError`] when the section cannot be solved.
    pub fn new(mesh: Triangles, profile: &Profile, make: &Make) -> Result<(Self, Modes), SectionError> {
        let law = Law::new(&make.moduli).ok_or(SectionError::Law)?;
        let elastic = Elastic::new(&mesh.nodes, &mesh.triangles, law).map_err(|t| {
            let [r, z] = mesh.nodes[mesh.triangles[t][0]];
            SectionError::Inverted { r, z }
        })?;
        let elastic = Arc::new(elastic);
        let spoke_bed = spoke_bed(&mesh, make.spoke_bed);
        if spoke_bed.is_empty() {
            return Err(SectionError::NoSpokeBed);
        }
        let winkler = Arc::new(WinklerBed::new(&mesh.nodes, &spoke_bed, make.spoke_stiffness));
        let fixed: Vec<usize> = (0..mesh.nodes.len()).filter(|n| mesh.nodes[*n][1].abs() < 1e-9).map(|n| 2 * n + 1).collect();
        let parts: Vec<Arc<dyn Contribution>> = vec![elastic.clone(), winkler.clone()];
        let mut system = System::new(2 * mesh.nodes.len(), &fixed, parts).map_err(SectionError::Solve)?;
        let edges = along(&mesh, profile)?;
        let rigid: Vec<f64> = (0..mesh.nodes.len()).flat_map(|_| [1.0, 0.0]).collect();
        let loads = tractions(&mesh, &edges);
        let mut found = modes(&mut system, &rigid, &loads, make.most_modes, make.left_out).map_err(SectionError::Solve)?;
        let (fields, system) = (std::mem::take(&mut found.fields), Mutex::new(system));
        Ok((Self { mesh, elastic, winkler, system, edges, profile: profile.clone(), fields }, found))
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
        self.winkler.mean(u)
    }

    /// Sides of the spoke bed (first, last, mid node).
    pub fn spoke_edges(&self) -> &[[usize; 3]] {
        self.winkler.edges()
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
        if !edge.on_profile {
            return self.press_beside(edge, pressure, end, load);
        }
        let last = edge.place(end).min(1.0);
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

    /// Pressure on the part of the profile that a side beside it stands for, before an arc length: so section and modes get one load.
    fn press_beside(&self, edge: &ProfileEdge, pressure: f64, end: f64, load: &mut [f64]) {
        let last = edge.to.min(end);
        let inner = self.profile.breaks().into_iter().filter(|arc| (edge.from..last).contains(arc));
        let mut from = edge.from;
        for to in inner.chain([last]) {
            for (gauss, weight) in GAUSS_3 {
                let arc = 0.5 * (from + to) + 0.5 * (to - from) * gauss;
                let ([r, _], [tr, tz]) = (self.profile.point(arc), self.profile.tangent(arc));
                let w = pressure * 2.0 * PI * r * weight * 0.5 * (to - from);
                for (node, n) in edge.nodes.iter().zip(line3::shape(edge.place(arc))) {
                    load[2 * node] -= n * w * tz;
                    load[2 * node + 1] += n * w * tr;
                }
            }
            from = to;
        }
    }

    /// The side at an arc length and the place in it.
    fn locate(&self, arc: f64) -> Option<(&ProfileEdge, f64)> {
        let after = self.edges.partition_point(|e| e.to < arc).min(self.edges.len().checked_sub(1)?);
        let edge = &self.edges[after];
        Some((edge, edge.place(arc).clamp(-1.0, 1.0)))
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

/// Sides of the boundary that face inward near the lowest point of the mid-plane, up to an axial position, on the outline that ends
/// there: the roof of a low cavity faces inward too, and is none.
fn spoke_bed(mesh: &Triangles, half_width: f64) -> Vec<[usize; 3]> {
    let on_plane = mesh.boundary.iter().flat_map(|e| e.nodes).filter(|n| mesh.nodes[*n][1].abs() < 1e-9);
    let Some(lowest) = on_plane.min_by(|a, b| mesh.nodes[*a][0].total_cmp(&mesh.nodes[*b][0])) else { return Vec::new() };
    let before: HashMap<usize, [usize; 3]> = mesh.boundary.iter().map(|e| (e.nodes[1], e.nodes)).collect();
    let walk = std::iter::successors(before.get(&lowest), |side| before.get(&side[0])).take(mesh.boundary.len());
    let outline: HashSet<usize> = walk.take_while(|[_, _, m]| mesh.nodes[*m][1] < half_width).map(|side| side[2]).collect();
    let faces_inward = |[a, b, m]: &[usize; 3]| {
        let middle = mesh.nodes[*m][0];
        let [a, b] = [a, b].map(|n| mesh.nodes[*n]);
        let (dr, dz) = (b[0] - a[0], b[1] - a[1]);
        // Material to the left of the side: the outward normal is (dz, -dr).
        dz < -0.7 * dr.hypot(dz) && middle < mesh.nodes[lowest][0] + SPOKE_BED_RISE
    };
    mesh.boundary.iter().map(|e| e.nodes).filter(|side| outline.contains(&side[2]) && faces_inward(side)).collect()
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
