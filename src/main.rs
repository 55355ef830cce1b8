//! The program: arguments in, exit status out.

use std::process::ExitCode;

/// Judging takes and gives back memory in small pieces all the time.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    standwell::cli::run(std::env::args_os())
}
