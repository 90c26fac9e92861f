//! The dashboard of hubplumb, built from TypeScript and embedded in the program.
//!
//! The page knows only the HTTP contract of the daemon; this crate knows only
//! the page's files. See `docs/PAGE.md` for what the page shows.

use std::borrow::Cow;
use std::fmt::Write as _;

use rust_embed::RustEmbed;

/// What `build.rs` left in its output folder.
#[derive(RustEmbed)]
#[folder = "$OUT_DIR/dist"]
struct Dist;

/// Files under this folder carry a hash of their content in their name.
const HASHED: &str = "assets/";

/// One file of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asset {
    /// The file's content.
    pub bytes: Cow<'static, [u8]>,
    /// Value for the `Content-Type` header.
    pub content_type: &'static str,
    /// Value for the `ETag` header, quotes included: the SHA-256 of the content.
    pub etag: String,
    /// True when the name changes with the content, so that a browser may keep it for ever.
    pub immutable: bool,
}

/// The file for the path of a request, `/` meaning `index.html`; none when the page has no such file.
pub fn asset(path: &str) -> Option<Asset> {
    let name = match path.strip_prefix('/').unwrap_or(path) {
        "" => "index.html",
        name => name,
    };
    let file = Dist::get(name)?;
    Some(Asset {
        bytes: file.data,
        content_type: content_type(name),
        etag: quoted_hex(&file.metadata.sha256_hash()),
        immutable: name.starts_with(HASHED),
    })
}

/// Names of all files of the page, as paths below `/`.
pub fn names() -> impl Iterator<Item = Cow<'static, str>> {
    Dist::iter()
}

/// The kinds of file the page is made of; a test sees to it that there are no others.
fn content_type(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, extension)| extension) {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("woff2") => "font/woff2",
        Some("wav") => "audio/wav",
        Some("png") => "image/png",
        Some("webmanifest") => "application/manifest+json",
        _ => "application/octet-stream",
    }
}

