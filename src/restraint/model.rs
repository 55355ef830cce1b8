//! Results of the restraint graph for one stage.

use crate::assembly::MemberId;
use crate::chunks::Chunks;
use std::collections::BTreeMap;
use std::sync::Arc;

/// How a post's head is held along one axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    pub post: MemberId,
    /// Plan direction, unit vector.
    pub direction: [f64; 2],
    /// Ledgers, joists and plan braces from the post to what holds the line, and that diagonal or
    /// tie last; empty: not held. Diagonals that act in tension only come in pairs.
    pub path: Vec<MemberId>,
    /// Where the path would have to go on: the connected line group with no bracing of its own,
    /// posts and ledgers. Empty where the post is held.
    pub loose_line: Vec<MemberId>,
}

/// What holds what in one stage, as far as the graph can tell. The graph explains; the mechanics
/// decides.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Restraint {
    /// Two for each standing post, in order of post and axis.
    pub holds: Chunks<Arc<Hold>>,
    /// Members from the deck down to the ground, for each post: what it carries.
    pub carries: Chunks<(MemberId, Arc<[MemberId]>)>,
    /// By member: the first member of the connected piece it stands in; none for what is not there.
    pub piece_of: Chunks<Option<MemberId>>,
    /// Independent ways in which heads can move with nothing holding them, counted over all
    /// standing posts.
    pub freedoms: usize,
}

impl Restraint {
    /// Keeps in common with another stage what is the same.
    pub fn share(&mut self, with: &Self) {
        self.holds.share(&with.holds);
        if self.holds.own_pieces(&with.holds) > 0 {
            let mut holds: Vec<Arc<Hold>> = self.holds.iter().cloned().collect();
            let mut before = with.holds.iter().peekable();
            for hold in &mut holds {
                // Both lists are in the order of posts.
                while before.next_if(|b| b.post < hold.post).is_some() {}
                let same = before.clone().take_while(|b| b.post == hold.post).find(|b| *b == hold);
                if let Some(same) = same {
                    *hold = Arc::clone(same);
                }
            }
            self.holds = holds.into();
            self.holds.share(&with.holds);
        }
        self.carries.share(&with.carries);
        if self.carries.own_pieces(&with.carries) > 0 {
            let mut carries: Vec<_> = self.carries.iter().cloned().collect();
            let mut before = with.carries.iter().peekable();
            for (post, members) in &mut carries {
                while before.next_if(|b| b.0 < *post).is_some() {}
                if let Some(same) = before.peek().filter(|b| b.0 == *post && b.1 == *members) {
                    *members = Arc::clone(&same.1);
                }
            }
            self.carries = carries.into();
            self.carries.share(&with.carries);
        }
        self.piece_of.share(&with.piece_of);
    }

    /// Connected pieces of what stands, in the order of their first members.
    #[must_use]
    pub fn pieces(&self) -> Vec<Vec<MemberId>> {
        let mut pieces: BTreeMap<MemberId, Vec<MemberId>> = BTreeMap::new();
        for (member, piece) in self.piece_of.iter().enumerate() {
            if let Some(piece) = piece {
                pieces.entry(*piece).or_default().push(MemberId(member as u32));
            }
        }
        pieces.into_values().collect()
    }

    /// The holds of a post, one for each axis.
    pub fn holds_of(&self, post: MemberId) -> impl Iterator<Item = &Arc<Hold>> + Clone {
        let first = self.holds.partition_point(|h| h.post < post);
        (first..).map_while(|k| self.holds.get(k)).take_while(move |h| h.post == post)
    }

    /// How a post is held along the direction nearest to the one given.
    #[must_use]
    pub fn hold(&self, post: MemberId, direction: [f64; 2]) -> Option<&Hold> {
        self.holds_of(post)
            .max_by(|a, b| along(a, direction).total_cmp(&along(b, direction)))
            .map(Arc::as_ref)
    }
}

fn along(hold: &Hold, direction: [f64; 2]) -> f64 {
    (hold.direction[0] * direction[0] + hold.direction[1] * direction[1]).abs()
}
