//! People who sign in, and their sessions.

use crate::connection::{By, Store};
use crate::error::{Result, StoreError};
use crate::sql;
use crate::versions::{self, Kept};
use rusqlite::Row;
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use serde::{Deserialize, Serialize};

/// What a person may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PersonRole {
    /// Everything, and the accounts.
    Owner,
    /// The bench.
    Technician,
    /// The bench, under a technician.
    Apprentice,
    /// The counter.
    Counter,
}

impl PersonRole {
    /// All roles.
    pub const ALL: [Self; 4] = [Self::Owner, Self::Technician, Self::Apprentice, Self::Counter];

    /// Its name in the record.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Technician => "technician",
            Self::Apprentice => "apprentice",
            Self::Counter => "counter",
        }
    }

    /// The role of that name.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|r| r.as_str() == text)
    }
}

impl ToSql for PersonRole {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.as_str().into())
    }
}

impl FromSql for PersonRole {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        Self::parse(value.as_str()?).ok_or(FromSqlError::InvalidType)
    }
}

/// A person.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Person {
    /// Id.
    pub id: i64,
    /// Sign-in name.
    pub login: String,
    /// Name.
    pub name: String,
    /// Role.
    pub role: PersonRole,
    /// Whether the person may sign in.
    pub active: bool,
    /// Rises by one at each change.
    pub version: i64,
}

/// A session that is open.
#[derive(Clone, Debug)]
pub struct Session {
    /// Whose.
    pub person: Person,
    /// The token that every form must bring.
    pub csrf: String,
}

/// Where somebody is signed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhereSignedIn {
    /// The session's number.
    pub id: i64,
    /// From which address it was opened; empty where that was before addresses were kept.
    pub address: String,
    /// Since when, Unix seconds.
    pub made_at: i64,
    /// When it was last used, to ten minutes, Unix seconds.
    pub seen_at: i64,
    /// Whether it is the one that asks.
    pub own: bool,
}

/// A session that nobody has used for this long has ended, seconds: from the evening to the morning it holds, over a free day not.
pub const IDLE_S: i64 = 20 * 3600;
/// How often it is noted that a session is used, seconds.
const SEEN_EVERY_S: i64 = 600;

const PERSON: &str = "p.id, p.login, p.name, p.role, p.active, p.version";

fn person(r: &Row<'_>) -> rusqlite::Result<Person> {
    Ok(Person { id: r.get(0)?, login: r.get(1)?, name: r.get(2)?, role: r.get(3)?, active: r.get(4)?, version: r.get(5)? })
}

