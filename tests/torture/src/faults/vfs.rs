//! The disk of [`crate::faults::disk`] under SQLite: a VFS around the system's own, made the default of this
//! process. Files outside a registered folder pass through untouched. Syncs of registered folders are not
//! handed to the system: nothing there has to outlive the test.
//!
//! This module holds all the unsafe code of the package. SQLite calls the functions below with the pointers its VFS
//! interface promises; each block says which of those promises it leans on.
#![allow(unsafe_code)]
#![deny(unsafe_op_in_unsafe_fn)]

use crate::chance::Chance;
use crate::faults::disk::Disk;
use crate::faults::plan::{Fate, Kind};
use rusqlite::ffi::{self, sqlite3_file, sqlite3_int64, sqlite3_vfs};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ffi::{CStr, c_char, c_int, c_void};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicPtr, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, Once, PoisonError};

/// A disk as the trial and SQLite share it.
pub type Shared = Arc<Mutex<Disk>>;

static DISKS: Mutex<BTreeMap<PathBuf, Shared>> = Mutex::new(BTreeMap::new());
/// The system's own VFS.
static REAL: AtomicPtr<sqlite3_vfs> = AtomicPtr::new(std::ptr::null_mut());
/// Reads and writes of the system that did only a part, by our doing.
static PARTIAL: AtomicU64 = AtomicU64::new(0);

thread_local! {
    /// While a read or write of ours is under way: share of system calls that do only a part, and its chance.
    static CUT: RefCell<Option<(u64, Chance)>> = const { RefCell::new(None) };
}

/// Looks at a shared disk; a run that panicked elsewhere does not hide it.
pub fn lock(disk: &Shared) -> MutexGuard<'_, Disk> {
    disk.lock().unwrap_or_else(PoisonError::into_inner)
}

/// From here on the folder lies on this disk.
pub fn register(folder: &Path, disk: &Shared) {
    install();
    disks().insert(folder.to_path_buf(), Arc::clone(disk));
}

/// The folder lies on the system's own disk again.
pub fn forget(folder: &Path) {
    disks().remove(folder);
}

/// How many reads and writes of the system were cut short so far.
pub fn partial_calls() -> u64 {
    PARTIAL.load(Ordering::Relaxed)
}

fn disks() -> MutexGuard<'static, BTreeMap<PathBuf, Shared>> {
    DISKS.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The disk a path lies on, and its name there.
fn disk_of(path: &str) -> Option<(Shared, String)> {
    let path = Path::new(path);
    let name = path.file_name()?.to_str()?.to_string();
    let disk = Arc::clone(disks().get(path.parent()?)?);
    Some((disk, name))
}

fn install() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // SAFETY: SQLite starts itself; with a null name it answers its default VFS, which lives as long as the process.
        let real = unsafe { ffi::sqlite3_vfs_find(std::ptr::null()) };
        assert!(!real.is_null(), "SQLite has a disk");
        REAL.store(real, Ordering::SeqCst);
        // SAFETY: `real` is valid, and the table is plain data: a copy with other functions is a table too.
        let mut ours = unsafe { std::ptr::read(real) };
        ours.pNext = std::ptr::null_mut();
        ours.zName = c"ledgebook-torture".as_ptr();
        ours.szOsFile += FRONT as c_int;
        ours.xOpen = Some(open);
        ours.xDelete = Some(delete);
        // SAFETY: registered tables must live as long as the process: this one is leaked.
        let registered = unsafe { ffi::sqlite3_vfs_register(Box::into_raw(Box::new(ours)), 1) };
        assert_eq!(registered, ffi::SQLITE_OK);
        override_calls(real);
    });
}

/// The system's read and write at a place in a file, with lengths and offsets of a 64-bit machine.
type Read = unsafe extern "C" fn(c_int, *mut c_void, usize, i64) -> isize;
type Write = unsafe extern "C" fn(c_int, *const c_void, usize, i64) -> isize;

/// These two are cut short by chance while a file of ours is read or written. SQLite must go on until it
/// has all: this is what a short read is to a program.
fn override_calls(real: *mut sqlite3_vfs) {
    type Call = unsafe extern "C" fn();
    // SAFETY: SQLite calls "pread" and "pwrite" with the C signatures that ours have; a function pointer keeps
    // its size and meaning through the generic pointer the interface asks for.
    unsafe {
        let set = (*real).xSetSystemCall.expect("the system's VFS lets its calls be replaced");
        let reading = std::mem::transmute::<Read, Call>(cut_read);
        let writing = std::mem::transmute::<Write, Call>(cut_write);
        assert_eq!(set(real, c"pread".as_ptr(), Some(reading)), ffi::SQLITE_OK);
        assert_eq!(set(real, c"pwrite".as_ptr(), Some(writing)), ffi::SQLITE_OK);
    }
}

