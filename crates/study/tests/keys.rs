//! How long it takes until a large study over a large mesh knows the keys of its cases.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

use std::collections::{HashMap, HashSet};
use std::fmt::Write;
use std::time::Duration;

use cpu_time::ProcessTime;
use hoopwright_case::{self as case, Attached, MOST_VARIANTS, starter};
use hoopwright_drawing::msh::{self, SPOKES, TYRE};
use hoopwright_study::rows::Key;

/// Triangles of the mesh: the most that are read.
const TRIANGLES: usize = 40_000;
/// Processor time within which the keys are known.
const WITHIN: Duration = Duration::from_secs(5);

/// A mesh of six-node triangles that is divided on.
struct Mesh {
    nodes: Vec<[f64; 2]>,
    triangles: Vec<[usize; 6]>,
    lines: Vec<(usize, Vec<[usize; 3]>)>,
}

impl Mesh {
    /// A node between others by their weights.
    fn between(&mut self, weighted: &[(usize, f64)]) -> usize {
        self.nodes.push([0, 1].map(|k| weighted.iter().map(|(node, weight)| weight * self.nodes[*node][k]).sum()));
        self.nodes.len() - 1
    }

    /// Each triangle as four, each line as two, on the same curves.
    fn divided(mut self) -> Self {
        let mut known = HashMap::new();
        let mut triangles = Vec::new();
        for [a, b, c, d, e, f] in std::mem::take(&mut self.triangles) {
            // A quarter of the way along a quadratic side, and half way between its middle nodes.
            let mut quarter = |mesh: &mut Self, [from, to, middle]: [usize; 3]| {
                *known.entry((from, middle)).or_insert_with(|| mesh.between(&[(from, 0.375), (middle, 0.75), (to, -0.125)]))
            };
            let [ad, db, be, ec, cf, fa] =
                [[a, b, d], [b, a, d], [b, c, e], [c, b, e], [c, a, f], [a, c, f]].map(|side| quarter(&mut self, side));
            let [de, ef, fd] = [[d, e], [e, f], [f, d]].map(|[i, j]| self.between(&[(i, 0.5), (j, 0.5)]));
            triangles.extend([[a, d, f, ad, fd, fa], [d, b, e, db, be, de], [f, e, c, ef, ec, cf], [d, e, f, de, ef, fd]]);
        }
        self.triangles = triangles;
        let two = |[a, b, m]: &[usize; 3]| [[*a, *m, known[&(*a, *m)]], [*m, *b, known[&(*b, *m)]]];
        for (_, lines) in &mut self.lines {
            *lines = lines.iter().flat_map(two).collect();
        }
        self
    }

    /// As many triangles as are wanted: some are parted into three at their middle.
    fn filled(mut self, wanted: usize) -> Self {
        for i in 0..wanted.saturating_sub(self.triangles.len()) / 2 {
            let [a, b, c, d, e, f] = self.triangles[i];
            let m = self.between(&[(a, 1.0 / 3.0), (b, 1.0 / 3.0), (c, 1.0 / 3.0)]);
            let [am, bm, cm] = [a, b, c].map(|corner| self.between(&[(corner, 0.5), (m, 0.5)]));
            self.triangles[i] = [a, b, m, d, bm, am];
            self.triangles.extend([[b, c, m, e, cm, bm], [c, a, m, f, am, cm]]);
        }
        self
    }

    /// As a file of version 2.2 of the format.
    fn file(&self) -> String {
        let mut text = "$MeshFormat\n2.2 0 8\n$EndMeshFormat\n$PhysicalNames\n2\n".to_owned();
        let _ = write!(text, "1 1 \"{TYRE}\"\n1 2 \"{SPOKES}\"\n$EndPhysicalNames\n$Nodes\n{}\n", self.nodes.len());
        for (i, [r, z]) in self.nodes.iter().enumerate() {
            let _ = writeln!(text, "{} {z} {r} 0", i + 1);
        }
        let tags = |nodes: &[usize]| nodes.iter().map(|node| format!(" {}", node + 1)).collect::<String>();
        let lines = self.lines.iter().flat_map(|(group, lines)| lines.iter().map(move |line| (*group, line)));
        let of_lines = lines.map(|(group, line)| format!("8 2 {group} {group}{}", tags(line)));
        let of_triangles = self.triangles.iter().map(|triangle| format!("9 2 3 3{}", tags(triangle)));
        let all: Vec<String> = of_lines.chain(of_triangles).collect();
        let _ = writeln!(text, "$EndNodes\n$Elements\n{}", all.len());
        for (i, element) in all.iter().enumerate() {
            let _ = writeln!(text, "{} {element}", i + 1);
        }
        text + "$EndElements\n"
    }
}

/// The stored mesh, divided until it has so many triangles.
fn mesh() -> Mesh {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../meshes/box.msh");
    let stored = msh::read(&std::fs::read(path).unwrap()).unwrap();
    let lines = |name| stored.group(name).unwrap().to_vec();
    let lines = vec![(1, lines(TYRE)), (2, lines(SPOKES))];
    let mut mesh = Mesh { nodes: stored.nodes.clone(), triangles: stored.triangles.clone(), lines };
    while 4 * mesh.triangles.len() <= TRIANGLES {
        mesh = mesh.divided();
    }
    mesh.filled(TRIANGLES)
}

/// Ten thousand variants, the most there may be, of a rim that is meshed: read, checked, and each with a key of its own.
#[test]
fn a_large_study_over_a_large_mesh_starts_within_seconds() {
    let mesh = mesh();
    let starter = starter().replace("#shape =", "shape =").replace("\nhoop_stiffness", "\n#hoop_stiffness");
    let starter = starter.replace("\nshape = \"box\"", "\nshape = \"drawing\"\ndrawing = \"rim.msh\"");
    let (head, tail) = starter.split_once("[rim]").unwrap();
    let values = "\"bead.stiffness\" = { from = \"250 kN\", to = \"400 kN\", count = 100 }\n\"contact.friction\" = { from = 0.1, to = 0.5, count = 100 }";
    let text = format!("{head}{}\n[vary]\n{values}\n", &tail[tail.find("[section]").unwrap()..]);
    let attached = Attached::from([("rim.msh".to_owned(), Ok(mesh.file().into_bytes()))]);
    let start = ProcessTime::now();
    let vary = case::variants(&text, attached).unwrap_or_else(|errors| panic!("{errors}")).unwrap();
    let read = start.elapsed();
    let keys: HashSet<Key> = vary.variants.iter().map(Key::of_variant).collect();
    let took = start.elapsed();
    assert_eq!([mesh.triangles.len(), vary.variants.len(), keys.len()], [TRIANGLES, MOST_VARIANTS, MOST_VARIANTS]);
    println!("read in {read:?}, keys known after {took:?}");
    assert!(took < WITHIN, "read in {read:?}, keys known after {took:?}");
}