impl Store {
    /// Everybody.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn people(&self) -> Result<Vec<Person>> {
        self.read(|c| sql::all(c, &format!("SELECT {PERSON} FROM people p ORDER BY p.name"), [], person))
    }

    /// Adds a person; returns the id.
    ///
    /// # Errors
    /// Where the sign-in name is taken.
    pub fn add_person(&self, by: By<'_>, login: &str, name: &str, role: PersonRole, password_hash: &str) -> Result<i64> {
        self.write(by, |c| {
            if sql::maybe(c, "SELECT 1 FROM people WHERE login = ?1", [login], |_| Ok(()))?.is_some() {
                return Err(StoreError::Refused(format!("somebody already signs in as {login}; choose another name")));
            }
            sql::insert(
                c,
                "INSERT INTO people (login, name, role, password_hash) VALUES (?1, ?2, ?3, ?4)",
                (login, name, role, password_hash),
            )
        })
    }

    /// Changes a person's name, role and whether they may sign in. The last active owner stays one. Somebody who may
    /// no longer sign in is signed out everywhere. `from` is the version that the writer saw.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] where somebody saved in between; where there is no such person, or nobody would be left as owner.
    pub fn change_person(&self, by: By<'_>, id: i64, from: i64, name: &str, role: PersonRole, active: bool) -> Result<()> {
        self.write(by, |c| {
            versions::check(c, Kept::Person, id, from)?;
            let sql = "UPDATE people SET name = ?2, role = ?3, active = ?4, version = version + 1 WHERE id = ?1";
            sql::run_one(c, "person", id, sql, (id, name, role, active))?;
            let owners: i64 =
                sql::one(c, "owner", "", "SELECT count(*) FROM people WHERE role = 'owner' AND active = 1", [], |r| r.get(0))?;
            if owners == 0 {
                return Err(StoreError::Refused("the shop needs at least one owner who can sign in".to_owned()));
            }
            sql::run(c, "DELETE FROM sessions WHERE person = ?1", [id])?;
            Ok(())
        })
    }

    /// Sets a person's password hash and signs them out everywhere; the tablets that they signed in on are strangers again.
    ///
    /// # Errors
    /// Where there is no such person.
    pub fn set_password(&self, by: By<'_>, id: i64, password_hash: &str) -> Result<()> {
        self.write(by, |c| {
            sql::run_one(c, "person", id, "UPDATE people SET password_hash = ?2 WHERE id = ?1", (id, password_hash))?;
            sql::run(c, "DELETE FROM sessions WHERE person = ?1", [id])?;
            sql::run(c, "DELETE FROM known_tablets WHERE person = ?1", [id])?;
            Ok(())
        })
    }

    /// The person of a sign-in name who may sign in, with the password's hash.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn person_to_sign_in(&self, login: &str) -> Result<Option<(Person, String)>> {
        self.read(|c| {
            let sql = format!("SELECT {PERSON}, p.password_hash FROM people p WHERE p.login = ?1 AND p.active = 1");
            sql::maybe(c, &sql, [login], |r| Ok((person(r)?, r.get(6)?)))
        })
    }

    /// Whether anybody has a password with which to sign in (an import brings none).
    ///
    /// # Errors
    /// Where the database fails.
    pub fn somebody_can_sign_in(&self) -> Result<bool> {
        self.read(|c| {
            let sql = "SELECT EXISTS (SELECT 1 FROM people WHERE active = 1 AND password_hash <> '')";
            sql::one(c, "people", "", sql, [], |r| r.get(0))
        })
    }

    /// Opens a session from an address under random tokens that the caller made: the session's, of which only the hash is kept, and that
    /// of its forms. Sessions that have ended are swept out.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn open_session(&self, by: By<'_>, person: i64, address: &str, tokens: (&str, &str), ends_at: i64) -> Result<()> {
        self.write(by, |c| {
            sql::run(c, "DELETE FROM sessions WHERE ends_at <= ?1", [by.at])?;
            sql::insert(
                c,
                "INSERT INTO sessions (token_hash, csrf, person, made_at, ends_at, seen_at, address) VALUES (?1, ?2, ?3, ?4, ?5, ?4, ?6)",
                (hash(tokens.0), tokens.1, person, by.at, ends_at, address),
            )
            .map(|_| ())
        })
    }

    /// The open session of a token; none where it has ended or lain idle.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn session(&self, token: &str, now: i64) -> Result<Option<Session>> {
        let found = self.read(|c| {
            let sql = format!(
                "SELECT {PERSON}, s.csrf, s.seen_at FROM sessions s JOIN people p ON p.id = s.person
                 WHERE s.token_hash = ?1 AND s.ends_at > ?2 AND s.seen_at > ?3 AND s.seen_at < ?4 AND p.active = 1"
            );
            // One used long after now was used under a wrong clock: it would hold until the clock is there again.
            sql::maybe(c, &sql, (hash(token), now, now - IDLE_S, now + IDLE_S), |r| {
                Ok((Session { person: person(r)?, csrf: r.get(6)? }, r.get::<_, i64>(7)?))
            })
        })?;
        let Some((session, seen_at)) = found else { return Ok(None) };
        // Not with every request: a change waits for the disk.
        if (now - seen_at).abs() > SEEN_EVERY_S {
            self.write(By { who: &session.person.login, at: now }, |c| {
                sql::run(c, "UPDATE sessions SET seen_at = ?2 WHERE token_hash = ?1", (hash(token), now)).map(|_| ())
            })?;
        }
        Ok(Some(session))
    }

    /// Where a person is signed in now, the newest first. `token`: the session that asks.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn sessions_of(&self, person: i64, token: &str, now: i64) -> Result<Vec<WhereSignedIn>> {
        let own = hash(token);
        self.read(|c| {
            let sql = "SELECT id, address, made_at, seen_at, token_hash = ?2 FROM sessions
                       WHERE person = ?1 AND ends_at > ?3 AND seen_at > ?4 AND seen_at < ?5 ORDER BY made_at DESC, id DESC";
            sql::all(c, sql, (person, &own, now, now - IDLE_S, now + IDLE_S), |r| {
                Ok(WhereSignedIn { id: r.get(0)?, address: r.get(1)?, made_at: r.get(2)?, seen_at: r.get(3)?, own: r.get(4)? })
            })
        })
    }

    /// Ends another session of a person's own by its number, never that of this token; whether there was one.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn close_session_of(&self, by: By<'_>, person: i64, id: i64, token: &str) -> Result<bool> {
        let sql = "DELETE FROM sessions WHERE person = ?1 AND id = ?2 AND token_hash <> ?3";
        self.write(by, |c| Ok(sql::run(c, sql, (person, id, hash(token)))? > 0))
    }

    /// Ends all of a person's sessions but the one of this token; how many there were.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn close_other_sessions(&self, by: By<'_>, person: i64, token: &str) -> Result<usize> {
        self.write(by, |c| sql::run(c, "DELETE FROM sessions WHERE person = ?1 AND token_hash <> ?2", (person, hash(token))))
    }

    /// Ends a session.
    ///
    /// # Errors
    /// Where the database fails.
    pub fn close_session(&self, by: By<'_>, token: &str) -> Result<()> {
        self.write(by, |c| sql::run(c, "DELETE FROM sessions WHERE token_hash = ?1", [hash(token)]).map(|_| ()))
    }
}

