//! The review as text for people: the job once, then root findings with what follows from them.

use super::style::{Style, label};
use super::words::{measure, seen, wrap};
use super::{CAUTIONS, Counts, SAMPLE_CAUTION, Subject};
use crate::findings::Finding;
use crate::review::Review;
use crate::sequence::Stage;
use std::io::{self, Write};

/// Characters to a line.
const WIDTH: usize = 100;
/// Consequences listed under a root unless all are asked for.
const FEW: usize = 5;

/// Members named in a row unless all are asked for.
const MEMBERS: usize = 9;

/// How much to say.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Detail {
    /// Every consequence with its numbers, and every member by name.
    pub all: bool,
}

/// Writes the whole report.
pub fn write(
    out: &mut dyn Write,
    subject: &Subject<'_>,
    style: Style,
    detail: Detail,
) -> io::Result<()> {
    header(out, subject, style)?;
    let findings = &subject.review.findings;
    let shown: Vec<usize> =
        (0..findings.len()).filter(|index| subject.selection.shows(&findings[*index])).collect();
    for &index in &shown {
        let hangs_under_shown = root_of(findings, index).is_some_and(|root| shown.contains(&root));
        if !hangs_under_shown {
            writeln!(out)?;
            let followers: Vec<usize> = shown
                .iter()
                .copied()
                .filter(|&other| other != index && root_of(findings, other) == Some(index))
                .collect();
            root(out, subject, index, &followers, style, detail)?;
        }
    }
    closing(out, subject, &shown)
}

/// The root at the end of the chain, if the finding is a consequence.
fn root_of(findings: &[Finding], index: usize) -> Option<usize> {
    let mut at = index;
    // A chain is never longer than the list; a ring would be a fault of the review, and ends here.
    for _ in 0..findings.len() {
        match findings.get(at)?.root {
            Some(next) => at = next,
            None => break,
        }
    }
    (at != index).then_some(at)
}

fn header(out: &mut dyn Write, subject: &Subject<'_>, style: Style) -> io::Result<()> {
    let review = subject.review;
    let scene = &review.assembly.scene;
    writeln!(out, "{}", style.bold(&scene.title))?;
    let pack = &review.pack;
    field(out, "criteria", &format!("{} ({})", pack.full_title(), pack.region))?;
    if let Some(words) = pack.incomplete() {
        field(out, "", &words)?;
    }
    field(out, "equipment", &review.assembly.library.title)?;
    if let Some(file) = subject.files.first() {
        field(out, "scene", &file.path)?;
    }
    let stages = &review.sequence.stages;
    let judged = match (stages.first(), stages.last()) {
        (Some(_), Some(_)) if review.sequence.finished_only => {
            "the finished stage alone: there is no sequence, so how it goes up was not judged"
                .to_owned()
        }
        (Some(first), Some(last)) => {
            format!("{} stages, from {} to {}", stages.len(), first.step, last.step)
        }
        _ => "no stage at all".to_owned(),
    };
    field(out, "judged", &judged)?;
    if let Some(stage) = subject.selection.stage.and_then(|index| stages.get(index)) {
        field(out, "shown", &format!("stage {} alone: {}", stage.index, step_words(stage)))?;
    }
    for (name, words) in super::strength::lines(subject) {
        field(out, name, &words)?;
    }
    for (i, change) in review.changes.iter().enumerate() {
        let words = crate::changes::words::of(&change.change, subject.units);
        let label = if i == 0 { "tried" } else { "" };
        field(out, label, &format!("{}: {words}", change.name))?;
    }
    let sample = review.assembly.library.sample.then_some(SAMPLE_CAUTION);
    for caution in sample.into_iter().chain(CAUTIONS) {
        for (i, line) in wrap(caution, WIDTH - 4).iter().enumerate() {
            let lead = if i == 0 { "  ! " } else { "    " };
            writeln!(out, "{}", style.dim(&format!("{lead}{line}")))?;
        }
    }
    Ok(())
}

fn field(out: &mut dyn Write, name: &str, value: &str) -> io::Result<()> {
    for (i, line) in wrap(value, WIDTH - 14).iter().enumerate() {
        writeln!(out, "  {:<11} {line}", if i == 0 { name } else { "" })?;
    }
    Ok(())
}

fn step_words(stage: &Stage) -> String {
    if stage.title.is_empty() {
        stage.step.clone()
    } else {
        format!("{} \"{}\"", stage.step, stage.title)
    }
}

/// Where a finding stands: the step that made it so, its stages, and what ends it.
fn when(review: &Review, finding: &Finding) -> String {
    let stages = &review.sequence.stages;
    let step = stages
        .get(finding.from_stage)
        .filter(|stage| stage.step == finding.from_step)
        .map_or_else(|| finding.from_step.clone(), step_words);
    if review.sequence.finished_only {
        return "with everything in place".to_owned();
    }
    let span = if finding.from_stage == finding.last_stage {
        format!("stage {}", finding.from_stage)
    } else {
        format!("stages {} to {}", finding.from_stage, finding.last_stage)
    };
    let end = match &finding.cured_by {
        Some(step) => format!("cured by {step}"),
        None => "to the end".to_owned(),
    };
    format!("after {step}, {span}, {end}")
}

