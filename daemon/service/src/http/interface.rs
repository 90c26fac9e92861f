//! Every operation of the interface, once: its routes and its description are made of the same list.

use axum::Router;
use axum::http::Method;
use utoipa::OpenApi;
use utoipa::openapi::HttpMethod;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::{PathItemExt as _, routes};

use super::trace_views::TraceBatchView;
use super::views::ChangeView;
use super::{
    App, api, calibration_api, car_api, check_api, level_api, pairing_api, reach_api, setup_api,
    sheet_api, visit_api, watch_api,
};

#[derive(OpenApi)]
#[openapi(
    info(
        title = "hubplumb",
        description = "Wheel angles from motion sensors on the hubs. Angles are in degrees, times in microseconds of the daemon's clock. Signs: camber + top out, caster + top rearward, SAI + top inboard, toe + in, hub pitch + front up, steer + left.",
        license(name = "MIT OR Apache-2.0")
    ),
    components(schemas(ChangeView, TraceBatchView))
)]
struct Description;

/// What a daemon does with a request is routed; what its requests are is described, which takes more code than the doing.
/// So the two are apart: a program that only serves has no description in it but the one that was kept.
macro_rules! operations {
    ($visited:ident, $described:ident, $state:ty, $description:expr, [$($module:ident :: $handler:ident,)*]) => {
        /// The routes, and the path and method of each.
        pub(super) fn $visited() -> (Router<$state>, Vec<(String, HttpMethod)>) {
            let (mut router, mut all) = (Router::new(), Vec::new());
            $(pastey::paste! {
                let path = <$module::[<__path_ $handler>] as utoipa::Path>::path();
                for method in <$module::[<__path_ $handler>] as utoipa::Path>::methods() {
                    router = router.route(&path, axum::routing::on(method.to_method_filter(), $module::$handler));
                    all.push((path.clone(), method));
                }
            })*
            (router, all)
        }

        pub(super) fn $described() -> utoipa::openapi::OpenApi {
            $description$(.routes(routes!($module::$handler)))*.into_openapi()
        }
    };
}

operations!(
    routed,
    described,
    App,
    OpenApiRouter::<App>::with_openapi(Description::openapi()),
    [
        api::state,
        api::stream,
        api::traces,
        api::start_swing,
        api::cancel_swing,
        api::enter_plate,
        calibration_api::start,
        calibration_api::take_back,
        calibration_api::solve,
        calibration_api::keep,
        calibration_api::discard,
        calibration_api::cancel,
        level_api::start_run_out,
        level_api::cancel_run_out,
        level_api::finish_run_out,
        level_api::forget_run_out,
        level_api::floor_heights,
        level_api::floor_line,
        level_api::forget_floor,
        level_api::go_on_with_earlier,
        level_api::leave_earlier,
        level_api::toe,
        level_api::body_heading,
        car_api::cars,
        car_api::add,
        car_api::import,
        car_api::history,
        car_api::car,
        car_api::change,
        car_api::remove,
        visit_api::visits,
        visit_api::begin,
        visit_api::put_away,
        visit_api::visit,
        visit_api::remove,
        visit_api::to_hand,
        visit_api::add,
        visit_api::figures,
        visit_api::export_json,
        visit_api::export_csv,
        sheet_api::sheet,
        check_api::start_check,
        check_api::check_figure,
        check_api::finish_check,
        check_api::cancel_check,
        check_api::turns_of_swing,
        reach_api::reach,
        reach_api::certificate_crt,
        reach_api::certificate_pem,
        setup_api::seat,
        setup_api::name,
        setup_api::bluetooth,
        setup_api::take_in,
        setup_api::let_go,
        setup_api::start_naming,
        setup_api::skip_mount,
        setup_api::end_naming,
        setup_api::start_practice,
        setup_api::end_practice,
        api::health,
        watch_api::ready,
        watch_api::metrics,
        api::openapi,
    ]
);

operations!(
    pairing_routed,
    pairing_described,
    (),
    OpenApiRouter::<()>::new(),
    [
        pairing_api::pairing,
        pairing_api::pair,
        pairing_api::unpair,
        pairing_api::devices,
        pairing_api::revoke,
    ]
);

/// Paths, and the changing methods that each takes.
pub(super) fn changing(routed: &[(String, HttpMethod)]) -> Vec<(String, Vec<Method>)> {
    let mut all: Vec<(String, Vec<Method>)> = Vec::new();
    for (path, method) in routed {
        let method = match method {
            HttpMethod::Post => Some(Method::POST),
            HttpMethod::Put => Some(Method::PUT),
            HttpMethod::Delete => Some(Method::DELETE),
            _ => None,
        };
        match all.iter_mut().find(|(known, _)| known == path) {
            Some((_, methods)) => methods.extend(method),
            None => all.push((path.clone(), method.into_iter().collect())),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_routed_is_what_is_described() {
        let operations =
            |(routed, described): (Vec<(String, HttpMethod)>, utoipa::openapi::OpenApi)| {
                let named = |method| match method {
                    HttpMethod::Get => "Get",
                    HttpMethod::Post => "Post",
                    HttpMethod::Put => "Put",
                    HttpMethod::Delete => "Delete",
                    _ => "another",
                };
                let mut routed: Vec<String> = routed
                    .into_iter()
                    .map(|(path, method)| format!("{} {path}", named(method)))
                    .collect();
                let paths = described.paths.paths.iter();
                let mut told: Vec<String> = paths
                    .flat_map(|(path, item)| {
                        let methods = [
                            ("Get", &item.get),
                            ("Post", &item.post),
                            ("Put", &item.put),
                            ("Delete", &item.delete),
                        ];
                        let told = methods
                            .into_iter()
                            .filter(|(_, operation)| operation.is_some());
                        told.map(move |(method, _)| format!("{method} {path}"))
                    })
                    .collect();
                routed.sort();
                told.sort();
                (routed, told)
            };
        for (routed, told) in [
            operations((routed().1, described())),
            operations((pairing_routed().1, pairing_described())),
        ] {
            assert!(!routed.is_empty());
            assert_eq!(routed, told);
        }
    }
}
