//! What lies about the work: floors that must be there, places that must have an extent.

use super::Check;
use crate::units::Length;

type Corners = ((Length, Length), (Length, Length));

pub(super) fn check(check: &mut Check<'_>) {
    let about = &check.scene.surroundings;
    for (i, opening) in about.openings.iter().enumerate() {
        extent(check, &format!("surroundings.openings[{i}].to"), (opening.from, opening.to));
    }
    for (i, way) in about.vehicle_ways.iter().enumerate() {
        extent(check, &format!("surroundings.vehicle_ways[{i}].to"), (way.from, way.to));
    }
    for (i, drop) in about.drops.iter().enumerate() {
        if drop.from == drop.to {
            let path = format!("surroundings.drops[{i}].to");
            check.at(&path, "starts and ends at the same place");
        }
        if !(drop.depth.si().is_finite() && drop.depth.si() > 0.0) {
            check.at(&format!("surroundings.drops[{i}].depth"), "must be more than zero");
        }
    }
    for (i, ground) in about.doubtful_ground.iter().enumerate() {
        let path = format!("surroundings.doubtful_ground[{i}]");
        let floors: Vec<&str> = check.scene.floors.iter().map(|f| f.name.as_str()).collect();
        check.known(&format!("{path}.floor"), "floor", &ground.floor, floors);
        if let Some(within) = ground.within {
            extent(check, &format!("{path}.within"), within);
        }
    }
}

fn extent(check: &mut Check<'_>, path: &str, (from, to): Corners) {
    let sides = [to.0.si() - from.0.si(), to.1.si() - from.1.si()];
    if !sides.iter().all(|s| s.is_finite() && s.abs() > 1e-6) {
        check.at(path, "two opposite corners are due, with some length and width between them");
    }
}
