//! Going through a lesson: where one is, what was answered, what one is told. The window and the
//! command line both drive this.

use super::model::Card;
use super::read::Opened;
use super::results::ResultLine;
use super::score::{Fault, Score, grave, score};
use crate::assembly::{Assembly, MemberId};
use crate::checks::support::words::{beam, sentence};
use crate::record::Date;
use crate::sequence::names::resolve;
use std::collections::BTreeSet;

/// What a trainee answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Members by their full name; none: nothing is wrong.
    Marks(Vec<String>),
    GoOn(bool),
    /// Place in the list of choices.
    Choice(usize),
}

/// What the trainee is told.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Told {
    pub right: bool,
    /// In plain words, in order.
    pub lines: Vec<String>,
    /// For marks and for going on or not.
    pub score: Score,
}

/// A lesson under way.
#[derive(Clone, Debug)]
pub struct Session {
    pub opened: Opened,
    pub trainee: String,
    /// Place among the cards; past the end: over.
    pub at: usize,
    /// What the present card's answer led to; none: not answered, or nothing is asked.
    pub told: Option<Told>,
    /// What was answered last: on this card, where something is told.
    pub answered: Option<Answer>,
    /// Answers so far, for the results.
    pub results: Vec<ResultLine>,
    /// Say codes of hazards, too.
    pub codes: bool,
}

impl Session {
    #[must_use]
    pub fn new(opened: Opened, trainee: impl Into<String>) -> Self {
        Self {
            opened,
            trainee: trainee.into(),
            at: 0,
            told: None,
            answered: None,
            results: Vec::new(),
            codes: false,
        }
    }

    /// The present card; none: the lesson is over.
    #[must_use]
    pub fn card(&self) -> Option<&Card> {
        self.opened.lesson.cards.get(self.at)
    }

    /// Stage of the scene that the present card is about; the last one when it is over.
    #[must_use]
    pub fn stage(&self) -> usize {
        let stages = &self.opened.review.sequence.stages;
        let found = self.card().and_then(|card| stages.iter().position(|s| s.step == card.at()));
        found.unwrap_or(stages.len().saturating_sub(1))
    }

    /// Whether one may go on: what is asked has been answered.
    #[must_use]
    pub fn may_go_on(&self) -> bool {
        self.card().is_none_or(|card| card.question().is_none()) || self.told.is_some()
    }

    /// Goes on to the next card. Nothing happens where the present one waits for an answer.
    pub fn next(&mut self) {
        if self.may_go_on() && self.at < self.opened.lesson.cards.len() {
            self.at += 1;
            self.told = None;
        }
    }

    /// Goes back one card, to read it again. What was answered stays in the results.
    pub fn back(&mut self) {
        self.at = self.at.saturating_sub(1);
        self.told = None;
    }

    /// Answers the present card. The first answer to a card is the one that is put down; none is put
    /// down where the answer does not fit the card.
    pub fn answer(&mut self, answer: &Answer, on: Option<Date>) -> Option<&Told> {
        let card = self.card()?.clone();
        let stage = self.stage();
        let told = match (&card, answer) {
            (Card::Mark { .. }, Answer::Marks(marks)) => {
                self.marked(score(&self.opened.review, stage, marks))
            }
            (Card::GoOn { .. }, Answer::GoOn(on)) => self.went_on(stage, *on),
            (Card::Choose { choices, .. }, Answer::Choice(index)) => {
                let choice = choices.get(*index)?;
                let mut lines = vec![choice.why.clone()];
                if let Some(right) = choices.iter().find(|c| c.right).filter(|_| !choice.right) {
                    lines.push(format!(
                        "Better: {}. {}",
                        right.text.trim_end_matches('.'),
                        right.why
                    ));
                }
                Told { right: choice.right, lines, score: Score::default() }
            }
            _ => return None,
        };
        let line = self.line(&card, answer, &told, on);
        if !self.results.iter().any(|r| r.card == line.card) {
            self.results.push(line);
        }
        self.answered = Some(answer.clone());
        self.told = Some(told);
        self.told.as_ref()
    }

    fn fault_words(&self, fault: &Fault) -> String {
        if self.codes {
            format!("{} ({})", fault.headline, fault.code)
        } else {
            fault.headline.clone()
        }
    }

    fn marked(&self, score: Score) -> Told {
        let assembly = &self.opened.review.assembly;
        let mut lines = Vec::new();
        let name = |n: &String| assembly.find(n).map_or_else(|| n.clone(), |id| beam(assembly, id));
        for fault in &score.seen {
            lines.push(format!("You saw it: {}.", self.fault_words(fault)));
            lines.extend(fault.why.iter().cloned());
        }
        for fault in &score.missed {
            lines.push(format!("You missed: {}.", self.fault_words(fault)));
            lines.extend(fault.why.iter().cloned());
        }
        for near in &score.near {
            lines.push(format!(
                "{}: close. It would move along, but it is not what is wrong.",
                sentence(&name(near))
            ));
        }
        for (member, why) in &score.watched {
            lines.push(format!("{}: worth watching: {why}", sentence(&name(member))));
        }
        for (member, why) in &score.raised {
            lines.push(format!("{}: raised for nothing. {why}", sentence(&name(member))));
        }
        if lines.is_empty() {
            lines.push("Nothing is wrong here.".to_owned());
        }
        Told { right: score.is_right(), lines, score }
    }

