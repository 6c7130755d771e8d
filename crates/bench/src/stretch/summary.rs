//! Cycles together: means, errors, the law for the case, and what is to be said.

use std::f64::consts::PI;

use crate::fixture::Fixture;
use nalgebra::Vector2;

use super::cycles::Cycle;
use super::dummy::Compliance;
use super::errors::{self, Spread};
use super::fit::{Coefficients, Fitted};
use super::{CycleFault, CycleFit, CycleResult, Data, Fault, Law, Line, Method, Note, Stretch};
use crate::measured::{Measured, chance};
use crate::regression;
use crate::spikes::range;

/// Fewest cycles whose scatter gives errors.
const REPEATS: usize = 3;
/// A bead is curved if its stiffness changes by more than such a share over the fitted range, and by so many standard errors.
const CURVED: (f64, f64) = (0.05, 3.0);
/// Share of outliers that is worth a word.
const MANY_OUTLIERS: f64 = 0.01;
/// Share of the peak by which the zero may move before a word is said.
const ZERO_MOVES: f64 = 0.01;
/// A drift is told if chance alone makes as much less often than this, over so many cycles at least.
const DRIFT: (f64, usize) = (0.01, 4);
/// A friction coefficient above which a word is said: common practice, no source.
pub(super) const HIGHEST_FRICTION: f64 = 0.6;
/// Points of a curve behind the first, and how far it goes beyond the fitted range.
const POINTS: usize = 8;
const BEYOND: f64 = 1.1;

/// What was found of the cycles.
pub(super) struct Found<'a> {
    pub(super) data: &'a Data<'a>,
    pub(super) fixture: &'a Fixture,
    pub(super) compliance: Compliance,
    pub(super) cycles: &'a [Cycle],
    pub(super) fits: &'a [Result<Fitted, CycleFault>],
}

/// Everything but the rows.
///
/// # Errors
/// No cycle could be fitted.
pub(super) fn stretch(found: &Found<'_>) -> Result<Stretch, Fault> {
    let fitted: Vec<&Fitted> = found.fits.iter().flatten().collect();
    if fitted.is_empty() {
        let first = found.fits.iter().find_map(|fit| fit.as_ref().err());
        return Err(Fault::NoFit(first.copied().unwrap_or(CycleFault::TooFewRows)));
    }
    let cycles = results(found);
    let fits: Vec<&CycleFit> =
        cycles.iter().filter_map(|c| if let CycleResult::Fitted(fit) = c { Some(&**fit) } else { None }).collect();
    let mut notes = Vec::new();
    let measured = measured(found, &fitted, &fits, &mut notes).ok_or(Fault::NoFit(CycleFault::NoErrors))?;
    let change = repeated(&fits.iter().filter_map(|fit| fit.change).collect::<Vec<_>>());
    let law = law(&fitted, &fits, &measured, change, &mut notes);
    say(found, &fits, &mut notes);
    let n = fits.len() as f64;
    let share = |k: usize| fits.iter().map(|fit| found.fixture.range[k] * fit.peak).sum::<f64>() / n;
    let [mut diameter, unstretched, stiffness, friction] = measured;
    if let Law::Curve { .. } = law {
        diameter = by_curve(&fits, 0, diameter);
    }
    let has_friction = found.fixture.friction.is_none();
    Ok(Stretch {
        diameter,
        unstretched,
        stiffness,
        friction: has_friction.then_some(friction),
        loss: repeated(&fits.iter().filter_map(|fit| fit.loss).collect::<Vec<_>>()),
        change,
        law,
        reference_force: found.fixture.reference_force,
        range: [share(0), share(1)],
        method: if fits.len() >= REPEATS { Method::Repeats(fits.len()) } else { Method::Residuals(fits.len()) },
        cycles,
        parts: Vec::new(),
        notes,
        compliance: found.compliance,
        geometry: *found.data.geometry,
        tension: Vec::new(),
        length: Vec::new(),
    })
}

