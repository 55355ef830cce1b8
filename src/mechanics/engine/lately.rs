//! What was made lately, by a key, so that it need not be made again.

use std::sync::Arc;

/// After so many stages all is looked through.
const SELDOM: u64 = 4;

/// Lists by key of what this stage and a few before it had a use for, the newest last.
#[derive(Debug)]
pub(super) struct Lately<T> {
    /// How many before it; two unless said otherwise.
    stages: u64,
    /// By key: the stage at which it was last used, and the thing.
    kept: Vec<Vec<(u64, Arc<T>)>>,
    /// Keys under which something is kept: of all that there may be they are few.
    in_use: Vec<u32>,
    /// Of them those under which there is anything but one thing that somebody holds. The rest is looked
    /// through seldom.
    watch: Vec<u32>,
    /// By key: whether it is in either list.
    listed: Vec<Listed>,
    /// Counts the stages.
    stage: u64,
}

#[derive(Clone, Copy, Debug, Default)]
struct Listed {
    in_use: bool,
    watched: bool,
}

// By hand: the things themselves are shared, not copied.
impl<T> Clone for Lately<T> {
    fn clone(&self) -> Self {
        Self {
            stages: self.stages,
            kept: self.kept.clone(),
            in_use: self.in_use.clone(),
            watch: self.watch.clone(),
            listed: self.listed.clone(),
            stage: self.stage,
        }
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
        Self {
            stages,
            kept: Vec::new(),
            in_use: Vec::new(),
            watch: Vec::new(),
            listed: Vec::new(),
            stage: 0,
        }
    }

    /// The same with nothing kept.
    pub(super) fn emptied(&self) -> Self {
        Self::of_stages(self.stages)
    }

    /// Begins a stage; what none of the last few had a use for, and nobody holds, is given up. What is held is
    /// in use. What was the only one under its key and is held no more may stay for [`SELDOM`] stages.
    pub(super) fn begin_stage(&mut self) {
        self.stage += 1;
        let Self { stages, kept, in_use, watch, listed, stage } = self;
        let before = *stage - 1;
        let mut look = |key: u32| {
            let list = &mut kept[key as usize];
            list.retain_mut(|(used, thing)| {
                let held = Arc::strong_count(thing) > 1;
                if held {
                    *used = before.max(*used);
                }
                held || *used + *stages >= *stage
            });
            let settled = list.len() == 1 && Arc::strong_count(&list[0].1) > 1;
            !(settled || list.is_empty())
        };
        let mut watched = |key: &u32| {
            let watched = look(*key);
            listed[*key as usize].watched = watched;
            watched
        };
        if !stage.is_multiple_of(SELDOM) {
            watch.retain(watched);
            return;
        }
        watch.clear();
        watch.extend(in_use.iter().copied().filter(&mut watched));
        in_use.retain(|key| {
            let in_use = !kept[*key as usize].is_empty();
            listed[*key as usize].in_use = in_use;
            in_use
        });
    }

    /// There will be something else under a key than one thing that is held.
    fn watch(&mut self, key: u32) {
        let listed = &mut self.listed[key as usize];
        if !std::mem::replace(&mut listed.in_use, true) {
            self.in_use.push(key);
        }
        if !std::mem::replace(&mut listed.watched, true) {
            self.watch.push(key);
            // What is there was held until now.
            for (used, _) in &mut self.kept[key as usize] {
                *used = self.stage.saturating_sub(1).max(*used);
            }
        }
    }

    /// What is kept under a key, the newest first.
    pub(super) fn of(&self, key: u32) -> impl Iterator<Item = &T> {
        self.shared(key).map(|thing| &**thing)
    }

    /// The same, to be held.
    pub(super) fn shared(&self, key: u32) -> impl Iterator<Item = &Arc<T>> {
        self.kept.get(key as usize).into_iter().flatten().rev().map(|(_, thing)| thing)
    }

    /// The one under a key that is the same, which is then in use.
    pub(super) fn find(&mut self, key: u32, same: impl Fn(&T) -> bool) -> Option<Arc<T>> {
        let list = self.kept.get_mut(key as usize)?;
        let (used, thing) = list.iter_mut().find(|(_, thing)| same(thing))?;
        *used = self.stage;
        Some(Arc::clone(thing))
    }

    /// Keeps another under a key; of `most` the one used longest ago makes room, among those of one
    /// stage the oldest.
    pub(super) fn keep(&mut self, key: u32, thing: T, most: usize) -> Arc<T> {
        let thing = Arc::new(thing);
        if self.kept.len() <= key as usize {
            self.kept.resize_with(key as usize + 1, Vec::new);
            self.listed.resize(key as usize + 1, Listed::default());
        }
        self.watch(key);
        let list = &mut self.kept[key as usize];
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
    use super::{Lately, SELDOM};

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
        // What somebody holds stays as long as it is held.
        (0..5).for_each(|_| lately.begin_stage());
        assert_eq!(lately.of(5).chain(lately.of(6)).collect::<String>(), "yx");
        // What was held until now is as if used at the stage before.
        drop(held);
        lately.keep(5, 'z', 3);
        lately.begin_stage();
        assert_eq!(lately.of(5).collect::<String>(), "zy");
        lately.begin_stage();
        assert_eq!(lately.of(5).collect::<String>(), "z");
        lately.begin_stage();
        assert_eq!(lately.of(5).count(), 0);
        // What is alone and held no more is found in the end.
        drop(other);
        (0..SELDOM).for_each(|_| lately.begin_stage());
        assert_eq!(lately.of(6).count(), 0);
        lately.keep(6, 'v', 3);
        lately.keep(6, 'w', 3);
        assert_eq!((lately.in_use.len(), lately.watch.len()), (1, 1), "each key once");
        // The oldest of those used longest ago makes room.
        lately.keep(7, 'c', 2);
        lately.keep(7, 'd', 2);
        assert_eq!(lately.of(7).collect::<String>(), "dc");
    }
}
