//! Peak memory of this process, as Linux counts it: with and without mapped files. Elsewhere it is not known.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Duration;

/// Watches the memory that is the process's own, from a thread, until asked.
pub struct Watch {
    done: Arc<AtomicBool>,
    own_kib: Arc<AtomicU64>,
}

impl Watch {
    /// Begins to watch.
    pub fn start() -> Self {
        let watch = Watch { done: Arc::default(), own_kib: Arc::default() };
        let (done, own_kib) = (Arc::clone(&watch.done), Arc::clone(&watch.own_kib));
        std::thread::spawn(move || {
            while !done.load(Ordering::Relaxed) {
                own_kib.fetch_max(status_kib("RssAnon:").unwrap_or(0), Ordering::Relaxed);
                std::thread::sleep(Duration::from_millis(10));
            }
        });
        watch
    }

    /// Peak resident memory and peak anonymous memory so far, MiB; nought where it is not known.
    pub fn peaks_mib(&self) -> (u64, u64) {
        self.done.store(true, Ordering::Relaxed);
        let own = self.own_kib.load(Ordering::Relaxed).max(status_kib("RssAnon:").unwrap_or(0));
        (status_kib("VmHWM:").unwrap_or(0) / 1024, own / 1024)
    }
}

/// One line of the process's status, KiB.
fn status_kib(name: &str) -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with(name))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
