//! Minutes for each kind of step: all goes well, usual, fights back; whence each comes, and what the shop's own clock says.

use crate::app::{App, SHOP};
use crate::auth::Signed;
use crate::problem::{Outcome, Problem};
use crate::redisplay::{Redisplay, Refill, Sent};
use crate::view::shop_frame::{example_in_use, group_form, tabs};
use crate::{layout, shop_file, when};
use ::survey::shop_form::minutes::{MinuteRow, minutes, with_minutes};
use axum::extract::State;
use axum::response::{Redirect, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Timed steps looked back over at most.
const MOST: u32 = 20_000;
/// What the three times are called.
const ENDS: [&str; 3] = ["All goes well", "Usual", "Fights back"];
/// Steps whose minutes here are only a part of what is timed at the bench.
const PARTLY: [&str; 2] = ["dent", "over_fill"];

/// The page.
///
/// # Errors
/// Where the record fails.
pub async fn page(State(app): State<App>, Extension(signed): Extension<Signed>) -> Outcome<Markup> {
    app.blocking(move |app| shown(app, &signed, &Redisplay::default())).await
}

/// Seconds that each kind of step took here.
fn timed(app: &App) -> Outcome<BTreeMap<String, Vec<i64>>> {
    let mut timed: BTreeMap<String, Vec<i64>> = BTreeMap::new();
    for t in app.store().times_taken(MOST)? {
        timed.entry(t.kind).or_default().push(t.spent_s);
    }
    timed.values_mut().for_each(|all| all.sort_unstable());
    Ok(timed)
}

fn shown(app: &App, signed: &Signed, redisplay: &Redisplay) -> Outcome<Markup> {
    let file = shop_file::read(app, SHOP)?;
    let groups = minutes(&file.text).map_err(shop_file::unreadable)?;
    let timed = timed(app)?;
    Ok(layout::page(
        signed,
        "Minutes",
        html! {
            h1 { "Minutes" }
            (tabs("/shop/minutes"))
            (example_in_use(signed, SHOP, &file))
            p { "How long each kind of step takes here. Write minutes, or a time like 1 h 20 min. New plans and quotes follow at once. Finished jobs move them: " a href="/history/times" { "what was learned" } ". A time that you set anew here starts learning anew." }
            @for group in &groups {
                @let refill = redisplay.form_with("/shop/minutes", "group", group.key);
                @let rows = html! { @for r in &group.rows { (row(r, refill, timed.get(r.path.trim_start_matches("minutes.")))) } };
                (group_form(signed, "/shop/minutes", (group.key, group.title), file.version, refill, &rows))
            }
        },
    ))
}

fn row(r: &MinuteRow, refill: Refill<'_>, timed: Option<&Vec<i64>>) -> Markup {
    let timed = timed.filter(|all| !all.is_empty() && !PARTLY.iter().any(|k| r.path.ends_with(k)));
    let what = match (r.path.starts_with("opening."), r.back) {
        (false, _) => "",
        (true, false) => ": off",
        (true, true) => ": back",
    };
    html! {
        fieldset.minutes {
            legend { (r.words.name) (what) }
            div.three { @for (n, (end, saved)) in ENDS.iter().zip(&r.values).enumerate() {
                @let name = format!("{}.{n}", r.path);
                label { span.small { (end) " " span.soft { "(min)" } } input name=(name) value=(refill.text(&name, saved)) inputmode="decimal" autocomplete="off"; (refill.beside(&name, saved)) }
            } }
            p.soft.small {
                @if r.usual { "Common practice, no source: " } @else { "Set by this shop. Common practice counts: " }
                (r.words.hands) "."
                @if let Some(all) = timed { " Timed here: " (all.len()) (if all.len() == 1 { " step, " } else { " steps, the middle one " }) (when::lasting(all.get(all.len() / 2).copied().unwrap_or(0))) "." }
            }
        }
    }
}

/// Changes minutes.
///
/// # Errors
/// Where one cannot be, each beside its field, or somebody saved in between.
pub async fn keep(
    State(app): State<App>,
    Extension(signed): Extension<Signed>,
    Extension(sent): Extension<Sent>,
    Form(f): Form<BTreeMap<String, String>>,
) -> Outcome<Response> {
    app.blocking(move |app| sent.taken(|| kept(app, &signed, &f), |redisplay| shown(app, &signed, redisplay))).await
}

fn kept(app: &App, signed: &Signed, f: &BTreeMap<String, String>) -> Outcome<Redirect> {
    let file = shop_file::read(app, SHOP)?;
    let rows = minutes(&file.text).map_err(shop_file::unreadable)?.into_iter().flat_map(|g| g.rows);
    let typed: Vec<(String, [String; 3])> = rows
        .filter_map(|r| {
            let times = [0, 1, 2].map(|n| f.get(&format!("{}.{n}", r.path)).map(|t| t.trim().to_owned()));
            let [Some(a), Some(b), Some(c)] = times else { return None };
            let times = [a, b, c];
            (times != r.values).then_some((r.path, times))
        })
        .collect();
    // A row is told beside its first field.
    let told = |all: Vec<(String, ::survey::Problem)>| {
        all.into_iter().map(|(path, p)| (if path.is_empty() { path } else { format!("{path}.0") }, p))
    };
    let text = with_minutes(&file.text, &typed).map_err(|w| shop_file::refused(signed.fmt, told(w).collect()))?;
    let version = f.get("version").and_then(|v| v.parse().ok()).unwrap_or(0);
    shop_file::keep(app, signed, SHOP, version, &text)?;
    let group =
        f.get("group").filter(|g| g.chars().all(|c| c.is_ascii_lowercase())).ok_or_else(|| Problem::Bad("which minutes?".to_owned()))?;
    Ok(Redirect::to(&format!("/shop/minutes#{group}")))
}
