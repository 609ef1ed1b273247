//! What the writer thread owns: the folder, the clock, and the operation that is open.

use super::desk::Answer;
use crate::outside::{home_folder, outside};
use crate::stamp::{Clock, now_words};
use serde_json::Value;
use service::findings::CAUTION;
use service::folder::NewOperation;
use service::paper::Units;
use service::rig_look::{Checking, RigLook};
use service::wire::{
    Acked, Asked, Candidate, Health, LineRow, ReviewView, Sifted, Start, TemplateView, Told, Trouble, View,
};
use service::{Now, Session, doctor, folder, mirror, review, rigs, view};
use std::path::{Path, PathBuf};
use std::time::Instant;

/// The folder, the clock, and the operation that is open.
pub struct Bench {
    folder: PathBuf,
    clock: Option<Clock>,
    session: Option<Session>,
    /// Why the file named at the start could not be opened.
    trouble: Option<Trouble>,
    /// When the scribe's window last asked for the view, or recorded something.
    asked: Instant,
}

impl Bench {
    /// Opens `file` if one was named; what goes wrong is kept for the first screen.
    pub fn open(file: Option<PathBuf>) -> Self {
        let home = home_folder(|name| std::env::var_os(name));
        let mut bench =
            Self { folder: home, clock: None, session: None, trouble: None, asked: Instant::now() };
        if let Some(file) = file {
            bench.trouble = bench.take(&file).err();
        }
        bench
    }

    /// What the first screen needs.
    pub fn start(&mut self) -> Answer<Start> {
        Ok(Start {
            version: service::PROGRAM.into(),
            folder: self.folder.display().to_string(),
            found: if self.session.is_some() { Vec::new() } else { folder::found(&self.folder) },
            open: self.session.is_some(),
            trouble: self.trouble.clone(),
            caution: CAUTION.into(),
        })
    }

    /// Makes a new operation in the folder and opens it.
    pub fn new_operation(&mut self, asked: &NewOperation<'_>) -> Answer<View> {
        self.close()?;
        let stamp = self.clock()?.stamp()?;
        self.session = Some(folder::new_operation(&self.folder, asked, &holder(), &stamp)?);
        self.view()
    }

    /// Opens an operation file, to write, or only to read where it cannot be written.
    pub fn open_operation(&mut self, file: &Path) -> Answer<View> {
        self.close()?;
        self.take(file)?;
        self.view()
    }

    /// Puts the open file away.
    pub fn close_file(&mut self) -> Answer<Start> {
        self.close()?;
        self.start()
    }

    /// Everything as of now.
    pub fn view(&mut self) -> Answer<View> {
        self.asked = Instant::now();
        self.session()?.follow()?;
        let now = self.now()?;
        Ok(view::view(self.session()?, now))
    }

    /// Records one step. After the operation is closed its file is made whole, so that it can be copied
    /// alone while the window still stands.
    pub fn act(&mut self, step: &Value, key: Option<&str>) -> Answer<Acked> {
        self.asked = Instant::now();
        let clock = self.clock()?;
        let stamp = match key {
            Some(key) => clock.stamp_of(key)?,
            None => clock.stamp()?,
        };
        let now = self.now()?;
        let acked = view::act(self.session()?, step, &stamp, now)?;
        if step["do"] == "close" {
            self.reopen()?;
        }
        Ok(acked)
    }

    /// What the commander's window shows; `unsaved` entries wait in the scribe's. Takes the bench as it stands: nothing can
    /// be written by it.
    pub fn told(&self, unsaved: usize) -> Told {
        let open = self.clock.as_ref().zip(self.session.as_ref());
        Told {
            operation: open.map(|(clock, session)| view::commander(session, session.now(&clock.reading()))),
            unsaved,
            scribe_silent_ms: self.asked.elapsed().as_secs_f64() * 1000.0,
        }
    }

    /// What the free line could mean.
    pub fn complete(&mut self, line: &str) -> Answer<Vec<Candidate>> {
        let now = chrono::Local::now().fixed_offset();
        Ok(view::complete(self.session()?, line, now))
    }

