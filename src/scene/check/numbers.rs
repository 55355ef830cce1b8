//! Numbers that cannot be: zero thickness, a wall without length, infinite slope.

use super::Check;
use crate::scene::model::{Action, FloorKind, LoadPlace, PermanentKind, SequenceItem, Slab};
use crate::units::Length;

/// Fillers in one bay beyond this are taken for a slip of the pen.
const MOST_FILLERS: u32 = 60;

impl Check<'_> {
    pub(super) fn positive(&mut self, path: &str, value: f64) {
        if !(value.is_finite() && value > 0.0) {
            self.at(path, "must be more than zero");
        }
    }

    pub(super) fn not_negative(&mut self, path: &str, value: f64) {
        if !(value.is_finite() && value >= 0.0) {
            self.at(path, "must not be less than zero");
        }
    }

    fn apart(&mut self, path: &str, from: (Length, Length), to: (Length, Length)) {
        if from == to {
            self.at(path, "starts and ends at the same place");
        }
    }

    fn outline(&mut self, path: &str, outline: &[(Length, Length)]) {
        if outline.len() < 3 {
            self.at(path, "an outline needs at least three corners");
            return;
        }
        let next = outline.iter().cycle().skip(1);
        let twice: f64 =
            outline.iter().zip(next).map(|(a, b)| a.0.si() * b.1.si() - b.0.si() * a.1.si()).sum();
        if twice.abs() < 1e-6 {
            self.at(path, "this outline encloses nothing");
        }
    }
}

pub(super) fn check(check: &mut Check<'_>) {
    let scene = check.scene;
    if scene.crew.size == 0 {
        check.at("crew.size", "a crew has at least one person");
    }
    if let Some(wind) = &scene.wind {
        check.not_negative("wind.working", wind.working.si());
    }
    floors(check);
    super::strip::check(check);
    for (i, slab) in scene.slabs.iter().enumerate() {
        slab_numbers(check, &format!("slabs[{i}]"), slab);
    }
    permanent(check);
    blocks(check);
    sequence(check);
}

fn floors(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, floor) in scene.floors.iter().enumerate() {
        let path = format!("floors[{i}]");
        if !(floor.slope.0.is_finite() && floor.slope.1.is_finite()) {
            check.at(&format!("{path}.slope"), "must be two finite numbers");
        } else if floor.slope.0.abs().max(floor.slope.1.abs()) > 1.0 {
            check.at(&format!("{path}.slope"), "rises more than 1 in 1: posts do not stand on it");
        }
        if !floor.outline.is_empty() {
            check.outline(&format!("{path}.outline"), &floor.outline);
        }
        if let FloorKind::Ground { bearing: Some(bearing) } = floor.kind {
            check.positive(&format!("{path}.kind.bearing"), bearing.si());
        }
    }
}

fn slab_numbers(check: &mut Check<'_>, path: &str, slab: &Slab) {
    check.positive(&format!("{path}.thickness"), slab.thickness.si());
    check.outline(&format!("{path}.outline"), &slab.outline);
    for (j, beam) in slab.drop_beams.iter().enumerate() {
        let path = format!("{path}.drop_beams[{j}]");
        check.positive(&format!("{path}.width"), beam.width.si());
        check.positive(&format!("{path}.drop"), beam.drop.si());
        check.apart(&format!("{path}.to"), beam.from, beam.to);
    }
}

fn permanent(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, part) in scene.permanent.iter().enumerate() {
        let path = format!("permanent[{i}]");
        if part.to <= part.from {
            check.at(&format!("{path}.to"), "its top must lie above its bottom");
        }
        match part.kind {
            PermanentKind::Column { size, .. } => {
                check.positive(&format!("{path}.kind.size[0]"), size.0.si());
                check.positive(&format!("{path}.kind.size[1]"), size.1.si());
            }
            PermanentKind::Wall { from, to, thickness } => {
                check.positive(&format!("{path}.kind.thickness"), thickness.si());
                check.apart(&format!("{path}.kind.to"), from, to);
            }
        }
    }
}

