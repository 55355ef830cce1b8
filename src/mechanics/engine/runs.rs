//! Lists kept where they lie while stretches of them move.
//!
//! A strand that has grown by a front has nearly all others as before, a few places further on. What is kept
//! front by front is moved within its list: a large list made anew at each stage costs more than what is
//! copied, since the machine has to clear the memory for it.

use std::ops::Range;

/// A stretch of a list, and where it is to begin.
#[derive(Clone, Debug, PartialEq)]
struct Run {
    from: Range<usize>,
    to: usize,
}

/// Stretches that move, in the order in which they lay.
#[derive(Clone, Debug, Default)]
pub(super) struct Runs {
    runs: Vec<Run>,
    /// They are to lie in another order.
    crossed: bool,
}

impl Runs {
    /// Adds a stretch. One that follows on the last one, before and after, belongs to it.
    pub(super) fn push(&mut self, from: Range<usize>, to: usize) {
        if from.is_empty() {
            return;
        }
        let Some(last) = self.runs.last_mut() else {
            self.runs.push(Run { from, to });
            return;
        };
        let end = last.to + last.from.len();
        if last.from.end == from.start && end == to {
            last.from.end = from.end;
            return;
        }
        self.crossed |= from.start < last.from.end || to < end;
        self.runs.push(Run { from, to });
    }

    /// Where a place of the list is now.
    pub(super) fn now(&self, place: usize) -> Option<usize> {
        let is_in = |run: &&Run| run.from.contains(&place);
        let run = if self.crossed {
            self.runs.iter().find(is_in)
        } else {
            let at = self.runs.partition_point(|run| run.from.end <= place);
            self.runs.get(at).filter(is_in)
        };
        run.map(|run| place - run.from.start + run.to)
    }

    /// Moves the stretches of a list, which then has a length, and is blank where none of them lies.
    pub(super) fn apply<T: Copy>(&self, list: &mut Vec<T>, len: usize, blank: T) {
        if self.crossed {
            let mut out = vec![blank; len];
            for Run { from, to } in &self.runs {
                out[*to..to + from.len()].copy_from_slice(&list[from.clone()]);
            }
            *list = out;
            return;
        }
        if list.len() < len {
            list.resize(len, blank);
        }
        // Those that go to the front, the first first, and those that go to the back, the last first: none
        // is written over before it has moved.
        let back = |run: &&Run| run.to > run.from.start;
        for run in self.runs.iter().filter(|run| run.to < run.from.start) {
            list.copy_within(run.from.clone(), run.to);
        }
        for run in self.runs.iter().rev().filter(back) {
            list.copy_within(run.from.clone(), run.to);
        }
        list.truncate(len);
        let mut end = 0;
        for Run { from, to } in &self.runs {
            list[end..*to].fill(blank);
            end = to + from.len();
        }
        list[end..].fill(blank);
    }
}

#[cfg(test)]
mod tests {
    use super::Runs;

    fn next(state: &mut u64, below: usize) -> usize {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (*state >> 33) as usize % below
    }

    /// Stretches of random lengths, some gone, some new, now and then in another order: each value is found
    /// where it is to be, and nothing elsewhere.
    #[test]
    fn stretches_are_moved_where_they_lie() {
        let mut random = 11;
        let (mut moved, mut crossed) = (0, 0);
        for round in 0..400 {
            let mut old: Vec<(usize, usize)> = Vec::new();
            let mut before = 0;
            for _ in 0..next(&mut random, 12) {
                let length = next(&mut random, 5);
                old.push((before, length));
                before += length;
            }
            let mut kept: Vec<(usize, usize)> =
                old.into_iter().filter(|_| next(&mut random, 5) > 0).collect();
            if round % 5 == 0 && kept.len() > 1 {
                let (a, b) = (next(&mut random, kept.len()), next(&mut random, kept.len()));
                kept.swap(a, b);
            }
            let list: Vec<usize> = (0..before).map(|value| value + 100).collect();
            let (mut runs, mut due) = (Runs::default(), Vec::new());
            for (from, length) in kept {
                due.resize(due.len() + next(&mut random, 3), 0);
                runs.push(from..from + length, due.len());
                due.extend(&list[from..from + length]);
            }
            due.resize(due.len() + next(&mut random, 3), 0);
            let mut now = list.clone();
            runs.apply(&mut now, due.len(), 0);
            assert_eq!(now, due);
            for (place, value) in list.iter().enumerate() {
                assert_eq!(runs.now(place), due.iter().position(|v| v == value));
            }
            moved +=
                usize::from(now[..now.len().min(list.len())] != list[..now.len().min(list.len())]);
            crossed += usize::from(runs.crossed);
        }
        assert!(moved > 200 && crossed > 20, "{moved} moved, {crossed} in another order");
    }
}
