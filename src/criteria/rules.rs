//! Reading a pack: factors by basis, regional words, and every rule in one list.

use super::model::{Pack, Partial, Rule, Seen};
use super::value::RuleValue;
use crate::equipment::model::Basis;
use crate::units::UnitSystem;

/// Which way a rule is the stricter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stricter {
    More,
    Less,
}

/// One rule without its type, for listing and comparing.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleLine<'a> {
    /// Field name in the pack's file.
    pub name: &'static str,
    pub stricter: Stricter,
    /// SI; none where the pack sets no limit.
    pub si: Option<f64>,
    /// In the units of each system.
    pub feet: String,
    pub metres: String,
    pub source: &'a str,
    pub seen: Seen,
    pub note: &'a str,
    /// The file that gives it.
    pub from: &'a str,
}

impl<'a> RuleLine<'a> {
    fn of<T: RuleValue>(name: &'static str, stricter: Stricter, rule: &'a Rule<T>) -> Self {
        Self {
            name,
            stricter,
            si: rule.value.si(),
            feet: rule.value.words(UnitSystem::Feet),
            metres: rule.value.words(UnitSystem::Metres),
            source: &rule.source,
            seen: rule.seen,
            note: &rule.note,
            from: &rule.from,
        }
    }

    /// Its value for a person.
    #[must_use]
    pub fn words(&self, units: UnitSystem) -> &str {
        match units {
            UnitSystem::Feet => &self.feet,
            UnitSystem::Metres => &self.metres,
        }
    }

    /// Whether it is laxer than another rule of the same name. No limit is the laxest.
    #[must_use]
    pub fn laxer_than(&self, other: &RuleLine<'_>) -> bool {
        match (self.si, other.si) {
            (Some(a), Some(b)) => match self.stricter {
                Stricter::More => a < b,
                Stricter::Less => a > b,
            },
            (None, Some(_)) => true,
            _ => false,
        }
    }
}

/// Takes a pack apart field by field, so that a new field cannot be left out.
macro_rules! with_rules {
    ($pack:expr, $one:ident, $many:ident) => {{
        #[allow(unused_imports, reason = "one of the two uses of this list needs no directions")]
        use Stricter::{Less, More};
        let Pack {
            format: _, extends: _, name: _, title: _, region: _, aliases: _, options: _,
            concrete, live_load, live_load_motorised, access_load, combined_minimum,
            combined_minimum_motorised, lateral_share, lateral_tolerance, lateral_edge,
            worker_weight, worker_push, workers_on_overhang, rail_force, rail_height, fall_anchor,
            working_wind, wind_at_rest, wind_short_time, critical_factor, overturning, sliding,
            balance_holding, balance_turning, balance_variable,
            friction, out_of_plumb, head_eccentricity, telescope_play, bow, yield_factor, slenderness,
            slenderness_timber,
            factor_on_characteristic, factor_on_ultimate, factor_on_steel, factor_on_aluminium,
            factor_on_timber, deflection, sheet_deflection, sill_spread, use_of_capacity,
            engineer_span_above, engineer_load_above, lift_weight, hand_force, fall_height,
            plate_off_sill, layer_height, strip_by_time, diagonals_above, engineer_above,
        } = $pack;
        $one!(More concrete); $one!(More live_load); $one!(More live_load_motorised);
        $one!(More access_load); $one!(More combined_minimum);
        $one!(More combined_minimum_motorised); $one!(More lateral_share);
        $one!(More lateral_tolerance); $one!(More lateral_edge); $one!(More worker_weight);
        $one!(More worker_push); $one!(More workers_on_overhang); $one!(More rail_force);
        $one!(More rail_height); $one!(More fall_anchor); $one!(More working_wind);
        $one!(More wind_at_rest); $one!(More wind_short_time); $one!(More critical_factor);
        $one!(More overturning); $one!(More sliding); $one!(Less balance_holding);
        $one!(More balance_turning); $one!(More balance_variable); $one!(Less friction);
        $one!(More out_of_plumb); $one!(More head_eccentricity);
        $one!(More telescope_play); $one!(More bow); $one!(More yield_factor); $one!(Less slenderness);
        $one!(Less slenderness_timber); $one!(More factor_on_characteristic);
        $one!(More factor_on_ultimate); $one!(More factor_on_steel);
        $one!(More factor_on_aluminium); $one!(More factor_on_timber); $one!(More deflection);
        $one!(Less sheet_deflection); $one!(Less sill_spread); $one!(Less use_of_capacity);
        $one!(Less engineer_span_above); $one!(Less engineer_load_above); $one!(Less lift_weight);
        $one!(Less hand_force); $one!(Less fall_height); $one!(Less plate_off_sill);
        $one!(Less layer_height); $one!(Less strip_by_time);
        $many!(Less diagonals_above); $many!(Less engineer_above);
    }};
}

