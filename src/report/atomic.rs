//! Files whole or not at all: each is written beside its place under a passing name and put there when all are
//! complete, in the order in which they were staged (the workbook last). Nothing is overwritten without leave, and no
//! file that was read is ever written to. It knows nothing of what is written.

use std::error::Error;
use std::fs::File;
use std::io::{self, BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use tempfile::NamedTempFile;

/// Why a result could not be written; each says which file and what to do.
#[derive(Debug, thiserror::Error)]
pub enum OutputError {
    /// The file exists and leave to replace it was not given.
    #[error("{0} exists already. Say --force to replace it, or name another file with -o.")]
    Exists(String),
    /// The file is one that was read.
    #[error("{0} is the file that was read; it is never written to. Name another file with -o.")]
    IsInput(String),
    /// The folder does not exist.
    #[error("cannot write {file}: there is no folder {folder}. Make it, or name another file with -o.")]
    NoFolder {
        /// File.
        file: String,
        /// Folder.
        folder: String,
    },
    /// Not a file but a folder.
    #[error("cannot write {0}: that is a folder. Name a file with -o.")]
    IsFolder(String),
    /// No leave to write there.
    #[error(
        "cannot write {0}: no permission to write there. Close the file if it is open elsewhere, or name another \
             place with -o."
    )]
    NotWritable(String),
    /// The disk is full.
    #[error("cannot write {0}: the disk is full. Nothing was left half written; free some space and run again.")]
    DiskFull(String),
    /// Anything else.
    #[error("cannot write {file}: {why}")]
    Other {
        /// File.
        file: String,
        /// The reason as reported.
        why: String,
    },
}

/// The passing files that stand on the disk just now, for whoever has to end the program early.
#[derive(Clone, Debug, Default)]
pub struct Leftovers(Arc<Mutex<Vec<PathBuf>>>);

impl Leftovers {
    /// Removes every passing file: to be called when the user interrupts the run, before the program ends.
    pub fn remove(&self) {
        // A poisoned lock still holds the list.
        let mut paths = self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        for path in paths.drain(..) {
            // It may be in its place already, or gone: there is nothing more to do for it.
            let _ = std::fs::remove_file(path);
        }
    }

    fn add(&self, path: &Path) {
        self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner()).push(path.to_owned());
    }

    fn forget(&self, path: &Path) {
        self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner()).retain(|each| each != path);
    }
}

/// The files of one run.
#[derive(Debug)]
pub struct Outputs {
    force: bool,
    inputs: Vec<PathBuf>,
    staged: Vec<(NamedTempFile, PathBuf)>,
    leftovers: Leftovers,
}

impl Outputs {
    /// No files yet; `force` gives leave to replace existing files, `inputs` are the files that were read.
    pub fn new(force: bool, inputs: &[PathBuf]) -> Self {
        let inputs = inputs.iter().filter_map(|path| path.canonicalize().ok()).collect();
        Self { force, inputs, staged: Vec::new(), leftovers: Leftovers::default() }
    }

    /// The passing files, to be removed when the run is interrupted.
    pub fn leftovers(&self) -> Leftovers {
        self.leftovers.clone()
    }

    /// Whether `path` may be written: to be asked before the work, so that nobody waits for a refusal.
    ///
    /// # Errors
    /// When it exists without leave to replace it, is a file that was read, is a folder, or has no folder.
    pub fn check(&self, path: &Path) -> Result<(), OutputError> {
        let shown = path.display().to_string();
        if path.is_dir() {
            return Err(OutputError::IsFolder(shown));
        }
        let folder = folder_of(path);
        if !folder.is_dir() {
            return Err(OutputError::NoFolder { file: shown, folder: folder.display().to_string() });
        }
        if path.canonicalize().is_ok_and(|full| self.inputs.contains(&full)) {
            return Err(OutputError::IsInput(shown));
        }
        // A link to nowhere counts as a file that exists: replacing it is the user's word as well.
        if !self.force && path.symlink_metadata().is_ok() {
            return Err(OutputError::Exists(shown));
        }
        Ok(())
    }

