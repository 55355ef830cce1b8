//! What was made lately, by a key, so that it need not be made again.

use std::sync::Arc;

/// Lists by key of what this stage and a few before it had a use for, the newest last.
#[derive(Debug)]
pub(super) struct Lately<T> {
    /// How many before it; two unless said otherwise.
    stages: u64,
    /// By key: the stage at which it was last used, and the thing.
    kept: Vec<Vec<(u64, Arc<T>)>>,
    /// Keys under which something is kept: of all that there may be they are few.
    in_use: Vec<u32>,
    /// Counts the stages.
    stage: u64,
}

// By hand: the things themselves are shared, not copied.
impl<T> Clone for Lately<T> {
    fn clone(&self) -> Self {
        let (kept, in_use) = (self.kept.clone(), self.in_use.clone());
        Self { stages: self.stages, kept, in_use, stage: self.stage }
    }
}

impl<T> Default for Lately<T> {
    fn default() -> Self {
        Self::of_stages(2)
    }
}

impl<T> Lately<T> {
    /// Keeps what one of so many stages before the present one had a use for.
    pub(super) fn of_stages(stages: u64) -> Self {
        Self { stages, kept: Vec::new(), in_use: Vec::new(), stage: 0 }
    }

    /// The same with nothing kept.
    pub(super) fn emptied(&self) -> Self {
        Self::of_stages(self.stages)
    }

    /// Begins a stage; what none of the last few had a use for, and nobody holds, is given up.
    pub(super) fn begin_stage(&mut self) {
        self.stage += 1;
        let (stage, stages, kept) = (self.stage, self.stages, &mut self.kept);
        self.in_use.retain(|&key| {
            let list = &mut kept[key as usize];
            list.retain(|(used, thing)| used + stages >= stage || Arc::strong_count(thing) > 1);
            !list.is_empty()
        });
    }

    /// What is kept under a key, the newest first.
    pub(super) fn of(&self, key: u32) -> impl Iterator<Item = &T> {
        self.kept.get(key as usize).into_iter().flatten().rev().map(|(_, thing)| &**thing)
    }

    /// The one under a key that is the same, which is then in use.
    pub(super) fn find(&mut self, key: u32, same: impl Fn(&T) -> bool) -> Option<Arc<T>> {
        let list = self.kept.get_mut(key as usize)?;
        let (used, thing) = list.iter_mut().find(|(_, thing)| same(thing))?;
        *used = self.stage;
        Some(Arc::clone(thing))
    }

    /// Says that one under a key is in use.
    pub(super) fn renew(&mut self, key: u32, thing: &Arc<T>) {
        self.find(key, |kept| std::ptr::eq(kept, &**thing));
    }

    /// Keeps another under a key; of `most` the one used longest ago makes room, among those of one
    /// stage the oldest.
    pub(super) fn keep(&mut self, key: u32, thing: T, most: usize) -> Arc<T> {
        let thing = Arc::new(thing);
        if self.kept.len() <= key as usize {
            self.kept.resize_with(key as usize + 1, Vec::new);
        }
        let list = &mut self.kept[key as usize];
        if list.is_empty() {
            self.in_use.push(key);
        }
        if list.len() >= most {
            let oldest = (0..list.len()).min_by_key(|k| list[*k].0).unwrap_or(0);
            list.remove(oldest);
        }
        list.push((self.stage, Arc::clone(&thing)));
        thing
    }
}

#[cfg(test)]
mod tests {
    use super::Lately;
    use std::sync::Arc;

    #[test]
    fn what_two_stages_had_no_use_for_is_given_up() {
        let mut lately = Lately::default();
        lately.begin_stage();
        lately.keep(7, 'a', 3);
        lately.keep(7, 'b', 3);
        lately.begin_stage();
        assert_eq!(lately.find(7, |c| *c == 'b').as_deref(), Some(&'b'));
        assert_eq!(lately.find(6, |_| true), None);
        let other = lately.keep(6, 'x', 3);
        let held = lately.keep(5, 'y', 3);
        lately.begin_stage();
        assert_eq!(lately.of(7).collect::<String>(), "ba");
        lately.begin_stage();
        assert_eq!(lately.of(7).collect::<String>(), "b");
        lately.renew(6, &other);
        lately.renew(6, &Arc::new('x'));
        assert_eq!(lately.of(6).collect::<String>(), "x");
        // What somebody holds stays as long as it is held.
        (0..5).for_each(|_| lately.begin_stage());
        assert_eq!(lately.of(5).collect::<String>(), "y");
        drop(held);
        lately.begin_stage();
        assert_eq!(lately.of(5).count(), 0);
        // The oldest of those used longest ago makes room.
        lately.keep(7, 'c', 2);
        lately.keep(7, 'd', 2);
        assert_eq!(lately.of(7).collect::<String>(), "dc");
    }
}
