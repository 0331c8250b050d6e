//! From the text of a survey file to plain data, with every problem that could be found: its tables ([`tables`]), then
//! part by part, a file a part; last what only shows once the parts are put together ([`checks`]).

mod checks;
mod damage;
mod fit;
mod instrument;
mod joint;
mod overlay;
mod reader;
mod run;
mod tables;
mod values;
mod whole;
mod work;

pub(crate) use instrument::pattern_named;
pub use reader::MAX_SURVEY_BYTES;

use crate::problem::{self, Problem};
use ::instrument::{Survey, check};
pub(crate) use reader::Reader;

/// A survey that could be read, with what somebody should look at.
#[derive(Clone, Debug)]
pub struct Read {
    /// The survey.
    pub survey: Survey,
    /// Problems that do not keep it from being planned.
    pub warnings: Vec<Problem>,
}

/// Reads a survey.
///
/// # Errors
/// All problems found (warnings too), in the order of the file, where at least one keeps the survey from being planned.
pub fn read_survey(text: &str) -> Result<Read, Vec<Problem>> {
    let mut reader = Reader::new(text, None);
    let survey = reader.file().map(|file| reader.survey(file));
    let sound = reader.problems.iter().all(|p| p.warning);
    reader.problems.append(&mut reader.of_damage);
    if let Some(survey) = &survey {
        // What is wrong with a run would be told again of every dent in it: then only what needs no tube is looked at.
        reader.plain_data(survey, if sound { check::problems(survey) } else { check::problems_without_tubes(survey) });
        reader.nothing_to_plan(survey);
    }
    let problems = reader.problems;
    let problems = problem::told(problems);
    match survey {
        Some(survey) if problems.iter().all(|p| p.warning) => Ok(Read { survey, warnings: problems }),
        _ => Err(problems),
    }
}