    /// Rows of the line by place.
    pub fn rows(&mut self, from: usize, count: usize) -> Answer<Vec<LineRow>> {
        Ok(view::rows(self.session()?, from, count))
    }

    /// Rows of a part of the line.
    pub fn sifted(&mut self, asked: &Asked, from: Option<usize>, count: usize) -> Answer<Sifted> {
        let now = self.now()?;
        view::sifted(self.session()?, asked, from, count, now)
    }

    /// The rigs that can be made.
    pub fn templates(&mut self) -> Answer<Vec<TemplateView>> {
        Ok(rigs::templates())
    }

    /// What a look at the rigs needs: the look itself is worked out apart from this thread.
    pub fn rig_look(&mut self) -> Answer<RigLook> {
        Ok(RigLook::of(&self.session()?.state))
    }

    /// What a check would be of, to be worked out apart from this thread.
    pub fn wanted_check(&mut self, rig: Option<&str>) -> Answer<Option<Checking>> {
        Ok(self.session()?.to_check(rig))
    }

    /// Takes a check that was worked out, for when it is recorded.
    pub fn ready(&mut self, checking: Checking) -> Answer<()> {
        self.session()?.ready(checking);
        Ok(())
    }

    /// Where the open operation lies.
    pub fn file(&mut self) -> Answer<std::path::PathBuf> {
        Ok(self.session()?.file().to_path_buf())
    }

    /// The folder operations are kept in.
    pub fn folder(&mut self) -> Answer<std::path::PathBuf> {
        Ok(self.folder.clone())
    }

    /// What happened, measured, in these units.
    pub fn review(&mut self, units: Units) -> Answer<ReviewView> {
        let now = self.now()?;
        Ok(review::view(self.session()?, now, units))
    }

    /// Writes the report beside the operation file.
    pub fn report(&mut self, units: Units) -> Answer<String> {
        let pdf = folder::report_beside(self.session()?, units)?;
        Ok(pdf.display().to_string())
    }

    /// Whether this machine and the open file will do.
    pub fn doctor(&mut self) -> Answer<Health> {
        let file = self.session.as_ref().map(|session| session.file());
        let mirror = self.session.as_ref().and_then(mirror::view);
        Ok(doctor::view(&doctor::examine(&self.folder, file, mirror, &outside()?)))
    }

    /// Files a second copy could be kept in, on the sticks that are there.
    pub fn mirror_places(&mut self) -> Answer<Vec<String>> {
        let places = mirror::places(self.session()?.file(), &mirror::MEDIA.map(Path::new));
        Ok(places.into_iter().map(|place| place.display().to_string()).collect())
    }

    /// Keeps the second copy there from now on; with nothing, keeps none.
    pub fn mirror(&mut self, to: Option<&Path>) -> Answer<View> {
        match to {
            Some(to) => self.session()?.mirror_to(to)?,
            None => self.session()?.mirror_off()?,
        }
        self.view()
    }

    /// Writes from now on, the program that wrote being gone.
    pub fn take_over(&mut self) -> Answer<View> {
        if self.session()?.may_take_over() {
            self.reopen()?;
        }
        self.view()
    }

    /// Reads the open operation anew from its file.
    pub fn reopen(&mut self) -> Answer<()> {
        let Some(session) = self.session.take() else { return Ok(()) };
        let file = session.file().to_path_buf();
        // What cannot be closed cleanly still opens again, by its write-ahead log.
        let closed = session.close();
        self.take(&file)?;
        closed
    }

    /// Closes the operation file cleanly, when the program ends.
    pub fn put_away(mut self) {
        if let Err(trouble) = self.close() {
            // Without the file's name, which is the operation's.
            eprintln!("The operation file could not be put away ({}): {}.", trouble.code, trouble.remedy);
        }
    }

    fn take(&mut self, file: &Path) -> Answer<()> {
        let mut session = Session::open_or_look(file, &holder())?;
        self.clock()?.greet(&mut session);
        self.session = Some(session);
        self.trouble = None;
        Ok(())
    }

