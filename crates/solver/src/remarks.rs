//! What a user should know beyond the verdict: whole sentences on what was found, in the order of danger.

use crate::deciding::deciding_release;
use crate::estimate::{Estimate, USUAL};
use crate::model::ModelError;
use crate::numerical::STICKY;
use crate::path::{End, Release};
use crate::result::{Moment, RimSection, Run};
use crate::rim::RimModel;
use crate::rim::error::RimError;
use crate::rim::stress::RimState;
use hoopwright_case::units::{BAR, MM, NEWTON};
use hoopwright_case::{Case, WIDTH_GAP};

/// A pressure below which there is no hold worth a number, MPa.
const NO_HOLD: f64 = 1e-6;

/// Notes on the two runs, beside the estimate where there is one.
pub(crate) fn remarks(case: &Case, given: &Run, frictionless: &Run, estimate: Option<&Estimate>) -> Vec<String> {
    let required = case.required_pressure();
    let compared = match estimate {
        None => {
            vec!["The casing has no closed-form membrane shape on this rim: no estimate stands beside the result.".to_owned()]
        }
        Some(e) => {
            let with = apart(given, e.given.off_centre_release, required);
            let without = apart(frictionless, e.frictionless.off_centre_release, required);
            with.into_iter().chain(without.filter(|_| given.friction > 0.0)).collect()
        }
    };
    let found = [
        lives_on_friction(case, given, frictionless),
        rim_lives_on_friction(case, given, frictionless),
        slack(case, given),
        off_its_seat(given),
        slips(given),
        narrow(case, given),
        loose(given),
        pressed_in(case, [given, frictionless]),
        estimate.and_then(|e| mounting(case, e)),
    ];
    compared.into_iter().chain(found.into_iter().flatten()).collect()
}

/// Share of the crown's height over the wall that a load may press the tread in by while a tyre that is taken as linear tells what it does.
const LINEAR: f64 = 0.25;

/// A note where a rider's load presses the tread in so far that what it does to the bead is not told well.
fn pressed_in(case: &Case, runs: [&Run; 2]) -> Option<String> {
    let sinking = runs.into_iter().filter_map(|run| Some(run.local.as_ref()?.loaded?.sinking)).fold(0.0, f64::max);
    let load = case.local.rider.filter(|_| sinking > LINEAR)?;
    Some(format!(
        "A load of {:.0} N presses the tread in by {:.0} % of its height over the wall at the local release. The tyre under load is taken as linear, \
         which holds to about {:.0} %: what the load does is a rough answer there.",
        load.radial,
        100.0 * sinking,
        100.0 * LINEAR
    ))
}

/// A note where the rim's stress passes its strength, at the lowest of the pressures that were looked at: fitted, rated, required and
/// highest.
///
/// # Errors
/// [`ModelError`] when the section cannot be solved.
pub(crate) fn beyond_strength(
    case: &Case,
    rim: &RimModel,
    given: &Run,
    section: Option<&RimSection>,
) -> Result<Option<String>, ModelError> {
    let (Some(section), Some(of)) = (section, &case.section) else { return Ok(None) };
    let required = case.required_pressure();
    let asked = given.path[given.fit..].iter().find(|p| p.pressure >= required);
    let asked = asked.map(|point| rim.state(case, point)).transpose().map_err(RimError::from)?.flatten();
    let mut states: Vec<&RimState> = section.states.iter().map(|(_, state)| state).chain(&asked).collect();
    states.sort_by(|a, b| a.pressure.total_cmp(&b.pressure));
    let beyond = |state: &&RimState| {
        Some((state.pressure, state.both.anywhere.place, state.both.anywhere.utilisation.filter(|u| *u > 1.0)?))
    };
    let Some((pressure, place, share)) = states.iter().find_map(beyond) else { return Ok(None) };
    let consequence = match of.hoop_strength {
        None => "some of the deformation would stay",
        Some(_) => "the laminate would fail",
    };
    Ok(Some(format!(
        "At {:.2} bar the rim's stress is {:.0} % of its strength near r = {:.1} mm, z = {:.1} mm: {consequence}. The model goes on as \
         if it were elastic.",
        BAR.value_of(pressure),
        100.0 * share,
        place[0],
        place[1]
    )))
}

/// A note where the spokes go slack on the way: they carry no compression, which the model has them do.
fn slack(case: &Case, given: &Run) -> Option<String> {
    let first = given.path[given.fit..].iter().find(|p| p.spoke_loss >= case.spokes.pretension)?;
    Some(format!(
        "From {:.2} bar on the mean spoke tension is lost altogether: slack spokes hold the rim no more, so that what is found at higher \
         pressures, the release too, is not that of this wheel.",
        BAR.value_of(first.pressure)
    ))
}

