//! The clock, and days and times as people write them.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

/// Now, Unix seconds.
pub fn now() -> i64 {
    Timestamp::now().as_second()
}

/// Seconds that the clock may differ from what passed before it counts as set: below, it is being trimmed.
const TRIMMED_S: i64 = 60;

/// By how much the clock was set while so many seconds passed in truth; none where it ran as it should.
pub fn jump_s(before: i64, now: i64, passed_s: u64) -> Option<i64> {
    let jump = (now - before) - i64::try_from(passed_s).unwrap_or(i64::MAX);
    (jump.abs() > TRIMMED_S).then_some(jump)
}

/// Today where the shop is.
pub fn today() -> Date {
    ZonedDateTime::now().date()
}

/// When this month began where the shop is, Unix seconds.
pub fn month_began() -> i64 {
    let first = today().first_of_month().at(0, 0, 0, 0);
    TimeZone::system().to_timestamp(first).map_or(0, Timestamp::as_second)
}

/// A moment where the shop is, "2026-08-14 09:30".
pub fn moment(at: i64) -> String {
    match Timestamp::from_second(at) {
        Ok(t) => t.to_zoned_datetime(TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string(),
        Err(_) => "?".to_owned(),
    }
}

/// Seconds as people say them at a bench: "45 s", "12 min", "1 h 20 min".
pub fn lasting(seconds: i64) -> String {
    match seconds {
        ..60 => format!("{} s", seconds.max(0)),
        60..3600 => format!("{} min", (seconds + 30) / 60),
        _ => {
            let minutes = (seconds + 30) / 60;
            format!("{} h {} min", minutes / 60, minutes % 60)
        }
    }
}

/// The day so many days from today, ISO 8601.
pub fn in_days(days: u32) -> String {
    let span = jiff::Span::new().days(i64::from(days.min(3650)));
    today().checked_add(span).unwrap_or_else(|_| today()).to_string()
}

/// The Monday of a day's week, both ISO 8601; none where it is no day.
pub fn monday_of(day: &str) -> Option<String> {
    let day: Date = day.parse().ok()?;
    let since = jiff::Span::new().days(i64::from(day.weekday().to_monday_zero_offset()));
    day.checked_sub(since).ok().map(|monday| monday.to_string())
}

/// The day of a moment where the shop is, ISO 8601.
pub fn day_of(at: i64) -> String {
    match Timestamp::from_second(at) {
        Ok(t) => t.to_zoned_datetime(TimeZone::system()).date().to_string(),
        Err(_) => String::new(),
    }
}

/// The moment at which a day begins where the shop is, Unix seconds; none where it is no day.
pub fn start_of(day: &str) -> Option<i64> {
    let day = day.parse::<Date>().ok()?;
    day.to_zoned_datetime(TimeZone::system()).ok().map(|t| t.timestamp().as_second())
}

/// The moment at which a day ends where the shop is, Unix seconds; none where it is no day.
pub fn end_of(day: &str) -> Option<i64> {
    let next = day.parse::<Date>().ok()?.tomorrow().ok()?;
    start_of(&next.to_string())
}

/// The time of day of a moment where the shop is, "09:30".
pub fn time_of(at: i64) -> String {
    Timestamp::from_second(at).map_or_else(|_| String::new(), |t| t.to_zoned_datetime(TimeZone::system()).strftime("%H:%M").to_string())
}

/// Whether a day lies before today; what is no day does not.
pub fn is_past(day: &str) -> bool {
    day.parse::<Date>().is_ok_and(|d| d < today())
}

/// Days from today until a day; none where it is no day.
pub fn days_until(day: &str) -> Option<i32> {
    day.parse::<Date>().ok().map(|d| (d - today()).get_days())
}

/// A day as people write it: "Aug 14", with its year where that is another; what is no day stands as it is.
pub fn day_words(day: &str) -> String {
    match day.parse::<Date>() {
        Ok(d) if d.year() == today().year() => d.strftime("%b %-d").to_string(),
        Ok(d) => d.strftime("%b %-d, %Y").to_string(),
        Err(_) => day.to_owned(),
    }
}

/// A due day against today.
pub struct Due {
    /// "today", "3 days late", "in 5 days".
    pub words: String,
    /// Whether it is past.
    pub late: bool,
}

/// A due day against today; what is no day stands as it is.
pub fn due(day: &str) -> Due {
    let Ok(day) = day.parse::<Date>() else { return Due { words: day.to_owned(), late: false } };
    let days = (day - today()).get_days();
    let words = match days {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        -1 => "1 day late".to_owned(),
        d if d < 0 => format!("{} days late", -d),
        d => format!("in {d} days"),
    };
    Due { words, late: days < 0 }
}

#[cfg(test)]
mod tests {
    use super::{jump_s, lasting};

    #[test]
    fn a_clock_that_is_set_shows_and_one_that_runs_does_not() {
        assert_eq!(jump_s(1000, 1005, 5), None);
        assert_eq!(jump_s(1000, 1060, 5), None);
        assert_eq!(jump_s(1000, 1005 + 5 * 3600, 5), Some(5 * 3600));
        assert_eq!(jump_s(100_000, 100_005 - 7200, 5), Some(-7200));
    }

    #[test]
    fn seconds_read_as_people_say_them() {
        assert_eq!(lasting(59), "59 s");
        assert_eq!(lasting(90), "2 min");
        assert_eq!(lasting(4800), "1 h 20 min");
        assert_eq!(lasting(-5), "0 s");
    }

    #[test]
    fn a_week_begins_on_its_monday() {
        // 2026-11-27 is a Friday (calendar of 2026).
        for day in ["2026-11-23", "2026-11-27", "2026-11-29"] {
            assert_eq!(super::monday_of(day).as_deref(), Some("2026-11-23"), "{day}");
        }
        assert_eq!(super::monday_of("soon"), None);
    }
}
