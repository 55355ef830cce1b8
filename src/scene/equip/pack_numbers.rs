//! Numbers of a criteria pack that cannot be.

use crate::criteria::Pack;
use crate::scene::problem::Problem;
use crate::scene::source::SceneSource;

/// Adds a problem for each number that cannot be, in the pack of the chain that gives it.
pub(super) fn check<'a>(
    pack: &Pack,
    chain: impl Iterator<Item = &'a SceneSource> + Clone,
    problems: &mut Vec<Problem>,
) {
    let mut at = |path: &str, message: &str| {
        let given = chain.clone().find(|source| {
            let field = path.split(['.', '[']).next().unwrap_or(path);
            source.find(field).is_some()
        });
        if let Some(source) = given {
            problems.push(source.problem_at(path, message));
        }
    };
    let more_than_zero = [
        ("concrete", pack.concrete.value.si()),
        ("worker_weight", pack.worker_weight.value.si()),
        ("critical_factor", pack.critical_factor.value),
        ("yield_factor", pack.yield_factor.value),
        ("overturning", pack.overturning.value),
        ("sliding", pack.sliding.value),
        ("slenderness", pack.slenderness.value),
        ("yield_factor", pack.yield_factor.value),
        ("factor_on_characteristic", pack.factor_on_characteristic.value),
        ("factor_on_ultimate", pack.factor_on_ultimate.value),
        ("factor_on_steel", pack.factor_on_steel.value),
        ("factor_on_aluminium", pack.factor_on_aluminium.value),
        ("factor_on_timber", pack.factor_on_timber.value),
        ("slenderness_timber", pack.slenderness_timber.value),
        ("deflection", pack.deflection.value),
        ("wind_short_time", pack.wind_short_time.value),
        ("rail_height", pack.rail_height.value.si()),
        ("fall_anchor", pack.fall_anchor.value.si()),
        ("use_of_capacity", pack.use_of_capacity.value),
        ("lift_weight", pack.lift_weight.value.si()),
        ("hand_force", pack.hand_force.value.si()),
        ("fall_height", pack.fall_height.value.si()),
        ("layer_height", pack.layer_height.value.si()),
    ];
    for (field, value) in more_than_zero {
        if !(value.is_finite() && value > 0.0) {
            at(&format!("{field}.value"), "must be more than zero");
        }
    }
    let not_less = [
        ("live_load", pack.live_load.value.si()),
        ("access_load", pack.access_load.value.si()),
        ("combined_minimum", pack.combined_minimum.value.si()),
        ("live_load_motorised", pack.live_load_motorised.value.si()),
        ("combined_minimum_motorised", pack.combined_minimum_motorised.value.si()),
        ("lateral_share", pack.lateral_share.value),
        ("lateral_tolerance", pack.lateral_tolerance.value),
        ("sill_spread", pack.sill_spread.value),
        ("lateral_edge", pack.lateral_edge.value.map_or(0.0, crate::units::LineLoad::si)),
        ("worker_push", pack.worker_push.value.si()),
        ("rail_force", pack.rail_force.value.si()),
        ("working_wind", pack.working_wind.value.si()),
        ("friction", pack.friction.value),
        ("out_of_plumb", pack.out_of_plumb.value.si()),
        ("head_eccentricity", pack.head_eccentricity.value.si()),
        ("telescope_play", pack.telescope_play.value),
        ("bow", pack.bow.value),
        ("plate_off_sill", pack.plate_off_sill.value),
    ];
    for (field, value) in not_less {
        if !(value.is_finite() && value >= 0.0) {
            at(&format!("{field}.value"), "must not be less than zero");
        }
    }
    // Below 1 a limit would call safe what falls.
    let at_least_one = [
        ("critical_factor", pack.critical_factor.value),
        ("overturning", pack.overturning.value),
        ("sliding", pack.sliding.value),
        ("factor_on_characteristic", pack.factor_on_characteristic.value),
        ("factor_on_ultimate", pack.factor_on_ultimate.value),
        ("factor_on_steel", pack.factor_on_steel.value),
        ("factor_on_aluminium", pack.factor_on_aluminium.value),
        ("factor_on_timber", pack.factor_on_timber.value),
    ];
    for (field, value) in at_least_one {
        if value > 0.0 && value < 1.0 {
            at(&format!("{field}.value"), "must be at least 1: below it the stage falls");
        }
    }
    let balance = [
        ("balance_holding", pack.balance_holding.value),
        ("balance_turning", pack.balance_turning.value),
        ("balance_variable", pack.balance_variable.value),
    ];
    for (field, value) in balance {
        let held = field == "balance_holding";
        let good = |v: f64| if held { v > 0.0 && v <= 1.0 } else { v.is_finite() && v >= 1.0 };
        if value.is_some_and(|v| !good(v)) {
            let range = if held { "more than zero and at most 1" } else { "at least 1" };
            at(&format!("{field}.value"), &format!("must be {range}"));
        }
        if value.is_none() && balance.iter().any(|b| b.1.is_some()) {
            at(field, "the three partial factors on balance go together: all of them, or none");
        }
    }
    let limits = [
        ("sheet_deflection", pack.sheet_deflection.value.map(crate::units::Length::si)),
        ("engineer_span_above", pack.engineer_span_above.value.map(crate::units::Length::si)),
        ("engineer_load_above", pack.engineer_load_above.value.map(crate::units::Pressure::si)),
        ("wind_at_rest", pack.wind_at_rest.value.map(crate::units::Speed::si)),
    ];
    for (field, value) in limits {
        if value.is_some_and(|v| !(v.is_finite() && v > 0.0)) {
            at(&format!("{field}.value"), "must be more than zero");
        }
    }
    let heights =
        [("diagonals_above", &pack.diagonals_above), ("engineer_above", &pack.engineer_above)];
    for (field, rules) in heights {
        for (i, rule) in rules.iter().enumerate() {
            if !(rule.value.si().is_finite() && rule.value.si() >= 0.0) {
                at(&format!("{field}[{i}].value"), "must not be less than zero");
            }
        }
    }
}