fn blocks(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, block) in scene.blocks.iter().enumerate() {
        let path = format!("blocks[{i}]");
        let floor = |name: &str| scene.floors.iter().find(|f| f.name == name);
        if let Some(floor) = floor(&block.stands_on)
            && floor.slope == (0.0, 0.0)
            && block.head <= floor.level
        {
            check.at(&format!("{path}.head"), "the heads must lie above the floor");
        }
        for (j, offset) in block.offsets.iter().enumerate() {
            let stands_on = offset.stands_on.as_deref().unwrap_or(&block.stands_on);
            let head = block.head.si() + offset.head.si();
            if let Some(floor) = floor(stands_on)
                && floor.slope == (0.0, 0.0)
                && head <= floor.level.si()
            {
                let message = "the heads of this part would not lie above its floor";
                check.at(&format!("{path}.offsets[{j}]"), message);
            }
        }
        if block.fillers > MOST_FILLERS {
            let message = format!("more than {MOST_FILLERS} fillers in a bay");
            check.at(&format!("{path}.fillers"), message);
        }
        if block.ledger.is_empty() {
            check.at(&format!("{path}.ledger"), "at least one ledger is due");
        }
        if !block.braced.is_empty() && block.brace.is_none() {
            check.at(&format!("{path}.braced"), "bays are braced, but no `brace` is named");
        }
        match block.brace_every {
            Some(0) => {
                let message = "a braced bay every so many bays: at least 1";
                check.at(&format!("{path}.brace_every"), message);
            }
            Some(_) if block.brace.is_none() => {
                let message = "bays are braced, but no `brace` is named";
                check.at(&format!("{path}.brace_every"), message);
            }
            _ => {}
        }
        if !block.plan_braced.is_empty() && block.brace.is_none() {
            check.at(&format!("{path}.plan_braced"), "bays are braced, but no `brace` is named");
        }
        for (j, overhang) in block.overhangs.iter().enumerate() {
            let path = format!("{path}.overhangs[{j}]");
            check.positive(&format!("{path}.by"), overhang.by.si());
            if let Some(walkway) = overhang.walkway {
                check.positive(&format!("{path}.walkway"), walkway.si());
            }
            if let Some(form) = &overhang.edge_form {
                check.not_negative(&format!("{path}.edge_form.weight"), form.weight.si());
                if form.at > overhang.by && overhang.by.si() > 0.0 {
                    let message = "the edge form stands past the overhang's tip";
                    check.at(&format!("{path}.edge_form.at"), message);
                }
                check.not_negative(&format!("{path}.edge_form.at"), form.at.si());
                if let Some(height) = form.height {
                    check.positive(&format!("{path}.edge_form.height"), height.si());
                }
            }
        }
    }
}

fn sequence(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, item) in scene.sequence.iter().enumerate() {
        let path = format!("sequence[{i}]");
        let crew = match item {
            SequenceItem::Step(step) => step.crew,
            SequenceItem::Erect(erect) => {
                if erect.bracing.every == 0 {
                    let message = "a braced bay every so many bays: at least 1";
                    check.at(&format!("{path}.bracing.every"), message);
                }
                erect.crew
            }
            SequenceItem::Tower(tower) => tower.crew,
            SequenceItem::Strip(strip) => strip.crew,
            SequenceItem::Deck(_) => None,
            SequenceItem::Pour(pour) => {
                for (field, length) in [("every", pour.every), ("layers", pour.layers)] {
                    if let Some(length) = length {
                        check.positive(&format!("{path}.{field}"), length.si());
                    }
                }
                if let Some(away) = pour.keep_out {
                    check.not_negative(&format!("{path}.keep_out"), away.si());
                }
                pour.crew
            }
        };
        if crew == Some(0) {
            check.at(&format!("{path}.crew"), "a crew has at least one person");
        }
        let SequenceItem::Step(step) = item else { continue };
        for (j, action) in step.actions.iter().enumerate() {
            let path = format!("{path}.do[{j}]");
            match action {
                Action::Hold(_, 0) => check.at(&format!("{path}[1]"), "at least one hand is due"),
                Action::Load(load) => {
                    load_numbers(check, &format!("{path}.on"), &load.on);
                    if let Some(stack) = &load.stack {
                        check.positive(&format!("{path}.stack.height"), stack.height.si());
                        if let Some(across) = stack.across {
                            check.positive(&format!("{path}.stack.across"), across.si());
                        }
                    }
                }
                _ => {}
            }
        }
    }
}

fn load_numbers(check: &mut Check<'_>, path: &str, on: &LoadPlace) {
    match on {
        LoadPlace::Point { at, weight, .. } => {
            check.not_negative(&format!("{path}.at"), at.si());
            check.positive(&format!("{path}.weight"), weight.si());
        }
        LoadPlace::Lump { at, mass, .. } => {
            check.not_negative(&format!("{path}.at"), at.si());
            check.positive(&format!("{path}.mass"), mass.si());
        }
        LoadPlace::Line { load, .. } => check.positive(&format!("{path}.load"), load.si()),
        LoadPlace::Area { from, to, load } => {
            check.positive(&format!("{path}.load"), load.si());
            area(check, path, *from, *to);
        }
        LoadPlace::Pour { from, to, .. } => area(check, path, *from, *to),
        LoadPlace::Layer { from, to, bottom, top, .. } => {
            area(check, path, *from, *to);
            check.not_negative(&format!("{path}.bottom"), bottom.si());
            if top <= bottom {
                check.at(&format!("{path}.top"), "the top of a layer lies above its bottom");
            }
        }
        LoadPlace::Heap { across, height, .. } => {
            check.positive(&format!("{path}.across"), across.si());
            check.positive(&format!("{path}.height"), height.si());
        }
        LoadPlace::Along { from, to, weight } => {
            check.positive(&format!("{path}.weight"), weight.si());
            check.apart(&format!("{path}.to"), *from, *to);
        }
    }
}

fn area(check: &mut Check<'_>, path: &str, from: (Length, Length), to: (Length, Length)) {
    if from.0 == to.0 || from.1 == to.1 {
        check.at(&format!("{path}.to"), "this rectangle has no area");
    }
}