/// A note where the seat carries nothing at the rated pressure.
fn off_its_seat(given: &Run) -> Option<String> {
    let rated = given.at(Moment::Rated)?;
    let Release::At(lift) = given.retention.first_lift else { return None };
    (lift > 0.0 && lift < rated.pressure).then(|| {
        format!(
            "At the rated pressure the bead does not press on its seat: it has left it from {:.2} bar on and is held by its own tension, the \
             wall and friction, {} higher.",
            BAR.value_of(lift),
            MM.show((100.0 * rated.lift).round() / 100.0)
        )
    })
}

/// A note where the tyre is hardly wider than the rim, whatever its label says.
fn narrow(case: &Case, given: &Run) -> Option<String> {
    let width = given.at(Moment::Rated)?.width;
    (width < case.rim.inner_width + WIDTH_GAP).then(|| {
        format!(
            "At the rated pressure the tyre is {:.1} mm wide, less than {} above the rim's inner width of {}: the width rule of 2023 keeps \
             labelled widths that far apart (cycling magazine, 15 June 2023), since a 28 mm tyre came off a 25 mm rim.",
            width,
            MM.show(WIDTH_GAP),
            MM.show(case.rim.inner_width)
        )
    })
}

/// A note where the bead floats.
fn loose(given: &Run) -> Option<String> {
    let fitted = given.at(Moment::Fitted)?;
    (fitted.seat_load <= 0.0).then(|| {
        "The unstretched bead is larger than the seat: it does not press on it, and first lift is at no pressure.".to_owned()
    })
}

/// A note where what mounting asks may pass what the bead or the fitter bears: it lies between two bounds, the lower of which is judged.
fn mounting(case: &Case, estimate: &Estimate) -> Option<String> {
    let m = &estimate.mounting;
    let between = |limit: &f64| (m.limp_force..m.stiff_force).contains(limit);
    let what = match (case.limits.mounting_force.filter(between), case.bead.breaking_force.filter(between)) {
        (_, Some(strength)) => {
            format!("the bundle's breaking force of {} lies between, and mounting may break it", NEWTON.show(strength))
        }
        (Some(limit), None) => format!("the limit of {} lies between, and may be passed", NEWTON.show(limit)),
        (None, None) => return None,
    };
    Some(format!(
        "To be mounted the bead must bear a hoop force between {:.0} N (limp strip) and {:.0} N (stiff round hoop): {what}.",
        m.limp_force, m.stiff_force
    ))
}

/// A note where grips slip on the way to the release, or may.
fn slips(given: &Run) -> Option<String> {
    let Some(slip) = given.slip else {
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
        BAR.value_of(slip.before),
        BAR.value_of(slip.after),
        100.0 * slip.share()
    ))
}

/// A note where the rim's limit is kept with friction only: friction on the wall takes load off the seat.
fn rim_lives_on_friction(case: &Case, given: &Run, frictionless: &Run) -> Option<String> {
    let share = |run: &Run| run.at(Moment::Rated).map(|p| p.spoke_loss / case.spokes.pretension);
    let (with, without, limit) = (share(given)?, share(frictionless)?, case.limits.spoke_loss);
    (with <= limit && without > limit).then(|| {
        format!(
            "The rim lives on friction: the mean spoke tension loss at rated pressure is {:.1} % at friction {} and {:.1} % without, where \
             {:.1} % are allowed.",
            100.0 * with,
            given.friction,
            100.0 * without,
            100.0 * limit
        )
    })
}

/// A note where the required pressure is reached with friction only.
fn lives_on_friction(case: &Case, given: &Run, frictionless: &Run) -> Option<String> {
    let required = case.required_pressure();
    let judged = |run: &Run| deciding_release(case.limits.criterion, run, required).1;
    let (Release::At(with) | Release::Above(with)) = judged(given);
    let lost = matches!(judged(frictionless), Release::At(without) if without < required);
    (with >= required && lost).then(|| {
        format!(
            "The joint lives on friction: it keeps the required pressure at friction {} and would not without. Lubricant, heat and wear \
             take friction away.",
            given.friction
        )
    })
}

