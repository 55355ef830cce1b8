//! Running the built program.

use std::path::Path;
use std::process::{Command, Output, Stdio};

/// What came back.
pub struct Ran {
    pub status: i32,
    pub stdout: String,
    pub stderr: String,
}

/// The program, ready for arguments: no display, no colours, in a folder of its own.
pub fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_standwell"));
    command
        .current_dir(folder)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("NO_COLOR")
        .stdin(Stdio::null());
    command
}

/// Runs it to its end.
pub fn run_in(folder: &Path, args: &[&str]) -> Ran {
    ran(program(folder).args(args).output().unwrap())
}

/// Runs it to its end in an empty folder.
pub fn run(args: &[&str]) -> Ran {
    let folder = tempfile::tempdir().unwrap();
    run_in(folder.path(), args)
}

pub fn ran(output: Output) -> Ran {
    Ran {
        status: output.status.code().expect("ended by itself, not by a signal"),
        stdout: String::from_utf8(output.stdout).expect("text on standard output"),
        stderr: String::from_utf8(output.stderr).expect("text on standard error"),
    }
}