fn quoted_hex(hash: &[u8]) -> String {
    let mut text = String::with_capacity(2 * hash.len() + 2);
    text.push('"');
    for byte in hash {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text.push('"');
    text
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;

    use flate2::Compression;
    use flate2::write::GzEncoder;

    use super::*;

    fn text(path: &str) -> String {
        String::from_utf8(
            asset(path)
                .unwrap_or_else(|| panic!("{path} is missing"))
                .bytes
                .into_owned(),
        )
        .unwrap()
    }

    /// The values of every `src` and `href` of the index.
    fn linked() -> Vec<String> {
        let index = text("/");
        ["src=\"", "href=\""]
            .iter()
            .flat_map(|attribute| index.split(attribute).skip(1))
            .map(|rest| {
                rest.split('"')
                    .next()
                    .unwrap()
                    .trim_start_matches("./")
                    .to_owned()
            })
            .collect()
    }

    #[test]
    fn root_is_the_index() {
        let index = asset("/").unwrap();
        assert_eq!(Some(&index), asset("/index.html").as_ref());
        assert_eq!(Some(&index), asset("").as_ref());
        assert_eq!(index.content_type, "text/html; charset=utf-8");
        assert!(!index.immutable, "the index must be asked for anew");
        assert!(text("/").contains("<title>hubplumb</title>"));
    }

    #[test]
    fn everything_the_index_links_is_embedded() {
        let linked = linked();
        assert!(
            linked.len() >= 4,
            "script, style, icon and manifest, got {linked:?}"
        );
        for link in linked {
            assert!(asset(&link).is_some(), "{link} is linked and missing");
        }
    }

    #[test]
    fn icons_of_the_manifest_are_embedded() {
        let manifest = text("/manifest.webmanifest");
        let icons: Vec<&str> = manifest
            .split("\"src\": \"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .collect();
        assert!(icons.contains(&"favicon.svg") && icons.contains(&"icon-512.png"));
        for icon in icons {
            let file = asset(icon).unwrap_or_else(|| panic!("{icon} is missing"));
            let Some(size) = icon
                .strip_suffix(".png")
                .and_then(|name| name.rsplit('-').next())
            else {
                assert_eq!(file.content_type, "image/svg+xml", "{icon}");
                continue;
            };
            assert_eq!(file.content_type, "image/png", "{icon}");
            // Width and height stand after the signature and the head of the first chunk (PNG, 11.2.1).
            let side = size.parse::<u32>().unwrap().to_be_bytes();
            assert_eq!(file.bytes[16..24], [side, side].concat(), "{icon}");
        }
    }

    #[test]
    fn the_service_worker_keeps_every_file_but_itself() {
        let worker = text("/worker.js");
        assert!(
            !asset("/worker.js").unwrap().immutable,
            "it is asked for anew"
        );
        for name in names() {
            let kept = match name.as_ref() {
                "worker.js" => continue,
                // Kept under the address it is opened at.
                "index.html" => "\"files\":[\"\",".to_owned(),
                name => format!("\"{name}\""),
            };
            assert!(worker.contains(&kept), "{name} is not kept");
        }
        assert!(!worker.contains("__SHELL__") && !worker.contains("import"));
    }

    #[test]
    fn hashed_files_and_only_those_are_immutable() {
        let mut scripts_and_styles = 0;
        for name in names() {
            let found = asset(&name).unwrap();
            assert_eq!(found.immutable, name.starts_with("assets/"), "{name}");
            assert_ne!(
                found.content_type, "application/octet-stream",
                "{name} has no known kind"
            );
            scripts_and_styles += usize::from(found.immutable);
        }
        assert!(scripts_and_styles >= 2, "a script and a style sheet");
    }

    #[test]
    fn etags_are_quoted_and_tell_files_apart() {
        let script = names().find(|name| name.ends_with(".js")).unwrap();
        let (index, script) = (asset("/").unwrap(), asset(&script).unwrap());
        for etag in [&index.etag, &script.etag] {
            assert_eq!(etag.len(), 66);
            assert!(etag.starts_with('"') && etag.ends_with('"'));
        }
        assert_ne!(index.etag, script.etag);
    }

    #[test]
    fn what_is_not_there_is_not_answered() {
        for path in [
            "/nothing",
            "/assets",
            "/../Cargo.toml",
            "//index.html",
            "/assets/../index.html",
        ] {
            assert_eq!(asset(path), None, "{path}");
        }
    }

    #[test]
    fn the_page_fetches_nothing_from_elsewhere() {
        for name in names().filter(|name| {
            ![".svg", ".woff2", ".png", ".wav"]
                .iter()
                .any(|end| name.ends_with(end))
        }) {
            let text = text(&name);
            // The one address that may stand in the script names the SVG namespace; it is never fetched.
            let elsewhere = text
                .match_indices("://")
                .filter(|(at, _)| !text[at + 3..].starts_with("www.w3.org/"))
                .count();
            assert_eq!(elsewhere, 0, "{name}");
        }
    }

    #[test]
    fn another_language_is_a_file_of_its_own_that_the_index_does_not_load() {
        let german: Vec<_> = names()
            .filter(|name| name.starts_with("assets/de-"))
            .collect();
        assert_eq!(german.len(), 1, "{german:?}");
        assert!(text(&german[0]).contains("Lenkschwenk"));
        assert!(!linked().iter().any(|link| *link == german[0]));
        for script in linked()
            .iter()
            .filter(|link| link.rsplit_once('.').is_some_and(|(_, kind)| kind == "js"))
        {
            assert!(!text(script).contains("Lenkschwenk"), "{script}");
        }
    }

    #[test]
    fn the_page_is_light() {
        // Packed bytes: what a radio link carries at worst. Budgets, not measures of anything else.
        let weigh = |wanted: &dyn Fn(&str) -> bool| -> usize {
            names()
                .filter(|name| wanted(name))
                .filter_map(|name| asset(&name))
                .map(|file| packed(&file.bytes))
                .sum()
        };
        let is_bundle = |name: &str| {
            [".js", ".css", ".html"]
                .iter()
                .any(|end| name.ends_with(end))
        };
        let bundle = weigh(&is_bundle);
        assert!(
            bundle < 120_000,
            "scripts and styles of all languages: {bundle} bytes"
        );
        let rest = weigh(&|name| !is_bundle(name));
        assert!(
            rest < 20_000,
            "icons, figures and the silent tone: {rest} bytes"
        );
    }

    fn packed(bytes: &[u8]) -> usize {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(bytes).unwrap();
        encoder.finish().unwrap().len()
    }
}