unsafe extern "C" {
    fn pread(fd: c_int, buffer: *mut c_void, count: usize, at: i64) -> isize;
    fn pwrite(fd: c_int, buffer: *const c_void, count: usize, at: i64) -> isize;
}

fn cut(count: usize) -> usize {
    CUT.with_borrow_mut(|cut| {
        let Some((share, chance)) = cut else { return count };
        if count < 2 || !chance.percent(*share) {
            return count;
        }
        PARTIAL.fetch_add(1, Ordering::Relaxed);
        1 + chance.index(count - 1)
    })
}

unsafe extern "C" fn cut_read(fd: c_int, buffer: *mut c_void, count: usize, at: i64) -> isize {
    // SAFETY: the caller's buffer holds `count` bytes, and no more are asked for.
    unsafe { pread(fd, buffer, cut(count), at) }
}

unsafe extern "C" fn cut_write(fd: c_int, buffer: *const c_void, count: usize, at: i64) -> isize {
    // SAFETY: as above.
    unsafe { pwrite(fd, buffer, cut(count), at) }
}

/// A file of ours as SQLite holds it: this, and right behind it the system's own.
#[repr(C)]
struct File {
    base: sqlite3_file,
    shadow: *mut Shadow,
}

/// What is known of a file on a registered disk.
struct Shadow {
    disk: Shared,
    inode: usize,
    /// Its first sync covers the folder too, as the system's VFS does for a journal it made.
    new_name: bool,
}

/// Length of [`File`], a multiple of what any file needs to be aligned to.
const FRONT: usize = size_of::<File>().next_multiple_of(16);

static METHODS: ffi::sqlite3_io_methods = ffi::sqlite3_io_methods {
    iVersion: 2,
    xClose: Some(close),
    xRead: Some(read_file),
    xWrite: Some(write_file),
    xTruncate: Some(truncate),
    xSync: Some(sync),
    xFileSize: Some(size),
    xLock: Some(lock_file),
    xUnlock: Some(unlock_file),
    xCheckReservedLock: Some(check_reserved),
    xFileControl: Some(control),
    xSectorSize: Some(sector_size),
    xDeviceCharacteristics: Some(characteristics),
    xShmMap: Some(share_map),
    xShmLock: Some(share_lock),
    xShmBarrier: Some(share_barrier),
    xShmUnmap: Some(share_unmap),
    xFetch: None,
    xUnfetch: None,
};

/// The system's file behind ours.
///
/// # Safety
/// `file` is one that [`open`] was handed, which has room for both.
unsafe fn behind(file: *mut sqlite3_file) -> *mut sqlite3_file {
    // SAFETY: `szOsFile` was made larger by FRONT for this.
    unsafe { file.byte_add(FRONT) }
}

/// Hands a call on to the system's file. Used only where the caller's pointers are SQLite's own.
macro_rules! pass {
    ($file:expr, $method:ident $(, $argument:expr)*) => {{
        let inner = behind($file);
        match (*(*inner).pMethods).$method {
            Some(call) => call(inner $(, $argument)*),
            None => ffi::SQLITE_IOERR,
        }
    }};
}

/// What becomes of an operation on this file; `None` when its disk is the system's own.
///
/// # Safety
/// `file` was opened by [`open`] and not closed.
unsafe fn fate(file: *mut sqlite3_file, kind: Kind) -> Fate {
    // SAFETY: see above; the shadow lives until the file is closed.
    match unsafe { (*file.cast::<File>()).shadow.as_ref() } {
        Some(shadow) => lock(&shadow.disk).next(kind),
        None => Fate::Done,
    }
}

/// What is known of this file.
///
/// # Safety
/// As [`fate`]; nobody else holds the answer: SQLite uses a file from one thread at a time.
unsafe fn shadow<'a>(file: *mut sqlite3_file) -> Option<&'a mut Shadow> {
    // SAFETY: see above.
    unsafe { (*file.cast::<File>()).shadow.as_mut() }
}

/// The code a dead or failing disk answers with; `None` when the operation is done.
fn refused(fate: Fate, dead: c_int) -> Option<c_int> {
    match fate {
        Fate::Done => None,
        Fate::Fails(code) => Some(code),
        Fate::PowerGoes | Fate::Dead => Some(dead),
    }
}

