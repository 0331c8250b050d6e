//! What is being written before it takes its name, and what stays of it when the machine or the program dies in the middle: a copy of
//! the whole record, open, that nobody would look for.

use crate::error::{Result, StoreError};
use crate::private;
use std::fs::File;
use std::path::Path;
use std::time::{Duration, SystemTime};
use tempfile::TempDir;

/// What the folders begin with in which a backup, a restore or an export is prepared.
const BACKUP: &str = ".backup-";
const RESTORE: &str = ".restore-";
const EXPORT: &str = ".export-";
/// What single files begin with until they take their name.
const FILE: &str = ".trueround-unfinished-";
/// What they began with in earlier versions.
const FILE_BEFORE: &str = ".tmp";
/// In a folder: locked by whoever works there.
const LOCK: &str = "lock";
/// A file this old is nobody's any more: none takes so long to write.
const OLD: Duration = Duration::from_secs(24 * 3600);

/// A folder in which something is prepared. It is gone when this is dropped; if the program dies, when the record is opened next.
pub(crate) struct Work {
    dir: TempDir,
    _lock: File,
}

impl Work {
    pub(crate) fn for_backup(of: &Path) -> Result<Self> {
        Self::new(of, BACKUP)
    }

    pub(crate) fn for_restore(into: &Path) -> Result<Self> {
        Self::new(into, RESTORE)
    }

    pub(crate) fn for_export(beside: &Path) -> Result<Self> {
        Self::new(beside, EXPORT)
    }

    fn new(folder: &Path, prefix: &str) -> Result<Self> {
        let dir = tempfile::Builder::new().prefix(prefix).tempdir_in(folder).map_err(|e| StoreError::file(folder, e))?;
        let lock = private::new_file(&dir.path().join(LOCK))?;
        // Where there are no locks, its age must tell.
        let _ = lock.try_lock();
        Ok(Self { dir, _lock: lock })
    }

    pub(crate) fn path(&self) -> &Path {
        self.dir.path()
    }
}

/// A file that is written here and takes its name when it is whole.
pub(crate) fn unfinished(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    tempfile::Builder::new().prefix(FILE).tempfile_in(folder)
}

/// Removes from a folder what a program that died left unfinished. What cannot be removed stays; it is in nobody's way.
pub(crate) fn sweep(folder: &Path) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let (name, path) = (name.to_string_lossy(), entry.path());
        let Ok(kind) = entry.file_type() else { continue };
        // Another program's folder in a place like the backup disk may have such a name: ours has the lock.
        if kind.is_dir() && [BACKUP, RESTORE, EXPORT].iter().any(|p| name.starts_with(p)) {
            if nobody_works(&path) {
                let _ = std::fs::remove_dir_all(&path);
            }
        } else if kind.is_file() && (name.starts_with(FILE) || name.starts_with(FILE_BEFORE)) && is_old(&path) {
            let _ = std::fs::remove_file(&path);
        }
    }
}

fn nobody_works(dir: &Path) -> bool {
    match File::open(dir.join(LOCK)) {
        Ok(lock) => lock.try_lock().is_ok(),
        // It is being made this moment, its maker died at that, an earlier version made it, or it is another program's.
        Err(_) => is_old(dir) && (dir.join("shop.sqlite").exists() || is_empty(dir)),
    }
}

fn is_empty(dir: &Path) -> bool {
    std::fs::read_dir(dir).is_ok_and(|mut inside| inside.next().is_none())
}

fn is_old(path: &Path) -> bool {
    let made = std::fs::symlink_metadata(path).and_then(|m| m.modified());
    made.is_ok_and(|made| SystemTime::now().duration_since(made).is_ok_and(|age| age > OLD))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[test]
    fn what_nobody_works_at_goes_and_what_somebody_works_at_stays() {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        let work = Work::for_backup(dir.path()).unwrap();
        for (name, lock) in [(".backup-dead", true), (".restore-dead", true), (".backup-new", false), (".backup-old", false)] {
            std::fs::create_dir(at(name)).unwrap();
            std::fs::write(at(name).join("shop.sqlite"), b"all of it").unwrap();
            if lock {
                File::create(at(name).join(LOCK)).unwrap();
            }
        }
        // Died before the lock: nothing is in it.
        std::fs::create_dir(at(".backup-empty")).unwrap();
        for name in [".tmpabc", ".trueround-unfinished-a", ".trueround-unfinished-new", "shop.sqlite", ".tmp-old-not"] {
            std::fs::write(at(name), b"x").unwrap();
        }
        let two_days_ago = SystemTime::now() - 2 * OLD;
        for name in [".backup-old", ".backup-empty", ".tmpabc", ".trueround-unfinished-a", "shop.sqlite"] {
            File::open(at(name)).unwrap().set_modified(two_days_ago).unwrap();
        }
        sweep(dir.path());
        let mut left: Vec<String> = std::fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        left.sort();
        let mine = work.path().file_name().unwrap().to_str().unwrap().to_owned();
        let mut wanted = vec![
            mine,
            ".backup-new".to_owned(),
            ".tmp-old-not".to_owned(),
            ".trueround-unfinished-new".to_owned(),
            "shop.sqlite".to_owned(),
        ];
        wanted.sort();
        assert_eq!(left, wanted);
    }
}
