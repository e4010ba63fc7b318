//! The pages as the server gives them, or its word that they were not built.

use crate::support::{House, refusal};

#[tokio::test(flavor = "multi_thread")]
async fn every_address_of_a_page_shows_the_page_or_says_how_to_build_it() {
    let house = House::of_a_company(|_| ()).await;
    for path in ["/", "/visit/new", "/property/0190"] {
        let response = house.client().ask("get", path, None).await;
        let header = |name: &str| response.headers()[name].to_str().expect("text").to_owned();
        let policy = header("content-security-policy");
        assert!(policy.contains("script-src 'self';") && policy.contains("style-src 'self';"), "{policy}");
        assert!(!policy.contains("unsafe"), "{policy}");
        if server::pages::are_built() {
            assert_eq!((response.status().as_u16(), header("cache-control")), (200, "no-cache".into()));
            let text = response.text().await.expect("text");
            // What the policy forbids would not run; the page must not ask for it.
            assert!(text.contains("/assets/") && !text.contains("style=") && !text.contains("<style"), "{text}");
            assert!(!text.contains("<script>"), "{text}");
        } else {
            assert_eq!(response.status(), 503);
            let text = response.text().await.expect("text");
            assert!(text.contains("mend: ") && text.contains("make web"), "{text}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_page_is_refused_as_ever() {
    let house = House::at_home().await;
    for (method, path) in [("get", "/api/nothing"), ("get", "/api"), ("post", "/visit/new"), ("delete", "/")] {
        let told = refusal(house.client().ask(method, path, None).await).await;
        assert_eq!(told, (404, "server::nothing-there".into()), "{method} {path}");
    }
    if server::pages::are_built() {
        for path in ["/assets/none.js", "/index.html.br", "/assets/../Cargo.toml", "/%2e%2e/Cargo.toml"] {
            assert_eq!(house.client().ask("get", path, None).await.status(), 404, "{path}");
        }
    }
}