/// While `work` runs, the system's calls of this thread are cut as the plan says.
fn cutting<T>(disk: &Shared, work: impl FnOnce() -> T) -> T {
    let (share, seed) = {
        let mut disk = lock(disk);
        (disk.plan.partial, disk.part(1 << 30) as u64)
    };
    CUT.set((share > 0).then(|| (share, Chance::of(seed))));
    let done = work();
    CUT.set(None);
    done
}

unsafe extern "C" fn open(
    _: *mut sqlite3_vfs,
    name: *const c_char,
    file: *mut sqlite3_file,
    flags: c_int,
    out: *mut c_int,
) -> c_int {
    let real = REAL.load(Ordering::SeqCst);
    // SAFETY: a name that is not null is a C string that outlives the call; `file` has `szOsFile` bytes.
    unsafe {
        (*file).pMethods = std::ptr::null();
        let temporary = name.is_null() || flags & ffi::SQLITE_OPEN_DELETEONCLOSE != 0;
        let path = if temporary { None } else { CStr::from_ptr(name).to_str().ok() };
        let ours = path.and_then(disk_of);
        if let Some((disk, _)) = &ours {
            let fate = lock(disk).next(Kind::Open);
            if let Some(code) = refused(fate, ffi::SQLITE_CANTOPEN) {
                return code;
            }
        }
        let was_there = path.is_some_and(|path| Path::new(path).exists());
        let Some(call) = (*real).xOpen else { return ffi::SQLITE_CANTOPEN };
        let answer = call(real, name, behind(file), flags, out);
        if answer != ffi::SQLITE_OK {
            return answer;
        }
        let journal = ffi::SQLITE_OPEN_MAIN_JOURNAL | ffi::SQLITE_OPEN_WAL | ffi::SQLITE_OPEN_SUPER_JOURNAL;
        let new_name = flags & ffi::SQLITE_OPEN_CREATE != 0 && flags & journal != 0;
        let shadow = ours.map(|(disk, name)| {
            let inode = lock(&disk).open(&name, was_there);
            Box::into_raw(Box::new(Shadow { disk, inode, new_name }))
        });
        (*file.cast::<File>()).shadow = shadow.unwrap_or(std::ptr::null_mut());
        (*file).pMethods = &METHODS;
        answer
    }
}

unsafe extern "C" fn delete(_: *mut sqlite3_vfs, name: *const c_char, sync_folder: c_int) -> c_int {
    let real = REAL.load(Ordering::SeqCst);
    // SAFETY: `name` is a C string that outlives the call.
    unsafe {
        let Some(call) = (*real).xDelete else { return ffi::SQLITE_IOERR_DELETE };
        let Some((disk, short)) = CStr::from_ptr(name).to_str().ok().and_then(disk_of) else {
            return call(real, name, sync_folder);
        };
        let fate = lock(&disk).next(Kind::Delete);
        if let Some(code) = refused(fate, ffi::SQLITE_IOERR_DELETE) {
            return code;
        }
        let answer = call(real, name, 0);
        if answer == ffi::SQLITE_OK {
            lock(&disk).deleted(&short, sync_folder != 0);
        }
        answer
    }
}

unsafe extern "C" fn close(file: *mut sqlite3_file) -> c_int {
    // SAFETY: SQLite closes a file once; the shadow was made by `Box::into_raw` in `open`.
    unsafe {
        let ours = file.cast::<File>();
        if !(*ours).shadow.is_null() {
            drop(Box::from_raw((*ours).shadow));
            (*ours).shadow = std::ptr::null_mut();
        }
        pass!(file, xClose)
    }
}

unsafe extern "C" fn read_file(
    file: *mut sqlite3_file,
    to: *mut c_void,
    count: c_int,
    at: sqlite3_int64,
) -> c_int {
    // SAFETY: SQLite's own arguments, handed on; `fate` and `shadow` may be asked of an open file.
    unsafe {
        if let Some(code) = refused(fate(file, Kind::Read), ffi::SQLITE_IOERR_READ) {
            return code;
        }
        match shadow(file) {
            Some(known) => cutting(&known.disk, || pass!(file, xRead, to, count, at)),
            None => pass!(file, xRead, to, count, at),
        }
    }
}

