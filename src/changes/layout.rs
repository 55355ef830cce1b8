//! What changes do to parts and places: the scene as it is laid out after them.

use super::at_change;
use crate::assembly::Assembly;
use crate::assembly::names::fits;
use crate::scene::model::{Block, ChangeKind, Override, Place, RoleName, Scene};
use crate::scene::{Problem, Problems, SceneSource, suggest};
use crate::sequence::trouble::Trouble;

/// A scene on its way to what the changes make of it.
pub(super) struct Layout {
    pub scene: Scene,
    /// Where each single member is written, in the order of the scene's members.
    members: Vec<String>,
    /// Paths in the changed scene that the file does not have, and the change they are of.
    new: Vec<(String, usize)>,
    problems: Vec<Problem>,
}

impl Layout {
    pub fn new(scene: Scene) -> Self {
        let members = (0..scene.members.len()).map(|i| format!("members[{i}]")).collect();
        Self { scene, members, new: Vec::new(), problems: Vec::new() }
    }

    /// Does what a change does to the layout; what it does to the steps comes later.
    pub fn make(&mut self, index: usize, change: &ChangeKind, source: &SceneSource) {
        let done = match change {
            ChangeKind::AddMember { member, .. } => {
                self.members.push(format!("changes[{index}].change.member"));
                self.scene.members.push(member.clone());
                Ok(())
            }
            ChangeKind::AddBraces { block, bay, part, .. } => {
                self.add_braces(index, block, bay, part.as_deref())
            }
            ChangeKind::TakeOut(member) => self.take_out(index, member),
            ChangeKind::SetPart { member, part } => self.set_part(index, member, part),
            ChangeKind::SetHead { post, level } => self.alter(
                index,
                post,
                Override { head: Some(*level), ..nothing(post) },
                |single| match single.to.as_mut() {
                    Some(Place::At(_, _, z)) if single.role != RoleName::Sheet => {
                        *z = *level;
                        Ok(())
                    }
                    _ => Err(Trouble::new(format!(
                        "the head of \"{}\" is not written as a place of its own",
                        single.name
                    ))),
                },
            ),
            ChangeKind::SetSill { post, sill } => self.alter(
                index,
                post,
                Override { sill: Some(sill.clone()), ..nothing(post) },
                |single| {
                    single.sill = Some(sill.clone());
                    Ok(())
                },
            ),
            ChangeKind::PutIn { .. }
            | ChangeKind::TakeAway { .. }
            | ChangeKind::MoveStep { .. }
            | ChangeKind::Hold { .. }
            | ChangeKind::Release { .. }
            | ChangeKind::SetLoad { .. }
            | ChangeKind::TakeOffLoad(_) => Ok(()),
        };
        if let Err(trouble) = done {
            self.problems.push(at_change(source, index, "", trouble));
        }
    }

    /// What could not be done, each at its change.
    pub fn done(&mut self, source: &SceneSource) -> Result<(), Problems> {
        let problems = std::mem::take(&mut self.problems);
        let named = |mut problem: Problem| {
            let name = source.find(&format!("{}.name", problem.path));
            if let Some(name) = name.and_then(|id| source.tree.text(id)) {
                problem.message = problem.message.replacen("\"\"", &format!("\"{name}\""), 1);
            }
            problem
        };
        if problems.is_empty() {
            Ok(())
        } else {
            Err(Problems(problems.into_iter().map(named).collect()))
        }
    }

    fn block(&mut self, name: &str) -> Result<(usize, &mut Block), Trouble> {
        let names: Vec<String> = self.scene.blocks.iter().map(|b| b.name.clone()).collect();
        match self.scene.blocks.iter_mut().enumerate().find(|(_, b)| b.name == name) {
            Some(found) => Ok(found),
            None => Err(Trouble::new(format!("there is no block \"{name}\""))
                .help_maybe(suggest::help(name, names.iter().map(String::as_str)))),
        }
    }