/// What is kept of a token, or of a name that was tried at the door.
pub(crate) fn hash(token: &str) -> String {
    crate::agreements::hash_of(token.as_bytes())
}

/// Lower-case hexadecimal.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::PersonRole;
    use crate::{By, Store};

    /// From the evening to the morning it holds (15 h), over a free day not (24 h); used in between it goes on, up to its end.
    #[test]
    fn a_session_ends_where_it_lies_idle() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let hours = |h: i64| 1_000_000 + 3600 * h;
        let by = By { who: "wren", at: hours(0) };
        let wren = store.add_person(by, "wren", "Wren", PersonRole::Apprentice, "-").unwrap();
        for token in ["a", "b"] {
            store.open_session(by, wren, "127.0.0.1", (token, "csrf"), hours(14 * 24)).unwrap();
        }
        let open = |token: &str, h: i64| store.session(token, hours(h)).unwrap().is_some();
        assert!(!open("a", 24), "nobody used it for a day");
        assert!(open("b", 15) && open("b", 30) && open("b", 45), "used every fifteen hours");
        assert!(!open("b", 14 * 24), "its own end");
        store.open_session(By { who: "wren", at: hours(8760) }, wren, "127.0.0.1", ("c", "csrf"), hours(8760 + 14 * 24)).unwrap();
        assert!(open("c", 8759), "the clock was set back by an hour");
        assert!(!open("c", 1), "opened while the clock stood a year ahead: it does not hold for that year");
    }

    /// One sees one's own sessions and no other's, and ends one of them or all others; another's cannot be ended by its number.
    #[test]
    fn where_one_is_signed_in() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let by = |at: i64| By { who: "wren", at };
        let wren = store.add_person(by(1_000_000), "wren", "Wren", PersonRole::Apprentice, "-").unwrap();
        let ramon = store.add_person(by(1_000_000), "ramon", "Ramon", PersonRole::Technician, "-").unwrap();
        for (n, (who, token)) in [(wren, "a"), (wren, "b"), (wren, "c"), (ramon, "d")].into_iter().enumerate() {
            let at = 1_000_000 + n as i64;
            store.open_session(by(at), who, &format!("10.0.0.{n}"), (token, "csrf"), at + 86_400).unwrap();
        }
        let seen = |token: &str| store.sessions_of(wren, token, 1_000_100).unwrap();
        let addresses: Vec<(String, bool)> = seen("b").into_iter().map(|s| (s.address, s.own)).collect();
        assert_eq!(addresses, [("10.0.0.2".to_owned(), false), ("10.0.0.1".to_owned(), true), ("10.0.0.0".to_owned(), false)]);
        let of_ramon = store.sessions_of(ramon, "d", 1_000_100).unwrap()[0].id;
        assert!(!store.close_session_of(by(1_000_100), wren, of_ramon, "b").unwrap(), "another's");
        assert!(store.close_session_of(by(1_000_100), wren, seen("b")[0].id, "b").unwrap());
        assert!(store.session("c", 1_000_100).unwrap().is_none() && store.session("d", 1_000_100).unwrap().is_some());
        let own = seen("b").into_iter().find(|s| s.own).unwrap().id;
        assert!(!store.close_session_of(by(1_000_100), wren, own, "b").unwrap(), "the one that asks");
        assert_eq!(store.close_other_sessions(by(1_000_100), wren, "b").unwrap(), 1);
        assert_eq!(seen("b").len(), 1);
        assert!(store.session("b", 1_000_100).unwrap().is_some() && store.session("d", 1_000_100).unwrap().is_some());
    }

    /// A tablet is known for half a year after it was last signed in on.
    #[test]
    fn a_tablet_is_forgotten_in_the_end() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let days = |d: i64| By { who: "wren", at: 1_000_000 + 86_400 * d };
        let wren = store.add_person(days(0), "wren", "Wren", PersonRole::Apprentice, "-").unwrap();
        store.signed_in(days(0), wren, "wren", "10.0.0.2", "one").unwrap();
        store.signed_in(days(170), wren, "wren", "10.0.0.2", "two").unwrap();
        assert!(store.tablet_is_known("one", wren).unwrap());
        store.signed_in(days(190), wren, "wren", "10.0.0.2", "two").unwrap();
        assert!(!store.tablet_is_known("one", wren).unwrap() && store.tablet_is_known("two", wren).unwrap());
    }
}
