//! What several tests draw: numbers of a seeded sequence, rim outlines, and these as DXF text.
#![allow(dead_code, unreachable_pub, reason = "each test uses its part")]

pub mod cases;

/// The sequence of a case's numbers: splitmix64 (Steele, Lea and Flood, OOPSLA 2014, from memory).
pub struct Draw(pub u64);

impl Draw {
    /// Evenly between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        low + (high - low) * ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Whether a share of all comes up.
    pub fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }
}

/// A vertex of a closed outline (r, z), mm, and the bulge of the piece that starts there.
pub type Vertex = ([f64; 2], f64);

/// Corners (r, z, radius), mm, as vertices: a radius of 0 leaves the corner sharp, one that does not fit is made smaller.
pub fn filleted(corners: &[[f64; 3]]) -> Vec<Vertex> {
    let n = corners.len();
    let mut vertices = Vec::new();
    for (i, [r, z, radius]) in corners.iter().enumerate() {
        let (before, after) = (corners[(i + n - 1) % n], corners[(i + 1) % n]);
        let (u, v) = ([r - before[0], z - before[1]], [after[0] - r, after[1] - z]);
        let (in_length, out_length) = (u[0].hypot(u[1]), v[0].hypot(v[1]));
        let turn = (u[0] * v[1] - u[1] * v[0]).atan2(u[0] * v[0] + u[1] * v[1]);
        let leg = (radius * (0.5 * turn.abs()).tan()).min(0.45 * in_length.min(out_length));
        if *radius == 0.0 || leg < 1e-6 {
            vertices.push(([*r, *z], 0.0));
            continue;
        }
        vertices.push(([r - leg * u[0] / in_length, z - leg * u[1] / in_length], (0.25 * turn).tan()));
        vertices.push(([r + leg * v[0] / out_length, z + leg * v[1] / out_length], 0.0));
    }
    vertices
}

/// A half section (z >= 0) as DXF text in mm, z to the right: as it is, or with its mirror image.
pub fn dxf(half: &[Vertex], whole: bool) -> String {
    // Where pieces are strung together the end on the mid-plane may be off by round-off.
    let snapped = |([r, z], bulge): &Vertex| ([*r, if z.abs() < 1e-9 { 0.0 } else { *z }], *bulge);
    let half: &Vec<Vertex> = &half.iter().map(snapped).collect();
    let loops = if whole { chains(half).iter().map(|chain| with_image(chain)).collect() } else { vec![half.clone()] };
    let polyline = |outline: &Vec<Vertex>| {
        // The swap of the axes turns the sense of arcs over.
        let vertices: String =
            outline.iter().map(|([r, z], bulge)| format!("10\n{z:?}\n20\n{r:?}\n42\n{:?}\n", 0.0 - bulge)).collect();
        format!("0\nLWPOLYLINE\n8\nsection\n90\n{}\n70\n1\n{vertices}", outline.len())
    };
    let entities: String = loops.iter().map(polyline).collect();
    format!("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n")
}

/// The outline without its pieces on the mid-plane: open chains from there to there.
fn chains(half: &[Vertex]) -> Vec<Vec<Vertex>> {
    let n = half.len();
    let on_plane = |i: usize| half[i % n].0[1] == 0.0 && half[(i + 1) % n].0[1] == 0.0;
    let first = (0..n).find(|i| on_plane(*i)).map_or(0, |i| i + 1);
    let mut chains: Vec<Vec<Vertex>> = vec![Vec::new()];
    for i in first..first + n {
        if let Some(chain) = chains.last_mut() {
            chain.push(half[i % n]);
        }
        if on_plane(i) {
            chains.push(Vec::new());
        }
    }
    chains.retain(|chain| chain.len() > 1);
    chains
}

/// A chain from the mid-plane to the mid-plane, closed by its mirror image.
fn with_image(chain: &[Vertex]) -> Vec<Vertex> {
    let last = chain.len() - 1;
    // Walked backward the image of an arc turns as the arc does.
    let image = (1..=last).rev().map(|i| ([chain[i].0[0], 0.0 - chain[i].0[1]], chain[i - 1].1));
    chain[..last].iter().copied().chain(image).collect()
}
