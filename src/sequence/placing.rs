//! Actions around the placing of concrete: jacks turned, hold points met, who watches, where nobody
//! goes.

use super::machine::{Done, Machine};
use super::model::Hold;
use super::trouble::Trouble;
use crate::assembly::MemberId;
use crate::scene::model::{HoldText, LoadKind, LoadPlace};
use crate::units::Length;

impl Machine<'_> {
    /// Turns a post's jack. Whether fresh concrete is on at that moment is kept with it.
    pub(super) fn jack(&mut self, id: MemberId) -> Done {
        if !self.assembly.member(id).is_post() {
            return Err(Trouble::new(format!("\"{}\" is no post", self.name(id)))
                .help("only posts have a jack to turn"));
        }
        self.hand_at_work();
        let fresh = self.loads.iter().any(|l| l.text.kind == LoadKind::Concrete);
        self.record.jacked.insert((id, fresh));
        Ok(())
    }

    /// Meets a hold point. One that nobody releases, or on nothing, is met and not released.
    pub(super) fn hold_point(&mut self, text: &HoldText) -> Done {
        if text.name.trim().is_empty() {
            return Err(Trouble::new("a hold point has no name"));
        }
        self.holds.push(Hold { text: text.clone(), step: self.record.step });
        Ok(())
    }

    pub(super) fn watch(&mut self, who: &str) -> Done {
        if who.trim().is_empty() {
            return Err(Trouble::new("nobody is named to watch the shoring"));
        }
        self.record.watch = Some(who.to_owned());
        Ok(())
    }

    pub(super) fn keep_out(&mut self, from: (Length, Length), to: (Length, Length)) -> Done {
        let (x, y) = ((from.0.si(), to.0.si()), (from.1.si(), to.1.si()));
        let zone = [[x.0.min(x.1), y.0.min(y.1)], [x.0.max(x.1), y.0.max(y.1)]];
        let some = zone[1][0] - zone[0][0] > 0.0 && zone[1][1] - zone[0][1] > 0.0;
        if !some {
            return Err(Trouble::new("the place to keep out of has no area"));
        }
        self.record.keep_out.push(zone);
        Ok(())
    }
}

/// The slab whose fresh concrete a load is; none for heaps and for what is no concrete.
#[must_use]
pub fn slab_of(on: &LoadPlace) -> Option<&str> {
    match on {
        LoadPlace::Pour { slab, .. } | LoadPlace::Layer { slab, .. } => Some(slab),
        _ => None,
    }
}
