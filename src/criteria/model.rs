//! A criteria pack as typed data.

use crate::units::{Angle, Force, Length, LineLoad, Mass, Pressure, Speed};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A number with where it comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule<T> {
    pub value: T,
    /// Document and clause.
    pub source: String,
    /// How the clause was seen.
    pub seen: Seen,
    #[serde(default)]
    pub note: String,
    /// The file that gives it; filled in when packs are put together.
    #[serde(skip)]
    pub from: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// The clause was seen in print.
    Print,
    /// From memory; to be checked against the document before it is relied on.
    Memory,
    /// A choice of this project built on common practice; no published source.
    Practice,
}

/// Partial factors on balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Partial {
    /// On weight that holds.
    pub holding: f64,
    /// On lasting weight that turns or pushes.
    pub turning: f64,
    /// On what comes and goes: wind, notional lateral, people, and what is set down.
    pub variable: f64,
}

/// Limits, loads and factors that the checks read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pack {
    pub format: u32,
    /// Another pack, shipped or beside this one, whose rules count where this one gives none.
    #[serde(default)]
    pub extends: Option<String>,
    pub name: String,
    pub title: String,
    pub region: String,
    /// Concrete with reinforcement, weight density in N/m³ given as `"150 pcf"`.
    pub concrete: Rule<crate::units::Density>,
    /// Live load while placing.
    pub live_load: Rule<Pressure>,
    /// The same with motorised carts on the deck.
    pub live_load_motorised: Rule<Pressure>,
    /// Access and inspection load while erecting.
    pub access_load: Rule<Pressure>,
    pub combined_minimum: Rule<Pressure>,
    /// The same with motorised carts on the deck.
    pub combined_minimum_motorised: Rule<Pressure>,
    /// Notional lateral at the heads as a share of the vertical load.
    pub lateral_share: Rule<f64>,
    /// Share of the vertical load added to sideways forces that are known by name.
    pub lateral_tolerance: Rule<f64>,
    /// Least lateral per length of floor edge once the deck is on.
    pub lateral_edge: Rule<Option<LineLoad>>,
    /// One worker's weight and horizontal push.
    pub worker_weight: Rule<Force>,
    pub worker_push: Rule<Force>,
    /// Workers close together on an overhang or walkway, each with their load.
    pub workers_on_overhang: Rule<u32>,
    pub rail_force: Rule<Force>,
    /// Guardrail: height of its top, and what an anchor for one person's fall arrest must hold.
    pub rail_height: Rule<Length>,
    pub fall_anchor: Rule<Force>,
    pub working_wind: Rule<Speed>,
    /// Wind while nobody works; none: it goes by the site, and somebody must state it.
    pub wind_at_rest: Rule<Option<Speed>>,
    /// Factor on the site's design wind speed for the short time falsework stands.
    pub wind_short_time: Rule<f64>,
    /// Required critical load factor of the linear model.
    pub critical_factor: Rule<f64>,
    /// Required reserve against tipping and uplift, and against sliding.
    pub overturning: Rule<f64>,
    pub sliding: Rule<f64>,
    /// Partial factors on balance, where a code asks for those instead of one factor on the whole: on
    /// what holds, on lasting weight that turns or pushes, and on what comes and goes. All three, or
    /// none.
    pub balance_holding: Rule<Option<f64>>,
    pub balance_turning: Rule<Option<f64>>,
    pub balance_variable: Rule<Option<f64>>,
    pub friction: Rule<f64>,
    pub out_of_plumb: Rule<Angle>,
    /// How far off its axis the load may come down on a head.
    pub head_eccentricity: Rule<Length>,
    /// What the angle between telescoped tubes is multiplied by, over clearance by overlap.
    pub telescope_play: Rule<f64>,
    /// Bow of a post between foot and head, as a share of its length.
    pub bow: Rule<f64>,
    /// Loads are multiplied by this in the second-order check, and nothing may yield then.
    pub yield_factor: Rule<f64>,
    /// Unbraced length over radius of gyration.
    pub slenderness: Rule<f64>,
    /// Timber: unbraced length over the side.
    pub slenderness_timber: Rule<f64>,
    /// Factors on capacities by the basis of the data; 1 where they are safe working loads.
    pub factor_on_characteristic: Rule<f64>,
    pub factor_on_ultimate: Rule<f64>,
    /// Factors on what is computed from a section, from its yield stress or characteristic
    /// strength down to what may be used under working loads.
    pub factor_on_steel: Rule<f64>,
    pub factor_on_aluminium: Rule<f64>,
    pub factor_on_timber: Rule<f64>,
    /// Span over deflection under the weight of the concrete, and the most a sheet may sag.
    pub deflection: Rule<f64>,
    pub sheet_deflection: Rule<Option<Length>>,
    /// Run per rise at which a load spreads through a sill.
    pub sill_spread: Rule<f64>,
    /// Share of capacity above which the note becomes a warning.
    pub use_of_capacity: Rule<f64>,
    /// Heights above which a rule asks for diagonals, and for an engineer.
    pub diagonals_above: Vec<Rule<Length>>,
    pub engineer_above: Vec<Rule<Length>>,
    /// Span, and dead and live load together, above which a rule asks for an engineer.
    pub engineer_span_above: Rule<Option<Length>>,
    pub engineer_load_above: Rule<Option<Pressure>>,
    pub lift_weight: Rule<Mass>,
    /// Push at hand height one person can resist while holding something up.
    pub hand_force: Rule<Force>,
    pub fall_height: Rule<Length>,
    /// Whether times by table alone release a slab, without specification or test.
    pub strip_by_time: Rule<bool>,
    /// Half of what a foot must bear on: greatest share of the plate that may overhang its sill.
    pub plate_off_sill: Rule<f64>,
    /// Greatest height of a layer of fresh concrete in a deep beam's side forms.
    pub layer_height: Rule<Length>,
    /// Trade words of the region for the file's words.
    #[serde(default)]
    pub aliases: BTreeMap<String, String>,
    /// Options laid over the pack, by name; filled in when it is put together.
    #[serde(skip)]
    pub options: Vec<String>,
}
