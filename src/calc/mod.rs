//! One member at one stage: what it carries against what it may, line by line.
//!
//! Each file takes the demand of one kind of member from the stage's loads and forces and its
//! capacity from [`capacity`](crate::capacity). The checks run it in silence; the hand-calculation
//! sheet runs the same and writes it out.

mod bar;
mod brace;
mod clip;
mod deck;
mod foot;
mod post;
mod sheet;
mod sheets;
mod turning;

pub use bar::{BarUse, bar, sag};
pub use brace::{BraceUse, brace};
pub use clip::{ClipUse, clip, clip_joint};
pub use deck::deck;
pub use foot::{FootUse, foot};
pub use post::{head, jack, post};
pub use sheet::{SheetUse, sheet};
pub use sheets::{CalcSheet, of_member, reserve};
pub use turning::{LIGHT, turning};

use crate::assembly::Assembly;
use crate::capacity::Missing;
use crate::criteria::Pack;
use crate::loads::LoadState;
use crate::mechanics::StageMechanics;
use crate::sequence::Stage;

/// What a calculation reads of one stage.
#[derive(Clone, Copy)]
pub struct At<'a> {
    pub assembly: &'a Assembly,
    pub pack: &'a Pack,
    pub stage: &'a Stage,
    pub loads: &'a LoadState,
    pub mechanics: &'a StageMechanics,
}

impl<'a> At<'a> {
    /// What a check reads, as far as calculations need it.
    #[must_use]
    pub fn of(ctx: &crate::checks::StageContext<'a>) -> Self {
        Self {
            assembly: ctx.assembly,
            pack: ctx.pack,
            stage: ctx.stage,
            loads: ctx.loads,
            mechanics: ctx.mechanics,
        }
    }

    /// Fresh concrete lies somewhere: from then on sag shows in the slab.
    #[must_use]
    pub fn concrete_is_on(&self) -> bool {
        use crate::scene::model::{LoadKind, LoadPlace};
        self.stage.loads.iter().any(|l| {
            l.text.kind == LoadKind::Concrete || matches!(l.text.on, LoadPlace::Pour { .. })
        })
    }
}

/// A part that the library does not have.
fn no_part(part: &str) -> Missing {
    Missing::new(part, "data: the part is not in the library")
}
