//! The page as one file, which needs no server, no network and nothing beside it: the science stands
//! in it, packed, and answers from a worker of the browser.

use std::fmt::Write;

use miniz_oxide::deflate::compress_to_vec_zlib;
use plumbfold_draw::style;
use plumbfold_draw::svg::base64;

use crate::assets::{ALONE, ASSETS, Asset};

/// Nothing may be asked of any machine, this one's server included.
const POLICY: &str = "default-src 'none'; script-src 'unsafe-inline' blob: 'wasm-unsafe-eval'; \
    worker-src blob:; style-src 'unsafe-inline'; img-src data: blob:; media-src blob:; font-src data: blob:; \
    base-uri 'none'; form-action 'none'";

/// How hard it is packed, of 10.
const PACKING: u8 = 10;

/// The file, from the compiled science.
///
/// # Errors
/// Which part of the page is not as it is expected.
pub fn page(wasm: &[u8]) -> Result<String, String> {
    let mark = format!("data:image/svg+xml;base64,{}", base64(asset("/mark.svg")?.as_bytes()));
    // The fonts come with the science, in which they are already.
    let style: Vec<&str> =
        asset("/style.css")?.lines().filter(|l| !l.starts_with("@font-face")).collect();
    let mut html = asset("/index.html")?.replace("/mark.svg", &mark);
    let policy = format!(
        "<meta charset=\"utf-8\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\">"
    );
    let styles = format!("<style>\n{}\n{}\n</style>", style::page_css(), style.join("\n"));
    for (part, by) in [
        ("<meta charset=\"utf-8\">", policy.as_str()),
        ("<link rel=\"stylesheet\" href=\"/palette.css\">\n", ""),
        ("<link rel=\"stylesheet\" href=\"/style.css\">", &styles),
        ("<script type=\"module\" src=\"/main.js\"></script>\n", ""),
        ("</body>\n</html>", ""),
    ] {
        if html.matches(part).count() != 1 {
            return Err(format!("index.html does not hold `{part}` once"));
        }
        html = html.replace(part, by);
    }
    let begin = ALONE.iter().find(|a| a.path == "/begin.js").ok_or("no begin.js")?;
    for script in ASSETS.iter().chain(ALONE).filter(|a| a.path.ends_with(".js")) {
        let name = match script.path {
            "/begin.js" | "/way.js" => continue,
            // It stands in for the way to the server.
            "/alone.js" => "way.js",
            path => &path[1..],
        };
        html += &held(&format!("data-module=\"{name}\""), text(script)?);
    }
    html += &held("id=\"science\"", &base64(&compress_to_vec_zlib(wasm, PACKING)));
    // Writing to a String cannot fail.
    let _ = write!(html, "<script>\n{}</script>\n</body>\n</html>\n", text(begin)?);
    Ok(html)
}

/// A part that the browser holds and does not run by itself.
fn held(what: &str, content: &str) -> String {
    // Nothing inside may end the element.
    format!(
        "<script type=\"text/plain\" {what}>{}</script>\n",
        content.replace("</script", "<\\/script")
    )
}

fn asset(path: &str) -> Result<&'static str, String> {
    let found = ASSETS.iter().find(|a| a.path == path);
    text(found.ok_or_else(|| format!("there is no {path}"))?)
}

fn text(asset: &Asset) -> Result<&'static str, String> {
    std::str::from_utf8(asset.bytes).map_err(|e| format!("{}: {e}", asset.path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_file_holds_every_part_and_asks_for_none() {
        let wasm = b"\0asm and so on";
        let html = page(wasm).unwrap();
        for script in ASSETS.iter().filter(|a| a.path.ends_with(".js")) {
            assert!(html.contains(&format!("data-module=\"{}\"", &script.path[1..])), "{script:?}");
        }
        for asked in ["src=\"/", "href=\"/", "url(/", "http://", "https://"] {
            // The name of a kind of element is no address.
            let html = html.replace("http://www.w3.org/2000/svg", "");
            assert!(!html.contains(asked), "{asked}");
        }
        let packed = html.split("id=\"science\">").nth(1).and_then(|s| s.split('<').next());
        assert_eq!(packed, Some(base64(&compress_to_vec_zlib(wasm, PACKING)).as_str()));
    }
}
