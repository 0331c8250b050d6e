//! One step at the bench: what is read at arm's length at the left, the drawing beside it, cautions in a line that opens, and
//! Start and Done at the foot.

use crate::auth::{Need, Signed};
use crate::contract_making::{Elsewhere, Making, Stands};
use crate::decisions::method_name;
use crate::redisplay::{Redisplay, Refill};
use crate::view::names::{opened_name, tool_placed};
use crate::work_skills::Asks;
use crate::{layout, when};
use job::Job;
use job::key::step_key;
use maud::{Markup, html};
use plan::{Choice, Heat, Step, StepKind};
use reach::{Method, ToolChoice};
use store::bench::{StepRecord, StepState};
use store::counter::JobState;
use store::people::Person;
use store::states::{self, Action, Facts};
use units::duration::show_minutes_between;

/// What the reader may do to a step where the job stands: what would be refused has no button.
#[derive(Clone, Copy)]
pub(super) struct May {
    /// Start, tick, leave out, take a tick back.
    pub(super) work: bool,
    /// Keep a note or a photo, set a time right.
    pub(super) note: bool,
    /// Record what is found on the way.
    pub(super) find: bool,
}

impl May {
    /// As the role and the state allow.
    pub(super) fn of(signed: &Signed, state: JobState) -> Self {
        let bench = signed.may(Need::Bench);
        let allowed = |action| states::next(state, action, &Facts::default()).is_ok();
        Self {
            work: bench && allowed(Action::Work),
            note: bench && !state.is_closed(),
            find: signed.may(Need::Survey) && allowed(Action::Survey),
        }
    }

    /// Whether anything may be tapped.
    pub(super) fn acts(self) -> bool {
        self.work || self.note
    }
}

/// What all steps of a page share.
pub(super) struct Bench<'a> {
    pub(super) signed: &'a Signed,
    pub(super) id: i64,
    pub(super) job: &'a Job,
    pub(super) people: &'a [Person],
    pub(super) may: May,
    pub(super) redisplay: &'a Redisplay,
    pub(super) making: &'a Making,
    /// Who works at the shop's benches, and what they know.
    pub(super) at_benches: &'a [quote::Person],
}

/// A step and where it stands.
pub(super) struct Shown<'a> {
    pub(super) step: &'a Step,
    pub(super) record: Option<&'a StepRecord>,
    /// What must be done before it and is not.
    pub(super) blockers: &'a [&'a Step],
    /// Whether it is the next to do.
    pub(super) is_next: bool,
}

impl Shown<'_> {
    fn state(&self) -> StepState {
        self.record.map_or(StepState::ToDo, |r| r.state)
    }

    fn closed(&self) -> bool {
        matches!(self.state(), StepState::Done | StepState::Skipped)
    }
}

/// A tool that another job of the contract makes, in its place in the list: no step of this job.
pub(super) fn made_elsewhere(signed: &Signed, id: i64, step: &Step, e: &Elsewhere, may_work: bool) -> Markup {
    let key = step_key(step);
    html! {
        li.step.card.done[e.stands == Stands::Made] id={ "step-" (step.number) } value=(step.number) data-key=(key) {
            p { span.no { (step.number) } " " strong { (signed.fmt.text(&step.what)) } " " span.state { (match e.stands { Stands::Made => "made", Stands::Begun => "being made", Stands::Waits => "not of this job" }) } }
            p { (e.words()) " " a href={ "/jobs/" (e.job) "/bench" } { "To its bench" } }
            @if may_work && e.stands == Stands::Waits {
                form method="post" action={ "/jobs/" (id) "/bench" } {
                    (layout::csrf(signed)) input type="hidden" name="key" value=(key);
                    button.plain type="submit" name="act" value="start" { "Make it here instead" }
                }
            }
        }
    }
}