/// Every cycle, those that settle the bead first.
fn results(found: &Found<'_>) -> Vec<CycleResult> {
    let settled = found.fixture.conditioning;
    let of = |(cycle, fit): (&Cycle, &Result<Fitted, CycleFault>)| match fit {
        Ok(fitted) => CycleResult::Fitted(Box::new(numbers(found, cycle, fitted))),
        Err(fault) => CycleResult::Failed(*fault),
    };
    let first = std::iter::repeat_n(CycleResult::Conditioning, settled);
    first.chain(found.cycles.iter().skip(settled).zip(found.fits).map(of)).collect()
}

/// The numbers of a cycle.
fn numbers(found: &Found<'_>, cycle: &Cycle, fitted: &Fitted) -> CycleFit {
    let (g, line) = (found.data.geometry, &fitted.line);
    let without = line.length(0.0);
    let change = fitted.curve.as_ref().map(|curve| {
        let [from, to] = fitted.windows[0];
        (curve.slope(to) - curve.slope(from)) / line.slope(without)
    });
    CycleFit {
        diameter: g.diameter(line.length(found.fixture.reference_force)),
        unstretched: g.diameter(without),
        by_curve: fitted.curve.as_ref().map(|curve| [found.fixture.reference_force, 0.0].map(|t| g.diameter(curve.length(t)))),
        stiffness: line.slope(without) * without,
        friction: g.friction(line.at[3]),
        loss: cycle.is_whole().then(|| loss(found.data, cycle, fitted.zero.unwrap_or(0.0))).flatten(),
        change,
        zero: fitted.zero,
        peak: fitted.peak,
        deviation: fitted.deviation,
        rows: [fitted.rows.len(), fitted.outliers],
        windows: fitted.windows,
        line: line.clone(),
    }
}

/// Share of the work of loading that unloading does not give back.
fn loss(data: &Data<'_>, cycle: &Cycle, zero: f64) -> Option<f64> {
    let work = |rows: std::ops::Range<usize>| -> f64 {
        let trapezium = |k: usize| 0.5 * (data.tension[k] + data.tension[k - 1]) - zero;
        rows.skip(1).map(|k| trapezium(k) * (data.length[k] - data.length[k - 1])).sum()
    };
    let up = work(cycle.loading.start..cycle.unloading.start + 1);
    let down = -work(cycle.unloading.clone());
    (up > 0.0).then(|| 1.0 - down / up)
}

/// Mean of repeats with its standard error where there are enough; none of none.
fn repeated(values: &[f64]) -> Option<(f64, Option<f64>)> {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let error = Measured::of_repeats(values).filter(|_| values.len() >= REPEATS).map(|m| m.error);
    (!values.is_empty()).then_some((mean, error))
}

/// Diameter at the reference force, unstretched diameter, stiffness, friction.
fn measured(found: &Found<'_>, fitted: &[&Fitted], fits: &[&CycleFit], notes: &mut Vec<Note>) -> Option<[Measured; 4]> {
    let values: [fn(&CycleFit) -> f64; 4] = [|f| f.diameter, |f| f.unstretched, |f| f.stiffness, |f| f.friction];
    let repeats = |of: fn(&CycleFit) -> f64| Measured::of_repeats(&fits.iter().map(|fit| of(fit)).collect::<Vec<_>>());
    let whole = if fits.len() >= REPEATS { values.map(repeats) } else { [None; 4] };
    let found_errors = match whole {
        [Some(a), Some(b), Some(c), Some(d)] => [a, b, c, d],
        _ => {
            notes.push(Note::FewRepeats { cycles: fits.len() });
            of_residuals(found, fitted, &values.map(|of| fits.iter().map(|fit| of(fit)).sum::<f64>() / fits.len() as f64), notes)?
        }
    };
    Some(systematic(found, found_errors))
}

