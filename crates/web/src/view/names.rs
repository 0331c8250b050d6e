//! What the bench calls tubes, tools and what is opened.

use job::Job;
use maud::{Markup, html};
use reach::ToolId;

/// What the bench calls something that is opened.
pub fn opened_name<'a>(job: &'a Job, opened: &'a reach::Opened) -> &'a str {
    let i = &job.survey.instrument;
    match opened {
        reach::Opened::Joint(id) => i.joints.iter().find(|j| j.id == *id).map_or(id.0.as_str(), |j| j.name.as_str()),
        reach::Opened::Overlay(id) => i.overlays.iter().find(|o| o.id == *id).map_or(id.0.as_str(), |o| o.name.as_str()),
    }
}

/// What a kind of instrument is called.
pub fn kind_name(kind: instrument::Kind) -> String {
    let key = serde_json::to_value(kind).ok().and_then(|v| v.as_str().map(str::to_owned));
    key.map_or_else(String::new, |k| k.replace('_', " "))
}

/// What a tube is called.
pub fn run_name<'a>(job: &'a Job, id: &'a instrument::RunId) -> &'a str {
    job.survey.instrument.run(id).map_or(id.0.as_str(), |r| r.name.as_str())
}

/// A tool by its name in the shop, with where it hangs and the shape it is in.
pub fn tool_placed(job: &Job, id: &ToolId) -> Markup {
    let tool = job.rack.tools.iter().find(|t| t.id == *id);
    html! { @match tool {
        Some(t) => { (t.name) @if !t.place.is_empty() { span.soft { ", " (t.place) } } @if !t.condition.is_empty() { " " em { "(" (t.condition) ")" } } },
        None => { (id.0) }
    } }
}

/// The levels as the choices of a list.
pub fn level_options(chosen: impl Fn(&str) -> bool) -> Markup {
    html! { @for level in plan::Level::ALL { option value=(level.key()) selected[chosen(level.key())] { (quote::words::name(level)) } } }
}
