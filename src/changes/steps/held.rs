//! Changes of what is kept up by hand, and of what is set down: from one step to another.

use super::{Act, Done, OPTIONAL, Plan};
use crate::assembly::names::fits;
use crate::scene::model::{Action, LoadText};
use crate::sequence::names::is_pattern;
use crate::sequence::trouble::Trouble;

impl Plan<'_> {
    pub(super) fn hold(
        &mut self,
        index: usize,
        member: &str,
        hands: u32,
        from: &str,
        until: Option<&str>,
    ) -> Done {
        let names = self.named(member)?;
        let (from, until) = (self.step(from)?, until.map(|u| self.step(u)).transpose()?);
        if until.is_some_and(|until| until <= from) {
            return Err(Trouble::new("`until` must be a later step than `from`"));
        }
        let last = until.unwrap_or(usize::MAX);
        self.without_release(&names, from, last);
        for name in &names {
            self.append(index, from, Action::Hold(name.clone(), hands));
            if let Some(until) = until {
                self.append(index, until, Action::Release(name.clone()));
            }
        }
        Ok(())
    }

    pub(super) fn release(&mut self, index: usize, member: &str, step: &str) -> Done {
        let names = self.named(member)?;
        let at = self.step(step)?;
        self.without_release(&names, 0, usize::MAX);
        for name in names {
            self.append(index, at, Action::Release(name));
        }
        Ok(())
    }

    /// Takes the release of members out of the steps from one to another. A pattern that means
    /// others too is written out as those others.
    fn without_release(&mut self, names: &[String], from: usize, last: usize) {
        self.drop_acts(from, |i, action| match action {
            Action::Release(text) if i <= last => Some((text, names)),
            _ => None,
        });
        let after = self.after;
        for step in self.steps.iter_mut().take(last.saturating_add(1)).skip(from) {
            let mut acts = Vec::with_capacity(step.acts.len());
            for act in step.acts.drain(..) {
                let hit = matches!(&act.action, Action::Release(text)
                    if is_pattern(text) && names.iter().any(|n| fits(text, n)));
                match (&act.action, hit) {
                    (Action::Release(text), true) => {
                        let others = after
                            .names()
                            .filter(|n| fits(text, n) && !names.iter().any(|m| m == n));
                        acts.extend(others.map(|n| Act {
                            action: Action::Release(n.to_owned()),
                            by: Some(OPTIONAL),
                        }));
                    }
                    _ => acts.push(act),
                }
            }
            step.acts = acts;
        }
    }

    pub(super) fn set_load(
        &mut self,
        index: usize,
        load: &LoadText,
        from: &str,
        until: Option<&str>,
    ) -> Done {
        let (from, until) = (self.step(from)?, until.map(|u| self.step(u)).transpose()?);
        if until.is_some_and(|until| until <= from) {
            return Err(Trouble::new("`until` must be a later step than `from`"));
        }
        self.without_load(&load.name);
        self.append(index, from, Action::Load(load.clone()));
        if let Some(until) = until {
            self.append(index, until, Action::Unload(load.name.clone()));
        }
        Ok(())
    }

    /// Takes a load out of all steps; false if none puts it on.
    pub(super) fn without_load(&mut self, name: &str) -> bool {
        let mut any = false;
        for step in &mut self.steps {
            step.acts.retain(|act| match &act.action {
                Action::Load(load) if load.name == name => {
                    any = true;
                    false
                }
                Action::Unload(other) => other != name,
                _ => true,
            });
        }
        any
    }
}
