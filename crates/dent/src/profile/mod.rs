//! A smooth profile through the noisy points of a bridge or contour gauge.
//!
//! Several shapes are put through the points (`family`, `start`); about each the profile is a Bayesian smoothing spline
//! whose amplitude, smoothness and noise are averaged over with their evidence (`posterior`), as are the shapes. Kinked
//! shapes, treated alike, tell a V from a round bottom by evidence. What is read off (depth, width, curvature) is a linear
//! functional of the coefficients, so its posterior is a mixture of Student distributions (`mixture`).

mod basis;
mod family;
mod mixture;
mod posterior;
mod start;

use crate::geometry;
use crate::strain::Sample;
use family::{KINKED, ROUND};
use instrument::ProfilePoint;
use mixture::{Part, Student};
use posterior::{About, COLUMNS, Cell, Functional};
use statrs::distribution::{ChiSquared, ContinuousCDF};
use units::{Figure, Known, Source, Unit};

/// Source of a fitted profile's figures.
pub const FIT: Source = Source::closed_form(
    "Bayesian smoothing spline (Hermite functions; Rasmussen & Williams 2006, 4.3.1) about six shapes of dent; shape, noise, amplitude and smoothness averaged by restricted likelihood",
);

/// Fewest points of a profile.
pub const FEWEST: usize = 5;
/// Half of the places in which the section is kept, on either side of the bottom.
const SIDE: usize = 12;
/// Places in which the profile is searched.
const SEARCH: usize = 96;
/// Parts of the mixture lighter than this are left out.
const LIGHT: f64 = 1e-4;

/// A fitted profile. Intervals are 90 %.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Deepest depth below the true surface, mm.
    pub depth_mm: Figure,
    /// Width where a tenth of the depth is left, mm.
    pub width_mm: Figure,
    /// Curvature at the bottom, 1/mm, positive.
    pub bottom_per_mm: Figure,
    /// Greatest curvature of the whole profile (either way), 1/mm, positive.
    pub sharpest_per_mm: Figure,
    /// Standard deviation of the gauge's readings about the profile, mm.
    pub noise_mm: Figure,
    /// Natural logarithm of the evidence of a kinked bottom over a smooth one.
    pub log_evidence_kink: f64,
    /// Places of the profile for the strain field.
    pub section: Vec<Sample>,
    /// Means of f and f² over the width.
    pub means: (f64, f64),
}

/// Why no profile could be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// Too few usable points.
    #[error("{0} usable points at different places are too few for a profile; take at least 5")]
    TooFew(usize),
    /// No reading lies below the true surface.
    #[error("no point of the profile lies below the true surface; depths count positive inwards")]
    NoDent,
}

impl Fit {
    /// Whether the points speak for a kink (V) rather than a smooth bottom: odds above 3 to 1, "positive" (Kass & Raftery, J. Am.
    /// Stat. Assoc. 90 (1995), from memory). Not higher, because a fold taken for a round bottom costs a crack, a round bottom
    /// taken for a fold an anneal; false alarms are below 1 % all the same (tests/coverage.rs).
    pub fn kinked(&self) -> bool {
        self.log_evidence_kink > 3.0_f64.ln()
    }
}

/// Fits a profile to 5 or more points, in any order. Points that are not numbers are left out.
///
/// # Errors
/// [`FitError`]: too few points at different places, or no dent in them.
pub fn fit(points: &[ProfilePoint]) -> Result<Fit, FitError> {
    // Beyond a metre a reading is no dent's, and squares of it would swamp the rest.
    let usable = |p: &&ProfilePoint| p.x_mm.is_finite() && p.depth_mm.is_finite() && p.x_mm.abs() < 1e3 && p.depth_mm.abs() < 1e3;
    let mut points: Vec<(f64, f64)> = points.iter().filter(usable).map(|p| (p.x_mm, p.depth_mm)).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let places = points.windows(2).filter(|w| w[1].0 - w[0].0 > 1e-3).count() + usize::from(!points.is_empty());
    if places < FEWEST {
        return Err(FitError::TooFew(places));
    }
    let gaussian = start::start(&points, &ROUND[0], None).ok_or(FitError::NoDent)?;
    let starts: Vec<_> = ROUND.iter().filter_map(|s| Some((s, start::start(&points, s, Some((&gaussian, &ROUND[0])))?))).collect();
    let noise_mm = starts.iter().map(|(_, s)| s.noise_mm).fold(f64::INFINITY, f64::min);
    let abouts: Vec<About> = starts.into_iter().map(|(shape, start)| About::new(&points, shape, start, noise_mm)).collect();
    let cells: Vec<(usize, Cell)> = abouts.iter().enumerate().flat_map(|(i, a)| a.cells().map(move |c| (i, c))).collect();
    let evidence = posterior::log_sum(cells.iter().map(|(_, c)| c.log_weight));
    if !evidence.is_finite() {
        return Err(FitError::NoDent);
    }
    let round = evidence - (ROUND.len() as f64).ln();
    let kink = kinked_evidence(&points, &gaussian, noise_mm) - round;
    let mut reading = Reading::new(&points, &abouts, cells, evidence);
    reading.log_evidence_kink = if kink.is_nan() { 0.0 } else { kink };
    reading.read().ok_or(FitError::NoDent)
}