impl Pack {
    /// What a capacity of this basis is divided by before it is used.
    #[must_use]
    pub fn factor_on(&self, basis: Basis) -> f64 {
        match basis {
            Basis::SafeWorkingLoad => 1.0,
            Basis::Characteristic => self.factor_on_characteristic.value,
            Basis::Ultimate => self.factor_on_ultimate.value,
        }
    }

    /// Partial factors on balance; none where the pack asks for factors on the whole.
    #[must_use]
    pub fn partial(&self) -> Option<Partial> {
        Some(Partial {
            holding: self.balance_holding.value?,
            turning: self.balance_turning.value?,
            variable: self.balance_variable.value?,
        })
    }

    /// The region's word for a word of the file; the word itself where the pack has none.
    #[must_use]
    pub fn alias<'a>(&'a self, word: &'a str) -> &'a str {
        self.aliases.get(word).map_or(word, String::as_str)
    }

    /// Every rule with its source, in the order of [`Pack`], the lists at the end.
    #[must_use]
    pub fn rules(&self) -> Vec<RuleLine<'_>> {
        let mut lines = Vec::new();
        macro_rules! one {
            ($way:ident $field:ident) => {
                lines.push(RuleLine::of(stringify!($field), $way, $field))
            };
        }
        macro_rules! many {
            ($way:ident $field:ident) => {
                lines.extend($field.iter().map(|r| RuleLine::of(stringify!($field), $way, r)))
            };
        }
        with_rules!(self, one, many);
        lines
    }

    /// Writes into each rule which file gives it: `from` says it by field name and, for lists, the
    /// place in the list.
    pub fn say_from(&mut self, from: impl Fn(&str, usize) -> String) {
        macro_rules! one {
            ($way:ident $field:ident) => {
                $field.from = from(stringify!($field), 0)
            };
        }
        macro_rules! many {
            ($way:ident $field:ident) => {
                for (i, rule) in $field.iter_mut().enumerate() {
                    rule.from = from(stringify!($field), i);
                }
            };
        }
        with_rules!(self, one, many);
    }

    /// How many of its numbers nobody has seen in print, and how many there are.
    #[must_use]
    pub fn from_memory(&self) -> (usize, usize) {
        let rules = self.rules();
        (rules.iter().filter(|r| r.seen == Seen::Memory).count(), rules.len())
    }

    /// Words for every output: that the pack is incomplete, while numbers in it come from memory.
    #[must_use]
    pub fn incomplete(&self) -> Option<String> {
        let (memory, all) = self.from_memory();
        (memory > 0).then(|| {
            format!("incomplete: {memory} of its {all} numbers are from memory, to be checked")
        })
    }

    /// Title with the options laid over it.
    #[must_use]
    pub fn full_title(&self) -> String {
        if self.options.is_empty() {
            return self.title.clone();
        }
        format!("{} with {}", self.title, self.options.join(", "))
    }
}