unsafe extern "C" fn write_file(
    file: *mut sqlite3_file,
    from: *const c_void,
    count: c_int,
    at: sqlite3_int64,
) -> c_int {
    // SAFETY: SQLite's own arguments: `from` holds `count` bytes; what is handed on is never longer.
    unsafe {
        let Some(known) = shadow(file) else { return pass!(file, xWrite, from, count, at) };
        let fate = fate(file, Kind::Write);
        if fate == Fate::Dead {
            return ffi::SQLITE_IOERR_WRITE;
        }
        let whole = usize::try_from(count).unwrap_or(0);
        // A write that fails, or in which the power goes, may have done a part.
        let done = if fate == Fate::Done { whole } else { lock(&known.disk).part(whole) };
        let mut answer = ffi::SQLITE_OK;
        if done > 0 {
            let part = c_int::try_from(done).unwrap_or(count);
            answer = cutting(&known.disk, || pass!(file, xWrite, from, part, at));
            let bytes = std::slice::from_raw_parts(from.cast::<u8>(), done);
            lock(&known.disk).wrote(known.inode, usize::try_from(at).unwrap_or(0), bytes);
        }
        refused(fate, ffi::SQLITE_IOERR_WRITE).unwrap_or(answer)
    }
}

unsafe extern "C" fn truncate(file: *mut sqlite3_file, length: sqlite3_int64) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe {
        if let Some(code) = refused(fate(file, Kind::Truncate), ffi::SQLITE_IOERR_TRUNCATE) {
            return code;
        }
        let answer = pass!(file, xTruncate, length);
        if let (ffi::SQLITE_OK, Some(known)) = (answer, shadow(file)) {
            lock(&known.disk).truncated(known.inode, usize::try_from(length).unwrap_or(0));
        }
        answer
    }
}

unsafe extern "C" fn sync(file: *mut sqlite3_file, flags: c_int) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe {
        let Some(known) = shadow(file) else { return pass!(file, xSync, flags) };
        let fate = fate(file, Kind::Sync);
        if matches!(fate, Fate::Fails(_)) {
            lock(&known.disk).sync_failed(known.inode);
        }
        if let Some(code) = refused(fate, ffi::SQLITE_IOERR_FSYNC) {
            return code;
        }
        lock(&known.disk).synced(known.inode, std::mem::take(&mut known.new_name));
        ffi::SQLITE_OK
    }
}

unsafe extern "C" fn size(file: *mut sqlite3_file, out: *mut sqlite3_int64) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe {
        match refused(fate(file, Kind::Size), ffi::SQLITE_IOERR_FSTAT) {
            Some(code) => code,
            None => pass!(file, xFileSize, out),
        }
    }
}

unsafe extern "C" fn share_map(
    file: *mut sqlite3_file,
    page: c_int,
    length: c_int,
    extend: c_int,
    out: *mut *mut c_void,
) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe {
        match refused(fate(file, Kind::Share), ffi::SQLITE_IOERR_SHMMAP) {
            Some(code) => code,
            None => pass!(file, xShmMap, page, length, extend, out),
        }
    }
}

// The rest goes to the system's file as it comes: locks and shared memory belong to the running program, not to
// the disk.

unsafe extern "C" fn lock_file(file: *mut sqlite3_file, level: c_int) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe { pass!(file, xLock, level) }
}

unsafe extern "C" fn unlock_file(file: *mut sqlite3_file, level: c_int) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe { pass!(file, xUnlock, level) }
}

unsafe extern "C" fn check_reserved(file: *mut sqlite3_file, out: *mut c_int) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe { pass!(file, xCheckReservedLock, out) }
}

unsafe extern "C" fn control(file: *mut sqlite3_file, what: c_int, argument: *mut c_void) -> c_int {
    // SAFETY: SQLite's own arguments, handed on. A hint of the coming size would lengthen the file unseen: not taken.
    unsafe {
        if what == ffi::SQLITE_FCNTL_SIZE_HINT && !(*file.cast::<File>()).shadow.is_null() {
            return ffi::SQLITE_NOTFOUND;
        }
        pass!(file, xFileControl, what, argument)
    }
}

unsafe extern "C" fn sector_size(file: *mut sqlite3_file) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe { pass!(file, xSectorSize) }
}

unsafe extern "C" fn characteristics(file: *mut sqlite3_file) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe { pass!(file, xDeviceCharacteristics) }
}

unsafe extern "C" fn share_lock(file: *mut sqlite3_file, offset: c_int, n: c_int, flags: c_int) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe { pass!(file, xShmLock, offset, n, flags) }
}

unsafe extern "C" fn share_barrier(file: *mut sqlite3_file) {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe {
        let inner = behind(file);
        if let Some(call) = (*(*inner).pMethods).xShmBarrier {
            call(inner);
        }
    }
}

unsafe extern "C" fn share_unmap(file: *mut sqlite3_file, delete: c_int) -> c_int {
    // SAFETY: SQLite's own arguments, handed on.
    unsafe { pass!(file, xShmUnmap, delete) }
}
