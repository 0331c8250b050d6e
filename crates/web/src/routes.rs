//! Every route, with what a person must be allowed to do to use it. The listing is the site's map; a test walks it with
//! every role.

use crate::app::App;
use crate::auth::Need;
use crate::connections::REQUEST_WITHIN;
use crate::pages::{
    acceptance, accounts, assets, bench, bench_people, board, calibration, contract, contract_files, contract_head, contract_jobs,
    contract_rows, contract_tables, contract_tools, contract_work, contracts, customer, customers, doctor, given, hand_back, history,
    instrument_history, instruments, jobs, journal, learned, me, measure, minutes, money, overrule, photos, plan, plan_charts, plan_dent,
    prices, quote, second_factor, send_link, settings, shop_files, sign_in, soldered_on, standard_jobs, strips, supplement, survey,
    survey_file, survey_forms, tool, tools, trust,
};
use crate::problem::Problem;
use crate::{guard, headers, limits};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, get, post};
use tower_http::CompressionLevel;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::TimeoutLayer;

/// One route: what it needs, its method (for the test that walks them), its path, its handler.
pub struct Route {
    /// What a person must be allowed to do.
    pub need: Need,
    /// GET or POST.
    pub method: &'static str,
    /// Path, with its parameters in braces.
    pub path: &'static str,
    handler: MethodRouter<App>,
}

macro_rules! get_route {
    ($need:ident, $path:literal, $handler:path) => {
        Route { need: Need::$need, method: "GET", path: $path, handler: get($handler) }
    };
}

macro_rules! post_route {
    ($need:ident, $path:literal, $handler:path) => {
        Route { need: Need::$need, method: "POST", path: $path, handler: post($handler) }
    };
}

