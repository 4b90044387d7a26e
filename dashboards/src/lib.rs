//! The web pages of Propstick as bytes.
//!
//! The build script has npm build them from `web/`; this crate only carries the result. It knows no server: whoever
//! serves the pages asks [`page`] for a path and sends what it finds, with [`CONTENT_SECURITY_POLICY`] beside it.
//!
//! ```
//! let first = propstick_pages::page("/").map(|page| page.mime);
//! assert_eq!(first, Some("text/html; charset=utf-8"));
//! ```

/// One file that the server can send.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Page {
    /// Path of the request, beginning with `/`; the first page is `/` itself.
    pub path: &'static str,
    /// Value of `Content-Type`.
    pub mime: &'static str,
    /// The file as built.
    pub bytes: &'static [u8],
    /// The same file after gzip, for a client that accepts it; `None` where nothing would be gained.
    pub gzip: Option<&'static [u8]>,
    /// Whether the name changes with the content, so that a browser may keep the file for good.
    pub immutable: bool,
    /// Value of `ETag`, quotes included: a hash of `bytes`.
    pub etag: &'static str,
}

impl Page {
    /// Value of `Cache-Control`: for good where the name changes with the content, otherwise ask every time.
    #[must_use]
    pub const fn cache_control(&self) -> &'static str {
        if self.immutable { "public, max-age=31536000, immutable" } else { "no-cache" }
    }
}

/// Value of `Content-Security-Policy` under which the pages work: nothing inline, nothing from elsewhere.
pub const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
     connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The page at a path, or `None`: the server then answers 404.
#[must_use]
pub fn page(path: &str) -> Option<&'static Page> {
    pages().iter().find(|page| page.path == path)
}

/// All pages, sorted by the name of their file.
#[must_use]
pub const fn pages() -> &'static [Page] {
    PAGES
}

include!(concat!(env!("OUT_DIR"), "/pages.rs"));

#[cfg(test)]
mod tests {
    use super::*;

    fn first() -> &'static Page {
        page("/").expect("there is a first page")
    }

    #[test]
    fn first_page_asked_for_is_html_and_never_kept_for_good() {
        assert_eq!(first().mime, "text/html; charset=utf-8");
        assert_eq!(first().cache_control(), "no-cache");
    }

    #[test]
    fn unknown_path_asked_for_is_none() {
        assert_eq!(page("/assets/none.js"), None);
        assert_eq!(page("/index.html"), None, "one page has one path");
    }

    #[test]
    fn every_file_the_first_page_names_is_carried() {
        let html = std::str::from_utf8(first().bytes).expect("html is utf-8");
        let named: Vec<&str> = html
            .split(['"', '\''])
            .filter(|piece| piece.starts_with("/assets/") || piece.starts_with("/favicon"))
            .collect();
        assert_eq!(named.is_empty(), IS_NOTICE, "only the notice stands alone");
        for path in named {
            assert!(page(path).is_some(), "{path} is named but not carried");
        }
    }

    #[test]
    fn first_page_holds_nothing_the_content_policy_forbids() {
        let html = std::str::from_utf8(first().bytes).expect("html is utf-8");
        assert!(!html.contains("<style") && !html.contains("style="), "no inline style");
        assert!(!html.contains("http://") && !html.contains("https://"), "nothing from elsewhere");
        assert_eq!(html.matches("<script").count(), html.matches(" src=\"/assets/").count(), "no inline script");
    }

    #[test]
    fn etags_of_different_files_differ_and_are_quoted() {
        let mut etags: Vec<&str> = pages().iter().map(|page| page.etag).collect();
        assert!(etags.iter().all(|etag| etag.len() == 18 && etag.starts_with('"') && etag.ends_with('"')));
        etags.sort_unstable();
        etags.dedup();
        assert_eq!(etags.len(), pages().len());
    }

    #[test]
    fn hashed_names_alone_are_kept_for_good_and_have_a_gzip_half() {
        for page in pages() {
            assert_eq!(page.immutable, page.path.starts_with("/assets/"), "{}", page.path);
            if page.immutable {
                let gzip = page.gzip.expect("assets are packed beside");
                assert_eq!(gzip[..2], [0x1f, 0x8b], "{} begins like gzip", page.path);
            }
        }
    }
}
