//! Work of the shop's list, through the binary: on the quote, on the bench card, in plan.json, without any dent; and what it does with a
//! job that the list does not have.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

const SERVICE: &str = "trueround_survey = 1\ntitle = \"Yearly service\"\n[instrument]\npattern = \"trumpet\"\nvalue = \"$900\"\n\
    [[work]]\njob = \"clean_inside\"\n[[work]]\njob = \"valve_felts\"\ncount = 3\n[[work]]\nid = \"corks\"\njob = \"water_key_cork\"\ncount = 2\n\
    [[work]]\njob = \"free_valve_cap\"\nnote = \"second valve\"\n[[work]]\njob = \"relacquer\"\noptional = true\n";

const SHOP: &str = "trueround_shop = 1\nname = \"Saltmarsh Lane Brass Repair\"\nlabour_per_hour = \"$85\"\nminimum_charge = \"$35\"\n\
    overhead_per_job = \"$12\"\nround_to = \"0.01\"\ncharged_at = \"50 %\"\ncorrelation = 0.3\nadvise_against_above = \"60 %\"\nvalid_days = 30\n\
    supplies = \"4 %\"\ndeposit = \"50 %\"\n[tax]\nparts = \"7.25 %\"\nlabour = 0\n[parts]\nmarkup = \"20 %\"\n";

fn plan(dir: &Path, survey: &str, more: &[&str]) -> Output {
    let (survey_path, shop_path) = (dir.join("a.survey.toml"), dir.join("shop.toml"));
    std::fs::write(&survey_path, survey).unwrap();
    std::fs::write(&shop_path, SHOP).unwrap();
    let mut c = Command::new(env!("CARGO_BIN_EXE_trueround"));
    c.arg("plan").arg(survey_path).arg("--shop").arg(shop_path).arg("--out").arg(dir.join("out")).args(more);
    c.output().unwrap()
}

fn cents(v: &Value) -> i64 {
    let (whole, part) = v.as_str().unwrap().split_once('.').unwrap_or((v.as_str().unwrap(), "0"));
    let (sign, whole) = whole.strip_prefix('-').map_or((1, whole), |w| (-1, w));
    sign * (whole.parse::<i64>().unwrap() * 100 + format!("{part:0<2}")[..2].parse::<i64>().unwrap())
}

#[test]
fn a_service_without_a_dent_is_planned_quoted_and_on_the_card() {
    let dir = tempfile::tempdir().unwrap();
    let o = plan(dir.path(), SERVICE, &[]);
    assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stderr));
    let json: Value = serde_json::from_slice(&std::fs::read(dir.path().join("out/plan.json")).unwrap()).unwrap();
    let steps = json["plan"]["steps"].as_array().unwrap();
    let kinds: Vec<&str> = steps.iter().map(|s| s["kind"].as_str().unwrap()).collect();
    assert_eq!(kinds, ["clean", "other_work", "strip", "other_work", "other_work", "assemble", "acceptance_check"]);
    let jobs: Vec<&str> = steps.iter().filter_map(|s| s["standard_job"].as_str()).collect();
    assert_eq!(jobs, ["clean_inside", "free_valve_cap", "valve_felts", "water_key_cork"]);
    assert!(steps[1]["what"].as_str().unwrap().contains("second valve"));
    assert!(steps[1]["cautions"].as_array().unwrap().iter().any(|c| c == "penetrating_oil"));
    // One offer, and one with what is optional: re-lacquered, sent out.
    let offers = json["quote"]["offers"].as_array().unwrap();
    assert_eq!(
        offers.iter().map(|o| o["name"].as_str().unwrap()).collect::<Vec<_>>(),
        ["The work you asked for", "With the optional work"]
    );
    for o in offers {
        let bill = &o["bill"];
        let sum: i64 = bill["lines"].as_array().unwrap().iter().map(|l| cents(&l["labour"]) + cents(&l["parts"]) + cents(&l["tax"])).sum();
        assert_eq!(sum, cents(&bill["total"]));
        // Half of the total, halves of a cent up.
        assert_eq!(cents(&bill["deposit"]), (cents(&bill["total"]) + 1) / 2);
        // By hand: felts 3 · 3.00 · 1.2, corks 2 · 1.00 · 1.2.
        let parts = |what: &str| bill["lines"].as_array().unwrap().iter().find(|l| l["what"] == what).map(|l| cents(&l["parts"]));
        assert_eq!((parts("New valve felts and corks (3)"), parts("New water-key cork (2)")), (Some(1080), Some(240)));
    }
    assert!(offers[1]["statements"].as_array().unwrap().iter().any(|s| s["about"] == "sent_out" && s["days"] == 21));
    let text = |name: &str| {
        let o = Command::new("pdftotext").arg("-layout").arg(dir.path().join("out").join(name)).arg("-").output();
        o.ok().filter(|o| o.status.success()).map(|o| String::from_utf8_lossy(&o.stdout).into_owned())
    };
    // Where the machine can read a PDF, it is read.
    if let (Some(card), Some(quote)) = (text("bench-card.pdf"), text("quote.pdf")) {
        for wanted in ["New felts and corks on a valve, 3 times", "Free a stuck valve cap", "Penetrating oil"] {
            assert!(card.contains(wanted), "{wanted}: {card}");
        }
        for wanted in ["The work you asked for", "New water-key cork (2)", "deposit"] {
            assert!(quote.contains(wanted), "{wanted}: {quote}");
        }
        assert!(!quote.contains("Where the dents are"), "{quote}");
    }
}

#[test]
fn a_job_that_the_list_does_not_have_is_told_and_nothing_is_written() {
    let dir = tempfile::tempdir().unwrap();
    let o = plan(dir.path(), &SERVICE.replace("valve_felts", "valve_flets"), &[]);
    let said = String::from_utf8_lossy(&o.stderr).into_owned();
    assert!(!o.status.success() && said.contains("valve_flets") && said.contains("did you mean valve_felts"), "{said}");
    assert!(!dir.path().join("out").exists());
}

#[test]
fn rush_and_discount_come_with_the_command() {
    let dir = tempfile::tempdir().unwrap();
    let o = plan(dir.path(), SERVICE, &["--rush", "--discount", "10 %", "--discount-reason", "school contract"]);
    assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stderr));
    let json: Value = serde_json::from_slice(&std::fs::read(dir.path().join("out/plan.json")).unwrap()).unwrap();
    let lines = json["quote"]["offers"][0]["bill"]["lines"].as_array().unwrap();
    let of = |kind: &str| lines.iter().find(|l| l["kind"] == kind).unwrap_or_else(|| panic!("no {kind}: {lines:?}"));
    let labour: i64 = lines
        .iter()
        .filter(|l| !["rush", "discount", "rounding"].contains(&l["kind"].as_str().unwrap()))
        .map(|l| cents(&l["labour"]))
        .sum();
    // A quarter of all labor, to the cent.
    assert_eq!(cents(&of("rush")["labour"]), (labour + 2) / 4);
    assert_eq!(of("discount")["what"], "Discount 10 %: school contract");
    let o = plan(dir.path(), SERVICE, &["--discount", "110 %", "--discount-reason", "x"]);
    assert!(!o.status.success() && String::from_utf8_lossy(&o.stderr).contains("more than all"));
}
