//! Days of work.

use contract::Day;
use jiff::ToSpan;
use jiff::civil::{Date, Weekday};

/// Days of the week on which a bench works.
pub(super) struct Weekdays(Vec<Weekday>);

const NAMES: [(&str, Weekday); 7] = [
    ("mon", Weekday::Monday),
    ("tue", Weekday::Tuesday),
    ("wed", Weekday::Wednesday),
    ("thu", Weekday::Thursday),
    ("fri", Weekday::Friday),
    ("sat", Weekday::Saturday),
    ("sun", Weekday::Sunday),
];

impl Weekdays {
    pub fn usual() -> Self {
        Self(NAMES[..5].iter().map(|n| n.1).collect())
    }

    /// # Errors
    /// The first word that is none.
    pub fn read(words: &[String]) -> Result<Self, String> {
        let one = |w: &String| {
            let word = w.trim().to_lowercase();
            NAMES.iter().find(|n| word.starts_with(n.0)).map(|n| n.1).ok_or_else(|| w.clone())
        };
        words.iter().map(one).collect::<Result<_, _>>().map(Self)
    }
}

/// A day, or from one to another.
pub(super) fn span(text: &str) -> Option<(Date, Date)> {
    let (from, to) = text.split_once(" to ").unwrap_or((text, text));
    let (from, to): (Date, Date) = (from.trim().parse().ok()?, to.trim().parse().ok()?);
    (from <= to).then_some((from, to))
}

/// No contract runs longer, days.
const LONGEST: usize = 800;

/// The days on which a bench works.
pub(super) fn days(from: Date, to: Date, weekdays: &Weekdays, free: impl Fn(Date) -> bool, minutes: f64) -> Vec<Day> {
    from.series(1.day())
        .take(LONGEST)
        .take_while(|d| *d <= to)
        .filter(|d| weekdays.0.contains(&d.weekday()) && !free(*d))
        .map(|d| Day { date: d.to_string(), minutes })
        .collect()
}
