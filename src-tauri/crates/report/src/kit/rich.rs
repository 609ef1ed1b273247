//! Text of several looks. What people wrote is only ever text here, never markup.

use drawing::Run;
use drawing::list::Face;
use drawing::metrics::{self, Lead};

/// Text of several looks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rich(Vec<Run>);

impl Rich {
    /// No text yet.
    pub fn new() -> Self {
        Rich::default()
    }

    fn add(mut self, run: Run) -> Self {
        if !run.text.is_empty() {
            self.0.push(run);
        }
        self
    }

    /// Adds plain text.
    pub fn plain(self, text: impl Into<String>) -> Self {
        self.add(Run::plain(text))
    }

    /// Adds bold text.
    pub fn bold(self, text: impl Into<String>) -> Self {
        self.add(Run::bold(text))
    }

    /// Adds bold rubric: what departs from normal.
    pub fn rubric(self, text: impl Into<String>) -> Self {
        self.add(Run::rubric(text))
    }

    /// Adds text in the fixed-width face.
    pub fn mono(self, text: impl Into<String>) -> Self {
        self.add(Run::mono(text))
    }

    /// Adds struck text: words that a correction replaced.
    pub fn struck(self, text: impl Into<String>) -> Self {
        self.add(Run::struck(text))
    }

    /// Adds plain text that leads somewhere.
    pub fn leading(self, text: impl Into<String>, lead: Lead) -> Self {
        self.add(Run { lead: Some(lead), ..Run::plain(text) })
    }

    /// The same text, all of it leading to a place.
    pub fn to(mut self, lead: Lead) -> Self {
        self.0.iter_mut().for_each(|run| run.lead = Some(lead));
        self
    }

    /// Adds another text.
    pub fn then(mut self, other: Rich) -> Self {
        self.0.extend(other.0);
        self
    }

    /// Whether there is nothing to set.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The words alone.
    pub fn words(&self) -> String {
        self.0.iter().map(|run| run.text.as_str()).collect()
    }

    /// Breaks the text into lines no wider than `width` mm at `size` pt.
    pub fn wrap(&self, width: f64, size: f64) -> Vec<Vec<Run>> {
        let clean: Vec<Run> = self
            .0
            .iter()
            .map(|run| Run { text: metrics::clean(&run.text, run.face), ..run.clone() })
            .collect();
        metrics::wrap_runs(&clean, size, width)
    }
}

impl From<&str> for Rich {
    fn from(text: &str) -> Self {
        Rich::new().plain(text)
    }
}

impl From<String> for Rich {
    fn from(text: String) -> Self {
        Rich::new().plain(text)
    }
}

/// Plain text cut to a width in mm, with "…" where it was cut.
pub fn cut(text: &str, room: f64, size: f64, face: Face) -> String {
    metrics::fit(&metrics::clean(text, face).replace('\n', " "), face, size, room)
}