/// Evidence of a kinked bottom, averaged over the kinked shapes and over places of the kink (the shift of a kink is not
/// linear in its place, so a few places stand for it).
fn kinked_evidence(points: &[(f64, f64)], gaussian: &start::Start, noise_mm: f64) -> f64 {
    let span = points.last().map_or(1.0, |p| p.0) - points.first().map_or(0.0, |p| p.0);
    let gap = span / (points.len() - 1).max(1) as f64;
    const PLACES: [f64; 5] = [-0.6, -0.3, 0.0, 0.3, 0.6];
    let mut logs = Vec::new();
    for shape in &KINKED {
        let Some(start) = start::start(points, shape, Some((gaussian, &ROUND[0]))) else { continue };
        for place in PLACES {
            let moved = start::Start { centre_mm: start.centre_mm + place * gap, ..start };
            logs.extend(About::new(points, shape, moved, noise_mm).cells().map(|c| c.log_weight));
        }
    }
    posterior::log_sum(logs.iter().copied()) - ((KINKED.len() * PLACES.len()) as f64).ln()
}

/// Reads the figures off the cells.
struct Reading<'a> {
    points: &'a [(f64, f64)],
    abouts: &'a [About<'a>],
    /// Shape, weight and cell.
    cells: Vec<(usize, f64, Cell)>,
    /// For each shape its weighted mean coefficients; none where it weighs nothing.
    means: Vec<Option<Functional>>,
    student: Student,
    log_evidence_kink: f64,
}

/// What a functional takes of the columns of each shape that weighs something.
type OfShapes = Vec<Option<Functional>>;

