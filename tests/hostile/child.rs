//! A process of its own for what could take one down: it says at which round it is, and is ended when it hangs.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::{PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};
use std::time::{Duration, Instant};

/// Names the task to the process that does it.
pub const TASK: &str = "HOSTILE_TASK";
/// Where that process notes the round it is at.
const AT: &str = "HOSTILE_AT";
/// Mebibytes at the peak, the process itself counted.
pub const MEBIBYTES: u64 = 200;

/// Held by all that works beside others, and alone by what is timed: two cores that share a cache are slower each.
static MACHINE: RwLock<()> = RwLock::new(());

/// Works beside the other tests.
pub fn beside() -> RwLockReadGuard<'static, ()> {
    MACHINE.read().unwrap_or_else(PoisonError::into_inner)
}

/// Works while no other test does.
pub fn alone() -> RwLockWriteGuard<'static, ()> {
    MACHINE.write().unwrap_or_else(PoisonError::into_inner)
}

/// What a process of its own said.
pub struct Outcome {
    /// Lines that begin with "FAULT|", without it.
    pub faults: Vec<String>,
    /// The line that begins with "DONE|", without it.
    pub done: Option<String>,
    /// Where it was when it was ended or died.
    pub at: String,
    /// How it ended.
    pub status: String,
}

/// Runs `test` of this very program with the task in its environment, for at most so long.
pub fn run(test: &str, task: &str, limit: Duration) -> Outcome {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().join("at");
    let out = folder.path().join("out");
    let mut process = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture", "--test-threads=1"])
        .env(TASK, task)
        .env(AT, &at)
        .stdout(Stdio::from(std::fs::File::create(&out).unwrap()))
        .spawn()
        .unwrap();
    let begun = Instant::now();
    let status = loop {
        match process.try_wait().unwrap() {
            Some(status) => break status.to_string(),
            None if begun.elapsed() > limit => {
                process.kill().unwrap();
                process.wait().unwrap();
                break format!("it hangs: no end within {} s", limit.as_secs());
            }
            None => std::thread::sleep(Duration::from_millis(20)),
        }
    };
    let said = String::from_utf8_lossy(&std::fs::read(&out).unwrap()).into_owned();
    let after = |mark: &str| {
        let lines = said.lines().filter_map(move |line| line.split_once(mark));
        lines.map(|(_, rest)| rest.to_owned()).collect::<Vec<String>>()
    };
    let at = std::fs::read_to_string(&at).unwrap_or_default();
    Outcome { faults: after("FAULT|"), done: after("DONE|").pop(), at, status }
}

/// Notes the round this process is at.
pub fn at(round: u64) {
    if let Some(path) = std::env::var_os(AT) {
        let mut file = std::fs::File::create(Path::new(&path)).unwrap();
        write!(file, "{round}").unwrap();
    }
}

/// Peak resident memory of this process, MiB, as Linux counts it; not known elsewhere.
pub fn peak_mib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|kib| kib / 1024)
}
