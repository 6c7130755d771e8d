//! Newton's method and its relaxation on laws of one unknown whose answers are known by hand.
#![allow(clippy::unwrap_used)]

use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::{Contribution, LocalSystem};
use hoopwright_fem::error::SolveError;
use hoopwright_fem::newton::{self, Control, Cost, Held, Settings};
use hoopwright_fem::state::{Load, State};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A spring on one unknown, force and stiffness by displacement, and the force that pulls it, N.
struct Pulled {
    dof: usize,
    law: fn(f64) -> [f64; 2],
    pull: f64,
}

impl Contribution for Pulled {
    fn name(&self) -> &'static str {
        "pulled spring"
    }

    fn n_items(&self) -> usize {
        2
    }

    fn dofs(&self, _item: usize, out: &mut Vec<usize>) {
        out.push(self.dof);
    }

    fn evaluate(&self, item: usize, state: &State, _: &[f64], _: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        let [force, stiffness] = (self.law)(state.u[self.dof]);
        if item == 0 {
            out.residual[0] = force;
            out.add(0, 0, stiffness);
        } else {
            out.residual[0] = -self.pull;
        }
        Ok(())
    }
}

/// Solves springs, each on an unknown of its own, from a start; by relaxation where asked.
fn solved(springs: Vec<Pulled>, start: &[f64], anchor: Option<f64>) -> (Result<State, SolveError>, usize) {
    let n = springs.len();
    let contributions = springs.into_iter().map(|s| Arc::new(s) as Arc<dyn Contribution>).collect();
    let mut system = System::new(n, &[], contributions).unwrap();
    let (mut state, mut load, mut cost) = (system.rest(), Load::default(), Cost::default());
    state.u.copy_from_slice(start);
    let settings = Settings { anchor: anchor.unwrap_or(0.0), ..Settings::default() };
    let run = if anchor.is_some() { newton::relax } else { newton::solve_adjusting };
    let end = run(&mut system, &mut state, &mut load, Control::Load, &settings, &mut Held, &mut cost);
    (end.map(|()| state), cost.iterations)
}

/// One spring holds its load; another, 11 orders softer, is still to move by a millimetre: its force is lost in the norm.
#[test]
fn a_force_too_small_for_the_norm_still_moves_what_is_soft() {
    let stiff = Pulled { dof: 0, law: |u| [u, 1.0], pull: 1.0 };
    let soft = Pulled { dof: 1, law: |u| [1e-11 * u, 1e-11], pull: 1e-11 };
    let (end, _) = solved(vec![stiff, soft], &[1.0, 0.0], None);
    assert!((end.unwrap().u[1] - 1.0).abs() < 1e-6);
}

/// f = sign(u) sqrt |u|: every full step of Newton leads from u to -u, whatever u is.
#[test]
fn a_circle_of_full_steps_is_left() {
    let root = Pulled { dof: 0, law: |u| [u.signum() * u.abs().sqrt(), 0.5 / u.abs().sqrt().max(1e-12)], pull: 0.0 };
    let (end, _) = solved(vec![root, Pulled { dof: 1, law: |u| [u, 1.0], pull: 1.0 }], &[0.4, 1.0], None);
    assert!(end.unwrap().u[0].abs() < 1e-6);
}

/// A spring of 1e8 N/mm that is stretched by a hundred-millionth of a millimetre a kilometre away: the last digit of its place is worth
/// 1e-5 of its force. Newton gets there and no nearer; one that goes round in a larger circle fails.
#[test]
fn what_the_last_digit_is_worth_counts_as_nothing_and_no_more() {
    let far: fn(f64) -> [f64; 2] = |u| [1e8 * (u - 1e6 / 3.0), 1e8];
    let (end, iterations) = solved(vec![Pulled { dof: 0, law: far, pull: 7.3 }], &[1e6 / 3.0], None);
    assert!((end.unwrap().u[0] - 1e6 / 3.0).abs() < 1e-6 && iterations < 6, "{iterations}");
    let kinked: fn(f64) -> [f64; 2] = |u| [u + 1e-6 * u.signum() + 1.0, 1.0];
    let (end, _) = solved(vec![Pulled { dof: 0, law: kinked, pull: 1.0 }], &[1e-3], None);
    assert!(matches!(end, Err(SolveError::NotConverged { residual, .. }) if residual < 1e-6), "{end:?}");
}

/// An element that stands a hundredth of a millimetre and no more.
struct Brittle;

impl Contribution for Brittle {
    fn name(&self) -> &'static str {
        "brittle"
    }

    fn n_items(&self) -> usize {
        1
    }

    fn dofs(&self, _item: usize, out: &mut Vec<usize>) {
        out.push(0);
    }

    fn evaluate(&self, item: usize, state: &State, _: &[f64], _: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        if state.u[0] > 0.01 {
            return Err(SolveError::Inverted { contribution: self.name(), item, place: [311.2, 9.8], jacobian: -state.u[0] });
        }
        out.residual[0] = state.u[0] - 1.0;
        out.add(0, 0, 1.0);
        Ok(())
    }
}

