//! What changes do to the order of work: the steps of the scene alone, altered one by one.

mod held;

use super::{at_change, put_in};
use crate::assembly::names::fits;
use crate::assembly::{Assembly, MemberId, Role};
use crate::scene::model::{Action, Change, ChangeKind, StepText};
use crate::scene::{Problem, Problems, SceneSource, suggest};
use crate::sequence::machine::Machine;
use crate::sequence::names::{is_pattern, resolve};
use crate::sequence::trouble::Trouble;
use std::collections::BTreeMap;

/// An action and the change that put it there; none: the scene.
#[derive(Clone, Debug)]
struct Act {
    action: Action,
    by: Option<usize>,
}

#[derive(Clone, Debug)]
struct Step {
    text: StepText,
    acts: Vec<Act>,
    /// Position of its entry in the scene's `sequence`.
    entry: usize,
}

/// The steps on their way to what the changes make of them.
pub(super) struct Plan<'a> {
    before: &'a Assembly,
    after: &'a Assembly,
    steps: Vec<Step>,
}

type Done = Result<(), Trouble>;

impl<'a> Plan<'a> {
    pub fn new(before: &'a Assembly, after: &'a Assembly, steps: Vec<(usize, StepText)>) -> Self {
        let steps = steps.into_iter().map(|(entry, mut text)| {
            let actions = std::mem::take(&mut text.actions);
            let acts = actions.into_iter().map(|action| Act { action, by: None }).collect();
            Step { text, acts, entry }
        });
        Self { before, after, steps: steps.collect() }
    }

    /// Does what a change does to the steps.
    pub fn make(&mut self, index: usize, change: &ChangeKind) -> Done {
        match change {
            ChangeKind::AddMember { member, in_step } => {
                let sill = format!("{}.sill", member.name);
                let mut names = vec![member.name.clone()];
                if self.after.find(&sill).is_some() {
                    names.insert(0, sill);
                }
                self.add(index, names, in_step.as_deref())
            }
            ChangeKind::AddBraces { block, bay, in_step, .. } => {
                let names = self.new_braces(block, bay)?;
                self.add(index, names, in_step.as_deref())
            }
            ChangeKind::PutIn { member, in_step } => {
                let names = self.named(member)?;
                self.put_in(index, &names, in_step)
            }
            ChangeKind::TakeOut(_) | ChangeKind::SetPart { .. } | ChangeKind::SetHead { .. } => {
                Ok(())
            }
            ChangeKind::TakeAway { member, in_step } => self.take_away(index, member, in_step),
            ChangeKind::MoveStep { step, before } => self.move_step(step, before.as_deref()),
            ChangeKind::SetSill { post, .. } => self.set_sill(index, post),
            ChangeKind::Hold { member, hands, from, until } => {
                self.hold(index, member, *hands, from, until.as_deref())
            }
            ChangeKind::Release { member, in_step } => self.release(index, member, in_step),
            ChangeKind::SetLoad { load, from, until } => {
                self.set_load(index, load, from, until.as_deref())
            }
            ChangeKind::TakeOffLoad(name) => {
                if self.without_load(name) {
                    Ok(())
                } else {
                    Err(Trouble::new(format!("no step puts a load \"{name}\" on")))
                }
            }
        }
    }

    fn step(&self, id: &str) -> Result<usize, Trouble> {
        if self.steps.is_empty() {
            return Err(Trouble::new("the scene has no sequence, so no step can be named"));
        }
        self.steps.iter().position(|s| s.text.id == id).ok_or_else(|| {
            let ids = self.steps.iter().map(|s| s.text.id.as_str());
            Trouble::new(format!("there is no step \"{id}\"")).help_maybe(
                suggest::closest(id, ids)
                    .map(|near| format!("did you mean \"{near}\"?"))
                    .or_else(|| Some("`standwell stages` lists them".to_owned())),
            )
        })
    }

    /// Names of the members meant, as they are after the changes.
    fn named(&self, text: &str) -> Result<Vec<String>, Trouble> {
        let ids = resolve(self.after, text)?;
        Ok(ids.into_iter().map(|id| self.after.name(id).to_owned()).collect())
    }

    fn new_braces(&self, block: &str, bay: &str) -> Result<Vec<String>, Trouble> {
        let found = self.after.scene.blocks.iter().find(|b| b.name == block);
        let Some(found) = found else {
            return Err(Trouble::new(format!("there is no block \"{block}\"")));
        };
        let mut names = Vec::new();
        for (from, to) in put_in::bays(found, bay)? {
            let stem = format!("{block}.brace.{from}-{to}.");
            let of_bay = self.after.names().filter(|n| n.starts_with(&stem));
            names.extend(of_bay.filter(|n| self.before.find(n).is_none()).map(str::to_owned));
        }
        if names.is_empty() {
            return Err(Trouble::new(format!("no brace is added: the bay \"{bay}\" of block \"{block}\" has its braces already, or none fits")).help(
                "to have braces of the scene go in sooner, use PutIn; another part may fit the bay",
            ));
        }
        Ok(names)
    }

