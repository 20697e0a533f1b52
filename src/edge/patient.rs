//! A writer for a terminal that may not take everything at once.

use std::io;
use std::io::ErrorKind;
use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::thread;
use std::time::Duration;

/// Between two tries.
const PAUSE: Duration = Duration::from_millis(5);

/// Tries once the program is told to end: one second.
const LAST_TRIES: u32 = 200;

/// Keeps what is written until it is flushed, then writes it whole.
///
/// A terminal that another program has set not to block refuses now and then (`EAGAIN`): it is tried again, from
/// the byte where it stopped, so that no sequence is ever cut. After an error that waiting does not help, writing
/// does nothing and succeeds: the terminal is gone, it was told once, and the end must not fail again.
#[derive(Debug)]
pub struct Patient<W: Write> {
    inner: W,
    kept: Vec<u8>,
    is_gone: bool,
    /// The program is told to end: it does not wait long for the terminal.
    ends: Arc<AtomicBool>,
}

impl<W: Write> Patient<W> {
    /// Around a writer; once `ends` is set it waits for a second at most.
    pub fn new(inner: W, ends: Arc<AtomicBool>) -> Self {
        Self {
            inner,
            kept: vec![],
            is_gone: false,
            ends,
        }
    }

    fn tried<T>(&mut self, mut act: impl FnMut(&mut Self) -> io::Result<T>) -> io::Result<T> {
        let mut tries_left = LAST_TRIES;
        loop {
            match act(self) {
                Err(error)
                    if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::Interrupted)
                        && tries_left > 0 =>
                {
                    tries_left -= u32::from(self.ends.load(Ordering::Relaxed));
                    thread::sleep(PAUSE);
                }
                outcome => return outcome,
            }
        }
    }

    fn write_out(&mut self) -> io::Result<()> {
        let mut done = 0;
        while done < self.kept.len() {
            let written = self.tried(|me| me.inner.write(&me.kept[done..]))?;
            if written == 0 {
                return Err(ErrorKind::WriteZero.into());
            }
            done += written;
        }
        self.tried(|me| me.inner.flush())
    }
}

impl<W: Write> Write for Patient<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if !self.is_gone {
            self.kept.extend_from_slice(bytes);
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.is_gone {
            return Ok(());
        }
        let outcome = self.write_out();
        self.kept.clear();
        self.is_gone = outcome.is_err();
        outcome
    }
}
