//! What is laid out so far, in the order it came; sorted and numbered at the end.

use super::model::{
    Assembly, GridLine, Joint, JointId, JointKind, LayoutProblem, Member, MemberId, NearMiss, Point,
};
use super::names::natural;
use crate::equipment::Library;
use crate::equipment::lookup::PartKind;
use crate::equipment::model::Passes;
use crate::scene::{Problem, Problems, Scene, SceneSource, suggest};
use std::collections::BTreeMap;
use std::ops::Range;

/// Passes nothing at all.
pub(super) const NOTHING: Passes =
    Passes { bearing: false, along: false, across: false, uplift: None };

/// Bears, and passes nothing else.
pub(super) const BEARS: Passes =
    Passes { bearing: true, along: false, across: false, uplift: None };

/// Members and joints on the way to an [`Assembly`]. Ids are places in these lists.
pub(super) struct Draft<'a> {
    pub scene: &'a Scene,
    pub library: &'a Library,
    pub source: &'a SceneSource,
    pub members: Vec<Member>,
    pub joints: Vec<Joint>,
    pub near_misses: Vec<NearMiss>,
    pub grid_lines: Vec<GridLine>,
    pub broken_planes: Vec<(MemberId, MemberId, f64)>,
    /// Parts of the layout that could not be made.
    pub left_out: Vec<LayoutProblem>,
    /// Mistakes in the scene that stop the layout.
    pub problems: Vec<Problem>,
    by_name: BTreeMap<String, MemberId>,
}

/// A joint before it has its number.
pub(super) struct NewJoint {
    pub kind: JointKind,
    /// Member and metres along it.
    pub member: (MemberId, f64),
    pub carrier: Option<(MemberId, f64)>,
    pub at: Point,
    pub clip: Option<MemberId>,
    /// Hung, locked, lowered.
    pub passes: [Passes; 3],
    pub found: bool,
}

impl<'a> Draft<'a> {
    pub fn new(scene: &'a Scene, library: &'a Library, source: &'a SceneSource) -> Self {
        Self {
            scene,
            library,
            source,
            members: Vec::new(),
            joints: Vec::new(),
            near_misses: Vec::new(),
            grid_lines: Vec::new(),
            broken_planes: Vec::new(),
            left_out: Vec::new(),
            problems: Vec::new(),
            by_name: BTreeMap::new(),
        }
    }

    pub fn member(&self, id: MemberId) -> &Member {
        &self.members[id.index()]
    }

    pub fn find(&self, name: &str) -> Option<MemberId> {
        self.by_name.get(name).copied()
    }

    /// Takes in a member; its `id` is set here. A second one of the same name is a problem.
    pub fn add(&mut self, mut member: Member) -> MemberId {
        let id = MemberId(u32::try_from(self.members.len()).unwrap_or(u32::MAX));
        member.id = id;
        if self.by_name.insert(member.name.clone(), id).is_some() {
            let message = format!("there are two members called \"{}\"", member.name);
            self.problems.push(self.source.problem(&member.written_at, message));
        }
        self.members.push(member);
        id
    }

    pub fn join(&mut self, joint: NewJoint) {
        let id = JointId(u32::try_from(self.joints.len()).unwrap_or(u32::MAX));
        let [hung, locked, lowered] = joint.passes;
        self.joints.push(Joint {
            id,
            kind: joint.kind,
            member: joint.member.0,
            member_at: joint.member.1,
            carrier: joint.carrier.map(|c| c.0),
            carrier_at: joint.carrier.map_or(0.0, |c| c.1),
            at: joint.at,
            clip: joint.clip,
            hung,
            locked,
            lowered,
            found: joint.found,
        });
    }

    /// A part of the layout that could not be made; the same words at the same place once.
    pub fn leave_out(&mut self, what: String, members: Vec<MemberId>, written_at: &Range<usize>) {
        let told = self.left_out.iter_mut().find(|p| p.what == what && p.written_at == *written_at);
        match told {
            Some(told) => told.members.extend(members),
            None => {
                self.left_out.push(LayoutProblem { what, members, written_at: written_at.clone() });
            }
        }
    }

    /// A mistake at a path of the document.
    pub fn problem(&mut self, path: &str, message: String, help: Option<String>) {
        self.problems.push(Problem { help, ..self.source.problem_at(path, message) });
    }

    /// The mistake of naming a part that the equipment lacks.
    pub fn no_part(&mut self, path: &str, kind: PartKind, part: &str) {
        let help = suggest::help(part, self.library.names(kind));
        self.problem(path, format!("the equipment has no {} \"{part}\"", kind.word()), help);
    }

    /// Bytes of the scene's text at a path.
    pub fn range(&self, path: &str) -> Range<usize> {
        self.source.range(path)
    }

    /// Sorted, numbered, or all that is wrong.
    pub fn finish(mut self) -> Result<Assembly, Problems> {
        if !self.problems.is_empty() {
            return Err(Problems(self.problems));
        }
        let mut order: Vec<usize> = (0..self.members.len()).collect();
        order.sort_by(|&a, &b| natural(&self.members[a].name, &self.members[b].name));
        let mut renumbered = vec![MemberId(0); order.len()];
        let mut members = Vec::with_capacity(order.len());
        for (new, &old) in order.iter().enumerate() {
            let id = MemberId(u32::try_from(new).unwrap_or(u32::MAX));
            renumbered[old] = id;
            members.push(Member { id, ..self.members[old].clone() });
        }
        let renew = |id: MemberId| renumbered[id.index()];
        for joint in &mut self.joints {
            joint.member = renew(joint.member);
            joint.carrier = joint.carrier.map(renew);
            joint.clip = joint.clip.map(renew);
        }
        self.joints.sort_by(|a, b| {
            (a.member.cmp(&b.member))
                .then(a.member_at.total_cmp(&b.member_at))
                .then(a.kind.cmp(&b.kind))
                .then(a.carrier.cmp(&b.carrier))
                .then(a.carrier_at.total_cmp(&b.carrier_at))
        });
        for (joint, number) in self.joints.iter_mut().zip(0..) {
            joint.id = JointId(number);
        }
        for miss in &mut self.near_misses {
            (miss.a, miss.b) = (renew(miss.a), renew(miss.b));
        }
        self.near_misses.sort_by(|a, b| {
            (a.a, a.b, a.kind).cmp(&(b.a, b.b, b.kind)).then(a.gap.total_cmp(&b.gap))
        });
        for broken in &mut self.broken_planes {
            (broken.0, broken.1) = (renew(broken.0), renew(broken.1));
        }
        self.broken_planes.sort_by_key(|a| (a.0, a.1));
        for problem in &mut self.left_out {
            problem.members.iter_mut().for_each(|id| *id = renew(*id));
            problem.members.sort_unstable();
            problem.members.dedup();
        }
        let mut assembly =
            Assembly::new(self.scene.clone(), self.library.clone(), members, self.joints);
        assembly.near_misses = self.near_misses;
        assembly.grid_lines = self.grid_lines;
        assembly.broken_planes = self.broken_planes;
        assembly.problems = self.left_out;
        Ok(assembly)
    }
}
