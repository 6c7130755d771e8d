#![allow(clippy::unwrap_used)]
#[test]
fn scratch() {
    let bytes = std::fs::read("../../meshes/box.msh").unwrap();
    let mesh = super::read(&bytes).unwrap();
    println!("{} {} {:?}", mesh.nodes.len(), mesh.triangles.len(), mesh.groups.iter().map(|g| (&g.0, g.1.len())).collect::<Vec<_>>());
    let (pieces, end) = super::profile(&mesh).unwrap();
    for p in &pieces { println!("{p:?}"); }
    let f = crate::features::chain_features(&pieces, end);
    match f { Ok(mut f) => { f.chain.clear(); println!("{f:?}") }, Err(e) => println!("{e}") }
}
