//! Ledgers, joists, bearers and fillers past their last support.

use super::edge::{RAIL_HEIGHT, workers};
use super::hold_down::{Holder, holder};
use super::shared::Pull;
use super::tipping::{Balance, balance};
use super::{Context, LEAST_OVERHANG, StageEquilibrium, Tipping};
use crate::assembly::{Joint, JointKind, Member};
use crate::loads::beam::Piece;
use crate::loads::sails::FLAT_COEFFICIENT;
use crate::loads::{EDGE_FORM, LoadState, brings_edge_form, decked, passes, velocity_pressure};

pub(super) fn judge(
    ctx: &Context<'_>,
    member: &Member,
    out: &mut StageEquilibrium,
    pulls: &mut Vec<Pull>,
) {
    let mut supports: Vec<&Joint> = ctx
        .assembly
        .joints_of(member.id)
        .iter()
        .map(|&j| ctx.assembly.joint(j))
        .filter(|j| j.member == member.id && matches!(j.kind, JointKind::Head | JointKind::Rest))
        .filter(|j| passes(ctx.assembly, ctx.stage, j.id).is_some_and(|p| p.bearing))
        .collect();
    supports.sort_by(|a, b| a.member_at.total_cmp(&b.member_at).then(a.id.cmp(&b.id)));
    let (Some(first), Some(last)) = (supports.first(), supports.last()) else {
        out.unknown.push((member.id, format!("{} rests on nothing", member.name)));
        return;
    };
    let length = member.length();
    let ends = [(*first, -1.0, first.member_at), (*last, 1.0, length - last.member_at)];
    let mut found: Vec<Tipping> = Vec::new();
    for (fulcrum, outward, overhang) in ends {
        if overhang < LEAST_OVERHANG {
            continue;
        }
        if let Some(why) = ctx.unknown_weight(member.id) {
            out.unknown.push((member.id, why));
            return;
        }
        let behind: Vec<&Joint> = supports.iter().copied().filter(|j| j.id != fulcrum.id).collect();
        let (one, pull) = Overhanging { ctx, member, fulcrum, outward, overhang, behind }.judge();
        match one.factor.is_nan() {
            true => out.unknown.push((member.id, "its loads are not numbers".to_owned())),
            false => {
                found.push(one);
                pulls.push(pull);
            }
        }
    }
    if supports.len() == 1 && found.len() == 2 {
        // One support is the last one both ways: only the worse way matters.
        found.sort_by(|a, b| a.factor.total_cmp(&b.factor));
        found.truncate(1);
    }
    out.tipping.append(&mut found);
}

struct Overhanging<'a, 'b> {
    ctx: &'b Context<'a>,
    member: &'b Member,
    fulcrum: &'b Joint,
    outward: f64,
    overhang: f64,
    behind: Vec<&'b Joint>,
}

/// Moments in the order of the working.
struct Moments {
    lasting: Balance,
    /// Lever and weight of the edge form, which is among what lasts.
    form: Option<(f64, f64)>,
    one_worker: f64,
    workers: (f64, Vec<f64>),
    /// Uniform access load on the walkway, people of the stage on it.
    access: f64,
    /// The same as a lever and newtons.
    access_at: Option<(f64, f64)>,
    staged: f64,
    rail: f64,
    /// Wind outwards on the edge form: newtons, and how far above the support.
    wind: (f64, f64),
}

impl Moments {
    /// People and rail in the worst case; the kinds of people load do not come on top of each other.
    fn worst(&self) -> f64 {
        self.workers.0.max(self.access).max(self.staged) + self.rail
    }
    /// The people of the worst case, as levers and newtons.
    fn people(&self, each: f64, overhang: f64) -> Vec<(f64, f64)> {
        if self.staged > self.workers.0.max(self.access) {
            return vec![(overhang, self.staged / overhang)];
        }
        match self.access_at.filter(|_| self.access > self.workers.0) {
            Some(access) => vec![access],
            None => self.workers.1.iter().map(|&arm| (arm, each)).collect(),
        }
    }
}

