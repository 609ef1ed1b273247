//! After an accident: a sealed copy of the file as it stands, for the entry that tells of it.

use super::Session;
use crate::wire::Trouble;
use operation::Computed;

impl Session {
    /// Makes a sealed copy of the operation beside it ([`journal::seal`]); answers its name, its count of entries and its head.
    pub(super) fn sealed(&self) -> Result<Computed, Trouble> {
        let (copy, head) = journal::seal::seal(self.file())?;
        let name = copy.file_name().unwrap_or_default().to_string_lossy().into_owned();
        Ok(Computed::Sealed(name, head.count, head.hex))
    }
}
