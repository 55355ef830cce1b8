//! Long lists of which those of neighbouring stages are nearly the same.
//!
//! A floor has thousands of members and a sequence thousands of stages, and from one stage to the
//! next a few members change. A [`Chunks`] keeps its values in pieces; lists that have a piece in
//! common, value for value, can share it ([`Chunks::share`]). It is read like a slice. Writing to
//! a shared piece copies it first, so no list ever sees another's change.

use std::iter::FlatMap;
use std::ops::{Index, IndexMut};
use std::slice::Iter;
use std::sync::Arc;

/// Values a piece, and pieces a group: a stage that differs by a few members has most groups in common
/// with the one before, and a change copies a piece and its group.
pub const PIECE: usize = 32;
const GROUP: usize = 16;

type Piece<T> = Arc<[T]>;
type Group<T> = Arc<[Piece<T>]>;

/// A list in pieces that may be shared with other lists.
#[derive(Clone)]
pub struct Chunks<T> {
    len: usize,
    /// A list that is as that of the stage before has these in common with it, too.
    groups: Arc<[Group<T>]>,
}

impl<T> Default for Chunks<T> {
    fn default() -> Self {
        Self { len: 0, groups: Arc::new([]) }
    }
}

impl<T> Chunks<T> {
    #[must_use]
    pub fn len(&self) -> usize {
        self.len
    }

    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    #[must_use]
    pub fn get(&self, index: usize) -> Option<&T> {
        self.piece(index / PIECE)?.get(index % PIECE)
    }

    /// The values in order.
    pub fn iter(&self) -> impl Iterator<Item = &T> + Clone {
        self.pieces().flat_map(|piece| piece.iter())
    }

    fn pieces(&self) -> impl Iterator<Item = &Piece<T>> + Clone {
        self.groups.iter().flat_map(|group| group.iter())
    }

    fn piece(&self, number: usize) -> Option<&Piece<T>> {
        self.groups.get(number / GROUP)?.get(number % GROUP)
    }

    fn of_pieces(pieces: &[Piece<T>], len: usize) -> Self {
        Self { len, groups: pieces.chunks(GROUP).map(Arc::from).collect() }
    }

    /// First place whose value does not fulfil a condition that the first values fulfil and the rest
    /// do not; as for a slice.
    pub fn partition_point(&self, holds: impl Fn(&T) -> bool) -> usize {
        let all = |piece: &Piece<T>| piece.last().is_none_or(&holds);
        let groups = self.groups.partition_point(|group| group.last().is_none_or(all));
        let pieces = self.groups.get(groups).map_or(0, |group| group.partition_point(all));
        let whole = groups * GROUP + pieces;
        let within = self.piece(whole).map_or(0, |piece| piece.partition_point(&holds));
        // The last piece may be a short one.
        (whole * PIECE + within).min(self.len)
    }

    /// Pieces that this list does not have in common with another.
    #[must_use]
    pub fn own_pieces(&self, other: &Self) -> usize {
        let common = |(a, b): &(&Piece<T>, &Piece<T>)| Arc::ptr_eq(a, b);
        self.pieces().count() - self.pieces().zip(other.pieces()).filter(common).count()
    }
}

impl<T: Clone> Chunks<T> {
    /// The same value so many times: one piece in memory, until something is written.
    #[must_use]
    pub fn filled(value: T, len: usize) -> Self {
        let whole: Arc<[T]> = vec![value.clone(); PIECE].into();
        let mut pieces = vec![whole; len / PIECE];
        if !len.is_multiple_of(PIECE) {
            pieces.push(vec![value; len % PIECE].into());
        }
        Self::of_pieces(&pieces, len)
    }

    /// Sets every value.
    pub fn fill(&mut self, value: T) {
        *self = Self::filled(value, self.len);
    }
}

impl<T: PartialEq> Chunks<T> {
    /// Whether a value is among them.
    #[must_use]
    pub fn contains(&self, value: &T) -> bool {
        self.pieces().any(|piece| piece.contains(value))
    }

    /// Places at which two lists differ, in order. Pieces that they have in common are passed over.
    pub fn differences<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = usize> + 'a {
        let groups = self.groups.len().max(other.groups.len());
        let own_group = |k: usize| match (self.groups.get(k), other.groups.get(k)) {
            (Some(a), Some(b)) => !Arc::ptr_eq(a, b),
            _ => true,
        };
        let own = |k: usize| (self.piece(k), other.piece(k));
        (0..groups)
            .filter(move |&k| own_group(k))
            .flat_map(|k| k * GROUP..(k + 1) * GROUP)
            .filter(move |&k| match own(k) {
                (Some(a), Some(b)) => !Arc::ptr_eq(a, b),
                _ => true,
            })
            .flat_map(|k| k * PIECE..(k + 1) * PIECE)
            .filter(|&index| self.get(index) != other.get(index))
    }

    /// Takes over every piece that another list has with the same values in the same place.
    pub fn share(&mut self, with: &Self) {
        if Arc::ptr_eq(&self.groups, &with.groups) {
            return;
        }
        for (group, others) in Arc::make_mut(&mut self.groups).iter_mut().zip(&*with.groups) {
            if Arc::ptr_eq(group, others) {
                continue;
            }
            let same = |(piece, other): (&Piece<T>, &Piece<T>)| {
                Arc::ptr_eq(piece, other) || piece == other
            };
            let shared: Vec<bool> = group.iter().zip(&**others).map(same).collect();
            if group.len() == others.len() && shared.iter().all(|same| *same) {
                *group = Arc::clone(others);
            } else if shared.contains(&true) {
                let pieces = group.iter().zip(&**others).zip(&shared);
                let pieces = pieces.map(|((own, other), same)| if *same { other } else { own });
                let rest = &group[shared.len()..];
                *group = pieces.chain(rest).map(Arc::clone).collect();
            }
        }
        let mut groups = self.groups.iter().zip(&*with.groups);
        if self.groups.len() == with.groups.len() && groups.all(|(a, b)| Arc::ptr_eq(a, b)) {
            self.groups = Arc::clone(&with.groups);
        }
    }
}

