//! The report of an assessment as one HTML file that needs nothing else: no network, no other file, readable on paper.

mod scale;

use crate::{rim, svg, text, words};
use hoopwright_solver::case;
use hoopwright_solver::result::{Assessment, Finding, Moment, PathPoint};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

/// Most pictures between fit and release.
const FRAMES: usize = 8;
const STYLE: &str = include_str!("style.css");
const SLIDER: &str = include_str!("slider.js");

/// The report; `case_text` is the case file as given. The same case gives the same bytes: no date, no time.
pub fn assessment(a: &Assessment, case_text: &str) -> String {
    let title = format!("{}: bead retention", a.case.title);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (headline(a))
                (retention(a))
                (frames(a))
                (path(a))
                (states(a))
                (rim_section(a))
                (estimate(a))
                (notes(a))
                (limits_of_validity(a))
                (inputs(a, case_text))
                (record(a, case_text))
            }
        }
    }
    .into_string()
}

fn headline(a: &Assessment) -> Markup {
    let words: Vec<_> = a.verdict.findings.iter().map(|f| words::finding(*f)).collect();
    let holds = a.verdict.findings.first() == Some(&Finding::Holds);
    html! {
        h1 { (a.case.title) }
        p.verdict.not[!holds] { "Verdict: " (words.join("; ")) }
        p { (sentence(a)) }
        div.caution { @for caution in words::cautions().iter().take(2) { p { (caution) } } }
        h2 { "Limits" }
        div.scroll {
            table {
                thead { tr { th { "limit" } th.n { "found" } th.n { "limit" } th { "" } } }
                tbody {
                    @for [what, found, limit, kept] in text::check_rows(a) {
                        tr { td { (what) } td.n { (found) } td.n { (limit) } td { (kept) } }
                    }
                }
            }
        }
    }
}

/// The verdict in a sentence.
fn sentence(a: &Assessment) -> String {
    format!(
        "The tyre must stay on at {}: {} times its rated pressure of {}. What decides is the {} at friction {}{}.",
        text::pressure(a.case.required_pressure()),
        a.case.pressure.test_factor,
        text::pressure(a.case.pressure.rated),
        words::criterion(a.verdict.criterion),
        a.given.friction,
        if a.case.limits.without_friction { " and without friction" } else { "; the answer without friction stands beside it" }
    )
}

fn retention(a: &Assessment) -> Markup {
    html! {
        h2 { "Retention pressures" }
        figure {
            (PreEscaped(scale::picture(a)))
            figcaption { "Square: first lift. Triangle: off-centre release. Circle: uniform blow-off. Open marks: not reached up to there." }
        }
        p { "First lift: the seat's radial load is gone; below it the bead cannot move. Off-centre release: twice the mean lift brings the bundle level with the crest of the wall. Uniform blow-off: the maximum of the axisymmetric path, an upper bound." }
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
                    @if let Some(picture) = svg::section::picture(a, point) { (PreEscaped(picture)) }
                    figcaption { "At friction " (a.given.friction) ": " (name) ". To scale; right: one bead with contact pressure and what the gas wets." }
                }
            }
        }
        script { (PreEscaped(SLIDER)) }
    }
}

fn path(a: &Assessment) -> Markup {
    html! {
        h2 { "Pressure against lift" }
        figure { (PreEscaped(svg::path::picture(a))) figcaption { "Gas pressure against bead lift; bead tension and seat load against pressure." } }
    }
}