/// Errors from the residuals of the few cycles there are.
fn of_residuals(found: &Found<'_>, fitted: &[&Fitted], means: &[f64; 4], notes: &mut Vec<Note>) -> Option<[Measured; 4]> {
    let free = found.fixture.friction.is_none();
    let spreads: Vec<(&Line, Spread)> =
        fitted.iter().filter_map(|f| errors::of(found.data, f, free).map(|spread| (&f.line, spread))).collect();
    if spreads.iter().any(|(_, spread)| spread.wandering) {
        notes.push(Note::Wandering);
    }
    if spreads.is_empty() {
        return None;
    }
    let n = spreads.len() as f64;
    let freedom = spreads.iter().map(|(_, spread)| spread.freedom).sum::<f64>();
    let error = |by: &dyn Fn(&Line) -> Coefficients| {
        let variance: f64 = spreads.iter().map(|(line, spread)| spread.variance(&by(line))).sum();
        variance.sqrt() / n
    };
    let of = |value: f64, by: &dyn Fn(&Line) -> Coefficients| Measured { value, error: error(by), freedom, systematic: 0.0 };
    let length = |line: &Line, tension: f64| {
        let [_, half] = line.scale();
        let slope = line.at[1];
        Coefficients::new(-half / slope, -half * (tension - line.at[0]) / (slope * slope), 0.0, 0.0) / PI
    };
    let reference = found.fixture.reference_force;
    Some([
        of(means[0], &|line| length(line, reference)),
        of(means[1], &|line| length(line, 0.0)),
        of(means[2], &|line| Coefficients::new(-1.0, line.scale()[0] / line.scale()[1], 0.0, 0.0)),
        of(means[3], &|_| Coefficients::new(0.0, 0.0, 0.0, found.data.geometry.friction(1.0))),
    ])
}

/// What calibrations leave open: of disc and gap in the diameters, of the force's scale and the fixture's give in stiffness and diameter.
fn systematic(found: &Found<'_>, [diameter, unstretched, stiffness, friction]: [Measured; 4]) -> [Measured; 4] {
    let (g, f) = (found.data.geometry, found.fixture);
    let gap = g.strands_per_travel / PI * f.gap_error;
    let give = g.strands_per_travel * g.force_per_tension * found.compliance.error;
    let length = PI * unstretched.value;
    let ea = stiffness.value;
    let scale = f.reference_force * f.force_error * length / (PI * ea);
    [
        diameter.and(f.diameter_error).and(gap).and(f.reference_force * give / PI).and(scale),
        unstretched.and(f.diameter_error).and(gap),
        stiffness.and(ea * f.force_error).and(ea * ea * give / length),
        friction,
    ]
}

/// Straight, or a curve where the stiffness changes by more than its scatter and by enough to matter.
fn law(
    fitted: &[&Fitted],
    fits: &[&CycleFit],
    measured: &[Measured; 4],
    change: Option<(f64, Option<f64>)>,
    notes: &mut Vec<Note>,
) -> Law {
    let curved = change.filter(|(value, error)| value.abs() > CURVED.0 && error.is_none_or(|e| value.abs() > CURVED.1 * e));
    let Some((change, _)) = curved else { return Law::Line };
    notes.push(Note::Curved { change });
    let curves: Vec<&Line> = fitted.iter().filter_map(|f| f.curve.as_ref()).collect();
    curve(&curves, fitted).map_or(Law::Line, |points| Law::Curve { points, unstretched: by_curve(fits, 1, measured[1]) })
}

/// One of the diameters by the cycles' parabolas; its calibration, and for few cycles its scatter, is that of the line's.
fn by_curve(fits: &[&CycleFit], which: usize, line: Measured) -> Measured {
    let values: Vec<f64> = fits.iter().filter_map(|fit| fit.by_curve).map(|both| both[which]).collect();
    let repeats = Measured::of_repeats(&values).filter(|_| values.len() >= REPEATS);
    let few = Measured { value: values.iter().sum::<f64>() / values.len().max(1) as f64, ..line };
    repeats.map_or(few, |of| Measured { systematic: line.systematic, ..of })
}

