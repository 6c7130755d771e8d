//! scratch
use hoopwright_solver::{
    assess::assess,
    case::*,
    stages::{Keep, News, run},
};
fn case(n: usize) -> Case {
    Case {
        title: "t".into(),
        rim: Rim {
            seat_diameter: 621.95,
            inner_width: 21.0,
            seat_width: 4.0,
            seat_angle: 2f64.to_radians(),
            flange_height: 5.5,
            wall_thickness: 2.0,
            crest_radius: 1.0,
            corner_radius: 0.6,
            hump_height: 0.3,
            hump_width: 1.2,
            well_depth: 3.0,
            well_width: 6.0,
            hoop_stiffness: 7e6,
            centroid_diameter: 608.0,
        },
        spokes: Spokes { count: 28, stiffness: 508e3, length: 285.0, pretension: 1000.0 },
        bead: Bead {
            diameter: 620.4,
            law: HoopLaw::Linear(400e3),
            breaking_force: None,
            bundle_size: 2.0,
            bundle_height: 2.0,
            width: 4.0,
            filler_height: 5.0,
            heel_radius: 1.0,
            toe_radius: 0.8,
        },
        casing: Casing {
            plies: 1,
            turn_up: TurnUp::Overlap,
            cord_stiffness: 145.0 / 4.7,
            ends: 4.7,
            cord_breaking_force: None,
            angle: 45f64.to_radians(),
            bead_to_bead: 67.0,
            sidewall_thickness: 1.0,
            tread_thickness: 2.0,
            tread_width: 20.0,
        },
        rubber: Rubber { bead: 13.2, casing: 5.5, tread: 4.43, bundle: 60.0, bulk: 2000.0 },
        friction: 0.3,
        pressure: Pressure { rated: 0.5, test_factor: 1.5, cap: 2.5 },
        limits: Limits { criterion: Criterion::OffCentre, without_friction: false, spoke_loss: 0.25, mounting_force: None },
        refinement: n,
    }
}
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let n = a[1].parse().unwrap();
    let mu: f64 = a[2].parse().unwrap();
    let mut c = case(n);
    if a.len() > 3 {
        c.bead.law = HoopLaw::Linear(a[3].parse::<f64>().unwrap());
    }
    let v = std::env::var("V").is_ok();
    let r = run(&c, mu, Keep::Numbers, &mut |x| match x {
        News::Newton(t, r, e) => {
            if v {
                println!("   {t:?} {:?} {e:?}", r.iter().map(|x| format!("{x:.1e}")).collect::<Vec<_>>().join(" "))
            }
        }
        News::Point(p) => println!(
            "{:?} p={:.4} lift={:.4} T={:.1} rot={:.3} seat={:.3} fl={:.3} rr={:.3} rim={:.4} hoopF={:.0} spk={:.1} seal={:?} leak={} W={:.2} rc={:.2} cord={:.2} bal={:.1e} {:.1e}",
            p.stage,
            p.pressure,
            p.lift,
            p.bead_tension,
            p.bundle_rotation,
            p.seat_load,
            p.flange_load,
            p.radial_reaction,
            p.rim_displacement,
            p.rim_hoop_force,
            p.spoke_loss,
            p.seal_margin,
            p.leaks,
            p.width,
            p.crown_radius,
            p.cord_force,
            p.balance.axle_cut,
            p.balance.axial
        ),
    });
    if let Ok((r0, _)) = &r {
        let p: Vec<_> = r0.path.iter().map(|p| format!("{:.3},{:.4}", p.lift, p.pressure)).collect();
        let _ = p;
    }
    match r {
        Ok((r, _)) => println!("{:?} {:?} {:?}", r.end, r.retention, r.effort),
        Err(e) => println!("ERR {e}"),
    }
    let _ = assess;
}
#[allow(dead_code)]
fn where_is() {}