fn states(a: &Assessment) -> Markup {
    html! {
        h2 { "States at friction " (a.given.friction) }
        div.scroll {
            table {
                thead { tr { th { "" } th.n { "fitted" } th.n { "rated" } th.n { "highest" } } }
                tbody { @for (name, cells) in text::state_rows(a) { tr { td { (name) } @for cell in cells { td.n { (cell) } } } } }
            }
        }
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
                (PreEscaped(svg::rim::picture(a, section, state)))
                figcaption { "Half section at " (rim::moment(state.0)) ". Air: gas on the bed and in the joint. Bead: what it presses and rubs beyond that. Stresses are what air and bead add in a sound rim: those of its making and of the spokes' pretension are not in them." }
            }
        }
        @for (moment, state) in &section.states {
            div.scroll {
                table {
                    thead { tr { th { (rim::moment(*moment)) ", " (format!("{:.2} bar", 10.0 * state.pressure)) } @for part in rim::PARTS { th.n { (part) } } } }
                    tbody { @for (name, cells) in rim::rows(a, state) { tr { td { (name) } @for cell in cells { td.n { (cell) } } } } }
                }
            }
            p { "Places of the largest stresses: " (rim::places(state)) "." }
        }
    }
}

fn estimate(a: &Assessment) -> Markup {
    let Some(e) = &a.estimate else { return html! {} };
    html! {
        h2 { "Closed-form estimate" }
        p { "Netting membrane, bead and rim as rings: it knows no crest and lies above the finite elements by a quarter to a half as a rule." }
        div.scroll {
            table {
                thead { tr { th { "" } th.n { "friction" } th.n { "no friction" } } }
                tbody { @for (name, given, without) in text::estimate_rows(e) { tr { td { (name) } td.n { (given) } td.n { (without) } } } }
            }
        }
    }
}

fn notes(a: &Assessment) -> Markup {
    html! { @if !a.notes.is_empty() { h2 { "Notes" } ul { @for note in &a.notes { li { (note) } } } } }
}

fn limits_of_validity(a: &Assessment) -> Markup {
    html! {
        h2 { "Limits of the model, cautions" }
        ul {
            @for caution in words::cautions() { li { (caution) } }
            li { "Static, at one temperature, with a fresh bead. " (rim_model(a)) " Casing: cords in rubber with a pantograph lay. Friction after Coulomb with one coefficient." }
            li { "Nobody may take this report for leave to ride, sell or test: not riders, not workshops, not makers without their own tests." }
        }
    }
}

/// What the rim is in the model.
fn rim_model(a: &Assessment) -> &'static str {
    if a.rim_section.is_some() {
        "The rim is a linear elastic body of revolution without joint, spoke holes or residual stress, on spokes spread round the circumference."
    } else {
        "The rim's section is rigid on an elastic ring with spokes."
    }
}

fn inputs(a: &Assessment, case_text: &str) -> Markup {
    html! {
        h2 { "Inputs" }
        h3 { "As given" }
        pre tabindex="0" { (case_text) }
        h3 { "As resolved" }
        div.scroll {
            table.long {
                thead { tr { th { "table" } th { "key" } th { "value" } } }
                tbody { @for (section, key, value) in case::resolved(&a.case) { tr { td { (section) } td { (key) } td { (value) } } } }
            }
        }
    }
}

fn record(a: &Assessment, case_text: &str) -> Markup {
    let hash: String = Sha256::digest(case_text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect();
    let e = &a.given.effort;
    html! {
        div.keep {
            h2 { "Record" }
            div.scroll {
                table {
                    tbody {
                        tr { td { "program" } td { "hoopwright " (env!("CARGO_PKG_VERSION")) } }
                        tr { td { "SHA-256 of the case file" } td style="overflow-wrap: anywhere" { (hash) } }
                        tr { td { "mesh" } td { (a.mesh.quads.len()) " nine-node elements, " (a.mesh.nodes.len()) " nodes, refinement " (a.case.refinement) } }
                        tr { td { "solution" } td { (e.dofs) " unknowns, " (e.steps) " steps, " (e.iterations) " Newton iterations at friction " (a.given.friction) } }
                    }
                }
            }
            p { "The balances among the states are relative: a cut of the whole wheel through its axle, and the axial balance of the half tyre." }
            div.scroll {
                table.sign {
                    thead { tr { th { "calculated by" } th { "date" } th { "checked by" } th { "date" } } }
                    tbody { tr { td {} td {} td {} td {} } }
                }
            }
        }
    }
}