impl<'a> Reading<'a> {
    fn new(points: &'a [(f64, f64)], abouts: &'a [About<'a>], cells: Vec<(usize, Cell)>, evidence: f64) -> Self {
        let cells: Vec<(usize, f64, Cell)> =
            cells.into_iter().map(|(i, c)| (i, (c.log_weight - evidence).exp(), c)).filter(|(_, w, _)| *w > LIGHT).collect();
        let mut means: Vec<Option<Functional>> = vec![None; abouts.len()];
        for (i, w, c) in &cells {
            let mean = means[*i].get_or_insert([0.0; COLUMNS]);
            for (m, a) in mean.iter_mut().zip(c.a.iter()) {
                *m += w * a;
            }
        }
        Self { points, abouts, cells, means, student: Student::new(abouts.first().map_or(1.0, About::freedom)), log_evidence_kink: 0.0 }
    }

    /// Functionals of value and first three derivatives at a place, by shape.
    fn jets(&self, x_mm: f64) -> [OfShapes; 4] {
        let mut of = [const { Vec::new() }; 4];
        for (about, mean) in self.abouts.iter().zip(&self.means) {
            let jets = mean.is_some().then(|| about.jets(x_mm));
            for (order, list) in of.iter_mut().enumerate() {
                list.push(jets.as_ref().map(|j| j[order]));
            }
        }
        of
    }

    /// The mean profile and its derivatives at a place.
    fn at(&self, x_mm: f64) -> [f64; 4] {
        let mut sum = [0.0; 4];
        for (about, mean) in self.abouts.iter().zip(&self.means) {
            let Some(mean) = mean else { continue };
            for (s, jet) in sum.iter_mut().zip(about.jets(x_mm)) {
                *s += jet.iter().zip(mean).map(|(j, m)| j * m).sum::<f64>();
            }
        }
        sum
    }

    /// Median and 90 % interval of `plus` + a linear functional.
    fn figure(&self, plus: f64, h: &OfShapes, unit: Unit, formula: &'static str, noise: &Known) -> Figure {
        let parts: Vec<Part> = self
            .cells
            .iter()
            .filter_map(|(i, weight, c)| {
                let (middle, scale) = c.functional(h[*i].as_ref()?);
                Some(Part { weight: *weight, middle: plus + middle, scale })
            })
            .collect();
        let [low, value, high] = mixture::quantiles(&parts, &self.student, [0.05, 0.5, 0.95]);
        Figure::stated(value, low, high, unit, formula, FIT, std::slice::from_ref(noise))
    }

    fn read(&self) -> Option<Fit> {
        let (first, last) = (self.points.first()?.0, self.points.last()?.0);
        let heaviest = self.cells.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        let scale_mm = self.abouts[heaviest.0].start.s_mm * self.abouts[heaviest.0].shape.half;
        let searched: Vec<(f64, [f64; 4])> =
            (0..=SEARCH).map(|i| first + (last - first) * i as f64 / SEARCH as f64).map(|x| (x, self.at(x))).collect();
        let (mut bottom_mm, mut bottom) = *searched.iter().max_by(|a, b| a.1[0].total_cmp(&b.1[0]))?;
        // Newton's steps to f' = 0, as long as they stay close and lead down.
        for _ in 0..4 {
            let next_mm = bottom_mm - bottom[1] / bottom[2];
            if !((next_mm - bottom_mm).abs() < 0.2 * scale_mm) {
                break;
            }
            let next = self.at(next_mm);
            if next[0] < bottom[0] {
                break;
            }
            (bottom_mm, bottom) = (next_mm, next);
        }
        if !(bottom[0] > 0.0) {
            return None;
        }
        let noise = self.noise();
        let reading = noise.known("noise of the gauge's readings");
        let plain = bottom[0] / (scale_mm * scale_mm);
        let [value, slope, bend, _] = self.jets(bottom_mm);

        // −f″ at the true bottom, not at the mean's: the bottom moves by −f′/f″, which turns −f″ by f‴·f′/f″.
        // Where the bottom is nearly flat that correction is no longer first order and is left out.
        let turn = if bottom[2].abs() > 0.15 * plain { (bottom[3] / bottom[2]).clamp(-1.0 / scale_mm, 1.0 / scale_mm) } else { 0.0 };
        let of_bottom = combine(&[(&bend, -1.0), (&slope, turn)]);
        let bottom_per_mm = self.figure(0.0, &of_bottom, Unit::PerMm, "|z″| at the bottom of the fitted profile", &reading);
        let depth_mm = self.figure(0.0, &value, Unit::Mm, "depth of the fitted profile at its bottom", &reading);

        let (sharp_mm, sharp) = *searched.iter().max_by(|a, b| a.1[2].abs().total_cmp(&b.1[2].abs()))?;
        let sharpest_per_mm = if sharp[2].abs() <= bottom[2].abs() * 1.02 {
            let mut same = bottom_per_mm.clone();
            same.reason.formula = "greatest |z″| of the fitted profile: at its bottom".into();
            same
        } else {
            let [_, _, bend, _] = self.jets(sharp_mm);
            self.figure(0.0, &combine(&[(&bend, sharp[2].signum())]), Unit::PerMm, "greatest |z″| of the fitted profile", &reading)
        };

        let (left_mm, right_mm) = (self.edge(bottom_mm, bottom[0], -1.0, scale_mm), self.edge(bottom_mm, bottom[0], 1.0, scale_mm));
        // An edge moves by −(f − depth/10)/f′.
        let crossing = |x: f64| -> OfShapes {
            let slope = self.at(x)[1];
            let per = if slope.abs() > 1e-3 * bottom[0] / scale_mm { -1.0 / slope } else { 0.0 };
            combine(&[(&self.jets(x)[0], per), (&value, -geometry::EDGE_PART * per)])
        };
        let moved = combine(&[(&crossing(right_mm), 1.0), (&crossing(left_mm), -1.0)]);
        let width = "width of the fitted profile where a tenth of the depth is left";
        // The functional is affine: at the mean profile it gives the width found there.
        let at_mean: f64 = moved
            .iter()
            .zip(&self.means)
            .filter_map(|(h, m)| Some((h.as_ref()?, m.as_ref()?)))
            .map(|(h, m)| h.iter().zip(m).map(|(a, b)| a * b).sum::<f64>())
            .sum();
        let width_mm = positive(self.figure(right_mm - left_mm - at_mean, &moved, Unit::Mm, width, &reading));
        let (section, means) = self.section(bottom_mm, bottom[0], (left_mm, right_mm), sharp[2].abs().max(bottom[2].abs()).max(1e-9));
        Some(Fit {
            depth_mm: positive(depth_mm),
            width_mm,
            bottom_per_mm,
            sharpest_per_mm: positive(sharpest_per_mm),
            noise_mm: noise,
            log_evidence_kink: self.log_evidence_kink,
            section,
            means,
        })
    }

    /// Noise with its interval: in each cell ν s²/σ² is χ² with ν degrees of freedom (closed form); the cells mixed by weight.
    fn noise(&self) -> Figure {
        let nu = self.abouts.first().map_or(1.0, About::freedom);
        let value: f64 = self.cells.iter().map(|(_, w, c)| w * c.noise_mm).sum();
        let at = |q: f64| -> f64 {
            let Ok(chi) = ChiSquared::new(nu) else { return value };
            let below = |x: f64| -> f64 { self.cells.iter().map(|(_, w, c)| w * (1.0 - chi.cdf(nu * (c.noise_mm / x).powi(2)))).sum() };
            let (mut low, mut high) = (0.05 * value, 20.0 * value);
            for _ in 0..14 {
                let m = (low * high).sqrt();
                if below(m) < q { low = m } else { high = m }
            }
            (low * high).sqrt()
        };
        let points = Known::exact("points of the profile", self.points.len() as f64, Unit::One);
        let (low, high) = (at(0.05).min(value), at(0.95).max(value));
        Figure::stated(value, low, high, Unit::Mm, "standard deviation of the readings about the fitted profile", FIT, &[points])
    }

    /// Where a tenth of the depth is left, on one side of the bottom.
    fn edge(&self, bottom_mm: f64, depth_mm: f64, side: f64, scale_mm: f64) -> f64 {
        let step = side * 0.15 * scale_mm;
        let below = |x: f64| self.at(x)[0] < geometry::EDGE_PART * depth_mm;
        let mut x = bottom_mm + step;
        while !below(x) && (x - bottom_mm).abs() < 6.0 * scale_mm {
            x += step;
        }
        let (mut inside, mut outside) = (x - step, x);
        for _ in 0..12 {
            let m = (inside + outside) / 2.0;
            if below(m) { outside = m } else { inside = m }
        }
        (inside + outside) / 2.0
    }

    /// The mean profile in places, and the means of f and f² over the width.
    fn section(&self, bottom_mm: f64, depth_mm: f64, (left_mm, right_mm): (f64, f64), sharpest: f64) -> (Vec<Sample>, (f64, f64)) {
        let sample = |part: f64| {
            let half = if part < 0.0 { bottom_mm - left_mm } else { right_mm - bottom_mm };
            let [f, slope, bend, _] = self.at(bottom_mm + part * half);
            Sample { part, f: f / depth_mm, slope: slope * (depth_mm / sharpest).sqrt() / depth_mm, bend: bend / sharpest }
        };
        let mut section = Vec::with_capacity(2 * SIDE + 1);
        section.push(sample(0.0));
        for i in 1..=SIDE {
            let part = 1.2 * i as f64 / SIDE as f64;
            section.extend([sample(part), sample(-part)]);
        }
        let steps = 40;
        let width = right_mm - left_mm;
        let (mut one, mut two) = (0.0, 0.0);
        for i in 0..steps {
            // A little past the edges, where the rest of the dent runs out.
            let x = left_mm - 0.25 * width + 1.5 * width * (f64::from(i) + 0.5) / f64::from(steps);
            let f = (self.at(x)[0] / depth_mm).max(0.0);
            one += 1.5 * f / f64::from(steps);
            two += 1.5 * f * f / f64::from(steps);
        }
        (section, (one, two))
    }
}

/// A sum of functionals, each times a number.
fn combine(of: &[(&OfShapes, f64)]) -> OfShapes {
    let shapes = of.first().map_or(0, |(h, _)| h.len());
    (0..shapes)
        .map(|i| {
            let mut sum = [0.0; COLUMNS];
            for (h, factor) in of {
                for (s, x) in sum.iter_mut().zip(h[i].as_ref()?) {
                    *s += factor * x;
                }
            }
            Some(sum)
        })
        .collect()
}

/// A figure of a quantity that is positive by its nature: the tail of a wide posterior below nothing is cut off.
fn positive(f: Figure) -> Figure {
    let value = f.value.abs().max(1e-6);
    Figure { value, low: f.low.max(1e-3 * value).min(value), high: f.high.max(value), ..f }
}
