//! A paper from what it says to its file. Nothing is read from outside: the crate `paper` brings the fonts.

use crate::look::{About, sheet};
use draw::Drawing;
use paper::{Block, Flow, Laid, Picture, Setter};

/// A paper could not be set. This is a defect of the program, not of the survey: the message is for its makers.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the paper “{paper}” could not be set: {message}. The plan itself is not affected; the JSON and the drawings hold the same.")]
pub struct ReportError {
    /// Which paper.
    pub paper: &'static str,
    /// What was refused.
    pub message: String,
}

/// What a paper says and how it comes onto its pages.
pub(crate) struct Made {
    pub about: About,
    pub body: Body,
}

/// What a paper says.
pub(crate) enum Body {
    /// Blocks that flow over the pages.
    Flows(Vec<Flow>),
    /// A bench card, which fills its pages itself.
    Card(Box<crate::card::Card>),
}

impl Made {
    /// The paper on its pages.
    pub fn set(&self) -> paper::Paper {
        let mut setter = Setter::default();
        let sheet = sheet(self.about.paper);
        let pages: Vec<Laid> = match &self.body {
            Body::Flows(flows) => setter.flow(flows, sheet.printed_mm()),
            Body::Card(card) => crate::card::pages::fill(card, &mut setter, sheet.printed_mm()),
        };
        let mut set = paper::Paper::of(sheet, pages, setter);
        set.furnish(|setter, page, of| self.about.furniture(setter, page, of));
        set
    }

    /// Its file.
    pub fn pdf(&self) -> Result<Vec<u8>, ReportError> {
        self.set().pdf(&self.about.titled()).map_err(|refused| ReportError { paper: self.about.name, message: refused.0 })
    }

    /// Every block in it.
    pub fn each(&self, visit: &mut dyn FnMut(&Block)) {
        match &self.body {
            Body::Flows(flows) => flows.iter().for_each(|f| f.each(visit)),
            Body::Card(card) => crate::card::pages::each(card, visit),
        }
    }

    /// Its drawings, as SVG.
    pub fn drawings(&self) -> Vec<String> {
        let mut all = Vec::new();
        self.each(&mut |block| block.each(&mut |_| {}, &mut |picture| all.push(picture.svg.to_string())));
        all
    }
}

/// A drawing for a paper, with what it shows.
pub(crate) fn picture(drawing: Drawing, alt: impl Into<String>) -> Picture {
    Picture { svg: drawing.svg.into(), width_mm: drawing.width_mm, height_mm: drawing.height_mm, alt: alt.into() }
}