/// A step as an item of the page's list.
pub(super) fn one_step(bench: &Bench<'_>, shown: &Shown<'_>) -> Markup {
    let (fmt, job, step) = (bench.signed.fmt, bench.job, shown.step);
    let key = step_key(step);
    let refill: Refill<'_> = bench.redisplay.form_with(&format!("/jobs/{}/bench", bench.id), "key", &key);
    let choice = step
        .dents
        .first()
        .and_then(|d| job.plan.choices.iter().find(|c| c.dent == *d))
        .filter(|_| matches!(step.kind, StepKind::Dent | StepKind::Crease));
    let (asks, name) = (Asks::of_step(bench.at_benches, &job.plan, step), bench.signed.person.name.as_str());
    let open = shown.is_next || shown.state() == StepState::Running || refill.refused();
    html! {
        li.step.card.done[shown.closed()].next[shown.is_next] id={ "step-" (step.number) } value=(step.number) data-key=(key) data-waits=(numbers(shown.blockers.iter().map(|b| b.number))) data-all=(numbers(step.after.iter().copied())) {
            details open[open] {
                summary {
                    span.no { (step.number) } span.what { (fmt.text(&step.what)) }
                    span.state { (state_words(shown.state(), !shown.blockers.is_empty())) } span.minutes { (minutes_words(step)) }
                }
                (refill.problems())
                @if !shown.blockers.is_empty() {
                    p.note data-blockers="" { strong { "Waits for " } @for (i, b) in shown.blockers.iter().enumerate() { @if i > 0 { ", " } a href={ "#step-" (b.number) } { "step " (b.number) } } "." }
                }
                @if let Some(asks) = &asks { p.note { (asks.words()) @if !asks.lets(name) { " " strong { "Not " (name) "." } } } }
                @for words in bench.making.notes(step) { p.note { (words) } }
                (cautions(step))
                div.step-face {
                    div.step-figures {
                        @if let Some(choice) = choice { (work(bench, step, choice)) }
                        @if let Some(heat) = &step.heat { (heated(bench, heat)) }
                    }
                    @if crate::view::drawings::worked(job, step).is_some() { figure.drawing.scroll tabindex="0" role="group" aria-label={ "Drawing of step " (step.number) } { img src={ "/jobs/" (bench.id) "/steps/" (step.number) ".svg" } loading="lazy" alt={ "Step " (step.number) ": the tube with the tool in it, at scale" }; } }
                    @if let Some(choice) = choice { div.step-rest { (tools(bench, step, choice)) } }
                }
                details { summary { "Reasons" }
                    p.why { (fmt.sentence(&step.because)) }
                    @if let Some(a) = choice.and_then(|c| job.assessments.iter().find(|a| a.dent == c.dent)) { p.why { (fmt.sentence(&a.advice_because)) } }
                }
                (how_it_went(bench, shown.record))
                @if bench.may.note { (note(bench, shown, &key, refill)) }
                @if bench.may.work && asks.as_ref().is_none_or(|a| a.lets(name)) { (taps(bench, shown, &key)) }
            }
        }
    }
}

/// What can hurt or spoil: one line of names that opens its sentences.
fn cautions(step: &Step) -> Markup {
    html! {
        @if !step.cautions.is_empty() {
            details.cautions {
                summary.caution { strong { "Caution: " } (step.cautions.iter().map(|c| c.name()).collect::<Vec<_>>().join(", ")) }
                @for c in &step.cautions { p { (c.text()) @if let Some(l) = c.limit() { " " span.small { "Limit as quoted from " (l.source) ": " (l.text) "." } } } }
                p.small { (plan::caution::DEFERS) }
            }
        }
    }
}

/// Size, force, where to stop and passes, large.
fn work(bench: &Bench<'_>, step: &Step, choice: &Choice) -> Markup {
    let (fmt, job) = (bench.signed.fmt, bench.job);
    let method = working(step, choice);
    let a = job.assessments.iter().find(|a| a.dent == choice.dent);
    html! {
        p.method { (method_name(method.kind)) }
        dl.large {
            dt { "Size" } dd { (fmt.size(method.size_mm)) }
            dt { "Force" } dd { (fmt.force(method.force_hand_n.value)) span.small.soft { " of " (fmt.force(method.force_limit_n)) } }
            @if let Some(a) = a {
                dt { "Stop at" } dd { @if method.kind.goes_past_true() { (fmt.tenths(a.overpush(method.annealed).value)) " past true" } @else { "true to the tool" } }
                dt { "Passes" } dd { "about " (format!("{:.0}", a.pass_count(method.annealed).value.ceil())) }
            }
        }
    }
}