    /// Writes the bytes of `path` under a passing name in its folder.
    ///
    /// # Errors
    /// When the place is refused (see [`Outputs::check`]) or the bytes cannot be written; the passing file is then gone.
    pub fn stage<E: Error>(
        &mut self,
        path: &Path,
        write: impl FnOnce(&mut BufWriter<&File>) -> Result<(), E>,
    ) -> Result<(), OutputError> {
        let file = self.begin(path)?;
        let done = fill(file.as_file(), path, write);
        self.finish(file, path, done)
    }

    /// Writes two files side by side, each on a thread, and stages them in this order.
    ///
    /// # Errors
    /// As [`Outputs::stage`], for the first where both fail; a passing file of the other goes with `self`.
    pub fn stage_two<E: Error, F: Error>(
        &mut self,
        (one, write_one): (&Path, impl FnOnce(&mut BufWriter<&File>) -> Result<(), E> + Send),
        (other, write_other): (&Path, impl FnOnce(&mut BufWriter<&File>) -> Result<(), F> + Send),
    ) -> Result<(), OutputError> {
        let (file, beside) = (self.begin(one)?, self.begin(other)?);
        let (done, done_beside) =
            rayon::join(|| fill(file.as_file(), one, write_one), || fill(beside.as_file(), other, write_other));
        let finished = self.finish(file, one, done);
        finished.and(self.finish(beside, other, done_beside))
    }

    /// Makes the passing file of `path`.
    fn begin(&self, path: &Path) -> Result<NamedTempFile, OutputError> {
        self.check(path)?;
        let mut builder = tempfile::Builder::new();
        builder.prefix(".baywright-").suffix(".part");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // As any new file: everything that the user's mask leaves.
            builder.permissions(std::fs::Permissions::from_mode(0o666));
        }
        let file = builder.tempfile_in(folder_of(path)).map_err(|fault| from_io(path, &fault))?;
        self.leftovers.add(file.path());
        Ok(file)
    }

    fn finish(&mut self, file: NamedTempFile, path: &Path, done: Result<(), OutputError>) -> Result<(), OutputError> {
        if let Err(fault) = done {
            self.leftovers.forget(file.path());
            return Err(fault); // the passing file goes with its handle
        }
        self.staged.push((file, path.to_owned()));
        Ok(())
    }

    /// Puts every staged file in its place, in the order of staging.
    ///
    /// # Errors
    /// When a place has been taken meanwhile or cannot be written; files not yet in place are then removed.
    pub fn publish(self) -> Result<Vec<PathBuf>, OutputError> {
        for (_, path) in &self.staged {
            self.check(path)?;
        }
        let mut published = Vec::new();
        for (file, path) in self.staged {
            self.leftovers.forget(file.path());
            let put = if self.force { file.persist(&path) } else { file.persist_noclobber(&path) };
            put.map_err(|fault| from_io(&path, &fault.error))?;
            published.push(path);
        }
        Ok(published)
    }
}

