//! From plain data to the text of a survey file. Reading it again gives the same survey: each value is written in the
//! short form of the bench where that form says the same, and spelt out where none does.

use crate::damage::write::{clock_text, exact_length as length, lines, list, mm, short, text};
use crate::quantity;
use crate::read::pattern_named;
use crate::words::{TEMPERS, Word};
use instrument::fields::{Said, fit, run as fields};
use instrument::{
    Axis, End, Instrument, Interpolation, Joint, JointKind, Kind, MovingFit, Overlay, Profile, Role, Run, RunEnd, Segment, Survey, Work,
};
use metal::Alloy;
use std::fmt::Write as _;
use units::measured::Gauge;
use units::{Known, ThreePoint};

/// A whole survey as a file. The instrument's worth is written to the cent.
pub fn write_survey(survey: &Survey) -> String {
    let mut out = Out::default();
    out.line("trueround_survey", "1");
    for (key, value) in [("title", &survey.title), ("customer", &survey.customer), ("surveyor", &survey.surveyor), ("date", &survey.date)] {
        out.word(key, value);
    }
    if let Some(cleaned) = survey.cleaned {
        out.line("cleaned", &cleaned.to_string());
    }
    let i = &survey.instrument;
    out.table("[instrument]");
    out.line("kind", &text(i.kind.word()));
    for (key, value) in [("maker", &i.maker), ("model", &i.model), ("serial", &i.serial)] {
        out.word(key, value);
    }
    if let Some(money) = i.value_money.filter(|m| m.is_finite() && *m >= 0.0) {
        out.line("value", &text(&worth(money)));
    }
    i.runs.iter().for_each(|r| out.run(r));
    i.joints.iter().for_each(|j| out.joint(j));
    i.overlays.iter().for_each(|o| out.overlay(o));
    i.fits.iter().for_each(|f| out.fit(f));
    survey.dents.iter().for_each(|d| out.damage("[[dent]]", &d.said()));
    survey.conditions.iter().for_each(|c| out.damage("[[condition]]", &c.said()));
    survey.work.iter().for_each(|w| out.work(w));
    let wishes = &survey.wishes;
    if wishes.keep_finish || !wishes.keep_shut.is_empty() || !wishes.keep_on.is_empty() {
        out.table("[wishes]");
        if wishes.keep_finish {
            out.line("keep_finish", "true");
        }
        out.list("keep_shut", wishes.keep_shut.iter().map(|j| text(&j.0)));
        out.list("keep_on", wishes.keep_on.iter().map(|o| text(&o.0)));
    }
    out.0
}

/// A new survey file for an instrument: its pattern's runs filled in, with what to measure and how; for `other`, which has no
/// pattern, a file in which the runs are still to be described. None where there is no pattern of this name
/// (`instrument::patterns::names`).
pub fn pattern_file_named(name: &str) -> Option<String> {
    match pattern_named(name) {
        Some(pattern) => Some(new_file(name, Some(pattern))),
        None => (name == Kind::Other.word()).then(|| new_file(name, None)),
    }
}

