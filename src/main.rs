//! Arguments to a call, a problem to words, an exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    millside::edge::main::run()
}
