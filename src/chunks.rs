//! Long lists of which those of neighbouring stages are nearly the same.
//!
//! A floor has thousands of members and a sequence thousands of stages, and from one stage to the
//! next a few members change. A [`Chunks`] keeps its values in pieces; lists that have a piece in
//! common, value for value, can share it ([`Chunks::share`]). It is read like a slice. Writing to
//! a shared piece copies it first, so no list ever sees another's change.

use std::ops::{Index, IndexMut};
use std::sync::Arc;

/// Values a piece.
const PIECE: usize = 64;

/// A list in pieces that may be shared with other lists.
#[derive(Clone)]
pub struct Chunks<T> {
    len: usize,
    pieces: Vec<Arc<[T]>>,
}

impl<T> Default for Chunks<T> {
    fn default() -> Self {
        Self { len: 0, pieces: Vec::new() }
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
        self.pieces.get(index / PIECE)?.get(index % PIECE)
    }

    /// The values in order.
    pub fn iter(&self) -> impl Iterator<Item = &T> + Clone {
        self.pieces.iter().flat_map(|piece| piece.iter())
    }

    /// First place whose value does not fulfil a condition that the first values fulfil and the rest
    /// do not; as for a slice.
    pub fn partition_point(&self, holds: impl Fn(&T) -> bool) -> usize {
        let whole = self.pieces.partition_point(|piece| piece.last().is_none_or(&holds));
        let within = self.pieces.get(whole).map_or(0, |piece| piece.partition_point(&holds));
        // The last piece may be a short one.
        (whole * PIECE + within).min(self.len)
    }

    /// Pieces that this list does not have in common with another.
    #[must_use]
    pub fn own_pieces(&self, other: &Self) -> usize {
        let common = |(a, b): &(&Arc<[T]>, &Arc<[T]>)| Arc::ptr_eq(a, b);
        self.pieces.len() - self.pieces.iter().zip(&other.pieces).filter(common).count()
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
        Self { len, pieces }
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
        self.pieces.iter().any(|piece| piece.contains(value))
    }

    /// Places at which two lists differ, in order. Pieces that they have in common are passed over.
    pub fn differences<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = usize> + 'a {
        let pieces = self.pieces.len().max(other.pieces.len());
        let own = |k: usize| (self.pieces.get(k), other.pieces.get(k));
        (0..pieces)
            .filter(move |&k| match own(k) {
                (Some(a), Some(b)) => !Arc::ptr_eq(a, b),
                _ => true,
            })
            .flat_map(|k| k * PIECE..(k + 1) * PIECE)
            .filter(|&index| self.get(index) != other.get(index))
    }

    /// Takes over every piece that another list has with the same values in the same place.
    pub fn share(&mut self, with: &Self) {
        for (piece, other) in self.pieces.iter_mut().zip(&with.pieces) {
            if !Arc::ptr_eq(piece, other) && piece == other {
                *piece = Arc::clone(other);
            }
        }
    }
}

impl<T: PartialEq> PartialEq for Chunks<T> {
    fn eq(&self, other: &Self) -> bool {
        self.len == other.len && self.pieces == other.pieces
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
        &self.pieces[index / PIECE][index % PIECE]
    }
}

impl<T: Clone> IndexMut<usize> for Chunks<T> {
    fn index_mut(&mut self, index: usize) -> &mut T {
        &mut Arc::make_mut(&mut self.pieces[index / PIECE])[index % PIECE]
    }
}

impl<T> FromIterator<T> for Chunks<T> {
    fn from_iter<I: IntoIterator<Item = T>>(values: I) -> Self {
        let mut values = values.into_iter();
        let mut out = Self::default();
        loop {
            let piece: Arc<[T]> = values.by_ref().take(PIECE).collect();
            if piece.is_empty() {
                return out;
            }
            out.len += piece.len();
            out.pieces.push(piece);
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
    type IntoIter = std::iter::FlatMap<
        std::slice::Iter<'a, Arc<[T]>>,
        std::slice::Iter<'a, T>,
        fn(&'a Arc<[T]>) -> std::slice::Iter<'a, T>,
    >;
    fn into_iter(self) -> Self::IntoIter {
        self.pieces.iter().flat_map(|piece| piece.iter())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_read_like_the_list_it_was_made_of() {
        for len in [0, 1, PIECE - 1, PIECE, PIECE + 1, 5 * PIECE + 7] {
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
            for most in [0, 5, PIECE * PIECE, usize::MAX] {
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
        assert_eq!(second.own_pieces(&first), 5);
        second.share(&first);
        assert_eq!(second.own_pieces(&first), 0);
        second[130] = 7;
        assert_eq!((first[130], second[130]), (0, 7));
        assert_eq!(second.own_pieces(&first), 1);
        // A piece with another value is not taken over.
        second.share(&first);
        assert_eq!((second[130], second.own_pieces(&first)), (7, 1));
        assert_ne!(first, second);
    }
}
