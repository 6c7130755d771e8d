//! The report of an assessment: verdict, pressures on a scale, the section with a slider, states, estimate.

use super::frame::{self, Given, embedded};
use crate::meant::SIGN;
use crate::{allowed, band, law, lines, rim, ring, svg, text, words};
use hoopwright_solver::result::{Assessment, Finding, Moment, PathPoint};
use hoopwright_solver::rim::stress::RimState;
use maud::{Markup, PreEscaped, html};

/// Most pictures between fit and release.
const FRAMES: usize = 8;
const SLIDER: &str = include_str!("slider.js");

/// The page.
pub fn page(given: &Given, a: &Assessment) -> String {
    let e = &a.given.effort;
    let record = [
        (
            "mesh",
            format!("{} nine-node elements, {} nodes, refinement {}", a.mesh.quads.len(), a.mesh.nodes.len(), a.case.refinement),
        ),
        (
            "solution",
            format!(
                "{} unknowns, {} steps, {} Newton iterations at friction {}",
                e.dofs, e.steps, e.iterations, a.given.friction
            ),
        ),
    ];
    let balances = "The balances among the states are relative: a cut of the whole wheel through its axle, and the axial balance of the half tyre.";
    frame::page(
        &format!("{}: bead retention", a.case.title),
        &given.sources(),
        &html! {
            (headline(a))
            (retention(a))
            (frames(a))
            (beside(a))
            (path(a))
            (bead_ring(a))
            (bead_law(a))
            (states(a))
            (rim_section(a))
            (estimate(a))
            (frame::notes(&a.notes))
            (frame::validity(&a.case, &[]))
            (frame::inputs(given, ""))
            (frame::record_of_case(given, &record, balances))
        },
    )
}

fn headline(a: &Assessment) -> Markup {
    let words: Vec<_> = a.verdict.findings.iter().map(|f| words::finding(*f)).collect();
    let holds = a.verdict.findings.first() == Some(&Finding::Holds);
    html! {
        (frame::headline(&a.case.title, holds, &format!("Verdict: {}", words.join("; ")), &[allowed_sentence(a), sentence(a)]))
        h2 { "Limits" }
        (frame::table("Limits", "tnnt", &["limit", "found", "limit", ""], &limits(a)))
        p { (allowed::method()) }
    }
}

/// The limits as in a terminal, with the sign of an error that a page can show.
fn limits(a: &Assessment) -> Vec<[String; 4]> {
    text::check_rows(a).into_iter().map(|row| row.map(|cell| cell.replace(SIGN, "\u{b1}"))).collect()
}

fn allowed_sentence(a: &Assessment) -> String {
    format!("Allowed pressure: {}.", allowed::words(&a.verdict.allowed))
}

/// The verdict in sentences: first the limits that are not kept, with their numbers.
fn sentence(a: &Assessment) -> String {
    let broken = text::not_kept(&a.verdict);
    let first = if broken.is_empty() { String::new() } else { format!("Limit not kept: {}. ", broken.join("; ")) };
    format!(
        "{first}The tyre must stay on at {}: {} times its rated pressure of {}. Retention is judged by the {} at friction {}{}.",
        lines::pressure(a.case.required_pressure()),
        a.case.pressure.test_factor,
        lines::pressure(a.case.pressure.rated),
        words::criterion(a.verdict.criterion).trim_start_matches("the "),
        a.given.friction,
        if a.case.limits.without_friction { " and without friction" } else { "; the answer without friction stands beside it" }
    )
}

fn retention(a: &Assessment) -> Markup {
    html! {
        h2 { "Retention pressures" }
        (frame::picture("scale", &svg::scale::of_assessment(a), "Square: first lift. Diamond: local release. Triangle: off-centre release. Circle: uniform blow-off. Open marks: not reached up to there. Whiskers: numerical error in 19 of 20 cases."))
        p { "First lift: the bead leaves its seat. Without friction that is where the seat carries nothing; with friction, where the bead has risen as far. Local release: an arc that stands higher than the rest, as the case states, runs away over the crest. Off-centre release: twice the mean height above the seat brings the bundle level with the crest of the wall, as in a shift of the whole bead; it bounds none of the others. Uniform blow-off: the maximum of the axisymmetric path, an upper bound." }
        @for (friction, local) in text::locals(a) { p { "Local release at friction " (friction) ": " (local) "." } }
        @if let Some(hint) = band::hint(a) { p { (hint) } }
        @for (friction, end) in text::ends(a) { p { "At friction " (friction) ": " (end) "." } }
    }
}

/// Points of the path whose pictures are shown, in order: index, name, point.
fn shown(a: &Assessment) -> Vec<(usize, String, &PathPoint)> {
    let run = &a.given;
    let last = run.path.len().saturating_sub(1);
    let mut indices = vec![last];
    indices.extend(Moment::ALL.into_iter().filter_map(|moment| run.index(moment)));
    let rest = FRAMES - 4;
    indices.extend((1..=rest).map(|k| run.fit + (last - run.fit.min(last)) * k / (rest + 1)));
    indices.sort_unstable();
    indices.dedup();
    let name = |i: usize| {
        let known = Moment::ALL.into_iter().find(|moment| run.index(*moment) == Some(i));
        known.map_or(String::new(), |moment| format!("{}, ", rim::moment(moment)))
    };
    indices
        .into_iter()
        .filter_map(|i| run.path.get(i).filter(|p| p.fields.is_some()).map(|p| (i, p)))
        .map(|(i, p)| (i, format!("{}{:.2} bar, lift {:.2} mm", name(i), 10.0 * p.pressure, p.lift), p))
        .collect()
}

