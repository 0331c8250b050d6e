//! A certificate of the shop's own, for whoever has none: made once, kept in the data folder, told by its fingerprint.
//!
//! The certificate is signed by an authority that is made for it alone and may sign for nobody else: the authority's key is thrown
//! away once it has signed, so that there is none to steal. Tablets that install the authority then warn no more.

use crate::when;
use jiff::Span;
use jiff::civil::Date;
use rcgen::{
    BasicConstraints, CertificateParams, CertifiedIssuer, DnType, ExtendedKeyUsagePurpose, IsCa, KeyPair, KeyUsagePurpose, date_time_ymd,
};
use std::fs;
use std::io::{self, Write};
use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};

/// Days for which it holds: browsers of tablets take no more than 825 (common practice, from memory).
const DAYS: u32 = 800;
/// Days before its end at which it is made again, when the program starts.
const AHEAD_DAYS: u32 = 45;

/// The files of the certificate that the pages are served with.
#[derive(Clone, Debug)]
pub struct Certificate {
    /// Certificate chain, PEM.
    pub chain: PathBuf,
    /// Its key, PEM.
    pub key: PathBuf,
    /// Whether the program made it.
    pub own: bool,
}

/// The certificate that the program makes: read where it is there, holds long enough and is for these names; else made.
///
/// # Errors
/// Where the folder cannot be written.
pub fn own(data: &Path, names: &[String], at: SocketAddr) -> io::Result<Certificate> {
    let folder = data.join("tls");
    let files = Certificate { chain: folder.join("certificate.pem"), key: folder.join("key.pem"), own: true };
    let made_for = folder.join("made-for.txt");
    let ahead = when::in_days(AHEAD_DAYS);
    // Its end, then its names, a line each.
    let holds = fs::read_to_string(&made_for).is_ok_and(|text| {
        let mut lines = text.lines();
        lines.next().is_some_and(|end| end > ahead.as_str()) && names.iter().all(|n| text.lines().any(|line| line == n))
    });
    if holds && files.chain.exists() && files.key.exists() {
        return Ok(files);
    }
    fs::DirBuilder::new().recursive(true).mode(0o700).create(&folder)?;
    let end = when::in_days(DAYS);
    let begin = when::today().saturating_sub(Span::new().days(1));
    let mut all = names.to_vec();
    all.extend(addresses(at).iter().map(ToString::to_string));
    let (chain, key) = made(&all, begin, end.parse().map_err(io::Error::other)?).map_err(io::Error::other)?;
    // The old mark goes first: a crash on the way leaves a certificate that is made again, not one without its key.
    let _ = fs::remove_file(&made_for);
    write(&files.key, &key)?;
    write(&files.chain, &chain)?;
    write(&made_for, &format!("{end}\n{}\n", names.join("\n")))?;
    Ok(files)
}

fn made(names: &[String], begin: Date, end: Date) -> Result<(String, String), rcgen::Error> {
    // Months and days of a calendar's date are small and above zero.
    let day = |d: Date| date_time_ymd(d.year().into(), d.month().unsigned_abs(), d.day().unsigned_abs());
    let mut authority = CertificateParams::new(vec![])?;
    (authority.not_before, authority.not_after) = (day(begin), day(end));
    authority.distinguished_name.push(DnType::CommonName, "The shop's own authority (trueround)");
    authority.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    authority.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let authority = CertifiedIssuer::self_signed(authority, KeyPair::generate()?)?;
    let mut leaf = CertificateParams::new(names.to_vec())?;
    (leaf.not_before, leaf.not_after) = (day(begin), day(end));
    leaf.distinguished_name.push(DnType::CommonName, names.first().map_or("localhost", String::as_str));
    leaf.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    leaf.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    leaf.use_authority_key_identifier_extension = true;
    let key = KeyPair::generate()?;
    let certificate = leaf.signed_by(&key, &authority)?;
    Ok((format!("{}{}", certificate.pem(), authority.pem()), key.serialize_pem()))
}

/// Written whole or not at all, and readable by nobody else on this machine.
fn write(path: &Path, text: &str) -> io::Result<()> {
    let half = path.with_extension("new");
    let _ = fs::remove_file(&half);
    let mut file = fs::OpenOptions::new().write(true).create_new(true).mode(0o600).open(&half)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    fs::rename(&half, path)
}

/// The addresses under which this machine is reached.
fn addresses(at: SocketAddr) -> Vec<IpAddr> {
    let mut all = vec![IpAddr::from([127, 0, 0, 1]), IpAddr::from(std::net::Ipv6Addr::LOCALHOST)];
    if !at.ip().is_unspecified() {
        all.push(at.ip());
    }
    // Asks the machine's own table of routes; nothing is sent (TEST-NET-1, RFC 5737).
    let on_the_way = UdpSocket::bind(("0.0.0.0", 0)).and_then(|s| s.connect(("192.0.2.1", 9)).and_then(|()| s.local_addr()));
    all.extend(on_the_way.map(|at| at.ip()));
    all.sort();
    all.dedup();
    all
}

/// The name of this machine on its network.
pub fn machine_name() -> Option<String> {
    let name = fs::read_to_string("/proc/sys/kernel/hostname").or_else(|_| fs::read_to_string("/etc/hostname")).ok()?;
    let name = name.trim().to_lowercase();
    (!name.is_empty() && name.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'.' | b'_'))).then_some(name)
}

/// SHA-256 of each certificate of a chain, as browsers show it.
///
/// # Errors
/// Where the file cannot be read.
pub fn fingerprints(chain: &Path) -> io::Result<Vec<String>> {
    let parts = pem::parse_many(fs::read(chain)?).map_err(io::Error::other)?;
    let pairs = |hex: String| {
        hex.to_uppercase().as_bytes().chunks(2).map(|p| String::from_utf8_lossy(p).into_owned()).collect::<Vec<_>>().join(":")
    };
    Ok(parts.iter().filter(|p| p.tag() == "CERTIFICATE").map(|p| pairs(store::agreements::hash_of(p.contents()))).collect())
}

/// The authority of a chain that the program made: what a tablet installs.
///
/// # Errors
/// Where the file cannot be read.
pub fn authority(chain: &Path) -> io::Result<Option<String>> {
    Ok(pem::parse_many(fs::read(chain)?).map_err(io::Error::other)?.iter().rfind(|p| p.tag() == "CERTIFICATE").map(pem::encode))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    #[test]
    fn it_is_made_once_kept_to_its_owner_and_made_anew_for_another_name() {
        let data = tempfile::tempdir().unwrap();
        let at = "192.168.7.2:8460".parse().unwrap();
        let names = |n: &[&str]| n.iter().map(ToString::to_string).collect::<Vec<_>>();
        let first = own(data.path(), &names(&["bench"]), at).unwrap();
        let prints = fingerprints(&first.chain).unwrap();
        assert_eq!(prints.len(), 2);
        assert_eq!(prints[0].len(), 95);
        for file in [&first.key, &first.chain] {
            assert_eq!(fs::metadata(file).unwrap().permissions().mode() & 0o777, 0o600);
        }
        own(data.path(), &names(&["bench"]), at).unwrap();
        assert_eq!(fingerprints(&first.chain).unwrap(), prints);
        own(data.path(), &names(&["bench", "shop.example"]), at).unwrap();
        assert_ne!(fingerprints(&first.chain).unwrap(), prints);
    }
}
