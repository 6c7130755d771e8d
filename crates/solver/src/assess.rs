//! The main job: fit, inflate and blow off one tyre on one rim, at the given friction and without.

use crate::case::Case;
use crate::estimate::{Estimate, USUAL, estimate};
use crate::model::{Model, ModelError};
use crate::result::{Assessment, End, Moment, Release, RimSection, Run, SectionMesh, Verdict};
use crate::rim::RimModel;
use crate::slip::slip_by_friction;
use crate::stages::{self, Keep, Listener};
use crate::verdict::verdict;
use std::sync::Arc;

/// What decides a case, without fields and without the path that does not decide.
#[derive(Clone, Debug)]
pub struct Decision {
    /// The path at the case's friction.
    pub given: Run,
    /// The path without friction where that decides.
    pub frictionless: Option<Run>,
    /// The closed-form answers, where the casing has a membrane shape.
    pub estimate: Option<Estimate>,
    /// Verdict.
    pub verdict: Verdict,
}

/// Decides a case: the numbers and the verdict are those of [`assess`], at half its cost.
///
/// # Errors
/// [`ModelError`] when the case's geometry does not fit together.
pub fn decide(case: &Case, listener: Listener<'_>) -> Result<Decision, ModelError> {
    let rim = Arc::new(RimModel::new(case).map_err(ModelError::from)?);
    let (given, _) = stages::run(case, &rim, case.friction, Keep::Numbers, listener)?;
    let frictionless = match (case.limits.without_friction, case.friction == 0.0) {
        (false, _) => None,
        (true, true) => Some(given.clone()),
        (true, false) => Some(stages::run(case, &rim, 0.0, Keep::Numbers, listener)?.0),
    };
    let estimate = estimate(case).ok();
    let mounting = estimate.as_ref().map(|e| e.mounting.limp_force);
    let verdict = verdict(case, &given, frictionless.as_ref().unwrap_or(&given), mounting);
    Ok(Decision { given, frictionless, estimate, verdict })
}

/// How the path at the case's friction and the one without are run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paths {
    /// One after the other on the caller's thread; the listener hears both.
    InTurn,
    /// At once, on two threads; the listener hears the one at the case's friction.
    SideBySide,
}

/// Assesses a case. `notes` are passed on to the result, which is the same however the `paths` are run.
///
/// # Errors
/// [`ModelError`] when the case's geometry does not fit together.
pub fn assess(case: &Case, mut notes: Vec<String>, paths: Paths, listener: Listener<'_>) -> Result<Assessment, ModelError> {
    let rim = Arc::new(RimModel::new(case).map_err(ModelError::from)?);
    let (given, model, frictionless) = both_paths(case, &rim, paths, listener)?;
    let rim_section = rim_section(case, &rim, &given)?;
    notes.extend(rim_section.as_ref().and_then(|s| beyond_strength(case, s)));
    let estimate = estimate(case).ok();
    let verdict = verdict(case, &given, &frictionless, estimate.as_ref().map(|e| e.mounting.limp_force));
    match &estimate {
        None => {
            notes.push("The casing has no closed-form membrane shape on this rim: no estimate stands beside the result.".into());
        }
        Some(e) => notes.extend(
            apart(&given, e.given.off_centre_release).into_iter().chain(apart(&frictionless, e.frictionless.off_centre_release)),
        ),
    }
    notes.extend(lives_on_friction(case, &given, &frictionless));
    notes.extend(slips(&given, &frictionless));
    if given.at(Moment::Fitted).is_some_and(|p| p.seat_load <= 0.0) {
        notes.push(
            "The unstretched bead is larger than the seat: it does not press on it, and first lift is at no pressure.".into(),
        );
    }
    Ok(Assessment {
        case: case.clone(),
        mesh: section(&model),
        rim_outline: model.contact.profile().polyline(),
        rim_profile: model.contact.profile().clone(),
        rim_section,
        given,
        frictionless,
        estimate,
        verdict,
        notes,
    })
}

