//! Tools to make, shared over the dents of a job: a tool that is to be made for one dent may serve another.

use reach::{ToolBody, ToolToMake, Way};

/// Whether a tool to make would do a way's work as well as the one that was reckoned for it.
///
/// It must go where that one goes and bear the way's force: no thicker, no larger a head, at least as long, strong enough.
/// A rod bears bending in proportion to the cube of its diameter (closed form: σ = 32 F l/(π d³)).
pub fn serves(tool: &ToolToMake, wanted: &ToolToMake, way: &Way) -> bool {
    /// A tool this much smaller does the same work (common practice: a tenth of the head leaves no more marks).
    const NEAR: f64 = 0.9;
    /// A tool may be longer than asked by this factor: the rest of it stays outside.
    const LONGER: f64 = 1.5;
    let within = |have: f64, want: f64| have <= want + 1e-9 && have >= NEAR * want;
    let long = |have: f64, want: f64| have >= want - 1e-9 && have <= LONGER * want;
    let bears = |have: f64, want: f64| way.force_hand_n.value <= way.force_limit_n * (have / want).powi(3);
    match (&tool.body, &wanted.body) {
        // A ball a size smaller leaves the next one a little more to lift: only where the drive has force to spare. (Common
        // practice, no source: balls come in steps of half a millimetre, of quarters below 25 mm.)
        (ToolBody::Ball { diameter_mm: d }, ToolBody::Ball { diameter_mm: wd }) => {
            let size = if *wd < 25.0 { 0.25 } else { 0.5 };
            (d - wd).abs() <= 1e-9 || (*d < *wd && wd - d <= size + 1e-9 && way.force_hand_n.value <= 0.85 * way.force_limit_n)
        }
        (a, b) if a == b => tool.words == wanted.words,
        (
            ToolBody::StraightRod { diameter_mm: d, length_mm: l, head_mm: h },
            ToolBody::StraightRod { diameter_mm: wd, length_mm: wl, head_mm: wh },
        ) => within(*d, *wd) && long(*l, *wl) && within(*h, *wh) && bears(*d, *wd),
        (
            ToolBody::CurvedRod { diameter_mm: d, length_mm: l, radius_mm: r, head_mm: h },
            ToolBody::CurvedRod { diameter_mm: wd, length_mm: wl, radius_mm: wr, head_mm: wh },
        ) => within(*d, *wd) && (l - wl).abs() <= 0.05 * wl && (r - wr).abs() <= 0.01 * wr && within(*h, *wh) && bears(*d, *wd),
        (
            ToolBody::FlexibleShaft { diameter_mm: d, length_mm: l, least_radius_mm: r, limit_n: n },
            ToolBody::FlexibleShaft { diameter_mm: wd, length_mm: wl, least_radius_mm: wr, .. },
        ) => *d <= *wd + 1e-9 && *l >= *wl - 1e-9 && *r <= *wr + 1e-9 && way.force_hand_n.value <= *n,
        (ToolBody::Cable { length_mm: l, limit_n: n }, ToolBody::Cable { length_mm: wl, .. }) => {
            *l >= *wl - 1e-9 && way.force_hand_n.value <= *n
        }
        (ToolBody::Mandrel { small_mm: s, large_mm: g, length_mm: l }, ToolBody::Mandrel { small_mm: ws, large_mm: wg, length_mm: wl }) => {
            (s - ws).abs() <= 0.05 && (g - wg).abs() <= 0.05 && (l - wl).abs() <= 0.1 * wl
        }
        _ => false,
    }
}

/// The tool to make of a way.
pub fn to_make(way: &Way) -> Option<&ToolToMake> {
    match &way.tool {
        reach::ToolChoice::ToMake { make, .. } => Some(make),
        reach::ToolChoice::Rack { .. } => None,
    }
}

