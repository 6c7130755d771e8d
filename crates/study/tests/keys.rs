//! How long it takes until a large study over a large mesh knows the keys of its cases.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::{HashMap, HashSet};
use std::fmt::Write;
use std::time::Duration;

use cpu_time::ProcessTime;
use hoopwright_drawing::msh::{self, SPOKES, TYRE};
use hoopwright_solver::case::{self, Attached, MOST_VARIANTS, starter};
use hoopwright_study::rows::Key;

/// Triangles of the mesh: the most that are read.
const TRIANGLES: usize = 40_000;
/// Processor time within which the keys are known.
const WITHIN: Duration = Duration::from_secs(5);

/// A triangle mesh of straight sides that is divided on.
struct Mesh {
    nodes: Vec<[f64; 2]>,
    triangles: Vec<[usize; 3]>,
    lines: Vec<(usize, Vec<[usize; 2]>)>,
}

impl Mesh {
    /// Each triangle as four, each line as two.
    fn divided(mut self) -> Self {
        let mut known = HashMap::new();
        let nodes = &mut self.nodes;
        let mut middle = |a: usize, b: usize| {
            *known.entry((a.min(b), a.max(b))).or_insert_with(|| {
                nodes.push([0, 1].map(|k| 0.5 * (nodes[a][k] + nodes[b][k])));
                nodes.len() - 1
            })
        };
        let mut four = |[a, b, c]: [usize; 3]| {
            let [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
            [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
        };
        let triangles = self.triangles.iter().flat_map(|t| four(*t)).collect();
        let two = |[a, b]: &[usize; 2]| {
            let m = known[&(*a.min(b), *a.max(b))];
            [[*a, m], [m, *b]]
        };
        let lines = self.lines.iter().map(|(group, lines)| (*group, lines.iter().flat_map(two).collect())).collect();
        Self { nodes: self.nodes, triangles, lines }
    }

    /// As many triangles as are wanted: some are parted into three at their middle.
    fn filled(mut self, wanted: usize) -> Self {
        for i in 0..wanted.saturating_sub(self.triangles.len()) / 2 {
            let [a, b, c] = self.triangles[i];
            let middle = [0, 1].map(|k| (self.nodes[a][k] + self.nodes[b][k] + self.nodes[c][k]) / 3.0);
            self.nodes.push(middle);
            let m = self.nodes.len() - 1;
            self.triangles[i] = [a, b, m];
            self.triangles.extend([[b, c, m], [c, a, m]]);
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
        let lines = self.lines.iter().flat_map(|(group, lines)| lines.iter().map(move |line| (*group, line)));
        let of_lines = lines.map(|(group, [a, b])| format!("1 2 {group} {group} {} {}", a + 1, b + 1));
        let of_triangles = self.triangles.iter().map(|[a, b, c]| format!("2 2 3 3 {} {} {}", a + 1, b + 1, c + 1));
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
    let lines = |name| stored.group(name).unwrap().iter().map(|[a, b, _]| [*a, *b]).collect();
    let triangles = stored.triangles.iter().map(|t| [t[0], t[1], t[2]]).collect();
    let mut mesh = Mesh { nodes: stored.nodes.clone(), triangles, lines: vec![(1, lines(TYRE)), (2, lines(SPOKES))] };
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
    assert!(took < WITHIN, "read in {read:?}, keys known after {took:?}");
}
