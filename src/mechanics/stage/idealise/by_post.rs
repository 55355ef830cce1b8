//! What belongs to posts, in one piece of memory, found by the post's number.

use crate::assembly::model::MemberId;
use std::ops::{Index, Range};

/// By post, ascending.
#[derive(Clone, Debug, PartialEq)]
pub struct ByPost<T> {
    posts: Vec<MemberId>,
    things: Vec<T>,
    /// By member: its place in the lists.
    place: Vec<u32>,
}

/// No place.
const NONE: u32 = u32::MAX;

impl<T> Default for ByPost<T> {
    fn default() -> Self {
        Self { posts: Vec::new(), things: Vec::new(), place: Vec::new() }
    }
}

impl<T> ByPost<T> {
    /// Puts what belongs to a post, which has nothing yet.
    pub(super) fn put(&mut self, post: MemberId, thing: T) {
        if self.place.len() <= post.index() {
            self.place.resize(post.index() + 1, NONE);
        }
        self.place[post.index()] = u32::try_from(self.posts.len()).unwrap_or(NONE);
        self.posts.push(post);
        self.things.push(thing);
    }

    /// Once all is put: by post, ascending.
    pub(super) fn sort(&mut self) {
        if self.posts.is_sorted() {
            return;
        }
        let mut both: Vec<(MemberId, T)> =
            std::mem::take(&mut self.posts).into_iter().zip(self.things.drain(..)).collect();
        both.sort_by_key(|(post, _)| *post);
        for (place, (post, thing)) in (0..).zip(both) {
            self.place[post.index()] = place;
            self.posts.push(post);
            self.things.push(thing);
        }
    }

    #[must_use]
    pub fn get(&self, post: &MemberId) -> Option<&T> {
        self.things.get(*self.place.get(post.index())? as usize)
    }

    pub fn keys(&self) -> std::slice::Iter<'_, MemberId> {
        self.posts.iter()
    }

    pub fn values(&self) -> std::slice::Iter<'_, T> {
        self.things.iter()
    }
}

impl<T> Index<&MemberId> for ByPost<T> {
    type Output = T;

    fn index(&self, post: &MemberId) -> &T {
        &self.things[self.place[post.index()] as usize]
    }
}

impl<'a, T> IntoIterator for &'a ByPost<T> {
    type Item = (&'a MemberId, &'a T);
    type IntoIter = std::iter::Zip<std::slice::Iter<'a, MemberId>, std::slice::Iter<'a, T>>;

    fn into_iter(self) -> Self::IntoIter {
        self.posts.iter().zip(&self.things)
    }
}

/// The nodes of each post with their stations from the foot, ascending.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chains {
    of: ByPost<Range<u32>>,
    nodes: Vec<(f64, usize)>,
}

impl Chains {
    pub(super) fn put(&mut self, post: MemberId, chain: &[(f64, usize)]) {
        let small = |n: usize| u32::try_from(n).unwrap_or(NONE);
        let from = self.nodes.len();
        self.nodes.extend(chain);
        self.of.put(post, small(from)..small(self.nodes.len()));
    }

    pub(super) fn sort(&mut self) {
        self.of.sort();
    }

    fn at(&self, range: &Range<u32>) -> &[(f64, usize)] {
        &self.nodes[range.start as usize..range.end as usize]
    }

    #[must_use]
    pub fn get(&self, post: &MemberId) -> Option<&[(f64, usize)]> {
        self.of.get(post).map(|range| self.at(range))
    }

    /// Which of the posts in their order one is.
    #[must_use]
    pub fn place(&self, post: MemberId) -> Option<usize> {
        let place = *self.of.place.get(post.index())? as usize;
        (place < self.len()).then_some(place)
    }

    #[must_use]
    pub fn contains_key(&self, post: &MemberId) -> bool {
        self.of.get(post).is_some()
    }

    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.of.posts.is_empty()
    }

    #[must_use]
    pub fn len(&self) -> usize {
        self.of.posts.len()
    }

    pub fn keys(&self) -> std::slice::Iter<'_, MemberId> {
        self.of.keys()
    }

    pub fn values(&self) -> impl Iterator<Item = &[(f64, usize)]> {
        self.of.values().map(|range| self.at(range))
    }

    pub fn iter(&self) -> impl Iterator<Item = (&MemberId, &[(f64, usize)])> {
        self.keys().zip(self.values())
    }
}

#[cfg(test)]
mod tests {
    use super::{Chains, MemberId};

    #[test]
    fn posts_come_in_the_order_of_their_numbers_whichever_was_put_first() {
        let mut chains = Chains::default();
        chains.put(MemberId(7), &[(0.0, 0), (2.0, 1)]);
        chains.put(MemberId(2), &[(0.0, 1), (1.0, 2), (3.0, 3)]);
        assert_eq!(
            chains.get(&MemberId(7)),
            Some(&[(0.0, 0), (2.0, 1)][..]),
            "before it is sorted"
        );
        chains.sort();
        let all: Vec<(u32, usize)> =
            chains.iter().map(|(post, chain)| (post.0, chain.len())).collect();
        assert_eq!(all, [(2, 3), (7, 2)]);
        assert_eq!(chains.get(&MemberId(7)), Some(&[(0.0, 0), (2.0, 1)][..]));
        assert_eq!(chains.get(&MemberId(2)).and_then(|chain| chain.last()), Some(&(3.0, 3)));
        for none in [0, 3, 8] {
            assert_eq!(chains.get(&MemberId(none)), None);
        }
    }
}