/// What a way asks to be made, tool by tool: each ball of a train is a tool of its own, and so is what drives it, so that
/// dents share what they have in common.
pub fn pieces(way: &Way) -> Vec<ToolToMake> {
    let Some(make) = to_make(way) else { return vec![] };
    if !matches!(make.body, ToolBody::Ball { .. }) {
        return vec![make.clone()];
    }
    let (balls, drive) = match make.words.split_once(" and a ") {
        Some((balls, drive)) => (balls, Some(drive)),
        None => (make.words.as_str(), None),
    };
    let sizes = ball_sizes_mm(balls);
    let shaft = drive.map(|words| shaft(words, way.force_limit_n));
    if sizes.is_empty() || shaft.as_ref().is_some_and(Option::is_none) {
        return vec![make.clone()];
    }
    let ball =
        |d: f64| ToolToMake { body: ToolBody::Ball { diameter_mm: d }, words: format!("ball {d:.2} mm"), because: make.because.clone() };
    let mut all: Vec<ToolToMake> = sizes.into_iter().map(ball).collect();
    if let (Some(Some(body)), Some(words)) = (shaft, drive) {
        all.push(ToolToMake { body, words: words.to_owned(), because: make.because.clone() });
    }
    all
}

/// The sizes of the balls in a tool's words ("balls 12.50, 13.00 mm").
pub fn ball_sizes_mm(words: &str) -> Vec<f64> {
    let balls = words.split(" mm").next().unwrap_or("");
    balls.split([' ', ',']).filter_map(|w| w.parse::<f64>().ok()).filter(|d| d.is_finite() && *d > 0.0).collect()
}

/// "flexible shaft 12.0 mm, 1400 mm long, going round 72 mm".
fn shaft(words: &str, limit_n: f64) -> Option<ToolBody> {
    let rest = words.strip_prefix("flexible shaft ")?;
    let numbers: Vec<f64> = rest.split([' ', ',']).filter_map(|w| w.parse().ok()).collect();
    let [diameter_mm, length_mm, least_radius_mm] = numbers[..] else { return None };
    Some(ToolBody::FlexibleShaft { diameter_mm, length_mm, least_radius_mm, limit_n })
}

/// A way with the tools that are made for the job in the place of those reckoned for it alone.
pub fn with_tools(way: &Way, tools: &[ToolToMake]) -> Way {
    let mut way = way.clone();
    let own = pieces(&way);
    if let reach::ToolChoice::ToMake { make, .. } = &mut way.tool {
        let others: Vec<&ToolToMake> = tools.iter().filter(|t| !own.iter().any(|o| o.words == t.words)).collect();
        for t in &others {
            way.because.push_str(&format!(" The {} made for another dent serves here too.", t.words));
        }
        match tools {
            [one] => *make = one.clone(),
            _ if others.is_empty() => {}
            _ => make.words = words_of(tools),
        }
    }
    way
}

/// "balls 74.00, 76.50 mm and a flexible shaft …".
fn words_of(tools: &[ToolToMake]) -> String {
    let (mut balls, mut rest) = (Vec::new(), Vec::new());
    for t in tools {
        match t.body {
            ToolBody::Ball { diameter_mm } => balls.push(format!("{diameter_mm:.2}")),
            _ => rest.push(t.words.clone()),
        }
    }
    let balls = match balls.len() {
        0 => None,
        1 => Some(format!("ball {} mm", balls[0])),
        _ => Some(format!("balls {} mm", balls.join(", "))),
    };
    balls.into_iter().chain(rest).collect::<Vec<_>>().join(" and a ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_taken_apart_into_balls_and_their_drive() {
        assert_eq!(ball_sizes_mm("balls 12.50, 13.00 mm"), [12.5, 13.0]);
        assert_eq!(ball_sizes_mm("ball 74.00 mm"), [74.0]);
        let body = shaft("flexible shaft 12.0 mm, 1400 mm long, going round 72 mm", 800.0);
        assert_eq!(body, Some(ToolBody::FlexibleShaft { diameter_mm: 12.0, length_mm: 1400.0, least_radius_mm: 72.0, limit_n: 800.0 }));
        assert_eq!(shaft("rod 9 mm", 800.0), None);
    }
}