/// The site's map.
pub fn map() -> Vec<Route> {
    vec![
        get_route!(Nobody, "/assets/{name}", assets::asset),
        get_route!(Nobody, "/sign-in", sign_in::form),
        post_route!(Nobody, "/sign-in", sign_in::enter),
        post_route!(Nobody, "/sign-in/code", sign_in::code),
        post_route!(Look, "/sign-out", sign_in::leave),
        get_route!(Look, "/", board::board),
        get_route!(Look, "/me", me::page),
        post_route!(Look, "/me", me::set_password),
        post_route!(Look, "/me/sessions/end-others", me::end_other_sessions),
        post_route!(Look, "/me/sessions/{id}/end", me::end_session),
        get_route!(Look, "/me/second-factor", second_factor::page),
        post_route!(Look, "/me/second-factor", second_factor::begin),
        post_route!(Look, "/me/second-factor/confirm", second_factor::confirm),
        post_route!(Look, "/me/second-factor/remove", second_factor::remove),
        get_route!(Counter, "/customers", customers::list),
        post_route!(Counter, "/customers", customers::add),
        get_route!(Counter, "/customers/{id}", customers::one),
        post_route!(Counter, "/customers/{id}", customers::change),
        post_route!(Owner, "/customers/{id}/terms", customers::keep_terms),
        get_route!(Owner, "/customers/{id}/all.json", customers::all_of_one),
        post_route!(Owner, "/customers/{id}/erase", customers::erase),
        post_route!(Counter, "/customers/{id}/instruments", instruments::add),
        get_route!(Look, "/instruments/{id}", instruments::one),
        post_route!(Counter, "/instruments/{id}", instruments::change),
        get_route!(Look, "/instruments/{id}/label", instruments::label),
        get_route!(Look, "/instruments/{id}/history", instrument_history::page),
        get_route!(Look, "/tags/{tag}", instruments::by_tag),
        post_route!(Counter, "/instruments/{id}/jobs", jobs::add),
        get_route!(Look, "/jobs/{id}", jobs::one),
        post_route!(Counter, "/jobs/{id}", jobs::change),
        post_route!(HandBack, "/jobs/{id}/state", jobs::set_state),
        post_route!(Counter, "/jobs/{id}/accessories", jobs::accessories),
        post_route!(Survey, "/jobs/{id}/no-dents", jobs::no_dents),
        post_route!(Survey, "/jobs/{id}/put-back", jobs::put_back),
        post_route!(Quote, "/jobs/{id}/quote/withdraw", jobs::withdraw_quote),
        get_route!(Look, "/jobs/{id}/survey", survey::page),
        get_route!(Look, "/jobs/{id}/survey/tubes", strips::all),
        post_route!(Survey, "/jobs/{id}/survey/start", survey::start),
        post_route!(Survey, "/jobs/{id}/survey/dents", survey::save_dent),
        get_route!(Look, "/jobs/{id}/survey.toml", survey_file::file),
        get_route!(Look, "/jobs/{id}/survey/worth", survey_file::worth),
        get_route!(Look, "/jobs/{id}/survey/soldered-on", soldered_on::page),
        post_route!(Survey, "/jobs/{id}/survey/parts", survey_forms::save_sheet),
        post_route!(Counter, "/jobs/{id}/survey/asks", survey_forms::save_asks),
        post_route!(Survey, "/jobs/{id}/survey/pattern", survey_forms::change_pattern),
        post_route!(Survey, "/jobs/{id}/survey/conditions", survey_forms::save_condition),
        post_route!(Survey, "/jobs/{id}/survey/work", survey_forms::save_work),
        post_route!(Look, "/jobs/{id}/photos", photos::add),
        get_route!(Look, "/jobs/{id}/photos/{photo}", photos::show),
        get_route!(Look, "/jobs/{id}/photos/{photo}/small", photos::small),
        get_route!(Look, "/jobs/{id}/plan", plan::page),
        get_route!(Look, "/jobs/{id}/plan/measure", measure::page),
        get_route!(Look, "/jobs/{id}/plan/charts", plan_charts::page),
        get_route!(Look, "/jobs/{id}/plan/dents/{dent}", plan_dent::page),
        post_route!(Overrule, "/jobs/{id}/plan/overrule", overrule::overrule),
        post_route!(Overrule, "/jobs/{id}/plan/withdraw", overrule::withdraw),
        get_route!(Look, "/jobs/{id}/quote", quote::page),
        post_route!(Quote, "/jobs/{id}/quote", quote::give),
        post_route!(Quote, "/jobs/{id}/terms", quote::keep_terms),
        post_route!(Quote, "/jobs/{id}/quote/told", quote::told),
        post_route!(Quote, "/jobs/{id}/quote/sent", send_link::sent),
        post_route!(Quote, "/jobs/{id}/quote/photos", send_link::choose_photos),
        post_route!(Quote, "/jobs/{id}/quote/link/close", given::close),
        post_route!(Quote, "/jobs/{id}/quote/link/renew", given::renew),
        post_route!(Overrule, "/jobs/{id}/level", quote::look_at),
        get_route!(Look, "/jobs/{id}/supplement", supplement::page),
        post_route!(Bench, "/jobs/{id}/supplement", supplement::ask),
        get_route!(Look, "/jobs/{id}/agreements/{name}", supplement::agreement),
        get_route!(Look, "/jobs/{id}/quote.pdf", quote::pdf),
        get_route!(Look, "/jobs/{id}/bench-card.pdf", bench::card),
        get_route!(Look, "/jobs/{id}/reasons.pdf", bench::reasons),
        get_route!(Look, "/jobs/{id}/bench", bench::bench),
        post_route!(Bench, "/jobs/{id}/bench", bench::act),
        get_route!(Look, "/jobs/{id}/steps/{name}", bench::drawing),
        get_route!(Look, "/jobs/{id}/checks", acceptance::page),
        post_route!(AcceptanceCheck, "/jobs/{id}/checks", acceptance::take),
        post_route!(AcceptanceCheck, "/jobs/{id}/ready", acceptance::ready),
        get_route!(Look, "/jobs/{id}/hand-back", hand_back::page),
        post_route!(HandBack, "/jobs/{id}/hand-back", hand_back::hand_back),
        post_route!(HandBack, "/jobs/{id}/payments", hand_back::pay),
        post_route!(HandBack, "/jobs/{id}/charge", hand_back::charge),
        get_route!(Look, "/jobs/{id}/invoice.pdf", hand_back::invoice_pdf),
        get_route!(Nobody, "/trust", trust::page),
        get_route!(Nobody, "/trust/certificate.pem", trust::authority),
        get_route!(Nobody, "/q/{token}", customer::page),
        post_route!(Nobody, "/q/{token}", customer::answer),
        get_route!(Nobody, "/q/{token}/quote.pdf", customer::pdf),
        get_route!(Nobody, "/q/{token}/photos/{photo}", customer::photo),
        get_route!(History, "/history", history::history),
        get_route!(History, "/history/times", learned::page),
        post_route!(Owner, "/history/times", learned::keep),
        get_route!(History, "/history/quotes", calibration::page),
        post_route!(Owner, "/history/quotes", calibration::keep),
        get_route!(Look, "/contracts", contracts::list),
        post_route!(Quote, "/contracts", contracts::add),
        get_route!(Quote, "/contracts/new", contracts::new),
        get_route!(Quote, "/contracts/tables/{name}", contract_files::template),
        get_route!(Quote, "/contracts/{id}", contract::page),
        get_route!(Quote, "/contracts/{id}/progress", contract::progress),
        post_route!(Quote, "/contracts/{id}/plan", contract::plan),
        post_route!(Quote, "/contracts/{id}/stop", contract::stop),
        post_route!(Quote, "/contracts/{id}/jobs", contract_jobs::act),
        get_route!(Quote, "/contracts/{id}/head", contract_head::page),
        post_route!(Quote, "/contracts/{id}/head", contract_head::keep),
        post_route!(Quote, "/contracts/{id}/bench", contract_head::keep_bench),
        get_route!(Quote, "/contracts/{id}/tables", contract_tables::page),
        post_route!(Quote, "/contracts/{id}/tables", contract_tables::import),
        get_route!(Survey, "/contracts/{id}/instrument", contract_rows::page),
        post_route!(Survey, "/contracts/{id}/instrument", contract_rows::keep),
        get_route!(Quote, "/contracts/{id}/tools", contract_tools::page),
        post_route!(HandBack, "/contracts/{id}/tools", contract_tools::pay),
        get_route!(Quote, "/contracts/{id}/files/{name}", contract_files::file),
        get_route!(Look, "/contracts/{id}/work", contract_work::page),
        post_route!(Bench, "/contracts/{id}/work", contract_work::keep),
        get_route!(Look, "/contracts/{id}/work/{name}", contract_files::work_file),
        get_route!(Owner, "/money", money::page),
        get_route!(Owner, "/shop", settings::page),
        post_route!(Owner, "/shop/links", settings::keep_links),
        post_route!(Owner, "/shop/lengths", settings::keep_lengths),
        post_route!(Owner, "/shop/start", settings::start),
        get_route!(Owner, "/shop/tools", tools::list),
        post_route!(Owner, "/shop/tools", tool::add),
        get_route!(Owner, "/shop/tools/new", tool::new),
        post_route!(Owner, "/shop/tools/hands", tools::keep_hands),
        get_route!(Owner, "/shop/tools/{name}", tool::one),
        post_route!(Owner, "/shop/tools/{name}", tool::change),
        post_route!(Owner, "/shop/tools/{name}/retire", tool::retire),
        get_route!(Owner, "/shop/prices", prices::page),
        post_route!(Owner, "/shop/prices", prices::keep),
        get_route!(Owner, "/shop/minutes", minutes::page),
        post_route!(Owner, "/shop/minutes", minutes::keep),
        get_route!(Owner, "/shop/jobs", standard_jobs::page),
        post_route!(Owner, "/shop/jobs", standard_jobs::keep),
        get_route!(Owner, "/shop/benches", bench_people::page),
        post_route!(Owner, "/shop/benches", bench_people::keep),
        get_route!(Owner, "/shop/files", shop_files::page),
        post_route!(Owner, "/shop/files", shop_files::keep),
        get_route!(Owner, "/shop/files/{name}", shop_files::file),
        get_route!(Owner, "/people", accounts::list),
        post_route!(Owner, "/people", accounts::add),
        post_route!(Owner, "/people/{id}", accounts::change),
        post_route!(Owner, "/people/{id}/password", accounts::set_password),
        get_route!(Owner, "/journal", journal::latest),
        get_route!(Owner, "/doctor", doctor::page),
    ]
}

/// The pages as one service.
pub fn router(app: App) -> Router {
    let mut router = Router::new();
    for route in map() {
        router = router.route(route.path, route.handler.layer(from_fn_with_state((app.clone(), route.need), guard::guard)));
    }
    router
        .fallback(assets::nothing_here)
        .layer(DefaultBodyLimit::max(limits::UPLOAD_BYTES))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(from_fn_with_state(app.clone(), guard::name))
        .layer(from_fn_with_state(app.clone(), headers::safe))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, REQUEST_WITHIN))
        // On the shop's own network the time to pack counts, not the last byte.
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest))
        .with_state(app)
}

/// What a page answers whose work panicked: it tells nothing of the program; what happened stands in the log.
fn panicked(_: Box<dyn std::any::Any + Send>) -> Response {
    Problem::Broken("a page panicked; its place stands in the line above".to_owned()).into_response()
}
