//! Brings the web pages into the crate.
//!
//! The pages are an npm package in this folder. It is built in a copy under `OUT_DIR`, and only when the built pages are
//! missing or their sources have changed since. Where npm is missing or fails, a plain notice takes the place of the
//! pages and cargo warns; `PROPSTICK_PAGES=<absolute path of a folder>` takes pages that were built elsewhere.

use std::error::Error;
use std::fmt::Write as _;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Command;

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Everything the built pages depend on, and nothing else in this folder.
const SOURCES: [&str; 5] = ["package.json", "package-lock.json", "tsconfig.json", "vite.config.ts", "web"];
const READY_MADE: &str = "PROPSTICK_PAGES";

fn main() -> Outcome<()> {
    let here = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR")?);
    let out = PathBuf::from(std::env::var("OUT_DIR")?);
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=notice.html");
    println!("cargo:rerun-if-env-changed={READY_MADE}");

    let (folder, is_notice) = match std::env::var_os(READY_MADE).filter(|v| !v.is_empty()) {
        Some(ready) => (ready_made(Path::new(&ready))?, false),
        None => match built(&here, &out) {
            Ok(folder) => (folder, false),
            Err(why) => (notice(&here, &out, why.as_ref())?, true),
        },
    };
    fs::write(out.join("pages.rs"), table(&folder, is_notice)?)?;
    Ok(())
}

/// Pages built elsewhere; a folder without a first page is a mistake worth stopping for.
fn ready_made(folder: &Path) -> Outcome<PathBuf> {
    let folder = fs::canonicalize(folder)
        .map_err(|e| format!("{READY_MADE} names {}, which cannot be read: {e}", folder.display()))?;
    if !folder.join("index.html").is_file() {
        return Err(format!("{READY_MADE} names {}, which holds no index.html", folder.display()).into());
    }
    println!("cargo:rerun-if-changed={}", folder.display());
    Ok(folder)
}

/// The pages built by npm: those of last time where the sources are still the same.
fn built(here: &Path, out: &Path) -> Outcome<PathBuf> {
    for source in SOURCES {
        println!("cargo:rerun-if-changed={source}");
    }
    let work = out.join("npm");
    fs::create_dir_all(&work)?;
    let lock = File::create(out.join("npm.lock"))?;
    lock.lock()?;

    let stamp = work.join("built-from");
    let dist = work.join("dist");
    let wanted = fingerprint(here, &SOURCES)?;
    if dist.join("index.html").is_file() && fs::read_to_string(&stamp).is_ok_and(|s| s == wanted) {
        return Ok(dist);
    }
    copy_sources(here, &work)?;
    install(here, &work)?;
    npm(&work, &["run", "build"])?;
    if !dist.join("index.html").is_file() {
        return Err("npm built no first page".into());
    }
    fs::write(&stamp, wanted)?;
    Ok(dist)
}

fn install(here: &Path, work: &Path) -> Outcome<()> {
    let stamp = work.join("node_modules").join("installed-from");
    let wanted = fingerprint(here, &["package-lock.json"])?;
    if fs::read_to_string(&stamp).is_ok_and(|s| s == wanted) {
        return Ok(());
    }
    let quick_to_give_up =
        ["--prefer-offline", "--fetch-retries=1", "--fetch-retry-mintimeout=1000", "--fetch-timeout=60000"];
    let mut args = vec!["ci", "--ignore-scripts", "--include=dev", "--no-audit", "--no-fund"];
    args.extend(quick_to_give_up);
    npm(work, &args)?;
    fs::write(&stamp, wanted)?;
    Ok(())
}

fn npm(work: &Path, args: &[&str]) -> Outcome<()> {
    let program = if cfg!(windows) { "npm.cmd" } else { "npm" };
    let said = Command::new(program)
        .args(args)
        .current_dir(work)
        .env_remove("NODE_ENV")
        .output()
        .map_err(|e| format!("npm could not be started ({e}); the pages need Node 20 or newer with npm"))?;
    if said.status.success() {
        return Ok(());
    }
    let text = [said.stdout, said.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).concat();
    let complaints: Vec<&str> = text.lines().map(str::trim).filter(|line| line.contains("rror")).take(3).collect();
    Err(format!("`npm {} ...` failed: {}", args[0], complaints.join(" / ")).into())
}

