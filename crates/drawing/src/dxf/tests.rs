#![allow(clippy::unwrap_used)]
#[test]
fn scratch() {
    for name in ["box_half", "box_full", "shallow_solid"] {
        let bytes = std::fs::read(format!("../../meshes/{name}.dxf")).unwrap();
        let drawn = super::read(&bytes, &super::Options::default());
        match drawn { Ok(d) => println!("{name} {:.12} {} {:?} {} {:?}", d.section.area(), d.full, d.unit, d.section.outer.pieces.len(), d.skipped), Err(e) => println!("{name} {e}") }
    }
}
