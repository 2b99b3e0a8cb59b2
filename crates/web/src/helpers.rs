//! The threads that work side by side, each on a core of its own where there are two.
//!
//! A helper that is woken on two cores is often put on the core of the one that woke it, though the other is idle, and stays
//! there for the 4 ms until the system looks again: measured on Linux 6.18, 4 of 10 edits took 17 ms instead of 12. With
//! more cores it is put on a free one.

/// Starts the helpers, as many as there are cores. What has started them before, as a test may, has its way.
pub(crate) fn start() {
    let pool = rayon::ThreadPoolBuilder::new().thread_name(|helper| format!("helper {helper}"));
    #[cfg(target_os = "linux")]
    let pool = pool.start_handler(on_its_core());
    drop(pool.build_global());
}

/// Keeps a helper on its core, where there are two of them.
#[cfg(target_os = "linux")]
fn on_its_core() -> impl Fn(usize) + Send + Sync {
    use rustix::thread::{CpuSet, sched_getaffinity, sched_setaffinity};
    let may = sched_getaffinity(None).unwrap_or_default();
    let cores: Vec<usize> = (0..CpuSet::MAX_CPU).filter(|core| may.is_set(*core)).collect();
    move |helper| {
        if let [_, _] = cores[..] {
            let mut own = CpuSet::new();
            own.set(cores[helper % 2]);
            // Where it is not allowed, it goes where the system puts it.
            sched_setaffinity(None, &own).ok();
        }
    }
}