fn frames(a: &Assessment) -> Markup {
    let shown = shown(a);
    if shown.is_empty() {
        return html! {};
    }
    let rated = shown.iter().position(|(index, ..)| Some(*index) == a.given.rated).unwrap_or(0);
    html! {
        h2 { "Section on the rim" }
        div.slider {
            label for="step" { "State: " output id="state" for="step" { (shown[rated].1) } }
            input id="step" type="range" min="0" max=(shown.len() - 1) step="1" value=(rated) aria-valuetext=(shown[rated].1);
        }
        div id="frames" {
            @for (i, (_, name, point)) in shown.iter().enumerate() {
                figure.paper[i == rated] data-state=(name) hidden[i != rated] {
                    @if let Some(picture) = svg::section::picture(a, point) { (frame::scrolled(&format!("Section, {name}"), &PreEscaped(embedded(&format!("section-{i}"), &picture)))) }
                    figcaption { "At friction " (a.given.friction) ": " (name) ". To scale; right: one bead with contact pressure and what the gas wets." }
                }
            }
        }
        script { (PreEscaped(SLIDER)) }
    }
}

/// What plausible changes do to the local release.
fn beside(a: &Assessment) -> Markup {
    let rows = band::rows(a);
    if rows.is_empty() {
        return html! {};
    }
    html! {
        h2 { "What plausible changes do to the local release" }
        (frame::table("Changes", "tn", &band::heads(a), &rows))
        @for sentence in band::sentences(a) { p { (sentence) "." } }
        p { "The changes are those of the table " code { "[local]" } " of the case. How unevenness and friction scatter and what the model leaves out are not among them." }
    }
}

fn path(a: &Assessment) -> Markup {
    html! {
        h2 { "Pressure against lift" }
        (frame::picture("path", &svg::path::picture(a), "Gas pressure against bead lift; bead tension and seat load against pressure."))
    }
}

/// The ring of the local release at the case's friction.
fn bead_ring(a: &Assessment) -> Markup {
    let (Some(local), Some(picture)) = (&a.given.local, svg::ring::picture(a)) else { return html! {} };
    html! {
        h2 { "The bead round the wheel" }
        (frame::picture("ring", &picture, "Lift of the bead round the wheel at the local release, on the wheel with the lift exaggerated and unrolled; ring.csv holds the numbers, without friction too."))
        p { (ring::reading(local)) }
    }
}

/// The law that the local release goes by.
fn bead_law(a: &Assessment) -> Markup {
    let Some(picture) = svg::law::picture(a) else { return html! {} };
    html! {
        h2 { "Load against lift" }
        (frame::picture("law", &picture, "Outward load on one bead at several pressures, and what the bead's own tension gives. Read off between lines that were solved; law.csv holds both."))
        p { (law::READING) }
    }
}

fn states(a: &Assessment) -> Markup {
    let rows: Vec<_> = text::state_rows(a).into_iter().map(|(name, cells)| frame::row(name, cells)).collect();
    html! {
        h2 { "States at friction " (a.given.friction) }
        (frame::table("States", "tn", &["", "fitted", "rated", "highest"], &rows))
    }
}

fn rim_section(a: &Assessment) -> Markup {
    let Some(section) = &a.rim_section else { return html! {} };
    let shown = section.states.iter().rfind(|s| s.0 == Moment::Rated).or(section.states.last());
    html! {
        h2 { "Rim section" }
        p { (rim::summary(section)) "." }
        @if let Some(state) = shown {
            figure {
                (frame::scrolled("Rim section", &PreEscaped(embedded("rim", &svg::rim::picture(a, section, state)))))
                figcaption { "Half section at " (rim::moment(state.0)) ". Air: gas on the bed and in the joint. Bead: what it presses and rubs beyond that. Stresses are what air and bead add in a sound rim: those of its making and of the spokes' pretension are not in them." }
            }
        }
        @for (moment, state) in &section.states {
            (rim_table(a, *moment, state))
            p { "Places of the largest stresses: " (rim::places(state)) "." }
        }
    }
}

fn estimate(a: &Assessment) -> Markup {
    let Some(e) = &a.estimate else { return html! {} };
    let rows: Vec<_> =
        text::estimate_rows(e).into_iter().map(|(name, given, without)| frame::row(name, [given, without])).collect();
    html! {
        h2 { "Closed-form estimate" }
        p { (text::estimate_guards()) }
        (frame::table("Closed-form estimate", "tn", &["", "friction", "no friction"], &rows))
        p { (text::mounting(e)) "." }
    }
}

fn rim_table(a: &Assessment, moment: Moment, state: &RimState) -> Markup {
    let head = format!("{}, {:.2} bar", rim::moment(moment), 10.0 * state.pressure);
    let heads: Vec<&str> = [head.as_str()].into_iter().chain(rim::PARTS).collect();
    let rows: Vec<_> = rim::rows(a, state).into_iter().map(|(name, cells)| frame::row(name, cells)).collect();
    frame::table(&head, "tn", &heads, &rows)
}
