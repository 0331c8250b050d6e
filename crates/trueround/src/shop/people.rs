//! `trueround customer`, `password`: one person's data, and a way back in.

use super::args::{Customer, CustomerAct, Password};
use super::record::open;
use super::secret;
use crate::fail::{Done, Fail};
use store::By;

/// Gives out or erases what is kept of a customer.
pub fn customer(a: &Customer) -> Done {
    match &a.act {
        CustomerAct::Export { id, data, to } => {
            open(data)?.export_customer(*id, to)?;
            anstream::println!("{} holds what the record keeps of customer {id}: customer.json, photos, signed papers.", to.display());
        }
        CustomerAct::Erase { id, data, reason } => {
            let done = open(data)?.erase_customer(By { who: "command line", at: web::when::now() }, *id, reason)?;
            anstream::println!(
                "Customer {id} is erased, in {} lines of the journal too; {} signed papers are gone. Backups made before still hold them: delete those when you can.",
                done.lines,
                done.papers
            );
        }
    }
    Ok(())
}

/// Sets a password; the person is signed out everywhere. Or takes a second factor off.
pub fn password(a: &Password) -> Done {
    let store = open(&a.data)?;
    let people = store.people()?;
    let person = people.iter().find(|p| p.login.eq_ignore_ascii_case(&a.login)).ok_or_else(|| {
        let known: Vec<&str> = people.iter().map(|p| p.login.as_str()).collect();
        Fail::input(format!("nobody signs in as {}; known are: {}", a.login, known.join(", ")))
    })?;
    let by = By { who: "command line", at: web::when::now() };
    if a.remove_second_factor {
        if !store.remove_second_factor(by, person.id)? {
            return Err(Fail::input(format!("{} has no second factor", person.login)));
        }
        store.note_at_the_door(by, "second_factor_off", &person.login, "command line")?;
        anstream::println!("{} signs in with the password alone; the journal tells. Set a second factor up again at /me.", person.login);
        return Ok(());
    }
    let typed = secret::new(a.password_file.as_deref(), secret::PASSWORD, "New password, 12 characters or more (it does not show): ")?;
    let hash = web::password::hash(&typed).map_err(|e| Fail::input(e.to_string()))?;
    store.set_password(by, person.id, &hash)?;
    store.note_at_the_door(by, "password_set", &person.login, "command line")?;
    anstream::println!("{} signs in with the new password; everywhere else {} is signed out.", person.login, person.name);
    Ok(())
}