/// A page that says how to get the pages. A missing file is named to cargo, so that the next build tries npm again.
fn notice(here: &Path, out: &Path, why: &dyn Error) -> Outcome<PathBuf> {
    println!("cargo:rerun-if-changed={}", out.join("npm-has-not-built").display());
    println!(
        "cargo:warning=the web pages were not built, a notice takes their place: {}",
        why.to_string().replace('\n', " ")
    );
    let folder = out.join("notice");
    fs::create_dir_all(&folder)?;
    let template = fs::read_to_string(here.join("notice.html"))?;
    fs::write(folder.join("index.html"), template.replace("{why}", &escaped(&why.to_string())))?;
    Ok(folder)
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

fn copy_sources(here: &Path, work: &Path) -> Outcome<()> {
    for source in SOURCES {
        let (from, to) = (here.join(source), work.join(source));
        if from.is_dir() {
            if to.exists() {
                fs::remove_dir_all(&to)?;
            }
            for file in files_under(&from)? {
                let target = to.join(file.strip_prefix(&from)?);
                if let Some(parent) = target.parent() {
                    fs::create_dir_all(parent)?;
                }
                fs::copy(&file, target)?;
            }
        } else {
            fs::copy(&from, &to)?;
        }
    }
    Ok(())
}

fn fingerprint(here: &Path, sources: &[&str]) -> Outcome<String> {
    let mut hash = Fnv::default();
    for source in sources {
        for file in files_under(&here.join(source))? {
            hash.eat(file.strip_prefix(here)?.to_string_lossy().replace('\\', "/").as_bytes());
            hash.eat(&[0]);
            hash.eat(&fs::read(&file)?);
        }
    }
    Ok(hash.hex())
}

/// Every file at or below a path, sorted, so that the same sources give the same fingerprint.
fn files_under(path: &Path) -> Outcome<Vec<PathBuf>> {
    if path.is_file() {
        return Ok(vec![path.to_path_buf()]);
    }
    let mut found = Vec::new();
    for entry in fs::read_dir(path).map_err(|e| format!("{}: {e}", path.display()))? {
        found.extend(files_under(&entry?.path())?);
    }
    found.sort();
    Ok(found)
}

/// The Rust source of the table of pages.
fn table(folder: &Path, is_notice: bool) -> Outcome<String> {
    let mut rust = String::from("static PAGES: &[Page] = &[\n");
    for file in files_under(folder)? {
        let name = file.strip_prefix(folder)?.to_string_lossy().replace('\\', "/");
        if name.ends_with(".gz") {
            continue;
        }
        let path = if name == "index.html" { "/".to_owned() } else { format!("/{name}") };
        let mut hash = Fnv::default();
        hash.eat(&fs::read(&file)?);
        let packed = folder.join(format!("{name}.gz"));
        let gzip = if packed.is_file() {
            format!("Some(include_bytes!({:?}))", packed.display().to_string())
        } else {
            "None".into()
        };
        writeln!(
            rust,
            "    Page {{ path: {path:?}, mime: {:?}, bytes: include_bytes!({:?}), gzip: {gzip}, immutable: {}, etag: {:?} }},",
            mime(&name),
            file.display().to_string(),
            name.starts_with("assets/"),
            format!("\"{}\"", hash.hex()),
        )?;
    }
    write!(
        rust,
        "];\n/// Whether npm was missing when this was built, so that a notice stands where the pages should be.\npub const IS_NOTICE: bool = {is_notice};\n"
    )?;
    Ok(rust)
}

fn mime(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "json" | "webmanifest" => "application/json",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// FNV-1a, 64 bits: enough to tell one set of files from another; no defence against anybody.
struct Fnv(u64);

impl Default for Fnv {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl Fnv {
    fn eat(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    fn hex(&self) -> String {
        format!("{:016x}", self.0)
    }
}
