//! A block's overrides and omissions, by name.

use super::draft::Draft;
use super::names::fits;
use crate::scene::model::{Block, Override};
use crate::scene::suggest;
use std::cell::RefCell;
use std::collections::BTreeSet;

/// Overrides and omissions of a block, and which of them met a member.
pub(super) struct Edits<'a> {
    block: &'a Block,
    asked: RefCell<BTreeSet<String>>,
    met_omit: RefCell<Vec<bool>>,
    met_override: RefCell<Vec<bool>>,
}

impl<'a> Edits<'a> {
    pub fn new(block: &'a Block) -> Self {
        Self {
            block,
            asked: RefCell::default(),
            met_omit: RefCell::new(vec![false; block.omit.len()]),
            met_override: RefCell::new(vec![false; block.overrides.len()]),
        }
    }

    /// Whether a member is left out. The name is without the block: `post.C4`.
    pub fn omits(&self, name: &str) -> bool {
        self.asked.borrow_mut().insert(name.to_owned());
        let mut omitted = false;
        for (pattern, met) in self.block.omit.iter().zip(self.met_omit.borrow_mut().iter_mut()) {
            if fits(pattern, name) {
                *met = true;
                omitted = true;
            }
        }
        // An override of a member that is left out still names a member of this block.
        self.meet(name, |_| {});
        omitted
    }

    /// All overrides of a member in one; a later one wins field by field.
    pub fn of(&self, name: &str) -> Override {
        let mut sum = Override {
            members: name.to_owned(),
            part: None,
            jack: None,
            jack_out: None,
            sill: None,
            off_sill: None,
            head: None,
            tension_only: None,
            damaged: false,
        };
        self.meet(name, |next| {
            let next = next.clone();
            sum.part = next.part.or(sum.part.take());
            sum.jack = next.jack.or(sum.jack.take());
            sum.jack_out = next.jack_out.or(sum.jack_out);
            sum.sill = next.sill.or(sum.sill.take());
            sum.off_sill = next.off_sill.or(sum.off_sill);
            sum.head = next.head.or(sum.head);
            sum.tension_only = next.tension_only.or(sum.tension_only);
            sum.damaged |= next.damaged;
        });
        sum
    }

    fn meet(&self, name: &str, mut each: impl FnMut(&Override)) {
        let mut met = self.met_override.borrow_mut();
        for (next, met) in self.block.overrides.iter().zip(met.iter_mut()) {
            if fits(&next.members, name) {
                *met = true;
                each(next);
            }
        }
    }

    /// A problem for each omission and override that names no member of the block.
    pub fn report_unmet(&self, draft: &mut Draft<'_>, path: &str) {
        let asked = self.asked.borrow();
        let near = |wrong: &str| suggest::help(wrong, asked.iter().map(String::as_str));
        let unmet = |what: &str, name: &str| {
            format!("this {what} names no member of block \"{}\": \"{name}\"", self.block.name)
        };
        for (i, _) in self.met_omit.borrow().iter().enumerate().filter(|(_, met)| !**met) {
            let name = &self.block.omit[i];
            draft.problem(&format!("{path}.omit[{i}]"), unmet("omission", name), near(name));
        }
        for (i, _) in self.met_override.borrow().iter().enumerate().filter(|(_, met)| !**met) {
            let name = &self.block.overrides[i].members;
            let at = format!("{path}.overrides[{i}].members");
            draft.problem(&at, unmet("override", name), near(name));
        }
    }
}