impl Overhanging<'_, '_> {
    fn judge(&self) -> (Tipping, Pull) {
        let m = self.moments();
        let holders: Vec<Holder> = self
            .behind
            .iter()
            .map(|j| holder(self.ctx, j, (j.member_at - self.fulcrum.member_at).abs()))
            .collect();
        let held: f64 = holders.iter().map(|h| h.holds() * h.lever).sum();
        let required = self.ctx.pack.overturning.value;
        // The wind blows whether anybody is there or not.
        let empty = m.lasting.with(m.wind.0 * m.wind.1, 0.0);
        let one = empty.with(m.one_worker, 0.0);
        let worst = empty.with(m.worst(), 0.0);
        // The clip with the longest lever; without one, the farthest support.
        let main = holders.iter().max_by(|a, b| {
            (a.clip.is_some(), a.lever)
                .partial_cmp(&(b.clip.is_some(), b.lever))
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        let lever = main.map_or(0.0, |h| h.lever);
        let hold_down = worst.hold_down(lever, required);
        let joined = main.is_some_and(|h| h.joined || h.bearing >= hold_down);
        let mut tipping = Tipping {
            member: self.member.id,
            fulcrum: self.fulcrum.id,
            overhang: self.overhang,
            back_span: holders.iter().map(|h| h.lever).fold(0.0, f64::max),
            overturning: worst.overturning,
            stabilising: worst.stabilising,
            factor_empty: empty.with(0.0, held).factor(),
            factor_one_worker: one.with(0.0, held).factor(),
            factor: worst.with(0.0, held).factor(),
            factor_unheld: worst.factor(),
            required,
            clip: main.and_then(|h| h.clip),
            hold_down,
            hold_down_to_balance: worst.hold_down(lever, 1.0),
            held_by: main.map_or(0.0, Holder::holds),
            clip_post: main.and_then(|h| h.post),
            post_weight: main.map_or(0.0, |h| h.kept_down),
            joined_in_tension: joined,
            people: m.people(self.ctx.pack.worker_weight.value.si(), self.overhang),
            access: m.access_at.filter(|_| m.access > 0.0),
            couple: m.rail + m.wind.0 * m.wind.1,
            working: Vec::new(),
        };
        tipping.working = self.working(&tipping, &m, main);
        let pull = Pull {
            member: self.member.id,
            fulcrum: self.fulcrum.member_at,
            outward: self.outward,
            overturning: empty.overturning,
            people: worst.overturning - empty.overturning,
            stabilising: empty.stabilising,
            holders,
        };
        (tipping, pull)
    }

    fn balance(&self, loads: &LoadState) -> Balance {
        let pieces: Vec<Piece> = loads.on[self.member.id.index()]
            .iter()
            .map(|l| Piece { from: l.from, to: l.to, force: l.force, centre: l.centre })
            .collect();
        balance(&pieces, self.fulcrum.member_at, self.outward)
    }

    fn moments(&self) -> Moments {
        let ctx = self.ctx;
        let lasting = self.balance(&ctx.lasting);
        let staged = self.balance(ctx.loads).overturning - lasting.overturning;
        let ledge =
            ctx.ledges.iter().find(|l| l.member == self.member.id && l.outward() == self.outward);
        let decked = decked(ctx.assembly, ctx.stage, self.member.id);
        // Walkway and rail go on with the deck, or with an edge form that a step sets down.
        let brought =
            ctx.stage.loads.iter().any(|l| brings_edge_form(ctx.assembly, l, self.member.id));
        let edge = ledge.filter(|_| decked || brought);
        let beside = ledge.filter(|_| decked).map(crate::loads::Ledge::width);
        let access = edge.and_then(|l| Some((l.overhang.walkway?.si(), l.width())));
        let access_at = access.map(|(walkway, width)| {
            let walkway = walkway.min(self.overhang);
            let force = ctx.pack.access_load.value.si() * walkway * width;
            (self.overhang - 0.5 * walkway, force)
        });
        let access = access_at.map_or(0.0, |(lever, force)| lever * force);
        let form = ctx.lasting.on[self.member.id.index()]
            .iter()
            .find(|l| l.what == EDGE_FORM)
            .map(|l| (self.outward * (l.centre - self.fulcrum.member_at), l.force))
            .filter(|(lever, _)| *lever > 0.0);
        let rail = edge.is_some_and(|l| l.overhang.rail);
        let wind = edge.map_or((0.0, 0.0), |_| self.wind_on_form());
        Moments {
            lasting,
            form,
            one_worker: ctx.pack.worker_weight.value.si() * self.overhang,
            workers: workers(ctx.pack, self.overhang, beside),
            access,
            access_at,
            staged: staged.max(0.0),
            rail: if rail { ctx.pack.rail_force.value.si() * RAIL_HEIGHT } else { 0.0 },
            wind,
        }
    }

    /// Working wind on this beam's part of the edge form, newtons, and its height above the support.
    fn wind_on_form(&self) -> (f64, f64) {
        let ctx = self.ctx;
        let post = self.fulcrum.carrier;
        let own = Some(self.member.id);
        let form = ctx.loads.sails.iter().find(|s| s.on == own && Some(s.post) == post);
        let pressure = velocity_pressure(ctx.assembly, ctx.pack) * FLAT_COEFFICIENT;
        form.map_or((0.0, 0.0), |s| (pressure * s.area[0].max(s.area[1]), s.above))
    }

    fn working(&self, t: &Tipping, m: &Moments, main: Option<&Holder>) -> Vec<String> {
        let ctx = self.ctx;
        let unit = ctx.assembly.scene.units;
        let name = |id| ctx.assembly.name(id).to_owned();
        let about = self.fulcrum.carrier.map_or_else(|| "its last support".to_owned(), name);
        let mut out = vec![format!(
            "It runs {} past {about}; behind it the farthest support is {} away.",
            unit.length(t.overhang),
            unit.length(t.back_span)
        )];
        out.push(format!(
            "What lies on the overhang at this stage turns it with {}, what lies behind holds it with {}.",
            unit.moment(m.lasting.overturning),
            unit.moment(m.lasting.stabilising)
        ));
        if let Some((arm, force)) = m.form {
            out.push(format!(
                "In that is the edge form, {} at {}.",
                unit.force(force),
                unit.length(arm)
            ));
        }
        let arms: Vec<String> = m.workers.1.iter().map(|&a| unit.length(a)).collect();
        let weight = unit.force(ctx.pack.worker_weight.value.si());
        out.push(format!(
            "{} of {weight} at lever {}: {}.",
            if arms.len() == 1 {
                "One worker".to_owned()
            } else {
                format!("{} workers", arms.len())
            },
            arms.join(" and "),
            unit.moment(m.workers.0)
        ));
        if m.access > m.workers.0 {
            out.push(format!("Access load on the walkway instead: {}.", unit.moment(m.access)));
        }
        if m.staged > m.workers.0.max(m.access) {
            out.push(format!("The people of this stage instead: {}.", unit.moment(m.staged)));
        }
        if m.rail > 0.0 {
            out.push(format!(
                "{} outwards on the rail, {} up: {}.",
                unit.force(ctx.pack.rail_force.value.si()),
                unit.length(RAIL_HEIGHT),
                unit.moment(m.rail)
            ));
        }
        if m.wind.0 > 0.0 {
            out.push(format!(
                "Working wind outwards on the edge form, {} at {} up: {}.",
                unit.force(m.wind.0),
                unit.length(m.wind.1),
                unit.moment(m.wind.0 * m.wind.1)
            ));
        }
        out.push(format!(
            "Without a hold-down {} over {} is {} (required {}).",
            unit.moment(t.stabilising),
            unit.moment(t.overturning),
            unit.ratio(t.factor_unheld),
            unit.ratio(t.required)
        ));
        if t.hold_down > 0.0 && t.hold_down.is_finite() {
            out.push(format!(
                "Pull needed {} behind: {} to balance, {} for the required factor.",
                unit.length(main.map_or(0.0, |h| h.lever)),
                unit.force(t.hold_down_to_balance),
                unit.force(t.hold_down)
            ));
        }
        self.holding(t, main, &mut out);
        out.push(format!(
            "With nobody on it {}, one worker at the tip {}, the worst {}.",
            factor(unit, t.factor_empty),
            factor(unit, t.factor_one_worker),
            factor(unit, t.factor)
        ));
        out
    }

    /// What the hold-down is worth, and a clip where it is worth nothing.
    fn holding(&self, t: &Tipping, main: Option<&Holder>, out: &mut Vec<String>) {
        let ctx = self.ctx;
        let unit = ctx.assembly.scene.units;
        if let Some((holder, post)) = main.and_then(|h| Some((h, h.post?))) {
            let what = if holder.clip.is_some() { "The clip" } else { "The head" };
            let post = ctx.assembly.name(post);
            let tubes = if holder.joined {
                "its own weight included"
            } else {
                "its own weight not: its parts are not joined in tension"
            };
            out.push(format!(
                "{what} at {post} passes {}; {} keeps that post down, {tubes}. It holds {}.",
                unit.force(holder.strength),
                unit.force(holder.kept_down),
                unit.force(t.held_by)
            ));
        }
        if crate::loads::clip_at(ctx.assembly, ctx.stage, self.fulcrum.id).is_some() {
            out.push(
                "The clip at the post it turns about has no lever: it keeps it from sliding off, \
                 not from tipping."
                    .to_owned(),
            );
        }
    }
}

pub(super) fn factor(unit: crate::units::UnitSystem, value: f64) -> String {
    if value.is_finite() { unit.ratio(value) } else { "no turning".to_owned() }
}
