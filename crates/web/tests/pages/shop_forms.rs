//! The shop's settings as forms: what is changed there changes the next plan and the next quote; what cannot be is said beside its
//! field and nothing is kept; two tablets see each other; files go out and come in.

use crate::common::{Shop, give, say_yes, surveyed};
use axum::http::StatusCode;
use reach::ToolChoice;
use store::By;
use web::app::{EXAMPLE_RACK, EXAMPLE_SHOP, RACK, SHOP};

fn shop() -> Shop {
    surveyed("trumpet", &fixtures::demo::read("linnet-trumpet"))
}

impl Shop {
    fn tools(&self) -> Vec<String> {
        let job = self.app.job_as_it_stands(self.job).unwrap();
        let of = |t: &ToolChoice| match t {
            ToolChoice::Rack { tools } | ToolChoice::ToMake { with: tools, .. } => tools.iter().map(|t| t.0.clone()).collect::<Vec<_>>(),
        };
        job.plan.choices.iter().flat_map(|c| of(&c.method.tool)).collect()
    }
}

#[tokio::test]
async fn a_retired_tool_is_planned_with_no_more_and_stays_in_the_rack() {
    let shop = shop();
    let used = shop.tools().remove(0);
    assert_eq!(shop.submit("/shop/start", &[("which", "rack"), ("with", "example"), ("version", "0")]).await.0, StatusCode::SEE_OTHER);
    // What was agreed before keeps its tool.
    let by = By { who: "test", at: web::when::now() };
    give(&shop.app, by, shop.job, "the-link");
    say_yes(&shop.app, by, shop.job, "the-link");
    let page = shop.read(&format!("/shop/tools/{used}")).await;
    assert!(page.contains("1\u{a0}job."), "what it is used for this month: {page}");
    let retire = format!("/shop/tools/{used}/retire");
    assert_eq!(shop.submit(&retire, &[("retired", "yes"), ("version", "1")]).await.0, StatusCode::SEE_OTHER);
    assert!(!shop.tools().contains(&used), "the plan still takes {used}");
    assert!(!shop.tools().is_empty(), "the plan takes another");
    let agreed = serde_json::to_string(&shop.app.job(shop.job).unwrap().plan).unwrap();
    assert!(agreed.contains(&format!("\"{used}\"")), "what was agreed has changed");
    assert!(shop.read("/shop/tools").await.contains("Retired tools"));
    let kept = shop.app.store().setting(RACK).unwrap().unwrap();
    assert!(kept.contains("retired = \"") && kept.lines().count() == EXAMPLE_RACK.lines().count() + 1, "only one line came");
    assert_eq!(shop.submit(&retire, &[("retired", "no"), ("version", "2")]).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.app.store().setting(RACK).unwrap().unwrap(), EXAMPLE_RACK);
    assert!(shop.tools().contains(&used));
}