/// A note where finite elements and estimate lie further apart than the band; where the estimate finds no hold and finite elements none
/// that is asked for, they agree.
fn apart(run: &Run, estimate: f64, required: f64) -> Option<String> {
    if matches!(run.end, End::Failed(_)) {
        return None;
    }
    let (Release::At(found) | Release::Above(found)) = run.retention.off_centre_release;
    if estimate < NO_HOLD {
        return (found >= required).then(|| {
            format!(
                "At friction {} the closed form finds no hold at all where finite elements find an off-centre release at {:.2} bar: look at \
                 both before you rely on either.",
                run.friction,
                BAR.value_of(found)
            )
        });
    }
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
            BAR.value_of(found),
            found / estimate,
            BAR.value_of(estimate)
        )
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::estimate::estimate;
    use crate::path::{PathPoint, Retention, alike, point};
    use crate::result;
    use hoopwright_case as case;

    #[test]
    fn much_friction_is_told_to_have_several_paths() {
        let run = |friction| result::ran(friction, Vec::new(), alike(Release::Above(0.0)));
        assert_eq!(slips(&run(STICKY)), None);
        let note = slips(&run(0.46)).unwrap();
        assert!(note.starts_with("At friction 0.46 parts of the bead stick and slip") && !note.contains("  "), "{note}");
    }

    fn ran(friction: f64, path: Vec<PathPoint>, first_lift: f64) -> Run {
        let retention = Retention { first_lift: Release::At(first_lift), ..alike(Release::At(0.8)) };
        Run { rated: Some(2), ..result::ran(friction, path, retention) }
    }

    /// Fitted, at 0.5 MPa rated and at 0.8 MPa; spoke losses of these, N.
    fn path(losses: [f64; 3]) -> Vec<PathPoint> {
        let mut path = vec![point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0), point(0.5, 0.437, 0.0), point(0.8, 2.0, 0.0)];
        path.iter_mut().skip(1).zip(losses).for_each(|(point, loss)| point.spoke_loss = loss);
        path
    }

    /// Pretension 1000 N, a quarter of it may be lost; inner width 21 mm, tyre 28 mm.
    #[test]
    fn what_the_verdict_does_not_tell_is_told() {
        let mut case = case::read(&case::starter()).unwrap().0;
        let quiet = ran(0.3, path([100.0, 240.0, 900.0]), 0.5);
        let notes =
            |case: &Case, given: &Run| remarks(case, given, &ran(0.0, path([100.0, 245.0, 900.0]), 0.5), None)[1..].to_vec();
        assert_eq!(notes(&case, &quiet), Vec::<String>::new());
        let told = |given: &Run, word: &str| {
            let notes = notes(&case, given);
            assert!(notes.len() == 1 && notes[0].contains(word), "{word}: {notes:?}");
        };
        told(&ran(0.3, path([100.0, 240.0, 1000.0]), 0.5), "From 8.00 bar on the mean spoke tension is lost altogether");
        told(
            &ran(0.3, path([100.0, 240.0, 900.0]), 0.287),
            "left it from 2.87 bar on and is held by its own tension, the wall and friction, 0.44 mm",
        );
        let losing = ran(0.0, path([100.0, 263.0, 900.0]), 0.5);
        let rim = &remarks(&case, &quiet, &losing, None)[1];
        assert!(rim.contains("is 24.0 % at friction 0.3 and 26.3 % without, where 25.0 % are allowed"), "{rim}");
        let mut floating = quiet.clone();
        floating.path[1].seat_load = 0.0;
        told(&floating, "larger than the seat");
        case.rim.inner_width = 23.1;
        assert!(
            notes(&case, &quiet)[0].contains("the tyre is 28.0 mm wide, less than 5 mm above the rim's inner width of 23.1 mm")
        );
    }

    #[test]
    fn a_limit_between_the_bounds_of_mounting_is_told() {
        let mut case = case::read(&case::starter()).unwrap().0;
        let estimate = estimate(&case).unwrap();
        let (limp, stiff) = (estimate.mounting.limp_force, estimate.mounting.stiff_force);
        assert_eq!(mounting(&case, &estimate), None);
        case.limits.mounting_force = Some(stiff);
        assert_eq!(mounting(&case, &estimate), None);
        case.limits.mounting_force = Some(0.5 * (limp + stiff));
        assert!(mounting(&case, &estimate).unwrap().contains("the limit of"));
        case.bead.breaking_force = Some(0.9 * stiff);
        assert!(mounting(&case, &estimate).unwrap().contains("mounting may break it"));
    }

    #[test]
    fn a_hold_that_the_closed_form_does_not_find_is_told() {
        let run = ran(0.3, path([0.0; 3]), 0.5);
        assert!(
            apart(&run, 0.0, 0.75)
                .unwrap()
                .contains("finds no hold at all where finite elements find an off-centre release at 8.00 bar")
        );
        assert_eq!(apart(&run, 0.0, 0.85), None, "both find none that is asked for");
    }

    #[test]
    fn a_release_far_from_the_closed_form_is_told_in_bar() {
        let run = |release: Release, end: End| Run { end, ..result::ran(0.3, Vec::new(), alike(release)) };
        let told = |release: Release| apart(&run(release, End::LimitPoint), 0.5, 0.75);
        for usual in [Release::At(0.46), Release::At(0.89), Release::Above(0.2), Release::Above(0.89)] {
            assert_eq!(told(usual), None);
        }
        for odd in [Release::At(0.44), Release::At(0.91), Release::Above(0.91)] {
            assert!(told(odd).is_some(), "{odd:?}");
        }
        let note = told(Release::At(1.0)).unwrap();
        assert!(note.contains("10.00 bar, is 2.00 times that by the closed form, 5.00 bar; 0.9 to 1.8 is usual"), "{note}");
        assert_eq!(apart(&run(Release::At(1.0), End::Failed(String::new())), 0.5, 0.75), None);
    }
}
