//! A terminal that refuses for a moment gets every byte; a clock that was never set is a time like others.

use std::io;
use std::io::ErrorKind;
use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;
use std::time::SystemTime;

use chrono::Datelike;

use millside::edge::clock;
use millside::edge::patient::Patient;

/// Takes a few bytes at a time and refuses in between.
#[derive(Default)]
struct Slow {
    taken: Vec<u8>,
    refusals: usize,
    turn: usize,
    error: Option<ErrorKind>,
}

impl Write for &mut Slow {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.turn += 1;
        if let Some(kind) = self.error
            && self.turn % 2 == 1
        {
            self.refusals += 1;
            return Err(kind.into());
        }
        let count = bytes.len().min(3);
        self.taken.extend_from_slice(&bytes[..count]);
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_refusal_for_a_moment_cuts_no_sequence_and_ends_nothing() {
    for kind in [ErrorKind::WouldBlock, ErrorKind::Interrupted] {
        let mut slow = Slow {
            error: Some(kind),
            ..Slow::default()
        };
        let mut out = Patient::new(&mut slow, Arc::new(AtomicBool::new(false)));
        let frame = "\u{1b}[2;3Hthree of four\u{1b}[0m";
        write!(out, "{frame}").expect("it is kept");
        out.flush().expect("it is waited for");
        drop(out);
        assert_eq!(String::from_utf8_lossy(&slow.taken), frame);
        assert!(slow.refusals > 3);
    }
}

/// Takes nothing at all.
struct Gone(usize);

impl Write for &mut Gone {
    fn write(&mut self, _bytes: &[u8]) -> io::Result<usize> {
        self.0 += 1;
        Err(ErrorKind::BrokenPipe.into())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_terminal_that_is_gone_is_told_once_and_then_left_alone() {
    let mut gone = Gone(0);
    let mut out = Patient::new(&mut gone, Arc::new(AtomicBool::new(false)));
    out.write_all(b"first").expect("it is kept");
    assert!(out.flush().is_err());
    out.write_all(b"second").expect("nothing is done");
    out.flush().expect("nothing is done");
    drop(out);
    assert_eq!(gone.0, 1);
}

#[test]
fn a_program_that_ends_does_not_wait_for_ever_for_its_terminal() {
    struct Never;
    impl Write for Never {
        fn write(&mut self, _bytes: &[u8]) -> io::Result<usize> {
            Err(ErrorKind::WouldBlock.into())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    let mut out = Patient::new(Never, Arc::new(AtomicBool::new(true)));
    out.write_all(b"first").expect("it is kept");
    assert!(out.flush().is_err());
}

#[test]
fn a_clock_before_1970_is_a_time_like_others() {
    let early = SystemTime::UNIX_EPOCH - Duration::from_secs(3 * 365 * 24 * 3600);
    assert_eq!(clock::wall(early).year(), 1967);
    assert_eq!(clock::wall(early).timestamp(), -94_608_000);
    let now = clock::Clock::begin().now();
    assert!(now.wall.timestamp() > 0);
}
