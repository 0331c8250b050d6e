//! Words with quantities in them: a reason, an instruction, a message. The quantities are values with their unit, not
//! letters; whoever shows the text says in which units.
//!
//! ```
//! use units::text::mm;
//! use units::{LengthUnit, text};
//! let said = text!("the head of {} passes {}", mm(25.4, 1), "the ferrule");
//! assert_eq!(said.show(LengthUnit::Mm), "the head of 25.4 mm passes the ferrule");
//! assert_eq!(said.show(LengthUnit::Inch), "the head of 1 in passes the ferrule");
//! ```

use crate::Unit;
use crate::force::{force_digits, force_symbol};
use crate::length::{LengthUnit, show_inch, trimmed};
use crate::temperature::{temperature_digits, temperature_symbol};
use serde::{Deserialize, Serialize};
use std::fmt::{Display, Write};

/// A value in a text. As JSON `[value, unit, decimals, bare]`: there are thousands of them in a plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(from = "(f64, Unit, u8, bool)", into = "(f64, Unit, u8, bool)")]
pub struct Quantity {
    /// The value, in the unit.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Decimals that it is shown with in that unit.
    pub decimals: u8,
    /// Its unit stands behind the next value: the 0.5 of `0.5 to 1.2 mm`.
    pub bare: bool,
}

impl From<(f64, Unit, u8, bool)> for Quantity {
    fn from((value, unit, decimals, bare): (f64, Unit, u8, bool)) -> Self {
        Self { value, unit, decimals, bare }
    }
}

impl From<Quantity> for (f64, Unit, u8, bool) {
    fn from(q: Quantity) -> Self {
        (q.value, q.unit, q.decimals, q.bare)
    }
}

/// A length, mm.
pub fn mm(value: f64, decimals: u8) -> Quantity {
    Quantity { value, unit: Unit::Mm, decimals, bare: false }
}

/// A length as it was given, mm: with the decimals that it has, three at most.
pub fn given_mm(value: f64) -> Quantity {
    let has = |decimals: u8| {
        let scaled = value * 10_f64.powi(decimals.into());
        (scaled - scaled.round()).abs() < 1e-6
    };
    mm(value, (0..3).find(|d| has(*d)).unwrap_or(3))
}

/// A force, N; said as [`crate::force::show_force`] says it.
pub fn newtons(value: f64) -> Quantity {
    Quantity { value, unit: Unit::N, decimals: 0, bare: false }
}

/// A temperature, °C; said as [`crate::temperature::show_temperature`] says it.
pub fn degc(value: f64) -> Quantity {
    Quantity { value, unit: Unit::DegC, decimals: 0, bare: false }
}

/// A temperature to the degree, °C: of a bath that has to be met more finely than a flame.
pub fn bath_degc(value: f64) -> Quantity {
    Quantity { value, unit: Unit::DegC, decimals: 1, bare: false }
}

/// A mass, kg.
pub fn kilograms(value: f64) -> Quantity {
    Quantity { value, unit: Unit::Kg, decimals: 1, bare: false }
}

/// A stress, N/mm².
pub fn mpa(value: f64) -> Quantity {
    Quantity { value, unit: Unit::MPa, decimals: 0, bare: false }
}

/// A force along a length, N/mm.
pub fn newtons_per_mm(value: f64) -> Quantity {
    Quantity { value, unit: Unit::NPerMm, decimals: 0, bare: false }
}

impl Quantity {
    /// Without its unit, which stands behind the next value.
    #[must_use]
    pub fn bare(self) -> Self {
        Self { bare: true, ..self }
    }

    /// In a person's units: where lengths are shown in inches, forces are in pounds and temperatures in Fahrenheit.
    pub fn show(&self, unit: LengthUnit) -> String {
        // Shown as rounded in the unit that it was computed in: what stands on a drawing in mm is the same in inches.
        let decimals = usize::from(self.decimals);
        let shown = format!("{:.decimals$}", self.value);
        let rounded = shown.parse().unwrap_or(self.value);
        let (number, symbol) = match (unit, self.unit) {
            (LengthUnit::Inch, Unit::Mm) => (show_inch(rounded).trim_end_matches(" in").to_owned(), "in"),
            (unit, Unit::N) => (force_digits(self.value, unit), force_symbol(unit)),
            (unit, Unit::DegC) if self.decimals == 0 => (temperature_digits(self.value, unit), temperature_symbol(unit)),
            (unit, Unit::DegC) => (format!("{:.0}", Unit::DegC.in_system(self.value, unit).0), temperature_symbol(unit)),
            (LengthUnit::Mm, Unit::Mm) => (trimmed(shown), "mm"),
            (system, own) => {
                let (value, symbol) = own.in_system(self.value, system);
                (format!("{value:.decimals$}"), symbol)
            }
        };
        if self.bare || symbol.is_empty() { number } else { format!("{number} {symbol}") }
    }
}

