//! Who is loose, by a reckoning of its own: no mechanics, only runs of beams and braced bays.

use standwell::assembly::{Assembly, JointKind, Member, MemberId, Role};
use standwell::sequence::{JointState, Stage};
use std::collections::{BTreeMap, BTreeSet};

/// A post's head along x or along y.
type Way = (MemberId, bool);

/// Grid names of the standing posts that are not held both ways.
///
/// All heads of a run of beams that pass push and pull at both ends move as one along the run. A
/// run stays where it is if a brace with both ends fixed joins two standing posts of it. A post in
/// hand, and what hangs on it, holds nobody. A post secured to a slab that carries itself stays. Diaphragms, ties and plan braces are left out, so this
/// never calls a post held that is not; blocks must not be turned.
pub fn loose(assembly: &Assembly, stage: &Stage) -> Vec<String> {
    let mut up: BTreeMap<Way, Way> = BTreeMap::new();
    let mut fixed = BTreeSet::new();
    for member in assembly.members.iter().filter(|m| stage.stands(m.id)) {
        let posts = posts_joined(assembly, stage, member);
        let [a, b] = posts[..] else { continue };
        let along_x = member.direction().x.abs() > member.direction().y.abs();
        match member.role {
            Role::Ledger | Role::Joist => {
                let (a, b) = (top(&up, (a, along_x)), top(&up, (b, along_x)));
                if a != b {
                    up.insert(a, b);
                }
            }
            Role::Brace => {
                fixed.insert((a, along_x));
            }
            _ => {}
        }
    }
    for &post in &stage.strip.secured {
        fixed.extend([(post, true), (post, false)]);
    }
    let held: BTreeSet<Way> = fixed.iter().map(|&way| top(&up, way)).collect();
    (assembly.members.iter())
        .filter(|m| m.is_post() && stage.stands(m.id))
        .filter(|m| [true, false].iter().any(|&x| !held.contains(&top(&up, (m.id, x)))))
        .map(|m| m.name.rsplit('.').next().unwrap().to_owned())
        .collect()
}

fn top(up: &BTreeMap<Way, Way>, mut at: Way) -> Way {
    while let Some(&next) = up.get(&at) {
        at = next;
    }
    at
}

/// Standing posts to which the member passes push and pull.
fn posts_joined(assembly: &Assembly, stage: &Stage, member: &Member) -> Vec<MemberId> {
    (assembly.joints_of(member.id).iter())
        .map(|&j| assembly.joint(j))
        .filter(|j| j.member == member.id)
        .filter(|j| matches!(j.kind, JointKind::Head | JointKind::Coupler))
        .filter(|j| match stage.joint(j.id) {
            JointState::Open => false,
            JointState::Hung => j.hung.along,
            JointState::Locked => j.locked.along,
            JointState::Lowered => j.lowered.along,
        })
        .filter_map(|j| j.carrier)
        .filter(|&post| stage.stands(post))
        .collect()
}