fn new_file(name: &str, pattern: Option<Instrument>) -> String {
    let long =
        |p: &Instrument| p.runs.iter().find(|r| matches!(r.role, Role::Branch | Role::Leadpipe | Role::BellStem)).map(|r| text(&r.id.0));
    let example = pattern.as_ref().and_then(long).unwrap_or_else(|| text("first-branch"));
    let mut out = Out::default();
    out.comment(&[
        "A survey of one instrument. Fill in what you measured, leave out what you did not: the plan still comes, only wider,",
        "and says which measurement would narrow it most. docs/survey-format.md tells every field.",
        "",
        "Values are texts with their unit: \"11.66 mm\", \"0.459 in\", \"1 1/32 in\", or '29/64\"' in single quotes.",
        "  \"about 4 mm\"     judged by eye (a quarter of it counts as its spread)",
        "  \"4 ± 0.3 mm\"     your own limits (nine times in ten inside them)",
        "  \"3 to 5 mm\"      somewhere between",
        "  \"pattern 18 mm\"  from the pattern, not measured: every \"pattern\" below is invented, none is of a real instrument",
    ]);
    out.line("trueround_survey", "1");
    out.line("title", &text(""));
    out.line("customer", &text(""));
    out.line("surveyor", &text(""));
    out.line("date", &text(""));
    out.0.push_str("# cleaned = true        # flushed and degreased before you measured?\n");
    out.table("[instrument]");
    out.line(if pattern.is_some() { "pattern" } else { "kind" }, &text(name));
    out.line("maker", &text(""));
    out.line("model", &text(""));
    out.line("serial", &text(""));
    out.0.push_str("# value = \"$3,800\"      # value in good condition: repair is weighed against it\n");
    out.0.push_str(
        "# finish = \"lacquer\"    # of the whole instrument: raw, lacquer, silver plate, gold plate, nickel plate, chrome plate\n",
    );
    out.heading("The dents");
    out.comment(&[
        "One [[dent]] each. Only `run` must be there (ids are below); a depth helps most, then where it lies.",
        "  at      distance of its deepest place from the run's mouthpiece end: tape measure along the tube",
        "  clock   looking toward the bell, 12 o'clock at the run's marked line (the seam, or the side away from the player)",
        "  depth   bridge gauge over the dent, its feet on true metal; or a straightedge and a feeler",
        "  along, across   widths, rule or caliper, edge to edge where the light bends",
        "  profile_across = [[\"-8 mm\", \"0 mm\"], …]   contour gauge: distance and depth, five points or more",
        "",
        "[[dent]]",
        &format!("run = {example}"),
        "at = \"120 mm\"",
        "clock = \"3 o'clock\"",
        "depth = \"about 4 mm\"",
        "along = \"30 mm\"",
        "across = \"1 1/8 in\"",
        "crease = { lies = \"across\", length = \"12 mm\" }        # a fold line",
        "crack = { lies = \"along\", length = \"5 mm\", through = true }",
        "hardness = \"110 HV\"          # where you have a tester",
        "pushed_in_by = \"brace-id\"    # the foot that made it",
        "note = \"\"",
    ]);
    out.heading("The metal");
    out.comment(&[
        "[[condition]]                 # red rot: pink spots under the finish, a pick sinks in; season cracking: fine cracks along the tube",
        "kind = \"red rot\"              # red rot, season cracking, crack, hole, thin",
        &format!("run = {example}"),
        "from = \"40 mm\"",
        "to = \"90 mm\"",
        "",
        "[[work]]                      # a job of the shop's own list, beside the dents",
        "job = \"clean_inside\"",
        "",
        "[wishes]                      # what the customer will not have",
        "keep_finish = true            # no flame where it burns the finish, wherever another way exists",
    ]);
    out.heading("The runs of tube, from the mouthpiece to the bell");
    out.comment(&[
        "  axis    straights and bends (center-line radius), along the middle of the tube from the mouthpiece end",
        "  bore    inside diameter: small-hole gauge and caliper; or outside diameter less two walls",
        "  wall    ultrasonic gauge, or micrometer at an open end",
        "  temper  \"half hard\", \"H04\", or a hardness \"110 HV\" from a portable tester",
    ]);
    let Some(i) = pattern else {
        out.comment(&["Describe each run, and each joint between two of them; docs/survey-format.md has a whole example."]);
        return out.0;
    };
    out.comment(&["Replace a \"pattern\" value by what you measured, or delete a run that you left alone: the pattern stands for it."]);
    i.runs.iter().for_each(|r| out.run(&rounded(r)));
    out.names("Joints of the pattern (change one with [[joint]] and its id)", i.joints.iter().map(|j| (j.id.0.as_str(), j.name.as_str())));
    out.names(
        "Braces, ferrules, guards and patches of the pattern (change one with [[overlay]] and its id)",
        i.overlays.iter().map(|o| (o.id.0.as_str(), o.name.as_str())),
    );
    out.names(
        "Moving fits of the pattern (tell how one moves: [[fit]], id = …, moves = \"free\", \"stiff\", \"binds\" or \"stuck\")",
        i.fits.iter().map(|f| (f.id.0.as_str(), f.name.as_str())),
    );
    out.0
}

