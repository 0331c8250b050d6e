//! A plan worked out, for the tests.
#![allow(dead_code, reason = "each test file uses its own part")]

use dent::Assessment;
use fixtures::{bend, instrument_of, rack, run, straight};
use instrument::{Finish, Instrument, Profile, Role, Run, Survey};
use plan::{Level, Overrule, Overrules, Plan, Standards};
use reach::DentMethods;
use units::Origin;

/// All that is worked out before the plan.
pub struct Bench {
    pub survey: Survey,
    pub assessments: Vec<Assessment>,
    pub methods: Vec<DentMethods>,
    pub standards: Standards,
}

impl Bench {
    pub fn new(survey: Survey) -> Self {
        let assessments = dent::assess_all(&survey);
        let methods = reach::methods(&survey, &assessments, &rack());
        Self { survey, assessments, methods, standards: Standards::common_practice() }
    }
    pub fn plan(&self) -> Plan {
        self.plan_with(&Overrules::default())
    }
    pub fn plan_with(&self, overrules: &Overrules) -> Plan {
        let methods = reach::methods_within(&self.survey, &self.assessments, &rack(), &overrules.constraints(&self.survey));
        plan::plan(&self.survey, &self.assessments, &methods, &self.heats(), &self.standards, overrules)
    }
    pub fn plan_to(&self, level: Level) -> Plan {
        plan::plan_to(level, &self.survey, &self.assessments, &self.methods, &self.heats(), &self.standards, &Overrules::default())
    }
    pub fn heats(&self) -> plan::Heats<'_> {
        plan::Heats::new(&self.survey.instrument, &rack()).lacking(&self.survey)
    }
}

pub fn plan_of(survey: Survey) -> Plan {
    Bench::new(survey).plan()
}

pub fn overrule(decision: plan::Decision) -> Overrules {
    Overrules { all: vec![Overrule { decision, who: "Ottilie".to_owned(), why: "a test".to_owned() }] }
}

/// One tube, open at both ends: straight, half a circle, straight; the same bore all along.
pub fn bent_tube(bore: f64) -> Instrument {
    let segments = vec![straight(220.0), bend(80.0, 180.0), straight(220.0)];
    let bore_mm = Profile::constant(bore, 0.1, Origin::Measured);
    let run = Run { role: Role::Bow, finish: Finish::Raw, bore_mm, ..run("tube", segments, &[(0.0, bore)]) };
    instrument_of(vec![run], vec![])
}
