//! Random damage to the example files: reading, analysing and following them never panics and gives a value or a sentence.

#![allow(clippy::unwrap_used)]

use hoopwright_drawing::dxf::{self, Options, Unit};
use hoopwright_drawing::features::{chain_features, features};
use hoopwright_drawing::{DrawingError, msh};

/// Mutations of each file.
const ROUNDS: usize = 500;
/// Bytes that make damage a parser has to think about.
const BYTES: &[u8] = b"0123456789.-+eE \n\t\r$\"^\\\0\x80\xffnaif";

/// A linear congruential generator (Knuth, The Art of Computer Programming 2, section 3.3.4, MMIX constants).
struct Random(u64);

impl Random {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % bound
    }
}

/// One to four damages: a byte changed, put in or taken out, a stretch copied or cut, a number replaced.
fn damaged(bytes: &[u8], random: &mut Random) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..=random.below(4) {
        let at = random.below(bytes.len());
        let to = (at + random.below(200)).min(bytes.len());
        match random.below(6) {
            0 => bytes[at] = BYTES[random.below(BYTES.len())],
            1 => bytes.insert(at, BYTES[random.below(BYTES.len())]),
            2 => drop(bytes.remove(at)),
            3 => drop(bytes.drain(at..to)),
            4 => {
                let stretch = bytes[at..to].to_vec();
                let other = random.below(bytes.len());
                bytes.splice(other..other, stretch);
            }
            _ => {
                let end = bytes[at..].iter().position(u8::is_ascii_whitespace).map_or(bytes.len(), |n| at + n);
                let extremes = ["0", "-1", "1e308", "-1e-308", "9223372036854775807", "1", "2", "311.0", "70", "ARC"];
                bytes.splice(at..end, extremes[random.below(extremes.len())].bytes());
            }
        }
        if bytes.is_empty() {
            break;
        }
    }
    bytes
}

fn draw(bytes: &[u8]) -> Result<f64, DrawingError> {
    let drawn = dxf::read(bytes, &Options { unit: Some(Unit::Millimetre) });
    let drawn = drawn.or_else(|_| dxf::read(bytes, &Options::default()))?;
    let area = drawn.section.area();
    assert!(area.is_finite());
    features(&drawn.section).map(|f| f.seat_diameter + area)
}

fn mesh(bytes: &[u8]) -> Result<f64, DrawingError> {
    let mesh = msh::read(bytes)?;
    assert!(mesh.triangles.iter().flatten().all(|node| *node < mesh.nodes.len()));
    let (pieces, end) = msh::profile(&mesh)?;
    chain_features(&pieces, end).map(|f| f.seat_diameter)
}

/// Damages a file and counts what still reads.
fn survivors(name: &str, read: fn(&[u8]) -> Result<f64, DrawingError>) -> usize {
    let bytes = std::fs::read(format!("{}/../../meshes/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    assert!(read(&bytes).is_ok(), "{name}");
    let mut random = Random(0x5eed);
    let mut good = 0;
    for round in 0..ROUNDS {
        match read(&damaged(&bytes, &mut random)) {
            Ok(value) => {
                assert!(value.is_finite(), "{name}, round {round}");
                good += 1;
            }
            Err(error) => assert!(error.to_string().len() > 20 && !error.to_string().contains("NaN"), "{name}, {round}: {error}"),
        }
    }
    good
}

#[test]
fn damaged_drawings_and_meshes_never_panic() {
    for name in ["box_half.dxf", "box_full.dxf", "shallow_solid.dxf"] {
        let good = survivors(name, draw);
        assert!(good > 0 && good < ROUNDS, "{name}: {good}");
    }
    let good = survivors("box.msh", mesh);
    assert!(good > 0 && good < ROUNDS, "box.msh: {good}");
}