/// A pattern's run for a person to write over: lengths to a tenth of a millimetre, bores and walls to hundredths, a value
/// that is the same all along as one value.
fn rounded(run: &Run) -> Run {
    let to = |x: f64, parts: f64| (x * parts).round() / parts;
    let mut run = run.clone();
    for s in &mut run.axis.segments {
        match s {
            Segment::Straight { length_mm } => *length_mm = to(*length_mm, 10.0),
            Segment::Bend { radius_mm, angle_deg, plane_deg } => {
                (*radius_mm, *angle_deg, *plane_deg) = (to(*radius_mm, 10.0), to(*angle_deg, 10.0), to(*plane_deg, 10.0));
            }
        }
    }
    let length = to(run.axis.length_mm(), 10.0);
    for (profile, part) in [
        (&mut run.bore_mm, Gauge::CALLIPER.pattern_part),
        (&mut run.wall_mm, Gauge::WALL.pattern_part),
        // A temper's spread does not go with its value.
        (&mut run.temper, 0.0),
    ] {
        for p in &mut profile.points {
            let usual = (p.sd - part * p.value).abs() < 1e-9;
            (p.at_mm, p.value) = (to(p.at_mm, 10.0).min(length), to(p.value, 100.0));
            if usual {
                p.sd = part * p.value;
            }
        }
        if let Some(first) = profile.points.first().copied()
            && profile.points.iter().all(|p| (p.value, p.sd, p.origin) == (first.value, first.sd, first.origin))
        {
            profile.points = vec![instrument::Point { at_mm: 0.0, ..first }];
        }
    }
    run
}

#[derive(Default)]
struct Out(String);

