//! Loads set down and taken off, members taken away, and what was wrong in doing so.

use super::machine::{Done, Machine, bears};
use super::model::{JointState, MemberState, StageLoad};
use super::names;
use super::trouble::Trouble;
use crate::assembly::{JointKind, MemberId, Role};
use crate::scene::model::{LoadPlace, LoadText};
use crate::units::Length;
use std::collections::BTreeSet;

impl Machine<'_> {
    pub(super) fn load(&mut self, load: &LoadText) -> Done {
        if self.loads.iter().any(|l| l.text.name == load.name) {
            return Err(Trouble::new(format!("a load \"{}\" is on already", load.name))
                .help("take it off with Unload first, or give this one another name"));
        }
        let bearing = match &load.on {
            LoadPlace::Point { member, .. }
            | LoadPlace::Lump { member, .. }
            | LoadPlace::Line { member, .. } => {
                let id = names::single(self.assembly, member)?;
                if !self.there(id) {
                    return Err(Trouble::new(format!(
                        "the load \"{}\" is set on \"{member}\", which is not there",
                        load.name
                    )));
                }
                vec![id]
            }
            LoadPlace::Area { from, to, .. } => self.under(*from, *to),
            LoadPlace::Along { from, to, .. } => self.under(*from, *to),
            LoadPlace::Heap { at, across, .. } => {
                let half = 0.5 * across.si();
                let corner = |s: f64| (Length(at.0.si() + s * half), Length(at.1.si() + s * half));
                self.under(corner(-1.0), corner(1.0))
            }
            LoadPlace::Pour { slab, from, to } | LoadPlace::Layer { slab, from, to, .. } => {
                let slabs = &self.assembly.scene.slabs;
                if !slabs.iter().any(|s| &s.name == slab) {
                    let close = names::did_you_mean(slab, slabs.iter().map(|s| s.name.as_str()));
                    return Err(
                        Trouble::new(format!("there is no slab \"{slab}\"")).help_maybe(close)
                    );
                }
                self.placed_once(load)?;
                self.under(*from, *to)
            }
        };
        for id in bearing {
            self.note_unlocked_below(id);
        }
        if let Some(slab) = super::placing::slab_of(&load.on) {
            self.placed(slab);
        }
        self.loads.push(StageLoad { text: load.clone(), since_step: self.record.step });
        Ok(())
    }

    /// The same concrete must not be placed twice.
    fn placed_once(&self, load: &LoadText) -> Done {
        let overlap = |a: (Length, Length), b: (Length, Length), c: (Length, Length), d| {
            let over = |p: (f64, f64), q: (f64, f64)| p.1.min(q.1) - p.0.max(q.0) > 1e-6;
            let d: (Length, Length) = d;
            over(span(a.0.si(), b.0.si()), span(c.0.si(), d.0.si()))
                && over(span(a.1.si(), b.1.si()), span(c.1.si(), d.1.si()))
        };
        let twice = self.loads.iter().find(|there| match (&load.on, &there.text.on) {
            (
                LoadPlace::Pour { slab, from, to },
                LoadPlace::Pour { slab: other, from: f, to: t },
            ) => slab == other && overlap(*from, *to, *f, *t),
            (
                LoadPlace::Layer { slab, beam, from, to, bottom, top },
                LoadPlace::Layer { slab: s, beam: b, from: f, to: t, bottom: low, top: high },
            ) => {
                (slab, beam) == (s, b)
                    && overlap(*from, *to, *f, *t)
                    && top.si().min(high.si()) - bottom.si().max(low.si()) > 1e-6
            }
            // The rest of the slab went in over the beam: a layer below it comes too late.
            (
                LoadPlace::Layer { slab, from, to, .. },
                LoadPlace::Pour { slab: s, from: f, to: t },
            ) => slab == s && overlap(*from, *to, *f, *t),
            _ => false,
        });
        match twice {
            None => Ok(()),
            Some(there) => Err(Trouble::new(format!(
                "\"{}\" places concrete where \"{}\" has placed it already",
                load.name, there.text.name
            ))
            .help("make the strips meet without overlapping")),
        }
    }

    pub(super) fn unload(&mut self, name: &str) -> Done {
        let Some(at) = self.loads.iter().position(|l| l.text.name == name) else {
            let on = self.loads.iter().map(|l| l.text.name.as_str());
            let close = names::did_you_mean(name, on);
            return Err(Trouble::new(format!("no load \"{name}\" is on")).help_maybe(close));
        };
        self.loads.remove(at);
        Ok(())
    }

    /// Whether no deck or beam lies under a plan rectangle, given by least and greatest corner.
    pub(super) fn nothing_under(&self, rect: [[f64; 2]; 2]) -> bool {
        let point = |p: [f64; 2]| (Length(p[0]), Length(p[1]));
        self.under(point(rect[0]), point(rect[1])).is_empty()
    }

    /// Horizontal members there that a plan rectangle touches.
    fn under(&self, from: (Length, Length), to: (Length, Length)) -> Vec<MemberId> {
        let (x, y) = (span(from.0.si(), to.0.si()), span(from.1.si(), to.1.si()));
        let touches = |a: (f64, f64), b: (f64, f64)| a.0 < b.1 && b.0 < a.1 || within(a, b);
        (self.assembly.members.iter())
            .filter(|m| {
                self.there(m.id)
                    && matches!(
                        m.role,
                        Role::Sheet | Role::Filler | Role::Joist | Role::Ledger | Role::DropBeam
                    )
            })
            .filter(|m| {
                touches(span(m.ends[0].x, m.ends[1].x), x)
                    && touches(span(m.ends[0].y, m.ends[1].y), y)
            })
            .map(|m| m.id)
            .collect()
    }

    /// Notes the heads below a member whose lock is not home: something was set on them.
    pub(super) fn note_unlocked_below(&mut self, top: MemberId) {
        let mut seen = BTreeSet::from([top]);
        let mut open = vec![top];
        while let Some(id) = open.pop() {
            for joint in self.carried_by(id).filter(|j| bears(j.kind)) {
                let Some(carrier) = joint.carrier.filter(|&c| self.there(c)) else { continue };
                if joint.kind == JointKind::Head
                    && self.assembly.head_of(carrier).is_some_and(|h| h.locks)
                    && !self.head_locked[carrier.index()]
                {
                    self.record.loaded_unlocked.insert((carrier, top));
                }
                if !self.assembly.member(carrier).is_post() && seen.insert(carrier) {
                    open.push(carrier);
                }
            }
        }
    }

    /// Takes a member away, and notes what then has too little to stand or hang on.
    pub(super) fn take_away(&mut self, id: MemberId) -> Done {
        let on = self.loads.iter().find(|l| match &l.text.on {
            LoadPlace::Point { member, .. }
            | LoadPlace::Lump { member, .. }
            | LoadPlace::Line { member, .. } => self.assembly.find(member) == Some(id),
            LoadPlace::Area { .. }
            | LoadPlace::Pour { .. }
            | LoadPlace::Layer { .. }
            | LoadPlace::Heap { .. }
            | LoadPlace::Along { .. } => false,
        });
        if let Some(load) = on {
            return Err(Trouble::new(format!(
                "\"{}\" is removed with the load \"{}\" on it",
                self.name(id),
                load.text.name
            ))
            .help("take the load off with Unload first"));
        }
        self.leaves_slab(id);
        self.hand_at_work();
        let hanging: Vec<MemberId> = self
            .carrying(id)
            .filter(|j| j.kind != JointKind::Clip)
            .filter(|j| self.joints[j.id.index()] != JointState::Open)
            .map(|j| j.member)
            .collect();
        self.put(id, MemberState::Absent);
        self.head_locked[id.index()] = false;
        self.nailed[id.index()] = false;
        self.in_hand.remove(&id);
        self.let_down.remove(&id);
        for &joint in self.assembly.joints_of(id) {
            self.joints[joint.index()] = JointState::Open;
        }
        for joint in self.clip_joints.get(&id).into_iter().flatten() {
            self.joints[joint.index()] = JointState::Open;
        }
        for other in hanging {
            if self.state(other) == MemberState::Standing && !self.still_carried(other) {
                self.record.removed_under.insert((id, other));
            }
        }
        self.record.touched.insert(id);
        self.record.released.remove(&id);
        self.record.removed.insert(id);
        Ok(())
    }

    /// Beams and sheets need two of their supports, anything else one.
    fn still_carried(&self, id: MemberId) -> bool {
        let made = self
            .carried_by(id)
            .filter(|j| bears(j.kind) || j.kind == JointKind::Coupler)
            .filter(|j| self.joints[j.id.index()] != JointState::Open)
            .count();
        let need = match self.role(id) {
            Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam | Role::Sheet => 2,
            _ => 1,
        };
        made >= need
    }
}

fn span(a: f64, b: f64) -> (f64, f64) {
    (a.min(b), a.max(b))
}

/// A span without width inside another.
fn within(a: (f64, f64), b: (f64, f64)) -> bool {
    a.0 >= a.1 && b.0 <= a.0 && a.0 <= b.1
}
