//! Asks the ring of a path, for each bead, and takes the lower answer.

use super::rider::UnderLoad;
use super::{ByPressure, Prepared};
use crate::law::interpolation::Curve;
use crate::path::Release;
use crate::result::{Cause, Loaded, Local, Run, Side};
use crate::ring::local::{Found, Gone, Question, Unknown};
use crate::ring::standing::{Dip, Measured, Unevenness};
use hoopwright_case::geometry::bundle_radius;
use hoopwright_case::{Case, Heights, Stands};
use std::f64::consts::TAU;

/// What heights that are read to 0.1 mm cannot tell, mm: less unevenness than this is not taken as less, since a ring with friction that is
/// quite even has no release of its own but that of the smallest disturbance.
const READ: f64 = 0.1;

/// How a bead stands, and the angle of the place where it stands highest, rad.
struct Standing {
    side: Option<Side>,
    unevenness: Unevenness,
    highest: f64,
}

impl Prepared {
    /// Release and what goes with it, for the path of a run: of each bead whose heights were measured the lower of both beads alike and one
    /// alone, and the lower of the two beads.
    pub(super) fn answer(&self, case: &Case, run: &Run) -> Result<(Release, Local), String> {
        let even = even(run).ok_or_else(|| "the path is too short".to_owned())?;
        let answers: Vec<(Release, Local)> =
            standings(case)?.iter().map(|stands| self.of_bead(case, run, &even, stands)).collect::<Result<_, _>>()?;
        let beads = match answers.as_slice() {
            [(left, _), (right, _)] => Some([*left, *right]),
            _ => None,
        };
        let lower = answers.into_iter().reduce(|a, b| if pressure(b.0) < pressure(a.0) { b } else { a });
        let (release, local) = lower.ok_or_else(|| "there is no bead to ask for".to_owned())?;
        Ok((release, Local { beads, ..local }))
    }

    /// What the ring is asked on the path of a run; of both beads alike or of one `alone`. None where the path is too short.
    pub fn question<'a>(&'a self, case: &'a Case, run: &Run, alone: bool, unevenness: &'a Unevenness) -> Option<Question<'a>> {
        Some(self.of_joining(case, run, (&even(run)?, &self.joining[usize::from(alone)]), unevenness))
    }

    fn of_joining<'a>(
        &'a self,
        case: &'a Case,
        run: &Run,
        (even, joining): (&Curve, &ByPressure),
        unevenness: &'a Unevenness,
    ) -> Question<'a> {
        Question {
            hoop: &case.bead.law,
            radius: bundle_radius(case),
            seat_radius: 0.5 * case.rim.seat_diameter,
            clearance: self.clearance,
            law: &self.law,
            friction: run.friction,
            even: even.clone(),
            joining: joining.clone(),
            unevenness,
            dip: None,
            load: None,
        }
    }

    fn of_bead(&self, case: &Case, run: &Run, even: &Curve, stands: &Standing) -> Result<(Release, Local), String> {
        let question = |joining: &ByPressure| {
            let dip = case.local.dip.map(|dip| Dip {
                depth: dip.depth,
                length: dip.length,
                at: dip.station.map_or(0.0, |station| station - stands.highest),
            });
            Question { dip, ..self.of_joining(case, run, (even, joining), &stands.unevenness) }
        };
        let [of_both, of_one] = [question(&self.joining[0]), question(&self.joining[1])];
        let [both, one] = [of_both.answer().map_err(why)?, of_one.answer().map_err(why)?];
        let loaded = self.rider.as_ref().map(|rider| {
            let asked = [(&of_both, &both, false), (&of_one, &one, true)];
            rider.lowest(asked, stands.highest, |found| release(found, run, even)).map_err(why)
        });
        let loaded = loaded.transpose()?;
        let [of_both, of_one] = [&both, &one].map(|found| release(found, run, even));
        let one_bead = pressure(of_one) < pressure(of_both);
        let (release, found) = if one_bead { (of_one, one) } else { (of_both, both) };
        let local = told(release, found, one_bead, stands);
        Ok(match loaded {
            Some(loaded) => with_load(release, local, loaded, stands),
            None => (release, local),
        })
    }
}

