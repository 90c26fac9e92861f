//! One socket per address of this machine, shared by the boards that are told
//! apart on it.

use std::collections::HashMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

/// A mutex whose holder cannot leave it half done.
pub(super) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // What is guarded here is whole between any two statements; a panicking holder changes nothing of that.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The sockets that are open now. It keeps none of them open: that is for those who use it.
#[derive(Debug)]
pub(in crate::link) struct Sockets<S>(Arc<Mutex<HashMap<SocketAddr, Weak<S>>>>);

impl<S> Default for Sockets<S> {
    fn default() -> Self {
        Self(Arc::default())
    }
}

impl<S> Clone for Sockets<S> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<S> Sockets<S> {
    /// The socket at an address: the one that others use if it still `works`, else a new one.
    pub(super) fn at(
        &self,
        local: SocketAddr,
        works: impl FnOnce(&S) -> bool,
        bind: impl FnOnce() -> io::Result<S>,
    ) -> io::Result<Arc<S>> {
        let mut open = lock(&self.0);
        open.retain(|_, socket| socket.strong_count() > 0);
        if let Some(socket) = open.get(&local).and_then(Weak::upgrade)
            && works(&socket)
        {
            return Ok(socket);
        }
        let socket = Arc::new(bind()?);
        open.insert(local, Arc::downgrade(&socket));
        Ok(socket)
    }
}

/// Which of the boards that share a socket a sender is: the one that names it,
/// else the one that names nobody.
pub(super) fn meant<T>(
    boards: &[Arc<T>],
    remote: impl Fn(&T) -> Option<IpAddr>,
    from: IpAddr,
) -> Option<Arc<T>> {
    let named = boards.iter().find(|board| remote(board) == Some(from));
    named
        .or_else(|| boards.iter().find(|board| remote(board).is_none()))
        .cloned()
}
