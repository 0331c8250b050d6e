//! Drawings on the pages.

use super::instrument_map::InstrumentMap;
use super::spread::spread;
use crate::unit_format::UnitFormat;
use instrument::Survey;
use job::Job;
use maud::{Markup, PreEscaped, html};
use plan::{Step, StepKind};

/// Where the dents are: on the instrument as it lies; those on tubes that this does not show, in words. Where the
/// instrument cannot be laid out, its tubes straightened.
pub fn where_dents_are(job: &Job, fmt: UnitFormat) -> Markup {
    dents_on_map(&job.survey, &draw::marks(&job.survey, &job.plan), fmt)
}

/// These dents on the instrument as it lies; as [`where_dents_are`], without a plan.
pub fn dents_on_map(survey: &Survey, marks: &[draw::Mark], fmt: UnitFormat) -> Markup {
    let Some(map) = InstrumentMap::of(&survey.instrument).map(|m| m.lacking(survey)) else {
        let svg = inline(&draw::overview(survey, marks, fmt.0, 200.0));
        return html! { figure.drawing { (PreEscaped(svg)) figcaption.soft.small { "Where the dents are." } } };
    };
    let value = |k: &Option<units::Known>, or: f64| k.as_ref().map_or(or, |k| k.value);
    let unit = map.unit();
    let mut dots = Vec::new();
    let mut elsewhere = Vec::new();
    let mut some_left = false;
    for mark in marks {
        let Some(dent) = survey.dents.iter().find(|d| d.id == mark.dent) else { continue };
        let run = survey.instrument.run(&dent.run);
        let middle = run.map_or(0.0, |r| r.length_mm() / 2.0);
        match map.place(&dent.run, value(&dent.at_mm, middle), value(&dent.clock_deg, 90.0)) {
            Some(at) => {
                some_left |= !mark.worked;
                dots.push((
                    mark.label.as_str(),
                    mark.worked,
                    dent.depth_mm.as_ref().map_or(DEPTH_NOT_KNOWN, |k| draw::depth_step(k.value)),
                    at,
                ));
            }
            None => elsewhere.push(format!("{} on the {}", number(&mark.label), run.map_or(dent.run.0.as_str(), |r| r.name.as_str()))),
        }
    }
    // Numbers are read at arm's length on a tablet and on a telephone: a narrow screen shows the same ones larger.
    let inside = html! { g.on-wide { (numbers(&dots, unit, map.edges(unit))) } g.on-narrow { (numbers(&dots, NARROW * unit, map.edges(NARROW * unit))) } };
    html! {
        figure.lie-box {
            (map.svg(false, "Where the dents are, on the instrument as it lies", inside))
            figcaption.soft.small { "The numbers are the dents’; the darker, the deeper. " (map.caveat()) @if some_left { " A broken ring: it stays." } @if marks.iter().any(draw::Mark::is_number) { " " (names(marks)) "." } @if !elsewhere.is_empty() { " On tubes not shown here: " (elsewhere.join("; ")) "." } }
        }
    }
}

/// A dent on a map: its number, whether it is worked, its depth's step, its place.
type Dot<'a> = (&'a str, bool, usize, (f64, f64));

/// How much larger numbers are on a narrow screen: 11 px where the map is 264 px wide, what a card on a screen of 320 px leaves.
const NARROW: f64 = 1.8;

/// The dents' numbers in circles of this radius, set apart, each led to its place.
fn numbers(dots: &[Dot<'_>], radius: f64, within: ((f64, f64), (f64, f64))) -> Markup {
    let numbers = spread(&dots.iter().map(|d| d.3).collect::<Vec<_>>(), 2.15 * radius, within);
    let at = |v: f64| format!("{v:.1}");
    html! {
        @for ((.., (x, y)), (nx, ny)) in dots.iter().zip(&numbers) {
            @if (nx - x).hypot(ny - y) > 0.6 * radius { line.leader x1=(at(*x)) y1=(at(*y)) x2=(at(*nx)) y2=(at(*ny)) {} circle.place cx=(at(*x)) cy=(at(*y)) r=(at(0.25 * radius)) {} }
        }
        @for ((label, worked, depth, _), (x, y)) in dots.iter().zip(&numbers) {
            circle class=(if *worked { format!("dot depth-{depth}") } else { "dot left".to_owned() }) cx=(at(*x)) cy=(at(*y)) r=(at(radius)) {}
            text class=(if *worked { format!("on-{depth}") } else { String::new() }) x=(at(*x)) y=(at(*y)) font-size=(at(1.15 * radius)) { (number(label)) }
        }
    }
}

/// What the numbers are called, where they are not the dents' own names: `1 leadpipe, 2 first bow`.
fn names(marks: &[draw::Mark]) -> String {
    marks.iter().map(|m| format!("{} {}", m.label, m.dent)).collect::<Vec<_>>().join(", ")
}

/// The step of color of a dent whose depth nobody took: the middle one.
const DEPTH_NOT_KNOWN: usize = 3;

/// A dent's name without its letter, where that leaves a number: what fits into a dot.
fn number(label: &str) -> &str {
    label.strip_prefix('d').filter(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit())).unwrap_or(label)
}