/// The lower of the answer without the load and the one with it.
fn with_load(without: Release, local: Local, under: UnderLoad, stands: &Standing) -> (Release, Local) {
    let loaded = Some(Loaded { without, ..under.loaded });
    let with = under.loaded.with;
    if pressure(with) >= pressure(without) {
        return (without, Local { loaded, ..local });
    }
    let told = told(with, under.found, under.one_bead, stands);
    (with, Local { loaded, cause: told.cause.map(|_| Cause::Load), ..told })
}

fn why(unknown: Unknown) -> String {
    match unknown {
        Unknown::NoLaw => "the law of the bead is not known at a pressure".to_owned(),
        Unknown::Undecided => "a ring that was let go neither stayed nor left".to_owned(),
        Unknown::Below => "an arc leaves already at the lowest pressure at which the law of the bead is known".to_owned(),
        Unknown::SeenBeyond => {
            "the heights were seen at a pressure at which by this case not even an even bead stays: check the \
                                pressure, the bead and the friction"
                .to_owned()
        }
    }
}

fn told(release: Release, found: Found, one_bead: bool, stands: &Standing) -> Local {
    let cause = match (found.gone, release) {
        (Some(Gone { reached: true, .. }), _) => Some(Cause::ReachesCrest),
        (Some(_), _) => Some(Cause::EvennessLost),
        (None, Release::At(_)) => Some(Cause::WholeBead),
        (None, Release::Above(_)) => None,
    };
    Local {
        one_bead,
        arc: found.gone.map(|gone| gone.arc),
        cause,
        station: found.gone.map(|gone| (gone.station + stands.highest).rem_euclid(TAU)),
        side: stands.side,
        held: found.held,
        last: found.last.map(|last| last.turned(stands.highest)),
        leaving: found.leaving.map(|leaving| leaving.turned(stands.highest)),
        ..Local::default()
    }
}

fn release(found: &Found, run: &Run, even: &Curve) -> Release {
    match (found.release, found.stays) {
        (Some(released), _) => Release::At(released),
        // The even bead leaves next, at the end of its path.
        (None, _) if matches!(run.retention.uniform_blow_off, Release::At(_)) => Release::At(even.range()[1]),
        (None, stays) => Release::Above(stays.unwrap_or(0.0)),
    }
}

fn pressure(release: Release) -> f64 {
    match release {
        Release::At(p) | Release::Above(p) => p,
    }
}

/// The beads to ask for: both alike where nothing was measured.
fn standings(case: &Case) -> Result<Vec<Standing>, String> {
    let heights = match &case.local.stands {
        Stands::Arc { height, length } => {
            let unevenness = Unevenness::Arc { height: *height, arc: *length };
            return Ok(vec![Standing { side: None, unevenness, highest: 0.0 }]);
        }
        Stands::Measured(heights) => heights,
    };
    let of = |(side, list): (Side, &[f64])| standing(side, list, heights).ok_or_else(|| "there are no heights".to_owned());
    [(Side::Left, heights.left.as_slice()), (Side::Right, heights.right.as_slice())].into_iter().map(of).collect()
}

fn standing(side: Side, list: &[f64], heights: &Heights) -> Option<Standing> {
    let measured = Measured::new(list, (heights.seen_at > 0.0).then_some(heights.seen_at))?;
    let highest = heights.first + TAU * measured.highest as f64 / list.len() as f64;
    let measured = Unevenness::Measured(measured);
    let unevenness = if measured.tallest() < READ { Unevenness::Arc { height: READ, arc: 0.25 * TAU } } else { measured };
    Some(Standing { side: Some(side), unevenness, highest })
}

/// Lift of the even bead over the pressure on the way up to the highest.
fn even(run: &Run) -> Option<Curve> {
    let (pressures, lifts) = run.rising().map(|p| (p.pressure, p.lift)).unzip();
    Curve::new(pressures, lifts)
}
