//! `trueround backup`, `restore`, `export`, `import`: the shop's record as a whole.

use super::args::{Backup, Export, Import, Restore};
use super::secret;
use crate::fail::{Done, Fail};
use std::path::Path;
use store::backup::{LastBackup, Saved};
use store::restore::How;
use store::{By, Store};

/// Saves the record into one file. The record itself is only read.
pub fn backup(a: &Backup) -> Done {
    let store = open_to_read(&a.data)?;
    let passphrase = secret::passphrase(&a.sealing)?;
    let saved = save(&store, &a.to, passphrase.as_deref())?;
    let sealed = if passphrase.is_some() { ", sealed" } else { ", not sealed: whoever holds the file reads it" };
    if saved.missing.is_empty() {
        anstream::println!("{} holds the whole record{sealed}: {} photos, each checked; read back once.", a.to.display(), saved.photos);
        return Ok(());
    }
    for what in &saved.missing {
        anstream::eprintln!("missing: {what}");
    }
    Err(Fail::input(format!("{} was written{sealed}, and does NOT hold the whole record: see above", a.to.display())))
}

/// Writes a backup and notes beside the record that it was made.
pub fn save(store: &Store, to: &Path, passphrase: Option<&str>) -> Done<Saved> {
    let saved = store.backup(to, passphrase)?;
    let last = LastBackup { at: web::when::now(), to: to.display().to_string(), whole: saved.missing.is_empty() };
    store.note_backup(&last)?;
    Ok(saved)
}

/// Puts a saved record into an empty folder.
pub fn restore(a: &Restore) -> Done {
    let sealed = store::backup::is_sealed(&a.from)?;
    let passphrase =
        if sealed { Some(secret::of(a.passphrase_file.as_deref(), secret::PASSPHRASE, "Passphrase of the backup: ")?) } else { None };
    let lost = Store::restore(&a.from, &a.data, How { passphrase: passphrase.as_deref(), salvage: a.salvage })?;
    for what in &lost {
        anstream::eprintln!("missing: {what}");
    }
    let whole = if lost.is_empty() { "the record" } else { "what could be saved of the record" };
    anstream::println!(
        "{} holds {whole} of {}. Everybody signs in again, and second factors are set up again. Start it with: trueround serve --data {}",
        a.data.display(),
        a.from.display(),
        a.data.display()
    );
    Ok(())
}

/// Writes the record as open formats.
pub fn export(a: &Export) -> Done {
    open(&a.data)?.export(&a.to)?;
    anstream::println!("{} holds the record as JSON Lines, a file a table, and the photos.", a.to.display());
    Ok(())
}

/// Reads an export into an empty record.
pub fn import(a: &Import) -> Done {
    let store = Store::open(&a.data)?;
    for told in store.import_read(By { who: "import", at: web::when::now() }, &a.from, &web::recorded::read_body)? {
        anstream::eprintln!("the export's journal: {told}");
    }
    let plain = store.make_photos_plain(By { who: "metadata strip", at: web::when::now() })?;
    if plain.made > 0 {
        anstream::println!("{} photos told more than the picture (where they were taken, by which camera): that is gone.", plain.made);
    }
    anstream::println!(
        "{} holds what {} had. Passwords do not travel: start it with `trueround serve`, and the owner gets a new one.",
        a.data.display(),
        a.from.display()
    );
    Ok(())
}

/// A record that is there; a folder without one is a mistake, not a new shop.
pub fn open(folder: &Path) -> Done<Store> {
    there(folder)?;
    let store = Store::open(folder)?;
    for told in store.noticed() {
        anstream::eprintln!("warning: {told}");
    }
    Ok(store)
}

fn open_to_read(folder: &Path) -> Done<Store> {
    there(folder)?;
    Ok(Store::open_to_read(folder)?)
}

fn there(folder: &Path) -> Done {
    if folder.join("shop.sqlite").exists() { Ok(()) } else { Err(Fail::input(format!("{} holds no shop's record", folder.display()))) }
}