/// The method by which a step works its dent; none for steps that work no dent.
pub fn worked<'a>(job: &'a Job, step: &Step) -> Option<&'a plan::Choice> {
    if step.kind != StepKind::Dent {
        return None;
    }
    step.dents.first().and_then(|d| job.plan.choices.iter().find(|c| c.dent == *d))
}

/// A step's tube with its tool in place, as an SVG document; none for steps that work no dent.
pub fn step(job: &Job, step: &Step, fmt: UnitFormat) -> Option<String> {
    let choice = worked(job, step)?;
    let view =
        draw::ToolView { survey: &job.survey, assessments: &job.assessments, method: &choice.method, rack: Some(&job.rack), unit: fmt.0 };
    draw::tool_in_tube(&view).map(|d| darkened(&d.svg))
}

/// Pixels on the page for a millimetre of paper: the drawings' small print (2.3 mm) is read at arm's length.
const PX_PER_MM: f64 = 5.2;

/// A drawing as an element of a page, wide enough to be read; the style sheet keeps it on the page.
fn inline(drawing: &draw::Drawing) -> String {
    drawing.wide(PX_PER_MM * drawing.width_mm)
}

/// A chart with its table, which opens below it.
pub fn chart(title: &str, drawing: &draw::Drawing, key: &str, table: &Markup) -> Markup {
    html! {
        figure.drawing.chart {
            figcaption { strong { (title) } }
            (PreEscaped(inline(drawing)))
            @if !key.is_empty() { p.soft.small { (key) } }
            details { summary { "The same as a table" } div.scroll tabindex="0" role="region" aria-label=(title) { (table) } }
        }
    }
}

/// The colors of a drawing on paper, and those that take their place where the screen is dark (the look's tokens).
const DARK: [(&str, &str); 14] = [
    ("#ffffff", "#1c2120"),
    ("#171c1b", "#eceee9"),
    ("#111", "#eceee9"),
    ("#4a5351", "#aeb7b3"),
    ("#e9daab", "#4b4022"),
    ("#b9c2ca", "#5a6562"),
    ("#d8d3c4", "#3a4340"),
    ("#dfe3e6", "#3a4340"),
    ("#afbbef", "#48528f"),
    ("#8492df", "#5f6cc0"),
    ("#5d6ac8", "#7c8bde"),
    ("#3e45a3", "#9fadee"),
    ("#24286e", "#c6cff6"),
    ("white", "#1c2120"),
];

/// A drawing that follows the screen's scheme: it carries the dark colors itself, because a page's style does not reach into a
/// picture.
fn darkened(svg: &str) -> String {
    let Some(head) = svg.find("<svg").and_then(|at| svg[at..].find('>').map(|end| at + end + 1)) else { return svg.to_owned() };
    let mut style = String::from("<style>@media (prefers-color-scheme: dark){svg{color:#eceee9}");
    for (light, dark) in DARK {
        style.push_str(&format!("[fill=\"{light}\"]{{fill:{dark}}}[stroke=\"{light}\"]{{stroke:{dark}}}"));
    }
    style.push_str("}</style>");
    format!("{}{style}{}", &svg[..head], &svg[head..])
}

#[cfg(test)]
mod tests {
    use super::{DARK, darkened};

    #[test]
    fn a_drawing_carries_a_dark_color_for_each_of_its_light_ones() {
        let drawn = darkened("<svg xmlns=\"http://www.w3.org/2000/svg\"><path fill=\"#e9daab\" stroke=\"#171c1b\"/></svg>");
        assert!(
            drawn.contains("[fill=\"#e9daab\"]{fill:#4b4022}") && drawn.ends_with("<path fill=\"#e9daab\" stroke=\"#171c1b\"/></svg>"),
            "{drawn}"
        );
        assert!(DARK.iter().all(|(light, dark)| light != dark));
        assert_eq!(darkened("no drawing"), "no drawing");
    }
}