impl Out {
    fn line(&mut self, key: &str, value: &str) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.0, "{key} = {value}");
    }

    /// A text; nothing where it is empty.
    fn word(&mut self, key: &str, value: &str) {
        if !value.is_empty() {
            self.line(key, &text(value));
        }
    }

    fn maybe(&mut self, key: &str, value: Option<String>) {
        if let Some(value) = value {
            self.line(key, &value);
        }
    }

    /// A list; nothing where it is empty.
    fn list(&mut self, key: &str, items: impl Iterator<Item = String>) {
        let mut items = items.peekable();
        if items.peek().is_some() {
            self.line(key, &list(items));
        }
    }

    fn table(&mut self, header: &str) {
        let _ = writeln!(self.0, "\n{header}");
    }

    fn heading(&mut self, title: &str) {
        let _ = writeln!(self.0, "\n# ---- {title} {}\n", "-".repeat(100_usize.saturating_sub(title.len())));
    }

    fn comment(&mut self, lines: &[&str]) {
        for l in lines {
            self.0.push_str(if l.is_empty() { "#" } else { "# " });
            self.0.push_str(l);
            self.0.push('\n');
        }
    }

    fn names<'a>(&mut self, title: &str, names: impl Iterator<Item = (&'a str, &'a str)>) {
        let names: Vec<_> = names.collect();
        if names.is_empty() {
            return;
        }
        self.heading(title);
        let width = names.iter().map(|n| n.0.chars().count()).max().unwrap_or(0);
        for (id, name) in names {
            let _ = writeln!(self.0, "#   {id:width$}  {name}");
        }
    }

    fn run(&mut self, r: &Run) {
        self.table("[[run]]");
        self.line("id", &text(&r.id.0));
        self.line("name", &text(&r.name));
        self.line("role", &text(r.role.word()));
        self.axis(&r.axis);
        self.profile("bore", &r.bore_mm, |k| length(k, &fields::BORE.gauge()));
        self.flare("flare", &r.bore_mm);
        self.profile("wall", &r.wall_mm, |k| length(k, &fields::WALL.gauge()));
        self.flare("wall_flare", &r.wall_mm);
        self.line("alloy", &text(r.alloy.word()));
        self.profile("temper", &r.temper, |k| temper(k, r.alloy));
        self.flare("temper_flare", &r.temper);
        self.line("finish", &text(r.finish.word()));
        if r.may_be_beryllium {
            self.line("may_be_beryllium", "true");
        }
    }

    fn axis(&mut self, axis: &Axis) {
        let piece = |s: &Segment| match *s {
            Segment::Straight { length_mm } => format!("{{ straight = {} }}", mm(length_mm)),
            Segment::Bend { radius_mm, angle_deg, plane_deg } => {
                format!("{{ bend = {}, angle = {}, plane = {} }}", mm(radius_mm), deg(angle_deg), text(&clock_text(plane_deg)))
            }
        };
        self.list("axis", axis.segments.iter().map(piece));
    }

    fn profile(&mut self, key: &str, profile: &Profile, show: impl Fn(&Known) -> String) {
        let known = |p: &instrument::Point| Known::new("", p.value, p.sd, units::Unit::Mm, p.origin);
        match profile.points.as_slice() {
            [only] if only.at_mm == 0.0 => self.line(key, &show(&known(only))),
            points => self.list(key, points.iter().map(|p| format!("{{ at = {}, is = {} }}", mm(p.at_mm), show(&known(p))))),
        }
    }

    fn flare(&mut self, key: &str, profile: &Profile) {
        if profile.between == Interpolation::Monotone {
            self.line(key, "true");
        }
    }

    fn minutes(&mut self, key: &str, three: Option<ThreePoint>) {
        if let Some(t) = three {
            self.list(key, [t.least, t.likely, t.most].into_iter().map(|m| text(&format!("{m} min"))));
        }
    }

    fn joint(&mut self, j: &Joint) {
        self.table("[[joint]]");
        self.line("id", &text(&j.id.0));
        self.line("name", &text(&j.name));
        self.line("from", &run_end(&j.a));
        self.line("to", &run_end(&j.b));
        let (held_by, filler) = match j.kind {
            JointKind::SoftSoldered { filler } => ("soft solder", Some(filler)),
            JointKind::SilverBrazed { filler } => ("silver braze", Some(filler)),
            JointKind::SlidingFit => ("slide", None),
            JointKind::Threaded => ("thread", None),
            JointKind::Pressed => ("pressed", None),
            JointKind::Fixed => ("fixed", None),
        };
        self.line("held_by", &text(held_by));
        self.maybe("filler", filler.map(|f| text(f.word())));
        self.line("overlap", &mm(j.overlap_mm));
        self.minutes("open", j.open_minutes);
        self.minutes("close", j.close_minutes);
    }

    fn overlay(&mut self, o: &Overlay) {
        self.table("[[overlay]]");
        self.line("id", &text(&o.id.0));
        self.line("name", &text(&o.name));
        self.line("kind", &text(o.kind.word()));
        let cover = |c: &instrument::Cover| {
            let clock = c.clock_deg.map_or_else(String::new, |range| format!(", clock = {}", clock_range(range)));
            format!("{{ run = {}, from = {}, to = {}{clock} }}", text(&c.run.0), mm(c.from_mm), mm(c.to_mm))
        };
        self.list("covers", o.covers.iter().map(cover));
        self.line("filler", &text(o.filler.map_or("none", Word::word)));
        self.maybe("slides_off_at", o.slides_off_at.as_ref().map(|j| text(&j.0)));
        self.minutes("off", o.off_minutes);
        self.minutes("back", o.back_minutes);
    }

    fn fit(&mut self, f: &MovingFit) {
        self.table("[[fit]]");
        self.line("id", &text(&f.id.0));
        self.line("name", &text(&f.name));
        self.line("kind", &text(f.kind.word()));
        self.line("inner", &text(&f.inner.0));
        self.line("outer", &text(&f.outer.0));
        self.maybe("clearance", f.clearance_mm.as_ref().map(|k| length(k, &fit::CLEARANCE.gauge())));
        self.maybe("moves", f.state.map(|s| text(s.word())));
    }

    fn work(&mut self, w: &Work) {
        self.table("[[work]]");
        self.line("id", &text(&w.id.0));
        self.line("job", &text(&w.job));
        if w.count != 1 {
            self.line("count", &w.count.to_string());
        }
        self.maybe("run", w.run.as_ref().map(|r| text(&r.0)));
        self.maybe("joint", w.joint.as_ref().map(|j| text(&j.0)));
        if w.optional {
            self.line("optional", "true");
        }
        self.word("note", &w.note);
    }

    fn damage(&mut self, header: &str, said: &[Said<'_>]) {
        self.table(header);
        for (key, value) in lines(said) {
            self.line(key, &value);
        }
    }
}

fn deg(x: f64) -> String {
    text(&format!("{x}°"))
}

/// Cents where it has any.
fn worth(money: f64) -> String {
    let cents = format!("{money:.2}");
    cents.strip_suffix(".00").map_or(cents.clone(), str::to_owned)
}

fn clock_range((from, to): (f64, f64)) -> String {
    format!("[{}, {}]", text(&clock_text(from)), text(&clock_text(to)))
}

fn temper(k: &Known, alloy: Alloy) -> String {
    let name = TEMPERS.iter().find(|(_, n)| *n == k.value).map(|(w, _)| (*w).to_owned());
    let word = name.unwrap_or_else(|| format!("{} numbers", k.value));
    short(k, &[word.clone(), format!("pattern {word}")], |t| quantity::temper(t, alloy))
}

fn run_end(e: &RunEnd) -> String {
    let end = match e.end {
        End::Start => "start",
        End::Finish => "end",
    };
    text(&format!("{} {end}", e.run))
}