/// The path at the case's friction with its model, and the one without friction.
fn both_paths(case: &Case, rim: &Arc<RimModel>, paths: Paths, listener: Listener<'_>) -> Result<(Run, Model, Run), ModelError> {
    if case.friction == 0.0 {
        let (given, model) = stages::run(case, rim, 0.0, Keep::Fields, listener)?;
        let frictionless = given.clone();
        return Ok((given, model, frictionless));
    }
    let without = |listener: Listener<'_>| stages::run(case, rim, 0.0, Keep::Numbers, listener).map(|(run, _)| run);
    if paths == Paths::InTurn {
        let (given, model) = stages::run(case, rim, case.friction, Keep::Fields, listener)?;
        return Ok((given, model, without(listener)?));
    }
    std::thread::scope(|scope| {
        let other = scope.spawn(|| without(&mut |_| ()));
        let (given, model) = stages::run(case, rim, case.friction, Keep::Fields, listener)?;
        let frictionless = other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
        Ok((given, model, frictionless))
    })
}

fn rim_section(case: &Case, rim: &RimModel, given: &Run) -> Result<Option<RimSection>, ModelError> {
    let (Some(body), Some(section)) = (&rim.body, &case.section) else { return Ok(None) };
    let mut states = Vec::new();
    for moment in Moment::ALL {
        if let Some(state) = given.at(moment).map(|point| rim.state(case, point)).transpose()?.flatten() {
            states.push((moment, state));
        }
    }
    Ok(Some(RimSection {
        mesh: body.mesh.clone(),
        area: 2.0 * body.area(),
        mass: 2.0 * body.volume() * section.density,
        modes: rim.modes.len(),
        states,
    }))
}

/// A note where the rim's stress passes its strength.
fn beyond_strength(case: &Case, section: &RimSection) -> Option<String> {
    let in_use =
        section.states.iter().filter(|(moment, _)| *moment != Moment::Highest).map(|(_, s)| (s.pressure, s.both.anywhere));
    let (pressure, peak, share) =
        in_use.filter_map(|(pressure, peak)| Some((pressure, peak, peak.utilisation?))).find(|(_, _, share)| *share > 1.0)?;
    let consequence = match case.section.as_ref()?.hoop_strength {
        None => "some of the deformation would stay",
        Some(_) => "the laminate would fail",
    };
    Some(format!(
        "At {:.2} bar the rim's stress is {:.0} % of its strength near r = {:.1} mm, z = {:.1} mm: {consequence}. The model goes on as \
         if it were elastic.",
        10.0 * pressure,
        100.0 * share,
        peak.place[0],
        peak.place[1]
    ))
}

/// Friction above which a bead that sticks and slips may have several equilibria on its way: other lengths of steps moved the off-centre
/// release by 2 to 90 % in four of 20 random cases above it, by less than 1 % in all of 18 below it.
const STICKY: f64 = 0.38;

/// A note where grips slip on the way to the release, or may.
fn slips(given: &Run, frictionless: &Run) -> Option<String> {
    let Some(slip) = slip_by_friction(&given.path, &frictionless.path) else {
        return (given.friction > STICKY).then(|| {
            format!(
                "At friction {} parts of the bead stick and slip on its way, and there is more than one equilibrium: the pressures found with \
                 friction are those of one path of several, which mostly lie within 2 % of each other and may lie far apart. Lean on those without.",
                given.friction
            )
        });
    };
    Some(format!(
        "At friction {} the bead sticks and slips on its way: with {:.2} mm of lift the pressure falls from {:.2} to {:.2} bar and rises \
         again. When and how far a grip slips depends on more than friction, so the pressures found with friction are uncertain by at \
         least as much ({:.0} %): lean on those without.",
        given.friction,
        slip.lift,
        10.0 * slip.before,
        10.0 * slip.after,
        100.0 * slip.share()
    ))
}

