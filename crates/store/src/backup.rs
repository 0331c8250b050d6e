//! Backup of the whole record into one zip file while the shop runs, and restore from it.

use crate::connection::{Store, database, photo_folder};
use crate::error::{Result, StoreError};
use crate::people::hex;
use rusqlite::Connection;
use rusqlite::backup::Backup;
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::{Read, Write};
use std::path::Path;
use std::time::Duration;
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

impl Store {
    /// Writes a backup: the database as it is at one moment, and every photo. The file appears whole or not at all.
    ///
    /// # Errors
    /// Where the disk or the database fails.
    pub fn backup(&self, to: &Path) -> Result<()> {
        let folder = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let fail = |e: std::io::Error| StoreError::file(to, e);
        let work = tempfile::tempdir_in(folder).map_err(fail)?;
        let copy = work.path().join("shop.sqlite");
        {
            let mut target = Connection::open(&copy)?;
            self.read(|c| {
                Backup::new(c, &mut target)?.run_to_completion(1024, Duration::from_millis(1), None)?;
                Ok(())
            })?;
            target.pragma_update(None, "journal_mode", "DELETE")?;
        }
        let zip_path = work.path().join("backup.zip");
        let mut zip = ZipWriter::new(File::create(&zip_path).map_err(fail)?);
        let squeezed = SimpleFileOptions::default().large_file(true);
        let stored = squeezed.compression_method(zip::CompressionMethod::Stored);
        add(&mut zip, "shop.sqlite", &copy, squeezed)?;
        let photos = photo_folder(self.folder());
        for entry in std::fs::read_dir(&photos).map_err(|e| StoreError::file(&photos, e))? {
            let entry = entry.map_err(fail)?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if is_hash(&name) {
                add(&mut zip, &format!("photos/{name}"), &entry.path(), stored)?;
            }
        }
        zip.finish().map_err(|e| fail(e.into()))?.sync_all().map_err(fail)?;
        std::fs::rename(&zip_path, to).map_err(fail)
    }

    /// Restores a backup into a folder that has no record yet; the backup is checked before anything is put there.
    ///
    /// # Errors
    /// Where the folder already has a record, or the file is no sound backup.
    pub fn restore(from: &Path, folder: &Path) -> Result<()> {
        if database(folder).exists() {
            return Err(StoreError::Refused(format!("{} already holds a shop's record; restore into an empty folder", folder.display())));
        }
        let fail = |e: std::io::Error| StoreError::file(from, e);
        let garbled = |why: String| StoreError::Garbled { what: from.display().to_string(), why };
        std::fs::create_dir_all(folder).map_err(|e| StoreError::file(folder, e))?;
        let work = tempfile::tempdir_in(folder).map_err(|e| StoreError::file(folder, e))?;
        let mut zip = ZipArchive::new(File::open(from).map_err(fail)?).map_err(|e| garbled(e.to_string()))?;
        let photos = photo_folder(work.path());
        std::fs::create_dir_all(&photos).map_err(fail)?;
        for i in 0..zip.len() {
            let mut entry = zip.by_index(i).map_err(|e| garbled(e.to_string()))?;
            let name = entry.name().map_err(|e| garbled(e.to_string()))?.into_owned();
            if name == "shop.sqlite" {
                let mut out = File::create(database(work.path())).map_err(fail)?;
                std::io::copy(&mut entry, &mut out).map_err(fail)?;
                out.sync_all().map_err(fail)?;
            } else if let Some(hash) = name.strip_prefix("photos/").filter(|n| is_hash(n)) {
                let mut bytes = Vec::new();
                entry.read_to_end(&mut bytes).map_err(fail)?;
                if hex(&Sha256::digest(&bytes)) != hash {
                    return Err(garbled(format!("photo {hash} is damaged")));
                }
                crate::photos::keep(&photos, hash, &bytes)?;
            } else {
                return Err(garbled(format!("it holds a file that no backup has: {name}")));
            }
        }
        let faults = Store::open(work.path())?.faults()?;
        if let Some(fault) = faults.first() {
            return Err(garbled(fault.clone()));
        }
        let put = |e| StoreError::file(folder, e);
        std::fs::create_dir_all(photo_folder(folder)).map_err(put)?;
        for entry in std::fs::read_dir(&photos).map_err(put)? {
            let entry = entry.map_err(put)?;
            std::fs::rename(entry.path(), photo_folder(folder).join(entry.file_name())).map_err(put)?;
        }
        // The database comes last: a restore cut short leaves a folder that still counts as empty.
        std::fs::rename(database(work.path()), database(folder)).map_err(put)
    }
}

fn add(zip: &mut ZipWriter<File>, name: &str, path: &Path, options: SimpleFileOptions) -> Result<()> {
    let fail = |e: std::io::Error| StoreError::file(path, e);
    zip.start_file(name, options).map_err(|e| fail(e.into()))?;
    let mut file = File::open(path).map_err(fail)?;
    std::io::copy(&mut file, zip).map_err(fail)?;
    zip.flush().map_err(fail)
}

fn is_hash(name: &str) -> bool {
    name.len() == 64 && name.bytes().all(|b| b.is_ascii_hexdigit())
}
