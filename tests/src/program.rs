//! The real program: started in a temporary folder on free ports, asked over HTTP, stopped or killed.
#![allow(clippy::panic)] // a test's helpers are part of the test

use std::io::Read;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

use serde_json::Value;

/// How long anything may take that must happen; the machine may be busy with other tests.
pub const PATIENCE: Duration = Duration::from_secs(60);
/// Between two looks at a state.
const PAUSE: Duration = Duration::from_millis(15);

/// The program under test: `PROPSTICK_BIN`, or what was built beside this test. Where there is none, the caller's test is to return at
/// once: that has been said, and with `CI=true` it fails.
pub fn program() -> Option<PathBuf> {
    let named = std::env::var_os("PROPSTICK_BIN").map(PathBuf::from);
    let file = named.or_else(|| Some(std::env::current_exe().ok()?.parent()?.parent()?.join("propstick")));
    match file {
        Some(file) if file.is_file() => Some(file),
        other => {
            let why = format!("the program {} is not built", other.unwrap_or_default().display());
            assert!(std::env::var("CI").map_or(true, |v| v != "true"), "{why}, and CI=true allows no skipping");
            crate::data::skipped(&why);
            None
        }
    }
}

/// A temporary folder, in memory where the machine has one there: for tests that write a great many small transactions.
pub fn quick_folder() -> std::io::Result<tempfile::TempDir> {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() { tempfile::tempdir_in(memory).or_else(|_| tempfile::tempdir()) } else { tempfile::tempdir() }
}

/// Runs a command of the program to its end.
pub fn run(program: &Path, args: &[&str]) -> Output {
    let mut child = Command::new(program)
        .args(args)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("{}: {e}", program.display()));
    let (out, err) = (Said::listen(child.stdout.take()), Said::listen(child.stderr.take()));
    let status = ended(&mut child).unwrap_or_else(|| {
        let _ = child.kill();
        let _ = child.wait();
        panic!("propstick {args:?} did not end\n{}{}", out.text(), err.text())
    });
    let output = Output { status, stdout: out.whole().into_bytes(), stderr: err.whole().into_bytes() };
    assert!(!told(&output).contains("panicked"), "propstick {args:?}: {}", told(&output));
    output
}