impl<T: PartialEq> PartialEq for Chunks<T> {
    fn eq(&self, other: &Self) -> bool {
        self.len == other.len && self.groups == other.groups
    }
}

impl<T: std::fmt::Debug> std::fmt::Debug for Chunks<T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(self.iter()).finish()
    }
}

impl<T> Index<usize> for Chunks<T> {
    type Output = T;
    fn index(&self, index: usize) -> &T {
        &self.groups[index / (PIECE * GROUP)][index / PIECE % GROUP][index % PIECE]
    }
}

impl<T: Clone> IndexMut<usize> for Chunks<T> {
    fn index_mut(&mut self, index: usize) -> &mut T {
        let groups = Arc::make_mut(&mut self.groups);
        let group = Arc::make_mut(&mut groups[index / (PIECE * GROUP)]);
        &mut Arc::make_mut(&mut group[index / PIECE % GROUP])[index % PIECE]
    }
}

impl<T> FromIterator<T> for Chunks<T> {
    fn from_iter<I: IntoIterator<Item = T>>(values: I) -> Self {
        let mut values = values.into_iter();
        let (mut pieces, mut len) = (Vec::new(), 0);
        loop {
            let piece: Piece<T> = values.by_ref().take(PIECE).collect();
            if piece.is_empty() {
                return Self::of_pieces(&pieces, len);
            }
            len += piece.len();
            pieces.push(piece);
        }
    }
}

impl<T> From<Vec<T>> for Chunks<T> {
    fn from(values: Vec<T>) -> Self {
        values.into_iter().collect()
    }
}

impl<T: Clone> From<&[T]> for Chunks<T> {
    fn from(values: &[T]) -> Self {
        values.iter().cloned().collect()
    }
}

impl<'a, T> IntoIterator for &'a Chunks<T> {
    type Item = &'a T;
    type IntoIter = FlatMap<
        FlatMap<Iter<'a, Group<T>>, Iter<'a, Piece<T>>, fn(&'a Group<T>) -> Iter<'a, Piece<T>>>,
        Iter<'a, T>,
        fn(&'a Piece<T>) -> Iter<'a, T>,
    >;
    fn into_iter(self) -> Self::IntoIter {
        let pieces: fn(&'a Group<T>) -> Iter<'a, Piece<T>> = |group| group.iter();
        self.groups.iter().flat_map(pieces).flat_map(|piece| piece.iter())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_read_like_the_list_it_was_made_of() {
        for len in [0, 1, PIECE - 1, PIECE, PIECE + 1, 5 * PIECE + 7, GROUP * PIECE, 2113] {
            let values: Vec<usize> = (0..len).map(|k| k * k).collect();
            let chunks = Chunks::from(values.clone());
            assert_eq!((chunks.len(), chunks.is_empty()), (len, len == 0));
            assert!(chunks.iter().eq(&values) && (&chunks).into_iter().eq(&values));
            for k in 0..len {
                assert_eq!((chunks[k], chunks.get(k)), (values[k], values.get(k)));
            }
            assert_eq!(chunks.get(len), None);
            assert_eq!(format!("{chunks:?}"), format!("{values:?}"));
            assert_eq!(Chunks::filled(3, len), Chunks::from(vec![3; len]));
            for most in [0, 5, PIECE * PIECE, 1_200_000, usize::MAX] {
                let place = values.partition_point(|v| *v < most);
                assert_eq!(chunks.partition_point(|v| *v < most), place);
            }
            let mut other = chunks.clone();
            assert_eq!(chunks.differences(&other).next(), None);
            let changed: Vec<usize> =
                [0, PIECE - 1, 2 * PIECE + 1].into_iter().filter(|k| *k < len).collect();
            changed.iter().for_each(|&k| other[k] = usize::MAX);
            assert_eq!(chunks.differences(&other).collect::<Vec<_>>(), changed);
            let shorter: Chunks<usize> = values.iter().copied().take(len / 2).collect();
            assert!(chunks.differences(&shorter).eq(len / 2..len));
            assert!(shorter.differences(&chunks).eq(len / 2..len));
        }
    }

    #[test]
    fn what_is_shared_is_copied_before_it_is_written() {
        let first = Chunks::filled(0, 300);
        let mut second = Chunks::from(vec![0; 300]);
        assert_eq!(second.own_pieces(&first), 300_usize.div_ceil(PIECE));
        second.share(&first);
        assert_eq!(second.own_pieces(&first), 0);
        assert!(Arc::ptr_eq(&second.groups, &first.groups), "all of it is had in common");
        second[130] = 7;
        assert_eq!((first[130], second[130]), (0, 7));
        assert_eq!(second.own_pieces(&first), 1);
        // A piece with another value is not taken over.
        second.share(&first);
        assert_eq!((second[130], second.own_pieces(&first)), (7, 1));
        assert_ne!(first, second);
    }
}