    fn close(&mut self) -> Answer<()> {
        self.trouble = None;
        self.session.take().map_or(Ok(()), Session::close)
    }

    fn clock(&mut self) -> Answer<&Clock> {
        if self.clock.is_none() {
            self.clock = Some(Clock::start()?);
        }
        self.clock.as_ref().ok_or_else(none_open)
    }

    /// The present on the line of the open operation; a sleep of the machine is told first.
    fn now(&mut self) -> Answer<Now> {
        self.clock()?;
        let (Some(clock), Some(session)) = (&self.clock, &mut self.session) else {
            return Err(none_open());
        };
        clock.tell_sleep(session);
        Ok(session.now(&clock.reading()))
    }

    fn session(&mut self) -> Answer<&mut Session> {
        self.session.as_mut().ok_or_else(none_open)
    }
}

fn none_open() -> Trouble {
    Trouble::new("none_open", "no operation is open", "", "open one or start one")
}

/// Who holds the file, for another program that wants it.
fn holder() -> String {
    format!("a Ledgebook window since {}", now_words())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn bench(folder: &Path) -> Bench {
        Bench { folder: folder.into(), clock: None, session: None, trouble: None, asked: Instant::now() }
    }

    const ASKED: NewOperation<'_> =
        NewOperation { name: "Heron Step", place: "Heron Step", purpose: "drill", edge_height: Some("9m") };

    #[test]
    fn a_new_operation_is_recorded_read_anew_and_put_away_whole() {
        let dir = tempfile::tempdir().unwrap();
        let mut bench = bench(dir.path());
        let opened = bench.new_operation(&ASKED).unwrap();
        assert_eq!(opened.operation.name, "Heron Step");
        let note = json!({"do": "note", "from": "scribe", "text": "fog"});
        let acked = bench.act(&note, None).unwrap();
        bench.reopen().unwrap();
        let again = bench.view().unwrap();
        assert_eq!((again.saved.count, &again.saved.head), (acked.view.saved.count, &acked.view.saved.head));
        assert!(bench.start().unwrap().open);
        bench.put_away();
        let left: Vec<_> =
            std::fs::read_dir(dir.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left, ["Heron Step.ledge"], "one file, that can be copied alone");
    }

    #[test]
    fn the_commanders_window_is_told_through_opening_and_closing_and_leaves_the_record_as_it_is() {
        let dir = tempfile::tempdir().unwrap();
        let mut bench = bench(dir.path());
        assert!(bench.told(0).operation.is_none());
        let opened = bench.new_operation(&ASKED).unwrap();
        let first = bench.told(3);
        assert_eq!((first.operation.unwrap().name.as_str(), first.unsaved), ("Heron Step", 3));
        std::thread::sleep(std::time::Duration::from_millis(30));
        assert!(bench.told(0).scribe_silent_ms >= 30.0);
        let asked = Instant::now();
        let again = bench.view().unwrap();
        assert_eq!(
            (again.saved.count, again.saved.head),
            (opened.saved.count, opened.saved.head),
            "it wrote nothing"
        );
        let silent = bench.told(0).scribe_silent_ms;
        assert!(
            silent <= asked.elapsed().as_secs_f64() * 1000.0,
            "the scribe's window asked since then: {silent}"
        );
        bench.close_file().unwrap();
        assert!(bench.told(0).operation.is_none());
        bench.open_operation(&dir.path().join("Heron Step.ledge")).unwrap();
        assert!(bench.told(0).operation.is_some());
    }

    #[test]
    fn a_file_that_cannot_be_opened_is_told_and_nothing_is_open() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("torn.ledge");
        std::fs::write(&file, "torn").unwrap();
        let mut bench = bench(dir.path());
        let trouble = bench.open_operation(&file).unwrap_err();
        assert!(trouble.place.contains("torn.ledge"), "{trouble:?}");
        assert_eq!(bench.view().unwrap_err().code, "none_open");
        assert!(!bench.start().unwrap().open);
        assert_eq!(std::fs::read_to_string(&file).unwrap(), "torn");
    }
}
