//! The program: arguments in, exit status out.

use std::process::ExitCode;

fn main() -> ExitCode {
    standwell::cli::run(std::env::args_os())
}
