//! Reading a pack: factors by basis, regional words, and every rule in one list.

use super::model::{Pack, Seen};
use crate::equipment::model::Basis;

/// One rule without its type, for listing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleLine<'a> {
    /// Field name in the pack's file.
    pub name: &'static str,
    pub source: &'a str,
    pub seen: Seen,
    pub note: &'a str,
}

impl Pack {
    /// What a post's capacity of this basis is divided by before it is used.
    #[must_use]
    pub fn factor_on(&self, basis: Basis) -> f64 {
        match basis {
            Basis::SafeWorkingLoad => 1.0,
            Basis::Characteristic => self.factor_on_characteristic.value,
            Basis::Ultimate => self.factor_on_ultimate.value,
        }
    }

    /// The region's word for a word of the file; the word itself where the pack has none.
    #[must_use]
    pub fn alias<'a>(&'a self, word: &'a str) -> &'a str {
        self.aliases.get(word).map_or(word, String::as_str)
    }

    /// Every rule with its source, in the order of the file. Taken apart field by field, so that a
    /// new field of the pack cannot be left out.
    #[must_use]
    pub fn rules(&self) -> Vec<RuleLine<'_>> {
        macro_rules! lines {
            ($($field:ident),+; $($list:ident),+) => {{
                let Self { format: _, extends: _, name: _, title: _, region: _, aliases: _, $($field,)+ $($list,)+ } = self;
                let mut lines = vec![$(RuleLine {
                    name: stringify!($field), source: &$field.source, seen: $field.seen, note: &$field.note,
                }),+];
                $(lines.extend($list.iter().map(|rule| RuleLine {
                    name: stringify!($list), source: &rule.source, seen: rule.seen, note: &rule.note,
                }));)+
                lines
            }};
        }
        lines!(
            concrete, live_load, access_load, combined_minimum, lateral_share, lateral_edge,
            worker_weight, worker_push, workers_on_overhang, rail_force, working_wind,
            critical_factor, overturning, sliding, friction, out_of_plumb, slenderness,
            factor_on_characteristic, factor_on_ultimate, use_of_capacity, lift_weight, hand_force,
            fall_height, strip_by_time, plate_off_sill, layer_height;
            diagonals_above, engineer_above
        )
    }
}
