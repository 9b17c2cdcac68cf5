//! Work shared out over threads that live no longer than a call.
//!
//! There is no pool that outlives a study: its threads would be missing in a forked process, and a
//! study that a progress callback starts would wait for those of the outer one.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Threads of one study, at most: several times the cores of any machine.
pub const MOST_THREADS: usize = 1024;
/// Stack of a thread, in bytes: the equations on dual numbers need large frames. Only what is used
/// takes memory.
const THREAD_STACK: usize = 8 << 20;

/// Threads that run at the same time on this machine, as far as it says.
pub(crate) fn cores() -> usize {
    let cores = thread::available_parallelism().map_or(1, NonZero::get);
    cores.min(MOST_THREADS)
}

/// Results of `work` for the numbers from zero to `count`, in their order, by this thread and at
/// most `threads - 1` others. Where the system refuses a thread, those that there are do its work.
///
/// # Panics
/// With the panic of a thread.
pub(crate) fn in_order<R: Send>(
    count: usize,
    threads: usize,
    work: impl Fn(usize) -> R + Sync,
) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let share = || {
        let _others = EndOnPanic { next: &next, count };
        let mut done = Vec::new();
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= count {
                return done;
            }
            done.push((number, work(number)));
        }
    };
    let mut all = thread::scope(|scope| {
        let others: Vec<_> = (1..threads.min(count))
            .map_while(|_| {
                let thread = thread::Builder::new().stack_size(THREAD_STACK);
                thread.spawn_scoped(scope, share).ok()
            })
            .collect();
        let mut all = share();
        for other in others {
            all.extend(other.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        all
    });
    all.sort_unstable_by_key(|(number, _)| *number);
    all.into_iter().map(|(_, result)| result).collect()
}

/// Ends the work of all threads when one of them panics: nobody waits for the rest of the rows.
struct EndOnPanic<'a> {
    next: &'a AtomicUsize,
    count: usize,
}

impl Drop for EndOnPanic<'_> {
    fn drop(&mut self) {
        if thread::panicking() {
            self.next.store(self.count, Ordering::Relaxed);
        }
    }
}