    /// Puts further members in: in a step or, none named, in the first that can.
    fn add(&mut self, index: usize, names: Vec<String>, in_step: Option<&str>) -> Done {
        if self.steps.is_empty() && in_step.is_none() {
            return Ok(());
        }
        if let Some(step) = in_step {
            return self.put_in(index, &names, step);
        }
        let there = self.first_there();
        for name in names {
            let Some(id) = self.after.find(&name) else { continue };
            let mut due = 0;
            for carrier in put_in::carriers(self.after, id) {
                // What else this change adds is put in before it, in the same step.
                match there.get(&carrier) {
                    Some(&step) => due = due.max(step),
                    None if self.before.find(self.after.name(carrier)).is_none() => {}
                    None => {
                        let carrier = self.after.name(carrier);
                        return Err(Trouble::new(format!("no step puts {carrier} there")));
                    }
                }
            }
            let actions = put_in::actions(self.after, id);
            self.insert(index, due, actions);
        }
        Ok(())
    }

    /// The first step at whose end each member is there.
    fn first_there(&self) -> BTreeMap<MemberId, usize> {
        let mut there = BTreeMap::new();
        let mut machine = Machine::new(self.after);
        for (i, step) in self.steps.iter().enumerate() {
            machine.begin(i);
            for act in &step.acts {
                // What cannot be done is told when the steps are carried out.
                let _ = machine.apply(&act.action);
            }
            let record = machine.begin(i);
            for id in record.touched {
                if machine.there(id) {
                    there.entry(id).or_insert(i);
                }
            }
        }
        there
    }

    /// Before hands come off in a step, or at its end.
    fn insert(&mut self, index: usize, step: usize, actions: Vec<Action>) {
        let acts = &mut self.steps[step].acts;
        let at = acts
            .iter()
            .position(|a| matches!(a.action, Action::Release(_)) && a.by != Some(index))
            .unwrap_or(acts.len());
        let new = actions.into_iter().map(|action| Act { action, by: Some(index) });
        acts.splice(at..at, new);
    }

    fn append(&mut self, index: usize, step: usize, action: Action) {
        self.steps[step].acts.push(Act { action, by: Some(index) });
    }

    /// Puts members in in a step, and not where they were put in before.
    fn put_in(&mut self, index: usize, names: &[String], step: &str) -> Done {
        let at = self.step(step)?;
        self.drop_acts(0, |_, action| match action {
            Action::Set(text)
            | Action::Hang(text)
            | Action::Connect(text)
            | Action::Clip(text)
            | Action::TieIn(text) => Some((text, names)),
            Action::Lock(text) => Some((text, names)),
            _ => None,
        });
        for name in names {
            let Some(id) = self.after.find(name) else { continue };
            if self.after.member(id).role == Role::Post {
                return Err(Trouble::new(format!("\"{name}\" is a post: move its step instead")));
            }
            let actions = put_in::actions(self.after, id);
            self.insert(index, at, actions);
        }
        Ok(())
    }

