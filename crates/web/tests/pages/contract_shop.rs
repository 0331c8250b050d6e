//! A shop with a school contract of six horns.
use crate::common::{Shop, shop_with};
use axum::http::StatusCode;
use fixtures::voice;
use std::time::Duration;
use store::By;
use store::contract_jobs::ContractJob;
use store::contracts::ContractTexts;
use survey::contract::templates;
use survey::contract_rows::ContractTable;
use web::contract_ground::KeptPlan;
use web::contract_planner::Run;
use web::{contract_jobs, contract_planning, when};

pub fn by() -> By<'static> {
    By { who: "ottilie", at: when::now() }
}

pub fn template(of: ContractTable) -> String {
    templates().into_iter().find(|(name, _)| *name == of.file()).unwrap().1
}

/// Six horns, two benches; H-4 and H-5 have a dent deep in a small tube, for which a tool is made.
pub fn texts(budget: &str) -> ContractTexts {
    let (mut instruments, mut dents) = (template(ContractTable::Instruments), template(ContractTable::Dents));
    for n in 1..=6 {
        instruments += &format!("H-{n},trumpet,Tessaly,Wagtail,{n},North,,yes,$700,,,,\n");
        dents += &format!("H-{n},bell flare,5,{n} o'clock,0.12,0.6,0.5,,,,\n");
        dents += &format!("H-{n},leadpipe,2,3 o'clock,0.09,0.4,0.3,,,,\n");
    }
    let head = format!(
        "trueround_contract = 1\ncustomer = \"Fen Road\"\nbudget = \"{budget}\"\nstarts = \"{}\"\ndeadline = \"{}\"\ninstruments = \"instruments.csv\"\ndents = \"dents.csv\"\ndone = \"done.csv\"\n\n[[bench]]\nid = \"bench 1\"\nperson = \"Ottilie\"\nhours = \"4 h\"\n\n[[bench]]\nid = \"bench 2\"\nperson = \"Wren\"\nhours = \"4 h\"\npace = 1.6\n",
        when::in_days(0),
        when::in_days(30)
    );
    ContractTexts { head, instruments, dents, done: template(ContractTable::Done) }
}

/// A shop without a tool for a leadpipe, its contract planned.
pub fn shop() -> (Shop, i64) {
    let shop = Shop::of(shop_with("trumpet"));
    let id = shop.app.store().add_contract(by(), 1, &texts("$3,000")).unwrap();
    planned(&shop, id);
    (shop, id)
}

pub fn planned(shop: &Shop, id: i64) -> KeptPlan {
    assert_eq!(contract_planning::plan(&shop.app, "ottilie", id, &Run::new(id)), Vec::<String>::new());
    KeptPlan::last(shop.app.store(), id).unwrap().unwrap()
}

impl Shop {
    pub fn jobs(&self, id: i64) -> Vec<ContractJob> {
        contract_jobs::of(self.app.store(), id).unwrap().into_values().collect()
    }

    /// Opens jobs through the page and waits for them.
    pub async fn open(&self, id: i64, fields: &[(&str, &str)]) {
        let fields: Vec<(&str, &str)> = fields.iter().copied().chain([("name", "Principal Hale"), ("how", "telephone")]).collect();
        let (status, page) = self.submit(&format!("/contracts/{id}/jobs"), &fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{}", voice::html(&page).said);
        while self.app.planner().stage(id).is_some() {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        assert_eq!(self.app.planner().failed(id), Vec::<String>::new());
    }
}

/// The same without a tool on the rack: one that reaches into a leadpipe is made, and several horns need it. All are open.
pub async fn without_tools(shop_text: &str) -> (Shop, i64, KeptPlan) {
    let shop = Shop::of(shop_with("trumpet"));
    let rack = web::app::EXAMPLE_RACK.split("[[tool]]").next().unwrap().to_owned();
    shop.app.store().set_setting(by(), web::app::RACK, &rack).unwrap();
    shop.app.store().set_setting(by(), web::app::SHOP, shop_text).unwrap();
    let id = shop.app.store().add_contract(by(), 1, &texts("$3,000")).unwrap();
    let p = planned(&shop, id);
    shop.open(id, &[]).await;
    (shop, id, p)
}
