//! Exit statuses.

use crate::findings::{Finding, Severity};
use std::process::ExitCode;

/// What the program tells the script that ran it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Nothing at or above the chosen severity.
    Clean,
    /// Something at or above the chosen severity.
    Found,
    /// Something could not be judged, or the job could not be read. Wins over [`Status::Found`].
    Unknown,
    /// The command line itself is wrong.
    Usage,
}

impl Status {
    /// The number a shell sees.
    #[must_use]
    pub fn code(self) -> u8 {
        match self {
            Self::Clean => 0,
            Self::Found => 1,
            Self::Unknown => 2,
            Self::Usage => 64,
        }
    }

    /// The status of a list of findings. One that somebody accepted does not count, but for a
    /// *stop* and for what could not be judged: neither is made safe by a signature.
    #[must_use]
    pub fn of<'a>(findings: impl IntoIterator<Item = &'a Finding>, fail_on: Severity) -> Self {
        let mut status = Self::Clean;
        for finding in findings {
            if finding.unknown {
                return Self::Unknown;
            }
            let counts = finding.accepted.is_none() || finding.severity == Severity::Stop;
            if counts && finding.severity >= fail_on {
                status = Self::Found;
            }
        }
        status
    }
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        Self::from(status.code())
    }
}