/// A part of a text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Part {
    /// Words.
    Words(String),
    /// A value.
    Quantity(Quantity),
}

/// Words and values in their order. As JSON: a string where there are no values, else a list of strings
/// and quantities.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "Written", into = "Written")]
pub struct Text(Vec<Part>);

/// How a text stands in JSON.
#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum Written {
    Words(String),
    Parts(Vec<Part>),
}

impl From<Written> for Text {
    fn from(written: Written) -> Self {
        match written {
            Written::Words(words) => words.into(),
            Written::Parts(parts) => Self(parts),
        }
    }
}

impl From<Text> for Written {
    fn from(mut text: Text) -> Self {
        match (text.0.pop(), text.0.is_empty()) {
            (None, _) => Self::Words(String::new()),
            (Some(Part::Words(words)), true) => Self::Words(words),
            (Some(last), _) => {
                text.0.push(last);
                Self::Parts(text.0)
            }
        }
    }
}

impl Text {
    /// In a person's units: see [`Quantity::show`].
    pub fn show(&self, unit: LengthUnit) -> String {
        let mut out = String::new();
        for part in &self.0 {
            match part {
                Part::Words(words) => out.push_str(words),
                Part::Quantity(q) => out.push_str(&q.show(unit)),
            }
        }
        out
    }

    /// In millimetres, newtons and degrees Celsius, as it was computed.
    pub fn metric(&self) -> String {
        self.show(LengthUnit::Mm)
    }

    /// Its parts.
    pub fn parts(&self) -> &[Part] {
        &self.0
    }

    /// Whether nothing is said.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// With something said behind it.
    #[must_use]
    pub fn and(mut self, more: impl Say) -> Self {
        more.say(&mut self);
        self
    }

    /// With a full stop behind it, where it has none and says anything.
    #[must_use]
    pub fn stopped(self) -> Self {
        match self.0.last() {
            None => self,
            Some(Part::Words(words)) if words.ends_with(['.', '!', '?']) => self,
            Some(_) => self.and("."),
        }
    }

    /// Several texts with words between them.
    pub fn join<T: Say>(texts: impl IntoIterator<Item = T>, between: &str) -> Self {
        let mut out = Self::default();
        for (i, text) in texts.into_iter().enumerate() {
            if i > 0 {
                out.words(between);
            }
            text.say(&mut out);
        }
        out
    }

    /// Quantities of one unit, which stands behind the last: `12.50, 13.00 mm`.
    pub fn list(all: &[Quantity]) -> Self {
        let last = all.len().saturating_sub(1);
        Self::join(all.iter().enumerate().map(|(i, q)| if i < last { q.bare() } else { *q }), ", ")
    }

    /// A template with something said in each of its holes `{}`; what [`text!`](crate::text!) stands for.
    pub fn fill(template: &str, said: &[&dyn Say]) -> Self {
        let mut out = Self::default();
        let mut said = said.iter();
        for (i, words) in template.split("{}").enumerate() {
            if i > 0
                && let Some(one) = said.next()
            {
                one.say(&mut out);
            }
            out.words(words);
        }
        out
    }

    fn words(&mut self, more: &str) {
        match self.0.last_mut() {
            _ if more.is_empty() => {}
            Some(Part::Words(words)) => words.push_str(more),
            _ => self.0.push(Part::Words(more.to_owned())),
        }
    }
}

/// What can be said in a text.
pub trait Say {
    /// Says itself behind what was said.
    fn say(&self, text: &mut Text);
}

impl<T: Display + ?Sized> Say for T {
    fn say(&self, text: &mut Text) {
        if let Some(Part::Words(words)) = text.0.last_mut() {
            // Writing into a string does not fail.
            let _ = write!(words, "{self}");
        } else {
            text.words(&self.to_string());
        }
    }
}

impl Say for Quantity {
    fn say(&self, text: &mut Text) {
        text.0.push(Part::Quantity(*self));
    }
}

