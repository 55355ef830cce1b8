//! The permit as a page that prints to one or two sheets.

use super::draft::Basis;
use super::model::Permit;
use super::plan::{Ring, plan};
use super::refusal::within;
use super::window::Window;
use crate::findings::{Finding, Severity};
use crate::report::markup::{Markup, escape};
use crate::report::style::{mark, word};
use base64::Engine as _;

/// Rows of a list on the sheet; the JSON file holds them all.
const ROWS: usize = 8;
/// Pictures on the sheet.
const PICTURES: usize = 4;

const STYLE: &str = "\
@page { size: A4; margin: 12mm }
body { font: 10pt/1.35 sans-serif; color: #111; margin: 0 auto; max-width: 186mm }
h1 { font-size: 17pt; margin: 0 }
h2 { font-size: 11pt; margin: 3mm 0 1mm; border-bottom: 1px solid #111 }
p, ul { margin: 1mm 0 }
ul { padding-left: 5mm }
table { border-collapse: collapse; width: 100%; font-size: 9pt }
th, td { text-align: left; vertical-align: top; padding: 0.6mm 1.5mm; border-bottom: 1px solid #ccc; overflow-wrap: anywhere }
.state { border: 2px solid #111; padding: 2mm 3mm; margin: 2mm 0; font-weight: bold }
.no { border-width: 4px; border-style: double }
.plan { width: 100%; max-height: 92mm; border: 1px solid #999 }
.small { font-size: 7.5pt; color: #333 }
.hash { font-family: monospace; font-size: 7pt }
.sign { display: grid; grid-template-columns: 1fr 1fr 1fr; gap: 4mm; margin-top: 2mm }
.sign div { border-bottom: 1px solid #111; min-height: 9mm }
.pictures { display: grid; grid-template-columns: 1fr 1fr; gap: 3mm }
.pictures img { width: 100%; max-height: 55mm; object-fit: contain }
h2, table, figure, .state { break-inside: avoid }
figure { margin: 0 }
";

/// The whole page. `permit` as drafted from `basis`, issued or not.
#[must_use]
pub fn html(permit: &Permit, basis: &Basis<'_>) -> String {
    let mut body = Markup::default();
    let title = sentence(permit.kind.words());
    body.element("h1", &title);
    body.element("p", &format!("{}. {}", permit.job, permit.about));
    state(&mut body, permit);
    covers(&mut body, permit);
    drawing(&mut body, permit, basis);
    hold_points(&mut body, permit);
    findings(&mut body, permit);
    parts(&mut body, permit);
    missing_photos(&mut body, basis);
    pictures(&mut body, basis);
    files(&mut body, permit);
    Markup::document(&format!("{title}: {}", permit.job), STYLE, &body)
}

fn sentence(text: &str) -> String {
    crate::checks::support::words::sentence(text)
}

fn state(body: &mut Markup, permit: &Permit) {
    match (&permit.issue, permit.refusals.is_empty()) {
        (Some(issue), _) => {
            body.within("div class=\"state\"", |m| {
                let role = if issue.role.is_empty() { String::new() } else { format!(", {}", issue.role) };
                m.element("div", &format!("■ ISSUED on {} by {}{role}", issue.on, issue.by));
                if let Some(until) = &issue.valid_until {
                    m.element("div", &format!("Counts up to and with {until}."));
                }
                if !issue.note.is_empty() {
                    m.element("div", &issue.note);
                }
                m.element("div class=\"small\"", "Any change to the files below, of a comment too, voids it. Check: standwell permit verify.");
                m.element("div class=\"small\"", "Signature:");
                m.element("div class=\"sign\"", " ");
            });
        }
        (None, true) => {
            body.within("div class=\"state\"", |m| {
                m.element(
                    "div",
                    "DRAFT: not issued. Nothing stands in its way; a named person has to issue it.",
                );
            });
        }
        (None, false) => {
            body.within("div class=\"state no\"", |m| {
                m.element("div", "✕ CANNOT BE ISSUED");
                let mut reasons: Vec<String> =
                    permit.refusals.iter().map(super::Refusal::words).collect();
                cut(&mut reasons, 2 * ROWS);
                m.list(&reasons);
            });
        }
    }
}

/// Keeps the first of many rows, and says so.
fn cut(rows: &mut Vec<String>, most: usize) {
    if rows.len() > most {
        let more = rows.len() - most;
        rows.truncate(most);
        rows.push(format!("and {more} more"));
    }
}

fn covers(body: &mut Markup, permit: &Permit) {
    let stage = |stage: &Option<super::StageNamed>| {
        stage.as_ref().map_or_else(
            || "no such step in the scene".to_owned(),
            |s| {
                if s.title.is_empty() {
                    s.step.clone()
                } else {
                    format!("{} ({})", s.title, s.step)
                }
            },
        )
    };
    let drawing = permit.drawing.clone().unwrap_or_else(|| "none named".to_owned());
    body.table(
        &["as built after", "covers up to and with", "drawing in force", "criteria", "equipment"],
        &[vec![
            stage(&permit.from),
            stage(&permit.until),
            drawing,
            permit.criteria.clone(),
            permit.equipment.clone(),
        ]],
    );
}

fn drawing(body: &mut Markup, permit: &Permit, basis: &Basis<'_>) {
    let (Some(from), Some(until)) = (&permit.from, &permit.until) else { return };
    let review = basis.review;
    let Some(stage) = review.sequence.stages.get(from.index) else { return };
    let window = Window { from: from.index, until: until.index };
    let found: Vec<&Finding> = within(basis, window)
        .filter(|f| f.root.is_none() && (f.unknown || f.severity >= Severity::Watch))
        .take(ROWS)
        .collect();
    let rings: Vec<Ring<'_>> = found
        .iter()
        .enumerate()
        .map(|(i, f)| Ring { label: (i + 1).to_string(), members: &f.subjects })
        .collect();
    let svg = plan(&review.assembly, stage, &rings, (760.0, 420.0), review.assembly.scene.units);
    body.within("figure", |m| {
        m.raw(&svg);
        m.element(
            "figcaption class=\"small\"",
            "Plan of what stands as built. Squares: posts; thick lines: ledgers; thin: joists; dashed \
             beside a bay: braces; crosses: clips.",
        );
    });
    if !found.is_empty() {
        let rows: Vec<String> = found
            .iter()
            .enumerate()
            .map(|(i, f)| {
                let (sign, word) = (mark(f.severity, f.unknown), word(f.severity, f.unknown));
                format!("{} {sign} {word}: {}", i + 1, f.headline)
            })
            .collect();
        body.element("p class=\"small\"", &format!("Ringed: {}.", rows.join("; ")));
    }
}

fn hold_points(body: &mut Markup, permit: &Permit) {
    body.element("h2", "Hold points");
    let rows: Vec<Vec<String>> = permit
        .hold_points
        .iter()
        .map(|point| match &point.released {
            Some(released) => vec![
                format!("☑ {}", point.title),
                format!("{}, {}", released.by, released.on),
                released.evidence.join("; "),
            ],
            None => vec![format!("☐ {}", point.title), "open".to_owned(), String::new()],
        })
        .collect();
    body.table(&["hold point", "released by", "on the evidence of"], &rows);
}

fn findings(body: &mut Markup, permit: &Permit) {
    body.element("h2", "Accepted, by whom and why");
    if permit.accepted.is_empty() {
        body.element("p", "Nothing was accepted.");
    } else {
        let mut rows: Vec<Vec<String>> = permit
            .accepted
            .iter()
            .take(ROWS)
            .map(|a| {
                let what = format!(
                    "{} {}: {} ({})",
                    mark(a.severity, false),
                    a.severity.words(),
                    a.headline,
                    a.code
                );
                vec![what, a.by.clone(), a.reason.clone()]
            })
            .collect();
        if permit.accepted.len() > ROWS {
            rows.push(vec![format!("and {} more, in the JSON file", permit.accepted.len() - ROWS)]);
        }
        body.table(&["finding", "by", "reason"], &rows);
    }
    let mut rows: Vec<String> = permit
        .standing
        .iter()
        .filter(|s| s.severity == Severity::Watch)
        .map(|s| format!("{} watch: {} ({})", mark(s.severity, false), s.headline, s.code))
        .collect();
    let notes = permit.standing.len() - rows.len();
    cut(&mut rows, ROWS);
    if notes > 0 {
        rows.push(format!("and {}, in the JSON file", super::refusal::counted(notes, "note")));
    }
    if !rows.is_empty() {
        body.element("h2", "Standing, to be watched");
        body.list(&rows);
    }
}

fn parts(body: &mut Markup, permit: &Permit) {
    body.element("h2", "Parts in place, and who looked at them");
    let rows: Vec<String> =
        permit.parts.iter().map(|p| format!("{} {} of {}", p.kind, p.in_order, p.there)).collect();
    body.element("p", &format!("Inspected and in order: {}.", rows.join("; ")));
    let mut looks: Vec<String> =
        permit.looked.iter().map(|l| format!("{} on {}: {} parts", l.by, l.on, l.parts)).collect();
    cut(&mut looks, ROWS);
    if !looks.is_empty() {
        body.element("p", &looks.join("; "));
    }
}

fn missing_photos(body: &mut Markup, basis: &Basis<'_>) {
    let Some(record) = basis.record else { return };
    let missing = crate::record::missing_photos(&record.record, &record.stamp.path);
    let mut rows: Vec<String> = missing.iter().map(|m| format!("✕ {}", m.words())).collect();
    if rows.is_empty() {
        return;
    }
    cut(&mut rows, ROWS);
    body.element(
        "p",
        "Photos that the record names and that were not there when this was written:",
    );
    body.list(&rows);
}

fn pictures(body: &mut Markup, basis: &Basis<'_>) {
    if basis.pictures.is_empty() {
        return;
    }
    body.element("h2", "Pictures");
    body.within("div class=\"pictures\"", |m| {
        for picture in basis.pictures.iter().take(PICTURES) {
            let kind = if picture.bytes.starts_with(&[0xFF, 0xD8]) { "jpeg" } else { "png" };
            let data = base64::engine::general_purpose::STANDARD.encode(&picture.bytes);
            let name = picture.path.file_name().map(|n| n.to_string_lossy().into_owned());
            let name = escape(&name.unwrap_or_default());
            m.raw(&format!("<figure><img alt=\"{name}\" src=\"data:image/{kind};base64,{data}\"/><figcaption class=\"small\">{name}</figcaption></figure>"));
        }
    });
}

fn files(body: &mut Markup, permit: &Permit) {
    body.element("h2", "Bound to");
    body.element("p class=\"small\"", &format!("{} {}", permit.program, permit.version));
    body.within("table class=\"hash\"", |m| {
        m.within("tbody", |m| {
            for file in permit.files.iter().chain(&permit.pictures) {
                m.within("tr", |m| {
                    m.element("td", &file.path);
                    m.element("td", &file.sha256);
                });
            }
            if !permit.seal.is_empty() {
                m.within("tr", |m| {
                    m.element("td", "seal of this permit");
                    m.element("td", &permit.seal);
                });
            }
        });
    });
    if !permit.from_memory.is_empty() {
        body.element(
            "p class=\"small\"",
            &format!(
                "Limits written down from memory, to be checked against the document: {}.",
                permit.from_memory.join("; ")
            ),
        );
    }
    body.within("div class=\"small\"", |m| {
        m.list(&permit.cautions);
    });
}
