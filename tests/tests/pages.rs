//! The web pages as they are built into the program.

/// What the pages' scripts may weigh, gzipped.
const SCRIPTS_GZIP_BYTES: usize = 60_000;

#[test]
fn pages_built_in_are_the_real_ones_and_not_the_notice() {
    let is_notice = propstick_pages::IS_NOTICE;
    assert!(!is_notice, "npm did not build the pages, a notice stands in their place: see the warnings of the build");
}

#[test]
fn scripts_of_the_pages_stay_within_their_weight() {
    let scripts: Vec<_> = propstick_pages::pages().iter().filter(|page| page.path.ends_with(".js")).collect();
    assert!(!scripts.is_empty(), "pages without any script");
    let weight: usize = scripts.iter().map(|page| page.gzip.unwrap_or(page.bytes).len()).sum();
    assert!(weight <= SCRIPTS_GZIP_BYTES, "{weight} bytes of scripts, {SCRIPTS_GZIP_BYTES} allowed");
}
