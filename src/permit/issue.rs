//! Issuing: a named person puts a name under the draft, and the whole is sealed.

use super::model::{Issue, Permit};
use super::refusal::Refusal;
use crate::record::{Date, IN_STEP};
use crate::scene::FileStamp;

/// Who issues it, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Issuer {
    pub by: String,
    pub role: String,
    pub on: Date,
    pub valid_until: Option<Date>,
    pub note: String,
}

/// Why a permit was not issued.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotIssued {
    #[error("{} in the way of this permit", super::refusal::counted(.0.len(), "thing"))]
    Refused(Vec<Refusal>),
    #[error("a permit is issued by a named person")]
    Nobody,
    #[error("it would end on {until}, before it begins on {on}")]
    EndsBeforeItBegins { on: Date, until: Date },
    #[error("{what} is dated {on}, after the permit")]
    DatedLater { what: String, on: String },
    #[error("this permit is issued already")]
    Issued,
}

/// Issues a draft.
///
/// # Errors
/// When anything stands in its way; the draft is as it was.
pub fn issue(draft: &Permit, issuer: &Issuer) -> Result<Permit, NotIssued> {
    if draft.issue.is_some() {
        return Err(NotIssued::Issued);
    }
    if !draft.refusals.is_empty() {
        return Err(NotIssued::Refused(draft.refusals.clone()));
    }
    if issuer.by.trim().is_empty() {
        return Err(NotIssued::Nobody);
    }
    if let Some(until) = issuer.valid_until.filter(|until| *until < issuer.on) {
        return Err(NotIssued::EndsBeforeItBegins { on: issuer.on, until });
    }
    // Days are written year first, so that their texts are in their order.
    let on = issuer.on.to_string();
    let later = |what: String, day: &str| {
        (day > on.as_str()).then(|| NotIssued::DatedLater { what, on: day.to_owned() })
    };
    let releases = draft.hold_points.iter().filter_map(|point| {
        // What the scene itself releases has a step, and no day to compare.
        let released = point.released.as_ref().filter(|r| !r.on.starts_with(IN_STEP))?;
        later(format!("the release of \"{}\"", point.title), &released.on)
    });
    let looks = draft
        .looked
        .iter()
        .filter_map(|look| later(format!("an inspection by {}", look.by), &look.on));
    if let Some(error) = releases.chain(looks).next() {
        return Err(error);
    }
    let mut permit = draft.clone();
    permit.issue = Some(Issue {
        by: issuer.by.trim().to_owned(),
        role: issuer.role.trim().to_owned(),
        on,
        valid_until: issuer.valid_until.map(|d| d.to_string()),
        note: issuer.note.trim().to_owned(),
    });
    permit.seal = seal(&permit);
    Ok(permit)
}

/// SHA-256 over the permit's JSON without its seal.
#[must_use]
pub fn seal(permit: &Permit) -> String {
    let bare = Permit { seal: String::new(), ..permit.clone() };
    // Texts and numbers alone: it can always be written. Nothing at all would match no seal.
    let text = serde_json::to_vec(&bare).unwrap_or_default();
    FileStamp::new("", &text).sha256
}
