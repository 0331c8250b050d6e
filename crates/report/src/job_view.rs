//! Everything that the papers of a job are made from.

use dent::Assessment;
use instrument::Survey;
use job::worth::WorthKnowing;
use plan::Plan;
use quote::{Quote, Shop};
use reach::{DentMethods, Rack, ToolPiece};
use units::{LengthUnit, Text};

/// Size of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8½ × 11 in.
    Letter,
}

impl Paper {
    /// Width and height, mm: ISO 216, ANSI/ASME Y14.1 (from memory).
    pub(crate) fn size_mm(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        }
    }
}

/// A job as its papers see it.
#[derive(Clone, Copy, Debug)]
pub struct JobView<'a> {
    /// The instrument and its damage.
    pub survey: &'a Survey,
    /// An assessment for each dent.
    pub assessments: &'a [Assessment],
    /// The methods to each dent.
    pub methods: &'a [DentMethods],
    /// The plan.
    pub plan: &'a Plan,
    /// The quote.
    pub quote: &'a Quote,
    /// The shop's tools.
    pub rack: &'a Rack,
    /// The shop: its name and currency stand on the papers.
    pub shop: &'a Shop,
    /// How it plays; none where the papers do not tell it.
    pub played: Option<&'a job::played::Played>,
    /// What is worth measuring: the bench card tells it; none where nobody worked it out.
    pub worth: Option<&'a WorthKnowing>,
    /// What the customer agreed to, in one line; none before that.
    pub agreed: Option<&'a str>,
    /// Last day on which the quote holds, as it is to stand there; none where it was not given yet.
    pub valid_until: Option<&'a str>,
    /// Tools of the plan that are made in another job, each with where it comes from.
    pub made_elsewhere: &'a [(ToolPiece, String)],
    /// Unit of lengths and, with inches, of forces (pounds beside newtons).
    pub unit: LengthUnit,
    /// Size of the paper.
    pub paper: Paper,
}

impl<'a> JobView<'a> {
    /// The papers of a worked-out job.
    pub fn of(job: &'a job::Job, unit: LengthUnit, paper: Paper) -> Self {
        Self {
            survey: &job.survey,
            assessments: &job.assessments,
            methods: &job.methods,
            plan: &job.plan,
            quote: &job.quote,
            rack: &job.rack,
            shop: &job.shop,
            played: Some(&job.played),
            worth: None,
            agreed: None,
            valid_until: None,
            made_elsewhere: &[],
            unit,
            paper,
        }
    }

    /// Words of the computing crates in the unit of these papers.
    pub(crate) fn say(&self, text: &Text) -> String {
        text.show(self.unit)
    }
}