#[tokio::test]
async fn dearer_labor_makes_a_dearer_quote() {
    let shop = shop();
    let total = |s: &Shop| s.app.job_as_it_stands(s.job).unwrap().quote.offers.iter().map(|o| o.bill.total).max().unwrap();
    let before = total(&shop);
    let (status, _) = shop.submit("/shop/prices", &[("group", "rates"), ("labour_per_hour", "170"), ("version", "0")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert!(total(&shop) > before);
    let kept = shop.app.store().setting(SHOP).unwrap().unwrap();
    assert_eq!(kept, EXAMPLE_SHOP.replace("labour_per_hour = \"$85\"", "labour_per_hour = \"$170\""));
    // Slower steps cost more too.
    let dearer = total(&shop);
    let slow = [("group", "dents"), ("minutes.dent.0", "60"), ("minutes.dent.1", "90"), ("minutes.dent.2", "3 h"), ("version", "1")];
    assert_eq!(shop.submit("/shop/minutes", &slow).await.0, StatusCode::SEE_OTHER);
    assert!(total(&shop) > dearer);
    assert!(shop.read("/shop/minutes").await.contains("Set by this shop"));
}

#[tokio::test]
async fn what_cannot_be_stands_beside_its_field_and_nothing_is_kept() {
    let shop = shop();
    for (path, fields, typed, said) in [
        ("/shop/tools/rod-8", vec![("name", "x"), ("diameter", "wide"), ("version", "0")], "value=\"wide\"", "wide"),
        ("/shop/tools/rod-8", vec![("diameter", "900 mm"), ("version", "0")], "900 mm", "thinner than its shank"),
        ("/shop/tools", vec![("kind", "ball"), ("name", "my ball"), ("diameter", ""), ("version", "0")], "my ball", "no diameter"),
        ("/shop/tools", vec![("kind", "ball"), ("name", " "), ("diameter", "9"), ("version", "0")], "value=\"9\"", "name"),
        ("/shop/tools/hands", vec![("push", "9 miles"), ("lean", ""), ("version", "0")], "9 miles", "9 miles"),
        ("/shop/prices", vec![("group", "taxes"), ("tax.parts", "725"), ("tax.labour", "1"), ("version", "0")], "value=\"725\"", "725"),
        (
            "/shop/minutes",
            vec![("group", "every"), ("minutes.clean.0", "9"), ("minutes.clean.1", "5"), ("minutes.clean.2", "20"), ("version", "0")],
            "value=\"9\"",
            "do not rise",
        ),
        ("/shop/benches", vec![("person", ""), ("name", "Ada"), ("pace", "fast"), ("version", "0")], "value=\"fast\"", "no number"),
    ] {
        let (status, page) = shop.submit(path, &fields).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{path} {fields:?}: {page}");
        assert!(page.contains(typed), "{path}: what was typed is gone");
        let beside =
            page.split("<span class=\"problem small\">").nth(1).unwrap_or_else(|| panic!("{path}: nothing beside a field: {page}"));
        assert!(beside.split("</span>").next().unwrap().contains(said), "{path}: {beside}");
    }
    assert_eq!((shop.app.store().setting(RACK).unwrap(), shop.app.store().setting(SHOP).unwrap()), (None, None));
}

#[tokio::test]
async fn the_second_tablet_sees_what_the_first_saved() {
    let shop = shop();
    for (path, first, second, theirs, mine) in [
        ("/shop/tools/rod-8", [("diameter", "8.1 mm"), ("version", "0")], [("diameter", "8.2 mm"), ("version", "0")], "8.1 mm", "8.2 mm"),
        ("/shop/prices", [("minimum_charge", "41"), ("version", "0")], [("minimum_charge", "42"), ("version", "0")], "41", "42"),
    ] {
        let with = |fields: [(&'static str, &'static str); 2]| [fields[0], fields[1], ("group", "rates")];
        assert_eq!(shop.submit(path, &with(first)).await.0, StatusCode::SEE_OTHER, "{path}");
        let (status, page) = shop.submit(path, &with(second)).await;
        assert_eq!(status, StatusCode::CONFLICT, "{path}");
        let told = format!("Another tablet saved here: {theirs}. Yours: {mine}.");
        assert!(page.contains(&told), "{path}: {page}");
        let again = [second[0], ("version", "1"), ("group", "rates")];
        assert_eq!(shop.submit(path, &again).await.0, StatusCode::SEE_OTHER, "{path}");
    }
}

#[tokio::test]
async fn a_new_shop_is_told_that_the_example_is_in_use_and_may_start_empty() {
    let shop = shop();
    for path in ["/shop", "/shop/tools"] {
        assert!(shop.read(path).await.contains("The example rack is in use"), "{path}");
    }
    assert_eq!(shop.submit("/shop/start", &[("which", "rack"), ("with", "empty"), ("version", "0")]).await.0, StatusCode::SEE_OTHER);
    let page = shop.read("/shop/tools").await;
    assert!(page.contains("No tools yet") && !page.contains("example rack"), "{page}");
    assert!(shop.app.rack().unwrap().tools.is_empty());
    // A second start would take away what stands there by now.
    assert_eq!(shop.submit("/shop/start", &[("which", "rack"), ("with", "example"), ("version", "1")]).await.0, StatusCode::CONFLICT);
    // The first tools of its own, in fractions of inches and with a bare number; a copy of it.
    let rod = [
        ("kind", "straight rod"),
        ("name", "My rod"),
        ("diameter", "5/16 in"),
        ("length", "450"),
        ("head", ""),
        ("place", "wall"),
        ("version", "1"),
    ];
    assert_eq!(shop.submit("/shop/tools", &rod).await.0, StatusCode::SEE_OTHER);
    let rack = shop.app.rack().unwrap();
    assert_eq!((rack.tools.len(), rack.tools[0].id.0.as_str()), (1, "my-rod"));
    assert_eq!(rack.tools[0].body, reach::ToolBody::StraightRod { diameter_mm: 7.9375, length_mm: 450.0, head_mm: 7.9375 });
    let copy = shop.read("/shop/tools/new?like=my-rod").await;
    assert!(copy.contains("value=\"My rod (copy)\"") && copy.contains("value=\"5/16 in\""));
    assert!(!shop.tools().iter().any(|t| t != "my-rod"), "the next plan has no other tool");
}

#[tokio::test]
async fn files_go_out_and_come_in_and_tell_all_that_is_wrong_by_line() {
    let shop = shop();
    assert_eq!(shop.read("/shop/files/rack.toml").await, EXAMPLE_RACK);
    assert_eq!(shop.read("/shop/files/shop.toml").await, EXAMPLE_SHOP);
    let table = shop.read("/shop/files/rack.csv").await;
    assert_eq!(table.lines().count(), 1 + EXAMPLE_RACK.matches("[[tool]]").count());
    let wrong = format!("{table}x,x,,spoon\ny,y,,ball\n");
    let (status, page) = shop.submit("/shop/files", &[("which", "table"), ("text", &wrong), ("version", "0")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(page.matches("<li>Line ").count(), 2, "{page}");
    let fewer: Vec<&str> = table.lines().filter(|l| !l.starts_with("torch")).collect();
    let sent = [("which", "table"), ("text", &*fewer.join("\n")), ("version", "0")];
    assert_eq!(shop.submit("/shop/files", &sent).await.0, StatusCode::SEE_OTHER);
    let kept = shop.app.store().setting(RACK).unwrap().unwrap();
    assert!(!kept.contains("id = \"torch\"") && kept.contains("# crown of its face"), "comments of the other tools stay");
}

#[tokio::test]
async fn what_shape_a_tool_is_in_is_kept_and_told_wherever_it_is_named() {
    let shop = shop();
    let said = "a chip at the tip: polish it first";
    let sheet = [("condition", said), ("version", "0")];
    assert_eq!(shop.submit("/shop/tools/rod-8", &sheet).await.0, StatusCode::SEE_OTHER);
    assert!(
        shop.read("/shop/tools").await.contains(said)
            && shop.read("/shop/tools/rod-8").await.contains(&format!("Condition: </strong>{said}"))
    );
    let rack = shop.app.rack().unwrap();
    let rod = rack.tools.iter().find(|t| t.id.0 == "rod-8").unwrap();
    assert_eq!((rod.condition.as_str(), rod.wear_mm), (said, 0.0));
    // It goes out with the files and comes back with them; a copy of the tool is in a shape of its own.
    assert!(shop.read("/shop/files/rack.toml").await.contains(said));
    let table = shop.read("/shop/files/rack.csv").await;
    assert!(table.lines().next().unwrap().contains("condition") && table.contains(said));
    assert_eq!(survey::read_rack_csv(&table).0.tools.iter().find(|t| t.id.0 == "rod-8").unwrap().condition, said);
    assert!(!shop.read("/shop/tools/new?like=rod-8").await.contains(said));
}

#[tokio::test]
async fn who_works_where_is_changed_in_a_form() {
    let shop = shop();
    let ada = [("person", ""), ("name", "Ada Lund"), ("bench", "bench 4"), ("pace", "1.2"), ("per_hour", "70"), ("version", "0")];
    assert_eq!(shop.submit("/shop/benches", &ada).await.0, StatusCode::SEE_OTHER);
    let people = shop.app.shop().unwrap().people;
    assert_eq!((people.len(), people[3].pace), (4, 1.2));
    let out = [("person", "Ada Lund"), ("name", "Ada Lund"), ("act", "take-out"), ("version", "1")];
    assert_eq!(shop.submit("/shop/benches", &out).await.0, StatusCode::SEE_OTHER);
    assert_eq!(shop.app.shop().unwrap().people.len(), 3);
}