fn root(
    out: &mut dyn Write,
    subject: &Subject<'_>,
    index: usize,
    followers: &[usize],
    style: Style,
    detail: Detail,
) -> io::Result<()> {
    let findings = &subject.review.findings;
    full(out, subject, &findings[index], (style, detail), "")?;
    if followers.is_empty() {
        return Ok(());
    }
    let listed = if detail.all { followers.len() } else { followers.len().min(FEW) };
    writeln!(out, "    follows from it ({}):", Counts::of(pick(findings, followers)).words())?;
    for &follower in &followers[..listed] {
        if detail.all {
            full(out, subject, &findings[follower], (style, detail), "      ")?;
        } else {
            brief(out, subject, &findings[follower], style)?;
        }
    }
    if listed < followers.len() {
        let more = followers.len() - listed;
        writeln!(out, "      … and {more} more; --all lists them")?;
    }
    Ok(())
}

fn pick<'a>(findings: &'a [Finding], which: &'a [usize]) -> impl Iterator<Item = &'a Finding> {
    which.iter().map(|&index| &findings[index])
}

fn brief(
    out: &mut dyn Write,
    subject: &Subject<'_>,
    finding: &Finding,
    style: Style,
) -> io::Result<()> {
    writeln!(
        out,
        "      {}  {}  {}",
        label(style, finding),
        finding.code,
        when(subject.review, finding)
    )?;
    lines(out, "        ", "", &finding.headline)
}

fn full(
    out: &mut dyn Write,
    subject: &Subject<'_>,
    finding: &Finding,
    (style, detail): (Style, Detail),
    indent: &str,
) -> io::Result<()> {
    writeln!(
        out,
        "{indent}{}  {} {}",
        label(style, finding),
        style.bold(&finding.code),
        finding.hazard
    )?;
    let inner = format!("{indent}    ");
    for line in wrap(&finding.headline, WIDTH - inner.len()) {
        writeln!(out, "{inner}{}", style.bold(&line))?;
    }
    lines(out, &inner, "when", &when(subject.review, finding))?;
    if !finding.subjects.is_empty() {
        lines(out, &inner, "members", &few(&finding.subjects, detail))?;
    }
    for m in &finding.evidence.measures {
        lines(out, &inner, "measured", &measure(subject.units, m))?;
    }
    if !finding.evidence.path.is_empty() {
        lines(out, &inner, "path", &finding.evidence.path.join(" → "))?;
    }
    if let Some(motion) = &finding.evidence.motion {
        let names: Vec<&str> = motion.members.iter().map(|m| m.name.as_str()).collect();
        lines(out, &inner, "moves", &few(&names, detail))?;
    }
    for note in &finding.evidence.notes {
        lines(out, &inner, "why", note)?;
    }
    if !finding.others.is_empty() {
        lines(out, &inner, "see also", &few(&finding.others, detail))?;
    }
    for cure in &finding.cures {
        lines(out, &inner, "cure", cure)?;
    }
    for source in &finding.sources {
        let words = [source.title.as_str(), source.locator.as_str()]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(", ");
        lines(out, &inner, "source", &format!("{words} ({})", seen(&source.seen)))?;
    }
    if finding.sample_data {
        lines(out, &inner, "data", "rests on sample equipment: use your supplier's table")?;
    }
    if let Some((reason, by)) = &finding.accepted {
        lines(out, &inner, "accepted", &format!("by {by}: {reason}"))?;
    }
    Ok(())
}

/// Names in a row; the first of them where there are many and not all are asked for.
fn few<T: AsRef<str>>(names: &[T], detail: Detail) -> String {
    let most = if detail.all { names.len() } else { names.len().min(MEMBERS) };
    let mut text = names[..most].iter().map(AsRef::as_ref).collect::<Vec<_>>().join(", ");
    if most < names.len() {
        text.push_str(&format!(", and {} more", names.len() - most));
    }
    text
}

/// A named line, wrapped under itself.
fn lines(out: &mut dyn Write, indent: &str, name: &str, text: &str) -> io::Result<()> {
    let column = if name.is_empty() { 0 } else { 10 };
    let width = WIDTH.saturating_sub(indent.len() + column).max(40);
    for (i, line) in wrap(text, width).iter().enumerate() {
        writeln!(out, "{indent}{:<column$}{line}", if i == 0 { name } else { "" })?;
    }
    Ok(())
}

fn closing(out: &mut dyn Write, subject: &Subject<'_>, shown: &[usize]) -> io::Result<()> {
    let findings = &subject.review.findings;
    let roots: Vec<usize> =
        shown.iter().copied().filter(|&index| root_of(findings, index).is_none()).collect();
    writeln!(out)?;
    writeln!(
        out,
        "{}: {}; {}: {}",
        counted(shown.len(), "finding"),
        Counts::of(pick(findings, shown)).words(),
        counted(roots.len(), "root"),
        Counts::of(pick(findings, &roots)).words()
    )?;
    let left_out = findings.iter().filter(|f| subject.selection.at_stage(f)).count() - shown.len();
    if left_out > 0 {
        writeln!(out, "{left_out} less severe than {} left out", subject.selection.from.words())?;
    }
    Ok(())
}

/// `1 root`, `2 roots`.
fn counted(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}
