//! Connections as they come in: no more than the shop needs, from one address and in all, and none that hangs.

use axum_server::accept::Accept;
use std::collections::HashMap;
use std::future::{Ready, ready};
use std::io;
use std::net::IpAddr;
use std::pin::Pin;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio_io_timeout::TimeoutStream;

/// How long a client may keep the server waiting for its next bytes.
const READS_WITHIN: Duration = Duration::from_secs(30);
/// How long a client may leave an answer unread.
const WRITES_WITHIN: Duration = Duration::from_secs(20);
/// How long the headers of a request may take.
pub const HEADERS_WITHIN: Duration = Duration::from_secs(10);
/// How long a request may take from its headers to its answer: a photo over a poor network.
pub const REQUEST_WITHIN: Duration = Duration::from_secs(60);

/// How many connections may be open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caps {
    /// From one address. A browser opens six.
    pub per_address: usize,
    /// From all.
    pub in_all: usize,
}

impl Default for Caps {
    fn default() -> Self {
        Self { per_address: 48, in_all: 512 }
    }
}

/// Lets connections in while there is room.
#[derive(Clone)]
pub struct Doorman {
    caps: Caps,
    open: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

impl Doorman {
    /// With these caps.
    pub fn new(caps: Caps) -> Self {
        Self { caps, open: Arc::default() }
    }

    fn open(&self) -> MutexGuard<'_, HashMap<IpAddr, usize>> {
        // Counting cannot leave the table half changed.
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A place for a connection from this address, until it is dropped; none where there is no room.
    fn place(&self, from: IpAddr) -> Option<Place> {
        // An address of IPv4 is the same behind a socket of IPv6.
        let from = from.to_canonical();
        let mut open = self.open();
        let all: usize = open.values().sum();
        let mine = open.get(&from).copied().unwrap_or(0);
        if all >= self.caps.in_all || mine >= self.caps.per_address {
            return None;
        }
        open.insert(from, mine + 1);
        drop(open);
        Some(Place { doorman: self.clone(), from })
    }
}

/// A connection's place; given back when it is dropped.
struct Place {
    doorman: Doorman,
    from: IpAddr,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.doorman.open();
        match open.get_mut(&self.from) {
            Some(n) if *n > 1 => *n -= 1,
            _ => {
                open.remove(&self.from);
            }
        }
    }
}

/// A connection that was let in.
pub struct LetIn {
    stream: Pin<Box<TimeoutStream<TcpStream>>>,
    _place: Place,
}

impl<S> Accept<TcpStream, S> for Doorman {
    type Stream = LetIn;
    type Service = S;
    type Future = Ready<io::Result<(LetIn, S)>>;

    fn accept(&self, stream: TcpStream, service: S) -> Self::Future {
        let let_in = || {
            let from = stream.peer_addr()?.ip();
            let place = self.place(from).ok_or_else(|| io::Error::new(io::ErrorKind::ConnectionRefused, "too many connections"))?;
            stream.set_nodelay(true)?;
            let mut stream = TimeoutStream::new(stream);
            stream.set_read_timeout(Some(READS_WITHIN));
            stream.set_write_timeout(Some(WRITES_WITHIN));
            Ok((LetIn { stream: Box::pin(stream), _place: place }, service))
        };
        ready(let_in())
    }
}

impl AsyncRead for LetIn {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        self.stream.as_mut().poll_read(cx, buf)
    }
}

impl AsyncWrite for LetIn {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        self.stream.as_mut().poll_write(cx, buf)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.stream.as_mut().poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.stream.as_mut().poll_shutdown(cx)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_write_vectored(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bufs: &[io::IoSlice<'_>]) -> Poll<io::Result<usize>> {
        self.stream.as_mut().poll_write_vectored(cx, bufs)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]
mod tests {
    use super::*;

    #[test]
    fn places_are_counted_by_address_and_in_all_and_given_back() {
        let doorman = Doorman::new(Caps { per_address: 2, in_all: 3 });
        let at = |n: u8| IpAddr::from([10, 0, 0, n]);
        let (a, b) = (doorman.place(at(1)), doorman.place(at(1)));
        assert!(a.is_some() && b.is_some() && doorman.place(at(1)).is_none());
        // The same address as IPv6 writes it.
        assert!(doorman.place("::ffff:10.0.0.1".parse().unwrap()).is_none());
        let c = doorman.place(at(2));
        assert!(c.is_some() && doorman.place(at(3)).is_none());
        drop(b);
        let d = doorman.place(at(3));
        assert!(d.is_some() && doorman.place(at(1)).is_none());
        drop((a, c, d));
        assert!(doorman.open().is_empty());
    }
}
