//! `standwell lesson`: training as text. Answers come from standard input, a line each.

use super::job::{self, SceneArg};
use super::{Context, Status};
use crate::lessons::{
    self, Answer, Card, Choice, Opened, Replay, ResultLine, Session, Told, named_members,
};
use crate::record::Date;
use crate::report::words::wrap;
use crate::scene::{FileStamp, Problems};
use anyhow::Context as _;
use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

const WIDTH: usize = 90;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// A lesson that comes with the program, a lesson file, or any scene; left out, lessons are listed.
    lesson: Option<PathBuf>,
    /// Print the whole lesson with its answers, and ask nothing.
    #[arg(long)]
    read: bool,
    /// Who is trained; goes into the results.
    #[arg(long, value_name = "NAME", default_value = "")]
    trainee: String,
    /// Put the results down at the end of this file, a line of JSON each.
    #[arg(long, value_name = "FILE")]
    results: Option<PathBuf>,
    /// Print the results of that file as CSV, and nothing else.
    #[arg(long, requires = "results", conflicts_with = "lesson")]
    csv: bool,
    /// The day to put down, such as 2026-03-09; left out, today.
    #[arg(long, value_name = "DAY")]
    on: Option<Date>,
    /// Say the codes of hazards, too; `standwell explain` prints them with their clauses.
    #[arg(long)]
    codes: bool,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    if args.csv {
        return export(args, context);
    }
    let Some(asked) = &args.lesson else {
        for lesson in lessons::SHIPPED {
            let (read, _) = lessons::read(lesson.text, &shipped_path(lesson.name))?;
            writeln!(
                context.out,
                "{:<12}  {} min  {}: {}",
                read.name, read.minutes, read.title, read.about
            )?;
        }
        return Ok(Status::Clean);
    };
    let opened = match open(asked, context)? {
        Ok(opened) => opened,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let mut session = Session::new(opened, args.trainee.clone());
    session.codes = args.codes;
    let lesson = &session.opened.lesson;
    writeln!(context.out, "{}", context.out.style().bold(&lesson.title))?;
    writeln!(context.out, "{}. About {} minutes.", lesson.about, lesson.minutes)?;
    let on = args.on.or_else(Date::today);
    if args.read {
        read_out(&mut session, context)?;
        return Ok(Status::Clean);
    }
    let whole = ask_through(&mut session, on, args.results.as_deref(), context)?;
    let (right, all) = session.tally();
    writeln!(context.out)?;
    if !whole {
        writeln!(context.out, "Left before the end.")?;
    }
    writeln!(context.out, "{right} of {all} right.")?;
    Ok(if whole && right == all { Status::Clean } else { Status::Found })
}

fn shipped_path(name: &str) -> PathBuf {
    PathBuf::from(format!("shipped:{name}"))
}

/// A lesson by name, a lesson file, or a lesson made from a scene.
fn open(asked: &Path, context: &Context) -> anyhow::Result<Result<Opened, Problems>> {
    let go = |_: usize, _: usize| true;
    if !asked.exists()
        && let Some(lesson) = lessons::find(&asked.to_string_lossy())
    {
        return Ok(lessons::open(lesson.text, &shipped_path(lesson.name), &go));
    }
    if asked.exists() {
        let text = match crate::scene::file::read_text(asked) {
            Ok(text) => text,
            Err(problem) => return Ok(Err(Problems(vec![problem]))),
        };
        // A lesson has cards; a scene has none.
        if crate::scene::tree::parse(&text).is_ok_and(|tree| tree.find("cards").is_some()) {
            return Ok(lessons::open(&text, asked, &go));
        }
    }
    let judged = match job::judge(&SceneArg { scene: Some(asked.to_owned()) }, context) {
        Ok(judged) => judged,
        Err(problems) => return Ok(Err(problems)),
    };
    let lesson = lessons::made_from(&judged.review, &asked.to_string_lossy());
    let scene = judged.stamps.first().cloned().unwrap_or_else(|| FileStamp::new(asked, b""));
    Ok(Ok(Opened { lesson, review: Arc::new(judged.review), right: None, scene }))
}

fn export(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let path = args.results.as_deref().context("--csv wants --results")?;
    let text =
        std::fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))?;
    let (lines, wrong) = lessons::parse(&text);
    context.out.write_all(lessons::csv(&lines).as_bytes())?;
    for (line, why) in &wrong {
        eprintln!("{}:{line}: left out: {why}", path.display());
    }
    Ok(if wrong.is_empty() { Status::Clean } else { Status::Unknown })
}

/// Text after a lead, later lines under the first.
fn para(context: &mut Context, lead: &str, text: &str) -> anyhow::Result<()> {
    let indent = " ".repeat(lead.chars().count());
    for (i, line) in wrap(text, WIDTH - indent.len()).iter().enumerate() {
        writeln!(context.out, "{}{line}", if i == 0 { lead } else { &indent })?;
    }
    Ok(())
}

