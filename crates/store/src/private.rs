//! Files and folders that only the account which runs the program may read, whatever the umask says.

use crate::error::{Result, StoreError};
use std::fs::{File, OpenOptions};
use std::path::Path;

/// Makes a folder (and those above it) for this account alone; one that is there becomes so.
pub(crate) fn folder(path: &Path) -> Result<()> {
    let fail = |e| StoreError::file(path, e);
    std::fs::create_dir_all(path).map_err(fail)?;
    restrict(path, 0o700);
    Ok(())
}

/// Makes a new file for this account alone.
pub(crate) fn new_file(path: &Path) -> Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path).map_err(|e| StoreError::file(path, e))
}

/// Puts on the disk that a name was given in a folder: a file that is on the disk has none yet before.
pub(crate) fn sync_folder(path: &Path) -> Result<()> {
    #[cfg(unix)]
    File::open(path).and_then(|f| f.sync_all()).map_err(|e| StoreError::file(path, e))?;
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

/// Takes everybody else's rights away. A file that belongs to another account stays as it is: whoever set it up so knows why.
pub(crate) fn restrict(path: &Path, mode: u32) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let _ = std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode));
    }
    #[cfg(not(unix))]
    let _ = (path, mode);
}

/// Takes everybody else's rights on the record away.
pub(crate) fn restrict_record(folder: &Path) {
    restrict(folder, 0o700);
    for name in ["shop.sqlite", "shop.sqlite-wal", "shop.sqlite-shm"] {
        restrict(&folder.join(name), 0o600);
    }
    let photos = crate::connection::photo_folder(folder);
    restrict(&photos, 0o700);
    for entry in std::fs::read_dir(&photos).into_iter().flatten().flatten() {
        restrict(&entry.path(), 0o600);
    }
}