fn fill<E: Error>(
    file: &File,
    path: &Path,
    write: impl FnOnce(&mut BufWriter<&File>) -> Result<(), E>,
) -> Result<(), OutputError> {
    let mut writer = BufWriter::with_capacity(1 << 18, file);
    write(&mut writer).map_err(|fault| from_any(path, &fault))?;
    writer.flush().map_err(|fault| from_io(path, &fault))?;
    drop(writer);
    // On the disk before it gets its name: a file that appears is whole even after a power cut.
    file.sync_all().map_err(|fault| from_io(path, &fault))
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn from_io(path: &Path, fault: &io::Error) -> OutputError {
    let file = path.display().to_string();
    match fault.kind() {
        ErrorKind::AlreadyExists => OutputError::Exists(file),
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => OutputError::NotWritable(file),
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => OutputError::DiskFull(file),
        _ => OutputError::Other { file, why: format!("{fault}.") },
    }
}

/// An error of a writer, told in its own words unless it is a full disk.
fn from_any(path: &Path, fault: &dyn Error) -> OutputError {
    let text = fault.to_string();
    // Some writers keep only the words of the system's fault.
    if text.contains("No space left") || text.contains("os error 28") || text.contains("os error 112") {
        return OutputError::DiskFull(path.display().to_string());
    }
    let file = path.display().to_string();
    let why = if text.ends_with('.') { text } else { format!("{text}.") };
    OutputError::Other { file, why }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(outputs: &mut Outputs, path: &Path, words: &str) -> Result<(), OutputError> {
        outputs.stage(path, |writer| writer.write_all(words.as_bytes()))
    }

    fn entries(folder: &Path) -> Vec<String> {
        let mut names: Vec<_> = std::fs::read_dir(folder)
            .expect("a folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn files_appear_only_when_all_are_complete() {
        let folder = tempfile::tempdir().expect("a folder");
        let (first, last) = (folder.path().join("a.json"), folder.path().join("a.xlsx"));
        let mut outputs = Outputs::new(false, &[]);
        words(&mut outputs, &first, "one").expect("staged");
        words(&mut outputs, &last, "two").expect("staged");
        assert!(!first.exists() && !last.exists());
        assert_eq!(outputs.publish().expect("published"), [first.clone(), last.clone()]);
        assert_eq!(entries(folder.path()), ["a.json", "a.xlsx"]);
        assert_eq!(std::fs::read_to_string(last).expect("a file"), "two");
    }

    #[test]
    fn a_failed_write_leaves_nothing_behind() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.json");
        let mut outputs = Outputs::new(false, &[]);
        let fault = outputs.stage(&path, |writer| {
            writer.write_all(b"half")?;
            Err(io::Error::new(ErrorKind::StorageFull, "No space left on device"))
        });
        assert!(matches!(fault, Err(OutputError::DiskFull(_))), "{fault:?}");
        assert!(entries(folder.path()).is_empty());
        words(&mut outputs, &path, "one").expect("staged");
        drop(outputs);
        assert!(entries(folder.path()).is_empty(), "dropped before publishing");
    }

    #[test]
    fn an_existing_file_is_replaced_only_with_leave() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.json");
        std::fs::write(&path, "old").expect("a file");
        let refused = words(&mut Outputs::new(false, &[]), &path, "new").expect_err("refused");
        assert!(refused.to_string().contains("--force"), "{refused}");
        let mut outputs = Outputs::new(true, &[]);
        words(&mut outputs, &path, "new").expect("staged");
        outputs.publish().expect("published");
        assert_eq!(std::fs::read_to_string(&path).expect("a file"), "new");
    }

    #[test]
    fn a_place_taken_meanwhile_is_not_overwritten() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.json");
        let mut outputs = Outputs::new(false, &[]);
        words(&mut outputs, &path, "new").expect("staged");
        std::fs::write(&path, "somebody else's").expect("a file");
        assert!(matches!(outputs.publish(), Err(OutputError::Exists(_))));
        assert_eq!(std::fs::read_to_string(&path).expect("a file"), "somebody else's");
        assert_eq!(entries(folder.path()), ["a.json"]);
    }

    #[test]
    fn the_input_is_never_written_to_and_bad_places_get_a_sentence() {
        let folder = tempfile::tempdir().expect("a folder");
        let input = folder.path().join("in.xlsx");
        std::fs::write(&input, "theirs").expect("a file");
        let outputs = Outputs::new(true, std::slice::from_ref(&input));
        assert!(matches!(outputs.check(&input), Err(OutputError::IsInput(_))));
        assert!(matches!(outputs.check(folder.path()), Err(OutputError::IsFolder(_))));
        assert!(matches!(outputs.check(&folder.path().join("no/where.xlsx")), Err(OutputError::NoFolder { .. })));
    }

    #[test]
    fn an_interrupted_run_removes_what_it_was_writing() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut outputs = Outputs::new(false, &[]);
        let leftovers = outputs.leftovers();
        words(&mut outputs, &folder.path().join("a.json"), "one").expect("staged");
        assert_eq!(entries(folder.path()).len(), 1);
        leftovers.remove();
        assert!(entries(folder.path()).is_empty());
    }
}
