//! The ring of the local release, station by station: the table `ring.csv`.

use hoopwright_solver::result::{Assessment, Local, Run};
use hoopwright_solver::ring::RingProfile;

use crate::data::{Columns, Table, decimals};
use hoopwright_case::units::BAR;

/// Names of the two states in the table.
const STATES: [&str; 2] = ["stays", "leaves"];

/// The ring where it stays last, and on its way off.
pub(crate) fn states(local: &Local) -> [Option<&RingProfile>; 2] {
    [local.last.as_ref(), local.leaving.as_ref()]
}

/// A station of a ring.
struct Row<'a> {
    friction: f64,
    state: &'static str,
    profile: &'a RingProfile,
    station: usize,
}

/// The rings of both paths, where they were found: at the highest pressure at which each stays (`stays`), and at the lowest at which it
/// leaves, as it reaches the crest (`leaves`, which is no equilibrium). Angles are counted from the middle of the uneven arc, or as the measured stations are.
pub fn table(a: &Assessment) -> Option<Table> {
    let mut runs = vec![&a.given];
    if a.given.friction > 0.0 {
        runs.push(&a.frictionless);
    }
    let profiles: Vec<_> = runs.into_iter().flat_map(profiles).collect();
    let stations = |(friction, state, profile): (f64, &'static str, _)| {
        let stations: &RingProfile = profile;
        (0..stations.angles.len()).map(move |station| Row { friction, state, profile, station })
    };
    (!profiles.is_empty()).then(|| columns().of(profiles.into_iter().flat_map(stations)))
}

/// Friction, name of the state and ring of each state of a path.
fn profiles(run: &Run) -> Vec<(f64, &'static str, &RingProfile)> {
    let Some(local) = &run.local else { return Vec::new() };
    STATES.into_iter().zip(states(local)).filter_map(|(state, profile)| Some((run.friction, state, profile?))).collect()
}

fn columns<'a>() -> Columns<'a, Row<'a>> {
    let of = |list: fn(&RingProfile) -> &[f64]| move |row: &Row<'a>| list(row.profile).get(row.station).copied();
    let [angle, before] = [of(|p| &p.angles), of(|p| &p.before)];
    let [lift, crest, tension, friction] = [of(|p| &p.lift), of(|p| &p.crest), of(|p| &p.tension), of(|p| &p.friction)];
    Columns::new()
        .number("friction", "-", crate::lines::short, |row: &Row<'a>| Some(row.friction))
        .text("state", |row| row.state.to_owned())
        .number("pressure", "bar", decimals::<4>, |row| Some(BAR.value_of(row.profile.pressure)))
        .number("angle", "deg", decimals::<3>, move |row| angle(row).map(f64::to_degrees))
        .number("lift_when_let_go", "mm", decimals::<4>, before)
        .number("lift", "mm", decimals::<4>, lift)
        .number("lift_level_with_crest", "mm", decimals::<4>, crest)
        .number("bead_tension", "N", decimals::<2>, tension)
        .number("friction_used", "%", decimals::<2>, move |row| friction(row).map(|share| 100.0 * share))
}

/// What a picture of the ring shows, in sentences.
pub(crate) fn reading(local: &Local) -> String {
    let mut text = "Full line: the ring at the highest pressure at which it was found to stay. Broken line: the ring at the lowest pressure at which it leaves, \
                    as its highest place reaches the crest; it is on its way off then, in no equilibrium. Dotted: as it was let go, an arc higher than the rest."
        .to_owned();
    if let Some(last) = &local.last {
        let [before, after] = last.unevenness();
        text += &format!(" Of {before:.2} mm of unevenness it keeps {after:.2} mm at {:.2} bar", BAR.value_of(last.pressure));
        if last.friction.iter().any(|share| *share > 0.0) {
            text += &format!(
                ", where friction uses {:.0} % of what it could hold, on the average round the wheel",
                100.0 * last.friction_used()
            );
        }
        text.push('.');
    }
    text
}