/// What a command wrote to standard error.
pub fn told(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// The program, running. It is killed when this value goes.
pub struct Running {
    child: Child,
    out: Said,
    err: Said,
    /// Where its own broker listens, if it has one.
    pub mqtt: Option<SocketAddr>,
    /// Where it answers.
    pub web: SocketAddr,
}

impl Running {
    /// Starts `propstick` with `args` and waits until it answers; what it says of its end where it ends before that.
    ///
    /// # Errors
    /// Its exit code and what it wrote to standard error.
    pub fn try_start(program: &Path, args: &[&str]) -> Result<Running, (Option<i32>, String)> {
        let mut child = Command::new(program)
            .args(args)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap_or_else(|e| panic!("{}: {e}", program.display()));
        let (out, err) = (Said::listen(child.stdout.take()), Said::listen(child.stderr.take()));
        let address = |mark: &str| address_after(&out.text(), mark).or_else(|| address_after(&err.text(), mark));
        let until = Instant::now() + PATIENCE;
        loop {
            if let Some(web) = address("Pages:  http://") {
                let mqtt = address("Boards: mqtt://");
                return Ok(Running { child, out, err, mqtt, web });
            }
            if let Ok(Some(status)) = child.try_wait() {
                return Err((status.code(), err.whole()));
            }
            if Instant::now() > until {
                let _ = child.kill();
                let _ = child.wait();
                panic!("propstick {args:?} does not answer\n{}{}", out.text(), err.text());
            }
            out.wait_for_more();
        }
    }

    /// Starts `propstick` with `args` and waits until it answers.
    pub fn start(program: &Path, args: &[&str]) -> Running {
        Running::try_start(program, args)
            .unwrap_or_else(|(code, why)| panic!("propstick {args:?} ended with {code:?}: {why}"))
    }

    /// The answer to a GET below `/api/`: its status and its JSON.
    pub fn get(&self, path: &str) -> (u16, Value) {
        let asked = ureq::get(format!("http://{}/api/{path}", self.web))
            .config()
            .http_status_as_error(false)
            .timeout_global(Some(PATIENCE))
            .build()
            .call();
        let mut answer = asked.unwrap_or_else(|e| panic!("GET {path}: {e}\n{}", self.err.text()));
        let status = answer.status().as_u16();
        let text = answer.body_mut().with_config().limit(256 << 20).read_to_string();
        let text = text.unwrap_or_else(|e| panic!("GET {path}: {e}"));
        (status, serde_json::from_str(&text).unwrap_or(Value::String(text)))
    }

    /// The answer to a GET below `/api/` that must succeed.
    pub fn ask(&self, path: &str) -> Value {
        let (status, answer) = self.get(path);
        assert_eq!(status, 200, "GET {path}: {answer}");
        answer
    }

    /// Asks until the answer fits, and gives it.
    pub fn until(&self, what: &str, path: &str, fits: impl Fn(&Value) -> bool) -> Value {
        let until = Instant::now() + PATIENCE;
        loop {
            let answer = self.ask(path);
            if fits(&answer) {
                return answer;
            }
            assert!(Instant::now() < until, "waited in vain for {what}: {answer}\n{}", self.err.text());
            std::thread::sleep(PAUSE);
        }
    }

    /// Waits until everything committed is worked out.
    pub fn until_worked_out(&self) {
        self.until("everything to be worked out", "health", |h| h["not_worked_out"] == 0);
    }

    /// What it has written to standard error so far.
    pub fn log(&self) -> String {
        self.err.text()
    }

    /// Ends it at once, as `kill -9` does.
    pub fn kill(mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
        let log = self.err.whole();
        assert!(!log.contains("panicked"), "{log}");
    }

    /// Asks it to end, as a service manager does, and waits for it; what it wrote to standard error.
    pub fn stop(mut self) -> String {
        let asked = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status();
        assert!(asked.is_ok_and(|s| s.success()), "kill -TERM");
        let status = ended(&mut self.child);
        let log = self.err.whole();
        assert!(status.is_some_and(|s| s.success()), "ended with {status:?}: {log}");
        assert!(!log.contains("panicked"), "{log}");
        log
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
        if std::thread::panicking() {
            eprintln!("propstick said:\n{}{}", self.out.text(), self.err.text());
        }
    }
}

/// Waits for a process to end, but not for ever.
fn ended(child: &mut Child) -> Option<ExitStatus> {
    let until = Instant::now() + PATIENCE;
    loop {
        match child.try_wait() {
            Ok(Some(status)) => return Some(status),
            Ok(None) if Instant::now() < until => std::thread::sleep(PAUSE),
            _ => return None,
        }
    }
}

fn address_after(text: &str, mark: &str) -> Option<SocketAddr> {
    let (_, rest) = text.split_once(mark)?;
    // The line must be whole: an address cut short may be one, too.
    let (line, _) = rest.split_once('\n')?;
    line.split(['/', ' ']).next()?.parse().ok()
}

/// What a process writes, as it comes.
struct Said {
    heard: Arc<(Mutex<Heard>, Condvar)>,
}

#[derive(Default)]
struct Heard {
    bytes: Vec<u8>,
    is_over: bool,
}

impl Said {
    fn listen(stream: Option<impl Read + Send + 'static>) -> Said {
        let heard = Arc::new((Mutex::new(Heard::default()), Condvar::new()));
        let told = Arc::clone(&heard);
        std::thread::spawn(move || {
            let mut buffer = [0; 4_096];
            let mut stream = stream;
            loop {
                let n = stream.as_mut().and_then(|s| s.read(&mut buffer).ok()).unwrap_or(0);
                let mut heard = told.0.lock().unwrap_or_else(PoisonError::into_inner);
                heard.bytes.extend_from_slice(&buffer[..n]);
                heard.is_over = n == 0;
                told.1.notify_all();
                if n == 0 {
                    return;
                }
            }
        });
        Said { heard }
    }

    fn text(&self) -> String {
        let heard = self.heard.0.lock().unwrap_or_else(PoisonError::into_inner);
        String::from_utf8_lossy(&heard.bytes).into_owned()
    }

    /// Everything, once the process has ended.
    fn whole(&self) -> String {
        let heard = self.heard.0.lock().unwrap_or_else(PoisonError::into_inner);
        let over = self.heard.1.wait_timeout_while(heard, PATIENCE, |h| !h.is_over);
        let (heard, _) = over.unwrap_or_else(PoisonError::into_inner);
        String::from_utf8_lossy(&heard.bytes).into_owned()
    }

    fn wait_for_more(&self) {
        let heard = self.heard.0.lock().unwrap_or_else(PoisonError::into_inner);
        let _ = self.heard.1.wait_timeout(heard, PAUSE);
    }
}