/// Mean hoop force of the cycles' parabolas at even strains, each from its own length without tension.
fn curve(curves: &[&Line], fitted: &[&Fitted]) -> Option<Vec<(f64, f64)>> {
    let starts: Vec<f64> = curves.iter().map(|line| line.length(0.0)).collect();
    let strains = fitted.iter().zip(&starts).map(|(f, start)| BEYOND * (f.windows[0][1] / start - 1.0));
    let largest = strains.fold(f64::INFINITY, f64::min);
    let force = |strain: f64| {
        let of = |(line, start): (&&Line, &f64)| line.mean(start * (1.0 + strain));
        curves.iter().zip(&starts).map(of).sum::<f64>() / curves.len() as f64
    };
    let mut points = vec![(0.0, 0.0)];
    points.extend((1..=POINTS).map(|k| largest * k as f64 / POINTS as f64).map(|strain| (strain, force(strain))));
    let rises = points.windows(2).all(|pair| pair[1].0 > pair[0].0 && pair[1].1 > pair[0].1);
    rises.then_some(points)
}

/// Everything that is to be said of the cycles.
fn say(found: &Found<'_>, fits: &[&CycleFit], notes: &mut Vec<Note>) {
    let faults: Vec<CycleFault> = found.fits.iter().filter_map(|fit| fit.as_ref().err()).copied().collect();
    if let Some(fault) = faults.first() {
        notes.push(Note::FailedCycles { cycles: faults.len(), fault: *fault });
    }
    let fixture = found.fixture;
    let zero = |errors: &[f64]| errors.iter().all(|error| *error <= 0.0);
    let (diameters, stiffness) = (zero(&[fixture.diameter_error, fixture.gap_error]), zero(&[fixture.force_error]));
    if diameters || stiffness {
        notes.push(Note::ScatterOnly { diameters, stiffness });
    }
    let sum = |k: usize| fits.iter().map(|fit| fit.rows[k]).sum::<usize>();
    let share = sum(1) as f64 / (sum(0) + sum(1)).max(1) as f64;
    if share > MANY_OUTLIERS {
        notes.push(Note::Outliers { rows: sum(1), share });
    }
    let zeros: Vec<f64> = fits.iter().filter_map(|fit| fit.zero).collect();
    let peak = fits.iter().map(|fit| fit.peak).fold(0.0, f64::max);
    if zeros.len() < fits.len() {
        let slope = fits.iter().map(|fit| fit.line.slope(fit.windows[0][0])).sum::<f64>() / fits.len() as f64;
        let per_newton = 1.0 / (PI * slope * found.data.geometry.force_per_tension);
        notes.push(Note::NeverSlack { per_newton });
    } else {
        let moves = range(&zeros);
        if moves[1] - moves[0] > ZERO_MOVES * peak {
            notes.push(Note::ZeroMoves { zeros: moves });
        }
    }
    notes.extend(drift(fits));
    let mean = fits.iter().map(|fit| fit.friction).sum::<f64>() / fits.len() as f64;
    if found.fixture.friction.is_none() && mean < 0.0 {
        notes.push(Note::NegativeFriction);
    }
    if found.fixture.friction.is_none() && mean > HIGHEST_FRICTION {
        notes.push(Note::HighFriction { friction: mean });
    }
}

/// A diameter that goes one way from cycle to cycle.
fn drift(fits: &[&CycleFit]) -> Option<Note> {
    if fits.len() < DRIFT.1 {
        return None;
    }
    let rows: Vec<Vector2<f64>> = (0..fits.len()).map(|k| Vector2::new(1.0, k as f64)).collect();
    let diameters: Vec<f64> = fits.iter().map(|fit| fit.diameter - fits[0].diameter).collect();
    let line = regression::plain(&rows, &diameters)?;
    let error = line.independent()[(1, 1)].max(0.0).sqrt();
    let chance = chance(line.coefficients[1], error, fits.len() as f64 - 2.0);
    (chance < DRIFT.0).then_some(Note::Drift { per_cycle: line.coefficients[1], chance })
}