/// The tools with their places, and what the figures are made of.
fn tools(bench: &Bench<'_>, step: &Step, choice: &Choice) -> Markup {
    let (fmt, job) = (bench.signed.fmt, bench.job);
    let method = working(step, choice);
    html! {
        dl {
            dt { "Tools" }
            dd { @match &method.tool {
                ToolChoice::Rack { tools } => { ul.plain { @for t in tools { li { (tool_placed(job, t)) } } } }
                ToolChoice::ToMake { make, .. } => { "To make: " (fmt.sentence(&make.words())) p.why { (fmt.sentence(&make.because())) } @for e in make.pieces.iter().filter_map(|p| bench.making.of_piece(p)) { p { (e.words()) } } }
            } }
            @if method.train.len() > 1 { dt { "Balls in turn" } dd { @for (i, b) in method.train.iter().enumerate() { @if i > 0 { " → " } (fmt.size(b.ball_mm)) } } }
            dt { "Force, in full" } dd { (fmt.figure(&method.force_hand_n)) }
            @if let Some(way) = &method.way {
                @if way.turned_deg >= 0.5 { dt { "At the dent" } dd { (fmt.figure(&way.dent_n)) ", led round " (format!("{:.0}°", way.turned_deg)) " of bends" } }
                dt { "To pull it back out" } dd { (fmt.figure(&way.back.hand_n)) " of " (fmt.force(way.back.limit_n)) ", by " (fmt.text(&way.back.with)) }
            }
            @if let Some(c) = &method.contact { dt { "Gap left at the end" } dd { (fmt.tenths(c.end.gap_mm.value.max(0.0))) ", at most " (fmt.tenths(c.end.gap_mm.high)) } }
        }
    }
}

/// The heat: how hot, how long, where the sink goes, and what is near.
fn heated(bench: &Bench<'_>, heat: &Heat) -> Markup {
    let (fmt, job) = (bench.signed.fmt, bench.job);
    let near = || heat.neighbours.iter().enumerate().filter(|(i, n)| *i == 0 || n.sink || n.too_close);
    html! {
        dl.large {
            dt { "Heat to" } dd { (fmt.degc(heat.target_degc)) }
            dt { "Flame at" } dd { (fmt.tenths(heat.at_mm)) span.small.soft { " from the mouthpiece end" } }
            @if let Some(s) = &heat.flame_s { dt { "For about" } dd { (format!("{:.0} s", 10.0 * (s.value / 10.0).round())) } }
            dt { "Sink" } dd { @if let Some(sink) = heat.sink_at_mm { (fmt.tenths(sink)) span.small.soft { " from the flame" } } @else if heat.neighbours.iter().any(|n| n.too_close) { "no room" } @else { "none needed" } }
        }
        @if !heat.torch.is_empty() { p.soft { "Torch: " (heat.torch) "." } }
        p { (fmt.sentence(&heat.temper_note)) }
        @if let Some(w) = &heat.too_weak { p.caution { "This torch reaches " (fmt.degc(w.got_degc)) " only: take one of about " (format!("{:.0} W", w.wants_w)) " or more." } }
        @for (i, n) in near() {
            div.why { @if i == 0 { "Nearest joint in danger: " } (opened_name(job, &n.what))
                @if let Some(run) = n.on.as_ref().and_then(|r| job.survey.instrument.run(r)) { " on the " (run.name) " at " (fmt.tenths(n.at_mm)) }
                ", " (fmt.tenths(n.distance_mm)) " from the flame, reaches " (fmt.figure(&n.temperature_degc)) "; melts from " (fmt.degc(n.melts_at_degc)) ". "
                @if n.too_close { strong { "It lets go: bind it with wire" @if let Some(a) = n.resoldered_by { "; step " (a) " solders it again" } ". " } } @else if n.sink { "Heat sink or wet cloth between. " } }
        }
    }
}

