//! The members of an assembly by what they do in its frame, so that nobody need go through all the others.

use super::model::{Member, MemberId, Role};

/// Posts, what joins them, and braces.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Roles {
    /// Posts by the level of their foot: one that stands on another comes after it.
    pub posts_from_below: Vec<MemberId>,
    /// Ledgers, joists, drop beams, plan braces and tie-ins, ascending.
    pub joining: Vec<MemberId>,
    /// Braces in elevation, ascending.
    pub braces: Vec<MemberId>,
}

impl Roles {
    pub(super) fn of(members: &[Member]) -> Self {
        let having = |has: &dyn Fn(&Member) -> bool| {
            members.iter().filter(|m| has(m)).map(|m| m.id).collect::<Vec<_>>()
        };
        let joins = |role| {
            use Role::{DropBeam, Joist, Ledger, PlanBrace, TieIn};
            matches!(role, Ledger | Joist | DropBeam | PlanBrace | TieIn)
        };
        let mut posts_from_below = having(&Member::is_post);
        let level = |id: &MemberId| members[id.index()].ends[0].z;
        posts_from_below.sort_by(|a, b| level(a).total_cmp(&level(b)).then(a.cmp(b)));
        Self {
            posts_from_below,
            joining: having(&|m| joins(m.role)),
            braces: having(&|m| m.role == Role::Brace),
        }
    }
}
