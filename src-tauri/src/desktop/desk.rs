//! The one thread that writes. Commands hand it closures; it works them off in turn, so entries are
//! recorded in the order they were made and the window never waits for the disk.

use super::bench::Bench;
use service::wire::Trouble;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError, mpsc};
use std::thread::{Builder, JoinHandle};
use tauri::async_runtime::channel;

/// What a command answers.
pub type Answer<T> = Result<T, Trouble>;

type Job = Box<dyn FnOnce(&mut Bench) + Send>;

/// The way to the writer thread.
pub struct Desk {
    line: Mutex<Option<(mpsc::Sender<Job>, JoinHandle<()>)>>,
}

impl Desk {
    /// Starts the writer thread; it opens `file` first, if one was named.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn open(file: Option<PathBuf>) -> std::io::Result<Self> {
        let (send, jobs) = mpsc::channel::<Job>();
        let thread = Builder::new().name("writer".into()).spawn(move || {
            let mut bench = Bench::open(file);
            while let Ok(job) = jobs.recv() {
                job(&mut bench);
            }
            bench.put_away();
        })?;
        Ok(Self { line: Mutex::new(Some((send, thread))) })
    }

    /// Hands `work` to the writer thread and waits for its answer. A fault of ours in `work` comes
    /// back as trouble; the thread lives on.
    ///
    /// # Errors
    /// What `work` answers, a fault in it, or that the desk is shut.
    pub async fn ask<T, W>(&self, work: W) -> Answer<T>
    where
        T: Send + 'static,
        W: FnOnce(&mut Bench) -> Answer<T> + Send + 'static,
    {
        let (reply, mut answer) = channel(1);
        self.hand_over(Box::new(move |bench| {
            let done = catch_unwind(AssertUnwindSafe(|| work(bench)));
            // The window may have gone meanwhile: then nobody waits for the answer.
            let _ = reply.blocking_send(done.unwrap_or_else(|_| Err(after_fault(bench))));
        }))?;
        answer.recv().await.unwrap_or_else(|| Err(shut()))
    }

    /// Works off what waits, closes the operation file cleanly and ends the thread.
    pub fn shut(&self) {
        let line = self.line.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some((send, thread)) = line {
            drop(send);
            // An error here is a fault while closing: the file opens again all the same, by its WAL.
            let _ = thread.join();
        }
    }

    fn hand_over(&self, job: Job) -> Answer<()> {
        let line = self.line.lock().unwrap_or_else(PoisonError::into_inner);
        let (send, _) = line.as_ref().ok_or_else(shut)?;
        send.send(job).map_err(|_| shut())
    }
}

/// After a fault nothing in memory is trusted: the operation is read anew from its file.
fn after_fault(bench: &mut Bench) -> Trouble {
    let again = match bench.reopen() {
        Ok(()) => {
            "All that was shown as saved is on the disk and was read anew. Look whether the last call stands; if not, say it again."
        }
        Err(_) => "All that was shown as saved is on the disk. Open the operation again.",
    };
    Trouble {
        code: "fault".into(),
        what: "a fault of the program's own; the last call may not be recorded".into(),
        place: "the last thing asked".into(),
        remedy: again.into(),
    }
}

fn shut() -> Trouble {
    Trouble {
        code: "shut".into(),
        what: "the program is closing".into(),
        place: String::new(),
        remedy: "Start it again: all that was shown as saved is there.".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tauri::async_runtime::block_on;

    #[test]
    fn works_off_jobs_in_turn_and_survives_a_fault() {
        let desk = Desk::open(None).unwrap();
        assert_eq!(block_on(desk.ask(|_| Ok(1))), Ok(1));
        let fault: Answer<()> = block_on(desk.ask(|_| panic!("planted by a test")));
        assert_eq!(fault.unwrap_err().code, "fault");
        assert_eq!(block_on(desk.ask(|_| Ok(2))), Ok(2), "the thread lives on after a fault");
    }

    #[test]
    fn says_so_when_shut() {
        let desk = Desk::open(None).unwrap();
        desk.shut();
        desk.shut();
        assert_eq!(block_on(desk.ask(|_| Ok(()))).unwrap_err().code, "shut");
    }
}