/// Who worked at it, how long, and what was noted.
fn how_it_went(bench: &Bench<'_>, record: Option<&StepRecord>) -> Markup {
    html! {
        @if let Some(r) = record {
            p.small { @if r.spent_s > 0 || r.started_at.is_some() { "Time: " span data-since=[r.started_at] data-spent=(r.spent_s) { (when::lasting(r.spent_s + r.started_at.map_or(0, |s| when::now() - s))) } ". " }
                @if let Some(p) = r.person.and_then(|p| bench.people.iter().find(|q| q.id == p)) { (p.name) ". " }
                @if let Some(at) = r.done_at { "Done " (when::moment(at)) ". " }
                @if !r.note.is_empty() { "Note: " (r.note) ". " }
                @if r.doubtful { strong { "Time in doubt: " } "the clock was set while this ran, or its timer ran over 12 hours. Set it by hand; quotes do not learn from it until then. " }
                @if !r.time_note.is_empty() { "Time set by hand: " (r.time_note) } }
        }
    }
}

/// Start, pause, done, undo: at the foot of the screen while the step is open.
fn taps(bench: &Bench<'_>, shown: &Shown<'_>, key: &str) -> Markup {
    let waits = !shown.blockers.is_empty();
    html! {
        div.step-foot {
            @if shown.closed() { (button(bench, key, "untick", "Undo", "plain", false)) }
            @else {
                @if shown.state() == StepState::Running { (button(bench, key, "pause", "Pause", "plain", false)) }
                @else { (button(bench, key, "start", "Start", "plain", waits)) }
                (button(bench, key, "tick", "Done", "", waits))
            }
        }
    }
}

/// Note, photo, skip, and the time set right.
fn note(bench: &Bench<'_>, shown: &Shown<'_>, key: &str, refill: Refill<'_>) -> Markup {
    let (signed, id, may) = (bench.signed, bench.id, bench.may);
    html! {
        details open[refill.refused()] {
            summary { @if may.work { "Note, photo, skip" } @else { "Note, photo" } }
            form.row method="post" action={ "/jobs/" (id) "/bench" } {
                (layout::csrf(signed)) input type="hidden" name="key" value=(key);
                label.grow { span { "Note, or why it is skipped" } input name="text" value=(refill.text("text", shown.record.map_or("", |r| r.note.as_str()))); }
                button.plain type="submit" name="act" value="note" { "Keep note" }
                @if !shown.closed() && may.work { button.plain type="submit" name="act" value="skip" { "Skip" } }
            }
            @if let Some(record) = shown.record {
                form.row method="post" action={ "/jobs/" (id) "/bench" } {
                    (layout::csrf(signed)) input type="hidden" name="key" value=(key);
                    label { span { "Time it took" } input name="minutes" placeholder="45 min" value=(refill.text("minutes", "")); }
                    label.grow { span { "Why it is set by hand" } input name="text" value=(refill.text("text", record.time_note.as_str())); }
                    button.plain type="submit" name="act" value="time" { "Correct the time" }
                }
            }
            form.row data-photo={ "/jobs/" (id) "/photos" } data-step=(key) {
                label { span { "Photo" } input type="file" name="photo" accept="image/jpeg,image/png,image/webp" capture="environment"; }
            }
        }
    }
}

/// Numbers of steps for the page's script.
fn numbers(steps: impl Iterator<Item = plan::StepId>) -> String {
    steps.map(|n| n.to_string()).collect::<Vec<_>>().join(" ")
}

fn button(bench: &Bench<'_>, key: &str, act: &str, words: &str, class: &str, disabled: bool) -> Markup {
    html! {
        form method="post" action={ "/jobs/" (bench.id) "/bench" } {
            (layout::csrf(bench.signed))
            input type="hidden" name="key" value=(key);
            button class=(class) type="submit" name="act" value=(act) disabled[disabled] { (words) }
        }
    }
}

/// What a step works with: a crease is eased over what stands under it when the work begins.
fn working(step: &Step, choice: &Choice) -> Method {
    if step.kind == StepKind::Crease { choice.method.easing() } else { choice.method.clone() }
}

fn state_words(state: StepState, blocked: bool) -> &'static str {
    match state {
        StepState::Done => "done",
        StepState::Skipped => "skipped",
        StepState::Running => "timer runs",
        StepState::ToDo if blocked => "waits",
        StepState::ToDo => "to do",
    }
}

fn minutes_words(step: &Step) -> String {
    show_minutes_between(step.minutes.least, step.minutes.most)
}