/// A note where the required pressure is reached with friction only.
fn lives_on_friction(case: &Case, given: &Run, frictionless: &Run) -> Option<String> {
    let required = case.required_pressure();
    let (Release::At(with) | Release::Above(with)) = given.retention.off_centre_release;
    let lost = matches!(frictionless.retention.off_centre_release, Release::At(without) if without < required);
    (with >= required && lost).then(|| {
        format!(
            "The joint lives on friction: it keeps the required pressure at friction {} and would not without. Lubricant, heat and wear \
             take friction away.",
            given.friction
        )
    })
}

/// A note where finite elements and estimate lie further apart than the band. Where either found no hold worth a number, there is
/// nothing to compare.
fn apart(run: &Run, estimate: f64) -> Option<String> {
    if estimate < 1e-6 || matches!(run.end, End::Failed(_)) {
        return None;
    }
    let (Release::At(found) | Release::Above(found)) = run.retention.off_centre_release;
    let [low, high] = USUAL;
    let far = match run.retention.off_centre_release {
        Release::At(_) => !(low..=high).contains(&(found / estimate)),
        Release::Above(_) => found > high * estimate,
    };
    far.then(|| {
        format!(
            "At friction {} the off-centre release pressure by finite elements, {:.2} bar, is {:.2} times that by the closed form, {:.2} bar; \
             {low} to {high} is usual: look at both before you rely on either.",
            run.friction,
            10.0 * found,
            found / estimate,
            10.0 * estimate
        )
    })
}

fn section(model: &Model) -> SectionMesh {
    let tyre = &model.tyre;
    let chain =
        |edges: &[[usize; 3]]| edges.iter().flat_map(|e| [e[0], e[2]]).chain(edges.last().map(|e| e[1])).collect::<Vec<_>>();
    SectionMesh {
        nodes: tyre.mesh.nodes.clone(),
        quads: tyre.mesh.quads.clone(),
        regions: tyre.regions.clone(),
        outer_face: chain(&tyre.outer_edges),
        inner_face: chain(&tyre.inner_edges),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::result::Retention;

    #[test]
    fn much_friction_is_told_to_have_several_paths() {
        let unknown = Release::Above(0.0);
        let retention = Retention { first_lift: unknown, off_centre_release: unknown, uniform_blow_off: unknown };
        let run = |friction| Run {
            friction,
            path: Vec::new(),
            fit: 0,
            rated: None,
            retention,
            end: End::Cap,
            effort: Default::default(),
        };
        assert_eq!(slips(&run(STICKY), &run(0.0)), None);
        let note = slips(&run(0.46), &run(0.0)).unwrap();
        assert!(note.starts_with("At friction 0.46 parts of the bead stick and slip") && !note.contains("  "), "{note}");
    }

    #[test]
    fn a_release_far_from_the_closed_form_is_told_in_bar() {
        let run = |release: Release, end: End| {
            let retention = Retention { first_lift: release, off_centre_release: release, uniform_blow_off: release };
            Run { friction: 0.3, path: Vec::new(), fit: 0, rated: None, retention, end, effort: Default::default() }
        };
        let told = |release: Release| apart(&run(release, End::LimitPoint), 0.5);
        for usual in [Release::At(0.46), Release::At(0.89), Release::Above(0.2), Release::Above(0.89)] {
            assert_eq!(told(usual), None);
        }
        for odd in [Release::At(0.44), Release::At(0.91), Release::Above(0.91)] {
            assert!(told(odd).is_some(), "{odd:?}");
        }
        let note = told(Release::At(1.0)).unwrap();
        assert!(note.contains("10.00 bar, is 2.00 times that by the closed form, 5.00 bar; 0.9 to 1.8 is usual"), "{note}");
        assert_eq!(apart(&run(Release::At(1.0), End::Failed(String::new())), 0.5), None);
    }
}
