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
    /// Access and inspection load while erecting.
    pub access_load: Rule<Pressure>,
    pub combined_minimum: Rule<Pressure>,
    /// Notional lateral at the heads as a share of the vertical load.
    pub lateral_share: Rule<f64>,
    /// Least lateral per length of floor edge once the deck is on.
    pub lateral_edge: Rule<Option<LineLoad>>,
    /// One worker's weight and horizontal push.
    pub worker_weight: Rule<Force>,
    pub worker_push: Rule<Force>,
    /// Workers close together on an overhang or walkway, each with their load.
    pub workers_on_overhang: Rule<u32>,
    pub rail_force: Rule<Force>,
    pub working_wind: Rule<Speed>,
    /// Required critical load factor of the linear model.
    pub critical_factor: Rule<f64>,
    /// Required reserve against tipping and uplift, and against sliding.
    pub overturning: Rule<f64>,
    pub sliding: Rule<f64>,
    pub friction: Rule<f64>,
    pub out_of_plumb: Rule<Angle>,
    /// Unbraced length over radius of gyration.
    pub slenderness: Rule<f64>,
    /// Factors on post capacity by the basis of the table; 1 where the table is a safe working load.
    pub factor_on_characteristic: Rule<f64>,
    pub factor_on_ultimate: Rule<f64>,
    /// Share of capacity above which the note becomes a warning.
    pub use_of_capacity: Rule<f64>,
    /// Heights above which a rule asks for diagonals, and for an engineer.
    pub diagonals_above: Vec<Rule<Length>>,
    pub engineer_above: Vec<Rule<Length>>,
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
}