    /// Takes actions out, from a step on, that mean none but these members. `meant` gives the
    /// text of an action and the members, or nothing for an action that stays.
    fn drop_acts<'n>(
        &mut self,
        from: usize,
        meant: impl for<'t> Fn(usize, &'t Action) -> Option<(&'t String, &'n [String])>,
    ) {
        let after = self.after;
        for (i, step) in self.steps.iter_mut().enumerate().skip(from) {
            step.acts.retain(|act| {
                let Some((text, names)) = meant(i, &act.action) else { return true };
                if !is_pattern(text) {
                    return !names.contains(text);
                }
                if !names.iter().any(|n| fits(text, n)) {
                    return true;
                }
                let mut all = after.names().filter(|n| fits(text, n));
                !all.all(|n| names.iter().any(|name| name == n))
            });
        }
    }

    fn take_away(&mut self, index: usize, member: &str, step: &str) -> Done {
        let names = self.named(member)?;
        let at = self.step(step)?;
        // From then on nobody works on it, unless it is brought again.
        let mut back: Vec<String> = Vec::new();
        for step in self.steps.iter_mut().skip(at + 1) {
            step.acts.retain(|act| match member_of(&act.action) {
                Some(text) if names.contains(text) && !back.contains(text) => {
                    let brings =
                        matches!(act.action, Action::Set(_) | Action::Hang(_) | Action::StandUp(_));
                    if brings {
                        back.push(text.clone());
                    }
                    brings
                }
                _ => true,
            });
        }
        for name in names {
            self.append(index, at, Action::Remove(name));
        }
        Ok(())
    }

    fn move_step(&mut self, step: &str, before: Option<&str>) -> Done {
        let from = self.step(step)?;
        if before == Some(step) {
            return Err(Trouble::new("a step cannot go before itself"));
        }
        if let Some(before) = before {
            self.step(before)?;
        }
        let moved = self.steps.remove(from);
        let at = match before {
            Some(before) => self.step(before)?,
            None => self.steps.len(),
        };
        self.steps.insert(at, moved);
        Ok(())
    }

    fn set_sill(&mut self, index: usize, post: &str) -> Done {
        if self.steps.is_empty() {
            return Ok(());
        }
        let sill = match post.rsplit_once(".post.") {
            Some((block, at)) => format!("{block}.sill.{at}"),
            None => format!("{post}.sill"),
        };
        if self.before.find(&sill).is_some() || self.after.find(&sill).is_none() {
            return Ok(());
        }
        for step in &mut self.steps {
            let stands =
                |a: &Act| matches!(&a.action, Action::StandUp(t) | Action::Set(t) if fits(t, post));
            if let Some(at) = step.acts.iter().position(stands) {
                step.acts.insert(at, Act { action: Action::Set(sill), by: Some(index) });
                return Ok(());
            }
        }
        Err(Trouble::new(format!("no step stands \"{post}\" up")))
    }

    /// Goes through the steps on the changed assembly: what names only members that are gone is
    /// passed over, what cannot be done is a problem. Gives the steps and each one's entry.
    pub fn carry_out(
        &self,
        changes: &[Change],
        source: &SceneSource,
    ) -> Result<(Vec<StepText>, Vec<usize>), Problems> {
        let mut machine = Machine::new(self.after);
        let mut problems = Vec::new();
        let (mut out, mut entries) = (Vec::new(), Vec::new());
        for (i, step) in self.steps.iter().enumerate() {
            machine.begin(i);
            let mut actions = Vec::with_capacity(step.acts.len());
            for act in &step.acts {
                if act.by.is_none() && self.is_gone(&act.action) {
                    continue;
                }
                let done = self.may(&machine, act).and_then(|()| machine.apply(&act.action));
                match (done, act.by) {
                    (Ok(()), _) => actions.push(act.action.clone()),
                    (Err(_), Some(OPTIONAL)) => {}
                    (Err(trouble), Some(k)) => {
                        let name = changes.get(k).map_or("", |c| &c.name);
                        let message = format!("in step \"{}\": {}", step.text.id, trouble.message);
                        let trouble = Trouble { message, ..trouble };
                        problems.push(at_change(source, k, name, trouble));
                    }
                    (Err(trouble), None) => {
                        let message = format!(
                            "with the changes made, step \"{}\" cannot be done: {}",
                            step.text.id, trouble.message
                        );
                        let path = format!("sequence[{}]", step.entry);
                        let problem = source.problem_at(&path, message);
                        problems.push(Problem { help: trouble.help, ..problem });
                    }
                }
            }
            out.push(StepText { actions, ..step.text.clone() });
            entries.push(step.entry);
        }
        if problems.is_empty() { Ok((out, entries)) } else { Err(Problems(problems)) }
    }

    /// What a change puts in must meet what carries it.
    fn may(&self, machine: &Machine<'_>, act: &Act) -> Done {
        match (&act.action, act.by) {
            (Action::Set(name), Some(by)) if by != OPTIONAL => match self.after.find(name) {
                Some(id) => put_in::meets(machine, self.after, id),
                None => Ok(()),
            },
            _ => Ok(()),
        }
    }

    /// Whether an action of the scene means only members that the changes took out. A load on
    /// such a member is not passed over: it would be forgotten.
    fn is_gone(&self, action: &Action) -> bool {
        let gone =
            |text: &str| resolve(self.after, text).is_err() && resolve(self.before, text).is_ok();
        match action {
            Action::ConnectBetween(a, b) => gone(a) || gone(b),
            action => member_of(action).is_some_and(|text| gone(text)),
        }
    }
}

/// In place of a change's position: an action that is left out where there is nothing to do.
const OPTIONAL: usize = usize::MAX;

/// The member or pattern an action is about.
fn member_of(action: &Action) -> Option<&String> {
    match action {
        Action::Set(text)
        | Action::Hang(text)
        | Action::StandUp(text)
        | Action::Hold(text, _)
        | Action::Release(text)
        | Action::Connect(text)
        | Action::Lock(text)
        | Action::Unlock(text)
        | Action::Clip(text)
        | Action::Unclip(text)
        | Action::TieIn(text)
        | Action::Lower(text)
        | Action::Remove(text)
        | Action::Jack(text)
        | Action::Secure(text)
        | Action::BackOff(text)
        | Action::Snug(text) => Some(text),
        Action::Deck { sheets, .. } => Some(sheets),
        Action::ConnectBetween(..)
        | Action::Load(_)
        | Action::Unload(_)
        | Action::HoldPoint(_)
        | Action::Watch(_)
        | Action::Evidence(_)
        | Action::KeepOut(..) => None,
    }
}