/// An element that no share of an increment spares is named with its place.
#[test]
fn an_element_that_turns_inside_out_is_named() {
    let mut system = System::new(1, &[], vec![Arc::new(Brittle)]).unwrap();
    let (mut state, mut load) = (system.rest(), Load::default());
    let end = newton::solve(&mut system, &mut state, &mut load, Control::Load, &Settings::default(), &mut Cost::default());
    let told = end.unwrap_err();
    assert!(matches!(told, SolveError::Inverted { jacobian, .. } if jacobian > -0.1), "the shortest increment is told: {told:?}");
    assert!(told.to_string().contains("brittle item 0 at r = 311.200, z = 9.800"), "{told}");
}

/// A spring that snaps: f = u exp(-u^2) + u / 10 holds 0.48 N at most before it falls, and 0.6 N next at 6 mm.
const SNAP: fn(f64) -> [f64; 2] = |u| {
    let bell = (-u * u).exp();
    [u * bell + 0.1 * u, (1.0 - 2.0 * u * u) * bell + 0.1]
};

/// Anchors that begin too soft are hardened, hard ones softened, and neither takes long.
#[test]
fn a_snap_is_beyond_newton_and_found_by_relaxation() {
    let snap = || vec![Pulled { dof: 0, law: SNAP, pull: 0.6 }];
    assert!(matches!(solved(snap(), &[0.0], None), (Err(SolveError::NotConverged { .. }), 16)));
    for (anchor, most) in [(1e-4, 75), (1e-2, 20), (10.0, 60)] {
        let (end, iterations) = solved(snap(), &[0.0], Some(anchor));
        assert!((end.unwrap().u[0] - 6.0).abs() < 1e-8 && iterations <= most, "{anchor}: {iterations}");
    }
}

/// A contribution whose evaluations with a tangent are counted.
struct Counted {
    of: Pulled,
    tangents: AtomicUsize,
}

impl Contribution for Counted {
    fn name(&self) -> &'static str {
        self.of.name()
    }

    fn n_items(&self) -> usize {
        self.of.n_items()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        self.of.dofs(item, out);
    }

    fn evaluate(&self, item: usize, state: &State, q: &[f64], load: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        self.tangents.fetch_add(usize::from(item == 0 && !out.residual_only), Ordering::Relaxed);
        self.of.evaluate(item, state, q, load, out)
    }
}

/// Place of the answer, tangents and iterations from a start.
fn counted(law: fn(f64) -> [f64; 2], pull: f64, start: f64, settings: Settings) -> (f64, usize, usize) {
    let spring = Arc::new(Counted { of: Pulled { dof: 0, law, pull }, tangents: AtomicUsize::new(0) });
    let mut system = System::new(1, &[], vec![spring.clone()]).unwrap();
    let (mut state, mut cost) = (system.rest(), Cost::default());
    state.u[0] = start;
    newton::solve(&mut system, &mut state, &mut Load::default(), Control::Load, &settings, &mut cost).unwrap();
    (state.u[0], spring.tangents.load(Ordering::Relaxed), cost.iterations)
}

/// f = u + u^3 / 10 from 2 % beside the answer.
#[test]
fn close_to_the_answer_one_tangent_does() {
    let cubic: fn(f64) -> [f64; 2] = |u| [u + 0.1 * u.powi(3), 1.0 + 0.3 * u * u];
    let (u, tangents, iterations) = counted(cubic, 1.1, 0.98, Settings::default());
    assert!((u - 1.0).abs() < 1e-9 && tangents == 1 && iterations <= 4, "{u}: {tangents} tangents, {iterations} iterations");
    let (u, tangents, iterations) = counted(cubic, 1.1, 0.98, Settings { near: 0.0, ..Settings::default() });
    assert!((u - 1.0).abs() < 1e-12 && tangents == 3 && iterations == 3, "{u}: {tangents} tangents, {iterations} iterations");
}

/// A spring three times as stiff beyond 1 mm, which the last step has passed: with the tangent before it an iteration leads back and forth.
#[test]
fn past_a_kink_a_tangent_is_made_anew() {
    let kinked: fn(f64) -> [f64; 2] = |u| if u < 1.0 { [u, 1.0] } else { [3.0 * u - 2.0, 3.0] };
    let (u, tangents, iterations) = counted(kinked, 1.0003, 0.98, Settings::default());
    assert!((u - 1.0001).abs() < 1e-9 && tangents <= 3 && iterations <= 4, "{u}: {tangents} tangents, {iterations} iterations");
}