/// Where the card is, and what it says.
fn show(session: &Session, context: &mut Context) -> anyhow::Result<()> {
    let Some(card) = session.card().cloned() else { return Ok(()) };
    writeln!(context.out)?;
    let cards = session.opened.lesson.cards.len();
    let stage = &session.opened.review.sequence.stages[session.stage()];
    let title = if stage.title.is_empty() { stage.step.clone() } else { stage.title.clone() };
    let head = format!("{} of {cards}  [{title}]", session.at + 1);
    let head = context.out.style().dim(&head);
    writeln!(context.out, "{head}")?;
    match &card {
        Card::Say { text, .. } => para(context, "", text)?,
        Card::Mark { question, .. } | Card::GoOn { question, .. } => para(context, "", question)?,
        Card::Choose { question, choices, .. } => {
            para(context, "", question)?;
            for (i, Choice { text, .. }) in choices.iter().enumerate() {
                para(context, &format!("  {}) ", i + 1), text)?;
            }
        }
        Card::Replay { wrong, right, .. } => {
            para(context, "  wrong: ", wrong)?;
            if let Some(replay) = Replay::at_stage(&session.opened.review, session.stage()) {
                let names: Vec<String> = replay.members.iter().map(|(n, _)| n.clone()).collect();
                para(context, "    ", &format!("What goes: {}.", names.join(", ")))?;
                if let Some(truth) = replay.in_truth() {
                    para(context, "    ", &truth)?;
                }
            }
            para(context, "  right: ", right)?;
        }
    }
    Ok(())
}

fn tell(told: &Told, context: &mut Context) -> anyhow::Result<()> {
    for (i, line) in told.lines.iter().enumerate() {
        let lead = match (i, told.right) {
            (0, true) => "  ✓ ",
            (0, false) => "  ✕ ",
            _ => "    ",
        };
        para(context, lead, line)?;
    }
    Ok(())
}

/// The whole lesson with its answers.
fn read_out(session: &mut Session, context: &mut Context) -> anyhow::Result<()> {
    while let Some(card) = session.card().cloned() {
        show(session, context)?;
        let stage = session.stage();
        let faults = lessons::faults_at(&session.opened.review, stage);
        let answer = match &card {
            Card::Mark { .. } => Some(Answer::Marks(
                faults.iter().flat_map(|f| f.subjects.first()).cloned().collect(),
            )),
            Card::GoOn { .. } => Some(Answer::GoOn(faults.is_empty())),
            Card::Choose { choices, .. } => {
                choices.iter().position(|c| c.right).map(Answer::Choice)
            }
            Card::Say { .. } | Card::Replay { .. } => None,
        };
        if let Some(answer) = answer
            && let Some(told) = session.answer(&answer, None).cloned()
        {
            tell(&told, context)?;
        }
        session.next();
    }
    Ok(())
}

/// Asks, and puts each answer down at once, so that nothing is lost. False: input ended first.
fn ask_through(
    session: &mut Session,
    on: Option<Date>,
    results: Option<&Path>,
    context: &mut Context,
) -> anyhow::Result<bool> {
    let mut lines = std::io::stdin().lock().lines();
    while let Some(card) = session.card().cloned() {
        show(session, context)?;
        if card.question().is_none() {
            session.next();
            continue;
        }
        let (how, hint) = match &card {
            Card::Mark { hint, .. } => {
                ("Members with commas between (C1, ledger B1-C1), `none`, or `?`", hint.clone())
            }
            Card::GoOn { .. } => ("`go` or `stop`", String::new()),
            _ => ("The number of your answer", String::new()),
        };
        loop {
            write!(context.out, "  {how} > ")?;
            context.out.flush()?;
            let Some(line) = lines.next() else {
                writeln!(context.out)?;
                return Ok(false);
            };
            let line = line?;
            let line = line.trim();
            if line == "?" && !hint.is_empty() {
                para(context, "    ", &hint)?;
                continue;
            }
            match answer(session, &card, line) {
                Err(why) => writeln!(context.out, "    {why}")?,
                Ok(answer) => {
                    let before = session.results.len();
                    if let Some(told) = session.answer(&answer, on).cloned() {
                        tell(&told, context)?;
                    }
                    put_down(results, session.results.get(before))?;
                    break;
                }
            }
        }
        session.next();
    }
    Ok(true)
}

fn put_down(results: Option<&Path>, line: Option<&ResultLine>) -> anyhow::Result<()> {
    if let (Some(path), Some(line)) = (results, line) {
        lessons::append(path, line).with_context(|| format!("cannot write {}", path.display()))?;
    }
    Ok(())
}

fn answer(session: &Session, card: &Card, line: &str) -> Result<Answer, String> {
    let low = line.to_lowercase();
    match card {
        Card::Mark { .. } => match low.as_str() {
            "" => Err("name members, or say `none`".to_owned()),
            "none" | "nothing" => Ok(Answer::Marks(Vec::new())),
            _ => named_members(&session.opened.review.assembly, line).map(Answer::Marks),
        },
        Card::GoOn { .. } => match low.as_str() {
            "go" | "go on" | "yes" | "y" => Ok(Answer::GoOn(true)),
            "stop" | "no" | "n" => Ok(Answer::GoOn(false)),
            _ => Err("say `go` or `stop`".to_owned()),
        },
        Card::Choose { choices, .. } => {
            let number: Option<usize> = low.trim_end_matches(')').parse().ok();
            number
                .filter(|n| (1..=choices.len()).contains(n))
                .map(|n| Answer::Choice(n - 1))
                .ok_or_else(|| format!("a number from 1 to {}", choices.len()))
        }
        Card::Say { .. } | Card::Replay { .. } => Err("nothing is asked here".to_owned()),
    }
}
