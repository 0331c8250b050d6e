//! `trueround backup`, `restore`, `export`, `import`: the shop's record as a whole.

use crate::args::{Backup, Export, Import, Restore};
use crate::fail::{Done, Fail};
use std::path::Path;
use store::{By, Store};

/// Saves the record into one file.
pub fn backup(a: &Backup) -> Done {
    open(&a.data)?.backup(&a.to)?;
    anstream::println!("{} holds the whole record.", a.to.display());
    Ok(())
}

/// Puts a saved record into an empty folder.
pub fn restore(a: &Restore) -> Done {
    Store::restore(&a.from, &a.data)?;
    anstream::println!(
        "{} holds the record of {}. Start it with: trueround serve --data {}",
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
    store.import(By { who: "import", at: web::when::now() }, &a.from)?;
    anstream::println!(
        "{} holds what {} had. Passwords do not travel: start it with `trueround serve`, and the owner gets a new one.",
        a.data.display(),
        a.from.display()
    );
    Ok(())
}

/// A record that is there; a folder without one is a mistake, not a new shop.
fn open(folder: &Path) -> Done<Store> {
    if !folder.join("shop.sqlite").exists() {
        return Err(Fail::input(format!("{} holds no shop's record", folder.display())));
    }
    Ok(Store::open(folder)?)
}
