//! Who gives the terminal back when something panics. A program of its own: the hook is one for the whole process.

use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::thread;

use millside::edge::panics;

static GIVEN_BACK: AtomicUsize = AtomicUsize::new(0);

fn give_back() {
    GIVEN_BACK.fetch_add(1, Ordering::Relaxed);
}

#[test]
fn only_the_thread_that_has_the_terminal_gives_it_back_and_once() {
    // Each time that the program comes back from the background the terminal is taken once more.
    for _ in 0..3 {
        panics::own_terminal(give_back);
    }
    let said = thread::spawn(|| panics::caught(|| panic!("a worker")))
        .join()
        .expect("the panic is caught");
    let said = said.map(|()| String::new()).expect_err("it panicked");
    assert!(said.starts_with("a worker (tests/panics.rs:"), "{said}");
    assert_eq!(GIVEN_BACK.load(Ordering::Relaxed), 0);
    let said = panics::caught(|| panic!("the loop"));
    assert_eq!(said, Err::<(), _>("the loop".to_owned()));
    assert_eq!(GIVEN_BACK.load(Ordering::Relaxed), 1);
}
