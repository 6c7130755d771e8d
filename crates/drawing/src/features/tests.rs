#![allow(clippy::unwrap_used)]
#[test]
fn scratch() {
    for name in ["box_half", "shallow_solid"] {
        let bytes = std::fs::read(format!("../../meshes/{name}.dxf")).unwrap();
        let drawn = crate::dxf::read(&bytes, &crate::dxf::Options::default()).unwrap();
        match super::features(&drawn.section) { Ok(d) => println!("{name} {d:#?}"), Err(e) => println!("{name} {e}") }
    }
}