impl Say for Text {
    fn say(&self, text: &mut Text) {
        for part in &self.0 {
            match part {
                Part::Words(words) => text.words(words),
                Part::Quantity(q) => text.0.push(Part::Quantity(*q)),
            }
        }
    }
}

impl Say for &Text {
    fn say(&self, text: &mut Text) {
        (*self).say(text);
    }
}

impl<S: Say> std::ops::Add<S> for Text {
    type Output = Self;

    fn add(self, more: S) -> Self {
        self.and(more)
    }
}

impl<S: Say> std::ops::AddAssign<S> for Text {
    fn add_assign(&mut self, more: S) {
        more.say(self);
    }
}

impl From<String> for Text {
    fn from(words: String) -> Self {
        Self(if words.is_empty() { Vec::new() } else { vec![Part::Words(words)] })
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Self {
        words.to_owned().into()
    }
}

/// How many holes `{}` a template has. A brace that opens no hole counts as many too many, so that it is refused.
pub const fn holes(template: &str) -> usize {
    let bytes = template.as_bytes();
    let (mut i, mut count) = (0, 0);
    while i < bytes.len() {
        if bytes[i] == b'{' {
            count += if i + 1 < bytes.len() && bytes[i + 1] == b'}' { 1 } else { 1000 };
        }
        i += 1;
    }
    count
}

/// A [`Text`] from a template: each `{}` takes the next argument, which is a [`Quantity`], another text, or anything that
/// can be displayed. Holes and arguments are counted when the program is built.
#[macro_export]
macro_rules! text {
    ($template:literal $(, $said:expr)* $(,)?) => {{
        const _: () = assert!(
            $crate::text::holes($template) == 0 $(+ { let _ = stringify!($said); 1 })*,
            "a text wants as many holes as arguments, and no other braces"
        );
        $crate::text::Text::fill($template, &[$(&$said as &dyn $crate::text::Say),*])
    }};
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn values_are_shown_in_the_readers_units() {
        let said = text!("from {} to {}, {} at {}: {} left", mm(12.7, 1).bare(), mm(25.4, 1), newtons(444.822), degc(100.0), 3);
        assert_eq!([12.0, 12.5, 11.66, 0.0123].map(|v| given_mm(v).show(LengthUnit::Mm)), ["12 mm", "12.5 mm", "11.66 mm", "0.012 mm"]);
        assert_eq!(said.metric(), "from 12.7 to 25.4 mm, 440 N at 100 °C: 3 left");
        // 1 lbf = 4.448 221 615 260 5 N (NIST SP 811).
        assert_eq!(said.show(LengthUnit::Inch), "from 1/2 to 1 in, 100 lbf at 210 °F: 3 left");
    }

    #[test]
    fn a_text_in_a_text_keeps_its_values() {
        let inner = text!("{} wide", mm(50.8, 1));
        let mut outer = text!("it is {}", inner);
        outer += "; ";
        outer += text!("{}", mm(76.2, 1));
        assert_eq!(outer.show(LengthUnit::Inch), "it is 2 in wide; 3 in");
        assert_eq!(Text::join([inner, "long".into()], " and ").show(LengthUnit::Inch), "2 in wide and long");
        assert_eq!(text!("{}", mm(1.0, 0)).stopped().stopped().metric(), "1 mm.");
        assert!(Text::from("").stopped().is_empty() && Text::default().metric().is_empty());
    }

    #[test]
    fn as_json_it_comes_back() {
        for (text, json) in
            [(Text::from("plain"), "\"plain\""), (Text::default(), "\"\""), (text!("{} off", mm(1.5, 1)), r#"[[1.5,"mm",1,false]," off"]"#)]
        {
            assert_eq!(serde_json::to_string(&text).unwrap(), json);
            assert_eq!(serde_json::from_str::<Text>(json).unwrap(), text);
        }
    }

    #[test]
    fn holes_are_counted() {
        assert_eq!((holes("a {} b {}"), holes("none")), (2, 0));
        assert!(holes("{x}") > 100 && holes("{") > 100);
    }

    proptest! {
        #[test]
        fn a_length_is_shown_as_show_inch_shows_what_is_printed(value in 0.0_f64..3000.0) {
            prop_assert_eq!(mm(value, 2).show(LengthUnit::Inch), show_inch(format!("{value:.2}").parse().unwrap()));
        }

        #[test]
        fn any_words_go_through(words in "\\PC{0,60}") {
            prop_assert_eq!(Text::from(words.clone()).show(LengthUnit::Inch), words);
        }
    }
}
