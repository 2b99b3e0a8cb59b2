//! Style, font and scripts: parts of the program, no files beside it.

use axum::Router;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use silkfall_report::html::page::{STYLE, font};

use crate::App;

const FACE: &str = "@font-face{font-family:\"Inter\";font-weight:400 700;font-style:normal;font-display:block;\
                    src:url(/font.woff2) format(\"woff2\")}\n";
const PAGE: &str = include_str!("../../assets/page.css");
const DROPS: &str = include_str!("../../assets/drops.css");
const ICON: &str = include_str!("../../assets/icon.svg");

/// The modules of the page's script.
const SCRIPTS: [(&str, &str); 12] = [
    ("/js/main.js", include_str!("../../assets/js/main.js")),
    ("/js/start.js", include_str!("../../assets/js/start.js")),
    ("/js/send.js", include_str!("../../assets/js/send.js")),
    ("/js/become.js", include_str!("../../assets/js/become.js")),
    ("/js/swap.js", include_str!("../../assets/js/swap.js")),
    ("/js/fields.js", include_str!("../../assets/js/fields.js")),
    ("/js/inputs.js", include_str!("../../assets/js/inputs.js")),
    ("/js/how.js", include_str!("../../assets/js/how.js")),
    ("/js/drops.js", include_str!("../../assets/js/drops.js")),
    ("/js/ribbon.js", include_str!("../../assets/js/ribbon.js")),
    ("/js/place.js", include_str!("../../assets/js/place.js")),
    ("/js/bring.js", include_str!("../../assets/js/bring.js")),
];

pub(super) fn router() -> Router<App> {
    let mut router = Router::new()
        .route(
            "/style.css",
            get(|| async { typed("text/css; charset=utf-8", [FACE, STYLE, PAGE, DROPS].concat()) }),
        )
        .route("/font.woff2", get(|| async { typed("font/woff2", font()) }))
        .route("/icon.svg", get(|| async { typed("image/svg+xml", ICON) }));
    for (path, script) in SCRIPTS {
        router =
            router.route(path, get(move || async move { typed("text/javascript; charset=utf-8", script) }));
    }
    router
}

fn typed(kind: &'static str, body: impl IntoResponse) -> Response {
    ([(header::CONTENT_TYPE, kind)], body).into_response()
}