    fn went_on(&self, stage: usize, on: bool) -> Told {
        let review = &self.opened.review;
        let grave = review
            .findings
            .iter()
            .any(|f| grave(f) && (f.from_stage..=f.last_stage).contains(&stage))
            || review.summaries.get(stage).is_none_or(|s| s.unknown);
        let right = on != grave;
        let mut lines = vec![match (right, grave) {
            (true, true) => "Stop here, and put it right first.".to_owned(),
            (true, false) => "It stands, and you may go on.".to_owned(),
            (false, true) => "No. Nobody goes on from here.".to_owned(),
            (false, false) => "It stands: nothing here has to be put right first.".to_owned(),
        }];
        for fault in super::faults_at(review, stage) {
            lines.push(format!("{}.", self.fault_words(&fault)));
            lines.extend(fault.why);
        }
        Told { right, lines, score: Score::default() }
    }

    fn line(&self, card: &Card, answer: &Answer, told: &Told, on: Option<Date>) -> ResultLine {
        let key = |fault: &Fault| match fault.subjects.first() {
            Some(first) => format!("{} {first}", fault.code),
            None => fault.code.clone(),
        };
        let answer = match (answer, card) {
            (Answer::Marks(marks), _) => {
                marks.iter().collect::<BTreeSet<_>>().into_iter().cloned().collect()
            }
            (Answer::GoOn(true), _) => vec!["go on".to_owned()],
            (Answer::GoOn(false), _) => vec!["stop".to_owned()],
            (Answer::Choice(i), Card::Choose { choices, .. }) => {
                choices.get(*i).map(|c| c.text.clone()).into_iter().collect()
            }
            (Answer::Choice(_), _) => Vec::new(),
        };
        ResultLine {
            format: 1,
            trainee: self.trainee.clone(),
            on: on.map(|d| d.to_string()).unwrap_or_default(),
            lesson: self.opened.lesson.name.clone(),
            scene: self.opened.scene.sha256.clone(),
            card: self.at + 1,
            step: card.at().to_owned(),
            question: card.question().unwrap_or_default().to_owned(),
            answer,
            seen: told.score.seen.iter().map(key).collect(),
            missed: told.score.missed.iter().map(key).collect(),
            raised: told.score.raised.iter().map(|(name, _)| name.clone()).collect(),
            right: told.right,
        }
    }

    /// Answers that were right, and all.
    #[must_use]
    pub fn tally(&self) -> (usize, usize) {
        (self.results.iter().filter(|r| r.right).count(), self.results.len())
    }
}

/// Members a person names on the keyboard: in full, with `*`, a post by its grid point (`C1`), or a
/// kind and two grid points (`ledger B1-C1`, `brace C1-C2`), several with commas between.
///
/// # Errors
/// In words, with the name that leads nowhere.
pub fn named_members(assembly: &Assembly, text: &str) -> Result<Vec<String>, String> {
    let mut names = BTreeSet::new();
    for word in text.split([',', ';']).map(str::trim).filter(|w| !w.is_empty()) {
        let found = one(assembly, word);
        if found.is_empty() {
            return Err(match resolve(assembly, word) {
                Ok(_) => format!("there is nothing called \"{word}\" here"),
                Err(trouble) => match trouble.help {
                    Some(help) => format!("{}; {help}", trouble.message),
                    None => trouble.message,
                },
            });
        }
        names.extend(found.into_iter().map(|id| assembly.name(id).to_owned()));
    }
    Ok(names.into_iter().collect())
}

fn one(assembly: &Assembly, word: &str) -> Vec<MemberId> {
    if let Ok(ids) = resolve(assembly, word) {
        return ids;
    }
    let (kind, rest) = match word.split_once(char::is_whitespace) {
        Some((kind, rest)) => (kind.to_lowercase(), rest.trim()),
        None => ("post".to_owned(), word),
    };
    let rest = rest.to_uppercase().replace(['–', '—'], "-");
    let rest: String = rest.chars().filter(|c| !c.is_whitespace()).collect();
    let fits = |name: &str| {
        let lines = name.rsplit('.').find(|part| part.len() > 1).unwrap_or(name);
        let role = name.split('.').nth(1).unwrap_or("");
        role == kind && lines.to_uppercase() == rest
    };
    assembly.members.iter().filter(|m| fits(&m.name)).map(|m| m.id).collect()
}
