//! A survey from the types of its file.

use super::reader::Reader;
use crate::file::SurveyFile;
use crate::words::plain;
use instrument::{Survey, Wishes};
use units::LengthUnit;

impl Reader<'_> {
    pub(super) fn survey(&mut self, file: SurveyFile) -> Survey {
        self.default = match file.units.as_deref().map(plain).as_deref() {
            None => None,
            Some("mm") => Some(LengthUnit::Mm),
            Some("in" | "inch" | "inches") => Some(LengthUnit::Inch),
            Some(other) => {
                let at = self.text.find("units").map(|i| i..i);
                self.problem(
                    at.as_ref(),
                    "units",
                    format!("“{other}” is not a unit for a whole file"),
                    "write units = \"mm\" or units = \"in\", or leave it out and give every length its unit",
                );
                None
            }
        };
        let mut instrument = self.instrument(&file.instrument);
        for entry in &file.run {
            self.run(&mut instrument, entry, file.instrument.finish.as_ref());
        }
        for entry in &file.joint {
            self.joint(&mut instrument, entry);
        }
        for entry in &file.overlay {
            self.overlay(&mut instrument, entry);
        }
        for entry in &file.fit {
            self.fit(&mut instrument, entry);
        }
        let dents = self.dents(&instrument, &file.dent);
        let conditions = self.conditions(&instrument, &file.condition);
        let work = self.work(&instrument, &file.work);
        Survey {
            title: file.title,
            customer: file.customer,
            surveyor: file.surveyor,
            date: file.date,
            instrument,
            dents,
            conditions,
            work,
            wishes: Wishes {
                keep_finish: file.wishes.keep_finish,
                keep_shut: file.wishes.keep_shut.iter().map(|s| s.as_str().into()).collect(),
                keep_on: file.wishes.keep_on.iter().map(|s| s.as_str().into()).collect(),
            },
            cleaned: file.cleaned,
        }
    }
}
