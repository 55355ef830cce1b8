//! The page of a permit that is void: that it is, first and largest, so that nobody takes it for one
//! that counts.

use super::model::Permit;
use super::verify::Void;
use crate::report::markup::Markup;

const STYLE: &str = "\
@page { size: A4; margin: 12mm }
body { font: 11pt/1.4 sans-serif; color: #111; margin: 0 auto; max-width: 186mm }
.void { border: 3mm double #111; padding: 6mm; text-align: center; break-inside: avoid }
h1 { font-size: 72pt; line-height: 1; margin: 0 0 4mm; letter-spacing: 0.08em }
.void p { font-size: 14pt; margin: 1mm 0 }
h2 { font-size: 13pt; margin: 6mm 0 1mm; border-bottom: 1px solid #111 }
ul { margin: 1mm 0; padding-left: 5mm }
.was { font-size: 9pt; color: #333 }
.hash { font-family: monospace; font-size: 7pt; overflow-wrap: anywhere }
";

/// A page that says a permit is void, why, and which one it was. It has no plan and no list of what was
/// in order: those were of a job that is not this one any more.
#[must_use]
pub fn void_html(permit: &Permit, voids: &[Void]) -> String {
    let kind = crate::checks::support::words::sentence(permit.kind.words());
    let mut body = Markup::default();
    body.within("div class=\"void\"", |m| {
        m.element("h1", "✕ VOID");
        m.element("p", &format!("{kind}: {}", permit.job));
        m.element("p", "This permit allows nothing any more.");
    });
    body.element("h2", "Why");
    let why: Vec<String> = voids.iter().map(ToString::to_string).collect();
    body.list(&why);
    body.element("h2", "What to do");
    body.list(&[
        "Stop what it allowed, and tell everybody who was told of it.",
        "Take down every sheet of it that hangs or lies on site.",
        "Look at what was changed, draft the permit again, and have it issued anew by a named person.",
    ]);
    body.within("div class=\"was\"", |m| {
        m.element("h2", "Which permit it was");
        if let Some(issue) = &permit.issue {
            m.element("p", &format!("Was issued on {} by {}.", issue.on, issue.by));
        }
        let step = |s: &Option<super::StageNamed>| {
            s.as_ref().map_or_else(|| "no such step".to_owned(), |s| s.step.clone())
        };
        let covered = format!("Covered {} to {}.", step(&permit.from), step(&permit.until));
        m.element("p", &covered);
        m.element("p class=\"hash\"", &format!("seal {}", permit.seal));
    });
    Markup::document(&format!("VOID, {}: {}", permit.kind.words(), permit.job), STYLE, &body)
}
