//! A dimensioned drawing as plain entities in millimetres of the thing, y upwards: one list that becomes SVG for the
//! bench and DXF for CAD, so that the two cannot differ.

/// A point, mm of the thing, y upwards.
pub type V = (f64, f64);

/// On which layer an entity lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// The thing's outline.
    Outline,
    /// Centre lines.
    Centre,
    /// Dimensions and notes.
    Dimension,
}

impl Layer {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Outline, Self::Centre, Self::Dimension];

    /// Its name in CAD.
    pub fn name(self) -> &'static str {
        match self {
            Layer::Outline => "OUTLINE",
            Layer::Centre => "CENTRE",
            Layer::Dimension => "DIMENSIONS",
        }
    }
}

/// An entity.
#[derive(Clone, Debug, PartialEq)]
pub enum Entity {
    /// A line.
    Line {
        /// Its layer.
        layer: Layer,
        /// From.
        a: V,
        /// To.
        b: V,
    },
    /// A circle.
    Circle {
        /// Its layer.
        layer: Layer,
        /// Middle.
        centre: V,
        /// Radius, mm.
        radius_mm: f64,
    },
    /// An arc, the way against the clock.
    Arc {
        /// Its layer.
        layer: Layer,
        /// Middle.
        centre: V,
        /// Radius, mm.
        radius_mm: f64,
        /// Start, degrees from the right.
        from_deg: f64,
        /// End, degrees from the right.
        to_deg: f64,
    },
    /// An arrow head.
    Arrow {
        /// Its tip.
        tip: V,
        /// The direction in which it points.
        towards: V,
    },
    /// A text, its middle on the point.
    Text {
        /// Where.
        at: V,
        /// What.
        words: String,
    },
}

/// A plate: entities with the height of its texts.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// What it shows.
    pub title: String,
    /// Notes under the drawing.
    pub notes: Vec<String>,
    /// Height of the texts, mm of the thing.
    pub text_mm: f64,
    /// The entities.
    pub entities: Vec<Entity>,
}

impl Plate {
    /// An empty plate.
    pub fn new(title: impl Into<String>, text_mm: f64) -> Self {
        Self { title: title.into(), notes: Vec::new(), text_mm, entities: Vec::new() }
    }

    /// Adds a line.
    pub fn line(&mut self, layer: Layer, a: V, b: V) {
        self.entities.push(Entity::Line { layer, a, b });
    }

    /// Adds a closed chain of lines.
    pub fn outline(&mut self, points: &[V]) {
        for (i, a) in points.iter().enumerate() {
            self.line(Layer::Outline, *a, points[(i + 1) % points.len()]);
        }
    }

    /// Adds a text.
    pub fn text(&mut self, at: V, words: impl Into<String>) {
        self.entities.push(Entity::Text { at, words: words.into() });
    }

    fn arrow(&mut self, tip: V, towards: V) {
        self.entities.push(Entity::Arrow { tip, towards });
    }

    /// A length between two points of one height, dimensioned `off` from them (down where negative).
    pub fn dimension_across(&mut self, a: V, b: V, y: f64, words: impl Into<String>) {
        let up = if y >= a.1.max(b.1) { 1.0 } else { -1.0 };
        let past = up * 0.4 * self.text_mm;
        for p in [a, b] {
            self.line(Layer::Dimension, (p.0, p.1 + up * 0.4 * self.text_mm), (p.0, y + past));
        }
        self.line(Layer::Dimension, (a.0, y), (b.0, y));
        self.arrow((a.0, y), (-1.0, 0.0));
        self.arrow((b.0, y), (1.0, 0.0));
        self.text(((a.0 + b.0) / 2.0, y + 0.9 * self.text_mm), words);
    }

    /// A diameter between two points one above the other, dimensioned beside them at `x`, its words beyond.
    pub fn dimension_up(&mut self, low: V, high: V, x: f64, words: impl Into<String>) {
        let words = words.into();
        let out = if x >= low.0.max(high.0) { 1.0 } else { -1.0 };
        for p in [low, high] {
            self.line(Layer::Dimension, (p.0 + out * 0.4 * self.text_mm, p.1), (x + out * 0.4 * self.text_mm, p.1));
        }
        let reach = 2.2 * self.text_mm;
        if high.1 - low.1 > 3.0 * self.text_mm {
            self.line(Layer::Dimension, (x, low.1), (x, high.1));
            self.arrow((x, low.1), (0.0, -1.0));
            self.arrow((x, high.1), (0.0, 1.0));
        } else {
            // Too small between: arrows from outside.
            self.line(Layer::Dimension, (x, high.1 + reach), (x, high.1));
            self.line(Layer::Dimension, (x, low.1 - reach), (x, low.1));
            self.arrow((x, high.1), (0.0, -1.0));
            self.arrow((x, low.1), (0.0, 1.0));
        }
        #[expect(clippy::cast_precision_loss, reason = "a label's length")]
        let wide = words.chars().count() as f64 * self.text_mm * 0.6;
        self.text((x + out * (0.8 * self.text_mm + wide / 2.0), (low.1 + high.1) / 2.0), words);
    }

    /// Length of an arrow head, mm of the thing.
    pub fn arrow_mm(&self) -> f64 {
        0.8 * self.text_mm
    }

    /// The corners of what is drawn: lower left, upper right.
    pub fn bounds(&self) -> (V, V) {
        let (mut low, mut high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
        let mut add = |p: V| {
            low = (low.0.min(p.0), low.1.min(p.1));
            high = (high.0.max(p.0), high.1.max(p.1));
        };
        for e in &self.entities {
            match e {
                Entity::Line { a, b, .. } => {
                    add(*a);
                    add(*b);
                }
                Entity::Circle { centre, radius_mm, .. } => {
                    add((centre.0 - radius_mm, centre.1 - radius_mm));
                    add((centre.0 + radius_mm, centre.1 + radius_mm));
                }
                Entity::Arc { centre, radius_mm, from_deg, to_deg, .. } => {
                    let span = (to_deg - from_deg).rem_euclid(360.0);
                    for i in 0..=32 {
                        let a = (from_deg + span * f64::from(i) / 32.0).to_radians();
                        add((centre.0 + radius_mm * a.cos(), centre.1 + radius_mm * a.sin()));
                    }
                }
                Entity::Arrow { tip, .. } => add(*tip),
                Entity::Text { at, words } => {
                    #[expect(clippy::cast_precision_loss, reason = "a label's length")]
                    let half = words.chars().count() as f64 * self.text_mm * 0.3;
                    add((at.0 - half, at.1 - 0.6 * self.text_mm));
                    add((at.0 + half, at.1 + 0.6 * self.text_mm));
                }
            }
        }
        if low.0 > high.0 { ((0.0, 0.0), (1.0, 1.0)) } else { (low, high) }
    }
}