    /// The block a member's name begins with, and the rest of the name.
    fn of_block<'n>(&mut self, member: &'n str) -> Result<(usize, &mut Block, &'n str), Trouble> {
        let Some((block, rest)) = member.split_once('.') else {
            return Err(Trouble::new(format!("there is no member \"{member}\"")));
        };
        let (i, block) = self
            .block(block)
            .map_err(|_| Trouble::new(format!("there is no member \"{member}\"")))?;
        Ok((i, block, rest))
    }

    fn add_braces(
        &mut self,
        index: usize,
        name: &str,
        bay: &str,
        part: Option<&str>,
    ) -> Result<(), Trouble> {
        let (i, block) = self.block(name)?;
        let at = block.braced.len();
        block.braced.push(bay.to_owned());
        if let Some(part) = part {
            if block.brace.is_none() {
                block.brace = Some(part.to_owned());
            } else {
                let run = super::put_in::bays(block, bay)?;
                for (from, to) in run {
                    let members = format!("brace.{from}-{to}.*");
                    let part = Some(part.to_owned());
                    self.override_with(i, index, Override { part, ..nothing(&members) });
                }
            }
        }
        self.new.push((format!("blocks[{i}].braced[{at}]"), index));
        Ok(())
    }

    fn take_out(&mut self, index: usize, member: &str) -> Result<(), Trouble> {
        let goes: Vec<bool> = self.scene.members.iter().map(|m| fits(member, &m.name)).collect();
        if goes.contains(&true) {
            let mut keep = goes.iter().map(|goes| !goes);
            self.scene.members.retain(|_| keep.next().unwrap_or(true));
            let mut keep = goes.iter().map(|goes| !goes);
            self.members.retain(|_| keep.next().unwrap_or(true));
            return Ok(());
        }
        // The sill of a single post goes by the post's name.
        if let Some(post) = member.strip_suffix(".sill")
            && let Some(single) = self.scene.members.iter_mut().find(|m| m.name == post)
        {
            return match single.sill.take() {
                Some(_) => Ok(()),
                None => Err(Trouble::new(format!("\"{post}\" has no sill"))),
            };
        }
        let (i, block, rest) = self.of_block(member)?;
        let at = block.omit.len();
        block.omit.push(rest.to_owned());
        self.new.push((format!("blocks[{i}].omit[{at}]"), index));
        Ok(())
    }

    fn set_part(&mut self, index: usize, member: &str, part: &str) -> Result<(), Trouble> {
        let over = Override { part: Some(part.to_owned()), ..nothing(member) };
        self.alter(index, member, over, |single| {
            single.part = part.to_owned();
            Ok(())
        })
    }

    /// Alters a single member, or puts an override on one of a block.
    fn alter(
        &mut self,
        index: usize,
        member: &str,
        over: Override,
        single: impl FnOnce(&mut crate::scene::model::SingleMember) -> Result<(), Trouble>,
    ) -> Result<(), Trouble> {
        if let Some(at) = self.scene.members.iter().position(|m| m.name == member) {
            single(&mut self.scene.members[at])?;
            self.members[at] = format!("changes[{index}]");
            return Ok(());
        }
        let (i, _, rest) = self.of_block(member)?;
        let members = rest.to_owned();
        self.override_with(i, index, Override { members, ..over });
        Ok(())
    }

    fn override_with(&mut self, block: usize, index: usize, over: Override) {
        let overrides = &mut self.scene.blocks[block].overrides;
        self.new.push((format!("blocks[{block}].overrides[{}]", overrides.len()), index));
        overrides.push(over);
    }

    /// A problem of the changed scene at its place in the file.
    pub fn place(&self, problem: Problem, source: &SceneSource) -> Problem {
        let at_new = self.new.iter().find(|(path, _)| problem.path.starts_with(path.as_str()));
        let path = match (at_new, member_of(&problem.path)) {
            (Some((_, index)), _) => format!("changes[{index}]"),
            (None, Some((i, rest))) => match self.members.get(i) {
                Some(written) => format!("{written}{rest}"),
                None => problem.path.clone(),
            },
            (None, None) => return problem,
        };
        let message = (problem.message)
            .replace("this omission names", "the change names")
            .replace("this override names", "the change names");
        Problem { help: problem.help, ..source.problem_at(&path, message) }
    }

    /// Puts the places right that the changed scene gave its single members.
    pub fn written_at(&self, assembly: &mut Assembly, source: &SceneSource) {
        for (single, path) in self.scene.members.iter().zip(&self.members) {
            let range = source.range(path);
            for name in [single.name.clone(), format!("{}.sill", single.name)] {
                if let Some(id) = assembly.find(&name) {
                    assembly.members[id.index()].written_at = range.clone();
                }
            }
        }
    }
}

/// `members[3].part` as 3 and `.part`.
fn member_of(path: &str) -> Option<(usize, &str)> {
    let (index, rest) = path.strip_prefix("members[")?.split_once(']')?;
    Some((index.parse().ok()?, rest))
}

/// An override that alters nothing.
fn nothing(members: &str) -> Override {
    Override {
        members: members.to_owned(),
        part: None,
        jack: None,
        jack_out: None,
        sill: None,
        off_sill: None,
        head: None,
        tension_only: None,
        damaged: false,
    }
}
